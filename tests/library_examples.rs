//! The programs in `examples/`, run as they stand.

#[allow(dead_code)] // its `main`
#[path = "../examples/one_look.rs"]
mod one_look;
#[allow(dead_code)] // its `main`
#[path = "../examples/yield_of_a_scenario.rs"]
mod yield_of_a_scenario;

use sightdrift::scenario::EXAMPLES;
use std::path::Path;

#[test]
fn the_yield_of_a_shipped_scenario_is_told_with_its_counts() {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios/desk-boat.toml");
    let told = yield_of_a_scenario::told_of_file(&file, Some(500)).expect("a good scenario");
    assert!(told.starts_with("Sailing boat on a desk: "), "{told}");
    assert!(
        told.contains("95 % interval") && told.ends_with("of 500 builds)"),
        "{told}"
    );
    let share: f64 = told
        .split(": ")
        .nth(1)
        .and_then(|rest| rest.split(' ').next())
        .and_then(|n| n.parse().ok())
        .expect("a number");
    // the scenario's head says: all but one build of a hundred and fifty
    assert!((95.0..=100.0).contains(&share), "{told}");
    let wrong = yield_of_a_scenario::told("s.toml", "work = 3", None).expect_err("a bad scenario");
    assert!(wrong.to_string().contains("s.toml:1:8"), "{wrong}");
}

/// Behind a wide peephole an eye that is off by e sees a point at z off by e/z; the figure's own numbers are 0.
#[test]
fn one_look_tells_every_rod() {
    let boat = EXAMPLES[1].text;
    let sound = one_look::told(boat, "").expect("good");
    assert_eq!(sound.lines().count(), 11);
    assert!(
        sound.lines().all(|line| line.ends_with(": 0.000 arcmin")),
        "{sound}"
    );
    let off = one_look::told(boat, one_look::EXPLICIT).expect("good");
    let numbers: Vec<f64> = off
        .lines()
        .map(|line| {
            line.split(": ")
                .nth(1)
                .and_then(|rest| rest.split(' ').next())
                .and_then(|n| n.parse().ok())
                .expect("a number")
        })
        .collect();
    // no rod nearer than 360 mm: at most 0.5/360 rad, 4.8 arcmin
    assert!(
        numbers.iter().any(|off| *off > 0.2) && numbers.iter().all(|off| *off < 4.8),
        "{off}"
    );
    let clipped = one_look::told(boat, "[eye]\noffset = [\"9 mm\", 0]").expect("good");
    assert!(clipped.contains("clipped"), "{clipped}");
    assert!(one_look::told(boat, "[eye]\noffset = 3").is_err());
}
