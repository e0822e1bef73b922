//! Latin hypercube: every dimension's numbers lie one in each of n equal strata, in a random order of its own.
//!
//! M. D. McKay, R. J. Beckman & W. J. Conover, Technometrics 21 (1979) 239. The order is a pseudo-random permutation of
//! 0..n, n a power of two, worked out for each place by hashing: so a build's number depends on nothing but its
//! address, and no order has to be kept in memory. The permutation is a Feistel network (M. Luby & C. Rackoff, SIAM J.
//! Comput. 17 (1988) 373) on the two halves of the place's bits. Every round can be undone, hence each stratum comes
//! exactly once. A round's hash is multiply-add-shift, by which any two halves go to any two values alike
//! (M. Dietzfelbinger, STACS 1996). On few bits such a network comes only slowly to all pairs of strata alike, so small
//! cubes are shuffled outright (R. Durstenfeld, Commun. ACM 7 (1964) 420).

use super::stream::{GOLDEN, finalise};

/// Rounds of the network. Chosen: with 4 the test of pairs of places fails for cubes of 128 builds, with 6 it passes.
const ROUNDS: usize = 6;

/// Largest cube that is shuffled outright. Chosen: at 64 builds 6 rounds of the network still show in pairs of places over a
/// million keys.
const SHUFFLED_BUILDS: usize = 64;

/// The largest number below 1.
const BELOW_ONE: f64 = 1.0 - f64::EPSILON / 2.0;

/// Largest log₂ of a cube's builds: each half of a place's bits has at most 16.
const MOST_BITS: u32 = 32;

/// Fills `row` with the numbers of the builds `first_build`, `first_build + 1`, …, in one dimension.
///
/// `key` names the dimension and the run. Build n lies in the cube n / `cube_builds`, at the place n % `cube_builds`; its
/// number is (stratum + jitter) / `cube_builds`, strictly between 0 and 1 and within its stratum. `jitter` holds one plain
/// uniform number for each number of the row, above 0 and at most 1. With cubes of one build the row is the jitter.
///
/// # Panics
/// When `cube_builds` is not a power of two up to 2³², or `jitter` and `row` are not equally long: mistakes of the caller.
///
/// ```
/// use sightdrift::sampling::fill_latin_hypercube;
///
/// let mut row = [0.0; 4];
/// fill_latin_hypercube(7, 4, 0, &[0.5; 4], &mut row);
/// row.sort_by(f64::total_cmp);
/// assert_eq!(row, [0.125, 0.375, 0.625, 0.875]);
/// ```
#[inline(always)]
pub fn fill_latin_hypercube(
    key: u64,
    cube_builds: u64,
    first_build: u64,
    jitter: &[f64],
    row: &mut [f64],
) {
    assert!(
        cube_builds.is_power_of_two() && cube_builds.trailing_zeros() <= MOST_BITS,
        "a cube has a power of two of builds, up to 2³²"
    );
    assert_eq!(jitter.len(), row.len(), "one jitter for each number");
    let width = 1.0 / cube_builds as f64;
    let mut done = 0;
    while done < row.len() {
        let build = first_build + done as u64;
        let place = build % cube_builds;
        let left_in_cube = cube_builds - place;
        let end = usize::try_from(left_in_cube)
            .map_or(row.len(), |left| row.len().min(done.saturating_add(left)));
        let cube = cube_key(key, build / cube_builds);
        let part = (&jitter[done..end], &mut row[done..end]);
        if cube_builds <= SHUFFLED_BUILDS as u64 {
            let order = shuffled(cube, cube_builds as usize);
            let order = &order[place as usize..];
            for ((u, jitter), stratum) in part.1.iter_mut().zip(part.0).zip(order) {
                *u = within_stratum(u64::from(*stratum), *jitter, width);
            }
        } else {
            let order = Order::new(cube, cube_builds.trailing_zeros());
            for (nth, (u, jitter)) in part.1.iter_mut().zip(part.0).enumerate() {
                let stratum = order.stratum(place + nth as u64);
                *u = within_stratum(stratum, *jitter, width);
            }
        }
        done = end;
    }
}

