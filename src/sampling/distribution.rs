//! Distributions of one quantity: density, cumulative, quantile.
//!
//! Sampling is by quantile of one uniform number, not by rejection: rejection uses a varying number of draws, so
//! changing one tolerance would shift every later draw.
//! Which form suits which knowledge: JCGM 101:2008, 6.4 (bounds only: uniform; sum of two bounded: triangular;
//! cycling between bounds: arcsine; estimate and standard uncertainty: normal).

use super::normal::{normal_cumulative, normal_density, normal_quantile_wichura_1988};
use super::standard::{
    between_cuts, held_within, lognormal, placed, standard_arcsine, standard_triangular,
    standard_uniform,
};
use std::f64::consts::PI;
use std::sync::Arc;

/// The distribution of one quantity. The unit is the quantity's own.
#[derive(Debug, Clone, PartialEq)]
pub enum Distribution {
    /// Always this value.
    Fixed(f64),
    /// Normal.
    Normal {
        /// Mean.
        mean: f64,
        /// Standard deviation.
        sd: f64,
    },
    /// Uniform within mean ± half-width.
    Uniform {
        /// Mean.
        mean: f64,
        /// Half-width, a bound.
        half_width: f64,
    },
    /// Symmetric triangular within mean ± half-width.
    Triangular {
        /// Mean.
        mean: f64,
        /// Half-width, a bound.
        half_width: f64,
    },
    /// Arcsine (U-shaped) within mean ± half-width.
    Arcsine {
        /// Mean.
        mean: f64,
        /// Half-width, a bound.
        half_width: f64,
    },
    /// Lognormal.
    Lognormal {
        /// Median.
        median: f64,
        /// Standard deviation of the natural logarithm.
        sd_log: f64,
    },
    /// Normal, cut at mean ± half-width.
    TruncatedNormal {
        /// Mean.
        mean: f64,
        /// Standard deviation of the normal before it is cut.
        sd: f64,
        /// Half-width, a bound.
        half_width: f64,
    },
    /// One of these measured values, each as likely; ascending.
    Measured(Arc<[f64]>),
}

/// Why parameters make no distribution.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum DistributionError {
    /// A width is negative, or not finite.
    Width(f64),
    /// A mean, median or value is not finite.
    Centre(f64),
    /// A median that must be positive is not.
    Median(f64),
    /// No measured value, or one that is not finite.
    Measured,
}

impl Distribution {
    /// Measured values, to be drawn again at random.
    ///
    /// # Errors
    /// [`DistributionError::Measured`] when there is none, or one is not finite.
    pub fn measured(mut values: Vec<f64>) -> Result<Self, DistributionError> {
        if values.is_empty() || values.iter().any(|value| !value.is_finite()) {
            return Err(DistributionError::Measured);
        }
        values.sort_by(f64::total_cmp);
        Ok(Self::Measured(values.into()))
    }

    /// The distribution of neutral + factor·(value − neutral); a lognormal one of neutral·(value/neutral)^factor.
    #[must_use]
    pub fn scaled(&self, factor: f64, neutral: f64) -> Self {
        let moved = |value: f64| neutral + factor * (value - neutral);
        let width = |width: f64| factor.abs() * width;
        match *self {
            Self::Fixed(value) => Self::Fixed(moved(value)),
            Self::Normal { mean, sd } => Self::Normal {
                mean: moved(mean),
                sd: width(sd),
            },
            Self::Uniform { mean, half_width } => Self::Uniform {
                mean: moved(mean),
                half_width: width(half_width),
            },
            Self::Triangular { mean, half_width } => Self::Triangular {
                mean: moved(mean),
                half_width: width(half_width),
            },
            Self::Arcsine { mean, half_width } => Self::Arcsine {
                mean: moved(mean),
                half_width: width(half_width),
            },
            Self::Lognormal { median, sd_log } => Self::Lognormal {
                median: if neutral > 0.0 {
                    neutral * libm::pow(median / neutral, factor)
                } else {
                    median
                },
                sd_log: width(sd_log),
            },
            Self::TruncatedNormal {
                mean,
                sd,
                half_width,
            } => Self::TruncatedNormal {
                mean: moved(mean),
                sd: width(sd),
                half_width: width(half_width),
            },
            Self::Measured(ref values) => {
                let mut scaled: Vec<f64> = values.iter().map(|value| moved(*value)).collect();
                scaled.sort_by(f64::total_cmp);
                Self::Measured(scaled.into())
            }
        }
    }

