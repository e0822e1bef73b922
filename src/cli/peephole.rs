//! `peephole`: how big the peephole may be, how small it must not be, and why.

use super::advice_out::{Advice, Told, advise, is_advice_file};
use super::arguments::PeepholeOptions;
use super::{Exit, Stop};
use crate::decision::{PeepholeAnswer, peephole_answer};
use crate::report::drawing::{PEEPHOLE_NAMES, peephole_drawings};
use crate::report::{About, peephole_json, peephole_section, peephole_sentences, peephole_text};
use crate::scenario::Scenario;

const NAME: &str = "peephole";

pub(super) fn peephole(options: &PeepholeOptions) -> Result<Exit, Stop> {
    let advice = Advice {
        name: NAME,
        counts: "builds",
        is_own_file,
    };
    let found = advise(
        advice,
        &options.advice,
        |scenario, run, hooks| peephole_answer(&scenario.plan, run, hooks),
        put,
    )?;
    Ok(Exit::gated(options.gate, found.own_surely_meets()))
}

/// Whether a name is one of the answer's files.
pub(super) fn is_own_file(file: &str) -> bool {
    is_advice_file(file, NAME, &PEEPHOLE_NAMES)
}

/// Puts the answer into all its forms.
pub(super) fn put(
    scenario: &Scenario,
    answer: &PeepholeAnswer,
    about: &About,
) -> Result<Told, Stop> {
    let plan = &scenario.plan;
    let drawings = peephole_drawings(answer)?;
    let body = peephole_section(answer, plan, &drawings);
    Ok(Told {
        name: NAME,
        headline: peephole_sentences(answer),
        question: "how big may the peephole be?",
        sections: body,
        json: peephole_json(answer, plan, about),
        text: peephole_text(answer, plan, about),
        drawings,
        more_files: Vec::new(),
    })
}
