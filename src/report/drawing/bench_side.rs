//! The cabinet from the side with everything that is measured along it: distances of plates, eye, and where rod ends hang.

use super::axis::{brief, scale_bar};
use super::bench_marks::{arrow, heading};
use super::labels::Labels;
use super::sheet::{
    Anchor, Area, BLACK, BLUE, GREY, LABEL, NOTE, PALE, Pattern, Sheet, Spot, Type, VERMILLION,
    WHITE, text_area,
};
use super::text::text_width;
use super::{MARGIN, WIDTH};
use crate::figure::{Plan, Quantity, Stretch};
use crate::geometry::Point;

/// Height of the cabinet itself, px.
const MOST_HEIGHT: f64 = 240.0;
/// Space over and under the cabinet, px.
const AROUND: f64 = 30.0;
/// Height of one row of distances, px.
const ROW: f64 = 22.0;
/// Rows under the cabinet: four distances and the scale.
const ROWS: f64 = 6.0;

/// y to the top, z to the right, equal scales.
struct Mapping {
    left: f64,
    middle: f64,
    middle_y_mm: f64,
    px_per_mm: f64,
}

impl Mapping {
    fn at(&self, z_mm: f64, y_mm: f64) -> Spot {
        [
            self.left + z_mm * self.px_per_mm,
            self.middle - (y_mm - self.middle_y_mm) * self.px_per_mm,
        ]
    }

    fn place(&self, point: &Point) -> Spot {
        self.at(point.z, point.y)
    }
}

/// Smallest and largest y of what is shown, mm.
fn span_mm(plan: &Plan) -> [f64; 2] {
    let holes = plan.holes_mm.iter().flatten().map(|hole| hole.y);
    let ends = (0..plan.targets.len()).map(|end| plan.end_mm(end).y);
    let radius_mm = plan.design.peephole.diameter_mm / 2.0;
    holes
        .chain(ends)
        .fold([-radius_mm, radius_mm], |[low, high], y| {
            [low.min(y), high.max(y)]
        })
}

fn scale(plan: &Plan) -> f64 {
    let far_mm = plan.design.plates[1].z_mm;
    let [low, high] = span_mm(plan);
    let room = WIDTH - 2.0 * MARGIN - 60.0;
    (room / far_mm).min(MOST_HEIGHT / (high - low).max(1e-9))
}

/// Height that the side view takes, px.
pub(super) fn side_height(plan: &Plan) -> f64 {
    let [low, high] = span_mm(plan);
    (high - low) * scale(plan) + 2.0 * AROUND + ROWS * ROW
}

/// Draws the cabinet from the viewer's right.
pub(super) fn side_view(sheet: &mut Sheet, plan: &Plan, area: Area) {
    let [low, high] = span_mm(plan);
    let px_per_mm = scale(plan);
    let height = (high - low) * px_per_mm;
    let mapping = Mapping {
        left: area.left + 24.0,
        middle: area.top + AROUND + height / 2.0,
        middle_y_mm: (low + high) / 2.0,
        px_per_mm,
    };
    heading(
        sheet,
        &area,
        "The cabinet from the viewer's right",
        "distances along the axis; dots: rod ends where they are planned",
    );
    sheet.outline(&area, PALE, 1.0);
    let cabinet = Area::new(
        area.left,
        area.top,
        area.right,
        area.top + 2.0 * AROUND + height,
    );
    let mut labels = Labels::new(cabinet);
    draw_plates(
        sheet,
        plan,
        &mapping,
        &mut labels,
        [cabinet.top, cabinet.bottom],
    );
    let unnamed = draw_lines_and_rods(sheet, plan, &mapping, &mut labels);
    if unnamed > 0 {
        let words = format!(
            "rods without room for their names: {unnamed}; the sheet says on which lines each hangs"
        );
        let at = [area.left + 12.0, area.bottom - 13.0];
        sheet.text(at, &words, NOTE, Anchor::Start);
    }
    draw_distances(sheet, plan, &mapping, cabinet.bottom);
    let bar = [area.right - 150.0, area.bottom - 10.0];
    scale_bar(sheet, bar, 130.0, px_per_mm, "mm");
}

