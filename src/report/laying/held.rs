//! What holds each choice back, in words.

use super::super::words::figures;
use super::broken::rule_words;
use crate::decision::laying::{Aim, Breach, Choice, LaidOut, Rule, Side};
use crate::figure::Plan;
use std::collections::BTreeMap;

/// A change under this is not told from none.
const SHOWS: f64 = 0.002;

/// A length that is a whole number of steps, without what computing left over.
pub(super) fn plain(mm: f64) -> String {
    ((mm * 1e4).round() / 1e4).to_string()
}

/// What holds a choice back on one side: a rule, what is aimed at, or nothing that shows.
pub(super) fn side_words(side: &Side, aim: Aim, plan: &Plan) -> String {
    if side.free_mm == 0.0 {
        return stop_words(&side.stops, plan);
    }
    let tried = plain(side.tried_mm);
    let aimed = match aim {
        Aim::Robustness => "robustness",
        Aim::Scatter => "scatter",
    };
    if side.worse == f64::INFINITY {
        let too_few = match aim {
            Aim::Robustness => "too few looks would show the figure",
            Aim::Scatter => "too few builds would pass, or looks show the figure",
        };
        return format!("{too_few} {tried} mm on");
    }
    if side.worse > 1.0 + SHOWS {
        let percent = figures(100.0 * (side.worse - 1.0));
        return format!("{aimed}: {percent} % worse {tried} mm on");
    }
    let then = if side.stops.is_empty() {
        String::new()
    } else {
        format!(", then {}", stop_words(&side.stops, plan))
    };
    format!("nothing that shows, for {} mm{then}", plain(side.free_mm))
}

fn stop_words(stops: &[Breach], plan: &Plan) -> String {
    match stops {
        [] => "the end of its range".to_owned(),
        [one] => rule_words(one.rule, plan),
        [first, rest @ ..] => format!("{} (and {} more)", rule_words(first.rule, plan), rest.len()),
    }
}

/// What holds the rods' ends back, how often each kind of it, most often first.
pub(super) fn ends_sentence(found: &LaidOut) -> String {
    let mut counts: BTreeMap<&'static str, usize> = BTreeMap::new();
    let ends = found
        .sides
        .iter()
        .filter(|(choice, _)| matches!(choice, Choice::End(_)));
    let mut all = 0;
    for side in ends.flat_map(|(_, sides)| sides) {
        *counts.entry(kind_words(side, found.aim)).or_default() += 1;
        all += 1;
    }
    let mut ordered: Vec<(&str, usize)> = counts.into_iter().collect();
    ordered.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(b.0)));
    let listed: Vec<String> = ordered
        .into_iter()
        .map(|(kind, count)| format!("{kind} {count}"))
        .collect();
    format!(
        "What is in the way of the rods' ends, nearer and farther, {all} sides in all: {}.",
        listed.join(", ")
    )
}

/// What holds one side back, as a kind.
fn kind_words(side: &Side, aim: Aim) -> &'static str {
    if side.free_mm > 0.0 {
        return match (side.worse > 1.0 + SHOWS, aim) {
            (false, _) => "nothing that shows",
            (true, Aim::Robustness) if side.worse.is_finite() => "robustness",
            (true, Aim::Scatter) if side.worse.is_finite() => "scatter",
            (true, _) => "looks or builds that are too few",
        };
    }
    match side.stops.first().map(|stop| stop.rule) {
        Some(Rule::Rods(..)) => "another rod",
        Some(Rule::LineAtRod(..)) => "a line",
        Some(Rule::Window(_)) => "the window",
        Some(Rule::Rear(_)) => "the rear plate",
        Some(Rule::Spread) => "the spread of depths",
        Some(Rule::FallsApart) => "falling apart from elsewhere",
        Some(Rule::Short(_) | Rule::Long(_)) => "the stock",
        Some(_) => "another rule",
        None => "the end of the range",
    }
}
