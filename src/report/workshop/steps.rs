//! The steps of the assembly, and the cautions that belong to them.

use super::flow::Block;
use super::tables::{SEEN_THROUGH, length_text, ruler_mm};
use crate::figure::{Allowed, Plan, Plate};
use crate::mechanics::{PulledAt, Tightening};
use crate::report::cautions::cautions;
use crate::report::eye_heights::eye_height_sentence;

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
    let face_mm = relief_mm + design.peephole.plate_mm;
    let [front_mm, rear_mm] = Plate::BOTH.map(|plate| design.plates[plate.index()].z_mm);
    let mut steps = vec![
        "Print the patterns at 100 %, check the scales on every sheet, join what belongs together.".to_owned(),
        format!("The front plate stands between the eye and the rods: make it {SEEN_THROUGH}. Lay each pattern on its plate as its sheet says and make the holes through the paper, straight through the plate, on a board. The piercing pin is no thinner than the threading needle (common practice, no source). Mark the axis on both plates."),
        format!(
            "Set the plates upright, parallel and square to the axis. From the peephole’s plate, its face towards the rods, the front plate stands at {} mm and the rear plate at {} mm; between the plates there are {} mm. Peephole and both axis marks lie on one straight line: sight along a stretched thread.",
            ruler_mm(front_mm - face_mm),
            ruler_mm(rear_mm - face_mm),
            ruler_mm(rear_mm - front_mm)
        ),
        format!(
            "Make the peephole, {} mm, on the axis. The eye’s pupil comes {} mm from its plate’s outer face.{}",
            length_text(design.peephole.diameter_mm),
            ruler_mm(relief_mm),
            allowed
                .and_then(eye_height_sentence)
                .map_or_else(String::new, |sentence| format!(" {sentence}"))
        ),
        "Cut the rods by the cut list; mark the two places of the ties on each. Bend the tabs, or pierce the ends.".to_owned(),
    ];
    steps.extend(line_steps(plan));
    steps.push("Tie each rod’s ends at the places of the table, line by line from the rear plate; begin with the rods next to the rear plate, so that no rod hangs in the way. All on the same side of their lines as the scenario says. Look through the peephole after every few rods.".to_owned());
    steps.push("Look. If the figure falls apart, do not pull at rods by eye: print the bench sheet (sightdrift measure), fill it in, and ask sightdrift diagnose what spoiled it.".to_owned());
    steps
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
