//! Everything about a design that no error changes, worked out once: targets, edges, junctions, loads, tensions.
//!
//! Loads: each rod hangs half of its weight on each of its two lines, at its nominal depth, with its nominal length;
//! the span is the plates' nominal distance along z. Lines are within some 15° of level, so their slope is left out.

use super::design::{Design, Plate};
use super::limits::Limit;
use super::source::{Layout, Source};
use crate::geometry::{Edge, FitTargets, Pair, Point};
use crate::mechanics::{
    LoadedSpan, PointLoad, Tightening, crossings, pull_directions, tension_shares,
};
use crate::units::rad_from_arcmin;
use crate::vision::finest_detail_arcmin;

/// Share of the thinner rod's thickness that hides a fault from being noticed (chosen; common practice, no source).
const HIDDEN: f64 = 0.5;

/// What can break.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Item {
    /// A rod, by index.
    Rod(usize),
    /// A junction, by index.
    Junction(usize),
}

/// Two or more rod ends on one line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Junction {
    /// The line, by index.
    pub line: usize,
    /// The rod ends that should meet, as `2·rod + end`.
    pub ends: Vec<usize>,
    /// The two of them that are farthest apart in 1/z.
    pub widest: [usize; 2],
}

/// A design with everything nominal worked out.
#[derive(Debug, Clone)]
pub struct Plan {
    /// The design.
    pub design: Design,
    /// Where each source's values stand.
    pub layout: Layout,
    /// Nominal holes, mm: `[front, rear][line]`.
    pub holes_mm: [Vec<Pair>; 2],
    /// Targets of the rod ends, tangents, at `2·rod + end`.
    pub targets: Vec<Pair>,
    /// Target edges of the rods.
    pub edges: Vec<Edge>,
    /// Nominal directions of the rods' middles, tangents.
    pub middle_targets: Vec<Pair>,
    /// Junctions, in the order of their lines.
    pub junctions: Vec<Junction>,
    /// Loaded span of each line.
    pub spans: Vec<LoadedSpan>,
    /// Largest bending moment of each line, N·mm.
    pub largest_moments_n_mm: Vec<f64>,
    /// Tension of each line after the loss along the threading, N, without hand scatter or slackening.
    pub tensions_n: Vec<f64>,
    /// Apparent thickness of each rod, rad, at its farther end (where it hides least).
    pub thickness_rad: Vec<f64>,
    /// Apparent thickness of the thinner rod at each junction, rad.
    pub junction_thickness_rad: Vec<f64>,
    /// Largest distance between two targets, rad.
    pub figure_rad: f64,
    /// Drift limit of each rod.
    pub drift_limits: Vec<Limit>,
    /// Gap limit of each junction.
    pub gap_limits: Vec<Limit>,
    /// At what size a drift of each rod is noticed, whatever the finish: what the visitor's eye tells, or what half of
    /// the rod hides.
    pub drift_thresholds: Vec<Limit>,
    /// The same for each junction's gap and its thinner rod.
    pub gap_thresholds: Vec<Limit>,
    /// What every fit to the targets shares; `None` when the targets are one place to rounding.
    pub fit_targets: Option<FitTargets>,
    /// Whether rods' middles are looked at.
    pub with_middles: bool,
}

impl Plan {
    /// Works out a checked design.
    ///
    /// # Panics
    /// Never for a design that the scenario reader let through: every rod joins two different directions.
    pub fn new(design: Design) -> Self {
        let layout = Layout::of(&design);
        let holes_mm = design.plates.map(|plate| {
            design
                .vertices
                .iter()
                .map(|vertex| vertex.direction * plate.z_mm)
                .collect::<Vec<_>>()
        });
        let mut targets = Vec::with_capacity(2 * design.rods.len());
        let mut edges = Vec::with_capacity(design.rods.len());
        let mut middle_targets = Vec::with_capacity(design.rods.len());
        for rod in &design.rods {
            let [first, second] = rod.ends.map(|end| design.vertices[end.line].direction);
            targets.extend([first, second]);
            edges.push(Edge::between(first, second).expect("a checked rod joins two directions"));
            let [first_mm, second_mm] = rod.ends_mm(&design.vertices);
            let middle = (first_mm + second_mm) / 2.0;
            middle_targets.push(middle.xy() / middle.z);
        }
        let thickness_rad: Vec<f64> = design
            .rods
            .iter()
            .map(|rod| rod.diameter_mm / rod.ends[0].depth_mm.max(rod.ends[1].depth_mm))
            .collect();
        let junctions = junctions(&design);
        let junction_thickness_rad: Vec<f64> = junctions
            .iter()
            .map(|junction| {
                junction
                    .ends
                    .iter()
                    .map(|end| {
                        let rod = &design.rods[end / 2];
                        rod.diameter_mm / rod.ends[end % 2].depth_mm
                    })
                    .fold(f64::INFINITY, f64::min)
            })
            .collect();
        let spans = loaded_spans(&design);
        let figure_rad = targets
            .iter()
            .flat_map(|a| targets.iter().map(move |b| (a - b).norm()))
            .fold(0.0, f64::max);
        let rule = design.judging.rule;
        let limits = |set_rad: Option<f64>, thicknesses: &[f64]| {
            let limit = |thickness: &f64| rule.limit(set_rad, *thickness, figure_rad);
            thicknesses.iter().map(limit).collect()
        };
        let thresholds = |thicknesses: &[f64]| {
            let threshold = |thickness: &f64| Limit::new(1.0, HIDDEN * thickness);
            thicknesses.iter().map(threshold).collect()
        };
        Self {
            drift_limits: limits(rule.drift_rad, &thickness_rad),
            gap_limits: limits(rule.gap_rad, &junction_thickness_rad),
            drift_thresholds: thresholds(&thickness_rad),
            gap_thresholds: thresholds(&junction_thickness_rad),
            fit_targets: FitTargets::new(&targets).ok(),
            with_middles: design.rods_can_bow(),
            largest_moments_n_mm: spans.iter().map(LoadedSpan::largest_moment_n_mm).collect(),
            tensions_n: threaded_tensions_n(&design),
            layout,
            holes_mm,
            targets,
            edges,
            middle_targets,
            junctions,
            spans,
            thickness_rad,
            junction_thickness_rad,
            figure_rad,
            design,
        }
    }

