//! Which step of the work to tighten and which to loosen: reciprocal-cost allocation, its scale found by the engine.
//!
//! Assumed: tightening a step costs in proportion to 1/(its tolerance), so a step that costs B now costs B/f at f times its
//! present tolerance. Assumed for the shape only: near the target each step adds its share of the deciding fault's square by
//! itself, so that the closed form ([`least_cost_allocation`]) says how the steps should stand to each other. How large all of
//! them may be is not left to that: the scale is found by brief runs of the whole model, and proved by a fresh one.

use super::brief::{brief, fresh_run};
use super::headroom::Headroom;
use super::least_cost::{LeastCostError, Stack, least_cost_allocation};
use super::room::{Room, RoomEnd, Yields, room, scaled_design};
use super::run_plan::RunPlan;
use crate::figure::{Design, Plan, Source, Step};
use crate::statistics::{Proportion, student_bound_1908};
use crate::trial::RunHooks;

/// No step is loosened to more than this many times what it would be with all steps alike (chosen: shares are those at steps
/// alike, and say little farther away).
pub const MOST_TIMES_ALIKE: f64 = 4.0;

/// A step's share of what makes builds fail.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StepShare {
    /// The step.
    pub step: Step,
    /// Its share of the square (or variance) of the deciding fault.
    pub share: f64,
    /// Interval of that.
    pub interval: [f64; 2],
}

impl StepShare {
    /// Whether the share can be told from none.
    pub fn stands_out(&self) -> bool {
        self.interval[0] > 0.0
    }

    /// The share that is reckoned with: where it cannot be told from none, the most that it may be, so that a step is loosened
    /// only as far as the evidence goes. Never quite none.
    fn reckoned(&self) -> f64 {
        const LEAST: f64 = 1e-6;
        let share = if self.stands_out() {
            self.share
        } else {
            self.interval[1]
        };
        share.max(LEAST)
    }
}

/// One step's part of an allocation.
#[derive(Debug, Clone, PartialEq)]
pub struct AllocatedStep {
    /// The step.
    pub step: Step,
    /// Its sources that vary: their laws are scaled by the factor.
    pub sources: Vec<Source>,
    /// What it costs now, in the unit of the costs that were given.
    pub present_cost: f64,
    /// Its share of the deciding fault.
    pub share: StepShare,
    /// The factor on its tolerances.
    pub factor: f64,
    /// The factor at the two ends of the interval of the scale; `None` above for no upper end within reason.
    pub interval: [Option<f64>; 2],
    /// Whether the factor is held by its cap.
    pub at_cap: bool,
}

/// A least-cost allocation.
#[derive(Debug, Clone, PartialEq)]
pub struct Allocation {
    /// Steps that vary, in the order of the work.
    pub steps: Vec<AllocatedStep>,
    /// Whether any cost was given, or all were taken to be alike.
    pub costs_given: bool,
    /// Whether the shares were given, or estimated here.
    pub shares_given: bool,
    /// What the steps cost now.
    pub present_cost: f64,
    /// What they cost by this allocation.
    pub cost: f64,
    /// The factor of all steps alike at the same yield, and what that costs.
    pub alike: (f64, f64),
    /// The yield at this allocation, by the builds that chose it.
    pub yield_found: Proportion,
    /// The same at builds and looks of its own.
    pub proof: Proportion,
    /// The yield at steps alike, at the same builds and looks of its own.
    pub proof_alike: Proportion,
}

/// Why there is no allocation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum NoAllocation {
    /// The run was interrupted.
    Interrupted,
    /// Nothing in the work varies.
    NothingVaries,
    /// Not even perfect work meets the target: there is nothing to share out.
    EvenPerfectIsNotEnough,
    /// The target is met with all steps as loose as makes sense: nothing need be shared out.
    AllAsLooseAsMakesSense,
    /// No scale of this allocation meets the target.
    NoScale,
    /// The deciding fault cannot be told: too many builds never show the figure.
    NoShares,
    /// The costs or shares are no such numbers.
    BadInput(LeastCostError),
}

