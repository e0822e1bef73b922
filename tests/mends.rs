//! What mends builds of which everything is known: one fault, two faults, none.

#[path = "support/known_builds.rs"]
mod known_builds;
mod support;

use known_builds::{Fault, example, known, line, mean_build_with, mended, run_of, slack, told};
use sightdrift::decision::diagnosis::{Correction, Mend, Mends, Move, Suspect, finding, mends};
use sightdrift::decision::signed_outputs;
use sightdrift::figure::{Bench, Family, Finish, Frame, Plan, Plate, Source};
use sightdrift::geometry::Pair;
use sightdrift::mechanics::Tightening;
use sightdrift::scenario::Scenario;
use sightdrift::trial::thread_pool;
use support::{close, plain_design, with_hooks};

/// Single corrections by their result, the best first.
fn by_result(mends: &Mends) -> Vec<&Mend> {
    let single = |mend: &&Mend| mend.corrections.len() == 1;
    let mut all: Vec<&Mend> = mends.ranked.iter().filter(single).collect();
    all.sort_by(|a, b| {
        let by_share = b.passes.count.cmp(&a.passes.count);
        by_share.then(a.worst().total_cmp(&b.worst()))
    });
    all
}

fn found(mends: &Mends, is_it: impl Fn(&Correction) -> bool) -> &Mend {
    let all = by_result(mends);
    all.into_iter()
        .find(|mend| is_it(&mend.corrections[0]))
        .expect("it was tried")
}

fn put_right(source: Source, item: usize) -> impl Fn(&Correction) -> bool {
    move |one| *one == Correction::PutRight(Suspect::item(source, item))
}

fn moved(plate: Plate) -> impl Fn(&Correction) -> bool {
    move |one| matches!(one, Correction::MovePlate(moved) if moved.plate == plate)
}

/// The faults that an example is tried with: what spoils it, and which correction must be among the two best.
type Case = (Vec<Fault>, Box<dyn Fn(&Correction) -> bool>);

/// A scenario with its cases.
type Cases = (Scenario, Vec<Case>);

fn hole(plan: &Plan, line_name: &str, off_mm: [f64; 2]) -> Case {
    let line = line(plan, line_name);
    (
        vec![(Source::HoleScatter(Plate::Rear), line, off_mm)],
        Box::new(put_right(Source::HoleScatter(Plate::Rear), line)),
    )
}

fn tie(end: usize, off_mm: [f64; 2]) -> Case {
    (
        vec![(Source::RodTie, end, off_mm)],
        Box::new(put_right(Source::RodTie, end)),
    )
}

fn peephole() -> Case {
    (
        vec![(Source::PeepholeShift, 0, [-6.0, 1.0])],
        Box::new(|one| matches!(one, Correction::MovePeephole(..))),
    )
}

/// In the fitted frame the other plate moved the other way makes it up as well.
fn front_shift(off_mm: [f64; 2]) -> Case {
    (
        vec![(Source::PatternShift(Plate::Front), 0, off_mm)],
        Box::new(|one| matches!(one, Correction::MovePlate(_))),
    )
}

/// The windmill with every run pulled tight by itself, as it would hold.
fn tight_windmill() -> Scenario {
    let scenario = example("slack-windmill");
    let mut design = scenario.plan.design.clone();
    if let Some(threading) = &mut design.line.threading {
        threading.tightening = Tightening::EachRun;
    }
    Scenario {
        plan: Plan::new(design),
        ..scenario
    }
}

fn all_cases() -> Vec<Cases> {
    let [boat, kite, windmill] = [
        example("desk-boat"),
        example("carton-kite"),
        tight_windmill(),
    ];
    let printed: Case = (
        vec![(Source::PrintScale(Plate::Rear), 0, [-0.06, 0.0])],
        Box::new(moved(Plate::Rear)),
    );
    let boats = vec![
        printed,
        hole(&boat.plan, "bow", [3.0, 2.0]),
        tie(5, [4.0, 3.0]),
        peephole(),
        front_shift([3.5, -2.0]),
    ];
    let kites = vec![
        hole(&kite.plan, "nose", [9.0, 6.0]),
        tie(5, [8.0, 5.0]),
        peephole(),
        front_shift([4.0, -2.0]),
    ];
    let slack_hub: Case = (
        vec![slack(&windmill.plan, 0, 0.1)],
        Box::new(put_right(Source::HandTension, 0)),
    );
    vec![(boat, boats), (kite, kites), (windmill, vec![slack_hub])]
}

