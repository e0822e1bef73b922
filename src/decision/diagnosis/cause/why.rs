//! Works out why a build is as it is: the most probable values of all sources of error, given what was read.

use super::causes::causes;
use super::explain::{Search, candidates};
use super::look_alikes::look_alikes;
use super::readings::{Readings, pictures};
use super::suspect::Suspect;
use super::told::{Explanation, ReadingTold, Why};
use super::unknowns::Unknowns;
use crate::decision::{Interrupted, RunPlan};
use crate::figure::{Bench, Measurand, Plan, Quantity};
use crate::sampling::{Stream, StreamKey, normal_quantile_wichura_1988};
use crate::trial::{NotComputable, RunHooks, shown};
use nalgebra::DVector;
use std::fmt;

/// Why there is no diagnosis.
#[derive(Debug, Clone, PartialEq)]
pub enum NoDiagnosis {
    /// Nothing was read.
    NoReadings,
    /// The design is too large: so many numbers in the table of slopes.
    TooLarge(usize),
    /// The plan or the most probable build cannot be computed.
    NotComputable(NotComputable),
    /// A picture cannot be laid over the plan: fewer than two of its points are at different places. Where its first reading stands.
    NoPicture(String),
    /// The user asked to end.
    Interrupted,
}

impl From<Interrupted> for NoDiagnosis {
    fn from(_: Interrupted) -> Self {
        Self::Interrupted
    }
}

impl From<NotComputable> for NoDiagnosis {
    fn from(reason: NotComputable) -> Self {
        Self::NotComputable(reason)
    }
}

impl fmt::Display for NoDiagnosis {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoReadings => f.write_str("nothing was read: the sheet has no reading"),
            Self::TooLarge(slopes) => write!(
                f,
                "it would take {slopes} slopes for so large a design and so many readings"
            ),
            Self::NotComputable(reason) => write!(f, "the build cannot be computed: {reason}"),
            Self::NoPicture(place) => write!(
                f,
                "{place}: the picture cannot be laid over the plan: it needs two points at different places at least; read more of it, or leave its rows blank"
            ),
            Self::Interrupted => f.write_str("interrupted"),
        }
    }
}

/// Most numbers in the table of slopes: 160 MB with what is made of it.
const MOST_SLOPES: usize = 4_000_000;

/// Works out why the build is as it is; `run.builds` builds that the readings leave possible, drawn with `run.seed`.
///
/// # Errors
/// [`NoDiagnosis`].
pub fn why(
    plan: &Plan,
    bench: &Bench,
    run: &RunPlan,
    hooks: &RunHooks<'_>,
) -> Result<Why, NoDiagnosis> {
    if bench.readings.is_empty() {
        return Err(NoDiagnosis::NoReadings);
    }
    let planned = Unknowns::new(plan, [None; 3]);
    let start = planned.state(&vec![0.0; planned.len]);
    let pictures = pictures(plan, bench, &start).map_err(NoDiagnosis::NoPicture)?;
    let unknowns = Unknowns::new(plan, pictures);
    let start = unknowns.state(&vec![0.0; unknowns.len]);
    let readings = Readings::new(plan, bench, &start)?;
    let slopes = readings.rows.len() * unknowns.len;
    if slopes > MOST_SLOPES {
        return Err(NoDiagnosis::TooLarge(slopes));
    }
    let wide = misread_widths(plan, bench);
    let candidates = candidates(&unknowns, &readings, &wide);
    let suspects = candidates.len();
    let is_interrupted = || hooks.is_interrupted();
    let search = Search::run(&readings, &unknowns, candidates, &is_interrupted);
    let search = match search {
        Some(search) => search,
        None if hooks.is_interrupted() => return Err(NoDiagnosis::Interrupted),
        None => return Err(NoDiagnosis::NotComputable(NotComputable::NotFinite)),
    };
    Ok(Why {
        causes: causes(plan, bench, &search),
        explanations: explanations(&search),
        look_alikes: look_alikes(plan, bench, &search),
        readings: readings_told(plan, bench, &search),
        possible: possible(&search, run),
        look: unknowns.state(&search.pool[0].at).look,
        relief_was_read: bench
            .readings
            .iter()
            .any(|reading| reading.of.quantity == Quantity::EyeRelief),
        suspects,
        weighed: search.weighed,
        tried: search.tried,
    })
}

