//! The table of a run's trials: it counts up to the report, row by row it is what `see` shows, at any number of threads and by every
//! way in which a run is done.

mod binary;
mod support;

use binary::{Folder, plain_scenario, shipped, stderr};
use serde_json::Value;
use sightdrift::decision::{RunPlan, TrialRow, run, trial_rows};
use sightdrift::figure::{Frame, Law, Plan, Source};
use sightdrift::sampling::{Distribution, Sampling};
use sightdrift::statistics::IntervalMethod;
use sightdrift::trial::RunHooks;
use std::collections::BTreeMap;
use std::sync::atomic::AtomicBool;
use support::{lively_design, set_law};

/// The kite with rods that slip out of the cabinet: looks of every outcome but for such as cannot be computed at a build that can.
fn lively() -> String {
    let text = shipped("carton-kite");
    let edits = [
        (
            "tie = \"off\"\n",
            "tie = \"off\"\nslip = { form = \"normal\", sd = \"35 mm\" }\n",
        ),
        ("half_width = 0.005", ""),
    ];
    edits.iter().fold(text, |text, (from, to)| {
        assert!(text.contains(from), "{from}");
        text.replacen(from, to, 1)
    })
}

/// A table as rows of cells by their columns' names, and the names.
struct Table {
    heads: Vec<String>,
    rows: Vec<BTreeMap<String, String>>,
}

impl Table {
    fn read(bytes: &[u8]) -> Self {
        let mut reader = csv::Reader::from_reader(bytes);
        let heads: Vec<String> = reader
            .headers()
            .expect("a head")
            .iter()
            .map(str::to_owned)
            .collect();
        let rows = reader
            .records()
            .map(|record| {
                let record = record.expect("as many cells as columns");
                let cells = record.iter().map(str::to_owned);
                heads.iter().cloned().zip(cells).collect()
            })
            .collect();
        Self { heads, rows }
    }

    fn count(&self, column: &str, cell: &str) -> u64 {
        self.rows.iter().filter(|row| row[column] == cell).count() as u64
    }

    /// The numbers of a column, but for its empty cells.
    fn numbers(&self, column: &str) -> Vec<f64> {
        let cells = self.rows.iter().map(|row| row[column].as_str());
        cells
            .filter(|cell| !cell.is_empty())
            .map(|cell| cell.parse().expect("a number"))
            .collect()
    }
}

fn largest(numbers: &[f64]) -> f64 {
    numbers.iter().copied().fold(0.0, f64::max)
}

fn done(folder: &Folder, arguments: &[&str]) -> String {
    plain_spaces(&stderr(&folder.done(arguments)))
}

/// Words with common spaces within their numbers.
fn plain_spaces(words: &str) -> String {
    words.replace('\u{a0}', " ")
}

fn refused(folder: &Folder, arguments: &[&str], told: &str) {
    let before = folder.names();
    let output = folder.run(arguments);
    assert_eq!(output.status.code(), Some(2), "{arguments:?}");
    let words = plain_spaces(&stderr(&output));
    assert!(words.contains(told), "{words}");
    assert_eq!(folder.names(), before, "{arguments:?} left something");
}

#[test]
fn the_table_counts_up_to_the_report_whatever_the_layout_of_the_numbers() {
    let folder = Folder::new("trials-counts");
    folder.write("kite.toml", &lively());
    for sampling in ["plain", "latin-hypercube", "sobol"] {
        let results = folder.json(&[
            "assess",
            "kite.toml",
            "--builds",
            "330",
            "--looks",
            "3",
            "--sampling",
            sampling,
            "--trials",
            "t.csv",
            "--out",
            "r",
            "--overwrite",
            "--json",
        ]);
        let table = Table::read(&folder.read("t.csv"));
        let run = &results["run"];
        assert_eq!(table.rows.len(), 990);
        for (key, word) in [
            ("looks_held", "holds"),
            ("looks_broken", "breaks"),
            ("looks_clipped", "clipped"),
        ] {
            let count = table.count("outcome", word);
            assert_eq!(run[key], count, "{sampling}: {key}");
            assert!(count > 30, "{sampling}: {count} {key}");
        }
        // all looks at a build that cannot be computed are among them
        let lost = table.count("outcome", "not computable");
        let lost_builds = run["builds_not_computable"].as_u64().expect("a count");
        assert_eq!(run["looks_not_computable"], lost - 3 * lost_builds);
        assert!(lost_builds > 0);
        let passed = table
            .rows
            .iter()
            .filter(|row| row["look"] == "0" && row["build_passes"] == "true");
        assert_eq!(run["builds_passed"], passed.count() as u64);
        assert_eq!(results["yield"]["count"], run["builds_passed"]);
        let worst = largest(&table.numbers("worst_over_limit"));
        let told = [&run["drift_over_limit"], &run["gap_over_limit"]]
            .map(|one| one["highest"].as_f64().expect("a number"));
        assert_eq!(worst, largest(&told), "{sampling}");
        items(&table, &results);
    }
}

