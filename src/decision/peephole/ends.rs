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
        }
    }

    /// Whether it bounds the range from below.
    pub fn is_lower(self) -> bool {
        self != Self::Held
    }

    /// Whether it comes from a model and not from the trials.
    pub fn is_model(self) -> bool {
        matches!(self, Self::Diffraction | Self::Light)
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
    /// Its upper end; `None` where nothing that was tried binds it up to `tried_up_to_mm`.
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

/// Everything that bounds the diameter.
pub(super) fn bounds(
    bench: &Bench<'_>,
    targets: &Targets,
    points: &[PeepholePoint],
    diffraction: &DiffractionLimit,
    light: Option<&LightLimit>,
) -> Result<Vec<Bound>, Interrupted> {
    let level = bench.run.level;
    let yields = |counted: &Counted| Band::of(&counted.build_yield);
    let clear = |counted: &Counted| {
        let share = counted.clear.share()?;
        let interval = interval_of_clustered_share(&counted.clear, level)?;
        Some(Band::new(share, interval))
    };
    let best = best_point(points);
    let mut bounds = vec![
        trial_bound(
            bench,
            BoundReason::ShownAtAll,
            &points[..=best],
            targets.build_yield,
            &yields,
        )?,
        trial_bound(bench, BoundReason::Clear, points, targets.clear, &clear)?,
        trial_bound(
            bench,
            BoundReason::Held,
            &points[best..],
            targets.build_yield,
            &yields,
        )?,
    ];
    bounds.push(Bound::of_model(
        BoundReason::Diffraction,
        diffraction.smallest_mm,
    ));
    let light_mm = light.and_then(|light| light.smallest_mm);
    bounds.extend(light_mm.map(|at_mm| Bound::of_model(BoundReason::Light, at_mm)));
    Ok(bounds)
}

/// The point at which most builds pass, the narrowest of several.
fn best_point(points: &[PeepholePoint]) -> usize {
    let passed = |nth: usize| points[nth].counted.build_yield.count;
    (0..points.len()).fold(0, |best, nth| {
        if passed(nth) > passed(best) {
            nth
        } else {
            best
        }
    })
}

/// Where the share `band` crosses `target` along `points`, found on fresh diameters between the two points next to the
/// crossing of each of its curves.
fn trial_bound(
    bench: &Bench<'_>,
    reason: BoundReason,
    points: &[PeepholePoint],
    target: f64,
    band: &dyn Fn(&Counted) -> Option<Band>,
) -> Result<Bound, Interrupted> {
    let slope = if reason.is_lower() {
        Slope::Rising
    } else {
        Slope::Falling
    };
    let meets = |point: &PeepholePoint| {
        band(&point.counted).map_or([false; 3], |band| {
            [band.low, band.estimate, band.high].map(|share| share >= target)
        })
    };
    // the shortest stretch of the sweep outside of which all three curves are on one side
    let all = |wanted: bool| move |met: [bool; 3]| met.iter().all(|one| *one == wanted);
    let met: Vec<[bool; 3]> = points.iter().map(meets).collect();
    let [at_start, at_end] = match slope {
        Slope::Rising => [false, true],
        Slope::Falling => [true, false],
    };
    let start = met.iter().take_while(|met| all(at_start)(**met)).count();
    let end = met
        .iter()
        .rev()
        .take_while(|met| all(at_end)(**met))
        .count();
    let low = start.saturating_sub(1);
    let high = (points.len() - end).min(points.len() - 1).max(low);
    let range_mm = [points[low].diameter_mm, points[high].diameter_mm];
    let known = |diameter_mm: f64| {
        points
            .iter()
            .find(|point| point.diameter_mm == diameter_mm)
            .and_then(|point| band(&point.counted))
    };
    let mut interrupted = false;
    let mut share = |diameter_mm: f64| {
        if let Some(band) = known(diameter_mm) {
            return Some(band);
        }
        match bench.with_hole(bench.plan, diameter_mm, bench.run) {
            Ok(counted) => band(&counted),
            Err(Interrupted) => {
                interrupted = true;
                None
            }
        }
    };
    let found = crossing(range_mm, WITHIN, target, slope, &mut share);
    if interrupted {
        return Err(Interrupted);
    }
    // a share of nothing meets no target
    Ok(found.map_or(
        Bound {
            reason,
            state: State::Nowhere,
            at_mm: None,
            surely_mm: None,
            possibly_mm: None,
            surely_everywhere: false,
        },
        |found| Bound::of_crossing(reason, &found),
    ))
}

fn end_of(bound: &Bound) -> Option<End> {
    let at_mm = bound.at_mm?;
    let mut interval_mm = [bound.possibly_mm, bound.surely_mm];
    if !bound.reason.is_lower() {
        interval_mm.reverse();
    }
    Some(End {
        at_mm,
        interval_mm,
        reason: bound.reason,
    })
}

/// The range that all bounds leave.
pub(super) fn range(bounds: &[Bound], points: &[PeepholePoint]) -> Result<Range, NoWindow> {
    let best = &points[best_point(points)];
    let widest_mm = points[points.len() - 1].diameter_mm;
    let nowhere = |reasons: &[BoundReason]| {
        bounds
            .iter()
            .any(|bound| bound.state == State::Nowhere && reasons.contains(&bound.reason))
    };
    if nowhere(&[BoundReason::ShownAtAll, BoundReason::Held]) {
        return Err(NoWindow::TooFewBuildsPass {
            best_mm: best.diameter_mm,
        });
    }
    if nowhere(&[BoundReason::Clear]) {
        return Err(NoWindow::TooFewLooksShow);
    }
    let ends = |is_lower: bool| {
        bounds
            .iter()
            .filter(move |bound| bound.reason.is_lower() == is_lower)
            .filter_map(end_of)
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
