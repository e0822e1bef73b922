//! A plate's pattern for a laser cutter or a plotter, as SVG in true millimetres.
//!
//! Four groups with the names of the DXF's layers. One user unit is one millimetre; the origin is the outline's upper left corner.

use super::canvas::{escaped, number};
use crate::decision::workshop::{HolePattern, Outline};
use crate::figure::Plan;
use crate::geometry::Pair;
use std::fmt::Write as _;

/// Half of the axis' mark and a text's em, mm.
pub(super) const CROSS_MM: f64 = 4.0;
pub(super) const TEXT_MM: f64 = 3.0;
/// How far a name stands beside its hole's rim, mm.
pub(super) const BESIDE_MM: f64 = 1.0;

/// The pattern as a document that stands alone.
pub(super) fn svg(plan: &Plan, pattern: &HolePattern, title: &str) -> String {
    let size = pattern.outline_mm.size_mm();
    let at = |place: Pair| {
        [
            number(place.x - pattern.outline_mm.low.x),
            number(pattern.outline_mm.high.y - place.y),
        ]
    };
    let [width, height] = [size.x, size.y].map(number);
    let mut text = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" viewBox=\"0 0 {width} {height}\">\n<title>{}: holes of the {} plate</title>\n<desc>Units are millimetres, true size. Seen from the peephole, not mirrored: right is the visitor's right. The outline is {}.</desc>\n",
        escaped(title),
        pattern.plate.word(),
        match pattern.outline {
            Outline::Cabinet => "the inside of the cabinet",
            Outline::Suggested | Outline::BeyondCabinet => "a suggestion",
        }
    );
    let radius = pattern.hole_mm / 2.0;
    let _ = writeln!(
        text,
        "<g id=\"HOLES\" fill=\"none\" stroke=\"#FF0000\" stroke-width=\"0.1\">"
    );
    for place in &pattern.places_mm {
        let [x, y] = at(*place);
        let _ = writeln!(
            text,
            "<circle cx=\"{x}\" cy=\"{y}\" r=\"{}\"/>",
            number(radius)
        );
    }
    text.push_str("</g>\n<g id=\"MARKS\" fill=\"none\" stroke=\"#008000\" stroke-width=\"0.1\">\n");
    for arm in [Pair::new(CROSS_MM, 0.0), Pair::new(0.0, CROSS_MM)] {
        let [[x1, y1], [x2, y2]] = [at(-arm), at(arm)];
        let _ = writeln!(text, "<path d=\"M {x1} {y1} L {x2} {y2}\"/>");
    }
    let _ = writeln!(
        text,
        "</g>\n<g id=\"OUTLINE\" fill=\"none\" stroke=\"#0000FF\" stroke-width=\"0.1\">\n<rect x=\"0\" y=\"0\" width=\"{width}\" height=\"{height}\"/>\n</g>\n<g id=\"TEXT\" fill=\"#000000\" font-family=\"sans-serif\" font-size=\"{TEXT_MM}\">"
    );
    let vertices = plan.design.vertices.iter();
    for (vertex, place) in vertices.zip(&pattern.places_mm) {
        let [x, y] = at(place + Pair::new(radius + BESIDE_MM, radius + BESIDE_MM));
        let _ = writeln!(
            text,
            "<text x=\"{x}\" y=\"{y}\">{}</text>",
            escaped(&vertex.name)
        );
    }
    text.push_str("</g>\n</svg>\n");
    text
}
