//! From a question about a scenario to its answer: a folder with page, JSON and drawings, and the words on the terminal.

use super::about::{about, shell_word};
use super::arguments::AdviceOptions;
use super::files::{ReportFolder, open_scenario, short_name, usual_place};
use super::named_files::led_back;
use super::terminal::{tell, work_in_pool};
use super::{Stop, print, print_json};
use crate::decision::{Interrupted, RunPlan, brief_run};
use crate::report::drawing::Drawing;
use crate::report::{About, advice_page_html};
use crate::sampling::Sampling;
use crate::scenario::Scenario;
use crate::trial::RunHooks;
use maud::Markup;
use serde_json::Value;
use std::path::{Path, PathBuf};

/// A command that answers a question.
#[derive(Debug, Clone, Copy)]
pub(super) struct Advice {
    /// Its name: that of the command and of the JSON file, and the end of the folder's.
    pub name: &'static str,
    /// What its progress counts.
    pub counts: &'static str,
    /// Whether a name is one of its folder's files.
    pub is_own_file: fn(&str) -> bool,
}

/// An answer in all its forms.
pub(super) struct Told {
    /// Name of its JSON file's stem.
    pub name: &'static str,
    /// The answer in a sentence or two, for whoever reads on elsewhere.
    pub headline: Vec<String>,
    /// The question, as the heading of a page.
    pub question: &'static str,
    /// The answer's sections of a page.
    pub sections: Markup,
    /// For programs.
    pub json: Value,
    /// For the terminal.
    pub text: String,
    /// The drawings, which the page holds too.
    pub drawings: Vec<Drawing>,
    /// Other files by name, such as the scenario with the answer put in.
    pub more_files: Vec<(String, String)>,
}

/// Whether a file of this name belongs to the advice `name` with drawings of these names.
pub(super) fn is_advice_file(file: &str, name: &str, drawings: &[&str]) -> bool {
    file == "report.html"
        || file.rsplit_once('.').is_some_and(|(stem, kind)| {
            (kind == "json" && stem == name)
                || (matches!(kind, "svg" | "png") && drawings.contains(&stem))
        })
}

/// Reads the scenario, looks at the folder before anything is run, has `work` done in the pool, `put` into all its forms, and
/// writes it; returns what was found.
pub(super) fn advise<T: Send>(
    advice: Advice,
    options: &AdviceOptions,
    work: impl FnOnce(&Scenario, &RunPlan, &RunHooks<'_>) -> Result<T, Interrupted> + Send,
    put: impl FnOnce(&Scenario, &T, &About) -> Result<Told, Stop>,
) -> Result<T, Stop> {
    let scenario = open_scenario(&options.scenario)?;
    let run = RunPlan {
        seed: options.seed.unwrap_or(scenario.run.seed),
        looks: options.looks.unwrap_or(scenario.run.looks),
        ..brief_run(&scenario.run, options.builds)
    };
    let asked = Asked {
        advice,
        file: &options.scenario,
        scenario: &scenario,
        run,
        operands: String::new(),
        out: options.out.as_deref(),
        overwrite: options.overwrite,
        json: options.json,
        threads: options.threads,
    };
    let (found, _) = asked.answer(
        |hooks| work(&scenario, &run, hooks).map_err(|Interrupted| nothing_written()),
        |found, about| put(&scenario, found, about),
    )?;
    Ok(found)
}

/// The end of a command that was interrupted before its folder was finished.
pub(super) fn nothing_written() -> Stop {
    Stop::Interrupted("nothing was written".to_owned())
}

/// A question about a scenario that was read, and where its answer goes.
pub(super) struct Asked<'a> {
    /// The command.
    pub advice: Advice,
    /// The scenario's file.
    pub file: &'a Path,
    pub scenario: &'a Scenario,
    /// How much is run.
    pub run: RunPlan,
    /// What else the command was given that changes the answer, as it stands on a command line, with a space before each word.
    pub operands: String,
    /// Folder, unless it is the usual one.
    pub out: Option<&'a Path>,
    pub overwrite: bool,
    pub json: bool,
    pub threads: Option<u16>,
}

impl Asked<'_> {
    /// Looks at the folder before anything is run, has `work` done in the pool, `put` into all its forms, writes it, and tells it;
    /// returns what was found, and where it stands.
    pub fn answer<T: Send>(
        &self,
        work: impl FnOnce(&RunHooks<'_>) -> Result<T, Stop> + Send,
        put: impl FnOnce(&T, &About) -> Result<Told, Stop>,
    ) -> Result<(T, PathBuf), Stop> {
        let about = about(self.file, self.command(), self.scenario);
        let name = self.advice.name;
        let out = self.out.map_or_else(
            || usual_place(&format!("{}-{name}", short_name(self.file))),
            Path::to_owned,
        );
        let folder = ReportFolder::prepare(&out, self.overwrite, self.advice.is_own_file)?;
        for warning in &about.warnings {
            tell(&format!("warning: {warning}"));
        }
        if self.scenario.run.sampling != Sampling::Plain {
            tell(&format!(
                "note: {name} compares designs by plain random numbers; the scenario's sampling plays no part in it"
            ));
        }
        let (done, is_interrupted) = work_in_pool(self.threads, self.advice.counts, work)?;
        let found = done?;
        let told = put(&found, &about)?;
        if is_interrupted {
            return Err(nothing_written());
        }
        let place = folder.path().to_owned();
        let plan = &self.scenario.plan;
        let page = advice_page_html(&about, told.question, &told.sections, plan, &self.run);
        let mut files = told.files(self.file, &place)?;
        files.push(("report.html".to_owned(), page.into_bytes()));
        folder.finish(&files)?;
        if self.json {
            print_json(&told.json)?;
        } else {
            print(told.text.as_bytes())?;
        }
        tell(&format!("report: {}", place.join("report.html").display()));
        Ok((found, place))
    }

    /// The command that makes the answer again: what does not change it (threads, places, formats) is left out.
    fn command(&self) -> String {
        format!(
            "sightdrift {} {}{} --seed {} --builds {} --looks {}",
            self.advice.name,
            shell_word(self.file),
            self.operands,
            self.run.seed,
            self.run.builds,
            self.run.looks
        )
    }
}

impl Told {
    /// The answer for programs, as a file.
    fn json_file(&self) -> Result<(String, Vec<u8>), Stop> {
        let mut json = serde_json::to_vec_pretty(&self.json)?;
        json.push(b'\n');
        Ok((format!("{}.json", self.name), json))
    }

    /// All its files but the page, for the folder `place`; scenarios among them are made from that in `scenario`.
    pub fn files(&self, scenario: &Path, place: &Path) -> Result<Vec<(String, Vec<u8>)>, Stop> {
        let mut files = vec![self.json_file()?];
        files.extend(drawing_files(&self.drawings));
        let more = self.more_files.iter().map(|(name, text)| {
            let text = match name.ends_with(".toml") {
                true => led_back(text, scenario, place),
                false => text.clone(),
            };
            (name.clone(), text.into_bytes())
        });
        files.extend(more);
        Ok(files)
    }
}

/// Every drawing as SVG and as PNG.
pub(super) fn drawing_files(drawings: &[Drawing]) -> Vec<(String, Vec<u8>)> {
    let both = |drawing: &Drawing| {
        [
            (
                format!("{}.svg", drawing.name),
                drawing.svg.clone().into_bytes(),
            ),
            (format!("{}.png", drawing.name), drawing.png.clone()),
        ]
    };
    drawings.iter().flat_map(both).collect()
}
