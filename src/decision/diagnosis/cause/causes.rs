//! Every cause with what the readings say of it: estimate, interval, how surprising, its share of what is seen off.

use super::explain::{Hypothesis, Search};
use super::mixture::{Part, interval, median};
use super::suspect::Suspect;
use super::told::{Cause, Estimate};
use super::unknowns::{Item, State, Unknowns};
use crate::decision::first_order::{first_gap_output, signed_outputs};
use crate::figure::{Bench, Family, Law, Measurand, Plan, Source};
use crate::sampling::Distribution;
use crate::units::Kind;

/// Level of the causes' intervals.
const LEVEL: f64 = 0.95;

/// Sets that are less probable than this add nothing to an interval.
const COUNTS: f64 = 1e-4;

/// All causes in the build and of the eye, the likeliest fault first.
pub(super) fn causes(plan: &Plan, bench: &Bench, search: &Search<'_>) -> Vec<Cause> {
    let probabilities = search.probabilities();
    let weighed: Vec<(f64, &Hypothesis)> = probabilities
        .iter()
        .copied()
        .zip(&search.pool)
        .filter(|(probability, _)| *probability > COUNTS)
        .collect();
    let faults = search.fault_probabilities();
    let shares = shares(plan, search.unknowns, &search.pool[0]);
    let measurands: Vec<Measurand> = bench.readings.iter().map(|reading| reading.of).collect();
    let mut causes: Vec<Cause> = search
        .candidates
        .iter()
        .zip(faults)
        .enumerate()
        .filter_map(|(which, (candidate, fault_probability))| {
            let nth = search
                .unknowns
                .items
                .iter()
                .position(|item| item.suspect == Some(candidate.suspect))?;
            let item = &search.unknowns.items[nth];
            let common = search.unknowns.common(item);
            let said: Vec<Said> = weighed
                .iter()
                .map(|(weight, set)| said(item, *weight, set).with(item, common, set))
                .collect();
            let if_wrong: Vec<Said> = weighed
                .iter()
                .map(|(weight, set)| said_if_wrong(search, which, item, *weight, set))
                .collect();
            Some(Cause {
                if_wrong: estimate(item, &if_wrong),
                fault_probability,
                share: shares[nth],
                known: known(item, weighed[0].1),
                words: candidate.suspect.words(plan, &measurands),
                ..cause(plan, item, candidate.suspect, &said)
            })
        })
        .collect();
    causes.sort_by(|a, b| {
        b.fault_probability
            .total_cmp(&a.fault_probability)
            .then(b.share.abs().total_cmp(&a.share.abs()))
            .then(a.suspect.cmp(&b.suspect))
    });
    causes
}

/// What an item comes to under one explanation: the explanation's weight, mean and covariance (xx, xy, yy) of its standard
/// coordinates.
struct Said {
    weight: f64,
    mean: [f64; 2],
    covariance: [f64; 3],
}

impl Said {
    /// With what all items of its source have in common on top.
    fn with(mut self, item: &Item, common: Option<&Item>, set: &Hypothesis) -> Self {
        let Some(common) = common else {
            return self;
        };
        let ratio = common.sd()[0] / item.sd()[0];
        self.mean[0] += ratio * set.at[common.at];
        self.covariance[0] += 2.0 * ratio * set.linear.covariance(item.at, common.at)
            + ratio * ratio * set.linear.covariance(common.at, common.at);
        self
    }
}

/// Under the explanation as it stands.
fn said(item: &Item, weight: f64, set: &Hypothesis) -> Said {
    let [first, second] = [item.at, item.at + item.components - 1];
    Said {
        weight,
        mean: [set.at[first], set.at[second]],
        covariance: [
            set.linear.covariance(first, first),
            set.linear.covariance(first, second),
            set.linear.covariance(second, second),
        ],
    }
}

/// With candidate `nth` suspected beside the explanation's own suspects.
fn said_if_wrong(
    search: &Search<'_>,
    nth: usize,
    item: &Item,
    weight: f64,
    set: &Hypothesis,
) -> Said {
    let candidate = &search.candidates[nth];
    if set.opened.iter().any(|(opened, _)| *opened == nth) {
        return said(item, weight, set);
    }
    let gains = candidate.widths.iter().map(|(variance, prior)| {
        (
            set.linear.gain(candidate.opens, *variance) + prior,
            *variance,
        )
    });
    let (_, variance) = gains
        .reduce(|a, b| if b.0 > a.0 { b } else { a })
        .unwrap_or((0.0, 1.0));
    let (mean, covariance) = set.linear.opened(candidate.opens, variance);
    Said {
        weight,
        mean,
        covariance,
    }
}

