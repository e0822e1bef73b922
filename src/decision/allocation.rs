//! Which step of the work to tighten and which to loosen: reciprocal-cost allocation, its scale found by the engine.
//!
//! Assumed: tightening a step costs in proportion to 1/(its tolerance), so a step that costs B now costs B/f at f times its
//! present tolerance. The closed form ([`least_cost_allocation`]) says how the steps should stand to each other if each adds its
//! share to the square of the deciding fault; near the target that holds roughly, far from it not at all (a bow that hides
//! behind other faults shows all of a sudden). So it is followed in short strides, from all steps alike: each stride takes the
//! shares where it starts, its scale is found by brief runs of the whole model so that the target is just met, and it is kept
//! only if the cost falls. What is best on the builds that chose it is flattered by them, so the last scale is found by other
//! builds, and proved by others again.

use super::brief::{brief, fresh_run};
use super::headroom::Headroom;
use super::least_cost::{LeastCostError, Stack, least_cost_allocation};
use super::room::{Found, RoomEnd, Yields, room, room_end, scaled_design};
use super::run_plan::RunPlan;
use crate::figure::{Design, Plan, Source, Step};
use crate::statistics::{Proportion, student_bound_1908};
use crate::trial::RunHooks;

/// No step is loosened to more than this many times what it would be with all steps alike (chosen: shares are those at steps
/// alike, and say little farther away).
pub const MOST_TIMES_ALIKE: f64 = 4.0;

/// Most strides, and how far the first goes at most: any step to twice or half of what it was (chosen: beyond that its share says
/// little).
const MOST_STRIDES: u32 = 4;
const LONGEST_STRIDE: f64 = 2.0;
/// A stride that saves less than this share of the cost is the last (chosen).
const WORTH_A_STRIDE: f64 = 0.01;

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
    /// Its share of the deciding fault with all steps alike.
    pub share: StepShare,
    /// The factor on its tolerances.
    pub factor: f64,
    /// The factor at the lower and, where there is one within reason, at the upper end of the interval of the scale.
    pub interval: (f64, Option<f64>),
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
    /// Whether the first shares were given, or estimated here.
    pub shares_given: bool,
    /// Strides taken from all steps alike; 0 where none was cheaper.
    pub strides: u32,
    /// What the steps cost now.
    pub present_cost: f64,
    /// What they cost by this allocation.
    pub cost: f64,
    /// The factor of all steps alike at the same yield, and what that costs.
    pub alike: (f64, f64),
    /// The yield at this allocation, by the builds that its scale was found with.
    pub yield_found: Proportion,
    /// The same at builds and looks of its own.
    pub proof: Proportion,
    /// The yield at steps alike, at the builds and looks of the proof.
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

/// Steps of the work that vary, each with its sources that may grow with the others.
fn varying_steps(design: &Design) -> Vec<(Step, Vec<Source>)> {
    Step::ALL
        .into_iter()
        .filter(|step| step.is_work())
        .filter_map(|step| {
            let mut sources = step.sources();
            sources.retain(|source| design.may_grow_with_others(*source));
            (!sources.is_empty()).then_some((step, sources))
        })
        .collect()
}

/// A step on its way to an allocation.
struct Part {
    step: Step,
    sources: Vec<Source>,
    cost: f64,
    cap: f64,
}

/// Factors of all parts at which the target is just met.
type Factors = Vec<f64>;

/// What an allocation is worked out with.
struct Search<'a> {
    parts: Vec<Part>,
    yields: Yields<'a>,
    plan: &'a Plan,
    run: &'a RunPlan,
    hooks: &'a RunHooks<'a>,
}

