//! The steps from a uniform number or a standard value to a value, for a row or a single number alike.

use crate::elementary::{exp, sin_cos_turns};

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
