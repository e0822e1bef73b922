//! Sobol' points under Owen's nested uniform scramble.
//!
//! Direction numbers: S. Joe & F. Y. Kuo, SIAM J. Sci. Comput. 30 (2008) 2635, set new-joe-kuo-6, as the crate `sobol`
//! carries it. The index counts in plain binary, not in Gray code: every aligned block of 2^m points is the same set in
//! either order. All dimensions take the same index; nothing is shuffled.
//!
//! Scramble: A. B. Owen, "Randomly permuted (t, m, s)-nets and (t, s)-sequences" (1995): each binary digit is flipped or
//! not by a coin that belongs to all the digits before it. The coins are hashed, after S. Laine & T. Karras, Comput. Graph.
//! Forum 30 (2011) 1179 and B. Burley, J. Comput. Graph. Tech. 9(4) (2020) 1: with the digits in reversed order a step
//! whose bits depend on no higher bit (adding, multiplying by an odd number, exclusive or with an even multiple)
//! is a nested scramble. Theirs is on 32 bits with one key in one addition, by which the coins of the first digits
//! hang on a few bits of the key; ours is on 64 bits, with keys in every round. Digits beyond the 32 of the table are
//! coins alone.
//!
//! The points begin with index 0. Under the scramble it is as uniform as any other, and dropping it breaks the nets
//! (A. B. Owen, "On dropping the first Sobol' point", MCQMC 2020).

use super::stream::{GOLDEN, finalise, uniform};
use ::sobol::Sobol;
use ::sobol::params::JoeKuoD6;

/// Binary digits of the direction numbers: 2³² points.
const DIGITS: usize = 32;

/// Longest row that [`SobolPoints::fill`] takes.
const LONGEST_ROW: usize = 256;

/// Sobol' points in a number of dimensions; made once, shared by all threads.
///
/// ```
/// use sightdrift::sampling::SobolPoints;
///
/// let points = SobolPoints::new(2);
/// let mut row = [0.0; 8];
/// points.fill(1, 0x5eed, 0, &mut row);
/// row.sort_by(f64::total_cmp);
/// // one point in each eighth
/// assert!(row.iter().enumerate().all(|(n, u)| (u * 8.0) as usize == n));
/// ```
#[derive(Debug, Clone)]
pub struct SobolPoints {
    /// By dimension and bit of the index, lowest first; digits in reversed order: the first binary digit is bit 0.
    directions: Vec<[u32; DIGITS]>,
}

impl SobolPoints {
    /// Most dimensions that the published table holds.
    pub const MOST_DIMENSIONS: usize = 21_201;

    /// Most points; the index wraps beyond.
    pub const MOST_POINTS: u64 = 1 << DIGITS;

    /// The points of `dimensions` dimensions, numbered from 0.
    ///
    /// # Panics
    /// With more than [`Self::MOST_DIMENSIONS`], which the caller has to refuse with words of its own.
    pub fn new(dimensions: usize) -> Self {
        assert!(
            dimensions <= Self::MOST_DIMENSIONS,
            "{dimensions} dimensions, at most {} are in the table",
            Self::MOST_DIMENSIONS
        );
        // each smaller table is the beginning of the larger one, and is unpacked sooner
        let table = match dimensions {
            0..=100 => JoeKuoD6::minimal(),
            101..=1000 => JoeKuoD6::standard(),
            _ => JoeKuoD6::extended(),
        };
        let directions = Sobol::<u32>::init_direction_vals(dimensions, DIGITS, &table)
            .into_iter()
            .map(|of_dimension| std::array::from_fn(|bit| of_dimension[bit].reverse_bits()))
            .collect();
        Self { directions }
    }

    /// How many dimensions there are.
    pub fn dimensions(&self) -> usize {
        self.directions.len()
    }

    /// The point before the scramble, in [0, 1): for comparison with other programs. Dimensions count from 0.
    ///
    /// # Panics
    /// When there is no such dimension.
    pub fn unscrambled(&self, dimension: usize, index: u64) -> f64 {
        const STEP: f64 = 1.0 / 4_294_967_296.0;
        f64::from(self.digits(dimension, index).reverse_bits()) * STEP
    }

