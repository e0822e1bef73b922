//! Steps of the work, and the sources of error that each of them decides.

use super::design::Plate;
use super::source::Source;

/// A step of the work, or what comes with the visitor: sources of error that stand and fall together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Step {
    /// Laying both patterns on their plates: shift and turn.
    PatternPlacement,
    /// Printing both patterns: scale.
    PrintScale,
    /// Seating both plates: depth and tilt.
    PlateSeat,
    /// Piercing the holes.
    HoleScatter,
    /// Choosing the holes' width: slack of the line in them.
    HoleSlack,
    /// Tightening the lines: scatter by hand, slackening.
    Tension,
    /// Tying the rods to the lines.
    RodTie,
    /// Setting the depths of the rod ends.
    RodSlip,
    /// Sorting the rods for straightness.
    RodBow,
    /// Placing the peephole.
    PeepholePlacement,
    /// Where the visitor's eye is.
    EyePosition,
    /// Which visitor it is: pupil and acuity.
    Visitor,
}

impl Step {
    /// All of them: the builder's first, then the visitor's.
    pub const ALL: [Self; 12] = [
        Self::PatternPlacement,
        Self::PrintScale,
        Self::PlateSeat,
        Self::HoleScatter,
        Self::HoleSlack,
        Self::Tension,
        Self::RodTie,
        Self::RodSlip,
        Self::RodBow,
        Self::PeepholePlacement,
        Self::EyePosition,
        Self::Visitor,
    ];

    /// Its name in files.
    pub fn name(self) -> &'static str {
        match self {
            Self::PatternPlacement => "pattern-placement",
            Self::PrintScale => "print-scale",
            Self::PlateSeat => "plate-seat",
            Self::HoleScatter => "piercing",
            Self::HoleSlack => "hole-width",
            Self::Tension => "tension",
            Self::RodTie => "tie",
            Self::RodSlip => "depth-setting",
            Self::RodBow => "straightness",
            Self::PeepholePlacement => "peephole-placement",
            Self::EyePosition => "eye-position",
            Self::Visitor => "visitor",
        }
    }

    /// What goes wrong in it, in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::PatternPlacement => "patterns shifted and turned on the plates",
            Self::PrintScale => "patterns printed at the wrong scale",
            Self::PlateSeat => "plates seated too deep, shallow or tilted",
            Self::HoleScatter => "holes scattered about their marks",
            Self::HoleSlack => "lines slack in their holes",
            Self::Tension => "uneven and slackening tension",
            Self::RodTie => "rods tied beside the line",
            Self::RodSlip => "rod ends slipped along the line",
            Self::RodBow => "bowed rods",
            Self::PeepholePlacement => "peephole off its place",
            Self::EyePosition => "the eye off the station point",
            Self::Visitor => "visitors' different pupils and acuities",
        }
    }

    /// Whether the builder, and not the visitor, decides it.
    pub fn is_work(self) -> bool {
        !matches!(self, Self::EyePosition | Self::Visitor)
    }

    /// The step that decides `source`.
    pub fn of(source: Source) -> Self {
        match source {
            Source::PatternShift(_) | Source::PatternTurn(_) => Self::PatternPlacement,
            Source::PrintScale(_) => Self::PrintScale,
            Source::SeatDepth(_) | Source::TiltX(_) | Source::TiltY(_) => Self::PlateSeat,
            Source::HoleScatter(_) => Self::HoleScatter,
            Source::HoleSlack(_) => Self::HoleSlack,
            Source::HandTension | Source::Slackening => Self::Tension,
            Source::RodTie => Self::RodTie,
            Source::RodSlip => Self::RodSlip,
            Source::RodBow => Self::RodBow,
            Source::PeepholeShift | Source::PeepholeDepth => Self::PeepholePlacement,
            Source::EyeOffset | Source::EyeRelief => Self::EyePosition,
            Source::Pupil | Source::Acuity => Self::Visitor,
        }
    }

    /// The sources that it decides.
    pub fn sources(self) -> Vec<Source> {
        let both = |makes: &[fn(Plate) -> Source]| {
            let each = |make: &fn(Plate) -> Source| Plate::BOTH.map(make);
            makes.iter().flat_map(each).collect()
        };
        match self {
            Self::PatternPlacement => both(&[Source::PatternShift, Source::PatternTurn]),
            Self::PrintScale => both(&[Source::PrintScale]),
            Self::PlateSeat => both(&[Source::SeatDepth, Source::TiltX, Source::TiltY]),
            Self::HoleScatter => both(&[Source::HoleScatter]),
            Self::HoleSlack => both(&[Source::HoleSlack]),
            Self::Tension => vec![Source::HandTension, Source::Slackening],
            Self::RodTie => vec![Source::RodTie],
            Self::RodSlip => vec![Source::RodSlip],
            Self::RodBow => vec![Source::RodBow],
            Self::PeepholePlacement => vec![Source::PeepholeShift, Source::PeepholeDepth],
            Self::EyePosition => vec![Source::EyeOffset, Source::EyeRelief],
            Self::Visitor => vec![Source::Pupil, Source::Acuity],
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_source_belongs_to_one_step() {
        for source in Source::ALL {
            let steps = Step::ALL
                .into_iter()
                .filter(|step| step.sources().contains(&source));
            assert_eq!(steps.collect::<Vec<_>>(), [Step::of(source)], "{source:?}");
        }
    }
}
