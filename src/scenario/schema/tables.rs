//! The schema of each table but those of the sources of error.

use super::parts::{choice, pair, quantity, table, whole, words};
use crate::figure::{Finish, Grade};
use crate::mechanics::{LineMaterial, RodMaterial};
use crate::sampling::Sampling;
use crate::scenario::figure::{MOST_RODS, MOST_VERTICES};
use crate::scenario::judging::{MOST_BUILDS, MOST_LOOKS};
use crate::statistics::IntervalMethod;
use crate::units::Kind::{Acceleration, Angle, Force, Length, MassPerLength, Number};
use serde_json::{Value, json};

/// Longest name of a line or a rod.
const NAME: usize = 60;

pub(super) fn grade() -> Value {
    choice(
        Grade::ALL.map(Grade::name),
        "the grade of work, from which defaults of `errors` and hole widths come",
    )
}

pub(super) fn figure() -> Value {
    let vertex = table(
        "a vertex of the figure: one line runs through it",
        &["name", "x", "y"],
        [
            ("name", words(NAME, "its name, which is also the line's")),
            (
                "x",
                quantity(
                    Length,
                    "to the side that `x_points` says, on the picture plane",
                ),
            ),
            ("y", quantity(Length, "up, on the picture plane")),
        ],
    );
    table(
        "the figure as it is meant to be seen",
        &["picture_plane", "vertices"],
        [
            (
                "picture_plane",
                quantity(
                    Length,
                    "distance of the picture plane from the station point, above 0",
                ),
            ),
            (
                "x_points",
                choice(
                    ["left", "right"],
                    "to which of the viewer's sides x grows; left if not given",
                ),
            ),
            (
                "vertices",
                json!({
                    "type": "array",
                    "minItems": 2,
                    "maxItems": MOST_VERTICES,
                    "items": vertex,
                    "description": "all vertices; lines run under 45° off the axis",
                }),
            ),
        ],
    )
}

pub(super) fn cabinet() -> Value {
    table(
        "the two plates and the pull of gravity",
        &["front_plate", "rear_plate"],
        [
            (
                "front_plate",
                quantity(
                    Length,
                    "distance of the front plate from the station point, above 0",
                ),
            ),
            (
                "rear_plate",
                quantity(
                    Length,
                    "distance of the rear plate from the station point, beyond the front plate",
                ),
            ),
            (
                "front_centre",
                pair(
                    Length,
                    "about what the front pattern turns and grows, across the axis",
                ),
            ),
            (
                "rear_centre",
                pair(
                    Length,
                    "about what the rear pattern turns and grows, across the axis",
                ),
            ),
            (
                "front_hole",
                quantity(
                    Length,
                    "diameter of the front plate's holes, no narrower than the line",
                ),
            ),
            (
                "rear_hole",
                quantity(
                    Length,
                    "diameter of the rear plate's holes, no narrower than the line",
                ),
            ),
            (
                "gravity",
                quantity(
                    Acceleration,
                    "strength of gravity, 0 to 100 m/s2; 9.80665 if not given",
                ),
            ),
            (
                "gravity_direction",
                pair(
                    Number,
                    "where gravity pulls, across the axis; [0, -1], down, if not given",
                ),
            ),
        ],
    )
}

pub(super) fn peephole() -> Value {
    table(
        "the hole that one looks through",
        &["diameter", "eye_relief"],
        [
            ("diameter", quantity(Length, "its diameter, above 0")),
            (
                "eye_relief",
                quantity(
                    Length,
                    "from the station point (the pupil) to its plate, above 0",
                ),
            ),
            (
                "plate_thickness",
                quantity(Length, "how thick its plate is, 0 or more"),
            ),
            (
                "clip_below",
                quantity(
                    Number,
                    "share of the pupil under which a point is clipped, above 0 and at most 1; 0.25 if not given",
                ),
            ),
        ],
    )
}

