//! What to measure at the bench: the two plates with their holes, the cabinet from the side, one line, and the picture.
//!
//! Every quantity stands beside what it is of, by the name that it has on the sheet.

use super::axis::scale_bar;
use super::bench_marks::{arrow, heading};
use super::bench_parts::{one_line, through_the_peephole};
use super::bench_side::{side_height, side_view};
use super::labels::Labels;
use super::sheet::{
    Anchor, Area, BLACK, BLUE, FAINT, GREY, LABEL, NOTE, PALE, Pattern, STRONG, Sheet, Spot, Type,
    VERMILLION,
};
use super::{Draft, MARGIN, WIDTH, titled};
use crate::figure::{Measurand, Plan, Plate, Quantity, Stretch, all_measurands};
use crate::geometry::Pair;

const NAME: &str = "bench";
/// Height of a plate's panel, px.
const PLATE_HEIGHT: f64 = 380.0;
/// Space between panels, px.
const BETWEEN: f64 = 24.0;
/// Height of the last row of panels, px.
const PARTS_HEIGHT: f64 = 330.0;
/// Room for a panel's heading, px.
const HEADING: f64 = 30.0;

/// Draws the sheet's picture; `title` is the scenario's.
pub(super) fn bench(plan: &Plan, title: &str) -> Draft {
    let title = format!("What to measure at the bench: {title}");
    let middle = WIDTH / 2.0;
    let side_height = side_height(plan);
    let plates_top = 50.0 + HEADING;
    let side_top = plates_top + PLATE_HEIGHT + 14.0 + HEADING;
    let parts_top = side_top + side_height + 14.0 + HEADING;
    let mut sheet = titled(&title, parts_top + PARTS_HEIGHT + MARGIN);
    let all = all_measurands(plan);
    let mut left_out = 0;
    for (plate, [left, right]) in Plate::BOTH.into_iter().zip([
        [MARGIN, middle - BETWEEN / 2.0],
        [middle + BETWEEN / 2.0, WIDTH - MARGIN],
    ]) {
        let area = Area::new(left, plates_top, right, plates_top + PLATE_HEIGHT);
        left_out += draw_plate(&mut sheet, plan, &all, plate, area);
    }
    let side = Area::new(MARGIN, side_top, WIDTH - MARGIN, side_top + side_height);
    side_view(&mut sheet, plan, side);
    let bottom = parts_top + PARTS_HEIGHT;
    one_line(
        &mut sheet,
        Area::new(MARGIN, parts_top, middle + 90.0, bottom),
    );
    let picture = Area::new(middle + 90.0 + BETWEEN, parts_top, WIDTH - MARGIN, bottom);
    through_the_peephole(&mut sheet, plan, picture);
    let names = if left_out > 0 {
        format!(" {left_out} names of holes found no room; the sheet has them all.")
    } else {
        String::new()
    };
    Draft {
        name: NAME,
        title,
        caption: format!(
            "The quantities of the sheet, each beside what it is of. Both plates are seen from the peephole, x to the right and y up, in \
             mm from the centre mark, where the axis passes; {} holes in each. Plates and side view are to scale, each by its own bar; \
             the one line is not.{names}",
            plan.design.vertices.len()
        ),
        sheet,
    }
}

/// A plate as seen from the peephole; how many holes it could not name.
fn draw_plate(
    sheet: &mut Sheet,
    plan: &Plan,
    all: &[Measurand],
    plate: Plate,
    area: Area,
) -> usize {
    let holes = &plan.holes_mm[plate.index()];
    let corners = corners_mm(all, plate);
    let shown = holes.iter().chain(&corners).copied().chain([Pair::zeros()]);
    let (mut low, mut high) = (Pair::repeat(f64::MAX), Pair::repeat(f64::MIN));
    for place in shown {
        // the sheet's x is to the right
        let seen = Pair::new(-place.x, place.y);
        (low, high) = (low.inf(&seen), high.sup(&seen));
    }
    let inner = Area::new(
        area.left + 26.0,
        area.top + 26.0,
        area.right - 26.0,
        area.bottom - 50.0,
    );
    let size = high - low;
    let px_per_mm = (inner.width() / size.x.max(1e-9)).min(inner.height() / size.y.max(1e-9));
    let middle = (low + high) / 2.0;
    let [centre_x, centre_y] = inner.centre();
    let at = |place: &Pair| -> Spot {
        [
            centre_x + (-place.x - middle.x) * px_per_mm,
            centre_y - (place.y - middle.y) * px_per_mm,
        ]
    };
    heading(
        sheet,
        &area,
        Quantity::Hole(plate).name(),
        "x and y from the centre mark; or off a scan, or in a picture",
    );
    sheet.outline(&area, PALE, 1.0);
    let mut labels = Labels::new(Area::new(
        area.left + 3.0,
        area.top + 3.0,
        area.right - 3.0,
        area.bottom - 40.0,
    ));
    draw_corners(
        sheet,
        &mut labels,
        &corners.iter().map(at).collect::<Vec<_>>(),
    );
    draw_axes(sheet, &mut labels, &area, at(&Pair::zeros()));
    let spots: Vec<Spot> = holes.iter().map(at).collect();
    draw_example(sheet, &mut labels, at(&Pair::zeros()), &spots);
    for spot in &spots {
        sheet.ring(*spot, 4.0, BLACK);
        labels.keep_clear(Area::new(
            spot[0] - 5.0,
            spot[1] - 5.0,
            spot[0] + 5.0,
            spot[1] + 5.0,
        ));
    }
    let style = Type { em: 12.0, ..LABEL };
    let named = plan.design.vertices.iter().zip(&spots);
    let unnamed = named
        .filter(|(vertex, spot)| !labels.place(sheet, **spot, &vertex.name, style))
        .count();
    let mark = Type { ink: BLUE, ..NOTE };
    let _ = labels.place(sheet, at(&Pair::zeros()), "centre mark", mark);
    plate_legend(sheet, &area, px_per_mm, unnamed);
    unnamed
}

