//! Where a plate's holes really are: pattern similarity, hole offsets, then the plate's seat.
//!
//! Order: a hole's nominal place is moved by the pattern's similarity about the plate's centre; what belongs to
//! the one hole (scatter, the line's bearing on the wall) is added in the plate's own plane; then the plate is
//! turned about its centre (about x first, then about y, right-handed) and moved along z.

use super::{Pair, Point};
use crate::elementary::sin_cos_turns;
use std::f64::consts::TAU;

/// How one plate and the pattern on it are off their nominal place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlatePose {
    /// Pattern shift (dx, dy), mm.
    pub shift_mm: Pair,
    /// Pattern turn about the plate's centre, rad, right-handed about +z.
    pub turn_rad: f64,
    /// Print scale error s: the pattern is (1 + s) times its true size.
    pub scale: f64,
    /// Seat depth error dz, mm, along +z.
    pub seat_depth_mm: f64,
    /// Tilt about x, rad.
    pub tilt_x_rad: f64,
    /// Tilt about y, rad, applied after the tilt about x.
    pub tilt_y_rad: f64,
}

/// The pose with its sines and cosines taken once, so that all holes of the plate share them.
#[derive(Debug, Clone, Copy)]
pub struct PlacedPlate {
    centre_mm: Pair,
    z_mm: f64,
    shift_mm: Pair,
    scaled_cos: f64,
    scaled_sin: f64,
    sin_x: f64,
    cos_x: f64,
    sin_y: f64,
    cos_y: f64,
}

impl PlatePose {
    /// A plate exactly where it belongs.
    pub const NOMINAL: Self = Self {
        shift_mm: Pair::new(0.0, 0.0),
        turn_rad: 0.0,
        scale: 0.0,
        seat_depth_mm: 0.0,
        tilt_x_rad: 0.0,
        tilt_y_rad: 0.0,
    };

    /// Places the plate whose nominal centre is `centre_mm` at the distance `z_mm`.
    #[inline(always)]
    pub fn place(&self, centre_mm: Pair, z_mm: f64) -> PlacedPlate {
        let size = 1.0 + self.scale;
        let (turn_sin, turn_cos) = sin_cos(self.turn_rad);
        let (sin_x, cos_x) = sin_cos(self.tilt_x_rad);
        let (sin_y, cos_y) = sin_cos(self.tilt_y_rad);
        PlacedPlate {
            centre_mm,
            z_mm: z_mm + self.seat_depth_mm,
            shift_mm: self.shift_mm,
            scaled_cos: size * turn_cos,
            scaled_sin: size * turn_sin,
            sin_x,
            cos_x,
            sin_y,
            cos_y,
        }
    }
}

/// Sine and cosine of an angle in rad; a turn is a plain factor away.
#[inline(always)]
fn sin_cos(angle_rad: f64) -> (f64, f64) {
    sin_cos_turns(angle_rad * (1.0 / TAU))
}

impl PlacedPlate {
    /// The pose's nine numbers, for rows of poses: all but the nominal centre.
    #[inline(always)]
    pub fn parts(&self) -> [f64; 9] {
        [
            self.z_mm,
            self.shift_mm.x,
            self.shift_mm.y,
            self.scaled_cos,
            self.scaled_sin,
            self.sin_x,
            self.cos_x,
            self.sin_y,
            self.cos_y,
        ]
    }

    /// The placed plate of these [`PlacedPlate::parts`].
    #[inline(always)]
    pub fn from_parts(centre_mm: Pair, parts: [f64; 9]) -> Self {
        let [
            z_mm,
            shift_x,
            shift_y,
            scaled_cos,
            scaled_sin,
            sin_x,
            cos_x,
            sin_y,
            cos_y,
        ] = parts;
        Self {
            centre_mm,
            z_mm,
            shift_mm: Pair::new(shift_x, shift_y),
            scaled_cos,
            scaled_sin,
            sin_x,
            cos_x,
            sin_y,
            cos_y,
        }
    }

    /// Where the line passes this plate, mm: `nominal_mm` is the hole's nominal place, `offset_mm` what belongs to
    /// this hole alone, in the plate's plane.
    #[inline(always)]
    pub fn hole_mm(&self, nominal_mm: Pair, offset_mm: Pair) -> Point {
        let p = nominal_mm - self.centre_mm;
        let x = self.scaled_cos * p.x - self.scaled_sin * p.y + self.shift_mm.x + offset_mm.x;
        let y = self.scaled_sin * p.x + self.scaled_cos * p.y + self.shift_mm.y + offset_mm.y;
        // about x: (x, y, 0) -> (x, y cos, y sin); then about y: (x cos + z sin, y, z cos - x sin)
        let (tilted_y, raised_z) = (y * self.cos_x, y * self.sin_x);
        Point::new(
            self.centre_mm.x + x * self.cos_y + raised_z * self.sin_y,
            self.centre_mm.y + tilted_y,
            self.z_mm + raised_z * self.cos_y - x * self.sin_y,
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::Rotation3;

    #[test]
    fn nominal_pose_leaves_a_hole_where_it_is() {
        let plate = PlatePose::NOMINAL.place(Pair::new(3.0, -2.0), 150.0);
        let hole = plate.hole_mm(Pair::new(12.5, 7.25), Pair::zeros());
        assert_eq!(hole, Point::new(12.5, 7.25, 150.0));
    }

    #[test]
    fn pose_agrees_with_a_linear_algebra_librarys_rotations() {
        // nalgebra 0.35: Rotation3::from_axis_angle(y) * from_axis_angle(x), Rotation3 about z for the pattern.
        let pose = PlatePose {
            shift_mm: Pair::new(0.4, -0.7),
            turn_rad: 0.03,
            scale: 0.02,
            seat_depth_mm: 1.5,
            tilt_x_rad: 0.05,
            tilt_y_rad: -0.04,
        };
        let centre = Pair::new(5.0, -3.0);
        let nominal = Pair::new(31.0, 22.0);
        let offset = Pair::new(0.11, 0.05);
        let pattern = Rotation3::from_axis_angle(&Point::z_axis(), pose.turn_rad);
        let seat = Rotation3::from_axis_angle(&Point::y_axis(), pose.tilt_y_rad)
            * Rotation3::from_axis_angle(&Point::x_axis(), pose.tilt_x_rad);
        let local = nominal - centre;
        let drawn = pattern * Point::new(local.x, local.y, 0.0) * (1.0 + pose.scale);
        let pierced =
            drawn + Point::new(pose.shift_mm.x + offset.x, pose.shift_mm.y + offset.y, 0.0);
        let expected = seat * pierced + Point::new(centre.x, centre.y, 120.0 + pose.seat_depth_mm);
        let found = pose.place(centre, 120.0).hole_mm(nominal, offset);
        assert!(
            (found - expected).norm() < 1e-12,
            "found {found}, expected {expected}"
        );
    }
}
