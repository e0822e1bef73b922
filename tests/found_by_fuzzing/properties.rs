//! What must hold of every reader, whatever the bytes: shared by the targets in `fuzz/` and by the test of what they found.
//!
//! Beyond "no panic, no abort, no hang": what is refused is told briefly, at a place that is in the input, without a character
//! that is not seen; what is accepted can be worked with, and goes out and back in.
#![allow(dead_code)] // a target uses one of the readers

#[path = "../support/sealed.rs"]
mod sealed;

pub use sealed::seal;
use serde_json::Value;
use sightdrift::cli::read_counts;
use sightdrift::decision::diagnosis::blunders;
use sightdrift::decision::{CountedCounts, RunPlan};
use sightdrift::figure::{Bench, Family, Plan, ScenarioLine, all_measurands};
use sightdrift::report::{FilledSheet, Nominal, bench_sheet_csv, sight_text};
use sightdrift::scenario::{
    DrawingError, DrawingFormat, DrawingSettings, FigureSize, Problems, Scenario, SolidView,
    is_unseen, put_lines, put_threading, read_bench, read_drawing, read_explicit, read_scenario,
    starter_from_drawing,
};
use sightdrift::trial::{Frames, Sampler, Sight, fill_build, fill_look, taken};
use std::path::Path;
use std::sync::OnceLock;

/// What a reader made of an input.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Taken {
    /// It could be read.
    Accepted,
    /// It was told what is wrong.
    Refused,
    /// It is no UTF-8, which no reader sees: it is refused when the file is opened.
    NoText,
}

/// Most problems told of one file.
const MOST_PROBLEMS: usize = 500;
/// Most bytes of words about one thing: what the tests of bad inputs allow for all of them.
const MOST_WORDS: usize = 20_000;

/// Holds words that people see against what words may be.
fn are_plain(words: &str) {
    let odd = words.chars().find(|c| is_unseen(*c) && *c != '\n');
    assert!(odd.is_none(), "{odd:?} stands in {words:?}");
    assert!(words.len() <= MOST_WORDS, "{} bytes of words", words.len());
}

/// Holds what is told of `text` against it.
fn are_told(problems: &Problems, text: &str) {
    assert!(!problems.list.is_empty(), "refused without a word");
    assert!(
        problems.list.len() <= MOST_PROBLEMS,
        "{} problems",
        problems.list.len()
    );
    for problem in &problems.list {
        assert!(!problem.fact.trim().is_empty(), "{problem:?} says nothing");
        are_plain(&problem.fact);
        are_plain(problem.hint.as_deref().unwrap_or_default());
        let (line, column) = (problem.place.line, problem.place.column);
        let is_there = |end: char| {
            let found = line.checked_sub(1).and_then(|nth| text.split(end).nth(nth));
            found.is_some_and(|found| (1..=found.chars().count() + 1).contains(&column))
        };
        // sheets may have old line ends, where there are no others
        let is_old = !text.contains('\n') && is_there('\r');
        assert!(
            is_there('\n') || is_old,
            "its place is not there: {problem:?}"
        );
    }
}

/// Some builds and looks, as their scenario has them, in full detail.
fn can_be_seen(scenario: &Scenario) {
    let plan = &scenario.plan;
    let sampler = Sampler::new(plan, scenario.run.sampling, scenario.run.seed, 1);
    for build in 0..2 {
        let values = fill_build(plan, &sampler, build);
        let look = fill_look(plan, &sampler, build, 0);
        let all_finite = values.iter().chain(&look).all(|value| value.is_finite());
        assert!(all_finite, "a value that is drawn is not finite");
        if let Ok(sight) = Sight::of(plan, &values, &look) {
            let words = sight_text(plan, &sight, true);
            assert!(!words.is_empty() && !words.contains("NaN"), "{words}");
        }
    }
}

/// Holds a design against itself.
fn is_sound(plan: &Plan) {
    let design = &plan.design;
    assert!(design.vertices.len() >= 2 && !design.rods.is_empty());
    for vertex in &design.vertices {
        assert!(vertex.direction.iter().all(|part| part.is_finite()));
        assert!(!vertex.name.is_empty() && !vertex.name.chars().any(is_unseen));
    }
    let between = design.plates[0].z_mm..=design.plates[1].z_mm;
    for rod in &design.rods {
        let lines = rod.ends.map(|end| end.line);
        assert!(lines[0] != lines[1] && lines.iter().all(|line| *line < design.vertices.len()));
        assert!(rod.ends.iter().all(|end| between.contains(&end.depth_mm)));
    }
    let nominal = Nominal::of(plan).text(plan);
    assert!(!nominal.chars().any(|c| is_unseen(c) && c != '\n'));
}

