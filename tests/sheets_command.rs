//! `sheets` as a person runs it: what stands on its pages, measured; what its files for cutters hold, by readers of their own.

mod binary;
mod paper;
mod sheets;
mod support;

use binary::{Folder, shipped, stderr, stdout};
use paper::{Page, pages};
use sheets::{SHIPPED, allowed_of, plan_of};
use sightdrift::decision::workshop::{HolePattern, Paper};
use sightdrift::figure::Plate;
use support::dxf_pairs::DxfFile;

const FILES: [&str; 6] = [
    "front-pattern.dxf",
    "front-pattern.svg",
    "patterns.pdf",
    "rear-pattern.dxf",
    "rear-pattern.svg",
    "sheets.json",
];

/// Diameter of the axis' mark, mm.
const AXIS_MM: f64 = 4.0;

fn sheets_of(folder: &Folder, name: &str, paper: Paper) -> String {
    folder.write(&format!("{name}.toml"), &shipped(name));
    let out = format!("{name}-{}", paper.name());
    let file = format!("{name}.toml");
    let made = folder.run(&["sheets", &file, "--paper", paper.name(), "--out", &out]);
    assert_eq!(made.status.code(), Some(0), "{name}: {}", stderr(&made));
    assert_eq!(folder.names_in(&out), FILES);
    out
}

/// The pages of one plate's pattern.
fn pages_of(pages: &[Page], plate: Plate) -> Vec<&Page> {
    let heading = format!("Holesofthe{}plate,truesize", plate.word());
    let plain = |page: &Page| page.text.replace(' ', "");
    pages
        .iter()
        .filter(|page| plain(page).starts_with(&heading))
        .collect()
}

#[test]
fn every_page_has_the_paper_s_size_and_the_pattern_s_pages_true_scales() {
    let folder = Folder::new("sheets-scale");
    for name in SHIPPED {
        for paper in Paper::ALL {
            let out = sheets_of(&folder, name, paper);
            let found = pages(&folder.read(&format!("{out}/patterns.pdf")));
            let mut with_scales = 0;
            for page in &found {
                for (side, expected) in page.size_mm.iter().zip(paper.size_mm()) {
                    // a PDF's numbers are single precision
                    assert!((side - expected).abs() < 1e-3, "{name}: {side} mm");
                }
                let strokes = |length_mm: f64| {
                    page.paths
                        .iter()
                        .filter(|path| path.is_stroke_of(length_mm))
                        .count()
                };
                let is_pattern = page.text.replace(' ', "").contains("truesize");
                let expected = if is_pattern { [2, 1] } else { [0, 0] };
                assert_eq!([strokes(100.0), strokes(101.6)], expected, "{name}");
                with_scales += usize::from(is_pattern);
            }
            let both = Plate::BOTH.map(|plate| pages_of(&found, plate).len());
            assert!(both[0] >= 1 && both[1] >= 1 && with_scales == both[0] + both[1]);
        }
    }
}

#[test]
fn holes_lie_on_paper_where_the_plan_has_them_and_right_is_the_visitor_s_right() {
    let folder = Folder::new("sheets-holes");
    for name in SHIPPED {
        let plan = plan_of(name);
        let out = sheets_of(&folder, name, Paper::A4);
        let found = pages(&folder.read(&format!("{out}/patterns.pdf")));
        for plate in Plate::BOTH {
            let pattern = HolePattern::of(&plan, plate, None);
            let mut met = vec![false; pattern.places_mm.len()];
            let mut measured = 0;
            for page in pages_of(&found, plate) {
                let axis = page.circles_mm(AXIS_MM);
                let on_page = page.circles_mm(pattern.hole_mm);
                // register marks have the axis' size: of several the axis is the one from which all holes are where they should be
                let fits = |origin: &[f64; 2]| -> Option<Vec<usize>> {
                    let line_at = |at: &[f64; 2]| {
                        pattern.places_mm.iter().position(|place| {
                            // plan: +x to the viewer's left; PDF: +x to the right, +y up
                            let off = [at[0] - origin[0] - place.x, at[1] - origin[1] - place.y];
                            off[0].hypot(off[1]) < 2e-3
                        })
                    };
                    on_page.iter().map(line_at).collect()
                };
                if let Some(lines) = axis.iter().find_map(fits) {
                    measured += lines.len();
                    lines.into_iter().for_each(|line| met[line] = true);
                }
            }
            assert!(
                measured > 0,
                "{name}: no sheet of the {} plate has axis and holes",
                plate.word()
            );
            let one_sheet = pages_of(&found, plate).len() == 1;
            assert!(
                !one_sheet || met.iter().all(|met| *met),
                "{name} {}",
                plate.word()
            );
        }
    }
}

