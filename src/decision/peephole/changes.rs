//! What would open a range where there is none: one change at a time, the least of it that does, found by halving and proved
//! by a run of its own.

use super::super::brief::{brief_run, fresh_run};
use super::super::removal::Removal;
use super::super::run_plan::{Interrupted, RunPlan};
use super::Targets;
use super::models::{DiffractionLimit, EyeFigures, LightLimit};
use super::sweep::{Bench, Counted, diameters_mm};
use crate::figure::{Design, Plan};
use crate::statistics::interval_of_clustered_share;

/// Nearest eye relief that is tried, mm: nearer than that lashes touch the plate (common practice, no source).
const NEAREST_RELIEF_MM: f64 = 8.0;
/// The whole cabinet is set farther off by up to this many times the distance of its rear plate.
const FARTHEST_TIMES: f64 = 2.0;
/// Smallest figure that is tried, as a share of its size.
const SMALLEST_FIGURE: f64 = 0.25;
/// Largest figure that is tried.
const LARGEST_FIGURE: f64 = 2.0;
/// Lines may run no farther off the axis than this (tangent), as in any scenario.
const STEEPEST_TANGENT: f64 = 0.95;
/// Most builds of a search; the proof has as many as the sweep.
const SEARCH_BUILDS: u64 = 2048;
/// Every how manyth diameter of a sweep is searched.
const SEARCH_STRIDE: usize = 2;
/// Halvings: the least change is found to within 1/128 of the greatest that is tried.
const HALVINGS: usize = 7;
/// How often a change is made a twentieth greater where its proof falls short.
const RETRIES: usize = 4;

/// What is changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChangeKind {
    /// The eye nearer to the peephole.
    EyeRelief,
    /// Rod ends of the worst junctions drawn together towards their mean 1/z.
    DepthSpread,
    /// The whole cabinet farther off, the work itself as it is.
    Distance,
    /// A smaller figure at the same distance.
    SmallerFigure,
    /// A larger figure at the same distance.
    LargerFigure,
    /// A cause taken away.
    Without(Removal),
}

impl ChangeKind {
    /// Those of the design, then every cause.
    fn all() -> Vec<Self> {
        [
            Self::EyeRelief,
            Self::DepthSpread,
            Self::Distance,
            Self::SmallerFigure,
            Self::LargerFigure,
        ]
        .into_iter()
        .chain(Removal::ALL.map(Self::Without))
        .collect()
    }

    /// Its name in files.
    pub fn name(self) -> &'static str {
        match self {
            Self::EyeRelief => "eye-relief",
            Self::DepthSpread => "depth-spread",
            Self::Distance => "distance",
            Self::SmallerFigure => "smaller-figure",
            Self::LargerFigure => "larger-figure",
            Self::Without(_) => "without-a-cause",
        }
    }

    /// The design with the share `how_far` (0 to 1) of the greatest change that is tried; `None` where it cannot be made.
    pub fn applied(self, plan: &Plan, how_far: f64) -> Option<Design> {
        let design = &plan.design;
        match self {
            Self::EyeRelief => {
                let relief_mm = design.peephole.eye_relief_mm;
                (relief_mm > NEAREST_RELIEF_MM).then(|| {
                    let mut nearer = design.clone();
                    nearer.peephole.eye_relief_mm =
                        relief_mm + how_far * (NEAREST_RELIEF_MM - relief_mm);
                    nearer
                })
            }
            Self::DepthSpread => drawn_together(plan, how_far),
            Self::Distance => Some(set_back(
                design,
                how_far * FARTHEST_TIMES * design.plates[1].z_mm,
            )),
            Self::SmallerFigure => Some(resized(design, 1.0 - how_far * (1.0 - SMALLEST_FIGURE))),
            Self::LargerFigure => {
                let larger = resized(design, 1.0 + how_far * (LARGEST_FIGURE - 1.0));
                let tangents = larger.vertices.iter().map(|vertex| vertex.direction.norm());
                (tangents.fold(0.0, f64::max) < STEEPEST_TANGENT).then_some(larger)
            }
            Self::Without(removal) => removal.applied(design),
        }
    }

    /// The quantity that is changed: eye relief, largest difference of depth at a junction or distance of the front plate in mm,
    /// size of the figure as a share of what it was; nothing for a cause that is taken away.
    pub fn quantity(self, as_is: &Plan, design: &Design) -> Option<f64> {
        match self {
            Self::EyeRelief => Some(design.peephole.eye_relief_mm),
            Self::DepthSpread => {
                let depth = |end: usize| design.rods[end / 2].ends[end % 2].depth_mm;
                let spreads = as_is
                    .junctions
                    .iter()
                    .map(|junction| (depth(junction.widest[0]) - depth(junction.widest[1])).abs());
                spreads.reduce(f64::max)
            }
            Self::Distance => Some(design.plates[0].z_mm),
            Self::SmallerFigure | Self::LargerFigure => {
                let size = |design: &Design| {
                    let norms = design.vertices.iter().map(|vertex| vertex.direction.norm());
                    norms.fold(0.0, f64::max)
                };
                Some(size(design) / size(&as_is.design))
            }
            Self::Without(_) => None,
        }
    }
}

