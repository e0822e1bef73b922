//! `compare` as a person or a script runs it: files, JSON, names, nothing overwritten unasked, mistakes of both files at once.

mod binary;

use binary::{Folder, is_not_overwritten_unasked, shipped, stderr, stdout};
use serde_json::Value;

/// The kite, one with poorer holes, and one with a stricter finish.
fn with_kites(test: &str) -> Folder {
    let folder = Folder::new(test);
    let kite = shipped("carton-kite");
    folder.write("kite.toml", &kite);
    let title = |text: &str, title: &str| text.replacen("Kite in a carton", title, 1);
    let poor = title(&kite, "Kite, poor holes").replacen(
        "[errors.rod]",
        "[errors.front]\nhole_scatter = { form = \"normal\", sd = \"0.9 mm\" }\n[errors.rod]",
        1,
    );
    folder.write("poor.toml", &poor);
    let strict = title(&kite, "Kite, strict").replacen("\"clean\"", "\"seamless\"", 1);
    folder.write("strict.toml", &strict);
    folder
}

const FILES: [&str; 6] = [
    "compare.json",
    "comparison-items.png",
    "comparison-items.svg",
    "comparison.png",
    "comparison.svg",
    "report.html",
];

#[test]
fn the_answer_is_a_folder_with_page_json_and_drawings() {
    let folder = with_kites("compare-files");
    let output = folder.run(&["compare", "kite.toml", "poor.toml", "--builds", "400"]);
    assert!(output.status.success(), "{}", stderr(&output));
    assert_eq!(folder.names_in("reports/kite-poor-compare"), FILES);
    let text = stdout(&output);
    for words in [
        "Kite, poor holes is worse than Kite in a carton",
        "hole scatter, front plate",
        "what differs",
        "The verdict is on the yield alone",
        "those of Kite in a carton",
    ] {
        assert!(text.contains(words), "{words} in {text}");
    }
    let page =
        String::from_utf8(folder.read("reports/kite-poor-compare/report.html")).expect("UTF-8");
    for words in [
        "Which is better?",
        "What differs between the two",
        "Cautions",
        "sightdrift compare kite.toml poor.toml --seed 11 --builds 400 --looks 16",
        "poor.toml",
    ] {
        assert!(page.contains(words), "{words}");
    }
    for outside in ["src=\"http", "href=\"http", "url(http"] {
        assert!(!page.contains(outside), "{outside}");
    }
}

fn numbers(value: &Value) -> Vec<f64> {
    value
        .as_array()
        .expect("a list")
        .iter()
        .filter_map(Value::as_f64)
        .collect()
}

#[test]
fn json_holds_both_sides_and_their_difference_with_its_interval() {
    let folder = with_kites("compare-json");
    let json = folder.json(&[
        "compare",
        "kite.toml",
        "poor.toml",
        "--builds",
        "300",
        "--json",
    ]);
    assert_eq!(json["schema"], 1);
    assert_eq!(json["verdict"], "worse");
    let [first, second] = [0, 1].map(|side| {
        let one = &json["sides"][side];
        assert_eq!(one["yield"]["of"], 300);
        one["yield"]["count"].as_f64().expect("a count")
    });
    let difference = json["yield_difference"]["difference"]
        .as_f64()
        .expect("a number");
    assert!((difference - (second - first) / 300.0).abs() < 1e-12);
    let interval = numbers(&json["yield_difference"]["interval"]);
    assert!(interval[0] <= difference && difference <= interval[1] && interval[1] < 0.0);
    let same = &json["same_numbers"];
    let changed = [&same["gained"], &same["lost"]].map(|count| count.as_f64().expect("a count"));
    assert_eq!(first + changed[0], second + changed[1]);
    assert_eq!(json["items"].as_array().expect("a list").len(), 9);
    assert_eq!(json["differs"].as_array().expect("a list").len(), 1);
    assert_eq!(json["differs"][0]["judging"], false);
    assert_eq!(json["judged_differently_warning"], Value::Null);
}

#[test]
fn the_same_file_twice_differs_in_nothing() {
    let folder = with_kites("compare-same");
    let json = folder.json(&[
        "compare",
        "kite.toml",
        "kite.toml",
        "--builds",
        "200",
        "--json",
    ]);
    assert_eq!(json["verdict"], "no difference that these builds can show");
    assert_eq!(json["yield_difference"]["difference"], 0.0);
    assert_eq!(
        [
            &json["same_numbers"]["gained"],
            &json["same_numbers"]["lost"]
        ],
        [0, 0]
    );
    assert_eq!(json["differs"], Value::Array(Vec::new()));
    assert_eq!(
        [&json["sides"][0]["name"], &json["sides"][1]["name"]],
        ["first", "second"]
    );
}

