//! How big the peephole may be: the ends bracket what they say, every diameter has the same draws, the trials agree with the
//! closed form where it holds, and where no diameter serves the answer says what would mend it.

mod support;

use sightdrift::decision::peephole::{
    BoundReason, ChangeKind, Counted, DepthHidden, NoWindow, State, hand_holes, head_movement,
    plate_advice,
};
use sightdrift::decision::{PeepholeAnswer, Removal, RunPlan, brief, brief_run, peephole_answer};
use sightdrift::figure::{Frame, Law, LimitRule, Plan, Source};
use sightdrift::geometry::Pair;
use sightdrift::report::drawing::{PEEPHOLE_NAMES, peephole_drawings};
use sightdrift::sampling::Sampling;
use sightdrift::scenario::{EXAMPLES, Scenario, read_scenario};
use sightdrift::statistics::{IntervalMethod, interval_of_clustered_share};
use sightdrift::trial::RunHooks;
use sightdrift::vision::FieldOfLight;
use std::sync::atomic::AtomicBool;
use support::{plain_design, set_law, silent_laws, with_hooks};

fn example(name: &str) -> Scenario {
    let found = EXAMPLES.iter().find(|example| example.name == name);
    let text = found.expect("an example of that name").text;
    read_scenario(name, text, &|_| Err(String::new())).expect("a good example")
}

fn answer_of(name: &str, builds: u64) -> (Plan, PeepholeAnswer) {
    let scenario = example(name);
    let run = brief_run(&scenario.run, builds);
    let answer = with_hooks(|hooks| peephole_answer(&scenario.plan, &run, hooks));
    (scenario.plan, answer.expect("not interrupted"))
}

fn with_hole(plan: &Plan, diameter_mm: f64, run: &RunPlan) -> Counted {
    let plan = Plan::new(plan.design.with_peephole_mm(diameter_mm));
    let found = with_hooks(|hooks| brief(&plan, run, hooks)).expect("whole");
    Counted::of(&found, run)
}

fn clear(counted: &Counted) -> f64 {
    counted.clear.share().expect("looks")
}

#[test]
fn a_carton_at_arms_length_takes_the_office_punchs_hole() {
    let (_, answer) = answer_of("carton-kite", 2000);
    let range = answer.range.as_ref().expect("a range");
    assert!(range.holds(6.0), "{range:?}");
    // common practice, no source: an office punch's 6 mm hole for a carton; even if eyes come to stand anywhere in it
    let widest = answer.if_anywhere.surely_mm.expect("crossed");
    assert!(widest > 6.0, "{widest}");
    assert_eq!(range.smallest.reason, BoundReason::Clear);
    assert!(answer.own().is_some_and(|own| own.diameter_mm == 6.0));
}

#[test]
fn an_end_is_where_its_share_crosses_the_target_and_its_interval_where_the_bounds_do() {
    let (plan, answer) = answer_of("desk-boat", 1500);
    let smallest = answer.range.as_ref().expect("a range").smallest;
    let [Some(low), Some(high)] = smallest.interval_mm else {
        panic!("both sides: {smallest:?}");
    };
    assert!(
        low < smallest.at_mm && smallest.at_mm < high,
        "{smallest:?}"
    );
    let target = plan.design.judging.clear_share;
    let at = |mm: f64| {
        let counted = with_hole(&plan, mm, &answer.run);
        let interval = interval_of_clustered_share(&counted.clear, answer.run.level);
        (clear(&counted), interval.expect("looks"))
    };
    assert!(at(smallest.at_mm).0 >= target);
    assert!(at(smallest.at_mm / 1.004).0 < target);
    assert!(at(high).1[0] >= target && at(high / 1.004).1[0] < target);
    assert!(at(low).1[1] >= target && at(low / 1.004).1[1] < target);
}

