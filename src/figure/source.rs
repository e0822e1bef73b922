//! Every source of error, its fixed number, and where its values stand in a trial's vector.
//!
//! The number goes into the random streams: it must never change, and a new source takes a new one.

use super::design::{Design, Plate};
use crate::units::Kind;

/// Whether a source is drawn once for a build or once for each look at it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Family {
    /// Drawn once for a build.
    Build,
    /// Drawn once for each look.
    Look,
}

/// One source of error.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Source {
    /// Shift of a plate's pattern.
    PatternShift(Plate),
    /// Turn of a plate's pattern.
    PatternTurn(Plate),
    /// Scale at which a plate's pattern was printed.
    PrintScale(Plate),
    /// Depth at which a plate sits.
    SeatDepth(Plate),
    /// Tilt of a plate about x.
    TiltX(Plate),
    /// Tilt of a plate about y.
    TiltY(Plate),
    /// Scatter of each hole.
    HoleScatter(Plate),
    /// Slack of the line in each hole.
    HoleSlack(Plate),
    /// Hand scatter of each line's tension.
    HandTension,
    /// Slackening of each line after it was tightened.
    Slackening,
    /// Side of the line on which each rod end is tied.
    RodTie,
    /// Slip of each rod end along its line.
    RodSlip,
    /// Bow of each rod.
    RodBow,
    /// Placement of the peephole across the axis.
    PeepholeShift,
    /// Placement of the peephole's plate along the axis.
    PeepholeDepth,
    /// Where the eye is, across the axis.
    EyeOffset,
    /// Where the eye is, along the axis.
    EyeRelief,
    /// Diameter of the pupil.
    Pupil,
    /// Acuity of the visitor.
    Acuity,
}

use Plate::{Front, Rear};

impl Source {
    /// All sources: build sources first, then look sources. The order is that of a trial's vector.
    pub const ALL: [Self; 27] = [
        Self::PatternShift(Front),
        Self::PatternTurn(Front),
        Self::PrintScale(Front),
        Self::SeatDepth(Front),
        Self::TiltX(Front),
        Self::TiltY(Front),
        Self::HoleScatter(Front),
        Self::HoleSlack(Front),
        Self::PatternShift(Rear),
        Self::PatternTurn(Rear),
        Self::PrintScale(Rear),
        Self::SeatDepth(Rear),
        Self::TiltX(Rear),
        Self::TiltY(Rear),
        Self::HoleScatter(Rear),
        Self::HoleSlack(Rear),
        Self::HandTension,
        Self::Slackening,
        Self::RodTie,
        Self::RodSlip,
        Self::RodBow,
        Self::PeepholeShift,
        Self::PeepholeDepth,
        Self::EyeOffset,
        Self::EyeRelief,
        Self::Pupil,
        Self::Acuity,
    ];

    /// The source's fixed number in the random streams.
    pub fn number(self) -> u64 {
        let at = |plate: Plate, front: u64| if plate == Front { front } else { front + 1 };
        match self {
            Self::PatternShift(plate) => at(plate, 10),
            Self::PatternTurn(plate) => at(plate, 12),
            Self::PrintScale(plate) => at(plate, 14),
            Self::SeatDepth(plate) => at(plate, 16),
            Self::TiltX(plate) => at(plate, 18),
            Self::TiltY(plate) => at(plate, 20),
            Self::HoleScatter(plate) => at(plate, 22),
            Self::HoleSlack(plate) => at(plate, 24),
            Self::HandTension => 30,
            Self::Slackening => 31,
            Self::RodTie => 40,
            Self::RodSlip => 41,
            Self::RodBow => 42,
            Self::PeepholeShift => 50,
            Self::PeepholeDepth => 51,
            Self::EyeOffset => 60,
            Self::EyeRelief => 61,
            Self::Pupil => 62,
            Self::Acuity => 63,
        }
    }

    /// Position in [`Source::ALL`].
    pub fn index(self) -> usize {
        Self::ALL
            .iter()
            .position(|source| *source == self)
            .expect("ALL holds every source")
    }

    /// Build or look.
    pub fn family(self) -> Family {
        match self {
            Self::EyeOffset | Self::EyeRelief | Self::Pupil | Self::Acuity => Family::Look,
            _ => Family::Build,
        }
    }

    /// Numbers of each item: 1, or 2 for what has a direction.
    pub fn components(self) -> usize {
        match self {
            Self::PatternShift(_)
            | Self::HoleScatter(_)
            | Self::HoleSlack(_)
            | Self::RodTie
            | Self::RodBow
            | Self::PeepholeShift
            | Self::EyeOffset => 2,
            _ => 1,
        }
    }

    /// How many items the source acts on in this design.
    pub fn items(self, design: &Design) -> usize {
        match self {
            Self::HandTension if design.tension_is_shared() => 1,
            Self::HoleScatter(_) | Self::HoleSlack(_) | Self::HandTension | Self::Slackening => {
                design.vertices.len()
            }
            Self::RodTie | Self::RodSlip => 2 * design.rods.len(),
            Self::RodBow => design.rods.len(),
            _ => 1,
        }
    }

