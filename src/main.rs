//! Parse, run, print the error once, exit code.

use std::process::ExitCode;

fn main() -> ExitCode {
    ExitCode::from(sightdrift::cli::run().code())
}
