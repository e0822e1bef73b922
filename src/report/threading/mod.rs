//! How to lead one line through all holes: text for the terminal, JSON for programs.

mod json;
mod text;
mod words;

pub use json::{THREAD_SCHEMA, thread_json};
pub use text::{ThreadLines, thread_text};
pub use words::{thread_sentences, thread_steps, tighten_steps};
