//! `sheets`: hole patterns at true size, files for a cutter, and the pages that the workshop works by.

use super::about::{about, shell_word};
use super::arguments::SheetsOptions;
use super::files::{ReportFolder, open_scenario, short_name, usual_place};
use super::terminal::tell;
use super::{Exit, Stop, print};
use crate::report::{SheetsFiles, is_sheets_file, sheets_files};
use std::fmt::Write as _;
use std::path::Path;

pub(super) fn sheets(options: &SheetsOptions) -> Result<Exit, Stop> {
    let scenario = open_scenario(&options.scenario)?;
    let command = format!(
        "sightdrift sheets {} --paper {}",
        shell_word(&options.scenario),
        options.paper.name()
    );
    let about = about(&options.scenario, command, &scenario);
    let out = options.out.as_deref().map_or_else(
        || usual_place(&format!("{}-sheets", short_name(&options.scenario))),
        Path::to_owned,
    );
    let folder = ReportFolder::prepare(&out, options.overwrite, is_sheets_file)?;
    for warning in &about.warnings {
        tell(&format!("warning: {warning}"));
    }
    let made = sheets_files(
        &scenario.plan,
        scenario.allowed.as_ref(),
        &about,
        options.paper,
    )?;
    for note in &made.notes {
        tell(&format!("note: {note}"));
    }
    let place = folder.path().to_owned();
    folder.finish(&made.files)?;
    let words = told(&made, options.paper.words(), &about.title);
    print(words.as_bytes())?;
    tell(&format!("sheets: {}", place.join("patterns.pdf").display()));
    Ok(Exit::Done)
}

/// What was written, in words.
fn told(made: &SheetsFiles, paper: &str, title: &str) -> String {
    let mut words = format!("{title}: sheets for the workshop\n");
    let _ = writeln!(words, "  patterns.pdf       {} pages {paper}", made.pages);
    for (plate, sheets) in ["front", "rear"].into_iter().zip(made.pattern_sheets) {
        let sheets = match sheets {
            Some(1) => "one sheet of paper".to_owned(),
            Some(count) => format!("{count} sheets of paper, to be joined"),
            None => "too large for paper; only as SVG and DXF".to_owned(),
        };
        let _ = writeln!(words, "    {plate} pattern    {sheets}");
    }
    words.push_str("  *-pattern.svg/.dxf for a laser cutter or plotter, in true millimetres\n  sheets.json        the numbers\nPrint at 100 % (actual size) and check the scales on every sheet before a plate is made by it.\n");
    words
}
