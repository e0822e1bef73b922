//! How much room tolerances have: the largest factor on them at which the target yield is still met, and enough looks still
//! show the whole figure (an eye that sees only part of it judges nothing, so the yield alone would let a hole wander off).
//!
//! All factors are tried at the same builds and looks (brief runs). The target is met exactly when the margin of the build that
//! stands at the target yield, all builds put in order, is at most 1; and a bound of the yield's interval meets it exactly when
//! the margin at some higher or lower place does. Margins change smoothly with the factor where counts jump, so a crossing is
//! found in a few runs. Where more error helps (an error that undoes another), one crossing of several is found.

use super::brief::{Brief, brief};
use super::run_plan::RunPlan;
use crate::figure::{Design, Judging, Plan, Source};
use crate::statistics::{Proportion, interval_of_clustered_share};
use crate::trial::RunHooks;

/// Smallest factor that is tried: work 64 times as good as it is (chosen: nobody does better).
pub const SMALLEST_FACTOR: f64 = 1.0 / 64.0;

/// A crossing is found to within this share of the factor or of the margin: well inside what the counts leave open.
const WITHIN: f64 = 0.002;

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
    /// Share of looks that show the whole figure there: estimate and interval.
    pub clear_at_end: (f64, [f64; 2]),
    /// Whether that share, and not the yield, is what ends the room (or would first).
    pub is_held_by_clear: bool,
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

/// What is asked of a yield: places of builds in the order of their margins.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Asked {
    run: RunPlan,
    /// Fewest builds that must pass for the lower bound, the estimate and the upper bound of the yield to meet the target;
    /// more than there are where none is enough.
    needed: [u64; 3],
    /// Share of all looks that should show the whole figure.
    clear_share: f64,
}

impl Asked {
    /// What `judging` asks of the builds of `run`: the target yield, and the share of looks that show the whole figure.
    pub(super) fn of(run: &RunPlan, judging: &Judging) -> Self {
        let target = judging.target_yield;
        let meets = |passed: u64, curve: usize| {
            let yield_found = run.proportion(passed, run.builds);
            let bounds = yield_found.interval();
            let share = match curve {
                0 => bounds.map(|[low, _]| low),
                1 => yield_found.share(),
                _ => bounds.map(|[_, high]| high),
            };
            share.is_some_and(|share| share >= target)
        };
        let fewest = |curve: usize| {
            let (mut low, mut high) = (0, run.builds + 1);
            while low < high {
                let middle = u64::midpoint(low, high);
                if middle > run.builds || meets(middle, curve) {
                    high = middle;
                } else {
                    low = middle + 1;
                }
            }
            low
        };
        Self {
            run: *run,
            needed: [0, 1, 2].map(fewest),
            clear_share: judging.clear_share,
        }
    }

    /// What a brief run of these builds found.
    pub(super) fn found(&self, brief: &Brief) -> Found {
        let mut ordered = brief.margins.clone();
        ordered.sort_unstable_by(f64::total_cmp);
        let passing = self.needed.map(|needed| match needed.checked_sub(1) {
            None => 0.0,
            Some(nth) => ordered.get(nth as usize).copied().unwrap_or(f64::INFINITY),
        });
        let clear = self.clear(brief);
        let hidden = clear.map(|clear| self.hidden_over_allowed(clear));
        Found {
            build_yield: brief.build_yield(&self.run),
            clear,
            margins: [0, 1, 2].map(|curve| passing[curve].max(hidden[curve])),
            is_held_by_clear: hidden[1] > passing[1],
        }
    }

    /// Share of looks that show the whole figure: lower bound, estimate, upper bound. Where no look could be taken no build
    /// passes, and that decides.
    fn clear(&self, brief: &Brief) -> [f64; 3] {
        let interval = interval_of_clustered_share(&brief.clear, self.run.level);
        match (brief.clear.share(), interval) {
            (Some(share), Some([low, high])) => [low, share, high],
            _ => [1.0; 3],
        }
    }

    /// Looks that do not show the whole figure over those that need not: at most 1 exactly where enough do.
    fn hidden_over_allowed(&self, clear: f64) -> f64 {
        let (hidden, allowed) = (1.0 - clear, 1.0 - self.clear_share);
        if hidden <= 0.0 { 0.0 } else { hidden / allowed }
    }
}

