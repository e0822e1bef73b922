//! Counts files: what a run, or a part of one, has come to so far. Read back only whole and by the same program for the
//! same run.

use super::Stop;
use super::files::{read_text_up_to, write_file};
use crate::decision::{Counted, CountedCounts, Part, RunPlan};
use crate::figure::Plan;
use crate::sampling::SAMPLING_VERSION;
use crate::sampling::Sampling;
use crate::scenario::Scenario;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::fs::File;
use std::io::Read;
use std::path::Path;

/// What a counts file calls itself.
const FORMAT: &str = "sightdrift counts";
/// Number of the format.
const SCHEMA: u64 = 1;
/// Largest file that is read: some tens of megabytes are written for the largest designs.
const LARGEST_BYTES: u64 = 1 << 30;

/// Everything besides the scenario that decides what a run counts. Numbers with a fraction are kept as text, so that they
/// come back as they were.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RunKey {
    pub seed: u64,
    pub builds: u64,
    pub looks: u64,
    half_width: Option<String>,
    level: String,
    interval: String,
    sampling: String,
}

impl RunKey {
    /// How the numbers were laid out, if the name is one of ours.
    pub fn sampling(&self) -> Option<Sampling> {
        Sampling::named(&self.sampling)
    }
}

impl From<&RunPlan> for RunKey {
    fn from(run: &RunPlan) -> Self {
        Self {
            seed: run.seed,
            builds: run.builds,
            looks: run.looks,
            half_width: run.half_width.map(|width| width.to_string()),
            level: run.level.to_string(),
            interval: run.method.name().to_owned(),
            sampling: run.sampling.name().to_owned(),
        }
    }
}

/// The head of any version's file.
#[derive(Debug, Deserialize)]
struct Head {
    format: String,
    schema: u64,
    program: String,
    sampling_version: u64,
}

/// A counts file.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct CountsFile {
    format: String,
    schema: u64,
    program: String,
    sampling_version: u64,
    scenario_sha256: String,
    pub run: RunKey,
    /// Number and number of parts, or nothing for a run from its first build on.
    pub part: Option<[u64; 2]>,
    /// SHA-256 of all of the above.
    fingerprint: String,
    /// SHA-256 of the text of `counts`.
    counts_sha256: String,
    counts: CountedCounts,
}

fn hexadecimal(text: &[u8]) -> String {
    Sha256::digest(text)
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect()
}

impl CountsFile {
    /// What `counted` of the run `run` of `scenario`, or of one part of it, comes to.
    fn new(
        scenario_sha256: &str,
        run: &RunPlan,
        part: Option<Part>,
        counted: &Counted,
    ) -> Result<Self, Stop> {
        let counts = CountedCounts::from(counted);
        let mut file = Self {
            format: FORMAT.to_owned(),
            schema: SCHEMA,
            program: env!("CARGO_PKG_VERSION").to_owned(),
            sampling_version: u64::from(SAMPLING_VERSION),
            scenario_sha256: scenario_sha256.to_owned(),
            run: RunKey::from(run),
            part: part.map(|part| [part.number(), part.of()]),
            fingerprint: String::new(),
            counts_sha256: hexadecimal(&serde_json::to_vec(&counts)?),
            counts,
        };
        file.fingerprint = file.fingerprint_now()?;
        Ok(file)
    }

    fn fingerprint_now(&self) -> Result<String, Stop> {
        let head = (
            &self.format,
            self.schema,
            &self.program,
            self.sampling_version,
            &self.scenario_sha256,
            &self.run,
            self.part,
        );
        Ok(hexadecimal(&serde_json::to_vec(&head)?))
    }

    /// Reads a file of this program; what it counts is not looked into yet.
    pub fn read(path: &Path) -> Result<Self, Stop> {
        Self::from_text(path, &read_text_up_to(path, LARGEST_BYTES)?)
    }

    /// The same of a text; `path` only names it in messages.
    pub fn from_text(path: &Path, text: &str) -> Result<Self, Stop> {
        let refuse = |why: String| Stop::Refused(format!("{}: {why}", path.display()));
        let no_counts = |error: serde_json::Error| {
            let words = error.to_string();
            let place = format!(" at line {} column {}", error.line(), error.column());
            Stop::Refused(format!(
                "{}:{}:{}: {}\n  hint: this is no whole counts file; make it again",
                path.display(),
                error.line(),
                error.column(),
                shortened(words.strip_suffix(&place).unwrap_or(&words))
            ))
        };
        let head: Head = serde_json::from_str(text).map_err(no_counts)?;
        if head.format != FORMAT {
            return Err(refuse(format!(
                "is no counts file: `format` is `{}`, not `{FORMAT}`",
                shortened(&head.format)
            )));
        }
        let ours = (
            SCHEMA,
            env!("CARGO_PKG_VERSION"),
            u64::from(SAMPLING_VERSION),
        );
        if (head.schema, head.program.as_str(), head.sampling_version) != ours {
            return Err(refuse(format!(
                "was made by version {} (format {}, sampling version {}), this is version {} (format {}, sampling version {})\n  hint: counts go together within one version only; make it again",
                shortened(&head.program),
                head.schema,
                head.sampling_version,
                ours.1,
                ours.0,
                ours.2
            )));
        }
        let file: Self = serde_json::from_str(text).map_err(no_counts)?;
        if file.fingerprint != file.fingerprint_now()? {
            return Err(refuse(
                "its `fingerprint` does not belong to what it says of its run; make it again"
                    .to_owned(),
            ));
        }
        if file.counts_sha256 != hexadecimal(&serde_json::to_vec(&file.counts)?) {
            return Err(refuse(
                "its counts are not those that were written (`counts_sha256` differs); make it again".to_owned(),
            ));
        }
        Ok(file)
    }

