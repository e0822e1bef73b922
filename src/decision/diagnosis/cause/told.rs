//! Why a build is as it is: what a diagnosis tells of causes, explanations, look-alikes and readings.

use super::suspect::Suspect;
use crate::figure::Measurand;
use crate::trial::Frames;
use crate::units::Kind;

/// A value of one component or two, in a cause's kept unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// Its median.
    pub value: [f64; 2],
    /// 95 % interval of each component, low and high.
    pub interval: [[f64; 2]; 2],
}

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
    /// Its median, given the readings and what its tolerance lets expect.
    pub estimate: [f64; 2],
    /// 95 % interval of each component of that, low and high.
    pub interval: [[f64; 2]; 2],
    /// What the readings say of it if it went wrong: without its tolerance, which is the prior of what went right and would
    /// argue away what was read. Wide where the readings say little of it.
    pub if_wrong: Estimate,
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
    /// Sets of them that were weighed: about a linearisation.
    pub weighed: usize,
    /// Sets of them that were worked out on the full model.
    pub tried: usize,
}
