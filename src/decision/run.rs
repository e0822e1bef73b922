//! The Monte Carlo run: builds × looks in blocks, until the yield is known well enough or the cap is reached.

use crate::figure::Plan;
use crate::sampling::BLOCK_BUILDS;
use crate::statistics::{IntervalMethod, LookShares, Proportion, Tally};
use crate::trial::{
    BuildDraws, Built, Glance, LookDraws, LookOutcome, Measured, RunHooks, Viewed, fold_blocks,
    judge,
};

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
const BLOCKS_BETWEEN_CHECKS: u64 = 16;

/// Runs builds × looks. `None` when interrupted.
///
/// The stop rule is asked at fixed numbers of blocks (1, 2, 4, 8, 16, 32, 48 …), so where a run stops does not depend on
/// the number of threads. Stopping by a look at the estimate makes the interval's true coverage a little lower than its
/// level; at the checks' spacing the loss is small, and the report says which rule stopped the run.
pub fn run(plan: &Plan, run_plan: &RunPlan, hooks: &RunHooks<'_>) -> Option<RunResult> {
    let blocks = run_plan.builds.div_ceil(BLOCK_BUILDS as u64);
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
            |block| run_block(plan, run_plan, block),
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

/// All builds of one block, each looked at `looks` times.
fn run_block(plan: &Plan, run_plan: &RunPlan, block: u64) -> Tally {
    let first = block * BLOCK_BUILDS as u64;
    let builds = (run_plan.builds - first).min(BLOCK_BUILDS as u64);
    let mut build_draws = BuildDraws::new(plan);
    build_draws.draw(plan, run_plan.seed, block);
    let look_draws: Vec<LookDraws> = (0..run_plan.looks)
        .map(|look| {
            let mut draws = LookDraws::new(plan);
            draws.draw(plan, run_plan.seed, look, block);
            draws
        })
        .collect();
    let mut tally = Tally::new(plan);
    let mut built = Built::new(plan);
    let mut viewed = Viewed::new(plan);
    let mut measured = Measured::new(plan);
    let mut build_values = vec![0.0; plan.layout.build_len];
    let mut look_values = vec![0.0; plan.layout.look_len];
    for build in 0..builds {
        build_draws.pick(build as usize, &mut build_values);
        if let Err(reason) = built.set(plan, &build_values) {
            tally.add_failed_build(first + build, reason);
            continue;
        }
        for (look, draws) in look_draws.iter().enumerate() {
            draws.pick(build as usize, &mut look_values);
            let mut shares = LookShares::default();
            let outcome = Glance::new(plan, &look_values, built.peephole_mm).and_then(|glance| {
                judge(
                    plan,
                    &built,
                    &glance,
                    &mut viewed,
                    &mut measured,
                    |item, value, limit| {
                        tally.add_item(item, value, limit);
                        shares.weigh(
                            item,
                            value,
                            limit,
                            plan.threshold_rad(item, glance.detail_rad),
                        );
                    },
                )
            });
            match outcome {
                Ok(outcome) => tally.add_look(plan, outcome, &viewed, &measured, shares),
                Err(reason) => tally.add_failed_look(first + build, look as u64, reason),
            }
        }
        tally.end_build(plan.design.judging.hold_share);
    }
    tally
}

/// Whether the look of these values at the build of these values holds; for maps and samples.
pub(super) fn outcome_of(
    plan: &Plan,
    built: &Built,
    look_values: &[f64],
    viewed: &mut Viewed,
    measured: &mut Measured,
) -> Option<LookOutcome> {
    let glance = Glance::new(plan, look_values, built.peephole_mm).ok()?;
    judge(plan, built, &glance, viewed, measured, |_, _, _| {}).ok()
}
