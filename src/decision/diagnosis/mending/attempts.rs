//! Corrections that are tried, by themselves and in pairs, and what comes of each.

use super::super::cause::Suspect;
use super::super::cause::{Cause, NoDiagnosis, Why};
use super::super::finding::Span;
use super::super::visitors::{MeanEye, Visitors, mean_look, relief_shift_mm};
use super::correction::{Correction, all_redone, corrected, fresh_work};
use super::effort::minutes;
use super::moves::{Movable, best_moves, peephole_brought_back};
use crate::decision::RunPlan;
use crate::decision::brief::Brief;
use crate::figure::{Family, Plan, Plate, Source};
use crate::trial::{RunHooks, fold_tasks};

/// A cause stands out that is at least this probably out of its tolerance (five times what any is beforehand),
const STANDS_OUT_PROBABILITY: f64 = 0.05;
/// or this many standard deviations of its tolerance off,
const STANDS_OUT_TIMES: f64 = 2.0;
/// or makes this share of what is seen off (all three chosen).
const STANDS_OUT_SHARE: f64 = 0.05;
/// Most causes that are put right one by one (chosen).
const MOST_CAUSES: usize = 16;
/// A second correction is worth its work where this share more of the possible builds passes with it (chosen: more than what
/// 256 possible builds scatter by).
const WORTH_SHARE: f64 = 0.03;
/// Most pairs that are tried (chosen).
const MOST_PAIRS: usize = 40;
/// A relief that was read is off where it is this far from the plan, mm (chosen: less no rest is set to).
const RELIEF_OFF_MM: f64 = 1.0;
/// A fault over its limit counts as no more than this where corrections are chosen for pairs, so that what is not seen at all is a
/// number too.
const MOST_OVER: f64 = 1e3;

/// One of the corrections to be tried: known beforehand, or a move that is fitted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Part {
    Done(Known),
    ToFit(Movable),
}

/// A correction that is known beforehand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Known {
    PutRight(Suspect),
    BringPeepholeBack,
    TightenAll,
    PierceAnew(Plate),
}

/// What corrections came to.
#[derive(Debug, Clone)]
pub(super) struct Tried {
    parts: Vec<Part>,
    pub corrections: Vec<Correction>,
    pub minutes: f64,
    pub brief: Brief,
    /// Worst drift and worst gap over its limit in each possible build, as the eye at its mean place sees it; +∞ where it does not
    /// see all.
    pub drift: Vec<f64>,
    /// See `drift`.
    pub gap: Vec<f64>,
    /// Sum of all squared faults over their limits, on the average of the possible builds.
    squares: f64,
}

impl Tried {
    fn worst(&self) -> f64 {
        let worst = self.drift.iter().zip(&self.gap).map(|(a, b)| a.max(*b));
        Span::of_worst(worst.collect()).median
    }

    /// Whether it lets clearly more possible builds pass than each of its parts alone, or where none passes leaves less.
    pub fn does_better_than_its_parts(&self, singles: &[Self]) -> bool {
        let parts = singles
            .iter()
            .filter(|one| self.parts.contains(&one.parts[0]));
        let worst = self.worst();
        parts.into_iter().all(|part| {
            let more = self.brief.passed.saturating_sub(part.brief.passed);
            let passes_more = more as f64 >= WORTH_SHARE * self.drift.len() as f64;
            let is_as_bad = self.brief.passed == 0 && part.brief.passed == 0;
            passes_more || (is_as_bad && worst < part.worst())
        })
    }
}

pub(super) struct Trial<'a> {
    pub plan: &'a Plan,
    why: &'a Why,
    pub run: &'a RunPlan,
    hooks: &'a RunHooks<'a>,
    pub now: &'a [f64],
    pub mean: Vec<f64>,
    fresh: Vec<Vec<f64>>,
    pub relief_shift_mm: f64,
}

impl<'a> Trial<'a> {
    pub fn new(
        plan: &'a Plan,
        why: &'a Why,
        run: &'a RunPlan,
        now: &'a [f64],
        hooks: &'a RunHooks<'a>,
    ) -> Self {
        Self {
            plan,
            why,
            run,
            hooks,
            now,
            mean: plan.mean_values(Family::Build),
            fresh: fresh_work(plan, run.seed, why.possible.len()),
            relief_shift_mm: relief_shift_mm(plan, why),
        }
    }

