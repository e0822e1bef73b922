//! `merge`: the counts of all parts of a run, and the report of the whole.

use super::about::shell_word;
use super::arguments::MergeOptions;
use super::counts_file::CountsFile;
use super::files::{open_scenario, short_name, usual_place};
use super::report_out::{ReportOut, Telling, Wanted, run_command};
use super::terminal::interrupt_flag;
use super::{Exit, Stop};
use crate::decision::{Counted, Merger, NotMerged, Part, RunPlan, RunResult, Stopped};
use crate::report::count_words;
use crate::scenario::{MOST_BUILDS, MOST_LOOKS, Scenario};
use crate::trial::{RunHooks, thread_pool};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

pub(super) fn merge(options: &MergeOptions) -> Result<Exit, Stop> {
    let mut scenario = open_scenario(&options.scenario)?;
    let run_as_read = scenario.run;
    let (first, rest) = options
        .files
        .split_first()
        .ok_or_else(|| Stop::Refused("no file to merge is named".to_owned()))?;
    let first = (first, CountsFile::read(first)?);
    scenario.run = run_of(&first.1, first.0, &run_as_read)?;
    let out = options
        .out
        .clone()
        .unwrap_or_else(|| usual_place(&short_name(&options.scenario)));
    let mut report = ReportOut::prepare(
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
    let counted = merged(&options.scenario, &scenario, first, rest)?;
    let interrupted = interrupt_flag();
    let hooks = RunHooks {
        interrupted: &interrupted,
        progress: &|_, _| {},
    };
    let pool = thread_pool(options.threads.map_or(0, usize::from)).map_err(Stop::Refused)?;
    let result = RunResult::new(counted, &scenario.run, Stopped::AtCap);
    let finished = pool.install(|| report.work_out(&scenario, result, &hooks))?;
    let telling = Telling {
        json: options.json,
        gate: options.gate,
    };
    report.finish(&finished, telling, || {})
}

/// What the counts file `text` counts of `scenario`: a part of the run that it says it is of, as `merge` takes it, or what an
/// interrupted run of the scenario kept, as `assess --resume` takes it. `path` only names it in messages.
///
/// # Errors
/// [`Stop::Refused`] with what is wrong with it.
pub fn read_counts(path: &Path, text: &str, scenario: &Scenario) -> Result<Counted, Stop> {
    let file = CountsFile::from_text(path, text)?;
    let (run, part) = match file.part {
        Some(_) => (run_of(&file, path, &scenario.run)?, Some(file.part(path)?)),
        None => (scenario.run, None),
    };
    file.counted(path, &scenario.sha256, &scenario.plan, &run, part)
}

/// The run that a part says it is of. Its level and interval are the scenario's: the file is held against them later.
fn run_of(file: &CountsFile, path: &Path, run_as_read: &RunPlan) -> Result<RunPlan, Stop> {
    let key = &file.run;
    for (what, number, lowest, most) in [
        ("seed", key.seed, 0, i64::MAX as u64),
        ("builds", key.builds, 1, MOST_BUILDS),
        ("looks", key.looks, 1, MOST_LOOKS),
    ] {
        if !(lowest..=most).contains(&number) {
            return Err(Stop::Refused(format!(
                "{}: its {what} is {number}, must be {lowest} to {most}",
                path.display()
            )));
        }
    }
    let sampling = key.sampling().ok_or_else(|| {
        Stop::Refused(format!(
            "{}: its sampling is none that is known here",
            path.display()
        ))
    })?;
    Ok(RunPlan {
        sampling,
        seed: key.seed,
        builds: key.builds,
        looks: key.looks,
        half_width: None,
        ..*run_as_read
    })
}

/// All parts put together; one file is held at a time.
fn merged(
    scenario_file: &Path,
    scenario: &Scenario,
    first: (&PathBuf, CountsFile),
    rest: &[PathBuf],
) -> Result<Counted, Stop> {
    let of = first.1.part(first.0)?.of();
    let mut merger = Merger::new(&scenario.plan, of, scenario.run.builds);
    let mut names: BTreeMap<u64, &Path> = BTreeMap::new();
    let files = std::iter::once(Ok::<_, Stop>(first))
        .chain(rest.iter().map(|path| Ok((path, CountsFile::read(path)?))));
    for file in files {
        let (path, file) = file?;
        let part = file.part(path)?;
        if part.of() != of {
            return Err(refuse(
                path,
                &format!(
                    "is part {}/{}, where the first file is one of {of} parts",
                    part.number(),
                    part.of()
                ),
            ));
        }
        let counted = file.counted(
            path,
            &scenario.sha256,
            &scenario.plan,
            &scenario.run,
            Some(part),
        )?;
        merger
            .add(part, &counted)
            .map_err(|why| refused(path, why, part, &counted, &names, scenario_file, scenario))?;
        names.insert(part.number(), path);
    }
    merger.finish().map_err(|missing| {
        let shown: Vec<String> = missing
            .iter()
            .take(10)
            .map(|number| format!("{number}/{of}"))
            .collect();
        let more = match missing.len() - shown.len() {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        Stop::Refused(format!(
            "of {of} parts, {} missing: {}{more}\n  hint: make each with {} --part NUMBER/{of}",
            match missing.len() {
                1 => "one is".to_owned(),
                many => format!("{many} are"),
            },
            shown.join(", "),
            run_command(scenario_file, &scenario.run)
        ))
    })
}

fn refuse(path: &Path, why: &str) -> Stop {
    Stop::Refused(format!("{}: {why}", path.display()))
}

/// Why a part was not taken, in words.
fn refused(
    path: &Path,
    why: NotMerged,
    part: Part,
    counted: &Counted,
    names: &BTreeMap<u64, &Path>,
    scenario_file: &Path,
    scenario: &Scenario,
) -> Stop {
    let (number, of) = (part.number(), part.of());
    match why {
        NotMerged::OtherNumberOfParts => refuse(
            path,
            &format!("is part {number}/{of}, of another number of parts"),
        ),
        NotMerged::Twice => {
            let other = names
                .get(&number)
                .map(|other| other.display().to_string())
                .unwrap_or_default();
            refuse(
                path,
                &format!("is part {number}/{of}, and so is {other}: name each part once"),
            )
        }
        NotMerged::Unfinished => {
            let builds = part.builds(scenario.run.builds);
            refuse(
                path,
                &format!(
                    "part {number}/{of} is unfinished, {} of its {} builds are done\n  hint: go on with it by {} --part {number}/{of} --out {} --resume",
                    count_words(counted.next_build - counted.first_build),
                    count_words(builds.end - builds.start),
                    run_command(scenario_file, &scenario.run),
                    shell_word(path)
                ),
            )
        }
    }
}
