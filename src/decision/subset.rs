//! Subset simulation: the probability of a failure that is too rare to be met by plain sampling.
//!
//! A build is a point in the space of independent standard normal numbers, and fails where its performance g exceeds 1.
//! The rare step from everywhere to g > 1 is cut into steps of about [`STEP_SHARE`]: among points with g > t₁ the share
//! with g > t₂, and so on; the probability is the product of the shares (S.-K. Au & J. L. Beck, Probabilistic Engineering
//! Mechanics 16 (2001) 263). Points beyond a threshold are made from those that got there by Markov chains whose proposal
//! √(1 − s²)·z + s·ξ keeps the normal law in any number of dimensions (I. Papaioannou, W. Betz, K. Zwirglmaier & D. Straub,
//! Probabilistic Engineering Mechanics 41 (2015) 89); its scale s is adapted to their acceptance of 0.44.
//!
//! Thresholds and scales come from one pilot and then stand still for all repetitions, and every chain has the same length
//! however many points got beyond. So the product of shares is unbiased for any number of samples, however badly the chains
//! mix: each chain keeps the law it starts in, and the expected measure is the true one step by step (P. Del Moral,
//! Feynman–Kac Formulae, 2004, ch. 9; from memory). Were thresholds set anew in each repetition, it would be so only in the
//! limit, with a bias of the order of 1/samples; and were chains the shorter the more points got beyond, lucky repetitions
//! would keep their luck and unlucky ones lose it. Slow mixing shows in the scatter of the repetitions, from which the
//! interval comes.

use crate::sampling::{Stream, StreamKey, normal_quantile_wichura_1988};
use crate::statistics::{RepeatedMean, interval_clopper_pearson_1934};
use crate::trial::RunHooks;
use rayon::prelude::*;
use std::sync::atomic::{AtomicU64, Ordering};

/// Share of points that a threshold lets through (Au & Beck 2001).
pub const STEP_SHARE: f64 = 0.1;
/// Points of each chain, the seed among them.
const CHAIN_LENGTH: usize = 10;
/// Acceptance to which the proposal's scale is adapted (Papaioannou et al. 2015).
const WANTED_ACCEPTANCE: f64 = 0.44;
/// Scale with which the pilot begins (Papaioannou et al. 2015).
const FIRST_SCALE: f64 = 0.6;
/// Smallest scale (chosen: below it a chain stands still within its length).
const LEAST_SCALE: f64 = 1e-3;
/// What these streams are for; no source of error has this number.
const PURPOSE: u64 = 1001;

/// Performance of many points at once: failure where it is above 1, the larger the worse.
pub type Evaluate<'a> = &'a (dyn Fn(&[Vec<f64>]) -> Vec<f64> + Sync);

/// How much to run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SubsetSettings {
    /// Seed of all random numbers.
    pub seed: u64,
    /// Points at each threshold; at least 10.
    pub samples: usize,
    /// Independent repetitions; at least 2 for an interval.
    pub repetitions: usize,
    /// Most thresholds.
    pub most_thresholds: usize,
    /// Confidence level of the interval.
    pub level: f64,
}

/// Where the pilot ended.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PilotEnd {
    /// At least a share of [`STEP_SHARE`] of the points fails.
    Failures,
    /// The most thresholds were used and too few points fail.
    MostThresholds,
    /// No point is worse than this performance, at which many stand: there is no way on.
    Plateau(f64),
}

/// One threshold and what the repetitions met there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Threshold {
    /// Points beyond it have a larger performance.
    pub performance: f64,
    /// Scale of the chains' proposal beyond it.
    pub scale: f64,
    /// Mean share of points that got beyond it, over the repetitions that came to it.
    pub share: Option<f64>,
    /// Mean acceptance of the chains beyond it.
    pub acceptance: Option<f64>,
}

