//! One look in full digits: as JSON and as a table.

use super::nominal::columns;
use crate::figure::{Frame, Item, Plan};
use crate::geometry::{Pair, Point};
use crate::trial::{InFrames, LookOutcome, Sight, SightPoint};
use crate::units::arcmin;
use serde_json::{Value, json};
use std::fmt::Write;

/// Schema number of the JSON of `see`.
const SIGHT_SCHEMA: u32 = 1;

/// The look as JSON: every number in full, angles in arcmin, lengths in mm.
pub fn sight_json(plan: &Plan, sight: &Sight, sag: bool) -> Value {
    let rods: Vec<Value> = sight
        .rods
        .iter()
        .enumerate()
        .map(|(index, seen)| {
            let rod = &plan.design.rods[index];
            let ends: Vec<Value> = seen
                .ends
                .iter()
                .zip(&rod.ends)
                .map(|(point, end)| {
                    let mut value = point_json(point);
                    value["vertex"] = json!(plan.design.vertices[end.line].name);
                    value["nominal_depth_mm"] = json!(end.depth_mm);
                    value
                })
                .collect();
            json!({
                "name": rod.name,
                "across_arcmin": frames_json(seen.across_rad),
                "turn_arcmin": frames_json(seen.turn_rad),
                "drift_limit_arcmin": arcmin(seen.limit_rad),
                "over_limit": sight.item_rad(plan, Item::Rod(index)).map(|[value, limit]| value / limit),
                "ends": ends,
                "middle": seen.middle.as_ref().map(point_json),
            })
        })
        .collect();
    let junctions: Vec<Value> = sight
        .junctions
        .iter()
        .enumerate()
        .map(|(index, seen)| {
            json!({
                "vertex": plan.junction_name(index),
                "gap_arcmin": seen.gap_rad.map(arcmin),
                "gap_limit_arcmin": arcmin(seen.limit_rad),
                "over_limit": sight.item_rad(plan, Item::Junction(index)).map(|[value, limit]| value / limit),
            })
        })
        .collect();
    json!({
        "schema": SIGHT_SCHEMA,
        "frame": "right-handed, origin at the station point, z into the cabinet, y up, so +x points to the viewer's left",
        "judged_frame": frame_name(plan.design.judging.frame),
        "sag": sag,
        "pupil_mm": point_mm(&sight.pupil_mm),
        "pupil_diameter_mm": sight.pupil_diameter_mm,
        "peephole_mm": point_mm(&sight.peephole_mm),
        "peephole_diameter_mm": plan.design.peephole.diameter_mm,
        "focus_mm": plan.design.viewer.focus_mm,
        "finest_detail_arcmin": arcmin(sight.detail_rad),
        "common": sight.fit.map(|fit| json!({
            "shift_arcmin": pair_arcmin(fit.shift()),
            "rotation_arcmin": arcmin(fit.rotation_rad()),
            "scale": fit.scale(),
        })),
        "tensions_n": plan.design.vertices.iter().zip(&sight.tensions_n)
            .map(|(vertex, tension)| (vertex.name.clone(), json!(tension)))
            .collect::<serde_json::Map<String, Value>>(),
        "outcome": sight.outcome.word(),
        "worst": sight.worst(plan).map(|(name, share)| json!({ "item": name, "over_limit": share })),
        "rods": rods,
        "junctions": junctions,
    })
}

/// The name of a frame.
pub(super) fn frame_name(frame: Frame) -> &'static str {
    match frame {
        Frame::Fixed => "fixed",
        Frame::Fitted => "fitted",
    }
}

fn point_mm(point: &Point) -> [f64; 3] {
    [point.x, point.y, point.z]
}

fn pair_arcmin(pair: Pair) -> [f64; 2] {
    [arcmin(pair.x), arcmin(pair.y)]
}

fn frames_json(value: Option<InFrames<f64>>) -> Value {
    value.map_or(
        Value::Null,
        |value| json!({ "fixed": arcmin(value.fixed), "fitted": value.fitted.map(arcmin) }),
    )
}

fn point_json(point: &SightPoint) -> Value {
    json!({
        "place_mm": point_mm(&point.place_mm),
        "target_arcmin": pair_arcmin(point.target),
        "seen_arcmin": point.seen.map(pair_arcmin),
        "deviation_arcmin": point.deviation_rad.map(|deviation| json!({
            "fixed": pair_arcmin(deviation.fixed),
            "fitted": deviation.fitted.map(pair_arcmin),
        })),
        "off_edge_arcmin": frames_json(point.off_rad),
        "reach_arcmin": frames_json(point.reach_rad),
        "clear_share": point.clear_share,
        "blur_arcmin": point.blur_rad.map(arcmin),
        "retinal_td": point.retinal_td,
    })
}

