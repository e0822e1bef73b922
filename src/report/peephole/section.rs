//! The answer as a section of a page.

use super::super::drawing::Drawing;
use super::super::page::{drawn, figure};
use super::super::words::{count_words, figures, level_words, proportion_words, share_words};
use super::words::{
    answer_sentences, assumed_sentence, blur_sentence, bound_name, bound_words, by_hand_sentence,
    cautious_sentence, change_words, choice_sentence, counted_rows, diffraction_sentence, fine,
    guide_sentence, light_sentence, looks_words, mm, plate_sentence, recommended_sentence,
};
use crate::decision::PeepholeAnswer;
use crate::decision::peephole::{BoundReason, Change, PeepholePoint, Proof, Radius};
use crate::figure::Plan;
use crate::statistics::{ClusteredShare, interval_of_clustered_share};
use crate::units::arcmin;
use maud::{Markup, html};

/// The section, with the answer's drawings.
pub fn peephole_section(answer: &PeepholeAnswer, plan: &Plan, drawings: &[Drawing]) -> Markup {
    let draw = |name: &str| drawn(drawings, name).map(figure).unwrap_or_default();
    let sentences = answer_sentences(answer);
    let (first, rest) = sentences.split_at(1);
    html! {
        section {
            h2 { "How big may the peephole be?" }
            div class=(if answer.range.is_ok() { "verdict yes" } else { "verdict no" }) {
                @for sentence in first { p class="mark" { (sentence) } }
                p { strong { (recommended_sentence(answer)) } }
                @if let Some(guide) = guide_sentence(answer) { p { strong { (guide) } } }
                @if let Some(cautious) = cautious_sentence(answer) { p { (cautious) } }
                @if let Some(plate) = plate_sentence(answer) { p { (plate) } }
                @for sentence in rest { p { (sentence) } }
            }
            p { (assumed_sentence(answer)) }
            (draw("peephole"))
            (recommended(answer))
            (changes(answer))
            h3 { "What bounds it" }
            (bounds(answer))
            (draw("peephole-limits"))
            p { (diffraction_sentence(answer)) }
            p { (light_sentence(answer)) }
            p { (blur_sentence(answer)) }
            h3 { "By hand" }
            p { (by_hand_sentence(answer, plan)) }
            (by_hand(answer, plan))
            h3 { "The plate's thickness" }
            (plate(answer, plan))
            h3 { "Every diameter" }
            (table(answer))
        }
    }
}

fn recommended(answer: &PeepholeAnswer) -> Markup {
    let Some(found) = &answer.recommended else {
        return html! {};
    };
    let level = answer.run.level;
    let rows = counted_rows(&found.chosen.counted, level);
    let proof = counted_rows(&found.proof, level);
    let point = nearest_point(answer, found.chosen.tool.diameter_mm);
    html! {
        h3 { "What the " (found.chosen.tool.words()) " gives" }
        table {
            thead { tr { th { "What" } th { "in the sweep's trials" } th { "proof: " (count_words(found.proof.build_yield.of)) " other builds, with other numbers" } } }
            tbody {
                @for ((name, value), (_, proof)) in rows.iter().zip(&proof) {
                    tr { td { (name) } td { (value) } td { (proof) } }
                }
                tr { td { "builds that pass if eyes came to stand anywhere in the hole" } td { (proportion_words(&found.anywhere.build_yield, "builds")) } td { "" } }
                @if let Some(point) = point {
                    tr { td { "free head movement, to every side" } td { (radius_words(&point.movement.holds, level)) " while enough builds show the figure and hold (at " (mm(point.diameter_mm)) " mm)" } td { "" } }
                }
            }
        }
        p { (choice_sentence(found, answer)) }
        p { "Source of the tool's sizes: " (found.chosen.tool.kind.source()) "." }
        @if !found.alternatives.is_empty() {
            table {
                thead { tr { th { "Nearest other tools" } th { "builds that pass" } th { "looks that show the figure" } th { "looks that show it and hold" } th { "preferred number" } } }
                tbody {
                    @for other in &found.alternatives {
                        tr {
                            td { (other.tool.words()) }
                            td { (proportion_words(&other.counted.build_yield, "builds")) }
                            td { (looks_words(&other.counted.clear, level)) }
                            td { (looks_words(&other.counted.both, level)) }
                            td { (other.tool.preferred().words()) }
                        }
                    }
                }
            }
        }
    }
}

