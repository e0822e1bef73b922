//! Quantities with units in a file.

use super::problem::{listed, quoted};
use super::table::{At, Table};
use crate::geometry::Pair;
use crate::units::{Kind, QuantityError, read_quantity};
use toml::Spanned;
use toml::de::DeValue;

impl<'a> Table<'a> {
    /// A quantity, in the unit that its kind is kept in.
    pub fn quantity(&self, key: &'static str, kind: Kind) -> Option<At<f64>> {
        let value = self.get(key)?;
        self.quantity_of(key, value, kind)
    }

    /// A quantity that must be above 0.
    pub fn positive(&self, key: &'static str, kind: Kind) -> Option<At<f64>> {
        let found = self.quantity(key, kind)?;
        self.must(key, found, found_positive, "must be above 0")
    }

    /// A quantity that must be there and above 0.
    pub fn needed_positive(&self, key: &'static str, kind: Kind) -> Option<At<f64>> {
        let found = self.positive(key, kind);
        if self.get_named(key).is_none() {
            self.missing(
                key,
                &format!("{} above 0, for example {}", kind.noun(), example(kind)),
            );
        }
        found
    }

    /// A share above 0 and at most 1.
    pub fn share(&self, key: &'static str) -> Option<At<f64>> {
        let found = self.quantity(key, Kind::Number)?;
        self.must(
            key,
            found,
            |share| share > 0.0 && share <= 1.0,
            "must be above 0 and at most 1",
        )
    }

    pub fn must(
        &self,
        key: &str,
        found: At<f64>,
        allowed: impl Fn(f64) -> bool,
        words: &str,
    ) -> Option<At<f64>> {
        if allowed(found.value) {
            return Some(found);
        }
        self.problems.tell(
            &found.span,
            format!("{key} is {}, {words}", self.problems.quote(&found.span)),
            None,
        );
        None
    }

    /// A pair of quantities in [ ].
    pub fn pair(&self, key: &'static str, kind: Kind) -> Option<At<Pair>> {
        let value = self.get(key)?;
        self.pair_of(key, value, kind)
    }

    pub fn pair_of(
        &self,
        key: &str,
        value: &'a Spanned<DeValue<'a>>,
        kind: Kind,
    ) -> Option<At<Pair>> {
        match value.get_ref().as_array().map(|array| &array[..]) {
            Some([x, y]) => {
                let x = self.quantity_of(key, x, kind);
                let y = self.quantity_of(key, y, kind);
                Some(At {
                    value: Pair::new(x?.value, y?.value),
                    span: value.span(),
                })
            }
            _ => {
                self.wrong_type(
                    key,
                    value,
                    &format!("two quantities [x, y], each {}", kind.noun()),
                );
                None
            }
        }
    }

    /// Reads a value as a quantity; tells what is wrong with it otherwise, and refuses what no workshop has.
    pub fn quantity_of(
        &self,
        key: &str,
        value: &Spanned<DeValue<'_>>,
        kind: Kind,
    ) -> Option<At<f64>> {
        let span = value.span();
        let bare = |text: &str| {
            let number = text.replace('_', "").parse::<f64>().ok();
            number.map(|number| number * kind.bare_factor())
        };
        let kept = match value.get_ref() {
            DeValue::String(text) => match read_quantity(text, kind) {
                Ok(kept) => Some(kept),
                Err(error) => {
                    self.tell_quantity(key, value, kind, text, &error);
                    return None;
                }
            },
            DeValue::Float(float) => bare(float.as_str()),
            DeValue::Integer(integer) => i64::from_str_radix(integer.as_str(), integer.radix())
                .ok()
                .map(|number| number as f64 * kind.bare_factor()),
            _ => {
                self.wrong_type(
                    key,
                    value,
                    &format!("{}, for example {}", kind.noun(), example(kind)),
                );
                return None;
            }
        };
        let wrong = match kept {
            Some(kept) if kept.is_finite() && kind.shown(kept).abs() <= LARGEST => {
                return Some(At { value: kept, span });
            }
            Some(kept) if kept.is_finite() => {
                format!("within ± {LARGEST:e} {}", kind.shown_unit())
            }
            _ => "a finite number".to_owned(),
        };
        self.problems.tell(
            &span,
            format!("{key} is {}, must be {wrong}", self.problems.quote(&span)),
            None,
        );
        None
    }

    fn tell_quantity(
        &self,
        key: &str,
        value: &Spanned<DeValue<'_>>,
        kind: Kind,
        text: &str,
        error: &QuantityError,
    ) {
        let units = listed(
            kind.units()
                .iter()
                .map(|(name, _)| *name)
                .filter(|name| !name.is_empty()),
        );
        let example = example(kind);
        let text = quoted(text);
        let (fact, hint) = match error {
            QuantityError::NoNumber => (
                format!(
                    "{key} is {text}, which does not start with a number; {} is needed",
                    kind.noun()
                ),
                Some(format!("write a number and a unit, for example {example}")),
            ),
            QuantityError::NotFinite => (format!("{key} is {text}, must be a finite number"), None),
            QuantityError::NoUnit => (
                format!(
                    "{key} is {text}, a text without a unit; units of {}: {units}",
                    kind.noun()
                ),
                Some(format!(
                    "write for example {example}, or a bare number for {}",
                    kind.shown_unit()
                )),
            ),
            QuantityError::UnknownUnit { unit, belongs_to } => (
                match belongs_to {
                    Some(noun) => format!(
                        "{key} is {text}: {} measures {noun}, but {} is needed here, in {units}",
                        quoted(unit),
                        kind.noun()
                    ),
                    None => format!(
                        "{key} is {text}: unknown unit {}, allowed here: {units}",
                        quoted(unit)
                    ),
                },
                unit.starts_with(',')
                    .then(|| "the decimal mark is a point: 0.25, not 0,25".to_owned()),
            ),
        };
        self.problems.tell(&value.span(), fact, hint);
    }
}

/// Largest number of a quantity, in the unit of a bare number: far beyond any cabinet, and far from overflow.
const LARGEST: f64 = 1e9;

fn found_positive(value: f64) -> bool {
    value > 0.0
}

fn example(kind: Kind) -> &'static str {
    match kind {
        Kind::Length => "\"12 mm\"",
        Kind::Angle => "\"12 arcmin\"",
        Kind::Force => "\"2 N\"",
        Kind::MassPerLength => "\"0.9 g/m\"",
        Kind::Luminance => "\"100 cd/m2\"",
        Kind::SolidField => "\"900 deg2\"",
        Kind::Age => "\"30 years\"",
        Kind::Acceleration => "\"9.80665 m/s2\"",
        Kind::Number => "0.5",
    }
}
