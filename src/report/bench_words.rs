//! What a person at the bench calls a value of a build: how far, in which unit, which way, how sure, how surprising.
//!
//! The cabinet's +x points to the viewer's left, +y up, +z away from the eye; turns are right-handed, so that a positive one
//! about z runs from left to up: clockwise as seen from the peephole.

use crate::decision::diagnosis::{Cause, Suspect};
use crate::figure::{Measurand, Plan, Source};
use crate::units::ARCMIN_RAD;

/// Most that one in so many is told in full.
const RAREST: f64 = 1e-9;

/// How one component of a cause's values is told.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Sense {
    /// What is told of no error, in the unit shown.
    add: f64,
    /// Factor from the value that is kept to the number that is shown.
    factor: f64,
    unit: &'static str,
    /// What a positive and a negative value are called; the number's own sign where there is no such word.
    ways: Option<[&'static str; 2]>,
}

const SIDES: [&str; 2] = ["to the left", "to the right"];
const HEIGHTS: [&str; 2] = ["up", "down"];
const DEPTHS: [&str; 2] = ["farther from the eye", "nearer to the eye"];

impl Sense {
    fn length(ways: [&'static str; 2]) -> Self {
        Self {
            add: 0.0,
            factor: 1.0,
            unit: "mm",
            ways: Some(ways),
        }
    }

    fn angle(ways: [&'static str; 2], largest_rad: f64) -> Self {
        let (factor, unit) = if largest_rad < 60.0 * ARCMIN_RAD {
            (1.0 / ARCMIN_RAD, "arcmin")
        } else {
            (1.0 / (60.0 * ARCMIN_RAD), "degrees")
        };
        Self {
            add: 0.0,
            factor,
            unit,
            ways: Some(ways),
        }
    }

    fn plain(add: f64, factor: f64, unit: &'static str) -> Self {
        Self {
            add,
            factor,
            unit,
            ways: None,
        }
    }

    fn number(self, kept: f64, decimals: usize) -> String {
        let shown = self.add + self.factor * kept;
        // a way says the sign, and what rounds to nothing has none
        let value = if self.ways.is_some() {
            shown.abs()
        } else {
            shown
        };
        let text = format!("{value:.decimals$}");
        let nothing = text.chars().all(|c| matches!(c, '-' | '0' | '.'));
        if nothing {
            text.trim_start_matches('-').to_owned()
        } else {
            text.replace('-', "\u{2212}")
        }
    }

    fn way(self, kept: f64) -> Option<&'static str> {
        self.ways
            .map(|ways| ways[usize::from(self.factor * kept < 0.0)])
    }

    fn unit_words(self) -> String {
        if self.unit.is_empty() {
            String::new()
        } else {
            format!(" {}", self.unit)
        }
    }

    /// "1.9 mm to the left (1.6 to 2.2)".
    pub(super) fn told(self, value: f64, interval: [f64; 2]) -> String {
        let [low, high] = interval;
        if !(value.is_finite() && low.is_finite()) {
            return "beyond measure".to_owned();
        }
        if !high.is_finite() {
            let decimals = decimals_of(self.factor.abs() * value.abs() / 10.0);
            let [value, low] = [value, low].map(|kept| self.number(kept, decimals));
            return format!("{value}{} ({low} to beyond measure)", self.unit_words());
        }
        let decimals = decimals_of(self.factor.abs() * (high - low) / 2.0);
        let number = |kept| self.number(kept, decimals);
        let unit = self.unit_words();
        let (Some(way), Some(low_way), Some(high_way)) =
            (self.way(value), self.way(low), self.way(high))
        else {
            let (first, last) = if self.factor < 0.0 {
                (high, low)
            } else {
                (low, high)
            };
            return format!(
                "{}{unit} ({} to {})",
                number(value),
                number(first),
                number(last)
            );
        };
        let about = if low_way != high_way && low != 0.0 && high != 0.0 {
            format!(
                "between {} {low_way} and {} {high_way}",
                number(low),
                number(high)
            )
        } else if low.abs() <= high.abs() {
            format!("{} to {}", number(low), number(high))
        } else {
            format!("{} to {}", number(high), number(low))
        };
        format!("{}{unit} {way} ({about})", number(value))
    }

    /// The same of a number that is set and not measured: "1.03 mm up".
    fn set(self, kept: f64) -> String {
        // what is left of a sine of half a turn is nothing
        let kept = if kept.abs() < 1e-9 { 0.0 } else { kept };
        let shown = self.add + self.factor * kept;
        let text = super::words::figures(if self.ways.is_some() {
            shown.abs()
        } else {
            shown
        });
        let way = match self.way(kept) {
            Some(way) if shown != 0.0 => format!(" {way}"),
            _ => String::new(),
        };
        format!("{text}{}{way}", self.unit_words())
    }
}

/// Decimals of a number whose interval has this half-width: the half-width keeps one digit, or two where they are under 30.
pub(super) fn decimals_of(half_width: f64) -> usize {
    if !(half_width > 0.0 && half_width.is_finite()) {
        return 2;
    }
    (-libm::floor(libm::log10(half_width / 3.0))).clamp(0.0, 6.0) as usize
}

/// A number with its interval, rounded to it: "12.3 (11.8 to 12.9)".
pub(super) fn span_words(median: f64, interval: [f64; 2], unit: &str) -> String {
    Sense {
        add: 0.0,
        factor: 1.0,
        unit: "",
        ways: None,
    }
    .told(median, interval)
    .replacen(
        " (",
        &format!("{}{unit} (", if unit.is_empty() { "" } else { " " }),
        1,
    )
}

/// How both components of a source's item are told; `largest` is the largest value to be told, in the kept unit.
pub(super) fn senses(plan: &Plan, source: Source, item: Option<usize>, largest: f64) -> [Sense; 2] {
    let across = [Sense::length(SIDES), Sense::length(HEIGHTS)];
    let along = |ways| [Sense::length(ways); 2];
    let turned = |ways| [Sense::angle(ways, largest); 2];
    match source {
        Source::PatternTurn(_) => turned(["clockwise", "anticlockwise"]),
        Source::TiltX(_) => turned([
            "with its top away from the eye",
            "with its top towards the eye",
        ]),
        Source::TiltY(_) => turned([
            "with its left side towards the eye",
            "with its left side away from the eye",
        ]),
        Source::PrintScale(_) => [Sense::plain(100.0, 100.0, "%"); 2],
        Source::SeatDepth(_) | Source::RodSlip | Source::PeepholeDepth => along(DEPTHS),
        Source::EyeRelief => along(["nearer to the peephole", "farther from the peephole"]),
        Source::HandTension | Source::Slackening => [tension(plan, source, item); 2],
        Source::RodBow => bow(plan, item),
        Source::Pupil => [Sense::plain(0.0, 1.0, "mm"); 2],
        Source::Acuity => [Sense::plain(0.0, 1.0, "logMAR"); 2],
        Source::PatternShift(_)
        | Source::HoleScatter(_)
        | Source::HoleSlack(_)
        | Source::RodTie
        | Source::PeepholeShift
        | Source::EyeOffset => across,
    }
}

/// A tension is told in newton where it is that of one line, else as a share of what was planned.
fn tension(plan: &Plan, source: Source, item: Option<usize>) -> Sense {
    let is_of_one_line = source == Source::HandTension && !plan.design.tension_is_shared();
    let of_one_line = item
        .filter(|_| is_of_one_line)
        .and_then(|line| plan.tensions_n.get(line));
    match of_one_line {
        Some(planned_n) => Sense::plain(0.0, *planned_n, "N"),
        // of all lines alike, on top of what is each one's own
        None if item.is_none() => Sense::plain(0.0, 100.0, "% of the tension to be expected"),
        None => Sense::plain(0.0, 100.0, "% of the planned tension"),
    }
}

/// A bow is told in mm, towards the side to which it stands out.
fn bow(plan: &Plan, item: Option<usize>) -> [Sense; 2] {
    let Some(rod) = item.filter(|rod| *rod < plan.design.rods.len()) else {
        return [Sense::plain(0.0, 100.0, "% of the length"); 2];
    };
    let [first, second] = plan.design.rods[rod].ends_mm(&plan.design.vertices);
    let span = second - first;
    // square to the rod: a quarter turn from x towards y
    let (aside, up) = (-span.y, span.x);
    let ways = match (aside.abs() > up.abs(), aside > 0.0, up > 0.0) {
        (true, true, _) => SIDES,
        (true, false, _) => [SIDES[1], SIDES[0]],
        (false, _, true) => HEIGHTS,
        (false, _, false) => [HEIGHTS[1], HEIGHTS[0]],
    };
    let length_mm = plan.rod_length_mm(rod);
    [ways, DEPTHS].map(|ways| Sense {
        factor: length_mm,
        ..Sense::length(ways)
    })
}

fn item_of(suspect: Suspect) -> Option<usize> {
    match suspect {
        Suspect::Item { item, .. } => Some(item),
        Suspect::Alike { .. } | Suspect::Reading(_) => None,
    }
}

fn senses_of(cause: &Cause, plan: &Plan) -> Option<[Sense; 2]> {
    let source = cause.suspect.source()?;
    let ends = cause.interval[..cause.components.min(2)].iter().flatten();
    let largest = ends.fold(0.0_f64, |most, end| most.max(end.abs()));
    Some(senses(plan, source, item_of(cause.suspect), largest))
}

/// What a cause's values are, with their 95 % intervals: "1.9 mm to the left (1.6 to 2.2), 0.3 mm up (0.1 to 0.5)".
pub fn value_words(cause: &Cause, plan: &Plan) -> String {
    let Some(senses) = senses_of(cause, plan) else {
        return String::new();
    };
    let parts: Vec<String> = (0..cause.components.min(2))
        .map(|c| senses[c].told(cause.estimate[c], cause.interval[c]))
        .collect();
    parts.join(", ")
}

/// The same where room is short: of two components the second goes where the plan lies in its interval and the first one's
/// does not hold it, or the other way round.
pub(super) fn brief_value_words(cause: &Cause, plan: &Plan) -> String {
    let Some(senses) = senses_of(cause, plan) else {
        return String::new();
    };
    let as_planned = |c: usize| {
        let [low, high] = cause.interval[c];
        low <= cause.planned[c] && cause.planned[c] <= high
    };
    let all = 0..cause.components.min(2);
    let off: Vec<usize> = all.clone().filter(|c| !as_planned(*c)).collect();
    // beside a plan that is not 0 one component alone would mislead
    let is_meant = cause.planned.iter().any(|planned| planned.abs() > 1e-9);
    let told = if off.is_empty() || is_meant {
        all.collect()
    } else {
        off
    };
    let parts: Vec<String> = told
        .into_iter()
        .map(|c| senses[c].told(cause.estimate[c], cause.interval[c]))
        .collect();
    parts.join(", ")
}

/// What was planned: "100 %", "0 mm", "1.03 mm up".
pub(super) fn planned_words(cause: &Cause, plan: &Plan) -> String {
    let Some(senses) = senses_of(cause, plan) else {
        return String::new();
    };
    // what is put on slackens before anybody measures it
    if let Some(Source::HandTension | Source::Slackening) = cause.suspect.source()
        && (cause.planned[0] - 1.0).abs() > 0.005
    {
        return format!(
            "{} put on, {} when it has slackened",
            senses[0].set(1.0),
            senses[0].set(cause.planned[0])
        );
    }
    let parts: Vec<String> = (0..cause.components.min(2))
        .filter(|c| cause.components < 2 || cause.planned[*c].abs() > 1e-9)
        .map(|c| senses[c].set(cause.planned[c]))
        .collect();
    if parts.is_empty() {
        senses[0].set(0.0)
    } else {
        parts.join(", ")
    }
}

/// How far off that is: "8.2 times its tolerance's standard deviation, as far off as one in 30 000 builds made within tolerance".
pub(super) fn off_words(cause: &Cause) -> String {
    match cause.times_tolerance {
        Some(times) => format!(
            "{} times its tolerance's standard deviation, as far off as {}",
            figures_of(times),
            surprise_words(cause)
        ),
        None if is_common(cause) => {
            "an error that all have in common, for which the tolerances of single ones do not allow"
                .to_owned()
        }
        None => "its tolerance allows no error at all".to_owned(),
    }
}

/// Whether it is an error that all items of a source share.
fn is_common(cause: &Cause) -> bool {
    matches!(cause.suspect, Suspect::Alike { .. })
}

fn figures_of(value: f64) -> String {
    if value >= 10.0 {
        format!("{value:.0}")
    } else {
        format!("{value:.1}")
    }
}

/// Under this an error that all items of a source may share is not told: single ones say more (chosen).
const COMMON_TOLD: f64 = 0.01;

/// Whether a cause is in the build and worth telling.
pub(super) fn is_of_the_build(cause: &Cause) -> bool {
    cause.suspect.source().is_some()
        && (!is_common(cause) || cause.fault_probability >= COMMON_TOLD)
}

/// How surprising: "one in 30 000 builds made within tolerance".
pub fn surprise_words(cause: &Cause) -> String {
    match cause.tail {
        None if is_common(cause) => "none: all have it in common".to_owned(),
        None => "none, if the work were as its tolerance says".to_owned(),
        Some(tail) if !tail.is_finite() => "not known".to_owned(),
        Some(tail) if tail >= 0.995 => "nearly all builds made within tolerance".to_owned(),
        Some(tail) if tail < RAREST => {
            "fewer than one in a billion builds made within tolerance".to_owned()
        }
        Some(tail) if tail >= 0.1 => {
            format!("{:.0} of 100 builds made within tolerance", 100.0 * tail)
        }
        Some(tail) => {
            let times = 1.0 / tail;
            // two figures under a hundred, one above
            let step = if times < 100.0 {
                1.0
            } else {
                libm::pow(10.0, libm::floor(libm::log10(times)))
            };
            let rounded = ((times / step).round() * step) as u64;
            format!(
                "one in {} builds made within tolerance",
                super::words::count_words(rounded)
            )
        }
    }
}

/// A probability in per cent, never rounded to a full 0 or 100: nothing that follows from readings is certain.
pub(super) fn chance_words(probability: f64) -> String {
    let percent = 100.0 * probability;
    if !percent.is_finite() {
        "not known".to_owned()
    } else if percent > 99.9 {
        "over 99.9 %".to_owned()
    } else if percent < 0.1 {
        "under 0.1 %".to_owned()
    } else if (10.0..=90.0).contains(&percent) {
        format!("{percent:.0} %")
    } else {
        format!("{percent:.1} %")
    }
}

/// A reading as a sheet has it, or what should be read, with its unit: "(12.31, −4.52) mm", "7.9 N"; `sd` says how many digits are of use.
pub(super) fn reading_words(of: &Measurand, value: [f64; 2], sd: f64) -> String {
    let decimals = decimals_of(2.0 * sd);
    let parts: Vec<String> = of.quantity.turned(value)[..of.quantity.components().min(2)]
        .iter()
        .map(|part| Sense::plain(0.0, 1.0, "").number(*part, decimals))
        .collect();
    let unit = of.quantity.unit();
    match &parts[..] {
        [one] => format!("{one} {unit}"),
        _ => format!("({}) {unit}", parts.join(", ")),
    }
}
