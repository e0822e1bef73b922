//! A sheet from the bench as a table: its separator, its columns, and every cell with its place in the file.
//!
//! The sheet is CSV as RFC 4180 has it, with three liberties that spreadsheets take: the separator may be a comma, a semicolon or
//! a tab, rows may be shorter or longer than the header, and lines that begin with `#` are for people only.

use super::problem::{
    MOST_PROBLEMS, Place, Problem, Problems, is_unseen, line_starts, listed, nearest,
    not_looked_at, quoted,
};
use csv::{ReaderBuilder, StringRecord};
use std::collections::BTreeSet;

/// Most bytes of all sheets together: a thousand rows for each of a thousand lines are far below it.
pub(super) const MOST_BYTES: usize = 20_000_000;

/// Most rows of one sheet.
pub(super) const MOST_ROWS: usize = 100_000;

/// A column of a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Column {
    Quantity,
    Line,
    Rod,
    At,
    Value,
    X,
    Y,
    Unit,
    PlusMinus,
    Planned,
    Remark,
}

impl Column {
    const ALL: [Self; 11] = [
        Self::Quantity,
        Self::Line,
        Self::Rod,
        Self::At,
        Self::Value,
        Self::X,
        Self::Y,
        Self::Unit,
        Self::PlusMinus,
        Self::Planned,
        Self::Remark,
    ];

    pub fn name(self) -> &'static str {
        match self {
            Self::Quantity => "quantity",
            Self::Line => "line",
            Self::Rod => "rod",
            Self::At => "at",
            Self::Value => "value",
            Self::X => "x",
            Self::Y => "y",
            Self::Unit => "unit",
            Self::PlusMinus => "plus_minus",
            Self::Planned => "planned",
            Self::Remark => "remark",
        }
    }

    fn named(text: &str) -> Option<Self> {
        let spelled = text.trim().to_lowercase().replace([' ', '-'], "_");
        Self::ALL
            .into_iter()
            .find(|column| column.name() == spelled)
    }
}

/// Whether a text holds what could steer a terminal or turn the direction of writing.
pub(super) fn is_unsafe(text: &str) -> bool {
    text.chars().any(is_unseen)
}

/// What is wrong in one sheet, gathered while it is read.
#[derive(Debug)]
pub(super) struct Told {
    pub file: String,
    /// Offset of every line's first byte.
    line_starts: Vec<usize>,
    list: Vec<(usize, Problem)>,
    /// Names of lines and rods that the scenario has, and that it has not.
    names: [BTreeSet<String>; 2],
}

impl Told {
    pub fn new(file: &str, text: &str) -> Self {
        Self {
            file: file.to_owned(),
            line_starts: line_starts(text),
            list: Vec::new(),
            names: [BTreeSet::new(), BTreeSet::new()],
        }
    }

    /// Takes down a name of a line or a rod, and whether the scenario has it; whether it was met before.
    pub fn name(&mut self, name: &str, is_known: bool) -> bool {
        !self.names[usize::from(!is_known)].insert(name.to_owned())
    }

    /// Whether most names are none of the scenario's: nobody misspells so many.
    pub fn is_of_another_scenario(&self) -> bool {
        const FEWEST: usize = 3;
        let [known, unknown] = &self.names;
        unknown.len() >= FEWEST && unknown.len() > known.len()
    }

    /// The line of an offset, counted from 1.
    pub fn line(&self, offset: usize) -> usize {
        self.line_starts.partition_point(|start| *start <= offset)
    }

    fn place(&self, text: &str, offset: usize) -> Place {
        let line = self.line(offset);
        let start = self.line_starts[line - 1];
        let before = text.get(start..offset).unwrap_or("");
        let column = before.chars().filter(|c| *c != BYTE_ORDER_MARK).count() + 1;
        Place { line, column }
    }

    pub fn tell(&mut self, text: &str, offset: usize, fact: String, hint: Option<String>) {
        if self.is_full() {
            return;
        }
        let mut problem = Problem {
            place: self.place(text, offset),
            fact,
            hint,
            is_missing: false,
        };
        if self.list.len() + 1 == MOST_PROBLEMS {
            problem.fact.push_str(&not_looked_at());
        }
        self.list.push((offset, problem));
    }

