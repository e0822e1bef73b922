//! `results.json`: everything that the report tells, for programs.

use super::about::About;
use super::sight::frame_name;
use super::tables::{gap_rms_arcmin, worst_case_arcmin};
use super::verdict::{reason_sentence, verdict_sentence};
use crate::decision::{Assessment, Met, Outcome, Stopped};
use crate::figure::{Item, Source};
use crate::sampling::SAMPLING_VERSION;
use crate::statistics::{
    Proportion, QUANTILE_RELATIVE_ERROR, QuantileSketch, interval_of_clustered_share,
};
use crate::units::arcmin;
use serde_json::{Map, Value, json};

/// Schema number of `results.json`.
pub const RESULTS_SCHEMA: u32 = 1;

/// Which scenario it is.
pub(super) fn scenario_json(about: &About) -> Value {
    json!({
        "name": about.name,
        "title": about.title,
        "file": about.file,
        "sha256": about.sha256,
        "work": about.grade,
    })
}

/// The results as JSON. Angles are in arcmin, lengths in mm.
pub fn results_json(assessment: &Assessment, about: &About) -> Value {
    let design = &assessment.plan.design;
    let judging = &design.judging;
    json!({
        "schema": RESULTS_SCHEMA,
        "program": env!("CARGO_PKG_NAME"),
        "version": env!("CARGO_PKG_VERSION"),
        "sampling_version": SAMPLING_VERSION,
        "scenario": scenario_json(about),
        "command": about.command,
        "seed": assessment.run_plan.seed,
        "sampling": assessment.run_plan.sampling.name(),
        "verdict": verdict_sentence(assessment),
        "reason": reason_sentence(assessment),
        "target_yield": judging.target_yield,
        "target_met": match assessment.met {
            Met::Yes => "yes",
            Met::No => "no",
            Met::Undecided => "undecided",
        },
        "yield": proportion_json(&assessment.build_yield),
        "judging": {
            "finish": judging.finish.map(crate::figure::Finish::name),
            "frame": frame_name(judging.frame),
            "acuity_factor": judging.rule.acuity_factor,
            "cover": judging.rule.cover,
            "share_of_figure": judging.rule.share_of_figure,
            "drift_limit_arcmin": judging.rule.drift_rad.map(arcmin),
            "gap_limit_arcmin": judging.rule.gap_rad.map(arcmin),
            "hold_share": judging.hold_share,
        },
        "run": run_json(assessment),
        "rods": rods_json(assessment),
        "junctions": junctions_json(assessment),
        "broke_first": assessment.broke_first().into_iter().map(|(item, count)| json!({
            "item": assessment.plan.item_name(item),
            "looks": count,
        })).collect::<Vec<_>>(),
        "first_order": first_order_json(assessment),
        "worst_case": worst_case_json(assessment),
        "without_each_cause": removals_json(assessment),
        "holding_zone": zone_json(assessment),
        "sources": about.sources.iter().map(|source| json!({
            "key": source.key,
            "name": source.name,
            "items": source.items,
            "law": source.law,
            "origin": source.origin,
        })).collect::<Vec<_>>(),
        "warnings": about.warnings,
    })
}

/// A share with its interval and counts.
pub(super) fn proportion_json(proportion: &Proportion) -> Value {
    json!({
        "share": proportion.share(),
        "interval": proportion.interval(),
        "level": proportion.level,
        "method": proportion.method_name(),
        "count": proportion.count,
        "of": proportion.of,
    })
}

