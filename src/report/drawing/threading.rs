//! How one line crosses over the outsides of both plates: ways numbered in the order in which they are led, holes named.

use super::axis::scale_bar;
use super::bench_marks::{arrow, heading};
use super::labels::Labels;
use super::sheet::{
    Anchor, Area, BLACK, BLUE, GREEN, Ink, LABEL, NOTE, PALE, Sheet, Spot, Type, VERMILLION, WHITE,
};
use super::text::wrapped;
use super::{Draft, MARGIN, WIDTH, titled};
use crate::decision::threading::{ThreadAnswer, WayCrossing};
use crate::figure::{Plan, Plate};
use crate::geometry::Pair;

const NAME: &str = "threading";
/// Least and most height of a plate's panel, px.
const HEIGHTS: [f64; 2] = [250.0, 470.0];
/// Room around the holes in a panel, px: left and right, above, below.
const AROUND: [f64; 3] = [76.0, 46.0, 66.0];
/// Space between panels, px.
const BETWEEN: f64 = 24.0;
const TOP: f64 = 80.0;
/// Room for the heading of a lower panel, px.
const HEADING: f64 = 44.0;
/// Width over height from which a pattern counts as wide.
const WIDE: f64 = 1.6;
/// Height of one line of the note, px.
const ROW: f64 = 19.0;
/// Radius of a hole's mark, px.
const HOLE: f64 = 4.0;
/// Half the side of the mark of the line's end, px.
const ANCHOR: f64 = 6.5;

/// What of the order is not written beside its mark.
#[derive(Default)]
struct LeftOut {
    names: usize,
    numbers: usize,
}

/// Draws both outsides; `title` is the scenario's.
pub(super) fn threading(plan: &Plan, answer: &ThreadAnswer, title: &str) -> Draft {
    let title = format!("One line through all holes: {title}");
    let note = "Numbers: ways over the outsides, in the order in which they are led, odd ones over one plate and even ones over the other; between two of them the line runs through the cabinet from plate to plate. Each plate is seen from its own outside, by its own scale.";
    let rows = wrapped(note, NOTE, WIDTH - 2.0 * MARGIN);
    let areas = panels(plan);
    let bottom = areas[1].bottom;
    let mut sheet = titled(&title, bottom + 30.0 + ROW * rows.len() as f64);
    let mut left_out = LeftOut::default();
    let seen = [
        "from outside: from the peephole",
        "from outside: from behind, left and right exchanged",
    ];
    for ((plate, area), words) in Plate::BOTH.into_iter().zip(&areas).zip(seen) {
        let plate_name = format!("{} plate", plate.word());
        heading(&mut sheet, area, &plate_name, words);
        sheet.outline(area, PALE, 1.0);
        draw_plate(&mut sheet, plan, answer, plate, area, &mut left_out);
    }
    for (nth, row) in rows.iter().enumerate() {
        let y = bottom + 20.0 + ROW * nth as f64;
        sheet.text([MARGIN, y], row, NOTE, Anchor::Start);
    }
    let best = &answer.best;
    let without_room = match (left_out.names, left_out.numbers) {
        (0, 0) => String::new(),
        (names, numbers) => {
            format!(" Without room: {names} names and {numbers} numbers; the steps have them all.")
        }
    };
    Draft {
        name: NAME,
        title,
        caption: format!(
            "{} ways over the outsides of both plates, {:.0} mm, with {} crossings (ringed). Front plate seen from the peephole, rear plate from behind; lengths by each plate's own bar in mm.{without_room}",
            best.ways.len(),
            best.ways_mm,
            best.crossings.len()
        ),
        sheet,
    }
}

/// Lowest and highest x and y of holes, mm.
fn corners(holes: &[Pair]) -> [Pair; 2] {
    let (mut low, mut high) = (Pair::repeat(f64::MAX), Pair::repeat(f64::MIN));
    for place in holes {
        (low, high) = (low.inf(place), high.sup(place));
    }
    [low, high]
}

