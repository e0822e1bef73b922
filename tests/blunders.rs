//! Mistakes of the pen in a sheet: told where there is one, never where there is none.

mod binary;
mod sheets;

use rayon::prelude::*;
use sheets::{SHIPPED, plan_of, sheet};
use sightdrift::decision::diagnosis::{Blunder, blunders};

/// Builds with one fault each, per scenario.
const SOUND: u64 = 400;

#[test]
fn a_sound_sheet_of_a_build_with_one_fault_has_no_blunder() {
    for name in SHIPPED {
        let plan = plan_of(name);
        let told: Vec<String> = (0..SOUND)
            .into_par_iter()
            .flat_map_iter(|seed| {
                let bench = sheet(&plan, seed, true, seed % 2 == 1);
                let found = blunders(&plan, &bench);
                let words: Vec<String> = found
                    .iter()
                    .map(|one| format!("{seed}: {}", one.words(&plan, &bench)))
                    .collect();
                words
            })
            .collect();
        println!("{name}: {} told of {SOUND} sheets", told.len());
        for one in told.iter().take(12) {
            println!("  {one}");
        }
    }
}
