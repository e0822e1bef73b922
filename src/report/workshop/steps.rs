//! The steps of the assembly, and the cautions that belong to them.

use super::flow::Block;
use super::tables::{SEEN_THROUGH, length_text, ruler_in, ruler_mm};
use crate::figure::{Allowed, Law, Plan, Plate, Source};
use crate::geometry::Pair;
use crate::mechanics::{PulledAt, Tightening};
use crate::report::cautions::cautions;
use crate::report::eye_heights::eye_height_sentence;
use std::collections::BTreeSet;

/// Steps first, then all cautions.
pub(super) fn blocks(plan: &Plan, allowed: Option<&Allowed>) -> Vec<Block> {
    let mut blocks = vec![
        Block::Heading("Cautions for all of this work".to_owned()),
        Block::Paragraph(
            "The usual ones; the local code and people licensed for the work decide.".to_owned(),
        ),
    ];
    for caution in cautions(plan) {
        blocks.push(Block::Step(
            "!".to_owned(),
            format!("{}. {} ({})", caution.about, caution.text, caution.source),
        ));
    }
    blocks.push(Block::Heading("Steps".to_owned()));
    for (nth, step) in steps(plan, allowed).into_iter().enumerate() {
        blocks.push(Block::Step(format!("{}.", nth + 1), step));
    }
    blocks
}

/// The steps in order.
pub(super) fn steps(plan: &Plan, allowed: Option<&Allowed>) -> Vec<String> {
    let design = &plan.design;
    let relief_mm = design.peephole.eye_relief_mm;
    let [front_mm, rear_mm] = Plate::BOTH.map(|plate| design.plates[plate.index()].z_mm);
    let mut steps = vec![
        "Print the patterns at 100 %, check the scales on every sheet, join what belongs together.".to_owned(),
        format!("The front plate stands between the eye and the rods: make it {SEEN_THROUGH}. Lay each pattern on its plate as its sheet says and make the holes through the paper, straight through the plate, on a board. The piercing pin is no thinner than the threading needle (common practice, no source). Mark the axis on both plates."),
        format!(
            "Set the plates upright, parallel and square to the axis, held on battens or in grooves that take the lines’ pull. All distances go from the outer face of the peephole’s plate, where the eye comes, to the faces of the plates that look at the rods: {} mm ({} in) to the front plate, {} mm ({} in) to the rear plate; between these faces there are {} mm ({} in). Peephole and both axis marks lie on one straight line: prick the marks through and sight along a stretched thread. The rear wall stays off until all is threaded and tightened.",
            ruler_mm(front_mm - relief_mm),
            ruler_in(front_mm - relief_mm),
            ruler_mm(rear_mm - relief_mm),
            ruler_in(rear_mm - relief_mm),
            ruler_mm(rear_mm - front_mm),
            ruler_in(rear_mm - front_mm)
        ),
        format!(
            "Make the peephole, {} mm, on the axis. The eye’s pupil comes {} mm from its plate’s outer face. A plate thicker than a millimetre or two hides what lies off the axis: sightdrift peephole says how thick it may be; countersink its far side.{}",
            length_text(design.peephole.diameter_mm),
            ruler_mm(relief_mm),
            allowed
                .and_then(eye_height_sentence)
                .map_or_else(String::new, |sentence| format!(" {sentence}"))
        ),
        "Cut the rods by the cut list; mark the two places of the ties on each. Bend the tabs of rods that can be bent, pierce the ends of rods that are threaded on, and leave the rest to be trimmed at the tie.".to_owned(),
    ];
    steps.extend(line_steps(plan));
    steps.push(format!(
        "Hang the rods one after the other, those next to the rear plate first, so that none is in the way: both ends at the places of the table. {} Look through the peephole after every few rods.",
        tie_sentence(plan)
    ));
    steps.push("Look. If the figure falls apart, do not pull at rods by eye: print the bench sheet (sightdrift measure), fill it in, and ask sightdrift diagnose what spoiled it.".to_owned());
    steps
}

/// On which side of their lines rods are tied.
fn tie_sentence(plan: &Plan) -> String {
    let design = &plan.design;
    let law = design.law(Source::RodTie);
    let beside = design.tie_offsets_mm();
    let away = length_text(beside.iter().copied().fold(0.0, f64::max));
    match law {
        Law::Aimed(aims) if !law.is_silent(0.0) => {
            let sides: BTreeSet<&str> = aims.iter().map(|aim| side_words(*aim)).collect();
            let sides: Vec<&str> = sides.into_iter().collect();
            format!(
                "Tie every rod {} its line, as the visitor sees it, in a jig: the rod’s axis up to {away} mm from the line’s, where they touch.",
                sides.join(" or ")
            )
        }
        _ if law.is_silent(0.0) => {
            "The line runs through the rod’s ends, not beside them.".to_owned()
        }
        _ => format!(
            "The scenario leaves open on which side of its line a rod is tied (its axis up to {away} mm from the line’s); all on one side, in a jig, is better."
        ),
    }
}

/// The side on which a rod lies that is tied at this offset; +x is the visitor's left.
fn side_words(aim: Pair) -> &'static str {
    if aim.y.abs() >= aim.x.abs() {
        if aim.y >= 0.0 { "above" } else { "below" }
    } else if aim.x > 0.0 {
        "to the left of"
    } else {
        "to the right of"
    }
}

fn line_steps(plan: &Plan) -> Vec<String> {
    let Some(threading) = &plan.design.line.threading else {
        return vec!["Eye protection on. Thread every line through its two holes, anchor it at one plate, pull it to its tension (table of lines) and anchor it at the other. A rod whose ends the lines run through is threaded on now.".to_owned()];
    };
    let pulled = match (threading.tightening, threading.pulled_at) {
        (Tightening::EachRun, _) => {
            "pull run after run tight, each to its tension, and hold it with a peg in its hole until the next is pulled"
        }
        (Tightening::EndsOnly, PulledAt::First) => "pull it only at its first end",
        (Tightening::EndsOnly, PulledAt::Last) => "pull it only at its last end",
    };
    vec![format!(
        "Eye protection on. Lead the one line through all holes in the threading order, anchor it, and {pulled}. A rod whose ends the lines run through is threaded on now."
    )]
}
