//! Intervals, quantiles, moments: what trials add up to.

mod beta;
mod bootstrap;
mod counts;
mod difference;
mod exact_sum;
mod gather;
mod histogram;
mod interval;
mod moments;
mod paired_ratios;
mod ranks;
mod repeated;
mod tally;
mod variance_shares;

pub use beta::student_bound_1908;
pub use bootstrap::{COMPARISON_SOURCE, Redraw, bootstrap_interval_efron_1979, lower_median};
pub use counts::{NotCounts, TallyCounts};
pub use difference::{Difference, difference_newcombe_1998, interval_of_difference};
pub use exact_sum::{ExactSum, NoExactSum};
pub use gather::Gather;
pub use histogram::{QUANTILE_RELATIVE_ERROR, QuantileSketch};
pub use interval::{
    IntervalMethod, PairedDifference, Proportion, Scatter, interval_clopper_pearson_1934,
    interval_of_clustered_share, interval_wilson_1927, scatter_of_shares,
};
pub use moments::{ClusteredShare, Moments};
pub use paired_ratios::PairedRatios;
pub use ranks::rank_correlation_spearman_1904;
pub use repeated::{RepeatedMean, jackknife_tukey_1958};
pub use tally::{Failure, FailureLog, JunctionTally, ROUNDING, RodTally, Tally, build_passes};
pub use variance_shares::{
    BlockSums, FEWEST_BLOCKS, GroupShare, Index, LEAST_TOTAL, Told, VarianceShares, variance_shares,
};
