//! Distributions in a file: `{ form = "normal", sd = "0.3 mm" }`.
//!
//! A width says what it is: `sd` (standard deviation), `half_width` (a bound), or `plus_minus` with the `coverage` that it
//! stands for (0.95: 95 of 100 values lie within it), from which the form's own width follows.

use super::problem::{listed, nearest, quoted, shortened};
use super::table::{At, Table};
use crate::geometry::Pair;
use crate::sampling::{Distribution, normal_quantile_wichura_1988};
use crate::units::Kind;
use std::f64::consts::FRAC_PI_2;

/// Reads a file that a scenario names, by the name that stands there.
pub(super) type ReadFile<'f> = &'f dyn Fn(&str) -> Result<String, String>;

/// What a spread may be.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Spread {
    /// One distribution for each component.
    Each(Vec<Distribution>),
    /// Uniform over a disc.
    Disc { centre: Pair, radius: f64 },
    /// Measured pairs, drawn as pairs.
    Rows(Vec<[f64; 2]>),
}

const FORMS: [&str; 9] = [
    "fixed",
    "normal",
    "uniform",
    "triangular",
    "arcsine",
    "lognormal",
    "truncated normal",
    "disc",
    "measured",
];

impl<'a> Table<'a> {
    /// Reads this table as a spread of `components` numbers of the kind `kind`.
    pub fn spread(self, kind: Kind, components: usize, read_file: ReadFile<'_>) -> Option<Spread> {
        let form = match self.text("form") {
            Some(form) => form,
            None => {
                if self.get_named("form").is_none() {
                    self.missing("form", &format!("one of {}", listed(FORMS)));
                }
                return None;
            }
        };
        let spread = match form.value {
            "disc" if components == 2 => self.disc(kind),
            "disc" => {
                self.problems.tell(
                    &form.span,
                    "form is `disc`, which is for things with two directions; this has one number"
                        .to_owned(),
                    Some("use `uniform` with a half_width".to_owned()),
                );
                None
            }
            "measured" => self.measured(kind, components, read_file),
            _ => self.widths(&form, kind, components).map(Spread::Each),
        };
        self.finish();
        spread
    }

    fn widths(&self, form: &At<&str>, kind: Kind, components: usize) -> Option<Vec<Distribution>> {
        let made: Option<Vec<Distribution>> = match form.value {
            "fixed" => {
                let values = self.numbers("value", kind, components);
                if values.is_none() && self.get_named("value").is_none() {
                    self.missing("value", kind.noun());
                }
                values.map(|values| values.into_iter().map(Distribution::Fixed).collect())
            }
            "lognormal" => {
                let median = self.needed_positive("median", kind);
                let sd_log = self.needed_positive("sd_log", Kind::Number);
                median.zip(sd_log).map(|(median, sd_log)| {
                    let one = Distribution::Lognormal {
                        median: median.value,
                        sd_log: sd_log.value,
                    };
                    vec![one; components]
                })
            }
            "normal" => self.width(form.value, kind, &["sd"]).map(|sd| {
                self.means(kind, components)
                    .iter()
                    .map(|mean| Distribution::Normal { mean: *mean, sd })
                    .collect()
            }),
            "truncated normal" => {
                let half_width = self.positive("half_width", kind);
                if half_width.is_none() && self.get_named("half_width").is_none() {
                    self.missing("half_width", "the bound at which the normal is cut");
                }
                let sd = self.width(form.value, kind, &["sd"]);
                half_width.zip(sd).map(|(half_width, sd)| {
                    self.means(kind, components)
                        .iter()
                        .map(|mean| Distribution::TruncatedNormal {
                            mean: *mean,
                            sd,
                            half_width: half_width.value,
                        })
                        .collect()
                })
            }
            "uniform" | "triangular" | "arcsine" => {
                let make = |mean, half_width| match form.value {
                    "uniform" => Distribution::Uniform { mean, half_width },
                    "triangular" => Distribution::Triangular { mean, half_width },
                    _ => Distribution::Arcsine { mean, half_width },
                };
                self.width(form.value, kind, &["half_width"])
                    .map(|half_width| {
                        let means = self.means(kind, components);
                        means.iter().map(|mean| make(*mean, half_width)).collect()
                    })
            }
            unknown => {
                // what a mistyped form would take is not known: its keys are no mistake of their own
                for key in [
                    "sd",
                    "half_width",
                    "plus_minus",
                    "coverage",
                    "median",
                    "sd_log",
                    "value",
                    "radius",
                    "file",
                    "columns",
                    "unit",
                ] {
                    let _ = self.get(key);
                }
                self.problems.tell(
                    &form.span,
                    format!(
                        "form is {}, allowed here: {}",
                        quoted(unknown),
                        listed(FORMS)
                    ),
                    nearest(unknown, FORMS).map(|near| format!("did you mean `{near}`?")),
                );
                None
            }
        };
        made.filter(|made| made.iter().all(|one| self.is_sound(form, one)))
    }