/// Every rod and junction: how often judged, its largest value, how often it broke a look first.
fn items(table: &Table, results: &Value) {
    let mut columns_n = 14;
    for (list, name, column, value) in [
        ("rods", "name", "drift_arcmin", "drift_fitted_arcmin"),
        ("junctions", "vertex", "gap_arcmin", "gap_arcmin"),
    ] {
        for item in results[list].as_array().expect("a list") {
            let name = item[name].as_str().expect("a name");
            let numbers = table.numbers(&format!("{column}.{name}"));
            assert_eq!(item[value]["count"], numbers.len() as u64, "{name}");
            let highest = item[value]["highest"].as_f64().expect("a number");
            assert!((largest(&numbers) / highest - 1.0).abs() < 1e-14, "{name}");
            let kind = list.trim_end_matches('s');
            let first = table.rows.iter().filter(|row| {
                row["outcome"] == "breaks" && row["worst_item"] == format!("{kind} {name}")
            });
            assert_eq!(item["looks_broken_first"], first.count() as u64, "{name}");
            columns_n += 1;
        }
    }
    assert_eq!(table.heads.len(), columns_n);
    for row in table.rows.iter().filter(|row| !row["worst_rod"].is_empty()) {
        let own = |column: &str, item: &str| &row[&format!("{column}.{}", row[item])];
        assert_eq!(&row["worst_drift_arcmin"], own("drift_arcmin", "worst_rod"));
        assert_eq!(
            &row["worst_gap_arcmin"],
            own("gap_arcmin", "worst_junction")
        );
    }
}

#[test]
fn every_row_is_what_see_shows_of_that_trial_in_full_digits() {
    let folder = Folder::new("trials-see");
    folder.write("kite.toml", &lively());
    done(
        &folder,
        &[
            "assess",
            "kite.toml",
            "--builds",
            "70",
            "--looks",
            "2",
            "--trials",
            "t.csv",
        ],
    );
    let table = Table::read(&folder.read("t.csv"));
    let mut outcomes = BTreeMap::new();
    for row in table.rows.iter().step_by(5) {
        if row["outcome"] == "not computable" {
            continue;
        }
        *outcomes.entry(row["outcome"].clone()).or_insert(0) += 1;
        let (build, look) = (&row["build"], &row["look"]);
        let sight = folder.json(&[
            "see",
            "kite.toml",
            "--trial",
            build,
            "--look",
            look,
            "--json",
        ]);
        let number = |column: &str| row[column].parse::<f64>().expect("a number");
        assert_eq!(sight["outcome"], row["outcome"]);
        assert_eq!(sight["pupil_diameter_mm"], number("pupil_mm"));
        for (at, column) in ["eye_x_mm", "eye_y_mm", "eye_z_mm"].iter().enumerate() {
            assert_eq!(sight["pupil_mm"][at], number(column), "{build} {look}");
        }
        let is_judged = row["outcome"] != "clipped";
        if is_judged {
            assert_eq!(sight["worst"]["item"], row["worst_item"]);
            assert_eq!(sight["worst"]["over_limit"], number("worst_over_limit"));
        }
        for rod in sight["rods"].as_array().expect("rods") {
            let cell = &row[&format!("drift_arcmin.{}", rod["name"].as_str().expect("a name"))];
            let shown = &rod["across_arcmin"]["fitted"];
            assert_eq!(cell.is_empty(), !is_judged);
            assert!(!is_judged || *shown == cell.parse::<f64>().expect("a number"));
        }
        for junction in sight["junctions"].as_array().expect("junctions") {
            let name = junction["vertex"].as_str().expect("a name");
            let cell = &row[&format!("gap_arcmin.{name}")];
            assert!(!is_judged || junction["gap_arcmin"] == cell.parse::<f64>().expect("a number"));
        }
    }
    assert_eq!(outcomes.len(), 3, "{outcomes:?}");
}

