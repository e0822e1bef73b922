//! A few looks as they are seen, for the picture.

use super::run_plan::RunPlan;
use crate::figure::{Frame, Plan};
use crate::geometry::Pair;
use crate::sampling::BLOCK_BUILDS;
use crate::trial::{Draws, LookOutcome, Sight};

/// Looks in the picture: of builds of the first block.
const LOOKS: u64 = 40;
const _: () = assert!(LOOKS <= BLOCK_BUILDS as u64);

/// One look of the cloud, in the judged frame.
#[derive(Debug, Clone, PartialEq)]
pub struct CloudLook {
    /// Number of the build; the look is its first.
    pub build: u64,
    /// Whether it held.
    pub held: bool,
    /// For each rod the directions of its first end, its middle if it can bow, and its second end.
    pub rods: Vec<Vec<Pair>>,
}

/// The first look at each of the first builds, as far as it shows the whole figure.
pub fn cloud(plan: &Plan, run_plan: &RunPlan) -> Vec<CloudLook> {
    let sampler = run_plan.sampler(plan);
    let (mut builds, mut looks) = (Draws::of_builds(plan), Draws::of_looks(plan));
    builds.draw(plan, &sampler, 0, 0);
    looks.draw(plan, &sampler, 0, 0);
    (0..run_plan.builds.min(LOOKS))
        .filter_map(|build| {
            let build_values = builds.of_build(build as usize);
            let look_values = looks.of_build(build as usize);
            let sight = Sight::of(plan, &build_values, &look_values).ok()?;
            let LookOutcome::Judged(verdict) = sight.outcome else {
                return None;
            };
            Some(CloudLook {
                build,
                held: verdict.holds(),
                rods: seen_rods(plan, &sight)?,
            })
        })
        .collect()
}

/// Where each rod is seen in the judged frame: end, middle if it can bow, end; `None` when part of a rod is not seen.
pub fn seen_rods(plan: &Plan, sight: &Sight) -> Option<Vec<Vec<Pair>>> {
    let fit = match plan.design.judging.frame {
        Frame::Fixed => None,
        Frame::Fitted => Some(sight.fit?),
    };
    sight
        .rods
        .iter()
        .map(|rod| {
            [Some(&rod.ends[0]), rod.middle.as_ref(), Some(&rod.ends[1])]
                .into_iter()
                .flatten()
                .map(|point| {
                    point
                        .seen
                        .map(|seen| fit.map_or(seen, |fit| fit.undo(seen)))
                })
                .collect()
        })
        .collect()
}
