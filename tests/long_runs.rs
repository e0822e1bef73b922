//! Long runs: interrupted ones gone on with, and parts put together, are the same bits as one run.

mod support;

use sightdrift::decision::{
    Counted, CountedCounts, Merger, NotMerged, Part, RunPlan, RunResult, Stopped, run, run_on,
    run_part,
};
use sightdrift::figure::{Frame, Plan};
use sightdrift::sampling::Sampling;
use sightdrift::statistics::{IntervalMethod, Tally};
use sightdrift::trial::{RunHooks, thread_pool};
use std::sync::atomic::{AtomicBool, Ordering};
use support::{lively_design, with_hooks};

fn run_plan(builds: u64, half_width: Option<f64>) -> RunPlan {
    RunPlan {
        seed: 7,
        builds,
        looks: 2,
        half_width,
        level: 0.95,
        method: IntervalMethod::Wilson,
        sampling: Sampling::Plain,
    }
}

fn plan() -> Plan {
    Plan::new(lively_design(Frame::Fitted))
}

fn in_pool<T: Send>(threads: usize, work: impl FnOnce() -> T + Send) -> T {
    thread_pool(threads).expect("threads").install(work)
}

fn whole(plan: &Plan, run_plan: &RunPlan) -> RunResult {
    in_pool(2, || with_hooks(|hooks| run(plan, run_plan, hooks))).expect("never interrupted")
}

/// Every number of a debug print: floats are printed so that equal text means equal bits.
fn all_of(value: &impl std::fmt::Debug) -> String {
    format!("{value:?}")
}

/// Through the text of a file and back.
fn through_a_file(plan: &Plan, run_plan: &RunPlan, counted: &Counted) -> Counted {
    let text = serde_json::to_string(&CountedCounts::from(counted)).expect("JSON");
    let counts: CountedCounts = serde_json::from_str(&text).expect("what was written can be read");
    let read = counts.counted(plan, run_plan).expect("counts that add up");
    assert!(&read == counted, "a file keeps every bit");
    read
}

/// Runs with an interrupt after every `tasks` tasks, each time from what a file kept; says how often it was interrupted.
fn in_pieces(plan: &Plan, run_plan: &RunPlan, tasks: usize, threads: usize) -> (RunResult, u32) {
    let mut counted = Counted::new(plan, 0);
    let mut interrupts = 0;
    loop {
        let flag = AtomicBool::new(false);
        let hooks = RunHooks {
            interrupted: &flag,
            progress: &|_, _| {},
        };
        let mut done = 0;
        let stopped = in_pool(threads, || {
            run_on(plan, run_plan, &mut counted, &hooks, &mut |_| {
                done += 1;
                flag.store(done >= tasks, Ordering::Relaxed);
            })
        });
        match stopped {
            Some(stopped) => {
                return (RunResult::new(counted, run_plan, stopped), interrupts);
            }
            None => {
                interrupts += 1;
                counted = through_a_file(plan, run_plan, &counted);
            }
        }
    }
}

#[test]
fn a_run_interrupted_and_gone_on_with_is_the_same_bits_as_one_run() {
    let plan = plan();
    for run_plan in [run_plan(3000, None), run_plan(20_000, Some(0.01))] {
        let one = whole(&plan, &run_plan);
        assert!(
            one.tally.held > 0 && one.tally.broken > 0,
            "a dull run tests nothing"
        );
        for (tasks, threads) in [(1, 1), (1, 2), (3, 8), (5, 1)] {
            let (pieces, interrupts) = in_pieces(&plan, &run_plan, tasks, threads);
            assert!(interrupts > 0, "never interrupted");
            assert!(
                all_of(&one) == all_of(&pieces),
                "{tasks} tasks, {threads} threads"
            );
        }
    }
    // the second of them ends by its rule, before its cap
    assert_eq!(
        whole(&plan, &run_plan(20_000, Some(0.01))).stopped,
        Stopped::NarrowEnough
    );
}

