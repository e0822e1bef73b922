//! `begin`: a commented starter scenario.

use super::arguments::BeginOptions;
use super::files::write_file;
use super::{Exit, Stop};
use crate::scenario::{EXAMPLES, StarterRod, StarterVertex, read_scenario, starter_from_points};

/// A starter figure for those who give no points: a house with a pitched roof.
const HOUSE: [(&str, [f64; 2]); 5] = [
    ("west-foot", [-50.0, -55.0]),
    ("east-foot", [50.0, -55.0]),
    ("east-eave", [50.0, 15.0]),
    ("ridge", [0.0, 60.0]),
    ("west-eave", [-50.0, 15.0]),
];

pub(super) fn begin(options: &BeginOptions) -> Result<Exit, Stop> {
    let text = match &options.example {
        Some(name) => EXAMPLES
            .iter()
            .find(|example| example.name == name)
            .map(|example| example.text.to_owned())
            .ok_or_else(|| Stop::Refused(format!("there is no example `{name}`")))?,
        None => {
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
            let text = starter_from_points(
                options.title.as_deref().unwrap_or("My figure"),
                vertices,
                &options.rod,
            )?;
            // what it writes must be readable: points can be too far apart, or two of them at one place
            read_scenario(&options.file.display().to_string(), &text, &|_| {
                Err("no file is named".to_owned())
            })?;
            text
        }
    };
    write_file(&options.file, text.as_bytes(), options.overwrite)?;
    eprintln!(
        "written: {0}\nnext: sightdrift check {0}",
        options.file.display()
    );
    Ok(Exit::Done)
}

/// `NAME=X,Y`, mm.
pub(super) fn vertex(text: &str) -> Result<StarterVertex, String> {
    let wrong = || format!("`{text}` is not NAME=X,Y (in mm), for example tip=0,55");
    let (name, place) = text.split_once('=').ok_or_else(wrong)?;
    let (x, y) = place.split_once(',').ok_or_else(wrong)?;
    let number = |text: &str| {
        text.trim()
            .parse::<f64>()
            .ok()
            .filter(|number| number.is_finite())
            .ok_or_else(wrong)
    };
    if name.trim().is_empty() {
        return Err(wrong());
    }
    Ok(StarterVertex {
        name: name.trim().to_owned(),
        place_mm: [number(x)?, number(y)?],
    })
}

/// `NAME:NAME`.
pub(super) fn rod(text: &str) -> Result<StarterRod, String> {
    match text.split_once(':') {
        Some((first, second)) if !first.trim().is_empty() && !second.trim().is_empty() => {
            Ok([first.trim().to_owned(), second.trim().to_owned()])
        }
        _ => Err(format!("`{text}` is not NAME:NAME, for example tip:foot")),
    }
}
