//! The scenario's JSON Schema against the reader: neither knows a key or a word that the other does not.

mod binary;
mod schemas;

use binary::{Folder, plain_scenario, shipped};
use schemas::{as_json, keys, listed};
use serde_json::Value;
use sightdrift::figure::Step;
use sightdrift::scenario::{explicit_schema, read_scenario, scenario_schema};
use std::collections::BTreeSet;

/// What the reader says of a scenario.
fn told(text: &str) -> String {
    read_scenario("s.toml", text, &|_| Err("no such file".to_owned()))
        .map_or_else(|told| told.to_string(), |_| String::new())
}

/// A good scenario with one line put in; every table is there.
fn with(from: &str, to: &str) -> String {
    let text = plain_scenario("fitted", "\"0 mm\"", "\"off\"");
    assert!(text.contains(from), "{from}");
    text.replacen(from, to, 1)
}

/// Where an unknown key is put, under what name the reader tells it, and where the schema has the table.
fn tables() -> Vec<(String, &'static str, String)> {
    let mut all = vec![
        (
            with("title =", "zzz = 1\ntitle ="),
            "at the top of the file",
            String::new(),
        ),
        (
            with("[figure]", "[figure]\nzzz = 1"),
            "in [figure]",
            "/properties/figure".to_owned(),
        ),
        (
            with("name = \"a\",", "name = \"a\", zzz = 1,"),
            "in [figure.vertices]",
            "/properties/figure/properties/vertices/items".to_owned(),
        ),
        (
            with("[cabinet]", "[cabinet]\nzzz = 1"),
            "in [cabinet]",
            "/properties/cabinet".to_owned(),
        ),
        (
            with("[peephole]", "[peephole]\nzzz = 1"),
            "in [peephole]",
            "/properties/peephole".to_owned(),
        ),
        (
            with("[line]", "[line]\nzzz = 1"),
            "in [line]",
            "/properties/line".to_owned(),
        ),
        (
            with("[line]", "[line]\nthreading = { zzz = 1 }"),
            "in [line.threading]",
            "/properties/line/properties/threading".to_owned(),
        ),
        (
            with("[rods]", "[rods]\nzzz = 1"),
            "in [rods]",
            "/properties/rods".to_owned(),
        ),
        (
            with(
                "lines = [\"a\", \"b\"],",
                "lines = [\"a\", \"b\"], zzz = 1,",
            ),
            "in [rods.list]",
            "/properties/rods/properties/list/items".to_owned(),
        ),
        (
            with("[errors.plates]", "[errors]\nzzz = 1\n[errors.plates]"),
            "in [errors]",
            "/properties/errors".to_owned(),
        ),
        (
            with("[eye]", "[eye]\nzzz = 1"),
            "in [eye]",
            "/properties/eye".to_owned(),
        ),
        (
            with("pupil = \"3 mm\"", "pupil = { luminance = 1, zzz = 1 }"),
            "in [eye.pupil]",
            "/properties/eye/properties/pupil/anyOf/1".to_owned(),
        ),
        (
            with("[judging]", "[judging]\nzzz = 1"),
            "in [judging]",
            "/properties/judging".to_owned(),
        ),
        (
            with("[run]", "[run]\nzzz = 1"),
            "in [run]",
            "/properties/run".to_owned(),
        ),
        (
            with("[run]", "[allowed]\nzzz = 1\n[run]"),
            "in [allowed]",
            "/properties/allowed".to_owned(),
        ),
        (
            with("[run]", "[cost]\nzzz = 1\n[run]"),
            "in [cost]",
            "/properties/cost".to_owned(),
        ),
    ];
    for (table, name) in [
        ("front", "in [errors.front]"),
        ("rear", "in [errors.rear]"),
        ("plates", "in [errors.plates]"),
        ("line", "in [errors.line]"),
        ("rod", "in [errors.rod]"),
        ("peephole", "in [errors.peephole]"),
    ] {
        let text = match table {
            "front" | "rear" => with("[eye]", &format!("[errors.{table}]\nzzz = 1\n[eye]")),
            _ => with(
                &format!("[errors.{table}]"),
                &format!("[errors.{table}]\nzzz = 1"),
            ),
        };
        all.push((text, name, format!("/properties/errors/properties/{table}")));
    }
    all
}

#[test]
fn every_table_has_the_keys_that_the_reader_knows_and_no_others() {
    let schema = scenario_schema();
    let mut keys_n = 0;
    for (text, name, place) in tables() {
        let told = told(&text);
        let known = listed(&told, &format!("unknown key `zzz` {name}, known here: "));
        assert_eq!(keys(&schema, &place), known, "{name}");
        keys_n += known.len();
    }
    println!(
        "{keys_n} keys of {} tables are the same in the reader and in the schema",
        tables().len()
    );
    assert!(keys_n > 110, "{keys_n}");
}

