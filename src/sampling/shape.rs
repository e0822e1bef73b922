//! From uniform numbers to the values of a distribution, a row at a time.

use super::distribution::Distribution;
use super::normal::{normal_cumulative, shape_normal};
use super::standard::{
    between_cuts, held_within, lognormal, placed, standard_arcsine, standard_triangular,
    standard_uniform,
};
use super::stream::Row;
use crate::elementary::{Kernel, widest};

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