    /// Fills `row` with the scrambled numbers of the points `first_index`, `first_index + 1`, … in one dimension.
    ///
    /// `key` names the run and the dimension: dimensions need different keys. The numbers are odd multiples of 2⁻⁵³, so
    /// strictly between 0 and 1.
    ///
    /// # Panics
    /// When there is no such dimension, when the row's length is not a power of two up to 256, or when `first_index` is
    /// not a multiple of it: mistakes of the caller.
    #[inline(always)]
    pub fn fill(&self, dimension: usize, key: u64, first_index: u64, row: &mut [f64]) {
        let length = row.len();
        assert!(
            length.is_power_of_two() && length <= LONGEST_ROW,
            "a row has a power of two of numbers, up to {LONGEST_ROW}"
        );
        assert!(
            first_index.is_multiple_of(length as u64),
            "a row begins at a multiple of its length"
        );
        let mut digits = [0; LONGEST_ROW];
        digits[0] = self.digits(dimension, first_index);
        let mut half = 1;
        for direction in &self.directions[dimension][..length.trailing_zeros() as usize] {
            let (done, rest) = digits.split_at_mut(half);
            for (upper, lower) in rest.iter_mut().zip(done) {
                *upper = *lower ^ direction;
            }
            half *= 2;
        }
        Scramble::new(key).fill(&digits[..length], row);
    }

    /// A point's digits, reversed.
    #[inline(always)]
    fn digits(&self, dimension: usize, index: u64) -> u32 {
        let mut digits = 0;
        for (bit, direction) in self.directions[dimension].iter().enumerate() {
            let chosen = (index >> bit & 1) as u32;
            digits ^= direction & chosen.wrapping_neg();
        }
        digits
    }
}

/// Rounds of the scramble. Chosen: with 1 any two coins are independent as far as the tests below see, and the variance
/// hears no more than two (Owen 1997); the second makes what three and more do together four times as even.
const ROUNDS: usize = 2;

/// One nested uniform scramble of reversed digits.
struct Scramble {
    /// Added before each round, and after the last.
    shifts: [u64; ROUNDS + 1],
    /// Even.
    multiples: [u64; ROUNDS],
    /// Odd.
    factors: [u64; ROUNDS],
}

impl Scramble {
    #[inline(always)]
    fn new(key: u64) -> Self {
        let mut state = finalise(key);
        let mut next = || {
            state = state.wrapping_add(GOLDEN);
            finalise(state)
        };
        Self {
            shifts: std::array::from_fn(|_| next()),
            multiples: std::array::from_fn(|_| next() & !1),
            factors: std::array::from_fn(|_| next() | 1),
        }
    }

    #[inline(always)]
    fn fill(&self, digits: &[u32], row: &mut [f64]) {
        for (u, digits) in row.iter_mut().zip(digits) {
            *u = uniform(self.scrambled(u64::from(*digits)).reverse_bits());
        }
    }

    #[inline(always)]
    fn scrambled(&self, digits: u64) -> u64 {
        let mut x = digits.wrapping_add(self.shifts[0]);
        for round in 0..ROUNDS {
            x ^= x.wrapping_mul(self.multiples[round]);
            x = x
                .wrapping_mul(self.factors[round])
                .wrapping_add(self.shifts[round + 1]);
        }
        x
    }
}

#[cfg(test)]
mod tests {
    use super::super::evenness::{assert_centred, assert_even, one_in_each_cell};
    use super::*;

    /// Keys of the dimensions of run `run`, as little alike as the engine's own hashes.
    fn key(run: u64, dimension: usize) -> u64 {
        finalise(finalise(run).wrapping_add(dimension as u64))
    }

    fn row(points: &SobolPoints, dimension: usize, key: u64, first: u64, n: usize) -> Vec<f64> {
        let mut all = vec![0.0; n];
        for (nth, part) in all.chunks_mut(LONGEST_ROW).enumerate() {
            points.fill(dimension, key, first + (nth * LONGEST_ROW) as u64, part);
        }
        all
    }

