//! The answer to how to lead one line through all holes, in sentences for the workshop.

use super::super::words::{count_words, figures};
use crate::decision::threading::{OrderFound, OutsideWay, Proof, ThreadAnswer, WayCrossing};
use crate::figure::{Plan, Plate};
use crate::mechanics::{PulledAt, Tightening};

const MM_PER_INCH: f64 = 25.4;

/// A length in mm with feet and inches beside it: "1747 mm (5 ft 8.8 in)".
pub(super) fn long_words(length_mm: f64) -> String {
    format!("{length_mm:.0} mm ({})", feet_words(length_mm))
}

fn feet_words(length_mm: f64) -> String {
    // rounded first, so that 11.97 in is a foot and not 12.0 in
    let tenths = (length_mm / MM_PER_INCH * 10.0).round();
    let feet = (tenths / 120.0).floor();
    let inches = (tenths - 120.0 * feet) / 10.0;
    if feet > 0.0 {
        format!("{feet} ft {inches:.1} in")
    } else {
        format!("{inches:.1} in")
    }
}

fn name(plan: &Plan, line: usize) -> &str {
    &plan.design.vertices[line].name
}

fn crossings_words(count: usize) -> String {
    match count {
        0 => "no crossing".to_owned(),
        1 => "1 crossing".to_owned(),
        _ => format!("{} crossings", count_words(count as u64)),
    }
}

/// Names of the lines in the order, with the plate where the first run enters.
pub(super) fn order_words(plan: &Plan, order: &OrderFound) -> String {
    let names: Vec<&str> = order
        .led
        .order
        .iter()
        .map(|line| name(plan, *line))
        .collect();
    format!(
        "entering at the {} plate: {}",
        entry(order, 0).word(),
        names.join(", ")
    )
}

/// The answer's sentences: the order, how certain it is, what the scenario has now, the line, the tension.
pub fn thread_sentences(answer: &ThreadAnswer, plan: &Plan) -> Vec<String> {
    let mut all = vec![
        best_sentence(answer, plan),
        proof_sentence(answer),
        present_sentence(answer, plan),
        line_sentence(answer, plan),
        trade_sentence(answer),
        tension_sentence(answer, plan),
    ];
    all.extend(pulls_sentence(answer));
    all
}

fn best_sentence(answer: &ThreadAnswer, plan: &Plan) -> String {
    let best = &answer.best;
    format!(
        "Lead the line {}. {} over the plates' outsides, {} of ways from hole to hole.",
        order_words(plan, best),
        capital(&crossings_words(best.crossings.len())),
        long_words(best.ways_mm)
    )
}

fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// How certain it is that nothing is better, and what counts.
pub(super) fn proof_sentence(answer: &ThreadAnswer) -> String {
    const COUNTED: &str = "Counted as a crossing: two ways over one plate that cross, and a way within a hole's radius of another hole.";
    let best = &answer.best;
    let line = format!(
        "its ways are at most {} % longer than the least there could be ({:.0} mm, a bound that no order falls under; it need not be reached)",
        figures(100.0 * (best.ways_mm / answer.least_ways_mm.max(1e-9) - 1.0)),
        answer.least_ways_mm
    );
    match answer.proof {
        Proof::Best => format!(
            "Proved: of all orders, from either plate, none has fewer crossings, or as few and less line. {COUNTED}"
        ),
        Proof::FewestCrossings => format!(
            "No order has fewer crossings. That none has less line is not proved, with so many lines: {line}. {COUNTED}"
        ),
        Proof::None { crossings: 0 } => format!(
            "Not proved to be the best: whether another order has fewer crossings is not known; {line}. {COUNTED}"
        ),
        Proof::None { crossings } => format!(
            "Not proved to be the best: no order has fewer than {}; {line}. {COUNTED}",
            crossings_words(crossings)
        ),
    }
}

