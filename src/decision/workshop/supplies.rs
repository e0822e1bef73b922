//! How much line an exhibit takes, in which order it is threaded, and with what its holes are made.
//!
//! Check of the trade: in a carton about a foot long, ten runs of one line with ways between holes, knots and anchors take about
//! 15 ft (common practice, no source).

use crate::figure::{Plan, Plate};
use crate::geometry::Point;
use crate::mechanics::{HoleTool, crossings, hole_tools};

/// Line that goes to each anchor, mm: 4 to 6 in, the larger (common practice, no source).
pub const ANCHOR_MM: f64 = 6.0 * 25.4;
/// Share of the length that is bought on top: knots, retying, mishaps (chosen; common practice, no source).
pub const RESERVE: f64 = 0.25;

/// One line from its front to its rear hole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Run {
    /// The line, by index.
    pub line: usize,
    /// From hole to hole, mm.
    pub length_mm: f64,
    /// Tension that it is given, N, before any loss.
    pub tension_n: f64,
}

/// All lines in the design's order.
pub fn runs(plan: &Plan) -> Vec<Run> {
    let design = &plan.design;
    let depth_mm = design.plates[1].z_mm - design.plates[0].z_mm;
    let lines = design.vertices.iter().zip(&design.line.tension_n);
    lines
        .enumerate()
        .map(|(line, (vertex, tension_n))| Run {
            line,
            length_mm: depth_mm * (1.0 + vertex.direction.norm_squared()).sqrt(),
            tension_n: *tension_n,
        })
        .collect()
}

/// One run of a threading and the way to the next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RunOver {
    /// The line, by index.
    pub line: usize,
    /// The plate at which it is entered.
    pub enters: Plate,
    /// Over the outside of the plate where it leaves, to the next run's hole, mm; `None` after the last.
    pub crossing_mm: Option<f64>,
}

/// The runs in threading order; empty where every line is tied by itself.
pub fn threaded_runs(plan: &Plan) -> Vec<RunOver> {
    let Some(threading) = &plan.design.line.threading else {
        return Vec::new();
    };
    let crossings = crossings(&threading.order, threading.first_enters_front);
    let hole = |line: usize, plate: Plate| -> Point {
        let across = plan.holes_mm[plate.index()][line];
        Point::new(across.x, across.y, plan.design.plates[plate.index()].z_mm)
    };
    let order = threading.order.iter().enumerate();
    order
        .map(|(nth, line)| {
            let enters_front = threading.first_enters_front == (nth % 2 == 0);
            RunOver {
                line: *line,
                enters: if enters_front {
                    Plate::Front
                } else {
                    Plate::Rear
                },
                crossing_mm: crossings.get(nth).map(|crossing| {
                    let plate = if crossing.over_front {
                        Plate::Front
                    } else {
                        Plate::Rear
                    };
                    let [from, to] = crossing.lines.map(|line| hole(line, plate));
                    (to - from).norm()
                }),
            }
        })
        .collect()
}

/// Length of line that an exhibit takes, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineNeed {
    /// All runs from hole to hole.
    pub runs_mm: f64,
    /// All ways from hole to hole over the plates' outsides.
    pub crossings_mm: f64,
    /// Number of anchors.
    pub anchors: usize,
    /// What goes to all anchors.
    pub anchors_mm: f64,
    /// The reserve on top.
    pub reserve_mm: f64,
    /// All of it.
    pub total_mm: f64,
}

/// How much line a design takes.
pub fn line_need(plan: &Plan) -> LineNeed {
    // folded from 0: an empty sum of floats is −0
    let sum = |lengths: &mut dyn Iterator<Item = f64>| lengths.fold(0.0, |all, mm| all + mm);
    let runs_mm = sum(&mut runs(plan).iter().map(|run| run.length_mm));
    let crossings_mm = sum(&mut threaded_runs(plan).iter().filter_map(|run| run.crossing_mm));
    let anchors = match &plan.design.line.threading {
        Some(_) => 2,
        None => 2 * plan.design.vertices.len(),
    };
    let anchors_mm = ANCHOR_MM * anchors as f64;
    let used_mm = runs_mm + crossings_mm + anchors_mm;
    LineNeed {
        runs_mm,
        crossings_mm,
        anchors,
        anchors_mm,
        reserve_mm: RESERVE * used_mm,
        total_mm: (1.0 + RESERVE) * used_mm,
    }
}

/// The tool whose size is nearest to a hole's diameter, of equally near ones the plainest; `None` for holes narrower than
/// the narrowest tool or wider than the widest (by 5 %), which are pierced or cut.
pub fn nearest_tool(hole_mm: f64) -> Option<HoleTool> {
    let tools = hole_tools();
    let narrowest_mm = tools.first()?.diameter_mm;
    let widest_mm = tools.last()?.diameter_mm;
    if !(0.95 * narrowest_mm..=1.05 * widest_mm).contains(&hole_mm) {
        return None;
    }
    tools.into_iter().min_by(|a, b| {
        let off_mm = |tool: &HoleTool| (tool.diameter_mm - hole_mm).abs();
        off_mm(a)
            .total_cmp(&off_mm(b))
            .then(a.plainness().cmp(&b.plainness()))
    })
}
