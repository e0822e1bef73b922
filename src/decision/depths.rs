//! Where to put the rods: their depths decide both how robust a figure is and how surprising.
//!
//! A seeded search moves rod ends along their lines and keeps, of all layouts that can be built, those that no other beats in
//! robustness and in both measures of [`Scatter`]. Robustness is, for the search, the fault that the target share of builds
//! stays within, over its limit: a smooth stand-in for the yield, at the same builds and looks for every layout. What is
//! offered is rounded to whole millimetres, run in full, compared with the present depths build by build, and run again with
//! fresh numbers; only what is better in robustness and no less scattered is offered. The search finds good layouts and proves
//! none to be the best.

use super::brief::{Brief, brief, brief_run, fresh_run};
use super::run_plan::RunPlan;
use super::scatter::{Buildable, Scatter, drawn_together_mm};
use crate::figure::{Design, Plan};
use crate::sampling::{Stream, StreamKey, normal_quantile_wichura_1988};
use crate::statistics::{PairedDifference, Proportion};
use crate::trial::RunHooks;
use rayon::prelude::*;

/// Builds with which a layout is tried in the search.
const TRY_BUILDS: u64 = 512;
/// Layouts tried at once.
const AT_ONCE: usize = 64;
/// Rounds of the search.
const ROUNDS: usize = 40;
/// Most layouts that are kept on the front.
const KEPT: usize = 60;
/// Most offers.
const OFFERS: usize = 3;
/// A source number that no source of error has.
const SEARCH: u64 = 1003;
/// Shares of their distance from the line's mean to which the ends of the comparison curve are drawn.
const TOGETHER: [f64; 8] = [0.0, 0.25, 0.5, 0.75, 1.25, 1.5, 2.0, 3.0];

/// One layout of depths and what it comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct DepthLayout {
    /// Depths of all rod ends, mm: at `2·rod + end`.
    pub depths_mm: Vec<f64>,
    /// How scattered it is.
    pub scatter: Scatter,
    /// The fault that the target share of builds stays within, over its limit; +∞ where that share cannot be judged.
    pub margin: f64,
    /// Its yield.
    pub build_yield: Proportion,
}

/// A layout that is better than the present one.
#[derive(Debug, Clone, PartialEq)]
pub struct DepthOffer {
    /// The layout, run with as many builds as the present one.
    pub layout: DepthLayout,
    /// How its yield differs from the present one's, build by build, at the builds of the search.
    pub gain: PairedDifference,
    /// The same at fresh builds, with numbers that had no part in the search.
    pub fresh_gain: PairedDifference,
    /// Its yield at those.
    pub fresh_yield: Proportion,
    /// Of those that differ, the builds whose deciding fault is smaller than with the present depths.
    pub smaller_fault: Proportion,
}

/// The trade-off and what is offered.
#[derive(Debug, Clone, PartialEq)]
pub struct Depths {
    /// As it is.
    pub as_is: DepthLayout,
    /// The same depths drawn together, or apart, on each line by a factor, whether there are such rods or not.
    pub drawn_together: Vec<(f64, DepthLayout)>,
    /// Layouts that can be built and that none tried beats, by falling robustness, run in full.
    pub front: Vec<DepthLayout>,
    /// At most three that are better than the present one: no less scattered, and more robust at fresh builds too.
    pub offers: Vec<DepthOffer>,
    /// Whether the present depths keep the bounds of the stock.
    pub as_is_fits: bool,
    /// Layouts tried.
    pub tried: u64,
    /// Bounds of length and of depth that were kept, mm.
    pub length_mm: [f64; 2],
    /// See `length_mm`.
    pub depth_mm: [f64; 2],
    /// How all was run.
    pub run: RunPlan,
}

/// A layout in the search.
#[derive(Debug, Clone)]
struct Tried {
    depths_mm: Vec<f64>,
    scatter: Scatter,
    margin: f64,
}

