//! The lengths to which rods are cut, and where on its line each end is tied.

use crate::figure::{Plan, Plate};

/// What a rod needs at each end beyond its line for a bent tab or a tie, mm: 1/4 in (common practice, no source).
pub const END_ALLOWANCE_MM: f64 = 25.4 / 4.0;

/// A rod as it is cut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CutRod {
    /// The rod, by index.
    pub rod: usize,
    /// Length from line to line, mm.
    pub between_lines_mm: f64,
    /// Length with the allowance at both ends, mm.
    pub cut_mm: f64,
}

/// The rods as they are cut, in the design's order.
pub fn cut_rods(plan: &Plan) -> Vec<CutRod> {
    (0..plan.design.rods.len())
        .map(|rod| {
            let between_lines_mm = plan.rod_length_mm(rod);
            CutRod {
                rod,
                between_lines_mm,
                cut_mm: between_lines_mm + 2.0 * END_ALLOWANCE_MM,
            }
        })
        .collect()
}

/// Where a rod's end is tied, as distances that can be measured in the cabinet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TiedEnd {
    /// The rod, by index.
    pub rod: usize,
    /// Its first or second end: 0 or 1.
    pub end: usize,
    /// The line, by index.
    pub line: usize,
    /// From the rear plate's hole along the line, mm.
    pub from_rear_along_line_mm: f64,
    /// From the rear plate straight along the axis, mm.
    pub from_rear_along_axis_mm: f64,
    /// From the front plate's hole along the line, mm.
    pub from_front_along_line_mm: f64,
    /// From the front plate straight along the axis, mm.
    pub from_front_along_axis_mm: f64,
}

/// All rod ends line by line, on each line the one nearest to the rear plate first.
pub fn tied_ends(plan: &Plan) -> Vec<TiedEnd> {
    let design = &plan.design;
    let [front_mm, rear_mm] = Plate::BOTH.map(|plate| design.plates[plate.index()].z_mm);
    let mut ends = Vec::with_capacity(2 * design.rods.len());
    for (rod, described) in design.rods.iter().enumerate() {
        for (end, tied) in described.ends.iter().enumerate() {
            // a line leaves the axis by its direction's tangents for each unit of depth
            let slope = design.vertices[tied.line].direction;
            let along = (1.0 + slope.norm_squared()).sqrt();
            let [from_front, from_rear] = [tied.depth_mm - front_mm, rear_mm - tied.depth_mm];
            ends.push(TiedEnd {
                rod,
                end,
                line: tied.line,
                from_rear_along_line_mm: from_rear * along,
                from_rear_along_axis_mm: from_rear,
                from_front_along_line_mm: from_front * along,
                from_front_along_axis_mm: from_front,
            });
        }
    }
    ends.sort_by(|a, b| {
        a.line
            .cmp(&b.line)
            .then(
                a.from_rear_along_axis_mm
                    .total_cmp(&b.from_rear_along_axis_mm),
            )
            .then(a.rod.cmp(&b.rod))
            .then(a.end.cmp(&b.end))
    });
    ends
}
