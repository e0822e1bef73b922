//! The comparison as sections of a page.

use super::super::about::About;
use super::super::cautions::{Caution, cautions};
use super::super::compared::{Changed, Compared};
use super::super::drawing::Drawing;
use super::super::page::{drawn, figure};
use super::super::words::level_words;
use super::rows::{ItemRow, Row, items, whole};
use super::sentences::{
    belong_sentence, comparison_sentences, judging_sentence, run_sentence, verdict_is_on_sentence,
};
use crate::decision::ComparisonVerdict;
use maud::{Markup, html};

/// The sections, with the comparison's drawings.
pub fn comparison_section(compared: &Compared<'_>, drawings: &[Drawing]) -> Markup {
    let draw = |name: &str| drawn(drawings, name).map(figure).unwrap_or_default();
    let class = match compared.found.verdict() {
        _ if compared.is_clearer_the_worse() => "verdict undecided",
        ComparisonVerdict::Better => "verdict yes",
        ComparisonVerdict::Worse => "verdict no",
        ComparisonVerdict::NoDifferenceShown => "verdict undecided",
    };
    let sentences = comparison_sentences(compared);
    let warning = judging_sentence(compared);
    html! {
        section {
            h2 { "Which is better?" }
            div class=(class) {
                @for (nth, sentence) in sentences.iter().enumerate() {
                    @if nth == 0 { p class="mark" { (sentence) } }
                    @else if warning.as_ref() == Some(sentence) || sentence.starts_with("Warning") { p class="warning" { strong { (sentence) } } }
                    @else { p { (sentence) } }
                }
            }
            (draw("comparison"))
            (whole_table(compared))
            p { (verdict_is_on_sentence(compared)) }
            p { (belong_sentence(compared)) }
            p { (run_sentence(compared)) }
            h2 { "Rod by rod, junction by junction" }
            (draw("comparison-items"))
            (items_table(compared))
            (sources(compared))
        }
    }
}

fn told(row: &Row) -> Markup {
    html! { @if row.is_more_than_chance { strong { (row.difference) } } @else { (row.difference) } }
}

fn whole_table(compared: &Compared<'_>) -> Markup {
    let [first, second] = &compared.names;
    let level = level_words(compared.found.run.level);
    html! {
        table {
            thead { tr { th { "What" } th { (first) } th { (second) } th { "difference, second less first (points; × limit)" } } }
            tbody {
                @for row in whole(compared) {
                    tr { td { (row.what) } td { (row.sides[0]) } td { (row.sides[1]) } td { (told(&row)) } }
                }
            }
        }
        p { small { (level) " % intervals in brackets; bold: the interval leaves out 0. Intervals of looks count builds as clusters; that of the middle build is a bootstrap's of 1000 redraws." @if compared.from_mean_place.is_some() { " From the eye's mean place: the median, and in brackets where 95 % of the possible builds lie." } } }
    }
}

fn items_table(compared: &Compared<'_>) -> Markup {
    let [first, second] = &compared.names;
    let rows = items(compared);
    let has_mean_eye = rows.iter().any(|row| row.mean_eye.is_some());
    let cells = |row: &ItemRow| {
        html! {
            tr {
                td { (row.name) }
                td { (row.root.sides[0]) } td { (row.root.sides[1]) } td { (told(&row.root)) }
                td { (row.over.sides[0]) } td { (row.over.sides[1]) } td { (told(&row.over)) }
                @if let Some([before, after]) = &row.mean_eye { td { (before) } td { (after) } }
            }
        }
    };
    html! {
        details open {
            summary { "All of them, what changed most first" }
            p { "Root mean square over judged looks of drift or gap over its limit; share of judged looks in which it is over its limit, and the difference in points." }
            table {
                thead {
                    tr {
                        th { "Rod or junction" }
                        th { "× limit, " (first) } th { (second) } th { "difference" }
                        th { "looks over, " (first) } th { (second) } th { "difference" }
                        @if has_mean_eye { th { "from the eye's mean place, × limit, " (first) } th { (second) } }
                    }
                }
                tbody { @for row in &rows { (cells(row)) } }
            }
        }
    }
}

/// What was compared: the two scenarios and in what they differ, or the sheets.
fn sources(compared: &Compared<'_>) -> Markup {
    if !compared.found.is_paired() {
        return sheets(compared);
    }
    html! {
        h2 { "What differs between the two" }
        (changed_table(compared))
        h3 { "The two scenarios" }
        table {
            thead { tr { th { "Side" } th { "file" } th { "work" } th { "SHA-256" } } }
            tbody {
                @for (name, about) in compared.names.iter().zip(compared.abouts) {
                    tr { td { (name) } td { (about.file) } td { (about.grade) } td { code class="hash" { (about.sha256) } } }
                }
            }
        }
        (second_only(compared))
        p { "The assumptions and cautions below are those of " (compared.names[0]) "; what differs in " (compared.names[1]) " is listed above." }
    }
}

fn changed_table(compared: &Compared<'_>) -> Markup {
    let [first, second] = &compared.names;
    let row = |one: &Changed| {
        html! { tr { td { (one.what) @if one.is_judging { " (judging)" } } td { (one.sides[0]) } td { (one.sides[1]) } } }
    };
    html! {
        @if compared.changed.is_empty() {
            p { "Nothing: both scenarios come to the same exhibit, the same errors and the same judging." }
        } @else {
            table {
                thead { tr { th { "What differs" } th { (first) } th { (second) } } }
                tbody { @for one in &compared.changed { (row(one)) } }
            }
        }
    }
}

/// Warnings and cautions that only the second scenario has.
fn second_only(compared: &Compared<'_>) -> Markup {
    let [first, second]: [&About; 2] = compared.abouts;
    let warnings: Vec<&String> = second
        .warnings
        .iter()
        .filter(|warning| !first.warnings.contains(warning))
        .collect();
    let [of_first, of_second] = compared.plans.map(cautions);
    let more: Vec<&Caution> = of_second
        .iter()
        .filter(|caution| !of_first.contains(caution))
        .collect();
    html! {
        @for warning in warnings { p class="warning" { "Warning for " (compared.names[1]) ": " (warning) } }
        @if !more.is_empty() {
            h3 { "Cautions that only " (compared.names[1]) " asks for" }
            ul { @for caution in more { li { (caution.text) } } }
        }
    }
}

fn sheets(compared: &Compared<'_>) -> Markup {
    html! {
        h2 { "What was read" }
        table {
            thead { tr { th { "Side" } th { "sheets" } } }
            tbody {
                @for (name, sheets) in compared.names.iter().zip(&compared.sheets) {
                    tr { td { (name) } td { (sheets.join(", ")) } }
                }
            }
        }
    }
}
