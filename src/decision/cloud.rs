//! A few looks as they are seen, for the picture.

use super::run::RunPlan;
use crate::figure::{Frame, Plan};
use crate::geometry::Pair;
use crate::trial::{LookOutcome, Sight, fill_build, fill_look};

/// Looks in the picture.
const LOOKS: u64 = 40;

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
    (0..run_plan.builds.min(LOOKS))
        .filter_map(|build| {
            let build_values = fill_build(plan, &sampler, build);
            let look_values = fill_look(plan, &sampler, build, 0);
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
