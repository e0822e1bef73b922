//! Count, mean and standard deviation, summed so that blocks folded in order give one answer.

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

    /// Adds all builds of another block, in order.
    pub fn fold(&mut self, other: &Self) {
        self.builds += other.builds;
        self.counted += other.counted;
        self.of += other.of;
        self.counted_squares += other.counted_squares;
        self.of_squares += other.of_squares;
        self.products += other.products;
    }

    /// The share; `None` without a look.
    pub fn share(&self) -> Option<f64> {
        (self.of > 0.0).then(|| self.counted / self.of)
    }

    /// Variance of the share; `None` with fewer than two builds.
    pub fn variance(&self) -> Option<f64> {
        let share = self.share()?;
        (self.builds > 1).then(|| {
            let n = self.builds as f64;
            let mean_of = self.of / n;
            let squares = self.counted_squares - 2.0 * share * self.products
                + share * share * self.of_squares;
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

    /// Adds all values of another block. Floating-point sums depend on their order: fold blocks in order.
    pub fn fold(&mut self, other: &Self) {
        self.count += other.count;
        self.sum += other.sum;
        self.squares += other.squares;
    }

    /// Mean; `None` without a value.
    pub fn mean(&self) -> Option<f64> {
        (self.count > 0).then(|| self.sum / self.count as f64)
    }

    /// Mean of the squares; `None` without a value.
    pub fn mean_square(&self) -> Option<f64> {
        (self.count > 0).then(|| self.squares / self.count as f64)
    }

    /// Standard deviation; `None` with fewer than two values.
    pub fn sd(&self) -> Option<f64> {
        let mean = self.mean()?;
        (self.count > 1).then(|| {
            let n = self.count as f64;
            ((self.squares - n * mean * mean) / (n - 1.0))
                .max(0.0)
                .sqrt()
        })
    }
}
