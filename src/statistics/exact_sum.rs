//! A sum that is exact, and so the same in any order and grouping.
//!
//! The sum is a whole number of units of 2⁻¹⁶⁰ with 256 bits. A value goes in as the nearest whole number of units (halves to
//! even): exactly when it is 0 or at least 2⁻¹⁰⁸ (its last bit is then no finer than the unit), to within 2⁻¹⁶¹ otherwise.
//! Squares of angles down to 10⁻¹⁶ rad (2⁻¹⁰⁶) are so kept in full. Values of 2⁶⁰ and more, and what is not a number, make
//! the sum out of range for good; at least 2³⁵ others fit in, and the engine adds one a task of builds.
//! Whole numbers with carry: D. E. Knuth, The Art of Computer Programming, vol. 2, 4.3.1 (from memory).

use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::fmt;
use std::ops::AddAssign;
use std::str::FromStr;

/// The unit is two to minus this.
const UNIT_EXPONENT: i32 = 160;
/// Values at or beyond two to this are out of range.
const RANGE_EXPONENT: i32 = 60;

/// An exact sum of floating-point numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct ExactSum {
    /// Units of 2⁻³², the upper half of a two's complement number.
    high: i128,
    /// Units of 2⁻¹⁶⁰, the lower half.
    low: u128,
    out_of_range: bool,
}

impl ExactSum {
    /// What a sum becomes that cannot be held.
    const OUT_OF_RANGE: Self = Self {
        high: 0,
        low: 0,
        out_of_range: true,
    };

    /// One value as a whole number of units; halves go to even.
    pub fn of(value: f64) -> Self {
        const FRACTION_BITS: i32 = 52;
        let magnitude = value.abs();
        if !(magnitude < libm::ldexp(1.0, RANGE_EXPONENT)) {
            return Self::OUT_OF_RANGE;
        }
        let bits = magnitude.to_bits();
        let fraction = u128::from(bits & ((1 << FRACTION_BITS) - 1));
        let exponent = (bits >> FRACTION_BITS) as i32;
        // subnormal numbers lie far below the unit
        let (digits, exponent) = match exponent {
            0 => (fraction, -1074),
            _ => (
                fraction | 1 << FRACTION_BITS,
                exponent - 1023 - FRACTION_BITS,
            ),
        };
        let sum = Self::shifted(digits, exponent + UNIT_EXPONENT);
        if value < 0.0 { sum.negated() } else { sum }
    }

    /// `digits` (at most 53 bits) times two to `shift`, to the nearest whole number.
    fn shifted(digits: u128, shift: i32) -> Self {
        let (high, low) = match shift {
            128.. => (digits << (shift - 128), 0),
            1..128 => (digits >> (128 - shift), digits << shift),
            0 => (0, digits),
            -64..0 => {
                let dropped = -shift;
                let whole = digits >> dropped;
                let rest = digits & ((1 << dropped) - 1);
                let half = 1_u128 << (dropped - 1);
                let up = rest > half || (rest == half && whole & 1 == 1);
                (0, whole + u128::from(up))
            }
            _ => (0, 0),
        };
        Self {
            // below 2⁶⁰ the upper half has at most 92 bits: far from the sign
            high: high.cast_signed(),
            low,
            out_of_range: false,
        }
    }

    /// A whole number.
    pub fn of_whole(number: u64) -> Self {
        Self {
            high: i128::from(number) << (UNIT_EXPONENT - 128),
            low: 0,
            out_of_range: false,
        }
    }

    fn negated(self) -> Self {
        let (low, carry) = (!self.low).overflowing_add(1);
        match (!self.high).checked_add(i128::from(carry)) {
            Some(high) if !self.out_of_range => Self {
                high,
                low,
                out_of_range: false,
            },
            _ => Self::OUT_OF_RANGE,
        }
    }

    /// Whether the sum is below 0.
    pub fn is_negative(self) -> bool {
        self.high < 0
    }

    /// Whether the sum is 0.
    pub fn is_zero(self) -> bool {
        self == Self::default()
    }

    /// Whether this sum is larger than `other`; `None` when one of them is out of range.
    pub fn exceeds(self, other: Self) -> Option<bool> {
        (!self.out_of_range && !other.out_of_range)
            .then_some((self.high, self.low) > (other.high, other.low))
    }

