//! How two ratios over the same builds differ, and whether the difference is more than chance: shares of looks, root mean
//! squares over looks.
//!
//! A side's ratio is Σy/Σn over builds, with n looks at a build and y of something among them. Its variance, and that of the
//! difference of two over the same builds, are those of ratio estimators: the builds are the clusters, and each has a
//! linearised residual (W. G. Cochran, Sampling Techniques, 3rd ed. 1977, ch. 2 and 9, from memory).

use super::difference::{Difference, interval_of_difference};
use super::interval::interval_of_share;
use crate::sampling::normal_quantile_wichura_1988;

/// Sums of one side, over builds with y among n looks: Σy, Σn, Σy², Σn², Σyn.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
struct Side {
    builds: u64,
    sums: [f64; 2],
    squares: [f64; 3],
}

/// Two ratios, over the same builds or over builds that have nothing to do with each other. What is added in a fixed order
/// gives the same bits.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct PairedRatios {
    sides: [Side; 2],
    /// Σy₁y₂, Σy₁n₂, Σn₁y₂, Σn₁n₂ over the builds that were added as pairs.
    cross: [f64; 4],
    pairs: u64,
}

/// Where the sums of products cancel to less than this share of themselves nothing is left but rounding.
const ROUNDING: f64 = 1e-12;

impl Side {
    fn add(&mut self, [y, n]: [f64; 2]) {
        self.builds += 1;
        self.sums[0] += y;
        self.sums[1] += n;
        self.squares[0] += y * y;
        self.squares[1] += n * n;
        self.squares[2] += y * n;
    }

    fn fold(&mut self, other: &Self) {
        self.builds += other.builds;
        for (sum, more) in self.sums.iter_mut().zip(other.sums) {
            *sum += more;
        }
        for (sum, more) in self.squares.iter_mut().zip(other.squares) {
            *sum += more;
        }
    }

    fn ratio(&self) -> Option<f64> {
        let [y, n] = self.sums;
        (n > 0.0 && y.is_finite()).then(|| y / n)
    }

    /// What y and n of a build weigh in its residual, of a ratio that is seen with the slope `slope`.
    fn weights(&self, slope: f64) -> Option<[f64; 2]> {
        let per_mean = slope * self.builds as f64 / self.sums[1];
        Some([per_mean, -per_mean * self.ratio()?])
    }

    /// Σe² of its residuals.
    fn residuals(&self, [a, b]: [f64; 2]) -> f64 {
        let [yy, nn, yn] = self.squares;
        cancelled(&[a * a * yy, b * b * nn, 2.0 * a * b * yn])
    }
}

/// A sum of squares from terms that cancel; what is left by rounding alone is 0.
fn cancelled(terms: &[f64]) -> f64 {
    let sum: f64 = terms.iter().sum();
    let size: f64 = terms.iter().map(|term| term.abs()).sum();
    if sum > ROUNDING * size { sum } else { 0.0 }
}

impl PairedRatios {
    /// Adds a build that both sides have: y and n of each.
    pub fn add(&mut self, pair: [[f64; 2]; 2]) {
        let [[y_1, n_1], [y_2, n_2]] = pair;
        for (side, one) in self.sides.iter_mut().zip(pair) {
            side.add(one);
        }
        let products = [y_1 * y_2, y_1 * n_2, n_1 * y_2, n_1 * n_2];
        for (sum, product) in self.cross.iter_mut().zip(products) {
            *sum += product;
        }
        self.pairs += 1;
    }

    /// Adds a build that only side `side` has.
    pub fn add_to(&mut self, side: usize, one: [f64; 2]) {
        self.sides[side].add(one);
    }

    /// Adds all builds of another task.
    pub fn fold(&mut self, other: &Self) {
        for (side, more) in self.sides.iter_mut().zip(&other.sides) {
            side.fold(more);
        }
        for (sum, more) in self.cross.iter_mut().zip(other.cross) {
            *sum += more;
        }
        self.pairs += other.pairs;
    }

    /// Σy and Σn of a side.
    pub fn counts(&self, side: usize) -> [f64; 2] {
        self.sides[side].sums
    }

    /// The ratio of a side; `None` without a look.
    pub fn ratio(&self, side: usize) -> Option<f64> {
        self.sides[side].ratio()
    }

    /// The share of a side with its interval: Wilson's, with as many independent looks as would scatter as the builds do
    /// (see [`interval_of_clustered_share`](super::interval_of_clustered_share)). `None` without a look.
    pub fn share(&self, side: usize, level: f64) -> Option<(f64, [f64; 2])> {
        let one = &self.sides[side];
        let share = one.ratio()?;
        let n = one.builds as f64;
        let variance = (one.builds > 1)
            .then(|| Some(one.residuals(one.weights(1.0)?) / (n * (n - 1.0))))
            .flatten();
        Some((share, interval_of_share(share, variance, n, level)))
    }