/// The least-cost allocation at which the target is just met. `together` is the headroom of the same plan and run; `costs` says
/// what steps cost now (1 for those left out, all alike when empty); `shares`, when given, stand for the first that
/// [`step_shares`] would estimate (at all steps alike), and must name every step that varies.
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
    let alike = factor_alike(together)?;
    let search = Search {
        parts: parts(&plan.design, alike, costs),
        yields: Yields::new(plan, run, hooks).ok_or(NoAllocation::Interrupted)?,
        plan,
        run,
        hooks,
    };
    let start = vec![alike; search.parts.len()];
    let first = match shares {
        Some(shares) => shares.to_vec(),
        None => search.shares(&start)?,
    };
    let (best, strides) = search.stride(start.clone(), &first)?;
    let (scaled_by, proved_by) = (fresh_run(run), fresh_run(&fresh_run(run)));
    let search = if strides == 0 {
        search
    } else {
        search.with_builds(&scaled_by)?
    };
    let as_is = search.found(&best, 1.0).ok_or(NoAllocation::Interrupted)?;
    let room = room(as_is, search.largest_scale(&best), &mut |scale| {
        search.found(&best, scale)
    })
    .ok_or(NoAllocation::Interrupted)?;
    let at = |scale: f64, nth: usize| search.factor(&best, scale, nth);
    let scale = match room.end {
        RoomEnd::At(scale) => scale,
        RoomEnd::BeyondLargest | RoomEnd::EvenNoneIsNotEnough => 1.0,
    };
    let found: Factors = (0..best.len()).map(|nth| at(scale, nth)).collect();
    Ok(Allocation {
        costs_given: !costs.is_empty(),
        shares_given: shares.is_some(),
        strides,
        present_cost: search.cost(&vec![1.0; best.len()]),
        cost: search.cost(&found),
        alike: (alike, search.cost(&start)),
        yield_found: room.yield_at_end,
        proof: search.prove(&found, &proved_by)?,
        proof_alike: search.prove(&start, &proved_by)?,
        steps: (0..found.len())
            .map(|nth| {
                let part = &search.parts[nth];
                Ok(AllocatedStep {
                    step: part.step,
                    sources: part.sources.clone(),
                    present_cost: part.cost,
                    share: share_of(part.step, &first).ok_or(NoAllocation::NoShares)?,
                    factor: found[nth],
                    interval: (
                        at(room.surely, nth),
                        room.possibly.map(|scale| at(scale, nth)),
                    ),
                    at_cap: found[nth] >= part.cap,
                })
            })
            .collect::<Result<_, _>>()?,
    })
}

/// The factor at which all steps alike just meet the target.
fn factor_alike(together: &Headroom) -> Result<f64, NoAllocation> {
    if together.scaled.is_empty() {
        return Err(NoAllocation::NothingVaries);
    }
    match together.room.end {
        RoomEnd::At(factor) => Ok(factor),
        RoomEnd::BeyondLargest => Err(NoAllocation::AllAsLooseAsMakesSense),
        RoomEnd::EvenNoneIsNotEnough => Err(NoAllocation::EvenPerfectIsNotEnough),
    }
}

fn parts(design: &Design, alike: f64, costs: &[(Step, f64)]) -> Vec<Part> {
    let cost_of = |step: Step| costs.iter().find(|(of, _)| *of == step);
    varying_steps(design)
        .into_iter()
        .map(|(step, sources)| {
            let most = sources
                .iter()
                .filter_map(|source| design.largest_sensible_factor(*source))
                .fold(f64::INFINITY, f64::min);
            Part {
                cost: cost_of(step).map_or(1.0, |(_, cost)| *cost),
                // all alike must be among what is possible
                cap: (MOST_TIMES_ALIKE * alike).min(most).max(alike),
                step,
                sources,
            }
        })
        .collect()
}

fn share_of(step: Step, shares: &[StepShare]) -> Option<StepShare> {
    shares.iter().find(|share| share.step == step).copied()
}

impl<'a> Search<'a> {
    /// Strides from `start`, where the shares are `shares`, and how many were worth it.
    fn stride(&self, start: Factors, shares: &[StepShare]) -> Result<(Factors, u32), NoAllocation> {
        let (mut best, mut strides) = (start, 0);
        let mut shares = shares.to_vec();
        let mut longest = LONGEST_STRIDE;
        for _ in 0..MOST_STRIDES {
            let wanted = self.wanted(&best, &shares, longest)?;
            let found = self.just_met(&wanted)?;
            let before = self.cost(&best);
            let saved = found
                .as_ref()
                .map_or(0.0, |found| 1.0 - self.cost(found) / before);
            if let Some(found) = found
                && saved > 0.0
            {
                best = found;
                strides += 1;
                if saved < WORTH_A_STRIDE {
                    break;
                }
                shares = self.shares(&best)?;
            } else {
                longest = longest.sqrt();
            }
        }
        Ok((best, strides))
    }

