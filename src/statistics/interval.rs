//! Intervals for a share: Wilson (1927) and Clopper–Pearson (1934).
//!
//! Sources: E. B. Wilson, JASA 22 (1927) 209; C. J. Clopper & E. S. Pearson, Biometrika 26 (1934) 404; both in
//! NIST/SEMATECH e-Handbook 7.2.4. The interval covers chance of sampling only, not a wrong model.

use super::beta::{beta_quantile, student_bound_1908};
use super::moments::ClusteredShare;
use crate::sampling::normal_quantile_wichura_1988;

/// Which interval is shown for a share.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum IntervalMethod {
    /// Wilson's score interval.
    Wilson,
    /// Clopper and Pearson's exact interval, never too short.
    ClopperPearson,
}

impl IntervalMethod {
    /// Name in files.
    pub fn name(self) -> &'static str {
        match self {
            Self::Wilson => "wilson",
            Self::ClopperPearson => "clopper-pearson",
        }
    }

    /// The interval of `passed` among `trials` at the confidence `level`.
    pub fn interval(self, passed: u64, trials: u64, level: f64) -> Option<[f64; 2]> {
        match self {
            Self::Wilson => interval_wilson_1927(passed, trials, level),
            Self::ClopperPearson => interval_clopper_pearson_1934(passed, trials, level),
        }
    }
}

fn in_range(passed: u64, trials: u64, level: f64) -> bool {
    trials > 0 && passed <= trials && level > 0.0 && level < 1.0
}

/// Wilson's score interval; `None` without trials, with more passed than tried, or for a level outside (0, 1).
pub fn interval_wilson_1927(passed: u64, trials: u64, level: f64) -> Option<[f64; 2]> {
    if !in_range(passed, trials, level) {
        return None;
    }
    let [low, high] = wilson(passed as f64 / trials as f64, trials as f64, level);
    // at 0 and at 1 the ends are exact; rounding must not move them
    let low = if passed == 0 { 0.0 } else { low };
    let high = if passed == trials { 1.0 } else { high };
    Some([low, high])
}

fn wilson(share: f64, n: f64, level: f64) -> [f64; 2] {
    let z = normal_quantile_wichura_1988(0.5 + level / 2.0);
    let z2 = z * z;
    let centre = share + z2 / (2.0 * n);
    let half = z * (share * (1.0 - share) / n + z2 / (4.0 * n * n)).sqrt();
    let scale = 1.0 + z2 / n;
    [
        ((centre - half) / scale).max(0.0),
        ((centre + half) / scale).min(1.0),
    ]
}

/// Interval of a share of looks that come in builds: Wilson's, with the number of independent looks that would scatter as
/// much as the builds do (n = p(1 − p)/variance), or with the number of builds where nothing scatters. `None` without a
/// look.
pub fn interval_of_clustered_share(looks: &ClusteredShare, level: f64) -> Option<[f64; 2]> {
    let share = looks.share()?;
    Some(interval_of_share(
        share,
        looks.variance(),
        looks.builds as f64,
        level,
    ))
}

/// The same of a share with this variance over so many builds.
pub(super) fn interval_of_share(
    share: f64,
    variance: Option<f64>,
    builds: f64,
    level: f64,
) -> [f64; 2] {
    let spread = share * (1.0 - share);
    let n = match variance {
        Some(variance) if variance > 0.0 && spread > 0.0 => spread / variance,
        _ => builds,
    };
    let [low, high] = wilson(share, n, level);
    [
        if share <= 0.0 { 0.0 } else { low },
        if share >= 1.0 { 1.0 } else { high },
    ]
}

/// Clopper and Pearson's interval by beta quantiles; `None` as for [`interval_wilson_1927`].
pub fn interval_clopper_pearson_1934(passed: u64, trials: u64, level: f64) -> Option<[f64; 2]> {
    if !in_range(passed, trials, level) {
        return None;
    }
    let (k, n, tail) = (passed as f64, trials as f64, (1.0 - level) / 2.0);
    let low = if passed == 0 {
        0.0
    } else {
        beta_quantile(k, n - k + 1.0, tail)?
    };
    let high = if passed == trials {
        1.0
    } else {
        beta_quantile(k + 1.0, n - k, 1.0 - tail)?
    };
    Some([low, high])
}

