//! The parts that a schema is put together of: quantities with their units, tables, choices.

use crate::units::Kind;
use serde_json::{Map, Value, json};

/// All kinds, with the name under which the schema defines each.
const KINDS: [(Kind, &str); 9] = [
    (Kind::Length, "length"),
    (Kind::Angle, "angle"),
    (Kind::Force, "force"),
    (Kind::MassPerLength, "mass_per_length"),
    (Kind::Luminance, "luminance"),
    (Kind::SolidField, "field_area"),
    (Kind::Age, "age"),
    (Kind::Acceleration, "acceleration"),
    (Kind::Number, "number"),
];

/// The name under which a kind is defined.
pub(super) fn kind_name(kind: Kind) -> &'static str {
    KINDS
        .iter()
        .find(|(one, _)| *one == kind)
        .map_or("number", |(_, name)| name)
}

/// The definitions of all quantities and pairs of them, and with each what `more` adds.
pub(super) fn kinds<I: IntoIterator<Item = (String, Value)>>(
    more: impl Fn(Kind) -> I,
) -> Map<String, Value> {
    let mut definitions = Map::new();
    for (kind, name) in KINDS {
        definitions.insert(name.to_owned(), definition(kind));
        definitions.insert(
            format!("{name}_pair"),
            json!({
                "type": "array",
                "items": { "$ref": format!("#/$defs/{}", kind_name(kind)) },
                "minItems": 2,
                "maxItems": 2,
                "description": "[x, y]: x to the viewer's left, y up",
            }),
        );
        definitions.extend(more(kind));
    }
    definitions
}

/// What a quantity of this kind may be: a bare number, or a text of a number and a unit.
fn definition(kind: Kind) -> Value {
    let spellings: Vec<String> = kind
        .units()
        .iter()
        .filter(|(unit, _)| !unit.is_empty())
        .flat_map(|(unit, _)| spellings(unit))
        .collect();
    let units = spellings.join("|");
    let number = "[+-]?([0-9]+\\.?[0-9]*|\\.[0-9]+)([eE][+-]?[0-9]+)?";
    let (may_be_bare, bare) = match kind.shown_unit() {
        "" => ("?", "a bare number has no unit".to_owned()),
        unit => ("", format!("a bare number is in {unit}")),
    };
    let listed: Vec<&str> = kind
        .units()
        .iter()
        .map(|(unit, _)| *unit)
        .filter(|unit| !unit.is_empty())
        .collect();
    json!({
        "description": format!("{}: {bare}; as a text with one of {}", kind.noun(), listed.join(", ")),
        "anyOf": [
            { "type": "number" },
            { "type": "string", "pattern": format!("^\\s*{number}\\s*({units}){may_be_bare}\\s*$") },
        ],
    })
}

/// A unit as it may be written: µm for um, m/s² for m/s2, ″ for in.
fn spellings(unit: &str) -> Vec<String> {
    let mut all = vec![unit.to_owned()];
    if unit.contains('2') {
        all.push(unit.replace('2', "²"));
    }
    if let Some(rest) = unit.strip_prefix('u') {
        all.push(format!("µ{rest}"));
    }
    if unit == "in" {
        all.push("″".to_owned());
    }
    all
}

/// A quantity of a kind, and what it says.
pub(super) fn quantity(kind: Kind, says: &str) -> Value {
    json!({ "$ref": format!("#/$defs/{}", kind_name(kind)), "description": said(kind, says) })
}

/// Two quantities, to the viewer's left and up.
pub(super) fn pair(kind: Kind, says: &str) -> Value {
    json!({ "$ref": format!("#/$defs/{}_pair", kind_name(kind)), "description": said(kind, says) })
}

/// What is said, with the unit of a bare number.
fn said(kind: Kind, says: &str) -> String {
    match kind.shown_unit() {
        "" => says.to_owned(),
        unit => format!("{says}; a bare number is in {unit}"),
    }
}

/// A text for people of so many characters.
pub(super) fn words(longest: usize, says: &str) -> Value {
    json!({ "type": "string", "minLength": 1, "maxLength": longest, "description": says })
}

/// One of some words.
pub(super) fn choice<'w>(words: impl IntoIterator<Item = &'w str>, says: &str) -> Value {
    let words: Vec<&str> = words.into_iter().collect();
    json!({ "enum": words, "description": says })
}

/// A whole number within bounds.
pub(super) fn whole(low: u64, high: u64, says: &str) -> Value {
    json!({ "type": "integer", "minimum": low, "maximum": high, "description": says })
}

/// A table with these keys and no others.
pub(super) fn table(
    says: &str,
    needed: &[&str],
    keys: impl IntoIterator<Item = (&'static str, Value)>,
) -> Value {
    let mut properties = Map::new();
    for (key, value) in keys {
        properties.insert(key.to_owned(), value);
    }
    let mut object = json!({
        "type": "object",
        "description": says,
        "additionalProperties": false,
        "properties": properties,
    });
    if !needed.is_empty() {
        object["required"] = json!(needed);
    }
    object
}
