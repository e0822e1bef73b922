//! Closed forms of what chance does: variances, yields and worst cases that can be written down, against the run.
//! Fixed seeds; every bound is 5 standard errors worked out from the number of trials.

mod support;

use nalgebra::DMatrix;
use sightdrift::decision::{FirstOrder, RunPlan, first_order, run, worst_case};
use sightdrift::figure::{Design, Frame, Item, Law, Plan, Plate, Source};
use sightdrift::geometry::Pair;
use sightdrift::sampling::{Distribution, Sampling};
use sightdrift::statistics::{IntervalMethod, Tally};
use support::{PLATES_MM, normal, plain_design, set_law, with_hooks};

const BUILDS: u64 = 20_000;

fn tally_of(plan: &Plan, builds: u64, looks: u64) -> Tally {
    let run_plan = RunPlan {
        seed: 20_260_103,
        builds,
        looks,
        half_width: None,
        level: 0.95,
        method: IntervalMethod::Wilson,
        sampling: Sampling::Plain,
    };
    let result = with_hooks(|hooks| run(plan, &run_plan, hooks)).expect("never interrupted");
    result.tally
}

/// Weights of the front and rear hole at depth `z`, as seen: lever over depth, 1/mm.
fn levers_per_mm(z: f64) -> [f64; 2] {
    let [front, rear] = PLATES_MM;
    [
        (rear - z) / (rear - front) / z,
        (z - front) / (rear - front) / z,
    ]
}

fn scattered_holes(sd_mm: [f64; 2], frame: Frame) -> Design {
    let mut design = plain_design(frame);
    for (plate, sd) in Plate::BOTH.into_iter().zip(sd_mm) {
        let source = Source::HoleScatter(plate);
        set_law(&mut design, source, normal(source, sd));
    }
    design
}

const SCATTER_MM: [f64; 2] = [0.03, 0.05];

/// Covariance of the rod ends' directions (each component alike) under a scatter of all holes, rad².
fn covariance(design: &Design, sd_mm: [f64; 2]) -> DMatrix<f64> {
    let ends: Vec<_> = design.rods.iter().flat_map(|rod| rod.ends).collect();
    DMatrix::from_fn(ends.len(), ends.len(), |i, j| {
        if ends[i].line != ends[j].line {
            return 0.0;
        }
        let (a, b) = (
            levers_per_mm(ends[i].depth_mm),
            levers_per_mm(ends[j].depth_mm),
        );
        (0..2)
            .map(|plate| sd_mm[plate] * sd_mm[plate] * a[plate] * b[plate])
            .sum()
    })
}

/// Fails when a simulated variance of normal values is off by more than 5 standard errors, σ²·√(2/n).
fn variance_agrees(found: f64, expected: f64, n: u64, what: &str) {
    let allowed = 5.0 * expected * (2.0 / n as f64).sqrt();
    let difference = (found - expected).abs();
    assert!(
        difference <= allowed,
        "{what}: variance {found:e} rad², expected {expected:e} rad², difference {difference:e}, allowed {allowed:e} (5 standard errors at {n})"
    );
}

#[test]
fn scatter_of_all_holes_has_the_closed_form_variance_in_the_fixed_frame() {
    let design = scattered_holes(SCATTER_MM, Frame::Fixed);
    let covariance = covariance(&design, SCATTER_MM);
    let plan = Plan::new(design);
    let tally = tally_of(&plan, BUILDS, 1);
    for end in 0..plan.targets.len() {
        let sd = tally.rods[end / 2].off_rad[end % 2]
            .sd()
            .expect("many values");
        // the edge's square is a unit vector and the scatter is alike in x and y
        variance_agrees(
            sd * sd,
            covariance[(end, end)],
            BUILDS,
            &format!("end {end}"),
        );
    }
    for (junction, tally) in plan.junctions.iter().zip(&tally.junctions) {
        let [a, b] = junction.widest;
        let expected = covariance[(a, a)] + covariance[(b, b)] - 2.0 * covariance[(a, b)];
        for component in &tally.widest_rad {
            let sd = component.sd().expect("many values");
            variance_agrees(
                sd * sd,
                expected,
                BUILDS,
                &format!("gap on line {}", junction.line),
            );
        }
    }
}

