//! The advice acted on: the recommended peephole and the recommended set of ways are put into each shipped scenario, one after
//! the other, and a run with another seed meets what was promised.

mod support;

use sightdrift::decision::{RunPlan, brief_run, peephole_answer, run, way_sets};
use sightdrift::scenario::{EXAMPLES, Scenario, put_lines, read_scenario};
use support::with_hooks;

/// A seed that no scenario has.
const ANOTHER_SEED: u64 = 977;

fn read(text: &str) -> Scenario {
    read_scenario("acted-on.toml", text, &|_| Err(String::new())).expect("a good scenario")
}

/// The recommended diameter, mm; `None` where no hole serves.
fn recommended_mm(scenario: &Scenario) -> Option<f64> {
    let run = brief_run(&scenario.run, 10_000);
    let answer = with_hooks(|hooks| peephole_answer(&scenario.plan, &run, hooks)).expect("whole");
    Some(answer.recommended?.chosen.tool.diameter_mm)
}

fn with_peephole(text: &str, diameter_mm: f64) -> String {
    let line = text
        .lines()
        .skip_while(|line| !line.starts_with("[peephole]"))
        .find(|line| line.starts_with("diameter"))
        .expect("a peephole has a diameter");
    text.replacen(line, &format!("diameter = \"{diameter_mm} mm\""), 1)
}

#[test]
fn peephole_and_set_put_into_each_scenario_meet_the_promise_with_another_seed() {
    for example in EXAMPLES {
        let mut text = example.text.to_owned();
        // the hole first; where none serves, the work first and the hole after it
        let hole_first = recommended_mm(&read(&text));
        if let Some(diameter_mm) = hole_first {
            text = with_peephole(&text, diameter_mm);
        }
        let scenario = read(&text);
        let run_plan = brief_run(&scenario.run, 10_000);
        let sets = with_hooks(|hooks| way_sets(&scenario.plan, &scenario.ways, &run_plan, hooks))
            .expect("whole");
        assert!(sets.meets, "{}", example.name);
        text = put_lines(&text, &scenario.ways.lines(&sets.chosen.set)).expect("can be put");
        let mut promised = sets.proof.build_yield.interval().expect("builds");
        if hole_first.is_none() {
            let diameter_mm = recommended_mm(&read(&text)).expect("the work opens a range");
            text = with_peephole(&text, diameter_mm);
            // the hole is another one now: what is promised is the target
            promised = [scenario.plan.design.judging.target_yield, 1.0];
        }
        let acted_on = read(&text);
        let again = RunPlan {
            seed: ANOTHER_SEED,
            builds: 20_000,
            half_width: None,
            ..acted_on.run
        };
        let tally = with_hooks(|hooks| run(&acted_on.plan, &again, hooks))
            .expect("whole")
            .tally;
        let found = again
            .yield_of(tally.builds, &tally.passed_in)
            .interval()
            .expect("builds");
        let judging = &acted_on.plan.design.judging;
        assert!(
            found[0] >= judging.target_yield,
            "{}: {found:?}",
            example.name
        );
        assert!(
            found[0] <= promised[1] && found[1] >= promised[0],
            "{}: found {found:?}, promised {promised:?}",
            example.name
        );
        let clear = 1.0 - tally.clipped_share.share().expect("looks");
        assert!(clear >= judging.clear_share, "{}: {clear}", example.name);
        println!(
            "{}: hole {} mm, set {:.0} (now {:.0}) {}: {found:?}, promised {promised:?}, clear {clear:.4}",
            example.name,
            acted_on.plan.design.peephole.diameter_mm,
            sets.chosen.cost,
            sets.now.cost,
            scenario.ways.unit.name,
        );
    }
}