fn nearest_point(answer: &PeepholeAnswer, diameter_mm: f64) -> Option<&PeepholePoint> {
    let off = |point: &PeepholePoint| (point.diameter_mm - diameter_mm).abs();
    answer
        .points
        .iter()
        .min_by(|a, b| off(a).total_cmp(&off(b)))
}

fn changes(answer: &PeepholeAnswer) -> Markup {
    if answer.changes.is_empty() {
        return html! {};
    }
    let (opens, not): (Vec<&Change>, Vec<&Change>) = answer
        .changes
        .iter()
        .partition(|change| change.proof.is_some());
    let level = answer.run.level;
    let row = |change: &Change, proof: Option<&Proof>| {
        html! {
            tr {
                td { (change_words(change)) @if change.proof.as_ref().is_some_and(|proof| !proof.is_sure) { " (by its estimate only: more builds would tell)" } }
                @if let Some(proof) = proof {
                    td { (mm(proof.diameter_mm)) }
                    td { (proportion_words(&proof.counted.build_yield, "builds")) }
                    td { (looks_words(&proof.counted.clear, level)) }
                }
            }
        }
    };
    html! {
        h3 { "What would open a range" }
        p { "Each change alone, everything else as it is: the least of it at which some diameter meets all targets, found by halving and proved by builds and looks that had no part in finding it: the whole interval of every share meets its target there, or it says that only the estimate does. Rods are cut anew to fit, lines are led to the station point anew, and all errors keep their laws." }
        @if opens.is_empty() {
            p { "None of the changes that were tried opens a range by itself." }
        } @else {
            table {
                thead { tr { th { "Change" } th { "with a hole of, mm" } th { "builds that pass" } th { "looks that show the figure" } } }
                tbody { @for change in opens { (row(change, change.proof.as_ref())) } }
            }
        }
        @if !not.is_empty() {
            details {
                summary { "Tried, and not enough alone" }
                p { "The greatest change that was tried, at the diameter that comes nearest to both targets." }
                table {
                    thead { tr { th { "Change" } th { "with a hole of, mm" } th { "builds that pass" } th { "looks that show the figure" } } }
                    tbody { @for change in not { (row(change, change.nearest.as_ref())) } }
                }
            }
        }
    }
}

fn bounds(answer: &PeepholeAnswer) -> Markup {
    let mut reasons = answer.bounds.iter().map(|bound| bound.reason);
    let binds = reasons.any(|reason| reason == BoundReason::Guides);
    html! {
        table {
            thead { tr { th { "Bound" } th { "from" } th { "hole" } } }
            tbody {
                @for bound in &answer.bounds {
                    tr {
                        td { (bound_name(bound.reason)) }
                        td { @if bound.reason.is_lower() { "below" } @else { "above" } }
                        td { (bound_words(bound, answer)) }
                    }
                }
                tr { td { (bound_name(answer.if_anywhere.reason)) } td { "above, advice" } td { (bound_words(&answer.if_anywhere, answer)) } }
                @if !binds { tr { td { "the hole guides the eye" } td { "advice" } td { "up to " (mm(answer.guides_until_mm)) " mm: beyond it the whole mean pupil sees the whole figure from anywhere within " (mm(answer.wandering_mm)) " mm; a wider one may show it to more looks, but guides none" } } }
            }
        }
    }
}

fn by_hand(answer: &PeepholeAnswer, plan: &Plan) -> Markup {
    html! {
        details {
            summary { "Every junction by hand" }
            table {
                thead { tr { th { "Junction" } th { "depths, mm" } th { "gap limit, arcmin" } th { "largest hole by hand, mm" } } }
                tbody {
                    @for one in &answer.by_hand {
                        tr {
                            td { (plan.junction_name(one.junction)) }
                            td { (mm(one.depths_mm[0])) " and " (mm(one.depths_mm[1])) }
                            td { (figures(arcmin(one.gap_limit_rad))) }
                            td { (one.diameter_mm.map_or_else(|| "any: one depth".to_owned(), mm)) }
                        }
                    }
                }
            }
        }
    }
}

