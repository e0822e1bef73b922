//! Estimators of Sobol' indices and their bootstrap intervals, on functions whose indices are known. Their values against
//! closed forms and another program stand in `tests/reference/shares.toml`.

mod support;

use sightdrift::statistics::{FEWEST_BLOCKS, Told, VarianceShares, variance_shares};
use support::evaluations::{blocks_of_function, ishigami};

const BLOCKS: u64 = 128;

fn shares(function: impl Fn(&[f64]) -> f64, inputs: usize) -> VarianceShares {
    let blocks = blocks_of_function(function, inputs, BLOCKS, 3, 0.0);
    variance_shares(&blocks, 0.0, 0.95, 3).expect("it varies")
}

/// First-order and total indices of the Ishigami function at a = 7, b = 0.1 (T. Ishigami & T. Homma 1990, closed forms).
const ISHIGAMI: [[f64; 2]; 3] = [
    [0.313_905_191_1, 0.557_588_855_2],
    [0.442_411_144_8, 0.442_411_144_8],
    [0.0, 0.243_683_664_1],
];

#[test]
fn intervals_hold_the_true_index_as_often_as_they_say() {
    const REPETITIONS: u64 = 200;
    let mut missed = [[0_u64; 2]; 3];
    let mut missed_sum = 0;
    for seed in 0..REPETITIONS {
        let blocks = blocks_of_function(|u| ishigami(u, 7.0, 0.1), 3, BLOCKS, 900 + seed, 3.5);
        let found = variance_shares(&blocks, 3.5, 0.95, seed).expect("it varies");
        for ((group, truth), missed) in found.groups.iter().zip(ISHIGAMI).zip(&mut missed) {
            for ((index, truth), missed) in [group.first, group.total].iter().zip(truth).zip(missed)
            {
                let [low, high] = index.interval;
                *missed += u64::from(!(low <= truth && truth <= high));
            }
        }
        let [low, high] = found.sum_of_first.interval;
        let truth = ISHIGAMI[0][0] + ISHIGAMI[1][0];
        missed_sum += u64::from(!(low <= truth && truth <= high));
    }
    // one in twenty: 10 of 200, and 5 standard deviations √(200·0.05·0.95) more at most; none missed at all has the
    // probability 0.95²⁰⁰ < 4e-5
    let most = 10.0 + 5.0 * (200.0 * 0.05 * 0.95_f64).sqrt();
    for missed in missed.as_flattened().iter().chain([&missed_sum]) {
        assert!(
            *missed >= 1 && (*missed as f64) < most,
            "{missed} of 200 missed, allowed 1 to {most:.1}"
        );
    }
}

#[test]
fn the_standard_error_is_the_scatter_of_repetitions() {
    const REPETITIONS: u64 = 200;
    let (mut found, mut told) = (Vec::new(), 0.0);
    for seed in 0..REPETITIONS {
        let blocks = blocks_of_function(|u| ishigami(u, 7.0, 0.1), 3, 32, 5000 + seed, 3.5);
        let first = variance_shares(&blocks, 3.5, 0.95, seed)
            .expect("it varies")
            .groups[0]
            .first;
        found.push(first.estimate);
        told += first.standard_error / REPETITIONS as f64;
    }
    let mean = found.iter().sum::<f64>() / found.len() as f64;
    let squares: f64 = found.iter().map(|one| (one - mean).powi(2)).sum();
    let scatter = (squares / (found.len() - 1) as f64).sqrt();
    // a standard deviation from 200 numbers is known to 1/√400 of itself; the bootstrap is √(1 − 1/32) too narrow
    let ratio = told / scatter;
    assert!((ratio - 1.0).abs() < 5.0 / 20.0 + 0.016, "{ratio}");
}

#[test]
fn a_silent_input_has_an_index_of_exactly_zero() {
    let found = shares(|x| x[0], 2);
    let silent = found.groups[1];
    assert_eq!([silent.first.estimate, silent.total.estimate], [0.0; 2]);
    assert_eq!(
        [silent.first.interval, silent.total.interval],
        [[0.0; 2]; 2]
    );
    assert_eq!(
        [silent.first_told(), silent.total_told()],
        [Told::Nothing; 2]
    );
    assert!(!silent.is_told_from_zero());
    assert_eq!(found.groups[0].first_told(), Told::FromZero);
}