impl Tried {
    /// Whether this is at least as good in everything and better in something.
    fn beats(&self, other: &Self) -> bool {
        let no_worse = self.margin <= other.margin && self.scatter.at_least(&other.scatter);
        no_worse && !(other.margin <= self.margin && other.scatter.at_least(&self.scatter))
    }
}

/// Searches, compares and offers; `run` is a brief run plan. `None` when interrupted.
pub fn depths(plan: &Plan, run: &RunPlan, hooks: &RunHooks<'_>) -> Option<Depths> {
    let design = &plan.design;
    let kept = Buildable::like(design);
    let search = Search {
        design,
        kept: &kept,
        trial: brief_run(run, TRY_BUILDS.min(run.builds)),
        hooks,
    };
    let (front, tried) = search.front(plan)?;
    let (as_is, as_is_brief) = in_full(design, &design.depths_mm(), run, hooks)?;
    let mut drawn_together = Vec::new();
    for factor in TOGETHER {
        let depths_mm = drawn_together_mm(design, factor);
        let [front_mm, rear_mm] = design.plates.map(|plate| plate.z_mm);
        if depths_mm.iter().all(|z| *z > front_mm && *z < rear_mm) {
            drawn_together.push((factor, in_full(design, &depths_mm, run, hooks)?.0));
        }
    }
    let mut in_full_front = Vec::new();
    for tried in front {
        let rounded: Vec<f64> = tried.depths_mm.iter().map(|z| z.round()).collect();
        if kept.allows(&design.with_depths_mm(&rounded)) {
            in_full_front.push(in_full(design, &rounded, run, hooks)?);
        }
    }
    in_full_front.sort_by(|a, b| a.0.margin.total_cmp(&b.0.margin));
    let offers = offers(design, (&as_is, &as_is_brief), &in_full_front, run, hooks)?;
    Some(Depths {
        as_is,
        drawn_together,
        front: in_full_front
            .into_iter()
            .map(|(layout, _)| layout)
            .collect(),
        offers,
        tried,
        as_is_fits: kept.allows(design),
        length_mm: design.stock.length_mm,
        depth_mm: design.stock.depth_mm,
        run: *run,
    })
}

fn in_full(
    design: &Design,
    depths_mm: &[f64],
    run: &RunPlan,
    hooks: &RunHooks<'_>,
) -> Option<(DepthLayout, Brief)> {
    let plan = Plan::new(design.with_depths_mm(depths_mm));
    let found = brief(&plan, run, hooks)?;
    let layout = DepthLayout {
        depths_mm: depths_mm.to_vec(),
        scatter: Scatter::of(&plan),
        margin: margin(design, &found),
        build_yield: found.build_yield(run),
    };
    Some((layout, found))
}

fn margin(design: &Design, found: &Brief) -> f64 {
    found
        .margin_of_share(design.judging.target_yield)
        .unwrap_or(f64::INFINITY)
}

