//! `compare`: two scenarios, or one build before and after a repair, side by side.

use super::about::{about, shell_word};
use super::advice_out::{Told, is_advice_file};
use super::arguments::CompareOptions;
use super::files::{ReportFolder, open_scenario, read_text, short_name, shown, usual_place};
use super::terminal::{tell, work_in_pool};
use super::{Exit, Stop, print, print_json};
use crate::decision::diagnosis::{NoDiagnosis, Why, relief_shift_mm, why};
use crate::decision::{
    BuildComparison, Comparison, ComparisonVerdict, FromMeanPlace, GivenBuilds, Interrupted,
    RunPlan, brief_run, build_comparison, comparison, fresh_run,
};
use crate::figure::{Bench, Measurand, Plan};
use crate::report::drawing::{COMPARISON_NAMES, comparison_drawings};
use crate::report::{
    About, Compared, advice_page_html, comparison_json, comparison_section, comparison_sentences,
    comparison_text, differences, side_names,
};
use crate::sampling::Sampling;
use crate::scenario::{Scenario, read_bench};
use crate::trial::RunHooks;
use std::path::{Path, PathBuf};

const NAME: &str = "compare";
/// Builds of either side unless told otherwise: of scenarios, and of what a sheet leaves possible.
const BUILDS: u64 = super::arguments::USUAL_BUILDS;
const POSSIBLE_BUILDS: u64 = 500;

pub(super) fn compare(options: &CompareOptions) -> Result<Exit, Stop> {
    match &options.second {
        Some(second) => compare_scenarios(options, second),
        None => compare_builds(options),
    }
}

/// Whether a name is one of the answer's files.
fn is_own_file(file: &str) -> bool {
    is_advice_file(file, NAME, &COMPARISON_NAMES)
}

/// Both, or all that is wrong with either.
fn both<T>(found: [Result<T, Stop>; 2]) -> Result<[T; 2], Stop> {
    match found {
        [Ok(first), Ok(second)] => Ok([first, second]),
        [Err(Stop::Refused(first)), Err(Stop::Refused(second))] if first != second => {
            Err(Stop::Refused(format!("{first}\n{second}")))
        }
        [Err(stop), _] | [_, Err(stop)] => Err(stop),
    }
}

/// What is run, by the first scenario and the options.
fn run_plan(options: &CompareOptions, scenario: &Scenario, builds: u64) -> RunPlan {
    RunPlan {
        seed: options.seed.unwrap_or(scenario.run.seed),
        looks: options.looks.unwrap_or(scenario.run.looks),
        ..brief_run(&scenario.run, options.builds.unwrap_or(builds))
    }
}

fn command(words: &str, run: &RunPlan) -> String {
    format!(
        "sightdrift {NAME} {words} --seed {} --builds {} --looks {}",
        run.seed, run.builds, run.looks
    )
}

fn folder(options: &CompareOptions, name: &str) -> Result<ReportFolder, Stop> {
    let out = options
        .out
        .clone()
        .unwrap_or_else(|| usual_place(&format!("{name}-{NAME}")));
    ReportFolder::prepare(&out, options.overwrite, is_own_file)
}

fn compare_scenarios(options: &CompareOptions, second: &Path) -> Result<Exit, Stop> {
    let files = [&options.scenario, second];
    let scenarios = both(files.map(open_scenario))?;
    let run = run_plan(options, &scenarios[0], BUILDS);
    let words = files.map(shell_word).join(" ");
    let abouts = [0, 1].map(|side| about(files[side], command(&words, &run), &scenarios[side]));
    let short = files.map(short_name);
    let folder = folder(options, &short.join("-"))?;
    let names = side_names(
        scenarios.each_ref().map(|one| one.title.as_str()),
        short.each_ref().map(String::as_str),
    );
    for (name, about) in names.iter().zip(&abouts) {
        for warning in &about.warnings {
            tell(&format!("warning: {name}: {warning}"));
        }
    }
    if scenarios
        .iter()
        .any(|one| one.run.sampling != Sampling::Plain)
    {
        tell(
            "note: compare takes plain random numbers; the scenarios' sampling plays no part in it",
        );
    }
    let plans = scenarios.each_ref().map(|one| &one.plan);
    let (done, is_interrupted) = work_in_pool(options.threads, "builds", |hooks| {
        comparison(plans, &run, hooks)
    })?;
    let found = done.map_err(|_| nothing_written())?;
    let compared = Compared {
        found: &found,
        from_mean_place: None,
        plans,
        abouts: [&abouts[0], &abouts[1]],
        names,
        sheets: [Vec::new(), Vec::new()],
        only_read: [0, 0],
        changed: differences(plans[0], plans[1]),
    };
    finish(options, &compared, folder, is_interrupted)
}

fn nothing_written() -> Stop {
    Stop::Interrupted("nothing was written".to_owned())
}

/// The sheets of one side.
fn open_bench(side: &str, files: &[PathBuf], plan: &Plan) -> Result<Bench, Stop> {
    let texts = files
        .iter()
        .map(|file| Ok((file.display().to_string(), read_text(file)?)))
        .collect::<Result<Vec<_>, Stop>>()?;
    let read = read_bench(&texts, plan)?;
    for note in &read.notes {
        tell(&format!("note: {side}: {note}"));
    }
    Ok(read.bench)
}

