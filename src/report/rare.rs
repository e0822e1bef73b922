//! Rare failures: as words for a terminal and as JSON.

use super::about::About;
use super::json::scenario_json;
use super::nominal::columns;
use super::words::{count_words, figures, level_words};
use crate::decision::{Drive, Fault, PilotEnd, RareFailure};
use crate::figure::Plan;
use crate::sampling::SAMPLING_VERSION;
use serde_json::{Value, json};
use std::fmt::Write;

/// Schema number of the JSON of `rare`.
const RARE_SCHEMA: u32 = 1;

/// Rows of each table on the terminal.
const ROWS: usize = 8;

/// Scatter of one repetition (standard deviation over mean) above which the repetitions are told to disagree (chosen: beyond
/// it a mean of 16 is known to no better than a quarter).
const WIDE_SCATTER: f64 = 1.0;

/// What no number of samples mends, in plain words.
pub fn rare_cautions() -> [&'static str; 3] {
    [
        "This number lives in the far tails of the distributions that the scenario assumes, and nobody has measured those: a workshop's worst hole in a million is not known from its first hundred. Read it as \"if the errors really follow these laws\", not as a promise.",
        "Blunders (a line in the wrong hole, a rod left out, a cracked plate, a blow in transport) are in no distribution here and are far commoner than one in a thousand. Below that, checking each build decides, not this number.",
        "The interval covers the chance of sampling only. A part of the failing builds that no repetition came upon is not in it.",
    ]
}

/// A small probability: two or three digits, plain where that is readable.
fn probability_words(p: f64) -> String {
    if p == 0.0 || p >= 0.01 {
        figures(p)
    } else {
        format!("{p:.1e}")
    }
}

/// The yield that goes with a probability of failure, in percent, with `decimals` decimals.
fn yield_percent(p: f64, decimals: usize) -> String {
    format!("{:.decimals$}", 100.0 * (1.0 - p))
}

/// Decimals that show two digits of the percentage `100·width`.
fn decimals_for(width: f64) -> usize {
    if width > 0.0 {
        (1.0 - libm::log10(100.0 * width).floor()).clamp(0.0, 14.0) as usize
    } else {
        1
    }
}

/// The probability that a build fails, its interval, and the yield that goes with it.
pub fn rare_sentence(rare: &RareFailure) -> String {
    let subset = &rare.subset;
    let level = level_words(subset.settings.level);
    let Some([low, high]) = subset.interval else {
        return format!(
            "A build fails with the probability {}; there is no interval: the repetitions say too little.",
            probability_words(subset.estimate)
        );
    };
    if subset.dimension == 0 {
        return format!(
            "Nothing varies in this scenario: every build {}.",
            if subset.estimate > 0.5 {
                "fails"
            } else {
                "passes"
            }
        );
    }
    if subset.estimate == 0.0 {
        return format!(
            "No failing build was met. A build fails with a probability below {} (upper end of the {level} % interval): the yield is above {} %.",
            probability_words(high),
            yield_percent(high, decimals_for(high))
        );
    }
    let decimals = decimals_for((high - low) / 2.0);
    let one_in = if subset.estimate < 0.1 {
        format!(", about one build in {}", one_in_words(subset.estimate))
    } else {
        String::new()
    };
    format!(
        "A build fails with the probability {} ({level} % interval {} to {}){}: a yield of {} % ({} to {} %).",
        probability_words(subset.estimate),
        probability_words(low),
        probability_words(high),
        one_in,
        yield_percent(subset.estimate, decimals),
        yield_percent(high, decimals),
        yield_percent(low, decimals),
    )
}

/// 1/p to two digits: "3 100 000".
fn one_in_words(p: f64) -> String {
    let builds = 1.0 / p;
    if builds < 10.0 {
        return figures(builds);
    }
    let unit = libm::pow(10.0, libm::log10(builds).floor() - 1.0);
    count_words(((builds / unit).round() * unit) as u64)
}

/// Where the pilot ended, when that is not among the failures.
fn end_sentence(rare: &RareFailure) -> Option<String> {
    match rare.subset.end {
        PilotEnd::Failures => None,
        PilotEnd::MostThresholds => Some(format!(
            "The search ended after {} thresholds, each worth a factor of ten, before a tenth of the builds failed.",
            rare.subset.thresholds.len()
        )),
        PilotEnd::Plateau(at) => (rare.subset.dimension > 0).then(|| {
            format!(
                "The search found no way beyond builds at {} of their limit: many stand at just this value, none worse. Where every source is bounded, that may be all there is.",
                figures(at)
            )
        }),
    }
}

