//! What a scenario says as a whole: impossible cabinets are refused, doubtful ones get a warning.

use super::figure::FigureRead;
use super::problem::listed;
use super::table::Table;
use crate::figure::{Design, Frame, Law, Plan, Plate, Source};
use crate::mechanics::{LARGEST_SAG_SHARE, STEEPEST_LINE_DEG};
use crate::trial::least_clear_at_the_eye;
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
    /// Tensions near the lines' strength.
    OverStrength {
        /// The lines.
        lines: Vec<String>,
        /// The largest tension that the hand's scatter makes likely, N.
        tension_n: f64,
        /// Breaking load, N.
        breaking_n: f64,
    },
    /// A source that should scatter is one and the same value everywhere.
    FixedScatter {
        /// Its key.
        key: String,
    },
    /// Rod ends on one line that are nearer than the rods are thick.
    RodsTouch {
        /// The line.
        line: String,
        /// Names of the two rods.
        rods: [String; 2],
        /// How far apart they are tied, mm.
        apart_mm: f64,
    },
    /// A figure so small that millimetres and inches may have been mixed up.
    SmallFigure {
        /// Its largest extent, degrees.
        extent_deg: f64,
    },
    /// A peephole so wide that millimetres and inches may have been mixed up.
    WidePeephole {
        /// Its diameter, mm.
        diameter_mm: f64,
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
    /// All rods hang on the same two lines, and a fit can take away any error of two places.
    FitTakesAll,
    /// Holes that run into each other.
    HolesOverlap {
        /// The two lines.
        lines: [String; 2],
        /// Distance of their centres on the front plate, mm.
        apart_mm: f64,
    },
}

/// A figure under this is hardly meant (chosen).
const SMALL_FIGURE_DEG: f64 = 2.0;
/// A peephole over this is hardly meant: an eye's opening is some 30 mm wide (from memory).
const WIDE_PEEPHOLE_MM: f64 = 30.0;

impl fmt::Display for Warning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::SteepLine { line, angle_deg } => write!(
                f,
                "line {line} runs {angle_deg:.1}° off the axis; sag and ties are computed for lines within {STEEPEST_LINE_DEG}° of it, and are some {:.0} % off here",
                100.0 * (1.0 / libm::cos(angle_deg.to_radians()) - 1.0)
            ),
            Self::LineWithoutRod { line } => write!(f, "no rod hangs on line {line}"),
            Self::OverStrength {
                lines,
                tension_n,
                breaking_n,
            } => write!(
                f,
                "{} may be tightened to {tension_n:.1} N by a hand two standard deviations strong, more than half of the {breaking_n:.1} N at which a new line of this material and diameter breaks; a knot or a poor crimp halves its strength, and a line that breaks whips ({})",
                if lines.len() == 1 {
                    "a line".to_owned()
                } else {
                    format!("{} lines", lines.len())
                },
                listed(lines.iter().map(String::as_str))
            ),
            Self::FixedScatter { key } => write!(
                f,
                "{key} is one value: everything is moved by it in the same way, which is no scatter; write {{ form = \"normal\", sd = … }} for a scatter, or \"off\""
            ),
            Self::RodsTouch {
                line,
                rods: [a, b],
                apart_mm,
            } => write!(
                f,
                "rods {a} and {b} are tied {apart_mm:.1} mm apart on line {line}, nearer than they are thick"
            ),
            Self::SmallFigure { extent_deg } => write!(
                f,
                "the figure is only {extent_deg:.2}° across; some 20° is usual: are picture_plane and the vertices in the units that you mean?"
            ),
            Self::WidePeephole { diameter_mm } => write!(
                f,
                "the peephole is {diameter_mm:.0} mm wide, wider than most eyelids are apart: is it in the unit that you mean?"
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
            Self::FitTakesAll => f.write_str(
                "all rods hang on the same two lines: in the fitted frame shift, turn and scale take away every error of their ends, so drifts say nothing; judge with frame = \"fixed\"",
            ),
            Self::HolesOverlap { lines: [a, b], apart_mm } => write!(
                f,
                "the holes of lines {a} and {b} are {apart_mm:.2} mm apart on the front plate, less than a hole is wide"
            ),
            Self::NoJunction => {
                f.write_str("no two rods share a line: there is no junction, so no gap is judged")
            }
        }
    }
}

