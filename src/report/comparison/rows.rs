//! The numbers of a comparison row by row: both sides and what they differ by.

use super::super::compared::Compared;
use super::super::words::{decimals_for, figures, share_words};
use super::sentences::signed;
use crate::decision::{Comparison, FromMeanPlace, ItemPair};
use crate::statistics::{Difference, PairedRatios};

/// One row: what it is, both sides, the difference.
pub(super) struct Row {
    pub what: String,
    pub sides: [String; 2],
    pub difference: String,
    /// Whether the difference's interval leaves out 0.
    pub is_more_than_chance: bool,
}

const NONE: &str = "none";
/// Of a share of builds too many of which no look shows whole, or which cannot be computed.
const NOT_JUDGED: &str = "too few can be judged";

/// Shares, medians and quantiles of the whole.
pub(super) fn whole(compared: &Compared<'_>) -> Vec<Row> {
    let found = compared.found;
    let looks = &found.looks;
    let mut rows = vec![yields(found)];
    for (what, ratios) in [
        ("looks that show the whole figure", &looks.clear),
        ("of those, looks that hold", &looks.held),
        ("looks that do both", &looks.both),
    ] {
        rows.push(shares(what, ratios, found.run.level));
    }
    rows.push(middle(found));
    let nine_tenths = found.sides.each_ref().map(|side| {
        let margin = side.margin_of_share(0.9).filter(|one| one.is_finite());
        margin.map_or_else(|| NOT_JUDGED.to_owned(), figures)
    });
    rows.push(Row {
        what: "nine builds of ten stay within, × limit".to_owned(),
        sides: nine_tenths,
        difference: String::new(),
        is_more_than_chance: false,
    });
    rows.extend(compared.from_mean_place.iter().flat_map(from_mean_place));
    rows
}

fn yields(found: &Comparison) -> Row {
    let side = |side: usize| {
        let one = found.yield_of(side);
        match (one.share(), one.interval()) {
            (Some(share), Some(interval)) => share_words(share, interval),
            _ => NONE.to_owned(),
        }
    };
    Row {
        what: "builds that pass".to_owned(),
        sides: [side(0), side(1)],
        difference: difference_in_points(found.build_yield.as_ref()),
        is_more_than_chance: is_more(found.build_yield.as_ref()),
    }
}

fn is_more(found: Option<&Difference>) -> bool {
    found.is_some_and(Difference::is_more_than_chance)
}

fn difference_in_points(found: Option<&Difference>) -> String {
    difference(found, 100.0, |found| decimals_for(found.half_width()))
}

fn difference(
    found: Option<&Difference>,
    factor: f64,
    decimals: impl Fn(&Difference) -> usize,
) -> String {
    found.map_or_else(
        || NONE.to_owned(),
        |found| {
            let decimals = decimals(found);
            let one = |value: f64| signed(factor * value, decimals);
            let [low, high] = found.interval;
            format!("{} ({} to {})", one(found.difference), one(low), one(high))
        },
    )
}

/// Decimals of a number over its limit whose interval has this half-width: one digit of it and one more, two at least.
fn decimals_over_limit(found: &Difference) -> usize {
    let half = found.half_width();
    if half >= 0.03 || half == 0.0 {
        2
    } else if half >= 0.003 {
        3
    } else {
        4
    }
}

fn shares(what: &str, ratios: &PairedRatios, level: f64) -> Row {
    let found = ratios.share_difference(level);
    Row {
        what: what.to_owned(),
        sides: [0, 1].map(|side| share_of(ratios, side, level)),
        difference: difference_in_points(found.as_ref()),
        is_more_than_chance: is_more(found.as_ref()),
    }
}

fn share_of(ratios: &PairedRatios, side: usize, level: f64) -> String {
    ratios.share(side, level).map_or_else(
        || NONE.to_owned(),
        |(share, interval)| share_words(share, interval),
    )
}

fn middle(found: &Comparison) -> Row {
    let median = found.median_margin.as_ref();
    let difference_of = median.and_then(|median| median.difference.as_ref());
    let sides = match median {
        Some(median) => median.medians.map(figures),
        None => found.sides.each_ref().map(|side| {
            let margin = side.margin_of_share(0.5).filter(|one| one.is_finite());
            margin.map_or_else(|| NOT_JUDGED.to_owned(), figures)
        }),
    };
    Row {
        what: "fault that decides in the middle build, × limit".to_owned(),
        sides,
        difference: difference(difference_of, 1.0, decimals_over_limit),
        is_more_than_chance: is_more(difference_of),
    }
}

fn from_mean_place(sides: &[FromMeanPlace; 2]) -> Vec<Row> {
    let worst = sides.map(|side| {
        side.worst.map_or_else(
            || NONE.to_owned(),
            |worst| {
                let [low, high] = worst.interval;
                format!(
                    "{} ({} to {})",
                    figures(worst.median),
                    figures(low),
                    figures(high)
                )
            },
        )
    });
    let within = sides.map(|side| match (side.within.share(), side.within.interval()) {
        (Some(share), Some(interval)) => share_words(share, interval),
        _ => NONE.to_owned(),
    });
    let row = |what: &str, sides: [String; 2]| Row {
        what: what.to_owned(),
        sides,
        difference: String::new(),
        is_more_than_chance: false,
    };
    let mut rows = vec![
        row("worst fault from the eye's mean place, × limit", worst),
        row("possible builds all within their limits from there", within),
    ];
    if sides.iter().any(|side| side.not_seen > 0) {
        let not_seen = sides.map(|side| side.not_seen.to_string());
        rows.push(row("possible builds not seen whole from there", not_seen));
    }
    rows
}

/// One rod or junction.
pub(super) struct ItemRow {
    pub name: String,
    /// Looks in which it is over its limit.
    pub over: Row,
    /// Root mean square of its drift or gap over its limit.
    pub root: Row,
    /// From the eye's mean place; of given builds only.
    pub mean_eye: Option<[String; 2]>,
}

/// Rods and junctions, those that changed most first.
pub(super) fn items(compared: &Compared<'_>) -> Vec<ItemRow> {
    let level = compared.found.run.level;
    let has_mean_eye = compared.from_mean_place.is_some();
    compared
        .most_changed()
        .into_iter()
        .map(|item| item_row(item, level, has_mean_eye))
        .collect()
}

fn item_row(item: &ItemPair, level: f64, has_mean_eye: bool) -> ItemRow {
    let absent = |side: usize| item.items[side].is_none();
    let mut over = shares("", &item.over, level);
    let found = item.squares.root_difference(level);
    let mut root = Row {
        what: String::new(),
        sides: [0, 1].map(|side| {
            let one = item.squares.root(side, level);
            one.map_or_else(|| NONE.to_owned(), |(root, _)| figures(root))
        }),
        difference: difference(found.as_ref(), 1.0, decimals_over_limit),
        is_more_than_chance: is_more(found.as_ref()),
    };
    for row in [&mut over, &mut root] {
        for side in (0..2).filter(|side| absent(*side)) {
            row.sides[side] = "not there".to_owned();
            row.difference = String::new();
        }
    }
    let span = |side: usize| {
        item.mean_eye[side].map_or_else(
            || NONE.to_owned(),
            |span| {
                let [low, high] = span.interval.map(figures);
                format!("{} ({low} to {high})", figures(span.median))
            },
        )
    };
    ItemRow {
        name: item.name.clone(),
        over,
        root,
        mean_eye: has_mean_eye.then(|| [span(0), span(1)]),
    }
}
