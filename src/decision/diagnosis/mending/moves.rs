//! By how much a plate or the peephole is best moved: least squares of all drifts and gaps over their limits, as the eye at its
//! mean place sees the most probable build.
//!
//! Levenberg–Marquardt (D. Marquardt, J. SIAM 11 (1963) 431) with central differences of the full model, within the bounds of
//! what a seat lets be moved: a plate by at most a twentieth of its distance along the axis and 15 mm across, turned by at
//! most 2 degrees, no nearer than 5 mm to a rod end or 10 mm to the peephole; the peephole by at most 10 mm across and half of
//! its distance from the eye (all chosen). Of moves that mend as well the least is taken: each also costs a little by its size.

use super::correction::{Correction, Move, Places};
use crate::decision::first_order::{first_gap_output, pairs, signed_outputs};
use crate::figure::{Plan, Plate, Source};
use crate::geometry::Pair;
use crate::units::ARCMIN_RAD;
use nalgebra::{DMatrix, DVector};

/// Smallest shift that is a correction, mm: less no hand can set (common practice, no source).
const LEAST_SHIFT_MM: f64 = 0.1;
/// Smallest turn that is a correction, rad: two arcmin, and [`LEAST_SHIFT_MM`] at the outermost hole.
const LEAST_TURN_RAD: f64 = 2.0 * ARCMIN_RAD;
/// What is set is a whole number of tenths of a millimetre,
const STEPS_PER_MM: f64 = 10.0;
/// and of minutes of arc.
const STEPS_PER_RAD: f64 = 1.0 / ARCMIN_RAD;
/// A move that takes away less than this share of the squared faults is none (chosen).
const LEAST_GAIN: f64 = 0.05;
const ALONG_SHARE: f64 = 0.05;
const ACROSS_MM: f64 = 15.0;
const MOST_TURN_RAD: f64 = 6.0 * 60.0 * ARCMIN_RAD;
/// What a move costs beside the faults over their limits: per share of its plate's distance across (and turned, at the outermost
/// hole) and along (chosen: 1 mm in 500 weighs as a fiftieth and a hundredth of a limit).
const ACROSS_COST: f64 = 10.0;
const ALONG_COST: f64 = 5.0;
const CLEAR_OF_RODS_MM: f64 = 5.0;
const CLEAR_OF_PEEPHOLE_MM: f64 = 10.0;
const PEEPHOLE_ACROSS_MM: f64 = 10.0;
const PEEPHOLE_RELIEF_SHARE: f64 = 0.5;
/// Most rounds of the search.
const ROUNDS: usize = 40;

/// What may be moved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Movable {
    /// A plate, across (and turned) or along the axis, or both.
    Plate {
        /// Which.
        plate: Plate,
        /// Whether it is shifted and turned.
        across: bool,
        /// Whether it is moved along the axis.
        along: bool,
    },
    /// The peephole.
    Peephole,
}

impl Movable {
    /// Both plates in each way, and the peephole.
    pub fn all() -> Vec<Self> {
        let ways = [(true, false), (false, true), (true, true)];
        let plates = Plate::BOTH.into_iter().flat_map(|plate| {
            ways.map(|(across, along)| Self::Plate {
                plate,
                across,
                along,
            })
        });
        plates.chain([Self::Peephole]).collect()
    }

    /// Bounds of its numbers: shift x, shift y, turn, depth of a plate; shift x, shift y, depth of the peephole.
    fn bounds(self, plan: &Plan, base: &[f64]) -> Vec<[f64; 2]> {
        match self {
            Self::Plate {
                plate,
                across,
                along,
            } => {
                let open =
                    |is_open: bool, most: f64| if is_open { [-most, most] } else { [0.0; 2] };
                let along = if along {
                    depth_bounds_mm(plan, base, plate)
                } else {
                    [0.0; 2]
                };
                vec![
                    open(across, ACROSS_MM),
                    open(across, ACROSS_MM),
                    open(across, MOST_TURN_RAD),
                    along,
                ]
            }
            Self::Peephole => {
                let most = PEEPHOLE_RELIEF_SHARE * plan.design.peephole.eye_relief_mm;
                let across = [-PEEPHOLE_ACROSS_MM, PEEPHOLE_ACROSS_MM];
                vec![across, across, [-most, most]]
            }
        }
    }

