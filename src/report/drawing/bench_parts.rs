//! One line with all that is measured on it, not to scale; and the picture through the peephole.

use super::bench_marks::{arrow, heading};
use super::sheet::{
    Anchor, Area, BLACK, BLUE, GREY, NOTE, PALE, Pattern, STRONG, Sheet, Spot, Type, VERMILLION,
    WHITE,
};
use crate::figure::{Plan, Plate, Quantity};
use crate::geometry::Pair;

const WORDS: Type = Type { ink: BLACK, ..NOTE };

/// A line between its two holes, with a rod end on it.
pub(super) fn one_line(sheet: &mut Sheet, area: Area) {
    heading(
        sheet,
        &area,
        "One line and one rod end",
        "not to scale; the drop is drawn far too large",
    );
    sheet.outline(&area, PALE, 1.0);
    let (left, right) = (area.left + 26.0, area.right - 26.0);
    let straight = area.top + 92.0;
    for x in [left, right] {
        let body = Area::new(x - 4.0, area.top + 58.0, x + 4.0, area.top + 190.0);
        sheet.rect(&body, PALE);
        sheet.outline(&body, GREY, 0.8);
    }
    let names = [
        (left - 16.0, "front plate", Anchor::Start),
        (right + 16.0, "rear plate", Anchor::End),
    ];
    for (x, name, anchor) in names {
        sheet.text([x, area.top + 44.0], name, NOTE, anchor);
    }
    let middle = (left + right) / 2.0;
    let depth = 40.0;
    let hang = |t: f64| -> Spot {
        [
            left + t * (right - left),
            straight + 4.0 * depth * t * (1.0 - t),
        ]
    };
    sheet.stroke(
        &[[left, straight], [right, straight]],
        GREY,
        1.0,
        Pattern::Dashed,
    );
    let curve: Vec<Spot> = (0..=40).map(|i| hang(f64::from(i) / 40.0)).collect();
    sheet.stroke(&curve, BLACK, 1.6, Pattern::Solid);
    draw_pluck(sheet, middle, straight, area.top);
    arrow(
        sheet,
        [middle, straight],
        [middle, straight + depth],
        VERMILLION,
    );
    sheet.text(
        [middle + 8.0, straight + depth / 2.0],
        Quantity::Drop.name(),
        STRONG,
        Anchor::Start,
    );
    draw_rod_end(sheet, hang(0.4), [left, right], area.top);
    draw_magnified(sheet, &area);
}

/// Where a line is plucked and where a gauge takes hold.
fn draw_pluck(sheet: &mut Sheet, middle: f64, straight: f64, top: f64) {
    let at = [middle, top + 20.0];
    let name = Quantity::Tone.name();
    let tension = Quantity::Tension.name();
    sheet.text(
        at,
        &format!("{name}: plucked softly, without rods; {tension}: by a gauge"),
        WORDS,
        Anchor::Middle,
    );
    arrow(sheet, [middle, top + 32.0], [middle, straight - 4.0], GREY);
}

fn draw_rod_end(sheet: &mut Sheet, end: Spot, [left, right]: [f64; 2], top: f64) {
    let rod = [[end[0], end[1] + 2.0], [end[0] - 20.0, end[1] + 24.0]];
    sheet.stroke(&rod, WHITE, 9.0, Pattern::Solid);
    sheet.stroke(&rod, BLUE, 6.0, Pattern::Solid);
    sheet.disc(end, 4.0, VERMILLION);
    let rows = [
        (top + 168.0, left, "from front plate", Plate::Front),
        (top + 168.0, right, "from rear plate", Plate::Rear),
    ];
    sheet.stroke(&[end, [end[0], top + 176.0]], PALE, 1.0, Pattern::Dashed);
    for (y, plate_x, _, plate) in rows {
        let inside = if plate == Plate::Front {
            plate_x + 4.0
        } else {
            plate_x - 4.0
        };
        arrow(sheet, [end[0], y], [inside, y], BLACK);
        arrow(sheet, [inside, y], [end[0], y], BLACK);
        let name = Quantity::EndFrom(plate).name();
        sheet.text_on_white([(end[0] + inside) / 2.0, y], name, STRONG, Anchor::Middle);
    }
    let middle = (left + right) / 2.0;
    let at = [[left + 4.0, top + 190.0], [middle, top + 190.0]];
    for (from, to) in [(at[0], at[1]), (at[1], at[0])] {
        arrow(sheet, from, to, VERMILLION);
    }
    let words = "at: where the drop is taken, from the front plate";
    sheet.text_on_white(
        [(at[0][0] + at[1][0]) / 2.0, at[0][1] + 16.0],
        words,
        WORDS,
        Anchor::Middle,
    );
}

