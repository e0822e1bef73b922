//! Sheets from the bench, filled in: all readings of one build, out of one file or several.
//!
//! What is wrong in any of them is told at once. What is only missing is no error: a note says what was begun and not read to
//! the end, so that a forgotten hole is told by its name.

use super::bench_row::{Entry, RowReader, Word};
use super::bench_table::{MOST_BYTES, MOST_ROWS, Table, Told, read_table};
use super::problem::{Problems, listed};
use crate::figure::{
    Bench, Measurand, MeasurandKey, Perspective, Plan, Plate, Quantity, Reading, TakenOn,
};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::fmt;

/// Two readings of one thing that differ by more than so many of their common standard deviations are not of one thing: under one
/// pair in ten thousand differs so by chance.
const APART_SD: f64 = 4.0;

/// Most readings of one and the same thing.
const MOST_REPEATS: usize = 20;

/// What was read at the bench.
#[derive(Debug, Clone, PartialEq)]
pub struct BenchRead {
    /// The readings, in the cabinet's frame.
    pub bench: Bench,
    /// What should be known of the sheets and is no error.
    pub notes: Vec<String>,
}

/// Everything that is wrong in several files, file by file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AllProblems(pub Vec<Problems>);

impl fmt::Display for AllProblems {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (nth, problems) in self.0.iter().enumerate() {
            if nth > 0 {
                writeln!(f)?;
            }
            write!(f, "{problems}")?;
        }
        Ok(())
    }
}

impl std::error::Error for AllProblems {}

/// Reads the sheets `files` (name and text of each) of a build of `plan`. Lengths come in mm and in the cabinet's frame, tones in
/// Hz, tensions in N; points of a picture stay as the picture has them.
///
/// # Errors
/// [`AllProblems`]: everything that is wrong with any of them.
pub fn read_bench(files: &[(String, String)], plan: &Plan) -> Result<BenchRead, AllProblems> {
    let mut sheets = Sheets::new(files, plan);
    sheets.read_all();
    sheets.compare_repeats();
    sheets.one_picture_of_each_plate();
    sheets.finish()
}

/// Where a reading or a row of words stands: file and offset.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Origin {
    file: usize,
    at: usize,
}

struct Sheets<'f> {
    files: &'f [(String, String)],
    plan: &'f Plan,
    told: Vec<Told>,
    bench: Bench,
    /// Of each reading.
    origins: Vec<Origin>,
    /// Of each kind of words that was met.
    words: Vec<(Word, String, Origin)>,
    notes: Vec<String>,
    rows: usize,
}

impl<'f> Sheets<'f> {
    fn new(files: &'f [(String, String)], plan: &'f Plan) -> Self {
        Self {
            files,
            plan,
            told: files
                .iter()
                .map(|(name, text)| Told::new(name, text))
                .collect(),
            bench: Bench::default(),
            origins: Vec::new(),
            words: Vec::new(),
            notes: Vec::new(),
            rows: 0,
        }
    }

    fn tell(&mut self, origin: Origin, fact: String, hint: Option<String>) {
        let text = &self.files[origin.file].1;
        self.told[origin.file].tell(text, origin.at, fact, hint);
    }

    /// `file:line` of a place.
    fn place(&self, origin: Origin) -> String {
        let told = &self.told[origin.file];
        format!("{}:{}", told.file, told.line(origin.at))
    }

    fn read_all(&mut self) {
        let bytes: usize = self.files.iter().map(|(_, text)| text.len()).sum();
        if bytes > MOST_BYTES {
            let fact = format!("the sheets have {bytes} bytes together, the most is {MOST_BYTES}");
            self.tell(Origin { file: 0, at: 0 }, fact, None);
            return;
        }
        let reader = RowReader::new(self.plan);
        for file in 0..self.files.len() {
            let text = &self.files[file].1;
            let before = self.told[file].is_empty();
            match read_table(&mut self.told[file], text) {
                Some(table) => self.read_rows(&reader, file, &table),
                None if before && self.told[file].is_empty() => {
                    let fact =
                        "the sheet is empty: it has no line that names the columns".to_owned();
                    self.tell(Origin { file, at: 0 }, fact, Some(BLANK_SHEET.to_owned()));
                }
                None => {}
            }
        }
    }

    fn read_rows(&mut self, reader: &RowReader<'_>, file: usize, table: &Table) {
        if !table.unread.is_empty() {
            let columns = listed(table.unread.iter().map(String::as_str));
            let name = &self.told[file].file;
            self.notes
                .push(format!("{name}: columns that are not read: {columns}"));
        }
        self.rows += table.rows.len();
        if self.rows > MOST_ROWS {
            let fact = format!("the sheets have more than {MOST_ROWS} rows together");
            self.tell(Origin { file, at: 0 }, fact, None);
            return;
        }
        for row in &table.rows {
            if self.told[file].is_full() {
                return;
            }
            let text = &self.files[file].1;
            let entry = reader.read(&mut self.told[file], text, row, table.decimal_comma);
            if let Some(entry) = entry {
                self.take(entry, Origin { file, at: row.at });
            }
        }
    }

