//! The cheapest set of ways of working that meets the target yield, by trying all of them.
//!
//! Every set is tried at the same builds and looks (common random numbers), first briefly. In the order of their cost, those
//! that may still meet the target are then tried with more and more builds; the chosen set is the cheapest that meets the
//! target with room: its interval, taken three times as wide, is at or above it, and enough looks show the whole figure. All
//! sets see the same builds, so sets that are much alike have that room together or not at all, and which of them is chosen is
//! no matter of luck. A second run with other random numbers, the same for every set that is put to it, must find the room
//! again, or the next dearer set is asked. That run counts: the best of many estimates is partly good luck, and the numbers
//! that chose it cannot tell how much.

use super::brief::{brief, brief_run};
use super::run_plan::RunPlan;
use super::way_front::{FrontStep, NextPoint, next_point, way_front};
use super::way_search::{ClearLooks, Count, Promise, Proof, ScreenedSet, Search, TriedSet};
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
    /// Share of all looks that are to show the whole figure.
    pub clear_target: f64,
    /// Every set, in the order of [`Ways::sets`].
    pub screened: Vec<ScreenedSet>,
    /// Builds of that first trial.
    pub screen_builds: u64,
    /// Sets that had a full run.
    pub full_runs: usize,
    /// Builds of a full run.
    pub full_builds: u64,
    /// The set that the scenario has now.
    pub now: TriedSet,
    /// The chosen set; where none meets the target with room, the one with the highest yield (of those that show the whole
    /// figure often enough, where there are any).
    pub chosen: TriedSet,
    /// Whether the chosen set meets the target with room, and shows the whole figure often enough, in the search and in the
    /// fresh run.
    pub meets: bool,
    /// The fresh run of the chosen set.
    pub proof: Proof,
    /// The cheapest cheaper set that meets the target by its estimate, but not with its whole interval.
    pub by_estimate: Option<TriedSet>,
    /// The cheapest cheaper set that meets the target with its whole interval, but not with room.
    pub without_room: Option<TriedSet>,
    /// The cheapest cheaper set that meets the target with its whole interval, but shows the whole figure in too few looks.
    pub unclear: Option<TriedSet>,
    /// Cheaper sets that met the target with room in the search, but not in the fresh run.
    pub unproven: Vec<(TriedSet, Proof)>,
    /// The next cheapest sets that meet the target with room in the search, the cheapest first; such as only add something dearer to the chosen one or
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
    without_room: Option<TriedSet>,
    unclear: Option<TriedSet>,
    unproven: Vec<(TriedSet, Proof)>,
    runner_ups: Vec<TriedSet>,
    /// Sets that meet the target, but only add to one that is listed.
    only_add: Vec<TriedSet>,
    after: usize,
}

impl Found {
    fn is_done(&self) -> bool {
        self.chosen.is_some() && (self.runner_ups.len() >= RUNNER_UPS || self.after >= MOST_AFTER)
    }

    fn only_adds(&self, ways: &Ways, set: &[usize]) -> bool {
        let chosen = self.chosen.iter().map(|(chosen, _)| chosen);
        chosen
            .chain(&self.runner_ups)
            .any(|listed| ways.only_adds_to(set, &listed.set))
    }

    /// Shares of builds that pass and of looks that are clear below which nothing is looked for any more.
    fn least(&self, search: &Search<'_>, with_room: f64) -> [f64; 2] {
        let judging = &search.plan.design.judging;
        let is_chosen = self.chosen.is_some();
        let passed = if is_chosen || self.without_room.is_some() {
            with_room
        } else {
            judging.target_yield
        };
        let clear = if is_chosen || self.unclear.is_some() {
            judging.clear_share
        } else {
            0.0
        };
        [passed, clear]
    }

