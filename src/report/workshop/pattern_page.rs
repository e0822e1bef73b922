//! Pages of a hole pattern at true size: one sheet of paper for each tile.

use super::canvas::{
    Anchor, BODY_MM, Canvas, HAIR_MM, HEADING_MM, LINE_MM, PAGE_MARGIN_MM, SMALL_MM, wrapped,
};
use super::names::Names;
use super::{Spread, scales, tables};
use crate::decision::workshop::{
    HolePattern, OUTLINE_MARGIN_MM, Outline, Paper, Rectangle, RegisterMark, Tile, Tiling,
};
use crate::figure::Plan;
use crate::geometry::Pair;
use crate::report::about::About;

/// Room left of the window for the scale along and the arrow, mm.
const STRIP_MM: f64 = 9.0;
/// Room over and under the window for words and scales, mm.
const HEAD_MM: f64 = 46.0;
const FOOT_MM: f64 = 38.0;
/// From baseline to baseline of plain text, mm.
const PITCH_MM: f64 = 4.2;
/// How far the arms of a hole's mark reach beyond the hole, mm.
const ARM_MM: f64 = 2.5;
/// Holes this wide have a cross in their middle too, mm.
const WIDE_HOLE_MM: f64 = 2.0;
/// Radius and arms of the axis' and of a register mark, mm.
const MARK_MM: f64 = 2.0;
const MARK_ARM_MM: f64 = 4.0;
/// Left end of the key of tiles from the right margin, and its height, mm.
const KEY_MM: [f64; 2] = [52.0, 20.0];

/// Width and height of the part of a sheet that shows the pattern, mm.
pub(super) fn window_mm(paper: Paper) -> [f64; 2] {
    let [width, height] = paper.size_mm();
    [
        width - 2.0 * PAGE_MARGIN_MM - STRIP_MM,
        height - HEAD_MM - FOOT_MM,
    ]
}

/// The pages of one pattern.
pub(super) struct PatternPages {
    pub pages: Vec<Canvas>,
    /// Holes whose names found no room on any page.
    pub unnamed: usize,
}

/// All sheets of one plate's pattern.
pub(super) fn pattern_pages(
    plan: &Plan,
    about: &About,
    paper: Paper,
    spread: &Spread,
    tiling: &Tiling,
) -> PatternPages {
    let mut named = vec![false; spread.pattern.places_mm.len()];
    let pages = tiling
        .tiles
        .iter()
        .enumerate()
        .map(|(nth, tile)| {
            let mut sheet = Sheet::new(paper, tile);
            sheet.head(plan, about, &spread.pattern, tiling, nth);
            sheet.edge(&spread.pattern, tiling);
            sheet.marks(plan, &spread.pattern, tiling, &mut named);
            sheet.foot(tiling, nth);
            sheet.page
        })
        .collect();
    PatternPages {
        pages,
        unnamed: named.iter().filter(|is_named| !**is_named).count(),
    }
}

/// One sheet in the making.
struct Sheet {
    page: Canvas,
    paper_mm: [f64; 2],
    /// The window on the page.
    window: Rectangle,
    tile: Tile,
}

impl Sheet {
    fn new(paper: Paper, tile: &Tile) -> Self {
        let [wide, high] = window_mm(paper);
        let low = [PAGE_MARGIN_MM + STRIP_MM, HEAD_MM];
        Self {
            page: Canvas::new(paper.size_mm()),
            paper_mm: paper.size_mm(),
            window: Rectangle::new(low, [low[0] + wide, low[1] + high]),
            tile: *tile,
        }
    }

    /// A place of the pattern on the page.
    fn at(&self, place_mm: Pair) -> [f64; 2] {
        [
            self.window.low.x + place_mm.x - self.tile.window_mm.low.x,
            self.window.low.y + self.tile.window_mm.high.y - place_mm.y,
        ]
    }