    fn take(&mut self, entry: Entry, origin: Origin) {
        match entry {
            Entry::Unread => {}
            Entry::Words(word, text) => self.take_words(word, text, origin),
            Entry::CameraPupil(pupil_mm) => {
                self.take_words(Word::CameraPupil, pupil_mm.to_string(), origin);
                self.bench.camera_pupil_mm = Some(pupil_mm);
            }
            Entry::Perspective(fitted) => {
                self.take_words(Word::Perspective, fitted.to_string(), origin);
                self.bench.perspective = match fitted {
                    true => Perspective::Askew,
                    false => Perspective::Square,
                };
            }
            Entry::Read {
                of,
                value,
                sd,
                remark,
            } => {
                let place = self.place(origin);
                self.origins.push(origin);
                self.bench.readings.push(Reading {
                    of,
                    value,
                    sd,
                    place,
                    remark,
                });
            }
        }
    }

    /// Notes are strung together; all else may be said once, or alike.
    fn take_words(&mut self, word: Word, text: String, origin: Origin) {
        let said = self
            .words
            .iter()
            .find(|(said, ..)| *said == word && word != Word::Note);
        if let Some((_, before, there)) = said {
            if *before != text {
                let fact = format!(
                    "{} is said twice, and differently in {}",
                    word.name(),
                    self.place(*there)
                );
                self.tell(origin, fact, Some("leave one of the two".to_owned()));
            }
            return;
        }
        let words = &mut self.bench.words;
        let slot = match word {
            Word::Exhibit => Some(&mut words.exhibit),
            Word::MeasuredBy => Some(&mut words.measured_by),
            Word::MeasuredOn => Some(&mut words.measured_on),
            Word::Instruments => Some(&mut words.instruments),
            Word::SignedBy => Some(&mut words.signed_by),
            Word::Note => Some(&mut words.note),
            Word::CameraPupil | Word::Perspective => None,
        };
        if let Some(slot) = slot {
            *slot = Some(match slot.take() {
                Some(before) => format!("{before}; {text}"),
                None => text.clone(),
            });
        }
        self.words.push((word, text, origin));
    }

    /// Holds readings of the same thing against each other.
    fn compare_repeats(&mut self) {
        let mut of_key: BTreeMap<MeasurandKey, Vec<usize>> = BTreeMap::new();
        for nth in 0..self.bench.readings.len() {
            let key = key(&self.bench.readings[nth].of, self.plan);
            let before = of_key.entry(key).or_default();
            if before.len() == MOST_REPEATS {
                let fact = format!(
                    "{} is read more than {MOST_REPEATS} times",
                    self.words_of(nth)
                );
                self.tell(
                    self.origins[nth],
                    fact,
                    Some("give their mean, once".to_owned()),
                );
            } else if before.len() < MOST_REPEATS {
                let earlier = before.clone();
                self.compare(nth, &earlier);
            }
            before.push(nth);
        }
    }

    fn compare(&mut self, nth: usize, earlier: &[usize]) {
        for before in earlier {
            let (one, other) = (&self.bench.readings[nth], &self.bench.readings[*before]);
            let common_sd = libm::hypot(one.sd, other.sd);
            let apart = [0, 1].map(|i| (one.value[i] - other.value[i]).abs() / common_sd);
            let apart = apart[0].max(apart[1]);
            let (what, there) = (self.words_of(nth), self.place(self.origins[*before]));
            if one.value == other.value && one.sd == other.sd {
                self.tell(
                    self.origins[nth],
                    format!("{what} is the same to the last digit as in {there}: a row that was copied counts twice"),
                    Some("leave one of the two; if it was really read twice, leave one with a smaller plus_minus".to_owned()),
                );
                return;
            }
            if apart > APART_SD {
                self.tell(
                    self.origins[nth],
                    format!(
                        "{what} is read in {there} too, and the two differ by {apart:.1} of their common standard deviations, more than {APART_SD}"
                    ),
                    Some("they cannot be of the same thing as it stands: read it again, and leave what holds".to_owned()),
                );
                return;
            }
        }
        if let Some(before) = earlier.first() {
            let (here, there) = (
                self.place(self.origins[nth]),
                self.place(self.origins[*before]),
            );
            self.notes.push(format!(
                "{} is read twice, in {there} and {here}; both count",
                self.words_of(nth)
            ));
        }
    }

