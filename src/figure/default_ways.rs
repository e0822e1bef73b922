//! The ways of working that the program ships, two to four at each step, and what they cost in minutes of one person's work.
//!
//! How closely each works is that of a grade of work ([`Grade`]), with the grade's reasons. All minutes are chosen, without a
//! source: they only rank the ways until a scenario gives its own.

use super::design::{Design, Plate};
use super::grade::Grade;
use super::law::Law;
use super::plan::Plan;
use super::source::Source;
use super::step::Step;
use super::ways::{Way, WayLaw, WayOrigin};
use super::written::{pulled_aims, rounded_law, written_law};
use crate::geometry::Pair;
use crate::mechanics::{LARGEST_SAG_SHARE, Tightening};
use crate::sampling::Distribution;
use crate::units::{Kind, read_quantity};

/// How many items the cost per item of a step's ways applies to.
pub fn items(step: Step, design: &Design) -> u64 {
    let count = match step {
        Step::PatternPlacement | Step::PrintScale | Step::PlateSeat => 2,
        Step::HoleScatter | Step::HoleSlack => 2 * design.vertices.len(),
        Step::Tension => design.vertices.len(),
        Step::RodTie | Step::RodSlip => 2 * design.rods.len(),
        Step::RodBow => design.rods.len(),
        Step::PeepholePlacement | Step::EyePosition | Step::Visitor => 1,
    };
    count as u64
}

/// What those items are.
pub fn item_words(step: Step) -> &'static str {
    match step {
        Step::PatternPlacement | Step::PrintScale => "patterns",
        Step::PlateSeat => "plates",
        Step::HoleScatter | Step::HoleSlack => "holes",
        Step::Tension => "lines",
        Step::RodTie | Step::RodSlip => "rod ends",
        Step::RodBow => "rods",
        Step::PeepholePlacement => "peephole",
        Step::EyePosition | Step::Visitor => "visitor",
    }
}

/// Share of the slackening that is left when the lines are tightened again after a day (chosen: nylon relaxes by some 4 to
/// 8 % of its stress in each decade of time, from memory, and a day is about half of the decades from a minute to a season).
const LEFT_AFTER_A_DAY: f64 = 0.5;

const CUT: &str = "cut by machine";
const CUT_PATTERN: &str = "cut in one piece with the holes";
const CUT_SCALE: &str = "drawn by the machine, no print";

/// The shipped ways that make sense for a design.
pub fn default_ways(design: &Design) -> Vec<Way> {
    let mut ways = Vec::new();
    plates_and_holes(design, &mut ways);
    hole_widths(design, &mut ways);
    tensions(design, &mut ways);
    rods(design, &mut ways);
    ways.push(graded(
        design,
        Step::PeepholePlacement,
        ("set by rule", Grade::HandPierced),
        [5.0, 0.0],
    ));
    ways.push(graded(
        design,
        Step::PeepholePlacement,
        (
            "sighted through two lines far apart before it is fixed",
            Grade::Template,
        ),
        [15.0, 0.0],
    ));
    ways
}

/// A way without laws.
fn way(step: Step, name: &str, [cost, cost_per_item]: [f64; 2], reason: &str) -> Way {
    Way {
        step,
        name: name.to_owned(),
        cost,
        cost_per_item,
        laws: Vec::new(),
        hole_mm: None,
        tightening: None,
        needs: Vec::new(),
        reason: reason.to_owned(),
        origin: WayOrigin::Shipped,
        is_offered: true,
    }
}

/// Adds a law as a scenario would write it, rounded to the digits that it is written with.
fn add(way: &mut Way, design: &Design, source: Source, law: Law) -> bool {
    let law = rounded_law(source, &law);
    match written_law(design, source, &law) {
        Some(written) => {
            way.laws.push(WayLaw {
                source,
                law,
                written,
            });
            true
        }
        None => false,
    }
}

