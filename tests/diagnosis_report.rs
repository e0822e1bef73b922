//! What a diagnosis tells: record, page, JSON, text, drawings, and the words for directions.

mod support;

use serde_json::Value;
use sightdrift::decision::diagnosis::{Cause, Estimate, Suspect};
use sightdrift::figure::{BenchWords, Family, Plan, Plate, Source};
use sightdrift::geometry::{Pair, PlatePose, Point};
use sightdrift::report::drawing::{DIAGNOSIS_NAMES, diagnosis_drawings, record_drawing};
use sightdrift::report::{
    diagnosis_json, diagnosis_section, diagnosis_sentences, diagnosis_text, record_html,
    rods_of_the_leading_cause, surprise_words, value_words,
};
use sightdrift::trial::Built;
use sightdrift::units::arcmin;
use std::sync::LazyLock;
use support::bench_case::{Case, HOLES_AND_PICTURE, shipped, small_print, spoiled};

static SMALL_PRINT: LazyLock<Case> = LazyLock::new(|| small_print("desk-boat"));

fn plain(text: &str) -> String {
    text.replace('\u{a0}', " ")
}

fn record(case: &Case) -> String {
    let lit = rods_of_the_leading_cause(&case.told());
    let drawing = record_drawing(&case.plan, &case.bench, &case.diagnosis, &lit).expect("drawn");
    plain(&record_html(&case.told(), drawing.as_ref()))
}

/// A cause with this estimate, known to a tenth of it.
fn cause(plan: &Plan, source: Source, item: usize, estimate: [f64; 2]) -> Cause {
    let about = |value: f64| {
        [
            value - 0.1 * value.abs() - 1e-6,
            value + 0.1 * value.abs() + 1e-6,
        ]
    };
    Cause {
        suspect: Suspect::item(source, item),
        words: Suspect::item(source, item).words(plan, &[]),
        kind: source.kind(),
        components: source.components(),
        planned: [0.0; 2],
        tolerance_sd: [1.0; 2],
        estimate,
        interval: estimate.map(about),
        if_wrong: Estimate {
            value: estimate,
            interval: estimate.map(about),
        },
        times_tolerance: Some(1.0),
        tail: Some(0.3),
        fault_probability: 0.5,
        share: 0.1,
        known: 0.9,
    }
}

fn words(plan: &Plan, source: Source, item: usize, estimate: [f64; 2]) -> String {
    plain(&value_words(&cause(plan, source, item, estimate), plan))
}

/// Where a build with one value off has the hole of a line in the rear plate, less where it belongs.
fn moved_mm(plan: &Plan, source: Source, value: f64, line: usize) -> Point {
    let built = |value: f64| {
        let mut values = plan.neutral_values(Family::Build);
        values[plan.layout.start(source)] = value;
        let mut built = Built::new(plan);
        built.set(plan, &values).expect("it can be built");
        built.holes_mm[1][line]
    };
    built(value) - built(0.0)
}

#[test]
fn directions_are_told_as_a_person_at_the_peephole_sees_them() {
    let plan = shipped("desk-boat").plan;
    let rear = Plate::Rear;
    // +x is to the viewer's left
    let left = words(&plan, Source::PatternShift(rear), 0, [1.9, -0.4]);
    assert!(
        left.starts_with("1.90 mm to the left (1.71 to 2.09)") && left.contains("0.40 mm down"),
        "{left}"
    );
    let right = words(&plan, Source::HoleScatter(rear), 2, [-1.9, 0.4]);
    assert!(
        right.starts_with("1.90 mm to the right (1.71 to 2.09)"),
        "{right}"
    );
    assert!(right.contains("0.40 mm up (0.36 to 0.44)"), "{right}");

    // the mast-top hole is above the centre: where it goes says which way a turn is
    let top = plan
        .design
        .vertices
        .iter()
        .position(|vertex| vertex.name == "mast-top");
    let top = top.expect("there is a mast");
    let turned = moved_mm(&plan, Source::PatternTurn(rear), 0.02, top);
    assert!(
        turned.x < -1.0,
        "the top goes to the viewer's right: {}",
        turned.x
    );
    let clockwise = words(&plan, Source::PatternTurn(rear), 0, [0.02, 0.0]);
    assert!(clockwise.contains("1.15 degrees clockwise"), "{clockwise}");
    let other_way = words(&plan, Source::PatternTurn(rear), 0, [-0.002, 0.0]);
    assert!(
        other_way.contains("6.9 arcmin anticlockwise"),
        "{other_way}"
    );

    let leaning = moved_mm(&plan, Source::TiltX(rear), 0.02, top);
    assert!(
        leaning.z > 1.0,
        "the top goes away from the eye: {}",
        leaning.z
    );
    let told = words(&plan, Source::TiltX(rear), 0, [0.02, 0.0]);
    assert!(told.contains("with its top away from the eye"), "{told}");
    let at_left = PlatePose {
        tilt_y_rad: 0.02,
        ..PlatePose::NOMINAL
    }
    .place(Pair::zeros(), 100.0)
    .hole_mm(Pair::new(50.0, 0.0), Pair::zeros());
    assert!(at_left.z < 100.0, "the left side comes nearer");
    let told = words(&plan, Source::TiltY(rear), 0, [0.02, 0.0]);
    assert!(
        told.contains("with its left side towards the eye"),
        "{told}"
    );

    let deep = moved_mm(&plan, Source::SeatDepth(rear), 3.0, top);
    assert!(deep.z > 2.9);
    let told = words(&plan, Source::SeatDepth(rear), 0, [3.0, 0.0]);
    assert!(
        told.contains("3.0 mm farther from the eye (2.7 to 3.3)"),
        "{told}"
    );
    let told = words(&plan, Source::SeatDepth(rear), 0, [-3.0, 0.0]);
    assert!(
        told.contains("3.0 mm nearer to the eye (2.7 to 3.3)"),
        "{told}"
    );
    // the pupil's z counts from the station point: more of it is nearer to the plate
    let told = words(&plan, Source::EyeRelief, 0, [4.0, 0.0]);
    assert!(told.contains("4.0 mm nearer to the peephole"), "{told}");
}