#[test]
fn the_right_correction_is_among_the_two_best_and_mends() {
    for (scenario, cases) in all_cases() {
        for (faults, is_right) in cases {
            let (before, mends) = mended(&scenario, &known(&scenario.plan, &faults));
            let what = format!("{}: {}", scenario.title, faults[0].0.words());
            assert!(before.passes.count < before.passes.of / 10, "{what}");
            let best = by_result(&mends);
            let place = best.iter().position(|mend| is_right(&mend.corrections[0]));
            assert!(
                place.is_some_and(|place| place < 2),
                "{what} at {place:?}, best {}",
                told(best[0])
            );
            let mend = best[place.expect("found")];
            assert!(mend.worst() < 1.0, "{what}: {}", told(mend));
            assert!(mend.meets, "{what}: {}", told(mend));
            let gain = mend.gain.expect("builds");
            assert!(gain.interval[0] > 0.5, "{what}: {}", told(mend));
            let least = &mends.ranked[mends.least.expect("something mends it")];
            assert!(least.meets && least.minutes <= mend.minutes);
        }
    }
}

#[test]
fn a_plate_that_was_shifted_is_brought_back() {
    for (scenario, off_mm) in [
        (example("desk-boat"), [3.5, -2.0]),
        (example("carton-kite"), [4.0, -2.0]),
    ] {
        let (faults, _) = front_shift(off_mm);
        let (_, mends) = mended(&scenario, &known(&scenario.plan, &faults));
        let mend = found(&mends, |one| {
            matches!(one, Correction::MovePlate(moved)
                if moved.plate == Plate::Front && moved.depth_mm == 0.0)
        });
        let Correction::MovePlate(by) = mend.corrections[0] else {
            panic!("no move");
        };
        // what the lines' sag and the ties do besides is made up too, up and down
        close(by.shift_mm.x, -off_mm[0], 0.15, "across");
        close(by.shift_mm.y, -off_mm[1], 0.8, "up");
        assert!(
            mend.meets && mend.words.contains("to the right"),
            "{}",
            mend.words
        );
    }
}

#[test]
fn a_slipped_end_shows_to_eyes_off_the_axis_only() {
    let mut design = plain_design(Frame::Fitted).with_depths_mm(&[250.0; 18]);
    design.judging.rule = Finish::Seamless.rule();
    support::set_law(
        &mut design,
        Source::EyeOffset,
        support::normal(Source::EyeOffset, 0.3),
    );
    let scenario = Scenario {
        plan: Plan::new(design),
        ..example("desk-boat")
    };
    let slip = (Source::RodSlip, 0, [100.0, 0.0]);
    let (before, mends) = mended(&scenario, &known(&scenario.plan, &[slip]));
    assert!(
        before.worst.median < 1e-9,
        "along its sightline nothing moves"
    );
    assert!(before.passes.count < before.passes.of / 2);
    let best = by_result(&mends)[0];
    assert!(put_right(Source::RodSlip, 0)(&best.corrections[0]));
    assert_eq!(best.passes.count, best.passes.of);
    assert_eq!(
        best.words,
        "re-tie rod r0 at v0 100.0 mm nearer to the front plate"
    );
}

#[test]
fn a_rest_in_the_wrong_place_is_moved() {
    let scenario = example("desk-boat");
    let mut why = known(&scenario.plan, &[]);
    why.look[scenario.plan.layout.start(Source::EyeRelief)] -= 40.0;
    why.relief_was_read = true;
    let (before, mends) = mended(&scenario, &why);
    assert!(before.passes.count < before.passes.of / 10);
    let least = &mends.ranked[mends.least.expect("the rest")];
    assert!(put_right(Source::EyeRelief, 0)(&least.corrections[0]));
    assert_eq!(
        least.words,
        "move the rest for the eye 40.0 mm towards the peephole"
    );
    // everything done again is seen by eyes in their place
    assert!(mends.built_anew.count > before.passes.of * 9 / 10);
}

#[test]
fn a_plan_that_does_not_hold_is_told() {
    let scenario = example("slack-windmill");
    let (_, mends) = mended(&scenario, &known(&scenario.plan, &[]));
    assert_eq!(mends.built_anew.count, 0);
    assert!(mends.least.is_none());
}