    /// The sum as the nearest floating-point number, halves to even; `None` when it is out of range.
    pub fn value(self) -> Option<f64> {
        if self.out_of_range {
            return None;
        }
        let (high, low) = self.magnitude();
        let (top, exponent) = match high {
            0 => (low, 0),
            _ => {
                let free = high.leading_zeros();
                let (top, rest) = match free {
                    0 => (high, low),
                    _ => (high << free | low >> (128 - free), low << free),
                };
                // a last bit far below the rounding stands for all that was cut off
                (top | u128::from(rest != 0), 128 - free.cast_signed())
            }
        };
        // whole numbers become floating-point numbers by rounding to nearest, halves to even
        let value = libm::ldexp(top as f64, exponent - UNIT_EXPONENT);
        Some(if self.is_negative() { -value } else { value })
    }

    /// Both halves of the sum without its sign.
    fn magnitude(self) -> (u128, u128) {
        if self.high >= 0 {
            return (self.high.cast_unsigned(), self.low);
        }
        let (low, carry) = (!self.low).overflowing_add(1);
        (
            (!self.high.cast_unsigned()).wrapping_add(u128::from(carry)),
            low,
        )
    }
}

impl AddAssign for ExactSum {
    fn add_assign(&mut self, other: Self) {
        let (low, carry) = self.low.overflowing_add(other.low);
        let high = self
            .high
            .checked_add(other.high)
            .and_then(|high| high.checked_add(i128::from(carry)));
        *self = match high {
            Some(high) if !self.out_of_range && !other.out_of_range => Self {
                high,
                low,
                out_of_range: false,
            },
            _ => Self::OUT_OF_RANGE,
        };
    }
}

const OUT_OF_RANGE_WORDS: &str = "out of range";

/// Units in hexadecimal digits, as in files.
impl fmt::Display for ExactSum {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.out_of_range {
            return f.write_str(OUT_OF_RANGE_WORDS);
        }
        let sign = if self.is_negative() { "-" } else { "" };
        match self.magnitude() {
            (0, low) => write!(f, "{sign}{low:x}"),
            (high, low) => write!(f, "{sign}{high:x}{low:032x}"),
        }
    }
}

impl Serialize for ExactSum {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for ExactSum {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse().map_err(D::Error::custom)
    }
}

/// The text is not what [`ExactSum`] writes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NoExactSum;

impl fmt::Display for NoExactSum {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a sum must be at most 62 hexadecimal digits with or without a minus")
    }
}

impl FromStr for ExactSum {
    type Err = NoExactSum;

