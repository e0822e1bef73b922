//! How much room tolerances have: the largest factor on them at which the target yield is still met.
//!
//! All factors are tried at the same builds and looks (brief runs), so the yield is one fixed function of the factor and falls
//! with it but for chance. Where more error helps (an error that undoes another), one crossing of several is found.

use super::brief::brief;
use super::crossing::{Band, Slope, crossing};
use super::run_plan::RunPlan;
use crate::figure::{Plan, Source};
use crate::statistics::Proportion;
use crate::trial::RunHooks;

/// Smallest factor that is tried: work 64 times as good as it is (chosen: nobody does better).
pub const SMALLEST_FACTOR: f64 = 1.0 / 64.0;

/// A crossing is found to within this share of the factor: well inside what the counts leave open.
const WITHIN: f64 = 0.004;

/// Where the room ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RoomEnd {
    /// At this factor the target is just met.
    At(f64),
    /// The target is still met at the largest factor tried.
    BeyondLargest,
    /// The target is not met at the smallest factor tried.
    EvenNoneIsNotEnough,
}

/// The room that some tolerances have together, as a factor on what they are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Room {
    /// Where it ends, by the estimate.
    pub end: RoomEnd,
    /// Up to this factor the whole interval of the yield meets the target; 0 when it nowhere does.
    pub surely: f64,
    /// Beyond this factor the whole interval of the yield misses the target; 0 when it does everywhere, `None` when it does
    /// not at the largest factor tried.
    pub possibly: Option<f64>,
    /// Largest factor tried.
    pub largest: f64,
    /// Yield at the end: at the factor found, at the largest tried, or at the smallest tried.
    pub yield_at_end: Proportion,
    /// How many brief runs it took.
    pub runs: u32,
}

impl Room {
    /// The factor of the estimate: the largest tried where there is more room, 0 where there is none.
    pub fn factor(&self) -> f64 {
        match self.end {
            RoomEnd::At(factor) => factor,
            RoomEnd::BeyondLargest => self.largest,
            RoomEnd::EvenNoneIsNotEnough => 0.0,
        }
    }
}

/// Yields by factor, each worked out once.
pub(super) struct Yields<'a> {
    plan: &'a Plan,
    run: &'a RunPlan,
    hooks: &'a RunHooks<'a>,
    as_is: Proportion,
}

impl<'a> Yields<'a> {
    /// `None` when interrupted.
    pub(super) fn new(plan: &'a Plan, run: &'a RunPlan, hooks: &'a RunHooks<'a>) -> Option<Self> {
        Some(Self {
            plan,
            run,
            hooks,
            as_is: brief(plan, run, hooks)?.build_yield(run),
        })
    }

    /// The yield of the design as it is.
    pub(super) fn as_is(&self) -> Proportion {
        self.as_is
    }

    /// The yield when each of `scaled` has its factor on its sources; `None` when interrupted.
    pub(super) fn scaled(&self, scaled: &[(Vec<Source>, f64)]) -> Option<Proportion> {
        if scaled.iter().all(|(_, factor)| *factor == 1.0) {
            return Some(self.as_is);
        }
        let plan = Plan::new(scaled_design(self.plan, scaled));
        Some(brief(&plan, self.run, self.hooks)?.build_yield(self.run))
    }

    /// The room of `sources` together, up to the factor `largest`, the others as they are. `None` when interrupted.
    pub(super) fn room(&self, sources: &[Source], largest: f64) -> Option<Room> {
        let mut at = |factor| self.scaled(&[(sources.to_vec(), factor)]);
        let target = self.plan.design.judging.target_yield;
        room(target, self.as_is, largest, &mut at)
    }
}

/// The design with each of `scaled` scaled by its factor.
pub(super) fn scaled_design(plan: &Plan, scaled: &[(Vec<Source>, f64)]) -> crate::figure::Design {
    scaled
        .iter()
        .fold(plan.design.clone(), |design, (sources, factor)| {
            design.with_scaled(sources, *factor)
        })
}

