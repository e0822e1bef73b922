//! The cells of one row of a sheet from the bench: names, numbers, units and uncertainties, each checked where it stands.

use super::bench_table::{Cell, Column, Row, Told, is_unsafe};
use super::problem::{listed, nearest, quoted};
use crate::figure::{COVERED_SD, Plan, Plate, Quantity, TakenOn, UsualSd};
use crate::geometry::Pair;
use crate::units::{Kind, QuantityError, read_quantity};
use std::collections::BTreeMap;

/// Largest number of a reading, in its own unit: far beyond any bench, and far from overflow.
const LARGEST: f64 = 1e6;

/// Smallest standard uncertainty of a reading, in its own unit: far finer than any tool of a workshop; what is finer would make
/// all other readings nothing.
const SMALLEST_SD: f64 = 1e-6;

/// Most letters of a text of the sheet.
const LONGEST_WORDS: usize = 2000;

/// One row with the sheet that it stands in.
pub(super) struct RowCells<'r> {
    pub row: &'r Row,
    pub text: &'r str,
    pub told: &'r mut Told,
    pub decimal_comma: bool,
}

/// Unit of a quantity and how it is measured.
fn kind_of(quantity: Quantity) -> Option<Kind> {
    match quantity.unit() {
        "mm" => Some(Kind::Length),
        "N" => Some(Kind::Force),
        _ => None,
    }
}

