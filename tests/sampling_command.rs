//! Layouts of the random numbers as a person asks for them: by name, trial by trial, and with more numbers than dimensions.

mod binary;

use binary::{Folder, shipped, stderr};
use serde_json::Value;
use sightdrift::report::sight_json;
use sightdrift::sampling::Sampling;
use sightdrift::scenario::read_scenario;
use sightdrift::trial::{Sampler, Sight, fill_build, fill_look};
use std::fmt::Write as _;

const KITE: &str = "kite.toml";

fn with_kite(test: &str) -> Folder {
    let folder = Folder::new(test);
    folder.write(KITE, &shipped("carton-kite"));
    folder
}

/// The kite's text with this line in `[run]`.
fn kite_with(line: &str) -> String {
    let text = shipped("carton-kite");
    assert!(text.contains("[run]\n"));
    text.replace("[run]\n", &format!("[run]\n{line}\n"))
}

#[test]
fn see_shows_the_trial_of_a_run_with_the_same_layout() {
    let folder = with_kite("sampling-see");
    folder.write("sobol.toml", &kite_with("sampling = \"sobol\""));
    let no_files = |_: &str| Err("no file is named".to_owned());
    let scenario = read_scenario(KITE, &shipped("carton-kite"), &no_files).expect("a scenario");
    let plan = &scenario.plan;
    let mut seen = Vec::new();
    for sampling in Sampling::ALL {
        // the sampler of a whole run
        let sampler = Sampler::new(plan, sampling, scenario.run.seed, scenario.run.looks);
        for (build, look) in [(0, 0), (1090, 15)] {
            let sight = Sight::of(
                plan,
                &fill_build(plan, &sampler, build),
                &fill_look(plan, &sampler, build, look),
            )
            .expect("computable");
            let (trial, nth) = (build.to_string(), look.to_string());
            let of = ["--trial", &trial, "--look", &nth, "--json"];
            let name = ["--sampling", sampling.name()];
            let told = folder.json(&[&["see", KITE][..], &of, &name].concat());
            // through text, as what was told came
            let text = sight_json(plan, &sight, true).to_string();
            let wanted: Value = serde_json::from_str(&text).expect("JSON");
            assert!(told == wanted, "{sampling:?}, build {build}");
            if sampling == Sampling::Sobol {
                let read = folder.json(&[&["see", "sobol.toml"][..], &of].concat());
                assert!(read == told, "as the scenario has it");
            }
            assert!(!seen.contains(&told), "{sampling:?} {build} is another's");
            seen.push(told);
        }
    }
}

#[test]
fn a_run_s_layout_is_the_same_from_the_scenario_and_from_the_command_line() {
    let folder = with_kite("sampling-assess");
    let run = |arguments: &[&str]| folder.json(&[&["assess"][..], arguments].concat());
    let few = ["--builds", "2048", "--looks", "2", "--json"];
    for sampling in [Sampling::LatinHypercube, Sampling::Sobol] {
        let line = format!("sampling = \"{}\"", sampling.name());
        let file = format!("{}.toml", sampling.name());
        folder.write(&file, &kite_with(&line));
        let from_file = run(&[&[file.as_str(), "--overwrite", "--out", "a"][..], &few].concat());
        let option = ["--overwrite", "--out", "b", "--sampling", sampling.name()];
        let from_option = run(&[&[KITE][..], &option, &few].concat());
        for key in ["run", "yield", "rods", "junctions"] {
            assert!(!from_file[key].is_null(), "no {key}");
            assert!(from_file[key] == from_option[key], "{key}");
        }
        let again = run(&[&[KITE, "--threads", "1"][..], &option, &few].concat());
        assert!(again == from_option, "at one thread");
    }
}

#[test]
fn a_layout_that_is_not_known_is_told_with_those_that_are() {
    let folder = with_kite("sampling-wrong");
    folder.write("wrong.toml", &kite_with("sampling = \"sobool\""));
    let names = Sampling::ALL.map(Sampling::name);
    let cases: [&[&str]; 3] = [
        &["check", "wrong.toml"],
        &["assess", KITE, "--sampling", "sobool"],
        &["see", KITE, "--trial", "3", "--sampling", "sobool"],
    ];
    for arguments in cases {
        let output = folder.run(arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(output.stdout.is_empty());
        let told = stderr(&output);
        assert!(told.contains("sobool"), "{told}");
        assert!(names.iter().all(|name| told.contains(name)), "{told}");
    }
    let told = stderr(&folder.run(&["check", "wrong.toml"]));
    assert!(
        told.contains("wrong.toml:") && told.contains("did you mean `sobol`?"),
        "{told}"
    );
    assert_eq!(folder.names(), [KITE, "wrong.toml"]);
}

/// A scenario of this many lines on a grid and rods between neighbours.
fn many(lines: usize, rods: usize) -> String {
    let mut text = String::from(
        "title = \"many\"\nwork = \"machine-cut\"\n[figure]\npicture_plane = \"300 mm\"\nvertices = [\n",
    );
    for line in 0..lines {
        let (x, y) = (line % 30, line / 30);
        let _ = writeln!(text, "{{ name = \"v{line}\", x = {x}, y = {y} }},");
    }
    text.push_str(
        "]\n[cabinet]\nfront_plate = 150\nrear_plate = 350\nfront_hole = 0.3\nrear_hole = 0.3\n[peephole]\ndiameter = 40\n\
         eye_relief = 10\n[line]\nmaterial = \"nylon\"\ndiameter = 0.1\ntension = 100\n[rods]\ndiameter = 0.5\n\
         mass_per_length = 0.01\nlist = [\n",
    );
    for rod in 0..rods {
        let (a, b) = (rod % lines, (rod + 1 + rod / lines) % lines);
        let _ = writeln!(
            text,
            "{{ lines = [\"v{a}\", \"v{b}\"], depths = [200, 220] }},"
        );
    }
    text.push_str("]\n[run]\nbuilds = 1\nlooks = 1\nsampling = \"sobol\"\n");
    text
}

#[test]
fn more_numbers_than_dimensions_give_a_notice() {
    let folder = Folder::new("sampling-many");
    // 10 values a line, 8 a rod, 17 of the build as a whole, 5 of a look
    folder.write("many.toml", &many(530, 1990));
    folder.write("few.toml", &many(500, 1990));
    let output = folder.run(&["assess", "many.toml"]);
    let told = stderr(&output);
    assert!(output.status.success(), "{told}");
    assert!(
        told.contains("has 21242 values") && told.contains("the last 41 are"),
        "{told}"
    );
    let told = stderr(&folder.run(&["assess", "few.toml"]));
    assert!(!told.contains("Sobol"), "{told}");
}
