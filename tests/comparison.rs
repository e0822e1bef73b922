//! Two scenarios side by side, and one build before and after a repair: nothing differs from itself, what is worse is told, and
//! intervals hold the truth as often as they say.

mod support;

use sightdrift::decision::{
    Belong, Comparison, ComparisonVerdict, GivenBuilds, Pairing, Removal, RunPlan, brief,
    brief_run, build_comparison, comparison,
};
use sightdrift::figure::{Design, Frame, Plan, Plate, Source, Step};
use sightdrift::sampling::{Stream, StreamKey, normal_quantile_wichura_1988};
use sightdrift::scenario::{EXAMPLES, Scenario, read_scenario};
use sightdrift::statistics::{
    Redraw, bootstrap_interval_efron_1979, interval_clopper_pearson_1934, lower_median,
};
use sightdrift::trial::{Sampler, fill_build, thread_pool};
use support::{lively_design, with_hooks};

fn example(name: &str) -> Scenario {
    let example = EXAMPLES
        .iter()
        .find(|one| one.name == name)
        .expect("shipped");
    read_scenario(name, example.text, &|_| Err(String::new())).expect("a good example")
}

/// The scenario with its work `times` as poor: enough of it fails, and enough passes.
fn poorly_made(scenario: &Scenario, times: f64) -> Plan {
    let steps = Step::ALL.into_iter().filter(|step| step.is_work());
    let sources: Vec<Source> = steps.flat_map(Step::sources).collect();
    Plan::new(scenario.plan.design.with_scaled(&sources, times))
}

fn trial(scenario: &Scenario, builds: u64) -> RunPlan {
    RunPlan {
        looks: 6,
        ..brief_run(&scenario.run, builds)
    }
}

fn compared(first: &Plan, second: &Plan, run: &RunPlan) -> Comparison {
    with_hooks(|hooks| comparison([first, second], run, hooks)).expect("whole")
}

fn pairing(found: &Comparison) -> Pairing {
    match found.belong {
        Belong::Paired(pairing) => pairing,
        Belong::Independent => panic!("scenarios are compared by the same numbers"),
    }
}

#[test]
fn a_scenario_does_not_differ_from_itself() {
    for name in ["carton-kite", "desk-boat"] {
        let scenario = example(name);
        let run = trial(&scenario, 400);
        let found = compared(&scenario.plan, &scenario.plan, &run);
        let builds = pairing(&found).builds.expect("builds");
        assert_eq!([builds.gained, builds.lost], [0, 0]);
        assert_eq!(found.build_yield.expect("builds").difference, 0.0);
        assert_eq!(found.verdict(), ComparisonVerdict::NoDifferenceShown);
        assert_eq!(pairing(&found).rank_correlation, Some(1.0));
        assert!(pairing(&found).saved.is_none_or(|saved| saved == 1.0));
        let median = found
            .median_margin
            .expect("finite")
            .difference
            .expect("finite");
        assert_eq!(
            [median.difference, median.interval[0], median.interval[1]],
            [0.0; 3]
        );
        for shares in [found.looks.clear, found.looks.held, found.looks.both] {
            let looks = shares.share_difference(0.95).expect("looks");
            assert_eq!(looks.difference, 0.0);
            assert!(!looks.is_more_than_chance());
        }
        assert_eq!(
            found.items.len(),
            scenario.plan.edges.len() + scenario.plan.junctions.len()
        );
        for item in &found.items {
            let root = item.squares.root_difference(0.95).expect("looks");
            assert_eq!([root.difference, root.half_width()], [0.0, 0.0]);
        }
    }
}

#[test]
fn a_doubled_tolerance_is_worse_with_the_counts_of_two_runs() {
    let scenario = example("carton-kite");
    let run = trial(&scenario, 1200);
    let plan = poorly_made(&scenario, 1.8);
    let scatter = Plate::BOTH.map(Source::HoleScatter);
    let doubled = Plan::new(plan.design.with_scaled(&scatter, 2.0));
    let found = compared(&plan, &doubled, &run);
    for (plan, side) in [&plan, &doubled].into_iter().zip(&found.sides) {
        let alone = with_hooks(|hooks| brief(plan, &run, hooks)).expect("whole");
        assert!(alone == *side, "a side counts as the design by itself");
    }
    assert_eq!(found.verdict(), ComparisonVerdict::Worse);
    let builds = pairing(&found).builds.expect("builds");
    assert_eq!(
        found.sides[0].passed + builds.gained,
        found.sides[1].passed + builds.lost
    );
    assert!(
        found
            .looks
            .held
            .share_difference(0.95)
            .expect("looks")
            .interval[1]
            < 0.0
    );
    for (side, brief) in found.sides.iter().enumerate() {
        for (ratios, shares) in [
            (&found.looks.clear, &brief.clear),
            (&found.looks.held, &brief.held),
            (&found.looks.both, &brief.both),
        ] {
            let share = shares.share().expect("looks");
            assert!((ratios.ratio(side).expect("looks") - share).abs() < 1e-12);
        }
    }
    let back = compared(&doubled, &plan, &run);
    assert_eq!(back.verdict(), ComparisonVerdict::Better);
    // the same numbers make margins go together, and that is worth something
    let Pairing {
        rank_correlation,
        saved,
        ..
    } = pairing(&found);
    assert!(rank_correlation.expect("margins") > 0.5);
    assert!(saved.expect("both vary") > 0.2);
}

