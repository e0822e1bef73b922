//! Count, mean and standard deviation, summed so that blocks folded in order give one answer.

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
