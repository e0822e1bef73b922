//! Every row of `tests/reference/*.toml`: a value from outside the code, its source, unit, tolerance and the tolerance's
//! reason. Run with `--nocapture` to see the counts that README quotes.

mod checks;
mod support;

use checks::{Found, Inputs};
use serde::Deserialize;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::PathBuf;

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    subject: String,
    #[serde(default)]
    row: Vec<Row>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Kind {
    Published,
    ClosedForm,
    OtherProgram,
    Practice,
    Regression,
}

/// One value, or several of one computation.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    name: String,
    check: String,
    kind: Kind,
    source: String,
    /// The exact call and version, for what another program computed.
    call: Option<String>,
    unit: String,
    /// Largest difference allowed, one for all or one for each number.
    tolerance: toml::Value,
    reason: String,
    /// The row states a value that must *not* be found: another method's known wrong answer.
    #[serde(default)]
    must_differ: bool,
    inputs: toml::Table,
    expected: toml::Value,
}

/// One number beside the one expected.
struct Comparison {
    label: String,
    found: f64,
    expected: f64,
    allowed: f64,
}

impl Comparison {
    fn difference(&self) -> f64 {
        (self.found - self.expected).abs()
    }

    fn is_met(&self, must_differ: bool) -> bool {
        if !self.found.is_finite() {
            return false;
        }
        if must_differ {
            self.difference() > self.allowed
        } else {
            self.difference() <= self.allowed
        }
    }
}

fn numbers(value: &toml::Value) -> Vec<f64> {
    match value {
        toml::Value::Float(x) => vec![*x],
        toml::Value::Integer(x) => vec![*x as f64],
        toml::Value::Array(all) => all.iter().flat_map(numbers).collect(),
        other => panic!("{other} is no number"),
    }
}

fn compare(row: &Row) -> Result<Vec<Comparison>, String> {
    let tolerance = numbers(&row.tolerance);
    match checks::run(&row.check, Inputs(&row.inputs))? {
        Found::Numbers(found) => {
            let expected = numbers(&row.expected);
            if found.len() != expected.len() {
                return Err(format!(
                    "{} numbers found, {} expected",
                    found.len(),
                    expected.len()
                ));
            }
            if tolerance.len() != 1 && tolerance.len() != expected.len() {
                return Err("give one tolerance, or one for each number".into());
            }
            Ok(found
                .into_iter()
                .zip(expected)
                .enumerate()
                .map(|(i, (found, expected))| Comparison {
                    label: format!("{} [{i}]", row.check),
                    found,
                    expected,
                    allowed: tolerance[i.min(tolerance.len() - 1)],
                })
                .collect())
        }
        Found::Named(found) => {
            let expected = row
                .expected
                .as_table()
                .ok_or("a table of expected values is needed")?;
            let mut all = Vec::new();
            if expected.len() != found.len() {
                return Err(format!(
                    "{} names found, {} expected",
                    found.len(),
                    expected.len()
                ));
            }
            for (name, found) in found {
                let expected = numbers(
                    expected
                        .get(name)
                        .ok_or(format!("no expected \"{name}\""))?,
                );
                if found.len() != expected.len() || found.is_empty() {
                    return Err(format!(
                        "{name}: {} found, {} expected",
                        found.len(),
                        expected.len()
                    ));
                }
                for (i, (found, expected)) in found.into_iter().zip(expected).enumerate() {
                    all.push(Comparison {
                        label: format!("{name}[{i}]"),
                        found,
                        expected,
                        allowed: tolerance[0] * expected.abs().max(1.0),
                    });
                }
            }
            Ok(all)
        }
    }
}

