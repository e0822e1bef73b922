//! Holding zone: for every place of the eye, the share of builds that hold there.
//!
//! The builds are the first block of the run; pupil, acuity and eye relief are at their means; only the eye's place
//! across the axis is moved over a square grid about the peephole.

use super::run_plan::RunPlan;
use crate::figure::{Family, Plan, Source};
use crate::sampling::{BLOCK_BUILDS, Row};
use crate::trial::{BuildRows, Draws, LookRows, Marks, RunHooks, VerdictRows, Witness};
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

/// Builds that are looked at.
const BUILDS: u64 = 256;

/// A block of builds and which of them can be looked at.
struct Block {
    builds: BuildRows,
    alive: Marks,
}

/// Counts a block's looks into a cell.
struct CountCell<'c>(&'c mut ZoneCell);

impl Witness for CountCell<'_> {
    #[inline(always)]
    fn look(&mut self, rows: &VerdictRows, counted: &Marks) {
        for (worst, counted) in rows.worst.iter().zip(counted) {
            let holds = u64::from(*worst <= 1.0);
            self.0.held += counted & holds;
            self.0.broken += counted & (1 - holds);
        }
    }
}

fn first_blocks(plan: &Plan, run_plan: &RunPlan, count: u64) -> Vec<Block> {
    let mut draws = Draws::of_builds(plan);
    let sampler = run_plan.sampler(plan);
    (0..count.div_ceil(BLOCK_BUILDS as u64))
        .map(|block| {
            draws.draw(plan, &sampler, 0, block);
            let mut builds = BuildRows::new(plan);
            builds.set(plan, &draws.rows);
            let first = block * BLOCK_BUILDS as u64;
            let wanted = (count - first).min(BLOCK_BUILDS as u64);
            let alive = builds.computable(wanted as usize);
            Block { builds, alive }
        })
        .collect()
}

/// Draws the map; `None` when interrupted.
pub fn holding_zone(plan: &Plan, run_plan: &RunPlan, hooks: &RunHooks<'_>) -> Option<HoldingZone> {
    let count = run_plan.builds.min(BUILDS);
    let blocks = first_blocks(plan, run_plan, count);
    let eye = plan.design.law(Source::EyeOffset).spread(0);
    let wandering_mm = (0..2)
        .map(|c| eye.mean[c].abs() + 3.0 * eye.sd[c])
        .fold(0.0, f64::max);
    let half_width_mm = 1.25 * wandering_mm.max(plan.design.peephole.diameter_mm / 2.0);
    let mut zone = HoldingZone {
        half_width_mm,
        side: CELLS,
        builds: count,
        computable: blocks.iter().flat_map(|block| block.alive).sum(),
        cells: Vec::new(),
    };
    let offset = plan.layout.start(Source::EyeOffset);
    let mean: Vec<Row> = plan
        .mean_values(Family::Look)
        .into_iter()
        .map(Row::of)
        .collect();
    let centre = |index: usize| zone.centre_mm(index);
    zone.cells = (0..CELLS * CELLS)
        .into_par_iter()
        .map_init(
            || (mean.clone(), LookRows::new(plan)),
            |(values, looks), cell| {
                values[offset] = Row::of(centre(cell % CELLS));
                values[offset + 1] = Row::of(centre(cell / CELLS));
                let mut counted = ZoneCell::default();
                for block in &blocks {
                    if hooks.is_interrupted() {
                        break;
                    }
                    let mut witness = CountCell(&mut counted);
                    looks.take(plan, &block.builds, values, &block.alive, &mut witness);
                }
                counted.not_shown = count - counted.held - counted.broken;
                counted
            },
        )
        .collect();
    (!hooks.is_interrupted()).then_some(zone)
}
