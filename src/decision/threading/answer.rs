//! The answer to how to lead one line through all holes: order, line, tension, where to pull again.

use super::bound::least_ways_mm;
use super::exact::{MOST_STEPS, exact};
use super::plates::{Led, Plates};
use super::search::search;
use super::tension::{Pull, RunTension, run_tensions};
use super::trouble::Trouble;
use crate::figure::{Plan, Plate};
use crate::geometry::{Pair, Point, crossing_place_mm};
use crate::mechanics::{PulledAt, Tightening, crossings};

/// Friction over the holes' walls where the scenario says none: nylon on wood or metal has 0.15 to 0.3 (from memory).
pub const USUAL_FRICTION: f64 = 0.2;

/// What is asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThreadSettings {
    /// Seed of the search among many lines.
    pub seed: u64,
    /// Friction, in place of the scenario's.
    pub friction: Option<f64>,
    /// Least share of the pull that every run is to keep; above 0 and at most 1.
    pub least_share: f64,
    /// Line for the knot and the anchor at each of the two ends, mm.
    pub anchor_mm: f64,
}

/// One way over the outside of a plate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OutsideWay {
    /// From which line to which, by index.
    pub lines: [usize; 2],
    /// Over which plate.
    pub plate: Plate,
    /// Its length, mm.
    pub length_mm: f64,
}

/// Where one thing lies over another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WayCrossing {
    /// Two ways, by their places in the order, and where they cross, mm.
    Ways {
        /// The two ways, the earlier first.
        ways: [usize; 2],
        /// Where they cross, mm.
        at_mm: Pair,
    },
    /// A way that passes over the hole of a line.
    Hole {
        /// The way, by its place in the order.
        way: usize,
        /// The line, by index.
        line: usize,
    },
}

/// An order with all that follows from it.
#[derive(Debug, Clone, PartialEq)]
pub struct OrderFound {
    /// The order.
    pub led: Led,
    /// Its ways.
    pub ways: Vec<OutsideWay>,
    /// Its crossings.
    pub crossings: Vec<WayCrossing>,
    /// All ways together, mm.
    pub ways_mm: f64,
}

/// How far it is certain that nothing is better.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Proof {
    /// No order has fewer crossings, or as few and less line.
    Best,
    /// No order has fewer crossings; its line may not be the least.
    FewestCrossings,
    /// Neither is certain; no order has fewer crossings than these.
    None {
        /// Fewest crossings that any order could have.
        crossings: usize,
    },
}

/// The answer.
#[derive(Debug, Clone, PartialEq)]
pub struct ThreadAnswer {
    /// The best order that was found; the scenario's own where none is better.
    pub best: OrderFound,
    /// The scenario's own, if it has one.
    pub present: Option<OrderFound>,
    /// Whether it is certain.
    pub proof: Proof,
    /// A length that the ways of no order fall under, mm.
    pub least_ways_mm: f64,
    /// Length of all runs from plate to plate, mm, the same in any order.
    pub runs_mm: f64,
    /// Line for the knot and the anchor at each end, mm.
    pub anchor_mm: f64,
    /// How the line is pulled.
    pub pull: Pull,
    /// Whether the friction is the scenario's, or was asked for.
    pub friction_is_given: bool,
    /// How it is tightened, where the scenario says.
    pub tightening: Option<Tightening>,
    /// Tension of each run in the order.
    pub tensions: Vec<RunTension>,
}

impl ThreadAnswer {
    /// Whether the scenario's own order is as good as any that was found.
    pub fn present_is_best(&self) -> bool {
        self.present
            .as_ref()
            .is_some_and(|own| own.led == self.best.led)
    }

    /// Line for an order, with both anchors, mm.
    pub fn line_mm(&self, order: &OrderFound) -> f64 {
        self.runs_mm + order.ways_mm + 2.0 * self.anchor_mm
    }
}

