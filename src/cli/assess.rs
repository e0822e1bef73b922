//! `assess`: builds × looks, and the report; or one part of them, and its counts.

use super::about::shell_word;
use super::arguments::AssessOptions;
use super::files::{make_parent, open_scenario, short_name, usual_place};
use super::keeper::Keeper;
use super::report_out::{ReportOut, Telling, Wanted, too_many_dimensions};
use super::terminal::{interrupt_flag, progress_bar, tell};
use super::{Exit, Stop};
use crate::decision::{Part, RunResult, run_on, run_part};
use crate::report::count_words;
use crate::scenario::Scenario;
use crate::trial::{RunHooks, thread_pool};
use std::fmt::Write;
use std::path::{Path, PathBuf};

pub(super) fn assess(options: &AssessOptions) -> Result<Exit, Stop> {
    let mut scenario = open_scenario(&options.scenario)?;
    let run_as_read = scenario.run;
    let run = &mut scenario.run;
    run.seed = options.run.seed.unwrap_or(run.seed);
    run.looks = options.run.looks.unwrap_or(run.looks);
    run.builds = options.run.builds.unwrap_or(run.builds);
    run.sampling = options.run.sampling.unwrap_or(run.sampling);
    if options.to_the_cap || options.part.is_some() {
        run.half_width = None;
    }
    let name = short_name(&options.scenario);
    if let Some(part) = options.part {
        if run_as_read.half_width.is_some() && !options.to_the_cap {
            tell(&format!(
                "note: the stop rule (half_width) is off in parts: all {} builds are run; one run to compare with is assess --to-the-cap",
                count_words(scenario.run.builds)
            ));
        }
        if let Some(notice) = too_many_dimensions(&scenario) {
            tell(&format!("warning: {notice}"));
        }
        return count_part(options, &scenario, part, &name);
    }
    let out = options.out.clone().unwrap_or_else(|| usual_place(&name));
    let keeper = Keeper::new(counts_place(&out), &scenario, None, go_on_command(options));
    // with --resume, --overwrite speaks of the report only
    let report = ReportOut::prepare(
        &options.scenario,
        &scenario,
        &run_as_read,
        Wanted {
            out: &out,
            overwrite: options.overwrite,
            advise: options.advise,
            trials: &options.trials,
        },
    )?;
    run_whole(options, &scenario, keeper, report)
}

/// The whole run, from where it was left, and its report.
fn run_whole(
    options: &AssessOptions,
    scenario: &Scenario,
    mut keeper: Keeper<'_>,
    mut report: ReportOut,
) -> Result<Exit, Stop> {
    let mut counted = keeper.begin(options.resume, options.overwrite)?;
    let interrupted = interrupt_flag();
    let bar = progress_bar(scenario.run.builds, "builds");
    let hooks = RunHooks {
        interrupted: &interrupted,
        progress: &|done, _| bar.set_position(done),
    };
    let pool = thread_pool(options.threads.map_or(0, usize::from)).map_err(Stop::Refused)?;
    let finished = pool.install(|| {
        let stopped = run_on(
            &scenario.plan,
            &scenario.run,
            &mut counted,
            &hooks,
            &mut |counted| keeper.kept(counted),
        )
        .ok_or_else(|| keeper.interrupted(&counted))?;
        let result = RunResult::new(counted.clone(), &scenario.run, stopped);
        match report.work_out(scenario, result, &hooks) {
            Err(Stop::Interrupted(_)) => Err(keeper.interrupted(&counted)),
            done => done,
        }
    });
    bar.finish_and_clear();
    let telling = Telling {
        json: options.json,
        gate: options.gate,
    };
    report.finish(&finished?, telling, || keeper.done())
}

/// One part of a run, from where it was left, and its counts.
fn count_part(
    options: &AssessOptions,
    scenario: &Scenario,
    part: Part,
    name: &str,
) -> Result<Exit, Stop> {
    let out = options
        .out
        .clone()
        .unwrap_or_else(|| usual_place(&part_name(name, part)));
    let mut keeper = Keeper::new(out, scenario, Some(part), go_on_command(options));
    let builds = part.builds(scenario.run.builds);
    let mut counted = keeper.begin(options.resume, options.overwrite)?;
    make_parent(keeper.path())?;
    // a place that cannot be written to is told now, not after hours
    keeper.save(&counted)?;
    let interrupted = interrupt_flag();
    let bar = progress_bar(builds.end - builds.start, "builds");
    let hooks = RunHooks {
        interrupted: &interrupted,
        progress: &|done, _| bar.set_position(done),
    };
    let pool = thread_pool(options.threads.map_or(0, usize::from)).map_err(Stop::Refused)?;
    let whole = pool.install(|| {
        run_part(
            &scenario.plan,
            &scenario.run,
            part,
            &mut counted,
            &hooks,
            &mut |counted| keeper.kept(counted),
        )
    });
    bar.finish_and_clear();
    if !whole {
        return Err(keeper.interrupted(&counted));
    }
    keeper.save(&counted)?;
    tell(&format!(
        "part {} of {}, {} builds: {}\nnext, with all parts: sightdrift merge {} FILES",
        part.number(),
        part.of(),
        count_words(builds.end - builds.start),
        keeper.path().display(),
        shell_word(&options.scenario)
    ));
    Ok(Exit::Done)
}

/// Usual file name of a part of the scenario of this short name.
pub(super) fn part_name(name: &str, part: Part) -> String {
    format!("{name}.part-{}-of-{}.json", part.number(), part.of())
}

/// Where an interrupted run is kept: beside its report's folder.
fn counts_place(out: &Path) -> PathBuf {
    let mut name = out.file_name().unwrap_or_default().to_owned();
    name.push(".counts.json");
    out.with_file_name(name)
}

/// The command that goes on with this one where it was interrupted.
fn go_on_command(options: &AssessOptions) -> String {
    let mut words = format!("sightdrift assess {}", shell_word(&options.scenario));
    let mut option = |name: &str, value: Option<String>| {
        if let Some(value) = value {
            let _ = write!(words, " --{name} {value}");
        }
    };
    let run = &options.run;
    option("seed", run.seed.map(|seed| seed.to_string()));
    option("sampling", run.sampling.map(|one| one.name().to_owned()));
    option("builds", run.builds.map(|builds| builds.to_string()));
    option("looks", run.looks.map(|looks| looks.to_string()));
    option(
        "part",
        options
            .part
            .map(|part| format!("{}/{}", part.number(), part.of())),
    );
    option("out", options.out.as_deref().map(shell_word));
    let trials = &options.trials;
    option("trials", trials.trials.as_deref().map(shell_word));
    option(
        "trials-builds",
        trials.trials_builds.map(|builds| builds.to_string()),
    );
    option(
        "threads",
        options.threads.map(|threads| threads.to_string()),
    );
    for (flag, on) in [
        ("to-the-cap", options.to_the_cap),
        ("overwrite", options.overwrite && options.part.is_none()),
        ("json", options.json),
        ("gate", options.gate),
        ("advise", options.advise),
        ("resume", true),
    ] {
        if on {
            let _ = write!(words, " --{flag}");
        }
    }
    words
}