    #[test]
    fn smaller_tables_are_the_beginning_of_larger_ones() {
        let large = SobolPoints::new(1001);
        for dimensions in [0, 1, 100, 101, 1000] {
            let small = SobolPoints::new(dimensions);
            assert_eq!(small.dimensions(), dimensions);
            assert_eq!(small.directions[..], large.directions[..dimensions]);
        }
    }

    #[test]
    fn every_aligned_block_has_one_point_in_each_dyadic_interval_of_every_dimension() {
        let points = SobolPoints::new(1200);
        for bits in [0, 1, 2, 5, 8, 12] {
            let n = 1_usize << bits;
            for dimension in (0..40).chain([99, 100, 500, 999, 1199]) {
                for block in [0, 1, 6, 1_000_000_000 / n as u64] {
                    let row = row(&points, dimension, key(1, dimension), block * n as u64, n);
                    assert!(
                        one_in_each_cell(&row),
                        "dimension {dimension}, block {block} of {n}"
                    );
                }
            }
        }
    }

    #[test]
    fn every_aligned_block_of_the_first_two_dimensions_has_one_point_in_each_elementary_interval() {
        let points = SobolPoints::new(2);
        for bits in [1, 4, 8, 11] {
            let n = 1_usize << bits;
            for (run, block) in [(1, 0), (2, 1), (3, 12_345)] {
                let first = block * n as u64;
                let a = row(&points, 0, key(run, 0), first, n);
                let b = row(&points, 1, key(run, 1), first, n);
                for wide in 0..=bits {
                    let (columns, lines) = ((1 << wide) as f64, (1 << (bits - wide)) as f64);
                    let cells: Vec<f64> = a
                        .iter()
                        .zip(&b)
                        .map(|(a, b)| {
                            (((a * columns).floor() * lines) + (b * lines).floor() + 0.5) / n as f64
                        })
                        .collect();
                    assert!(one_in_each_cell(&cells), "{columns} by {lines}");
                }
            }
        }
    }

    #[test]
    fn numbers_do_not_depend_on_how_long_the_row_is() {
        let points = SobolPoints::new(7);
        let whole = row(&points, 6, 99, 4096, 256);
        for length in [1, 2, 64, 128] {
            for start in (0..256).step_by(length) {
                let part = row(&points, 6, 99, 4096 + start as u64, length);
                assert_eq!(part, whole[start..start + length]);
            }
        }
    }

    #[test]
    fn each_point_is_uniform_over_the_keys() {
        const KEYS: usize = 20_000;
        let points = SobolPoints::new(30);
        for dimension in [0, 1, 29] {
            let mut sums = [0.0; 64];
            let mut cells = vec![[0; 16]; 64];
            for run in 0..KEYS as u64 {
                let row = row(&points, dimension, key(run, dimension), 0, 64);
                for ((u, sum), cells) in row.into_iter().zip(&mut sums).zip(&mut cells) {
                    *sum += u - 0.5;
                    cells[(u * 16.0) as usize] += 1;
                }
            }
            for (index, (sum, cells)) in sums.into_iter().zip(&cells).enumerate() {
                let what = format!("point {index}, dimension {dimension}");
                assert_centred(&what, sum, 1.0 / 12.0_f64.sqrt(), KEYS);
                assert_even(&what, cells);
            }
        }
    }

    #[test]
    fn coins_of_the_first_six_digits_are_fair_and_uncorrelated() {
        const KEYS: usize = 20_000;
        const COINS: usize = 63;
        let mut heads = [0.0; COINS];
        let mut products = vec![[0.0; COINS]; COINS];
        for run in 0..KEYS as u64 {
            let scramble = Scramble::new(run);
            // the coin of digit `level` after the digits `before`, as ±1
            let coins: [f64; COINS] = std::array::from_fn(|nth| {
                let level = (nth + 1).ilog2();
                let before = (nth + 1) as u64 - (1 << level);
                let flipped = scramble.scrambled(before) >> level & 1;
                1.0 - 2.0 * flipped as f64
            });
            for a in 0..COINS {
                heads[a] += coins[a];
                for (product, other) in products[a].iter_mut().zip(&coins[..a]) {
                    *product += coins[a] * other;
                }
            }
        }
        for a in 0..COINS {
            assert_centred(&format!("coin {a}"), heads[a], 1.0, KEYS);
            for (b, product) in products[a][..a].iter().enumerate() {
                assert_centred(&format!("coins {a}, {b}"), *product, 1.0, KEYS);
            }
        }
    }