#[test]
fn a_bow_is_told_towards_the_side_to_which_the_rod_stands_out() {
    let plan = shipped("gallery-bridge").plan;
    for rod in 0..plan.design.rods.len() {
        let mut values = plan.neutral_values(Family::Build);
        values[plan.layout.start(Source::RodBow) + 2 * rod] = 0.01;
        let mut built = Built::new(&plan);
        built.set(&plan, &values).expect("it can be built");
        let straight = (built.ends_mm[2 * rod] + built.ends_mm[2 * rod + 1]) * 0.5;
        let off = built.middles_mm[rod] - straight;
        let side = if off.x.abs() > off.y.abs() {
            if off.x > 0.0 {
                "to the left"
            } else {
                "to the right"
            }
        } else if off.y > 0.0 {
            "up"
        } else {
            "down"
        };
        let told = words(&plan, Source::RodBow, rod, [0.01, 0.0]);
        assert!(told.contains(side), "rod {rod}: {told}, should be {side}");
    }
}

#[test]
fn values_come_in_a_workshops_units_and_rounded_to_what_is_known() {
    let plan = shipped("desk-boat").plan;
    let mut print = cause(&plan, Source::PrintScale(Plate::Rear), 0, [-0.03, 0.0]);
    print.interval[0] = [-0.034, -0.026];
    assert_eq!(plain(&value_words(&print, &plan)), "97.0 % (96.6 to 97.4)");
    let mut tension = cause(&plan, Source::HandTension, 3, [0.5, 0.0]);
    tension.interval[0] = [0.45, 0.55];
    let planned_n = plan.tensions_n[3];
    let expected = format!(
        "{:.1} N ({:.1} to {:.1})",
        0.5 * planned_n,
        0.45 * planned_n,
        0.55 * planned_n
    );
    assert_eq!(plain(&value_words(&tension, &plan)), expected);
    let mut shift = cause(&plan, Source::SeatDepth(Plate::Rear), 0, [0.1, 0.0]);
    shift.interval[0] = [-0.21, 0.41];
    assert_eq!(
        plain(&value_words(&shift, &plan)),
        "0.1 mm farther from the eye (between 0.2 nearer to the eye and 0.4 farther from the eye)"
    );
}

#[test]
fn how_surprising_it_is_is_told_as_one_in_so_many() {
    let mut cause = SMALL_PRINT.diagnosis.why.causes[0].clone();
    for (tail, told) in [
        (Some(1.0), "nearly all builds made within tolerance"),
        (Some(0.3), "30 of 100 builds made within tolerance"),
        (Some(1.0 / 43.0), "one in 43 builds made within tolerance"),
        (
            Some(1.0 / 31_900.0),
            "one in 30 000 builds made within tolerance",
        ),
        (
            Some(1e-12),
            "fewer than one in a billion builds made within tolerance",
        ),
        (None, "none, if the work were as its tolerance says"),
    ] {
        cause.tail = tail;
        assert_eq!(plain(&surprise_words(&cause)), told);
    }
}

