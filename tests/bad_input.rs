//! Bad scenarios: every mistake is told with its place, its text and what is allowed; all at once; nothing panics.

use sightdrift::scenario::{Problems, Scenario, read_explicit, read_scenario};
use std::path::Path;

fn shipped(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("scenarios")
        .join(format!("{name}.toml"));
    std::fs::read_to_string(path).expect("a shipped scenario")
}

fn no_files(name: &str) -> Result<String, String> {
    match name {
        "holes.csv" => Ok("hole,dx,dy\na,0.1,-0.2\nb,-0.1,0.3\n".to_owned()),
        "words.csv" => Ok("dx,dy\none,two\n".to_owned()),
        _ => Err("there is no such file".to_owned()),
    }
}

fn read(text: &str) -> Result<Scenario, Problems> {
    read_scenario("s.toml", text, &no_files)
}

/// Replaces `from` in the boat and says where the replacement stands.
fn boat_with(from: &str, to: &str) -> (String, String) {
    let boat = shipped("desk-boat");
    assert!(boat.contains(from), "the boat lacks {from}");
    let text = boat.replacen(from, to, 1);
    let at = boat.find(from).expect("found above");
    let line = boat[..at].matches('\n').count() + 1;
    (text, format!("s.toml:{line}:"))
}

/// Edits to the boat, and what the message on the edited line must hold.
const EDITS: &[(&str, &str, &str)] = &[
    (
        "picture_plane = \"400 mm\"",
        "picture_plane = \"400 N\"",
        "measures a force, but a length is needed",
    ),
    (
        "picture_plane = \"400 mm\"",
        "picture_plane = \"0 mm\"",
        "must be above 0",
    ),
    (
        "picture_plane = \"400 mm\"",
        "picture_plane = nan",
        "must be a finite number",
    ),
    (
        "picture_plane = \"400 mm\"",
        "picture_plane = inf",
        "must be a finite number",
    ),
    (
        "picture_plane = \"400 mm\"",
        "picture_plane = \"1e400 mm\"",
        "must be a finite number",
    ),
    (
        "picture_plane = \"400 mm\"",
        "picture_plan = \"400 mm\"",
        "did you mean `picture_plane`?",
    ),
    (
        "picture_plane = \"400 mm\"",
        "picture_plane = [400]",
        "must be a length",
    ),
    (
        "x_points = \"right\"",
        "x_points = \"rigth\"",
        "did you mean `right`?",
    ),
    (
        "name = \"stern\",   ",
        "name = \"bow\",   ",
        "two vertices have the name `bow`",
    ),
    (
        "name = \"stern\",   ",
        "name = \"\",   ",
        "must have 1 to 60 characters",
    ),
    (
        "x = \"-70 mm\", y = \"-34 mm\"",
        "x = \"78 mm\", y = \"-30 mm\"",
        "are at one place",
    ),
    (
        "x = \"-70 mm\", y",
        "x = \"-70 furlong\", y",
        "unknown unit `furlong`",
    ),
    (
        "x = \"-70 mm\", y",
        "x = \"70\", y",
        "a text without a unit",
    ),
    ("x = \"-70 mm\", y", "y", "has no `x`"),
    (
        "front_plate = \"180 mm\"",
        "front_plate = \"-180 mm\"",
        "must be above 0",
    ),
    (
        "rear_plate = \"560 mm\"",
        "rear_plate = \"100 mm\"",
        "must be farther from the station point than front_plate",
    ),
    (
        "front_hole = \"0.5 mm\"",
        "front_hole = \"0.1 mm\"",
        "narrower than the line",
    ),
    (
        "eye_relief = \"12 mm\"",
        "eye_relief = \"200 mm\"",
        "at or behind the front plate",
    ),
    (
        "eye_relief = \"12 mm\"",
        "eye_relief = \"0 mm\"",
        "must be above 0",
    ),
    (
        "diameter = \"9 mm\"",
        "diameter = \"0.5 mm\"",
        "can never show the figure",
    ),
    (
        "material = \"nylon\"",
        "material = \"nilon\"",
        "did you mean `nylon`?",
    ),
    ("tension = \"8 N\"", "tension = \"0 N\"", "must be above 0"),
    (
        "tension = \"8 N\"",
        "tension = \"8 mm\"",
        "`mm` measures a length, but a force is needed",
    ),
    (
        "tension = \"8 N\"",
        "tension = \"0.001 N\"",
        "outside the range of the sag formula",
    ),
    (
        "lines = [\"bow\", \"stern\"]",
        "lines = [\"bow\", \"bow\"]",
        "joins the line `bow` to itself",
    ),
    (
        "lines = [\"bow\", \"stern\"]",
        "lines = [\"bow\", \"sterm\"]",
        "did you mean `stern`?",
    ),
    (
        "lines = [\"bow\", \"stern\"]",
        "lines = [\"bow\"]",
        "must be the names of two vertices",
    ),
    (
        "depths = [\"360 mm\", \"450 mm\"]",
        "depths = [\"60 mm\", \"450 mm\"]",
        "must be between the plates, 180 mm to 560 mm",
    ),
    (
        "depths = [\"360 mm\", \"450 mm\"]",
        "depths = [\"360 mm\"]",
        "must be two lengths",
    ),
    (
        "name = \"transom\"",
        "name = \"deck\"",
        "two rods have the name `deck`",
    ),
    (
        "tie = { direction = \"90 deg\" }",
        "tie = { direction = \"90 mm\" }",
        "but an angle is needed",
    ),
    (
        "tie = { direction = \"90 deg\" }",
        "tie = \"sideways\"",
        "must be \"random\", \"off\" or",
    ),
    (
        "tie = { direction = \"90 deg\" }",
        "tei = \"random\"",
        "did you mean `tie`?",
    ),
    (
        "tie = { direction = \"90 deg\" }",
        "slip = { form = \"normal\", sd = \"-1 mm\" }",
        "must be above 0",
    ),
    (
        "tie = { direction = \"90 deg\" }",
        "slip = { form = \"normal\" }",
        "has no `sd`",
    ),
    (
        "tie = { direction = \"90 deg\" }",
        "slip = { form = \"bell\", sd = \"1 mm\" }",
        "form is `bell`, allowed here",
    ),
    (
        "tie = { direction = \"90 deg\" }",
        "slip = { form = \"normal\", plus_minus = \"1 mm\" }",
        "has no `coverage`",
    ),
    (
        "tie = { direction = \"90 deg\" }",
        "slip = { form = \"normal\", plus_minus = \"1 mm\", coverage = 1 }",
        "coverage is 1",
    ),
    (
        "tie = { direction = \"90 deg\" }",
        "slip = { form = \"normal\", plus_minus = \"1 mm\", coverage = 0.9, sd = \"1 mm\" }",
        "one of them is enough",
    ),
    (
        "tie = { direction = \"90 deg\" }",
        "slip = { form = \"disc\", radius = \"1 mm\" }",
        "which is for things with two directions",
    ),
    (
        "tie = { direction = \"90 deg\" }",
        "slip = { form = \"measured\", file = \"gone.csv\", columns = [\"dx\"], unit = \"mm\" }",
        "there is no such file",
    ),
    (
        "tie = { direction = \"90 deg\" }",
        "slip = { form = \"measured\", file = \"holes.csv\", columns = [\"dz\"], unit = \"mm\" }",
        "no column `dz`, there are: hole, dx, dy",
    ),
    (
        "tie = { direction = \"90 deg\" }",
        "slip = { form = \"measured\", file = \"words.csv\", columns = [\"dx\"], unit = \"mm\" }",
        "line 2: `one` in column `dx` is no finite number",
    ),
    (
        "tie = { direction = \"90 deg\" }",
        "slip = { form = \"measured\", file = \"holes.csv\", columns = [\"dx\"], unit = \"N\" }",
        "unit is `N`, allowed here: mm",
    ),
    (
        "[errors.rod]",
        "[errors.line]\nslackening = { form = \"uniform\", half_width = 0.2 }\n[errors.rod]",
        "can be -0.2, must stay between 0 and 10",
    ),
    (
        "[errors.rod]",
        "[errors.rear]\nhole_slack = \"pulled\"\n[errors.rod]",
        "no `threading`",
    ),
    (
        "[errors.rod]",
        "[errors.rood]",
        "unknown key `rood` in [errors]",
    ),
    (
        "finish = \"clean\"",
        "finish = \"perfect\"",
        "allowed here: seamless, clean, legible",
    ),
    (
        "target_yield = 0.9",
        "target_yield = 1.2",
        "must be above 0 and at most 1",
    ),
    ("seed = 21", "seed = -1", "must be a whole number from 0"),
    (
        "builds = 100000",
        "builds = 0",
        "must be a whole number from 1 to 1000000000",
    ),
    (
        "looks = 16",
        "looks = 1.5",
        "must be a whole number from 1 to 1000",
    ),
    (
        "half_width = 0.002",
        "half_width = 0",
        "must be above 0 and below 0.5",
    ),
    (
        "work = \"template-drilled\"",
        "work = \"good\"",
        "allowed here: hand-pierced, template-drilled, machine-cut",
    ),
    (
        "title = \"Sailing boat on a desk\"",
        "title = 7",
        "must be a text in quotes",
    ),
    (
        "title = \"Sailing boat on a desk\"",
        "title = \"Sailing boat",
        "invalid basic string",
    ),
    ("seed = 21", "seed = 21\nseed = 22", "duplicate key"),
    (
        "[errors.rod]",
        "[errors.line]\nhand_tension = { form = \"normal\", sd = 0.2 }\n[errors.rod]",
        "must stay between 0 and 10",
    ),
    (
        "[errors.rod]",
        "[errors.front]\nprint_scale = 1.002\n[errors.rod]",
        "0 is no error",
    ),
    (
        "[errors.rod]",
        "[errors.rear]\nseat_depth = \"-400 mm\"\n[errors.rod]",
        "must stay behind the front plate",
    ),
    (
        "[errors.rod]",
        "[errors.peephole]\ndepth = \"-15 mm\"\n[errors.rod]",
        "must stay between the eye and the front plate",
    ),
    (
        "[errors.rod]",
        "[errors.rear]\ntilt_x = \"90 deg\"\n[errors.rod]",
        "stands square to the axis",
    ),
    (
        "[eye]",
        "[eye]\nrelief = \"20 mm\"",
        "must stay before the peephole",
    ),
    ("[eye]", "[eye]\nacuity = 400", "acuity is in logMAR"),
    (
        "tie = { direction = \"90 deg\" }",
        "bow = 5",
        "share of the rod",
    ),
    (
        "tie = { direction = \"90 deg\" }",
        "slip = \"1000 mm\"",
        "length along the line",
    ),
    (
        "tie = { direction = \"90 deg\" }",
        "slip = { form = \"normal\", sd = \"1 mm\", coverage = 0.95 }",
        "without a `plus_minus`",
    ),
    (
        "[errors.rod]",
        "[errors.line]\nslackening = { form = \"lognormal\", mean = 0.8, sd_log = 0.05 }\n[errors.rod]",
        "unknown key `mean`",
    ),
    ("target_yield = 0.9", "target_yield = 1", "must be below 1"),
    (
        "target_yield = 0.9",
        "target_yield = 0.9\n[cabinet]\nfront_hole = \"0.6 mm\"",
        "put the line into the table that is there already",
    ),
    (
        "target_yield = 0.9",
        "clear_share = 0",
        "must be above 0 and at most 1",
    ),
    (
        "eye_relief = \"12 mm\"",
        "eye_relief = \"12 mm\"\nplate_thickness = \"-1 mm\"",
        "must be 0 or more",
    ),
    (
        "eye_relief = \"12 mm\"",
        "eye_relief = \"12 mm\"\nplate_thickness = \"168 mm\"",
        "plate_thickness is \"168 mm\": the peephole's plate would reach the front plate, must be under 168 mm",
    ),
    (
        "diameter = \"1.8 mm\"",
        "diameter = \"1.8 mm\"\nnearest = \"100 mm\"",
        "must lie between 180 and 560 mm",
    ),
    (
        "diameter = \"1.8 mm\"",
        "diameter = \"1.8 mm\"\nshortest = \"90 mm\"\nlongest = \"80 mm\"",
        "must not be above longest",
    ),
    (
        "finish = \"clean\"",
        "drift_limit = 1e-300",
        "must be from 0.001 to 10000 arcmin",
    ),
    (
        "title = \"Sailing boat on a desk\"",
        "title = \"\\u001b[31mred\"",
        "no control characters",
    ),
];

