//! The verdict in one sentence with numbers, and the reason that it names.

use super::nominal::lines;
use super::words::{count_words, figures, proportion_words, share_words};
use crate::decision::{Assessment, Culprit, Met, Removal};
use crate::statistics::{Proportion, interval_of_clustered_share};

/// Why builds fail, as far as one reason can be named.
#[derive(Debug, Clone, PartialEq)]
pub enum Reason {
    /// Nearly all builds pass; the cause without which most of those that fail would pass, if there is one.
    LittleLeft(Option<Culprit>),
    /// Most builds cannot be computed.
    NotComputable(String),
    /// Most builds never show the whole figure.
    Clipped,
    /// One cause, without which the yield is clearly higher, and others that would do about as well.
    OneCause(Culprit, Vec<Removal>),
    /// One cause shrinks the worst fault most, but taking it away alone does not lift the yield.
    Foremost(Culprit),
    /// No single cause makes a difference.
    Several,
    /// Too few builds to name one.
    TooFewBuilds,
}

/// Builds below which no cause is named (chosen).
const FEWEST_BUILDS: u64 = 100;
/// A cause must lift the yield by more than this share of builds to be the one (chosen).
const CLEAR_GAIN: f64 = 0.05;
/// A cause must shrink the median of the worst fault to less than this to be the foremost (chosen).
const CLEAR_SHRINK: f64 = 0.9;

/// Names the reason.
pub fn reason(assessment: &Assessment) -> Reason {
    let tally = &assessment.result.tally;
    let builds = tally.builds.max(1) as f64;
    let failed_looks = tally.looks_not_computable as f64
        > 0.5 * (tally.looks + tally.looks_not_computable).max(1) as f64;
    if tally.builds_not_computable as f64 > 0.5 * builds || failed_looks {
        let most = tally.failures.by_reason().max_by_key(|(_, count)| *count);
        return Reason::NotComputable(
            most.map_or_else(String::new, |(reason, _)| reason.to_string()),
        );
    }
    if tally.never_shown as f64 > 0.5 * builds {
        return Reason::Clipped;
    }
    let removals = &assessment.removals;
    if removals.as_is.build_yield.of < FEWEST_BUILDS {
        return Reason::TooFewBuilds;
    }
    let yield_as_is = removals.as_is.build_yield.share().unwrap_or(0.0);
    if yield_as_is >= 1.0 - CLEAR_GAIN {
        let failing = removals.as_is.build_yield.of - removals.as_is.build_yield.count;
        let saves_half = |best: &&Culprit| {
            2 * best
                .without
                .build_yield
                .count
                .saturating_sub(removals.as_is.build_yield.count)
                > failing
        };
        return Reason::LittleLeft(removals.culprits.first().filter(saves_half).copied());
    }
    let gain = |culprit: &Culprit| culprit.without.build_yield.share().unwrap_or(0.0) - yield_as_is;
    if let Some(best) = removals.culprits.first()
        && gain(best) > CLEAR_GAIN
        && is_clear(best, &removals.as_is.build_yield)
    {
        // those that the trial cannot tell from the best; more care is named before another design
        let as_good: Vec<&Culprit> = removals
            .culprits
            .iter()
            .filter(|culprit| {
                overlaps(culprit, best) && is_clear(culprit, &removals.as_is.build_yield)
            })
            .collect();
        let named = as_good
            .iter()
            .find(|culprit| !culprit.removal.needs_redesign())
            .unwrap_or(&best);
        let others = as_good
            .iter()
            .map(|culprit| culprit.removal)
            .filter(|other| *other != named.removal);
        return Reason::OneCause(**named, others.collect());
    }
    let median = |culprit: &Culprit| culprit.without.median_worst.unwrap_or(f64::INFINITY);
    let foremost = removals
        .culprits
        .iter()
        .min_by(|a, b| median(a).total_cmp(&median(b)));
    match (foremost, removals.as_is.median_worst) {
        (Some(culprit), Some(as_is)) if median(culprit) < CLEAR_SHRINK * as_is => {
            Reason::Foremost(*culprit)
        }
        _ => Reason::Several,
    }
}

/// Whether a cause lifts the yield by more than chance: the two intervals do not meet.
fn is_clear(culprit: &Culprit, as_is: &Proportion) -> bool {
    match (culprit.without.build_yield.interval(), as_is.interval()) {
        (Some([low, _]), Some([_, high])) => low > high,
        _ => false,
    }
}

