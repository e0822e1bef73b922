//! Quantiles of the beta law, and Student's bound that follows from them.

use statrs::function::beta::checked_beta_reg;

/// The x at which the regularised incomplete beta function I_x(a, b) is `probability`, by halving: the library's own
/// inverse does not end for ten million trials and loses digits from a million on.
pub(super) fn beta_quantile(a: f64, b: f64, probability: f64) -> Option<f64> {
    // 1100 halvings reach the smallest number there is
    const MOST_HALVINGS: u32 = 1100;
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..MOST_HALVINGS {
        let middle = f64::midpoint(low, high);
        if high - low <= 4e-16 * high || middle <= low || middle >= high {
            break;
        }
        if checked_beta_reg(a, b, middle).ok()? < probability {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(f64::midpoint(low, high))
}

/// The value that |t| of Student's law with `degrees` degrees of freedom stays below with the probability `level`; `None`
/// without a degree of freedom, or for a level outside (0, 1).
pub fn student_bound_1908(degrees: u64, level: f64) -> Option<f64> {
    if degrees == 0 || !(level > 0.0 && level < 1.0) {
        return None;
    }
    // P(|t| > b) = I_x(degrees/2, 1/2) at x = degrees/(degrees + b²)
    let n = degrees as f64;
    let x = beta_quantile(n / 2.0, 0.5, 1.0 - level)?;
    Some((n * (1.0 - x) / x).sqrt())
}
