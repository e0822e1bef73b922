//! A sheet of marks in logical pixels: what a drawing is before it becomes SVG or PNG.
//!
//! x runs to the right and y down, as on a screen. Marks keep their order: later ones lie on top. Nothing here knows a
//! file format, so what a drawing shows is the same in both.

use super::stretch::{Part, Stretch};
use super::text::{clean, fitted, text_width};
use crate::figure::Item;

/// A place on the sheet, px.
pub(super) type Spot = [f64; 2];

/// A colour, red green blue.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Ink(pub u8, pub u8, pub u8);

// Okabe & Ito, "Color Universal Design" (2008): told apart by all common kinds of colour vision
pub(super) const BLACK: Ink = Ink(0, 0, 0);
pub(super) const BLUE: Ink = Ink(0x00, 0x72, 0xB2);
pub(super) const VERMILLION: Ink = Ink(0xD5, 0x5E, 0x00);
pub(super) const GREEN: Ink = Ink(0x00, 0x9E, 0x73);
pub(super) const ORANGE: Ink = Ink(0xE6, 0x9F, 0x00);
pub(super) const SKY: Ink = Ink(0x56, 0xB4, 0xE9);
pub(super) const YELLOW: Ink = Ink(0xF0, 0xE4, 0x42);
pub(super) const PURPLE: Ink = Ink(0xCC, 0x79, 0xA7);
pub(super) const WHITE: Ink = Ink(0xFF, 0xFF, 0xFF);
pub(super) const GREY: Ink = Ink(0x5A, 0x5A, 0x5A);
pub(super) const PALE: Ink = Ink(0xD9, 0xD9, 0xD9);
pub(super) const FAINT: Ink = Ink(0xEC, 0xEC, 0xEC);

/// How a stroke is broken up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Pattern {
    Solid,
    Dashed,
    Dotted,
    DashDot,
}

impl Pattern {
    /// Lengths of marks and spaces in turn, px; empty for an unbroken stroke.
    pub(super) fn lengths(self) -> &'static [f64] {
        match self {
            Self::Solid => &[],
            Self::Dashed => &[7.0, 4.0],
            Self::Dotted => &[2.0, 3.0],
            Self::DashDot => &[10.0, 3.0, 2.0, 3.0],
        }
    }
}

/// Which part of a text stands at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

/// Size and weight of a text.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Type {
    /// Em, px.
    pub em: f64,
    pub bold: bool,
    pub ink: Ink,
}

pub(super) const TITLE: Type = Type {
    em: 18.0,
    bold: true,
    ink: BLACK,
};
pub(super) const LABEL: Type = Type {
    em: 13.0,
    bold: false,
    ink: BLACK,
};
pub(super) const STRONG: Type = Type {
    em: 13.0,
    bold: true,
    ink: BLACK,
};
pub(super) const NOTE: Type = Type {
    em: 12.0,
    bold: false,
    ink: GREY,
};

/// One mark.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Mark {
    /// An open line.
    Stroke {
        points: Vec<Spot>,
        ink: Ink,
        width: f64,
        dash: Pattern,
    },
    /// A filled convex polygon.
    Fill { points: Vec<Spot>, ink: Ink },
    /// A filled disc.
    Disc { at: Spot, radius: f64, ink: Ink },
    /// One line of text; its capitals are centred on the height of `at`.
    Text {
        at: Spot,
        text: String,
        style: Type,
        anchor: Anchor,
    },
}

/// A rectangle, px.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Area {
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
}

impl Area {
    pub(super) fn new(left: f64, top: f64, right: f64, bottom: f64) -> Self {
        Self {
            left,
            top,
            right,
            bottom,
        }
    }

    pub(super) fn width(&self) -> f64 {
        self.right - self.left
    }

    pub(super) fn height(&self) -> f64 {
        self.bottom - self.top
    }

    pub(super) fn centre(&self) -> Spot {
        [
            (self.left + self.right) / 2.0,
            (self.top + self.bottom) / 2.0,
        ]
    }

    /// The same with `by` px more on every side.
    pub(super) fn grown(&self, by: f64) -> Self {
        Self::new(
            self.left - by,
            self.top - by,
            self.right + by,
            self.bottom + by,
        )
    }

    pub(super) fn sides(&self) -> [[Spot; 2]; 4] {
        let corners = [
            [self.left, self.top],
            [self.right, self.top],
            [self.right, self.bottom],
            [self.left, self.bottom],
        ];
        [0, 1, 2, 3].map(|i| [corners[i], corners[(i + 1) % 4]])
    }

