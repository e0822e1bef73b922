//! Sources of error in the schema: what a spread may be, and what each source takes.

use super::parts::{choice, kind_name, pair, quantity, table};
use crate::figure::Source;
use crate::units::Kind;
use serde_json::{Map, Value, json};

/// Spreads that are referred to: for every kind with one number and with two.
pub(super) fn definitions(kind: Kind) -> [(String, Value); 2] {
    [1, 2].map(|components| (name(kind, components), spread(kind, components)))
}

fn name(kind: Kind, components: usize) -> String {
    match components {
        2 => format!("{}_spread_across", kind_name(kind)),
        _ => format!("{}_spread", kind_name(kind)),
    }
}

/// A reference to a spread.
pub(super) fn spread_of(kind: Kind, components: usize, says: &str) -> Value {
    json!({ "$ref": format!("#/$defs/{}", name(kind, components)), "description": says })
}

fn spread(kind: Kind, components: usize) -> Value {
    let mut any = vec![json!({ "$ref": format!("#/$defs/{}", kind_name(kind)) })];
    if components == 2 {
        any.push(json!({ "$ref": format!("#/$defs/{}_pair", kind_name(kind)) }));
    }
    any.extend(forms(kind, components));
    json!({ "description": format!("one value, or a distribution of {}", kind.noun()), "anyOf": any })
}

/// One number for all, or one for each of two directions.
fn numbers(kind: Kind, components: usize, says: &str) -> Value {
    match components {
        2 => json!({
            "anyOf": [quantity(kind, says), pair(kind, says)],
            "description": says,
        }),
        _ => quantity(kind, says),
    }
}

