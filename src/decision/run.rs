//! The Monte Carlo run: builds × looks in tasks of some blocks, until the yield is known well enough or the cap is reached.

use super::counted::Counted;
use super::run_plan::RunPlan;
use super::tasks::{Part, next_checkpoint};
use crate::figure::Plan;
use crate::statistics::{Proportion, Tally};
use crate::trial::RunHooks;

/// Why a run stopped.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stopped {
    /// The yield's interval is narrow enough.
    NarrowEnough,
    /// The cap on builds was reached.
    AtCap,
}

/// The running estimate at one point of the run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Checkpoint {
    /// Passed builds among the builds so far.
    pub yield_so_far: Proportion,
}

/// A finished run.
#[derive(Debug, Clone)]
pub struct RunResult {
    /// All counts.
    pub tally: Tally,
    /// The running estimate.
    pub checkpoints: Vec<Checkpoint>,
    /// Why it stopped.
    pub stopped: Stopped,
}

impl RunResult {
    /// The run whose counts are `counted`, all from build 0 on.
    pub fn new(counted: Counted, run_plan: &RunPlan, stopped: Stopped) -> Self {
        let checkpoints = counted
            .points
            .iter()
            .map(|point| Checkpoint {
                yield_so_far: run_plan.yield_of(point.builds, &point.passed),
            })
            .collect();
        Self {
            tally: counted.tally,
            checkpoints,
            stopped,
        }
    }
}

/// Runs builds × looks. `None` when interrupted.
pub fn run(plan: &Plan, run_plan: &RunPlan, hooks: &RunHooks<'_>) -> Option<RunResult> {
    let mut counted = Counted::new(plan, 0);
    let stopped = run_on(plan, run_plan, &mut counted, hooks, &mut |_| {})?;
    Some(RunResult::new(counted, run_plan, stopped))
}

/// Goes on with a run whose builds so far are `counted` (from build 0), until it stops; tells `kept` after each task. `None`
/// when interrupted: `counted` then holds what was done.
///
/// The stop rule is asked at fixed numbers of builds ([`checkpoints`](super::checkpoints)), so where a run stops does not
/// depend on the number of threads, nor on where it was interrupted. Stopping by a look at the estimate makes the interval's
/// true coverage a little lower than its level; at the checks' spacing the loss is small, and the report says which rule
/// stopped the run.
pub fn run_on(
    plan: &Plan,
    run_plan: &RunPlan,
    counted: &mut Counted,
    hooks: &RunHooks<'_>,
    kept: &mut dyn FnMut(&Counted),
) -> Option<Stopped> {
    let cap = run_plan.builds;
    let sampler = run_plan.sampler(plan);
    let mut tell = |counted: &Counted| {
        (hooks.progress)(counted.next_build, cap);
        kept(counted);
    };
    loop {
        if is_narrow_enough(run_plan, counted) {
            return Some(Stopped::NarrowEnough);
        }
        if counted.next_build >= cap {
            return Some(Stopped::AtCap);
        }
        // without a stop rule nobody asks before the end, and no worker waits for another
        let end = match run_plan.half_width {
            Some(_) => next_checkpoint(counted.next_build, cap),
            None => cap,
        };
        if !counted.go_on(plan, run_plan, &sampler, end, hooks, &mut tell) {
            return None;
        }
    }
}

/// Goes on with one part of a run whose builds so far are `counted`, without any stop rule; tells `kept` after each task.
/// `false` when interrupted: `counted` then holds what was done.
pub fn run_part(
    plan: &Plan,
    run_plan: &RunPlan,
    part: Part,
    counted: &mut Counted,
    hooks: &RunHooks<'_>,
    kept: &mut dyn FnMut(&Counted),
) -> bool {
    let builds = part.builds(run_plan.builds);
    let sampler = run_plan.sampler(plan);
    let mut tell = |counted: &Counted| {
        (hooks.progress)(counted.next_build - builds.start, builds.end - builds.start);
        kept(counted);
    };
    counted.go_on(plan, run_plan, &sampler, builds.end, hooks, &mut tell)
}

/// Whether the stop rule ends the run here; it is asked at points of the running estimate only.
fn is_narrow_enough(run_plan: &RunPlan, counted: &Counted) -> bool {
    let Some(point) = counted
        .points
        .last()
        .filter(|point| point.builds == counted.next_build)
    else {
        return false;
    };
    run_plan
        .half_width
        .zip(run_plan.yield_of(point.builds, &point.passed).half_width())
        .is_some_and(|(wanted, reached)| reached <= wanted)
}