#[test]
fn those_that_meet_the_target_come_first_and_by_effort() {
    let scenario = example("desk-boat");
    let plan = &scenario.plan;
    let (faults, _) = hole(plan, "bow", [3.0, 2.0]);
    let (_, mends) = mended(&scenario, &known(plan, &faults));
    let meets = mends.ranked.iter().take_while(|mend| mend.meets).count();
    assert!(meets > 0 && mends.least == Some(0));
    assert!(mends.ranked[meets..].iter().all(|mend| !mend.meets));
    assert!(mends.ranked[..meets].is_sorted_by_key(|mend| mend.minutes));
    assert!(
        mends.ranked[meets..]
            .is_sorted_by(|a, b| { (a.passes.count, -a.worst()) >= (b.passes.count, -b.worst()) })
    );
    let without = mends.ranked[..meets].iter().any(|mend| !mend.pierces);
    assert_eq!(mends.needs_piercing, !without);
    for mend in &mends.ranked {
        let share = mend.passes.share().expect("builds");
        assert_eq!(mend.meets, share >= plan.design.judging.target_yield);
        assert!(!mend.meets_surely || mend.meets);
    }
}

#[test]
fn a_plate_printed_too_small_is_made_good_by_moving_it_nearer() {
    for scale in [-0.03, 0.02] {
        let mut design = plain_design(Frame::Fitted);
        design.judging.rule = Finish::Seamless.rule();
        let scenario = Scenario {
            plan: Plan::new(design),
            ..example("desk-boat")
        };
        let plan = &scenario.plan;
        let look = plan.mean_values(Family::Look);
        for plate in Plate::BOTH {
            let z_mm = plan.design.plates[plate.index()].z_mm;
            // a plate of scale 1 + s at z (1 + s) has every hole on its sightline
            let printed = (Source::PrintScale(plate), 0, [scale, 0.0]);
            let seated = [scale * z_mm, 0.0];
            let both = [printed, (Source::SeatDepth(plate), 0, seated)];
            let outputs = signed_outputs(plan, &mean_build_with(plan, &both), &look);
            let worst = outputs
                .expect("seen")
                .iter()
                .fold(0.0, |a: f64, b| a.max(b.abs()));
            assert!(worst < 1e-14, "{worst:e}");
            let (before, mends) = mended(&scenario, &known(plan, &[printed]));
            assert!(before.worst.median > 1.0);
            let mend = found(&mends, moved(plate));
            let Correction::MovePlate(by) = mend.corrections[0] else {
                panic!("no move");
            };
            close(by.depth_mm, seated[0], 0.051, "moved along the axis");
            assert!(mend.worst() < 0.05, "{}", told(mend));
            assert_eq!(mend.passes.count, mend.passes.of, "{}", told(mend));
            let word = if scale < 0.0 { "towards" } else { "away from" };
            assert!(mend.words.contains(word), "{}", mend.words);
        }
    }
}

#[test]
fn a_plate_is_never_moved_into_the_rods() {
    let scenario = example("desk-boat");
    let plan = &scenario.plan;
    // the farthest rod end hangs at 530 mm before a plate at 560 mm
    let printed = (Source::PrintScale(Plate::Rear), 0, [-0.06, 0.0]);
    let (_, mends) = mended(&scenario, &known(plan, &[printed]));
    let moves = mends.ranked.iter().flat_map(|mend| &mend.corrections);
    let mut seen = 0;
    for one in moves {
        if let Correction::MovePlate(Move {
            plate: Plate::Rear,
            depth_mm,
            ..
        }) = one
        {
            assert!(*depth_mm >= -25.05, "{depth_mm}");
            seen += u64::from(*depth_mm < -20.0);
        }
    }
    assert!(seen > 0, "it was not moved to where it may go");
}

