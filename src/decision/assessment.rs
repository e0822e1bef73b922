//! The whole assessment of one design: run, estimates beside it, causes, and the verdict.

use super::cloud::{CloudLook, cloud};
use super::examples::{Examples, examples};
use super::first_order::{Disagreement, FirstOrder, NoEstimate, first_order};
use super::holding_zone::{HoldingZone, holding_zone};
use super::removal::{Removals, removals};
use super::run::{RunResult, run};
use super::run_plan::{Interrupted, RunPlan};
use super::worst_case::{WorstCase, worst_case};
use crate::figure::{Item, Plan};
use crate::statistics::Proportion;
use crate::trial::RunHooks;

/// Whether the target yield is met.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Met {
    /// The whole interval is at or above the target.
    Yes,
    /// The whole interval is below the target.
    No,
    /// The interval straddles the target.
    Undecided,
}

/// Everything that the report tells.
#[derive(Debug, Clone)]
pub struct Assessment {
    /// The design.
    pub plan: Plan,
    /// How it was run.
    pub run_plan: RunPlan,
    /// The run.
    pub result: RunResult,
    /// Share of builds that pass; builds that cannot be computed or never show the figure count as not passing.
    pub build_yield: Proportion,
    /// Whether the target is met.
    pub met: Met,
    /// First-order estimate, or why there is none.
    pub first_order: Result<FirstOrder, NoEstimate>,
    /// Where it disagrees with the run.
    pub disagreements: Vec<Disagreement>,
    /// Worst case of bounded sources, where the first-order estimate exists.
    pub worst_case: Option<WorstCase>,
    /// What spoils the build.
    pub removals: Removals,
    /// Holding zone.
    pub zone: HoldingZone,
    /// A few looks as seen.
    pub cloud: Vec<CloudLook>,
    /// Builds to look at.
    pub examples: Examples,
}

/// Runs everything in the current thread pool.
///
/// # Errors
/// [`Interrupted`] when the hooks say so.
pub fn assess(
    plan: Plan,
    run_plan: RunPlan,
    hooks: &RunHooks<'_>,
) -> Result<Assessment, Interrupted> {
    let result = run(&plan, &run_plan, hooks).ok_or(Interrupted)?;
    assess_result(plan, run_plan, result, hooks)
}

/// All that goes with a finished run, in the current thread pool.
///
/// # Errors
/// [`Interrupted`] when the hooks say so.
pub fn assess_result(
    plan: Plan,
    run_plan: RunPlan,
    result: RunResult,
    hooks: &RunHooks<'_>,
) -> Result<Assessment, Interrupted> {
    let build_yield = run_plan.yield_of(result.tally.builds, &result.tally.passed_in);
    let target = plan.design.judging.target_yield;
    let met = match build_yield.interval() {
        Some([low, _]) if low >= target => Met::Yes,
        Some([_, high]) if high < target => Met::No,
        _ => Met::Undecided,
    };
    let first_order = first_order(&plan, &|| hooks.is_interrupted());
    if matches!(first_order, Err(NoEstimate::Interrupted)) {
        return Err(Interrupted);
    }
    let disagreements = first_order.as_ref().map_or_else(
        |_| Vec::new(),
        |estimate| estimate.disagreements(&plan, &result.tally),
    );
    let worst_case = first_order
        .as_ref()
        .ok()
        .map(|estimate| worst_case(&plan, estimate));
    let removals = removals(&plan, &run_plan, hooks).ok_or(Interrupted)?;
    let zone = holding_zone(&plan, &run_plan, hooks).ok_or(Interrupted)?;
    let cloud = cloud(&plan, &run_plan);
    let examples = examples(&plan, &run_plan);
    Ok(Assessment {
        result,
        build_yield,
        met,
        first_order,
        disagreements,
        worst_case,
        removals,
        zone,
        cloud,
        examples,
        run_plan,
        plan,
    })
}

impl Assessment {
    /// Items with how many broken looks each broke first, most first; items that never did are left out.
    pub fn broke_first(&self) -> Vec<(Item, u64)> {
        let tally = &self.result.tally;
        let rods = tally
            .rods
            .iter()
            .enumerate()
            .map(|(i, rod)| (Item::Rod(i), rod.broke_first));
        let junctions = tally
            .junctions
            .iter()
            .enumerate()
            .map(|(i, junction)| (Item::Junction(i), junction.broke_first));
        let mut all: Vec<(Item, u64)> = rods
            .chain(junctions)
            .filter(|(_, count)| *count > 0)
            .collect();
        all.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(&b.0)));
        all
    }
}
