//! What can be measured at the bench, and what was.
//!
//! Places and directions are kept in the cabinet's frame (+x to the viewer's left), whatever the sheet's; picture
//! coordinates stay in pixels as the picture has them (x to the right, y down).

use super::design::{Design, Plate};
use super::plan::Plan;
use crate::geometry::Pair;

/// Standard deviations to either side that cover 19 of 20 normal readings: what `plus_minus` on a sheet is over the standard
/// uncertainty (GUM, JCGM 100:2008, table G.1: 1.960).
pub const COVERED_SD: f64 = 1.96;

/// Which two plates a distance lies between.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Stretch {
    /// From the peephole's plate to the front plate.
    PeepholeToFront,
    /// From the front plate to the rear plate.
    FrontToRear,
    /// From the peephole's plate to the rear plate.
    PeepholeToRear,
}

/// What a reading is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Quantity {
    /// A hole's middle, from where the axis passes the plate (its centre mark where that is on the axis), in the plate's own
    /// plane, mm.
    Hole(Plate),
    /// The same off a scan at true size of the plate, laid anyhow, mm.
    ScannedHole(Plate),
    /// The same off a picture of the plate of unknown size, px.
    PicturedHole(Plate),
    /// How far the line lies off its hole's middle, mm.
    LineInHole(Plate),
    /// Distance of two plates along the axis, mm.
    Distance(Stretch),
    /// The peephole's middle, from the axis, mm.
    Peephole,
    /// Distance of the eye's or camera's pupil from the peephole's plate, mm.
    EyeRelief,
    /// Drop of a line below the straight between its holes, mm.
    Drop,
    /// Tone of a plucked line without rods, Hz.
    Tone,
    /// Tension of a line by a gauge, N.
    Tension,
    /// A rod end's distance from its line's hole in that plate, along the line, mm.
    EndFrom(Plate),
    /// How far the rod's axis lies beside the line's at its end, mm.
    Tie,
    /// Where a rod end is seen through the peephole, px.
    SeenEnd,
    /// Where a rod's middle is seen through the peephole, px.
    SeenMiddle,
}

impl Quantity {
    /// All quantities, in the order of a sheet.
    pub const ALL: [Self; 21] = {
        use Plate::{Front, Rear};
        [
            Self::Hole(Front),
            Self::Hole(Rear),
            Self::ScannedHole(Front),
            Self::ScannedHole(Rear),
            Self::PicturedHole(Front),
            Self::PicturedHole(Rear),
            Self::Distance(Stretch::PeepholeToFront),
            Self::Distance(Stretch::FrontToRear),
            Self::Distance(Stretch::PeepholeToRear),
            Self::Peephole,
            Self::EyeRelief,
            Self::Tension,
            Self::Tone,
            Self::Drop,
            Self::EndFrom(Front),
            Self::EndFrom(Rear),
            Self::SeenEnd,
            Self::SeenMiddle,
            Self::LineInHole(Front),
            Self::LineInHole(Rear),
            Self::Tie,
        ]
    };

