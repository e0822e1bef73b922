//! Builds to look at: the plan itself, and of a run's first builds the best, the middle and the worst one.
//!
//! In the order of their margins (see [`Performance`]), then of their numbers; builds that cannot be computed have no
//! places to show and are left out. Nothing is drawn beyond what the run itself draws, so `see --trial` shows the same.

use super::performance::{Performance, TrialValues, performances};
use super::run_plan::RunPlan;
use crate::figure::{Family, Plan};
use crate::sampling::BLOCK_BUILDS;
use crate::trial::{Built, Draws};

/// What a build stands for among those it was chosen from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rank {
    /// The smallest margin.
    Best,
    /// As many are better as worse; of two such the better one.
    Middle,
    /// The largest margin.
    Worst,
}

/// One build as it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct ExampleBuild {
    /// What it stands for.
    pub rank: Rank,
    /// Its number in the run.
    pub build: u64,
    /// How near it is to failing.
    pub performance: Performance,
    /// Where everything is.
    pub built: Built,
}

/// Builds to look at.
#[derive(Debug, Clone, PartialEq)]
pub struct Examples {
    /// The plan itself: no error, nothing weighs; `None` where it cannot be computed.
    pub planned: Option<Built>,
    /// Best, middle and worst, as far as there are that many builds.
    pub builds: Vec<ExampleBuild>,
    /// From how many of the run's first builds they were chosen.
    pub of: u64,
}

/// Chooses among the first builds of the run (64 at most), in the current pool.
pub fn examples(plan: &Plan, run_plan: &RunPlan) -> Examples {
    let of = run_plan.builds.min(BLOCK_BUILDS as u64);
    let trials = first_trials(plan, run_plan, of as usize);
    let mut ranked: Vec<(u64, Performance, Built)> = performances(plan, &trials)
        .into_iter()
        .zip(&trials)
        .zip(0..)
        .filter_map(|((performance, values), build)| {
            let mut built = Built::new(plan);
            built.set(plan, &values.build).ok()?;
            Some((build, performance, built))
        })
        .collect();
    // stable: builds that are alike stay in the order of their numbers
    ranked.sort_by(|a, b| a.1.worst.total_cmp(&b.1.worst));
    let last = ranked.len().saturating_sub(1);
    let places = [
        (Rank::Best, 0),
        (Rank::Middle, last / 2),
        (Rank::Worst, last),
    ];
    let mut builds: Vec<ExampleBuild> = Vec::new();
    for (rank, place) in places {
        if let Some((build, performance, built)) = ranked.get(place)
            && builds.iter().all(|other| other.build != *build)
        {
            builds.push(ExampleBuild {
                rank,
                build: *build,
                performance: *performance,
                built: built.clone(),
            });
        }
    }
    Examples {
        planned: planned(plan),
        builds,
        of,
    }
}

/// The values of the first `count` builds of the run and of all looks at them.
fn first_trials(plan: &Plan, run_plan: &RunPlan, count: usize) -> Vec<TrialValues> {
    let sampler = run_plan.sampler(plan);
    let (mut builds, mut looks) = (Draws::of_builds(plan), Draws::of_looks(plan));
    builds.draw(plan, &sampler, 0, 0);
    let mut trials: Vec<TrialValues> = (0..count)
        .map(|build| TrialValues {
            build: builds.of_build(build),
            looks: Vec::new(),
        })
        .collect();
    for look in 0..run_plan.looks {
        looks.draw(plan, &sampler, look, 0);
        for (build, trial) in trials.iter_mut().enumerate() {
            trial.looks.push(looks.of_build(build));
        }
    }
    trials
}

/// The plan without any error and without weight, straight rods.
fn planned(plan: &Plan) -> Option<Built> {
    let mut design = plan.design.clone();
    design.gravity.strength_m_per_s2 = 0.0;
    let mut weightless = Plan::new(design);
    weightless.with_middles = false;
    let mut built = Built::new(&weightless);
    let values = weightless.neutral_values(Family::Build);
    built.set(&weightless, &values).ok()?;
    Some(built)
}
