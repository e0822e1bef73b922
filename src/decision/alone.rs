//! Each tolerance alone: how large one may be while all others stay as they are.

use super::room::{Room, RoomEnd, Yields};
use super::run_plan::RunPlan;
use crate::figure::{Design, Law, Plan, Plate, Sensible, Source, Step};
use crate::mechanics::ToleranceClass;
use crate::trial::RunHooks;

/// One tolerance, or that of both plates together.
#[derive(Debug, Clone, PartialEq)]
pub struct Alone {
    /// The source; the front and the rear plate's where both have the same law and are scaled together.
    pub sources: Vec<Source>,
    /// Whether the workshop decides it, and not the visitor.
    pub is_work: bool,
    /// Its law as it is.
    pub law: Law,
    /// How far it may grow, or must shrink.
    pub room: Room,
    /// Where the largest factor tried comes from.
    pub sensible: Sensible,
    /// The length that must be machined to this tolerance, where it is one of the cabinet.
    pub machined: Option<MachinedLength>,
}

/// Whether a machined length keeps a tolerance.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Keeps {
    /// It does: the whole interval says so.
    Yes,
    /// It does not.
    No,
    /// The interval leaves it open.
    Open,
}

/// What ISO 2768-1 says of the length behind a tolerance.
#[derive(Debug, Clone, PartialEq)]
pub struct MachinedLength {
    /// The length, mm.
    pub length_mm: f64,
    /// Its two ends, in words.
    pub words: &'static str,
    /// What each class may miss, mm, and whether that is enough; classes that the table has no value for are left out.
    pub classes: Vec<(ToleranceClass, f64, Keeps)>,
}

impl Alone {
    /// The source that stands for the row.
    pub fn source(&self) -> Source {
        self.sources[0]
    }

    /// The law scaled by `factor`.
    pub fn law_at(&self, factor: f64) -> Law {
        self.law.scaled(factor, self.source().neutral())
    }

    /// Whether even none of it would leave the target missed.
    pub fn is_hopeless(&self) -> bool {
        self.room.end == RoomEnd::EvenNoneIsNotEnough
    }
}

/// Every tolerance that varies, by itself: the workshop's first, then the visitor's; within each what
/// may change least from what it is now first, and what has no end within reason last. `run` is a brief run's ([`super::brief_run`]). `None` when interrupted.
pub fn each_alone(plan: &Plan, run: &RunPlan, hooks: &RunHooks<'_>) -> Option<Vec<Alone>> {
    let yields = Yields::new(plan, run, hooks)?;
    let mut rows = Vec::new();
    for sources in groups(&plan.design) {
        if let Some(row) = alone(plan, &yields, sources)? {
            rows.push(row);
        }
    }
    rows.sort_by(|a, b| {
        let (a, b) = (place(a), place(b));
        (a.0, a.1).cmp(&(b.0, b.1)).then(a.2.total_cmp(&b.2))
    });
    Some(rows)
}

/// Where a row stands: the workshop's first; then what ends somewhere, by how far that is from what it is now; then what ends
/// nowhere, by the yield at the end: least first where anything will do, most first where even none is not enough.
fn place(row: &Alone) -> (bool, bool, f64) {
    let share = row.room.yield_at_end.share().unwrap_or(0.0);
    let (is_open, far) = match row.room.end {
        RoomEnd::At(factor) => (false, libm::log(factor).abs()),
        RoomEnd::BeyondLargest => (true, share),
        RoomEnd::EvenNoneIsNotEnough => (true, -share),
    };
    (!row.is_work, is_open, far)
}

/// Sources by themselves, and both plates' where they have the same law.
fn groups(design: &Design) -> Vec<Vec<Source>> {
    let mut groups: Vec<Vec<Source>> = Vec::new();
    for step in Step::ALL {
        let sources = step.sources();
        for source in &sources {
            if source.plate() == Some(Plate::Front) {
                let other = sources.iter().find(|other| {
                    other.plate() == Some(Plate::Rear) && other.key().1 == source.key().1
                });
                if let Some(other) = other
                    && design.law(*source) == design.law(*other)
                {
                    groups.push(vec![*source, *other]);
                }
            }
            groups.push(vec![*source]);
        }
    }
    groups
}

/// The outer `None` when interrupted, the inner one when nothing varies or it is no error.
fn alone(plan: &Plan, yields: &Yields<'_>, sources: Vec<Source>) -> Option<Option<Alone>> {
    let design = &plan.design;
    let factors = sources
        .iter()
        .map(|source| design.largest_sensible_factor(*source));
    let largest = factors.collect::<Option<Vec<f64>>>();
    let (Some(largest), Some(sensible)) = (largest, design.sensible(sources[0])) else {
        return Some(None);
    };
    let largest = largest.into_iter().fold(f64::INFINITY, f64::min);
    let room = yields.room(&sources, largest)?;
    let law = design.law(sources[0]).clone();
    let machined = machined(design, &sources, &law, &room);
    Some(Some(Alone {
        is_work: Step::of(sources[0]).is_work(),
        law,
        room,
        sensible,
        machined,
        sources,
    }))
}

fn machined(design: &Design, sources: &[Source], law: &Law, room: &Room) -> Option<MachinedLength> {
    // both plates together are two lengths: each has its own row
    let [source] = sources else { return None };
    let from_peephole_mm = |plate: usize| design.plates[plate].z_mm - design.peephole.eye_relief_mm;
    let (length_mm, words) = match source {
        Source::SeatDepth(Plate::Front) => (
            from_peephole_mm(0),
            "from the peephole's plate to the front plate",
        ),
        Source::SeatDepth(Plate::Rear) => (
            from_peephole_mm(1),
            "from the peephole's plate to the rear plate",
        ),
        Source::PeepholeDepth => (
            from_peephole_mm(0),
            "from the front plate to the peephole's plate",
        ),
        _ => return None,
    };
    let now_mm = law.reach(source.neutral());
    let classes: Vec<_> = ToleranceClass::ALL
        .into_iter()
        .filter_map(|class| {
            let misses_mm = class.permissible_deviation_mm(length_mm)?;
            let keeps = if misses_mm <= now_mm * room.surely {
                Keeps::Yes
            } else if room
                .possibly
                .is_some_and(|possibly| misses_mm > now_mm * possibly)
            {
                Keeps::No
            } else {
                Keeps::Open
            };
            Some((class, misses_mm, keeps))
        })
        .collect();
    (!classes.is_empty()).then_some(MachinedLength {
        length_mm,
        words,
        classes,
    })
}
