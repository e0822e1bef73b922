//! `rare`: the probability that a build fails where it is too small for `assess`.

use super::about::{about, shell_word};
use super::arguments::RareOptions;
use super::files::open_scenario;
use super::terminal::{tell, work_in_pool};
use super::{Exit, Stop, print, print_json};
use crate::decision::{NoRareFailure, RareSettings, rare_failure};
use crate::report::{rare_json, rare_text};
use crate::sampling::Sampling;

pub(super) fn rare(options: &RareOptions) -> Result<Exit, Stop> {
    let mut scenario = open_scenario(&options.scenario)?;
    let run = &mut scenario.run;
    run.seed = options.seed.unwrap_or(run.seed);
    run.looks = options.looks.unwrap_or(run.looks);
    let settings = RareSettings {
        samples: options.samples as usize,
        repetitions: options.repetitions as usize,
        ..RareSettings::default()
    };
    let again = format!(
        "sightdrift rare {} --seed {} --looks {} --samples {} --repetitions {}",
        shell_word(&options.scenario),
        run.seed,
        run.looks,
        settings.samples,
        settings.repetitions
    );
    let about = about(&options.scenario, again, &scenario);
    for warning in &about.warnings {
        tell(&format!("warning: {warning}"));
    }
    if scenario.run.sampling != Sampling::Plain {
        tell("note: rare lays out its own numbers; the scenario's sampling plays no part in it");
    }
    let plan = &scenario.plan;
    let (done, _) = work_in_pool(options.threads, "builds", |hooks| {
        rare_failure(plan, &scenario.run, &settings, hooks)
    })?;
    let found = done.map_err(|why| match why {
        NoRareFailure::Interrupted => Stop::Interrupted("nothing was written".to_owned()),
        refused => Stop::Refused(format!("{}: {refused}", options.scenario.display())),
    })?;
    if options.json {
        print_json(&rare_json(plan, &found, &about))?;
    } else {
        print(rare_text(plan, &found, &about).as_bytes())?;
    }
    let target = plan.design.judging.target_yield;
    Ok(Exit::gated(options.gate, found.surely_meets(target)))
}