/// The numbers of a run at a change, at builds and looks that had no part in finding it.
#[derive(Debug, Clone, PartialEq)]
pub struct Proof {
    /// The peephole, mm.
    pub diameter_mm: f64,
    /// What it gives.
    pub counted: Counted,
    /// Whether the whole interval of every share meets its target; else the estimates at most do.
    pub is_sure: bool,
}

/// One change and whether it opens a range.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    /// What is changed.
    pub kind: ChangeKind,
    /// Its quantity as it is, at the least change that opens a range (else `None`), and at the greatest that was tried.
    pub as_is: Option<f64>,
    /// At the least change that opens a range.
    pub needed: Option<f64>,
    /// At the greatest that was tried.
    pub tried: Option<f64>,
    /// The proof, see [`Proof::is_sure`]; `None` where even the greatest change opens none.
    pub proof: Option<Proof>,
    /// Diameter at which the greatest change came nearest to both targets, and what it gives there; `None` where the proof stands.
    pub nearest: Option<Proof>,
}

/// What one search finds: the diameter at which both targets are met, or the one that comes nearest.
struct Search {
    opens: bool,
    diameter_mm: f64,
    counted: Counted,
}

/// Tries every change.
pub(super) fn changes(bench: &Bench<'_>, targets: &Targets) -> Result<Vec<Change>, Interrupted> {
    let search_run = brief_run(bench.run, bench.run.builds.min(SEARCH_BUILDS));
    let mut found = Vec::new();
    for kind in ChangeKind::all() {
        if let Some(greatest) = kind.applied(bench.plan, 1.0) {
            found.push(change(bench, targets, &search_run, kind, greatest)?);
        }
    }
    Ok(found)
}

fn change(
    bench: &Bench<'_>,
    targets: &Targets,
    search_run: &RunPlan,
    kind: ChangeKind,
    greatest: Design,
) -> Result<Change, Interrupted> {
    let plan = bench.plan;
    let tried = kind.quantity(plan, &greatest);
    let best = search(bench, targets, search_run, &Plan::new(greatest))?;
    let mut change = Change {
        kind,
        as_is: kind.quantity(plan, &plan.design),
        needed: None,
        tried,
        proof: None,
        nearest: None,
    };
    if !best.opens {
        change.nearest = Some(Proof {
            diameter_mm: best.diameter_mm,
            counted: best.counted,
            is_sure: false,
        });
        return Ok(change);
    }
    let (mut low, mut high) = (0.0, 1.0);
    if tried.is_some() {
        for _ in 0..HALVINGS {
            let middle = f64::midpoint(low, high);
            let opens = match kind.applied(plan, middle) {
                Some(design) => search(bench, targets, search_run, &Plan::new(design))?.opens,
                None => false,
            };
            if opens {
                high = middle;
            } else {
                low = middle;
            }
        }
    }
    prove(bench, targets, search_run, high, &mut change)?;
    Ok(change)
}

