//! A small exhibit that the tests take apart: eight lines, nine rods at varied depths, a wide peephole, no error at all.
#![allow(dead_code)] // each test file uses its own part

pub mod ways;

use sightdrift::figure::{
    Design, Family, Finish, Frame, Gravity, Judging, Law, Line, Peephole, Plan, Plate, PlateSpec,
    Rod, RodEnd, Source, Stock, Vertex, Viewer,
};
use sightdrift::geometry::Pair;
use sightdrift::sampling::Distribution;
use sightdrift::trial::{
    Built, Glance, LookOutcome, Measured, NotComputable, RunHooks, Viewed, judge,
};
use std::sync::atomic::AtomicBool;

pub mod bench_case;
pub mod dxf_pairs;
pub mod evaluations;
pub mod faulty;

/// Directions of the eight lines, tangents.
pub const DIRECTIONS: [[f64; 2]; 8] = [
    [-0.12, -0.07],
    [-0.03, -0.11],
    [0.08, -0.09],
    [0.13, 0.02],
    [0.06, 0.10],
    [-0.05, 0.12],
    [-0.11, 0.04],
    [0.01, 0.03],
];

/// Rods: two lines and the depth on each, mm.
pub const RODS: [[(usize, f64); 2]; 9] = [
    [(0, 210.0), (1, 330.0)],
    [(1, 190.0), (2, 255.0)],
    [(2, 345.0), (3, 240.0)],
    [(3, 200.0), (4, 310.0)],
    [(4, 270.0), (5, 225.0)],
    [(5, 335.0), (6, 195.0)],
    [(6, 290.0), (0, 350.0)],
    [(0, 245.0), (7, 300.0)],
    [(7, 205.0), (3, 320.0)],
];

/// Distance of the front and rear plate, mm.
pub const PLATES_MM: [f64; 2] = [160.0, 380.0];

/// The exhibit without any error, gravity off, judged in `frame`.
pub fn plain_design(frame: Frame) -> Design {
    let plate = |z_mm| PlateSpec {
        z_mm,
        centre_mm: Pair::zeros(),
        hole_mm: 0.8,
    };
    Design {
        vertices: DIRECTIONS
            .iter()
            .enumerate()
            .map(|(i, [u, v])| Vertex {
                name: format!("v{i}"),
                direction: Pair::new(*u, *v),
            })
            .collect(),
        plates: PLATES_MM.map(plate),
        peephole: Peephole {
            diameter_mm: 60.0,
            eye_relief_mm: 15.0,
            clip_below: 0.25,
            plate_mm: 0.0,
        },
        gravity: Gravity {
            strength_m_per_s2: 0.0,
            down: Pair::new(0.0, -1.0),
        },
        line: Line {
            material: None,
            diameter_mm: 0.2,
            mass_kg_per_m: 3.6e-5,
            tension_n: vec![4.0; DIRECTIONS.len()],
            threading: None,
            breaking_load_n: None,
        },
        rods: RODS
            .iter()
            .enumerate()
            .map(|(i, ends)| Rod {
                name: format!("r{i}"),
                ends: ends.map(|(line, depth_mm)| RodEnd { line, depth_mm }),
                diameter_mm: 3.0,
                mass_kg_per_m: 0.005,
            })
            .collect(),
        stock: Stock {
            length_mm: [10.0, 500.0],
            depth_mm: PLATES_MM,
        },
        viewer: Viewer {
            luminance_cd_per_m2: None,
            focus_mm: 270.0,
            focus_follows_rods: false,
            wavelength_mm: 555e-6,
        },
        judging: Judging {
            finish: Some(Finish::Clean),
            rule: Finish::Clean.rule(),
            frame,
            hold_share: 0.9,
            clear_share: 0.8,
            target_yield: 0.9,
        },
        laws: silent_laws(4.0),
    }
}

/// Laws under which nothing varies; the pupil is `pupil_mm` wide, the acuity is grade 1.
pub fn silent_laws(pupil_mm: f64) -> Vec<Law> {
    Source::ALL
        .into_iter()
        .map(|source| match source {
            Source::Pupil => Law::fixed(pupil_mm, 1),
            _ => Law::fixed(source.neutral(), source.components()),
        })
        .collect()
}

/// Sets the law of one source.
pub fn set_law(design: &mut Design, source: Source, law: Law) {
    design.laws[source.index()] = law;
}

/// Each component of `source` normal about its neutral value.
pub fn normal(source: Source, sd: f64) -> Law {
    let one = Distribution::Normal {
        mean: source.neutral(),
        sd,
    };
    Law::Each(vec![one; source.components()])
}

