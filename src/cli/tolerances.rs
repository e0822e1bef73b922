//! `tolerances`: how careful the work must be, which step deserves the care, and the cheapest way to the target.

use super::advice_out::{Advice, Told, advise, is_advice_file};
use super::arguments::TolerancesOptions;
use super::files::read_text;
use super::{Exit, Stop};
use crate::decision::{Tolerances, tolerances as work_out};
use crate::report::drawing::{TOLERANCES_NAMES, tolerances_drawings};
use crate::report::{
    About, WITH_THE_CHOSEN_SET, tolerances_json, tolerances_sections, tolerances_sentences,
    tolerances_text,
};
use crate::scenario::{Scenario, put_lines, warnings};
use std::path::Path;

const NAME: &str = "tolerances";
/// Name of the scenario with the chosen set.
const WITH_THE_SET: &str = "with-the-set.toml";

pub(super) fn tolerances(options: &TolerancesOptions) -> Result<Exit, Stop> {
    let advice = Advice {
        name: NAME,
        counts: "parts",
        is_own_file,
    };
    let found = advise(
        advice,
        &options.advice,
        |scenario, run, hooks| work_out(&scenario.plan, &scenario.ways, run, hooks),
        put,
    )?;
    Ok(Exit::gated(options.gate, found.way_sets.meets))
}

/// Whether a name is one of the answer's files.
pub(super) fn is_own_file(file: &str) -> bool {
    file == WITH_THE_SET || is_advice_file(file, NAME, &TOLERANCES_NAMES)
}

/// The scenario with the chosen set put in; `None` where its text cannot take the lines as it stands, which then have to be
/// put in by hand.
fn with_the_set(found: &Tolerances, about: &About) -> Option<String> {
    let text = read_text(Path::new(&about.file)).ok()?;
    let sets = &found.way_sets;
    put_lines(&text, &sets.ways.lines(&sets.chosen.set)).ok()
}

/// Puts the answer into all its forms.
pub(super) fn put(scenario: &Scenario, found: &Tolerances, about: &About) -> Result<Told, Stop> {
    let plan = &scenario.plan;
    let drawings = tolerances_drawings(plan, found)?;
    let sets = &found.way_sets;
    let set_warnings: Vec<String> = warnings(&sets.ways.plan(plan, &sets.chosen.set))
        .into_iter()
        .filter(|warning| !scenario.warnings.contains(warning))
        .map(|warning| warning.to_string())
        .collect();
    let body = tolerances_sections(found, plan, &set_warnings, &drawings);
    Ok(Told {
        name: NAME,
        headline: tolerances_sentences(found)
            .into_iter()
            .take(2)
            .chain(
                set_warnings
                    .iter()
                    .map(|warning| format!("{WITH_THE_CHOSEN_SET}{warning}")),
            )
            .collect(),
        question: "how careful must the work be?",
        sections: body,
        json: tolerances_json(found, plan, &set_warnings, about),
        text: tolerances_text(found, plan, &set_warnings, about),
        drawings,
        more_files: with_the_set(found, about)
            .map(|text| (WITH_THE_SET.to_owned(), text))
            .into_iter()
            .collect(),
    })
}