/// The number `jitter` of the way through a stratum, never beyond it.
#[inline(always)]
fn within_stratum(stratum: u64, jitter: f64, width: f64) -> f64 {
    let stratum = float_of(stratum);
    // a jitter next to 1 would round up into the next stratum; this product is the number just below that
    let highest = (stratum + 1.0) * BELOW_ONE;
    let within = stratum + jitter;
    (if within < highest { within } else { highest }) * width
}

/// A whole number below 2⁵² as a float, by way of the bits: the compiler has no vector instruction for unsigned numbers.
#[inline(always)]
fn float_of(whole: u64) -> f64 {
    const TWO_TO_52: f64 = 4_503_599_627_370_496.0;
    f64::from_bits(TWO_TO_52.to_bits() | whole) - TWO_TO_52
}

/// The key of one cube.
#[inline(always)]
fn cube_key(key: u64, cube: u64) -> u64 {
    finalise(key ^ finalise(cube.wrapping_add(GOLDEN)))
}

/// The strata of a small cube, in a random order.
fn shuffled(cube_key: u64, builds: usize) -> [u8; SHUFFLED_BUILDS] {
    let mut order = std::array::from_fn(|nth| nth as u8);
    let mut state = cube_key;
    for nth in (1..builds).rev() {
        state = state.wrapping_add(GOLDEN);
        // a whole number up to nth: a word's high half times nth + 1, over 2³²; uneven by less than 2⁻²⁶
        let chosen = ((finalise(state) >> 32) * (nth as u64 + 1)) >> 32;
        order.swap(nth, chosen as usize);
    }
    order
}

/// The order of a larger cube's strata in one dimension. On 64 bits, though 32 would hold it: this way a vector of four
/// or eight floats needs no change of width, and the products of two 32-bit numbers have an instruction everywhere.
struct Order {
    /// Bits of the lower half, at least as many as of the upper.
    lower_bits: u32,
    upper_bits: u32,
    /// Of the hash of each round, below 2³².
    factors: [u64; ROUNDS],
    shifts: [u64; ROUNDS],
}

const LOW_32: u64 = 0xffff_ffff;

impl Order {
    #[inline(always)]
    fn new(cube_key: u64, bits: u32) -> Self {
        let mut state = cube_key;
        let mut factors = [0; ROUNDS];
        let mut shifts = [0; ROUNDS];
        for (factor, shift) in factors.iter_mut().zip(&mut shifts) {
            state = state.wrapping_add(GOLDEN);
            let word = finalise(state);
            *factor = word & LOW_32;
            *shift = word >> 32;
        }
        Self {
            lower_bits: bits.div_ceil(2),
            upper_bits: bits / 2,
            factors,
            shifts,
        }
    }

    /// The stratum of a place: a permutation of 0..2^bits.
    #[inline(always)]
    fn stratum(&self, place: u64) -> u64 {
        let [lower_mask, upper_mask] =
            [self.lower_bits, self.upper_bits].map(|bits| (1_u64 << bits) - 1);
        let [mut upper, mut lower] = [place >> self.lower_bits & upper_mask, place & lower_mask];
        for round in 0..ROUNDS {
            let sum = |half: u64| {
                ((half & LOW_32) * (self.factors[round] & LOW_32)).wrapping_add(self.shifts[round])
            };
            // the highest of the sum's 32 bits, as many as the other half has
            if round % 2 == 0 {
                lower ^= sum(upper) >> (32 - self.lower_bits) & lower_mask;
            } else {
                upper ^= sum(lower) >> (32 - self.upper_bits) & upper_mask;
            }
        }
        upper << self.lower_bits | lower
    }
}

#[cfg(test)]
mod tests {
    use super::super::evenness::{assert_centred, assert_even, one_in_each_cell};
    use super::super::stream::{Stream, StreamKey};
    use super::*;

    fn plain(source: u64, n: usize) -> Vec<f64> {
        let key = StreamKey {
            seed: 11,
            source,
            item: 0,
            component: 0,
            look: 0,
        };
        let mut stream = Stream::new(key, 0);
        (0..n).map(|_| stream.next_uniform()).collect()
    }

