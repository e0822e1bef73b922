//! How tight each step must be: a section for the page, JSON, and words for a terminal.

use super::drawing::Drawing;
use super::json::proportion_json;
use super::nominal::columns;
use super::page::figure;
use super::tolerance_words::{
    AloneWords, allocation_sentence, headroom_sentence, no_allocation_sentence, proof_sentence,
    tolerance_assumptions,
};
use super::words::{figures, level_words, size_number, size_words};
use crate::decision::{
    AllocatedStep, Allocation, Alone, Headroom, Keeps, MOST_TIMES_ALIKE, NoAllocation, Room,
    RoomEnd,
};
use crate::figure::{Plan, Source};
use maud::{Markup, html};
use serde_json::{Value, json};
use std::fmt::Write;

/// What the meanings in the table are.
const MEANINGS: &str = "± is a bound: never beyond. \"sd\" is a standard deviation: two of three stay within it, nineteen of twenty within twice of it. \"up to\" is the farthest off, on any side.";

/// What the closed form assumes.
const COST_RULE: &str = "The shares are how much the square of the deciding fault falls when that step alone is made perfect, with all steps alike at the target; the closed form that follows from them (tolerance as the cube root of cost over share) is taken in short strides, each tried by whole builds. Costs are in the unit of the ways of working, where those were given; steps that do not vary are left out.";

/// The section on tolerances, with its drawing where there is one.
pub fn headroom_section(
    plan: &Plan,
    headroom: &Headroom,
    rows: &[Alone],
    allocation: &Result<Allocation, NoAllocation>,
    drawing: Option<&Drawing>,
) -> Markup {
    let (work, visitor): (Vec<&Alone>, Vec<&Alone>) = rows.iter().partition(|row| row.is_work);
    html! {
        section {
            h2 { "How tight each step must be" }
            p { strong { (headroom_sentence(headroom)) } }
            @if let Some(proof) = proof_sentence(headroom) { p { (proof) } }
            @if let Some(drawing) = drawing { (figure(drawing)) }
            h3 { "Largest value of each tolerance, the others as they are" }
            @if work.is_empty() {
                p { "No error of the work varies in this scenario." }
            } @else {
                p { "For the wall of the workshop. What may (or must) change least from what it is now comes first. " (MEANINGS) }
                (alone_table(plan, &work, headroom.as_is.level))
            }
            @if !visitor.is_empty() {
                h3 { "Not the workshop's: where the visitor's eye may be" }
                p { "These rows say what peephole, rest and light must keep the eye to, not what anyone builds." }
                (alone_table(plan, &visitor, headroom.as_is.level))
            }
            h3 { "Where care is cheapest" }
            (allocation_words(plan, allocation))
            h3 { "What this assumed" }
            ul { @for one in tolerance_assumptions(headroom) { li { (one) } } }
        }
    }
}

fn alone_table(plan: &Plan, rows: &[&Alone], level: f64) -> Markup {
    let level = level_words(level);
    html! {
        table class="tolerances" {
            thead { tr {
                th { "Tolerance" } th { "Now" } th { "Largest alone" } th { (level) " % interval" }
                th { "Times now (interval)" }
            } }
            tbody {
                @for row in rows.iter().map(|row| AloneWords::of(plan, row)) {
                    tr {
                        th { (row.what) @if !row.note.is_empty() { br; small { (row.note) } } }
                        td { (row.now) }
                        td { strong { (row.largest) } }
                        td { (row.interval) }
                        td { (row.factor) }
                    }
                }
            }
        }
    }
}

fn allocation_words(plan: &Plan, allocation: &Result<Allocation, NoAllocation>) -> Markup {
    let allocation = match allocation {
        Ok(allocation) => allocation,
        Err(why) => return html! { p { (no_allocation_sentence(why)) } },
    };
    html! {
        p { (allocation_sentence(allocation)) }
        table {
            thead { tr {
                th { "Step" } th { "Share of the deciding fault" } th { "Times now (interval)" } th { "That is" }
                th { "Cost, today → then" }
            } }
            tbody {
                @for step in &allocation.steps {
                    tr {
                        th { (step.step.words()) }
                        td { (share_of_fault_words(step)) }
                        td { (step_factor_words(step)) }
                        td { @for one in that_is(plan, step) { (one) br; } }
                        td { (figures(step.present_cost)) " → " (figures(step.present_cost / step.factor)) }
                    }
                }
            }
        }
        p { (COST_RULE) " No step is loosened beyond " (figures(MOST_TIMES_ALIKE)) " times what all alike would be, nor beyond reason (chosen: its share says little farther away). Aim for the lower end of each interval." }
    }
}

