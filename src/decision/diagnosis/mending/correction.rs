//! Corrections of a build, and what each does to its values: work done again is drawn anew from its own law; what is moved keeps
//! what it has, is moved, and is set as closely as the law of that setting says.

use super::super::cause::Suspect;
use crate::figure::{Family, Plan, Plate, Source};
use crate::geometry::Pair;
use crate::sampling::{Stream, StreamKey};
use std::collections::BTreeSet;
use std::ops::Range;

/// The stream of what work done again gives.
const PURPOSE: u64 = 1006;

/// A plate moved in its seat, from where it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Move {
    /// Which.
    pub plate: Plate,
    /// Across, mm.
    pub shift_mm: Pair,
    /// About its centre, rad, right-handed about +z.
    pub turn_rad: f64,
    /// Along the axis, mm, away from the eye.
    pub depth_mm: f64,
}

/// One correction.
#[derive(Debug, Clone, PartialEq)]
pub enum Correction {
    /// One cause put right: that piece of work done again, as well as its tolerance says. Of a hole: pierced alone, beside the
    /// old one; of an eye's relief: the rest for the eye moved to where the scenario has it.
    PutRight(Suspect),
    /// A plate moved in its seat so that it makes up best for what is wrong.
    MovePlate(Move),
    /// The peephole moved by this much, mm (across, and along the axis away from the eye).
    MovePeephole(Pair, f64),
    /// All lines tightened again, each as planned.
    TightenAll,
    /// One plate pierced anew, with all its holes.
    PierceAnew(Plate),
}

impl Correction {
    /// Whether a hole has to be pierced.
    pub fn pierces(&self) -> bool {
        match self {
            Self::PierceAnew(_) => true,
            Self::PutRight(suspect) => {
                matches!(suspect.source(), Some(Source::HoleScatter(_)))
            }
            _ => false,
        }
    }

    /// Whether it is work on what `suspect` is about, and not something else that makes up for it.
    pub(super) fn puts_right(&self, plan: &Plan, suspect: Suspect) -> bool {
        let Some(source) = suspect.source() else {
            return false;
        };
        match self {
            Self::PutRight(cause) => *cause == suspect,
            Self::MovePlate(moved) => match source {
                Source::PatternShift(plate) => {
                    plate == moved.plate && moved.shift_mm != Pair::zeros()
                }
                Source::PatternTurn(plate) => plate == moved.plate && moved.turn_rad != 0.0,
                // a seat is put right by seating again
                _ => false,
            },
            Self::MovePeephole(..) => {
                matches!(source, Source::PeepholeShift | Source::PeepholeDepth)
            }
            Self::TightenAll | Self::PierceAnew(_) => {
                let redone = self.redone(plan);
                let cause = Self::PutRight(suspect).redone(plan);
                !cause.is_empty() && cause.is_subset(&redone)
            }
        }
    }

    /// Whether it brings the eye's relief back to the scenario's.
    pub(super) fn brings_relief_back(&self) -> bool {
        *self == Self::PutRight(Suspect::item(Source::EyeRelief, 0))
    }

    /// Which values of a build it draws anew.
    pub(super) fn redone(&self, plan: &Plan) -> BTreeSet<usize> {
        let places = Places { plan };
        match self {
            Self::PutRight(Suspect::Item { source, item }) => {
                places.item_done_again(Source::ALL[*source], *item)
            }
            Self::PutRight(Suspect::Alike { source }) => match Source::ALL[*source] {
                Source::RodSlip | Source::RodTie => places.all_ends(),
                Source::HandTension | Source::Slackening => places.all_tensions(),
                source => places.all(source),
            },
            Self::PutRight(Suspect::Reading(_)) | Self::MovePeephole(..) => BTreeSet::new(),
            // a plate that is moved along the axis loosens or tightens every line
            Self::MovePlate(moved) if moved.depth_mm == 0.0 => BTreeSet::new(),
            Self::MovePlate(_) | Self::TightenAll => places.all_tensions(),
            Self::PierceAnew(plate) => {
                let mut redone = places.threaded_anew();
                for source in [
                    Source::PatternShift(*plate),
                    Source::PatternTurn(*plate),
                    Source::PrintScale(*plate),
                    Source::HoleScatter(*plate),
                ] {
                    redone.extend(places.all(source));
                }
                redone
            }
        }
    }

    /// Moves what it moves: `set` is how each value would be set if it were set anew, of which only what it is off its law's
    /// `mean` counts.
    pub(super) fn shift(&self, plan: &Plan, values: &mut [f64], set: &[f64], mean: &[f64]) {
        let start = |source: Source| plan.layout.start(source);
        let off = |at: usize| set[at] - mean[at];
        match self {
            Self::MovePlate(moved) => {
                let plate = moved.plate;
                let shift = start(Source::PatternShift(plate));
                if moved.turn_rad != 0.0 {
                    turn_plate(plan, values, moved);
                    let turn = start(Source::PatternTurn(plate));
                    values[turn] += moved.turn_rad + off(turn);
                }
                if moved.shift_mm != Pair::zeros() {
                    values[shift] += moved.shift_mm.x + off(shift);
                    values[shift + 1] += moved.shift_mm.y + off(shift + 1);
                }
                if moved.depth_mm != 0.0 {
                    let depth = start(Source::SeatDepth(plate));
                    values[depth] += moved.depth_mm + off(depth);
                }
            }
            Self::MovePeephole(shift_mm, depth_mm) => {
                let shift = start(Source::PeepholeShift);
                if *shift_mm != Pair::zeros() {
                    values[shift] += shift_mm.x + off(shift);
                    values[shift + 1] += shift_mm.y + off(shift + 1);
                }
                if *depth_mm != 0.0 {
                    let depth = start(Source::PeepholeDepth);
                    values[depth] += depth_mm + off(depth);
                }
            }
            _ => {}
        }
    }
}

