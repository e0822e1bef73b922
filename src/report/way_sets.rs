//! The cheapest set of ways of working: for the page, as JSON and as words for a terminal.

use super::drawing::Drawing;
use super::json::proportion_json;
use super::nominal::columns;
use super::page::figure;
use super::way_words::{
    changes_words, clear_words, cost_words, passed_over, price_words, proof_words, step_words,
    tolerance_words, way_sets_cautions, way_sets_sentence, yield_words,
};
use super::words::{proportion_words, share_words};
use crate::decision::{ClearLooks, Gain, Promise, Proof, TriedSet, WaySets};
use crate::figure::{ScenarioLine, Way, WayOrigin, item_words, lines_text};
use maud::{Markup, html};
use serde_json::{Value, json};
use std::fmt::Write;

/// How lines are put into a scenario.
const PUT: &str = "Each line takes the place of its key in the table that is there, or is added to it; a table may stand only once. What stands under [errors.front] and [errors.rear] goes before [errors.plates]; where threading = { … } is written in one line, `tightened` stands inside it. Where the scenario's text can take them, with-the-set.toml beside the page has them already (to be kept beside any CSV files that the scenario names).";

/// The section of a page.
pub fn way_sets_section(sets: &WaySets, drawing: Option<&Drawing>) -> Markup {
    html! {
        section {
            h2 { "The cheapest set of ways of working" }
            p { (way_sets_sentence(sets)) }
            p { (proof_words(sets, &sets.proof)) }
            @for words in passed_over(sets) { p { (words) } }
            h3 { "The set, step by step" }
            (set_table(sets))
            @if let Some(drawing) = drawing { (figure(drawing)) }
            h3 { "Runner-ups" }
            (others_table(sets))
            h3 { "What the next point of yield costs" }
            p { (next_sentence(sets)) }
            (front_table(sets))
            h3 { "What no way of working mends" }
            table {
                thead { tr { th { "Builds and looks of the search, but with" } th { "yield" } } }
                tbody {
                    @for (stays, found) in &sets.stays {
                        tr { td { (stays.words()) } td { (proportion_words(found, "builds")) } }
                    }
                }
            }
            h3 { "To put the set into the scenario" }
            @let lines = sets.ways.lines(&sets.chosen.set);
            @if lines.is_empty() {
                p { "Nothing needs to be changed: the scenario has this set already." }
            } @else {
                p { (PUT) }
                pre { code { (lines_text(&lines)) } }
            }
            h3 { "What this assumes" }
            ul { @for caution in way_sets_cautions(sets) { li { (caution) } } }
            (all_ways(sets))
        }
    }
}

fn next_sentence(sets: &WaySets) -> String {
    match &sets.next_point {
        None => "No dearer set that was tried in full is clearly better than this one.".to_owned(),
        Some(next) => format!(
            "From this set on, the next point is cheapest at {}: {}. It costs {} in all, with a yield of {}.",
            price_words(&sets.ways, &next.gain),
            changes_words(&sets.ways, &sets.chosen.set, &next.tried.set),
            cost_words(&sets.ways, next.tried.cost),
            yield_words(&next.tried)
        ),
    }
}

fn set_table(sets: &WaySets) -> Markup {
    html! {
        table {
            thead { tr { th { "Step" } th { "Way" } th { "Tolerance" } th { "Cost" } th { "The scenario has now" } } }
            tbody {
                @for ((step, way), now) in sets.ways.of_set(&sets.chosen.set).zip(&sets.now.set) {
                    tr {
                        td { (step_words(step)) }
                        td { (way.name) }
                        td { (tolerance_words(&sets.design, step, way)) }
                        td { (cost_words(&sets.ways, way.price(step.items))) }
                        td {
                            @let now = &step.ways[*now];
                            @if now.name == way.name { "the same" } @else {
                                (now.name) ": " (tolerance_words(&sets.design, step, now)) ", " (cost_words(&sets.ways, now.price(step.items)))
                            }
                        }
                    }
                }
                tr { th { "all" } td {} td {} td { (cost_words(&sets.ways, sets.chosen.cost)) } td { (cost_words(&sets.ways, sets.now.cost)) } }
            }
        }
    }
}

fn others_table(sets: &WaySets) -> Markup {
    let row = |name: String, tried: &TriedSet| {
        html! {
            tr {
                td { (name) }
                td { (cost_words(&sets.ways, tried.cost)) }
                td { (yield_words(tried)) }
                td { (clear_words(&tried.clear)) }
                td { (changes_words(&sets.ways, &sets.chosen.set, &tried.set)) }
            }
        }
    };
    html! {
        table {
            thead { tr { th { "Set" } th { "Cost" } th { "Yield in the search" } th { "Looks that show the whole figure" } th { "What differs from the chosen set" } } }
            tbody {
                (row("chosen".to_owned(), &sets.chosen))
                @for (nth, tried) in sets.runner_ups.iter().enumerate() { (row(format!("runner-up {}", nth + 1), tried)) }
                (row("as the scenario has it now".to_owned(), &sets.now))
            }
        }
    }
}

