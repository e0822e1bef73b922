//! Where an eye behind a peephole sees a point: two apertures, exact overlap and its centroid.
//!
//! The peephole (a disc in a thin plate square to the axis) is projected from the point on to the pupil's plane. The
//! light that gets in fills the overlap of that disc and the pupil; its area over the pupil's is the clear share, its
//! centroid moves the viewpoint. Small angles (tangents) throughout; the plate's thickness is not modelled here.
//! Source: textbook lens of two circles; the first moment about one centre is S·d, S being the other disc's segment.

use crate::geometry::{Pair, Point};
use std::f64::consts::PI;

/// The overlap of two discs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Overlap {
    /// Area of the overlap (unit of the radii, squared).
    pub area: f64,
    /// Distance of its centroid from the first disc's centre, towards the second's.
    pub centroid: f64,
}

/// Exact overlap of a disc of radius `first` and one of radius `second` whose centres are `distance` apart; `None`
/// where they share no area.
pub fn disc_overlap(first: f64, second: f64, distance: f64) -> Option<Overlap> {
    if !(first > 0.0 && second > 0.0 && distance < first + second) {
        return None;
    }
    if distance <= second - first {
        return Some(Overlap {
            area: PI * first * first,
            centroid: 0.0,
        });
    }
    if distance <= first - second {
        return Some(Overlap {
            area: PI * second * second,
            centroid: distance,
        });
    }
    // the chord through both circles stands `chord_at` from the first centre
    let chord_at = (distance * distance + first * first - second * second) / (2.0 * distance);
    let half_chord = (first * first - chord_at * chord_at).max(0.0).sqrt();
    let beyond = distance - chord_at;
    let first_segment =
        first * first * libm::acos((chord_at / first).clamp(-1.0, 1.0)) - chord_at * half_chord;
    let second_segment =
        second * second * libm::acos((beyond / second).clamp(-1.0, 1.0)) - beyond * half_chord;
    let area = first_segment + second_segment;
    // discs a thousand times as large as each other lose their digits here: never more than either disc
    let smaller = first.min(second);
    (area > 0.0).then(|| Overlap {
        area: area.min(PI * smaller * smaller),
        centroid: (second_segment * distance / area).clamp(0.0, first),
    })
}

/// One eye behind one peephole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Apertures {
    /// Centre of the pupil E, mm.
    pub pupil_mm: Point,
    /// Radius of the pupil, mm.
    pub pupil_radius_mm: f64,
    /// Centre of the peephole P, mm.
    pub peephole_mm: Point,
    /// Radius of the peephole, mm.
    pub peephole_radius_mm: f64,
    /// 1 over the distance at which the eye is focused, 1/mm.
    pub focus_per_mm: f64,
}

/// How one point is seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen {
    /// Direction of the image's centre, tangents.
    pub direction: Pair,
    /// Overlap's area over the pupil's area.
    pub clear_share: f64,
}

impl Apertures {
    /// Whether the eye stands in front of the peephole's plate, as the model needs.
    pub fn eye_is_before_the_plate(&self) -> bool {
        self.pupil_mm.z < self.peephole_mm.z
    }

    /// How the point `x_mm` is seen; `None` when none of its light reaches the pupil, or when it is not beyond the
    /// peephole's plate.
    pub fn see(&self, x_mm: &Point) -> Option<Seen> {
        let from_eye = x_mm.z - self.pupil_mm.z;
        let from_plate = x_mm.z - self.peephole_mm.z;
        if !(from_plate > 0.0 && from_eye > from_plate) {
            return None;
        }
        let stretch = from_eye / from_plate;
        // centre of the peephole's image relative to the pupil's centre
        let image = x_mm.xy() + (self.peephole_mm.xy() - x_mm.xy()) * stretch - self.pupil_mm.xy();
        let distance = image.norm();
        let overlap = disc_overlap(
            self.pupil_radius_mm,
            self.peephole_radius_mm * stretch,
            distance,
        )?;
        let centroid = if overlap.centroid > 0.0 {
            image * (overlap.centroid / distance)
        } else {
            Pair::zeros()
        };
        Some(Seen {
            direction: (x_mm.xy() - self.pupil_mm.xy() - centroid) / from_eye
                + centroid * self.focus_per_mm,
            clear_share: overlap.area / (PI * self.pupil_radius_mm * self.pupil_radius_mm),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn eye(peephole_radius_mm: f64, offset: Pair) -> Apertures {
        Apertures {
            pupil_mm: Point::new(offset.x, offset.y, 0.0),
            pupil_radius_mm: 2.0,
            peephole_mm: Point::new(0.0, 0.0, 15.0),
            peephole_radius_mm,
            focus_per_mm: 1.0 / 300.0,
        }
    }

    #[test]
    fn overlap_is_symmetric_and_its_moment_about_the_other_centre_agrees() {
        let a = disc_overlap(2.0, 1.5, 1.8).expect("they overlap");
        let b = disc_overlap(1.5, 2.0, 1.8).expect("they overlap");
        assert!((a.area - b.area).abs() < 1e-14);
        assert!((a.centroid + b.centroid - 1.8).abs() < 1e-14);
    }

    #[test]
    fn discs_apart_or_degenerate_share_nothing() {
        assert!(disc_overlap(1.0, 1.0, 2.0).is_none());
        assert!(disc_overlap(0.0, 1.0, 0.5).is_none());
        assert!(disc_overlap(1.0, f64::NAN, 0.5).is_none());
        assert!(disc_overlap(1.0, 1.0, f64::NAN).is_none());
    }

    #[test]
    fn wide_peephole_leaves_the_pupils_centre_as_the_viewpoint() {
        let offset = Pair::new(0.8, -0.3);
        let seen = eye(50.0, offset)
            .see(&Point::new(20.0, 10.0, 250.0))
            .expect("wide open");
        assert_eq!(seen.direction, (Pair::new(20.0, 10.0) - offset) / 250.0);
        assert_eq!(seen.clear_share, 1.0);
    }

    #[test]
    fn behind_a_pinhole_moving_the_eye_shifts_all_depths_alike() {
        // D -> 0: the peephole is the viewpoint. The eye's own move e is seen as the one shift -e/z_focus of all
        // points, whatever their depth: nothing parts, and only what is visible changes.
        let offset = Pair::new(0.7, 0.4);
        for point in [Point::new(6.0, 3.0, 300.0), Point::new(-4.0, 5.0, 180.0)] {
            let still = eye(1e-6, Pair::zeros()).see(&point).expect("visible");
            let moved = eye(1e-6, offset).see(&point).expect("visible");
            let shift = moved.direction - still.direction;
            assert!((shift + offset / 300.0).norm() < 1e-8, "{shift}");
        }
    }

    #[test]
    fn behind_a_pinhole_a_point_in_focus_is_seen_where_the_ray_through_the_hole_says() {
        // the ray from X through the hole's centre meets the pupil's plane at C; at the focus distance it is at X
        let point = Point::new(6.0, 3.0, 300.0);
        let seen = eye(1e-6, Pair::zeros()).see(&point).expect("visible");
        assert!((seen.direction - point.xy() / 300.0).norm() < 1e-8);
    }
}
