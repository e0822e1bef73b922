//! How long whole answers take, on two threads.
//!
//!     cargo bench --bench advice                 every answer
//!     cargo bench --bench advice -- peephole     one of them: peephole, tolerances, diagnose, lay-out, thread
//!
//! A missed target is told and is no failure: the clock also counts what else the machine does, so the time on the processor
//! stands beside it.

#[path = "measure/clock.rs"]
#[allow(dead_code)] // this benchmark uses its own part
mod clock;

use clock::{processor_seconds, seconds, tells_processor_time};
use sightdrift::decision::laying::{Aim, lay_out};
use sightdrift::decision::peephole::SWEEP_DIAMETERS;
use sightdrift::decision::threading::{ThreadSettings, thread};
use sightdrift::decision::{RunPlan, brief_run, diagnose, peephole_answer, tolerances};
use sightdrift::figure::{Bench, Family, Measurand, Plate, Source, all_measurands};
use sightdrift::report::only_where_asked_for;
use sightdrift::scenario::{EXAMPLES, Scenario, read_scenario};
use sightdrift::trial::{Frames, RunHooks, taken, thread_pool};
use std::process::ExitCode;
use std::sync::atomic::{AtomicBool, Ordering};

/// Threads of every answer.
const THREADS: usize = 2;
/// Builds of every design that is tried.
const BUILDS: u64 = 10_000;
/// The fastest of so many repetitions is told, and the slowest beside it.
const REPETITIONS: usize = 3;
/// Longest a whole answer may take, s: on the peephole, on tolerances, on a build that fails, on a layout, on an order of threading.
const TARGETS_S: [f64; 5] = [5.0, 30.0, 5.0, 30.0, 5.0];
/// What can be asked.
const ANSWERS: [&str; 5] = ["peephole", "tolerances", "diagnose", "lay-out", "thread"];

fn main() -> ExitCode {
    match measure_all() {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) => {
            eprintln!("{why}");
            ExitCode::FAILURE
        }
    }
}

fn measure_all() -> Result<(), String> {
    let wanted: Vec<String> = std::env::args()
        .skip(1)
        .filter(|one| one != "--bench")
        .collect();
    let is_wanted = |name: &str| wanted.is_empty() || wanted.iter().any(|one| one == name);
    let unknown = wanted.iter().find(|one| !ANSWERS.contains(&one.as_str()));
    if let Some(unknown) = unknown {
        let known = ANSWERS.join(", ");
        return Err(format!("unknown answer {unknown}, known here: {known}"));
    }
    let boat = example("desk-boat")?;
    let run = brief_run(&boat.run, BUILDS);
    if is_wanted("peephole") {
        let what = format!(
            "peephole: desk-boat, {SWEEP_DIAMETERS} diameters, {BUILDS} builds × {} looks, ends, tools, proof",
            boat.run.looks
        );
        tell(&what, TARGETS_S[0], |hooks| {
            peephole_answer(&boat.plan, &run, hooks)
                .map(drop)
                .map_err(|_| ())
        })?;
    }
    if is_wanted("tolerances") {
        let what = format!(
            "tolerances: desk-boat, {BUILDS} builds × {} looks, shares, room, ways, depths",
            boat.run.looks
        );
        tell(&what, TARGETS_S[1], |hooks| {
            tolerances(&boat.plan, &boat.ways, &run, hooks)
                .map(drop)
                .map_err(|_| ())
        })?;
    }
    if is_wanted("diagnose") {
        for name in ["desk-boat", "gallery-bridge"] {
            diagnosed(&example(name)?)?;
        }
    }
    if is_wanted("lay-out") {
        for (name, aim) in [
            ("desk-boat", Aim::Robustness),
            ("desk-boat", Aim::Scatter),
            ("gallery-bridge", Aim::Robustness),
        ] {
            laid_out(&example(name)?, aim)?;
        }
    }
    if is_wanted("thread") {
        for name in ["desk-boat", "gallery-bridge"] {
            threaded(&example(name)?)?;
        }
    }
    Ok(())
}

