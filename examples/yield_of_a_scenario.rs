//! Reads a scenario, runs it, and prints its yield with interval and counts.
//!
//! `cargo run --release --example yield_of_a_scenario -- scenarios/desk-boat.toml`

use sightdrift::decision::run;
use sightdrift::scenario::{EXAMPLES, read_scenario};
use sightdrift::trial::RunHooks;
use std::error::Error;
use std::path::Path;
use std::sync::atomic::AtomicBool;

fn main() -> Result<(), Box<dyn Error>> {
    let text = match std::env::args_os().nth(1) {
        Some(file) => told_of_file(Path::new(&file), None)?,
        None => told("the shipped example", EXAMPLES[1].text, Some(2000))?,
    };
    println!("{text}");
    Ok(())
}

/// The yield of the scenario in a file, of so many builds where they are given.
pub fn told_of_file(file: &Path, builds: Option<u64>) -> Result<String, Box<dyn Error>> {
    told(
        &file.display().to_string(),
        &std::fs::read_to_string(file)?,
        builds,
    )
}

/// The yield of a scenario's text; `name` stands in front of what is wrong with it.
pub fn told(name: &str, text: &str, builds: Option<u64>) -> Result<String, Box<dyn Error>> {
    // measured columns, if the scenario names any, would be read here
    let read_file = |file: &str| Err(format!("{file} is not read by this example"));
    let mut scenario = read_scenario(name, text, &read_file)?;
    scenario.run.builds = builds.unwrap_or(scenario.run.builds);
    // a flag that another thread may set, and how far it is
    let interrupted = AtomicBool::new(false);
    let hooks = RunHooks {
        interrupted: &interrupted,
        progress: &|_, _| {},
    };
    let result = run(&scenario.plan, &scenario.run, &hooks).ok_or("interrupted")?;
    let last = result.checkpoints.last().ok_or("no build was run")?;
    let found = &last.yield_so_far;
    let (Some(share), Some([low, high])) = (found.share(), found.interval()) else {
        return Err("no build could be computed".into());
    };
    Ok(format!(
        "{}: {:.1} % of builds hold ({} % interval {:.1} to {:.1} %; {} of {} builds)",
        scenario.title,
        100.0 * share,
        100.0 * found.level,
        100.0 * low,
        100.0 * high,
        found.count,
        found.of
    ))
}
