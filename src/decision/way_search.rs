//! Trying sets of ways of working: a brief trial of all of them at the same builds and looks, and longer runs of some.

use super::brief::{Brief, brief, brief_run};
use super::run_plan::RunPlan;
use crate::figure::{Plan, SetOfWays, Ways};
use crate::sampling::another_seed;
use crate::statistics::{Proportion, interval_wilson_1927};
use crate::trial::RunHooks;
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::atomic::{AtomicU64, Ordering};

/// Builds of the full run of a set (chosen: an interval of ± 0.6 points at a yield of 90 %).
pub const FULL_BUILDS: u64 = 10_000;
/// Fewest and most builds of the run that proves the chosen set; between them as many as the scenario's own run may take.
pub const PROOF_BUILDS: [u64; 2] = [20_000, 100_000];
/// Builds of the stages between the first trial and the full run.
pub(super) const STAGES: [u64; 2] = [512, 2048];
/// Most and fewest builds of the first trial of every set, and about how many builds it may take for all sets together
/// (chosen: two seconds or so).
const SCREEN_BUILDS: [u64; 2] = [64, 256];
const SCREEN_ROOM: u64 = 1 << 20;
/// Level of the intervals by which a set is given up before its full run (chosen: one in ten thousand is given up wrongly).
const SURE: f64 = 0.9998;
/// How much wider than the fresh run's interval the room is that a promise needs (chosen, see [`Promise::KeptWithRoom`]).
const ROOM: f64 = 3.0;

/// A set with its full run.
#[derive(Debug, Clone, PartialEq)]
pub struct TriedSet {
    /// The way at every step.
    pub set: SetOfWays,
    /// What it costs.
    pub cost: f64,
    /// Its yield in the search's full run.
    pub build_yield: Proportion,
}

/// What the first trial of a set came to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ScreenedSet {
    /// What the set costs.
    pub cost: f64,
    /// Builds that passed.
    pub passed: u64,
}

/// Whether a set keeps its promise with other random numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Promise {
    /// The interval of the fresh run, taken three times as wide, is at or above the target: another run of that size has its
    /// whole interval there too in all but 3 of 1000 cases (at 95 %: two half-widths are 2.8 standard errors of a difference).
    KeptWithRoom,
    /// The whole interval of the fresh run is at or above the target, but barely: another run may well straddle it.
    Kept,
    /// The fresh estimate is at or above the target, its interval reaches below.
    KeptByEstimate,
    /// The fresh estimate is below the target.
    Broken,
}

/// The fresh run of a set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Proof {
    /// Its seed, which has nothing to do with the search's.
    pub seed: u64,
    /// Its yield.
    pub build_yield: Proportion,
    /// What it says of the target.
    pub promise: Promise,
    /// Whether its interval and that of the search's run overlap.
    pub agrees: bool,
}

/// The full run of a set: which builds pass, 64 to a word.
#[derive(Debug, Clone)]
pub(super) struct FullRun {
    pub passed: u64,
    pub passes: Vec<u64>,
}

impl FullRun {
    fn of(brief: &Brief) -> Self {
        let word = |margins: &[f64]| {
            let bits = margins.iter().enumerate();
            bits.fold(0_u64, |word, (nth, margin)| {
                word | u64::from(*margin <= 1.0) << nth
            })
        };
        Self {
            passed: brief.passed,
            passes: brief.margins.chunks(64).map(word).collect(),
        }
    }
}

/// Everything that the search needs to try sets.
pub(super) struct Search<'s> {
    pub plan: &'s Plan,
    pub ways: &'s Ways,
    pub run: &'s RunPlan,
    pub hooks: &'s RunHooks<'s>,
    pub sets: Vec<SetOfWays>,
    pub costs: Vec<f64>,
    /// Builds that passed the first trial.
    pub screen: Vec<u64>,
    pub screen_builds: u64,
    /// Full runs by the set's number.
    pub full: BTreeMap<usize, FullRun>,
}

