//! How fast the error of an estimate falls with the number of builds, for each layout of the uniform numbers, on integrals
//! that are known in closed form. Run with `--nocapture` to see the table.

use sightdrift::sampling::{
    Sampling, SobolPoints, Stream, StreamKey, fill_latin_hypercube, normal_quantile_wichura_1988,
};

/// Independent layouts behind each error.
const REPLICATES: u64 = 32;
/// Builds are 2^this.
const SIZES: std::ops::RangeInclusive<u32> = 6..=12;
/// Length of a row, as the engine fills them.
const ROW: usize = 64;

/// A function of the unit cube whose integral is known.
struct Integrand {
    name: &'static str,
    dimensions: usize,
    integral: f64,
    value: fn(&[f64]) -> f64,
}

const INTEGRANDS: [Integrand; 4] = [
    // a sum of functions of one number each, with mean 0
    Integrand {
        name: "additive",
        dimensions: 12,
        integral: 0.0,
        value: |u| u.iter().map(|u| u * u - 1.0 / 3.0).sum(),
    },
    // I. M. Sobol' & D. I. Asotsky, Math. Comput. Simul. 62 (2003) 255, with weights 1/i²: each factor's mean is 1
    Integrand {
        name: "smooth product",
        dimensions: 20,
        integral: 1.0,
        value: |u| {
            (1..)
                .zip(u)
                .map(|(i, u)| 1.0 + (u - 0.5) / f64::from(i * i))
                .product()
        },
    },
    // a half-space of normal numbers: Φ(1), Abramowitz & Stegun table 26.1
    Integrand {
        name: "half-space",
        dimensions: 8,
        integral: 0.841_344_746_068_542_9,
        value: |u| {
            let sum: f64 = u.iter().map(|u| normal_quantile_wichura_1988(*u)).sum();
            f64::from(sum <= 8.0_f64.sqrt())
        },
    },
    // the unit ball of 8 dimensions has the volume π⁴/24; one of its 2⁸ corners
    Integrand {
        name: "ball's corner",
        dimensions: 8,
        integral: 0.015_854_344_243_815_5,
        value: |u| f64::from(u.iter().map(|u| u * u).sum::<f64>() <= 1.0),
    },
];

/// A key that no other (integrand, replicate, size, dimension) has.
fn key(replicate: u64, bits: u32, dimension: usize) -> StreamKey {
    StreamKey {
        seed: 20_260_301,
        source: u64::from(bits),
        item: replicate,
        component: dimension as u64,
        look: 0,
    }
}

/// 64 bits of a key's own.
fn hash(key: StreamKey) -> u64 {
    let mut stream = Stream::new(key, u64::MAX);
    (stream.next_uniform() * 9_007_199_254_740_992.0) as u64
}

/// The numbers of one dimension for all builds.
fn numbers(
    sampling: Sampling,
    points: &SobolPoints,
    key: StreamKey,
    dimension: usize,
    builds: usize,
) -> Vec<f64> {
    let mut stream = Stream::new(key, 0);
    let plain: Vec<f64> = (0..builds).map(|_| stream.next_uniform()).collect();
    let mut all = plain.clone();
    for (nth, row) in all.chunks_mut(ROW).enumerate() {
        let first = nth * ROW;
        match sampling {
            Sampling::Plain => {}
            Sampling::LatinHypercube => fill_latin_hypercube(
                hash(key),
                builds as u64,
                first as u64,
                &plain[first..first + ROW],
                row,
            ),
            Sampling::Sobol => points.fill(dimension, hash(key), first as u64, row),
        }
    }
    all
}

/// Root mean square error over the replicates.
fn error(integrand: &Integrand, sampling: Sampling, points: &SobolPoints, bits: u32) -> f64 {
    let builds = 1_usize << bits;
    let mut squares = 0.0;
    for replicate in 0..REPLICATES {
        let by_dimension: Vec<Vec<f64>> = (0..integrand.dimensions)
            .map(|d| numbers(sampling, points, key(replicate, bits, d), d, builds))
            .collect();
        let sum: f64 = (0..builds)
            .map(|build| {
                let u: Vec<f64> = by_dimension.iter().map(|row| row[build]).collect();
                (integrand.value)(&u)
            })
            .sum();
        squares += (sum / builds as f64 - integrand.integral).powi(2);
    }
    (squares / REPLICATES as f64).sqrt()
}

/// Errors by size, and the slope of log error over log builds (least squares).
struct Fall {
    errors: Vec<f64>,
    slope: f64,
}

