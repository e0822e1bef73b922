//! What was laid out, within what, and what holds it back, in words.

use super::super::eye_heights::eye_height_sentence;
use super::super::words::{count_words, difference_words, figures, proportion_words};
use crate::decision::laying::{Aim, Breach, Choice, Judged, LaidOut, Rule, SIZE_WORTH, Side, Wall};
use crate::figure::{Plan, Plate};
use std::collections::BTreeMap;

/// Breaches that are told in full.
const MOST_TOLD: usize = 12;

fn rod_of(end: usize, plan: &Plan) -> String {
    let rod = &plan.design.rods[end / 2];
    let line = &plan.design.vertices[rod.ends[end % 2].line].name;
    format!("rod {} at line {line}", rod.name)
}

fn line_of(line: usize, plan: &Plan) -> &str {
    &plan.design.vertices[line].name
}

fn wall_words(wall: Wall) -> &'static str {
    match wall {
        Wall::Left => "the wall at the visitor's left",
        Wall::Right => "the wall at the visitor's right",
        Wall::Floor => "the floor",
        Wall::Ceiling => "the ceiling",
    }
}

fn plate_words(plate: Plate) -> &'static str {
    match plate {
        Plate::Front => "front plate",
        Plate::Rear => "rear plate",
    }
}

/// A rule by its name, for a table.
pub(super) fn rule_words(rule: Rule, plan: &Plan) -> String {
    let rod = |rod: usize| &plan.design.rods[rod].name;
    match rule {
        Rule::FrontRoom => "room behind the peephole's plate".to_owned(),
        Rule::RearRoom => "room before the rear wall".to_owned(),
        Rule::Room => "room for rods between the plates".to_owned(),
        Rule::AtWall(line, wall) => format!("hole {} at {}", line_of(line, plan), wall_words(wall)),
        Rule::Steep(line) => format!("slope of line {}", line_of(line, plan)),
        Rule::Holes(plate, a, b) => format!(
            "holes {} and {} of the {}",
            line_of(a, plan),
            line_of(b, plan),
            plate_words(plate)
        ),
        Rule::Small => "smallest figure".to_owned(),
        Rule::Large => "largest figure".to_owned(),
        Rule::Seen(line) => format!("line {} through the peephole", line_of(line, plan)),
        Rule::Sag(line) => format!("sag of line {}", line_of(line, plan)),
        Rule::Short(one) => format!("shortest rod: {}", rod(one)),
        Rule::Long(one) => format!("longest rod: {}", rod(one)),
        Rule::Window(end) => format!("window clearance: {}", rod_of(end, plan)),
        Rule::Rear(end) => format!("rear clearance: {}", rod_of(end, plan)),
        Rule::Rods(a, b) => format!("rods {} and {} would touch", rod(a), rod(b)),
        Rule::LineAtRod(line, one) => {
            format!("line {} would touch rod {}", line_of(line, plan), rod(one))
        }
        Rule::Spread => "spread of depths".to_owned(),
        Rule::FallsApart => "falling apart from elsewhere".to_owned(),
        Rule::Clear => "looks that show the whole figure".to_owned(),
        Rule::Yield => "builds that pass".to_owned(),
    }
}

