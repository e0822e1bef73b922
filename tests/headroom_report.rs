//! What the report says of tolerances: every row, every number with its interval and counts, every assumption.

mod support;

use serde_json::Value;
use sightdrift::decision::{
    Allocation, Alone, Headroom, NoAllocation, RoomEnd, allocation, brief_run, each_alone, headroom,
};
use sightdrift::figure::{Plan, Source};
use sightdrift::report::drawing::tolerances_drawing;
use sightdrift::report::{
    headroom_json, headroom_section, headroom_sentence, headroom_text, tolerance_assumptions,
};
use sightdrift::scenario::{EXAMPLES, read_scenario};
use sightdrift::trial::thread_pool;
use support::with_hooks;

struct Found {
    plan: Plan,
    together: Headroom,
    rows: Vec<Alone>,
    shared: Result<Allocation, NoAllocation>,
}

fn found(name: &str, target_yield: f64) -> Found {
    let example = EXAMPLES.iter().find(|example| example.name == name);
    let example = example.expect("there is one of that name");
    let scenario =
        read_scenario(example.name, example.text, &|_| Err(String::new())).expect("a good example");
    let mut design = scenario.plan.design.clone();
    design.judging.target_yield = target_yield;
    let plan = Plan::new(design);
    let run = brief_run(&scenario.run, 1000);
    with_hooks(|hooks| {
        let together = headroom(&plan, &run, hooks)?;
        let rows = each_alone(&plan, &run, hooks)?;
        let shared = allocation(&plan, &run, &together, &[], None, hooks);
        Some((together, rows, shared))
    })
    .map(|(together, rows, shared)| Found {
        plan,
        together,
        rows,
        shared,
    })
    .expect("whole")
}

impl Found {
    fn text(&self) -> String {
        headroom_text(&self.plan, &self.together, &self.rows, &self.shared).replace('\u{a0}', " ")
    }

    fn json(&self) -> Value {
        headroom_json(&self.plan, &self.together, &self.rows, &self.shared)
    }

    fn page(&self) -> String {
        let drawing = tolerances_drawing(&self.plan, &self.together, &self.rows).expect("drawn");
        headroom_section(
            &self.plan,
            &self.together,
            &self.rows,
            &self.shared,
            Some(&drawing),
        )
        .into_string()
        .replace('\u{a0}', " ")
    }
}

#[test]
fn a_design_with_room_is_told_how_much_with_interval_counts_and_assumptions() {
    let found = found("desk-boat", 0.9);
    let sentence = headroom_sentence(&found.together).replace('\u{a0}', " ");
    for part in [
        "may grow together to 1.",
        "95 % interval",
        "target of 90 %",
        "of 1 000 builds",
    ] {
        assert!(sentence.contains(part), "{part}: {sentence}");
    }
    let (text, page) = (found.text(), found.page());
    for told in [&text, &page] {
        for part in [
            "hole scatter, both plates",
            "a hole of",
            "ISO 2768-1 for 168 mm",
            "class v (± 2.50 mm) is enough",
            "any within reason",
            "Not the workshop's",
            "no costs were given",
            "all steps alike, by the same builds",
            "The same in every build, and not scaled: rods tied beside the line",
        ] {
            assert!(told.contains(part), "{part}");
        }
        for assumed in tolerance_assumptions(&found.together) {
            let assumed = assumed.replace('\u{a0}', " ");
            assert!(told.contains(&assumed.replace('"', "&quot;")) || told.contains(&assumed));
        }
    }
    let json = found.json();
    let rows = json["alone"].as_array().expect("rows");
    assert_eq!(rows.len(), found.rows.len());
    for (told, row) in rows.iter().zip(&found.rows) {
        assert_eq!(
            told["keys"].as_array().expect("keys").len(),
            row.sources.len()
        );
        assert_eq!(told["room"]["yield_at_end"]["of"], 1000);
        let is_factor = matches!(row.room.end, RoomEnd::At(_));
        assert_eq!(told["room"]["factor"].is_number(), is_factor);
        if let (Some(now), Some(largest)) = (told["now"].as_f64(), told["largest"].as_f64())
            && row.source() != Source::HandTension
        {
            assert!((largest / now / row.room.factor() - 1.0).abs() < 1e-12);
        }
    }
    let steps = json["allocation"]["steps"].as_array().expect("steps");
    assert_eq!(
        steps.len(),
        found.shared.as_ref().expect("shared").steps.len()
    );
}

#[test]
fn a_design_without_room_is_told_to_shrink_or_to_be_changed() {
    let tight = found("gallery-bridge", 0.98);
    let sentence = headroom_sentence(&tight.together);
    assert!(
        sentence.contains("must shrink together to 0."),
        "{sentence}"
    );
    assert!(tight.page().contains("must shrink together"));
    let hopeless = found("slack-windmill", 0.9);
    let text = hopeless.text();
    for part in [
        "Less scatter alone does not meet the target of 90 %",
        "0 of 1 000 builds",
        "even none is not enough",
        "Not even work without scatter meets the target",
    ] {
        assert!(text.contains(part), "{part}: {text}");
    }
    assert!(hopeless.json()["allocation"]["none"].is_string());
}

#[test]
fn the_same_scenario_gives_the_same_bytes_at_any_number_of_threads() {
    let by = |threads| {
        let pool = thread_pool(threads).expect("threads");
        pool.install(|| {
            let found = found("carton-kite", 0.9);
            (found.json().to_string(), found.text(), found.page())
        })
    };
    assert!(by(1) == by(2));
}
