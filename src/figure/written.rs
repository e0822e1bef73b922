//! A law as a scenario writes it, so that what is read back is the very same law, to the last bit.

use super::design::Design;
use super::law::Law;
use super::source::Source;
use crate::geometry::Pair;
use crate::sampling::Distribution;
use crate::units::{Kind, read_quantity};

/// A number with at most `digits` significant digits.
fn shortened(number: f64, digits: usize) -> f64 {
    let text = format!("{number:.*e}", digits - 1);
    text.parse().unwrap_or(number)
}

/// A quantity as a scenario writes it: in the first of the usual units that reads back to the very same number with seven
/// digits, or else in any unit with [`MOST_DIGITS`]; what no such number is (see [`rounded_quantity`]) with all its digits.
pub fn written_quantity(kept: f64, kind: Kind) -> String {
    // seven figures are more than a workshop has, and enough for what was written by a person
    const SHORT: usize = 7;
    let preferred: &[&str] = match kind {
        Kind::Angle => &["deg", "arcmin"],
        Kind::Length => &["mm"],
        _ => &[],
    };
    let unit_of = |name: &&str| kind.units().iter().find(|(unit, _)| unit == name);
    let usual = preferred.iter().filter_map(unit_of);
    let bare = kind.units().iter().filter(|(_, factor)| *factor == 1.0);
    let any = kind.units().iter();
    let tried = usual.clone().map(|unit| (unit, SHORT)).chain(
        usual
            .chain(bare.clone())
            .chain(any)
            .map(|unit| (unit, MOST_DIGITS)),
    );
    for ((name, factor), digits) in tried {
        let number = shortened(kept / factor, digits);
        if name.is_empty() {
            // TOML tells whole numbers from others
            if number == kept {
                return format!("{kept:?}");
            }
            continue;
        }
        let text = format!("{number} {name}");
        if read_quantity(&text, kind) == Ok(kept) {
            return format!("\"{text}\"");
        }
    }
    match bare.clone().next() {
        Some((name, _)) if !name.is_empty() => format!("\"{kept} {name}\""),
        _ => format!("{kept:?}"),
    }
}

/// Most significant digits of a number that is printed to be put into a scenario: more than any work has, and few enough to
/// hide that 0.1 and 0.2 make 0.30000000000000004.
pub const MOST_DIGITS: usize = 12;

/// The nearest quantity that a scenario can write with at most [`MOST_DIGITS`] digits.
pub fn rounded_quantity(kept: f64, kind: Kind) -> f64 {
    let written = written_quantity(kept, kind);
    let number = written.trim_matches('"').split(' ').next().unwrap_or("");
    let digits = number.split(['e', 'E']).next().unwrap_or("");
    let significant = digits.trim_start_matches(['-', '0', '.']);
    let significant = significant.chars().filter(char::is_ascii_digit).count();
    if significant <= MOST_DIGITS {
        kept
    } else {
        shortened(kept, MOST_DIGITS)
    }
}

/// A law with every number rounded to what a scenario can write with at most [`MOST_DIGITS`] digits, so that what is run is
/// what is read back from the lines that are printed; laws that no number is written of stay as they are.
pub fn rounded_law(source: Source, law: &Law) -> Law {
    let kind = source.kind();
    let quantity = |kept: f64| rounded_quantity(kept, kind);
    match law {
        Law::Each(each) => {
            let each = each.iter().map(|one| rounded_distribution(one, kind));
            Law::Each(each.collect())
        }
        Law::Spun(length) => Law::Spun(rounded_distribution(length, kind)),
        Law::Disc { centre, radius } => Law::Disc {
            centre: centre.map(quantity),
            radius: quantity(*radius),
        },
        Law::Ring(_) | Law::Aimed(_) | Law::Rows(_) | Law::Light { .. } => law.clone(),
    }
}

fn rounded_distribution(one: &Distribution, kind: Kind) -> Distribution {
    let mut one = one.clone();
    let numbers: [Option<&mut f64>; 3] = match &mut one {
        Distribution::Fixed(value) => [Some(value), None, None],
        Distribution::Normal { mean, sd } => [Some(mean), Some(sd), None],
        Distribution::Uniform { mean, half_width }
        | Distribution::Triangular { mean, half_width }
        | Distribution::Arcsine { mean, half_width } => [Some(mean), Some(half_width), None],
        Distribution::Lognormal { median, sd_log } => {
            *sd_log = shortened(*sd_log, MOST_DIGITS);
            [Some(median), None, None]
        }
        Distribution::TruncatedNormal {
            mean,
            sd,
            half_width,
        } => [Some(mean), Some(sd), Some(half_width)],
        Distribution::Measured(_) => [None, None, None],
    };
    for number in numbers.into_iter().flatten() {
        *number = rounded_quantity(*number, kind);
    }
    one
}

/// The law of `source` as a scenario writes it under the source's key; `None` for measured values, which stand in a file of
/// their own, for the pupil, and for aims that no key can say.
pub fn written_law(design: &Design, source: Source, law: &Law) -> Option<String> {
    if law.is_silent(source.neutral()) {
        return Some("\"off\"".to_owned());
    }
    let kind = source.kind();
    match law {
        Law::Each(each) => match each.as_slice() {
            [one] | [one, _] if each.iter().all(|other| other == one) => {
                written_distribution(one, kind)
            }
            [Distribution::Fixed(x), Distribution::Fixed(y)] => Some(format!(
                "[{}, {}]",
                written_quantity(*x, kind),
                written_quantity(*y, kind)
            )),
            _ => None,
        },
        Law::Spun(length) => written_distribution(length, kind),
        Law::Disc { centre, radius } => Some(format!(
            "{{ form = \"disc\", mean = [{}, {}], radius = {} }}",
            written_quantity(centre.x, kind),
            written_quantity(centre.y, kind),
            written_quantity(*radius, kind)
        )),
        Law::Ring(_) => Some("\"random\"".to_owned()),
        Law::Aimed(aims) => match source {
            Source::HoleSlack(plate)
                if *aims == pulled_aims(design, plate, design.hole_slack_mm(plate)) =>
            {
                Some("\"pulled\"".to_owned())
            }
            _ => None,
        },
        Law::Rows(_) | Law::Light { .. } => None,
    }
}

