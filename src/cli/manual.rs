//! `man`: a manual page for every command.

use super::arguments::{Arguments, ManOptions};
use super::files::ReportFolder;
use super::terminal::tell;
use super::{Exit, Stop};
use clap::CommandFactory;
use clap_mangen::Man;

/// Writes the pages into a folder: one of the program, one of each command.
pub(super) fn manual(options: &ManOptions) -> Result<Exit, Stop> {
    let folder = ReportFolder::prepare(&options.folder, options.overwrite, is_page)?;
    let pages = pages()?;
    let place = folder.path().to_owned();
    folder.finish(&pages)?;
    tell(&format!(
        "written: {} pages in {}; read one with `man -l {}`",
        pages.len(),
        place.display(),
        place.join("sightdrift.1").display()
    ));
    Ok(Exit::Done)
}

/// Names and texts of all pages. Nothing in them changes from one day to the next.
fn pages() -> Result<Vec<(String, Vec<u8>)>, Stop> {
    let mut program = Arguments::command().disable_help_subcommand(true);
    program.build();
    let commands = program.get_subcommands().cloned();
    let mut pages = Vec::new();
    for command in std::iter::once(program.clone()).chain(commands) {
        let page = Man::new(command)
            .source(concat!("sightdrift ", env!("CARGO_PKG_VERSION")))
            .manual("sightdrift");
        let mut text = Vec::new();
        page.render(&mut text)?;
        pages.push((page.get_filename(), text));
    }
    Ok(pages)
}

fn is_page(name: &str) -> bool {
    name.strip_prefix("sightdrift")
        .and_then(|rest| rest.strip_suffix(".1"))
        .is_some_and(|command| command.is_empty() || command.starts_with('-'))
}
