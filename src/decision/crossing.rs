//! Where a share that rises or falls with one quantity crosses its target, with the interval that the share's own interval
//! leaves open.
//!
//! The share is that of a brief run, always at the same builds and looks, so it is one fixed function of the quantity and can
//! be halved upon. Where it is not quite monotone, one crossing of several is found. Source: bisection; an interval of a
//! quantity by the curves of the share's bounds is the calibration picture of inverse estimation (common practice, no source).

use crate::statistics::Proportion;

/// A share with its bounds at one value of the quantity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// Lower bound.
    pub low: f64,
    /// Estimate.
    pub estimate: f64,
    /// Upper bound.
    pub high: f64,
}

impl Band {
    /// The share `estimate` with its interval.
    pub fn new(estimate: f64, [low, high]: [f64; 2]) -> Self {
        Self {
            low,
            estimate,
            high,
        }
    }

    /// That of a proportion; `None` out of nothing.
    pub fn of(proportion: &Proportion) -> Option<Self> {
        Some(Self::new(proportion.share()?, proportion.interval()?))
    }

    fn curve(&self, curve: usize) -> f64 {
        [self.low, self.estimate, self.high][curve]
    }
}

/// Whether the share rises or falls with the quantity.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Slope {
    /// It rises: the target is met above the crossing.
    Rising,
    /// It falls: the target is met below the crossing.
    Falling,
}

/// Where the target is crossed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossing {
    /// Where the estimate crosses; `None` where it does not within the range: see `meets_at`.
    pub at: Option<f64>,
    /// On the safe side of this the whole interval of the share meets the target; `None` where it never does in the range, or
    /// does everywhere (see `meets_at`).
    pub surely: Option<f64>,
    /// Beyond this the whole interval of the share fails the target; `None` as for `surely`.
    pub possibly: Option<f64>,
    /// Whether lower bound, estimate and upper bound meet the target at the lower and at the upper end of the range.
    pub meets_at: [[bool; 3]; 2],
    /// How often the share was worked out.
    pub evaluations: u32,
}

impl Crossing {
    /// Whether the estimate meets the target nowhere in the range.
    pub fn nowhere(&self) -> bool {
        !self.meets_at[0][1] && !self.meets_at[1][1]
    }

    /// Whether the estimate meets the target at both ends of the range.
    pub fn everywhere(&self) -> bool {
        self.meets_at[0][1] && self.meets_at[1][1]
    }
}

/// Finds where `share` crosses `target` between the positive `range[0]` and `range[1]`, each crossing to within the factor
/// 1 + `within`. `None` when the share cannot be had (interrupted, or nothing counted).
pub fn crossing(
    range: [f64; 2],
    within: f64,
    target: f64,
    slope: Slope,
    share: &mut dyn FnMut(f64) -> Option<Band>,
) -> Option<Crossing> {
    let mut known = Vec::new();
    for at in range {
        known.push((at, share(at)?));
    }
    let meets = |band: &Band, curve: usize| band.curve(curve) >= target;
    let meets_at = [0, 1].map(|end| [0, 1, 2].map(|curve| meets(&known[end].1, curve)));
    let mut found = [None; 3];
    // the estimate first: its halvings narrow the other two
    for curve in [1, 0, 2] {
        let wanted = match slope {
            Slope::Rising => [false, true],
            Slope::Falling => [true, false],
        };
        if [meets_at[0][curve], meets_at[1][curve]] != wanted {
            continue;
        }
        // the narrowest stretch known over which this curve crosses
        let below = |band: &Band| meets(band, curve) == wanted[0];
        let mut low = range[0];
        for (at, band) in &known {
            if below(band) {
                low = *at;
            } else {
                break;
            }
        }
        let next = known.iter().position(|(at, _)| *at > low)?;
        let mut high = known[next].0;
        while high > low * (1.0 + within) {
            let middle = (low * high).sqrt();
            let band = share(middle)?;
            let place = known.partition_point(|(at, _)| *at < middle);
            known.insert(place, (middle, band));
            if below(&band) {
                low = middle;
            } else {
                high = middle;
            }
        }
        // on the side that meets
        found[curve] = Some(match slope {
            Slope::Rising => high,
            Slope::Falling => low,
        });
    }
    Some(Crossing {
        at: found[1],
        surely: found[0],
        possibly: found[2],
        meets_at,
        evaluations: known.len() as u32,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn falling(x: f64) -> Band {
        let share = 1.0 / (1.0 + x);
        Band::new(share, [share - 0.05, share + 0.05])
    }

    #[test]
    fn the_crossings_of_a_known_curve_are_found_within_what_was_asked() {
        let mut share = |x| Some(falling(x));
        let found = crossing([0.01, 100.0], 1e-4, 0.5, Slope::Falling, &mut share).expect("known");
        // 1/(1 + x) = 0.5, 0.55, 0.45
        for (found, exact) in [
            (found.at, 1.0),
            (found.surely, 1.0 / 0.55 - 1.0),
            (found.possibly, 1.0 / 0.45 - 1.0),
        ] {
            let found = found.expect("crosses");
            assert!(
                found <= exact && found > exact * (1.0 - 2e-4),
                "{found} {exact}"
            );
        }
        let mut rising = |x: f64| Some(falling(1.0 / x));
        let found = crossing([0.01, 100.0], 1e-4, 0.5, Slope::Rising, &mut rising).expect("known");
        let at = found.at.expect("crosses");
        assert!((1.0..1.0002).contains(&at), "{at}");
        assert!(found.surely > found.at && found.possibly < found.at);
    }

    #[test]
    fn a_range_without_a_crossing_says_which_side_it_lies_on() {
        let mut share = |x| Some(falling(x));
        let below = crossing([0.01, 0.1], 1e-3, 0.5, Slope::Falling, &mut share).expect("known");
        assert!(below.everywhere() && below.at.is_none() && !below.nowhere());
        let beyond = crossing([10.0, 100.0], 1e-3, 0.5, Slope::Falling, &mut share).expect("known");
        assert!(beyond.nowhere() && beyond.at.is_none() && !beyond.everywhere());
        assert_eq!(beyond.evaluations, 2);
        assert!(crossing([1.0, 2.0], 1e-3, 0.5, Slope::Falling, &mut |_| None).is_none());
    }
}