#[test]
fn tiles_joined_by_their_register_marks_hold_every_hole() {
    let folder = Folder::new("sheets-tiles");
    let plan = plan_of("desk-boat");
    let out = sheets_of(&folder, "desk-boat", Paper::Letter);
    let found = pages(&folder.read(&format!("{out}/patterns.pdf")));
    let tiles = pages_of(&found, Plate::Rear);
    assert_eq!(tiles.len(), 4);
    let pattern = HolePattern::of(&plan, Plate::Rear, None);
    // rings of 1 mm radius stand in the middle of register marks only
    let rings: Vec<Vec<[f64; 2]>> = tiles.iter().map(|page| page.circles_mm(2.0)).collect();
    assert!(rings.iter().all(|rings| rings.len() == 4), "{rings:?}");
    // lay sheet 2 on 1 and 3 on 1 and 4 on 2: rings in the overlap meet for one shift of the sheet, seen by two rings at once
    let mut shift = [[0.0; 2]; 4];
    for (from, to) in [(0, 1), (0, 2), (1, 3)] {
        let mut best = None;
        for a in &rings[from] {
            for b in &rings[to] {
                let moved = [a[0] - b[0], a[1] - b[1]];
                let meet = |ring: &&[f64; 2]| {
                    let at = [ring[0] + moved[0], ring[1] + moved[1]];
                    rings[from]
                        .iter()
                        .any(|other| (other[0] - at[0]).hypot(other[1] - at[1]) < 1e-2)
                };
                let far = moved[0].abs().max(moved[1].abs()) > 50.0;
                if far && rings[to].iter().filter(meet).count() == 2 {
                    best = Some(moved);
                }
            }
        }
        let moved = best.expect("two marks meet");
        shift[to] = [shift[from][0] + moved[0], shift[from][1] + moved[1]];
    }
    let mut holes: Vec<[f64; 2]> = Vec::new();
    for (page, shift) in tiles.iter().zip(shift) {
        for at in page.circles_mm(pattern.hole_mm) {
            let at = [at[0] + shift[0], at[1] + shift[1]];
            if !holes
                .iter()
                .any(|hole| (hole[0] - at[0]).hypot(hole[1] - at[1]) < 0.01)
            {
                holes.push(at);
            }
        }
    }
    assert_eq!(holes.len(), pattern.places_mm.len());
    let mean = |points: &[[f64; 2]], i: usize| {
        points.iter().map(|at| at[i]).sum::<f64>() / points.len() as f64
    };
    let places: Vec<[f64; 2]> = pattern.places_mm.iter().map(|at| [at.x, at.y]).collect();
    let off = [0, 1].map(|i| mean(&holes, i) - mean(&places, i));
    for place in &places {
        let at = [place[0] + off[0], place[1] + off[1]];
        let nearest = holes
            .iter()
            .map(|hole| (hole[0] - at[0]).hypot(hole[1] - at[1]));
        let nearest = nearest.fold(f64::INFINITY, f64::min);
        assert!(
            nearest < 0.01,
            "{place:?} is {nearest} mm off on the joined sheets"
        );
    }
}

