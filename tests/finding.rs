//! Whether a build fails, from builds of which everything is known: closed forms, single trials, and pictures made by the model.

#[path = "support/known_builds.rs"]
mod known_builds;
mod support;

use known_builds::{POSSIBLE, example, known, known_within, mean_build_with, run_of};
use sightdrift::decision::RunPlan;
use sightdrift::decision::diagnosis::{Finding, ReadingTold, Span, Why, finding};
use sightdrift::figure::{
    Bench, Family, Frame, Item, Measurand, Plan, Plate, Quantity, Reading, Source,
};
use sightdrift::geometry::Pair;
use sightdrift::sampling::{Stream, StreamKey, normal_quantile_wichura_1988};
use sightdrift::trial::{
    Built, Frames, Glance, LookOutcome, Measured, PictureFrame, Sampler, Viewed, fill_look, judge,
    shown,
};
use support::{close, plain_design, with_hooks};

fn found(plan: &Plan, bench: &Bench, why: &Why, run: &RunPlan) -> Finding {
    with_hooks(|hooks| finding(plan, bench, why, run, hooks)).expect("a finding")
}

/// Whether a build passes, and its looks that hold, are judged and are clipped: one trial after the other.
fn single_trials(plan: &Plan, run: &RunPlan, nth: u64, build: &[f64]) -> (bool, [u64; 3]) {
    let sampler = Sampler::plain(run.seed);
    let mut built = Built::new(plan);
    if built.set(plan, build).is_err() {
        return (false, [0; 3]);
    }
    let [mut held, mut judged, mut clipped] = [0_u64; 3];
    for look in 0..run.looks {
        let values = fill_look(plan, &sampler, nth, look);
        let glance = Glance::new(plan, &values, built.peephole_mm).expect("an eye");
        let (mut viewed, mut measured) = (Viewed::new(plan), Measured::new(plan));
        match judge(plan, &built, &glance, &mut viewed, &mut measured).expect("a verdict") {
            LookOutcome::Clipped => clipped += 1,
            LookOutcome::Judged(verdict) => {
                judged += 1;
                held += u64::from(verdict.holds());
            }
        }
    }
    let must_hold = plan.design.judging.hold_share * judged as f64 - 1e-9;
    (
        judged > 0 && held as f64 >= must_hold,
        [held, judged, clipped],
    )
}

#[test]
fn the_share_that_passes_is_that_of_single_trials_exactly() {
    let mut mixed = 0;
    for name in ["desk-boat", "carton-kite"] {
        let scenario = example(name);
        let (plan, run) = (&scenario.plan, run_of(&scenario));
        for off_mm in [0.0, 1.5, 2.0, 2.5, 3.5] {
            let fault = (Source::HoleScatter(Plate::Rear), 0, [off_mm, 0.0]);
            let why = known_within(plan, &[fault], 1.0);
            let (mut passed, mut looks) = (0, [0; 3]);
            for (nth, build) in (0..).zip(&why.possible) {
                let (passes, counts) = single_trials(plan, &run, nth, build);
                passed += u64::from(passes);
                (0..3).for_each(|k| looks[k] += counts[k]);
            }
            let found = found(plan, &Bench::default(), &why, &run);
            assert_eq!(found.passes.count, passed, "{name} {off_mm}");
            assert_eq!(found.passes.of, POSSIBLE as u64);
            let [held, judged, clipped] = looks.map(|count| count as f64);
            assert_eq!(found.held.counts(), Some([held, judged]));
            assert_eq!(found.clear.counts(), Some([judged, judged + clipped]));
            mixed += u64::from(passed > 0 && passed < POSSIBLE as u64);
        }
    }
    assert!(
        mixed >= 3,
        "only {mixed} of the cases had builds of both kinds"
    );
}

#[test]
fn a_hole_beside_its_mark_is_seen_as_the_closed_form_has_it() {
    let plan = Plan::new(plain_design(Frame::Fixed));
    let off_mm = Pair::new(0.7, -0.4);
    let [front_mm, rear_mm] = [0, 1].map(|side| plan.design.plates[side].z_mm);
    let run = run_of(&example("desk-boat"));
    for plate in Plate::BOTH {
        let fault = (Source::HoleScatter(plate), 1, [off_mm.x, off_mm.y]);
        let found = found(&plan, &Bench::default(), &known(&plan, &[fault]), &run);
        let moved = |end: usize| {
            let rod_end = plan.design.rods[end / 2].ends[end % 2];
            let (z_mm, span_mm) = (rod_end.depth_mm, rear_mm - front_mm);
            let share = match plate {
                Plate::Front => (rear_mm - z_mm) / span_mm,
                Plate::Rear => (z_mm - front_mm) / span_mm,
            };
            if rod_end.line == 1 {
                off_mm * share / z_mm
            } else {
                Pair::zeros()
            }
        };
        for item in &found.items {
            let expected = match item.item {
                Item::Rod(rod) => [2 * rod, 2 * rod + 1]
                    .map(|end| plan.edges[rod].square().dot(&moved(end)).abs())
                    .into_iter()
                    .fold(0.0, f64::max),
                Item::Junction(junction) => {
                    let ends = &plan.junctions[junction].ends;
                    let gaps = ends.iter().flat_map(|a| ends.iter().map(move |b| (a, b)));
                    gaps.map(|(a, b)| (moved(*a) - moved(*b)).norm())
                        .fold(0.0, f64::max)
                }
            };
            let span = item.seen_rad.expect("seen");
            close(span.median, expected, 1e-14, "seen");
            // the law of a plain design lets nothing vary, so all possible builds are one
            close(span.interval[0], span.interval[1], 1e-15, "the span");
            let over = u64::from(expected > item.limit_rad) * POSSIBLE as u64;
            assert_eq!([item.over.count, item.over.of], [over, POSSIBLE as u64]);
        }
    }
}

