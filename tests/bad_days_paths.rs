//! Bad days with files and folders: places that are none, no rights, full disks, two runs at once, a run that is killed.
#![cfg(unix)]

mod binary;

use binary::{Folder, shipped, stderr};
use std::collections::BTreeMap;
use std::fs;
use std::os::unix::fs::{FileTypeExt, PermissionsExt, symlink};
use std::os::unix::process::CommandExt;
use std::path::Path;
use std::process::{Command, Output, Stdio};

/// A command that writes a folder through the same hands as every other one, and is soon done.
const KITE: [&str; 2] = ["sheets", "kite.toml"];
/// Two papers: two reports that differ.
const PAPERS: [&str; 2] = ["a4", "letter"];

fn with_kite(test: &str) -> Folder {
    let folder = Folder::new(test);
    folder.write("kite.toml", &shipped("carton-kite"));
    folder
}

fn sheets(folder: &Folder, more: &[&str]) -> Output {
    folder.run(&[&KITE[..], more].concat())
}

/// The program in this folder, not started yet.
fn command(folder: &Folder, arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_sightdrift"));
    command
        .args(arguments)
        .current_dir(folder.path())
        .stdout(Stdio::null())
        .stderr(Stdio::null());
    command
}

/// Names and bytes of a folder's files.
fn contents(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    fs::read_dir(folder)
        .unwrap_or_else(|error| panic!("{}: {error}", folder.display()))
        .map(|entry| {
            let entry = entry.expect("readable");
            let name = entry.file_name().to_string_lossy().into_owned();
            (name, fs::read(entry.path()).expect("a file"))
        })
        .collect()
}

/// The report on a paper, written where nothing else is going on.
fn report_of(folder: &Folder, paper: &str) -> BTreeMap<String, Vec<u8>> {
    let place = format!("alone-{paper}");
    let output = sheets(folder, &["--paper", paper, "--out", &place]);
    assert!(output.status.success(), "{}", stderr(&output));
    let report = contents(&folder.path().join(&place));
    assert!(report.len() > 5);
    fs::remove_dir_all(folder.path().join(&place)).expect("removed");
    report
}

fn refused(output: &Output, words: &str) {
    let told = stderr(output);
    assert_eq!(output.status.code(), Some(2), "{told}");
    assert!(
        told.contains(words) && !told.contains("panicked"),
        "`{words}` is not in: {told}"
    );
}

#[test]
fn places_that_are_none_are_refused_and_nothing_is_made() {
    let folder = with_kite("paths-none");
    folder.write("file", "mine");
    fs::create_dir(folder.path().join("empty")).expect("made");
    let before = folder.names();
    for out in [
        "..",
        ".",
        "/",
        "",
        "empty/..",
        "file",
        "file/report",
        "/dev/null",
        "/proc/none/report",
    ] {
        let output = sheets(&folder, &["--out", out, "--overwrite"]);
        assert_eq!(
            output.status.code(),
            Some(2),
            "--out {out:?}: {}",
            stderr(&output)
        );
        assert!(!stderr(&output).contains("panicked"));
        assert_eq!(folder.names(), before, "--out {out:?}");
    }
    let long = "r".repeat(300);
    refused(&sheets(&folder, &["--out", &long]), "cannot be written");
    for arguments in [
        &["check", "empty"][..],
        &["check", "gone.toml"],
        &["check", "file/kite.toml"],
        &["check", ""],
        &["check", "/dev/zero"],
        &["merge", "kite.toml", "empty"],
        &["diagnose", "kite.toml", "empty"],
        &["see", "kite.toml", "--with", "empty"],
        &["begin", "empty"],
        &["begin", "empty", "--overwrite"],
        &["begin", "gone/new.toml"],
        &["see", "kite.toml", "--picture", "empty"],
        &["see", "kite.toml", "--picture", "eye.gif"],
        &["see", "kite.toml", "--sheet", "empty", "--overwrite"],
        &["begin", "new.toml", "--drawing", "empty"],
    ] {
        let output = folder.run(arguments);
        assert_eq!(
            output.status.code(),
            Some(2),
            "{arguments:?}: {}",
            stderr(&output)
        );
        assert_eq!(folder.names(), before, "{arguments:?}");
    }
    // up and down again is a place like any other
    assert!(
        sheets(&folder, &["--out", "empty/../report"])
            .status
            .success()
    );
    assert!(folder.names().contains(&"report".to_owned()));
    assert_eq!(folder.read("file"), b"mine");
}