/// One repetition.
#[derive(Debug, Clone, PartialEq)]
pub struct Repetition<T> {
    /// Its estimate of the probability.
    pub estimate: f64,
    /// Its estimate of the probability to be beyond the last threshold.
    pub reached: f64,
    /// Points that fail, out of the settings' samples.
    pub failing: usize,
    /// Performances worked out.
    pub evaluations: u64,
    /// What was made of the points that fail.
    pub examined: T,
}

/// The result.
#[derive(Debug, Clone, PartialEq)]
pub struct SubsetResult<T> {
    /// How it was run.
    pub settings: SubsetSettings,
    /// Numbers in a point.
    pub dimension: usize,
    /// Mean of the repetitions' estimates.
    pub estimate: f64,
    /// Standard error over estimate; `None` when nothing failed.
    pub relative_error: Option<f64>,
    /// Interval of the probability. When nothing failed it begins at 0 and ends where the last threshold stands: an upper
    /// bound.
    pub interval: Option<[f64; 2]>,
    /// Where the pilot ended.
    pub end: PilotEnd,
    /// Thresholds, lowest first; none where failure is not rare and the estimate is a plain share.
    pub thresholds: Vec<Threshold>,
    /// Repetitions in order.
    pub repetitions: Vec<Repetition<T>>,
    /// Performances worked out, the pilot's among them.
    pub evaluations: u64,
}

impl<T> SubsetResult<T> {
    /// How many points plain sampling would take for the same relative error, (1 − p)/(p·error²); `None` when nothing
    /// failed.
    pub fn plain_evaluations(&self) -> Option<f64> {
        let error = self.relative_error.filter(|error| *error > 0.0)?;
        Some((1.0 - self.estimate) / (self.estimate * error * error))
    }

    /// Standard deviation over mean of a single repetition; `None` when nothing failed.
    pub fn scatter(&self) -> Option<f64> {
        Some(self.relative_error? * (self.repetitions.len() as f64).sqrt())
    }
}

/// A threshold and the scale beyond it, as the pilot found them.
#[derive(Debug, Clone, Copy)]
struct Rung {
    performance: f64,
    scale: f64,
}

/// Points and their performances.
struct Population {
    points: Vec<Vec<f64>>,
    performances: Vec<f64>,
}

/// Everything that stays the same while points move.
struct Walk<'a, 'h> {
    settings: &'a SubsetSettings,
    dimension: usize,
    evaluate: Evaluate<'a>,
    hooks: &'a RunHooks<'h>,
    done: &'a AtomicU64,
    /// Performances that all repetitions will take about, once the pilot has said.
    most: u64,
    /// Repetition plus one, or 0 for the pilot.
    number: u64,
}

/// Runs a pilot and the repetitions. `examine` is told all failing points of each repetition (there may be none).
/// Progress is told in performances, with 0 for how many there will be while the pilot is under way. `None` when
/// interrupted, or when the settings ask for fewer than 10 samples or no repetition.
pub fn subset_simulation<T: Send>(
    dimension: usize,
    settings: &SubsetSettings,
    evaluate: Evaluate<'_>,
    examine: &(dyn Fn(&[Vec<f64>]) -> T + Sync),
    hooks: &RunHooks<'_>,
) -> Option<SubsetResult<T>> {
    if settings.samples < 10 || settings.repetitions == 0 {
        return None;
    }
    let done = AtomicU64::new(0);
    let walk = |number, most| Walk {
        settings,
        dimension,
        evaluate,
        hooks,
        done: &done,
        most,
        number,
    };
    let (rungs, end) = walk(0, 0).pilot()?;
    let most = (settings.samples * (settings.repetitions + 1) * (rungs.len() + 1)) as u64;
    let climbed: Vec<Climbed<T>> = (1..=settings.repetitions as u64)
        .into_par_iter()
        .map(|number| walk(number, most).climb(&rungs, examine))
        .collect::<Option<_>>()?;
    let mean_of = |pick: &dyn Fn(&Climbed<T>) -> Option<f64>| {
        let found: Vec<f64> = climbed.iter().filter_map(pick).collect();
        (!found.is_empty()).then(|| found.iter().sum::<f64>() / found.len() as f64)
    };
    let thresholds = rungs
        .iter()
        .enumerate()
        .map(|(nth, rung)| Threshold {
            performance: rung.performance,
            scale: rung.scale,
            share: mean_of(&|one| one.shares.get(nth).copied()),
            acceptance: mean_of(&|one| one.acceptances.get(nth).copied().flatten()),
        })
        .collect();
    let repetitions: Vec<Repetition<T>> = climbed.into_iter().map(|one| one.repetition).collect();
    Some(summed(
        settings,
        dimension,
        thresholds,
        end,
        repetitions,
        done.into_inner(),
    ))
}

