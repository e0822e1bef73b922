//! Whether a build fails, holds, or cannot be told: from the share of possible builds that pass, by its whole interval.

use crate::decision::diagnosis::Finding;

/// What is said of a build.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BuildVerdict {
    /// The whole interval of the share that passes is under the target.
    Fails,
    /// It is at or over the target.
    Holds,
    /// The target lies in it.
    Undecided,
}

impl BuildVerdict {
    /// One word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Fails => "fails",
            Self::Holds => "holds",
            Self::Undecided => "undecided",
        }
    }

    /// As the head of a page or the first words of a text.
    pub(super) fn mark(self) -> &'static str {
        match self {
            Self::Fails => "This build fails",
            Self::Holds => "This build holds",
            Self::Undecided => "Whether this build holds cannot be told from these readings",
        }
    }

    /// Class of its box on a page.
    pub(super) fn class(self) -> &'static str {
        match self {
            Self::Fails => "verdict no",
            Self::Holds => "verdict yes",
            Self::Undecided => "verdict undecided",
        }
    }
}

/// Holds what is found against the share of builds that should pass.
pub fn build_verdict(finding: &Finding, target_yield: f64) -> BuildVerdict {
    match finding.passes.interval() {
        Some([_, high]) if high < target_yield => BuildVerdict::Fails,
        Some([low, _]) if low >= target_yield => BuildVerdict::Holds,
        _ => BuildVerdict::Undecided,
    }
}
