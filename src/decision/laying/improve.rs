//! From layouts that break no rule to good ones.

use super::super::brief::{Brief, brief};
use super::super::run_plan::RunPlan;
use super::super::scatter::Scatter;
use super::SEARCH;
use super::laid::{Choice, Laid, Site};
use super::rules::{Breach, Rule};
use super::settle::{anywhere, normal, pick, settle};
use crate::sampling::{Stream, StreamKey};
use crate::trial::RunHooks;
use rayon::prelude::*;

/// What a layout is to be best in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Aim {
    /// The fault that the target share of builds stays within, over its limit, is smallest.
    Robustness,
    /// The figure is most scattered, at the target yield.
    Scatter,
}

impl Aim {
    /// Both.
    pub const ALL: [Self; 2] = [Self::Robustness, Self::Scatter];

    /// Its name on a command line.
    pub fn name(self) -> &'static str {
        match self {
            Self::Robustness => "robustness",
            Self::Scatter => "scatter",
        }
    }

    /// The aim of that name.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|aim| aim.name() == name)
    }
}

/// What a larger figure is worth: one that is a tenth larger may be half a percent worse in what is aimed at (chosen).
pub const SIZE_WORTH: f64 = 0.05;
/// What builds in hand are worth where scatter is aimed at: a margin that is a tenth smaller as much as one percent of scatter
/// (chosen). Without it a change that only makes room for others would never be made.
const IN_HAND_WORTH: f64 = 0.1;
/// Searches that know nothing of each other: one alone settles early on what its first good layout is like.
const SEARCHES: usize = 5;
/// Starts of each search: the scenario's own in the first, and some anywhere.
const STARTS: usize = 6;
/// Layouts that a search tries at once.
const AT_ONCE: usize = 24;
/// Rounds of random changes, of which the first ones are judged by fewer builds.
const ROUNDS: usize = 80;
const COARSE_ROUNDS: usize = 56;
const COARSE_BUILDS: u64 = 192;
/// Layouts that a search keeps.
const KEPT: usize = 10;
/// Most layouts that a search tries in its last steps.
const MOST_STEPS_TRIED: usize = 1200;
/// Steps by which the last moves begin, in units of a choice's own.
const LAST_STEPS: [f64; 5] = [16.0, 8.0, 4.0, 2.0, 1.0];

/// A layout and what it comes to.
#[derive(Debug, Clone)]
pub(super) struct Tried {
    pub laid: Laid,
    pub broken: Vec<Breach>,
    /// Logarithm of what is aimed at, the less the better.
    pub aimed: f64,
    /// The same with what else counts a little: the figure's size, builds in hand.
    pub cost: f64,
}

impl Tried {
    /// How much is broken that needs no trials to be seen, and that needs them.
    fn weights(&self) -> [f64; 2] {
        let sum = |by_trials: bool| {
            let rules = self.broken.iter();
            let kind = rules.filter(|breach| breach.rule.needs_trials() == by_trials);
            // folded from +0: a sum of nothing is −0, which has a place of its own in the order of all numbers
            kind.fold(0.0, |sum, breach| sum + breach.by)
        };
        [sum(false), sum(true)]
    }

    /// By what is broken without trials first, then with them, then by cost.
    fn order(&self, other: &Self) -> std::cmp::Ordering {
        let [[a, b], [c, d]] = [self.weights(), other.weights()];
        let by_weight = a.total_cmp(&c).then(b.total_cmp(&d));
        by_weight.then(self.cost.total_cmp(&other.cost))
    }

    fn is_better(&self, than: &Self) -> bool {
        self.order(than).is_lt()
    }
}

/// The search.
pub(super) struct Search<'a> {
    pub site: Site<'a>,
    pub aim: Aim,
    /// How each layout is tried.
    pub trial: RunPlan,
    /// Least share of looks that must show the whole figure.
    pub clear_share: f64,
    /// Share of builds whose margin must be within the limit: the target, and room for chance.
    pub target_share: f64,
    pub hooks: &'a RunHooks<'a>,
}

/// The best that was found, and how many layouts were tried by trials.
pub(super) struct Best {
    pub best: Tried,
    pub tried: u64,
}

