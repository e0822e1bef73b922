//! The summary on the terminal.

use super::about::About;
use super::nominal::columns;
use super::sight::frame_name;
use super::tables::worst_case_arcmin;
use super::verdict::{clipped_sentence, eye_sentence, reason_sentence, verdict_sentence};
use super::words::{count_words, figures, sampling_option, share_words};
use crate::decision::{Assessment, Disagreement, Stopped};
use crate::figure::{Frame, Item};
use crate::statistics::{QuantileSketch, interval_of_clustered_share};
use crate::units::arcmin;
use std::fmt::Write;

/// Items in the table on the terminal.
const ROWS: usize = 8;

/// The summary, in plain text; `advice`: what other answers in the same report come to, one sentence each.
pub fn summary_text(assessment: &Assessment, about: &About, advice: &[String]) -> String {
    let mut text = String::new();
    let tally = &assessment.result.tally;
    let judging = &assessment.plan.design.judging;
    let _ = writeln!(text, "{}\n", about.title);
    let _ = writeln!(text, "{}", verdict_sentence(assessment));
    let _ = writeln!(text, "{}", reason_sentence(assessment));
    if let Some(clipped) = clipped_sentence(assessment) {
        let _ = writeln!(text, "{clipped}");
    }
    for sentence in advice {
        let _ = writeln!(text, "{sentence}");
    }
    text.push('\n');
    let _ = writeln!(
        text,
        "{} builds × {} looks, {}; finish {}, judged in the {} frame",
        count_words(tally.builds),
        assessment.run_plan.looks,
        stopped_words(assessment),
        judging
            .finish
            .map_or("set by hand", crate::figure::Finish::name),
        frame_name(judging.frame)
    );
    if let (Some(mean), Some(interval)) = (
        tally.held_share.share(),
        interval_of_clustered_share(&tally.held_share, assessment.run_plan.level),
    ) {
        let _ = writeln!(
            text,
            "judged looks that hold: {} ({} of {})",
            share_words(mean, interval),
            count_words(tally.held),
            count_words(tally.held + tally.broken)
        );
    }
    let _ = writeln!(text, "{}", eye_sentence(assessment));
    for (what, count) in [
        ("builds that never show the whole figure", tally.never_shown),
        (
            "builds that could not be computed",
            tally.builds_not_computable,
        ),
    ] {
        if count > 0 {
            let _ = writeln!(
                text,
                "{what}: {} of {} (they count as not passing)",
                count_words(count),
                count_words(tally.builds)
            );
        }
    }
    for (reason, count) in tally.failures.by_reason() {
        let _ = writeln!(
            text,
            "  not computable {} times: {reason}",
            count_words(count)
        );
    }
    if let Some(first) = tally.failures.first().first() {
        let look = first
            .look
            .map(|look| format!(" --look {look}"))
            .unwrap_or_default();
        let _ = writeln!(
            text,
            "  the first: sightdrift see {} --trial {}{look} --seed {}{}",
            about.shell_file,
            first.build,
            assessment.run_plan.seed,
            sampling_option(&assessment.run_plan)
        );
    }
    text.push('\n');
    text.push_str(&worst_table(assessment));
    let _ = writeln!(text, "\n{}", disagreement_sentence(assessment));
    let file = &about.shell_file;
    if advice.is_empty() {
        let _ = writeln!(
            text,
            "next: `sightdrift peephole {file}` (how big the peephole may be), `sightdrift tolerances {file}` (which step deserves the care, and the cheapest way to the target)"
        );
    }
    for warning in &about.warnings {
        let _ = writeln!(text, "warning: {warning}");
    }
    text
}

pub(super) fn stopped_words(assessment: &Assessment) -> String {
    let half_width = assessment
        .run_plan
        .half_width
        .map(|width| format!("± {} %", figures(100.0 * width)));
    match (assessment.result.stopped, half_width) {
        (Stopped::NarrowEnough, Some(width)) => {
            format!("stopped when the yield was known to {width}")
        }
        (_, Some(width)) => format!("stopped at the cap on builds (wanted {width})"),
        (_, None) => "run to the cap on builds".to_owned(),
    }
}

