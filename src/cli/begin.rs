//! `begin`: a commented starter scenario.

use super::arguments::BeginOptions;
use super::files::{short_name, write_file};
use super::terminal::tell;
use super::{Exit, Stop};
use crate::scenario::{EXAMPLES, StarterVertex, read_scenario, starter_from_points};

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
                options
                    .title
                    .as_deref()
                    .unwrap_or(&short_name(&options.file)),
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
    tell(&format!(
        "written: {0}\nnext: sightdrift check {0}",
        options.file.display()
    ));
    Ok(Exit::Done)
}
