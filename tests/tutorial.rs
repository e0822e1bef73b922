//! The README's first exhibit, command by command as it is printed there: what it promises is told, and its pictures are those
//! that the program writes.

mod binary;

use binary::{Folder, stderr, stdout};
use std::fs;
use std::path::Path;

const TITLE: &str = "## A first exhibit, from drawing to bench";

/// The chapter, from its title to the next one.
fn chapter() -> String {
    let readme = Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md");
    let text = fs::read_to_string(readme).expect("a README");
    let (_, after) = text.split_once(TITLE).expect("the chapter");
    after.split("\n## ").next().expect("its text").to_owned()
}

/// Words of a command line, of which those in double quotes may hold blanks.
fn words(command: &str) -> Vec<String> {
    let mut all = Vec::new();
    for (nth, part) in command.split('"').enumerate() {
        if nth % 2 == 1 {
            all.push(part.to_owned());
        } else {
            all.extend(part.split_whitespace().map(str::to_owned));
        }
    }
    all
}

#[test]
fn the_first_exhibit_goes_as_the_readme_says() {
    let chapter = chapter();
    let folder = Folder::new("tutorial");
    let drawing = "scenarios/drawings/fish.svg";
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    fs::create_dir_all(folder.path().join("scenarios/drawings")).expect("a folder");
    fs::copy(root.join(drawing), folder.path().join(drawing)).expect("the drawing");
    let printed: Vec<&str> = chapter
        .lines()
        .filter_map(|line| line.strip_prefix("    "))
        .collect();
    let (commands, fault): (Vec<&str>, Vec<&str>) = printed
        .into_iter()
        .partition(|line| line.starts_with("sightdrift "));
    folder.write("fault.toml", &fault.join("\n"));
    let mut told = String::new();
    for command in &commands {
        let arguments = words(command);
        let arguments: Vec<&str> = arguments.iter().skip(1).map(String::as_str).collect();
        let output = folder.run(&arguments);
        assert_eq!(
            output.status.code(),
            Some(0),
            "{command}\n{}",
            stderr(&output)
        );
        told.push_str(&stdout(&output));
        told.push_str(&stderr(&output));
    }
    assert_eq!(
        commands.len(),
        8,
        "as many as the chapter says: {commands:?}"
    );
    for promised in [
        "9 vertices and 10 rods",
        "It holds: ",
        "The peephole may be ",
        "Lead the line entering at",
        "This build fails",
        "Hole tail_1 beside its mark, rear plate: 12.02 mm down (11.80 to 12.23)",
        "Piercing anew is needed",
    ] {
        assert!(told.contains(promised), "`{promised}` is not in:\n{told}");
    }
    assert!(chapter.contains("(12.02 mm down, 11.80 to 12.23)"));
    for (kept, written) in [
        ("fish-cabinet.png", "reports/fish/cabinet.png"),
        ("fish-eye-view.png", "reports/fish/eye-view.png"),
        (
            "fish-as-seen.png",
            "reports/fish-built-diagnose/as-seen.png",
        ),
    ] {
        assert!(chapter.contains(kept), "{kept}");
        let before = fs::read(root.join("reports/pictures").join(kept)).expect("a picture");
        assert!(
            before == folder.read(written),
            "{kept} is of another version"
        );
    }
}