    /// Every correction that is tried by itself, without two that would be the same work.
    pub fn singles(&self, why: &Why) -> Vec<Part> {
        let mut all: Vec<Part> = Vec::new();
        let stand_out = why.causes.iter().filter(|cause| stands_out(cause));
        for cause in stand_out.take(MOST_CAUSES) {
            if let Some(known) = self.put_right(cause.suspect)
                && !all.iter().any(|other| self.is_same_work(*other, known))
            {
                all.push(Part::Done(known));
            }
        }
        if self.relief_shift_mm.abs() >= RELIEF_OFF_MM {
            let relief = Suspect::item(Source::EyeRelief, 0);
            all.push(Part::Done(Known::PutRight(relief)));
        }
        for known in [
            Known::TightenAll,
            Known::PierceAnew(Plate::Front),
            Known::PierceAnew(Plate::Rear),
        ] {
            if !all.iter().any(|other| self.is_same_work(*other, known)) {
                all.push(Part::Done(known));
            }
        }
        all.extend(Movable::all().into_iter().map(Part::ToFit));
        all
    }

    /// What puts a cause right; `None` for what is mended by the moves and by piercing anew, which are always tried.
    fn put_right(&self, suspect: Suspect) -> Option<Known> {
        let shared = self.plan.design.tension_is_shared();
        match (suspect, suspect.source()?) {
            (Suspect::Alike { .. }, Source::Slackening | Source::HandTension) => {
                Some(Known::TightenAll)
            }
            (_, Source::Slackening | Source::HandTension) if shared => Some(Known::TightenAll),
            (_, Source::PatternShift(_) | Source::PatternTurn(_) | Source::PrintScale(_)) => None,
            (_, Source::PeepholeShift | Source::PeepholeDepth) => Some(Known::BringPeepholeBack),
            (_, source) if source.family() == Family::Look => None,
            _ => Some(Known::PutRight(suspect)),
        }
    }

    fn is_same_work(&self, other: Part, known: Known) -> bool {
        let Part::Done(other) = other else {
            return false;
        };
        if other == known {
            return true;
        }
        match (other, known) {
            (Known::PutRight(_), Known::PutRight(_)) => {
                let redone = |known| self.correction(known).map(|one| one.redone(self.plan));
                redone(other) == redone(known)
            }
            _ => false,
        }
    }

    fn correction(&self, known: Known) -> Option<Correction> {
        match known {
            Known::PutRight(suspect) => Some(Correction::PutRight(suspect)),
            Known::BringPeepholeBack => peephole_brought_back(self.plan, self.now, &self.mean),
            Known::TightenAll => Some(Correction::TightenAll),
            Known::PierceAnew(plate) => Some(Correction::PierceAnew(plate)),
        }
    }

    /// The corrections of these parts, moves fitted to what the others leave; `None` where one of them is nothing.
    fn corrections(&self, parts: &[Part]) -> Option<Vec<Correction>> {
        let mut corrections = Vec::new();
        let mut movables = Vec::new();
        for part in parts {
            match part {
                Part::Done(known) => corrections.push(self.correction(*known)?),
                Part::ToFit(movable) => movables.push(*movable),
            }
        }
        if !movables.is_empty() {
            let done = (&corrections[..], &all_redone(self.plan, &corrections));
            let base = corrected(self.plan, done, self.now, &self.mean, &self.mean);
            let look = mean_look(self.plan, self.relief_after_mm(&corrections));
            corrections.extend(best_moves(self.plan, &look, base, &self.mean, &movables)?);
        }
        Some(corrections)
    }

    fn relief_after_mm(&self, corrections: &[Correction]) -> f64 {
        if corrections.iter().any(Correction::brings_relief_back) {
            0.0
        } else {
            self.relief_shift_mm
        }
    }

    pub fn try_all(&self, all: Vec<Vec<Part>>) -> Result<Vec<Tried>, NoDiagnosis> {
        let mut tried: Vec<Tried> = Vec::new();
        let whole = fold_tasks(
            0..all.len() as u64,
            self.hooks,
            |nth| {
                let parts = &all[nth as usize];
                let corrections = self.corrections(parts)?;
                Some(Tried {
                    parts: parts.clone(),
                    ..self.evaluate(corrections)
                })
            },
            |found: Option<Tried>| {
                // a plate moved both ways may come to the same as moved one way
                if let Some(found) = found
                    && !tried.iter().any(|one| one.corrections == found.corrections)
                {
                    tried.push(found);
                }
            },
        );
        if whole {
            Ok(tried)
        } else {
            Err(NoDiagnosis::Interrupted)
        }
    }

    /// As many builds as are possible with everything done again, seen by visitors.
    pub fn built_anew(&self) -> Brief {
        let visitors = Visitors {
            plan: self.plan,
            run: self.run,
            relief_shift_mm: 0.0,
        };
        visitors.look_at(&self.fresh, self.hooks)
    }

