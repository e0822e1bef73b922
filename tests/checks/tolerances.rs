//! Least-cost tolerances, and what a machined length may miss.

use super::{Answer, Inputs};
use sightdrift::decision::{Stack, least_cost_allocation};
use sightdrift::mechanics::ToleranceClass;

pub fn run(check: &str, i: Inputs<'_>) -> Option<Answer<Vec<f64>>> {
    Some(match check {
        "least_cost" => least_cost(i),
        "permissible_deviation" => permissible_deviation(i),
        _ => return None,
    })
}

/// The tolerances, then the cost.
fn least_cost(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let stack = if i.flag("worst_case")? {
        Stack::WorstCase
    } else {
        Stack::RootSumSquare
    };
    let found = least_cost_allocation(
        &i.list("costs")?,
        &i.list("sensitivities")?,
        i.number("bound")?,
        i.number("power")?,
        stack,
    )
    .map_err(|error| error.to_string())?;
    let mut all = found.tolerances;
    all.push(found.cost);
    Ok(all)
}

fn permissible_deviation(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let class = ToleranceClass::ALL
        .into_iter()
        .find(|class| {
            i.text("class")
                .is_ok_and(|text| text == class.letter().to_string())
        })
        .ok_or("no such class")?;
    i.list("lengths")?
        .into_iter()
        .map(|mm| {
            class
                .permissible_deviation_mm(mm)
                .ok_or(format!("no value for {mm} mm"))
        })
        .collect()
}