fn counts_sentence(rare: &RareFailure) -> String {
    let subset = &rare.subset;
    let settings = &subset.settings;
    let thresholds = match subset.thresholds.len() {
        0 if subset.end == PilotEnd::Failures => {
            "without a threshold: failure is not rare, and this is plain sampling".to_owned()
        }
        0 => "without a threshold: this is plain sampling".to_owned(),
        1 => "at the start and beyond 1 threshold".to_owned(),
        n => format!("at the start and beyond each of {n} thresholds"),
    };
    format!(
        "{} builds × {} looks were worked out: {} repetitions (and a pilot) of {} builds {thresholds}; seed {}; {} random numbers in a build",
        count_words(subset.evaluations),
        rare.looks,
        settings.repetitions,
        count_words(settings.samples as u64),
        settings.seed,
        count_words(subset.dimension as u64)
    )
}

fn plain_sentence(rare: &RareFailure) -> Option<String> {
    let subset = &rare.subset;
    let error = subset.relative_error?;
    if subset.thresholds.is_empty() {
        return None;
    }
    let plain = subset.plain_evaluations()?;
    let times = plain / subset.evaluations as f64;
    let advice = if times < 1.0 {
        ": it does better here, use `assess`".to_owned()
    } else {
        format!(", {} times as many", figures(times))
    };
    Some(format!(
        "The probability is known to ± {} % (one standard error). Plain sampling would take some {plain:.1e} builds for that{advice}.",
        figures(100.0 * error),
    ))
}

/// A fault by its name.
pub fn fault_words(plan: &Plan, fault: Fault) -> String {
    match fault {
        Fault::Item(item) => plan.item_name(item),
        Fault::NeverShown => "no look shows the whole figure".to_owned(),
        Fault::NotComputable(reason) => format!("not computable: {reason}"),
    }
}

fn faults_table(plan: &Plan, rare: &RareFailure) -> String {
    let rows = rare.faults.iter().take(ROWS).map(|one| {
        vec![
            fault_words(plan, one.fault),
            format!("{:.0} %", 100.0 * one.share),
            format!("± {:.0} %", 100.0 * one.standard_error),
            count_words(one.count),
        ]
    });
    let heads = [
        "what decides that a build fails",
        "share",
        "standard error",
        "failing builds met",
    ];
    with_rest(columns(&heads, rows), rare.faults.len())
}

fn with_rest(mut table: String, all: usize) -> String {
    if all > ROWS {
        let _ = writeln!(table, "  and {} more in the JSON", all - ROWS);
    }
    table
}

fn drives_table(rare: &RareFailure) -> String {
    let rows = rare.drives.iter().take(ROWS).map(|drive| {
        let stands_out = RareFailure::stands_out(drive);
        vec![
            drive.source.words(),
            drive.coordinates.to_string(),
            drive.rms.map_or_else(
                || "direction".to_owned(),
                |(rms, error)| format!("{rms:.2} ± {error:.2}"),
            ),
            format!("{:.1} ± {:.1}", drive.push.0, drive.push.1),
            if stands_out {
                format!("{:.0} %", 100.0 * drive.share)
            } else {
                "chance".to_owned()
            },
        ]
    });
    let heads = [
        "source that stands out in failing builds",
        "numbers",
        "rms (1 is chance)",
        "push (0 is chance)",
        "share of the push",
    ];
    with_rest(columns(&heads, rows), rare.drives.len())
}

fn thresholds_table(rare: &RareFailure) -> String {
    let share = |value: Option<f64>| value.map_or_else(|| "none".to_owned(), figures);
    let rows = rare.subset.thresholds.iter().map(|one| {
        vec![
            figures(one.performance),
            share(one.share),
            figures(one.scale),
            share(one.acceptance),
        ]
    });
    columns(
        &[
            "threshold: worst that counts, over its limit",
            "share beyond",
            "step of the chains",
            "accepted",
        ],
        rows,
    )
}

