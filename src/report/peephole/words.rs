//! The answer in sentences that page and terminal share.

use super::super::words::{figures, level_words, proportion_words, share_words};
use crate::decision::peephole::{
    Bound, BoundReason, Change, ChangeKind, Counted, DepthHidden, End, NoWindow, Range,
    Recommended, State,
};
use crate::decision::{PeepholeAnswer, Removal};
use crate::figure::Plan;
use crate::mechanics::PLAINNESS_WORDS;
use crate::report::words::count_words;
use crate::statistics::{ClusteredShare, interval_of_clustered_share};
use crate::units::arcmin;

/// A share as a whole percentage or with what decimals it needs.
fn percent(share: f64) -> String {
    format!("{} %", (1e5 * share).round() / 1e3)
}

/// A length without idle zeros, mm.
pub(super) fn mm(value: f64) -> String {
    let text = figures(value);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// Why an end is where it is.
pub(super) fn reason_words(reason: BoundReason, answer: &PeepholeAnswer) -> String {
    let targets = &answer.targets;
    match reason {
        BoundReason::ShownAtAll => format!(
            "behind a narrower hole fewer than {} of builds pass, most of those that fail because no look shows the whole figure",
            percent(targets.build_yield)
        ),
        BoundReason::Clear => format!(
            "behind a narrower hole fewer than {} of looks show the whole figure",
            percent(targets.clear)
        ),
        BoundReason::Diffraction => {
            let at = figures(arcmin(answer.diffraction.allowed_rad));
            format!(
                "through a narrower hole diffraction is coarser than {at} arcmin, one line of a test chart worse than this visitor's eye without the hole"
            )
        }
        BoundReason::Light => {
            let least = answer.light.as_ref().map_or_else(String::new, |light| {
                format!(" ({} trolands)", figures(light.normal.illuminance_td))
            });
            format!("through a narrower hole too little light gets in for normal acuity{least}")
        }
        BoundReason::HeldAnywhere => format!(
            "behind a wider hole, in which eyes come to stand anywhere up to its rim, fewer than {} of builds pass",
            percent(targets.build_yield)
        ),
        BoundReason::Guides => "wider than that shows nothing more: the whole pupil sees the whole figure from wherever 95 of 100 looks are taken, and the hole no longer guides the eye".to_owned(),
        BoundReason::Open => "wider than that shows nothing more: even the widest pupil sees the whole figure from wherever practically all looks are taken, and the hole no longer guides the eye".to_owned(),
        BoundReason::Held => format!(
            "behind a wider hole fewer than {} of builds pass: the eye's wandering parts the rods",
            percent(targets.build_yield)
        ),
    }
}

/// An end with its interval, or as the model's limit that it is.
pub(super) fn end_words(end: &End, answer: &PeepholeAnswer) -> String {
    let level = level_words(answer.run.level);
    let interval = match end.interval_mm {
        _ if end.reason.is_model() => "a model's limit, without an interval".to_owned(),
        [Some(low), Some(high)] => {
            format!("{level} % interval {} to {} mm", fine(low), fine(high))
        }
        [Some(low), None] => {
            let open = open_words(end.reason.is_lower());
            format!("{level} % interval from {} mm on, {open}", fine(low))
        }
        [None, Some(high)] => {
            let open = open_words(!end.reason.is_lower());
            format!("{level} % interval up to {} mm, {open}", fine(high))
        }
        [None, None] => format!("{level} % interval wider than the sweep"),
    };
    format!("{} mm ({interval})", fine(end.at_mm))
}

/// What it means that one side of an interval has no end within the sweep.
fn open_words(is_safe_side: bool) -> &'static str {
    if is_safe_side {
        "its safe side nowhere reached: more builds would tell"
    } else {
        "its other side beyond the sweep"
    }
}

/// Two decimals: what a crossing is found to.
pub(super) fn fine(value_mm: f64) -> String {
    format!("{value_mm:.2}")
}

