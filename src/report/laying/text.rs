//! The layout for a terminal.

use super::super::about::About;
use super::bounds::bound_rows;
use super::broken::broken_words;
use super::held::{ends_sentence, side_words};
use super::section::compared;
use super::words::{choice_value, choice_words, laying_sentences, searched_sentence};
use crate::decision::laying::{Choice, LaidOut};
use std::fmt::Write;

/// The answer as text; `put` says whether the scenario with the layout was written, or why not.
pub fn laying_text(found: &LaidOut, put: &str, about: &About) -> String {
    let mut text = format!("{}\n\n", about.title);
    for sentence in laying_sentences(found) {
        let _ = writeln!(text, "{sentence}");
    }
    let _ = writeln!(text, "{put}");
    text.push('\n');
    text.push_str("with fresh numbers\n");
    for [name, as_is, chosen] in compared(found) {
        let _ = writeln!(
            text,
            "  {name}\n    as the scenario has it: {as_is}\n    laid out:               {chosen}"
        );
    }
    text.push_str("\nwhat bound each choice, all else staying where it is\n");
    let plan = &found.chosen.plan;
    let is_end = |choice: &Choice| matches!(choice, Choice::End(_));
    for (choice, sides) in found.sides.iter().filter(|(choice, _)| !is_end(choice)) {
        let _ = writeln!(
            text,
            "  {}: {} (it was {})\n    nearer:  {}\n    farther: {}",
            choice_words(*choice, plan),
            choice_value(*choice, &found.chosen),
            choice_value(*choice, &found.as_is),
            side_words(&sides[0], found.aim, plan),
            side_words(&sides[1], found.aim, plan)
        );
    }
    let _ = writeln!(
        text,
        "  {} Each end stands in report.html and lay-out.json.",
        ends_sentence(found)
    );
    text.push_str("\nwithin what it was chosen\n");
    for [what, value, origin] in bound_rows(found) {
        let _ = writeln!(text, "  {what}: {value} ({origin})");
    }
    if !found.as_is.broken.is_empty() {
        text.push_str("\nwhat the scenario's own layout breaks\n");
        for words in broken_words(&found.as_is.broken, &found.as_is.plan) {
            let _ = writeln!(text, "  {words}");
        }
    }
    let _ = writeln!(text, "\n{}", searched_sentence(found));
    text
}
