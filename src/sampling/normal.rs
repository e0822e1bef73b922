//! The normal distribution: density, cumulative, quantile.
//!
//! Quantile: M. J. Wichura, Algorithm AS 241 (PPND16), Applied Statistics 37 (1988) 477; relative error about 1e-16.
//! Quantiles of a whole block: the same by one ratio of polynomials for the middle, fitted for this project.
//! Cumulative: through the complementary error function of `libm`, so that both tails keep their digits.

use super::stream::{BLOCK_BUILDS, Row};
use crate::elementary::{Kernel, ln, widest};

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

/// Turns uniform numbers, in place, into the normal quantiles of them.
///
/// For odd multiples of 2⁻⁵³ strictly between 0 and 1, as streams give them: there 1 − u has no rounding. Relative error
/// at most 1.2e-15; exactly 0 at ½; bit-equal on every instruction set and for every way of cutting the rows. Fastest for
/// four rows or more.
///
/// The middle, 0.025 < u < 0.975, is one ratio of polynomials for all; the few numbers beyond are gathered, eight at a time,
/// for the middle tail of Wichura 1988, and the very few beyond 1.3e-11 go to [`normal_quantile_wichura_1988`].
pub fn shape_normal(rows: &mut [Row]) {
    widest(ShapeNormal { rows });
}

struct ShapeNormal<'a> {
    rows: &'a mut [Row],
}

impl Kernel for ShapeNormal<'_> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        for rows in self.rows.chunks_mut(TOGETHER) {
            shape_together(rows);
        }
    }
}

/// Rows whose tails are gathered together.
const TOGETHER: usize = 4;
/// Most tail numbers of them.
const MOST_TAILS: usize = TOGETHER * BLOCK_BUILDS;
/// Tail numbers taken at a time: the widest register.
const LANES: usize = 8;
/// One word marks the numbers of a row that lie in a tail.
const _: () = assert!(BLOCK_BUILDS == u64::BITS as usize);

#[inline(always)]
fn shape_together(rows: &mut [Row]) {
    // numbers beyond the last tail stay at ½, and are worked out for nothing
    let mut tails = [0.5; MOST_TAILS];
    let mut places = [0_u8; MOST_TAILS];
    let mut found = 0;
    for (nth, Row(row)) in rows.iter_mut().enumerate() {
        let mut marked = 0_u64;
        for (i, u) in row.iter().enumerate() {
            marked |= u64::from(u * (1.0 - u) < WIDE_FROM) << i;
        }
        while marked != 0 {
            let i = marked.trailing_zeros() as usize;
            // never out of range; the remainders only spare the check
            places[found % MOST_TAILS] = (nth * BLOCK_BUILDS + i) as u8;
            tails[found % MOST_TAILS] = row[i % BLOCK_BUILDS];
            found += 1;
            marked &= marked - 1;
        }
        for x in row.iter_mut() {
            let u = *x;
            let w = u * (1.0 - u);
            *x = (u - 0.5) * (even_odd(&WIDE_TOP, w) / even_odd(&WIDE_BOTTOM, w));
        }
    }
    for first in (0..found).step_by(LANES) {
        let mut us = [0.0; LANES];
        us.copy_from_slice(&tails[first..first + LANES]);
        let xs = tail_quantiles(&us);
        for i in 0..LANES.min(found - first) {
            let place = usize::from(places[first + i]);
            let u = us[i];
            rows[place / BLOCK_BUILDS].0[place % BLOCK_BUILDS] = if u.min(1.0 - u) < FAR_BELOW {
                far_quantile(u)
            } else {
                xs[i]
            };
        }
    }
}

/// Kept out of the kernel: one number in ten thousand million comes here.
#[cold]
#[inline(never)]
fn far_quantile(u: f64) -> f64 {
    normal_quantile_wichura_1988(u)
}

/// Quantiles for 1.4e-11 < u < 0.1 and for 1 − u in that range.
#[inline(always)]
fn tail_quantiles(uniforms: &[f64; LANES]) -> [f64; LANES] {
    let mut quantiles = [0.0; LANES];
    for (u, x) in uniforms.iter().zip(quantiles.iter_mut()) {
        let complement = 1.0 - u;
        let tail = if *u < 0.5 { *u } else { complement };
        let r = (-ln(tail)).sqrt() - 1.6;
        let size = horner(&MIDDLE_TOP, r) / horner(&MIDDLE_BOTTOM, r);
        *x = if *u < 0.5 { -size } else { size };
    }
    quantiles
}

/// Least u (1 − u) of the middle: 0.025 < u < 0.975.
const WIDE_FROM: f64 = 0.024375;
/// Tails smaller than this, a little above e⁻²⁵, lie beyond the middle tail of Wichura 1988.
const FAR_BELOW: f64 = 1.4e-11;

#[inline(always)]
fn horner<const N: usize>(coefficients: &[f64; N], r: f64) -> f64 {
    let mut sum = coefficients[N - 1];
    for i in (0..N - 1).rev() {
        sum = sum * r + coefficients[i];
    }
    sum
}

