//! What needs a process of its own: peak memory, start-up, a whole assessment.

use super::clock::{median, seconds};
use super::cost::run_builds;
use super::scenarios::{Case, desk_boat_text, desk_boat_to_the_cap};
use std::path::Path;
use std::process::{Command, Stdio};

/// First argument of a child that runs some trials and tells its peak memory.
pub const MEMORY_CHILD: &str = "--peak-memory-of-trials";

/// Runs `trials` builds of the sailing boat with one look each and prints this process's peak memory, kB.
///
/// # Errors
/// What the scenario's reader says.
pub fn memory_child(trials: u64) -> Result<(), String> {
    run_builds(&Case::desk_boat()?, trials, 1);
    println!("{}", peak_memory_kb().unwrap_or(0));
    Ok(())
}

/// The kernel's high-water mark of this process's resident memory.
fn peak_memory_kb() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status
        .lines()
        .find_map(|line| line.strip_prefix("VmHWM:"))?;
    line.split_whitespace().next()?.parse().ok()
}

/// Peak memory of a process that runs `trials` trials, MB; `None` where the system does not tell it.
///
/// # Errors
/// A child that could not be started or did not end well.
pub fn peak_memory_mb(trials: u64) -> Result<Option<f64>, String> {
    let this = std::env::current_exe().map_err(|error| error.to_string())?;
    let output = Command::new(this)
        .args([MEMORY_CHILD, &trials.to_string()])
        .stderr(Stdio::inherit())
        .output()
        .map_err(|error| error.to_string())?;
    let told = String::from_utf8_lossy(&output.stdout);
    match told.trim().parse::<u64>() {
        Ok(0) => Ok(None),
        Ok(kb) if output.status.success() => Ok(Some(kb as f64 / 1000.0)),
        _ => Err(format!(
            "the run of {trials} trials ended with {}",
            output.status
        )),
    }
}

fn sightdrift(arguments: &[&Path]) -> Result<f64, String> {
    let mut status = None;
    let taken_s = seconds(|| {
        status = Some(
            Command::new(env!("CARGO_BIN_EXE_sightdrift"))
                .args(arguments)
                .stdin(Stdio::null())
                .stdout(Stdio::null())
                .stderr(Stdio::null())
                .status(),
        );
    });
    match status {
        Some(Ok(status)) if status.success() => Ok(taken_s),
        Some(Ok(status)) => Err(format!("sightdrift {arguments:?} ended with {status}")),
        Some(Err(error)) => Err(error.to_string()),
        None => Err("nothing was started".to_owned()),
    }
}

/// Seconds from the start to the end of `check` on the sailing boat: median of 20.
///
/// # Errors
/// A file that could not be written, or a run that failed.
pub fn check_s(folder: &Path) -> Result<f64, String> {
    let scenario = folder.join("desk-boat.toml");
    std::fs::write(&scenario, desk_boat_text()?).map_err(|error| error.to_string())?;
    let run = |_| sightdrift(&[Path::new("check"), &scenario]);
    (0..20).map(run).collect::<Result<_, _>>().map(median)
}

/// Seconds of a whole `assess` of the sailing boat to its cap, report and all, on all cores: median of 3.
///
/// # Errors
/// A file that could not be written, or a run that failed.
pub fn assess_s(folder: &Path) -> Result<f64, String> {
    let scenario = folder.join("desk-boat-to-the-cap.toml");
    std::fs::write(&scenario, desk_boat_to_the_cap()?).map_err(|error| error.to_string())?;
    let report = folder.join("report");
    let arguments = [
        Path::new("assess"),
        &scenario,
        Path::new("--overwrite"),
        Path::new("--out"),
        &report,
    ];
    let times: Vec<f64> = (0..3)
        .map(|_| sightdrift(&arguments))
        .collect::<Result<_, _>>()?;
    for file in ["report.html", "results.json", "eye-view.png"] {
        if !report.join(file).is_file() {
            return Err(format!("the report has no {file}"));
        }
    }
    Ok(median(times))
}
