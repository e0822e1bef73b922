//! Figures from drawings: places worked out by hand from the rules of SVG, chords of a circle, ends that are joined, what is left out.

use sightdrift::scenario::{
    DrawingError, DrawingFormat, DrawingSettings, Drawn, FigureSize, SolidView, read_drawing,
};
use std::path::{Path, PathBuf};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/drawings_in")
}

fn settings() -> DrawingSettings {
    DrawingSettings {
        size: FigureSize::AsDrawn,
        flatten_mm: DrawingSettings::FLATTEN_MM,
        merge_mm: DrawingSettings::MERGE_MM,
        view: None,
    }
}

fn read_text(name: &str, text: &str, settings: &DrawingSettings) -> Result<Drawn, DrawingError> {
    let format = DrawingFormat::of(Path::new(name)).expect("a known ending");
    read_drawing(format, name, text, settings)
}

fn read_with(name: &str, settings: &DrawingSettings) -> Drawn {
    let text = std::fs::read_to_string(folder().join(name)).expect("a drawing");
    read_text(name, &text, settings).unwrap_or_else(|error| panic!("{error}"))
}

fn read(name: &str) -> Drawn {
    read_with(name, &settings())
}

/// Every rod by the places of its ends, mm.
fn rods_mm(drawn: &Drawn) -> Vec<[[f64; 2]; 2]> {
    let place = |name: &String| {
        let vertex = drawn.vertices.iter().find(|vertex| vertex.name == *name);
        vertex.expect("a rod's vertex").place_mm
    };
    drawn
        .rods
        .iter()
        .map(|[first, second]| [place(first), place(second)])
        .collect()
}

/// The drawing's numbers go through single precision, and places are written to a ten thousandth of a mm.
const PRECISION_MM: f64 = 2e-4;

fn assert_rods(drawn: &Drawn, expected: &[[[f64; 2]; 2]]) {
    let found = rods_mm(drawn);
    assert_eq!(found.len(), expected.len());
    for (nth, (found, expected)) in found.iter().zip(expected).enumerate() {
        for (found, expected) in found.iter().flatten().zip(expected.iter().flatten()) {
            assert!(
                (found - expected).abs() <= PRECISION_MM,
                "rod {nth}: {found} instead of {expected}"
            );
        }
    }
}

fn names(drawn: &Drawn) -> Vec<&str> {
    drawn
        .vertices
        .iter()
        .map(|vertex| vertex.name.as_str())
        .collect()
}

fn tells(drawn: &Drawn, words: &str) -> bool {
    drawn.told.iter().any(|sentence| sentence.contains(words))
}

#[test]
fn nested_transforms_act_from_the_innermost_outwards() {
    // SVG 2, section 8.5 (the transform property) and CSS Transforms 1, section 12: rotate(90) takes (x, y) to (−y, x), so the leg
    // runs from (0, 0) to (0, 20), doubled to (0, 40), moved to (100, 80)–(100, 120); matrix(1 0 .5 1 0 0) takes (x, y) to
    // (x + y/2, y). Section 8.6 (viewBox): 200 units are 100 mm. From the middle of 20–80 × 40–60 mm, y upwards. (Section numbers
    // from memory.)
    let drawn = read("stool.svg");
    assert_rods(
        &drawn,
        &[
            [[0.0, 10.0], [0.0, -10.0]],
            [[-30.0, 10.0], [0.0, 10.0]],
            // cut where the brace ends
            [[0.0, 10.0], [20.0, 10.0]],
            [[20.0, 10.0], [30.0, 10.0]],
            [[10.0, -10.0], [20.0, 10.0]],
        ],
    );
    assert_eq!(
        names(&drawn),
        ["leg_1", "leg_2", "seat_1", "seat_2", "brace_1", "brace_2"]
    );
}

#[test]
fn every_unit_of_length_is_what_it_is_by_the_standard() {
    // SVG 2, section 8.9 (units), and CSS Values and Units 3, section 6.2: 1 in = 2.54 cm = 25.4 mm = 72 pt = 6 pc = 96 px; 50 % of the
    // viewport's height of 3 in are 38.1 mm. The figure spans 0–50.8 × 25.4–38.1 mm.
    assert_rods(
        &read("bracket.svg"),
        // the shelf is cut where the post ends
        &[
            [[-25.4, 6.35], [0.0, 6.35]],
            [[0.0, 6.35], [25.4, 6.35]],
            [[0.0, 6.35], [0.0, -6.35]],
        ],
    );
}

