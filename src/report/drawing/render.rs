//! A sheet as SVG text and as PNG bytes, both through plotters.
//!
//! plotters places everything on whole pixels. The SVG is therefore drawn [`SVG_SCALE`] times as large and shown at the
//! sheet's size, and the PNG is drawn [`PNG_SCALE`] times as large and averaged down.

use super::DrawingError;
use super::sheet::{Anchor, Dash, Ink, Mark, Sheet, Spot};
use super::text::{HEIGHT_PER_EM, clean, font, prepare_font};
use plotters::backend::{BitMapBackend, DrawingBackend, SVGBackend};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{RGBAColor, ShapeStyle};
use std::fmt::Write as _;

const SVG_SCALE: f64 = 10.0;
const PNG_SCALE: usize = 3;
/// Height of capitals over the em; half of it lies above a text's place.
const CAPITALS: f64 = 0.714;

/// Where a text's baseline lies below the point that plotters is given, and what it takes as a size, over the em.
struct TextRule {
    size: f64,
    v_pos: VPos,
    baseline_below: f64,
}

/// What differs between the two media.
struct Medium {
    scale: f64,
    text: TextRule,
    /// Whether a dash is written into the stroke's opacity, to be replaced later, or drawn piece by piece.
    dashes_are_marked: bool,
}

const SVG: Medium = Medium {
    scale: SVG_SCALE,
    text: TextRule {
        // plotters writes size / 1.24 and moves a centred text down by half an x-height
        size: 1.24,
        v_pos: VPos::Center,
        baseline_below: 0.268,
    },
    dashes_are_marked: true,
};

const PNG: Medium = Medium {
    scale: PNG_SCALE as f64,
    text: TextRule {
        // plotters' glyphs stand half a size below the top of a text
        size: HEIGHT_PER_EM,
        v_pos: VPos::Top,
        baseline_below: HEIGHT_PER_EM / 2.0,
    },
    dashes_are_marked: false,
};

/// Opacity that stands for a dash until the SVG is finished; 1 is an unbroken stroke.
fn dash_mark(dash: Dash) -> f64 {
    match dash {
        Dash::Solid => 1.0,
        Dash::Dashed => 0.991,
        Dash::Dotted => 0.992,
        Dash::DashDot => 0.993,
    }
}

fn colour(ink: Ink, alpha: f64) -> RGBAColor {
    RGBAColor(ink.0, ink.1, ink.2, alpha)
}

fn paint<B: DrawingBackend>(
    sheet: &Sheet,
    backend: &mut B,
    medium: &Medium,
) -> Result<(), DrawingError> {
    let place = |spot: &Spot| {
        (
            (spot[0] * medium.scale).round() as i32,
            (spot[1] * medium.scale).round() as i32,
        )
    };
    for mark in &sheet.marks {
        let painted = match mark {
            Mark::Stroke {
                points,
                ink,
                width,
                dash,
            } => {
                let alpha = if medium.dashes_are_marked {
                    dash_mark(*dash)
                } else {
                    1.0
                };
                let style = ShapeStyle {
                    color: colour(*ink, alpha),
                    filled: false,
                    stroke_width: (width * medium.scale).round().max(1.0) as u32,
                };
                let pieces = if medium.dashes_are_marked {
                    vec![points.clone()]
                } else {
                    dashed(points, dash.pattern())
                };
                pieces.iter().try_for_each(|piece| {
                    let mut places: Vec<(i32, i32)> = piece.iter().map(place).collect();
                    places.dedup();
                    if places.len() > 1 {
                        backend.draw_path(places, &style)
                    } else {
                        Ok(())
                    }
                })
            }
            Mark::Fill { points, ink } => {
                backend.fill_polygon(points.iter().map(place), &colour(*ink, 1.0))
            }
            Mark::Disc { at, radius, ink } => backend.draw_circle(
                place(at),
                (radius * medium.scale).round().max(1.0) as u32,
                &colour(*ink, 1.0),
                true,
            ),
            Mark::Text {
                at,
                text,
                style,
                anchor,
            } => {
                let h_pos = match anchor {
                    Anchor::Start => HPos::Left,
                    Anchor::Middle => HPos::Center,
                    Anchor::End => HPos::Right,
                };
                let rule = &medium.text;
                let typed = font(style.em * medium.scale * rule.size, style.bold)
                    .color(&colour(style.ink, 1.0))
                    .pos(Pos::new(h_pos, rule.v_pos));
                let y = at[1] + (CAPITALS / 2.0 - rule.baseline_below) * style.em;
                backend.draw_text(text, &typed, place(&[at[0], y]))
            }
        };
        painted.map_err(|error| DrawingError::Paint(error.to_string()))?;
    }
    backend
        .present()
        .map_err(|error| DrawingError::Paint(error.to_string()))
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
    prepare_font()?;
    let size = pixels(sheet, SVG.scale);
    let mut drawn = String::new();
    {
        let mut backend = SVGBackend::with_string(&mut drawn, size);
        paint(sheet, &mut backend, &SVG)?;
    }
    let (_, body) = drawn
        .split_once(">\n")
        .ok_or_else(|| DrawingError::Paint("the SVG has no root".to_owned()))?;
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
    for dash in [Dash::Dashed, Dash::Dotted, Dash::DashDot] {
        let lengths: Vec<String> = dash
            .pattern()
            .iter()
            .map(|length| (length * SVG.scale).to_string())
            .collect();
        body = body.replace(
            &format!("opacity=\"{}\"", dash_mark(dash)),
            &format!("stroke-dasharray=\"{}\"", lengths.join(" ")),
        );
    }
    document.push_str(&body);
    Ok(document)
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
    prepare_font()?;
    let (width, height) = pixels(sheet, 1.0);
    let (wide, high) = (width as usize * PNG_SCALE, height as usize * PNG_SCALE);
    let mut large = vec![255_u8; 3 * wide * high];
    {
        let mut backend = BitMapBackend::with_buffer(&mut large, (wide as u32, high as u32));
        paint(sheet, &mut backend, &PNG)?;
    }
    let small = averaged(&large, width as usize, height as usize);
    let mut bytes = Vec::new();
    let refused = |error: png::EncodingError| DrawingError::Encode(error.to_string());
    let mut encoder = png::Encoder::new(&mut bytes, width, height);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
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