    /// Whether no more is told: reading on would be in vain.
    pub fn is_full(&self) -> bool {
        self.list.len() >= MOST_PROBLEMS
    }

    pub fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    pub fn into_problems(mut self) -> Problems {
        self.list.sort_by_key(|(offset, _)| *offset);
        Problems {
            file: self.file,
            list: self.list.into_iter().map(|(_, problem)| problem).collect(),
        }
    }
}

pub(super) const BYTE_ORDER_MARK: char = '\u{feff}';

/// One cell that holds something.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Cell<'r> {
    pub text: &'r str,
    /// Offset of its first byte in the file.
    pub at: usize,
}

/// One row, cells by column.
#[derive(Debug)]
pub(super) struct Row {
    cells: [Option<(String, usize)>; Column::ALL.len()],
    /// Offset of its first byte.
    pub at: usize,
}

impl Row {
    /// The cell of a column, without the blanks around it; `None` where it is blank or the sheet has no such column.
    pub fn cell(&self, column: Column) -> Option<Cell<'_>> {
        let (text, at) = self.cells[column as usize].as_ref()?;
        Some(Cell { text, at: *at })
    }

    fn is_blank(&self) -> bool {
        self.cells.iter().all(Option::is_none)
    }
}

/// A sheet taken apart.
#[derive(Debug)]
pub(super) struct Table {
    /// Whether a number may have a comma for its decimal mark.
    pub decimal_comma: bool,
    /// Rows that hold something.
    pub rows: Vec<Row>,
    /// Columns of the sheet that are none of ours.
    pub unread: Vec<String>,
}

/// Takes a sheet apart; tells what is wrong with it as a table. `None` where it has no header that can be used.
pub(super) fn read_table(told: &mut Told, text: &str) -> Option<Table> {
    // an old line end: nothing but the byte changes, so all places stay
    let old_line_ends =
        (!text.contains('\n') && text.contains('\r')).then(|| text.replace('\r', "\n"));
    if old_line_ends.is_some() {
        *told = Told::new(&told.file, old_line_ends.as_deref().unwrap_or(text));
    }
    let text = old_line_ends.as_deref().unwrap_or(text);
    let start = if text.starts_with(BYTE_ORDER_MARK) {
        BYTE_ORDER_MARK.len_utf8()
    } else {
        0
    };
    let header_at = first_of_record(text, start)?;
    let header_line = text[header_at..].lines().next().unwrap_or("");
    let separator = separator_of(header_line);
    let mut records = Records::new(text, start, separator);
    let mut columns: Option<Header> = None;
    let mut rows = Vec::new();
    while let Some(found) = records.next(told) {
        let cells: Vec<&str> = found.record.iter().collect();
        if cells
            .first()
            .is_some_and(|cell| cell.trim_start().starts_with('#'))
        {
            continue;
        }
        let Some(header) = &columns else {
            if cells.iter().all(|cell| cell.trim().is_empty()) {
                continue;
            }
            columns = Some(read_header(told, text, &cells, &found.starts)?);
            continue;
        };
        let row = read_row(told, text, header, &cells, &found.starts);
        if !row.is_blank() {
            rows.push(row);
        }
        if rows.len() > MOST_ROWS {
            told.tell(
                text,
                found.starts[0],
                format!("the sheet has more than {MOST_ROWS} rows"),
                None,
            );
            return None;
        }
        if told.is_full() {
            break;
        }
    }
    Some(Table {
        decimal_comma: separator != b',',
        rows,
        unread: columns?.unread,
    })
}

/// Where the first record from `at` on begins: behind blank lines and lines of `#`, as the CSV reader skips them.
pub(super) fn first_of_record(text: &str, at: usize) -> Option<usize> {
    let bytes = text.as_bytes();
    let mut at = at;
    loop {
        match bytes.get(at)? {
            b'\r' | b'\n' => at += 1,
            b'#' => at += text[at..].find('\n')? + 1,
            _ => return Some(at),
        }
    }
}

