//! The check scales of a page: 100 mm and 4 in across, 100 mm along, and the words to check them by.

use super::canvas::{Anchor, Canvas, HAIR_MM, LINE_MM, SMALL_MM};

/// Length of the metric check scale, mm.
pub(super) const METRIC_MM: f64 = 100.0;
/// Length of the inch check scale, mm: 4 in.
pub(super) const INCHES_MM: f64 = 4.0 * 25.4;
/// How far off a scale's length may be, mm: what an eye reads on a ruler (chosen; common practice, no source).
const READ_MM: f64 = 0.5;

/// Ticks: the ends long, those between short.
fn tick_mm(is_end: bool) -> f64 {
    if is_end { 2.0 } else { 1.2 }
}

/// Both scales across, the upper left end at `at`, each with its length beside it. Takes some 115 mm by 8 mm.
pub(super) fn across(page: &mut Canvas, at: [f64; 2]) {
    for (row, (length, parts, name)) in [(METRIC_MM, 10, "100 mm"), (INCHES_MM, 4, "4 in")]
        .into_iter()
        .enumerate()
    {
        let [x, y] = [at[0], at[1] + 6.0 * row as f64];
        page.line([x, y], [x + length, y], LINE_MM);
        for part in 0..=parts {
            let tick_x = x + length * f64::from(part) / f64::from(parts);
            let up = tick_mm(part == 0 || part == parts);
            page.line([tick_x, y - up], [tick_x, y + up / 4.0], HAIR_MM);
        }
        page.text([x + length + 2.0, y], name, SMALL_MM, Anchor::Start);
    }
}

/// The scale along, its upper end at `at`.
pub(super) fn along(page: &mut Canvas, at: [f64; 2]) {
    let [x, y] = at;
    page.line([x, y], [x, y + METRIC_MM], LINE_MM);
    for part in 0..=10 {
        let tick_y = y + METRIC_MM * f64::from(part) / 10.0;
        let out = tick_mm(part == 0 || part == 10);
        page.line([x - out, tick_y], [x + out / 4.0, tick_y], HAIR_MM);
    }
    page.upward_text([x - 2.4, y + METRIC_MM / 2.0], "100 mm", SMALL_MM);
}

/// How to check a page by its scales.
pub(super) fn words() -> String {
    format!(
        "Print at 100 % (actual size, not “fit to page”) and lay a ruler on the scales: across and along they must read 100 mm, or 4 in, within {READ_MM} mm. If not, do not use the page."
    )
}
