//! What mends a build: corrections, their effort, and what comes of each.

mod attempts;
mod correction;
mod effort;
mod mend_words;
mod mends;
mod moves;

pub use correction::{Correction, Move};
pub use mends::{Mend, Mends, mends};
