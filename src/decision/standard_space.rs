//! A build and its looks as a point of independent standard normal numbers.
//!
//! Every uniform number u that a law takes is Φ(z) of a coordinate z; a random direction takes two coordinates and is the
//! angle of (z₁, z₂), so that a small step in z is a small turn everywhere and there is no seam between 359° and 0°. What
//! does not vary takes no coordinate. The law of all values is that of the run.

use super::performance::TrialValues;
use crate::figure::{Family, Law, Plan, Source};
use crate::sampling::normal_cumulative;
use std::f64::consts::TAU;

/// How a uniform number comes from coordinates.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Taken {
    /// The law does not take it.
    Unused,
    /// Φ of the coordinate at this place.
    Size(usize),
    /// The angle of the two coordinates from this place on.
    Direction(usize),
}

impl Taken {
    fn uniform(self, point: &[f64]) -> f64 {
        // a quantile must never be asked for u = 0 or u = 1
        const LEAST: f64 = 1e-300;
        const MOST: f64 = 1.0 - f64::EPSILON / 2.0;
        match self {
            Self::Unused => 0.5,
            Self::Size(at) => normal_cumulative(point[at]).clamp(LEAST, MOST),
            Self::Direction(at) => {
                let turn = libm::atan2(point[at + 1], point[at]) / TAU;
                let turn = if turn < 0.0 { turn + 1.0 } else { turn };
                turn.clamp(LEAST, MOST)
            }
        }
    }
}

/// One item's values in one trial vector.
#[derive(Debug, Clone, Copy)]
struct Entry {
    source: Source,
    item: usize,
    /// `None` for the build's vector.
    look: Option<usize>,
    from: [Taken; 2],
}

/// The coordinates of a build with its looks.
#[derive(Debug, Clone)]
pub struct StandardSpace {
    looks: usize,
    /// Number of coordinates.
    pub dimension: usize,
    entries: Vec<Entry>,
    /// Values of what does not vary stand here once and for all.
    fixed: TrialValues,
}

/// Coordinates of one source.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Coordinates {
    /// The source.
    pub source: Source,
    /// Coordinates of sizes: Φ(z) is the uniform number.
    pub sizes: Vec<usize>,
    /// Coordinates of directions, two for each.
    pub directions: Vec<usize>,
}

impl StandardSpace {
    /// The space of a plan's builds with `looks` looks at each.
    pub fn new(plan: &Plan, looks: usize) -> Self {
        let mut space = Self {
            looks,
            dimension: 0,
            entries: Vec::new(),
            fixed: TrialValues {
                build: vec![0.0; plan.layout.build_len],
                looks: vec![vec![0.0; plan.layout.look_len]; looks],
            },
        };
        for source in Source::ALL {
            match source.family() {
                Family::Build => space.add(plan, source, None),
                Family::Look => (0..looks).for_each(|look| space.add(plan, source, Some(look))),
            }
        }
        space
    }

    fn add(&mut self, plan: &Plan, source: Source, look: Option<usize>) {
        let law = plan.design.law(source);
        for item in 0..source.items(&plan.design) {
            let mut from = [Taken::Unused; 2];
            for (nth, from) in from.iter_mut().enumerate().take(law.uniforms()) {
                if is_direction(law, nth) {
                    *from = Taken::Direction(self.dimension);
                    self.dimension += 2;
                } else {
                    *from = Taken::Size(self.dimension);
                    self.dimension += 1;
                }
            }
            let entry = Entry {
                source,
                item,
                look,
                from,
            };
            if law.uniforms() == 0 {
                put(plan, &entry, &[], &mut self.fixed);
            } else {
                self.entries.push(entry);
            }
        }
    }

    /// The values of the build and its looks at a point.
    pub fn values(&self, plan: &Plan, point: &[f64]) -> TrialValues {
        let mut values = self.fixed.clone();
        for entry in &self.entries {
            put(plan, entry, point, &mut values);
        }
        values
    }

    /// How many looks each build takes.
    pub fn looks(&self) -> usize {
        self.looks
    }

    /// Which coordinates belong to which source that varies.
    pub fn coordinates(&self) -> Vec<Coordinates> {
        let mut found: Vec<Coordinates> = Vec::new();
        for entry in &self.entries {
            if found.last().map(|last| last.source) != Some(entry.source) {
                found.push(Coordinates {
                    source: entry.source,
                    sizes: Vec::new(),
                    directions: Vec::new(),
                });
            }
            let last = found.last_mut().expect("one was just pushed");
            for from in entry.from {
                match from {
                    Taken::Unused => {}
                    Taken::Size(at) => last.sizes.push(at),
                    Taken::Direction(at) => last.directions.extend([at, at + 1]),
                }
            }
        }
        found
    }
}

/// Works out the entry's values at a point and puts them into their place.
fn put(plan: &Plan, entry: &Entry, point: &[f64], into: &mut TrialValues) {
    let u = entry.from.map(|taken| taken.uniform(point));
    let values = plan.design.law(entry.source).values(entry.item, u);
    let components = entry.source.components();
    let at = plan.layout.start(entry.source) + entry.item * components;
    let vector = match entry.look {
        None => &mut into.build,
        Some(look) => &mut into.looks[look],
    };
    vector[at..at + components].copy_from_slice(&values[..components]);
}

/// Whether the law takes its `nth` uniform number as a direction.
fn is_direction(law: &Law, nth: usize) -> bool {
    match law {
        Law::Ring(_) => nth == 0,
        Law::Disc { .. } | Law::Spun(_) => nth == 1,
        Law::Each(_) | Law::Aimed(_) | Law::Rows(_) | Law::Light { .. } => false,
    }
}
