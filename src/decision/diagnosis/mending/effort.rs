//! How many minutes of one person's work a correction takes. All minutes are chosen, without a source, alike in size to those of
//! the shipped ways of working; they only rank what mends a build.

use super::super::cause::Suspect;
use super::correction::Correction;
use crate::figure::{Plan, Plate, Source};
use std::collections::BTreeSet;

/// Placing, printing and checking one pattern: registered on pins 5, checked against a bar both ways 6.
const PATTERN_MIN: f64 = 11.0;
/// Piercing one hole of a pattern, drilled through a template.
const PIERCE_MIN: f64 = 1.0;
/// Piercing one hole alone: marking it from its neighbours, closing the old one, drilling.
const PIERCE_ALONE_MIN: f64 = 8.0;
/// Taking a line out of one hole and leading it through another: out 1, in 2.
const THREAD_MIN: f64 = 3.0;
/// Tightening one line to the tone of the first.
const TIGHTEN_MIN: f64 = 4.0;
/// Pulling one line that runs through all holes, at its end.
const PULL_MIN: f64 = 5.0;
/// Settling a line in its hole, where it bears on the wrong side.
const SETTLE_MIN: f64 = 2.0;
/// Tying one rod end again: off 1, marked on a stick 1, tied in a jig 1.2.
const TIE_MIN: f64 = 3.2;
/// Straightening a rod, or sorting out another.
const STRAIGHTEN_MIN: f64 = 3.0;
/// Seating a plate again or moving it in its seat, on battens: loosened 5, set 15.
const SEAT_MIN: f64 = 20.0;
/// Setting the peephole again, sighted through two lines far apart.
const PEEPHOLE_MIN: f64 = 15.0;
/// Moving the rest for the eye.
const REST_MIN: f64 = 10.0;

/// What has to be done, each piece of it once.
#[derive(Default)]
struct Work {
    patterns: BTreeSet<usize>,
    holes_alone: BTreeSet<(usize, usize)>,
    threaded: BTreeSet<(usize, usize)>,
    tightened: BTreeSet<usize>,
    settled: BTreeSet<(usize, usize)>,
    tied: BTreeSet<usize>,
    straightened: BTreeSet<usize>,
    seated: BTreeSet<usize>,
    peephole: bool,
    rest: bool,
}

/// Minutes of all `corrections` together: what two of them share is done once.
pub(super) fn minutes(plan: &Plan, corrections: &[Correction]) -> f64 {
    let mut work = Work::default();
    for correction in corrections {
        work.add(plan, correction);
    }
    work.minutes(plan)
}

impl Work {
    fn add(&mut self, plan: &Plan, correction: &Correction) {
        match correction {
            Correction::PutRight(Suspect::Item { source, item }) => {
                self.add_item(plan, Source::ALL[*source], *item);
            }
            Correction::PutRight(Suspect::Alike { source }) => match Source::ALL[*source] {
                Source::RodSlip | Source::RodTie => self.tie_all(plan),
                _ => self.tighten_all(plan),
            },
            Correction::PutRight(Suspect::Reading(_)) => {}
            Correction::MovePlate(moved) => {
                self.seated.insert(moved.plate.index());
                if moved.depth_mm != 0.0 {
                    self.tighten_all(plan);
                }
            }
            Correction::MovePeephole(..) => self.peephole = true,
            Correction::TightenAll => self.tighten_all(plan),
            Correction::PierceAnew(plate) => {
                self.patterns.insert(plate.index());
                self.seated.insert(plate.index());
                self.thread(plan, *plate, None);
            }
        }
    }

    fn add_item(&mut self, plan: &Plan, source: Source, item: usize) {
        match source {
            Source::HoleScatter(plate) => {
                self.holes_alone.insert((plate.index(), item));
                self.thread(plan, plate, Some(item));
            }
            Source::HoleSlack(plate) => {
                self.settled.insert((plate.index(), item));
            }
            Source::HandTension | Source::Slackening => {
                self.tightened.insert(item);
            }
            Source::RodTie | Source::RodSlip => {
                self.tied.insert(item);
            }
            Source::RodBow => {
                self.straightened.insert(item);
                self.tied.extend([2 * item, 2 * item + 1]);
            }
            Source::PeepholeShift | Source::PeepholeDepth => self.peephole = true,
            Source::EyeRelief => self.rest = true,
            source => {
                self.seated.extend(source.plate().map(Plate::index));
                self.tighten_all(plan);
            }
        }
    }

    /// Threads one line, or all of them, through a plate; one line that runs through all holes has to come out of them all, and
    /// its rods off it.
    fn thread(&mut self, plan: &Plan, plate: Plate, line: Option<usize>) {
        let lines = 0..plan.design.vertices.len();
        if plan.design.line.threading.is_some() {
            for side in [0, 1] {
                self.threaded.extend(lines.clone().map(|line| (side, line)));
            }
            self.tighten_all(plan);
            self.tie_all(plan);
        } else {
            let lines = line.map_or(lines, |line| line..line + 1);
            self.threaded
                .extend(lines.clone().map(|line| (plate.index(), line)));
            self.tightened.extend(lines);
        }
    }

    fn tighten_all(&mut self, plan: &Plan) {
        self.tightened.extend(0..plan.design.vertices.len());
    }

    fn tie_all(&mut self, plan: &Plan) {
        self.tied.extend(0..2 * plan.design.rods.len());
    }

    fn minutes(&self, plan: &Plan) -> f64 {
        let times = |minutes: f64, count: usize| minutes * count as f64;
        let lines = plan.design.vertices.len();
        let tightened = match self.tightened.len() {
            0 => 0.0,
            _ if plan.design.tension_is_shared() => PULL_MIN,
            count => times(TIGHTEN_MIN, count),
        };
        times(PATTERN_MIN + times(PIERCE_MIN, lines), self.patterns.len())
            + times(PIERCE_ALONE_MIN, self.holes_alone.len())
            + times(THREAD_MIN, self.threaded.len())
            + tightened
            + times(SETTLE_MIN, self.settled.len())
            + times(TIE_MIN, self.tied.len())
            + times(STRAIGHTEN_MIN, self.straightened.len())
            + times(SEAT_MIN, self.seated.len())
            + if self.peephole { PEEPHOLE_MIN } else { 0.0 }
            + if self.rest { REST_MIN } else { 0.0 }
    }
}
