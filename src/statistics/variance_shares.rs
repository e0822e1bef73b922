//! How much of an output's variance each of several independent groups of inputs causes: first-order and total Sobol'
//! indices with bootstrap intervals.
//!
//! Two matrices of inputs, A and B, are drawn independently, row by row; AB_i is A with group i's inputs from B. With c the
//! mean and V the variance of f(A) and f(B) taken together:
//!
//! - first-order index, the share of the variance that goes when group i alone is known: mean of
//!   (f(B) − c)(f(AB_i) − f(A)), over V (A. Saltelli et al., Computer Physics Communications 181 (2010) 259, table 2, b);
//! - total index, the share that stays when all groups but i are known: mean of (f(A) − f(AB_i))², over 2V
//!   (M. J. W. Jansen, Computer Physics Communications 117 (1999) 35; in Saltelli et al. table 2, f).
//!
//! Outputs are centred at c: without it the first-order estimate carries c·(f(AB_i) − f(A)), whose mean is 0 but whose
//! scatter is not, and an output far from 0 would drown in it. Rows are independent, so whole blocks of
//! rows are, and it is blocks that are drawn again for the intervals (percentile bootstrap: B. Efron &
//! R. J. Tibshirani, An Introduction to the Bootstrap (1993), ch. 13; both from memory).
//!
//! What holds of indices: 0 ≤ first-order ≤ total ≤ 1; first-order indices sum to 1 where the groups' effects add up, and to
//! less where groups act together (interactions). Estimates scatter, so a first-order estimate may lie below 0.

use crate::sampling::{Stream, StreamKey};

/// How often the blocks are drawn again (chosen: some 25 of them then lie beyond each end of a 95 % interval).
const RESAMPLES: usize = 1000;

/// What the stream of the bootstrap is for; no source of error has this number.
const PURPOSE: u64 = 1002;

/// Upper bound of a total index that is taken as nothing. A total is a mean of squares: any change at all, even one of no
/// consequence, makes it positive, and its interval never reaches below 0. So it is told from zero only where its interval
/// lies above this (chosen: removing a hundredth of the variance narrows the scatter by half of one percent, which nobody
/// notices).
pub const LEAST_TOTAL: f64 = 0.01;

/// Fewest blocks from which intervals are taken (chosen: with fewer the bootstrap's own want of width, a factor of
/// √(1 − 1/blocks), is more than 3 %).
pub const FEWEST_BLOCKS: usize = 16;

/// Values that every group adds to the sums of a block.
const EACH_GROUP: usize = 3;
/// Values that a block has besides.
const SHARED: usize = 5;

/// What the rows of one block add up to, for one output.
#[derive(Debug, Clone, PartialEq)]
pub struct BlockSums {
    /// Rows with an evaluation that is not a number; they are in no sum.
    left_out: u64,
    /// Rows; sum and sum of squares of f(A), then of f(B); then for each group the sums of f(B)·(f(AB) − f(A)), of
    /// f(AB) − f(A) and of its square.
    sums: Vec<f64>,
}

impl BlockSums {
    /// The sums of one output over the rows of a block. `first` are f(A), `second` f(B) and `mixed` f(AB_i) for each group,
    /// all of the same length. A row with an evaluation that is not finite is left out whole.
    ///
    /// `about` is any number near the outputs, the same for all blocks: it is taken away first, so that no digits are lost.
    pub fn of(first: &[f64], second: &[f64], mixed: &[Vec<f64>], about: f64) -> Self {
        let mut block = Self {
            left_out: 0,
            sums: vec![0.0; SHARED + EACH_GROUP * mixed.len()],
        };
        for row in 0..first.len() {
            let (a, b) = (first[row] - about, second[row] - about);
            let whole = a.is_finite() && b.is_finite() && mixed.iter().all(|m| m[row].is_finite());
            if !whole {
                block.left_out += 1;
                continue;
            }
            let (shared, groups) = block.sums.split_at_mut(SHARED);
            for (sum, value) in shared.iter_mut().zip([1.0, a, a * a, b, b * b]) {
                *sum += value;
            }
            for (sums, mixed) in groups.chunks_exact_mut(EACH_GROUP).zip(mixed) {
                let change = (mixed[row] - about) - a;
                sums[0] += b * change;
                sums[1] += change;
                sums[2] += change * change;
            }
        }
        block
    }
}