fn share_of_fault_words(step: &AllocatedStep) -> String {
    let share = &step.share;
    let percent = |share: f64| format!("{:.1}", 100.0 * share);
    let range = format!(
        "{} to {} %",
        percent(share.interval[0]),
        percent(share.interval[1])
    );
    if share.stands_out() {
        format!("{} % ({range})", percent(share.share))
    } else if share.interval[1] < 0.0 {
        format!("none: less of it would not help ({range})")
    } else {
        format!("not told from none ({range})")
    }
}

fn step_factor_words(step: &AllocatedStep) -> String {
    let (low, high) = step.interval;
    let low = figures(low);
    let high = high.map_or_else(|| "beyond reason".to_owned(), figures);
    let cap = if step.at_cap {
        ", as far as it is let go"
    } else {
        ""
    };
    format!("{} ({low} to {high}){cap}", figures(step.factor))
}

/// What the sources of a step then are, both plates' as one where they are alike.
fn that_is(plan: &Plan, step: &AllocatedStep) -> Vec<String> {
    let mut seen: Vec<(&str, String)> = Vec::new();
    let mut words = Vec::new();
    let name = |source: Source| source.words();
    for source in &step.sources {
        let law = plan.design.law(*source);
        let then = size_words(&law.scaled(step.factor, source.neutral()), *source);
        let key = source.key().1;
        let alike = step
            .sources
            .iter()
            .filter(|other| other.key().1 == key && plan.design.law(**other) == law)
            .count();
        if alike > 1 {
            if !seen.iter().any(|(of, size)| *of == key && *size == then) {
                words.push(format!(
                    "{}: {then}",
                    name(*source).replace("front plate", "both plates")
                ));
                seen.push((key, then));
            }
        } else {
            words.push(format!("{}: {then}", name(*source)));
        }
    }
    words
}

/// The same in plain text.
pub fn headroom_text(
    plan: &Plan,
    headroom: &Headroom,
    rows: &[Alone],
    allocation: &Result<Allocation, NoAllocation>,
) -> String {
    let mut text = format!("{}\n", headroom_sentence(headroom));
    if let Some(proof) = proof_sentence(headroom) {
        let _ = writeln!(text, "{proof}");
    }
    let level = level_words(headroom.as_is.level);
    for (is_work, title) in [
        (
            true,
            "Largest value of each tolerance, the others as they are",
        ),
        (false, "Not the workshop's: the visitor's eye"),
    ] {
        let of_kind = || rows.iter().filter(|row| row.is_work == is_work);
        if of_kind().count() > 0 && of_kind().all(Alone::is_hopeless) {
            let _ = writeln!(
                text,
                "\n{title}\n  even none is not enough: no single one of the {} would do",
                of_kind().count()
            );
            continue;
        }
        let rows: Vec<AloneWords> = of_kind().map(|row| AloneWords::of(plan, row)).collect();
        if rows.is_empty() {
            continue;
        }
        let interval = format!("{level} % interval");
        let heads = ["tolerance", "now", "largest alone", &interval, "times now"];
        let cells = rows.iter().map(|row| {
            [
                &row.what,
                &row.now,
                &row.largest,
                &row.interval,
                &row.factor,
            ]
        });
        let table = columns(&heads, cells.map(|cells| cells.map(String::clone).to_vec()));
        let _ = write!(text, "\n{title}\n{table}");
        for row in rows.iter().filter(|row| !row.note.is_empty()) {
            let _ = writeln!(text, "  {}: {}", row.what, row.note);
        }
    }
    let _ = writeln!(text, "\nWhere care is cheapest");
    match allocation {
        Err(why) => {
            let _ = writeln!(text, "{}", no_allocation_sentence(why));
        }
        Ok(allocation) => {
            let _ = writeln!(text, "{}", allocation_sentence(allocation));
        }
    }
    text.push_str("\nWhat this assumed\n");
    let _ = writeln!(text, "  {MEANINGS}");
    for one in tolerance_assumptions(headroom) {
        let _ = writeln!(text, "  {one}");
    }
    text
}

