//! A brief run counts what a run counts, and its margins are the builds' performances.

mod support;

use sightdrift::decision::{RunPlan, TrialValues, brief, brief_run, briefs, performances, run};
use sightdrift::figure::{Plan, Source};
use sightdrift::scenario::{EXAMPLES, Scenario, read_scenario};
use sightdrift::trial::{Sampler, fill_build, fill_look};
use support::with_hooks;

fn examples() -> Vec<Scenario> {
    EXAMPLES
        .iter()
        .map(|example| {
            read_scenario(example.name, example.text, &|_| Err(String::new()))
                .expect("a good example")
        })
        .collect()
}

fn trial(run_plan: &RunPlan) -> RunPlan {
    RunPlan {
        looks: 7,
        ..brief_run(run_plan, 700)
    }
}

#[test]
fn a_brief_run_counts_what_the_run_counts() {
    for scenario in examples() {
        let trial = trial(&scenario.run);
        let tally = with_hooks(|hooks| run(&scenario.plan, &trial, hooks))
            .expect("whole")
            .tally;
        let found = with_hooks(|hooks| brief(&scenario.plan, &trial, hooks)).expect("whole");
        assert_eq!(found.builds(), tally.builds);
        assert_eq!(found.passed, tally.passed, "{}", scenario.title);
        assert_eq!(found.never_shown, tally.never_shown);
        assert_eq!(found.not_computable, tally.builds_not_computable);
        assert_eq!(found.held.share(), tally.held_share.share());
        assert_eq!(found.held.variance(), tally.held_share.variance());
        let clipped = tally.clipped_share.share().expect("looks");
        assert!((found.clear.share().expect("looks") - (1.0 - clipped)).abs() < 1e-12);
        assert!(
            (found.both.share().expect("looks") - tally.held as f64 / tally.looks as f64).abs()
                < 1e-12
        );
        let share = found.passed as f64 / found.builds() as f64;
        if share > 0.0 {
            assert!(found.margin_of_share(share).expect("builds") <= 1.0);
        }
        if share < 1.0 {
            assert!(found.margin_of_share(share + 1e-6).expect("builds") > 1.0);
        }
    }
}

#[test]
fn margins_are_the_performances_of_the_builds() {
    let scenario = examples().remove(0);
    let trial = trial(&scenario.run);
    let found = with_hooks(|hooks| brief(&scenario.plan, &trial, hooks)).expect("whole");
    let sampler = Sampler::plain(trial.seed);
    let values: Vec<TrialValues> = (0..130)
        .map(|build| TrialValues {
            build: fill_build(&scenario.plan, &sampler, build),
            looks: (0..trial.looks)
                .map(|look| fill_look(&scenario.plan, &sampler, build, look))
                .collect(),
        })
        .collect();
    for (one, margin) in performances(&scenario.plan, &values)
        .iter()
        .zip(&found.margins)
    {
        assert_eq!(one.worst, *margin);
    }
}

#[test]
fn designs_that_share_their_draws_count_as_each_by_itself() {
    let scenario = examples().remove(0);
    let trial = trial(&scenario.run);
    let plans: Vec<Plan> = [3.0, 6.0, 40.0]
        .into_iter()
        .map(|mm| Plan::new(scenario.plan.design.with_peephole_mm(mm)))
        .collect();
    let together = with_hooks(|hooks| briefs(&plans, &trial, hooks)).expect("whole");
    for (plan, together) in plans.iter().zip(&together) {
        let alone = with_hooks(|hooks| brief(plan, &trial, hooks)).expect("whole");
        assert!(alone == *together);
    }
    let clear = |nth: usize| together[nth].clear.share().expect("looks");
    assert!(clear(0) < clear(1) && clear(1) < clear(2));
}

#[test]
fn scaled_laws_give_the_same_draws_farther_from_no_error() {
    for scenario in examples() {
        let design = &scenario.plan.design;
        let sources: Vec<Source> = Source::ALL
            .into_iter()
            .filter(|source| *source != Source::Pupil)
            .collect();
        let wider = Plan::new(design.with_scaled(&sources, 1.5));
        let sampler = Sampler::plain(5);
        let [as_is, scaled] = [&scenario.plan, &wider].map(|plan| {
            let mut values = fill_build(plan, &sampler, 77);
            values.extend(fill_look(plan, &sampler, 77, 3));
            values
        });
        for source in sources {
            let law = design.law(source);
            let start = scenario.plan.layout.start(source)
                + if source.family() == sightdrift::figure::Family::Look {
                    scenario.plan.layout.build_len
                } else {
                    0
                };
            for at in start..start + source.items(design) * source.components() {
                let (value, scaled) = (as_is[at], scaled[at]);
                let neutral = source.neutral();
                let expected = match law {
                    _ if law.uniforms() == 0 => value,
                    sightdrift::figure::Law::Each(each)
                        if matches!(
                            each[0],
                            sightdrift::sampling::Distribution::Lognormal { .. }
                        ) =>
                    {
                        value.powf(1.5)
                    }
                    _ => neutral + 1.5 * (value - neutral),
                };
                assert!(
                    (scaled - expected).abs() < 1e-9 * (1.0 + expected.abs()),
                    "{source:?} {value} {scaled} {expected}"
                );
            }
        }
    }
}
