//! The JSON Schema of explicit files: any source of error set to a value, the rest at no error.

use super::parts::{kinds, pair, quantity, table};
use crate::figure::{Plate, Source};
use crate::units::Kind;
use serde_json::{Value, json};

/// The schema of the files that `see --with` reads.
#[must_use]
pub fn explicit_schema() -> Value {
    let mut schema = json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "sightdrift explicit file",
        "$comment": format!("of sightdrift {}", env!("CARGO_PKG_VERSION")),
    });
    let top = table(
        "one build and one look with known errors, for `see --with`; what is left out is without error",
        &[],
        [
            (
                "sag",
                json!({
                    "type": "boolean",
                    "description": "whether the weights hang on the lines; if not given, only where a tension is set",
                }),
            ),
            ("front", plate(Plate::Front)),
            ("rear", plate(Plate::Rear)),
            ("holes", holes()),
            ("lines", lines()),
            ("rods", rods()),
            ("peephole", peephole()),
            ("eye", eye()),
        ],
    );
    for (key, value) in top.as_object().into_iter().flatten() {
        schema[key.as_str()] = value.clone();
    }
    schema["$defs"] = Value::Object(kinds(|_| Vec::new()));
    schema
}

/// A source's value under its own key.
fn source(source: Source, says: &str) -> (&'static str, Value) {
    (source.key().1, value(source, says))
}

/// A source's value: one quantity, or two across the axis.
fn value(source: Source, says: &str) -> Value {
    let words = format!("{}: {says}", source.words());
    match source.components() {
        1 => quantity(source.kind(), &words),
        _ => pair(source.kind(), &words),
    }
}

/// A table whose keys are names of the scenario.
fn named(says: &str, one: Value) -> Value {
    json!({ "type": "object", "description": says, "additionalProperties": one })
}

fn plate(of: Plate) -> Value {
    table(
        "the plate as a whole, as in [errors.front] and [errors.rear] of a scenario",
        &[],
        [
            source(Source::PatternShift(of), "how far the pattern lies off"),
            source(Source::PatternTurn(of), "positive from left to up"),
            source(Source::PrintScale(of), "0.01 is 1 % too large"),
            source(Source::SeatDepth(of), "away from the eye"),
            source(Source::TiltX(of), "about the axis to the left"),
            source(Source::TiltY(of), "about the axis up"),
        ],
    )
}

fn holes() -> Value {
    let plate = |of: Plate| {
        let mut hole = table(
            "one hole",
            &[],
            [
                (
                    "scatter",
                    value(Source::HoleScatter(of), "how far the hole lies off"),
                ),
                (
                    "slack",
                    value(Source::HoleSlack(of), "where the line lies in it"),
                ),
                (
                    "slack_towards",
                    quantity(
                        Kind::Angle,
                        "the line lies at the rim in this direction, from the left towards up; instead of `slack`",
                    ),
                ),
            ],
        );
        hole["not"] = json!({ "required": ["slack", "slack_towards"] });
        named("holes by the names of their vertices", hole)
    };
    table(
        "holes of either plate",
        &[],
        [("front", plate(Plate::Front)), ("rear", plate(Plate::Rear))],
    )
}

fn lines() -> Value {
    let line = table(
        "one line",
        &[],
        [(
            "tension",
            quantity(
                Kind::Force,
                "the tension that it really has, after all losses, above 0",
            ),
        )],
    );
    named("lines by the names of their vertices", line)
}

fn rods() -> Value {
    let ends = |one: Value, says: &str| json!({ "type": "array", "items": one, "minItems": 2, "maxItems": 2, "description": says });
    let tie = value(Source::RodTie, "from the line's axis to the rod's end");
    let slip = quantity(Kind::Length, "along the line, away from the eye");
    let rod = table(
        "one rod; its ends are in the order of its lines",
        &[],
        [
            (
                "tie",
                ends(tie, "two pairs [[x, y], [x, y]], one for each end"),
            ),
            ("slip", ends(slip, "rod slip of its first and second end")),
            (
                "bow",
                pair(
                    Kind::Number,
                    "rod bow, shares of its length: across the view, and in depth",
                ),
            ),
        ],
    );
    named("rods by their names", rod)
}

fn peephole() -> Value {
    table(
        "the peephole",
        &[],
        [
            source(Source::PeepholeShift, "how far its centre lies off"),
            source(Source::PeepholeDepth, "away from the eye"),
            (
                "diameter",
                quantity(Kind::Length, "instead of the scenario's, above 0"),
            ),
        ],
    )
}

fn eye() -> Value {
    table(
        "the eye that looks",
        &[],
        [
            source(Source::EyeOffset, "how far it stands off the axis"),
            source(
                Source::EyeRelief,
                "how much nearer to the peephole than planned",
            ),
            source(
                Source::Pupil,
                "diameter, above 0; the scenario's mean if not given",
            ),
            source(Source::Acuity, "logMAR; the scenario's mean if not given"),
        ],
    )
}
