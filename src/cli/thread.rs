//! `thread`: in which order one line is led through all holes, how much of it, and where it is pulled.

use super::about::{about, shell_word};
use super::arguments::ThreadOptions;
use super::files::{
    make_parent, open_scenario, picture_bytes, read_text, refuse_what_is_there, write_file,
};
use super::named_files::led_back_to;
use super::terminal::tell;
use super::{Exit, Stop, print, print_json};
use crate::decision::threading::{ThreadAnswer, ThreadSettings, thread as find_order};
use crate::figure::{Threading, lines_text};
use crate::mechanics::Tightening;
use crate::report::{ThreadLines, drawing, thread_json, thread_text};
use crate::scenario::{Scenario, ThreadingPut, put_threading};
use crate::trial::thread_pool;
use std::path::Path;

pub(super) fn thread(options: &ThreadOptions) -> Result<Exit, Stop> {
    let scenario = open_scenario(&options.scenario)?;
    refuse_places(options)?;
    let plan = &scenario.plan;
    let settings = ThreadSettings {
        seed: options.seed.unwrap_or(scenario.run.seed),
        friction: options.friction,
        least_share: options.keep,
        anchor_mm: options.anchor,
    };
    // no handler is set, so that Ctrl-C ends it at once: nothing is written yet
    let pool = thread_pool(options.threads.map_or(0, usize::from)).map_err(Stop::Refused)?;
    let found = pool.install(|| find_order(plan, &settings));
    let answer = found
        .ok_or_else(|| Stop::Refused(format!("{}: has no lines", options.scenario.display())))?;
    let put = put(options, &scenario, &answer)?;
    let refused = put.text.as_ref().err().map(ToString::to_string);
    if let (Some(out), Some(why)) = (&options.out, &refused) {
        return Err(Stop::Refused(format!(
            "{}: not written: {why}",
            out.display()
        )));
    }
    let lines = ThreadLines {
        text: lines_text(&put.lines),
        refused,
    };
    // drawn before anything is written, so that a refused picture leaves nothing behind
    let drawn = match &options.picture {
        Some(path) => {
            let drawing = drawing::thread_drawing(plan, &answer, &scenario.title)?;
            Some((path, picture_bytes(path, drawing)?))
        }
        None => None,
    };
    if let (Some(out), Ok(text)) = (&options.out, &put.text) {
        make_parent(out)?;
        let text = led_back_to(text, &options.scenario, out);
        write_file(out, text.as_bytes(), options.overwrite)?;
        tell(&format!("scenario: {}", out.display()));
    }
    if let Some((path, bytes)) = drawn {
        make_parent(path)?;
        write_file(path, &bytes, options.overwrite)?;
        tell(&format!("picture: {}", path.display()));
    }
    if options.json {
        let about = about(&options.scenario, command(options, &settings), &scenario);
        print_json(&thread_json(&answer, plan, &about, &lines))
    } else {
        print(thread_text(&answer, plan, &scenario.title, &lines).as_bytes())
    }
}

/// Refuses places that could not be written to, before anything is worked out.
fn refuse_places(options: &ThreadOptions) -> Result<(), Stop> {
    if let (Some(out), Some(picture)) = (&options.out, &options.picture)
        && out == picture
    {
        return Err(Stop::Refused(format!(
            "{}: the scenario and the picture cannot be one file\n  hint: a scenario's name ends in .toml",
            out.display()
        )));
    }
    for path in options.out.iter().chain(&options.picture) {
        refuse_what_is_there(path, options.overwrite)?;
    }
    Ok(())
}

/// The order as the scenario writes it, read back.
fn put(
    options: &ThreadOptions,
    scenario: &Scenario,
    answer: &ThreadAnswer,
) -> Result<ThreadingPut, Stop> {
    let threading = Threading {
        order: answer.best.led.order.clone(),
        first_enters_front: answer.best.led.first_enters_front,
        friction: answer.pull.friction,
        tightening: answer.tightening.unwrap_or(Tightening::EachRun),
        pulled_at: answer.pull.pulled_at,
    };
    let folder = options
        .scenario
        .parent()
        .unwrap_or(Path::new(""))
        .to_owned();
    let read_file =
        move |name: &str| read_text(&folder.join(name)).map_err(|stop| stop.to_string());
    Ok(put_threading(
        &options.scenario.display().to_string(),
        &read_text(&options.scenario)?,
        &scenario.plan.design.vertices,
        &threading,
        &read_file,
    ))
}

/// The command that gives the same answer again.
fn command(options: &ThreadOptions, settings: &ThreadSettings) -> String {
    let friction = settings
        .friction
        .map_or_else(String::new, |friction| format!(" --friction {friction}"));
    format!(
        "sightdrift thread {} --seed {} --anchor {} --keep {}{friction}",
        shell_word(&options.scenario),
        settings.seed,
        settings.anchor_mm,
        settings.least_share
    )
}