    /// What each of its numbers costs beside the faults, per unit.
    fn costs(self, plan: &Plan) -> Vec<f64> {
        match self {
            Self::Plate { plate, .. } => {
                let z_mm = plan.design.plates[plate.index()].z_mm;
                let across = ACROSS_COST / z_mm;
                vec![
                    across,
                    across,
                    across * reach_mm(plan, plate),
                    ALONG_COST / z_mm,
                ]
            }
            Self::Peephole => vec![0.0; 3],
        }
    }

    /// The correction of these numbers, each a whole number of what a hand can set where `is_rounded`; `None` where nothing is
    /// left of it.
    fn correction(self, plan: &Plan, numbers: &[f64], is_rounded: bool) -> Option<Correction> {
        let step = |value: f64, per_unit: f64| {
            if is_rounded {
                libm::round(value * per_unit) / per_unit
            } else {
                value
            }
        };
        let shift = |x: f64, y: f64| {
            let shift_mm = Pair::new(step(x, STEPS_PER_MM), step(y, STEPS_PER_MM));
            if is_rounded && libm::hypot(x, y) < LEAST_SHIFT_MM {
                Pair::zeros()
            } else {
                shift_mm
            }
        };
        match self {
            Self::Plate { plate, .. } => {
                let reach_mm = reach_mm(plan, plate);
                let [x, y, turn, depth] = [0, 1, 2, 3].map(|nth| numbers[nth]);
                let is_too_little =
                    turn.abs() < LEAST_TURN_RAD || turn.abs() * reach_mm < LEAST_SHIFT_MM;
                let turn_rad = if is_rounded && is_too_little {
                    0.0
                } else {
                    step(turn, STEPS_PER_RAD)
                };
                let moved = Move {
                    plate,
                    shift_mm: shift(x, y),
                    turn_rad,
                    depth_mm: step(depth, STEPS_PER_MM),
                };
                let is_still = moved.shift_mm == Pair::zeros()
                    && moved.turn_rad == 0.0
                    && moved.depth_mm == 0.0;
                (!is_still).then_some(Correction::MovePlate(moved))
            }
            Self::Peephole => {
                let shift_mm = shift(numbers[0], numbers[1]);
                let depth_mm = step(numbers[2], STEPS_PER_MM);
                let is_still = shift_mm == Pair::zeros() && depth_mm == 0.0;
                (!is_still).then_some(Correction::MovePeephole(shift_mm, depth_mm))
            }
        }
    }
}

/// Distance of the outermost hole from its plate's centre, mm.
pub(super) fn reach_mm(plan: &Plan, plate: Plate) -> f64 {
    let centre_mm = plan.design.plates[plate.index()].centre_mm;
    let distances_mm = plan.holes_mm[plate.index()]
        .iter()
        .map(|hole| (hole - centre_mm).norm());
    distances_mm.fold(0.0, f64::max)
}

/// The peephole brought back to where the plan has it, in whole numbers of what a hand can set; `None` where it is there.
pub(super) fn peephole_brought_back(plan: &Plan, now: &[f64], mean: &[f64]) -> Option<Correction> {
    let places = Places { plan };
    let shift = places.of(Source::PeepholeShift, 0);
    let depth = places.of(Source::PeepholeDepth, 0).start;
    let off = |at: usize| mean[at] - now[at];
    let mut numbers = [off(shift.start), off(shift.start + 1), off(depth)];
    // beside what is far off, what is hardly off is left
    let most = numbers
        .iter()
        .fold(0.0_f64, |most, one| most.max(one.abs()));
    for number in &mut numbers {
        if number.abs() < 0.1 * most {
            *number = 0.0;
        }
    }
    Movable::Peephole.correction(plan, &numbers, true)
}

/// How far a plate may go along the axis, mm from where it is.
fn depth_bounds_mm(plan: &Plan, base: &[f64], plate: Plate) -> [f64; 2] {
    let places = Places { plan };
    let spec = plan.design.plates[plate.index()];
    let now_mm = spec.z_mm + base[places.of(Source::SeatDepth(plate), 0).start];
    let slip = places.of(Source::RodSlip, 0).start;
    let depths_mm = plan.design.depths_mm();
    let ends_mm = depths_mm
        .iter()
        .enumerate()
        .map(|(end, depth_mm)| depth_mm + base[slip + end]);
    let most_mm = ALONG_SHARE * spec.z_mm;
    match plate {
        Plate::Front => {
            let nearest_mm = ends_mm.fold(f64::INFINITY, f64::min);
            let peephole_mm = plan.design.peephole.eye_relief_mm
                + base[places.of(Source::PeepholeDepth, 0).start];
            let back_mm = peephole_mm + CLEAR_OF_PEEPHOLE_MM - now_mm;
            let on_mm = nearest_mm - CLEAR_OF_RODS_MM - now_mm;
            [back_mm.max(-most_mm).min(0.0), on_mm.min(most_mm).max(0.0)]
        }
        Plate::Rear => {
            let farthest_mm = ends_mm.fold(0.0, f64::max);
            let back_mm = farthest_mm + CLEAR_OF_RODS_MM - now_mm;
            [back_mm.max(-most_mm).min(0.0), most_mm]
        }
    }
}