/// The answer in sentences.
pub(super) fn answer_sentences(answer: &PeepholeAnswer) -> Vec<String> {
    match &answer.range {
        Ok(range) => {
            let mut all = vec![match &range.largest {
                Some(largest) => format!(
                    "The peephole may be {} to {} mm wide.",
                    fine(range.smallest.at_mm),
                    fine(largest.at_mm)
                ),
                None => format!(
                    "The peephole must be at least {} mm wide; nothing that was tried bounds it from above, up to {} mm.",
                    fine(range.smallest.at_mm),
                    mm(range.tried_up_to_mm)
                ),
            }];
            all.push(format!(
                "Smallest: {}; {}.",
                end_words(&range.smallest, answer),
                reason_words(range.smallest.reason, answer)
            ));
            all.push(match &range.largest {
                Some(largest) => format!(
                    "Largest: {}; {}.",
                    end_words(largest, answer),
                    reason_words(largest.reason, answer)
                ),
                None => format!(
                    "Largest: no upper end from this. From {} mm on the whole pupil sees the whole figure from wherever 95 of 100 looks are taken: a wider hole no longer guides the eye.",
                    mm(answer.guides_until_mm)
                ),
            });
            all.extend(trials_above_sentence(range, answer));
            all.push(anywhere_sentence(answer));
            let own = mm(answer.own_mm);
            all.push(if answer.own_is_wider_than_of_use() {
                format!("The scenario's own {own} mm is wider than is of use.")
            } else if range.holds(answer.own_mm) {
                format!(
                    "The scenario's own {own} mm lies in this range{} A hole that meets the targets need not be changed; another may show the figure, and hold, in more looks.",
                    own_gives(answer)
                )
            } else {
                format!("The scenario's own {own} mm lies outside of this range.")
            });
            all
        }
        Err(why) => vec![
            "No diameter serves.".to_owned(),
            no_window_sentence(why, answer),
        ],
    }
}

/// What the scenario's own hole gives in the trials.
fn own_gives(answer: &PeepholeAnswer) -> String {
    let own = answer.points.iter().find(|point| point.is_own);
    own.map_or_else(
        || ".".to_owned(),
        |own| {
            format!(
                ": builds that pass {}; looks that show the whole figure {}.",
                proportion_words(&own.counted.build_yield, "builds"),
                looks_words(&own.counted.clear, answer.run.level)
            )
        },
    )
}

/// What the trials say of holes that are wider than is of use.
fn trials_above_sentence(range: &Range, answer: &PeepholeAnswer) -> Option<String> {
    range.largest.filter(|end| end.reason.is_of_use())?;
    let target = percent(answer.targets.build_yield);
    Some(match answer.held().and_then(Bound::end) {
        Some(end) => format!(
            "In the trials themselves {target} of builds pass up to {}.",
            end_words(&end, answer)
        ),
        None => format!(
            "In the trials themselves {target} of builds pass, by the estimate, at every wider hole that was tried, up to {} mm.",
            mm(range.tried_up_to_mm)
        ),
    })
}

/// How wide the hole might be if eyes came to stand anywhere in it.
fn anywhere_sentence(answer: &PeepholeAnswer) -> String {
    let bound = &answer.if_anywhere;
    let target = percent(answer.targets.build_yield);
    match (bound.state, bound.end()) {
        (State::Crossed, Some(end)) => format!(
            "Were eyes to stand anywhere in the hole, evenly up to its rim, {target} of builds would pass up to {}.",
            end_words(&end, answer)
        ),
        (State::Nowhere, _) => format!(
            "Were eyes to stand anywhere in the hole, evenly up to its rim, {target} of builds would pass at no diameter."
        ),
        _ => format!(
            "Were eyes to stand anywhere in the hole, evenly up to its rim, {target} of builds would still pass at every diameter that was tried."
        ),
    }
}

fn no_window_sentence(why: &NoWindow, answer: &PeepholeAnswer) -> String {
    match why {
        NoWindow::TooFewBuildsPass { best_mm } => {
            let best = answer
                .points
                .iter()
                .find(|point| point.diameter_mm == *best_mm)
                .map_or_else(String::new, |point| {
                    if point.counted.build_yield.count == 0 {
                        let tried = count_words(point.counted.build_yield.of);
                        return format!("; not one of {tried} builds does at any of them");
                    }
                    let there = proportion_words(&point.counted.build_yield, "builds");
                    format!("; at best, with {} mm, {there}", mm(*best_mm))
                });
            format!(
                "At no diameter do {} of builds pass{there}.",
                percent(answer.targets.build_yield),
                there = best
            )
        }
        NoWindow::TooFewLooksShow => format!(
            "No diameter that was tried shows the whole figure to {} of looks.",
            percent(answer.targets.clear)
        ),
        NoWindow::EndsCross { smallest, largest } => format!(
            "The ends cross. It would have to be at least {}: {}. But it may be at most {}: {}.",
            end_words(smallest, answer),
            reason_words(smallest.reason, answer),
            end_words(largest, answer),
            reason_words(largest.reason, answer)
        ),
    }
}

