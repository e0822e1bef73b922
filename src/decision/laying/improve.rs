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
/// Starts from which a layout is sought: the scenario's own, and some anywhere.
const STARTS: usize = 12;
/// Layouts tried at once.
const AT_ONCE: usize = 64;
/// Rounds of random changes.
const ROUNDS: usize = 48;
/// Layouts that are kept.
const KEPT: usize = 16;
/// Most layouts that are tried in the last steps.
const MOST_STEPS_TRIED: usize = 4000;
/// Steps by which the last moves begin, in units of a choice's own.
const LAST_STEPS: [f64; 5] = [16.0, 8.0, 4.0, 2.0, 1.0];

/// A layout and what it comes to.
#[derive(Debug, Clone)]
pub(super) struct Tried {
    pub laid: Laid,
    pub broken: Vec<Breach>,
    /// The less the better, of layouts that break nothing.
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
        let plan = self.site.plan(&laid);
        let mut broken = self.site.breaches(&plan);
        if !broken.is_empty() {
            return Some(Tried {
                laid,
                broken,
                cost: f64::INFINITY,
            });
        }
        let found = brief(&plan, &self.trial, self.hooks)?;
        broken.extend(self.by_trials(&found));
        let size = plan.figure_rad / self.site.allowed.figure_rad[1];
        let aimed = match self.aim {
            Aim::Robustness => self.margin(&found).ln(),
            Aim::Scatter => scatter_cost(&Scatter::of(&plan)),
        };
        Some(Tried {
            laid,
            broken,
            cost: aimed - SIZE_WORTH * size.ln(),
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

    /// All of it. `None` when interrupted; where nothing keeps all rules, the least that breaks.
    pub fn best(&self) -> Option<Best> {
        let starts: Vec<Laid> = (0..STARTS)
            .into_par_iter()
            .map(|nth| {
                let mut stream = self.stream(0, nth as u64);
                let start = if nth == 0 {
                    Laid::of(self.site.base, self.site.allowed)
                } else {
                    anywhere(&self.site, &mut stream)
                };
                settle(start, &self.site, &mut stream).laid
            })
            .collect();
        let mut front = self.try_all(starts)?;
        let mut tried = front.len() as u64;
        // changing at random is in vain where mending was
        if front.iter().all(|one| one.weights()[0] > 0.0) {
            front.sort_by(Tried::order);
            let best = front.swap_remove(0);
            return Some(Best { best, tried });
        }
        for round in 0..ROUNDS {
            front.sort_by(Tried::order);
            front.dedup_by(|a, b| a.laid == b.laid);
            front.truncate(KEPT);
            let changed: Vec<Laid> = (0..AT_ONCE)
                .into_par_iter()
                .map(|nth| self.changed(&front, round, nth))
                .collect();
            tried += changed.len() as u64;
            front.extend(self.try_all(changed)?);
        }
        front.sort_by(Tried::order);
        let (best, steps) = self.last_steps(front.swap_remove(0))?;
        Some(Best {
            best,
            tried: tried + steps,
        })
    }

    fn try_all(&self, layouts: Vec<Laid>) -> Option<Vec<Tried>> {
        let tried: Vec<Option<Tried>> = layouts
            .into_par_iter()
            .map(|laid| self.try_out(laid))
            .collect();
        tried.into_iter().collect()
    }

    /// One of the front with some choices changed; better ones are taken more often. What breaks a rule is tried anew some
    /// times.
    fn changed(&self, front: &[Tried], round: usize, nth: usize) -> Laid {
        const ATTEMPTS: usize = 20;
        let mut stream = self.stream(1 + round as u64, nth as u64);
        // wide steps at first, fine ones at the end
        let step = 0.25 * libm::pow(0.05, round as f64 / ROUNDS as f64);
        let mut laid = front[0].laid.clone();
        for _ in 0..ATTEMPTS {
            let rank = libm::pow(stream.next_uniform(), 2.0) * front.len() as f64;
            laid = front[(rank as usize).min(front.len() - 1)].laid.clone();
            for _ in 0..=pick(&mut stream, 3) {
                laid = self.change(laid, step, &mut stream);
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
        let moved: Vec<usize> = match kind {
            // a whole rod
            k if k < 0.5 => vec![end, end ^ 1],
            // all that hang on one line
            k if k < 0.6 => (0..ends)
                .filter(|other| line(*other) == line(end))
                .collect(),
            _ => vec![end],
        };
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
                let each = self.try_all(moves.iter().map(|one| made(&[*one])).collect())?;
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
                let joined = self.try_all(joined)?;
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
