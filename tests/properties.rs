//! What must hold for every exhibit, not only for the tests' own: turned, mirrored, in another order, in other units, in another size;
//! and that more error is never less drift where a closed form says so. Exhibits are drawn by `proptest` from a fixed seed.

mod support;

use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use sightdrift::figure::{Design, Frame, Plate, RodEnd, Source};
use sightdrift::geometry::Pair;
use sightdrift::scenario::read_scenario;
use sightdrift::trial::{LookOutcome, Sampler, fill_build, fill_look};
use std::fmt::Write as _;
use support::{RODS, Values, lively_design, plain_design};

fn config() -> ProptestConfig {
    ProptestConfig {
        cases: 96,
        rng_seed: RngSeed::Fixed(0x5eed),
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

/// An exhibit's shape: directions of eight lines, both plates, where in between them each rod end hangs.
#[derive(Debug, Clone)]
struct Shape {
    directions: Vec<[f64; 2]>,
    plates_mm: [f64; 2],
    depths: Vec<[f64; 2]>,
    /// Numbers from -1 to 1 from which errors are made.
    errors: Vec<f64>,
}

fn shape() -> impl Strategy<Value = Shape> {
    // one line in each cell of a grid, so that no two are at one place
    let direction = |nth: usize| {
        let (column, row) = ((nth % 4) as f64, (nth / 4) as f64);
        (0.05..0.95, 0.05..0.95).prop_map(move |(x, y): (f64, f64)| {
            [-0.2 + 0.1 * (column + x), -0.15 + 0.15 * (row + y)]
        })
    };
    let directions: Vec<_> = (0..8).map(direction).collect();
    let depths = prop::collection::vec([0.05..0.95_f64, 0.05..0.95_f64], RODS.len());
    (
        directions,
        100.0..250.0_f64,
        100.0..500.0_f64,
        depths,
        prop::collection::vec(-1.0..1.0_f64, 200),
    )
        .prop_map(|(directions, front, between, depths, errors)| Shape {
            directions,
            plates_mm: [front, front + between],
            depths,
            errors,
        })
}

impl Shape {
    fn put_into(&self, mut design: Design) -> Design {
        for (vertex, [x, y]) in design.vertices.iter_mut().zip(&self.directions) {
            vertex.direction = Pair::new(*x, *y);
        }
        let [front, rear] = self.plates_mm;
        for (plate, z_mm) in design.plates.iter_mut().zip(self.plates_mm) {
            plate.z_mm = z_mm;
        }
        for (rod, shares) in design.rods.iter_mut().zip(&self.depths) {
            for (end, share) in rod.ends.iter_mut().zip(shares) {
                end.depth_mm = front + share * (rear - front);
            }
        }
        design.stock.depth_mm = self.plates_mm;
        design.viewer.focus_mm = f64::midpoint(front, rear);
        design
    }

    fn error(&self, nth: usize) -> f64 {
        self.errors[nth % self.errors.len()]
    }
}

/// The sizes of errors that have a direction across the axis, in mm (the bow: a share).
const ACROSS: [(Source, f64); 8] = [
    (Source::PatternShift(Plate::Front), 0.4),
    (Source::PatternShift(Plate::Rear), 0.4),
    (Source::HoleScatter(Plate::Front), 0.2),
    (Source::HoleScatter(Plate::Rear), 0.2),
    (Source::HoleSlack(Plate::Rear), 0.2),
    (Source::RodTie, 0.8),
    (Source::PeepholeShift, 0.4),
    (Source::EyeOffset, 0.8),
];

/// The exhibit with all errors of `shape` at work, with everything across the axis taken through `across` (`handed`: -1 of a mirror), all
/// lengths `scale` times as large, gravity to match.
fn made(
    shape: &Shape,
    across: &dyn Fn(Pair) -> Pair,
    handed: f64,
    tilts: f64,
    scale: f64,
) -> Values {
    let mut design = shape.put_into(lively_design(Frame::Fitted));
    for vertex in &mut design.vertices {
        vertex.direction = across(vertex.direction);
    }
    for plate in &mut design.plates {
        plate.centre_mm = across(Pair::new(3.0, -2.0)) * scale;
        plate.z_mm *= scale;
        plate.hole_mm *= scale;
    }
    // the sag of a line under weights per length grows with its length: with less pull it stays in proportion
    design.gravity.strength_m_per_s2 /= scale;
    design.gravity.down = across(Pair::new(0.6, -0.8));
    design.line.diameter_mm *= scale;
    design.peephole.diameter_mm *= scale;
    design.peephole.eye_relief_mm *= scale;
    design.viewer.focus_mm *= scale;
    for rod in &mut design.rods {
        rod.diameter_mm *= scale;
        for end in &mut rod.ends {
            end.depth_mm *= scale;
        }
    }
    design.stock.depth_mm = design.stock.depth_mm.map(|mm| mm * scale);
    let mut values = Values::none(design);
    let mut nth = 0;
    let mut next = || {
        nth += 1;
        shape.error(nth)
    };
    for (source, size) in ACROSS {
        for item in 0..source.items(&values.plan.design) {
            let drawn = Pair::new(next(), next()) * size * scale;
            let carried = across(drawn);
            values.set(source, item, &[carried.x, carried.y]);
        }
    }
    for rod in 0..RODS.len() {
        // along and deep: deep is the same from either side of a mirror
        let bow = [handed * 0.004 * next(), 0.004 * next()];
        values.set(Source::RodBow, rod, &bow);
    }
    for end in 0..2 * RODS.len() {
        values.set(Source::RodSlip, end, &[next() * scale]);
    }
    for plate in Plate::BOTH {
        values.set(Source::PatternTurn(plate), 0, &[handed * 0.01 * next()]);
        values.set(Source::PrintScale(plate), 0, &[0.01 * next()]);
        values.set(Source::SeatDepth(plate), 0, &[next() * scale]);
        values.set(Source::TiltX(plate), 0, &[tilts * 0.02 * next()]);
        values.set(Source::TiltY(plate), 0, &[tilts * handed * 0.02 * next()]);
    }
    values.set(Source::PeepholeDepth, 0, &[0.5 * next() * scale]);
    values.set(Source::EyeRelief, 0, &[next() * scale]);
    values.set(Source::Pupil, 0, &[(3.0 + next()) * scale]);
    values
}

/// Both are the same look, but for what `across` does to directions; `rods` says which rod of the second is which of the first.
fn same(
    before: &Values,
    after: &Values,
    across: &dyn Fn(Pair) -> Pair,
    rods: &[usize],
    allowed: f64,
) {
    let [old, new] = [before, after].map(|values| values.trial().expect("computable"));
    let near = |found: f64, expected: f64, what: &str| {
        assert!(
            (found - expected).abs() <= allowed,
            "{what} {found}, expected {expected}, allowed {allowed:e}"
        );
    };
    for (place, rod) in rods.iter().enumerate() {
        for which in 0..2 {
            let (a, b) = (2 * rod + which, 2 * place + which);
            let expected = across(old.deviation(&before.plan, a));
            let found = new.deviation(&after.plan, b);
            near(found.x, expected.x, "deviation to the right");
            near(found.y, expected.y, "deviation up");
        }
        near(
            new.measured.across_fitted_rad(place),
            old.measured.across_fitted_rad(*rod),
            "drift",
        );
        near(
            new.measured.across_fixed_rad(place),
            old.measured.across_fixed_rad(*rod),
            "drift in the fixed frame",
        );
    }
    for (a, b) in old.measured.gaps_rad.iter().zip(&new.measured.gaps_rad) {
        near(*b, *a, "gap");
    }
    let worst = |outcome| match outcome {
        LookOutcome::Judged(verdict) => verdict.worst_share,
        LookOutcome::Clipped => panic!("a peephole this wide clips nothing"),
    };
    let (a, b) = (worst(old.outcome), worst(new.outcome));
    assert!(
        (a - b).abs() <= 1e-7 * a.abs(),
        "share of the limit {b}, expected {a}"
    );
    assert!(a > 0.0);
}

const ALL: [usize; 9] = [0, 1, 2, 3, 4, 5, 6, 7, 8];

proptest! {
    #![proptest_config(config())]

    #[test]
    fn turning_any_exhibit_with_its_gravity_turns_what_is_seen(shape in shape(), angle in -3.2..3.2_f64) {
        let turn = |p: Pair| {
            let (s, c) = angle.sin_cos();
            Pair::new(c * p.x - s * p.y, s * p.x + c * p.y)
        };
        // tilts are about x and then y: they do not turn with the rest
        same(&made(&shape, &|p| p, 1.0, 0.0, 1.0), &made(&shape, &turn, 1.0, 0.0, 1.0), &turn, &ALL, 1e-11);
    }

    #[test]
    fn the_mirror_of_any_exhibit_shows_the_mirror_image(shape in shape()) {
        let mirror = |p: Pair| Pair::new(-p.x, p.y);
        same(&made(&shape, &|p| p, 1.0, 1.0, 1.0), &made(&shape, &mirror, -1.0, 1.0, 1.0), &mirror, &ALL, 1e-11);
    }

    #[test]
    fn an_exhibit_in_another_size_looks_the_same(shape in shape(), power in -3.0..3.0_f64) {
        let scale = 2_f64.powf(power);
        same(&made(&shape, &|p| p, 1.0, 1.0, 1.0), &made(&shape, &|p| p, 1.0, 1.0, scale), &|p| p, &ALL, 1e-11);
    }

    #[test]
    fn the_order_of_the_rods_is_no_matter(shape in shape(), order in Just(ALL.to_vec()).prop_shuffle()) {
        let before = made(&shape, &|p| p, 1.0, 1.0, 1.0);
        let mut design = before.plan.design.clone();
        design.rods = order.iter().map(|rod| before.plan.design.rods[*rod].clone()).collect();
        let mut after = Values::none(design);
        // all values but the rods' own stand where they stood
        after.build.clone_from(&before.build);
        after.look.clone_from(&before.look);
        let value = |source: Source, item: usize| {
            let at = before.plan.layout.start(source) + item * source.components();
            before.build[at..at + source.components()].to_vec()
        };
        for (place, rod) in order.iter().enumerate() {
            after.set(Source::RodBow, place, &value(Source::RodBow, *rod));
            for which in 0..2 {
                for source in [Source::RodTie, Source::RodSlip] {
                    after.set(source, 2 * place + which, &value(source, 2 * rod + which));
                }
            }
        }
        same(&before, &after, &|p| p, &order, 1e-11);
    }

    /// Model of the two apertures, limit of a wide peephole: only the eye's offset e, and each end is seen off by -e/z.
    #[test]
    fn more_eye_offset_is_never_less_gap(shape in shape(), towards in -3.2..3.2_f64, small in 0.01..0.5_f64, more in 1.0..4.0_f64) {
        let mut gaps = Vec::new();
        for offset in [small, small * more] {
            let mut values = Values::none(shape.put_into(plain_design(Frame::Fixed)));
            let e = Pair::new(towards.cos(), towards.sin()) * offset;
            values.set(Source::EyeOffset, 0, &[e.x, e.y]);
            let trial = values.trial().expect("computable");
            for end in 0..values.plan.targets.len() {
                let z = support::depth_mm(&values, end);
                let expected = e / -z;
                let found = trial.deviation(&values.plan, end);
                prop_assert!((found - expected).norm() < 1e-13, "{found} at {z}, expected {expected}");
            }
            gaps.push(trial.measured.gaps_rad.clone());
        }
        for (less, more) in gaps[0].iter().zip(&gaps[1]) {
            prop_assert!(more >= less, "{more} < {less}");
        }
    }

    /// A line through two holes: one hole off by d moves the point at depth z by d·(z − other)/(own − other).
    #[test]
    fn more_hole_scatter_is_never_less_drift(shape in shape(), which in 0..2_usize, line in 0..8_usize, off in 0.01..0.5_f64, more in 1.0..4.0_f64) {
        let plate = Plate::BOTH[which];
        let [own, other] = [shape.plates_mm[which], shape.plates_mm[1 - which]];
        let mut drifts = Vec::new();
        for error in [off, off * more] {
            let mut values = Values::none(shape.put_into(plain_design(Frame::Fixed)));
            values.set(Source::HoleScatter(plate), line, &[error, 0.0]);
            let trial = values.trial().expect("computable");
            for end in 0..values.plan.targets.len() {
                let z = support::depth_mm(&values, end);
                let hangs = support::line_of(&values, end) == line;
                let expected = if hangs { error * (z - other) / (own - other) / z } else { 0.0 };
                let found = trial.deviation(&values.plan, end);
                prop_assert!((found.x - expected).abs() < 1e-13 && found.y.abs() < 1e-13, "{found} at {z}, expected {expected}");
            }
            drifts.push((0..RODS.len()).map(|rod| trial.measured.across_fixed_rad(rod)).collect::<Vec<f64>>());
        }
        for (less, more) in drifts[0].iter().zip(&drifts[1]) {
            prop_assert!(more >= less, "{more} < {less}");
        }
    }

    /// Lengths in mm, cm, m, µm, inches or feet, angles in deg, rad, mrad or arcsec: the same exhibit and the same trial.
    #[test]
    fn units_are_no_matter(shape in shape(), lengths in prop::collection::vec(0..6_usize, 40), angles in prop::collection::vec(0..4_usize, 4), seed in 0..1000_u64) {
        let [plain, varied] = [false, true].map(|vary| {
            let mut nth = 0;
            let mut length = |mm: f64| {
                const UNITS: [(&str, f64); 6] = [("mm", 1.0), ("cm", 10.0), ("m", 1000.0), ("um", 1e-3), ("in", 25.4), ("ft", 304.8)];
                nth += 1;
                let (unit, factor) = if vary { UNITS[lengths[nth % lengths.len()]] } else { UNITS[0] };
                format!("\"{} {unit}\"", mm / factor)
            };
            let angle = |nth: usize, deg: f64| {
                let units = [("deg", 1.0), ("rad", 1_f64.to_radians()), ("mrad", 1000.0 * 1_f64.to_radians()), ("arcsec", 3600.0)];
                let (unit, factor) = units[if vary { angles[nth] } else { 0 }];
                format!("\"{} {unit}\"", deg * factor)
            };
            let text = written(&shape, &mut length, &angle);
            read_scenario("s.toml", &text, &|_| Err("no file".to_owned())).unwrap_or_else(|told| panic!("{told}\n{text}"))
        });
        let sampler = Sampler::plain(seed);
        let [a, b] = [&plain, &varied].map(|scenario| {
            let build = fill_build(&scenario.plan, &sampler, 3);
            let look = fill_look(&scenario.plan, &sampler, 3, 0);
            Values { plan: scenario.plan.clone(), build, look }
        });
        same(&a, &b, &|p| p, &ALL, 1e-11);
    }
}

/// The shape as a scenario's text, with every length and angle as it is given to be written.
fn written(
    shape: &Shape,
    length: &mut dyn FnMut(f64) -> String,
    angle: &dyn Fn(usize, f64) -> String,
) -> String {
    let [front, rear] = shape.plates_mm;
    let mut text = String::from("work = \"machine-cut\"\n");
    let _ = writeln!(
        text,
        "[figure]\nx_points = \"right\"\npicture_plane = {}\nvertices = [",
        length(300.0)
    );
    for (nth, [x, y]) in shape.directions.iter().enumerate() {
        let _ = writeln!(
            text,
            "{{ name = \"v{nth}\", x = {}, y = {} }},",
            length(300.0 * x),
            length(300.0 * y)
        );
    }
    let _ = writeln!(
        text,
        "]\n[cabinet]\nfront_plate = {}\nrear_plate = {}",
        length(front),
        length(rear)
    );
    let _ = writeln!(
        text,
        "front_hole = {}\nrear_hole = {}",
        length(0.6),
        length(0.7)
    );
    let _ = writeln!(
        text,
        "[peephole]\ndiameter = {}\neye_relief = {}",
        length(60.0),
        length(12.0)
    );
    let _ = writeln!(
        text,
        "[line]\nmaterial = \"nylon\"\ndiameter = {}\ntension = \"6 N\"",
        length(0.25)
    );
    let _ = writeln!(
        text,
        "[rods]\ndiameter = {}\nmaterial = \"birch\"\nlist = [",
        length(2.0)
    );
    for (rod, shares) in RODS.iter().zip(&shape.depths) {
        let [a, b] = rod.map(|(line, _)| line);
        let [near, far] = shares.map(|share| front + share * (rear - front));
        let _ = writeln!(
            text,
            "{{ lines = [\"v{a}\", \"v{b}\"], depths = [{}, {}] }},",
            length(near),
            length(far)
        );
    }
    let _ = writeln!(
        text,
        "]\n[errors.plates]\npattern_turn = {{ form = \"normal\", sd = {} }}",
        angle(0, 0.2)
    );
    let _ = writeln!(
        text,
        "tilt_x = {{ form = \"uniform\", mean = {}, half_width = {} }}",
        angle(1, 0.1),
        angle(2, 0.3)
    );
    let _ = writeln!(
        text,
        "hole_scatter = {{ form = \"disc\", radius = {} }}",
        length(0.2)
    );
    let _ = writeln!(
        text,
        "[errors.rod]\nslip = {{ form = \"triangular\", half_width = {} }}",
        length(0.8)
    );
    let _ = writeln!(text, "tie = {{ direction = {} }}", angle(3, 90.0));
    let _ = writeln!(
        text,
        "[eye]\npupil = {}\noffset = {{ form = \"normal\", sd = {} }}",
        length(3.0),
        length(0.5)
    );
    text
}

/// What the strategies draw is what they say: rods between the plates, no two lines at one place.
#[test]
fn drawn_exhibits_are_sound() {
    let mut runner = proptest::test_runner::TestRunner::new(config());
    runner
        .run(&shape(), |shape| {
            let design = shape.put_into(plain_design(Frame::Fixed));
            let [front, rear] = shape.plates_mm;
            let between = |end: &RodEnd| end.depth_mm > front && end.depth_mm < rear;
            prop_assert!(design.rods.iter().all(|rod| rod.ends.iter().all(between)));
            for (nth, one) in design.vertices.iter().enumerate() {
                for other in &design.vertices[..nth] {
                    prop_assert!((one.direction - other.direction).norm() > 0.005);
                }
            }
            Ok(())
        })
        .expect("sound");
}
