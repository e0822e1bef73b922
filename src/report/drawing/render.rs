//! A sheet as SVG text and as PNG bytes, both through plotters.
//!
//! plotters places everything on whole pixels. The SVG is therefore drawn [`SVG_SCALE`] times as large and shown at the
//! sheet's size, and the PNG is drawn [`PNG_SCALE`] times as large and averaged down.

use super::DrawingError;
use super::sheet::{Anchor, Ink, Mark, Pattern, Sheet, Spot, Type};
use super::stretch::{Part, Stretch, mark_of};
use super::text::{check_font, clean, outlines};
use crate::figure::Item;
use plotters::backend::{BitMapBackend, DrawingBackend, SVGBackend};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{Color, FontDesc, FontFamily, FontStyle, RGBAColor, ShapeStyle};
use std::fmt::Write as _;

const SVG_SCALE: f64 = 10.0;
const PNG_SCALE: usize = 3;
/// Height of capitals over the em; half of it lies above a text's place.
const CAPITALS: f64 = 0.714;

/// What plotters' SVG divides a font's size by.
const SVG_SIZE: f64 = 1.24;
/// Half an x-height over the em: how far plotters' SVG moves a centred text down.
const HALF_X_HEIGHT: f64 = 0.268;

/// What the two media do differently.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Medium {
    /// Dashes are marked by an opacity that is replaced later; the viewer has fonts.
    Svg,
    /// Dashes are drawn piece by piece, and letters too: plotters' own bitmap letters ignore their side bearings, which
    /// sets text unevenly.
    Png,
}

impl Medium {
    fn scale(self) -> f64 {
        match self {
            Self::Svg => SVG_SCALE,
            Self::Png => PNG_SCALE as f64,
        }
    }
}

/// Opacity that stands for a dash until the SVG is finished; 1 is an unbroken stroke.
fn dash_mark(dash: Pattern) -> f64 {
    match dash {
        Pattern::Solid => 1.0,
        Pattern::Dashed => 0.991,
        Pattern::Dotted => 0.992,
        Pattern::DashDot => 0.993,
    }
}

fn colour(ink: Ink, alpha: f64) -> RGBAColor {
    RGBAColor(ink.0, ink.1, ink.2, alpha)
}

fn paint<B: DrawingBackend>(
    marks: &[Mark],
    backend: &mut B,
    medium: Medium,
) -> Result<(), DrawingError> {
    let refused = |error: &dyn std::fmt::Display| DrawingError::Paint(error.to_string());
    let scale = medium.scale();
    for mark in marks {
        match mark {
            Mark::Stroke {
                points,
                ink,
                width,
                dash,
            } => {
                let (alpha, pieces) = match medium {
                    Medium::Svg => (dash_mark(*dash), vec![points.clone()]),
                    Medium::Png => (1.0, dashed(points, dash.lengths())),
                };
                let style = ShapeStyle {
                    color: colour(*ink, alpha),
                    filled: false,
                    stroke_width: (width * scale).round().max(1.0) as u32,
                };
                for piece in pieces {
                    let mut places: Vec<(i32, i32)> =
                        piece.iter().map(|spot| place(spot, scale)).collect();
                    places.dedup();
                    if places.len() > 1 {
                        backend
                            .draw_path(places, &style)
                            .map_err(|error| refused(&error))?;
                    }
                }
            }
            Mark::Fill { points, ink } => backend
                .fill_polygon(
                    points.iter().map(|spot| place(spot, scale)),
                    &colour(*ink, 1.0),
                )
                .map_err(|error| refused(&error))?,
            Mark::Disc { at, radius, ink } => backend
                .draw_circle(
                    place(at, scale),
                    (radius * scale).round().max(1.0) as u32,
                    &colour(*ink, 1.0),
                    true,
                )
                .map_err(|error| refused(&error))?,
            Mark::Text {
                at,
                text,
                style,
                anchor,
            } => {
                let baseline = [at[0], at[1] + CAPITALS / 2.0 * style.em];
                match medium {
                    Medium::Svg => write_text(backend, baseline, text, *style, *anchor)?,
                    Medium::Png => draw_letters(backend, baseline, text, *style, *anchor)?,
                }
            }
        }
    }
    backend.present().map_err(|error| refused(&error))
}

/// A spot in a backend's whole pixels.
fn place(spot: &Spot, scale: f64) -> (i32, i32) {
    (
        (spot[0] * scale).round() as i32,
        (spot[1] * scale).round() as i32,
    )
}

