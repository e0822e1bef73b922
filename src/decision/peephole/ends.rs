//! Both ends of the range: where each target is crossed, and which of them binds.

use super::super::crossing::{Band, Crossing, Slope, crossing};
use super::super::run_plan::Interrupted;
use super::Targets;
use super::models::{DiffractionLimit, LightLimit};
use super::sweep::{Bench, Counted, PeepholePoint};
use crate::statistics::interval_of_clustered_share;

/// How near to its crossing an end is found: to within 0.2 %, far less than any tool keeps.
const WITHIN: f64 = 0.002;

/// What bounds a peephole.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum BoundReason {
    /// Behind a narrower hole too few builds pass: of too many no look shows the whole figure.
    ShownAtAll,
    /// Behind a narrower hole too few looks show the whole figure.
    Clear,
    /// Through a narrower hole diffraction costs more than a line of acuity.
    Diffraction,
    /// Through a narrower hole too little light gets in for normal acuity.
    Light,
    /// Behind a wider hole too few builds pass: the eye's wandering parts the rods.
    Held,
    /// The same if eyes came to stand anywhere in the hole, evenly up to its rim: told beside the range, not part of it.
    HeldAnywhere,
    /// A wider hole is of no use: from here on the whole mean pupil sees the whole figure from wherever 95 of 100 looks are
    /// taken, and the hole no longer guides the eye.
    Guides,
    /// The same for the widest pupil and practically every look: in place of `Guides` where the targets ask for more than that.
    Open,
}

impl BoundReason {
    /// Its name in files.
    pub fn name(self) -> &'static str {
        match self {
            Self::ShownAtAll => "shown-at-all",
            Self::Clear => "clear",
            Self::Diffraction => "diffraction",
            Self::Light => "light",
            Self::Held => "held",
            Self::HeldAnywhere => "held-anywhere",
            Self::Guides => "guides",
            Self::Open => "open",
        }
    }

    /// Whether it bounds the range from below.
    pub fn is_lower(self) -> bool {
        !matches!(self, Self::Held | Self::HeldAnywhere) && !self.is_of_use()
    }

    /// Whether it says up to where a wider hole is of use.
    pub fn is_of_use(self) -> bool {
        matches!(self, Self::Guides | Self::Open)
    }

    /// Whether it comes from a model and not from the trials.
    pub fn is_model(self) -> bool {
        matches!(self, Self::Diffraction | Self::Light) || self.is_of_use()
    }
}

/// Where a target is met.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum State {
    /// On one side of the bound.
    Crossed,
    /// At every diameter of the sweep: it does not bind.
    Everywhere,
    /// At none.
    Nowhere,
}

/// One bound.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bound {
    /// What it is.
    pub reason: BoundReason,
    /// Where its target is met.
    pub state: State,
    /// Where it is crossed, mm; `None` where it is not.
    pub at_mm: Option<f64>,
    /// On the safe side of this the whole interval of the share meets the target; `None` where it does nowhere, or at every
    /// diameter, or where the bound is a model's.
    pub surely_mm: Option<f64>,
    /// Beyond this the whole interval fails the target; `None` likewise.
    pub possibly_mm: Option<f64>,
    /// Whether the whole interval meets the target at every diameter.
    pub surely_everywhere: bool,
}

impl Bound {
    fn of_crossing(reason: BoundReason, found: &Crossing) -> Self {
        let state = if found.nowhere() {
            State::Nowhere
        } else if found.at.is_none() {
            State::Everywhere
        } else {
            State::Crossed
        };
        Self {
            reason,
            state,
            at_mm: found.at,
            surely_mm: found.surely,
            possibly_mm: found.possibly,
            surely_everywhere: found.meets_at[0][0] && found.meets_at[1][0],
        }
    }

    fn nowhere(reason: BoundReason) -> Self {
        Self {
            reason,
            state: State::Nowhere,
            at_mm: None,
            surely_mm: None,
            possibly_mm: None,
            surely_everywhere: false,
        }
    }

    fn of_model(reason: BoundReason, at_mm: f64) -> Self {
        Self {
            reason,
            state: State::Crossed,
            at_mm: Some(at_mm),
            surely_mm: None,
            possibly_mm: None,
            surely_everywhere: false,
        }
    }

    /// The end that it would make of a range; `None` where it is not crossed.
    pub fn end(&self) -> Option<End> {
        let mut interval_mm = [self.possibly_mm, self.surely_mm];
        if !self.reason.is_lower() {
            interval_mm.reverse();
        }
        Some(End {
            at_mm: self.at_mm?,
            interval_mm,
            reason: self.reason,
        })
    }

    /// Up to where its target is surely met, mm: the model's own value where it has no interval.
    fn safe_mm(&self) -> Option<f64> {
        if self.reason.is_model() {
            self.at_mm
        } else {
            self.surely_mm
        }
    }
}

/// One end of the range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct End {
    /// Where it is, mm.
    pub at_mm: f64,
    /// Interval from the trials, mm; each side `None` where the sweep does not reach it, both for a model's limit.
    pub interval_mm: [Option<f64>; 2],
    /// What binds it.
    pub reason: BoundReason,
}

