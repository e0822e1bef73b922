//! Same seed, same numbers: at any number of threads, with any other source added, and for one trial drawn alone.

mod support;

use sightdrift::decision::{Assessment, RunPlan, assess, run};
use sightdrift::figure::{Design, Family, Frame, Law, Plan, Plate, Source};
use sightdrift::sampling::{BLOCK_BUILDS, Distribution, Sampling};
use sightdrift::statistics::{IntervalMethod, Tally};
use sightdrift::trial::{Draws, Sampler, fill_build, fill_look, thread_pool};
use support::{Values, lively_design, normal, set_law, with_hooks};

const SEED: u64 = 7;

fn run_plan(builds: u64) -> RunPlan {
    RunPlan {
        seed: SEED,
        builds,
        looks: 6,
        half_width: None,
        level: 0.95,
        method: IntervalMethod::Wilson,
        sampling: Sampling::Plain,
    }
}

fn tally_at(threads: usize, plan: &Plan, run_plan: &RunPlan) -> Tally {
    thread_pool(threads)
        .expect("threads")
        .install(|| with_hooks(|hooks| run(plan, run_plan, hooks)))
        .expect("never interrupted")
        .tally
}

/// Every number of a debug print: floats are printed so that equal text means equal bits.
fn all_of(value: &impl std::fmt::Debug) -> String {
    format!("{value:?}")
}

#[test]
fn tallies_are_the_same_bits_at_one_two_and_eight_threads() {
    let plan = Plan::new(lively_design(Frame::Fitted));
    // five whole blocks and a part
    let run_plan = run_plan(5 * BLOCK_BUILDS as u64 + 77);
    let one = tally_at(1, &plan, &run_plan);
    assert_eq!(one.builds, run_plan.builds);
    assert!(one.held > 0 && one.broken > 0, "a dull run tests nothing");
    for threads in [2, 8] {
        let other = tally_at(threads, &plan, &run_plan);
        assert_eq!(
            one.held_share.share().map(f64::to_bits),
            other.held_share.share().map(f64::to_bits)
        );
        for (a, b) in one.rods.iter().zip(&other.rods) {
            for (a, b) in a.off_rad.iter().zip(&b.off_rad) {
                assert_eq!(a.sd().map(f64::to_bits), b.sd().map(f64::to_bits));
            }
        }
        assert!(all_of(&one) == all_of(&other), "{threads} threads differ");
    }
}

#[test]
fn assessments_are_the_same_at_one_two_and_eight_threads() {
    let at = |threads: usize| -> Assessment {
        let plan = Plan::new(lively_design(Frame::Fitted));
        thread_pool(threads)
            .expect("threads")
            .install(|| with_hooks(|hooks| assess(plan, run_plan(600), hooks)))
            .expect("never interrupted")
    };
    let one = all_of(&at(1));
    assert!(one.len() > 10_000);
    for threads in [2, 8] {
        assert!(one == all_of(&at(threads)), "{threads} threads differ");
    }
}

#[test]
fn another_seed_gives_other_numbers() {
    let plan = Plan::new(lively_design(Frame::Fitted));
    assert_ne!(
        fill_build(&plan, &Sampler::plain(SEED), 3),
        fill_build(&plan, &Sampler::plain(SEED + 1), 3)
    );
    assert_ne!(
        fill_look(&plan, &Sampler::plain(SEED), 3, 2),
        fill_look(&plan, &Sampler::plain(SEED + 1), 3, 2)
    );
}

/// The values of one source in build `build`, or in look 2 at it.
fn drawn(plan: &Plan, source: Source, build: u64) -> Vec<u64> {
    let all = match source.family() {
        Family::Build => fill_build(plan, &Sampler::plain(SEED), build),
        Family::Look => fill_look(plan, &Sampler::plain(SEED), build, 2),
    };
    let start = plan.layout.start(source);
    let count = source.items(&plan.design) * source.components();
    all[start..start + count]
        .iter()
        .map(|x| x.to_bits())
        .collect()
}

fn only_these_change(before: &Design, after: &Design, changed: &[Source]) {
    let (before, after) = (Plan::new(before.clone()), Plan::new(after.clone()));
    for build in [0, 5, 255, 256, 1000] {
        for source in Source::ALL {
            let same = drawn(&before, source, build) == drawn(&after, source, build);
            assert_eq!(
                same,
                !changed.contains(&source),
                "{source:?} in build {build}"
            );
        }
    }
}

