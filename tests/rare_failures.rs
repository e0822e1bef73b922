//! Rare failures against closed forms: half space, shell, independent limits, by subset simulation alone; and through a
//! scenario. Fixed seeds; bounds are 5 standard errors or binomial bounds worked out from the counts.

mod support;

use rayon::prelude::*;
use sightdrift::decision::{
    PilotEnd, RareSettings, RunPlan, SubsetResult, SubsetSettings, rare_failure, run,
    subset_simulation,
};
use sightdrift::figure::{Design, Frame, Law, Plan, Plate, Source};
use sightdrift::sampling::{Sampling, normal_cumulative, normal_density};
use sightdrift::statistics::IntervalMethod;
use statrs::distribution::{Binomial, ChiSquared, ContinuousCDF, DiscreteCDF};
use support::{PLATES_MM, lively_design, normal, plain_design, set_law, with_hooks};

fn settings(seed: u64) -> SubsetSettings {
    SubsetSettings {
        seed,
        samples: 1000,
        repetitions: 16,
        most_thresholds: 12,
        level: 0.95,
    }
}

fn simulate(
    dimension: usize,
    settings: &SubsetSettings,
    g: impl Fn(&[f64]) -> f64 + Sync,
) -> SubsetResult<usize> {
    let evaluate = |points: &[Vec<f64>]| points.iter().map(|point| g(point)).collect::<Vec<_>>();
    with_hooks(|hooks| {
        subset_simulation(
            dimension,
            settings,
            &evaluate,
            &|failing: &[Vec<f64>]| failing.len(),
            hooks,
        )
    })
    .expect("never interrupted")
}

/// The closed form must lie within 5 standard errors, and the simulation must be worth its while.
fn agrees(found: &SubsetResult<usize>, expected: f64, what: &str) {
    let error = found.relative_error.expect("failures were met");
    let off = found.estimate / expected - 1.0;
    assert!(
        off.abs() <= 5.0 * error,
        "{what}: {:e}, expected {expected:e}, relative difference {off}, relative standard error {error}",
        found.estimate
    );
    assert!(error < 0.3, "{what}: relative standard error {error}");
    assert_eq!(found.end, PilotEnd::Failures);
    let plain = found.plain_evaluations().expect("failures were met");
    assert!(
        plain > found.evaluations as f64 || expected > 5e-4,
        "{what}"
    );
}

/// g over 1 where the point is farther than `beta` along the diagonal.
fn half_space(point: &[f64], beta: f64) -> f64 {
    point.iter().sum::<f64>() / (point.len() as f64).sqrt() / beta
}

#[test]
fn a_half_space_has_its_closed_form_in_few_and_in_many_dimensions() {
    for dimension in [1, 2, 100, 500] {
        for (beta, samples) in [(3.09, 500), (4.26, 500), (5.2, 500)] {
            let settings = SubsetSettings {
                samples,
                ..settings(31 + dimension as u64)
            };
            let found = simulate(dimension, &settings, |point| half_space(point, beta));
            let what = format!("beta {beta} in {dimension} dimensions");
            agrees(&found, normal_cumulative(-beta), &what);
        }
    }
}

/// Runs `runs` simulations of 16 repetitions each: the interval must cover as often as it says, and the mean must be right.
fn covers(beta: f64, samples: usize, runs: u64) {
    let expected = normal_cumulative(-beta);
    let found: Vec<SubsetResult<usize>> = (0..runs)
        .into_par_iter()
        .map(|seed| {
            let settings = SubsetSettings {
                samples,
                ..settings(1000 + seed)
            };
            simulate(5, &settings, |point| half_space(point, beta))
        })
        .collect();
    let covered = found
        .iter()
        .filter(|one| {
            let [low, high] = one.interval.expect("failures were met");
            low <= expected && expected <= high
        })
        .count() as u64;
    // a true coverage of 95 % is refused here once in 10 000 times on either side
    let law = Binomial::new(0.95, runs).expect("a probability");
    assert!(
        law.cdf(covered) > 1e-4 && law.sf(covered.saturating_sub(1)) > 1e-4,
        "beta {beta}: {covered} of {runs} intervals cover"
    );
    let n = runs as f64;
    let mean = found.iter().map(|one| one.estimate).sum::<f64>() / n;
    let squares: f64 = found.iter().map(|one| (one.estimate - mean).powi(2)).sum();
    let error = (squares / (n - 1.0) / n).sqrt();
    println!(
        "beta {beta}: {covered} of {runs} cover; mean/expected {} ± {}",
        mean / expected,
        error / expected
    );
    assert!(
        (mean - expected).abs() <= 5.0 * error,
        "beta {beta}: mean {mean:e}, expected {expected:e}, standard error {error:e}"
    );
    assert!(error < 0.05 * expected, "too coarse a check");
}

