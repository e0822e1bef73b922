//! Two sides beside each other: sections for a page, JSON for programs, text for the terminal.

mod json;
mod rows;
mod section;
mod sentences;
mod text;

pub use json::{COMPARISON_SCHEMA, comparison_json};
pub use section::comparison_section;
pub use sentences::comparison_sentences;
pub use text::comparison_text;
