//! `peephole` as a person or a script runs it: files, JSON, nothing overwritten unasked, the same bytes at any thread count.

mod binary;

use binary::{Folder, is_not_overwritten_unasked, shipped, stderr, stdout};

fn with_kite(test: &str) -> Folder {
    let folder = Folder::new(test);
    folder.write("kite.toml", &shipped("carton-kite"));
    folder
}

const FILES: [&str; 6] = [
    "peephole-limits.png",
    "peephole-limits.svg",
    "peephole.json",
    "peephole.png",
    "peephole.svg",
    "report.html",
];

#[test]
fn the_answer_is_a_folder_with_page_json_and_drawings() {
    let folder = with_kite("peephole-files");
    let output = folder.run(&["peephole", "kite.toml", "--builds", "300"]);
    assert!(output.status.success(), "{}", stderr(&output));
    assert_eq!(folder.names_in("reports/kite-peephole"), FILES);
    let text = stdout(&output);
    for words in ["Smallest:", "Take the", "A check by hand", "assumes"] {
        assert!(text.contains(words), "{words} in {text}");
    }
    let page = String::from_utf8(folder.read("reports/kite-peephole/report.html")).expect("UTF-8");
    for words in [
        "How big may the peephole be?",
        "Assumptions",
        "Cautions",
        "sightdrift peephole kite.toml --seed 11 --builds 300 --looks 16",
    ] {
        assert!(page.contains(words), "{words}");
    }
    for outside in ["src=\"http", "href=\"http", "url(http"] {
        assert!(!page.contains(outside), "{outside}");
    }
}

#[test]
fn json_holds_every_number_with_its_interval_and_counts() {
    let folder = with_kite("peephole-json");
    let json = folder.json(&["peephole", "kite.toml", "--builds", "300", "--json"]);
    assert_eq!(json["schema"], 1);
    assert_eq!(json["builds"], 300);
    let diameters = json["diameters"].as_array().expect("a list");
    assert_eq!(diameters.len(), 25);
    for diameter in diameters {
        for share in ["clear", "both"] {
            let one = &diameter["gives"][share];
            let interval = one["interval"].as_array().expect("an interval");
            let share = one["share"].as_f64().expect("a share");
            assert!(interval[0].as_f64() <= Some(share) && Some(share) <= interval[1].as_f64());
            assert_eq!(one["of"], 4800.0);
        }
        assert_eq!(diameter["gives"]["yield"]["of"], 300);
    }
    assert_eq!(json["range"]["smallest"]["binds"], "clear");
    assert!(json["recommended"]["proof"]["yield"]["share"].is_f64());
    assert_eq!(json["own_is_in_range"], true);
}

#[test]
fn the_first_lines_are_the_answer_and_what_to_take_and_eyes_without_a_guide_are_warned_of() {
    let folder = with_kite("peephole-first");
    folder.write("bridge.toml", &shipped("gallery-bridge"));
    let wide = shipped("carton-kite").replacen("diameter = \"6 mm\"", "diameter = \"5000 mm\"", 1);
    folder.write("wide.toml", &wide);
    let output = folder.run(&["peephole", "bridge.toml", "--builds", "400"]);
    let text = stdout(&output);
    let lines: Vec<&str> = text.lines().filter(|line| !line.is_empty()).collect();
    for (line, start) in lines[1..]
        .iter()
        .zip(["The peephole may be", "Take the", "Warning: "])
    {
        assert!(line.starts_with(start), "{line}");
    }
    assert!(
        lines[3].contains("guide the eye (a rest for the brow"),
        "{}",
        lines[3]
    );
    let json = folder.json(&["peephole", "wide.toml", "--builds", "200", "--json"]);
    assert_eq!(json["own_is_in_range"], false);
    assert_eq!(json["own_is_wider_than_of_use"], true);
    assert_eq!(json["range"]["largest"]["binds"], "guides");
    assert_eq!(json["range"]["largest"]["from"], "model");
    let answer = json["answer"].to_string();
    for words in [
        "5000 mm is wider than is of use",
        "wider than that shows nothing more",
    ] {
        assert!(answer.contains(words), "{answer}");
    }
}

#[test]
fn an_answer_is_not_overwritten_unasked_and_no_other_file_is_touched() {
    let folder = with_kite("peephole-overwrite");
    let arguments = [
        "peephole",
        "kite.toml",
        "--builds",
        "100",
        "--out",
        "answer",
    ];
    is_not_overwritten_unasked(&folder, &arguments, "peephole.json");
}

#[test]
fn the_files_are_the_same_bytes_at_one_and_at_two_threads() {
    let folder = with_kite("peephole-threads");
    for threads in ["1", "2"] {
        let out = format!("answer-{threads}");
        let output = folder.run(&[
            "peephole",
            "kite.toml",
            "--builds",
            "300",
            "--threads",
            threads,
            "--out",
            &out,
        ]);
        assert!(output.status.success(), "{}", stderr(&output));
    }
    for file in FILES {
        let [one, two] = ["1", "2"].map(|threads| folder.read(&format!("answer-{threads}/{file}")));
        assert!(one == two, "{file}");
    }
}

#[test]
fn odd_counts_are_answered_or_refused_in_words() {
    let folder = with_kite("peephole-odd");
    let one = folder.run(&["peephole", "kite.toml", "--builds", "1", "--looks", "1"]);
    assert!(one.status.success(), "{}", stderr(&one));
    for wrong in [["--builds", "0"], ["--builds", "2000000"], ["--looks", "0"]] {
        let refused = folder.run(&[
            "peephole",
            "kite.toml",
            wrong[0],
            wrong[1],
            "--out",
            "other",
        ]);
        assert_eq!(refused.status.code(), Some(2), "{wrong:?}");
    }
}
