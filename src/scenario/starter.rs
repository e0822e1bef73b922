//! Starter scenarios: a built-in example, or a commented file around points that are given.

use std::fmt;
use std::fmt::Write;

/// A built-in example.
#[derive(Debug, Clone, Copy)]
pub struct Example {
    /// Name on the command line.
    pub name: &'static str,
    /// The whole file.
    pub text: &'static str,
}

/// The shipped scenarios.
pub const EXAMPLES: [Example; 4] = [
    Example {
        name: "carton-kite",
        text: include_str!("../../scenarios/carton-kite.toml"),
    },
    Example {
        name: "desk-boat",
        text: include_str!("../../scenarios/desk-boat.toml"),
    },
    Example {
        name: "gallery-bridge",
        text: include_str!("../../scenarios/gallery-bridge.toml"),
    },
    Example {
        name: "slack-windmill",
        text: include_str!("../../scenarios/slack-windmill.toml"),
    },
];

/// A vertex for a starter, mm on the picture plane.
#[derive(Debug, Clone, PartialEq)]
pub struct StarterVertex {
    /// Name.
    pub name: String,
    /// Place to the viewer's right and up, mm.
    pub place_mm: [f64; 2],
}

/// A rod for a starter: the names of its two vertices.
pub type StarterRod = [String; 2];

/// A cabinet for a starter, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StarterCabinet {
    /// Width, height and depth inside, the depth from the peephole's plate.
    pub inside_mm: [f64; 3],
    /// Height of the peephole above the cabinet's floor; of the eye above the ground where the floor's height is given.
    pub eye_height_mm: f64,
    /// Height of the cabinet's floor above the ground.
    pub stands_at_mm: Option<f64>,
}

/// Why points make no starter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum StarterError {
    /// Fewer than two vertices.
    TooFewVertices(usize),
    /// A rod names a vertex that is not there.
    UnknownVertex {
        /// The name.
        name: String,
        /// The vertices that were given.
        known: Vec<String>,
    },
    /// A rod joins a vertex to itself.
    SelfJoined(String),
}

impl fmt::Display for StarterError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFewVertices(count) => {
                write!(
                    f,
                    "{count} vertex was given, at least 2 are needed (--vertex NAME=X,Y for each)"
                )
            }
            Self::UnknownVertex { name, known } => write!(
                f,
                "a rod names the vertex `{name}`, which was not given with --vertex; given are: {}",
                known.join(", ")
            ),
            Self::SelfJoined(name) => write!(f, "a rod joins the vertex `{name}` to itself"),
        }
    }
}

impl std::error::Error for StarterError {}

/// Depths of rod ends in a starter: spread over the half of the cabinet away from the window, in steps that put two
/// rods that meet neither at one depth nor far apart.
const FIRST_DEPTH_MM: f64 = 400.0;
const DEPTH_STEP_MM: f64 = 15.0;
const DEPTH_STEPS: usize = 7;

/// The picture plane of every starter, mm from the station point.
pub const PICTURE_PLANE_MM: f64 = 400.0;

/// A commented scenario around a figure from a drawing; `told` says above the figure where it comes from, a sentence each.
///
/// # Errors
/// [`StarterError`] when the points make no figure.
pub fn starter_from_drawing(
    title: &str,
    told: &[String],
    vertices: &[StarterVertex],
    rods: &[StarterRod],
    cabinet: Option<StarterCabinet>,
) -> Result<String, StarterError> {
    let mut above = String::new();
    for sentence in told {
        let plain: String = sentence
            .chars()
            .map(|c| if c.is_control() { ' ' } else { c })
            .collect();
        let _ = writeln!(above, "# {plain}");
    }
    starter(title, &above, vertices, rods, cabinet)
}

/// A commented scenario around the given points. Without rods, they join the vertices in the order given, and close.
///
/// # Errors
/// [`StarterError`] when the points make no figure.
pub fn starter_from_points(
    title: &str,
    vertices: &[StarterVertex],
    rods: &[StarterRod],
    cabinet: Option<StarterCabinet>,
) -> Result<String, StarterError> {
    starter(title, "", vertices, rods, cabinet)
}

