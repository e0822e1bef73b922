//! Cost against yield: the sets of ways of working for which no cheaper one is as good, and what the next point costs.
//!
//! All sets had a brief trial. Those that few cheaper ones beat go on to longer runs, until full runs decide. A step of the
//! front is kept only where its gain over the step before is clear: both ran the same builds, so the gain's interval comes
//! from the builds in which they differ (see [`PairedDifference`]).

use super::way_search::{FullRun, Search, TriedSet};
use crate::statistics::PairedDifference;

/// A set goes on from each stage while fewer cheaper sets than this did as well (chosen: wide at first, when estimates are
/// rough).
const BEATEN_BY: [usize; 2] = [8, 3];

/// What one set has over a cheaper one, and at what price.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gain {
    /// By how much more it costs.
    pub cost: f64,
    /// By how much its yield is higher, as a share.
    pub share: f64,
    /// Interval of that, at the run's level.
    pub interval: [f64; 2],
}

impl Gain {
    /// Cost of one point of yield (a hundredth): estimate and interval.
    pub fn price_of_a_point(&self) -> (f64, [f64; 2]) {
        let price = |share: f64| self.cost / (100.0 * share);
        let [low, high] = self.interval;
        (price(self.share), [price(high), price(low)])
    }
}

/// A step of the front of cost against yield.
#[derive(Debug, Clone, PartialEq)]
pub struct FrontStep {
    /// The set.
    pub tried: TriedSet,
    /// What it has over the step before; `None` at the cheapest.
    pub gain: Option<Gain>,
}

/// Where the next point of yield is cheapest to be had.
#[derive(Debug, Clone, PartialEq)]
pub struct NextPoint {
    /// The set.
    pub tried: TriedSet,
    /// What it has over the chosen one.
    pub gain: Gain,
}

/// The gain of `to` over the cheaper `from`; `None` unless it is clear.
fn clear_gain(search: &Search<'_>, from: &FullRun, to: &FullRun, cost: f64) -> Option<Gain> {
    let pairs = || from.passes.iter().zip(&to.passes);
    let won: u64 = pairs()
        .map(|(from, to)| u64::from((to & !from).count_ones()))
        .sum();
    let lost: u64 = pairs()
        .map(|(from, to)| u64::from((from & !to).count_ones()))
        .sum();
    gain_of(won, lost, search.full_builds, search.run.level, cost)
}

/// The gain where the dearer set won this many builds and lost those, of `of`; `None` unless it is clear.
fn gain_of(won: u64, lost: u64, of: u64, level: f64, cost: f64) -> Option<Gain> {
    let found = PairedDifference::new(won, lost, of, level)?;
    (found.interval[0] > 0.0).then_some(Gain {
        cost,
        share: found.difference,
        interval: found.interval,
    })
}

/// Those of `order` (cheapest first) that fewer than `most` cheaper ones did as well as.
fn little_beaten(order: &[usize], passed: &[u64], most: usize) -> Vec<usize> {
    // the counts of those that did best so far, rising; no more of them can matter
    let mut best: Vec<u64> = Vec::new();
    let mut kept = Vec::new();
    for (index, passed) in order.iter().zip(passed) {
        let as_good = best.iter().filter(|other| *other >= passed).count();
        if as_good < most {
            kept.push(*index);
            best.push(*passed);
            best.sort_unstable();
            if best.len() > most {
                best.remove(0);
            }
        }
    }
    kept
}

/// The front, from the cheapest set on.
pub(super) fn way_front(search: &mut Search<'_>, order: &[usize]) -> Option<Vec<FrontStep>> {
    let screened = order.iter().map(|index| search.screen[*index].passed);
    let screened: Vec<u64> = screened.collect();
    let some = little_beaten(order, &screened, BEATEN_BY[0]);
    let stage = search.stages().last().copied();
    let builds = stage.unwrap_or(search.full_builds);
    let passed = search.counts_of(&some, builds)?;
    let passed: Vec<u64> = passed.iter().map(|count| count.passed).collect();
    let few = little_beaten(&some, &passed, BEATEN_BY[1]);
    search.run_in_full(&few)?;
    let mut steps: Vec<(usize, FrontStep)> = Vec::new();
    for index in full_by_cost(search) {
        let tried = search.tried(index)?;
        let gain = match steps.last() {
            None => None,
            Some((before, step)) => {
                let cost = tried.cost - step.tried.cost;
                match clear_gain(search, &search.full[before], &search.full[&index], cost) {
                    None => continue,
                    gain => gain,
                }
            }
        };
        steps.push((index, FrontStep { tried, gain }));
    }
    Some(steps.into_iter().map(|(_, step)| step).collect())
}

/// Sets that had a full run, the cheapest first; of those that cost the same, the best first.
fn full_by_cost(search: &Search<'_>) -> Vec<usize> {
    let mut all: Vec<usize> = search.full.keys().copied().collect();
    all.sort_by(|a, b| {
        let passed = |index: &usize| search.full[index].passed;
        search.costs[*a]
            .total_cmp(&search.costs[*b])
            .then(passed(b).cmp(&passed(a)))
            .then(a.cmp(b))
    });
    all
}

/// Among the dearer sets with a full run, enough looks that show the whole figure, and a clear gain over the chosen one, that whose points cost least.
pub(super) fn next_point(search: &Search<'_>, chosen: &TriedSet) -> Option<NextPoint> {
    let from = search.sets.iter().position(|set| *set == chosen.set)?;
    full_by_cost(search)
        .into_iter()
        .filter(|index| search.costs[*index] > chosen.cost && search.shows_enough(*index))
        .filter_map(|index| {
            let cost = search.costs[index] - chosen.cost;
            let gain = clear_gain(search, &search.full[&from], &search.full[&index], cost)?;
            let tried = search.tried(index)?;
            Some(NextPoint { tried, gain })
        })
        .min_by(|a, b| {
            let price = |next: &NextPoint| next.gain.price_of_a_point().0;
            price(a).total_cmp(&price(b))
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_gain_of_a_few_builds_is_not_clear() {
        // four builds won and none lost: two sets that are alike differ so once in sixteen times (a sign test), in either
        // direction once in eight
        assert!(gain_of(4, 0, 10_000, 0.95, 1.0).is_none());
        assert!(gain_of(40, 30, 10_000, 0.95, 1.0).is_none());
        assert!(gain_of(0, 50, 10_000, 0.95, 1.0).is_none());
        let gain = gain_of(60, 10, 10_000, 0.95, 2.0).expect("clear");
        assert_eq!(gain.share, 0.005);
        let (price, [low, high]) = gain.price_of_a_point();
        assert_eq!(price, 4.0);
        assert!(
            0.0 < low && low < price && price < high && high < 8.0,
            "{low} to {high}"
        );
    }
}
