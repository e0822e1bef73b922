//! The program as a person or a script runs it: exit codes, streams, files, and nothing overwritten unasked.

mod binary;

use binary::{Folder, plain_scenario, shipped, stderr, stdout};
use std::fs;

const SMALL: [&str; 4] = ["--builds", "300", "--looks", "2"];

fn with_kite(test: &str) -> Folder {
    let folder = Folder::new(test);
    folder.write("kite.toml", &shipped("carton-kite"));
    folder
}

fn assess(folder: &Folder, more: &[&str]) -> std::process::Output {
    let mut arguments = vec!["assess", "kite.toml"];
    arguments.extend(SMALL);
    arguments.extend(more);
    folder.run(&arguments)
}

#[test]
fn a_report_is_written_whole() {
    let folder = with_kite("whole-report");
    let output = assess(&folder, &[]);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    assert!(stdout(&output).contains("It "), "{}", stdout(&output));
    let names = folder.names_in("reports/kite");
    let drawings = [
        "broke-first",
        "cabinet",
        "causes",
        "drift",
        "eye-view",
        "gap",
        "holding-zone",
        "yield",
    ];
    let mut expected: Vec<String> = drawings
        .iter()
        .flat_map(|name| [format!("{name}.png"), format!("{name}.svg")])
        .collect();
    expected
        .extend(["junctions.csv", "report.html", "results.json", "rods.csv"].map(str::to_owned));
    expected.sort();
    assert_eq!(names, expected);
    // nothing unfinished is left beside it
    assert_eq!(
        fs::read_dir(folder.path().join("reports"))
            .expect("readable")
            .count(),
        1
    );
}

#[test]
fn the_page_asks_for_nothing_from_a_network() {
    let folder = with_kite("offline");
    assess(&folder, &[]);
    let page = String::from_utf8(folder.read("reports/kite/report.html")).expect("UTF-8");
    for asked in [
        "src=\"http",
        "href=\"http",
        "url(http",
        "src='http",
        "href='http",
        "@import",
        "<script src",
        "<link",
        "fetch(",
        "import(",
        "XMLHttpRequest",
        "WebSocket",
        "EventSource",
        "sendBeacon",
    ] {
        assert!(!page.contains(asked), "the page holds {asked}");
    }
    // and a browser is told so
    assert!(page.contains("content=\"default-src 'none';"));
    for told in [
        "What breaks it",
        "How sure this is",
        "Assumptions",
        "Cautions",
        "How to make this report again",
    ] {
        assert!(page.contains(told), "the page lacks {told}");
    }
    let hash = &folder.json(&["check", "kite.toml", "--json"])["sha256"];
    assert!(page.contains(hash.as_str().expect("a hash")));
}