pub(super) fn line() -> Value {
    let threading = table(
        "one line led through all holes",
        &["order", "friction", "tightened"],
        [
            (
                "order",
                json!({
                    "type": "array",
                    "items": words(NAME, "a line's name"),
                    "description": "names of all lines in the order of threading",
                }),
            ),
            (
                "friction",
                quantity(Number, "friction coefficient over the holes' walls, 0 to 2"),
            ),
            (
                "tightened",
                choice(["each run", "ends only"], "where it is pulled tight"),
            ),
            (
                "enters",
                choice(
                    ["front", "rear"],
                    "by which plate it enters the first line; front if not given",
                ),
            ),
            (
                "pulled_at",
                choice(
                    ["first", "last"],
                    "at which end it is pulled; last if not given",
                ),
            ),
        ],
    );
    let mut line = table(
        "the taut lines",
        &["diameter"],
        [
            (
                "material",
                choice(
                    LineMaterial::ALL.iter().map(|one| one.name),
                    "what it is made of",
                ),
            ),
            ("diameter", quantity(Length, "its diameter, above 0")),
            (
                "mass_per_length",
                quantity(
                    MassPerLength,
                    "instead of, or over, the material's, 0 or more",
                ),
            ),
            (
                "tension",
                quantity(Force, "of every line that has none of its own, above 0"),
            ),
            (
                "tensions",
                json!({
                    "type": "object",
                    "additionalProperties": quantity(Force, "tension of this line, above 0"),
                    "description": "tensions of single lines by name",
                }),
            ),
            ("threading", threading),
        ],
    );
    line["anyOf"] = json!([{ "required": ["material"] }, { "required": ["mass_per_length"] }]);
    line
}

pub(super) fn rods() -> Value {
    let material = || {
        let names = RodMaterial::ALL.iter().map(|one| one.name);
        choice(names, "what the rod is made of; or mass_per_length")
    };
    let diameter = || quantity(Length, "the rod's diameter, above 0");
    let mass = || quantity(MassPerLength, "in the place of a material, 0 or more");
    let rod = table(
        "a rod tied to two lines",
        &["lines", "depths"],
        [
            (
                "name",
                words(NAME, "its name; called after its lines if not given"),
            ),
            (
                "lines",
                json!({
                    "type": "array",
                    "items": words(NAME, "a vertex's name"),
                    "minItems": 2,
                    "maxItems": 2,
                    "description": "names of the two lines",
                }),
            ),
            (
                "depths",
                json!({
                    "type": "array",
                    "items": quantity(Length, "distance of an end from the station point"),
                    "minItems": 2,
                    "maxItems": 2,
                    "description": "distances of both ends from the station point, between the plates",
                }),
            ),
            ("diameter", diameter()),
            ("material", material()),
            ("mass_per_length", mass()),
        ],
    );
    table(
        "the rods; diameter and material here are those of all that have none of their own",
        &["list"],
        [
            ("diameter", diameter()),
            ("material", material()),
            ("mass_per_length", mass()),
            (
                "shortest",
                quantity(
                    Length,
                    "shortest rod of the stock, for other depths than those listed",
                ),
            ),
            ("longest", quantity(Length, "longest rod of the stock")),
            (
                "nearest",
                quantity(
                    Length,
                    "nearest depth at which a rod may hang, between the plates",
                ),
            ),
            (
                "farthest",
                quantity(
                    Length,
                    "farthest depth at which a rod may hang, between the plates",
                ),
            ),
            (
                "list",
                json!({
                    "type": "array",
                    "minItems": 1,
                    "maxItems": MOST_RODS,
                    "items": rod,
                    "description": "all rods, each tied to two lines",
                }),
            ),
        ],
    )
}

