//! How big the peephole may be, how small it must not be, and why.
//!
//! Every diameter is tried with the very same builds and looks (common random numbers), so what differs between two diameters
//! is theirs and not chance. Beside the trials stand limits that come from a model: diffraction, and light on the retina.
//! The eye's wandering is taken to be the scenario's at every diameter: that a narrow hole guides the eye more, and a wide
//! one less, is not in it. Beside it stands the other extreme, eyes anywhere in the hole, evenly up to its rim.

mod changes;
mod ends;
mod models;
mod movement;
mod plate;
mod sweep;
mod tools;

pub use changes::{Change, ChangeKind, Proof};
pub use ends::{Bound, BoundReason, End, NoWindow, Range, State};
pub use models::{
    Blurs, DepthHidden, DiffractionLimit, HandHole, LightLimit, hand_holes, trolands_at,
};
pub use movement::{HeadMovement, Radius, head_movement};
pub use plate::{OwnPlate, PLATES_MM, PlateAdvice, PlateRow, plate_advice};
pub use sweep::{Counted, PeepholePoint};
pub use tools::{Cautious, Recommended, ToolRun};

use super::run_plan::{Interrupted, RunPlan};
use crate::figure::{Plan, Source};
use crate::statistics::interval_of_clustered_share;
use crate::trial::RunHooks;
use models::EyeFigures;
use sweep::Bench;

/// Diameters of a sweep, besides the scenario's own.
pub const SWEEP_DIAMETERS: usize = 24;

/// The targets that a diameter must meet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Targets {
    /// Least share of builds that pass.
    pub build_yield: f64,
    /// Least share of looks that show the whole figure.
    pub clear: f64,
}

impl Targets {
    /// Those of a design.
    pub fn of(plan: &Plan) -> Self {
        let judging = &plan.design.judging;
        Self {
            build_yield: judging.target_yield,
            clear: judging.clear_share,
        }
    }
}

/// Every diameter, the range that meets the targets, and what was chosen from it.
#[derive(Debug, Clone, PartialEq)]
pub struct PeepholeAnswer {
    /// Builds and looks at every diameter.
    pub run: RunPlan,
    /// What a diameter must meet.
    pub targets: Targets,
    /// The scenario's own diameter, mm.
    pub own_mm: f64,
    /// Mean pupil, mm.
    pub pupil_mm: f64,
    /// Finest detail of the visitor of mean acuity, rad.
    pub detail_rad: f64,
    /// Radius about the station point within which 95 of 100 looks are taken, mm.
    pub wandering_mm: f64,
    /// From this diameter on the whole pupil of mean width sees the whole figure from anywhere within `wandering_mm`: a wider
    /// hole no longer guides the eye.
    pub guides_until_mm: f64,
    /// Every diameter of the sweep, the scenario's own among them, the narrowest first.
    pub points: Vec<PeepholePoint>,
    /// Everything that bounds the diameter, whether it binds or not.
    pub bounds: Vec<Bound>,
    /// How wide the hole might be if eyes came to stand anywhere in it, evenly up to its rim; not part of the range.
    pub if_anywhere: Bound,
    /// The range that meets all targets, or why there is none.
    pub range: Result<Range, NoWindow>,
    /// Diffraction's limit.
    pub diffraction: DiffractionLimit,
    /// Light's limit, where the scenario gives a luminance.
    pub light: Option<LightLimit>,
    /// Up to which hole the blur of the rods does not give their depths away.
    pub depth_hidden: DepthHidden,
    /// For each junction the hole at which it would part by its gap limit, by hand.
    pub by_hand: Vec<HandHole>,
    /// What the plate's thickness does at the recommended diameter, or at the scenario's own.
    pub plate: PlateAdvice,
    /// The tool to take; `None` without a range, or where no tool that is known falls in it.
    pub recommended: Option<Recommended>,
    /// What would open a range where there is none.
    pub changes: Vec<Change>,
}

impl PeepholeAnswer {
    /// The point of the scenario's own diameter.
    pub fn own(&self) -> Option<&PeepholePoint> {
        self.points.iter().find(|point| point.is_own)
    }

