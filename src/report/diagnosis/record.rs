//! `record.html`: the failure record of one build for the exhibit's file. It opens offline and prints on one sheet of A4 or
//! Letter paper: lists have a largest number of rows and texts one of lines, with a word on where the rest stands.
//!
//! At their largest the parts take some 250 mm of the 259 mm that Letter paper leaves, which is the shorter one.

use super::super::bench_words::{brief_value_words, chance_words, off_words, planned_words};
use super::super::cautions::cautions;
use super::super::document::document;
use super::super::drawing::{Drawing, clean};
use super::super::subjects::subject_as;
use super::super::words::{figures, level_words, proportion_words};
use super::Diagnosed;
use super::not_read::unread_sentence;
use super::record_words::{cut, said};
use super::sentences::{
    arcmin_words, assumed_sentences, capital, drift_share_words, eyes_sentence, hidden_sentence,
    item_kind, look_alike_sentence, mark, mend_sentence, outcome_words, piercing_sentence,
    plan_sentence, read_again_sentences, times_limit, visitors_sentence,
};
use super::subjects::{cause_subject, rods_of_the_leading_cause};
use super::tables::{kind_rows, not_measured, read_of_words};
use crate::decision::diagnosis::Cause;
use crate::sampling::SAMPLING_VERSION;
use crate::statistics::Proportion;
use crate::units::arcmin;
use maud::{Markup, PreEscaped, html};

const RECORD_STYLE: &str = include_str!("record.css");

/// Width of the sheet inside its margins of 10 mm on A4, and of one of two columns, mm.
const WHOLE_MM: f64 = 190.0;
const HALF_MM: f64 = 92.0;
/// Half of that.
const QUARTER_MM: f64 = 44.0;

/// Letters of the small print go so many times into a line of the other.
const SMALL: f64 = 1.12;

/// Rows of each list that there is always room for; as many more as lines are spare, up to three.
const KINDS: usize = 6;
const ITEMS: usize = 4;
const MOST_CAUSES: usize = 2;

const REST: &str = "see report.html";

/// The record; `drawing` shows the build as seen over the target.
pub fn record_html(told: &Diagnosed<'_>, drawing: Option<&Drawing>) -> String {
    let title = format!("{}: {}", record_kind(told), clean(&told.about.title));
    document(
        &title,
        &[RECORD_STYLE],
        &[],
        html! {
            (head(told))
            (put_right(told))
            (verdict(told))
            div class="two" { (measured(told)) (seen(drawing, told)) }
            div class="two" { (finding(told)) (cause(told)) }
            div class="two" { (correction(told)) (uncertainties(told)) }
            (cautions_part(told))
            (foot(told))
        },
    )
}

