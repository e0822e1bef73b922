//! Room of tolerances in words: the same for the page, the terminal and the drawing.

use super::words::{
    count_words, figures, level_words, proportion_words, share_words, size_number, size_words,
};
use crate::decision::{
    Allocation, Alone, Headroom, Keeps, MachinedLength, NoAllocation, Room, RoomEnd,
    SMALLEST_FACTOR,
};
use crate::figure::{Plan, Source};
use crate::mechanics::ToleranceClass;
use crate::statistics::Proportion;

/// A target share: "90 %".
pub(super) fn target_words(target: f64) -> String {
    format!("{} %", level_words(target))
}

/// Sources by name, both plates' as one.
pub(super) fn source_words(sources: &[Source]) -> String {
    match sources {
        [one] => one.words(),
        [one, ..] => one.words().replace("front plate", "both plates"),
        [] => String::new(),
    }
}

/// A list in words, "a, b and c".
fn listed(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join("; ")),
    }
}

/// A factor's interval: "1.57 to 1.60".
pub(super) fn factor_interval_words(room: &Room) -> String {
    let low = if room.surely > 0.0 {
        figures(room.surely)
    } else {
        "0".to_owned()
    };
    match room.possibly {
        Some(high) => format!("{low} to {}", figures(high)),
        None => format!("{low} to beyond {}", figures(room.largest)),
    }
}

/// One row of the table that hangs in the workshop.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct AloneWords {
    pub what: String,
    pub now: String,
    /// The largest value with the others as they are.
    pub largest: String,
    /// Its interval in its own unit.
    pub interval: String,
    /// The factor with its interval.
    pub factor: String,
    /// What else is to be said.
    pub note: String,
}

impl AloneWords {
    pub(super) fn of(plan: &Plan, row: &Alone) -> Self {
        let room = &row.room;
        let source = row.source();
        let largest_tried = size_words(&row.law_at(room.largest), source);
        let (largest, interval, factor) = match room.end {
            RoomEnd::At(factor) => (
                size_words(&row.law_at(factor), source),
                value_interval_words(row).unwrap_or_else(|| "as the factor".to_owned()),
                format!("{} ({})", figures(factor), factor_interval_words(room)),
            ),
            // the figure would bear more, the line would not
            RoomEnd::BeyondLargest if plan.design.is_held_by_strength(source) => (
                "the line's strength".to_owned(),
                String::new(),
                format!("{} at most", figures(room.largest)),
            ),
            RoomEnd::BeyondLargest => (
                "any within reason".to_owned(),
                String::new(),
                format!("over {}{}", figures(room.largest), open_words(room)),
            ),
            RoomEnd::EvenNoneIsNotEnough => (
                "even none is not enough".to_owned(),
                String::new(),
                format!("none{}", open_words(room)),
            ),
        };
        let mut notes = Vec::new();
        match room.end {
            RoomEnd::At(factor) => {
                notes.extend(hole_words(plan, row, factor));
                if row.room.is_held_by_clear {
                    notes.push(format!(
                        "ends where only {} of looks show the whole figure, not by the yield",
                        clear_words(&row.room)
                    ));
                }
            }
            RoomEnd::BeyondLargest => notes.push(format!(
                "tried up to {largest_tried} ({}): {} pass",
                row.sensible.words,
                short_share(&room.yield_at_end)
            )),
            RoomEnd::EvenNoneIsNotEnough => notes.push(format!(
                "with next to none of it {} pass",
                short_share(&room.yield_at_end)
            )),
        }
        notes.extend(row.machined.as_ref().map(machined_words));
        Self {
            what: source_words(&row.sources),
            now: size_words(&row.law, source),
            largest,
            interval,
            factor,
            note: notes.join("; "),
        }
    }
}

/// "97.8 % (97.5 to 98.1 %)".
fn short_share(share: &Proportion) -> String {
    match (share.share(), share.interval()) {
        (Some(share), Some(interval)) => super::words::share_words(share, interval),
        _ => "not known".to_owned(),
    }
}

/// The interval of the largest value, in its own unit; `None` where the law has no one number.
fn value_interval_words(row: &Alone) -> Option<String> {
    let source = row.source();
    let number = |factor: f64| size_number(&row.law_at(factor), source);
    let low = match row.room.surely {
        surely if surely > 0.0 => figures(number(surely)?.0),
        _ => "0".to_owned(),
    };
    let unit = number(1.0)?.1;
    Some(match row.room.possibly {
        Some(possibly) => format!("{low} to {} {unit}", figures(number(possibly)?.0)),
        None => format!("{low} {unit} to any within reason"),
    })
}

