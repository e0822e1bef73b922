//! The floors of the house: dependencies point down only, and no file grows beyond 600 lines.

use std::path::{Path, PathBuf};

/// Most lines in one file.
const LONGEST_FILE_LINES: usize = 600;

/// Floor of a module directly under `src/`; `None` for a module that has no floor yet.
fn floor(module: &str) -> Option<u32> {
    Some(match module {
        "units" | "elementary" => 0,
        "geometry" | "mechanics" | "vision" => 1,
        "sampling" => 2,
        "figure" => 3,
        "trial" => 4,
        "statistics" => 5,
        "decision" => 6,
        "scenario" | "report" => 7,
        "cli" => 8,
        _ => return None,
    })
}

/// Sideways imports that are needed: the first floor's pairs and points.
const SIDEWAYS: [(&str, &str); 2] = [("mechanics", "geometry"), ("vision", "geometry")];

/// Whether `from` may use `to`: what lies lower, itself, and the few sideways imports; never both ways.
fn may_use(from: &str, to: &str) -> bool {
    match (floor(from), floor(to)) {
        (Some(here), Some(there)) => from == to || there < here || SIDEWAYS.contains(&(from, to)),
        _ => false,
    }
}

struct Source {
    path: PathBuf,
    /// Module directly under `src/`: the folder, or the file without its ending.
    module: String,
    depth: usize,
    text: String,
}

fn sources() -> Vec<Source> {
    let root = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut found = Vec::new();
    let mut folders = vec![root.clone()];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(&folder).expect("src is there") {
            let path = entry.expect("readable").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending == "rs") {
                let text = std::fs::read_to_string(&path).expect("readable");
                let under = path.strip_prefix(&root).expect("under src");
                found.push(Source {
                    module: module_of(under),
                    depth: depth_of(under),
                    path,
                    text,
                });
            }
        }
    }
    found.sort_by(|a, b| a.path.cmp(&b.path));
    found
}

fn module_of(path: &Path) -> String {
    let first = path.components().next().expect("a file has a name");
    let name = first.as_os_str().to_string_lossy();
    name.strip_suffix(".rs").unwrap_or(&name).to_owned()
}

/// Text without comments (line by line) and without the insides of plain string literals.
fn code_of(text: &str) -> String {
    let mut code = String::new();
    for line in text.lines() {
        let mut inside = false;
        let mut characters = line.chars().peekable();
        while let Some(c) = characters.next() {
            match c {
                '\\' if inside => {
                    characters.next();
                }
                '"' => inside = !inside,
                '/' if !inside && characters.peek() == Some(&'/') => break,
                _ if inside => {}
                _ => code.push(c),
            }
        }
        code.push('\n');
    }
    code
}

/// Every module of this crate that the code names, as `crate::module`, in a `use` list, or as `sightdrift::module`.
fn modules_named(text: &str) -> Vec<String> {
    let code = code_of(text);
    let mut named = Vec::new();
    for root in ["crate::", "sightdrift::"] {
        for (at, _) in code.match_indices(root) {
            let rest = code[at + root.len()..].trim_start();
            match rest.strip_prefix('{') {
                Some(list) => named.extend(heads_of_list(list)),
                None => named.push(word(rest)),
            }
        }
    }
    named.retain(|name| !name.is_empty());
    named
}

/// Modules of the crate's root that the code names by climbing: `super::super::module`. `depth` is how many modules
/// deep the file stands (`src/a/mod.rs`: 1, `src/a/b.rs`: 2).
fn modules_climbed_to(text: &str, depth: usize) -> Vec<String> {
    const STEP: &str = "super::";
    let code = code_of(text);
    let mut named = Vec::new();
    let mut rest = code.as_str();
    while let Some(at) = rest.find(STEP) {
        rest = &rest[at..];
        let mut steps = 0;
        while let Some(after) = rest.strip_prefix(STEP) {
            rest = after;
            steps += 1;
        }
        if steps >= depth {
            match rest.strip_prefix('{') {
                Some(list) => named.extend(heads_of_list(list)),
                None => named.push(word(rest)),
            }
        }
    }
    named
}