    /// Where the closed form would have the parts, as far as a stride goes.
    fn wanted(
        &self,
        from: &Factors,
        shares: &[StepShare],
        longest: f64,
    ) -> Result<Factors, NoAllocation> {
        let mut reckoned = Vec::with_capacity(from.len());
        for part in &self.parts {
            let share = share_of(part.step, shares).ok_or(NoAllocation::NoShares)?;
            reckoned.push(share.reckoned());
        }
        let priced = self.parts.iter().zip(from);
        let costs: Vec<f64> = priced.map(|(part, factor)| part.cost / factor).collect();
        let sensitivities: Vec<f64> = reckoned.iter().map(|share| share.sqrt()).collect();
        let bound = reckoned.iter().sum::<f64>().sqrt();
        let best = least_cost_allocation(&costs, &sensitivities, bound, 1.0, Stack::RootSumSquare)
            .map_err(NoAllocation::BadInput)?;
        Ok(from
            .iter()
            .zip(best.tolerances)
            .zip(&self.parts)
            .map(|((factor, times), part)| {
                (factor * times.clamp(1.0 / longest, longest)).min(part.cap)
            })
            .collect())
    }

    /// `wanted`, scaled so that the target is just met, or as loose as all caps let it; `None` where no scale meets it.
    fn just_met(&self, wanted: &Factors) -> Result<Option<Factors>, NoAllocation> {
        let largest = self.largest_scale(wanted);
        let as_is = self.found(wanted, 1.0).ok_or(NoAllocation::Interrupted)?;
        let end = room_end(as_is, largest, &mut |scale| self.found(wanted, scale))
            .ok_or(NoAllocation::Interrupted)?;
        let scale = match end {
            RoomEnd::At(scale) => scale,
            RoomEnd::BeyondLargest => largest,
            RoomEnd::EvenNoneIsNotEnough => return Ok(None),
        };
        let scaled = (0..wanted.len()).map(|nth| self.factor(wanted, scale, nth));
        Ok(Some(scaled.collect()))
    }

    fn factor(&self, factors: &Factors, scale: f64, nth: usize) -> f64 {
        (scale * factors[nth]).min(self.parts[nth].cap)
    }

    /// The scale at which all parts stand at their caps.
    fn largest_scale(&self, factors: &Factors) -> f64 {
        let to_cap = self.parts.iter().zip(factors);
        to_cap
            .map(|(part, factor)| part.cap / factor)
            .fold(1.0, f64::max)
    }

    fn scaled(&self, factors: &Factors, scale: f64) -> Vec<(Vec<Source>, f64)> {
        let parts = self.parts.iter().enumerate();
        parts
            .map(|(nth, part)| (part.sources.clone(), self.factor(factors, scale, nth)))
            .collect()
    }

    fn found(&self, factors: &Factors, scale: f64) -> Option<Found> {
        self.yields.scaled(&self.scaled(factors, scale))
    }

    fn cost(&self, factors: &Factors) -> f64 {
        let each = self.parts.iter().zip(factors);
        each.map(|(part, factor)| part.cost / factor).sum()
    }

    fn shares(&self, at: &Factors) -> Result<Vec<StepShare>, NoAllocation> {
        let there = Plan::new(scaled_design(self.plan, &self.scaled(at, 1.0)));
        step_shares(&there, self.run, self.hooks).ok_or(if self.hooks.is_interrupted() {
            NoAllocation::Interrupted
        } else {
            NoAllocation::NoShares
        })
    }

    /// The same with the builds of another run.
    fn with_builds(self, run: &'a RunPlan) -> Result<Self, NoAllocation> {
        Ok(Self {
            yields: Yields::new(self.plan, run, self.hooks).ok_or(NoAllocation::Interrupted)?,
            ..self
        })
    }

    /// The yield by the builds and looks of `run`.
    fn prove(&self, factors: &Factors, run: &RunPlan) -> Result<Proportion, NoAllocation> {
        let there = Plan::new(scaled_design(self.plan, &self.scaled(factors, 1.0)));
        let found = brief(&there, run, self.hooks).ok_or(NoAllocation::Interrupted)?;
        Ok(found.build_yield(run))
    }
}
