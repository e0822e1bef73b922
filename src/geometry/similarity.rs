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
}

/// Why no similarity could be fitted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SimilarityError {
    /// All targets are one point, or there is none.
    TargetsCoincide,
    /// The best scale is 0 (or not a number): the fit cannot be undone.
    ScaleVanishes,
}

impl Similarity {
    /// Fits S so that S(target) comes closest to seen.
    ///
    /// # Errors
    /// [`SimilarityError`] when the targets coincide or the best scale is 0. Lists of different length are cut to
    /// the shorter one.
    pub fn fit(targets: &[Pair], seen: &[Pair]) -> Result<Self, SimilarityError> {
        let count = targets.len().min(seen.len());
        if count == 0 {
            return Err(SimilarityError::TargetsCoincide);
        }
        let mut target_mean = Pair::zeros();
        let mut seen_mean = Pair::zeros();
        for (w, s) in targets.iter().zip(seen) {
            target_mean += w;
            seen_mean += s;
        }
        target_mean /= count as f64;
        seen_mean /= count as f64;
        let (mut dot, mut cross, mut spread, mut size) = (0.0, 0.0, 0.0, 0.0);
        for (w, s) in targets.iter().zip(seen) {
            size += w.norm_squared();
            let w = w - target_mean;
            let s = s - seen_mean;
            dot += w.dot(&s);
            cross += w.perp(&s);
            spread += w.norm_squared();
        }
        // places that differ by rounding only are one place
        if !(spread > size * (16.0 * f64::EPSILON * f64::EPSILON)) {
            return Err(SimilarityError::TargetsCoincide);
        }
        let (cos_part, sin_part) = (dot / spread, cross / spread);
        if !(cos_part * cos_part + sin_part * sin_part > 0.0) {
            return Err(SimilarityError::ScaleVanishes);
        }
        let turned = turn(cos_part, sin_part, target_mean);
        Ok(Self {
            cos_part,
            sin_part,
            shift: seen_mean - turned,
        })
    }

    /// S⁻¹(seen): the seen direction with the common shift, rotation and scale taken away.
    pub fn undo(&self, seen: Pair) -> Pair {
        let size_squared = self.cos_part * self.cos_part + self.sin_part * self.sin_part;
        turn(self.cos_part, -self.sin_part, seen - self.shift) / size_squared
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
    fn coinciding_targets_are_refused() {
        let one = [Pair::new(0.1, 0.1); 3];
        assert_eq!(
            Similarity::fit(&one, &one),
            Err(SimilarityError::TargetsCoincide)
        );
    }
}