fn counted_part(plan: &Plan, run_plan: &RunPlan, part: Part, threads: usize) -> Counted {
    let mut counted = Counted::new(plan, part.builds(run_plan.builds).start);
    let complete = in_pool(threads, || {
        with_hooks(|hooks| run_part(plan, run_plan, part, &mut counted, hooks, &mut |_| {}))
    });
    assert!(complete);
    through_a_file(plan, run_plan, &counted)
}

#[test]
fn parts_merged_in_any_order_are_the_same_bits_as_one_run() {
    let plan = plan();
    let run_plan = run_plan(5000, None);
    let one = whole(&plan, &run_plan);
    assert!(one.checkpoints.len() > 5);
    // the last of them are more parts than tasks
    for of in [1, 2, 3, 7, 30] {
        let mut parts: Vec<(Part, Counted)> = (1..=of)
            .map(|number| {
                let part = Part::new(number, of).expect("a part");
                (
                    part,
                    counted_part(&plan, &run_plan, part, 1 + number as usize % 3),
                )
            })
            .collect();
        for turn in 0..3 {
            let by = turn * parts.len() / 3;
            parts.rotate_left(by);
            if turn == 2 {
                parts.reverse();
            }
            let mut merger = Merger::new(&plan, of, run_plan.builds);
            for (part, counted) in &parts {
                merger.add(*part, counted).expect("a part that fits");
            }
            let merged = RunResult::new(
                merger.finish().expect("complete"),
                &run_plan,
                Stopped::AtCap,
            );
            assert!(all_of(&one) == all_of(&merged), "{of} parts, turn {turn}");
        }
    }
}

#[test]
fn parts_that_do_not_fit_are_refused_and_missing_ones_named() {
    let plan = plan();
    let run_plan = run_plan(2000, None);
    let part = |number, of| Part::new(number, of).expect("a part");
    let first = counted_part(&plan, &run_plan, part(1, 3), 1);
    let mut merger = Merger::new(&plan, 3, run_plan.builds);
    assert_eq!(
        merger.add(part(1, 2), &first),
        Err(NotMerged::OtherNumberOfParts)
    );
    assert_eq!(merger.add(part(2, 3), &first), Err(NotMerged::Unfinished));
    assert_eq!(merger.add(part(1, 3), &first), Ok(()));
    assert_eq!(merger.add(part(1, 3), &first), Err(NotMerged::Twice));
    assert_eq!(merger.finish().err(), Some(vec![2, 3]));
}

#[test]
fn tallies_fold_to_the_same_in_any_order_and_grouping() {
    let plan = plan();
    let run_plan = run_plan(2000, None);
    let tallies: Vec<Tally> = (1..=7)
        .map(|number| {
            counted_part(&plan, &run_plan, Part::new(number, 7).expect("a part"), 1).tally
        })
        .collect();
    let fold = |tallies: &[Tally]| {
        let mut all = Tally::new(&plan);
        tallies.iter().for_each(|tally| all.fold(tally));
        all
    };
    let one = fold(&tallies);
    assert!(one == whole(&plan, &run_plan).tally);
    let mut backwards = tallies.clone();
    backwards.reverse();
    assert!(one == fold(&backwards), "order");
    for size in [2, 3, 5] {
        let groups: Vec<Tally> = tallies.chunks(size).map(fold).collect();
        assert!(one == fold(&groups), "groups of {size}");
    }
}

#[test]
fn failures_are_kept_by_number_in_any_order() {
    // lines pulled by less than they carry: many builds cannot be computed
    let mut design = lively_design(Frame::Fitted);
    design.line.tension_n = vec![0.036; design.vertices.len()];
    let plan = Plan::new(design);
    let run_plan = run_plan(2000, None);
    let one = whole(&plan, &run_plan).tally;
    let total = one.failures.total();
    assert!(total > 25, "{total}");
    assert_eq!(one.failures.first().len(), 20);
    assert!(
        one.failures
            .first()
            .is_sorted_by(|a, b| a.number() < b.number())
    );
    let mut backwards = Tally::new(&plan);
    for number in (1..=5).rev() {
        let part = Part::new(number, 5).expect("a part");
        backwards.fold(&counted_part(&plan, &run_plan, part, 2).tally);
    }
    assert!(one == backwards);
}
