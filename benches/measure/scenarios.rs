//! Designs of any size, written as scenario files so that the reader checks them.

use sightdrift::scenario::{EXAMPLES, Scenario, read_scenario};
use std::collections::BTreeSet;
use std::fmt::Write;

/// A design to be measured.
pub struct Case {
    /// Its name, fit for a file name.
    pub name: String,
    /// The scenario, read and checked.
    pub scenario: Scenario,
}

impl Case {
    /// Two nested polygons of `lines` vertices in all (an even number), joined by `rods` rods.
    pub fn polygons(lines: usize, rods: usize) -> Result<Self, String> {
        Self::read(
            format!("polygons-{lines}-lines-{rods}-rods"),
            &polygons(lines, rods),
        )
    }

    /// The shipped sailing boat.
    pub fn desk_boat() -> Result<Self, String> {
        Self::read("desk-boat".to_owned(), desk_boat_text()?)
    }

    fn read(name: String, text: &str) -> Result<Self, String> {
        let no_files = |_: &str| Err("no file is named".to_owned());
        let scenario =
            read_scenario(&name, text, &no_files).map_err(|problems| problems.to_string())?;
        Ok(Self { name, scenario })
    }

    /// How many lines.
    pub fn lines(&self) -> usize {
        self.scenario.plan.design.vertices.len()
    }

    /// How many rods.
    pub fn rods(&self) -> usize {
        self.scenario.plan.design.rods.len()
    }

    /// "10 lines, 11 rods".
    pub fn size(&self) -> String {
        format!("{} lines, {} rods", self.lines(), self.rods())
    }
}

/// The shipped sailing boat's file.
pub fn desk_boat_text() -> Result<&'static str, String> {
    EXAMPLES
        .iter()
        .find(|example| example.name == "desk-boat")
        .map(|example| example.text)
        .ok_or_else(|| "the example desk-boat is gone".to_owned())
}

/// The sailing boat with its stop rule off: it runs all its builds.
pub fn desk_boat_to_the_cap() -> Result<String, String> {
    let text = desk_boat_text()?;
    let kept: Vec<&str> = text
        .lines()
        .filter(|line| !line.starts_with("half_width"))
        .collect();
    if kept.len() + 1 != text.lines().count() {
        return Err("the example desk-boat no longer has one half_width to leave out".to_owned());
    }
    Ok(kept.join("\n") + "\n")
}

/// Radii of the two polygons on the picture plane, mm.
const RADII_MM: [f64; 2] = [80.0, 45.0];

/// Depths of rod ends: from here, in steps of the second, this many of them.
const DEPTHS_MM: (f64, f64, usize) = (350.0, 11.0, 17);

fn polygons(lines: usize, rods: usize) -> String {
    let corners = lines / 2;
    let mut text = String::from(HEAD);
    for (ring, radius_mm) in RADII_MM.into_iter().enumerate() {
        for corner in 0..corners {
            // the inner polygon stands half a step round, so that no spoke runs through the axis
            let turn = (corner as f64 + 0.5 * ring as f64) / corners as f64;
            let (sin, cos) = (std::f64::consts::TAU * turn).sin_cos();
            let _ = writeln!(
                text,
                "  {{ name = \"{}\", x = \"{:.4} mm\", y = \"{:.4} mm\" }},",
                vertex(ring, corner),
                radius_mm * cos,
                radius_mm * sin
            );
        }
    }
    text.push_str(CABINET);
    let (first_mm, step_mm, steps) = DEPTHS_MM;
    for (rod, [one, two]) in joined(corners, rods).into_iter().enumerate() {
        let depth_mm = |nth: usize| first_mm + step_mm * (nth % steps) as f64;
        let _ = writeln!(
            text,
            "  {{ lines = [\"{one}\", \"{two}\"], depths = [\"{} mm\", \"{} mm\"] }},",
            depth_mm(7 * rod),
            depth_mm(7 * rod + 3 + rod % 4),
        );
    }
    text.push_str(REST);
    text
}

fn vertex(ring: usize, corner: usize) -> String {
    format!("{}-{corner}", ["outer", "inner"][ring])
}

/// `rods` pairs of vertices: both outlines, then spokes spread around, then diagonals of growing stride.
fn joined(corners: usize, rods: usize) -> Vec<[String; 2]> {
    let ring = |ring: usize, stride: usize| {
        (0..corners).map(move |corner| {
            [
                vertex(ring, corner),
                vertex(ring, (corner + stride) % corners),
            ]
        })
    };
    let mut pairs: Vec<[String; 2]> = ring(0, 1).chain(ring(1, 1)).collect();
    let spokes = rods.saturating_sub(pairs.len()).min(corners);
    let around: BTreeSet<usize> = (0..spokes).map(|spoke| spoke * corners / spokes).collect();
    pairs.extend(
        around
            .into_iter()
            .map(|corner| [vertex(0, corner), vertex(1, corner)]),
    );
    for stride in 2..corners.div_ceil(2) {
        if pairs.len() >= rods {
            break;
        }
        pairs.extend(ring(0, stride).chain(ring(1, stride)));
    }
    pairs.truncate(rods);
    pairs
}

const HEAD: &str = "\
title = \"Two polygons\"
work = \"template-drilled\"

[figure]
picture_plane = \"400 mm\"
x_points = \"right\"
vertices = [
";

const CABINET: &str = "\
]

[cabinet]
front_plate = \"180 mm\"
rear_plate = \"560 mm\"
front_hole = \"0.5 mm\"
rear_hole = \"0.5 mm\"

[peephole]
diameter = \"9 mm\"
eye_relief = \"12 mm\"

[line]
material = \"nylon\"
diameter = \"0.25 mm\"
tension = \"8 N\"

[rods]
diameter = \"1.8 mm\"
material = \"bamboo\"
list = [
";

/// Every source of error is on: what stands nowhere takes the grade's default, lognormal tension and bow among them.
const REST: &str = "\
]

[eye]
luminance = \"200 cd/m2\"

[judging]
# limits that come from the acuity of some visitors and from the rods' thickness for others, wide enough that some looks hold
acuity_factor = 16
cover = 1.1
share_of_figure = 0

[run]
seed = 5
builds = 100000
looks = 16
";