    fn head(
        &mut self,
        plan: &Plan,
        about: &About,
        pattern: &HolePattern,
        tiling: &Tiling,
        nth: usize,
    ) {
        let [width, _] = self.paper_mm;
        let left = PAGE_MARGIN_MM;
        let room = width - 2.0 * PAGE_MARGIN_MM;
        let plate = pattern.plate.word();
        let title = format!("Holes of the {plate} plate, true size: {}", about.title);
        self.page
            .text_in([left, 15.5], &title, HEADING_MM, Anchor::Start, room);
        let mut words = head_words(plan, pattern);
        let count = tiling.tiles.len();
        if count > 1 {
            words.push_str(&format!(
                " This is sheet {} of {count} (row {}, column {}): neighbours overlap by {} mm; cut one along its frame and lay it on the other so that crosses of one number meet.",
                nth + 1,
                self.tile.row + 1,
                self.tile.column + 1,
                tiling.overlap_mm
            ));
            let has_hole = pattern
                .places_mm
                .iter()
                .any(|place| self.tile.window_mm.holds(*place));
            if !has_hole {
                words.push_str(" No hole lies on this one: it only joins the others.");
            }
        }
        for (line, text) in wrapped(&words, BODY_MM, room).iter().enumerate() {
            let y = 21.5 + PITCH_MM * line as f64;
            self.page.text([left, y], text, BODY_MM, Anchor::Start);
        }
    }

    /// The plate's outline, and the window's frame where there are neighbours.
    fn edge(&mut self, pattern: &HolePattern, tiling: &Tiling) {
        if tiling.tiles.len() > 1 {
            let low = [self.window.low.x, self.window.low.y];
            let size = self.window.size_mm();
            self.page.frame(low, [size.x, size.y], HAIR_MM);
        }
        let Rectangle { low, high } = pattern.outline_mm;
        for [a, b] in [
            [[low.x, low.y], [high.x, low.y]],
            [[low.x, high.y], [high.x, high.y]],
            [[low.x, low.y], [low.x, high.y]],
            [[high.x, low.y], [high.x, high.y]],
        ] {
            // a side along an axis is a rectangle without width
            if let Some(seen) = Rectangle::new(a, b).within(&self.tile.window_mm) {
                let [from, to] = [self.at(seen.low), self.at(seen.high)];
                self.page.dashed_line(from, to, LINE_MM);
            }
        }
    }

    fn marks(&mut self, plan: &Plan, pattern: &HolePattern, tiling: &Tiling, named: &mut [bool]) {
        let mut names = Names::new(self.window);
        let square = |at: [f64; 2], half: f64| {
            Rectangle::new([at[0] - half, at[1] - half], [at[0] + half, at[1] + half])
        };
        for mark in &tiling.marks {
            if let Some(at) = self.seen(mark.at_mm) {
                self.register_mark(mark, at);
                names.keep_clear(square(at, MARK_ARM_MM));
            }
        }
        let axis = self.seen(Pair::zeros());
        self.axis_lines();
        if let Some(at) = axis {
            self.cross(at, MARK_MM, MARK_ARM_MM, 0.0);
            keep_mark_clear(&mut names, at, [0.7 * MARK_MM, MARK_ARM_MM]);
        }
        let radius = pattern.hole_mm / 2.0;
        let mut holes = Vec::new();
        for (line, place) in pattern.places_mm.iter().enumerate() {
            let whole = square([place.x, place.y], radius);
            // what is cut here is whole on a neighbour: overlaps are wider than holes
            if self.tile.window_mm.contains(&whole) {
                let at = self.at(*place);
                self.hole(at, radius);
                keep_mark_clear(&mut names, at, [0.7 * radius, radius + ARM_MM]);
                holes.push((line, at));
            }
        }
        if let Some(at) = axis {
            names.place(&mut self.page, at, [MARK_MM, MARK_ARM_MM], "axis");
        }
        for (line, at) in holes {
            let name = &plan.design.vertices[line].name;
            named[line] |= names.place(&mut self.page, at, [radius, radius + ARM_MM], name);
        }
    }

