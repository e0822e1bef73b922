//! From a finished run to its report, and what is said of it.

use super::about::{about, shell_word};
use super::advice_out::{Told, drawing_files};
use super::arguments::{TrialsOptions, USUAL_BUILDS};
use super::files::ReportFolder;
use super::terminal::tell;
use super::trials_out::TrialsOut;
use super::{Exit, Stop, print, print_json};
use crate::decision::{
    Assessment, Interrupted, Met, RunPlan, RunResult, assess_result, brief_run, peephole_answer,
    tolerances,
};
use crate::report::{
    About, drawing, junctions_csv, page_html, results_json, rods_csv, sampling_option, summary_text,
};
use crate::sampling::Sampling;
use crate::scenario::Scenario;
use crate::trial::{RunHooks, sobol_dimensions};
use std::path::{Path, PathBuf};

/// What a command does with a finished report besides writing it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Telling {
    /// Results as JSON on standard output.
    pub json: bool,
    /// Exit code 1 unless the target is met.
    pub gate: bool,
}

/// What goes into a report, and where.
#[derive(Debug, Clone, Copy)]
pub(super) struct Wanted<'a> {
    /// Its folder.
    pub out: &'a Path,
    /// A report that is there, and a table of trials, may be replaced.
    pub overwrite: bool,
    /// The advice on peephole and tolerances is wanted too.
    pub advise: bool,
    /// The table of the run's trials, where one is wanted beside it.
    pub trials: &'a TrialsOptions,
}

/// A report in the making: its folder, and the place of the table of trials, were looked at before anything is run.
#[derive(Debug)]
pub(super) struct ReportOut {
    /// The scenario's file.
    file: PathBuf,
    about: About,
    folder: ReportFolder,
    advise: bool,
    trials: Option<TrialsOut>,
}

impl ReportOut {
    /// Checks the place of the report of `scenario`, read from `file`, and tells the scenario's warnings. `run_as_read` is
    /// the run that the scenario itself asks for.
    pub fn prepare(
        file: &Path,
        scenario: &Scenario,
        run_as_read: &RunPlan,
        wanted: Wanted<'_>,
    ) -> Result<Self, Stop> {
        let mut command = command(file, &scenario.run, run_as_read);
        if wanted.advise {
            command.push_str(" --advise");
        }
        let mut about = about(file, command, scenario);
        about.warnings.extend(too_many_dimensions(scenario));
        let folder = ReportFolder::prepare(wanted.out, wanted.overwrite, is_report_file)?;
        for warning in &about.warnings {
            tell(&format!("warning: {warning}"));
        }
        let trials = TrialsOut::prepare(
            wanted.trials,
            wanted.overwrite,
            wanted.out,
            &scenario.plan,
            &scenario.run,
        )?;
        Ok(Self {
            file: file.to_owned(),
            about,
            folder,
            advise: wanted.advise,
            trials,
        })
    }

    /// Works out what goes with the run, in the current thread pool.
    pub fn work_out(
        &mut self,
        scenario: &Scenario,
        result: RunResult,
        hooks: &RunHooks<'_>,
    ) -> Result<Finished, Stop> {
        let interrupted = || Stop::Interrupted("nothing was written".to_owned());
        let assessment = assess_result(scenario.plan.clone(), scenario.run, result, hooks)
            .map_err(|_| interrupted())?;
        let advice = if self.advise {
            advice(scenario, &self.about, hooks)?
        } else {
            Vec::new()
        };
        let mut files = report_files(&assessment, &self.about, &advice)?;
        for told in &advice {
            files.extend(told.files(&self.file, self.folder.path())?);
        }
        if hooks.is_interrupted() {
            return Err(interrupted());
        }
        if let Some(trials) = &mut self.trials {
            let counted = assessment.result.tally.builds;
            trials.write(&scenario.plan, &scenario.run, counted, hooks)?;
        }
        let headlines = advice.into_iter().flat_map(|told| told.headline).collect();
        Ok(Finished {
            assessment,
            files,
            headlines,
        })
    }

