//! Bad counts files: each mistake is told with the file's name and what is wrong; nothing is written, nothing panics.

mod binary;
#[path = "support/sealed.rs"]
mod sealed;

use binary::{Folder, shipped, stderr};
use sealed::seal;
use serde_json::{Value, json};

const RUN: [&str; 8] = [
    "assess",
    "mill.toml",
    "--builds",
    "700",
    "--looks",
    "2",
    "--seed",
    "3",
];

/// The first of two parts of a scenario that has builds which cannot be computed.
fn with_part(test: &str) -> (Folder, Value) {
    let folder = Folder::new(test);
    folder.write("mill.toml", &shipped("slack-windmill"));
    let mut arguments = RUN.to_vec();
    arguments.extend(["--part", "1/2", "--out", "good.json"]);
    let output = folder.run(&arguments);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let file: Value = serde_json::from_slice(&folder.read("good.json")).expect("JSON");
    let mut sealed = file.clone();
    seal(&mut sealed);
    assert_eq!(file, sealed, "the test's digests are the program's");
    assert!(
        file["counts"]["tally"]["first_not_computable"]
            .as_array()
            .map_or(0, Vec::len)
            > 1
    );
    (folder, file)
}

/// Puts `text` before the merging program; it must be refused with these words, and write nothing.
fn refused(folder: &Folder, text: &[u8], told: &str) {
    std::fs::write(folder.path().join("bad.json"), text).expect("written");
    let before = folder.names();
    let output = folder.run(&["merge", "mill.toml", "bad.json"]);
    let words = stderr(&output);
    assert_eq!(output.status.code(), Some(2), "{told}: {words}");
    assert!(words.contains("bad.json"), "{words}");
    assert!(words.contains(told), "expected `{told}` in: {words}");
    assert!(!words.contains("panicked") && words.len() < 2000, "{words}");
    assert_eq!(folder.names(), before);
}

/// The running estimate after 256 builds, of which this many in each of the first four repetitions passed.
fn in_repetitions(first: [u64; 4]) -> Value {
    let mut passed = [0; 16];
    passed[..4].copy_from_slice(&first);
    json!([[256, passed]])
}

/// Where in the file, what to put there (`null` removes), and what must be told.
fn edits() -> Vec<(&'static str, Value, &'static str)> {
    const HUGE: u64 = u64::MAX;
    let tally = |rest: &str| -> &'static str { Box::leak(format!("/counts/tally/{rest}").into()) };
    vec![
        ("/format", json!("other"), "is no counts file"),
        ("/schema", json!(2), "was made by version"),
        ("/program", json!("99.0.0"), "was made by version 99.0.0"),
        ("/sampling_version", json!(77), "sampling version 77"),
        (
            "/scenario_sha256",
            json!("00"),
            "was made from another scenario",
        ),
        ("/run/builds", json!(0), "its builds is 0"),
        ("/run/builds", json!(HUGE), "must be 1 to 1000000000"),
        ("/run/looks", json!(1001), "must be 1 to 1000"),
        ("/run/seed", json!(HUGE), "its seed is 18446744073709551615"),
        ("/run/builds", json!(-1), "invalid value"),
        ("/run/builds", json!(700.5), "invalid type"),
        ("/run/level", json!("0.5"), "its level is 0.5"),
        ("/run/interval", json!("none"), "its interval is none"),
        ("/run/half_width", json!("0.01"), "its stop rule is"),
        ("/part", json!([3, 2]), "there is no part 3/2"),
        ("/part", json!([0, 0]), "there is no part 0/0"),
        (
            "/part",
            json!([1, HUGE]),
            "there is no part 1/18446744073709551615",
        ),
        ("/part", json!([2, 2]), "which are not within builds"),
        ("/part", Value::Null, "not a part"),
        ("/counts/first_build", json!(7), "no whole tasks"),
        ("/counts/next_build", json!(HUGE), "no whole tasks"),
        ("/counts/first_build", json!(512), "no whole tasks"),
        ("/counts/points", json!([]), "not where this run takes"),
        (
            "/counts/points",
            json!([[256, vec![0; 15]]]),
            "array of length 16",
        ),
        (
            "/counts/points",
            in_repetitions([65, 0, 0, 0]),
            "does not follow",
        ),
        (
            "/counts/points",
            in_repetitions([HUGE, 0, 0, 0]),
            "does not follow",
        ),
        (
            "/counts/points",
            in_repetitions([64; 4]),
            "does not lead to",
        ),
        (
            tally("builds_passed_in"),
            json!(vec![HUGE; 16]),
            "in each repetition",
        ),
        (
            tally("builds_passed_in"),
            json!(vec![1; 16]),
            "in each repetition",
        ),
        (tally("builds_passed"), json!(HUGE), "builds that passed"),
        (
            tally("builds_never_shown"),
            json!(300),
            "builds that passed",
        ),
        (tally("builds_not_computable"), json!(0), "looks taken"),
        (tally("looks"), json!(HUGE), "looks taken"),
        (tally("looks_held"), json!(HUGE), "clipped, held or broken"),
        (
            tally("not_computable"),
            json!([]),
            "its reasons do not add up",
        ),
        (
            tally("not_computable"),
            json!([{ "reason": "Luck", "count": 1 }]),
            "there is no reason `Luck`",
        ),
        (
            tally("not_computable/0/count"),
            json!(HUGE),
            "its reasons do not add up",
        ),
        (
            tally("first_not_computable"),
            json!([]),
            "first_not_computable: holds 0",
        ),
        (
            tally("first_not_computable/0/build"),
            json!(600),
            "first_not_computable: build 600",
        ),
        (
            tally("clipped_share/builds"),
            json!(HUGE),
            "clipped_share: its sums",
        ),
        (
            tally("held_share/sums/0"),
            json!("-1"),
            "held_share: its sums",
        ),
        (
            tally("noticed/sums/2"),
            json!("f".repeat(62)),
            "noticed: its sums",
        ),
        (
            tally("held_share/sums/1"),
            json!("zz"),
            "hexadecimal digits",
        ),
        (
            tally("held_share/sums/1"),
            json!("1".repeat(500)),
            "hexadecimal digits",
        ),
        (
            tally("drift_over_limit/bins"),
            json!([]),
            "drift_over_limit: its bins hold 0",
        ),
        (
            tally("gap_over_limit/bins/0/0"),
            json!(HUGE),
            "out of order or beyond",
        ),
        (tally("gap_over_limit/bins/0/1"), json!(0), "holds nothing"),
        (
            tally("gap_over_limit/bins/0/1"),
            json!(HUGE),
            "hold more than",
        ),
        (
            tally("worst_over_limit/highest_bits"),
            json!(HUGE),
            "its highest value",
        ),
        (tally("rods"), json!([]), "0 rods and"),
        (tally("rods/0/over_limit"), json!(HUGE), "rods[0]:"),
        (tally("rods/0/broke_first"), json!(9999), "rods[0]:"),
        (
            tally("rods/1/off_rad/0/1"),
            json!("-5"),
            "rods[1]: its sums",
        ),
        (
            tally("junctions/0/gap_arcmin/bins/0/1"),
            json!(99_999),
            "junctions[0]:",
        ),
        (tally("junctions/0/more"), json!(1), "unknown field `more`"),
    ]
}

