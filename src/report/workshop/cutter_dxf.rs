//! A plate's pattern for a laser cutter, as DXF in millimetres: layers HOLES, MARKS, OUTLINE, TEXT.
//!
//! The origin is the axis, x to the right and y up as seen from the peephole. The format is that of the release R2000 (AC1015), the
//! oldest that states its unit ($INSUNITS). Dates and identifiers that the library draws anew for each file are left out, so that the
//! same pattern gives the same bytes.

use super::SheetsError;
use super::cutter_svg::{BESIDE_MM, CROSS_MM, TEXT_MM};
use crate::decision::workshop::HolePattern;
use crate::figure::Plan;
use crate::geometry::Pair;
use crate::report::drawing::clean;
use dxf::entities::{Circle, Entity, EntityType, Line, Text};
use dxf::enums::{AcadVersion, DrawingUnits, Units};
use dxf::tables::Layer;
use dxf::{Color, Drawing, Point};

/// Layers and their colour numbers: red, green, blue, black on white.
const LAYERS: [(&str, u8); 4] = [("HOLES", 1), ("MARKS", 3), ("OUTLINE", 5), ("TEXT", 7)];

/// Header variables that hold a clock's or a chance's value.
const NEW_EACH_TIME: [&str; 6] = [
    "$TDCREATE",
    "$TDUCREATE",
    "$TDUPDATE",
    "$TDUUPDATE",
    "$FINGERPRINTGUID",
    "$VERSIONGUID",
];

/// The pattern as the bytes of a DXF file.
///
/// # Errors
/// [`SheetsError::Cutter`] when the library cannot write it.
pub(super) fn dxf(plan: &Plan, pattern: &HolePattern) -> Result<Vec<u8>, SheetsError> {
    let mut drawing = Drawing::new();
    drawing.header.version = AcadVersion::R2000;
    drawing.header.default_drawing_units = Units::Millimeters;
    drawing.header.drawing_units = DrawingUnits::Metric;
    for (name, colour) in LAYERS {
        drawing.add_layer(Layer {
            name: name.to_owned(),
            color: Color::from_index(colour),
            ..Layer::default()
        });
    }
    let mut add = |layer: &str, kind: EntityType| {
        let mut entity = Entity::new(kind);
        entity.common.layer = layer.to_owned();
        drawing.add_entity(entity);
    };
    let radius = pattern.hole_mm / 2.0;
    let point = |at: Pair| Point::new(at.x, at.y, 0.0);
    for place in &pattern.places_mm {
        add(
            "HOLES",
            EntityType::Circle(Circle::new(point(*place), radius)),
        );
    }
    for arm in [Pair::new(CROSS_MM, 0.0), Pair::new(0.0, CROSS_MM)] {
        let line = Line::new(point(-arm), point(arm));
        add("MARKS", EntityType::Line(line));
    }
    let (low, high) = (pattern.outline_mm.low, pattern.outline_mm.high);
    let corners = [
        low,
        Pair::new(high.x, low.y),
        high,
        Pair::new(low.x, high.y),
    ];
    for nth in 0..4 {
        let line = Line::new(point(corners[nth]), point(corners[(nth + 1) % 4]));
        add("OUTLINE", EntityType::Line(line));
    }
    for (vertex, place) in plan.design.vertices.iter().zip(&pattern.places_mm) {
        let away = radius + BESIDE_MM;
        add(
            "TEXT",
            EntityType::Text(Text {
                location: point(place + Pair::new(away, away)),
                text_height: TEXT_MM,
                value: shown(&clean(&vertex.name)),
                ..Text::default()
            }),
        );
    }
    let mut bytes = Vec::new();
    drawing
        .save(&mut bytes)
        .map_err(|error| SheetsError::Cutter(error.to_string()))?;
    let text = String::from_utf8(bytes).map_err(|error| SheetsError::Cutter(error.to_string()))?;
    Ok(without_new_values(&text).into_bytes())
}

/// A text as the format shows it: `%%` and `\U+` begin codes of its own there, and what lies beyond the basic plane is written as a pair of
/// codes of four digits (from memory); the library writes the rest of what is not ASCII, and carets.
fn shown(text: &str) -> String {
    let mut written = String::with_capacity(text.len());
    for (at, c) in text.char_indices() {
        let rest = &text[at..];
        let beside = rest.starts_with("%%") || text[..at].ends_with('%');
        match c {
            '%' if beside => written.push_str("%%%"),
            '\\' if rest.starts_with("\\U+") || rest.starts_with("\\M+") => {
                written.push_str("\\U+005C");
            }
            c if u32::from(c) > 0xFFFF => {
                for unit in c.encode_utf16(&mut [0; 2]) {
                    written.push_str(&format!("\\U+{unit:04X}"));
                }
            }
            c => written.push(c),
        }
    }
    written
}

/// The file without the header variables whose values are new each time. A DXF file is pairs of lines: a code and a value.
fn without_new_values(text: &str) -> String {
    let lines: Vec<&str> = text.lines().collect();
    let mut kept = String::with_capacity(text.len());
    let mut skipping = false;
    for pair in lines.chunks(2) {
        let code = pair[0].trim();
        let value = pair.get(1).map_or("", |value| value.trim());
        if code == "9" || code == "0" {
            skipping = code == "9" && NEW_EACH_TIME.contains(&value);
        }
        if !skipping {
            for line in pair {
                kept.push_str(line);
                kept.push_str("\r\n");
            }
        }
    }
    kept
}
