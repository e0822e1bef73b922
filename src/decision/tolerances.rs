//! Which care pays: everything that `tolerances` answers about one design.

use super::allocation::{Allocation, NoAllocation, allocation};
use super::alone::{Alone, each_alone};
use super::depths::{Depths, depths};
use super::headroom::{Headroom, headroom};
use super::run_plan::{Interrupted, RunPlan};
use super::shares::{SHARE_ROWS, Shares, shares};
use super::way_sets::{WaySets, way_sets};
use crate::figure::{Plan, Step, Ways};
use crate::trial::RunHooks;

/// Lines up to which the shares have all their rows; a design of more lines has fewer, so that it takes no longer (chosen).
const USUAL_LINES: u64 = 20;

/// Rows that any design has: some thirty blocks for the bootstrap.
const FEWEST_ROWS: u64 = 2048;

/// The answers, each with its own intervals and assumptions.
#[derive(Debug, Clone, PartialEq)]
pub struct Tolerances {
    /// How much of drift, gap and failures each step of the work causes.
    pub shares: Shares,
    /// How far all tolerances may grow together.
    pub headroom: Headroom,
    /// How far each may grow alone.
    pub alone: Vec<Alone>,
    /// Where care is cheapest, or why that cannot be said.
    pub allocation: Result<Allocation, NoAllocation>,
    /// The cheapest set of ways of working that meets the target.
    pub way_sets: WaySets,
    /// Where to put the rods.
    pub depths: Depths,
    /// What all of it was run with.
    pub run: RunPlan,
}

/// Works out all answers in the current pool; `run` is a brief run's ([`super::brief_run`]).
///
/// # Errors
/// [`Interrupted`] when the hooks say so.
pub fn tolerances(
    plan: &Plan,
    ways: &Ways,
    run: &RunPlan,
    hooks: &RunHooks<'_>,
) -> Result<Tolerances, Interrupted> {
    const PARTS: u64 = 6;
    let done = |parts: u64| (hooks.progress)(parts, PARTS);
    // the parts tell no progress of their own: it would run from 0 to its end many times
    let quiet = RunHooks {
        interrupted: hooks.interrupted,
        progress: &|_, _| {},
    };
    let lines = plan.design.vertices.len() as u64;
    let rows = (SHARE_ROWS * USUAL_LINES / lines.max(USUAL_LINES)).max(FEWEST_ROWS);
    let shares = shares(plan, run, rows, &quiet).ok_or(Interrupted)?;
    done(1);
    let headroom = headroom(plan, run, &quiet).ok_or(Interrupted)?;
    done(2);
    let alone = each_alone(plan, run, &quiet).ok_or(Interrupted)?;
    done(3);
    let allocation = allocation(plan, run, &headroom, &present_costs(ways), None, &quiet);
    if matches!(allocation, Err(NoAllocation::Interrupted)) {
        return Err(Interrupted);
    }
    done(4);
    let way_sets = way_sets(plan, ways, run, &quiet).ok_or(Interrupted)?;
    done(5);
    let depths = depths(plan, run, &quiet).ok_or(Interrupted)?;
    done(PARTS);
    Ok(Tolerances {
        shares,
        headroom,
        alone,
        allocation,
        way_sets,
        depths,
        run: *run,
    })
}

/// What each step costs by the way in which the scenario has it now; steps that cost nothing are left to the allocation's
/// own rule.
fn present_costs(ways: &Ways) -> Vec<(Step, f64)> {
    ways.steps
        .iter()
        .map(|step| (step.step, step.price(step.now)))
        .filter(|(_, cost)| *cost > 0.0)
        .collect()
}
