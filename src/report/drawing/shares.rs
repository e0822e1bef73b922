//! How much each step causes: first-order and total index for drift, gap, the fault that decides, and failures, ranked.

use super::axis::{Axis, brief, number, percent};
use super::sheet::{
    Anchor, Area, BLACK, BLUE, FAINT, GREY, Ink, LABEL, NOTE, Pattern, SKY, STRONG, Sheet, Type,
    VERMILLION, WHITE,
};
use super::text::wrapped;
use super::{Draft, MARGIN, WIDTH, titled};
use crate::decision::{NoShares, OutputShares, ShareOutput, Shares};
use crate::statistics::{GroupShare, Index, Told, VarianceShares};

const NAME: &str = "shares";
const TITLE: &str = "What causes how much";
const ROW: f64 = 34.0;
const TOP: f64 = 146.0;
/// Right edge of the names, px.
const NAMES_END: f64 = 306.0;
/// Width of a panel with its column of numbers, px; and of its axis alone.
const PANEL: f64 = 180.0;
const AXIS: f64 = 116.0;
/// Bars and marks stand off the middle of their row by this, px.
const OFF: f64 = 6.0;
const SMALL: Type = Type { em: 11.0, ..NOTE };
/// Of an interval that goes below zero so much is shown at most.
const LOWEST: f64 = -0.08;

/// Draws the steps, the one that matters most for the deciding fault first.
pub(super) fn shares(shares: &Shares) -> Draft {
    if shares.outputs.iter().all(|one| one.found.is_err()) {
        let why = shares
            .outputs
            .iter()
            .filter_map(|one| one.found.as_ref().err());
        let why: Vec<String> = why.map(|why| nothing_words(*why)).take(1).collect();
        let reason = format!("There is nothing to share out: {}.", why.join(""));
        return Draft::without(NAME, TITLE, &reason);
    }
    let order = shares.ranked();
    let bottom = TOP + ROW * (order.len() + 2) as f64 + 8.0;
    let mut sheet = titled(TITLE, bottom + 62.0);
    notes(&mut sheet, shares);
    names(&mut sheet, shares, &order);
    let axis = axis_of(shares);
    for (nth, one) in shares.outputs.iter().enumerate() {
        let left = NAMES_END + 14.0 + nth as f64 * PANEL;
        let axis = Axis::even(axis, [left, left + AXIS]);
        heading(
            &mut sheet,
            one,
            left,
            shares.ranked_by() == Some(one.output),
        );
        match &one.found {
            Ok(found) => panel(&mut sheet, found, &order, &axis, bottom),
            Err(why) => without(&mut sheet, *why, left),
        }
    }
    let middle = NAMES_END + 14.0 + 2.0 * PANEL - (PANEL - AXIS) / 2.0;
    let text = "share of the variance, %";
    sheet.text([middle, bottom + 40.0], text, LABEL, Anchor::Middle);
    Draft {
        name: NAME,
        title: TITLE.to_owned(),
        caption: caption(shares),
        sheet,
    }
}

fn notes(sheet: &mut Sheet, shares: &Shares) {
    let level = number(100.0 * shares.level, 1.0);
    let y = 54.0;
    bar(sheet, [MARGIN, MARGIN + 26.0], y, SKY, true);
    let text = "what the step causes by itself (first-order index)";
    sheet.text([MARGIN + 34.0, y], text, NOTE, Anchor::Start);
    diamond(sheet, [MARGIN + 382.0, y], true);
    let text = "by itself and together with others (total index)";
    sheet.text([MARGIN + 394.0, y], text, NOTE, Anchor::Start);
    diamond(sheet, [MARGIN + 722.0, y], false);
    let text = "cannot be told from zero";
    sheet.text([MARGIN + 734.0, y], text, NOTE, Anchor::Start);
    let text = format!(
        "Lines across: {level}\u{A0}% intervals, hidden where the mark is wider. Numbers: total index. * comes with the \
         visitor; no care in the workshop mends it."
    );
    let room = WIDTH - 2.0 * MARGIN;
    sheet.text_in([MARGIN, y + 21.0], &text, NOTE, Anchor::Start, room);
}

fn names(sheet: &mut Sheet, shares: &Shares, order: &[usize]) {
    let words = order.iter().map(|step| {
        let step = shares.steps[*step];
        let star = if step.is_work() { "" } else { " *" };
        (format!("{}{star}", step.words()), LABEL)
    });
    let rest = ["all of them by themselves", "left to interactions"]
        .map(|words| (words.to_owned(), STRONG));
    for (nth, (words, style)) in words.chain(rest).enumerate() {
        let y = row_y(nth, order.len());
        let room = NAMES_END - MARGIN;
        sheet.text_in([NAMES_END, y], &words, style, Anchor::End, room);
    }
}