/// What is wrong with a row; empty when it is met.
fn faults(row: &Row) -> Vec<String> {
    let mut faults = Vec::new();
    if [&row.name, &row.source, &row.unit, &row.reason]
        .iter()
        .any(|text| text.trim().is_empty())
    {
        faults.push("name, source, unit and reason must say something".into());
    }
    if row.kind == Kind::OtherProgram && row.call.is_none() {
        faults.push("another program's value needs its call and version".into());
    }
    if row.kind == Kind::Practice && !row.source.contains("no source") {
        faults.push("a trade rule says \"common practice, no source\"".into());
    }
    let compared = match compare(row) {
        Ok(compared) => compared,
        Err(why) => {
            faults.push(why);
            return faults;
        }
    };
    let largest = compared
        .iter()
        .map(|one| one.expected.abs())
        .fold(0.0, f64::max);
    if compared.is_empty() {
        faults.push("nothing was compared".into());
    }
    for one in &compared {
        let toothless = !(one.allowed > 0.0 && one.allowed.is_finite())
            || (largest > 0.0 && one.allowed > 0.5 * largest);
        if toothless {
            faults.push(format!(
                "{}: allowed {} cannot fail beside {largest}",
                one.label, one.allowed
            ));
        }
        if !one.is_met(row.must_differ) {
            faults.push(in_numbers(row, one));
        }
    }
    faults
}

/// All numbers of a comparison; a row of several units names them once at the end.
fn in_numbers(row: &Row, one: &Comparison) -> String {
    let several = row.unit.contains(',');
    let unit = if several || row.unit == "1" {
        String::new()
    } else {
        format!(" {}", row.unit)
    };
    format!(
        "{} {}{unit}, {} {}{unit}, difference {:e}{unit}, allowed {:e}{unit} ({}{})",
        one.label,
        one.found,
        if row.must_differ {
            "must not be"
        } else {
            "expected"
        },
        one.expected,
        one.difference(),
        one.allowed,
        row.reason,
        if several {
            format!("; units: {}", row.unit)
        } else {
            String::new()
        },
    )
}

fn parse(text: &str) -> Result<File, String> {
    let file: File = toml::from_str(text).map_err(|error| error.to_string())?;
    if file.row.is_empty() {
        return Err(format!("\"{}\" has no rows", file.subject));
    }
    Ok(file)
}

fn all_files() -> Vec<(String, File)> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/reference");
    let mut paths: Vec<PathBuf> = std::fs::read_dir(&folder)
        .expect("tests/reference is there")
        .map(|entry| entry.expect("readable").path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "toml"))
        .collect();
    paths.sort();
    paths
        .into_iter()
        .map(|path| {
            let name = path
                .file_name()
                .expect("a file")
                .to_string_lossy()
                .into_owned();
            let text = std::fs::read_to_string(&path).expect("readable");
            let file = parse(&text).unwrap_or_else(|why| panic!("{name}: {why}"));
            (name, file)
        })
        .collect()
}

#[test]
fn every_reference_value_is_met() {
    let files = all_files();
    assert!(files.len() >= 9, "only {} files of values", files.len());
    let mut report = String::new();
    let mut total: BTreeMap<Kind, [usize; 2]> = BTreeMap::new();
    for (name, file) in &files {
        let mut here: BTreeMap<Kind, [usize; 2]> = BTreeMap::new();
        for row in &file.row {
            let values = compare(row).map_or(0, |all| all.len());
            for count in [&mut here, &mut total] {
                let [rows, numbers] = count.entry(row.kind).or_default();
                *rows += 1;
                *numbers += values;
            }
            for fault in faults(row) {
                let _ = writeln!(report, "{name}: {}: {fault}", row.name);
            }
        }
        println!("{name:18} {:56} {}", file.subject, in_words(&here));
    }
    println!("{:75} {}", "all", in_words(&total));
    assert!(report.is_empty(), "\n{report}");
}

fn in_words(counts: &BTreeMap<Kind, [usize; 2]>) -> String {
    let kinds = counts
        .iter()
        .map(|(kind, [rows, numbers])| format!("{kind:?} {rows} rows ({numbers} numbers)"));
    let rows: usize = counts.values().map(|[rows, _]| rows).sum();
    format!("{rows} rows: {}", kinds.collect::<Vec<_>>().join(", "))
}

