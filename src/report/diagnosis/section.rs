//! The answer as sections of a page: verdict, where it fails, why, what mends it, how it was read.

use super::super::bench_words::{
    chance_words, decimals_of, planned_words, reading_words, surprise_words, value_words,
};
use super::super::drawing::{Drawing, clean};
use super::super::page::{drawn, figure};
use super::super::subjects::{subject, subject_as, with_subject};
use super::super::words::{count_words, difference_words, figures, level_words, proportion_words};
use super::Diagnosed;
use super::not_read::unread_sentence;
use super::ranked::{FAR_OFF_SD, is_doubtful};
use super::sentences::{
    NOTHING_SETTLES, arcmin_words, assumed_sentences, because_sentences, capital,
    drift_share_words, eyes_sentence, hidden_sentence, item_kind, look_alike_sentence, looks_words,
    mark, mend_sentence, not_judged_sentence, piercing_sentence, plan_sentence, plus_minus_words,
    read_again_sentences, settles_sentence, share_sentence, suspects_words, times_limit,
    visitors_sentence, worst_sentence,
};
use super::subjects::{cause_subject, rods_of, with_cause};
use super::tables::{kind_rows, not_measured, read_of_words};
use crate::decision::diagnosis::{Cause, Mend, ReadingTold, Suspect};
use crate::figure::{COVERED_SD, Item, Reading};
use crate::units::arcmin;
use maud::{Markup, html};

/// Notes on the sheet before the rest is folded away.
const NOTES_SHOWN: usize = 2;
/// Causes in the table before the rest is folded away: those of some weight, and at least and at most so many.
const CAUSES_SHOWN: [usize; 2] = [3, 12];
/// Mends in the table before the rest is folded away.
const MENDS_SHOWN: usize = 10;

/// The sections, with the answer's drawings.
pub fn diagnosis_section(told: &Diagnosed<'_>, drawings: &[Drawing]) -> Markup {
    let draw = |name: &str| drawn(drawings, name).map(figure).unwrap_or_default();
    html! {
        (verdict_box(told))
        (sheet_says(told))
        section {
            h2 { (where_words(told)) }
            p { (worst(told)) }
            p { (visitors_sentence(told)) }
            @if let Some(sentence) = not_judged_sentence(told) { p { (sentence) } }
            (draw("as-seen"))
            (items(told))
        }
        section {
            h2 { "Why" }
            (draw("causes"))
            (causes(told))
            (explanations(told))
            (look_alikes(told))
        }
        section {
            h2 { "What mends it" }
            p { (piercing_sentence(told)) }
            (draw("mends"))
            (mends(told))
        }
        section {
            h2 { "What was read" }
            (kinds(told))
            (readings(told))
        }
        section {
            h2 { "How sure this is" }
            @for sentence in assumed_sentences(told) { p { (sentence) } }
            p { "SHA-256 over all files of the sheet: " code class="hash" { (if told.bench.sha256.is_empty() { "not known" } else { &told.bench.sha256 }) } }
        }
    }
}