/// A bound in words: where it is, or that it does not bind.
pub(super) fn bound_words(bound: &Bound, answer: &PeepholeAnswer) -> String {
    match (bound.state, bound.end()) {
        (State::Crossed, Some(end)) => end_words(&end, answer),
        (State::Nowhere, _) => "met at no diameter".to_owned(),
        _ => "met at every diameter: does not bind".to_owned(),
    }
}

/// A bound's name for people.
pub(super) fn bound_name(reason: BoundReason) -> &'static str {
    match reason {
        BoundReason::ShownAtAll => "builds pass (not too narrow)",
        BoundReason::Clear => "looks show the whole figure",
        BoundReason::Held => "builds pass (not too wide)",
        BoundReason::HeldAnywhere => "builds pass, eyes anywhere in the hole",
        BoundReason::Guides | BoundReason::Open => "wider is of no use",
        BoundReason::Diffraction => "diffraction",
        BoundReason::Light => "light on the retina",
    }
}

/// A share of looks with interval and counts.
pub(super) fn looks_words(share: &ClusteredShare, level: f64) -> String {
    match (
        share.share(),
        interval_of_clustered_share(share, level),
        share.counts(),
    ) {
        (Some(one), Some(interval), Some([counted, of])) => format!(
            "{}; {} of {} looks",
            share_words(one, interval),
            count_words(counted.round() as u64),
            count_words(of.round() as u64)
        ),
        _ => "not known (no looks)".to_owned(),
    }
}

