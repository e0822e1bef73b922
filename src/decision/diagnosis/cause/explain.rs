//! The search for what went wrong: sets of suspects, weighed by how well the readings bear them out.
//!
//! A set opens the priors of its suspects; its score is the logarithm of evidence (Laplace's, about the most probable build, which
//! Gauss–Newton finds on the full model) and prior. The search begins with "nothing went wrong", and goes on from the best sets
//! by what one more suspect would gain, first in the linearisation, then in full. Source of the method: D. MacKay,
//! Information Theory, Inference, and Learning Algorithms (2003), ch. 28 (evidence and Occam factor), from memory.

use super::evidence::{Linear, Opens, Variances};
use super::readings::Readings;
use super::suspect::{FAULT_PRIOR, MISREAD_PRIOR, Suspect};
use super::unknowns::Unknowns;
use crate::figure::Source;
use nalgebra::{DMatrix, DVector};
use rayon::prelude::*;
use std::collections::BTreeSet;

/// The same of a line in its hole and a rod on its line, which the rim and the loop end (chosen).
const BOUNDED_WIDTH: f64 = 2.5;

/// What went wrong is this many times as wide as its tolerance, with its part of the prior: most faults are some times the
/// tolerance, a few are gross (chosen).
const WIDTHS: [(f64, f64); 2] = [(5.0, 0.75), (30.0, 0.25)];

/// Most suspects in one set.
const MOST_SUSPECTS: usize = 5;

/// Rounds of the search; sets from which each goes on; sets that each works out in full.
const ROUNDS: usize = 7;
const PARENTS: usize = 3;
const CHILDREN: usize = 8;

/// A set this far below the best in its logarithm is not followed (one in 1100), or not kept (one in 160 000).
const FOLLOWED: f64 = 7.0;
const KEPT: f64 = 12.0;

/// Something that may be opened.
#[derive(Debug, Clone)]
pub(super) struct Candidate {
    pub suspect: Suspect,
    pub opens: Opens,
    /// Variance that it opens to, and logarithm of its prior.
    pub widths: Vec<(f64, f64)>,
}

/// Candidates with the width that each has, rising.
pub(super) type Opened = Vec<(usize, usize)>;

/// A set that was not worked out in full yet: its score in the linearisation, itself, and the set it comes from.
type Child = (f64, Opened, usize);

/// A set of suspects, opened, with the most probable build.
#[derive(Debug, Clone)]
pub(super) struct Hypothesis {
    /// What is opened.
    pub opened: Opened,
    /// Most probable standard coordinates.
    pub at: Vec<f64>,
    /// The linearisation about them.
    pub linear: Linear,
    /// Logarithm of evidence and prior.
    pub score: f64,
    is_followed: bool,
}

/// The search.
pub(super) struct Search<'s> {
    pub readings: &'s Readings<'s>,
    pub unknowns: &'s Unknowns,
    pub candidates: Vec<Candidate>,
    /// The best first.
    pub pool: Vec<Hypothesis>,
    /// Sets that were weighed about a linearisation.
    pub weighed: usize,
    /// Sets that were worked out on the full model.
    pub tried: usize,
}

/// Every suspect that has unknowns or readings of its own.
pub(super) fn candidates(
    unknowns: &Unknowns,
    readings: &Readings<'_>,
    wide: &[f64],
) -> Vec<Candidate> {
    let causes = unknowns.items.iter().filter_map(|item| {
        let suspect = item.suspect?;
        // a rod hangs on its line and a line lies in its hole, however badly: neither goes wrong grossly
        let is_bounded = matches!(
            suspect.source(),
            Some(Source::RodTie | Source::HoleSlack(_))
        );
        let widths: &[(f64, f64)] = if is_bounded {
            &[(BOUNDED_WIDTH, 1.0)]
        } else {
            &WIDTHS
        };
        Some(Candidate {
            suspect,
            opens: Opens::Unknowns(item.at, item.components),
            widths: widths
                .iter()
                .map(|(width, part)| (width * width, libm::log(FAULT_PRIOR * part)))
                .collect(),
        })
    });
    let mut all: Vec<Candidate> = causes.collect();
    let mut rows = readings.rows.iter().enumerate().peekable();
    while let Some((row, (reading, _))) = rows.next() {
        let mut count = 1;
        while rows.next_if(|(_, (next, _))| next == reading).is_some() {
            count += 1;
        }
        all.push(Candidate {
            suspect: Suspect::Reading(*reading),
            opens: Opens::Rows(row, count),
            widths: vec![(wide[*reading] * wide[*reading], libm::log(MISREAD_PRIOR))],
        });
    }
    all
}

