//! What a layout is allowed: the cabinet's inside, where the eye is, and how near things may come to each other.

use super::design::Plate;
use std::collections::BTreeSet;

/// Bounds within which plates, scale and depths are chosen.
#[derive(Debug, Clone, PartialEq)]
pub struct Allowed {
    /// Width, height and depth of the cabinet inside, mm; depth from the inner face of the peephole's plate to the rear wall.
    pub inside_mm: [f64; 3],
    /// The axis from the wall at the viewer's left, and above the cabinet's floor, mm.
    pub axis_mm: [f64; 2],
    /// Eye's height above the ground on which the visitor stands or sits, mm.
    pub eye_height_mm: f64,
    /// Least distance from the inner face of the peephole's plate to the front plate, mm.
    pub front_room_mm: f64,
    /// Least distance from the rear plate to the rear wall, mm.
    pub rear_room_mm: f64,
    /// Least distance of a rod's end from the front plate, through which one looks, mm; `None`: half of the way to the rear plate.
    pub window_mm: Option<f64>,
    /// Least distance of a rod's end from the rear plate, mm.
    pub rear_clear_mm: f64,
    /// Least space between two rods, and between a rod and a line that it does not hang on, mm.
    pub rod_gap_mm: f64,
    /// Least distance of the middles of two holes, mm, on the front and on the rear plate.
    pub holes_apart_mm: [f64; 2],
    /// Least distance of a hole's rim from a wall, mm.
    pub hole_to_wall_mm: f64,
    /// Smallest and largest extent of the figure, rad.
    pub figure_rad: [f64; 2],
    /// Shortest and longest rod of the stock, mm.
    pub length_mm: [f64; 2],
    /// Nearest and farthest depth of a rod's end that the scenario says, mm.
    pub depth_mm: [f64; 2],
    /// Least standard deviation of the rod ends' depths, as a share of the cabinet's depth.
    pub least_spread: f64,
    /// Most head movement at which the figure has visibly fallen apart, mm; `None`: see [`Allowed::APART_WITHIN`].
    pub apart_within_mm: Option<f64>,
    /// The picture plane's distance as the scenario has it, mm.
    pub picture_plane_mm: f64,
    /// Keys that the scenario says itself; the others are defaults.
    pub said: BTreeSet<&'static str>,
}

impl Allowed {
    /// The peephole's plate to the front plate, and the rear plate to the rear wall: room for a hand with a needle, mm (chosen).
    pub const ROOM_MM: f64 = 25.0;
    /// A rod's end from the rear plate, mm (chosen).
    pub const REAR_CLEAR_MM: f64 = 10.0;
    /// Space between things that must not touch, mm (chosen).
    pub const GAP_MM: f64 = 1.0;
    /// Holes from middle to middle, in hole diameters: two of them of material stay between (common practice, no source).
    pub const HOLES_APART: f64 = 3.0;
    /// A hole's rim from a wall, mm (chosen).
    pub const HOLE_TO_WALL_MM: f64 = 5.0;
    /// Smallest and largest figure, over the figure as it is drawn (chosen).
    pub const FIGURE: [f64; 2] = [0.5, 2.0];
    /// Least spread of depths over the cabinet's depth: ends that fill a third of it evenly have twice as much (chosen).
    pub const LEAST_SPREAD: f64 = 0.05;
    /// The head movement at which the figure must have fallen apart, over the peephole's diameter (chosen); or what the scenario's
    /// own layout has, where that is more.
    pub const APART_WITHIN: f64 = 2.0;

    /// Depths between which a rod's end may hang, mm, with the plates at these distances.
    pub fn hang_mm(&self, plates_mm: [f64; 2]) -> [f64; 2] {
        let [front_mm, rear_mm] = plates_mm;
        let window_mm = self.window_mm.unwrap_or((rear_mm - front_mm) / 2.0);
        [
            (front_mm + window_mm).max(self.depth_mm[0]),
            (rear_mm - self.rear_clear_mm).min(self.depth_mm[1]),
        ]
    }

    /// Distances from the station point within which the plates must stand, mm; `inner_face_mm` is that of the peephole's plate.
    pub fn plates_within_mm(&self, inner_face_mm: f64) -> [f64; 2] {
        [
            // the plates cannot be one
            inner_face_mm + self.front_room_mm.max(1.0),
            inner_face_mm + self.inside_mm[2] - self.rear_room_mm,
        ]
    }

    /// Least distance of the middles of two holes of a plate, mm.
    pub fn holes_apart_on_mm(&self, plate: Plate) -> f64 {
        self.holes_apart_mm[plate.index()]
    }

    /// Height of the cabinet's floor above the ground on which the visitor stands or sits, mm.
    pub fn floor_mm(&self) -> f64 {
        self.eye_height_mm - self.axis_mm[1]
    }
}
