//! A whole run gives the same counts, bit for bit, on every instruction set that this machine has.

use crate::decision::{RunPlan, run};
use crate::elementary::with_every_instruction_set;
use crate::sampling::Sampling;
use crate::scenario::{EXAMPLES, read_scenario};
use crate::trial::RunHooks;
use std::sync::atomic::AtomicBool;

#[test]
fn a_run_is_bit_equal_on_every_instruction_set() {
    let no_files = |_: &str| Err("no file is named".to_owned());
    let interrupted = AtomicBool::new(false);
    let hooks = RunHooks {
        interrupted: &interrupted,
        progress: &|_, _| {},
    };
    for example in EXAMPLES {
        let scenario = read_scenario(example.name, example.text, &no_files).expect("an example");
        for sampling in Sampling::ALL {
            let run_plan = RunPlan {
                builds: 300,
                looks: 3,
                half_width: None,
                sampling,
                ..scenario.run
            };
            let found = with_every_instruction_set(|| {
                run(&scenario.plan, &run_plan, &hooks)
                    .expect("never interrupted")
                    .tally
            });
            let (first, plain) = &found[0];
            assert_eq!(*first, "plain");
            assert_eq!(plain.builds, 300);
            for (set, tally) in &found {
                assert!(tally == plain, "{} on {set}, {sampling:?}", example.name);
            }
        }
    }
}