    /// Refuses widths that are negative or not finite.
    ///
    /// # Errors
    /// [`DistributionError`] with the value at fault.
    pub fn checked(self) -> Result<Self, DistributionError> {
        let widths: &[f64] = match &self {
            Self::Fixed(_) | Self::Measured(_) => &[],
            Self::Normal { sd, .. } => &[*sd],
            Self::Uniform { half_width, .. }
            | Self::Triangular { half_width, .. }
            | Self::Arcsine { half_width, .. } => &[*half_width],
            Self::Lognormal { median, sd_log } => {
                if !(*median > 0.0) {
                    return Err(DistributionError::Median(*median));
                }
                &[*sd_log]
            }
            Self::TruncatedNormal { sd, half_width, .. } => &[*sd, *half_width],
        };
        let centre = match &self {
            Self::Lognormal { median, .. } => *median,
            Self::Measured(_) => 0.0,
            other => other.mean(),
        };
        if !centre.is_finite() {
            return Err(DistributionError::Centre(centre));
        }
        match widths
            .iter()
            .find(|width| !(**width >= 0.0 && width.is_finite()))
        {
            Some(width) => Err(DistributionError::Width(*width)),
            None => Ok(self),
        }
    }

    /// The value below which lies the probability `u`, for u strictly between 0 and 1.
    pub fn quantile(&self, u: f64) -> f64 {
        match self {
            Self::Fixed(value) => *value,
            Self::Normal { mean, sd } => placed(*mean, *sd, normal_quantile_wichura_1988(u)),
            Self::Uniform { mean, half_width } => placed(*mean, *half_width, standard_uniform(u)),
            Self::Triangular { mean, half_width } => {
                placed(*mean, *half_width, standard_triangular(u))
            }
            Self::Arcsine { mean, half_width } => placed(*mean, *half_width, standard_arcsine(u)),
            Self::Lognormal { median, sd_log } => {
                lognormal(*median, *sd_log, normal_quantile_wichura_1988(u))
            }
            Self::TruncatedNormal {
                mean,
                sd,
                half_width,
            } => {
                let low = self.cut_off();
                let inside = between_cuts(low, u);
                let standard = normal_quantile_wichura_1988(inside);
                held_within(*mean, *half_width, sd * standard)
            }
            Self::Measured(values) => {
                let index = (u * values.len() as f64) as usize;
                values[index.min(values.len() - 1)]
            }
        }
    }

    /// Probability of a value of at most `x`.
    pub fn cumulative(&self, x: f64) -> f64 {
        let step = |at: f64| if x >= at { 1.0 } else { 0.0 };
        match self {
            Self::Fixed(value) => step(*value),
            Self::Normal { mean, sd } if *sd > 0.0 => normal_cumulative((x - mean) / sd),
            Self::Uniform { mean, half_width } if *half_width > 0.0 => {
                (0.5 + (x - mean) / (2.0 * half_width)).clamp(0.0, 1.0)
            }
            Self::Triangular { mean, half_width } if *half_width > 0.0 => {
                let t = ((x - mean) / half_width).clamp(-1.0, 1.0);
                if t < 0.0 {
                    0.5 * (1.0 + t) * (1.0 + t)
                } else {
                    1.0 - 0.5 * (1.0 - t) * (1.0 - t)
                }
            }
            Self::Arcsine { mean, half_width } if *half_width > 0.0 => {
                libm::acos((-(x - mean) / half_width).clamp(-1.0, 1.0)) / PI
            }
            Self::Lognormal { median, sd_log } if *sd_log > 0.0 => {
                if x > 0.0 {
                    normal_cumulative(libm::log(x / median) / sd_log)
                } else {
                    0.0
                }
            }
            Self::TruncatedNormal {
                mean,
                sd,
                half_width,
            } if *sd > 0.0 && *half_width > 0.0 => {
                let low = normal_cumulative(-half_width / sd);
                ((normal_cumulative((x - mean) / sd) - low) / (1.0 - 2.0 * low)).clamp(0.0, 1.0)
            }
            Self::Measured(values) => {
                values.partition_point(|value| *value <= x) as f64 / values.len() as f64
            }
            Self::Normal { mean, .. }
            | Self::Uniform { mean, .. }
            | Self::Triangular { mean, .. }
            | Self::Arcsine { mean, .. }
            | Self::TruncatedNormal { mean, .. } => step(*mean),
            Self::Lognormal { median, .. } => step(*median),
        }
    }

