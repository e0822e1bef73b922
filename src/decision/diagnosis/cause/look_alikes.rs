//! What the readings cannot tell apart, and the one further reading that would.

use super::explain::{Hypothesis, Search};
use super::suspect::Suspect;
use super::told::{LookAlike, Settles};
use crate::figure::{Bench, Measurand, Plan, Quantity, all_measurands};

/// An explanation at least this probable beside the likeliest one is not told apart from it (one to ten: "strong" evidence,
/// Jeffreys 1961, from memory).
const NOT_TOLD_APART: f64 = 0.1;

/// A reading tells two explanations apart when they lie this many uncertainties from each other in it (chosen).
const TOLD_APART: f64 = 2.0;

/// Most explanations that are told beside each other.
const MOST: usize = 4;

/// Explanations that stand beside the likeliest one: those that do without one of its suspects.
pub(super) fn look_alikes(plan: &Plan, bench: &Bench, search: &Search<'_>) -> Vec<LookAlike> {
    let probabilities = search.probabilities();
    let suspects = |set: &Hypothesis| -> Vec<Suspect> {
        let all = set.opened.iter();
        all.map(|(candidate, _)| search.candidates[*candidate].suspect)
            .collect()
    };
    let best = &search.pool[0];
    let of_best = suspects(best);
    let mut alike: Vec<(Vec<Suspect>, f64, &Hypothesis)> =
        vec![(of_best.clone(), probabilities[0], best)];
    for (set, probability) in search.pool.iter().zip(&probabilities).skip(1) {
        let found = suspects(set);
        // one that does with less of the same is no other cause: how sure each is says its own probability. That nothing went
        // wrong is another answer altogether
        let is_other = found.is_empty()
            || of_best.is_empty()
            || found.iter().any(|suspect| !of_best.contains(suspect))
                && of_best.iter().any(|suspect| !found.contains(suspect));
        if !is_other || *probability < NOT_TOLD_APART * probabilities[0] {
            continue;
        }
        // another width of the same suspects is the same explanation; one with a further suspect of a set that stands says no more
        let stands = alike.iter().skip(1).position(|(before, ..)| {
            let is_same = before.is_empty() == found.is_empty();
            is_same && before.iter().all(|suspect| found.contains(suspect))
        });
        match stands {
            Some(nth) => alike[nth + 1].1 += probability,
            None if alike.len() < MOST => alike.push((found, *probability, set)),
            None => {}
        }
    }
    if alike.len() < 2 {
        return Vec::new();
    }
    let settles = settles(plan, bench, search, &alike);
    vec![LookAlike {
        explanations: alike
            .into_iter()
            .map(|(suspects, probability, _)| (suspects, probability))
            .collect(),
        settles,
    }]
}

/// What could still be read: every measurand that was not, and needs no picture that was not taken.
fn not_read(plan: &Plan, bench: &Bench) -> Vec<(Measurand, f64)> {
    let is_read = |quantity: Quantity| {
        let mut all = bench.readings.iter();
        all.any(|reading| reading.of.quantity == quantity)
    };
    all_measurands(plan)
        .into_iter()
        .filter(|measurand| match measurand.quantity {
            Quantity::ScannedHole(_) | Quantity::PicturedHole(_) => false,
            Quantity::SeenEnd | Quantity::SeenMiddle => is_read(Quantity::SeenEnd),
            _ => true,
        })
        .filter(|measurand| {
            let mut all = bench.readings.iter();
            !all.any(|reading| reading.of == *measurand)
        })
        .map(|measurand| {
            let sd = measurand.quantity.usual_sd().of(typical(plan, &measurand));
            (measurand, sd)
        })
        .collect()
}

/// Size of a reading whose uncertainty is a share of it; 1 where it is not.
fn typical(plan: &Plan, measurand: &Measurand) -> f64 {
    let tension_n = measurand.line.map_or(1.0, |line| plan.tensions_n[line]);
    match measurand.quantity {
        Quantity::Tension => tension_n,
        Quantity::Tone => {
            crate::mechanics::tone_hz(tension_n, plan.design.line.mass_kg_per_m, plan.span_mm())
        }
        _ => 1.0,
    }
}

/// The reading that tells the two likeliest apart best; `None` where none does.
fn settles(
    plan: &Plan,
    bench: &Bench,
    search: &Search<'_>,
    alike: &[(Vec<Suspect>, f64, &Hypothesis)],
) -> Option<Settles> {
    let others = not_read(plan, bench);
    let readings = search.readings.with_others(others.clone());
    let shown: Vec<Vec<Option<f64>>> = alike
        .iter()
        .map(|(.., set)| readings.shown_of_others(&search.unknowns.state(&set.at)))
        .collect::<Option<_>>()?;
    let slopes =
        [alike[0].2, alike[1].2].map(|set| readings.slopes_of_others(search.unknowns, &set.at));
    let [Some(first), Some(second)] = slopes else {
        return None;
    };
    let mut best: Option<Settles> = None;
    let mut row = 0;
    for (measurand, sd) in &others {
        let components = measurand.quantity.components();
        let mut square = 0.0;
        for component in 0..components {
            let at = row + component;
            let (Some(a), Some(b)) = (shown[0][at], shown[1][at]) else {
                continue;
            };
            let open = [(&first, alike[0].2), (&second, alike[1].2)].map(|(slopes, set)| {
                let slope: Vec<f64> = slopes.row(at).iter().copied().collect();
                set.linear.covariance_shown(&slope, &slope).max(0.0)
            });
            let apart = a - b;
            square += apart * apart / (1.0 + (open[0] + open[1]) / 2.0);
        }
        let apart = square.sqrt();
        if best.as_ref().is_none_or(|best| apart > best.apart) {
            let expected = shown
                .iter()
                .map(|all| {
                    let mut pair = [0.0; 2];
                    for (component, value) in pair.iter_mut().enumerate().take(components) {
                        *value = all[row + component].unwrap_or(0.0) * sd;
                    }
                    pair
                })
                .collect();
            best = Some(Settles {
                of: *measurand,
                expected,
                apart,
            });
        }
        row += components;
    }
    best.filter(|best| best.apart >= TOLD_APART)
}