    /// Puts the report in its place and says what comes of it; `placed` is called once it stands.
    pub fn finish(
        self,
        finished: &Finished,
        telling: Telling,
        placed: impl FnOnce(),
    ) -> Result<Exit, Stop> {
        let Finished {
            assessment,
            files,
            headlines,
        } = finished;
        let place = self.folder.path().to_owned();
        self.folder.finish(files)?;
        placed();
        if let Some(trials) = self.trials {
            trials.place()?;
        }
        if telling.json {
            print_json(&results_json(assessment, &self.about))?;
        } else {
            print(summary_text(assessment, &self.about, headlines).as_bytes())?;
        }
        tell(&format!("report: {}", place.join("report.html").display()));
        Ok(Exit::gated(telling.gate, assessment.met == Met::Yes))
    }
}

/// The advice on peephole and tolerances, each in all its forms.
fn advice(scenario: &Scenario, about: &About, hooks: &RunHooks<'_>) -> Result<Vec<Told>, Stop> {
    let interrupted = |_: Interrupted| Stop::Interrupted("nothing was written".to_owned());
    // the bar is that of the run's builds
    let hooks = &RunHooks {
        interrupted: hooks.interrupted,
        progress: &|_, _| {},
    };
    let run = brief_run(&scenario.run, USUAL_BUILDS);
    let peephole = peephole_answer(&scenario.plan, &run, hooks).map_err(interrupted)?;
    let found = tolerances(&scenario.plan, &scenario.ways, &run, hooks).map_err(interrupted)?;
    Ok(vec![
        super::peephole::put(scenario, &peephole, about)?,
        super::tolerances::put(scenario, &found, about)?,
    ])
}

/// An assessment and the files of its report.
pub(super) struct Finished {
    assessment: Assessment,
    files: Vec<(String, Vec<u8>)>,
    /// What the advice comes to, where it was asked for.
    headlines: Vec<String>,
}

/// The command that makes the same report again: what does not change it (threads, places, formats, interrupts, parts) is
/// left out.
fn command(file: &Path, run: &RunPlan, run_as_read: &RunPlan) -> String {
    let to_the_cap = if run.half_width == run_as_read.half_width {
        ""
    } else {
        " --to-the-cap"
    };
    format!("{}{to_the_cap}", run_command(file, run))
}

/// The command that runs the scenario of this file as `run` says, but for its stop rule.
pub(super) fn run_command(file: &Path, run: &RunPlan) -> String {
    format!(
        "sightdrift assess {} --seed {} --builds {} --looks {}{}",
        shell_word(file),
        run.seed,
        run.builds,
        run.looks,
        sampling_option(run)
    )
}

/// A notice where there are more dimensions than Sobol' points.
pub(super) fn too_many_dimensions(scenario: &Scenario) -> Option<String> {
    if scenario.run.sampling != Sampling::Sobol {
        return None;
    }
    let [all, plain] = sobol_dimensions(&scenario.plan, scenario.run.looks);
    (plain > 0).then(|| {
        format!("a build with its looks has {all} values, more than Sobol' points have dimensions: the last {plain} are drawn by plain random numbers")
    })
}

/// Whether a name is one of a report's files.
fn is_report_file(name: &str) -> bool {
    let drawing = name.rsplit_once('.').is_some_and(|(stem, kind)| {
        matches!(kind, "svg" | "png") && drawing::NAMES.contains(&stem)
    });
    drawing
        || super::peephole::is_own_file(name)
        || super::tolerances::is_own_file(name)
        || matches!(
            name,
            "report.html" | "results.json" | "rods.csv" | "junctions.csv"
        )
}

fn report_files(
    assessment: &Assessment,
    about: &About,
    advice: &[Told],
) -> Result<Vec<(String, Vec<u8>)>, Stop> {
    let drawings = drawing::drawings(assessment)?;
    let sections = advice
        .iter()
        .map(|told| (&told.headline[..], &told.sections));
    let mut json = serde_json::to_vec_pretty(&results_json(assessment, about))?;
    json.push(b'\n');
    let mut files = vec![
        (
            "report.html".to_owned(),
            page_html(assessment, about, &drawings, sections).into_bytes(),
        ),
        ("results.json".to_owned(), json),
        ("rods.csv".to_owned(), rods_csv(assessment)?),
        ("junctions.csv".to_owned(), junctions_csv(assessment)?),
    ];
    files.extend(drawing_files(&drawings));
    Ok(files)
}
