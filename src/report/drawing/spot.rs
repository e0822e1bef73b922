//! The spot of a view that comes nearest to its limit, magnified beside it.

use super::axis::{brief, number, scale_bar};
use super::sheet::{Anchor, Area, BLACK, GREY, NOTE, Pattern, STRONG, Sheet, Spot};
use super::text::wrapped;
use super::view::{Look, Mapping, draw_view};
use super::{MARGIN, WIDTH};
use crate::figure::{Item, Plan};
use crate::geometry::Pair;
use crate::units::{ARCMIN_RAD, arcmin};

/// Side of the magnified spot, px.
pub(super) const SPOT_SIDE: f64 = 290.0;
/// A spot that would be magnified less than this is not shown apart.
const LEAST_MAGNIFIED: f64 = 2.0;

/// The rod or junction that runs closest to or farthest over its limit, and where.
pub(super) struct Weakest {
    item: Item,
    centre: Pair,
    /// Its limit for the visitor of mean acuity, rad.
    limit_rad: f64,
    /// How far the looks stray there, rad.
    stray_rad: f64,
}

pub(super) fn weakest_spot(plan: &Plan, looks: &[Look]) -> Option<Weakest> {
    let detail = plan.typical_detail_rad();
    let mean = |value: &dyn Fn(&Look) -> f64| {
        looks.iter().map(value).sum::<f64>() / looks.len().max(1) as f64
    };
    let end_of = |look: &Look, end: usize| {
        let rod = &look.rods[end / 2];
        if end.is_multiple_of(2) {
            rod[0]
        } else {
            rod[rod.len() - 1]
        }
    };
    let mut best: Option<(f64, Weakest)> = None;
    let mut offer = |share: f64, weakest: Weakest| {
        if share.is_finite() && best.as_ref().is_none_or(|(most, _)| share > *most) {
            best = Some((share, weakest));
        }
    };
    // the middle between the target and what is seen of it, and how far looks lie from there
    let around = |target: Pair, ends: &[usize]| {
        let seen: Vec<Pair> = looks
            .iter()
            .flat_map(|look| ends.iter().map(move |end| end_of(look, *end)))
            .collect();
        let sum: Pair = seen.iter().sum();
        let centre = (target + sum / seen.len().max(1) as f64) / 2.0;
        let mut far: Vec<f64> = seen.iter().map(|point| (point - centre).norm()).collect();
        far.sort_by(f64::total_cmp);
        let nine_of_ten = far.get(far.len() * 9 / 10).copied().unwrap_or(0.0);
        // a lone stray must not shrink all others
        let most = far.last().map_or(0.0, |last| last.min(1.5 * nine_of_ten));
        (centre, most.max((target - centre).norm()))
    };
    for (rod, edge) in plan.edges.iter().enumerate() {
        let limit_rad = plan.drift_limit_rad(rod, detail);
        for end in [2 * rod, 2 * rod + 1] {
            let drift = mean(&|look| edge.off_rad(end_of(look, end)).abs());
            let (centre, stray_rad) = around(plan.targets[end], &[end]);
            let weakest = Weakest {
                item: Item::Rod(rod),
                centre,
                limit_rad,
                stray_rad,
            };
            offer(drift / limit_rad, weakest);
        }
    }
    for (nth, junction) in plan.junctions.iter().enumerate() {
        let limit_rad = plan.gap_limit_rad(nth, detail);
        let widest = |look: &Look| {
            let seen: Vec<Pair> = junction.ends.iter().map(|end| end_of(look, *end)).collect();
            seen.iter()
                .flat_map(|a| seen.iter().map(move |b| (a - b).norm()))
                .fold(0.0, f64::max)
        };
        let target = plan.design.vertices[junction.line].direction;
        let (centre, stray_rad) = around(target, &junction.ends);
        let weakest = Weakest {
            item: Item::Junction(nth),
            centre,
            limit_rad,
            stray_rad,
        };
        offer(mean(&widest) / limit_rad, weakest);
    }
    best.map(|(_, weakest)| weakest)
}

/// How the weakest spot is magnified; `None` where the whole view shows it about as well.
pub(super) fn magnify(spot: &Weakest, whole: &Mapping) -> Option<Mapping> {
    let half_rad = (1.15 * spot.stray_rad).max(2.2 * spot.limit_rad);
    let right = WIDTH - MARGIN;
    let close = Mapping {
        area: Area::new(right - SPOT_SIDE, 78.0, right, 78.0 + SPOT_SIDE),
        centre: spot.centre,
        px_per_rad: SPOT_SIDE / 2.0 / half_rad,
    };
    let magnified = close.px_per_rad / whole.px_per_rad;
    (magnified >= LEAST_MAGNIFIED && magnified.is_finite()).then_some(close)
}