/// Median and interval of an item's components, kept as values, in the logarithm no more.
fn estimate(item: &Item, said: &[Said]) -> Estimate {
    let kept = |value: f64| kept(item, value);
    let mut found = Estimate {
        value: [0.0; 2],
        interval: [[0.0; 2]; 2],
    };
    for component in 0..item.components {
        let parts: Vec<Part> = said
            .iter()
            .map(|said| {
                let variance = item.covariance(said.covariance)[2 * component];
                let value = item.value(&said.mean[..item.components])[component];
                (said.weight, value, variance.max(0.0).sqrt())
            })
            .collect();
        found.value[component] = kept(median(&parts));
        found.interval[component] = interval(&parts, LEVEL).map(kept);
    }
    found
}

fn kept(item: &Item, value: f64) -> f64 {
    if item.multiplies {
        libm::exp(value)
    } else {
        value
    }
}

fn cause(plan: &Plan, item: &Item, suspect: Suspect, said: &[Said]) -> Cause {
    let kept = |value: f64| kept(item, value);
    let Estimate {
        value: estimate,
        interval: limits,
    } = estimate(item, said);
    let sd = if item.is_open { item.sd() } else { [0.0; 2] };
    let times = item.is_open.then(|| {
        let off = |component: usize| {
            let value = match item.multiplies {
                true => libm::log(estimate[component]),
                false => estimate[component],
            };
            match sd[component] > 0.0 {
                true => (value - item.mean[component]) / sd[component],
                false => 0.0,
            }
        };
        (0..item.components).fold(0.0, |sum, component| libm::hypot(sum, off(component)))
    });
    let source = suspect.source();
    Cause {
        suspect,
        words: String::new(),
        kind: source.map_or(Kind::Number, Source::kind),
        components: item.components,
        planned: item.mean.map(kept),
        tolerance_sd: if item.multiplies {
            [kept(item.mean[0]) * sd[0], 0.0]
        } else {
            sd
        },
        estimate,
        interval: limits,
        times_tolerance: times,
        tail: times.and_then(|times| tail(plan, suspect, item, estimate, times)),
        if_wrong: Estimate {
            value: estimate,
            interval: limits,
        },
        fault_probability: 0.0,
        share: 0.0,
        known: 0.0,
    }
}

/// How much of what the tolerance leaves open the readings have closed.
fn known(item: &Item, best: &Hypothesis) -> f64 {
    if !item.is_open {
        return 0.0;
    }
    let left: f64 = (item.at..item.at + item.components)
        .map(|unknown| best.linear.covariance(unknown, unknown).max(0.0))
        .sum::<f64>()
        / item.components as f64;
    (1.0 - left.min(1.0).sqrt()).max(0.0)
}

/// How often the tolerance alone gives something at least as far off; `times` so many of its standard deviations.
fn tail(plan: &Plan, suspect: Suspect, item: &Item, estimate: [f64; 2], times: f64) -> Option<f64> {
    let Suspect::Item {
        source,
        item: which,
    } = suspect
    else {
        return Some(normal_tail(item.components, times));
    };
    let source = Source::ALL[source];
    if item.multiplies {
        return Some(normal_tail(1, times));
    }
    let length = libm::hypot(estimate[0], estimate[1]);
    let by_law = Some(match plan.design.law(source) {
        Law::Each(each) => {
            let rarest = each
                .iter()
                .zip(estimate)
                .map(|(one, value)| beyond(one, value))
                .fold(1.0, f64::min);
            // the rarest of several is not as rare as it is by itself (Šidák)
            1.0 - libm::pow(1.0 - rarest, each.len() as f64)
        }
        Law::Disc { centre, radius } => {
            let off = libm::hypot(estimate[0] - centre.x, estimate[1] - centre.y) / radius;
            (1.0 - off * off).max(0.0)
        }
        Law::Ring(radii) => f64::from(u8::from(length <= radii[which])),
        Law::Aimed(aims) => {
            let off = libm::hypot(estimate[0] - aims[which].x, estimate[1] - aims[which].y);
            f64::from(u8::from(off == 0.0))
        }
        Law::Spun(distance) => 1.0 - distance.cumulative(length) + distance.cumulative(-length),
        Law::Rows(rows) => {
            let spread = plan.design.law(source).spread(which);
            let off = |row: [f64; 2]| libm::hypot(row[0] - spread.mean[0], row[1] - spread.mean[1]);
            let far = rows
                .iter()
                .filter(|row| off(**row) >= off(estimate))
                .count();
            far as f64 / rows.len() as f64
        }
        Law::Light { .. } => return None,
    });
    // a bounded law gives nothing beyond its bounds, and an estimate a little beyond them is no wonder: the normal law of the same
    // standard deviation, by which suspects are weighed, says how rare it is
    by_law.map(|tail| {
        if tail > 0.0 {
            tail
        } else {
            normal_tail(item.components, times)
        }
    })
}