#[test]
fn a_report_is_replaced_only_when_asked() {
    let folder = with_kite("replace");
    assert_eq!(assess(&folder, &[]).status.code(), Some(0));
    let before = folder.read("reports/kite/results.json");
    let refused = assess(&folder, &["--seed", "99"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(
        stderr(&refused).contains("--overwrite"),
        "{}",
        stderr(&refused)
    );
    assert_eq!(folder.read("reports/kite/results.json"), before);
    assert_eq!(
        assess(&folder, &["--seed", "99", "--overwrite"])
            .status
            .code(),
        Some(0)
    );
    assert_ne!(folder.read("reports/kite/results.json"), before);
}

#[test]
fn a_folder_with_other_files_is_never_touched() {
    let folder = with_kite("other-files");
    fs::create_dir_all(folder.path().join("mine")).expect("a folder");
    folder.write("mine/letter.txt", "keep me");
    let refused = assess(&folder, &["--out", "mine", "--overwrite"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(stderr(&refused).contains("letter.txt"));
    assert_eq!(folder.read("mine/letter.txt"), b"keep me");
    assert_eq!(folder.names(), ["kite.toml", "mine"]);
}

#[test]
fn bad_input_ends_with_2_and_writes_nothing() {
    let folder = Folder::new("bad-input");
    folder.write(
        "bad.toml",
        &shipped("carton-kite").replace("\"6 mm\"", "\"6 N\""),
    );
    for command in ["assess", "check", "see"] {
        let output = folder.run(&[command, "bad.toml"]);
        assert_eq!(output.status.code(), Some(2), "{command}");
        assert!(
            output.stdout.is_empty(),
            "{command} wrote to standard output"
        );
        assert!(stderr(&output).contains("bad.toml:"), "{}", stderr(&output));
    }
    assert_eq!(folder.names(), ["bad.toml"]);
}

#[test]
fn gate_ends_with_1_only_when_asked_and_not_met() {
    let folder = Folder::new("gate");
    folder.write("kite.toml", &shipped("slack-windmill"));
    assert_eq!(assess(&folder, &[]).status.code(), Some(0));
    assert_eq!(
        assess(&folder, &["--overwrite", "--gate"]).status.code(),
        Some(1)
    );
    folder.write("kite.toml", &plain_scenario("fitted", "\"off\"", "\"off\""));
    assert_eq!(
        assess(&folder, &["--overwrite", "--gate"]).status.code(),
        Some(0)
    );
}

#[test]
fn every_command_with_a_verdict_ends_with_1_only_when_asked_and_not_met() {
    let folder = Folder::new("gates");
    folder.write("kite.toml", &shipped("carton-kite"));
    let scattered = "{ form = \"normal\", sd = \"6 mm\" }";
    for (name, scatter) in [("plain.toml", "\"off\""), ("rough.toml", scattered)] {
        let text = plain_scenario("fitted", "\"off\"", scatter);
        folder.write(name, &text.replace("builds = 20000", "builds = 300"));
    }
    folder.write(
        "tall.toml",
        &shipped("carton-kite").replace("depth = \"16 in\"", "depth = \"9 in\""),
    );
    folder.write("sound.toml", "sag = true\n");
    folder.write(
        "spoilt.toml",
        "sag = true\n[rear]\nprint_scale = \"-8 %\"\n",
    );
    folder.write("boat.toml", &shipped("desk-boat"));
    for (with, sheet) in [("sound.toml", "sound.csv"), ("spoilt.toml", "spoilt.csv")] {
        let see = ["see", "boat.toml", "--with", with, "--sheet", sheet];
        assert_eq!(folder.run(&see).status.code(), Some(0));
    }
    let few = ["--builds", "100", "--looks", "2", "--overwrite"];
    let samples = ["--samples", "100", "--repetitions", "4"];
    for (met, not_met, more) in [
        (
            vec!["check", "kite.toml"],
            vec!["check", "tall.toml"],
            &[][..],
        ),
        (
            vec!["peephole", "plain.toml"],
            vec!["peephole", "rough.toml"],
            &few,
        ),
        (
            vec!["rare", "plain.toml"],
            vec!["rare", "rough.toml"],
            &samples,
        ),
        (
            vec!["compare", "rough.toml", "plain.toml"],
            vec!["compare", "plain.toml", "plain.toml"],
            &few,
        ),
        (
            vec!["diagnose", "boat.toml", "sound.csv"],
            vec!["diagnose", "boat.toml", "spoilt.csv"],
            &["--overwrite"],
        ),
    ] {
        for (command, code) in [(met, 0), (not_met, 1)] {
            let mut arguments = command.clone();
            arguments.extend(more);
            arguments.push("--gate");
            let output = folder.run(&arguments);
            assert_eq!(
                output.status.code(),
                Some(code),
                "{arguments:?}: {}{}",
                stdout(&output),
                stderr(&output)
            );
            if code == 1 {
                arguments.pop();
                // what is cheap is also run without being asked
                let is_cheap = matches!(command[0], "check" | "rare" | "compare" | "diagnose");
                assert!(!is_cheap || folder.run(&arguments).status.code() == Some(0));
            }
        }
    }
    let unbounded = folder.run(&["check", "plain.toml", "--gate"]);
    assert_eq!(unbounded.status.code(), Some(2));
    assert!(stderr(&unbounded).contains("[allowed]"));
}

#[test]
fn a_scenario_that_is_written_elsewhere_leads_back_to_the_files_that_it_names() {
    let folder = Folder::new("led-back");
    for name in ["designs/laws", "other"] {
        fs::create_dir_all(folder.path().join(name)).expect("a folder");
    }
    folder.write(
        "designs/laws/eyes.csv",
        "x,y\n0.1,1\n-0.9,-0.4\n0.3,0\n-0.2,0.6\n",
    );
    let text = shipped("carton-kite");
    let law = "offset = { form = \"normal\", sd = \"1.1 mm\" }";
    assert!(text.contains(law) && text.contains("target_yield = 0.9"));
    let text = text.replacen(
        law,
        "offset = { form = \"measured\", file = \"laws/eyes.csv\", columns = [\"x\", \"y\"], unit = \"mm\" } # ours",
        1,
    );
    folder.write("designs/kite.toml", &text);
    let high = text.replacen("target_yield = 0.9", "target_yield = 0.999999", 1);
    folder.write("designs/high.toml", &high);
    let few = ["--builds", "100", "--looks", "2", "--gate"];
    let run = |arguments: &[&str], more: &[&str], code: i32| {
        let output = folder.run(&[arguments, more].concat());
        let told = (stdout(&output), stderr(&output));
        assert_eq!(output.status.code(), Some(code), "{arguments:?}: {told:?}");
        assert!(!told.1.contains("no way leads"), "{told:?}");
        told.0
    };
    for out in ["other/threaded.toml", "designs/threaded.toml"] {
        run(&["thread", "designs/kite.toml", "--out", out], &[], 0);
    }
    // what their gates ask is met by the layout, and by no set of ways
    let told = run(
        &["lay-out", "designs/kite.toml", "--out", "answers/l"],
        &few,
        0,
    );
    assert!(told.contains("laws/eyes.csv"), "{told}");
    run(
        &["tolerances", "designs/high.toml", "--out", "answers/deep/t"],
        &few,
        1,
    );
    let eyes = |file: &str| {
        let found = folder.json(&["check", file, "--json"]);
        let sources = found["sources"].as_array().expect("sources").clone();
        let mut eyes = sources.into_iter().filter(|one| one["key"] == "eye.offset");
        eyes.next().expect("an eye")["law"].clone()
    };
    let law = eyes("designs/kite.toml");
    for (file, way) in [
        ("other/threaded.toml", "../designs/laws/eyes.csv"),
        ("designs/threaded.toml", "laws/eyes.csv"),
        ("answers/l/laid-out.toml", "../../designs/laws/eyes.csv"),
        (
            "answers/deep/t/with-the-set.toml",
            "../../../designs/laws/eyes.csv",
        ),
    ] {
        assert_eq!(eyes(file), law, "{file}");
        let text = String::from_utf8(folder.read(file)).expect("UTF-8");
        let line = format!("file = \"{way}\", columns = [\"x\", \"y\"], unit = \"mm\" }} # ours");
        assert!(text.contains(&line), "{file}:\n{text}");
    }
}

#[test]
fn json_is_all_that_is_on_standard_output() {
    let folder = with_kite("json");
    let results = folder.json(&[
        "assess",
        "kite.toml",
        "--builds",
        "300",
        "--looks",
        "2",
        "--json",
    ]);
    assert_eq!(results["schema"], 1);
    assert_eq!(results["run"]["builds"], 300);
    let share = results["yield"]["share"].as_f64().expect("a share");
    let interval = &results["yield"]["interval"];
    assert!(interval[0].as_f64() <= Some(share) && interval[1].as_f64() >= Some(share));
    assert!(folder.json(&["check", "kite.toml", "--json"])["nominal"]["lines"].is_array());
    assert!(folder.json(&["see", "kite.toml", "--trial", "3", "--json"])["rods"].is_array());
}

#[test]
fn a_report_is_the_same_bytes_at_1_2_and_8_threads() {
    let folder = with_kite("threads");
    let mut reports = Vec::new();
    for threads in ["1", "2", "8"] {
        let output = folder.run(&[
            "assess",
            "kite.toml",
            "--builds",
            "3000",
            "--looks",
            "3",
            "--overwrite",
            "--threads",
            threads,
        ]);
        assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
        let mut files: Vec<_> = fs::read_dir(folder.path().join("reports/kite"))
            .expect("the report's folder")
            .map(|entry| {
                let path = entry.expect("readable").path();
                (
                    path.file_name().expect("a name").to_owned(),
                    fs::read(&path).expect("readable"),
                )
            })
            .collect();
        files.sort();
        reports.push((stdout(&output), files));
    }
    assert!(reports[0] == reports[1], "1 and 2 threads differ");
    assert!(reports[0] == reports[2], "1 and 8 threads differ");
}

#[test]
fn a_trial_of_the_report_can_be_seen_again() {
    // the first trial that could not be computed is named by number, and `see` gives the same reason for it
    let folder = Folder::new("again");
    folder.write("kite.toml", &shipped("slack-windmill"));
    let results = folder.json(&[
        "assess",
        "kite.toml",
        "--builds",
        "600",
        "--looks",
        "1",
        "--json",
    ]);
    let first = &results["run"]["not_computable"]["first"][0];
    let build = first["build"]
        .as_u64()
        .expect("a build's number")
        .to_string();
    let output = folder.run(&["see", "kite.toml", "--trial", &build]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        stderr(&output).contains(first["reason"].as_str().expect("a reason")),
        "{}",
        stderr(&output)
    );
}

#[test]
fn a_picture_is_drawn_and_never_over_another_file() {
    let folder = with_kite("picture");
    assert_eq!(
        folder
            .run(&["see", "kite.toml", "--picture", "one.svg"])
            .status
            .code(),
        Some(0)
    );
    assert!(folder.read("one.svg").starts_with(b"<svg"));
    assert_eq!(
        folder
            .run(&["see", "kite.toml", "--picture", "one.svg"])
            .status
            .code(),
        Some(2)
    );
    assert_eq!(
        folder
            .run(&["see", "kite.toml", "--picture", "one.png"])
            .status
            .code(),
        Some(0)
    );
    assert!(folder.read("one.png").starts_with(b"\x89PNG"));
    assert_eq!(
        folder
            .run(&["see", "kite.toml", "--picture", "one.gif"])
            .status
            .code(),
        Some(2)
    );
}

#[test]
fn begin_writes_a_scenario_that_can_be_assessed_and_overwrites_nothing() {
    let folder = Folder::new("begin");
    let points = [
        "begin",
        "tent.toml",
        "--title",
        "A \"tent\"",
        "--vertex",
        "top=0,50",
        "--vertex",
        "left=-40,-30",
        "--vertex",
        "right=40,-30",
        "--vertex",
        "door=0,-30",
        "--rod",
        "top:left",
        "--rod",
        "top:right",
        "--rod",
        "left:right",
        "--rod",
        "top:door",
    ];
    let output = folder.run(&points);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let checked = folder.json(&["check", "tent.toml", "--json"]);
    assert_eq!(checked["title"], "A \"tent\"");
    assert_eq!(checked["nominal"]["rods"].as_array().map(Vec::len), Some(4));
    let before = folder.read("tent.toml");
    let refused = folder.run(&["begin", "tent.toml"]);
    assert_eq!(refused.status.code(), Some(2));
    assert_eq!(folder.read("tent.toml"), before);
    assert_eq!(
        folder
            .run(&["begin", "tent.toml", "--overwrite"])
            .status
            .code(),
        Some(0)
    );
    assert_ne!(folder.read("tent.toml"), before);
    assert_eq!(folder.run(&["check", "tent.toml"]).status.code(), Some(0));
    for example in [
        "carton-kite",
        "desk-boat",
        "gallery-bridge",
        "slack-windmill",
    ] {
        let file = format!("{example}.toml");
        assert_eq!(
            folder
                .run(&["begin", &file, "--example", example])
                .status
                .code(),
            Some(0)
        );
        assert_eq!(
            folder.run(&["check", &file]).status.code(),
            Some(0),
            "{example}"
        );
    }
    assert_eq!(
        folder
            .run(&["begin", "no.toml", "--vertex", "a=0,0"])
            .status
            .code(),
        Some(2)
    );
    assert_eq!(
        folder
            .run(&["begin", "no.toml", "--vertex", "a=0,0", "--vertex", "a=5,5"])
            .status
            .code(),
        Some(2)
    );
    assert!(!folder.names().contains(&"no.toml".to_owned()));
}

#[test]
fn completions_and_help_are_printed() {
    let folder = Folder::new("help");
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let output = folder.run(&["completions", shell]);
        assert_eq!(output.status.code(), Some(0));
        for word in ["assess", "merge", "part", "resume", "to-the-cap"] {
            assert!(stdout(&output).contains(word), "{shell} lacks {word}");
        }
    }
    let help = stdout(&folder.run(&["--help"]));
    for word in [
        "assess",
        "merge",
        "check",
        "see",
        "begin",
        "Exit codes",
        "NO_COLOR",
    ] {
        assert!(help.contains(word), "--help lacks {word}");
    }
    assert_eq!(folder.run(&["no-such-command"]).status.code(), Some(2));
    assert_eq!(
        folder
            .run(&["assess", "x.toml", "--builds", "0"])
            .status
            .code(),
        Some(2)
    );
}

#[test]
fn a_folder_named_like_a_reports_file_is_not_taken_for_one() {
    let folder = with_kite("folder-in-report");
    fs::create_dir_all(folder.path().join("mine/report.html")).expect("a folder");
    folder.write("mine/report.html/letter.txt", "keep me");
    let refused = assess(&folder, &["--out", "mine", "--overwrite"]);
    assert_eq!(refused.status.code(), Some(2), "{}", stderr(&refused));
    assert_eq!(folder.read("mine/report.html/letter.txt"), b"keep me");
    for odd in [".", "..", "/"] {
        assert_eq!(
            assess(&folder, &["--out", odd]).status.code(),
            Some(2),
            "{odd}"
        );
    }
}

#[cfg(unix)]
#[test]
fn a_device_is_not_read_as_a_scenario() {
    let folder = Folder::new("device");
    let output = folder.run(&["check", "/dev/zero"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        stderr(&output).contains("no ordinary file"),
        "{}",
        stderr(&output)
    );
}
