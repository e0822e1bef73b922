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
    let p = c[11] + d * (c[12] + d * (c[13] + d * (c[14] + d * c[15])));
    let p = c[6] + d * (c[7] + d * (c[8] + d * (c[9] + d * (c[10] + d * p))));
    let p = c[1] + d * (c[2] + d * (c[3] + d * (c[4] + d * (c[5] + d * p))));
    let smaller = d * d.sqrt() * (c[0] + d * p);
    if t < 0.0 {
        std::f64::consts::PI - smaller
    } else {
        smaller
    }
}

/// (acos(1 − d) − (1 − d) √(d (2 − d)))/d^(3/2) in powers of d, 0 ≤ d ≤ 1; relative error 3.1e-16 before rounding
/// (`tests/reference/make_elementary.py`).
const SEGMENT: [f64; 16] = [
    1.8856180831641274,
    -0.2828427124749056,
    -0.025253813590441272,
    -0.004910464511202713,
    -0.0012555035701491005,
    -0.0003719559165320637,
    -0.00011997558590107141,
    -4.587679836090777e-05,
    -2.2267249580227283e-06,
    -3.631650547793276e-05,
    4.994409224745797e-05,
    -6.502862649885266e-05,
    5.5231016520893066e-05,
    -3.255966384062997e-05,
    1.1469639884170266e-05,
    -1.9671496145703936e-06,
];
