//! What `begin` is given: points, a drawing, a cabinet.

use crate::scenario::{DrawingSettings, StarterRod, StarterVertex};
use crate::units::{Kind, read_quantity};
use clap::Args;
use std::path::PathBuf;

#[derive(Debug, Args)]
pub(super) struct BeginOptions {
    /// The scenario to write
    pub file: PathBuf,
    /// Start from a built-in example
    #[arg(long, value_name = "NAME", conflicts_with_all = ["vertex", "rod", "title"], value_parser = crate::scenario::EXAMPLES.map(|example| example.name))]
    pub example: Option<String>,
    /// A vertex of the figure, to the viewer's right and up, in mm on a picture plane 400 mm away; repeat for each
    #[arg(long, value_name = "NAME=X,Y", value_parser = vertex, allow_hyphen_values = true)]
    pub vertex: Vec<StarterVertex>,
    /// A rod between two vertices; repeat for each [default: the vertices in order, closed]
    #[arg(long, value_name = "NAME:NAME", value_parser = rod, requires = "vertex")]
    pub rod: Vec<StarterRod>,
    /// Title of the figure
    #[arg(long, value_name = "TEXT")]
    pub title: Option<String>,
    #[command(flatten)]
    pub drawn: DrawingOptions,
    /// Width, height and depth of the cabinet inside, for example "300 mm, 240 mm, 600 mm"; lay-out then chooses within it
    #[arg(long, value_name = "W,H,D", value_parser = sides_mm, requires = "eye_height", conflicts_with = "example")]
    pub inside: Option<[f64; 3]>,
    /// Height of the peephole above the cabinet's floor, or of the eye above the ground with --stands-at
    #[arg(long, value_name = "LENGTH", value_parser = size_mm, requires = "inside")]
    pub eye_height: Option<f64>,
    /// Height of the cabinet's floor above the ground on which the visitor stands
    #[arg(long, value_name = "LENGTH", value_parser = size_mm, requires = "inside")]
    pub stands_at: Option<f64>,
    /// Replace a file that is already there
    #[arg(long)]
    pub overwrite: bool,
}

/// Where a figure comes from that was drawn.
#[derive(Debug, Args)]
pub(super) struct DrawingOptions {
    /// Take the figure from a drawing: outlines of an .svg, a .csv of rows `vertex,name,x,y[,unit]` and `edge,from,to`, or a
    /// solid's edges in an .obj
    #[arg(long, value_name = "FILE", conflicts_with_all = ["vertex", "rod", "example"])]
    pub drawing: Option<PathBuf>,
    /// Width of the figure on the picture plane 400 mm away, for example "200 mm" [default: as drawn]
    #[arg(long, value_name = "LENGTH", value_parser = size_mm, requires = "drawing", conflicts_with = "height")]
    pub width: Option<f64>,
    /// Height of the figure on the picture plane, instead of its width
    #[arg(long, value_name = "LENGTH", value_parser = size_mm, requires = "drawing")]
    pub height: Option<f64>,
    /// How far rods may be off the curve that they stand for, on the picture plane [default: 0.2 mm]
    #[arg(long, value_name = "LENGTH", value_parser = distance_mm, requires = "drawing")]
    pub flatten: Option<f64>,
    /// Ends that are no farther apart become one vertex [default: 1 mm]
    #[arg(long, value_name = "LENGTH", value_parser = distance_mm, requires = "drawing")]
    pub merge: Option<f64>,
    /// The eye that sees a solid, in the solid's own coordinates
    #[arg(long, value_name = "X,Y,Z", value_parser = triple, allow_hyphen_values = true, requires_all = ["drawing", "towards"])]
    pub eye: Option<[f64; 3]>,
    /// The point of the solid that lies straight ahead, on the axis
    #[arg(long, value_name = "X,Y,Z", value_parser = triple, allow_hyphen_values = true, requires = "eye")]
    pub towards: Option<[f64; 3]>,
    /// The direction that is seen upright [default: 0,1,0]
    #[arg(long, value_name = "X,Y,Z", value_parser = triple, allow_hyphen_values = true, requires = "eye")]
    pub up: Option<[f64; 3]>,
}

/// A length between two bounds, mm; a bare number is in mm.
fn length_mm(text: &str, [least, most]: [f64; 2]) -> Result<f64, String> {
    let found = match text.trim().parse::<f64>() {
        Ok(mm) => Some(mm),
        Err(_) => read_quantity(text, Kind::Length).ok(),
    };
    found
        .filter(|mm| *mm >= least && *mm <= most)
        .ok_or_else(|| {
            format!(
                "`{text}` is not a length from {least} mm to {most} mm with its unit, for example \"12 mm\" or \"0.5 in\""
            )
        })
}

/// A size of the figure, mm.
fn size_mm(text: &str) -> Result<f64, String> {
    length_mm(text, [1.0, 10_000.0])
}

/// A distance within which something counts as the same, mm.
fn distance_mm(text: &str) -> Result<f64, String> {
    length_mm(text, DrawingSettings::DISTANCES_MM)
}

/// Three lengths with commas between them, mm.
fn sides_mm(text: &str) -> Result<[f64; 3], String> {
    let sides: Vec<f64> = text
        .split(',')
        .map(|side| size_mm(side.trim()))
        .collect::<Result<_, _>>()?;
    <[f64; 3]>::try_from(sides).map_err(|sides| {
        format!(
            "`{text}` has {} lengths, needed are width, height and depth, for example \"300 mm, 240 mm, 600 mm\"",
            sides.len()
        )
    })
}

/// `X,Y,Z`.
fn triple(text: &str) -> Result<[f64; 3], String> {
    let numbers: Option<Vec<f64>> = text
        .split(',')
        .map(|number| number.trim().parse::<f64>().ok())
        .collect();
    numbers
        .and_then(|numbers| <[f64; 3]>::try_from(numbers).ok())
        .filter(|numbers| numbers.iter().all(|number| number.abs() <= 1e9))
        .ok_or_else(|| format!("`{text}` is not X,Y,Z within ± 1e9, for example 300,-800,450"))
}

/// `NAME=X,Y`, mm.
fn vertex(text: &str) -> Result<StarterVertex, String> {
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
fn rod(text: &str) -> Result<StarterRod, String> {
    match text.split_once(':') {
        Some((first, second)) if !first.trim().is_empty() && !second.trim().is_empty() => {
            Ok([first.trim().to_owned(), second.trim().to_owned()])
        }
        _ => Err(format!("`{text}` is not NAME:NAME, for example tip:foot")),
    }
}
