//! Patterns, tiles, lengths and places for the workshop against closed forms.

mod binary;
mod sheets;

use sheets::{SHIPPED, plan_of};
use sightdrift::decision::workshop::{
    END_ALLOWANCE_MM, HolePattern, OUTLINE_MARGIN_MM, Paper, Rectangle, Tiling, cut_rods,
    line_need, nearest_tool, runs, threaded_runs, tied_ends, tiling,
};
use sightdrift::figure::{Plan, Plate};
use sightdrift::geometry::{Pair, Point};
use sightdrift::sampling::{Stream, StreamKey};

/// Uniform numbers between two bounds.
struct Chance(Stream);

impl Chance {
    fn new() -> Self {
        let key = StreamKey {
            seed: 5,
            source: 9003,
            item: 0,
            component: 0,
            look: 0,
        };
        Self(Stream::new(key, 0))
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.0.next_uniform()
    }
}

/// Every point of a fine grid over the whole lies on some tile.
fn assert_covered(whole: &Rectangle, found: &Tiling) {
    let size = whole.size_mm();
    for i in 0..=40 {
        for j in 0..=40 {
            let share = Pair::new(f64::from(i) / 40.0, f64::from(j) / 40.0);
            let at = whole.low + size.component_mul(&share);
            // the border itself is met to rounding
            let is_seen = |window: &Rectangle| window.grown(1e-9).holds(at);
            assert!(
                found.tiles.iter().any(|tile| is_seen(&tile.window_mm)),
                "{at:?} of {whole:?}"
            );
        }
    }
}

#[test]
fn tiles_of_random_patterns_cover_them_with_the_stated_overlap() {
    let mut chance = Chance::new();
    let mut several = 0;
    for _ in 0..200 {
        let low = [chance.between(-400.0, 100.0), chance.between(-400.0, 100.0)];
        let size = [chance.between(1.0, 900.0), chance.between(1.0, 900.0)];
        let whole = Rectangle::new(low, [low[0] + size[0], low[1] + size[1]]);
        let window = [chance.between(150.0, 250.0), chance.between(150.0, 250.0)];
        let hole_mm = chance.between(0.2, 20.0);
        let found = tiling(&whole, window, hole_mm, &[]).expect("not too many");
        assert!(found.overlap_mm >= 15.0 && found.overlap_mm >= hole_mm);
        assert_eq!(found.tiles.len(), found.columns * found.rows);
        assert_covered(&whole, &found);
        for (nth, tile) in found.tiles.iter().enumerate() {
            let size = tile.window_mm.size_mm();
            assert!((size - Pair::from(window)).norm() < 1e-9);
            if tile.column + 1 < found.columns {
                let next = &found.tiles[nth + 1];
                let overlap_mm = tile.window_mm.high.x - next.window_mm.low.x;
                assert!((overlap_mm - found.overlap_mm).abs() < 1e-9);
                several += 1;
            }
            if tile.row + 1 < found.rows {
                let under = &found.tiles[nth + found.columns];
                let overlap_mm = under.window_mm.high.y - tile.window_mm.low.y;
                assert!((overlap_mm - found.overlap_mm).abs() < 1e-9);
            }
        }
        // one column or row less would not do
        for (count, i) in [(found.columns, 0), (found.rows, 1)] {
            let fewer = (count - 1) as f64 * (window[i] - found.overlap_mm) + found.overlap_mm;
            assert!(
                count == 1 || fewer < size[i] + 1e-9,
                "{count} for {}",
                size[i]
            );
        }
    }
    assert!(several > 100, "{several}");
}

#[test]
fn every_register_mark_is_on_two_sheets_at_least_and_off_the_holes() {
    let whole = Rectangle::new([-300.0, -200.0], [310.0, 250.0]);
    let plain = tiling(&whole, [180.0, 220.0], 1.0, &[]).expect("fits");
    assert_eq!([plain.columns, plain.rows], [4, 3]);
    // a pair for each of 9 upright and 8 level overlaps
    assert_eq!(plain.marks.len(), 2 * (3 * 3 + 4 * 2));
    let holes: Vec<Pair> = plain.marks.iter().map(|mark| mark.at_mm).collect();
    let moved = tiling(&whole, [180.0, 220.0], 1.0, &holes).expect("fits");
    for (mark, hole) in moved.marks.iter().zip(&holes) {
        let seen = moved.tiles.iter();
        let seen = seen.filter(|tile| tile.window_mm.holds(mark.at_mm)).count();
        assert!(seen >= 2, "mark {} is on {seen} sheets", mark.number);
        assert!((mark.at_mm - hole).norm() > 10.0, "mark {}", mark.number);
    }
}