/// The range of diameters that meet all targets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// Its lower end.
    pub smallest: End,
    /// Its upper end: where the trials bind it, else where a wider hole is of no use; `None` where the trials ask for more than
    /// that and do not bind it up to `tried_up_to_mm`.
    pub largest: Option<End>,
    /// Widest hole of the sweep, mm.
    pub tried_up_to_mm: f64,
    /// Narrowest and widest diameter at which the whole interval of every share meets its target, mm; `None` where there is
    /// none such.
    pub safe_mm: Option<[f64; 2]>,
}

impl Range {
    /// Whether a hole of this diameter lies in it.
    pub fn holds(&self, diameter_mm: f64) -> bool {
        self.smallest.at_mm <= diameter_mm && diameter_mm <= self.upper_mm()
    }

    /// Its upper end, or the widest hole that was tried, mm.
    pub fn upper_mm(&self) -> f64 {
        self.largest.map_or(self.tried_up_to_mm, |end| end.at_mm)
    }
}

/// Why there is no range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum NoWindow {
    /// At no diameter do enough builds pass; the best one of the sweep, mm.
    TooFewBuildsPass {
        /// Where most builds pass, mm.
        best_mm: f64,
    },
    /// No diameter of the sweep shows the whole figure to enough looks.
    TooFewLooksShow,
    /// What binds from below lies above what binds from above.
    EndsCross {
        /// The lower end.
        smallest: End,
        /// The upper end.
        largest: End,
    },
}

/// How a share is worked out for a diameter, and its band.
struct Curve<'a> {
    reason: BoundReason,
    target: f64,
    /// What is known already, rising in diameter.
    known: Vec<(f64, &'a Counted)>,
    band: &'a dyn Fn(&Counted) -> Option<Band>,
    count: &'a dyn Fn(f64) -> Result<Counted, Interrupted>,
}

/// Everything that bounds the diameter; and how far it might be wide if eyes came to stand anywhere in the hole.
pub(super) fn bounds(
    bench: &Bench<'_>,
    targets: &Targets,
    points: &[PeepholePoint],
    diffraction: &DiffractionLimit,
    light: Option<&LightLimit>,
    [guides_until_mm, open_from_mm]: [f64; 2],
) -> Result<(Vec<Bound>, Bound), Interrupted> {
    let level = bench.run.level;
    let yields = |counted: &Counted| Band::of(&counted.build_yield);
    let clear = |counted: &Counted| {
        let share = counted.clear.share()?;
        let interval = interval_of_clustered_share(&counted.clear, level)?;
        Some(Band::new(share, interval))
    };
    let known = |of: fn(&PeepholePoint) -> &Counted| -> Vec<(f64, &Counted)> {
        points
            .iter()
            .map(|point| (point.diameter_mm, of(point)))
            .collect()
    };
    let all = known(|point| &point.counted);
    let anywhere = known(|point| &point.anywhere);
    let [best, best_anywhere] = [&all, &anywhere].map(|known| most_pass(known));
    let as_is = |mm: f64| bench.with_hole(bench.plan, mm, bench.run);
    let in_the_hole = |mm: f64| bench.with_eyes_in_the_hole(mm);
    let builds = Curve {
        reason: BoundReason::Held,
        target: targets.build_yield,
        known: all[best..].to_vec(),
        band: &yields,
        count: &as_is,
    };
    let shown = Curve {
        reason: BoundReason::ShownAtAll,
        known: all[..=best].to_vec(),
        ..builds
    };
    let looks = Curve {
        reason: BoundReason::Clear,
        target: targets.clear,
        known: all.clone(),
        band: &clear,
        count: &as_is,
    };
    let held_anywhere = Curve {
        reason: BoundReason::HeldAnywhere,
        target: targets.build_yield,
        known: anywhere[best_anywhere..].to_vec(),
        band: &yields,
        count: &in_the_hole,
    };
    let mut bounds = vec![
        trial_bound(&shown)?,
        trial_bound(&looks)?,
        trial_bound(&builds)?,
        Bound::of_model(BoundReason::Diffraction, diffraction.smallest_mm),
    ];
    let light_mm = light.and_then(|light| light.smallest_mm);
    bounds.extend(light_mm.map(|at_mm| Bound::of_model(BoundReason::Light, at_mm)));
    let lower = bounds.iter().filter(|bound| bound.reason.is_lower());
    let smallest_mm = lower.filter_map(|bound| bound.at_mm).fold(0.0, f64::max);
    // where the targets ask for more than the mean pupil and most looks, a wider hole still is of use
    let of_use = [
        (BoundReason::Guides, guides_until_mm),
        (BoundReason::Open, open_from_mm),
    ];
    let found = of_use.into_iter().find(|(_, mm)| *mm >= smallest_mm);
    bounds.extend(found.map(|(reason, at_mm)| Bound::of_model(reason, at_mm)));
    Ok((bounds, trial_bound(&held_anywhere)?))
}

