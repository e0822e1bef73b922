//! The verdict in one sentence with numbers, and the reason that it names.

use super::words::{count_words, figures, proportion_words, share_words};
use crate::decision::{Assessment, Culprit, Met, Removal};
use crate::sampling::normal_quantile_wichura_1988;
use crate::statistics::interval_of_clustered_share;

/// Why builds fail, as far as one reason can be named.
#[derive(Debug, Clone, PartialEq)]
pub enum Reason {
    /// Builds hold: there is nothing to name.
    None,
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
}

/// A cause must lift the yield by more than this share of builds to be the one (chosen).
const CLEAR_GAIN: f64 = 0.05;
/// A cause must shrink the median of the worst fault to less than this to be the foremost (chosen).
const CLEAR_SHRINK: f64 = 0.9;

/// Names the reason.
pub fn reason(assessment: &Assessment) -> Reason {
    let tally = &assessment.result.tally;
    let builds = tally.builds.max(1) as f64;
    if tally.builds_not_computable as f64 > 0.5 * builds {
        let most = tally.failures.by_reason().max_by_key(|(_, count)| *count);
        return Reason::NotComputable(
            most.map_or_else(String::new, |(reason, _)| reason.to_string()),
        );
    }
    if tally.never_shown as f64 > 0.5 * builds {
        return Reason::Clipped;
    }
    let removals = &assessment.removals;
    let yield_as_is = removals.yield_as_is.share().unwrap_or(0.0);
    if yield_as_is >= 1.0 - CLEAR_GAIN {
        return Reason::None;
    }
    let gain = |culprit: &Culprit| culprit.yield_without.share().unwrap_or(0.0) - yield_as_is;
    if let Some(best) = removals.culprits.first()
        && gain(best) > CLEAR_GAIN
    {
        // those that the trial cannot tell from the best; more care is named before another design
        let as_good: Vec<&Culprit> = removals
            .culprits
            .iter()
            .filter(|culprit| overlaps(culprit, best))
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
    let median = |culprit: &Culprit| culprit.median_worst_without.unwrap_or(f64::INFINITY);
    let foremost = removals
        .culprits
        .iter()
        .min_by(|a, b| median(a).total_cmp(&median(b)));
    match (foremost, removals.median_worst_as_is) {
        (Some(culprit), Some(as_is)) if median(culprit) < CLEAR_SHRINK * as_is => {
            Reason::Foremost(*culprit)
        }
        _ => Reason::Several,
    }
}

fn overlaps(a: &Culprit, b: &Culprit) -> bool {
    match (a.yield_without.interval(), b.yield_without.interval()) {
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
/// the target, or more builds than a run may have.
fn builds_needed(assessment: &Assessment) -> Option<u64> {
    let share = assessment.build_yield.share()?;
    let distance = (share - assessment.plan.design.judging.target_yield).abs();
    let z = normal_quantile_wichura_1988(0.5 + assessment.run_plan.level / 2.0);
    let needed = z * z * share * (1.0 - share) / (distance * distance);
    (needed.is_finite() && needed < 1e9)
        .then(|| (needed.max(assessment.build_yield.of as f64 * 2.0)) as u64)
}

/// More clipped looks than this are worth a sentence of their own (chosen).
const MANY_CLIPPED: f64 = 0.2;

/// A sentence on clipped looks, where there are many: they are neither held nor broken, but a visitor moves on.
pub fn clipped_sentence(assessment: &Assessment) -> Option<String> {
    let tally = &assessment.result.tally;
    let share = tally
        .clipped_share
        .mean()
        .filter(|share| *share > MANY_CLIPPED)?;
    let interval = interval_of_clustered_share(&tally.clipped_share, assessment.run_plan.level)?;
    Some(format!(
        "But {} of the looks are clipped: they do not show the whole figure and are not judged. A wider peephole, less eye relief or a smaller figure shows more of it.",
        share_words(share, interval)
    ))
}

/// The reason in one or two sentences.
pub fn reason_sentence(assessment: &Assessment) -> String {
    let removals = &assessment.removals;
    let as_is = proportion_words(&removals.yield_as_is, "builds");
    match reason(assessment) {
        Reason::None => {
            "Little is left to gain: nearly every build passes, and no single cause could lift the yield by more than 5 %.".to_owned()
        }
        Reason::NotComputable(why) => {
            format!("Most builds are outside what can be computed: {why}. Mend that first.")
        }
        Reason::Clipped => format!(
            "The reason: most builds never show the whole figure ({} of {} looks clipped). A wider peephole, less eye relief or a smaller figure shows more of it.",
            count_words(assessment.result.tally.clipped),
            count_words(assessment.result.tally.looks)
        ),
        Reason::OneCause(culprit, others) => {
            let others: Vec<&str> = others.iter().take(2).map(|other| other.words()).collect();
            let others = if others.is_empty() {
                String::new()
            } else {
                format!(" Taking away {} would do about as well.", others.join(", or "))
            };
            format!(
                "{}: {}. Without it {} of the same builds would pass, instead of {as_is}. To mend it: {}.{others}",
                if assessment.met == Met::Yes { "What is left to gain" } else { "The reason" },
                culprit.removal.words(),
                proportion_words(&culprit.yield_without, "builds"),
                culprit.removal.remedy()
            )
        }
        Reason::Foremost(culprit) => format!(
            "Foremost: {}. Without it the worst fault of a typical look shrinks from {} to {} times its limit, but that alone does not save the yield ({as_is} as it is). First step: {}.",
            culprit.removal.words(),
            figures(removals.median_worst_as_is.unwrap_or(f64::NAN)),
            figures(culprit.median_worst_without.unwrap_or(f64::NAN)),
            culprit.removal.remedy()
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