/// The law of a source at a grade of work.
fn grade_law(source: Source, grade: Grade) -> Option<(Law, &'static str)> {
    let (distribution, reason) = grade.default_spread(source)?;
    let law = if source == Source::RodBow {
        Law::Spun(distribution)
    } else {
        Law::Each(vec![distribution; source.components()])
    };
    Some((law, reason))
}

/// A way that works a step as closely as a grade does.
fn graded(design: &Design, step: Step, (name, grade): (&str, Grade), cost: [f64; 2]) -> Way {
    let mut way = way(step, name, cost, "");
    for source in step.sources() {
        if let Some((law, reason)) = grade_law(source, grade) {
            if !way.reason.contains(reason) {
                if !way.reason.is_empty() {
                    way.reason.push_str("; ");
                }
                way.reason.push_str(reason);
            }
            add(&mut way, design, source, law);
        }
    }
    way
}

fn plates_and_holes(design: &Design, ways: &mut Vec<Way>) {
    use Grade::{HandPierced, MachineCut, Template};
    let machine = |way: Way, needs: &[(Step, &str)]| Way {
        needs: needs
            .iter()
            .map(|(step, name)| (*step, (*name).to_owned()))
            .collect(),
        ..way
    };
    let make = |step, name: &str, grade, cost| graded(design, step, (name, grade), cost);
    let (place, scale, seat, pierce) = (
        Step::PatternPlacement,
        Step::PrintScale,
        Step::PlateSeat,
        Step::HoleScatter,
    );
    ways.extend([
        make(place, "taped on by eye", HandPierced, [0.0, 3.0]),
        make(place, "registered on pins", Template, [10.0, 5.0]),
        machine(
            make(place, CUT_PATTERN, MachineCut, [0.0, 0.0]),
            &[(pierce, CUT)],
        ),
        make(scale, "printed as it comes", HandPierced, [0.0, 1.0]),
        make(
            scale,
            "printed and checked against a 100 mm bar both ways",
            Template,
            [0.0, 6.0],
        ),
        machine(
            make(scale, CUT_SCALE, MachineCut, [0.0, 0.0]),
            &[(pierce, CUT)],
        ),
        make(seat, "free card", HandPierced, [0.0, 5.0]),
        make(seat, "on battens", Template, [10.0, 15.0]),
        make(seat, "in grooves", MachineCut, [30.0, 20.0]),
        make(pierce, "by hand with a pin", HandPierced, [0.0, 0.5]),
    ]);
    let mut drilled = make(pierce, "drilled through a template", Template, [20.0, 1.0]);
    drilled
        .reason
        .push_str(" (AND10387 allows a jig-drilled hole +0.10/−0.03 mm of diameter, not of place)");
    let mut cut = machine(
        make(pierce, CUT, MachineCut, [60.0, 0.2]),
        &[(place, CUT_PATTERN), (scale, CUT_SCALE)],
    );
    cut.reason
        .push_str(" (a laser's kerf of 0.1 to 0.2 mm, users' reports, moves both sides alike)");
    ways.extend([drilled, cut]);
}

