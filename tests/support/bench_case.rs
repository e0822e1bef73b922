//! Builds that were spoiled on purpose, measured with the usual uncertainties, and diagnosed: for tests of what a person sees.

use super::with_hooks;
use sightdrift::decision::{Diagnosis, RunPlan, brief_run, diagnose};
use sightdrift::figure::{
    Bench, BenchWords, Family, Measurand, Plan, Plate, Quantity, Source, Stretch, all_measurands,
};
use sightdrift::report::{About, Diagnosed};
use sightdrift::scenario::{EXAMPLES, Scenario, read_scenario};
use sightdrift::trial::{Frames, taken};

/// A build with its diagnosis.
pub struct Case {
    pub plan: Plan,
    pub bench: Bench,
    pub diagnosis: Diagnosis,
    pub run: RunPlan,
    pub about: About,
    pub put_right: Vec<String>,
    pub notes: Vec<String>,
}

impl Case {
    pub fn told(&self) -> Diagnosed<'_> {
        Diagnosed {
            plan: &self.plan,
            bench: &self.bench,
            diagnosis: &self.diagnosis,
            run: &self.run,
            about: &self.about,
            put_right: &self.put_right,
            notes: &self.notes,
        }
    }
}

/// The shipped scenario of this name.
pub fn shipped(name: &str) -> Scenario {
    let example = EXAMPLES.iter().find(|example| example.name == name);
    let example = example.expect("there is one of that name");
    read_scenario(example.name, example.text, &|_| Err(String::new())).expect("a good example")
}

fn about(scenario: &Scenario, name: &str) -> About {
    About {
        name: name.to_owned(),
        title: scenario.title.clone(),
        note: scenario.note.clone(),
        file: format!("scenarios/{name}.toml"),
        shell_file: format!("scenarios/{name}.toml"),
        sha256: scenario.sha256.clone(),
        grade: scenario.grade.name().to_owned(),
        command: format!(
            "sightdrift diagnose scenarios/{name}.toml bench.csv --seed 1 --builds 64 --looks 8"
        ),
        sources: Vec::new(),
        warnings: Vec::new(),
    }
}

/// What is read in most cases here.
pub const HOLES_AND_PICTURE: [Quantity; 8] = [
    Quantity::Hole(Plate::Front),
    Quantity::Hole(Plate::Rear),
    Quantity::Distance(Stretch::PeepholeToFront),
    Quantity::Distance(Stretch::FrontToRear),
    Quantity::Peephole,
    Quantity::EyeRelief,
    Quantity::Tension,
    Quantity::SeenEnd,
];

/// One value of a build that is off: source, item, components.
pub type Off<'o> = (Source, usize, &'o [f64]);

/// The shipped scenario `name`, built with `off` and all else at its mean, of which `read` was measured.
pub fn spoiled(name: &str, off: &[Off<'_>], read: &[Quantity]) -> Case {
    spoiled_and_misread(name, off, read, None)
}

/// The same, with one reading written down wrong: its number, and what was added to its first component.
pub fn spoiled_and_misread(
    name: &str,
    off: &[Off<'_>],
    read: &[Quantity],
    misread: Option<(usize, f64)>,
) -> Case {
    let scenario = shipped(name);
    let plan = scenario.plan.clone();
    let run = RunPlan {
        seed: 1,
        looks: 8,
        ..brief_run(&scenario.run, 64)
    };
    let mut build = plan.mean_values(Family::Build);
    for (source, item, components) in off {
        let at = plan.layout.start(*source) + item * components.len();
        build[at..at + components.len()].copy_from_slice(components);
    }
    let look = plan.mean_values(Family::Look);
    let measurands: Vec<Measurand> = all_measurands(&plan)
        .into_iter()
        .filter(|of| read.contains(&of.quantity))
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
    let frames = Frames::plain(&plan);
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
    if let Some((nth, by)) = misread {
        bench.readings[nth].value[0] += by;
        bench.readings[nth].remark = Some("ink smeared".into());
    }
    let diagnosis = with_hooks(|hooks| diagnose(&plan, &bench, &run, hooks)).expect("diagnosed");
    Case {
        diagnosis,
        about: about(&scenario, name),
        plan,
        bench,
        run,
        put_right: Vec::new(),
        notes: Vec::new(),
    }
}

/// A shipped scenario with its rear pattern printed at 92 %, and one hole written down 4 mm off.
pub fn small_print(name: &str) -> Case {
    spoiled_and_misread(
        name,
        &[(Source::PrintScale(Plate::Rear), 0, &[-0.08])],
        &HOLES_AND_PICTURE,
        Some((3, 4.0)),
    )
}
