//! What spoiled a build that stands on the bench, from what was measured of it, and what is the least that mends it.
//!
//! Three questions, in their order: does it fail, where and by how much ([`Finding`]); why ([`Why`]); what mends it ([`Mend`]).

mod cause;
mod finding;
mod mending;
mod pictured;
mod slips;
pub(super) mod visitors;

pub use cause::{
    Cause, Estimate, Explanation, FAULT_PRIOR, LookAlike, MISREAD_PRIOR, NoDiagnosis, ReadingTold,
    Settles, Suspect, Why, suspects, why,
};
pub use finding::{Finding, ItemFinding, Span, finding};
pub use mending::{Correction, Mend, Mends, Move, mends};
pub use slips::{Axes, BETTER, Blunder, Evidence, Row, blunders};
pub use visitors::relief_shift_mm;

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
