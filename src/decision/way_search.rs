//! Trying sets of ways of working: a brief trial of all of them at the same builds and looks, and longer runs of some.

use super::brief::{Brief, brief, brief_run, fresh_run};
use super::run_plan::RunPlan;
use crate::figure::{Plan, SetOfWays, Ways};
use crate::statistics::{
    ClusteredShare, Proportion, interval_of_clustered_share, interval_wilson_1927,
};
use crate::trial::RunHooks;
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::atomic::{AtomicU64, Ordering};

/// Fewest builds of the full run of a set, which has as many as the run that is asked for (chosen: an interval of ± 2 points
/// at a yield of 90 %).
pub const LEAST_FULL_BUILDS: u64 = 1000;
/// Fewest builds of the run that proves the chosen set, which has twice as many as the full runs (chosen: ± 0.4 points at a
/// yield of 90 %).
pub const LEAST_PROOF_BUILDS: u64 = 20_000;
/// Builds of the stages between the first trial and the full run, each at least [`STAGE_STEP`] times smaller than that.
const STAGES: [u64; 4] = [512, 2048, 8192, 32_768];
const STAGE_STEP: u64 = 4;
/// Most and fewest builds of the first trial of every set, and about how many builds it may take for all sets together
/// (chosen: two seconds or so).
const SCREEN_BUILDS: [u64; 2] = [64, 256];
const SCREEN_ROOM: u64 = 1 << 20;
/// Level of the intervals by which a set is given up before its full run (chosen: one in ten thousand is given up wrongly).
const SURE: f64 = 0.9998;
/// How much wider than a run's interval the room is that a promise needs (chosen, see [`Promise::KeptWithRoom`]).
pub const ROOM: f64 = 3.0;

/// A set with its full run.
#[derive(Debug, Clone, PartialEq)]
pub struct TriedSet {
    /// The way at every step.
    pub set: SetOfWays,
    /// What it costs.
    pub cost: f64,
    /// Its yield in the search's full run.
    pub build_yield: Proportion,
    /// Share of all looks of that run that show the whole figure.
    pub clear: ClearLooks,
}

/// Which share of all looks shows the whole figure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClearLooks {
    /// The share.
    pub share: f64,
    /// Its interval, at the run's level; looks at one build are not independent (see
    /// [`interval_of_clustered_share`]).
    pub interval: [f64; 2],
    /// Builds that were looked at.
    pub builds: u64,
}

impl ClearLooks {
    /// Of a brief run; where no look could be judged nothing is known, and nothing is taken as shown.
    pub(super) fn of(clear: &ClusteredShare, level: f64) -> Self {
        Self {
            share: clear.share().unwrap_or(0.0),
            interval: interval_of_clustered_share(clear, level).unwrap_or([0.0, 1.0]),
            builds: clear.builds,
        }
    }

    /// Whether the whole interval is at or above the share that is wanted.
    pub fn is_enough(&self, wanted: f64) -> bool {
        self.interval[0] >= wanted
    }
}

/// What the first trial of a set came to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ScreenedSet {
    /// What the set costs.
    pub cost: f64,
    /// Builds that passed.
    pub passed: u64,
}

/// What a run of a set says of the target yield, the best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Promise {
    /// The run's interval, taken three times as wide, is at or above the target: another run of that size has its whole
    /// interval there too in all but 3 of 1000 cases (at 95 %: two half-widths are 2.8 standard errors of a difference).
    KeptWithRoom,
    /// The run's whole interval is at or above the target, but barely: another run may well straddle it.
    Kept,
    /// The run's estimate is at or above the target, its interval reaches below.
    KeptByEstimate,
    /// The run's estimate is below the target.
    Broken,
}

impl Promise {
    /// What a yield says of a target; `None` where nothing was built.
    pub fn of(found: &Proportion, target: f64) -> Option<Self> {
        let (share, [low, _]) = (found.share()?, found.interval()?);
        Some(if low - (ROOM - 1.0) * (share - low) >= target {
            Self::KeptWithRoom
        } else if low >= target {
            Self::Kept
        } else if share >= target {
            Self::KeptByEstimate
        } else {
            Self::Broken
        })
    }

    /// Whether the run's whole interval is at or above the target.
    pub fn is_kept(self) -> bool {
        matches!(self, Self::KeptWithRoom | Self::Kept)
    }
}

/// The fresh run of a set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Proof {
    /// Its seed, which has nothing to do with the search's; the same for every set that is proved.
    pub seed: u64,
    /// Its yield.
    pub build_yield: Proportion,
    /// Share of all its looks that show the whole figure.
    pub clear: ClearLooks,
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
    pub clear: ClearLooks,
}

/// What some builds of a set come to.
#[derive(Debug, Clone, Copy)]
pub(super) struct Count {
    pub passed: u64,
    /// The highest share of clear looks that it may have (at the level [`SURE`]).
    clear_at_most: f64,
}

impl Count {
    fn of(brief: &Brief) -> Self {
        Self {
            passed: brief.passed,
            clear_at_most: ClearLooks::of(&brief.clear, SURE).interval[1],
        }
    }
}