fn starter(
    title: &str,
    above_figure: &str,
    vertices: &[StarterVertex],
    rods: &[StarterRod],
    cabinet: Option<StarterCabinet>,
) -> Result<String, StarterError> {
    if vertices.len() < 2 {
        return Err(StarterError::TooFewVertices(vertices.len()));
    }
    let rods = if rods.is_empty() {
        closed_outline(vertices)
    } else {
        rods.to_vec()
    };
    for rod in &rods {
        for name in rod {
            if !vertices.iter().any(|vertex| vertex.name == *name) {
                return Err(StarterError::UnknownVertex {
                    name: name.clone(),
                    known: vertices.iter().map(|vertex| vertex.name.clone()).collect(),
                });
            }
        }
        if rod[0] == rod[1] {
            return Err(StarterError::SelfJoined(rod[0].clone()));
        }
    }
    let mut text = String::new();
    text.push_str(HEAD);
    let _ = writeln!(
        text,
        "title = {}\nwork = \"template-drilled\"\n",
        quoted(title)
    );
    text.push_str(above_figure);
    text.push_str(FIGURE);
    for vertex in vertices {
        let [x, y] = vertex.place_mm;
        let _ = writeln!(
            text,
            "  {{ name = {}, x = \"{x} mm\", y = \"{y} mm\" }},",
            quoted(&vertex.name)
        );
    }
    text.push_str("]\n");
    text.push_str(CABINET);
    // neighbours in the list meet, so their depths differ by a few steps and never by the whole range
    let depth_mm = |end: usize| {
        FIRST_DEPTH_MM
            + DEPTH_STEP_MM * ((end + 2 * (end / 2) + 2 * (end % 2)) % DEPTH_STEPS) as f64
    };
    for (nth, [first, second]) in rods.iter().enumerate() {
        let _ = writeln!(
            text,
            "  {{ lines = [{}, {}], depths = [\"{} mm\", \"{} mm\"] }},",
            quoted(first),
            quoted(second),
            depth_mm(2 * nth),
            depth_mm(2 * nth + 1)
        );
    }
    text.push_str("]\n");
    text.push_str(&allowed(cabinet));
    text.push_str(REST);
    Ok(text)
}

/// The table of bounds for a layout: live where the cabinet is given, else as a comment.
fn allowed(cabinet: Option<StarterCabinet>) -> String {
    let (mark, cabinet) = match cabinet {
        Some(cabinet) => ("", cabinet),
        None => (
            "# ",
            StarterCabinet {
                inside_mm: [300.0, 240.0, 600.0],
                eye_height_mm: 120.0,
                stands_at_mm: None,
            },
        ),
    };
    // what came out of inches is not written to the last bit
    let plain = |mm: f64| (mm * 1e4).round() / 1e4;
    let [width, height, depth] = cabinet.inside_mm.map(plain);
    let eye = plain(cabinet.eye_height_mm);
    let stands_at = match cabinet.stands_at_mm {
        Some(mm) => format!(
            "stands_at = \"{} mm\"            # the cabinet's floor above the ground",
            plain(mm)
        ),
        None => {
            "# stands_at = \"1 m\"            # the cabinet's floor above the ground".to_owned()
        }
    };
    format!(
        "
# The cabinet inside, for `sightdrift lay-out`, which chooses plates, scale and depths within it, and for `sightdrift sheets`
{mark}[allowed]
{mark}width = \"{width} mm\"
{mark}height = \"{height} mm\"
{mark}depth = \"{depth} mm\"          # from the peephole's plate to the rear wall
{mark}eye_height = \"{eye} mm\"     # of the peephole above the cabinet's floor; above the ground with stands_at
{stands_at}
# eye_from_left = \"150 mm\"     # else in the middle
# window_clearance = \"200 mm\"  # rods behind the front plate; else half of the way to the rear plate
# rod_gap = \"1 mm\"             # between rods, and between a rod and other lines
# holes_apart = \"1.5 mm\"       # from middle to middle; else three hole diameters
# smallest_figure = \"10 deg\"   # else half of what is drawn, and twice that
# largest_figure = \"25 deg\"
"
    )
}