#[test]
fn every_diameter_is_looked_at_with_the_same_builds_and_looks() {
    let (plan, answer) = answer_of("carton-kite", 600);
    for point in answer.points.iter().step_by(5) {
        let alone = with_hole(&plan, point.diameter_mm, &answer.run);
        assert!(alone == point.counted, "{}", point.diameter_mm);
    }
    // a wider hole hides the figure from no eye that a narrower one shows it to
    let shares: Vec<f64> = answer
        .points
        .iter()
        .map(|point| clear(&point.counted))
        .collect();
    assert!(shares.is_sorted(), "{shares:?}");
    let trolands: Vec<f64> = answer
        .points
        .iter()
        .filter_map(|point| point.trolands)
        .collect();
    assert!(trolands.len() == answer.points.len() && trolands.is_sorted());
    let blurs = answer
        .points
        .iter()
        .map(|point| point.blurs.diffraction_rad);
    assert!(blurs.is_sorted_by(|a, b| a >= b));
    let shown: Vec<Option<f64>> = answer.points.iter().map(|p| p.movement.shown_mm).collect();
    assert!(shown.is_sorted(), "{shown:?}");
    for point in &answer.points {
        let radius = &point.movement.holds;
        let [low, high] = radius.interval_mm;
        assert!(low <= radius.at_mm && radius.at_mm <= high, "{radius:?}");
    }
}

#[test]
fn the_sweep_holds_the_whole_range_and_beyond_it_nothing_changes() {
    for name in ["carton-kite", "desk-boat", "gallery-bridge"] {
        let (plan, answer) = answer_of(name, 300);
        let (first, last) = (&answer.points[0], &answer.points[answer.points.len() - 1]);
        assert!(clear(&first.counted) < 0.05, "{name}");
        let wider = with_hole(&plan, 1.5 * last.diameter_mm, &answer.run);
        assert!(
            wider == last.counted,
            "{name}: widening still changes something"
        );
    }
}

/// The plain exhibit behind a hole of `diameter_mm`, nothing wrong but that eyes stand anywhere in the hole, with a pupil so
/// small that the eye itself is the viewpoint; only gaps are judged.
fn eyes_in_the_hole(diameter_mm: f64) -> Plan {
    let mut design = plain_design(Frame::Fixed);
    design.laws = silent_laws(2e-3);
    design.peephole.diameter_mm = diameter_mm;
    // so near that the figure's slant moves the rim by next to nothing
    design.peephole.eye_relief_mm = 1e-3;
    design.judging.rule = LimitRule {
        drift_rad: Some(1.0),
        gap_rad: Some(2e-3),
        ..design.judging.rule
    };
    let in_the_hole = Law::Disc {
        centre: Pair::zeros(),
        radius: diameter_mm / 2.0,
    };
    set_law(&mut design, Source::EyeOffset, in_the_hole);
    Plan::new(design)
}

#[test]
fn with_no_error_but_the_eye_in_the_hole_trials_and_closed_form_agree() {
    let by_hand = hand_holes(&eyes_in_the_hole(1.0));
    let hand_mm = by_hand
        .iter()
        .filter_map(|one| one.diameter_mm)
        .fold(f64::INFINITY, f64::min);
    let run = RunPlan {
        seed: 3,
        builds: 4000,
        looks: 8,
        half_width: None,
        level: 0.95,
        method: IntervalMethod::Wilson,
        sampling: Sampling::Plain,
    };
    for times in [0.9, 0.999, 1.05, 1.3, 2.0] {
        let plan = eyes_in_the_hole(times * hand_mm);
        let found = with_hooks(|hooks| brief(&plan, &run, hooks)).expect("whole");
        let held = found.held.share().expect("looks");
        // the eye is within the hand's radius with the share of the areas
        let expected = f64::min(1.0, (1.0 / times).powi(2));
        let looks = (run.builds * run.looks) as f64;
        let error = (expected * (1.0 - expected) / looks).sqrt();
        assert!(
            (held - expected).abs() <= 5.0 * error,
            "{times}: {held}, expected {expected} ± {error}"
        );
    }
}