/// Middle of a row; the two last stand a little apart.
fn row_y(nth: usize, steps: usize) -> f64 {
    let apart = if nth < steps { 0.0 } else { 8.0 };
    TOP + ROW * (nth as f64 + 0.5) + apart
}

/// One range for all panels, so that they can be compared.
fn axis_of(shares: &Shares) -> [f64; 2] {
    let found = shares
        .outputs
        .iter()
        .filter_map(|one| one.found.as_ref().ok());
    let indices = found.flat_map(|found| {
        let groups = found
            .groups
            .iter()
            .flat_map(|group| [group.first, group.total]);
        groups.chain([found.sum_of_first, found.interactions])
    });
    indices.fold([0.0, 1.0], |[low, high], index| {
        let [a, b] = index.interval;
        [low.min(a).max(LOWEST), high.max(b).min(1.15)]
    })
}

fn heading(sheet: &mut Sheet, one: &OutputShares, left: f64, is_ranking: bool) {
    let (words, more) = match one.output {
        ShareOutput::Drift => ("drift", "largest in the first look"),
        ShareOutput::Gap => ("gap", "largest in the first look"),
        ShareOutput::Margin => ("deciding fault", "over all looks"),
        ShareOutput::Failure => ("failures", "builds that do not pass"),
    };
    sheet.text([left, TOP - 46.0], words, STRONG, Anchor::Start);
    let more = if is_ranking {
        format!("{more}; ranked by this")
    } else {
        more.to_owned()
    };
    sheet.text_in([left, TOP - 29.0], &more, SMALL, Anchor::Start, PANEL - 6.0);
    let Ok(found) = &one.found else { return };
    let spread = if one.output == ShareOutput::Failure {
        percent(found.mean)
    } else {
        let sd = found.variance.sqrt();
        format!("mean {}, sd {} × limit", brief(found.mean), brief(sd))
    };
    sheet.text([left, TOP - 13.0], &spread, SMALL, Anchor::Start);
}

fn without(sheet: &mut Sheet, why: NoShares, left: f64) {
    for (nth, line) in wrapped(&nothing_words(why), NOTE, AXIS + 44.0)
        .iter()
        .enumerate()
    {
        let y = TOP + 16.0 + 17.0 * nth as f64;
        sheet.text([left, y], line, NOTE, Anchor::Start);
    }
}

fn nothing_words(why: NoShares) -> String {
    match why {
        NoShares::NothingVaries => "it is the same in all builds".to_owned(),
        NoShares::TooFewFail(0) => "no build fails".to_owned(),
        NoShares::TooFewFail(n) => format!("too few builds fail ({n})"),
        NoShares::TooFewPass(0) => "all builds fail".to_owned(),
        NoShares::TooFewPass(n) => format!("too few builds pass ({n})"),
        NoShares::TooFewRows => "too few builds were worked out".to_owned(),
    }
}

fn panel(sheet: &mut Sheet, found: &VarianceShares, order: &[usize], axis: &Axis, bottom: f64) {
    let end = bottom - 2.0;
    for tick in [0.0, 0.5, 1.0] {
        let x = axis.at(tick);
        let (ink, width) = if tick == 0.0 {
            (BLACK, 1.0)
        } else {
            (FAINT, 1.0)
        };
        sheet.line([x, TOP], [x, end], ink, width);
        sheet.line([x, end], [x, end + 5.0], BLACK, 1.0);
        let text = number(100.0 * tick, 1.0);
        let style = Type { ink: BLACK, ..NOTE };
        sheet.text([x, end + 15.0], &text, style, Anchor::Middle);
    }
    sheet.line([axis.places[0], end], [axis.places[1], end], BLACK, 1.0);
    let told = [axis.places[1] + 6.0, PANEL - AXIS - 10.0];
    for (nth, step) in order.iter().enumerate() {
        let group = &found.groups[*step];
        let y = row_y(nth, order.len());
        row(sheet, group, axis, y);
        let (text, ink) = total_words(group);
        sheet.text_in(
            [told[0], y],
            &text,
            Type { ink, ..LABEL },
            Anchor::Start,
            told[1],
        );
    }
    for (nth, index) in [found.sum_of_first, found.interactions].iter().enumerate() {
        let y = row_y(order.len() + nth, order.len());
        let (ink, rising) = if nth == 0 {
            (SKY, true)
        } else {
            (FAINT, false)
        };
        bar(
            sheet,
            [axis.at(0.0), axis.at_most(index.estimate)],
            y,
            ink,
            rising,
        );
        whisker(sheet, index, axis, y, BLACK);
        let text = number(100.0 * index.estimate, 1.0) + "\u{A0}%";
        sheet.text_in([told[0], y], &text, STRONG, Anchor::Start, told[1]);
    }
}

