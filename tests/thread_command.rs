//! `thread` as a person runs it: words, JSON, picture, the lines for the scenario, what it refuses.

mod binary;
mod sheets;

use binary::{Folder, shipped, stderr, stdout};
use serde_json::Value;
use sheets::SHIPPED;
use sightdrift::decision::threading::{Led, ThreadSettings, thread};
use sightdrift::figure::{Plan, Threading, Vertex};
use sightdrift::geometry::Pair;
use sightdrift::mechanics::{PulledAt, Tightening};
use sightdrift::report::drawing::thread_drawing;
use sightdrift::scenario::{NotThreaded, put_threading, read_scenario};

fn no_files(_: &str) -> Result<String, String> {
    Err("no file is named".to_owned())
}

#[test]
fn every_shipped_scenario_is_threaded_and_the_order_acted_on_is_then_the_best() {
    for name in SHIPPED {
        let folder = Folder::new(&format!("thread-{name}"));
        folder.write("a.toml", &shipped(name));
        let told = folder.run(&["thread", "a.toml", "--out", "b.toml", "--picture", "p.svg"]);
        assert_eq!(told.status.code(), Some(0), "{name}: {}", stderr(&told));
        assert!(stdout(&told).contains("Wear eye protection"), "{name}");
        assert!(
            stdout(&told).contains("read back by the scenario's reader"),
            "{name}"
        );
        assert_eq!(folder.names(), ["a.toml", "b.toml", "p.svg"]);
        let before = folder.json(&["thread", "a.toml", "--json"]);
        let after = folder.json(&["thread", "b.toml", "--json"]);
        assert_eq!(after["present_is_best"], true, "{name}");
        for key in ["order", "enters", "crossings", "ways_mm"] {
            assert_eq!(after["present"][key], before["best"][key], "{name}: {key}");
        }
        assert_eq!(before["proof"]["least_line"], true);
        assert_eq!(before["read_back"], true);
        let line = &before["line"];
        let number = |key: &str| line[key].as_f64().expect("a number");
        let sum = number("runs_mm") + number("ways_mm") + 2.0 * number("each_anchor_mm");
        assert!((number("all_mm") - sum).abs() < 1e-9);
        assert!((number("all_ft") * 304.8 - sum).abs() < 1e-9);
        // the rest of the scenario is as it was
        let text = String::from_utf8(folder.read("b.toml")).expect("UTF-8");
        assert!(text.starts_with(shipped(name).lines().next().expect("a comment")));
    }
}

#[test]
fn steps_lead_through_every_hole_once_over_the_plate_where_the_line_came_out() {
    let folder = Folder::new("thread-steps");
    folder.write("a.toml", &shipped("desk-boat"));
    let found = folder.json(&["thread", "a.toml", "--json"]);
    let words = |value: &Value| value.as_str().expect("words").to_owned();
    let best = &found["best"];
    let order: Vec<String> = best["order"]
        .as_array()
        .expect("names")
        .iter()
        .map(words)
        .collect();
    let steps: Vec<String> = found["steps"]
        .as_array()
        .expect("steps")
        .iter()
        .map(words)
        .collect();
    assert_eq!(order.len(), steps.len());
    let mut at = words(&best["enters"]);
    for (name, step) in order.iter().zip(&steps) {
        let out = if at == "front" { "rear" } else { "front" };
        assert!(
            step.contains(&format!("through {at} hole {name} to {out} hole {name}")),
            "{step}"
        );
        assert!(step.contains(&format!("outside of the {at} plate")) || step.contains("Anchor"));
        at = out.to_owned();
    }
    assert!(
        steps
            .last()
            .expect("a step")
            .contains("knot and anchor the end")
    );
    let runs = found["tension"]["runs"].as_array().expect("runs");
    let pulled = runs.iter().filter(|run| run["pulled_here"] == true).count();
    assert_eq!(
        found["tighten"].as_array().expect("steps").len(),
        pulled + 1
    );
}

