//! Probability that a gap or a drift is noticed: a Weibull psychometric function.
//!
//! Source: A. B. Watson & D. G. Pelli, Perception & Psychophysics 33 (1983) 113:
//! p = δγ + (1 − δ)[1 − (1 − γ)·exp(−10^{βx})], x = log₁₀(intensity/threshold), so 10^{βx} = (intensity/threshold)^β.

use crate::elementary::{exp, ln};

/// The function's parameters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Psychometric {
    /// Slope β.
    pub slope: f64,
    /// Share of right answers by guessing γ.
    pub guess: f64,
    /// Share of lapses δ.
    pub lapse: f64,
}

impl Psychometric {
    /// A visitor who looks and is asked nothing: slope 3.5 and lapses 0.01 as in the paper's example, no guessing.
    pub const VISITOR: Self = Self {
        slope: 3.5,
        guess: 0.0,
        lapse: 0.01,
    };

    /// Probability of a "yes" at `ratio` = intensity over threshold.
    #[inline(always)]
    pub fn probability(&self, ratio: f64) -> f64 {
        let strength = if ratio > 0.0 {
            exp(self.slope * ln(ratio))
        } else {
            0.0
        };
        self.lapse * self.guess + (1.0 - self.lapse) * (1.0 - (1.0 - self.guess) * exp(-strength))
    }
}

/// Probability that a visitor notices a fault of `ratio` times its limit.
#[inline(always)]
pub fn probability_noticed(ratio: f64) -> f64 {
    Psychometric::VISITOR.probability(ratio)
}
