//! The closed form of least-cost tolerances against a search, and what it refuses.

use sightdrift::decision::{CostInput, LeastCostError, Stack, least_cost_allocation};
use sightdrift::sampling::{Stream, StreamKey};

const KEY: StreamKey = StreamKey {
    seed: 7,
    source: 2000,
    item: 0,
    component: 0,
    look: 0,
};

const POWERS: [f64; 3] = [0.5, 1.0, 2.0];

fn numbers(stream: &mut Stream, count: usize) -> Vec<f64> {
    // from 0.1 to 10
    (0..count)
        .map(|_| 10.0_f64.powf(2.0 * stream.next_uniform() - 1.0))
        .collect()
}

fn stacked(tolerances: &[f64], sensitivities: &[f64], stack: Stack) -> f64 {
    let each = tolerances.iter().zip(sensitivities).map(|(t, a)| t * a);
    match stack {
        Stack::RootSumSquare => each.map(|one| one * one).sum::<f64>().sqrt(),
        Stack::WorstCase => each.sum(),
    }
}

fn cost(costs: &[f64], tolerances: &[f64], power: f64) -> f64 {
    let each = costs.iter().zip(tolerances);
    each.map(|(cost, tolerance)| cost / tolerance.powf(power))
        .sum()
}

#[test]
fn no_other_tolerances_within_the_bound_are_cheaper() {
    let mut stream = Stream::new(KEY, 0);
    for parts in 1..6 {
        for (stack, power) in [Stack::RootSumSquare, Stack::WorstCase]
            .into_iter()
            .flat_map(|stack| POWERS.map(|power| (stack, power)))
        {
            let costs = numbers(&mut stream, parts);
            let sensitivities = numbers(&mut stream, parts);
            let bound = numbers(&mut stream, 1)[0];
            let best = least_cost_allocation(&costs, &sensitivities, bound, power, stack)
                .expect("good input");
            let reached = stacked(&best.tolerances, &sensitivities, stack);
            assert!((reached / bound - 1.0).abs() < 1e-12);
            assert!((cost(&costs, &best.tolerances, power) / best.cost - 1.0).abs() < 1e-12);
            for nth in 0..2000 {
                // far and near, moved to the bound
                let spread = if nth % 2 == 0 { 1.0 } else { 0.01 };
                let other: Vec<f64> = best
                    .tolerances
                    .iter()
                    .map(|t| t * (2.0 * spread * (stream.next_uniform() - 0.5)).exp())
                    .collect();
                let scale = bound / stacked(&other, &sensitivities, stack);
                let other: Vec<f64> = other.iter().map(|t| t * scale).collect();
                assert!(cost(&costs, &other, power) >= best.cost * (1.0 - 1e-12));
            }
        }
    }
}

#[test]
fn equal_tolerances_cost_more_unless_parts_are_alike() {
    let (costs, sensitivities) = ([2.0, 1.0, 5.0], [1.0, 2.0, 0.5]);
    let best = least_cost_allocation(&costs, &sensitivities, 0.3, 1.0, Stack::RootSumSquare)
        .expect("good input");
    let equal = 0.3 / stacked(&[1.0; 3], &sensitivities, Stack::RootSumSquare);
    let saved = 1.0 - best.cost / cost(&costs, &[equal; 3], 1.0);
    assert!((saved - 0.387).abs() < 5e-4, "{saved}");
    let alike = least_cost_allocation(&[3.0; 4], &[2.0; 4], 1.0, 1.0, Stack::RootSumSquare)
        .expect("good input");
    assert!(alike.tolerances.iter().all(|t| (t - 0.25).abs() < 1e-15));
}

#[test]
fn bad_input_is_refused_with_its_place_and_value() {
    let of = |costs: &[f64], sensitivities: &[f64], bound, power| {
        least_cost_allocation(costs, sensitivities, bound, power, Stack::RootSumSquare)
            .expect_err("bad input")
    };
    assert_eq!(of(&[], &[], 1.0, 1.0), LeastCostError::NoParts);
    assert_eq!(
        of(&[1.0], &[1.0, 2.0], 1.0, 1.0),
        LeastCostError::UnlikeCounts {
            costs: 1,
            sensitivities: 2
        }
    );
    for bad in [0.0, -2.0, f64::NAN, f64::INFINITY] {
        for (error, expected, at) in [
            (of(&[1.0, bad], &[1.0; 2], 1.0, 1.0), CostInput::Cost, 1),
            (
                of(&[1.0; 2], &[bad, 1.0], 1.0, 1.0),
                CostInput::Sensitivity,
                0,
            ),
            (of(&[1.0; 2], &[1.0; 2], bad, 1.0), CostInput::Bound, 0),
            (of(&[1.0; 2], &[1.0; 2], 1.0, bad), CostInput::Power, 0),
        ] {
            let LeastCostError::NotPositive {
                input,
                place,
                value,
            } = error
            else {
                panic!("{error}")
            };
            assert_eq!((input, place), (expected, at));
            assert_eq!(value.to_bits(), bad.to_bits());
            assert!(error.to_string().contains("must be positive and finite"));
        }
    }
    let far = of(&[1e300, 1e-300], &[1e-300, 1e300], 1e-300, 4.0);
    assert_eq!(far, LeastCostError::OutOfRange);
}
