//! Room for the holes' names beside their marks.

use super::canvas::{Anchor, Canvas, HAIR_MM, SMALL_MM, fitted, width_mm};
use crate::decision::workshop::Rectangle;
use crate::geometry::Pair;

/// Longest name beside a mark, mm.
const LONGEST_MM: f64 = 35.0;
/// Distances of a name from the rim of its hole, or from the end of an arm of its mark, that are tried in turn, mm.
const AWAY_MM: [f64; 5] = [1.5, 2.9, 5.0, 8.5, 13.0];
/// From this distance on a thin line leads to the name, mm.
const LED_MM: f64 = 3.0;
/// Directions that are tried in turn: between the arms of the mark first.
const DIRECTIONS: [[f64; 2]; 8] = [
    [0.7, -0.7],
    [-0.7, -0.7],
    [0.7, 0.7],
    [-0.7, 0.7],
    [1.0, 0.0],
    [-1.0, 0.0],
    [0.0, -1.0],
    [0.0, 1.0],
];

/// What names keep clear of, on the page, mm.
pub(super) struct Names {
    within: Rectangle,
    taken: Vec<Rectangle>,
}

impl Names {
    pub(super) fn new(within: Rectangle) -> Self {
        Self {
            within,
            taken: Vec::new(),
        }
    }

    pub(super) fn keep_clear(&mut self, area: Rectangle) {
        self.taken.push(area);
    }

    /// Writes a name near its mark at `at`, clear of everything so far; `false` where there is no room.
    /// The mark fills a disc of `radius` and has arms that reach to `arm` from its middle, mm.
    pub(super) fn place(
        &mut self,
        page: &mut Canvas,
        at: [f64; 2],
        [radius, arm]: [f64; 2],
        name: &str,
    ) -> bool {
        let name = fitted(name, SMALL_MM, LONGEST_MM);
        let width = width_mm(&name, SMALL_MM);
        for away in AWAY_MM {
            for direction in DIRECTIONS {
                let is_along_arm = direction.contains(&0.0);
                let off = away + if is_along_arm { arm } else { radius };
                let foot = [at[0] + off * direction[0], at[1] + off * direction[1]];
                let (anchor, left) = if direction[0] > 0.0 {
                    (Anchor::Start, foot[0])
                } else if direction[0] < 0.0 {
                    (Anchor::End, foot[0] - width)
                } else {
                    (Anchor::Middle, foot[0] - width / 2.0)
                };
                // capitals of the font reach some 0.71 em over the baseline, descenders 0.24 em under it
                let baseline = foot[1]
                    + SMALL_MM
                        * (0.36 + 0.36 * direction[1].signum() * f64::from(direction[1] != 0.0));
                let area = Rectangle {
                    low: Pair::new(left - 0.2, baseline - 0.76 * SMALL_MM),
                    high: Pair::new(left + width + 0.2, baseline + 0.26 * SMALL_MM),
                };
                if !self.is_free(&area) {
                    continue;
                }
                if away > LED_MM {
                    page.line(at, foot, HAIR_MM);
                }
                page.text([foot[0], baseline], &name, SMALL_MM, anchor);
                self.taken.push(area);
                return true;
            }
        }
        false
    }

    fn is_free(&self, area: &Rectangle) -> bool {
        self.within.contains(area) && !self.taken.iter().any(|other| other.overlaps(area))
    }
}
