//! Quantiles of a stream of magnitudes from counts on a fixed logarithmic grid.
//!
//! Counts are whole numbers, so merging is exact in any order and memory does not grow with the number of values.
//! The grid has [`PER_OCTAVE`] equal steps in every doubling from 2⁻¹² to 2¹⁶ (arcmin here): a quantile is off by at
//! most its step, [`QUANTILE_RELATIVE_ERROR`], when many values are alike, and by less when they are spread. Beyond the
//! grid the highest value stands for all.

use crate::sampling::{BLOCK_BUILDS, normal_quantile_wichura_1988};
use serde::{Deserialize, Serialize};
use std::ops::Range;

const PER_OCTAVE: usize = 64;
const LOWEST_EXPONENT: i32 = -12;
const OCTAVES: usize = 28;
const BINS: usize = OCTAVES * PER_OCTAVE + 2;
/// Places for counts: a power of two, so that a mask spares the check of every place.
const PLACES: usize = BINS.next_power_of_two();
/// Where a row's values go that are not counted; it is emptied at once.
const NOT_COUNTED: usize = PLACES - 1;
const _: () = assert!(BINS <= NOT_COUNTED);

/// Largest relative error of a quantile within the grid: a step of 1/64.
pub const QUANTILE_RELATIVE_ERROR: f64 = 1.0 / PER_OCTAVE as f64;

/// Counts of non-negative values.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuantileSketch {
    counts: Vec<u64>,
    total: u64,
    /// First bin that holds a value: a sketch is folded and cleared from here to the highest value's bin only.
    lowest_bin: usize,
    /// Highest value seen, as bits: values are not negative, so their bits sort as they do.
    highest_bits: u64,
}

impl Default for QuantileSketch {
    fn default() -> Self {
        Self {
            counts: vec![0; PLACES],
            total: 0,
            lowest_bin: BINS,
            highest_bits: 0,
        }
    }
}

impl QuantileSketch {
    /// Adds a magnitude. What is not a number is counted as larger than everything.
    pub fn add(&mut self, value: f64) {
        let value = if value.is_nan() { f64::INFINITY } else { value };
        let bin = bin_of(value);
        self.counts[bin] += 1;
        self.total += 1;
        self.lowest_bin = self.lowest_bin.min(bin);
        if value > f64::from_bits(self.highest_bits) {
            self.highest_bits = value.to_bits();
        }
    }

    /// Adds the counted magnitudes of a row, each times `unit`.
    #[inline(always)]
    pub fn add_row(
        &mut self,
        values: &[f64; BLOCK_BUILDS],
        unit: f64,
        counted: &[u64; BLOCK_BUILDS],
    ) {
        let mut bins = [0_u64; BLOCK_BUILDS];
        let mut highest = 0;
        let mut lowest = NOT_COUNTED as u64;
        let mut total = 0;
        for build in 0..BLOCK_BUILDS {
            let bits = (values[build] * unit).to_bits();
            let is_counted = counted[build] != 0;
            let bin = if is_counted {
                bin_of_bits(bits)
            } else {
                NOT_COUNTED as u64
            };
            bins[build] = bin;
            lowest = if bin < lowest { bin } else { lowest };
            // what is not a number has larger bits than infinity has
            let bits = if bits > INFINITE { INFINITE } else { bits };
            let bits = if is_counted { bits } else { 0 };
            highest = if bits > highest { bits } else { highest };
            total += counted[build];
        }
        let counts: &mut [u64; PLACES] = (&mut self.counts[..])
            .try_into()
            .expect("a sketch has all its bins");
        for build in 0..BLOCK_BUILDS {
            counts[bins[build] as usize % PLACES] += 1;
        }
        counts[NOT_COUNTED] = 0;
        self.total += total;
        self.highest_bits = self.highest_bits.max(highest);
        self.lowest_bin = self.lowest_bin.min(lowest as usize);
    }

    /// Bins outside of which there is no value.
    fn span(&self) -> Range<usize> {
        if self.total == 0 {
            0..0
        } else {
            self.lowest_bin..bin_of_bits(self.highest_bits) as usize + 1
        }
    }

    /// Empties the sketch.
    pub fn clear(&mut self) {
        let span = self.span();
        self.counts[span].fill(0);
        self.total = 0;
        self.lowest_bin = BINS;
        self.highest_bits = 0;
    }

