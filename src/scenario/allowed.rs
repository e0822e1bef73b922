//! `[allowed]`: within what `lay-out` may choose plates, scale and depths.

use super::table::{At, Table};
use crate::figure::Allowed;
use crate::units::Kind;
use std::collections::BTreeSet;

/// What the table says, before plates, holes and rods are known.
#[derive(Debug, Clone)]
pub(super) struct AllowedRead {
    inside_mm: [f64; 3],
    axis_mm: [f64; 2],
    eye_height_mm: f64,
    front_room_mm: Option<f64>,
    rear_room_mm: Option<f64>,
    window_mm: Option<f64>,
    rear_clear_mm: Option<f64>,
    rod_gap_mm: Option<f64>,
    holes_apart_mm: Option<f64>,
    hole_to_wall_mm: Option<f64>,
    figure_rad: [Option<f64>; 2],
    least_spread: Option<f64>,
    apart_within_mm: Option<f64>,
    said: BTreeSet<&'static str>,
}

/// What else the bounds follow from.
pub(super) struct Around {
    pub picture_plane_mm: f64,
    /// The figure's extent as it is drawn, rad.
    pub figure_rad: f64,
    pub hole_mm: [f64; 2],
    pub line_mm: f64,
    /// What the scenario says of its rods' lengths and depths, mm.
    pub length_mm: [Option<f64>; 2],
    pub depth_mm: [Option<f64>; 2],
}

const KEYS: [&str; 15] = [
    "width",
    "height",
    "depth",
    "eye_height",
    "stands_at",
    "eye_from_left",
    "front_room",
    "rear_room",
    "window_clearance",
    "rear_clearance",
    "rod_gap",
    "holes_apart",
    "hole_to_wall",
    "least_spread",
    "apart_within",
];

/// Extents of a figure that make sense, degrees.
const FIGURE_DEG: [f64; 2] = [0.5, 60.0];

/// Reads the table; `Some(None)` where there is none.
pub(super) fn read_allowed(top: &Table<'_>) -> Option<Option<AllowedRead>> {
    let table = top.table("allowed");
    if !table.is_there() {
        return top.get_named("allowed").is_none().then_some(None);
    }
    let sides = [
        ("width", "of the cabinet inside, across"),
        ("height", "of the cabinet inside, from its floor up"),
        (
            "depth",
            "of the cabinet inside, from the peephole's plate to the rear wall",
        ),
    ]
    .map(|(key, what)| {
        let found = table.positive(key, Kind::Length);
        if found.is_none() && table.get_named(key).is_none() {
            table.missing(key, &format!("the {key} {what},"));
        }
        found
    });
    let eye = table.positive("eye_height", Kind::Length);
    if eye.is_none() && table.get_named("eye_height").is_none() {
        table.missing(
            "eye_height",
            "the height of the peephole above the cabinet's floor, or of the eye above the ground with `stands_at`,",
        );
    }
    let stands_at = table.quantity("stands_at", Kind::Length);
    let from_left = table.positive("eye_from_left", Kind::Length);
    let least = |key: &'static str| -> Option<Option<At<f64>>> {
        let found = table.quantity(key, Kind::Length);
        let found =
            found.and_then(|found| table.must(key, found, |mm| mm >= 0.0, "must be 0 or more"));
        (found.is_some() || table.get_named(key).is_none()).then_some(found)
    };
    let rooms = [
        "front_room",
        "rear_room",
        "window_clearance",
        "rear_clearance",
        "rod_gap",
        "holes_apart",
        "hole_to_wall",
    ]
    .map(least);
    let extents = ["smallest_figure", "largest_figure"].map(|key| {
        let found = table.quantity(key, Kind::Angle);
        let found = found.and_then(|found| {
            table.must(
                key,
                found,
                |rad| (FIGURE_DEG[0]..=FIGURE_DEG[1]).contains(&rad.to_degrees()),
                "must be from 0.5 to 60 deg",
            )
        });
        (found.is_some() || table.get_named(key).is_none()).then_some(found)
    });
    let spread = table.quantity("least_spread", Kind::Number);
    let spread = spread.and_then(|found| {
        table.must(
            "least_spread",
            found,
            |share| (0.0..=0.5).contains(&share),
            "must be from 0 to 0.5 (0.29 is what ends have that fill the whole cabinet evenly)",
        )
    });
    let apart = table.positive("apart_within", Kind::Length);
    let is_said = |key: &&'static str| table.get_named(key).is_some();
    let said: BTreeSet<&'static str> = KEYS
        .into_iter()
        .chain(["smallest_figure", "largest_figure"])
        .filter(is_said)
        .collect();
    let is_wrong = ["stands_at", "eye_from_left", "least_spread", "apart_within"]
        .into_iter()
        .zip([
            stands_at.is_none(),
            from_left.is_none(),
            spread.is_none(),
            apart.is_none(),
        ])
        .any(|(key, is_unread)| is_unread && said.contains(key));
    let read = axis(
        &table,
        &sides,
        eye.as_ref(),
        stands_at.as_ref(),
        from_left.as_ref(),
    );
    let extents = extents
        .into_iter()
        .collect::<Option<Vec<_>>>()
        .filter(|extents| in_order(&table, extents));
    table.finish();
    let ([width, height, depth], axis_mm) = (sides, read?);
    let [front, rear, window, rear_clear, gap, holes, wall] = rooms;
    let value = |found: Option<At<f64>>| found.map(|found| found.value);
    let [smallest, largest] = <[_; 2]>::try_from(extents?).ok()?;
    if is_wrong {
        return None;
    }
    Some(Some(AllowedRead {
        inside_mm: [width?.value, height?.value, depth?.value],
        axis_mm,
        eye_height_mm: eye?.value,
        front_room_mm: value(front?),
        rear_room_mm: value(rear?),
        window_mm: value(window?),
        rear_clear_mm: value(rear_clear?),
        rod_gap_mm: value(gap?),
        holes_apart_mm: value(holes?),
        hole_to_wall_mm: value(wall?),
        figure_rad: [value(smallest), value(largest)],
        least_spread: value(spread),
        apart_within_mm: value(apart),
        said,
    }))
}