impl Search<'_> {
    /// What a layout that breaks no other rule comes to. `None` when interrupted.
    pub fn try_out(&self, laid: Laid) -> Option<Tried> {
        self.try_with(laid, &self.trial)
    }

    fn try_with(&self, laid: Laid, trial: &RunPlan) -> Option<Tried> {
        let plan = self.site.plan(&laid);
        let mut broken = self.site.breaches(&plan);
        if !broken.is_empty() {
            return Some(Tried {
                laid,
                broken,
                aimed: f64::INFINITY,
                cost: f64::INFINITY,
            });
        }
        let found = brief(&plan, trial, self.hooks)?;
        broken.extend(self.by_trials(&found));
        let size = plan.figure_rad / self.site.allowed.figure_rad[1];
        let margin = self.margin(&found).ln();
        let (aimed, in_hand) = match self.aim {
            Aim::Robustness => (margin, 0.0),
            Aim::Scatter => (scatter_cost(&Scatter::of(&plan)), IN_HAND_WORTH * margin),
        };
        Some(Tried {
            laid,
            broken,
            aimed,
            cost: aimed + in_hand - SIZE_WORTH * size.ln(),
        })
    }

    /// The fault that the target share of builds stays within, over its limit; +∞ where that share cannot be judged.
    pub fn margin(&self, found: &Brief) -> f64 {
        found
            .margin_of_share(self.target_share)
            .unwrap_or(f64::INFINITY)
    }

    fn by_trials(&self, found: &Brief) -> Vec<Breach> {
        let clear = found.clear.share().unwrap_or(0.0);
        let clear = Breach::under(Rule::Clear, clear, self.clear_share);
        let builds = match self.aim {
            Aim::Robustness => None,
            Aim::Scatter => Breach::over(Rule::Yield, self.margin(found), 1.0),
        };
        clear.into_iter().chain(builds).collect()
    }

    fn stream(&self, part: u64, nth: u64) -> Stream {
        let key = StreamKey {
            seed: self.trial.seed,
            source: SEARCH,
            item: part,
            component: 0,
            look: 0,
        };
        Stream::new(key, nth)
    }

    /// The best of all searches. `None` when interrupted; where nothing keeps all rules, the least that breaks.
    pub fn best(&self) -> Option<Best> {
        let found: Vec<Option<Best>> = (0..SEARCHES)
            .into_par_iter()
            .map(|nth| self.best_of(nth))
            .collect();
        let found: Vec<Best> = found.into_iter().collect::<Option<_>>()?;
        let tried = found.iter().map(|one| one.tried).sum();
        let best = found.into_iter().map(|one| one.best).min_by(Tried::order)?;
        Some(Best { best, tried })
    }

    /// One search.
    fn best_of(&self, search: usize) -> Option<Best> {
        // numbers of its own for each round of each search
        let part = |round: usize| (search * (ROUNDS + 1) + round) as u64;
        let starts: Vec<Laid> = (0..STARTS)
            .into_par_iter()
            .map(|nth| {
                let mut stream = self.stream(part(0), nth as u64);
                let start = if search == 0 && nth == 0 {
                    Laid::of(self.site.base, self.site.allowed)
                } else {
                    anywhere(&self.site, &mut stream)
                };
                settle(start, &self.site, self.hooks, &mut stream).laid
            })
            .collect();
        let mut front = self.try_all(starts, &self.trial)?;
        let mut tried = front.len() as u64;
        // changing at random is in vain where mending was
        if front.iter().all(|one| one.weights()[0] > 0.0) {
            front.sort_by(Tried::order);
            let best = front.swap_remove(0);
            return Some(Best { best, tried });
        }
        let coarse = RunPlan {
            builds: COARSE_BUILDS.min(self.trial.builds),
            ..self.trial
        };
        for round in 0..ROUNDS {
            let is_coarse = round < COARSE_ROUNDS;
            let trial = if is_coarse { &coarse } else { &self.trial };
            if round == COARSE_ROUNDS {
                let kept = front.into_iter().map(|one| one.laid).collect();
                front = self.try_all(kept, trial)?;
            }
            front.sort_by(Tried::order);
            front.dedup_by(|a, b| a.laid == b.laid);
            front.truncate(KEPT);
            let changed: Vec<Laid> = (0..AT_ONCE)
                .into_par_iter()
                .map(|nth| {
                    let mut stream = self.stream(part(1 + round), nth as u64);
                    self.changed(&front, round, &mut stream)
                })
                .collect();
            tried += changed.len() as u64;
            front.extend(self.try_all(changed, trial)?);
        }
        front.sort_by(Tried::order);
        let (best, steps) = self.last_steps(front.swap_remove(0))?;
        Some(Best {
            best,
            tried: tried + steps,
        })
    }

    fn try_all(&self, layouts: Vec<Laid>, trial: &RunPlan) -> Option<Vec<Tried>> {
        let tried: Vec<Option<Tried>> = layouts
            .into_par_iter()
            .map(|laid| self.try_with(laid, trial))
            .collect();
        tried.into_iter().collect()
    }

    /// One of the front with some choices changed; better ones are taken more often. What breaks a rule is tried anew some
    /// times.
    fn changed(&self, front: &[Tried], round: usize, stream: &mut Stream) -> Laid {
        const ATTEMPTS: usize = 20;
        // wide steps at first, fine ones at the end
        let step = 0.25 * libm::pow(0.05, round as f64 / ROUNDS as f64);
        let mut laid = front[0].laid.clone();
        for _ in 0..ATTEMPTS {
            if self.hooks.is_interrupted() {
                break;
            }
            let rank = libm::pow(stream.next_uniform(), 2.0) * front.len() as f64;
            laid = front[(rank as usize).min(front.len() - 1)].laid.clone();
            for _ in 0..=pick(stream, 3) {
                laid = self.change(laid, step, stream);
            }
            if self.site.breaches(&self.site.plan(&laid)).is_empty() {
                break;
            }
        }
        laid
    }

    fn change(&self, laid: Laid, step: f64, stream: &mut Stream) -> Laid {
        let by = |choice: Choice, laid: &Laid, share: f64| {
            let [low, high] = self.site.range_mm(choice, laid);
            laid.value_mm(choice) + share * (high - low)
        };
        let share = step * normal(stream);
        let kind = stream.next_uniform();
        let whole = [Choice::Front, Choice::Rear, Choice::PicturePlane];
        if kind < 0.3 {
            let choice = whole[(kind * 10.0) as usize];
            let value_mm = by(choice, &laid, share);
            return self.site.moved(&laid, choice, value_mm);
        }
        let ends = laid.depths_mm.len();
        let end = pick(stream, ends);
        let line = |end: usize| self.site.base.rods[end / 2].ends[end % 2].line;
        let on_line = || {
            (0..ends)
                .filter(|other| line(*other) == line(end))
                .collect()
        };
        let (moved, is_drawn_apart): (Vec<usize>, bool) = match kind {
            // all of them: moved, or drawn apart and together about their mean
            k if k < 0.36 => ((0..ends).collect(), false),
            k if k < 0.46 => ((0..ends).collect(), true),
            // all that hang on one line, in the same two ways
            k if k < 0.52 => (on_line(), false),
            k if k < 0.60 => (on_line(), true),
            // a whole rod
            k if k < 0.75 => (vec![end, end ^ 1], false),
            _ => (vec![end], false),
        };
        if is_drawn_apart {
            let depths = moved.iter().map(|end| laid.depths_mm[*end]);
            let mean_mm = depths.sum::<f64>() / moved.len() as f64;
            return moved.into_iter().fold(laid, |laid, end| {
                let away_mm = laid.depths_mm[end] - mean_mm;
                laid.with(
                    Choice::End(end),
                    mean_mm + away_mm * (1.0 + 4.0 * share).max(0.0),
                )
            });
        }
        moved.into_iter().fold(laid, |laid, end| {
            let value_mm = by(Choice::End(end), &laid, share);
            laid.with(Choice::End(end), value_mm)
        })
    }

    /// Moves every choice by a step up and down, makes the moves that help, the best ones together, and goes on with smaller
    /// steps once none does.
    fn last_steps(&self, mut best: Tried) -> Option<(Tried, u64)> {
        let mut tried = 0;
        for steps in LAST_STEPS {
            while tried < MOST_STEPS_TRIED {
                let moves: Vec<(Choice, f64)> = best
                    .laid
                    .choices()
                    .flat_map(|choice| {
                        let by_mm = steps * best.laid.step_mm(choice);
                        [-by_mm, by_mm].map(|by_mm| (choice, by_mm))
                    })
                    .collect();
                let made = |moves: &[(Choice, f64)]| {
                    moves
                        .iter()
                        .fold(best.laid.clone(), |laid, (choice, by_mm)| {
                            laid.with(*choice, laid.value_mm(*choice) + by_mm)
                        })
                };
                let each =
                    self.try_all(moves.iter().map(|one| made(&[*one])).collect(), &self.trial)?;
                tried += each.len();
                let mut helps: Vec<(&Tried, (Choice, f64))> = each
                    .iter()
                    .zip(moves)
                    .filter(|(one, _)| one.is_better(&best))
                    .collect();
                helps.sort_by(|a, b| a.0.order(b.0));
                let mut taken: Vec<(Choice, f64)> = Vec::new();
                for (_, one) in &helps {
                    if !taken.iter().any(|(choice, _)| *choice == one.0) {
                        taken.push(*one);
                    }
                }
                let together: Vec<usize> = [2, 3, 5, 8, 13, 21]
                    .into_iter()
                    .filter(|count| *count <= taken.len())
                    .collect();
                let joined = together
                    .iter()
                    .map(|count| made(&taken[..*count]))
                    .collect();
                let joined = self.try_all(joined, &self.trial)?;
                tried += joined.len();
                let next = joined
                    .into_iter()
                    .chain(helps.first().map(|(one, _)| (*one).clone()))
                    .min_by(Tried::order);
                match next {
                    Some(next) if next.is_better(&best) => best = next,
                    _ => break,
                }
            }
        }
        Some((best, tried as u64))
    }
}

/// How little scattered a figure is: falling with the spread of its depths and with the head movement at which it falls apart.
fn scatter_cost(scatter: &Scatter) -> f64 {
    let movement = if scatter.movement_mm().is_finite() {
        scatter.movement_mm().ln()
    } else {
        0.0
    };
    movement - scatter.depth_spread_mm.max(f64::MIN_POSITIVE).ln()
}