    pub(super) fn overlaps(&self, other: &Self) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }

    pub(super) fn contains(&self, other: &Self) -> bool {
        self.left <= other.left
            && other.right <= self.right
            && self.top <= other.top
            && other.bottom <= self.bottom
    }

    /// The part of the segment from `a` to `b` inside (Liang & Barsky 1984); `None` when none is, or when an end is not
    /// finite.
    pub(super) fn clip(&self, a: Spot, b: Spot) -> Option<[Spot; 2]> {
        if !a.iter().chain(&b).all(|c| c.is_finite()) {
            return None;
        }
        let run = [b[0] - a[0], b[1] - a[1]];
        let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
        for (p, q) in [
            (-run[0], a[0] - self.left),
            (run[0], self.right - a[0]),
            (-run[1], a[1] - self.top),
            (run[1], self.bottom - a[1]),
        ] {
            if p == 0.0 {
                if q < 0.0 {
                    return None;
                }
            } else if p < 0.0 {
                enter = enter.max(q / p);
            } else {
                leave = leave.min(q / p);
            }
        }
        let at = |t: f64| [a[0] + t * run[0], a[1] + t * run[1]];
        (enter <= leave).then(|| [at(enter), at(leave)])
    }
}

/// A drawing in the making.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Sheet {
    pub width: f64,
    pub height: f64,
    pub marks: Vec<Mark>,
    /// Which marks stand for which rod or junction, in the order of the marks.
    pub stretches: Vec<Stretch>,
    /// Rods that are marked from the start.
    pub lit: Vec<usize>,
}

impl Sheet {
    pub(super) fn new(width: f64, height: f64) -> Self {
        Self {
            width,
            height,
            marks: Vec::new(),
            stretches: Vec::new(),
            lit: Vec::new(),
        }
    }

    pub(super) fn area(&self) -> Area {
        Area::new(0.0, 0.0, self.width, self.height)
    }

    /// Whatever `draw` draws stands for `item`. Nothing within may be said to stand for another.
    pub(super) fn part_of<T>(
        &mut self,
        item: Item,
        part: Part,
        draw: impl FnOnce(&mut Self) -> T,
    ) -> T {
        let from = self.marks.len();
        let drawn = draw(self);
        let to = self.marks.len();
        if to > from {
            self.stretches.push(Stretch {
                from,
                to,
                item,
                part,
                at: Vec::new(),
            });
        }
        drawn
    }

    /// Says where `item` is, without drawing anything.
    pub(super) fn place_of(&mut self, item: Item, at: &[Spot]) {
        let within = self.area();
        let at: Vec<Spot> = at
            .iter()
            .filter(|[x, y]| within.contains(&Area::new(*x, *y, *x, *y)))
            .copied()
            .collect();
        if !at.is_empty() {
            let from = self.marks.len();
            self.stretches.push(Stretch {
                from,
                to: from,
                item,
                part: Part::Place,
                at,
            });
        }
    }

    pub(super) fn stroke(&mut self, points: &[Spot], ink: Ink, width: f64, dash: Pattern) {
        let within = self.area();
        self.stroke_within(&within, points, ink, width, dash);
    }

    pub(super) fn line(&mut self, a: Spot, b: Spot, ink: Ink, width: f64) {
        self.stroke(&[a, b], ink, width, Pattern::Solid);
    }

    /// A stroke, as far as it lies in `within`.
    pub(super) fn stroke_within(
        &mut self,
        within: &Area,
        points: &[Spot],
        ink: Ink,
        width: f64,
        dash: Pattern,
    ) {
        let mut run: Vec<Spot> = Vec::new();
        let mut runs = Vec::new();
        for pair in points.windows(2) {
            let Some([a, b]) = within.clip(pair[0], pair[1]) else {
                continue;
            };
            if run.last() != Some(&a) {
                runs.push(std::mem::replace(&mut run, vec![a]));
            }
            run.push(b);
        }
        runs.push(run);
        for points in runs.into_iter().filter(|run| run.len() > 1) {
            self.marks.push(Mark::Stroke {
                points,
                ink,
                width,
                dash,
            });
        }
    }

    /// A filled convex polygon; left out when a corner is not finite or lies far off the sheet.
    pub(super) fn fill(&mut self, points: &[Spot], ink: Ink) {
        let far = 4.0 * (self.width + self.height);
        if points.iter().flatten().all(|c| c.abs() < far) {
            let points = points.to_vec();
            self.marks.push(Mark::Fill { points, ink });
        }
    }

    pub(super) fn rect(&mut self, area: &Area, ink: Ink) {
        self.fill(
            &[
                [area.left, area.top],
                [area.right, area.top],
                [area.right, area.bottom],
                [area.left, area.bottom],
            ],
            ink,
        );
    }

    pub(super) fn outline(&mut self, area: &Area, ink: Ink, width: f64) {
        self.stroke(
            &[
                [area.left, area.top],
                [area.right, area.top],
                [area.right, area.bottom],
                [area.left, area.bottom],
                [area.left, area.top],
            ],
            ink,
            width,
            Pattern::Solid,
        );
    }