#[test]
fn every_mistake_is_told_at_its_line_with_its_text_and_what_is_allowed() {
    for (from, to, expected) in EDITS {
        let (text, place) = boat_with(from, to);
        let Err(problems) = read(&text) else {
            panic!("{to} was let through")
        };
        let told = problems.to_string();
        assert!(told.contains(expected), "{to}:\n{told}\nlacks: {expected}");
        // the place is the edited line, or one of the lines that an edit of several lines added
        let line: usize = place
            .trim_end_matches(':')
            .rsplit(':')
            .next()
            .and_then(|n| n.parse().ok())
            .expect("a line");
        let added = to.matches('\n').count();
        let near = problems
            .list
            .iter()
            .any(|problem| (line..=line + added).contains(&problem.place.line));
        assert!(near, "{to}: told elsewhere than {place}\n{told}");
    }
    assert!(EDITS.len() >= 72);
}

#[test]
fn all_mistakes_of_a_file_are_told_at_once_in_its_order() {
    let mut text = shipped("desk-boat");
    let edits = [
        ("work = \"template-drilled\"", "work = \"good\""),
        ("picture_plane = \"400 mm\"", "picture_plane = \"400 N\""),
        ("lines = [\"bow\", \"stern\"]", "lines = [\"bow\", \"bow\"]"),
        (
            "depths = [\"390 mm\", \"480 mm\"]",
            "depths = [\"90 mm\", \"480 mm\"]",
        ),
        ("tie = { direction = \"90 deg\" }", "tie = \"up\""),
        ("finish = \"clean\"", "finish = \"perfect\""),
        ("builds = 100000", "builds = 0"),
    ];
    for (from, to) in edits {
        assert!(text.contains(from), "{from}");
        text = text.replacen(from, to, 1);
    }
    let problems = read(&text).expect_err("seven mistakes");
    assert_eq!(problems.list.len(), 7, "{problems}");
    assert!(
        problems
            .list
            .windows(2)
            .all(|pair| pair[0].place <= pair[1].place),
        "{problems}"
    );
}

