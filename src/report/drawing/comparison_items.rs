//! Rods and junctions of two sides: root mean square over the limit, from the first side to the second, what changed most on top.

use super::axis::{Axis, Spacing, bottom_axis, number};
use super::comparison::side_mark;
use super::sheet::{Anchor, BLACK, FAINT, GREY, LABEL, NOTE, Sheet, Type};
use super::{Draft, MARGIN, WIDTH, titled};
use crate::decision::ItemPair;
use crate::report::compared::Compared;

const NAME: &str = "comparison-items";
const TITLE: &str = "Drift and gap against their limits, before and after";
/// Most rows; the rest are counted in words.
const MOST_ROWS: usize = 24;
const ROW: f64 = 24.0;
const TOP: f64 = 116.0;
const PANEL: [f64; 2] = [250.0, 810.0];
/// Least value that the axis shows, over the limit.
const LEAST: f64 = 0.01;

/// Draws the rows.
pub(super) fn items(compared: &Compared<'_>) -> Draft {
    let level = compared.found.run.level;
    let title = title(compared);
    let all: Vec<&ItemPair> = compared
        .most_changed()
        .into_iter()
        .filter(|item| (0..2).any(|side| item.squares.ratio(side).is_some()))
        .collect();
    if all.is_empty() {
        return Draft::without(
            NAME,
            &title,
            "No look shows the whole figure, so nothing was measured.",
        );
    }
    let rows = &all[..all.len().min(MOST_ROWS)];
    let axis = axis(rows);
    let bottom = TOP + ROW * rows.len() as f64 + 6.0;
    let mut sheet = titled(
        &title,
        bottom + 58.0 + if rows.len() < all.len() { 20.0 } else { 0.0 },
    );
    key(&mut sheet, compared);
    bottom_axis(
        &mut sheet,
        &axis,
        [TOP, bottom],
        8,
        match axis.spacing {
            Spacing::Even => "root mean square of drift or gap over its limit",
            Spacing::Logarithmic => {
                "root mean square of drift or gap over its limit, logarithmic scale"
            }
        },
        number,
    );
    let limit = axis.at(1.0);
    sheet.line([limit, TOP - 4.0], [limit, bottom], BLACK, 1.6);
    sheet.text([limit, TOP - 13.0], "limit", NOTE, Anchor::Middle);
    sheet.text(
        [PANEL[1] + 16.0, TOP - 13.0],
        "second less first",
        NOTE,
        Anchor::Start,
    );
    for (nth, item) in rows.iter().enumerate() {
        row(
            &mut sheet,
            &axis,
            item,
            TOP + ROW * (nth as f64 + 0.5),
            level,
        );
    }
    if rows.len() < all.len() {
        let text = format!(
            "{} more changed less, or are on one side only; they stand in the table.",
            all.len() - rows.len()
        );
        sheet.text([PANEL[0], bottom + 60.0], &text, NOTE, Anchor::Start);
    }
    Draft {
        name: NAME,
        title,
        caption: caption(level),
        sheet,
    }
}

fn title(compared: &Compared<'_>) -> String {
    if compared.found.is_paired() {
        "Drift and gap against their limits on both sides".to_owned()
    } else {
        TITLE.to_owned()
    }
}

fn axis(rows: &[&ItemPair]) -> Axis {
    let (mut low, mut high) = (0.8_f64, 1.25_f64);
    for item in rows {
        for side in 0..2 {
            if let Some(root) = item.squares.ratio(side).map(f64::sqrt) {
                low = low.min(0.9 * root);
                high = high.max(1.1 * root);
            }
        }
    }
    let low = low.max(LEAST);
    // what lies within a few times of each other reads best on an even scale
    let spacing = if high / low > 12.0 {
        Spacing::Logarithmic
    } else {
        Spacing::Even
    };
    let low = if spacing == Spacing::Even { 0.0 } else { low };
    Axis {
        values: [low, high],
        places: PANEL,
        spacing,
    }
}

fn key(sheet: &mut Sheet, compared: &Compared<'_>) {
    for (side, name) in compared.names.iter().enumerate() {
        let at = [MARGIN + 10.0 + 500.0 * side as f64, 56.0];
        side_mark(sheet, at, side);
        sheet.text_in([at[0] + 14.0, at[1]], name, LABEL, Anchor::Start, 460.0);
    }
    let note = "line: from the first to the second; grey: may be chance";
    sheet.text([MARGIN, 78.0], note, NOTE, Anchor::Start);
}

fn row(sheet: &mut Sheet, axis: &Axis, item: &ItemPair, y: f64, level: f64) {
    let room = PANEL[0] - 12.0 - MARGIN;
    sheet.text_in([PANEL[0] - 12.0, y], &item.name, LABEL, Anchor::End, room);
    sheet.line([PANEL[0], y], [PANEL[1], y], FAINT, 0.8);
    let roots = [0, 1].map(|side| item.squares.ratio(side).map(f64::sqrt));
    let found = item.squares.root_difference(level);
    let told = found.is_some_and(|found| found.is_more_than_chance());
    let ink = if told { BLACK } else { GREY };
    if let [Some(first), Some(second)] = roots {
        let ends = [first, second].map(|root| axis.at_most(root));
        sheet.line(
            [ends[0], y],
            [ends[1], y],
            ink,
            if told { 3.0 } else { 1.4 },
        );
    }
    for (side, root) in roots.into_iter().enumerate() {
        if let Some(root) = root {
            side_mark(sheet, [axis.at_most(root), y], side);
        }
    }
    let text = match (found, roots) {
        (Some(found), _) => {
            let [low, high] = found.interval;
            // as many digits as tell the ends of the interval apart
            let half = found.half_width();
            let decimals = match half {
                half if half >= 0.03 || half == 0.0 => 2,
                half if half >= 0.003 => 3,
                _ => 4,
            };
            let [one, low, high] = [found.difference, low, high].map(|value| plus(value, decimals));
            format!("{one} ({low} to {high})")
        }
        (None, [None, _]) => "only on the second side".to_owned(),
        _ => "only on the first side".to_owned(),
    };
    let at = [PANEL[1] + 16.0, y];
    sheet.text_in(
        at,
        &text,
        Type { ink, ..NOTE },
        Anchor::Start,
        WIDTH - MARGIN - at[0],
    );
}

/// A number with its sign; what is rounded to nothing has none.
fn plus(value: f64, decimals: usize) -> String {
    let text = format!("{value:+.decimals$}").replace('-', "\u{2212}");
    if text.chars().any(|c| ('1'..='9').contains(&c)) {
        text
    } else {
        text.trim_start_matches(['+', '\u{2212}']).to_owned()
    }
}

fn caption(level: f64) -> String {
    format!(
        "Root mean square over judged looks of each rod's drift (judged frame) and each junction's gap over its limit, the first side as a ring, the second as a disc. Differences with {}\u{A0}% intervals, without correction for their number.",
        number(100.0 * level, 1.0)
    )
}