fn run_json(assessment: &Assessment) -> Value {
    let tally = &assessment.result.tally;
    let plan = &assessment.run_plan;
    let clustered = |moments| interval_of_clustered_share(moments, plan.level);
    json!({
        "builds": tally.builds,
        "builds_cap": plan.builds,
        "looks_at_each_build": plan.looks,
        "stopped": match assessment.result.stopped {
            Stopped::NarrowEnough => "interval narrow enough",
            Stopped::AtCap => "cap on builds",
        },
        "half_width_wanted": plan.half_width,
        "builds_passed": tally.passed,
        "builds_never_shown": tally.never_shown,
        "builds_not_computable": tally.builds_not_computable,
        "looks": tally.looks,
        "looks_clipped": tally.clipped,
        "looks_held": tally.held,
        "looks_broken": tally.broken,
        "looks_clipped_share": { "mean": tally.clipped_share.share(), "interval": clustered(&tally.clipped_share) },
        "looks_not_computable": tally.looks_not_computable,
        "looks_held_share": { "mean": tally.held_share.share(), "interval": clustered(&tally.held_share) },
        "probability_noticed": { "mean": tally.noticed.share(), "interval": clustered(&tally.noticed) },
        "drift_over_limit": quantiles_json(assessment, &tally.drift_over_limit),
        "gap_over_limit": quantiles_json(assessment, &tally.gap_over_limit),
        "quantile_relative_error": QUANTILE_RELATIVE_ERROR,
        "not_computable": {
            "by_reason": tally.failures.by_reason()
                .map(|(reason, count)| (reason.to_string(), json!(count)))
                .collect::<Map<String, Value>>(),
            "first": tally.failures.first().iter().map(|failure| json!({
                "build": failure.build,
                "look": failure.look,
                "reason": failure.reason.to_string(),
            })).collect::<Vec<_>>(),
        },
        "convergence": assessment.result.checkpoints.iter()
            .map(|checkpoint| proportion_json(&checkpoint.yield_so_far))
            .collect::<Vec<_>>(),
    })
}

/// Quantiles; the interval of the highest of them counts builds, since looks at one build are not independent.
fn quantiles_json(assessment: &Assessment, sketch: &QuantileSketch) -> Value {
    let builds = assessment.result.tally.held_share.builds;
    json!({
        "p95_interval": sketch.quantile_interval(0.95, builds, assessment.run_plan.level),
        "count": sketch.count(),
        "p05": sketch.quantile(0.05),
        "p25": sketch.quantile(0.25),
        "p50": sketch.quantile(0.5),
        "p75": sketch.quantile(0.75),
        "p95": sketch.quantile(0.95),
        "highest": sketch.highest(),
    })
}

fn rods_json(assessment: &Assessment) -> Vec<Value> {
    let plan = &assessment.plan;
    let estimate = assessment.first_order.as_ref().ok();
    let tallies = assessment.result.tally.rods.iter().enumerate();
    tallies
        .map(|(index, tally)| {
            let rod = &plan.design.rods[index];
            let ends: Vec<Value> = (0..2)
                .map(|which| {
                    let end = estimate.map(|estimate| &estimate.ends[2 * index + which]);
                    json!({
                        "vertex": plan.design.vertices[rod.ends[which].line].name,
                        "depth_mm": rod.ends[which].depth_mm,
                        "first_order_mean_arcmin": end.map(|end| arcmin(end.mean_rad)),
                        "first_order_sd_arcmin": end.map(|end| arcmin(end.sd_rad)),
                        "monte_carlo_mean_arcmin": tally.off_rad[which].mean().map(arcmin),
                        "monte_carlo_sd_arcmin": tally.off_rad[which].sd().map(arcmin),
                        "variance_share_by_source": end.map(|end| shares_json(&end.variance_by_source)),
                    })
                })
                .collect();
            json!({
                "name": rod.name,
                "drift_limit_arcmin": arcmin(plan.drift_limit_rad(index, plan.typical_detail_rad())),
                "drift_fitted_arcmin": quantiles_json(assessment, &tally.drift_fitted_arcmin),
                "drift_fixed_arcmin": quantiles_json(assessment, &tally.drift_fixed_arcmin),
                "looks_over_limit": tally.over_limit,
                "looks_broken_first": tally.broke_first,
                "worst_case_arcmin": worst_case_arcmin(assessment, Item::Rod(index)),
                "ends": ends,
            })
        })
        .collect()
}