fn present_sentence(answer: &ThreadAnswer, plan: &Plan) -> String {
    let Some(present) = &answer.present else {
        return "The scenario has no order of threading: it ties each line by itself.".to_owned();
    };
    let now = format!(
        "The scenario's own order ({}) has {} and {:.1} mm of ways",
        order_words(plan, present),
        crossings_words(present.crossings.len()),
        present.ways_mm
    );
    if answer.present_is_best() {
        return format!("{now}: no better one was found.");
    }
    let fewer = present
        .crossings
        .len()
        .saturating_sub(answer.best.crossings.len());
    let shorter_mm = present.ways_mm - answer.best.ways_mm;
    let saved = match (fewer, shorter_mm >= 0.05) {
        (0, _) => format!("{shorter_mm:.1} mm more than needed"),
        (_, true) => format!(
            "{} and {shorter_mm:.1} mm more than needed",
            crossings_words(fewer)
        ),
        _ => format!(
            "{} more than needed, for {:.1} mm less line",
            crossings_words(fewer),
            -shorter_mm
        ),
    };
    format!("{now}: {saved}.")
}

fn line_sentence(answer: &ThreadAnswer, plan: &Plan) -> String {
    let best = &answer.best;
    let lines = plan.design.vertices.len();
    format!(
        "Line to cut: at least {}: {} runs {:.0} mm, {} ways {:.0} mm, {:.0} mm for knot and anchor at each of the two ends. Plates are taken as thin: for each mm that both are thick add {} mm.",
        long_words(answer.line_mm(best)),
        count_words(lines as u64),
        answer.runs_mm,
        count_words(best.ways.len() as u64),
        best.ways_mm,
        answer.anchor_mm,
        count_words(2 * lines as u64),
    )
}

fn trade_sentence(answer: &ThreadAnswer) -> String {
    let without_mm = answer.line_mm(&answer.best) - 2.0 * answer.anchor_mm;
    let [low, high] = [4.0, 6.0].map(|inches| without_mm + 2.0 * inches * MM_PER_INCH);
    format!(
        "Common practice, no source: 4 to 6 in go to each anchor, so {} to {} here; and the line is cut generously, since what is too short cannot be mended: ten runs in a carton about a foot long take about 15 ft.",
        long_words(low),
        long_words(high)
    )
}

fn tension_sentence(answer: &ThreadAnswer, plan: &Plan) -> String {
    let pull = &answer.pull;
    let origin = if answer.friction_is_given {
        "as given"
    } else {
        "assumed: nylon on wood or metal has 0.15 to 0.3, from memory; --friction sets another"
    };
    let weakest = answer
        .tensions
        .iter()
        .min_by(|a, b| a.ends_only.total_cmp(&b.ends_only));
    let least = weakest.map_or_else(String::new, |run| {
        format!(
            ", run {} keeps {} % of the pull, the least",
            name(plan, run.line),
            figures(100.0 * run.ends_only)
        )
    });
    format!(
        "Pulled only at the {} end, with friction {} over the holes' walls ({origin}){least} (capstan relation, a model).",
        end_word(pull.pulled_at),
        pull.friction,
    )
}

/// How often to pull, and what the scenario says of it.
fn pulls_sentence(answer: &ThreadAnswer) -> Vec<String> {
    let pulled = answer.tensions.iter().filter(|run| run.is_pulled).count();
    let share = figures(100.0 * answer.pull.least_share);
    let mut all = vec![if pulled == 1 {
        format!("Even so no run falls under {share} % of the pull: pull at that end alone.")
    } else {
        format!(
            "Pulled again at {} of the {} runs, none falls under {share} % of the pull (a share that is chosen, no source; --keep sets another).",
            count_words(pulled as u64),
            count_words(answer.tensions.len() as u64)
        )
    }];
    match answer.tightening {
        Some(Tightening::EachRun) => all.push(
            "The scenario has each run pulled tight in turn, and is assessed so: then pull at every run, not only at these."
                .to_owned(),
        ),
        Some(Tightening::EndsOnly) if pulled > 1 => all.push(
            "The scenario has only the end pulled, and is assessed so: tightened = \"each run\" would be the other way."
                .to_owned(),
        ),
        _ => {}
    }
    all
}

fn end_word(pulled_at: PulledAt) -> &'static str {
    match pulled_at {
        PulledAt::First => "first",
        PulledAt::Last => "last",
    }
}

fn plate(index: usize) -> Plate {
    Plate::BOTH[index]
}

/// The plate where run `run` enters.
fn entry(order: &OrderFound, run: usize) -> Plate {
    plate(1 - order.led.plate_after(run))
}

/// The plate where run `run` leaves.
fn exit(order: &OrderFound, run: usize) -> Plate {
    plate(order.led.plate_after(run))
}

