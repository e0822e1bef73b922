//! Uniform numbers of a whole block by their address.
//!
//! Every (seed, source, item, component, look, block) has a row of its own, and its n-th number belongs to the n-th of the
//! block's [`BLOCK_BUILDS`] builds. So a number depends on nothing but its own address: adding a source, changing a
//! tolerance, or the number of threads leaves all others alone, and one block can be drawn again without its neighbours.
//!
//! Eight generators run side by side for each address, so that the machine's widest lanes are filled: generator j gives
//! the numbers of builds j, j + 8, j + 16 … of the block. Each is xoshiro256++ (D. Blackman & S. Vigna, ACM TOMS 47
//! (2021) 36), its four words filled by SplitMix64's finaliser (G. Steele et al., OOPSLA 2014), as its authors advise.

use super::stream::{BLOCK_BUILDS, GOLDEN, Row, finalise, uniform};
use crate::elementary::{Kernel, widest};

/// Generators side by side.
const GENERATORS: usize = 8;

/// Everything of an address but the item and its component, mixed into one word.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RowKey(u64);

impl RowKey {
    /// The numbers of `source` in block `block` of the run `seed`; `look` is the look's number plus one, or 0 for what is
    /// drawn once for a build.
    pub fn new(seed: u64, source: u64, look: u64, block: u64) -> Self {
        let mixed = [seed, source, look, block]
            .into_iter()
            .fold(0x6a09_e667_f3bc_c908, |state, word| {
                finalise(state ^ finalise(word.wrapping_add(GOLDEN)))
            });
        Self(mixed)
    }

    /// The key of a part of it.
    pub fn within(self, part: u64) -> Self {
        Self(finalise(self.0 ^ finalise(part.wrapping_add(GOLDEN))))
    }

    /// The word of one item's component.
    #[inline(always)]
    pub fn word(self, item: u64, component: u64) -> u64 {
        finalise(self.0 ^ finalise((2 * item + component).wrapping_add(GOLDEN)))
    }

    /// Fills the rows with numbers strictly between 0 and 1, odd multiples of 2⁻⁵³.
    pub fn fill(self, rows: SourceRows<'_>) {
        widest(Fill { key: self, rows });
    }
}

/// The rows of one source that take a uniform number: of every item's `components` rows the first `uniforms`.
#[derive(Debug)]
pub struct SourceRows<'a> {
    /// All rows of the source, item by item.
    pub rows: &'a mut [Row],
    /// Rows of an item.
    pub components: usize,
    /// Rows of an item that take a number.
    pub uniforms: usize,
}

impl SourceRows<'_> {
    /// The same rows, for one thing more to be done with them later.
    pub fn again(&mut self) -> SourceRows<'_> {
        SourceRows {
            rows: self.rows,
            ..*self
        }
    }

    /// Each such row with its item and its place in it.
    #[inline(always)]
    pub fn drawn(&mut self) -> impl Iterator<Item = (u64, u64, &mut Row)> {
        let uniforms = self.uniforms;
        let items = self.rows.chunks_exact_mut(self.components);
        (0..).zip(items).flat_map(move |(item, rows)| {
            let rows = (0..).zip(rows.iter_mut().take(uniforms));
            rows.map(move |(component, row)| (item, component, row))
        })
    }
}

struct Fill<'a> {
    key: RowKey,
    rows: SourceRows<'a>,
}

impl Kernel for Fill<'_> {
    type Output = ();

    #[inline(always)]
    fn run(mut self) {
        for (item, component, row) in self.rows.drawn() {
            fill_row(self.key.word(item, component), row);
        }
    }
}

