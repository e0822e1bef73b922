//! What spoiled a build: the one-page failure record, sections of a page, JSON for programs, text for the terminal.

mod json;
mod not_read;
mod ranked;
mod record;
mod record_words;
mod section;
mod sentences;
mod subjects;
mod tables;
mod text;
mod verdict;

pub use json::{DIAGNOSIS_SCHEMA, diagnosis_json};
pub use record::record_html;
pub use section::diagnosis_section;
pub use sentences::diagnosis_sentences;
pub use subjects::rods_of_the_leading_cause;
pub use text::diagnosis_text;
pub use verdict::BuildVerdict;

use super::about::About;
use crate::decision::RunPlan;
use crate::decision::diagnosis::Diagnosis;
use crate::figure::{Bench, Measurand, Plan};

/// A diagnosis with what it was made from.
#[derive(Debug, Clone, Copy)]
pub struct Diagnosed<'a> {
    /// The design.
    pub plan: &'a Plan,
    /// What was read.
    pub bench: &'a Bench,
    /// The answer.
    pub diagnosis: &'a Diagnosis,
    /// How many builds and looks it comes from.
    pub run: &'a RunPlan,
    /// The scenario, and how to make the report again.
    pub about: &'a About,
    /// Blunders of the sheet that were put right before anything was worked out, in words.
    pub put_right: &'a [String],
    /// What else there is to say of the sheet.
    pub notes: &'a [String],
}

impl Diagnosed<'_> {
    /// What every reading is of.
    fn measurands(&self) -> Vec<Measurand> {
        self.bench
            .readings
            .iter()
            .map(|reading| reading.of)
            .collect()
    }
}
