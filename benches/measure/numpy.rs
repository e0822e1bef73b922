//! The same model in vectorised numpy, run beside: first that it agrees, then what it costs.

use super::export::json_of;
use super::scenarios::Case;
use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// The script, beside the benchmark.
const SCRIPT: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/benches/numpy_model.py");

/// Names the Python that has numpy.
const PYTHON_VARIABLE: &str = "SIGHTDRIFT_PYTHON";

/// The comparison with numpy, ready to run.
pub struct NumpyModel {
    python: String,
    files: Vec<PathBuf>,
}

/// What numpy needs for one design, ns on one core.
pub struct NumpyCost {
    /// A full trial, at the best chunk.
    pub full_ns: f64,
    /// One more look, at its best chunk.
    pub extra_ns: f64,
    /// A full trial with all builds in one array, as one writes it first: ns and builds; of small designs only.
    pub at_once: Option<(f64, u64)>,
    /// Versions and sizes of chunks, in words.
    pub made_with: String,
}

impl NumpyModel {
    /// Writes the designs of `cases` into `folder` for the script.
    ///
    /// # Errors
    /// `Err(Ok(why))` in words when there is no numpy here; `Err(Err(why))` when a file could not be written.
    pub fn new(cases: &[Case], folder: &Path) -> Result<Self, Result<String, String>> {
        let python = std::env::var(PYTHON_VARIABLE).unwrap_or_else(|_| "python3".to_owned());
        let found = Command::new(&python)
            .args(["-c", "import numpy"])
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .status();
        if !found.is_ok_and(|status| status.success()) {
            return Err(Ok(format!(
                "not run: `{python}` has no numpy (`python3 -m venv FOLDER && FOLDER/bin/pip install numpy`, then \
                 `{PYTHON_VARIABLE}=FOLDER/bin/python cargo bench --bench trial_cost`)"
            )));
        }
        let mut files = Vec::new();
        for case in cases {
            let path = folder.join(format!("{}.json", case.name));
            let text = json_of(case).map_err(Err)?.to_string();
            std::fs::write(&path, text).map_err(|error| Err(error.to_string()))?;
            files.push(path);
        }
        Ok(Self { python, files })
    }

    /// The very builds and looks of each design through the script: in words how well both agree.
    ///
    /// # Errors
    /// The largest difference, where it is above what is allowed.
    pub fn agreement(&self) -> Result<Vec<String>, String> {
        let (well, results) = self.run("check")?;
        let mut words = Vec::new();
        for result in &results {
            let name = text(result, "name");
            let largest = format!(
                "{:.1e} of {}",
                result["largest"].as_f64().unwrap_or(f64::INFINITY),
                text(result, "largest_of")
            );
            if result["agrees"] != Value::Bool(true) {
                return Err(format!(
                    "{name}: numpy and engine differ by {largest}, allowed 1e-9; all largest differences: {}",
                    result["each"]
                ));
            }
            words.push(format!(
                "{name}: largest difference {largest}; looks {}",
                result["verdicts"]
            ));
        }
        if !well || words.len() != self.files.len() {
            return Err("the numpy model ended before it was done".to_owned());
        }
        Ok(words)
    }

    /// What each design costs.
    ///
    /// # Errors
    /// A script that failed.
    pub fn costs(&self) -> Result<Vec<NumpyCost>, String> {
        let (well, results) = self.run("time")?;
        if !well || results.len() != self.files.len() {
            return Err("the numpy model ended before it was done".to_owned());
        }
        results
            .iter()
            .map(|result| {
                let number = |key: &str| {
                    result[key]
                        .as_f64()
                        .ok_or_else(|| format!("the numpy model told no {key}"))
                };
                Ok(NumpyCost {
                    full_ns: number("full_ns")?,
                    extra_ns: number("extra_ns")?,
                    at_once: result["at_once_ns"]
                        .as_f64()
                        .zip(result["at_once"].as_u64()),
                    made_with: format!(
                        "numpy {}, Python {}, {} builds at once",
                        text(result, "numpy"),
                        text(result, "python"),
                        result["full_chunk"]
                    ),
                })
            })
            .collect()
    }

    fn run(&self, mode: &str) -> Result<(bool, Vec<Value>), String> {
        let output = Command::new(&self.python)
            .arg(SCRIPT)
            .arg(mode)
            .args(&self.files)
            .stdin(Stdio::null())
            .stderr(Stdio::inherit())
            .output()
            .map_err(|error| format!("{}: {error}", self.python))?;
        let told = String::from_utf8_lossy(&output.stdout);
        let results = told
            .lines()
            .map(|line| serde_json::from_str(line).map_err(|error| format!("{error}: {line}")))
            .collect::<Result<_, _>>()?;
        Ok((output.status.success(), results))
    }
}

fn text<'r>(result: &'r Value, key: &str) -> &'r str {
    result[key].as_str().unwrap_or("unknown")
}