/// The two panels: side by side, or a wide pattern's one above the other, so that its names find room.
fn panels(plan: &Plan) -> [Area; 2] {
    let [low, high] = corners(&plan.holes_mm[0]);
    let size = high - low;
    let height = |width: f64| {
        // as high as the pattern needs when it fills the panel's width
        let needed = (width - 2.0 * AROUND[0]) * size.y / size.x.max(1e-9);
        (needed + AROUND[1] + AROUND[2]).clamp(HEIGHTS[0], HEIGHTS[1])
    };
    let right = WIDTH - MARGIN;
    if size.x > WIDE * size.y {
        let bottom = TOP + height(right - MARGIN);
        let next = bottom + HEADING;
        [[TOP, bottom], [next, next + bottom - TOP]]
            .map(|[top, bottom]| Area::new(MARGIN, top, right, bottom))
    } else {
        let middle = WIDTH / 2.0;
        let bottom = TOP + height(middle - BETWEEN / 2.0 - MARGIN);
        [
            [MARGIN, middle - BETWEEN / 2.0],
            [middle + BETWEEN / 2.0, right],
        ]
        .map(|[left, right]| Area::new(left, TOP, right, bottom))
    }
}

/// From a plate's mm to the panel, as seen from outside.
struct Mapping {
    middle: Pair,
    centre: Spot,
    px_per_mm: f64,
    plate: Plate,
}

impl Mapping {
    fn new(holes: &[Pair], plate: Plate, inner: &Area) -> Self {
        let [low, high] = corners(holes);
        let size = high - low;
        Self {
            middle: (low + high) / 2.0,
            centre: inner.centre(),
            px_per_mm: (inner.width() / size.x.max(1e-9)).min(inner.height() / size.y.max(1e-9)),
            plate,
        }
    }

    fn at(&self, place: &Pair) -> Spot {
        let off = (place - self.middle) * self.px_per_mm;
        // +x is to the left of whoever looks in from the front
        let right = match self.plate {
            Plate::Front => -off.x,
            Plate::Rear => off.x,
        };
        [self.centre[0] + right, self.centre[1] - off.y]
    }
}

fn draw_plate(
    sheet: &mut Sheet,
    plan: &Plan,
    answer: &ThreadAnswer,
    plate: Plate,
    area: &Area,
    left_out: &mut LeftOut,
) {
    let holes = &plan.holes_mm[plate.index()];
    let inner = Area::new(
        area.left + AROUND[0],
        area.top + AROUND[1],
        area.right - AROUND[0],
        area.bottom - AROUND[2],
    );
    let mapping = Mapping::new(holes, plate, &inner);
    let spots: Vec<Spot> = holes.iter().map(|hole| mapping.at(hole)).collect();
    let mut labels = Labels::new(Area::new(
        area.left + 3.0,
        area.top + 3.0,
        area.right - 3.0,
        area.bottom - 38.0,
    ));
    draw_ways(sheet, &mut labels, answer, plate, &spots);
    draw_crossings(sheet, &mut labels, answer, plate, &mapping, &spots);
    let anchors = anchors(answer, plate);
    // a line across each hole and no area, so that a name can be led to its hole
    let across: Vec<[Spot; 2]> = spots
        .iter()
        .enumerate()
        .map(|(line, [x, y])| {
            let is_end = anchors.iter().any(|(of, _)| *of == line);
            let rim = if is_end { ANCHOR } else { HOLE } + 1.0;
            [[x - rim, *y], [x + rim, *y]]
        })
        .collect();
    for [a, b] in &across {
        labels.keep_off(*a, *b);
    }
    let style = Type { em: 12.0, ..LABEL };
    for (line, spot) in spots.iter().enumerate() {
        let name = &plan.design.vertices[line].name;
        let ends: Vec<&str> = anchors
            .iter()
            .filter(|(of, _)| *of == line)
            .map(|(_, word)| *word)
            .collect();
        let (name, ink) = if ends.is_empty() {
            (name.clone(), BLACK)
        } else {
            (format!("{}: {name}", ends.join(", ")), GREEN)
        };
        let own = Some(across[line]);
        if !labels.place_by(sheet, &[*spot], own, &name, Type { ink, ..style }) {
            left_out.names += 1;
        }
    }
    left_out.numbers += number_ways(sheet, &mut labels, answer, plate, &spots);
    for (line, _) in &anchors {
        sheet.rect(&around(spots[*line], ANCHOR), GREEN);
    }
    for (line, spot) in spots.iter().enumerate() {
        if anchors.iter().any(|(of, _)| *of == line) {
            sheet.disc(*spot, HOLE - 1.0, WHITE);
        } else {
            sheet.ring(*spot, HOLE, BLACK);
        }
    }
    let bar = [area.left + 12.0, area.bottom - 12.0];
    scale_bar(sheet, bar, 110.0, mapping.px_per_mm, "mm");
    let words = "green square: the line's end; arrows: the way it is led";
    let at = [area.right - 8.0, area.bottom - 13.0];
    sheet.text(at, words, NOTE, Anchor::End);
}

