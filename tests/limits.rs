//! The stated limits: what is one too many is refused with the number, what is just enough is taken; and no unsafe code.

mod binary;

use binary::{Folder, shipped, stderr};
use sightdrift::scenario::{MOST_BUILDS, MOST_LOOKS, Problems, Scenario, read_scenario};
use std::fmt::Write as _;
use std::path::Path;

fn read(text: &str) -> Result<Scenario, Problems> {
    read_scenario("s.toml", text, &|_| Err("no file".to_owned()))
}

/// So many lines on a grid, and so many rods between neighbours on it.
fn grid(lines_n: usize, rods_n: usize) -> String {
    let side = (lines_n as f64).sqrt().ceil() as usize;
    let mut text =
        String::from("work = \"machine-cut\"\n[figure]\npicture_plane = 1000\nvertices = [\n");
    for nth in 0..lines_n {
        let [x, y] = [nth % side, nth / side].map(|at| 600.0 * at as f64 / side as f64 - 300.0);
        let _ = writeln!(text, "{{ name = \"v{nth}\", x = {x}, y = {y} }},");
    }
    text.push_str("]\n[cabinet]\nfront_plate = 200\nrear_plate = 600\n[peephole]\ndiameter = 40\neye_relief = 12\n");
    text.push_str("[line]\nmaterial = \"nylon\"\ndiameter = 0.25\ntension = 20\n[rods]\ndiameter = 1\nmaterial = \"balsa\"\nlist = [\n");
    for nth in 0..rods_n {
        let from = nth % lines_n;
        let to = (from + 1 + nth / lines_n) % lines_n;
        let _ = writeln!(
            text,
            "{{ lines = [\"v{from}\", \"v{to}\"], depths = [{}, {}], name = \"r{nth}\" }},",
            250 + nth % 150,
            420 + nth % 150
        );
    }
    text.push_str("]\n");
    text
}

#[test]
fn a_thousand_lines_and_two_thousand_rods_are_taken_and_no_more() {
    let most = read(&grid(1000, 2000)).unwrap_or_else(|told| panic!("{told}"));
    assert_eq!(most.plan.design.vertices.len(), 1000);
    assert_eq!(most.plan.design.rods.len(), 2000);
    let told = read(&grid(1001, 10))
        .expect_err("one line too many")
        .to_string();
    assert!(
        told.contains("[figure] has 1001 vertices, must have 2 to 1000"),
        "{told}"
    );
    let told = read(&grid(1000, 2001))
        .expect_err("one rod too many")
        .to_string();
    assert!(
        told.contains("[rods] lists 2001 rods, must list 1 to 2000"),
        "{told}"
    );
}

/// Far beyond the limit one message says so: no list of a hundred thousand follows it, whatever else is wrong with them.
#[test]
fn a_hundred_thousand_rods_are_refused_in_one_message() {
    let folder = Folder::new("limits-rods");
    for text in [
        grid(100, 100_000),
        grid(100, 100_000).replace("depths", "depth"),
    ] {
        folder.write("many.toml", &text);
        let output = folder.run(&["assess", "many.toml"]);
        let told = stderr(&output);
        assert_eq!(output.status.code(), Some(2));
        assert!(
            told.contains("[rods] lists 100000 rods, must list 1 to 2000"),
            "{told}"
        );
        assert!(told.lines().count() < 5, "{} lines", told.lines().count());
        assert_eq!(folder.names(), ["many.toml"]);
    }
    folder.write("many.toml", &grid(100_000, 10));
    let told = stderr(&folder.run(&["assess", "many.toml"]));
    assert!(
        told.contains("[figure] has 100000 vertices, must have 2 to 1000"),
        "{told}"
    );
    assert!(told.lines().count() < 5, "{told}");
}

#[test]
fn one_build_and_one_look_are_a_run_with_an_honest_interval() {
    let folder = Folder::new("limits-least");
    folder.write("kite.toml", &shipped("carton-kite"));
    let results = folder.json(&[
        "assess",
        "kite.toml",
        "--builds",
        "1",
        "--looks",
        "1",
        "--json",
        "--out",
        "r",
    ]);
    assert_eq!(results["yield"]["of"].as_u64(), Some(1));
    // of one build the Wilson interval spans at least 79 % of everything: z²/(1 + z²) with z = 1.96
    let interval = &results["yield"]["interval"];
    let [low, high] = [0, 1].map(|end| interval[end].as_f64().expect("a number"));
    assert!((high - low - 0.7935).abs() < 1e-3, "{low} to {high}");
    assert!(folder.names_in("r").len() > 5);
}

#[test]
fn counts_on_the_command_line_have_the_limits_of_the_file() {
    let folder = Folder::new("limits-counts");
    folder.write("kite.toml", &shipped("carton-kite"));
    for (option, most) in [("--builds", MOST_BUILDS), ("--looks", MOST_LOOKS)] {
        for wrong in [
            "0".to_owned(),
            (most + 1).to_string(),
            "-1".to_owned(),
            "1e3".to_owned(),
            "٣".to_owned(),
        ] {
            let output = folder.run(&["assess", "kite.toml", &format!("{option}={wrong}")]);
            assert_eq!(output.status.code(), Some(2), "{option} {wrong}");
            assert!(stderr(&output).contains(option), "{}", stderr(&output));
        }
    }
    assert_eq!(folder.names(), ["kite.toml"]);
}

/// The compiler refuses unsafe code in every target as long as the manifest says so, and `forbid` cannot be taken back in a file.
#[test]
fn unsafe_code_is_forbidden_everywhere() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let manifest: toml::Table = std::fs::read_to_string(root.join("Cargo.toml"))
        .expect("a manifest")
        .parse()
        .expect("TOML");
    assert_eq!(
        manifest["lints"]["rust"]["unsafe_code"].as_str(),
        Some("forbid")
    );
    let mut waiting = vec![
        root.join("src"),
        root.join("tests"),
        root.join("benches"),
        root.join("examples"),
    ];
    let (mut files_n, word) = (0, concat!("un", "safe"));
    while let Some(place) = waiting.pop() {
        for entry in std::fs::read_dir(&place).expect("readable") {
            let path = entry.expect("readable").path();
            if path.is_dir() {
                waiting.push(path);
            } else if path.extension().is_some_and(|ending| ending == "rs") {
                let text = std::fs::read_to_string(&path).expect("text");
                for form in [" {", " fn ", " impl ", " trait ", "(no_mangle)"] {
                    assert!(
                        !text.contains(&format!("{word}{form}")),
                        "{} has {word}{form}",
                        path.display()
                    );
                }
                files_n += 1;
            }
        }
    }
    assert!(files_n > 200, "{files_n}");
}