#[test]
fn text_can_be_selected_and_says_what_the_workshop_needs() {
    let folder = Folder::new("sheets-text");
    let out = sheets_of(&folder, "carton-kite", Paper::A4);
    let found = pages(&folder.read(&format!("{out}/patterns.pdf")));
    let all: String = found
        .iter()
        .map(|page| page.text.replace(' ', ""))
        .collect();
    for words in [
        "Seenfromthepeephole,notmirrored",
        "actualsize",
        "Cutlistofrods",
        "Threadingorder",
        "Whattoget",
        "Steps",
        "Linesundertension",
        "Hygieneandreach",
        // nose-left as cut: 89.2 mm from line to line and a quarter of an inch at both ends
        "nose-left",
        "101.9",
    ] {
        assert!(all.contains(words), "no “{words}” on the pages");
    }
    let plan = plan_of("carton-kite");
    for caution in sightdrift::report::cautions(&plan) {
        assert!(
            all.contains(&caution.about.replace(' ', "")),
            "{}",
            caution.about
        );
    }
    let last = format!("page{}of{}", found.len(), found.len());
    assert!(found[found.len() - 1].text.replace(' ', "").contains(&last));
}

#[test]
fn the_files_for_cutters_are_in_true_millimetres() {
    let folder = Folder::new("sheets-cutters");
    for name in SHIPPED {
        let plan = plan_of(name);
        let allowed = allowed_of(name);
        let out = sheets_of(&folder, name, Paper::A4);
        for plate in Plate::BOTH {
            let pattern = HolePattern::of(&plan, plate, allowed.as_ref());
            let read = |kind: &str| {
                let file = format!("{out}/{}-pattern.{kind}", plate.word());
                String::from_utf8(folder.read(&file)).expect("UTF-8")
            };
            check_dxf(&DxfFile::read(&read("dxf")), &pattern);
            check_svg(&read("svg"), &pattern);
        }
    }
}

fn check_dxf(file: &DxfFile, pattern: &HolePattern) {
    let variable = |name: &str| {
        let found = file.header.iter().find(|(key, _)| key == name);
        found.map(|(_, value)| value.trim())
    };
    // 4: millimetres; 1: metric (DXF reference, HEADER section)
    assert_eq!(variable("$INSUNITS"), Some("4"));
    assert_eq!(variable("$MEASUREMENT"), Some("1"));
    for name in ["$TDCREATE", "$TDUPDATE", "$FINGERPRINTGUID", "$VERSIONGUID"] {
        assert_eq!(variable(name), None);
    }
    for layer in ["HOLES", "MARKS", "OUTLINE", "TEXT"] {
        assert!(file.layers.iter().any(|found| found == layer), "{layer}");
    }
    let holes = file.on("HOLES");
    assert_eq!(holes.len(), pattern.places_mm.len());
    for (hole, place) in holes.iter().zip(&pattern.places_mm) {
        assert_eq!(hole.kind, "CIRCLE");
        let found = [10, 20, 40].map(|code| hole.number(code));
        let expected = [place.x, place.y, pattern.hole_mm / 2.0];
        for (found, expected) in found.iter().zip(expected) {
            assert!((found - expected).abs() < 1e-9, "{found} {expected}");
        }
    }
    let texts = file.on("TEXT");
    assert_eq!(texts.len(), pattern.places_mm.len());
    assert_eq!([file.on("MARKS").len(), file.on("OUTLINE").len()], [2, 4]);
    let outline: Vec<f64> = file
        .on("OUTLINE")
        .iter()
        .map(|side| side.number(10))
        .collect();
    let span = outline.iter().copied().fold(f64::MIN, f64::max)
        - outline.iter().copied().fold(f64::MAX, f64::min);
    assert!((span - pattern.outline_mm.size_mm().x).abs() < 1e-9);
}

fn check_svg(text: &str, pattern: &HolePattern) {
    let document = roxmltree::Document::parse(text).expect("well-formed");
    let root = document.root_element();
    let size = pattern.outline_mm.size_mm();
    // twelve decimals at most
    let size = size.map(|mm| (mm * 1e12).round() / 1e12);
    let box_words = format!("0 0 {} {}", size.x, size.y);
    assert_eq!(root.attribute("viewBox"), Some(box_words.as_str()));
    assert_eq!(
        root.attribute("width"),
        Some(format!("{}mm", size.x).as_str())
    );
    assert_eq!(
        root.attribute("height"),
        Some(format!("{}mm", size.y).as_str())
    );
    let group = |id: &str| {
        root.children()
            .find(|node| node.attribute("id") == Some(id))
            .unwrap_or_else(|| panic!("no group {id}"))
    };
    let holes: Vec<[f64; 3]> = group("HOLES")
        .children()
        .filter(|node| node.has_tag_name("circle"))
        .map(|node| {
            ["cx", "cy", "r"].map(|key| {
                node.attribute(key)
                    .and_then(|value| value.parse().ok())
                    .expect("a number")
            })
        })
        .collect();
    assert_eq!(holes.len(), pattern.places_mm.len());
    for ([x, y, r], place) in holes.iter().zip(&pattern.places_mm) {
        let expected = [
            place.x - pattern.outline_mm.low.x,
            pattern.outline_mm.high.y - place.y,
            pattern.hole_mm / 2.0,
        ];
        for (found, expected) in [x, y, r].into_iter().zip(expected) {
            // written to a tenth of a micrometre
            assert!((found - expected).abs() < 6e-5, "{found} {expected}");
        }
    }
    for id in ["MARKS", "OUTLINE", "TEXT"] {
        assert!(group(id).has_children());
    }
}

