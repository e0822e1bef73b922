//! Two scenarios, or one build before and after a repair, side by side: is the difference more than chance?
//!
//! Two scenarios are run with the same random numbers: every draw has an address (seed, source, item, component, look, build),
//! and where both sides have the address they have the same number. The n-th build of one side is then the n-th of the other,
//! made to other plans; what both share cancels from the difference. Numbers are plain ones, whatever the scenarios' layouts.

mod builds;
mod found;
mod pairs;
mod watch;

pub use builds::build_comparison;
pub use found::{
    Belong, BuildComparison, Comparison, ComparisonVerdict, FromMeanPlace, GivenBuilds, ItemPair,
    LookShares, MedianDifference, ONE_POINT, Pairing,
};

use super::brief::{Brief, brief_run};
use super::run_plan::{Interrupted, RunPlan};
use crate::figure::Plan;
use crate::statistics::{Difference, PairedDifference, rank_correlation_spearman_1904};
use crate::trial::RunHooks;

/// Runs `run.builds` builds and `run.looks` looks at each on both sides, in the current pool, and compares. The sides may
/// differ in anything, their numbers of lines and rods too.
///
/// # Errors
/// [`Interrupted`] when the user asked to end.
pub fn comparison(
    sides: [&Plan; 2],
    run: &RunPlan,
    hooks: &RunHooks<'_>,
) -> Result<Comparison, Interrupted> {
    let run = brief_run(run, run.builds);
    let places = pairs::places(sides);
    let sums = watch::watch_both(sides, &places, &run, hooks)?;
    let margins = sums.sides.each_ref().map(|side| &side.margins[..]);
    let builds = sums.sides[1].gain_over(&sums.sides[0], run.level);
    Ok(Comparison {
        run,
        build_yield: builds.map(|builds| Difference {
            difference: builds.difference,
            interval: builds.interval,
        }),
        belong: Belong::Paired(Pairing {
            builds,
            rank_correlation: rank_correlation_spearman_1904(margins[0], margins[1]),
            saved: builds.and_then(|builds| saved(&builds, &sums.sides)),
        }),
        median_margin: pairs::median_difference(margins, true, &run),
        looks: sums.looks,
        items: pairs::item_pairs(places, &sums.items),
        sides: sums.sides,
    })
}

/// Share of the variance of the yields' difference that independent builds would have and paired ones have not.
fn saved(builds: &PairedDifference, sides: &[Brief; 2]) -> Option<f64> {
    let of = builds.of as f64;
    let alone = |side: &Brief| {
        let share = side.passed as f64 / of;
        share * (1.0 - share)
    };
    let independent = alone(&sides[0]) + alone(&sides[1]);
    let changed = (builds.gained + builds.lost) as f64 / of;
    let paired = changed - builds.difference * builds.difference;
    (independent > 0.0).then(|| 1.0 - paired / independent)
}
