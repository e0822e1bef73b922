//! The closed forms that any version must meet, through the binary: what `see` and `assess` print, not what a function
//! returns. Every expected number here is worked out from the scenario's own text.

mod binary;

use binary::{Folder, plain_scenario};
use serde_json::Value;

const ARCMIN: f64 = std::f64::consts::PI / 10800.0;

/// Bound on rounding: some tens of units in the last place of angles of a few hundred arcmin.
const ROUNDING_ARCMIN: f64 = 1e-9;

fn near(found: f64, expected: f64, allowed: f64, what: &str) {
    let difference = found - expected;
    assert!(
        difference.abs() <= allowed,
        "{what}: {found} arcmin, expected {expected}, difference {difference:e}, allowed {allowed:e}"
    );
}

/// One look of the plain exhibit with `explicit` set.
fn see(test: &str, explicit: &str) -> Value {
    let folder = Folder::new(test);
    folder.write(
        "plain.toml",
        &plain_scenario("fitted", "\"off\"", "\"off\""),
    );
    folder.write("one.toml", explicit);
    folder.json(&["see", "plain.toml", "--with", "one.toml", "--json"])
}

struct End {
    rod: String,
    vertex: String,
    depth_mm: f64,
    target: [f64; 2],
    fixed: [f64; 2],
    fitted: [f64; 2],
}

fn pair(value: &Value) -> [f64; 2] {
    [0, 1].map(|i| value[i].as_f64().expect("a number"))
}

fn ends(sight: &Value) -> Vec<End> {
    let rods = sight["rods"].as_array().expect("rods");
    let all: Vec<End> = rods
        .iter()
        .flat_map(|rod| {
            rod["ends"]
                .as_array()
                .expect("ends")
                .iter()
                .map(move |end| End {
                    rod: rod["name"].as_str().expect("a name").to_owned(),
                    vertex: end["vertex"].as_str().expect("a name").to_owned(),
                    depth_mm: end["nominal_depth_mm"].as_f64().expect("a depth"),
                    target: pair(&end["target_arcmin"]),
                    fixed: pair(&end["deviation_arcmin"]["fixed"]),
                    fitted: pair(&end["deviation_arcmin"]["fitted"]),
                })
        })
        .collect();
    assert_eq!(all.len(), 14);
    all
}

#[test]
fn without_any_error_every_deviation_is_rounding() {
    let sight = see("no-error", "");
    for end in ends(&sight) {
        for c in 0..2 {
            near(end.fixed[c], 0.0, ROUNDING_ARCMIN, &end.rod);
            near(end.fitted[c], 0.0, ROUNDING_ARCMIN, &end.rod);
        }
    }
    assert_eq!(sight["outcome"], "holds");
}

#[test]
fn an_eye_offset_moves_every_end_by_its_share_of_the_depth_and_opens_gaps() {
    let sight = see("eye-offset", "[eye]\noffset = [\"1.5 mm\", \"-0.5 mm\"]\n");
    let mut depths: std::collections::BTreeMap<String, Vec<f64>> =
        std::collections::BTreeMap::new();
    for end in ends(&sight) {
        near(
            end.fixed[0],
            -1.5 / end.depth_mm / ARCMIN,
            ROUNDING_ARCMIN,
            &end.rod,
        );
        near(
            end.fixed[1],
            0.5 / end.depth_mm / ARCMIN,
            ROUNDING_ARCMIN,
            &end.rod,
        );
        depths.entry(end.vertex).or_default().push(end.depth_mm);
    }
    let length_mm = 1.5_f64.hypot(0.5);
    let junctions = sight["junctions"].as_array().expect("junctions");
    assert_eq!(junctions.len(), 6);
    for junction in junctions {
        let name = junction["vertex"].as_str().expect("a name");
        let nearest = depths[name].iter().copied().fold(f64::INFINITY, f64::min);
        let farthest = depths[name].iter().copied().fold(0.0, f64::max);
        let expected = length_mm * (1.0 / nearest - 1.0 / farthest) / ARCMIN;
        near(
            junction["gap_arcmin"].as_f64().expect("a gap"),
            expected,
            ROUNDING_ARCMIN,
            name,
        );
    }
}