fn hole_widths(design: &Design, ways: &mut Vec<Way>) {
    let step = Step::HoleSlack;
    let reason =
        "hole wider than the line by the clearance of a grade of work; common practice, no source";
    let width = |grade: Grade| {
        // 0.2 and 0.4 make 0.6, not 0.6000000000000001; what the scenario has already stays as it is
        let wide_mm = design.line.diameter_mm + grade.hole_clearance_mm();
        let round_mm = (1e6 * wide_mm).round() / 1e6;
        design.plates.map(|plate| {
            if (plate.hole_mm - wide_mm).abs() < 1e-9 {
                plate.hole_mm
            } else {
                round_mm
            }
        })
    };
    let with_hole = |hole_mm: [f64; 2]| {
        let mut design = design.clone();
        for (plate, hole_mm) in design.plates.iter_mut().zip(hole_mm) {
            plate.hole_mm = hole_mm;
        }
        design
    };
    let lines = design.vertices.len();
    for (name, grade, cost) in [
        ("generous holes", Grade::HandPierced, [0.0, 0.0]),
        ("close holes", Grade::MachineCut, [5.0, 0.5]),
    ] {
        let hole_mm = width(grade);
        let holed = with_hole(hole_mm);
        let mut one = way(step, name, cost, reason);
        one.hole_mm = Some(hole_mm);
        for plate in Plate::BOTH {
            let slack = Law::Ring(vec![holed.hole_slack_mm(plate); lines]);
            add(&mut one, &holed, Source::HoleSlack(plate), slack);
        }
        ways.push(one);
    }
    let hole_mm = width(Grade::MachineCut);
    let holed = with_hole(hole_mm);
    let mut one = if design.line.threading.is_some() {
        let name = "close holes, every line bearing where the next hole pulls it";
        let mut one = way(step, name, [5.0, 1.0], reason);
        for plate in Plate::BOTH {
            let slack = Law::Aimed(pulled_aims(&holed, plate, holed.hole_slack_mm(plate)));
            add(&mut one, &holed, Source::HoleSlack(plate), slack);
        }
        one
    } else {
        let name = "close holes, every line wedged to the bottom of its hole";
        let mut one = way(step, name, [5.0, 1.5], reason);
        for plate in Plate::BOTH {
            one.laws.extend(towards(
                Source::HoleSlack(plate),
                "-90 deg",
                &vec![holed.hole_slack_mm(plate); lines],
            ));
        }
        one
    };
    one.hole_mm = Some(hole_mm);
    ways.push(one);
}

/// The law under which every item lies off in the same direction.
fn towards(source: Source, direction: &str, offsets_mm: &[f64]) -> Option<WayLaw> {
    let angle_rad = read_quantity(direction, Kind::Angle).ok()?;
    let aim = Pair::new(libm::cos(angle_rad), libm::sin(angle_rad));
    Some(WayLaw {
        source,
        law: Law::Aimed(offsets_mm.iter().map(|offset| aim * *offset).collect()),
        written: format!("{{ direction = \"{direction}\" }}"),
    })
}

fn tensions(design: &Design, ways: &mut Vec<Way>) {
    let step = Step::Tension;
    let threaded = design.line.threading.is_some();
    let hand = |way: &mut Way, grade: Grade| {
        let law = grade_law(Source::HandTension, grade);
        law.is_some_and(|(law, _)| add(way, design, Source::HandTension, law))
    };
    const REASON: &str = "scatter between lines: common practice, no source";
    if can_be_pulled_at_the_end(design) {
        let mut one = way(
            step,
            "pulled tight at the end only",
            [5.0, 0.0],
            "loss along the threading: capstan relation (Euler; Eytelwein 1808); scatter of the pull: common practice, no source",
        );
        one.tightening = Some(Tightening::EndsOnly);
        hand(&mut one, Grade::HandPierced);
        ways.push(one);
    }
    let each = if threaded { "each run" } else { "each line" };
    let again_reason = format!(
        "{REASON}; half of the slackening is left after a day (chosen, no source for a given line)"
    );
    let again = design
        .law(Source::Slackening)
        .scaled(LEFT_AFTER_A_DAY, Source::Slackening.neutral());
    for (name, grade, cost, after_a_day) in [
        (
            format!("{each} pulled tight by hand"),
            Grade::HandPierced,
            [0.0, 2.0],
            false,
        ),
        (
            format!("{each} pulled to the tone of the first"),
            Grade::Template,
            [5.0, 4.0],
            false,
        ),
        (
            format!("{each} pulled to a gauge, and again after a day"),
            Grade::MachineCut,
            [15.0, 7.0],
            true,
        ),
    ] {
        let reason = if after_a_day { &again_reason } else { REASON };
        let mut one = way(step, &name, cost, reason);
        one.tightening = threaded.then_some(Tightening::EachRun);
        hand(&mut one, grade);
        // slackening that was measured stands in a file of its own, which no line here could change
        if !after_a_day || add(&mut one, design, Source::Slackening, again.clone()) {
            ways.push(one);
        }
    }
}

