//! Cost against yield of the sets of ways of working: all of them at the left, those near the choice at the right.

use super::axis::{Axis, bottom_axis, count, left_axis, number, percent, percent_range};
use super::labels::Labels;
use super::sheet::{
    Anchor, Area, BLACK, BLUE, GREEN, GREY, Ink, LABEL, NOTE, ORANGE, PALE, PURPLE, Pattern,
    STRONG, Sheet, Spot, Type, VERMILLION, text_area,
};
use super::{Draft, MARGIN, WIDTH, titled};
use crate::decision::{TriedSet, WaySets};
use crate::report::way_words::target_words;
use std::collections::BTreeSet;

pub(super) const NAME: &str = "cost-front";
const TITLE: &str = "Cost against yield of the ways of working";
/// Top and bottom of the panels, px.
const TALL: [f64; 2] = [122.0, 470.0];
/// Left and right of the panel of all sets and of that of the choice, px.
const WIDE: [[f64; 2]; 2] = [[76.0, 420.0], [524.0, 1010.0]];
/// Side of the cells in which one dot stands for all sets, px.
const CELL: f64 = 5.0;

/// One set that is shown by name.
struct Shown<'s> {
    name: String,
    tried: &'s TriedSet,
    marker: Marker,
}

#[derive(Clone, Copy, PartialEq)]
enum Marker {
    Chosen,
    RunnerUp,
    EstimateOnly,
    Now,
}

impl Marker {
    fn ink(self) -> Ink {
        match self {
            Self::Chosen => GREEN,
            Self::RunnerUp => ORANGE,
            Self::EstimateOnly => GREY,
            Self::Now => PURPLE,
        }
    }

    fn draw(self, sheet: &mut Sheet, at: Spot) {
        let [x, y] = at;
        let ink = self.ink();
        match self {
            Self::Chosen => sheet.rect(&Area::new(x - 6.0, y - 6.0, x + 6.0, y + 6.0), ink),
            Self::RunnerUp => sheet.ring(at, 6.0, ink),
            Self::EstimateOnly => {
                for rise in [-5.0, 5.0] {
                    sheet.line([x - 5.0, y - rise], [x + 5.0, y + rise], ink, 2.0);
                }
            }
            Self::Now => {
                sheet.fill(&[[x - 7.0, y + 5.0], [x + 7.0, y + 5.0], [x, y - 7.0]], ink);
            }
        }
    }
}

/// One panel: its axes and its frame.
struct Panel {
    across: Axis,
    up: Axis,
    area: Area,
}

impl Panel {
    fn new([left, right]: [f64; 2], costs: [f64; 2], shares: [f64; 2]) -> Self {
        let [top, bottom] = TALL;
        Self {
            across: Axis::even(costs, [left, right]),
            up: Axis::even(shares, [bottom, top]),
            area: Area::new(left, top, right, bottom),
        }
    }

    fn at(&self, cost: f64, share: f64) -> Spot {
        [self.across.at(cost), self.up.at(share)]
    }

    fn holds(&self, [x, y]: Spot) -> bool {
        let area = &self.area;
        (area.left..=area.right).contains(&x) && (area.top..=area.bottom).contains(&y)
    }
}

/// Draws cost against yield.
pub(super) fn way_front(sets: &WaySets) -> Draft {
    let shown = shown_sets(sets);
    let unit = &sets.ways.unit.name;
    let mut sheet = titled(TITLE, TALL[1] + 78.0);
    let all = Panel::new(WIDE[0], all_costs(sets), [0.0, 1.0]);
    let [costs, shares] = near_the_choice(sets, &shown);
    let near = Panel::new(WIDE[1], costs, shares);
    let heads = [
        format!("all {} sets", count(sets.screened.len() as u64)),
        "near the choice, with intervals".to_owned(),
    ];
    for ((panel, head), title) in [&all, &near]
        .into_iter()
        .zip(heads)
        .zip(["yield, %", "yield, %; the axis does not start at 0"])
    {
        let at = [panel.area.left - 50.0, TALL[0] - 44.0];
        sheet.text(at, &head, STRONG, Anchor::Start);
        axes(&mut sheet, panel, unit, title);
        dots(&mut sheet, panel, sets);
        target(&mut sheet, panel, sets);
        front(&mut sheet, panel, sets);
    }
    for one in &shown {
        if let Some(share) = one.tried.build_yield.share() {
            one.marker.draw(&mut sheet, all.at(one.tried.cost, share));
        }
    }
    named(&mut sheet, &near, sets, &shown);
    key(&mut sheet, sets);
    let caption = caption(sets);
    let promise = format!(
        "Yields are those of the search; the fresh run of the chosen set gives {}.",
        short(&sets.proof.build_yield)
    );
    sheet.text_in(
        [MARGIN, 52.0],
        &promise,
        LABEL,
        Anchor::Start,
        WIDTH - 2.0 * MARGIN,
    );
    Draft {
        name: NAME,
        title: TITLE.to_owned(),
        caption,
        sheet,
    }
}

