//! Mistakes in `[[ways]]` and `[cost]`: each is told with its place, its text and what is allowed.

use sightdrift::figure::Step;
use sightdrift::scenario::{Problems, Scenario, read_scenario};
use std::path::Path;

fn shipped(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("scenarios")
        .join(format!("{name}.toml"));
    std::fs::read_to_string(path).expect("a shipped scenario")
}

fn read(text: &str) -> Result<Scenario, Problems> {
    read_scenario("s.toml", text, &|_| Err("there is no such file".to_owned()))
}

const GOOD: &str = "[[ways]]\nstep = \"piercing\"\nname = \"on the pillar drill\"\ncost = 20\ncost_per_item = 0.5\nplates.hole_scatter = { form = \"normal\", sd = \"0.12 mm\" }\n";

/// What is put behind a scenario, the line on which it is told (from the first that is put there), and what is told.
const MISTAKES: &[(&str, &str, usize, &str)] = &[
    ("desk-boat", "ways = 3\n", 0, "must be a list"),
    (
        "desk-boat",
        "[[ways]]\nstep = \"peircing\"\nname = \"a\"\ncost = 1\n",
        1,
        "did you mean `piercing`?",
    ),
    (
        "desk-boat",
        "[[ways]]\nstep = \"eye-position\"\nname = \"a\"\ncost = 1\n",
        1,
        "step is `eye-position`, allowed here: pattern-placement",
    ),
    (
        "desk-boat",
        "[[ways]]\nname = \"a\"\ncost = 1\n",
        0,
        "has no `step`",
    ),
    (
        "desk-boat",
        "[[ways]]\nstep = \"tie\"\ncost = 1\n",
        0,
        "has no `name`",
    ),
    (
        "desk-boat",
        "[[ways]]\nstep = \"tie\"\nname = \"\"\ncost = 1\n",
        2,
        "must have 1 to 80 characters",
    ),
    (
        "desk-boat",
        "[[ways]]\nstep = \"tie\"\nname = \"by \\u202Emachine\"\ncost = 1\n",
        2,
        "name is `by \u{fffd}machine`, must have 1 to 80 characters, and no control characters, also none that turn",
    ),
    (
        "desk-boat",
        "[[ways]]\nstep = \"tie\"\nname = \"as in the scenario\"\ncost = 1\n",
        2,
        "kept for what the scenario has now",
    ),
    (
        "desk-boat",
        "[[ways]]\nstep = \"tie\"\nname = \"a\"\n",
        0,
        "has no `cost`",
    ),
    (
        "desk-boat",
        "[[ways]]\nstep = \"tie\"\nname = \"a\"\ncost = -1\n",
        3,
        "cost is -1, must be 0 or more",
    ),
    (
        "desk-boat",
        "[[ways]]\nstep = \"tie\"\nname = \"a\"\ncost_per_item = \"1 mm\"\n",
        3,
        "measures a length, but a number is needed",
    ),
    (
        "desk-boat",
        "[[ways]]\nstep = \"tie\"\nname = \"a\"\ncost = 1\nrod.slip = \"1 mm\"\n",
        4,
        "unknown key `slip`",
    ),
    (
        "desk-boat",
        "[[ways]]\nstep = \"tie\"\nname = \"a\"\ncost = 1\nfront.hole_scatter = \"1 mm\"\n",
        4,
        "unknown key `front` in [ways]",
    ),
    (
        "desk-boat",
        "[[ways]]\nstep = \"tie\"\nname = \"a\"\ncost = 1\nrod.tie = \"rnd\"\n",
        4,
        "must be \"random\"",
    ),
    (
        "desk-boat",
        "[[ways]]\nstep = \"piercing\"\nname = \"a\"\ncost = 1\nplates.hole_scatter = { form = \"normal\", sd = \"300 mm\" }\n",
        4,
        "it is a length on the plate",
    ),
    (
        "desk-boat",
        "[[ways]]\nstep = \"piercing\"\nname = \"a\"\ncost = 1\nplates.hole_scatter = { form = \"measured\", file = \"a.csv\", columns = [\"x\", \"y\"], unit = \"mm\" }\n",
        4,
        "cannot be read",
    ),
    (
        "desk-boat",
        "[[ways]]\nstep = \"tension\"\nname = \"a\"\ncost = 1\ntightened = \"each run\"\n",
        4,
        "[line] has no `threading`",
    ),
    (
        "desk-boat",
        "[[ways]]\nstep = \"tie\"\nname = \"a\"\ncost = 1\ntightened = \"each run\"\n",
        4,
        "unknown key `tightened`",
    ),
    (
        "slack-windmill",
        "[[ways]]\nstep = \"tension\"\nname = \"a\"\ncost = 1\ntightened = \"both ends\"\n",
        4,
        "tightened is `both ends`, allowed here: each run, ends only",
    ),
    (
        "gallery-bridge",
        "[[ways]]\nstep = \"hole-width\"\nname = \"a\"\ncost = 1\nfront_hole = \"0.5 mm\"\n",
        4,
        "must be at least as wide as the line (0.8 mm)",
    ),
    (
        "desk-boat",
        "[[ways]]\nstep = \"hole-width\"\nname = \"a\"\ncost = 1\nplates.hole_slack = \"pulled\"\n",
        4,
        "[line] has no `threading`",
    ),
    (
        "desk-boat",
        "[[ways]]\nstep = \"tie\"\nname = \"a\"\ncost = 1\n[[ways]]\nstep = \"tie\"\nname = \"a\"\ncost = 2\n",
        4,
        "two ways of the step tie have the name `a`",
    ),
    (
        "desk-boat",
        "[[ways]]\nstep = \"tie\"\nname = \"a\"\ncost = 1\nneeds = { piercing = \"cut by machin\" }\n",
        0,
        "did you mean `cut by machine`?",
    ),
    (
        "desk-boat",
        "[[ways]]\nstep = \"tie\"\nname = \"a\"\ncost = 1\nneeds = { tie = \"b\" }\n",
        4,
        "needs names the way's own step `tie`",
    ),
    (
        "desk-boat",
        "[[ways]]\nstep = \"tie\"\nname = \"a\"\ncost = 1\nneeds = { piercing = 3 }\n",
        4,
        "must be the name of a way in quotes",
    ),
    (
        "desk-boat",
        "[[ways]]\nstep = \"tie\"\nname = \"a\"\ncost = 1\nneeds = { saw = \"b\" }\n",
        4,
        "needs is `saw`, allowed here: pattern-placement",
    ),
    (
        "desk-boat",
        "[[ways]]\nstep = \"print-scale\"\nname = \"a\"\ncost = 1\nneeds = { piercing = \"b\" }\n[[ways]]\nstep = \"piercing\"\nname = \"b\"\ncost = 1\nneeds = { tie = \"c\" }\n[[ways]]\nstep = \"tie\"\nname = \"c\"\ncost = 1\nneeds = { print-scale = \"d\" }\n[[ways]]\nstep = \"print-scale\"\nname = \"d\"\ncost = 1\nneeds = { piercing = \"e\" }\n[[ways]]\nstep = \"piercing\"\nname = \"e\"\ncost = 1\nneeds = { print-scale = \"a\" }\n",
        0,
        "no set of ways goes together",
    ),
    (
        "desk-boat",
        "[cost]\nunit = \"EUR\"\n",
        1,
        "say what a minute of work costs",
    ),
    ("desk-boat", "[cost]\nminute = 0.5\n", 1, "has no `unit`"),
    (
        "desk-boat",
        "[cost]\nunit = \"EUR\"\nminute = 0\n",
        2,
        "must be above 0",
    ),
    (
        "desk-boat",
        "[cost]\nunit = \"\"\nminute = 1\n",
        1,
        "must have 1 to 12 characters",
    ),
    (
        "desk-boat",
        "[cost]\nunits = \"EUR\"\n",
        1,
        "did you mean `unit`?",
    ),
];

