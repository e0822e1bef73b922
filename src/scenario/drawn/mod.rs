//! A figure from a drawing: SVG outlines, a table of vertices and edges, or a solid seen by an eye, as vertices and rods.

mod edge_table;
mod net;
mod outline;
mod solid;
mod svg;
mod svg_survey;

use super::figure::{MOST_RODS, MOST_VERTICES};
use super::problem::Problems;
use super::starter::{PICTURE_PLANE_MM, StarterRod, StarterVertex};
use net::{Joined, Loose};
pub use solid::SolidView;
use std::fmt;
use std::path::Path;

/// Largest file of a drawing that is read, bytes.
pub const LARGEST_DRAWING_BYTES: u64 = 4 << 20;

/// What a drawing is written in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DrawingFormat {
    /// Scalable Vector Graphics.
    Svg,
    /// A CSV table of vertices and edges.
    EdgeTable,
    /// A solid's vertices, lines and faces (OBJ), seen by an eye.
    Solid,
}

impl DrawingFormat {
    /// The format that a file's ending says; `None` for any other ending.
    pub fn of(path: &Path) -> Option<Self> {
        let ending = path.extension()?.to_str()?.to_ascii_lowercase();
        match ending.as_str() {
            "svg" => Some(Self::Svg),
            "csv" => Some(Self::EdgeTable),
            "obj" => Some(Self::Solid),
            _ => None,
        }
    }
}

/// How large the figure is on the picture plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FigureSize {
    /// As the drawing says; a solid as the eye sees it.
    AsDrawn,
    /// This wide, mm.
    WidthMm(f64),
    /// This high, mm.
    HeightMm(f64),
}

/// What to make of a drawing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrawingSettings {
    /// Size on the picture plane.
    pub size: FigureSize,
    /// How far a rod may be off the curve that it stands for, mm on the picture plane.
    pub flatten_mm: f64,
    /// Points that are no farther apart are one, mm on the picture plane.
    pub merge_mm: f64,
    /// From where a solid is seen.
    pub view: Option<SolidView>,
}

impl DrawingSettings {
    /// The distance from curves unless told otherwise, mm.
    pub const FLATTEN_MM: f64 = 0.2;
    /// The distance of joining unless told otherwise, mm.
    pub const MERGE_MM: f64 = 1.0;
    /// Least and largest of both distances, mm.
    pub const DISTANCES_MM: [f64; 2] = [0.001, 100.0];
}

/// A figure that came from a drawing, centred on the axis (a solid: as the eye sees it).
#[derive(Debug, Clone, PartialEq)]
pub struct Drawn {
    /// Its vertices.
    pub vertices: Vec<StarterVertex>,
    /// Its rods, one an edge.
    pub rods: Vec<StarterRod>,
    /// What was read and how, and what was left out: one sentence each.
    pub told: Vec<String>,
}

/// Why a drawing makes no figure.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum DrawingError {
    /// Something in the file is wrong.
    Problems(Problems),
    /// The drawing as a whole, or how it is to be read, makes no figure.
    Refused(String),
}

impl fmt::Display for DrawingError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Problems(problems) => problems.fmt(f),
            Self::Refused(words) => f.write_str(words),
        }
    }
}

impl std::error::Error for DrawingError {}

impl From<Problems> for DrawingError {
    fn from(problems: Problems) -> Self {
        Self::Problems(problems)
    }
}

/// Reads a drawing. `file` is only its name in messages.
///
/// # Errors
/// [`DrawingError`], with the places of all that is wrong where the file tells them.
pub fn read_drawing(
    format: DrawingFormat,
    file: &str,
    text: &str,
    settings: &DrawingSettings,
) -> Result<Drawn, DrawingError> {
    if text.len() as u64 > LARGEST_DRAWING_BYTES {
        return Err(DrawingError::Refused(format!(
            "{file}: has {} bytes, the most is {LARGEST_DRAWING_BYTES}",
            text.len()
        )));
    }
    let mut told = Vec::new();
    let loose = match format {
        DrawingFormat::Svg => from_svg(file, text, settings, &mut told)?,
        DrawingFormat::EdgeTable => {
            let mut loose = edge_table::read_edge_table(file, text)?;
            let bounds = needed_bounds(file, loose.bounds_mm(), "no `edge` row")?;
            loose.place(centre(bounds), factor(file, bounds, settings.size)?);
            told.push(counted(
                loose.edges.len(),
                "edge was read",
                "edges were read",
            ));
            loose
        }
        DrawingFormat::Solid => from_solid(file, text, settings, &mut told)?,
    };
    joined(file, &loose, settings, told)
}