/// The exhibit with every source of error at work and gravity on: what a real scenario asks for.
pub fn lively_design(frame: Frame) -> Design {
    let mut design = plain_design(frame);
    design.gravity.strength_m_per_s2 = 9.80665;
    for plate in Plate::BOTH {
        set_law(
            &mut design,
            Source::PatternShift(plate),
            normal(Source::PatternShift(plate), 0.05),
        );
        set_law(
            &mut design,
            Source::HoleScatter(plate),
            normal(Source::HoleScatter(plate), 0.04),
        );
        set_law(
            &mut design,
            Source::HoleSlack(plate),
            Law::Ring(vec![0.05; DIRECTIONS.len()]),
        );
        set_law(
            &mut design,
            Source::TiltX(plate),
            normal(Source::TiltX(plate), 0.002),
        );
    }
    set_law(
        &mut design,
        Source::HandTension,
        Law::Each(vec![Distribution::Lognormal {
            median: 1.0,
            sd_log: 0.2,
        }]),
    );
    set_law(
        &mut design,
        Source::RodTie,
        Law::Ring(vec![0.3; 2 * RODS.len()]),
    );
    set_law(&mut design, Source::RodSlip, normal(Source::RodSlip, 0.5));
    set_law(&mut design, Source::RodBow, normal(Source::RodBow, 0.0005));
    set_law(
        &mut design,
        Source::EyeOffset,
        normal(Source::EyeOffset, 0.5),
    );
    set_law(
        &mut design,
        Source::EyeRelief,
        normal(Source::EyeRelief, 1.0),
    );
    set_law(
        &mut design,
        Source::Pupil,
        Law::Each(vec![Distribution::TruncatedNormal {
            mean: 3.5,
            sd: 0.7,
            half_width: 1.5,
        }]),
    );
    set_law(
        &mut design,
        Source::Acuity,
        Law::Each(vec![Distribution::Normal {
            mean: -0.05,
            sd: 0.1,
        }]),
    );
    design
}

/// One trial's values, by source.
pub struct Values {
    /// The plan whose layout the values follow.
    pub plan: Plan,
    /// Build values.
    pub build: Vec<f64>,
    /// Look values.
    pub look: Vec<f64>,
}

impl Values {
    /// No error.
    pub fn none(design: Design) -> Self {
        let plan = Plan::new(design);
        Self {
            build: plan.neutral_values(Family::Build),
            look: plan.neutral_values(Family::Look),
            plan,
        }
    }

    /// Sets item `item` of `source` to these components.
    pub fn set(&mut self, source: Source, item: usize, components: &[f64]) -> &mut Self {
        assert_eq!(components.len(), source.components(), "{source:?}");
        let at = self.plan.layout.start(source) + item * components.len();
        let family = match source.family() {
            Family::Build => &mut self.build,
            Family::Look => &mut self.look,
        };
        family[at..at + components.len()].copy_from_slice(components);
        self
    }

    /// Builds, looks and judges.
    pub fn trial(&self) -> Result<Trial, NotComputable> {
        let mut built = Built::new(&self.plan);
        built.set(&self.plan, &self.build)?;
        let glance = Glance::new(&self.plan, &self.look, built.peephole_mm)?;
        let mut viewed = Viewed::new(&self.plan);
        let mut measured = Measured::new(&self.plan);
        let outcome = judge(&self.plan, &built, &glance, &mut viewed, &mut measured)?;
        Ok(Trial {
            built,
            viewed,
            measured,
            outcome,
        })
    }
}

/// What one trial came to.
pub struct Trial {
    /// Where everything is.
    pub built: Built,
    /// What is seen.
    pub viewed: Viewed,
    /// What is measured of it; means nothing when the look was clipped.
    pub measured: Measured,
    /// The verdict.
    pub outcome: LookOutcome,
}

impl Trial {
    /// Deviation of rod end `end` in the fixed frame, tangents.
    pub fn deviation(&self, plan: &Plan, end: usize) -> Pair {
        self.viewed.ends[end] - plan.targets[end]
    }

    /// Deviation of rod end `end` in the fitted frame, tangents.
    pub fn fitted_deviation(&self, plan: &Plan, end: usize) -> Pair {
        let fit = self.measured.fit.expect("a judged look was fitted");
        fit.undo(self.viewed.ends[end]) - plan.targets[end]
    }
}

/// Runs `work` with hooks that never interrupt.
pub fn with_hooks<T>(work: impl FnOnce(&RunHooks<'_>) -> T) -> T {
    let interrupted = AtomicBool::new(false);
    work(&RunHooks {
        interrupted: &interrupted,
        progress: &|_, _| {},
    })
}

/// Rounding of directions of some 0.1 that went through lengths of some 400 mm.
pub const ROUNDING_RAD: f64 = 2e-15;

/// Fails with all four numbers when `found` is not within `allowed` of `expected`.
pub fn close(found: f64, expected: f64, allowed: f64, what: &str) {
    let difference = (found - expected).abs();
    assert!(
        difference <= allowed,
        "{what} {found}, expected {expected}, difference {difference:e}, allowed {allowed:e}"
    );
}

/// The same for both components.
pub fn close_pair(found: Pair, expected: Pair, allowed: f64, what: &str) {
    close(found.x, expected.x, allowed, &format!("{what}, x"));
    close(found.y, expected.y, allowed, &format!("{what}, y"));
}

/// Nominal depth of a rod end.
pub fn depth_mm(values: &Values, end: usize) -> f64 {
    values.plan.design.rods[end / 2].ends[end % 2].depth_mm
}

/// Line of a rod end.
pub fn line_of(values: &Values, end: usize) -> usize {
    values.plan.design.rods[end / 2].ends[end % 2].line
}

/// All rod ends.
pub fn ends(values: &Values) -> std::ops::Range<usize> {
    0..values.plan.targets.len()
}
