//! Worst case: every bounded source at the end of its bounds that hurts most. A bound, not a probability.
//!
//! The sum Σ|slope|·reach is exact for small errors; the full model is evaluated at the same corner too, and both are
//! shown. Sources without bounds (normal, lognormal) stay at their means and are listed as left out.

use super::first_order::{FirstOrder, Varying, first_gap_output, pairs, signed_outputs};
use crate::figure::{Family, Item, Plan, Reach, Source};
use std::f64::consts::TAU;

/// Directions in which a junction's largest gap is looked for; the bound is found to 1 − cos(0.5°), 4e-5.
const DIRECTIONS: usize = 360;

/// Worst case of one rod or junction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WorstOfItem {
    /// Which.
    pub item: Item,
    /// Sum of all bounded sources at their ends, first order, rad.
    pub first_order_rad: f64,
    /// The full model at the same corner, rad; `None` where it cannot be computed there.
    pub model_rad: Option<f64>,
}

/// Worst case of a design.
#[derive(Debug, Clone, PartialEq)]
pub struct WorstCase {
    /// Rods, then junctions.
    pub items: Vec<WorstOfItem>,
    /// Sources that vary without bounds, left out.
    pub left_out: Vec<Source>,
}

/// One direction in the space of outputs: weights of some outputs.
struct Aim<'a>(&'a [(usize, f64)]);

impl Aim<'_> {
    fn along(&self, outputs: &[f64]) -> f64 {
        self.0
            .iter()
            .map(|(output, weight)| weight * outputs[*output])
            .sum()
    }

    /// The most that `one` can add along this aim, and the move of its components that adds it.
    fn reach_of(&self, one: &Varying) -> (f64, [f64; 2]) {
        let slope = [0, 1].map(|c| {
            if c < one.components {
                self.along(&one.slopes[c])
            } else {
                0.0
            }
        });
        match one.reach {
            None => (0.0, [0.0; 2]),
            Some(Reach::Disc(radius)) => {
                let length = libm::hypot(slope[0], slope[1]);
                if length > 0.0 {
                    (radius * length, slope.map(|s| radius * s / length))
                } else {
                    (0.0, [0.0; 2])
                }
            }
            Some(Reach::Box(reach)) => {
                let mut moves = [0.0; 2];
                for c in 0..one.components {
                    moves[c] = if slope[c] < 0.0 {
                        -reach[c][0]
                    } else {
                        reach[c][1]
                    };
                }
                (slope[0] * moves[0] + slope[1] * moves[1], moves)
            }
        }
    }
}

/// Works out the worst case about the first-order estimate.
pub fn worst_case(plan: &Plan, first_order: &FirstOrder) -> WorstCase {
    // most sources do not move most outputs: only those that do are asked in every direction
    let movers = |outputs: &[usize]| -> Vec<&Varying> {
        let moves = |one: &&Varying| {
            one.slopes.iter().any(|slope| {
                outputs
                    .iter()
                    .any(|output| slope.get(*output).is_some_and(|slope| *slope != 0.0))
            })
        };
        first_order.varying.iter().filter(moves).collect()
    };
    let sum = |aim: &Aim, movers: &[&Varying]| {
        aim.along(&first_order.base) + movers.iter().map(|one| aim.reach_of(one).0).sum::<f64>()
    };
    let at_corner = |aim: &Aim| {
        let mut build = plan.mean_values(Family::Build);
        let mut look = plan.mean_values(Family::Look);
        for one in &first_order.varying {
            let values = match one.source.family() {
                Family::Build => &mut build,
                Family::Look => &mut look,
            };
            let (_, moves) = aim.reach_of(one);
            for c in 0..one.components {
                values[one.at + c] += moves[c];
            }
        }
        signed_outputs(plan, &build, &look)
            .ok()
            .map(|outputs| aim.along(&outputs))
    };
    // `spots`: outputs that are looked at together, as one length (1) or as the two parts of a gap (2)
    let worst_of = |item: Item, spots: &mut dyn Iterator<Item = Vec<usize>>| {
        let best = spots
            .filter_map(|outputs| {
                let movers = movers(&outputs);
                aims_at(&outputs)
                    .map(|weights| (sum(&Aim(&weights), &movers), weights))
                    .reduce(larger)
            })
            .reduce(larger);
        let (first_order_rad, weights) = best.unwrap_or((0.0, Vec::new()));
        WorstOfItem {
            item,
            first_order_rad,
            model_rad: at_corner(&Aim(&weights)),
        }
    };
    let rods = plan.edges.len();
    let mut items = Vec::with_capacity(rods + plan.junctions.len());
    for rod in 0..rods {
        let middle = plan.with_middles.then_some(2 * rods + rod);
        let mut spots = [2 * rod, 2 * rod + 1]
            .into_iter()
            .chain(middle)
            .map(|output| vec![output]);
        items.push(worst_of(Item::Rod(rod), &mut spots));
    }
    let mut next = first_gap_output(plan);
    for (index, junction) in plan.junctions.iter().enumerate() {
        let first = next;
        next += 2 * pairs(&junction.ends).count();
        let mut spots = (first..next)
            .step_by(2)
            .map(|output| vec![output, output + 1]);
        items.push(worst_of(Item::Junction(index), &mut spots));
    }
    let mut left_out: Vec<Source> = first_order
        .varying
        .iter()
        .filter(|one| one.reach.is_none())
        .map(|one| one.source)
        .collect();
    left_out.dedup();
    WorstCase { items, left_out }
}

fn larger(a: (f64, Vec<(usize, f64)>), b: (f64, Vec<(usize, f64)>)) -> (f64, Vec<(usize, f64)>) {
    if b.0 > a.0 { b } else { a }
}

/// Both signs of one output, or every direction of two.
fn aims_at(outputs: &[usize]) -> Box<dyn Iterator<Item = Vec<(usize, f64)>> + '_> {
    match *outputs {
        [x, y] => Box::new((0..DIRECTIONS).map(move |step| {
            let angle = TAU * step as f64 / DIRECTIONS as f64;
            vec![(x, libm::cos(angle)), (y, libm::sin(angle))]
        })),
        _ => Box::new(
            outputs
                .iter()
                .flat_map(|output| [vec![(*output, 1.0)], vec![(*output, -1.0)]]),
        ),
    }
}