/// The look as tables for a person.
pub fn sight_text(plan: &Plan, sight: &Sight, sag: bool) -> String {
    let mut text = String::new();
    let _ = writeln!(
        text,
        "eye at ({}, {}, {}) mm, pupil {} mm; peephole {} mm at ({}, {}, {}) mm; focused at {} mm",
        sight.pupil_mm.x,
        sight.pupil_mm.y,
        sight.pupil_mm.z,
        sight.pupil_diameter_mm,
        plan.design.peephole.diameter_mm,
        sight.peephole_mm.x,
        sight.peephole_mm.y,
        sight.peephole_mm.z,
        plan.design.viewer.focus_mm
    );
    let _ = writeln!(
        text,
        "sag: {}; +x points to the viewer's left; all angles in arcmin",
        if sag {
            "on"
        } else {
            "off (nothing weighs; `sag = true` hangs the weights on the lines)"
        }
    );
    match &sight.fit {
        Some(fit) => {
            let [x, y] = pair_arcmin(fit.shift());
            let _ = writeln!(
                text,
                "taken away in the fitted frame: shift ({x:?}, {y:?}), rotation {:?}, scale {}",
                arcmin(fit.rotation_rad()),
                fit.scale()
            );
        }
        None => text.push_str("no fitted frame: a rod end is not seen at all\n"),
    }
    text.push_str("\nrod ends\n");
    text.push_str(&columns(
        &[
            "rod",
            "vertex",
            "fixed dx",
            "fixed dy",
            "fitted dx",
            "fitted dy",
            "reach fixed",
            "reach fitted",
            "clear share",
        ],
        sight.rods.iter().enumerate().flat_map(|(index, seen)| {
            let rod = &plan.design.rods[index];
            seen.ends.iter().zip(&rod.ends).map(move |(point, end)| {
                let deviation = point.deviation_rad;
                let fixed = deviation.map(|deviation| deviation.fixed);
                let fitted = deviation.and_then(|deviation| deviation.fitted);
                vec![
                    rod.name.clone(),
                    plan.design.vertices[end.line].name.clone(),
                    full(fixed.map(|pair| pair.x)),
                    full(fixed.map(|pair| pair.y)),
                    full(fitted.map(|pair| pair.x)),
                    full(fitted.map(|pair| pair.y)),
                    full(point.reach_rad.map(|reach| reach.fixed)),
                    full(point.reach_rad.and_then(|reach| reach.fitted)),
                    point.clear_share.to_string(),
                ]
            })
        }),
    ));
    text.push_str("\nrods\n");
    text.push_str(&columns(
        &[
            "rod",
            "across fixed",
            "across fitted",
            "turn fixed",
            "turn fitted",
            "drift limit",
        ],
        sight.rods.iter().enumerate().map(|(index, seen)| {
            vec![
                plan.design.rods[index].name.clone(),
                full(seen.across_rad.map(|across| across.fixed)),
                full(seen.across_rad.and_then(|across| across.fitted)),
                full(seen.turn_rad.map(|turn| turn.fixed)),
                full(seen.turn_rad.and_then(|turn| turn.fitted)),
                full(Some(seen.limit_rad)),
            ]
        }),
    ));
    text.push_str("\njunctions\n");
    text.push_str(&columns(
        &["vertex", "gap", "gap limit"],
        sight.junctions.iter().enumerate().map(|(index, seen)| {
            vec![
                plan.junction_name(index).to_owned(),
                full(seen.gap_rad),
                full(Some(seen.limit_rad)),
            ]
        }),
    ));
    let worst = sight
        .worst(plan)
        .map(|(name, share)| format!(": worst is {name} at {share} of its limit"))
        .unwrap_or_default();
    let clipped = if sight.outcome == LookOutcome::Clipped {
        format!(
            ": a point is clear over less than {} of the pupil",
            plan.design.peephole.clip_below
        )
    } else {
        String::new()
    };
    let _ = writeln!(
        text,
        "\nthis look {} (judged in the {} frame){worst}{clipped}",
        if sight.outcome == LookOutcome::Clipped {
            "is clipped"
        } else {
            sight.outcome.word()
        },
        frame_name(plan.design.judging.frame)
    );
    text
}

/// An angle in arcmin with all its digits; rounding noise in powers of ten.
fn full(rad: Option<f64>) -> String {
    rad.map_or_else(|| "not seen".to_owned(), |rad| format!("{:?}", arcmin(rad)))
}
