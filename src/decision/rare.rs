//! Rare failures of a design: the probability that a build fails, what breaks in the failing builds, and which sources of
//! error stand out in them.
//!
//! A source stands out by its *push*: over its coordinates z, the mean of z² among failing builds less 1 for sizes, and the
//! squared mean of (z₁, z₂) for directions. All are 0 for chance. For one straight limit far out the pushes of sizes are in
//! the ratio of the squared direction cosines of the nearest failing point, the importance factors of first-order
//! reliability (R. Rackwitz & B. Fiessler, Computers & Structures 9 (1978) 489; from memory).

use super::performance::{Fault, Performance, performances_of};
use super::run_plan::RunPlan;
use super::standard_space::{Coordinates, StandardSpace};
use super::subset::{SubsetResult, SubsetSettings, subset_simulation};
use crate::figure::{Plan, Source};
use crate::statistics::jackknife_tukey_1958;
use crate::trial::RunHooks;
use std::fmt;

/// How much to run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RareSettings {
    /// Builds at each threshold.
    pub samples: usize,
    /// Independent repetitions.
    pub repetitions: usize,
    /// Most thresholds: each is worth a factor of 10.
    pub most_thresholds: usize,
}

impl Default for RareSettings {
    /// 1000 builds at each threshold, 16 repetitions, down to 1e-12.
    fn default() -> Self {
        Self {
            samples: 1000,
            repetitions: 16,
            most_thresholds: 12,
        }
    }
}

/// Why there is no answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoRareFailure {
    /// Samples times coordinates, for all repetitions that run at a time, are this many numbers, more than are kept
    /// (60 million).
    TooLarge(usize),
    /// Fewer than 10 samples, or fewer than 2 repetitions.
    TooFew,
    /// The user asked to end.
    Interrupted,
}

impl fmt::Display for NoRareFailure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooLarge(numbers) => write!(
                f,
                "samples times random numbers of a build, for all repetitions that run at a time, are {numbers}; at most {MOST_NUMBERS} are kept: ask for fewer samples, looks or threads"
            ),
            Self::TooFew => f.write_str("at least 10 samples and 2 repetitions are needed"),
            Self::Interrupted => f.write_str("interrupted"),
        }
    }
}

/// Most numbers kept by all repetitions that run at a time: 480 MB, and as much again for a moment.
const MOST_NUMBERS: usize = 60_000_000;

/// How often a fault decides among failing builds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FaultShare {
    /// The fault.
    pub fault: Fault,
    /// Failing samples at which it decides.
    pub count: u64,
    /// Share of the probability of failure, each repetition weighted by its estimate.
    pub share: f64,
    /// Standard error of the share.
    pub standard_error: f64,
}

/// How a source stands out in failing builds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drive {
    /// The source.
    pub source: Source,
    /// Its coordinates.
    pub coordinates: usize,
    /// Root mean square of the coordinates of its sizes in failing builds, with its standard error; 1 is chance. `None` for
    /// a source that varies in direction only.
    pub rms: Option<(f64, f64)>,
    /// Its push, with its standard error; 0 is chance.
    pub push: (f64, f64),
    /// Its push among all pushes that are positive.
    pub share: f64,
}

/// What there is to say of a design's rare failures.
#[derive(Debug, Clone, PartialEq)]
pub struct RareFailure {
    /// The simulation; its estimate is the probability that a build fails.
    pub subset: SubsetResult<CountedFaults>,
    /// Looks at each build.
    pub looks: usize,
    /// Failing builds met, over all repetitions. Those of one chain are alike.
    pub failing: u64,
    /// Faults, the commonest first.
    pub faults: Vec<FaultShare>,
    /// Sources, the one that stands out most first.
    pub drives: Vec<Drive>,
}

impl RareFailure {
    /// Whether the whole interval of the yield is at or above `target`; where nothing varies, the yield itself.
    pub fn surely_meets(&self, target: f64) -> bool {
        let subset = &self.subset;
        let highest = match subset.interval {
            Some([_, high]) => high,
            None if subset.dimension == 0 => subset.estimate,
            None => return false,
        };
        1.0 - highest >= target
    }