fn closed_outline(vertices: &[StarterVertex]) -> Vec<StarterRod> {
    let count = vertices.len();
    let sides = if count == 2 { 1 } else { count };
    (0..sides)
        .map(|i| {
            [
                vertices[i].name.clone(),
                vertices[(i + 1) % count].name.clone(),
            ]
        })
        .collect()
}

/// A TOML basic string.
fn quoted(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}

const HEAD: &str = "\
# A starter scenario: change what stands here to what you have, then run
#   sightdrift check THIS-FILE     what was understood, with nominal figures
#   sightdrift assess THIS-FILE    builds and looks, and the report
#
# Quantities carry units: \"3 in\", \"0.4 mm\", \"12 arcmin\", \"2 N\", \"4 lbf\", \"0.9 g/m\". A bare number is in mm, arcmin, N, g/m,
# cd/m2, deg2, years or m/s2. All distances along the axis are measured from the station point, where the pupil is.
# `work` is the grade of work from which every source of error that you leave out takes its size:
# hand-pierced, template-drilled or machine-cut.

";

const FIGURE: &str = "\
[figure]
# the figure is drawn on a plane at this distance; every vertex is one line
picture_plane = \"400 mm\"
# which way x runs, as the viewer sees it (\"left\" is the cabinet's own right-handed frame)
x_points = \"right\"
vertices = [
";

const CABINET: &str = "
[cabinet]
front_plate = \"180 mm\"
rear_plate = \"560 mm\"
front_hole = \"0.5 mm\"
rear_hole = \"0.5 mm\"

[peephole]
diameter = \"9 mm\"
# from the pupil to the peephole's plate
eye_relief = \"12 mm\"
# a point that fills less than this share of the pupil is clipped
clip_below = 0.25
# a thick plate narrows the view of what lies off the axis
# plate_thickness = \"3 mm\"

[line]
material = \"nylon\"            # nylon, polyethylene-braid, steel-wire, cotton; or mass_per_length = \"0.06 g/m\"
diameter = \"0.25 mm\"
tension = \"8 N\"
# one line through all holes instead of one line each:
# threading = { order = [\"first\", \"second\"], friction = 0.2, tightened = \"each run\" }

[rods]
diameter = \"4 mm\"
material = \"birch\"            # bamboo, birch, balsa, paper-straw, acrylic, brass, steel; or mass_per_length
# bounds for better depths: what rods there are, and where they may hang (else those of the list)
# shortest = \"40 mm\"
# longest = \"200 mm\"
# nearest = \"300 mm\"
# farthest = \"530 mm\"
# each rod joins two lines; depths are those of its two ends
list = [
";

const REST: &str = "
# Sources of error: what stands here replaces the grade's default. A width says what it is: `sd`, `half_width` (a bound), or
# `plus_minus` with the `coverage` that it stands for. Forms: fixed, normal, uniform, triangular, arcsine, lognormal,
# truncated normal, disc, measured (a CSV column). \"off\" switches a source off.
[errors.plates]
# one value, \"0.3 mm\", would move every hole by it in the same way: a scatter needs a form
# hole_scatter = { form = \"normal\", plus_minus = \"0.3 mm\", coverage = 0.95 }

[errors.rod]
# all rods tied above the line, in a jig; \"random\" ties on any side, as hands do without one; \"off\" threads the line
# through the rod
tie = { direction = \"90 deg\" }

[eye]
luminance = \"200 cd/m2\"
# offset = { form = \"normal\", sd = \"0.8 mm\" }
# pupil = { luminance = \"200 cd/m2\", field_area = \"900 deg2\", age = \"40 years\" }

[judging]
finish = \"clean\"              # seamless, clean or legible
hold_share = 0.9              # a build passes when this share of its looks hold
clear_share = 0.8             # share of looks that should show the whole figure
target_yield = 0.9            # share of builds that should pass

[run]
seed = 1
builds = 20000
looks = 16
half_width = 0.005            # stop when the yield is known to ± this
";
