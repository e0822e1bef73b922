//! Does the build fail, where, and by how much: every rod and junction as seen, against its limit.

use super::why::{NoDiagnosis, Why};
use crate::decision::RunPlan;
use crate::figure::{Bench, Item, Plan};
use crate::statistics::{ClusteredShare, Proportion};
use crate::trial::RunHooks;

/// A number of which the readings leave a range possible.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// Its median among the builds that the readings leave possible.
    pub median: f64,
    /// Its 95 % interval, low and high.
    pub interval: [f64; 2],
}

/// One rod or junction.
#[derive(Debug, Clone, PartialEq)]
pub struct ItemFinding {
    /// Which.
    pub item: Item,
    /// Its limit for the visitor of mean acuity, rad.
    pub limit_rad: f64,
    /// Its drift (judged frame) or gap as the eye at its mean place sees it, rad; `None` where part of it is not seen.
    pub seen_rad: Option<Span>,
    /// Share of the possible builds in which it is over its limit, for the eye at its mean place.
    pub over: Proportion,
    /// Its drift or gap straight from the picture, rad, with its standard uncertainty, where a picture shows all of it: of
    /// what the camera saw from where it stood.
    pub pictured_rad: Option<[f64; 2]>,
}

/// What is found.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// Rods first, then junctions.
    pub items: Vec<ItemFinding>,
    /// Share of the possible builds that pass with visitors' eyes as the scenario has them.
    pub passes: Proportion,
    /// Share of looks that hold, of those that show the whole figure.
    pub held: ClusteredShare,
    /// Share of looks that show the whole figure.
    pub clear: ClusteredShare,
    /// The worst fault over its limit for the eye at its mean place.
    pub worst: Span,
    /// Which rod or junction is the worst in most possible builds, and in what share of them.
    pub worst_item: Option<(Item, Proportion)>,
}

/// Finds whether the build fails.
///
/// # Errors
/// [`NoDiagnosis`].
pub fn finding(
    plan: &Plan,
    bench: &Bench,
    why: &Why,
    run: &RunPlan,
    hooks: &RunHooks<'_>,
) -> Result<Finding, NoDiagnosis> {
    let _ = (plan, bench, why, run, hooks);
    Err(NoDiagnosis::NoReadings)
}
