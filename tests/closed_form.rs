//! The model's closed forms through the whole engine: one build, one look, every value set outright.

mod support;

use nalgebra::{DMatrix, DVector};
use sightdrift::figure::{Frame, Plate, Source};
use sightdrift::geometry::{Pair, junction_gap_rad};
use sightdrift::trial::LookOutcome;
use support::{
    PLATES_MM, ROUNDING_RAD, Values, close, close_pair, depth_mm, ends, line_of, plain_design,
};

#[test]
fn without_errors_every_deviation_is_zero_whatever_the_depths() {
    let values = Values::none(plain_design(Frame::Fitted));
    let trial = values.trial().expect("computable");
    for end in ends(&values) {
        let none = Pair::zeros();
        close_pair(
            trial.deviation(&values.plan, end),
            none,
            ROUNDING_RAD,
            "fixed",
        );
        close_pair(
            trial.fitted_deviation(&values.plan, end),
            none,
            ROUNDING_RAD,
            "fitted",
        );
        close(trial.viewed.end_clear[end], 1.0, 0.0, "clear share");
    }
    for gap in &trial.measured.gaps_rad {
        close(*gap, 0.0, ROUNDING_RAD, "gap");
    }
    for rod in 0..values.plan.edges.len() {
        close(
            trial.measured.across_fixed_rad(rod),
            0.0,
            ROUNDING_RAD,
            "drift",
        );
        close(
            trial.measured.across_fitted_rad(rod),
            0.0,
            ROUNDING_RAD,
            "drift",
        );
    }
}

#[test]
fn an_eye_beside_the_axis_moves_every_end_by_its_offset_over_the_depth() {
    let mut values = Values::none(plain_design(Frame::Fitted));
    let eye = Pair::new(1.3, -0.8);
    values.set(Source::EyeOffset, 0, &[eye.x, eye.y]);
    let trial = values.trial().expect("computable");
    for end in ends(&values) {
        let expected = -eye / depth_mm(&values, end);
        close_pair(
            trial.deviation(&values.plan, end),
            expected,
            ROUNDING_RAD,
            "deviation",
        );
    }
    for (junction, gap) in values.plan.junctions.iter().zip(&trial.measured.gaps_rad) {
        let mut widest = 0.0_f64;
        for a in &junction.ends {
            for b in &junction.ends {
                let apart =
                    junction_gap_rad(eye.norm(), depth_mm(&values, *a), depth_mm(&values, *b));
                widest = widest.max(apart);
            }
        }
        assert!(widest > 0.0);
        close(*gap, widest, ROUNDING_RAD, "gap");
    }
}

/// The four numbers (a, b, tx, ty) of the similarity that comes closest to `seen`, by singular values.
fn fitted_by_singular_values(targets: &[Pair], seen: &[Pair]) -> [f64; 4] {
    let rows = 2 * targets.len();
    let matrix = DMatrix::from_fn(rows, 4, |row, column| {
        let w = targets[row / 2];
        match (row % 2, column) {
            (0, 0) | (1, 1) => w.x,
            (0, 1) => -w.y,
            (1, 0) => w.y,
            (0, 2) | (1, 3) => 1.0,
            _ => 0.0,
        }
    });
    let right = DVector::from_fn(rows, |row, _| seen[row / 2][row % 2]);
    let found = matrix
        .svd(true, true)
        .solve(&right, 1e-12)
        .expect("a solution");
    [found[0], found[1], found[2], found[3]]
}

#[test]
fn fitted_drift_is_what_least_squares_leaves_over() {
    let mut values = Values::none(plain_design(Frame::Fitted));
    values.set(Source::EyeOffset, 0, &[1.3, -0.8]);
    let trial = values.trial().expect("computable");
    let seen: Vec<Pair> = ends(&values)
        .map(|end| values.plan.targets[end] - Pair::new(1.3, -0.8) / depth_mm(&values, end))
        .collect();
    let [a, b, tx, ty] = fitted_by_singular_values(&values.plan.targets, &seen);
    let mut largest = 0.0_f64;
    for end in ends(&values) {
        let p = seen[end] - Pair::new(tx, ty);
        let back = Pair::new(a * p.x + b * p.y, -b * p.x + a * p.y) / (a * a + b * b);
        let expected = back - values.plan.targets[end];
        largest = largest.max(expected.norm());
        close_pair(
            trial.fitted_deviation(&values.plan, end),
            expected,
            2e-14,
            "left over",
        );
        let square = values.plan.edges[end / 2].square();
        close(
            trial.measured.off_fitted_rad[end],
            expected.dot(&square),
            2e-14,
            "off the edge",
        );
    }
    // an offset of 1.5 mm is some 6e-3 rad; most of it is common, not all
    assert!(largest > 5e-4 && largest < 6e-3, "{largest}");
}