#[test]
fn options_change_what_they_say_and_nothing_else() {
    let folder = Folder::new("thread-options");
    folder.write("a.toml", &shipped("carton-kite"));
    let plain = folder.json(&["thread", "a.toml", "--json"]);
    let other = folder.json(&[
        "thread",
        "a.toml",
        "--json",
        "--anchor",
        "4 in",
        "--friction",
        "0.3",
        "--keep",
        "0.9",
    ]);
    assert_eq!(plain["best"], other["best"]);
    let number = |value: &Value| value.as_f64().expect("a number");
    let shorter = number(&plain["line"]["all_mm"]) - number(&other["line"]["all_mm"]);
    assert!((shorter - 2.0 * 25.4).abs() < 1e-9, "{shorter}");
    assert_eq!(other["tension"]["friction"], 0.3);
    let runs = other["tension"]["runs"].as_array().expect("runs");
    assert!(
        runs.iter()
            .all(|run| run["pulled_here"] == true && run["share"] == 1.0)
    );
    let bytes = |threads: &str| {
        folder
            .run(&["thread", "a.toml", "--json", "--threads", threads])
            .stdout
    };
    assert_eq!(bytes("1"), bytes("5"));
}

#[test]
fn bad_options_and_places_are_refused_and_nothing_is_written() {
    let folder = Folder::new("thread-bad");
    folder.write("a.toml", &shipped("carton-kite"));
    for (arguments, words) in [
        (vec!["--anchor", "3 N"], "is no length"),
        (vec!["--anchor", "NaN"], "is no length"),
        (vec!["--anchor=-1"], "is no length"),
        (vec!["--friction", "7"], "from 0 to 2"),
        (vec!["--keep", "0"], "above 0"),
        (vec!["--keep", "101 %"], "above 0"),
        (vec!["--picture", "x.gif"], ".svg or .png"),
        (vec!["--out", "a.toml"], "--overwrite"),
        (
            vec!["--out", "x.svg", "--picture", "x.svg"],
            "cannot be one file",
        ),
        (
            vec!["--out", "y.toml", "--picture", "x.gif"],
            ".svg or .png",
        ),
    ] {
        let mut all = vec!["thread", "a.toml"];
        all.extend(&arguments);
        let told = folder.run(&all);
        assert_eq!(told.status.code(), Some(2), "{arguments:?}");
        assert!(
            stderr(&told).contains(words),
            "{arguments:?}: {}",
            stderr(&told)
        );
        assert!(told.stdout.is_empty(), "{arguments:?}");
        assert_eq!(folder.names(), ["a.toml"]);
    }
    let missing = folder.run(&["thread", "b.toml"]);
    assert_eq!(missing.status.code(), Some(2));
}

/// Every form in which a scenario can hold its threading takes the lines or says why not.
#[test]
fn lines_are_put_into_any_form_of_scenario_or_the_reason_is_told() {
    let without = shipped("desk-boat");
    let read = |text: &str| read_scenario("a", text, &no_files).expect("sound");
    let vertices = read(&without).plan.design.vertices.clone();
    let threading = Threading {
        order: (0..vertices.len()).rev().collect(),
        first_enters_front: false,
        friction: 1.0,
        tightening: Tightening::EachRun,
        pulled_at: PulledAt::First,
    };
    let put = |text: &str| put_threading("a", text, &vertices, &threading, &no_files);
    let names: Vec<String> = vertices
        .iter()
        .map(|one| format!("\"{}\"", one.name))
        .collect();
    let old = format!(
        "order = [{}], friction = 0.2, tightened = \"each run\"",
        names.join(", ")
    );
    let inline = without.replace(
        "tension = \"8 N\"",
        &format!("tension = \"8 N\"\nthreading = {{ {old} }} # one line"),
    );
    let headed = without.replace(
        "tension = \"8 N\"",
        &format!(
            "tension = \"8 N\"\n[line.threading]\n{}",
            old.replace(", fr", "\nfr").replace(", ti", "\nti")
        ),
    );
    for text in [&without, &inline, &headed] {
        let put = put(text);
        let with = put.text.expect("put in");
        assert_eq!(
            read(&with).plan.design.line.threading.as_ref(),
            Some(&threading)
        );
        assert_eq!(with.contains("# one line"), text.contains("# one line"));
    }
    let dotted = without.replace(
        "tension = \"8 N\"",
        &format!(
            "tension = \"8 N\"\nthreading.{}",
            old.replace(", fr", "\nthreading.fr")
                .replace(", ti", "\nthreading.ti")
        ),
    );
    read(&dotted);
    let told = put(&dotted);
    assert!(matches!(told.text, Err(NotThreaded::NotPut(_))));
    assert!(!told.lines.is_empty());
    // pulled at its end, with much friction, the windmill's lines sag too far: the reader says so
    let mill = read(&shipped("slack-windmill"));
    let slack = Threading {
        friction: 2.0,
        ..mill.plan.design.line.threading.clone().expect("threaded")
    };
    let told = put_threading(
        "a",
        &shipped("slack-windmill"),
        &mill.plan.design.vertices,
        &slack,
        &no_files,
    );
    let why = told.text.expect_err("refused").to_string();
    assert!(why.contains("sags by"), "{why}");
}

