//! The answer for programs: lengths in mm, tensions in N, shares as fractions.

use super::super::about::About;
use super::super::json::scenario_json;
use super::text::{ThreadLines, thread_cautions};
use super::words::{crossing_words, thread_sentences, thread_steps, tighten_steps};
use crate::decision::threading::{OrderFound, Proof, ThreadAnswer, WayCrossing};
use crate::figure::Plan;
use crate::mechanics::PulledAt;
use serde_json::{Value, json};

/// Schema number of the JSON of `thread`.
pub const THREAD_SCHEMA: u32 = 1;

const MM_PER_FOOT: f64 = 304.8;

/// The answer as JSON.
pub fn thread_json(
    answer: &ThreadAnswer,
    plan: &Plan,
    about: &About,
    lines: &ThreadLines,
) -> Value {
    let line_mm = answer.line_mm(&answer.best);
    json!({
        "schema": THREAD_SCHEMA,
        "program": env!("CARGO_PKG_NAME"),
        "version": env!("CARGO_PKG_VERSION"),
        "scenario": scenario_json(about),
        "command": about.command,
        "answer": thread_sentences(answer, plan),
        "best": order_json(&answer.best, plan),
        "present": answer.present.as_ref().map(|own| order_json(own, plan)),
        "present_is_best": answer.present_is_best(),
        "proof": {
            "fewest_crossings": answer.proof != Proof::None { crossings: least_crossings(answer) },
            "least_line": answer.proof == Proof::Best,
            "no_order_has_fewer_crossings_than": least_crossings(answer),
            "no_order_has_less_ways_mm_than": (answer.proof != Proof::Best).then_some(answer.least_ways_mm),
        },
        "line": {
            "runs_mm": answer.runs_mm,
            "ways_mm": answer.best.ways_mm,
            "each_anchor_mm": answer.anchor_mm,
            "all_mm": line_mm,
            "all_ft": line_mm / MM_PER_FOOT,
        },
        "tension": tension_json(answer, plan),
        "steps": thread_steps(answer, plan),
        "tighten": tighten_steps(answer, plan),
        "scenario_lines": lines.text,
        "read_back": lines.refused.is_none(),
        "not_read_back_because": lines.refused,
        "cautions": thread_cautions(plan).iter().map(|caution| json!({
            "about": caution.about,
            "text": caution.text,
            "source": caution.source,
        })).collect::<Vec<_>>(),
    })
}

fn least_crossings(answer: &ThreadAnswer) -> usize {
    match answer.proof {
        Proof::None { crossings } => crossings,
        _ => answer.best.crossings.len(),
    }
}

fn tension_json(answer: &ThreadAnswer, plan: &Plan) -> Value {
    let pull = &answer.pull;
    let runs: Vec<Value> = answer
        .tensions
        .iter()
        .map(|run| {
            let pull_n = plan.design.line.tension_n[run.line];
            json!({
                "line": plan.design.vertices[run.line].name,
                "pull_n": pull_n,
                "end_only_share": run.ends_only,
                "end_only_n": pull_n * run.ends_only,
                "pulled_here": run.is_pulled,
                "share": run.share,
                "tension_n": pull_n * run.share,
            })
        })
        .collect();
    json!({
        "friction": pull.friction,
        "friction_is_given": answer.friction_is_given,
        "pulled_at": match pull.pulled_at {
            PulledAt::First => "first",
            PulledAt::Last => "last",
        },
        "least_share": pull.least_share,
        "runs": runs,
    })
}

fn order_json(order: &OrderFound, plan: &Plan) -> Value {
    let name = |line: usize| &plan.design.vertices[line].name;
    let ways: Vec<Value> = order
        .ways
        .iter()
        .enumerate()
        .map(|(nth, way)| {
            json!({
                "number": nth + 1,
                "plate": way.plate.word(),
                "from": name(way.lines[0]),
                "to": name(way.lines[1]),
                "length_mm": way.length_mm,
            })
        })
        .collect();
    let crossings: Vec<Value> = order
        .crossings
        .iter()
        .map(|crossing| {
            let mut value = match crossing {
                WayCrossing::Ways { ways, at_mm } => {
                    json!({ "ways": ways.map(|way| way + 1), "at_mm": [at_mm.x, at_mm.y] })
                }
                WayCrossing::Hole { way, line } => {
                    json!({ "ways": [way + 1], "over_hole": name(*line) })
                }
            };
            value["words"] = json!(crossing_words(crossing, order, plan));
            value
        })
        .collect();
    json!({
        "order": order.led.order.iter().map(|line| name(*line)).collect::<Vec<_>>(),
        "enters": if order.led.first_enters_front { "front" } else { "rear" },
        "crossings": order.crossings.len(),
        "crossing_places": crossings,
        "ways_mm": order.ways_mm,
        "ways": ways,
    })
}