/// All of it as JSON; no number is rounded. Values are in the unit that is named (angles in degrees).
pub fn headroom_json(
    plan: &Plan,
    headroom: &Headroom,
    rows: &[Alone],
    allocation: &Result<Allocation, NoAllocation>,
) -> Value {
    json!({
        "verdict": headroom_sentence(headroom),
        "target_yield": headroom.target_yield,
        "looks_at_each_build": headroom.looks,
        "seed": headroom.seed,
        "yield_as_it_is": proportion_json(&headroom.as_is),
        "yield_with_perfect_work": proportion_json(&headroom.perfect_work),
        "together": {
            "sources": keys(&headroom.scaled),
            "held_by_the_strength_of_the_line": keys(&headroom.held_by_strength),
            "the_same_in_every_build": keys(&headroom.the_same_in_every_build),
            "largest_held_by": headroom.held_by.map(|source| keys(&[source])),
            "room": room_json(&headroom.room),
            "proof": headroom.proof.as_ref().map(proportion_json),
        },
        "alone": rows.iter().map(|row| alone_json(plan, row)).collect::<Vec<_>>(),
        "allocation": match allocation {
            Ok(allocation) => allocation_json(plan, allocation),
            Err(why) => json!({ "none": no_allocation_sentence(why) }),
        },
        "assumed": tolerance_assumptions(headroom),
    })
}

fn keys(sources: &[Source]) -> Vec<String> {
    let key = |source: &Source| {
        let (table, key) = source.key();
        format!("{table}.{key}")
    };
    sources.iter().map(key).collect()
}

fn room_json(room: &Room) -> Value {
    json!({
        "end": match room.end {
            RoomEnd::At(_) => "factor",
            RoomEnd::BeyondLargest => "beyond the largest tried",
            RoomEnd::EvenNoneIsNotEnough => "even none is not enough",
        },
        "factor": match room.end {
            RoomEnd::At(factor) => Some(factor),
            _ => None,
        },
        "interval": [Some(room.surely), room.possibly],
        "largest_tried": room.largest,
        "yield_at_end": proportion_json(&room.yield_at_end),
        "clear_looks_at_end": { "share": room.clear_at_end.0, "interval": room.clear_at_end.1 },
        "held_by_clear_looks": room.is_held_by_clear,
        "runs": room.runs,
    })
}

fn alone_json(plan: &Plan, row: &Alone) -> Value {
    let value =
        |factor: f64| size_number(&row.law_at(factor), row.source()).map(|(value, _)| value);
    let words = AloneWords::of(plan, row);
    json!({
        "keys": keys(&row.sources),
        "name": words.what,
        "whose": if row.is_work { "workshop" } else { "visitor" },
        "unit": size_number(&row.law, row.source()).map(|(_, unit)| unit),
        "now": value(1.0),
        "now_words": words.now,
        "largest": match row.room.end {
            RoomEnd::At(factor) => value(factor),
            _ => None,
        },
        "largest_interval": [value(row.room.surely), row.room.possibly.and_then(value)],
        "largest_words": words.largest,
        "room": room_json(&row.room),
        "tried_up_to": { "value": value(row.room.largest), "because": row.sensible.words },
        "iso_2768_1": row.machined.as_ref().map(|machined| json!({
            "length_mm": machined.length_mm,
            "of": machined.words,
            "classes": machined.classes.iter().map(|(class, misses_mm, keeps)| json!({
                "class": class.letter().to_string(),
                "permissible_deviation_mm": misses_mm,
                "enough": match keeps {
                    Keeps::Yes => "yes",
                    Keeps::No => "no",
                    Keeps::Open => "open",
                },
            })).collect::<Vec<_>>(),
        })),
    })
}

fn allocation_json(plan: &Plan, allocation: &Allocation) -> Value {
    let (factor, cost) = allocation.alike;
    json!({
        "words": allocation_sentence(allocation),
        "cost_rule": "cost over tolerance",
        "costs_given": allocation.costs_given,
        "shares_given": allocation.shares_given,
        "strides": allocation.strides,
        "present_cost": allocation.present_cost,
        "cost": allocation.cost,
        "all_alike": { "factor": factor, "cost": cost, "proof": proportion_json(&allocation.proof_alike) },
        "yield_found": proportion_json(&allocation.yield_found),
        "proof": proportion_json(&allocation.proof),
        "steps": allocation.steps.iter().map(|step| json!({
            "step": step.step.name(),
            "name": step.step.words(),
            "sources": keys(&step.sources),
            "present_cost": step.present_cost,
            "share": step.share.share,
            "share_interval": step.share.interval,
            "share_stands_out": step.share.stands_out(),
            "factor": step.factor,
            "factor_interval": [Some(step.interval.0), step.interval.1],
            "at_cap": step.at_cap,
            "then": that_is(plan, step),
        })).collect::<Vec<_>>(),
    })
}
