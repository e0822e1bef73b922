//! The outsides of both plates: how long each way from hole to hole is, what it passes over, which ways cross.

use super::trouble::Trouble;
use crate::figure::{Plan, Plate};
use crate::geometry::{Pair, distance_from_way_mm, ways_cross};
use crate::mechanics::crossings;
use rayon::prelude::*;

/// A way of leading the line: the order of the lines, and the plate at which the first run enters.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Led {
    /// Lines by index, each once.
    pub order: Vec<usize>,
    /// Whether the first run enters at the front plate.
    pub first_enters_front: bool,
}

impl Led {
    /// Over which plate the line crosses after run `run`, as an index: 0 front, 1 rear.
    pub fn plate_after(&self, run: usize) -> usize {
        plate_after(self.first_enters_front, run)
    }

    /// The same ways, led from the other end.
    pub fn from_other_end(&self) -> Self {
        let last = self.order.len().saturating_sub(1);
        Self {
            order: self.order.iter().rev().copied().collect(),
            first_enters_front: self.plate_after(last) == 0,
        }
    }
}

/// A first run that enters at the front leaves at the rear.
pub(super) fn plate_after(first_enters_front: bool, run: usize) -> usize {
    usize::from(first_enters_front == run.is_multiple_of(2))
}

/// Holes of both plates with the ways between them.
#[derive(Debug, Clone)]
pub struct Plates {
    /// Holes, mm: `[front, rear][line]`.
    pub holes_mm: [Vec<Pair>; 2],
    /// Diameters of the holes, mm.
    pub hole_mm: [f64; 2],
    /// Trouble of each way by itself, `[plate][from · lines + to]`: holes that it passes over, and its length.
    own: [Vec<Trouble>; 2],
}

impl Plates {
    /// The plates of a plan.
    pub fn of(plan: &Plan) -> Self {
        let hole_mm = Plate::BOTH.map(|plate| plan.design.plates[plate.index()].hole_mm);
        Self::new(plan.holes_mm.clone(), hole_mm)
    }

    /// Plates with these holes, mm (`[front, rear][line]`), of these diameters, mm. The patterns are alike but for their size.
    pub fn new(holes_mm: [Vec<Pair>; 2], hole_mm: [f64; 2]) -> Self {
        let own = [0, 1].map(|plate| own_troubles(&holes_mm[plate], hole_mm[plate]));
        Self {
            holes_mm,
            hole_mm,
            own,
        }
    }

    /// How many lines there are.
    pub fn lines(&self) -> usize {
        self.holes_mm[0].len()
    }

    /// The trouble of one way by itself.
    #[inline]
    pub fn way(&self, plate: usize, from: usize, to: usize) -> Trouble {
        self.own[plate][from * self.lines() + to]
    }

    /// Whether two ways over one plate cross.
    pub fn cross(&self, plate: usize, first: [usize; 2], second: [usize; 2]) -> bool {
        let at = |way: [usize; 2]| way.map(|line| self.holes_mm[plate][line]);
        ways_cross(at(first), at(second))
    }

    /// Lines other than its own whose holes a way passes over.
    pub fn passed_over(&self, plate: usize, way: [usize; 2]) -> Vec<usize> {
        let holes = &self.holes_mm[plate];
        passed(holes, self.hole_mm[plate] / 2.0, way).collect()
    }

    /// The trouble of all ways by themselves, ways that cross each other left out.
    pub(super) fn own_trouble(&self, led: &Led) -> Trouble {
        let mut trouble = Trouble::NONE;
        for (run, pair) in led.order.windows(2).enumerate() {
            trouble += self.way(led.plate_after(run), pair[0], pair[1]);
        }
        trouble
    }

    /// All trouble of an order: crossings of ways, holes passed over, length of the ways.
    pub fn trouble(&self, led: &Led) -> Trouble {
        self.own_trouble(led) + Trouble::of_crossings(self.crossing_ways(led).len())
    }

    /// The pairs of ways that cross, each by its place in the order, first the earlier way.
    pub fn crossing_ways(&self, led: &Led) -> Vec<[usize; 2]> {
        let ways = crossings(&led.order, led.first_enters_front);
        let mut found = Vec::new();
        for (nth, first) in ways.iter().enumerate() {
            let plate = usize::from(!first.over_front);
            // ways over one plate stand at every second place
            for other in (nth + 2..ways.len()).step_by(2) {
                if self.cross(plate, first.lines, ways[other].lines) {
                    found.push([nth, other]);
                }
            }
        }
        found
    }
}

/// The trouble of all ways over one plate by themselves.
fn own_troubles(holes_mm: &[Pair], hole_mm: f64) -> Vec<Trouble> {
    let lines = holes_mm.len();
    let of_way = |way: [usize; 2]| {
        let length_mm = (holes_mm[way[1]] - holes_mm[way[0]]).norm();
        Trouble::new(passed(holes_mm, hole_mm / 2.0, way).count(), length_mm)
    };
    let rows: Vec<Vec<Trouble>> = (0..lines)
        .into_par_iter()
        .map(|from| (from + 1..lines).map(|to| of_way([from, to])).collect())
        .collect();
    let mut all = vec![Trouble::NONE; lines * lines];
    for (from, row) in rows.into_iter().enumerate() {
        for (to, trouble) in (from + 1..lines).zip(row) {
            all[from * lines + to] = trouble;
            all[to * lines + from] = trouble;
        }
    }
    all
}

/// Lines other than its own within `radius_mm` of a way.
fn passed(holes_mm: &[Pair], radius_mm: f64, way: [usize; 2]) -> impl Iterator<Item = usize> + '_ {
    let ends = way.map(|line| holes_mm[line]);
    let run = ends[1] - ends[0];
    let far = radius_mm * radius_mm * run.norm_squared();
    holes_mm
        .iter()
        .enumerate()
        .filter(move |(line, place)| {
            let off = run.perp(&(*place - ends[0]));
            // most holes lie far off even the endless line
            off * off <= far * 1.001
                && !way.contains(line)
                && distance_from_way_mm(ends, **place) < radius_mm
        })
        .map(|(line, _)| line)
}
