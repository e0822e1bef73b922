//! Which care pays: all parts of the answer put together.

use super::about::About;
use super::depths::{depths_json, depths_section, depths_sentence, depths_text};
use super::drawing::Drawing;
use super::headroom::{headroom_json, headroom_section, headroom_text};
use super::json::scenario_json;
use super::page::drawn;
use super::shares::{shares_json, shares_section, shares_sentences, shares_text};
use super::tolerance_words::headroom_sentence;
use super::way_sets::{way_sets_json, way_sets_section, way_sets_text};
use super::way_words::way_sets_sentence;
use crate::decision::Tolerances;
use crate::figure::Plan;
use crate::sampling::SAMPLING_VERSION;
use maud::{Markup, html};
use serde_json::{Value, json};
use std::fmt::Write;

/// Schema number of `tolerances.json`.
pub const TOLERANCES_SCHEMA: u32 = 1;

/// The answer in a few sentences, the one to act on first.
pub fn tolerances_sentences(found: &Tolerances) -> Vec<String> {
    let mut sentences = vec![
        way_sets_sentence(&found.way_sets),
        headroom_sentence(&found.headroom),
    ];
    sentences.extend(shares_sentences(&found.shares).into_iter().take(1));
    sentences.push(depths_sentence(&found.depths));
    sentences
}

/// What stands before a warning that the chosen set brings.
pub const WITH_THE_CHOSEN_SET: &str = "Warning, with this set of ways: ";

/// The sections of a page, with the answer's drawings; `set_warnings`: what should be known of the design with the chosen set
/// of ways, beyond what should be known of it anyway.
pub fn tolerances_sections(
    found: &Tolerances,
    plan: &Plan,
    set_warnings: &[String],
    drawings: &[Drawing],
) -> Markup {
    let meets = found.way_sets.meets;
    html! {
        section {
            h2 { "How careful must the work be?" }
            div class=(if meets { "verdict yes" } else { "verdict no" }) {
                @for (nth, sentence) in tolerances_sentences(found).iter().enumerate() {
                    p class=[(nth == 0).then_some("mark")] { (sentence) }
                }
                @for warning in set_warnings { p class="warning" { (WITH_THE_CHOSEN_SET) (warning) } }
            }
        }
        @if let Some(drawing) = drawn(drawings, "shares") { (shares_section(&found.shares, drawing)) }
        (headroom_section(plan, &found.headroom, &found.alone, &found.allocation, drawn(drawings, "tolerances")))
        (way_sets_section(&found.way_sets, drawn(drawings, "cost-front")))
        @if let Some(drawing) = drawn(drawings, "depths") { (depths_section(plan, &found.depths, drawing)) }
    }
}

/// The same for a terminal.
pub fn tolerances_text(
    found: &Tolerances,
    plan: &Plan,
    set_warnings: &[String],
    about: &About,
) -> String {
    let mut text = format!("{}\n\n", about.title);
    let short = tolerances_sentences(found);
    for sentence in &short {
        let _ = writeln!(text, "{sentence}");
    }
    for warning in set_warnings {
        let _ = writeln!(text, "{WITH_THE_CHOSEN_SET}{warning}");
    }
    for part in [
        way_sets_text(&found.way_sets),
        headroom_text(plan, &found.headroom, &found.alone, &found.allocation),
        shares_text(&found.shares),
        depths_text(&found.depths),
    ] {
        text.push('\n');
        // what stands at the top is not said twice
        let said = |line: &str| short.iter().any(|sentence| sentence == line.trim());
        for line in part.trim_end().lines().filter(|line| !said(line)) {
            let _ = writeln!(text, "{line}");
        }
    }
    text.push_str("\nThe other tables (drift, gap and failures by step, cost against yield, what each step costs) stand in report.html and tolerances.json.\n");
    text
}

/// The same as JSON.
pub fn tolerances_json(
    found: &Tolerances,
    plan: &Plan,
    set_warnings: &[String],
    about: &About,
) -> Value {
    json!({
        "schema": TOLERANCES_SCHEMA,
        "program": env!("CARGO_PKG_NAME"),
        "version": env!("CARGO_PKG_VERSION"),
        "sampling_version": SAMPLING_VERSION,
        "scenario": scenario_json(about),
        "command": about.command,
        "seed": found.run.seed,
        "builds": found.run.builds,
        "looks_at_each_build": found.run.looks,
        "level": found.run.level,
        "answer": tolerances_sentences(found),
        "shares": shares_json(&found.shares),
        "room": headroom_json(plan, &found.headroom, &found.alone, &found.allocation),
        "ways": way_sets_json(&found.way_sets),
        "depths": depths_json(plan, &found.depths),
        "warnings": about.warnings,
        "warnings_with_the_chosen_set": set_warnings,
    })
}
