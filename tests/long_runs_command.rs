//! Long runs as a person or a scheduler drives them: interrupted, gone on with, in parts, merged.

mod binary;

use binary::{Folder, shipped, stderr, stdout};
use std::fs;

const SCENARIO: &str = "kite.toml";

fn with_kite(test: &str) -> Folder {
    let folder = Folder::new(test);
    // the shipped one stops early: parts never do
    assert!(shipped("carton-kite").contains("half_width = "));
    folder.write(SCENARIO, &shipped("carton-kite"));
    folder
}

/// Names and bytes of a folder's files.
fn files(folder: &Folder, name: &str) -> Vec<(String, Vec<u8>)> {
    let mut files: Vec<_> = fs::read_dir(folder.path().join(name))
        .unwrap_or_else(|error| panic!("{name}: {error}"))
        .map(|entry| {
            let path = entry.expect("readable").path();
            let name = path.file_name().expect("a name").to_string_lossy();
            (name.into_owned(), fs::read(&path).expect("readable"))
        })
        .collect();
    files.sort();
    files
}

fn same_report(folder: &Folder, one: &str, other: &str) {
    let (one, other) = (files(folder, one), files(folder, other));
    assert_eq!(one.len(), 20);
    for (a, b) in one.iter().zip(&other) {
        assert_eq!(a.0, b.0);
        assert!(a.1 == b.1, "{} differs", a.0);
    }
    assert_eq!(one.len(), other.len());
}

fn refused(folder: &Folder, arguments: &[&str], told: &str) {
    let output = folder.run(arguments);
    assert_eq!(output.status.code(), Some(2), "{arguments:?}");
    assert!(stderr(&output).contains(told), "{}", stderr(&output));
    assert!(output.stdout.is_empty());
}

#[cfg(unix)]
mod interrupts {
    use super::*;
    use std::process::{Child, Command, Output, Stdio};
    use std::time::Duration;

    fn start(folder: &Folder, arguments: &[&str]) -> Child {
        Command::new(env!("CARGO_BIN_EXE_sightdrift"))
            .args(arguments)
            .current_dir(folder.path())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program can be started")
    }

    /// Sends `signal` some time after `begun` is there, which is just before the run starts.
    fn interrupt(
        child: Child,
        folder: &Folder,
        begun: &str,
        after: Duration,
        signal: &str,
    ) -> Output {
        for _ in 0..500 {
            if folder.path().join(begun).exists() {
                break;
            }
            std::thread::sleep(Duration::from_millis(10));
        }
        std::thread::sleep(after);
        // it may have ended by itself
        let _ = Command::new("kill")
            .args([signal, &child.id().to_string()])
            .stderr(Stdio::null())
            .status()
            .expect("kill");
        child.wait_with_output().expect("the program ends")
    }

    /// Interrupts a run that is long enough on this machine; the number of its builds.
    fn interrupted(folder: &Folder, begun: &str, signal: &str, more: &[&str]) -> (String, Output) {
        let mut builds = 20_000_u64;
        let mut after = Duration::from_millis(100);
        for _ in 0..12 {
            let text = builds.to_string();
            let mut arguments = vec!["assess", SCENARIO, "--builds", &text, "--looks", "2"];
            arguments.extend(["--to-the-cap", "--threads", "1"]);
            arguments.extend(more);
            let output = interrupt(start(folder, &arguments), folder, begun, after, signal);
            if output.status.code() == Some(0) {
                // too fast for us
                let _ = fs::remove_dir_all(folder.path().join("reports"));
                builds *= 4;
            } else if stderr(&output).contains("nothing was written") {
                after *= 2;
            } else {
                return (text, output);
            }
        }
        panic!("no run could be interrupted");
    }