fn plate_legend(sheet: &mut Sheet, area: &Area, px_per_mm: f64, unnamed: usize) {
    let words = match unnamed {
        0 => "squares: where distances to it may be taken too".to_owned(),
        _ => format!("squares: distances too; names without room: {unnamed}"),
    };
    let at = [area.right - 8.0, area.bottom - 13.0];
    sheet.text(at, &words, NOTE, Anchor::End);
    let bar = [area.left + 12.0, area.bottom - 12.0];
    scale_bar(sheet, bar, 110.0, px_per_mm, "mm");
}

/// Where the sheet has distances taken on this plate, besides its centre.
fn corners_mm(all: &[Measurand], plate: Plate) -> Vec<Pair> {
    let stretch = match plate {
        Plate::Front => Stretch::PeepholeToFront,
        Plate::Rear => Stretch::FrontToRear,
    };
    all.iter()
        .filter(|of| of.quantity == Quantity::Distance(stretch))
        .filter_map(|of| of.place_mm)
        .collect()
}

fn draw_corners(sheet: &mut Sheet, labels: &mut Labels, corners: &[Spot]) {
    for [x, y] in corners {
        let square = Area::new(x - 5.0, y - 5.0, x + 5.0, y + 5.0);
        sheet.rect(&square, FAINT);
        sheet.outline(&square, GREY, 1.0);
        labels.keep_clear(square.grown(2.0));
    }
}

/// The centre mark; and, in the corner, which way x and y run.
fn draw_axes(sheet: &mut Sheet, labels: &mut Labels, area: &Area, centre: Spot) {
    const LENGTH: f64 = 34.0;
    let corner = [area.left + 18.0, area.top + 58.0];
    let [x, y] = corner;
    for (to, word, place, anchor) in [
        ([x + LENGTH, y], "x", [x + LENGTH + 4.0, y], Anchor::Start),
        ([x, y - LENGTH], "y", [x, y - LENGTH - 9.0], Anchor::Middle),
    ] {
        arrow(sheet, corner, to, BLUE);
        let style = Type {
            ink: BLUE,
            ..STRONG
        };
        sheet.text(place, word, style, anchor);
    }
    labels.keep_clear(Area::new(area.left, area.top, x + LENGTH + 16.0, y + 6.0));
    let [x, y] = centre;
    for [dx, dy] in [[9.0, 0.0], [0.0, 9.0]] {
        sheet.line([x - dx, y - dy], [x + dx, y + dy], BLUE, 2.2);
    }
    labels.keep_clear(Area::new(x - 9.0, y - 9.0, x + 9.0, y + 9.0));
}

/// One hole's x and y as they are measured: the hole that stands out most clearly both aside and up.
fn draw_example(sheet: &mut Sheet, labels: &mut Labels, centre: Spot, spots: &[Spot]) {
    let off = |spot: &Spot| (spot[0] - centre[0]).abs().min((spot[1] - centre[1]).abs());
    let Some(hole) = spots.iter().max_by(|a, b| off(a).total_cmp(&off(b))) else {
        return;
    };
    if off(hole) < 30.0 {
        return;
    }
    let corner = [hole[0], centre[1]];
    for (a, b) in [(centre, corner), (corner, *hole)] {
        sheet.stroke(&[a, b], VERMILLION, 1.2, Pattern::Dashed);
        labels.keep_off(a, b);
    }
    let style = Type {
        ink: VERMILLION,
        ..NOTE
    };
    let outward = if hole[0] > centre[0] { 1.0 } else { -1.0 };
    let anchor = if outward > 0.0 {
        Anchor::Start
    } else {
        Anchor::End
    };
    for (at, word, anchor) in [
        (
            [
                (centre[0] + 3.0 * corner[0]) / 4.0,
                centre[1] + if hole[1] < centre[1] { 11.0 } else { -11.0 },
            ],
            "its x",
            Anchor::Middle,
        ),
        (
            [corner[0] + 6.0 * outward, (corner[1] + hole[1]) / 2.0],
            "its y",
            anchor,
        ),
    ] {
        let _ = labels.place_at(sheet, at, word, style, anchor);
    }
}