fn summed<T>(
    settings: &SubsetSettings,
    dimension: usize,
    thresholds: Vec<Threshold>,
    end: PilotEnd,
    repetitions: Vec<Repetition<T>>,
    evaluations: u64,
) -> SubsetResult<T> {
    let mean = |pick: fn(&Repetition<T>) -> f64| {
        let values: Vec<f64> = repetitions.iter().map(pick).collect();
        (
            values.iter().sum::<f64>() / values.len() as f64,
            RepeatedMean::of(&values),
        )
    };
    let (estimate, repeated) = mean(|one| one.estimate);
    let (interval, relative_error) = if dimension == 0 {
        // nothing varies: one point says all
        (Some([estimate; 2]), None)
    } else if thresholds.is_empty() {
        // plain sampling: the counts say all
        let count: u64 = repetitions.iter().map(|one| one.failing as u64).sum();
        let of = (settings.samples * repetitions.len()) as u64;
        let relative = ((1.0 - estimate) / (estimate * of as f64)).sqrt();
        (
            interval_clopper_pearson_1934(count, of, settings.level),
            (count > 0).then_some(relative),
        )
    } else if estimate > 0.0 {
        (
            repeated
                .and_then(|mean| mean.interval(settings.level))
                .map(|[low, high]| [low, high.min(1.0)]),
            repeated.and_then(|mean| mean.relative_error()),
        )
    } else {
        let (_, reached) = mean(|one| one.reached);
        let bound = reached.and_then(|mean| mean.interval(settings.level));
        (bound.map(|[_, high]| [0.0, high.min(1.0)]), None)
    };
    SubsetResult {
        settings: *settings,
        dimension,
        estimate,
        relative_error,
        interval,
        end,
        thresholds,
        repetitions,
        evaluations,
    }
}

/// A repetition with what it met at each threshold.
struct Climbed<T> {
    repetition: Repetition<T>,
    shares: Vec<f64>,
    acceptances: Vec<Option<f64>>,
}

impl Walk<'_, '_> {
    fn stream(&self, nth: usize, what: u64, which: u64) -> Stream {
        let key = StreamKey {
            seed: self.settings.seed,
            source: PURPOSE,
            item: self.number,
            component: nth as u64,
            look: what,
        };
        Stream::new(key, which)
    }

    fn performances(&self, points: &[Vec<f64>]) -> Option<Vec<f64>> {
        if self.hooks.is_interrupted() {
            return None;
        }
        let found = (self.evaluate)(points);
        let done = self.done.fetch_add(points.len() as u64, Ordering::Relaxed);
        (self.hooks.progress)(done + points.len() as u64, self.most);
        // what cannot be compared cannot hold
        Some(
            found
                .into_iter()
                .map(|g| if g.is_nan() { f64::INFINITY } else { g })
                .collect(),
        )
    }

    /// Points drawn anew.
    fn first(&self) -> Option<Population> {
        let points: Vec<Vec<f64>> = (0..self.settings.samples as u64)
            .map(|sample| {
                let mut stream = self.stream(0, 0, sample);
                (0..self.dimension)
                    .map(|_| normal_quantile_wichura_1988(stream.next_uniform()))
                    .collect()
            })
            .collect();
        Some(Population {
            performances: self.performances(&points)?,
            points,
        })
    }

