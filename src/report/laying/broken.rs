//! Broken rules in words: what there is, and what is needed.

use super::super::words::figures;
use crate::decision::laying::{Breach, Rule, Wall, own_breaches};
use crate::figure::{Allowed, Plan, Plate};

/// Breaches that are told in full.
const MOST_TOLD: usize = 12;

pub(super) fn rod_of(end: usize, plan: &Plan) -> String {
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
        Rule::Short(one) => format!("shortest rod of the stock: {}", rod(one)),
        Rule::Long(one) => format!("longest rod of the stock: {}", rod(one)),
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

/// In what a rule's numbers are told.
#[derive(Clone, Copy)]
enum Unit {
    Mm,
    Degrees,
    Percent,
    Times,
}

/// A rule's unit, of what its number is, and whether it is a least or a most.
fn measure(rule: Rule) -> (Unit, &'static str, &'static str) {
    const LEAST: &str = "at least";
    const MOST: &str = "at most";
    match rule {
        Rule::FrontRoom => (Unit::Mm, "from the station point to the front plate", LEAST),
        Rule::RearRoom => (Unit::Mm, "from the station point to the rear plate", MOST),
        Rule::Room => (Unit::Mm, "of depth for them", LEAST),
        Rule::AtWall(..) => (Unit::Mm, "from its middle", LEAST),
        Rule::Holes(..) => (Unit::Mm, "from middle to middle", LEAST),
        Rule::Rods(..) | Rule::LineAtRod(..) => (Unit::Mm, "from axis to axis", LEAST),
        Rule::Steep(_) => (Unit::Degrees, "off the axis", MOST),
        Rule::Small => (Unit::Degrees, "across", LEAST),
        Rule::Large => (Unit::Degrees, "across", MOST),
        Rule::Seen(_) => (Unit::Percent, "of the mean pupil sees it", LEAST),
        Rule::Sag(_) => (Unit::Percent, "of its span", MOST),
        Rule::Short(_) => (Unit::Mm, "long", LEAST),
        Rule::Long(_) => (Unit::Mm, "long", MOST),
        Rule::Window(_) => (Unit::Mm, "from the station point", LEAST),
        Rule::Rear(_) => (Unit::Mm, "from the station point", MOST),
        Rule::Spread => (Unit::Percent, "of the cabinet's depth", LEAST),
        Rule::FallsApart => (Unit::Mm, "of head movement", MOST),
        Rule::Clear => (Unit::Percent, "of all looks", LEAST),
        Rule::Yield => (
            Unit::Times,
            "its limit is the fault that the target share stays within",
            MOST,
        ),
    }
}

/// A broken rule with what there is and what is needed.
pub fn breach_words(breach: &Breach, plan: &Plan) -> String {
    let (unit, of, bound) = measure(breach.rule);
    // two values on either side of a bound must not read the same
    let digits = if (breach.has - breach.needs).abs() < 0.05 {
        1e3
    } else {
        10.0
    };
    let told = |value: f64| match unit {
        _ if !value.is_finite() => "no size".to_owned(),
        Unit::Mm => format!("{} mm", (value * digits).round() / digits),
        Unit::Degrees => format!("{}°", figures(value.to_degrees())),
        Unit::Percent => format!("{} %", figures(100.0 * value)),
        Unit::Times => format!("{} times", figures(value)),
    };
    format!(
        "{}: {} {of}, {bound} {} is {}",
        rule_words(breach.rule, plan),
        told(breach.has),
        told(breach.needs),
        if bound == "at least" {
            "needed"
        } else {
            "allowed"
        }
    )
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

/// What should be known of a scenario whose own layout breaks rules of its table [allowed]; `None` where it keeps them.
pub fn own_layout_words(plan: &Plan, allowed: &Allowed) -> Option<String> {
    let broken = own_breaches(plan, allowed);
    let gravest = broken_words(&broken, plan).into_iter().next()?;
    Some(format!(
        "the layout breaks {} rule{} of [allowed], above all: {gravest}; `sightdrift lay-out` looks for one that keeps them",
        broken.len(),
        if broken.len() == 1 { "" } else { "s" }
    ))
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