/// The separator by which the header falls into the most known columns.
fn separator_of(header: &str) -> u8 {
    let known = |separator: char| {
        let cells = header.split(separator);
        cells
            .filter(|cell| Column::named(cell.trim().trim_matches('"')).is_some())
            .count()
    };
    // with equal counts the comma, which the blank sheet has
    [(',', 2), (';', 1), ('\t', 0)]
        .into_iter()
        .max_by_key(|(separator, rank)| (known(*separator), *rank))
        .map_or(b',', |(separator, _)| separator as u8)
}

/// A record with the offset of every field.
pub(super) struct Found {
    pub record: StringRecord,
    pub starts: Vec<usize>,
}

/// The records of a text, each with the places of its fields: the CSV reader tells where a record begins, not where a field does.
pub(super) struct Records<'t> {
    text: &'t str,
    separator: u8,
    start: usize,
    reader: csv::Reader<&'t [u8]>,
}

impl<'t> Records<'t> {
    pub fn new(text: &'t str, start: usize, separator: u8) -> Self {
        let reader = ReaderBuilder::new()
            .delimiter(separator)
            .has_headers(false)
            .flexible(true)
            .comment(Some(b'#'))
            .from_reader(&text.as_bytes()[start..]);
        Self {
            text,
            separator,
            start,
            reader,
        }
    }

    pub fn next(&mut self, told: &mut Told) -> Option<Found> {
        let mut record = StringRecord::new();
        let before = self.start + self.reader.position().byte() as usize;
        match self.reader.read_record(&mut record) {
            Ok(true) => {}
            Ok(false) => return None,
            Err(error) => {
                told.tell(
                    self.text,
                    before,
                    format!("the row cannot be read: {error}"),
                    None,
                );
                return None;
            }
        }
        let first = first_of_record(self.text, before).unwrap_or(before);
        let (mut starts, fault) = field_starts(self.text.as_bytes(), first, self.separator);
        if let Some((at, fault)) = fault {
            let fact = match fault {
                QuoteFault::Open => {
                    "a quotation mark is opened here and never closed, so the rest of the sheet is one cell"
                }
                QuoteFault::Behind => "more stands behind the quotation mark that closes this cell",
            };
            let hint = "close it at the cell's end, or take it away; a quotation mark within a quoted cell is written twice";
            told.tell(self.text, at, fact.to_owned(), Some(hint.to_owned()));
            if fault == QuoteFault::Open {
                return None;
            }
        }
        starts.resize(record.len().max(1), first);
        Some(Found { record, starts })
    }
}

/// What is wrong with the quotation marks of a cell.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum QuoteFault {
    /// Never closed.
    Open,
    /// Closed before the cell's end: readers differ in what they make of the rest (RFC 4180, section 2, leaves it out).
    Behind,
}

/// Offsets of a record's fields, and the first thing that is wrong with its quotation marks, with its place.
fn field_starts(
    bytes: &[u8],
    first: usize,
    separator: u8,
) -> (Vec<usize>, Option<(usize, QuoteFault)>) {
    let mut starts = vec![first];
    let mut fault = None;
    let mut at = first;
    loop {
        if bytes.get(at) == Some(&b'"') {
            let opened = at;
            at += 1;
            loop {
                match (bytes.get(at), bytes.get(at + 1)) {
                    (None, _) => return (starts, Some((opened, QuoteFault::Open))),
                    (Some(b'"'), Some(b'"')) => at += 2,
                    (Some(b'"'), _) => break,
                    _ => at += 1,
                }
            }
            at += 1;
            let behind = bytes[at..]
                .iter()
                .take_while(|byte| **byte != separator && !matches!(byte, b'\r' | b'\n'));
            if behind.copied().any(|byte| !byte.is_ascii_whitespace()) {
                fault = fault.or(Some((opened, QuoteFault::Behind)));
            }
        }
        while bytes
            .get(at)
            .is_some_and(|byte| *byte != separator && !matches!(byte, b'\r' | b'\n'))
        {
            at += 1;
        }
        if bytes.get(at) != Some(&separator) {
            return (starts, fault);
        }
        at += 1;
        starts.push(at);
    }
}

/// Which column each field is.
struct Header {
    columns: Vec<Option<Column>>,
    unread: Vec<String>,
}

