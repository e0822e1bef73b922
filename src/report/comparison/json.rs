//! The comparison for programs: shares as fractions, faults over their limits.

use super::super::compared::Compared;
use super::super::json::{proportion_json, scenario_json};
use super::sentences::{belong_sentence, comparison_sentences, judging_sentence};
use crate::decision::{Belong, FromMeanPlace, ItemPair, ONE_POINT};
use crate::sampling::SAMPLING_VERSION;
use crate::statistics::{Difference, PairedRatios};
use serde_json::{Value, json};

/// Schema number of `compare.json`.
pub const COMPARISON_SCHEMA: u32 = 1;

/// The comparison as JSON. `second less first` everywhere.
pub fn comparison_json(compared: &Compared<'_>) -> Value {
    let found = compared.found;
    let level = found.run.level;
    let paired = match found.belong {
        Belong::Paired(pairing) => json!({
            "gained": pairing.builds.map(|builds| builds.gained),
            "lost": pairing.builds.map(|builds| builds.lost),
            "rank_correlation_of_margins": pairing.rank_correlation,
            "variance_saved": pairing.saved,
        }),
        Belong::Independent => Value::Null,
    };
    json!({
        "schema": COMPARISON_SCHEMA,
        "program": env!("CARGO_PKG_NAME"),
        "version": env!("CARGO_PKG_VERSION"),
        "sampling_version": SAMPLING_VERSION,
        "command": compared.abouts[0].command,
        "seed": found.run.seed,
        "looks_at_each_build": found.run.looks,
        "level": level,
        "answer": comparison_sentences(compared),
        "verdict": found.verdict().words(),
        "verdict_is_on": "yield",
        "how_builds_belong_together": belong_sentence(compared),
        "judged_differently_warning": judging_sentence(compared),
        "sides": [side_json(compared, 0), side_json(compared, 1)],
        "yield_difference": difference_json(found.build_yield.as_ref()),
        "same_numbers": paired,
        "builds_for_one_point": found.builds_for(ONE_POINT),
        "looks": {
            "clear": ratios_json(&found.looks.clear, level),
            "held": ratios_json(&found.looks.held, level),
            "both": ratios_json(&found.looks.both, level),
        },
        "median_margin_difference": found.median_margin.as_ref().map(|median| json!({
            "medians": median.medians,
            "difference": difference_json(median.difference.as_ref()),
        })),
        "items": found.items.iter().map(|item| item_json(item, level)).collect::<Vec<_>>(),
        "differs": compared.changed.iter().map(|one| json!({
            "what": one.what,
            "first": one.sides[0],
            "second": one.sides[1],
            "judging": one.is_judging,
        })).collect::<Vec<_>>(),
    })
}

fn side_json(compared: &Compared<'_>, side: usize) -> Value {
    let brief = &compared.found.sides[side];
    let finite = |share: f64| {
        brief
            .margin_of_share(share)
            .filter(|margin| margin.is_finite())
    };
    json!({
        "name": compared.names[side],
        "scenario": scenario_json(compared.abouts[side]),
        "sheets": compared.sheets[side],
        "builds": brief.builds(),
        "yield": proportion_json(&compared.found.yield_of(side)),
        "never_shown": brief.never_shown,
        "not_computable": brief.not_computable,
        "margin_of_half_the_builds": finite(0.5),
        "margin_of_nine_tenths_of_the_builds": finite(0.9),
        "from_mean_place": compared.from_mean_place.as_ref().map(|sides| mean_place_json(&sides[side])),
    })
}

fn mean_place_json(found: &FromMeanPlace) -> Value {
    json!({
        "worst_over_limit": found.worst.map(|worst| json!({ "median": worst.median, "interval": worst.interval })),
        "within": proportion_json(&found.within),
        "not_seen": found.not_seen,
    })
}

fn difference_json(found: Option<&Difference>) -> Value {
    found.map_or(Value::Null, |found| {
        json!({
            "difference": found.difference,
            "interval": found.interval,
            "more_than_chance": found.is_more_than_chance(),
        })
    })
}

fn ratios_json(ratios: &PairedRatios, level: f64) -> Value {
    let sides = [0, 1].map(|side| {
        let [count, of] = ratios.counts(side);
        let share = ratios.share(side, level);
        json!({
            "share": share.map(|(share, _)| share),
            "interval": share.map(|(_, interval)| interval),
            "count": count,
            "of": of,
        })
    });
    json!({
        "sides": sides,
        "difference": difference_json(ratios.share_difference(level).as_ref()),
    })
}

fn item_json(item: &ItemPair, level: f64) -> Value {
    let root = [0, 1].map(|side| {
        item.squares
            .root(side, level)
            .map(|(root, interval)| json!({ "value": root, "interval": interval }))
    });
    json!({
        "name": item.name,
        "is_on": item.items.map(|one| one.is_some()),
        "over_limit": ratios_json(&item.over, level),
        "root_mean_square_over_limit": {
            "sides": root,
            "difference": difference_json(item.squares.root_difference(level).as_ref()),
        },
        "from_mean_place": item.mean_eye.map(|span| span.map(|span| json!({
            "median": span.median,
            "interval": span.interval,
        }))),
    })
}