    /// # Errors
    /// [`NoExactSum`] unless the text is as [`ExactSum`] writes it, and so far from the end of the range that adding some
    /// more of them keeps within it.
    fn from_str(text: &str) -> Result<Self, NoExactSum> {
        const DIGITS: usize = 62;
        const LOW_DIGITS: usize = 32;
        if text == OUT_OF_RANGE_WORDS {
            return Ok(Self::OUT_OF_RANGE);
        }
        let digits = text.strip_prefix('-').unwrap_or(text);
        let sound = (1..=DIGITS).contains(&digits.len())
            && digits
                .bytes()
                .all(|c| matches!(c, b'0'..=b'9' | b'a'..=b'f'));
        if !sound {
            return Err(NoExactSum);
        }
        let half = |digits: &str| match digits {
            "" => Ok(0),
            _ => u128::from_str_radix(digits, 16).map_err(|_| NoExactSum),
        };
        let (high, low) = digits.split_at(digits.len().saturating_sub(LOW_DIGITS));
        let sum = Self {
            high: half(high)?.cast_signed(),
            low: half(low)?,
            out_of_range: false,
        };
        let sum = if digits.len() < text.len() {
            sum.negated()
        } else {
            sum
        };
        // one way to write each sum: no leading zero, no minus before 0
        if sum.to_string() == text {
            Ok(sum)
        } else {
            Err(NoExactSum)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sampling::{Stream, StreamKey};

    fn sum_of(values: impl IntoIterator<Item = f64>) -> ExactSum {
        let mut sum = ExactSum::default();
        values
            .into_iter()
            .for_each(|value| sum += ExactSum::of(value));
        sum
    }

    /// Numbers of both signs between 2⁻¹⁰⁰ and 2⁵⁰.
    fn numbers(count: usize) -> Vec<f64> {
        let key = StreamKey {
            seed: 11,
            source: 0,
            item: 0,
            component: 0,
            look: 0,
        };
        let mut stream = Stream::new(key, 0);
        (0..count)
            .map(|_| {
                let exponent = (stream.next_uniform() * 150.0) as i32 - 100;
                libm::ldexp(2.0 * stream.next_uniform() - 1.0, exponent)
            })
            .collect()
    }

    #[test]
    fn a_value_that_fits_comes_out_as_it_went_in() {
        let largest = libm::ldexp(1.0, RANGE_EXPONENT) * (1.0 - f64::EPSILON / 2.0);
        let edges = [0.0, 1.0, 0.1, 1e-3, 1e15, largest, libm::ldexp(1.0, -160)];
        for value in edges.into_iter().chain(numbers(20_000)) {
            for value in [value, -value] {
                let found = ExactSum::of(value).value().expect("in range");
                assert_eq!(found, value, "{value:e}");
            }
        }
    }

    #[test]
    fn what_is_finer_than_the_unit_is_rounded_half_to_even() {
        let unit = libm::ldexp(1.0, -UNIT_EXPONENT);
        for (units, expected) in [
            (0.5, 0.0),
            (0.75, 1.0),
            (1.5, 2.0),
            (2.5, 2.0),
            (2.500001, 3.0),
            (3.5, 4.0),
            (0.25, 0.0),
        ] {
            for sign in [1.0, -1.0] {
                let found = ExactSum::of(sign * units * unit).value().expect("in range");
                assert_eq!(found, sign * expected * unit, "{units}");
            }
        }
        assert!(ExactSum::of(f64::from_bits(1)).is_zero());
        assert!(ExactSum::of(1e-300).is_zero());
    }

    #[test]
    fn a_sum_is_rounded_once_at_its_end() {
        // 1 + 2⁻⁵³ lies half-way between two numbers and goes to the even one; a little more goes up
        let half = libm::ldexp(1.0, -53);
        assert_eq!(sum_of([1.0, half]).value(), Some(1.0));
        assert_eq!(
            sum_of([1.0, half, libm::ldexp(1.0, -150)]).value(),
            Some(1.0 + f64::EPSILON)
        );
        assert_eq!(
            sum_of([1.0, half, 2.0 * half]).value(),
            Some(1.0 + 2.0 * f64::EPSILON)
        );
        // what floating point loses is kept
        assert_eq!(sum_of([1e15, 1e-20, -1e15]).value(), Some(1e-20));
        assert_eq!(sum_of(std::iter::repeat_n(0.1, 10)).value(), Some(1.0));
    }

    #[test]
    fn any_order_and_grouping_gives_the_same_sum() {
        let values = numbers(3000);
        let whole = sum_of(values.iter().copied());
        let backwards = sum_of(values.iter().rev().copied());
        assert_eq!(whole, backwards);
        for size in [1, 7, 500, 2999] {
            let mut grouped = ExactSum::default();
            values
                .chunks(size)
                .rev()
                .for_each(|chunk| grouped += sum_of(chunk.iter().copied()));
            assert_eq!(whole, grouped, "groups of {size}");
        }
        assert!(sum_of(values.iter().flat_map(|value| [*value, -value])).is_zero());
    }

    #[test]
    fn whole_numbers_are_exact() {
        for number in [0, 1, 3, 1_000_000_007, 1 << 50] {
            assert_eq!(ExactSum::of_whole(number), ExactSum::of(number as f64));
        }
        assert_eq!(
            ExactSum::of_whole(2).exceeds(ExactSum::of_whole(1)),
            Some(true)
        );
        assert_eq!(ExactSum::of(-2.0).exceeds(ExactSum::of(1.0)), Some(false));
    }

    #[test]
    fn out_of_range_stays_out_of_range_in_any_order() {
        for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 2e18, -2e18] {
            let sum = sum_of([1.0, value, -1.0]);
            assert_eq!(sum, sum_of([value, -1.0, 1.0]));
            assert_eq!(sum.value(), None, "{value}");
            assert_eq!(sum.to_string().parse(), Ok(sum));
        }
        let mut sum = ExactSum {
            high: i128::MAX,
            low: u128::MAX,
            out_of_range: false,
        };
        sum += ExactSum::of(1.0);
        assert_eq!(sum, ExactSum::OUT_OF_RANGE);
    }

    #[test]
    fn a_sum_is_read_back_from_its_text_and_nothing_else_is_read() {
        for value in numbers(2000)
            .into_iter()
            .chain([0.0, 1.0, -1.0, 1e15, -1e15])
        {
            let sum = ExactSum::of(value);
            assert_eq!(sum.to_string().parse(), Ok(sum), "{value:e}");
        }
        let too_long = "1".repeat(63);
        for text in [
            "", "-", "-0", "00", "01", "+1", "A", "0x1", "1.5", " 1", "1 ", "--1", "é", &too_long,
        ] {
            assert_eq!(text.parse::<ExactSum>(), Err(NoExactSum), "{text}");
        }
    }
}
