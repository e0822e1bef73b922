//! Interval of any statistic by drawing its trials again, with replacement.
//!
//! Source: B. Efron, Annals of Statistics 7 (1979) 1; the percentile interval is that of B. Efron & R. J. Tibshirani, An
//! Introduction to the Bootstrap (1993), ch. 13 (both from memory).

use crate::sampling::{Stream, StreamKey};
use rayon::prelude::*;

/// Numbers of trials, drawn with replacement.
#[derive(Debug)]
pub struct Redraw(Stream);

impl Redraw {
    /// One of `trials` trials, each as likely.
    pub fn one_of(&mut self, trials: usize) -> usize {
        // a number just under 1 times a large one may round up to it
        ((self.0.next_uniform() * trials as f64) as usize).min(trials.saturating_sub(1))
    }
}

/// Source number of the streams of a comparison's bootstrap.
pub const COMPARISON_SOURCE: u64 = 1007;

/// Percentile interval of the statistic that `once` works out from one redraw of the trials, over `times` redraws from the
/// streams of `seed` and `source`, in the current pool; the same at any number of threads. `None` where a redraw has no value
/// (NaN), with fewer than two redraws, or for a level outside (0, 1).
pub fn bootstrap_interval_efron_1979(
    [seed, source]: [u64; 2],
    times: u64,
    level: f64,
    once: impl Fn(&mut Redraw) -> f64 + Sync,
) -> Option<[f64; 2]> {
    if times < 2 || !(level > 0.0 && level < 1.0) {
        return None;
    }
    let key = StreamKey {
        seed,
        source,
        item: 0,
        component: 0,
        look: 0,
    };
    let mut found: Vec<f64> = (0..times)
        .into_par_iter()
        .map(|number| once(&mut Redraw(Stream::new(key, number))))
        .collect();
    if found.iter().any(|value| value.is_nan()) {
        return None;
    }
    found.sort_by(f64::total_cmp);
    let tail = (1.0 - level) / 2.0;
    let last = found.len() - 1;
    let low = (tail * found.len() as f64).floor() as usize;
    Some([found[low.min(last / 2)], found[last - low.min(last / 2)]])
}

/// The value below which half of `values` lie (the lower of two in the middle), which are put into another order; `None` of none.
pub fn lower_median(values: &mut [f64]) -> Option<f64> {
    let middle = values.len().checked_sub(1)? / 2;
    Some(*values.select_nth_unstable_by(middle, f64::total_cmp).1)
}
