//! What a scenario says as a whole: impossible cabinets are refused, doubtful ones get a warning.

use super::figure::FigureRead;
use super::table::Table;
use crate::figure::{Design, Law, Plan, Source};
use crate::mechanics::LARGEST_SAG_SHARE;
use crate::trial::least_clear_at_station;
use crate::vision::AGE_RANGE_YEARS;
use std::fmt;
use std::ops::Range;

/// Something that can be computed but should be known.
#[derive(Debug, Clone, PartialEq)]
pub enum Warning {
    /// A line slopes by more than the model's formulas allow for.
    SteepLine {
        /// Its name.
        line: String,
        /// Its angle off the axis, degrees.
        angle_deg: f64,
    },
    /// A line that no rod hangs on.
    LineWithoutRod {
        /// Its name.
        line: String,
    },
    /// A tension above the line's strength.
    OverStrength {
        /// The line.
        line: String,
        /// Tension, N.
        tension_n: f64,
        /// Breaking load, N.
        breaking_n: f64,
    },
    /// Two rods between the same two lines.
    RodsCoincide {
        /// Their names.
        rods: [String; 2],
    },
    /// Visitors outside the pupil formula's ages.
    AgeOutOfRange,
    /// No two rods share a line.
    NoJunction,
}

/// Lines are within some 15° of level.
const STEEP_DEG: f64 = 15.0;

impl fmt::Display for Warning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::SteepLine { line, angle_deg } => write!(
                f,
                "line {line} runs {angle_deg:.1}° off the axis; sag and ties are computed for lines within {STEEP_DEG}° of it, and are some {:.0} % off here",
                100.0 * (1.0 / libm::cos(angle_deg.to_radians()) - 1.0)
            ),
            Self::LineWithoutRod { line } => write!(f, "no rod hangs on line {line}"),
            Self::OverStrength {
                line,
                tension_n,
                breaking_n,
            } => write!(
                f,
                "line {line} is tightened to {tension_n:.1} N, more than half of the {breaking_n:.1} N at which a new line of this material and diameter breaks; a knot halves its strength, and a line that breaks whips"
            ),
            Self::RodsCoincide { rods: [a, b] } => {
                write!(
                    f,
                    "rods {a} and {b} join the same two lines: one hides behind the other"
                )
            }
            Self::AgeOutOfRange => write!(
                f,
                "the pupil's formula is made for ages {} to {}; visitors outside are computed at its ends",
                AGE_RANGE_YEARS[0], AGE_RANGE_YEARS[1]
            ),
            Self::NoJunction => {
                f.write_str("no two rods share a line: there is no junction, so no gap is judged")
            }
        }
    }
}

/// Refuses a nominal sag outside the formula's range.
pub(super) fn sag_in_range(top: &Table<'_>, plan: &Plan, tension_spans: &[Range<usize>]) {
    for (line, tension_n) in plan.tensions_n.iter().enumerate() {
        let share = plan.largest_moments_n_mm[line] / (tension_n * plan.spans[line].length_mm);
        if share > LARGEST_SAG_SHARE {
            top.problems.tell(
                &tension_spans[line],
                format!(
                    "line `{}` sags by 1/{:.1} of its span under {tension_n:.3} N, more than 1/20: outside the range of the sag formula",
                    plan.design.vertices[line].name,
                    1.0 / share
                ),
                Some("give it more tension, lighter rods, or less friction along the threading".to_owned()),
            );
        }
    }
}

/// Refuses a figure that the peephole never shows: at the station point, with the mean pupil, every rod end must be
/// clear enough.
pub(super) fn figure_is_shown(
    top: &Table<'_>,
    plan: &Plan,
    figure: &FigureRead,
    peephole_span: &Range<usize>,
) {
    let clip = plan.design.peephole.clip_below;
    let least = |diameter_mm: f64| {
        let mut wider = plan.clone();
        wider.design.peephole.diameter_mm = diameter_mm;
        least_clear_at_station(&wider)
    };
    let Some((end, share)) = least(plan.design.peephole.diameter_mm) else {
        return;
    };
    if share >= clip {
        return;
    }
    let line = plan.design.rods[end / 2].ends[end % 2].line;
    let (mut low, mut high) = (
        plan.design.peephole.diameter_mm,
        plan.design.peephole.diameter_mm,
    );
    while least(high).is_some_and(|(_, share)| share < clip) && high < 1e5 {
        low = high;
        high *= 2.0;
    }
    for _ in 0..40 {
        let middle = f64::midpoint(low, high);
        if least(middle).is_some_and(|(_, share)| share < clip) {
            low = middle
        } else {
            high = middle
        }
    }
    top.problems.tell(
        peephole_span,
        format!(
            "the peephole can never show the figure: at the station point vertex `{}` has a clear share of {share:.3} of the pupil, under {clip}",
            figure.vertices[line].name
        ),
        Some(format!(
            "a peephole of {high:.1} mm shows all of it; so may less eye_relief, or a smaller figure"
        )),
    );
}

/// Everything that should be known.
pub(super) fn warnings(plan: &Plan) -> Vec<Warning> {
    let design = &plan.design;
    let mut found = Vec::new();
    for vertex in &design.vertices {
        let angle_deg = libm::atan(vertex.direction.norm()).to_degrees();
        if angle_deg > STEEP_DEG {
            found.push(Warning::SteepLine {
                line: vertex.name.clone(),
                angle_deg,
            });
        }
    }
    let mut carries = vec![false; design.vertices.len()];
    for rod in &design.rods {
        rod.ends.iter().for_each(|end| carries[end.line] = true);
    }
    for (vertex, carries) in design.vertices.iter().zip(carries) {
        if !carries {
            found.push(Warning::LineWithoutRod {
                line: vertex.name.clone(),
            });
        }
    }
    found.extend(over_strength(design));
    let pair = |rod: &crate::figure::Rod| {
        let [a, b] = rod.ends.map(|end| end.line);
        [a.min(b), a.max(b)]
    };
    let mut by_pair: Vec<usize> = (0..design.rods.len()).collect();
    by_pair.sort_by_key(|rod| pair(&design.rods[*rod]));
    for two in by_pair.windows(2) {
        if pair(&design.rods[two[0]]) == pair(&design.rods[two[1]]) {
            found.push(Warning::RodsCoincide {
                rods: [0, 1].map(|i| design.rods[two[i]].name.clone()),
            });
        }
    }
    if let Law::Light { age, .. } = design.law(Source::Pupil) {
        let [low, high] = [0.001, 0.999].map(|u| age.quantile(u));
        if low < AGE_RANGE_YEARS[0] || high > AGE_RANGE_YEARS[1] {
            found.push(Warning::AgeOutOfRange);
        }
    }
    if plan.junctions.is_empty() {
        found.push(Warning::NoJunction);
    }
    found
}

fn over_strength(design: &Design) -> Vec<Warning> {
    let Some(breaking_n) = design.line.breaking_load_n else {
        return Vec::new();
    };
    design
        .vertices
        .iter()
        .zip(&design.line.tension_n)
        .filter(|(_, tension)| **tension > breaking_n / 2.0)
        .map(|(vertex, tension)| Warning::OverStrength {
            line: vertex.name.clone(),
            tension_n: *tension,
            breaking_n,
        })
        .collect()
}
