//! The shift, rotation and uniform scale (no mirror) that fit one set of directions to another best.
//!
//! S minimises Σ|S(target) − seen|² with equal weights. In complex numbers S(w) = A·w + B, and least squares gives
//! A = Σ conj(w − w̄)(θ − θ̄) / Σ|w − w̄|², B = θ̄ − A·w̄. A mirror cannot arise: A is a rotation and a scale.
//! Source of the general problem: S. Umeyama, IEEE PAMI 13 (1991) 376; in the plane the closed form above is the
//! same minimiser among proper rotations.

use super::Pair;

/// S(w) = A·w + B with A = (`cos_part`, `sin_part`).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Similarity {
    cos_part: f64,
    sin_part: f64,
    shift: Pair,
    per_size_squared: f64,
}

/// Why no similarity could be fitted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SimilarityError {
    /// All targets are one point, or there is none.
    TargetsCoincide,
    /// The best scale is 0, or no number whose square can be held: the fit cannot be undone.
    ScaleVanishes,
}

/// What every fit to the same targets shares.
#[derive(Debug, Clone, PartialEq)]
pub struct FitTargets {
    /// Targets less their mean.
    pub centred: Vec<Pair>,
    mean: Pair,
    per_count: f64,
    per_spread: f64,
}

impl FitTargets {
    /// Prepares fits to `targets`.
    ///
    /// # Errors
    /// [`SimilarityError::TargetsCoincide`].
    pub fn new(targets: &[Pair]) -> Result<Self, SimilarityError> {
        let per_count = 1.0 / targets.len() as f64;
        let mean = targets.iter().sum::<Pair>() * per_count;
        let centred: Vec<Pair> = targets.iter().map(|w| w - mean).collect();
        let spread: f64 = centred.iter().map(Pair::norm_squared).sum();
        let size: f64 = targets.iter().map(Pair::norm_squared).sum();
        // places that differ by rounding only are one place
        if !(spread > size * (16.0 * f64::EPSILON * f64::EPSILON)) {
            return Err(SimilarityError::TargetsCoincide);
        }
        Ok(Self {
            centred,
            mean,
            per_count,
            per_spread: 1.0 / spread,
        })
    }

    /// The similarity of finished sums. Its scale may be 0 or no number: ask [`Similarity::can_be_undone`].
    #[inline(always)]
    pub fn solve(&self, sums: &FitSums) -> Similarity {
        let (cos_part, sin_part) = (sums.dot * self.per_spread, sums.cross * self.per_spread);
        Similarity {
            cos_part,
            sin_part,
            shift: sums.seen * self.per_count - turn(cos_part, sin_part, self.mean),
            per_size_squared: 1.0 / (cos_part * cos_part + sin_part * sin_part),
        }
    }
}

/// Sums over the seen directions of one look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FitSums {
    /// Σ θ.
    pub seen: Pair,
    /// Σ (w − w̄)·θ; the mean of θ drops out, for Σ (w − w̄) is 0.
    pub dot: f64,
    /// Σ (w − w̄)×θ.
    pub cross: f64,
}

impl FitSums {
    /// Nothing summed yet.
    pub const NONE: Self = Self {
        seen: Pair::new(0.0, 0.0),
        dot: 0.0,
        cross: 0.0,
    };

    /// Adds what is seen of the target that lies at `centred` from the targets' mean.
    #[inline(always)]
    pub fn add(&mut self, centred: Pair, seen: Pair) {
        self.seen += seen;
        self.dot += centred.x * seen.x + centred.y * seen.y;
        self.cross += centred.x * seen.y - centred.y * seen.x;
    }
}

impl Similarity {
    /// Fits S so that S(target) comes closest to seen.
    ///
    /// # Errors
    /// [`SimilarityError`] when the targets coincide or the best scale is 0. Lists of different length are cut to
    /// the shorter one.
    pub fn fit(targets: &[Pair], seen: &[Pair]) -> Result<Self, SimilarityError> {
        let count = targets.len().min(seen.len());
        let targets = FitTargets::new(&targets[..count])?;
        let mut sums = FitSums::NONE;
        for (w, s) in targets.centred.iter().zip(seen) {
            sums.add(*w, *s);
        }
        let fit = targets.solve(&sums);
        if fit.can_be_undone() {
            Ok(fit)
        } else {
            Err(SimilarityError::ScaleVanishes)
        }
    }

