//! Sobol' indices: of functions, of given evaluations, of a scenario.

use super::{Answer, Inputs};
use crate::support::evaluations::{blocks_of_function, g_function, ishigami};
use crate::support::with_hooks;
use sightdrift::decision::{RunPlan, ShareOutput, Shares, shares};
use sightdrift::figure::{Plan, Step};
use sightdrift::sampling::BLOCK_BUILDS;
use sightdrift::scenario::{EXAMPLES, read_scenario};
use sightdrift::statistics::{BlockSums, FEWEST_BLOCKS, VarianceShares, variance_shares};
use std::collections::BTreeMap;
use std::sync::Mutex;

const LEVEL: f64 = 0.95;

pub fn run(check: &str, i: Inputs<'_>) -> Option<Answer<Vec<f64>>> {
    Some(match check {
        "variance_shares" => of_function(i),
        "variance_shares_of" => of_evaluations(i),
        "scenario_shares" => of_scenario(i),
        _ => return None,
    })
}

/// First-order indices, then total indices.
fn both(found: &VarianceShares) -> Vec<f64> {
    let first = found.groups.iter().map(|group| group.first.estimate);
    let total = found.groups.iter().map(|group| group.total.estimate);
    first.chain(total).collect()
}

fn of_function(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let (inputs, seed) = (i.count("inputs")? as usize, i.count("seed")?);
    let blocks = i.count("rows")? / BLOCK_BUILDS as u64;
    let sums = match i.text("function")? {
        "ishigami" => {
            let (a, b) = (i.number("a")?, i.number("b")?);
            blocks_of_function(|u| ishigami(u, a, b), inputs, blocks, seed, a / 2.0)
        }
        "g" => {
            let a = i.list("a")?;
            blocks_of_function(|u| g_function(u, &a), inputs, blocks, seed, 1.0)
        }
        other => return Err(format!("unknown function \"{other}\"")),
    };
    let about = if i.text("function")? == "g" {
        1.0
    } else {
        i.number("a")? / 2.0
    };
    variance_shares(&sums, about, LEVEL, seed)
        .map(|found| both(&found))
        .ok_or("no shares".into())
}

fn of_evaluations(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let (first, second) = (i.list("first")?, i.list("second")?);
    let mixed = i.value("mixed")?.as_array().ok_or("lists are needed")?;
    let mixed: Vec<Vec<f64>> = mixed.iter().map(crate::numbers).collect();
    let rows = first.len() / FEWEST_BLOCKS;
    let sums: Vec<BlockSums> = (0..FEWEST_BLOCKS)
        .map(|block| {
            let part = |all: &[f64]| all[block * rows..(block + 1) * rows].to_vec();
            let mixed: Vec<Vec<f64>> = mixed.iter().map(|all| part(all)).collect();
            BlockSums::of(&part(&first), &part(&second), &mixed, 0.0)
        })
        .collect();
    variance_shares(&sums, 0.0, LEVEL, 1)
        .map(|found| both(&found))
        .ok_or("no shares".into())
}

/// Shares of a shipped scenario, by name, rows and how many times the eye's scatter.
fn shares_of(name: &str, rows: u64, times: u64) -> Answer<Shares> {
    static KNOWN: Mutex<BTreeMap<(String, u64, u64), Shares>> = Mutex::new(BTreeMap::new());
    let mut known = KNOWN.lock().map_err(|_| "another check failed")?;
    let key = (name.to_owned(), rows, times);
    if let Some(shares) = known.get(&key) {
        return Ok(shares.clone());
    }
    let example = EXAMPLES.iter().find(|example| example.name == name);
    let text = example.ok_or(format!("no scenario \"{name}\""))?.text;
    let scenario = read_scenario(name, text, &|_| Err("no other file".to_owned()))
        .map_err(|problems| problems.to_string())?;
    let design = &scenario.plan.design;
    let plan = Plan::new(design.with_scaled(&Step::EyePosition.sources(), times as f64));
    let run = RunPlan {
        level: LEVEL,
        ..scenario.run
    };
    let found = with_hooks(|hooks| shares(&plan, &run, rows, hooks)).ok_or("interrupted")?;
    known.insert(key, found.clone());
    Ok(found)
}

fn of_scenario(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let times = i.count("eye_position_times")?;
    let shares = shares_of(i.text("scenario")?, i.count("rows")?, times)?;
    let names: Vec<&str> = shares.steps.iter().map(|step| step.name()).collect();
    let wanted = i.value("steps")?.as_array().ok_or("a list is needed")?;
    if !wanted
        .iter()
        .map(toml::Value::as_str)
        .eq(names.iter().map(|name| Some(*name)))
    {
        return Err(format!("steps that vary here: {names:?}"));
    }
    let output = i.text("output")?;
    let output = ShareOutput::ALL
        .into_iter()
        .find(|one| one.name() == output)
        .ok_or(format!("no output \"{output}\""))?;
    let found = match &shares.of(output).found {
        Ok(found) => both(found),
        Err(why) => return Err(format!("{why:?}")),
    };
    let (first, total) = found.split_at(names.len());
    match i.text("what")? {
        "first_order" => Ok(first.to_vec()),
        "total" => Ok(total.to_vec()),
        other => Err(format!("unknown index \"{other}\"")),
    }
}