    #[test]
    fn an_interrupted_run_keeps_what_was_done_and_resume_gives_the_bytes_of_one_run() {
        let folder = with_kite("resume");
        let (builds, output) = interrupted(&folder, "reports", "-INT", &[]);
        assert_eq!(output.status.code(), Some(130), "{}", stderr(&output));
        assert!(output.stdout.is_empty());
        let go_on = format!(
            "sightdrift assess {SCENARIO} --builds {builds} --looks 2 --threads 1 --to-the-cap --resume"
        );
        assert!(stderr(&output).contains(&go_on), "{}", stderr(&output));
        assert_eq!(folder.names_in("reports"), ["kite.counts.json"]);
        let run = |more: &[&str]| {
            let mut arguments = vec!["assess", SCENARIO, "--builds", &builds, "--looks", "2"];
            arguments.push("--to-the-cap");
            arguments.extend(more);
            folder.run(&arguments)
        };
        // a new run does not destroy it
        let anew = run(&[]);
        assert_eq!(anew.status.code(), Some(2));
        assert!(stderr(&anew).contains("--resume"), "{}", stderr(&anew));
        // another run cannot go on with it
        let other = folder.run(&["assess", SCENARIO, "--resume"]);
        assert_eq!(other.status.code(), Some(2));
        assert!(
            stderr(&other).contains("was made for another run"),
            "{}",
            stderr(&other)
        );
        assert_eq!(folder.names_in("reports"), ["kite.counts.json"]);
        let resumed = run(&["--resume", "--threads", "2"]);
        assert_eq!(resumed.status.code(), Some(0), "{}", stderr(&resumed));
        assert_eq!(folder.names_in("reports"), ["kite"]);
        let one = run(&["--out", "one"]);
        assert_eq!(stdout(&one), stdout(&resumed));
        same_report(&folder, "one", "reports/kite");
    }

    #[test]
    fn a_part_that_is_stopped_goes_on_and_an_unfinished_one_is_not_merged() {
        let folder = with_kite("resume-part");
        let part = "reports/kite.part-1-of-1.json";
        let (builds, output) =
            interrupted(&folder, part, "-TERM", &["--part", "1/1", "--overwrite"]);
        assert_eq!(output.status.code(), Some(130), "{}", stderr(&output));
        refused(&folder, &["merge", SCENARIO, part], "is unfinished");
        let run = ["assess", SCENARIO, "--builds", &builds, "--looks", "2"];
        folder.done(&[&run[..], &["--part", "1/1", "--resume"]].concat());
        folder.done(&["merge", SCENARIO, part]);
        folder.done(&[&run[..], &["--to-the-cap", "--out", "one"]].concat());
        same_report(&folder, "one", "reports/kite");
    }

    #[test]
    fn a_run_interrupted_before_anything_is_done_writes_nothing() {
        let folder = with_kite("interrupt");
        // one task of these takes far longer than we wait
        let child = start(
            &folder,
            &["assess", SCENARIO, "--looks", "1000", "--threads", "1"],
        );
        let output = interrupt(child, &folder, "reports", Duration::from_millis(50), "-INT");
        assert_eq!(output.status.code(), Some(130), "{}", stderr(&output));
        assert!(output.stdout.is_empty());
        let kept = stderr(&output).contains("are kept in");
        // not even the folder for reports, which the run had made
        assert_eq!(folder.names().contains(&"reports".to_owned()), kept);
    }
}

#[test]
fn resume_without_anything_kept_says_so_and_starts_at_the_beginning() {
    let folder = with_kite("nothing-kept");
    let run = ["assess", SCENARIO, "--builds", "600", "--looks", "2"];
    let output = folder.done(&[&run[..], &["--resume"]].concat());
    assert!(
        stderr(&output).contains("nothing to go on with"),
        "{}",
        stderr(&output)
    );
    folder.done(&[&run[..], &["--out", "one"]].concat());
    same_report(&folder, "one", "reports/kite");
}