/// The columns that a scenario may name.
const COLUMNS: &str = "dx,dy\n0.1,0.2\n-0.1,0.05\n0.02,-0.2\n";

fn columns(name: &str) -> Result<String, String> {
    if name.ends_with(".csv") {
        Ok(COLUMNS.to_owned())
    } else {
        Err(format!("{name}: there is no such file"))
    }
}

/// A scenario file.
pub fn scenario(bytes: &[u8]) -> Taken {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return Taken::NoText;
    };
    let read = match read_scenario("s.toml", text, &columns) {
        Ok(read) => read,
        Err(problems) => {
            are_told(&problems, text);
            return Taken::Refused;
        }
    };
    is_sound(&read.plan);
    read.warnings
        .iter()
        .for_each(|warning| are_plain(&warning.to_string()));
    can_be_seen(&read);
    can_be_put(&read, text);
    blank_sheet_comes_back(&read);
    filled_sheet_comes_back(&read);
    Taken::Accepted
}

/// Lines that the program puts into a scenario leave it a scenario, and say what they should.
fn can_be_put(read: &Scenario, text: &str) {
    let line = ScenarioLine {
        table: "run",
        key: "seed",
        value: "77".to_owned(),
    };
    if let Ok(put) = put_lines(text, &[line]) {
        let again = read_scenario("s.toml", &put, &columns)
            .unwrap_or_else(|problems| panic!("with another seed it is refused: {problems}"));
        assert_eq!(again.run.seed, 77);
        assert_eq!(again.plan.design.rods, read.plan.design.rods);
    }
    let design = &read.plan.design;
    if let Some(threading) = &design.line.threading {
        use sightdrift::scenario::NotThreaded;
        let put = put_threading("s.toml", text, &design.vertices, threading, &columns);
        assert!(
            matches!(put.text, Ok(_) | Err(NotThreaded::NotPut(_))),
            "its own threading does not come back: {:?}",
            put.text
        );
    }
}

/// The sheet to fill in is read back, and lacks nothing but readings.
fn blank_sheet_comes_back(read: &Scenario) {
    let sheet = bench_sheet_csv(&read.plan, &read.title, "s.toml", None);
    match read_bench(&[("b.csv".to_owned(), sheet)], &read.plan) {
        Ok(_) => panic!("a blank sheet holds readings"),
        Err(told) => {
            let words = told.to_string();
            assert!(words.contains("no reading is filled in"), "{words}");
            assert!(told.0.iter().all(|file| file.list.len() == 1), "{words}");
        }
    }
}

/// A sheet on which all is filled in as it would be without any error names nothing that its own scenario has not.
fn filled_sheet_comes_back(read: &Scenario) {
    const MOST_RODS: usize = 30;
    let plan = &read.plan;
    let [build, look] = [Family::Build, Family::Look].map(|family| plan.neutral_values(family));
    let (mut bench, frames) = (Bench::default(), Frames::plain(plan));
    let all = all_measurands(plan);
    let readings = taken(plan, &all, &bench, [&build, &look], &frames, Some(1));
    let (Ok(readings), true) = (readings, plan.design.rods.len() <= MOST_RODS) else {
        return;
    };
    bench.readings = readings;
    let filled = FilledSheet {
        bench: &bench,
        about: &[],
    };
    let sheet = bench_sheet_csv(plan, &read.title, "s.toml", Some(&filled));
    if let Err(told) = read_bench(&[("b.csv".to_owned(), sheet)], plan) {
        let words = told.to_string();
        for unknown in ["has the name", "unknown", "quotation mark", "beyond"] {
            assert!(!words.contains(unknown), "{words}");
        }
    }
}

/// A shipped scenario, read once.
fn shipped(nth: usize) -> &'static Scenario {
    static ALL: OnceLock<Vec<Scenario>> = OnceLock::new();
    let all = ALL.get_or_init(|| {
        let read = |example: &sightdrift::scenario::Example| {
            read_scenario(example.name, example.text, &columns).expect("a shipped scenario")
        };
        sightdrift::scenario::EXAMPLES.iter().map(read).collect()
    });
    &all[nth]
}

