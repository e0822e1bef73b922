//! One block of builds, each looked at a number of times, added to a tally.

use super::run::RunPlan;
use crate::figure::Plan;
use crate::sampling::BLOCK_BUILDS;
use crate::statistics::{Gather, Tally};
use crate::trial::{BuildRows, Draws, LookRows};

/// Room to work on one block after the other without asking for memory.
pub(super) struct Workbench {
    build_draws: Draws,
    look_draws: Draws,
    builds: BuildRows,
    looks: LookRows,
}

impl Workbench {
    pub fn new(plan: &Plan) -> Self {
        Self {
            build_draws: Draws::of_builds(plan),
            look_draws: Draws::of_looks(plan),
            builds: BuildRows::new(plan),
            looks: LookRows::new(plan),
        }
    }

    /// Adds all builds of one block to `tally`, each looked at as often as the run plan says.
    pub fn run_block(&mut self, plan: &Plan, run_plan: &RunPlan, block: u64, tally: &mut Tally) {
        let first = block * BLOCK_BUILDS as u64;
        let builds = (run_plan.builds - first).min(BLOCK_BUILDS as u64) as usize;
        self.build_draws.draw(plan, run_plan.seed, 0, block);
        self.builds.set(plan, &self.build_draws.rows);
        let mut alive = [0; BLOCK_BUILDS];
        for (build, alive) in alive.iter_mut().enumerate().take(builds) {
            match self.builds.fault(build) {
                Some(reason) => tally.add_failed_build(first + build as u64, reason),
                None => *alive = 1,
            }
        }
        if alive.iter().all(|alive| *alive == 0) {
            return;
        }
        let mut gather = Gather::new(tally);
        for look in 0..run_plan.looks {
            self.look_draws.draw(plan, run_plan.seed, look, block);
            self.looks.take(
                plan,
                &self.builds,
                &self.look_draws.rows,
                &alive,
                &mut gather,
            );
            gather.note_faults(first, look, &alive, |build| self.looks.fault(build));
        }
        gather.end_block(&alive, plan.design.judging.hold_share);
    }
}