#[test]
fn rods_and_junctions_of_the_same_name_stand_together_and_their_looks_are_counted() {
    let design = lively_design(Frame::Fitted);
    let mut fewer: Design = design.clone();
    // the last rod goes, and with it a junction or two
    fewer.rods.truncate(7);
    let (plan, fewer) = (Plan::new(design), Plan::new(fewer));
    let run = trial(&example("carton-kite"), 200);
    let found = compared(&plan, &fewer, &run);
    let on = |first: bool, second: bool| {
        let both = [first, second];
        found
            .items
            .iter()
            .filter(|item| item.items.map(|one| one.is_some()) == both)
            .count()
    };
    assert_eq!(on(false, true), 0);
    assert_eq!(on(true, true), fewer.edges.len() + fewer.junctions.len());
    assert_eq!(
        on(true, false),
        plan.edges.len() + plan.junctions.len() - on(true, true)
    );
    for item in &found.items {
        for (side, plan) in [&plan, &fewer].into_iter().enumerate() {
            if let Some(one) = item.items[side] {
                assert_eq!(plan.item_name(one), item.name);
                let judged = found.looks.held.counts(side)[1];
                assert_eq!(item.over.counts(side)[1], judged);
                assert!(item.over.counts(side)[0] <= judged);
            } else {
                assert_eq!(item.over.share_difference(0.95), None);
            }
        }
    }
    // the fixed frame does not ask what else hangs there: rods that both have are seen alike
    let fixed = |plan: &Plan| {
        let mut design = plan.design.clone();
        design.judging.frame = Frame::Fixed;
        design.gravity.strength_m_per_s2 = 0.0;
        Plan::new(design)
    };
    let found = compared(&fixed(&plan), &fixed(&fewer), &run);
    for item in found
        .items
        .iter()
        .filter(|item| item.name.starts_with("rod") && item.items[1].is_some())
    {
        let [first, second] = [0, 1].map(|side| item.over.counts(side));
        assert!(first == second, "{}", item.name);
    }
}

#[test]
fn taking_a_cause_away_gains_what_the_removals_say() {
    let scenario = example("gallery-bridge");
    let run = RunPlan {
        builds: 256,
        looks: 4,
        ..trial(&scenario, 256)
    };
    let removals = with_hooks(|hooks| sightdrift::decision::removals(&scenario.plan, &run, hooks))
        .expect("whole");
    assert!(removals.culprits.len() > 5);
    for culprit in &removals.culprits {
        let without = culprit
            .removal
            .applied(&scenario.plan.design)
            .expect("it plays a part");
        let found = compared(&scenario.plan, &Plan::new(without), &run);
        assert_eq!(found.sides[0].passed, removals.as_is.build_yield.count);
        assert_eq!(
            found.sides[1].passed, culprit.without.build_yield.count,
            "{:?}",
            culprit.removal
        );
        let held = culprit.without.held.share().expect("looks");
        assert!((found.looks.held.ratio(1).expect("looks") - held).abs() < 1e-12);
    }
    assert!(
        removals
            .culprits
            .iter()
            .any(|one| one.removal == Removal::Weight)
    );
}

/// How many of `times` hits a share of `level` may have: all but one in 10 000 such tests.
fn is_about(hits: u64, times: u64, level: f64) -> bool {
    let [low, high] = interval_clopper_pearson_1934(hits, times, 0.999_9).expect("some");
    low <= level && level <= high
}

#[test]
fn the_interval_holds_the_true_difference_as_often_as_it_says() {
    let scenario = example("carton-kite");
    let [first, second] = [2.0, 2.15].map(|times| poorly_made(&scenario, times));
    let large = RunPlan {
        looks: 3,
        seed: 987_654_321,
        ..brief_run(&scenario.run, 60_000)
    };
    let truth = compared(&first, &second, &large);
    let level = 0.9;
    let (mut yields, mut held, mut roots) = (0, 0, 0);
    let true_yield = truth.build_yield.expect("builds").difference;
    let true_held = truth
        .looks
        .held
        .share_difference(level)
        .expect("looks")
        .difference;
    let true_root = truth.items[0]
        .squares
        .root_difference(level)
        .expect("looks")
        .difference;
    let times = 200;
    for seed in 1..=times {
        let run = RunPlan {
            seed,
            level,
            builds: 250,
            ..large
        };
        let found = compared(&first, &second, &run);
        let holds = |interval: [f64; 2], truth: f64| {
            u64::from(interval[0] <= truth && truth <= interval[1])
        };
        yields += holds(found.build_yield.expect("builds").interval, true_yield);
        held += holds(
            found
                .looks
                .held
                .share_difference(level)
                .expect("looks")
                .interval,
            true_held,
        );
        roots += holds(
            found.items[0]
                .squares
                .root_difference(level)
                .expect("looks")
                .interval,
            true_root,
        );
    }
    assert!(true_yield < -0.01, "{true_yield}");
    for (what, hits) in [("yield", yields), ("held", held), ("root", roots)] {
        assert!(
            is_about(hits, times, level),
            "{what}: {hits} of {times} at {level}"
        );
    }
}

