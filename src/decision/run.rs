//! The Monte Carlo run: builds × looks in tasks of some blocks, until the yield is known well enough or the cap is reached.

use super::counted::Counted;
use super::tasks::{Part, next_checkpoint};
use crate::figure::Plan;
use crate::sampling::BLOCK_BUILDS;
use crate::statistics::{IntervalMethod, LookShares, Proportion, Tally};
use crate::trial::{
    BuildDraws, Built, Glance, LookDraws, LookOutcome, Measured, RunHooks, Viewed, judge,
};
use std::ops::Range;

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

impl RunResult {
    /// The run whose counts are `counted`, all from build 0 on.
    pub fn new(counted: Counted, run_plan: &RunPlan, stopped: Stopped) -> Self {
        let checkpoints = counted
            .points
            .iter()
            .map(|point| Checkpoint {
                yield_so_far: run_plan.proportion(point.passed, point.builds),
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
        if !counted.go_on(plan, run_plan, end, hooks, &mut tell) {
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
    let mut tell = |counted: &Counted| {
        (hooks.progress)(counted.next_build - builds.start, builds.end - builds.start);
        kept(counted);
    };
    counted.go_on(plan, run_plan, builds.end, hooks, &mut tell)
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
        .zip(run_plan.proportion(point.passed, point.builds).half_width())
        .is_some_and(|(wanted, reached)| reached <= wanted)
}

/// All builds of one task, block after block. `None` when interrupted.
pub(super) fn run_task(
    plan: &Plan,
    run_plan: &RunPlan,
    builds: Range<u64>,
    hooks: &RunHooks<'_>,
) -> Option<Tally> {
    const BLOCK: u64 = BLOCK_BUILDS as u64;
    let mut whole: Option<Tally> = None;
    for block in builds.start / BLOCK..builds.end.div_ceil(BLOCK) {
        if hooks.is_interrupted() {
            return None;
        }
        let tally = run_block(plan, run_plan, block);
        match &mut whole {
            Some(whole) => whole.fold(&tally),
            None => whole = Some(tally),
        }
    }
    whole
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