    /// All possible builds after `corrections`, seen by the eye at its mean place and by visitors.
    pub fn evaluate(&self, corrections: Vec<Correction>) -> Tried {
        let relief_shift_mm = self.relief_after_mm(&corrections);
        let done = (&corrections[..], &all_redone(self.plan, &corrections));
        let possible = self.why.possible.iter().zip(&self.fresh);
        let builds: Vec<Vec<f64>> = possible
            .map(|(build, fresh)| corrected(self.plan, done, build, fresh, &self.mean))
            .collect();
        let visitors = Visitors {
            plan: self.plan,
            run: self.run,
            relief_shift_mm,
        };
        let mut eye = MeanEye::new(self.plan, relief_shift_mm);
        let rods = self.plan.edges.len();
        let mut tried = Tried {
            parts: Vec::new(),
            minutes: minutes(self.plan, &corrections),
            corrections,
            brief: visitors.look_at(&builds, self.hooks),
            drift: Vec::with_capacity(builds.len()),
            gap: Vec::with_capacity(builds.len()),
            squares: 0.0,
        };
        let items = rods + self.plan.junctions.len();
        for build in &builds {
            let over = eye.over_limits(build).unwrap_or_else(|_| vec![None; items]);
            let over: Vec<f64> = over
                .into_iter()
                .map(|over| over.unwrap_or(f64::INFINITY))
                .collect();
            let worst = |over: &[f64]| over.iter().copied().fold(0.0, f64::max);
            tried.drift.push(worst(&over[..rods]));
            tried.gap.push(worst(&over[rods..]));
            let held = over.iter().map(|over| over.min(MOST_OVER));
            tried.squares += held.map(|over| over * over).sum::<f64>() / builds.len() as f64;
        }
        tried
    }

    /// The most promising pairs: those whose corrections take away most, together.
    pub fn pairs(&self, singles: &[Tried], as_is: &Tried) -> Vec<Vec<Part>> {
        let gain = |one: &Tried| (as_is.squares - one.squares).max(0.0);
        let mut pairs: Vec<(f64, f64, Vec<Part>)> = Vec::new();
        for (nth, first) in singles.iter().enumerate() {
            for second in &singles[nth + 1..] {
                if self.go_together(first, second) {
                    let parts = vec![first.parts[0], second.parts[0]];
                    let both = [first.corrections[0].clone(), second.corrections[0].clone()];
                    pairs.push((gain(first) + gain(second), minutes(self.plan, &both), parts));
                }
            }
        }
        pairs.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.total_cmp(&b.1)));
        pairs.truncate(MOST_PAIRS);
        pairs.into_iter().map(|(_, _, parts)| parts).collect()
    }

    /// Whether both corrections are worth doing in one build: neither is part of the other, and a plate that is moved is neither
    /// pierced nor seated anew.
    fn go_together(&self, first: &Tried, second: &Tried) -> bool {
        let (first, second) = (&first.corrections[0], &second.corrections[0]);
        let is_moved = |one: &Correction| {
            matches!(one, Correction::MovePlate(_) | Correction::MovePeephole(..))
        };
        let is_within = |inner: &Correction, outer: &Correction| {
            let redone = inner.redone(self.plan);
            !is_moved(inner)
                && !inner.brings_relief_back()
                && redone.is_subset(&outer.redone(self.plan))
        };
        let clash = match (placed(first), placed(second)) {
            (Some(a), Some(b)) => a == b && (is_moved(first) || is_moved(second)),
            _ => false,
        };
        let both_peephole = matches!(
            (first, second),
            (Correction::MovePeephole(..), Correction::MovePeephole(..))
        );
        !clash && !both_peephole && !is_within(first, second) && !is_within(second, first)
    }
}

/// The plate whose place or holes a correction sets.
fn placed(correction: &Correction) -> Option<Plate> {
    match correction {
        Correction::MovePlate(moved) => Some(moved.plate),
        Correction::PierceAnew(plate) => Some(*plate),
        Correction::PutRight(Suspect::Item { source, .. }) => match Source::ALL[*source] {
            Source::SeatDepth(plate) => Some(plate),
            _ => None,
        },
        _ => None,
    }
}

fn stands_out(cause: &Cause) -> bool {
    cause.suspect.source().is_some()
        && (cause.fault_probability >= STANDS_OUT_PROBABILITY
            || cause
                .times_tolerance
                .is_some_and(|times| times.abs() >= STANDS_OUT_TIMES)
            || cause.share.abs() >= STANDS_OUT_SHARE)
}
