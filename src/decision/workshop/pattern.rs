//! A plate's holes as they are seen from the peephole: where they lie on paper, and a rectangle round them.
//!
//! The cabinet's +x points to the viewer's left, so a pattern that is looked at from the peephole has right = −x and up = +y.
//! Its origin is where the axis, the straight line through the station point along z, meets the plate.

use crate::figure::{Allowed, Plan, Plate};
use crate::geometry::Pair;

/// How far the suggested outline keeps from the outermost holes and from the axis, mm (chosen; common practice, no source).
pub const OUTLINE_MARGIN_MM: f64 = 15.0;

/// A rectangle along the axes of its own frame, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rectangle {
    /// Corner of the least coordinates.
    pub low: Pair,
    /// Corner of the largest coordinates.
    pub high: Pair,
}

impl Rectangle {
    /// From its least and largest coordinates, mm.
    pub fn new(low: [f64; 2], high: [f64; 2]) -> Self {
        Self {
            low: Pair::from(low),
            high: Pair::from(high),
        }
    }

    /// Width and height, mm.
    pub fn size_mm(&self) -> Pair {
        self.high - self.low
    }

    /// Whether a point lies in it or on its border.
    pub fn holds(&self, at: Pair) -> bool {
        (0..2).all(|i| self.low[i] <= at[i] && at[i] <= self.high[i])
    }

    /// Whether all of `other` lies in it.
    pub fn contains(&self, other: &Self) -> bool {
        self.holds(other.low) && self.holds(other.high)
    }

    /// Whether the two share more than a border.
    pub fn overlaps(&self, other: &Self) -> bool {
        (0..2).all(|i| self.low[i] < other.high[i] && other.low[i] < self.high[i])
    }

    /// The part of it that lies in `other`; `None` where none does.
    pub fn within(&self, other: &Self) -> Option<Self> {
        let low = self.low.sup(&other.low);
        let high = self.high.inf(&other.high);
        (low.x <= high.x && low.y <= high.y).then_some(Self { low, high })
    }

    /// The same with `by_mm` more on every side.
    pub fn grown(&self, by_mm: f64) -> Self {
        let more = Pair::new(by_mm, by_mm);
        Self {
            low: self.low - more,
            high: self.high + more,
        }
    }
}

/// The holes of one plate as seen from the peephole.
#[derive(Debug, Clone, PartialEq)]
pub struct HolePattern {
    /// Which plate.
    pub plate: Plate,
    /// Diameter of its holes, mm.
    pub hole_mm: f64,
    /// Place of each line's hole, to the right and up as seen from the peephole, from the axis, mm.
    pub places_mm: Vec<Pair>,
    /// Outline of the plate: the cabinet's inside where that is known and holds all holes, else a suggestion.
    pub outline_mm: Rectangle,
    /// What goes on paper: round holes and axis, on whole millimetres.
    pub printed_mm: Rectangle,
    /// Where the outline comes from.
    pub outline: Outline,
}

/// Where a plate's outline comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outline {
    /// The cabinet's inside is not known: round holes and axis.
    Suggested,
    /// The cabinet's inside.
    Cabinet,
    /// The cabinet's inside is known, but holes reach beyond it: round holes and axis.
    BeyondCabinet,
}

impl HolePattern {
    /// The pattern of one of a design's plates, in a cabinet if one is known.
    pub fn of(plan: &Plan, plate: Plate, allowed: Option<&Allowed>) -> Self {
        let places_mm: Vec<Pair> = plan.holes_mm[plate.index()]
            .iter()
            // 0 − x, not −x: no negative zero on paper
            .map(|hole| Pair::new(0.0 - hole.x, hole.y))
            .collect();
        let spec = &plan.design.plates[plate.index()];
        let mut holes_mm = Rectangle::new([0.0; 2], [0.0; 2]);
        for place in &places_mm {
            holes_mm.low = holes_mm.low.inf(place);
            holes_mm.high = holes_mm.high.sup(place);
        }
        holes_mm = holes_mm.grown(spec.hole_mm / 2.0);
        let mut printed_mm = holes_mm.grown(OUTLINE_MARGIN_MM);
        printed_mm.low = printed_mm.low.map(f64::floor);
        printed_mm.high = printed_mm.high.map(f64::ceil);
        let inside_mm = allowed.map(|allowed| {
            let [left_mm, floor_mm] = allowed.axis_mm;
            let [width_mm, height_mm, _] = allowed.inside_mm;
            Rectangle::new(
                [-left_mm, -floor_mm],
                [width_mm - left_mm, height_mm - floor_mm],
            )
        });
        let (outline_mm, outline) = match inside_mm {
            None => (printed_mm, Outline::Suggested),
            Some(inside_mm) if inside_mm.contains(&holes_mm) => (inside_mm, Outline::Cabinet),
            Some(_) => (printed_mm, Outline::BeyondCabinet),
        };
        Self {
            plate,
            hole_mm: spec.hole_mm,
            places_mm,
            outline_mm,
            printed_mm,
            outline,
        }
    }
}