#[test]
fn the_hand_hole_of_a_junction_is_twice_its_limit_over_its_parallax() {
    let plan = eyes_in_the_hole(1.0);
    for one in hand_holes(&plan) {
        let [a, b] = one.depths_mm;
        let diameter_mm = one.diameter_mm.expect("two depths");
        let gap = diameter_mm / 2.0 * (1.0 / a - 1.0 / b).abs();
        assert!((gap - 2e-3).abs() < 1e-15, "{gap}");
    }
}

#[test]
fn where_friction_slackens_the_lines_no_hole_serves_and_the_answer_says_what_does() {
    let (_, answer) = answer_of("slack-windmill", 800);
    assert!(matches!(
        answer.range,
        Err(NoWindow::TooFewBuildsPass { .. })
    ));
    assert!(answer.recommended.is_none());
    let opens = |kind: ChangeKind| {
        let change = answer.changes.iter().find(|change| change.kind == kind);
        change.expect("it was tried").proof.clone()
    };
    let friction = opens(ChangeKind::Without(Removal::ThreadingLoss)).expect("it opens a range");
    let target = answer.targets;
    assert!(friction.counted.build_yield.share() >= Some(target.build_yield));
    assert!(clear(&friction.counted) >= target.clear);
    assert!(friction.is_sure);
    // where no build passes at all a pinhole is as near as any: the one that shows the figure is told
    for change in &answer.changes {
        let Some(nearest) = &change.nearest else {
            continue;
        };
        if nearest.counted.build_yield.count == 0 && change.kind != ChangeKind::LargerFigure {
            assert!(clear(&nearest.counted) > 0.9, "{:?}", change.kind);
        }
    }
    for kind in [
        ChangeKind::EyeRelief,
        ChangeKind::DepthSpread,
        ChangeKind::SmallerFigure,
        ChangeKind::Without(Removal::HoleSlack),
    ] {
        assert!(opens(kind).is_none(), "{kind:?}");
    }
}

#[test]
fn what_opens_a_range_is_the_least_change_that_does_and_is_proved() {
    // the kite with an eye that wanders much: too deep at its junctions
    let scenario = example("carton-kite");
    let mut design = scenario.plan.design.clone();
    let wild = Law::Disc {
        centre: Pair::zeros(),
        radius: 5.0,
    };
    set_law(&mut design, Source::EyeOffset, wild);
    let plan = Plan::new(design);
    let run = brief_run(&scenario.run, 600);
    let answer = with_hooks(|hooks| peephole_answer(&plan, &run, hooks)).expect("whole");
    let Err(NoWindow::EndsCross { smallest, largest }) = answer.range else {
        panic!("the ends cross: {:?}", answer.range);
    };
    assert!(smallest.at_mm > largest.at_mm);
    assert_eq!(
        [smallest.reason, largest.reason],
        [BoundReason::Clear, BoundReason::Held]
    );
    let depth = answer
        .changes
        .iter()
        .find(|change| change.kind == ChangeKind::DepthSpread)
        .expect("tried");
    let proof = depth.proof.as_ref().expect("less depth mends parallax");
    assert!(proof.counted.build_yield.share() >= Some(answer.targets.build_yield));
    let (as_is, needed) = (depth.as_is.expect("mm"), depth.needed.expect("mm"));
    assert!(0.0 < needed && needed < as_is, "{needed} {as_is}");
    let low = proof.counted.build_yield.interval().expect("builds")[0];
    assert_eq!(proof.is_sure, low >= answer.targets.build_yield);
    // as it is, the same diameter does not serve
    let before = with_hole(&plan, proof.diameter_mm, &answer.run);
    assert!(before.build_yield.share() < Some(answer.targets.build_yield));
}

