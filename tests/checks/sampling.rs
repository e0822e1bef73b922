//! Distributions, their propagation by this program's own streams, layouts of points, intervals of a share.

use super::{Answer, Inputs};
use rayon::prelude::*;
use sightdrift::figure::Law;
use sightdrift::geometry::Pair;
use sightdrift::sampling::{
    BLOCK_BUILDS, Distribution, Row, SobolPoints, Stream, StreamKey, normal_cumulative,
    normal_quantile_wichura_1988, shape_normal,
};
use sightdrift::statistics::{
    Moments, QuantileSketch, interval_clopper_pearson_1934, interval_wilson_1927,
};

pub fn run(check: &str, i: Inputs<'_>) -> Option<Answer<Vec<f64>>> {
    Some(match check {
        "monte_carlo" => monte_carlo(i),
        "disc" => disc(i),
        "distribution_moments" => distribution(i).map(|d| vec![d.mean(), d.sd()]),
        "distribution_quantiles" => at(i, |d, u| Some(d.quantile(u))),
        "distribution_cumulative" => at(i, |d, x| Some(d.cumulative(x))),
        "distribution_density" => at(i, Distribution::density),
        "normal_quantile" | "normal_quantiles" => i.list("at").map(|us| {
            us.into_iter()
                .map(normal_quantile_wichura_1988)
                .collect::<Vec<_>>()
        }),
        "shape_normal" => i.list("at").map(|us| {
            let mut row = Row::of(0.5);
            row.0[..us.len()].copy_from_slice(&us);
            shape_normal(std::slice::from_mut(&mut row));
            row.0[..us.len()].to_vec()
        }),
        "normal_cumulative" => i.number("at").map(|x| vec![normal_cumulative(x)]),
        "sobol_points" => sobol_points(i),
        "wilson" => interval(i, interval_wilson_1927),
        "clopper_pearson" => interval(i, interval_clopper_pearson_1934),
        _ => return None,
    })
}

fn sobol_points(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let dimension = i.count("dimension")? as usize;
    if dimension >= SobolPoints::MOST_DIMENSIONS {
        return Err(format!("no dimension {dimension}"));
    }
    let points = SobolPoints::new(dimension + 1);
    let at = |index| points.unscrambled(dimension, index as u64);
    Ok(i.indices("indices")?.into_iter().map(at).collect())
}

fn distribution(i: Inputs<'_>) -> Answer<Distribution> {
    let mean = || i.number("mean");
    let half_width = || i.number("half_width");
    let made = match i.text("form")? {
        "normal" => Distribution::Normal {
            mean: mean()?,
            sd: i.number("sd")?,
        },
        "uniform" => Distribution::Uniform {
            mean: mean()?,
            half_width: half_width()?,
        },
        "triangular" => Distribution::Triangular {
            mean: mean()?,
            half_width: half_width()?,
        },
        "arcsine" => Distribution::Arcsine {
            mean: mean()?,
            half_width: half_width()?,
        },
        "lognormal" => Distribution::Lognormal {
            median: i.number("median")?,
            sd_log: i.number("sd_log")?,
        },
        "truncated_normal" => Distribution::TruncatedNormal {
            mean: mean()?,
            sd: i.number("sd")?,
            half_width: half_width()?,
        },
        other => return Err(format!("no form \"{other}\"")),
    };
    made.checked().map_err(|error| format!("{error:?}"))
}

fn at(i: Inputs<'_>, of: fn(&Distribution, f64) -> Option<f64>) -> Answer<Vec<f64>> {
    let distribution = distribution(i)?;
    i.list("at")?
        .into_iter()
        .map(|x| of(&distribution, x).ok_or("no such value".to_owned()))
        .collect()
}

fn interval(i: Inputs<'_>, of: fn(u64, u64, f64) -> Option<[f64; 2]>) -> Answer<Vec<f64>> {
    let found = of(i.count("passed")?, i.count("trials")?, i.number("level")?);
    Ok(found.ok_or("no interval")?.to_vec())
}

