//! Manual pages: one of every command, with every option that its help has.

mod binary;

use binary::Folder;

#[test]
fn every_command_has_a_manual_page() {
    let folder = Folder::new("manual");
    assert!(folder.run(&["man", "pages"]).status.success());
    let help = binary::stdout(&folder.run(&["help"]));
    let after = help.split("Commands:").nth(1).expect("a list");
    let commands: Vec<&str> = after
        .split("Options:")
        .next()
        .unwrap_or("")
        .lines()
        .filter(|line| line.starts_with("  ") && !line.starts_with("   "))
        .filter_map(|line| line.split_whitespace().next())
        .filter(|name| *name != "help")
        .collect();
    assert!(commands.len() >= 17, "{commands:?}");
    let mut expected: Vec<String> = commands
        .iter()
        .map(|name| format!("sightdrift-{name}.1"))
        .collect();
    expected.push("sightdrift.1".to_owned());
    expected.sort();
    assert_eq!(folder.names_in("pages"), expected);
    for name in commands {
        let page =
            String::from_utf8(folder.read(&format!("pages/sightdrift-{name}.1"))).expect("UTF-8");
        assert!(
            page.contains(".TH")
                && page.contains(".SH SYNOPSIS")
                && page.contains(".SH DESCRIPTION"),
            "{name}"
        );
        // every long option of the help is in the page
        let help = binary::stdout(&folder.run(&[name, "--help"]));
        for option in help
            .split_whitespace()
            .filter(|word| word.starts_with("--") && word.len() > 2)
        {
            let option = option.trim_end_matches(|c: char| !c.is_ascii_alphanumeric());
            let roff = option.replace('-', "\\-");
            assert!(page.contains(&roff), "{name}: {option}");
        }
    }
    // nothing is overwritten unasked
    assert_eq!(folder.run(&["man", "pages"]).status.code(), Some(2));
    assert!(
        folder
            .run(&["man", "pages", "--overwrite"])
            .status
            .success()
    );
    folder.write("pages/mine.txt", "mine");
    assert_eq!(
        folder.run(&["man", "pages", "--overwrite"]).status.code(),
        Some(2)
    );
}
