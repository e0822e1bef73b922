//! A difference with its interval; of two shares of independent trials it is Newcombe's hybrid score interval.
//!
//! Source: R. G. Newcombe, Statistics in Medicine 17 (1998) 873, method 10 (from memory): the two shares' own score intervals,
//! squared and added.

use super::interval::interval_wilson_1927;

/// A difference, second less first, with its interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Difference {
    /// Second less first.
    pub difference: f64,
    /// Its interval.
    pub interval: [f64; 2],
}

impl Difference {
    /// Half of the interval's width.
    pub fn half_width(&self) -> f64 {
        (self.interval[1] - self.interval[0]) / 2.0
    }

    /// Whether the whole interval lies on one side of 0.
    pub fn is_more_than_chance(&self) -> bool {
        self.interval[0] > 0.0 || self.interval[1] < 0.0
    }
}

/// Interval of the difference of two independent shares, second less first, from each share and its own interval.
pub fn interval_of_difference([first, second]: [(f64, [f64; 2]); 2]) -> [f64; 2] {
    let (share_1, [low_1, high_1]) = first;
    let (share_2, [low_2, high_2]) = second;
    let difference = share_2 - share_1;
    let below = hypotenuse(share_2 - low_2, high_1 - share_1);
    let above = hypotenuse(high_2 - share_2, share_1 - low_1);
    [
        (difference - below).max(-1.0),
        (difference + above).min(1.0),
    ]
}

fn hypotenuse(a: f64, b: f64) -> f64 {
    (a * a + b * b).sqrt()
}

/// How two shares of independent trials differ, second less first, of trials that did among so many; `None` without trials,
/// with more that did than were tried, or for a level outside (0, 1).
pub fn difference_newcombe_1998(
    first: [u64; 2],
    second: [u64; 2],
    level: f64,
) -> Option<Difference> {
    let own = |[did, of]: [u64; 2]| {
        let interval = interval_wilson_1927(did, of, level)?;
        Some((did as f64 / of as f64, interval))
    };
    let (first, second) = (own(first)?, own(second)?);
    Some(Difference {
        difference: second.0 - first.0,
        interval: interval_of_difference([first, second]),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sides_that_change_places_change_the_sign() {
        let there = difference_newcombe_1998([48, 80], [56, 70], 0.95).expect("trials");
        let back = difference_newcombe_1998([56, 70], [48, 80], 0.95).expect("trials");
        assert_eq!(there.difference, -back.difference);
        assert_eq!(there.interval[0], -back.interval[1]);
        assert_eq!(there.interval[1], -back.interval[0]);
        assert!(there.is_more_than_chance());
        assert_eq!(difference_newcombe_1998([1, 0], [1, 2], 0.95), None);
        assert_eq!(difference_newcombe_1998([3, 2], [1, 2], 0.95), None);
    }

    #[test]
    fn nothing_of_nothing_leaves_each_sides_own_doubt() {
        // 0 of n against 0 of m: the ends are the upper ends of the two score intervals, z²/(n + z²)
        let z2 = 1.959_963_984_540_054_f64.powi(2);
        let found = difference_newcombe_1998([0, 15], [0, 29], 0.95).expect("trials");
        assert!((found.interval[0] + z2 / (15.0 + z2)).abs() < 1e-12);
        assert!((found.interval[1] - z2 / (29.0 + z2)).abs() < 1e-12);
    }
}
