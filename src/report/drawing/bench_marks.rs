//! Headings and arrows of the picture of what to measure.

use super::sheet::{Anchor, Area, Ink, NOTE, STRONG, Sheet, Spot};
use super::text::text_width;

/// A heading over a panel: a quantity's name or a view, and what is done.
pub(super) fn heading(sheet: &mut Sheet, area: &Area, name: &str, words: &str) {
    let at = [area.left, area.top - 14.0];
    sheet.text(at, name, STRONG, Anchor::Start);
    let x = area.left + text_width(name, STRONG) + 10.0;
    sheet.text_in([x, at[1]], words, NOTE, Anchor::Start, area.right - x);
}

/// An arrow from `from` to `to`, with a head at its end.
pub(super) fn arrow(sheet: &mut Sheet, from: Spot, to: Spot, ink: Ink) {
    const HEAD: f64 = 7.0;
    let run = [to[0] - from[0], to[1] - from[1]];
    let length = libm::hypot(run[0], run[1]).max(1e-9);
    let unit = [run[0] / length, run[1] / length];
    let foot = [to[0] - HEAD * unit[0], to[1] - HEAD * unit[1]];
    sheet.line(from, foot, ink, 1.4);
    let aside = [-unit[1] * HEAD * 0.45, unit[0] * HEAD * 0.45];
    sheet.fill(
        &[
            to,
            [foot[0] + aside[0], foot[1] + aside[1]],
            [foot[0] - aside[0], foot[1] - aside[1]],
        ],
        ink,
    );
}
