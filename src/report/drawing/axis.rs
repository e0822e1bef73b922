//! Axes, round ticks, scale bars, and numbers as they are printed.

use super::sheet::{Anchor, BLACK, FAINT, LABEL, NOTE, Pattern, Sheet, Spot, Type};

/// How values are laid along an axis.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Spacing {
    Even,
    Logarithmic,
}

/// Values along a straight stretch of the sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Axis {
    /// Values at the two ends; they may fall.
    pub values: [f64; 2],
    /// Places of the two ends, px; they may fall.
    pub places: [f64; 2],
    pub spacing: Spacing,
}

impl Axis {
    pub(super) fn even(values: [f64; 2], places: [f64; 2]) -> Self {
        Self {
            values,
            places,
            spacing: Spacing::Even,
        }
    }

    /// Where a value stands, px; on a logarithmic axis what is too small stands at its end.
    pub(super) fn at(&self, value: f64) -> f64 {
        let [low, high] = self.values;
        let t = match self.spacing {
            Spacing::Even => (value - low) / (high - low),
            Spacing::Logarithmic => {
                let value = value.max(low.min(high));
                libm::log(value / low) / libm::log(high / low)
            }
        };
        self.places[0] + t * (self.places[1] - self.places[0])
    }

    /// The same, held within the axis.
    pub(super) fn at_most(&self, value: f64) -> f64 {
        let [a, b] = self.places;
        self.at(value).clamp(a.min(b), a.max(b))
    }

    /// Round values within the axis, about `wanted` of them, rising.
    pub(super) fn ticks(&self, wanted: usize) -> Vec<f64> {
        let low = self.values[0].min(self.values[1]);
        let high = self.values[0].max(self.values[1]);
        match self.spacing {
            Spacing::Even => even_ticks(low, high, wanted),
            Spacing::Logarithmic => {
                let ticks = log_ticks(low, high);
                // a short stretch holds too few of 1, 2, 5
                if ticks.len() < 3 {
                    even_ticks(low, high, 4)
                } else {
                    ticks
                }
            }
        }
    }
}

/// The smallest of 1, 2, 5 × 10ⁿ that is at least `least`.
pub(super) fn round_step(least: f64) -> f64 {
    if !(least > 0.0 && least.is_finite()) {
        return 1.0;
    }
    let power = libm::floor(libm::log10(least)) as i32;
    for n in [power - 1, power, power + 1] {
        for digit in [1.0, 2.0, 5.0] {
            let step = decimal(digit, n);
            if step >= least * (1.0 - 1e-9) {
                return step;
            }
        }
    }
    decimal(1.0, power + 2)
}

/// The largest of 1, 2, 5 × 10ⁿ that is at most `most`.
pub(super) fn round_length(most: f64) -> f64 {
    let up = round_step(most);
    let power = libm::floor(libm::log10(up) + 1e-9) as i32;
    [
        decimal(1.0, power - 1),
        decimal(2.0, power - 1),
        decimal(5.0, power - 1),
    ]
    .into_iter()
    .chain([
        decimal(1.0, power),
        decimal(2.0, power),
        decimal(5.0, power),
    ])
    .filter(|length| *length <= most * (1.0 + 1e-9))
    .fold(decimal(1.0, power - 1), f64::max)
}

fn decimal(digit: f64, power: i32) -> f64 {
    if power >= 0 {
        digit * libm::pow(10.0, f64::from(power))
    } else {
        digit / libm::pow(10.0, f64::from(-power))
    }
}

fn even_ticks(low: f64, high: f64, wanted: usize) -> Vec<f64> {
    let step = round_step((high - low) / wanted.max(1) as f64);
    let first = libm::ceil(low / step - 1e-9);
    let last = libm::floor(high / step + 1e-9);
    if !(first.is_finite() && last.is_finite() && last - first < 1000.0) {
        return Vec::new();
    }
    (0..=(last - first) as i32)
        .map(|i| (first + f64::from(i)) * step)
        .collect()
}

fn log_ticks(low: f64, high: f64) -> Vec<f64> {
    if !(low > 0.0 && high > low && high.is_finite()) {
        return Vec::new();
    }
    let powers = libm::floor(libm::log10(low)) as i32..=libm::ceil(libm::log10(high)) as i32;
    let decades = libm::log10(high / low);
    let digits: &[f64] = if decades > 4.0 {
        &[1.0]
    } else {
        &[1.0, 2.0, 5.0]
    };
    powers
        .flat_map(|power| digits.iter().map(move |digit| decimal(*digit, power)))
        .filter(|tick| *tick >= low * (1.0 - 1e-9) && *tick <= high * (1.0 + 1e-9))
        .collect()
}

