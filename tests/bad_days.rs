//! Bad days: over three hundred bad inputs to every reader of the program, each told with its place, none of them writing anything.
//!
//! The inputs were thought of by hand; those at the end of the list are made from shipped files by a fixed rule.

mod binary;
#[path = "bad_days/other_readers.rs"]
mod other_readers;
#[path = "bad_days/scenario_edits.rs"]
mod scenario_edits;

use binary::{Folder, shipped, stderr};
use rayon::prelude::*;
use sightdrift::scenario::{read_explicit, read_scenario};

/// One bad input.
struct Bad {
    /// Files of the folder in which the program is run.
    files: Vec<(&'static str, Vec<u8>)>,
    arguments: Vec<&'static str>,
    /// The file that is at fault, and the lines on one of which it must be told; no lines where a file has none.
    file: &'static str,
    lines: Option<(usize, usize)>,
    told: String,
}

const ASSESS: [&str; 6] = ["assess", "bad.toml", "--builds", "64", "--looks", "1"];

impl Bad {
    fn scenario(text: String, lines: Option<(usize, usize)>, told: &str) -> Self {
        Self {
            files: vec![("bad.toml", text.into_bytes())],
            arguments: ASSESS.to_vec(),
            file: "bad.toml",
            lines,
            told: told.to_owned(),
        }
    }

