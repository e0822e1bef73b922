//! Sheets for the bench: what is written is read back, in any dress that a spreadsheet gives it.

mod binary;
mod sheets;

use binary::shipped;
use sheets::{SHIPPED, plan_of, read};
use sightdrift::figure::{
    Bench, COVERED_SD, Family, Measurand, Plan, Plate, Quantity, UsualSd, all_measurands,
};
use sightdrift::geometry::Pair;
use sightdrift::report::{FilledSheet, bench_sheet_csv};
use sightdrift::scenario::{read_bench, read_scenario};
use sightdrift::trial::{Frames, PictureFrame, shown, taken};

fn neutral(plan: &Plan) -> [Vec<f64>; 2] {
    [Family::Build, Family::Look].map(|family| plan.neutral_values(family))
}

/// A build with some of everything wrong: a small wobble that is the same at every run.
fn wobbled(plan: &Plan) -> [Vec<f64>; 2] {
    let [mut build, look] = neutral(plan);
    for (nth, value) in build.iter_mut().enumerate() {
        // far below what would be impossible in any unit: mm, rad, factors
        *value += 1e-3 * libm::sin(nth as f64);
    }
    [build, look]
}

/// The readings of a build, without those of which a sheet can have only the other kind.
fn readings(plan: &Plan, values: &[Vec<f64>; 2], frames: &Frames, seed: Option<u64>) -> Bench {
    let all: Vec<Measurand> = all_measurands(plan)
        .into_iter()
        .filter(|of| {
            !matches!(
                of.quantity,
                Quantity::ScannedHole(Plate::Front) | Quantity::PicturedHole(Plate::Rear)
            )
        })
        .collect();
    let [build, look] = values;
    let mut bench = Bench::default();
    bench.readings = taken(plan, &all, &bench, [build, look], frames, seed).expect("computable");
    bench
}

fn filled(plan: &Plan, bench: &Bench) -> String {
    let about = ["made for a test, with a comma; and a semicolon".to_owned()];
    let filled = FilledSheet {
        bench,
        about: &about,
    };
    bench_sheet_csv(plan, "Test", "s.toml", Some(&filled))
}

#[test]
fn a_blank_sheet_is_whole_and_has_no_reading() {
    for name in SHIPPED {
        let plan = plan_of(name);
        let blank = bench_sheet_csv(&plan, name, "s.toml", None);
        let told = read_bench(&[("b.csv".to_owned(), blank.clone())], &plan).expect_err("blank");
        let told = told.to_string();
        assert!(
            told.starts_with("b.csv:1:1: no reading is filled in"),
            "{told}"
        );
        assert!(told.contains("sightdrift measure"), "{told}");
        let rows = blank.lines().filter(|line| !line.starts_with('#')).count();
        // the header and eight rows of words
        assert_eq!(rows, all_measurands(&plan).len() + 9, "{name}");
        for said in [
            "eye protection",
            "soft tip",
            "right",
            "px",
            "19 of 20",
            "centre mark",
        ] {
            assert!(blank.contains(said), "{said}");
        }
    }
}

#[test]
fn a_filled_sheet_reads_back_as_what_would_show() {
    for name in SHIPPED {
        let plan = plan_of(name);
        let frames = Frames::plain(&plan);
        let values = wobbled(&plan);
        let bench = readings(&plan, &values, &frames, None);
        let back = read(&plan, &filled(&plan, &bench)).bench;
        assert_eq!(back.readings.len(), bench.readings.len(), "{name}");
        let of: Vec<Measurand> = back.readings.iter().map(|reading| reading.of).collect();
        let [build, look] = &values;
        let there = shown(&plan, &of, &bench, build, look, &frames).expect("computable");
        let mut there = there.into_iter();
        for reading in &back.readings {
            let quantity = reading.of.quantity;
            let words = reading.of.words(&plan.design);
            // as many digits as are written
            let half_a_digit = match quantity.unit() {
                "px" | "Hz" => 0.5e-3,
                _ => 0.5e-4,
            };
            for component in 0..quantity.components() {
                let exact = there.next().flatten().expect("seen");
                let off = (reading.value[component] - exact).abs();
                assert!(
                    off <= 1.001 * half_a_digit,
                    "{name}: {words} is off by {off}"
                );
            }
            let usual = quantity.usual_sd();
            let share = (reading.sd / usual.of(reading.value[0]) - 1.0).abs();
            assert!(share < 1e-3, "{name}: {words} has another uncertainty");
        }
    }
}

