//! The diameters of a sweep, and what each of them comes to.

use super::super::brief::{Brief, briefs};
use super::super::run_plan::{Interrupted, RunPlan};
use super::models::{Blurs, EyeFigures, trolands_at};
use super::movement::{HeadMovement, head_movement};
use crate::figure::{Law, Plan, Source};
use crate::geometry::Pair;
use crate::statistics::{ClusteredShare, Proportion, interval_of_clustered_share};
use crate::trial::RunHooks;
use rayon::prelude::*;
use std::cell::Cell;

/// What a brief run of one design comes to, without its builds one by one.
#[derive(Debug, Clone, PartialEq)]
pub struct Counted {
    /// Builds that pass.
    pub build_yield: Proportion,
    /// Builds no look at which shows the whole figure.
    pub never_shown: u64,
    /// Builds that could not be computed.
    pub not_computable: u64,
    /// Share of all looks that show the whole figure.
    pub clear: ClusteredShare,
    /// Share of those looks that hold.
    pub held: ClusteredShare,
    /// Share of all looks that do both.
    pub both: ClusteredShare,
}

impl Counted {
    /// From a brief run.
    pub fn of(brief: &Brief, run: &RunPlan) -> Self {
        Self {
            build_yield: brief.build_yield(run),
            never_shown: brief.never_shown,
            not_computable: brief.not_computable,
            clear: brief.clear,
            held: brief.held,
            both: brief.both,
        }
    }

    /// Share of looks that both show and hold, with the interval of the level `level`; 0 where nothing was counted.
    pub fn both_with_interval(&self, level: f64) -> (f64, [f64; 2]) {
        (
            self.both.share().unwrap_or(0.0),
            interval_of_clustered_share(&self.both, level).unwrap_or([0.0, 1.0]),
        )
    }
}

/// One diameter of the sweep.
#[derive(Debug, Clone, PartialEq)]
pub struct PeepholePoint {
    /// Diameter, mm.
    pub diameter_mm: f64,
    /// Whether it is the scenario's own.
    pub is_own: bool,
    /// What the trials say.
    pub counted: Counted,
    /// The same if eyes came to stand anywhere in the hole, evenly up to its rim.
    pub anywhere: Counted,
    /// Blur of the rods for the eye at the station point.
    pub blurs: Blurs,
    /// Light on the retina there, trolands; `None` where the scenario gives no luminance.
    pub trolands: Option<f64>,
    /// How far the head may move.
    pub movement: HeadMovement,
}

/// What every part of the answer needs.
pub(super) struct Bench<'a> {
    pub plan: &'a Plan,
    pub run: &'a RunPlan,
    pub hooks: &'a RunHooks<'a>,
    builds_done: Cell<u64>,
}

impl<'a> Bench<'a> {
    pub fn new(plan: &'a Plan, run: &'a RunPlan, hooks: &'a RunHooks<'a>) -> Self {
        Self {
            plan,
            run,
            hooks,
            builds_done: Cell::new(0),
        }
    }

    /// Brief runs of `plan` with holes of these diameters.
    pub fn with_holes(
        &self,
        plan: &Plan,
        diameters_mm: &[f64],
        run: &RunPlan,
    ) -> Result<Vec<Counted>, Interrupted> {
        let plans: Vec<Plan> = diameters_mm
            .iter()
            .map(|mm| Plan::new(plan.design.with_peephole_mm(*mm)))
            .collect();
        let found = briefs(&plans, run, self.hooks).ok_or(Interrupted)?;
        self.tell(plans.len() as u64 * run.builds);
        Ok(found.iter().map(|brief| Counted::of(brief, run)).collect())
    }

    /// A brief run with one hole.
    pub fn with_hole(
        &self,
        plan: &Plan,
        diameter_mm: f64,
        run: &RunPlan,
    ) -> Result<Counted, Interrupted> {
        let mut found = self.with_holes(plan, &[diameter_mm], run)?;
        found.pop().ok_or(Interrupted)
    }

