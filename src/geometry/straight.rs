//! Straight lines through two holes, and the parallax of a junction.

use super::{Pair, Point};

/// A straight line that runs along the cabinet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Straight {
    /// A point that it passes, mm.
    pub from_mm: Point,
    /// Its slope (dx/dz, dy/dz).
    pub slope: Pair,
}

impl Straight {
    /// The line through the holes `front_mm` and `rear_mm`, which must not lie at one depth.
    #[inline(always)]
    pub fn through(front_mm: Point, rear_mm: Point) -> Self {
        let per_span_mm = 1.0 / (rear_mm.z - front_mm.z);
        Self {
            from_mm: front_mm,
            slope: (rear_mm.xy() - front_mm.xy()) * per_span_mm,
        }
    }

    /// Where it stands at the depth `z_mm`: (x, y), mm.
    #[inline(always)]
    pub fn at_mm(&self, z_mm: f64) -> Pair {
        self.from_mm.xy() + self.slope * (z_mm - self.from_mm.z)
    }
}

/// Gap between two rod ends of one junction, at the depths `z1_mm` and `z2_mm`, for an eye that stands
/// `eye_offset_mm` beside the station point behind a wide peephole: e·|1/z1 − 1/z2|, small-angle tangent measure.
pub fn junction_gap_rad(eye_offset_mm: f64, z1_mm: f64, z2_mm: f64) -> f64 {
    eye_offset_mm * (1.0 / z1_mm - 1.0 / z2_mm).abs()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_point_between_the_holes_is_weighted_by_its_distance_from_each() {
        let front = Point::new(1.0, 0.0, 100.0);
        let rear = Point::new(0.0, 2.0, 300.0);
        let point = Straight::through(front, rear).at_mm(250.0);
        assert!((point - Pair::new(0.25, 1.5)).norm() < 1e-15);
    }
}
