//! `diagnose` as a person runs it: a filled sheet in, a folder with page, record, JSON and drawings out; blunders of a sheet
//! refused or put right; nothing overwritten unasked.

mod binary;

use binary::{Folder, shipped, stderr, stdout};

const FILES: [&str; 9] = [
    "as-seen.png",
    "as-seen.svg",
    "causes.png",
    "causes.svg",
    "diagnosis.json",
    "mends.png",
    "mends.svg",
    "record.html",
    "report.html",
];

/// A boat whose rear pattern was printed at 92 %, measured with the usual errors of reading.
fn measured(test: &str) -> Folder {
    let folder = Folder::new(test);
    folder.write("boat.toml", &shipped("desk-boat"));
    folder.write("off.toml", "sag = true\n[rear]\nprint_scale = \"-8 %\"\n");
    let see = [
        "see",
        "boat.toml",
        "--with",
        "off.toml",
        "--sheet",
        "sheet.csv",
        "--reading-seed",
        "4",
    ];
    let output = folder.run(&see);
    assert!(output.status.success(), "{}", stderr(&output));
    folder
}

const DIAGNOSE: [&str; 7] = [
    "diagnose",
    "boat.toml",
    "sheet.csv",
    "--builds",
    "64",
    "--looks",
    "4",
];

#[test]
fn a_measured_build_becomes_a_folder_with_page_record_json_and_drawings() {
    let folder = measured("diagnose-files");
    let output = folder.run(&DIAGNOSE);
    assert!(output.status.success(), "{}", stderr(&output));
    assert_eq!(folder.names_in("reports/boat-diagnose"), FILES);
    let text = stdout(&output);
    for words in [
        "This build fails",
        "print scale, rear plate",
        "92.",
        "corrections",
    ] {
        assert!(text.contains(words), "{words} in {text}");
    }
    assert!(stderr(&output).contains("record: reports/boat-diagnose/record.html"));
    for page in ["report.html", "record.html"] {
        let page = folder.read(&format!("reports/boat-diagnose/{page}"));
        let page = String::from_utf8(page).expect("UTF-8");
        for words in ["Cautions", "sightdrift diagnose boat.toml sheet.csv --seed"] {
            assert!(page.contains(words), "{words}");
        }
        for outside in ["src=\"http", "href=\"http", "url(http"] {
            assert!(!page.contains(outside), "{outside}");
        }
    }
    // a second run is refused unless asked, and then gives the same bytes at another number of threads
    let before = folder.read("reports/boat-diagnose/diagnosis.json");
    let again = folder.run(&DIAGNOSE);
    assert_eq!(again.status.code(), Some(2), "{}", stderr(&again));
    let again = folder.run(&[&DIAGNOSE[..], &["--overwrite", "--threads", "1"]].concat());
    assert!(again.status.success(), "{}", stderr(&again));
    assert!(before == folder.read("reports/boat-diagnose/diagnosis.json"));
}

/// The sheet with x and y of every hole of the rear plate exchanged.
fn with_columns_exchanged(sheet: &str) -> String {
    let mut x = None;
    let lines = sheet.lines().map(|line| {
        let mut cells: Vec<&str> = line.split(',').collect();
        if cells[0] == "quantity" {
            x = cells.iter().position(|cell| *cell == "x");
        } else if let (Some(x), "rear hole") = (x, cells[0]) {
            cells.swap(x, x + 1);
        }
        cells.join(",")
    });
    lines.map(|line| line + "\n").collect()
}

#[test]
fn plain_blunders_are_refused_or_put_right_where_asked() {
    let folder = measured("diagnose-blunders");
    let sheet = String::from_utf8(folder.read("sheet.csv")).expect("UTF-8");
    let wrong = with_columns_exchanged(&sheet);
    assert!(wrong != sheet);
    folder.write("sheet.csv", &wrong);
    let output = folder.run(&DIAGNOSE);
    assert_eq!(output.status.code(), Some(2), "{}", stderr(&output));
    assert!(stdout(&output).is_empty());
    let told = stderr(&output);
    for words in ["sheet.csv", "rear hole", "--put-right"] {
        assert!(told.contains(words), "{words} in {told}");
    }
    assert!(
        !folder.path().join("reports").exists(),
        "nothing is written"
    );
    let output = folder.run(&[&DIAGNOSE[..], &["--put-right"]].concat());
    assert!(output.status.success(), "{}", stderr(&output));
    assert!(stderr(&output).contains("put right: "));
    assert!(stdout(&output).contains("print scale, rear plate"));
    for page in ["report.html", "record.html"] {
        let page = folder.read(&format!("reports/boat-diagnose/{page}"));
        let page = String::from_utf8(page).expect("UTF-8");
        assert!(page.contains("Put right before anything was worked out"));
        assert!(page.contains("--put-right"));
    }
}

#[test]
fn mistakes_in_a_sheet_are_told_with_their_places_and_nothing_is_written() {
    let folder = measured("diagnose-mistakes");
    folder.write(
        "sheet.csv",
        "quantity,line,value,x,y\nrear hole,nowhere,,1,2\n",
    );
    let output = folder.run(&DIAGNOSE);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        stderr(&output).contains("sheet.csv:2"),
        "{}",
        stderr(&output)
    );
    assert!(!folder.path().join("reports").exists());
    let output = folder.run(&["diagnose", "boat.toml", "none.csv"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(stderr(&output).contains("none.csv"), "{}", stderr(&output));
}
