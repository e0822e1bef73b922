//! Where to put the rods: as words, a section of the page, JSON.

use super::drawing::{Drawing, offer_letter};
use super::json::proportion_json;
use super::nominal::columns;
use super::page::figure;
use super::words::{count_words, difference_words, figures, proportion_words};
use crate::decision::{DepthLayout, DepthOffer, Depths};
use crate::figure::Plan;
use crate::statistics::PairedDifference;
use maud::{Markup, html};
use serde_json::{Value, json};
use std::fmt::Write;

/// What was found, in a sentence.
pub(super) fn depths_sentence(depths: &Depths) -> String {
    let tried = count_words(depths.tried);
    let outside = if depths.as_is_fits {
        ""
    } else {
        " (Today's rods lie outside the lengths and depths that the scenario allows.)"
    };
    match depths.offers.len() {
        0 => format!(
            "Among {tried} layouts of depths that were tried, none is surely more robust than today's, as scattered, and to be built.{outside}"
        ),
        n => format!(
            "Among {tried} layouts of depths that were tried, {n} {} offered that {} more robust than today's and no less scattered, with fresh numbers too.{outside}",
            if n == 1 { "is" } else { "are" },
            if n == 1 { "is" } else { "are" },
        ),
    }
}

/// What the offers rest on.
const ASSUMED: &str = "Assumed: the same figure, cabinet, rods and errors; only the depths of the ends change, in whole millimetres. Rods keep the lengths and depths of the stock (rods.shortest, longest, nearest, farthest in the scenario, or what today's rods show), and no two rods touch. The head movement is that of a bare eye on the nominal build at which half of the junctions are open by what the visitor of mean acuity tells or half a rod hides: a model, without a trial. The search proves no layout to be the best.";

fn movement_words(layout: &DepthLayout) -> String {
    layout
        .scatter
        .falls_apart_mm
        .map_or_else(|| "none".to_owned(), figures)
}

fn margin_words(layout: &DepthLayout) -> String {
    if layout.margin.is_finite() {
        figures(layout.margin)
    } else {
        "none".to_owned()
    }
}

/// Names and layouts: as it is, then the offers.
fn compared(depths: &Depths) -> Vec<(String, &DepthLayout, Option<&DepthOffer>)> {
    let offers = depths.offers.iter().enumerate();
    [("as it is".to_owned(), &depths.as_is, None)]
        .into_iter()
        .chain(
            offers.map(|(nth, offer)| (offer_letter(nth).to_string(), &offer.layout, Some(offer))),
        )
        .collect()
}

/// The section of a page.
pub(super) fn depths_section(plan: &Plan, depths: &Depths, drawing: &Drawing) -> Markup {
    html! {
        section {
            h2 { "Where to put the rods" }
            p { "The depths of the rods decide both how robust the figure is and how surprising it is from elsewhere. " (depths_sentence(depths)) }
            (figure(drawing))
            table {
                thead { tr { th { "Depths" } th { "builds that pass" } th { "fault that the target share stays within, over its limit" } th { "falls apart at a head movement of, mm" } th { "spread of depths, mm" } th { "more builds pass than today, of the same builds" } th { "the same with fresh numbers" } th { "fresh builds in which the deciding fault is smaller than today" } } }
                tbody {
                    @for (name, layout, offer) in compared(depths) {
                        tr {
                            td { (name) }
                            td { (proportion_words(&layout.build_yield, "builds")) }
                            td { (margin_words(layout)) }
                            td { (movement_words(layout)) }
                            td { (figures(layout.scatter.depth_spread_mm)) }
                            td { (offer.map_or_else(String::new, |offer| difference_words(&offer.gain))) }
                            td { (offer.map_or_else(String::new, |offer| difference_words(&offer.fresh_gain))) }
                            td { (offer.map_or_else(String::new, |offer| proportion_words(&offer.smaller_fault, "builds that differ"))) }
                        }
                    }
                }
            }
            @if !depths.offers.is_empty() {
                details open {
                    summary { "The depths, rod by rod" }
                    table {
                        thead { tr { th { "Rod" } th { "tied to" } th { "today, mm" } @for nth in 0..depths.offers.len() { th { (offer_letter(nth)) ", mm" } } th { "length today, mm" } @for nth in 0..depths.offers.len() { th { "length " (offer_letter(nth)) ", mm" } } } }
                        tbody {
                            @for row in rod_rows(plan, depths) { tr { @for cell in row { td { (cell) } } } }
                        }
                    }
                }
            }
            p { small { (ASSUMED) } }
        }
    }
}