#[test]
fn every_step_of_a_way_has_the_keys_that_the_reader_knows() {
    let schema = scenario_schema();
    let ways = schema["properties"]["ways"]["items"]["oneOf"]
        .as_array()
        .expect("ways by step")
        .clone();
    let steps: Vec<Step> = Step::ALL
        .into_iter()
        .filter(|step| step.is_work())
        .collect();
    assert_eq!(ways.len(), steps.len());
    for (nth, step) in steps.iter().enumerate() {
        assert_eq!(ways[nth]["properties"]["step"]["const"], step.name());
        let way = format!(
            "[[ways]]\nstep = \"{}\"\nname = \"a\"\ncost = 1\nzzz = 1\n[run]",
            step.name()
        );
        let told_of_way = told(&with("[run]", &way));
        let mut known = listed(&told_of_way, "unknown key `zzz` in [ways], known here: ");
        let place = format!("/properties/ways/items/oneOf/{nth}");
        let written = keys(&schema, &place);
        // the reader looks for this one only where it stands
        if *step == Step::Tension {
            known.insert("tightened".to_owned());
        }
        assert_eq!(written, known, "{}", step.name());
        // the tables of its laws
        for table in ["front", "rear", "plates", "line", "rod", "peephole"]
            .into_iter()
            .filter(|name| written.contains(*name))
        {
            let way = format!(
                "[[ways]]\nstep = \"{}\"\nname = \"a\"\ncost = 1\n{table}.zzz = 1\n[run]",
                step.name()
            );
            let known = listed(
                &told(&with("[run]", &way)),
                &format!("unknown key `zzz` in [ways.{table}], known here: "),
            );
            let own: BTreeSet<String> = keys(&schema, &format!("{place}/properties/{table}"));
            assert_eq!(own, known, "{} {table}", step.name());
        }
        let needs = format!(
            "[[ways]]\nstep = \"{}\"\nname = \"a\"\ncost = 1\nneeds = {{ zzz = \"b\" }}\n[run]",
            step.name()
        );
        let mut known = listed(
            &told(&with("[run]", &needs)),
            "needs is `zzz`, allowed here: ",
        );
        known.remove(step.name());
        assert_eq!(keys(&schema, &format!("{place}/properties/needs")), known);
    }
}

#[test]
fn every_form_has_the_keys_that_the_reader_knows() {
    let schema = scenario_schema();
    for (kind, line, components) in [
        ("length_spread_across", "[errors.front]\npattern_shift", 2),
        ("length_spread", "[errors.front]\nseat_depth", 1),
        ("angle_spread", "[errors.front]\ntilt_x", 1),
        ("number_spread", "[errors.line]\nhand_tension", 1),
    ] {
        let line = |fields: &str| {
            let text = plain_scenario("fitted", "\"0 mm\"", "\"off\"");
            let text = text.replace("hand_tension = \"off\"\n", "");
            let text = text.replace("[errors.line]\n", "");
            let text = text.replace("slackening = \"off\"\n", "");
            told(&text.replacen(
                "[errors.rod]",
                &format!("{line} = {{ {fields} }}\n[errors.rod]"),
                1,
            ))
        };
        let forms: Vec<Value> = schema["$defs"][kind]["anyOf"]
            .as_array()
            .expect("a choice")
            .iter()
            .filter(|one| one["properties"]["form"].is_object())
            .cloned()
            .collect();
        let names: BTreeSet<String> = forms
            .iter()
            .map(|form| {
                form["properties"]["form"]["const"]
                    .as_str()
                    .expect("a name")
                    .to_owned()
            })
            .collect();
        let mut known = listed(&line("form = \"zzz\""), "form is `zzz`, allowed here: ");
        if components == 1 {
            known.remove("disc");
        }
        assert_eq!(names, known, "{kind}");
        for form in forms {
            let name = form["properties"]["form"]["const"]
                .as_str()
                .expect("a name");
            // the mean is looked for once the width is read
            let width = match name {
                "normal" => ", sd = 0.1",
                "truncated normal" => ", sd = 0.1, half_width = 0.2",
                "uniform" | "triangular" | "arcsine" => ", half_width = 0.1",
                "disc" => ", radius = 0.1",
                _ => "",
            };
            let told = line(&format!("form = \"{name}\"{width}, zzz = 1"));
            let known = listed(
                &told[told
                    .find("unknown key `zzz`")
                    .unwrap_or_else(|| panic!("{name}: {told}"))..],
                "known here: ",
            );
            let written: BTreeSet<String> = form["properties"]
                .as_object()
                .expect("keys")
                .keys()
                .cloned()
                .collect();
            assert_eq!(written, known, "{kind} {name}");
        }
    }
}