/// Draws the weakest spot magnified; what the caption must say of it.
pub(super) fn draw_spot(
    sheet: &mut Sheet,
    plan: &Plan,
    looks: &[Look],
    whole: &Mapping,
    mapping: &Mapping,
    spot: &Weakest,
) -> String {
    let area = mapping.area;
    let magnified = mapping.px_per_rad / whole.px_per_rad;
    draw_view(sheet, plan, looks, mapping, 1.4);
    for look in looks {
        for rod in look.rods {
            for end in [rod[0], rod[rod.len() - 1]] {
                let at = mapping.at(&end);
                if area.contains(&Area::new(at[0], at[1], at[0], at[1])) {
                    if look.dash == Pattern::Solid {
                        sheet.disc(at, 2.4, look.ink);
                    } else {
                        sheet.ring(at, 2.8, look.ink);
                    }
                }
            }
        }
    }
    sheet.outline(&area, GREY, 1.4);
    sheet.outline(&square_of(whole, mapping), GREY, 1.4);
    let limit = arcmin(spot.limit_rad);
    let times = number(magnified, if magnified < 10.0 { 0.1 } else { 1.0 });
    let name = plan.item_name(spot.item);
    let mut y = area.bottom + 17.0;
    for heading in [format!("the square, {times} times as large:"), name.clone()] {
        sheet.text_in([area.left, y], &heading, STRONG, Anchor::Start, SPOT_SIDE);
        y += 19.0;
    }
    y -= 19.0;
    let words = match spot.item {
        Item::Rod(rod) => {
            limit_lines(sheet, plan, mapping, rod, spot.limit_rad);
            format!(
                "dotted: drift limit, {}\u{A0}arcmin either side of the edge",
                brief(limit)
            )
        }
        Item::Junction(junction) => {
            limit_circle(
                sheet,
                mapping,
                plan.design.vertices[plan.junctions[junction].line].direction,
                spot.limit_rad,
            );
            format!(
                "dotted: circle as wide as the gap limit, {}\u{A0}arcmin",
                brief(limit)
            )
        }
    };
    for line in wrapped(&words, NOTE, SPOT_SIDE) {
        y += 19.0;
        sheet.text([area.left, y], &line, NOTE, Anchor::Start);
    }
    let some_break = looks.iter().any(|look| look.dash != Pattern::Solid);
    let ends = if some_break {
        "discs: rod ends (rings in looks that break)"
    } else {
        "discs: rod ends"
    };
    for line in wrapped(ends, NOTE, SPOT_SIDE) {
        y += 19.0;
        sheet.text([area.left, y], &line, NOTE, Anchor::Start);
    }
    let px_per_arcmin = mapping.px_per_rad * ARCMIN_RAD;
    scale_bar(sheet, [area.left, y + 40.0], 110.0, px_per_arcmin, "arcmin");
    format!(
        "To the right, {times} times as large, the spot that comes nearest to its limit, or goes farthest over it, on average: {name}, limit {}\u{A0}arcmin \
         for the visitor of mean acuity.",
        brief(limit)
    )
}

/// Where the magnified spot lies in the whole view.
pub(super) fn square_of(whole: &Mapping, close: &Mapping) -> Area {
    let at = whole.at(&close.centre);
    let half = (close.area.width() / 2.0 * whole.px_per_rad / close.px_per_rad).max(5.0);
    Area::new(at[0] - half, at[1] - half, at[0] + half, at[1] + half)
}

fn limit_lines(sheet: &mut Sheet, plan: &Plan, mapping: &Mapping, rod: usize, limit_rad: f64) {
    let edge = &plan.edges[rod];
    for side in [-1.0, 1.0] {
        let away = edge.square() * (side * limit_rad);
        let ends = edge.ends.map(|end| mapping.at(&(end + away)));
        sheet.stroke_within(&mapping.area, &ends, BLACK, 1.2, Pattern::Dotted);
    }
}

fn limit_circle(sheet: &mut Sheet, mapping: &Mapping, vertex: Pair, limit_rad: f64) {
    const CORNERS: u32 = 72;
    let [x, y] = mapping.at(&vertex);
    let radius = limit_rad / 2.0 * mapping.px_per_rad;
    let points: Vec<Spot> = (0..=CORNERS)
        .map(|i| {
            let angle = std::f64::consts::TAU * f64::from(i) / f64::from(CORNERS);
            [x + radius * libm::cos(angle), y + radius * libm::sin(angle)]
        })
        .collect();
    sheet.stroke_within(&mapping.area, &points, BLACK, 1.2, Pattern::Dotted);
}
