//! How near a build is to failing, as one number: at most 1 where the build passes, above 1 where it fails.
//!
//! A build passes when enough of its unclipped looks hold (`Tally::end_build`). Let every unclipped look count with its worst
//! drift or gap over its limit, and one that cannot be computed with +∞; if k of J must hold, the build passes exactly when
//! the k-th smallest is at most 1.

use crate::figure::{Item, Plan};
use crate::sampling::{BLOCK_BUILDS, Row};
use crate::statistics::ROUNDING;
use crate::trial::{BuildRows, LookRows, Marks, NotComputable, VerdictRows, Witness};
use rayon::prelude::*;

/// The values of one build and of the looks at it.
#[derive(Debug, Clone, PartialEq)]
pub struct TrialValues {
    /// Build values, laid out by the plan.
    pub build: Vec<f64>,
    /// Look values, laid out by the plan, look by look.
    pub looks: Vec<Vec<f64>>,
}

/// At what a build is nearest to failing, or fails.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fault {
    /// The rod or junction that is worst in the look that decides.
    Item(Item),
    /// No look shows the whole figure.
    NeverShown,
    /// The build, or the look that decides, cannot be computed.
    NotComputable(NotComputable),
}

/// How near a build is to failing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Performance {
    /// At most 1 where the build passes; +∞ where it never shows the figure or cannot be computed.
    pub worst: f64,
    /// At what.
    pub fault: Fault,
}

impl Performance {
    fn lost(fault: Fault) -> Self {
        Self {
            worst: f64::INFINITY,
            fault,
        }
    }

    /// Whether the build passes.
    pub fn passes(&self) -> bool {
        self.worst <= 1.0
    }
}

/// The performance of each build, in order; worked out in the current pool. Every build has the same number of looks.
pub fn performances(plan: &Plan, trials: &[TrialValues]) -> Vec<Performance> {
    performances_of(plan, trials, Clone::clone)
}

/// The same for what `values` makes of each of `points`, a block at a time: the values of all looks of many builds are more
/// than a cache holds.
pub(super) fn performances_of<P: Sync>(
    plan: &Plan,
    points: &[P],
    values: impl Fn(&P) -> TrialValues + Sync,
) -> Vec<Performance> {
    points
        .par_chunks(BLOCK_BUILDS)
        .map_init(
            || Room::new(plan),
            |room, block| {
                let trials: Vec<TrialValues> = block.iter().map(&values).collect();
                room.performances(plan, &trials)
            },
        )
        .flatten_iter()
        .collect()
}

/// Room for a block of builds and one look at each.
struct Room {
    build_values: Vec<Row>,
    look_values: Vec<Row>,
    builds: BuildRows,
    looks: LookRows,
}

impl Room {
    fn new(plan: &Plan) -> Self {
        Self {
            build_values: vec![Row::of(0.0); plan.layout.build_len],
            look_values: vec![Row::of(0.0); plan.layout.look_len],
            builds: BuildRows::new(plan),
            looks: LookRows::new(plan),
        }
    }

    fn performances(&mut self, plan: &Plan, block: &[TrialValues]) -> Vec<Performance> {
        fill(
            &mut self.build_values,
            block.iter().map(|one| &one.build[..]),
        );
        self.builds.set(plan, &self.build_values);
        let alive = self.builds.computable(block.len());
        let mut unclipped = vec![Vec::new(); block.len()];
        let looks = block.first().map_or(0, |one| one.looks.len());
        for look in 0..looks {
            let values = block.iter().map(|one| &one.looks[look][..]);
            fill(&mut self.look_values, values);
            let mut witness = Unclipped(&mut unclipped);
            self.looks
                .take(plan, &self.builds, &self.look_values, &alive, &mut witness);
            for (build, unclipped) in unclipped.iter_mut().enumerate() {
                if let Some(reason) = self.looks.fault(build).filter(|_| alive[build] != 0) {
                    unclipped.push(Performance::lost(Fault::NotComputable(reason)));
                }
            }
        }
        let hold_share = plan.design.judging.hold_share;
        unclipped
            .into_iter()
            .enumerate()
            .map(|(build, unclipped)| match self.builds.fault(build) {
                Some(reason) => Performance::lost(Fault::NotComputable(reason)),
                None => deciding(unclipped, hold_share),
            })
            .collect()
    }
}

/// Puts each build's values into its lane.
fn fill<'v>(rows: &mut [Row], builds: impl Iterator<Item = &'v [f64]>) {
    for (build, values) in builds.enumerate() {
        for (row, value) in rows.iter_mut().zip(values) {
            row.0[build] = *value;
        }
    }
}

/// Takes down the worst of every judged look.
struct Unclipped<'u>(&'u mut [Vec<Performance>]);

impl Witness for Unclipped<'_> {
    #[inline(always)]
    fn look(&mut self, rows: &VerdictRows, counted: &Marks) {
        for (build, looks) in self.0.iter_mut().enumerate() {
            if counted[build] != 0 {
                looks.push(Performance {
                    worst: rows.worst[build],
                    fault: Fault::Item(rows.worst_item(build)),
                });
            }
        }
    }
}

/// Which look decides whether a build passes, when the unclipped ones are put in the order of their worst faults.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Decides {
    /// None, for none shows the whole figure.
    NothingShown,
    /// None, for none need hold.
    NothingNeedHold,
    /// This one, counted from 0.
    Nth(usize),
}

/// Which of `unclipped` looks decides when `hold_share` of them must hold.
pub(super) fn nth_that_decides(hold_share: f64, unclipped: usize) -> Decides {
    let must_hold = (hold_share * unclipped as f64 - ROUNDING).ceil();
    match unclipped {
        0 => Decides::NothingShown,
        _ if must_hold < 1.0 => Decides::NothingNeedHold,
        _ => Decides::Nth((must_hold as usize).min(unclipped) - 1),
    }
}

/// The look that decides whether the build passes.
fn deciding(mut unclipped: Vec<Performance>, hold_share: f64) -> Performance {
    unclipped.sort_by(|a, b| a.worst.total_cmp(&b.worst));
    match nth_that_decides(hold_share, unclipped.len()) {
        Decides::NothingShown => Performance::lost(Fault::NeverShown),
        Decides::NothingNeedHold => Performance {
            worst: 0.0,
            ..unclipped[0]
        },
        Decides::Nth(nth) => unclipped[nth],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_look_that_decides_is_the_last_that_must_hold() {
        let looks = |shares: &[f64]| {
            shares
                .iter()
                .enumerate()
                .map(|(rod, worst)| Performance {
                    worst: *worst,
                    fault: Fault::Item(Item::Rod(rod)),
                })
                .collect::<Vec<_>>()
        };
        let ten = [0.1, 2.0, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.2];
        // 0.9 × 10 is 9: the ninth smallest
        assert_eq!(deciding(looks(&ten), 0.9).worst, 0.9);
        assert_eq!(deciding(looks(&ten), 0.9).fault, Fault::Item(Item::Rod(8)));
        // 0.91 × 10 is 9.1: all ten
        assert!(!deciding(looks(&ten), 0.91).passes());
        assert_eq!(deciding(looks(&[2.0]), 0.0).worst, 0.0);
        assert_eq!(deciding(Vec::new(), 0.9).fault, Fault::NeverShown);
    }
}
