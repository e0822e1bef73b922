//! The cheapest set of ways of working that meets the target yield, by trying all of them.
//!
//! Every set is tried at the same builds and looks (common random numbers), first briefly. In the order of their cost, those
//! that may still meet the target are then tried with more and more builds; the chosen set is the cheapest whose whole
//! interval is at or above the target, and whose promise is kept, with room, by a second run with other random numbers. That
//! run counts: the best of many estimates is partly good luck, and the numbers that chose it cannot tell how much.

use super::brief::{brief, brief_run};
use super::run_plan::RunPlan;
use super::way_front::{FrontStep, NextPoint, next_point, way_front};
use super::way_search::{FULL_BUILDS, Promise, Proof, STAGES, ScreenedSet, Search, TriedSet};
use crate::figure::{Design, Plan, Source, Step, Ways};
use crate::mechanics::Tightening;
use crate::statistics::Proportion;
use crate::trial::RunHooks;

/// Sets looked at together; how many does not depend on threads.
const AT_ONCE: usize = 32;
/// Runner-ups that are looked for.
pub const RUNNER_UPS: usize = 4;
/// Full runs after the choice in search of runner-ups, at most.
const MOST_AFTER: usize = 128;
/// Cheaper sets that may fail their proof before the search ends.
const MOST_UNPROVEN: usize = 8;

/// What ways of working cannot mend.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stays {
    /// The chosen set as it is.
    AsChosen,
    /// With no error in any step of the work.
    PerfectWork,
    /// With the eye held at the station point.
    EyeHeld,
    /// With rods and lines that weigh nothing.
    NoWeight,
}

impl Stays {
    /// What is changed, in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::AsChosen => "this set",
            Self::PerfectWork => {
                "this set without any error of the work: what stays is the visitor and the weight"
            }
            Self::EyeHeld => "this set with the eye held at the station point",
            Self::NoWeight => "this set with rods and lines that weigh nothing",
        }
    }
}

/// The search's answer.
#[derive(Debug, Clone, PartialEq)]
pub struct WaySets {
    /// The design as the scenario has it.
    pub design: Design,
    /// The ways.
    pub ways: Ways,
    /// The run whose seed, looks and intervals the search used.
    pub run: RunPlan,
    /// Yield to be met.
    pub target: f64,
    /// Every set, in the order of [`Ways::sets`].
    pub screened: Vec<ScreenedSet>,
    /// Builds of that first trial.
    pub screen_builds: u64,
    /// Sets that had a full run.
    pub full_runs: usize,
    /// The set that the scenario has now.
    pub now: TriedSet,
    /// The chosen set; where none meets the target, the one with the highest yield.
    pub chosen: TriedSet,
    /// Whether the chosen set meets the target: with its whole interval in the search, with room in the fresh run.
    pub meets: bool,
    /// The fresh run of the chosen set.
    pub proof: Proof,
    /// The cheapest cheaper set that meets the target by its estimate, but not with its whole interval.
    pub by_estimate: Option<TriedSet>,
    /// Cheaper sets that met the target in the search, but in a fresh run not, or so barely that another may straddle it.
    pub unproven: Vec<(TriedSet, Proof)>,
    /// The next cheapest sets that meet the target, the cheapest first; such as only add something dearer to the chosen one or
    /// to another of them are among them only where there are too few others.
    pub runner_ups: Vec<TriedSet>,
    /// Sets for which no cheaper one is as good, from the cheapest on.
    pub front: Vec<FrontStep>,
    /// What the next point of yield costs from the chosen set on.
    pub next_point: Option<NextPoint>,
    /// Yields of the chosen set as it is and with what no way of working mends taken away.
    pub stays: Vec<(Stays, Proportion)>,
}

/// What the walk from the cheapest set on has found.
#[derive(Default)]
struct Found {
    chosen: Option<(TriedSet, Proof)>,
    by_estimate: Option<TriedSet>,
    unproven: Vec<(TriedSet, Proof)>,
    runner_ups: Vec<TriedSet>,
    /// Sets that meet the target, but only add to one that is listed.
    only_add: Vec<TriedSet>,
    after: usize,
}

impl Found {
    fn is_done(&self) -> bool {
        self.unproven.len() > MOST_UNPROVEN
            || self.chosen.is_some()
                && (self.runner_ups.len() >= RUNNER_UPS || self.after >= MOST_AFTER)
    }

    fn only_adds(&self, ways: &Ways, set: &[usize]) -> bool {
        let chosen = self.chosen.iter().map(|(chosen, _)| chosen);
        chosen
            .chain(&self.runner_ups)
            .any(|listed| ways.only_adds_to(set, &listed.set))
    }

    /// Takes down a set that had its full run; the sets come in the order of their cost.
    fn note(&mut self, search: &Search<'_>, tried: TriedSet) -> Option<()> {
        let target = search.plan.design.judging.target_yield;
        let [low, _] = tried.build_yield.interval()?;
        let share = tried.build_yield.share()?;
        if self.chosen.is_some() {
            self.after += 1;
            if low >= target && self.only_adds(search.ways, &tried.set) {
                self.only_add.push(tried);
            } else if low >= target && self.runner_ups.len() < RUNNER_UPS {
                self.runner_ups.push(tried);
            }
        } else if low >= target {
            let proof = search.proof(&tried, self.unproven.len())?;
            if proof.promise == Promise::KeptWithRoom {
                self.chosen = Some((tried, proof));
            } else {
                self.unproven.push((tried, proof));
            }
        } else if share >= target && self.by_estimate.is_none() {
            self.by_estimate = Some(tried);
        }
        Some(())
    }
}

