//! Closed forms of lines and rods through the whole engine: sag, threading, ties, slips, bows.

mod support;

use sightdrift::figure::{Design, Frame, Source, Threading};
use sightdrift::geometry::Pair;
use sightdrift::mechanics::{
    LARGEST_SAG_SHARE, PulledAt, Tightening, sag_of_catenary_mm, sag_of_parabola_mm,
};
use sightdrift::trial::NotComputable;
use support::{
    PLATES_MM, ROUNDING_RAD, Values, close, close_pair, depth_mm, ends, normal, plain_design,
    set_law,
};

#[test]
fn a_tie_beside_the_line_is_seen_as_its_offset_over_the_depth_and_a_slip_is_not_seen() {
    let mut values = Values::none(plain_design(Frame::Fixed));
    values.set(Source::RodTie, 5, &[1.2, 0.9]);
    values.set(Source::RodSlip, 8, &[7.0]);
    let trial = values.trial().expect("computable");
    for end in ends(&values) {
        let expected = if end == 5 {
            Pair::new(1.2, 0.9) / depth_mm(&values, 5)
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
    close(
        trial.built.ends_mm[8].z,
        depth_mm(&values, 8) + 7.0,
        1e-12,
        "depth of the slipped end",
    );
}

/// One rod on two lines of its own, lines without weight: W/2 on each.
fn one_rod(mass_kg_per_m: f64) -> Design {
    let mut design = plain_design(Frame::Fixed);
    design.rods.truncate(1);
    design.rods[0].mass_kg_per_m = mass_kg_per_m;
    design.line.mass_kg_per_m = 0.0;
    design.gravity.strength_m_per_s2 = 9.80665;
    design
}

fn drops_mm(values: &Values) -> [Pair; 2] {
    let trial = values.trial().expect("computable");
    [0, 1].map(|end| trial.built.ends_mm[end].xy() - values.plan.end_mm(end).xy())
}

#[test]
fn a_rod_lowers_its_ends_by_moment_over_tension() {
    let mut values = Values::none(one_rod(0.005));
    let [front, rear] = PLATES_MM;
    let length_m = (values.plan.end_mm(1) - values.plan.end_mm(0)).norm() * 1e-3;
    let half_n = 0.005 * length_m * 9.80665 / 2.0;
    let expected = [0, 1].map(|end| {
        let a = depth_mm(&values, end) - front;
        let span = rear - front;
        half_n * a * (span - a) / span / 4.0
    });
    for (found, drop) in drops_mm(&values).into_iter().zip(expected) {
        assert!(drop > 0.01, "{drop}");
        close_pair(found, Pair::new(0.0, -drop), 1e-13, "drop");
    }
    // half the tension, by the hand or by slackening: twice the sag
    for source in [Source::HandTension, Source::Slackening] {
        values.set(source, 0, &[0.5]);
        let [halved, other] = drops_mm(&values);
        close(halved.y, -2.0 * expected[0], 1e-13, "drop at half tension");
        close(other.y, -expected[1], 1e-13, "drop of the other line");
        values.set(source, 0, &[1.0]);
    }
    // twice the weight: twice the sag
    let heavy = Values::none(one_rod(0.010));
    close(
        drops_mm(&heavy)[0].y,
        -2.0 * expected[0],
        1e-13,
        "drop at twice the weight",
    );
    // gravity aside: the drop goes where things fall
    let mut aside = one_rod(0.005);
    aside.gravity.down = Pair::new(0.6, -0.8);
    close_pair(
        drops_mm(&Values::none(aside))[0],
        Pair::new(0.6, -0.8) * expected[0],
        1e-13,
        "drop aside",
    );
}

#[test]
fn two_rods_on_one_line_add_their_moments() {
    let mut design = plain_design(Frame::Fixed);
    design.gravity.strength_m_per_s2 = 9.80665;
    let all = Values::none(design.clone());
    let together = all.trial().expect("computable").built.ends_mm;
    // line by line: each rod alone, and the line alone, added up at end 0
    let drop_of = |keep: Option<usize>, own: bool| {
        let mut one = design.clone();
        for (i, rod) in one.rods.iter_mut().enumerate() {
            if keep != Some(i) {
                rod.mass_kg_per_m = 0.0;
            }
        }
        if !own {
            one.line.mass_kg_per_m = 0.0;
        }
        let values = Values::none(one);
        let built = values.trial().expect("computable").built;
        built.ends_mm[0].y - values.plan.end_mm(0).y
    };
    let sum: f64 = (0..design.rods.len())
        .map(|rod| drop_of(Some(rod), false))
        .sum::<f64>()
        + drop_of(None, true);
    close(
        together[0].y - all.plan.end_mm(0).y,
        sum,
        1e-13,
        "drop under all loads",
    );
    assert!(drop_of(Some(0), false) < 0.0 && drop_of(Some(6), false) < 0.0);
    assert!(drop_of(None, true) < 0.0);
    close(
        drop_of(Some(3), false),
        0.0,
        1e-13,
        "drop under a rod on other lines",
    );
}

#[test]
fn the_parabolas_error_stays_under_one_percent_up_to_the_largest_sag() {
    // handbooks: the parabola serves for sag/span up to 1/20, with an error of about 1 %
    for step in 1..=100 {
        let tension = 100.0 / (8.0 * LARGEST_SAG_SHARE * f64::from(step));
        let exact = sag_of_catenary_mm(1.0, 1.0, tension);
        let error = 1.0 - sag_of_parabola_mm(1.0, 1.0, tension) / exact;
        assert!((0.0..0.01).contains(&error), "{error}");
    }
}

#[test]
fn tightening_each_run_resets_the_loss_and_pulling_only_the_end_does_not() {
    let order = vec![4, 2, 7, 0, 3, 6, 1, 5];
    let tensions = |friction, tightening| {
        let mut design = plain_design(Frame::Fixed);
        design.line.threading = Some(Threading {
            order: order.clone(),
            first_enters_front: true,
            friction,
            tightening,
            pulled_at: PulledAt::First,
        });
        Values::none(design)
            .trial()
            .expect("computable")
            .built
            .tensions_n
    };
    assert_eq!(tensions(0.3, Tightening::EachRun), vec![4.0; 8]);
    assert_eq!(tensions(0.0, Tightening::EndsOnly), vec![4.0; 8]);
    let lost = tensions(0.1, Tightening::EndsOnly);
    assert_eq!(lost[order[0]], 4.0);
    for (k, pair) in order.windows(2).enumerate() {
        let ratio = lost[pair[1]] / lost[pair[0]];
        // a crossing turns the line about by half a turn in all, more or less by how far the lines lean
        let turned = -ratio.ln() / 0.1;
        assert!(
            (turned - std::f64::consts::PI).abs() < 0.5,
            "crossing {k}: {turned} rad"
        );
    }
}

#[test]
fn a_bowed_rods_middle_stands_off_square_by_its_share_of_the_length() {
    let mut design = plain_design(Frame::Fixed);
    set_law(&mut design, Source::RodBow, normal(Source::RodBow, 0.01));
    for bow in [[0.01, 0.0], [0.0, 0.01], [-0.006, 0.008]] {
        let mut values = Values::none(design.clone());
        values.set(Source::RodBow, 3, &bow);
        let trial = values.trial().expect("computable");
        let (a, b) = (trial.built.ends_mm[6], trial.built.ends_mm[7]);
        let off = trial.built.middles_mm[3] - (a + b) / 2.0;
        let length = (b - a).norm();
        close(
            off.norm(),
            bow[0].hypot(bow[1]) * length,
            1e-12,
            "stand-off",
        );
        close(off.dot(&(b - a)), 0.0, 1e-10, "off the square");
        let across = Pair::new(-(b - a).y, (b - a).x).normalize();
        close(
            off.xy().dot(&across),
            bow[0] * length,
            1e-12,
            "part across the axis",
        );
        // the other rods stay straight
        let (a, b) = (trial.built.ends_mm[0], trial.built.ends_mm[1]);
        close(
            (trial.built.middles_mm[0] - (a + b) / 2.0).norm(),
            0.0,
            1e-12,
            "straight rod",
        );
        if bow[1] == 0.0 {
            // the rod leans in depth, so its own square is not quite that of its edge
            let square = values.plan.edges[3].square();
            let drift = (off.xy().dot(&square) / trial.built.middles_mm[3].z).abs();
            assert!(drift > 0.003, "{drift}");
            close(
                trial.measured.across_fixed_rad(3),
                drift,
                1e-14,
                "drift of the middle",
            );
        }
    }
}

#[test]
fn the_largest_sag_is_refused_just_beyond_a_twentieth_of_the_span() {
    let mut values = Values::none(one_rod(0.005));
    let [front, rear] = PLATES_MM;
    let largest = drops_mm(&values).map(|drop| -drop.y);
    // the drop is largest under the load; line 1 carries end 1
    let keeps = largest[1] / (LARGEST_SAG_SHARE * (rear - front));
    values.set(Source::Slackening, 1, &[keeps * 1.001]);
    assert!(values.trial().is_ok());
    values.set(Source::Slackening, 1, &[keeps * 0.999]);
    assert_eq!(values.trial().err(), Some(NotComputable::SagOutOfRange));
}
