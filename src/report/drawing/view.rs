//! What the eye sees: the target and a cloud of looks, or one look, to scale; and the weakest spot magnified.
//!
//! +x points to the viewer's left (see [`crate::geometry`]), so here +x runs to the left.

use super::axis::{many, scale_bar};
use super::labels::Labels;
use super::sheet::{
    Anchor, Area, BLACK, BLUE, GREY, Ink, LABEL, NOTE, PALE, Pattern, Sheet, Spot, VERMILLION,
};
use super::spot::{SPOT_SIDE, draw_spot, magnify, square_of, weakest_spot};
use super::stretch::Part;
use super::text::text_width;
use super::{Draft, MARGIN, frame_words, titled};
use crate::decision::Assessment;
use crate::figure::{Frame, Item, Plan};
use crate::geometry::Pair;
use crate::units::ARCMIN_RAD;

/// Space around the figure for names, px.
const NAMES: [f64; 2] = [80.0, 46.0];
/// Height of the picture, px.
const HEIGHTS: [f64; 2] = [330.0, 620.0];
/// Width of the whole view, px; the magnified spot stands to its right.
const VIEW_RIGHT: f64 = 715.0;
/// One look and how it is drawn.
pub(super) struct Look<'a> {
    pub(super) rods: &'a [Vec<Pair>],
    pub(super) ink: Ink,
    pub(super) dash: Pattern,
}

/// Directions on the sheet: equal scales, +x to the left, +y up.
#[derive(Debug, Clone, Copy)]
pub(super) struct Mapping {
    pub(super) area: Area,
    pub(super) centre: Pair,
    pub(super) px_per_rad: f64,
}

impl Mapping {
    pub(super) fn at(&self, direction: &Pair) -> Spot {
        let away = (direction - self.centre) * self.px_per_rad;
        let middle = self.area.centre();
        [middle[0] - away.x, middle[1] - away.y]
    }
}

/// The cloud of looks.
pub(super) fn eye_view(assessment: &Assessment) -> Draft {
    const NAME: &str = "eye-view";
    const TITLE: &str = "What the eye sees";
    let plan = &assessment.plan;
    let cloud = &assessment.cloud;
    if cloud.is_empty() {
        return Draft::without(
            NAME,
            TITLE,
            "No look among the first builds showed the whole figure, so there is no look to draw beside the target.",
        );
    }
    let (held, broken): (Vec<_>, Vec<_>) = cloud.iter().partition(|look| look.held);
    // broken looks first, so that the holding ones are not hidden below them
    let looks: Vec<Look> = broken
        .iter()
        .map(|look| Look {
            rods: &look.rods,
            ink: VERMILLION,
            dash: Pattern::Dashed,
        })
        .chain(held.iter().map(|look| Look {
            rods: &look.rods,
            ink: BLUE,
            dash: Pattern::Solid,
        }))
        .collect();
    let mut keys = Vec::new();
    if !held.is_empty() {
        let words = some_looks(held.len(), "hold");
        keys.push(Key::Line(BLUE, Pattern::Solid, words));
    }
    if !broken.is_empty() {
        let words = some_looks(broken.len(), "break");
        keys.push(Key::Line(VERMILLION, Pattern::Dashed, words));
    }
    let (sheet, told) = picture(plan, &looks, TITLE, &keys, &Nothing);
    let caption = format!(
        "The target edges (black, over a band as wide as the rods appear) and {}, one at each of the first builds as far as \
         it shows the whole figure: {} held (solid), {} broken (dashed), in the {}. {told}",
        many(cloud.len() as u64, "look"),
        held.len(),
        broken.len(),
        frame_words(plan.design.judging.frame),
    );
    Draft {
        name: NAME,
        title: TITLE.to_owned(),
        caption,
        sheet,
    }
}

fn some_looks(how_many: usize, verb: &str) -> String {
    match how_many {
        1 => format!("1 look that {verb}s"),
        _ => format!("{how_many} looks that {verb}"),
    }
}