/// How far a misread or miswritten reading may lie off, in its own standard uncertainties: as far as the thing reaches that
/// it is read on (chosen).
fn misread_widths(plan: &Plan, bench: &Bench) -> Vec<f64> {
    const LEAST: f64 = 10.0;
    let reach = |quantity: Quantity| {
        let all = bench
            .readings
            .iter()
            .filter(|other| other.of.quantity == quantity);
        let values: Vec<[f64; 2]> = all.map(|other| other.value).collect();
        let count = values.len() as f64;
        let spread = |component: usize| {
            let mean = values.iter().map(|value| value[component]).sum::<f64>() / count;
            let square = |value: &[f64; 2]| (value[component] - mean) * (value[component] - mean);
            values.iter().map(square).sum::<f64>() / count
        };
        (spread(0) + spread(1)).sqrt()
    };
    bench
        .readings
        .iter()
        .map(|reading| {
            let size = libm::hypot(reading.value[0], reading.value[1]);
            let far = match reading.of.quantity {
                Quantity::Hole(_)
                | Quantity::ScannedHole(_)
                | Quantity::PicturedHole(_)
                | Quantity::SeenEnd
                | Quantity::SeenMiddle => reach(reading.of.quantity),
                Quantity::Tension | Quantity::Tone => size / 2.0,
                // a figure miswritten: a tenth of the span
                _ => plan.span_mm() / 10.0,
            };
            (far / reading.sd).max(LEAST)
        })
        .collect()
}

fn explanations(search: &Search<'_>) -> Vec<Explanation> {
    let probabilities = search.probabilities();
    search
        .pool
        .iter()
        .zip(probabilities)
        .map(|(set, probability)| {
            let state = search.unknowns.state(&set.at);
            Explanation {
                suspects: set
                    .opened
                    .iter()
                    .map(|(candidate, _)| search.candidates[*candidate].suspect)
                    .collect(),
                probability,
                build: state.build,
                look: state.look,
                frames: state.frames,
            }
        })
        .collect()
}

fn readings_told(plan: &Plan, bench: &Bench, search: &Search<'_>) -> Vec<ReadingTold> {
    let best = search.unknowns.state(&search.pool[0].at);
    let measurands: Vec<Measurand> = bench.readings.iter().map(|reading| reading.of).collect();
    let seen = shown(
        plan,
        &measurands,
        bench,
        &best.build,
        &best.look,
        &best.frames,
    )
    .unwrap_or_default();
    let faults = search.fault_probabilities();
    let fault_of = |nth: usize| {
        let found = search
            .candidates
            .iter()
            .position(|candidate| candidate.suspect == Suspect::Reading(nth));
        found.map_or(0.0, |found| faults[found])
    };
    let mut next = seen.into_iter();
    bench
        .readings
        .iter()
        .enumerate()
        .map(|(nth, reading)| {
            let components = reading.of.quantity.components();
            let (mut expected, mut off, mut is_seen) = ([0.0; 2], [0.0; 2], true);
            for component in 0..components {
                match next.next().flatten() {
                    Some(value) => {
                        expected[component] = value;
                        off[component] = (reading.value[component] - value) / reading.sd;
                    }
                    None => is_seen = false,
                }
            }
            ReadingTold {
                expected: is_seen.then_some(expected),
                off,
                fault_probability: fault_of(nth),
            }
        })
        .collect()
}

/// Draws of what the readings leave possible: each explanation as often as it is probable, and within it a draw of the prior
/// moved by what the readings say (conditioning by a simulated misfit; Matheron's rule, from memory).
fn possible(search: &Search<'_>, run: &RunPlan) -> Vec<Vec<f64>> {
    /// Stream of these draws.
    const POSSIBLE: u64 = 1004;
    let probabilities = search.probabilities();
    let count = run.builds;
    (0..count)
        .map(|nth| {
            let mut left = (nth as f64 + 0.5) / count as f64;
            let mut which = 0;
            while which + 1 < probabilities.len() && left > probabilities[which] {
                left -= probabilities[which];
                which += 1;
            }
            let set = &search.pool[which];
            let key = StreamKey {
                seed: run.seed,
                source: POSSIBLE,
                item: 0,
                component: 0,
                look: 0,
            };
            let mut stream = Stream::new(key, nth);
            let mut normal = || normal_quantile_wichura_1988(stream.next_uniform());
            let variances = &set.linear.variances;
            let drawn: Vec<f64> = variances
                .unknowns
                .iter()
                .map(|variance| variance.sqrt() * normal())
                .collect();
            let noise = DVector::from_fn(variances.rows.len(), |row, _| {
                (1.0 + variances.rows[row]).sqrt() * normal()
            });
            let at = set.linear.conditioned(&drawn, &noise);
            search.unknowns.state(at.as_slice()).build
        })
        .collect()
}
