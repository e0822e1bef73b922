//! The checked scenario as the engine sees it: figure, cabinet, lines, rods, eye, and a law for every source.

use super::law::Law;
use super::limits::Judging;
use super::source::Source;
use crate::geometry::{Pair, Point};
use crate::mechanics::{PulledAt, Tightening};

/// One of the two plates.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Plate {
    /// The plate nearer to the eye.
    Front,
    /// The plate farther from the eye.
    Rear,
}

impl Plate {
    /// Both plates, front first.
    pub const BOTH: [Self; 2] = [Self::Front, Self::Rear];

    /// Its place among the two: 0 or 1.
    pub fn index(self) -> usize {
        usize::from(self == Self::Rear)
    }

    /// The other one.
    pub fn other(self) -> Self {
        match self {
            Self::Front => Self::Rear,
            Self::Rear => Self::Front,
        }
    }

    /// "front" or "rear".
    pub fn word(self) -> &'static str {
        match self {
            Self::Front => "front",
            Self::Rear => "rear",
        }
    }
}

/// A named vertex of the figure, and the line that points at the station point through it.
#[derive(Debug, Clone, PartialEq)]
pub struct Vertex {
    /// Its name; the line has the same.
    pub name: String,
    /// Its direction from the station point, tangents.
    pub direction: Pair,
}

/// A plate's nominal place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlateSpec {
    /// Distance from the station point, mm.
    pub z_mm: f64,
    /// Centre about which pattern and plate turn, mm.
    pub centre_mm: Pair,
    /// Diameter of its holes, mm.
    pub hole_mm: f64,
}

/// The peephole and where the eye should be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Peephole {
    /// Diameter D, mm.
    pub diameter_mm: f64,
    /// Eye relief r0: distance of its plate from the nominal pupil, mm.
    pub eye_relief_mm: f64,
    /// A point whose clear share is under this is clipped.
    pub clip_below: f64,
    /// Thickness of its plate, mm; 0 for one as thin as the model has it. It narrows the view of what lies off the axis.
    pub plate_mm: f64,
}

/// Gravity across the axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gravity {
    /// Strength, m/s²; 0 switches sag off.
    pub strength_m_per_s2: f64,
    /// Unit vector in which things fall.
    pub down: Pair,
}

/// One line led through all holes.
#[derive(Debug, Clone, PartialEq)]
pub struct Threading {
    /// Lines by index, in the order in which they are threaded.
    pub order: Vec<usize>,
    /// Whether the first run enters at the front plate.
    pub first_enters_front: bool,
    /// Friction coefficient over the holes' walls.
    pub friction: f64,
    /// How it is tightened.
    pub tightening: Tightening,
    /// Which end is pulled.
    pub pulled_at: PulledAt,
}

/// The line: one kind for all runs.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Material's name, where one was named.
    pub material: Option<&'static str>,
    /// Diameter, mm.
    pub diameter_mm: f64,
    /// Mass per length, kg/m.
    pub mass_kg_per_m: f64,
    /// Tension that each line is given, N, before any loss.
    pub tension_n: Vec<f64>,
    /// How it is threaded, where it is one line through all holes.
    pub threading: Option<Threading>,
    /// Breaking load, N, where the material is known.
    pub breaking_load_n: Option<f64>,
}

/// One end of a rod.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RodEnd {
    /// Line on which it hangs, by index.
    pub line: usize,
    /// Depth z at which it is tied, mm.
    pub depth_mm: f64,
}

/// A rod.
#[derive(Debug, Clone, PartialEq)]
pub struct Rod {
    /// Name.
    pub name: String,
    /// Its two ends.
    pub ends: [RodEnd; 2],
    /// Diameter, mm.
    pub diameter_mm: f64,
    /// Mass per length, kg/m.
    pub mass_kg_per_m: f64,
}

impl Rod {
    /// Nominal places of its two ends, mm.
    pub fn ends_mm(&self, vertices: &[Vertex]) -> [Point; 2] {
        self.ends.map(|end| {
            let across = vertices[end.line].direction * end.depth_mm;
            Point::new(across.x, across.y, end.depth_mm)
        })
    }

    /// Nominal length, mm.
    pub fn length_mm(&self, vertices: &[Vertex]) -> f64 {
        let [first, second] = self.ends_mm(vertices);
        (second - first).norm()
    }
}

/// What rods there are and where they may hang, for whoever looks for better depths.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stock {
    /// Shortest and longest rod that can be had, mm.
    pub length_mm: [f64; 2],
    /// Nearest and farthest depth at which a rod may be tied, mm: clear of the window and of the rear plate.
    pub depth_mm: [f64; 2],
}

impl Stock {
    /// What the rods themselves show: lengths and depths within those of the design.
    pub fn of_rods(vertices: &[Vertex], rods: &[Rod]) -> Self {
        let within = |values: &mut dyn Iterator<Item = f64>| {
            values.fold([f64::INFINITY, 0.0], |[low, high], value| {
                [f64::min(low, value), f64::max(high, value)]
            })
        };
        Self {
            length_mm: within(&mut rods.iter().map(|rod| rod.length_mm(vertices))),
            depth_mm: within(&mut rods.iter().flat_map(|rod| rod.ends).map(|end| end.depth_mm)),
        }
    }
}

