//! Arguments and commands.

mod about;
mod advice_out;
mod arguments;
mod assess;
mod begin;
mod begin_arguments;
mod check;
mod compare;
mod counts_file;
mod diagnose;
mod files;
#[cfg(test)]
mod instruction_sets;
mod keeper;
mod lay_out;
mod manual;
mod measure;
mod merge;
mod named_files;
mod peephole;
mod rare;
mod report_out;
mod see;
mod see_sheet;
mod sheets;
mod terminal;
mod thread;
mod tolerances;
mod trials_out;

pub use arguments::Arguments;
pub use merge::read_counts;

use crate::scenario::{explicit_schema, scenario_schema};
use arguments::{Command, SchemaOf};
use clap::{CommandFactory, Parser};
use std::fmt;
use std::io::Write;

/// What a command ended with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Exit {
    /// Done.
    Done,
    /// Done, and what the command asks for with --gate is not met.
    NotMet,
    /// The input, or a place to write to, was refused; nothing was written.
    Refused,
    /// Interrupted; no report was written.
    Interrupted,
}

impl Exit {
    /// The end of a command that has a verdict: with `gate` it tells whether what was asked for is `met`.
    fn gated(gate: bool, met: bool) -> Self {
        if gate && !met {
            Self::NotMet
        } else {
            Self::Done
        }
    }

    /// The process's exit code.
    pub fn code(self) -> u8 {
        match self {
            Self::Done => 0,
            Self::NotMet => 1,
            Self::Refused => 2,
            Self::Interrupted => 130,
        }
    }
}

/// Why a command stopped.
#[derive(Debug)]
pub enum Stop {
    /// In words, for stderr.
    Refused(String),
    /// Interrupted by the user; what became of what was done, in words.
    Interrupted(String),
}

impl fmt::Display for Stop {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Refused(words) => f.write_str(words),
            Self::Interrupted(words) => write!(f, "interrupted; {words}"),
        }
    }
}

impl<E: std::error::Error> From<E> for Stop {
    fn from(error: E) -> Self {
        Self::Refused(error.to_string())
    }
}

/// Parses the process's arguments and runs the command; prints the error once.
pub fn run() -> Exit {
    let arguments = Arguments::parse();
    let done = match arguments.command {
        Command::Assess(options) => assess::assess(&options),
        Command::Merge(options) => merge::merge(&options),
        Command::Check(options) => check::check(&options),
        Command::Measure(options) => measure::measure(&options),
        Command::See(options) => see::see(&options),
        Command::Sheets(options) => sheets::sheets(&options),
        Command::Thread(options) => thread::thread(&options),
        Command::Rare(options) => rare::rare(&options),
        Command::Peephole(options) => peephole::peephole(&options),
        Command::Tolerances(options) => tolerances::tolerances(&options),
        Command::LayOut(options) => lay_out::lay_out(&options),
        Command::Compare(options) => compare::compare(&options),
        Command::Diagnose(options) => diagnose::diagnose(&options),
        Command::Begin(options) => begin::begin(&options),
        Command::Schema(options) => print_json(&match options.of {
            SchemaOf::Scenario => scenario_schema(),
            SchemaOf::Explicit => explicit_schema(),
        }),
        Command::Man(options) => manual::manual(&options),
        Command::Completions { shell } => {
            let mut script = Vec::new();
            clap_complete::generate(shell, &mut Arguments::command(), "sightdrift", &mut script);
            print(&script)
        }
    };
    match done {
        Ok(exit) => exit,
        Err(stop) => {
            terminal::tell(&stop.to_string());
            match stop {
                Stop::Interrupted(_) => Exit::Interrupted,
                Stop::Refused(_) => Exit::Refused,
            }
        }
    }
}

/// Writes to standard output. A reader that has gone (`| head`) is no error.
fn print(bytes: &[u8]) -> Result<Exit, Stop> {
    let mut out = std::io::stdout().lock();
    match out.write_all(bytes).and_then(|()| out.flush()) {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => Err(Stop::Refused(
            format!("standard output cannot be written: {error}"),
        )),
        _ => Ok(Exit::Done),
    }
}

fn print_json(value: &serde_json::Value) -> Result<Exit, Stop> {
    let mut text = serde_json::to_string_pretty(value)?;
    text.push('\n');
    print(text.as_bytes())
}
