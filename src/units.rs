//! Quantities with units, in and out: the only place with conversion factors.
//!
//! A quantity in a file is a number, or a text of a number and a unit: `"3 in"`, `"0.4 mm"`, `"12 arcmin"`. A bare
//! number is in the kind's first unit below (mm, arcmin, N, g/m, g, cd/m2, deg2, years, m/s2, none).
//! Sources: the inch is 25.4 mm exactly and the pound 0.453 592 37 kg exactly (international yard and pound
//! agreement, 1959); pound-force = pound × standard gravity 9.806 65 m/s² (CGPM 1901).

use std::f64::consts::PI;

/// One arcminute in radians.
pub const ARCMIN_RAD: f64 = PI / 10800.0;

/// Radians to arcminutes.
pub fn arcmin(rad: f64) -> f64 {
    rad / ARCMIN_RAD
}

/// Arcminutes to radians.
pub fn rad_from_arcmin(arcmin: f64) -> f64 {
    arcmin * ARCMIN_RAD
}

/// What a quantity measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A length, kept in mm.
    Length,
    /// An angle, kept in rad; bare numbers are arcmin.
    Angle,
    /// A force, kept in N.
    Force,
    /// Mass per length, kept in kg/m; bare numbers are g/m.
    MassPerLength,
    /// Luminance, kept in cd/m².
    Luminance,
    /// Area of a field of light, kept in deg².
    SolidField,
    /// Age, kept in years.
    Age,
    /// An acceleration, kept in m/s².
    Acceleration,
    /// A pure number (or %).
    Number,
}

impl Kind {
    /// Units of this kind with the factor to the unit that it is kept in; the first is that of a bare number.
    pub fn units(self) -> &'static [(&'static str, f64)] {
        const POUND_KG: f64 = 0.453_592_37;
        const POUND_FORCE_N: f64 = POUND_KG * 9.80665;
        match self {
            Self::Length => &[
                ("mm", 1.0),
                ("cm", 10.0),
                ("m", 1000.0),
                ("um", 1e-3),
                ("in", 25.4),
                ("ft", 304.8),
            ],
            Self::Angle => &[
                ("arcmin", ARCMIN_RAD),
                ("arcsec", ARCMIN_RAD / 60.0),
                ("deg", PI / 180.0),
                ("mrad", 1e-3),
                ("rad", 1.0),
            ],
            Self::Force => &[
                ("N", 1.0),
                ("mN", 1e-3),
                ("lbf", POUND_FORCE_N),
                ("ozf", POUND_FORCE_N / 16.0),
                ("kgf", 9.80665),
                ("gf", 9.80665e-3),
            ],
            Self::MassPerLength => &[
                ("g/m", 1e-3),
                ("kg/m", 1.0),
                ("mg/m", 1e-6),
                ("tex", 1e-6),
                ("den", 1e-6 / 9.0),
                ("oz/ft", POUND_KG / 16.0 / 0.3048),
                ("lb/ft", POUND_KG / 0.3048),
            ],
            Self::Luminance => &[("cd/m2", 1.0), ("nit", 1.0)],
            Self::SolidField => &[("deg2", 1.0)],
            Self::Age => &[("years", 1.0), ("year", 1.0)],
            Self::Acceleration => &[("m/s2", 1.0)],
            Self::Number => &[("", 1.0), ("%", 0.01)],
        }
    }

    /// What the kind is called in a message.
    pub fn noun(self) -> &'static str {
        match self {
            Self::Length => "a length",
            Self::Angle => "an angle",
            Self::Force => "a force",
            Self::MassPerLength => "a mass per length",
            Self::Luminance => "a luminance",
            Self::SolidField => "an area of the field of light",
            Self::Age => "an age",
            Self::Acceleration => "an acceleration",
            Self::Number => "a number",
        }
    }

    /// Factor from the unit of a bare number to the unit that the kind is kept in.
    pub fn bare_factor(self) -> f64 {
        self.units()[0].1
    }

    /// The unit in which files and reports show the kind.
    pub fn shown_unit(self) -> &'static str {
        self.units()[0].0
    }

    /// A kept value in the unit that files and reports show.
    pub fn shown(self, kept: f64) -> f64 {
        kept / self.bare_factor()
    }
}

/// Why a text is no quantity of a kind.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum QuantityError {
    /// The text does not start with a number.
    NoNumber,
    /// The number is not finite.
    NotFinite,
    /// The unit is unknown for this kind; the units that are known, and the nearest of them if one is near.
    UnknownUnit {
        /// The unit as written.
        unit: String,
        /// Another kind that has this unit, if any.
        belongs_to: Option<&'static str>,
    },
    /// A unit is missing where a text was given: numbers without a unit are written without quotes.
    NoUnit,
}

