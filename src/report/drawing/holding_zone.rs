//! Map over the eye's place: the share of builds that hold there.
//!
//! +x points to the viewer's left, so here +x runs to the left.

use super::axis::{Axis, bottom_axis, brief, left_axis, many, number};
use super::sheet::{
    Anchor, Area, BLACK, GREY, Ink, LABEL, NOTE, Pattern, STRONG, Sheet, Spot, VERMILLION, WHITE,
};
use super::text::wrapped;
use super::{Draft, MARGIN, WIDTH, titled};
use crate::decision::{Assessment, HoldingZone, ZoneCell};
use crate::figure::Source;

const NAME: &str = "holding-zone";
const TITLE: &str = "Holding zone: where the eye may be";
/// Left and top of the map and its side, px.
const MAP: [f64; 3] = [80.0, 76.0, 575.0];
/// Where what stands beside the map begins, px.
const ASIDE: f64 = 705.0;
const HATCH_SPACING: f64 = 7.0;
/// White, the scale's middle, and its dark end: lightness falls all the way, so it reads without colour too.
const SCALE: [Ink; 3] = [WHITE, Ink(0x56, 0xA0, 0xD0), Ink(0x00, 0x1F, 0x42)];

/// The scale's ink for a share.
fn ink_of(share: f64) -> Ink {
    let t = 2.0 * share.clamp(0.0, 1.0);
    let (from, to, t) = if t <= 1.0 {
        (SCALE[0], SCALE[1], t)
    } else {
        (SCALE[1], SCALE[2], t - 1.0)
    };
    let mix = |a: u8, b: u8| (f64::from(a) + t * (f64::from(b) - f64::from(a))).round() as u8;
    Ink(mix(from.0, to.0), mix(from.1, to.1), mix(from.2, to.2))
}

/// The map's axes: mm to px, equal scales.
struct Mapping {
    across: Axis,
    up: Axis,
    cell_px: f64,
}

impl Mapping {
    fn new(zone: &HoldingZone) -> Self {
        let cell_mm = zone.centre_mm(1) - zone.centre_mm(0);
        let edge_mm = zone.half_width_mm + cell_mm / 2.0;
        let [left, top, side] = MAP;
        Self {
            across: Axis::even([edge_mm, -edge_mm], [left, left + side]),
            up: Axis::even([-edge_mm, edge_mm], [top + side, top]),
            cell_px: side / zone.side as f64,
        }
    }

    fn at(&self, x_mm: f64, y_mm: f64) -> Spot {
        [self.across.at(x_mm), self.up.at(y_mm)]
    }

    fn px_per_mm(&self) -> f64 {
        MAP[2] / (2.0 * self.up.values[1])
    }

    /// The cell in a column (along x) and a row (along y).
    fn cell(&self, zone: &HoldingZone, column: usize, row: usize) -> Area {
        let [x, y] = self.at(zone.centre_mm(column), zone.centre_mm(row));
        let half = self.cell_px / 2.0;
        Area::new(x - half, y - half, x + half, y + half)
    }
}