/// A broken rule with what there is and what is needed.
pub fn breach_words(breach: &Breach, plan: &Plan) -> String {
    let name = rule_words(breach.rule, plan);
    let (has, needs) = (breach.has, breach.needs);
    // two values on either side of a bound must not read the same
    let digits = if (has - needs).abs() < 0.05 {
        1e3
    } else {
        10.0
    };
    let mm = |value: f64| format!("{} mm", (value * digits).round() / digits);
    let percent = |value: f64| format!("{} %", figures(100.0 * value));
    let degrees = |value: f64| format!("{}°", figures(value.to_degrees()));
    match breach.rule {
        Rule::FrontRoom => format!(
            "{name}: the front plate stands at {}, at least {} is needed",
            mm(has),
            mm(needs)
        ),
        Rule::RearRoom => format!(
            "{name}: the rear plate stands at {}, at most {} is allowed",
            mm(has),
            mm(needs)
        ),
        Rule::Room => format!(
            "{name}: there is {}, at least {} is needed",
            mm(has),
            mm(needs)
        ),
        Rule::AtWall(..) => format!(
            "{name}: its middle is {} from it, at least {} is needed",
            mm(has),
            mm(needs)
        ),
        Rule::Holes(..) => format!(
            "{name}: {} from middle to middle, at least {} is needed",
            mm(has),
            mm(needs)
        ),
        Rule::Rods(..) | Rule::LineAtRod(..) => format!(
            "{name}: {} from axis to axis, at least {} is needed",
            mm(has),
            mm(needs)
        ),
        Rule::Steep(_) => format!(
            "{name}: {} off the axis, at most {} is allowed",
            degrees(has),
            degrees(needs)
        ),
        Rule::Small => format!(
            "{name}: {} across, at least {} is needed",
            degrees(has),
            degrees(needs)
        ),
        Rule::Large => format!(
            "{name}: {} across, at most {} is allowed",
            degrees(has),
            degrees(needs)
        ),
        Rule::Seen(_) => format!(
            "{name}: {} of the mean pupil sees it, at least {} is needed",
            percent(has),
            percent(needs)
        ),
        Rule::Sag(_) => format!(
            "{name}: {} of its span, at most {} is computed",
            percent(has),
            percent(needs)
        ),
        Rule::Short(_) => format!(
            "{name} is {} long, the stock begins at {}",
            mm(has),
            mm(needs)
        ),
        Rule::Long(_) => format!(
            "{name} is {} long, the stock ends at {}",
            mm(has),
            mm(needs)
        ),
        Rule::Window(_) => format!(
            "{name} hangs at {}, at least {} is needed",
            mm(has),
            mm(needs)
        ),
        Rule::Rear(_) => format!(
            "{name} hangs at {}, at most {} is allowed",
            mm(has),
            mm(needs)
        ),
        Rule::Spread => format!(
            "{name}: {} of the cabinet's depth, at least {} is asked for",
            percent(has),
            percent(needs)
        ),
        Rule::FallsApart => format!(
            "{name}: at a head movement of {}, at most {} is asked for",
            if has.is_finite() {
                mm(has)
            } else {
                "no size".to_owned()
            },
            mm(needs)
        ),
        Rule::Clear => format!(
            "{name}: {}, at least {} is needed",
            percent(has),
            percent(needs)
        ),
        Rule::Yield => format!(
            "{name}: the fault that the target share stays within is {} of its limit",
            figures(has)
        ),
    }
}

/// Broken rules, the gravest first.
pub(super) fn broken_words(broken: &[Breach], plan: &Plan) -> Vec<String> {
    let mut ordered: Vec<&Breach> = broken.iter().collect();
    ordered.sort_by(|a, b| b.by.total_cmp(&a.by));
    let more = ordered.len().saturating_sub(MOST_TOLD);
    let told = ordered.into_iter().take(MOST_TOLD);
    let mut words: Vec<String> = told.map(|breach| breach_words(breach, plan)).collect();
    if more > 0 {
        words.push(format!("and {more} more"));
    }
    words
}

/// Why there is no layout: what the nearest one breaks, what else it breaks with the figure as large as it must be, and what can
/// be done.
pub fn none_keeps_words(nearest: &Plan, broken: &[Breach], at_smallest: &[Breach]) -> String {
    let mut words = String::from(
        "no layout was found that keeps all rules of [allowed]; the one that came nearest breaks",
    );
    for breach in broken_words(broken, nearest) {
        words.push_str("\n  ");
        words.push_str(&breach);
    }
    if !at_smallest.is_empty() {
        words.push_str("\nand with the figure as large as it must be");
        for breach in broken_words(at_smallest, nearest) {
            words.push_str("\n  ");
            words.push_str(&breach);
        }
    }
    let drawn_through = broken.iter().find_map(|breach| match breach.rule {
        Rule::LineAtRod(line, rod) => Some((line, rod)),
        _ => None,
    });
    let hint = match drawn_through {
        Some((line, rod)) => format!(
            "vertex {} lies on, or close by, rod {} as it is drawn, and there its line runs through the rod at any depth: let the rod end at the vertex, move the vertex, or allow a larger figure",
            line_of(line, nearest),
            nearest.design.rods[rod].name
        ),
        None => "give the cabinet, the stock or the rules of [allowed] more room; the search proves no layout to be impossible".to_owned(),
    };
    format!("{words}\n  hint: {hint}")
}