#[test]
fn a_build_that_cannot_be_computed_counts_as_one_that_fails_and_is_told() {
    let scenario = example("desk-boat");
    let plan = &scenario.plan;
    let mut why = known(plan, &[]);
    let whole = found(plan, &Bench::default(), &why, &run_of(&scenario));
    let tension = plan.layout.start(Source::HandTension);
    for build in &mut why.possible[..10] {
        build[tension] = 1e-4;
    }
    let found = found(plan, &Bench::default(), &why, &run_of(&scenario));
    assert_eq!([whole.not_computable, found.not_computable], [0, 10]);
    assert_eq!(found.passes.of, POSSIBLE as u64);
    assert!(found.passes.count + 10 <= whole.passes.count + whole.not_computable + 10);
    assert!(found.passes.count <= POSSIBLE as u64 - 10);
    assert_eq!(found.items[0].over.of, POSSIBLE as u64 - 10);
    // ten of two hundred are more than the upper 2.5 %
    assert_eq!(found.worst.interval[1], f64::INFINITY);
    assert!(found.worst.median.is_finite());
}

#[test]
fn a_relief_that_was_read_moves_the_visitors_eyes() {
    let scenario = example("desk-boat");
    let plan = &scenario.plan;
    let mut why = known(plan, &[]);
    let clear = |why: &Why| {
        let found = found(plan, &Bench::default(), why, &run_of(&scenario));
        found.clear.share().expect("looks")
    };
    let as_planned = clear(&why);
    // 40 mm farther off, a wandering eye no longer sees all through the hole
    why.look[plan.layout.start(Source::EyeRelief)] -= 40.0;
    assert_eq!(clear(&why), as_planned, "it was not read");
    why.relief_was_read = true;
    assert!(clear(&why) < as_planned - 0.1, "{as_planned}");
}

/// A picture through the peephole, some thousand pixels wide, of a build with a rod end tied far beside its line.
struct Pictured {
    plan: Plan,
    why: Why,
    bench: Bench,
}

fn pictured(frame: Frame, sd_px: f64) -> Pictured {
    let mut design = example("desk-boat").plan.design.clone();
    design.judging.frame = frame;
    let plan = Plan::new(design);
    let fault = (Source::RodTie, 5, [4.0, 3.0]);
    let mut why = known(&plan, &[fault]);
    let view = PictureFrame {
        shift: Pair::new(960.0, 640.0),
        turn_rad: 3.1,
        log_scale: 3000.0_f64.ln(),
        perspective: Pair::new(0.02, -0.01),
    };
    let frames = Frames {
        view,
        ..Frames::IDENTITY
    };
    why.explanations[0].frames = frames;
    let mut measurands: Vec<Measurand> = (0..plan.targets.len())
        .map(|end| Measurand::of_end(Quantity::SeenEnd, &plan.design, end))
        .collect();
    measurands.extend((0..plan.edges.len()).map(Measurand::of_middle));
    let build = mean_build_with(&plan, &[fault]);
    let look = plan.mean_values(Family::Look);
    let all = shown(
        &plan,
        &measurands,
        &Bench::default(),
        &build,
        &look,
        &frames,
    )
    .expect("a picture");
    let readings = measurands
        .iter()
        .zip(all.chunks(2))
        .map(|(of, seen)| Reading {
            of: *of,
            value: [seen[0].expect("seen"), seen[1].expect("seen")],
            sd: sd_px,
            place: String::new(),
            remark: None,
        })
        .collect();
    let bench = Bench {
        readings,
        ..Bench::default()
    };
    why.possible = vec![build; 4];
    Pictured { plan, why, bench }
}

impl Pictured {
    fn found(&self) -> Finding {
        found(
            &self.plan,
            &self.bench,
            &self.why,
            &run_of(&example("desk-boat")),
        )
    }
}

