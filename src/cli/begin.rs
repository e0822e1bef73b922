//! `begin`: a commented starter scenario, from points, from a built-in example or from a drawing.

use super::begin_arguments::{BeginOptions, DrawingOptions};
use super::files::{read_text_up_to, refuse_what_is_there, short_name, write_file};
use super::terminal::tell;
use super::{Exit, Stop};
use crate::scenario::{
    DrawingFormat, DrawingSettings, EXAMPLES, FigureSize, LARGEST_DRAWING_BYTES, SolidView,
    StarterCabinet, StarterVertex, read_drawing, read_scenario, starter_from_drawing,
    starter_from_points,
};
use std::path::Path;

/// A starter figure for those who give no points: a house with a pitched roof.
const HOUSE: [(&str, [f64; 2]); 5] = [
    ("west-foot", [-50.0, -55.0]),
    ("east-foot", [50.0, -55.0]),
    ("east-eave", [50.0, 15.0]),
    ("ridge", [0.0, 60.0]),
    ("west-eave", [-50.0, 15.0]),
];

pub(super) fn begin(options: &BeginOptions) -> Result<Exit, Stop> {
    let title = options
        .title
        .clone()
        .unwrap_or_else(|| short_name(&options.file));
    let (text, told) = match (&options.example, &options.drawn.drawing) {
        (Some(name), _) => (example(name)?, Vec::new()),
        (None, Some(drawing)) => {
            // told before the drawing is read: it would be in vain
            refuse_what_is_there(&options.file, options.overwrite)?;
            from_drawing(&title, drawing, &options.drawn, cabinet(options)?)?
        }
        (None, None) => (from_points(&title, options)?, Vec::new()),
    };
    if options.example.is_none() {
        // what it writes must be readable: points can be too far apart, or two of them at one place
        read_scenario(&options.file.display().to_string(), &text, &|_| {
            Err("no file is named".to_owned())
        })?;
    }
    write_file(&options.file, text.as_bytes(), options.overwrite)?;
    for sentence in told {
        tell(&sentence);
    }
    let next = if options.inside.is_some() {
        "lay-out"
    } else {
        "check"
    };
    tell(&format!(
        "written: {0}\nnext: sightdrift {next} {0}",
        options.file.display()
    ));
    Ok(Exit::Done)
}

fn example(name: &str) -> Result<String, Stop> {
    EXAMPLES
        .iter()
        .find(|example| example.name == name)
        .map(|example| example.text.to_owned())
        .ok_or_else(|| Stop::Refused(format!("there is no example `{name}`")))
}

fn from_points(title: &str, options: &BeginOptions) -> Result<String, Stop> {
    let house: Vec<StarterVertex> = HOUSE
        .iter()
        .map(|(name, place_mm)| StarterVertex {
            name: (*name).to_owned(),
            place_mm: *place_mm,
        })
        .collect();
    let vertices = if options.vertex.is_empty() {
        &house
    } else {
        &options.vertex
    };
    let cabinet = cabinet(options)?;
    Ok(starter_from_points(title, vertices, &options.rod, cabinet)?)
}

/// The cabinet, where it is given.
fn cabinet(options: &BeginOptions) -> Result<Option<StarterCabinet>, Stop> {
    let (Some(inside_mm), Some(eye_height_mm)) = (options.inside, options.eye_height) else {
        return Ok(None);
    };
    let up_mm = eye_height_mm - options.stands_at.unwrap_or(0.0);
    if !(up_mm > 0.0 && up_mm < inside_mm[1]) {
        return Err(Stop::Refused(format!(
            "--eye-height puts the peephole {up_mm} mm above the cabinet's floor, must be within its height, 0 to {} mm\n  hint: for a cabinet on a stand say also how high its floor is, --stands-at \"1 m\"",
            inside_mm[1]
        )));
    }
    Ok(Some(StarterCabinet {
        inside_mm,
        eye_height_mm,
        stands_at_mm: options.stands_at,
    }))
}

/// The scenario, and what there is to say of the drawing.
fn from_drawing(
    title: &str,
    drawing: &Path,
    options: &DrawingOptions,
    cabinet: Option<StarterCabinet>,
) -> Result<(String, Vec<String>), Stop> {
    let file = drawing.display().to_string();
    let refuse = |why: &str| Stop::Refused(format!("{file}: {why}"));
    let format = DrawingFormat::of(drawing)
        .ok_or_else(|| refuse("a drawing's name must end in .svg, .csv or .obj"))?;
    if format != DrawingFormat::Solid && options.eye.is_some() {
        return Err(refuse(
            "is flat: --eye, --towards and --up are for a solid, an .obj",
        ));
    }
    if format != DrawingFormat::Svg && options.flatten.is_some() {
        return Err(refuse(
            "has no curves: --flatten is for a drawing with curves, an .svg",
        ));
    }
    let text = read_text_up_to(drawing, LARGEST_DRAWING_BYTES)?;
    let drawn = read_drawing(format, &file, &text, &settings(options))?;
    let mut told = vec![format!("the figure comes from {file}")];
    told.extend(drawn.told);
    let text = starter_from_drawing(title, &told, &drawn.vertices, &drawn.rods, cabinet)?;
    Ok((text, told))
}

fn settings(options: &DrawingOptions) -> DrawingSettings {
    const UPRIGHT: [f64; 3] = [0.0, 1.0, 0.0];
    let size = match (options.width, options.height) {
        (Some(mm), _) => FigureSize::WidthMm(mm),
        (None, Some(mm)) => FigureSize::HeightMm(mm),
        (None, None) => FigureSize::AsDrawn,
    };
    let view = match (options.eye, options.towards) {
        (Some(eye), Some(towards)) => Some(SolidView {
            eye,
            towards,
            up: options.up.unwrap_or(UPRIGHT),
        }),
        _ => None,
    };
    DrawingSettings {
        size,
        flatten_mm: options.flatten.unwrap_or(DrawingSettings::FLATTEN_MM),
        merge_mm: options.merge.unwrap_or(DrawingSettings::MERGE_MM),
        view,
    }
}