/// Proves a change by a run at other builds and looks: the whole interval of every share must meet its target. Makes the change
/// a little greater where that falls short; where it still does in the end, the greatest change that meets the targets by its
/// estimates is kept and marked as such.
///
/// The same fresh numbers serve every try. That is harmless while the shares rise with the change: to take the first try whose
/// lower bound meets the target is to cross the target with the curve of lower bounds, and that crosses too early only if its
/// one bound where the true share crosses is too high, with the chance of a single interval.
fn prove(
    bench: &Bench<'_>,
    targets: &Targets,
    search_run: &RunPlan,
    least: f64,
    change: &mut Change,
) -> Result<(), Interrupted> {
    let proof_run = brief_run(&fresh_run(bench.run), bench.run.builds);
    let mut how_far = least;
    for _ in 0..=RETRIES {
        let Some(design) = change.kind.applied(bench.plan, how_far) else {
            return Ok(());
        };
        let changed = Plan::new(design);
        let diameter_mm = search(bench, targets, search_run, &changed)?.diameter_mm;
        let counted = bench.with_hole(&changed, diameter_mm, &proof_run)?;
        let is_sure = is_surely_met(&counted, targets, proof_run.level);
        let is_estimated = is_met(&counted, targets);
        let proof = Proof {
            diameter_mm,
            counted,
            is_sure,
        };
        if is_estimated {
            change.needed = change.kind.quantity(bench.plan, &changed.design);
            change.proof = Some(proof);
            change.nearest = None;
        } else if change.proof.is_none() {
            change.nearest = Some(proof);
        }
        if is_sure || how_far >= 1.0 {
            return Ok(());
        }
        how_far = (how_far * 1.05).min(1.0);
    }
    Ok(())
}

fn is_met(counted: &Counted, targets: &Targets) -> bool {
    let at_least = |share: Option<f64>, target: f64| share.is_some_and(|share| share >= target);
    at_least(counted.build_yield.share(), targets.build_yield)
        && at_least(counted.clear.share(), targets.clear)
}

/// Whether the whole interval of every share meets its target.
fn is_surely_met(counted: &Counted, targets: &Targets, level: f64) -> bool {
    let at_least =
        |interval: Option<[f64; 2]>, target: f64| interval.is_some_and(|[low, _]| low >= target);
    let clear = interval_of_clustered_share(&counted.clear, level);
    at_least(counted.build_yield.interval(), targets.build_yield) && at_least(clear, targets.clear)
}

/// What is reached of the target that is missed most, 1 where none is.
fn nearness(counted: &Counted, targets: &Targets) -> f64 {
    let reached = |share: Option<f64>, target: f64| {
        let share = share.unwrap_or(0.0);
        if share >= target { 1.0 } else { share / target }
    };
    let builds = reached(counted.build_yield.share(), targets.build_yield);
    builds.min(reached(counted.clear.share(), targets.clear))
}

