//! From uniform numbers to the values of a distribution, a row at a time; and the steps that a row and a single number share.

use super::distribution::Distribution;
use super::normal::{normal_cumulative, shape_normal};
use super::stream::Row;
use crate::elementary::{Kernel, exp, sin_cos_turns, widest};

impl Distribution {
    /// Turns uniform numbers, in place, into values: what [`Self::quantile`] gives, to rounding. Fastest for four rows or
    /// more at a time.
    pub fn shape(&self, rows: &mut [Row]) {
        match self {
            Self::Fixed(value) => rows.fill(Row::of(*value)),
            Self::Measured(_) => {
                for value in rows.iter_mut().flat_map(|row| &mut row.0) {
                    *value = self.quantile(*value);
                }
            }
            Self::Normal { .. } | Self::Lognormal { .. } | Self::TruncatedNormal { .. } => {
                let low = self.cut_off();
                if low > 0.0 {
                    for u in rows.iter_mut().flat_map(|row| &mut row.0) {
                        *u = between_cuts(low, *u);
                    }
                }
                shape_normal(rows);
                widest(Finish {
                    distribution: self,
                    rows,
                });
            }
            Self::Uniform { .. } | Self::Triangular { .. } | Self::Arcsine { .. } => {
                widest(Finish {
                    distribution: self,
                    rows,
                });
            }
        }
    }

    /// Probability that a truncated normal cuts off at each end.
    pub(super) fn cut_off(&self) -> f64 {
        match self {
            Self::TruncatedNormal { sd, half_width, .. } if *sd > 0.0 => {
                normal_cumulative(-half_width / sd)
            }
            _ => 0.0,
        }
    }
}

/// A standard value, put in its place.
#[inline(always)]
pub(super) fn placed(mean: f64, width: f64, standard: f64) -> f64 {
    mean + width * standard
}

/// A standard normal value, made lognormal.
#[inline(always)]
pub(super) fn lognormal(median: f64, sd_log: f64, standard: f64) -> f64 {
    median * exp(sd_log * standard)
}

/// A probability, moved between two equal cuts at the ends.
#[inline(always)]
pub(super) fn between_cuts(cut_off: f64, u: f64) -> f64 {
    cut_off + u * (1.0 - 2.0 * cut_off)
}

/// Quantile of the uniform distribution on −1 … 1.
#[inline(always)]
pub(super) fn standard_uniform(u: f64) -> f64 {
    2.0 * u - 1.0
}

/// Quantile of the symmetric triangle on −1 … 1.
#[inline(always)]
pub(super) fn standard_triangular(u: f64) -> f64 {
    let tail = if u < 0.5 { u } else { 1.0 - u };
    let from_end = (2.0 * tail).sqrt();
    if u < 0.5 {
        from_end - 1.0
    } else {
        1.0 - from_end
    }
}

/// Quantile of the U-shaped distribution on −1 … 1.
#[inline(always)]
pub(super) fn standard_arcsine(u: f64) -> f64 {
    -sin_cos_turns(0.5 * u).1
}

/// The mean plus `off`, held within the half-width.
#[inline(always)]
pub(super) fn held_within(mean: f64, half_width: f64, off: f64) -> f64 {
    let low = if off < -half_width { -half_width } else { off };
    mean + if low > half_width { half_width } else { low }
}

/// The last step of [`Distribution::shape`]: from standard normal values (or uniform numbers) to values.
struct Finish<'a> {
    distribution: &'a Distribution,
    rows: &'a mut [Row],
}

impl Kernel for Finish<'_> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        for Row(row) in self.rows {
            match *self.distribution {
                Distribution::Normal { mean, sd } => {
                    for x in row {
                        *x = placed(mean, sd, *x);
                    }
                }
                Distribution::Lognormal { median, sd_log } => {
                    for x in row {
                        *x = lognormal(median, sd_log, *x);
                    }
                }
                Distribution::TruncatedNormal {
                    mean,
                    sd,
                    half_width,
                } => {
                    for x in row {
                        *x = held_within(mean, half_width, sd * *x);
                    }
                }
                Distribution::Uniform { mean, half_width } => {
                    for x in row {
                        *x = placed(mean, half_width, standard_uniform(*x));
                    }
                }
                Distribution::Triangular { mean, half_width } => {
                    for x in row {
                        *x = placed(mean, half_width, standard_triangular(*x));
                    }
                }
                Distribution::Arcsine { mean, half_width } => {
                    for x in row {
                        *x = placed(mean, half_width, standard_arcsine(*x));
                    }
                }
                Distribution::Fixed(_) | Distribution::Measured(_) => {}
            }
        }
    }
}