/// Every number under `value`, each moved by a tenth (or from 0 to a tenth) in a copy of its own.
fn moved(value: &toml::Value) -> Vec<toml::Value> {
    match value {
        toml::Value::Float(x) => vec![toml::Value::Float(if *x == 0.0 { 0.1 } else { 1.1 * x })],
        toml::Value::Integer(n) => vec![toml::Value::Integer(n + 1)],
        toml::Value::Boolean(flag) => vec![toml::Value::Boolean(!flag)],
        toml::Value::Array(all) => (0..all.len())
            .flat_map(|at| {
                moved(&all[at]).into_iter().map(move |one| {
                    let mut copy = all.clone();
                    copy[at] = one;
                    toml::Value::Array(copy)
                })
            })
            .collect(),
        toml::Value::Table(table) => table
            .iter()
            .flat_map(|(key, one)| {
                moved(one).into_iter().map(move |one| {
                    let mut copy = table.clone();
                    copy.insert(key.clone(), one);
                    toml::Value::Table(copy)
                })
            })
            .collect(),
        _ => Vec::new(),
    }
}

#[test]
fn every_row_with_numbers_in_fails_when_some_input_is_moved() {
    let mut checks = std::collections::BTreeSet::new();
    for (name, file) in all_files() {
        for row in &file.row {
            // a million draws a row: their sensitivity shows in the rows that must differ
            let too_slow = ["monte_carlo", "disc"].contains(&row.check.as_str());
            let inputs = moved(&toml::Value::Table(row.inputs.clone()));
            if too_slow || inputs.is_empty() {
                continue;
            }
            checks.insert(row.check.clone());
            let fails = inputs.into_iter().any(|inputs| {
                let toml::Value::Table(inputs) = inputs else {
                    unreachable!("a table stays a table")
                };
                !faults(&Row {
                    inputs,
                    ..row.clone()
                })
                .is_empty()
            });
            assert!(fails, "{name}: {} passes whatever goes in", row.name);
        }
    }
    assert!(checks.len() > 30, "only {} checks", checks.len());
}

fn row(text: &str) -> Row {
    parse(text).expect("a file").row.remove(0)
}

const HEAD: &str = "subject = \"s\"\n[[row]]\nname = \"n\"\nkind = \"closed_form\"\nsource = \"s\"\nunit = \"mm\"\nreason = \"r\"\n";

#[test]
fn a_wrong_value_fails_on_either_side() {
    for expected in ["1.04", "1.043", "nan"] {
        let text = format!(
            "{HEAD}check = \"arcmin_of_rad\"\ntolerance = 0.0005\ninputs = {{ rad = {} }}\nexpected = {expected}\n",
            1.0415 / 3437.746770784939
        );
        let found = faults(&row(&text));
        assert_eq!(found.len(), 1, "{found:?}");
        assert!(found[0].contains("expected") && found[0].contains("allowed"));
    }
}

#[test]
fn a_value_that_must_differ_fails_when_it_does_not() {
    let text = format!(
        "{HEAD}check = \"arcmin_of_rad\"\nmust_differ = true\ntolerance = 0.01\ninputs = {{ rad = 1.0 }}\nexpected = 3437.75\n"
    );
    assert_eq!(faults(&row(&text)).len(), 1);
}

#[test]
fn an_unknown_check_a_missing_input_and_an_endless_tolerance_are_faults() {
    for (check, tolerance) in [("no_such_check", "1.0"), ("capstan_ratio", "1.0")] {
        let text = format!(
            "{HEAD}check = \"{check}\"\ntolerance = {tolerance}\ninputs = {{ rad = 1.0 }}\nexpected = 1.0\n"
        );
        assert!(!faults(&row(&text)).is_empty(), "{check}");
    }
    for tolerance in ["inf", "0.0", "nan", "2000.0"] {
        let text = format!(
            "{HEAD}check = \"arcmin_of_rad\"\ntolerance = {tolerance}\ninputs = {{ rad = 1.0 }}\nexpected = 3437.75\n"
        );
        assert!(!faults(&row(&text)).is_empty(), "{tolerance}");
    }
}

#[test]
fn a_file_without_rows_is_refused() {
    assert!(parse("subject = \"nothing\"\n").is_err());
    assert!(parse("subject = \"s\"\n[[row]]\nname = \"half a row\"\n").is_err());
}