    /// The root of a side's ratio of squares with its normal interval; `None` without a look or with a single build.
    pub fn root(&self, side: usize, level: f64) -> Option<(f64, [f64; 2])> {
        let root = self.ratio(side)?.sqrt();
        let half = bound(level)? * self.variance_of_root(side)?.sqrt();
        Some((root, [(root - half).max(0.0), root + half]))
    }

    fn variance_of_root(&self, side: usize) -> Option<f64> {
        let one = &self.sides[side];
        let n = one.builds as f64;
        let residuals = one.residuals(one.weights(slope_of_root(one.ratio()?))?);
        (one.builds > 1).then(|| residuals / (n * (n - 1.0)))
    }

    fn are_paired(&self) -> bool {
        self.sides
            .iter()
            .all(|side| side.builds == self.pairs && self.pairs > 0)
    }

    /// Σe² of the difference's residuals over the pairs.
    fn residuals_of_difference(&self, slopes: [f64; 2]) -> Option<f64> {
        let [first, second] = &self.sides;
        let [a_1, b_1] = first.weights(-slopes[0])?;
        let [a_2, b_2] = second.weights(slopes[1])?;
        let [yy, yn, ny, nn] = self.cross;
        let ([yy_1, nn_1, yn_1], [yy_2, nn_2, yn_2]) = (first.squares, second.squares);
        Some(cancelled(&[
            a_1 * a_1 * yy_1,
            b_1 * b_1 * nn_1,
            2.0 * a_1 * b_1 * yn_1,
            a_2 * a_2 * yy_2,
            b_2 * b_2 * nn_2,
            2.0 * a_2 * b_2 * yn_2,
            2.0 * a_1 * a_2 * yy,
            2.0 * a_1 * b_2 * yn,
            2.0 * b_1 * a_2 * ny,
            2.0 * b_1 * b_2 * nn,
        ]))
    }

    /// How the two shares differ; `None` where a side has no look. Over the same builds the interval is the clustered
    /// counterpart of Agresti & Min's (see [`PairedDifference`](super::PairedDifference)), and with one look at each build it
    /// is theirs: the normal one after half a build was added in which only the second does, half a build in which only the
    /// first does, and one build without a difference. Over builds that have nothing to do with each other it is Newcombe's
    /// hybrid score interval from the two shares' own.
    pub fn share_difference(&self, level: f64) -> Option<Difference> {
        let (first, second) = (self.share(0, level)?, self.share(1, level)?);
        let difference = second.0 - first.0;
        if !self.are_paired() {
            return Some(Difference {
                difference,
                interval: interval_of_difference([first, second]),
            });
        }
        let builds = self.pairs as f64;
        let squares =
            self.residuals_of_difference([1.0; 2])? + builds * difference * difference + 1.0;
        let more = builds + 2.0;
        let middle = difference * builds / more;
        let half = bound(level)? * ((squares / more - middle * middle).max(0.0) / more).sqrt();
        Some(Difference {
            difference,
            interval: [(middle - half).max(-1.0), (middle + half).min(1.0)],
        })
    }

    /// How the two roots differ, with the normal interval; `None` where a side has no look or a single build.
    pub fn root_difference(&self, level: f64) -> Option<Difference> {
        let ratios = [self.ratio(0)?, self.ratio(1)?];
        let difference = ratios[1].sqrt() - ratios[0].sqrt();
        let variance = if self.are_paired() {
            let n = self.pairs as f64;
            let residuals = self.residuals_of_difference(ratios.map(slope_of_root))?;
            (self.pairs > 1).then(|| residuals / (n * (n - 1.0)))?
        } else {
            self.variance_of_root(0)? + self.variance_of_root(1)?
        };
        let half = bound(level)? * variance.sqrt();
        Some(Difference {
            difference,
            interval: [difference - half, difference + half],
        })
    }
}

/// Slope of the root at `ratio`; 0 at 0, where nothing scatters.
fn slope_of_root(ratio: f64) -> f64 {
    if ratio > 0.0 { 0.5 / ratio.sqrt() } else { 0.0 }
}

fn bound(level: f64) -> Option<f64> {
    (level > 0.0 && level < 1.0).then(|| normal_quantile_wichura_1988(0.5 + level / 2.0))
}

#[cfg(test)]
mod tests {
    use super::super::{ClusteredShare, PairedDifference, interval_of_clustered_share};
    use super::*;