/// Of the layouts that are no less scattered than the present one and surely pass more often (or no less often, where the
/// target is met): the most robust, the one with the most spread, and the one that falls apart soonest. Only those are offered
/// that show it at fresh builds: in surely more than half of the builds that differ the deciding fault is smaller, and they do
/// not surely pass less often.
fn offers(
    design: &Design,
    (as_is, as_is_brief): (&DepthLayout, &Brief),
    front: &[(DepthLayout, Brief)],
    run: &RunPlan,
    hooks: &RunHooks<'_>,
) -> Option<Vec<DepthOffer>> {
    let gain_of = |found: &Brief| found.gain_over(as_is_brief, run.level);
    let better: Vec<(&DepthLayout, PairedDifference)> = front
        .iter()
        .filter(|(layout, _)| {
            layout.margin < as_is.margin && layout.scatter.at_least(&as_is.scatter)
        })
        .filter_map(|(layout, found)| Some((layout, gain_of(found)?)))
        .filter(|(layout, gain)| {
            let meets = layout.build_yield.share() >= Some(design.judging.target_yield);
            gain.interval[0] > 0.0 || (meets && gain.difference >= 0.0)
        })
        .collect();
    let best_by = |value: fn(&DepthLayout) -> f64| {
        let least = |a: &&(&DepthLayout, PairedDifference),
                     b: &&(&DepthLayout, PairedDifference)| {
            value(a.0).total_cmp(&value(b.0))
        };
        better.iter().min_by(least)
    };
    let by_each = [
        best_by(|layout| layout.margin),
        best_by(|layout| -layout.scatter.depth_spread_mm),
        best_by(|layout| layout.scatter.movement_mm()),
    ];
    let mut picked: Vec<&(&DepthLayout, PairedDifference)> = Vec::new();
    for one in by_each.into_iter().flatten() {
        if picked.len() < OFFERS && !picked.iter().any(|other| std::ptr::eq(*other, one)) {
            picked.push(one);
        }
    }
    let fresh = fresh_run(run);
    let before = brief(&Plan::new(design.clone()), &fresh, hooks)?;
    let mut offers = Vec::new();
    for (layout, gain) in picked {
        let plan = Plan::new(design.with_depths_mm(&layout.depths_mm));
        let found = brief(&plan, &fresh, hooks)?;
        let smaller_fault = smaller_faults(&found, &before, &fresh);
        let shows = smaller_fault.interval().is_some_and(|[low, _]| low > 0.5);
        if let Some(fresh_gain) = found.gain_over(&before, run.level)
            && shows
            && fresh_gain.interval[1] >= 0.0
        {
            offers.push(DepthOffer {
                layout: (*layout).clone(),
                gain: *gain,
                fresh_gain,
                fresh_yield: found.build_yield(&fresh),
                smaller_fault,
            });
        }
    }
    Some(offers)
}

/// Builds whose margin is smaller than before, of those whose margins differ.
fn smaller_faults(now: &Brief, before: &Brief, run: &RunPlan) -> Proportion {
    let pairs = now.margins.iter().zip(&before.margins);
    let (mut smaller, mut differ) = (0, 0);
    for (now, before) in pairs {
        smaller += u64::from(now < before);
        differ += u64::from(now != before);
    }
    run.proportion(smaller, differ)
}

/// The search for the front.
struct Search<'a> {
    design: &'a Design,
    kept: &'a Buildable,
    trial: RunPlan,
    hooks: &'a RunHooks<'a>,
}