    /// Adds all of another's values; the order does not matter.
    pub fn merge(&mut self, other: &Self) {
        let span = other.span();
        let theirs = &other.counts[span.clone()];
        for (mine, theirs) in self.counts[span].iter_mut().zip(theirs) {
            *mine += theirs;
        }
        self.total += other.total;
        self.lowest_bin = self.lowest_bin.min(other.lowest_bin);
        self.highest_bits = self.highest_bits.max(other.highest_bits);
    }

    /// How many values.
    pub fn count(&self) -> u64 {
        self.total
    }

    /// The largest value, exactly; `None` without a value.
    pub fn highest(&self) -> Option<f64> {
        (self.total > 0).then(|| f64::from_bits(self.highest_bits))
    }

    /// The value below which lies the share `u` of all; `None` without a value.
    pub fn quantile(&self, u: f64) -> Option<f64> {
        if self.total == 0 {
            return None;
        }
        let rank = u.clamp(0.0, 1.0) * self.total as f64;
        let mut below = 0_u64;
        for (bin, count) in self.counts.iter().enumerate() {
            if *count > 0 && (below + count) as f64 >= rank {
                if bin == BINS - 1 {
                    return self.highest();
                }
                let within = ((rank - below as f64) / *count as f64).clamp(0.0, 1.0);
                let [low, high] = edges_of(bin);
                let highest = f64::from_bits(self.highest_bits);
                return Some((low + within * (high - low)).min(highest));
            }
            below += count;
        }
        self.highest()
    }
}

/// A sketch as it stands in files: only the bins that hold something.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SketchCounts {
    /// Number of a bin and its count, bins rising.
    bins: Vec<[u64; 2]>,
    /// The highest value's bits.
    highest_bits: u64,
}

impl QuantileSketch {
    /// For a file.
    pub(super) fn counts(&self) -> SketchCounts {
        let bins = (0_u64..).zip(&self.counts);
        SketchCounts {
            bins: bins
                .filter(|(_, count)| **count > 0)
                .map(|(bin, count)| [bin, *count])
                .collect(),
            highest_bits: self.highest_bits,
        }
    }

    /// From a file.
    ///
    /// # Errors
    /// In words, when that is no sketch of `total` values.
    pub(super) fn from_counts(counts: &SketchCounts, total: u64) -> Result<Self, String> {
        let mut sketch = Self::default();
        let mut last = None;
        for [bin, count] in &counts.bins {
            let place = usize::try_from(*bin)
                .ok()
                .filter(|bin| *bin < BINS && last.is_none_or(|last| last < *bin))
                .ok_or_else(|| {
                    format!("bin {bin} is out of order or beyond {}, the last", BINS - 1)
                })?;
            if *count == 0 {
                return Err(format!("bin {bin} is written and holds nothing"));
            }
            sketch.counts[place] = *count;
            sketch.lowest_bin = sketch.lowest_bin.min(place);
            sketch.total = sketch
                .total
                .checked_add(*count)
                .filter(|sum| *sum <= total)
                .ok_or_else(|| format!("its bins hold more than the {total} values counted"))?;
            last = Some(place);
        }
        if sketch.total != total {
            return Err(format!(
                "its bins hold {} values, where {total} were counted",
                sketch.total
            ));
        }
        sketch.highest_bits = counts.highest_bits;
        let highest = f64::from_bits(counts.highest_bits);
        let fits = match last {
            Some(bin) => highest >= 0.0 && bin_of(highest) == bin,
            None => counts.highest_bits == 0,
        };
        if fits {
            Ok(sketch)
        } else {
            Err("its highest value is not in its last bin".to_owned())
        }
    }

    /// Interval of [`Self::quantile`] at the confidence `level`: the quantiles at u ± z·√(u(1 − u)/n), the normal
    /// approximation of the order statistics' ranks, for `independent` independent values (looks at one build are not:
    /// count builds). Distribution-free; it covers sampling only. `None` without a value.
    pub fn quantile_interval(&self, u: f64, independent: u64, level: f64) -> Option<[f64; 2]> {
        if independent == 0 {
            return None;
        }
        let z = normal_quantile_wichura_1988(0.5 + level / 2.0);
        let half = z * (u * (1.0 - u) / independent as f64).sqrt();
        Some([self.quantile(u - half)?, self.quantile(u + half)?])
    }
}

fn bin_of(value: f64) -> usize {
    bin_of_bits(value.to_bits()) as usize
}

const INFINITE: u64 = f64::INFINITY.to_bits();