    /// Builds with some looks each, the second side a little better, both from the same whole numbers.
    fn builds() -> Vec<[[f64; 2]; 2]> {
        (0..400_u32)
            .map(|i| {
                let n = 3 + i % 4;
                let first = (i * i / 7) % (n + 1);
                let second = (first + u32::from(i % 3 == 0)).min(n);
                let n_2 = n + i % 2;
                [[first, n], [second, n_2]].map(|one| one.map(f64::from))
            })
            .collect()
    }

    fn added(builds: &[[[f64; 2]; 2]]) -> PairedRatios {
        let mut all = PairedRatios::default();
        builds.iter().for_each(|pair| all.add(*pair));
        all
    }

    #[test]
    fn with_one_look_at_each_build_the_interval_is_that_of_paired_trials() {
        let mut ratios = PairedRatios::default();
        for (pair, times) in [([1, 1], 40), ([0, 1], 12), ([1, 0], 5), ([0, 0], 33)] {
            (0..times).for_each(|_| ratios.add(pair.map(|y| [f64::from(y), 1.0])));
        }
        let found = ratios.share_difference(0.95).expect("looks");
        let plain = PairedDifference::new(12, 5, 90, 0.95).expect("trials");
        assert!((found.difference - plain.difference).abs() < 1e-15);
        for (one, other) in found.interval.iter().zip(plain.interval) {
            assert!((one - other).abs() < 1e-12, "{one} {other}");
        }
    }

    #[test]
    fn residuals_summed_one_by_one_give_the_same_interval() {
        let builds = builds();
        let ratios = added(&builds);
        let n = builds.len() as f64;
        let mean =
            |side: usize, what: usize| builds.iter().map(|pair| pair[side][what]).sum::<f64>() / n;
        let r = [0, 1].map(|side| mean(side, 0) / mean(side, 1));
        let residual = |pair: &[[f64; 2]; 2], slopes: [f64; 2]| {
            let one = |side: usize| {
                slopes[side] * (pair[side][0] - r[side] * pair[side][1]) / mean(side, 1)
            };
            one(1) - one(0)
        };
        let squares = |slopes: [f64; 2]| -> f64 {
            builds
                .iter()
                .map(|pair| residual(pair, slopes).powi(2))
                .sum()
        };
        let z = 1.959_963_984_540_054;
        let d = r[1] - r[0];
        let middle = d * n / (n + 2.0);
        let half = z
            * (((squares([1.0; 2]) + n * d * d + 1.0) / (n + 2.0) - middle * middle) / (n + 2.0))
                .sqrt();
        let found = ratios.share_difference(0.95).expect("looks");
        assert!((found.interval[0] - (middle - half)).abs() < 1e-10);
        assert!((found.interval[1] - (middle + half)).abs() < 1e-10);
        let roots = r.map(f64::sqrt);
        let half = z * (squares(roots.map(|root| 0.5 / root)) / (n * (n - 1.0))).sqrt();
        let found = ratios.root_difference(0.95).expect("looks");
        assert!((found.difference - (roots[1] - roots[0])).abs() < 1e-12);
        assert!((found.half_width() - half).abs() < 1e-10);
    }

    #[test]
    fn a_side_has_the_interval_of_a_share_of_looks_that_come_in_builds() {
        let builds = builds();
        let mut share = ClusteredShare::default();
        builds
            .iter()
            .for_each(|pair| share.add(pair[1][0], pair[1][1] as u64));
        let (found, interval) = added(&builds).share(1, 0.9).expect("looks");
        let expected = interval_of_clustered_share(&share, 0.9).expect("looks");
        assert!((found - share.share().expect("looks")).abs() < 1e-15);
        for (one, other) in interval.iter().zip(expected) {
            assert!((one - other).abs() < 1e-10, "{one} {other}");
        }
    }

    #[test]
    fn two_sides_that_are_the_same_do_not_differ_and_pairing_narrows() {
        let same: Vec<_> = builds().iter().map(|[first, _]| [*first; 2]).collect();
        let found = added(&same).share_difference(0.95).expect("looks");
        assert_eq!(found.difference, 0.0);
        assert!(!found.is_more_than_chance());
        let root = added(&same).root_difference(0.95).expect("looks");
        assert_eq!(root.interval, [0.0, 0.0]);
        let paired = added(&builds()).share_difference(0.95).expect("looks");
        let mut apart = PairedRatios::default();
        for pair in builds() {
            apart.add_to(0, pair[0]);
            apart.add_to(1, pair[1]);
        }
        let apart = apart.share_difference(0.95).expect("looks");
        assert_eq!(paired.difference, apart.difference);
        assert!(paired.half_width() < 0.5 * apart.half_width());
        assert!(paired.is_more_than_chance());
        assert_eq!(PairedRatios::default().share_difference(0.95), None);
    }
}