#[test]
fn an_upper_end_is_found_where_parallax_binds() {
    let scenario = example("carton-kite");
    let mut design = scenario.plan.design.clone();
    let wide = Law::Disc {
        centre: Pair::zeros(),
        radius: 4.2,
    };
    set_law(&mut design, Source::EyeOffset, wide);
    let plan = Plan::new(design);
    let run = brief_run(&scenario.run, 1000);
    let answer = with_hooks(|hooks| peephole_answer(&plan, &run, hooks)).expect("whole");
    let held = answer
        .bounds
        .iter()
        .find(|bound| bound.reason == BoundReason::Held)
        .expect("told");
    assert_eq!(held.state, State::Crossed, "{held:?}");
    let at_mm = held.at_mm.expect("crossed");
    let passed = |mm: f64| {
        with_hole(&plan, mm, &run)
            .build_yield
            .share()
            .expect("builds")
    };
    assert!(passed(at_mm) >= 0.9 && passed(1.004 * at_mm) < 0.9);
    assert!(held.surely_mm.is_none_or(|mm| mm <= at_mm));
    assert!(held.possibly_mm.is_none_or(|mm| mm >= at_mm));
}

#[test]
fn the_range_ends_where_a_wider_hole_is_of_no_use_and_the_tool_lies_inside() {
    for (name, own_mm) in [
        ("carton-kite", 5000.0),
        ("desk-boat", 9.0),
        ("gallery-bridge", 16.0),
    ] {
        let scenario = example(name);
        let plan = Plan::new(scenario.plan.design.with_peephole_mm(own_mm));
        let run = brief_run(&scenario.run, 500);
        let answer = with_hooks(|hooks| peephole_answer(&plan, &run, hooks)).expect("whole");
        let range = answer.range.as_ref().expect("a range");
        let largest = range.largest.expect("an upper end");
        assert_eq!(largest.reason, BoundReason::Guides, "{name}");
        assert_eq!(largest.at_mm, answer.guides_until_mm);
        assert_eq!(range.holds(own_mm), own_mm < 100.0);
        assert_eq!(answer.own_is_wider_than_of_use(), own_mm > 100.0);
        let found = answer.recommended.as_ref().expect("a tool");
        assert!(range.holds(found.chosen.tool.diameter_mm));
        // beyond it hardly any look shows more, and none of the target is missed
        let shown = |mm: f64| clear(&with_hole(&plan, mm, &run));
        let at_end = shown(largest.at_mm);
        assert!(
            at_end >= 0.95 && shown(2.0 * largest.at_mm) - at_end < 0.05,
            "{name}"
        );
    }
}

#[test]
fn where_the_targets_ask_for_nearly_every_look_the_range_ends_where_every_look_shows_all() {
    let scenario = example("desk-boat");
    let mut design = scenario.plan.design.with_peephole_mm(5000.0);
    design.peephole.clip_below = 1.0;
    design.judging.clear_share = 0.995;
    let plan = Plan::new(design);
    let run = brief_run(&scenario.run, 500);
    let answer = with_hooks(|hooks| peephole_answer(&plan, &run, hooks)).expect("whole");
    let range = answer.range.as_ref().expect("a range");
    let largest = range.largest.expect("an upper end");
    assert_eq!(largest.reason, BoundReason::Open);
    assert!(range.smallest.at_mm > answer.guides_until_mm);
    assert!(!range.holds(5000.0) && answer.own_is_wider_than_of_use());
    assert!(clear(&with_hole(&plan, largest.at_mm, &run)) > 0.999);
}

#[test]
fn the_recommended_tool_lies_in_the_safe_part_and_its_proof_agrees() {
    let (plan, answer) = answer_of("desk-boat", 2000);
    let found = answer.recommended.as_ref().expect("a tool");
    let range = answer.range.as_ref().expect("a range");
    let [low, high] = range.safe_mm.expect("a safe part");
    let mm = found.chosen.tool.diameter_mm;
    assert!(found.is_safe && low <= mm && mm <= high);
    let alone = with_hole(&plan, mm, &answer.run);
    assert!(alone == found.chosen.counted);
    assert_eq!(found.proof.build_yield.of, 2 * answer.run.builds);
    let gap = found.proof.build_yield.share().expect("builds")
        - alone.build_yield.share().expect("builds");
    assert!(gap.abs() < 0.02, "{gap}");
    for other in &found.alternatives {
        assert!(other.tool.diameter_mm != mm && range.holds(other.tool.diameter_mm));
    }
    let cautious = found.cautious.as_ref().expect("another one");
    let widest = answer.if_anywhere.surely_mm.expect("crossed");
    assert!(cautious.chosen.tool.diameter_mm <= widest);
}