/// A share with its counts and interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Proportion {
    /// How many did.
    pub count: u64,
    /// Out of how many.
    pub of: u64,
    /// Confidence level of the interval.
    pub level: f64,
    /// The method of the interval.
    pub method: IntervalMethod,
    /// How independent repetitions scatter, where the trials themselves are not independent.
    pub scatter: Option<Scatter>,
}

/// Scatter of a share among independent repetitions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scatter {
    /// Standard error of the share.
    pub standard_error: f64,
    /// How many repetitions.
    pub repetitions: u64,
}

/// Counts on the rarer side in all repetitions below which their scatter says too little (chosen: some five in each of
/// sixteen).
const FEWEST_FOR_SCATTER: u64 = 80;

/// Scatter of a share among repetitions with these counts out of these numbers; `None` where a repetition has nothing, or
/// where the rarer side has so few counts that the interval of independent trials is the safer one.
pub fn scatter_of_shares(counts: &[u64], of: &[u64]) -> Option<Scatter> {
    let (all, all_of) = (counts.iter().sum::<u64>(), of.iter().sum::<u64>());
    let rarer = all.min(all_of.checked_sub(all)?);
    let n = counts.len() as f64;
    if counts.len() < 2 || of.contains(&0) || rarer < FEWEST_FOR_SCATTER {
        return None;
    }
    let share = all as f64 / all_of as f64;
    // a ratio estimator's, for the last repetitions may be shorter (Cochran 1977, ch. 6)
    let squares: f64 = counts
        .iter()
        .zip(of)
        .map(|(count, of)| {
            let off = *count as f64 - share * *of as f64;
            off * off
        })
        .sum();
    // whole counts that are alike do not make a share certain: one that lies between two whole numbers may vary by 1/4
    let variance = (squares / (n - 1.0)).max(0.25);
    Some(Scatter {
        standard_error: (variance * n).sqrt() / all_of as f64,
        repetitions: counts.len() as u64,
    })
}

impl Proportion {
    /// The share; `None` out of nothing.
    pub fn share(&self) -> Option<f64> {
        (self.of > 0).then(|| self.count as f64 / self.of as f64)
    }

    /// The interval; `None` out of nothing.
    pub fn interval(&self) -> Option<[f64; 2]> {
        let Some(scatter) = self.scatter else {
            return self.method.interval(self.count, self.of, self.level);
        };
        let bound = student_bound_1908(scatter.repetitions - 1, self.level)?;
        let half = bound * scatter.standard_error;
        let share = self.share()?;
        Some([(share - half).max(0.0), (share + half).min(1.0)])
    }

    /// How the interval was made: "wilson", "clopper-pearson", or from repetitions.
    pub fn method_name(&self) -> &'static str {
        match self.scatter {
            None => self.method.name(),
            Some(_) => "scatter of independent repetitions, Student's t",
        }
    }

    /// Half of the interval's width; `None` out of nothing.
    pub fn half_width(&self) -> Option<f64> {
        self.interval().map(|[low, high]| (high - low) / 2.0)
    }
}

/// How two shares of the same trials differ.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PairedDifference {
    /// Trials in which only the second did.
    pub gained: u64,
    /// Trials in which only the first did.
    pub lost: u64,
    /// All trials.
    pub of: u64,
    /// Second share less first.
    pub difference: f64,
    /// Its interval.
    pub interval: [f64; 2],
}