/// Where the lower bound, the estimate and the upper bound of a yield stand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Found {
    pub build_yield: Proportion,
    /// The same of the share of looks that show the whole figure.
    pub clear: [f64; 3],
    /// At most 1 exactly where the bound, the estimate or the other bound meets both targets.
    pub margins: [f64; 3],
    /// Whether looks that do not show the whole figure are nearer to their limit than builds that fail.
    pub is_held_by_clear: bool,
}

impl Found {
    fn meets(&self, curve: usize) -> bool {
        self.margins[curve] <= 1.0
    }
}

/// Yields by factor.
pub(super) struct Yields<'a> {
    plan: &'a Plan,
    asked: Asked,
    hooks: &'a RunHooks<'a>,
    /// As the design is.
    pub as_is: Found,
}

impl<'a> Yields<'a> {
    /// `None` when interrupted.
    pub(super) fn new(plan: &'a Plan, run: &RunPlan, hooks: &'a RunHooks<'a>) -> Option<Self> {
        let asked = Asked::of(run, &plan.design.judging);
        Some(Self {
            plan,
            asked,
            hooks,
            as_is: asked.found(&brief(plan, run, hooks)?),
        })
    }

    /// What is found when each of `scaled` has its factor on its sources; `None` when interrupted.
    pub(super) fn scaled(&self, scaled: &[(Vec<Source>, f64)]) -> Option<Found> {
        let plan = Plan::new(scaled_design(self.plan, scaled));
        let brief = brief(&plan, &self.asked.run, self.hooks)?;
        Some(self.asked.found(&brief))
    }

    /// The room of `sources` together, up to the factor `largest`, the others as they are. `None` when interrupted.
    pub(super) fn room(&self, sources: &[Source], largest: f64) -> Option<Room> {
        let mut at = |factor| self.scaled(&[(sources.to_vec(), factor)]);
        room(self.as_is, largest, &mut at)
    }
}

/// The design with each of `scaled` scaled by its factor.
pub(super) fn scaled_design(plan: &Plan, scaled: &[(Vec<Source>, f64)]) -> Design {
    scaled
        .iter()
        .fold(plan.design.clone(), |design, (sources, factor)| {
            design.with_scaled(sources, *factor)
        })
}

/// Factors that were tried, rising, with what was found.
struct Tried<'a> {
    all: Vec<(f64, Found)>,
    find: &'a mut dyn FnMut(f64) -> Option<Found>,
}

impl<'a> Tried<'a> {
    /// What is found at 1 and at both ends of `range`; `None` when it cannot be had.
    fn begun(
        as_is: Found,
        range: [f64; 2],
        find: &'a mut dyn FnMut(f64) -> Option<Found>,
    ) -> Option<Self> {
        let mut tried = Self {
            all: vec![(1.0, as_is)],
            find,
        };
        for end in range {
            tried.at(end)?;
        }
        Some(tried)
    }
}

impl Tried<'_> {
    fn at(&mut self, factor: f64) -> Option<Found> {
        let place = self.all.partition_point(|(at, _)| *at < factor);
        if let Some((at, found)) = self.all.get(place)
            && *at == factor
        {
            return Some(*found);
        }
        let found = (self.find)(factor)?;
        self.all.insert(place, (factor, found));
        Some(found)
    }

    /// The largest factor known below which `curve` meets and above which it does not, within what is asked; both ends of the
    /// range were tried, and it meets at the lower one only.
    fn falls(&mut self, range: [f64; 2], curve: usize) -> Option<f64> {
        const MOST_RUNS: u32 = 60;
        // the last that meets: the largest of several crossings
        let last = self
            .all
            .iter()
            .rposition(|(at, found)| *at >= range[0] && *at < range[1] && found.meets(curve))?;
        let (mut low, mut high) = (self.all[last], self.all[last + 1]);
        // how often the same end stayed
        let mut stayed = [0_u32; 2];
        for _ in 0..MOST_RUNS {
            let near = low.1.margins[curve] >= 1.0 - WITHIN;
            if near || high.0 <= low.0 * (1.0 + WITHIN) {
                break;
            }
            let factor = between(low, high, curve, stayed);
            let found = self.at(factor)?;
            if found.meets(curve) {
                low = (factor, found);
                stayed = [0, stayed[1] + 1];
            } else {
                high = (factor, found);
                stayed = [stayed[0] + 1, 0];
            }
        }
        Some(low.0)
    }
}

