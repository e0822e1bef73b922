//! Rare failures of scenarios: the same rule as the run's, and the command as a person or a script runs it.

mod binary;
mod support;

use binary::{Folder, plain_scenario, shipped, stderr, stdout};
use rayon::prelude::*;
use sightdrift::decision::{RunPlan, StandardSpace, TrialValues, performances, run};
use sightdrift::figure::{Design, Plan, Source};
use sightdrift::sampling::normal_quantile_wichura_1988;
use sightdrift::scenario::read_scenario;
use sightdrift::statistics::IntervalMethod;
use sightdrift::trial::{Sampler, fill_build, fill_look};
use support::with_hooks;

const SHIPPED: [&str; 4] = [
    "carton-kite",
    "desk-boat",
    "gallery-bridge",
    "slack-windmill",
];

fn design(name: &str) -> Design {
    let no_files = |_: &str| Err("no file is named".to_owned());
    let scenario = read_scenario(name, &shipped(name), &no_files).expect("a shipped scenario");
    scenario.plan.design
}

#[test]
fn a_build_fails_by_its_performance_exactly_when_the_run_counts_it_as_failing() {
    const BUILDS: u64 = 2000;
    const LOOKS: u64 = 6;
    for name in SHIPPED {
        let mut design = design(name);
        // limits under which some builds pass and some fail, looks that must hold and looks that need not
        design.judging.hold_share = 0.8;
        let factor = match name {
            "slack-windmill" => 4.0,
            "gallery-bridge" => 0.7,
            _ => 0.6,
        };
        design.judging.rule.acuity_factor *= factor;
        design.judging.rule.cover *= factor;
        design.judging.rule.share_of_figure *= factor;
        let plan = Plan::new(design);
        // a build of its own for each seed: the run then counts it alone
        let agreed: Vec<(bool, bool)> = (0..BUILDS)
            .into_par_iter()
            .map(|seed| {
                let alone = RunPlan {
                    seed,
                    builds: 1,
                    looks: LOOKS,
                    half_width: None,
                    level: 0.95,
                    method: IntervalMethod::Wilson,
                    sampling: sightdrift::sampling::Sampling::Plain,
                };
                let counted = with_hooks(|hooks| run(&plan, &alone, hooks)).expect("a run");
                let trial = TrialValues {
                    build: fill_build(&plan, &Sampler::plain(seed), 0),
                    looks: (0..LOOKS)
                        .map(|look| fill_look(&plan, &Sampler::plain(seed), 0, look))
                        .collect(),
                };
                let found = performances(&plan, &[trial]);
                (counted.tally.passed == 1, found[0].passes())
            })
            .collect();
        for (seed, (counted, found)) in agreed.iter().enumerate() {
            assert_eq!(counted, found, "{name}, seed {seed}");
        }
        let passed = agreed.iter().filter(|(counted, _)| *counted).count() as u64;
        println!("{name}: {passed} of {BUILDS} pass");
        assert!(
            (BUILDS / 50..BUILDS - BUILDS / 50).contains(&passed),
            "{name}: {passed} of {BUILDS} pass: no fair check"
        );
    }
}

#[test]
fn a_point_of_the_standard_space_gives_the_values_of_its_uniform_numbers() {
    let plan = Plan::new(design("desk-boat"));
    let space = StandardSpace::new(&plan, 3);
    // the quantile of each size, and the direction of each pair
    let point: Vec<f64> = (0..space.dimension)
        .map(|nth| normal_quantile_wichura_1988((nth as f64 + 0.5) / space.dimension as f64))
        .collect();
    let values = space.values(&plan, &point);
    assert_eq!(values.looks.len(), space.looks());
    let mut taken = 0;
    for one in space.coordinates() {
        taken += one.sizes.len() + one.directions.len();
        let law = plan.design.law(one.source);
        let start = plan.layout.start(one.source);
        let first = match values.build.get(start) {
            Some(value) if one.source.family() == sightdrift::figure::Family::Build => *value,
            _ => values.looks[0][start],
        };
        let uniform = |at: usize| (at as f64 + 0.5) / space.dimension as f64;
        if one.directions.is_empty() {
            let second = if law.uniforms() == 2 { one.sizes[1] } else { 0 };
            let expected = law.values(0, [uniform(one.sizes[0]), uniform(second)])[0];
            let off = (first - expected).abs();
            assert!(
                off <= 1e-12 * expected.abs().max(1.0),
                "{:?}: {first} {expected}",
                one.source
            );
        } else {
            // a ring: the direction is that of the pair
            let [x, y] = [point[one.directions[0]], point[one.directions[1]]];
            let second = values.build[start + 1];
            assert!((first * y - second * x).abs() < 1e-12, "{:?}", one.source);
            assert!(first * x + second * y > 0.0, "{:?}", one.source);
        }
    }
    assert_eq!(taken, space.dimension);
    assert!(
        space
            .coordinates()
            .iter()
            .all(|one| one.source != Source::RodTie),
        "ties are aimed"
    );
}

