//! `lay-out`: where plates and rods go and how large the figure is, within a cabinet, a stock of rods and a material.

use super::advice_out::{Advice, Asked, Told, is_advice_file, nothing_written};
use super::arguments::LayOutOptions;
use super::files::{open_scenario, read_text};
use super::{Exit, Stop};
use crate::decision::laying::{LaidOut, LayFailure, lay_out as work_out};
use crate::decision::{RunPlan, brief_run};
use crate::report::drawing::{LAYING_NAMES, laying_drawings};
use crate::report::{
    About, laying_json, laying_section, laying_sentences, laying_text, none_keeps_words,
};
use crate::scenario::{NotLaid, put_laid};
use std::cell::RefCell;
use std::path::Path;

const NAME: &str = "lay-out";
/// Name of the scenario with the layout.
const LAID_OUT: &str = "laid-out.toml";

pub(super) fn lay_out(options: &LayOutOptions) -> Result<Exit, Stop> {
    let advice = &options.advice;
    let scenario = open_scenario(&advice.scenario)?;
    let Some(allowed) = &scenario.allowed else {
        return Err(Stop::Refused(format!(
            "{}: has no table [allowed], in which lay-out finds the cabinet and the eye\n  hint: put in, with your own sizes: [allowed] width = \"300 mm\", height = \"240 mm\", depth = \"600 mm\" (inside, from the peephole's plate), eye_height = \"120 mm\" (above the cabinet's floor); the README lists what else may stand there",
            advice.scenario.display()
        )));
    };
    let run = RunPlan {
        seed: advice.seed.unwrap_or(scenario.run.seed),
        looks: advice.looks.unwrap_or(scenario.run.looks),
        ..brief_run(&scenario.run, advice.builds)
    };
    let asked = Asked {
        advice: Advice {
            name: NAME,
            counts: "builds",
            is_own_file: |file| file == LAID_OUT || is_advice_file(file, NAME, &LAYING_NAMES),
        },
        file: &advice.scenario,
        scenario: &scenario,
        run,
        operands: format!(" --for {}", options.aim.name()),
        out: advice.out.as_deref(),
        overwrite: advice.overwrite,
        json: advice.json,
        threads: advice.threads,
    };
    let (found, _) = asked.answer(
        |hooks| {
            work_out(&scenario.plan, allowed, options.aim, &run, hooks).map_err(|why| match why {
                LayFailure::Interrupted => nothing_written(),
                LayFailure::NoneKeeps {
                    nearest,
                    broken,
                    at_smallest,
                } => Stop::Refused(format!(
                    "{}: {}",
                    advice.scenario.display(),
                    none_keeps_words(&nearest, &broken, &at_smallest)
                )),
            })
        },
        |found, about| put(&advice.scenario, found, about),
    )?;
    Ok(Exit::gated(options.gate, found.surely_meets()))
}

/// Puts the answer into all its forms.
fn put(file: &Path, found: &LaidOut, about: &About) -> Result<Told, Stop> {
    let laid = with_the_layout(file, found)?;
    let said = match &laid {
        Ok((_, named)) if !named.is_empty() => format!(
            "{LAID_OUT} beside the report is the scenario with this layout, read back by its reader. It names {}, by the way that leads there from the report's folder.",
            named.join(", ")
        ),
        Ok(_) => format!(
            "{LAID_OUT} beside the report is the scenario with this layout, read back by its reader."
        ),
        Err(why) => format!("The scenario with this layout was not written: {why}"),
    };
    let drawings = laying_drawings(found)?;
    Ok(Told {
        name: NAME,
        headline: laying_sentences(found),
        question: "where do plates and rods go?",
        sections: laying_section(found, &said, &drawings),
        json: laying_json(found, &said, about),
        text: laying_text(found, &said, about),
        drawings,
        more_files: laid
            .ok()
            .map(|(text, _)| (LAID_OUT.to_owned(), text))
            .into_iter()
            .collect(),
    })
}

/// The scenario's text with the layout in it, and the files that it names.
fn with_the_layout(
    file: &Path,
    found: &LaidOut,
) -> Result<Result<(String, Vec<String>), NotLaid>, Stop> {
    let folder = file.parent().unwrap_or(Path::new("")).to_owned();
    let named = RefCell::new(Vec::new());
    let read_file = |name: &str| {
        named.borrow_mut().push(name.to_owned());
        read_text(&folder.join(name)).map_err(|stop| stop.to_string())
    };
    let put = put_laid(
        &file.display().to_string(),
        &read_text(file)?,
        &found.chosen.laid,
        &found.chosen.plan.design,
        &read_file,
    );
    let mut named = named.into_inner();
    named.dedup();
    Ok(put.map(|text| (text, named)))
}