#[test]
fn a_sheet_with_errors_of_reading_differs_from_an_exact_one_by_the_usual_uncertainty() {
    let plan = plan_of("desk-boat");
    let frames = Frames::plain(&plan);
    let values = neutral(&plan);
    let exact = readings(&plan, &values, &frames, None);
    let noisy = readings(&plan, &values, &frames, Some(7));
    assert_eq!(noisy, readings(&plan, &values, &frames, Some(7)));
    assert_ne!(noisy, readings(&plan, &values, &frames, Some(8)));
    let mut squares = 0.0;
    let mut count = 0.0;
    for (a, b) in exact.readings.iter().zip(&noisy.readings) {
        assert_eq!(a.of, b.of);
        for component in 0..a.of.quantity.components() {
            let z = (b.value[component] - a.value[component]) / a.sd;
            squares += z * z;
            count += 1.0;
        }
    }
    // 5 standard errors of a mean of squares of normal numbers, whose variance is 2
    let off: f64 = squares / count - 1.0;
    assert!(
        count > 250.0 && off.abs() < 5.0 * (2.0_f64 / count).sqrt(),
        "{off} of {count}"
    );
}

/// A sheet of few columns.
fn small(rows: &str) -> String {
    format!("quantity,line,rod,at,value,x,y,unit,plus_minus,planned,remark\n{rows}\n")
}

#[test]
fn x_is_to_the_right_on_a_sheet_and_to_the_left_in_the_cabinet_but_never_in_a_picture() {
    let plan = plan_of("desk-boat");
    let rows = [
        ("front hole,bow,,,,35.1,-13.5,,,,", [-35.1, -13.5]),
        ("rear hole on scan,bow,,,,2,3,,,,", [-2.0, 3.0]),
        (
            "front hole in picture,bow,,,,1200.5,640,,,,",
            [1200.5, 640.0],
        ),
        ("line in rear hole,bow,,,,0.1,-0.05,,,,", [-0.1, -0.05]),
        ("peephole,,,,,1.5,0.5,,,,", [-1.5, 0.5]),
        ("rod beside line,bow,deck,,,1,0.2,,,,", [-1.0, 0.2]),
        ("seen end,bow,deck,,,-3,9,,,,", [-3.0, 9.0]),
        ("seen middle,,deck,,,77,88,px,,,", [77.0, 88.0]),
    ];
    for (row, value) in rows {
        let back = read(&plan, &small(row)).bench;
        assert_eq!(back.readings[0].value, value, "{row}");
    }
    let distance = read(&plan, &small("front to rear plate,,,,380,120,-60,,,,"));
    let reading = &distance.bench.readings[0];
    assert_eq!(reading.value[0], 380.0);
    assert_eq!(reading.of.place_mm, Some(Pair::new(-120.0, -60.0)));
    // the design's own hole lies where its sheet says: the bow is to the viewer's right
    assert!(plan.holes_mm[0][0].x < 0.0);
}

#[test]
fn units_come_out_in_mm_hz_and_newton() {
    let plan = plan_of("desk-boat");
    let pound_force_n = 4.448_221_615_260_5; // exact: 0.453 592 37 kg × 9.806 65 m/s², rounded to 14 digits
    for (row, value, sd) in [
        (
            "front to rear plate,,,,15,,,in,0.1,,",
            15.0 * 25.4,
            2.54 / COVERED_SD,
        ),
        ("front to rear plate,,,,38,,,cm,,,", 380.0, 0.25),
        (
            "tension,bow,,,2,,,lbf,0.1,,",
            2.0 * pound_force_n,
            0.1 * pound_force_n / COVERED_SD,
        ),
        ("tension,bow,,,8,,,N,5 %,,", 8.0, 0.4 / COVERED_SD),
        ("tone,bow,,120,487,,,hz,,,", 487.0, 4.87),
        (
            "front hole,bow,,,,1,2,in,±0.01,,",
            -25.4,
            0.254 / COVERED_SD,
        ),
        ("drop,bow,,10,0.1,,,cm,,,", 1.0, 0.15),
    ] {
        let back = read(&plan, &small(row)).bench;
        let reading = &back.readings[0];
        assert!(
            (reading.value[0] - value).abs() < 1e-12 * value.abs(),
            "{row}: {}",
            reading.value[0]
        );
        assert!((reading.sd - sd).abs() < 1e-12, "{row}: {}", reading.sd);
    }
    let at = |row: &str| read(&plan, &small(row)).bench.readings[0].of.at_mm;
    assert_eq!(at("drop,bow,,10,0.1,,,cm,,,"), Some(100.0));
    assert_eq!(at("tone,bow,,120,487,,,Hz,,,"), Some(120.0));
    assert_eq!(at("drop,bow,,,0.1,,,,,,"), None);
}