/// One index.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Index {
    /// Estimate; scatters about the index and may lie beyond 0 and 1.
    pub estimate: f64,
    /// Standard deviation of the estimate, from the bootstrap.
    pub standard_error: f64,
    /// Interval at the level of the run, from the bootstrap.
    pub interval: [f64; 2],
}

/// How far an index can be told from zero.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Told {
    /// Not one row changed: exactly zero in this run.
    Nothing,
    /// Its interval reaches down to zero: it cannot be told from zero.
    NotFromZero,
    /// A total whose interval lies below [`LEAST_TOTAL`]: there, but next to nothing.
    NextToNothing,
    /// Told from zero.
    FromZero,
}

/// What one group causes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GroupShare {
    /// First-order index: what it causes by itself.
    pub first: Index,
    /// Total index: what it causes by itself and together with others.
    pub total: Index,
    /// Whether no row changed with this group.
    is_silent: bool,
}

impl GroupShare {
    /// Whether the first-order index can be told from zero: its interval lies above 0.
    pub fn first_told(&self) -> Told {
        match self {
            _ if self.is_silent => Told::Nothing,
            _ if self.first.interval[0] > 0.0 => Told::FromZero,
            _ => Told::NotFromZero,
        }
    }

    /// Whether the total index can be told from zero: its interval lies above [`LEAST_TOTAL`], or reaches above it and the
    /// first-order index, which is no larger, can be told from zero.
    pub fn total_told(&self) -> Told {
        let [low, high] = self.total.interval;
        match self.first_told() {
            Told::Nothing => Told::Nothing,
            _ if high <= LEAST_TOTAL => Told::NextToNothing,
            Told::FromZero => Told::FromZero,
            _ if low > LEAST_TOTAL => Told::FromZero,
            _ => Told::NotFromZero,
        }
    }

    /// Whether either index can be told from zero.
    pub fn is_told_from_zero(&self) -> bool {
        self.first_told() == Told::FromZero || self.total_told() == Told::FromZero
    }
}

/// How much of one output's variance each group causes.
#[derive(Debug, Clone, PartialEq)]
pub struct VarianceShares {
    /// Rows of A, and as many of B, that were evaluated.
    pub rows: u64,
    /// Rows left out.
    pub left_out: u64,
    /// Mean of the output.
    pub mean: f64,
    /// Variance of the output.
    pub variance: f64,
    /// One for each group, in their order.
    pub groups: Vec<GroupShare>,
    /// Sum of the first-order indices.
    pub sum_of_first: Index,
    /// What is left of the variance: caused by groups only together.
    pub interactions: Index,
}

/// The shares that blocks of rows add up to, with intervals at `level`; `about` as the blocks had it. `None` without a row,
/// with fewer than [`FEWEST_BLOCKS`] blocks, where the output does not vary, and at a level outside 0 to 1.
pub fn variance_shares(
    blocks: &[BlockSums],
    about: f64,
    level: f64,
    seed: u64,
) -> Option<VarianceShares> {
    if blocks.len() < FEWEST_BLOCKS || !(level > 0.0 && level < 1.0) {
        return None;
    }
    let mut sums = vec![0.0; blocks[0].sums.len()];
    for block in blocks {
        add(&mut sums, &block.sums);
    }
    let centre = centre_and_variance(&sums)?;
    let estimates = estimates_of(&sums)?;
    let resampled = resampled(blocks, estimates.len(), seed);
    let indices: Vec<Index> = estimates
        .iter()
        .zip(resampled)
        .map(|(estimate, again)| index(*estimate, again, level))
        .collect();
    let (of_groups, of_all) = indices.split_at(indices.len() - 2);
    let changed = sums[SHARED..].chunks_exact(EACH_GROUP);
    Some(VarianceShares {
        rows: sums[0] as u64,
        left_out: blocks.iter().map(|block| block.left_out).sum(),
        mean: about + centre[0],
        variance: centre[1],
        groups: of_groups
            .chunks_exact(2)
            .zip(changed)
            .map(|(both, sums)| GroupShare {
                first: both[0],
                total: both[1],
                is_silent: sums[2] == 0.0,
            })
            .collect(),
        sum_of_first: of_all[0],
        interactions: of_all[1],
    })
}