#[test]
fn an_inner_view_box_keeps_its_proportions_and_use_moves_what_it_draws() {
    // SVG 2, sections 8.6 and 8.7 (viewBox, preserveAspectRatio: xMidYMid meet): 10 × 20 units into 40 × 40 at (10, 20) are doubled and
    // stand 10 in from the left, so (0, 0) is (20, 20) and (10, 20) is (40, 60). Section 5.5 (use): x and y move (0, 0)–(20, 0) to
    // (40, 60)–(60, 60). From the middle (40, 40), y upwards.
    assert_rods(
        &read("mast.svg"),
        &[[[-20.0, 20.0], [0.0, -20.0]], [[0.0, -20.0], [20.0, -20.0]]],
    );
}

#[test]
fn chords_of_a_circle_have_the_sagitta_that_was_stated_at_most() {
    // closed form: a chord c of a circle r has the sagitta r − √(r² − c²/4); for at most e, π / acos(1 − e/r) chords are needed
    let radius_mm = 50.0;
    for (flatten_mm, least_n) in [(2.0, 12), (0.5, 23), (0.1, 50)] {
        let drawn = read_with(
            "hoop.svg",
            &DrawingSettings {
                flatten_mm,
                ..settings()
            },
        );
        let rods = rods_mm(&drawn);
        let needed = (std::f64::consts::PI / (1.0 - flatten_mm / radius_mm).acos()).ceil();
        assert_eq!(needed, f64::from(least_n));
        assert!(rods.len() >= least_n as usize, "{} chords", rods.len());
        assert!(
            (rods.len() as f64) <= 1.6 * needed,
            "{} chords for {flatten_mm} mm, {needed} are needed",
            rods.len()
        );
        for [[x, y], [u, v]] in rods {
            // ends lie on a fine line along the four cubics, which are at most 2.73e-4 of the radius off the circle
            for off_mm in [x.hypot(y) - radius_mm, u.hypot(v) - radius_mm] {
                assert!(
                    off_mm.abs() <= 2.8e-4 * radius_mm + 0.002 * flatten_mm + PRECISION_MM,
                    "{off_mm}"
                );
            }
            let half = 0.5 * (x - u).hypot(y - v);
            let sagitta_mm = radius_mm - (radius_mm * radius_mm - half * half).sqrt();
            assert!(sagitta_mm <= flatten_mm, "{sagitta_mm} > {flatten_mm}");
            let middle_mm = (0.5 * (x + u)).hypot(0.5 * (y + v));
            assert!(radius_mm - middle_mm <= flatten_mm, "{middle_mm}");
        }
        // round and closed: as many vertices as rods
        assert_eq!(drawn.vertices.len(), drawn.rods.len());
        assert!(tells(&drawn, &format!("at most {flatten_mm} mm off")));
    }
}

#[test]
fn the_figure_is_as_wide_or_as_high_as_it_was_asked_to_be_and_centred() {
    for (size, wide_mm, high_mm) in [
        (FigureSize::WidthMm(150.0), 150.0, 50.0),
        (FigureSize::HeightMm(30.0), 90.0, 30.0),
    ] {
        let drawn = read_with("stool.svg", &DrawingSettings { size, ..settings() });
        for (axis, expected) in [(0, wide_mm), (1, high_mm)] {
            let places = drawn.vertices.iter().map(|vertex| vertex.place_mm[axis]);
            let low = places.clone().fold(f64::INFINITY, f64::min);
            let high = places.fold(f64::NEG_INFINITY, f64::max);
            assert!((high - low - expected).abs() <= 2.0 * PRECISION_MM);
            assert!((high + low).abs() <= 2.0 * PRECISION_MM);
        }
    }
}

#[test]
fn what_is_no_outline_is_left_out_and_told() {
    let drawn = read("sign.svg");
    for words in [
        "2 outlines were read",
        "1 without an outline (`lamp`)",
        "1 `text`, of text (turn letters into paths to have their outlines) (the first in line 14)",
        "1 `image`, an image; nothing is fetched (the first in line 15)",
        "1 hidden",
        "markers along outlines",
        "clipping and masks: whole outlines were taken",
    ] {
        assert!(tells(&drawn, words), "{words}: {:?}", drawn.told);
    }
    // the clip path's right half and the marker are not there, the whole board and its pole are
    assert!(
        names(&drawn)
            .iter()
            .all(|name| name.starts_with("board_") || name.starts_with("pole_"))
    );
    let right_mm = drawn.vertices.iter().map(|vertex| vertex.place_mm[0]);
    assert!((right_mm.fold(0.0, f64::max) - 50.0).abs() <= PRECISION_MM);
}