/// How many modules deep a file stands, from its path under `src/`.
fn depth_of(path: &Path) -> usize {
    let parts = path.components().count();
    if path.ends_with("mod.rs") {
        parts - 1
    } else {
        parts
    }
}

fn word(text: &str) -> String {
    text.chars()
        .take_while(|c| c.is_alphanumeric() || *c == '_')
        .collect()
}

/// First names of the entries of a `use` list, whose opening brace was taken off.
fn heads_of_list(list: &str) -> Vec<String> {
    let mut depth = 0;
    let mut heads = Vec::new();
    let mut entry = String::new();
    for c in list.chars() {
        match c {
            '{' => depth += 1,
            '}' if depth == 0 => break,
            '}' => depth -= 1,
            ',' if depth == 0 => heads.push(word(std::mem::take(&mut entry).trim())),
            _ if depth == 0 => entry.push(c),
            _ => {}
        }
    }
    heads.push(word(entry.trim()));
    heads
}

fn points_up(source: &Source) -> Vec<String> {
    modules_named(&source.text)
        .into_iter()
        .chain(modules_climbed_to(&source.text, source.depth))
        // a macro or an item of the crate's own root is no floor
        .filter(|to| floor(to).is_some() && !may_use(&source.module, to))
        .collect()
}

#[test]
fn no_import_points_up() {
    let sources = sources();
    assert!(sources.len() >= 20, "only {} files read", sources.len());
    let mut imports = 0;
    let mut wrong = Vec::new();
    for source in &sources {
        if ["lib", "main"].contains(&source.module.as_str()) {
            continue;
        }
        assert!(
            floor(&source.module).is_some(),
            "{} stands on no floor",
            source.path.display()
        );
        imports += modules_named(&source.text).len();
        for to in points_up(source) {
            wrong.push(format!("{} uses crate::{to}", source.path.display()));
        }
    }
    assert!(imports >= 50, "only {imports} imports read");
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

#[test]
fn no_file_is_longer_than_six_hundred_lines() {
    let tests = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests");
    let mut all: Vec<(PathBuf, String)> = sources()
        .into_iter()
        .map(|source| (source.path, source.text))
        .collect();
    for entry in std::fs::read_dir(tests).expect("tests are there") {
        let path = entry.expect("readable").path();
        if path.extension().is_some_and(|ending| ending == "rs") {
            let text = std::fs::read_to_string(&path).expect("readable");
            all.push((path, text));
        }
    }
    assert!(all.len() >= 20, "only {} files read", all.len());
    for (path, text) in all {
        let lines = text.lines().count();
        assert!(
            lines <= LONGEST_FILE_LINES,
            "{} has {lines} lines, at most {LONGEST_FILE_LINES} are allowed",
            path.display()
        );
    }
}

#[test]
fn an_import_that_points_up_is_found_however_it_is_written() {
    let upward = |module: &str, text: &str| {
        points_up(&Source {
            path: PathBuf::new(),
            module: module.to_owned(),
            depth: 2,
            text: text.to_owned(),
        })
    };
    assert_eq!(upward("vision", "use crate::trial::judge;\n"), ["trial"]);
    assert_eq!(
        upward(
            "trial",
            "use crate::{figure::Plan, statistics::{Tally, Moments}};\n"
        ),
        ["statistics"]
    );
    assert_eq!(
        upward("units", "fn f() { crate::geometry::Pair::zeros(); }\n"),
        ["geometry"]
    );
    assert_eq!(
        upward("vision", "use super::super::figure::Plan;\n"),
        ["figure"]
    );
    assert!(upward("vision", "use super::figure;\n").is_empty());
    assert_eq!(upward("scenario", "use crate::report::page;\n"), ["report"]);
    assert_eq!(
        upward("mechanics", "use crate::vision::Seen;\n"),
        ["vision"]
    );
    assert!(upward("vision", "use crate::geometry::Pair;\n").is_empty());
    assert!(
        upward(
            "decision",
            "// use crate::cli::main;\nuse crate::trial::judge;\n"
        )
        .is_empty()
    );
    assert!(upward("figure", "const TEXT: &str = \"crate::cli\";\n").is_empty());
}
