//! A figure as a table: rows `vertex,name,x,y[,unit]` and `edge,from,to`, in any order.

use super::super::bench_table::{
    BYTE_ORDER_MARK, Found, Records, Told, first_of_record, is_unsafe,
};
use super::super::problem::{Problems, nearest, quoted};
use super::net::{Loose, LoosePoint, Role};
use crate::units::{Kind, read_quantity};
use std::collections::BTreeMap;

/// Most rows of a table.
const MOST_ROWS: usize = 20_000;
/// Longest name of a vertex, as in a scenario.
const LONGEST_NAME: usize = 60;

/// Reads a table of vertices and edges; bare numbers are mm, x to the viewer's right and y up.
///
/// # Errors
/// [`Problems`], all of them at once, with their places.
pub(super) fn read_edge_table(file: &str, text: &str) -> Result<Loose, Problems> {
    let mut reading = Reading {
        text,
        told: Told::new(file, text),
        decimal_comma: false,
        loose: Loose::default(),
        number_of: BTreeMap::new(),
        edges: Vec::new(),
    };
    reading.rows();
    reading.join();
    if reading.told.is_empty() {
        Ok(reading.loose)
    } else {
        Err(reading.told.into_problems())
    }
}

/// A name in an edge's row, and where it stands.
type End = (String, usize);

struct Reading<'t> {
    text: &'t str,
    told: Told,
    decimal_comma: bool,
    loose: Loose,
    number_of: BTreeMap<String, usize>,
    edges: Vec<[End; 2]>,
}

/// A cell that is there and not blank, and the offset of its first byte.
fn cell(found: &Found, nth: usize) -> Option<(&str, usize)> {
    let (field, at) = (found.record.get(nth)?, *found.starts.get(nth)?);
    let inner = field.trim_matches(|c: char| c.is_whitespace() || c == BYTE_ORDER_MARK);
    (!inner.is_empty()).then_some((inner, at))
}