/// Draws the map.
pub(super) fn holding_zone(assessment: &Assessment) -> Draft {
    let zone = &assessment.zone;
    let built = zone.cells.iter().any(|cell| cell.held + cell.broken > 0);
    if zone.builds == 0 || zone.side < 2 || !built {
        return Draft::without(
            NAME,
            TITLE,
            "From no place of the eye did any build show the whole figure, so there is no zone to map.",
        );
    }
    let [left, top, side] = MAP;
    let mapping = Mapping::new(zone);
    let mut sheet = titled(TITLE, top + side + 78.0);
    draw_cells(&mut sheet, zone, &mapping);
    let map = Area::new(left, top, left + side, top + side);
    sheet.outline(&map, BLACK, 1.0);
    bottom_axis(
        &mut sheet,
        &mapping.across,
        [map.bottom, map.bottom],
        7,
        "eye's place x, mm; +x to the viewer's left",
        number,
    );
    left_axis(
        &mut sheet,
        &mapping.up,
        [left, left],
        7,
        "eye's place y, mm; up",
        number,
    );
    let below = map.bottom + 58.0;
    sheet.text([left, below], "\u{2190} viewer's left", NOTE, Anchor::Start);
    sheet.text(
        [map.right, below],
        "viewer's right \u{2192}",
        NOTE,
        Anchor::End,
    );
    draw_peephole_and_eye(&mut sheet, assessment, &mapping);
    if zone.cells.iter().all(|cell| cell.held == 0) {
        let at = [map.centre()[0], map.top + 24.0];
        sheet.text_on_white(at, "no build holds from any place", STRONG, Anchor::Middle);
    }
    write_aside(&mut sheet, assessment);
    let best = zone
        .cells
        .iter()
        .filter_map(|cell| zone.held_share(*cell))
        .fold(0.0, f64::max);
    let caption = format!(
        "Share of {} that hold when the eye is at each place (pupil, acuity and eye relief at their means), at best \
         {}\u{A0}%; hatched where most builds do not show the whole figure. Each cell counts the same builds, so neighbours share \
         their luck; one cell's {}.",
        many(zone.builds, "build"),
        number(100.0 * best, 1.0),
        sampling_words(assessment),
    );
    Draft {
        name: NAME,
        title: TITLE.to_owned(),
        caption,
        sheet,
    }
}

/// How far chance can put one cell off, at worst.
fn sampling_words(assessment: &Assessment) -> String {
    let builds = assessment.zone.builds;
    let level = number(100.0 * assessment.run_plan.level, 1.0);
    assessment
        .run_plan
        .proportion(builds / 2, builds)
        .half_width()
        .map_or_else(String::new, |half| {
            format!(
                "{level}\u{A0}% interval is at most \u{B1}\u{A0}{} percentage points wide",
                number(100.0 * half, 1.0)
            )
        })
}

fn draw_cells(sheet: &mut Sheet, zone: &HoldingZone, mapping: &Mapping) {
    let is_hatched = |cell: &ZoneCell| 2 * cell.not_shown > zone.builds;
    let mut hatched = Vec::new();
    for (row, cells) in zone.cells.chunks(zone.side).enumerate() {
        // neighbours of one ink are drawn as one, so that no seams show
        let mut column = 0;
        while column < cells.len() {
            let ink = zone.held_share(cells[column]).map_or(WHITE, ink_of);
            let mut last = column;
            while last + 1 < cells.len()
                && zone.held_share(cells[last + 1]).map_or(WHITE, ink_of) == ink
            {
                last += 1;
            }
            // +x runs to the left: the last column is the leftmost
            let (a, b) = (
                mapping.cell(zone, last, row),
                mapping.cell(zone, column, row),
            );
            sheet.rect(&Area::new(a.left, a.top, b.right, b.bottom), ink);
            column = last + 1;
        }
        for (column, cell) in cells.iter().enumerate() {
            if is_hatched(cell) {
                hatched.push(mapping.cell(zone, column, row));
            }
        }
    }
    for run in hatch_runs(&hatched) {
        sheet.line(run[0], run[1], GREY, 1.0);
    }
}

/// Slanted lines over many cells, joined where they run on from one cell into the next.
fn hatch_runs(cells: &[Area]) -> Vec<[Spot; 2]> {
    let [left, top, side] = MAP;
    let lines = (2.0 * side / HATCH_SPACING) as usize;
    let mut runs: Vec<[Spot; 2]> = Vec::new();
    for nth in 1..lines {
        let offset = HATCH_SPACING * nth as f64;
        let (a, b) = ([left, top + offset], [left + offset, top]);
        let mut pieces: Vec<[Spot; 2]> = cells.iter().filter_map(|cell| cell.clip(a, b)).collect();
        pieces.sort_by(|p, q| p[0][0].total_cmp(&q[0][0]));
        let mut run: Option<[Spot; 2]> = None;
        for piece in pieces {
            match &mut run {
                Some(run) if piece[0][0] <= run[1][0] + 0.01 => {
                    if piece[1][0] > run[1][0] {
                        run[1] = piece[1];
                    }
                }
                _ => runs.extend(run.replace(piece)),
            }
        }
        runs.extend(run);
    }
    runs
}