/// `draws` uniform numbers, block by block as the engine draws them.
fn uniforms(seed: u64, source: u64, draws: usize) -> Vec<f64> {
    (0..draws.div_ceil(BLOCK_BUILDS) as u64)
        .into_par_iter()
        .flat_map_iter(|block| {
            let key = StreamKey {
                seed,
                source,
                item: 0,
                component: 0,
                look: 0,
            };
            let mut stream = Stream::new(key, block);
            (0..BLOCK_BUILDS)
                .map(|_| stream.next_uniform())
                .collect::<Vec<_>>()
        })
        .collect::<Vec<f64>>()
        .into_iter()
        .take(draws)
        .collect()
}

fn monte_carlo(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let draws = i.count("draws")? as usize;
    let seed = i.count("seed")?;
    let model = i.text("model")?;
    let mut outputs = vec![0.0; draws];
    for (nth, quantity) in i.tables("quantities")?.into_iter().enumerate() {
        let distribution = distribution(quantity)?;
        let us = uniforms(seed, 1000 + nth as u64, draws);
        let add: fn(f64, f64) -> f64 = match model {
            "sum" => |sum, x| sum + x,
            "sum_of_squares" => |sum, x| sum + x * x,
            "log" => |_, x| x.ln(),
            other => return Err(format!("no model \"{other}\"")),
        };
        outputs
            .par_iter_mut()
            .zip(us)
            .for_each(|(y, u)| *y = add(*y, distribution.quantile(u)));
    }
    let mut moments = Moments::default();
    let mut sketch = QuantileSketch::default();
    for y in &outputs {
        moments.add(*y);
        sketch.add(y.abs());
    }
    outputs.par_sort_unstable_by(f64::total_cmp);
    let what = i
        .value("what")?
        .as_array()
        .ok_or("\"what\" must be a list")?;
    what.iter()
        .map(|one| {
            statistic(
                one.as_str().unwrap_or_default(),
                &outputs,
                &moments,
                &sketch,
            )
        })
        .collect()
}

fn statistic(
    what: &str,
    sorted: &[f64],
    moments: &Moments,
    sketch: &QuantileSketch,
) -> Answer<f64> {
    let share = |text: &str| text.parse::<f64>().map_err(|error| error.to_string());
    match what {
        "mean" => moments.mean().ok_or("no mean".into()),
        "sd" => moments.sd().ok_or("no standard deviation".into()),
        "shortest_low" => Ok(shortest(sorted)[0]),
        "shortest_high" => Ok(shortest(sorted)[1]),
        _ => {
            if let Some(u) = what.strip_prefix("sketch") {
                sketch.quantile(share(u)?).ok_or("no quantile".into())
            } else if let Some(u) = what.strip_prefix('q') {
                let rank = share(u)? * sorted.len() as f64;
                Ok(sorted[(rank as usize).min(sorted.len() - 1)])
            } else {
                Err(format!("no statistic \"{what}\""))
            }
        }
    }
}

/// Shortest interval that holds 95 % of the sorted values (JCGM 101:2008, 7.7).
fn shortest(sorted: &[f64]) -> [f64; 2] {
    let held = (0.95 * sorted.len() as f64).round() as usize;
    let first = (0..sorted.len() - held)
        .min_by(|a, b| (sorted[a + held] - sorted[*a]).total_cmp(&(sorted[b + held] - sorted[*b])))
        .expect("5 % are left over");
    [sorted[first], sorted[first + held]]
}

fn disc(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let radius = i.number("radius")?;
    let draws = i.count("draws")? as usize;
    let seed = i.count("seed")?;
    let law = Law::Disc {
        centre: Pair::zeros(),
        radius,
    };
    let (us, vs) = (uniforms(seed, 1, draws), uniforms(seed, 2, draws));
    let points: Vec<Pair> = us
        .into_iter()
        .zip(vs)
        .map(|(u, v)| {
            let [x, y] = law.values(0, [u, v]);
            Pair::new(x, y)
        })
        .collect();
    let n = draws as f64;
    let mean = |of: fn(&Pair) -> f64| points.iter().map(of).sum::<f64>() / n;
    let mut radii: Vec<f64> = points.iter().map(Pair::norm).collect();
    radii.sort_by(f64::total_cmp);
    let apart: f64 = points
        .chunks_exact(2)
        .map(|two| (two[0] - two[1]).norm())
        .sum();
    Ok(vec![
        mean(Pair::norm),
        mean(Pair::norm_squared),
        radii[(0.95 * n) as usize],
        mean(|p| p.x * p.x),
        mean(|p| p.y * p.y),
        apart / (draws / 2) as f64,
    ])
}
