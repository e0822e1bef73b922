//! What spoiled a build that stands on the bench, from what was measured of it, and what is the least that mends it.
//!
//! Three questions, in their order: does it fail, where and by how much ([`Finding`]); why ([`Why`]); what mends it ([`Mend`]).

mod attempts;
mod blunder;
mod blunder_search;
mod causes;
mod correction;
mod effort;
mod evidence;
mod explain;
mod finding;
mod laid;
mod look_alikes;
mod mend_words;
mod mends;
mod mixture;
mod moves;
mod pictured;
mod readings;
mod robust_fit;
mod sound;
mod suspect;
mod unknowns;
pub(super) mod visitors;
mod why;

pub use blunder::{Axes, Blunder, Evidence, Row};
pub use blunder_search::blunders;
pub use correction::{Correction, Move};
pub use finding::{Finding, ItemFinding, Span, finding};
pub use laid::BETTER;
pub use mends::{Mend, Mends, mends};
pub use suspect::{FAULT_PRIOR, MISREAD_PRIOR, Suspect, suspects};
pub use visitors::relief_shift_mm;
pub use why::{
    Cause, Estimate, Explanation, LookAlike, NoDiagnosis, ReadingTold, Settles, Why, why,
};

use super::run_plan::RunPlan;
use crate::figure::{Bench, Plan};
use crate::trial::RunHooks;

/// The whole answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Diagnosis {
    /// Does it fail, where, by how much.
    pub finding: Finding,
    /// Why.
    pub why: Why,
    /// What mends it.
    pub mends: Mends,
}

/// Diagnoses the build whose readings are `bench`; `run.builds` builds that the readings leave possible and `run.looks` looks at each.
///
/// # Errors
/// [`NoDiagnosis`] with the reason.
pub fn diagnose(
    plan: &Plan,
    bench: &Bench,
    run: &RunPlan,
    hooks: &RunHooks<'_>,
) -> Result<Diagnosis, NoDiagnosis> {
    let why = why(plan, bench, run, hooks)?;
    let finding = finding(plan, bench, &why, run, hooks)?;
    let mends = mends(plan, &why, &finding, run, hooks)?;
    Ok(Diagnosis {
        finding,
        why,
        mends,
    })
}