/// A number with as many decimals as `step` has, a true minus sign and groups of three.
pub(super) fn number(value: f64, step: f64) -> String {
    let decimals = (-libm::floor(libm::log10(step.abs().max(1e-9)) + 1e-9)).clamp(0.0, 9.0);
    let text = format!("{:.*}", decimals as usize, value.abs());
    let nothing = text.chars().all(|c| matches!(c, '0' | '.'));
    let (whole, rest) = text.split_once('.').unwrap_or((&text, ""));
    let mut grouped = String::new();
    for (i, c) in whole.chars().enumerate() {
        if i > 0 && (whole.len() - i) % 3 == 0 && whole.len() > 4 {
            grouped.push('\u{A0}');
        }
        grouped.push(c);
    }
    if !rest.is_empty() {
        grouped.push('.');
        grouped.push_str(rest);
    }
    if value < 0.0 && !nothing {
        grouped.insert(0, '\u{2212}');
    }
    grouped
}

/// A count with groups of three.
pub(super) fn count(value: u64) -> String {
    number(value as f64, 1.0)
}

/// A count with its noun, in the singular where it is one.
pub(super) fn many(value: u64, noun: &str) -> String {
    let plural = if value == 1 { "" } else { "s" };
    format!("{}\u{A0}{noun}{plural}", count(value))
}

/// A value of three figures or so.
pub(super) fn brief(value: f64) -> String {
    let size = value.abs();
    let step = if size >= 100.0 {
        1.0
    } else if size >= 10.0 {
        0.1
    } else {
        0.01
    };
    number(value, step)
}

/// A share in percent with one decimal; never rounded to a full 0 or 100 that it is not.
pub(super) fn percent(share: f64) -> String {
    let value = 100.0 * share;
    if share > 0.0 && value < 0.05 {
        return "under 0.1\u{A0}%".to_owned();
    }
    if share < 1.0 && value >= 99.95 {
        return "over 99.9\u{A0}%".to_owned();
    }
    if share == 0.0 || share == 1.0 {
        return format!("{}\u{A0}%", number(value, 1.0));
    }
    format!("{}\u{A0}%", number(value, 0.1))
}

/// An interval of shares in percent.
pub(super) fn percent_range([low, high]: [f64; 2]) -> String {
    // fine steps where one decimal would make both ends the same
    let step = if high - low < 0.002 { 0.01 } else { 0.1 };
    let one = |share: f64| number(100.0 * share, step);
    format!("{} to {}\u{A0}%", one(low), one(high))
}

/// A bar of a round length of about `room` px at `scale` px per unit, with its length written above it.
/// Returns the length that it shows.
pub(super) fn scale_bar(sheet: &mut Sheet, at: Spot, room: f64, scale: f64, unit: &str) -> f64 {
    let length = round_length(room / scale);
    let [x, y] = at;
    let end = x + length * scale;
    sheet.line([x, y], [end, y], BLACK, 2.0);
    for place in [x, end] {
        sheet.line([place, y - 4.0], [place, y + 4.0], BLACK, 2.0);
    }
    let text = format!("{}\u{A0}{unit}", number(length, length));
    sheet.text([x, y - 13.0], &text, LABEL, Anchor::Start);
    length
}

/// Ticks, their values and faint lines across the panel for an axis along the bottom; the title stands below in the
/// middle. A tick for which `write` gives nothing is left out.
pub(super) fn bottom_axis(
    sheet: &mut Sheet,
    axis: &Axis,
    [top, bottom]: [f64; 2],
    wanted: usize,
    title: &str,
    write: impl Fn(f64, f64) -> String,
) {
    let mut ticks = axis.ticks(wanted);
    let step = smallest_step(&ticks, axis.spacing);
    ticks.sort_by(|a, b| axis.at(*a).total_cmp(&axis.at(*b)));
    let mut free_from = f64::NEG_INFINITY;
    for tick in &ticks {
        let x = axis.at(*tick);
        let step = if axis.spacing == Spacing::Logarithmic {
            *tick
        } else {
            step
        };
        let text = write(*tick, step);
        if text.is_empty() {
            continue;
        }
        sheet.line([x, top], [x, bottom], FAINT, 1.0);
        sheet.line([x, bottom], [x, bottom + 5.0], BLACK, 1.0);
        let half = super::text::text_width(&text, NOTE) / 2.0;
        // values that would touch their neighbour are left out, ticks stay
        if x - half > free_from {
            sheet.text(
                [x, bottom + 15.0],
                &text,
                Type { ink: BLACK, ..NOTE },
                Anchor::Middle,
            );
            free_from = x + half + 6.0;
        }
    }
    sheet.line(
        [axis.places[0], bottom],
        [axis.places[1], bottom],
        BLACK,
        1.0,
    );
    let middle = (axis.places[0] + axis.places[1]) / 2.0;
    let room = (axis.places[1] - axis.places[0]).abs() + 160.0;
    sheet.text_in([middle, bottom + 35.0], title, LABEL, Anchor::Middle, room);
}

