//! Headroom: the factor by which all tolerances of the work may grow, or must shrink, together until the target yield is just
//! met.
//!
//! What the visitor brings (eye, pupil, acuity), weight and friction stay as they are, and so does an error that is the same
//! in every build (a rod tied above its line). Every law that varies is scaled about "no error" by the same factor, up to where
//! the first of them would leave what makes sense ([`crate::figure::Sensible`]).

use super::brief::{brief, fresh_run};
use super::room::{Room, RoomEnd, Yields, scaled_design};
use super::run_plan::RunPlan;
use crate::figure::{Design, Plan, Source, Step};
use crate::statistics::Proportion;
use crate::trial::RunHooks;

/// Largest factor on all tolerances that is tried (chosen: work 16 times as rough is another kind of work).
pub const LARGEST_FACTOR: f64 = 16.0;

/// The room of all tolerances of the work together.
#[derive(Debug, Clone, PartialEq)]
pub struct Headroom {
    /// What is scaled together: sources of the work that vary. Nothing to scale when empty.
    pub scaled: Vec<Source>,
    /// Sources of the work that are the same in every build, though not "no error"; they stay.
    pub the_same_in_every_build: Vec<Source>,
    /// Sources that vary and stay all the same, since lines would come near their breaking load.
    pub held_by_strength: Vec<Source>,
    /// How far.
    pub room: Room,
    /// The source whose law would leave what makes sense beyond the largest factor tried; `None` where the range ends first.
    pub held_by: Option<Source>,
    /// The yield as it is.
    pub as_is: Proportion,
    /// The yield without any scatter of the work: what eye, weight and friction leave.
    pub perfect_work: Proportion,
    /// The yield at the factor found, at builds and looks of its own; `None` where no factor was found.
    pub proof: Option<Proportion>,
    /// The target.
    pub target_yield: f64,
    /// Looks at each build.
    pub looks: u64,
    /// Seed of the runs.
    pub seed: u64,
}

/// Sources of the work whose laws vary in this design and may grow with the others.
pub fn varying_work(design: &Design) -> Vec<Source> {
    work_sources()
        .filter(|source| design.may_grow_with_others(*source))
        .collect()
}

fn work_sources() -> impl Iterator<Item = Source> {
    Step::ALL
        .into_iter()
        .filter(|step| step.is_work())
        .flat_map(Step::sources)
}

/// The largest factor on all of `sources` that leaves every law sensible, and the source that holds it; up to `most`.
fn largest_together(design: &Design, sources: &[Source], most: f64) -> (f64, Option<Source>) {
    let mut largest = (most, None);
    for source in sources {
        if let Some(factor) = design.largest_sensible_factor(*source)
            && factor < largest.0
        {
            largest = (factor, Some(*source));
        }
    }
    largest
}

/// The headroom of a design. `run` is a brief run's ([`super::brief_run`]). `None` when interrupted.
pub fn headroom(plan: &Plan, run: &RunPlan, hooks: &RunHooks<'_>) -> Option<Headroom> {
    let design = &plan.design;
    let scaled = varying_work(design);
    let (largest, held_by) = largest_together(design, &scaled, LARGEST_FACTOR);
    let yields = Yields::new(plan, run, hooks)?;
    let room = yields.room(&scaled, largest)?;
    let perfect_work = yields.scaled(&[(scaled.clone(), 0.0)])?.build_yield;
    let proof = match room.end {
        RoomEnd::At(factor) => {
            let there = Plan::new(scaled_design(plan, &[(scaled.clone(), factor)]));
            let fresh = fresh_run(run);
            Some(brief(&there, &fresh, hooks)?.build_yield(&fresh))
        }
        RoomEnd::BeyondLargest | RoomEnd::EvenNoneIsNotEnough => None,
    };
    Some(Headroom {
        held_by_strength: work_sources()
            .filter(|source| design.is_held_by_strength(*source))
            .collect(),
        the_same_in_every_build: work_sources()
            .filter(|source| {
                let law = design.law(*source);
                law.uniforms() == 0 && !law.is_silent(source.neutral())
            })
            .collect(),
        scaled,
        room,
        held_by,
        as_is: yields.as_is.build_yield,
        perfect_work,
        proof,
        target_yield: design.judging.target_yield,
        looks: run.looks,
        seed: run.seed,
    })
}