    /// Its name on a sheet.
    pub fn name(self) -> &'static str {
        let on = |plate: Plate, front: &'static str, rear: &'static str| match plate {
            Plate::Front => front,
            Plate::Rear => rear,
        };
        match self {
            Self::Hole(p) => on(p, "front hole", "rear hole"),
            Self::ScannedHole(p) => on(p, "front hole on scan", "rear hole on scan"),
            Self::PicturedHole(p) => on(p, "front hole in picture", "rear hole in picture"),
            Self::LineInHole(p) => on(p, "line in front hole", "line in rear hole"),
            Self::Distance(Stretch::PeepholeToFront) => "peephole to front plate",
            Self::Distance(Stretch::FrontToRear) => "front to rear plate",
            Self::Distance(Stretch::PeepholeToRear) => "peephole to rear plate",
            Self::Peephole => "peephole",
            Self::EyeRelief => "eye to peephole",
            Self::Drop => "drop",
            Self::Tone => "tone",
            Self::Tension => "tension",
            Self::EndFrom(p) => on(p, "end from front plate", "end from rear plate"),
            Self::Tie => "rod beside line",
            Self::SeenEnd => "seen end",
            Self::SeenMiddle => "seen middle",
        }
    }

    /// Numbers of one reading: 1, or 2 (x and y).
    pub fn components(self) -> usize {
        match self {
            Self::Hole(_)
            | Self::ScannedHole(_)
            | Self::PicturedHole(_)
            | Self::LineInHole(_)
            | Self::Peephole
            | Self::Tie
            | Self::SeenEnd
            | Self::SeenMiddle => 2,
            _ => 1,
        }
    }

    /// Unit in which its readings are kept.
    pub fn unit(self) -> &'static str {
        match self {
            Self::PicturedHole(_) | Self::SeenEnd | Self::SeenMiddle => "px",
            Self::Tone => "Hz",
            Self::Tension => "N",
            _ => "mm",
        }
    }

    /// A reading between the sheet's frame (x to the right as seen from the peephole) and the cabinet's (x to the viewer's left),
    /// either way; pictures stay as they are, and so does what is one number.
    pub fn turned(self, [x, y]: [f64; 2]) -> [f64; 2] {
        if self.components() == 2 && self.unit() == "mm" {
            // no negative nought
            [0.0 - x, y]
        } else {
            [x, y]
        }
    }

    /// What a reading is taken on.
    pub fn taken_on(self) -> TakenOn {
        match self {
            Self::Hole(_)
            | Self::ScannedHole(_)
            | Self::PicturedHole(_)
            | Self::LineInHole(_)
            | Self::Drop
            | Self::Tone
            | Self::Tension => TakenOn::Line,
            Self::EndFrom(_) | Self::Tie | Self::SeenEnd => TakenOn::RodEnd,
            Self::SeenMiddle => TakenOn::Rod,
            Self::Distance(_) | Self::Peephole | Self::EyeRelief => TakenOn::Cabinet,
        }
    }

    /// Standard uncertainty of a careful reading with the usual tool, in the quantity's own unit (mm, Hz, N, px; for tone and
    /// tension a share of the reading): common practice, no source.
    pub fn usual_sd(self) -> UsualSd {
        match self {
            // a calliper's points on both sides of a hole
            Self::Hole(_) | Self::ScannedHole(_) => UsualSd::Fixed(0.05),
            Self::PicturedHole(_) => UsualSd::Fixed(1.0),
            // a loupe with a scale
            Self::LineInHole(_) => UsualSd::Fixed(0.05),
            // a steel rule
            Self::Distance(_) | Self::EyeRelief => UsualSd::Fixed(0.25),
            Self::Peephole => UsualSd::Fixed(0.1),
            // a rule behind the line
            Self::Drop => UsualSd::Fixed(0.15),
            // a tuner; the line's mass per length is known no better
            Self::Tone => UsualSd::Share(0.01),
            Self::Tension => UsualSd::Share(0.05),
            Self::EndFrom(_) => UsualSd::Fixed(0.3),
            Self::Tie => UsualSd::Fixed(0.15),
            // a picture of some thousand pixels
            Self::SeenEnd | Self::SeenMiddle => UsualSd::Fixed(1.0),
        }
    }
}

/// What a reading is taken on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TakenOn {
    /// The cabinet as a whole.
    Cabinet,
    /// A line, or its hole.
    Line,
    /// One end of a rod.
    RodEnd,
    /// A rod.
    Rod,
}

/// A usual standard uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum UsualSd {
    /// The same whatever is read.
    Fixed(f64),
    /// A share of what is read.
    Share(f64),
}

impl UsualSd {
    /// Of a reading of this size.
    pub fn of(self, value: f64) -> f64 {
        match self {
            Self::Fixed(sd) => sd,
            Self::Share(share) => share * value.abs(),
        }
    }
}

