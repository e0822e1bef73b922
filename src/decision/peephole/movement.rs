//! Free head movement: how far the eye may stand beside the station point, in every direction, before the figure goes.
//!
//! Pupil, acuity and eye relief are at their means; only the eye's place across the axis is moved, outwards in sixteen
//! directions. The builds are the first of the run, the same at every diameter.

use super::super::run_plan::RunPlan;
use crate::figure::{Family, Plan, Source};
use crate::geometry::Point;
use crate::sampling::{BLOCK_BUILDS, Row};
use crate::statistics::interval_wilson_1927;
use crate::trial::{
    BuildRows, Built, Draws, LookRows, Marks, RunHooks, Sampler, VerdictRows, Witness,
};
use crate::vision::Apertures;
use std::f64::consts::PI;

/// Directions in which the eye is moved.
const DIRECTIONS: usize = 16;
/// First radius that is tried, as a share of the mean pupil; it is doubled until the figure goes.
const FIRST_OF_PUPIL: f64 = 1.0 / 64.0;
/// Steps from the station point to the first doubled radius at which the figure is gone, before halving.
const STEPS: usize = 16;
/// Halvings of the step in which the figure goes. The doubled radius is at most twice the answer (but for the very first),
/// so a radius is found to within 1/(8·2⁵) of itself, however wide the hole.
const HALVINGS: usize = 5;
/// Builds that are looked at.
const BUILDS: u64 = 256;

/// A radius with the interval of its share of builds.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Radius {
    /// At all smaller radii that were tried the share of builds is met, mm; `None` where it is not met at the station point itself.
    pub at_mm: Option<f64>,
    /// The same for the lower and the upper bound of the share, mm.
    pub interval_mm: [Option<f64>; 2],
}

/// How far the head may move.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct HeadMovement {
    /// Up to here the build without any error shows the whole figure, mm; `None` where it does not at the station point.
    pub shown_mm: Option<f64>,
    /// Up to here the share of builds that a look is to hold at show the whole figure and hold, mm.
    pub holds: Radius,
    /// Builds that were looked at for it.
    pub builds: u64,
}

/// How far the head may move behind the peephole of `plan`. `None` when interrupted.
pub fn head_movement(
    plan: &Plan,
    run: &RunPlan,
    interrupted: &std::sync::atomic::AtomicBool,
) -> Option<HeadMovement> {
    let hooks = RunHooks {
        interrupted,
        progress: &|_, _| {},
    };
    let builds = run.builds.min(BUILDS);
    let design = &plan.design;
    let pupil_mm = super::mean_of(plan, Source::Pupil);
    // twice the way on which a hole could light any of the pupil for an end on the axis
    let way_mm = [
        FIRST_OF_PUPIL * pupil_mm,
        design.peephole.diameter_mm + pupil_mm,
    ];
    let nominal = Nominal::of(plan);
    let shown_mm = nominal.as_ref().and_then(|nominal| {
        let shows = |radius_mm: f64| directions(radius_mm).all(|[x, y]| nominal.shows(plan, x, y));
        radius(way_mm, &mut |radius_mm| Some(shows(radius_mm)))?
    });
    let mut bench = Lookers::new(plan, run, builds);
    let share = design.judging.hold_share;
    // the three curves ask for much the same radii
    let mut known: Vec<(f64, u64)> = Vec::new();
    let mut at = |curve: usize| {
        let mut met = |radius_mm: f64| {
            let before = known.iter().find(|(mm, _)| *mm == radius_mm);
            let fewest = match before {
                Some((_, fewest)) => *fewest,
                None => {
                    let fewest = bench.fewest_that_hold(plan, radius_mm, &hooks)?;
                    known.push((radius_mm, fewest));
                    fewest
                }
            };
            let [low, high] = interval_wilson_1927(fewest, builds, run.level)?;
            let estimate = fewest as f64 / builds as f64;
            Some([low, estimate, high][curve] >= share)
        };
        radius(way_mm, &mut met)
    };
    let [low, estimate, high] = [at(0)?, at(1)?, at(2)?];
    Some(HeadMovement {
        shown_mm,
        holds: Radius {
            at_mm: estimate,
            // each curve has steps of its own
            interval_mm: [
                if low < estimate { low } else { estimate },
                if high > estimate { high } else { estimate },
            ],
        },
        builds,
    })
}

/// Largest radius up to which `met` says yes at all smaller radii that are tried: some of `way_mm` (first radius, whole way),
/// none, or nothing when it cannot be told.
#[allow(clippy::option_option)] // outside: interrupted; inside: not even at the station point
fn radius(
    [first_mm, whole_way_mm]: [f64; 2],
    met: &mut dyn FnMut(f64) -> Option<bool>,
) -> Option<Option<f64>> {
    if !met(0.0)? {
        return Some(None);
    }
    let mut beyond_mm = first_mm;
    while met(beyond_mm)? {
        if beyond_mm >= whole_way_mm {
            return Some(Some(beyond_mm));
        }
        beyond_mm *= 2.0;
    }
    let step_mm = beyond_mm / STEPS as f64;
    let mut low = 0.0;
    for nth in 1..=STEPS {
        let mut high = step_mm * nth as f64;
        if met(high)? {
            low = high;
            continue;
        }
        for _ in 0..HALVINGS {
            let middle = f64::midpoint(low, high);
            if met(middle)? {
                low = middle;
            } else {
                high = middle;
            }
        }
        break;
    }
    Some(Some(low))
}