    /// The two lines through the axis, as far as the sheet goes: a pattern is turned right by them.
    fn axis_lines(&mut self) {
        let Rectangle { low, high } = self.tile.window_mm;
        for [a, b] in [[[low.x, 0.0], [high.x, 0.0]], [[0.0, low.y], [0.0, high.y]]] {
            if let Some(seen) = Rectangle::new(a, b).within(&self.tile.window_mm) {
                let [from, to] = [self.at(seen.low), self.at(seen.high)];
                self.page.grey_line(from, to, HAIR_MM);
            }
        }
    }

    /// Where a place of the pattern lies on the page, if it is in the window.
    fn seen(&self, place_mm: Pair) -> Option<[f64; 2]> {
        self.tile
            .window_mm
            .holds(place_mm)
            .then(|| self.at(place_mm))
    }

    fn hole(&mut self, at: [f64; 2], radius: f64) {
        self.page.circle(at, radius, HAIR_MM);
        self.arms(at, radius + ARM_MM, radius + 0.2);
        if 2.0 * radius >= WIDE_HOLE_MM {
            self.arms(at, 0.8, 0.0);
        }
    }

    fn register_mark(&mut self, mark: &RegisterMark, at: [f64; 2]) {
        self.cross(at, MARK_MM, MARK_ARM_MM, 0.0);
        self.cross(at, MARK_MM / 2.0, 0.0, 0.0);
        let name = mark.number.to_string();
        let beside = [at[0] + MARK_MM, at[1] - MARK_MM];
        self.page.text(beside, &name, SMALL_MM, Anchor::Start);
    }

    fn cross(&mut self, at: [f64; 2], radius: f64, arm: f64, from: f64) {
        self.page.circle(at, radius, HAIR_MM);
        self.arms(at, arm, from);
    }

    /// Four arms from `from` to `to` off a middle, as far as they lie in the window.
    fn arms(&mut self, at: [f64; 2], to: f64, from: f64) {
        for direction in [[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]] {
            let [a, b] = [from, to]
                .map(|away| Pair::new(at[0] + away * direction[0], at[1] + away * direction[1]));
            let arm = Rectangle {
                low: a.inf(&b),
                high: a.sup(&b),
            };
            if to > from
                && let Some(seen) = arm.within(&self.window)
            {
                let [from, to] = [seen.low, seen.high].map(|place| [place.x, place.y]);
                self.page.line(from, to, HAIR_MM);
            }
        }
    }

    /// Scales, arrow, key of tiles.
    fn foot(&mut self, tiling: &Tiling, nth: usize) {
        let [width, height] = self.paper_mm;
        let left = self.window.low.x;
        let bottom = self.window.high.y;
        scales::across(&mut self.page, [left, bottom + 7.0]);
        let middle = (self.window.low.y + bottom) / 2.0;
        scales::along(&mut self.page, [left - 3.0, middle - 50.0]);
        let arrow_x = left - 4.5;
        let top = self.window.low.y + 2.0;
        self.page
            .line([arrow_x, top], [arrow_x, top + 14.0], 2.0 * LINE_MM);
        for side in [-1.5, 1.5] {
            self.page
                .line([arrow_x, top], [arrow_x + side, top + 3.5], 2.0 * LINE_MM);
        }
        self.page
            .text([arrow_x, top + 18.0], "up", BODY_MM, Anchor::Middle);
        let key_room = if tiling.tiles.len() > 1 {
            KEY_MM[0] + 4.0
        } else {
            0.0
        };
        let room = width - PAGE_MARGIN_MM - key_room - PAGE_MARGIN_MM;
        let words = scales::words();
        for (line, text) in wrapped(&words, SMALL_MM, room).iter().enumerate() {
            let y = height - 20.5 + 3.3 * line as f64;
            let at = [PAGE_MARGIN_MM, y];
            self.page.text(at, text, SMALL_MM, Anchor::Start);
        }
        if key_room > 0.0 {
            self.key(tiling, nth);
        }
    }

