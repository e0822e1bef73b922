//! What must not matter: how the exhibit is turned, its mirror image, the order of its rods; and what cannot be computed.

mod support;

use sightdrift::decision::signed_outputs;
use sightdrift::figure::{Family, Frame, Plan, Plate, Source};
use sightdrift::geometry::Pair;
use sightdrift::trial::{LookOutcome, NotComputable};
use support::{Values, close, close_pair, ends, lively_design, plain_design};

/// A design and one trial's values, with everything across the axis taken through `across`.
fn carried(
    across: &dyn Fn(Pair) -> Pair,
    bow: &dyn Fn(Pair) -> Pair,
    handed: f64,
    tilts: bool,
) -> Values {
    let mut design = lively_design(Frame::Fitted);
    design.peephole.diameter_mm = 5.0;
    for vertex in &mut design.vertices {
        vertex.direction = across(vertex.direction);
    }
    for plate in &mut design.plates {
        plate.centre_mm = across(Pair::new(3.0, -2.0));
    }
    design.gravity.down = across(Pair::new(0.0, -1.0));
    let mut values = Values::none(design);
    for (source, size) in [
        (Source::PatternShift(Plate::Front), 0.3),
        (Source::PatternShift(Plate::Rear), 0.4),
        (Source::HoleScatter(Plate::Front), 0.1),
        (Source::HoleSlack(Plate::Rear), 0.2),
        (Source::RodTie, 0.8),
        (Source::RodBow, 0.004),
        (Source::PeepholeShift, 0.3),
        (Source::EyeOffset, 0.5),
    ] {
        for item in 0..source.items(&values.plan.design) {
            let angle = 1.0 + 2.4 * item as f64 + source.number() as f64;
            let drawn = Pair::new(angle.cos(), angle.sin()) * size;
            let carry = if source == Source::RodBow {
                bow
            } else {
                across
            };
            let [x, y] = carry(drawn).into();
            values.set(source, item, &[x, y]);
        }
    }
    values.set(Source::PatternTurn(Plate::Rear), 0, &[handed * 0.01]);
    values.set(Source::SeatDepth(Plate::Front), 0, &[0.7]);
    values.set(Source::EyeRelief, 0, &[0.6]);
    if tilts {
        values.set(Source::TiltX(Plate::Rear), 0, &[0.015]);
        values.set(Source::TiltY(Plate::Rear), 0, &[handed * 0.02]);
    }
    values
}

fn same_but_carried(before: &Values, after: &Values, across: &dyn Fn(Pair) -> Pair) {
    let (old, new) = (
        before.trial().expect("computable"),
        after.trial().expect("computable"),
    );
    for end in ends(before) {
        close_pair(
            new.deviation(&after.plan, end),
            across(old.deviation(&before.plan, end)),
            1e-14,
            "fixed",
        );
        close_pair(
            new.fitted_deviation(&after.plan, end),
            across(old.fitted_deviation(&before.plan, end)),
            1e-13,
            "fitted",
        );
        close(
            new.viewed.end_clear[end],
            old.viewed.end_clear[end],
            1e-12,
            "clear share",
        );
    }
    for rod in 0..before.plan.edges.len() {
        let (a, b) = (
            old.measured.across_fitted_rad(rod),
            new.measured.across_fitted_rad(rod),
        );
        close(b, a, 1e-13, "drift");
        assert!(a > 1e-4, "{a}");
    }
    for (a, b) in old.measured.gaps_rad.iter().zip(&new.measured.gaps_rad) {
        close(*b, *a, 1e-13, "gap");
    }
    let share = |outcome| match outcome {
        LookOutcome::Judged(verdict) => (verdict.worst, verdict.worst_share),
        LookOutcome::Clipped => panic!("the whole figure should be seen"),
    };
    let (a, b) = (share(old.outcome), share(new.outcome));
    assert_eq!(a.0, b.0);
    close(b.1, a.1, 1e-10, "share of the limit");
}

#[test]
fn turning_everything_about_the_axis_changes_nothing_but_directions() {
    let same = |p: Pair| p;
    let turn = |p: Pair| {
        let (s, c) = 0.7_f64.sin_cos();
        Pair::new(c * p.x - s * p.y, s * p.x + c * p.y)
    };
    let before = carried(&same, &same, 1.0, false);
    let after = carried(&turn, &same, 1.0, false);
    same_but_carried(&before, &after, &turn);
}