#[test]
fn links_are_followed_to_what_they_name_and_stay_links() {
    let folder = with_kite("paths-links");
    let at = |name: &str| folder.path().join(name);
    fs::create_dir(at("real")).expect("made");
    symlink("real", at("link")).expect("linked");
    symlink("nowhere", at("dangling")).expect("linked");
    symlink("loop", at("loop")).expect("linked");
    symlink("kite.toml", at("scenario.toml")).expect("linked");
    assert!(
        sheets(&folder, &["--out", "link", "--paper", "a4"])
            .status
            .success()
    );
    let first = contents(&at("real"));
    assert!(first.len() > 5);
    assert!(
        sheets(
            &folder,
            &["--out", "link", "--paper", "letter", "--overwrite"]
        )
        .status
        .success()
    );
    assert!(at("link").is_symlink() && !at("real").is_symlink());
    let second = contents(&at("real"));
    assert_eq!(first.len(), second.len());
    assert_ne!(first, second);
    for gone in ["dangling", "loop"] {
        refused(
            &sheets(&folder, &["--out", gone, "--overwrite"]),
            "is there and is no folder",
        );
        refused(&folder.run(&["check", gone]), "cannot be read");
    }
    assert!(folder.run(&["check", "scenario.toml"]).status.success());
    // a link to a folder with another's files is that folder
    fs::create_dir(at("theirs")).expect("made");
    folder.write("theirs/letter.txt", "dear");
    symlink("theirs", at("to-theirs")).expect("linked");
    refused(
        &sheets(&folder, &["--out", "to-theirs", "--overwrite"]),
        "letter.txt",
    );
    assert_eq!(folder.read("theirs/letter.txt"), b"dear");
    // within a report a link to another's file is none of the report's own
    symlink("../theirs/letter.txt", at("real/results.json.link")).expect("linked");
    refused(
        &sheets(&folder, &["--out", "real", "--overwrite"]),
        "results.json.link",
    );
    let hidden: Vec<String> = folder
        .names()
        .into_iter()
        .filter(|name| name.starts_with('.'))
        .collect();
    assert!(hidden.is_empty(), "{hidden:?}");
}

#[test]
fn a_device_or_a_pipe_is_never_replaced_by_a_file() {
    let folder = Folder::new("paths-pipe");
    let pipe = folder.path().join("pipe.toml");
    let made = Command::new("mkfifo").arg(&pipe).status();
    assert!(made.is_ok_and(|status| status.success()), "mkfifo");
    for overwrite in [&["--overwrite"][..], &[]] {
        let output = folder.run(&[&["begin", "pipe.toml"][..], overwrite].concat());
        assert_eq!(output.status.code(), Some(2), "{}", stderr(&output));
        assert!(
            fs::symlink_metadata(&pipe)
                .expect("there")
                .file_type()
                .is_fifo()
        );
    }
    symlink("pipe.toml", folder.path().join("to-pipe.toml")).expect("linked");
    refused(
        &folder.run(&["begin", "to-pipe.toml", "--overwrite"]),
        "no ordinary file",
    );
    assert_eq!(folder.names(), ["pipe.toml", "to-pipe.toml"]);
}