#[test]
fn measured_columns_are_resampled() {
    let (text, _) = boat_with(
        "[errors.rod]",
        "[errors.plates]\nhole_scatter = { form = \"measured\", file = \"holes.csv\", columns = [\"dx\", \"dy\"], unit = \"mm\" }\n[errors.rod]",
    );
    let scenario = read(&text).expect("a good scenario");
    let source = sightdrift::figure::Source::HoleScatter(sightdrift::figure::Plate::Front);
    let start = scenario.plan.layout.start(source);
    let drawn =
        sightdrift::trial::fill_build(&scenario.plan, &sightdrift::trial::Sampler::plain(1), 0);
    // the two columns of a row stay together
    let rows = [[0.1, -0.2], [-0.1, 0.3]];
    assert!(
        rows.iter().any(|row| drawn[start..start + 2] == *row),
        "{:?}",
        &drawn[start..start + 2]
    );
    // the hash covers the measured file too
    let other = read_scenario("s.toml", &text, &|_| Ok("dx,dy\n1,1\n".to_owned())).expect("good");
    assert_ne!(scenario.sha256, other.sha256);
}

#[test]
fn an_explicit_file_is_checked_like_a_scenario() {
    let scenario = read(&shipped("desk-boat")).expect("a shipped scenario");
    for (text, expected) in [
        (
            "[lines]\nbwo = { tension = \"3 N\" }",
            "did you mean `bow`?",
        ),
        ("[lines]\nbow = { tension = \"0 N\" }", "must be above 0"),
        ("[lines]\nbow = 3", "must be a table"),
        ("[rods]\nmast = { tie = [1, 2, 3] }", "must be two pairs"),
        (
            "[rods]\nmast = { slip = \"1 mm\" }",
            "must be two quantities",
        ),
        (
            "[holes.front]\nbow = { slack = [0, 0], slack_towards = \"90 deg\" }",
            "one of them is enough",
        ),
        ("[front]\nprint_scale = \"3 mm\"", "but a number is needed"),
        ("[eye]\npupil = 0", "must be above 0"),
        ("sag = \"yes\"", "must be true or false"),
        ("[eyes]\n", "did you mean `eye`?"),
    ] {
        let told = read_explicit("one.toml", text, &scenario.plan)
            .expect_err(text)
            .to_string();
        assert!(
            told.starts_with("one.toml:") && told.contains(expected),
            "{text}:\n{told}"
        );
    }
    assert!(read_explicit("one.toml", "", &scenario.plan).is_ok());
}

