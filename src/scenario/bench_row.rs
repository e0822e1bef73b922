//! One row of a sheet from the bench: what it is of, and what was read.

use super::bench_cell::RowCells;
use super::bench_table::{Cell, Column, Row, Told};
use super::problem::{listed, nearest, quoted};
use crate::figure::{Measurand, Plan, Quantity, TakenOn};
use crate::units::{Kind, read_quantity};
use std::collections::BTreeMap;

/// A row of words.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Word {
    Exhibit,
    MeasuredBy,
    MeasuredOn,
    Instruments,
    SignedBy,
    Note,
    CameraPupil,
    Perspective,
}

impl Word {
    pub const ALL: [Self; 8] = [
        Self::Exhibit,
        Self::MeasuredBy,
        Self::MeasuredOn,
        Self::Instruments,
        Self::SignedBy,
        Self::Note,
        Self::CameraPupil,
        Self::Perspective,
    ];

    pub fn name(self) -> &'static str {
        match self {
            Self::Exhibit => "exhibit",
            Self::MeasuredBy => "measured by",
            Self::MeasuredOn => "measured on",
            Self::Instruments => "instruments",
            Self::SignedBy => "signed by",
            Self::Note => "note",
            Self::CameraPupil => "camera pupil",
            Self::Perspective => "picture perspective",
        }
    }
}

/// What a row holds.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Entry {
    /// A reading.
    Read {
        of: Measurand,
        value: [f64; 2],
        sd: f64,
        remark: Option<String>,
    },
    /// A row whose value was left blank.
    Unread,
    /// A text.
    Words(Word, String),
    /// The camera's pupil, mm.
    CameraPupil(f64),
    /// Whether the picture's perspective is fitted.
    Perspective(bool),
}

/// Reads rows for one design.
pub(super) struct RowReader<'p> {
    pub plan: &'p Plan,
    lines: BTreeMap<&'p str, usize>,
    rods: BTreeMap<&'p str, usize>,
}

impl<'p> RowReader<'p> {
    pub fn new(plan: &'p Plan) -> Self {
        let numbered = |names: &mut dyn Iterator<Item = &'p str>| {
            names.enumerate().map(|(nth, name)| (name, nth)).collect()
        };
        Self {
            plan,
            lines: numbered(&mut plan.design.vertices.iter().map(|one| one.name.as_str())),
            rods: numbered(&mut plan.design.rods.iter().map(|one| one.name.as_str())),
        }
    }

    /// What a row holds; `None` where something is wrong with it, which is told.
    pub fn read(
        &self,
        told: &mut Told,
        text: &str,
        row: &Row,
        decimal_comma: bool,
    ) -> Option<Entry> {
        let mut reading = RowCells {
            row,
            text,
            told,
            decimal_comma,
        };
        let Some(name) = row.cell(Column::Quantity) else {
            reading.tell_at(
                row.at,
                "the row says something, but its quantity is blank".to_owned(),
                Some("name the quantity, or begin the line with # if it is a comment".to_owned()),
            );
            return None;
        };
        let spelled = name.text.to_lowercase();
        let spelled = spelled.split_whitespace().collect::<Vec<_>>().join(" ");
        if let Some(word) = Word::ALL.into_iter().find(|word| word.name() == spelled) {
            return reading.words(word);
        }
        let found = Quantity::ALL.into_iter().find(|one| one.name() == spelled);
        let Some(quantity) = found else {
            let known = || {
                let words = Word::ALL.into_iter().map(Word::name);
                Quantity::ALL.into_iter().map(Quantity::name).chain(words)
            };
            reading.tell(
                name,
                format!(
                    "unknown quantity {}, known here: {}",
                    quoted(name.text),
                    listed(known())
                ),
                nearest(&spelled, known()).map(|near| format!("did you mean `{near}`?")),
            );
            return None;
        };
        self.reading(&mut reading, quantity)
    }

    fn reading(&self, reading: &mut RowCells<'_>, quantity: Quantity) -> Option<Entry> {
        let of = self.taken_on(reading, quantity);
        let numbers = reading.numbers_are_where_they_belong(quantity)?;
        let mut of = of?;
        if !numbers {
            return Some(Entry::Unread);
        }
        let factor = reading.unit(quantity)?;
        let value = reading.value(quantity, factor);
        of.at_mm = self.at_mm(reading, &of, factor)?;
        of.place_mm = reading.place_mm(quantity, factor)?;
        let value = value?;
        reading.is_sensible(quantity, value, self.plan)?;
        let sd = reading.sd(quantity, value, factor)?;
        let remark = reading.text_of(Column::Remark)?;
        Some(Entry::Read {
            of,
            value,
            sd,
            remark,
        })
    }

    /// What the reading is taken on, from the columns of names.
    fn taken_on(&self, reading: &mut RowCells<'_>, quantity: Quantity) -> Option<Measurand> {
        let design = &self.plan.design;
        match quantity.taken_on() {
            TakenOn::Cabinet => {
                let clear = [Column::Line, Column::Rod]
                    .map(|column| reading.must_be_blank(column, quantity));
                (clear == [true, true]).then(|| Measurand::of(quantity))
            }
            TakenOn::Line => {
                let clear = reading.must_be_blank(Column::Rod, quantity);
                let line = reading.named(Column::Line, quantity, &self.lines)?;
                clear.then(|| Measurand::of_line(quantity, line))
            }
            TakenOn::Rod => {
                let clear = reading.must_be_blank(Column::Line, quantity);
                let rod = reading.named(Column::Rod, quantity, &self.rods)?;
                clear.then(|| Measurand::of_middle(rod))
            }
            TakenOn::RodEnd => {
                let rod = reading.named(Column::Rod, quantity, &self.rods);
                let line = reading.named(Column::Line, quantity, &self.lines);
                let (rod, line) = (rod?, line?);
                let ends = design.rods[rod].ends;
                let Some(end) = ends.iter().position(|end| end.line == line) else {
                    let cell = reading.row.cell(Column::Line)?;
                    let own = ends.map(|end| design.vertices[end.line].name.as_str());
                    reading.tell(
                        cell,
                        format!(
                            "rod {} does not hang on line {}; its lines are: {}",
                            quoted(&design.rods[rod].name),
                            quoted(cell.text),
                            listed(own)
                        ),
                        None,
                    );
                    return None;
                };
                Some(Measurand::of_end(quantity, design, 2 * rod + end))
            }
        }
    }

    /// The column `at`: of a drop the distance from the front plate, of a tone the length that sounds; a bare number is in the
    /// row's unit where that is a length, and in mm else.
    fn at_mm(
        &self,
        reading: &mut RowCells<'_>,
        of: &Measurand,
        factor: f64,
    ) -> Option<Option<f64>> {
        let Some(cell) = reading.row.cell(Column::At) else {
            return Some(None);
        };
        let (most_mm, what) = match of.quantity {
            Quantity::Drop => (self.plan.span_mm(), "between the plates"),
            Quantity::Tone => {
                let line = of.line.unwrap_or(0);
                let [front, rear] = [0, 1].map(|plate| self.plan.holes_mm[plate][line]);
                // lines run aslant, and plates sit a little off
                const ROOM: f64 = 1.05;
                let across_mm = (rear - front).norm();
                (
                    ROOM * libm::hypot(across_mm, self.plan.span_mm()),
                    "no longer than the line",
                )
            }
            other => {
                reading.tell(
                    cell,
                    format!(
                        "at is {}, but {} has no such place: only drop and tone have one",
                        quoted(cell.text),
                        other.name()
                    ),
                    Some("the place of a distance between plates goes into x and y".to_owned()),
                );
                return None;
            }
        };
        let in_mm = if of.quantity == Quantity::Drop {
            factor
        } else {
            1.0
        };
        let at_mm = in_mm * reading.number(cell, "at")?;
        if at_mm > 0.0 && at_mm < most_mm {
            return Some(Some(at_mm));
        }
        reading.tell(
            cell,
            format!(
                "at is {}, must be a length above 0 and under {most_mm:.1} mm, {what}",
                quoted(cell.text)
            ),
            None,
        );
        None
    }
}