#[test]
fn names_with_quotes_and_two_lines_only_are_led_too() {
    let text = shipped("carton-kite")
        .replace("\"nose\"", "'no\"se \\ Ä'")
        .replace("\"left\"", "\"l'eft\"");
    let folder = Folder::new("thread-names");
    folder.write("a.toml", &text);
    let told = folder.run(&["thread", "a.toml", "--out", "b.toml"]);
    assert_eq!(told.status.code(), Some(0), "{}", stderr(&told));
    let after = folder.json(&["thread", "b.toml", "--json"]);
    assert_eq!(after["present_is_best"], true);
    let scenario = read_scenario("a", &shipped("carton-kite"), &no_files).expect("sound");
    let mut design = scenario.plan.design.clone();
    design.vertices.truncate(2);
    design.line.tension_n.truncate(2);
    design.line.threading = None;
    design.rods.truncate(1);
    let settings = ThreadSettings {
        seed: 1,
        friction: None,
        least_share: 0.5,
        anchor_mm: 100.0,
    };
    let plan = Plan::new(design);
    let found = thread(&plan, &settings).expect("two lines");
    let [front, rear] = &plan.holes_mm;
    let shortest = (front[1] - front[0]).norm().min((rear[1] - rear[0]).norm());
    assert!((found.best.ways_mm - shortest).abs() < 1e-9);
}

/// Names and numbers of every shipped scenario find room, and none covers another; many lines are drawn without a panic.
#[test]
fn the_picture_names_every_hole_and_numbers_every_way() {
    for name in SHIPPED {
        let scenario = read_scenario(name, &shipped(name), &no_files).expect("sound");
        let settings = ThreadSettings {
            seed: 1,
            friction: None,
            least_share: 0.5,
            anchor_mm: 100.0,
        };
        let mut design = scenario.plan.design.clone();
        let found = thread(&scenario.plan, &settings).expect("lines");
        let drawing = thread_drawing(&scenario.plan, &found, name).expect("drawn");
        let document = roxmltree::Document::parse(&drawing.svg).expect("well-formed");
        let texts: Vec<String> = document
            .descendants()
            .filter(|node| node.has_tag_name("text"))
            .map(|node| {
                let parts = node
                    .descendants()
                    .filter(roxmltree::Node::is_text)
                    .filter_map(|one| one.text());
                parts.collect::<String>().trim().to_owned()
            })
            .collect();
        for vertex in &design.vertices {
            let named = texts.iter().filter(|text| {
                **text == vertex.name || text.ends_with(&format!(": {}", vertex.name))
            });
            assert_eq!(named.count(), 2, "{name}: {}", vertex.name);
        }
        for number in 1..design.vertices.len() {
            let is_there = texts.iter().any(|text| *text == number.to_string());
            assert!(is_there, "{name}: way {number}");
        }
        let many = (0..80).map(|nth| Vertex {
            name: format!("more {nth}"),
            direction: Pair::new(
                0.001 * f64::from(nth % 9),
                0.0013 * f64::from(nth / 9) - 0.2,
            ),
        });
        design.vertices.extend(many);
        design.line.tension_n.resize(design.vertices.len(), 5.0);
        design.line.threading = None;
        let plan = Plan::new(design);
        let found = thread(&plan, &settings).expect("lines");
        let led: &Led = &found.best.led;
        assert_eq!(led.order.len(), plan.design.vertices.len());
        let drawing = thread_drawing(&plan, &found, name).expect("drawn");
        assert!(drawing.caption.contains("mm"), "{}", drawing.caption);
    }
}
