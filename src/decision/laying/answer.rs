//! The layout that is chosen, held against the scenario's own.

use super::super::brief::{Brief, brief, brief_run, fresh_run};
use super::super::run_plan::{Interrupted, RunPlan};
use super::super::scatter::Scatter;
use super::improve::{Aim, Search};
use super::laid::{Choice, Laid, Site};
use super::rules::Breach;
use super::sides::{Side, sides};
use crate::figure::{Allowed, Plan};
use crate::statistics::{ClusteredShare, PairedDifference, Proportion};
use crate::trial::RunHooks;

/// Builds with which a layout is tried in the search.
const TRY_BUILDS: u64 = 512;
/// Room that a search leaves above a target, in standard deviations of a count, the next where other builds show that the one
/// before was too little.
const ROOMS_SD: [f64; 3] = [2.0, 4.0, 6.0];
/// Builds with which what holds a choice back is tried.
const SIDE_BUILDS: u64 = 2048;

/// A layout and what it comes to, at fresh builds.
#[derive(Debug, Clone)]
pub struct Judged {
    /// The layout.
    pub laid: Laid,
    /// The design with it.
    pub plan: Plan,
    /// Rules that it breaks.
    pub broken: Vec<Breach>,
    /// How scattered it is.
    pub scatter: Scatter,
    /// The fault that the target share of builds stays within, over its limit; +∞ where that share cannot be judged.
    pub margin: f64,
    /// Builds that pass.
    pub build_yield: Proportion,
    /// Share of looks that show the whole figure.
    pub clear: ClusteredShare,
}

/// What was found.
#[derive(Debug, Clone)]
pub struct LaidOut {
    /// What it was to be best in.
    pub aim: Aim,
    /// The bounds.
    pub allowed: Allowed,
    /// The scenario's own layout.
    pub as_is: Judged,
    /// The layout that was chosen.
    pub chosen: Judged,
    /// How its yield differs from the scenario's own, build by build, at fresh builds.
    pub gain: Option<PairedDifference>,
    /// What holds each choice back.
    pub sides: Vec<(Choice, [Side; 2])>,
    /// Least share of looks that had to show the whole figure.
    pub clear_share: f64,
    /// Most head movement at which it had to fall apart, mm.
    pub apart_within_mm: f64,
    /// Layouts that were tried by trials.
    pub tried: u64,
    /// How the proof was run.
    pub run: RunPlan,
}

impl LaidOut {
    /// Whether the target yield is met: the yield at fresh builds is no less.
    pub fn meets(&self) -> bool {
        let target = self.chosen.plan.design.judging.target_yield;
        self.chosen.build_yield.share() >= Some(target)
    }

    /// Whether the whole interval of that yield is at or above the target.
    pub fn surely_meets(&self) -> bool {
        let target = self.chosen.plan.design.judging.target_yield;
        let interval = self.chosen.build_yield.interval();
        interval.is_some_and(|[low, _]| low >= target)
    }
}

/// Why there is no layout.
#[derive(Debug, Clone)]
pub enum LayFailure {
    /// Interrupted.
    Interrupted,
    /// No layout was found that keeps all rules; the one that came nearest, and what it breaks.
    NoneKeeps {
        /// The design that came nearest.
        nearest: Box<Plan>,
        /// What it breaks.
        broken: Vec<Breach>,
        /// What else it breaks with the figure as large as it must be, where it is smaller.
        at_smallest: Vec<Breach>,
    },
}

impl From<Interrupted> for LayFailure {
    fn from(Interrupted: Interrupted) -> Self {
        Self::Interrupted
    }
}

/// The rules that a scenario's own layout breaks, all but those that need trials.
pub fn own_breaches(plan: &Plan, allowed: &Allowed) -> Vec<Breach> {
    Site::new(plan, allowed).breaches(plan)
}