#[test]
fn patterns_are_those_of_the_plan_seen_from_the_peephole_and_not_mirrored() {
    for name in SHIPPED {
        let plan = plan_of(name);
        for plate in Plate::BOTH {
            let pattern = HolePattern::of(&plan, plate, None);
            let holes = &plan.holes_mm[plate.index()];
            assert_eq!(pattern.places_mm.len(), holes.len());
            for (place, hole) in pattern.places_mm.iter().zip(holes) {
                // +x points to the viewer's left
                assert_eq!([place.x, place.y], [0.0 - hole.x, hole.y], "{name}");
                let room = pattern.outline_mm.grown(-OUTLINE_MARGIN_MM);
                assert!(room.holds(*place), "{name}: {place:?}");
            }
        }
    }
    // the kite's vertices are drawn with x to the right: 24 mm at 12 in becomes 24·4/12 on the front plate
    let plan = plan_of("carton-kite");
    let front = HolePattern::of(&plan, Plate::Front, None);
    let line = |name: &str| {
        let vertices = &plan.design.vertices;
        vertices
            .iter()
            .position(|vertex| vertex.name == name)
            .expect("a line")
    };
    assert!((front.places_mm[line("right")] - Pair::new(8.0, 10.0 / 3.0)).norm() < 1e-9);
    assert!((front.places_mm[line("left")] - Pair::new(-8.0, 10.0 / 3.0)).norm() < 1e-9);
}

/// A hole in space.
fn hole(plan: &Plan, plate: Plate, line: usize) -> Point {
    let across = plan.holes_mm[plate.index()][line];
    Point::new(across.x, across.y, plan.design.plates[plate.index()].z_mm)
}

#[test]
fn rods_are_tied_at_their_true_distances_from_the_holes() {
    for name in SHIPPED {
        let plan = plan_of(name);
        let ends = tied_ends(&plan);
        assert_eq!(ends.len(), 2 * plan.design.rods.len());
        for tied in &ends {
            let end = plan.end_mm(2 * tied.rod + tied.end);
            let [front, rear] = Plate::BOTH.map(|plate| hole(&plan, plate, tied.line));
            for (found, expected) in [
                (tied.from_rear_along_line_mm, (end - rear).norm()),
                (tied.from_rear_along_axis_mm, rear.z - end.z),
                (tied.from_front_along_line_mm, (end - front).norm()),
                (tied.from_front_along_axis_mm, end.z - front.z),
                (
                    tied.from_rear_along_line_mm + tied.from_front_along_line_mm,
                    (rear - front).norm(),
                ),
            ] {
                assert!(
                    (found - expected).abs() < 1e-9,
                    "{name}: {found} {expected}"
                );
            }
        }
        assert!(ends.windows(2).all(|pair| {
            let key = |nth: usize| (pair[nth].line, pair[nth].from_rear_along_axis_mm);
            key(0) <= key(1)
        }));
        for cut in cut_rods(&plan) {
            let [a, b] = [0, 1].map(|end| plan.end_mm(2 * cut.rod + end));
            assert!((cut.between_lines_mm - (a - b).norm()).abs() < 1e-9);
            // 1/4 in at each end
            assert!((cut.cut_mm - cut.between_lines_mm - 12.7).abs() < 1e-12);
        }
        assert_eq!(END_ALLOWANCE_MM, 6.35);
    }
}

#[test]
fn the_line_that_is_needed_is_the_way_that_it_takes() {
    for name in SHIPPED {
        let plan = plan_of(name);
        let need = line_need(&plan);
        let count = plan.design.vertices.len();
        let between =
            |line: usize| (hole(&plan, Plate::Rear, line) - hole(&plan, Plate::Front, line)).norm();
        let straight: f64 = (0..count).map(between).sum();
        assert!((need.runs_mm - straight).abs() < 1e-9, "{name}");
        assert_eq!(runs(&plan).len(), count);
        let threaded = threaded_runs(&plan);
        let Some(threading) = &plan.design.line.threading else {
            assert!(threaded.is_empty());
            assert_eq!(need.anchors, 2 * count);
            // an empty sum of floats would be −0
            assert!(need.crossings_mm == 0.0 && need.crossings_mm.is_sign_positive());
            continue;
        };
        assert_eq!(need.anchors, 2);
        let lines: Vec<usize> = threaded.iter().map(|run| run.line).collect();
        assert_eq!(lines, threading.order);
        let mut over = 0.0;
        let mut plate = if threading.first_enters_front {
            Plate::Front
        } else {
            Plate::Rear
        };
        for (nth, run) in threaded.iter().enumerate() {
            assert_eq!(run.enters, plate, "{name}");
            plate = plate.other();
            if let Some(next) = lines.get(nth + 1) {
                let way = (hole(&plan, plate, *next) - hole(&plan, plate, run.line)).norm();
                assert!((run.crossing_mm.expect("a way on") - way).abs() < 1e-9);
                over += way;
            } else {
                assert_eq!(run.crossing_mm, None);
            }
        }
        assert!((need.crossings_mm - over).abs() < 1e-9, "{name}");
    }
}

#[test]
fn tools_are_the_nearest_and_pin_holes_have_none() {
    assert_eq!(nearest_tool(0.6), None);
    assert_eq!(nearest_tool(500.0), None);
    let six = nearest_tool(6.0).expect("a tool");
    assert_eq!(six.size, "6 mm");
    assert!((nearest_tool(1.02).expect("a tool").diameter_mm - 1.0).abs() < 1e-12);
}

#[test]
fn paper_is_found_by_its_name() {
    for paper in Paper::ALL {
        assert_eq!(Paper::named(paper.name()), Some(paper));
    }
    assert_eq!(Paper::named("A4"), None);
}
