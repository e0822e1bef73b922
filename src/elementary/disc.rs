//! Area cut off the unit disc by a chord.
//!
//! With d the height of the segment, the area is d √d times a smooth function of d, which one polynomial gives for
//! every d from 0 to 1 (the factor d √d holds what is singular at the rim). The larger part is π less the smaller.

/// Area of the part of the unit disc beyond the chord at signed distance `t` from the centre: acos t − t √(1 − t²).
///
/// Relative error at most 1e-15 for 0 ≤ `t` ≤ 1 (also where the segment vanishes), absolute error at most 1.5e-15
/// everywhere; 0 beyond 1, π below −1, NaN for NaN.
#[inline(always)]
pub fn disc_segment(t: f64) -> f64 {
    let height = 1.0 - t.abs();
    let d = if height < 0.0 { 0.0 } else { height };
    let c = &SEGMENT;
    // in pairs and pairs of pairs: short chains of operations
    let (d2, d4) = (d * d, (d * d) * (d * d));
    let low = (c[0] + c[1] * d) + d2 * (c[2] + c[3] * d);
    let lower = (c[4] + c[5] * d) + d2 * (c[6] + c[7] * d);
    let upper = (c[8] + c[9] * d) + d2 * (c[10] + c[11] * d);
    let top = (c[12] + c[13] * d) + d2 * (c[14] + c[15] * d);
    let p = low + d4 * (lower + d4 * (upper + d4 * top));
    let smaller = d * d.sqrt() * p;
    if t < 0.0 {
        std::f64::consts::PI - smaller
    } else {
        smaller
    }
}

/// (acos(1 − d) − (1 − d) √(d (2 − d)))/d^(3/2) in powers of d, 0 ≤ d ≤ 1; relative error 3.1e-16 before rounding; the
/// last one is moved by 6e-16 so that half the disc is π/2 from both sides (`tests/reference/make_elementary.py`).
const SEGMENT: [f64; 16] = [
    1.8856180831641274,
    -0.28284271247490556,
    -0.025253813590443274,
    -0.00491046451114372,
    -0.0012555035711973596,
    -0.00037195590555208475,
    -0.00011997565768037783,
    -4.587648973468447e-05,
    -2.2276304524076473e-06,
    -3.631465231565137e-05,
    4.994142432441721e-05,
    -6.50259398205489e-05,
    5.522916748576501e-05,
    -3.255883729484022e-05,
    1.1469424339330135e-05,
    -1.967124839828707e-06,
];