fn compare_builds(options: &CompareOptions) -> Result<Exit, Stop> {
    let scenario = open_scenario(&options.scenario)?;
    let plan = &scenario.plan;
    let sheets = [&options.before, &options.after];
    let [before, after] = both([
        open_bench("before", sheets[0], plan),
        open_bench("after", sheets[1], plan),
    ])?;
    let run = run_plan(options, &scenario, POSSIBLE_BUILDS);
    let shell = |files: &[PathBuf]| {
        let words: Vec<String> = files.iter().map(|file| shell_word(file)).collect();
        words.join(" ")
    };
    let words = format!(
        "{} --before {} --after {}",
        shell_word(&options.scenario),
        shell(sheets[0]),
        shell(sheets[1])
    );
    let about = about(&options.scenario, command(&words, &run), &scenario);
    let folder = folder(
        options,
        &format!("{}-before-after", short_name(&options.scenario)),
    )?;
    for warning in &about.warnings {
        tell(&format!("warning: {warning}"));
    }
    let (done, is_interrupted) = work_in_pool(options.threads, "builds", |hooks| {
        before_and_after(plan, [&before, &after], &run, hooks)
    })?;
    let BuildComparison {
        comparison,
        mean_eye,
    } = done?;
    let mut compared = of_builds(&comparison, mean_eye, plan, &about, sheets);
    compared.only_read = [only_read(&before, &after), only_read(&after, &before)];
    finish(options, &compared, folder, is_interrupted)
}

fn of_builds<'a>(
    found: &'a Comparison,
    mean_eye: [FromMeanPlace; 2],
    plan: &'a Plan,
    about: &'a About,
    sheets: [&Vec<PathBuf>; 2],
) -> Compared<'a> {
    let named = |files: &Vec<PathBuf>| files.iter().map(|file| shown(file)).collect();
    Compared {
        found,
        from_mean_place: Some(mean_eye),
        plans: [plan; 2],
        abouts: [about; 2],
        names: ["before", "after"].map(str::to_owned),
        sheets: sheets.map(named),
        only_read: [0, 0],
        changed: Vec::new(),
    }
}

/// Readings of `bench` of things that `other` does not read.
fn only_read(bench: &Bench, other: &Bench) -> usize {
    let is_read = |of: &Measurand| other.readings.iter().any(|reading| reading.of == *of);
    let all = bench.readings.iter();
    all.filter(|reading| !is_read(&reading.of)).count()
}

/// Diagnoses both builds and looks at all that their readings leave possible. The two sets are drawn with numbers that have
/// nothing to do with each other.
fn before_and_after(
    plan: &Plan,
    [before, after]: [&Bench; 2],
    run: &RunPlan,
    hooks: &RunHooks<'_>,
) -> Result<BuildComparison, Stop> {
    let whys = [
        diagnosed("before", why(plan, before, run, hooks))?,
        diagnosed("after", why(plan, after, &fresh_run(run), hooks))?,
    ];
    let given = whys.each_ref().map(|why| GivenBuilds {
        builds: &why.possible,
        relief_shift_mm: relief_shift_mm(plan, why),
    });
    build_comparison(plan, given, run, hooks).map_err(|Interrupted| nothing_written())
}

fn diagnosed(side: &str, found: Result<Why, NoDiagnosis>) -> Result<Why, Stop> {
    found.map_err(|reason| match reason {
        NoDiagnosis::Interrupted => nothing_written(),
        reason => Stop::Refused(format!("{side}: {reason}")),
    })
}

/// Puts the comparison into all its forms and writes them.
fn finish(
    options: &CompareOptions,
    compared: &Compared<'_>,
    folder: ReportFolder,
    is_interrupted: bool,
) -> Result<Exit, Stop> {
    let drawings = comparison_drawings(compared)?;
    let told = Told {
        name: NAME,
        headline: comparison_sentences(compared).into_iter().take(2).collect(),
        question: "which is better?",
        sections: comparison_section(compared, &drawings),
        json: comparison_json(compared),
        text: comparison_text(compared),
        drawings,
        more_files: Vec::new(),
    };
    if is_interrupted {
        return Err(nothing_written());
    }
    let about = page_about(compared);
    let run = &compared.found.run;
    let page = advice_page_html(
        &about,
        told.question,
        &told.sections,
        compared.plans[0],
        run,
    );
    let place = folder.path().to_owned();
    let mut files = told.files(&options.scenario, &place)?;
    files.push(("report.html".to_owned(), page.into_bytes()));
    folder.finish(&files)?;
    if options.json {
        print_json(&told.json)?;
    } else {
        print(told.text.as_bytes())?;
    }
    tell(&format!("report: {}", place.join("report.html").display()));
    let is_better = compared.found.verdict() == ComparisonVerdict::Better;
    Ok(Exit::gated(options.gate, is_better))
}

/// The particulars of the first scenario under a title that names both sides.
fn page_about(compared: &Compared<'_>) -> About {
    let [first, second] = &compared.names;
    let about = compared.abouts[0].clone();
    if compared.found.is_paired() {
        About {
            title: format!("{first} and {second}"),
            note: None,
            ..about
        }
    } else {
        About {
            title: format!("{}: before and after", about.title),
            ..about
        }
    }
}
