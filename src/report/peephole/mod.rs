//! How big the peephole may be: a section for a page, JSON for programs, text for the terminal.

mod json;
mod section;
mod text;
mod words;

pub use json::{PEEPHOLE_SCHEMA, peephole_json};
pub use section::peephole_section;
pub use text::peephole_text;

/// The answer in a sentence or two: range and recommendation.
pub fn peephole_sentences(answer: &crate::decision::PeepholeAnswer) -> Vec<String> {
    let range = words::answer_sentences(answer).into_iter().take(1);
    range.chain([words::recommended_sentence(answer)]).collect()
}
