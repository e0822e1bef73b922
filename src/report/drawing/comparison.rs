//! Two sides beside each other: both yields, their difference beside zero, and how the builds' margins lie.

use super::axis::{Axis, Spacing, bottom_axis, brief, left_axis, many, number, percent};
use super::sheet::{
    Anchor, BLACK, BLUE, GREY, Ink, LABEL, NOTE, Pattern, STRONG, Sheet, Spot, Type, VERMILLION,
    WHITE,
};
use super::{Draft, MARGIN, WIDTH, titled};
use crate::decision::ComparisonVerdict;
use crate::report::compared::Compared;
use crate::statistics::Difference;

const NAME: &str = "comparison";
/// Left and right edge of the yields' panel and of the difference's, px.
const YIELDS: [f64; 2] = [260.0, 620.0];
const GAIN: [f64; 2] = [690.0, WIDTH - MARGIN - 20.0];
const TOP: f64 = 92.0;
const BOTTOM: f64 = 176.0;
/// Edges of the panel of margins, px.
const MARGINS: [f64; 2] = [110.0, WIDTH - MARGIN - 20.0];
const MARGINS_TOP: f64 = 282.0;
const MARGINS_BOTTOM: f64 = 540.0;
/// Shares of builds that the axis of margins spans, and the farthest that it goes from the limit.
const SPANNED: [f64; 2] = [0.005, 0.995];
const FARTHEST: f64 = 50.0;

/// Ink and dash of a side.
pub(super) fn side_style(side: usize) -> (Ink, Pattern) {
    if side == 0 {
        (BLUE, Pattern::Dashed)
    } else {
        (VERMILLION, Pattern::Solid)
    }
}

/// A ring for the first side, a disc for the second.
pub(super) fn side_mark(sheet: &mut Sheet, at: Spot, side: usize) {
    let (ink, _) = side_style(side);
    sheet.disc(at, 6.0, ink);
    if side == 0 {
        sheet.disc(at, 3.6, WHITE);
    }
}

/// Draws the whole comparison.
pub(super) fn comparison(compared: &Compared<'_>) -> Draft {
    let title = format!("{} and {}", compared.names[0], compared.names[1]);
    let Some(gain) = compared.found.build_yield else {
        return Draft::without(
            NAME,
            &title,
            "One side has no builds, so nothing is compared.",
        );
    };
    let mut sheet = titled(&title, MARGINS_BOTTOM + 64.0);
    yields(&mut sheet, compared);
    difference(&mut sheet, compared, &gain);
    margins(&mut sheet, compared);
    Draft {
        name: NAME,
        title,
        caption: caption(compared),
        sheet,
    }
}

fn row_y(side: usize) -> f64 {
    TOP + 24.0 + 36.0 * side as f64
}

fn whisker(sheet: &mut Sheet, [low, high]: [f64; 2], y: f64, ink: Ink) {
    sheet.line([low, y], [high, y], ink, 2.0);
    for x in [low, high] {
        sheet.line([x, y - 6.0], [x, y + 6.0], ink, 1.6);
    }
}

fn yields(sheet: &mut Sheet, compared: &Compared<'_>) {
    sheet.text(
        [YIELDS[0], TOP - 34.0],
        "builds that pass",
        STRONG,
        Anchor::Start,
    );
    let told = [0, 1].map(|side| {
        let one = compared.found.yield_of(side);
        (
            one.share().unwrap_or(0.0),
            one.interval().unwrap_or([0.0, 1.0]),
        )
    });
    let low = told[0].1[0].min(told[1].1[0]);
    let high = told[0].1[1].max(told[1].1[1]);
    let room = (0.15 * (high - low)).max(0.01);
    let axis = Axis::even([(low - room).max(0.0), (high + room).min(1.0)], YIELDS);
    let write = |tick: f64, step: f64| number(100.0 * tick, 100.0 * step) + "\u{A0}%";
    bottom_axis(sheet, &axis, [TOP, BOTTOM], 4, "", write);
    for (side, (share, interval)) in told.into_iter().enumerate() {
        let y = row_y(side);
        let at = [YIELDS[0] - 12.0, y];
        let room = YIELDS[0] - 12.0 - MARGIN;
        sheet.text_in(at, &compared.names[side], LABEL, Anchor::End, room);
        let (ink, _) = side_style(side);
        whisker(sheet, interval.map(|end| axis.at_most(end)), y, ink);
        let x = axis.at_most(share);
        side_mark(sheet, [x, y], side);
        sheet.text_on_white([x, y - 14.0], &percent(share), NOTE, Anchor::Middle);
    }
}

fn verdict_ink(compared: &Compared<'_>) -> (Ink, &'static str) {
    match compared.found.verdict() {
        ComparisonVerdict::Better => (BLUE, "more than chance: better"),
        ComparisonVerdict::Worse => (VERMILLION, "more than chance: worse"),
        ComparisonVerdict::NoDifferenceShown => (GREY, "may be chance: the interval holds 0"),
    }
}