const SMALL: [&str; 6] = ["--samples", "200", "--repetitions", "6", "--looks", "2"];

fn with(arguments: &[&'static str]) -> Vec<&'static str> {
    [&["rare", "boat.toml"][..], &SMALL, arguments].concat()
}

#[test]
fn the_command_tells_probability_interval_counts_causes_and_limits() {
    let folder = Folder::new("rare-words");
    folder.write("boat.toml", &shipped("desk-boat"));
    let output = folder.run(&with(&[]));
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let text = stdout(&output);
    for told in [
        "A build fails with the probability",
        "95 % interval",
        "about one build in",
        "a yield of",
        "6 repetitions (and a pilot) of 200 builds",
        "Plain sampling would take",
        "what decides that a build fails",
        "source that stands out in failing builds",
        "How far this goes",
        "nobody has measured those",
    ] {
        assert!(text.contains(told), "{told} is missing in\n{text}");
    }
    // nothing is written beside what was there
    assert_eq!(folder.names(), ["boat.toml"]);
}

#[test]
fn the_json_holds_the_same_numbers_at_any_number_of_threads() {
    let folder = Folder::new("rare-json");
    folder.write("boat.toml", &shipped("desk-boat"));
    let one = folder.run(&with(&["--json", "--threads", "1"]));
    let three = folder.run(&with(&["--json", "--threads", "3"]));
    assert!(one.status.success(), "{}", stderr(&one));
    assert_eq!(one.stdout, three.stdout);
    let found = folder.json(&with(&["--json"]));
    let p = found["probability_of_failure"]["estimate"]
        .as_f64()
        .expect("a number");
    let interval = found["probability_of_failure"]["interval"]
        .as_array()
        .expect("an interval");
    let [low, high] = [&interval[0], &interval[1]].map(|end| end.as_f64().expect("a number"));
    assert!(low < p && p < high && p > 0.0 && p < 0.1);
    assert_eq!(found["yield"]["estimate"].as_f64(), Some(1.0 - p));
    let estimates = found["run"]["estimates"].as_array().expect("estimates");
    let mean = estimates
        .iter()
        .filter_map(serde_json::Value::as_f64)
        .sum::<f64>()
        / 6.0;
    assert!((mean / p - 1.0).abs() < 1e-12);
    let shares = found["faults"].as_array().expect("faults");
    let sum: f64 = shares.iter().filter_map(|one| one["share"].as_f64()).sum();
    assert!((sum - 1.0).abs() < 1e-9, "shares add up to {sum}");
}

#[test]
fn where_nothing_can_fail_a_bound_is_told_and_where_nothing_varies_that_is_told() {
    let folder = Folder::new("rare-bound");
    let bounded = "{ form = \"uniform\", half_width = \"0.01 mm\" }";
    folder.write("boat.toml", &plain_scenario("fixed", "\"off\"", bounded));
    let output = folder.run(&with(&[]));
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let text = stdout(&output);
    assert!(text.contains("No failing build was met"), "{text}");
    assert!(text.contains("with a probability below"), "{text}");
    folder.write("boat.toml", &plain_scenario("fixed", "\"off\"", "\"off\""));
    let text = stdout(&folder.run(&with(&[])));
    assert!(
        text.contains("Nothing varies in this scenario: every build passes"),
        "{text}"
    );
    assert!(!text.contains("failure is not rare"), "{text}");
}

#[test]
fn numbers_out_of_range_are_refused() {
    let folder = Folder::new("rare-refused");
    folder.write("boat.toml", &shipped("desk-boat"));
    for wrong in [
        ["--samples", "10"],
        ["--samples", "1e4"],
        ["--repetitions", "1"],
        ["--looks", "0"],
        ["--threads", "0"],
        ["--seed", "-1"],
    ] {
        let output = folder.run(&[&["rare", "boat.toml"][..], &wrong].concat());
        assert_eq!(output.status.code(), Some(2), "{wrong:?}");
    }
    let output = folder.run(&[
        "rare",
        "boat.toml",
        "--samples",
        "100000",
        "--looks",
        "1000",
    ]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        stderr(&output).contains("fewer samples, looks or threads"),
        "{}",
        stderr(&output)
    );
    let output = folder.run(&["rare", "absent.toml"]);
    assert_eq!(output.status.code(), Some(2));
}