fn from_svg(
    file: &str,
    text: &str,
    settings: &DrawingSettings,
    told: &mut Vec<String>,
) -> Result<Loose, DrawingError> {
    let mut traced = svg::read_svg(file, text)?;
    let left_out = |words: &[String]| {
        if words.is_empty() {
            String::new()
        } else {
            format!("; left out: {}", words.join("; "))
        }
    };
    let found = outline::bounds_mm(&traced.outlines);
    let nothing = format!("nothing that has an outline{}", left_out(&traced.left_out));
    let bounds = needed_bounds(file, found, &nothing)?;
    let factor = factor(file, bounds, settings.size)?;
    let [x, y] = centre(bounds);
    for outline in &mut traced.outlines {
        outline.path.apply_affine(kurbo::Affine::new([
            factor,
            0.0,
            0.0,
            factor,
            -x * factor,
            -y * factor,
        ]));
    }
    let shapes = traced.outlines.len();
    told.push(counted(shapes, "outline was read", "outlines were read"));
    let flat = outline::flattened(&traced.outlines, settings.flatten_mm);
    if flat.too_many {
        return Err(too_large(file, "far more than", MOST_VERTICES, MOST_RODS));
    }
    if flat.curves_n > 0 {
        told.push(format!(
            "{}, at most {} mm off them",
            counted(
                flat.curves_n,
                "curve became straight rods",
                "curves became straight rods"
            ),
            rounded(flat.off_mm)
        ));
    }
    told.extend(
        traced
            .left_out
            .iter()
            .map(|words| format!("left out: {words}")),
    );
    Ok(flat.loose)
}

fn from_solid(
    file: &str,
    text: &str,
    settings: &DrawingSettings,
    told: &mut Vec<String>,
) -> Result<Loose, DrawingError> {
    let refused = |words: String| DrawingError::Refused(words);
    let view = settings.view.ok_or_else(|| {
        refused(format!(
            "{file}: a solid is drawn as an eye sees it; say where the eye is and where it looks\n  hint: --eye X,Y,Z --towards X,Y,Z, in the solid's own coordinates"
        ))
    })?;
    let frame = view.frame().map_err(refused)?;
    let mut solid = solid::read_solid(file, text, &frame, PICTURE_PLANE_MM)?;
    let bounds = needed_bounds(file, solid.loose.bounds_mm(), "no `l` and no `f`")?;
    let factor = factor(file, bounds, settings.size)?;
    // moved off the axis it would be seen from another place than it was drawn from
    solid.loose.place([0.0, 0.0], factor);
    told.push(format!(
        "{} and {} with {} were read, also those edges that an eye would not see",
        counted(solid.faces_n, "face", "faces"),
        counted(solid.lines_n, "line", "lines"),
        counted(solid.loose.edges.len(), "edge", "edges"),
    ));
    if factor != 1.0 {
        told.push(format!(
            "the figure is {} times as large as the eye sees the solid",
            rounded(factor)
        ));
    }
    told.extend(
        solid
            .left_out
            .iter()
            .map(|words| format!("left out: {words}")),
    );
    Ok(solid.loose)
}

/// Lowest and highest place, mm.
type Bounds = [[f64; 2]; 2];

fn needed_bounds(file: &str, bounds: Option<Bounds>, has: &str) -> Result<Bounds, DrawingError> {
    /// Beyond it no drawing has its places, mm.
    const FARTHEST_MM: f64 = 1e6;
    let bounds = bounds
        .ok_or_else(|| DrawingError::Refused(format!("{file}: has {has}: no rod comes of it")))?;
    if bounds.iter().flatten().all(|mm| mm.abs() <= FARTHEST_MM) {
        return Ok(bounds);
    }
    Err(DrawingError::Refused(format!(
        "{file}: reaches farther than {FARTHEST_MM} mm from its origin"
    )))
}

fn centre([low, high]: Bounds) -> [f64; 2] {
    [0, 1].map(|axis| 0.5 * (low[axis] + high[axis]))
}

/// By how much the drawing is to be enlarged.
fn factor(file: &str, [low, high]: Bounds, size: FigureSize) -> Result<f64, DrawingError> {
    let (axis, wanted_mm, what) = match size {
        FigureSize::AsDrawn => return Ok(1.0),
        FigureSize::WidthMm(mm) => (0, mm, "width"),
        FigureSize::HeightMm(mm) => (1, mm, "height"),
    };
    let found_mm = high[axis] - low[axis];
    if found_mm > 1e-6 {
        return Ok(wanted_mm / found_mm);
    }
    let other = ["height", "width"][axis];
    Err(DrawingError::Refused(format!(
        "{file}: the figure has no {what} that could be made {wanted_mm} mm\n  hint: say --{other}"
    )))
}

