//! Faulty builds made up for tests: a build within its tolerances, a fault or two put in, and what a bench would read of it.

use sightdrift::decision::diagnosis::Suspect;
use sightdrift::figure::{
    Bench, Family, Measurand, Plan, Quantity, Reading, Source, all_measurands,
};
use sightdrift::geometry::Pair;
use sightdrift::sampling::{Stream, StreamKey, normal_quantile_wichura_1988};
use sightdrift::trial::{Frames, PictureFrame, Sampler, fill_build, fill_look, shown};

/// Numbers of one made-up case.
pub struct Chance(Stream);

impl Chance {
    pub fn new(case: u64) -> Self {
        let key = StreamKey {
            seed: 20_261,
            source: 9_001,
            item: 0,
            component: 0,
            look: 0,
        };
        Self(Stream::new(key, case))
    }

    pub fn uniform(&mut self) -> f64 {
        self.0.next_uniform()
    }

    pub fn normal(&mut self) -> f64 {
        normal_quantile_wichura_1988(self.uniform())
    }

    pub fn below(&mut self, count: usize) -> usize {
        ((self.uniform() * count as f64) as usize).min(count - 1)
    }
}

/// A fault that was put in.
#[derive(Debug, Clone)]
pub struct Fault {
    pub source: Source,
    pub item: usize,
    /// Its size in standard deviations of its tolerance.
    pub times: f64,
}

/// A faulty build, the camera that looks at it, and what is read.
pub struct Faulty {
    pub build: Vec<f64>,
    pub look: Vec<f64>,
    pub measurands: Vec<Measurand>,
    pub bench: Bench,
}

/// Sources in which a fault of some times the tolerance can be put: those that vary.
pub fn sources_with_tolerance(plan: &Plan) -> Vec<Source> {
    Source::ALL
        .into_iter()
        .filter(|source| !matches!(source, Source::Pupil | Source::Acuity))
        .filter(|source| plan.design.law(*source).spread(0).sd[0] > 0.0)
        .collect()
}

/// What a careful bench reads: holes, distances at the middle and at the corners, peephole, eye, tensions, depths, and the picture.
pub fn usual_measurands(plan: &Plan) -> Vec<Measurand> {
    all_measurands(plan)
        .into_iter()
        .filter(|measurand| {
            use sightdrift::figure::Plate::Front;
            matches!(
                measurand.quantity,
                Quantity::Hole(_)
                    | Quantity::Distance(_)
                    | Quantity::Peephole
                    | Quantity::EyeRelief
                    | Quantity::Tension
                    | Quantity::EndFrom(Front)
                    | Quantity::SeenEnd
            )
        })
        .collect()
}

/// All that, and where lines lie in their holes, how rods are tied, and the rods' middles in the picture.
pub fn full_measurands(plan: &Plan) -> Vec<Measurand> {
    let mut all = usual_measurands(plan);
    all.extend(all_measurands(plan).into_iter().filter(|measurand| {
        matches!(
            measurand.quantity,
            Quantity::LineInHole(_) | Quantity::Tie | Quantity::SeenMiddle
        )
    }));
    all
}

/// How the made-up pictures lie.
pub fn picture_frames(chance: &mut Chance) -> Frames {
    Frames {
        view: PictureFrame {
            shift: Pair::new(
                1200.0 + 100.0 * chance.normal(),
                900.0 + 100.0 * chance.normal(),
            ),
            turn_rad: std::f64::consts::PI + 0.05 * chance.normal(),
            log_scale: 8.0 + 0.1 * chance.normal(),
            ..PictureFrame::IDENTITY
        },
        ..Frames::IDENTITY
    }
}

/// Puts a fault of so many times its tolerance into a build or look; in a random direction where it has two components.
pub fn put(plan: &Plan, fault: &Fault, build: &mut [f64], look: &mut [f64], chance: &mut Chance) {
    let source = fault.source;
    let components = source.components();
    let at = plan.layout.start(source) + fault.item * components;
    let spread = plan.design.law(source).spread(fault.item);
    let values = match source.family() {
        Family::Build => build,
        Family::Look => look,
    };
    let sign = if chance.uniform() < 0.5 { -1.0 } else { 1.0 };
    if matches!(source, Source::HandTension | Source::Slackening) {
        let sd_log = (1.0 + (spread.sd[0] / spread.mean[0]).powi(2)).ln().sqrt();
        values[at] = spread.mean[0] * (sign * fault.times * sd_log).exp();
        return;
    }
    if components == 1 {
        values[at] = spread.mean[0] + sign * fault.times * spread.sd[0];
        return;
    }
    let towards = std::f64::consts::TAU * chance.uniform();
    values[at] = spread.mean[0] + fault.times * spread.sd[0] * towards.cos();
    values[at + 1] = spread.mean[1] + fault.times * spread.sd[1] * towards.sin();
}