    /// A brief run with one hole in which eyes come to stand anywhere, evenly up to its rim: the same builds, and the same
    /// draws for every look.
    pub fn with_eyes_in_the_hole(&self, diameter_mm: f64) -> Result<Counted, Interrupted> {
        let in_the_hole = Law::Disc {
            centre: Pair::zeros(),
            radius: diameter_mm / 2.0,
        };
        let design = self.plan.design.with_law(Source::EyeOffset, in_the_hole);
        self.with_hole(&Plan::new(design), diameter_mm, self.run)
    }

    /// How much is to come depends on what is found: some four sweeps are promised, and more when there are more.
    fn tell(&self, builds: u64) {
        let done = self.builds_done.get() + builds;
        self.builds_done.set(done);
        let promised = 4 * super::SWEEP_DIAMETERS as u64 * self.run.builds;
        (self.hooks.progress)(done, promised.max(done));
    }

    /// Adds the free head movement to every point.
    pub fn add_movements(&self, points: &mut [PeepholePoint]) -> Result<(), Interrupted> {
        let (design, run) = (&self.plan.design, self.run);
        let interrupted = self.hooks.interrupted;
        let found: Vec<Option<HeadMovement>> = points
            .par_iter()
            .map(|point| {
                let plan = Plan::new(design.with_peephole_mm(point.diameter_mm));
                head_movement(&plan, run, interrupted)
            })
            .collect();
        for (point, found) in points.iter_mut().zip(found) {
            point.movement = found.ok_or(Interrupted)?;
        }
        Ok(())
    }

    /// The points of a sweep, head movement still to come.
    pub fn points(
        &self,
        diameters_mm: &[f64],
        eye: &EyeFigures,
    ) -> Result<Vec<PeepholePoint>, Interrupted> {
        let counted = self.with_holes(self.plan, diameters_mm, self.run)?;
        let own_mm = self.plan.design.peephole.diameter_mm;
        let points = diameters_mm.iter().zip(counted);
        points
            .map(|(diameter_mm, counted)| {
                Ok(PeepholePoint {
                    diameter_mm: *diameter_mm,
                    is_own: *diameter_mm == own_mm,
                    counted,
                    anywhere: self.with_eyes_in_the_hole(*diameter_mm)?,
                    blurs: Blurs::at(self.plan, eye, *diameter_mm),
                    trolands: trolands_at(self.plan, eye.pupil_mm, *diameter_mm),
                    movement: HeadMovement::default(),
                })
            })
            .collect()
    }
}

/// Narrowest hole of any sweep, mm.
const NARROWEST_MM: f64 = 0.05;

/// The diameters of the sweep, the scenario's own among them, rising: from a hole that shows the figure to next to no look, or
/// well below what a model asks for, to one that hides it from none.
pub(super) fn diameters_mm(plan: &Plan, eye: &EyeFigures, models_mm: &[Option<f64>]) -> Vec<f64> {
    let peephole = &plan.design.peephole;
    let own_mm = peephole.diameter_mm;
    let spread = plan.design.law(Source::Pupil).spread(0);
    let least_pupil_mm = (spread.mean[0] - 3.0 * spread.sd[0]).max(0.3 * spread.mean[0]);
    let shows_mm = least_pupil_mm * peephole.clip_below.max(0.01).sqrt();
    let low_mm = models_mm
        .iter()
        .flatten()
        .fold(shows_mm.min(own_mm), |low, mm| low.min(*mm));
    let low_mm = (0.8 * low_mm).max(NARROWEST_MM.min(0.8 * own_mm));
    let high_mm = 1.25 * eye.open_from_mm.max(own_mm);
    let steps = (super::SWEEP_DIAMETERS - 1) as f64;
    let mut all: Vec<f64> = (0..super::SWEEP_DIAMETERS)
        .map(|nth| low_mm * libm::pow(high_mm / low_mm, nth as f64 / steps))
        .chain([own_mm])
        .collect();
    all.sort_by(f64::total_cmp);
    all.dedup();
    all
}