    /// Density at `x`; `None` for values that come one by one ([`Self::Fixed`], [`Self::Measured`], or a width of 0).
    pub fn density(&self, x: f64) -> Option<f64> {
        let inside = |mean: f64, half_width: f64| (x - mean).abs() <= half_width;
        match self {
            Self::Normal { mean, sd } if *sd > 0.0 => Some(normal_density((x - mean) / sd) / sd),
            Self::Uniform { mean, half_width } if *half_width > 0.0 => {
                Some(if inside(*mean, *half_width) {
                    0.5 / half_width
                } else {
                    0.0
                })
            }
            Self::Triangular { mean, half_width } if *half_width > 0.0 => {
                Some((1.0 - ((x - mean) / half_width).abs()).max(0.0) / half_width)
            }
            Self::Arcsine { mean, half_width } if *half_width > 0.0 => {
                let t = (x - mean) / half_width;
                Some(if t.abs() < 1.0 {
                    1.0 / (PI * half_width * (1.0 - t * t).sqrt())
                } else {
                    0.0
                })
            }
            Self::Lognormal { median, sd_log } if *sd_log > 0.0 => Some(if x > 0.0 {
                normal_density(libm::log(x / median) / sd_log) / (sd_log * x)
            } else {
                0.0
            }),
            Self::TruncatedNormal {
                mean,
                sd,
                half_width,
            } if *sd > 0.0 && *half_width > 0.0 => Some(if inside(*mean, *half_width) {
                let kept = 1.0 - 2.0 * normal_cumulative(-half_width / sd);
                normal_density((x - mean) / sd) / (sd * kept)
            } else {
                0.0
            }),
            _ => None,
        }
    }

    /// Mean.
    pub fn mean(&self) -> f64 {
        match self {
            Self::Fixed(value) => *value,
            Self::Normal { mean, .. }
            | Self::Uniform { mean, .. }
            | Self::Triangular { mean, .. }
            | Self::Arcsine { mean, .. }
            | Self::TruncatedNormal { mean, .. } => *mean,
            Self::Lognormal { median, sd_log } => median * libm::exp(sd_log * sd_log / 2.0),
            Self::Measured(values) => values.iter().sum::<f64>() / values.len() as f64,
        }
    }

    /// Standard deviation.
    pub fn sd(&self) -> f64 {
        match self {
            Self::Fixed(_) => 0.0,
            Self::Normal { sd, .. } => *sd,
            Self::Uniform { half_width, .. } => half_width / 3.0_f64.sqrt(),
            Self::Triangular { half_width, .. } => half_width / 6.0_f64.sqrt(),
            Self::Arcsine { half_width, .. } => half_width / 2.0_f64.sqrt(),
            Self::Lognormal { sd_log, .. } => self.mean() * libm::expm1(sd_log * sd_log).sqrt(),
            Self::TruncatedNormal { sd, half_width, .. } => {
                if *sd == 0.0 || *half_width == 0.0 {
                    return 0.0;
                }
                let narrow = half_width / sd;
                if narrow < 1e-3 {
                    // all but uniform: the closed form below would lose its digits
                    return half_width / 3.0_f64.sqrt() * (1.0 - narrow * narrow / 15.0);
                }
                // variance of a normal cut at ±h: sd²·(1 − 2hφ(h)/(2Φ(h) − 1)), h in sd
                let h = half_width / sd;
                let kept = 1.0 - 2.0 * normal_cumulative(-h);
                sd * (1.0 - 2.0 * h * normal_density(h) / kept).max(0.0).sqrt()
            }
            Self::Measured(values) => {
                let mean = self.mean();
                let squares: f64 = values
                    .iter()
                    .map(|value| (value - mean) * (value - mean))
                    .sum();
                (squares / values.len() as f64).sqrt()
            }
        }
    }

    /// The lowest and highest value, where the distribution has bounds.
    pub fn bounds(&self) -> Option<[f64; 2]> {
        match self {
            Self::Fixed(value) => Some([*value, *value]),
            Self::Uniform { mean, half_width }
            | Self::Triangular { mean, half_width }
            | Self::Arcsine { mean, half_width }
            | Self::TruncatedNormal {
                mean, half_width, ..
            } => Some([mean - half_width, mean + half_width]),
            Self::Measured(values) => Some([values[0], values[values.len() - 1]]),
            Self::Normal { mean, sd } if *sd == 0.0 => Some([*mean, *mean]),
            Self::Lognormal { median, sd_log } if *sd_log == 0.0 => Some([*median, *median]),
            Self::Normal { .. } | Self::Lognormal { .. } => None,
        }
    }