#[test]
fn the_table_is_the_same_bytes_at_any_number_of_threads_and_its_first_builds_are_those_of_a_larger_one()
 {
    let folder = Folder::new("trials-bytes");
    folder.write("kite.toml", &lively());
    let run = ["assess", "kite.toml", "--builds", "900", "--looks", "2"];
    let write = |more: &[&str]| {
        let mut arguments = run.to_vec();
        arguments.extend(["--out", "r", "--overwrite", "--trials", "t.csv"]);
        arguments.extend(more);
        (done(&folder, &arguments), folder.read("t.csv"))
    };
    let (told, one) = write(&["--threads", "1"]);
    assert!(
        told.contains("trials: t.csv, 1 800 rows: 2 looks at each of all 900 builds"),
        "{told}"
    );
    for threads in ["2", "7"] {
        assert!(write(&["--threads", threads]).1 == one, "{threads} threads");
    }
    let (told, few) = write(&["--trials-builds", "100"]);
    assert!(told.contains("the first 100 of 900 builds"), "{told}");
    assert!(one.starts_with(&few) && Table::read(&few).rows.len() == 200);
    // nothing unfinished stays beside it
    assert_eq!(folder.names(), ["kite.toml", "r", "t.csv"]);
    // in parts
    for part in ["1/2", "2/2"] {
        let mut arguments = run.to_vec();
        arguments.extend(["--part", part]);
        done(&folder, &arguments);
    }
    let parts = [
        "reports/kite.part-1-of-2.json",
        "reports/kite.part-2-of-2.json",
    ];
    let mut merge = vec!["merge", "kite.toml"];
    merge.extend(parts);
    merge.extend(["--trials", "merged/t.csv"]);
    done(&folder, &merge);
    assert!(folder.read("merged/t.csv") == one);
}

#[test]
fn a_run_that_stops_early_has_the_builds_that_it_counted() {
    let folder = Folder::new("trials-stop");
    folder.write("kite.toml", &shipped("carton-kite"));
    let results = folder.json(&[
        "assess",
        "kite.toml",
        "--looks",
        "8",
        "--builds",
        "9000",
        "--trials",
        "t.csv",
        "--json",
    ]);
    let builds = results["run"]["builds"].as_u64().expect("a count");
    assert!(builds < 9000);
    assert_eq!(
        Table::read(&folder.read("t.csv")).rows.len() as u64,
        8 * builds
    );
}

#[test]
fn a_table_is_refused_before_the_run_where_it_has_no_place_or_is_too_large() {
    let folder = Folder::new("trials-refused");
    folder.write("kite.toml", &lively());
    folder.write("mine.csv", "mine");
    let assess = |more: &[&'static str]| {
        let mut all = vec!["assess", "kite.toml", "--builds", "64", "--looks", "1"];
        all.extend(more);
        all
    };
    refused(&folder, &assess(&["--trials", "mine.csv"]), "--overwrite");
    refused(
        &folder,
        &assess(&["--trials", "kite.toml", "--overwrite"]),
        "must end in .csv",
    );
    refused(
        &folder,
        &assess(&["--out", "r", "--trials", "r/t.csv"]),
        "in the report's folder",
    );
    refused(&folder, &assess(&["--trials-builds", "3"]), "--trials");
    refused(
        &folder,
        &assess(&["--part", "1/2", "--trials", "t.csv"]),
        "cannot be used with",
    );
    let large = [
        "assess",
        "kite.toml",
        "--builds",
        "1000000",
        "--looks",
        "100",
    ];
    let mut arguments = large.to_vec();
    arguments.extend(["--trials", "t.csv", "--trials-builds", "500000"]);
    refused(
        &folder,
        &arguments,
        "100 looks at each of 500 000 builds are 50 000 000 rows, about 26 000 MB; the most is 10 000 000 rows and 4 000 MB\n  hint: say --trials-builds 76923 or fewer",
    );
    assert_eq!(folder.read("mine.csv"), b"mine");
    done(&folder, &assess(&["--trials", "mine.csv", "--overwrite"]));
    assert_eq!(Table::read(&folder.read("mine.csv")).rows.len(), 64);
}