#[test]
fn no_move_by_a_little_more_or_less_is_better() {
    let plan = Plan::new(plain_design(Frame::Fitted));
    let shift = [5.0, -8.0];
    let scenario = Scenario {
        plan: plan.clone(),
        ..example("desk-boat")
    };
    let faults = [
        (Source::PatternShift(Plate::Rear), 0, shift),
        (Source::PatternTurn(Plate::Rear), 0, [0.02, 0.0]),
        (Source::HoleScatter(Plate::Front), 2, [4.0, 2.5]),
    ];
    let (_, mends) = mended(&scenario, &known(&plan, &faults));
    let Correction::MovePlate(best) = found(&mends, moved(Plate::Rear)).corrections[0] else {
        panic!("no move");
    };
    let look = plan.mean_values(Family::Look);
    let detail_rad = plan.typical_detail_rad();
    let ends = plan.targets.len();
    let cost = |by: Move| {
        let (sine, cosine) = by.turn_rad.sin_cos();
        let turned = [
            cosine * shift[0] - sine * shift[1],
            sine * shift[0] + cosine * shift[1],
        ];
        let now = [turned[0] + by.shift_mm.x, turned[1] + by.shift_mm.y];
        let turn = [0.02 + by.turn_rad, 0.0];
        let depth = [by.depth_mm, 0.0];
        let build = mean_build_with(
            &plan,
            &[
                (Source::PatternShift(Plate::Rear), 0, now),
                (Source::PatternTurn(Plate::Rear), 0, turn),
                (Source::SeatDepth(Plate::Rear), 0, depth),
                faults[2],
            ],
        );
        let outputs = signed_outputs(&plan, &build, &look).expect("seen");
        let limit_rad = |nth: usize| {
            if nth < ends {
                return plan.drift_limit_rad(nth / 2, detail_rad);
            }
            let mut first = ends;
            for (junction, one) in plan.junctions.iter().enumerate() {
                first += one.ends.len() * (one.ends.len() - 1);
                if nth < first {
                    return plan.gap_limit_rad(junction, detail_rad);
                }
            }
            unreachable!("no such output")
        };
        let over = |(nth, output): (usize, &f64)| (output / limit_rad(nth)).powi(2);
        outputs.iter().enumerate().map(over).sum::<f64>()
    };
    let least = cost(best);
    let still = cost(Move {
        shift_mm: Pair::zeros(),
        turn_rad: 0.0,
        depth_mm: 0.0,
        ..best
    });
    assert!(least < 0.5 * still);
    // what a hand can set is rounded to 0.1 mm and one minute of arc, and a number that is worth no more than a twentieth of what
    // the move gains is left out
    let worth = 0.05 * (still - least);
    for step in [-1.0, 1.0] {
        for nth in 0..3 {
            let mut by = best;
            match nth {
                0 => by.shift_mm.x += 0.1 * step,
                1 => by.shift_mm.y += 0.1 * step,
                _ => by.turn_rad += step * 2.0 * sightdrift::units::ARCMIN_RAD,
            }
            assert!(cost(by) > least - worth, "{nth} {step}");
            let mut far = best;
            match nth {
                0 => far.shift_mm.x += 0.5 * step,
                1 => far.shift_mm.y += 0.5 * step,
                _ => far.turn_rad += step * 0.01,
            }
            assert!(cost(far) > least - worth, "{nth} {step}");
        }
    }
}

#[test]
fn a_build_without_a_fault_needs_nothing() {
    for name in ["desk-boat", "carton-kite"] {
        let scenario = example(name);
        let (found, mends) = mended(&scenario, &known(&scenario.plan, &[]));
        assert!(found.worst.median < 1.0);
        assert!(mends.needs_nothing && mends.least.is_none() && !mends.needs_piercing);
        assert!(
            mends.ranked.iter().all(|mend| {
                mend.corrections.len() == 1 && mend.passes.count > found.passes.count
            })
        );
        assert!(mends.built_anew.count > mends.built_anew.of * 8 / 10);
    }
}

#[test]
fn pairs_mend_what_no_single_correction_does() {
    let scenario = example("desk-boat");
    let plan = &scenario.plan;
    let tie = || tie(5, [4.0, 3.0]);
    for (other, pierces) in [
        (front_shift([3.5, -2.0]), false),
        (hole(plan, "bow", [3.0, 2.0]), true),
    ] {
        let faults = [tie().0[0], other.0[0]];
        let (_, mends) = mended(&scenario, &known(plan, &faults));
        let singles = by_result(&mends);
        assert!(
            singles.iter().all(|mend| !mend.meets),
            "{}",
            told(singles[0])
        );
        let least = &mends.ranked[mends.least.expect("a pair mends it")];
        let [first, second] = &least.corrections[..] else {
            panic!("no pair: {}", told(least));
        };
        assert!(least.worst() < 1.0 && least.meets, "{}", told(least));
        let is_right = |a: &Correction, b: &Correction| tie().1(a) && other.1(b);
        assert!(
            is_right(first, second) || is_right(second, first),
            "{}",
            told(least)
        );
        assert_eq!(mends.needs_piercing, pierces);
    }
}