#[test]
fn each_mistake_is_told_at_its_place() {
    for (name, put, line, expected) in MISTAKES {
        let scenario = shipped(name);
        // a key without a table belongs to the top of the file
        let (text, first) = if put.starts_with('[') {
            (
                format!("{scenario}\n{put}"),
                scenario.matches('\n').count() + 2,
            )
        } else {
            (format!("{put}{scenario}"), 1)
        };
        let told = read(&text).expect_err(put).to_string();
        assert!(told.contains(expected), "{put}:\n{told}");
        let place = format!("s.toml:{}:", first + line);
        assert!(told.contains(&place), "{put}: not at {place}\n{told}");
    }
}

#[test]
fn no_character_that_turns_the_direction_of_text_stands_in_a_name_a_reason_or_a_unit() {
    let turning = [
        '\u{200E}', '\u{200F}', '\u{202A}', '\u{202C}', '\u{202E}', '\u{2066}', '\u{2069}',
    ];
    for c in turning {
        for put in [
            format!("[[ways]]\nstep = \"tie\"\nname = \"a{c}\"\ncost = 1\n"),
            format!("[[ways]]\nstep = \"tie\"\nname = \"a\"\ncost = 1\nreason = \"{c}b\"\n"),
            format!("[cost]\nunit = \"{c}EUR\"\nminute = 1\n"),
        ] {
            let told = read(&format!("{}\n{put}", shipped("desk-boat"))).expect_err("refused");
            let told = told.to_string();
            assert!(told.contains("turn the direction of text"), "{told}");
            assert!(!told.contains(c), "the message itself keeps it out");
        }
    }
    // letters of a script that is written from the right are no such characters
    let put = "[[ways]]\nstep = \"tie\"\nname = \"\u{5E7}\u{5E9}\u{5E8}\"\ncost = 1\n";
    assert!(read(&format!("{}\n{put}", shipped("desk-boat"))).is_ok());
}

