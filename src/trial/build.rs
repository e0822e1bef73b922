//! One build: where holes, lines, rod ends and the peephole really are.
//!
//! A rod end: its line runs straight between the two real holes; at the end's depth (with its slip) it has sagged by
//! M(s)/T; the rod's axis lies beside the line by the tie's offset. The offset is taken across the axis (in the plane
//! of constant z), the line's slope being small.

use crate::figure::{Plan, Plate, Source};
use crate::geometry::{Pair, PlatePose, Point, Straight};
use crate::mechanics::LARGEST_SAG_SHARE;
use std::fmt;

/// Where everything that one looks at is, mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Built {
    /// Rod ends at `2·rod + end`.
    pub ends_mm: Vec<Point>,
    /// Rods' middles; empty when rods cannot bow.
    pub middles_mm: Vec<Point>,
    /// Centre of the peephole.
    pub peephole_mm: Point,
    /// Holes through which the lines really pass: `[front, rear][line]`.
    pub holes_mm: [Vec<Point>; 2],
    /// Tension of each line, N.
    pub tensions_n: Vec<f64>,
}

/// Why a trial could not be computed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum NotComputable {
    /// A line's tension is not positive.
    NoTension,
    /// A line sags by more than 1/20 of its span, where the formula ends.
    SagOutOfRange,
    /// A line's two holes changed sides.
    PlatesCross,
    /// A rod end slipped out of the cabinet.
    RodOutsidePlates,
    /// The eye is not before the peephole's plate.
    EyeBeyondPeephole,
    /// The pupil has no area.
    NoPupil,
    /// The similarity fit has no answer.
    NoFit,
    /// A rod end is not seen at all, where all must be.
    NotSeen,
    /// A number is not finite.
    NotFinite,
}

impl NotComputable {
    /// All reasons.
    pub const ALL: [Self; 9] = [
        Self::NoTension,
        Self::SagOutOfRange,
        Self::PlatesCross,
        Self::RodOutsidePlates,
        Self::EyeBeyondPeephole,
        Self::NoPupil,
        Self::NoFit,
        Self::NotSeen,
        Self::NotFinite,
    ];
}

impl fmt::Display for NotComputable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::NoTension => "a line's tension is not positive",
            Self::SagOutOfRange => {
                "a line sags by more than 1/20 of its span, outside the range of the sag formula"
            }
            Self::PlatesCross => "a line's rear hole is not behind its front hole",
            Self::RodOutsidePlates => "a rod end slipped out between the plates",
            Self::EyeBeyondPeephole => "the eye is not in front of the peephole's plate",
            Self::NoPupil => "the pupil's diameter is not positive",
            Self::NoFit => "the figure collapsed to a point: no similarity fits",
            Self::NotSeen => "a rod end is not seen at all with every source at its mean",
            Self::NotFinite => "a number is not finite",
        })
    }
}

impl Built {
    /// Room for a build of `plan`.
    pub fn new(plan: &Plan) -> Self {
        let rods = plan.design.rods.len();
        let lines = plan.design.vertices.len();
        Self {
            ends_mm: vec![Point::zeros(); 2 * rods],
            middles_mm: vec![Point::zeros(); plan.middle_count()],
            peephole_mm: Point::zeros(),
            holes_mm: [vec![Point::zeros(); lines], vec![Point::zeros(); lines]],
            tensions_n: vec![0.0; lines],
        }
    }

    /// Works out the build whose values are `values` (laid out by `plan.layout`).
    ///
    /// # Errors
    /// [`NotComputable`] with the reason; what `self` then holds means nothing.
    pub fn set(&mut self, plan: &Plan, values: &[f64]) -> Result<(), NotComputable> {
        self.place_holes(plan, values)?;
        self.tighten(plan, values)?;
        self.hang_rods(plan, values)?;
        if plan.with_middles {
            self.bow_rods(plan, values);
        }
        let shift = pair(values, plan.layout.start(Source::PeepholeShift), 0);
        let depth_mm = values[plan.layout.start(Source::PeepholeDepth)];
        self.peephole_mm = Point::new(
            shift.x,
            shift.y,
            plan.design.peephole.eye_relief_mm + depth_mm,
        );
        let finite = self
            .ends_mm
            .iter()
            .chain(&self.middles_mm)
            .all(|p| p.iter().all(|c| c.is_finite()))
            && self.peephole_mm.iter().all(|c| c.is_finite());
        if finite {
            Ok(())
        } else {
            Err(NotComputable::NotFinite)
        }
    }

