//! Acuity: logMAR to the finest detail, and the Landolt ring that it stands for.
//!
//! Source: ISO 8596: acuity grade 1 is a Landolt ring whose gap subtends 1 arcmin; logMAR = log₁₀(gap in arcmin).

use crate::elementary::exp;

/// Finest detail that an eye of the acuity `log_mar` tells, arcmin: 10^logMAR.
#[inline(always)]
pub fn finest_detail_arcmin(log_mar: f64) -> f64 {
    exp(log_mar * std::f64::consts::LN_10)
}

/// Gap of the Landolt ring of the acuity `log_mar` at `distance_mm`, mm.
pub fn landolt_gap_mm(log_mar: f64, distance_mm: f64) -> f64 {
    distance_mm * libm::tan(crate::units::rad_from_arcmin(finest_detail_arcmin(log_mar)))
}