/// Which values of a build `corrections` draw anew.
pub(super) fn all_redone(plan: &Plan, corrections: &[Correction]) -> BTreeSet<usize> {
    corrections
        .iter()
        .flat_map(|correction| correction.redone(plan))
        .collect()
}

/// A build's values after `corrections`, which draw the values of `redone` anew: `fresh` is what work done again gives.
pub(super) fn corrected(
    plan: &Plan,
    (corrections, redone): (&[Correction], &BTreeSet<usize>),
    build: &[f64],
    fresh: &[f64],
    mean: &[f64],
) -> Vec<f64> {
    let mut values = build.to_vec();
    for at in redone {
        values[*at] = fresh[*at];
    }
    for correction in corrections {
        correction.shift(plan, &mut values, fresh, mean);
    }
    values
}

/// Turns all that is pierced in a plate about its centre, but for the turn of its pattern itself.
fn turn_plate(plan: &Plan, values: &mut [f64], moved: &Move) {
    let (sine, cosine) = (libm::sin(moved.turn_rad), libm::cos(moved.turn_rad));
    let places = Places { plan };
    let shift = places.of(Source::PatternShift(moved.plate), 0);
    let holes = (0..plan.design.vertices.len())
        .map(|line| places.of(Source::HoleScatter(moved.plate), line));
    for pair in std::iter::once(shift).chain(holes) {
        let (x, y) = (values[pair.start], values[pair.start + 1]);
        values[pair.start] = cosine * x - sine * y;
        values[pair.start + 1] = sine * x + cosine * y;
    }
}

/// What work done again gives in each of `builds` builds: every value drawn from its own law, with numbers of its own.
pub(super) fn fresh_work(plan: &Plan, seed: u64, builds: usize) -> Vec<Vec<f64>> {
    let draw = |build: usize| {
        let mut values = vec![0.0; plan.layout.build_len];
        let sources = Source::ALL.into_iter();
        for source in sources.filter(|source| source.family() == Family::Build) {
            let key = StreamKey {
                seed,
                source: PURPOSE,
                item: source.number(),
                component: 0,
                look: 0,
            };
            let mut stream = Stream::new(key, build as u64);
            let (start, components) = (plan.layout.start(source), source.components());
            for item in 0..source.items(&plan.design) {
                let uniforms = [stream.next_uniform(), stream.next_uniform()];
                let drawn = plan.design.law(source).values(item, uniforms);
                let at = start + item * components;
                values[at..at + components].copy_from_slice(&drawn[..components]);
            }
        }
        values
    };
    (0..builds).map(draw).collect()
}

/// Where values stand in a build's vector.
pub(super) struct Places<'p> {
    pub plan: &'p Plan,
}

impl Places<'_> {
    /// The values of one item.
    pub fn of(&self, source: Source, item: usize) -> Range<usize> {
        let components = source.components();
        let at = self.plan.layout.start(source) + item * components;
        at..at + components
    }

    fn all(&self, source: Source) -> BTreeSet<usize> {
        let items = 0..source.items(&self.plan.design);
        items.flat_map(|item| self.of(source, item)).collect()
    }

    fn all_tensions(&self) -> BTreeSet<usize> {
        let mut all = self.all(Source::HandTension);
        all.extend(self.all(Source::Slackening));
        all
    }

    /// The tension of one line: of all where one pull tightens them all.
    fn tension(&self, line: usize) -> BTreeSet<usize> {
        if self.plan.design.tension_is_shared() {
            return self.all_tensions();
        }
        let both = [Source::HandTension, Source::Slackening];
        both.into_iter()
            .flat_map(|source| self.of(source, line))
            .collect()
    }

    fn end(&self, end: usize) -> BTreeSet<usize> {
        let both = [Source::RodTie, Source::RodSlip];
        both.into_iter()
            .flat_map(|source| self.of(source, end))
            .collect()
    }

    fn all_ends(&self) -> BTreeSet<usize> {
        let mut all = self.all(Source::RodTie);
        all.extend(self.all(Source::RodSlip));
        all
    }

    /// All lines threaded anew: where they lie in their holes, and their tensions; and where one line is led through all holes, its
    /// rods come off and are hung anew.
    fn threaded_anew(&self) -> BTreeSet<usize> {
        let mut all = self.all_tensions();
        for plate in Plate::BOTH {
            all.extend(self.all(Source::HoleSlack(plate)));
        }
        if self.plan.design.line.threading.is_some() {
            all.extend(self.all_ends());
        }
        all
    }

    fn item_done_again(&self, source: Source, item: usize) -> BTreeSet<usize> {
        let mut redone: BTreeSet<usize> = match source.family() {
            Family::Build => self.of(source, item).collect(),
            Family::Look => BTreeSet::new(),
        };
        match source {
            Source::HoleScatter(plate) => {
                redone.extend(self.of(Source::HoleSlack(plate), item));
                redone.extend(if self.plan.design.line.threading.is_some() {
                    self.threaded_anew()
                } else {
                    self.tension(item)
                });
            }
            Source::HandTension | Source::Slackening => redone.extend(self.tension(item)),
            Source::RodTie | Source::RodSlip => redone.extend(self.end(item)),
            Source::RodBow => {
                redone.extend(self.end(2 * item));
                redone.extend(self.end(2 * item + 1));
            }
            Source::SeatDepth(_) | Source::TiltX(_) | Source::TiltY(_) => {
                redone.extend(self.all_tensions());
            }
            _ => {}
        }
        redone
    }
}