/// The places of the eye at a radius, mm; the station point once.
fn directions(radius_mm: f64) -> impl Iterator<Item = [f64; 2]> {
    let count = if radius_mm > 0.0 { DIRECTIONS } else { 1 };
    (0..count).map(move |nth| {
        let (sine, cosine) = libm::sincos(2.0 * PI * nth as f64 / DIRECTIONS as f64);
        [radius_mm * cosine, radius_mm * sine]
    })
}

/// The build without any error, and the mean eye.
struct Nominal {
    points_mm: Vec<Point>,
    apertures: Apertures,
}

impl Nominal {
    fn of(plan: &Plan) -> Option<Self> {
        let mut built = Built::new(plan);
        built.set(plan, &plan.neutral_values(Family::Build)).ok()?;
        let look = plan.neutral_values(Family::Look);
        let eye_z_mm = look[plan.layout.start(Source::EyeRelief)];
        Some(Self {
            points_mm: built
                .ends_mm
                .iter()
                .chain(&built.middles_mm)
                .copied()
                .collect(),
            apertures: Apertures {
                pupil_mm: Point::new(0.0, 0.0, eye_z_mm),
                pupil_radius_mm: super::mean_of(plan, Source::Pupil) / 2.0,
                peephole_mm: built.peephole_mm,
                peephole_radius_mm: plan.design.peephole.diameter_mm / 2.0,
                focus_per_mm: 1.0 / plan.design.viewer.focus_mm,
            },
        })
    }

    fn shows(&self, plan: &Plan, x: f64, y: f64) -> bool {
        let mut apertures = self.apertures;
        apertures.pupil_mm = Point::new(x, y, apertures.pupil_mm.z);
        self.points_mm.iter().all(|point| {
            apertures
                .see(point)
                .is_some_and(|seen| seen.clear_share >= plan.design.peephole.clip_below)
        })
    }
}

/// Blocks of builds, and room for looks at them.
struct Lookers {
    blocks: Vec<(BuildRows, Marks)>,
    look: Vec<Row>,
    looks: LookRows,
}

/// Counts the builds at which a look shows the whole figure and holds.
struct Holds(u64);

impl Witness for Holds {
    #[inline(always)]
    fn look(&mut self, rows: &VerdictRows, counted: &Marks) {
        for (worst, counted) in rows.worst.iter().zip(counted) {
            self.0 += counted & u64::from(*worst <= 1.0);
        }
    }
}

impl Lookers {
    fn new(plan: &Plan, run: &RunPlan, builds: u64) -> Self {
        let mut draws = Draws::of_builds(plan);
        let sampler = Sampler::plain(run.seed);
        let blocks = (0..builds.div_ceil(BLOCK_BUILDS as u64))
            .map(|block| {
                draws.draw(plan, &sampler, 0, block);
                let mut rows = BuildRows::new(plan);
                rows.set(plan, &draws.rows);
                let left = builds - block * BLOCK_BUILDS as u64;
                let alive = rows.computable(left.min(BLOCK_BUILDS as u64) as usize);
                (rows, alive)
            })
            .collect();
        let mean = plan.mean_values(Family::Look);
        Self {
            blocks,
            look: mean.into_iter().map(Row::of).collect(),
            looks: LookRows::new(plan),
        }
    }

    /// Fewest builds that show the whole figure and hold, of all directions at this radius; `None` when interrupted.
    fn fewest_that_hold(
        &mut self,
        plan: &Plan,
        radius_mm: f64,
        hooks: &RunHooks<'_>,
    ) -> Option<u64> {
        let offset = plan.layout.start(Source::EyeOffset);
        let mut fewest = u64::MAX;
        for [x, y] in directions(radius_mm) {
            if hooks.is_interrupted() {
                return None;
            }
            self.look[offset] = Row::of(x);
            self.look[offset + 1] = Row::of(y);
            let mut holds = Holds(0);
            for (builds, alive) in &self.blocks {
                self.looks.take(plan, builds, &self.look, alive, &mut holds);
            }
            fewest = fewest.min(holds.0);
        }
        Some(fewest)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_radius_is_found_to_within_a_share_of_itself_however_long_the_way() {
        for edge_mm in [0.013, 0.4, 2.45, 37.0] {
            for whole_way_mm in [40.0, 194.0, 5004.0] {
                let found = radius([0.06, whole_way_mm], &mut |mm| Some(mm <= edge_mm));
                let at_mm = found.flatten().expect("met at the station point");
                let resolution_mm = f64::max(edge_mm / 250.0, 0.06 / 500.0);
                assert!(
                    at_mm <= edge_mm && edge_mm - at_mm <= resolution_mm,
                    "{edge_mm} of {whole_way_mm}: {at_mm}"
                );
            }
        }
        assert_eq!(radius([0.06, 5.0], &mut |_| Some(false)), Some(None));
        assert_eq!(radius([0.06, 5.0], &mut |_| None), None);
    }
}
