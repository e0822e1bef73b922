//! What to do, in a workshop's words: amounts and directions as seen from the peephole.
//!
//! In the cabinet's frame +x points to the viewer's left and +z away from the eye, so a turn right-handed about +z is clockwise as
//! seen from the peephole.

use super::super::cause::Suspect;
use super::correction::{Correction, Move, Places};
use super::moves::reach_mm;
use crate::figure::{Plan, Plate, Source};
use crate::geometry::Pair;

/// Below this an amount is not worth a word, mm: it would be told as 0.0.
const NOT_WORTH_MM: f64 = 0.05;

/// A build as it is now beside what was planned.
pub(super) struct Teller<'a> {
    pub plan: &'a Plan,
    /// The most probable build.
    pub now: &'a [f64],
    /// The mean of all laws.
    pub mean: &'a [f64],
    /// By how much the eye is too near to the peephole, mm.
    pub relief_shift_mm: f64,
}

impl Teller<'_> {
    /// What to do.
    pub fn words(&self, corrections: &[Correction]) -> String {
        let each: Vec<String> = corrections.iter().map(|one| self.one(one)).collect();
        each.join("; then ")
    }

    fn one(&self, correction: &Correction) -> String {
        match correction {
            Correction::PutRight(Suspect::Item { source, item }) => {
                self.item(Source::ALL[*source], *item)
            }
            Correction::PutRight(Suspect::Alike { source }) => match Source::ALL[*source] {
                Source::RodSlip | Source::RodTie => self.all_ends(),
                _ => self.all_lines(),
            },
            Correction::PutRight(Suspect::Reading(_)) => "read it again".to_owned(),
            Correction::MovePlate(moved) => self.moved(moved),
            Correction::MovePeephole(shift_mm, depth_mm) => {
                let mut ways = across_ways(*shift_mm);
                ways.extend(way(
                    *depth_mm,
                    ["towards the eye", "towards the front plate"],
                ));
                format!("move the peephole {}", joined(&ways))
            }
            Correction::TightenAll => self.all_lines(),
            Correction::PierceAnew(plate) => {
                let hung = if self.plan.design.line.threading.is_some() {
                    ", then hang all rods again"
                } else {
                    ""
                };
                format!(
                    "pierce the {} plate anew, all {} holes; thread and tighten all lines again{hung}",
                    plate.word(),
                    self.plan.design.vertices.len()
                )
            }
        }
    }

    fn off(&self, source: Source, item: usize) -> [f64; 2] {
        let places = Places { plan: self.plan }.of(source, item);
        let off = |at: usize| self.now[at] - self.mean[at];
        let second = if places.len() > 1 {
            off(places.start + 1)
        } else {
            0.0
        };
        [off(places.start), second]
    }

    fn line(&self, line: usize) -> &str {
        &self.plan.design.vertices[line].name
    }

    fn end(&self, end: usize) -> String {
        let rod = &self.plan.design.rods[end / 2];
        format!("rod {} at {}", rod.name, self.line(rod.ends[end % 2].line))
    }

    fn item(&self, source: Source, item: usize) -> String {
        let off = self.off(source, item);
        match source {
            Source::HoleScatter(plate) => self.hole(plate, item, off.into()),
            Source::HoleSlack(plate) => format!(
                "settle line {} anew in its hole in the {} plate, {} of where it bears now",
                self.line(item),
                plate.word(),
                joined_or(&across_ways(-Pair::from(off)), "a little aside")
            ),
            Source::HandTension | Source::Slackening => self.tension(item),
            Source::RodTie => format!(
                "tie {} again, {}",
                self.end(item),
                joined_or(&across_ways(-Pair::from(off)), "on its mark")
            ),
            Source::RodSlip => format!("re-tie {} {}", self.end(item), along_line(-off[0])),
            Source::RodBow => {
                let rod = &self.plan.design.rods[item];
                let bow_mm = libm::hypot(off[0], off[1]) * self.plan.rod_length_mm(item);
                format!(
                    "straighten or replace rod {}, whose middle stands {bow_mm:.1} mm off, and tie both its ends again",
                    rod.name
                )
            }
            Source::SeatDepth(plate) => format!(
                "seat the {} plate again, {} of where it is, and tighten all lines again",
                plate.word(),
                joined_or(&way(-off[0], PLATE_ALONG), "a little off")
            ),
            Source::TiltX(plate) => self.tilt(plate, off[0], "top", 1),
            Source::TiltY(plate) => self.tilt(plate, -off[0], "left edge", 0),
            Source::EyeRelief => format!(
                "move the rest for the eye {}",
                joined_or(
                    &way(
                        -self.relief_shift_mm,
                        ["away from the peephole", "towards the peephole"]
                    ),
                    "to where the plan has it"
                )
            ),
            other => format!("set right: {}", other.words()),
        }
    }

    fn hole(&self, plate: Plate, line: usize, off_mm: Pair) -> String {
        let rethread = if self.plan.design.line.threading.is_some() {
            "thread and tighten all lines again, and hang all rods again".to_owned()
        } else {
            format!("thread and tighten line {} again", self.line(line))
        };
        format!(
            "pierce the hole of {} in the {} plate anew, {} of the one there (close that first where the two would run into each other); {rethread}",
            self.line(line),
            plate.word(),
            joined_or(&across_ways(-off_mm), "beside")
        )
    }

    fn tension(&self, line: usize) -> String {
        let places = Places { plan: self.plan };
        let pull = if self.plan.design.tension_is_shared() {
            0
        } else {
            line
        };
        let planned_n = self.plan.tensions_n[line];
        let now_n = planned_n
            * self.now[places.of(Source::HandTension, pull).start]
            * self.now[places.of(Source::Slackening, line).start];
        let verb = if now_n <= planned_n {
            "tighten"
        } else {
            "loosen"
        };
        format!(
            "{verb} line {}: it has {now_n:.1} N, {planned_n:.1} N is planned",
            self.line(line)
        )
    }

    fn all_lines(&self) -> String {
        let planned = &self.plan.tensions_n;
        let least_n = planned.iter().copied().fold(f64::INFINITY, f64::min);
        let most_n = planned.iter().copied().fold(0.0, f64::max);
        if self.plan.design.tension_is_shared() {
            let pulled_n = self.plan.design.line.tension_n[0];
            format!("pull the whole line tight again, to {pulled_n:.1} N at its end")
        } else if most_n - least_n < 0.05 {
            format!("tighten all lines again, each to {least_n:.1} N")
        } else {
            format!("tighten all lines again, each to its {least_n:.1} to {most_n:.1} N")
        }
    }

    fn all_ends(&self) -> String {
        let ends = self.plan.targets.len();
        let off: f64 = (0..ends).map(|end| self.off(Source::RodSlip, end)[0]).sum();
        let mean_mm = off / ends as f64;
        format!(
            "tie all {ends} rod ends again where the plan has them, {} on the average",
            along_line(-mean_mm)
        )
    }

    fn moved(&self, moved: &Move) -> String {
        let mut ways = way(moved.depth_mm, PLATE_ALONG);
        ways.extend(across_ways(moved.shift_mm));
        let mut words = Vec::new();
        if !ways.is_empty() {
            words.push(format!(
                "move the {} plate {}",
                moved.plate.word(),
                joined(&ways)
            ));
        }
        if moved.turn_rad != 0.0 {
            let reach_mm = (reach_mm(self.plan, moved.plate) / 10.0).ceil() * 10.0;
            let sense = if moved.turn_rad > 0.0 {
                "clockwise"
            } else {
                "anticlockwise"
            };
            let what = if words.is_empty() {
                format!("turn the {} plate", moved.plate.word())
            } else {
                "turn it".to_owned()
            };
            words.push(format!(
                "{what} {sense} by {:.2} deg as seen from the peephole, {:.1} mm at {reach_mm:.0} mm from its centre",
                moved.turn_rad.to_degrees().abs(),
                moved.turn_rad.abs() * reach_mm
            ));
        }
        if moved.depth_mm != 0.0 {
            words.push("tighten all lines again".to_owned());
        }
        joined(&words)
    }

    /// A plate whose `side` lies `tilt_rad` times its distance from the centre too far off.
    fn tilt(&self, plate: Plate, tilt_rad: f64, side: &str, axis: usize) -> String {
        let centre_mm = self.plan.design.plates[plate.index()].centre_mm;
        let holes_mm = &self.plan.holes_mm[plate.index()];
        let reach_mm = holes_mm.iter().fold(0.0, |reach: f64, hole| {
            reach.max((hole - centre_mm)[axis].abs())
        });
        let reach_mm = (reach_mm / 10.0).ceil() * 10.0;
        format!(
            "set the {} plate square: bring its {side} {}, {reach_mm:.0} mm from its centre, and tighten all lines again",
            plate.word(),
            joined_or(&way(-tilt_rad * reach_mm, PLATE_ALONG), "a little")
        )
    }
}

const PLATE_ALONG: [&str; 2] = ["towards the peephole", "away from the peephole"];

/// An amount in one of two directions: where it is negative, and where it is positive. Nothing where it is next to nothing.
fn way(amount_mm: f64, directions: [&str; 2]) -> Vec<String> {
    if amount_mm.abs() < NOT_WORTH_MM {
        return Vec::new();
    }
    let direction = directions[usize::from(amount_mm > 0.0)];
    vec![format!("{:.1} mm {direction}", amount_mm.abs())]
}

fn across_ways(by_mm: Pair) -> Vec<String> {
    let mut ways = way(by_mm.x, ["to the right", "to the left"]);
    ways.extend(way(by_mm.y, ["down", "up"]));
    ways
}

fn along_line(by_mm: f64) -> String {
    let ways = way(
        by_mm,
        ["nearer to the front plate", "nearer to the rear plate"],
    );
    joined_or(&ways, "on its mark")
}

fn joined(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [others @ .., last] => format!("{} and {last}", others.join(", ")),
    }
}

fn joined_or(words: &[String], otherwise: &str) -> String {
    if words.is_empty() {
        otherwise.to_owned()
    } else {
        joined(words)
    }
}
