//! Exponential and natural logarithm.
//!
//! Exponential: whole multiples of ln 2 are taken off in two parts (Cody & Waite 1980), then one polynomial.
//! Logarithm: the mantissa m is brought to √½ … √2, then ln m = 2 artanh((m − 1)/(m + 1)) by one polynomial.

use super::ROUND_TO_WHOLE;

/// ln 2 cut after 32 bits, so that its product with any exponent is exact.
const LN_2_HIGH: f64 = 6.931471803691238e-1;
/// ln 2 less [`LN_2_HIGH`].
const LN_2_LOW: f64 = 1.9082149292705877e-10;
/// Arguments above give infinity.
const LARGEST_EXPONENT: f64 = 709.0;
/// Arguments below give 0.
const SMALLEST_EXPONENT: f64 = -708.0;

/// e to the power `x`.
///
/// Relative error at most 2.5e-16 for −708 ≤ `x` ≤ 709; 0 below, infinity above; NaN for NaN.
#[inline(always)]
pub fn exp(x: f64) -> f64 {
    let shifted = x * std::f64::consts::LOG2_E + ROUND_TO_WHOLE;
    let twos = shifted - ROUND_TO_WHOLE;
    let r = (x - twos * LN_2_HIGH) - twos * LN_2_LOW;
    let c = &EXPONENTIAL;
    let p = c[5] + r * (c[6] + r * (c[7] + r * (c[8] + r * c[9])));
    let p = c[0] + r * (c[1] + r * (c[2] + r * (c[3] + r * (c[4] + r * p))));
    // the lowest bits of the shifted number are the power of two
    let scale = f64::from_bits(shifted.to_bits().wrapping_add(1023) << 52);
    let e = (1.0 + (r + r * r * p)) * scale;
    let e = if x > LARGEST_EXPONENT {
        f64::INFINITY
    } else {
        e
    };
    if x < SMALLEST_EXPONENT { 0.0 } else { e }
}

/// Natural logarithm of `x`.
///
/// Relative error at most 2.5e-16 for every normal number above 0, also near 1; −∞ for 0 of either sign, ∞ for ∞, NaN
/// below 0 and for NaN. A subnormal number gives some number between −710 and −708.
#[inline(always)]
pub fn ln(x: f64) -> f64 {
    const MANTISSA: u64 = (1 << 52) - 1;
    /// Bits of √½, rounded down.
    const ROOT_HALF: u64 = 0x3fe6_a09e_667f_3bcc;
    /// Bits of 2⁵²: a small whole number put into its mantissa is added to it.
    const TWO_TO_52: u64 = 0x4330_0000_0000_0000;
    let shifted = x.to_bits().wrapping_add(1.0_f64.to_bits() - ROOT_HALF);
    let twos = f64::from_bits((shifted >> 52) | TWO_TO_52) - (4_503_599_627_370_496.0 + 1023.0);
    let f = f64::from_bits((shifted & MANTISSA).wrapping_add(ROOT_HALF)) - 1.0;
    let s = f / (2.0 + f);
    let z = s * s;
    let c = &LOGARITHM;
    let tail =
        z * (c[0] + z * (c[1] + z * (c[2] + z * (c[3] + z * (c[4] + z * (c[5] + z * c[6]))))));
    // 2s = f − s f and s f = f²/2 − s f²/2: the large term f stays free of rounding
    let half_square = 0.5 * f * f;
    let mantissa_low = half_square - (s * (half_square + tail) + twos * LN_2_LOW);
    let logarithm = twos * LN_2_HIGH - (mantissa_low - f);
    let logarithm = if x < f64::INFINITY { logarithm } else { x };
    let logarithm = if x > 0.0 { logarithm } else { f64::NAN };
    if x == 0.0 {
        f64::NEG_INFINITY
    } else {
        logarithm
    }
}

/// (eʳ − 1 − r)/r² in powers of r, |r| ≤ ½ ln 2; relative error 2e-16 of a part that is at most a twelfth of eʳ
/// (`tests/reference/make_elementary.py`).
const EXPONENTIAL: [f64; 10] = [
    0.5000000000000001,
    0.16666666666666644,
    0.041666666666624254,
    0.008333333333356209,
    0.0013888888917160792,
    0.00019841269784670452,
    2.4801521366452146e-05,
    2.755735547747803e-06,
    2.7620059101008136e-07,
    2.506818680051837e-08,
];
/// (2 artanh(s)/s − 2)/s² in powers of s², |s| ≤ (√2 − 1)/(√2 + 1); relative error 5e-16 of a part that is at most a
/// hundredth of the logarithm.
const LOGARITHM: [f64; 7] = [
    0.666666666666667,
    0.3999999999989918,
    0.2857142862610609,
    0.22222211115835477,
    0.18182890368918467,
    0.15331684010120875,
    0.14616875683547315,
];
