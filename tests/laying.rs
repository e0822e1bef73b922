//! Layouts: every rule computed another way, a small case against a grid over all layouts, what is said to bound a choice, bad
//! bounds.

mod binary;
mod sheets;
mod support;

use binary::shipped;
use sheets::SHIPPED;
use sightdrift::decision::laying::{
    Aim, Laid, LaidOut, LayFailure, Rule, SIZE_WORTH, breaches, lay_out,
};
use sightdrift::decision::{RunPlan, Scatter, brief, brief_run};
use sightdrift::figure::{Allowed, Plan};
use sightdrift::geometry::Point;
use sightdrift::scenario::{Scenario, read_scenario};
use support::{close, with_hooks};

fn read(text: &str) -> Scenario {
    let no_files = |_: &str| Err("no file is named".to_owned());
    read_scenario("a.toml", text, &no_files).unwrap_or_else(|told| panic!("{told}"))
}

fn found(scenario: &Scenario, aim: Aim, builds: u64, looks: u64) -> Result<LaidOut, LayFailure> {
    let allowed = scenario.allowed.as_ref().expect("a table [allowed]");
    let run = RunPlan {
        looks,
        ..brief_run(&scenario.run, builds)
    };
    with_hooks(|hooks| lay_out(&scenario.plan, allowed, aim, &run, hooks))
}

/// Why there is no layout, in a few words.
fn told(why: &LayFailure) -> String {
    match why {
        LayFailure::Interrupted => "interrupted".to_owned(),
        LayFailure::NoneKeeps {
            nearest,
            broken,
            at_smallest,
        } => sightdrift::report::none_keeps_words(nearest, broken, at_smallest),
    }
}

/// Points along a segment, close enough together that no distance is missed by more than `fine_mm` / 2.
fn along(ends: [Point; 2], fine_mm: f64) -> Vec<Point> {
    let steps = ((ends[1] - ends[0]).norm() / fine_mm).ceil().max(1.0);
    (0..=steps as usize)
        .map(|nth| ends[0] + (ends[1] - ends[0]) * (nth as f64 / steps))
        .collect()
}

/// Least distance of a segment from another, by looking at points of the first and the exact distance of each from the second.
fn apart_mm(first: [Point; 2], second: [Point; 2]) -> f64 {
    let run = second[1] - second[0];
    let from_second = |point: &Point| {
        let share = ((point - second[0]).dot(&run) / run.norm_squared()).clamp(0.0, 1.0);
        (point - (second[0] + run * share)).norm()
    };
    let points = along(first, 0.02);
    points.iter().map(from_second).fold(f64::INFINITY, f64::min)
}