#[test]
fn a_thicker_plate_shows_less_and_its_limits_are_where_the_share_crosses() {
    let plan = example("desk-boat").plan;
    let advice = plate_advice(&plan, 7.0);
    let shares = advice.rows.iter().map(|row| row.clear_share);
    assert!(shares.is_sorted_by(|a, b| *a >= *b - 1e-9));
    assert_eq!(advice.rows[0].thickness_mm, 0.0);
    let shown = advice.shown_up_to_mm.expect("a thin one shows it");
    let nine_tenths = advice.nine_tenths_up_to_mm.expect("a thin one shows it");
    assert!(nine_tenths < shown);
    let mut thick = plan.design.clone();
    thick.peephole.plate_mm = nine_tenths;
    let there = plate_advice(&Plan::new(thick), 7.0);
    let row = there
        .rows
        .iter()
        .find(|row| row.thickness_mm == nine_tenths);
    let left = row.expect("the scenario's own").clear_share / advice.rows[0].clear_share;
    assert!((left - 0.9).abs() < 0.005, "{left}");
}

#[test]
fn a_plate_that_takes_more_than_a_tenth_of_the_view_is_told_with_how_thin_it_must_be() {
    let plan = example("desk-boat").plan;
    let with_plate = |plate_mm: f64| {
        let mut design = plan.design.clone();
        design.peephole.plate_mm = plate_mm;
        plate_advice(&Plan::new(design), 10.0)
    };
    assert!(with_plate(0.0).own_takes.is_none());
    let limits = with_plate(6.0);
    let thick = limits.own_takes.expect("more than a tenth");
    assert!(thick.lost_share > 0.1 && !thick.is_clipped, "{thick:?}");
    assert_eq!(Some(thick.thin_enough_mm), limits.nine_tenths_up_to_mm);
    assert!(with_plate(0.99 * thick.thin_enough_mm).own_takes.is_none());
    let shown_mm = limits.shown_up_to_mm.expect("shown");
    let thicker = with_plate(1.01 * shown_mm).own_takes.expect("clipped");
    assert!(
        thicker.is_clipped && thicker.clear_share < 0.25,
        "{thicker:?}"
    );
}

#[test]
fn too_little_light_binds_no_hole_and_says_how_much_more_would_do() {
    let scenario = example("gallery-bridge");
    let mut design = scenario.plan.design.clone();
    design.viewer.luminance_cd_per_m2 = Some(1.0);
    let plan = Plan::new(design);
    let run = brief_run(&scenario.run, 100);
    let answer = with_hooks(|hooks| peephole_answer(&plan, &run, hooks)).expect("whole");
    let light = answer.light.expect("a luminance");
    assert!(light.smallest_mm.is_none() && light.times_more_light.is_some_and(|t| t > 1.0));
    assert!(
        answer
            .bounds
            .iter()
            .all(|bound| bound.reason != BoundReason::Light)
    );
    assert_eq!(answer.depth_hidden, DepthHidden::AtEvery);
}

/// The boat in this light, which its pupils follow.
fn boat_in_the_light(luminance_cd_per_m2: f64) -> Plan {
    let mut design = example("desk-boat").plan.design.clone();
    design.viewer.luminance_cd_per_m2 = Some(luminance_cd_per_m2);
    let Law::Light { light, age } = design.law(Source::Pupil).clone() else {
        panic!("the boat's pupils follow the light");
    };
    let light = FieldOfLight {
        luminance_cd_per_m2,
        ..light
    };
    set_law(&mut design, Source::Pupil, Law::Light { light, age });
    Plan::new(design)
}

