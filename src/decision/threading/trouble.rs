//! What an order of threading costs: crossings first, then line; as one whole number, so that sums do not hang on their order.

use std::fmt;
use std::ops::{Add, AddAssign, Neg, Sub};

/// Units of length in a millimetre: lengths that differ by less than a nanometre count as the same.
const UNITS_PER_MM: f64 = 1e6;
/// Bits that lengths take: 1000 ways of 500 km each.
const LENGTH_BITS: u32 = 60;
/// Longest single way, units.
const LONGEST: f64 = (1_u64 << 49) as f64;

/// Crossings and, behind them, length: less is better, and a crossing outweighs any length. Differences of two may be
/// negative.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Trouble(i128);

impl Trouble {
    /// No crossing and no line.
    pub const NONE: Self = Self(0);
    /// More than any order has.
    pub const MOST: Self = Self(i128::MAX >> 1);

    /// So many crossings and so many mm of line.
    pub fn new(crossings: usize, length_mm: f64) -> Self {
        let units = (length_mm * UNITS_PER_MM).round().clamp(0.0, LONGEST);
        Self(((crossings as i128) << LENGTH_BITS) + units as i128)
    }

    /// Crossings alone.
    pub fn of_crossings(crossings: usize) -> Self {
        Self((crossings as i128) << LENGTH_BITS)
    }

    /// How many crossings.
    pub fn crossings(self) -> usize {
        (self.0 >> LENGTH_BITS).max(0) as usize
    }

    /// How much line, mm.
    pub fn length_mm(self) -> f64 {
        (self.0 & ((1 << LENGTH_BITS) - 1)) as f64 / UNITS_PER_MM
    }
}

impl Add for Trouble {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl AddAssign for Trouble {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}

impl Sub for Trouble {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Neg for Trouble {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl fmt::Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} crossings, {} mm", self.crossings(), self.length_mm())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_crossing_outweighs_any_length_and_sums_keep_both() {
        assert!(Trouble::new(1, 0.0) > Trouble::new(0, 1e8));
        assert!(Trouble::new(0, 1.0) < Trouble::new(0, 1.000_01));
        let sum = Trouble::new(2, 10.5) + Trouble::new(1, 0.25) - Trouble::of_crossings(2);
        assert_eq!((sum.crossings(), sum.length_mm()), (1, 10.75));
        assert_eq!(Trouble::new(0, f64::INFINITY).crossings(), 0);
    }
}