#[test]
fn every_choice_has_the_words_that_the_reader_knows() {
    let schema = scenario_schema();
    let mut words_n = 0;
    for (text, key, place) in [
        (
            with("work = \"machine-cut\"", "work = \"zzz\""),
            "work",
            "/properties/work",
        ),
        (
            with("[figure]", "[figure]\nx_points = \"zzz\""),
            "x_points",
            "/properties/figure/properties/x_points",
        ),
        (
            with("material = \"nylon\"", "material = \"zzz\""),
            "material",
            "/properties/line/properties/material",
        ),
        (
            with("material = \"birch\"", "material = \"zzz\""),
            "material",
            "/properties/rods/properties/material",
        ),
        (
            with("[judging]", "[judging]\nfinish = \"zzz\""),
            "finish",
            "/properties/judging/properties/finish",
        ),
        (
            with("frame = \"fitted\"", "frame = \"zzz\""),
            "frame",
            "/properties/judging/properties/frame",
        ),
        (
            with("[run]", "[run]\ninterval = \"zzz\""),
            "interval",
            "/properties/run/properties/interval",
        ),
        (
            with("[run]", "[run]\nsampling = \"zzz\""),
            "sampling",
            "/properties/run/properties/sampling",
        ),
        (
            with("[line]", "[line]\nthreading = { tightened = \"zzz\" }"),
            "tightened",
            "/properties/line/properties/threading/properties/tightened",
        ),
        (
            with("[line]", "[line]\nthreading = { enters = \"zzz\" }"),
            "enters",
            "/properties/line/properties/threading/properties/enters",
        ),
        (
            with("[line]", "[line]\nthreading = { pulled_at = \"zzz\" }"),
            "pulled_at",
            "/properties/line/properties/threading/properties/pulled_at",
        ),
    ] {
        let known = listed(&told(&text), &format!("{key} is `zzz`, allowed here: "));
        let written: BTreeSet<String> = schema
            .pointer(place)
            .and_then(|part| part["enum"].as_array())
            .unwrap_or_else(|| panic!("{place}"))
            .iter()
            .map(|word| word.as_str().expect("a word").to_owned())
            .collect();
        assert_eq!(written, known, "{key}");
        words_n += known.len();
    }
    assert!(words_n > 30);
}

#[test]
fn every_key_says_what_it_means() {
    fn walk(part: &Value, place: &str, count: &mut usize) {
        if let Some(properties) = part["properties"].as_object() {
            for (key, value) in properties {
                let is_form = value["const"].is_string();
                let says = value["description"].as_str().unwrap_or("");
                assert!(is_form || says.len() > 8, "{place}/{key} says nothing");
                *count += 1;
            }
        }
        match part {
            Value::Object(fields) => fields
                .iter()
                .for_each(|(key, value)| walk(value, &format!("{place}/{key}"), count)),
            Value::Array(list) => list.iter().for_each(|value| walk(value, place, count)),
            _ => {}
        }
    }
    let mut count = 0;
    walk(&scenario_schema(), "", &mut count);
    assert!(count > 300, "{count}");
    walk(&explicit_schema(), "explicit", &mut count);
}

#[test]
fn shipped_scenarios_are_valid_and_mistakes_are_not() {
    let schema = scenario_schema();
    jsonschema::draft202012::meta::validate(&schema)
        .unwrap_or_else(|error| panic!("the schema itself: {error}"));
    let validator = jsonschema::draft202012::new(&schema).expect("a schema");
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios");
    let mut valid_n = 0;
    let mut waiting = vec![folder];
    while let Some(place) = waiting.pop() {
        for entry in std::fs::read_dir(&place).expect("readable") {
            let path = entry.expect("readable").path();
            if path.is_dir() {
                waiting.push(path);
            } else if path.extension().is_some_and(|ending| ending == "toml") {
                let instance = as_json(&std::fs::read_to_string(&path).expect("text"));
                let wrong: Vec<String> = validator
                    .iter_errors(&instance)
                    .map(|error| format!("{}: {error}", error.instance_path()))
                    .collect();
                assert!(wrong.is_empty(), "{}: {wrong:?}", path.display());
                valid_n += 1;
            }
        }
    }
    assert!(valid_n >= 4, "{valid_n}");
    assert!(validator.is_valid(&as_json(&plain_scenario(
        "fixed",
        "{ form = \"disc\", radius = \"1 mm\" }",
        "\"off\""
    ))));
    for (from, to) in [
        ("picture_plane = \"400 mm\"", "picture_plane = \"400 N\""),
        ("picture_plane = \"400 mm\"", "picture_plane = \"400\""),
        ("picture_plane = \"400 mm\"", "picture_plan = \"400 mm\""),
        ("x_points = \"right\"", "x_points = \"up\""),
        ("work = \"template-drilled\"", ""),
        ("material = \"nylon\"", "material = \"silk\""),
        ("seed = 21", "seed = 21.5"),
        ("seed = 21", "seed = -1"),
        (
            "tie = { direction = \"90 deg\" }",
            "tie = { direction = \"90 mm\" }",
        ),
        (
            "tie = { direction = \"90 deg\" }",
            "slip = { form = \"normal\" }",
        ),
        (
            "tie = { direction = \"90 deg\" }",
            "slip = { form = \"normal\", sd = \"1 mm\", coverage = 0.9 }",
        ),
        (
            "tie = { direction = \"90 deg\" }",
            "slip = { form = \"disc\", radius = \"1 mm\" }",
        ),
        ("lines = [\"bow\", \"stern\"]", "lines = [\"bow\"]"),
        ("[eye]", "[[ways]]\nstep = \"tie\"\nname = \"a\"\n[eye]"),
        (
            "[eye]",
            "[[ways]]\nstep = \"tie\"\nname = \"a\"\ncost = 1\nrod.slip = \"1 mm\"\n[eye]",
        ),
        ("width = \"320 mm\"", ""),
    ] {
        let boat = shipped("desk-boat");
        assert!(boat.contains(from), "{from}");
        let text = boat.replacen(from, to, 1);
        assert!(
            !validator.is_valid(&as_json(&text)),
            "{to} passes the schema"
        );
        assert!(!told(&text).is_empty(), "{to} passes the reader");
    }
}