fn ellipse(mapping: &Mapping, centre_mm: [f64; 2], radii_mm: [f64; 2]) -> Vec<Spot> {
    const CORNERS: u32 = 96;
    (0..=CORNERS)
        .map(|i| {
            let angle = std::f64::consts::TAU * f64::from(i) / f64::from(CORNERS);
            mapping.at(
                centre_mm[0] + radii_mm[0] * libm::cos(angle),
                centre_mm[1] + radii_mm[1] * libm::sin(angle),
            )
        })
        .collect()
}

/// A line that is seen on light and on dark ground.
fn cased(sheet: &mut Sheet, points: &[Spot], ink: Ink, width: f64, dash: Pattern) {
    let [left, top, side] = MAP;
    let map = Area::new(left, top, left + side, top + side);
    sheet.stroke_within(&map, points, WHITE, width + 2.4, Pattern::Solid);
    sheet.stroke_within(&map, points, ink, width, dash);
}

fn draw_peephole_and_eye(sheet: &mut Sheet, assessment: &Assessment, mapping: &Mapping) {
    let radius_mm = assessment.plan.design.peephole.diameter_mm / 2.0;
    let opening = ellipse(mapping, [0.0, 0.0], [radius_mm; 2]);
    cased(sheet, &opening, BLACK, 2.0, Pattern::Solid);
    let eye = assessment.plan.design.law(Source::EyeOffset).spread(0);
    for (times, dash) in [(1.0, Pattern::Dashed), (2.0, Pattern::Dotted)] {
        let radii = eye.sd.map(|sd| times * sd);
        if radii
            .iter()
            .any(|radius| *radius * mapping.px_per_mm() > 1.0)
        {
            let ring = ellipse(mapping, eye.mean, radii);
            cased(sheet, &ring, VERMILLION, 2.2, dash);
        }
    }
    let [x, y] = mapping.at(eye.mean[0], eye.mean[1]);
    for arm in [[6.0, 6.0], [6.0, -6.0]] {
        let ends = [[x - arm[0], y - arm[1]], [x + arm[0], y + arm[1]]];
        cased(sheet, &ends, VERMILLION, 2.2, Pattern::Solid);
    }
}

