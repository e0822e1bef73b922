//! The layout as a section of a page.

use super::super::drawing::Drawing;
use super::super::page::{drawn, figure};
use super::super::subjects::subject_as;
use super::super::words::{figures, proportion_words, share_words};
use super::bounds::bound_rows;
use super::broken::broken_words;
use super::held::{ends_sentence, side_words};
use super::words::{choice_value, choice_words, laying_sentences, searched_sentence};
use crate::decision::laying::{Choice, Judged, LaidOut};
use crate::figure::Item;
use crate::statistics::interval_of_clustered_share;
use maud::{Markup, html};

/// The section, with the drawings; `put` says whether the scenario with the layout stands beside the page, or why not.
pub fn laying_section(found: &LaidOut, put: &str, drawings: &[Drawing]) -> Markup {
    let plan = &found.chosen.plan;
    let is_end = |choice: &Choice| matches!(choice, Choice::End(_));
    let side = |nth: usize, sides: &[crate::decision::laying::Side; 2]| {
        side_words(&sides[nth], found.aim, plan)
    };
    let name = |choice: Choice| {
        let rod = match choice {
            Choice::End(end) => Some(Item::Rod(end / 2)),
            _ => None,
        };
        subject_as(plan, rod.as_slice(), &choice_words(choice, plan))
    };
    html! {
        section {
            h2 { "Where do plates and rods go?" }
            div class=(if found.meets() { "verdict yes" } else { "verdict no" }) {
                @for (nth, sentence) in laying_sentences(found).iter().enumerate() {
                    p class=[(nth == 0).then_some("mark")] { (sentence) }
                }
                p { (put) }
            }
            @if let Some(drawing) = drawn(drawings, "cabinet") { (figure(drawing)) }
            table {
                thead { tr { th { "With fresh numbers" } th { "as the scenario has it" } th { "laid out" } } }
                tbody { @for row in compared(found) { tr { @for cell in row { td { (cell) } } } } }
            }
            p { (searched_sentence(found)) }
            h3 { "What bound each choice" }
            p { "All else stays where it is: what is in the way nearer to the eye, and farther from it. A nearer picture plane is a larger figure." }
            table {
                thead { tr { th { "Choice" } th { "as the scenario has it" } th { "laid out" } th { "nearer" } th { "farther" } } }
                tbody {
                    @for (choice, sides) in found.sides.iter().filter(|(choice, _)| !is_end(choice)) {
                        tr { td { (choice_words(*choice, plan)) } td { (choice_value(*choice, &found.as_is)) } td { (choice_value(*choice, &found.chosen)) } td { (side(0, sides)) } td { (side(1, sides)) } }
                    }
                }
            }
            details open {
                summary { "The rods' ends" }
                p { (ends_sentence(found)) }
                table {
                    thead { tr { th { "Rod's end" } th { "as the scenario has it" } th { "laid out" } th { "rod's length, mm" } th { "nearer" } th { "farther" } } }
                    tbody {
                        @for (choice, sides) in found.sides.iter().filter(|(choice, _)| is_end(choice)) {
                            tr { td { (name(*choice)) } td { (choice_value(*choice, &found.as_is)) } td { (choice_value(*choice, &found.chosen)) } td { (length(*choice, found)) } td { (side(0, sides)) } td { (side(1, sides)) } }
                        }
                    }
                }
            }
            h3 { "Within what it was chosen" }
            table {
                thead { tr { th { "Bound" } th { "value" } th { "from" } } }
                tbody { @for row in bound_rows(found) { tr { @for cell in row { td { (cell) } } } } }
            }
            @if !found.as_is.broken.is_empty() {
                h3 { "What the scenario's own layout breaks" }
                ul { @for words in broken_words(&found.as_is.broken, &found.as_is.plan) { li { (words) } } }
            }
        }
    }
}

pub(super) fn length(choice: Choice, found: &LaidOut) -> String {
    match choice {
        Choice::End(end) => format!("{:.0}", found.chosen.plan.rod_length_mm(end / 2)),
        _ => String::new(),
    }
}

/// What the two layouts come to, row by row.
pub(super) fn compared(found: &LaidOut) -> Vec<[String; 3]> {
    let both = [&found.as_is, &found.chosen];
    let row = |name: &str, value: &dyn Fn(&Judged) -> String| {
        let [as_is, chosen] = both.map(value);
        [name.to_owned(), as_is, chosen]
    };
    vec![
        row("builds that pass", &|one| {
            proportion_words(&one.build_yield, "builds")
        }),
        row(
            "fault that the target share stays within, over its limit",
            &|one| {
                if one.margin.is_finite() {
                    figures(one.margin)
                } else {
                    "without bound: too few builds can be judged at all".to_owned()
                }
            },
        ),
        row("looks that show the whole figure", &|one| {
            let interval = interval_of_clustered_share(&one.clear, found.run.level);
            match (one.clear.share(), interval) {
                (Some(share), Some(interval)) => share_words(share, interval),
                _ => "not to be told".to_owned(),
            }
        }),
        row("spread of depths", &|one| {
            format!("{} mm", figures(one.scatter.depth_spread_mm))
        }),
        row("falls apart at a head movement of", &|one| {
            one.scatter
                .falls_apart_mm
                .map_or_else(|| "none".to_owned(), |mm| format!("{} mm", figures(mm)))
        }),
        row("rules broken", &|one| one.broken.len().to_string()),
    ]
}