    /// The strata of some places of a cube, as `fill_latin_hypercube` has them.
    fn strata(key: u64, cube: u64, n: usize, places: impl Iterator<Item = usize>) -> Vec<usize> {
        let cube = cube_key(key, cube);
        if n <= SHUFFLED_BUILDS {
            let order = shuffled(cube, n);
            return places.map(|at| usize::from(order[at])).collect();
        }
        let order = Order::new(cube, n.trailing_zeros());
        places.map(|at| order.stratum(at as u64) as usize).collect()
    }

    fn order(key: u64, cube: u64, n: usize) -> Vec<usize> {
        strata(key, cube, n, 0..n)
    }

    #[test]
    fn every_cube_has_each_stratum_once() {
        for bits in 0..=16 {
            let n = 1_usize << bits;
            for (key, cube) in [(0, 0), (1, 0), (0, 1), (u64::MAX, 77)] {
                let mut row = vec![0.0; n];
                let first = cube * n as u64;
                fill_latin_hypercube(key, n as u64, first, &plain(key ^ cube, n), &mut row);
                assert!(one_in_each_cell(&row), "{n} builds, key {key}, cube {cube}");
                assert!(row.iter().all(|u| *u > 0.0 && *u < 1.0));
            }
        }
    }

    #[test]
    fn numbers_do_not_depend_on_how_the_row_is_cut() {
        let jitter = plain(1, 512);
        for cube_builds in [1, 2, 16, 64, 256, 4096] {
            let mut whole = vec![0.0; 512];
            fill_latin_hypercube(5, cube_builds, 512, &jitter, &mut whole);
            for length in [1, 3, 64, 100, 256] {
                for start in (0..512).step_by(length) {
                    let end = (start + length).min(512);
                    let mut part = vec![0.0; end - start];
                    let first = 512 + start as u64;
                    fill_latin_hypercube(5, cube_builds, first, &jitter[start..end], &mut part);
                    assert_eq!(part, whole[start..end]);
                }
            }
        }
    }

    #[test]
    fn a_cube_of_one_build_is_the_jitter() {
        let jitter = plain(2, 64);
        let mut row = vec![0.0; 64];
        fill_latin_hypercube(5, 1, 64, &jitter, &mut row);
        assert_eq!(row, jitter);
    }

    #[test]
    fn a_jitter_at_its_end_stays_within_its_stratum_and_below_one() {
        for bits in [0, 1, 6, 7, 16, 30, 32] {
            let n = 1_u64 << bits;
            let numbers = |jitter| {
                let mut row = [0.0; 512];
                // a jitter of 1/2 is exact in every cube
                fill_latin_hypercube(3, n, 0, &[jitter; 512], &mut row);
                row
            };
            let strata = numbers(0.5).map(|u| (u * n as f64).floor());
            for jitter in [f64::MIN_POSITIVE, BELOW_ONE, 1.0] {
                for (u, stratum) in numbers(jitter).into_iter().zip(strata) {
                    assert!(u < 1.0 && (u > 0.0), "{n} builds, jitter {jitter}: {u}");
                    assert_eq!((u * n as f64).floor(), stratum, "{n} builds");
                }
            }
        }
    }

    #[test]
    fn any_two_places_have_any_two_strata_alike() {
        for n in [2, 4, 8, 16, 64, 128, 256] {
            // places that differ in the lowest bit, the highest, and many
            let pairs = [
                [0, 1],
                [0, n / 2],
                [0, n - 1],
                [n / 2 - 1, n / 2],
                [n - 2, n - 1],
            ];
            let mut counts = vec![vec![0; n * n]; pairs.len()];
            for key in 0..(10 * n * n).max(200_000) as u64 {
                let strata = strata(key, key % 3, n, pairs.iter().flatten().copied());
                for (counts, pair) in counts.iter_mut().zip(strata.chunks(2)) {
                    counts[pair[0] * n + pair[1]] += 1;
                }
            }
            for (pair, counts) in pairs.into_iter().zip(counts) {
                if pair[0] == pair[1] {
                    continue;
                }
                // two places never have one stratum
                let possible: Vec<u64> = (0..n * n)
                    .filter(|cell| cell / n != cell % n)
                    .map(|cell| counts[cell])
                    .collect();
                assert_even(&format!("places {pair:?} of {n}"), &possible);
            }
        }
    }

