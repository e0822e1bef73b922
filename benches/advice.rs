//! How long whole answers take, on two threads.
//!
//!     cargo bench --bench advice                 every answer
//!     cargo bench --bench advice -- peephole     one of them: peephole, tolerances
//!
//! A missed target is told and is no failure: the clock also counts what else the machine does, so the time on the processor
//! stands beside it.

#[path = "measure/clock.rs"]
#[allow(dead_code)] // this benchmark uses its own part
mod clock;

use clock::{processor_seconds, seconds, tells_processor_time};
use sightdrift::decision::peephole::SWEEP_DIAMETERS;
use sightdrift::decision::{brief_run, peephole_answer, tolerances};
use sightdrift::scenario::{EXAMPLES, Scenario, read_scenario};
use sightdrift::trial::{RunHooks, thread_pool};
use std::process::ExitCode;
use std::sync::atomic::{AtomicBool, Ordering};

/// Threads of every answer.
const THREADS: usize = 2;
/// Builds of every design that is tried.
const BUILDS: u64 = 10_000;
/// The fastest of so many repetitions is told, and the slowest beside it.
const REPETITIONS: usize = 3;
/// Longest a whole answer may take, s: on the peephole, on tolerances.
const TARGETS_S: [f64; 2] = [5.0, 30.0];
/// What can be asked.
const ANSWERS: [&str; 2] = ["peephole", "tolerances"];

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
    let boat = boat()?;
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
    Ok(())
}

fn boat() -> Result<Scenario, String> {
    let example = EXAMPLES.iter().find(|example| example.name == "desk-boat");
    let text = example.ok_or("no example desk-boat")?.text;
    read_scenario("desk-boat", text, &|_| Err(String::new())).map_err(|why| why.to_string())
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
