//! How scattered a figure looks from anywhere but the peephole, and which depths of its rods can be built.
//!
//! Two measures, both of the nominal build: the spread of the rod ends' depths (what is seen from the side), and the head
//! movement at which the figure visibly falls apart. For the latter the gap of a junction whose ends lie at z1 and z2 is
//! e·|1/z1 − 1/z2| for a bare eye moved by e; the figure falls apart where half of its junctions are open by what this
//! visitor's eye tells or half of the thinner rod hides (the same thresholds as for being noticed; "half of the junctions" is
//! chosen, no source).

use crate::figure::{Design, Plan};
use crate::geometry::{Point, segment_distance};

/// How scattered a figure is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scatter {
    /// Standard deviation of the depths of all rod ends, mm.
    pub depth_spread_mm: f64,
    /// Head movement at which half of the junctions are visibly open, mm; `None` without a junction that opens.
    pub falls_apart_mm: Option<f64>,
}

impl Scatter {
    /// That of a design.
    pub fn of(plan: &Plan) -> Self {
        let depths_mm = plan.design.depths_mm();
        let n = depths_mm.len() as f64;
        let mean_mm = depths_mm.iter().sum::<f64>() / n;
        let squares: f64 = depths_mm
            .iter()
            .map(|z| (z - mean_mm) * (z - mean_mm))
            .sum();
        let detail_rad = plan.typical_detail_rad();
        let mut opens_mm: Vec<f64> = plan
            .junctions
            .iter()
            .zip(&plan.gap_thresholds)
            .map(|(junction, threshold)| {
                let [a, b] = plan.widest_depths_mm(junction).map(|z| 1.0 / z);
                threshold.at_rad(detail_rad) / (a - b).abs()
            })
            .collect();
        opens_mm.sort_by(f64::total_cmp);
        let half = opens_mm.len().div_ceil(2);
        Self {
            depth_spread_mm: (squares / n).sqrt(),
            falls_apart_mm: half
                .checked_sub(1)
                .map(|nth| opens_mm[nth])
                .filter(|movement_mm| movement_mm.is_finite()),
        }
    }

    /// Whether this is no less scattered than `other`: as much spread, and apart at no larger movement.
    pub fn at_least(&self, other: &Self) -> bool {
        self.depth_spread_mm >= other.depth_spread_mm && self.movement_mm() <= other.movement_mm()
    }

    /// The head movement at which it falls apart, +∞ where none does, mm.
    pub fn movement_mm(&self) -> f64 {
        self.falls_apart_mm.unwrap_or(f64::INFINITY)
    }
}

/// What must be kept when depths are changed.
#[derive(Debug, Clone)]
pub struct Buildable {
    /// Least distance of the axes of each two rods, mm, for each pair of rods (the first with all later ones, and so on).
    apart_mm: Vec<f64>,
    length_mm: [f64; 2],
    depth_mm: [f64; 2],
}

impl Buildable {
    /// Lengths and depths within the stock; no two rods touch: their axes stay as far apart as the rods and a line are thick,
    /// or as far as they are now where that is less.
    pub fn like(design: &Design) -> Self {
        let rods: Vec<[Point; 2]> = ends_mm(design);
        let mut apart_mm = Vec::new();
        for (i, first) in rods.iter().enumerate() {
            for (j, second) in rods.iter().enumerate().skip(i + 1) {
                let thick_mm = (design.rods[i].diameter_mm + design.rods[j].diameter_mm) / 2.0;
                let need_mm = thick_mm + design.line.diameter_mm;
                apart_mm.push(need_mm.min(segment_distance(*first, *second)));
            }
        }
        Self {
            apart_mm,
            length_mm: design.stock.length_mm,
            depth_mm: design.stock.depth_mm,
        }
    }

    /// Whether a design with other depths keeps all of it.
    pub fn allows(&self, design: &Design) -> bool {
        // what is rounded to whole millimetres may miss a bound by as much as a saw does
        const SAW_MM: f64 = 0.5;
        let [shortest, longest] = self.length_mm;
        let [nearest, farthest] = self.depth_mm;
        let within = design.rods.iter().all(|rod| {
            let length_mm = rod.length_mm(&design.vertices);
            length_mm >= shortest - SAW_MM
                && length_mm <= longest + SAW_MM
                && rod
                    .ends
                    .iter()
                    .all(|end| end.depth_mm >= nearest && end.depth_mm <= farthest)
        });
        let rods = ends_mm(design);
        let pairs = (0..rods.len()).flat_map(|i| (i + 1..rods.len()).map(move |j| (i, j)));
        within
            && pairs
                .zip(&self.apart_mm)
                .all(|((i, j), apart_mm)| segment_distance(rods[i], rods[j]) >= *apart_mm - 1e-9)
    }
}

fn ends_mm(design: &Design) -> Vec<[Point; 2]> {
    design
        .rods
        .iter()
        .map(|rod| rod.ends_mm(&design.vertices))
        .collect()
}

/// The depths of a design drawn together on each line by `factor`: 1/z keeps that share of its distance from the line's mean
/// 1/z. 0 lets all rods of a line meet; above 1 they part.
pub fn drawn_together_mm(design: &Design, factor: f64) -> Vec<f64> {
    let lines = design.vertices.len();
    let (mut sums, mut counts) = (vec![0.0; lines], vec![0.0; lines]);
    for end in design.rods.iter().flat_map(|rod| rod.ends) {
        sums[end.line] += 1.0 / end.depth_mm;
        counts[end.line] += 1.0;
    }
    let ends = design.rods.iter().flat_map(|rod| rod.ends);
    ends.map(|end| {
        let mean = sums[end.line] / counts[end.line];
        1.0 / (mean + factor * (1.0 / end.depth_mm - mean))
    })
    .collect()
}
