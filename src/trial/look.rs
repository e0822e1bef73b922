//! One look at one build: where every rod end and middle is seen, and how much of the pupil it fills.

use super::build::{Built, NotComputable};
use crate::figure::{Plan, Source};
use crate::geometry::{Pair, Point};
use crate::units::rad_from_arcmin;
use crate::vision::{Apertures, finest_detail_arcmin};

/// One eye at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Glance {
    /// Pupil and peephole.
    pub apertures: Apertures,
    /// Finest detail that this eye tells, rad.
    pub detail_rad: f64,
}

impl Glance {
    /// The glance whose values are `values` (laid out by `plan.layout`) at a build whose peephole is at `peephole_mm`.
    ///
    /// # Errors
    /// [`NotComputable`] when the eye or the pupil is impossible.
    pub fn new(plan: &Plan, values: &[f64], peephole_mm: Point) -> Result<Self, NotComputable> {
        let offset = plan.layout.start(Source::EyeOffset);
        let pupil_mm = values[plan.layout.start(Source::Pupil)];
        let log_mar = values[plan.layout.start(Source::Acuity)];
        let apertures = Apertures {
            pupil_mm: Point::new(
                values[offset],
                values[offset + 1],
                values[plan.layout.start(Source::EyeRelief)],
            ),
            pupil_radius_mm: pupil_mm / 2.0,
            peephole_mm,
            peephole_radius_mm: plan.design.peephole.diameter_mm / 2.0,
            focus_per_mm: 1.0 / plan.design.viewer.focus_mm,
        };
        if !(pupil_mm > 0.0 && pupil_mm.is_finite()) {
            return Err(NotComputable::NoPupil);
        }
        if !apertures.pupil_mm.iter().all(|c| c.is_finite()) {
            return Err(NotComputable::NotFinite);
        }
        if !apertures.eye_is_before_the_plate() {
            return Err(NotComputable::EyeBeyondPeephole);
        }
        Ok(Self {
            apertures,
            detail_rad: rad_from_arcmin(finest_detail_arcmin(log_mar)),
        })
    }
}

/// What one look sees.
#[derive(Debug, Clone, PartialEq)]
pub struct Viewed {
    /// Directions of rod ends at `2·rod + end`, tangents. Where the clear share is 0 they mean nothing.
    pub ends: Vec<Pair>,
    /// Directions of rods' middles; empty when rods cannot bow.
    pub middles: Vec<Pair>,
    /// Clear shares of the rod ends.
    pub end_clear: Vec<f64>,
    /// Clear shares of the middles.
    pub middle_clear: Vec<f64>,
}

impl Viewed {
    /// Room for a look at a build of `plan`.
    pub fn new(plan: &Plan) -> Self {
        let rods = plan.design.rods.len();
        let middles = plan.middle_count();
        Self {
            ends: vec![Pair::zeros(); 2 * rods],
            middles: vec![Pair::zeros(); middles],
            end_clear: vec![0.0; 2 * rods],
            middle_clear: vec![0.0; middles],
        }
    }

    /// Looks at everything; returns the smallest clear share.
    pub fn set(&mut self, built: &Built, apertures: &Apertures) -> f64 {
        let ends = look_at(
            &built.ends_mm,
            apertures,
            &mut self.ends,
            &mut self.end_clear,
        );
        let middles = look_at(
            &built.middles_mm,
            apertures,
            &mut self.middles,
            &mut self.middle_clear,
        );
        ends.min(middles)
    }
}

fn look_at(
    points: &[Point],
    apertures: &Apertures,
    directions: &mut [Pair],
    clear: &mut [f64],
) -> f64 {
    let mut least = f64::INFINITY;
    for ((point, direction), clear) in points.iter().zip(directions).zip(clear) {
        (*direction, *clear) = match apertures.see(point) {
            Some(seen) => (seen.direction, seen.clear_share),
            None => (Pair::zeros(), 0.0),
        };
        least = least.min(*clear);
    }
    least
}
