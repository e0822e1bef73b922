//! The answer for programs: lengths in mm, angles in arcmin, tensions as factors on the planned ones, shares as fractions.

use super::super::json::{proportion_json, scenario_json};
use super::Diagnosed;
use super::sentences::{assumed_sentences, diagnosis_sentences};
use crate::decision::diagnosis::{
    Cause, Correction, Explanation, ItemFinding, LookAlike, Mend, ReadingTold, Span, Suspect,
};
use crate::figure::{Measurand, Plan, Quantity, Reading, Source};
use crate::geometry::Pair;
use crate::sampling::SAMPLING_VERSION;
use crate::statistics::{ClusteredShare, interval_of_clustered_share};
use crate::trial::PictureFrame;
use crate::units::{Kind, arcmin};
use serde_json::{Map, Value, json};

/// Schema number of `diagnosis.json`.
pub const DIAGNOSIS_SCHEMA: u32 = 1;

/// The answer as JSON.
pub fn diagnosis_json(told: &Diagnosed<'_>) -> Value {
    let Diagnosed {
        plan,
        bench,
        diagnosis,
        run,
        about,
        ..
    } = told;
    let (finding, why, mends) = (&diagnosis.finding, &diagnosis.why, &diagnosis.mends);
    let judging = &plan.design.judging;
    let words = &bench.words;
    json!({
        "schema": DIAGNOSIS_SCHEMA,
        "program": env!("CARGO_PKG_NAME"),
        "version": env!("CARGO_PKG_VERSION"),
        "sampling_version": SAMPLING_VERSION,
        "scenario": scenario_json(about),
        "command": about.command,
        "seed": run.seed,
        "builds": run.builds,
        "looks_at_each_build": run.looks,
        "level": run.level,
        "axes": "x to the viewer's left, y up, z away from the eye, turns from x to y; points of pictures x to the right, y down",
        "sheet": {
            "sha256": bench.sha256,
            "readings": bench.readings.len(),
            "picture_perspective_sd": bench.perspective.sd(),
            "camera_pupil_mm": bench.camera_pupil_mm,
            "exhibit": words.exhibit,
            "measured_by": words.measured_by,
            "measured_on": words.measured_on,
            "instruments": words.instruments,
            "signed_by": words.signed_by,
            "note": words.note,
            "put_right": told.put_right,
            "notes": told.notes,
        },
        "verdict": told.verdict().word(),
        "answer": diagnosis_sentences(told),
        "assumes": assumed_sentences(told),
        "target_yield": judging.target_yield,
        "finding": {
            "passes": proportion_json(&finding.passes),
            "not_computable": finding.not_computable,
            "never_shown": finding.never_shown,
            "held": looks_json(&finding.held, run.level),
            "clear": looks_json(&finding.clear, run.level),
            "worst_over_limit": span_json(&finding.worst),
            "worst_item": finding.worst_item.as_ref().map(|(item, share)| json!({
                "item": plan.item_name(*item),
                "in": proportion_json(share),
            })),
            "items": finding.items.iter().map(|item| item_json(item, plan)).collect::<Vec<_>>(),
        },
        "causes": why.causes.iter().map(|cause| cause_json(cause, told)).collect::<Vec<_>>(),
        "explanations": why.explanations.iter().map(|one| explanation_json(one, told)).collect::<Vec<_>>(),
        "look_alikes": why.look_alikes.iter().map(|one| look_alike_json(one, told)).collect::<Vec<_>>(),
        "readings": bench.readings.iter().zip(&why.readings)
            .map(|(reading, found)| reading_json(reading, found, plan)).collect::<Vec<_>>(),
        "eye_relief_was_read": why.relief_was_read,
        "mean_eye": values_json(plan, &why.look, false),
        "suspects": why.suspects,
        "combinations_weighed": why.weighed,
        "combinations_worked_out": why.tried,
        "possible_builds": why.possible.len(),
        "mends": {
            "least": mends.least,
            "needs_piercing": mends.needs_piercing,
            "needs_nothing": mends.needs_nothing,
            "wanted_clear": mends.wanted_clear,
            "built_anew": proportion_json(&mends.built_anew),
            "tried": mends.tried,
            "ranked": mends.ranked.iter().map(|mend| mend_json(mend, told)).collect::<Vec<_>>(),
        },
        "warnings": about.warnings,
    })
}