fn plate(answer: &PeepholeAnswer, plan: &Plan) -> Markup {
    let plate = &answer.plate;
    let rod = &plan.design.rods[plate.outermost / 2];
    let vertex = &plan.design.vertices[rod.ends[plate.outermost % 2].line].name;
    let up_to = |value: Option<f64>| {
        value.map_or_else(
            || "not even behind a thin plate".to_owned(),
            |value| format!("up to {} mm", mm(value)),
        )
    };
    html! {
        p {
            "A thick plate narrows the view of what lies off the axis. For a hole of " (mm(plate.diameter_mm)) " mm, a centred pupil of " (figures(answer.pupil_mm))
            " mm and the outermost rod end (rod " (rod.name) " at " (vertex) ", tangent " (figures(plate.tangent)) "): it is still shown "
            (up_to(plate.shown_up_to_mm)) "; nine tenths of the thin plate's view of it are left " (up_to(plate.nine_tenths_up_to_mm))
            ". A model's limits: two rims and the pupil. The trials take the plate as thin; where it is thicker than this, countersink its far side until only a thin edge is left, and blacken it."
        }
        table {
            thead { tr { th { "Plate, mm" } th { "open share of the hole from there" } th { "share of the pupil that is lit" } } }
            tbody {
                @for row in &plate.rows {
                    tr {
                        td { (mm(row.thickness_mm)) @if row.thickness_mm == 0.0 { " (thin)" } @if row.thickness_mm == plate.own_mm { " (the scenario's)" } }
                        td { (figures(100.0 * row.open_share)) " %" }
                        td { (figures(100.0 * row.clear_share)) " %" }
                    }
                }
            }
        }
    }
}

fn radius_words(radius: &Radius, level: f64) -> String {
    let one =
        |value: Option<f64>| value.map_or_else(|| "none".to_owned(), |value| format!("{value:.2}"));
    format!(
        "{} mm ({} % interval {} to {})",
        one(radius.at_mm),
        level_words(level),
        one(radius.interval_mm[0]),
        one(radius.interval_mm[1])
    )
}

fn table(answer: &PeepholeAnswer) -> Markup {
    let level = answer.run.level;
    let looks =
        |share: &ClusteredShare| match (share.share(), interval_of_clustered_share(share, level)) {
            (Some(one), Some(interval)) => share_words(one, interval),
            _ => "none".to_owned(),
        };
    let builds = |point: &PeepholePoint| {
        let one = &point.counted.build_yield;
        match (one.share(), one.interval()) {
            (Some(share), Some(interval)) => share_words(share, interval),
            _ => "none".to_owned(),
        }
    };
    html! {
        details {
            summary { "Shares, blur, light and head movement at every diameter" }
            p { (count_words(answer.run.builds)) " builds × " (answer.run.looks) " looks at each; " (level_words(level)) " % intervals in brackets." }
            table {
                thead { tr { th { "hole, mm" } th { "builds that pass" } th { "looks that show" } th { "of those hold" } th { "both" } th { "blur near, best, far, arcmin" } th { "trolands" } th { "free movement, mm" } } }
                tbody {
                    @for point in &answer.points {
                        tr {
                            td { (fine(point.diameter_mm)) @if point.is_own { " (own)" } }
                            td { (builds(point)) }
                            td { (looks(&point.counted.clear)) }
                            td { (looks(&point.counted.held)) }
                            td { (looks(&point.counted.both)) }
                            td { (figures(arcmin(point.blurs.nearest_rad))) ", " (figures(arcmin(point.blurs.best_rad))) ", " (figures(arcmin(point.blurs.farthest_rad))) }
                            td { (point.trolands.map_or_else(|| "not known".to_owned(), figures)) }
                            td { (radius_words(&point.movement.holds, level)) }
                        }
                    }
                }
            }
        }
    }
}