/// Plates, scale and depths within the scenario's own cabinet.
fn laid_out(scenario: &Scenario, aim: Aim) -> Result<(), String> {
    let allowed = scenario.allowed.as_ref().ok_or("no table [allowed]")?;
    let run = brief_run(&scenario.run, BUILDS);
    let what = format!(
        "lay-out: {}, {} rods, for {}, search, bounds, proof by {BUILDS} builds × {} looks",
        scenario.title,
        scenario.plan.design.rods.len(),
        aim.name(),
        run.looks
    );
    tell(&what, TARGETS_S[3], |hooks| {
        lay_out(&scenario.plan, allowed, aim, &run, hooks)
            .map(drop)
            .map_err(|_| ())
    })
}

/// One line through all holes.
fn threaded(scenario: &Scenario) -> Result<(), String> {
    let lines = scenario.plan.design.vertices.len();
    let what = format!("thread: {}, {lines} lines, proved best", scenario.title);
    let settings = ThreadSettings {
        seed: scenario.run.seed,
        friction: Some(0.2),
        least_share: 0.5,
        anchor_mm: 127.0,
    };
    tell(&what, TARGETS_S[4], |_| {
        thread(&scenario.plan, &settings).map(drop).ok_or(())
    })
}

/// A build whose rear pattern was printed at 92 %, everything read of it that a blank sheet asks for first.
fn diagnosed(scenario: &Scenario) -> Result<(), String> {
    let plan = &scenario.plan;
    let mut build = plan.mean_values(Family::Build);
    build[plan.layout.start(Source::PrintScale(Plate::Rear))] = -0.08;
    let look = plan.mean_values(Family::Look);
    let mut bench = Bench::default();
    let all: Vec<Measurand> = all_measurands(plan)
        .into_iter()
        .filter(|of| !only_where_asked_for(of.quantity))
        .collect();
    let frames = Frames::plain(plan);
    bench.readings = taken(plan, &all, &bench, [&build, &look], &frames, Some(1))
        .map_err(|reason| reason.to_string())?;
    let run = RunPlan {
        builds: 256,
        looks: 16,
        ..scenario.run
    };
    let what = format!(
        "diagnose: {}, {} readings, {} possible builds × {} looks, causes, mends",
        scenario.title,
        bench.readings.len(),
        run.builds,
        run.looks
    );
    tell(&what, TARGETS_S[2], |hooks| {
        diagnose(plan, &bench, &run, hooks)
            .map(drop)
            .map_err(|_| ())
    })
}

fn example(name: &str) -> Result<Scenario, String> {
    let example = EXAMPLES.iter().find(|example| example.name == name);
    let text = example.ok_or_else(|| format!("no example {name}"))?.text;
    read_scenario(name, text, &|_| Err(String::new())).map_err(|why| why.to_string())
}

fn tell(
    what: &str,
    target_s: f64,
    answer: impl Fn(&RunHooks<'_>) -> Result<(), ()> + Sync,
) -> Result<(), String> {
    let pool = thread_pool(THREADS)?;
    let never = AtomicBool::new(false);
    let hooks = RunHooks {
        interrupted: &never,
        progress: &|_, _| {},
    };
    let is_interrupted = AtomicBool::new(false);
    let mut times = Vec::new();
    for _ in 0..REPETITIONS {
        let mut processor_s = 0.0;
        let clock_s = seconds(|| {
            processor_s = processor_seconds(&pool, || {
                if answer(&hooks).is_err() {
                    is_interrupted.store(true, Ordering::Relaxed);
                }
            });
        });
        times.push((clock_s, processor_s));
    }
    if is_interrupted.into_inner() {
        return Err("interrupted".to_owned());
    }
    times.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (fastest, slowest) = (times[0], times[REPETITIONS - 1]);
    let met = if fastest.0 < target_s {
        "met"
    } else {
        "missed"
    };
    let processor = if tells_processor_time() {
        format!(
            ", of which {:.2} s a thread on the processor",
            fastest.1 / THREADS as f64
        )
    } else {
        String::new()
    };
    println!(
        "{what}\n  {:.2} to {:.2} s on {THREADS} threads, {REPETITIONS} repetitions{processor}; target under {target_s} s: {met}",
        fastest.0, slowest.0
    );
    Ok(())
}
