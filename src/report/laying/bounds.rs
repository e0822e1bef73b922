//! Within what a layout was chosen: every bound, its value, and where it comes from.

use super::super::words::figures;
use crate::decision::laying::LaidOut;
use crate::figure::Allowed;
use crate::mechanics::{LARGEST_SAG_SHARE, STEEPEST_LINE_DEG};

/// What a bound is about, its value, and where it comes from.
pub(super) type BoundRow = [String; 3];

/// Every bound.
pub(super) fn bound_rows(found: &LaidOut) -> Vec<BoundRow> {
    let allowed = &found.allowed;
    let mut rows = cabinet_rows(allowed);
    rows.extend(room_rows(allowed));
    rows.extend(stock_rows(allowed));
    rows.extend(figure_rows(found));
    rows
}

fn row(what: &str, value: String, origin: String) -> BoundRow {
    [what.to_owned(), value, origin]
}

fn mm(value: f64) -> String {
    format!("{} mm", figures(value))
}

/// Where a bound comes from: its key in the scenario, or the reason of its default.
fn from(allowed: &Allowed, key: &'static str, reason: &str) -> String {
    if allowed.said.contains(key) {
        format!("the scenario ({key})")
    } else {
        reason.to_owned()
    }
}

fn cabinet_rows(allowed: &Allowed) -> Vec<BoundRow> {
    let [width, height, depth] = allowed.inside_mm;
    let [left_mm, up_mm] = allowed.axis_mm;
    vec![
        row(
            "cabinet inside: width, height, depth",
            format!("{} × {} × {}", figures(width), figures(height), mm(depth)),
            "the scenario".to_owned(),
        ),
        row(
            "axis from the left wall, above the floor",
            format!("{}, {}", figures(left_mm), mm(up_mm)),
            from(allowed, "eye_from_left", "in the middle across; eye_height"),
        ),
        row(
            "peephole and cabinet's floor above the ground",
            if allowed.said.contains("stands_at") {
                format!(
                    "{}, {}",
                    figures(allowed.eye_height_mm),
                    mm(allowed.floor_mm())
                )
            } else {
                "not said".to_owned()
            },
            "eye_height with stands_at".to_owned(),
        ),
    ]
}

fn room_rows(allowed: &Allowed) -> Vec<BoundRow> {
    const HAND: &str = "chosen: a hand with a needle";
    let window = allowed
        .window_mm
        .map_or_else(|| "half of the way to the rear plate".to_owned(), mm);
    let [front_mm, rear_mm] = allowed.holes_apart_mm;
    let named = |what: &str, value: String, key: &'static str, reason: &str| {
        row(what, value, from(allowed, key, reason))
    };
    vec![
        named(
            "peephole's plate to front plate, at least",
            mm(allowed.front_room_mm),
            "front_room",
            HAND,
        ),
        named(
            "rear plate to rear wall, at least",
            mm(allowed.rear_room_mm),
            "rear_room",
            HAND,
        ),
        named(
            "rods behind the front plate, at least",
            window,
            "window_clearance",
            "rods stay in the half away from the window: common practice, no source",
        ),
        named(
            "rods before the rear plate, at least",
            mm(allowed.rear_clear_mm),
            "rear_clearance",
            "chosen",
        ),
        named(
            "space between rods, and rods and other lines",
            mm(allowed.rod_gap_mm),
            "rod_gap",
            "chosen: 1 mm, or a line's thickness where that is more",
        ),
        named(
            "holes from middle to middle, front, rear",
            format!("{}, {}", figures(front_mm), mm(rear_mm)),
            "holes_apart",
            "three hole diameters: common practice, no source",
        ),
        named(
            "hole's rim from a wall, at least",
            mm(allowed.hole_to_wall_mm),
            "hole_to_wall",
            "chosen",
        ),
    ]
}

fn stock_rows(allowed: &Allowed) -> Vec<BoundRow> {
    let [shortest_mm, longest_mm] = allowed.length_mm;
    let [nearest_mm, farthest_mm] = allowed.depth_mm;
    [
        ("shortest rod", "shortest", shortest_mm),
        ("longest rod", "longest", longest_mm),
        ("nearest depth of a rod's end", "nearest", nearest_mm),
        ("farthest depth of a rod's end", "farthest", farthest_mm),
    ]
    .map(|(what, key, value)| {
        let value = if allowed.said.contains(key) {
            mm(value)
        } else {
            "any".to_owned()
        };
        row(what, value, from(allowed, key, "not said in [rods]"))
    })
    .to_vec()
}

fn figure_rows(found: &LaidOut) -> Vec<BoundRow> {
    let allowed = &found.allowed;
    let degrees = |rad: f64| format!("{}°", figures(rad.to_degrees()));
    let percent = |share: f64| format!("{} %", figures(100.0 * share));
    let [smallest, largest] = allowed.figure_rad.map(degrees);
    vec![
        row(
            "smallest figure, across",
            smallest,
            from(allowed, "smallest_figure", "chosen: half of what is drawn"),
        ),
        row(
            "largest figure, across",
            largest,
            from(allowed, "largest_figure", "chosen: twice what is drawn"),
        ),
        row(
            "spread of depths over the cabinet's depth, at least",
            percent(allowed.least_spread),
            from(
                allowed,
                "least_spread",
                "chosen; ends that fill a third of the cabinet evenly have twice as much",
            ),
        ),
        row(
            "falls apart at a head movement of at most",
            mm(found.apart_within_mm),
            from(
                allowed,
                "apart_within",
                "chosen: twice the peephole's diameter, or what the scenario's own layout has where that is more",
            ),
        ),
        row(
            "looks that show the whole figure, at least",
            percent(found.clear_share),
            "judging.clear_share and room for chance, or what the scenario's own layout has where that is less"
                .to_owned(),
        ),
        row(
            "slope of a line, sag, view of the mean eye",
            format!(
                "{STEEPEST_LINE_DEG}°, {} of the span, {} of the pupil",
                percent(LARGEST_SAG_SHARE),
                percent(found.chosen.plan.design.peephole.clip_below)
            ),
            "what the model holds for, and peephole.clip_below".to_owned(),
        ),
    ]
}
