//! Holding zone: for every place of the eye, the share of builds that hold there.
//!
//! The builds are the first block of the run; pupil, acuity and eye relief are at their means; only the eye's place
//! across the axis is moved over a square grid about the peephole.

use super::run::{RunPlan, outcome_of};
use crate::figure::{Family, Plan, Source};
use crate::sampling::BLOCK_BUILDS;
use crate::trial::{BuildDraws, Built, LookOutcome, Measured, RunHooks, Viewed};
use rayon::prelude::*;

/// Cells along each side of the map; odd, so that one stands on the axis.
const CELLS: usize = 25;

/// One place of the eye.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct ZoneCell {
    /// Builds that hold there.
    pub held: u64,
    /// Builds that break there.
    pub broken: u64,
    /// Builds that do not show the whole figure there (or cannot be computed).
    pub not_shown: u64,
}

/// The map.
#[derive(Debug, Clone, PartialEq)]
pub struct HoldingZone {
    /// Half of the map's width, mm: cell centres run from minus to plus this.
    pub half_width_mm: f64,
    /// Cells along each side.
    pub side: usize,
    /// Builds looked at in each cell.
    pub builds: u64,
    /// Those of them that can be computed.
    pub computable: u64,
    /// Row by row from −y to +y, each from −x to +x.
    pub cells: Vec<ZoneCell>,
}

impl HoldingZone {
    /// Centre of column or row `index`, mm.
    pub fn centre_mm(&self, index: usize) -> f64 {
        self.half_width_mm * (2.0 * index as f64 / (self.side - 1) as f64 - 1.0)
    }

    /// Farthest the eye may go from the peephole's centre in every direction while at least `share` of `of` builds do what
    /// `does` counts, mm: up to the nearest cell that fails. `None` when the centre itself fails; the map's half-width,
    /// as a lower bound, when no cell does.
    pub fn free_radius_mm(
        &self,
        share: f64,
        of: u64,
        does: impl Fn(ZoneCell) -> u64,
    ) -> Option<f64> {
        let fails = |cell: ZoneCell| (does(cell) as f64) < share * of as f64;
        let nearest = self
            .cells
            .iter()
            .enumerate()
            .filter(|(_, cell)| fails(**cell))
            .map(|(index, _)| {
                libm::hypot(
                    self.centre_mm(index % self.side),
                    self.centre_mm(index / self.side),
                )
            })
            .fold(f64::INFINITY, f64::min);
        let step_mm = 2.0 * self.half_width_mm / (self.side - 1) as f64;
        match nearest {
            // the eye is free up to the last cell that does not fail
            near if near < step_mm / 2.0 => None,
            near => Some((near - step_mm).clamp(0.0, self.half_width_mm)),
        }
    }

    /// Share of the builds that hold in a cell; `None` where no build was looked at.
    pub fn held_share(&self, cell: ZoneCell) -> Option<f64> {
        (self.builds > 0).then(|| cell.held as f64 / self.builds as f64)
    }
}

/// Draws the map; `None` when interrupted.
pub fn holding_zone(plan: &Plan, run_plan: &RunPlan, hooks: &RunHooks<'_>) -> Option<HoldingZone> {
    let mut draws = BuildDraws::new(plan);
    draws.draw(plan, run_plan.seed, 0);
    let count = run_plan.builds.min(BLOCK_BUILDS as u64) as usize;
    let mut values = vec![0.0; plan.layout.build_len];
    let builds: Vec<Built> = (0..count)
        .filter_map(|build| {
            draws.pick(build, &mut values);
            let mut built = Built::new(plan);
            built.set(plan, &values).is_ok().then_some(built)
        })
        .collect();
    let eye = plan.design.law(Source::EyeOffset).spread(0);
    let wandering_mm = (0..2)
        .map(|c| eye.mean[c].abs() + 3.0 * eye.sd[c])
        .fold(0.0, f64::max);
    let half_width_mm = 1.25 * wandering_mm.max(plan.design.peephole.diameter_mm / 2.0);
    let mut zone = HoldingZone {
        half_width_mm,
        side: CELLS,
        builds: count as u64,
        computable: builds.len() as u64,
        cells: Vec::new(),
    };
    let offset = plan.layout.start(Source::EyeOffset);
    let centre = |index: usize| zone.centre_mm(index);
    zone.cells = (0..CELLS * CELLS)
        .into_par_iter()
        .map(|cell| {
            let mut look = plan.mean_values(Family::Look);
            look[offset] = centre(cell % CELLS);
            look[offset + 1] = centre(cell / CELLS);
            let mut viewed = Viewed::new(plan);
            let mut measured = Measured::new(plan);
            let mut counted = ZoneCell {
                not_shown: (count - builds.len()) as u64,
                ..ZoneCell::default()
            };
            for built in &builds {
                if hooks.is_interrupted() {
                    break;
                }
                match outcome_of(plan, built, &look, &mut viewed, &mut measured) {
                    Some(LookOutcome::Judged(verdict)) if verdict.holds() => counted.held += 1,
                    Some(LookOutcome::Judged(_)) => counted.broken += 1,
                    Some(LookOutcome::Clipped) | None => counted.not_shown += 1,
                }
            }
            counted
        })
        .collect();
    (!hooks.is_interrupted()).then_some(zone)
}