#[test]
fn what_is_laid_out_keeps_every_bound_when_it_is_computed_another_way() {
    for name in SHIPPED {
        let scenario = read(&shipped(name));
        let found = found(&scenario, Aim::Robustness, 256, 4)
            .unwrap_or_else(|why| panic!("{}", told(&why)));
        let allowed = &found.allowed;
        let design = &found.chosen.plan.design;
        let [front_mm, rear_mm] = design.plates.map(|plate| plate.z_mm);
        let face_mm = design.peephole.eye_relief_mm + design.peephole.plate_mm;
        assert!(front_mm - face_mm >= allowed.front_room_mm, "{name}");
        let wall_mm = face_mm + allowed.inside_mm[2];
        assert!(wall_mm - rear_mm >= allowed.rear_room_mm, "{name}");
        let window_mm = allowed.window_mm.unwrap_or((rear_mm - front_mm) / 2.0);
        let hole = |line: usize, z_mm: f64| {
            let at = design.vertices[line].direction * z_mm;
            Point::new(at.x, at.y, z_mm)
        };
        let lines = design.vertices.len();
        for line in 0..lines {
            let rear = hole(line, rear_mm);
            let room_mm = allowed.hole_to_wall_mm + design.plates[1].hole_mm / 2.0;
            // the viewer's left is +x
            assert!(allowed.axis_mm[0] - rear.x >= room_mm, "{name}");
            assert!(
                allowed.inside_mm[0] - allowed.axis_mm[0] + rear.x >= room_mm,
                "{name}"
            );
            assert!(allowed.axis_mm[1] + rear.y >= room_mm, "{name}");
            assert!(
                allowed.inside_mm[1] - allowed.axis_mm[1] - rear.y >= room_mm,
                "{name}"
            );
            assert!(rear.xy().norm() / rear_mm <= 15_f64.to_radians().tan());
            for other in line + 1..lines {
                let apart_mm = (hole(line, front_mm) - hole(other, front_mm)).norm();
                assert!(apart_mm >= allowed.holes_apart_mm[0], "{name}: {apart_mm}");
            }
        }
        // tied above its line, where the scenario says so, and on it otherwise
        let is_above = shipped(name).contains("tie = { direction = \"90 deg\" }");
        let rods: Vec<[Point; 2]> = design
            .rods
            .iter()
            .map(|rod| {
                let up_mm = (rod.diameter_mm + design.line.diameter_mm) / 2.0;
                let tie = Point::new(0.0, if is_above { up_mm } else { 0.0 }, 0.0);
                rod.ends.map(|end| hole(end.line, end.depth_mm) + tie)
            })
            .collect();
        for (a, first) in rods.iter().enumerate() {
            let thick_mm = design.rods[a].diameter_mm;
            for (b, second) in rods.iter().enumerate().skip(a + 1) {
                let need_mm = (thick_mm + design.rods[b].diameter_mm) / 2.0 + allowed.rod_gap_mm;
                assert!(apart_mm(*first, *second) >= need_mm - 1e-9, "{name}");
            }
            for line in 0..lines {
                if design.rods[a].ends.iter().all(|end| end.line != line) {
                    let run = [hole(line, front_mm), hole(line, rear_mm)];
                    let need_mm = (thick_mm + design.line.diameter_mm) / 2.0 + allowed.rod_gap_mm;
                    assert!(apart_mm(*first, run) >= need_mm - 1e-9, "{name}");
                }
            }
            for end in design.rods[a].ends {
                assert!(end.depth_mm - front_mm >= window_mm, "{name}");
                assert!(rear_mm - end.depth_mm >= allowed.rear_clear_mm, "{name}");
                assert!(end.depth_mm.fract().abs() < 1e-12, "whole millimetres");
            }
        }
        let scatter = Scatter::of(&found.chosen.plan);
        assert!(scatter.depth_spread_mm >= allowed.least_spread * allowed.inside_mm[2]);
        assert!(scatter.movement_mm() <= found.apart_within_mm * (1.0 + 1e-9));
        assert!(found.meets(), "{name}");
    }
}

#[test]
fn another_seed_finds_about_as_good_a_layout_and_scatter_costs_room_but_meets_the_target() {
    let scatter =
        |found: &LaidOut| found.chosen.scatter.depth_spread_mm / found.chosen.scatter.movement_mm();
    for (name, seeds) in [("carton-kite", 1..=2), ("slack-windmill", 1..=1)] {
        let mut margins = Vec::new();
        let mut scatters = Vec::new();
        for seed in seeds {
            let mut scenario = read(&shipped(name));
            scenario.run.seed = seed;
            let [robust, scattered] = [Aim::Robustness, Aim::Scatter].map(|aim| {
                found(&scenario, aim, 512, 8).unwrap_or_else(|why| panic!("{}", told(&why)))
            });
            assert!(scatter(&scattered) > scatter(&robust), "{name}");
            assert!(robust.chosen.margin < scattered.chosen.margin, "{name}");
            // with fresh numbers
            assert!(scattered.meets() && robust.meets(), "{name}");
            margins.push(robust.chosen.margin);
            scatters.push(scatter(&scattered));
        }
        margins.sort_by(f64::total_cmp);
        scatters.sort_by(f64::total_cmp);
        let [most, least] = [margins.len() - 1, 0];
        assert!(margins[most] < 1.2 * margins[least], "{name}: {margins:?}");
        assert!(
            scatters[most] < 2.0 * scatters[least],
            "{name}: {scatters:?}"
        );
    }
}

/// Three lines and two rods that meet, in a small cabinet.
const SMALL: &str = r#"
title = "Angle"
work = "hand-pierced"
[figure]
picture_plane = "300 mm"
x_points = "right"
vertices = [
  { name = "left",  x = "-30 mm", y = "-15 mm" },
  { name = "top",   x = "0 mm",   y = "25 mm" },
  { name = "right", x = "30 mm",  y = "-15 mm" },
]
[cabinet]
front_plate = "100 mm"
rear_plate = "300 mm"
[peephole]
diameter = "8 mm"
eye_relief = "12 mm"
[line]
material = "nylon"
diameter = "0.2 mm"
tension = "4 N"
[rods]
diameter = "3 mm"
material = "birch"
list = [
  { lines = ["left", "top"],  depths = ["210 mm", "230 mm"] },
  { lines = ["top", "right"], depths = ["260 mm", "220 mm"] },
]
[allowed]
width = "120 mm"
height = "110 mm"
depth = "320 mm"
eye_height = "55 mm"
smallest_figure = "10 deg"
largest_figure = "12 deg"
least_spread = 0.06
apart_within = "14 mm"
[judging]
finish = "clean"
[run]
seed = 3
"#;