fn span_json(span: &Span) -> Value {
    json!({ "median": span.median, "interval": span.interval })
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

fn item_json(item: &ItemFinding, plan: &Plan) -> Value {
    json!({
        "item": plan.item_name(item.item),
        "limit_arcmin": arcmin(item.limit_rad),
        "seen_arcmin": item.seen_rad.map(|seen| json!({
            "median": arcmin(seen.median),
            "interval": seen.interval.map(arcmin),
        })),
        "over_limit": proportion_json(&item.over),
        "pictured_arcmin": item.pictured_rad.map(|[value, sd]| json!({
            "value": arcmin(value),
            "standard_uncertainty": arcmin(sd),
        })),
    })
}

/// Unit in the key's name, and what the kept value is in it.
fn shown_in(kind: Kind, source: Option<Source>) -> (&'static str, fn(f64) -> f64) {
    let as_kept = |value: f64| value;
    match (kind, source) {
        (Kind::Length, _) => ("mm", as_kept),
        (Kind::Angle, _) => ("arcmin", arcmin),
        (_, Some(Source::HandTension | Source::Slackening)) => ("of_planned_tension", as_kept),
        (_, Some(Source::PrintScale(_))) => ("of_size_too_large", as_kept),
        (_, Some(Source::RodBow)) => ("of_length", as_kept),
        (_, Some(Source::Acuity)) => ("logmar", as_kept),
        _ => ("as_a_number", as_kept),
    }
}

fn cause_json(cause: &Cause, told: &Diagnosed<'_>) -> Value {
    let count = cause.components.min(2);
    let (unit, shown) = shown_in(cause.kind, cause.suspect.source());
    let each = |values: &[f64; 2]| {
        values[..count]
            .iter()
            .map(|v| shown(*v))
            .collect::<Vec<_>>()
    };
    let limits = |interval: &[[f64; 2]; 2]| -> Vec<[f64; 2]> {
        let each = interval[..count].iter();
        each.map(|ends| ends.map(shown)).collect()
    };
    let mut all = Map::new();
    let mut put = |key: String, value: Value| all.insert(key, value);
    put("cause".into(), json!(cause.words));
    put("suspect".into(), suspect_json(cause.suspect, told));
    put(format!("planned_{unit}"), json!(each(&cause.planned)));
    put(
        format!("tolerance_sd_{unit}"),
        json!(each(&cause.tolerance_sd)),
    );
    put(format!("estimate_{unit}"), json!(each(&cause.estimate)));
    put(format!("interval_{unit}"), json!(limits(&cause.interval)));
    let if_wrong = &cause.if_wrong;
    put(
        format!("estimate_if_wrong_{unit}"),
        json!(each(&if_wrong.value)),
    );
    put(
        format!("interval_if_wrong_{unit}"),
        json!(limits(&if_wrong.interval)),
    );
    put("times_tolerance_sd".into(), json!(cause.times_tolerance));
    put("tail_by_tolerance_alone".into(), json!(cause.tail));
    put("fault_probability".into(), json!(cause.fault_probability));
    put("share_of_what_is_seen_off".into(), json!(cause.share));
    put("known".into(), json!(cause.known));
    Value::Object(all)
}

fn suspect_json(suspect: Suspect, told: &Diagnosed<'_>) -> Value {
    let key = |source: Source| {
        let (table, key) = source.key();
        format!("{table}.{key}")
    };
    let words = suspect.words(told.plan, &told.measurands());
    match suspect {
        Suspect::Item { item, .. } => json!({
            "kind": "item", "words": words, "source": suspect.source().map(key), "item": item,
        }),
        Suspect::Alike { .. } => json!({
            "kind": "all alike", "words": words, "source": suspect.source().map(key),
        }),
        Suspect::Reading(nth) => json!({
            "kind": "reading", "words": words, "reading": nth,
            "place": told.bench.readings.get(nth).map(|reading| &reading.place),
        }),
    }
}

fn suspects_json(suspects: &[Suspect], told: &Diagnosed<'_>) -> Vec<Value> {
    suspects
        .iter()
        .map(|suspect| suspect_json(*suspect, told))
        .collect()
}

fn explanation_json(explanation: &Explanation, told: &Diagnosed<'_>) -> Value {
    json!({
        "suspects": suspects_json(&explanation.suspects, told),
        "probability": explanation.probability,
        "build": values_json(told.plan, &explanation.build, true),
        "eye": values_json(told.plan, &explanation.look, false),
        "frames": {
            "front_plate": frame_json(&explanation.frames.plates[0]),
            "rear_plate": frame_json(&explanation.frames.plates[1]),
            "view": frame_json(&explanation.frames.view),
        },
    })
}

fn frame_json(frame: &PictureFrame) -> Value {
    json!({
        "shift": [frame.shift.x, frame.shift.y],
        "turn_arcmin": arcmin(frame.turn_rad),
        "log_scale": frame.log_scale,
        "perspective": [frame.perspective.x, frame.perspective.y],
    })
}

/// A build's or a look's values by source, item by item and component by component, each key with its unit.
fn values_json(plan: &Plan, values: &[f64], of_build: bool) -> Value {
    let mut all = Map::new();
    for source in Source::ALL {
        let is_build = source.family() == crate::figure::Family::Build;
        let (start, components) = (plan.layout.start(source), source.components());
        let end = start + components * source.items(&plan.design);
        if is_build != of_build || end > values.len() {
            continue;
        }
        let (unit, shown) = shown_in(source.kind(), Some(source));
        let (table, key) = source.key();
        let items: Vec<Vec<f64>> = values[start..end]
            .chunks(components)
            .map(|item| item.iter().map(|value| shown(*value)).collect())
            .collect();
        all.insert(format!("{table}.{key}_{unit}"), json!(items));
    }
    Value::Object(all)
}

fn look_alike_json(alike: &LookAlike, told: &Diagnosed<'_>) -> Value {
    json!({
        "explanations": alike.explanations.iter().map(|(suspects, probability)| json!({
            "suspects": suspects_json(suspects, told),
            "probability": probability,
        })).collect::<Vec<_>>(),
        "settles": alike.settles.as_ref().map(|settles| {
            let mut all = measurand_json(&settles.of, told.plan);
            let unit = unit_key(settles.of.quantity);
            let expected: Vec<Value> = settles.expected.iter().map(|one| components(&settles.of, *one)).collect();
            all.insert(format!("expected_{unit}"), json!(expected));
            all.insert("apart_in_standard_uncertainties".into(), json!(settles.apart));
            Value::Object(all)
        }),
    })
}

fn unit_key(quantity: Quantity) -> String {
    quantity.unit().to_lowercase()
}

/// One or two numbers, in the cabinet's frame (+x to the viewer's left) or the picture's own.
fn components(of: &Measurand, value: [f64; 2]) -> Value {
    json!(&value[..of.quantity.components().min(2)])
}

fn measurand_json(of: &Measurand, plan: &Plan) -> Map<String, Value> {
    let mut all = Map::new();
    all.insert("of".into(), json!(of.words(&plan.design)));
    all.insert("quantity".into(), json!(of.quantity.name()));
    let line = of.line.map(|line| &plan.design.vertices[line].name);
    all.insert("line".into(), json!(line));
    let rod = of.end.map(|end| &plan.design.rods[end / 2].name);
    all.insert("rod".into(), json!(rod));
    all.insert("at_mm".into(), json!(of.at_mm));
    let place = of.place_mm.map(|place| [place.x, place.y]);
    all.insert("place_mm".into(), json!(place));
    all
}

fn reading_json(reading: &Reading, found: &ReadingTold, plan: &Plan) -> Value {
    let of = &reading.of;
    let unit = unit_key(of.quantity);
    let mut all = measurand_json(of, plan);
    all.insert(format!("read_{unit}"), components(of, reading.value));
    all.insert(format!("standard_uncertainty_{unit}"), json!(reading.sd));
    let expected = found.expected.map(|expected| components(of, expected));
    all.insert(format!("expected_{unit}"), json!(expected));
    all.insert(
        "off_in_standard_uncertainties".into(),
        components(of, found.off),
    );
    all.insert("misread_probability".into(), json!(found.fault_probability));
    all.insert("place".into(), json!(reading.place));
    all.insert("remark".into(), json!(reading.remark));
    Value::Object(all)
}

fn mend_json(mend: &Mend, told: &Diagnosed<'_>) -> Value {
    json!({
        "words": mend.words,
        "corrections": mend.corrections.iter().map(|one| correction_json(one, told)).collect::<Vec<_>>(),
        "minutes": mend.minutes,
        "pierces": mend.pierces,
        "worst_drift_over_limit": span_json(&mend.drift),
        "worst_gap_over_limit": mend.gap.as_ref().map(span_json),
        "passes": proportion_json(&mend.passes),
        "gain": mend.gain.as_ref().map(|gain| json!({
            "difference": gain.difference,
            "interval": gain.interval,
            "gained": gain.gained,
            "lost": gain.lost,
            "of": gain.of,
        })),
        "held": looks_json(&mend.held, told.run.level),
        "clear": looks_json(&mend.clear, told.run.level),
        "meets_target": mend.meets,
        "meets_target_surely": mend.meets_surely,
    })
}

fn correction_json(correction: &Correction, told: &Diagnosed<'_>) -> Value {
    let across = |pair: &Pair| [pair.x, pair.y];
    match correction {
        Correction::PutRight(suspect) => json!({
            "kind": "put right", "suspect": suspect_json(*suspect, told),
        }),
        Correction::MovePlate(to) => json!({
            "kind": "move plate",
            "plate": to.plate.word(),
            "shift_mm": across(&to.shift_mm),
            "turn_arcmin": arcmin(to.turn_rad),
            "depth_mm": to.depth_mm,
        }),
        Correction::MovePeephole(shift_mm, depth_mm) => json!({
            "kind": "move peephole", "shift_mm": across(shift_mm), "depth_mm": depth_mm,
        }),
        Correction::TightenAll => json!({ "kind": "tighten all lines" }),
        Correction::PierceAnew(plate) => json!({
            "kind": "pierce anew", "plate": plate.word(),
        }),
    }
}