/// Finds the order with the fewest crossings and, among those, the least line; `None` for a plan without lines.
pub fn thread(plan: &Plan, settings: &ThreadSettings) -> Option<ThreadAnswer> {
    let plates = Plates::of(plan);
    let threading = plan.design.line.threading.as_ref();
    let present = threading.map(|own| Led {
        order: own.order.clone(),
        first_enters_front: own.first_enters_front,
    });
    let holes = hole_points(plan);
    let pull = Pull {
        friction: settings
            .friction
            .or(threading.map(|own| own.friction))
            .unwrap_or(USUAL_FRICTION),
        pulled_at: threading.map_or(PulledAt::Last, |own| own.pulled_at),
        least_share: settings.least_share,
    };
    let (found, trouble, bound) = best_order(&plates, settings.seed)?;
    let led = match &present {
        Some(own) if plates.trouble(own) <= trouble => own.clone(),
        _ => read_from_better_end(plan, found, &holes, &pull),
    };
    let trouble = plates.trouble(&led);
    let proof = match bound {
        Some(bound) if bound == trouble => Proof::Best,
        _ => {
            let crossings = bound.map_or(0, Trouble::crossings);
            if trouble.crossings() == crossings {
                Proof::FewestCrossings
            } else {
                Proof::None { crossings }
            }
        }
    };
    let best = order_found(&plates, led);
    Some(ThreadAnswer {
        tensions: run_tensions(&best.led, [&holes[0], &holes[1]], &pull),
        least_ways_mm: match proof {
            Proof::Best => best.ways_mm,
            _ => least_ways_mm(&plates).min(best.ways_mm),
        },
        present: present.map(|led| order_found(&plates, led)),
        proof,
        runs_mm: holes[0]
            .iter()
            .zip(&holes[1])
            .map(|(front, rear)| (rear - front).norm())
            .sum(),
        anchor_mm: settings.anchor_mm,
        pull,
        friction_is_given: settings.friction.is_some() || threading.is_some(),
        tightening: threading.map(|own| own.tightening),
        best,
    })
}

/// The order or the same from its other end, which has the same ways: where the line is pulled at one end only, the one whose
/// worst line sags less.
fn read_from_better_end(plan: &Plan, led: Led, holes: &[Vec<Point>; 2], pull: &Pull) -> Led {
    let other = led.from_other_end();
    let worst_sag = |led: &Led| {
        run_tensions(led, [&holes[0], &holes[1]], pull)
            .iter()
            .map(|run| {
                let tension_n = plan.design.line.tension_n[run.line] * run.ends_only;
                plan.largest_moments_n_mm[run.line] / tension_n.max(f64::MIN_POSITIVE)
            })
            .fold(0.0, f64::max)
    };
    if worst_sag(&other) < worst_sag(&led) {
        other
    } else {
        led
    }
}

/// The order, its trouble, and the least that any could have where that is known.
fn best_order(plates: &Plates, seed: u64) -> Option<(Led, Trouble, Option<Trouble>)> {
    if plates.lines() == 0 {
        return None;
    }
    let found = exact(plates, MOST_STEPS, || search(plates, seed).1);
    Some(match found {
        Some(found) => (found.led, found.trouble, Some(found.bound)),
        None => {
            let (trouble, led) = search(plates, seed);
            (led, trouble, None)
        }
    })
}

fn order_found(plates: &Plates, led: Led) -> OrderFound {
    let ways: Vec<OutsideWay> = crossings(&led.order, led.first_enters_front)
        .into_iter()
        .map(|way| {
            let plate = if way.over_front {
                Plate::Front
            } else {
                Plate::Rear
            };
            let [from, to] = way.lines.map(|line| plates.holes_mm[plate.index()][line]);
            OutsideWay {
                lines: way.lines,
                plate,
                length_mm: (to - from).norm(),
            }
        })
        .collect();
    let ends = |way: &OutsideWay| {
        way.lines
            .map(|line| plates.holes_mm[way.plate.index()][line])
    };
    let mut found: Vec<WayCrossing> = plates
        .crossing_ways(&led)
        .into_iter()
        .filter_map(|pair| {
            let [first, second] = pair.map(|way| ends(&ways[way]));
            crossing_place_mm(first, second).map(|at_mm| WayCrossing::Ways { ways: pair, at_mm })
        })
        .collect();
    for (nth, way) in ways.iter().enumerate() {
        let over = plates.passed_over(way.plate.index(), way.lines);
        found.extend(
            over.into_iter()
                .map(|line| WayCrossing::Hole { way: nth, line }),
        );
    }
    OrderFound {
        led,
        ways_mm: ways.iter().map(|way| way.length_mm).sum(),
        ways,
        crossings: found,
    }
}

/// Nominal holes as points, mm.
fn hole_points(plan: &Plan) -> [Vec<Point>; 2] {
    Plate::BOTH.map(|plate| {
        let z_mm = plan.design.plates[plate.index()].z_mm;
        plan.holes_mm[plate.index()]
            .iter()
            .map(|hole| Point::new(hole.x, hole.y, z_mm))
            .collect()
    })
}