/// Scenarios that the reader takes, spelled in every way that it takes them.
#[test]
fn what_the_reader_takes_the_schema_takes() {
    let validator = jsonschema::draft202012::new(&scenario_schema()).expect("a schema");
    for (from, to) in [
        ("diameter = \"40 mm\"", "diameter = 40"),
        ("diameter = \"40 mm\"", "diameter = \" 4e1mm \""),
        ("diameter = \"40 mm\"", "diameter = \"40000 µm\""),
        ("diameter = \"40 mm\"", "diameter = \"1.5 in\""),
        ("diameter = \"40 mm\"", "diameter = \"1.5″\""),
        (
            "diameter = \"40 mm\"",
            "diameter = \"40. mm\"\nclip_below = \"25 %\"",
        ),
        ("gravity = 0", "gravity = \"9.8 m/s²\""),
        (
            "tension = \"5 N\"",
            "tensions = { a = 5, b = 5, c = 5, d = 5, e = 5, f = \"500 gf\" }",
        ),
        (
            "pupil = \"3 mm\"",
            "pupil = { luminance = \"100 nit\", field_area = 900, both_eyes = true, age = { form = \"uniform\", mean = 40, half_width = 20 } }",
        ),
        (
            "pattern_shift = \"off\"",
            "pattern_shift = { form = \"disc\", plus_minus = \"0.1 mm\", coverage = \"95 %\", mean = [0, \"0.1 mm\"] }",
        ),
        (
            "tilt_x = \"off\"",
            "tilt_x = { form = \"truncated normal\", sd = \"10 arcmin\", half_width = \"0.5 deg\" }",
        ),
        (
            "bow = \"off\"",
            "bow = { form = \"lognormal\", median = 0.001, sd_log = 0.2 }",
        ),
        (
            "[run]",
            "[cost]\nunit = \"EUR\"\nminute = 0.5\n[[ways]]\nstep = \"piercing\"\nname = \"drill\"\ncost = 3\nplates.hole_scatter = { form = \"normal\", sd = \"0.1 mm\" }\nneeds = { tie = \"tied by hand, random side\" }\n[run]",
        ),
    ] {
        let text = with(from, to);
        let mistakes = told(&text);
        // an unknown need is a matter of the shipped ways, which no schema knows
        assert!(
            mistakes.is_empty() || mistakes.contains("needs"),
            "{to}: {mistakes}"
        );
        let instance = as_json(&text);
        let wrong: Vec<String> = validator
            .iter_errors(&instance)
            .map(|error| format!("{}: {error}", error.instance_path()))
            .collect();
        assert!(wrong.is_empty(), "{to}: {wrong:?}");
    }
}

#[test]
fn the_program_prints_the_schema_and_nothing_else() {
    let folder = Folder::new("schema");
    assert_eq!(folder.json(&["schema"]), scenario_schema());
    assert_eq!(
        folder.json(&["schema", "--of", "scenario"]),
        scenario_schema()
    );
    assert_eq!(
        folder.json(&["schema", "--of", "explicit"]),
        explicit_schema()
    );
    assert_eq!(
        scenario_schema()["$schema"],
        "https://json-schema.org/draft/2020-12/schema"
    );
    assert!(folder.names().is_empty());
}
