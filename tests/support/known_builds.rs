//! Builds of which everything is known: a fault or two put into the mean build, all else within a share of its tolerance.
#![allow(dead_code)] // each test file uses its own part

use sightdrift::decision::RunPlan;
use sightdrift::decision::diagnosis::{
    Cause, Estimate, Explanation, Finding, Mend, Mends, Suspect, Why, finding, mends, suspects,
};
use sightdrift::figure::{Bench, Family, Plan, Source};
use sightdrift::sampling::{Stream, StreamKey, normal_quantile_wichura_1988};
use sightdrift::scenario::{EXAMPLES, Scenario, read_scenario};
use sightdrift::trial::Frames;

use crate::support::with_hooks;

/// Builds that the readings would leave possible.
pub const POSSIBLE: usize = 200;

/// A fault: a source, which item, and by how much each component is off its mean (the second means nothing where there is one).
pub type Fault = (Source, usize, [f64; 2]);

/// One of the shipped examples.
pub fn example(name: &str) -> Scenario {
    let example = EXAMPLES
        .iter()
        .find(|example| example.name == name)
        .expect("shipped");
    read_scenario(example.name, example.text, &|_| Err(String::new())).expect("a good example")
}

/// Number of a line.
pub fn line(plan: &Plan, name: &str) -> usize {
    let named = |vertex: &sightdrift::figure::Vertex| vertex.name == name;
    plan.design.vertices.iter().position(named).expect("a line")
}

/// Where an item's values stand in a build.
pub fn place(plan: &Plan, source: Source, item: usize) -> usize {
    plan.layout.start(source) + item * source.components()
}

/// The mean build with these faults.
pub fn mean_build_with(plan: &Plan, faults: &[Fault]) -> Vec<f64> {
    let mut build = plan.mean_values(Family::Build);
    for (source, item, off) in faults {
        let at = place(plan, *source, *item);
        for (component, off) in off.iter().enumerate().take(source.components()) {
            build[at + component] += off;
        }
    }
    build
}

/// A line with next to no tension left.
pub fn slack(plan: &Plan, line: usize, left: f64) -> Fault {
    let at = place(plan, Source::HandTension, line);
    let mean = plan.mean_values(Family::Build)[at];
    (Source::HandTension, line, [left - mean, 0.0])
}

/// What a diagnosis would say of a build with these faults that was read closely.
pub fn known(plan: &Plan, faults: &[Fault]) -> Why {
    known_within(plan, faults, 0.05)
}

/// The same where the readings leave open this share of every tolerance.
pub fn known_within(plan: &Plan, faults: &[Fault], left_open: f64) -> Why {
    let build = mean_build_with(plan, faults);
    Why {
        causes: causes(plan, faults, &build),
        explanations: vec![Explanation {
            suspects: faults
                .iter()
                .map(|(source, item, _)| Suspect::item(*source, *item))
                .collect(),
            probability: 1.0,
            build: build.clone(),
            look: plan.mean_values(Family::Look),
            frames: Frames::IDENTITY,
        }],
        look_alikes: Vec::new(),
        readings: Vec::new(),
        possible: (0..POSSIBLE)
            .map(|nth| scattered(plan, &build, nth, left_open))
            .collect(),
        look: plan.mean_values(Family::Look),
        relief_was_read: false,
        suspects: 0,
        weighed: 0,
        tried: 0,
    }
}

fn scattered(plan: &Plan, build: &[f64], nth: usize, left_open: f64) -> Vec<f64> {
    let mut build = build.to_vec();
    let key = StreamKey {
        seed: 99,
        source: 7,
        item: 0,
        component: 0,
        look: 0,
    };
    let mut stream = Stream::new(key, nth as u64);
    let sources = Source::ALL.into_iter();
    for source in sources.filter(|source| source.family() == Family::Build) {
        for item in 0..source.items(&plan.design) {
            let spread = plan.design.law(source).spread(item);
            for component in 0..source.components() {
                let standard = normal_quantile_wichura_1988(stream.next_uniform());
                let at = place(plan, source, item) + component;
                let by = left_open * spread.sd[component] * standard;
                // a tension stays one, however slack the line
                build[at] += by
                    * if source.neutral() == 1.0 {
                        build[at]
                    } else {
                        1.0
                    };
            }
        }
    }
    build
}

/// Every suspect in the build as a cause; the faults are certain and stand first.
fn causes(plan: &Plan, faults: &[Fault], build: &[f64]) -> Vec<Cause> {
    let mean = plan.mean_values(Family::Build);
    let mut causes = Vec::new();
    for suspect in suspects(plan, 0) {
        let Suspect::Item { source, item } = suspect else {
            continue;
        };
        let source = Source::ALL[source];
        if source.family() == Family::Look {
            continue;
        }
        let spread = plan.design.law(source).spread(item);
        let at = place(plan, source, item);
        let components = source.components();
        let pair = |values: &[f64]| [values[at], values[at + components - 1]];
        let (estimate, planned) = (pair(build), pair(&mean));
        let is_fault = faults
            .iter()
            .any(|(fault, of, _)| (*fault, *of) == (source, item));
        let times = (estimate[0] - planned[0]).abs() / spread.sd[0];
        causes.push(Cause {
            suspect,
            words: suspect.words(plan, &[]),
            kind: source.kind(),
            components,
            planned,
            tolerance_sd: spread.sd,
            estimate,
            interval: estimate.map(|value| [value; 2]),
            if_wrong: Estimate {
                value: estimate,
                interval: estimate.map(|value| [value; 2]),
            },
            times_tolerance: (spread.sd[0] > 0.0).then_some(times),
            tail: None,
            fault_probability: if is_fault { 0.98 } else { 0.002 },
            share: 0.0,
            known: 0.95,
        });
    }
    causes.sort_by(|a, b| b.fault_probability.total_cmp(&a.fault_probability));
    causes
}

/// The run of a scenario.
pub fn run_of(scenario: &Scenario) -> RunPlan {
    RunPlan {
        looks: 16,
        ..scenario.run
    }
}

/// Finding and mends of a known build.
pub fn mended(scenario: &Scenario, why: &Why) -> (Finding, Mends) {
    let run = run_of(scenario);
    with_hooks(|hooks| {
        let found =
            finding(&scenario.plan, &Bench::default(), why, &run, hooks).expect("a finding");
        let mended = mends(&scenario.plan, why, &found, &run, hooks).expect("mends");
        (found, mended)
    })
}

/// A mend in a line, for messages.
pub fn told(mend: &Mend) -> String {
    format!(
        "{}/{} pass, worst {:.2} [{:.2} {:.2}], {:.0} min: {}",
        mend.passes.count,
        mend.passes.of,
        mend.worst(),
        mend.drift.median,
        mend.gap.map_or(0.0, |gap| gap.median),
        mend.minutes,
        mend.words
    )
}