fn draw_plates(
    sheet: &mut Sheet,
    plan: &Plan,
    mapping: &Mapping,
    labels: &mut Labels,
    [top, bottom]: [f64; 2],
) {
    for (plate, name) in plan.design.plates.iter().zip(["front plate", "rear plate"]) {
        let [x, _] = mapping.at(plate.z_mm, 0.0);
        let body = Area::new(x - 3.0, top + 22.0, x + 3.0, bottom - 12.0);
        sheet.rect(&body, PALE);
        sheet.outline(&body, GREY, 0.8);
        labels.keep_clear(body.grown(2.0));
        let half = text_width(name, NOTE) / 2.0;
        let middle = x.min(WIDTH - MARGIN - half - 6.0);
        sheet.text([middle, top + 12.0], name, NOTE, Anchor::Middle);
        labels.keep_clear(text_area([middle, top + 12.0], name, NOTE, Anchor::Middle));
    }
    let peephole = &plan.design.peephole;
    let [x, y] = mapping.at(peephole.eye_relief_mm, 0.0);
    let radius = (peephole.diameter_mm / 2.0 * mapping.px_per_mm).max(2.0);
    for side in [-1.0, 1.0] {
        sheet.line(
            [x, y + side * radius],
            [x, y + side * (radius + 22.0)],
            BLACK,
            2.4,
        );
    }
    let eye = mapping.at(0.0, 0.0);
    sheet.disc(eye, 3.4, BLACK);
    labels.keep_clear(Area::new(
        eye[0] - 6.0,
        y - radius - 24.0,
        x + 4.0,
        y + radius + 24.0,
    ));
    for (at, words) in [
        ([x - 4.0, y - radius - 34.0], "peephole: x, y of its middle"),
        (
            [eye[0] - 12.0, y + radius + 36.0],
            "dot: eye or camera's pupil",
        ),
    ] {
        let _ = labels.place_at(sheet, at, words, NOTE, Anchor::Start);
    }
}

/// How many rods it could not name.
fn draw_lines_and_rods(
    sheet: &mut Sheet,
    plan: &Plan,
    mapping: &Mapping,
    labels: &mut Labels,
) -> usize {
    for line in 0..plan.design.vertices.len() {
        let holes = [0, 1]
            .map(|plate| mapping.at(plan.design.plates[plate].z_mm, plan.holes_mm[plate][line].y));
        sheet.stroke(&holes, GREY, 0.7, Pattern::Solid);
        labels.keep_off(holes[0], holes[1]);
    }
    let rods = 0..plan.design.rods.len();
    let ends = |rod: usize| [0, 1].map(|end| mapping.place(&plan.end_mm(2 * rod + end)));
    for rod in rods.clone() {
        let ends = ends(rod);
        sheet.stroke(&ends, WHITE, 5.6, Pattern::Solid);
        sheet.stroke(&ends, BLUE, 3.2, Pattern::Solid);
        labels.keep_off(ends[0], ends[1]);
    }
    for end in rods.clone().flat_map(ends) {
        sheet.disc(end, 3.4, VERMILLION);
    }
    let style = Type { em: 12.0, ..LABEL };
    let unnamed = rods.filter(|rod| {
        let ends = ends(*rod);
        let spots = [0.5, 0.75, 0.25, 1.0, 0.0]
            .map(|t| [0, 1].map(|c| ends[0][c] + t * (ends[1][c] - ends[0][c])));
        let name = &plan.design.rods[*rod].name;
        !labels.place_by(sheet, &spots, Some(ends), name, style)
    });
    unnamed.count()
}

/// One row for each distance, with arrows to both of its ends.
fn draw_distances(sheet: &mut Sheet, plan: &Plan, mapping: &Mapping, top: f64) {
    let peephole_mm = plan.design.peephole.eye_relief_mm;
    let [front_mm, rear_mm] = plan.design.plates.map(|plate| plate.z_mm);
    let rows = [
        (Quantity::EyeRelief, [0.0, peephole_mm]),
        (
            Quantity::Distance(Stretch::PeepholeToFront),
            [peephole_mm, front_mm],
        ),
        (
            Quantity::Distance(Stretch::FrontToRear),
            [front_mm, rear_mm],
        ),
        (
            Quantity::Distance(Stretch::PeepholeToRear),
            [peephole_mm, rear_mm],
        ),
    ];
    for z_mm in [0.0, peephole_mm, front_mm, rear_mm] {
        let [x, _] = mapping.at(z_mm, 0.0);
        let foot = if z_mm == 0.0 { 1.0 } else { 4.0 };
        sheet.stroke(
            &[[x, top], [x, top + foot * ROW]],
            PALE,
            1.0,
            Pattern::Dashed,
        );
    }
    for (nth, (quantity, stretch_mm)) in rows.into_iter().enumerate() {
        let y = top + (nth as f64 + 0.6) * ROW;
        let [from, to] = stretch_mm.map(|z_mm| mapping.at(z_mm, 0.0)[0]);
        let words = format!(
            "{}: planned {}\u{A0}mm",
            quantity.name(),
            brief(stretch_mm[1] - stretch_mm[0])
        );
        let style = Type { ink: BLACK, ..NOTE };
        if to - from > text_width(&words, style) + 30.0 {
            for (a, b) in [(to, from), (from, to)] {
                arrow(sheet, [a, y], [b, y], BLACK);
            }
            sheet.text_on_white([(from + to) / 2.0, y], &words, style, Anchor::Middle);
        } else if to - from > 24.0 {
            for (a, b) in [(to, from), (from, to)] {
                arrow(sheet, [a, y], [b, y], BLACK);
            }
            sheet.text_on_white([to + 8.0, y], &words, style, Anchor::Start);
        } else {
            // too short for arrows between: they point at it from outside
            arrow(sheet, [from - 18.0, y], [from, y], BLACK);
            arrow(sheet, [to + 18.0, y], [to, y], BLACK);
            sheet.text_on_white([to + 24.0, y], &words, style, Anchor::Start);
        }
    }
}