/// For each rod end the row that takes all directions (x and y of every end) to its distance from the edge after the
/// fit, to first order: square · (1 − projection on shift, turn and scale).
fn fitted_rows(plan: &Plan) -> DMatrix<f64> {
    let n = plan.targets.len();
    let common = DMatrix::from_fn(2 * n, 4, |row, column| {
        let w = plan.targets[row / 2];
        match (row % 2, column) {
            (0, 0) | (1, 1) => w.x,
            (0, 1) => -w.y,
            (1, 0) => w.y,
            (0, 2) | (1, 3) => 1.0,
            _ => 0.0,
        }
    });
    let inverse = (common.transpose() * &common)
        .try_inverse()
        .expect("many places");
    let left = DMatrix::identity(2 * n, 2 * n) - &common * inverse * common.transpose();
    let squares = DMatrix::from_fn(n, 2 * n, |end, column| {
        if column / 2 == end {
            plan.edges[end / 2].square()[column % 2]
        } else {
            0.0
        }
    });
    squares * left
}

#[test]
fn scatter_of_all_holes_has_the_closed_form_variance_in_the_fitted_frame() {
    let design = scattered_holes(SCATTER_MM, Frame::Fitted);
    let one = covariance(&design, SCATTER_MM);
    let plan = Plan::new(design);
    let n = plan.targets.len();
    let both = DMatrix::from_fn(2 * n, 2 * n, |i, j| {
        if i % 2 == j % 2 {
            one[(i / 2, j / 2)]
        } else {
            0.0
        }
    });
    let rows = fitted_rows(&plan);
    let expected = &rows * both * rows.transpose();
    let tally = tally_of(&plan, BUILDS, 1);
    let estimate = first_order(&plan, &|| false).expect("computable");
    for end in 0..n {
        let sd = tally.rods[end / 2].off_rad[end % 2]
            .sd()
            .expect("many values");
        variance_agrees(
            sd * sd,
            expected[(end, end)],
            BUILDS,
            &format!("end {end}, fitted"),
        );
        let first = estimate.ends[end].sd_rad;
        let ratio = first * first / expected[(end, end)];
        assert!(
            (ratio - 1.0).abs() < 1e-6,
            "first order, end {end}: {ratio}"
        );
        // the fit takes something away: what is left is less than the fixed variance
        assert!(expected[(end, end)] < one[(end, end)]);
    }
}

/// Many small errors at once.
fn small_errors(frame: Frame) -> Design {
    let mut design = scattered_holes([0.02, 0.02], frame);
    for source in [
        Source::PatternShift(Plate::Front),
        Source::PatternShift(Plate::Rear),
        Source::RodTie,
        Source::EyeOffset,
    ] {
        set_law(&mut design, source, normal(source, 0.03));
    }
    for source in [
        Source::PatternTurn(Plate::Rear),
        Source::PrintScale(Plate::Front),
    ] {
        set_law(&mut design, source, normal(source, 2e-4));
    }
    for source in [
        Source::SeatDepth(Plate::Front),
        Source::RodSlip,
        Source::EyeRelief,
    ] {
        set_law(&mut design, source, normal(source, 0.1));
    }
    design
}

#[test]
fn the_law_of_propagation_agrees_with_the_run_for_small_errors() {
    for frame in [Frame::Fixed, Frame::Fitted] {
        let plan = Plan::new(small_errors(frame));
        let tally = tally_of(&plan, BUILDS, 1);
        let estimate = first_order(&plan, &|| false).expect("computable");
        for (end, first) in estimate.ends.iter().enumerate() {
            let moments = &tally.rods[end / 2].off_rad[end % 2];
            let sd = moments.sd().expect("many values");
            variance_agrees(
                sd * sd,
                first.sd_rad * first.sd_rad,
                BUILDS,
                &format!("end {end}"),
            );
            let mean = moments.mean().expect("many values");
            let allowed = 5.0 * first.sd_rad / (BUILDS as f64).sqrt();
            assert!(
                (mean - first.mean_rad).abs() <= allowed,
                "end {end}: mean {mean:e}"
            );
            let by_source: f64 = first.variance_by_source.iter().sum();
            assert!((by_source / (first.sd_rad * first.sd_rad) - 1.0).abs() < 1e-12);
        }
        for (gap, counted) in estimate.gaps.iter().zip(&tally.junctions) {
            let square: f64 = counted
                .widest_rad
                .iter()
                .map(|m| m.mean_square().expect("many values"))
                .sum();
            let expected = gap.rms_rad * gap.rms_rad;
            // the square of a gap varies most when one component does it all: 2σ⁴
            variance_agrees(square, expected, BUILDS, "gap");
        }
        assert_eq!(estimate.disagreements(&plan, &tally), []);
    }
}