    /// A file that is read beside the sailing boat.
    fn beside_boat(
        file: &'static str,
        text: &[u8],
        arguments: &[&'static str],
        told: &str,
    ) -> Self {
        Self {
            files: vec![
                ("boat.toml", shipped("desk-boat").into_bytes()),
                (file, text.to_vec()),
            ],
            arguments: arguments.to_vec(),
            file,
            lines: None,
            told: told.to_owned(),
        }
    }

    fn drawing(file: &'static str, text: &[u8], told: &str) -> Self {
        let mut arguments = vec!["begin", "new.toml", "--drawing", file];
        if file.ends_with(".obj") {
            arguments.extend(["--eye", "0,0,9", "--towards", "0,0,0"]);
        }
        Self {
            files: vec![(file, text.to_vec())],
            arguments,
            file,
            lines: None,
            told: told.to_owned(),
        }
    }

    /// What is wrong with how the program takes it; nothing where all is as it should be.
    fn fault(&self, nth: usize) -> Option<String> {
        let folder = Folder::new(&format!("bad-days-{nth}"));
        for (name, bytes) in &self.files {
            std::fs::write(folder.path().join(name), bytes).expect("written");
        }
        let before = folder.names();
        let output = folder.run(&self.arguments);
        let words = stderr(&output);
        let at_its_line = self.lines.is_none_or(|(first, last)| {
            (first..=last).any(|line| words.contains(&format!("{}:{line}:", self.file)))
        });
        let steers = |c: char| c.is_control() && c != '\n';
        let wrong = if output.status.code() != Some(2) {
            format!("exit code {:?}", output.status.code())
        } else if words.contains("panicked") {
            "panicked".to_owned()
        } else if folder.names() != before {
            format!("there are now {:?}", folder.names())
        } else if !output.stdout.is_empty() {
            "something stands on standard output".to_owned()
        } else if words.chars().any(steers) {
            "a control character stands on standard error".to_owned()
        } else if !words.contains(self.file) {
            format!("`{}` is not named", self.file)
        } else if !at_its_line {
            format!("told elsewhere than on {:?}", self.lines)
        } else if !words.contains(&self.told) {
            format!("lacks `{}`", self.told)
        } else if words.len() > 20_000 {
            format!("{} bytes of words", words.len())
        } else {
            return None;
        };
        let input = String::from_utf8_lossy(&self.files.last().expect("a file").1).into_owned();
        let input: String = input.chars().take(200).collect();
        Some(format!(
            "{nth} {:?}: {wrong}\n{words}\nof: {input:?}\n",
            self.arguments
        ))
    }
}

/// An edit of a shipped scenario, with the lines that it touches.
fn edited(scenario: &str, from: &str, to: &str, told: &str) -> Bad {
    let good = shipped(scenario);
    assert!(good.contains(from), "{scenario} lacks {from}");
    let at = good.find(from).expect("found above");
    let first = good[..at].matches('\n').count() + 1;
    // what is missing is told at its table, and what disagrees with another key at that key
    let elsewhere = [
        "has no",
        "did you mean",
        "off the axis",
        "within the cabinet's height",
    ];
    let lines =
        (!to.is_empty() && !elsewhere.iter().any(|words| told.contains(words))).then_some((
            first.saturating_sub(1),
            first + to.matches('\n').count() + 1,
        ));
    Bad::scenario(good.replacen(from, to, 1), lines, told)
}

/// All that was thought of by hand.
fn by_hand() -> Vec<Bad> {
    use other_readers::{BYTES, COUNTS, DRAWINGS, EXPLICIT, MEASURED, SHEETS, SOLIDS, TABLES};
    let mut all: Vec<Bad> = scenario_edits::EDITS
        .iter()
        .map(|(from, to, told)| edited("desk-boat", from, to, told))
        .collect();
    let see = [
        "see",
        "boat.toml",
        "--with",
        "one.toml",
        "--picture",
        "eye.svg",
    ];
    all.extend(
        EXPLICIT
            .iter()
            .map(|(text, told)| Bad::beside_boat("one.toml", text.as_bytes(), &see, told)),
    );
    let diagnose = ["diagnose", "boat.toml", "b.csv"];
    all.extend(
        SHEETS
            .iter()
            .map(|(text, told)| Bad::beside_boat("b.csv", text.as_bytes(), &diagnose, told)),
    );
    let merge = ["merge", "boat.toml", "bad.json"];
    all.extend(
        COUNTS
            .iter()
            .map(|(text, told)| Bad::beside_boat("bad.json", text.as_bytes(), &merge, told)),
    );
    all.extend(
        TABLES
            .iter()
            .map(|(text, told)| Bad::drawing("t.csv", text.as_bytes(), told)),
    );
    all.extend(
        SOLIDS
            .iter()
            .map(|(text, told)| Bad::drawing("s.obj", text.as_bytes(), told)),
    );
    all.extend(DRAWINGS.iter().map(|(inside, told)| {
        let text = format!(
            "<svg xmlns='http://www.w3.org/2000/svg' width='200mm' height='200mm' viewBox='0 0 200 200' stroke='black'>\n{inside}\n</svg>"
        );
        Bad::drawing("d.svg", text.as_bytes(), told)
    }));
    all.extend(MEASURED.iter().map(|(law, columns, told)| {
        let law = format!(
            "[errors.plates]\nhole_scatter = {{ form = \"measured\", {law} }}\n[errors.rod]"
        );
        let mut bad = edited("desk-boat", "[errors.rod]", &law, told);
        bad.files.push(("m.csv", columns.as_bytes().to_vec()));
        bad
    }));
    for (bytes, told) in BYTES {
        let scenario = Bad {
            files: vec![("bad.toml", bytes.to_vec())],
            ..Bad::scenario(String::new(), None, told)
        };
        all.push(scenario);
        all.push(Bad::beside_boat("one.toml", bytes, &see, told));
        all.push(Bad::beside_boat("b.csv", bytes, &diagnose, told));
        all.push(Bad::beside_boat("bad.json", bytes, &merge, told));
        all.extend(["t.csv", "s.obj", "d.svg"].map(|file| Bad::drawing(file, bytes, told)));
    }
    all
}

#[test]
fn every_bad_input_is_told_with_its_place_and_writes_nothing() {
    let all = by_hand();
    let by_hand_n = all.len();
    let faults: Vec<String> = all
        .par_iter()
        .enumerate()
        .filter_map(|(nth, bad)| bad.fault(nth))
        .collect();
    println!(
        "{by_hand_n} bad inputs thought of by hand, {} of them not told as they should be",
        faults.len()
    );
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    assert!(by_hand_n >= 300);
}

/// Every `key = value` line of a text: its number, the text before it, the key, the text behind it.
fn lines_with_a_value(text: &str) -> Vec<(usize, String, String, String)> {
    let lines: Vec<&str> = text.lines().collect();
    let mut found = Vec::new();
    for (nth, line) in lines.iter().enumerate() {
        let Some((key, value)) = line.split_once(" = ") else {
            continue;
        };
        let is_key = key
            .chars()
            .all(|c| c.is_ascii_alphanumeric() || "_.-".contains(c));
        let code = value.split(" #").next().unwrap_or("").trim_end();
        // a value that goes on in the next line is left alone
        let opens = |open: char| code.matches(open).count();
        let is_whole = opens('[') == opens(']') && opens('{') == opens('}');
        if is_key && is_whole {
            let joined = |lines: &[&str]| lines.iter().flat_map(|line| [line, "\n"]).collect();
            found.push((
                nth + 1,
                joined(&lines[..nth]),
                key.to_owned(),
                joined(&lines[nth + 1..]),
            ));
        }
    }
    found
}

/// An explicit file with a key of every kind.
const EVERY_EXPLICIT_KEY: &str = "sag = true
[front]
pattern_shift = [\"0.1 mm\", 0]
pattern_turn = \"1 arcmin\"
print_scale = 0.001
seat_depth = \"0.2 mm\"
tilt_x = \"0.1 deg\"
tilt_y = \"0.1 deg\"
[holes.rear]
bow = { scatter = [0, 0.1], slack_towards = \"90 deg\" }
[lines]
bow = { tension = \"5 N\" }
[rods]
deck = { tie = [[0, 1], [0, 1]], slip = [1, 0], bow = [0.01, 0] }
[peephole]
shift = [0.1, 0]
depth = 0.1
diameter = 8
[eye]
offset = [0.1, 0]
relief = 0.1
pupil = 3
acuity = 0.1
";

/// No key of any shipped scenario, nor of an explicit file, takes what is of a wrong kind: each is told in its line.
#[test]
fn every_key_refuses_every_wrong_kind_of_value_in_its_line() {
    const WRONG: [&str; 6] = [
        "1979-05-27",
        "07:32:00",
        "[[]]",
        "{ zzz = 1 }",
        "[true, false, true]",
        "\"\"",
    ];
    let no_files = |_: &str| Err("there is no such file".to_owned());
    let boat = read_scenario("s.toml", &shipped("desk-boat"), &no_files).expect("shipped");
    read_explicit("s.toml", EVERY_EXPLICIT_KEY, &boat.plan).expect("a good explicit file");
    let mut texts: Vec<(bool, String)> = vec![(true, EVERY_EXPLICIT_KEY.to_owned())];
    let names = [
        "carton-kite",
        "desk-boat",
        "gallery-bridge",
        "slack-windmill",
    ];
    texts.extend(names.map(|name| (false, shipped(name))));
    let mut tried = 0;
    for (is_explicit, text) in &texts {
        for (line, before, key, behind) in lines_with_a_value(text) {
            for wrong in WRONG {
                let bad = format!("{before}{key} = {wrong}\n{behind}");
                let told = if *is_explicit {
                    read_explicit("s.toml", &bad, &boat.plan).err()
                } else {
                    read_scenario("s.toml", &bad, &no_files).err()
                };
                let told = told
                    .unwrap_or_else(|| panic!("{key} = {wrong} is taken"))
                    .to_string();
                let place = format!("s.toml:{line}:");
                assert!(
                    told.contains(&place),
                    "{key} = {wrong} is not told at {place}\n{told}"
                );
                tried += 1;
            }
        }
    }
    println!("{tried} values of a wrong kind, each refused in its line");
    assert!(tried > 600, "{tried}");
}