    fn pilot(&self) -> Option<(Vec<Rung>, PilotEnd)> {
        let mut rungs: Vec<Rung> = Vec::new();
        let mut population = self.first()?;
        let mut scale = FIRST_SCALE;
        loop {
            let performance = match next_threshold(&population.performances) {
                Next::Failures => return Some((rungs, PilotEnd::Failures)),
                Next::Plateau(at) => return Some((rungs, PilotEnd::Plateau(at))),
                Next::Threshold(_) if rungs.len() >= self.settings.most_thresholds => {
                    return Some((rungs, PilotEnd::MostThresholds));
                }
                Next::Threshold(performance) => performance,
            };
            let nth = rungs.len() + 1;
            let seeds = population.beyond(performance);
            let mut step = 0.0_f64;
            let adapt = |acceptance: f64, scale: f64| {
                step += 1.0;
                let by = (acceptance - WANTED_ACCEPTANCE) / step.sqrt();
                (scale * libm::exp(by)).clamp(LEAST_SCALE, 1.0)
            };
            (population, _) = self.refill(nth, performance, seeds, &mut scale, adapt)?;
            rungs.push(Rung { performance, scale });
        }
    }

    fn climb<T>(
        &self,
        rungs: &[Rung],
        examine: &(dyn Fn(&[Vec<f64>]) -> T + Sync),
    ) -> Option<Climbed<T>> {
        let samples = self.settings.samples as f64;
        let mut population = self.first()?;
        let mut evaluations = population.points.len() as u64;
        let mut reached = 1.0;
        let (mut shares, mut acceptances) = (Vec::new(), Vec::new());
        for (nth, rung) in rungs.iter().enumerate() {
            let seeds = population.beyond(rung.performance);
            let share = seeds.points.len() as f64 / samples;
            shares.push(share);
            reached *= share;
            if seeds.points.is_empty() {
                population = seeds;
                break;
            }
            evaluations += (self.settings.samples - self.chains()) as u64;
            let mut scale = rung.scale;
            let acceptance;
            (population, acceptance) =
                self.refill(nth + 1, rung.performance, seeds, &mut scale, |_, s| s)?;
            acceptances.push(acceptance);
        }
        let failing = population.beyond(1.0).points;
        Some(Climbed {
            repetition: Repetition {
                estimate: reached * failing.len() as f64 / samples,
                reached,
                failing: failing.len(),
                evaluations,
                examined: examine(&failing),
            },
            shares,
            acceptances,
        })
    }

    fn chains(&self) -> usize {
        self.settings.samples.div_ceil(CHAIN_LENGTH)
    }

    /// Makes `samples` points beyond `threshold`: chains begin at seeds picked at random, as evenly as can be, and all go a
    /// step at a time. Returns the mean acceptance too.
    fn refill(
        &self,
        nth: usize,
        threshold: f64,
        seeds: Population,
        scale: &mut f64,
        mut adapt: impl FnMut(f64, f64) -> f64,
    ) -> Option<(Population, Option<f64>)> {
        let chains = self.chains();
        let wanted = self.settings.samples;
        let order = shuffled(seeds.points.len(), &mut self.stream(nth, 1, 0));
        let mut now = seeds.picked(order.iter().copied().cycle().take(chains));
        let mut streams: Vec<Stream> = (0..chains as u64)
            .map(|chain| self.stream(nth, 0, chain))
            .collect();
        let mut all = now.picked(0..chains);
        let (mut accepted, mut tried) = (0_usize, 0_usize);
        while all.points.len() < wanted {
            let moving = chains.min(wanted - all.points.len());
            let keep = (1.0 - *scale * *scale).max(0.0).sqrt();
            let candidates: Vec<Vec<f64>> = streams[..moving]
                .iter_mut()
                .zip(&now.points)
                .map(|(stream, point)| {
                    let mut noise = || *scale * normal_quantile_wichura_1988(stream.next_uniform());
                    point.iter().map(|z| keep * z + noise()).collect()
                })
                .collect();
            let performances = self.performances(&candidates)?;
            let mut taken = 0;
            for (chain, (candidate, g)) in candidates.into_iter().zip(performances).enumerate() {
                if g > threshold {
                    now.points[chain] = candidate;
                    now.performances[chain] = g;
                    taken += 1;
                }
                all.points.push(now.points[chain].clone());
                all.performances.push(now.performances[chain]);
            }
            *scale = adapt(taken as f64 / moving as f64, *scale);
            accepted += taken;
            tried += moving;
        }
        let acceptance = (tried > 0).then(|| accepted as f64 / tried as f64);
        Some((all, acceptance))
    }
}