#[test]
fn a_name_that_a_table_program_takes_for_a_formula_gets_a_quote_before_it() {
    let folder = Folder::new("trials-formula");
    // the junction whose rods' ends lie farthest apart in depth, seen by an eye that stands 1 mm off
    let name = "\"=1+1, \\\"b\\\"\"";
    let text = plain_scenario("fixed", "[\"1 mm\", \"0 mm\"]", "\"off\"")
        .replace("name = \"b\"", &format!("name = {name}"))
        .replace("[\"b\",", &format!("[{name},"))
        .replace(", \"b\"]", &format!(", {name}]"));
    folder.write("plain.toml", &text);
    done(
        &folder,
        &["assess", "plain.toml", "--builds", "3", "--trials", "t.csv"],
    );
    let table = Table::read(&folder.read("t.csv"));
    let head = "gap_arcmin.=1+1, \"b\"";
    assert!(
        table.heads.iter().any(|one| one == head),
        "{:?}",
        table.heads
    );
    for row in &table.rows {
        assert_eq!(row["worst_junction"], "'=1+1, \"b\"");
        assert_eq!(row["worst_gap_arcmin"], row[head]);
        let is_formula = |cell: &String| cell.starts_with(['=', '+', '@']);
        assert!(!row.values().any(is_formula), "{row:?}");
    }
}

#[test]
fn looks_that_cannot_be_computed_are_counted_as_the_run_counts_them_also_where_a_task_is_part_of_a_block()
 {
    let mut design = lively_design(Frame::Fitted);
    for (source, sd) in [(Source::EyeRelief, 40.0), (Source::RodSlip, 15.0)] {
        let mean = design.law(source).spread(0).mean[0];
        let law = Law::Each(vec![Distribution::Normal { mean, sd }]);
        set_law(&mut design, source, law);
    }
    let plan = Plan::new(design);
    let width = (plan.edges.len() + plan.junctions.len()) as u64;
    // so many looks at a build that a block of builds is more than is kept at once
    let looks = (2 << 20) / 64 / width + 1;
    for (looks, builds) in [(3, 300), (looks, 40)] {
        let run_plan = RunPlan {
            seed: 4,
            builds,
            looks,
            half_width: None,
            level: 0.95,
            method: IntervalMethod::Wilson,
            sampling: Sampling::Plain,
        };
        let never = AtomicBool::new(false);
        let hooks = RunHooks {
            interrupted: &never,
            progress: &|_, _| {},
        };
        let tally = run(&plan, &run_plan, &hooks)
            .expect("never interrupted")
            .tally;
        let mut counts = BTreeMap::new();
        let (mut rows_n, mut passed) = (0, 0);
        trial_rows(
            &plan,
            &run_plan,
            0..builds,
            &hooks,
            |block| {
                let of = |row: TrialRow<'_>| (row.build, row.look, row.passes, row.end.word());
                block.rows().map(of).collect::<Vec<_>>()
            },
            |rows| {
                for (build, look, passes, word) in rows {
                    assert_eq!((build, look), (rows_n / looks, rows_n % looks));
                    rows_n += 1;
                    passed += u64::from(passes && look == 0);
                    *counts.entry(word).or_insert(0) += 1;
                }
            },
        )
        .expect("never interrupted");
        assert_eq!(rows_n, builds * looks);
        assert_eq!(passed, tally.passed);
        let count = |word| counts.get(word).copied().unwrap_or(0);
        // all looks at a build that cannot be computed are among the lost ones
        let lost = tally.looks_not_computable + looks * tally.builds_not_computable;
        assert_eq!(
            ["holds", "breaks", "clipped", "not computable"].map(count),
            [tally.held, tally.broken, tally.clipped, lost]
        );
        let lost = [tally.looks_not_computable, tally.builds_not_computable];
        assert!(lost[0] > 20 && lost[1] > 0, "{lost:?} of {builds} builds");
    }
}