/// What a slack comes to as the hole's width.
fn hole_words(plan: &Plan, row: &Alone, factor: f64) -> Option<String> {
    let Source::HoleSlack(_) = row.source() else {
        return None;
    };
    let line_mm = plan.design.line.diameter_mm;
    let hole_mm = |factor: f64| line_mm + 2.0 * row.law_at(factor).reach(0.0);
    Some(format!(
        "a hole of {} mm instead of {} mm for the line of {} mm",
        figures(hole_mm(factor)),
        figures(hole_mm(1.0)),
        figures(line_mm)
    ))
}

/// What the interval leaves open where the estimate ends at an end of the range.
fn open_words(room: &Room) -> String {
    match (room.end, room.possibly) {
        (RoomEnd::BeyondLargest, _) if room.surely < room.largest => {
            format!(" (surely only {})", figures(room.surely))
        }
        (RoomEnd::EvenNoneIsNotEnough, Some(possibly)) if possibly > 0.0 => {
            format!(" (possibly {})", figures(possibly))
        }
        (RoomEnd::EvenNoneIsNotEnough, None) => " (possibly any)".to_owned(),
        _ => String::new(),
    }
}

/// The coarsest class that is enough and the finest that is not; classes that may or may not do.
fn machined_words(machined: &MachinedLength) -> String {
    let classes = |wanted: Keeps| {
        machined
            .classes
            .iter()
            .filter(move |(_, _, keeps)| *keeps == wanted)
    };
    let one = |(class, misses_mm, _): &(ToleranceClass, f64, Keeps), words: &str| {
        format!(
            "class {} (± {} mm) {words}",
            class.letter(),
            figures(*misses_mm)
        )
    };
    let enough = classes(Keeps::Yes)
        .next_back()
        .map(|class| one(class, "is enough"));
    let open = classes(Keeps::Open).map(|class| one(class, "may or may not do"));
    let not = classes(Keeps::No)
        .next()
        .map(|class| one(class, "is not enough"));
    let told: Vec<String> = enough.into_iter().chain(open).chain(not).collect();
    format!(
        "ISO 2768-1 for {} mm {}: {}",
        figures(machined.length_mm),
        machined.words,
        told.join(", ")
    )
}

/// How much room all tolerances of the work have together.
pub fn headroom_sentence(headroom: &Headroom) -> String {
    let room = &headroom.room;
    let target = target_words(headroom.target_yield);
    let level = level_words(headroom.as_is.level);
    let pass = |yield_found: &Proportion| proportion_words(yield_found, "builds");
    if headroom.scaled.is_empty() {
        return format!(
            "Nothing in the work varies in this scenario, so there is no tolerance to give: {} pass.",
            pass(&headroom.as_is)
        );
    }
    match room.end {
        RoomEnd::At(factor) => {
            let change = if factor >= 1.0 {
                "may grow"
            } else {
                "must shrink"
            };
            let until = if room.is_held_by_clear {
                format!(
                    "for just enough looks to show the whole figure ({}; by the yield alone there would be more room)",
                    clear_words(room)
                )
            } else {
                format!("for the target of {target} to be just met")
            };
            format!(
                "All tolerances of the work {change} together to {} times what they are ({level} % interval {}) {until}; as they are, {} pass.",
                figures(factor),
                factor_interval_words(room),
                pass(&headroom.as_is)
            )
        }
        RoomEnd::BeyondLargest => format!(
            "The target of {target} is still met with all tolerances of the work at {} times what they are, the largest factor tried{}: {} pass.",
            figures(room.largest),
            open_words(room),
            pass(&room.yield_at_end)
        ),
        RoomEnd::EvenNoneIsNotEnough
            if headroom.perfect_work.share() >= Some(headroom.target_yield) =>
        {
            format!(
                "Only work with next to no scatter, under {} of today's, meets the target of {target}: with none at all, {} pass; as they are, {}.",
                figures(SMALLEST_FACTOR),
                pass(&headroom.perfect_work),
                pass(&headroom.as_is)
            )
        }
        RoomEnd::EvenNoneIsNotEnough if room.is_held_by_clear => format!(
            "No care in the work lets enough looks show the whole figure: {} do, with next to no scatter of the work. A wider peephole would (see `sightdrift peephole`).",
            clear_words(room)
        ),
        RoomEnd::EvenNoneIsNotEnough => format!(
            "Less scatter alone does not meet the target of {target}: with none in the work at all, {} pass. What is left is the eye, the weight, the friction of a line that is pulled at its end{}; another way of tightening may mend that (see the set of ways of working).",
            pass(&headroom.perfect_work),
            if headroom.the_same_in_every_build.is_empty() {
                ""
            } else {
                ", and errors that are the same in every build"
            }
        ),
    }
}

