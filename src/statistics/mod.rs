//! Intervals, quantiles, moments: what trials add up to.

mod beta;
mod counts;
mod exact_sum;
mod gather;
mod histogram;
mod interval;
mod moments;
mod repeated;
mod tally;
mod variance_shares;

pub use beta::student_bound_1908;
pub use counts::{NotCounts, TallyCounts};
pub use exact_sum::{ExactSum, NoExactSum};
pub use gather::Gather;
pub use histogram::{QUANTILE_RELATIVE_ERROR, QuantileSketch};
pub use interval::{
    IntervalMethod, PairedDifference, Proportion, Scatter, interval_clopper_pearson_1934,
    interval_of_clustered_share, interval_wilson_1927, scatter_of_shares,
};
pub use moments::{ClusteredShare, Moments};
pub use repeated::{RepeatedMean, jackknife_tukey_1958};
pub use tally::{Failure, FailureLog, JunctionTally, ROUNDING, RodTally, Tally};
pub use variance_shares::{
    BlockSums, FEWEST_BLOCKS, GroupShare, Index, LEAST_TOTAL, Told, VarianceShares, variance_shares,
};