/// What the part on rods and junctions is called: where nothing fails, nothing is said to.
fn where_words(told: &Diagnosed<'_>) -> &'static str {
    if told.verdict().is_failure() {
        "Where it fails"
    } else {
        "Rods and junctions against their limits"
    }
}

fn verdict_box(told: &Diagnosed<'_>) -> Markup {
    let verdict = told.verdict();
    html! {
        @for words in told.put_right {
            p class="warning" { strong { "Put right before anything was worked out: " } (clean(words)) }
        }
        div class=(verdict.class()) {
            p class="mark" { (mark(told)) }
            @if let Some(sentence) = hidden_sentence(told) { p { (sentence) } }
            p { (capital(&share_sentence(told))) }
            @for sentence in read_again_sentences(told) { p { strong { (sentence) } } }
            @if let Some(sentence) = eyes_sentence(told) { p { (sentence) } }
            @if let Some(sentence) = plan_sentence(told) { p { strong { (sentence) } } }
            @if verdict.is_failure() { p { strong { "Because:" } } }
            @for sentence in because_sentences(told, 3) { p { (with_cause(&sentence, &told.likely_causes(), told)) } }
            @if let Some(alike) = told.diagnosis.why.look_alikes.first() { p { strong { (look_alike_sentence(alike, told)) } } }
            p { strong { (mend_sentence(told)) } }
            @if let Some(sentence) = unread_sentence(told) { p { (sentence) } }
        }
        @for note in told.notes.iter().take(NOTES_SHOWN) { p class="warning" { "Note: " (clean(note)) } }
        @if told.notes.len() > NOTES_SHOWN {
            details {
                summary { "All " (told.notes.len()) " notes on the sheet" }
                @for note in &told.notes[NOTES_SHOWN..] { p class="warning" { "Note: " (clean(note)) } }
            }
        }
    }
}

/// The sheet's own words, as far as it has any.
fn sheet_says(told: &Diagnosed<'_>) -> Markup {
    let words = &told.bench.words;
    let rows = [
        ("Exhibit", &words.exhibit),
        ("Measured by", &words.measured_by),
        ("Measured on", &words.measured_on),
        ("Instruments", &words.instruments),
        ("To be signed by", &words.signed_by),
        ("Note", &words.note),
    ];
    html! {
        @if rows.iter().any(|(_, text)| text.is_some()) {
            table class="said" {
                tbody {
                    @for (name, text) in rows {
                        @if let Some(text) = text { tr { th { (name) } td { (clean(text)) } } }
                    }
                }
            }
        }
    }
}

/// The worst place, its rod or junction as a subject.
fn worst(told: &Diagnosed<'_>) -> Markup {
    let sentence = worst_sentence(told);
    match &told.diagnosis.finding.worst_item {
        Some((item, _)) => with_subject(&sentence, told.plan, *item),
        None => html! { (sentence) },
    }
}

/// Suspects in words, as a subject where they are about single rods.
fn suspects(suspects: &[Suspect], told: &Diagnosed<'_>) -> Markup {
    let mut items: Vec<Item> = Vec::new();
    for suspect in suspects {
        for item in rods_of(*suspect, told.plan) {
            if !items.contains(&item) {
                items.push(item);
            }
        }
    }
    subject_as(told.plan, &items, &suspects_words(suspects, told))
}

fn items(told: &Diagnosed<'_>) -> Markup {
    let of = told.diagnosis.why.possible.len();
    html! {
        div class="wide" { table class="items" {
            thead { tr { th { "Rod or junction" } th { "seen, arcmin (" (level_words(told.run.level)) " % interval)" } th { "limit, arcmin" } th { "over it in" } th { "straight from the picture, arcmin" } } }
            tbody {
                @for item in told.worst_first() {
                    tr {
                        td { (subject(told.plan, item.item)) " (" (item_kind(item.item)) ")" }
                        td { (item.seen_rad.map_or_else(|| "not all of it is seen".to_owned(), |seen| arcmin_words(&seen).replace(" arcmin", ""))) }
                        td { (figures(arcmin(item.limit_rad))) }
                        td { (proportion_words(&item.over, "possible builds")) }
                        td { (item.pictured_rad.map_or_else(String::new, pictured_words)) }
                    }
                }
            }
        } }
        p { small { "Seen by the eye at its mean place, of " (count_words(of as u64)) " builds that the readings leave possible: median and interval. From the picture: what the camera saw from where it stood, ± for 19 of 20." } }
    }
}

fn pictured_words([value_rad, sd_rad]: [f64; 2]) -> String {
    let plus_minus = COVERED_SD * arcmin(sd_rad);
    let decimals = decimals_of(plus_minus);
    format!("{:.decimals$} ± {plus_minus:.decimals$}", arcmin(value_rad))
}

fn causes(told: &Diagnosed<'_>) -> Markup {
    let all = told.causes();
    let [least, most] = CAUSES_SHOWN;
    let of_weight = |cause: &&&Cause| cause.fault_probability >= 0.02 || cause.share.abs() >= 0.05;
    let weighty = all.iter().take_while(of_weight).count();
    let (first, rest) = all.split_at(all.len().min(weighty.clamp(least, most)));
    let row = |cause: &Cause| {
        html! {
            tr {
                td { (cause_subject(cause, &cause.words, told)) }
                td { (value_words(cause, told.plan)) }
                td { (planned_words(cause, told.plan)) }
                td { (cause.times_tolerance.map_or_else(|| "none allowed".to_owned(), figures)) }
                td { (surprise_words(cause)) }
                td { (chance_words(cause.fault_probability)) }
                td { (drift_share_words(cause.share)) }
                td { (chance_words(cause.known)) }
            }
        }
    };
    let table = |causes: &[&Cause]| {
        html! {
            div class="wide" {
                table {
                    thead { tr { th { "Cause" } th { "estimate (95 % interval)" } th { "planned" } th { "off, in sd of its tolerance" } th { "as far off by tolerance alone are" } th { "went wrong" } th { "of what is seen off" } th { "known" } } }
                    tbody { @for cause in causes { (row(cause)) } }
                }
            }
        }
    };
    html! {
        (table(first))
        p { small { "\"Went wrong\": probability, given the readings, that it is out of its tolerance. \"Of what is seen off\": its share in the first order; all causes together make 100 %, and one under 0 undoes part of it. \"Known\": how much of what its tolerance left open the readings have closed. Directions are those of a person who looks through the peephole." } }
        @if !rest.is_empty() {
            details {
                summary { "All other causes (" (rest.len()) ")" }
                (table(rest))
            }
        }
    }
}

fn explanations(told: &Diagnosed<'_>) -> Markup {
    let all = &told.diagnosis.why.explanations;
    const SHOWN: usize = 8;
    html! {
        h3 { "Explanations by probability" }
        table {
            thead { tr { th { "What went wrong" } th { "probability" } } }
            tbody {
                @for explanation in all.iter().take(SHOWN) {
                    tr { td { (suspects(&explanation.suspects, told)) } td { (chance_words(explanation.probability)) } }
                }
                @if all.len() > SHOWN {
                    tr { td { @if all.len() - SHOWN == 1 { "another one" } @else { (all.len() - SHOWN) " others together" } } td { (chance_words(all[SHOWN..].iter().map(|one| one.probability).sum())) } }
                }
            }
        }
    }
}

fn look_alikes(told: &Diagnosed<'_>) -> Markup {
    let all = &told.diagnosis.why.look_alikes;
    html! {
        h3 { "What the readings cannot tell apart" }
        @if all.is_empty() { p { "Nothing of weight: no two explanations that would be mended differently are nearly as likely." } }
        @for alike in all {
            p { "These fit the readings about as well:" }
            ul {
                @for (suspects, probability) in &alike.explanations {
                    li { (suspects_words(suspects, told)) ": " (chance_words(*probability)) }
                }
            }
            p {
                @match &alike.settles {
                    Some(settles) => (settles_sentence(settles, alike, told)),
                    None => (NOTHING_SETTLES),
                }
            }
        }
    }
}

fn mends(told: &Diagnosed<'_>) -> Markup {
    let all = &told.diagnosis.mends.ranked;
    let numbered: Vec<(usize, &Mend)> = all.iter().enumerate().collect();
    let (first, rest) = numbered.split_at(all.len().min(MENDS_SHOWN));
    let least = told.diagnosis.mends.least;
    let row = |nth: usize, mend: &Mend| {
        html! {
            tr {
                td { (mend.words) @if least == Some(nth) { strong { " (the least that mends it)" } } }
                td { (count_words(mend.minutes.max(0.0).round() as u64)) }
                td { @if mend.pierces { "yes" } @else { "no" } }
                td { (times_limit(&mend.drift).replace(" times", "")) }
                td { (mend.gap.as_ref().map_or_else(|| "no junctions".to_owned(), |gap| times_limit(gap).replace(" times", ""))) }
                td { (proportion_words(&mend.passes, "possible builds")) }
                td { (looks_words(&mend.held, told.run.level)) }
                td { (mend.gain.as_ref().map_or_else(|| "not known".to_owned(), difference_words)) }
            }
        }
    };
    let table = |mends: &[(usize, &Mend)]| {
        html! {
            div class="wide" {
                table {
                    thead { tr { th { "Correction" } th { "minutes" } th { "pierces" } th { "worst drift over its limit" } th { "worst gap over its limit" } th { "builds that pass" } th { "looks that hold" } th { "gain" } } }
                    tbody { @for (nth, mend) in mends { (row(*nth, mend)) } }
                }
            }
        }
    };
    html! {
        @if all.is_empty() { p { "No correction is told: " @if told.diagnosis.mends.needs_nothing { "the build meets the target as it is." } @else { "none was found to try." } } } @else {
            (table(first))
            p { small { "Each tried on all possible builds, with the same looks as for the build as it is: first those whose whole interval meets the target, then those whose estimate does, of either the ones that pierce nothing before the others, by effort; then what does not meet it, by result. A piece of work that is done again comes out as well as its tolerance says. Minutes are one person's (chosen, no source). Worst drift and gap: for the eye at its mean place, median and " (level_words(told.run.level)) " % interval; 1 is the limit. Moves are tried up to 5 % of a plate's distance along the axis, 15 mm across it and 6 degrees." } }
        }
        @if !rest.is_empty() {
            details {
                summary { "The other corrections (" (rest.len()) ")" }
                (table(rest))
            }
        }
    }
}

fn kinds(told: &Diagnosed<'_>) -> Markup {
    let rows = kind_rows(told);
    let not = not_measured(&rows);
    html! {
        table {
            thead { tr { th { "Quantity" } th { "readings" } th { "uncertainty (19 of 20)" } } }
            tbody {
                @for row in rows.iter().filter(|row| row.read > 0) {
                    tr { td { (row.quantity.name()) } td { (read_of_words(row)) } td { (row.plus_minus_words()) } }
                }
            }
        }
        @if !not.is_empty() { p { "Not measured: " (not.join(", ")) "." } }
    }
}

fn readings(told: &Diagnosed<'_>) -> Markup {
    let why = &told.diagnosis.why;
    let doubtful = told.doubtful();
    let row = |reading: &Reading, found: &ReadingTold| {
        let odd = is_doubtful(found);
        html! {
            tr {
                td { (reading.of.words(&told.plan.design)) @if let Some(remark) = &reading.remark { br; small { (clean(remark)) } } }
                td { (reading_words(&reading.of, reading.value, reading.sd)) " ± " (plus_minus_words(reading.sd)) }
                td { (found.expected.map_or_else(|| "not seen".to_owned(), |expected| reading_words(&reading.of, expected, reading.sd))) }
                td { (off_words(reading, found)) }
                td { (chance_words(found.fault_probability)) @if odd { strong { " \u{2190} look again" } } }
                td { (reading.place) }
            }
        }
    };
    let pairs = || told.bench.readings.iter().zip(&why.readings);
    let head = html! {
        thead { tr { th { "Reading" } th { "read (19 of 20)" } th { "most probable build shows" } th { "off, in standard uncertainties" } th { "misread" } th { "where" } } }
    };
    html! {
        @if doubtful.is_empty() {
            p { "No reading is more than " (figures(FAR_OFF_SD)) " standard uncertainties from what the most probable build shows, and none is likelier misread than not." }
        } @else {
            h3 { "Readings in doubt" }
            p { "More than " (figures(FAR_OFF_SD)) " standard uncertainties from what the most probable build shows, or likelier misread than not:" }
            div class="wide" { table { (head) tbody { @for nth in &doubtful { (row(&told.bench.readings[*nth], &why.readings[*nth])) } } } }
        }
        details {
            summary { "All " (told.bench.readings.len()) " readings beside what the most probable build shows" }
            div class="wide" { table { (head) tbody { @for (reading, found) in pairs() { (row(reading, found)) } } } }
        }
    }
}

fn off_words(reading: &Reading, found: &ReadingTold) -> String {
    let parts: Vec<String> = found.off[..reading.of.quantity.components().min(2)]
        .iter()
        .map(|off| format!("{off:+.1}").replace('-', "\u{2212}"))
        .collect();
    parts.join(", ")
}