/// Searches and proves; `run` is a brief run plan.
///
/// # Errors
/// [`LayFailure`].
pub fn lay_out(
    plan: &Plan,
    allowed: &Allowed,
    aim: Aim,
    run: &RunPlan,
    hooks: &RunHooks<'_>,
) -> Result<LaidOut, LayFailure> {
    let site = Site::new(plan, allowed);
    let judging = &plan.design.judging;
    let trial = brief_run(run, TRY_BUILDS.min(run.builds));
    let as_drawn = brief(plan, &trial, hooks).ok_or(Interrupted)?;
    // a peephole that shows too little as it is cannot be asked to show more
    let clear_now = as_drawn.clear.share().unwrap_or(0.0);
    let clear_needed = judging.clear_share.min(clear_now);
    let clear_share = with_room(judging.clear_share, trial.builds, ROOMS_SD[0]).min(clear_now);
    let search = |room_sd: f64| Search {
        site,
        aim,
        trial,
        clear_share,
        target_share: match aim {
            Aim::Robustness => judging.target_yield,
            Aim::Scatter => with_room(judging.target_yield, trial.builds, room_sd),
        },
        hooks,
    };
    let fresh = fresh_run(run);
    let mut room_sd = ROOMS_SD[0];
    let mut found = search(room_sd).best().ok_or(Interrupted)?;
    if aim == Aim::Scatter {
        // the best of many was picked at the very edge of what the search's builds allow: other builds tell whether it was luck
        let other = fresh_run(&fresh);
        for wider_sd in &ROOMS_SD[1..] {
            let plan = site.plan(&found.best.laid);
            let passed = brief(&plan, &other, hooks).ok_or(Interrupted)?;
            let surely = passed.build_yield(&other).interval();
            if surely.is_some_and(|[low, _]| low >= judging.target_yield) {
                break;
            }
            room_sd = *wider_sd;
            let tried = found.tried;
            found = search(room_sd).best().ok_or(Interrupted)?;
            found.tried += tried;
        }
    }
    let by_trials = |breach: &Breach| matches!(breach.rule, super::Rule::Yield);
    if !found.best.broken.iter().all(by_trials) {
        let laid = &found.best.laid;
        let [nearest_mm, farthest_mm] = site.range_mm(Choice::PicturePlane, laid);
        let large_enough = laid
            .picture_plane_mm
            .clamp(nearest_mm, farthest_mm.floor().max(nearest_mm));
        let at_smallest = site.breaches(&site.plan(&laid.with(Choice::PicturePlane, large_enough)));
        return Err(LayFailure::NoneKeeps {
            nearest: Box::new(site.plan(laid)),
            at_smallest: at_smallest
                .into_iter()
                .filter(|one| found.best.broken.iter().all(|other| other.rule != one.rule))
                .collect(),
            broken: found.best.broken,
        });
    }
    let side_search = Search {
        trial: brief_run(run, SIDE_BUILDS.min(run.builds)),
        // what stops a choice is the target, not the room that the search leaves above it
        clear_share: clear_needed,
        target_share: judging.target_yield,
        ..search(room_sd)
    };
    let sides = sides(&side_search, &found.best.laid).ok_or(Interrupted)?;
    let judged = |laid: Laid| -> Result<(Judged, Brief), Interrupted> {
        let plan = site.plan(&laid);
        let found = brief(&plan, &fresh, hooks).ok_or(Interrupted)?;
        let margin = found.margin_of_share(judging.target_yield);
        Ok((
            Judged {
                broken: site.breaches(&plan),
                scatter: Scatter::of(&plan),
                margin: margin.unwrap_or(f64::INFINITY),
                build_yield: found.build_yield(&fresh),
                clear: found.clear,
                laid,
                plan,
            },
            found,
        ))
    };
    let (as_is, before) = judged(Laid::of(&plan.design, allowed))?;
    let (chosen, now) = judged(found.best.laid)?;
    Ok(LaidOut {
        aim,
        allowed: allowed.clone(),
        as_is,
        chosen,
        gain: now.gain_over(&before, run.level),
        sides,
        clear_share: clear_needed,
        apart_within_mm: site.apart_within_mm,
        tried: found.tried,
        run: fresh,
    })
}

/// The share of a search's builds that must be so, that others will show the target too: so many standard deviations of its
/// count above it.
fn with_room(target: f64, builds: u64, room_sd: f64) -> f64 {
    (target + room_sd * (target * (1.0 - target) / builds as f64).sqrt()).min(1.0)
}