/// What a sheet says, without where it says it.
fn said(bench: &Bench) -> Vec<(Measurand, [f64; 2], f64)> {
    let readings = bench.readings.iter();
    readings
        .map(|reading| (reading.of, reading.value, reading.sd))
        .collect()
}

#[test]
fn a_sheet_may_come_back_in_any_dress() {
    let plan = plan_of("slack-windmill");
    let frames = Frames::plain(&plan);
    let bench = readings(&plan, &wobbled(&plan), &frames, Some(3));
    let text = filled(&plan, &bench);
    let plain = said(&read(&plan, &text).bench);
    let records = |separator: char, comma: bool| -> String {
        let mut reader = csv::ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .comment(Some(b'#'))
            .from_reader(text.as_bytes());
        let mut out = String::new();
        for record in reader.records() {
            let record = record.expect("a row");
            // the quantity moves to the end, and planned goes
            let order = [10, 8, 7, 6, 5, 4, 3, 2, 1, 0];
            let cells = order.map(|nth| {
                let cell = record.get(nth).unwrap_or("");
                let is_number = cell.parse::<f64>().is_ok() || cell.ends_with('%');
                let cell = if comma && is_number {
                    cell.replace('.', ",")
                } else {
                    cell.to_owned()
                };
                format!("\"{}\"", cell.replace('"', "\"\""))
            });
            out.push_str(&cells.join(&separator.to_string()));
            out.push('\n');
        }
        out
    };
    let dresses = [
        ("a byte order mark", format!("\u{feff}{text}")),
        ("carriage returns", text.replace('\n', "\r\n")),
        ("old line ends", text.replace('\n', "\r")),
        ("blank rows", format!("{text}\n,,,,,,,,,,\n\n ,, ,\n")),
        ("another order", records(',', false)),
        ("semicolons and decimal commas", records(';', true)),
        ("semicolons and points", records(';', false)),
        ("tabs", records('\t', true)),
        (
            "padded comments",
            text.lines()
                .map(|line| {
                    if line.starts_with('#') {
                        format!("{line},,,,\n")
                    } else {
                        format!("{line}\n")
                    }
                })
                .collect(),
        ),
        (
            "quoted comments",
            text.lines()
                .map(|line| {
                    if line.starts_with('#') {
                        format!("\"{line}\",,,\n")
                    } else {
                        format!("{line}\n")
                    }
                })
                .collect(),
        ),
    ];
    for (what, text) in dresses {
        assert_eq!(said(&read(&plan, &text).bench).len(), plain.len(), "{what}");
        assert!(said(&read(&plan, &text).bench) == plain, "{what}");
    }
}

#[test]
fn several_files_are_one_bench() {
    let plan = plan_of("desk-boat");
    let file = |name: &str, rows: &str| (name.to_owned(), small(rows));
    let both = [
        file(
            "rule.csv",
            "exhibit,,,,boat 3,,,,,,\nnote,,,,one,,,,,,\nfront to rear plate,,,,380.2,,,,,,",
        ),
        file(
            "picture.csv",
            "note,,,,two,,,,,,\ncamera pupil,,,,4.2,,,,,,\npicture perspective,,,,yes,,,,,,\nseen end,bow,deck,,,10,20,,,,",
        ),
    ];
    let bench = read_bench(&both, &plan)
        .unwrap_or_else(|told| panic!("{told}"))
        .bench;
    assert_eq!(bench.readings.len(), 2);
    assert_eq!(bench.readings[1].place, "picture.csv:5");
    assert_eq!(bench.words.exhibit.as_deref(), Some("boat 3"));
    assert_eq!(bench.words.note.as_deref(), Some("one; two"));
    assert_eq!(bench.words.signed_by, None);
    assert_eq!(bench.camera_pupil_mm, Some(4.2));
    assert_eq!(bench.perspective, sightdrift::figure::Perspective::Askew);
    // of one file it is the file's own: FIPS 180-4 by the crate that the scenario's hash comes from
    let one = read_bench(&both[..1], &plan)
        .unwrap_or_else(|told| panic!("{told}"))
        .bench;
    assert_eq!(one.sha256.len(), 64);
    assert_ne!(one.sha256, bench.sha256);
}

