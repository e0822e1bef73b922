//! The answer in sentences, which page, record and terminal share.

use super::super::bench_words::{
    brief_value_words, chance_words, decimals_of, off_words, planned_words, reading_words,
    span_words,
};
use super::super::words::{count_words, level_words, proportion_words, share_words};
use super::Diagnosed;
use super::not_read::{read_more_sentence, unread_sentence};
use super::ranked::SETTLED_SD;
use super::verdict::BuildVerdict;
use crate::decision::diagnosis::{
    Cause, FAULT_PRIOR, LookAlike, MISREAD_PRIOR, Mend, Settles, Span, Suspect,
};
use crate::figure::{COVERED_SD, Item};
use crate::statistics::{ClusteredShare, interval_of_clustered_share};
use crate::units::arcmin;

/// The answer in a few sentences: verdict, cause, mend.
pub fn diagnosis_sentences(told: &Diagnosed<'_>) -> Vec<String> {
    let mut all = vec![verdict_sentence(told)];
    all.extend(read_again_sentences(told));
    all.extend(because_sentences(told, 2));
    all.push(mend_sentence(told));
    all
}

/// The verdict's head; what holds holds as far as it was read.
pub(super) fn mark(told: &Diagnosed<'_>) -> String {
    let verdict = told.verdict();
    let is_open = verdict == BuildVerdict::Holds && unread_sentence(told).is_some();
    format!(
        "{}{}",
        verdict.mark(),
        if is_open {
            ", as far as it was read"
        } else {
            ""
        }
    )
}

/// Fails, holds or undecided, with the share that says so.
pub(super) fn verdict_sentence(told: &Diagnosed<'_>) -> String {
    let mark = mark(told);
    match hidden_sentence(told) {
        Some(hidden) => format!("{mark}: {hidden} {}", capital(&share_sentence(told))),
        None => format!("{mark}: {}", share_sentence(told)),
    }
}

/// The share that says so.
pub(super) fn share_sentence(told: &Diagnosed<'_>) -> String {
    let target = told.plan.design.judging.target_yield;
    let finding = &told.diagnosis.finding;
    format!(
        "of the builds that the readings leave possible, {} pass; the target is {} %.",
        proportion_words(&finding.passes, "possible builds"),
        level_words(target)
    )
}

/// How many looks show the whole figure, where too few do.
pub(super) fn hidden_sentence(told: &Diagnosed<'_>) -> Option<String> {
    (told.verdict() == BuildVerdict::Hidden).then(|| {
        format!(
            "{} of them do, where {} % should; the peephole's rim hides the rest.",
            looks_words(&told.diagnosis.finding.clear, told.run.level),
            level_words(told.diagnosis.mends.wanted_clear)
        )
    })
}