impl Population {
    /// The points at these places.
    fn picked(&self, places: impl Iterator<Item = usize> + Clone) -> Self {
        Self {
            points: places.clone().map(|at| self.points[at].clone()).collect(),
            performances: places.map(|at| self.performances[at]).collect(),
        }
    }

    /// Those of the points whose performance is above `threshold`.
    fn beyond(&self, threshold: f64) -> Self {
        let (points, performances) = self
            .points
            .iter()
            .zip(&self.performances)
            .filter(|(_, g)| **g > threshold)
            .map(|(point, g)| (point.clone(), *g))
            .unzip();
        Self {
            points,
            performances,
        }
    }
}

/// What to do after a look at the pilot's performances.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Next {
    Failures,
    Threshold(f64),
    Plateau(f64),
}

/// The threshold that lets the wanted share through. Where many points stand at one performance the share may be another:
/// a few points above the plateau are enough; else the threshold goes below it; else there is no way on.
fn next_threshold(performances: &[f64]) -> Next {
    let mut sorted = performances.to_vec();
    sorted.sort_by(|a, b| b.total_cmp(a));
    let wanted = ((sorted.len() as f64 * STEP_SHARE) as usize).max(1);
    let above = |threshold: f64| sorted.partition_point(|g| *g > threshold);
    if above(1.0) >= wanted {
        return Next::Failures;
    }
    let plateau = sorted[wanted];
    let over = above(plateau);
    // chosen: a twentieth of the seeds still makes a population
    if over > 0 && over >= wanted / 20 {
        return Next::Threshold(plateau);
    }
    match sorted.iter().find(|g| **g < plateau) {
        Some(below) => Next::Threshold(*below),
        None if over > 0 => Next::Threshold(plateau),
        None => Next::Plateau(plateau),
    }
}

/// The numbers from 0 to `count`, in random order (Fisher & Yates).
fn shuffled(count: usize, stream: &mut Stream) -> Vec<usize> {
    let mut order: Vec<usize> = (0..count).collect();
    for last in (1..count).rev() {
        let pick = (stream.next_uniform() * (last + 1) as f64) as usize;
        order.swap(last, pick.min(last));
    }
    order
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_next_threshold_lets_a_tenth_through() {
        let performances: Vec<f64> = (0..100).map(|i| f64::from(i) / 200.0).collect();
        let Next::Threshold(found) = next_threshold(&performances) else {
            panic!("nothing fails");
        };
        assert_eq!(performances.iter().filter(|g| **g > found).count(), 10);
    }

    #[test]
    fn a_plateau_is_stepped_over_where_points_stand_above_it_and_under_where_not() {
        let mut performances = vec![0.5; 99];
        performances.push(0.7);
        assert_eq!(next_threshold(&performances), Next::Threshold(0.5));
        performances[99] = 0.1;
        assert_eq!(next_threshold(&performances), Next::Threshold(0.1));
        performances[99] = 0.5;
        assert_eq!(next_threshold(&performances), Next::Plateau(0.5));
        let failing = [vec![f64::INFINITY; 10], vec![0.2; 90]].concat();
        assert_eq!(next_threshold(&failing), Next::Failures);
    }
}