    /// Nominal place of a rod end, mm.
    pub fn end_mm(&self, end: usize) -> Point {
        self.design.rods[end / 2].ends_mm(&self.design.vertices)[end % 2]
    }

    /// Rods' middles that are looked at: all of them, or none.
    pub fn middle_count(&self) -> usize {
        if self.with_middles {
            self.edges.len()
        } else {
            0
        }
    }

    /// Depths of the two ends of a junction that are farthest apart, mm.
    pub fn widest_depths_mm(&self, junction: &Junction) -> [f64; 2] {
        junction
            .widest
            .map(|end| self.design.rods[end / 2].ends[end % 2].depth_mm)
    }

    /// Nominal length of a rod, mm.
    pub fn rod_length_mm(&self, rod: usize) -> f64 {
        self.design.rods[rod].length_mm(&self.design.vertices)
    }

    /// Distance from front to rear plate, mm.
    pub fn span_mm(&self) -> f64 {
        self.design.plates[1].z_mm - self.design.plates[0].z_mm
    }

    /// Name of what can break.
    pub fn item_name(&self, item: Item) -> String {
        match item {
            Item::Rod(rod) => format!("rod {}", self.design.rods[rod].name),
            Item::Junction(junction) => format!("junction {}", self.junction_name(junction)),
        }
    }

    /// Name of a junction: that of its vertex.
    pub fn junction_name(&self, junction: usize) -> &str {
        &self.design.vertices[self.junctions[junction].line].name
    }

    /// Drift limit of a rod for a visitor whose finest detail is `detail_rad`, rad.
    pub fn drift_limit_rad(&self, rod: usize, detail_rad: f64) -> f64 {
        self.drift_limits[rod].at_rad(detail_rad)
    }

    /// Gap limit of a junction for a visitor whose finest detail is `detail_rad`, rad.
    pub fn gap_limit_rad(&self, junction: usize, detail_rad: f64) -> f64 {
        self.gap_limits[junction].at_rad(detail_rad)
    }

    /// Mean of every value of a source, as a build's or a look's vector: what a trial would be without any scatter.
    pub fn mean_values(&self, family: super::Family) -> Vec<f64> {
        let len = match family {
            super::Family::Build => self.layout.build_len,
            super::Family::Look => self.layout.look_len,
        };
        let mut values = vec![0.0; len];
        for source in Source::ALL
            .into_iter()
            .filter(|source| source.family() == family)
        {
            let start = self.layout.start(source);
            let components = source.components();
            for item in 0..source.items(&self.design) {
                let spread = self.design.law(source).spread(item);
                let at = start + item * components;
                values[at..at + components].copy_from_slice(&spread.mean[..components]);
            }
        }
        values
    }

    /// Finest detail of the visitor of mean acuity, rad: the visitor for whom limits are quoted.
    pub fn typical_detail_rad(&self) -> f64 {
        let log_mar = self.design.law(Source::Acuity).spread(0).mean[0];
        rad_from_arcmin(finest_detail_arcmin(log_mar))
    }

    /// No error at all: every value neutral; pupil and acuity at their means.
    pub fn neutral_values(&self, family: super::Family) -> Vec<f64> {
        self.values_at(family, |source| {
            !matches!(source, Source::Pupil | Source::Acuity)
        })
    }

