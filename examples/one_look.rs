//! Looks once at one build and prints how far each rod is seen off its target edge, in arcminutes.
//!
//! `cargo run --release --example one_look`

use sightdrift::scenario::{EXAMPLES, ExplicitTrial, Problems, read_explicit, read_scenario};
use sightdrift::trial::Sight;
use sightdrift::units::arcmin;
use std::fmt::Write as _;

/// The eye half a millimetre to the right and nothing else amiss.
pub const EXPLICIT: &str = "[eye]\noffset = [\"0.5 mm\", 0]\n";

fn main() -> Result<(), Problems> {
    print!("{}", told(EXAMPLES[1].text, EXPLICIT)?);
    Ok(())
}

/// What one look at the scenario shows under the errors of `explicit`, a line a rod.
pub fn told(scenario: &str, explicit: &str) -> Result<String, Problems> {
    let no_files = |_: &str| Err("no file is named".to_owned());
    let scenario = read_scenario("scenario", scenario, &no_files)?;
    let trial: ExplicitTrial = read_explicit("explicit", explicit, &scenario.plan)?;
    let mut text = String::new();
    match Sight::of(&trial.plan, &trial.build, &trial.look) {
        Ok(sight) => {
            for (rod, seen) in trial.plan.design.rods.iter().zip(&sight.rods) {
                let drift = seen.across_rad.as_ref().map(|off| arcmin(off.fixed));
                let drift = drift.map_or("clipped".to_owned(), |off| format!("{off:.3} arcmin"));
                let _ = writeln!(text, "{}: {drift}", rod.name);
            }
        }
        Err(reason) => {
            let _ = writeln!(text, "cannot be computed: {reason:?}");
        }
    }
    Ok(text)
}
