//! `lay-out` as a person runs it: words, files, the scenario with the layout, what it refuses.

mod binary;

use binary::{Folder, shipped, stderr, stdout};
use sightdrift::scenario::read_scenario;

const BUILDS: [&str; 4] = ["--builds", "400", "--looks", "4"];

fn lay_out<'a>(arguments: &[&'a str]) -> Vec<&'a str> {
    let mut all = vec!["lay-out"];
    all.extend(arguments);
    all.extend(BUILDS);
    all
}

/// The rules that the scenario's own layout breaks.
fn rules_broken_as_it_is(found: &serde_json::Value) -> Vec<&str> {
    let own = found["as_it_is"]["breaks"].as_array().expect("a list");
    own.iter().filter_map(|one| one["rule"].as_str()).collect()
}

#[test]
fn the_scenario_with_the_layout_is_what_was_told_and_holds_as_promised() {
    for name in ["carton-kite", "slack-windmill"] {
        let folder = Folder::new(&format!("lay-out-{name}"));
        let text = shipped(name);
        folder.write("a.toml", &text);
        let found = folder.json(&lay_out(&["a.toml", "--out", "r", "--json"]));
        assert_eq!(found["schema"], 1);
        assert_eq!(
            folder.names_in("r"),
            [
                "cabinet.png",
                "cabinet.svg",
                "laid-out.toml",
                "lay-out.json",
                "report.html"
            ]
        );
        let laid = String::from_utf8(folder.read("r/laid-out.toml")).expect("UTF-8");
        // comments and all that is not laid out stay
        assert_eq!(laid.lines().count(), text.lines().count(), "{name}");
        for (now, before) in laid.lines().zip(text.lines()) {
            let is_laid_out = ["front_plate", "rear_plate", "picture_plane", "depths ="]
                .iter()
                .any(|key| before.contains(key));
            assert!(now == before || is_laid_out, "{name}: {now}");
        }
        let no_files = |_: &str| Err("no file is named".to_owned());
        let read = read_scenario("laid-out.toml", &laid, &no_files).expect("a scenario");
        let told = &found["laid_out"];
        let number = |value: &serde_json::Value| value.as_f64().expect("a number");
        assert_eq!(
            read.plan.design.plates.map(|plate| plate.z_mm),
            [
                number(&told["front_plate_mm"]),
                number(&told["rear_plate_mm"])
            ]
        );
        let depths: Vec<f64> = told["rods"]
            .as_array()
            .expect("rods")
            .iter()
            .flat_map(|rod| [0, 1].map(|end| number(&rod["depths_mm"][end])))
            .collect();
        assert_eq!(read.plan.design.depths_mm(), depths, "{name}");
        assert!((read.plan.figure_rad.to_degrees() - number(&told["figure_deg"])).abs() < 1e-9);
        assert_eq!(found["meets_target"], true, "{name}");
        assert_eq!(told["breaks"].as_array().expect("a list").len(), 0);
        assert_eq!(rules_broken_as_it_is(&found), [""; 0], "{name}");
        // acted on, with numbers that had no part in it
        folder.write("b.toml", &laid);
        let assessed = folder.json(&[
            "assess", "b.toml", "--builds", "4000", "--looks", "8", "--seed", "991", "--json",
            "--out", "s",
        ]);
        assert!(number(&assessed["yield"]["share"]) >= 0.9, "{name}");
    }
}

#[test]
fn the_answer_is_the_same_bytes_at_any_number_of_threads() {
    let folder = Folder::new("lay-out-threads");
    folder.write("a.toml", &shipped("slack-windmill"));
    for aim in ["robustness", "scatter"] {
        for (threads, out) in [("1", "one"), ("3", "three")] {
            let arguments = ["a.toml", "--for", aim, "--threads", threads, "--out", out];
            let mut all = lay_out(&arguments);
            all.push("--overwrite");
            let told = folder.run(&all);
            assert_eq!(told.status.code(), Some(0), "{}", stderr(&told));
        }
        for file in folder.names_in("one") {
            assert!(
                folder.read(&format!("one/{file}")) == folder.read(&format!("three/{file}")),
                "{aim}: {file}"
            );
        }
    }
}