fn shown_sets(sets: &WaySets) -> Vec<Shown<'_>> {
    let one = |name: &str, tried, marker| Shown {
        name: name.to_owned(),
        tried,
        marker,
    };
    let chosen = if sets.meets { "chosen" } else { "best" };
    let mut shown = vec![one(chosen, &sets.chosen, Marker::Chosen)];
    if sets.now.set != sets.chosen.set {
        shown.push(one("now", &sets.now, Marker::Now));
    }
    for (nth, tried) in sets.runner_ups.iter().enumerate() {
        let name = (nth + 1).to_string();
        shown.push(one(&name, tried, Marker::RunnerUp));
    }
    if let Some(tried) = &sets.by_estimate {
        shown.push(one("estimate only", tried, Marker::EstimateOnly));
    }
    shown
}

fn widened([low, high]: [f64; 2], share: f64, least: f64) -> [f64; 2] {
    let room = (share * (high - low)).max(least);
    [low - room, high + room]
}

fn range(values: impl Iterator<Item = f64>) -> [f64; 2] {
    values.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], value| {
        [low.min(value), high.max(value)]
    })
}

fn all_costs(sets: &WaySets) -> [f64; 2] {
    let costs = sets.screened.iter().map(|one| one.cost);
    let [low, high] = range(costs.chain([sets.now.cost]));
    let least = if high > low { 0.0 } else { 0.5 + 0.1 * high };
    let [low, high] = widened([low, high], 0.04, least);
    [low.max(0.0), high]
}

