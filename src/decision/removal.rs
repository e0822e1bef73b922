//! What spoils the build: the same trials run again with one cause taken away at a time.
//!
//! Every draw has its own stream, so taking one cause away leaves all other draws as they were: the difference is that
//! cause's doing and not chance. What it shows is the gain from perfecting one cause alone; causes that only hurt
//! together each show little.

use super::run::run;
use super::run_plan::RunPlan;
use crate::figure::{Design, Plan, Step};
use crate::mechanics::Tightening;
use crate::statistics::{ClusteredShare, Proportion};
use crate::trial::RunHooks;

/// A cause that can be taken away.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Removal {
    /// Pattern shift and turn of both plates.
    PatternPlacement,
    /// Print scale of both patterns.
    PrintScale,
    /// Seat depth and tilt of both plates.
    PlateSeat,
    /// Scatter of all holes.
    HoleScatter,
    /// Slack of the line in all holes.
    HoleSlack,
    /// Hand scatter and slackening of the tension.
    TensionScatter,
    /// Friction loss along the threading.
    ThreadingLoss,
    /// Weight of rods and line: no sag at all.
    Weight,
    /// Rods tied beside the line.
    RodTie,
    /// Slip of rod ends.
    RodSlip,
    /// Bow of rods.
    RodBow,
    /// Placement of the peephole.
    PeepholePlacement,
    /// The eye's offset and relief.
    EyePosition,
}

impl Removal {
    /// All causes.
    pub const ALL: [Self; 13] = [
        Self::PatternPlacement,
        Self::PrintScale,
        Self::PlateSeat,
        Self::HoleScatter,
        Self::HoleSlack,
        Self::TensionScatter,
        Self::ThreadingLoss,
        Self::Weight,
        Self::RodTie,
        Self::RodSlip,
        Self::RodBow,
        Self::PeepholePlacement,
        Self::EyePosition,
    ];

    /// The cause in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::ThreadingLoss => "tension lost by friction along the threading",
            Self::Weight => "sag under the weight of rods and line",
            _ => self.step().map_or("", Step::words),
        }
    }

    /// The step of the work whose error is taken away; the two others belong to the design.
    pub fn step(self) -> Option<Step> {
        Some(match self {
            Self::PatternPlacement => Step::PatternPlacement,
            Self::PrintScale => Step::PrintScale,
            Self::PlateSeat => Step::PlateSeat,
            Self::HoleScatter => Step::HoleScatter,
            Self::HoleSlack => Step::HoleSlack,
            Self::TensionScatter => Step::Tension,
            Self::RodTie => Step::RodTie,
            Self::RodSlip => Step::RodSlip,
            Self::RodBow => Step::RodBow,
            Self::PeepholePlacement => Step::PeepholePlacement,
            Self::EyePosition => Step::EyePosition,
            Self::ThreadingLoss | Self::Weight => return None,
        })
    }

    /// The least that mends the cause, in a workshop's words.
    pub fn remedy(self) -> &'static str {
        match self {
            Self::PatternPlacement => "register both patterns on the same pins or edges",
            Self::PrintScale => {
                "print at 100 % and measure a 100 mm bar in both directions before piercing"
            }
            Self::PlateSeat => {
                "seat the plates against stops or in grooves, and check both diagonals"
            }
            Self::HoleScatter => "pierce through a drilled template, or cut the holes by machine",
            Self::HoleSlack => {
                "use holes closer to the line's diameter, or pull every line to a known side"
            }
            Self::TensionScatter => "tighten every run to a gauge or a tone, and again after a day",
            Self::ThreadingLoss => {
                "pull each run tight in turn instead of only the ends, or tie the lines one by one"
            }
            Self::Weight => {
                "use lighter rods or more tension, or hang the rods nearer to the plates"
            }
            Self::RodTie => {
                "thread the line through the rods' ends; or, where they are tied on any side, tie all on the same side in a jig"
            }
            Self::RodSlip => "mark the depths on a stick and fix each knot with a drop of glue",
            Self::RodBow => "sort out bent rods, or use stiffer ones",
            Self::PeepholePlacement => {
                "sight the peephole through two far-apart lines before fixing it"
            }
            Self::EyePosition => {
                "guide the eye: a smaller peephole, a rest for the brow, or less depth between rods that meet"
            }
        }
    }

    /// Whether mending it takes another design rather than more care with this one.
    pub fn needs_redesign(self) -> bool {
        matches!(self, Self::Weight | Self::EyePosition)
    }

    /// The design without this cause; `None` when it plays no part anyway.
    pub fn applied(self, design: &Design) -> Option<Design> {
        let mut better = design.clone();
        match self {
            Self::Weight => better.gravity.strength_m_per_s2 = 0.0,
            Self::ThreadingLoss => {
                if let Some(threading) = &mut better.line.threading
                    && threading.tightening == Tightening::EndsOnly
                {
                    // the pull stays one pull: only the friction goes
                    threading.friction = 0.0;
                }
            }
            _ => {
                for source in self.step().map_or_else(Vec::new, Step::sources) {
                    better = better.with_perfect(source);
                }
            }
        }
        (better != *design).then_some(better)
    }
}