#[test]
fn no_layout_of_a_grid_over_all_of_them_is_better_than_the_one_that_is_found() {
    let scenario = read(SMALL);
    let (builds, looks) = (96, 3);
    let found = found(&scenario, Aim::Robustness, builds, looks)
        .unwrap_or_else(|why| panic!("{}", told(&why)));
    let allowed = &found.allowed;
    let run = RunPlan {
        looks,
        ..brief_run(&scenario.run, builds)
    };
    let base = &scenario.plan.design;
    let target = base.judging.target_yield;
    let cost = |laid: &Laid| -> Option<f64> {
        let plan = Plan::new(laid.design(base, allowed));
        if !breaches(&plan, allowed, found.apart_within_mm).is_empty() {
            return None;
        }
        let counted = with_hooks(|hooks| brief(&plan, &run, hooks)).expect("not interrupted");
        if counted.clear.share()? < found.clear_share {
            return None;
        }
        let size = plan.figure_rad / allowed.figure_rad[1];
        Some(counted.margin_of_share(target)?.ln() - SIZE_WORTH * size.ln())
    };
    let chosen = cost(&found.chosen.laid).expect("the layout keeps all rules");
    let mut best = f64::INFINITY;
    let mut kept = 0;
    let step = |low: f64, high: f64, nth: usize, of: usize| {
        (low + (high - low) * nth as f64 / (of - 1) as f64).round()
    };
    for front in [37.0, 70.0, 110.0, 160.0] {
        for rear in [220.0, 262.0, 307.0] {
            for plane_mm in [290.0, 320.0, 345.0] {
                let [near, far] = allowed.hang_mm([front, rear]);
                for nth in 0..6_usize.pow(4) {
                    let depth =
                        |place: u32| step(near.ceil(), far, nth / 6_usize.pow(place) % 6, 6);
                    let laid = Laid {
                        plates_mm: [front, rear],
                        picture_plane_mm: plane_mm,
                        depths_mm: (0..4).map(depth).collect(),
                    };
                    if let Some(found) = cost(&laid) {
                        kept += 1;
                        best = best.min(found);
                    }
                }
            }
        }
    }
    assert!(
        kept > 1000,
        "the grid holds {kept} layouts that keep all rules"
    );
    assert!(chosen <= best, "found {chosen}, the grid's best {best}");
}

#[test]
fn what_is_said_to_be_in_the_way_is_and_nothing_is_before_it() {
    let scenario = read(SMALL);
    let found =
        found(&scenario, Aim::Robustness, 256, 4).unwrap_or_else(|why| panic!("{}", told(&why)));
    let allowed = &found.allowed;
    let base = &scenario.plan.design;
    let broken = |laid: &Laid| {
        let plan = Plan::new(laid.design(base, allowed));
        breaches(&plan, allowed, found.apart_within_mm)
    };
    assert_eq!(found.sides.len(), 3 + 4);
    let mut stopped = 0;
    for (choice, sides) in &found.sides {
        for (side, sign) in sides.iter().zip([-1.0, 1.0]) {
            let laid = &found.chosen.laid;
            let at = |by_mm: f64| laid.with(*choice, laid.value_mm(*choice) + sign * by_mm);
            assert!(broken(&at(side.free_mm)).is_empty());
            let next = broken(&at(side.free_mm + laid.step_mm(*choice)));
            assert_eq!(next, side.stops);
            stopped += usize::from(!next.is_empty());
        }
    }
    assert!(stopped > 7);
    // the same another way, for the rules that are a plain comparison
    let face_mm = base.peephole.eye_relief_mm + base.peephole.plate_mm;
    let mut compared = 0;
    for (choice, sides) in &found.sides {
        for (side, sign) in sides.iter().zip([-1.0, 1.0]) {
            let laid = &found.chosen.laid;
            let by_mm = sign * (side.free_mm + laid.step_mm(*choice));
            let next = laid.with(*choice, laid.value_mm(*choice) + by_mm);
            let [front_mm, rear_mm] = next.plates_mm;
            for stop in &side.stops {
                let is_broken = match stop.rule {
                    Rule::Window(end) => next.depths_mm[end] < f64::midpoint(front_mm, rear_mm),
                    Rule::Rear(end) => next.depths_mm[end] > rear_mm - 10.0,
                    Rule::RearRoom => rear_mm > face_mm + 320.0 - 25.0,
                    Rule::FrontRoom => front_mm < face_mm + 25.0,
                    Rule::Spread => {
                        let n = next.depths_mm.len() as f64;
                        let mean = next.depths_mm.iter().sum::<f64>() / n;
                        let squares: f64 = next.depths_mm.iter().map(|z| (z - mean).powi(2)).sum();
                        (squares / n).sqrt() < 0.06 * 320.0
                    }
                    _ => continue,
                };
                assert!(is_broken, "{choice:?} {:?}", stop.rule);
                compared += 1;
            }
        }
    }
    assert!(compared > 3, "{compared} plain rules were in the way");
}