#[test]
fn parts_made_anywhere_merge_to_the_bytes_of_one_run() {
    let folder = with_kite("parts");
    let run = [
        "assess", SCENARIO, "--builds", "3000", "--looks", "2", "--seed", "5",
    ];
    let one = folder.done(&[&run[..], &["--to-the-cap", "--out", "one"]].concat());
    // the last of them are more parts than tasks
    for parts in [1, 2, 3, 7, 14] {
        let mut merge = vec!["merge".to_owned(), SCENARIO.to_owned()];
        for number in 1..=parts {
            let part = format!("{number}/{parts}");
            let threads = (1 + number % 3).to_string();
            let output =
                folder.done(&[&run[..], &["--part", &part, "--threads", &threads]].concat());
            assert!(output.stdout.is_empty());
            assert!(stderr(&output).contains("stop rule"), "{}", stderr(&output));
            merge.push(format!("reports/kite.part-{number}-of-{parts}.json"));
        }
        merge[2..].rotate_left(parts / 2);
        merge.extend(["--out".to_owned(), format!("merged-{parts}")]);
        let arguments: Vec<&str> = merge.iter().map(String::as_str).collect();
        let merged = folder.done(&arguments);
        let told = |output| stdout(output).replace(&format!("merged-{parts}"), "one");
        assert_eq!(told(&merged), stdout(&one));
        same_report(&folder, "one", &format!("merged-{parts}"));
    }
}

#[test]
fn the_bytes_of_a_part_do_not_depend_on_threads() {
    let folder = with_kite("part-threads");
    let run = [
        "assess", SCENARIO, "--builds", "4000", "--looks", "2", "--part", "2/3",
    ];
    for threads in ["1", "2", "8"] {
        folder.done(&[&run[..], &["--threads", threads, "--out", threads]].concat());
        assert!(
            folder.read(threads) == folder.read("1"),
            "{threads} threads"
        );
    }
}

#[test]
fn merge_names_what_is_missing_twice_or_of_other_parts() {
    let folder = with_kite("misfits");
    let run = ["assess", SCENARIO, "--builds", "2000", "--looks", "1"];
    for part in ["1/3", "2/3", "3/3", "1/2"] {
        folder.done(&[&run[..], &["--part", part]].concat());
    }
    let part = |number, of| format!("reports/kite.part-{number}-of-{of}.json");
    let (one, two, three, half) = (part(1, 3), part(2, 3), part(3, 3), part(1, 2));
    let merge = |files: &[&String], told| {
        let mut arguments = vec!["merge", SCENARIO];
        arguments.extend(files.iter().map(|file| file.as_str()));
        refused(&folder, &arguments, told);
    };
    merge(&[&two], "2 are missing: 1/3, 3/3");
    merge(&[&one, &three], "one is missing: 2/3");
    merge(&[&one, &two, &one], "name each part once");
    merge(
        &[&one, &half],
        "is part 1/2, where the first file is one of 3 parts",
    );
    merge(&[&"no.json".to_owned()], "no.json: cannot be read");
    assert!(!folder.path().join("reports/kite").exists());
    // a part is not written over unasked, and nothing else is written over even then
    refused(
        &folder,
        &[&run[..], &["--part", "1/3"]].concat(),
        "--overwrite to start anew",
    );
    folder.done(&[&run[..], &["--part", "1/3", "--overwrite"]].concat());
    folder.write("letter.txt", "keep me");
    let letter = ["--part", "1/3", "--out", "letter.txt", "--overwrite"];
    refused(&folder, &[&run[..], &letter].concat(), "is no counts file");
    assert_eq!(folder.read("letter.txt"), b"keep me");
    for bad in [
        "0/3",
        "4/3",
        "1",
        "a/b",
        "1/0",
        "-1/3",
        "1/200000",
        "1/99999999999999999999",
    ] {
        refused(
            &folder,
            &[&run[..], &[&format!("--part={bad}")]].concat(),
            "is not K/N",
        );
    }
    // merging names the target too
    let gate = folder.run(&["merge", SCENARIO, &one, &two, &three, "--gate", "--json"]);
    assert!(matches!(gate.status.code(), Some(0 | 1)));
    let results: serde_json::Value = serde_json::from_slice(&gate.stdout).expect("JSON");
    assert_eq!(results["run"]["builds"], 2000);
}