impl Reading<'_> {
    fn rows(&mut self) {
        let start = if self.text.starts_with(BYTE_ORDER_MARK) {
            BYTE_ORDER_MARK.len_utf8()
        } else {
            0
        };
        let separator = separator_of(self.text, start);
        self.decimal_comma = separator != b',';
        let mut records = Records::new(self.text, start, separator);
        let mut rows_n = 0;
        while let Some(found) = records.next(&mut self.told) {
            rows_n += 1;
            if rows_n > MOST_ROWS {
                let fact = format!("the table has more than {MOST_ROWS} rows");
                self.tell(found.starts[0], fact, None);
            }
            if self.told.is_full() || rows_n > MOST_ROWS {
                return;
            }
            self.row(&found);
        }
    }

    fn tell(&mut self, at: usize, fact: String, hint: Option<&str>) {
        self.told.tell(self.text, at, fact, hint.map(str::to_owned));
    }

    fn row(&mut self, found: &Found) {
        let Some((kind, at)) = cell(found, 0) else {
            if (0..found.record.len()).any(|nth| cell(found, nth).is_some()) {
                let fact = "the first cell is empty, must be `vertex` or `edge`".to_owned();
                self.tell(found.starts[0], fact, None);
            }
            return;
        };
        let most = match kind {
            _ if kind.starts_with('#') => return,
            "vertex" => {
                self.vertex(found);
                5
            }
            "edge" => {
                self.edge(found);
                3
            }
            _ => {
                let fact = format!(
                    "a row begins with {}, must begin with `vertex` or `edge`",
                    quoted(kind)
                );
                let hint = match nearest(&kind.to_lowercase(), ["vertex", "edge"]) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => "rows are vertex,name,x,y or vertex,name,x,y,unit, and edge,from,to"
                        .to_owned(),
                };
                self.tell(at, fact, Some(&hint));
                return;
            }
        };
        if let Some((extra, at)) = (most..found.record.len()).find_map(|nth| cell(found, nth)) {
            let fact = format!(
                "{} stands beyond the last cell of a row of this kind",
                quoted(extra)
            );
            self.tell(
                at,
                fact,
                Some("rows are vertex,name,x,y,unit and edge,from,to"),
            );
        }
    }

    fn vertex(&mut self, found: &Found) {
        let name = self.name(found, 1, "a vertex");
        // where the unit is unknown it is told, and the numbers are still looked at
        let unit_mm = self.unit_mm(found).unwrap_or(1.0);
        let x_mm = self.coordinate(found, 2, "x", unit_mm);
        let y_mm = self.coordinate(found, 3, "y", unit_mm);
        let Some((name, at)) = name else {
            return;
        };
        let number = self.loose.points.len();
        if self.number_of.insert(name.clone(), number).is_some() {
            let fact = format!("two vertices have the name {}", quoted(&name));
            self.tell(
                at,
                fact,
                Some("every vertex is one line, and each line needs a name of its own"),
            );
        }
        // a place that could not be read is told, and the table refused
        self.loose.points.push(LoosePoint {
            place_mm: [x_mm.unwrap_or(0.0), y_mm.unwrap_or(0.0)],
            role: Role::Named(name),
        });
    }

    fn name(&mut self, found: &Found, nth: usize, of: &str) -> Option<End> {
        let Some((name, at)) = cell(found, nth) else {
            let at = found.starts.get(nth).copied().unwrap_or(found.starts[0]);
            self.tell(at, format!("{of} has no name"), None);
            return None;
        };
        if name.chars().count() > LONGEST_NAME || is_unsafe(name) {
            let fact = format!(
                "the name {} must have 1 to {LONGEST_NAME} characters, none of them a control character",
                quoted(name)
            );
            self.tell(at, fact, None);
            return None;
        }
        Some((name.to_owned(), at))
    }

    /// Length of the row's unit, mm.
    fn unit_mm(&mut self, found: &Found) -> Option<f64> {
        let Some((unit, at)) = cell(found, 4) else {
            return Some(1.0);
        };
        let one = read_quantity(&format!("1 {unit}"), Kind::Length);
        if one.is_err() {
            let units: Vec<&str> = Kind::Length.units().iter().map(|(name, _)| *name).collect();
            let fact = format!(
                "unknown unit {}, allowed here: {}",
                quoted(unit),
                units.join(", ")
            );
            self.tell(at, fact, None);
        }
        one.ok()
    }

    fn coordinate(&mut self, found: &Found, nth: usize, axis: &str, unit_mm: f64) -> Option<f64> {
        /// Beyond any cabinet, mm.
        const LARGEST_MM: f64 = 1e6;
        let Some((number, at)) = cell(found, nth) else {
            let at = found.starts.get(nth).copied().unwrap_or(found.starts[0]);
            self.tell(at, format!("a vertex has no {axis}"), None);
            return None;
        };
        let read = if self.decimal_comma {
            number.replace(',', ".").parse::<f64>()
        } else {
            number.parse::<f64>()
        };
        let (wrong, hint) = match read.map(|number| number * unit_mm) {
            Ok(mm) if mm.abs() <= LARGEST_MM => return Some(mm),
            Ok(mm) if mm.is_finite() => (format!("must be within ± {LARGEST_MM} mm"), None),
            Ok(_) => ("must be a finite number".to_owned(), None),
            Err(_) => (
                "a number is needed".to_owned(),
                Some("the unit stands in a cell of its own: vertex,tip,12.5,40,mm"),
            ),
        };
        let fact = format!("{axis} is {}, {wrong}", quoted(number));
        self.tell(at, fact, hint);
        None
    }

    fn edge(&mut self, found: &Found) {
        let from = self.name(found, 1, "an edge's first end");
        let to = self.name(found, 2, "an edge's second end");
        if let (Some(from), Some(to)) = (from, to) {
            self.edges.push([from, to]);
        }
    }

    /// Looks up the names of edges, when all vertices are known.
    fn join(&mut self) {
        for [from, to] in std::mem::take(&mut self.edges) {
            let ends = [&from, &to].map(|end| self.number_of.get(&end.0).copied());
            for (end, (name, at)) in ends.iter().zip([&from, &to]) {
                if end.is_some() {
                    continue;
                }
                let fact = format!(
                    "an edge names the vertex {}, which no row has",
                    quoted(name)
                );
                let hint = nearest(name, self.number_of.keys().map(String::as_str))
                    .map(|near| format!("did you mean {}?", quoted(near)));
                self.told.tell(self.text, *at, fact, hint);
            }
            match ends {
                [Some(first), Some(second)] if first == second => {
                    let fact = format!("an edge joins the vertex {} to itself", quoted(&to.0));
                    self.tell(to.1, fact, None);
                }
                [Some(first), Some(second)] => self.loose.edges.push([first, second]),
                _ => {}
            }
            if self.told.is_full() {
                return;
            }
        }
    }
}

/// The separator: what follows the first word of the first row.
fn separator_of(text: &str, start: usize) -> u8 {
    let first = first_of_record(text, start).unwrap_or(text.len());
    let line = text[first..].lines().next().unwrap_or("");
    line.bytes()
        .find(|byte| matches!(byte, b',' | b';' | b'\t'))
        .unwrap_or(b',')
}