/// A number of a move that takes away no more than this share of what the whole move does is left out: who sets it would work
/// for nothing (chosen).
const WORTH_A_NUMBER: f64 = 0.05;

/// Signed outputs over their limits, for the visitor of mean acuity; then what the moves cost.
struct Faults<'a> {
    plan: &'a Plan,
    look: &'a [f64],
    per_limit: Vec<f64>,
    movables: &'a [Movable],
    base: Vec<f64>,
    mean: &'a [f64],
}

impl Faults<'_> {
    fn at(&self, numbers: &[f64]) -> Option<Vec<f64>> {
        let mut values = self.base.clone();
        for correction in corrections(self.plan, self.movables, numbers, false) {
            correction.shift(self.plan, &mut values, self.mean, self.mean);
        }
        let mut faults = signed_outputs(self.plan, &values, self.look).ok()?;
        for (fault, per_limit) in faults.iter_mut().zip(&self.per_limit) {
            *fault *= per_limit;
        }
        let costs = self
            .movables
            .iter()
            .flat_map(|movable| movable.costs(self.plan));
        faults.extend(costs.zip(numbers).map(|(cost, number)| cost * number));
        Some(faults)
    }
}

fn corrections(
    plan: &Plan,
    movables: &[Movable],
    numbers: &[f64],
    is_rounded: bool,
) -> Vec<Correction> {
    let mut rest = numbers;
    let mut all = Vec::new();
    for movable in movables {
        let count = match movable {
            Movable::Plate { .. } => 4,
            Movable::Peephole => 3,
        };
        let (own, others) = rest.split_at(count);
        all.extend(movable.correction(plan, own, is_rounded));
        rest = others;
    }
    all
}

/// 1 over the limit of every signed output, 1/rad.
fn per_limit_of_outputs(plan: &Plan) -> Vec<f64> {
    let per_detail_rad = 1.0 / plan.typical_detail_rad();
    let of_rod = |rod: usize| plan.drift_limits[rod].per_rad(per_detail_rad);
    let mut all: Vec<f64> = (0..plan.targets.len()).map(|end| of_rod(end / 2)).collect();
    all.extend((0..plan.middle_count()).map(of_rod));
    debug_assert_eq!(all.len(), first_gap_output(plan));
    for (junction, limit) in plan.junctions.iter().zip(&plan.gap_limits) {
        let components = 2 * pairs(&junction.ends).count();
        all.extend(std::iter::repeat_n(
            limit.per_rad(per_detail_rad),
            components,
        ));
    }
    all
}

/// The best moves of `movables`, together, of the build `base` as `look` sees it, each a whole number of what a hand can set. `None`
/// where one of them is best left where it is, where they take away too little, or where not all is seen.
pub(super) fn best_moves(
    plan: &Plan,
    look: &[f64],
    base: Vec<f64>,
    mean: &[f64],
    movables: &[Movable],
) -> Option<Vec<Correction>> {
    let bounds: Vec<[f64; 2]> = movables
        .iter()
        .flat_map(|movable| movable.bounds(plan, &base))
        .collect();
    let mut base = base;
    let moves_along = |movable: &Movable| matches!(movable, Movable::Plate { along: true, .. });
    if movables.iter().any(moves_along) {
        for at in Correction::TightenAll.redone(plan) {
            base[at] = mean[at];
        }
    }
    let faults = Faults {
        plan,
        look,
        per_limit: per_limit_of_outputs(plan),
        movables,
        base,
        mean,
    };
    let (mut numbers, costs) = least_squares(&faults, &bounds)?;
    let gained = costs[0] - costs[1];
    let mut bounds = bounds;
    let mut lost = 0.0;
    for nth in 0..bounds.len() {
        if numbers[nth] == 0.0 {
            continue;
        }
        let kept = std::mem::replace(&mut bounds[nth], [0.0; 2]);
        match least_squares(&faults, &bounds) {
            Some((fewer, [_, cost])) if cost - costs[1] <= WORTH_A_NUMBER * gained + lost => {
                lost = (cost - costs[1]).max(0.0);
                numbers = fewer;
            }
            _ => bounds[nth] = kept,
        }
    }
    let found = corrections(plan, movables, &numbers, true);
    (gained > LEAST_GAIN * costs[0] && found.len() == movables.len()).then_some(found)
}

