//! The Monte Carlo run: builds × looks in blocks, until the yield is known well enough or the cap is reached.

use crate::figure::Plan;
use crate::sampling::BLOCK_BUILDS;
use super::block::Workbench;
use crate::statistics::{IntervalMethod, Proportion, Tally};
use crate::trial::{RunHooks, fold_blocks};

/// How much to run, and when to stop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RunPlan {
    /// Seed of all random numbers.
    pub seed: u64,
    /// Most builds.
    pub builds: u64,
    /// Looks at each build.
    pub looks: u64,
    /// Stop once the yield's interval is no wider than ± this; `None` runs to the cap.
    pub half_width: Option<f64>,
    /// Confidence level of all intervals.
    pub level: f64,
    /// Method of the yield's interval.
    pub method: IntervalMethod,
}

impl RunPlan {
    /// A count among a number of trials with this run's interval.
    pub fn proportion(&self, count: u64, of: u64) -> Proportion {
        Proportion {
            count,
            of,
            level: self.level,
            method: self.method,
        }
    }
}

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

/// Blocks between two looks at the stop rule once the run is under way (4096 builds).
const BLOCKS_BETWEEN_CHECKS: u64 = 4;

/// Runs builds × looks. `None` when interrupted.
///
/// The stop rule is asked at fixed numbers of blocks (1, 2, 4, 8, 16, 32, 48 …), so where a run stops does not depend on
/// the number of threads. Stopping by a look at the estimate makes the interval's true coverage a little lower than its
/// level; at the checks' spacing the loss is small, and the report says which rule stopped the run.
pub fn run(plan: &Plan, run_plan: &RunPlan, hooks: &RunHooks<'_>) -> Option<RunResult> {
    let blocks = run_plan.builds.div_ceil(TASK_BUILDS);
    let mut tally = Tally::new(plan);
    let mut checkpoints = Vec::new();
    let mut done = 0;
    let mut stopped = Stopped::AtCap;
    while done < blocks {
        let next = if done < BLOCKS_BETWEEN_CHECKS {
            (2 * done).max(1)
        } else {
            done + BLOCKS_BETWEEN_CHECKS
        }
        .min(blocks);
        let whole = fold_blocks(
            done..next,
            hooks,
            |task| run_task(plan, run_plan, task),
            |block| {
                tally.fold(&block);
                (hooks.progress)(tally.builds, run_plan.builds);
            },
        );
        if !whole {
            return None;
        }
        done = next;
        let yield_so_far = run_plan.proportion(tally.passed, tally.builds);
        checkpoints.push(Checkpoint { yield_so_far });
        let narrow = run_plan
            .half_width
            .zip(yield_so_far.half_width())
            .is_some_and(|(wanted, reached)| reached <= wanted);
        if narrow {
            stopped = Stopped::NarrowEnough;
            break;
        }
    }
    Some(RunResult {
        tally,
        checkpoints,
        stopped,
    })
}

/// Builds of one task.
const TASK_BUILDS: u64 = 1024;

/// All builds of one task, block after block.
fn run_task(plan: &Plan, run_plan: &RunPlan, task: u64) -> Tally {
    let mut tally = Tally::new(plan);
    let mut bench = Workbench::new(plan);
    let builds = task * TASK_BUILDS..run_plan.builds.min((task + 1) * TASK_BUILDS);
    for block in builds.step_by(BLOCK_BUILDS) {
        bench.run_block(plan, run_plan, block / BLOCK_BUILDS as u64, &mut tally);
    }
    tally
}
