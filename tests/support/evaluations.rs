//! Evaluations of functions with known Sobol' indices.

use sightdrift::sampling::{BLOCK_BUILDS, Stream, StreamKey};
use sightdrift::statistics::BlockSums;
use std::f64::consts::PI;

/// T. Ishigami & T. Homma, Proc. ISUMA (1990) 398: sin x1 + a sin² x2 + b x3⁴ sin x1, each x uniform within ± π, here as
/// numbers between 0 and 1.
pub fn ishigami(u: &[f64], a: f64, b: f64) -> f64 {
    let x = |nth: usize| PI * (2.0 * u[nth] - 1.0);
    x(0).sin() + a * x(1).sin().powi(2) + b * x(2).powi(4) * x(0).sin()
}

/// Sobol's g-function: the product of (|4u − 2| + a)/(1 + a).
pub fn g_function(u: &[f64], a: &[f64]) -> f64 {
    let factor = |(u, a): (&f64, &f64)| ((4.0 * u - 2.0).abs() + a) / (1.0 + a);
    u.iter().zip(a).map(factor).product()
}

/// Blocks of rows of a function of `inputs` numbers between 0 and 1, each a group of its own.
pub fn blocks_of_function(
    function: impl Fn(&[f64]) -> f64,
    inputs: usize,
    blocks: u64,
    seed: u64,
    about: f64,
) -> Vec<BlockSums> {
    let numbers = |matrix: u64, block: u64| {
        let key = StreamKey {
            seed,
            source: 7,
            item: matrix,
            component: 0,
            look: 0,
        };
        let mut stream = Stream::new(key, block);
        (0..BLOCK_BUILDS)
            .map(|_| (0..inputs).map(|_| stream.next_uniform()).collect())
            .collect::<Vec<Vec<f64>>>()
    };
    let outputs = |rows: &[Vec<f64>]| rows.iter().map(|row| function(row)).collect::<Vec<f64>>();
    (0..blocks)
        .map(|block| {
            let (first, second) = (numbers(0, block), numbers(1, block));
            let mixed: Vec<Vec<f64>> = (0..inputs)
                .map(|input| {
                    let mut rows = first.clone();
                    for (row, other) in rows.iter_mut().zip(&second) {
                        row[input] = other[input];
                    }
                    outputs(&rows)
                })
                .collect();
            BlockSums::of(&outputs(&first), &outputs(&second), &mixed, about)
        })
        .collect()
}