    /// What was counted, when the file is of this scenario, run and part.
    pub fn counted(
        &self,
        path: &Path,
        sha256: &str,
        plan: &Plan,
        run: &RunPlan,
        part: Option<Part>,
    ) -> Result<Counted, Stop> {
        let refuse = |why: String| Stop::Refused(format!("{}: {why}", path.display()));
        if self.scenario_sha256 != sha256 {
            return Err(refuse(format!(
                "was made from another scenario, or from this one before it was changed (SHA-256 {}, this one has {sha256})",
                shortened(&self.scenario_sha256)
            )));
        }
        self.check_run(&RunKey::from(run)).map_err(refuse)?;
        if self.part != part.map(|part| [part.number(), part.of()]) {
            let words = |part: Option<[u64; 2]>| match part {
                Some([number, of]) => format!("part {number}/{of}"),
                None => "a run that is not in parts".to_owned(),
            };
            return Err(refuse(format!(
                "is of {}, not of {}",
                words(self.part),
                words(part.map(|part| [part.number(), part.of()]))
            )));
        }
        let counted = self
            .counts
            .counted(plan, run)
            .map_err(|why| refuse(format!("its counts do not add up: {why}")))?;
        let builds = part.map_or(0..run.builds, |part| part.builds(run.builds));
        if counted.first_build != builds.start || counted.next_build > builds.end {
            return Err(refuse(format!(
                "counts builds {} to {}, which are not within builds {} to {}",
                counted.first_build, counted.next_build, builds.start, builds.end
            )));
        }
        Ok(counted)
    }

    /// The part that it says it is.
    pub fn part(&self, path: &Path) -> Result<Part, Stop> {
        let refuse = |why: String| Stop::Refused(format!("{}: {why}", path.display()));
        let [number, of] = self.part.ok_or_else(|| {
            refuse(
                "is what an interrupted run kept, not a part; go on with it by `assess --resume`"
                    .to_owned(),
            )
        })?;
        Part::new(number, of).ok_or_else(|| refuse(format!("there is no part {number}/{of}")))
    }

    fn check_run(&self, wanted: &RunKey) -> Result<(), String> {
        let text = |number: u64| number.to_string();
        let width = |key: &RunKey| match &key.half_width {
            Some(width) => format!("stop rule ± {}", shortened(width)),
            None => "no stop rule".to_owned(),
        };
        let (made, wanted) = (&self.run, wanted);
        for (what, made, wanted, hint) in [
            ("seed", text(made.seed), text(wanted.seed), "--seed"),
            (
                "sampling",
                shortened(&made.sampling),
                wanted.sampling.clone(),
                "--sampling",
            ),
            ("builds", text(made.builds), text(wanted.builds), "--builds"),
            ("looks", text(made.looks), text(wanted.looks), "--looks"),
            ("stop rule", width(made), width(wanted), "--to-the-cap"),
            ("level", shortened(&made.level), wanted.level.clone(), ""),
            (
                "interval",
                shortened(&made.interval),
                wanted.interval.clone(),
                "",
            ),
        ] {
            if made != wanted {
                let hint = match hint {
                    "" => String::new(),
                    option => format!("\n  hint: give {option} as it was given then"),
                };
                return Err(format!(
                    "was made for another run: its {what} is {made}, here it is {wanted}{hint}"
                ));
            }
        }
        Ok(())
    }
}

/// A text from a file, for a message.
fn shortened(text: &str) -> String {
    const LONGEST: usize = 80;
    let mut short: String = text
        .chars()
        .take(LONGEST)
        .map(|c| if c.is_control() { '?' } else { c })
        .collect();
    if text.chars().count() > LONGEST {
        short.push('…');
    }
    short
}

/// Writes what was counted to `path`, whole or not at all.
pub(super) fn write_counts(
    path: &Path,
    scenario: &Scenario,
    part: Option<Part>,
    counted: &Counted,
    overwrite: bool,
) -> Result<(), Stop> {
    let file = CountsFile::new(&scenario.sha256, &scenario.run, part, counted)?;
    let mut text = serde_json::to_vec(&file)?;
    text.push(b'\n');
    write_file(path, &text, overwrite)
}

/// Whether what is at `path` begins as a counts file does, of whatever version, whole or not.
pub(super) fn begins_as_counts(path: &Path) -> bool {
    let beginning = format!("{{\"format\":\"{FORMAT}\"");
    let mut found = vec![0; beginning.len()];
    path.is_file()
        && File::open(path).is_ok_and(|mut file| file.read_exact(&mut found).is_ok())
        && found == beginning.as_bytes()
}