#[test]
fn a_source_that_is_added_leaves_all_other_draws_alone() {
    let before = lively_design(Frame::Fitted);
    for source in [
        Source::PatternShift(Plate::Rear),
        Source::PrintScale(Plate::Front),
        Source::Slackening,
        Source::PeepholeShift,
    ] {
        let mut after = before.clone();
        set_law(&mut after, source, normal(source, 0.013));
        only_these_change(&before, &after, &[source]);
    }
}

#[test]
fn a_tolerance_that_changes_leaves_all_other_draws_alone() {
    let before = lively_design(Frame::Fitted);
    for source in [
        Source::HoleScatter(Plate::Front),
        Source::EyeOffset,
        Source::RodBow,
    ] {
        let mut after = before.clone();
        set_law(&mut after, source, normal(source, 0.0777));
        only_these_change(&before, &after, &[source]);
    }
    // another form takes another number of uniforms, and still only its own draws change
    let mut after = before.clone();
    set_law(
        &mut after,
        Source::RodTie,
        Law::Spun(Distribution::Uniform {
            mean: 0.2,
            half_width: 0.1,
        }),
    );
    only_these_change(&before, &after, &[Source::RodTie]);
}

#[test]
fn a_source_that_is_scaled_keeps_its_place_in_the_stream() {
    let before = lively_design(Frame::Fitted);
    let mut after = before.clone();
    set_law(
        &mut after,
        Source::EyeOffset,
        normal(Source::EyeOffset, 1.0),
    );
    let (before, after) = (Plan::new(before), Plan::new(after));
    for build in 0..5 {
        let (a, b) = (
            drawn(&before, Source::EyeOffset, build),
            drawn(&after, Source::EyeOffset, build),
        );
        for (a, b) in a.into_iter().zip(b) {
            // 0.5 mm became 1 mm: twice the number, exactly
            assert_eq!(2.0 * f64::from_bits(a), f64::from_bits(b));
        }
    }
}

#[test]
fn one_trial_drawn_alone_is_the_same_trial_in_its_block() {
    let plan = Plan::new(lively_design(Frame::Fitted));
    for block in [0_u64, 3] {
        let mut builds = Draws::of_builds(&plan);
        builds.draw(&plan, &Sampler::plain(SEED), 0, block);
        let mut looks = Draws::of_looks(&plan);
        looks.draw(&plan, &Sampler::plain(SEED), 4, block);
        for build in [0, 1, 40, BLOCK_BUILDS - 1] {
            let number = block * BLOCK_BUILDS as u64 + build as u64;
            assert_eq!(
                builds.of_build(build),
                fill_build(&plan, &Sampler::plain(SEED), number)
            );
            assert_eq!(
                looks.of_build(build),
                fill_look(&plan, &Sampler::plain(SEED), number, 4)
            );
        }
    }
}

#[test]
fn a_run_is_what_its_trials_drawn_one_by_one_come_to() {
    let plan = Plan::new(lively_design(Frame::Fitted));
    let run_plan = run_plan(300);
    let tally = tally_at(2, &plan, &run_plan);
    let (mut held, mut broken, mut clipped) = (0, 0, 0);
    for build in 0..run_plan.builds {
        for look in 0..run_plan.looks {
            let trial = Values {
                plan: plan.clone(),
                build: fill_build(&plan, &Sampler::plain(SEED), build),
                look: fill_look(&plan, &Sampler::plain(SEED), build, look),
            }
            .trial()
            .expect("computable");
            match trial.outcome {
                sightdrift::trial::LookOutcome::Clipped => clipped += 1,
                sightdrift::trial::LookOutcome::Judged(verdict) if verdict.holds() => held += 1,
                sightdrift::trial::LookOutcome::Judged(_) => broken += 1,
            }
        }
    }
    assert_eq!(
        [held, broken, clipped],
        [tally.held, tally.broken, tally.clipped]
    );
}

#[test]
fn a_longer_run_begins_with_the_shorter_one() {
    // all numbers of the first builds come again: a run may be lengthened without losing what was found
    let plan = Plan::new(lively_design(Frame::Fitted));
    let short = tally_at(2, &plan, &run_plan(256));
    let long = with_hooks(|hooks| run(&plan, &run_plan(1024), hooks)).expect("never interrupted");
    let first = long.checkpoints[0].yield_so_far;
    assert_eq!([first.count, first.of], [short.passed, short.builds]);
}
