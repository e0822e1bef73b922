//! One sequence of uniform numbers by its address, for whatever needs chance besides the builds of a run; and what it shares
//! with the rows of those: the size of a block, the generator's seeding, the step from a word to a number.
//!
//! Generator: xoshiro256++ (D. Blackman & S. Vigna, ACM TOMS 47 (2021) 36), as `rand` ships it by name. Its four
//! words are filled by SplitMix64's finaliser (G. Steele et al., OOPSLA 2014), as its authors advise.

use rand::SeedableRng;
use rand::rand_core::Rng;
use rand::rngs::Xoshiro256PlusPlus;

/// Builds in one block.
pub const BLOCK_BUILDS: usize = 64;

/// One number for each build of a block.
#[derive(Debug, Clone, Copy, PartialEq)]
#[repr(C, align(64))]
pub struct Row(pub [f64; BLOCK_BUILDS]);

impl Row {
    /// The same number for every build.
    pub const fn of(value: f64) -> Self {
        Self([value; BLOCK_BUILDS])
    }
}

/// What a stream of numbers is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StreamKey {
    /// The run's seed.
    pub seed: u64,
    /// Fixed number of the source of error.
    pub source: u64,
    /// Which hole, line, rod end … of that source.
    pub item: u64,
    /// Which of the item's numbers (0 or 1).
    pub component: u64,
    /// Look number plus one, or 0 for what is drawn once for a build.
    pub look: u64,
}

/// The numbers of one key, one after the other.
#[derive(Debug, Clone)]
pub struct Stream(Xoshiro256PlusPlus);

impl Stream {
    /// The stream number `number` of `key`.
    pub fn new(key: StreamKey, number: u64) -> Self {
        let mut state = 0x6a09_e667_f3bc_c908;
        for word in [
            key.seed,
            key.source,
            key.item,
            key.component,
            key.look,
            number,
        ] {
            state = finalise(state ^ finalise(word.wrapping_add(GOLDEN)));
        }
        let mut bytes = [0_u8; 32];
        for word in bytes.chunks_exact_mut(8) {
            state = state.wrapping_add(GOLDEN);
            word.copy_from_slice(&finalise(state).to_le_bytes());
        }
        Self(Xoshiro256PlusPlus::from_seed(bytes))
    }

    /// The next number, strictly between 0 and 1: an odd multiple of 2⁻⁵³.
    pub fn next_uniform(&mut self) -> f64 {
        uniform(self.0.next_u64())
    }
}

/// A seed for numbers that have nothing to do with those of `seed`: for a second run that is to prove what was chosen by a
/// first. It stays within what a scenario may say.
pub fn another_seed(seed: u64) -> u64 {
    finalise(seed ^ GOLDEN) >> 1
}

/// The upper 52 bits as a number strictly between 0 and 1: half a step up, for a quantile must never be asked for u = 0.
#[inline(always)]
pub(super) fn uniform(word: u64) -> f64 {
    const ONE: u64 = 0x3ff0_0000_0000_0000;
    const ONE_LESS_HALF_A_STEP: f64 = 1.0 - f64::EPSILON / 2.0;
    f64::from_bits(ONE | (word >> 12)) - ONE_LESS_HALF_A_STEP
}

/// 2⁶⁴ over the golden ratio: SplitMix64's step.
pub(super) const GOLDEN: u64 = 0x9e37_79b9_7f4a_7c15;

/// SplitMix64's finaliser: an invertible mix of 64 bits.
pub(super) fn finalise(word: u64) -> u64 {
    let word = (word ^ (word >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let word = (word ^ (word >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    word ^ (word >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;

    const KEY: StreamKey = StreamKey {
        seed: 1,
        source: 2,
        item: 3,
        component: 0,
        look: 0,
    };

    #[test]
    fn every_part_of_the_address_changes_the_numbers() {
        let first = |key: StreamKey, block| Stream::new(key, block).next_uniform();
        let base = first(KEY, 0);
        let others = [
            first(StreamKey { seed: 2, ..KEY }, 0),
            first(StreamKey { source: 3, ..KEY }, 0),
            first(StreamKey { item: 2, ..KEY }, 0),
            first(
                StreamKey {
                    component: 1,
                    ..KEY
                },
                0,
            ),
            first(StreamKey { look: 1, ..KEY }, 0),
            first(KEY, 1),
        ];
        assert!(others.iter().all(|other| *other != base));
        assert_eq!(base, first(KEY, 0));
    }

    #[test]
    fn sampling_is_unchanged_v2() {
        // a regression check: editing it means raising SAMPLING_VERSION
        let mut stream = Stream::new(KEY, 0);
        let drawn: Vec<u64> = (0..3)
            .map(|_| (stream.next_uniform() * 1e15) as u64)
            .collect();
        assert_eq!(drawn, STABLE);
    }
    const STABLE: [u64; 3] = [
        294_545_128_456_652,
        278_645_495_304_144,
        741_534_805_395_029,
    ];

    #[test]
    fn uniform_numbers_have_the_mean_and_variance_of_a_uniform() {
        let mut sum = 0.0;
        let mut squares = 0.0;
        let n = 1000 * BLOCK_BUILDS;
        for block in 0..1000 {
            let mut stream = Stream::new(KEY, block);
            for _ in 0..BLOCK_BUILDS {
                let u = stream.next_uniform() - 0.5;
                sum += u;
                squares += u * u;
            }
        }
        let n = n as f64;
        // 5 standard errors: sd 1/√12; variance of u² is 1/180
        assert!(
            (sum / n).abs() < 5.0 / (12.0 * n).sqrt(),
            "mean off by {}",
            sum / n
        );
        assert!((squares / n - 1.0 / 12.0).abs() < 5.0 / (180.0 * n).sqrt());
    }
}