#[test]
fn so_many_times_the_light_is_just_enough_for_the_pupil_that_it_sets() {
    let run = RunPlan {
        builds: 50,
        ..brief_run(&example("desk-boat").run, 50)
    };
    let light = |luminance: f64| {
        let plan = boat_in_the_light(luminance);
        let answer = with_hooks(|hooks| peephole_answer(&plan, &run, hooks)).expect("whole");
        answer.light.expect("a luminance")
    };
    let dim = light(2.0);
    let times = dim.times_more_light.expect("too dim");
    assert!((times - 3.5).abs() < 0.2, "{times}");
    let bright = light(2.0 * times);
    let got = bright.whole_pupil_td / bright.normal.illuminance_td;
    assert!((got - 1.0).abs() < 1e-6, "{got}");
    // the natural pupil narrows, so more is asked for than light on a fixed pupil
    assert!(times > dim.normal.illuminance_td / dim.whole_pupil_td);
}

#[test]
fn a_wide_hole_leaves_as_much_head_movement_as_the_work_allows() {
    let scenario = example("carton-kite");
    let interrupted = AtomicBool::new(false);
    let free = |diameter_mm: f64| {
        let plan = Plan::new(scenario.plan.design.with_peephole_mm(diameter_mm));
        head_movement(&plan, &scenario.run, &interrupted)
            .expect("whole")
            .holds
    };
    let usual = free(25.0);
    for wide in [free(189.0), free(5000.0)] {
        let [low, high] = wide.interval_mm.map(|mm| mm.expect("an interval"));
        let usual_mm = usual.at_mm.expect("mm");
        assert!(
            low < 2.45 && 2.45 < high && low < usual_mm && usual_mm < high,
            "{wide:?}"
        );
        let gap = wide.at_mm.expect("mm") - usual_mm;
        assert!(gap.abs() < 0.02, "{wide:?} {usual:?}");
    }
}

#[test]
fn the_answer_is_the_same_at_any_number_of_threads() {
    let scenario = example("carton-kite");
    let run = brief_run(&scenario.run, 300);
    let [one, three] = [1, 3].map(|threads| {
        let pool = sightdrift::trial::thread_pool(threads).expect("threads");
        let plan = &scenario.plan;
        pool.install(|| with_hooks(|hooks| peephole_answer(plan, &run, hooks)))
            .expect("not interrupted")
    });
    assert!(one == three);
}

#[test]
fn drawings_name_their_curves_ends_and_units_and_stay_on_the_sheet() {
    for (name, builds, words) in [
        (
            "carton-kite",
            200,
            [
                "smallest: ",
                "take: ",
                "clear and held",
                "as it is: 6.00 mm",
            ],
        ),
        (
            "slack-windmill",
            64,
            [
                "clear looks",
                "builds that pass",
                "share, %",
                "as it is: 9.00 mm",
            ],
        ),
    ] {
        let (_, answer) = answer_of(name, builds);
        let all = peephole_drawings(&answer).expect("drawn");
        assert_eq!([all[0].name, all[1].name], PEEPHOLE_NAMES);
        for drawing in &all {
            let document = roxmltree::Document::parse(&drawing.svg).expect("good SVG");
            let text: String = document
                .descendants()
                .filter_map(|node| node.text())
                .collect();
            assert!(text.contains("diameter of the peephole, mm"), "{text}");
            assert!(
                !drawing.svg.contains("NaN") && !drawing.svg.contains("inf"),
                "{name}"
            );
        }
        for word in words {
            assert!(all[0].svg.contains(word), "{word}");
        }
        for word in ["blur, arcmin", "light, trolands", "mm to every side"] {
            assert!(all[1].svg.contains(word), "{word}");
        }
    }
}

#[test]
fn an_interrupted_answer_is_none() {
    let scenario = example("carton-kite");
    let interrupted = AtomicBool::new(true);
    let hooks = RunHooks {
        interrupted: &interrupted,
        progress: &|_, _| {},
    };
    let run = brief_run(&scenario.run, 300);
    assert!(peephole_answer(&scenario.plan, &run, &hooks).is_err());
}
