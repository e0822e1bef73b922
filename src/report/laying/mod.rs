//! A layout as words, a section of a page, a text, JSON.

mod bounds;
mod broken;
mod held;
mod json;
mod section;
mod text;
mod words;

pub use broken::{breach_words, none_keeps_words, own_layout_words};
pub use json::{LAYING_SCHEMA, laying_json};
pub use section::laying_section;
pub use text::laying_text;
pub use words::laying_sentences;
