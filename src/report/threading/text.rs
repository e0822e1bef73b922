//! The answer for a terminal.

use super::super::cautions::{Caution, cautions};
use super::super::nominal::columns;
use super::super::words::figures;
use super::words::{crossing_words, thread_sentences, thread_steps, tighten_steps};
use crate::decision::threading::ThreadAnswer;
use crate::figure::Plan;
use std::fmt::Write;

/// The lines for the scenario, and what the scenario's reader says of them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ThreadLines {
    /// The lines.
    pub text: String,
    /// Why they could not be put into the scenario, or were refused; `None` where they read back.
    pub refused: Option<String>,
}

/// What of the cautions concerns threading.
pub(super) fn thread_cautions(plan: &Plan) -> Vec<Caution> {
    const ABOUT: [&str; 3] = [
        "Lines under tension",
        "Wire ends, needles, pins and knives",
        "Children: small parts and cords",
    ];
    cautions(plan)
        .into_iter()
        .filter(|caution| ABOUT.contains(&caution.about))
        .collect()
}

/// The answer as text; `title` is the scenario's.
pub fn thread_text(answer: &ThreadAnswer, plan: &Plan, title: &str, lines: &ThreadLines) -> String {
    let mut text = format!("How to lead one line through all holes: {title}\n\n");
    for sentence in thread_sentences(answer, plan) {
        let _ = writeln!(text, "{sentence}");
    }
    for crossing in &answer.best.crossings {
        let _ = writeln!(text, "  {}", crossing_words(crossing, &answer.best, plan));
    }
    numbered(&mut text, "step by step", &thread_steps(answer, plan));
    let heading = format!(
        "then tighten, so that no run falls under {} % of the pull",
        figures(100.0 * answer.pull.least_share)
    );
    numbered(&mut text, &heading, &tighten_steps(answer, plan));
    text.push_str("\nruns in order (tension after the pull; % of the pull)\n");
    text.push_str(&run_table(answer, plan));
    let _ = writeln!(
        text,
        "\nlines for the scenario\n\n{}",
        lines.text.trim_end()
    );
    match &lines.refused {
        None => text.push_str("\n(read back by the scenario's reader)\n"),
        Some(why) => {
            let _ = writeln!(text, "\n(not read back: {why})");
        }
    }
    text.push_str("\ncautions\n");
    for caution in thread_cautions(plan) {
        let _ = writeln!(text, "  {}: {}", caution.about, caution.text);
    }
    text
}

fn numbered(text: &mut String, heading: &str, steps: &[String]) {
    let _ = writeln!(text, "\n{heading}");
    for (nth, step) in steps.iter().enumerate() {
        let _ = writeln!(text, "  {}. {step}", nth + 1);
    }
}

fn run_table(answer: &ThreadAnswer, plan: &Plan) -> String {
    let rows = answer.tensions.iter().map(|run| {
        let pull_n = plan.design.line.tension_n[run.line];
        vec![
            plan.design.vertices[run.line].name.clone(),
            figures(pull_n * run.ends_only),
            figures(100.0 * run.ends_only),
            figures(pull_n * run.share),
            figures(100.0 * run.share),
            if run.is_pulled { "here" } else { "" }.to_owned(),
        ]
    });
    columns(
        &["run", "end only N", "%", "pulled again N", "%", "pull"],
        rows,
    )
}