    /// Whether a source's push is above chance by two standard errors.
    pub fn stands_out(drive: &Drive) -> bool {
        drive.push.0 > 2.0 * drive.push.1
    }
}

/// What one repetition's failing builds come to.
#[derive(Debug, Clone, PartialEq)]
pub struct CountedFaults {
    builds: u64,
    faults: Vec<(Fault, u64)>,
    sums: Vec<f64>,
    squares: Vec<f64>,
}

/// The probability that a build fails, by subset simulation; seed, looks and confidence level are the run's.
///
/// # Errors
/// [`NoRareFailure`] with the reason.
pub fn rare_failure(
    plan: &Plan,
    run_plan: &RunPlan,
    settings: &RareSettings,
    hooks: &RunHooks<'_>,
) -> Result<RareFailure, NoRareFailure> {
    let looks = usize::try_from(run_plan.looks).unwrap_or(usize::MAX);
    if settings.samples < 10 || settings.repetitions < 2 {
        return Err(NoRareFailure::TooFew);
    }
    let space = StandardSpace::new(plan, looks);
    let at_a_time = rayon::current_num_threads().min(settings.repetitions);
    let numbers = space
        .dimension
        .saturating_mul(settings.samples)
        .saturating_mul(at_a_time);
    if numbers > MOST_NUMBERS {
        return Err(NoRareFailure::TooLarge(numbers));
    }
    let subset = subset_simulation(
        space.dimension,
        &SubsetSettings {
            seed: run_plan.seed,
            samples: settings.samples,
            repetitions: settings.repetitions,
            most_thresholds: settings.most_thresholds,
            level: run_plan.level,
        },
        &|points| {
            let found = performances_at(plan, &space, points);
            found.iter().map(|one| one.worst).collect()
        },
        &|failing| count(plan, &space, failing),
        hooks,
    )
    .ok_or(NoRareFailure::Interrupted)?;
    Ok(RareFailure {
        looks,
        failing: subset
            .repetitions
            .iter()
            .map(|one| one.failing as u64)
            .sum(),
        faults: faults(&subset),
        drives: drives(&subset, &space.coordinates()),
        subset,
    })
}

fn performances_at(plan: &Plan, space: &StandardSpace, points: &[Vec<f64>]) -> Vec<Performance> {
    performances_of(plan, points, |point| space.values(plan, point))
}

fn count(plan: &Plan, space: &StandardSpace, failing: &[Vec<f64>]) -> CountedFaults {
    let mut counted = CountedFaults {
        builds: failing.len() as u64,
        faults: Vec::new(),
        sums: vec![0.0; space.dimension],
        squares: vec![0.0; space.dimension],
    };
    for one in performances_at(plan, space, failing) {
        match counted
            .faults
            .iter_mut()
            .find(|(fault, _)| *fault == one.fault)
        {
            Some((_, count)) => *count += 1,
            None => counted.faults.push((one.fault, 1)),
        }
    }
    for point in failing {
        for ((z, sum), square) in point
            .iter()
            .zip(&mut counted.sums)
            .zip(&mut counted.squares)
        {
            *sum += z;
            *square += z * z;
        }
    }
    counted
}

/// Repetitions with failing builds, each with the weight of one of its builds.
struct Weighted<'a>(Vec<(f64, &'a CountedFaults)>);

impl<'a> Weighted<'a> {
    fn of(subset: &'a SubsetResult<CountedFaults>) -> Self {
        Self(
            subset
                .repetitions
                .iter()
                .map(|one| (one.reached, &one.examined))
                .collect(),
        )
    }

