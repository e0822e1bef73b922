//! Scenarios whose ways of working are searched.
#![allow(dead_code)] // each test file uses its own part

use super::with_hooks;
use sightdrift::decision::{Brief, RunPlan, WaySets, brief, brief_run, way_sets};
use sightdrift::figure::Plan;
use sightdrift::scenario::{EXAMPLES, Scenario, read_scenario};

pub fn read(name: &str, text: &str) -> Scenario {
    match read_scenario(name, text, &|_| Err("no file is named".to_owned())) {
        Ok(scenario) => scenario,
        Err(problems) => panic!("{problems}"),
    }
}

pub fn example(name: &str) -> (&'static str, Scenario) {
    let example = EXAMPLES
        .iter()
        .find(|example| example.name == name)
        .expect("shipped");
    (example.text, read(name, example.text))
}

/// Builds of the full runs here, as the command has them when nothing is said.
pub const FULL_BUILDS: u64 = 10_000;

pub fn found(scenario: &Scenario) -> WaySets {
    let run = brief_run(&scenario.run, FULL_BUILDS);
    with_hooks(|hooks| way_sets(&scenario.plan, &scenario.ways, &run, hooks))
        .expect("not interrupted")
}

pub fn full_run(plan: &Plan, run: &RunPlan, builds: u64) -> Brief {
    with_hooks(|hooks| brief(plan, &brief_run(run, builds), hooks)).expect("not interrupted")
}

/// The boat with two steps open, all others held to one way each, and costs that are all different.
pub fn small_scenario() -> Scenario {
    let (boat, _) = example("desk-boat");
    let mut text = boat.to_owned();
    for (step, name, cost, law) in [
        ("pattern-placement", "as ever", 0.0, ""),
        ("print-scale", "as ever", 0.0, ""),
        ("plate-seat", "as ever", 0.0, ""),
        ("hole-width", "as ever", 0.0, ""),
        ("tension", "as ever", 0.0, ""),
        ("straightness", "as ever", 0.0, ""),
        ("peephole-placement", "as ever", 0.0, ""),
        (
            "piercing",
            "coarse",
            1.0,
            "plates.hole_scatter = { form = \"normal\", sd = \"0.5 mm\" }",
        ),
        (
            "piercing",
            "middling",
            4.0,
            "plates.hole_scatter = { form = \"normal\", sd = \"0.32 mm\" }",
        ),
        (
            "piercing",
            "fine",
            9.5,
            "front.hole_scatter = { form = \"normal\", sd = \"0.1 mm\" }\nrear.hole_scatter = { form = \"normal\", sd = \"0.12 mm\" }",
        ),
        ("tie", "beside", 0.25, "rod.tie = \"random\""),
        ("tie", "above", 2.5, "rod.tie = { direction = \"90 deg\" }"),
        ("tie", "through", 11.0, "rod.tie = \"off\""),
        (
            "depth-setting",
            "rough",
            0.5,
            "rod.slip = { form = \"normal\", sd = \"4 mm\" }",
        ),
        (
            "depth-setting",
            "exact",
            3.25,
            "rod.slip = { form = \"uniform\", half_width = \"0.7 mm\" }",
        ),
    ] {
        text.push_str(&format!(
            "\n[[ways]]\nstep = \"{step}\"\nname = \"{name}\"\ncost = {cost}\n{law}\n"
        ));
    }
    text = text.replace("target_yield = 0.9", "target_yield = 0.8");
    read("small", &text)
}