    /// What the items are, in the number that [`Source::items`] gives.
    pub fn acts_on(self, design: &Design) -> &'static str {
        let one = self.items(design) == 1;
        let pick = |singular, plural| if one { singular } else { plural };
        match self {
            Self::HoleScatter(_) | Self::HoleSlack(_) => pick("hole", "holes"),
            Self::HandTension if design.tension_is_shared() => "pull for all lines",
            Self::HandTension | Self::Slackening => pick("line", "lines"),
            Self::RodTie | Self::RodSlip => pick("rod end", "rod ends"),
            Self::RodBow => pick("rod", "rods"),
            Self::PeepholeShift | Self::PeepholeDepth => "peephole",
            Self::EyeOffset | Self::EyeRelief | Self::Pupil | Self::Acuity => {
                "eye, anew at each look"
            }
            _ => "plate",
        }
    }

    /// The plate that it belongs to; `None` for what belongs to none.
    pub fn plate(self) -> Option<Plate> {
        match self {
            Self::PatternShift(plate)
            | Self::PatternTurn(plate)
            | Self::PrintScale(plate)
            | Self::SeatDepth(plate)
            | Self::TiltX(plate)
            | Self::TiltY(plate)
            | Self::HoleScatter(plate)
            | Self::HoleSlack(plate) => Some(plate),
            _ => None,
        }
    }

    /// The value that means "no error".
    pub fn neutral(self) -> f64 {
        match self {
            Self::HandTension | Self::Slackening => 1.0,
            _ => 0.0,
        }
    }

    /// What the source's values measure.
    pub fn kind(self) -> Kind {
        match self {
            Self::PatternTurn(_) | Self::TiltX(_) | Self::TiltY(_) => Kind::Angle,
            Self::PrintScale(_)
            | Self::HandTension
            | Self::Slackening
            | Self::RodBow
            | Self::Acuity => Kind::Number,
            _ => Kind::Length,
        }
    }

    /// Its key in a scenario file: table and name.
    pub fn key(self) -> (&'static str, &'static str) {
        let plate = |plate: Plate| match plate {
            Front => "front",
            Rear => "rear",
        };
        match self {
            Self::PatternShift(p) => (plate(p), "pattern_shift"),
            Self::PatternTurn(p) => (plate(p), "pattern_turn"),
            Self::PrintScale(p) => (plate(p), "print_scale"),
            Self::SeatDepth(p) => (plate(p), "seat_depth"),
            Self::TiltX(p) => (plate(p), "tilt_x"),
            Self::TiltY(p) => (plate(p), "tilt_y"),
            Self::HoleScatter(p) => (plate(p), "hole_scatter"),
            Self::HoleSlack(p) => (plate(p), "hole_slack"),
            Self::HandTension => ("line", "hand_tension"),
            Self::Slackening => ("line", "slackening"),
            Self::RodTie => ("rod", "tie"),
            Self::RodSlip => ("rod", "slip"),
            Self::RodBow => ("rod", "bow"),
            Self::PeepholeShift => ("peephole", "shift"),
            Self::PeepholeDepth => ("peephole", "depth"),
            Self::EyeOffset => ("eye", "offset"),
            Self::EyeRelief => ("eye", "relief"),
            Self::Pupil => ("eye", "pupil"),
            Self::Acuity => ("eye", "acuity"),
        }
    }

    /// Its name in words.
    pub fn words(self) -> String {
        let on = |what: &str, plate: Plate| {
            format!(
                "{what}, {} plate",
                if plate == Front { "front" } else { "rear" }
            )
        };
        match self {
            Self::PatternShift(p) => on("pattern shift", p),
            Self::PatternTurn(p) => on("pattern turn", p),
            Self::PrintScale(p) => on("print scale", p),
            Self::SeatDepth(p) => on("seat depth", p),
            Self::TiltX(p) => on("tilt about x", p),
            Self::TiltY(p) => on("tilt about y", p),
            Self::HoleScatter(p) => on("hole scatter", p),
            Self::HoleSlack(p) => on("line's slack in its hole", p),
            Self::HandTension => "hand scatter of the tension".into(),
            Self::Slackening => "slackening of the lines".into(),
            Self::RodTie => "rods tied beside the line".into(),
            Self::RodSlip => "rod ends slipped along the line".into(),
            Self::RodBow => "bowed rods".into(),
            Self::PeepholeShift => "peephole off the axis".into(),
            Self::PeepholeDepth => "peephole plate's depth".into(),
            Self::EyeOffset => "eye off the axis".into(),
            Self::EyeRelief => "eye nearer or farther".into(),
            Self::Pupil => "pupil diameter".into(),
            Self::Acuity => "visitor's acuity".into(),
        }
    }
}

/// Where each source's values stand in the two vectors of a trial.
///
/// A value of item i, component c stands at `start + i·components + c`, in the build's vector or in the look's.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Layout {
    starts: [usize; Source::ALL.len()],
    /// Length of a build's vector.
    pub build_len: usize,
    /// Length of a look's vector.
    pub look_len: usize,
}

impl Layout {
    /// The layout of a design.
    pub fn of(design: &Design) -> Self {
        let mut starts = [0; Source::ALL.len()];
        let (mut build_len, mut look_len) = (0, 0);
        for (start, source) in starts.iter_mut().zip(Source::ALL) {
            let len = match source.family() {
                Family::Build => &mut build_len,
                Family::Look => &mut look_len,
            };
            *start = *len;
            *len += source.items(design) * source.components();
        }
        Self {
            starts,
            build_len,
            look_len,
        }
    }

    /// First value of a source in its family's vector.
    pub fn start(&self, source: Source) -> usize {
        self.starts[source.index()]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    #[test]
    fn numbers_and_keys_are_unique() {
        let numbers: HashSet<u64> = Source::ALL.iter().map(|source| source.number()).collect();
        let keys: HashSet<_> = Source::ALL.iter().map(|source| source.key()).collect();
        assert_eq!(numbers.len(), Source::ALL.len());
        assert_eq!(keys.len(), Source::ALL.len());
    }
}