pub(super) fn allowed() -> Value {
    table(
        "within what `lay-out` may choose: the cabinet inside, and how near things may come",
        &["width", "height", "depth", "eye_height"],
        [
            (
                "width",
                quantity(Length, "of the cabinet inside, across, above 0"),
            ),
            (
                "height",
                quantity(Length, "of the cabinet inside, from its floor up, above 0"),
            ),
            (
                "depth",
                quantity(
                    Length,
                    "of the cabinet inside, from the peephole's plate to the rear wall, above 0",
                ),
            ),
            (
                "eye_height",
                quantity(
                    Length,
                    "of the peephole above the cabinet's floor, or above the ground with `stands_at`",
                ),
            ),
            (
                "stands_at",
                quantity(Length, "height of the cabinet's floor above the ground"),
            ),
            (
                "eye_from_left",
                quantity(
                    Length,
                    "of the peephole from the left wall; in the middle if not given",
                ),
            ),
            (
                "front_room",
                quantity(Length, "free room before the front plate, 0 or more"),
            ),
            (
                "rear_room",
                quantity(Length, "free room behind the rear plate, 0 or more"),
            ),
            (
                "window_clearance",
                quantity(
                    Length,
                    "rods at least so far behind the front plate, 0 or more",
                ),
            ),
            (
                "rear_clearance",
                quantity(
                    Length,
                    "rods at least so far before the rear plate, 0 or more",
                ),
            ),
            (
                "rod_gap",
                quantity(
                    Length,
                    "between rods, and between a rod and other lines, 0 or more",
                ),
            ),
            (
                "holes_apart",
                quantity(Length, "from middle to middle of two holes, 0 or more"),
            ),
            (
                "hole_to_wall",
                quantity(Length, "from a hole to the cabinet's wall, 0 or more"),
            ),
            (
                "smallest_figure",
                quantity(Angle, "smallest extent of the figure, above 0"),
            ),
            (
                "largest_figure",
                quantity(Angle, "largest extent of the figure, above 0"),
            ),
            (
                "least_spread",
                quantity(Number, "least scatter of the depths, 0 to 0.5"),
            ),
            (
                "apart_within",
                quantity(
                    Length,
                    "within how much of eye movement the figure is to fall apart, above 0",
                ),
            ),
        ],
    )
}

pub(super) fn judging() -> Value {
    table(
        "what counts as holding",
        &[],
        [
            (
                "finish",
                choice(
                    Finish::ALL.map(Finish::name),
                    "how fine the figure is to be; clean if not given",
                ),
            ),
            (
                "frame",
                choice(
                    ["fitted", "fixed"],
                    "whether drifts are judged after the best fit, or against the cabinet; fitted if not given",
                ),
            ),
            (
                "acuity_factor",
                quantity(Number, "limit in units of the acuity limit, 0 or more"),
            ),
            (
                "cover",
                quantity(
                    Number,
                    "limit in units of the rod's apparent thickness, 0 or more",
                ),
            ),
            (
                "share_of_figure",
                quantity(Number, "limit in units of the figure's extent, 0 or more"),
            ),
            (
                "drift_limit",
                quantity(Angle, "limit of the drift outright, 0.001 to 10000 arcmin"),
            ),
            (
                "gap_limit",
                quantity(Angle, "limit of the gap outright, 0.001 to 10000 arcmin"),
            ),
            (
                "hold_share",
                quantity(
                    Number,
                    "share of its looks that a build must hold in, above 0 and at most 1; 0.9 if not given",
                ),
            ),
            (
                "clear_share",
                quantity(
                    Number,
                    "share of the looks that must show the whole figure, above 0 and at most 1",
                ),
            ),
            (
                "target_yield",
                quantity(
                    Number,
                    "share of the builds that is to pass, above 0 and below 1; 0.9 if not given",
                ),
            ),
        ],
    )
}

pub(super) fn run() -> Value {
    let intervals = [IntervalMethod::Wilson, IntervalMethod::ClopperPearson];
    table(
        "how much is run",
        &[],
        [
            (
                "seed",
                whole(
                    0,
                    i64::MAX as u64,
                    "seed of all random numbers; 1 if not given",
                ),
            ),
            (
                "builds",
                whole(1, MOST_BUILDS, "most builds; 20000 if not given"),
            ),
            (
                "looks",
                whole(1, MOST_LOOKS, "looks at each build; 16 if not given"),
            ),
            (
                "half_width",
                quantity(
                    Number,
                    "of the yield's interval at which the run may stop, above 0 and below 0.5",
                ),
            ),
            (
                "level",
                quantity(
                    Number,
                    "of all intervals, 0.5 to 0.999999; 0.95 if not given",
                ),
            ),
            (
                "interval",
                choice(
                    intervals.map(IntervalMethod::name),
                    "method of the yield's interval",
                ),
            ),
            (
                "sampling",
                choice(
                    Sampling::ALL.map(Sampling::name),
                    "how the random numbers are laid out over the builds",
                ),
            ),
        ],
    )
}