#[test]
fn words_say_what_bound_each_choice_and_sheets_take_the_layout() {
    let folder = Folder::new("lay-out-words");
    folder.write("a.toml", &shipped("desk-boat"));
    let told = folder.run(&lay_out(&["a.toml", "--out", "r"]));
    let words = stdout(&told);
    for part in [
        "what bound each choice",
        "front plate: ",
        "rear plate: ",
        "picture plane: ",
        "within what it was chosen",
        "(the scenario (window_clearance))",
        "proves none to be the best",
        "read back by its reader",
    ] {
        assert!(words.contains(part), "`{part}` is not in:\n{words}");
    }
    let page = String::from_utf8(folder.read("r/report.html")).expect("UTF-8");
    assert!(page.contains("What bound each choice") && page.contains("Cautions"));
    // the boat's own deck touches a line, which its file says
    let found: serde_json::Value =
        serde_json::from_slice(&folder.read("r/lay-out.json")).expect("JSON");
    assert_eq!(
        rules_broken_as_it_is(&found),
        ["line mast-foot would touch rod deck"]
    );
    let made = folder.run(&["sheets", "r/laid-out.toml", "--out", "s"]);
    assert_eq!(made.status.code(), Some(0), "{}", stderr(&made));
    let svg = String::from_utf8(folder.read("s/front-pattern.svg")).expect("UTF-8");
    assert!(svg.contains("width=\"320mm\" height=\"260mm\""), "{svg}");
    assert!(svg.contains("The outline is the inside of the cabinet."));
    let json: serde_json::Value =
        serde_json::from_slice(&folder.read("s/sheets.json")).expect("JSON");
    assert_eq!(json["patterns"][1]["outline_mm"]["left"], -160.0);
    assert_eq!(json["patterns"][1]["outline_mm"]["top"], 135.0);
}

#[test]
fn what_is_wrong_in_the_bounds_is_told_all_at_once_with_its_places() {
    let folder = Folder::new("lay-out-bad");
    let boat = shipped("desk-boat");
    let (before, _) = boat.split_once("[allowed]").expect("a table [allowed]");
    let (_, after) = boat
        .split_once("[errors.rod]")
        .expect("a table [errors.rod]");
    let with = |table: &str| format!("{before}{table}\n[errors.rod]{after}");
    let line = before.lines().count() + 1;
    folder.write(
        "bad.toml",
        &with(
            "[allowed]\nwidth = \"-3 mm\"\nheight = \"20 furlong\"\neye_height = \"1 m\"\nleast_spread = 2\nrod_gap = \"-1 mm\"\nsmallest_figure = \"20 deg\"\nlargest_figure = \"10 deg\"\nwindw_clearance = 3\n",
        ),
    );
    let told = folder.run(&["lay-out", "bad.toml"]);
    assert_eq!(told.status.code(), Some(2));
    let words = stderr(&told);
    for (down, part) in [
        (1, "width is \"-3 mm\""),
        (2, "furlong"),
        (4, "least_spread is 2, must be from 0 to 0.5"),
        (5, "rod_gap is \"-1 mm\", must be 0 or more"),
        (
            6,
            "smallest_figure is \"20 deg\", must not be above largest_figure",
        ),
        (8, "unknown key `windw_clearance` in [allowed]"),
    ] {
        let place = format!("bad.toml:{}:", line + down);
        let is_told = words
            .lines()
            .any(|line| line.starts_with(&place) && line.contains(part));
        assert!(is_told, "{place} {part} is not in:\n{words}");
    }
    assert!(words.contains("has no `depth`"), "{words}");
    // an eye outside the cabinet
    folder.write(
        "eye.toml",
        &with("[allowed]\nwidth = 300\nheight = 200\ndepth = 600\neye_height = \"1.5 m\"\n"),
    );
    let words = stderr(&folder.run(&["check", "eye.toml"]));
    assert!(
        words.contains("must be within the cabinet's height, 0 to 200 mm"),
        "{words}"
    );
    // no table at all
    folder.write("none.toml", &with(""));
    let told = folder.run(&["lay-out", "none.toml"]);
    assert_eq!(told.status.code(), Some(2));
    assert!(
        stderr(&told).contains("has no table [allowed]"),
        "{}",
        stderr(&told)
    );
    // nothing is written where nothing can be laid out, and nothing is overwritten unasked
    folder.write(
        "small.toml",
        &with("[allowed]\nwidth = 30\nheight = 30\ndepth = 300\neye_height = 15\n"),
    );
    let told = folder.run(&lay_out(&["small.toml", "--out", "r"]));
    assert_eq!(told.status.code(), Some(2));
    assert!(stderr(&told).contains("no layout was found that keeps all rules"));
    assert_eq!(
        folder.names(),
        ["bad.toml", "eye.toml", "none.toml", "small.toml"]
    );
    folder.write("a.toml", &boat);
    assert_eq!(
        folder
            .run(&lay_out(&["a.toml", "--out", "r"]))
            .status
            .code(),
        Some(0)
    );
    let again = folder.run(&lay_out(&["a.toml", "--out", "r"]));
    assert_eq!(again.status.code(), Some(2));
    assert!(stderr(&again).contains("--overwrite"), "{}", stderr(&again));
}