/// What one reading is of, and where it is taken (the measurand, VIM 2.3).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measurand {
    /// The quantity.
    pub quantity: Quantity,
    /// The line, by index, where it is taken on one (a rod end's line too).
    pub line: Option<usize>,
    /// The rod end as `2·rod + end`, where it is taken on one; of a rod's middle `2·rod`.
    pub end: Option<usize>,
    /// Of a drop the distance from the front plate, mm; of a tone the length that sounds, mm, where it is not the whole span.
    pub at_mm: Option<f64>,
    /// Of a distance between plates where it is taken, from the axis, mm; `None`: at the plates' centres.
    pub place_mm: Option<Pair>,
}

/// A measurand as a key: two of the same key are of the same thing.
pub type MeasurandKey = (
    usize,
    Option<usize>,
    Option<usize>,
    Option<u64>,
    Option<[u64; 2]>,
);

impl Measurand {
    /// Its key; places count as the same where they are to the last digit.
    pub fn key(&self) -> MeasurandKey {
        let quantity = Quantity::ALL
            .iter()
            .position(|one| *one == self.quantity)
            .unwrap_or_default();
        // + 0 leaves no negative nought
        let bits = |value: f64| (value + 0.0).to_bits();
        (
            quantity,
            self.line,
            self.end,
            self.at_mm.map(bits),
            self.place_mm.map(|place| [bits(place.x), bits(place.y)]),
        )
    }

    /// Of something taken on the cabinet as a whole.
    pub fn of(quantity: Quantity) -> Self {
        Self {
            quantity,
            line: None,
            end: None,
            at_mm: None,
            place_mm: None,
        }
    }

    /// Of a line.
    pub fn of_line(quantity: Quantity, line: usize) -> Self {
        Self {
            line: Some(line),
            ..Self::of(quantity)
        }
    }

    /// Of a rod end `2·rod + end`.
    pub fn of_end(quantity: Quantity, design: &Design, end: usize) -> Self {
        Self {
            line: Some(design.rods[end / 2].ends[end % 2].line),
            end: Some(end),
            ..Self::of(quantity)
        }
    }

    /// Of a rod's middle.
    pub fn of_middle(rod: usize) -> Self {
        Self {
            end: Some(2 * rod),
            ..Self::of(Quantity::SeenMiddle)
        }
    }

    /// What it is, with names: "rear hole of mast-top", "rod deck at stern from the front plate".
    pub fn words(&self, design: &Design) -> String {
        let line = self
            .line
            .map(|line| design.vertices[line].name.as_str())
            .unwrap_or_default();
        let rod = self
            .end
            .map(|end| design.rods[end / 2].name.as_str())
            .unwrap_or_default();
        let at = self
            .at_mm
            .map(|at_mm| format!(" at {at_mm} mm"))
            .unwrap_or_default();
        let place = self
            .place_mm
            .map(|place| format!(" at ({}, {}) mm", -place.x, place.y))
            .unwrap_or_default();
        let name = self.quantity.name();
        match self.quantity.taken_on() {
            TakenOn::Cabinet => format!("{name}{place}"),
            TakenOn::Line => format!("{name} {line}{at}"),
            TakenOn::RodEnd => format!("{name}: rod {rod} at {line}"),
            TakenOn::Rod => format!("{name}: rod {rod}"),
        }
    }
}

/// One reading.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// What it is of.
    pub of: Measurand,
    /// What was read, in the quantity's own unit (mm, Hz, N, px); the second is unused for one component.
    pub value: [f64; 2],
    /// Standard uncertainty of each component, in the same unit.
    pub sd: f64,
    /// Where it stands: `file:line`, for messages.
    pub place: String,
    /// The sheet's remark.
    pub remark: Option<String>,
}

