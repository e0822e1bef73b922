//! Whether a diagnosis finds what spoiled a build: faulty builds made up, read with error, and explained.

mod support;

use sightdrift::decision::RunPlan;
use sightdrift::decision::diagnosis::{Suspect, Why, why};
use sightdrift::figure::{Plan, Source};
use sightdrift::scenario::{EXAMPLES, Scenario, read_scenario};
use std::collections::BTreeMap;
use support::faulty::{
    Chance, Fault, faulty, sources_with_tolerance, suspect_of, true_values, usual_measurands,
};

/// What became of faults of one kind.
#[derive(Debug, Default, Clone)]
struct Row {
    faults: u64,
    first: u64,
    first_two: u64,
    inside: u64,
    components: u64,
}

fn shipped(name: &str) -> Scenario {
    let text = EXAMPLES
        .iter()
        .find(|example| example.name == name)
        .expect("shipped")
        .text;
    read_scenario(name, text, &|_| Err(String::new())).expect("a good example")
}

fn place(why: &Why, suspect: Suspect) -> usize {
    why.causes
        .iter()
        .position(|cause| cause.suspect == suspect)
        .unwrap_or(usize::MAX)
}

fn count(row: &mut Row, why: &Why, plan: &Plan, fault: &Fault, truth: [f64; 2], faults: usize) {
    let suspect = suspect_of(plan, fault);
    let at = place(why, suspect);
    row.faults += 1;
    row.first += u64::from(at < faults);
    row.first_two += u64::from(at < faults + 1);
    let cause = &why.causes[at];
    for component in 0..cause.components {
        let [low, high] = cause.interval[component];
        row.components += 1;
        row.inside += u64::from(low <= truth[component] && truth[component] <= high);
    }
}

#[test]
fn table() {
    let cases: u64 = std::env::var("CASES").map_or(60, |text| text.parse().expect("a number"));
    let name = std::env::var("SCENARIO").unwrap_or("desk-boat".into());
    let scenario = shipped(&name);
    let plan = scenario.plan;
    let run = RunPlan {
        builds: 16,
        ..scenario.run
    };
    let mut measurands = usual_measurands(&plan);
    if std::env::var("FULL").is_ok() {
        use sightdrift::figure::{Quantity, all_measurands};
        measurands.extend(all_measurands(&plan).into_iter().filter(|m| {
            matches!(
                m.quantity,
                Quantity::LineInHole(_) | Quantity::SeenMiddle | Quantity::Tie
            )
        }));
    }
    let sources = sources_with_tolerance(&plan);
    let mut rows: BTreeMap<&'static str, Row> = BTreeMap::new();
    let mut all = Row::default();
    let began = std::time::Instant::now();
    for case in 0..cases {
        let mut chance = Chance::new(case);
        let how_many = if std::env::var("DOUBLE").is_ok() {
            2
        } else {
            1
        };
        let mut faults = Vec::new();
        for nth in 0..how_many {
            let source: Source = sources[(case as usize + nth * 7) % sources.len()];
            faults.push(Fault {
                source,
                item: chance.below(source.items(&plan.design)),
                times: 3.0 + 3.0 * chance.uniform(),
            });
        }
        if std::env::var("NULL").is_ok() {
            faults.clear();
        }
        let Some(found) = faulty(&plan, &measurands, &faults, case, &mut chance) else {
            println!("{case} not computable {:?}", faults);
            continue;
        };
        let why =
            support::with_hooks(|hooks| why(&plan, &found.bench, &run, hooks)).expect("explained");
        if std::env::var("ONLY").is_ok_and(|only| only == case.to_string()) {
            for fault in &faults {
                let truth = true_values(&plan, fault, &found);
                let at = place(&why, suspect_of(&plan, fault));
                println!("truth {truth:?} {:#?}", why.causes[at]);
            }
            for (reading, told) in found.bench.readings.iter().zip(&why.readings) {
                println!(
                    "{} {:?} sd {} expected {:?} off {:?} p {:.4}",
                    reading.of.words(&plan.design),
                    reading.value,
                    reading.sd,
                    told.expected,
                    told.off,
                    told.fault_probability
                );
            }
            for cause in &why.causes[..8] {
                println!(
                    "{} {:.4} x{:?}",
                    cause.words, cause.fault_probability, cause.times_tolerance
                );
            }
            for e in &why.explanations[..6.min(why.explanations.len())] {
                println!("{:.4} {:?}", e.probability, e.suspects);
            }
        }
        if faults.is_empty() {
            let mut top = 0.0_f64;
            for cause in &why.causes {
                if let Suspect::Item { source, item } = cause.suspect {
                    let fault = Fault {
                        source: Source::ALL[source],
                        item,
                        times: 0.0,
                    };
                    let truth = true_values(&plan, &fault, &found);
                    let row = rows.entry(fault.source.key().1).or_default();
                    row.faults += 1;
                    row.first += u64::from(cause.fault_probability > 0.5);
                    top = top.max(cause.fault_probability);
                    for component in 0..cause.components {
                        let [low, high] = cause.interval[component];
                        row.components += 1;
                        row.inside +=
                            u64::from(low <= truth[component] && truth[component] <= high);
                    }
                }
            }
            println!(
                "{case} top {top:.3} misread {:?}",
                why.readings
                    .iter()
                    .map(|r| r.fault_probability)
                    .fold(0.0, f64::max)
            );
        }
        for fault in &faults {
            let truth = true_values(&plan, fault, &found);
            let row = rows.entry(fault.source.key().1).or_default();
            count(row, &why, &plan, fault, truth, how_many);
            count(&mut all, &why, &plan, fault, truth, how_many);
            let at = place(&why, suspect_of(&plan, fault));
            if at >= how_many {
                println!(
                    "{case} {:?} item {} x{:.1} at place {at}, fault p {:.3}; first: {} {:.3}; tried {}",
                    fault.source,
                    fault.item,
                    fault.times,
                    why.causes[at].fault_probability,
                    why.causes[0].words,
                    why.causes[0].fault_probability,
                    why.tried
                );
            }
        }
    }
    println!("{:?}", began.elapsed());
    for (name, row) in &rows {
        println!("{name:15} {row:?}");
    }
    println!("{all:?}");
}