/// Refuses a nominal sag outside the formula's range; lines whose tension stands at one place are told together.
pub(super) fn sag_in_range(top: &Table<'_>, plan: &Plan, tension_spans: &[Range<usize>]) {
    let share = |line: usize| {
        plan.largest_moments_n_mm[line] / (plan.tensions_n[line] * plan.spans[line].length_mm)
    };
    let over: Vec<usize> = (0..plan.spans.len())
        .filter(|line| share(*line) > LARGEST_SAG_SHARE)
        .collect();
    for (nth, line) in over.iter().enumerate() {
        let span = &tension_spans[*line];
        let alike: Vec<usize> = over
            .iter()
            .copied()
            .filter(|other| tension_spans[*other] == *span)
            .collect();
        if over[..nth]
            .iter()
            .any(|before| tension_spans[*before] == *span)
        {
            continue;
        }
        let Some(worst) = alike
            .iter()
            .copied()
            .max_by(|a, b| share(*a).total_cmp(&share(*b)))
        else {
            continue;
        };
        let others = match alike.len() - 1 {
            0 => String::new(),
            1 => ", and another line so too".to_owned(),
            more => format!(", and {more} more lines so too"),
        };
        top.problems.tell(
            span,
            format!(
                "line `{}` sags by 1/{:.1} of its span under {} N (after threading), more than 1/20{others}: outside the range of the sag formula",
                plan.design.vertices[worst].name,
                1.0 / share(worst),
                plan.tensions_n[worst]
            ),
            Some("give it more tension, lighter or fewer rods, or less friction along the threading".to_owned()),
        );
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
        least_clear_at_the_eye(&wider)
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
    let shown_by = least(high).is_some_and(|(_, share)| share >= clip);
    for _ in 0..40 {
        let middle = f64::midpoint(low, high);
        if least(middle).is_some_and(|(_, share)| share < clip) {
            low = middle;
        } else {
            high = middle;
        }
    }
    top.problems.tell(
        peephole_span,
        format!(
            "the peephole can never show the figure: to the mean eye vertex `{}` has a clear share of {share:.3} of the pupil, under {clip}",
            figure.vertices[line].name
        ),
        Some(if shown_by {
            format!(
                "at least {:.1} mm is needed with the eye exactly in place, and some four standard deviations of the eye's offset more for an eye that wanders; less eye_relief or a smaller figure helps too",
                (high * 10.0).ceil() / 10.0
            )
        } else {
            "no peephole shows it to such an eye: look at the pupil and at the eye's offset".to_owned()
        }),
    );
}

/// Everything that should be known of a design.
pub fn warnings(plan: &Plan) -> Vec<Warning> {
    let design = &plan.design;
    let mut found = Vec::new();
    for vertex in &design.vertices {
        let angle_deg = libm::atan(vertex.direction.norm()).to_degrees();
        if angle_deg > STEEPEST_LINE_DEG {
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
    let carrying = carries.iter().filter(|carries| **carries).count();
    for (vertex, carries) in design.vertices.iter().zip(carries) {
        if !carries {
            found.push(Warning::LineWithoutRod {
                line: vertex.name.clone(),
            });
        }
    }
    found.extend(over_strength(design));
    found.extend(fixed_scatter(design));
    found.extend(touching(plan));
    let extent_deg = plan.figure_rad.to_degrees();
    if extent_deg < SMALL_FIGURE_DEG {
        found.push(Warning::SmallFigure { extent_deg });
    }
    let diameter_mm = design.peephole.diameter_mm;
    if diameter_mm > WIDE_PEEPHOLE_MM {
        found.push(Warning::WidePeephole { diameter_mm });
    }
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
    if design.judging.frame == Frame::Fitted && carrying < 3 {
        found.push(Warning::FitTakesAll);
    }
    found.extend(holes_overlap(plan));
    if plan.junctions.is_empty() {
        found.push(Warning::NoJunction);
    }
    found
}

/// Tensions that the hand's scatter may bring above half of the breaking load, as one warning.
fn over_strength(design: &Design) -> Option<Warning> {
    let breaking_n = design.line.breaking_load_n?;
    let hand = design.law(Source::HandTension).spread(0);
    let strong = hand.mean[0] + 2.0 * hand.sd[0];
    let over = |tension: &f64| tension * strong > breaking_n / 2.0;
    let lines: Vec<String> = design
        .vertices
        .iter()
        .zip(&design.line.tension_n)
        .filter(|(_, tension)| over(tension))
        .map(|(vertex, _)| vertex.name.clone())
        .collect();
    let largest_n = design.line.tension_n.iter().copied().fold(0.0, f64::max);
    (!lines.is_empty()).then_some(Warning::OverStrength {
        lines,
        tension_n: largest_n * strong,
        breaking_n,
    })
}

/// Sources whose name says scatter, but whose law is one value.
fn fixed_scatter(design: &Design) -> Vec<Warning> {
    [
        Source::HoleScatter(Plate::Front),
        Source::HoleScatter(Plate::Rear),
        Source::RodSlip,
    ]
    .into_iter()
    .filter(|source| {
        let law = design.law(*source);
        law.uniforms() == 0 && !law.is_silent(source.neutral())
    })
    .map(|source| {
        let (table, key) = source.key();
        Warning::FixedScatter {
            key: format!("errors.{table}.{key}"),
        }
    })
    .collect()
}

fn touching(plan: &Plan) -> Vec<Warning> {
    let rod_of = |end: usize| &plan.design.rods[end / 2];
    let depth_mm = |end: usize| rod_of(end).ends[end % 2].depth_mm;
    plan.junctions
        .iter()
        .flat_map(|junction| {
            let mut ends = junction.ends.clone();
            ends.sort_by(|a, b| depth_mm(*a).total_cmp(&depth_mm(*b)));
            let near: Vec<[usize; 2]> = ends
                .windows(2)
                .map(|pair| [pair[0], pair[1]])
                .filter(|[a, b]| {
                    let thick_mm = f64::midpoint(rod_of(*a).diameter_mm, rod_of(*b).diameter_mm);
                    depth_mm(*b) - depth_mm(*a) < thick_mm
                })
                .collect();
            let line = plan.design.vertices[junction.line].name.clone();
            near.into_iter().map(move |[a, b]| Warning::RodsTouch {
                line: line.clone(),
                rods: [a, b].map(|end| plan.design.rods[end / 2].name.clone()),
                apart_mm: depth_mm(b) - depth_mm(a),
            })
        })
        .collect()
}

/// The first pair of holes on the front plate whose rims meet.
fn holes_overlap(plan: &Plan) -> Option<Warning> {
    let holes = &plan.holes_mm[0];
    let wide_mm = plan.design.plates[0].hole_mm;
    let mut order: Vec<usize> = (0..holes.len()).collect();
    order.sort_by(|a, b| holes[*a].x.total_cmp(&holes[*b].x));
    order.iter().enumerate().find_map(|(nth, one)| {
        order[nth + 1..]
            .iter()
            .take_while(|other| holes[**other].x - holes[*one].x < wide_mm)
            .find(|other| (holes[**other] - holes[*one]).norm() < wide_mm)
            .map(|other| Warning::HolesOverlap {
                lines: [*one, *other].map(|line| plan.design.vertices[line].name.clone()),
                apart_mm: (holes[*other] - holes[*one]).norm(),
            })
    })
}
