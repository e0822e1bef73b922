//! Brief runs: the same builds and looks for one design after the other, counted without any detail.
//!
//! Designs are compared by the same random numbers (common random numbers), so a difference between two of them is theirs and
//! not chance. The numbers are plain ones, whatever the layout of the scenario's own run. Of each build its margin is kept:
//! the fault that decides whether it passes, over its limit (see [`Performance`](super::Performance)).

use super::performance::{Decides, nth_that_decides};
use super::run_plan::RunPlan;
use crate::figure::Plan;
use crate::sampling::{BLOCK_BUILDS, Row, Sampling, another_seed};
use crate::statistics::{ClusteredShare, PairedDifference, Proportion, ROUNDING};
use crate::trial::{
    BuildRows, Draws, LookRows, Marks, RunHooks, Sampler, VerdictRows, Witness, fold_tasks,
};

/// What a brief run of one design comes to.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Brief {
    /// Of each build, in order: at most 1 where it passes, +∞ where it never shows the figure or cannot be computed.
    pub margins: Vec<f64>,
    /// Builds that pass.
    pub passed: u64,
    /// Builds no look at which shows the whole figure.
    pub never_shown: u64,
    /// Builds that could not be computed.
    pub not_computable: u64,
    /// Share of all looks that show the whole figure.
    pub clear: ClusteredShare,
    /// Share of those looks that hold.
    pub held: ClusteredShare,
    /// Share of all looks that do both.
    pub both: ClusteredShare,
}

impl Brief {
    /// Builds tried.
    pub fn builds(&self) -> u64 {
        self.margins.len() as u64
    }

    /// Share of builds that pass, with the interval of `run`.
    pub fn build_yield(&self, run: &RunPlan) -> Proportion {
        run.proportion(self.passed, self.builds())
    }

    /// What this share of the builds stays within: the margin of the build that stands there when all are put in order.
    /// At most 1 exactly when that share of them passes; `None` without a build.
    pub fn margin_of_share(&self, share: f64) -> Option<f64> {
        let mut ordered = self.margins.clone();
        ordered.sort_by(f64::total_cmp);
        // a share that is meant to be a whole number of builds may lie a rounding above it
        let nth = (share * ordered.len() as f64 - ROUNDING).ceil().max(1.0) as usize;
        ordered.get(nth.min(ordered.len()).checked_sub(1)?).copied()
    }

    /// How the yield differs from that of `before` at the same builds; `None` without a build.
    pub fn gain_over(&self, before: &Self, level: f64) -> Option<PairedDifference> {
        let (mut gained, mut lost) = (0, 0);
        for (now, before) in self.margins.iter().zip(&before.margins) {
            gained += u64::from(*now <= 1.0 && *before > 1.0);
            lost += u64::from(*now > 1.0 && *before <= 1.0);
        }
        let of = self.margins.len().min(before.margins.len()) as u64;
        PairedDifference::new(gained, lost, of, level)
    }

    /// Adds the builds that come next.
    pub(super) fn fold(&mut self, next: &Self) {
        self.margins.extend_from_slice(&next.margins);
        self.passed += next.passed;
        self.never_shown += next.never_shown;
        self.not_computable += next.not_computable;
        self.clear.fold(&next.clear);
        self.held.fold(&next.held);
        self.both.fold(&next.both);
    }
}

/// The run plan of a brief run of `builds` builds: the seed, looks and intervals of `run`, with plain numbers and without a
/// stop rule.
pub fn brief_run(run: &RunPlan, builds: u64) -> RunPlan {
    RunPlan {
        builds,
        half_width: None,
        sampling: Sampling::Plain,
        ..*run
    }
}

/// The run plan of a run that is to prove what was chosen by `run`: the same, with numbers that have nothing to do with it.
pub fn fresh_run(run: &RunPlan) -> RunPlan {
    RunPlan {
        seed: another_seed(run.seed),
        ..*run
    }
}

/// A brief run of one design in the current pool. `None` when interrupted.
pub fn brief(plan: &Plan, run: &RunPlan, hooks: &RunHooks<'_>) -> Option<Brief> {
    briefs(std::slice::from_ref(plan), run, hooks)?.pop()
}

/// A brief run of each of `plans` at the same builds and looks, in the current pool: the plans differ in nothing that is
/// drawn. `None` when interrupted.
pub fn briefs(plans: &[Plan], run: &RunPlan, hooks: &RunHooks<'_>) -> Option<Vec<Brief>> {
    let Some(first) = plans.first() else {
        return Some(Vec::new());
    };
    let sampler = Sampler::plain(run.seed);
    let mut all = vec![Brief::default(); plans.len()];
    let whole = fold_tasks(
        0..run.builds.div_ceil(BRIEF_TASK_BUILDS),
        hooks,
        |task| {
            let mut bench = BriefBench::new(first, run.looks);
            let end = run.builds.min((task + 1) * BRIEF_TASK_BUILDS);
            let mut found = vec![Brief::default(); plans.len()];
            for begin in (task * BRIEF_TASK_BUILDS..end).step_by(BLOCK_BUILDS) {
                if hooks.is_interrupted() {
                    break;
                }
                let count = (end - begin).min(BLOCK_BUILDS as u64) as usize;
                bench.draw(first, &sampler, begin / BLOCK_BUILDS as u64);
                for (plan, found) in plans.iter().zip(&mut found) {
                    bench.look_at(plan, count, found);
                }
            }
            found
        },
        |found: Vec<Brief>| {
            for (all, found) in all.iter_mut().zip(&found) {
                all.fold(found);
            }
        },
    );
    whole.then_some(all)
}