/// Rod, its lines, depths and lengths as they are and for each offer.
fn rod_rows(plan: &Plan, depths: &Depths) -> Vec<Vec<String>> {
    let design = &plan.design;
    let layouts: Vec<&DepthLayout> = compared(depths)
        .into_iter()
        .map(|(_, layout, _)| layout)
        .collect();
    let designs: Vec<_> = layouts
        .iter()
        .map(|layout| design.with_depths_mm(&layout.depths_mm))
        .collect();
    design
        .rods
        .iter()
        .enumerate()
        .map(|(rod, one)| {
            let names = one.ends.map(|end| design.vertices[end.line].name.as_str());
            let pair = |layout: &&DepthLayout| {
                let ends = &layout.depths_mm[2 * rod..2 * rod + 2];
                format!("{} and {}", figures(ends[0]), figures(ends[1]))
            };
            let lengths = designs
                .iter()
                .map(|design| format!("{:.0}", design.rods[rod].length_mm(&design.vertices)));
            [one.name.clone(), names.join(" and ")]
                .into_iter()
                .chain(layouts.iter().map(pair))
                .chain(lengths)
                .collect()
        })
        .collect()
}

/// The same for a terminal.
pub(super) fn depths_text(depths: &Depths) -> String {
    let mut text = format!("where to put the rods\n  {}\n", depths_sentence(depths));
    let rows = compared(depths).into_iter().map(|(name, layout, offer)| {
        vec![
            name,
            proportion_words(&layout.build_yield, "builds"),
            margin_words(layout),
            movement_words(layout),
            figures(layout.scatter.depth_spread_mm),
            offer.map_or_else(String::new, |offer| difference_words(&offer.fresh_gain)),
        ]
    });
    let heads = [
        "depths",
        "builds that pass",
        "worst fault over limit",
        "apart at mm",
        "spread mm",
        "more builds pass, fresh numbers",
    ];
    text.push_str(&columns(&heads, rows));
    if !depths.offers.is_empty() {
        text.push_str("  The depths, rod by rod, stand in report.html and tolerances.json. Less head movement and more spread are more scattered.\n");
    }
    let _ = writeln!(text, "  {ASSUMED}");
    text
}

fn layout_json(layout: &DepthLayout) -> Value {
    json!({
        "depths_mm": layout.depths_mm.chunks(2).collect::<Vec<_>>(),
        "yield": proportion_json(&layout.build_yield),
        "margin_of_target_share": layout.margin.is_finite().then_some(layout.margin),
        "falls_apart_at_mm": layout.scatter.falls_apart_mm,
        "depth_spread_mm": layout.scatter.depth_spread_mm,
    })
}

fn difference_json(difference: &PairedDifference) -> Value {
    json!({
        "difference": difference.difference,
        "interval": difference.interval,
        "gained": difference.gained,
        "lost": difference.lost,
        "of": difference.of,
    })
}

/// The same as JSON; depths in mm, rod by rod.
pub(super) fn depths_json(plan: &Plan, depths: &Depths) -> Value {
    json!({
        "finding": depths_sentence(depths),
        "assumed": ASSUMED,
        "rods": plan.design.rods.iter().map(|rod| rod.name.as_str()).collect::<Vec<_>>(),
        "layouts_tried": depths.tried,
        "today_fits_the_stock": depths.as_is_fits,
        "rod_length_mm": depths.length_mm,
        "rod_depth_mm": depths.depth_mm,
        "builds": depths.run.builds,
        "looks": depths.run.looks,
        "as_it_is": layout_json(&depths.as_is),
        "drawn_together": depths.drawn_together.iter().map(|(factor, layout)| json!({
            "factor": factor,
            "layout": layout_json(layout),
        })).collect::<Vec<_>>(),
        "front": depths.front.iter().map(layout_json).collect::<Vec<_>>(),
        "offers": depths.offers.iter().map(|offer| json!({
            "layout": layout_json(&offer.layout),
            "gain": difference_json(&offer.gain),
            "fresh_gain": difference_json(&offer.fresh_gain),
            "fresh_yield": proportion_json(&offer.fresh_yield),
            "smaller_fault": proportion_json(&offer.smaller_fault),
        })).collect::<Vec<_>>(),
    })
}