/// What the record is called: one of a build that holds is none of a failure.
fn record_kind(told: &Diagnosed<'_>) -> &'static str {
    if told.verdict().is_failure() {
        "Failure record"
    } else {
        "Record of a build"
    }
}

/// A field of the form: what the sheet says, or a line to fill in.
fn field(name: &str, text: Option<String>) -> Markup {
    html! {
        div class="field" {
            b { (name) }
            @match text {
                Some(text) => span { (text) },
                None => span class="blank" role="img" aria-label=(format!("{name}: to be filled in by hand")) {},
            }
        }
    }
}

fn head(told: &Diagnosed<'_>) -> Markup {
    let words = &told.bench.words;
    let kind = record_kind(told);
    html! {
        p class="kind" { (kind) " of a viewpoint exhibit" }
        // set half as large again as the text
        h1 { (cut(&told.about.title, 1, WHOLE_MM / 1.6)) }
        div class="fields head" {
            (field("Exhibit", said(words.exhibit.as_ref(), 2, HALF_MM)))
            (field("Measured by", said(words.measured_by.as_ref(), 2, QUARTER_MM)))
            (field("Measured on", said(words.measured_on.as_ref(), 2, QUARTER_MM)))
            (field("Instruments", said(words.instruments.as_ref(), 2, HALF_MM)))
            (field("Note", said(words.note.as_ref(), 2, HALF_MM)))
        }
    }
}

/// The files of the sheet, as the command names them, and how many readings they hold.
fn sheets(told: &Diagnosed<'_>) -> String {
    let mut files: Vec<&str> = Vec::new();
    for reading in &told.bench.readings {
        let file = reading
            .place
            .rsplit_once(':')
            .map_or(&*reading.place, |(file, _)| file);
        if !files.contains(&file) {
            files.push(file);
        }
    }
    format!(
        "{} readings in {}",
        told.bench.readings.len(),
        files.join(", ")
    )
}

fn put_right(told: &Diagnosed<'_>) -> Markup {
    let Some(first) = told.put_right.first() else {
        return html! {};
    };
    let more = match told.put_right.len() {
        1 => format!(" All of it: {REST}."),
        all => format!(" And {} more, {REST}.", all - 1),
    };
    html! {
        p class="warning" {
            strong { "Put right before anything was worked out: " }
            (cut(first, 2, WHOLE_MM - 30.0)) (more)
        }
    }
}

fn verdict(told: &Diagnosed<'_>) -> Markup {
    let finding = &told.diagnosis.finding;
    let target = told.plan.design.judging.target_yield;
    let verdict = told.verdict();
    html! {
        div class=(verdict.class()) {
            p class="mark" { (mark(told)) }
            p { "Of the builds that the readings leave possible, " (proportion_words(&finding.passes, "possible builds")) " pass; the target is " (level_words(target)) " %. Worst fault for the eye at its mean place: " (times_limit(&finding.worst)) " its limit." }
            @if let Some(sentence) = hidden_sentence(told) { p { strong { (cut(&sentence, 1, WHOLE_MM - 10.0)) } } }
            p { (cut(&visitors_sentence(told), 2, WHOLE_MM - 6.0)) }
            @if let Some(sentence) = eyes_sentence(told) { p { (cut(sentence, 2, WHOLE_MM - 6.0)) } }
            @if let Some(sentence) = plan_sentence(told) { p { strong { (cut(&sentence, 2, WHOLE_MM - 10.0)) } } }
        }
    }
}

fn measured(told: &Diagnosed<'_>) -> Markup {
    let rows = kind_rows(told);
    let read: Vec<_> = rows.iter().filter(|row| row.read > 0).collect();
    let most = KINDS + spare_lines(told).min(3) as usize;
    let rest = read.len().saturating_sub(most);
    let not = not_measured(&rows);
    html! {
        section {
            h2 { "What was measured" }
            p { (cut(&sheets(told), 1, HALF_MM)) }
            table {
                thead { tr { th { "quantity" } th { "readings" } th { "uncertainty (19 of 20)" } } }
                tbody {
                    @for row in read.iter().take(most) {
                        tr { td { (row.quantity.name()) } td { (read_of_words(row)) } td { (row.plus_minus_words()) } }
                    }
                }
            }
            @if rest > 0 { p { "and " (rest) " more kinds, " (REST) } }
            @if !not.is_empty() { p { strong { "Not measured: " } (cut(&not.join(", "), 4, HALF_MM - 6.0)) } }
            @if let Some(sentence) = unread_sentence(told) { p { (cut(&sentence, 3, HALF_MM)) } }
        }
    }
}

fn seen(drawing: Option<&Drawing>, told: &Diagnosed<'_>) -> Markup {
    // the page's script takes over from here what is marked without it
    let is_marked = !rods_of_the_leading_cause(told).is_empty();
    html! {
        section {
            h2 { "As seen through the peephole, and as it should be" }
            @if let Some(drawing) = drawing {
                div class=[is_marked.then_some("marking")] role="img" aria-label=(drawing.title) { (PreEscaped(&drawing.svg)) }
            }
        }
    }
}

fn finding(told: &Diagnosed<'_>) -> Markup {
    let items = told.worst_first();
    let most = ITEMS + spare_lines(told).min(3) as usize;
    let rest = &items[items.len().min(most)..];
    let over = rest
        .iter()
        .filter(|item| {
            item.seen_rad
                .is_none_or(|seen| seen.median > item.limit_rad)
        })
        .count();
    html! {
        section {
            h2 { "Finding: the worst rods and junctions" }
            table class="worst" {
                thead { tr { th { "drift or gap" } th { "seen, arcmin" } th { "limit" } th { "over it, %" } } }
                tbody {
                    @for item in items.iter().take(most) {
                        tr {
                            td { (subject_as(told.plan, &[item.item], &cut(&told.plan.item_name(item.item), 1, 34.0))) }
                            td { (item.seen_rad.map_or_else(|| "not all of it is seen".to_owned(), |seen| arcmin_words(&seen).replace(" arcmin", ""))) }
                            td { (figures(arcmin(item.limit_rad))) }
                            td { (over_words(&item.over)) }
                        }
                    }
                }
            }
            @if !rest.is_empty() {
                p { "and " (rest.len()) " more, " (over) " of them over their limit, " (REST) }
            }
            p class="small" { "Drift of a rod, gap of a junction, for the eye at its mean place, with " (level_words(told.run.level)) " % intervals; \"over it\": share of " (told.diagnosis.why.possible.len()) " possible builds." }
            @if let Some((item, share)) = &told.diagnosis.finding.worst_item {
                p { "Worst: " (subject_as(told.plan, &[*item], &cut(&told.plan.item_name(*item), 1, 50.0))) " (" (item_kind(*item)) "), the worst in " (over_words(share)) " % of them." }
            }
        }
    }
}

/// A share with its interval in per cent: "98 (95 to 99)".
fn over_words(share: &Proportion) -> String {
    match (share.share(), share.interval()) {
        (Some(one), Some([low, high])) => {
            let [one, low, high] = [one, low, high].map(|share| 100.0 * share);
            format!("{one:.0} ({low:.0} to {high:.0})")
        }
        _ => "not known".to_owned(),
    }
}

fn cause(told: &Diagnosed<'_>) -> Markup {
    let again = read_again_sentences(told);
    let likely = told.likely_causes();
    let causes = if likely.is_empty() {
        told.causes()
    } else {
        likely.clone()
    };
    // what is to be read again comes first and takes the room of a cause
    let most = if again.is_empty() {
        MOST_CAUSES
    } else {
        MOST_CAUSES - 1
    };
    let rest = likely.len().saturating_sub(most);
    let alike = told.diagnosis.why.look_alikes.first();
    html! {
        section {
            h2 { "Cause" }
            @if let Some(first) = again.first() {
                p { strong { (cut(first, 4, HALF_MM - 4.0)) } @if again.len() > 1 { " And " (again.len() - 1) " more readings, " (REST) "." } }
            }
            @if likely.is_empty() { p { strong { "No single cause stands out" } "; the likeliest to be out of tolerance:" } }
            @for cause in causes.iter().take(most) { (cause_words(cause, told)) }
            @if rest > 0 { p { "and " (rest) " more that are likelier than not, " (REST) } }
            @if let Some(alike) = alike {
                p { (cut(&look_alike_sentence(alike, told), 5 + spare_lines(told).min(4), HALF_MM)) }
            }
        }
    }
}

fn cause_words(cause: &Cause, told: &Diagnosed<'_>) -> Markup {
    let text = format!(
        "{} (planned {}; {}). Probability that it went wrong {}; {} of what is seen off.",
        brief_value_words(cause, told.plan),
        planned_words(cause, told.plan),
        off_words(cause),
        chance_words(cause.fault_probability),
        drift_share_words(cause.share)
    );
    html! { p { strong { (cause_subject(cause, &cut(&capital(&cause.words), 1, HALF_MM - 4.0), told)) } ": " (cut(&text, 5, HALF_MM)) } }
}

/// Lines that the longest texts may take more, since what stands above them takes less than it may.
fn spare_lines(told: &Diagnosed<'_>) -> u32 {
    let words = &told.bench.words;
    let is_long = |text: &Option<String>, width_mm: f64| {
        let text = text.as_ref().map(|text| clean(text));
        text.is_some_and(|text| cut(&text, 1, width_mm) != text)
    };
    let first = is_long(&words.exhibit, HALF_MM)
        || is_long(&words.measured_by, QUARTER_MM)
        || is_long(&words.measured_on, QUARTER_MM);
    let second = is_long(&words.instruments, HALF_MM) || is_long(&words.note, HALF_MM);
    let unless = |taken: bool, lines: u32| if taken { 0 } else { lines };
    unless(first, 1)
        + unless(second, 1)
        + unless(!told.put_right.is_empty(), 2)
        + unless(plan_sentence(told).is_some(), 2)
        + unless(
            eyes_sentence(told).is_some() || hidden_sentence(told).is_some(),
            1,
        )
}

fn correction(told: &Diagnosed<'_>) -> Markup {
    html! {
        section {
            h2 { "Correction" }
            @if plan_sentence(told).is_some() && told.least().is_none() {
                p { (cut(&mend_sentence(told), 3, HALF_MM)) }
            } @else if let Some((lead, mend)) = told.best_mend() {
                p { strong { (lead) } " " (cut(&mend.words, 4 + spare_lines(told).min(4), HALF_MM)) }
                p { (cut(&outcome_words(mend, told), 5 + spare_lines(told), HALF_MM)) }
            } @else {
                p { (cut(&mend_sentence(told), 3, HALF_MM)) }
            }
            p { (cut(piercing_sentence(told), 2, HALF_MM)) }
        }
    }
}

fn uncertainties(told: &Diagnosed<'_>) -> Markup {
    html! {
        section {
            h2 { "Uncertainties and assumptions" }
            p class="small" { (cut(&assumed_sentences(told).join(" "), 12 + spare_lines(told), HALF_MM * SMALL)) }
        }
    }
}

/// The cautions that matter to whoever mends a build, shortened to their first sentences.
fn cautions_part(told: &Diagnosed<'_>) -> Markup {
    let all = cautions(told.plan);
    let wanted = ["Lines under tension", "Wire ends, needles, pins and knives"];
    let chosen = wanted
        .iter()
        .flat_map(|about| all.iter().filter(move |one| one.about == *about));
    html! {
        h2 { "Cautions" }
        p class="small" {
            @for one in chosen {
                strong { (one.about) ": " } (one.text) " "
            }
            "These are the usual cautions and no substitute for the local code, a risk assessment or licensed practice, which decide; all of them in report.html."
        }
    }
}

fn foot(told: &Diagnosed<'_>) -> Markup {
    let about = told.about;
    let sheet = if told.bench.sha256.is_empty() {
        "not known".to_owned()
    } else {
        told.bench.sha256.clone()
    };
    let signed = said(told.bench.words.signed_by.as_ref(), 1, 50.0);
    html! {
        div class="fields sign" {
            (field("To be signed by", signed))
            (field("Signature", None))
            (field("Date", None))
        }
        footer {
            p { "Scenario " (cut(&about.file, 1, 40.0)) " " code { (about.sha256) } }
            p { "Sheet " code { (sheet) } " (both SHA-256); " (env!("CARGO_PKG_NAME")) " " (env!("CARGO_PKG_VERSION")) ", sampling version " (SAMPLING_VERSION) ", seed " (told.run.seed) }
            p { "Again: " code { (cut(&about.command, 2, WHOLE_MM - 20.0)) } }
        }
    }
}