/// The sailing boat, of which most inputs are.
pub fn boat() -> &'static Scenario {
    shipped(1)
}

/// Explicit values for `see --with`, of the sailing boat.
pub fn explicit(bytes: &[u8]) -> Taken {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return Taken::NoText;
    };
    let plan = &boat().plan;
    let trial = match read_explicit("one.toml", text, plan) {
        Ok(trial) => trial,
        Err(problems) => {
            are_told(&problems, text);
            return Taken::Refused;
        }
    };
    for trial in [trial.clone(), trial.hung_as(plan)] {
        let values = trial.build.iter().chain(&trial.look);
        assert!(values.copied().all(f64::is_finite));
        if let Ok(sight) = Sight::of(&trial.plan, &trial.build, &trial.look) {
            let words = sight_text(&trial.plan, &sight, trial.sag);
            assert!(!words.contains("NaN"), "{words}");
        }
    }
    Taken::Accepted
}

/// A drawing, as drawn and enlarged to a width.
fn drawing(format: DrawingFormat, bytes: &[u8], view: Option<SolidView>) -> Taken {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return Taken::NoText;
    };
    let mut taken = Taken::Refused;
    for size in [FigureSize::AsDrawn, FigureSize::WidthMm(160.0)] {
        let settings = DrawingSettings {
            size,
            flatten_mm: DrawingSettings::FLATTEN_MM,
            merge_mm: DrawingSettings::MERGE_MM,
            view,
        };
        let drawn = match read_drawing(format, "d", text, &settings) {
            Ok(drawn) => drawn,
            Err(DrawingError::Problems(problems)) => {
                are_told(&problems, text);
                continue;
            }
            Err(DrawingError::Refused(words)) => {
                assert!(!words.is_empty());
                are_plain(&words);
                continue;
            }
        };
        taken = Taken::Accepted;
        let names: std::collections::BTreeSet<&str> = drawn
            .vertices
            .iter()
            .map(|vertex| &vertex.name[..])
            .collect();
        assert_eq!(names.len(), drawn.vertices.len(), "a name stands twice");
        assert!(drawn.vertices.len() >= 2 && !drawn.rods.is_empty());
        for vertex in &drawn.vertices {
            assert!(vertex.place_mm.iter().all(|mm| mm.is_finite()));
        }
        for [first, second] in &drawn.rods {
            assert!(first != second && names.contains(&first[..]) && names.contains(&second[..]));
        }
        are_plain(&drawn.told.join("\n"));
        starter_is_read(&drawn);
    }
    taken
}

/// A drawing's starter is a scenario that may need work, but is written as the reader wants it.
fn starter_is_read(drawn: &sightdrift::scenario::Drawn) {
    let starter = starter_from_drawing("drawn", &drawn.told, &drawn.vertices, &drawn.rods, None)
        .expect("a figure that was drawn");
    if let Err(problems) = read_scenario("new.toml", &starter, &columns) {
        are_told(&problems, &starter);
        let words = problems.to_string();
        assert!(
            !words.contains("unknown key") && !words.contains("near `"),
            "{words}"
        );
    }
}

/// An SVG drawing.
pub fn svg(bytes: &[u8]) -> Taken {
    drawing(DrawingFormat::Svg, bytes, None)
}

/// A table of vertices and edges.
pub fn edge_table(bytes: &[u8]) -> Taken {
    drawing(DrawingFormat::EdgeTable, bytes, None)
}

/// A solid, seen from in front of it.
pub fn solid(bytes: &[u8]) -> Taken {
    let view = SolidView {
        eye: [0.5, 0.25, 9.0],
        towards: [0.0, 0.0, 0.0],
        up: [0.0, 1.0, 0.0],
    };
    drawing(DrawingFormat::Solid, bytes, Some(view))
}

