//! Numbers and laws in words: never without their interval, count or unit, and no more digits than they carry.

use crate::decision::RunPlan;
use crate::figure::{Law, Size, Source};
use crate::geometry::Pair;
use crate::sampling::{Distribution, Sampling};
use crate::statistics::{PairedDifference, Proportion};
use crate::units::Kind;

/// A count with thin groups of three: "100 000".
pub fn count_words(count: u64) -> String {
    let digits = count.to_string();
    let mut words = String::new();
    for (nth, digit) in digits.chars().enumerate() {
        if nth > 0 && (digits.len() - nth).is_multiple_of(3) {
            words.push('\u{a0}');
        }
        words.push(digit);
    }
    words
}

/// Decimals of a percentage whose interval has this half-width (as a share): one digit of the half-width and one more.
pub(super) fn decimals_for(half_width: f64) -> usize {
    let percent = 100.0 * half_width;
    if percent >= 3.0 {
        0
    } else if percent >= 0.3 {
        1
    } else if percent >= 0.03 {
        2
    } else {
        3
    }
}

/// A share with its interval: "96.2 % (95.8 to 96.6 %)".
pub fn share_words(share: f64, interval: [f64; 2]) -> String {
    let decimals = decimals_for((interval[1] - interval[0]) / 2.0);
    format!(
        "{:.decimals$} % ({:.decimals$} to {:.decimals$} %)",
        100.0 * share,
        100.0 * interval[0],
        100.0 * interval[1]
    )
}

/// A proportion with its interval, level and counts: "96.2 % (95 % interval 95.8 to 96.6 %; 19 240 of 20 000 builds)".
pub fn proportion_words(proportion: &Proportion, of_what: &str) -> String {
    let (Some(share), Some([low, high])) = (proportion.share(), proportion.interval()) else {
        return format!("not known (no {of_what})");
    };
    let decimals = decimals_for((high - low) / 2.0);
    format!(
        "{:.decimals$} % ({} % interval {:.decimals$} to {:.decimals$} %; {} of {} {of_what})",
        100.0 * share,
        level_words(proportion.level),
        100.0 * low,
        100.0 * high,
        count_words(proportion.count),
        count_words(proportion.of)
    )
}

/// How two yields differ, in percentage points: "+0.81 points (+0.62 to +0.98; 98 builds gained, 2 lost)".
pub fn difference_words(difference: &PairedDifference) -> String {
    let [low, high] = difference.interval;
    let decimals = decimals_for((high - low) / 2.0);
    format!(
        "{:+.decimals$} points ({:+.decimals$} to {:+.decimals$}; {} builds gained, {} lost of {})",
        100.0 * difference.difference,
        100.0 * low,
        100.0 * high,
        count_words(difference.gained),
        count_words(difference.lost),
        count_words(difference.of)
    )
}

/// A confidence level in percent: "95", "99.9".
pub fn level_words(level: f64) -> String {
    let percent = 100.0 * level;
    let rounded = (percent * 1000.0).round() / 1000.0;
    format!("{rounded}")
}

/// A value to about three figures.
pub fn figures(value: f64) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    if !value.is_finite() {
        return "beyond the scale".to_owned();
    }
    let magnitude = value.abs();
    let decimals = if magnitude >= 100.0 {
        0
    } else if magnitude >= 10.0 {
        1
    } else if magnitude >= 1.0 {
        2
    } else if magnitude >= 0.1 {
        3
    } else {
        4
    };
    let text = format!("{value:.decimals$}");
    if text
        .trim_start_matches('-')
        .chars()
        .all(|c| c == '0' || c == '.')
    {
        format!("{value:.1e}")
    } else {
        text
    }
}

/// A source's values in words.
#[derive(Debug, Clone, Copy)]
struct Shown {
    /// Factor from the value that is kept to the number that is shown.
    factor: f64,
    unit: &'static str,
}