#[test]
fn the_same_scenario_gives_the_same_bytes_at_any_hour_and_in_any_zone() {
    let folder = Folder::new("sheets-bytes");
    folder.write("mill.toml", &shipped("slack-windmill"));
    let mut all = Vec::new();
    for (out, zone) in [
        ("a", "UTC"),
        ("b", "Pacific/Auckland"),
        ("c", "America/Lima"),
    ] {
        let made = std::process::Command::new(env!("CARGO_BIN_EXE_sightdrift"))
            .args(["sheets", "mill.toml", "--out", out])
            .current_dir(folder.path())
            .env("TZ", zone)
            .output()
            .expect("the program can be started");
        assert!(made.status.success(), "{}", stderr(&made));
        all.push(FILES.map(|file| folder.read(&format!("{out}/{file}"))));
    }
    for (nth, file) in FILES.iter().enumerate() {
        assert!(
            all.iter().all(|one| one[nth] == all[0][nth]),
            "{file} differs"
        );
    }
}

#[test]
fn nothing_is_overwritten_unasked_and_no_foreign_file_is_touched() {
    let folder = Folder::new("sheets-folder");
    folder.write("kite.toml", &shipped("carton-kite"));
    let made = folder.run(&["sheets", "kite.toml"]);
    assert_eq!(made.status.code(), Some(0), "{}", stderr(&made));
    assert!(stdout(&made).contains("pages A4"), "{}", stdout(&made));
    assert_eq!(folder.names_in("reports/kite-sheets"), FILES);
    let before = folder.read("reports/kite-sheets/patterns.pdf");
    let again = folder.run(&["sheets", "kite.toml", "--paper", "letter"]);
    assert_eq!(again.status.code(), Some(2));
    assert!(stderr(&again).contains("--overwrite"), "{}", stderr(&again));
    assert!(folder.read("reports/kite-sheets/patterns.pdf") == before);
    let asked = folder.run(&["sheets", "kite.toml", "--paper", "letter", "--overwrite"]);
    assert_eq!(asked.status.code(), Some(0), "{}", stderr(&asked));
    assert!(folder.read("reports/kite-sheets/patterns.pdf") != before);
    folder.write("reports/kite-sheets/notes.txt", "mine");
    let foreign = folder.run(&["sheets", "kite.toml", "--overwrite"]);
    assert_eq!(foreign.status.code(), Some(2));
    assert!(
        stderr(&foreign).contains("notes.txt"),
        "{}",
        stderr(&foreign)
    );
    assert_eq!(folder.read("reports/kite-sheets/notes.txt"), b"mine");
    assert_eq!(folder.names_in("reports"), ["kite-sheets"]);
}

#[test]
fn bad_input_is_refused_and_leaves_nothing() {
    let folder = Folder::new("sheets-bad");
    folder.write("bad.toml", "title = 3\n");
    folder.write("kite.toml", &shipped("carton-kite"));
    for arguments in [
        &["sheets", "bad.toml"][..],
        &["sheets", "no.toml"],
        &["sheets", "kite.toml", "--paper", "a5"],
        &["sheets", "kite.toml", "--out", ".."],
    ] {
        let refused = folder.run(arguments);
        assert_eq!(refused.status.code(), Some(2), "{arguments:?}");
        assert!(!stderr(&refused).is_empty());
        assert_eq!(folder.names(), ["bad.toml", "kite.toml"], "{arguments:?}");
    }
}