/// Walks from the cheapest set on until the choice and its runner-ups are found.
fn walk(search: &mut Search<'_>, order: &[usize]) -> Option<Found> {
    let mut found = Found::default();
    for together in order.chunks(AT_ONCE) {
        if found.is_done() {
            break;
        }
        // enough sets that only add to a listed one are known already
        let skip = found.only_add.len() >= RUNNER_UPS;
        let wanted: Vec<usize> = together
            .iter()
            .copied()
            .filter(|index| !(skip && found.only_adds(search.ways, &search.sets[*index])))
            .collect();
        let passed: Vec<u64> = wanted.iter().map(|index| search.screen[*index]).collect();
        let mut left = search.hopeful(&wanted, &passed, search.screen_builds);
        for builds in STAGES {
            let passed = search.passed_of(&left, builds)?;
            left = search.hopeful(&left, &passed, builds);
        }
        search.run_in_full(&left)?;
        for index in left {
            if found.is_done() {
                break;
            }
            let tried = search.tried(index)?;
            found.note(search, tried)?;
        }
    }
    Some(found)
}

/// The set with the highest yield: the best of the first trial, tried again.
fn best(search: &mut Search<'_>) -> Option<TriedSet> {
    const TRIED_AGAIN: [usize; 2] = [64, 12];
    let best_first = |of: &[usize], passed: &[u64], most: usize, costs: &[f64]| {
        let mut order: Vec<(usize, u64)> = of.iter().copied().zip(passed.iter().copied()).collect();
        order.sort_by(|(a, passed_a), (b, passed_b)| {
            passed_b
                .cmp(passed_a)
                .then(costs[*a].total_cmp(&costs[*b]))
                .then(a.cmp(b))
        });
        order.truncate(most);
        let kept: Vec<usize> = order.into_iter().map(|(index, _)| index).collect();
        kept
    };
    let all: Vec<usize> = (0..search.sets.len()).collect();
    let first = best_first(&all, &search.screen, TRIED_AGAIN[0], &search.costs);
    let passed = search.passed_of(&first, STAGES[1])?;
    let second = best_first(&first, &passed, TRIED_AGAIN[1], &search.costs);
    search.run_in_full(&second)?;
    let tried: Vec<usize> = search.full.keys().copied().collect();
    let passed: Vec<u64> = search.full.values().map(|run| run.passed).collect();
    let index = *best_first(&tried, &passed, 1, &search.costs).first()?;
    search.tried(index)
}

/// Yields of a set with what no way of working mends taken away, at the search's builds.
fn what_stays(search: &Search<'_>, set: &[usize]) -> Option<Vec<(Stays, Proportion)>> {
    let as_chosen = search.ways.plan(search.plan, set).design;
    let without = |sources: Vec<Source>| {
        let mut better = as_chosen.clone();
        for source in sources {
            better = better.with_perfect(source);
        }
        better
    };
    let work = Step::ALL.into_iter().filter(|step| step.is_work());
    let mut perfect = without(work.flat_map(Step::sources).collect());
    if let Some(threading) = &mut perfect.line.threading {
        threading.tightening = Tightening::EachRun;
    }
    let mut weightless = as_chosen.clone();
    weightless.gravity.strength_m_per_s2 = 0.0;
    let eye = without(Step::EyePosition.sources());
    [
        (Stays::AsChosen, as_chosen),
        (Stays::PerfectWork, perfect),
        (Stays::EyeHeld, eye),
        (Stays::NoWeight, weightless),
    ]
    .into_iter()
    .map(|(stays, design)| {
        let run = brief_run(search.run, FULL_BUILDS);
        let found = brief(&Plan::new(design), &run, search.hooks)?;
        Some((stays, found.build_yield(search.run)))
    })
    .collect()
}

/// The cheapest set of `ways` of working that meets the target of `plan`, with the seed, looks and level of `run`, in the
/// current pool. `None` when interrupted, or where the ways make no sets (see [`Ways::new`]).
pub fn way_sets(plan: &Plan, ways: &Ways, run: &RunPlan, hooks: &RunHooks<'_>) -> Option<WaySets> {
    // intervals here are those of plain, independent builds
    let run = brief_run(run, run.builds);
    let mut search = Search::new(plan, ways, &run, hooks)?;
    let order = search.by_cost();
    let found = walk(&mut search, &order)?;
    let meets = found.chosen.is_some();
    let (chosen, proof) = match found.chosen {
        Some(chosen) => chosen,
        None => {
            let chosen = best(&mut search)?;
            let proof = search.proof(&chosen, found.unproven.len())?;
            (chosen, proof)
        }
    };
    let front = way_front(&mut search, &order)?;
    let next_point = next_point(&search, &chosen);
    let now_set = ways.now();
    let now_run = search.try_set(&now_set, FULL_BUILDS)?;
    let now = TriedSet {
        cost: ways.cost(&now_set),
        build_yield: run.proportion(now_run.passed, FULL_BUILDS),
        set: now_set,
    };
    let stays = what_stays(&search, &chosen.set)?;
    let mut runner_ups = found.runner_ups;
    let room = RUNNER_UPS.saturating_sub(runner_ups.len());
    runner_ups.extend(found.only_add.into_iter().take(room));
    runner_ups.sort_by(|a, b| a.cost.total_cmp(&b.cost));
    let by_screen = search.costs.iter().zip(&search.screen);
    Some(WaySets {
        screened: by_screen
            .map(|(cost, passed)| ScreenedSet {
                cost: *cost,
                passed: *passed,
            })
            .collect(),
        screen_builds: search.screen_builds,
        full_runs: search.full.len(),
        design: plan.design.clone(),
        ways: ways.clone(),
        run,
        target: plan.design.judging.target_yield,
        now,
        chosen,
        meets,
        proof,
        by_estimate: found.by_estimate,
        unproven: found.unproven,
        runner_ups,
        front,
        next_point,
        stays,
    })
}