/// One look.
pub(super) fn sight(plan: &Plan, seen_rods: &[Vec<Pair>], title: &str) -> Draft {
    const NAME: &str = "sight";
    let finite = |rod: &Vec<Pair>| rod.len() > 1 && rod.iter().flatten().all(|c| c.is_finite());
    if seen_rods.len() != plan.edges.len() || !seen_rods.iter().all(finite) {
        return Draft::without(
            NAME,
            title,
            "The look does not show the whole figure, so there is nothing to draw beside the target.",
        );
    }
    let looks = [Look {
        rods: seen_rods,
        ink: BLUE,
        dash: Pattern::Solid,
    }];
    let keys = [Key::Line(BLUE, Pattern::Solid, "rods as seen".to_owned())];
    let (sheet, told) = picture(plan, &looks, title, &keys, &Nothing);
    let caption = format!(
        "The target edges (black, over a band as wide as the rods appear) and the rods as they are seen (blue), in the \
         {}. {told}",
        frame_words(plan.design.judging.frame)
    );
    Draft {
        name: NAME,
        title: title.to_owned(),
        caption,
        sheet,
    }
}

/// An entry of the line that says what is what.
pub(super) enum Key {
    Line(Ink, Pattern, String),
    Cross(Ink, String),
    Target,
    Band,
}

/// What is drawn over a view besides its looks.
pub(super) trait Over {
    /// Draws it on a view mapped so, at `weight` times the usual size.
    fn draw(&self, sheet: &mut Sheet, mapping: &Mapping, weight: f64);
    /// Where names should not stand.
    fn taken(&self, mapping: &Mapping) -> Vec<Area>;
}

/// Nothing over a view.
struct Nothing;

impl Over for Nothing {
    fn draw(&self, _: &mut Sheet, _: &Mapping, _: f64) {}
    fn taken(&self, _: &Mapping) -> Vec<Area> {
        Vec::new()
    }
}

/// A small upright cross.
pub(super) fn cross(sheet: &mut Sheet, [x, y]: Spot, arm: f64, ink: Ink) {
    sheet.line([x - arm, y], [x + arm, y], ink, 1.6);
    sheet.line([x, y - arm], [x, y + arm], ink, 1.6);
}

fn write_keys(sheet: &mut Sheet, keys: &[Key]) {
    let mut x = MARGIN;
    let y = 54.0;
    for key in [Key::Target, Key::Band].iter().chain(keys) {
        let words = match key {
            Key::Line(_, _, words) | Key::Cross(_, words) => words,
            Key::Target => "target edge",
            Key::Band => "rod's own thickness",
        };
        let ends = [[x, y], [x + 34.0, y]];
        match key {
            Key::Line(ink, dash, _) => sheet.stroke(&ends, *ink, 1.6, *dash),
            Key::Cross(ink, _) => cross(sheet, [x + 17.0, y], 5.0, *ink),
            Key::Target => sheet.stroke(&ends, BLACK, 2.6, Pattern::Solid),
            Key::Band => sheet.rect(&Area::new(x, y - 5.0, x + 34.0, y + 5.0), PALE),
        }
        sheet.text([x + 42.0, y], words, LABEL, Anchor::Start);
        x += 42.0 + text_width(words, LABEL) + 22.0;
    }
}

