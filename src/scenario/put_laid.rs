//! Puts a layout into a scenario's text and reads it back.

use super::problem::Problems;
use super::put::{NotPut, put_lines};
use super::read::read_scenario;
use crate::decision::laying::Laid;
use crate::figure::{Design, ScenarioLine};
use std::fmt;
use std::ops::Range;
use toml::de::DeTable;

/// Why a scenario with a layout put in is not to be had.
#[derive(Debug)]
pub enum NotLaid {
    /// A line could not be put in.
    NotPut(NotPut),
    /// The depths of the rods could not be found in the text.
    NoDepths,
    /// With the layout in it the scenario is refused.
    Refused(Problems),
    /// With the layout in it the scenario reads as another design.
    ReadsOtherwise,
}

impl fmt::Display for NotLaid {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotPut(why) => why.fmt(f),
            Self::NoDepths => write!(
                f,
                "the rods' depths could not be found in the scenario: put them in by hand"
            ),
            Self::Refused(problems) => {
                write!(f, "with this layout the scenario is refused:\n{problems}")
            }
            Self::ReadsOtherwise => write!(
                f,
                "with this layout the scenario reads as another design: put it in by hand"
            ),
        }
    }
}

/// Puts `laid` into the scenario's `text`: plates, picture plane, and the depths of the listed rods; all else stays as it is, with its
/// comments. `design` is the design with that layout, as which the text must read back.
///
/// # Errors
/// [`NotLaid`].
pub fn put_laid(
    file: &str,
    text: &str,
    laid: &Laid,
    design: &Design,
    read_file: &dyn Fn(&str) -> Result<String, String>,
) -> Result<String, NotLaid> {
    let line = |table, key, mm: f64| ScenarioLine {
        table,
        key,
        value: format!("\"{mm} mm\""),
    };
    let [front_mm, rear_mm] = laid.plates_mm;
    let lines = [
        line("cabinet", "front_plate", front_mm),
        line("cabinet", "rear_plate", rear_mm),
        line("figure", "picture_plane", laid.picture_plane_mm),
    ];
    let mut text = put_lines(text, &lines).map_err(NotLaid::NotPut)?;
    let places = depth_places(&text)
        .filter(|places| 2 * places.len() == laid.depths_mm.len())
        .ok_or(NotLaid::NoDepths)?;
    // from the last to the first, so that those before keep their places
    for (place, depths_mm) in places.into_iter().zip(laid.depths_mm.chunks(2)).rev() {
        let words = format!("[\"{} mm\", \"{} mm\"]", depths_mm[0], depths_mm[1]);
        text.replace_range(place, &words);
    }
    let read = read_scenario(file, &text, read_file).map_err(NotLaid::Refused)?;
    if reads_as(&read.plan.design, design) {
        Ok(text)
    } else {
        Err(NotLaid::ReadsOtherwise)
    }
}

/// Where the depths of each rod stand in the text, in order.
fn depth_places(text: &str) -> Option<Vec<Range<usize>>> {
    let document = DeTable::parse(text).ok()?;
    let rods = document.get_ref().get("rods")?.get_ref().as_table()?;
    let list = rods.get("list")?.get_ref().as_array()?;
    let places = list.iter().map(|rod| {
        let depths = rod.get_ref().as_table()?.get("depths")?;
        Some(depths.span())
    });
    places.collect()
}

/// Whether two designs have the same layout, to rounding.
fn reads_as(read: &Design, meant: &Design) -> bool {
    let near = |a: f64, b: f64| (a - b).abs() <= 1e-9 * a.abs().max(b.abs());
    let plates = read.plates.iter().zip(&meant.plates);
    let vertices = read.vertices.iter().zip(&meant.vertices);
    read.rods.len() == meant.rods.len()
        && read.depths_mm() == meant.depths_mm()
        && plates.into_iter().all(|(a, b)| a.z_mm == b.z_mm)
        && near(read.viewer.focus_mm, meant.viewer.focus_mm)
        && vertices.into_iter().all(|(a, b)| {
            a.name == b.name && (a.direction - b.direction).norm() <= 1e-9 * b.direction.norm()
        })
}