    /// The same with what the work means to do and is no error: rods tied on the side that the scenario says, lines pulled in
    /// their holes, and slackened as their material does.
    pub fn meant_values(&self, family: super::Family) -> Vec<f64> {
        self.values_at(family, |source| {
            !matches!(
                source,
                Source::Pupil
                    | Source::Acuity
                    | Source::RodTie
                    | Source::HoleSlack(_)
                    | Source::Slackening
            )
        })
    }

    /// The means, with the values of some sources at no error.
    fn values_at(&self, family: super::Family, is_neutral: impl Fn(Source) -> bool) -> Vec<f64> {
        let mut values = self.mean_values(family);
        for source in Source::ALL
            .into_iter()
            .filter(|source| source.family() == family)
        {
            if !is_neutral(source) {
                continue;
            }
            let start = self.layout.start(source);
            let count = source.items(&self.design) * source.components();
            values[start..start + count].fill(source.neutral());
        }
        values
    }
}

fn junctions(design: &Design) -> Vec<Junction> {
    let mut ends_on_line = vec![Vec::new(); design.vertices.len()];
    for (rod_index, rod) in design.rods.iter().enumerate() {
        for (which, end) in rod.ends.iter().enumerate() {
            ends_on_line[end.line].push(2 * rod_index + which);
        }
    }
    let depth = |end: usize| design.rods[end / 2].ends[end % 2].depth_mm;
    ends_on_line
        .into_iter()
        .enumerate()
        .filter(|(_, ends)| ends.len() > 1)
        .map(|(line, ends)| {
            let pick = |nearest: bool| {
                *ends
                    .iter()
                    .reduce(|a, b| {
                        if (depth(*b) < depth(*a)) == nearest && depth(*a) != depth(*b) {
                            b
                        } else {
                            a
                        }
                    })
                    .expect("a junction has ends")
            };
            let (near, far) = (pick(true), pick(false));
            let far = if near == far { ends[1] } else { far };
            Junction {
                line,
                widest: [near, far],
                ends,
            }
        })
        .collect()
}

fn loaded_spans(design: &Design) -> Vec<LoadedSpan> {
    let gravity = design.gravity.strength_m_per_s2;
    let front_z_mm = design.plates[0].z_mm;
    let mut spans = vec![
        LoadedSpan {
            length_mm: design.plates[1].z_mm - front_z_mm,
            // kg/m × m/s² = N/m = 1e-3 N/mm
            weight_n_per_mm: design.line.mass_kg_per_m * gravity * 1e-3,
            loads: Vec::new(),
        };
        design.vertices.len()
    ];
    for rod in &design.rods {
        let length_m = rod.length_mm(&design.vertices) * 1e-3;
        let half_weight_n = rod.mass_kg_per_m * length_m * gravity / 2.0;
        for end in rod.ends {
            spans[end.line].loads.push(PointLoad {
                at_mm: end.depth_mm - front_z_mm,
                weight_n: half_weight_n,
            });
        }
    }
    spans
}

/// Nominal holes as points, `[front, rear][line]`.
fn hole_points(design: &Design) -> [Vec<Point>; 2] {
    design.plates.map(|plate| {
        design
            .vertices
            .iter()
            .map(|vertex| Point::new(vertex.direction.x, vertex.direction.y, 1.0) * plate.z_mm)
            .collect()
    })
}

fn threaded_tensions_n(design: &Design) -> Vec<f64> {
    let line = &design.line;
    match &line.threading {
        Some(threading) if threading.tightening == Tightening::EndsOnly => {
            let [front, rear] = hole_points(design);
            let shares = tension_shares(
                &threading.order,
                threading.first_enters_front,
                &front,
                &rear,
                threading.friction,
                threading.pulled_at,
            );
            line.tension_n
                .iter()
                .zip(shares)
                .map(|(tension, share)| tension * share)
                .collect()
        }
        _ => line.tension_n.clone(),
    }
}

impl Design {
    /// For each line the direction in which it is pulled at its hole in `plate` by the next hole, or `None` where it
    /// ends at an anchor or is not threaded.
    pub fn pulls(&self, plate: Plate) -> Vec<Option<Pair>> {
        let Some(threading) = &self.line.threading else {
            return vec![None; self.vertices.len()];
        };
        let [front, rear] = hole_points(self);
        let crossings = crossings(&threading.order, threading.first_enters_front);
        pull_directions(&crossings, &front, &rear)
            .into_iter()
            .map(|pulls| pulls[plate.index()])
            .collect()
    }

    /// Whether the hand pulls the line once, at its end, so that one draw scales every run's tension.
    pub fn tension_is_shared(&self) -> bool {
        self.line
            .threading
            .as_ref()
            .is_some_and(|threading| threading.tightening == Tightening::EndsOnly)
    }
}