    /// How often each scramble of the first digits comes up, by its coins; `coins` of them, a power of two less one.
    fn scrambles(coins: u32, keys: u64) -> Vec<u64> {
        let mut counts = vec![0; 1 << coins];
        for run in 0..keys {
            let scramble = Scramble::new(run);
            let code = (1..=u64::from(coins)).fold(0, |code, nth| {
                let level = nth.ilog2();
                let flipped = scramble.scrambled(nth - (1 << level)) >> level & 1;
                code * 2 + flipped as usize
            });
            counts[code] += 1;
        }
        counts
    }

    #[test]
    fn all_scrambles_of_two_digits_are_alike_and_all_of_three_digits_come_up() {
        assert_even("scrambles of two digits", &scrambles(3, 50_000));
        assert!(scrambles(7, 50_000).iter().all(|count| *count > 0));
    }

    #[test]
    fn digits_after_the_first_that_differs_are_independent() {
        // all that the variance of a scrambled mean asks of the scramble (Owen 1997)
        const KEYS: u64 = 20_000;
        let mut state = 5;
        for level in 0..44 {
            let mut cells = [0; 256];
            for run in 0..KEYS {
                state = finalise(state + run);
                let a = state;
                let b = a ^ (1 << level) ^ (finalise(a) & !((2 << level) - 1));
                let scramble = Scramble::new(run);
                let [a, b] = [a, b].map(|x| scramble.scrambled(x));
                assert_eq!((a ^ b).trailing_zeros(), level);
                let after = |x: u64| (x >> (level + 1) & 15) as usize;
                cells[after(a) * 16 + after(b)] += 1;
            }
            assert_even(&format!("after digit {level}"), &cells);
        }
    }

    #[test]
    fn neighbouring_dimensions_are_uncorrelated_over_the_scrambles() {
        const RUNS: usize = 2000;
        const N: usize = 64;
        let points = SobolPoints::new(1100);
        for (a, b) in [
            (0, 1),
            (1, 2),
            (0, 19),
            (18, 19),
            (98, 99),
            (500, 501),
            (3, 1099),
            (1098, 1099),
        ] {
            let mut sum = 0.0;
            for run in 0..RUNS as u64 {
                let u = row(&points, a, key(run, a), 0, N);
                let v = row(&points, b, key(run, b), 0, N);
                // what a pair of points shares is scrambled alike in each dimension: take the sum over the block
                sum += u
                    .iter()
                    .zip(&v)
                    .map(|(u, v)| (u - 0.5) * (v - 0.5))
                    .sum::<f64>();
            }
            // independent scrambles, each with mean 0: the sum over a block is at most N/12 in absolute value
            assert_centred(&format!("dimensions {a}, {b}"), sum, N as f64 / 12.0, RUNS);
        }
    }

    #[test]
    fn numbers_are_odd_multiples_of_two_to_minus_53_and_never_0_or_1() {
        for bits in [
            0,
            1,
            u64::MAX,
            u64::MAX - 1,
            1 << 63,
            (1 << 63) - 1,
            1 << 12,
            0x1234_5678_9abc_def0,
        ] {
            let u = uniform(bits);
            assert!(u > 0.0 && u < 1.0);
            let steps = u * 9_007_199_254_740_992.0;
            assert_eq!(steps, (2 * (bits >> 12) + 1) as f64);
        }
    }

    #[test]
    fn the_last_of_the_points_is_there() {
        let points = SobolPoints::new(3);
        let row = row(&points, 2, 1, SobolPoints::MOST_POINTS - 256, 256);
        assert!(one_in_each_cell(&row));
    }
}