/// A sheet from the bench of the sailing boat.
pub fn bench_sheet(bytes: &[u8]) -> Taken {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return Taken::NoText;
    };
    let plan = &boat().plan;
    let read = match read_bench(&[("b.csv".to_owned(), text.to_owned())], plan) {
        Ok(read) => read,
        Err(all) => {
            assert!(!all.0.is_empty());
            all.0.iter().for_each(|problems| are_told(problems, text));
            return Taken::Refused;
        }
    };
    are_plain(&read.notes.join("\n"));
    for reading in &read.bench.readings {
        assert!(reading.value.iter().all(|value| value.is_finite()));
        assert!(reading.sd.is_finite() && reading.sd > 0.0, "{reading:?}");
        let is_there = |index: Option<usize>, count: usize| index.is_none_or(|nth| nth < count);
        assert!(is_there(reading.of.line, plan.design.vertices.len()));
        assert!(is_there(reading.of.end, 2 * plan.design.rods.len()));
    }
    let mut bench = read.bench.clone();
    for blunder in blunders(plan, &read.bench) {
        are_plain(&blunder.words(plan, &read.bench));
        blunder.put_right(plan, &mut bench);
    }
    for reading in &bench.readings {
        assert!(reading.value.iter().all(|value| value.is_finite()));
    }
    Taken::Accepted
}

/// Columns of measured numbers, for a source with two directions and for one with a single number.
pub fn measured_columns(bytes: &[u8]) -> Taken {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return Taken::NoText;
    };
    let boat = sightdrift::scenario::EXAMPLES[1].text;
    let mut taken = Taken::Refused;
    for law in [
        "[errors.plates]\nhole_scatter = { form = \"measured\", file = \"m.csv\", columns = [\"dx\", \"dy\"], unit = \"mm\" }\n",
        "[errors.plates]\nseat_depth = { form = \"measured\", file = \"m.csv\", columns = [\"dx\"], unit = \"mm\" }\n",
    ] {
        let whole = boat.replacen("[errors.rod]", &format!("{law}[errors.rod]"), 1);
        let read = read_scenario("s.toml", &whole, &|_: &str| Ok(text.to_owned()));
        match read {
            Ok(read) => {
                is_sound(&read.plan);
                can_be_seen(&read);
                taken = Taken::Accepted;
            }
            Err(problems) => {
                are_told(&problems, &whole);
                let words = problems.to_string();
                assert!(!words.contains("unknown key"), "{words}");
            }
        }
    }
    taken
}

/// A small exhibit whose counts fit on a page.
pub fn small() -> &'static Scenario {
    static SMALL: OnceLock<Scenario> = OnceLock::new();
    SMALL.get_or_init(|| read_scenario("small.toml", SMALL_TEXT, &columns).expect("a good one"))
}

/// The small exhibit as a scenario.
pub const SMALL_TEXT: &str = "work = \"template-drilled\"
[figure]
picture_plane = 400
vertices = [
  { name = \"a\", x = -40, y = 0 },
  { name = \"b\", x = 40, y = 0 },
  { name = \"c\", x = 0, y = 50 },
]
[cabinet]
front_plate = 180
rear_plate = 560
front_hole = 0.5
rear_hole = 0.5
[peephole]
diameter = 9
eye_relief = 12
[line]
material = \"nylon\"
diameter = 0.25
tension = 8
[rods]
diameter = 4
material = \"birch\"
list = [
  { lines = [\"a\", \"b\"], depths = [400, 415] },
  { lines = [\"b\", \"c\"], depths = [430, 445] },
]
[eye]
luminance = 200
[run]
seed = 1
builds = 8
looks = 2
";

/// A counts file of the small exhibit: as it stands, with its digests made true again, and its counts by themselves.
pub fn counts(bytes: &[u8]) -> Taken {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return Taken::NoText;
    };
    let scenario = small();
    let mut taken = Taken::Refused;
    let mut texts = vec![text.to_owned()];
    if let Ok(mut file) = serde_json::from_str::<Value>(text)
        && file.is_object()
    {
        seal(&mut file);
        texts.push(file.to_string());
        counted_comes_back(&file["counts"].to_string(), &scenario.plan, &scenario.run);
    }
    for text in texts {
        match read_counts(Path::new("part.json"), &text, scenario) {
            Ok(counted) => {
                taken = Taken::Accepted;
                assert!(counted.tally.passed <= counted.tally.builds);
            }
            Err(stop) => are_plain(&stop.to_string()),
        }
    }
    taken
}

fn counted_comes_back(text: &str, plan: &Plan, run: &RunPlan) {
    let Ok(counts) = serde_json::from_str::<CountedCounts>(text) else {
        return;
    };
    match counts.counted(plan, run) {
        Ok(counted) => assert_eq!(CountedCounts::from(&counted), counts),
        Err(why) => are_plain(&why.to_string()),
    }
}