impl FullRun {
    fn of(brief: &Brief, level: f64) -> Self {
        let word = |margins: &[f64]| {
            let bits = margins.iter().enumerate();
            bits.fold(0_u64, |word, (nth, margin)| {
                word | u64::from(*margin <= 1.0) << nth
            })
        };
        Self {
            passed: brief.passed,
            passes: brief.margins.chunks(64).map(word).collect(),
            clear: ClearLooks::of(&brief.clear, level),
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
    /// Of each set the first one that is worked alike (the same laws, holes and tightening), whose runs are its own too.
    pub alike: Vec<usize>,
    /// What the first trial came to.
    pub screen: Vec<Count>,
    pub screen_builds: u64,
    /// Builds of a full run.
    pub full_builds: u64,
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
        let alike = ways.alike(&plan.design, &sets);
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
            alike,
            screen: Vec::new(),
            screen_builds,
            full_builds: run.builds.max(LEAST_FULL_BUILDS),
            full: BTreeMap::new(),
        };
        let all = 0..search.sets.len();
        let own: Vec<usize> = all.filter(|index| search.alike[*index] == *index).collect();
        let (done, most) = (AtomicU64::new(0), screen_builds * own.len() as u64);
        let screen: Option<Vec<Count>> = own
            .par_iter()
            .map(|index| {
                let count = Count::of(&search.try_set(&search.sets[*index], screen_builds)?);
                let before = done.fetch_add(screen_builds, Ordering::Relaxed);
                (hooks.progress)(before + screen_builds, most);
                Some(count)
            })
            .collect();
        let screen: BTreeMap<usize, Count> = own.into_iter().zip(screen?).collect();
        search.screen = search.alike.iter().map(|index| screen[index]).collect();
        Some(search)
    }

    /// A run of one set.
    pub fn try_set(&self, set: &[usize], builds: u64) -> Option<Brief> {
        let plan = self.ways.plan(self.plan, set);
        brief(&plan, &brief_run(self.run, builds), self.hooks)
    }

    /// Builds of the stages between the first trial and the full run.
    pub fn stages(&self) -> Vec<u64> {
        let few_enough = |builds: &u64| builds * STAGE_STEP <= self.full_builds;
        STAGES.into_iter().filter(few_enough).collect()
    }

    /// What `builds` builds of each of some sets come to.
    pub fn counts_of(&self, which: &[usize], builds: u64) -> Option<Vec<Count>> {
        which
            .par_iter()
            .map(|index| Some(Count::of(&self.try_set(&self.sets[*index], builds)?)))
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
                let brief = self.try_set(&self.sets[*index], self.full_builds)?;
                Some(FullRun::of(&brief, self.run.level))
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
            build_yield: self.run.proportion(run.passed, self.full_builds),
            clear: run.clear,
        })
    }

    /// Whether a set that had its full run shows the whole figure in as many looks as the design is to.
    pub fn shows_enough(&self, index: usize) -> bool {
        let wanted = self.plan.design.judging.clear_share;
        let run = self.full.get(&index);
        run.is_some_and(|run| run.clear.is_enough(wanted))
    }

    /// Numbers of the sets, the cheapest first; of those that cost the same, the one that did better at first. Of sets that
    /// are worked alike only the first stands here.
    pub fn by_cost(&self) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.sets.len()).collect();
        order.sort_by(|a, b| {
            self.costs[*a]
                .total_cmp(&self.costs[*b])
                .then(self.screen[*b].passed.cmp(&self.screen[*a].passed))
                .then(a.cmp(b))
        });
        let mut seen = vec![false; self.sets.len()];
        order.retain(|index| !std::mem::replace(&mut seen[self.alike[*index]], true));
        order
    }

    /// The smallest share of a full run's builds that meets the target with room; above 1 where no count does.
    pub fn share_with_room(&self) -> f64 {
        let target = self.plan.design.judging.target_yield;
        let has_room = |passed: u64| {
            let found = self.run.proportion(passed, self.full_builds);
            Promise::of(&found, target) == Some(Promise::KeptWithRoom)
        };
        // the room's lower end rises with the count
        let (mut without, mut with) = (0, self.full_builds + 1);
        while with - without > 1 {
            let middle = u64::midpoint(without, with);
            if has_room(middle) {
                with = middle;
            } else {
                without = middle;
            }
        }
        with as f64 / self.full_builds as f64
    }

    /// Those of `which` that may still have these shares of builds that pass and of looks that are clear, after `builds`
    /// builds that came to this.
    pub fn hopeful(
        &self,
        which: &[usize],
        counts: &[Count],
        builds: u64,
        [passed, clear]: [f64; 2],
    ) -> Vec<usize> {
        let may = |count: &Count| {
            let high = interval_wilson_1927(count.passed, builds, SURE).map(|[_, high]| high);
            high.is_some_and(|high| high >= passed) && count.clear_at_most >= clear
        };
        let both = which.iter().zip(counts);
        both.filter(|(_, count)| may(count))
            .map(|(index, _)| *index)
            .collect()
    }

    /// A fresh run of a set: at the same builds and looks for every set, which have nothing to do with the search's.
    pub fn proof(&self, tried: &TriedSet) -> Option<Proof> {
        let run = fresh_run(self.run);
        let plan = self.ways.plan(self.plan, &tried.set);
        let builds = LEAST_PROOF_BUILDS.max(2 * self.full_builds);
        let found = brief(&plan, &brief_run(&run, builds), self.hooks)?;
        let build_yield = found.build_yield(&run);
        let ([low, high], [promised_low, promised_high]) =
            (build_yield.interval()?, tried.build_yield.interval()?);
        Some(Proof {
            seed: run.seed,
            build_yield,
            clear: ClearLooks::of(&found.clear, run.level),
            promise: Promise::of(&build_yield, self.plan.design.judging.target_yield)?,
            agrees: low <= promised_high && promised_low <= high,
        })
    }
}