/// A hole and a tie, magnified.
fn draw_magnified(sheet: &mut Sheet, area: &Area) {
    let y = area.bottom - 62.0;
    let hole = [area.left + 62.0, y];
    sheet.ring(hole, 34.0, GREY);
    let line = [hole[0] + 13.0, hole[1] + 12.0];
    sheet.disc(line, 9.0, BLACK);
    offset_arrows(sheet, hole, line);
    let x = hole[0] + 46.0;
    let names = [Plate::Front, Plate::Rear].map(|plate| Quantity::LineInHole(plate).name());
    sheet.text([x, y - 26.0], names[0], STRONG, Anchor::Start);
    sheet.text([x, y - 8.0], names[1], STRONG, Anchor::Start);
    sheet.text(
        [x, y + 10.0],
        "x, y of the line from the hole's",
        WORDS,
        Anchor::Start,
    );
    sheet.text(
        [x, y + 26.0],
        "middle, seen from the peephole",
        WORDS,
        Anchor::Start,
    );
    let tied = [area.left + 350.0, y + 12.0];
    sheet.disc(tied, 8.0, BLACK);
    let rod = [tied[0] + 10.0, tied[1] - 26.0];
    sheet.disc(rod, 19.0, BLUE);
    sheet.disc(rod, 15.0, WHITE);
    offset_arrows(sheet, tied, rod);
    let x = tied[0] + 44.0;
    sheet.text([x, y - 26.0], Quantity::Tie.name(), STRONG, Anchor::Start);
    sheet.text(
        [x, y - 8.0],
        "x, y of the rod's axis (blue)",
        WORDS,
        Anchor::Start,
    );
    sheet.text(
        [x, y + 10.0],
        "from the line's (black),",
        WORDS,
        Anchor::Start,
    );
    sheet.text([x, y + 26.0], "at its end", WORDS, Anchor::Start);
}

fn offset_arrows(sheet: &mut Sheet, from: Spot, to: Spot) {
    sheet.line(
        [from[0] - 5.0, from[1]],
        [from[0] + 5.0, from[1]],
        VERMILLION,
        1.4,
    );
    sheet.line(
        [from[0], from[1] - 5.0],
        [from[0], from[1] + 5.0],
        VERMILLION,
        1.4,
    );
    arrow(sheet, from, to, VERMILLION);
}

/// A picture as the camera takes it, x to the right and y down, with the figure in it.
pub(super) fn through_the_peephole(sheet: &mut Sheet, plan: &Plan, area: Area) {
    heading(
        sheet,
        &area,
        "A picture through the peephole",
        "points in px",
    );
    sheet.outline(&area, PALE, 1.0);
    let frame = Area::new(
        area.left + 30.0,
        area.top + 34.0,
        area.right - 16.0,
        area.bottom - 62.0,
    );
    sheet.outline(&frame, GREY, 2.0);
    let corner = [frame.left, frame.top];
    let style = Type {
        ink: BLUE,
        ..STRONG
    };
    arrow(sheet, corner, [corner[0] + 46.0, corner[1]], BLUE);
    sheet.text(
        [corner[0] + 52.0, corner[1] - 12.0],
        "x",
        style,
        Anchor::Middle,
    );
    arrow(sheet, corner, [corner[0], corner[1] + 46.0], BLUE);
    sheet.text(
        [corner[0] - 12.0, corner[1] + 46.0],
        "y",
        style,
        Anchor::Middle,
    );
    sheet.text(
        [corner[0] - 4.0, corner[1] - 14.0],
        "0, 0",
        NOTE,
        Anchor::Start,
    );
    let spots = figure_in(plan, &frame);
    for ends in spots.chunks_exact(2) {
        sheet.stroke(ends, GREY, 3.0, Pattern::Solid);
    }
    for spot in &spots {
        sheet.ring(*spot, 3.6, VERMILLION);
    }
    for ends in spots.chunks_exact(2) {
        let middle = [0, 1].map(|c| (ends[0][c] + ends[1][c]) / 2.0);
        sheet.fill(
            &[
                [middle[0] - 3.5, middle[1]],
                [middle[0], middle[1] - 3.5],
                [middle[0] + 3.5, middle[1]],
                [middle[0], middle[1] + 3.5],
            ],
            BLACK,
        );
    }
    let y = frame.bottom + 18.0;
    sheet.ring([area.left + 22.0, y], 4.4, VERMILLION);
    let x = area.left + 34.0;
    sheet.text([x, y], Quantity::SeenEnd.name(), STRONG, Anchor::Start);
    sheet.text(
        [x + 76.0, y],
        "x and y of each rod end",
        WORDS,
        Anchor::Start,
    );
    let y = y + 22.0;
    let at = [area.left + 22.0, y];
    sheet.fill(
        &[
            [at[0] - 4.5, at[1]],
            [at[0], at[1] - 4.5],
            [at[0] + 4.5, at[1]],
            [at[0], at[1] + 4.5],
        ],
        BLACK,
    );
    sheet.text([x, y], Quantity::SeenMiddle.name(), STRONG, Anchor::Start);
    sheet.text(
        [x + 100.0, y],
        "x and y of a rod's middle, if asked for",
        WORDS,
        Anchor::Start,
    );
}

/// The rod ends as planned, fitted into a frame.
fn figure_in(plan: &Plan, frame: &Area) -> Vec<Spot> {
    let seen: Vec<Pair> = plan.targets.iter().map(|w| Pair::new(-w.x, -w.y)).collect();
    let (mut low, mut high) = (Pair::repeat(f64::MAX), Pair::repeat(f64::MIN));
    for spot in &seen {
        (low, high) = (low.inf(spot), high.sup(spot));
    }
    const FILLED: f64 = 0.72;
    let size = high - low;
    let scale = FILLED * (frame.width() / size.x.max(1e-9)).min(frame.height() / size.y.max(1e-9));
    let middle = (low + high) / 2.0;
    let [x, y] = frame.centre();
    seen.iter()
        .map(|spot| {
            [
                x + (spot.x - middle.x) * scale,
                y + (spot.y - middle.y) * scale,
            ]
        })
        .collect()
}