/// A factor between two, where the square of the margin would be 1 if it grew with the square of the factor, as variances do;
/// halfway (in the logarithm) where that says nothing or did not help.
fn between(low: (f64, Found), high: (f64, Found), curve: usize, stayed: [u32; 2]) -> f64 {
    let halfway = (low.0 * high.0).sqrt();
    let [below, above] = [low, high].map(|(_, found)| found.margins[curve] * found.margins[curve]);
    if !above.is_finite() || stayed.iter().any(|times| *times >= 3) {
        return halfway;
    }
    // a little inside what is to be met, so that the guess itself may end the search
    let aim = 1.0 - WITHIN;
    let share = (aim - below) / (above - below);
    let guess = (low.0 * low.0 + share * (high.0 * high.0 - low.0 * low.0)).sqrt();
    // never so near to an end that nothing is learnt
    let least = 1.0 + WITHIN / 2.0;
    if guess.is_finite() {
        guess.clamp(low.0 * least, (high.0 / least).max(low.0 * least))
    } else {
        halfway
    }
}

impl Tried<'_> {
    /// Where the room of `curve` ends in `range`, both ends of which were tried.
    fn end(&mut self, range: [f64; 2], curve: usize) -> Option<RoomEnd> {
        let meets = |(_, found): &(f64, Found)| found.meets(curve);
        Some(if self.at(range[1])?.meets(curve) {
            RoomEnd::BeyondLargest
        } else if self.all.iter().any(meets) {
            RoomEnd::At(self.falls(range, curve)?)
        } else {
            RoomEnd::EvenNoneIsNotEnough
        })
    }
}

/// The room up to the factor `largest` (at least 1), where `find` tells what is found at a factor, and `as_is` at 1. `None` when
/// it cannot be had.
pub(super) fn room(
    as_is: Found,
    largest: f64,
    find: &mut dyn FnMut(f64) -> Option<Found>,
) -> Option<Room> {
    // where the present is decided, half of the range is
    let range = if as_is.meets(0) {
        [1.0, largest]
    } else if as_is.meets(2) {
        [SMALLEST_FACTOR, largest]
    } else {
        [SMALLEST_FACTOR, 1.0]
    };
    let mut tried = Tried::begun(as_is, range, find)?;
    // the estimate first: what it tries narrows the other two
    let end = tried.end(range, 1)?;
    let [surely, possibly] = [tried.end(range, 0)?, tried.end(range, 2)?];
    let at_end = tried.at(match end {
        RoomEnd::At(factor) => factor,
        RoomEnd::BeyondLargest => range[1],
        RoomEnd::EvenNoneIsNotEnough => range[0],
    })?;
    Some(Room {
        end,
        surely: match surely {
            RoomEnd::At(factor) => factor,
            RoomEnd::BeyondLargest => range[1],
            RoomEnd::EvenNoneIsNotEnough => 0.0,
        },
        possibly: match possibly {
            RoomEnd::At(factor) => Some(factor),
            RoomEnd::BeyondLargest => None,
            RoomEnd::EvenNoneIsNotEnough => Some(0.0),
        },
        largest,
        yield_at_end: at_end.build_yield,
        clear_at_end: (at_end.clear[1], [at_end.clear[0], at_end.clear[2]]),
        is_held_by_clear: at_end.is_held_by_clear,
        runs: tried.all.len() as u32 - 1,
    })
}