/// Text for the viewer's own fonts.
fn write_text<B: DrawingBackend>(
    backend: &mut B,
    baseline: Spot,
    text: &str,
    style: Type,
    anchor: Anchor,
) -> Result<(), DrawingError> {
    let h_pos = match anchor {
        Anchor::Start => HPos::Left,
        Anchor::Middle => HPos::Center,
        Anchor::End => HPos::Right,
    };
    let weight = if style.bold {
        FontStyle::Bold
    } else {
        FontStyle::Normal
    };
    let size = style.em * SVG_SCALE * SVG_SIZE;
    let typed = FontDesc::new(FontFamily::SansSerif, size, weight)
        .color(&colour(style.ink, 1.0))
        .pos(Pos::new(h_pos, VPos::Center));
    let y = baseline[1] - HALF_X_HEIGHT * style.em;
    backend
        .draw_text(text, &typed, place(&[baseline[0], y], SVG_SCALE))
        .map_err(|error| DrawingError::Paint(error.to_string()))
}

/// Text in the font carried in the program, pixel by pixel.
fn draw_letters<B: DrawingBackend>(
    backend: &mut B,
    baseline: Spot,
    text: &str,
    style: Type,
    anchor: Anchor,
) -> Result<(), DrawingError> {
    let scale = PNG_SCALE as f64;
    let (letters, width) = outlines(text, style.em * scale, style.bold)?;
    let start = match anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => width / 2.0,
        Anchor::End => width,
    };
    let (x, y) = place(&[baseline[0] - start / scale, baseline[1]], scale);
    let mut refused = Ok(());
    for letter in letters {
        let corner = letter.px_bounds().min;
        letter.draw(|right, down, cover| {
            let at = (
                x + corner.x as i32 + right as i32,
                y + corner.y as i32 + down as i32,
            );
            let ink = colour(style.ink, f64::from(cover.min(1.0))).to_backend_color();
            if let Err(error) = backend.draw_pixel(at, ink) {
                refused = Err(DrawingError::Paint(error.to_string()));
            }
        });
    }
    refused
}

/// The pieces of a line broken up by `pattern` (lengths of marks and spaces in turn); the whole line without a pattern.
fn dashed(points: &[Spot], pattern: &[f64]) -> Vec<Vec<Spot>> {
    if pattern.is_empty() {
        return vec![points.to_vec()];
    }
    let mut pieces = Vec::new();
    let mut piece: Vec<Spot> = points.first().copied().into_iter().collect();
    let (mut step, mut left) = (0, pattern[0]);
    for pair in points.windows(2) {
        let (mut a, b) = (pair[0], pair[1]);
        loop {
            let length = libm::hypot(b[0] - a[0], b[1] - a[1]);
            if length <= left {
                left -= length;
                if step % 2 == 0 {
                    piece.push(b);
                }
                break;
            }
            let t = left / length;
            a = [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])];
            if step % 2 == 0 {
                piece.push(a);
                pieces.push(std::mem::take(&mut piece));
            } else {
                piece = vec![a];
            }
            step = (step + 1) % pattern.len();
            left = pattern[step];
        }
    }
    if piece.len() > 1 {
        pieces.push(piece);
    }
    pieces
}

/// The sheet as an SVG document that stands alone, named `title` for those who cannot see it.
///
/// # Errors
/// [`DrawingError`] when plotters refuses.
pub(super) fn svg(sheet: &Sheet, title: &str) -> Result<String, DrawingError> {
    let size = pixels(sheet, SVG_SCALE);
    let body = grouped(sheet, size)?;
    let name = escaped(title);
    let shown = pixels(sheet, 1.0);
    let mut document = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{}\" height=\"{}\" viewBox=\"0 0 {} {}\" role=\"img\" \
         aria-label=\"{name}\">\n<title>{name}</title>\n",
        shown.0, shown.1, size.0, size.1
    );
    let _ = writeln!(
        document,
        "<rect width=\"{}\" height=\"{}\" fill=\"#FFFFFF\"/>",
        size.0, size.1
    );
    // quotes in names are escaped, so these attributes can only be our own
    let mut body = body
        .replace(" opacity=\"1\"", "")
        .replace(" stroke=\"none\"", "");
    for dash in [Pattern::Dashed, Pattern::Dotted, Pattern::DashDot] {
        let lengths: Vec<String> = dash
            .lengths()
            .iter()
            .map(|length| (length * SVG_SCALE).to_string())
            .collect();
        body = body.replace(
            &format!("opacity=\"{}\"", dash_mark(dash)),
            &format!("stroke-dasharray=\"{}\"", lengths.join(" ")),
        );
    }
    document.push_str(&body);
    document.push_str("</svg>\n");
    Ok(document)
}

/// The sheet's marks as SVG elements; those that stand for a rod or junction in a group that says so.
fn grouped(sheet: &Sheet, size: (u32, u32)) -> Result<String, DrawingError> {
    let mut body = String::new();
    let mut done = 0;
    for stretch in &sheet.stretches {
        body.push_str(&elements(&sheet.marks[done..stretch.from], size)?);
        let inside = elements(&sheet.marks[stretch.from..stretch.to], size)?;
        let _ = writeln!(body, "<g{}>\n{inside}</g>", attributes(stretch, &sheet.lit));
        done = stretch.to;
    }
    body.push_str(&elements(&sheet.marks[done..], size)?);
    Ok(body)
}