fn front_table(sets: &WaySets) -> Markup {
    html! {
        table {
            thead { tr { th { "Cost" } th { "Yield in the search" } th { "Price of a point from the row above" } th { "What differs from the row above" } } }
            tbody {
                @for (nth, step) in sets.front.iter().enumerate() {
                    tr {
                        td { (cost_words(&sets.ways, step.tried.cost)) }
                        td { (yield_words(&step.tried)) }
                        td { (step.gain.map_or_else(String::new, |gain| price_words(&sets.ways, &gain))) }
                        td {
                            @if let Some(before) = nth.checked_sub(1).and_then(|before| sets.front.get(before)) {
                                (changes_words(&sets.ways, &before.tried.set, &step.tried.set))
                            } @else { "the cheapest set of all" }
                        }
                    }
                }
            }
        }
    }
}

fn all_ways(sets: &WaySets) -> Markup {
    html! {
        details {
            summary { "All ways that were put together, with what they cost and why" }
            table {
                thead { tr { th { "Step" } th { "Way" } th { "Tolerance" } th { "Cost" } th { "Reason" } } }
                tbody {
                    @for step in &sets.ways.steps {
                        @for way in &step.ways {
                            tr {
                                td { (step_words(step)) }
                                td { (way.name) (offered_words(way)) }
                                td { (tolerance_words(&sets.design, step, way)) }
                                td {
                                    (cost_words(&sets.ways, way.cost)) " and "
                                    (way.cost_per_item) " for each of " (step.items) " " (item_words(step.step))
                                }
                                td { (way.reason) }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn offered_words(way: &Way) -> &'static str {
    if way.is_offered {
        ""
    } else {
        " (not in the sets: another way is as close for no more)"
    }
}

fn line_json(line: &ScenarioLine) -> Value {
    json!({ "table": line.table, "key": line.key, "value": line.value })
}

fn tried_json(sets: &WaySets, tried: &TriedSet) -> Value {
    let ways = sets.ways.of_set(&tried.set);
    json!({
        "cost": tried.cost,
        "yield": proportion_json(&tried.build_yield),
        "clear_looks": clear_json(&tried.clear),
        "ways": ways.map(|(step, way)| (step.step.name().to_owned(), json!(way.name)))
            .collect::<serde_json::Map<String, Value>>(),
    })
}

fn clear_json(clear: &ClearLooks) -> Value {
    json!({ "share": clear.share, "interval": clear.interval, "builds": clear.builds })
}

fn gain_json(gain: &Gain) -> Value {
    let (price, interval) = gain.price_of_a_point();
    json!({
        "cost": gain.cost,
        "yield_share": gain.share,
        "yield_share_interval": gain.interval,
        "price_of_a_point": price,
        "price_of_a_point_interval": interval,
    })
}

fn proof_json(proof: &Proof) -> Value {
    json!({
        "seed": proof.seed,
        "yield": proportion_json(&proof.build_yield),
        "clear_looks": clear_json(&proof.clear),
        "promise": match proof.promise {
            Promise::KeptWithRoom => "kept with room",
            Promise::Kept => "kept, barely",
            Promise::KeptByEstimate => "kept by the estimate only",
            Promise::Broken => "broken",
        },
        "agrees_with_the_search": proof.agrees,
    })
}

fn way_json(sets: &WaySets, way: &Way, is_now: bool) -> Value {
    json!({
        "name": way.name,
        "cost": way.cost,
        "cost_per_item": way.cost_per_item,
        "laws": way.laws.iter().map(|one| {
            let (table, key) = one.source.key();
            json!({ "key": format!("{table}.{key}"), "law": one.written })
        }).collect::<Vec<_>>(),
        "hole_mm": way.hole_mm,
        "needs": way.needs.iter().map(|(step, name)| (step.name().to_owned(), json!(name)))
            .collect::<serde_json::Map<String, Value>>(),
        "from": match way.origin {
            WayOrigin::Shipped => "shipped",
            WayOrigin::Scenario => "scenario",
            WayOrigin::AsItIs => "what the scenario has now",
        },
        "is_in_the_sets": way.is_offered,
        "is_what_the_scenario_has_now": is_now,
        "reason": way.reason,
        "cost_unit": sets.ways.unit.name,
    })
}

/// All of it as JSON; no number is rounded.
pub fn way_sets_json(sets: &WaySets) -> Value {
    json!({
        "answer": way_sets_sentence(sets),
        "target_yield": sets.target,
        "target_clear_share": sets.clear_target,
        "target_is_met_with_room": sets.meets,
        "cost_unit": sets.ways.unit.name,
        "chosen": tried_json(sets, &sets.chosen),
        "proof": proof_json(&sets.proof),
        "scenario_lines": sets.ways.lines(&sets.chosen.set).iter().map(line_json).collect::<Vec<_>>(),
        "now": tried_json(sets, &sets.now),
        "met_by_estimate_only": sets.by_estimate.as_ref().map(|tried| tried_json(sets, tried)),
        "met_but_not_with_room": sets.without_room.as_ref().map(|tried| tried_json(sets, tried)),
        "met_but_too_few_clear_looks": sets.unclear.as_ref().map(|tried| tried_json(sets, tried)),
        "not_proven": sets.unproven.iter().map(|(tried, proof)| json!({
            "set": tried_json(sets, tried), "proof": proof_json(proof),
        })).collect::<Vec<_>>(),
        "runner_ups": sets.runner_ups.iter().map(|tried| tried_json(sets, tried)).collect::<Vec<_>>(),
        "front": sets.front.iter().map(|step| json!({
            "set": tried_json(sets, &step.tried),
            "gain_over_the_step_before": step.gain.as_ref().map(gain_json),
        })).collect::<Vec<_>>(),
        "next_point": sets.next_point.as_ref().map(|next| json!({
            "set": tried_json(sets, &next.tried), "gain": gain_json(&next.gain),
        })),
        "stays": sets.stays.iter().map(|(stays, found)| json!({
            "with": stays.words(), "yield": proportion_json(found),
        })).collect::<Vec<_>>(),
        "sets_tried": sets.screened.len(),
        "builds_of_the_first_trial": sets.screen_builds,
        "sets_with_a_full_run": sets.full_runs,
        "builds_of_a_full_run": sets.full_builds,
        "steps": sets.ways.steps.iter().map(|step| json!({
            "step": step.step.name(),
            "items": step.items,
            "item": item_words(step.step),
            "ways": step.ways.iter().enumerate()
                .map(|(nth, way)| way_json(sets, way, nth == step.now)).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "cautions": way_sets_cautions(sets),
    })
}

/// Yield of a set, short.
fn short_yield(tried: &TriedSet) -> String {
    match (tried.build_yield.share(), tried.build_yield.interval()) {
        (Some(share), Some(interval)) => share_words(share, interval),
        _ => "not known".to_owned(),
    }
}

fn sets_table(sets: &WaySets) -> String {
    let rows = [("chosen".to_owned(), &sets.chosen)]
        .into_iter()
        .chain(
            sets.runner_ups
                .iter()
                .enumerate()
                .map(|(nth, tried)| (format!("runner-up {}", nth + 1), tried)),
        )
        .chain([("as it is now".to_owned(), &sets.now)]);
    columns(
        &["set", "cost", "yield in the search"],
        rows.map(|(name, tried)| {
            vec![name, cost_words(&sets.ways, tried.cost), short_yield(tried)]
        }),
    )
}

fn chosen_table(sets: &WaySets) -> String {
    let rows = sets
        .ways
        .of_set(&sets.chosen.set)
        .zip(&sets.now.set)
        .map(|((step, way), now)| {
            vec![
                step_words(step),
                way.name.clone(),
                cost_words(&sets.ways, way.price(step.items)),
                if step.ways[*now].name == way.name {
                    "the same".to_owned()
                } else {
                    step.ways[*now].name.clone()
                },
            ]
        });
    columns(&["step", "way", "cost", "the scenario has now"], rows)
}

/// All of it, in plain text.
pub fn way_sets_text(sets: &WaySets) -> String {
    let mut text = format!(
        "{}\n{}\n",
        way_sets_sentence(sets),
        proof_words(sets, &sets.proof)
    );
    for words in passed_over(sets) {
        let _ = writeln!(text, "{words}");
    }
    let _ = write!(text, "\n{}", chosen_table(sets));
    let _ = write!(text, "\n{}", sets_table(sets));
    for (nth, tried) in sets.runner_ups.iter().enumerate() {
        let words = changes_words(&sets.ways, &sets.chosen.set, &tried.set);
        let _ = writeln!(text, "  runner-up {} differs in {words}", nth + 1);
    }
    let _ = writeln!(text, "{}", next_sentence(sets));
    let lines = sets.ways.lines(&sets.chosen.set);
    if !lines.is_empty() {
        let lines = lines_text(&lines);
        let _ = write!(
            text,
            "\nTo put the set into the scenario\n  {PUT}\n\n{lines}"
        );
    }
    text.push_str("\nWhat this assumes\n");
    for caution in way_sets_cautions(sets) {
        let _ = writeln!(text, "  {caution}");
    }
    text
}