    #[test]
    fn all_orders_of_four_are_alike() {
        let mut counts = [0; 256];
        for key in 0..24_000 {
            let code = order(key, 0, 4).into_iter().fold(0, |code, s| code * 4 + s);
            counts[code] += 1;
        }
        let met: Vec<u64> = counts.into_iter().filter(|count| *count > 0).collect();
        assert_eq!(met.len(), 24);
        assert_even("orders of 4", &met);
    }

    /// Rank correlation of two orders; mean 0 and variance 1/(n − 1) when they are independent.
    fn rank_correlation(a: &[usize], b: &[usize]) -> f64 {
        let n = a.len() as f64;
        let middle = (n - 1.0) / 2.0;
        let product = |(a, b): (&usize, &usize)| (*a as f64 - middle) * (*b as f64 - middle);
        a.iter().zip(b).map(product).sum::<f64>() / (n * (n * n - 1.0) / 12.0)
    }

    #[test]
    fn orders_of_different_keys_and_cubes_are_uncorrelated() {
        const KEYS: usize = 4000;
        for n in [8, 32, 256, 1024] {
            let sd = 1.0 / (n as f64 - 1.0).sqrt();
            for (what, key_step, cube_step) in [("keys", 1, 0), ("cubes", 0, 1)] {
                let mut sum = 0.0;
                let mut squares = 0.0;
                for nth in 0..KEYS as u64 {
                    let a = order(2 * nth, 2 * nth, n);
                    let b = order(2 * nth + key_step, 2 * nth + cube_step, n);
                    let r = rank_correlation(&a, &b);
                    sum += r;
                    squares += r * r - sd * sd;
                }
                assert_centred(&format!("{what}, {n} builds"), sum, sd, KEYS);
                // a rank correlation is as good as normal: the variance of its square is at most 2 sd⁴
                let sd_of_square = 2.0_f64.sqrt() * sd * sd;
                assert_centred(
                    &format!("spread over {what}, {n} builds"),
                    squares,
                    sd_of_square,
                    KEYS,
                );
            }
        }
    }

    #[test]
    fn neighbours_at_every_distance_are_uncorrelated_within_a_large_cube() {
        const N: usize = 4096;
        const KEYS: usize = 400;
        for distance in [1, 2, 3, 64, 256, 1024, 2048] {
            let mut sum = 0.0;
            for key in 0..KEYS as u64 {
                let a = order(key, 1, N);
                let b: Vec<usize> = (0..N).map(|at| a[(at + distance) % N]).collect();
                // without replacement: each pair is correlated by −1/(n − 1)
                sum += rank_correlation(&a, &b) + 1.0 / (N as f64 - 1.0);
            }
            // every pair is met twice at half the cube
            let pairs = if 2 * distance == N { N / 2 } else { N };
            let sd = 1.0 / (pairs as f64).sqrt();
            assert_centred(&format!("distance {distance}"), sum, sd, KEYS);
        }
    }

    #[test]
    fn each_number_is_uniform_over_the_keys() {
        const KEYS: usize = 20_000;
        const N: usize = 64;
        let mut sums = [0.0; N];
        let mut cells = vec![[0; 16]; N];
        for key in 0..KEYS as u64 {
            let mut row = [0.0; N];
            fill_latin_hypercube(key, N as u64, 0, &plain(key, N), &mut row);
            for ((u, sum), cells) in row.into_iter().zip(&mut sums).zip(&mut cells) {
                *sum += u - 0.5;
                cells[(u * 16.0) as usize] += 1;
            }
        }
        for (place, (sum, cells)) in sums.into_iter().zip(&cells).enumerate() {
            assert_centred(&format!("place {place}"), sum, 1.0 / 12.0_f64.sqrt(), KEYS);
            assert_even(&format!("place {place}"), cells);
        }
    }
}