#[test]
fn the_interval_covers_as_often_as_it_says_and_the_estimate_is_unbiased() {
    covers(3.09, 300, 200);
    covers(4.26, 300, 200);
    covers(5.2, 300, 200);
}

#[test]
fn a_shell_has_the_tail_of_a_chi_square_law() {
    for (dimension, expected) in [(3_usize, 1e-6), (50, 1e-5)] {
        let law = ChiSquared::new(dimension as f64).expect("degrees");
        // the library's own quantile is coarse in a tail: halve
        let (mut low, mut high) = (0.0, 1000.0);
        for _ in 0..200 {
            let middle = f64::midpoint(low, high);
            if law.sf(middle) > expected {
                low = middle;
            } else {
                high = middle;
            }
        }
        let found = simulate(dimension, &settings(5), |point| {
            point.iter().map(|z| z * z).sum::<f64>() / low
        });
        agrees(
            &found,
            expected,
            &format!("shell in {dimension} dimensions"),
        );
    }
}

#[test]
fn independent_limits_fail_together_as_their_closed_form_says() {
    let beta = 4.5_f64;
    let p = normal_cumulative(-beta);
    // two far regions on opposite sides, and one more
    let both_sides = simulate(20, &settings(6), |point| point[3].abs() / beta);
    agrees(&both_sides, 2.0 * p, "both sides");
    let two = simulate(20, &settings(7), |point| point[0].max(point[1]) / beta);
    agrees(&two, 1.0 - (1.0 - p).powi(2), "two limits");
    // a series of forty limits: the first to be passed decides
    let forty = simulate(40, &settings(8), |point| {
        point.iter().copied().fold(f64::MIN, f64::max) / beta
    });
    agrees(&forty, 1.0 - (1.0 - p).powi(40), "forty limits");
    // all of three must fail together
    let three = simulate(10, &settings(9), |point| {
        point[..3].iter().copied().fold(f64::MAX, f64::min) / 2.0
    });
    agrees(&three, normal_cumulative(-2.0).powi(3), "three together");
}

#[test]
fn plateaus_and_impossible_points_do_not_mislead() {
    // nothing between holding well and not computable at all
    let expected = normal_cumulative(-2.5);
    let jump = simulate(2, &settings(10), |point| {
        if point[0] > 2.5 { f64::INFINITY } else { 0.25 }
    });
    let error = jump.relative_error.expect("failures were met");
    assert!(
        (jump.estimate / expected - 1.0).abs() <= 5.0 * error,
        "{jump:?}"
    );
    // steps
    let stairs = simulate(2, &settings(11), |point| (2.0 * point[0]).floor() / 8.5);
    agrees(&stairs, normal_cumulative(-4.5), "stairs");
    // not a number counts as failing
    let odd = simulate(1, &settings(12), |point| {
        if point[0] > 4.0 {
            f64::NAN
        } else {
            point[0] / 10.0
        }
    });
    agrees(&odd, normal_cumulative(-4.0), "not a number");
}