fn around(spot: Spot, radius: f64) -> Area {
    let [x, y] = spot;
    Area::new(x - radius, y - radius, x + radius, y + radius)
}

/// The ways over one plate, each with its place in the order.
fn ways_over(answer: &ThreadAnswer, plate: Plate) -> impl Iterator<Item = (usize, [usize; 2])> {
    let ways = answer.best.ways.iter().enumerate();
    ways.filter(move |(_, way)| way.plate == plate)
        .map(|(nth, way)| (nth, way.lines))
}

fn draw_ways(
    sheet: &mut Sheet,
    labels: &mut Labels,
    answer: &ThreadAnswer,
    plate: Plate,
    spots: &[Spot],
) {
    for (_, [from, to]) in ways_over(answer, plate) {
        let [from, to] = [spots[from], spots[to]];
        labels.keep_off(from, to);
        let run = [to[0] - from[0], to[1] - from[1]];
        let length = libm::hypot(run[0], run[1]);
        // the head ends at the hole's rim
        let share = (1.0 - (HOLE + 1.0) / length.max(1e-9)).max(0.0);
        let tip = [from[0] + share * run[0], from[1] + share * run[1]];
        if length > 4.0 * HOLE {
            arrow(sheet, from, tip, BLUE);
        } else {
            sheet.line(from, to, BLUE, 1.4);
        }
    }
}

fn draw_crossings(
    sheet: &mut Sheet,
    labels: &mut Labels,
    answer: &ThreadAnswer,
    plate: Plate,
    mapping: &Mapping,
    spots: &[Spot],
) {
    for crossing in &answer.best.crossings {
        let (way, at) = match crossing {
            WayCrossing::Ways { ways, at_mm } => (ways[0], mapping.at(at_mm)),
            WayCrossing::Hole { way, line } => (*way, spots[*line]),
        };
        if answer.best.ways[way].plate == plate {
            ring_around(sheet, at, VERMILLION);
            labels.keep_clear(around(at, 9.0));
        }
    }
}

/// An open ring, so that what crosses shows within.
fn ring_around(sheet: &mut Sheet, at: Spot, ink: Ink) {
    const SIDES: usize = 24;
    let corner = |nth: usize| {
        let turn = std::f64::consts::TAU * nth as f64 / SIDES as f64;
        [at[0] + 8.0 * libm::cos(turn), at[1] + 8.0 * libm::sin(turn)]
    };
    for nth in 0..SIDES {
        sheet.line(corner(nth), corner(nth + 1), ink, 1.6);
    }
}

/// The line's two ends, where they are on this plate: of which lines, and what they are called.
fn anchors(answer: &ThreadAnswer, plate: Plate) -> Vec<(usize, &'static str)> {
    let led = &answer.best.led;
    let last = led.order.len() - 1;
    let ends = [
        (0, 1 - led.plate_after(0), "start"),
        (last, led.plate_after(last), "end"),
    ];
    ends.into_iter()
        .filter(|(_, on, _)| *on == plate.index())
        .map(|(run, _, word)| (led.order[run], word))
        .collect()
}

/// Writes each way's number beside it; how many found no room.
fn number_ways(
    sheet: &mut Sheet,
    labels: &mut Labels,
    answer: &ThreadAnswer,
    plate: Plate,
    spots: &[Spot],
) -> usize {
    let style = Type {
        em: 13.0,
        bold: true,
        ink: BLUE,
    };
    ways_over(answer, plate)
        .filter(|(nth, [from, to])| {
            let own = [spots[*from], spots[*to]];
            let places = [0.5, 0.4, 0.6, 0.3, 0.7]
                .map(|share| [0, 1].map(|c| own[0][c] + share * (own[1][c] - own[0][c])));
            !labels.place_by(sheet, &places, Some(own), &(nth + 1).to_string(), style)
        })
        .count()
}
