//! Least-cost tolerances in closed form: where tightening a part costs B/Tᵏ, how a given total is best shared out.
//!
//! Minimise Σ Bᵢ/Tᵢᵏ under Σ (aᵢTᵢ)² = T² (root sum square) or Σ aᵢTᵢ = T (worst case). Lagrange's multipliers give
//! Tᵢ ∝ (Bᵢ/aᵢ²)^(1/(k + 2)) and Tᵢ ∝ (Bᵢ/aᵢ)^(1/(k + 1)).
//! Source: K. W. Chase & W. H. Greenwood, Design Issues in Mechanical Tolerance Analysis, ASME Manufacturing Review 1 (1988) 50
//! (from memory).

use std::fmt;

/// How tolerances add up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stack {
    /// As independent errors do: the root of the sum of squares.
    RootSumSquare,
    /// As errors at their worst do: the sum.
    WorstCase,
}

/// The least-cost tolerances.
#[derive(Debug, Clone, PartialEq)]
pub struct LeastCost {
    /// Tolerance of each part, in the unit of the bound over that of the sensitivity.
    pub tolerances: Vec<f64>,
    /// Σ Bᵢ/Tᵢᵏ.
    pub cost: f64,
}

/// Which input an error is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CostInput {
    /// A cost B.
    Cost,
    /// A sensitivity a.
    Sensitivity,
    /// The bound T.
    Bound,
    /// The power k.
    Power,
}

/// Why there is no allocation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LeastCostError {
    /// There is nothing to allocate to.
    NoParts,
    /// As many costs as sensitivities are needed.
    UnlikeCounts {
        /// Costs given.
        costs: usize,
        /// Sensitivities given.
        sensitivities: usize,
    },
    /// A value is not positive or not finite.
    NotPositive {
        /// Which input.
        input: CostInput,
        /// Its place in the list; 0 for what is no list.
        place: usize,
        /// The value.
        value: f64,
    },
    /// The values are so far apart that the result is not finite.
    OutOfRange,
}

impl fmt::Display for LeastCostError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoParts => write!(f, "there is no part to give a tolerance to"),
            Self::UnlikeCounts {
                costs,
                sensitivities,
            } => write!(
                f,
                "{costs} costs and {sensitivities} sensitivities, must be as many of each"
            ),
            Self::NotPositive {
                input,
                place,
                value,
            } => {
                let of_part = format!(" of part {}", place + 1);
                let (name, of_part) = match input {
                    CostInput::Cost => ("cost", of_part.as_str()),
                    CostInput::Sensitivity => ("sensitivity", of_part.as_str()),
                    CostInput::Bound => ("bound", ""),
                    CostInput::Power => ("power", ""),
                };
                write!(f, "{name}{of_part} is {value}, must be positive and finite")
            }
            Self::OutOfRange => write!(f, "the values are too far apart to be worked with"),
        }
    }
}

impl std::error::Error for LeastCostError {}

/// The tolerances of least cost Σ Bᵢ/Tᵢᵏ that together just keep `bound`; `costs` are the B, `sensitivities` the a, `power` is k.
///
/// # Errors
/// [`LeastCostError`] when there is no part, the lists are unlike, or a value is not positive and finite.
pub fn least_cost_allocation(
    costs: &[f64],
    sensitivities: &[f64],
    bound: f64,
    power: f64,
    stack: Stack,
) -> Result<LeastCost, LeastCostError> {
    if costs.len() != sensitivities.len() {
        return Err(LeastCostError::UnlikeCounts {
            costs: costs.len(),
            sensitivities: sensitivities.len(),
        });
    }
    if costs.is_empty() {
        return Err(LeastCostError::NoParts);
    }
    check(CostInput::Cost, costs)?;
    check(CostInput::Sensitivity, sensitivities)?;
    check(CostInput::Bound, &[bound])?;
    check(CostInput::Power, &[power])?;
    let parts = costs.iter().zip(sensitivities);
    let shape: Vec<f64> = parts
        .map(|(cost, a)| match stack {
            Stack::RootSumSquare => libm::pow(cost / (a * a), 1.0 / (power + 2.0)),
            Stack::WorstCase => libm::pow(cost / a, 1.0 / (power + 1.0)),
        })
        .collect();
    let reached = stacked(&shape, sensitivities, stack);
    let tolerances: Vec<f64> = shape.iter().map(|one| one * (bound / reached)).collect();
    let cost = costs
        .iter()
        .zip(&tolerances)
        .map(|(cost, tolerance)| cost / libm::pow(*tolerance, power))
        .sum::<f64>();
    let usable = |value: f64| value > 0.0 && value.is_finite();
    if usable(cost) && tolerances.iter().all(|tolerance| usable(*tolerance)) {
        Ok(LeastCost { tolerances, cost })
    } else {
        Err(LeastCostError::OutOfRange)
    }
}

/// What tolerances come to together.
fn stacked(tolerances: &[f64], sensitivities: &[f64], stack: Stack) -> f64 {
    let each = tolerances.iter().zip(sensitivities).map(|(t, a)| a * t);
    match stack {
        Stack::RootSumSquare => each.map(|one| one * one).sum::<f64>().sqrt(),
        Stack::WorstCase => each.sum(),
    }
}

fn check(input: CostInput, values: &[f64]) -> Result<(), LeastCostError> {
    let bad = |value: &f64| !(*value > 0.0 && value.is_finite());
    match values.iter().position(bad) {
        Some(place) => Err(LeastCostError::NotPositive {
            input,
            place,
            value: values[place],
        }),
        None => Ok(()),
    }
}
