//! The layout for programs: lengths in mm, angles in degrees, shares as fractions.

use super::super::about::About;
use super::super::json::{proportion_json, scenario_json};
use super::bounds::bound_rows;
use super::broken::{breach_words, rule_words};
use super::held::side_words;
use super::words::{choice_words, laying_sentences, searched_sentence};
use crate::decision::laying::{Breach, Judged, LaidOut, Side};
use crate::figure::Plan;
use crate::sampling::SAMPLING_VERSION;
use serde_json::{Value, json};

/// Schema number of `lay-out.json`.
pub const LAYING_SCHEMA: u32 = 1;

/// The answer as JSON; `put` says whether the scenario with the layout was written, or why not.
pub fn laying_json(found: &LaidOut, put: &str, about: &About) -> Value {
    let plan = &found.chosen.plan;
    let side = |side: &Side| {
        json!({
            "free_mm": side.free_mm,
            "then": side.stops.iter().map(|stop| rule_words(stop.rule, plan)).collect::<Vec<_>>(),
            "tried_mm": side.tried_mm,
            "worse_by_factor": side.worse.is_finite().then_some(side.worse),
            "words": side_words(side, found.aim, plan),
        })
    };
    json!({
        "schema": LAYING_SCHEMA,
        "program": env!("CARGO_PKG_NAME"),
        "version": env!("CARGO_PKG_VERSION"),
        "sampling_version": SAMPLING_VERSION,
        "scenario": scenario_json(about),
        "command": about.command,
        "seed": found.run.seed,
        "builds": found.run.builds,
        "looks_at_each_build": found.run.looks,
        "level": found.run.level,
        "aim": found.aim.name(),
        "answer": laying_sentences(found),
        "searched": searched_sentence(found),
        "put": put,
        "meets_target": found.meets(),
        "layouts_tried": found.tried,
        "as_it_is": judged_json(&found.as_is),
        "laid_out": judged_json(&found.chosen),
        "gain": found.gain.map(|gain| json!({
            "difference": gain.difference,
            "interval": gain.interval,
            "gained": gain.gained,
            "lost": gain.lost,
            "of": gain.of,
        })),
        "bound_by": found.sides.iter().map(|(choice, sides)| json!({
            "choice": choice_words(*choice, plan),
            "value_mm": found.chosen.laid.value_mm(*choice),
            "nearer": side(&sides[0]),
            "farther": side(&sides[1]),
        })).collect::<Vec<_>>(),
        "bounds": bound_rows(found).into_iter().map(|[what, value, from]| json!({
            "what": what,
            "value": value,
            "from": from,
        })).collect::<Vec<_>>(),
        "warnings": about.warnings,
    })
}

fn judged_json(judged: &Judged) -> Value {
    let plan = &judged.plan;
    json!({
        "front_plate_mm": judged.laid.plates_mm[0],
        "rear_plate_mm": judged.laid.plates_mm[1],
        "picture_plane_mm": judged.laid.picture_plane_mm,
        "figure_deg": plan.figure_rad.to_degrees(),
        "rods": plan.design.rods.iter().enumerate().map(|(rod, one)| json!({
            "name": one.name,
            "depths_mm": one.ends.map(|end| end.depth_mm),
            "length_mm": plan.rod_length_mm(rod),
        })).collect::<Vec<_>>(),
        "yield": proportion_json(&judged.build_yield),
        "margin_of_target_share": judged.margin.is_finite().then_some(judged.margin),
        "looks_that_show_the_figure": judged.clear.share(),
        "depth_spread_mm": judged.scatter.depth_spread_mm,
        "falls_apart_at_mm": judged.scatter.falls_apart_mm,
        "breaks": breaks_json(&judged.broken, plan),
    })
}

fn breaks_json(broken: &[Breach], plan: &Plan) -> Vec<Value> {
    broken
        .iter()
        .map(|breach| {
            json!({
                "rule": rule_words(breach.rule, plan),
                "words": breach_words(breach, plan),
            })
        })
        .collect()
}
