//! A layout as words, a section of a page, a text, JSON.

mod json;
mod section;
mod text;
mod words;

pub use json::{LAYING_SCHEMA, laying_json};
pub use section::laying_section;
pub use text::laying_text;
pub use words::{breach_words, laying_sentences, none_keeps_words};