    /// A scan and a picture of one plate lie differently, and one of them is what can be fitted.
    fn one_picture_of_each_plate(&mut self) {
        for plate in Plate::BOTH {
            let first = |quantity: Quantity| {
                let mut readings = self.bench.readings.iter();
                readings.position(|reading| reading.of.quantity == quantity)
            };
            let (scan, picture) = (Quantity::ScannedHole(plate), Quantity::PicturedHole(plate));
            if let (Some(a), Some(b)) = (first(scan), first(picture)) {
                let (early, late) = (a.min(b), a.max(b));
                let fact = format!(
                    "the {} plate is read off a scan and off a picture, the other in {}: one of the two can be used",
                    plate.word(),
                    self.place(self.origins[early])
                );
                self.tell(
                    self.origins[late],
                    fact,
                    Some("leave the better one".to_owned()),
                );
            }
        }
    }

    fn words_of(&self, nth: usize) -> String {
        self.bench.readings[nth].of.words(&self.plan.design)
    }

    fn finish(mut self) -> Result<BenchRead, AllProblems> {
        if self.files.is_empty() {
            self.told.push(Told::new("sheet", ""));
            self.told[0].tell(
                "",
                0,
                "no sheet is given".to_owned(),
                Some(BLANK_SHEET.to_owned()),
            );
        } else if self.bench.readings.is_empty() && self.told.iter().all(Told::is_empty) {
            let fact = "no reading is filled in: value, x and y are blank in every row".to_owned();
            self.tell(
                Origin { file: 0, at: 0 },
                fact,
                Some(BLANK_SHEET.to_owned()),
            );
        }
        for file in 0..self.told.len() {
            if self.told[file].is_of_another_scenario() {
                let fact = "most names of lines and rods in this sheet are none of this scenario's: it may be the sheet of another".to_owned();
                self.tell(Origin { file, at: 0 }, fact, Some(BLANK_SHEET.to_owned()));
            }
        }
        if self.told.iter().any(|told| !told.is_empty()) {
            let wrong = self.told.into_iter().filter(|told| !told.is_empty());
            return Err(AllProblems(wrong.map(Told::into_problems).collect()));
        }
        let mut notes = self.notes;
        notes.extend(begun_and_not_ended(&self.bench, self.plan));
        let mut hash = Sha256::new();
        for (_, text) in self.files {
            hash.update(text.as_bytes());
        }
        self.bench.sha256 = hash
            .finalize()
            .iter()
            .map(|byte| format!("{byte:02x}"))
            .collect();
        Ok(BenchRead {
            bench: self.bench,
            notes,
        })
    }
}

const BLANK_SHEET: &str = "`sightdrift measure SCENARIO` prints a sheet to fill in";

/// The key of what a reading is of; a drop without a place was taken in the middle.
fn key(of: &Measurand, plan: &Plan) -> MeasurandKey {
    let middle_mm = (of.quantity == Quantity::Drop).then(|| plan.span_mm() / 2.0);
    let at_mm = of.at_mm.or(middle_mm);
    Measurand { at_mm, ..*of }.key()
}

/// Of every kind of reading that was begun, what is missing, by name.
fn begun_and_not_ended(bench: &Bench, plan: &Plan) -> Vec<String> {
    let design = &plan.design;
    let mut notes = Vec::new();
    for quantity in Quantity::ALL {
        let all: Vec<Measurand> = match quantity.taken_on() {
            TakenOn::Cabinet => continue,
            TakenOn::Line => (0..design.vertices.len())
                .map(|line| Measurand::of_line(quantity, line))
                .collect(),
            TakenOn::RodEnd => (0..2 * design.rods.len())
                .map(|end| Measurand::of_end(quantity, design, end))
                .collect(),
            TakenOn::Rod => (0..design.rods.len()).map(Measurand::of_middle).collect(),
        };
        let mut is_read = vec![false; all.len()];
        let of_this = bench
            .readings
            .iter()
            .filter(|reading| reading.of.quantity == quantity);
        for reading in of_this {
            let nth = match quantity.taken_on() {
                TakenOn::Line => reading.of.line,
                TakenOn::Rod => reading.of.end.map(|end| end / 2),
                _ => reading.of.end,
            };
            if let Some(slot) = nth.and_then(|nth| is_read.get_mut(nth)) {
                *slot = true;
            }
        }
        let read = is_read.iter().filter(|is_read| **is_read).count();
        if read == 0 || read == all.len() {
            continue;
        }
        let missing = all.iter().zip(&is_read).filter(|(_, is_read)| !**is_read);
        let names: Vec<String> = missing.map(|(of, _)| where_taken(of, plan)).collect();
        notes.push(format!(
            "{}: {read} of {} are read; not read: {}",
            quantity.name(),
            all.len(),
            listed(names.iter().map(String::as_str))
        ));
    }
    notes
}

/// Where a reading is taken, by name: "mast-top", "deck at bow", "deck".
fn where_taken(of: &Measurand, plan: &Plan) -> String {
    let design = &plan.design;
    let line = of.line.map(|line| design.vertices[line].name.as_str());
    let rod = of.end.map(|end| design.rods[end / 2].name.as_str());
    match (rod, line) {
        (Some(rod), Some(line)) => format!("{rod} at {line}"),
        (rod, line) => rod.or(line).unwrap_or_default().to_owned(),
    }
}
