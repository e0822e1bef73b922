//! A law as a scenario writes it, so that what is read back is the very same law, to the last bit.

use super::design::Design;
use super::law::Law;
use super::source::Source;
use crate::geometry::Pair;
use crate::sampling::Distribution;
use crate::units::{Kind, read_quantity};

/// A quantity as a scenario writes it, in the first of the usual units that reads back to the very same number.
pub fn written_quantity(kept: f64, kind: Kind) -> String {
    // six figures are more than a workshop has, and enough for what was written by a person
    let short = |number: f64| format!("{number:.6e}").parse::<f64>().unwrap_or(number);
    let preferred: &[&str] = match kind {
        Kind::Angle => &["deg", "arcmin"],
        Kind::Length => &["mm"],
        _ => &[],
    };
    for name in preferred {
        let factor = kind.units().iter().find(|(unit, _)| unit == name);
        let Some((_, factor)) = factor else { continue };
        let text = format!("{} {name}", short(kept / factor));
        if read_quantity(&text, kind) == Ok(kept) {
            return format!("\"{text}\"");
        }
    }
    match kind.units().iter().find(|(_, factor)| *factor == 1.0) {
        Some((name, _)) if !name.is_empty() => format!("\"{kept} {name}\""),
        // TOML tells whole numbers from others
        _ => format!("{kept:?}"),
    }
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
