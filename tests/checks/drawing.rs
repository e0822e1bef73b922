//! A solid from a drawing, as an eye sees it.

use super::{Answer, Inputs};
use sightdrift::scenario::{DrawingFormat, DrawingSettings, FigureSize, SolidView, read_drawing};
use std::fmt::Write;

pub fn run(check: &str, i: Inputs<'_>) -> Option<Answer<Vec<f64>>> {
    (check == "solid_on_picture_plane").then(|| solid(i))
}

/// All corners on one line, in their order, so that the vertices come in it too.
fn solid(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let points = i.points("points")?;
    let mut text = String::new();
    for point in &points {
        let _ = writeln!(text, "v {} {} {}", point.x, point.y, point.z);
    }
    text.push('l');
    for number in 1..=points.len() {
        let _ = write!(text, " {number}");
    }
    let [eye, towards, up] = ["eye", "towards", "up"].map(|key| i.point(key));
    let settings = DrawingSettings {
        size: FigureSize::AsDrawn,
        flatten_mm: DrawingSettings::FLATTEN_MM,
        merge_mm: DrawingSettings::DISTANCES_MM[0],
        view: Some(SolidView {
            eye: eye?.into(),
            towards: towards?.into(),
            up: up?.into(),
        }),
    };
    let drawn = read_drawing(DrawingFormat::Solid, "solid.obj", &text, &settings)
        .map_err(|error| error.to_string())?;
    Ok(drawn
        .vertices
        .iter()
        .flat_map(|vertex| vertex.place_mm)
        .collect())
}