fn read_header(told: &mut Told, text: &str, cells: &[&str], starts: &[usize]) -> Option<Header> {
    let known = || Column::ALL.into_iter().map(Column::name);
    let mut header = Header {
        columns: Vec::new(),
        unread: Vec::new(),
    };
    let mut whole = true;
    for (cell, at) in cells.iter().zip(starts) {
        let name = cell.trim();
        let column = Column::named(name);
        if column.is_some() && header.columns.contains(&column) {
            whole = false;
            told.tell(
                text,
                *at,
                format!("two columns have the name {}", quoted(name)),
                None,
            );
        }
        header.columns.push(column);
        if column.is_some() || name.is_empty() {
            continue;
        }
        // short names are too alike to tell
        match nearest(
            &name.to_lowercase(),
            known().filter(|known| known.len() > 2),
        ) {
            Some(near) => {
                whole = false;
                told.tell(
                    text,
                    *at,
                    format!(
                        "unknown column {}, known here: {}",
                        quoted(name),
                        listed(known())
                    ),
                    Some(format!("did you mean `{near}`?")),
                );
            }
            None => header.unread.push(quoted(name)),
        }
    }
    let has = |column| header.columns.contains(&Some(column));
    let lacks = if !has(Column::Quantity) {
        Some("quantity")
    } else if has(Column::X) != has(Column::Y) {
        Some(if has(Column::X) { "y" } else { "x" })
    } else if !has(Column::Value) && !has(Column::X) {
        Some("value")
    } else {
        None
    };
    if let Some(lacks) = lacks
        && whole
    {
        told.tell(
            text,
            starts[0],
            format!(
                "the first line that is no comment must name the columns; it is {} and has no `{lacks}`",
                quoted(&cells.join(" "))
            ),
            Some(format!("the columns are: {}", listed(known()))),
        );
        return None;
    }
    whole.then_some(header)
}

fn read_row(told: &mut Told, text: &str, header: &Header, cells: &[&str], starts: &[usize]) -> Row {
    let mut row = Row {
        cells: Default::default(),
        at: starts[0],
    };
    for (nth, (cell, at)) in cells.iter().zip(starts).enumerate() {
        let inner = cell.trim_matches(|c: char| c.is_whitespace() || c == BYTE_ORDER_MARK);
        if inner.is_empty() {
            continue;
        }
        match header.columns.get(nth) {
            Some(Some(column)) => row.cells[*column as usize] = Some((inner.to_owned(), *at)),
            Some(None) => {}
            None => told.tell(
                text,
                *at,
                format!("{} stands beyond the last column", quoted(inner)),
                Some("a comma within a number or a remark begins a new cell: write 3.2, or put the cell in quotation marks".to_owned()),
            ),
        }
    }
    row
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_places_of_fields_are_those_of_the_csv_reader() {
        for (text, separator, expected) in [
            (
                "a,b\n# c\n\n\"d, e\",f,\"g\"\"h\"\r\n,,\n x ,\"y\nz\",w",
                b',',
                11,
            ),
            ("a;b\r\n\r\n#\r\n\"c;d\" ;f", b';', 4),
            ("\u{feff}ä\tö\n\"\"\tß", b'\t', 4),
        ] {
            let start = if text.starts_with(BYTE_ORDER_MARK) {
                3
            } else {
                0
            };
            let mut told = Told::new("s.csv", text);
            let mut records = Records::new(text, start, separator);
            let mut fields = 0;
            while let Some(found) = records.next(&mut told) {
                let (starts, _) = field_starts(text.as_bytes(), found.starts[0], separator);
                assert_eq!(starts.len(), found.record.len(), "{text:?}");
                for (field, at) in found.record.iter().zip(&found.starts) {
                    let bare = |text: &str| text.replace('"', "");
                    assert!(
                        bare(&text[*at..]).starts_with(&bare(field)),
                        "{field:?} is not at {at} of {text:?}"
                    );
                    fields += 1;
                }
            }
            assert_eq!(fields, expected, "{text:?}");
        }
    }

    #[test]
    fn the_separator_is_that_which_finds_the_columns() {
        assert_eq!(separator_of("quantity,line,value"), b',');
        assert_eq!(separator_of("\"quantity\";\"line\";\"value\""), b';');
        assert_eq!(separator_of("quantity\tline\tvalue"), b'\t');
        assert_eq!(separator_of("nothing known"), b',');
    }
}