fn fall(integrand: &Integrand, sampling: Sampling, points: &SobolPoints) -> Fall {
    let errors: Vec<f64> = SIZES
        .map(|bits| error(integrand, sampling, points, bits))
        .collect();
    let middle = f64::from(SIZES.start() + SIZES.end()) / 2.0;
    let slope = SIZES
        .zip(&errors)
        .map(|(bits, error)| (f64::from(bits) - middle) * error.log2())
        .sum::<f64>()
        / spread_of_sizes();
    Fall { errors, slope }
}

fn spread_of_sizes() -> f64 {
    let middle = f64::from(SIZES.start() + SIZES.end()) / 2.0;
    SIZES.map(|bits| (f64::from(bits) - middle).powi(2)).sum()
}

/// Standard error of log₂ of a root mean square over the replicates, for errors that are as good as normal: their
/// mean square has the relative variance 2/R, its root's logarithm half of that standard deviation.
fn standard_error_log() -> f64 {
    (2.0 / REPLICATES as f64).sqrt() / 2.0 / std::f64::consts::LN_2
}

/// Standard error of a fitted slope.
fn standard_error_slope() -> f64 {
    standard_error_log() / spread_of_sizes().sqrt()
}

fn falls(name: &str) -> [Fall; 3] {
    let integrand = INTEGRANDS
        .iter()
        .find(|integrand| integrand.name == name)
        .expect("a name of the list");
    let points = SobolPoints::new(integrand.dimensions);
    let falls = Sampling::ALL.map(|sampling| fall(integrand, sampling, &points));
    println!(
        "{name}, {} dimensions, {REPLICATES} replicates",
        integrand.dimensions
    );
    for (sampling, fall) in Sampling::ALL.iter().zip(&falls) {
        let errors: Vec<String> = fall.errors.iter().map(|e| format!("{e:.2e}")).collect();
        println!(
            "  {:15} {}  slope {:+.2}",
            sampling.name(),
            errors.join(" "),
            fall.slope
        );
    }
    let off = (falls[0].slope + 0.5).abs();
    assert!(
        off < 5.0 * standard_error_slope(),
        "{name}: plain {off} from −1/2"
    );
    falls
}

/// Fails when `fall` is worse than plain at any size, beyond what the replicates explain.
fn assert_no_worse(name: &str, fall: &Fall, plain: &Fall) {
    let allowed = 5.0 * 2.0_f64.sqrt() * standard_error_log();
    for (error, plain) in fall.errors.iter().zip(&plain.errors) {
        assert!(
            (error / plain).log2() < allowed,
            "{name}: {error} beside {plain}"
        );
    }
}

#[test]
fn an_additive_result_falls_faster_with_latin_hypercube_and_sobol() {
    let [plain, latin, sobol] = falls("additive");
    for fall in [&latin, &sobol] {
        assert_no_worse("additive", fall, &plain);
        // in theory −3/2
        assert!(
            fall.slope < -0.9 - 5.0 * standard_error_slope(),
            "{}",
            fall.slope
        );
        assert!(fall.errors.last() < plain.errors.last().map(|e| e / 10.0).as_ref());
    }
}

#[test]
fn a_smooth_product_falls_faster_with_sobol_and_is_no_worse_with_latin_hypercube() {
    let [plain, latin, sobol] = falls("smooth product");
    assert_no_worse("latin hypercube", &latin, &plain);
    assert_no_worse("sobol", &sobol, &plain);
    assert!(sobol.slope < -0.9, "{}", sobol.slope);
    assert!(sobol.errors.last() < plain.errors.last().map(|e| e / 10.0).as_ref());
}

#[test]
fn a_yes_or_no_is_never_worse_than_with_plain_numbers() {
    for name in ["half-space", "ball's corner"] {
        let [plain, latin, sobol] = falls(name);
        for fall in [&latin, &sobol] {
            assert_no_worse(name, fall, &plain);
            assert!(
                fall.slope < -0.5 + 5.0 * standard_error_slope(),
                "{name}: {}",
                fall.slope
            );
        }
    }
}

#[test]
fn plain_errors_are_the_standard_deviation_over_the_root_of_the_builds() {
    // variance of the ball's corner is p(1 − p), of u² 4/45
    let expected = [
        ("additive", (12.0_f64 * 4.0 / 45.0).sqrt()),
        ("half-space", (0.841_344_746_f64 * 0.158_655_254).sqrt()),
    ];
    for (name, sd) in expected {
        let [plain, ..] = falls(name);
        for (bits, error) in SIZES.zip(plain.errors) {
            let off = (error / (sd / f64::from(1 << bits).sqrt())).log2();
            assert!(
                off.abs() < 5.0 * standard_error_log(),
                "{name}, 2^{bits}: off by 2^{off}"
            );
        }
    }
}
