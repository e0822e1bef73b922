//! From the name of a check to the library's numbers.

mod bench;
mod comparison;
mod drawing;
mod elementary;
mod geometry;
mod laying;
mod mechanics;
mod peephole;
mod sampling;
mod shares;
mod tolerances;
mod vision;
mod whole_trial;
mod workshop;

use sightdrift::geometry::{Pair, Point};

/// What the library computed for a row.
pub enum Found {
    /// In the order of the row's expected numbers.
    Numbers(Vec<f64>),
    /// By name, for a row that expects a table.
    Named(Vec<(&'static str, Vec<f64>)>),
}

/// A row's inputs.
#[derive(Clone, Copy)]
pub struct Inputs<'a>(pub &'a toml::Table);

pub type Answer<T> = Result<T, String>;

impl<'a> Inputs<'a> {
    pub fn value(&self, key: &str) -> Answer<&'a toml::Value> {
        self.0.get(key).ok_or(format!("input \"{key}\" is missing"))
    }

    pub fn number(&self, key: &str) -> Answer<f64> {
        let list = self.list(key)?;
        match list[..] {
            [one] => Ok(one),
            _ => Err(format!("\"{key}\" must be one number")),
        }
    }

    pub fn list(&self, key: &str) -> Answer<Vec<f64>> {
        Ok(super::numbers(self.value(key)?))
    }

    pub fn count(&self, key: &str) -> Answer<u64> {
        self.value(key)?
            .as_integer()
            .and_then(|n| u64::try_from(n).ok())
            .ok_or(format!("\"{key}\" must be a whole number"))
    }

    pub fn text(&self, key: &str) -> Answer<&'a str> {
        self.value(key)?
            .as_str()
            .ok_or(format!("\"{key}\" must be a text"))
    }

    pub fn flag(&self, key: &str) -> Answer<bool> {
        self.value(key)?
            .as_bool()
            .ok_or(format!("\"{key}\" must be true or false"))
    }

    pub fn pair(&self, key: &str) -> Answer<Pair> {
        match self.list(key)?[..] {
            [x, y] => Ok(Pair::new(x, y)),
            _ => Err(format!("\"{key}\" must be two numbers")),
        }
    }

    pub fn point(&self, key: &str) -> Answer<Point> {
        match self.list(key)?[..] {
            [x, y, z] => Ok(Point::new(x, y, z)),
            _ => Err(format!("\"{key}\" must be three numbers")),
        }
    }

    pub fn pairs(&self, key: &str) -> Answer<Vec<Pair>> {
        Ok(self
            .list(key)?
            .chunks_exact(2)
            .map(|c| Pair::new(c[0], c[1]))
            .collect())
    }

    pub fn points(&self, key: &str) -> Answer<Vec<Point>> {
        Ok(self
            .list(key)?
            .chunks_exact(3)
            .map(|c| Point::new(c[0], c[1], c[2]))
            .collect())
    }

    pub fn indices(&self, key: &str) -> Answer<Vec<usize>> {
        Ok(self.list(key)?.into_iter().map(|x| x as usize).collect())
    }

    pub fn tables(&self, key: &str) -> Answer<Vec<Inputs<'a>>> {
        let all = self
            .value(key)?
            .as_array()
            .ok_or(format!("\"{key}\" must be a list"))?;
        all.iter()
            .map(|one| {
                one.as_table()
                    .map(Inputs)
                    .ok_or(format!("\"{key}\" must hold tables"))
            })
            .collect()
    }

    pub fn table(&self, key: &str) -> Answer<Inputs<'a>> {
        self.value(key)?
            .as_table()
            .map(Inputs)
            .ok_or(format!("\"{key}\" must be a table"))
    }
}

/// Runs the check of that name.
pub fn run(check: &str, inputs: Inputs<'_>) -> Answer<Found> {
    if check == "whole_trial" {
        return whole_trial::whole_trial(inputs).map(Found::Named);
    }
    if check == "bench_view" {
        return bench::bench_view(inputs).map(Found::Named);
    }
    for family in [
        mechanics::run as fn(&str, Inputs<'_>) -> Option<Answer<Vec<f64>>>,
        vision::run,
        peephole::run,
        geometry::run,
        drawing::run,
        sampling::run,
        elementary::run,
        shares::run,
        tolerances::run,
        bench::run,
        comparison::run,
        workshop::run,
        laying::run,
    ] {
        if let Some(answer) = family(check, inputs) {
            return answer.map(Found::Numbers);
        }
    }
    Err(format!("unknown check \"{check}\""))
}