    /// Whether the value never varies.
    pub fn is_fixed(&self) -> bool {
        self.bounds().is_some_and(|[low, high]| low == high)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all() -> Vec<Distribution> {
        vec![
            Distribution::Normal { mean: 1.0, sd: 2.0 },
            Distribution::Uniform {
                mean: -1.0,
                half_width: 0.5,
            },
            Distribution::Triangular {
                mean: 0.3,
                half_width: 0.7,
            },
            Distribution::Arcsine {
                mean: 0.0,
                half_width: 2.0,
            },
            Distribution::Lognormal {
                median: 1.0,
                sd_log: 0.3,
            },
            Distribution::TruncatedNormal {
                mean: 2.0,
                sd: 1.0,
                half_width: 0.8,
            },
        ]
    }

    #[test]
    fn quantile_undoes_cumulative_for_every_form() {
        for distribution in all() {
            for i in 1..500 {
                let u = f64::from(i) / 500.0;
                let back = distribution.cumulative(distribution.quantile(u));
                assert!((back - u).abs() < 1e-12, "{distribution:?} at {u}: {back}");
            }
        }
    }

    #[test]
    fn density_is_the_slope_of_cumulative() {
        for distribution in all() {
            for i in 1..20 {
                let x = distribution.quantile(f64::from(i) / 20.0);
                let h = 1e-6;
                let slope =
                    (distribution.cumulative(x + h) - distribution.cumulative(x - h)) / (2.0 * h);
                let density = distribution.density(x).expect("continuous");
                assert!(
                    (slope - density).abs() < 1e-5 * (1.0 + density),
                    "{distribution:?} at {x}"
                );
            }
        }
    }

    #[test]
    fn mean_and_sd_are_those_of_the_quantile() {
        for distribution in all() {
            let n = 400_000;
            let (mut sum, mut squares) = (0.0, 0.0);
            for i in 0..n {
                let x = distribution.quantile((f64::from(i) + 0.5) / f64::from(n));
                sum += x;
                squares += x * x;
            }
            let mean = sum / f64::from(n);
            let sd = (squares / f64::from(n) - mean * mean).sqrt();
            assert!(
                (mean - distribution.mean()).abs() < 2e-4,
                "{distribution:?} {mean}"
            );
            assert!(
                (sd - distribution.sd()).abs() < 2e-4,
                "{distribution:?} {sd}"
            );
        }
    }

    #[test]
    fn measured_values_come_back_in_their_own_shares() {
        let distribution = Distribution::measured(vec![3.0, 1.0, 1.0, 2.0]).expect("finite");
        let drawn: Vec<f64> = [0.1, 0.4, 0.6, 0.9]
            .iter()
            .map(|u| distribution.quantile(*u))
            .collect();
        assert_eq!(drawn, [1.0, 1.0, 2.0, 3.0]);
        assert!(Distribution::measured(vec![]).is_err());
        assert!(Distribution::measured(vec![f64::NAN]).is_err());
    }

    #[test]
    fn a_normal_cut_very_narrow_is_all_but_uniform() {
        for half_width in [0.5, 2e6] {
            let cut = Distribution::TruncatedNormal {
                mean: 0.0,
                sd: 1e9,
                half_width,
            };
            let uniform = half_width / 3.0_f64.sqrt();
            assert!((cut.sd() / uniform - 1.0).abs() < 1e-6, "{}", cut.sd());
        }
    }

    #[test]
    fn a_centre_that_is_not_finite_is_refused() {
        assert!(
            Distribution::Normal {
                mean: f64::NAN,
                sd: 1.0
            }
            .checked()
            .is_err()
        );
        assert!(
            Distribution::Lognormal {
                median: f64::INFINITY,
                sd_log: 1.0
            }
            .checked()
            .is_err()
        );
    }

    #[test]
    fn negative_widths_are_refused() {
        let refused = Distribution::Normal {
            mean: 0.0,
            sd: -1.0,
        }
        .checked();
        assert_eq!(refused, Err(DistributionError::Width(-1.0)));
        assert!(
            Distribution::Uniform {
                mean: 0.0,
                half_width: f64::NAN
            }
            .checked()
            .is_err()
        );
    }
}