/// How often a normal law in so many dimensions lies at least so many standard deviations off.
fn normal_tail(components: usize, times: f64) -> f64 {
    if components > 1 {
        return libm::exp(-0.5 * times * times);
    }
    beyond(&Distribution::Normal { mean: 0.0, sd: 1.0 }, times)
}

/// Probability of a value at least as far from the mean as `value`.
fn beyond(one: &Distribution, value: f64) -> f64 {
    let mean = one.mean();
    let off = (value - mean).abs();
    (1.0 - one.cumulative(mean + off) + one.cumulative(mean - off)).clamp(0.0, 1.0)
}

/// Share of each unknown item in what is seen off by the eye at its mean place, over the limits: the projection of what it moves
/// on what is off in all. They sum to 1; all 0 where nothing is off or not all is seen.
fn shares(plan: &Plan, unknowns: &Unknowns, best: &Hypothesis) -> Vec<f64> {
    let planned = vec![0.0; unknowns.len];
    let half: Vec<f64> = best.at.iter().map(|value| value / 2.0).collect();
    let moved: Vec<Option<Vec<f64>>> = unknowns
        .items
        .iter()
        .map(|item| {
            let range = item.at..item.at + item.components;
            let is_moved = range.clone().any(|unknown| best.at[unknown] != 0.0);
            if !is_moved {
                return None;
            }
            let at = |from: &[f64]| {
                let mut at = half.clone();
                at[range.clone()].copy_from_slice(&from[range.clone()]);
                over_limits(plan, &unknowns.state(&at))
            };
            let (with, without) = (at(&best.at)?, at(&planned)?);
            Some(with.iter().zip(&without).map(|(a, b)| a - b).collect())
        })
        .collect();
    let mut all: Vec<f64> = Vec::new();
    for one in moved.iter().flatten() {
        all.resize(one.len(), 0.0);
        for (sum, value) in all.iter_mut().zip(one) {
            *sum += value;
        }
    }
    let square: f64 = all.iter().map(|value| value * value).sum();
    moved
        .iter()
        .map(|one| match one {
            Some(one) if square > 0.0 => {
                one.iter().zip(&all).map(|(a, b)| a * b).sum::<f64>() / square
            }
            _ => 0.0,
        })
        .collect()
}

/// Every distance off its edge and every gap, over its limit, as the eye at its mean place sees this build.
fn over_limits(plan: &Plan, state: &State) -> Option<Vec<f64>> {
    let look = plan.mean_values(Family::Look);
    let mut outputs = signed_outputs(plan, &state.build, &look).ok()?;
    let detail_rad = plan.typical_detail_rad();
    let ends = plan.targets.len();
    let first_gap = first_gap_output(plan);
    for (nth, output) in outputs.iter_mut().enumerate().take(first_gap) {
        let rod = if nth < ends { nth / 2 } else { nth - ends };
        *output /= plan.drift_limit_rad(rod, detail_rad);
    }
    let mut next = first_gap;
    for (junction, found) in plan.junctions.iter().enumerate() {
        let count = found.ends.len() * (found.ends.len() - 1);
        for output in &mut outputs[next..next + count] {
            *output /= plan.gap_limit_rad(junction, detail_rad);
        }
        next += count;
    }
    Some(outputs)
}
