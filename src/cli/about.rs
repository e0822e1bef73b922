//! What a report says of the scenario that it was made from.

use super::files::short_name;
use crate::figure::Source;
use crate::report::{About, SourceRow, law_words, own_layout_words};
use crate::scenario::{Origin, Scenario};
use std::path::Path;

/// Particulars of a scenario that was read from `file`, to be assessed again by `command`.
pub(super) fn about(file: &Path, command: String, scenario: &Scenario) -> About {
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
                acts_on: source.acts_on(design),
                law: law_words(design.law(source), source),
                origin: match origin {
                    Origin::Scenario => "scenario".to_owned(),
                    Origin::Grade(reason) => reason.clone(),
                },
            }
        })
        .collect();
    let own_layout = scenario
        .allowed
        .as_ref()
        .and_then(|allowed| own_layout_words(&scenario.plan, allowed));
    About {
        name: short_name(file),
        title: scenario.title.clone(),
        note: scenario.note.clone(),
        file: file.display().to_string(),
        shell_file: shell_word(file),
        sha256: scenario.sha256.clone(),
        grade: scenario.grade.name().to_owned(),
        command,
        sources,
        warnings: scenario
            .warnings
            .iter()
            .map(ToString::to_string)
            .chain(own_layout)
            .collect(),
    }
}

/// A path as one word of a POSIX shell.
pub(super) fn shell_word(path: &Path) -> String {
    let text = path.display().to_string();
    if !text.is_empty()
        && text
            .chars()
            .all(|c| c.is_alphanumeric() || "/._-+".contains(c))
    {
        text
    } else {
        format!("'{}'", text.replace('\'', "'\\''"))
    }
}