#[test]
fn a_picture_without_error_shows_what_the_eye_sees() {
    for frame in [Frame::Fixed, Frame::Fitted] {
        let found = pictured(frame, 1.0).found();
        let mut over = 0;
        for item in &found.items {
            let [pictured_rad, sd_rad] = item.pictured_rad.expect("all was read");
            let seen_rad = item.seen_rad.expect("seen").median;
            close(pictured_rad, seen_rad, 1e-11, "pictured");
            assert!(sd_rad > 0.0);
            over += u64::from(seen_rad > item.limit_rad);
        }
        assert!(over > 0, "nothing was off");
    }
}

#[test]
fn the_uncertainty_of_a_picture_is_that_of_its_readings() {
    const PICTURES: usize = 600;
    const SD_PX: f64 = 0.5;
    for frame in [Frame::Fixed, Frame::Fitted] {
        let mut pictured = pictured(frame, SD_PX);
        let clean = pictured.found();
        let read = pictured.bench.clone();
        // what hangs on the end that is off: elsewhere two ends are off alike, and the larger of two scatters less
        let items: Vec<usize> = (0..clean.items.len())
            .filter(|nth| match clean.items[*nth].item {
                Item::Rod(rod) => rod == 2,
                Item::Junction(junction) => pictured.plan.junctions[junction].ends.contains(&5),
            })
            .collect();
        assert_eq!(items.len(), 2);
        let mut sums = vec![[0.0; 2]; items.len()];
        let key = StreamKey {
            seed: 5,
            source: 1,
            item: 0,
            component: 0,
            look: 0,
        };
        let mut stream = Stream::new(key, 0);
        for _ in 0..PICTURES {
            for (reading, clean) in pictured.bench.readings.iter_mut().zip(&read.readings) {
                for (value, clean) in reading.value.iter_mut().zip(clean.value) {
                    *value = clean + SD_PX * normal_quantile_wichura_1988(stream.next_uniform());
                }
            }
            let found = pictured.found();
            for (sums, nth) in sums.iter_mut().zip(&items) {
                let off = found.items[*nth].pictured_rad.expect("read")[0]
                    - clean.items[*nth].pictured_rad.expect("read")[0];
                sums[0] += off;
                sums[1] += off * off;
            }
        }
        for ([sum, squares], nth) in sums.iter().zip(&items) {
            let n = PICTURES as f64;
            let sd = ((squares - sum * sum / n) / (n - 1.0)).sqrt();
            let told = clean.items[*nth].pictured_rad.expect("read")[1];
            // 5 standard errors of a standard deviation
            close(
                sd / told,
                1.0,
                5.0 / (2.0 * n).sqrt(),
                "standard deviation over told",
            );
        }
    }
}

#[test]
fn what_was_not_read_or_misread_is_left_out_of_the_picture() {
    let whole = pictured(Frame::Fitted, 1.0);
    let clean = whole.found();
    let mut missing = pictured(Frame::Fitted, 1.0);
    missing.bench.readings.remove(3);
    let mut misread = pictured(Frame::Fitted, 1.0);
    misread.bench.readings[3].value[0] += 300.0;
    let told = |fault_probability: f64| ReadingTold {
        expected: None,
        off: [0.0; 2],
        fault_probability,
    };
    misread.why.readings = vec![told(0.01); misread.bench.readings.len()];
    misread.why.readings[3] = told(0.99);
    let [missing, misread] = [missing.found(), misread.found()];
    assert_eq!(missing.items, misread.items);
    for (without, with) in missing.items.iter().zip(&clean.items) {
        let has_it = match without.item {
            Item::Rod(rod) => rod == 1,
            Item::Junction(junction) => whole.plan.junctions[junction].ends.contains(&3),
        };
        assert_eq!(without.pictured_rad.is_none(), has_it);
        if let (Some([without, _]), Some([with, _])) = (without.pictured_rad, with.pictured_rad) {
            // the fit is then that of the most probable build, which here is the true one
            close(without, with, 1e-11, "without one end");
        }
    }
}

#[test]
fn a_span_is_the_usual_quantiles() {
    // R 4: quantile(1:41, c(.025, .5, .975)) gives 2, 21, 40 (type 7, from memory)
    let values = (1..=41).rev().map(f64::from).collect();
    let span = Span::of(values).expect("values");
    close(span.median, 21.0, 1e-12, "median");
    close(span.interval[0], 2.0, 1e-12, "low");
    close(span.interval[1], 40.0, 1e-12, "high");
    assert_eq!(Span::of(Vec::new()), None);
    let infinite = Span::of(vec![1.0, f64::INFINITY, f64::INFINITY]).expect("values");
    assert_eq!(infinite.median, f64::INFINITY);
    assert!(!infinite.interval[0].is_nan());
}