fn difference(sheet: &mut Sheet, compared: &Compared<'_>, gain: &Difference) {
    let head = "second less first, points";
    sheet.text([GAIN[0], TOP - 34.0], head, STRONG, Anchor::Start);
    let (ink, words) = verdict_ink(compared);
    sheet.text(
        [GAIN[0], TOP - 15.0],
        words,
        Type { ink, ..NOTE },
        Anchor::Start,
    );
    let [low, high] = gain.interval;
    let reach = 1.15 * low.abs().max(high.abs()).max(0.001);
    let ends = [low.min(0.0) - 0.15 * reach, high.max(0.0) + 0.15 * reach];
    let axis = Axis::even(ends, GAIN);
    let write = |tick: f64, step: f64| number(100.0 * tick, 100.0 * step);
    bottom_axis(sheet, &axis, [TOP, BOTTOM], 4, "", write);
    let zero = axis.at(0.0);
    sheet.line([zero, TOP], [zero, BOTTOM], BLACK, 1.6);
    let y = (TOP + BOTTOM) / 2.0 + 8.0;
    whisker(sheet, gain.interval.map(|end| axis.at_most(end)), y, ink);
    let x = axis.at_most(gain.difference);
    let corners = |size: f64| [[x, y - size], [x + size, y], [x, y + size], [x - size, y]];
    sheet.fill(&corners(7.0), ink);
    let text = number(100.0 * gain.difference, 0.1);
    sheet.text_on_white([x, y - 18.0], &text, LABEL, Anchor::Middle);
}

/// Margins of a side in order, all builds; +∞ at the end.
fn in_order(margins: &[f64]) -> Vec<f64> {
    let mut ordered = margins.to_vec();
    ordered.sort_by(f64::total_cmp);
    ordered
}

/// The axis spans nearly all builds of both sides, and the limit.
fn margins_axis(sides: &[Vec<f64>; 2]) -> Axis {
    let (mut low, mut high) = (0.8_f64, 1.25_f64);
    for ordered in sides {
        // builds that never show the figure lie beyond any axis
        let finite = ordered.partition_point(|margin| margin.is_finite());
        let Some(last) = finite.checked_sub(1) else {
            continue;
        };
        let at = |share: f64| ordered[(share * last as f64) as usize];
        low = low.min(at(SPANNED[0]));
        high = high.max(at(SPANNED[1]));
    }
    Axis {
        values: [low.max(1.0 / FARTHEST), high.min(FARTHEST)],
        places: MARGINS,
        spacing: Spacing::Logarithmic,
    }
}

fn margins(sheet: &mut Sheet, compared: &Compared<'_>) {
    let sides = compared
        .found
        .sides
        .each_ref()
        .map(|side| in_order(&side.margins));
    let axis = margins_axis(&sides);
    let up = Axis::even([0.0, 1.0], [MARGINS_BOTTOM, MARGINS_TOP]);
    sheet.text(
        [MARGIN, MARGINS_TOP - 62.0],
        "how near the builds are to failing",
        STRONG,
        Anchor::Start,
    );
    bottom_axis(
        sheet,
        &axis,
        [MARGINS_TOP, MARGINS_BOTTOM],
        8,
        "fault that decides whether a build passes, over its limit (logarithmic scale)",
        number,
    );
    let write = |tick: f64, step: f64| number(100.0 * tick, 100.0 * step) + "\u{A0}%";
    left_axis(
        sheet,
        &up,
        MARGINS,
        5,
        "share of builds that are no worse",
        write,
    );
    let limit = axis.at(1.0);
    sheet.line([limit, MARGINS_TOP], [limit, MARGINS_BOTTOM], BLACK, 1.6);
    sheet.text_on_white([limit, MARGINS_TOP - 10.0], "limit", NOTE, Anchor::Middle);
    for (side, ordered) in sides.iter().enumerate() {
        curve(sheet, ordered, [&axis, &up], side);
        let share = compared.found.yield_of(side).share().unwrap_or(0.0);
        side_mark(sheet, [limit, up.at(share)], side);
    }
    key(sheet, compared);
}

/// Share of builds up to each place of the axis.
fn curve(sheet: &mut Sheet, ordered: &[f64], [axis, up]: [&Axis; 2], side: usize) {
    let (ink, dash) = side_style(side);
    let steps = 240;
    let points: Vec<Spot> = (0..=steps)
        .map(|step| {
            let t = f64::from(step) / f64::from(steps);
            let [low, high] = axis.values;
            let value = low * libm::exp(t * libm::log(high / low));
            let passed = ordered.partition_point(|margin| *margin <= value);
            [
                axis.at(value),
                up.at(passed as f64 / ordered.len().max(1) as f64),
            ]
        })
        .collect();
    sheet.stroke(&points, ink, 2.2, dash);
}

fn key(sheet: &mut Sheet, compared: &Compared<'_>) {
    let at = MARGINS[0] + 250.0;
    for (side, name) in compared.names.iter().enumerate() {
        let x = at + 330.0 * side as f64;
        let y = MARGINS_TOP - 40.0;
        let (ink, dash) = side_style(side);
        sheet.stroke(&[[x, y], [x + 34.0, y]], ink, 2.2, dash);
        side_mark(sheet, [x + 17.0, y], side);
        sheet.text_in([x + 42.0, y], name, LABEL, Anchor::Start, 270.0);
    }
}

fn caption(compared: &Compared<'_>) -> String {
    let level = number(100.0 * compared.found.run.level, 1.0);
    let builds = [0, 1].map(|side| compared.found.sides[side].builds());
    let median = compared.found.median_margin.map_or_else(String::new, |median| {
        format!(
            " The middle build's fault is {} times its limit on the first side and {} on the second.",
            brief(median.medians[0]),
            brief(median.medians[1])
        )
    });
    let numbers = if compared.found.is_paired() {
        "with the same random numbers on both sides"
    } else {
        "each side by itself"
    };
    format!(
        "Whiskers are {level}\u{A0}% intervals, from {} and {}, {numbers}. Where a curve of margins meets the limit stands the yield; builds that never show the figure lie beyond all faults.{median}",
        many(builds[0], "build"),
        many(builds[1], "build"),
    )
}