/// Rods and junctions by their 95 % value over their limit.
pub(super) fn by_severity(assessment: &Assessment) -> Vec<(Item, &QuantileSketch, f64, u64)> {
    let plan = &assessment.plan;
    let tally = &assessment.result.tally;
    let detail_rad = plan.typical_detail_rad();
    let rods = tally.rods.iter().enumerate().map(|(index, rod)| {
        let drift = match plan.design.judging.frame {
            Frame::Fixed => &rod.drift_fixed_arcmin,
            Frame::Fitted => &rod.drift_fitted_arcmin,
        };
        (
            Item::Rod(index),
            drift,
            arcmin(plan.drift_limit_rad(index, detail_rad)),
            rod.over_limit,
        )
    });
    let junctions = tally.junctions.iter().enumerate().map(|(index, junction)| {
        let limit = arcmin(plan.gap_limit_rad(index, detail_rad));
        (
            Item::Junction(index),
            &junction.gap_arcmin,
            limit,
            junction.over_limit,
        )
    });
    let mut items: Vec<_> = rods.chain(junctions).collect();
    let severity = |sketch: &QuantileSketch, limit: f64| {
        sketch.quantile(0.95).map_or(0.0, |value| value / limit)
    };
    items.sort_by(|a, b| {
        severity(b.1, b.2)
            .total_cmp(&severity(a.1, a.2))
            .then(a.0.cmp(&b.0))
    });
    items
}

fn worst_table(assessment: &Assessment) -> String {
    let items = by_severity(assessment);
    let judged = assessment.result.tally.held + assessment.result.tally.broken;
    if judged == 0 {
        return "no look showed the whole figure: nothing was judged\n".to_owned();
    }
    let shown = items.iter().take(ROWS).map(|(item, sketch, limit, over)| {
        let quantile = |u| {
            sketch
                .quantile(u)
                .map_or_else(|| "none".to_owned(), figures)
        };
        vec![
            assessment.plan.item_name(*item),
            quantile(0.5),
            quantile(0.95),
            figures(*limit),
            format!("{} of {}", count_words(*over), count_words(judged)),
            worst_case_arcmin(assessment, *item).map_or_else(|| "none".to_owned(), figures),
        ]
    });
    let heads = [
        "drift or gap, arcmin",
        "median",
        "95 %",
        "limit",
        "looks over it",
        "bounded sources at ends",
    ];
    let mut text = columns(&heads, shown);
    if items.len() > ROWS {
        let _ = writeln!(
            text,
            "  and {} more in rods.csv and junctions.csv",
            items.len() - ROWS
        );
    }
    text
}

/// Whether the first-order estimate and the run agree, in one sentence.
pub fn disagreement_sentence(assessment: &Assessment) -> String {
    let tally = &assessment.result.tally;
    let all = 2 * assessment.plan.targets.len() + assessment.plan.junctions.len();
    let missing = if tally.builds_not_computable > 0 {
        format!(
            " {} of {} builds could not be computed and are missing from the run's numbers: the true spread is wider.",
            count_words(tally.builds_not_computable),
            count_words(tally.builds)
        )
    } else {
        String::new()
    };
    let words = match &assessment.first_order {
        Err(reason) => {
            format!("There is no first-order estimate beside the run: {reason}.")
        }
        Ok(_) if tally.held_share.builds < 100 => {
            "The first-order estimate was not held against the run: fewer than 100 builds were judged.".to_owned()
        }
        Ok(_) => match assessment.disagreements.iter().max_by(|a, b| off(a).total_cmp(&off(b))) {
            None => format!(
                "The first-order estimate agrees with the run in all {all} means, standard deviations and gaps (within 5 standard errors and, on top of them, 5 %)."
            ),
            Some(worst) => format!(
                "The first-order estimate disagrees with the run in {} of {all} means, standard deviations and gaps, most at {}: {} {} arcmin by first order, {} in the run. Errors are too large, or clipped looks are left out too unevenly, for a straight-line law: trust the run.",
                assessment.disagreements.len(),
                worst.what,
                worst.statistic,
                figures(worst.first_order_arcmin),
                figures(worst.monte_carlo_arcmin)
            ),
        },
    };
    words + &missing
}

/// How far apart the two numbers are, against the larger.
fn off(one: &Disagreement) -> f64 {
    let largest = one
        .monte_carlo_arcmin
        .abs()
        .max(one.first_order_arcmin.abs());
    (one.monte_carlo_arcmin - one.first_order_arcmin).abs() / largest
}