#[test]
fn what_cannot_fail_gets_a_bound_and_what_always_fails_is_told() {
    let flat = simulate(3, &settings(13), |_| 0.5);
    assert_eq!((flat.estimate, flat.end), (0.0, PilotEnd::Plateau(0.5)));
    let [low, high] = flat.interval.expect("a bound");
    // Clopper and Pearson for 0 of 16 000: 1 − 0.025^(1/16000)
    let bound = 1.0 - 0.025_f64.powf(1.0 / 16_000.0);
    assert!(
        low == 0.0 && (high / bound - 1.0).abs() < 1e-9,
        "{high} {bound}"
    );
    // bounded below the limit: the search climbs to the top and ends
    let bounded = simulate(2, &settings(14), |point| normal_cumulative(point[0]) * 0.9);
    assert_eq!(
        (bounded.estimate, bounded.end),
        (0.0, PilotEnd::MostThresholds)
    );
    let [low, high] = bounded.interval.expect("a bound");
    assert!(low == 0.0 && high < 1e-9, "{high}");
    let certain = simulate(2, &settings(15), |_| f64::INFINITY);
    assert_eq!(certain.estimate, 1.0);
    assert_eq!(
        certain.interval.expect("counts").map(|end| end > 0.999),
        [true; 2]
    );
    // not rare: a plain share
    let common = simulate(2, &settings(16), |point| 1.0 + point[0]);
    assert!(common.thresholds.is_empty() && common.evaluations == 17_000);
    assert!((common.estimate - 0.5).abs() <= 5.0 * (0.25_f64 / 16_000.0).sqrt());
    // no dimension at all
    let nothing = simulate(0, &settings(17), |_| 0.5);
    assert_eq!(nothing.interval, Some([0.0, 0.0]));
}

#[test]
fn the_result_does_not_depend_on_the_number_of_threads() {
    let with = |threads: usize| {
        let pool = sightdrift::trial::thread_pool(threads).expect("threads");
        pool.install(|| simulate(30, &settings(18), |point| half_space(point, 4.0)))
    };
    assert_eq!(with(1), with(3));
}

fn run_plan(seed: u64, builds: u64, looks: u64) -> RunPlan {
    RunPlan {
        seed,
        builds,
        looks,
        half_width: None,
        level: 0.95,
        method: IntervalMethod::Wilson,
        sampling: Sampling::Plain,
    }
}

/// One rod, all perfect but the scatter of holes: each end's drift is normal with a known deviation.
fn one_rod(sd_mm: [f64; 2], limit_rad: f64) -> Design {
    let mut design = plain_design(Frame::Fixed);
    design.rods.truncate(1);
    design.judging.rule.drift_rad = Some(limit_rad);
    for (plate, sd) in Plate::BOTH.into_iter().zip(sd_mm) {
        let source = Source::HoleScatter(plate);
        set_law(&mut design, source, normal(source, sd));
    }
    set_law(
        &mut design,
        Source::RodTie,
        Law::fixed(0.0, Source::RodTie.components()),
    );
    design
}

