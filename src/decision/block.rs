//! Builds block by block, each looked at a number of times, added to a tally.

use super::run_plan::RunPlan;
use crate::figure::Plan;
use crate::sampling::BLOCK_BUILDS;
use crate::statistics::{Gather, Tally};
use crate::trial::{BuildRows, Draws, LookRows, RunHooks, Sampler, replicate_of};
use std::ops::Range;

/// Room to work on one block after the other without asking for memory.
pub(super) struct Workbench {
    build_draws: Draws,
    look_draws: Draws,
    builds: BuildRows,
    looks: LookRows,
    /// What the task in hand comes to.
    pub tally: Tally,
}

impl Workbench {
    pub fn new(plan: &Plan) -> Self {
        Self {
            build_draws: Draws::of_builds(plan),
            look_draws: Draws::of_looks(plan),
            builds: BuildRows::new(plan),
            looks: LookRows::new(plan),
            tally: Tally::new(plan),
        }
    }

    /// Runs all builds of one task, which begins with a block, into an empty tally. `false` when interrupted.
    pub fn run_task(
        &mut self,
        plan: &Plan,
        run_plan: &RunPlan,
        sampler: &Sampler,
        builds: Range<u64>,
        hooks: &RunHooks<'_>,
    ) -> bool {
        self.tally.clear();
        for first in builds.clone().step_by(BLOCK_BUILDS) {
            if hooks.is_interrupted() {
                return false;
            }
            let count = (builds.end - first).min(BLOCK_BUILDS as u64);
            self.run_block(plan, run_plan, sampler, first, count as usize);
        }
        true
    }

    /// Adds the `count` builds of the block that begins with the build `first`, each looked at as often as the run plan
    /// says.
    fn run_block(
        &mut self,
        plan: &Plan,
        run_plan: &RunPlan,
        sampler: &Sampler,
        first: u64,
        count: usize,
    ) {
        let block = first / BLOCK_BUILDS as u64;
        let tally = &mut self.tally;
        self.build_draws.draw(plan, sampler, 0, block);
        self.builds.set(plan, &self.build_draws.rows);
        let alive = self.builds.computable(count);
        for build in 0..count {
            if let Some(reason) = self.builds.fault(build) {
                tally.add_failed_build(first + build as u64, reason);
            }
        }
        if alive.iter().all(|alive| *alive == 0) {
            return;
        }
        let mut gather = Gather::new(tally);
        for look in 0..run_plan.looks {
            self.look_draws.draw(plan, sampler, look, block);
            self.looks.take(
                plan,
                &self.builds,
                &self.look_draws.rows,
                &alive,
                &mut gather,
            );
            gather.note_faults(first, look, &alive, |build| self.looks.fault(build));
        }
        gather.end_block(&alive, plan.design.judging.hold_share, replicate_of(block));
    }
}
