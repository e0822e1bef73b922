//! The normal distribution: density, cumulative, quantile.
//!
//! Quantile: M. J. Wichura, Algorithm AS 241 (PPND16), Applied Statistics 37 (1988) 477; relative error about 1e-16.
//! Cumulative: through the complementary error function of `libm`, so that both tails keep their digits.

use crate::elementary::{Kernel, widest};

/// Density at `x`.
pub fn normal_density(x: f64) -> f64 {
    const ONE_OVER_ROOT_TWO_PI: f64 = 0.398_942_280_401_432_7;
    ONE_OVER_ROOT_TWO_PI * libm::exp(-0.5 * x * x)
}

/// Probability below `x`.
pub fn normal_cumulative(x: f64) -> f64 {
    0.5 * libm::erfc(-x * std::f64::consts::FRAC_1_SQRT_2)
}

/// The `x` below which lies the probability `u`, for u strictly between 0 and 1.
pub fn normal_quantile_wichura_1988(u: f64) -> f64 {
    let q = u - 0.5;
    if q.abs() <= 0.425 {
        let r = 0.180625 - q * q;
        return q * polynomial(&CENTRE_TOP, r) / polynomial(&CENTRE_BOTTOM, r);
    }
    let tail = if q < 0.0 { u } else { 1.0 - u };
    let r = (-libm::log(tail)).sqrt();
    let x = if r <= 5.0 {
        polynomial(&MIDDLE_TOP, r - 1.6) / polynomial(&MIDDLE_BOTTOM, r - 1.6)
    } else {
        polynomial(&FAR_TOP, r - 5.0) / polynomial(&FAR_BOTTOM, r - 5.0)
    };
    if q < 0.0 { -x } else { x }
}

/// How many numbers are taken at a time: one word marks those of them that lie in a tail.
const CHUNK: usize = 64;

/// The normal quantile of every number of `uniforms`, written to the same place of `quantiles`; if one slice is longer,
/// its rest is left alone.
///
/// For numbers strictly between 0 and 1 on the grid of 2⁻⁵³, as streams give them (on no grid, numbers above ½ lose what
/// 1 − u rounds off). Relative error at most 2e-15; bit-equal on every instruction set.
pub fn fill_normal_quantile(uniforms: &[f64], quantiles: &mut [f64]) {
    widest(FillNormalQuantile {
        uniforms,
        quantiles,
    });
}

struct FillNormalQuantile<'a> {
    uniforms: &'a [f64],
    quantiles: &'a mut [f64],
}

impl Kernel for FillNormalQuantile<'_> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        let chunks = self.uniforms.chunks(CHUNK);
        for (us, xs) in chunks.zip(self.quantiles.chunks_mut(CHUNK)) {
            let mut tails = 0_u64;
            for (i, (u, x)) in us.iter().zip(xs.iter_mut()).enumerate() {
                let w = u * (1.0 - u);
                *x = (u - 0.5) * (wide(&WIDE_TOP, w) / wide(&WIDE_BOTTOM, w));
                tails |= u64::from(w < WIDE_FROM) << i;
            }
            while tails != 0 {
                let i = tails.trailing_zeros() as usize;
                xs[i] = normal_quantile_wichura_1988(us[i]);
                tails &= tails - 1;
            }
        }
    }
}

/// Least u (1 − u) of the wide middle part: 0.0125 < u < 0.9875.
const WIDE_FROM: f64 = 0.01234375;

#[inline(always)]
fn wide(c: &[f64; 11], w: f64) -> f64 {
    let p = c[5] + w * (c[6] + w * (c[7] + w * (c[8] + w * (c[9] + w * c[10]))));
    c[0] + w * (c[1] + w * (c[2] + w * (c[3] + w * (c[4] + w * p))))
}

fn polynomial(coefficients: &[f64; 8], r: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * r + c)
}