fn overlaps(a: &Culprit, b: &Culprit) -> bool {
    match (
        a.without.build_yield.interval(),
        b.without.build_yield.interval(),
    ) {
        (Some(a), Some(b)) => a[1] >= b[0] && b[1] >= a[0],
        _ => false,
    }
}

/// The verdict in one sentence with numbers.
pub fn verdict_sentence(assessment: &Assessment) -> String {
    let judging = &assessment.plan.design.judging;
    let target = format!("{} %", figures(100.0 * judging.target_yield));
    let passed = proportion_words(&assessment.build_yield, "builds");
    match assessment.met {
        Met::Yes => format!("It holds: {passed} pass; the target of {target} is met."),
        Met::No => format!("It does not hold: {passed} pass; the target of {target} is not met."),
        Met::Undecided => {
            let needed = builds_needed(assessment)
                .map(|needed| format!(" About {} builds would tell.", count_words(needed)))
                .unwrap_or_default();
            format!(
                "It cannot be told yet: {passed} pass, and the interval straddles the target of {target}.{needed}"
            )
        }
    }
}

/// Builds after which an interval about today's estimate would no longer reach the target; `None` when the estimate is
/// the target, or more builds than a run may have are needed.
fn builds_needed(assessment: &Assessment) -> Option<u64> {
    const MOST: u64 = 1_000_000_000;
    let run = &assessment.run_plan;
    let target = assessment.plan.design.judging.target_yield;
    let share = assessment.build_yield.share()?;
    let decided = |builds: u64| {
        let passed = (share * builds as f64).round() as u64;
        run.method
            .interval(passed.min(builds), builds, run.level)
            .is_some_and(|[low, high]| low >= target || high < target)
    };
    let mut enough = assessment.build_yield.of.max(1);
    while !decided(enough) {
        enough = enough.checked_mul(2).filter(|builds| *builds <= MOST)?;
    }
    let mut too_few = enough / 2;
    while enough - too_few > enough / 100 + 1 {
        let middle = too_few + (enough - too_few) / 2;
        if decided(middle) {
            enough = middle
        } else {
            too_few = middle
        }
    }
    Some(enough)
}

/// Whether so many looks are clipped that "holds" says too little.
pub fn many_are_clipped(assessment: &Assessment) -> bool {
    assessment
        .result
        .tally
        .clipped_share
        .share()
        .is_some_and(|share| 1.0 - share < assessment.plan.design.judging.clear_share)
}

/// The verdict in a few words.
pub fn verdict_mark(assessment: &Assessment) -> &'static str {
    match assessment.met {
        Met::Yes if many_are_clipped(assessment) => "holds where it is seen whole",
        Met::Yes => "holds",
        Met::No => "does not hold",
        Met::Undecided => "not decided",
    }
}

/// A sentence on clipped looks: they are neither held nor broken, but a visitor moves on.
pub fn clipped_sentence(assessment: &Assessment) -> Option<String> {
    let tally = &assessment.result.tally;
    let share = tally.clipped_share.share()?;
    let interval = interval_of_clustered_share(&tally.clipped_share, assessment.run_plan.level)?;
    let mend = if many_are_clipped(assessment) {
        " A wider peephole, less eye relief, a smaller figure or a rest that guides the eye shows more of it."
    } else {
        ""
    };
    Some(format!(
        "Of all looks {} ({} of {}) are clipped: the peephole's rim hides part of the figure, they are not judged, and the yield is that of the rest.{mend}",
        share_words(share, interval),
        count_words(tally.clipped),
        count_words(tally.looks)
    ))
}

/// How far the eye may wander, from the holding zone.
pub fn eye_sentence(assessment: &Assessment) -> String {
    let zone = &assessment.zone;
    let share = assessment.plan.design.judging.target_yield;
    let words = |radius: Option<f64>| {
        radius.map_or_else(
            || "nowhere, not even on the axis".to_owned(),
            |radius| {
                format!(
                    "up to {} mm off the axis in every direction",
                    figures(radius)
                )
            },
        )
    };
    format!(
        "Of {} builds at least {} % hold with the eye {}; of those that can be computed at least {} % show the whole figure with the eye {} (the mean visitor's pupil and acuity; to one cell of the map, {} mm).",
        count_words(zone.builds),
        figures(100.0 * share),
        words(zone.free_radius_mm(share, zone.builds, |cell| cell.held)),
        figures(100.0 * share),
        words(zone.free_radius_mm(share, zone.computable, |cell| cell.held + cell.broken)),
        figures(2.0 * zone.half_width_mm / (zone.side - 1) as f64)
    )
}