impl Shown {
    fn of(source: Source) -> Self {
        let kind = source.kind();
        let (factor, unit) = match source {
            Source::PrintScale(_) => (100.0, "%"),
            Source::HandTension | Source::Slackening => (1.0, "of the tension"),
            Source::RodBow => (100.0, "% of the length"),
            Source::Acuity => (1.0, "logMAR"),
            _ => (1.0 / kind.bare_factor(), kind.shown_unit()),
        };
        Self { factor, unit }
    }

    fn number(self, kept: f64) -> String {
        figures(self.factor * kept)
    }

    fn words(self, kept: f64) -> String {
        format!("{} {}", self.number(kept), self.unit)
    }
}

/// A law in words, with its unit.
pub fn law_words(law: &Law, source: Source) -> String {
    if law.is_silent(source.neutral()) {
        return "off".to_owned();
    }
    let shown = Shown::of(source);
    match law {
        Law::Each(each) => match each.as_slice() {
            [one] => distribution_words(one, shown),
            [x, y] if x == y => format!("{}, in x and y each", distribution_words(x, shown)),
            [x, y] => format!(
                "x: {}; y: {}",
                distribution_words(x, shown),
                distribution_words(y, shown)
            ),
            _ => String::new(),
        },
        Law::Disc { centre, radius } => {
            let place = if centre.norm() == 0.0 {
                String::new()
            } else {
                format!(
                    " about ({}, {})",
                    shown.words(centre.x),
                    shown.words(centre.y)
                )
            };
            format!(
                "uniform over a disc of radius {}{place}",
                shown.words(*radius)
            )
        }
        Law::Ring(radii) => format!(
            "{} off, in a random direction",
            range_words(radii.iter().copied(), shown)
        ),
        Law::Aimed(aims) => format!(
            "{} off, {}",
            range_words(aims.iter().map(|aim| aim.norm()), shown),
            direction_words(aims)
        ),
        Law::Spun(length) => format!(
            "{}, in a random direction",
            distribution_words(length, shown)
        ),
        Law::Rows(rows) => format!(
            "{} measured pairs in {}, resampled as pairs",
            rows.len(),
            shown.unit
        ),
        Law::Light { light, age } => format!(
            "from light by Watson & Yellott 2012: {} cd/m2 over {} deg2, {}, age {}",
            figures(light.luminance_cd_per_m2),
            figures(light.area_deg2),
            if light.both_eyes {
                "both eyes"
            } else {
                "one eye"
            },
            distribution_words(
                age,
                Shown {
                    factor: 1.0,
                    unit: Kind::Age.shown_unit()
                }
            )
        ),
    }
}

/// "towards 90 deg" where all aims agree.
fn direction_words(aims: &[Pair]) -> String {
    let degrees = |aim: &Pair| libm::atan2(aim.y, aim.x).to_degrees();
    let mut lengthy = aims.iter().filter(|aim| aim.norm() > 0.0).map(degrees);
    match lengthy.next() {
        Some(first) if lengthy.all(|other| (other - first).abs() < 1e-6) => {
            format!("towards {} deg (from +x to +y)", figures(first))
        }
        _ => "each towards the next hole".to_owned(),
    }
}

fn range_words(values: impl Iterator<Item = f64> + Clone, shown: Shown) -> String {
    let low = values.clone().fold(f64::INFINITY, f64::min);
    let high = values.fold(0.0, f64::max);
    if low == high {
        shown.words(low)
    } else {
        format!("{} to {}", shown.number(low), shown.words(high))
    }
}