fn too_large(file: &str, are: &str, vertices: usize, rods: usize) -> DrawingError {
    DrawingError::Refused(format!(
        "{file}: {are} {vertices} vertices and {rods} rods come of it; at most {MOST_VERTICES} and {MOST_RODS} are possible\n  hint: a larger --flatten or --merge, or a simpler drawing"
    ))
}

/// Joins the points, and says what came of it.
fn joined(
    file: &str,
    loose: &Loose,
    settings: &DrawingSettings,
    mut told: Vec<String>,
) -> Result<Drawn, DrawingError> {
    let Some([low, high]) = loose.bounds_mm() else {
        return Err(DrawingError::Refused(format!(
            "{file}: no outline has any length: no rod comes of it"
        )));
    };
    let reach_mm = libm::hypot(low[0].abs().max(high[0]), low[1].abs().max(high[1]));
    if !(reach_mm < PICTURE_PLANE_MM) {
        return Err(DrawingError::Refused(format!(
            "{file}: the figure is {} × {} mm large and reaches {} mm from the axis on a picture plane {PICTURE_PLANE_MM} mm away; lines must run under 45° off the axis\n  hint: say how wide it is to be, --width \"160 mm\" is some 23°",
            rounded(high[0] - low[0]),
            rounded(high[1] - low[1]),
            rounded(reach_mm)
        )));
    }
    let mut net = loose.joined(settings.merge_mm);
    if net.edges.is_empty() {
        return Err(DrawingError::Refused(format!(
            "{file}: no edge is longer than the {} mm within which points are joined\n  hint: a smaller --merge, or a larger --width",
            rounded(settings.merge_mm)
        )));
    }
    if net.vertices.len() > MOST_VERTICES || net.edges.len() > MOST_RODS {
        return Err(too_large(file, "some", net.vertices.len(), net.edges.len()));
    }
    net.cut_at_vertices(settings.merge_mm);
    if net.edges.len() > MOST_RODS {
        return Err(too_large(file, "some", net.vertices.len(), net.edges.len()));
    }
    tell_joined(&net, settings, &mut told);
    told.push(format!(
        "the figure has {} and {} and is {} mm wide and {} mm high on a picture plane {PICTURE_PLANE_MM} mm away",
        counted(net.vertices.len(), "vertex", "vertices"),
        counted(net.edges.len(), "rod", "rods"),
        rounded(high[0] - low[0]),
        rounded(high[1] - low[1]),
    ));
    let name = |vertex: usize| net.vertices[vertex].0.clone();
    Ok(Drawn {
        rods: net.edges.iter().map(|ends| ends.map(name)).collect(),
        vertices: net
            .vertices
            .iter()
            .map(|(name, place_mm)| StarterVertex {
                name: name.clone(),
                place_mm: place_mm.map(to_file),
            })
            .collect(),
        told,
    })
}

fn tell_joined(net: &Joined, settings: &DrawingSettings, told: &mut Vec<String>) {
    if net.moved_n > 0 {
        told.push(format!(
            "{} onto another one no farther than {} mm away, the farthest by {} mm",
            counted(net.moved_n, "point was moved", "points were moved"),
            rounded(settings.merge_mm),
            rounded(net.farthest_moved_mm)
        ));
    }
    for (count, one, more) in [
        (
            net.fell_together_n,
            "edge fell together with the points at its ends",
            "edges fell together with the points at their ends",
        ),
        (
            net.without_length_n,
            "edge without length was dropped",
            "edges without length were dropped",
        ),
        (
            net.twice_n,
            "edge was there twice and is one rod",
            "edges were there already and are no rods of their own",
        ),
        (
            net.cut_n,
            "rod was cut where another vertex lies on it: that vertex's line would run through it",
            "rods were cut where other vertices lie on them: those vertices' lines would run through them",
        ),
        (
            net.alone_n,
            "point without an edge was dropped",
            "points without an edge were dropped",
        ),
    ] {
        if count > 0 {
            told.push(counted(count, one, more));
        }
    }
}

fn counted(count: usize, one: &str, more: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { more })
}

/// A number in a message: three places are more than a bench can set.
fn rounded(number: f64) -> f64 {
    (number * 1e3).round() / 1e3
}

/// A place in a scenario, mm: to a ten thousandth, and never −0.
fn to_file(mm: f64) -> f64 {
    (mm * 1e4).round() / 1e4 + 0.0
}
