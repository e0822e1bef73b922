//! `measure` and `see --sheet` as a person runs them, and the picture of what to measure.

mod binary;
mod sheets;

use binary::{Folder, shipped, stderr, stdout};
use sheets::{SHIPPED, plan_of, read};
use sightdrift::figure::{Bench, Measurand, Plate, Quantity, Stretch, all_measurands};
use sightdrift::report::{drawing, only_where_asked_for};

#[test]
fn the_command_prints_the_sheet_or_writes_it_with_its_picture() {
    let folder = Folder::new("measure");
    folder.write("boat.toml", &shipped("desk-boat"));
    let printed = folder.run(&["measure", "boat.toml"]);
    assert_eq!(printed.status.code(), Some(0), "{}", stderr(&printed));
    assert_eq!(stderr(&printed), "");
    assert_eq!(folder.names(), ["boat.toml"]);
    let written = folder.run(&["measure", "boat.toml", "--out", "bench/boat.csv"]);
    assert_eq!(written.status.code(), Some(0), "{}", stderr(&written));
    assert_eq!(folder.names_in("bench"), ["boat.csv", "boat.svg"]);
    assert_eq!(folder.read("bench/boat.csv"), printed.stdout);
    let svg = String::from_utf8(folder.read("bench/boat.svg")).expect("UTF-8");
    let document = roxmltree::Document::parse(&svg).expect("well-formed");
    let texts: Vec<&str> = document
        .descendants()
        .filter_map(|node| node.text())
        .collect();
    for quantity in Quantity::ALL {
        let is_of_scan = matches!(
            quantity,
            Quantity::ScannedHole(_) | Quantity::PicturedHole(_)
        );
        let name = quantity.name();
        assert!(
            is_of_scan || texts.iter().any(|text| text.contains(name)),
            "{name}"
        );
    }
    let again = folder.run(&["measure", "boat.toml", "--out", "bench/boat.csv"]);
    assert_eq!(again.status.code(), Some(2));
    assert!(stderr(&again).contains("--overwrite"), "{}", stderr(&again));
    let one = folder.run(&[
        "measure",
        "boat.toml",
        "--out",
        "x.csv",
        "--picture",
        "x.gif",
    ]);
    assert_eq!(one.status.code(), Some(2));
    assert_eq!(folder.names(), ["bench", "boat.toml"]);
    let png = folder.run(&[
        "measure",
        "boat.toml",
        "--out",
        "x.csv",
        "--picture",
        "x.png",
    ]);
    assert_eq!(png.status.code(), Some(0), "{}", stderr(&png));
    assert_eq!(&folder.read("x.png")[1..4], b"PNG");
}

