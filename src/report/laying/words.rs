//! What was laid out, in sentences.

use super::super::eye_heights::eye_height_sentence;
use super::super::words::{count_words, difference_words, figures, proportion_words};
use super::broken::{broken_words, rod_of};
use super::held::plain;
use crate::decision::laying::{Aim, Choice, Judged, LaidOut, Rule, SIZE_WORTH};
use crate::figure::Plan;

/// A choice by its name.
pub(super) fn choice_words(choice: Choice, plan: &Plan) -> String {
    match choice {
        Choice::Front => "front plate".to_owned(),
        Choice::Rear => "rear plate".to_owned(),
        Choice::PicturePlane => "picture plane".to_owned(),
        Choice::End(end) => rod_of(end, plan),
    }
}

/// A choice's value, and for the picture plane the figure's extent.
pub(super) fn choice_value(choice: Choice, judged: &Judged) -> String {
    let value = format!("{} mm", plain(judged.laid.value_mm(choice)));
    match choice {
        Choice::PicturePlane => format!("{value} ({}°)", figures(extent_deg(judged))),
        _ => value,
    }
}

/// The figure's extent, degrees.
pub(super) fn extent_deg(judged: &Judged) -> f64 {
    judged.plan.figure_rad.to_degrees()
}

fn hang_words(judged: &Judged) -> String {
    let depths = &judged.laid.depths_mm;
    let low = depths.iter().copied().fold(f64::INFINITY, f64::min);
    let high = depths.iter().copied().fold(0.0, f64::max);
    format!("{} to {} mm", plain(low), plain(high))
}

fn apart_words(judged: &Judged) -> String {
    judged.scatter.falls_apart_mm.map_or_else(
        || "it does not fall apart".to_owned(),
        |mm| format!("it falls apart at a head movement of {} mm", figures(mm)),
    )
}

/// The answer in sentences, the one to act on first.
pub fn laying_sentences(found: &LaidOut) -> Vec<String> {
    let chosen = &found.chosen;
    let [front_mm, rear_mm] = chosen.laid.plates_mm;
    let mut sentences = vec![format!(
        "Front plate at {front_mm} mm and rear plate at {rear_mm} mm from the station point, the figure {}° across (picture plane at {} mm), rods at {}.",
        figures(extent_deg(chosen)),
        chosen.laid.picture_plane_mm,
        hang_words(chosen)
    )];
    let target = figures(100.0 * chosen.plan.design.judging.target_yield);
    let meets = if found.meets() {
        "which meets"
    } else {
        "which does not meet"
    };
    sentences.push(format!(
        "With fresh numbers {} pass, {meets} the target of {target} %.",
        proportion_words(&chosen.build_yield, "builds")
    ));
    sentences.push(if found.as_is.broken.is_empty() {
        match &found.gain {
            Some(gain) => format!(
                "Against the scenario's own layout, of which {} pass: {}.",
                proportion_words(&found.as_is.build_yield, "of the same builds"),
                difference_words(gain)
            ),
            None => String::new(),
        }
    } else {
        format!(
            "The scenario's own layout breaks {} of the rules, above all: {}.",
            found.as_is.broken.len(),
            broken_words(&found.as_is.broken, &found.as_is.plan)
                .into_iter()
                .next()
                .unwrap_or_default()
        )
    });
    sentences.push(format!(
        "Its depths spread by {} mm (standard deviation), and {}.",
        figures(chosen.scatter.depth_spread_mm),
        apart_words(chosen)
    ));
    if !found.meets() {
        sentences.push(missed_sentence(found));
    }
    sentences.extend(eye_height_sentence(&found.allowed));
    sentences.retain(|sentence| !sentence.is_empty());
    sentences
}

/// What to do where the target is not met.
fn missed_sentence(found: &LaidOut) -> String {
    let by_scatter = found.sides.iter().flat_map(|(_, sides)| sides).any(|side| {
        let rules = side.stops.iter().map(|stop| stop.rule);
        side.free_mm == 0.0
            && rules
                .into_iter()
                .any(|rule| matches!(rule, Rule::Spread | Rule::FallsApart))
    });
    let ease = if by_scatter {
        " What is asked of its scatter is in the way: a smaller least_spread, or a larger apart_within, in [allowed] lets more builds pass."
    } else {
        ""
    };
    format!(
        "No layout that was tried meets the target.{ease} What more careful work would bring, `tolerances` says; what another peephole, `peephole`."
    )
}

/// What the search did, and what it does not prove.
pub(super) fn searched_sentence(found: &LaidOut) -> String {
    let aimed = match found.aim {
        Aim::Robustness => {
            "robustness: the fault that the target share of builds stays within, over its limit, is smallest"
        }
        Aim::Scatter => {
            "scatter: spread of depths and the head movement at which it falls apart, at the target yield"
        }
    };
    format!(
        "Chosen for {aimed}. A figure that is a tenth larger may be {} % worse in it. {} layouts were tried at the same builds and looks; plates and depths are in whole millimetres. The search finds good layouts and proves none to be the best; the same scenario, seed and version give the same one.",
        figures(100.0 * (libm::pow(1.1, SIZE_WORTH) - 1.0)),
        count_words(found.tried)
    )
}