impl<'s> Search<'s> {
    /// Searches; `is_interrupted` is asked between rounds. `None` where not even "nothing went wrong" can be worked out, or when
    /// interrupted.
    pub fn run(
        readings: &'s Readings<'s>,
        unknowns: &'s Unknowns,
        candidates: Vec<Candidate>,
        is_interrupted: &dyn Fn() -> bool,
    ) -> Option<Self> {
        let mut search = Self {
            readings,
            unknowns,
            candidates,
            pool: Vec::new(),
            weighed: 0,
            tried: 1,
        };
        let start = vec![0.0; unknowns.len];
        let slopes = readings.slopes(unknowns, &start)?;
        search.pool.push(search.refined(&[], &start, &slopes)?);
        let mut known: BTreeSet<Opened> = BTreeSet::new();
        for _ in 0..ROUNDS {
            if is_interrupted() {
                return None;
            }
            if !search.follow(&mut known) {
                break;
            }
        }
        Some(search)
    }

    /// Goes on from the best sets that were not followed yet; false where there is nothing left to do.
    fn follow(&mut self, known: &mut BTreeSet<Opened>) -> bool {
        let best = self.pool[0].score;
        let parents: Vec<usize> = (0..self.pool.len())
            .filter(|nth| {
                let set = &self.pool[*nth];
                !set.is_followed && set.opened.len() < MOST_SUSPECTS && set.score > best - FOLLOWED
            })
            .take(PARENTS)
            .collect();
        if parents.is_empty() {
            return false;
        }
        let mut children = Vec::new();
        for parent in &parents {
            children.extend(self.children(*parent));
            self.pool[*parent].is_followed = true;
        }
        self.weighed += children.len();
        children.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        children
            .retain(|(score, opened, _)| *score > best - FOLLOWED && known.insert(opened.clone()));
        for dropped in children.iter().skip(CHILDREN) {
            known.remove(&dropped.1);
        }
        children.truncate(CHILDREN);
        let found: Vec<Option<Hypothesis>> = children
            .par_iter()
            .map(|(_, opened, parent)| {
                let parent = &self.pool[*parent];
                self.refined(opened, &parent.at, &parent.linear.slopes)
            })
            .collect();
        self.tried += found.len();
        self.pool.extend(found.into_iter().flatten());
        self.pool
            .sort_by(|a, b| b.score.total_cmp(&a.score).then(a.opened.cmp(&b.opened)));
        let best = self.pool[0].score;
        self.pool.retain(|set| set.score > best - KEPT);
        true
    }

    /// What one more suspect would make of a set.
    fn children(&self, parent: usize) -> Vec<Child> {
        let set = &self.pool[parent];
        self.gains(set)
            .into_iter()
            .map(|(candidate, width, gain)| {
                let mut opened = set.opened.clone();
                opened.push((candidate, width));
                opened.sort_unstable();
                (set.score + gain, opened, parent)
            })
            .collect()
    }

    /// For every candidate outside the set: its better width, and what opening it adds to the score.
    pub fn gains(&self, set: &Hypothesis) -> Vec<(usize, usize, f64)> {
        let of = |nth: usize, candidate: &Candidate| {
            candidate
                .widths
                .iter()
                .enumerate()
                .filter(|(_, (variance, _))| set.linear.is_seen(candidate.opens, *variance))
                .map(|(width, (variance, prior))| {
                    (
                        nth,
                        width,
                        set.linear.gain(candidate.opens, *variance) + prior,
                    )
                })
                .max_by(|a, b| a.2.total_cmp(&b.2))
        };
        self.candidates
            .iter()
            .enumerate()
            .filter(|(nth, _)| set.opened.iter().all(|(opened, _)| opened != nth))
            .filter_map(|(nth, candidate)| of(nth, candidate))
            .collect()
    }

    fn variances(&self, opened: &[(usize, usize)]) -> Variances {
        let mut variances = Variances {
            unknowns: vec![0.0; self.unknowns.len],
            rows: vec![0.0; self.readings.rows.len()],
        };
        for item in &self.unknowns.items {
            let variance = f64::from(u8::from(item.is_open));
            variances.unknowns[item.at..item.at + item.components].fill(variance);
        }
        for (candidate, width) in opened {
            let candidate = &self.candidates[*candidate];
            variances.open(candidate.opens, candidate.widths[*width].0);
        }
        variances
    }

