//! Puts lines into a scenario's text, with its comments and its order left as they are.

use crate::figure::ScenarioLine;
use std::fmt;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Why a line could not be put into a scenario.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NotPut {
    /// The text is no TOML.
    Unreadable(String),
    /// A value is written as a table of its own, which a single line cannot replace.
    HasTable {
        /// The table that the line belongs into.
        table: String,
        /// Its key.
        key: String,
    },
    /// What stands there already leaves no room for the line.
    NoRoom {
        /// The table that the line belongs into.
        table: String,
        /// Its key.
        key: String,
    },
}

impl fmt::Display for NotPut {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unreadable(reason) => write!(f, "the scenario cannot be read: {reason}"),
            Self::HasTable { table, key } => write!(
                f,
                "{key} of [{table}] is written as a table of its own: take [{table}.{key}] out and put the line into [{table}]"
            ),
            Self::NoRoom { table, key } => write!(
                f,
                "{key} cannot be put into [{table}] beside what stands there: put the line in by hand"
            ),
        }
    }
}

impl std::error::Error for NotPut {}

/// `text` with each of `lines` in its table: in the place of the value that its key has, or as a new line.
///
/// # Errors
/// [`NotPut`] for the first line that could not be put in.
pub fn put_lines(text: &str, lines: &[ScenarioLine]) -> Result<String, NotPut> {
    let mut text = text.to_owned();
    for line in lines {
        let (place, words) = edit(&text, line)?;
        text.replace_range(place, &words);
        if DeTable::parse(&text).is_err() {
            return Err(NotPut::NoRoom {
                table: line.table.to_owned(),
                key: line.key.to_owned(),
            });
        }
    }
    Ok(text)
}

/// Which stretch of the text a line replaces, and by what.
fn edit(text: &str, line: &ScenarioLine) -> Result<(Range<usize>, String), NotPut> {
    let document =
        DeTable::parse(text).map_err(|error| NotPut::Unreadable(error.message().to_owned()))?;
    let ScenarioLine { table, key, value } = line;
    // the deepest of the line's tables that is there, and what of its name is left
    let mut found: Option<&Spanned<DeValue<'_>>> = None;
    let mut names: Vec<&str> = table.split('.').collect();
    while let Some(name) = names.first() {
        let here = match found {
            None => Some(document.get_ref()),
            Some(value) => value.get_ref().as_table(),
        };
        match here.and_then(|table| table.get(*name)) {
            Some(next) => found = Some(next),
            None => break,
        }
        names.remove(0);
    }
    let begins = |span: &Range<usize>, with: char| text[span.clone()].starts_with(with);
    let there = found.and_then(|table| Some((table, table.get_ref().as_table()?)));
    if let (true, Some((_, fields))) = (names.is_empty(), there)
        && let Some(old) = fields.get(*key)
    {
        if old.get_ref().is_table() && !begins(&old.span(), '{') {
            return Err(NotPut::HasTable {
                table: (*table).to_owned(),
                key: (*key).to_owned(),
            });
        }
        return Ok((old.span(), value.clone()));
    }
    if let Some((inline, fields)) = there
        && begins(&inline.span(), '{')
    {
        let place = inline.span().end.saturating_sub(1);
        let path: String = names.iter().map(|name| format!("{name}.")).collect();
        let comma = if fields.is_empty() { "" } else { "," };
        return Ok((place..place, format!("{comma} {path}{key} = {value} ")));
    }
    if let (true, Some((headed, _))) = (names.is_empty(), there) {
        let span = headed.span();
        let is_own_header = text[span.clone()]
            .trim_matches(['[', ']'])
            .split('.')
            .map(str::trim)
            .eq(table.split('.'));
        if begins(&span, '[') && is_own_header {
            let end = text[span.end..].find('\n');
            let (place, before) = match end {
                Some(end) => (span.end + end + 1, ""),
                None => (text.len(), "\n"),
            };
            return Ok((place..place, format!("{before}{key} = {value}\n")));
        }
    }
    let gap = if text.ends_with('\n') { "" } else { "\n" };
    let place = text.len()..text.len();
    Ok((place, format!("{gap}\n[{table}]\n{key} = {value}\n")))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn put(text: &str, table: &'static str, key: &'static str, value: &str) -> String {
        let value = value.to_owned();
        put_lines(text, &[ScenarioLine { table, key, value }]).expect("there is room")
    }

    #[test]
    fn a_value_that_is_there_is_replaced_and_its_comment_stays() {
        assert_eq!(
            put(
                "[errors.rod]\n# why\ntie = \"off\"  # threaded\n",
                "errors.rod",
                "tie",
                "\"random\""
            ),
            "[errors.rod]\n# why\ntie = \"random\"  # threaded\n"
        );
        assert_eq!(
            put(
                "[line]\nthreading = { a = 1, tightened = \"ends only\" }\n",
                "line.threading",
                "tightened",
                "\"each run\""
            ),
            "[line]\nthreading = { a = 1, tightened = \"each run\" }\n"
        );
    }

    #[test]
    fn a_new_line_stands_in_its_table() {
        assert_eq!(
            put(
                "[errors.rod] # rods\ntie = \"off\"\n",
                "errors.rod",
                "slip",
                "\"1 mm\""
            ),
            "[errors.rod] # rods\nslip = \"1 mm\"\ntie = \"off\"\n"
        );
        assert_eq!(
            put("[run]\nseed = 1", "errors.rod", "slip", "\"1 mm\""),
            "[run]\nseed = 1\n\n[errors.rod]\nslip = \"1 mm\"\n"
        );
        assert_eq!(
            put(
                "errors = { rod = { tie = \"off\" } }\n",
                "errors.front",
                "x",
                "1"
            ),
            "errors = { rod = { tie = \"off\" } , front.x = 1 }\n"
        );
        assert_eq!(
            put(
                "[errors.rod.bow]\nform = \"fixed\"\n",
                "errors.rod",
                "slip",
                "1"
            ),
            "[errors.rod.bow]\nform = \"fixed\"\n\n[errors.rod]\nslip = 1\n"
        );
    }

    #[test]
    fn what_a_line_cannot_replace_is_told() {
        let line = |table, key| {
            [ScenarioLine {
                table,
                key,
                value: "1".to_owned(),
            }]
        };
        assert!(matches!(
            put_lines(
                "[errors.rod.bow]\nform = \"fixed\"\n",
                &line("errors.rod", "bow")
            ),
            Err(NotPut::HasTable { .. })
        ));
        assert!(matches!(
            put_lines("errors.rod.tie = \"off\"\n", &line("errors.rod", "bow")),
            Err(NotPut::NoRoom { .. })
        ));
        assert!(matches!(
            put_lines("[errors", &line("errors.rod", "bow")),
            Err(NotPut::Unreadable(_))
        ));
    }
}
