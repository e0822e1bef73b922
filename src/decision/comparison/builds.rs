//! One build before and after a repair, each as the builds that its readings leave possible.
//!
//! The two sets come from two diagnoses, so a build of one has nothing to do with one of the other; the looks at them have the
//! same numbers.

use super::super::brief::brief_run;
use super::super::diagnosis::Span;
use super::super::diagnosis::visitors::MeanEye;
use super::super::run_plan::{Interrupted, RunPlan};
use super::found::{Belong, BuildComparison, Comparison, FromMeanPlace, GivenBuilds};
use super::{pairs, watch};
use crate::figure::{Item, Plan};
use crate::statistics::difference_newcombe_1998;
use crate::trial::RunHooks;

/// Level of what the builds leave possible at the mean eye: that of a [`Span`].
const SPAN_LEVEL: f64 = 0.95;

/// Looks `run.looks` times at each of the builds `before` and `after`, in the current pool, and compares. The interval of the yields' difference is that of two independent shares (Newcombe 1998).
///
/// # Errors
/// [`Interrupted`] when the user asked to end.
pub fn build_comparison(
    plan: &Plan,
    [before, after]: [GivenBuilds<'_>; 2],
    run: &RunPlan,
    hooks: &RunHooks<'_>,
) -> Result<BuildComparison, Interrupted> {
    let run = brief_run(run, before.builds.len().max(after.builds.len()) as u64);
    let places = pairs::places([plan; 2]);
    let mut sums = watch::watch_given(plan, &before, (0, &places), &run, hooks)?;
    sums.fold(&watch::watch_given(
        plan,
        &after,
        (1, &places),
        &run,
        hooks,
    )?);
    let margins = sums.sides.each_ref().map(|side| &side.margins[..]);
    let [first, second] = sums
        .sides
        .each_ref()
        .map(|side| [side.passed, side.builds()]);
    let mut items = pairs::item_pairs(places, &sums.items);
    let mean_eye = [before, after].map(|given| at_mean_eye(plan, &given));
    for item in &mut items {
        let Some(found) = item.items[0] else { continue };
        let nth = match found {
            Item::Rod(rod) => rod,
            Item::Junction(junction) => plan.edges.len() + junction,
        };
        item.mean_eye = [0, 1].map(|side: usize| span(&mut mean_eye[side].items[nth].clone()));
    }
    let comparison = Comparison {
        run,
        build_yield: difference_newcombe_1998(first, second, run.level),
        belong: Belong::Independent,
        median_margin: pairs::median_difference(margins, false, &run),
        looks: sums.looks,
        items,
        sides: sums.sides,
    };
    Ok(BuildComparison {
        mean_eye: mean_eye.map(|mut seen| FromMeanPlace {
            within: run.proportion(
                seen.worst.iter().filter(|worst| **worst <= 1.0).count() as u64,
                (seen.worst.len() as u64) + seen.not_seen,
            ),
            worst: span(&mut seen.worst),
            not_seen: seen.not_seen,
        }),
        comparison,
    })
}

/// What the eye at its mean place sees of some builds, each over its limit.
struct Seen {
    worst: Vec<f64>,
    /// Rods, then junctions.
    items: Vec<Vec<f64>>,
    not_seen: u64,
}

fn at_mean_eye(plan: &Plan, given: &GivenBuilds<'_>) -> Seen {
    let mut seen = Seen {
        worst: Vec::new(),
        items: vec![Vec::new(); plan.edges.len() + plan.junctions.len()],
        not_seen: 0,
    };
    let mut eye = MeanEye::new(plan, given.relief_shift_mm);
    for values in given.builds {
        let over = eye.over_limits(values).ok();
        let all: Option<Vec<f64>> = over.and_then(|over| over.into_iter().collect());
        let Some(all) = all else {
            seen.not_seen += 1;
            continue;
        };
        seen.worst.push(all.iter().copied().fold(0.0, f64::max));
        for (item, one) in seen.items.iter_mut().zip(all) {
            item.push(one);
        }
    }
    seen
}

/// Median and 95 % interval of `values`, which are put in order; `None` of none.
fn span(values: &mut [f64]) -> Option<Span> {
    values.sort_by(f64::total_cmp);
    let last = values.len().checked_sub(1)?;
    let at = |share: f64| values[(share * last as f64).round() as usize];
    let tail = (1.0 - SPAN_LEVEL) / 2.0;
    Some(Span {
        median: at(0.5),
        interval: [at(tail), at(1.0 - tail)],
    })
}