#[inline(always)]
fn fill_row(address: u64, row: &mut Row) {
    let mut state = [[0_u64; GENERATORS]; 4];
    for (k, words) in state.iter_mut().enumerate() {
        for (j, word) in words.iter_mut().enumerate() {
            let nth = (4 * j + k + 1) as u64;
            *word = finalise(address.wrapping_add(nth.wrapping_mul(GOLDEN)));
        }
    }
    let [mut a, mut b, mut c, mut d] = state;
    let mut drawn = [0.0; BLOCK_BUILDS];
    for numbers in drawn.chunks_exact_mut(GENERATORS) {
        for j in 0..GENERATORS {
            let sum = a[j].wrapping_add(d[j]);
            numbers[j] = uniform(sum.rotate_left(23).wrapping_add(a[j]));
            let shifted = b[j] << 17;
            c[j] ^= a[j];
            d[j] ^= b[j];
            b[j] ^= c[j];
            a[j] ^= d[j];
            c[j] ^= shifted;
            d[j] = d[j].rotate_left(45);
        }
    }
    row.0 = drawn;
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::SeedableRng;
    use rand::rand_core::Rng;
    use rand::rngs::Xoshiro256PlusPlus;

    fn of(rows: &mut [Row], components: usize) -> SourceRows<'_> {
        SourceRows {
            rows,
            components,
            uniforms: components,
        }
    }

    #[test]
    fn every_generator_is_the_published_one() {
        // rand 0.10: Xoshiro256PlusPlus::from_seed of the same four words
        let key = RowKey::new(7, 22, 0, 3);
        let mut rows = vec![Row::of(0.0); 12];
        key.fill(of(&mut rows, 2));
        let row = rows[11];
        for j in 0..GENERATORS {
            let mut seed = [0_u8; 32];
            for (k, bytes) in seed.chunks_exact_mut(8).enumerate() {
                let nth = (4 * j + k + 1) as u64;
                let word = finalise(key.word(5, 1).wrapping_add(nth.wrapping_mul(GOLDEN)));
                bytes.copy_from_slice(&word.to_le_bytes());
            }
            let mut reference = Xoshiro256PlusPlus::from_seed(seed);
            for found in row.0.iter().skip(j).step_by(GENERATORS) {
                let expected = (2.0 * (reference.next_u64() >> 12) as f64 + 1.0) / 2.0_f64.powi(53);
                assert_eq!(*found, expected);
            }
        }
    }

    #[test]
    fn every_part_of_the_address_changes_the_numbers() {
        let first = |seed, source, look, block, item: usize, component: usize| {
            let mut rows = vec![Row::of(0.0); 8];
            RowKey::new(seed, source, look, block).fill(of(&mut rows, 2));
            rows[2 * item + component]
        };
        let base = first(1, 2, 0, 0, 3, 0);
        for other in [
            first(2, 2, 0, 0, 3, 0),
            first(1, 3, 0, 0, 3, 0),
            first(1, 2, 1, 0, 3, 0),
            first(1, 2, 0, 1, 3, 0),
            first(1, 2, 0, 0, 2, 0),
            first(1, 2, 0, 0, 3, 1),
        ] {
            assert!(base.0.iter().zip(&other.0).all(|(a, b)| a != b));
        }
        assert_eq!(base, first(1, 2, 0, 0, 3, 0));
    }

    #[test]
    fn uniform_never_reaches_its_ends() {
        assert_eq!(uniform(0), f64::EPSILON / 2.0);
        assert_eq!(uniform(u64::MAX), 1.0 - f64::EPSILON / 2.0);
    }

    #[test]
    fn sampling_is_unchanged_v2() {
        // a regression check: editing it means raising SAMPLING_VERSION
        let mut rows = vec![Row::of(0.0); 4];
        RowKey::new(1, 2, 0, 0).fill(of(&mut rows, 1));
        let drawn: Vec<u64> = rows[3].0[..3].iter().map(|u| (u * 1e15) as u64).collect();
        assert_eq!(drawn, STABLE);
    }
    const STABLE: [u64; 3] = [
        986_341_700_041_783,
        694_577_037_842_124,
        497_629_087_508_083,
    ];
}