/// The whole view and, where it is small, the weakest spot; and what the caption must add.
pub(super) fn picture(
    plan: &Plan,
    looks: &[Look],
    title: &str,
    keys: &[Key],
    over: &dyn Over,
) -> (Sheet, String) {
    let spot = weakest_spot(plan, looks);
    let (low, high) = bounds(plan, looks);
    let extent = high - low;
    let room = VIEW_RIGHT - MARGIN - 2.0 * NAMES[0];
    let px_per_rad =
        (room / extent.x.max(1e-12)).min((HEIGHTS[1] - 2.0 * NAMES[1]) / extent.y.max(1e-12));
    let height = (extent.y * px_per_rad + 2.0 * NAMES[1]).clamp(HEIGHTS[0], HEIGHTS[1]);
    let area = Area::new(MARGIN, 78.0, VIEW_RIGHT, 78.0 + height);
    let mapping = Mapping {
        area,
        centre: (low + high) / 2.0,
        px_per_rad,
    };
    let whole = area.bottom.max(78.0 + SPOT_SIDE + 92.0);
    let mut sheet = titled(title, whole + 62.0);
    write_keys(&mut sheet, keys);
    draw_view(&mut sheet, plan, looks, &mapping, 1.0);
    over.draw(&mut sheet, &mapping, 1.0);
    sheet.outline(&area, PALE, 1.0);
    let below = area.bottom + 16.0;
    sheet.text(
        [area.left, below],
        "\u{2190} viewer's left (+x)",
        NOTE,
        Anchor::Start,
    );
    sheet.text(
        [area.right, below],
        "viewer's right \u{2192}",
        NOTE,
        Anchor::End,
    );
    scale_bar(
        &mut sheet,
        [area.left, area.bottom + 48.0],
        190.0,
        px_per_rad * ARCMIN_RAD,
        "arcmin",
    );
    let frame = match plan.design.judging.frame {
        Frame::Fitted => "fitted frame: the common shift, turn and scale are taken away",
        Frame::Fixed => "fixed frame: against the cabinet's axes",
    };
    sheet.text_in(
        [area.right, area.bottom + 46.0],
        frame,
        NOTE,
        Anchor::End,
        area.width() - 230.0,
    );
    let mut told = Vec::new();
    let outside = looks
        .iter()
        .filter(|look| look.rods.iter().flatten().any(|p| !inside(&mapping, p)))
        .count();
    if outside > 0 {
        told.push(format!(
            "{outside} of the looks run{} out of the picture.",
            if outside == 1 { "s" } else { "" }
        ));
    }
    let magnified = spot.and_then(|spot| {
        let close = magnify(&spot, &mapping)?;
        told.push(draw_spot(&mut sheet, plan, looks, &mapping, &close, &spot));
        over.draw(&mut sheet, &close, 1.4);
        Some(square_of(&mapping, &close))
    });
    let mut labels = Labels::new(mapping.area);
    for area in over.taken(&mapping) {
        labels.keep_clear(area);
    }
    name_vertices(&mut sheet, plan, looks, &mapping, magnified, labels);
    (sheet, told.join(" "))
}

pub(super) fn inside(mapping: &Mapping, direction: &Pair) -> bool {
    let [x, y] = mapping.at(direction);
    Area::new(x, y, x, y).left.is_finite() && mapping.area.contains(&Area::new(x, y, x, y))
}

/// Corners of what is shown: all targets, and the looks as far as they stay within half of the figure's size of it.
pub(super) fn bounds(plan: &Plan, looks: &[Look]) -> (Pair, Pair) {
    let corner = |pick: fn(f64, f64) -> f64, start: f64| {
        plan.targets
            .iter()
            .fold(Pair::new(start, start), |at, target| {
                Pair::new(pick(at.x, target.x), pick(at.y, target.y))
            })
    };
    let (low, high) = (
        corner(f64::min, f64::INFINITY),
        corner(f64::max, f64::NEG_INFINITY),
    );
    let size = (high - low).max();
    let most = Pair::new(0.5 * size, 0.5 * size);
    let thickest = plan.thickness_rad.iter().copied().fold(0.0, f64::max);
    let least = Pair::new(thickest, thickest);
    let (mut shown_low, mut shown_high) = (low - least, high + least);
    for point in looks.iter().flat_map(|look| look.rods.iter().flatten()) {
        for c in 0..2 {
            shown_low[c] = shown_low[c].min(point[c].max(low[c] - most[c]));
            shown_high[c] = shown_high[c].max(point[c].min(high[c] + most[c]));
        }
    }
    (shown_low, shown_high)
}

