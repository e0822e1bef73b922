//! What fuzzing found: every kept input of every reader, held against the properties under which it was found.

#[path = "found_by_fuzzing/properties.rs"]
mod properties;

use properties::Taken;
use rayon::prelude::*;
use std::panic::catch_unwind;
use std::path::{Path, PathBuf};

/// What must hold of a reader for these bytes.
type Property = fn(&[u8]) -> Taken;

/// A reader's folder of inputs, and its property.
const READERS: [(&str, Property); 8] = [
    ("scenario", properties::scenario),
    ("explicit", properties::explicit),
    ("edge_table", properties::edge_table),
    ("svg", properties::svg),
    ("solid", properties::solid),
    ("bench_sheet", properties::bench_sheet),
    ("measured_columns", properties::measured_columns),
    ("counts", properties::counts),
];

/// Files of a reader's folder, by name.
fn inputs(reader: &str) -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/found_by_fuzzing")
        .join(reader);
    let entries = std::fs::read_dir(&folder).unwrap_or_else(|error| panic!("{reader}: {error}"));
    let mut files: Vec<PathBuf> = entries
        .map(|entry| entry.expect("readable").path())
        .collect();
    files.sort();
    files
}

#[test]
fn every_input_that_was_kept_is_taken_as_it_should_be() {
    for (reader, property) in READERS {
        let files = inputs(reader);
        assert!(!files.is_empty(), "no input of {reader} is kept");
        let taken: Vec<Result<Taken, &PathBuf>> = files
            .par_iter()
            .map(|file| {
                let bytes = std::fs::read(file).expect("readable");
                catch_unwind(|| property(&bytes)).map_err(|_| file)
            })
            .collect();
        let count = |wanted| taken.iter().filter(|found| **found == Ok(wanted)).count();
        println!(
            "{reader}: {} inputs, {} of them accepted, {} refused, {} no text",
            files.len(),
            count(Taken::Accepted),
            count(Taken::Refused),
            count(Taken::NoText)
        );
        let broken: Vec<&PathBuf> = taken.iter().filter_map(|found| found.err()).collect();
        assert!(broken.is_empty(), "{reader}: {broken:?}");
        // inputs of one kind only would say little
        assert!(count(Taken::Accepted) > 0 && count(Taken::Refused) > 0);
    }
}

#[test]
fn a_folder_of_inputs_stands_for_every_reader_and_for_nothing_else() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/found_by_fuzzing");
    let mut found: Vec<String> = std::fs::read_dir(folder)
        .expect("readable")
        .map(|entry| entry.expect("readable").path())
        .filter(|path| path.is_dir())
        .map(|path| {
            path.file_name()
                .expect("named")
                .to_string_lossy()
                .into_owned()
        })
        .collect();
    found.sort();
    let mut known: Vec<&str> = READERS.iter().map(|(reader, _)| *reader).collect();
    known.sort_unstable();
    assert_eq!(found, known);
}
