//! The answer for programs: lengths in mm, angles in arcmin, shares as fractions.

use super::super::about::About;
use super::super::json::{proportion_json, scenario_json};
use super::words::{
    answer_sentences, assumed_sentence, by_hand_sentence, change_words, choice_sentence,
    guide_sentence, plate_sentence, reason_words, recommended_sentence,
};
use crate::decision::PeepholeAnswer;
use crate::decision::peephole::{
    Bound, Change, ChangeKind, Counted, DepthHidden, End, NoWindow, PeepholePoint, Proof, State,
    ToolRun,
};
use crate::figure::Plan;
use crate::sampling::SAMPLING_VERSION;
use crate::statistics::{ClusteredShare, interval_of_clustered_share};
use crate::units::arcmin;
use serde_json::{Value, json};

/// Schema number of `peephole.json`.
pub const PEEPHOLE_SCHEMA: u32 = 1;

/// The answer as JSON.
pub fn peephole_json(answer: &PeepholeAnswer, plan: &Plan, about: &About) -> Value {
    let level = answer.run.level;
    json!({
        "schema": PEEPHOLE_SCHEMA,
        "program": env!("CARGO_PKG_NAME"),
        "version": env!("CARGO_PKG_VERSION"),
        "sampling_version": SAMPLING_VERSION,
        "scenario": scenario_json(about),
        "command": about.command,
        "seed": answer.run.seed,
        "builds": answer.run.builds,
        "looks_at_each_build": answer.run.looks,
        "level": level,
        "answer": answer_sentences(answer),
        "recommendation": recommended_sentence(answer),
        "eyes_anywhere_warning": guide_sentence(answer),
        "plate_sentence": plate_sentence(answer),
        "assumes": assumed_sentence(answer),
        "targets": { "yield": answer.targets.build_yield, "clear_share": answer.targets.clear },
        "own_mm": answer.own_mm,
        "own_is_in_range": answer.range.as_ref().is_ok_and(|range| range.holds(answer.own_mm)),
        "own_is_wider_than_of_use": answer.own_is_wider_than_of_use(),
        "range": range_json(answer),
        "bounds": answer.bounds.iter().map(|bound| bound_json(bound, answer)).collect::<Vec<_>>(),
        "if_eyes_stood_anywhere_in_the_hole": bound_json(&answer.if_anywhere, answer),
        "recommended": answer.recommended.as_ref().map(|found| json!({
            "chosen": tool_json(&found.chosen, level),
            "proof": counted_json(&found.proof, level),
            "if_eyes_stood_anywhere": counted_json(&found.anywhere, level),
            "cautious": found.cautious.as_ref().map(|one| json!({
                "chosen": tool_json(&one.chosen, level),
                "if_eyes_stood_anywhere": counted_json(&one.anywhere, level),
            })),
            "in_safe_part": found.is_safe,
            "best_mm": found.best_mm,
            "within_chance_of_the_best": found.within_chance,
            "candidates": found.candidates,
            "alternatives": found.alternatives.iter().map(|one| tool_json(one, level)).collect::<Vec<_>>(),
            "choice": choice_sentence(found, answer),
        })),
        "changes": answer.changes.iter().map(|change| change_json(change, level)).collect::<Vec<_>>(),
        "by_hand": {
            "sentence": by_hand_sentence(answer, plan),
            "largest_mm": answer.worst_by_hand().map(|(_, mm)| mm),
            "junctions": answer.by_hand.iter().map(|one| json!({
                "name": plan.junction_name(one.junction),
                "depths_mm": one.depths_mm,
                "gap_limit_arcmin": arcmin(one.gap_limit_rad),
                "diameter_mm": one.diameter_mm,
            })).collect::<Vec<_>>(),
        },
        "eye": {
            "mean_pupil_mm": answer.pupil_mm,
            "finest_detail_arcmin": arcmin(answer.detail_rad),
            "95_of_100_looks_within_mm": answer.wandering_mm,
            "hole_guides_the_eye_up_to_mm": answer.guides_until_mm,
        },
        "diffraction": {
            "allowed_arcmin": arcmin(answer.diffraction.allowed_rad),
            "whole_pupil_arcmin": arcmin(answer.diffraction.pupil_rad),
            "smallest_gap_limit_arcmin": answer.diffraction.smallest_gap_limit_rad.map(arcmin),
            "smallest_mm": answer.diffraction.smallest_mm,
        },
        "light": light_json(answer),
        "blur_hides_depth": match answer.depth_hidden {
            DepthHidden::AtEvery => json!({ "at": "every diameter" }),
            DepthHidden::UpTo(mm) => json!({ "at": "up to", "diameter_mm": mm }),
            DepthHidden::AtNone => json!({ "at": "no diameter" }),
        },
        "plate": plate_json(answer),
        "diameters": answer.points.iter().map(|point| point_json(point, level)).collect::<Vec<_>>(),
        "warnings": about.warnings,
    })
}

fn range_json(answer: &PeepholeAnswer) -> Value {
    match &answer.range {
        Ok(range) => json!({
            "smallest": end_json(&range.smallest, answer),
            "largest": range.largest.as_ref().map(|end| end_json(end, answer)),
            "tried_up_to_mm": range.tried_up_to_mm,
            "safe_mm": range.safe_mm,
        }),
        Err(why) => json!({ "none": match why {
            NoWindow::TooFewBuildsPass { .. } => "too few builds pass",
            NoWindow::TooFewLooksShow => "too few looks show the figure",
            NoWindow::EndsCross { .. } => "ends cross",
        } }),
    }
}