#[test]
fn next_to_nothing_is_not_told_as_a_cause() {
    let found = shares(|x| x[0] + 0.01 * x[1], 2);
    // 1e-4 of the variance
    assert_eq!(found.groups[1].total_told(), Told::NextToNothing);
    assert!(found.groups[1].total.interval[0] > 0.0);
}

#[test]
fn what_a_few_rows_show_cannot_be_told_from_zero() {
    // one row in two thousand, and up as often as down: 1.3 % of the variance in all, nothing by itself
    let rare = |x: &[f64]| if x[1] < 5e-4 { 1.5 } else { 0.0 };
    let found = shares(
        |x| x[0] + rare(x) * (if x[2] < 0.5 { 1.0 } else { -1.0 }),
        3,
    );
    let group = found.groups[1];
    assert_eq!(group.total_told(), Told::NotFromZero, "{group:?}");
    assert_eq!(group.first_told(), Told::NotFromZero);
    assert!(group.total.interval[1] > 0.01 && group.total.interval[0] <= 0.01);
}

#[test]
fn an_output_far_from_zero_has_the_indices_of_the_same_output_near_it() {
    let near = shares(|x| x[0] + 0.5 * x[1], 2);
    for about in [1e3, 0.0] {
        let function = |x: &[f64]| 1e3 + x[0] + 0.5 * x[1];
        let blocks = blocks_of_function(function, 2, BLOCKS, 3, about);
        let far = variance_shares(&blocks, about, 0.95, 3).expect("it varies");
        assert!((far.mean - near.mean - 1e3).abs() < 1e-9);
        for (near, far) in near.groups.iter().zip(&far.groups) {
            let apart = (near.first.estimate - far.first.estimate).abs();
            // squares of 1e3 leave ten of sixteen digits, the variance of 0.1 nine
            assert!(apart < 1e-7, "about {about}: {apart}");
        }
    }
}

#[test]
fn rows_that_cannot_be_evaluated_are_left_out_whole() {
    let holes = |x: &[f64]| if x[0] < 0.01 { f64::NAN } else { x[1] };
    let found = shares(holes, 2);
    let rows = BLOCKS * 64;
    // a row is whole when neither matrix' first number is below 0.01
    let expected = rows as f64 * (1.0 - 0.99 * 0.99);
    let off = (found.left_out as f64 - expected).abs();
    assert!(off < 5.0 * expected.sqrt(), "{}", found.left_out);
    assert_eq!(found.rows + found.left_out, rows);
    assert_eq!(found.groups[0].first_told(), Told::Nothing);
}

#[test]
fn nothing_that_varies_and_too_few_rows_have_no_shares() {
    let alike = blocks_of_function(|_| 0.3, 2, 64, 1, 0.0);
    assert_eq!(variance_shares(&alike, 0.0, 0.95, 1), None);
    let none = blocks_of_function(|_| f64::NAN, 2, 64, 1, 0.0);
    assert_eq!(variance_shares(&none, 0.0, 0.95, 1), None);
    let few = blocks_of_function(|x| x[0], 2, FEWEST_BLOCKS as u64 - 1, 1, 0.0);
    assert_eq!(variance_shares(&few, 0.0, 0.95, 1), None);
    let enough = blocks_of_function(|x| x[0], 2, FEWEST_BLOCKS as u64, 1, 0.0);
    assert!(variance_shares(&enough, 0.0, 0.95, 1).is_some());
    for level in [0.0, 1.0, f64::NAN] {
        assert_eq!(variance_shares(&enough, 0.0, level, 1), None);
    }
    assert_eq!(variance_shares(&[], 0.0, 0.95, 1), None);
}

#[test]
fn what_acts_only_together_is_left_to_interactions() {
    let sign = |x: f64| if x < 0.5 { -1.0 } else { 1.0 };
    let found = shares(|x| sign(x[0]) * sign(x[1]), 2);
    for group in &found.groups {
        let [first, total] = [group.first, group.total];
        assert!(first.estimate.abs() < 5.0 * first.standard_error);
        assert!((total.estimate - 1.0).abs() < 5.0 * total.standard_error);
        assert_eq!(group.total_told(), Told::FromZero);
    }
    let rest = found.interactions;
    assert!((rest.estimate - 1.0).abs() < 5.0 * rest.standard_error);
    assert!((rest.estimate + found.sum_of_first.estimate - 1.0).abs() < 1e-12);
}