#[test]
fn a_hole_error_fades_towards_the_other_plate() {
    for (plate, share) in [
        ("front", (|z: f64| (350.0 - z) / 200.0) as fn(f64) -> f64),
        ("rear", |z: f64| (z - 150.0) / 200.0),
    ] {
        let sight = see(
            &format!("hole-{plate}"),
            &format!("[holes.{plate}]\na = {{ scatter = [\"0.4 mm\", \"-0.3 mm\"] }}\n"),
        );
        for end in ends(&sight) {
            let moved = if end.vertex == "a" {
                share(end.depth_mm) / end.depth_mm / ARCMIN
            } else {
                0.0
            };
            near(end.fixed[0], 0.4 * moved, ROUNDING_ARCMIN, &end.rod);
            near(end.fixed[1], -0.3 * moved, ROUNDING_ARCMIN, &end.rod);
        }
    }
}

#[test]
fn a_print_scale_on_both_plates_is_a_pure_scaling_and_on_one_it_is_not() {
    let both = see(
        "scale-both",
        "[front]\nprint_scale = \"3 %\"\n[rear]\nprint_scale = 0.03\n",
    );
    for end in ends(&both) {
        for c in 0..2 {
            near(
                end.fixed[c],
                0.03 * end.target[c],
                ROUNDING_ARCMIN,
                &end.rod,
            );
            near(end.fitted[c], 0.0, ROUNDING_ARCMIN, &end.rod);
        }
    }
    let scale = both["common"]["scale"].as_f64().expect("a scale");
    assert!((scale - 1.03).abs() < 1e-12, "{scale}");
    let one = see("scale-one", "[rear]\nprint_scale = 0.03\n");
    let largest = ends(&one)
        .iter()
        .flat_map(|end| end.fitted)
        .map(f64::abs)
        .fold(0.0, f64::max);
    assert!(largest > 1.0, "{largest} arcmin");
}

#[test]
fn a_rod_lowers_its_ends_by_moment_over_tension() {
    // every line weightless here but for its rods: nylon's own weight is set to nothing
    let text = plain_scenario("fitted", "\"off\"", "\"off\"")
        .replace("gravity = 0", "gravity = 9.80665")
        .replace("material = \"nylon\"", "mass_per_length = 0")
        .replace("material = \"birch\"", "mass_per_length = \"10 g/m\"");
    let folder = Folder::new("sag");
    folder.write("plain.toml", &text);
    folder.write("one.toml", "[lines]\nd = { tension = \"2 N\" }\n");
    let sight = folder.json(&["see", "plain.toml", "--with", "one.toml", "--json"]);
    assert_eq!(sight["sag"], true);
    // line d carries rod c-d at 210 mm and rod d-e at 240 mm; directions are x/300, y/300
    let place = |x: f64, y: f64, z: f64| [x / 300.0 * z, y / 300.0 * z, z];
    let length_m = |p: [f64; 3], q: [f64; 3]| {
        (0..3)
            .map(|i| (p[i] - q[i]) * (p[i] - q[i]))
            .sum::<f64>()
            .sqrt()
            * 1e-3
    };
    let half_weight_n = |length_m: f64| 0.01 * length_m * 9.80665 / 2.0;
    let loads = [
        (
            60.0,
            half_weight_n(length_m(place(34.0, 18.0, 330.0), place(2.0, 41.0, 210.0))),
        ),
        (
            90.0,
            half_weight_n(length_m(place(2.0, 41.0, 240.0), place(-33.0, 16.0, 300.0))),
        ),
    ];
    for end in ends(&sight).iter().filter(|end| end.vertex == "d") {
        let s_mm = end.depth_mm - 150.0;
        let moment: f64 = loads
            .iter()
            .map(|(a, w)| {
                w * if s_mm < *a {
                    s_mm * (200.0 - a) / 200.0
                } else {
                    a * (200.0 - s_mm) / 200.0
                }
            })
            .sum();
        near(
            end.fixed[1],
            -moment / 2.0 / end.depth_mm / ARCMIN,
            ROUNDING_ARCMIN,
            &end.rod,
        );
        near(end.fixed[0], 0.0, ROUNDING_ARCMIN, &end.rod);
    }
}