/// Costs and yields of the panel at the right.
fn near_the_choice(sets: &WaySets, shown: &[Shown<'_>]) -> [[f64; 2]; 2] {
    /// How far below the target what the scenario has now may lie to be shown here.
    const NEAR: f64 = 0.15;
    /// How far below the target may lie to be shown here, in heights of what is shown.
    const FAR_BELOW: f64 = 1.5;
    let near = |tried: &TriedSet| {
        let share = tried.build_yield.share().unwrap_or(0.0);
        share >= sets.chosen.build_yield.share().unwrap_or(0.0) - NEAR
    };
    let kept = || {
        shown
            .iter()
            .filter(|one| near(one.tried))
            .map(|one| one.tried)
    };
    let [low, high] = range(kept().map(|tried| tried.cost));
    let costs = widened([low, high], 0.12, 0.05 * high.max(1.0));
    let intervals = kept().filter_map(|tried| tried.build_yield.interval());
    let [low, high] = range(intervals.flatten());
    // a target far below would press all that is to be told apart against the top
    let met = sets.meets && low - sets.target <= FAR_BELOW * (high - low);
    let low = if met { low.min(sets.target) } else { low };
    let [low, high] = widened([low, high], 0.1, 0.004);
    [
        [costs[0].max(0.0), costs[1]],
        [low.max(0.0), high.min(1.002)],
    ]
}

fn axes(sheet: &mut Sheet, panel: &Panel, unit: &str, title: &str) {
    let area = &panel.area;
    bottom_axis(
        sheet,
        &panel.across,
        [area.top, area.bottom],
        5,
        &format!("cost of the set, {unit}"),
        number,
    );
    left_axis(
        sheet,
        &panel.up,
        [area.left, area.right],
        6,
        title,
        |tick, step| {
            if tick > 1.0 {
                String::new()
            } else {
                number(100.0 * tick, 100.0 * step)
            }
        },
    );
}

/// All sets by their first trial, one dot for all in one cell.
fn dots(sheet: &mut Sheet, panel: &Panel, sets: &WaySets) {
    let mut cells = BTreeSet::new();
    for one in &sets.screened {
        let share = one.passed as f64 / sets.screen_builds as f64;
        let [x, y] = panel.at(one.cost, share);
        if panel.holds([x, y]) {
            cells.insert(((x / CELL) as u32, (y / CELL) as u32));
        }
    }
    for (x, y) in cells {
        let at = [(f64::from(x) + 0.5) * CELL, (f64::from(y) + 0.5) * CELL];
        let area = &panel.area;
        let within = [
            at[0].clamp(area.left, area.right),
            at[1].clamp(area.top, area.bottom),
        ];
        sheet.disc(within, 1.7, PALE);
    }
}

fn target(sheet: &mut Sheet, panel: &Panel, sets: &WaySets) {
    let y = panel.up.at(sets.target);
    let area = &panel.area;
    if (area.top..=area.bottom).contains(&y) {
        let ends = [[area.left, y], [area.right, y]];
        sheet.stroke(&ends, VERMILLION, 1.8, Pattern::Dashed);
    }
}

/// Points of the front, and the stepped line through them: the best yield that a budget buys.
fn front_line(panel: &Panel, sets: &WaySets) -> [Vec<Spot>; 2] {
    let points: Vec<Spot> = sets
        .front
        .iter()
        .filter_map(|step| {
            let share = step.tried.build_yield.share()?;
            Some(panel.at(step.tried.cost, share))
        })
        .collect();
    let mut line: Vec<Spot> = Vec::new();
    for point in &points {
        if let Some(before) = line.last().copied() {
            line.push([point[0], before[1]]);
        }
        line.push(*point);
    }
    if let Some(last) = line.last().copied() {
        line.push([panel.area.right, last[1]]);
    }
    [points, line]
}

fn front(sheet: &mut Sheet, panel: &Panel, sets: &WaySets) {
    let [points, line] = front_line(panel, sets);
    sheet.stroke_within(&panel.area, &line, BLUE, 1.8, Pattern::Solid);
    for point in points.into_iter().filter(|point| panel.holds(*point)) {
        sheet.disc(point, 3.2, BLUE);
    }
}

/// The sets with a name, with their intervals.
fn named(sheet: &mut Sheet, panel: &Panel, sets: &WaySets, shown: &[Shown<'_>]) {
    let mut labels = Labels::new(panel.area);
    let [points, line] = front_line(panel, sets);
    for ends in line.windows(2) {
        labels.rather_keep_off(ends[0], ends[1]);
    }
    for [x, y] in points {
        labels.keep_clear(Area::new(x - 5.0, y - 5.0, x + 5.0, y + 5.0));
    }
    let y = panel.up.at(sets.target);
    labels.keep_off([panel.area.left, y], [panel.area.right, y]);
    let mut places = Vec::new();
    for one in shown {
        let (Some(share), Some(interval)) = (
            one.tried.build_yield.share(),
            one.tried.build_yield.interval(),
        ) else {
            continue;
        };
        let at = panel.at(one.tried.cost, share);
        if !panel.holds(at) {
            continue;
        }
        let ends = interval.map(|share| [at[0], panel.up.at_most(share)]);
        sheet.line(ends[0], ends[1], BLACK, 1.2);
        for [x, y] in ends {
            sheet.line([x - 4.0, y], [x + 4.0, y], BLACK, 1.2);
        }
        labels.keep_off(ends[0], ends[1]);
        labels.keep_clear(Area::new(
            at[0] - 8.0,
            at[1] - 8.0,
            at[0] + 8.0,
            at[1] + 8.0,
        ));
        places.push((one, at));
    }
    let (numbered, others): (Vec<_>, Vec<_>) = places
        .into_iter()
        .partition(|(one, _)| one.marker == Marker::RunnerUp);
    for (one, at) in others.iter().rev() {
        one.marker.draw(sheet, *at);
    }
    let mut rings = Vec::new();
    let mut taken: Vec<Spot> = others.iter().map(|(_, at)| *at).collect();
    for (one, at) in numbered {
        let place = free_place(panel, &taken, at);
        taken.push(place);
        labels.keep_clear(Area::new(
            place[0] - 10.0,
            place[1] - 10.0,
            place[0] + 10.0,
            place[1] + 10.0,
        ));
        if place != at {
            sheet.disc(at, 3.0, ORANGE);
            sheet.line(at, place, ORANGE, 1.2);
        }
        rings.push((one, place, place == at));
    }
    // rings lie on the lines that lead to other rings
    for (one, place, at_its_set) in rings {
        let style = Type { ink: BLACK, ..NOTE };
        if at_its_set {
            sheet.ring(place, 8.0, ORANGE);
            sheet.text(place, &one.name, style, Anchor::Middle);
        } else {
            // a ring that stands elsewhere would be read as a yield
            sheet.text_on_white(place, &one.name, style, Anchor::Middle);
        }
    }
    for (one, at) in others {
        let style = if one.marker == Marker::Chosen {
            STRONG
        } else {
            LABEL
        };
        if !labels.place(sheet, at, &one.name, style) {
            // no room near it: at the panel's top, with a line to it
            let above = [at[0], panel.area.top + 10.0];
            sheet.stroke(&[at, above], GREY, 1.0, Pattern::Dotted);
            sheet.text_on_white(above, &one.name, style, Anchor::Middle);
        }
    }
}

/// Where a ring with a number stands clear of the marks so far: at its set, or over or under it.
fn free_place(panel: &Panel, taken: &[Spot], at: Spot) -> Spot {
    /// Distance at which two marks are told apart, px.
    const APART: f64 = 17.0;
    let is_free = |place: &Spot| {
        panel.holds(*place)
            && taken
                .iter()
                .all(|[x, y]| libm::hypot(place[0] - x, place[1] - y) >= APART)
    };
    let steps = [0.0, -44.0, 44.0, -64.0, 64.0, -84.0, 84.0, -104.0, 104.0];
    let mut places = steps.into_iter().map(|down| [at[0], at[1] + down]);
    places.find(is_free).unwrap_or(at)
}

/// What the marks are, below the panels.
fn key(sheet: &mut Sheet, sets: &WaySets) {
    let y = TALL[1] + 60.0;
    let note = Type { ink: BLACK, ..NOTE };
    let mut x = MARGIN;
    let words = |sheet: &mut Sheet, x: &mut f64, text: &str| {
        let at = [*x + 24.0, y];
        sheet.text(at, text, note, Anchor::Start);
        *x = text_area(at, text, note, Anchor::Start).right + 18.0;
    };
    sheet.disc([x + 10.0, y], 1.7, GREY);
    words(
        sheet,
        &mut x,
        &format!("first {} builds", count(sets.screen_builds)),
    );
    sheet.line([x, y], [x + 20.0, y], BLUE, 1.8);
    sheet.disc([x + 10.0, y], 3.2, BLUE);
    words(sheet, &mut x, "best for its cost");
    let ends = [[x, y], [x + 20.0, y]];
    sheet.stroke(&ends, VERMILLION, 1.8, Pattern::Dashed);
    words(
        sheet,
        &mut x,
        &format!("target {}\u{A0}%", target_words(sets.target)),
    );
    let chosen = if sets.meets { "chosen" } else { "best" };
    for (marker, text) in [
        (Marker::Chosen, chosen),
        (Marker::RunnerUp, "runner-ups by number"),
        (Marker::Now, "as it is now"),
        (Marker::EstimateOnly, "meets it by its estimate only"),
    ] {
        marker.draw(sheet, [x + 10.0, y]);
        words(sheet, &mut x, text);
    }
}

fn short(found: &crate::statistics::Proportion) -> String {
    match (found.share(), found.interval()) {
        (Some(share), Some(interval)) => {
            format!("{} ({})", percent(share), percent_range(interval))
        }
        _ => "no yield".to_owned(),
    }
}

fn caption(sets: &WaySets) -> String {
    let level = number(100.0 * sets.run.level, 1.0);
    let unit = &sets.ways.unit.name;
    format!(
        "Left: every set of ways by its cost and by the yield of its first {} builds (dots, one for all sets in one place), and the best yield \
         that each cost buys by full runs of {} builds (line). Right: the sets near the choice, bars are {level}\u{A0}% intervals. The {} set costs \
         {} {unit}; yield {} in the search, {} in the fresh run; target {}\u{A0}%. The intervals cover the chance of sampling only.",
        count(sets.screen_builds),
        count(sets.chosen.build_yield.of),
        if sets.meets { "chosen" } else { "best" },
        number(sets.chosen.cost, 0.1),
        short(&sets.chosen.build_yield),
        short(&sets.proof.build_yield),
        target_words(sets.target),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_range_is_widened_at_both_ends() {
        assert_eq!(widened([1.0, 3.0], 0.1, 0.0), [0.8, 3.2]);
        assert_eq!(widened([1.0, 1.0], 0.1, 0.5), [0.5, 1.5]);
    }
}