#[test]
fn a_pattern_printed_small_and_a_miswritten_hole_are_told_apart_on_every_page() {
    let case = &*SMALL_PRINT;
    let told = case.told();
    let text = plain(&diagnosis_text(&told));
    let drawings = diagnosis_drawings(&case.plan, &case.bench, &case.diagnosis).expect("drawn");
    let page = plain(&diagnosis_section(&told, &drawings).into_string());
    let record = record(case);
    for (name, told) in [("text", &text), ("page", &page), ("record", &record)] {
        assert!(told.contains("This build fails"), "{name}");
        for part in [
            "rint scale, rear plate",
            "92.",
            "Read again: front hole keel-aft",
        ] {
            assert!(told.contains(part), "{name}: {part}");
        }
        let again = told.find("Read again").expect("it is told");
        let cause = told.find("rint scale, rear plate").expect("it is told");
        assert!(
            again < cause,
            "{name}: what is to be read again comes first"
        );
    }
    assert!(text.lines().count() <= 45, "{} lines", text.lines().count());
}

#[test]
fn the_record_holds_the_sheets_words_and_leaves_a_line_for_what_it_does_not_say() {
    let mut case = small_copy();
    case.bench.words = BenchWords {
        exhibit: Some("Boat No. 3".into()),
        measured_by: Some("A. Builder".into()),
        measured_on: Some("a Tuesday".into()),
        instruments: Some("calliper".into()),
        signed_by: Some("B. Curator".into()),
        note: Some("stored damp".into()),
    };
    let full = record(&case);
    for part in [
        "Boat No. 3",
        "A. Builder",
        "a Tuesday",
        "calliper",
        "B. Curator",
        "stored damp",
    ] {
        assert!(full.contains(part), "{part}");
    }
    // the signature and its date are always left to the hand
    assert_eq!(full.matches("class=\"blank\"").count(), 2);
    case.bench.words = BenchWords::default();
    let blank = record(&case);
    assert_eq!(blank.matches("class=\"blank\"").count(), 8);
    case.bench.words.measured_by = Some(" \u{202e}\u{7} ".into());
    assert_eq!(record(&case).matches("class=\"blank\"").count(), 8);
    for part in [&case.about.sha256, &case.bench.sha256, &case.about.command] {
        assert!(blank.contains(part.as_str()), "{part}");
    }
    for part in [
        "Lines under tension",
        "eye protection",
        "needles",
        "local code",
    ] {
        assert!(blank.contains(part), "{part}");
    }
}

#[test]
fn hostile_text_is_shown_as_text() {
    let mut case = small_copy();
    let hostile = "<script>alert(1)</script>\u{202e}evil\u{0}\u{7}=cmd()\" onload=\"x";
    let some = || Some(hostile.to_owned());
    case.bench.words = BenchWords {
        exhibit: some(),
        measured_by: some(),
        measured_on: some(),
        instruments: some(),
        signed_by: some(),
        note: some(),
    };
    case.bench.readings[3].remark = some();
    case.put_right = vec![hostile.to_owned()];
    case.notes = vec![hostile.to_owned()];
    case.about.title = hostile.to_owned();
    let told = case.told();
    let drawings = diagnosis_drawings(&case.plan, &case.bench, &case.diagnosis).expect("drawn");
    let section = diagnosis_section(&told, &drawings).into_string();
    let text = diagnosis_text(&told);
    // the page's own scripts stand behind what is told
    let record = record(&case);
    let (sheet, own) = record.split_once("</main>").expect("its end");
    assert!(!own.contains("alert"));
    for page in [sheet, &section] {
        assert!(!page.contains("<script"));
        assert!(!page.contains(" onload=\"x"));
        assert!(page.contains("&lt;script&gt;"));
        assert!(!page.contains(['\u{202e}', '\u{0}', '\u{7}']));
    }
    assert!(!text.contains(['\u{202e}', '\u{0}', '\u{7}']));
    assert_eq!(diagnosis_json(&told)["sheet"]["exhibit"], hostile);
}

#[test]
fn the_record_stays_on_one_sheet_whatever_the_texts() {
    for (name, long) in [("desk-boat", "W"), ("gallery-bridge", "word ")] {
        let mut case = if name == "desk-boat" {
            small_copy()
        } else {
            spoiled(
                name,
                &[(Source::SeatDepth(Plate::Rear), 0, &[25.0])],
                &HOLES_AND_PICTURE,
            )
        };
        let long = long.repeat(4000);
        let some = || Some(long.clone());
        case.bench.words = BenchWords {
            exhibit: some(),
            measured_by: some(),
            measured_on: some(),
            instruments: some(),
            signed_by: some(),
            note: some(),
        };
        case.put_right = vec![long.clone(); 5];
        case.about.title.clone_from(&long);
        case.about.file.clone_from(&long);
        case.about.command.clone_from(&long);
        let all = record(&case);
        // Letter paper is 279.4 mm high, less two margins of 10 mm
        assert!(all.contains("max-height: 258mm"));
        // the scripts stand behind all words
        let (all, _) = all.split_once("<script").expect("scripts");
        let words: String = all
            .split("<svg")
            .map(|part| part.rsplit("</svg>").next().unwrap_or(""))
            .collect();
        let style = words.find("</style>").expect("it has a style");
        // some 130 letters on each of 68 lines
        assert!(
            words.len() - style < 16_000,
            "{} bytes",
            words.len() - style
        );
        assert!(all.matches("<tr>").count() <= 12 + 9);
        assert!(all.contains('…'));
    }
}

