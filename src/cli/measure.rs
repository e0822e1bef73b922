//! `measure`: the sheet to fill in at the bench, and a picture of what to measure.

use super::arguments::MeasureOptions;
use super::files::{
    make_parent, open_scenario, picture_bytes, refuse_what_is_there, shown, write_file,
};
use super::terminal::tell;
use super::{Exit, Stop, print};
use crate::report::{bench_sheet_csv, drawing};
use std::path::PathBuf;

pub(super) fn measure(options: &MeasureOptions) -> Result<Exit, Stop> {
    let scenario = open_scenario(&options.scenario)?;
    let file = shown(&options.scenario);
    let sheet = bench_sheet_csv(&scenario.plan, &scenario.title, &file, None);
    let beside = options.out.as_ref().map(|out| out.with_extension("svg"));
    let picture: Option<PathBuf> = options.picture.clone().or(beside);
    if let Some(out) = &options.out {
        if picture.as_ref() == Some(out) {
            return Err(Stop::Refused(format!(
                "{}: the sheet and its picture cannot be one file\n  hint: a sheet's name ends in .csv",
                out.display()
            )));
        }
        for path in std::iter::once(out).chain(&picture) {
            refuse_what_is_there(path, options.overwrite)?;
        }
    }
    // drawn before anything is written, so that a refused picture leaves no sheet behind
    let drawn = match &picture {
        Some(path) => {
            let drawing = drawing::bench_drawing(&scenario.plan, &scenario.title)?;
            Some((path, picture_bytes(path, drawing)?))
        }
        None => None,
    };
    match &options.out {
        Some(out) => {
            make_parent(out)?;
            write_file(out, sheet.as_bytes(), options.overwrite)?;
            tell(&format!("sheet: {}", out.display()));
        }
        None => {
            print(sheet.as_bytes())?;
        }
    }
    if let Some((path, bytes)) = drawn {
        make_parent(path)?;
        write_file(path, &bytes, options.overwrite)?;
        tell(&format!("picture: {}", path.display()));
    }
    if let Some(out) = &options.out {
        tell(&format!(
            "next: fill it in, then sightdrift diagnose {file} {}",
            out.display()
        ));
    }
    Ok(Exit::Done)
}