#[test]
fn a_hole_off_its_place_moves_the_line_by_its_lever() {
    let [front, rear] = PLATES_MM;
    let off = Pair::new(0.31, -0.17);
    for plate in Plate::BOTH {
        for line in 0..support::DIRECTIONS.len() {
            let mut values = Values::none(plain_design(Frame::Fixed));
            values.set(Source::HoleScatter(plate), line, &[off.x, off.y]);
            let trial = values.trial().expect("computable");
            for end in ends(&values) {
                let z = depth_mm(&values, end);
                let lever = match plate {
                    Plate::Front => (rear - z) / (rear - front),
                    Plate::Rear => (z - front) / (rear - front),
                };
                let expected = if line_of(&values, end) == line {
                    off * lever / z
                } else {
                    Pair::zeros()
                };
                close_pair(
                    trial.deviation(&values.plan, end),
                    expected,
                    ROUNDING_RAD,
                    "deviation",
                );
            }
        }
    }
}

#[test]
fn slack_in_a_hole_acts_as_scatter_does() {
    let with = |source: fn(Plate) -> Source| {
        let mut values = Values::none(plain_design(Frame::Fixed));
        values.set(source(Plate::Rear), 4, &[0.2, 0.1]);
        values.trial().expect("computable").viewed.ends
    };
    assert_eq!(with(Source::HoleSlack), with(Source::HoleScatter));
}

#[test]
fn both_patterns_printed_too_large_are_a_pure_scaling() {
    let scale = 0.013;
    let mut values = Values::none(plain_design(Frame::Fitted));
    for plate in Plate::BOTH {
        values.set(Source::PrintScale(plate), 0, &[scale]);
    }
    let trial = values.trial().expect("computable");
    for end in ends(&values) {
        let target = values.plan.targets[end];
        close_pair(
            trial.deviation(&values.plan, end),
            target * scale,
            ROUNDING_RAD,
            "fixed",
        );
        close(
            trial.deviation(&values.plan, end).norm(),
            scale * target.norm(),
            ROUNDING_RAD,
            "fixed drift",
        );
        close_pair(
            trial.fitted_deviation(&values.plan, end),
            Pair::zeros(),
            ROUNDING_RAD,
            "fitted",
        );
    }
    let fit = trial.measured.fit.expect("fitted");
    close(fit.scale(), 1.0 + scale, 1e-13, "scale of the fit");
    close(fit.rotation_rad(), 0.0, 1e-13, "rotation of the fit");
}

#[test]
fn one_pattern_printed_too_large_is_no_scaling() {
    let (scale, [front, rear]) = (0.013, PLATES_MM);
    let mut values = Values::none(plain_design(Frame::Fitted));
    values.set(Source::PrintScale(Plate::Front), 0, &[scale]);
    let trial = values.trial().expect("computable");
    let mut largest = 0.0_f64;
    for end in ends(&values) {
        let z = depth_mm(&values, end);
        let lever = front / z * (rear - z) / (rear - front);
        let expected = values.plan.targets[end] * scale * lever;
        close_pair(
            trial.deviation(&values.plan, end),
            expected,
            ROUNDING_RAD,
            "fixed",
        );
        largest = largest.max(trial.fitted_deviation(&values.plan, end).norm());
    }
    assert!(largest > 1e-4, "{largest}");
}