#[test]
fn all_mistakes_of_ways_are_told_with_those_of_the_rest() {
    let text = shipped("desk-boat").replace("tension = \"8 N\"", "tension = \"8 kg\"");
    let told = read(&format!(
        "{text}\n[[ways]]\nstep = \"tie\"\nname = \"a\"\ncost = 1\nrod.tie = \"rnd\"\n[[ways]]\nstep = \"saw\"\n[cost]\nunit = 3\n"
    ))
    .expect_err("six mistakes");
    // tension, tie, two keys that are missing, saw, unit
    assert_eq!(told.list.len(), 6, "{told}");
}

#[test]
fn too_many_sets_are_refused_with_their_number() {
    let mut text = shipped("desk-boat");
    for step in ["piercing", "tie", "depth-setting", "straightness"] {
        for nth in 0..8 {
            text.push_str(&format!(
                "\n[[ways]]\nstep = \"{step}\"\nname = \"way {nth}\"\ncost = {nth}\n"
            ));
        }
    }
    let told = read(&text).expect_err("too many").to_string();
    // two ways each of pattern and print, for the machine's need the machine; three each of plates, holes, tension; two of
    // peephole
    let count = 2 * 2 * 3 * 3 * 3 * 2 * 8_u32.pow(4);
    assert!(
        told.contains(&format!(
            "the ways make {count} sets, at most 20000 are tried"
        )),
        "{told}"
    );
}

#[test]
fn a_good_way_replaces_the_shipped_ones_of_its_step() {
    let scenario = read(&format!("{}\n{GOOD}", shipped("desk-boat"))).expect("good");
    let step = scenario
        .ways
        .steps
        .iter()
        .find(|one| one.step == Step::HoleScatter)
        .expect("every step");
    // its own, and what the scenario has now, which is no closer and so costs the same and is in no set
    let names: Vec<&str> = step.ways.iter().map(|way| way.name.as_str()).collect();
    assert_eq!(names, ["on the pillar drill", "as in the scenario"]);
    assert_eq!(step.price(0), 20.0 + 20.0 * 0.5);
    assert_eq!(step.price(1), step.price(0));
    assert!(!step.ways[1].is_offered && step.now == 1);
    // what only a machine could do is gone with the machine
    let places = &scenario.ways.steps[0].ways;
    assert!(places.iter().all(|way| way.needs.is_empty()));
}

#[test]
fn a_way_without_laws_prices_what_the_scenario_has_now() {
    let own = "[[ways]]\nstep = \"hole-width\"\nname = \"as we drill them\"\ncost = 3\n";
    let scenario = read(&format!("{}\n{own}", shipped("desk-boat"))).expect("good");
    let step = scenario
        .ways
        .steps
        .iter()
        .find(|one| one.step == Step::HoleSlack)
        .expect("every step");
    assert_eq!(step.ways.len(), 1);
    assert_eq!(step.ways[step.now].name, "as we drill them");
    assert_eq!(step.price(step.now), 3.0);
}

#[test]
fn shipped_minutes_are_turned_into_the_scenarios_unit() {
    let with = |put: &str| read(&format!("{}\n{put}", shipped("desk-boat"))).expect("good");
    let minutes = with("");
    let euros = with("[cost]\nunit = \"EUR\"\nminute = 0.5\n");
    assert_eq!(euros.ways.unit.name, "EUR");
    for (minutes, euros) in minutes.ways.steps.iter().zip(&euros.ways.steps) {
        for way in 0..minutes.ways.len() {
            assert_eq!(0.5 * minutes.price(way), euros.price(way));
        }
    }
}