fn junctions_json(assessment: &Assessment) -> Vec<Value> {
    let plan = &assessment.plan;
    let estimate = assessment.first_order.as_ref().ok();
    let tallies = assessment.result.tally.junctions.iter().enumerate();
    tallies
        .map(|(index, tally)| {
            let gap = estimate.map(|estimate| &estimate.gaps[index]);
            json!({
                "vertex": plan.junction_name(index),
                "rods": plan.junctions[index].ends.iter()
                    .map(|end| plan.design.rods[end / 2].name.clone())
                    .collect::<Vec<_>>(),
                "gap_limit_arcmin": arcmin(plan.gap_limit_rad(index, plan.typical_detail_rad())),
                "gap_arcmin": quantiles_json(assessment, &tally.gap_arcmin),
                "looks_over_limit": tally.over_limit,
                "looks_broken_first": tally.broke_first,
                "first_order_rms_arcmin": gap.map(|gap| arcmin(gap.rms_rad)),
                "monte_carlo_rms_arcmin": gap_rms_arcmin(assessment, index),
                "variance_share_by_source": gap.map(|gap| shares_json(&gap.variance_by_source)),
                "worst_case_arcmin": worst_case_arcmin(assessment, Item::Junction(index)),
            })
        })
        .collect()
}

/// Variances by source as shares of their sum; sources without a share are left out.
fn shares_json(variance_by_source: &[f64]) -> Value {
    let sum: f64 = variance_by_source.iter().sum();
    let shares: Map<String, Value> = Source::ALL
        .into_iter()
        .zip(variance_by_source)
        .filter(|(_, variance)| **variance > 0.0)
        .map(|(source, variance)| {
            let (table, key) = source.key();
            (format!("{table}.{key}"), json!(variance / sum))
        })
        .collect();
    Value::Object(shares)
}

fn first_order_json(assessment: &Assessment) -> Value {
    match &assessment.first_order {
        Err(reason) => json!({ "available": false, "reason": reason.to_string() }),
        Ok(_) => json!({
            "available": true,
            "disagreements": assessment.disagreements.iter().map(|one| json!({
                "what": one.what,
                "statistic": one.statistic,
                "first_order_arcmin": one.first_order_arcmin,
                "monte_carlo_arcmin": one.monte_carlo_arcmin,
            })).collect::<Vec<_>>(),
        }),
    }
}

fn worst_case_json(assessment: &Assessment) -> Value {
    let Some(worst) = &assessment.worst_case else {
        return Value::Null;
    };
    json!({
        "kind": "bound: every bounded source at the end that hurts most; not a probability",
        "left_out": worst.left_out.iter().map(|source| source.words()).collect::<Vec<_>>(),
        "items": worst.items.iter().map(|one| json!({
            "item": assessment.plan.item_name(one.item),
            "first_order_arcmin": arcmin(one.first_order_rad),
            "model_at_corner_arcmin": one.model_rad.map(arcmin),
        })).collect::<Vec<_>>(),
    })
}

fn removals_json(assessment: &Assessment) -> Value {
    let removals = &assessment.removals;
    let outcome = |outcome: &Outcome| {
        json!({
            "yield": proportion_json(&outcome.build_yield),
            "looks_held_share": {
                "mean": outcome.held.share(),
                "interval": interval_of_clustered_share(&outcome.held, assessment.run_plan.level),
            },
            "median_worst_over_limit": outcome.median_worst,
            "median_worst_interval": outcome.median_worst_interval,
        })
    };
    json!({
        "as_is": outcome(&removals.as_is),
        "without": removals.culprits.iter().map(|culprit| {
            let mut value = outcome(&culprit.without);
            value["cause"] = json!(culprit.removal.words());
            value["remedy"] = json!(culprit.removal.remedy());
            value
        }).collect::<Vec<_>>(),
    })
}

fn zone_json(assessment: &Assessment) -> Value {
    let zone = &assessment.zone;
    json!({
        "half_width_mm": zone.half_width_mm,
        "side": zone.side,
        "builds": zone.builds,
        "order": "rows from -y to +y, each from -x to +x (+x is the viewer's left)",
        "held": zone.cells.iter().map(|cell| cell.held).collect::<Vec<_>>(),
        "broken": zone.cells.iter().map(|cell| cell.broken).collect::<Vec<_>>(),
        "not_shown": zone.cells.iter().map(|cell| cell.not_shown).collect::<Vec<_>>(),
    })
}