    /// A small picture of how the sheets lie, this one pale.
    fn key(&mut self, tiling: &Tiling, nth: usize) {
        let right = self.paper_mm[0] - PAGE_MARGIN_MM;
        let top = self.window.high.y + 3.0;
        let size = self.window.size_mm();
        let [columns, rows] = [tiling.columns as f64, tiling.rows as f64];
        // room for the words beside it
        let wide = KEY_MM[0] - 17.0;
        let scale = (wide / (columns * size.x)).min(KEY_MM[1] / (rows * size.y));
        let cell = [scale * size.x, scale * size.y];
        let left = right - columns * cell[0];
        for (number, tile) in tiling.tiles.iter().enumerate() {
            let low = [
                left + tile.column as f64 * cell[0],
                top + tile.row as f64 * cell[1],
            ];
            if number == nth {
                self.page.pale(low, cell);
            }
            self.page.frame(low, cell, LINE_MM);
            let em = SMALL_MM.min(0.6 * cell[0].min(cell[1]));
            let at = [low[0] + cell[0] / 2.0, low[1] + cell[1] / 2.0 + 0.36 * em];
            let name = (number + 1).to_string();
            self.page.text(at, &name, em, Anchor::Middle);
        }
        let beside = left - 2.0;
        for (line, words) in ["how the", "sheets lie"].into_iter().enumerate() {
            let y = top + 3.0 + 3.3 * line as f64;
            self.page.text([beside, y], words, SMALL_MM, Anchor::End);
        }
    }
}

/// Keeps names off a mark: the square in its disc, of half the side `within`, and its arms, which reach to `arm`, mm.
fn keep_mark_clear(names: &mut Names, at: [f64; 2], [within, arm]: [f64; 2]) {
    for [wide, high] in [[within, within], [arm, 0.2], [0.2, arm]] {
        names.keep_clear(Rectangle::new(
            [at[0] - wide, at[1] - high],
            [at[0] + wide, at[1] + high],
        ));
    }
}

/// What the dashed outline is.
fn outline_words(pattern: &HolePattern) -> String {
    match pattern.outline {
        Outline::Cabinet => {
            let Rectangle { low, .. } = pattern.outline_mm;
            let size = pattern.outline_mm.size_mm();
            format!(
                "The plate fills the cabinet’s inside, {} × {} mm; the axis is {} mm from its left edge and {} mm above its lower one. Edges that lie on the paper are dashed.",
                tables::length_text(size.x),
                tables::length_text(size.y),
                tables::length_text(0.0 - low.x),
                tables::length_text(0.0 - low.y)
            )
        }
        Outline::Suggested | Outline::BeyondCabinet => format!(
            "The dashed outline ({OUTLINE_MARGIN_MM} mm round holes and axis) is a suggestion."
        ),
    }
}

/// What stands over every sheet of a pattern.
fn head_words(plan: &Plan, pattern: &HolePattern) -> String {
    let mut words = format!(
        "{} holes of {} mm ({}). Seen from the peephole, not mirrored: right on paper is the visitor’s right. Lay the sheet, printed side to the peephole, on the plate’s face that looks at the peephole, arrow up; to work from the other face, turn it over and prick through. The cross marked “axis” belongs straight opposite the peephole’s middle; the thin lines through it lie level and upright. {}",
        pattern.places_mm.len(),
        tables::length_text(pattern.hole_mm),
        tables::tool_words(pattern.hole_mm),
        outline_words(pattern)
    );
    let gravity = &plan.design.gravity;
    if gravity.strength_m_per_s2 > 0.0 && gravity.down.y > -0.999 {
        words.push_str(&format!(
            " Here things do not fall against the arrow: gravity pulls towards {} to the right and {} up.",
            tables::length_text(0.0 - gravity.down.x),
            tables::length_text(gravity.down.y)
        ));
    }
    words
}