/// The same for an axis along the left edge; the title stands above it.
pub(super) fn left_axis(
    sheet: &mut Sheet,
    axis: &Axis,
    [left, right]: [f64; 2],
    wanted: usize,
    title: &str,
    write: impl Fn(f64, f64) -> String,
) {
    let ticks = axis.ticks(wanted);
    let step = smallest_step(&ticks, axis.spacing);
    for tick in &ticks {
        let y = axis.at(*tick);
        sheet.line([left, y], [right, y], FAINT, 1.0);
        sheet.line([left - 5.0, y], [left, y], BLACK, 1.0);
        sheet.text(
            [left - 9.0, y],
            &write(*tick, step),
            Type { ink: BLACK, ..NOTE },
            Anchor::End,
        );
    }
    sheet.stroke(
        &[[left, axis.places[0]], [left, axis.places[1]]],
        BLACK,
        1.0,
        Pattern::Solid,
    );
    let top = axis.places[0].min(axis.places[1]);
    sheet.text([left - 50.0, top - 18.0], title, LABEL, Anchor::Start);
}

fn smallest_step(ticks: &[f64], spacing: Spacing) -> f64 {
    match (spacing, ticks) {
        (Spacing::Even, [first, second, ..]) => second - first,
        (_, [first, ..]) if *first > 0.0 => *first,
        _ => 1.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_inside() {
        let axis = Axis::even([0.0, 37.3], [0.0, 500.0]);
        assert_eq!(axis.ticks(5), [0.0, 10.0, 20.0, 30.0]);
        let falling = Axis::even([0.013, -0.021], [0.0, 100.0]);
        let ticks = falling.ticks(4);
        assert_eq!(ticks.len(), 4, "{ticks:?}");
        assert!((ticks[1] + 0.01).abs() < 1e-12);
        let log = Axis {
            values: [3.0, 150.0],
            places: [0.0, 100.0],
            spacing: Spacing::Logarithmic,
        };
        assert_eq!(log.ticks(5), [5.0, 10.0, 20.0, 50.0, 100.0]);
    }

    #[test]
    fn round_lengths_do_not_exceed_what_was_asked() {
        for (most, length) in [
            (1.0, 1.0),
            (1.9, 1.0),
            (4.99, 2.0),
            (5.0, 5.0),
            (730.0, 500.0),
            (450.0, 200.0),
            (0.03, 0.02),
        ] {
            assert!(
                (round_length(most) - length).abs() < 1e-12 * length,
                "{most}"
            );
        }
    }

    #[test]
    fn numbers_are_written_as_print_does() {
        assert_eq!(number(-12.5, 0.5), "\u{2212}12.5");
        assert_eq!(number(-0.0, 1.0), "0");
        assert_eq!(number(1_234_567.0, 1.0), "1\u{A0}234\u{A0}567");
        assert_eq!(number(2000.0, 500.0), "2000");
        assert_eq!(percent(0.9999), "over 99.9\u{A0}%");
        assert_eq!(percent(1.0), "100\u{A0}%");
        assert_eq!(percent(0.0001), "under 0.1\u{A0}%");
        assert_eq!(percent_range([0.9571, 0.9589]), "95.71 to 95.89\u{A0}%");
    }

    #[test]
    fn an_axis_hits_its_ends() {
        for spacing in [Spacing::Even, Spacing::Logarithmic] {
            let axis = Axis {
                values: [2.0, 50.0],
                places: [10.0, 110.0],
                spacing,
            };
            assert_eq!(axis.at(2.0), 10.0);
            assert_eq!(axis.at(50.0), 110.0);
        }
    }
}
