//! How much is run, and what its counts say.

use crate::figure::Plan;
use crate::sampling::Sampling;
use crate::statistics::{IntervalMethod, Proportion, scatter_of_shares};
use crate::trial::{REPLICATES, Sampler, replicate_builds};

/// The run was interrupted; nothing is to be shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Interrupted;

/// How much to run, and when to stop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RunPlan {
    /// Seed of all random numbers.
    pub seed: u64,
    /// Most builds.
    pub builds: u64,
    /// Looks at each build.
    pub looks: u64,
    /// Stop once the yield's interval is no wider than ± this; `None` runs to the cap.
    pub half_width: Option<f64>,
    /// Confidence level of all intervals.
    pub level: f64,
    /// Method of the yield's interval.
    pub method: IntervalMethod,
    /// How the uniform numbers are laid out.
    pub sampling: Sampling,
}

impl RunPlan {
    /// A count among a number of trials with this run's interval.
    pub fn proportion(&self, count: u64, of: u64) -> Proportion {
        Proportion {
            count,
            of,
            level: self.level,
            method: self.method,
            scatter: None,
        }
    }

    /// The yield of the first `builds` builds, of which this many in each repetition passed.
    pub fn yield_of(&self, builds: u64, passed: &[u64; REPLICATES]) -> Proportion {
        let scatter = match self.sampling {
            Sampling::Plain => None,
            Sampling::LatinHypercube | Sampling::Sobol => {
                scatter_of_shares(passed, &replicate_builds(builds))
            }
        };
        Proportion {
            scatter,
            ..self.proportion(passed.iter().sum(), builds)
        }
    }

    /// Where the uniform numbers of this run come from.
    pub fn sampler(&self, plan: &Plan) -> Sampler {
        Sampler::new(plan, self.sampling, self.seed, self.looks)
    }
}