/// Builds of one task of a brief run.
const BRIEF_TASK_BUILDS: u64 = 256;

/// Room for one block of builds and all looks at it.
pub(super) struct BriefBench {
    pub build_draws: Draws,
    one_look: Draws,
    pub look_values: Vec<Vec<Row>>,
    pub builds: BuildRows,
    looks: LookRows,
    taken: Taken,
}

impl BriefBench {
    pub fn new(plan: &Plan, looks: u64) -> Self {
        Self {
            build_draws: Draws::of_builds(plan),
            one_look: Draws::of_looks(plan),
            look_values: vec![Vec::new(); looks as usize],
            builds: BuildRows::new(plan),
            looks: LookRows::new(plan),
            taken: Taken::new(looks as usize),
        }
    }

    /// Draws block `block` and all looks at it.
    pub fn draw(&mut self, plan: &Plan, sampler: &Sampler, block: u64) {
        self.build_draws.draw(plan, sampler, 0, block);
        self.draw_looks(plan, sampler, block);
    }

    /// Draws all looks at block `block`.
    pub fn draw_looks(&mut self, plan: &Plan, sampler: &Sampler, block: u64) {
        for (look, values) in self.look_values.iter_mut().enumerate() {
            self.one_look.draw(plan, sampler, look as u64, block);
            values.clone_from(&self.one_look.rows);
        }
    }

    /// Adds the first `count` builds of the block that was drawn, as `plan` has them.
    pub fn look_at(&mut self, plan: &Plan, count: usize, found: &mut Brief) {
        self.builds.set(plan, &self.build_draws.rows);
        self.take_looks(plan, count, found);
    }

    /// Adds the first `count` builds of a block whose values are given (one row a value), seen by the looks that were drawn.
    pub fn look_at_given(&mut self, plan: &Plan, values: &[Row], count: usize, found: &mut Brief) {
        self.builds.set(plan, values);
        self.take_looks(plan, count, found);
    }

    fn take_looks(&mut self, plan: &Plan, count: usize, found: &mut Brief) {
        let alive = self.builds.computable(count);
        self.taken.clear();
        for values in &self.look_values {
            self.looks
                .take(plan, &self.builds, values, &alive, &mut self.taken);
            self.taken
                .note_lost(&alive, |build| self.looks.fault(build).is_some());
        }
        for (build, alive) in alive.iter().enumerate().take(count) {
            if *alive == 0 {
                found.not_computable += 1;
                found.margins.push(f64::INFINITY);
            } else {
                self.taken
                    .end_build(build, plan.design.judging.hold_share, found);
            }
        }
    }
}

/// What the looks at one block come to.
struct Taken {
    /// Worst fault over its limit of each unclipped look, in the order of the looks; +∞ where it cannot be computed.
    worst: Vec<[f64; BLOCK_BUILDS]>,
    unclipped: [usize; BLOCK_BUILDS],
    counted: Marks,
    clipped: Marks,
    seen_clipped: Marks,
    room: Vec<f64>,
}

impl Taken {
    fn new(looks: usize) -> Self {
        Self {
            worst: vec![[0.0; BLOCK_BUILDS]; looks],
            unclipped: [0; BLOCK_BUILDS],
            counted: [0; BLOCK_BUILDS],
            clipped: [0; BLOCK_BUILDS],
            seen_clipped: [0; BLOCK_BUILDS],
            room: Vec::with_capacity(looks),
        }
    }

    fn clear(&mut self) {
        self.unclipped = [0; BLOCK_BUILDS];
        self.clipped = [0; BLOCK_BUILDS];
    }

    fn add(&mut self, build: usize, worst: f64) {
        self.worst[self.unclipped[build]][build] = worst;
        self.unclipped[build] += 1;
    }

    /// Counts a look that cannot be computed at a build that can.
    fn note_lost(&mut self, alive: &Marks, is_lost: impl Fn(usize) -> bool) {
        for build in 0..BLOCK_BUILDS {
            let neither = alive[build] != 0 && self.counted[build] + self.seen_clipped[build] == 0;
            if neither && is_lost(build) {
                self.add(build, f64::INFINITY);
            }
        }
    }

    fn end_build(&mut self, build: usize, hold_share: f64, found: &mut Brief) {
        let unclipped = self.unclipped[build];
        let worst = self.worst[..unclipped].iter().map(|look| look[build]);
        self.room.clear();
        self.room.extend(worst);
        let held = self.room.iter().filter(|worst| **worst <= 1.0).count() as f64;
        // a look that cannot be computed is neither shown nor judged
        let judged = self.room.iter().filter(|worst| worst.is_finite()).count() as u64;
        let looks = judged + self.clipped[build];
        found.clear.add(judged as f64, looks);
        found.held.add(held, judged);
        found.both.add(held, looks);
        let margin = match nth_that_decides(hold_share, unclipped) {
            Decides::NothingShown => {
                found.never_shown += 1;
                f64::INFINITY
            }
            Decides::NothingNeedHold => 0.0,
            Decides::Nth(nth) => *self.room.select_nth_unstable_by(nth, f64::total_cmp).1,
        };
        found.passed += u64::from(margin <= 1.0);
        found.margins.push(margin);
    }
}

impl Witness for Taken {
    #[inline(always)]
    fn look(&mut self, rows: &VerdictRows, counted: &Marks) {
        self.counted = *counted;
        self.seen_clipped = rows.clipped;
        for build in 0..BLOCK_BUILDS {
            self.clipped[build] += rows.clipped[build];
            if counted[build] != 0 {
                self.add(build, rows.worst[build]);
            }
        }
    }
}
