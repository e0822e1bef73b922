//! Straight lines through two holes, and the parallax of a junction.

use super::{Pair, Point};

/// Where the straight line through the holes `front_mm` and `rear_mm` stands at the depth `z_mm`: (x, y), mm.
/// The two holes must not lie at one depth.
pub fn point_on_line_mm(front_mm: &Point, rear_mm: &Point, z_mm: f64) -> Pair {
    let share = (z_mm - front_mm.z) / (rear_mm.z - front_mm.z);
    front_mm.xy() + (rear_mm.xy() - front_mm.xy()) * share
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
        let point = point_on_line_mm(&front, &rear, 250.0);
        assert_eq!(point, Pair::new(0.25, 1.5));
    }
}