/// A polynomial of odd degree as two of half the degree in `w`²: two short chains of operations for one long.
#[inline(always)]
fn even_odd<const N: usize>(coefficients: &[f64; N], w: f64) -> f64 {
    let square = w * w;
    let mut even = coefficients[N - 2];
    let mut odd = coefficients[N - 1];
    for i in (0..N / 2 - 1).rev() {
        even = even * square + coefficients[2 * i];
        odd = odd * square + coefficients[2 * i + 1];
    }
    even + w * odd
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
/// relative error 1.6e-16 before rounding (`tests/reference/make_elementary.py`).
const WIDE_TOP: [f64; 10] = [
    7.010404992047751,
    6440.27942011621,
    1225722.3949596733,
    78444254.93521999,
    2011415908.1555781,
    21965770336.168686,
    100943756123.76141,
    177974251587.03702,
    94333512651.99646,
    6801873852.515266,
];
const WIDE_BOTTOM: [f64; 10] = [
    1.0,
    1124.9722417588805,
    250175.28755217537,
    18578774.562517993,
    557546908.8321543,
    7279371137.60126,
    41552693731.657,
    97531516749.61948,
    79713334501.61429,
    14558052701.958149,
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::elementary::on_every_instruction_set;
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

    fn rows_of(numbers: &[f64]) -> Vec<Row> {
        numbers
            .chunks(BLOCK_BUILDS)
            .map(|chunk| {
                let mut row = Row::of(0.5);
                row.0[..chunk.len()].copy_from_slice(chunk);
                row
            })
            .collect()
    }

    fn filled(uniforms: &[f64]) -> Vec<f64> {
        let mut rows = rows_of(uniforms);
        shape_normal(&mut rows);
        let quantiles = rows.iter().flat_map(|row| row.0);
        quantiles.take(uniforms.len()).collect()
    }

    /// Uniform numbers on the grid of 2⁻⁵³: evenly spaced, around both seams, and down both tails to the last.
    fn many_uniforms() -> Vec<f64> {
        let grid = 2.0_f64.powi(-53);
        let on_grid = |u: f64| (u / grid).round() * grid;
        let mut all: Vec<f64> = (1..300_000)
            .map(|i| on_grid(f64::from(i) / 300_000.0))
            .collect();
        all.extend((-1000..1000).map(|i| on_grid(0.025 + f64::from(i) * 1e-9)));
        all.extend((-1000..1000).map(|i| on_grid(1.4e-11 + f64::from(i) * 1e-14)));
        all.extend((20..2116).map(|i| on_grid((-f64::from(i) / 60.0).exp())));
        all.extend((1..100).map(|i| f64::from(i) * grid));
        all.extend((0..1000).map(|i| 0.5 + f64::from(i) * grid));
        let mirrored: Vec<f64> = all.iter().map(|u| 1.0 - u).collect();
        all.extend(mirrored);
        all
    }

    #[test]
    fn block_of_quantiles_has_the_stated_error_against_wichura_1988() {
        let uniforms = many_uniforms();
        for (u, x) in uniforms.iter().zip(filled(&uniforms)) {
            let reference = normal_quantile_wichura_1988(*u);
            let error = (x - reference).abs();
            assert!(error <= 2e-15 * reference.abs(), "{u}: {x} {reference}");
        }
        assert_eq!(filled(&[0.5]), [0.0]);
    }

    #[test]
    fn block_of_quantiles_rises_with_the_uniform_number_to_within_its_error() {
        let mut uniforms = many_uniforms();
        uniforms.sort_by(f64::total_cmp);
        for (pair, us) in filled(&uniforms).windows(2).zip(uniforms.windows(2)) {
            assert!(
                pair[1] >= pair[0] - 2e-15 * pair[0].abs(),
                "{us:?} {pair:?}"
            );
        }
    }

    #[test]
    fn block_of_quantiles_is_odd_about_one_half() {
        let uniforms = many_uniforms();
        let mirrored: Vec<f64> = uniforms.iter().map(|u| 1.0 - u).collect();
        for (x, y) in filled(&uniforms).iter().zip(filled(&mirrored)) {
            assert_eq!(*x, -y);
        }
    }

    #[test]
    fn block_of_quantiles_does_not_depend_on_how_it_is_cut() {
        let uniforms = &many_uniforms()[..20 * BLOCK_BUILDS];
        let whole = filled(uniforms);
        for rows in [1, 2, 3, 4, 5, 7] {
            let cut: Vec<f64> = uniforms
                .chunks(rows * BLOCK_BUILDS)
                .flat_map(filled)
                .collect();
            assert_eq!(whole, cut, "{rows}");
        }
    }

    #[test]
    fn block_of_quantiles_is_bit_equal_on_every_instruction_set() {
        #[derive(Clone)]
        struct Shaped(Vec<Row>);
        impl Kernel for Shaped {
            type Output = Vec<Row>;
            #[inline(always)]
            fn run(mut self) -> Vec<Row> {
                ShapeNormal { rows: &mut self.0 }.run();
                self.0
            }
        }
        let uniforms = many_uniforms();
        let reference = filled(&uniforms);
        for (name, found) in on_every_instruction_set(Shaped(rows_of(&uniforms))) {
            let found = found.iter().flat_map(|row| row.0);
            for (x, y) in found.zip(&reference) {
                assert_eq!(x.to_bits(), y.to_bits(), "{name}");
            }
        }
    }
}