#[test]
fn variance_is_told_apart_by_source() {
    let sd_eye = 0.4;
    let mut design = scattered_holes(SCATTER_MM, Frame::Fixed);
    set_law(
        &mut design,
        Source::EyeOffset,
        normal(Source::EyeOffset, sd_eye),
    );
    let plan = Plan::new(design);
    let FirstOrder { ends, gaps, .. } = first_order(&plan, &|| false).expect("computable");
    let agree = |found: f64, expected: f64| {
        assert!(
            (found / expected - 1.0).abs() < 1e-6,
            "found {found:e}, expected {expected:e}"
        );
    };
    for (end, estimate) in ends.iter().enumerate() {
        let z = plan.end_mm(end).z;
        let of = |source: Source| estimate.variance_by_source[source.index()];
        agree(of(Source::EyeOffset), (sd_eye / z).powi(2));
        for (plate, (sd, lever)) in Plate::BOTH
            .into_iter()
            .zip(SCATTER_MM.into_iter().zip(levers_per_mm(z)))
        {
            agree(of(Source::HoleScatter(plate)), (sd * lever).powi(2));
        }
        assert_eq!(of(Source::RodTie), 0.0);
    }
    for (junction, estimate) in plan.junctions.iter().zip(&gaps) {
        let [a, b] = junction.widest.map(|end| plan.end_mm(end).z);
        let expected = 2.0 * (sd_eye * (1.0 / a - 1.0 / b)).powi(2);
        agree(
            estimate.variance_by_source[Source::EyeOffset.index()],
            expected,
        );
    }
}

#[test]
fn the_law_of_propagation_fails_for_wild_tensions_and_says_so() {
    // sag goes as 1/T: for a lognormal T of median 1 the mean of 1/T² is exp(2s²), the straight line through the mean
    // says otherwise
    let spread = 0.9;
    let mut design = plain_design(Frame::Fixed);
    design.gravity.strength_m_per_s2 = 9.80665;
    set_law(
        &mut design,
        Source::HandTension,
        Law::Each(vec![Distribution::Lognormal {
            median: 1.0,
            sd_log: spread,
        }]),
    );
    let plan = Plan::new(design);
    let tally = tally_of(&plan, BUILDS, 1);
    assert_eq!(
        tally.failures.total(),
        0,
        "sags must stay in range for the closed form"
    );
    let estimate = first_order(&plan, &|| false).expect("computable");
    let disagreements = estimate.disagreements(&plan, &tally);
    assert!(
        disagreements.len() > plan.targets.len() / 2,
        "only {} told",
        disagreements.len()
    );
    for told in &disagreements {
        assert!((told.first_order_arcmin / told.monte_carlo_arcmin - 1.0).abs() > 0.05);
    }
    // E T⁻⁴ / (E T⁻²)² − 1 = exp(4s²) − 1
    let relative = 5.0 * ((4.0 * spread * spread).exp_m1() / BUILDS as f64).sqrt();
    for (end, target) in plan.targets.iter().enumerate() {
        let place = plan.end_mm(end);
        let line = plan.design.rods[end / 2].ends[end % 2].line;
        let sag = plan.spans[line].sag_mm(place.z - PLATES_MM[0], 1.0 / plan.tensions_n[line]);
        let square = plan.edges[end / 2].square();
        let nominal = (Pair::new(0.0, -sag) / place.z).dot(&square);
        let expected = nominal * nominal * (2.0 * spread * spread).exp();
        let found = tally.rods[end / 2].off_rad[end % 2]
            .mean_square()
            .expect("many values");
        assert!(
            (found / expected - 1.0).abs() <= relative,
            "end {end} at {target}: {found:e}, expected {expected:e}, allowed {relative} relative"
        );
    }
}