    fn is_sound(&self, form: &At<&str>, distribution: &Distribution) -> bool {
        let sound = distribution.clone().checked().is_ok();
        if !sound {
            self.problems.tell(
                &form.span,
                format!("[{}] has a width that is negative or not finite", self.name),
                None,
            );
        }
        sound
    }

    /// The form's own width from whichever of its keys is there.
    fn width(&self, form: &str, kind: Kind, own: &[&'static str]) -> Option<f64> {
        let plus_minus = self.positive("plus_minus", kind);
        let coverage = self.quantity("coverage", Kind::Number);
        let mut found = None;
        for key in own {
            found = found.or(self.positive(key, kind));
        }
        let own_key = own[0];
        if self.get_named("plus_minus").is_none() {
            if found.is_none() && self.get_named(own_key).is_none() {
                self.missing(own_key, &format!("a width above 0 (`{own_key}`, or `plus_minus` with the `coverage` that it stands for)"));
            }
            if let Some(coverage) = &coverage {
                self.problems.tell(
                    &coverage.span,
                    format!(
                        "[{}] has a `coverage` without a `plus_minus` that it stands for",
                        self.name
                    ),
                    Some(format!(
                        "write plus_minus instead of {own_key}, or leave coverage out"
                    )),
                );
                return None;
            }
            return found.map(|width| width.value);
        }
        if let Some(width) = &found {
            self.problems.tell(
                &width.span,
                format!(
                    "[{}] has both `{own_key}` and `plus_minus`; one of them is enough",
                    self.name
                ),
                None,
            );
            return None;
        }
        let Some(coverage) = coverage else {
            if self.get_named("coverage").is_none() {
                self.missing(
                    "coverage",
                    "what `plus_minus` stands for (0.95 for 95 of 100 values within it)",
                );
            }
            return None;
        };
        let scale = width_over_plus_minus(form, coverage.value);
        if scale.is_none() {
            self.problems.tell(
                &coverage.span,
                format!(
                    "coverage is {}, must be above 0 and {} for form `{form}`",
                    self.problems.quote(&coverage.span),
                    if form == "normal" {
                        "below 1"
                    } else {
                        "at most 1"
                    }
                ),
                None,
            );
        }
        Some(plus_minus?.value * scale?)
    }

    fn means(&self, kind: Kind, components: usize) -> Vec<f64> {
        self.numbers("mean", kind, components)
            .unwrap_or_else(|| vec![0.0; components])
    }

    /// One quantity for all components, or a pair.
    fn numbers(&self, key: &'static str, kind: Kind, components: usize) -> Option<Vec<f64>> {
        let value = self.get(key)?;
        if components == 2 && value.get_ref().is_array() {
            return self
                .pair_of(key, value, kind)
                .map(|pair| vec![pair.value.x, pair.value.y]);
        }
        self.quantity_of(key, value, kind)
            .map(|one| vec![one.value; components])
    }

    fn disc(&self, kind: Kind) -> Option<Spread> {
        let means = self.means(kind, 2);
        let radius = self.width("disc", kind, &["radius"])?;
        Some(Spread::Disc {
            centre: Pair::new(means[0], means[1]),
            radius,
        })
    }

    /// Columns of a CSV file, resampled.
    fn measured(&self, kind: Kind, components: usize, read_file: ReadFile<'_>) -> Option<Spread> {
        let file = self.text("file");
        if file.is_none() && self.get_named("file").is_none() {
            self.missing("file", "the name of a CSV file");
        }
        let unit = self.text("unit");
        let columns: Vec<At<&str>> = match self.array("columns") {
            Some(list) => list
                .value
                .iter()
                .filter_map(|one| {
                    let text = one.get_ref().as_str();
                    if text.is_none() {
                        self.wrong_type("columns", one, "a column's name in quotes");
                    }
                    text.map(|value| At {
                        value,
                        span: one.span(),
                    })
                })
                .collect(),
            None => {
                self.missing("columns", &format!("{components} column name(s) in [ ]"));
                Vec::new()
            }
        };
        let factor = match &unit {
            None => {
                self.missing(
                    "unit",
                    &format!("the unit of the columns ({})", kind.shown_unit()),
                );
                return None;
            }
            Some(unit) => {
                let known = kind.units().iter().find(|(name, _)| *name == unit.value);
                if known.is_none() {
                    self.problems.tell(
                        &unit.span,
                        format!(
                            "unit is {}, allowed here: {}",
                            quoted(unit.value),
                            listed(kind.units().iter().map(|(name, _)| if name.is_empty() {
                                "\"\""
                            } else {
                                *name
                            }))
                        ),
                        None,
                    );
                }
                known?.1
            }
        };
        if columns.len() != components {
            self.problems.tell(
                &self.span,
                format!(
                    "[{}] names {} column(s), must be {components}",
                    self.name,
                    columns.len()
                ),
                None,
            );
            return None;
        }
        let file = file?;
        let text = match read_file(file.value) {
            Ok(text) => text,
            Err(reason) => {
                self.problems.tell(
                    &file.span,
                    format!(
                        "file {} cannot be read: {}",
                        quoted(file.value),
                        shortened(&reason)
                    ),
                    None,
                );
                return None;
            }
        };
        let names: Vec<&str> = columns.iter().map(|column| column.value).collect();
        let rows = match column_rows(&text, &names) {
            Ok(rows) => rows,
            Err((which, fact)) => {
                let span = columns.get(which).map_or(&file.span, |column| &column.span);
                let name = shortened(file.value);
                self.problems.tell(span, format!("{name}: {fact}"), None);
                return None;
            }
        };
        let kept = |row: &Vec<f64>, column: usize| row[column] * factor;
        if components == 2 {
            return Some(Spread::Rows(
                rows.iter()
                    .map(|row| [kept(row, 0), kept(row, 1)])
                    .collect(),
            ));
        }
        let values = rows.iter().map(|row| kept(row, 0)).collect();
        Distribution::measured(values)
            .ok()
            .map(|one| Spread::Each(vec![one]))
    }
}

/// Numbers of the named columns, row by row; rows in which one of their cells is empty are left out. On error, which of the
/// columns and the fact.
fn column_rows(text: &str, columns: &[&str]) -> Result<Vec<Vec<f64>>, (usize, String)> {
    /// Largest magnitude of a measured value, as for every other quantity.
    const LARGEST: f64 = 1e9;
    let mut reader = csv::ReaderBuilder::new()
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let headers = reader
        .headers()
        .map_err(|error| (0, error.to_string()))?
        .clone();
    let mut indices = Vec::new();
    for (nth, column) in columns.iter().enumerate() {
        match headers.iter().position(|name| name == *column) {
            Some(index) if headers.iter().skip(index + 1).any(|name| name == *column) => {
                return Err((nth, format!("two columns have the name {}", quoted(column))));
            }
            Some(index) => indices.push(index),
            None => {
                let there = shortened(&listed(headers.iter()));
                return Err((
                    nth,
                    format!("no column {}, there are: {there}", quoted(column)),
                ));
            }
        }
    }
    let mut rows = Vec::new();
    for record in reader.records() {
        let record = record.map_err(|error| (0, error.to_string()))?;
        let line = record.position().map_or(0, csv::Position::line);
        let cells: Vec<&str> = indices
            .iter()
            .map(|index| record.get(*index).unwrap_or(""))
            .collect();
        if cells.iter().any(|cell| cell.is_empty()) {
            continue;
        }
        let mut row = Vec::new();
        for (nth, cell) in cells.iter().enumerate() {
            match cell.parse::<f64>() {
                Ok(value) if value.abs() <= LARGEST => row.push(value),
                _ => {
                    return Err((
                        nth,
                        format!(
                            "line {line}: {} in column {} is no finite number within ± {LARGEST:e}",
                            quoted(cell),
                            quoted(columns[nth])
                        ),
                    ));
                }
            }
        }
        rows.push(row);
    }
    if rows.is_empty() {
        return Err((
            0,
            format!(
                "column {} holds no number",
                shortened(&listed(columns.iter().copied()))
            ),
        ));
    }
    Ok(rows)
}

/// The form's own width over the half-width of the interval that holds the share `coverage`.
fn width_over_plus_minus(form: &str, coverage: f64) -> Option<f64> {
    if !(coverage > 0.0 && coverage <= 1.0) {
        return None;
    }
    match form {
        "uniform" => Some(1.0 / coverage),
        // P(|x| ≤ a) = 1 − (1 − a/h)²
        "triangular" => Some(1.0 / (1.0 - (1.0 - coverage).sqrt())),
        // P(|x| ≤ a) = (2/π)·asin(a/h)
        "arcsine" => Some(1.0 / libm::sin(FRAC_PI_2 * coverage)),
        // P(r ≤ a) = a²/R²
        "disc" => Some(1.0 / coverage.sqrt()),
        _ if coverage < 1.0 => Some(1.0 / normal_quantile_wichura_1988(0.5 + coverage / 2.0)),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plus_minus_covers_what_it_says() {
        for coverage in [0.5, 0.683, 0.95] {
            for (form, make) in [
                (
                    "normal",
                    (|w| Distribution::Normal { mean: 0.0, sd: w }) as fn(f64) -> Distribution,
                ),
                ("uniform", |w| Distribution::Uniform {
                    mean: 0.0,
                    half_width: w,
                }),
                ("triangular", |w| Distribution::Triangular {
                    mean: 0.0,
                    half_width: w,
                }),
                ("arcsine", |w| Distribution::Arcsine {
                    mean: 0.0,
                    half_width: w,
                }),
            ] {
                let width = width_over_plus_minus(form, coverage).expect("in range");
                let made = make(width);
                let held = made.cumulative(1.0) - made.cumulative(-1.0);
                assert!((held - coverage).abs() < 1e-12, "{form} {coverage}: {held}");
            }
        }
        assert!(width_over_plus_minus("normal", 1.0).is_none());
        assert!(width_over_plus_minus("uniform", f64::NAN).is_none());
    }

    #[test]
    fn columns_are_read_by_name_and_rows_stay_together() {
        let text = "hole,dx,dy\nA,0.1,0.2\nB,,0.3\nC,-0.4,0.5\n";
        assert_eq!(
            column_rows(text, &["dy", "dx"]),
            Ok(vec![vec![0.2, 0.1], vec![0.5, -0.4]])
        );
        assert!(column_rows(text, &["dz"]).is_err());
        assert!(column_rows("dx\nabc\n", &["dx"]).is_err());
        assert!(column_rows("dx\n1e300\n", &["dx"]).is_err());
        assert!(column_rows("dx\n", &["dx"]).is_err());
    }
}
