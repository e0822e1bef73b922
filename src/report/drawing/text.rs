//! Text on a sheet: one font carried in the program, widths, and cutting of what is too long.

use super::DrawingError;
use super::sheet::{LABEL, Type};
use ab_glyph::{Font, FontRef, Glyph, OutlinedGlyph, PxScale, ScaleFont, point};
use std::sync::OnceLock;

/// Other sans-serif fonts that a browser may put in its place run wider by up to this.
const WIDER_FONT: f64 = 1.12;
/// Width of an average letter over the em, used only if a width cannot be had from the font.
const USUAL_LETTER: f64 = 0.6;

/// The font carried in the program, regular and bold.
fn font(bold: bool) -> Option<&'static FontRef<'static>> {
    static FONTS: OnceLock<Option<[FontRef<'static>; 2]>> = OnceLock::new();
    FONTS
        .get_or_init(|| {
            let regular = FontRef::try_from_slice(notosans::REGULAR_TTF).ok()?;
            let bold = FontRef::try_from_slice(notosans::BOLD_TTF).ok()?;
            Some([regular, bold])
        })
        .as_ref()
        .map(|fonts| &fonts[usize::from(bold)])
}

/// Whether the font can be read.
///
/// # Errors
/// [`DrawingError::Font`] when it cannot.
pub(super) fn check_font() -> Result<(), DrawingError> {
    font(false).map(|_| ()).ok_or(DrawingError::Font)
}

/// Scale at which the font's em is `em` px.
fn scale(font: &FontRef, em: f64) -> PxScale {
    let height_per_em = font
        .units_per_em()
        .map_or(1.0, |units| font.height_unscaled() / units);
    PxScale::from(em as f32 * height_per_em)
}

/// The glyphs of a text whose baseline starts at (0, 0), and its width, px.
fn set(text: &str, em: f64, bold: bool) -> Option<(Vec<Glyph>, f64)> {
    let font = font(bold)?;
    let scale = scale(font, em);
    let scaled = font.as_scaled(scale);
    let mut x = 0.0_f32;
    let mut glyphs = Vec::new();
    let mut previous = None;
    for letter in text.chars() {
        let id = font.glyph_id(letter);
        x += previous.map_or(0.0, |before| scaled.kern(before, id));
        glyphs.push(id.with_scale_and_position(scale, point(x, 0.0)));
        x += scaled.h_advance(id);
        previous = Some(id);
    }
    Some((glyphs, f64::from(x)))
}

/// Outlines of a text whose baseline starts at (0, 0), and its width, px.
///
/// # Errors
/// [`DrawingError::Font`] when the font cannot be read.
pub(super) fn outlines(
    text: &str,
    em: f64,
    bold: bool,
) -> Result<(Vec<OutlinedGlyph>, f64), DrawingError> {
    let (glyphs, width) = set(text, em, bold).ok_or(DrawingError::Font)?;
    let font = font(bold).ok_or(DrawingError::Font)?;
    let outlines = glyphs
        .into_iter()
        .filter_map(|glyph| font.outline_glyph(glyph))
        .collect();
    Ok((outlines, width))
}

/// Room to leave for a text, px: its width in a wider font than ours.
pub(super) fn text_width(text: &str, style: Type) -> f64 {
    let width = set(text, style.em, style.bold).map_or(
        USUAL_LETTER * style.em * text.chars().count() as f64,
        |(_, width)| width,
    );
    WIDER_FONT * width
}

/// Width of a text in the font carried in the program, regular, over its em.
pub(in crate::report) fn own_width(text: &str) -> f64 {
    set(text, 1.0, false).map_or(USUAL_LETTER * text.chars().count() as f64, |(_, width)| {
        width
    })
}

/// The text, cut with an ellipsis where it would take more than `room` px.
pub(super) fn fitted(text: &str, style: Type, room: f64) -> String {
    let text = clean(text);
    if text_width(&text, style) <= room {
        return text;
    }
    let letters: Vec<char> = text.chars().collect();
    let cut = |keep: usize| -> String {
        let head: String = letters[..keep].iter().collect();
        format!("{}…", head.trim_end())
    };
    // the longest head that fits, by halving
    let (mut fits, mut too_long) = (0, letters.len());
    while too_long - fits > 1 {
        let middle = usize::midpoint(fits, too_long);
        if text_width(&cut(middle), style) <= room {
            fits = middle;
        } else {
            too_long = middle;
        }
    }
    cut(fits)
}

/// The text, cut with an ellipsis where it would take more than `room_em` times the size of its type, in whatever size it is set.
pub(in crate::report) fn fitted_to(text: &str, room_em: f64) -> String {
    fitted(text, LABEL, room_em * LABEL.em)
}

/// The text in lines of at most `room` px, broken between words.
pub(super) fn wrapped(text: &str, style: Type, room: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in clean(text).split(' ') {
        let longer = lines.last().map(|line| format!("{line} {word}"));
        match (longer, lines.last_mut()) {
            (Some(longer), Some(line)) if text_width(&longer, style) <= room => *line = longer,
            _ => lines.push(fitted(word, style, room)),
        }
    }
    lines
}

/// The text on one line, without characters that have no place in XML or that turn the writing direction.
pub(in crate::report) fn clean(text: &str) -> String {
    let turns = |c: char| matches!(c, '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}' | '\u{200E}' | '\u{200F}');
    let no_xml = |c: char| matches!(c, '\u{FFFE}' | '\u{FFFF}');
    text.chars()
        .filter(|c| !turns(*c) && !no_xml(*c))
        .map(|c| {
            if c.is_control() || matches!(c, '\u{2028}' | '\u{2029}') {
                ' '
            } else {
                c
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_fits_is_left_alone_and_what_does_not_ends_in_an_ellipsis() {
        assert_eq!(fitted("mast", LABEL, 200.0), "mast");
        let long = "mast ".repeat(60);
        let cut = fitted(&long, LABEL, 120.0);
        assert!(
            cut.ends_with('…') && text_width(&cut, LABEL) <= 120.0,
            "{cut}"
        );
        assert!(cut.chars().count() > 8, "{cut}");
    }

    #[test]
    fn control_characters_and_turned_writing_are_taken_out() {
        assert_eq!(clean("a\u{0}b\nc\u{202E}d\u{FFFE}"), "a b cd");
    }

    #[test]
    fn wrapped_lines_keep_every_word_and_their_room() {
        let text = "no look showed the whole figure, so there is nothing to draw here";
        let lines = wrapped(text, LABEL, 150.0);
        assert!(lines.len() > 2);
        assert_eq!(lines.join(" "), text);
        assert!(lines.iter().all(|line| text_width(line, LABEL) <= 150.0));
    }

    #[test]
    fn a_wider_text_measures_wider() {
        assert!(text_width("mmmm", LABEL) > text_width("iiii", LABEL));
        let em = text_width("m", LABEL) / WIDER_FONT / LABEL.em;
        assert!((0.8..1.05).contains(&em), "an m is about an em wide: {em}");
    }
}