    /// Slanted lines over `area`, `spacing` px apart; `rising` says which way they slant.
    pub(super) fn hatch(&mut self, area: &Area, spacing: f64, ink: Ink, rising: bool) {
        let h = area.height();
        // starts on one lattice for the whole sheet, so that neighbouring areas join
        let base = if rising {
            area.left + area.bottom
        } else {
            area.left - area.bottom
        };
        // a rising line that crosses the left edge starts to the left of it
        let ahead = if rising { h } else { 0.0 };
        let mut k = ((base - ahead) / spacing).floor() - 1.0;
        loop {
            let c = k * spacing;
            let x = if rising {
                c - area.bottom
            } else {
                c + area.bottom
            };
            let (a, b) = if rising {
                ([x, area.bottom], [x + h, area.top])
            } else {
                ([x, area.bottom], [x - h, area.top])
            };
            if x.min(b[0]) > area.right {
                break;
            }
            self.stroke_within(area, &[a, b], ink, 1.0, Pattern::Solid);
            k += 1.0;
        }
    }

    pub(super) fn disc(&mut self, at: Spot, radius: f64, ink: Ink) {
        if at.iter().all(|c| c.is_finite()) {
            self.marks.push(Mark::Disc { at, radius, ink });
        }
    }

    /// A white disc with a rim.
    pub(super) fn ring(&mut self, at: Spot, radius: f64, ink: Ink) {
        self.disc(at, radius, ink);
        self.disc(at, radius - 1.4, WHITE);
    }

    pub(super) fn text(&mut self, at: Spot, text: &str, style: Type, anchor: Anchor) {
        let text = clean(text);
        if at.iter().all(|c| c.is_finite()) && !text.is_empty() {
            self.marks.push(Mark::Text {
                at,
                text,
                style,
                anchor,
            });
        }
    }

    /// A text cut with an ellipsis to at most `room` px.
    pub(super) fn text_in(&mut self, at: Spot, text: &str, style: Type, anchor: Anchor, room: f64) {
        let text = fitted(text, style, room);
        self.text(at, &text, style, anchor);
    }

    /// A text on a white ground, so that what lies behind does not cross it.
    pub(super) fn text_on_white(&mut self, at: Spot, text: &str, style: Type, anchor: Anchor) {
        self.rect(&text_area(at, text, style, anchor), WHITE);
        self.text(at, text, style, anchor);
    }
}

/// The room that a text takes.
pub(super) fn text_area(at: Spot, text: &str, style: Type, anchor: Anchor) -> Area {
    let width = text_width(text, style);
    let left = match anchor {
        Anchor::Start => at[0],
        Anchor::Middle => at[0] - width / 2.0,
        Anchor::End => at[0] - width,
    };
    Area::new(
        left - 2.0,
        at[1] - 0.68 * style.em,
        left + width + 2.0,
        at[1] + 0.68 * style.em,
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    const SQUARE: Area = Area {
        left: 0.0,
        top: 0.0,
        right: 10.0,
        bottom: 10.0,
    };

    #[test]
    fn a_segment_is_cut_at_the_border() {
        assert_eq!(
            SQUARE.clip([-5.0, 5.0], [15.0, 5.0]),
            Some([[0.0, 5.0], [10.0, 5.0]])
        );
        assert_eq!(SQUARE.clip([-5.0, 5.0], [-1.0, 9.0]), None);
        assert_eq!(SQUARE.clip([1.0, f64::NAN], [2.0, 2.0]), None);
        assert_eq!(
            SQUARE.clip([1.0, 1.0], [2.0, 2.0]),
            Some([[1.0, 1.0], [2.0, 2.0]])
        );
    }

    #[test]
    fn a_stroke_that_leaves_and_returns_becomes_two() {
        let mut sheet = Sheet::new(10.0, 10.0);
        sheet.stroke(
            &[[5.0, 5.0], [20.0, 5.0], [20.0, 8.0], [5.0, 8.0]],
            BLACK,
            1.0,
            Pattern::Solid,
        );
        assert_eq!(sheet.marks.len(), 2);
    }

    #[test]
    fn hatching_stays_inside_its_area() {
        for rising in [true, false] {
            let mut sheet = Sheet::new(100.0, 100.0);
            let area = Area::new(20.0, 30.0, 60.0, 45.0);
            sheet.hatch(&area, 5.0, BLACK, rising);
            assert!(sheet.marks.len() > 5, "{}", sheet.marks.len());
            for mark in &sheet.marks {
                let Mark::Stroke { points, .. } = mark else {
                    panic!("hatching is strokes");
                };
                for [x, y] in points {
                    assert!((20.0..=60.0).contains(x) && (30.0..=45.0).contains(y));
                }
            }
        }
    }
}