#[test]
fn a_rod_between_scattered_holes_fails_as_often_as_its_normal_law_says() {
    let sd_mm = [0.03, 0.05];
    let [front, rear] = PLATES_MM;
    let plan = Plan::new(one_rod(sd_mm, 1e-3));
    let z = plan.design.rods[0].ends.map(|end| end.depth_mm);
    // model: a hole's offset acts at depth z with its lever over z; square to the edge it is normal
    let levers = |z: f64| [(rear - z) / (rear - front), (z - front) / (rear - front)];
    let sd = |z: f64| (sd_mm[0] * levers(z)[0]).hypot(sd_mm[1] * levers(z)[1]) / z;
    let holds = |limit: f64| -> f64 {
        z.iter()
            .map(|z| 1.0 - 2.0 * normal_cumulative(-limit / sd(*z)))
            .product()
    };
    for wanted in [1e-4, 1e-6] {
        let (mut low, mut high) = (0.0, 0.01);
        for _ in 0..200 {
            let middle = f64::midpoint(low, high);
            if 1.0 - holds(middle) > wanted {
                low = middle;
            } else {
                high = middle;
            }
        }
        let plan = Plan::new(one_rod(sd_mm, low));
        let settings = RareSettings::default();
        let found = with_hooks(|hooks| rare_failure(&plan, &run_plan(3, 1, 1), &settings, hooks))
            .expect("computable");
        let error = found.subset.relative_error.expect("failures were met");
        let off = found.subset.estimate / wanted - 1.0;
        println!(
            "{wanted:e}: {:e}, off {off} ± {error}",
            found.subset.estimate
        );
        assert!(
            off.abs() <= 5.0 * error && error < 0.3,
            "{:e}, expected {wanted:e}, relative standard error {error}",
            found.subset.estimate
        );
        assert_eq!(found.faults.len(), 1, "there is only one rod");
        assert_eq!(
            found.drives.len(),
            2,
            "front and rear holes vary and nothing else"
        );
        for (plate, drive_of) in Plate::BOTH.into_iter().zip([0, 1]) {
            let expected = expected_push(&z.map(sd), low, |end| {
                let lever = levers(z[end])[drive_of];
                (sd_mm[drive_of] * lever / z[end] / sd(z[end])).powi(2)
            });
            let source = Source::HoleScatter(plate);
            let drive = found.drives.iter().find(|drive| drive.source == source);
            let (push, error) = drive.expect("it varies").push;
            println!("push {push} ± {error}, expected {expected}");
            assert!(
                (push - expected).abs() <= 5.0 * error && error < 3.0,
                "{source:?}: push {push}, expected {expected}, standard error {error}"
            );
        }
    }
}

/// Mean over failing builds of z² less 1 along a source's direction: for a limit at β standard deviations,
/// cos²·(E[Z² | Z > β] − 1) = cos²·β·φ(β)/Φ(−β), the ends weighted by how often each fails.
fn expected_push(sd_rad: &[f64; 2], limit_rad: f64, cosine_squared: impl Fn(usize) -> f64) -> f64 {
    let fails = sd_rad.map(|sd| normal_cumulative(-limit_rad / sd));
    let pushes = [0, 1].map(|end| {
        let beta = limit_rad / sd_rad[end];
        cosine_squared(end) * beta * normal_density(beta) / fails[end]
    });
    (fails[0] * pushes[0] + fails[1] * pushes[1]) / (fails[0] + fails[1])
}

#[test]
fn a_design_that_nearly_always_passes_fails_as_often_as_a_long_run_says() {
    let mut design = lively_design(Frame::Fitted);
    design.judging.rule.drift_rad = Some(DRIFT_LIMIT_RAD);
    design.judging.rule.gap_rad = Some(GAP_LIMIT_RAD);
    let plan = Plan::new(design);
    let long = run_plan(77, 200_000, 2);
    let tally = with_hooks(|hooks| run(&plan, &long, hooks))
        .expect("never interrupted")
        .tally;
    let failed = tally.builds - tally.passed;
    assert!(
        (40..2000).contains(&failed),
        "{failed} of {} fail: no fair check",
        tally.builds
    );
    let found = with_hooks(|hooks| {
        rare_failure(&plan, &run_plan(78, 1, 2), &RareSettings::default(), hooks)
    })
    .expect("computable");
    let plain = failed as f64 / tally.builds as f64;
    let error = found.subset.relative_error.expect("failures were met") * found.subset.estimate;
    let both = error.hypot((plain / tally.builds as f64).sqrt());
    println!(
        "plain {plain:e} ({failed} of {}), subset {:e} ± {error:e}, {} evaluations",
        tally.builds, found.subset.estimate, found.subset.evaluations
    );
    assert!(
        (found.subset.estimate - plain).abs() <= 5.0 * both,
        "subset {:e}, plain {plain:e}, combined standard error {both:e}",
        found.subset.estimate
    );
    // the same faults decide: the commonest of the failing builds is not a rare one in the long run
    assert!(found.faults[0].share > 0.0 && found.failing > 100);
}

const DRIFT_LIMIT_RAD: f64 = 4.4e-3;
const GAP_LIMIT_RAD: f64 = 6.0e-3;
