//! How near a build is to failing, as one number: at most 1 where the build passes, above 1 where it fails.
//!
//! A build passes when enough of its unclipped looks hold (`Tally::end_build`). Let every unclipped look count with its worst
//! drift or gap over its limit, and one that cannot be computed with +∞; if k of J must hold, the build passes exactly when
//! the k-th smallest is at most 1.

use crate::figure::{Item, Plan};
use crate::trial::{Built, Glance, LookOutcome, Measured, NotComputable, Viewed, judge};
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

/// As in the tally: a share times a count may come out a rounding above the whole number that it stands for.
const ROUNDING: f64 = 1e-9;

/// Builds that one worker takes at a time.
const BUILDS_AT_ONCE: usize = 64;

/// The performance of each build, in order; worked out in the current pool.
pub fn performances(plan: &Plan, trials: &[TrialValues]) -> Vec<Performance> {
    trials
        .par_chunks(BUILDS_AT_ONCE)
        .flat_map_iter(|some| {
            let mut built = Built::new(plan);
            let mut viewed = Viewed::new(plan);
            let mut measured = Measured::new(plan);
            some.iter()
                .map(|trial| of_one(plan, trial, &mut built, &mut viewed, &mut measured))
                .collect::<Vec<_>>()
        })
        .collect()
}

fn of_one(
    plan: &Plan,
    trial: &TrialValues,
    built: &mut Built,
    viewed: &mut Viewed,
    measured: &mut Measured,
) -> Performance {
    if let Err(reason) = built.set(plan, &trial.build) {
        return Performance::lost(Fault::NotComputable(reason));
    }
    let unclipped = trial.looks.iter().filter_map(|values| {
        let outcome = Glance::new(plan, values, built.peephole_mm)
            .and_then(|glance| judge(plan, built, &glance, viewed, measured, |_, _, _| {}));
        match outcome {
            Ok(LookOutcome::Clipped) => None,
            Ok(LookOutcome::Judged(verdict)) => Some(Performance {
                worst: verdict.worst_share,
                fault: Fault::Item(verdict.worst),
            }),
            Err(reason) => Some(Performance::lost(Fault::NotComputable(reason))),
        }
    });
    deciding(unclipped.collect(), plan.design.judging.hold_share)
}

/// The look that decides whether the build passes.
fn deciding(mut unclipped: Vec<Performance>, hold_share: f64) -> Performance {
    if unclipped.is_empty() {
        return Performance::lost(Fault::NeverShown);
    }
    let must_hold = (hold_share * unclipped.len() as f64 - ROUNDING).ceil();
    unclipped.sort_by(|a, b| a.worst.total_cmp(&b.worst));
    let nth = (must_hold.max(1.0) as usize).min(unclipped.len());
    let mut decides = unclipped[nth - 1];
    if must_hold < 1.0 {
        // nothing need hold
        decides.worst = 0.0;
    }
    decides
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