/// Reads `"3 in"` as a quantity of `kind`, in the unit that the kind is kept in.
///
/// # Errors
/// [`QuantityError`] with the cause.
pub fn read_quantity(text: &str, kind: Kind) -> Result<f64, QuantityError> {
    let text = text.trim();
    let split = number_length(text);
    let (number, unit) = text.split_at(split);
    let number: f64 = number.trim().parse().map_err(|_| QuantityError::NoNumber)?;
    let unit = unit.trim();
    if !number.is_finite() {
        return Err(QuantityError::NotFinite);
    }
    if unit.is_empty() && kind != Kind::Number {
        return Err(QuantityError::NoUnit);
    }
    let spelled = unit.replace('²', "2").replace('µ', "u").replace('″', "in");
    let known = kind.units().iter().find(|(name, _)| *name == spelled);
    let value = known
        .map(|(name, factor)| {
            // 95 × 0.01 is not 0.95, 95/100 is
            if *name == "%" {
                number / 100.0
            } else {
                number * factor
            }
        })
        .ok_or_else(|| QuantityError::UnknownUnit {
            unit: unit.to_owned(),
            belongs_to: owner_of(&spelled),
        })?;
    if value.is_finite() {
        Ok(value)
    } else {
        Err(QuantityError::NotFinite)
    }
}

/// Length in bytes of the number at the start of `text`.
fn number_length(text: &str) -> usize {
    let bytes = text.as_bytes();
    let mut end = 0;
    while end < bytes.len() {
        let byte = bytes[end];
        let exponent = matches!(byte, b'e' | b'E')
            && end > 0
            && bytes.get(end + 1).is_some_and(|next| {
                next.is_ascii_digit()
                    || (matches!(next, b'+' | b'-')
                        && bytes.get(end + 2).is_some_and(u8::is_ascii_digit))
            });
        let sign =
            matches!(byte, b'+' | b'-') && (end == 0 || matches!(bytes[end - 1], b'e' | b'E'));
        if byte.is_ascii_digit() || byte == b'.' || exponent || sign {
            end += 1;
        } else {
            break;
        }
    }
    end
}

fn owner_of(unit: &str) -> Option<&'static str> {
    [
        Kind::Length,
        Kind::Angle,
        Kind::Force,
        Kind::MassPerLength,
        Kind::Luminance,
        Kind::SolidField,
        Kind::Age,
        Kind::Acceleration,
        Kind::Number,
    ]
    .into_iter()
    .find(|kind| kind.units().iter().any(|(name, _)| *name == unit))
    .map(Kind::noun)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn workshop_units_are_read() {
        let read = |text, kind| read_quantity(text, kind).expect(text);
        assert!((read("3 in", Kind::Length) - 76.2).abs() < 1e-13);
        assert_eq!(read("0.4mm", Kind::Length), 0.4);
        assert_eq!(read("1e-3 m", Kind::Length), 1.0);
        assert!((read("12 arcmin", Kind::Angle) - 12.0 * PI / 10800.0).abs() < 1e-18);
        assert!((read("4 lbf", Kind::Force) - 17.792_886_460_86).abs() < 1e-9);
        assert!((read("0.9 g/m", Kind::MassPerLength) - 0.9e-3).abs() < 1e-18);
        for whole in 0..=100 {
            let text = format!("{whole} %");
            let found = read_quantity(&text, Kind::Number).expect("a per cent");
            assert_eq!(found, f64::from(whole) / 100.0);
        }
        assert_eq!(read("-2 arcmin", Kind::Angle), -rad_from_arcmin(2.0));
    }

    #[test]
    fn a_wrong_unit_is_told_with_what_it_measures() {
        assert_eq!(
            read_quantity("3 mm", Kind::Force),
            Err(QuantityError::UnknownUnit {
                unit: "mm".into(),
                belongs_to: Some("a length")
            })
        );
        assert_eq!(read_quantity("3", Kind::Length), Err(QuantityError::NoUnit));
        assert_eq!(
            read_quantity("mm", Kind::Length),
            Err(QuantityError::NoNumber)
        );
        assert_eq!(
            read_quantity("1e999 mm", Kind::Length),
            Err(QuantityError::NotFinite)
        );
        assert_eq!(
            read_quantity("", Kind::Length),
            Err(QuantityError::NoNumber)
        );
    }
}