impl RowCells<'_> {
    pub fn tell(&mut self, cell: Cell<'_>, fact: String, hint: Option<String>) {
        self.tell_at(cell.at, fact, hint);
    }

    pub fn tell_at(&mut self, at: usize, fact: String, hint: Option<String>) {
        self.told.tell(self.text, at, fact, hint);
    }

    pub fn must_be_blank(&mut self, column: Column, quantity: Quantity) -> bool {
        let Some(cell) = self.row.cell(column) else {
            return true;
        };
        let taken_on = match quantity.taken_on() {
            TakenOn::Cabinet => "the cabinet as a whole",
            TakenOn::Line => "a line",
            TakenOn::Rod => "a rod as a whole",
            TakenOn::RodEnd => "a rod end",
        };
        self.tell(
            cell,
            format!(
                "{} is {}, but {} is taken on {taken_on}",
                column.name(),
                quoted(cell.text),
                quantity.name()
            ),
            Some(format!("leave {} blank", column.name())),
        );
        false
    }

    /// The line or rod that a cell names.
    pub fn named(
        &mut self,
        column: Column,
        quantity: Quantity,
        names: &BTreeMap<&str, usize>,
    ) -> Option<usize> {
        let what = column.name();
        let known = || listed(names.keys().copied());
        let Some(cell) = self.row.cell(column) else {
            self.tell_at(
                self.row.at,
                format!(
                    "{} needs the name of a {what}; there are: {}",
                    quantity.name(),
                    known()
                ),
                None,
            );
            return None;
        };
        // a quote before a name is what keeps spreadsheets from taking it for a formula
        let bare = cell.text.strip_prefix('\'').unwrap_or(cell.text);
        let found = [cell.text, bare]
            .iter()
            .find_map(|name| names.get(name))
            .or_else(|| {
                let mut trimmed = names.iter().filter(|(name, _)| name.trim() == bare.trim());
                trimmed.next().map(|(_, nth)| nth)
            });
        let was_met = self.told.name(cell.text, found.is_some());
        if let Some(found) = found {
            return Some(*found);
        }
        // of a sheet of another scenario each name is told once
        if was_met && self.told.is_of_another_scenario() {
            return None;
        }
        let near = nearest(cell.text, names.keys().copied());
        self.tell(
            cell,
            format!(
                "no {what} has the name {}, there are: {}",
                quoted(cell.text),
                known()
            ),
            near.map(|near| format!("did you mean `{near}`?")),
        );
        None
    }

    /// Whether anything was read; tells a number in a column where the quantity has none.
    pub fn numbers_are_where_they_belong(&mut self, quantity: Quantity) -> Option<bool> {
        let row = self.row;
        let value = row.cell(Column::Value);
        let [x, y] = [Column::X, Column::Y].map(|column| row.cell(column));
        if quantity.components() == 2 {
            if let Some(cell) = value {
                self.tell(
                    cell,
                    format!(
                        "value is {}, but {} has two numbers: they go into x and y",
                        quoted(cell.text),
                        quantity.name()
                    ),
                    None,
                );
                return None;
            }
        } else if !matches!(quantity, Quantity::Distance(_))
            && let Some((name, cell)) = x.map(|x| ("x", x)).or(y.map(|y| ("y", y)))
        {
            self.tell(
                cell,
                format!(
                    "{name} is {}, but {} has one number: it goes into value",
                    quoted(cell.text),
                    quantity.name()
                ),
                None,
            );
            return None;
        }
        // the place of a distance may stand there before it is read
        let is_read = if quantity.components() == 2 {
            x.or(y)
        } else {
            value
        };
        if is_read.is_none() {
            return Some(false);
        }
        if let (Some(one), None) | (None, Some(one)) = (x, y) {
            let (there, lacking) = if x.is_some() { ("x", "y") } else { ("y", "x") };
            self.tell(
                one,
                format!("{there} is {}, but {lacking} is blank", quoted(one.text)),
                Some(format!("{} needs both, or neither", quantity.name())),
            );
            return None;
        }
        Some(true)
    }

    /// Factor from the row's unit to the quantity's own.
    pub fn unit(&mut self, quantity: Quantity) -> Option<f64> {
        let Some(cell) = self.row.cell(Column::Unit) else {
            return Some(1.0);
        };
        let own = quantity.unit();
        if cell.text.eq_ignore_ascii_case(own) {
            return Some(1.0);
        }
        let found =
            kind_of(quantity).map(|kind| (kind, read_quantity(&format!("1 {}", cell.text), kind)));
        if let Some((_, Ok(factor))) = found {
            return Some(factor);
        }
        let allowed = kind_of(quantity).map_or(own.to_owned(), |kind| {
            listed(kind.units().iter().map(|(name, _)| *name))
        });
        let measures = match found {
            Some((
                _,
                Err(QuantityError::UnknownUnit {
                    belongs_to: Some(noun),
                    ..
                }),
            )) => {
                format!(", which measures {noun}")
            }
            _ => String::new(),
        };
        self.tell(
            cell,
            format!(
                "unit is {}{measures}, but {} is in {allowed}",
                quoted(cell.text),
                quantity.name()
            ),
            other_quantity(quantity, cell.text),
        );
        None
    }

    /// The reading in its own unit and in the cabinet's frame.
    pub fn value(&mut self, quantity: Quantity, factor: f64) -> Option<[f64; 2]> {
        if quantity.components() == 1 {
            let value = self.number_in(Column::Value, factor)?;
            return Some([value, 0.0]);
        }
        let x = self.number_in(Column::X, factor);
        let y = self.number_in(Column::Y, factor);
        Some(quantity.turned([x?, y?]))
    }

    /// Where a distance between plates was taken.
    pub fn place_mm(&mut self, quantity: Quantity, factor: f64) -> Option<Option<Pair>> {
        if !matches!(quantity, Quantity::Distance(_)) || self.row.cell(Column::X).is_none() {
            return Some(None);
        }
        let x = self.number_in(Column::X, factor);
        let y = self.number_in(Column::Y, factor);
        // no negative nought: two rows of one place are to be told as such
        Some(Some(Pair::new(0.0 - x?, y? + 0.0)))
    }

    pub fn number_in(&mut self, column: Column, factor: f64) -> Option<f64> {
        let cell = self.row.cell(column)?;
        let number = factor * self.number(cell, column.name())?;
        if number.abs() <= LARGEST {
            return Some(number);
        }
        self.tell(
            cell,
            format!(
                "{} is {}, beyond any bench (the most is {LARGEST:.0})",
                column.name(),
                quoted(cell.text)
            ),
            None,
        );
        None
    }

    pub fn number(&mut self, cell: Cell<'_>, name: &str) -> Option<f64> {
        let hint = match number_of(cell.text, self.decimal_comma) {
            Ok(number) => return Some(number),
            Err(hint) => hint,
        };
        self.tell(
            cell,
            format!("{name} is {}, must be a number", quoted(cell.text)),
            hint.map(str::to_owned),
        );
        None
    }

    pub fn is_sensible(&mut self, quantity: Quantity, value: [f64; 2], plan: &Plan) -> Option<()> {
        let column = if quantity.components() == 1 {
            Column::Value
        } else {
            Column::X
        };
        let cell = self.row.cell(column)?;
        let span_mm = plan.span_mm();
        let wrong = match quantity {
            Quantity::Drop => (value[0].abs() >= span_mm)
                .then(|| format!("must be less than the span of {span_mm} mm")),
            Quantity::Distance(_)
            | Quantity::EyeRelief
            | Quantity::EndFrom(_)
            | Quantity::Tone
            | Quantity::Tension => (!(value[0] > 0.0)).then(|| "must be above 0".to_owned()),
            _ => None,
        };
        let Some(wrong) = wrong else {
            return Some(());
        };
        self.tell(
            cell,
            format!(
                "{} of {} is {}, {wrong}",
                column.name(),
                quantity.name(),
                quoted(cell.text)
            ),
            Some("leave it blank if it was not measured".to_owned()),
        );
        None
    }

    /// Standard uncertainty, in the quantity's own unit.
    pub fn sd(&mut self, quantity: Quantity, value: [f64; 2], factor: f64) -> Option<f64> {
        let Some(cell) = self.row.cell(Column::PlusMinus) else {
            let sd = quantity.usual_sd().of(value[0]);
            return self.is_no_finer_than_any_tool(sd, self.row.at);
        };
        let bare = cell.text.trim_start_matches('±').trim_start();
        let share = bare.strip_suffix('%');
        let number = match number_of(share.unwrap_or(bare).trim_end(), self.decimal_comma) {
            Ok(number) if number > 0.0 && number <= LARGEST => number,
            found => {
                self.tell(
                    cell,
                    format!(
                        "plus_minus is {}, must be a number above 0 in the row's unit, or a per cent of the value such as 2 %",
                        quoted(cell.text)
                    ),
                    found.err().flatten().map(str::to_owned),
                );
                return None;
            }
        };
        let covered = match share {
            // what the blank sheet suggests is in the quantity's own unit, whatever unit the row was given later
            None if factor != 1.0 && is_suggested(quantity, number) => {
                COVERED_SD * quantity.usual_sd().of(value[0])
            }
            None => number * factor,
            Some(_) if quantity.components() == 1 && number < 100.0 => {
                number / 100.0 * value[0].abs()
            }
            Some(_) => {
                self.tell(
                    cell,
                    format!(
                        "plus_minus is {}, but a per cent must be under 100 and of a single number; {} needs it in {}",
                        quoted(cell.text),
                        quantity.name(),
                        quantity.unit()
                    ),
                    None,
                );
                return None;
            }
        };
        self.is_no_finer_than_any_tool(covered / COVERED_SD, cell.at)
    }

    pub fn is_no_finer_than_any_tool(&mut self, sd: f64, at: usize) -> Option<f64> {
        if sd >= SMALLEST_SD {
            return Some(sd);
        }
        self.tell_at(
            at,
            format!("the reading's plus_minus comes to {:.1e}, finer than any tool (the least is {:.0e})", sd * COVERED_SD, SMALLEST_SD * COVERED_SD),
            None,
        );
        None
    }

    /// The text of a cell, checked; `Some(None)` where it is blank.
    pub fn text_of(&mut self, column: Column) -> Option<Option<String>> {
        let Some(cell) = self.row.cell(column) else {
            return Some(None);
        };
        // a spreadsheet's cell may hold several lines
        let one_line = cell.text.replace(['\n', '\r', '\t'], " ");
        if is_unsafe(&one_line) || one_line.chars().count() > LONGEST_WORDS {
            self.tell(
                cell,
                format!(
                    "{} is {}, must have at most {LONGEST_WORDS} characters, and none that steer a terminal or turn the writing",
                    column.name(),
                    quoted(cell.text)
                ),
                None,
            );
            return None;
        }
        Some(Some(one_line))
    }
}

