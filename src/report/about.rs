//! What a report says of itself: scenario, sources of error, and how to make it again.

use super::words::law_words;
use crate::figure::Source;
use crate::scenario::{Origin, Scenario};

/// One source of error as the assumptions list it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SourceRow {
    /// Name in words.
    pub name: String,
    /// Key in a scenario file.
    pub key: String,
    /// How many things it acts on.
    pub items: usize,
    /// Its law in words.
    pub law: String,
    /// Where the law comes from.
    pub origin: String,
}

/// A report's particulars. Nothing in it changes between two runs of the same command.
#[derive(Debug, Clone)]
pub struct About {
    /// Short name: the scenario file's stem.
    pub name: String,
    /// Title of the scenario.
    pub title: String,
    /// What its author says of it.
    pub note: Option<String>,
    /// The scenario file, as it was named.
    pub file: String,
    /// SHA-256 of the scenario and the files that it names.
    pub sha256: String,
    /// Grade of work.
    pub grade: String,
    /// The command that makes the report again, without what does not change it (threads, places).
    pub command: String,
    /// Every source of error.
    pub sources: Vec<SourceRow>,
    /// Warnings about the scenario.
    pub warnings: Vec<String>,
}

impl About {
    /// Particulars of a scenario that was read from `file`.
    pub fn new(name: &str, file: &str, command: String, scenario: &Scenario) -> Self {
        let design = &scenario.plan.design;
        let sources = Source::ALL
            .into_iter()
            .zip(&scenario.origins)
            .map(|(source, origin)| {
                let (table, key) = source.key();
                let table = if table == "eye" {
                    table.to_owned()
                } else {
                    format!("errors.{table}")
                };
                SourceRow {
                    name: source.words(),
                    key: format!("{table}.{key}"),
                    items: source.items(design),
                    law: law_words(design.law(source), source.kind(), source.neutral()),
                    origin: match origin {
                        Origin::Scenario => "scenario".to_owned(),
                        Origin::Grade(reason) => reason.clone(),
                    },
                }
            })
            .collect();
        Self {
            name: name.to_owned(),
            title: scenario.title.clone(),
            note: scenario.note.clone(),
            file: file.to_owned(),
            sha256: scenario.sha256.clone(),
            grade: scenario.grade.name().to_owned(),
            command,
            sources,
            warnings: scenario.warnings.iter().map(ToString::to_string).collect(),
        }
    }
}
