//! How much each step of the work causes: exact cases, the same bytes at any number of threads, odd designs. Values of a
//! scenario against an independent model and another program stand in `tests/reference/shares.toml`.

mod support;

use sightdrift::decision::{
    MOST_MARGIN, NoShares, RunPlan, ShareOutput, Shares, brief, brief_run, shares, varying_steps,
};
use sightdrift::figure::{Design, Frame, Law, Plan, Source, Step};
use sightdrift::sampling::{Distribution, Sampling};
use sightdrift::scenario::{EXAMPLES, Scenario, read_scenario};
use sightdrift::statistics::{IntervalMethod, Told, VarianceShares};
use sightdrift::trial::{RunHooks, thread_pool};
use std::sync::atomic::AtomicBool;
use support::{lively_design, plain_design, with_hooks};

const RUN: RunPlan = RunPlan {
    seed: 11,
    builds: 40,
    looks: 4,
    half_width: None,
    level: 0.95,
    method: IntervalMethod::Wilson,
    sampling: Sampling::Plain,
};

fn shares_of(design: Design, rows: u64) -> Shares {
    with_hooks(|hooks| shares(&Plan::new(design), &RUN, rows, hooks)).expect("not interrupted")
}

fn found(shares: &Shares, output: ShareOutput) -> &VarianceShares {
    shares.of(output).found.as_ref().expect("it varies")
}

fn scenario(name: &str) -> Scenario {
    let example = EXAMPLES.iter().find(|one| one.name == name).expect("there");
    read_scenario(name, example.text, &|_| Err(String::new())).expect("a good example")
}

#[test]
fn the_only_source_causes_all() {
    let law = Law::Each(vec![Distribution::Normal { mean: 0.0, sd: 0.4 }; 2]);
    let shares = shares_of(
        plain_design(Frame::Fixed).with_law(Source::RodTie, law),
        4096,
    );
    assert_eq!(shares.steps, [Step::RodTie]);
    for output in [ShareOutput::Drift, ShareOutput::Gap, ShareOutput::Margin] {
        let found = found(&shares, output);
        assert_eq!(found.left_out, 0);
        for index in [found.groups[0].first, found.groups[0].total] {
            assert!(index.standard_error < 0.05);
            let off = (index.estimate - 1.0).abs();
            assert!(off < 5.0 * index.standard_error, "{output:?} {index:?}");
        }
        let rest = found.interactions;
        assert!(rest.estimate.abs() < 5.0 * rest.standard_error);
    }
}

#[test]
fn a_step_that_moves_nothing_that_is_judged_causes_exactly_nothing() {
    // the fixed frame judges gaps by the ends, and a bow moves only the middle
    let shares = shares_of(lively_design(Frame::Fixed), 2048);
    let bow = shares
        .steps
        .iter()
        .position(|step| *step == Step::RodBow)
        .expect("rods bow");
    let gap = found(&shares, ShareOutput::Gap).groups[bow];
    assert_eq!([gap.first.estimate, gap.total.estimate], [0.0; 2]);
    assert_eq!(gap.total_told(), Told::Nothing);
    let drift = found(&shares, ShareOutput::Drift).groups[bow];
    assert!(drift.total.estimate > 0.0);
}

#[test]
fn the_same_bytes_at_any_number_of_threads() {
    let scenario = scenario("desk-boat");
    let at = |threads| {
        let interrupted = AtomicBool::new(false);
        let hooks = RunHooks {
            interrupted: &interrupted,
            progress: &|_, _| {},
        };
        let pool = thread_pool(threads).expect("threads");
        pool.install(|| shares(&scenario.plan, &RUN, 3000, &hooks))
            .expect("whole")
    };
    let [one, two, three] = [1, 2, 3].map(at);
    assert!(one == two && one == three);
    assert_eq!(one.rows, 3008, "whole blocks of 64");
    assert_eq!(one.builds, 3008 * (one.steps.len() as u64 + 2));
}

#[test]
fn margins_and_failures_are_those_of_a_run() {
    let scenario = scenario("gallery-bridge");
    let found_shares =
        with_hooks(|hooks| shares(&scenario.plan, &RUN, 4096, hooks)).expect("whole");
    let other = RunPlan {
        seed: 99,
        ..brief_run(&RUN, 40_000)
    };
    let run = with_hooks(|hooks| brief(&scenario.plan, &other, hooks)).expect("whole");
    let failing = 1.0 - run.passed as f64 / run.builds() as f64;
    let failure = found(&found_shares, ShareOutput::Failure);
    // 8192 builds here, 40 000 there
    let bound = 5.0 * (failing * (1.0 - failing) * (1.0 / 8192.0 + 1.0 / 40_000.0)).sqrt();
    assert!((failure.mean - failing).abs() < bound);
    let p = failure.mean;
    assert!((failure.variance - p * (1.0 - p)).abs() < 1e-12);
    let margin = found(&found_shares, ShareOutput::Margin);
    let mean = run.margins.iter().sum::<f64>() / run.builds() as f64;
    let bound = 5.0 * (margin.variance * (1.0 / 8192.0 + 1.0 / 40_000.0)).sqrt();
    assert!((margin.mean - mean).abs() < bound);
}

