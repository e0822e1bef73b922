//! How little line any order could need over the outsides, where the best is not proved.
//!
//! Two bounds, of which the larger is told. Each hole takes one way at most, so a way is no shorter than the mean distance of
//! its two holes from their nearest neighbours. And the ways of an order make a spanning tree, whose ways, each in its rank,
//! are no shorter than those of the least one (a property of matroids: J. Edmonds, Math. Prog. 1 (1971) 127, from memory);
//! the longest of them go over the front plate at best, where the pattern is smaller.

use super::plates::{Plates, plate_after};
use crate::geometry::Pair;

/// A length, mm, that the ways of no order fall under.
pub fn least_ways_mm(plates: &Plates) -> f64 {
    [true, false]
        .map(|first_enters_front| {
            let mut ways = [0_usize; 2];
            for run in 0..plates.lines().saturating_sub(1) {
                ways[plate_after(first_enters_front, run)] += 1;
            }
            nearest_bound_mm(plates, ways).max(tree_bound_mm(plates, ways))
        })
        .into_iter()
        .fold(f64::INFINITY, f64::min)
}

fn nearest_bound_mm(plates: &Plates, ways: [usize; 2]) -> f64 {
    let of_plate = |plate: usize| -> f64 {
        let holes = &plates.holes_mm[plate];
        let mut nearest: Vec<f64> = (0..holes.len())
            .map(|line| {
                (0..holes.len())
                    .filter(|other| *other != line)
                    .map(|other| (holes[other] - holes[line]).norm())
                    .fold(f64::INFINITY, f64::min)
            })
            .collect();
        nearest.sort_by(f64::total_cmp);
        nearest.iter().take(2 * ways[plate]).sum::<f64>() / 2.0
    };
    of_plate(0) + of_plate(1)
}

fn tree_bound_mm(plates: &Plates, ways: [usize; 2]) -> f64 {
    let [front, rear] = plates.holes_mm.each_ref().map(|holes| least_tree_mm(holes));
    // the two patterns are alike but for their size, and so are their trees, rank by rank
    let over_rear: f64 = rear.iter().take(ways[1]).sum();
    let over_front: f64 = front.iter().rev().take(ways[0]).sum();
    over_rear + over_front
}

/// Lengths of the ways of the least spanning tree, rising (Prim 1957).
fn least_tree_mm(holes: &[Pair]) -> Vec<f64> {
    let mut away: Vec<f64> = vec![f64::INFINITY; holes.len()];
    let mut is_in = vec![false; holes.len()];
    let mut lengths = Vec::new();
    let mut last = 0;
    for _ in 1..holes.len() {
        is_in[last] = true;
        for line in 0..holes.len() {
            away[line] = away[line].min((holes[line] - holes[last]).norm());
        }
        let nearest = (0..holes.len())
            .filter(|line| !is_in[*line])
            .min_by(|a, b| away[*a].total_cmp(&away[*b]));
        let Some(next) = nearest else { break };
        lengths.push(away[next]);
        last = next;
    }
    lengths.sort_by(f64::total_cmp);
    lengths
}