impl PairedDifference {
    /// Of trials in which `gained` did in the second only and `lost` in the first only; `None` out of nothing. The interval
    /// is that of Agresti & Min (Statistics in Medicine 24 (2005) 729, from memory): the normal one after half a trial was
    /// added to each of the four counts.
    pub fn new(gained: u64, lost: u64, of: u64, level: f64) -> Option<Self> {
        if of == 0 || gained + lost > of || !(level > 0.0 && level < 1.0) {
            return None;
        }
        let difference = (gained as f64 - lost as f64) / of as f64;
        let n = of as f64 + 2.0;
        let (up, down) = ((gained as f64 + 0.5) / n, (lost as f64 + 0.5) / n);
        let middle = up - down;
        let z = normal_quantile_wichura_1988(0.5 + level / 2.0);
        let half = z * ((up + down - middle * middle) / n).sqrt();
        let interval = [(middle - half).max(-1.0), (middle + half).min(1.0)];
        Some(Self {
            gained,
            lost,
            of,
            difference,
            interval,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn independent_looks_have_the_plain_interval_and_alike_looks_a_wider_one() {
        // 1000 builds of 4 looks: each build's looks independent (hypergeometric pattern of 0..4 by binomial weights)
        let mut independent = ClusteredShare::default();
        for (held, builds) in [(0, 62), (1, 250), (2, 376), (3, 250), (4, 62)] {
            (0..builds).for_each(|_| independent.add(f64::from(held), 4));
        }
        let [low, high] = interval_of_clustered_share(&independent, 0.95).expect("looks");
        let [plain_low, plain_high] = interval_wilson_1927(2000, 4000, 0.95).expect("in range");
        assert!(
            (low - plain_low).abs() < 2e-4 && (high - plain_high).abs() < 2e-4,
            "{low} {high}"
        );
        // all four looks of a build alike: only the builds count
        let mut alike = ClusteredShare::default();
        (0..1000).for_each(|build| alike.add(if build % 2 == 0 { 4.0 } else { 0.0 }, 4));
        let [low, high] = interval_of_clustered_share(&alike, 0.95).expect("looks");
        let [plain_low, plain_high] = interval_wilson_1927(500, 1000, 0.95).expect("in range");
        assert!(
            (low - plain_low).abs() < 1e-4 && (high - plain_high).abs() < 1e-4,
            "{low} {high}"
        );
    }

    #[test]
    fn the_exact_interval_ends_and_keeps_its_digits_for_many_trials() {
        // k = 1 and large n: the beta law tends to a gamma law; for the upper end P(Poisson(m) <= 1) = 0.025 at
        // m = 5.571643 and for the lower end P(Poisson(m) >= 1) = 0.025 at m = -ln(0.975) (Garwood 1936)
        for trials in [10_000_000, 1_000_000_000] {
            let [low, high] = interval_clopper_pearson_1934(1, trials, 0.95).expect("in range");
            let n = trials as f64;
            assert!((low * n + 0.975_f64.ln()).abs() < 1e-6, "{}", low * n);
            assert!((high * n - 5.571_643).abs() < 1e-5, "{}", high * n);
        }
    }

    #[test]
    fn repetitions_that_count_alike_leave_some_doubt() {
        let counts = [10; 16];
        let scatter = scatter_of_shares(&counts, &[20; 16]).expect("enough of both");
        let share = Proportion {
            count: 160,
            of: 320,
            level: 0.95,
            method: IntervalMethod::Wilson,
            scatter: Some(scatter),
        };
        // Student's 2.1314 for 15 degrees, variance 1/4 of each of sixteen counts
        let [low, high] = share.interval().expect("builds");
        let half = 2.131_45 * (16.0_f64 / 4.0).sqrt() / 320.0;
        assert!((low - (0.5 - half)).abs() < 1e-7, "{low}");
        assert!((high - (0.5 + half)).abs() < 1e-7, "{high}");
        // counts that scatter more: 2.1314 √(16·32/15)/320
        let mut counts = counts;
        (counts[3], counts[7]) = (6, 14);
        let scatter = scatter_of_shares(&counts, &[20; 16]);
        let [low, high] = Proportion { scatter, ..share }.interval().expect("builds");
        let half = 2.131_45 * (16.0_f64 * 32.0 / 15.0).sqrt() / 320.0;
        assert!((high - low - 2.0 * half).abs() < 1e-6, "{low} to {high}");
    }
}
