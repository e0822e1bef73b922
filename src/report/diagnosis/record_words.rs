//! Texts of the one-page record: cleaned of what has no place on paper, and cut to the lines that there are.

use super::super::drawing::{clean, fitted_to};

/// Size of the record's text, mm (7.8 pt).
pub(super) const EM_MM: f64 = 2.75;
/// Lines lose about so much at their ragged ends.
const RAGGED: f64 = 0.92;

/// The text on one line without control characters or such as turn the writing direction, cut with an ellipsis where it would
/// take more than so many lines of so many mm.
pub(super) fn cut(text: &str, lines: u32, width_mm: f64) -> String {
    let room_em = f64::from(lines) * width_mm / EM_MM;
    let whole = if lines > 1 { RAGGED * room_em } else { room_em };
    fitted_to(text, whole)
}

/// What a sheet says in words, cut likewise; `None` where it says nothing that can be seen.
pub(super) fn said(text: Option<&String>, lines: u32, width_mm: f64) -> Option<String> {
    let text = clean(text?);
    let text = text.trim();
    (!text.is_empty()).then(|| cut(text, lines, width_mm))
}