/// The scale of shares and what the lines are.
fn write_aside(sheet: &mut Sheet, assessment: &Assessment) {
    let room = WIDTH - MARGIN - ASIDE;
    let [_, top, _] = MAP;
    let builds = many(assessment.zone.builds, "build");
    let mut y = top + 4.0;
    for line in wrapped(
        &format!("share of {builds} that hold there, %"),
        STRONG,
        room,
    ) {
        sheet.text([ASIDE, y], &line, STRONG, Anchor::Start);
        y += 18.0;
    }
    let bar = Area::new(ASIDE, y, ASIDE + 28.0, y + 220.0);
    const STEPS: u32 = 55;
    let height = bar.height() / f64::from(STEPS);
    for step in 0..STEPS {
        let share = (f64::from(step) + 0.5) / f64::from(STEPS);
        let low = bar.bottom - f64::from(step) * height;
        sheet.rect(
            &Area::new(bar.left, low - height, bar.right, low),
            ink_of(share),
        );
    }
    sheet.outline(&bar, BLACK, 1.0);
    let scale = Axis::even([0.0, 100.0], [bar.bottom, bar.top]);
    for tick in scale.ticks(5) {
        let at = scale.at(tick);
        sheet.line([bar.right, at], [bar.right + 5.0, at], BLACK, 1.0);
        sheet.text(
            [bar.right + 10.0, at],
            &number(tick, 1.0),
            LABEL,
            Anchor::Start,
        );
    }
    y = bar.bottom + 34.0;
    let hatched = Area::new(ASIDE, y - 9.0, ASIDE + 34.0, y + 9.0);
    sheet.rect(&hatched, WHITE);
    sheet.hatch(&hatched, HATCH_SPACING, GREY, true);
    sheet.outline(&hatched, GREY, 1.0);
    y = write_entry(sheet, y, "most builds do not show the whole figure");
    let design = &assessment.plan.design;
    sheet.line([ASIDE, y], [ASIDE + 34.0, y], BLACK, 2.0);
    let width = brief(design.peephole.diameter_mm);
    y = write_entry(sheet, y, &format!("peephole, {width}\u{A0}mm wide"));
    let eye = design.law(Source::EyeOffset).spread(0);
    for arm in [[6.0, 6.0], [6.0, -6.0]] {
        let middle = ASIDE + 17.0;
        sheet.line(
            [middle - arm[0], y - arm[1]],
            [middle + arm[0], y + arm[1]],
            VERMILLION,
            2.2,
        );
    }
    let [x_mm, y_mm] = eye.mean.map(brief);
    y = write_entry(
        sheet,
        y,
        &format!("the eye's mean place ({x_mm}, {y_mm})\u{A0}mm"),
    );
    if eye.sd.iter().all(|sd| *sd == 0.0) {
        write_entry(sheet, y, "the eye does not wander in this design");
        return;
    }
    for (words, dash) in [("one", Pattern::Dashed), ("two", Pattern::Dotted)] {
        sheet.stroke(&[[ASIDE, y], [ASIDE + 34.0, y]], VERMILLION, 2.2, dash);
        let words = if words == "one" {
            let [sx, sy] = eye.sd.map(brief);
            format!("one standard deviation of the eye's place (x {sx}, y {sy}\u{A0}mm)")
        } else {
            "two standard deviations".to_owned()
        };
        y = write_entry(sheet, y, &words);
    }
}

/// Writes what the sample at `y` stands for; where the next sample goes.
fn write_entry(sheet: &mut Sheet, y: f64, words: &str) -> f64 {
    let x = ASIDE + 44.0;
    let mut at = y;
    for line in wrapped(words, LABEL, WIDTH - MARGIN - x) {
        sheet.text([x, at], &line, LABEL, Anchor::Start);
        at += 17.0;
    }
    at + 12.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_larger_share_is_darker_all_the_way() {
        let lightness = |share: f64| {
            let Ink(r, g, b) = ink_of(share);
            0.2126 * f64::from(r) + 0.7152 * f64::from(g) + 0.0722 * f64::from(b)
        };
        for step in 0..50 {
            let share = f64::from(step) / 50.0;
            assert!(lightness(share) > lightness(share + 0.02), "{share}");
        }
    }

    #[test]
    fn the_map_runs_x_to_the_left_and_y_up_with_equal_scales() {
        let zone = HoldingZone {
            half_width_mm: 4.0,
            side: 25,
            builds: 1,
            computable: 1,
            cells: Vec::new(),
        };
        let mapping = Mapping::new(&zone);
        let (origin, x, y) = (
            mapping.at(0.0, 0.0),
            mapping.at(1.0, 0.0),
            mapping.at(0.0, 1.0),
        );
        assert!((origin[0] - x[0] - mapping.px_per_mm()).abs() < 1e-9);
        assert!((origin[1] - y[1] - mapping.px_per_mm()).abs() < 1e-9);
    }

    #[test]
    fn hatching_runs_on_from_cell_to_cell() {
        let cells = [
            Area::new(100.0, 100.0, 123.0, 123.0),
            Area::new(123.0, 100.0, 146.0, 123.0),
        ];
        let joined = hatch_runs(&cells).len();
        let apart = hatch_runs(&cells[..1]).len() + hatch_runs(&cells[1..]).len();
        assert!(joined < apart && joined >= 6, "{joined} {apart}");
    }
}