impl RowCells<'_> {
    fn words(&mut self, word: Word) -> Option<Entry> {
        let misplaced = [Column::Line, Column::Rod, Column::At, Column::X, Column::Y]
            .into_iter()
            .find_map(|column| self.row.cell(column).map(|cell| (column, cell)));
        if let Some((column, cell)) = misplaced {
            self.tell(
                cell,
                format!(
                    "{} is {}, but the text of {} goes into value",
                    column.name(),
                    quoted(cell.text),
                    word.name()
                ),
                None,
            );
            return None;
        }
        let Some(text) = self.text_of(Column::Value)? else {
            return Some(Entry::Unread);
        };
        let cell = self.row.cell(Column::Value)?;
        match word {
            Word::CameraPupil => self.camera_pupil(cell),
            Word::Perspective => match text.to_lowercase().as_str() {
                "yes" => Some(Entry::Perspective(true)),
                "no" => Some(Entry::Perspective(false)),
                _ => {
                    self.tell(
                        cell,
                        format!(
                            "value of {} is {}, must be yes or no",
                            word.name(),
                            quoted(cell.text)
                        ),
                        None,
                    );
                    None
                }
            },
            _ => {
                let bare = text.strip_prefix('\'').filter(|rest| is_formula(rest));
                Some(Entry::Words(word, bare.unwrap_or(&text).to_owned()))
            }
        }
    }

    fn camera_pupil(&mut self, cell: Cell<'_>) -> Option<Entry> {
        /// No camera lens of a workshop is wider.
        const WIDEST_MM: f64 = 100.0;
        let comma_is_point = |text: &str| {
            if self.decimal_comma {
                text.replace(',', ".")
            } else {
                text.to_owned()
            }
        };
        let unit = self.row.cell(Column::Unit).map_or("mm", |unit| unit.text);
        let written = comma_is_point(cell.text);
        let pupil_mm = read_quantity(&written, Kind::Length)
            .or_else(|_| read_quantity(&format!("{written} {unit}"), Kind::Length));
        match pupil_mm {
            Ok(pupil_mm) if pupil_mm > 0.0 && pupil_mm <= WIDEST_MM => {
                Some(Entry::CameraPupil(pupil_mm))
            }
            _ => {
                self.tell(
                    cell,
                    format!(
                        "value of camera pupil is {} with unit {}, must be a length above 0 and at most {WIDEST_MM:.0} mm",
                        quoted(cell.text),
                        quoted(unit)
                    ),
                    Some("it is the focal length over the f-number".to_owned()),
                );
                None
            }
        }
    }
}

/// Whether a spreadsheet would take a text for a formula.
fn is_formula(text: &str) -> bool {
    text.trim_start().starts_with(['=', '+', '-', '@'])
}