    /// Takes down a set that had its full run; the sets come in the order of their cost.
    fn note(&mut self, search: &Search<'_>, tried: TriedSet) -> Option<()> {
        let judging = &search.plan.design.judging;
        let promise = Promise::of(&tried.build_yield, judging.target_yield)?;
        let is_clear = tried.clear.is_enough(judging.clear_share);
        let has_room = is_clear && promise == Promise::KeptWithRoom;
        if self.chosen.is_some() {
            self.after += 1;
            if has_room && self.only_adds(search.ways, &tried.set) {
                self.only_add.push(tried);
            } else if has_room && self.runner_ups.len() < RUNNER_UPS {
                self.runner_ups.push(tried);
            }
        } else if has_room {
            let proof = search.proof(&tried)?;
            if is_proved(&proof, judging.clear_share) {
                self.chosen = Some((tried, proof));
            } else {
                self.unproven.push((tried, proof));
            }
        } else {
            let place = match promise {
                _ if promise.is_kept() && !is_clear => &mut self.unclear,
                Promise::Kept => &mut self.without_room,
                Promise::KeptByEstimate if is_clear => &mut self.by_estimate,
                _ => return Some(()),
            };
            place.get_or_insert(tried);
        }
        Some(())
    }
}

/// Whether a fresh run finds the room again, and enough clear looks.
fn is_proved(proof: &Proof, clear_share: f64) -> bool {
    proof.promise == Promise::KeptWithRoom && proof.clear.is_enough(clear_share)
}

/// Walks from the cheapest set on until the choice and its runner-ups are found.
fn walk(search: &mut Search<'_>, order: &[usize]) -> Option<Found> {
    let mut found = Found::default();
    let with_room = search.share_with_room();
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
        let least = found.least(search, with_room);
        let counts: Vec<Count> = wanted.iter().map(|index| search.screen[*index]).collect();
        let mut left = search.hopeful(&wanted, &counts, search.screen_builds, least);
        for builds in search.stages() {
            let counts = search.counts_of(&left, builds)?;
            left = search.hopeful(&left, &counts, builds, least);
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

/// The set with the highest yield: the best of the first trial, tried again; where any of those that were tried in full shows
/// the whole figure often enough, the best of these.
fn best(search: &mut Search<'_>, all: &[usize]) -> Option<TriedSet> {
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
    let passed_of =
        |counts: &[Count]| -> Vec<u64> { counts.iter().map(|one| one.passed).collect() };
    let screened: Vec<Count> = all.iter().map(|index| search.screen[*index]).collect();
    let first = best_first(all, &passed_of(&screened), TRIED_AGAIN[0], &search.costs);
    let stage = search.stages().last().copied();
    let counts = search.counts_of(&first, stage.unwrap_or(search.full_builds))?;
    let passed = passed_of(&counts);
    let second = best_first(&first, &passed, TRIED_AGAIN[1], &search.costs);
    search.run_in_full(&second)?;
    let mut tried: Vec<usize> = search.full.keys().copied().collect();
    if tried.iter().any(|index| search.shows_enough(*index)) {
        tried.retain(|index| search.shows_enough(*index));
    }
    let passed: Vec<u64> = tried
        .iter()
        .map(|index| search.full[index].passed)
        .collect();
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
        let run = brief_run(search.run, search.full_builds);
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
            let chosen = best(&mut search, &order)?;
            let proof = search.proof(&chosen)?;
            (chosen, proof)
        }
    };
    let front = way_front(&mut search, &order)?;
    let next_point = next_point(&search, &chosen);
    let now_set = ways.now();
    let now_run = search.try_set(&now_set, search.full_builds)?;
    let now = TriedSet {
        cost: ways.cost(&now_set),
        build_yield: now_run.build_yield(&run),
        clear: ClearLooks::of(&now_run.clear, run.level),
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
            .map(|(cost, count)| ScreenedSet {
                cost: *cost,
                passed: count.passed,
            })
            .collect(),
        screen_builds: search.screen_builds,
        full_runs: search.full.len(),
        full_builds: search.full_builds,
        design: plan.design.clone(),
        ways: ways.clone(),
        run,
        target: plan.design.judging.target_yield,
        clear_target: plan.design.judging.clear_share,
        now,
        chosen,
        meets,
        proof,
        by_estimate: found.by_estimate,
        without_room: found.without_room,
        unclear: found.unclear,
        unproven: found.unproven,
        runner_ups,
        front,
        next_point,
        stays,
    })
}
