//! Walks a TOML table key by key, remembers which keys are known, and reports the rest.

use super::problem::{Collector, listed, nearest, quoted};
use std::cell::RefCell;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A value with its place.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct At<T> {
    pub value: T,
    pub span: Range<usize>,
}

/// One table of a file.
pub(super) struct Table<'a> {
    pub problems: &'a Collector<'a>,
    /// Name in messages: "cabinet", "errors.front".
    pub name: String,
    pub span: Range<usize>,
    table: Option<&'a DeTable<'a>>,
    known: RefCell<Vec<&'static str>>,
}

impl<'a> Table<'a> {
    pub fn new(
        problems: &'a Collector<'a>,
        name: impl Into<String>,
        span: Range<usize>,
        table: Option<&'a DeTable<'a>>,
    ) -> Self {
        Self {
            problems,
            name: name.into(),
            span,
            table,
            known: RefCell::default(),
        }
    }

    /// Whether the table is in the file.
    pub fn is_there(&self) -> bool {
        self.table.is_some()
    }

    /// The value of a key, if it is there.
    pub fn get(&self, key: &'static str) -> Option<&'a Spanned<DeValue<'a>>> {
        self.known.borrow_mut().push(key);
        self.table?.get(key)
    }

    /// Says that a key is missing.
    pub fn missing(&self, key: &str, what: &str) {
        // a mistyped key is told by name already; short keys are too alike to tell
        let known = self.known.borrow();
        let is_mistyped = |there: &str| !known.contains(&there) && nearest(there, [key]).is_some();
        if key.len() > 3 && self.keys().any(|there| is_mistyped(there.value)) {
            return;
        }
        let place = if self.name.is_empty() {
            String::new()
        } else {
            format!("[{}] ", self.name)
        };
        self.problems.tell_missing(
            &self.span,
            format!("{place}has no `{key}`: {what} is needed"),
            None,
        );
    }

    /// What was read of a key, or `default` when the key is not there; `None` when it is there and wrong.
    pub fn or_default<T>(&self, key: &str, found: Option<T>, default: T) -> Option<T> {
        if self.get_named(key).is_some() {
            found
        } else {
            Some(default)
        }
    }

    /// A sub-table; one that is not there reads as empty.
    pub fn table(&self, key: &'static str) -> Table<'a> {
        let name = if self.name.is_empty() {
            key.to_owned()
        } else {
            format!("{}.{key}", self.name)
        };
        match self.get(key) {
            None => Table::new(self.problems, name, self.span.clone(), None),
            Some(value) => match value.get_ref().as_table() {
                Some(table) => Table::new(self.problems, name, value.span(), Some(table)),
                None => {
                    self.wrong_type(key, value, "a table");
                    // what it holds cannot be read, and what it lacks need not be told
                    Table::new(self.problems, name, value.span(), None)
                }
            },
        }
    }

    /// The value as a table of its own, for values that may be a table among other things.
    pub fn as_table(&self, key: &str, value: &'a Spanned<DeValue<'a>>) -> Option<Table<'a>> {
        let table = value.get_ref().as_table()?;
        Some(Table::new(
            self.problems,
            format!("{}.{key}", self.name),
            value.span(),
            Some(table),
        ))
    }

    /// Elements of an array.
    pub fn array(&self, key: &'static str) -> Option<At<&'a [Spanned<DeValue<'a>>]>> {
        let value = self.get(key)?;
        match value.get_ref().as_array() {
            Some(array) => Some(At {
                value: array,
                span: value.span(),
            }),
            None => {
                self.wrong_type(key, value, "a list in [ ]");
                None
            }
        }
    }

    /// A text.
    pub fn text(&self, key: &'static str) -> Option<At<&'a str>> {
        let value = self.get(key)?;
        match value.get_ref().as_str() {
            Some(text) => Some(At {
                value: text,
                span: value.span(),
            }),
            None => {
                self.wrong_type(key, value, "a text in quotes");
                None
            }
        }
    }

    /// One of some words.
    pub fn choice<T: Copy>(&self, key: &'static str, choices: &[(&str, T)]) -> Option<At<T>> {
        let text = self.text(key)?;
        self.choose(key, text, choices)
    }

    /// The meaning of a word that is already read.
    pub fn choose<T: Copy>(
        &self,
        key: &str,
        text: At<&str>,
        choices: &[(&str, T)],
    ) -> Option<At<T>> {
        if let Some((_, value)) = choices.iter().find(|(word, _)| *word == text.value) {
            return Some(At {
                value: *value,
                span: text.span,
            });
        }
        let words = || choices.iter().map(|(word, _)| *word);
        self.problems.tell(
            &text.span,
            format!(
                "{key} is {}, allowed here: {}",
                quoted(text.value),
                listed(words())
            ),
            nearest(text.value, words()).map(|near| format!("did you mean `{near}`?")),
        );
        None
    }

    /// A whole number within bounds.
    pub fn whole_number(&self, key: &'static str, low: u64, high: u64) -> Option<At<u64>> {
        let value = self.get(key)?;
        let number = value
            .get_ref()
            .as_integer()
            .and_then(|integer| u64::from_str_radix(integer.as_str(), integer.radix()).ok());
        match number {
            Some(number) if (low..=high).contains(&number) => Some(At {
                value: number,
                span: value.span(),
            }),
            _ => {
                self.problems.tell(
                    &value.span(),
                    format!(
                        "{key} is {}, must be a whole number from {low} to {high}",
                        self.problems.quote(&value.span())
                    ),
                    None,
                );
                None
            }
        }
    }

    /// True or false.
    pub fn flag(&self, key: &'static str) -> Option<bool> {
        let value = self.get(key)?;
        let flag = value.get_ref().as_bool();
        if flag.is_none() {
            self.wrong_type(key, value, "true or false");
        }
        flag
    }

    pub fn wrong_type(&self, key: &str, value: &Spanned<DeValue<'_>>, wanted: &str) {
        self.problems.tell(
            &value.span(),
            format!(
                "{key} is {} ({}), must be {wanted}",
                self.problems.quote(&value.span()),
                value.get_ref().type_str()
            ),
            None,
        );
    }

    /// The keys that are in the file.
    pub fn keys(&self) -> impl Iterator<Item = At<&'a str>> + 'a {
        self.table.into_iter().flat_map(|table| {
            table.keys().map(|key| At {
                value: key.get_ref().as_ref(),
                span: key.span(),
            })
        })
    }

    /// A key whose name only the file knows (a vertex's name, say).
    pub fn get_named(&self, key: &str) -> Option<&'a Spanned<DeValue<'a>>> {
        self.table?.get(key)
    }

    /// Reports every key that nobody asked for.
    pub fn finish(self) {
        let known = self.known.into_inner();
        let Some(table) = self.table else { return };
        for key in table.keys() {
            let name: &str = key.get_ref().as_ref();
            if known.contains(&name) {
                continue;
            }
            let place = if self.name.is_empty() {
                "at the top of the file".to_owned()
            } else {
                format!("in [{}]", self.name)
            };
            let mut sorted = known.clone();
            sorted.sort_unstable();
            sorted.dedup();
            self.problems.tell(
                &key.span(),
                format!(
                    "unknown key {} {place}, known here: {}",
                    quoted(name),
                    listed(sorted.iter().copied())
                ),
                nearest(name, sorted.iter().copied()).map(|near| format!("did you mean `{near}`?")),
            );
        }
    }
}
