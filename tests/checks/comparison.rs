//! Differences of two shares, and correlation of ranks.

use super::{Answer, Inputs};
use sightdrift::statistics::{
    PairedDifference, difference_newcombe_1998, rank_correlation_spearman_1904,
};

pub fn run(check: &str, i: Inputs<'_>) -> Option<Answer<Vec<f64>>> {
    Some(match check {
        "difference_newcombe" => newcombe(i),
        "paired_difference" => paired(i),
        "rank_correlation" => ranks(i),
        _ => return None,
    })
}

/// The difference, then its interval.
fn newcombe(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let side = |key: &str| -> Answer<[u64; 2]> {
        match i.list(key)?[..] {
            [did, of] => Ok([did as u64, of as u64]),
            _ => Err(format!("\"{key}\" must be two numbers")),
        }
    };
    let found = difference_newcombe_1998(side("first")?, side("second")?, i.number("level")?)
        .ok_or("no difference")?;
    Ok(vec![found.difference, found.interval[0], found.interval[1]])
}

/// The difference, then its interval.
fn paired(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let found = PairedDifference::new(
        i.count("gained")?,
        i.count("lost")?,
        i.count("of")?,
        i.number("level")?,
    )
    .ok_or("no difference")?;
    Ok(vec![found.difference, found.interval[0], found.interval[1]])
}

fn ranks(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let found = rank_correlation_spearman_1904(&i.list("first")?, &i.list("second")?);
    Ok(vec![found.ok_or("no correlation")?])
}