/// The bin of a non-negative value by its bits: their order is that of the values, and their upper end counts the steps.
/// What is not a number lies above everything.
#[inline(always)]
fn bin_of_bits(bits: u64) -> u64 {
    const STEP_BITS: u32 = 52 - PER_OCTAVE.trailing_zeros();
    const BELOW: i64 = ((1023 + LOWEST_EXPONENT as i64) << PER_OCTAVE.trailing_zeros()) - 1;
    let bin = (bits >> STEP_BITS) as i64 - BELOW;
    let bin = if bin < 0 { 0 } else { bin };
    let last = BINS as i64 - 1;
    (if bin > last { last } else { bin }) as u64
}

fn edges_of(bin: usize) -> [f64; 2] {
    let start_of = |bin: usize| {
        let octave = (bin - 1) / PER_OCTAVE;
        let step = (bin - 1) % PER_OCTAVE;
        libm::ldexp(
            1.0 + step as f64 / PER_OCTAVE as f64,
            LOWEST_EXPONENT + octave as i32,
        )
    };
    match bin {
        0 => [0.0, start_of(1)],
        _ => [start_of(bin), start_of(bin + 1)],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantiles_are_within_the_stated_error() {
        let mut sketch = QuantileSketch::default();
        let n = 100_000;
        for i in 0..n {
            sketch.add((f64::from(i) + 0.5) / f64::from(n) * 37.0);
        }
        for u in [0.05, 0.25, 0.5, 0.75, 0.95, 0.999] {
            let found = sketch.quantile(u).expect("values");
            let exact = 37.0 * u;
            assert!(
                (found / exact - 1.0).abs() <= QUANTILE_RELATIVE_ERROR,
                "{u}: {found} {exact}"
            );
        }
        assert_eq!(
            sketch.highest(),
            Some((f64::from(n) - 0.5) / f64::from(n) * 37.0)
        );
    }

    #[test]
    fn every_bin_holds_its_own_edges() {
        for bin in 1..BINS - 1 {
            let [low, high] = edges_of(bin);
            assert_eq!(bin_of(low), bin);
            assert_eq!(bin_of(f64::from_bits(high.to_bits() - 1)), bin);
        }
        assert_eq!(bin_of(0.0), 0);
        assert_eq!(bin_of(f64::NAN), BINS - 1);
        assert_eq!(bin_of(f64::INFINITY), BINS - 1);
        assert_eq!(bin_of(1e300), BINS - 1);
    }

    #[test]
    fn merging_is_adding_in_any_order() {
        let values: Vec<f64> = (0..1000).map(|i| f64::from(i * i % 977) * 0.1).collect();
        let mut whole = QuantileSketch::default();
        values.iter().for_each(|value| whole.add(*value));
        let mut parts: Vec<QuantileSketch> = values
            .chunks(130)
            .map(|chunk| {
                let mut part = QuantileSketch::default();
                chunk.iter().for_each(|value| part.add(*value));
                part
            })
            .collect();
        parts.reverse();
        let mut merged = QuantileSketch::default();
        parts.iter().for_each(|part| merged.merge(part));
        assert_eq!(merged, whole);
    }

    #[test]
    fn alike_values_and_values_beyond_the_grid_stay_within_what_is_said() {
        let mut sketch = QuantileSketch::default();
        (0..90).for_each(|_| sketch.add(1.0));
        (0..10).for_each(|_| sketch.add(100.0));
        let found = sketch.quantile(0.85).expect("values");
        assert!((found - 1.0).abs() <= QUANTILE_RELATIVE_ERROR, "{found}");
        let mut beyond = QuantileSketch::default();
        beyond.add(f64::NAN);
        assert_eq!(beyond.quantile(0.5), Some(f64::INFINITY));
    }

    #[test]
    fn a_quantiles_interval_covers_it_as_often_as_it_says() {
        // 400 samples of 500 uniform numbers on a grid shifted by a golden step: the 0.9 quantile of 0 … 1 is 0.9
        let covered = (0..400)
            .filter(|sample| {
                let mut stream = crate::sampling::Stream::new(
                    crate::sampling::StreamKey {
                        seed: 3,
                        source: 0,
                        item: *sample,
                        component: 0,
                        look: 0,
                    },
                    0,
                );
                let mut sketch = QuantileSketch::default();
                (0..500).for_each(|_| sketch.add(stream.next_uniform()));
                let [low, high] = sketch.quantile_interval(0.9, 500, 0.95).expect("values");
                (low..=high).contains(&0.9)
            })
            .count();
        // 380 expected; 5 standard errors of a binomial are 22, and the grid rounds outwards by a little
        assert!((358..=400).contains(&covered), "{covered} of 400");
    }

    #[test]
    fn an_empty_sketch_has_no_quantile() {
        assert_eq!(QuantileSketch::default().quantile(0.5), None);
    }
}