#[test]
fn patterns_shifted_turned_alike_in_direction_leave_no_fitted_drift() {
    // the same turn of both plates about the axis turns the whole figure; shifts in proportion to the depth shift it
    let mut values = Values::none(plain_design(Frame::Fitted));
    for (plate, z) in Plate::BOTH.into_iter().zip(PLATES_MM) {
        values.set(Source::PatternTurn(plate), 0, &[0.02]);
        values.set(Source::PatternShift(plate), 0, &[0.003 * z, -0.001 * z]);
    }
    let trial = values.trial().expect("computable");
    for end in ends(&values) {
        close_pair(
            trial.fitted_deviation(&values.plan, end),
            Pair::zeros(),
            ROUNDING_RAD,
            "fitted",
        );
    }
    let fit = trial.measured.fit.expect("fitted");
    close(fit.rotation_rad(), 0.02, 1e-14, "rotation");
    close_pair(fit.shift(), Pair::new(0.003, -0.001), 1e-15, "shift");
}

fn behind(peephole_mm: f64, eye: Pair) -> Values {
    let mut design = plain_design(Frame::Fixed);
    design.peephole.diameter_mm = peephole_mm;
    design.peephole.eye_relief_mm = 5.0;
    design.peephole.clip_below = 0.0;
    let mut values = Values::none(design);
    values.set(Source::EyeOffset, 0, &[eye.x, eye.y]);
    values
}

#[test]
fn behind_a_pinhole_the_eyes_move_shifts_everything_alike_and_parts_nothing() {
    let eye = Pair::new(0.6, -0.5);
    let (still, moved) = (behind(1e-5, Pair::zeros()), behind(1e-5, eye));
    let focus = still.plan.design.viewer.focus_mm;
    let (still, moved) = (
        still.trial().expect("computable"),
        moved.trial().expect("computable"),
    );
    for (before, after) in still.viewed.ends.iter().zip(&moved.viewed.ends) {
        // of the order of the pinhole over the distances
        close_pair(after - before, -eye / focus, 1e-7, "shift");
    }
    for (before, after) in still.measured.gaps_rad.iter().zip(&moved.measured.gaps_rad) {
        close(*after, *before, 1e-7, "gap");
    }
}

#[test]
fn behind_a_pinhole_a_rod_end_off_the_focus_is_seen_where_its_ray_meets_the_pupil() {
    // the ray through the pinhole meets the pupil at C = X(1 - λ), λ = z/(z - r0), and is seen at C/z_focus − C/z off
    let values = behind(1e-5, Pair::zeros());
    let trial = values.trial().expect("computable");
    for end in ends(&values) {
        let z = depth_mm(&values, end);
        let place = values.plan.targets[end] * z;
        let at = place * (1.0 - z / (z - 5.0));
        let expected = at / values.plan.design.viewer.focus_mm - at / z;
        close_pair(
            trial.deviation(&values.plan, end),
            expected,
            1e-7,
            "deviation",
        );
    }
}

#[test]
fn behind_a_wide_peephole_the_pupils_centre_is_the_viewpoint() {
    let eye = Pair::new(0.6, -0.5);
    let values = behind(200.0, eye);
    let trial = values.trial().expect("computable");
    for end in ends(&values) {
        close(trial.viewed.end_clear[end], 1.0, 0.0, "clear share");
        close_pair(
            trial.deviation(&values.plan, end),
            -eye / depth_mm(&values, end),
            ROUNDING_RAD,
            "deviation",
        );
    }
}

#[test]
fn a_look_is_clipped_when_some_end_is_less_clear_than_the_bound() {
    let mut values = behind(4.0, Pair::new(1.5, 0.0));
    let trial = values.trial().expect("computable");
    let least = trial
        .viewed
        .end_clear
        .iter()
        .copied()
        .fold(f64::INFINITY, f64::min);
    assert!(least > 0.05 && least < 0.9, "{least}");
    for (bound, clipped) in [
        (least * 1.001, true),
        (least * 0.999, false),
        (least, false),
    ] {
        values.plan.design.peephole.clip_below = bound;
        let outcome = values.trial().expect("computable").outcome;
        assert_eq!(outcome == LookOutcome::Clipped, clipped, "{bound}");
    }
    // nothing at all is seen: clipped, even where no share is asked for
    values.plan.design.peephole.clip_below = 0.0;
    values.set(Source::EyeOffset, 0, &[30.0, 0.0]);
    assert_eq!(
        values.trial().expect("computable").outcome,
        LookOutcome::Clipped
    );
}