fn end_json(end: &End, answer: &PeepholeAnswer) -> Value {
    json!({
        "diameter_mm": end.at_mm,
        "interval_mm": (!end.reason.is_model()).then_some(end.interval_mm),
        "from": if end.reason.is_model() { "model" } else { "trials" },
        "binds": end.reason.name(),
        "reason": reason_words(end.reason, answer),
    })
}

fn bound_json(bound: &Bound, answer: &PeepholeAnswer) -> Value {
    json!({
        "binds": bound.reason.name(),
        "side": if bound.reason.is_lower() { "below" } else { "above" },
        "from": if bound.reason.is_model() { "model" } else { "trials" },
        "met": match bound.state {
            State::Crossed => "on one side",
            State::Everywhere => "at every diameter",
            State::Nowhere => "at no diameter",
        },
        "diameter_mm": bound.at_mm,
        "surely_mm": bound.surely_mm,
        "possibly_mm": bound.possibly_mm,
        "reason": reason_words(bound.reason, answer),
    })
}

fn looks_json(share: &ClusteredShare, level: f64) -> Value {
    let counts = share.counts();
    json!({
        "share": share.share(),
        "interval": interval_of_clustered_share(share, level),
        "level": level,
        "count": counts.map(|[counted, _]| counted),
        "of": counts.map(|[_, of]| of),
    })
}

fn counted_json(counted: &Counted, level: f64) -> Value {
    json!({
        "yield": proportion_json(&counted.build_yield),
        "never_shown": counted.never_shown,
        "not_computable": counted.not_computable,
        "clear": looks_json(&counted.clear, level),
        "held": looks_json(&counted.held, level),
        "both": looks_json(&counted.both, level),
    })
}

fn tool_json(run: &ToolRun, level: f64) -> Value {
    json!({
        "tool": run.tool.words(),
        "kind": run.tool.kind.name(),
        "size": run.tool.size,
        "diameter_mm": run.tool.diameter_mm,
        "holes_mm": run.tool.holes_mm(),
        "holes_stay_in_range": run.stays_inside,
        "plainness": run.tool.plainness(),
        "preferred_number": run.tool.preferred().words(),
        "source": run.tool.kind.source(),
        "gives": counted_json(&run.counted, level),
    })
}

fn change_json(change: &Change, level: f64) -> Value {
    let proof = |proof: &Proof| {
        json!({
            "diameter_mm": proof.diameter_mm,
            "whole_interval_meets_targets": proof.is_sure,
            "gives": counted_json(&proof.counted, level),
        })
    };
    json!({
        "change": change.kind.name(),
        "cause": match change.kind {
            ChangeKind::Without(removal) => Some(removal.words()),
            _ => None,
        },
        "words": change_words(change),
        "opens_a_range": change.proof.is_some(),
        "as_is": change.as_is,
        "needed": change.needed,
        "tried": change.tried,
        "proof": change.proof.as_ref().map(proof),
        "nearest": change.nearest.as_ref().map(proof),
    })
}

fn light_json(answer: &PeepholeAnswer) -> Value {
    answer.light.as_ref().map_or(Value::Null, |light| {
        json!({
            "luminance_cd_per_m2": light.luminance_cd_per_m2,
            "normal_down_to_cd_per_m2": light.normal.luminance_cd_per_m2,
            "natural_pupil_there_mm": light.normal.pupil_mm,
            "least_td": light.normal.illuminance_td,
            "whole_pupil_td": light.whole_pupil_td,
            "smallest_mm": light.smallest_mm,
            "times_more_light_needed": light.times_more_light,
        })
    })
}

fn plate_json(answer: &PeepholeAnswer) -> Value {
    let plate = &answer.plate;
    json!({
        "diameter_mm": plate.diameter_mm,
        "own_thickness_mm": plate.own_mm,
        "outermost_tangent": plate.tangent,
        "shown_up_to_mm": plate.shown_up_to_mm,
        "nine_tenths_up_to_mm": plate.nine_tenths_up_to_mm,
        "own_takes": plate.own_takes.map(|own| json!({
            "lost_share": own.lost_share,
            "clear_share": own.clear_share,
            "clips_the_outermost_rod_end": own.is_clipped,
            "thin_enough_mm": own.thin_enough_mm,
        })),
        "thicknesses": plate.rows.iter().map(|row| json!({
            "thickness_mm": row.thickness_mm,
            "open_share": row.open_share,
            "clear_share": row.clear_share,
        })).collect::<Vec<_>>(),
    })
}

fn point_json(point: &PeepholePoint, level: f64) -> Value {
    let blurs = &point.blurs;
    json!({
        "diameter_mm": point.diameter_mm,
        "own": point.is_own,
        "gives": counted_json(&point.counted, level),
        "if_eyes_stood_anywhere": counted_json(&point.anywhere, level),
        "blur_arcmin": {
            "nearest": arcmin(blurs.nearest_rad),
            "farthest": arcmin(blurs.farthest_rad),
            "best": arcmin(blurs.best_rad),
            "difference": arcmin(blurs.difference_rad()),
        },
        "diffraction_arcmin": arcmin(blurs.diffraction_rad),
        "trolands": point.trolands,
        "head_movement_mm": {
            "shown": point.movement.shown_mm,
            "shown_and_held": point.movement.holds.at_mm,
            "interval": point.movement.holds.interval_mm,
            "builds": point.movement.builds,
        },
    })
}