/// Where the estimate of [`room`] ends, without its interval.
pub(super) fn room_end(
    as_is: Found,
    largest: f64,
    find: &mut dyn FnMut(f64) -> Option<Found>,
) -> Option<RoomEnd> {
    let range = if as_is.meets(1) {
        [1.0, largest]
    } else {
        [SMALLEST_FACTOR, 1.0]
    };
    Tried::begun(as_is, range, find)?.end(range, 1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sampling::Sampling;
    use crate::statistics::IntervalMethod;

    const BUILDS: u64 = 10_000;

    fn run_plan() -> RunPlan {
        RunPlan {
            seed: 1,
            builds: BUILDS,
            looks: 1,
            half_width: None,
            level: 0.95,
            method: IntervalMethod::Wilson,
            sampling: Sampling::Plain,
        }
    }

    /// Builds at evenly spread places u whose margins are `margin(factor, u)`.
    fn room_of(largest: f64, margin: impl Fn(f64, f64) -> f64) -> Room {
        let asked = Asked::of(&run_plan(), &Judging::usual());
        let find = |factor: f64| {
            let margins: Vec<f64> = (0..BUILDS)
                .map(|n| margin(factor, (n as f64 + 0.5) / BUILDS as f64))
                .collect();
            let passed = margins.iter().filter(|margin| **margin <= 1.0).count() as u64;
            asked.found(&Brief {
                margins,
                passed,
                ..Brief::default()
            })
        };
        room(find(1.0), largest, &mut |factor| Some(find(factor))).expect("known")
    }

    #[test]
    fn places_of_the_bounds_are_where_the_intervals_cross_the_target() {
        let asked = Asked::of(&run_plan(), &Judging::usual());
        let [low, at, high] = asked.needed;
        assert_eq!(at, 9000);
        let bounds = |passed| {
            run_plan()
                .proportion(passed, BUILDS)
                .interval()
                .expect("some")
        };
        assert!(bounds(low)[0] >= 0.9 && bounds(low - 1)[0] < 0.9);
        assert!(bounds(high)[1] >= 0.9 && bounds(high - 1)[1] < 0.9);
        // ten builds of which all pass: the lower bound stays under 0.9
        let few = RunPlan {
            builds: 10,
            ..run_plan()
        };
        assert_eq!(Asked::of(&few, &Judging::usual()).needed, [11, 9, 8]);
    }

    #[test]
    fn room_is_found_on_either_side_of_the_present() {
        for half in [0.3, 1.0, 3.0] {
            // nine of ten stay within 1 at the factor `half`, in each of these ways
            let straight = room_of(16.0, |x, u| x / half * u / 0.9);
            let with_floor = room_of(16.0, |x, u| {
                (0.3 + 0.7 * (x / half) * (x / half)).sqrt() * u / 0.9
            });
            let with_kink = room_of(16.0, |x, u| f64::max(0.5, x / half) * u / 0.9);
            let endless = room_of(16.0, |x, u| {
                if x > 1.5 * half {
                    f64::INFINITY
                } else {
                    x / half * u / 0.9
                }
            });
            for found in [straight, with_floor, with_kink, endless] {
                let RoomEnd::At(factor) = found.end else {
                    panic!("{found:?}")
                };
                let off = factor / half;
                assert!(off <= 1.0 + 1e-4 && off > 1.0 - 0.004, "{found:?}");
                assert!(found.runs < 20, "{found:?}");
                let share = found.yield_at_end.share().expect("builds");
                assert!((0.9..0.905).contains(&share), "{found:?}");
            }
            // Wilson meets 0.9 from below at 9058 of 10 000 and from above at 8939
            let off = |at: f64| at / half;
            assert!(
                (off(straight.surely) - 0.9 / 0.9058).abs() < 0.003,
                "{straight:?}"
            );
            let possibly = straight.possibly.expect("crosses");
            assert!((off(possibly) - 0.9 / 0.8939).abs() < 0.003, "{straight:?}");
        }
    }

    #[test]
    fn what_no_factor_changes_is_told_as_endless_or_as_hopeless() {
        let endless = room_of(4.0, |_, u| u);
        assert_eq!(endless.end, RoomEnd::BeyondLargest);
        assert_eq!((endless.surely, endless.possibly), (4.0, None));
        assert_eq!(endless.runs, 1);
        let hopeless = room_of(4.0, |_, u| u + 0.9);
        assert_eq!(hopeless.end, RoomEnd::EvenNoneIsNotEnough);
        assert_eq!((hopeless.surely, hopeless.possibly), (0.0, Some(0.0)));
        // counts that cannot tell: nothing is sure on either side
        let open = room_of(4.0, |_, u| u / 0.901);
        assert_eq!(open.end, RoomEnd::BeyondLargest);
        assert_eq!((open.surely, open.possibly), (0.0, None));
    }
}
