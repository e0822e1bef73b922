//! Writes the inputs from which the fuzzer starts, by target, to `fuzz/corpus`: what is shipped, what the tests hold as bad, and
//! what was found before.

#[path = "../../../tests/bad_days/other_readers.rs"]
mod other_readers;
#[path = "../../../tests/found_by_fuzzing/properties.rs"]
mod properties;
#[path = "../../../tests/bad_days/scenario_edits.rs"]
mod scenario_edits;

use serde_json::json;
use sightdrift::decision::{Counted, CountedCounts, Part};
use sightdrift::report::bench_sheet_csv;
use sightdrift::scenario::EXAMPLES;
use sightdrift::trial::RunHooks;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicBool;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// Writes numbered seeds of one target.
struct Corpus {
    folder: PathBuf,
    next: usize,
}

impl Corpus {
    fn of(target: &str) -> Self {
        let folder = root().join("fuzz/corpus").join(target);
        fs::create_dir_all(&folder).expect("a folder for seeds");
        let mut corpus = Self { folder, next: 0 };
        corpus.add_all(&root().join("tests/found_by_fuzzing").join(target), None);
        corpus
    }

    fn add(&mut self, bytes: impl AsRef<[u8]>) {
        let name = format!("seed-{:04}", self.next);
        fs::write(self.folder.join(name), bytes).expect("a seed");
        self.next += 1;
    }

    /// All files of a folder, or those with this ending.
    fn add_all(&mut self, folder: &Path, ending: Option<&str>) {
        let Ok(entries) = fs::read_dir(folder) else {
            return;
        };
        for entry in entries {
            let path = entry.expect("readable").path();
            if path.is_file()
                && (ending.is_none() || path.extension().and_then(|e| e.to_str()) == ending)
            {
                self.add(fs::read(path).expect("readable"));
            }
        }
    }
}

fn main() {
    use other_readers::{DRAWINGS, EXPLICIT, MEASURED, SHEETS, SOLIDS, TABLES};
    let boat = EXAMPLES[1].text;
    let mut scenario = Corpus::of("scenario");
    scenario.add(properties::SMALL_TEXT);
    for example in EXAMPLES {
        scenario.add(example.text);
        // where no byte is spent on a comment, most changes mean something
        let lines = example.text.lines().filter(|line| !line.starts_with('#'));
        let code = lines.map(|line| line.split(" #").next().unwrap_or_default().trim_end());
        let code: Vec<&str> = code.filter(|line| !line.is_empty()).collect();
        scenario.add(code.join("\n"));
    }
    for (from, to, _) in scenario_edits::EDITS {
        scenario.add(boat.replacen(from, to, 1));
    }
    for (law, _, _) in MEASURED {
        let law = format!(
            "[errors.plates]\nhole_scatter = {{ form = \"measured\", {law} }}\n[errors.rod]"
        );
        scenario.add(boat.replacen("[errors.rod]", &law, 1));
    }
    for (bytes, _) in other_readers::BYTES {
        scenario.add(bytes);
    }
    let mut explicit = Corpus::of("explicit");
    EXPLICIT.iter().for_each(|(text, _)| explicit.add(text));
    let mut sheets = Corpus::of("bench_sheet");
    SHEETS.iter().for_each(|(text, _)| sheets.add(text));
    let example = properties::boat();
    sheets.add(bench_sheet_csv(
        &example.plan,
        &example.title,
        "s.toml",
        None,
    ));
    let mut tables = Corpus::of("edge_table");
    TABLES.iter().for_each(|(text, _)| tables.add(text));
    let mut solids = Corpus::of("solid");
    SOLIDS.iter().for_each(|(text, _)| solids.add(text));
    let mut svgs = Corpus::of("svg");
    for (inside, _) in DRAWINGS {
        svgs.add(format!("<svg xmlns='http://www.w3.org/2000/svg' width='200mm' height='200mm' viewBox='0 0 200 200' stroke='black'>\n{inside}\n</svg>"));
    }
    for folder in ["scenarios/drawings", "tests/drawings_in"] {
        tables.add_all(&root().join(folder), Some("csv"));
        solids.add_all(&root().join(folder), Some("obj"));
        svgs.add_all(&root().join(folder), Some("svg"));
    }
    let mut measured = Corpus::of("measured_columns");
    measured.add("dx,dy\n0.1,0.2\n-0.1,0.05\n");
    MEASURED
        .iter()
        .for_each(|(_, columns, _)| measured.add(columns));
    let mut counts = Corpus::of("counts");
    for part in [None, Part::new(1, 1), Part::new(1, 2)] {
        counts.add(counts_text(part));
    }
    other_readers::COUNTS
        .iter()
        .for_each(|(text, _)| counts.add(text));
}

/// A counts file of the small exhibit, of its whole run or of a part.
fn counts_text(part: Option<Part>) -> String {
    let small = properties::small();
    let builds = part.map_or(0..small.run.builds, |part| part.builds(small.run.builds));
    let mut counted = Counted::new(&small.plan, builds.start);
    let hooks = RunHooks {
        interrupted: &AtomicBool::new(false),
        progress: &|_, _| {},
    };
    let sampler = small.run.sampler(&small.plan);
    let whole = counted.go_on(
        &small.plan,
        &small.run,
        &sampler,
        builds.end,
        &hooks,
        &mut |_| {},
    );
    assert!(whole, "nothing interrupts it");
    let mut file = json!({
        "format": "sightdrift counts",
        "schema": 1,
        "program": env!("CARGO_PKG_VERSION"),
        "sampling_version": sightdrift::sampling::SAMPLING_VERSION,
        "scenario_sha256": small.sha256,
        "run": {
            "seed": small.run.seed,
            "builds": small.run.builds,
            "looks": small.run.looks,
            "half_width": small.run.half_width.map(|width| width.to_string()),
            "level": small.run.level.to_string(),
            "interval": small.run.method.name(),
            "sampling": small.run.sampling.name(),
        },
        "part": part.map(|part| [part.number(), part.of()]),
        "fingerprint": "",
        "counts_sha256": "",
        "counts": CountedCounts::from(&counted),
    });
    properties::seal(&mut file);
    file.to_string()
}
