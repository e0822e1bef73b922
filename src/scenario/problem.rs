//! What is wrong in a file, and where: all of it at once.

use std::fmt;
use std::ops::Range;

/// A place in a file, counted from 1, columns in characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// Line.
    pub line: usize,
    /// Column.
    pub column: usize,
}

/// One thing that is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Where.
    pub place: Place,
    /// The fact, with the text at fault and what is allowed.
    pub fact: String,
    /// What to do, where something can be said.
    pub hint: Option<String>,
    pub(super) is_missing: bool,
}

/// Everything that is wrong in one file, in the order of the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problems {
    /// The file, as it was named.
    pub file: String,
    /// What is wrong in it.
    pub list: Vec<Problem>,
}

impl fmt::Display for Problems {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (nth, problem) in self.list.iter().enumerate() {
            if nth > 0 {
                writeln!(f)?;
            }
            let Place { line, column } = problem.place;
            write!(f, "{}:{line}:{column}: {}", self.file, problem.fact)?;
            if let Some(hint) = &problem.hint {
                write!(f, "\n  hint: {hint}")?;
            }
        }
        Ok(())
    }
}

impl std::error::Error for Problems {}

/// Problems told of one file: nobody mends more at once, and a file of rubbish must not take minutes.
pub(super) const MOST_PROBLEMS: usize = 500;

/// Collects problems while a file is read.
#[derive(Debug)]
pub(super) struct Collector<'t> {
    text: &'t str,
    /// Offset of every line's first byte.
    line_starts: Vec<usize>,
    list: std::cell::RefCell<Vec<(usize, Problem)>>,
}

impl<'t> Collector<'t> {
    pub fn new(text: &'t str) -> Self {
        Self {
            text,
            line_starts: line_starts(text),
            list: std::cell::RefCell::default(),
        }
    }

    /// The text at a span, as it stands in the file, on one line and not too long, without control characters.
    pub fn quote(&self, span: &Range<usize>) -> String {
        const LONGEST: usize = 60;
        let raw = self.text.get(span.clone()).unwrap_or("");
        let mut quoted: String = raw.chars().take(LONGEST).map(plain).collect();
        if raw.chars().count() > LONGEST {
            quoted.push('…');
        }
        quoted
    }

    pub fn tell(&self, span: &Range<usize>, fact: impl Into<String>, hint: Option<String>) {
        self.push(span, fact.into(), hint, false);
    }

    /// Tells that something is not there; told only when the file could be parsed as a whole.
    pub fn tell_missing(&self, span: &Range<usize>, fact: impl Into<String>, hint: Option<String>) {
        self.push(span, fact.into(), hint, true);
    }

    fn push(&self, span: &Range<usize>, fact: String, hint: Option<String>, is_missing: bool) {
        let mut list = self.list.borrow_mut();
        if list.len() >= MOST_PROBLEMS {
            return;
        }
        let mut problem = Problem {
            place: self.place(span.start),
            fact,
            hint,
            is_missing,
        };
        if list.len() + 1 == MOST_PROBLEMS {
            problem.fact.push_str(&not_looked_at());
        }
        list.push((span.start, problem));
    }

    pub fn is_empty(&self) -> bool {
        self.list.borrow().is_empty()
    }

    fn place(&self, offset: usize) -> Place {
        let mut end = offset.min(self.text.len());
        while !self.text.is_char_boundary(end) {
            end -= 1;
        }
        let line = self.line_starts.partition_point(|start| *start <= end);
        let line_start = self.line_starts[line - 1];
        Place {
            line,
            column: self.text[line_start..end].chars().count() + 1,
        }
    }

    pub fn into_problems(self, file: &str) -> Problems {
        let mut list = self.list.into_inner();
        list.sort_by_key(|(offset, _)| *offset);
        let mut list: Vec<Problem> = list.into_iter().map(|(_, problem)| problem).collect();
        list.dedup();
        Problems {
            file: file.to_owned(),
            list,
        }
    }
}

/// Whether a character is not seen but changes how what follows is shown: one that steers a terminal, begins another line, or
/// turns the direction of writing (Unicode Standard Annex 9, from memory), by which a text could show as another one.
pub fn is_unseen(c: char) -> bool {
    let turns = matches!(c, '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}' | '\u{200E}' | '\u{200F}' | '\u{61C}');
    turns || c.is_control() || matches!(c, '\u{2028}' | '\u{2029}')
}

/// What is not seen is shown as a mark.
pub fn plain(c: char) -> char {
    if is_unseen(c) { '\u{fffd}' } else { c }
}

/// What is put to the last problem that is told.
pub(super) fn not_looked_at() -> String {
    format!(" (problem {MOST_PROBLEMS}; what follows was not looked at)")
}

/// Offset of every line's first byte.
pub(super) fn line_starts(text: &str) -> Vec<usize> {
    let ends = text.match_indices('\n').map(|(at, _)| at + 1);
    std::iter::once(0).chain(ends).collect()
}

/// Words that came from elsewhere with texts of a file in them: not endless, and what is not seen as a mark.
pub(super) fn shortened(words: &str) -> String {
    const LONGEST: usize = 300;
    let mut short: String = words.chars().take(LONGEST).map(plain).collect();
    if words.chars().nth(LONGEST).is_some() {
        short.push('…');
    }
    short
}

/// A text from a file, quoted for a message.
pub(super) fn quoted(text: &str) -> String {
    let kept: String = text.chars().take(60).map(plain).collect();
    format!("`{kept}`")
}

/// The known name nearest to a mistyped one, if one is near: at most a third of its letters wrong, swapped, missing or
/// too many.
pub(super) fn nearest<'n>(name: &str, known: impl IntoIterator<Item = &'n str>) -> Option<&'n str> {
    let most = (name.chars().count() / 3).max(1);
    known
        .into_iter()
        .map(|one| (strsim::osa_distance(name, one), one))
        .filter(|(distance, _)| *distance <= most)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, one)| one)
}

/// "a, b, c" of names.
pub(super) fn listed<'n>(names: impl IntoIterator<Item = &'n str>) -> String {
    const MOST: usize = 40;
    let names: Vec<&str> = names.into_iter().collect();
    let mut text = names
        .iter()
        .take(MOST)
        .copied()
        .collect::<Vec<_>>()
        .join(", ");
    if names.len() > MOST {
        text.push_str(&format!(" and {} more", names.len() - MOST));
    }
    text
}