#[test]
fn a_plate_too_large_for_paper_is_told_and_still_drawn_for_a_plotter() {
    let folder = Folder::new("sheets-large");
    let text = shipped("carton-kite").replace("rear_plate = \"15 in\"", "rear_plate = \"20 m\"");
    folder.write("large.toml", &text);
    let made = folder.run(&["sheets", "large.toml", "--out", "out"]);
    assert_eq!(made.status.code(), Some(0), "{}", stderr(&made));
    assert!(stderr(&made).contains("more than 60"), "{}", stderr(&made));
    assert!(
        stdout(&made).contains("too large for paper"),
        "{}",
        stdout(&made)
    );
    let found = pages(&folder.read("out/patterns.pdf"));
    assert_eq!(pages_of(&found, Plate::Rear).len(), 0);
    assert_eq!(pages_of(&found, Plate::Front).len(), 1);
    let json: serde_json::Value =
        serde_json::from_slice(&folder.read("out/sheets.json")).expect("JSON");
    assert_eq!(json["patterns"][1]["sheets"], serde_json::Value::Null);
    assert!(json["patterns"][1]["why_no_sheets"].is_string());
    assert_eq!(folder.names_in("out"), FILES);
}

#[test]
fn names_that_are_no_plain_letters_break_no_file() {
    let folder = Folder::new("sheets-names");
    let text = shipped("carton-kite")
        .replace("\"nose\"", "\"<n&\\\"ö> 鼻 🪁\"")
        .replace(
            "\"left\"",
            "\"a long name of a hole that fits beside no mark on any sheet\"",
        );
    folder.write("odd.toml", &text);
    let made = folder.run(&["sheets", "odd.toml", "--out", "out"]);
    assert_eq!(made.status.code(), Some(0), "{}", stderr(&made));
    assert!(!pages(&folder.read("out/patterns.pdf")).is_empty());
    let svg = String::from_utf8(folder.read("out/front-pattern.svg")).expect("UTF-8");
    let document = roxmltree::Document::parse(&svg).expect("well-formed");
    let texts: Vec<&str> = document
        .descendants()
        .filter_map(|node| node.text())
        .collect();
    assert!(
        texts.iter().any(|text| text.contains("<n&\"ö> 鼻 🪁")),
        "{texts:?}"
    );
    let dxf = String::from_utf8(folder.read("out/front-pattern.dxf")).expect("UTF-8");
    assert_eq!(DxfFile::read(&dxf).on("HOLES").len(), 5);
}

#[test]
fn the_json_holds_the_numbers_of_the_tables() {
    let folder = Folder::new("sheets-json");
    let out = sheets_of(&folder, "desk-boat", Paper::A4);
    let json: serde_json::Value =
        serde_json::from_slice(&folder.read(&format!("{out}/sheets.json"))).expect("JSON");
    let plan = plan_of("desk-boat");
    assert_eq!(json["schema"], 1);
    assert_eq!(json["threading"], serde_json::Value::Null);
    let rods = json["rods"].as_array().expect("rods");
    assert_eq!(rods.len(), plan.design.rods.len());
    for (rod, found) in rods.iter().enumerate() {
        let length = found["line_to_line_mm"].as_f64().expect("a number");
        let [a, b] = [0, 1].map(|end| plan.end_mm(2 * rod + end));
        assert!((length - (a - b).norm()).abs() < 1e-9);
    }
    let ends = json["rod_ends"].as_array().expect("ends");
    assert_eq!(ends.len(), 2 * rods.len());
    // the pennant's nearer tie of the mast's top: 30 mm before the rear plate, along a line that leaves the axis by 4 mm and
    // 84 mm in 400 mm
    let along = 30.0 * (1.0_f64 + 0.01 * 0.01 + 0.21 * 0.21).sqrt();
    let pennant = ends
        .iter()
        .find(|end| end["line"] == "mast-top" && end["rod"] == "pennant");
    let found = pennant.expect("an end")["from_rear_along_line_mm"]
        .as_f64()
        .expect("a number");
    assert!((found - along).abs() < 1e-9, "{found} {along}");
}