fn add(sums: &mut [f64], more: &[f64]) {
    for (sum, more) in sums.iter_mut().zip(more) {
        *sum += more;
    }
}

/// Mean and variance of f(A) and f(B) taken together; `None` where nothing varies.
fn centre_and_variance(sums: &[f64]) -> Option<[f64; 2]> {
    let evaluations = 2.0 * sums[0];
    let mean = (sums[1] + sums[3]) / evaluations;
    let variance = (sums[2] + sums[4]) / evaluations - mean * mean;
    // what rounding leaves of outputs that are all alike is no variance: a scatter under a millionth of the mean
    let rounding = 1e-12 * (mean * mean);
    (variance > rounding && variance.is_finite()).then_some([mean, variance])
}

/// First-order and total index of each group in turn, then the sum of the first-order indices and the rest.
fn estimates_of(sums: &[f64]) -> Option<Vec<f64>> {
    let [centre, variance] = centre_and_variance(sums)?;
    let over = 1.0 / (sums[0] * variance);
    let mut estimates: Vec<f64> = sums[SHARED..]
        .chunks_exact(EACH_GROUP)
        .flat_map(|group| [(group[0] - centre * group[1]) * over, group[2] * over / 2.0])
        .collect();
    let sum: f64 = estimates.iter().step_by(2).sum();
    estimates.extend([sum, 1.0 - sum]);
    Some(estimates)
}

/// Each estimate at blocks drawn again with replacement; draws at which nothing varies are passed over.
fn resampled(blocks: &[BlockSums], estimates: usize, seed: u64) -> Vec<Vec<f64>> {
    let key = StreamKey {
        seed,
        source: PURPOSE,
        item: 0,
        component: 0,
        look: 0,
    };
    let mut stream = Stream::new(key, 0);
    let mut all = vec![Vec::with_capacity(RESAMPLES); estimates];
    let mut sums = vec![0.0; blocks[0].sums.len()];
    for _ in 0..RESAMPLES {
        sums.fill(0.0);
        for _ in 0..blocks.len() {
            let nth = (stream.next_uniform() * blocks.len() as f64) as usize;
            add(&mut sums, &blocks[nth.min(blocks.len() - 1)].sums);
        }
        for (all, one) in all
            .iter_mut()
            .zip(estimates_of(&sums).into_iter().flatten())
        {
            all.push(one);
        }
    }
    all
}

/// The index with the quantiles of its resampled estimates.
fn index(estimate: f64, mut again: Vec<f64>, level: f64) -> Index {
    again.sort_by(f64::total_cmp);
    let n = again.len() as f64;
    let mean = again.iter().sum::<f64>() / n;
    let squares: f64 = again.iter().map(|one| (one - mean) * (one - mean)).sum();
    // the k-th of n ordered values stands at k/(n + 1)
    let at = |p: f64| {
        let place = (p * (n + 1.0) - 1.0).clamp(0.0, (n - 1.0).max(0.0));
        let low = place as usize;
        let high = (low + 1).min(again.len().saturating_sub(1));
        match (again.get(low), again.get(high)) {
            (Some(a), Some(b)) => a + (place - low as f64) * (b - a),
            _ => estimate,
        }
    };
    Index {
        estimate,
        standard_error: (squares / (n - 1.0).max(1.0)).sqrt(),
        interval: [at((1.0 - level) / 2.0), at((1.0 + level) / 2.0)],
    }
}
