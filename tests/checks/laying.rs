//! Least distances in a cabinet, as the rules of a layout find them; heights of eyes.

use super::{Answer, Inputs};
use sightdrift::decision::laying::{Breach, Rule, breaches};
use sightdrift::figure::{Allowed, Plate};
use sightdrift::report::shares_with_lower_eyes;
use sightdrift::scenario::read_scenario;

pub fn run(check: &str, i: Inputs<'_>) -> Option<Answer<Vec<f64>>> {
    Some(match check {
        "least_distances" => least_distances(i),
        "lower_eyes" => lower_eyes(i),
        _ => return None,
    })
}

/// Share of standing women or men whose eyes are lower.
fn lower_eyes(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let [women, men] = shares_with_lower_eyes(i.number("height_mm")?);
    match i.text("who")? {
        "women" => Ok(vec![women]),
        "men" => Ok(vec![men]),
        other => Err(format!("no \"{other}\"")),
    }
}

/// Least distance of two rods, of a line and another's rod, and of two holes of the front plate, mm: with rules that nothing
/// keeps, every distance is a breach that says what there is.
fn least_distances(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let name = i.text("scenario")?;
    let path = format!("{}/scenarios/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(path).map_err(|error| error.to_string())?;
    let no_files = |_: &str| Err("no file is named".to_owned());
    let scenario = read_scenario(name, &text, &no_files).map_err(|told| told.to_string())?;
    let nothing_keeps = Allowed {
        rod_gap_mm: 1e6,
        holes_apart_mm: [1e6; 2],
        ..scenario.allowed.ok_or("no table [allowed]")?
    };
    let found = breaches(&scenario.plan, &nothing_keeps, 1e6);
    let least = |is_meant: fn(&Breach) -> bool| {
        let meant = found.iter().filter(|breach| is_meant(breach));
        meant.map(|breach| breach.has).fold(f64::INFINITY, f64::min)
    };
    Ok(vec![
        least(|breach| matches!(breach.rule, Rule::Rods(..))),
        least(|breach| matches!(breach.rule, Rule::LineAtRod(..))),
        least(|breach| matches!(breach.rule, Rule::Holes(Plate::Front, ..))),
    ])
}