/// Looks over the diameters for one that meets all targets.
fn search(
    bench: &Bench<'_>,
    targets: &Targets,
    run: &RunPlan,
    plan: &Plan,
) -> Result<Search, Interrupted> {
    let eye = EyeFigures::of(plan);
    let diffraction_mm = DiffractionLimit::of(plan, &eye).smallest_mm;
    let light_mm = LightLimit::of(plan, &eye).and_then(|light| light.smallest_mm);
    let least_mm = diffraction_mm.max(light_mm.unwrap_or(0.0));
    let all = diameters_mm(plan, &eye, &[Some(diffraction_mm), light_mm]);
    let diameters_mm: Vec<f64> = all
        .into_iter()
        .filter(|mm| *mm >= least_mm)
        .step_by(SEARCH_STRIDE)
        .collect();
    let counted = bench.with_holes(plan, &diameters_mm, run)?;
    let found = diameters_mm
        .into_iter()
        .zip(counted)
        .map(|(diameter_mm, counted)| Search {
            opens: is_met(&counted, targets),
            diameter_mm,
            counted,
        });
    let found: Vec<Search> = found.collect();
    // no wider than is of use where that opens a range as well
    let is_useful = |one: &Search| one.diameter_mm <= eye.guides_until_mm;
    let found: Vec<Search> = if found.iter().any(|one| one.opens && is_useful(one))
        || !found.iter().any(|one| one.opens) && found.iter().any(is_useful)
    {
        found.into_iter().filter(is_useful).collect()
    } else {
        found
    };
    // of those that open a range the narrowest that is as good as the best, as far as chance tells; else the one that comes
    // nearest to both targets, and of several (where no build passes, all are as far) the one that shows the figure most
    let both = |one: &Search| one.counted.both_with_interval(run.level);
    let best = found
        .iter()
        .filter(|one| one.opens)
        .map(both)
        .reduce(|a, b| if b.0 > a.0 { b } else { a });
    let chosen = match best {
        Some((_, [least, _])) => found
            .into_iter()
            .find(|one| one.opens && both(one).0 >= least),
        None => {
            let clear = |one: &Search| one.counted.clear.share().unwrap_or(0.0);
            let near = |one: &Search| (nearness(&one.counted, targets), clear(one));
            found.into_iter().reduce(|a, b| {
                let (x, y) = (near(&a), near(&b));
                let is_nearer = y.0.total_cmp(&x.0).then(y.1.total_cmp(&x.1)).is_gt();
                if is_nearer { b } else { a }
            })
        }
    };
    // a sweep always reaches beyond what the models ask for
    chosen.ok_or(Interrupted)
}

/// The rod ends of the junctions that part most drawn together, in 1/z, until no junction parts more than what is left of the
/// worst one's parallax over its gap limit.
fn drawn_together(plan: &Plan, how_far: f64) -> Option<Design> {
    let detail_rad = plan.typical_detail_rad();
    let per_mm = |end: usize| 1.0 / plan.design.rods[end / 2].ends[end % 2].depth_mm;
    let parts = |junction: usize| {
        let [a, b] = plan.junctions[junction].widest;
        (per_mm(a) - per_mm(b)).abs() / plan.gap_limit_rad(junction, detail_rad)
    };
    let worst = (0..plan.junctions.len()).map(parts).reduce(f64::max)?;
    if !(worst > 0.0 && worst.is_finite()) {
        return None;
    }
    let most = (1.0 - how_far) * worst;
    let mut design = plan.design.clone();
    for (index, junction) in plan.junctions.iter().enumerate() {
        if parts(index) <= most {
            continue;
        }
        let kept = most / parts(index);
        let sum: f64 = junction.ends.iter().map(|end| per_mm(*end)).sum();
        let mean = sum / junction.ends.len() as f64;
        for end in &junction.ends {
            let drawn = mean + kept * (per_mm(*end) - mean);
            design.rods[end / 2].ends[end % 2].depth_mm = 1.0 / drawn;
        }
    }
    Some(design)
}

/// The same work seen from `by_mm` farther off: figure and cabinet keep their size, and every line points at the new station
/// point.
fn set_back(design: &Design, by_mm: f64) -> Design {
    let mut farther = design.clone();
    let ends = || design.rods.iter().flat_map(|rod| rod.ends);
    let per_mm: f64 = ends().map(|end| 1.0 / end.depth_mm).sum();
    let middle_mm = ends().count() as f64 / per_mm;
    let smaller = middle_mm / (middle_mm + by_mm);
    for vertex in &mut farther.vertices {
        vertex.direction *= smaller;
    }
    for plate in &mut farther.plates {
        plate.centre_mm *= smaller * (plate.z_mm + by_mm) / plate.z_mm;
        plate.z_mm += by_mm;
    }
    for end in farther.rods.iter_mut().flat_map(|rod| &mut rod.ends) {
        end.depth_mm += by_mm;
    }
    for depth_mm in &mut farther.stock.depth_mm {
        *depth_mm += by_mm;
    }
    farther.viewer.focus_mm += by_mm;
    farther
}

/// The same with every direction `times` as far off the axis.
fn resized(design: &Design, times: f64) -> Design {
    let mut other = design.clone();
    for vertex in &mut other.vertices {
        vertex.direction *= times;
    }
    for plate in &mut other.plates {
        plate.centre_mm *= times;
    }
    other
}
