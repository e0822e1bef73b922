//! What holds each choice back: how far it could go either way before a rule is broken, and what going there would cost.

use super::improve::{Search, Tried};
use super::laid::{Choice, Laid};
use super::rules::{Breach, Rule};
use rayon::prelude::*;

/// Share of a choice's range by which it is moved to see what that costs.
const PROBE: f64 = 0.05;

/// One side of a choice.
#[derive(Debug, Clone, PartialEq)]
pub struct Side {
    /// How far the choice can go that way while all else stays and no rule is broken, mm.
    pub free_mm: f64,
    /// The rules that the next step breaks; none where the range ends there.
    pub stops: Vec<Breach>,
    /// How far it was moved to see what that costs, mm; 0 where it cannot move.
    pub tried_mm: f64,
    /// By what factor that worsens what is aimed at (above 1) or betters it.
    pub worse: f64,
    /// The rule that needs trials and is broken there, though it is kept where the choice stands.
    pub too_few: Option<Rule>,
}

/// Both sides of every choice, the lower first. `None` when interrupted.
pub(super) fn sides(search: &Search<'_>, laid: &Laid) -> Option<Vec<(Choice, [Side; 2])>> {
    let here = search.try_out(laid.clone())?;
    let choices: Vec<Choice> = laid.choices().collect();
    let found: Vec<Option<(Choice, [Side; 2])>> = choices
        .into_par_iter()
        .map(|choice| {
            let one = |sign: f64| side(search, laid, choice, sign, &here);
            Some((choice, [one(-1.0)?, one(1.0)?]))
        })
        .collect();
    found.into_iter().collect()
}

fn side(search: &Search<'_>, laid: &Laid, choice: Choice, sign: f64, here: &Tried) -> Option<Side> {
    let site = &search.site;
    let step_mm = laid.step_mm(choice);
    let [low, high] = site.range_mm(choice, laid);
    let most = (((high - low) / step_mm).ceil() + 1.0).max(1.0) as u64;
    let at = |steps: u64| {
        laid.with(
            choice,
            laid.value_mm(choice) + sign * steps as f64 * step_mm,
        )
    };
    let broken = |steps: u64| site.breaches(&site.plan(&at(steps)));
    // the first step that breaks something, taking rules to stay broken beyond
    let mut reach = 1;
    while reach < most && broken(reach).is_empty() {
        reach *= 2;
    }
    let mut free = reach / 2;
    let mut stop = reach.min(most);
    while stop > free + 1 {
        let middle = u64::midpoint(free, stop);
        if broken(middle).is_empty() {
            free = middle;
        } else {
            stop = middle;
        }
    }
    let stops = broken(free + 1);
    let probe = ((PROBE * (high - low) / step_mm).round() as u64).clamp(1, free.max(1));
    let (tried_mm, worse, too_few) = if free == 0 {
        (0.0, 1.0, None)
    } else {
        let tried = search.try_out(at(probe))?;
        let is_new = |rule: &Rule| here.broken.iter().all(|breach| breach.rule != *rule);
        let rules = tried.broken.iter().map(|breach| breach.rule);
        (
            probe as f64 * step_mm,
            libm::exp(tried.aimed - here.aimed),
            rules.into_iter().find(is_new),
        )
    };
    Some(Side {
        free_mm: free as f64 * step_mm,
        stops,
        tried_mm,
        worse,
        too_few,
    })
}