/// What the trial run comes to, as it is or without a cause.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outcome {
    /// Yield of the trial run's builds.
    pub build_yield: Proportion,
    /// Judged looks that hold.
    pub held: ClusteredShare,
    /// Median over judged looks of the worst drift or gap over its limit; `None` when none was judged.
    pub median_worst: Option<f64>,
    /// Interval of that median, counting builds.
    pub median_worst_interval: Option<[f64; 2]>,
}

/// A cause and what the run would be without it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Culprit {
    /// The cause.
    pub removal: Removal,
    /// The trial run without it.
    pub without: Outcome,
}

/// The trial run of the removals: as it is, and without each cause.
#[derive(Debug, Clone, PartialEq)]
pub struct Removals {
    /// The trial run as it is.
    pub as_is: Outcome,
    /// Causes that play a part, the one whose removal helps most first.
    pub culprits: Vec<Culprit>,
}

/// Builds of the trial run.
const BUILDS: u64 = 1024;
/// Most looks of the trial run.
const LOOKS: u64 = 16;

/// Takes away one cause at a time. `None` when interrupted.
pub fn removals(plan: &Plan, run_plan: &RunPlan, hooks: &RunHooks<'_>) -> Option<Removals> {
    let trial = RunPlan {
        builds: run_plan.builds.min(BUILDS),
        looks: run_plan.looks.min(LOOKS),
        half_width: None,
        ..*run_plan
    };
    let quiet = RunHooks {
        interrupted: hooks.interrupted,
        progress: &|_, _| {},
    };
    let outcome = |plan: &Plan| {
        let tally = run(plan, &trial, &quiet)?.tally;
        let worst = &tally.worst_over_limit;
        Some(Outcome {
            build_yield: trial.yield_of(tally.builds, &tally.passed_in),
            held: tally.held_share,
            median_worst: worst.quantile(0.5),
            median_worst_interval: worst.quantile_interval(
                0.5,
                tally.held_share.builds,
                trial.level,
            ),
        })
    };
    let as_is = outcome(plan)?;
    let mut culprits = Vec::new();
    for removal in Removal::ALL {
        if let Some(design) = removal.applied(&plan.design) {
            culprits.push(Culprit {
                removal,
                without: outcome(&Plan::new(design))?,
            });
        }
    }
    // best first: by yield, then by looks held, then by how far the worst fault shrinks
    culprits.sort_by(|a, b| {
        let key = |culprit: &Culprit| {
            let without = &culprit.without;
            (
                without.build_yield.count,
                without.held.share().unwrap_or(0.0),
                -without.median_worst.unwrap_or(f64::INFINITY),
            )
        };
        let (a, b) = (key(a), key(b));
        b.0.cmp(&a.0)
            .then(b.1.total_cmp(&a.1))
            .then(b.2.total_cmp(&a.2))
    });
    Some(Removals { as_is, culprits })
}
