//! How big the peephole may be: a section for a page, JSON for programs, text for the terminal.

mod json;
mod section;
mod text;
mod words;

pub use json::{PEEPHOLE_SCHEMA, peephole_json};
pub use section::peephole_section;
pub use text::peephole_text;
