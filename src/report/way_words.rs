//! Sets of ways of working in words: costs, tolerances, what differs, what is promised.

use super::words::{count_words, figures, law_words, proportion_words, share_words};
use crate::decision::{ClearLooks, Gain, Promise, Proof, TriedSet, WaySets};
use crate::figure::{Design, Plate, Source, StepWays, Way, WayOrigin, Ways};
use crate::mechanics::Tightening;

/// A cost with its unit: "135 min", "12.5 EUR".
pub(super) fn cost_words(ways: &Ways, cost: f64) -> String {
    let rounded = (10.0 * cost).round() / 10.0;
    format!("{rounded} {}", ways.unit.name)
}

/// What the step of a set is called.
pub(super) fn step_words(step: &StepWays) -> String {
    step.step.name().replace('-', " ")
}

/// How closely a way works: every law of its step, both plates in one where they are alike.
pub(super) fn tolerance_words(design: &Design, step: &StepWays, way: &Way) -> String {
    let mut worked = design.clone();
    way.apply(&mut worked);
    let mut words = Vec::new();
    if let (Some(_), Some(threading)) = (way.tightening, &worked.line.threading) {
        words.push(match threading.tightening {
            Tightening::EachRun => "each run pulled tight in turn".to_owned(),
            Tightening::EndsOnly => "only the end is pulled".to_owned(),
        });
    }
    let holes_mm = worked.plates.map(|plate| plate.hole_mm);
    if way.hole_mm.is_some() {
        words.push(if holes_mm[0] == holes_mm[1] {
            format!("holes {} mm", figures(holes_mm[0]))
        } else {
            format!(
                "holes {} mm front, {} mm rear",
                figures(holes_mm[0]),
                figures(holes_mm[1])
            )
        });
    }
    let mut told: Vec<(String, String)> = Vec::new();
    for source in step.step.sources() {
        let name = source.words();
        let name = name.split(", ").next().unwrap_or(&name).to_owned();
        let law = law_words(worked.law(source), source);
        let twin = told
            .iter()
            .any(|(other, same)| *other == name && *same == law);
        if !twin {
            let differs = told.iter().any(|(other, _)| *other == name);
            let plate = if differs || differs_between_plates(&worked, source) {
                plate_word(source)
            } else {
                ""
            };
            told.push((name.clone(), law.clone()));
            words.push(format!("{name}{plate}: {law}"));
        }
    }
    words.join("; ")
}

fn plate_word(source: Source) -> &'static str {
    match source.key().0 {
        "front" => " (front)",
        "rear" => " (rear)",
        _ => "",
    }
}

fn differs_between_plates(design: &Design, source: Source) -> bool {
    let twin = match source {
        Source::PatternShift(_) => Source::PatternShift,
        Source::PatternTurn(_) => Source::PatternTurn,
        Source::PrintScale(_) => Source::PrintScale,
        Source::SeatDepth(_) => Source::SeatDepth,
        Source::TiltX(_) => Source::TiltX,
        Source::TiltY(_) => Source::TiltY,
        Source::HoleScatter(_) => Source::HoleScatter,
        Source::HoleSlack(_) => Source::HoleSlack,
        _ => return false,
    };
    let [front, rear] = Plate::BOTH.map(|plate| law_words(design.law(twin(plate)), twin(plate)));
    front != rear
}

/// What differs between two sets: "tie: in a jig instead of free; …".
pub(super) fn changes_words(ways: &Ways, from: &[usize], to: &[usize]) -> String {
    let changes = ways.changes(from, to);
    if changes.is_empty() {
        return "nothing".to_owned();
    }
    let one = |(step, from, to): &(&StepWays, &Way, &Way)| {
        format!("{}: {} (was: {})", step_words(step), to.name, from.name)
    };
    changes.iter().map(one).collect::<Vec<_>>().join("; ")
}

/// A set's yield.
pub(super) fn yield_words(tried: &TriedSet) -> String {
    proportion_words(&tried.build_yield, "builds")
}

/// What one point of yield costs on the way to a set.
pub(super) fn price_words(ways: &Ways, gain: &Gain) -> String {
    let (price, [low, high]) = gain.price_of_a_point();
    format!(
        "{} {} a point ({} to {}), for {} points more",
        figures(price),
        ways.unit.name,
        figures(low),
        figures(high),
        points_words(gain)
    )
}

fn points_words(gain: &Gain) -> String {
    share_words(gain.share, gain.interval).replace(" %", "")
}