/// Where most builds pass, the narrowest of several; where none passes, where most looks show the figure and hold.
fn most_pass(known: &[(f64, &Counted)]) -> usize {
    let rank = |nth: usize| {
        let counted = known[nth].1;
        let passed = counted.build_yield.count;
        let both = counted.both.share().unwrap_or(0.0);
        (passed, if passed == 0 { both } else { 0.0 })
    };
    (0..known.len()).fold(0, |best, nth| {
        let (a, b) = (rank(nth), rank(best));
        if a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).is_gt() {
            nth
        } else {
            best
        }
    })
}

/// Where a share crosses its target, found on fresh diameters between the known ones next to the crossing of each of its
/// curves.
fn trial_bound(curve: &Curve<'_>) -> Result<Bound, Interrupted> {
    let Curve { reason, known, .. } = curve;
    let slope = if reason.is_lower() {
        Slope::Rising
    } else {
        Slope::Falling
    };
    let met: Vec<[bool; 3]> = known
        .iter()
        .map(|(_, counted)| {
            (curve.band)(counted).map_or([false; 3], |band| {
                [band.low, band.estimate, band.high].map(|share| share >= curve.target)
            })
        })
        .collect();
    // the shortest stretch outside of which all three curves are on one side
    let all = |wanted: bool| move |met: &&[bool; 3]| met.iter().all(|one| *one == wanted);
    let [at_start, at_end] = match slope {
        Slope::Rising => [false, true],
        Slope::Falling => [true, false],
    };
    let start = met.iter().take_while(all(at_start)).count();
    let end = met.iter().rev().take_while(all(at_end)).count();
    let low = start.saturating_sub(1);
    let high = (known.len() - end).min(known.len() - 1).max(low);
    let mut interrupted = false;
    let mut share = |diameter_mm: f64| {
        let one = known.iter().find(|(mm, _)| *mm == diameter_mm);
        if let Some((_, counted)) = one {
            return (curve.band)(counted);
        }
        match (curve.count)(diameter_mm) {
            Ok(counted) => (curve.band)(&counted),
            Err(Interrupted) => {
                interrupted = true;
                None
            }
        }
    };
    let range_mm = [known[low].0, known[high].0];
    let found = crossing(range_mm, WITHIN, curve.target, slope, &mut share);
    if interrupted {
        return Err(Interrupted);
    }
    // a share of nothing meets no target
    Ok(found.map_or(Bound::nowhere(*reason), |found| {
        Bound::of_crossing(*reason, &found)
    }))
}

/// The range that all bounds leave.
pub(super) fn range(bounds: &[Bound], points: &[PeepholePoint]) -> Result<Range, NoWindow> {
    let known: Vec<(f64, &Counted)> = points
        .iter()
        .map(|point| (point.diameter_mm, &point.counted))
        .collect();
    let best_mm = known[most_pass(&known)].0;
    let widest_mm = points[points.len() - 1].diameter_mm;
    let nowhere = |reasons: &[BoundReason]| {
        bounds
            .iter()
            .any(|bound| bound.state == State::Nowhere && reasons.contains(&bound.reason))
    };
    if nowhere(&[BoundReason::ShownAtAll, BoundReason::Held]) {
        return Err(NoWindow::TooFewBuildsPass { best_mm });
    }
    if nowhere(&[BoundReason::Clear]) {
        return Err(NoWindow::TooFewLooksShow);
    }
    let ends = |is_lower: bool| {
        bounds
            .iter()
            .filter(move |bound| bound.reason.is_lower() == is_lower)
            .filter_map(Bound::end)
    };
    let smallest = ends(true).max_by(|a, b| a.at_mm.total_cmp(&b.at_mm));
    let largest = ends(false).min_by(|a, b| a.at_mm.total_cmp(&b.at_mm));
    // a sweep begins below what diffraction asks for, so there always is a lower end
    let Some(smallest) = smallest else {
        return Err(NoWindow::TooFewLooksShow);
    };
    if let Some(largest) = largest.filter(|largest| largest.at_mm < smallest.at_mm) {
        return Err(NoWindow::EndsCross { smallest, largest });
    }
    let range = Range {
        smallest,
        largest,
        tried_up_to_mm: widest_mm,
        safe_mm: safe_mm(bounds, widest_mm),
    };
    if largest.is_none() && smallest.at_mm > widest_mm {
        return Err(NoWindow::TooFewLooksShow);
    }
    Ok(range)
}

/// Where the whole interval of every share meets its target.
fn safe_mm(bounds: &[Bound], widest_mm: f64) -> Option<[f64; 2]> {
    let mut safe = [0.0, widest_mm];
    for bound in bounds.iter().filter(|bound| !bound.surely_everywhere) {
        let at_mm = bound.safe_mm()?;
        if bound.reason.is_lower() {
            safe[0] = f64::max(safe[0], at_mm);
        } else {
            safe[1] = f64::min(safe[1], at_mm);
        }
    }
    (safe[0] <= safe[1]).then_some(safe)
}
