//! Whether a build fails, holds, or cannot be told: from the share of possible builds that pass, by its whole interval.
//!
//! The build on the bench is one, and the share is how probably it is one that passes. What is wanted of the share of builds (the
//! target) is wanted of that probability too before a build is said to hold, and as much of its opposite before it is said to fail.

use super::Diagnosed;
use crate::decision::{Diagnosis, RunPlan};
use crate::figure::Plan;
use crate::statistics::{Proportion, interval_of_clustered_share};

/// What is said of a build.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BuildVerdict {
    /// The share that passes is at most what the target leaves over.
    Fails,
    /// More is left over, but under half passes.
    ProbablyFails,
    /// Over half passes, but less than the target.
    ProbablyHolds,
    /// The share is at or over the target.
    Holds,
    /// Half lies within the interval.
    Undecided,
    /// It may hold where it is seen, but too few looks show the whole figure.
    Hidden,
}

impl BuildVerdict {
    /// What is said of a build of `plan` by what was found from its readings; `run` gives the level of the intervals.
    pub fn of(diagnosis: &Diagnosis, plan: &Plan, run: &RunPlan) -> Self {
        let finding = &diagnosis.finding;
        let clear = interval_of_clustered_share(&finding.clear, run.level);
        let is_hidden = clear.is_some_and(|[_, high]| high < diagnosis.mends.wanted_clear);
        if is_hidden {
            Self::Hidden
        } else {
            build_verdict(&finding.passes, plan.design.judging.target_yield)
        }
    }

    /// In a word or two.
    pub fn word(self) -> &'static str {
        match self {
            Self::Fails => "fails",
            Self::ProbablyFails => "probably fails",
            Self::ProbablyHolds => "probably holds",
            Self::Holds => "holds",
            Self::Undecided => "undecided",
            Self::Hidden => "not seen whole",
        }
    }

    /// As the head of a page or the first words of a text.
    pub(super) fn mark(self) -> &'static str {
        match self {
            Self::Fails => "This build fails",
            Self::ProbablyFails => "This build probably fails",
            Self::ProbablyHolds => "This build probably holds, but that is not sure enough",
            Self::Holds => "This build holds",
            Self::Undecided => "Whether this build holds cannot be told from these readings",
            Self::Hidden => "Too few looks show the whole figure of this build",
        }
    }

    /// Class of its box on a page.
    pub(super) fn class(self) -> &'static str {
        match self {
            Self::Fails | Self::ProbablyFails | Self::Hidden => "verdict no",
            Self::Holds => "verdict yes",
            Self::Undecided | Self::ProbablyHolds => "verdict undecided",
        }
    }

    /// Whether it fails, surely or probably.
    pub(super) fn is_failure(self) -> bool {
        matches!(self, Self::Fails | Self::ProbablyFails | Self::Hidden)
    }
}

impl Diagnosed<'_> {
    /// What is said of the build.
    pub fn verdict(&self) -> BuildVerdict {
        BuildVerdict::of(self.diagnosis, self.plan, self.run)
    }
}

/// Holds the share of possible builds that pass against the share of builds that should.
fn build_verdict(passes: &Proportion, target_yield: f64) -> BuildVerdict {
    let left_over = 1.0 - target_yield.max(0.5);
    match passes.interval() {
        Some([low, _]) if low >= target_yield => BuildVerdict::Holds,
        Some([_, high]) if high <= left_over => BuildVerdict::Fails,
        Some([_, high]) if high < target_yield.min(0.5) => BuildVerdict::ProbablyFails,
        Some([low, _]) if low > 0.5 => BuildVerdict::ProbablyHolds,
        _ => BuildVerdict::Undecided,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::statistics::IntervalMethod;

    #[test]
    fn a_build_fails_only_where_that_is_as_sure_as_the_target_asks() {
        let verdict = |count, target| {
            let passes = Proportion {
                count,
                of: 256,
                level: 0.95,
                method: IntervalMethod::Wilson,
                scatter: None,
            };
            build_verdict(&passes, target)
        };
        // Wilson's intervals: 0 to 1.5, 6.1 to 13.1, 77.9 to 87.1, 44 to 56, 98.5 to 100 %
        assert_eq!(verdict(0, 0.9), BuildVerdict::Fails);
        assert_eq!(verdict(23, 0.9), BuildVerdict::ProbablyFails);
        assert_eq!(verdict(212, 0.9), BuildVerdict::ProbablyHolds);
        assert_eq!(verdict(128, 0.9), BuildVerdict::Undecided);
        assert_eq!(verdict(256, 0.9), BuildVerdict::Holds);
        assert_eq!(verdict(256, 0.99), BuildVerdict::ProbablyHolds);
        // where little is asked, half of that is no failure
        assert_eq!(verdict(128, 0.3), BuildVerdict::Holds);
        assert_eq!(verdict(64, 0.4), BuildVerdict::Fails);
    }
}