/// Share of looks that show the whole figure where the room ends.
fn clear_words(room: &Room) -> String {
    let (share, interval) = room.clear_at_end;
    share_words(share, interval)
}

/// What was found again at builds of its own; nothing where no factor was found.
pub(super) fn proof_sentence(headroom: &Headroom) -> Option<String> {
    let proof = headroom.proof.as_ref()?;
    let verdict = match proof.interval() {
        Some([_, high]) if high < headroom.target_yield => {
            " That is a little short of the target: go somewhat below the factor, to be sure."
        }
        Some([low, _]) if low >= headroom.target_yield => " That meets the target.",
        _ => " That is the target, as far as these builds tell.",
    };
    Some(format!(
        "Tried again at this factor with other builds: {} pass.{verdict}",
        proportion_words(proof, "builds")
    ))
}

/// What the headroom and the table assume.
pub fn tolerance_assumptions(headroom: &Headroom) -> Vec<String> {
    let mut all = vec![format!(
        "Every yield is of {} builds with {} looks each, always the same ones; intervals cover the chance of sampling only, not a wrong model or law.",
        count_words(headroom.as_is.of),
        headroom.looks
    )];
    all.push("Met means: the target yield, and the share of looks that show the whole figure (clear_share) too.".to_owned());
    all.push("An error keeps the form of its law and grows or shrinks about \"no error\"; light, pupil, acuity, weight and friction stay as the scenario has them.".to_owned());
    if !headroom.the_same_in_every_build.is_empty() {
        let names: Vec<String> = headroom
            .the_same_in_every_build
            .iter()
            .map(|source| source.words())
            .collect();
        all.push(format!(
            "The same in every build, and not scaled: {}.",
            listed(&names)
        ));
    }
    if !headroom.held_by_strength.is_empty() {
        all.push("Not scaled with the others: hand scatter of the tension, for a strong hand would bring lines to half of the load at which they break before the figure suffers. A line that breaks whips.".to_owned());
    }
    if let Some(held_by) = headroom.held_by {
        all.push(format!(
            "All together were tried up to {} times: there {} reaches what no one would call an error of making any more.",
            figures(headroom.room.largest),
            held_by.words()
        ));
    }
    all.push("Where a tolerance was tried up to a limit within reason, that limit is chosen and has no source.".to_owned());
    all.push("Each alone means: the others stay as they are. Two tolerances may not both be let go to their largest value.".to_owned());
    all
}

/// What the allocation saves, and what that assumes.
pub fn allocation_sentence(allocation: &Allocation) -> String {
    let percent = |of: f64, base: f64| format!("{:.0} %", 100.0 * (of / base));
    let costs = if allocation.costs_given {
        "with the costs that were given"
    } else {
        "taking every step to cost the same today, since no costs were given"
    };
    let (_, alike) = allocation.alike;
    let compared = if allocation.strides == 0 {
        "No other sharing out was found to be cheaper than all steps alike".to_owned()
    } else {
        format!(
            "All steps alike would cost {} of today's for the same yield",
            percent(alike, allocation.present_cost)
        )
    };
    format!(
        "If a step costs in proportion to one over its tolerance, {costs}, the cheapest work found that just meets the target costs {} of today's. {compared}. Tried with other builds: {} pass; all steps alike, by the same builds: {}.",
        percent(allocation.cost, allocation.present_cost),
        proportion_words(&allocation.proof, "builds"),
        proportion_words(&allocation.proof_alike, "builds"),
    )
}

/// Why there is no allocation.
pub fn no_allocation_sentence(why: &NoAllocation) -> String {
    match why {
        NoAllocation::Interrupted => "The run was interrupted.".to_owned(),
        NoAllocation::NothingVaries => {
            "Nothing in the work varies, so there is nothing to share out.".to_owned()
        }
        NoAllocation::EvenPerfectIsNotEnough => {
            "Not even work without scatter meets the target, so care cannot be shared out among the steps.".to_owned()
        }
        NoAllocation::AllAsLooseAsMakesSense => {
            "The target is met with every step as loose as makes sense, so nothing need be shared out.".to_owned()
        }
        NoAllocation::NoShares => {
            "What each step adds to the deciding fault could not be told: too many builds never show the figure.".to_owned()
        }
        NoAllocation::BadInput(error) => format!("There is no allocation for these costs: {error}."),
    }
}