#[test]
fn the_mirrored_exhibit_is_the_mirror_image() {
    let same = |p: Pair| p;
    let mirror = |p: Pair| Pair::new(-p.x, p.y);
    let before = carried(&same, &same, 1.0, true);
    let after = carried(&mirror, &mirror, -1.0, true);
    same_but_carried(&before, &after, &mirror);
}

#[test]
fn the_order_of_the_rods_does_not_matter() {
    let design = lively_design(Frame::Fitted);
    let order = [4, 8, 0, 2, 7, 1, 6, 3, 5];
    let mut shuffled = design.clone();
    shuffled.rods = order.map(|rod| design.rods[rod].clone()).to_vec();
    let mut before = Values::none(design);
    let mut after = Values::none(shuffled);
    let number = |rod: usize, k: usize| ((rod * 7 + k * 3) % 11) as f64 / 11.0 - 0.5;
    for (place, rod) in order.into_iter().enumerate() {
        for which in 0..2 {
            let tie = [number(rod, which), number(rod, which + 2)];
            before.set(Source::RodTie, 2 * rod + which, &tie);
            after.set(Source::RodTie, 2 * place + which, &tie);
        }
        let bow = [0.004 * number(rod, 4), 0.004 * number(rod, 5)];
        before.set(Source::RodBow, rod, &bow);
        after.set(Source::RodBow, place, &bow);
    }
    for values in [&mut before, &mut after] {
        values.set(Source::EyeOffset, 0, &[0.4, 0.7]);
    }
    let (old, new) = (
        before.trial().expect("computable"),
        after.trial().expect("computable"),
    );
    for (place, rod) in order.into_iter().enumerate() {
        close(
            new.measured.across_fitted_rad(place),
            old.measured.across_fitted_rad(rod),
            1e-14,
            "drift",
        );
        close(
            new.measured.across_fixed_rad(place),
            old.measured.across_fixed_rad(rod),
            1e-14,
            "drift",
        );
    }
    for (a, b) in old.measured.gaps_rad.iter().zip(&new.measured.gaps_rad) {
        close(*b, *a, 1e-14, "gap");
    }
    let neutral = before.plan.neutral_values(Family::Build);
    assert_ne!(before.build, neutral, "something must be off");
}

#[test]
fn every_reason_for_not_computing_is_reached_by_its_own_cause() {
    let mut design = plain_design(Frame::Fitted);
    design.gravity.strength_m_per_s2 = 9.80665;
    let cause = |change: &dyn Fn(&mut Values)| {
        let mut values = Values::none(design.clone());
        change(&mut values);
        values.trial().err()
    };
    let reached = [
        cause(&|v| {
            v.set(Source::HandTension, 2, &[0.0]);
        }),
        cause(&|v| {
            v.set(Source::Slackening, 2, &[1e-4]);
        }),
        cause(&|v| {
            v.set(Source::SeatDepth(Plate::Front), 0, &[300.0]);
        }),
        cause(&|v| {
            v.set(Source::RodSlip, 3, &[150.0]);
        }),
        cause(&|v| {
            v.set(Source::EyeRelief, 0, &[15.5]);
        }),
        cause(&|v| {
            v.set(Source::Pupil, 0, &[0.0]);
        }),
        cause(&|v| {
            // both patterns shrunk to their centres, no weight: all ends are seen at one place
            v.plan = Plan::new(plain_design(Frame::Fitted));
            for plate in Plate::BOTH {
                v.set(Source::PrintScale(plate), 0, &[-1.0]);
            }
        }),
        {
            // a run clips such a look; only an estimate that needs every point to be seen gives up
            let mut values = Values::none(design.clone());
            values.set(Source::EyeOffset, 0, &[500.0, 0.0]);
            signed_outputs(&values.plan, &values.build, &values.look).err()
        },
        cause(&|v| {
            v.set(Source::RodTie, 0, &[f64::NAN, 0.0]);
        }),
    ];
    assert_eq!(reached.to_vec(), NotComputable::ALL.map(Some).to_vec());
}