#[test]
fn nothing_panics_on_a_scenario_cut_short_or_garbled() {
    let mut tried = 0;
    for name in [
        "carton-kite",
        "desk-boat",
        "gallery-bridge",
        "slack-windmill",
    ] {
        let text = shipped(name);
        for cut in (0..text.len())
            .step_by(37)
            .filter(|at| text.is_char_boundary(*at))
        {
            let _ = read(&text[..cut]);
            tried += 1;
        }
        // every 29th character replaced by each of some that mean something in TOML
        let characters: Vec<char> = text.chars().collect();
        for at in (0..characters.len()).step_by(29) {
            for garbage in ['"', '[', '}', '=', '-', '\u{0}', 'é', '9'] {
                let mut garbled = characters.clone();
                garbled[at] = garbage;
                let _ = read(&garbled.into_iter().collect::<String>());
                tried += 1;
            }
        }
    }
    for odd in [
        "",
        "\u{feff}",
        "[[[[",
        "a.b.c = 1",
        "x = ''' ",
        "figure = 1\nrods = 2\ncabinet = 3",
        "\r\n\r\n",
        "# only a comment",
    ] {
        assert!(read(odd).is_err());
        tried += 1;
    }
    println!("{tried} broken scenarios tried, none panicked");
    assert!(tried > 2500);
}

#[test]
fn control_characters_do_not_reach_the_terminal() {
    let (text, _) = boat_with("name = \"stern\",   ", "name = \"\\u001b[31mred\",   ");
    let told = read(&text).expect_err("a bad name").to_string();
    assert!(!told.contains('\u{1b}'), "{told:?}");
}