#[test]
fn see_writes_what_would_be_read_with_the_weights_hung() {
    let folder = Folder::new("see-sheet");
    folder.write("mill.toml", &shipped("slack-windmill"));
    folder.write(
        "hole.toml",
        "[holes.front]\nhub = { scatter = [\"1 mm\", \"0 mm\"] }\n",
    );
    folder.write("light.toml", "sag = false\n");
    let plan = plan_of("slack-windmill");
    let see = |more: &[&str]| {
        let mut arguments = vec!["see", "mill.toml"];
        arguments.extend(more);
        let output = folder.run(&arguments);
        assert_eq!(
            output.status.code(),
            Some(0),
            "{more:?}: {}",
            stderr(&output)
        );
        stderr(&output)
    };
    let sheet = |name: &str| {
        let text = String::from_utf8(folder.read(name)).expect("UTF-8");
        read(&plan, &text).bench
    };
    let drops = |bench: &Bench| -> Vec<f64> {
        let readings = bench.readings.iter();
        let drops = readings.filter(|reading| reading.of.quantity == Quantity::Drop);
        drops.map(|reading| reading.value[0]).collect()
    };
    let told = see(&["--with", "hole.toml", "--sheet", "a.csv"]);
    assert!(
        told.contains("the weights hang and the rods are tied as the scenario says"),
        "{told}"
    );
    let a = sheet("a.csv");
    assert!(drops(&a).iter().all(|drop| *drop > 0.01), "{:?}", drops(&a));
    assert!(
        a.readings
            .iter()
            .all(|reading| !only_where_asked_for(reading.of.quantity))
    );
    let hub = plan
        .design
        .vertices
        .iter()
        .position(|vertex| vertex.name == "hub");
    let hole = Measurand::of_line(Quantity::Hole(Plate::Front), hub.expect("a hub"));
    let there = a
        .readings
        .iter()
        .find(|reading| reading.of == hole)
        .expect("read");
    let planned = plan.holes_mm[0][hub.expect("a hub")];
    assert!(
        (there.value[0] - planned.x - 1.0).abs() < 1e-4,
        "{:?}",
        there.value
    );
    see(&["--with", "light.toml", "--sheet", "b.csv"]);
    assert!(drops(&sheet("b.csv")).iter().all(|drop| *drop == 0.0));
    see(&["--trial", "4", "--sheet", "c.csv", "--reading-seed", "9"]);
    see(&[
        "--trial",
        "4",
        "--sheet",
        "d.csv",
        "--reading-seed",
        "9",
        "--all-readings",
    ]);
    let (short, long) = (sheet("c.csv"), sheet("d.csv"));
    assert!(long.readings.len() > short.readings.len());
    // an error of reading is the same on a short and on a long sheet
    for reading in &short.readings {
        let same = long
            .readings
            .iter()
            .find(|other| other.of == reading.of)
            .expect("there too");
        assert_eq!(same.value, reading.value);
    }
    let again = folder.run(&["see", "mill.toml", "--sheet", "a.csv"]);
    assert_eq!(again.status.code(), Some(2), "{}", stdout(&again));
    assert!(again.stdout.is_empty());
    let alone = folder.run(&["see", "mill.toml", "--reading-seed", "3"]);
    assert_eq!(alone.status.code(), Some(2));
}

#[test]
fn the_picture_names_its_scale_and_covers_no_word() {
    for name in SHIPPED {
        let drawing = drawing::bench_drawing(&plan_of(name), name).expect("drawn");
        let document = roxmltree::Document::parse(&drawing.svg).expect("well-formed");
        let mut boxes: Vec<([f64; 4], String)> = Vec::new();
        for node in document
            .descendants()
            .filter(|node| node.has_tag_name("text"))
        {
            let number =
                |key| -> f64 { node.attribute(key).expect("set").parse().expect("a number") };
            let text: String = node
                .descendants()
                .filter_map(|one| one.is_text().then(|| one.text()).flatten())
                .collect();
            let text = text.trim().to_owned();
            let em = number("font-size");
            // narrow letters: what overlaps by this measure overlaps in any font
            let long = 0.42 * em * text.chars().count() as f64;
            let left = match node.attribute("text-anchor") {
                Some("start") => number("x"),
                Some("end") => number("x") - long,
                _ => number("x") - long / 2.0,
            };
            let y = number("y");
            let area = [left, y - 0.4 * em, left + long, y + 0.4 * em];
            for (other, words) in &boxes {
                let apart = area[0] >= other[2]
                    || other[0] >= area[2]
                    || area[1] >= other[3]
                    || other[1] >= area[3];
                assert!(apart, "{name}: {text} covers {words}");
            }
            boxes.push((area, text));
        }
        assert!(
            boxes
                .iter()
                .filter(|(_, text)| text.ends_with("mm"))
                .count()
                >= 3,
            "{name}"
        );
        assert!(drawing.caption.contains("mm"), "{}", drawing.caption);
    }
    let distance = Measurand::of(Quantity::Distance(Stretch::FrontToRear));
    assert!(all_measurands(&plan_of("desk-boat")).contains(&distance));
}
