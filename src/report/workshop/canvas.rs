//! A page of marks in millimetres, x to the right and y down from the upper left corner, written as SVG at true size.
//!
//! Everything is black or grey: a workshop's printer is often black and white.

use crate::report::drawing::{clean, own_width};
use std::fmt::Write as _;

/// What office printers cannot print on at a sheet's border, mm, with room to spare (common practice, no source).
pub(super) const PAGE_MARGIN_MM: f64 = 10.0;
/// Em of headings, plain text and small print, mm.
pub(super) const HEADING_MM: f64 = 5.0;
pub(super) const BODY_MM: f64 = 3.1;
pub(super) const SMALL_MM: f64 = 2.5;
/// Width of lines that are measured at, of those that are looked at, and of thick ones, mm.
pub(super) const HAIR_MM: f64 = 0.1;
pub(super) const LINE_MM: f64 = 0.2;

/// The font's name in the PDF; no other is loaded.
pub(super) const FONT_FAMILY: &str = "Noto Sans";

/// Which part of a text stands at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

impl Anchor {
    fn word(self) -> &'static str {
        match self {
            Self::Start => "start",
            Self::Middle => "middle",
            Self::End => "end",
        }
    }
}

/// One page.
#[derive(Debug, Clone)]
pub(super) struct Canvas {
    size_mm: [f64; 2],
    body: String,
}

/// A coordinate, mm, to a tenth of a micrometre, without needless zeros.
pub(super) fn number(value: f64) -> String {
    let text = format!("{value:.4}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" {
        "0".to_owned()
    } else {
        text.to_owned()
    }
}

/// A text as it stands between tags.
pub(super) fn escaped(text: &str) -> String {
    clean(text)
        .replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}

/// Width of a text of an em, mm.
pub(super) fn width_mm(text: &str, em_mm: f64) -> f64 {
    em_mm * own_width(&clean(text))
}

/// The text, cut with an ellipsis where it would take more than `room_mm`.
pub(super) fn fitted(text: &str, em_mm: f64, room_mm: f64) -> String {
    let text = clean(text);
    if width_mm(&text, em_mm) <= room_mm {
        return text;
    }
    let mut kept = String::new();
    for letter in text.chars() {
        if width_mm(&format!("{kept}{letter}…"), em_mm) > room_mm {
            break;
        }
        kept.push(letter);
    }
    format!("{}…", kept.trim_end())
}

/// The text in lines of at most `room_mm`, broken between words.
pub(super) fn wrapped(text: &str, em_mm: f64, room_mm: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in clean(text).split(' ') {
        let longer = lines.last().map(|line| format!("{line} {word}"));
        match (longer, lines.last_mut()) {
            (Some(longer), Some(line)) if width_mm(&longer, em_mm) <= room_mm => *line = longer,
            _ => lines.push(fitted(word, em_mm, room_mm)),
        }
    }
    lines
}

impl Canvas {
    pub(super) fn new(size_mm: [f64; 2]) -> Self {
        Self {
            size_mm,
            body: String::new(),
        }
    }

    pub(super) fn size_mm(&self) -> [f64; 2] {
        self.size_mm
    }

    fn stroke(&mut self, a: [f64; 2], b: [f64; 2], width: f64, grey: bool, dash: &str) {
        let [x1, y1, x2, y2] = [a[0], a[1], b[0], b[1]].map(number);
        let ink = if grey { "#777777" } else { "#000000" };
        let _ = writeln!(
            self.body,
            "<path d=\"M {x1} {y1} L {x2} {y2}\" stroke=\"{ink}\" stroke-width=\"{}\"{dash} fill=\"none\"/>",
            number(width)
        );
    }

    pub(super) fn line(&mut self, a: [f64; 2], b: [f64; 2], width: f64) {
        self.stroke(a, b, width, false, "");
    }

    pub(super) fn grey_line(&mut self, a: [f64; 2], b: [f64; 2], width: f64) {
        self.stroke(a, b, width, true, "");
    }

    pub(super) fn dashed_line(&mut self, a: [f64; 2], b: [f64; 2], width: f64) {
        self.stroke(a, b, width, false, " stroke-dasharray=\"3 1.5\"");
    }

    pub(super) fn circle(&mut self, at: [f64; 2], radius: f64, width: f64) {
        let [cx, cy, r] = [at[0], at[1], radius].map(number);
        let _ = writeln!(
            self.body,
            "<circle cx=\"{cx}\" cy=\"{cy}\" r=\"{r}\" stroke=\"#000000\" stroke-width=\"{}\" fill=\"none\"/>",
            number(width)
        );
    }

    /// A filled rectangle in pale grey.
    pub(super) fn pale(&mut self, low: [f64; 2], size: [f64; 2]) {
        let [x, y, w, h] = [low[0], low[1], size[0], size[1]].map(number);
        let _ = writeln!(
            self.body,
            "<rect x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\" fill=\"#DDDDDD\"/>"
        );
    }

    pub(super) fn frame(&mut self, low: [f64; 2], size: [f64; 2], width: f64) {
        let [x, y, w, h] = [low[0], low[1], size[0], size[1]].map(number);
        let _ = writeln!(
            self.body,
            "<rect x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\" stroke=\"#777777\" stroke-width=\"{}\" fill=\"none\"/>",
            number(width)
        );
    }

    /// One line of text whose baseline is at `at`.
    pub(super) fn text(&mut self, at: [f64; 2], text: &str, em_mm: f64, anchor: Anchor) {
        if clean(text).trim().is_empty() {
            return;
        }
        let [x, y] = at.map(number);
        let _ = writeln!(
            self.body,
            "<text x=\"{x}\" y=\"{y}\" font-family=\"{FONT_FAMILY}\" font-size=\"{}\" text-anchor=\"{}\">{}</text>",
            number(em_mm),
            anchor.word(),
            escaped(text)
        );
    }

    /// The same, cut where it would take more than `room_mm`.
    pub(super) fn text_in(
        &mut self,
        at: [f64; 2],
        text: &str,
        em_mm: f64,
        anchor: Anchor,
        room_mm: f64,
    ) {
        self.text(at, &fitted(text, em_mm, room_mm), em_mm, anchor);
    }

    /// Text that runs upwards, its baseline's middle at `at`.
    pub(super) fn upward_text(&mut self, at: [f64; 2], text: &str, em_mm: f64) {
        let [x, y] = at.map(number);
        let _ = writeln!(
            self.body,
            "<text transform=\"translate({x} {y}) rotate(-90)\" font-family=\"{FONT_FAMILY}\" font-size=\"{}\" text-anchor=\"middle\">{}</text>",
            number(em_mm),
            escaped(text)
        );
    }

    /// The page as an SVG document of its size in millimetres.
    pub(super) fn svg(&self) -> String {
        let [width, height] = self.size_mm.map(number);
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" viewBox=\"0 0 {width} {height}\">\n{}</svg>\n",
            self.body
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn coordinates_have_no_needless_zeros_and_no_negative_zero() {
        assert_eq!(number(12.5), "12.5");
        assert_eq!(number(100.0), "100");
        assert_eq!(number(-0.000_01), "0");
        assert_eq!(number(1.0 / 3.0), "0.3333");
    }

    #[test]
    fn wrapped_lines_keep_to_their_room_and_lose_no_word() {
        let text = "lay the sheet on the face of the plate that looks at the peephole";
        let lines = wrapped(text, 3.0, 40.0);
        assert!(lines.len() > 1);
        assert!(lines.iter().all(|line| width_mm(line, 3.0) <= 40.0));
        assert_eq!(lines.join(" "), text);
    }
}