/// Case number `case` with these faults; `None` where such a build cannot be computed or seen.
pub fn faulty(
    plan: &Plan,
    measurands: &[Measurand],
    faults: &[Fault],
    case: u64,
    chance: &mut Chance,
) -> Option<Faulty> {
    let sampler = Sampler::plain(777);
    let mut build = fill_build(plan, &sampler, case);
    let mut look = fill_look(plan, &sampler, case, 0);
    // the camera's pupil is that of the mean visitor, which a diagnosis takes it to be
    let mean_look = plan.mean_values(Family::Look);
    for source in [Source::Pupil, Source::Acuity] {
        let at = plan.layout.start(source);
        look[at] = mean_look[at];
    }
    for fault in faults {
        put(plan, fault, &mut build, &mut look, chance);
    }
    let frames = picture_frames(chance);
    let mut made = Faulty {
        build,
        look,
        measurands: measurands.to_vec(),
        bench: Bench::default(),
    };
    made.read_again(plan, &frames, chance).then_some(made)
}

/// A reading that stands in no file.
pub fn plain_reading(of: Measurand, value: [f64; 2], sd: f64) -> Reading {
    Reading {
        of,
        value,
        sd,
        place: "sheet.csv:2".into(),
        remark: None,
    }
}

impl Faulty {
    /// Reads everything anew, with errors of reading; what is not seen is not read. False where the build cannot be computed.
    pub fn read_again(&mut self, plan: &Plan, frames: &Frames, chance: &mut Chance) -> bool {
        let bench = Bench::default();
        let seen = shown(
            plan,
            &self.measurands,
            &bench,
            &self.build,
            &self.look,
            frames,
        );
        let Ok(seen) = seen else {
            return false;
        };
        let mut next = seen.into_iter();
        let mut readings = Vec::new();
        for of in &self.measurands {
            let components = of.quantity.components();
            let found: Vec<Option<f64>> = next.by_ref().take(components).collect();
            let sd = of.quantity.usual_sd().of(found[0].unwrap_or(1.0));
            let mut value = [0.0; 2];
            for (value, found) in value.iter_mut().zip(&found) {
                *value = found.unwrap_or(0.0) + sd * chance.normal();
            }
            if found.iter().all(Option::is_some) {
                readings.push(plain_reading(*of, value, sd));
            }
        }
        self.bench = Bench { readings, ..bench };
        true
    }

    /// What one more reading would be, without an error of reading.
    pub fn reading(&self, plan: &Plan, of: Measurand) -> Reading {
        let bench = Bench::default();
        let frames = Frames::IDENTITY;
        let seen = shown(plan, &[of], &bench, &self.build, &self.look, &frames).expect("computed");
        let mut value = [0.0; 2];
        for (value, seen) in value.iter_mut().zip(seen) {
            *value = seen.expect("seen");
        }
        plain_reading(of, value, of.quantity.usual_sd().of(value[0]))
    }
}

/// The suspect that a fault should be found as.
pub fn suspect_of(plan: &Plan, fault: &Fault) -> Suspect {
    let source = match fault.source {
        Source::Slackening if !plan.design.tension_is_shared() => Source::HandTension,
        source => source,
    };
    Suspect::item(source, fault.item)
}

/// The values that a fault has in the end, as a diagnosis tells them.
pub fn true_values(plan: &Plan, fault: &Fault, found: &Faulty) -> [f64; 2] {
    let source = fault.source;
    let components = source.components();
    let at = plan.layout.start(source) + fault.item * components;
    let values = match source.family() {
        Family::Build => &found.build,
        Family::Look => &found.look,
    };
    if matches!(source, Source::HandTension | Source::Slackening)
        && !plan.design.tension_is_shared()
    {
        let each = [Source::HandTension, Source::Slackening]
            .map(|source| found.build[plan.layout.start(source) + fault.item]);
        return [each[0] * each[1], 0.0];
    }
    [
        values[at],
        if components == 2 { values[at + 1] } else { 0.0 },
    ]
}