/// A share that is to be met, in percent, with the digits that it has (at most six decimals): "90", "98.85".
pub(super) fn target_words(target: f64) -> String {
    let text = format!("{:.6}", 100.0 * target);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// How much wider than the interval the room is, in words.
const WITH_ROOM: &str = "with room to spare (an interval three times as wide)";

/// What a set costs; where the cost of what the scenario has now at a step is not known, that it is guessed in part.
fn set_cost_words(ways: &Ways, tried: &TriedSet) -> String {
    let is_guessed = |(_, way): (&StepWays, &Way)| way.origin == WayOrigin::AsItIs;
    let guessed = if ways.of_set(&tried.set).any(is_guessed) {
        " (some of it guessed)"
    } else {
        ""
    };
    format!("{}{guessed}", cost_words(ways, tried.cost))
}

/// Which share of the looks shows the whole figure.
pub(super) fn clear_words(clear: &ClearLooks) -> String {
    format!(
        "{} of the looks at {} builds",
        share_words(clear.share, clear.interval),
        count_words(clear.builds)
    )
}

/// Whether the promise is kept.
pub(super) fn proof_words(sets: &WaySets, proof: &Proof) -> String {
    let target = target_words(sets.target);
    let found = proportion_words(&proof.build_yield, "builds");
    let kept = match proof.promise {
        Promise::KeptWithRoom => format!(
            "the promise is kept with room, the interval lies at or above the target of {target} % even when it is taken three times as wide, so another run will show it too"
        ),
        Promise::Kept => format!(
            "the promise is kept, but barely: the interval lies at or above the target of {target} %, and another run may straddle it"
        ),
        Promise::KeptByEstimate => {
            format!("the estimate meets the target of {target} %, its interval reaches below it")
        }
        Promise::Broken => format!("the target of {target} % is not met"),
    };
    let agrees = if proof.agrees {
        "It agrees with the search: the two intervals overlap."
    } else {
        "It does not agree with the search: the two intervals do not overlap, so take this one."
    };
    format!(
        "A fresh run with other random numbers (seed {}) gives a yield of {found}: {kept}. {agrees} Looks that show the whole figure: {}; in the search {}; the target is {} %.",
        proof.seed,
        clear_words(&proof.clear),
        clear_words(&sets.chosen.clear),
        target_words(sets.clear_target)
    )
}

/// The answer in a sentence or two.
pub fn way_sets_sentence(sets: &WaySets) -> String {
    let target = target_words(sets.target);
    let cost = set_cost_words(&sets.ways, &sets.chosen);
    let found = yield_words(&sets.chosen);
    let now = set_cost_words(&sets.ways, &sets.now);
    let answer = if sets.meets {
        format!(
            "The cheapest set of ways of working that meets the target of {target} % {WITH_ROOM} costs {cost}; its yield is {found}."
        )
    } else {
        format!(
            "No set of ways of working meets the target of {target} % {WITH_ROOM}. The best of them costs {cost}; its yield is {found}. {}",
            best_words(sets)
        )
    };
    if sets.chosen.set == sets.now.set {
        return format!("{answer} It is what the scenario has now.");
    }
    format!(
        "{answer} What the scenario has now costs {now} and has a yield of {}.",
        yield_words(&sets.now)
    )
}

/// Whether the best set meets the target, where none does with room.
fn best_words(sets: &WaySets) -> String {
    let in_search = Promise::of(&sets.chosen.build_yield, sets.target);
    let weaker = sets.proof.promise.max(in_search.unwrap_or(Promise::Broken));
    let met = match weaker {
        Promise::KeptWithRoom | Promise::Kept => {
            "It meets the target with its whole interval, in the search and in a fresh run"
        }
        Promise::KeptByEstimate => {
            "It meets the target by its estimate only, not with its whole interval in both the search and a fresh run"
        }
        Promise::Broken => "It does not meet the target",
    };
    let is_enough = |clear: &ClearLooks| clear.is_enough(sets.clear_target);
    if is_enough(&sets.chosen.clear) && is_enough(&sets.proof.clear) {
        return if weaker.is_kept() {
            format!("{met}, but not with room.")
        } else {
            format!("{met}.")
        };
    }
    format!(
        "{met}; and too few looks show the whole figure: {} ({} in a fresh run), where {} % should with the whole interval. A wider peephole shows more.",
        clear_words(&sets.chosen.clear),
        clear_words(&sets.proof.clear),
        target_words(sets.clear_target)
    )
}

/// What was passed over on the way to the choice.
pub(super) fn passed_over(sets: &WaySets) -> Vec<String> {
    let differs = |tried: &TriedSet| {
        let from = if sets.meets { "chosen" } else { "best" };
        format!(
            "It differs from the {from} one in: {}.",
            changes_words(&sets.ways, &sets.chosen.set, &tried.set)
        )
    };
    let costs = |tried: &TriedSet| {
        let cheaper = if sets.meets || tried.cost < sets.chosen.cost {
            "A cheaper set"
        } else {
            "A set"
        };
        format!("{cheaper} ({})", set_cost_words(&sets.ways, tried))
    };
    let others = |tried: &&TriedSet| tried.set != sets.chosen.set;
    let mut words = Vec::new();
    if let Some(tried) = sets.by_estimate.as_ref().filter(others) {
        words.push(format!(
            "{} meets the target by its estimate only, not with its whole interval: {}. {}",
            costs(tried),
            yield_words(tried),
            differs(tried)
        ));
    }
    if let Some(tried) = sets.without_room.as_ref().filter(others) {
        words.push(format!(
            "{} meets the target, but not with room: {}. {}",
            costs(tried),
            yield_words(tried),
            differs(tried)
        ));
    }
    if let Some(tried) = sets.unclear.as_ref().filter(others) {
        words.push(format!(
            "{} meets the target yield with {}, but too few looks show the whole figure: {}; {} % should, with the whole interval. {}",
            costs(tried),
            yield_words(tried),
            clear_words(&tried.clear),
            target_words(sets.clear_target),
            differs(tried)
        ));
    }
    words.extend(unproven_words(sets));
    words
}

/// Sets that did not pass the fresh run.
fn unproven_words(sets: &WaySets) -> Vec<String> {
    /// So many are told one by one.
    const TOLD: usize = 3;
    let mut words = Vec::new();
    for (tried, proof) in sets.unproven.iter().take(TOLD) {
        words.push(format!(
            "A set for {} met the target with room in the search with {}, but the fresh run did not prove it: {}; the whole figure was shown in {}.",
            set_cost_words(&sets.ways, tried),
            yield_words(tried),
            proportion_words(&proof.build_yield, "builds"),
            clear_words(&proof.clear)
        ));
    }
    if !sets.unproven.is_empty() {
        words.push(format!(
            "{} sets were put to the fresh run, all with the same random numbers; {} of them did not pass.",
            count_words(sets.unproven.len() as u64 + u64::from(sets.meets)),
            count_words(sets.unproven.len() as u64)
        ));
    }
    words
}

/// What the answer assumes, in plain words.
pub fn way_sets_cautions(sets: &WaySets) -> Vec<String> {
    let mut cautions = vec![format!(
        "{} sets were tried, each at the same builds and looks (those that are worked alike at once): {} builds each at first, {} builds each for the {} that were near. The best of many estimates is partly good luck, so the fresh run is the number to rely on.",
        count_words(sets.screened.len() as u64),
        count_words(sets.screen_builds),
        count_words(sets.full_builds),
        count_words(sets.full_runs as u64),
    )];
    let unit = &sets.ways.unit;
    let origin = |origin: WayOrigin| {
        let ways = sets.ways.steps.iter().flat_map(|step| &step.ways);
        ways.filter(|way| way.origin == origin).count()
    };
    if origin(WayOrigin::Shipped) > 0 {
        cautions.push(match unit.per_minute {
            None => "Costs of the shipped ways are minutes of one person's work, chosen, no source; material and machines are not in them. Give your own with [[ways]]: the cheapest set is only as right as the costs.".to_owned(),
            Some(per_minute) => format!(
                "Costs of the shipped ways are minutes of one person's work, chosen, no source, at {} {} a minute.",
                figures(per_minute),
                unit.name
            ),
        });
    }
    for step in &sets.ways.steps {
        let now = &step.ways[step.now];
        if now.origin == WayOrigin::AsItIs {
            cautions.push(format!("{}: {}.", step_words(step), now.reason));
        }
    }
    cautions.push("Every step is taken to go wrong by itself, and every way to be as close as it says. The interval covers the chance of sampling only, not a wrong model or a way that is worked less closely.".to_owned());
    cautions
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_target_is_told_with_the_digits_that_it_has() {
        for (target, words) in [
            (0.9, "90"),
            (0.9885, "98.85"),
            (0.9995, "99.95"),
            (0.29, "29"),
            (1.0, "100"),
            (0.999_999, "99.9999"),
        ] {
            assert_eq!(target_words(target), words);
        }
    }
}