    /// Mean of what `sum` adds up over the failing builds of a repetition, without the repetition `left_out`.
    fn mean(&self, left_out: Option<usize>, sum: impl Fn(&CountedFaults) -> f64) -> Option<f64> {
        let (mut total, mut weights) = (0.0, 0.0);
        for (nth, (weight, counted)) in self.0.iter().enumerate() {
            if Some(nth) != left_out {
                total += weight * sum(counted);
                weights += weight * counted.builds as f64;
            }
        }
        (weights > 0.0).then(|| total / weights)
    }
}

fn faults(subset: &SubsetResult<CountedFaults>) -> Vec<FaultShare> {
    let weighted = Weighted::of(subset);
    let mut seen: Vec<(Fault, u64)> = Vec::new();
    for (fault, count) in subset
        .repetitions
        .iter()
        .flat_map(|one| &one.examined.faults)
    {
        match seen.iter_mut().find(|(one, _)| one == fault) {
            Some((_, sum)) => *sum += count,
            None => seen.push((*fault, *count)),
        }
    }
    let mut shares: Vec<FaultShare> = seen
        .into_iter()
        .filter_map(|(fault, count)| {
            let of_fault = |counted: &CountedFaults| {
                let found = counted.faults.iter().find(|(one, _)| *one == fault);
                found.map_or(0.0, |(_, count)| *count as f64)
            };
            let (share, standard_error) = jackknife_tukey_1958(weighted.0.len(), |left_out| {
                weighted.mean(left_out, of_fault)
            })?;
            Some(FaultShare {
                fault,
                count,
                share,
                standard_error,
            })
        })
        .collect();
    shares.sort_by(|a, b| b.share.total_cmp(&a.share));
    shares
}

fn drives(subset: &SubsetResult<CountedFaults>, coordinates: &[Coordinates]) -> Vec<Drive> {
    let weighted = Weighted::of(subset);
    let mut drives: Vec<Drive> = coordinates
        .iter()
        .filter_map(|one| drive_of(&weighted, one))
        .collect();
    let all: f64 = drives.iter().map(|drive| drive.push.0.max(0.0)).sum();
    if all > 0.0 {
        for drive in &mut drives {
            drive.share = drive.push.0.max(0.0) / all;
        }
    }
    drives.sort_by(|a, b| b.push.0.total_cmp(&a.push.0));
    drives
}

fn drive_of(weighted: &Weighted<'_>, of: &Coordinates) -> Option<Drive> {
    let repetitions = weighted.0.len();
    let mean_square = |left_out| {
        weighted.mean(left_out, |counted| {
            of.sizes.iter().map(|at| counted.squares[*at]).sum()
        })
    };
    let sizes = of.sizes.len() as f64;
    let rms = (!of.sizes.is_empty())
        .then(|| jackknife_tukey_1958(repetitions, |out| Some((mean_square(out)? / sizes).sqrt())))
        .flatten();
    let push = jackknife_tukey_1958(repetitions, |out| {
        let excess = mean_square(out)? - sizes;
        let turned: f64 = of
            .directions
            .iter()
            .map(|at| squared_mean(weighted, out, *at))
            .sum();
        Some(excess + turned)
    })?;
    Some(Drive {
        source: of.source,
        coordinates: of.sizes.len() + of.directions.len(),
        rms,
        push,
        share: 0.0,
    })
}

/// The square of a coordinate's mean over failing builds, from products of different repetitions only, so that scatter does
/// not add to it.
fn squared_mean(weighted: &Weighted<'_>, left_out: Option<usize>, at: usize) -> f64 {
    let (mut sum, mut sum_squares, mut weight, mut weight_squares) = (0.0, 0.0, 0.0, 0.0);
    for (nth, (one, counted)) in weighted.0.iter().enumerate() {
        if Some(nth) != left_out {
            let (s, w) = (one * counted.sums[at], one * counted.builds as f64);
            sum += s;
            sum_squares += s * s;
            weight += w;
            weight_squares += w * w;
        }
    }
    let pairs = weight * weight - weight_squares;
    if pairs > 0.0 {
        (sum * sum - sum_squares) / pairs
    } else {
        0.0
    }
}