#[test]
fn every_edit_is_told_even_when_its_digests_are_true() {
    let (folder, good) = with_part("counts-edits");
    let edits = edits();
    assert!(edits.len() >= 45);
    for (pointer, value, told) in edits {
        let mut bad = good.clone();
        let (parent, key) = pointer.rsplit_once('/').expect("a pointer");
        let place = bad.pointer_mut(parent).expect("a place in the file");
        match (place, key.parse::<usize>()) {
            (Value::Array(list), Ok(index)) => list[index] = value,
            (Value::Object(map), _) => {
                map.insert(key.to_owned(), value);
            }
            _ => panic!("{pointer} is no place"),
        }
        assert_ne!(bad, good, "{pointer} changes nothing");
        seal(&mut bad);
        refused(&folder, &serde_json::to_vec(&bad).expect("JSON"), told);
    }
}

#[test]
fn digests_that_are_not_true_are_told() {
    let (folder, good) = with_part("counts-digests");
    let text = |file: &Value| serde_json::to_vec(file).expect("JSON");
    let mut bad = good.clone();
    bad["run"]["seed"] = json!(4);
    refused(&folder, &text(&bad), "`fingerprint` does not belong");
    let mut bad = good.clone();
    bad["counts"]["tally"]["looks_held"] = json!(1);
    refused(&folder, &text(&bad), "`counts_sha256` differs");
    for key in [
        "fingerprint",
        "counts_sha256",
        "counts",
        "run",
        "part",
        "format",
    ] {
        let mut bad = good.clone();
        bad.as_object_mut().expect("an object").shift_remove(key);
        // what need not be there is not told as missing
        let told = if key == "part" {
            "`fingerprint`"
        } else {
            "missing field"
        };
        refused(&folder, &text(&bad), told);
    }
}

#[test]
fn what_is_no_whole_json_is_told_with_its_place() {
    let (folder, good) = with_part("counts-json");
    let text = serde_json::to_vec(&good).expect("JSON");
    for share in [0, 1, 2, 5, 9] {
        refused(&folder, &text[..text.len() * share / 10], "bad.json:1:");
    }
    for broken in [
        "[]",
        "null",
        "{}",
        "{\"format\":",
        "\u{0}",
        "{} {}",
        "1e999",
        "\"\"",
    ] {
        refused(&folder, broken.as_bytes(), "bad.json:1:");
    }
    refused(&folder, &"[".repeat(100_000).into_bytes(), "bad.json:1:");
    refused(&folder, b"\xff\xfe", "UTF-8");
    // one byte changed anywhere is never taken for what was written
    for step in 0..40 {
        let mut bad = text.clone();
        let at = step * (text.len() / 40) + step;
        bad[at] = if bad[at] == b'1' { b'2' } else { b'1' };
        refused(&folder, &bad, "bad.json");
    }
}

#[test]
fn what_is_kept_for_another_run_is_told_with_what_differs() {
    let (folder, _) = with_part("counts-kept");
    for (option, value, told) in [
        ("--seed", "4", "its seed is 3, here it is 4"),
        ("--builds", "701", "its builds is 700, here it is 701"),
        ("--looks", "3", "its looks is 2, here it is 3"),
        ("--part", "2/2", "is of part 1/2, not of part 2/2"),
    ] {
        let mut arguments = RUN.to_vec();
        arguments.extend(["--part", "1/2", "--out", "good.json", "--resume"]);
        match arguments.iter().position(|argument| *argument == option) {
            Some(at) => arguments[at + 1] = value,
            None => arguments.extend([option, value]),
        }
        let output = folder.run(&arguments);
        assert_eq!(output.status.code(), Some(2), "{option}");
        assert!(stderr(&output).contains(told), "{}", stderr(&output));
    }
    // the scenario was changed since
    folder.write(
        "mill.toml",
        &format!("{}\n# more\n", shipped("slack-windmill")),
    );
    let output = folder.run(&["merge", "mill.toml", "good.json"]);
    assert!(
        stderr(&output).contains("before it was changed"),
        "{}",
        stderr(&output)
    );
}