/// The total index as it is written beside its mark.
fn total_words(group: &GroupShare) -> (String, Ink) {
    match group.total_told() {
        Told::Nothing => ("none".to_owned(), GREY),
        Told::NextToNothing => ("< 1\u{A0}%".to_owned(), GREY),
        Told::NotFromZero => ("\u{2248} 0".to_owned(), GREY),
        Told::FromZero => {
            let percent = 100.0 * group.total.estimate;
            let step = if percent < 9.95 { 0.1 } else { 1.0 };
            (number(percent, step) + "\u{A0}%", BLACK)
        }
    }
}

fn row(sheet: &mut Sheet, group: &GroupShare, axis: &Axis, y: f64) {
    if group.total_told() == Told::Nothing {
        return;
    }
    let first = &group.first;
    let ends = [axis.at(0.0), axis.at_most(first.estimate)];
    match group.first_told() {
        Told::FromZero => bar(sheet, ends, y - OFF, SKY, true),
        _ => {
            let [a, b] = ends;
            let area = Area::new(a.min(b), y - OFF - 4.5, a.max(b), y - OFF + 4.5);
            sheet.outline(&area, GREY, 1.0);
        }
    }
    whisker(sheet, first, axis, y - OFF, BLACK);
    whisker(sheet, &group.total, axis, y + OFF, VERMILLION);
    let told = matches!(group.total_told(), Told::FromZero | Told::NextToNothing);
    diamond(sheet, [axis.at_most(group.total.estimate), y + OFF], told);
}

fn bar(sheet: &mut Sheet, [a, b]: [f64; 2], y: f64, ink: Ink, rising: bool) {
    let area = Area::new(a.min(b), y - 4.5, a.max(b), y + 4.5);
    sheet.rect(&area, ink);
    sheet.hatch(&area, 5.0, if rising { BLUE } else { GREY }, rising);
    sheet.outline(&area, if rising { BLUE } else { GREY }, 1.0);
}

fn whisker(sheet: &mut Sheet, index: &Index, axis: &Axis, y: f64, ink: Ink) {
    let [a, b] = index.interval.map(|end| axis.at_most(end));
    sheet.stroke(&[[a, y], [b, y]], ink, 1.6, Pattern::Solid);
    for x in [a, b] {
        sheet.line([x, y - 4.0], [x, y + 4.0], ink, 1.4);
    }
}

fn diamond(sheet: &mut Sheet, [x, y]: [f64; 2], filled: bool) {
    let corners = |size: f64| [[x, y - size], [x + size, y], [x, y + size], [x - size, y]];
    sheet.fill(&corners(5.6), VERMILLION);
    if !filled {
        sheet.fill(&corners(3.6), WHITE);
    }
}

/// What the steps are ranked by.
fn ranking_words(shares: &Shares) -> &'static str {
    match shares.ranked_by() {
        Some(ShareOutput::Drift) => "total index of the drift",
        Some(ShareOutput::Gap) => "total index of the gap",
        Some(ShareOutput::Failure) => "total index of the failures",
        _ => "total index of the deciding fault",
    }
}

fn caption(shares: &Shares) -> String {
    let left_out = shares
        .outputs
        .iter()
        .filter_map(|one| Some(one.found.as_ref().ok()?.left_out))
        .max()
        .unwrap_or(0);
    let left = if left_out > 0 {
        format!(
            " Left out of drift and gap: {} where part of the figure is dark or the build cannot be computed.",
            super::axis::many(left_out, "row")
        )
    } else {
        String::new()
    };
    format!(
        "Shares of the variance of four results, by step, ranked by the {}. First-order and \
         total Sobol' indices from {} of builds ({} worked out, {} looks at each). Shares tell what makes builds and looks \
         differ, not what is wrong with all of them alike, such as sag.{left}",
        ranking_words(shares),
        super::axis::many(shares.rows, "pair"),
        super::axis::many(shares.builds, "build"),
        shares.looks,
    )
}