fn given<'b>(before: &'b [Vec<f64>], after: &'b [Vec<f64>]) -> [GivenBuilds<'b>; 2] {
    [before, after].map(|builds| GivenBuilds {
        builds,
        relief_shift_mm: 0.0,
    })
}

#[test]
fn builds_before_and_after_are_independent_and_count_as_the_run_does() {
    let scenario = example("carton-kite");
    let run = trial(&scenario, 300);
    let plan = &scenario.plan;
    let better = Plan::new(plan.design.with_perfect(Source::RodSlip));
    let drawn = |plan: &Plan, seed: u64, builds: u64| -> Vec<Vec<f64>> {
        (0..builds)
            .map(|build| fill_build(plan, &Sampler::plain(seed), build))
            .collect()
    };
    let (before, after) = (drawn(plan, run.seed, 300), drawn(&better, 77, 130));
    let found = with_hooks(|hooks| build_comparison(plan, given(&before, &after), &run, hooks))
        .expect("whole");
    let plain = with_hooks(|hooks| brief(plan, &run, hooks)).expect("whole");
    assert!(
        found.comparison.sides[0] == plain,
        "the run's own builds count as the run"
    );
    assert_eq!(found.comparison.sides[1].builds(), 130);
    assert!(!found.comparison.is_paired());
    let within = found.mean_eye.map(|eye| [eye.within.of, eye.not_seen]);
    assert_eq!([within[0][0], within[1][0]], [300, 130]);
    let same = with_hooks(|hooks| build_comparison(plan, given(&before, &before), &run, hooks))
        .expect("whole");
    let difference = same.comparison.build_yield.expect("builds");
    assert_eq!(difference.difference, 0.0);
    assert!(
        difference.half_width() > 0.0,
        "independent builds leave doubt"
    );
    assert_eq!(same.mean_eye[0], same.mean_eye[1]);
    // nothing on one side: no verdict, and nothing breaks
    let none = with_hooks(|hooks| build_comparison(plan, given(&before, &[]), &run, hooks))
        .expect("whole");
    assert_eq!(none.comparison.build_yield, None);
    assert_eq!(
        none.comparison.verdict(),
        ComparisonVerdict::NoDifferenceShown
    );
    assert_eq!(none.mean_eye[1].worst, None);
}

#[test]
fn the_bootstrap_of_a_mean_of_differences_is_the_normal_interval() {
    let key = StreamKey {
        seed: 3,
        source: 1,
        item: 0,
        component: 0,
        look: 0,
    };
    let mut stream = Stream::new(key, 0);
    let values: Vec<f64> = (0..400)
        .map(|_| 0.3 + normal_quantile_wichura_1988(stream.next_uniform()))
        .collect();
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    // the plug-in variance is the bootstrap's own
    let sd = (values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / n).sqrt() / n.sqrt();
    let times = 4000;
    let once = |redraw: &mut Redraw| {
        (0..values.len())
            .map(|_| values[redraw.one_of(values.len())])
            .sum::<f64>()
            / n
    };
    let level = 0.95;
    let interval = bootstrap_interval_efron_1979([11, 1007], times, level, once).expect("enough");
    // a quantile's standard error: √(p(1 − p)/times) over the density there
    let z = normal_quantile_wichura_1988(0.5 + level / 2.0);
    let density = (-z * z / 2.0).exp() / (2.0 * std::f64::consts::PI).sqrt() / sd;
    let error = (0.025_f64 * 0.975 / times as f64).sqrt() / density;
    for (end, expected) in interval.into_iter().zip([mean - z * sd, mean + z * sd]) {
        assert!(
            (end - expected).abs() < 5.0 * error,
            "{end} {expected} {error}"
        );
    }
    assert_eq!(
        bootstrap_interval_efron_1979([11, 1007], 1, level, once),
        None
    );
    assert_eq!(
        bootstrap_interval_efron_1979([11, 1007], 9, level, |_| f64::NAN),
        None
    );
    assert_eq!(lower_median(&mut [4.0, 1.0, 3.0, 2.0]), Some(2.0));
    assert_eq!(lower_median(&mut []), None);
}

#[test]
fn the_answer_is_the_same_at_one_and_at_two_threads() {
    let scenario = example("carton-kite");
    let run = trial(&scenario, 700);
    let second = Plan::new(scenario.plan.design.with_peephole_mm(4.0));
    let [one, two] = [1, 2].map(|threads| {
        thread_pool(threads)
            .expect("threads")
            .install(|| compared(&scenario.plan, &second, &run))
    });
    assert!(one == two);
    assert!(one.median_margin.is_some());
}