/// The room up to the factor `largest` (at least 1) of what yields `share(factor)`, and `as_is` at the factor 1. `None` when
/// the share cannot be had.
pub(super) fn room(
    target: f64,
    as_is: Proportion,
    largest: f64,
    share: &mut dyn FnMut(f64) -> Option<Proportion>,
) -> Option<Room> {
    let now = Band::of(&as_is)?;
    // where the present is decided, half of the range is
    let range = if now.low >= target {
        [1.0, largest]
    } else if now.high < target {
        [SMALLEST_FACTOR, 1.0]
    } else {
        [SMALLEST_FACTOR, largest]
    };
    let mut known = vec![(1.0, as_is)];
    let mut at = |factor: f64| -> Option<Proportion> {
        if let Some((_, found)) = known.iter().find(|(at, _)| *at == factor) {
            return Some(*found);
        }
        let found = share(factor)?;
        known.push((factor, found));
        Some(found)
    };
    let found = crossing(range, WITHIN, target, Slope::Falling, &mut |factor| {
        Band::of(&at(factor)?)
    })?;
    // what matters is the largest factor that meets: the upper end first
    let [_, high_end] = found.meets_at;
    let end = match found.at {
        Some(factor) => RoomEnd::At(factor),
        None if high_end[1] => RoomEnd::BeyondLargest,
        None => RoomEnd::EvenNoneIsNotEnough,
    };
    let surely = match found.surely {
        Some(factor) => factor,
        None if high_end[0] => range[1],
        None => 0.0,
    };
    let possibly = match found.possibly {
        Some(factor) => Some(factor),
        None if high_end[2] => None,
        None => Some(0.0),
    };
    let yield_at_end = at(match end {
        RoomEnd::At(factor) => factor,
        RoomEnd::BeyondLargest => range[1],
        RoomEnd::EvenNoneIsNotEnough => range[0],
    })?;
    Some(Room {
        end,
        surely,
        possibly,
        largest,
        yield_at_end,
        runs: known.len() as u32 - 1,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::statistics::IntervalMethod;

    const BUILDS: u64 = 10_000;

    fn counted(share: f64) -> Proportion {
        Proportion {
            count: (share * BUILDS as f64).round() as u64,
            of: BUILDS,
            level: 0.95,
            method: IntervalMethod::Wilson,
            scatter: None,
        }
    }

    fn room_of(largest: f64, share: impl Fn(f64) -> f64) -> Room {
        room(0.9, counted(share(1.0)), largest, &mut |factor| {
            Some(counted(share(factor)))
        })
        .expect("known")
    }

    #[test]
    fn room_is_found_on_either_side_of_the_present() {
        for half in [0.3, 1.0, 3.0] {
            // 0.9 at the factor `half`
            let found = room_of(16.0, |x| 1.0 - 0.1 * x / half);
            let RoomEnd::At(factor) = found.end else {
                panic!("{found:?}")
            };
            assert!((factor / half - 1.0).abs() < 0.005, "{found:?}");
            let possibly = found.possibly.expect("crosses");
            assert!(found.surely < factor && factor < possibly, "{found:?}");
            // Wilson at 9000 of 10 000: 0.894 to 0.9057
            assert!((found.surely / half - 0.94).abs() < 0.02, "{found:?}");
            assert!((possibly / half - 1.06).abs() < 0.02, "{found:?}");
        }
    }

    #[test]
    fn what_no_factor_changes_is_told_as_endless_or_as_hopeless() {
        let endless = room_of(4.0, |_| 0.99);
        assert_eq!(endless.end, RoomEnd::BeyondLargest);
        assert_eq!((endless.surely, endless.possibly), (4.0, None));
        assert_eq!(endless.runs, 1);
        let hopeless = room_of(4.0, |_| 0.2);
        assert_eq!(hopeless.end, RoomEnd::EvenNoneIsNotEnough);
        assert_eq!((hopeless.surely, hopeless.possibly), (0.0, Some(0.0)));
        // counts that cannot tell: nothing is sure on either side
        let open = room_of(4.0, |_| 0.901);
        assert_eq!(open.end, RoomEnd::BeyondLargest);
        assert_eq!((open.surely, open.possibly), (0.0, None));
    }
}