impl Search<'_> {
    /// The layouts that none tried beats, and how many were tried.
    fn front(&self, plan: &Plan) -> Option<(Vec<Tried>, u64)> {
        let mut front = vec![Tried {
            depths_mm: self.design.depths_mm(),
            scatter: Scatter::of(plan),
            margin: margin(self.design, &brief(plan, &self.trial, self.hooks)?),
        }];
        let mut tried = 1;
        if let Some(depths_mm) = self.within_the_stock() {
            front.push(self.try_out(depths_mm)?);
            tried += 1;
        }
        for round in 0..ROUNDS {
            let candidates: Vec<Vec<f64>> = (0..AT_ONCE)
                .filter_map(|nth| self.candidate(&front, round, nth))
                .collect();
            let found: Vec<Option<Tried>> = candidates
                .into_par_iter()
                .map(|depths_mm| self.try_out(depths_mm))
                .collect();
            for found in found {
                tried += 1;
                let found = found?;
                if !front.iter().any(|kept| kept.beats(&found)) {
                    front.retain(|kept| !found.beats(kept));
                    front.push(found);
                }
            }
            thin(&mut front);
        }
        Some((front, tried))
    }

    /// Where the present depths lie outside the stock's: the same moved to within them, as far as they are too near or too far,
    /// or spread evenly over what is allowed; `None` where they lie inside, or neither can be built.
    fn within_the_stock(&self) -> Option<Vec<f64>> {
        if self.kept.allows(self.design) {
            return None;
        }
        let now_mm = self.design.depths_mm();
        let [nearest_mm, farthest_mm] = self.design.stock.depth_mm;
        let low_mm = now_mm.iter().copied().fold(f64::INFINITY, f64::min);
        let high_mm = now_mm.iter().copied().fold(0.0, f64::max);
        let squeeze = (farthest_mm - nearest_mm) / (high_mm - low_mm).max(f64::MIN_POSITIVE);
        let held = now_mm
            .iter()
            .map(|z| z.clamp(nearest_mm, farthest_mm))
            .collect();
        let squeezed = now_mm
            .iter()
            .map(|z| nearest_mm + (z - low_mm) * squeeze.min(1.0))
            .collect();
        [held, squeezed]
            .into_iter()
            .find(|depths_mm: &Vec<f64>| self.kept.allows(&self.design.with_depths_mm(depths_mm)))
    }

    fn try_out(&self, depths_mm: Vec<f64>) -> Option<Tried> {
        let plan = Plan::new(self.design.with_depths_mm(&depths_mm));
        let found = brief(&plan, &self.trial, self.hooks)?;
        Some(Tried {
            depths_mm,
            scatter: Scatter::of(&plan),
            margin: margin(self.design, &found),
        })
    }

    /// A layout of the front with some ends moved; `None` when nothing that can be built came of some attempts.
    fn candidate(&self, front: &[Tried], round: usize, nth: usize) -> Option<Vec<f64>> {
        const ATTEMPTS: usize = 20;
        let key = StreamKey {
            seed: self.trial.seed,
            source: SEARCH,
            item: round as u64,
            component: 0,
            look: 0,
        };
        let mut stream = Stream::new(key, nth as u64);
        let [nearest_mm, farthest_mm] = self.design.stock.depth_mm;
        // wide steps at first, fine ones at the end
        let step_mm =
            0.25 * (farthest_mm - nearest_mm) * libm::pow(0.1, round as f64 / ROUNDS as f64);
        for _ in 0..ATTEMPTS {
            let parent = &front[pick(&mut stream, front.len())];
            let mut depths_mm = parent.depths_mm.clone();
            for _ in 0..=pick(&mut stream, 3) {
                let end = pick(&mut stream, depths_mm.len());
                let move_mm = step_mm * normal_quantile_wichura_1988(stream.next_uniform());
                let whole_rod = stream.next_uniform() < 0.3;
                let moved = if whole_rod {
                    vec![end, end ^ 1]
                } else {
                    vec![end]
                };
                for end in moved {
                    depths_mm[end] = (depths_mm[end] + move_mm).clamp(nearest_mm, farthest_mm);
                }
            }
            if self.kept.allows(&self.design.with_depths_mm(&depths_mm)) {
                return Some(depths_mm);
            }
        }
        None
    }
}

fn pick(stream: &mut Stream, count: usize) -> usize {
    ((stream.next_uniform() * count as f64) as usize).min(count - 1)
}

/// Keeps a front small: of two layouts that come to nearly the same, the later goes.
fn thin(front: &mut Vec<Tried>) {
    while front.len() > KEPT {
        let span = |value: fn(&Tried) -> f64| {
            let finite = || front.iter().map(value).filter(|value| value.is_finite());
            let width =
                finite().fold(f64::NEG_INFINITY, f64::max) - finite().fold(f64::INFINITY, f64::min);
            if width > 0.0 { width } else { 1.0 }
        };
        let measures: [fn(&Tried) -> f64; 3] = [
            |one| one.margin,
            |one| one.scatter.depth_spread_mm,
            |one| one.scatter.movement_mm(),
        ];
        let widths = measures.map(span);
        let apart = |a: &Tried, b: &Tried| {
            let one = |k: usize| {
                let (a, b) = (measures[k](a), measures[k](b));
                if a == b {
                    0.0
                } else {
                    ((a - b) / widths[k]).abs()
                }
            };
            one(0) + one(1) + one(2)
        };
        let pairs = (1..front.len()).flat_map(|j| (0..j).map(move |i| (i, j)));
        let Some((_, later)) = pairs.min_by(|a, b| {
            apart(&front[a.0], &front[a.1]).total_cmp(&apart(&front[b.0], &front[b.1]))
        }) else {
            return;
        };
        front.remove(later);
    }
}
