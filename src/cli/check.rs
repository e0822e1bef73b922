//! `check`: reads a scenario, runs nothing, prints what was understood.

use super::about::about;
use super::arguments::CheckOptions;
use super::files::open_scenario;
use super::{Exit, Stop, print, print_json};
use crate::decision::laying::own_breaches;
use crate::report::Nominal;
use crate::scenario::Scenario;
use serde_json::json;
use std::fmt::Write;

pub(super) fn check(options: &CheckOptions) -> Result<Exit, Stop> {
    let scenario = open_scenario(&options.scenario)?;
    let met = !options.gate || keeps_rules(options, &scenario)?;
    let about = about(&options.scenario, String::new(), &scenario);
    let nominal = Nominal::of(&scenario.plan);
    if options.json {
        print_json(&json!({
            "schema": 1,
            "name": about.name,
            "title": about.title,
            "sha256": about.sha256,
            "work": about.grade,
            "nominal": nominal,
            "sources": about.sources.iter().map(|source| json!({
                "key": source.key,
                "items": source.items,
                "law": source.law,
                "origin": source.origin,
            })).collect::<Vec<_>>(),
            "warnings": about.warnings,
        }))?;
        return Ok(Exit::gated(options.gate, met));
    }
    let mut text = format!(
        "{} ({})\nwork       {}\n",
        about.title, about.file, about.grade
    );
    text.push_str(&nominal.text(&scenario.plan));
    text.push_str("\nsources of error\n");
    for source in &about.sources {
        let _ = writeln!(
            text,
            "  {:<26} {}  [{}]",
            source.key, source.law, source.origin
        );
    }
    for warning in &about.warnings {
        let _ = writeln!(text, "\nwarning: {warning}");
    }
    let _ = writeln!(
        text,
        "\nnothing was run; `sightdrift assess {}` runs it",
        about.shell_file
    );
    print(text.as_bytes())?;
    Ok(Exit::gated(options.gate, met))
}

/// Whether the layout breaks no rule of its cabinet; refused where the scenario states none.
fn keeps_rules(options: &CheckOptions, scenario: &Scenario) -> Result<bool, Stop> {
    match &scenario.allowed {
        Some(allowed) => Ok(own_breaches(&scenario.plan, allowed).is_empty()),
        None => Err(Stop::Refused(format!(
            "{}: has no table [allowed], against which --gate holds the layout\n  hint: put in the cabinet's inside and the eye's height, or leave --gate out",
            options.scenario.display()
        ))),
    }
}
