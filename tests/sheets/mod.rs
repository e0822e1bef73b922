//! Sheets of simulated builds: what the bench would read, with errors of reading, of a build with one fault or none.
#![allow(dead_code)] // each test file uses its own part

use sightdrift::figure::{
    Allowed, Bench, Family, Measurand, Perspective, Plan, Plate, Quantity, Reading, Source,
    all_measurands,
};
use sightdrift::geometry::Pair;
use sightdrift::sampling::{Stream, StreamKey, normal_quantile_wichura_1988};
use sightdrift::scenario::{BenchRead, read_bench, read_scenario};
use sightdrift::trial::{Frames, PictureFrame, Sampler, fill_build, fill_look, shown};
use std::f64::consts::{PI, TAU};

/// The shipped scenarios.
pub const SHIPPED: [&str; 4] = [
    "carton-kite",
    "desk-boat",
    "gallery-bridge",
    "slack-windmill",
];

/// The plan of a shipped scenario.
pub fn plan_of(name: &str) -> Plan {
    let no_files = |_: &str| Err("no file is named".to_owned());
    let text = super::binary::shipped(name);
    let scenario = read_scenario(name, &text, &no_files).expect("a shipped scenario");
    Plan::new(scenario.plan.design)
}

/// The bounds of a shipped scenario's layout.
pub fn allowed_of(name: &str) -> Option<Allowed> {
    let no_files = |_: &str| Err("no file is named".to_owned());
    let text = super::binary::shipped(name);
    let scenario = read_scenario(name, &text, &no_files).expect("a shipped scenario");
    scenario.allowed
}

/// What a sheet reads.
pub fn read(plan: &Plan, text: &str) -> BenchRead {
    read_bench(&[("b.csv".to_owned(), text.to_owned())], plan)
        .unwrap_or_else(|told| panic!("{told}"))
}

/// Chance for one sheet.
pub struct Chance(Stream);

impl Chance {
    /// Numbers that belong to `seed`.
    pub fn of(seed: u64) -> Self {
        let key = StreamKey {
            seed,
            source: 9001,
            item: 0,
            component: 0,
            look: 0,
        };
        Self(Stream::new(key, 0))
    }

    /// Uniform between two bounds.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.0.next_uniform()
    }

    /// Standard normal.
    pub fn normal(&mut self) -> f64 {
        normal_quantile_wichura_1988(self.0.next_uniform())
    }

    /// One of so many.
    pub fn below(&mut self, count: usize) -> usize {
        ((self.0.next_uniform() * count as f64) as usize).min(count - 1)
    }
}

/// Everything read of one simulated build: with `with_fault`, one piece of work three to six times its tolerance off.
pub fn sheet(plan: &Plan, seed: u64, with_fault: bool, with_perspective: bool) -> Bench {
    let mut chance = Chance::of(seed);
    let sampler = Sampler::plain(seed);
    let frames = frames(&mut chance, with_perspective);
    // a picture of a plate has some 8 px a mm, x to the right and y down
    let pictures = Frames {
        plates: frames.plates.map(|scan| PictureFrame {
            shift: scan.shift * 8.0,
            turn_rad: scan.turn_rad + PI,
            log_scale: 8_f64.ln(),
            ..scan
        }),
        ..frames
    };
    let mut bench = Bench {
        perspective: if with_perspective {
            Perspective::Askew
        } else {
            Perspective::Held
        },
        camera_pupil_mm: Some(2.0),
        ..Bench::default()
    };
    let measurands = all_measurands(plan);
    // a line that hangs loose is no build that can be measured: the next one then
    let mut tried = 0_u64..;
    let numbers = loop {
        let nth = tried.next().expect("builds without end");
        let mut build = fill_build(plan, &sampler, nth);
        let mut look = fill_look(plan, &sampler, nth, 0);
        if with_fault {
            put_off(plan, &mut build, &mut look, &mut chance);
        }
        let shown = |frames| shown(plan, &measurands, &bench, &build, &look, frames);
        if let (Ok(scanned), Ok(pictured)) = (shown(&frames), shown(&pictures)) {
            break pick_pictured(&measurands, scanned, pictured);
        }
    };
    let mut numbers = numbers.into_iter();
    for (nth, of) in measurands.into_iter().enumerate() {
        let mut exact = [0.0; 2];
        let mut is_seen = true;
        for component in exact.iter_mut().take(of.quantity.components()) {
            match numbers.next().flatten() {
                Some(number) => *component = number,
                None => is_seen = false,
            }
        }
        if !is_seen {
            continue;
        }
        let sd = of.quantity.usual_sd().of(exact[0]);
        let mut value = [0.0; 2];
        for component in 0..of.quantity.components() {
            value[component] = exact[component] + sd * chance.normal();
        }
        bench.readings.push(Reading {
            of,
            value,
            sd,
            place: format!("sheet.csv:{}", nth + 2),
            remark: None,
        });
    }
    bench
}