#[test]
fn a_shape_that_nobody_would_see_is_told_too() {
    // an upright line has no width, so a gradient over its box has nothing to paint on: SVG 2, section 13.2 (from memory)
    let text = "<svg xmlns='http://www.w3.org/2000/svg' width='90' height='90' fill='none'>
        <linearGradient id='blend'><stop stop-color='red'/><stop offset='1'/></linearGradient>
        <line id='seen' x2='50' y2='50' stroke='url(#blend)'/>
        <line id='upright' y2='50' stroke='url(#blend)'/>
        <line id='bare' x2='50'/>
        <line id='thin' x2='50' stroke='red' stroke-width='0'/></svg>";
    let drawn = read_text("d.svg", text, &settings()).expect("a drawing");
    assert_eq!(names(&drawn), ["seen_1", "seen_2"]);
    assert!(
        tells(&drawn, "3 without an outline (`upright`, `bare`, `thin`)"),
        "{:?}",
        drawn.told
    );
}

#[test]
fn near_ends_are_joined_and_what_is_there_twice_or_has_no_length_is_told() {
    let drawn = read("loose-ends.svg");
    // a square, and a short piece; 0.6 × 0.6 mm is 0.849 mm, 0.3 × 0.4 mm is 0.5 mm, 0.2 × 0.1 mm falls together
    assert_eq!(drawn.vertices.len(), 6);
    assert_eq!(drawn.rods.len(), 5);
    for words in [
        "3 points were moved onto another one no farther than 1 mm away, the farthest by 0.849 mm",
        "1 edge fell together with the points at its ends",
        "1 edge without length was dropped",
        "1 edge was there twice and is one rod",
        "1 point without an edge was dropped",
    ] {
        assert!(tells(&drawn, words), "{words}: {:?}", drawn.told);
    }
    let apart = read_with(
        "loose-ends.svg",
        &DrawingSettings {
            merge_mm: 0.05,
            ..settings()
        },
    );
    assert_eq!((apart.vertices.len(), apart.rods.len()), (10, 6));
    assert!(!tells(&apart, "moved"));
}

#[test]
fn a_table_of_vertices_and_edges_keeps_names_and_units() {
    // spans −35…38.1 × −55…60 mm, so the middle is (1.55, 2.5)
    let drawn = read("tripod.csv");
    assert_eq!(names(&drawn), ["head", "left", "right", "middle"]);
    assert_rods(
        &drawn,
        &[
            [[-1.55, 57.5], [-36.55, -47.5]],
            [[-1.55, 57.5], [36.55, -53.3]],
            [[0.45, -57.5], [-1.55, 57.5]],
        ],
    );
    assert!(tells(&drawn, "1 point without an edge was dropped"));
    // the same with semicolons and decimal commas
    let german = "vertex;a;-1,5;0\nvertex;b;1,5;0;cm\nedge;a;b\n";
    let drawn = read_text("t.csv", german, &settings()).expect("a table");
    assert_rods(&drawn, &[[[-8.25, 0.0], [8.25, 0.0]]]);
}

#[test]
fn edges_that_faces_and_lines_share_are_one_rod_each() {
    // a straight look along −z from (1, 1, 5): at z = 0 a unit is 400/5 = 80 mm, at z = 1 it is 400/4 = 100 mm
    let view = Some(SolidView {
        eye: [1.0, 1.0, 5.0],
        towards: [1.0, 1.0, 0.0],
        up: [0.0, 1.0, 0.0],
    });
    let drawn = read_with("stair.obj", &DrawingSettings { view, ..settings() });
    let (a, b, c, d) = ([-80.0, -80.0], [-80.0, 0.0], [0.0, 0.0], [0.0, 80.0]);
    let (e, f, g, h) = (
        [80.0, 80.0],
        [80.0, -80.0],
        [-100.0, -100.0],
        [100.0, -100.0],
    );
    assert_rods(
        &drawn,
        // four pieces of the line; the triangle's sides; three of the quadrilateral's, for its fourth is there already
        &[
            [a, b],
            [b, c],
            [c, d],
            [d, e],
            [e, f],
            [f, a],
            // cut at c, which lies on it as this eye sees it
            [a, c],
            [c, e],
            [f, h],
            [h, g],
            [g, a],
        ],
    );
    assert!(tells(&drawn, "2 faces and 1 line with 10 edges"));
    assert!(tells(&drawn, "left out: 1 × `curv`"));
}