/// Where the axis runs, from the left wall and above the floor, mm; refuses an eye outside the cabinet.
fn axis(
    table: &Table<'_>,
    sides: &[Option<At<f64>>; 3],
    eye: Option<&At<f64>>,
    stands_at: Option<&At<f64>>,
    from_left: Option<&At<f64>>,
) -> Option<[f64; 2]> {
    let [width, height, _] = sides;
    let (width_mm, height_mm) = (width.as_ref()?.value, height.as_ref()?.value);
    let eye = eye?;
    let floor_mm = stands_at.map_or(0.0, |found| found.value);
    let up_mm = eye.value - floor_mm;
    let mut whole = true;
    if !(up_mm > 0.0 && up_mm < height_mm) {
        table.problems.tell(
            &eye.span,
            format!(
                "eye_height is {}: with the cabinet's floor at {floor_mm} mm the peephole would be {up_mm} mm above it, must be within the cabinet's height, 0 to {height_mm} mm",
                table.problems.quote(&eye.span)
            ),
            Some("eye_height and stands_at (the cabinet's floor) are both measured from the ground; without stands_at, eye_height is measured from the cabinet's floor".to_owned()),
        );
        whole = false;
    }
    let left_mm = from_left.map_or(width_mm / 2.0, |found| found.value);
    if let Some(found) = from_left
        && found.value >= width_mm
    {
        table.problems.tell(
            &found.span,
            format!(
                "eye_from_left is {}, must be under the cabinet's width, {width_mm} mm",
                table.problems.quote(&found.span)
            ),
            None,
        );
        whole = false;
    }
    whole.then_some([left_mm, up_mm])
}

/// Refuses a smallest figure above the largest.
fn in_order(table: &Table<'_>, extents: &[Option<At<f64>>]) -> bool {
    if let [Some(smallest), Some(largest)] = extents
        && smallest.value > largest.value
    {
        table.problems.tell(
            &smallest.span,
            format!(
                "smallest_figure is {}, must not be above largest_figure ({})",
                table.problems.quote(&smallest.span),
                table.problems.quote(&largest.span)
            ),
            None,
        );
        return false;
    }
    true
}

impl AllowedRead {
    /// The bounds, with defaults for what is not said.
    pub fn with(self, around: &Around) -> Allowed {
        let [smallest, largest] = Allowed::FIGURE.map(|times| times * around.figure_rad);
        let [said_smallest, said_largest] = self.figure_rad;
        // a bound that is said beyond the other's default takes that one with it
        let figure_rad = [
            said_smallest.unwrap_or(said_largest.map_or(smallest, |most| smallest.min(most))),
            said_largest.unwrap_or(said_smallest.map_or(largest, |least| largest.max(least))),
        ];
        let mut said = self.said;
        let of_rods = ["shortest", "longest", "nearest", "farthest"];
        let bounds = around.length_mm.into_iter().chain(around.depth_mm);
        said.extend(
            of_rods
                .into_iter()
                .zip(bounds)
                .filter_map(|(key, bound)| bound.map(|_| key)),
        );
        let within =
            |[low, high]: [Option<f64>; 2]| [low.unwrap_or(0.0), high.unwrap_or(f64::INFINITY)];
        Allowed {
            inside_mm: self.inside_mm,
            axis_mm: self.axis_mm,
            eye_height_mm: self.eye_height_mm,
            front_room_mm: self.front_room_mm.unwrap_or(Allowed::ROOM_MM),
            rear_room_mm: self.rear_room_mm.unwrap_or(Allowed::ROOM_MM),
            window_mm: self.window_mm,
            rear_clear_mm: self.rear_clear_mm.unwrap_or(Allowed::REAR_CLEAR_MM),
            rod_gap_mm: self
                .rod_gap_mm
                .unwrap_or(Allowed::GAP_MM.max(around.line_mm)),
            holes_apart_mm: around.hole_mm.map(|hole_mm| {
                self.holes_apart_mm
                    .unwrap_or(Allowed::HOLES_APART * hole_mm)
            }),
            hole_to_wall_mm: self.hole_to_wall_mm.unwrap_or(Allowed::HOLE_TO_WALL_MM),
            figure_rad,
            length_mm: within(around.length_mm),
            depth_mm: within(around.depth_mm),
            least_spread: self.least_spread.unwrap_or(Allowed::LEAST_SPREAD),
            apart_within_mm: self.apart_within_mm,
            picture_plane_mm: around.picture_plane_mm,
            said,
        }
    }
}