/// Whether the line could be pulled at its end only: it is one line with one tension, and no run would sag beyond what the
/// formulas are good for.
pub fn can_be_pulled_at_the_end(design: &Design) -> bool {
    let mut pulled = design.clone();
    let Some(threading) = &mut pulled.line.threading else {
        return false;
    };
    threading.tightening = Tightening::EndsOnly;
    let tensions = &pulled.line.tension_n;
    if tensions.iter().any(|tension| *tension != tensions[0]) {
        return false;
    }
    let plan = Plan::new(pulled);
    (0..plan.spans.len()).all(|line| {
        plan.largest_moments_n_mm[line]
            <= LARGEST_SAG_SHARE * plan.tensions_n[line] * plan.spans[line].length_mm
    })
}

fn rods(design: &Design, ways: &mut Vec<Way>) {
    use Grade::{HandPierced, MachineCut, Template};
    const TOUCH: &str = "rod and line touch; common practice, no source";
    let offsets_mm = design.tie_offsets_mm();
    let mut free = way(
        Step::RodTie,
        "tied free, on a random side",
        [0.0, 1.0],
        TOUCH,
    );
    add(
        &mut free,
        design,
        Source::RodTie,
        Law::Ring(offsets_mm.clone()),
    );
    let mut jig = way(
        Step::RodTie,
        "tied in a jig, all above the line",
        [15.0, 1.2],
        TOUCH,
    );
    jig.laws
        .extend(towards(Source::RodTie, "90 deg", &offsets_mm));
    ways.extend([free, jig]);
    // only a design whose rods are bored or hollow says so: other rods cannot be threaded
    if design.law(Source::RodTie).is_silent(0.0) {
        let mut threaded = way(
            Step::RodTie,
            "threaded through the rods' ends",
            [0.0, 2.0],
            "the line runs through the rod's axis; the rods are bored or hollow as the scenario has them",
        );
        add(
            &mut threaded,
            design,
            Source::RodTie,
            Law::fixed(0.0, Source::RodTie.components()),
        );
        ways.push(threaded);
    }
    for (step, name, grade, cost) in [
        (Step::RodSlip, "set by eye", HandPierced, [0.0, 0.5]),
        (Step::RodSlip, "marked on a stick", Template, [10.0, 1.0]),
        (
            Step::RodSlip,
            "held in a jig and glued",
            MachineCut,
            [20.0, 2.0],
        ),
        (Step::RodBow, "as they come", HandPierced, [0.0, 0.0]),
        (
            Step::RodBow,
            "sorted by rolling on a flat table",
            Template,
            [0.0, 0.5],
        ),
    ] {
        ways.push(graded(design, step, (name, grade), cost));
    }
}

/// Second moment of a law about no error and its variance, each largest over the law's items, in the square of the source's
/// kept unit. Both count: what is the same in every build (rods tied on one side) spoils less than what scatters as far.
pub(super) fn moments(law: &Law, source: Source, design: &Design) -> [f64; 2] {
    let neutral = source.neutral();
    if let Law::Each(each) = law
        && let [Distribution::Lognormal { median, sd_log }] = each[..]
        && neutral > 0.0
    {
        // a factor is as far off when halved as when doubled
        let off = libm::log(median / neutral);
        return [off * off + sd_log * sd_log, sd_log * sd_log];
    }
    let mut largest = [0.0; 2];
    for item in 0..source.items(design) {
        let spread = law.spread(item);
        let mut sums = [0.0; 2];
        for c in 0..source.components() {
            let (off, variance) = (spread.mean[c] - neutral, spread.sd[c] * spread.sd[c]);
            sums[0] += off * off + variance;
            sums[1] += variance;
        }
        largest = [0, 1].map(|k| f64::max(largest[k], sums[k]));
    }
    largest
}
