//! A build on the bench with a diagnosis made by hand: plausible numbers to draw and print, for tests of what a person sees.

use super::with_hooks;
use sightdrift::decision::diagnosis::{
    Cause, Correction, Diagnosis, Explanation, Finding, LookAlike, Mend, Mends, ReadingTold,
    Settles, Span, Suspect, Why, finding, suspects,
};
use sightdrift::decision::{RunPlan, brief_run};
use sightdrift::figure::{
    Bench, BenchWords, Family, Item, Measurand, Plan, Plate, Quantity, Source, Stretch,
    all_measurands,
};
use sightdrift::report::About;
use sightdrift::sampling::{Stream, StreamKey, normal_quantile_wichura_1988};
use sightdrift::scenario::{EXAMPLES, Scenario, read_scenario};
use sightdrift::statistics::PairedDifference;
use sightdrift::trial::{Frames, taken};

/// A build with its diagnosis.
pub struct Case {
    pub plan: Plan,
    pub bench: Bench,
    pub diagnosis: Diagnosis,
    pub run: RunPlan,
    pub about: About,
}

/// The shipped scenario of this name.
pub fn shipped(name: &str) -> Scenario {
    let example = EXAMPLES.iter().find(|example| example.name == name);
    let example = example.expect("there is one of that name");
    read_scenario(example.name, example.text, &|_| Err(String::new())).expect("a good example")
}

pub fn about(scenario: &Scenario, name: &str) -> About {
    About {
        name: name.to_owned(),
        title: scenario.title.clone(),
        note: scenario.note.clone(),
        file: format!("scenarios/{name}.toml"),
        shell_file: format!("scenarios/{name}.toml"),
        sha256: scenario.sha256.clone(),
        grade: scenario.grade.name().to_owned(),
        command: format!(
            "sightdrift diagnose scenarios/{name}.toml bench.csv --seed 1 --builds 256 --looks 16"
        ),
        sources: Vec::new(),
        warnings: Vec::new(),
    }
}

/// Normal numbers, one after the other.
struct Normals(Stream);

impl Normals {
    fn next(&mut self) -> f64 {
        normal_quantile_wichura_1988(self.0.next_uniform())
    }
}

fn normals() -> Normals {
    let key = StreamKey {
        seed: 7,
        source: 9001,
        item: 0,
        component: 0,
        look: 0,
    };
    Normals(Stream::new(key, 0))
}

const READ: [Quantity; 8] = [
    Quantity::Hole(Plate::Front),
    Quantity::Hole(Plate::Rear),
    Quantity::Distance(Stretch::PeepholeToFront),
    Quantity::Distance(Stretch::FrontToRear),
    Quantity::Peephole,
    Quantity::EyeRelief,
    Quantity::Tension,
    Quantity::SeenEnd,
];

/// The shipped scenario `name` with its rear pattern printed at 97 %, measured, and one reading that was miswritten.
pub fn case(name: &str) -> Case {
    let scenario = shipped(name);
    let plan = scenario.plan.clone();
    let run = RunPlan {
        seed: 1,
        looks: 16,
        ..brief_run(&scenario.run, 256)
    };
    let culprit = plan.layout.start(Source::PrintScale(Plate::Rear));
    let mut build = plan.mean_values(Family::Build);
    build[culprit] = -0.03;
    let look = plan.mean_values(Family::Look);
    let frames = Frames::plain(&plan);
    let measurands: Vec<Measurand> = all_measurands(&plan)
        .into_iter()
        .filter(|of| READ.contains(&of.quantity))
        .collect();
    let mut bench = Bench {
        words: BenchWords {
            exhibit: Some("Boat 3".into()),
            measured_by: Some("A. Builder".into()),
            instruments: Some("calliper 0.05 mm, tuner, camera with 50 mm lens".into()),
            ..BenchWords::default()
        },
        sha256: "5f".repeat(32),
        ..Bench::default()
    };
    bench.readings = taken(
        &plan,
        &measurands,
        &bench,
        [&build, &look],
        &frames,
        Some(3),
    )
    .expect("it can be taken");
    for (nth, reading) in bench.readings.iter_mut().enumerate() {
        reading.place = format!("bench.csv:{}", nth + 2);
    }
    bench.readings[3].value[0] += 4.0;
    bench.readings[3].remark = Some("ink smeared".into());
    let mut normals = normals();
    let possible: Vec<Vec<f64>> = (0..run.builds)
        .map(|_| one_possible(&plan, &build, culprit, &mut normals))
        .collect();
    let why = why(&plan, &bench, possible, [build, look], frames);
    let found = find(&plan, &bench, &why, &run);
    let mends = mends(&plan, &bench, &why, &found, &run);
    Case {
        diagnosis: Diagnosis {
            finding: found,
            why,
            mends,
        },
        about: about(&scenario, name),
        plan,
        bench,
        run,
    }
}

