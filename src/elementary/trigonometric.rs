//! Sine and cosine of an angle given in turns.
//!
//! The nearest quarter turn is taken off exactly (the angle is a binary number of turns, so no digit of π enters the
//! reduction), then one polynomial each in the square of what is left, at most an eighth of a turn.

use super::ROUND_TO_WHOLE;

/// Sine and cosine of `turns` full turns (2π · `turns` radians).
///
/// Absolute error at most 2e-16 for |`turns`| < 2⁴⁰, and exact at whole numbers of quarter turns; NaN for what is not
/// finite; without meaning beyond 2⁴⁰.
#[inline(always)]
pub fn sin_cos_turns(turns: f64) -> (f64, f64) {
    let shifted = 4.0 * turns + ROUND_TO_WHOLE;
    let quarters = shifted - ROUND_TO_WHOLE;
    // the lowest bits of the shifted number count the quarter turns
    let quadrant = shifted.to_bits();
    let rest = turns - 0.25 * quarters;
    let y = rest * rest;
    let sine = rest * SINE[0] + rest * (y * horner(&SINE, y));
    let cosine = 1.0 + y * (COSINE[0] + y * horner(&COSINE, y));
    let swapped = quadrant & 1 == 1;
    let (s, c) = if swapped {
        (cosine, sine)
    } else {
        (sine, cosine)
    };
    let sign_of_sine = (quadrant & 2) << 62;
    let sign_of_cosine = (quadrant.wrapping_add(1) & 2) << 62;
    (
        f64::from_bits(s.to_bits() ^ sign_of_sine),
        f64::from_bits(c.to_bits() ^ sign_of_cosine),
    )
}

/// The polynomial without its first coefficient, divided by `y`.
#[inline(always)]
fn horner(c: &[f64; 7], y: f64) -> f64 {
    c[1] + y * (c[2] + y * (c[3] + y * (c[4] + y * (c[5] + y * c[6]))))
}

/// sin(2πf)/f in powers of f², |f| ≤ 1/8; relative error 3e-18 before rounding (`tests/reference/make_elementary.py`).
const SINE: [f64; 7] = [
    std::f64::consts::TAU,
    -41.341702240399634,
    81.60524927594453,
    -76.70585970331943,
    42.05868490239031,
    -15.093797515564242,
    3.78072623939373,
];
/// (cos(2πf) − 1)/f² in powers of f², |f| ≤ 1/8; relative error 4e-19 before rounding.
const COSINE: [f64; 7] = [
    -19.739208802178716,
    64.93939402266824,
    -85.45681720664314,
    60.24464135252062,
    -26.426253253481175,
    7.9032056394571635,
    -1.6990072677695154,
];
