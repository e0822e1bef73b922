//! How long whole answers take, on two threads.
//!
//!     cargo bench --bench advice                 every answer
//!     cargo bench --bench advice -- peephole     one of them
//!
//! A missed target is told and is no failure: the clock also counts what else the machine does.

use sightdrift::decision::peephole::SWEEP_DIAMETERS;
use sightdrift::decision::{brief_run, peephole_answer};
use sightdrift::scenario::{EXAMPLES, Scenario, read_scenario};
use sightdrift::trial::{RunHooks, thread_pool};
use std::process::ExitCode;
use std::sync::atomic::AtomicBool;
use std::time::Instant;

/// Threads of every answer.
const THREADS: usize = 2;
/// Builds of every design that is tried.
const BUILDS: u64 = 10_000;
/// The fastest of so many repetitions is told, and the slowest beside it.
const REPETITIONS: usize = 3;
/// Longest a whole answer may take, s.
const TARGET_S: f64 = 5.0;

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
    let unknown = wanted.iter().find(|one| *one != "peephole");
    if let Some(unknown) = unknown {
        return Err(format!("unknown answer {unknown}, known here: peephole"));
    }
    if is_wanted("peephole") {
        let boat = boat()?;
        let what = format!(
            "peephole: desk-boat, {SWEEP_DIAMETERS} diameters, {BUILDS} builds × {} looks, ends, tools, proof",
            boat.run.looks
        );
        let run = brief_run(&boat.run, BUILDS);
        tell(&what, |hooks| {
            peephole_answer(&boat.plan, &run, hooks)
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

fn tell(what: &str, answer: impl Fn(&RunHooks<'_>) -> Result<(), ()> + Sync) -> Result<(), String> {
    let pool = thread_pool(THREADS)?;
    let never = AtomicBool::new(false);
    let hooks = RunHooks {
        interrupted: &never,
        progress: &|_, _| {},
    };
    let mut seconds = Vec::new();
    for _ in 0..REPETITIONS {
        let begun = Instant::now();
        pool.install(|| answer(&hooks))
            .map_err(|()| "interrupted")?;
        seconds.push(begun.elapsed().as_secs_f64());
    }
    seconds.sort_by(f64::total_cmp);
    let (fastest, slowest) = (seconds[0], seconds[REPETITIONS - 1]);
    let met = if fastest < TARGET_S { "met" } else { "missed" };
    println!(
        "{what}\n  {fastest:.2} to {slowest:.2} s on {THREADS} threads, {REPETITIONS} repetitions; target under {TARGET_S} s: {met}"
    );
    Ok(())
}