fn distribution_words(distribution: &Distribution, shown: Shown) -> String {
    let quantity = |kept: f64| shown.words(kept);
    let about = |mean: f64| {
        if mean == 0.0 {
            String::new()
        } else {
            format!(" about {}", quantity(mean))
        }
    };
    match distribution {
        Distribution::Fixed(value) => format!("always {}", quantity(*value)),
        Distribution::Normal { mean, sd } => {
            format!("normal, sd {}{}", quantity(*sd), about(*mean))
        }
        Distribution::Uniform { mean, half_width } => {
            format!(
                "uniform, ± {} (bound){}",
                quantity(*half_width),
                about(*mean)
            )
        }
        Distribution::Triangular { mean, half_width } => {
            format!(
                "triangular, ± {} (bound){}",
                quantity(*half_width),
                about(*mean)
            )
        }
        Distribution::Arcsine { mean, half_width } => {
            format!(
                "arcsine, ± {} (bound){}",
                quantity(*half_width),
                about(*mean)
            )
        }
        Distribution::Lognormal { median, sd_log } => {
            format!(
                "lognormal, median {}, sd of the logarithm {}",
                quantity(*median),
                figures(*sd_log)
            )
        }
        Distribution::TruncatedNormal {
            mean,
            sd,
            half_width,
        } => {
            format!(
                "normal, sd {}, cut at ± {} (bound){}",
                quantity(*sd),
                quantity(*half_width),
                about(*mean)
            )
        }
        Distribution::Measured(values) => format!(
            "{} measured values, {} to {}, resampled",
            values.len(),
            shown.number(values[0]),
            quantity(values[values.len() - 1])
        ),
    }
}

/// How a source's size is shown in a workshop: as elsewhere, but angles in degrees, which a set square has.
fn shown_in_workshop(source: Source) -> Shown {
    let degree = Kind::Angle.units().iter().find(|(unit, _)| *unit == "deg");
    match (source.kind(), degree) {
        (Kind::Angle, Some((unit, factor))) => Shown {
            factor: 1.0 / factor,
            unit,
        },
        _ => Shown::of(source),
    }
}

/// The one number that a law is known by, in a workshop's words: "sd 0.150 mm", "± 0.800 mm".
pub(super) fn size_words(law: &Law, source: Source) -> String {
    let shown = shown_in_workshop(source);
    match law.size(source.neutral()) {
        Some(Size::Sd(sd)) | Some(Size::SdOfLength(sd)) => format!("sd {}", shown.words(sd)),
        Some(Size::HalfWidth(half_width)) => format!("± {}", shown.words(half_width)),
        Some(Size::SdOfLogarithm(sd)) => {
            format!("sd × or ÷ {}", figures(libm::exp(sd)))
        }
        Some(Size::Radius(radius)) => format!("within {}", shown.words(radius)),
        Some(Size::Distance(most)) => format!("up to {}", shown.words(most)),
        Some(Size::Between([low, high])) => {
            format!("{} to {}", shown.number(low), shown.words(high))
        }
        Some(Size::Farthest(most)) => format!("measured, up to {}", shown.words(most)),
        None => law_words(law, source),
    }
}

/// That number by itself, with its unit; `None` where there is no one number.
pub(super) fn size_number(law: &Law, source: Source) -> Option<(f64, &'static str)> {
    let shown = shown_in_workshop(source);
    match law.size(source.neutral())? {
        Size::Sd(kept)
        | Size::SdOfLength(kept)
        | Size::HalfWidth(kept)
        | Size::Radius(kept)
        | Size::Distance(kept)
        | Size::Farthest(kept) => Some((shown.factor * kept, shown.unit)),
        Size::SdOfLogarithm(sd) => Some((libm::exp(sd), "times")),
        Size::Between(_) => None,
    }
}

/// The option that a command needs where numbers are not laid out plainly, with a space before it; or nothing.
pub fn sampling_option(run: &RunPlan) -> String {
    match run.sampling {
        Sampling::Plain => String::new(),
        other => format!(" --sampling {}", other.name()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::statistics::IntervalMethod;

    #[test]
    fn a_share_is_rounded_to_its_interval() {
        let proportion = Proportion {
            count: 19_240,
            of: 20_000,
            level: 0.95,
            method: IntervalMethod::Wilson,
            scatter: None,
        };
        assert_eq!(
            proportion_words(&proportion, "builds").replace('\u{a0}', " "),
            "96.20 % (95 % interval 95.93 to 96.46 %; 19 240 of 20 000 builds)"
        );
    }

    #[test]
    fn counts_come_in_groups_of_three() {
        assert_eq!(count_words(999), "999");
        assert_eq!(count_words(1_234_567), "1\u{a0}234\u{a0}567");
    }
}