/// Bands, looks and target edges within the mapping's area; `weight` thickens strokes.
pub(super) fn draw_view(
    sheet: &mut Sheet,
    plan: &Plan,
    looks: &[Look],
    mapping: &Mapping,
    weight: f64,
) {
    for (rod, (edge, thickness)) in plan.edges.iter().zip(&plan.thickness_rad).enumerate() {
        let across = edge.square() * (thickness / 2.0);
        let corners = [
            edge.ends[0] + across,
            edge.ends[1] + across,
            edge.ends[1] - across,
            edge.ends[0] - across,
        ];
        sheet.part_of(Item::Rod(rod), Part::Body, |sheet| {
            band(sheet, mapping, &corners);
        });
    }
    for look in looks {
        for (rod, seen) in look.rods.iter().enumerate() {
            let points: Vec<Spot> = seen.iter().map(|point| mapping.at(point)).collect();
            sheet.part_of(Item::Rod(rod), Part::Look, |sheet| {
                sheet.stroke_within(&mapping.area, &points, look.ink, 0.8 * weight, look.dash);
            });
        }
    }
    for (rod, edge) in plan.edges.iter().enumerate() {
        let ends = edge.ends.map(|end| mapping.at(&end));
        sheet.part_of(Item::Rod(rod), Part::Body, |sheet| {
            sheet.stroke_within(&mapping.area, &ends, BLACK, 2.0 * weight, Pattern::Solid);
        });
    }
}

/// A band cut to the mapping's area (Sutherland & Hodgman 1974).
fn band(sheet: &mut Sheet, mapping: &Mapping, corners: &[Pair]) {
    let area = &mapping.area;
    let mut points: Vec<Spot> = corners.iter().map(|corner| mapping.at(corner)).collect();
    let sides: [(usize, f64, f64); 4] = [
        (0, area.left, 1.0),
        (0, area.right, -1.0),
        (1, area.top, 1.0),
        (1, area.bottom, -1.0),
    ];
    for (axis, border, sign) in sides {
        let depth = |p: &Spot| sign * (p[axis] - border);
        let mut kept = Vec::new();
        for (i, b) in points.iter().enumerate() {
            let a = &points[(i + points.len() - 1) % points.len()];
            let (da, db) = (depth(a), depth(b));
            if (da < 0.0) != (db < 0.0) {
                let t = da / (da - db);
                kept.push([a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]);
            }
            if db >= 0.0 {
                kept.push(*b);
            }
        }
        points = kept;
    }
    if points.len() > 2 {
        sheet.fill(&points, PALE);
    }
}

pub(super) fn name_vertices(
    sheet: &mut Sheet,
    plan: &Plan,
    looks: &[Look],
    mapping: &Mapping,
    square: Option<Area>,
    mut labels: Labels,
) {
    for (edge, thickness) in plan.edges.iter().zip(&plan.thickness_rad) {
        let [a, b] = edge.ends.map(|end| mapping.at(&end));
        labels.keep_off(a, b);
        for side in [-0.5, 0.5] {
            let away = edge.square() * (side * thickness);
            let [a, b] = edge.ends.map(|end| mapping.at(&(end + away)));
            labels.rather_keep_off(a, b);
        }
    }
    for rod in looks.iter().flat_map(|look| look.rods) {
        for pair in rod.windows(2) {
            labels.rather_keep_off(mapping.at(&pair[0]), mapping.at(&pair[1]));
        }
    }
    if let Some(square) = square {
        for [a, b] in square.sides() {
            labels.rather_keep_off(a, b);
        }
    }
    let mut used = vec![false; plan.design.vertices.len()];
    for rod in &plan.design.rods {
        for end in rod.ends {
            used[end.line] = true;
        }
    }
    let junctions = junctions_by_line(plan);
    for ((vertex, used), junction) in plan.design.vertices.iter().zip(used).zip(junctions) {
        let at = mapping.at(&vertex.direction);
        if !used {
            sheet.ring(at, 3.0, GREY);
        }
        match junction.map(Item::Junction) {
            Some(item) => {
                sheet.place_of(item, &[at]);
                sheet.part_of(item, Part::Name, |sheet| {
                    labels.place(sheet, at, &vertex.name, LABEL)
                });
            }
            None => {
                labels.place(sheet, at, &vertex.name, LABEL);
            }
        }
    }
}

/// The junction on each line, if there is one.
pub(super) fn junctions_by_line(plan: &Plan) -> Vec<Option<usize>> {
    let mut all = vec![None; plan.design.vertices.len()];
    for (nth, junction) in plan.junctions.iter().enumerate() {
        all[junction.line] = Some(nth);
    }
    all
}