impl<'s> Search<'s> {
    pub fn new(
        plan: &'s Plan,
        ways: &'s Ways,
        run: &'s RunPlan,
        hooks: &'s RunHooks<'s>,
    ) -> Option<Self> {
        let sets = ways.sets().ok()?;
        let costs = sets.iter().map(|set| ways.cost(set)).collect();
        let [fewest, most] = SCREEN_BUILDS;
        let room = (SCREEN_ROOM / sets.len().max(1) as u64).clamp(fewest, most);
        let screen_builds = 1 << room.ilog2();
        let mut search = Self {
            plan,
            ways,
            run,
            hooks,
            sets,
            costs,
            screen: Vec::new(),
            screen_builds,
            full: BTreeMap::new(),
        };
        let all: Vec<usize> = (0..search.sets.len()).collect();
        let (done, most) = (AtomicU64::new(0), screen_builds * all.len() as u64);
        let screen: Option<Vec<u64>> = all
            .par_iter()
            .map(|index| {
                let passed = search.try_set(&search.sets[*index], screen_builds)?.passed;
                let before = done.fetch_add(screen_builds, Ordering::Relaxed);
                (hooks.progress)(before + screen_builds, most);
                Some(passed)
            })
            .collect();
        search.screen = screen?;
        Some(search)
    }

    /// A run of one set.
    pub fn try_set(&self, set: &[usize], builds: u64) -> Option<Brief> {
        let plan = self.ways.plan(self.plan, set);
        brief(&plan, &brief_run(self.run, builds), self.hooks)
    }

    /// How many builds of each of some sets pass, each out of `builds`.
    pub fn passed_of(&self, which: &[usize], builds: u64) -> Option<Vec<u64>> {
        which
            .par_iter()
            .map(|index| Some(self.try_set(&self.sets[*index], builds)?.passed))
            .collect()
    }

    /// Makes sure that these sets have had their full runs.
    pub fn run_in_full(&mut self, which: &[usize]) -> Option<()> {
        let new: Vec<usize> = which
            .iter()
            .copied()
            .filter(|index| !self.full.contains_key(index))
            .collect();
        let runs: Option<Vec<FullRun>> = new
            .par_iter()
            .map(|index| {
                let brief = self.try_set(&self.sets[*index], FULL_BUILDS)?;
                Some(FullRun::of(&brief))
            })
            .collect();
        self.full.extend(new.into_iter().zip(runs?));
        Some(())
    }

    /// Set number `index` with its full run.
    pub fn tried(&self, index: usize) -> Option<TriedSet> {
        let run = self.full.get(&index)?;
        Some(TriedSet {
            set: self.sets[index].clone(),
            cost: self.costs[index],
            build_yield: self.run.proportion(run.passed, FULL_BUILDS),
        })
    }

    /// Numbers of all sets, the cheapest first; of those that cost the same, the one that did better at first.
    pub fn by_cost(&self) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.sets.len()).collect();
        order.sort_by(|a, b| {
            self.costs[*a]
                .total_cmp(&self.costs[*b])
                .then(self.screen[*b].cmp(&self.screen[*a]))
                .then(a.cmp(b))
        });
        order
    }

    /// Those of `which` that may still meet the target after `builds` builds of which this many passed.
    pub fn hopeful(&self, which: &[usize], passed: &[u64], builds: u64) -> Vec<usize> {
        let target = self.plan.design.judging.target_yield;
        let may = |passed: u64| {
            interval_wilson_1927(passed, builds, SURE).is_some_and(|[_, high]| high >= target)
        };
        let both = which.iter().zip(passed);
        both.filter(|(_, passed)| may(**passed))
            .map(|(index, _)| *index)
            .collect()
    }

    /// A fresh run of a set, the `nth` that is asked for.
    pub fn proof(&self, tried: &TriedSet, nth: usize) -> Option<Proof> {
        let target = self.plan.design.judging.target_yield;
        let seed = (0..=nth).fold(self.run.seed, |seed, _| another_seed(seed));
        let run = RunPlan { seed, ..*self.run };
        let plan = self.ways.plan(self.plan, &tried.set);
        let builds = run.builds.clamp(PROOF_BUILDS[0], PROOF_BUILDS[1]);
        let found = brief(&plan, &brief_run(&run, builds), self.hooks)?;
        let build_yield = found.build_yield(&run);
        let ([low, high], [promised_low, promised_high]) =
            (build_yield.interval()?, tried.build_yield.interval()?);
        Some(Proof {
            seed,
            build_yield,
            promise: if low - (ROOM - 1.0) * (build_yield.share()? - low) >= target {
                Promise::KeptWithRoom
            } else if low >= target {
                Promise::Kept
            } else if build_yield.share()? >= target {
                Promise::KeptByEstimate
            } else {
                Promise::Broken
            },
            agrees: low <= promised_high && promised_low <= high,
        })
    }
}