#[test]
fn what_was_begun_and_not_ended_is_told_by_name() {
    let plan = plan_of("desk-boat");
    let holes: Vec<String> = plan.design.vertices[..9]
        .iter()
        .map(|vertex| format!("front hole,{},,,,1,2,,,,", vertex.name))
        .collect();
    let rows = format!(
        "{}\nfront hole,bow,,,,1.05,2,,,,\nextra,,,,,,,,,,",
        holes.join("\n")
    );
    let rows = rows.replace("\nextra,,,,,,,,,,", "");
    let text = small(&rows).replace(",remark\n", ",remark,my own\n");
    let notes = read(&plan, &text).notes;
    let has = |words: &[&str]| {
        notes
            .iter()
            .any(|note| words.iter().all(|word| note.contains(word)))
    };
    assert!(
        has(&["front hole: 9 of 10", "not read: gooseneck"]),
        "{notes:?}"
    );
    assert!(
        has(&["front hole bow is read twice", "b.csv:2", "b.csv:11"]),
        "{notes:?}"
    );
    assert!(has(&["not read", "my own"]), "{notes:?}");
    // what was not begun is nobody's business
    assert!(!has(&["rear hole"]), "{notes:?}");
}

#[test]
fn a_name_that_a_spreadsheet_would_take_for_a_formula_goes_there_and_back() {
    let text = shipped("desk-boat")
        .replace("\"bow\"", "\"=SUM(A1;2)\"")
        .replace("\"stern\"", "\"-étrave, nº 2\"");
    let no_files = |_: &str| Err("no file is named".to_owned());
    let plan = read_scenario("s.toml", &text, &no_files)
        .unwrap_or_else(|told| panic!("{told}"))
        .plan;
    let frames = Frames::plain(&plan);
    let mut bench = readings(&plan, &neutral(&plan), &frames, None);
    bench.words.exhibit = Some("+1 of \"two\"".to_owned());
    let sheet = filled(&plan, &bench);
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_reader(sheet.as_bytes());
    for record in reader.records() {
        for cell in &record.expect("a row") {
            let is_number = cell.parse::<f64>().is_ok();
            assert!(
                is_number || !cell.starts_with(['=', '+', '-', '@']),
                "{cell}"
            );
        }
    }
    let back = read(&plan, &sheet).bench;
    assert_eq!(back.words.exhibit, bench.words.exhibit);
    assert_eq!(back.readings.len(), bench.readings.len());
}

#[test]
fn the_usual_uncertainties_are_a_share_only_where_the_value_is_never_nought() {
    for quantity in Quantity::ALL {
        let is_share = matches!(quantity.usual_sd(), UsualSd::Share(_));
        assert_eq!(
            is_share,
            matches!(quantity, Quantity::Tone | Quantity::Tension)
        );
    }
}

#[test]
fn a_plain_picture_lies_upright_and_is_filled_to_two_thirds() {
    let points = [Pair::new(0.1, 0.2), Pair::new(-0.1, -0.1)];
    let frame = PictureFrame::filled_by(&points);
    let [left_up, right_down] = points.map(|point| frame.picture(point).expect("in front"));
    // 0.2 wide and 0.3 high in 2400 × 1800: the height decides, 1200 px
    let size = right_down - left_up;
    assert!(
        (size.y - 1200.0).abs() < 1e-9 && (size.x - 800.0).abs() < 1e-9,
        "{size}"
    );
    let middle = (right_down + left_up) / 2.0;
    assert!(
        (middle - Pair::new(1200.0, 900.0)).norm() < 1e-9,
        "{middle}"
    );
}