fn small_copy() -> Case {
    let case = &*SMALL_PRINT;
    Case {
        plan: case.plan.clone(),
        bench: case.bench.clone(),
        diagnosis: case.diagnosis.clone(),
        run: case.run,
        about: case.about.clone(),
        put_right: Vec::new(),
        notes: Vec::new(),
    }
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or(f64::NAN)
}

#[test]
fn every_number_for_programs_is_that_of_the_answer() {
    let case = &*SMALL_PRINT;
    let (json, found) = (diagnosis_json(&case.told()), &case.diagnosis);
    assert_eq!(json["schema"], 1);
    assert_eq!(json["verdict"], "fails");
    let list = |value: &Value| value.as_array().cloned().unwrap_or_default();
    let items = list(&json["finding"]["items"]);
    assert_eq!(items.len(), found.finding.items.len());
    for (told, item) in items.iter().zip(&found.finding.items) {
        assert_eq!(number(&told["limit_arcmin"]), arcmin(item.limit_rad));
        let seen = item.seen_rad.expect("it is seen");
        assert_eq!(number(&told["seen_arcmin"]["median"]), arcmin(seen.median));
        assert_eq!(
            number(&told["seen_arcmin"]["interval"][1]),
            arcmin(seen.interval[1])
        );
        assert_eq!(told["over_limit"]["count"], item.over.count);
    }
    let causes = list(&json["causes"]);
    assert_eq!(causes.len(), found.why.causes.len());
    for (told, cause) in causes.iter().zip(&found.why.causes) {
        assert_eq!(told["cause"], cause.words);
        assert_eq!(number(&told["fault_probability"]), cause.fault_probability);
        assert_eq!(number(&told["share_of_what_is_seen_off"]), cause.share);
        let keys = told.as_object().expect("an object");
        let (key, values) = keys
            .iter()
            .find(|(key, _)| key.starts_with("estimate_"))
            .expect("an estimate");
        let shown = if key.ends_with("arcmin") {
            arcmin(cause.estimate[0])
        } else {
            cause.estimate[0]
        };
        assert_eq!(number(&values[0]), shown, "{key}");
        assert_eq!(list(values).len(), cause.components);
    }
    let readings = list(&json["readings"]);
    assert_eq!(readings.len(), case.bench.readings.len());
    for (told, reading) in readings.iter().zip(&case.bench.readings) {
        let key = format!("read_{}", reading.of.quantity.unit().to_lowercase());
        assert_eq!(number(&told[key.as_str()][0]), reading.value[0], "{key}");
    }
    let mends = list(&json["mends"]["ranked"]);
    assert_eq!(mends.len(), found.mends.ranked.len());
    for (told, mend) in mends.iter().zip(&found.mends.ranked) {
        assert_eq!(number(&told["minutes"]), mend.minutes);
        assert_eq!(told["passes"]["count"], mend.passes.count);
        assert_eq!(
            number(&told["worst_drift_over_limit"]["median"]),
            mend.drift.median
        );
    }
    assert_eq!(
        json["mends"]["least"],
        serde_json::to_value(found.mends.least).expect("a number")
    );
    assert_eq!(json["answer"][0], diagnosis_sentences(&case.told())[0]);
}

#[test]
fn the_drawings_show_the_points_of_the_picture_and_name_their_rows() {
    let case = &*SMALL_PRINT;
    let all = diagnosis_drawings(&case.plan, &case.bench, &case.diagnosis).expect("drawn");
    let names: Vec<&str> = all.iter().map(|drawing| drawing.name).collect();
    assert_eq!(names, DIAGNOSIS_NAMES);
    for drawing in &all {
        roxmltree::Document::parse(&drawing.svg).expect("well-formed");
        assert!(drawing.png.starts_with(b"\x89PNG"), "{}", drawing.name);
    }
    let ends = 2 * case.plan.design.rods.len();
    assert!(
        all[0]
            .caption
            .contains(&format!("{ends} points of the picture taken")),
        "{}",
        all[0].caption
    );
    assert!(all[1].svg.contains("print scale, rear plate"));
    let first = case
        .diagnosis
        .mends
        .ranked
        .first()
        .expect("it can be mended");
    assert!(
        all[2]
            .svg
            .contains(first.words.split(' ').next().expect("a word"))
    );
    let small = record_drawing(&case.plan, &case.bench, &case.diagnosis, &[]).expect("drawn");
    assert!(small.is_some_and(|small| small.width == 420));
}