fn one_possible(plan: &Plan, build: &[f64], culprit: usize, normals: &mut Normals) -> Vec<f64> {
    let mut values = build.to_vec();
    for source in Source::ALL {
        if source.family() != Family::Build {
            continue;
        }
        let (start, components) = (plan.layout.start(source), source.components());
        for item in 0..source.items(&plan.design) {
            let spread = plan.design.law(source).spread(item);
            for c in 0..components {
                values[start + components * item + c] += 0.3 * spread.sd[c] * normals.next();
            }
        }
    }
    values[culprit] = build[culprit] + 0.002 * normals.next();
    values
}

fn why(
    plan: &Plan,
    bench: &Bench,
    possible: Vec<Vec<f64>>,
    [build, look]: [Vec<f64>; 2],
    frames: Frames,
) -> Why {
    let measurands: Vec<Measurand> = bench.readings.iter().map(|reading| reading.of).collect();
    let print = Suspect::item(Source::PrintScale(Plate::Rear), 0);
    let seat = Suspect::item(Source::SeatDepth(Plate::Rear), 0);
    let mut causes: Vec<Cause> = suspects(plan, 0)
        .into_iter()
        .filter_map(|suspect| cause(plan, suspect, &possible, &measurands))
        .collect();
    for cause in &mut causes {
        if cause.suspect == print {
            (cause.fault_probability, cause.share, cause.known) = (0.9993, 0.84, 0.98);
        } else if cause.suspect == seat {
            (cause.fault_probability, cause.share) = (0.21, 0.07);
        }
    }
    causes.sort_by(|a, b| b.fault_probability.total_cmp(&a.fault_probability));
    let explanation = |suspects: Vec<Suspect>, probability: f64| Explanation {
        suspects,
        probability,
        build: build.clone(),
        look: look.clone(),
        frames,
    };
    let readings = bench.readings.iter().enumerate();
    let told = readings.map(|(nth, reading)| ReadingTold {
        expected: Some([
            reading.value[0] - if nth == 3 { 4.1 } else { 0.3 * reading.sd },
            reading.value[1],
        ]),
        off: [if nth == 3 { 41.0 } else { 0.3 }, 0.0],
        fault_probability: if nth == 3 { 0.998 } else { 0.004 },
    });
    Why {
        readings: told.collect(),
        causes,
        explanations: vec![
            explanation(vec![print, Suspect::Reading(3)], 0.78),
            explanation(vec![seat, Suspect::Reading(3)], 0.21),
            explanation(Vec::new(), 0.000_2),
        ],
        look_alikes: vec![LookAlike {
            explanations: vec![(vec![print], 0.78), (vec![seat], 0.21)],
            settles: Some(Settles {
                of: Measurand::of(Quantity::Distance(Stretch::PeepholeToRear)),
                expected: vec![[548.03, 0.0], [565.31, 0.0]],
                apart: 21.4,
            }),
        }],
        possible,
        look,
        relief_was_read: true,
        suspects: suspects(plan, bench.readings.len()).len(),
        tried: 20_512,
    }
}