/// What each step of the work that varies adds to the square of the deciding fault: how much the square of the margin at the
/// target yield falls when that step is made perfect, as a share. Intervals by Student from batches of the builds. `None` when
/// interrupted, or when the margin is not finite. `run` is a brief run's.
pub fn step_shares(plan: &Plan, run: &RunPlan, hooks: &RunHooks<'_>) -> Option<Vec<StepShare>> {
    let target = plan.design.judging.target_yield;
    let squares = |plan: &Plan| -> Option<Vec<f64>> {
        let found = brief(plan, run, hooks)?;
        Some(squared_margins(&found.margins, target))
    };
    let as_is = squares(plan)?;
    let mut shares = Vec::new();
    for (step, sources) in varying_steps(&plan.design) {
        let without = squares(&Plan::new(plan.design.with_scaled(&sources, 0.0)))?;
        let lost: Vec<f64> = as_is
            .iter()
            .zip(&without)
            .map(|(as_is, without)| 1.0 - without / as_is)
            .collect();
        let [whole, batches @ ..] = &lost[..] else {
            return None;
        };
        let half = half_width(batches, run.level)?;
        if !(whole.is_finite() && half.is_finite()) {
            return None;
        }
        shares.push(StepShare {
            step,
            share: *whole,
            interval: [whole - half, whole + half],
        });
    }
    Some(shares)
}

/// Batches of the builds for the interval of a share.
const BATCHES: usize = 16;

/// The square of the margin at `share`: of all builds, then of each batch.
fn squared_margins(margins: &[f64], share: f64) -> Vec<f64> {
    let at = |margins: &[f64]| {
        let mut ordered = margins.to_vec();
        ordered.sort_by(f64::total_cmp);
        let nth = (share * ordered.len() as f64).ceil().max(1.0) as usize;
        let margin = ordered.get(nth - 1).copied().unwrap_or(f64::INFINITY);
        margin * margin
    };
    let batch = margins.len().div_ceil(BATCHES).max(1);
    std::iter::once(at(margins))
        .chain(margins.chunks(batch).map(at))
        .collect()
}

/// Half-width of the mean of `values` by Student; `None` with fewer than two.
fn half_width(values: &[f64], level: f64) -> Option<f64> {
    let n = values.len() as f64;
    let bound = student_bound_1908((values.len() as u64).checked_sub(1)?, level)?;
    let mean = values.iter().sum::<f64>() / n;
    let squares: f64 = values.iter().map(|one| (one - mean) * (one - mean)).sum();
    Some(bound * (squares / (n * (n - 1.0))).sqrt())
}

/// Steps of the work that vary, each with its sources that do.
fn varying_steps(design: &Design) -> Vec<(Step, Vec<Source>)> {
    Step::ALL
        .into_iter()
        .filter(|step| step.is_work())
        .filter_map(|step| {
            let mut sources = step.sources();
            sources.retain(|source| design.law(*source).uniforms() > 0);
            (!sources.is_empty()).then_some((step, sources))
        })
        .collect()
}

/// A step on its way to an allocation.
struct Part {
    step: Step,
    sources: Vec<Source>,
    cost: f64,
    share: StepShare,
    /// Factor at the scale 1, before the cap.
    shape: f64,
    cap: f64,
}

impl Part {
    fn factor(&self, scale: f64) -> f64 {
        (scale * self.shape).min(self.cap)
    }
}

