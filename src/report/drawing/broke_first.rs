//! Which rod or junction breaks first.

use super::axis::{Axis, bottom_axis, count, many, number, percent};
use super::sheet::{Anchor, Area, BLACK, BLUE, GREY, LABEL, ORANGE, PALE, Sheet};
use super::stretch::Part;
use super::text::text_width;
use super::{Draft, MARGIN, WIDTH, titled};
use crate::decision::Assessment;
use crate::figure::Item;

const NAME: &str = "broke-first";
const TITLE: &str = "What breaks first";
const MOST_ROWS: usize = 15;
const ROW: f64 = 26.0;
const TOP: f64 = 82.0;
/// The panel's left and right edge, px; values stand to the right of their bars.
const PANEL: [f64; 2] = [235.0, 850.0];

/// One bar: what it stands for (nothing: all others), its name, the looks that it counts.
type Row = (Option<Item>, String, u64);

/// Draws the bars.
pub(super) fn broke_first(assessment: &Assessment) -> Draft {
    let tally = &assessment.result.tally;
    let all = assessment.broke_first();
    if all.is_empty() {
        let reason = if tally.held == 0 {
            format!(
                "No look showed the whole figure ({}, {} of them clipped), so nothing could break first.",
                many(tally.looks, "look"),
                count(tally.clipped)
            )
        } else {
            format!(
                "No look broke: {} showed the whole figure and held.",
                many(tally.held, "look")
            )
        };
        return Draft::without(NAME, TITLE, &reason);
    }
    let mut rows: Vec<Row> = all
        .iter()
        .take(MOST_ROWS)
        .map(|(item, broken)| (Some(*item), assessment.plan.item_name(*item), *broken))
        .collect();
    let hidden = &all[all.len().min(MOST_ROWS)..];
    if !hidden.is_empty() {
        let broken = hidden.iter().map(|(_, broken)| broken).sum();
        rows.push((None, format!("{} others", hidden.len()), broken));
    }
    let highest = rows.iter().map(|row| row.2).max().unwrap_or(1).max(1);
    let axis = Axis::even([0.0, highest as f64], PANEL);
    let bottom = TOP + ROW * rows.len() as f64;
    let mut sheet = titled(TITLE, bottom + 52.0);
    // whole looks only: no ticks between
    let wanted = (highest as usize).min(6);
    bottom_axis(
        &mut sheet,
        &axis,
        [TOP - 4.0, bottom],
        wanted,
        "broken looks in which it was farthest over its limit, count (share of broken looks)",
        |tick, _| number(tick, 1.0),
    );
    write_key(&mut sheet);
    for (nth, row) in rows.iter().enumerate() {
        let y = TOP + ROW * (nth as f64 + 0.5);
        let draw = |sheet: &mut Sheet| draw_row(sheet, &axis, row, y, tally.broken);
        match row.0 {
            Some(item) => sheet.part_of(item, Part::Row, draw),
            None => draw(&mut sheet),
        }
    }
    let (_, first, broken) = &rows[0];
    let caption = format!(
        "Of {} (of {} that show the whole figure), {first} was the farthest over its limit in {} ({}). Rods are \
         plain bars, junctions hatched. Looks at one build are not independent, so these counts carry no interval.",
        many(tally.broken, "broken look"),
        count(tally.held + tally.broken),
        count(*broken),
        percent(*broken as f64 / tally.broken as f64),
    );
    Draft {
        name: NAME,
        title: TITLE.to_owned(),
        caption,
        sheet,
    }
}

fn draw_row(sheet: &mut Sheet, axis: &Axis, (item, name, broken): &Row, y: f64, of: u64) {
    let room = PANEL[0] - 12.0 - MARGIN;
    sheet.text_in([PANEL[0] - 12.0, y], name, LABEL, Anchor::End, room);
    let end = axis.at(*broken as f64);
    bar(sheet, &Area::new(PANEL[0], y - 8.0, end, y + 8.0), *item);
    let share = *broken as f64 / of as f64;
    let value = format!("{} ({})", count(*broken), percent(share));
    sheet.text([end + 9.0, y], &value, LABEL, Anchor::Start);
}

fn bar(sheet: &mut Sheet, area: &Area, item: Option<Item>) {
    match item {
        Some(Item::Rod(_)) => sheet.rect(area, BLUE),
        Some(Item::Junction(_)) => {
            sheet.rect(area, ORANGE);
            sheet.hatch(area, 7.0, BLACK, true);
        }
        None => sheet.rect(area, PALE),
    }
    sheet.outline(area, if item.is_none() { GREY } else { BLACK }, 1.0);
}

fn write_key(sheet: &mut Sheet) {
    let y = 54.0;
    let mut x = MARGIN;
    for (words, item) in [
        ("a rod drifts off its edge", Item::Rod(0)),
        ("a junction gapes", Item::Junction(0)),
    ] {
        bar(sheet, &Area::new(x, y - 7.0, x + 34.0, y + 7.0), Some(item));
        sheet.text([x + 42.0, y], words, LABEL, Anchor::Start);
        x += 42.0 + text_width(words, LABEL) + 24.0;
    }
    debug_assert!(x < WIDTH);
}