const CENTRE_TOP: [f64; 8] = [
    3.387_132_872_796_366_6,
    1.331_416_678_917_843_8e2,
    1.971_590_950_306_551_3e3,
    1.373_169_376_550_946e4,
    4.592_195_393_154_987e4,
    6.726_577_092_700_87e4,
    3.343_057_558_358_813e4,
    2.509_080_928_730_122_7e3,
];
const CENTRE_BOTTOM: [f64; 8] = [
    1.0,
    4.231_333_070_160_091e1,
    6.871_870_074_920_579e2,
    5.394_196_021_424_751e3,
    2.121_379_430_158_659_7e4,
    3.930_789_580_009_271e4,
    2.872_908_573_572_194_3e4,
    5.226_495_278_852_854e3,
];
const MIDDLE_TOP: [f64; 8] = [
    1.423_437_110_749_683_5,
    4.630_337_846_156_546,
    5.769_497_221_460_691,
    3.647_848_324_763_204_5,
    1.270_458_252_452_368_4,
    2.417_807_251_774_506e-1,
    2.272_384_498_926_918_4e-2,
    7.745_450_142_783_414e-4,
];
const MIDDLE_BOTTOM: [f64; 8] = [
    1.0,
    2.053_191_626_637_759,
    1.676_384_830_183_803_8,
    6.897_673_349_851e-1,
    1.481_039_764_274_800_8e-1,
    1.519_866_656_361_645_7e-2,
    5.475_938_084_995_345e-4,
    1.050_750_071_644_416_9e-9,
];
const FAR_TOP: [f64; 8] = [
    6.657_904_643_501_103,
    5.463_784_911_164_114,
    1.784_826_539_917_291_3,
    2.965_605_718_285_049e-1,
    2.653_218_952_657_612_4e-2,
    1.242_660_947_388_078_4e-3,
    2.711_555_568_743_487_6e-5,
    2.010_334_399_292_288_1e-7,
];
const FAR_BOTTOM: [f64; 8] = [
    1.0,
    5.998_322_065_558_88e-1,
    1.369_298_809_227_358e-1,
    1.487_536_129_085_061_5e-2,
    7.868_691_311_456_133e-4,
    1.846_318_317_510_054_7e-5,
    1.421_511_758_316_446e-7,
    2.044_263_103_389_939_8e-15,
];

/// Quantile over u − ½ as a ratio of polynomials in u (1 − u): coefficients all positive, so that nothing cancels;
/// relative error 7.4e-16 before rounding (`tests/reference/make_elementary.py`).
const WIDE_TOP: [f64; 11] = [
    7.342590576107652,
    13113.680293342053,
    4868875.442581029,
    615925111.5178748,
    31983427008.480995,
    737083466280.3446,
    7669320866772.19,
    34774757444381.027,
    61793134416445.13,
    33433900700488.816,
    2479158709089.701,
];
const WIDE_BOTTOM: [f64; 11] = [
    1.0,
    2144.953533483149,
    913488.7646086231,
    131370368.69042511,
    7788191703.579967,
    207720669718.7051,
    2562361564685.782,
    14336948653066.38,
    33735351684288.637,
    28021419804826.848,
    5242537791685.47,
];

#[cfg(test)]
mod tests {
    use super::*;
    use statrs::distribution::{ContinuousCDF, Normal};

    #[test]
    fn quantile_gives_the_values_printed_with_the_algorithm() {
        // Wichura 1988, p. 483
        for (u, x) in [
            (0.25, -0.674_489_750_196_081_7),
            (0.001, -3.090_232_306_167_813_5),
            (1e-20, -9.262_340_089_798_408),
        ] {
            let found = normal_quantile_wichura_1988(u);
            assert!((found / x - 1.0).abs() < 4e-16 * 4.0, "{u}: {found} {x}");
        }
    }

    #[test]
    fn quantile_agrees_with_a_statistics_library_and_undoes_the_cumulative() {
        let reference = Normal::standard();
        for i in 1..2000 {
            let u = f64::from(i) / 2000.0;
            let x = normal_quantile_wichura_1988(u);
            assert!((x - reference.inverse_cdf(u)).abs() < 1e-9 * (1.0 + x.abs()));
            assert!((normal_cumulative(x) - u).abs() < 1e-15);
        }
    }
}
