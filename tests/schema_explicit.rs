//! The JSON Schema of explicit files against their reader: neither knows a key or takes a kind of value that the other does not.

mod binary;
mod schemas;

use binary::plain_scenario;
use schemas::{as_json, keys, listed};
use sightdrift::figure::Plan;
use sightdrift::scenario::{explicit_schema, read_explicit, read_scenario};

/// What the reader of explicit files says, for the plain exhibit.
fn explicit_told(text: &str, plan: &Plan) -> String {
    read_explicit("e.toml", text, plan).map_or_else(|told| told.to_string(), |_| String::new())
}

fn plain_plan() -> Plan {
    let text = plain_scenario("fitted", "\"0 mm\"", "\"off\"");
    let scenario = read_scenario("s.toml", &text, &|_| Err("no such file".to_owned()));
    scenario.expect("a good scenario").plan
}

/// An explicit file with every key that there is.
const EVERY_EXPLICIT_KEY: &str = r#"#:schema ./explicit.schema.json
sag = true
[front]
pattern_shift = ["0.1 mm", 0]
pattern_turn = "1 arcmin"
print_scale = "-8 %"
seat_depth = "0.2 mm"
tilt_x = "0.1 deg"
tilt_y = 0.1
[rear]
print_scale = 0.01
[holes.front]
a = { scatter = ["0.1 mm", "0 mm"], slack = [0, 0.1] }
[holes.rear]
b = { slack_towards = "90 deg" }
[lines]
c = { tension = "300 gf" }
[rods]
a-b = { tie = [["0 mm", "1 mm"], [0, 1]], slip = ["1 mm", 0], bow = [0.01, "1 %"] }
[peephole]
shift = [0.1, 0]
depth = "0.1 mm"
diameter = "8 mm"
[eye]
offset = ["1 mm", "0 mm"]
relief = "0.1 in"
pupil = "3 mm"
acuity = 0.1
"#;

#[test]
fn every_table_of_an_explicit_file_has_the_keys_that_its_reader_knows() {
    let (schema, plan) = (explicit_schema(), plain_plan());
    let rod = &plan.design.rods[0].name;
    let mut keys_n = 0;
    for (text, name, place) in [
        (
            "zzz = 1".to_owned(),
            "at the top of the file".to_owned(),
            "",
        ),
        (
            "[front]\nzzz = 1".to_owned(),
            "in [front]".to_owned(),
            "/properties/front",
        ),
        (
            "[rear]\nzzz = 1".to_owned(),
            "in [rear]".to_owned(),
            "/properties/rear",
        ),
        (
            "[holes]\nzzz = 1".to_owned(),
            "in [holes]".to_owned(),
            "/properties/holes",
        ),
        (
            "[holes.front]\na = { zzz = 1 }".to_owned(),
            "in [holes.front.a]".to_owned(),
            "/properties/holes/properties/front/additionalProperties",
        ),
        (
            "[holes.rear]\na = { zzz = 1 }".to_owned(),
            "in [holes.rear.a]".to_owned(),
            "/properties/holes/properties/rear/additionalProperties",
        ),
        (
            "[lines]\na = { zzz = 1 }".to_owned(),
            "in [lines.a]".to_owned(),
            "/properties/lines/additionalProperties",
        ),
        (
            format!("[rods]\n{rod} = {{ zzz = 1 }}"),
            format!("in [rods.{rod}]"),
            "/properties/rods/additionalProperties",
        ),
        (
            "[peephole]\nzzz = 1".to_owned(),
            "in [peephole]".to_owned(),
            "/properties/peephole",
        ),
        (
            "[eye]\nzzz = 1".to_owned(),
            "in [eye]".to_owned(),
            "/properties/eye",
        ),
    ] {
        let told = explicit_told(&text, &plan);
        let known = listed(&told, &format!("unknown key `zzz` {name}, known here: "));
        assert_eq!(keys(&schema, place), known, "{name}");
        keys_n += known.len();
    }
    assert_eq!(keys_n, 8 + 2 * 6 + 2 + 2 * 3 + 1 + 3 + 3 + 4);
}

#[test]
fn explicit_files_are_valid_where_their_reader_takes_them_and_are_not_where_it_does_not() {
    let (schema, plan) = (explicit_schema(), plain_plan());
    jsonschema::draft202012::meta::validate(&schema)
        .unwrap_or_else(|error| panic!("the schema itself: {error}"));
    let validator = jsonschema::draft202012::new(&schema).expect("a schema");
    let readme =
        std::fs::read_to_string(std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md"))
            .expect("a README");
    // the two that are printed there
    let printed = [
        "[eye]\noffset = [\"1 mm\", \"0 mm\"]\n",
        "sag = true\n[rear]\nprint_scale = \"-8 %\"\n",
    ];
    for text in printed {
        let indented: String = text.lines().map(|line| format!("    {line}\n")).collect();
        assert!(
            readme.contains(&indented),
            "README no longer prints\n{text}"
        );
    }
    let rod = &plan.design.rods[0].name;
    let every = EVERY_EXPLICIT_KEY.replace("a-b =", &format!("\"{rod}\" ="));
    for text in printed.into_iter().chain(["", every.as_str()]) {
        assert_eq!(explicit_told(text, &plan), "", "{text}");
        let instance = as_json(text);
        let wrong: Vec<String> = validator
            .iter_errors(&instance)
            .map(|error| format!("{}: {error}", error.instance_path()))
            .collect();
        assert!(wrong.is_empty(), "{text}: {wrong:?}");
    }
    // every value of every key as something that it cannot be
    let mut refused_n = 0;
    for line in every.lines().skip(1) {
        let Some((key, value)) = line.split_once(" = ") else {
            continue;
        };
        for wrong in ["\"3 cd/m2\"", "[[]]", "1979-05-27", "[true, false]", "\"\""] {
            let mut bad = vec![format!("{key} = {wrong}")];
            if value.starts_with('{') {
                // each key within
                let inner = value.trim_matches(['{', '}', ' ']);
                let names = inner
                    .split(" = ")
                    .filter_map(|part| part.split([' ', ',']).next_back());
                bad.extend(
                    names
                        .filter(|name| {
                            name.chars().all(|c| c.is_ascii_lowercase() || c == '_')
                                && !name.is_empty()
                        })
                        .map(|name| format!("{key} = {{ {name} = {wrong} }}")),
                );
            }
            for bad in bad {
                let text = every.replacen(line, &bad, 1);
                assert!(
                    !explicit_told(&text, &plan).is_empty(),
                    "{bad} passes the reader"
                );
                assert!(
                    !validator.is_valid(&as_json(&text)),
                    "{bad} passes the schema"
                );
                refused_n += 1;
            }
        }
    }
    assert_eq!(refused_n, 5 * 26);
    let both = "[holes.front]\na = { slack = [0, 0], slack_towards = \"90 deg\" }";
    assert!(!explicit_told(both, &plan).is_empty() && !validator.is_valid(&as_json(both)));
}