/// What the sheet says in words; nothing of it is made up where it says nothing.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct BenchWords {
    /// Name or number of the exhibit.
    pub exhibit: Option<String>,
    /// Who measured.
    pub measured_by: Option<String>,
    /// When.
    pub measured_on: Option<String>,
    /// With what.
    pub instruments: Option<String>,
    /// Who signs the record.
    pub signed_by: Option<String>,
    /// What else was noticed.
    pub note: Option<String>,
}

/// How square to the plates the camera at the peephole looked.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Perspective {
    /// Square to them: the picture has no perspective.
    Square,
    /// Held by hand, within some degrees.
    #[default]
    Held,
    /// Clearly askew.
    Askew,
}

impl Perspective {
    /// Standard deviation of each of the two tangents by which it looks aside, before anything is read (chosen: some 3° and 17°).
    pub fn sd(self) -> f64 {
        match self {
            Self::Square => 0.0,
            Self::Held => 0.05,
            Self::Askew => 0.3,
        }
    }

    /// What a sheet says of it; nothing where it says nothing.
    pub fn name(self) -> &'static str {
        match self {
            Self::Square => "no",
            Self::Held => "",
            Self::Askew => "yes",
        }
    }
}

/// All readings of one build.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Bench {
    /// The readings, in the order of the files.
    pub readings: Vec<Reading>,
    /// How the camera at the peephole looked.
    pub perspective: Perspective,
    /// Diameter of the camera's pupil, mm; `None`: that of the scenario's mean visitor.
    pub camera_pupil_mm: Option<f64>,
    /// What the sheet says in words.
    pub words: BenchWords,
    /// SHA-256 over all its files, in hexadecimal; empty where there are none.
    pub sha256: String,
}

/// Everything that can be measured of a design, in the order of a sheet: at the corners of the plates for the distances, at the
/// middle of the span for drops.
pub fn all_measurands(plan: &Plan) -> Vec<Measurand> {
    let design = &plan.design;
    let lines = 0..design.vertices.len();
    let ends = 0..2 * design.rods.len();
    let mut all = Vec::new();
    for plate in Plate::BOTH {
        for quantity in [
            Quantity::Hole(plate),
            Quantity::ScannedHole(plate),
            Quantity::PicturedHole(plate),
            Quantity::LineInHole(plate),
        ] {
            all.extend(lines.clone().map(|line| Measurand::of_line(quantity, line)));
        }
    }
    for stretch in [
        Stretch::PeepholeToFront,
        Stretch::FrontToRear,
        Stretch::PeepholeToRear,
    ] {
        let distance = Measurand::of(Quantity::Distance(stretch));
        all.push(distance);
        let reach_mm = plan.holes_mm[usize::from(stretch != Stretch::PeepholeToFront)]
            .iter()
            .fold(0.0_f64, |reach, hole| reach.max(hole.amax()));
        // a round number that a rule finds, outside the holes
        let corner_mm = (reach_mm / 10.0).ceil() * 10.0;
        for (x, y) in [(-1.0, 1.0), (1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)] {
            all.push(Measurand {
                place_mm: Some(Pair::new(x, y) * corner_mm),
                ..distance
            });
        }
    }
    all.push(Measurand::of(Quantity::Peephole));
    all.push(Measurand::of(Quantity::EyeRelief));
    for quantity in [Quantity::Tension, Quantity::Tone] {
        all.extend(lines.clone().map(|line| Measurand::of_line(quantity, line)));
    }
    let middle_mm = (plan.span_mm() / 2.0).round();
    all.extend(lines.map(|line| Measurand {
        at_mm: Some(middle_mm),
        ..Measurand::of_line(Quantity::Drop, line)
    }));
    for quantity in [
        Quantity::EndFrom(Plate::Front),
        Quantity::EndFrom(Plate::Rear),
        Quantity::Tie,
        Quantity::SeenEnd,
    ] {
        all.extend(
            ends.clone()
                .map(|end| Measurand::of_end(quantity, design, end)),
        );
    }
    all.extend((0..design.rods.len()).map(Measurand::of_middle));
    all
}
