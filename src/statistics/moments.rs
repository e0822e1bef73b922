//! Count, mean and standard deviation.
//!
//! A task of some blocks of builds sums its own values in floating point, in a fixed order. When it is folded, each of
//! its sums becomes a whole number of a tiny unit ([`ExactSum`]): from there on order and grouping change nothing.

use super::exact_sum::ExactSum;

use crate::sampling::BLOCK_BUILDS;

/// A share of looks that come in builds: looks at one build are not independent.
///
/// The share is Σh/Σj over builds with h of j looks; its variance is that of a ratio estimator,
/// Σ(h − p·j)²/(n(n − 1)·j̄²) (W. G. Cochran, Sampling Techniques, 3rd ed. 1977, ch. 2 and 9).
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ClusteredShare {
    /// Builds with at least one look.
    pub builds: u64,
    counted: f64,
    of: f64,
    counted_squares: f64,
    of_squares: f64,
    products: f64,
    /// Sums of what was folded, in the order above.
    folded: [ExactSum; 5],
}

impl ClusteredShare {
    /// Adds a build in which `counted` of `of` looks count (a sum of probabilities may stand for a count); one without a
    /// look adds nothing.
    pub fn add(&mut self, counted: f64, of: u64) {
        if of == 0 {
            return;
        }
        let of = of as f64;
        self.builds += 1;
        self.counted += counted;
        self.of += of;
        self.counted_squares += counted * counted;
        self.of_squares += of * of;
        self.products += counted * of;
    }

    /// Adds all builds of another task; order and grouping change nothing.
    pub fn fold(&mut self, other: &Self) {
        *self = Self {
            builds: self.builds + other.builds,
            folded: added(self.exact(), other.exact()),
            ..Self::default()
        };
    }

    /// The share over `builds` whose sums are these, in the order of [`Self::exact`].
    pub(super) fn of_sums(builds: u64, folded: [ExactSum; 5]) -> Self {
        Self {
            builds,
            folded,
            ..Self::default()
        }
    }

    fn open(&self) -> [f64; 5] {
        [
            self.counted,
            self.of,
            self.counted_squares,
            self.of_squares,
            self.products,
        ]
    }

    /// Σh, Σj, Σh², Σj² and Σhj as whole numbers of units.
    pub(super) fn exact(&self) -> [ExactSum; 5] {
        closed(self.folded, self.open())
    }

    fn sums(&self) -> Option<[f64; 5]> {
        values(self.folded, self.open())
    }

    /// The share; `None` without a look.
    pub fn share(&self) -> Option<f64> {
        let [counted, of, ..] = self.sums()?;
        (of > 0.0).then(|| counted / of)
    }

    /// Looks that count and all looks, Σh and Σj; `None` when a sum left its range.
    pub fn counts(&self) -> Option<[f64; 2]> {
        let [counted, of, ..] = self.sums()?;
        Some([counted, of])
    }

    /// Variance of the share; `None` with fewer than two builds.
    pub fn variance(&self) -> Option<f64> {
        let share = self.share()?;
        let [_, of, counted_squares, of_squares, products] = self.sums()?;
        (self.builds > 1).then(|| {
            let n = self.builds as f64;
            let mean_of = of / n;
            let squares = counted_squares - 2.0 * share * products + share * share * of_squares;
            squares.max(0.0) / (n * (n - 1.0) * mean_of * mean_of)
        })
    }
}

/// Sums of a quantity and its square.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Moments {
    /// How many values.
    pub count: u64,
    sum: f64,
    squares: f64,
    /// Sum and sum of squares of what was folded.
    folded: [ExactSum; 2],
}

impl Moments {
    /// Adds a value.
    pub fn add(&mut self, value: f64) {
        self.count += 1;
        self.sum += value;
        self.squares += value * value;
    }

    /// Adds the counted values of a row: eight running sums, folded in order, so that lanes do not change a bit.
    #[inline(always)]
    pub fn add_row(&mut self, values: &[f64; BLOCK_BUILDS], counted: &[u64; BLOCK_BUILDS]) {
        const SUMS: usize = 8;
        let (mut sums, mut squares) = ([0.0; SUMS], [0.0; SUMS]);
        let mut count = 0;
        for first in (0..BLOCK_BUILDS).step_by(SUMS) {
            for nth in 0..SUMS {
                let is_counted = counted[first + nth];
                let value = if is_counted != 0 {
                    values[first + nth]
                } else {
                    0.0
                };
                sums[nth] += value;
                squares[nth] += value * value;
                count += is_counted;
            }
        }
        self.count += count;
        self.sum += sums.iter().sum::<f64>();
        self.squares += squares.iter().sum::<f64>();
    }

    /// Adds all values of another task; order and grouping change nothing.
    pub fn fold(&mut self, other: &Self) {
        *self = Self {
            count: self.count + other.count,
            folded: added(self.exact(), other.exact()),
            ..Self::default()
        };
    }