    /// Gauss–Newton on the full model from `start`, where the slopes are `slopes`.
    fn refined(
        &self,
        opened: &[(usize, usize)],
        start: &[f64],
        slopes: &DMatrix<f64>,
    ) -> Option<Hypothesis> {
        const STEPS: usize = 5;
        const SETTLED: f64 = 0.02;
        let variances = self.variances(opened);
        let mut at = start.to_vec();
        for (value, variance) in at.iter_mut().zip(&variances.unknowns) {
            if *variance == 0.0 {
                *value = 0.0;
            }
        }
        let mut cost = self.cost(&at, &variances)?;
        let mut slopes = slopes.clone();
        let mut linear = self.linear(&at, slopes.clone(), &variances)?;
        for step in 0..STEPS {
            let (next, next_cost) = self.step(&at, cost, &linear)?;
            let gained = cost - next_cost;
            (at, cost) = (next, next_cost);
            // the first step goes by the slopes of another place: they are taken anew at least once
            if step > 0 && gained < SETTLED {
                break;
            }
            slopes = self.readings.slopes(self.unknowns, &at)?;
            linear = self.linear(&at, slopes.clone(), &variances)?;
        }
        let prior: f64 = opened
            .iter()
            .map(|(candidate, width)| self.candidates[*candidate].widths[*width].1)
            .sum();
        Some(Hypothesis {
            opened: opened.to_vec(),
            score: prior - cost / 2.0 - linear.half_log_det(),
            at,
            linear,
            is_followed: false,
        })
    }

    fn linear(&self, at: &[f64], slopes: DMatrix<f64>, variances: &Variances) -> Option<Linear> {
        let mut data = &self.readings.read - self.readings.shown(&self.unknowns.state(at))?;
        for (unknown, value) in at.iter().enumerate() {
            if *value != 0.0 {
                data.axpy(*value, &slopes.column(unknown), 1.0);
            }
        }
        Linear::new(slopes, data, variances.clone())
    }

    /// One step towards the most probable coordinates, halved until it is a gain; the place itself where it is none.
    fn step(&self, at: &[f64], cost: f64, linear: &Linear) -> Option<(Vec<f64>, f64)> {
        const HALVINGS: usize = 8;
        let aim = linear.most_probable();
        let mut share = 1.0;
        for _ in 0..HALVINGS {
            let next: Vec<f64> = at
                .iter()
                .zip(aim.iter())
                .map(|(at, aim)| at + share * (aim - at))
                .collect();
            match self.cost(&next, &linear.variances) {
                Some(found) if found <= cost => return Some((next, found)),
                _ => share /= 2.0,
            }
        }
        Some((at.to_vec(), cost))
    }

    /// Squared misfit of the readings and squared distance from the plan, each in its own uncertainty.
    fn cost(&self, at: &[f64], variances: &Variances) -> Option<f64> {
        let misfit: DVector<f64> =
            &self.readings.read - self.readings.shown(&self.unknowns.state(at))?;
        let read: f64 = misfit
            .iter()
            .zip(&variances.rows)
            .map(|(misfit, extra)| misfit * misfit / (1.0 + extra))
            .sum();
        let prior: f64 = at
            .iter()
            .zip(&variances.unknowns)
            .filter(|(_, variance)| **variance > 0.0)
            .map(|(value, variance)| value * value / variance)
            .sum();
        Some(read + prior).filter(|cost| cost.is_finite())
    }

    /// Probability of every set of the pool among them.
    pub fn probabilities(&self) -> Vec<f64> {
        let best = self.pool.first().map_or(0.0, |set| set.score);
        let weights: Vec<f64> = self
            .pool
            .iter()
            .map(|set| libm::exp(set.score - best))
            .collect();
        let sum: f64 = weights.iter().sum();
        weights.iter().map(|weight| weight / sum).collect()
    }

    /// Probability of every candidate to have gone wrong: in the sets of the pool, and as one more beside each of them.
    pub fn fault_probabilities(&self) -> Vec<f64> {
        const COUNTS: f64 = 1e-3;
        let mut all = vec![0.0; self.candidates.len()];
        let kept: BTreeSet<&[(usize, usize)]> =
            self.pool.iter().map(|set| &set.opened[..]).collect();
        for (set, probability) in self.pool.iter().zip(self.probabilities()) {
            for (candidate, _) in &set.opened {
                all[*candidate] += probability;
            }
            if probability < COUNTS {
                continue;
            }
            for (candidate, width, gain) in self.gains(set) {
                let mut with = set.opened.clone();
                with.push((candidate, width));
                with.sort_unstable();
                if !kept.contains(&with[..]) {
                    let odds = libm::exp(gain.min(0.0));
                    all[candidate] += probability * odds / (1.0 + odds);
                }
            }
        }
        all.iter().map(|sum: &f64| sum.min(1.0)).collect()
    }
}
