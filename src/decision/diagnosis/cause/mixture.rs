//! A mixture of normal laws: what a number may be when several explanations are possible.

use crate::sampling::normal_cumulative;

/// One part of a mixture: weight, mean, standard deviation (0 for a value that is certain).
pub(super) type Part = (f64, f64, f64);

/// Median of the mixture: it lies within every interval, where a mean may not.
pub(super) fn median(parts: &[Part]) -> f64 {
    quantile(parts, 0.5)
}

/// Interval that holds this share of the mixture, with as much on either side outside.
pub(super) fn interval(parts: &[Part], level: f64) -> [f64; 2] {
    let outside = (1.0 - level) / 2.0;
    [quantile(parts, outside), quantile(parts, 1.0 - outside)]
}

fn cumulative(parts: &[Part], x: f64) -> f64 {
    let weight: f64 = parts.iter().map(|(weight, ..)| weight).sum();
    let below = |(weight, mean, sd): &Part| {
        let share = if *sd > 0.0 {
            normal_cumulative((x - mean) / sd)
        } else {
            f64::from(u8::from(x >= *mean))
        };
        weight * share
    };
    parts.iter().map(below).sum::<f64>() / weight
}

fn quantile(parts: &[Part], u: f64) -> f64 {
    const REACH: f64 = 10.0;
    const HALVINGS: usize = 80;
    let ends = |sign: f64| {
        parts
            .iter()
            .map(move |(_, mean, sd)| mean + sign * REACH * sd)
    };
    let mut low = ends(-1.0).fold(f64::INFINITY, f64::min);
    let mut high = ends(1.0).fold(f64::NEG_INFINITY, f64::max);
    for _ in 0..HALVINGS {
        let middle = low + (high - low) / 2.0;
        if cumulative(parts, middle) < u {
            low = middle;
        } else {
            high = middle;
        }
    }
    high
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_part_has_the_normal_laws_interval() {
        let [low, high] = interval(&[(2.0, 1.0, 0.5)], 0.95);
        assert!((low - (1.0 - 0.979_981_992_270)).abs() < 1e-9, "{low}");
        assert!((high - (1.0 + 0.979_981_992_270)).abs() < 1e-9, "{high}");
    }

    #[test]
    fn a_certain_value_stands_where_it_is() {
        assert_eq!(interval(&[(1.0, 3.0, 0.0)], 0.95), [3.0, 3.0]);
        let [low, high] = interval(&[(0.99, 0.0, 0.0), (0.01, 5.0, 0.1)], 0.95);
        assert!(low.abs() < 1e-12 && high.abs() < 1e-12);
    }
}
