//! Which rod or junction of one side is which of the other, and what medians of margins differ by.

use super::super::run_plan::RunPlan;
use super::found::{ItemPair, MedianDifference};
use crate::figure::{Item, Plan};
use crate::statistics::{
    COMPARISON_SOURCE, Difference, PairedRatios, Redraw, bootstrap_interval_efron_1979,
    lower_median,
};

/// A rod or junction by its name, where each side has it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Place {
    pub name: String,
    pub items: [Option<Item>; 2],
}

fn items(plan: &Plan) -> impl Iterator<Item = Item> {
    let rods = (0..plan.edges.len()).map(Item::Rod);
    rods.chain((0..plan.junctions.len()).map(Item::Junction))
}

/// Every rod, then every junction: first those of the first side in its order, each beside that of the same name on the second
/// side, then what only the second side has.
pub(super) fn places([first, second]: [&Plan; 2]) -> Vec<Place> {
    let mut all: Vec<Place> = items(first)
        .map(|item| Place {
            name: first.item_name(item),
            items: [Some(item), None],
        })
        .collect();
    let names: std::collections::BTreeMap<String, usize> = all
        .iter()
        .enumerate()
        .map(|(nth, place)| (place.name.clone(), nth))
        .collect();
    for item in items(second) {
        let name = second.item_name(item);
        match names.get(&name) {
            Some(nth) => all[*nth].items[1] = Some(item),
            None => all.push(Place {
                name,
                items: [None, Some(item)],
            }),
        }
    }
    all.sort_by_key(|place| {
        matches!(
            place.items,
            [Some(Item::Junction(_)), _] | [None, Some(Item::Junction(_))]
        )
    });
    all
}

/// The items with what was counted of them.
pub(super) fn item_pairs(places: Vec<Place>, counted: &[[PairedRatios; 2]]) -> Vec<ItemPair> {
    places
        .into_iter()
        .zip(counted)
        .map(|(place, [over, squares])| ItemPair {
            items: place.items,
            name: place.name,
            over: *over,
            squares: *squares,
            mean_eye: [None; 2],
        })
        .collect()
}

/// Redraws of the builds.
const REDRAWS: u64 = 1000;

/// How the medians of the two sides' margins differ, with the percentile interval over redraws of the builds: of pairs where
/// `are_paired`, else of each side by itself. `None` where one is not finite.
pub(super) fn median_difference(
    margins: [&[f64]; 2],
    are_paired: bool,
    run: &RunPlan,
) -> Option<MedianDifference> {
    let median = |margins: &[f64]| lower_median(&mut margins.to_vec()).filter(|m| m.is_finite());
    let medians = [median(margins[0])?, median(margins[1])?];
    let redrawn = |redraw: &mut Redraw| {
        let mut picked = margins.map(|side| Vec::with_capacity(side.len()));
        let draws = margins.map(<[f64]>::len);
        if are_paired {
            for _ in 0..draws[0] {
                let build = redraw.one_of(draws[0]);
                for (picked, side) in picked.iter_mut().zip(margins) {
                    picked.push(side[build]);
                }
            }
        } else {
            for (picked, side) in picked.iter_mut().zip(margins) {
                picked.extend((0..side.len()).map(|_| side[redraw.one_of(side.len())]));
            }
        }
        let [first, second] = picked.each_mut().map(|side| lower_median(side));
        match (first, second) {
            (Some(first), Some(second)) if first.is_finite() && second.is_finite() => {
                second - first
            }
            _ => f64::NAN,
        }
    };
    let key = [run.seed, COMPARISON_SOURCE];
    let interval = bootstrap_interval_efron_1979(key, REDRAWS, run.level, redrawn);
    Some(MedianDifference {
        medians,
        difference: interval.map(|interval| Difference {
            difference: medians[1] - medians[0],
            interval,
        }),
    })
}