    fn place_holes(&mut self, plan: &Plan, values: &[f64]) -> Result<(), NotComputable> {
        for (side, plate) in Plate::BOTH.into_iter().enumerate() {
            let one = |source: Source| values[plan.layout.start(source)];
            let spec = plan.design.plates[side];
            let placed = PlatePose {
                shift_mm: pair(values, plan.layout.start(Source::PatternShift(plate)), 0),
                turn_rad: one(Source::PatternTurn(plate)),
                scale: one(Source::PrintScale(plate)),
                seat_depth_mm: one(Source::SeatDepth(plate)),
                tilt_x_rad: one(Source::TiltX(plate)),
                tilt_y_rad: one(Source::TiltY(plate)),
            }
            .place(spec.centre_mm, spec.z_mm);
            let scatter = plan.layout.start(Source::HoleScatter(plate));
            let slack = plan.layout.start(Source::HoleSlack(plate));
            for (line, hole) in self.holes_mm[side].iter_mut().enumerate() {
                let offset = pair(values, scatter, line) + pair(values, slack, line);
                *hole = placed.hole_mm(plan.holes_mm[side][line], offset);
            }
        }
        let [front, rear] = &self.holes_mm;
        if front.iter().zip(rear).all(|(front, rear)| rear.z > front.z) {
            Ok(())
        } else {
            Err(NotComputable::PlatesCross)
        }
    }

    fn tighten(&mut self, plan: &Plan, values: &[f64]) -> Result<(), NotComputable> {
        let hand = plan.layout.start(Source::HandTension);
        let slackening = plan.layout.start(Source::Slackening);
        let shared = plan.design.tension_is_shared();
        for (line, tension_n) in self.tensions_n.iter_mut().enumerate() {
            let pull = values[hand + if shared { 0 } else { line }];
            *tension_n = plan.tensions_n[line] * pull * values[slackening + line];
        }
        // all tensions first: a line that hangs loose is the plainer reason, whichever line it is
        if !self.tensions_n.iter().all(|tension_n| *tension_n > 0.0) {
            return Err(NotComputable::NoTension);
        }
        for (line, tension_n) in self.tensions_n.iter().enumerate() {
            let most = LARGEST_SAG_SHARE * plan.spans[line].length_mm * tension_n;
            if !(plan.largest_moments_n_mm[line] <= most) {
                return Err(NotComputable::SagOutOfRange);
            }
        }
        Ok(())
    }

    /// The line with the largest sag over its span, and that share, after [`Built::set`] got as far as the tensions.
    pub fn largest_sag_share(&self, plan: &Plan) -> Option<(usize, f64)> {
        let shares = self.tensions_n.iter().enumerate().map(|(line, tension_n)| {
            (
                line,
                plan.largest_moments_n_mm[line] / (tension_n * plan.spans[line].length_mm),
            )
        });
        shares.max_by(|a, b| a.1.total_cmp(&b.1))
    }

    fn hang_rods(&mut self, plan: &Plan, values: &[f64]) -> Result<(), NotComputable> {
        let tie = plan.layout.start(Source::RodTie);
        let slip = plan.layout.start(Source::RodSlip);
        let front_z_mm = plan.design.plates[0].z_mm;
        let down = plan.design.gravity.down;
        for (rod_index, rod) in plan.design.rods.iter().enumerate() {
            for (which, rod_end) in rod.ends.iter().enumerate() {
                let end = 2 * rod_index + which;
                let line = rod_end.line;
                let (front, rear) = (self.holes_mm[0][line], self.holes_mm[1][line]);
                let z_mm = rod_end.depth_mm + values[slip + end];
                if !(z_mm > front.z && z_mm < rear.z) {
                    return Err(NotComputable::RodOutsidePlates);
                }
                let sag_mm =
                    plan.spans[line].sag_mm(z_mm - front_z_mm, 1.0 / self.tensions_n[line]);
                let place = Straight::through(front, rear).at_mm(z_mm)
                    + down * sag_mm
                    + pair(values, tie, end);
                self.ends_mm[end] = Point::new(place.x, place.y, z_mm);
            }
        }
        Ok(())
    }

    fn bow_rods(&mut self, plan: &Plan, values: &[f64]) {
        let bow = plan.layout.start(Source::RodBow);
        for (rod, middle) in self.middles_mm.iter_mut().enumerate() {
            let (first, second) = (self.ends_mm[2 * rod], self.ends_mm[2 * rod + 1]);
            *middle = bowed_middle_mm(first, second, pair(values, bow, rod));
        }
    }
}

/// The middle of a bowed rod between `first` and `second`, mm. It stands off the straight, square to the rod:
/// `(across, deep)` in shares of the rod's length, the first square to the rod and across the axis (a quarter turn from x
/// towards y off the rod), the second square to both. A rod along the axis has no "across" and keeps its straight middle.
#[inline(always)]
pub(super) fn bowed_middle_mm(first: Point, second: Point, bow: Pair) -> Point {
    let (x, y, z) = (second.x - first.x, second.y - first.y, second.z - first.z);
    let level_squared = x * x + y * y;
    let length_squared = level_squared + z * z;
    let per_level = 1.0 / level_squared.sqrt();
    let off_across = bow.x * length_squared.sqrt() * per_level;
    // deep = span × across / length, so its length cancels
    let off_deep = bow.y * per_level;
    let across = Point::new(-y, x, 0.0) * off_across;
    let deep = Point::new(-z * x, -z * y, level_squared) * off_deep;
    let straight = (first + second) * 0.5;
    if level_squared > 0.0 {
        straight + across + deep
    } else {
        straight
    }
}

/// Two values of item `item` of the source that starts at `start`.
fn pair(values: &[f64], start: usize, item: usize) -> Pair {
    Pair::new(values[start + 2 * item], values[start + 2 * item + 1])
}