/// Why a build may fail none of whose rods and junctions is over its limit; `None` where one is.
pub(super) fn eyes_sentence(told: &Diagnosed<'_>) -> Option<&'static str> {
    let finding = &told.diagnosis.finding;
    let fails = matches!(
        told.verdict(),
        BuildVerdict::Fails | BuildVerdict::ProbablyFails
    );
    (fails && finding.worst.median <= 1.0).then_some(
        "No rod or junction is over its limit for the eye at its mean place: the build fails for eyes that stand elsewhere behind the peephole, as visitors' do.",
    )
}

/// That it is the plan which does not hold, where a build made anew would not pass either.
pub(super) fn plan_sentence(told: &Diagnosed<'_>) -> Option<String> {
    let anew = &told.diagnosis.mends.built_anew;
    let target = told.plan.design.judging.target_yield;
    let [_, high] = anew.interval()?;
    (high < target).then(|| {
        format!(
            "The plan itself does not hold: of builds made anew, as well as the tolerances say, {} pass, where the target is {} %. No work on this build can make up for that: `assess` tells what breaks the plan, `peephole` and `tolerances` what would mend it.",
            proportion_words(anew, "builds"),
            level_words(target)
        )
    })
}

/// What the worst place is, against its limit.
pub(super) fn worst_sentence(told: &Diagnosed<'_>) -> String {
    let finding = &told.diagnosis.finding;
    if !finding.worst.median.is_finite() {
        return "In most possible builds the eye at its mean place does not see the whole figure, or they cannot be computed: there is no worst fault to measure.".to_owned();
    }
    let worst = format!(
        "The worst fault is {} its limit, for the eye at its mean place",
        times_limit(&finding.worst)
    );
    match &finding.worst_item {
        Some((item, share)) => format!(
            "{worst}: {}, the worst in {}.",
            told.plan.item_name(*item),
            proportion_words(share, "possible builds")
        ),
        None => format!("{worst}."),
    }
}

/// "3.91 times (3.62 to 4.13)".
pub(super) fn times_limit(span: &Span) -> String {
    if span.median.is_finite() {
        span_words(span.median, span.interval, "times")
    } else {
        "beyond measure against".to_owned()
    }
}

/// An angle in arcmin with its interval.
pub(super) fn arcmin_words(span: &Span) -> String {
    span_words(arcmin(span.median), span.interval.map(arcmin), "arcmin")
}

/// What visitors see.
pub(super) fn visitors_sentence(told: &Diagnosed<'_>) -> String {
    let finding = &told.diagnosis.finding;
    format!(
        "Probability that a visitor who sees the whole figure sees it hold: {}. Visitors who see the whole figure: {}.",
        looks_words(&finding.held, told.run.level),
        looks_words(&finding.clear, told.run.level)
    )
}

/// Possible builds that count as not passing without a look that could be judged, where there are any.
pub(super) fn not_judged_sentence(told: &Diagnosed<'_>) -> Option<String> {
    let finding = &told.diagnosis.finding;
    if finding.not_computable + finding.never_shown == 0 {
        return None;
    }
    Some(format!(
        "Of {} possible builds {} could not be computed (a line too slack, say) and {} showed no visitor the whole figure: they count as not passing.",
        count_words(finding.passes.of),
        count_words(finding.not_computable),
        count_words(finding.never_shown)
    ))
}

/// A share of looks with its interval.
pub(super) fn looks_words(share: &ClusteredShare, level: f64) -> String {
    match (share.share(), interval_of_clustered_share(share, level)) {
        (Some(one), Some(interval)) => share_words(one, interval),
        _ => "not known (no looks)".to_owned(),
    }
}

/// Readings that should be read again, each with what is odd about it.
pub(super) fn read_again_sentences(told: &Diagnosed<'_>) -> Vec<String> {
    let again = told.misread().into_iter();
    again.map(|nth| read_again_sentence(told, nth)).collect()
}

fn read_again_sentence(told: &Diagnosed<'_>, nth: usize) -> String {
    let reading = &told.bench.readings[nth];
    let found = &told.diagnosis.why.readings[nth];
    let shows = found.expected.map_or_else(
        || "would not be seen at all".to_owned(),
        |expected| format!("shows {}", reading_words(&reading.of, expected, reading.sd)),
    );
    format!(
        "Read again: {} ({}). It was read as {} ± {} (19 of 20 readings); the most probable build {shows}. Probability that it was misread or miswritten: {}.",
        reading.of.words(&told.plan.design),
        reading.place,
        reading_words(&reading.of, reading.value, reading.sd),
        plus_minus_words(reading.sd),
        chance_words(found.fault_probability)
    )
}

/// What a standard uncertainty is for 19 of 20 readings.
pub(super) fn plus_minus_words(sd: f64) -> String {
    let plus_minus = COVERED_SD * sd;
    format!("{plus_minus:.*}", decimals_of(plus_minus))
}

/// The likely causes, at most so many; or that none stands out, and the likeliest.
pub(super) fn because_sentences(told: &Diagnosed<'_>, most: usize) -> Vec<String> {
    let likely = told.likely_causes();
    if likely.is_empty() {
        return vec![none_stands_out(told)];
    }
    let mut all: Vec<String> = likely
        .iter()
        .take(most)
        .map(|cause| cause_sentence(cause, told))
        .collect();
    if likely.len() > most {
        all.push(match likely.len() - most {
            1 => "One more cause is likelier than not.".to_owned(),
            more => format!("{more} more causes are likelier than not."),
        });
    }
    all
}

fn none_stands_out(told: &Diagnosed<'_>) -> String {
    let likeliest: Vec<String> = told
        .causes()
        .iter()
        .take(3)
        .map(|cause| {
            format!(
                "{} ({}; {})",
                cause.words,
                chance_words(cause.fault_probability),
                brief_value_words(cause, told.plan)
            )
        })
        .collect();
    let all_within = told
        .diagnosis
        .why
        .explanations
        .first()
        .filter(|first| first.suspects.is_empty())
        .map(|first| {
            format!(
                " The likeliest explanation is that all is within its tolerance (probability {}).",
                chance_words(first.probability)
            )
        })
        .unwrap_or_default();
    format!(
        "No single cause stands out.{all_within} The likeliest to be out of tolerance: {}.",
        likeliest.join("; ")
    )
}

/// One cause with all that is known of it.
pub(super) fn cause_sentence(cause: &Cause, told: &Diagnosed<'_>) -> String {
    format!(
        "{}: {}, planned {}: {}. Probability that it went wrong {}; it makes {} of what is seen off.",
        capital(&cause.words),
        brief_value_words(cause, told.plan),
        planned_words(cause, told.plan),
        off_words(cause),
        chance_words(cause.fault_probability),
        drift_share_words(cause.share)
    )
}

/// A signed share of what is seen off; one under 0 undoes part of it.
pub(super) fn drift_share_words(share: f64) -> String {
    let percent = (100.0 * share).round();
    if percent.abs() < 1.0 {
        "under 1 %".to_owned()
    } else if percent < 0.0 {
        format!("\u{2212}{} %", percent.abs())
    } else {
        format!("{percent} %")
    }
}

/// With a capital letter.
pub(super) fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// Suspects in words, or that there are none.
pub(super) fn suspects_words(suspects: &[Suspect], told: &Diagnosed<'_>) -> String {
    if suspects.is_empty() {
        return "nothing beyond its tolerance".to_owned();
    }
    let measurands = told.measurands();
    let words: Vec<String> = suspects
        .iter()
        .map(|suspect| suspect.words(told.plan, &measurands))
        .collect();
    words.join(" with ")
}

pub(super) const NOTHING_SETTLES: &str =
    "No one further reading of those known here would settle it.";

/// Causes that cannot be told apart, with the reading that would.
pub(super) fn look_alike_sentence(alike: &LookAlike, told: &Diagnosed<'_>) -> String {
    let explanations: Vec<String> = alike
        .explanations
        .iter()
        .map(|(suspects, probability)| {
            format!(
                "{} ({})",
                suspects_words(suspects, told),
                chance_words(*probability)
            )
        })
        .collect();
    let settles = match &alike.settles {
        Some(settles) => settles_sentence(settles, alike, told),
        None => NOTHING_SETTLES.to_owned(),
    };
    format!(
        "The readings do not tell apart: {}. {settles}",
        explanations.join(" or ")
    )
}

/// The reading to take, and what it should show under each explanation.
pub(super) fn settles_sentence(
    settles: &Settles,
    alike: &LookAlike,
    told: &Diagnosed<'_>,
) -> String {
    if !(settles.apart >= SETTLED_SD) {
        return format!(
            "{NOTHING_SETTLES} The best, {}, would differ by {} of its standard uncertainties.",
            settles.of.words(&told.plan.design),
            super::super::words::figures(settles.apart)
        );
    }
    let shows: Vec<String> = settles
        .expected
        .iter()
        .zip(&alike.explanations)
        .map(|(expected, (suspects, _))| {
            format!(
                "{} if {}",
                reading_words(
                    &settles.of,
                    *expected,
                    settles.of.quantity.usual_sd().of(expected[0])
                ),
                suspects_words(suspects, told)
            )
        })
        .collect();
    format!(
        "One reading settles it: {}, which should be {} ({} standard uncertainties apart).",
        settles.of.words(&told.plan.design),
        shows.join(", or "),
        super::super::words::figures(settles.apart)
    )
}

/// What to do.
pub(super) fn mend_sentence(told: &Diagnosed<'_>) -> String {
    let mends = &told.diagnosis.mends;
    let target = told.plan.design.judging.target_yield;
    if mends.needs_nothing {
        return match told.verdict() {
            BuildVerdict::Holds => "Nothing need be mended.".to_owned(),
            _ => "By the estimate nothing need be mended, but its interval reaches under the target: more readings would tell.".to_owned(),
        };
    }
    let tried = count_words(mends.tried as u64);
    let read_first = match told.verdict() {
        BuildVerdict::ProbablyHolds | BuildVerdict::Undecided => {
            format!(
                "{} If that does not clear it up: ",
                read_more_sentence(told)
            )
        }
        _ => String::new(),
    };
    match (told.least(), mends.ranked.first()) {
        (Some(least), _) => format!(
            "{read_first}{} least that mends it: {}",
            if read_first.is_empty() { "The" } else { "the" },
            mend_words(least, told)
        ),
        (None, _) if plan_sentence(told).is_some() => format!(
            "None of the {tried} corrections that were tried on this build, alone or in pairs, meets the target of {} %.",
            level_words(target)
        ),
        (None, Some(best)) => format!(
            "{read_first}{} of the {tried} corrections that were tried, alone or in pairs, meets the target of {} %. The best of them: {}",
            if read_first.is_empty() {
                "None"
            } else {
                "none"
            },
            level_words(target),
            mend_words(best, told)
        ),
        (None, None) => "No correction was found to try.".to_owned(),
    }
}

/// A mend with its effort and what comes of it.
pub(super) fn mend_words(mend: &Mend, told: &Diagnosed<'_>) -> String {
    format!(
        "{}. {}",
        mend.words.trim_end_matches('.'),
        outcome_words(mend, told)
    )
}

/// That a mend does not put the cause right but makes up for it, where there is a likely cause.
fn makes_up_words(mend: &Mend, told: &Diagnosed<'_>) -> &'static str {
    if mend.puts_cause_right || told.likely_causes().is_empty() {
        ""
    } else {
        "That does not put the cause right but makes up for it. "
    }
}

/// A mend's effort and what comes of it.
pub(super) fn outcome_words(mend: &Mend, told: &Diagnosed<'_>) -> String {
    let gap = mend.gap.as_ref().map_or_else(String::new, |gap| {
        format!(", worst gap {} its limit", times_limit(gap))
    });
    let clear = if told.verdict() == BuildVerdict::Hidden {
        format!(
            "; looks that show the whole figure {}",
            looks_words(&mend.clear, told.run.level)
        )
    } else {
        String::new()
    };
    format!(
        "{}Some {} minutes' work (chosen, no source), {}. Expected afterwards: worst drift {} its limit{gap}; {} pass; looks that hold {}{clear}.",
        makes_up_words(mend, told),
        count_words(mend.minutes.max(0.0).round() as u64),
        if mend.pierces {
            "which pierces anew"
        } else {
            "all holes stay as they are pierced"
        },
        times_limit(&mend.drift),
        proportion_words(&mend.passes, "possible builds"),
        looks_words(&mend.held, told.run.level)
    )
}

/// Whether a plate must be pierced anew.
pub(super) fn piercing_sentence(told: &Diagnosed<'_>) -> &'static str {
    let mends = &told.diagnosis.mends;
    if mends.needs_nothing {
        return "No plate has to be pierced anew.";
    }
    let least_pierces = told.least().is_some_and(|least| least.pierces);
    match (mends.needs_piercing, mends.least.is_some()) {
        (false, true) if least_pierces => {
            "Piercing anew makes it sure; what leaves all holes as they are pierced may do as well, and less surely."
        }
        (true, _) => {
            "Piercing anew is needed: nothing that leaves all holes as they are pierced meets the target."
        }
        (false, false) => {
            "Piercing anew would not do it either: nothing that was tried meets the target."
        }
        (false, true) => "No plate has to be pierced anew.",
    }
}

/// A value against its limit, "rod mast: 12.3 arcmin (11.8 to 12.9)".
pub(super) fn item_kind(item: Item) -> &'static str {
    match item {
        Item::Rod(_) => "drift",
        Item::Junction(_) => "gap",
    }
}

/// What every number of the answer assumes.
pub(super) fn assumed_sentences(told: &Diagnosed<'_>) -> Vec<String> {
    let why = &told.diagnosis.why;
    let relief = if why.relief_was_read {
        "Visitors' eyes are taken to be, on the average, at the eye relief that was read."
    } else {
        "The eye relief was not read: visitors' eyes are taken to be where the scenario has them."
    };
    vec![
        format!(
            "Intervals are {} % and cover what the readings' own uncertainty and the tolerances leave open, and the chance of sampling in {} possible builds × {} looks; not a wrong model, a wrong scenario or a misread sheet beyond those told.",
            level_words(told.run.level),
            count_words(told.run.builds),
            told.run.looks
        ),
        format!(
            "Before anything was read, each of {} suspects was given a probability of {} of having gone wrong, each reading one of {} of being misread (chosen, no source); all else is taken to be within the scenario's tolerances, normally distributed. {} combinations of suspects were weighed, and the {} likeliest worked out in full. Probabilities and shares of what is seen off follow from the model in the first order and have no interval of their own.",
            count_words(why.suspects as u64),
            chance_words(FAULT_PRIOR),
            chance_words(MISREAD_PRIOR),
            count_words(why.weighed as u64),
            count_words(why.tried as u64)
        ),
        format!(
            "{relief} Limits are those for the visitor of mean acuity; they come from acuity and cover, not from tests with visitors."
        ),
    ]
}
