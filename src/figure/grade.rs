//! Grades of work: what each source of error is when a scenario leaves it out, and why.
//!
//! These are starting points, not measurements of your workshop: put your own numbers into the scenario. Where a number
//! has a published source it is named; the rest is "common practice, no source".

use super::source::Source;
use crate::sampling::Distribution;
use crate::units::rad_from_arcmin;

/// How the plates are pierced and the cabinet is put together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Grade {
    /// Pattern taped on by eye, pierced by hand with a pin.
    HandPierced,
    /// Drilled through a template, plates located on battens.
    Template,
    /// Holes cut by a machine, plates in grooves.
    MachineCut,
}

impl Grade {
    /// All grades, roughest first.
    pub const ALL: [Self; 3] = [Self::HandPierced, Self::Template, Self::MachineCut];

    /// Name in a scenario file.
    pub fn name(self) -> &'static str {
        match self {
            Self::HandPierced => "hand-pierced",
            Self::Template => "template-drilled",
            Self::MachineCut => "machine-cut",
        }
    }

    /// The grade of that name.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|grade| grade.name() == name)
    }

    /// How much wider than the line a hole is when the scenario gives no hole, mm.
    pub fn hole_clearance_mm(self) -> f64 {
        self.pick([0.4, 0.3, 0.2])
    }

    fn pick<T: Copy>(self, [hand, template, machine]: [T; 3]) -> T {
        match self {
            Self::HandPierced => hand,
            Self::Template => template,
            Self::MachineCut => machine,
        }
    }

    /// The distribution of each component of a source, in the source's kept unit, and the reason. `None` for the
    /// sources whose size follows from the scenario itself: hole slack, rod tie, slackening (from the line's
    /// material).
    pub fn default_spread(self, source: Source) -> Option<(Distribution, &'static str)> {
        const NO_SOURCE: &str = "common practice, no source";
        let uniform = |half_width| Distribution::Uniform {
            mean: 0.0,
            half_width,
        };
        let normal = |sd| Distribution::Normal { mean: 0.0, sd };
        let degrees = |deg: f64| rad_from_arcmin(60.0 * deg);
        Some(match source {
            Source::PatternShift(_) => (uniform(self.pick([0.8, 0.4, 0.1])), NO_SOURCE),
            Source::PatternTurn(_) => (uniform(degrees(self.pick([0.5, 0.25, 0.05]))), NO_SOURCE),
            Source::PrintScale(_) => (
                uniform(self.pick([0.01, 0.005, 0.001])),
                "photocopiers run at 99 to 102 % (users' reports); the rest common practice, no source",
            ),
            Source::SeatDepth(_) => (
                uniform(self.pick([1.2, 0.8, 0.5])),
                "ISO 2768-1:1989 table 1: grades c and m for 120 to 400 mm and 400 to 1000 mm, rounded",
            ),
            Source::TiltX(_) | Source::TiltY(_) => {
                (uniform(degrees(self.pick([1.0, 0.5, 0.25]))), NO_SOURCE)
            }
            Source::HoleScatter(_) => (normal(self.pick([0.35, 0.15, 0.05])), NO_SOURCE),
            Source::HandTension => (
                Distribution::Lognormal {
                    median: 1.0,
                    sd_log: self.pick([0.3, 0.2, 0.1]),
                },
                NO_SOURCE,
            ),
            Source::RodSlip => (normal(self.pick([1.5, 1.0, 0.5])), NO_SOURCE),
            Source::RodBow => (uniform(self.pick([0.004, 0.002, 0.001])), NO_SOURCE),
            Source::PeepholeShift => (uniform(self.pick([1.0, 0.5, 0.2])), NO_SOURCE),
            Source::PeepholeDepth => (uniform(self.pick([1.2, 0.8, 0.5])), NO_SOURCE),
            Source::EyeOffset => (
                normal(0.8),
                "an eye centres itself behind a hole by the hole's rim; chosen, no source",
            ),
            Source::EyeRelief => (normal(2.0), "chosen, no source"),
            Source::Pupil => (
                Distribution::TruncatedNormal {
                    mean: 3.5,
                    sd: 0.7,
                    half_width: 1.5,
                },
                "room light; spread between people from memory, no source",
            ),
            Source::Acuity => (
                Distribution::Normal {
                    mean: -0.05,
                    sd: 0.1,
                },
                "Elliott, Yang & Whitaker 1995: means from −0.16 to −0.02 logMAR over the ages; spread between people from memory",
            ),
            Source::HoleSlack(_) | Source::RodTie | Source::Slackening => return None,
        })
    }
}
