//! Elementary functions, number by number.

use super::{Answer, Inputs};
use sightdrift::elementary::{disc_segment, exp, ln, sin_cos_turns};

pub fn run(check: &str, i: Inputs<'_>) -> Option<Answer<Vec<f64>>> {
    let each = |of: fn(f64) -> f64| i.list("at").map(|xs| xs.into_iter().map(of).collect());
    Some(match check {
        "sin_cos_turns" => i.list("at").map(|xs| {
            xs.into_iter()
                .flat_map(|turns| <[f64; 2]>::from(sin_cos_turns(turns)))
                .collect()
        }),
        "exp" => each(exp),
        "ln" => each(ln),
        "disc_segment" => each(disc_segment),
        _ => return None,
    })
}