/// Step by step, from the first anchor to the last.
pub fn thread_steps(answer: &ThreadAnswer, plan: &Plan) -> Vec<String> {
    let best = &answer.best;
    let last = best.led.order.len() - 1;
    best.led
        .order
        .iter()
        .enumerate()
        .map(|(run, line)| {
            let [into, out] = [entry(best, run), exit(best, run)].map(Plate::word);
            let line = name(plan, *line);
            let way = run.checked_sub(1).map(|before| &best.ways[before]);
            let arrive = way.map_or_else(
                || format!("Anchor and knot the line's end outside the {into} plate at {into} hole {line}; from there"),
                |way| format!("Over the outside of the {into} plate to {into} hole {line} ({}), then", way_words(way, plan)),
            );
            let through = format!("{arrive} through {into} hole {line} to {out} hole {line}");
            if run == last {
                format!("{through}; knot and anchor the end there, outside the {out} plate.")
            } else {
                format!("{through}.")
            }
        })
        .collect()
}

/// A way's length and where it leads, as seen from outside its plate.
fn way_words(way: &OutsideWay, plan: &Plan) -> String {
    let [from, to] = way.lines.map(|line| plan.holes_mm[way.plate.index()][line]);
    // +x is to the left of whoever looks into the cabinet, and to the right of whoever looks in from behind
    let right_mm = match way.plate {
        Plate::Front => from.x - to.x,
        Plate::Rear => to.x - from.x,
    };
    let mut parts = Vec::new();
    for (length_mm, [more, less]) in [
        (right_mm, ["right", "left"]),
        (to.y - from.y, ["up", "down"]),
    ] {
        if length_mm.abs() >= 0.05 {
            let word = if length_mm > 0.0 { more } else { less };
            parts.push(format!("{:.1} {word}", length_mm.abs()));
        }
    }
    format!(
        "{:.1} mm: {}, seen from outside",
        way.length_mm,
        parts.join(", ")
    )
}

/// Where to pull, from the end that is made fast to the one that is pulled.
pub fn tighten_steps(answer: &ThreadAnswer, plan: &Plan) -> Vec<String> {
    let best = &answer.best;
    let runs = answer.tensions.len();
    let order: Vec<usize> = match answer.pull.pulled_at {
        PulledAt::Last => (0..runs).collect(),
        PulledAt::First => (0..runs).rev().collect(),
    };
    let fast = match answer.pull.pulled_at {
        PulledAt::Last => "first",
        PulledAt::First => "last",
    };
    let mut steps = vec![format!("Make the {fast} end fast.")];
    let pulled = order
        .iter()
        .copied()
        .filter(|run| answer.tensions[*run].is_pulled);
    for run in pulled {
        let line = answer.tensions[run].line;
        let at = match answer.pull.pulled_at {
            PulledAt::Last => exit(best, run),
            PulledAt::First => entry(best, run),
        };
        let newton = figures(plan.design.line.tension_n[line]);
        let is_end = order.last() == Some(&run);
        let then = if is_end {
            "and make that end fast"
        } else {
            "and hold it there with a peg until the next is tight"
        };
        steps.push(format!(
            "Pull with {newton} N at {} hole {}, where the line comes out, {then}.",
            at.word(),
            name(plan, line)
        ));
    }
    steps
}

/// Crossings by name.
pub(super) fn crossing_words(crossing: &WayCrossing, order: &OrderFound, plan: &Plan) -> String {
    let way = |nth: usize| {
        let [from, to] = order.ways[nth].lines.map(|line| name(plan, line));
        format!("way {} ({from} to {to})", nth + 1)
    };
    match crossing {
        WayCrossing::Ways { ways: [a, b], .. } => format!(
            "{} crosses {} over the {} plate",
            way(*b),
            way(*a),
            order.ways[*a].plate.word()
        ),
        WayCrossing::Hole { way: nth, line } => format!(
            "{} passes over {} hole {}",
            way(*nth),
            order.ways[*nth].plate.word(),
            name(plan, *line)
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn feet_and_inches_carry_over() {
        assert_eq!(feet_words(304.8), "1 ft 0.0 in");
        assert_eq!(feet_words(304.7), "1 ft 0.0 in");
        assert_eq!(feet_words(127.0), "5.0 in");
        assert_eq!(feet_words(4572.0), "15 ft 0.0 in");
        assert_eq!(long_words(1000.0), "1000 mm (3 ft 3.4 in)");
    }
}