#[test]
fn without_rights_nothing_is_written_and_it_is_told() {
    let folder = with_kite("paths-rights");
    let at = |name: &str| folder.path().join(name);
    fs::create_dir(at("shut")).expect("made");
    folder.write("secret.toml", &shipped("carton-kite"));
    fs::set_permissions(at("shut"), fs::Permissions::from_mode(0o555)).expect("set");
    fs::set_permissions(at("secret.toml"), fs::Permissions::from_mode(0o000)).expect("set");
    // root has all rights: the program is then run as nobody
    let is_root = fs::read(at("secret.toml")).is_ok();
    let run = |arguments: &[&str]| {
        let mut command = command(&folder, arguments);
        command.stdout(Stdio::piped()).stderr(Stdio::piped());
        if is_root {
            command.uid(65534).gid(65534);
        }
        command.output()
    };
    match run(&["--version"]) {
        Ok(output) if output.status.success() => {}
        // the build's own folder may be shut to others
        _ => {
            println!("skipped: rights do not bind root, and nobody may not run the program here");
            return;
        }
    }
    let started = |arguments: &[&str]| run(arguments).expect("started above");
    refused(&started(&["check", "secret.toml"]), "cannot be read");
    refused(
        &started(&[&KITE[..], &["--out", "shut/report"]].concat()),
        "cannot be written",
    );
    refused(
        &started(&[&KITE[..], &["--out", "shut/deep/report"]].concat()),
        "its folder cannot be made",
    );
    refused(&started(&["begin", "shut/new.toml"]), "cannot be written");
    refused(
        &started(&["see", "kite.toml", "--picture", "shut/eye.svg"]),
        "cannot be written",
    );
    assert!(folder.names_in("shut").is_empty());
    assert!(started(&["check", "kite.toml"]).status.success());
}

#[test]
fn a_full_disk_is_told_and_leaves_nothing_half_written() {
    let folder = with_kite("paths-full");
    let full = fs::OpenOptions::new().write(true).open("/dev/full");
    let full = full.expect("Linux has a device that is always full");
    let output = Command::new(env!("CARGO_BIN_EXE_sightdrift"))
        .args(["check", "kite.toml"])
        .current_dir(folder.path())
        .stdout(full.try_clone().expect("a second handle"))
        .output()
        .expect("started");
    refused(&output, "standard output cannot be written");
    // notes that cannot be written are no reason to stop
    let status = Command::new(env!("CARGO_BIN_EXE_sightdrift"))
        .args(KITE)
        .args(["--out", "quiet"])
        .current_dir(folder.path())
        .stderr(full)
        .stdout(Stdio::null())
        .status()
        .expect("started");
    assert!(status.success() && !folder.names_in("quiet").is_empty());
    // no file may grow beyond 8 blocks of 1024 bytes, as on a disk with that much room
    let before = folder.names();
    let run_short_of_room = |arguments: &str| {
        let script = format!("trap '' XFSZ; ulimit -f 8; exec \"$0\" {arguments}");
        Command::new("bash")
            .args(["-c", &script, env!("CARGO_BIN_EXE_sightdrift")])
            .current_dir(folder.path())
            .output()
            .expect("started")
    };
    refused(
        &run_short_of_room(&format!("{} --out new/report", KITE.join(" "))),
        "cannot be written",
    );
    refused(
        &run_short_of_room("see kite.toml --picture eye.png"),
        "cannot be written",
    );
    refused(
        &run_short_of_room("sheets kite.toml --out w"),
        "cannot be written",
    );
    assert_eq!(folder.names(), before);
    // an old report is left as it is
    let old = contents(&folder.path().join("quiet"));
    refused(
        &run_short_of_room(&format!(
            "{} --paper letter --out quiet --overwrite",
            KITE.join(" ")
        )),
        "cannot be written",
    );
    assert_eq!(contents(&folder.path().join("quiet")), old);
    assert_eq!(folder.names(), before);
}

#[test]
fn two_runs_at_once_leave_the_whole_report_of_one_of_them() {
    let folder = with_kite("paths-two");
    let reports = PAPERS.map(|paper| report_of(&folder, paper));
    for overwrite in [false, true, true, true, true] {
        let run = |paper| {
            let mut arguments = [&KITE[..], &["--paper", paper, "--out", "shared"]].concat();
            if overwrite {
                arguments.push("--overwrite");
            }
            command(&folder, &arguments).spawn().expect("started")
        };
        let mut both = PAPERS.map(run);
        let codes = both
            .each_mut()
            .map(|child| child.wait().expect("ended").code());
        let done = codes.iter().filter(|code| **code == Some(0)).count();
        assert!(
            codes.iter().all(|code| matches!(code, Some(0 | 2))),
            "{codes:?}"
        );
        assert!(done >= 1 && (overwrite || done == 1), "{codes:?}");
        let found = contents(&folder.path().join("shared"));
        assert!(reports.contains(&found), "a mixture: {:?}", found.keys());
        if !overwrite {
            let winner = codes.iter().position(|code| *code == Some(0)).expect("one");
            assert_eq!(found, reports[winner]);
        }
        assert_eq!(folder.names(), ["kite.toml", "shared"]);
    }
}