    /// The five numbers that say it all, for rows of similarities: A's two parts, B's two, 1/|A|².
    #[inline(always)]
    pub fn parts(&self) -> [f64; 5] {
        [
            self.cos_part,
            self.sin_part,
            self.shift.x,
            self.shift.y,
            self.per_size_squared,
        ]
    }

    /// The similarity of these [`Similarity::parts`].
    #[inline(always)]
    pub fn from_parts([cos_part, sin_part, x, y, per_size_squared]: [f64; 5]) -> Self {
        Self {
            cos_part,
            sin_part,
            shift: Pair::new(x, y),
            per_size_squared,
        }
    }

    /// Whether the scale is a positive number whose square is one too, and the shift a number.
    #[inline(always)]
    pub fn can_be_undone(&self) -> bool {
        let size_squared = self.cos_part * self.cos_part + self.sin_part * self.sin_part;
        size_squared > 0.0
            && (self.shift.x + self.shift.y + self.per_size_squared + size_squared) * 0.0 == 0.0
    }

    /// S⁻¹(seen): the seen direction with the common shift, rotation and scale taken away.
    #[inline(always)]
    pub fn undo(&self, seen: Pair) -> Pair {
        turn(self.cos_part, -self.sin_part, seen - self.shift) * self.per_size_squared
    }

    /// Uniform scale |A|.
    pub fn scale(&self) -> f64 {
        libm::hypot(self.cos_part, self.sin_part)
    }

    /// Rotation, rad, positive from x towards y.
    pub fn rotation_rad(&self) -> f64 {
        libm::atan2(self.sin_part, self.cos_part)
    }

    /// Shift B, rad: where the axis itself is taken to.
    pub fn shift(&self) -> Pair {
        self.shift
    }
}

#[inline(always)]
fn turn(cos_part: f64, sin_part: f64, p: Pair) -> Pair {
    Pair::new(
        cos_part * p.x - sin_part * p.y,
        sin_part * p.x + cos_part * p.y,
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pure_similarity_is_undone_to_rounding() {
        let targets = [
            Pair::new(0.0, 0.1),
            Pair::new(-0.2, 0.0),
            Pair::new(0.15, -0.05),
        ];
        let seen: Vec<Pair> = targets
            .iter()
            .map(|&w| turn(1.1 * libm::cos(0.2), 1.1 * libm::sin(0.2), w) + Pair::new(0.03, -0.01))
            .collect();
        let fit = Similarity::fit(&targets, &seen).expect("three places");
        assert!((fit.scale() - 1.1).abs() < 1e-14);
        assert!((fit.rotation_rad() - 0.2).abs() < 1e-14);
        for (w, s) in targets.iter().zip(&seen) {
            assert!((fit.undo(*s) - w).norm() < 1e-15);
        }
    }

    #[test]
    fn a_mirrored_figure_is_not_mirrored_back() {
        // Umeyama's own reflection case: the best proper rotation leaves a mean square error of 0.5333...
        let targets = [
            Pair::new(0.0, 0.0),
            Pair::new(1.0, 0.0),
            Pair::new(0.0, 2.0),
        ];
        let seen = [
            Pair::new(0.0, 0.0),
            Pair::new(-1.0, 0.0),
            Pair::new(0.0, 2.0),
        ];
        let fit = Similarity::fit(&targets, &seen).expect("three places");
        let mean_square: f64 = targets
            .iter()
            .zip(&seen)
            .map(|(w, s)| (turn(fit.cos_part, fit.sin_part, *w) + fit.shift - s).norm_squared())
            .sum::<f64>()
            / 3.0;
        assert!((mean_square - 8.0 / 15.0).abs() < 1e-14, "{mean_square}");
        assert!((fit.scale() - 0.721_110_255_1).abs() < 1e-9);
    }

    #[test]
    fn a_scale_too_large_to_be_squared_is_refused() {
        let targets = [Pair::new(0.0, 0.1), Pair::new(-0.2, 0.0)];
        let seen = targets.map(|w| w * 1e160);
        assert_eq!(
            Similarity::fit(&targets, &seen),
            Err(SimilarityError::ScaleVanishes)
        );
    }

    #[test]
    fn coinciding_targets_are_refused() {
        let one = [Pair::new(0.1, 0.1); 3];
        assert_eq!(
            Similarity::fit(&one, &one),
            Err(SimilarityError::TargetsCoincide)
        );
    }
}