/// What is the same for all visitors.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Viewer {
    /// Luminance of the rods' surroundings, cd/m², where given (needed for light on the retina).
    pub luminance_cd_per_m2: Option<f64>,
    /// Distance at which the eye is focused, mm.
    pub focus_mm: f64,
    /// Whether that follows from the rods' depths (see [`focus_between_mm`]) and is not said.
    pub focus_follows_rods: bool,
    /// Wavelength for diffraction, mm.
    pub wavelength_mm: f64,
}

/// Focus midway in dioptres between the nearest and the farthest rod end, which keeps the largest blur smallest, mm.
pub fn focus_between_mm(rods: &[Rod]) -> f64 {
    let depths = || rods.iter().flat_map(|rod| rod.ends).map(|end| end.depth_mm);
    let nearest_mm = depths().fold(f64::INFINITY, f64::min);
    let farthest_mm = depths().fold(0.0, f64::max);
    2.0 / (1.0 / nearest_mm + 1.0 / farthest_mm)
}

/// A checked design with all its sources of error.
#[derive(Debug, Clone, PartialEq)]
pub struct Design {
    /// Vertices, one line each.
    pub vertices: Vec<Vertex>,
    /// Front and rear plate.
    pub plates: [PlateSpec; 2],
    /// The peephole.
    pub peephole: Peephole,
    /// Gravity.
    pub gravity: Gravity,
    /// The line.
    pub line: Line,
    /// The rods.
    pub rods: Vec<Rod>,
    /// What other rods and depths there could be.
    pub stock: Stock,
    /// The eye.
    pub viewer: Viewer,
    /// Limits and what counts as passing.
    pub judging: Judging,
    /// One law per source, in the order of [`Source::ALL`].
    pub laws: Vec<Law>,
}

impl Design {
    /// The law of one source.
    pub fn law(&self, source: Source) -> &Law {
        &self.laws[source.index()]
    }

    /// The same design with one source made perfect: no error, whatever its law was; the pupil and the acuity are held
    /// at their means, since they have no "no error".
    pub fn with_perfect(&self, source: Source) -> Self {
        let mut design = self.clone();
        let value = match source {
            Source::Pupil | Source::Acuity => self.law(source).spread(0).mean[0],
            _ => source.neutral(),
        };
        design.laws[source.index()] = Law::fixed(value, source.components());
        design
    }

    /// The same design with another law for one source.
    pub fn with_law(&self, source: Source, law: Law) -> Self {
        let mut design = self.clone();
        design.laws[source.index()] = law;
        design
    }

    /// The same design with every law of `sources` that varies scaled by `factor` about no error (see [`Law::scaled`]).
    pub fn with_scaled(&self, sources: &[Source], factor: f64) -> Self {
        let mut design = self.clone();
        for source in sources {
            let law = &mut design.laws[source.index()];
            if law.uniforms() > 0 {
                *law = law.scaled(factor, source.neutral());
            }
        }
        design
    }

    /// The same design with its rod ends at other depths, mm: at `2·rod + end`.
    pub fn with_depths_mm(&self, depths_mm: &[f64]) -> Self {
        let mut design = self.clone();
        let ends = design.rods.iter_mut().flat_map(|rod| &mut rod.ends);
        for (end, depth_mm) in ends.zip(depths_mm) {
            end.depth_mm = *depth_mm;
        }
        if design.viewer.focus_follows_rods {
            design.viewer.focus_mm = focus_between_mm(&design.rods);
        }
        design
    }

    /// The same design with its plates at other distances, mm.
    pub fn with_plates_mm(&self, plates_mm: [f64; 2]) -> Self {
        let mut design = self.clone();
        for (plate, z_mm) in design.plates.iter_mut().zip(plates_mm) {
            plate.z_mm = z_mm;
        }
        design
    }

    /// The same design with a figure of `times` its extent, about the axis.
    pub fn with_figure_times(&self, times: f64) -> Self {
        let mut design = self.clone();
        for vertex in &mut design.vertices {
            vertex.direction *= times;
        }
        design
    }

    /// Depths of all rod ends, mm: at `2·rod + end`.
    pub fn depths_mm(&self) -> Vec<f64> {
        let ends = self.rods.iter().flat_map(|rod| rod.ends);
        ends.map(|end| end.depth_mm).collect()
    }

    /// The same design with a peephole of this diameter.
    pub fn with_peephole_mm(&self, diameter_mm: f64) -> Self {
        let mut design = self.clone();
        design.peephole.diameter_mm = diameter_mm;
        design
    }

    /// How far a line can lie off the middle of its hole in a plate, mm: half of hole minus line.
    pub fn hole_slack_mm(&self, plate: Plate) -> f64 {
        let spec = self.plates[plate.index()];
        (spec.hole_mm - self.line.diameter_mm) / 2.0
    }

    /// Distance of the rod's axis from the line's, mm, for every rod end that is tied beside its line: they touch.
    pub fn tie_offsets_mm(&self) -> Vec<f64> {
        let beside = |rod: &Rod| [(self.line.diameter_mm + rod.diameter_mm) / 2.0; 2];
        self.rods.iter().flat_map(beside).collect()
    }

    /// Whether some source can bow a rod, so that its middle must be looked at too.
    pub fn rods_can_bow(&self) -> bool {
        !self.law(Source::RodBow).is_silent(0.0)
    }
}