#[test]
fn a_run_that_is_killed_leaves_the_old_report_or_the_new_one() {
    let folder = with_kite("paths-killed");
    let reports = PAPERS.map(|paper| report_of(&folder, paper));
    let took = std::time::Instant::now();
    assert!(
        sheets(&folder, &["--paper", "a4", "--out", "kept"])
            .status
            .success()
    );
    let whole_run = took.elapsed();
    let mut killed = 0;
    // kills spread over the length of a run and somewhat beyond
    const KILLS: u32 = 30;
    for nth in 0..KILLS {
        let paper = PAPERS[1 - nth as usize % 2];
        let arguments = [
            &KITE[..],
            &["--paper", paper, "--out", "kept", "--overwrite"],
        ]
        .concat();
        let mut child = command(&folder, &arguments).spawn().expect("started");
        std::thread::sleep(whole_run.mul_f64(0.05 + 0.04 * f64::from(nth)));
        // an ended child is no longer there to kill
        killed += u32::from(child.try_wait().expect("asked").is_none());
        let _ = child.kill();
        child.wait().expect("ended");
        let kept = folder.path().join("kept");
        // between two renames the old report waits, whole, under its hidden name
        let place = if kept.exists() {
            kept
        } else {
            let moved = folder
                .names()
                .into_iter()
                .find(|name| name.ends_with(".old"));
            folder.path().join(moved.expect("the old report"))
        };
        let found = contents(&place);
        assert!(reports.contains(&found), "after {nth}: {:?}", found.keys());
    }
    println!("{killed} of {KILLS} runs were killed before their end");
    assert!(killed > 0);
    // what they left behind is in nobody's way
    assert!(
        sheets(
            &folder,
            &["--paper", "letter", "--out", "kept", "--overwrite"]
        )
        .status
        .success()
    );
    assert_eq!(contents(&folder.path().join("kept")), reports[1]);
}

#[test]
fn an_old_report_that_a_killed_run_had_moved_away_is_put_back() {
    let folder = with_kite("paths-moved");
    assert!(
        sheets(&folder, &["--paper", "a4", "--out", "kept"])
            .status
            .success()
    );
    let report = contents(&folder.path().join("kept"));
    // as a kill between the two renames leaves it, with the new report still unfinished under its own name
    let moved = folder.path().join(".kept.4194305.old");
    fs::rename(folder.path().join("kept"), &moved).expect("moved");
    fs::create_dir(folder.path().join(".kept.4194305.0.part")).expect("made");
    let output = sheets(&folder, &["--paper", "letter", "--out", "kept"]);
    refused(&output, "holds a report already");
    assert_eq!(contents(&folder.path().join("kept")), report);
    assert!(!moved.exists());
    // names that only look alike are nobody's old report
    folder.write(".other.x.old", "mine");
    assert!(sheets(&folder, &["--out", "other"]).status.success());
    assert_eq!(folder.read(".other.x.old"), b"mine");
}

#[test]
fn names_that_are_no_text_are_as_good_as_others() {
    use std::os::unix::ffi::OsStrExt;
    let folder = Folder::new("paths-bytes");
    let name = std::ffi::OsStr::from_bytes(b"k\xf6nig.toml");
    let file = folder.path().join(name);
    if fs::write(&file, shipped("carton-kite")).is_err() {
        println!("skipped: this disk takes no such names");
        return;
    }
    let output = Command::new(env!("CARGO_BIN_EXE_sightdrift"))
        .arg("sheets")
        .arg(name)
        .current_dir(folder.path())
        .output()
        .expect("started");
    assert!(output.status.success(), "{}", stderr(&output));
    assert_eq!(folder.names_in("reports"), ["k\u{fffd}nig-sheets"]);
    let numbers = folder.read("reports/k\u{fffd}nig-sheets/sheets.json");
    let numbers: serde_json::Value = serde_json::from_slice(&numbers).expect("JSON in UTF-8");
    assert!(numbers.is_object());
}