/// What is shown in pictures for holes in pictures, and what is shown in scans for all else.
fn pick_pictured(
    measurands: &[Measurand],
    scanned: Vec<Option<f64>>,
    pictured: Vec<Option<f64>>,
) -> Vec<Option<f64>> {
    let is_pictured = measurands.iter().flat_map(|of| {
        let pictured = matches!(of.quantity, Quantity::PicturedHole(_));
        std::iter::repeat_n(pictured, of.quantity.components())
    });
    is_pictured
        .zip(scanned.into_iter().zip(pictured))
        .map(|(is_pictured, (scanned, pictured))| if is_pictured { pictured } else { scanned })
        .collect()
}

/// A scan or a picture of each plate, and a picture through the peephole, laid as a person lays them.
fn frames(chance: &mut Chance, with_perspective: bool) -> Frames {
    let mut plate = |log_scale: f64, upright_rad: f64| PictureFrame {
        shift: Pair::new(chance.between(50.0, 200.0), chance.between(50.0, 200.0)),
        turn_rad: upright_rad + chance.between(-0.3, 0.3),
        log_scale,
        perspective: Pair::zeros(),
    };
    let plates = [plate(0.0, 0.0), plate(0.0, 0.0)];
    let mut view = plate(0.0, PI);
    view.shift *= 15.0;
    view.log_scale = chance.between(3000_f64.ln(), 7000_f64.ln());
    if with_perspective {
        view.perspective = Pair::new(chance.normal(), chance.normal()) * 0.05;
    }
    Frames { plates, view }
}

/// One item of one source three to six times its tolerance off its mean, in any direction.
fn put_off(plan: &Plan, build: &mut [f64], look: &mut [f64], chance: &mut Chance) {
    let sources: Vec<Source> = Source::ALL
        .into_iter()
        .filter(|source| !matches!(source, Source::Pupil | Source::Acuity))
        .filter(|source| plan.design.law(*source).uniforms() > 0)
        .collect();
    let source = sources[chance.below(sources.len())];
    let item = chance.below(source.items(&plan.design));
    let spread = plan.design.law(source).spread(item);
    let times = chance.between(3.0, 6.0);
    let angle = chance.between(0.0, TAU);
    let direction = match source.components() {
        1 => [angle.cos().signum(), 0.0],
        _ => [angle.cos(), angle.sin()],
    };
    let values = match source.family() {
        Family::Build => build,
        Family::Look => look,
    };
    let at = plan.layout.start(source) + item * source.components();
    for component in 0..source.components() {
        let (mean, sd) = (spread.mean[component], spread.sd[component]);
        let steps = times * direction[component];
        values[at + component] = if source.neutral() == 1.0 {
            mean * (steps * sd / mean).exp()
        } else {
            mean + steps * sd
        };
    }
}

/// Only these quantities of a sheet.
pub fn only(bench: &Bench, quantities: &[Quantity]) -> Bench {
    let mut bench = bench.clone();
    bench
        .readings
        .retain(|reading| quantities.contains(&reading.of.quantity));
    bench
}

/// Quantities of a place in the plane, of both plates and of the picture.
pub const PLACES: [Quantity; 7] = [
    Quantity::Hole(Plate::Front),
    Quantity::Hole(Plate::Rear),
    Quantity::ScannedHole(Plate::Front),
    Quantity::ScannedHole(Plate::Rear),
    Quantity::PicturedHole(Plate::Front),
    Quantity::PicturedHole(Plate::Rear),
    Quantity::SeenEnd,
];
