//! The scenario's JSON Schema (draft 2020-12): every key that the reader knows, with its meaning and its units.
//!
//! It is for editors and for programs that write scenarios: they find a mistyped key or a wrong type at once. What a key means
//! together with others (depths between the plates, a figure that the peephole shows) only the reader knows.

mod explicit;
mod laws;
mod parts;
mod tables;

pub use explicit::explicit_schema;

use crate::figure::{Source, Step};
use crate::units::Kind;
use parts::{choice, kinds, quantity, table, words};
use serde_json::{Value, json};

/// The schema.
#[must_use]
pub fn scenario_schema() -> Value {
    let mut schema = json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "sightdrift scenario",
        "$comment": format!("of sightdrift {}", env!("CARGO_PKG_VERSION")),
    });
    let top = table(
        "A one-eye viewpoint exhibit: figure, cabinet, lines, rods, peephole, and how well each step of the work can be done",
        &["work", "figure", "cabinet", "peephole", "line", "rods"],
        [
            ("title", words(120, "title of the figure")),
            ("note", words(2000, "what its author says of it")),
            ("work", tables::grade()),
            ("figure", tables::figure()),
            ("cabinet", tables::cabinet()),
            ("peephole", tables::peephole()),
            ("line", tables::line()),
            ("rods", tables::rods()),
            ("allowed", tables::allowed()),
            ("errors", errors()),
            ("eye", eye()),
            ("judging", tables::judging()),
            ("run", tables::run()),
            ("cost", cost()),
            ("ways", ways()),
        ],
    );
    for (key, value) in top.as_object().into_iter().flatten() {
        schema[key.as_str()] = value.clone();
    }
    schema["$defs"] = Value::Object(kinds(laws::definitions));
    schema
}

/// `[errors]`: all sources but the eye's.
fn errors() -> Value {
    let work: Vec<Source> = Source::ALL
        .into_iter()
        .filter(|source| source.key().0 != "eye")
        .collect();
    table(
        "what may go wrong in the work; what is left out follows from the grade of work",
        &[],
        laws::tables(&work),
    )
}

/// `[eye]`: the visitor's eye and the light.
fn eye() -> Value {
    let of_the_eye: Vec<Source> = Source::ALL
        .into_iter()
        .filter(|source| source.key().0 == "eye")
        .collect();
    let own = [
        (
            "luminance",
            quantity(Kind::Luminance, "of what the eye looks at, above 0"),
        ),
        (
            "focus_distance",
            quantity(
                Kind::Length,
                "what the eye is focused at, from the station point, above 0",
            ),
        ),
        (
            "wavelength",
            quantity(Kind::Length, "of the light, for diffraction, above 0"),
        ),
    ];
    let sources = of_the_eye
        .into_iter()
        .map(|source| (source.key().1, laws::source(source)));
    table(
        "the visitor's eye and the light",
        &[],
        own.into_iter().chain(sources),
    )
}

/// `[cost]`: the unit of the ways' costs.
fn cost() -> Value {
    table(
        "in what the ways' costs are; minutes of work if not given",
        &[],
        [
            ("unit", words(12, "for example EUR")),
            (
                "minute",
                quantity(
                    Kind::Number,
                    "what a minute of work costs in this unit, above 0",
                ),
            ),
        ],
    )
}

/// `[[ways]]`: a way's keys depend on its step.
fn ways() -> Value {
    let steps = || Step::ALL.into_iter().filter(|step| step.is_work());
    json!({
        "type": "array",
        "maxItems": 100,
        "description": "the workshop's own ways of working, for `tolerances`; in the place of the shipped ones of the same step",
        "items": { "oneOf": steps().map(way).collect::<Vec<Value>>() },
    })
}

fn way(step: Step) -> Value {
    let others = Step::ALL
        .into_iter()
        .filter(|other| other.is_work() && *other != step)
        .map(|other| (other.name(), words(80, "name of a way of this step")));
    let mut keys = vec![
        (
            "step",
            json!({ "const": step.name(), "description": step.words() }),
        ),
        ("name", words(80, "what the workshop calls it")),
        (
            "cost",
            quantity(Kind::Number, "what it costs once, 0 or more"),
        ),
        (
            "cost_per_item",
            quantity(
                Kind::Number,
                "what it costs for each hole, line or rod, 0 or more",
            ),
        ),
        ("reason", words(300, "why it is as good as it is")),
        (
            "needs",
            table("ways of other steps that this one needs", &[], others),
        ),
    ];
    if step == Step::Tension {
        let says = "how one line led through all holes is tightened";
        keys.push(("tightened", choice(["each run", "ends only"], says)));
    }
    if step == Step::HoleSlack {
        keys.push((
            "front_hole",
            quantity(Kind::Length, "diameter of the front plate's holes"),
        ));
        keys.push((
            "rear_hole",
            quantity(Kind::Length, "diameter of the rear plate's holes"),
        ));
    }
    keys.extend(laws::tables(&step.sources()));
    let mut way = table(step.words(), &["step", "name"], keys);
    way["anyOf"] = json!([{ "required": ["cost"] }, { "required": ["cost_per_item"] }]);
    way
}