    /// The moments of `count` values whose sum and sum of squares are these.
    pub(super) fn of_sums(count: u64, folded: [ExactSum; 2]) -> Self {
        Self {
            count,
            folded,
            ..Self::default()
        }
    }

    /// Sum and sum of squares as whole numbers of units.
    pub(super) fn exact(&self) -> [ExactSum; 2] {
        closed(self.folded, [self.sum, self.squares])
    }

    fn sums(&self) -> Option<[f64; 2]> {
        values(self.folded, [self.sum, self.squares])
    }

    /// Mean; `None` without a value.
    pub fn mean(&self) -> Option<f64> {
        let [sum, _] = self.sums()?;
        (self.count > 0).then(|| sum / self.count as f64)
    }

    /// Mean of the squares; `None` without a value.
    pub fn mean_square(&self) -> Option<f64> {
        let [_, squares] = self.sums()?;
        (self.count > 0).then(|| squares / self.count as f64)
    }

    /// Standard deviation; `None` with fewer than two values.
    pub fn sd(&self) -> Option<f64> {
        let mean = self.mean()?;
        let [_, squares] = self.sums()?;
        (self.count > 1).then(|| {
            let n = self.count as f64;
            ((squares - n * mean * mean) / (n - 1.0)).max(0.0).sqrt()
        })
    }
}

/// What was folded and what was added since, as whole numbers of units.
fn closed<const N: usize>(folded: [ExactSum; N], open: [f64; N]) -> [ExactSum; N] {
    added(folded, open.map(ExactSum::of))
}

fn added<const N: usize>(mut sums: [ExactSum; N], others: [ExactSum; N]) -> [ExactSum; N] {
    for (sum, other) in sums.iter_mut().zip(others) {
        *sum += other;
    }
    sums
}

/// All sums as floating-point numbers; `None` when one is out of range. A task that nothing was folded into has its own.
fn values<const N: usize>(folded: [ExactSum; N], open: [f64; N]) -> Option<[f64; N]> {
    if folded.iter().all(|sum| sum.is_zero()) {
        return Some(open);
    }
    let mut found = [0.0; N];
    for (value, sum) in found.iter_mut().zip(closed(folded, open)) {
        *value = sum.value()?;
    }
    Some(found)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Blocks of values that floating point would sum to something else in another order.
    fn blocks() -> Vec<Moments> {
        (0..60_i32)
            .map(|block| {
                let mut moments = Moments::default();
                (0..=block % 7).for_each(|i| {
                    moments.add(libm::exp(f64::from(block * 7 % 23 - 11)) * f64::from(i - 3) / 3.0);
                });
                moments
            })
            .collect()
    }

    #[test]
    fn blocks_fold_to_the_same_sums_in_any_order_and_grouping() {
        let blocks = blocks();
        let fold = |blocks: &[Moments]| {
            let mut all = Moments::default();
            blocks.iter().for_each(|block| all.fold(block));
            all
        };
        let whole = fold(&blocks);
        let mut backwards = blocks.clone();
        backwards.reverse();
        assert_eq!(whole, fold(&backwards));
        for size in [1, 2, 9, 59] {
            let groups: Vec<Moments> = blocks.chunks(size).map(fold).collect();
            assert_eq!(whole, fold(&groups), "groups of {size}");
        }
        // without a first empty one
        let mut from_first = blocks[0];
        blocks[1..].iter().for_each(|block| from_first.fold(block));
        assert_eq!(whole, from_first);
        // and they are those of plain sums, to rounding
        let plain: f64 = blocks.iter().map(|block| block.sum).sum();
        let found = whole.mean().expect("values") * whole.count as f64;
        assert!(
            (found - plain).abs() <= 1e-12 * plain.abs(),
            "{found} {plain}"
        );
    }

    #[test]
    fn shares_fold_to_the_same_sums_in_any_order_and_grouping() {
        let blocks: Vec<ClusteredShare> = (0..40_u32)
            .map(|block| {
                let mut share = ClusteredShare::default();
                (0..9).for_each(|i| {
                    share.add(f64::from((block + i) % 5) / 3.0, u64::from(i % 3 * 2))
                });
                share
            })
            .collect();
        let fold = |blocks: &[ClusteredShare]| {
            let mut all = ClusteredShare::default();
            blocks.iter().for_each(|block| all.fold(block));
            all
        };
        let whole = fold(&blocks);
        let mut backwards: Vec<ClusteredShare> = blocks.chunks(7).map(fold).collect();
        backwards.reverse();
        assert_eq!(whole, fold(&backwards));
        assert!(whole.share().is_some() && whole.variance().is_some());
    }

    #[test]
    fn what_cannot_be_summed_has_no_mean() {
        let mut block = Moments::default();
        block.add(f64::INFINITY);
        let mut whole = Moments::default();
        whole.fold(&block);
        assert_eq!([whole.mean(), whole.sd()], [None, None]);
    }
}