/// The quantity that was meant, when the unit is that of another of the same thing.
fn other_quantity(quantity: Quantity, unit: &str) -> Option<String> {
    let is_length = || read_quantity(&format!("1 {unit}"), Kind::Length).is_ok();
    match quantity {
        Quantity::Hole(plate) | Quantity::ScannedHole(plate) if unit.eq_ignore_ascii_case("px") => {
            Some(format!(
                "points of a picture of the plate are `{}`",
                Quantity::PicturedHole(plate).name()
            ))
        }
        Quantity::PicturedHole(plate) if is_length() => {
            let on: fn(Plate) -> Quantity = Quantity::Hole;
            Some(format!(
                "what was measured on the plate is `{}`, off a scan at true size `{}`",
                on(plate).name(),
                Quantity::ScannedHole(plate).name()
            ))
        }
        _ => None,
    }
}

/// A number as people write it: a true minus, a comma for the decimal mark where the sheet allows it. Else a hint, where there is
/// one.
fn number_of(text: &str, decimal_comma: bool) -> Result<f64, Option<&'static str>> {
    let text = text.replace('\u{2212}', "-");
    let text = text.trim();
    let is_digit = |c: char| c.is_ascii_digit();
    let of_number = |c: char| is_digit(c) || matches!(c, '.' | ',' | '+' | '-' | 'e' | 'E');
    if !text.starts_with(|c: char| is_digit(c) || matches!(c, '+' | '-' | '.' | ','))
        || !text.contains(is_digit)
    {
        return Err(None);
    }
    if !text.chars().all(of_number) {
        let hint = if text.chars().any(char::is_alphabetic) {
            "a unit goes into the column unit, words into remark"
        } else {
            "digits are not grouped: 1234.5"
        };
        return Err(Some(hint));
    }
    let commas = text.matches(',').count();
    if commas > 1 || (commas == 1 && text.contains('.')) {
        return Err(Some("digits are not grouped: 1234.5"));
    }
    if commas == 1 && !decimal_comma {
        return Err(Some(
            "the decimal mark is a point where commas separate the columns; a sheet with semicolons may have decimal commas",
        ));
    }
    let number: f64 = text.replace(',', ".").parse().map_err(|_| None)?;
    number.is_finite().then_some(number).ok_or(None)
}

/// Whether a number is what a blank sheet suggests for the uncertainty of a quantity, to the digits that it prints.
fn is_suggested(quantity: Quantity, number: f64) -> bool {
    match quantity.usual_sd() {
        UsualSd::Fixed(sd) => (number / (COVERED_SD * sd) - 1.0).abs() < 0.006,
        UsualSd::Share(_) => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_read_as_people_write_them() {
        for (text, number) in [
            ("3", 3.0),
            ("-0.25", -0.25),
            ("\u{2212}1.5", -1.5),
            ("+2.", 2.0),
            (".5", 0.5),
            ("1e2", 100.0),
        ] {
            assert_eq!(number_of(text, false), Ok(number), "{text}");
        }
        assert_eq!(number_of("3,25", true), Ok(3.25));
        for wrong in [
            "", "nan", "inf", "-inf", "e5", "1e999", "3 mm", "1 234", "1,234.5", "--1", "1e",
            "0x10", "3,2",
        ] {
            assert!(number_of(wrong, false).is_err(), "{wrong}");
        }
        assert!(number_of("1.234,5", true).is_err());
    }
}