/// Where each line bears on its hole when the next hole pulls at it, mm; at the two anchors nothing is known of the pull, and
/// the line is taken in the hole's middle.
pub fn pulled_aims(design: &Design, plate: super::design::Plate, slack_mm: f64) -> Vec<Pair> {
    let aims = design.pulls(plate).into_iter();
    aims.map(|pull| pull.unwrap_or_else(Pair::zeros) * slack_mm)
        .collect()
}

fn written_distribution(one: &Distribution, kind: Kind) -> Option<String> {
    let quantity = |kept: f64| written_quantity(kept, kind);
    let mean = |mean: f64| {
        if mean == 0.0 {
            String::new()
        } else {
            format!(", mean = {}", quantity(mean))
        }
    };
    let bounded = |form: &str, about: f64, half_width: f64| {
        format!(
            "{{ form = \"{form}\"{}, half_width = {} }}",
            mean(about),
            quantity(half_width)
        )
    };
    Some(match *one {
        Distribution::Fixed(value) => quantity(value),
        Distribution::Normal { mean: about, sd } => format!(
            "{{ form = \"normal\"{}, sd = {} }}",
            mean(about),
            quantity(sd)
        ),
        Distribution::Uniform {
            mean: about,
            half_width,
        } => bounded("uniform", about, half_width),
        Distribution::Triangular {
            mean: about,
            half_width,
        } => bounded("triangular", about, half_width),
        Distribution::Arcsine {
            mean: about,
            half_width,
        } => bounded("arcsine", about, half_width),
        Distribution::Lognormal { median, sd_log } => format!(
            "{{ form = \"lognormal\", median = {}, sd_log = {sd_log:?} }}",
            quantity(median)
        ),
        Distribution::TruncatedNormal {
            mean: about,
            sd,
            half_width,
        } => format!(
            "{{ form = \"truncated normal\"{}, sd = {}, half_width = {} }}",
            mean(about),
            quantity(sd),
            quantity(half_width)
        ),
        Distribution::Measured(_) => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::rad_from_arcmin;

    fn digits_of(text: &str) -> usize {
        let number = text.trim_matches('"').split(' ').next().expect("a number");
        let number = number.split('e').next().expect("digits");
        let number = number.trim_start_matches(['-', '0', '.']);
        number.chars().filter(char::is_ascii_digit).count()
    }

    #[test]
    fn a_rounded_quantity_has_at_most_twelve_digits_and_reads_back() {
        let dusty = [
            1.0 - 0.5 * 0.015_000_000_000_000_013,
            0.1 + 0.2,
            1.0 / 3.0,
            7.0 / 3.0e5,
        ];
        for kind in [Kind::Number, Kind::Angle, Kind::Length] {
            for kept in dusty {
                let rounded = rounded_quantity(kept, kind);
                assert!((rounded / kept - 1.0).abs() < 1e-11, "{rounded} for {kept}");
                assert_eq!(rounded_quantity(rounded, kind), rounded);
                let text = written_quantity(rounded, kind);
                assert!(digits_of(&text) <= MOST_DIGITS, "{text}");
                let unquoted = text.trim_matches('"');
                let back = read_quantity(unquoted, kind)
                    .unwrap_or_else(|_| unquoted.parse().expect("a number"));
                assert_eq!(back, rounded, "{text}");
            }
        }
        assert_eq!(
            written_quantity(
                rounded_quantity(0.992_499_999_999_999_9, Kind::Number),
                Kind::Number
            ),
            "0.9925"
        );
        // a length in inches has a short number in inches
        let inches = read_quantity("0.015 in", Kind::Length).expect("a length");
        assert!(digits_of(&written_quantity(inches, Kind::Length)) <= MOST_DIGITS);
        assert_eq!(rounded_quantity(inches, Kind::Length), inches);
    }

    #[test]
    fn quantities_read_back_to_the_last_bit() {
        let angles = [15.0, 30.0, 3.0, 0.7, 1.0 / 3.0].map(rad_from_arcmin);
        let unquoted = |text: String| text.trim_matches('"').to_owned();
        for angle in angles.into_iter().chain([0.1, 1.0, 0.123_456_789_012]) {
            let text = unquoted(written_quantity(angle, Kind::Angle));
            assert_eq!(read_quantity(&text, Kind::Angle), Ok(angle), "{text}");
        }
        for length in [0.35, 0.1 + 0.2, 1e-7] {
            let text = unquoted(written_quantity(length, Kind::Length));
            assert_eq!(read_quantity(&text, Kind::Length), Ok(length), "{text}");
        }
        assert_eq!(written_quantity(1.0, Kind::Number), "1.0");
        assert_eq!(written_quantity(0.35, Kind::Length), "\"0.35 mm\"");
        assert_eq!(
            written_quantity(rad_from_arcmin(30.0), Kind::Angle),
            "\"0.5 deg\""
        );
    }
}
