//! What independent repetitions of one estimate say together: interval of their mean, standard error of anything made of
//! them.
//!
//! Sources: Student, Biometrika 6 (1908) 1; J. W. Tukey, Annals of Mathematical Statistics 29 (1958) 614 (jackknife), as in
//! B. Efron & R. J. Tibshirani, An Introduction to the Bootstrap (1993), ch. 11; D. R. Cox's interval in C. E. Land,
//! Technometrics 14 (1972) 145, with Student's bound as U. Olsson, Journal of Statistics Education 13 (2005) no. 1 has it
//! (all from memory).

use super::beta::student_bound_1908;

/// Mean of independent repetitions of a positive estimate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RepeatedMean {
    /// Mean.
    pub mean: f64,
    /// Standard error of the mean.
    pub standard_error: f64,
    /// How many repetitions.
    pub repetitions: u64,
    /// Mean and variance of the natural logarithms; `None` where a value is not positive.
    logarithms: Option<(f64, f64)>,
}

impl RepeatedMean {
    /// The mean of `values`; `None` with fewer than two.
    pub fn of(values: &[f64]) -> Option<Self> {
        if values.len() < 2 {
            return None;
        }
        let (mean, variance) = mean_and_variance(values);
        let logarithms = values.iter().all(|value| *value > 0.0).then(|| {
            let logarithms: Vec<f64> = values.iter().map(|value| libm::log(*value)).collect();
            mean_and_variance(&logarithms)
        });
        Some(Self {
            mean,
            standard_error: (variance / values.len() as f64).sqrt(),
            repetitions: values.len() as u64,
            logarithms,
        })
    }

    /// Standard error over mean; `None` for a mean that is not positive.
    pub fn relative_error(&self) -> Option<f64> {
        (self.mean > 0.0).then(|| self.standard_error / self.mean)
    }

    /// Interval of the mean. Estimates of a small probability scatter about as a lognormal law, so where all are positive it
    /// is Cox's for the mean of one, with Student's bound: exp(m + s²/2 ± t·√(s²/n + s⁴/(2(n − 1)))) of the logarithms'
    /// mean m and variance s², widened to hold the estimate. Else it is mean·exp(± t·relative error). `None` for a mean that
    /// is not positive.
    pub fn interval(&self, level: f64) -> Option<[f64; 2]> {
        let bound = student_bound_1908(self.repetitions.checked_sub(1)?, level)?;
        let n = self.repetitions as f64;
        let (middle, half) = match self.logarithms {
            Some((mean, variance)) => (
                mean + variance / 2.0,
                (variance / n + variance * variance / (2.0 * (n - 1.0))).sqrt(),
            ),
            None => (libm::log(self.mean), self.relative_error()?),
        };
        Some([
            libm::exp(middle - bound * half).min(self.mean),
            libm::exp(middle + bound * half).max(self.mean),
        ])
    }
}

fn mean_and_variance(values: &[f64]) -> (f64, f64) {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let squares: f64 = values.iter().map(|v| (v - mean) * (v - mean)).sum();
    (mean, squares / (n - 1.0))
}

/// A statistic of `repetitions` independent repetitions and its standard error, by leaving out one repetition at a time.
/// `statistic` is told which to leave out. `None` with fewer than two repetitions, or where the statistic has no value.
pub fn jackknife_tukey_1958(
    repetitions: usize,
    statistic: impl Fn(Option<usize>) -> Option<f64>,
) -> Option<(f64, f64)> {
    if repetitions < 2 {
        return None;
    }
    let whole = statistic(None)?;
    let without: Vec<f64> = (0..repetitions)
        .map(|one| statistic(Some(one)))
        .collect::<Option<_>>()?;
    let n = repetitions as f64;
    let mean = without.iter().sum::<f64>() / n;
    let squares: f64 = without.iter().map(|v| (v - mean) * (v - mean)).sum();
    Some((whole, (squares * (n - 1.0) / n).sqrt()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_bound_is_that_of_the_printed_table() {
        // NIST/SEMATECH e-Handbook 1.3.6.7.2, critical values of Student's t, two-sided 95 % and 99 % (from memory);
        // printed to three decimals, so half a unit in the third
        for (degrees, level, printed) in [
            (1, 0.95, 12.706),
            (2, 0.95, 4.303),
            (15, 0.95, 2.131),
            (15, 0.99, 2.947),
            (30, 0.95, 2.042),
            (100, 0.95, 1.984),
        ] {
            let found = student_bound_1908(degrees, level).expect("in range");
            assert!(
                (found - printed).abs() <= 0.000_5,
                "{degrees} degrees: {found}, printed {printed}"
            );
        }
        assert_eq!(student_bound_1908(0, 0.95), None);
        assert_eq!(student_bound_1908(3, 1.0), None);
    }

    #[test]
    fn the_interval_is_coxs_where_all_are_positive_and_holds_the_mean() {
        // logarithms 0, 1, 2: m = 1, s² = 1; t for 2 degrees is 4.303; half = 4.303·√(1/3 + 1/4)
        let e = std::f64::consts::E;
        let [low, high] = RepeatedMean::of(&[1.0, e, e * e])
            .and_then(|mean| mean.interval(0.95))
            .expect("several");
        let half = 4.303 * (7.0_f64 / 12.0).sqrt();
        assert!((low.ln() - (1.5 - half)).abs() < 0.000_5 * 2.0, "{low}");
        assert!((high.ln() - (1.5 + half)).abs() < 0.000_5 * 2.0, "{high}");
        let with_zero = RepeatedMean::of(&[0.0, 1.0, 2.0]).expect("several");
        let [low, high] = with_zero.interval(0.95).expect("a positive mean");
        assert!(low < 1.0 && high > 1.0 && (low * high - 1.0).abs() < 1e-12);
        let none = RepeatedMean::of(&[0.0, 0.0]).expect("several");
        assert_eq!(none.interval(0.95), None);
    }

    #[test]
    fn the_jackknife_of_a_mean_is_its_standard_error() {
        let values = [3.0, 1.0, 4.0, 1.5, 9.0, 2.5];
        let plain = RepeatedMean::of(&values).expect("several");
        let (mean, error) = jackknife_tukey_1958(values.len(), |left_out| {
            let kept: Vec<f64> = (0..values.len())
                .filter(|one| Some(*one) != left_out)
                .map(|one| values[one])
                .collect();
            Some(kept.iter().sum::<f64>() / kept.len() as f64)
        })
        .expect("several");
        assert!((mean - plain.mean).abs() < 1e-12);
        assert!((error - plain.standard_error).abs() < 1e-12);
    }
}
