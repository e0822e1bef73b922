//! `peephole`: how big the peephole may be, how small it must not be, and why.

use super::advice_out::{Advice, Told, advise, is_advice_file};
use super::arguments::AdviceOptions;
use super::{Exit, Stop};
use crate::decision::{PeepholeAnswer, peephole_answer};
use crate::report::drawing::{PEEPHOLE_NAMES, peephole_drawings};
use crate::report::{About, advice_page_html, peephole_json, peephole_section, peephole_text};
use crate::scenario::Scenario;

const NAME: &str = "peephole";

pub(super) fn peephole(options: &AdviceOptions) -> Result<Exit, Stop> {
    let advice = Advice {
        name: NAME,
        is_own_file: |file| is_advice_file(file, NAME, &PEEPHOLE_NAMES),
    };
    advise(
        advice,
        options,
        |scenario, run, hooks| peephole_answer(&scenario.plan, run, hooks),
        put,
    )
}

fn put(scenario: &Scenario, answer: &PeepholeAnswer, about: &About) -> Result<Told, Stop> {
    let plan = &scenario.plan;
    let drawings = peephole_drawings(answer)?;
    let body = peephole_section(answer, plan, &drawings);
    Ok(Told {
        page: advice_page_html(
            about,
            "how big may the peephole be?",
            body,
            plan,
            &answer.run,
        ),
        json: peephole_json(answer, plan, about),
        text: peephole_text(answer, plan, about),
        drawings,
    })
}