/// What a hole gives, as rows of name and value.
pub(super) fn counted_rows(counted: &Counted, level: f64) -> [(&'static str, String); 4] {
    [
        (
            "builds that pass",
            proportion_words(&counted.build_yield, "builds"),
        ),
        (
            "looks that show the whole figure",
            looks_words(&counted.clear, level),
        ),
        (
            "of those, looks that hold",
            looks_words(&counted.held, level),
        ),
        ("looks that do both", looks_words(&counted.both, level)),
    ]
}

/// The recommendation.
pub(super) fn recommended_sentence(answer: &PeepholeAnswer) -> String {
    match &answer.recommended {
        Some(found) => {
            let tool = &found.chosen.tool;
            let [narrowest, widest] = tool.holes_mm();
            format!(
                "Take the {}: {} mm, {}. Its holes come out at {} to {} mm, {}.",
                tool.words(),
                mm(tool.diameter_mm),
                tool.preferred().words(),
                fine(narrowest),
                fine(widest),
                if found.chosen.stays_inside {
                    "all inside the range"
                } else {
                    "not all of them inside the range: measure the hole"
                }
            )
        }
        None if answer.range.is_ok() => {
            "No tool that is known here makes a hole in this range: have it turned, reamed or cut by laser.".to_owned()
        }
        None => "No hole is recommended, since none meets the targets.".to_owned(),
    }
}

/// The warning where too few builds pass if eyes come to stand anywhere in the recommended hole.
pub(super) fn guide_sentence(answer: &PeepholeAnswer) -> Option<String> {
    let found = answer.recommended.as_ref()?;
    if !answer.needs_a_guide() {
        return None;
    }
    let guide = "uide the eye (a rest for the brow, a cup about the hole)";
    let mend = match &found.cautious {
        Some(cautious) => format!(
            "G{guide}, or take the cautious tool, the {}",
            cautious.chosen.tool.words()
        ),
        None => format!("No tool in the range is sure to serve then: g{guide}"),
    };
    Some(format!(
        "Warning: if eyes came to stand anywhere in the hole, only {} would pass, short of {}. {mend}.",
        proportion_words(&found.anywhere.build_yield, "builds"),
        percent(answer.targets.build_yield)
    ))
}

/// The cautious choice, where there is another one.
pub(super) fn cautious_sentence(answer: &PeepholeAnswer) -> Option<String> {
    let found = answer.recommended.as_ref()?;
    let cautious = found.cautious.as_ref()?;
    let tool = &cautious.chosen.tool;
    let level = answer.run.level;
    Some(format!(
        "If you do not trust that eyes keep to the middle, take the {} instead: there, builds that pass are {} with the scenario's wandering and {} with eyes anywhere in the hole; looks that show the whole figure {}.",
        tool.words(),
        proportion_words(&cautious.chosen.counted.build_yield, "builds"),
        proportion_words(&cautious.anywhere.build_yield, "builds"),
        looks_words(&cautious.chosen.counted.clear, level)
    ))
}

/// What the scenario's own plate takes of the view, where it matters.
pub(super) fn plate_sentence(answer: &PeepholeAnswer) -> Option<String> {
    let plate = &answer.plate;
    let own = plate.own_takes?;
    let lost = figures(100.0 * own.lost_share);
    let clipped = if own.is_clipped {
        ", so much that it is clipped even for an eye at the station point"
    } else {
        ""
    };
    let mend = if own.thin_enough_mm >= 0.05 {
        format!(
            "Countersink its far side until the edge is at most {} mm thick, and blacken it.",
            mm((100.0 * own.thin_enough_mm).floor() / 100.0)
        )
    } else {
        "Countersink its far side to a sharp edge, and blacken it; a wider hole helps too."
            .to_owned()
    };
    Some(format!(
        "The scenario's own plate, {} mm thick, takes {lost} % of the view of the outermost rod end through a hole of {} mm{clipped} (a model's limit, without an interval; the trials take the plate as thin). {mend}",
        mm(plate.own_mm),
        mm(plate.diameter_mm)
    ))
}

/// How the recommendation was come by.
pub(super) fn choice_sentence(found: &Recommended, answer: &PeepholeAnswer) -> String {
    let where_from = if found.is_safe {
        "in the part of the range where the whole interval of every share meets its target"
    } else {
        "in the range, none of them where the whole interval of every share meets its target: more builds would tell"
    };
    format!(
        "How it was chosen: {} plain tools have their size {where_from}. Of these, {} show the figure and hold as often as the best ({} mm), as far as {} % intervals tell. Of those: holes that stay inside the range, then the plainest tool ({PLAINNESS_WORDS}; chosen, no source), then the narrowest hole, which guides the eye most.",
        found.candidates,
        found.within_chance,
        mm(found.best_mm),
        level_words(answer.run.level)
    )
}

/// What every number of the answer assumes.
pub(super) fn assumed_sentence(answer: &PeepholeAnswer) -> String {
    format!(
        "All of this assumes that the eye wanders as the scenario says, whatever the hole: 95 of 100 looks within {} mm of the station point. A narrow hole guides the eye more than that, a wide one less. It also assumes the scenario's other laws, a thin plate in the trials, and a black, sharp-edged, round hole. Intervals cover the chance of sampling only.",
        mm(answer.wandering_mm)
    )
}

/// The largest hole by hand.
pub(super) fn by_hand_sentence(answer: &PeepholeAnswer, plan: &Plan) -> String {
    let Some((worst, hand_mm)) = answer.worst_by_hand() else {
        return "By hand nothing bounds the hole: no two rod ends meet at different depths."
            .to_owned();
    };
    let simulated = match (answer.if_anywhere.state, answer.if_anywhere.end()) {
        (State::Crossed, Some(end)) => end_words(&end, answer),
        (State::Nowhere, _) => "at no diameter".to_owned(),
        _ => "at every diameter".to_owned(),
    };
    format!(
        "A check by hand: with an eye at the rim of the hole and no other error, junction {} (depths {} and {} mm) parts by D/2 × |1/z1 − 1/z2|, which is its gap limit of {} arcmin at D = {} mm. The trials with eyes anywhere in the hole pass up to: {simulated}. By hand the eye is at the very rim and nothing else is wrong; in the trials {} of looks need hold, the rim cuts the light of an eye that stands at it, which brings the view back towards the hole's middle, and all other errors take their share.",
        plan.junction_name(worst.junction),
        mm(worst.depths_mm[0]),
        mm(worst.depths_mm[1]),
        figures(arcmin(worst.gap_limit_rad)),
        mm(hand_mm),
        percent(plan.design.judging.hold_share)
    )
}

/// Whether blur gives depths away.
pub(super) fn blur_sentence(answer: &PeepholeAnswer) -> String {
    let detail = figures(arcmin(answer.detail_rad));
    let rule = format!(
        "A rod's depth is given away where the blurs of nearest, farthest and best-focused rod end differ by more than the finest detail of this visitor, {detail} arcmin"
    );
    let advice = "Advice, no bound: the eye refocuses from rod to rod. A model's limit, without an interval.";
    match answer.depth_hidden {
        DepthHidden::AtEvery => format!("{rule}: at no diameter here. {advice}"),
        DepthHidden::UpTo(at_mm) => {
            format!(
                "{rule}. It is not given away up to {} mm. {advice}",
                fine(at_mm)
            )
        }
        DepthHidden::AtNone => format!("{rule}: at every diameter here. {advice}"),
    }
}

/// Light on the retina.
pub(super) fn light_sentence(answer: &PeepholeAnswer) -> String {
    let Some(light) = &answer.light else {
        return "Light: the scenario gives no luminance (eye.luminance), so nothing is said of it."
            .to_owned();
    };
    let normal = &light.normal;
    let rule = format!(
        "Light: acuity is taken as still normal while it is at most one line (0.1 logMAR) below that on a test chart at 80 cd/m² (ISO 8596, from memory), which by Ikeda, Noda & Yamaguchi is down to {} cd/m²; with the natural pupil there, {} mm (Watson & Yellott 2012, {} deg², age {}), that is {} trolands",
        figures(normal.luminance_cd_per_m2),
        figures(normal.pupil_mm),
        figures(light.field_deg2),
        figures(light.age_years),
        figures(normal.illuminance_td)
    );
    let pupil = format!(
        "The whole mean pupil gets {} trolands from {} cd/m²",
        figures(light.whole_pupil_td),
        figures(light.luminance_cd_per_m2)
    );
    match (light.smallest_mm, light.times_more_light) {
        (Some(at_mm), _) => format!(
            "{rule}. {pupil}; a hole of {} mm lets just enough in (a model's limit, without an interval).",
            fine(at_mm)
        ),
        (None, times) => format!(
            "{rule}. {pupil}: too little at any diameter, so it bounds no hole; {}.",
            times.map_or_else(
                || "no brighter light that was tried would do".to_owned(),
                |times| format!(
                    "{} times as much light would do (with the pupil as it is in that light)",
                    figures(times)
                )
            )
        ),
    }
}

/// Diffraction.
pub(super) fn diffraction_sentence(answer: &PeepholeAnswer) -> String {
    let limit = &answer.diffraction;
    let gap = limit
        .smallest_gap_limit_rad
        .map_or_else(String::new, |gap| {
            format!(
                " The smallest gap limit is {} arcmin.",
                figures(arcmin(gap))
            )
        });
    format!(
        "Diffraction (Rayleigh, 1.22 λ/d) may be {} arcmin at most: one line of a test chart coarser than the finest detail of the visitor of mean acuity ({} arcmin) or than the whole mean pupil's own diffraction ({} arcmin), whichever is coarser (chosen, no source). That is a hole of {} mm (a model's limit, without an interval).{gap}",
        figures(arcmin(limit.allowed_rad)),
        figures(arcmin(answer.detail_rad)),
        figures(arcmin(limit.pupil_rad)),
        fine(limit.smallest_mm)
    )
}

/// What a change is, in words: the least that opens a range, or how far it was tried in vain.
pub(super) fn change_words(change: &Change) -> String {
    let quantity = |value: Option<f64>| value.map_or_else(String::new, mm);
    let as_is = quantity(change.as_is);
    match change.proof {
        Some(_) => needed_words(change.kind, &quantity(change.needed), &as_is),
        None => tried_words(change.kind, &quantity(change.tried)),
    }
}

fn needed_words(kind: ChangeKind, needed: &str, as_is: &str) -> String {
    match kind {
        ChangeKind::EyeRelief => {
            format!("bring the eye nearer: eye relief {needed} mm instead of {as_is}")
        }
        ChangeKind::DepthSpread => format!(
            "draw the rods of the worst junctions together in depth: at most {needed} mm apart instead of {as_is}"
        ),
        ChangeKind::Distance => format!(
            "set the whole cabinet farther off: front plate at {needed} mm instead of {as_is}"
        ),
        ChangeKind::SmallerFigure | ChangeKind::LargerFigure => {
            format!("make the figure {needed} times as large at the same distance")
        }
        ChangeKind::Without(Removal::EyePosition) => {
            "keep the eye at the station point: a rest for brow or chin, a shade about the hole"
                .to_owned()
        }
        ChangeKind::Without(removal) => {
            format!("do away with {}: {}", removal.words(), removal.remedy())
        }
    }
}

fn tried_words(kind: ChangeKind, tried: &str) -> String {
    match kind {
        ChangeKind::EyeRelief => format!("eye relief down to {tried} mm"),
        ChangeKind::DepthSpread => {
            format!("rods of every junction drawn together to {tried} mm apart in depth")
        }
        ChangeKind::Distance => {
            format!("the whole cabinet farther off, front plate at up to {tried} mm")
        }
        ChangeKind::SmallerFigure => format!("a smaller figure, down to {tried} times its size"),
        ChangeKind::LargerFigure => format!("a larger figure, up to {tried} times its size"),
        ChangeKind::Without(removal) => format!("without {}", removal.words()),
    }
}