/// The line that sags most, and what tension it keeps, where tension or weight is the trouble.
fn weakest_line_sentence(assessment: &Assessment) -> Option<String> {
    let lines = lines(&assessment.plan);
    let (index, line) = lines
        .iter()
        .enumerate()
        .max_by(|a, b| a.1.largest_sag_mm.total_cmp(&b.1.largest_sag_mm))?;
    Some(format!(
        " Line {} keeps {} N of the {} N that are pulled (after threading and mean slackening) and sags {} mm.",
        line.name,
        figures(line.tension_n),
        figures(assessment.plan.design.line.tension_n[index]),
        figures(line.largest_sag_mm)
    ))
}

/// The reason in one or two sentences.
pub fn reason_sentence(assessment: &Assessment) -> String {
    let removals = &assessment.removals;
    let as_is = proportion_words(&removals.as_is.build_yield, "builds");
    match reason(assessment) {
        Reason::LittleLeft(cause) => {
            let failing = removals.as_is.build_yield.of - removals.as_is.build_yield.count;
            let start = format!(
                "Little is left to gain: {} of {} builds fail in a second run over the first builds",
                count_words(failing),
                count_words(removals.as_is.build_yield.of)
            );
            match cause {
                Some(culprit) if failing > 0 => format!(
                    "{start}, and {} of them would pass without {}. To mend it: {}.",
                    count_words(
                        culprit.without.build_yield.count - removals.as_is.build_yield.count
                    ),
                    culprit.removal.words(),
                    culprit.removal.remedy()
                ),
                _ if failing > 0 => format!("{start}, for no single cause."),
                _ => format!("{start}."),
            }
        }
        Reason::NotComputable(why) => {
            format!(
                "Most builds or looks are outside what can be computed: {why}. Mend that first."
            )
        }
        Reason::Clipped => format!(
            "The reason: most builds never show the whole figure ({} of {} looks clipped). A wider peephole, less eye relief or a smaller figure shows more of it.",
            count_words(assessment.result.tally.clipped),
            count_words(assessment.result.tally.looks)
        ),
        Reason::OneCause(culprit, others) => {
            let line = match culprit.removal {
                Removal::ThreadingLoss | Removal::TensionScatter | Removal::Weight => {
                    weakest_line_sentence(assessment).unwrap_or_default()
                }
                _ => String::new(),
            };
            let others: Vec<&str> = others.iter().take(2).map(|other| other.remedy()).collect();
            let others = if others.is_empty() {
                String::new()
            } else {
                format!(" It would do about as well to {}.", others.join(", or to "))
            };
            format!(
                "{}: {}.{line} Without it {} would pass, instead of {as_is} (a second run over the first builds). To mend it: {}.{others}",
                if assessment.met == Met::Yes {
                    "What is left to gain"
                } else {
                    "The reason"
                },
                culprit.removal.words(),
                proportion_words(&culprit.without.build_yield, "builds"),
                culprit.removal.remedy()
            )
        }
        Reason::Foremost(culprit) => format!(
            "Foremost: {}. Without it the worst fault of a typical look shrinks from {} to {} times its limit, but that alone does not save the yield ({as_is} as it is). First step: {}.",
            culprit.removal.words(),
            figures(removals.as_is.median_worst.unwrap_or(f64::NAN)),
            figures(culprit.without.median_worst.unwrap_or(f64::NAN)),
            culprit.removal.remedy()
        ),
        Reason::TooFewBuilds => format!(
            "No cause is named from {} builds: at least {FEWEST_BUILDS} are needed.",
            count_words(removals.as_is.build_yield.of)
        ),
        Reason::Several => {
            let first: Vec<&str> = removals
                .culprits
                .iter()
                .take(3)
                .map(|c| Removal::words(c.removal))
                .collect();
            format!(
                "No single cause: taking any one of them away alone changes little. The first three: {}.",
                first.join("; ")
            )
        }
    }
}
