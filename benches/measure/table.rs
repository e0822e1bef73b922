//! The results as one Markdown table under a line about the machine.

use super::clock::tells_processor_time;
use std::fmt::Write;
use std::process::Command;

/// One row: what was measured, the figure, the target and whether it is met.
struct Row {
    what: String,
    measured: String,
    target: String,
    met: Option<bool>,
}

/// All rows in the order in which they were measured.
#[derive(Default)]
pub struct Table(Vec<Row>);

impl Table {
    /// A figure without a target.
    pub fn tell(&mut self, what: impl Into<String>, measured: impl Into<String>) {
        self.add(what.into(), measured.into(), String::new(), None);
    }

    /// A figure that is to meet a target.
    pub fn judge(
        &mut self,
        what: impl Into<String>,
        measured: impl Into<String>,
        target: &str,
        met: bool,
    ) {
        self.add(what.into(), measured.into(), target.to_owned(), Some(met));
    }

    fn add(&mut self, what: String, measured: String, target: String, met: Option<bool>) {
        // told at once too: the whole takes minutes
        eprintln!("{what}: {measured}");
        self.0.push(Row {
            what,
            measured,
            target,
            met,
        });
    }

    /// The table, under the machine that it was measured on.
    pub fn markdown(&self) -> String {
        let mut text = machine();
        text.push_str("\n| what | measured | target | met |\n| --- | --- | --- | --- |\n");
        for row in &self.0 {
            let met = row.met.map_or("", |met| if met { "yes" } else { "**no**" });
            let _ = writeln!(
                text,
                "| {} | {} | {} | {met} |",
                row.what, row.measured, row.target
            );
        }
        text
    }
}

/// Processor, cores, compiler, date, and what else the machine was doing.
fn machine() -> String {
    let read = |path: &str| std::fs::read_to_string(path).unwrap_or_default();
    let processor = read("/proc/cpuinfo")
        .lines()
        .find_map(|line| line.strip_prefix("model name")?.split_once(':'))
        .map_or("processor unknown".to_owned(), |(_, name)| {
            name.trim().to_owned()
        });
    let load = read("/proc/loadavg");
    let load = load.split_whitespace().next().unwrap_or("unknown");
    format!(
        "Machine: {processor}, {} cores; instruction set: {}; {}; {}; load average at the end {load}. Costs are of one core: {}.\n",
        cores(),
        sightdrift::elementary::instruction_set(),
        said("rustc", &["-V"]),
        said("date", &["-u", "+%Y-%m-%d"]),
        if tells_processor_time() {
            "time on the processor"
        } else {
            "time on the clock"
        }
    )
}

/// Threads that run at the same time.
pub fn cores() -> usize {
    std::thread::available_parallelism().map_or(1, std::num::NonZero::get)
}

fn said(program: &str, arguments: &[&str]) -> String {
    Command::new(program)
        .args(arguments)
        .output()
        .ok()
        .and_then(|output| String::from_utf8(output.stdout).ok())
        .map_or_else(
            || format!("{program} unknown"),
            |text| text.trim().to_owned(),
        )
}