#[test]
fn what_cannot_be_laid_out_is_told_by_name() {
    let failure = |text: &str| {
        let scenario = read(text);
        match found(&scenario, Aim::Robustness, 64, 2) {
            Err(why) => told(&why),
            Ok(_) => panic!("a layout was found"),
        }
    };
    // a vertex in the middle of another rod: its line runs through that rod at any depth
    let through = SMALL
        .replace(
            "x = \"30 mm\",  y = \"-15 mm\" },",
            "x = \"30 mm\",  y = \"-15 mm\" },\n  { name = \"middle\", x = \"-15 mm\", y = \"5 mm\" },",
        )
        .replace(
            "list = [",
            "list = [\n  { lines = [\"middle\", \"right\"], depths = [\"240 mm\", \"250 mm\"] },",
        );
    let told = failure(&through);
    assert!(
        told.contains("line middle would touch rod left-top"),
        "{told}"
    );
    assert!(
        told.contains("vertex middle lies on, or close by, rod left-top"),
        "{told}"
    );
    let small = SMALL.replace("width = \"120 mm\"", "width = \"30 mm\"");
    assert!(failure(&small).contains("at the wall at the visitor's"));
    let flat = SMALL.replace("depth = \"320 mm\"", "depth = \"60 mm\"");
    assert!(failure(&flat).contains("room"));
    let stock = SMALL.replace("[rods]", "[rods]\nlongest = \"12 mm\"");
    assert!(failure(&stock).contains("longest rod of the stock"));
}

#[test]
fn defaults_of_the_bounds_are_those_that_are_told_and_what_is_said_takes_their_place() {
    let scenario = read(SMALL);
    let allowed = scenario.allowed.expect("a table [allowed]");
    close(allowed.axis_mm[0], 60.0, 1e-12, "in the middle");
    close(allowed.axis_mm[1], 55.0, 1e-12, "above the floor");
    close(allowed.floor_mm(), 0.0, 1e-12, "floor");
    close(
        allowed.figure_rad[0],
        10_f64.to_radians(),
        1e-12,
        "smallest",
    );
    close(allowed.rod_gap_mm, Allowed::GAP_MM, 1e-12, "gap");
    // hand-pierced holes are wider than the line by the grade's clearance; three of them from middle to middle
    let hole_mm = scenario.plan.design.plates[0].hole_mm;
    close(
        allowed.holes_apart_mm[0],
        3.0 * hole_mm,
        1e-12,
        "holes apart",
    );
    // half of the way to the rear plate, and clear of it
    let [near, far] = allowed.hang_mm([100.0, 300.0]);
    close(near, 200.0, 1e-12, "near");
    close(far, 290.0, 1e-12, "far");
    let said = SMALL
        .replace("eye_height = \"55 mm\"", "eye_height = \"1455 mm\"\nstands_at = \"1.4 m\"\neye_from_left = \"50 mm\"\nwindow_clearance = \"30 mm\"\nrod_gap = \"2 mm\"\nholes_apart = \"4 mm\"")
        .replace("[rods]", "[rods]\nfarthest = \"280 mm\"");
    let allowed = read(&said).allowed.expect("a table [allowed]");
    close(allowed.axis_mm[0], 50.0, 1e-12, "from the left");
    close(allowed.axis_mm[1], 55.0, 1e-9, "above the floor");
    close(allowed.floor_mm(), 1400.0, 1e-9, "floor");
    close(allowed.rod_gap_mm, 2.0, 1e-12, "gap");
    close(allowed.holes_apart_mm[1], 4.0, 1e-12, "holes apart");
    let [near, far] = allowed.hang_mm([100.0, 300.0]);
    close(near, 130.0, 1e-12, "near");
    close(far, 280.0, 1e-12, "far");
    assert!(allowed.said.contains("farthest") && !allowed.said.contains("front_room"));
}