/// The least-cost allocation at which the target is just met. `together` is the headroom of the same plan and run; `costs` says
/// what steps cost now (1 for those left out, all alike when empty); `shares`, when given, stand for those that
/// [`step_shares`] would estimate, and must name every step that varies.
///
/// # Errors
/// [`NoAllocation`] with the reason.
pub fn allocation(
    plan: &Plan,
    run: &RunPlan,
    together: &Headroom,
    costs: &[(Step, f64)],
    shares: Option<&[StepShare]>,
    hooks: &RunHooks<'_>,
) -> Result<Allocation, NoAllocation> {
    let alike = match together.room.end {
        _ if together.scaled.is_empty() => return Err(NoAllocation::NothingVaries),
        RoomEnd::At(factor) => factor,
        RoomEnd::BeyondLargest => return Err(NoAllocation::AllAsLooseAsMakesSense),
        RoomEnd::EvenNoneIsNotEnough => return Err(NoAllocation::EvenPerfectIsNotEnough),
    };
    let estimated;
    let known = match shares {
        Some(shares) => shares,
        None => {
            // where the target is just met with all steps alike: that is the yield to be kept
            let there = Plan::new(plan.design.with_scaled(&together.scaled, alike));
            estimated = step_shares(&there, run, hooks).ok_or(if hooks.is_interrupted() {
                NoAllocation::Interrupted
            } else {
                NoAllocation::NoShares
            })?;
            &estimated
        }
    };
    let parts = parts(&plan.design, alike, costs, known)?;
    let found = scale(plan, run, together, &parts, hooks)?;
    let RoomEnd::At(at) = found.end else {
        return Err(match found.end {
            RoomEnd::BeyondLargest => NoAllocation::AllAsLooseAsMakesSense,
            _ => NoAllocation::NoScale,
        });
    };
    let fresh = fresh_run(run);
    let prove = |scaled: &[(Vec<Source>, f64)]| {
        let there = Plan::new(scaled_design(plan, scaled));
        let found = brief(&there, &fresh, hooks).ok_or(NoAllocation::Interrupted)?;
        Ok(found.build_yield(&fresh))
    };
    let cost_at = |factor: &dyn Fn(&Part) -> f64| -> f64 {
        parts.iter().map(|part| part.cost / factor(part)).sum()
    };
    Ok(Allocation {
        costs_given: !costs.is_empty(),
        shares_given: shares.is_some(),
        present_cost: cost_at(&|_| 1.0),
        cost: cost_at(&|part| part.factor(at)),
        alike: (alike, cost_at(&|_| alike)),
        yield_found: found.yield_at_end,
        proof: prove(&scaled_parts(&parts, at))?,
        proof_alike: prove(&[(together.scaled.clone(), alike)])?,
        steps: parts
            .iter()
            .map(|part| AllocatedStep {
                step: part.step,
                sources: part.sources.clone(),
                present_cost: part.cost,
                share: part.share,
                factor: part.factor(at),
                interval: [
                    Some(part.factor(found.surely)),
                    found.possibly.map(|scale| part.factor(scale)),
                ],
                at_cap: part.factor(at) >= part.cap,
            })
            .collect(),
    })
}

/// The parts with their shapes, such that the scale 1 keeps what all steps at `alike` keep, by the shares.
fn parts(
    design: &Design,
    alike: f64,
    costs: &[(Step, f64)],
    shares: &[StepShare],
) -> Result<Vec<Part>, NoAllocation> {
    let mut parts = Vec::new();
    for (step, sources) in varying_steps(design) {
        let share = shares.iter().find(|share| share.step == step);
        let most = sources
            .iter()
            .filter_map(|source| design.largest_sensible_factor(*source))
            .fold(f64::INFINITY, f64::min);
        parts.push(Part {
            cost: costs
                .iter()
                .find(|(of, _)| *of == step)
                .map_or(1.0, |(_, cost)| *cost),
            share: *share.ok_or(NoAllocation::NoShares)?,
            shape: alike,
            // all alike must be among what is possible
            cap: (MOST_TIMES_ALIKE * alike).min(most).max(alike),
            step,
            sources,
        });
    }
    let given: Vec<f64> = parts.iter().map(|part| part.cost).collect();
    let reckoned: Vec<f64> = parts.iter().map(|part| part.share.reckoned()).collect();
    let sensitivities: Vec<f64> = reckoned.iter().map(|share| share.sqrt()).collect();
    let bound = reckoned.iter().sum::<f64>().sqrt();
    let best = least_cost_allocation(&given, &sensitivities, bound, 1.0, Stack::RootSumSquare)
        .map_err(NoAllocation::BadInput)?;
    for (part, times_alike) in parts.iter_mut().zip(best.tolerances) {
        part.shape *= times_alike;
    }
    Ok(parts)
}

fn scaled_parts(parts: &[Part], scale: f64) -> Vec<(Vec<Source>, f64)> {
    parts
        .iter()
        .map(|part| (part.sources.clone(), part.factor(scale)))
        .collect()
}

/// The scale of the parts at which the target is just met.
fn scale(
    plan: &Plan,
    run: &RunPlan,
    together: &Headroom,
    parts: &[Part],
    hooks: &RunHooks<'_>,
) -> Result<Room, NoAllocation> {
    let yields = Yields::new(plan, run, hooks).ok_or(NoAllocation::Interrupted)?;
    let mut at = |scale: f64| yields.scaled(&scaled_parts(parts, scale));
    let first = at(1.0).ok_or(NoAllocation::Interrupted)?;
    // beyond this all of them are at their caps
    let largest = parts
        .iter()
        .map(|part| part.cap / part.shape)
        .fold(1.0, f64::max);
    room(together.target_yield, first, largest, &mut at).ok_or(NoAllocation::Interrupted)
}
