//! `diagnose`: what spoiled a build that was measured, what is the least that mends it, and the record for the exhibit's file.

use super::about::shell_word;
use super::advice_out::{Advice, Asked, Told, is_advice_file, nothing_written};
use super::arguments::DiagnoseOptions;
use super::files::{open_scenario, read_text};
use super::terminal::tell;
use super::{Exit, Stop};
use crate::decision::diagnosis::{Blunder, NoDiagnosis, blunders};
use crate::decision::{Diagnosis, RunPlan, brief_run, diagnose as work_out};
use crate::figure::{Bench, Plan};
use crate::report::drawing::{DIAGNOSIS_NAMES, diagnosis_drawings, record_drawing};
use crate::report::{
    About, BuildVerdict, Diagnosed, diagnosis_json, diagnosis_section, diagnosis_sentences,
    diagnosis_text, record_html, rods_of_the_leading_cause,
};
use crate::scenario::{Scenario, read_bench};
use std::path::PathBuf;

const COMMAND: &str = "diagnose";
/// Stem of the answer's JSON file.
const NAME: &str = "diagnosis";
const RECORD: &str = "record.html";

pub(super) fn diagnose(options: &DiagnoseOptions) -> Result<Exit, Stop> {
    let scenario = open_scenario(&options.scenario)?;
    let sheet = read_sheets(&options.sheets, &scenario, options)?;
    let run = RunPlan {
        seed: options.seed.unwrap_or(scenario.run.seed),
        looks: options.looks,
        ..brief_run(&scenario.run, options.builds)
    };
    let mut operands: String = options
        .sheets
        .iter()
        .map(|sheet| format!(" {}", shell_word(sheet)))
        .collect();
    if options.put_right {
        operands.push_str(" --put-right");
    }
    if options.as_read {
        operands.push_str(" --as-read");
    }
    let asked = Asked {
        advice: Advice {
            name: COMMAND,
            counts: "steps",
            is_own_file,
        },
        file: &options.scenario,
        scenario: &scenario,
        run,
        operands,
        out: options.out.as_deref(),
        overwrite: options.overwrite,
        json: options.json,
        threads: options.threads,
    };
    for note in sheet
        .put_right
        .iter()
        .map(|words| format!("put right: {words}"))
        .chain(sheet.notes.iter().map(|words| format!("note: {words}")))
    {
        tell(&note);
    }
    let (found, place) = asked.answer(
        |hooks| work_out(&scenario.plan, &sheet.bench, &run, hooks).map_err(refused),
        |found, about| put(&scenario.plan, &sheet, found, &run, about),
    )?;
    tell(&format!("record: {}", place.join(RECORD).display()));
    let verdict = BuildVerdict::of(&found, &scenario.plan, &run);
    Ok(Exit::gated(options.gate, verdict == BuildVerdict::Holds))
}

fn refused(why: NoDiagnosis) -> Stop {
    match why {
        NoDiagnosis::Interrupted => nothing_written(),
        why => Stop::Refused(format!("no diagnosis: {why}")),
    }
}

/// Whether a name is one of the answer's files.
fn is_own_file(file: &str) -> bool {
    file == RECORD || is_advice_file(file, NAME, &DIAGNOSIS_NAMES)
}

/// What was read, and what is to be told of it.
struct Sheet {
    bench: Bench,
    /// Blunders that were put right.
    put_right: Vec<String>,
    notes: Vec<String>,
}

/// Reads the sheets of a build; plain blunders are put right only where that is asked for.
fn read_sheets(
    files: &[PathBuf],
    scenario: &Scenario,
    options: &DiagnoseOptions,
) -> Result<Sheet, Stop> {
    let texts = files
        .iter()
        .map(|file| Ok((file.display().to_string(), read_text(file)?)))
        .collect::<Result<Vec<_>, Stop>>()?;
    let plan = &scenario.plan;
    let read = read_bench(&texts, plan)?;
    let found = blunders(plan, &read.bench);
    let (gross, others): (Vec<&Blunder>, Vec<&Blunder>) = found
        .iter()
        .partition(|blunder| blunder.is_gross() && !options.as_read);
    let words = |blunder: &&Blunder| blunder.words(plan, &read.bench);
    if !gross.is_empty() && !options.put_right {
        return Err(refused_blunders(gross.iter().map(words)));
    }
    let put_right_words = gross.iter().map(words).collect();
    let mut notes = read.notes;
    // a figure far off is weighed with the rest, and told again only where nothing else explains it
    notes.extend(
        others
            .iter()
            .filter(|blunder| !matches!(blunder, Blunder::Outlier { .. }))
            .map(|blunder| blunder.words(plan, &read.bench)),
    );
    let mut bench = read.bench.clone();
    for blunder in gross {
        blunder.put_right(plan, &mut bench);
    }
    Ok(Sheet {
        bench,
        put_right: put_right_words,
        notes,
    })
}

fn refused_blunders(words: impl Iterator<Item = String>) -> Stop {
    let mut lines: Vec<String> = words.collect();
    lines.push("  hint: mend the sheet; or say --put-right to go on as if it were, or --as-read to take it as it stands".to_owned());
    Stop::Refused(lines.join("\n"))
}

/// Puts the answer into all its forms.
fn put(
    plan: &Plan,
    sheet: &Sheet,
    found: &Diagnosis,
    run: &RunPlan,
    about: &About,
) -> Result<Told, Stop> {
    let told = Diagnosed {
        plan,
        bench: &sheet.bench,
        diagnosis: found,
        run,
        about,
        put_right: &sheet.put_right,
        notes: &sheet.notes,
    };
    let drawings = diagnosis_drawings(plan, &sheet.bench, found)?;
    let lit = rods_of_the_leading_cause(&told);
    let small = record_drawing(plan, &sheet.bench, found, &lit)?;
    Ok(Told {
        name: NAME,
        headline: diagnosis_sentences(&told),
        question: "what spoiled this build?",
        sections: diagnosis_section(&told, &drawings),
        json: diagnosis_json(&told),
        text: diagnosis_text(&told),
        more_files: vec![(RECORD.to_owned(), record_html(&told, small.as_ref()))],
        drawings,
    })
}