/// All of it, in plain text.
pub fn rare_text(plan: &Plan, rare: &RareFailure, about: &About) -> String {
    let subset = &rare.subset;
    let mut text = format!("{}\n\n{}\n", about.title, rare_sentence(rare));
    if let Some(end) = end_sentence(rare) {
        let _ = writeln!(text, "{end}");
    }
    let _ = writeln!(text, "{}", counts_sentence(rare));
    if let Some(plain) = plain_sentence(rare) {
        let _ = writeln!(text, "{plain}");
    }
    if let Some(scatter) = wide_scatter(rare) {
        let _ = writeln!(
            text,
            "warning: single repetitions scatter by {} times their mean: distrust the interval, and ask for more samples (--samples)",
            figures(scatter)
        );
    }
    if !rare.faults.is_empty() {
        let _ = write!(text, "\n{}", faults_table(plan, rare));
        let _ = write!(text, "\n{}", drives_table(rare));
    }
    if !subset.thresholds.is_empty() {
        let _ = write!(text, "\n{}", thresholds_table(rare));
    }
    text.push_str("\nHow far this goes\n");
    for caution in rare_cautions() {
        let _ = writeln!(text, "  {caution}");
    }
    for warning in &about.warnings {
        let _ = writeln!(text, "warning: {warning}");
    }
    text
}

fn wide_scatter(rare: &RareFailure) -> Option<f64> {
    let rare_enough = !rare.subset.thresholds.is_empty();
    rare.subset
        .scatter()
        .filter(|scatter| rare_enough && *scatter > WIDE_SCATTER)
}

fn drive_json(drive: &Drive) -> Value {
    let (table, key) = drive.source.key();
    json!({
        "key": format!("{table}.{key}"),
        "name": drive.source.words(),
        "coordinates": drive.coordinates,
        "rms": drive.rms.map(|(rms, _)| rms),
        "rms_standard_error": drive.rms.map(|(_, error)| error),
        "push": drive.push.0,
        "push_standard_error": drive.push.1,
        "share_of_push": drive.share,
        "stands_out": RareFailure::stands_out(drive),
    })
}

/// All of it as JSON; no number is rounded.
pub fn rare_json(plan: &Plan, rare: &RareFailure, about: &About) -> Value {
    let subset = &rare.subset;
    let settings = &subset.settings;
    json!({
        "schema": RARE_SCHEMA,
        "program": env!("CARGO_PKG_NAME"),
        "version": env!("CARGO_PKG_VERSION"),
        "sampling_version": SAMPLING_VERSION,
        "scenario": scenario_json(about),
        "command": about.command,
        "seed": settings.seed,
        "verdict": rare_sentence(rare),
        "probability_of_failure": {
            "estimate": subset.estimate,
            "interval": subset.interval,
            "level": settings.level,
            "relative_standard_error": subset.relative_error,
            "is_upper_bound_only": subset.estimate == 0.0,
        },
        "yield": {
            "estimate": 1.0 - subset.estimate,
            "interval": subset.interval.map(|[low, high]| [1.0 - high, 1.0 - low]),
        },
        "run": {
            "looks_at_each_build": rare.looks,
            "samples": settings.samples,
            "repetitions": settings.repetitions,
            "most_thresholds": settings.most_thresholds,
            "evaluations": subset.evaluations,
            "plain_evaluations_for_the_same_error": subset.plain_evaluations(),
            "random_numbers_in_a_build": subset.dimension,
            "ended": match subset.end {
                PilotEnd::Failures => "among failures",
                PilotEnd::MostThresholds => "most thresholds",
                PilotEnd::Plateau(_) => "plateau",
            },
            "thresholds": subset.thresholds.iter().map(|one| json!({
                "performance": one.performance,
                "share_beyond": one.share,
                "scale": one.scale,
                "acceptance": one.acceptance,
            })).collect::<Vec<_>>(),
            "estimates": subset.repetitions.iter().map(|one| one.estimate).collect::<Vec<_>>(),
            "scatter_of_one_repetition": subset.scatter(),
        },
        "failing_builds_met": rare.failing,
        "faults": rare.faults.iter().map(|one| json!({
            "fault": fault_words(plan, one.fault),
            "share": one.share,
            "standard_error": one.standard_error,
            "failing_builds_met": one.count,
        })).collect::<Vec<_>>(),
        "sources": rare.drives.iter().map(drive_json).collect::<Vec<_>>(),
        "cautions": rare_cautions(),
        "warnings": about.warnings,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_yield_near_one_keeps_the_digits_that_its_interval_carries() {
        let [low, high] = [2.6e-7, 3.9e-7];
        let decimals = decimals_for((high - low) / 2.0);
        assert_eq!(yield_percent(3.2e-7, decimals), "99.9999680");
        assert_eq!(one_in_words(3.2e-7).replace('\u{a0}', " "), "3 100 000");
        assert_eq!(probability_words(3.21e-7), "3.2e-7");
        assert_eq!(probability_words(0.25), "0.250");
    }
}