#[test]
fn behind_a_pinhole_moving_the_eye_parts_nothing() {
    let gap = |eye: &str| {
        let sight = see(
            "pinhole",
            &format!("[peephole]\ndiameter = \"0.02 mm\"\n[eye]\n{eye}"),
        );
        // so small a hole clips everything, but what is seen is still told
        assert_eq!(sight["outcome"], "clipped");
        sight["junctions"][0]["gap_arcmin"].as_f64().expect("a gap")
    };
    let still = gap("pupil = \"8 mm\"\n");
    let moved = gap("pupil = \"8 mm\"\noffset = [\"1 mm\", \"0.5 mm\"]\n");
    near(moved, still, 1e-4, "gap at a");
}

/// What `assess --json` says of the plain exhibit.
fn assess(test: &str, scenario: &str) -> Value {
    let folder = Folder::new(test);
    folder.write("plain.toml", scenario);
    folder.json(&["assess", "plain.toml", "--json", "--threads", "2"])
}

#[test]
fn scattered_holes_alone_have_the_closed_form_variance() {
    let results = assess(
        "variance",
        &plain_scenario(
            "fixed",
            "\"off\"",
            "{ form = \"normal\", sd = \"0.05 mm\" }",
        ),
    );
    let builds = results["run"]["builds"].as_f64().expect("a count");
    assert_eq!(builds, 20_000.0);
    let mut checked = 0;
    for rod in results["rods"].as_array().expect("rods") {
        for end in rod["ends"].as_array().expect("ends") {
            let z = end["depth_mm"].as_f64().expect("a depth");
            // two holes, each weighted by its distance from the other plate; the same in every direction across
            let weight = ((350.0 - z) / 200.0).hypot((z - 150.0) / 200.0);
            let expected = 0.05 * weight / z / ARCMIN;
            let found = end["monte_carlo_sd_arcmin"].as_f64().expect("a number");
            // standard error of a normal sample's standard deviation: sd/√(2n)
            near(
                found,
                expected,
                5.0 * expected / (2.0 * builds).sqrt(),
                "sd of a rod end",
            );
            let mean = end["monte_carlo_mean_arcmin"].as_f64().expect("a number");
            near(
                mean,
                0.0,
                5.0 * expected / builds.sqrt(),
                "mean of a rod end",
            );
            let first_order = end["first_order_sd_arcmin"].as_f64().expect("a number");
            near(
                first_order,
                expected,
                1e-6 * expected,
                "first-order sd of a rod end",
            );
            checked += 1;
        }
    }
    assert_eq!(checked, 14);
}

#[test]
fn the_first_order_estimate_agrees_for_small_errors_and_is_said_not_to_for_large_ones() {
    let disagreements = |results: &Value| {
        results["first_order"]["disagreements"]
            .as_array()
            .expect("a list")
            .len()
    };
    let small = assess(
        "small",
        &plain_scenario(
            "fitted",
            "{ form = \"normal\", sd = \"0.3 mm\" }",
            "{ form = \"normal\", sd = \"0.05 mm\" }",
        ),
    );
    assert_eq!(disagreements(&small), 0, "{}", small["first_order"]);
    // tilted plates: sin and cos are even about 0, so a first-order law misses what a large tilt does
    let large = plain_scenario("fitted", "\"off\"", "\"off\"")
        .replace(
            "tilt_x = \"off\"",
            "tilt_x = { form = \"uniform\", half_width = \"25 deg\" }",
        )
        .replace(
            "tilt_y = \"off\"",
            "tilt_y = { form = \"uniform\", half_width = \"25 deg\" }",
        );
    let large = assess("large", &large);
    assert!(disagreements(&large) > 0);
}