#[test]
fn first_order_indices_are_no_larger_than_total_indices() {
    for example in &EXAMPLES {
        let scenario = scenario(example.name);
        let shares = with_hooks(|hooks| shares(&scenario.plan, &RUN, 4096, hooks)).expect("whole");
        assert_eq!(shares.steps, varying_steps(&scenario.plan));
        for one in &shares.outputs {
            let Ok(found) = &one.found else { continue };
            for group in &found.groups {
                let bound = 5.0 * group.first.standard_error.hypot(group.total.standard_error);
                let over = group.first.estimate - group.total.estimate;
                assert!(over <= bound, "{} {:?} {group:?}", example.name, one.output);
                assert!(group.total.estimate >= 0.0);
            }
        }
        let mut ranked = shares.ranked();
        ranked.sort_unstable();
        assert!(ranked.into_iter().eq(0..shares.steps.len()));
    }
}

#[test]
fn outputs_without_shares_say_why() {
    let all_fail = with_hooks(|hooks| shares(&scenario("slack-windmill").plan, &RUN, 1024, hooks))
        .expect("whole");
    assert_eq!(
        all_fail.of(ShareOutput::Failure).found,
        Err(NoShares::TooFewPass(0))
    );
    let nothing = shares_of(plain_design(Frame::Fixed), 1024);
    assert!(nothing.steps.is_empty() && nothing.ranked().is_empty());
    assert_eq!(
        nothing.of(ShareOutput::Drift).found,
        Err(NoShares::NothingVaries)
    );
    assert_eq!(
        nothing.of(ShareOutput::Failure).found,
        Err(NoShares::TooFewFail(0))
    );
    let few = shares_of(lively_design(Frame::Fixed), 640);
    assert_eq!(few.of(ShareOutput::Margin).found, Err(NoShares::TooFewRows));
    assert_eq!(
        shares_of(lively_design(Frame::Fixed), 0)
            .of(ShareOutput::Gap)
            .found,
        Err(NoShares::TooFewRows)
    );
}

#[test]
fn drift_and_gap_do_not_follow_the_clip_rule_and_failures_do() {
    let scenario = scenario("carton-kite");
    let [lax, strict] = [0.05, 0.95].map(|clip_below| {
        let mut design = scenario.plan.design.clone();
        design.peephole.clip_below = clip_below;
        shares_of(design, 2048)
    });
    for output in [ShareOutput::Drift, ShareOutput::Gap] {
        assert!(lax.of(output) == strict.of(output));
        // a pinhole before a pupil that may be far off: some rod ends are quite dark
        assert!(found(&lax, output).left_out > 0);
    }
    assert!(lax.of(ShareOutput::Margin) != strict.of(ShareOutput::Margin));
    assert!(strict.capped > lax.capped, "hardly any look shows it all");
}

#[test]
fn builds_beyond_the_scale_count_and_are_counted() {
    let scenario = scenario("slack-windmill");
    let all = with_hooks(|hooks| shares(&scenario.plan, &RUN, 1024, hooks)).expect("whole");
    let margin = found(&all, ShareOutput::Margin);
    assert_eq!([margin.rows, margin.left_out], [1024, 0]);
    let one_set = with_hooks(|hooks| brief(&scenario.plan, &brief_run(&RUN, 1024), hooks));
    let beyond = |margin: &&f64| **margin >= MOST_MARGIN;
    let one_set = one_set
        .expect("whole")
        .margins
        .iter()
        .filter(beyond)
        .count() as u64;
    // A has the run's own numbers, B others of the same kind
    let p = one_set as f64 / 1024.0;
    let off = all.capped as f64 - 2.0 * one_set as f64;
    assert!(one_set > 0 && off.abs() < 5.0 * (2.0 * 1024.0 * p * (1.0 - p)).sqrt());
}

#[test]
fn an_interrupt_leaves_nothing() {
    let interrupted = AtomicBool::new(true);
    let hooks = RunHooks {
        interrupted: &interrupted,
        progress: &|_, _| {},
    };
    let plan = Plan::new(lively_design(Frame::Fixed));
    assert!(shares(&plan, &RUN, 4096, &hooks).is_none());
}