#[test]
fn work_that_two_corrections_share_is_done_once() {
    let scenario = example("desk-boat");
    let (faults, _) = hole(&scenario.plan, "bow", [3.0, 2.0]);
    let (_, mends) = mended(&scenario, &known(&scenario.plan, &faults));
    let minutes = |is_it: &dyn Fn(&Correction) -> bool| found(&mends, is_it).minutes;
    // ten lines of four minutes each
    assert_eq!(minutes(&|one| *one == Correction::TightenAll), 40.0);
    // pattern 11, ten holes of 1, seat 20, ten times threading 3, tightening
    let pierced = minutes(&|one| matches!(one, Correction::PierceAnew(_)));
    assert_eq!(pierced, 11.0 + 10.0 + 20.0 + 30.0 + 40.0);
    let is_both = |mend: &&Mend| {
        let [first, second] = &mend.corrections[..] else {
            return false;
        };
        matches!(first, Correction::PierceAnew(_))
            && matches!(second, Correction::MovePlate(moved) if moved.depth_mm != 0.0)
    };
    let both = mends.ranked.iter().find(is_both).expect("such a pair");
    // one more seat; the lines are tightened once
    assert_eq!(both.minutes, pierced + 20.0, "{}", told(both));
}

#[test]
fn what_to_do_is_told_as_seen_from_the_peephole() {
    let boat = example("desk-boat");
    let words = |scenario: &Scenario, (faults, is_it): Case| {
        let (_, mends) = mended(scenario, &known(&scenario.plan, &faults));
        found(&mends, is_it).words.clone()
    };
    // +x of the cabinet is the viewer's left
    let hole = words(&boat, hole(&boat.plan, "bow", [3.0, -2.0]));
    let expected = "pierce the hole of bow in the rear plate anew, 3.0 mm to the right and 2.0 mm up of the one there";
    assert!(hole.starts_with(expected), "{hole}");
    assert_eq!(
        words(&boat, peephole()),
        "move the peephole 6.0 mm to the left and 1.0 mm down"
    );
    assert_eq!(
        words(&boat, tie(5, [4.0, 3.0])),
        "tie rod keel at keel-fore again, 4.0 mm to the right and 3.0 mm down"
    );
    let windmill = tight_windmill();
    let slack_hub: Case = (
        vec![slack(&windmill.plan, 0, 0.1)],
        Box::new(put_right(Source::HandTension, 0)),
    );
    let slack = words(&windmill, slack_hub);
    assert!(slack.starts_with("tighten line hub: it has 0."), "{slack}");
    assert!(slack.ends_with("8.0 N is planned"), "{slack}");
}

#[test]
fn mends_are_the_same_at_any_number_of_threads() {
    let scenario = example("desk-boat");
    let plan = &scenario.plan;
    let faults = [tie(5, [4.0, 3.0]).0[0], hole(plan, "bow", [3.0, 2.0]).0[0]];
    let why = known(plan, &faults);
    let at = |threads: usize| {
        let pool = thread_pool(threads).expect("threads");
        pool.install(|| mended(&scenario, &why))
    };
    assert!(at(1) == at(2), "another answer at two threads");
}

#[test]
fn an_interrupt_ends_it() {
    let scenario = &example("desk-boat");
    let why = known(&scenario.plan, &[]);
    let run = run_of(scenario);
    let found = with_hooks(|hooks| finding(&scenario.plan, &Bench::default(), &why, &run, hooks));
    let found = found.expect("a finding");
    let interrupted = std::sync::atomic::AtomicBool::new(true);
    let hooks = sightdrift::trial::RunHooks {
        interrupted: &interrupted,
        progress: &|_, _| {},
    };
    assert!(finding(&scenario.plan, &Bench::default(), &why, &run, &hooks).is_err());
    assert!(mends(&scenario.plan, &why, &found, &run, &hooks).is_err());
}