/// A form with a width: its own, or `plus_minus` with `coverage`.
fn with_width(
    kind: Kind,
    form: &'static str,
    own: &'static str,
    more: Vec<(&'static str, Value)>,
) -> Value {
    let own_says = match own {
        "sd" => "standard deviation, above 0",
        "radius" => "radius of the disc, above 0",
        _ => "bound on either side of the mean, above 0",
    };
    let mut needed = vec!["form"];
    if form == "truncated normal" {
        needed.push("half_width");
    }
    let mut keys = vec![
        ("form", json!({ "const": form })),
        (own, quantity(kind, own_says)),
        (
            "plus_minus",
            quantity(
                kind,
                "half-width of an interval that holds the share `coverage`",
            ),
        ),
        (
            "coverage",
            quantity(
                Kind::Number,
                "share of the values within `plus_minus`, for example 0.95",
            ),
        ),
    ];
    keys.extend(more);
    let mut form = table(&format!("{form} distribution"), &needed, keys);
    form["oneOf"] = json!([
        { "required": [own], "not": { "anyOf": [{ "required": ["plus_minus"] }, { "required": ["coverage"] }] } },
        { "required": ["plus_minus", "coverage"], "not": { "required": [own] } },
    ]);
    form
}

fn forms(kind: Kind, components: usize) -> Vec<Value> {
    let mean = || {
        (
            "mean",
            numbers(
                kind,
                components,
                "middle of the distribution, 0 if not given",
            ),
        )
    };
    let mut all = vec![
        table(
            "one value",
            &["form", "value"],
            [
                ("form", json!({ "const": "fixed" })),
                ("value", numbers(kind, components, "the value")),
            ],
        ),
        with_width(kind, "normal", "sd", vec![mean()]),
        with_width(
            kind,
            "truncated normal",
            "sd",
            vec![
                mean(),
                (
                    "half_width",
                    quantity(kind, "bound at which the normal is cut, above 0"),
                ),
            ],
        ),
        with_width(kind, "uniform", "half_width", vec![mean()]),
        with_width(kind, "triangular", "half_width", vec![mean()]),
        with_width(kind, "arcsine", "half_width", vec![mean()]),
        table(
            "lognormal distribution",
            &["form", "median", "sd_log"],
            [
                ("form", json!({ "const": "lognormal" })),
                ("median", quantity(kind, "median, above 0")),
                (
                    "sd_log",
                    quantity(Kind::Number, "standard deviation of the logarithm, above 0"),
                ),
            ],
        ),
    ];
    if components == 2 {
        all.push(with_width(kind, "disc", "radius", vec![mean()]));
    }
    let units = kind.units().iter().map(|(unit, _)| *unit);
    all.push(table("values from a file, drawn again row by row", &["form", "file", "columns", "unit"], [
        ("form", json!({ "const": "measured" })),
        ("file", json!({ "type": "string", "minLength": 1, "description": "a CSV file with a header, beside the scenario" })),
        ("columns", json!({
            "type": "array",
            "items": { "type": "string" },
            "minItems": components,
            "maxItems": components,
            "description": "names of the columns",
        })),
        ("unit", choice(units, "unit of the columns")),
    ]));
    all
}

/// A direction across the axis.
fn direction() -> Value {
    table(
        "always in one direction",
        &["direction"],
        [(
            "direction",
            quantity(Kind::Angle, "from the viewer's left (+x) towards up (+y)"),
        )],
    )
}

/// What a source of error takes.
pub(super) fn source(source: Source) -> Value {
    let says = source.words();
    match source {
        Source::HoleSlack(_) => json!({
            "description": format!("{says}: where the line lies in its hole"),
            "anyOf": [choice(["random", "pulled", "off"], "anywhere, where the next hole pulls it, or in the middle"), direction()],
        }),
        Source::RodTie => json!({
            "description": format!("{says}: on which side of the line the rod is tied"),
            "anyOf": [choice(["random", "off"], "on any side, or with its axis on the line"), direction()],
        }),
        Source::Pupil => json!({
            "description": says,
            "anyOf": [spread_of(source.kind(), source.components(), "diameter"), light()],
        }),
        Source::Acuity => spread_of(
            source.kind(),
            source.components(),
            &format!("{says}, in logMAR"),
        ),
        // a bow is a length in a random direction
        Source::RodBow => or_off(spread_of(source.kind(), 1, &says), &says),
        _ => or_off(spread_of(source.kind(), source.components(), &says), &says),
    }
}

fn or_off(spread: Value, says: &str) -> Value {
    json!({ "description": says, "anyOf": [{ "const": "off" }, spread] })
}

/// A pupil that follows from light and age.
fn light() -> Value {
    table(
        "from the light and the visitor's age",
        &["luminance", "field_area", "age"],
        [
            (
                "luminance",
                quantity(
                    Kind::Luminance,
                    "of the field that the eye adapts to, above 0",
                ),
            ),
            (
                "field_area",
                quantity(Kind::SolidField, "how large that field is, above 0"),
            ),
            (
                "both_eyes",
                json!({ "type": "boolean", "description": "whether both eyes see it; false if not given" }),
            ),
            (
                "age",
                spread_of(Kind::Age, 1, "the visitors' age, 0 to 120 years"),
            ),
        ],
    )
}

/// The tables of some sources, named as in `[errors]`; a table `plates` speaks of both plates at once.
pub(super) fn tables(sources: &[Source]) -> Vec<(&'static str, Value)> {
    let mut found: Vec<(&'static str, Map<String, Value>)> = Vec::new();
    let mut put = |table: &'static str, key: &'static str, value: Value| {
        if let Some((_, keys)) = found.iter_mut().find(|(name, _)| *name == table) {
            keys.insert(key.to_owned(), value);
        } else {
            found.push((table, Map::from_iter([(key.to_owned(), value)])));
        }
    };
    for one in sources {
        let (table, key) = one.key();
        put(table, key, source(*one));
        if one.plate().is_some() {
            put("plates", key, source(*one));
        }
    }
    let says = |table: &str| match table {
        "front" => "errors of the front plate alone",
        "rear" => "errors of the rear plate alone",
        "plates" => "errors of both plates; a plate's own table goes before it",
        "line" => "errors of the lines",
        "rod" => "errors of the rods",
        "peephole" => "errors of the peephole",
        _ => "the eye, anew at each look",
    };
    let tables = found.into_iter().map(|(name, keys)| {
        let object = json!({
            "type": "object",
            "description": says(name),
            "additionalProperties": false,
            "properties": keys,
        });
        (name, object)
    });
    tables.collect()
}