/// Marks as SVG elements, without a root.
fn elements(marks: &[Mark], size: (u32, u32)) -> Result<String, DrawingError> {
    if marks.is_empty() {
        return Ok(String::new());
    }
    let mut drawn = String::new();
    {
        let mut backend = SVGBackend::with_string(&mut drawn, size);
        paint(marks, &mut backend, Medium::Svg)?;
    }
    let inside = drawn
        .split_once(">\n")
        .and_then(|(_, rest)| Some(rest.rsplit_once("</svg>")?.0));
    let inside = inside.ok_or_else(|| DrawingError::Paint("the SVG has no root".to_owned()))?;
    Ok(inside.to_owned())
}

/// What a group says: numbers only, since names can hold anything.
fn attributes(stretch: &Stretch, lit: &[usize]) -> String {
    if stretch.part == Part::Halo {
        return " class=\"halo\"".to_owned();
    }
    let mut text = format!(" data-mark=\"{}\"", mark_of(stretch.item));
    if let Some(part) = stretch.part.word() {
        let _ = write!(text, " data-part=\"{part}\"");
    }
    if matches!(stretch.item, Item::Rod(rod) if lit.contains(&rod)) {
        text.push_str(" class=\"marked\"");
    }
    if !stretch.at.is_empty() {
        let places: Vec<String> = stretch
            .at
            .iter()
            .map(|spot| {
                let (x, y) = place(spot, SVG_SCALE);
                format!("{x},{y}")
            })
            .collect();
        let _ = write!(text, " data-at=\"{}\"", places.join(" "));
    }
    text
}

fn escaped(text: &str) -> String {
    clean(text)
        .replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}

fn pixels(sheet: &Sheet, scale: f64) -> (u32, u32) {
    (
        (sheet.width * scale).round() as u32,
        (sheet.height * scale).round() as u32,
    )
}

/// The sheet as the bytes of a PNG file, one pixel for each logical pixel.
///
/// # Errors
/// [`DrawingError`] when plotters or the encoder refuses.
pub(super) fn png(sheet: &Sheet) -> Result<Vec<u8>, DrawingError> {
    check_font()?;
    let (width, height) = pixels(sheet, 1.0);
    let (wide, high) = (width as usize * PNG_SCALE, height as usize * PNG_SCALE);
    let mut large = vec![255_u8; 3 * wide * high];
    {
        let mut backend = BitMapBackend::with_buffer(&mut large, (wide as u32, high as u32));
        paint(&sheet.marks, &mut backend, Medium::Png)?;
    }
    let small = averaged(&large, width as usize, height as usize);
    let mut bytes = Vec::new();
    let refused = |error: png::EncodingError| DrawingError::Encode(error.to_string());
    let mut encoder = png::Encoder::new(&mut bytes, width, height);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_compression(png::Compression::Best);
    encoder.set_filter(png::FilterType::Up);
    let mut writer = encoder.write_header().map_err(refused)?;
    writer.write_image_data(&small).map_err(refused)?;
    writer.finish().map_err(refused)?;
    Ok(bytes)
}

/// Means of squares of pixels.
fn averaged(large: &[u8], width: usize, height: usize) -> Vec<u8> {
    let row = 3 * width * PNG_SCALE;
    let count = (PNG_SCALE * PNG_SCALE) as u32;
    let mut small = Vec::with_capacity(3 * width * height);
    for y in 0..height {
        for x in 0..width {
            for channel in 0..3 {
                let mut sum = 0;
                for down in 0..PNG_SCALE {
                    let start = (y * PNG_SCALE + down) * row + 3 * x * PNG_SCALE + channel;
                    for right in 0..PNG_SCALE {
                        sum += u32::from(large[start + 3 * right]);
                    }
                }
                small.push(((sum + count / 2) / count) as u8);
            }
        }
    }
    small
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dashes_cover_the_pattern_s_share_of_a_line() {
        let pieces = dashed(&[[0.0, 0.0], [55.0, 0.0], [110.0, 0.0]], &[7.0, 4.0]);
        let drawn: f64 = pieces
            .iter()
            .map(|piece| piece[piece.len() - 1][0] - piece[0][0])
            .sum();
        assert_eq!(pieces.len(), 10);
        assert!((drawn - 70.0).abs() < 1e-9, "{drawn}");
    }

    #[test]
    fn averaging_keeps_a_plain_colour() {
        let large = vec![77_u8; 3 * 6 * 6];
        assert_eq!(averaged(&large, 2, 2), vec![77_u8; 12]);
    }
}