#[test]
fn sides_that_are_judged_differently_are_warned_of() {
    let folder = with_kites("compare-judging");
    let json = folder.json(&[
        "compare",
        "kite.toml",
        "strict.toml",
        "--builds",
        "200",
        "--json",
    ]);
    let warning = json["judged_differently_warning"]
        .as_str()
        .expect("a warning");
    assert!(warning.contains("finish"), "{warning}");
    assert_eq!(json["verdict"], "worse");
}

#[test]
fn an_answer_is_not_overwritten_unasked_and_no_other_file_is_touched() {
    let folder = with_kites("compare-overwrite");
    let arguments = [
        "compare",
        "kite.toml",
        "poor.toml",
        "--builds",
        "100",
        "--out",
        "answer",
    ];
    is_not_overwritten_unasked(&folder, &arguments, "compare.json");
}

#[test]
fn what_is_wrong_with_either_file_is_told_at_once_and_nothing_is_written() {
    let folder = with_kites("compare-wrong");
    folder.write("broken.toml", "title = 3\n");
    for (arguments, words) in [
        (
            vec!["compare", "kite.toml", "missing.toml"],
            vec!["missing.toml"],
        ),
        (
            vec!["compare", "broken.toml", "missing.toml"],
            vec!["broken.toml:1:", "missing.toml"],
        ),
        (vec!["compare", "kite.toml"], vec!["SECOND"]),
        (
            vec!["compare", "kite.toml", "--before", "a.csv"],
            vec!["--after"],
        ),
        (
            vec![
                "compare",
                "kite.toml",
                "poor.toml",
                "--before",
                "a.csv",
                "--after",
                "b.csv",
            ],
            vec!["cannot be used with"],
        ),
        (
            vec![
                "compare",
                "kite.toml",
                "--before",
                "a.csv",
                "--after",
                "b.csv",
            ],
            vec!["a.csv", "b.csv"],
        ),
    ] {
        let output = folder.run(&arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        for word in words {
            assert!(
                stderr(&output).contains(word),
                "{word} in {}",
                stderr(&output)
            );
        }
    }
    folder.write(
        "bad.csv",
        "quantity,line,rod,at,value,x,y,unit,plus_minus,planned,remark\nheight,,,,3,,,mm,0.1,,\n",
    );
    let output = folder.run(&[
        "compare",
        "kite.toml",
        "--before",
        "bad.csv",
        "--after",
        "bad.csv",
    ]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        stderr(&output).contains("bad.csv:2:"),
        "{}",
        stderr(&output)
    );
    assert!(!folder.path().join("reports").exists());
}

#[test]
fn the_files_are_the_same_bytes_at_one_and_at_two_threads() {
    let folder = with_kites("compare-threads");
    for threads in ["1", "2"] {
        let out = format!("answer-{threads}");
        let output = folder.run(&[
            "compare",
            "kite.toml",
            "poor.toml",
            "--builds",
            "600",
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
fn a_build_before_and_after_its_repair_is_compared_from_its_sheets() {
    let folder = with_kites("compare-builds");
    // one hole of the rear plate was pierced 9 mm beside its mark, and then anew
    for (file, off) in [("astray.toml", "9 mm"), ("mended.toml", "0.3 mm")] {
        let hole = format!("nose = {{ scatter = [\"{off}\", \"0 mm\"] }}");
        folder.write(file, &format!("sag = true\n[holes.rear]\n{hole}\n"));
    }
    for (with, sheet, seed) in [
        ("astray.toml", "before.csv", "1"),
        ("mended.toml", "after.csv", "2"),
    ] {
        let output = folder.run(&[
            "see",
            "kite.toml",
            "--with",
            with,
            "--sheet",
            sheet,
            "--reading-seed",
            seed,
        ]);
        assert!(output.status.success(), "{}", stderr(&output));
    }
    let arguments = [
        "compare",
        "kite.toml",
        "--before",
        "before.csv",
        "--after",
        "after.csv",
        "--builds",
        "200",
        "--json",
    ];
    let json = folder.json(&arguments);
    assert_eq!(json["verdict"], "better");
    assert_eq!(json["same_numbers"], Value::Null);
    assert_eq!(json["sides"][0]["sheets"][0], "before.csv");
    let worst = [0, 1].map(|side| {
        json["sides"][side]["from_mean_place"]["worst_over_limit"]["median"]
            .as_f64()
            .expect("a number")
    });
    assert!(worst[0] > 1.0 && worst[1] < 1.0, "{worst:?}");
    assert_eq!(folder.names_in("reports/kite-before-after-compare"), FILES);
    // two diagnoses of one sheet leave about the same possible
    let same = folder.json(&[
        "compare",
        "kite.toml",
        "--before",
        "after.csv",
        "--after",
        "after.csv",
        "--builds",
        "200",
        "--json",
        "--out",
        "same",
    ]);
    assert_eq!(same["verdict"], "no difference that these builds can show");
}
