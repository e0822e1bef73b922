//! Which rod or junction breaks first.

use super::axis::{Axis, bottom_axis, count, many, number, percent};
use super::sheet::{Anchor, Area, BLACK, BLUE, GREY, LABEL, ORANGE, PALE, Sheet};
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

/// What a bar stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Sort {
    Rod,
    Junction,
    Others,
}

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
    let mut rows: Vec<(String, Sort, u64)> = all
        .iter()
        .take(MOST_ROWS)
        .map(|(item, broken)| {
            let sort = match item {
                Item::Rod(_) => Sort::Rod,
                Item::Junction(_) => Sort::Junction,
            };
            (assessment.plan.item_name(*item), sort, *broken)
        })
        .collect();
    let hidden = &all[all.len().min(MOST_ROWS)..];
    if !hidden.is_empty() {
        let broken = hidden.iter().map(|(_, broken)| broken).sum();
        rows.push((format!("{} others", hidden.len()), Sort::Others, broken));
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
    for (nth, (name, sort, broken)) in rows.iter().enumerate() {
        let y = TOP + ROW * (nth as f64 + 0.5);
        let room = PANEL[0] - 12.0 - MARGIN;
        sheet.text_in([PANEL[0] - 12.0, y], name, LABEL, Anchor::End, room);
        let end = axis.at(*broken as f64);
        bar(
            &mut sheet,
            &Area::new(PANEL[0], y - 8.0, end, y + 8.0),
            *sort,
        );
        let share = *broken as f64 / tally.broken as f64;
        let value = format!("{} ({})", count(*broken), percent(share));
        sheet.text([end + 9.0, y], &value, LABEL, Anchor::Start);
    }
    let (first, _, broken) = &rows[0];
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

fn bar(sheet: &mut Sheet, area: &Area, sort: Sort) {
    match sort {
        Sort::Rod => sheet.rect(area, BLUE),
        Sort::Junction => {
            sheet.rect(area, ORANGE);
            sheet.hatch(area, 7.0, BLACK, true);
        }
        Sort::Others => sheet.rect(area, PALE),
    }
    sheet.outline(area, if sort == Sort::Others { GREY } else { BLACK }, 1.0);
}

fn write_key(sheet: &mut Sheet) {
    let y = 54.0;
    let mut x = MARGIN;
    for (words, sort) in [
        ("a rod drifts off its edge", Sort::Rod),
        ("a junction gapes", Sort::Junction),
    ] {
        bar(sheet, &Area::new(x, y - 7.0, x + 34.0, y + 7.0), sort);
        sheet.text([x + 42.0, y], words, LABEL, Anchor::Start);
        x += 42.0 + text_width(words, LABEL) + 24.0;
    }
    debug_assert!(x < WIDTH);
}
