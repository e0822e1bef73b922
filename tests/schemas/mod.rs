//! Reads schemas, and what readers say of keys, for the tests that hold the two together.
#![allow(dead_code)] // each test file uses its own part

use serde_json::Value;
use std::collections::BTreeSet;

/// The list that follows `words` in what is told.
pub fn listed(told: &str, words: &str) -> BTreeSet<String> {
    let at = told
        .find(words)
        .unwrap_or_else(|| panic!("`{words}` is not in:\n{told}"));
    let list = told[at + words.len()..].lines().next().unwrap_or("");
    list.split(", ").map(str::to_owned).collect()
}

/// Follows references.
pub fn resolved<'s>(schema: &'s Value, mut part: &'s Value) -> &'s Value {
    while let Some(place) = part["$ref"].as_str() {
        part = schema
            .pointer(&place[1..])
            .unwrap_or_else(|| panic!("{place} is not there"));
    }
    part
}

/// The keys of a table's schema.
pub fn keys(schema: &Value, place: &str) -> BTreeSet<String> {
    let part = schema
        .pointer(place)
        .unwrap_or_else(|| panic!("{place} is not there"));
    let part = resolved(schema, part);
    assert_eq!(part["additionalProperties"], Value::Bool(false), "{place}");
    part["properties"]
        .as_object()
        .unwrap_or_else(|| panic!("{place}"))
        .keys()
        .cloned()
        .collect()
}

/// A TOML file as JSON has it.
pub fn as_json(text: &str) -> Value {
    let table: toml::Table = text.parse().expect("TOML");
    serde_json::to_value(table).expect("JSON")
}