fn cost(faults: &[f64]) -> f64 {
    faults.iter().map(|fault| fault * fault).sum()
}

/// The numbers with the least sum of squares within `bounds`, with that sum before and after.
fn least_squares(faults: &Faults<'_>, bounds: &[[f64; 2]]) -> Option<(Vec<f64>, [f64; 2])> {
    let mut numbers = vec![0.0; bounds.len()];
    let mut now = faults.at(&numbers)?;
    let before = cost(&now);
    let mut damping = 1e-3;
    for _ in 0..ROUNDS {
        let slopes = slopes(faults, &numbers, bounds)?;
        let Some((next, next_faults)) =
            better(faults, bounds, &numbers, &now, &slopes, &mut damping)
        else {
            break;
        };
        let (old, new) = (cost(&now), cost(&next_faults));
        (numbers, now) = (next, next_faults);
        if old - new <= 1e-9 * old {
            break;
        }
    }
    Some((numbers, [before, cost(&now)]))
}

/// Central differences of every fault by every number that may change; empty for the others.
fn slopes(faults: &Faults<'_>, numbers: &[f64], bounds: &[[f64; 2]]) -> Option<Vec<Vec<f64>>> {
    let slope = |(nth, bounds): (usize, &[f64; 2])| {
        let width = bounds[1] - bounds[0];
        if !(width > 0.0) {
            return Some(Vec::new());
        }
        let step = 1e-5 * width;
        let at = |by: f64| {
            let mut moved = numbers.to_vec();
            moved[nth] += by;
            faults.at(&moved)
        };
        let (up, down) = (at(step)?, at(-step)?);
        let differences = up.iter().zip(&down);
        Some(
            differences
                .map(|(up, down)| (up - down) / (2.0 * step))
                .collect(),
        )
    };
    bounds.iter().enumerate().map(slope).collect()
}

/// A step that lowers the sum of squares, with more damping until one does; `None` when none does.
fn better(
    faults: &Faults<'_>,
    bounds: &[[f64; 2]],
    numbers: &[f64],
    now: &[f64],
    slopes: &[Vec<f64>],
    damping: &mut f64,
) -> Option<(Vec<f64>, Vec<f64>)> {
    const MOST_DAMPING: f64 = 1e8;
    // sums in a fixed order: a library's product of matrices may differ between machines
    let product = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
    let pull: Vec<f64> = slopes.iter().map(|slope| -product(slope, now)).collect();
    let is_at_bound = |nth: usize| {
        (numbers[nth] >= bounds[nth][1] && pull[nth] > 0.0)
            || (numbers[nth] <= bounds[nth][0] && pull[nth] < 0.0)
    };
    let free: Vec<usize> = (0..slopes.len())
        .filter(|nth| product(&slopes[*nth], &slopes[*nth]) > 1e-20 && !is_at_bound(*nth))
        .collect();
    if free.is_empty() {
        return None;
    }
    let old = cost(now);
    while *damping < MOST_DAMPING {
        let normal = DMatrix::from_fn(free.len(), free.len(), |row, column| {
            let entry = product(&slopes[free[row]], &slopes[free[column]]);
            if row == column {
                entry * (1.0 + *damping)
            } else {
                entry
            }
        });
        let right = DVector::from_iterator(free.len(), free.iter().map(|nth| pull[*nth]));
        if let Some(solver) = normal.cholesky() {
            let step = solver.solve(&right);
            let mut next = numbers.to_vec();
            for (nth, by) in free.iter().zip(step.iter()) {
                next[*nth] = (next[*nth] + by).clamp(bounds[*nth][0], bounds[*nth][1]);
            }
            if let Some(found) = faults.at(&next).filter(|found| cost(found) < old) {
                *damping = (*damping * 0.2).max(1e-9);
                return Some((next, found));
            }
        }
        *damping *= 5.0;
    }
    None
}