/// A choice by its name.
pub(super) fn choice_words(choice: Choice, plan: &Plan) -> String {
    match choice {
        Choice::Front => "front plate".to_owned(),
        Choice::Rear => "rear plate".to_owned(),
        Choice::PicturePlane => "picture plane".to_owned(),
        Choice::End(end) => rod_of(end, plan),
    }
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

/// What to do where the target is not met.
fn missed_sentence(found: &LaidOut) -> String {
    let by_scatter = found.sides.iter().flat_map(|(_, sides)| sides).any(|side| {
        let rules = side.stops.iter().map(|stop| stop.rule);
        side.free_mm == 0.0
            && rules
                .into_iter()
                .any(|rule| matches!(rule, Rule::Spread | Rule::FallsApart))
    });
    let ease = if by_scatter {
        " What is asked of its scatter is in the way: a smaller least_spread, or a larger apart_within, in [allowed] lets more builds pass."
    } else {
        ""
    };
    format!(
        "No layout that was tried meets the target.{ease} What more careful work would bring, `tolerances` says; what another peephole, `peephole`."
    )
}

/// A length that is a whole number of steps, without what computing left over.
fn plain(mm: f64) -> String {
    ((mm * 1e4).round() / 1e4).to_string()
}

/// The figure's extent, degrees.
pub(super) fn extent_deg(judged: &Judged) -> f64 {
    judged.plan.figure_rad.to_degrees()
}

fn hang_words(judged: &Judged) -> String {
    let depths = &judged.laid.depths_mm;
    let low = depths.iter().copied().fold(f64::INFINITY, f64::min);
    let high = depths.iter().copied().fold(0.0, f64::max);
    format!("{} to {} mm", plain(low), plain(high))
}

fn apart_words(judged: &Judged) -> String {
    judged.scatter.falls_apart_mm.map_or_else(
        || "it does not fall apart".to_owned(),
        |mm| format!("it falls apart at a head movement of {} mm", figures(mm)),
    )
}

/// The answer in sentences, the one to act on first.
pub fn laying_sentences(found: &LaidOut) -> Vec<String> {
    let chosen = &found.chosen;
    let [front_mm, rear_mm] = chosen.laid.plates_mm;
    let mut sentences = vec![format!(
        "Front plate at {front_mm} mm and rear plate at {rear_mm} mm from the station point, the figure {}° across (picture plane at {} mm), rods at {}.",
        figures(extent_deg(chosen)),
        chosen.laid.picture_plane_mm,
        hang_words(chosen)
    )];
    let target = figures(100.0 * chosen.plan.design.judging.target_yield);
    let meets = if found.meets() {
        "which meets"
    } else {
        "which does not meet"
    };
    sentences.push(format!(
        "With fresh numbers {} pass, {meets} the target of {target} %.",
        proportion_words(&chosen.build_yield, "builds")
    ));
    sentences.push(if found.as_is.broken.is_empty() {
        match &found.gain {
            Some(gain) => format!(
                "Against the scenario's own layout, of which {} pass: {}.",
                proportion_words(&found.as_is.build_yield, "of the same builds"),
                difference_words(gain)
            ),
            None => String::new(),
        }
    } else {
        format!(
            "The scenario's own layout breaks {} of the rules, above all: {}.",
            found.as_is.broken.len(),
            broken_words(&found.as_is.broken, &found.as_is.plan)
                .into_iter()
                .next()
                .unwrap_or_default()
        )
    });
    sentences.push(format!(
        "Its depths spread by {} mm (standard deviation), and {}.",
        figures(chosen.scatter.depth_spread_mm),
        apart_words(chosen)
    ));
    if !found.meets() {
        sentences.push(missed_sentence(found));
    }
    sentences.extend(eye_height_sentence(&found.allowed));
    sentences.retain(|sentence| !sentence.is_empty());
    sentences
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

/// A change under this is not told from none.
const SHOWS: f64 = 0.002;

/// What the search did, and what it does not prove.
pub(super) fn searched_sentence(found: &LaidOut) -> String {
    let aimed = match found.aim {
        Aim::Robustness => {
            "robustness: the fault that the target share of builds stays within, over its limit, is smallest"
        }
        Aim::Scatter => {
            "scatter: spread of depths and the head movement at which it falls apart, at the target yield"
        }
    };
    format!(
        "Chosen for {aimed}. A figure that is a tenth larger may be {} % worse in it. {} layouts were tried at the same builds and looks; plates and depths are in whole millimetres. The search finds good layouts and proves none to be the best; the same scenario, seed and version give the same one.",
        figures(100.0 * (libm::pow(1.1, SIZE_WORTH) - 1.0)),
        count_words(found.tried)
    )
}

/// Every bound: what it is about, its value, and where it comes from.
pub(super) fn bound_rows(found: &LaidOut) -> Vec<[String; 3]> {
    let allowed = &found.allowed;
    let mm = |value: f64| format!("{} mm", figures(value));
    let [width, height, depth] = allowed.inside_mm;
    let from = |key: &'static str, reason: &str| {
        if allowed.said.contains(key) {
            format!("the scenario ({key})")
        } else {
            reason.to_owned()
        }
    };
    let degrees = |rad: f64| format!("{}°", figures(rad.to_degrees()));
    let stock = |key: &'static str, value: f64| {
        let said = allowed.said.contains(key);
        let value = if said { mm(value) } else { "any".to_owned() };
        [value, from(key, "not said in [rods]")]
    };
    let row = |what: &str, value: String, origin: String| [what.to_owned(), value, origin];
    let mut rows = vec![
        row(
            "cabinet inside: width, height, depth",
            format!("{} × {} × {}", figures(width), figures(height), mm(depth)),
            "the scenario".to_owned(),
        ),
        row(
            "axis from the left wall, above the floor",
            format!(
                "{}, {}",
                figures(allowed.axis_mm[0]),
                mm(allowed.axis_mm[1])
            ),
            from("eye_from_left", "eye_height; in the middle across"),
        ),
        row(
            "eye above the ground; cabinet's floor above it",
            format!(
                "{}, {}",
                figures(allowed.eye_height_mm),
                mm(allowed.floor_mm())
            ),
            "the scenario".to_owned(),
        ),
        row(
            "peephole's plate to front plate, at least",
            mm(allowed.front_room_mm),
            from("front_room", "chosen: a hand with a needle"),
        ),
        row(
            "rear plate to rear wall, at least",
            mm(allowed.rear_room_mm),
            from("rear_room", "chosen: a hand with a needle"),
        ),
        row(
            "rods behind the front plate, at least",
            allowed
                .window_mm
                .map_or_else(|| "half of the way to the rear plate".to_owned(), mm),
            from(
                "window_clearance",
                "rods stay in the half away from the window: common practice, no source",
            ),
        ),
        row(
            "rods before the rear plate, at least",
            mm(allowed.rear_clear_mm),
            from("rear_clearance", "chosen"),
        ),
        row(
            "space between rods, and rods and other lines",
            mm(allowed.rod_gap_mm),
            from("rod_gap", "chosen"),
        ),
        row(
            "holes from middle to middle, front, rear",
            format!(
                "{}, {}",
                figures(allowed.holes_apart_mm[0]),
                mm(allowed.holes_apart_mm[1])
            ),
            from(
                "holes_apart",
                "three hole diameters: common practice, no source",
            ),
        ),
        row(
            "hole's rim from a wall, at least",
            mm(allowed.hole_to_wall_mm),
            from("hole_to_wall", "chosen"),
        ),
    ];
    let [shortest, longest] = allowed.length_mm;
    for (what, key, value) in [
        ("shortest rod", "shortest", shortest),
        ("longest rod", "longest", longest),
        (
            "nearest depth of a rod's end",
            "nearest",
            allowed.depth_mm[0],
        ),
        (
            "farthest depth of a rod's end",
            "farthest",
            allowed.depth_mm[1],
        ),
    ] {
        let [value, origin] = stock(key, value);
        rows.push(row(what, value, origin));
    }
    rows.push(row(
        "smallest figure, across",
        degrees(allowed.figure_rad[0]),
        from("smallest_figure", "chosen: half of what is drawn"),
    ));
    rows.push(row(
        "largest figure, across",
        degrees(allowed.figure_rad[1]),
        from("largest_figure", "chosen: twice what is drawn"),
    ));
    rows.push(row(
        "spread of depths over the cabinet's depth, at least",
        format!("{} %", figures(100.0 * allowed.least_spread)),
        from(
            "least_spread",
            "chosen; ends that fill a third of the cabinet evenly have twice as much",
        ),
    ));
    rows.push(row(
        "falls apart at a head movement of at most",
        mm(found.apart_within_mm),
        from(
            "apart_within",
            "chosen: twice the peephole's diameter, or what the scenario's own layout has where that is more",
        ),
    ));
    rows.push(row(
        "looks that show the whole figure, at least",
        format!("{} %", figures(100.0 * found.clear_share)),
        "judging.clear_share, or what the scenario's own layout has where that is less".to_owned(),
    ));
    let steep = crate::mechanics::STEEPEST_LINE_DEG;
    rows.push(row(
        "slope of a line, sag, view of the mean eye",
        format!(
            "{steep}°, {} % of the span, {} % of the pupil",
            figures(100.0 * crate::mechanics::LARGEST_SAG_SHARE),
            figures(100.0 * found.chosen.plan.design.peephole.clip_below)
        ),
        "what the model holds for, and peephole.clip_below".to_owned(),
    ));
    rows
}

/// A choice's value, and for the picture plane the figure's extent.
pub(super) fn choice_value(choice: Choice, judged: &Judged) -> String {
    let value = format!("{} mm", plain(judged.laid.value_mm(choice)));
    match choice {
        Choice::PicturePlane => format!("{value} ({}°)", figures(extent_deg(judged))),
        _ => value,
    }
}