fn cause(
    plan: &Plan,
    suspect: Suspect,
    possible: &[Vec<f64>],
    measurands: &[Measurand],
) -> Option<Cause> {
    let source = suspect
        .source()
        .filter(|source| source.family() == Family::Build)?;
    let item = match suspect {
        Suspect::Item { item, .. } => item,
        _ => 0,
    };
    let components = source.components();
    let spread = plan.design.law(source).spread(item);
    let mut cause = Cause {
        words: suspect.words(plan, measurands),
        suspect,
        kind: source.kind(),
        components,
        planned: [0.0; 2],
        tolerance_sd: [0.0; 2],
        estimate: [0.0; 2],
        interval: [[0.0; 2]; 2],
        times_tolerance: None,
        tail: None,
        fault_probability: 0.01,
        share: 0.002,
        known: 0.4,
    };
    for c in 0..components {
        let at = plan.layout.start(source) + components * item + c;
        let mut values: Vec<f64> = possible.iter().map(|build| build[at]).collect();
        values.sort_by(f64::total_cmp);
        cause.planned[c] = spread.mean[c];
        cause.tolerance_sd[c] = spread.sd[c];
        cause.estimate[c] = values[values.len() / 2];
        cause.interval[c] = [
            values[values.len() / 40],
            values[values.len() - values.len() / 40 - 1],
        ];
    }
    if cause.tolerance_sd[0] > 0.0 {
        let times = (cause.estimate[0] - cause.planned[0]).abs() / cause.tolerance_sd[0];
        cause.times_tolerance = Some(times);
        cause.tail = Some(if times > 6.0 { 1e-12 } else { libm_erfc(times) });
    }
    Some(cause)
}

/// Both tails of the normal law.
fn libm_erfc(times: f64) -> f64 {
    libm::erfc(times / std::f64::consts::SQRT_2)
}

fn find(plan: &Plan, bench: &Bench, why: &Why, run: &RunPlan) -> Finding {
    with_hooks(|hooks| finding(plan, bench, why, run, hooks)).expect("it can be found")
}

fn mends(plan: &Plan, bench: &Bench, why: &Why, before: &Finding, run: &RunPlan) -> Mends {
    let print = plan.layout.start(Source::PrintScale(Plate::Rear));
    let seat = plan.layout.start(Source::SeatDepth(Plate::Rear));
    let one = |words: &str,
               minutes: f64,
               pierces: bool,
               corrections: Vec<Correction>,
               change: &dyn Fn(&mut Vec<f64>)| {
        let mut after = why.clone();
        after.possible.iter_mut().for_each(change);
        let found = find(plan, bench, &after, run);
        let worst = |is_rod: bool| {
            found
                .items
                .iter()
                .filter(|item| matches!(item.item, Item::Rod(_)) == is_rod)
                .filter_map(|item| {
                    let seen = item.seen_rad?;
                    Some(Span {
                        median: seen.median / item.limit_rad,
                        interval: seen.interval.map(|end| end / item.limit_rad),
                    })
                })
                .max_by(|a, b| a.median.total_cmp(&b.median))
        };
        let gained = found.passes.count.saturating_sub(before.passes.count);
        Mend {
            corrections,
            words: words.to_owned(),
            minutes,
            pierces,
            drift: worst(true).expect("rods"),
            gap: worst(false),
            passes: found.passes,
            gain: PairedDifference::new(gained, 0, found.passes.of, 0.95),
            held: found.held.clone(),
        }
    };
    let print_suspect = Suspect::item(Source::PrintScale(Plate::Rear), 0);
    let ranked = vec![
        one(
            "print the rear pattern again at 100 %, pierce the rear plate anew and thread it",
            180.0,
            true,
            vec![Correction::PierceAnew(Plate::Rear)],
            &|build| build[print] = 0.0,
        ),
        one(
            "print the rear pattern again, pierce it anew, and tighten all lines as planned",
            215.0,
            true,
            vec![Correction::PutRight(print_suspect), Correction::TightenAll],
            &|build| build[print] = 0.001,
        ),
        one(
            "move the rear plate 12 mm nearer to the eye",
            25.0,
            false,
            vec![Correction::PutRight(Suspect::item(
                Source::SeatDepth(Plate::Rear),
                0,
            ))],
            &|build| build[seat] -= 12.0,
        ),
        one(
            "tighten all lines again, each as planned",
            40.0,
            false,
            vec![Correction::TightenAll],
            &|_| {},
        ),
    ];
    Mends {
        least: Some(0),
        needs_piercing: true,
        ranked,
    }
}