/// An eye anywhere on a disc of radius `radius_mm`, and a gap limit that an offset of `holds_to_mm` just meets at the
/// junction that parts most.
fn only_the_eye(radius_mm: f64, holds_to_mm: f64) -> Plan {
    let mut design = plain_design(Frame::Fitted);
    set_law(
        &mut design,
        Source::EyeOffset,
        Law::Disc {
            centre: Pair::zeros(),
            radius: radius_mm,
        },
    );
    let most = Plan::new(design.clone())
        .junctions
        .iter()
        .map(|junction| {
            let [a, b] = junction.widest.map(|end| {
                let rod = &design.rods[end / 2];
                rod.ends[end % 2].depth_mm
            });
            (1.0 / a - 1.0 / b).abs()
        })
        .fold(0.0, f64::max);
    design.judging.rule.gap_rad = Some(holds_to_mm * most);
    design.judging.rule.drift_rad = Some(1.0);
    Plan::new(design)
}

fn share_agrees(count: u64, of: u64, expected: f64) {
    let allowed = 5.0 * (expected * (1.0 - expected) / of as f64).sqrt();
    let found = count as f64 / of as f64;
    assert!(
        (found - expected).abs() <= allowed,
        "share {found}, expected {expected}, allowed {allowed} (5 standard errors at {of})"
    );
}

#[test]
fn an_eye_anywhere_on_a_disc_holds_on_the_share_of_its_area_that_holds() {
    let plan = only_the_eye(2.0, 1.5);
    let tally = tally_of(&plan, BUILDS, 1);
    let expected = (1.5_f64 / 2.0).powi(2);
    share_agrees(tally.held, tally.looks, expected);
    share_agrees(tally.passed, tally.builds, expected);
    assert_eq!(tally.clipped, 0);
    assert_eq!(tally.looks, BUILDS);
}

#[test]
fn yield_is_the_binomial_share_of_builds_with_enough_looks_that_hold() {
    let plan = only_the_eye(2.0, 1.9);
    assert_eq!(plan.design.judging.hold_share, 0.9);
    let tally = tally_of(&plan, BUILDS, 10);
    let p = (1.9_f64 / 2.0).powi(2);
    // at least 9 of 10 looks hold
    let expected = p.powi(10) + 10.0 * p.powi(9) * (1.0 - p);
    share_agrees(tally.held, tally.looks, p);
    share_agrees(tally.passed, tally.builds, expected);
}

#[test]
fn the_worst_case_of_holes_within_bounds_is_the_sum_of_the_bounds_over_their_levers() {
    let half_width = [0.2, 0.3];
    let mut design = plain_design(Frame::Fixed);
    for (plate, half_width) in Plate::BOTH.into_iter().zip(half_width) {
        let one = Distribution::Uniform {
            mean: 0.0,
            half_width,
        };
        set_law(
            &mut design,
            Source::HoleScatter(plate),
            Law::Each(vec![one; 2]),
        );
    }
    set_law(&mut design, Source::RodTie, normal(Source::RodTie, 0.1));
    let plan = Plan::new(design);
    let found = worst_case(&plan, &first_order(&plan, &|| false).expect("computable"));
    assert_eq!(found.left_out, [Source::RodTie]);
    for one in &found.items {
        let Item::Rod(rod) = one.item else { continue };
        let square = plan.edges[rod].square();
        let expected = [0, 1]
            .map(|which| {
                let levers = levers_per_mm(plan.end_mm(2 * rod + which).z);
                let reach = half_width[0] * levers[0] + half_width[1] * levers[1];
                reach * (square.x.abs() + square.y.abs())
            })
            .into_iter()
            .fold(0.0, f64::max);
        for worst in [Some(one.first_order_rad), one.model_rad] {
            let worst = worst.expect("computable");
            assert!(
                (worst / expected - 1.0).abs() < 1e-9,
                "rod {rod}: {worst}, expected {expected}"
            );
        }
    }
}

#[test]
fn the_worst_case_of_an_eye_on_a_disc_is_its_radius_at_the_junction() {
    let plan = only_the_eye(2.0, 1.0);
    let found = worst_case(&plan, &first_order(&plan, &|| false).expect("computable"));
    let mut junctions = 0;
    for one in &found.items {
        let Item::Junction(junction) = one.item else {
            continue;
        };
        junctions += 1;
        let [a, b] = plan.junctions[junction]
            .widest
            .map(|end| plan.end_mm(end).z);
        let expected = 2.0 * (1.0 / a - 1.0 / b).abs();
        let worst = one.model_rad.expect("computable");
        // directions are tried in steps of a degree: 1 − cos 0.5° is 4e-5
        assert!(
            worst <= expected * (1.0 + 1e-9) && worst >= expected * (1.0 - 4e-5),
            "{worst} {expected}"
        );
    }
    assert_eq!(junctions, plan.junctions.len());
}