    /// Whether the scenario's own hole meets both targets with the whole intervals of its shares.
    pub fn own_surely_meets(&self) -> bool {
        self.own().is_some_and(|own| {
            let passes = own.counted.build_yield.interval();
            let clear = interval_of_clustered_share(&own.counted.clear, self.run.level);
            passes.is_some_and(|[low, _]| low >= self.targets.build_yield)
                && clear.is_some_and(|[low, _]| low >= self.targets.clear)
        })
    }

    /// Where the trials bind the hole from above.
    pub fn held(&self) -> Option<&Bound> {
        let mut bounds = self.bounds.iter();
        bounds.find(|bound| bound.reason == BoundReason::Held)
    }

    /// Whether the trials meet their targets at the scenario's own diameter, but it is wider than is of use.
    pub fn own_is_wider_than_of_use(&self) -> bool {
        let Ok(range) = &self.range else { return false };
        let held_mm = self.held().and_then(|held| held.at_mm);
        range.largest.is_some_and(|end| {
            end.reason.is_of_use()
                && self.own_mm > end.at_mm
                && held_mm.is_none_or(|mm| self.own_mm <= mm)
        })
    }

    /// Whether too few builds pass with the recommended tool if eyes come to stand anywhere in its hole.
    pub fn needs_a_guide(&self) -> bool {
        self.recommended.as_ref().is_some_and(|found| {
            let share = found.anywhere.build_yield.share();
            share.is_some_and(|share| share < self.targets.build_yield)
        })
    }

    /// The junction that bounds the hole most by hand, if any does.
    pub fn worst_by_hand(&self) -> Option<(&HandHole, f64)> {
        self.by_hand
            .iter()
            .filter_map(|one| Some((one, one.diameter_mm?)))
            .min_by(|a, b| a.1.total_cmp(&b.1))
    }
}

/// Sweeps the diameter of `plan`'s peephole with the builds and looks of `run` (a brief run's, see
/// [`brief_run`](super::brief_run)), in the current pool.
///
/// # Errors
/// [`Interrupted`] when the hooks say so.
pub fn peephole_answer(
    plan: &Plan,
    run: &RunPlan,
    hooks: &RunHooks<'_>,
) -> Result<PeepholeAnswer, Interrupted> {
    let bench = Bench::new(plan, run, hooks);
    let eye = EyeFigures::of(plan);
    let diffraction = DiffractionLimit::of(plan, &eye);
    let light = LightLimit::of(plan, &eye);
    let models_mm = [
        Some(diffraction.smallest_mm),
        light.as_ref().and_then(|light| light.smallest_mm),
    ];
    let diameters_mm = sweep::diameters_mm(plan, &eye, &models_mm);
    let mut points = bench.points(&diameters_mm, &eye)?;
    let targets = Targets::of(plan);
    let (bounds, if_anywhere) = ends::bounds(
        &bench,
        &targets,
        &points,
        &diffraction,
        light.as_ref(),
        [eye.guides_until_mm, eye.open_from_mm],
    )?;
    let range = ends::range(&bounds, &points);
    let recommended = match &range {
        Ok(range) => tools::recommended(&bench, range, &if_anywhere)?,
        Err(_) => None,
    };
    let changes = match &range {
        Ok(_) => Vec::new(),
        Err(_) => changes::changes(&bench, &targets)?,
    };
    bench.add_movements(&mut points)?;
    let own_mm = plan.design.peephole.diameter_mm;
    let plate_at_mm = recommended
        .as_ref()
        .map_or(own_mm, |found| found.chosen.tool.diameter_mm);
    Ok(PeepholeAnswer {
        run: *run,
        targets,
        own_mm,
        pupil_mm: eye.pupil_mm,
        detail_rad: eye.detail_rad,
        wandering_mm: eye.wandering_mm,
        guides_until_mm: eye.guides_until_mm,
        depth_hidden: DepthHidden::of(plan, &eye, diameters_mm[0]),
        by_hand: hand_holes(plan),
        plate: plate_advice(plan, plate_at_mm),
        points,
        bounds,
        if_anywhere,
        range,
        diffraction,
        light,
        recommended,
        changes,
    })
}

/// Mean of a look's source.
fn mean_of(plan: &Plan, source: Source) -> f64 {
    plan.design.law(source).spread(0).mean[0]
}
