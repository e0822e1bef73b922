//! The page of an answer other than an assessment: one file that opens offline, like `report.html` of `assess`, with the same
//! assumptions, cautions and way to make it again.

use super::about::About;
use super::document::{PAGE_STYLE, document};
use super::page::{again, assumptions, cautions_section};
use crate::decision::RunPlan;
use crate::figure::Plan;
use maud::{Markup, html};

/// The page: `heading` is the question, `body` the answer, `plan` the design that the assumptions and cautions are about,
/// `run` what its numbers come from.
pub fn advice_page_html(
    about: &About,
    heading: &str,
    body: &Markup,
    plan: &Plan,
    run: &RunPlan,
) -> String {
    let title = format!("{}: {heading}", about.title);
    document(
        &title,
        &[PAGE_STYLE],
        &[],
        html! {
            header {
                p class="kind" { "Viewpoint exhibit: " (heading) }
                h1 { (about.title) }
                @if let Some(note) = &about.note { p class="note" { (note) } }
            }
            (body)
            (assumptions(plan, about))
            (cautions_section(plan))
            (again(run, about, html! {}))
        },
    )
}
