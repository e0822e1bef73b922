//! Room for names beside the points they name.

use super::sheet::{Anchor, Area, GREY, Sheet, Spot, Type, text_area};
use super::text::fitted;

/// Longest name beside a point, px.
const LONGEST: f64 = 150.0;

/// How far the name of one line keeps from all others where it can, px.
const NEARER: f64 = 7.0;

/// A line's name that stands so far from it is led to it by a thin line, px.
const LED: f64 = 15.0;

/// What names must keep clear of, and where they may stand.
#[derive(Debug, Clone)]
pub(super) struct Labels {
    within: Area,
    taken: Vec<Area>,
    /// Lines that no name may cross.
    lines: Vec<[Spot; 2]>,
    /// Lines that a name crosses only where it finds no other room.
    faint_lines: Vec<[Spot; 2]>,
}

impl Labels {
    pub(super) fn new(within: Area) -> Self {
        Self {
            within,
            taken: Vec::new(),
            lines: Vec::new(),
            faint_lines: Vec::new(),
        }
    }

    pub(super) fn keep_clear(&mut self, area: Area) {
        self.taken.push(area);
    }

    pub(super) fn keep_off(&mut self, a: Spot, b: Spot) {
        self.lines.push([a, b]);
    }

    pub(super) fn rather_keep_off(&mut self, a: Spot, b: Spot) {
        self.faint_lines.push([a, b]);
    }

    /// Takes `area` for something else, if it is free; `false` where it is not.
    pub(super) fn take(&mut self, area: Area) -> bool {
        let is_free = self.is_free(&area);
        if is_free {
            self.taken.push(area);
        }
        is_free
    }

    /// Whether a name could stand in `area`.
    fn is_free(&self, area: &Area) -> bool {
        self.within.contains(area)
            && !self.taken.iter().any(|other| other.overlaps(area))
            && !self.lines.iter().any(|[a, b]| area.clip(*a, *b).is_some())
    }

    /// Whether a name in `area` would be crossed by a faint line or be taken for another line's than `own`.
    fn is_poor(&self, area: &Area, own: Option<[Spot; 2]>) -> bool {
        let touches = |area: &Area, [a, b]: &[Spot; 2]| area.clip(*a, *b).is_some();
        let wide = area.grown(NEARER);
        self.faint_lines.iter().any(|line| touches(area, line))
            || own.is_some_and(|own| {
                self.lines
                    .iter()
                    .any(|line| *line != own && touches(&wide, line))
            })
    }

    /// Writes a text at `at` itself, if that is free; `false` where it is not.
    pub(super) fn place_at(
        &mut self,
        sheet: &mut Sheet,
        at: Spot,
        text: &str,
        style: Type,
        anchor: Anchor,
    ) -> bool {
        let area = text_area(at, text, style, anchor);
        let is_free = self.is_free(&area);
        if is_free {
            sheet.text(at, text, style, anchor);
            self.taken.push(area);
        }
        is_free
    }

    /// Writes `name` near `at`, clear of everything so far; `false` where it fits nowhere.
    pub(super) fn place(&mut self, sheet: &mut Sheet, at: Spot, name: &str, style: Type) -> bool {
        self.place_by(sheet, &[at], None, name, style)
    }

    /// The same for the name of the line `own`, near one of its `spots`, the first that will do: where there is room,
    /// away from all other lines. A thin line leads to it from where it stands far off.
    pub(super) fn place_by(
        &mut self,
        sheet: &mut Sheet,
        spots: &[Spot],
        own: Option<[Spot; 2]>,
        name: &str,
        style: Type,
    ) -> bool {
        const DIAGONAL: f64 = 0.75;
        let name = fitted(name, style, LONGEST);
        let around = [
            ([1.0, 0.0], Anchor::Start),
            ([-1.0, 0.0], Anchor::End),
            ([0.0, -1.0], Anchor::Middle),
            ([0.0, 1.0], Anchor::Middle),
            ([DIAGONAL, -DIAGONAL], Anchor::Start),
            ([-DIAGONAL, -DIAGONAL], Anchor::End),
            ([DIAGONAL, DIAGONAL], Anchor::Start),
            ([-DIAGONAL, DIAGONAL], Anchor::End),
        ];
        let tries = [true, false].into_iter().flat_map(|strict| {
            spots
                .iter()
                .flat_map(move |spot| [9.0, 15.0, 22.0, 32.0].map(|away| (strict, *spot, away)))
        });
        for (strict, at, away) in tries {
            for (direction, anchor) in around {
                let lift = if anchor == Anchor::Middle { 5.0 } else { 0.0 };
                let place = [
                    at[0] + away * direction[0],
                    at[1] + (away + lift) * direction[1],
                ];
                let area = text_area(place, &name, style, anchor);
                if !self.is_free(&area) || strict && self.is_poor(&area, own) {
                    continue;
                }
                if own.is_some() && away >= LED {
                    let from = [
                        at[0].clamp(area.left, area.right),
                        at[1].clamp(area.top, area.bottom),
                    ];
                    if self
                        .taken
                        .iter()
                        .any(|other| other.clip(from, at).is_some())
                    {
                        continue;
                    }
                    sheet.line(from, at, GREY, 0.8);
                }
                sheet.text(place, &name, style, anchor);
                self.taken.push(area);
                return true;
            }
        }
        false
    }
}

#[cfg(test)]
mod tests {
    use super::super::sheet::{LABEL, Mark};
    use super::*;

    #[test]
    fn names_never_cover_each_other() {
        let mut sheet = Sheet::new(400.0, 400.0);
        let mut labels = Labels::new(sheet.area());
        let placed = (0..60)
            .filter(|i| {
                let at = [
                    200.0 + f64::from(i % 7) * 9.0,
                    200.0 + f64::from(i % 5) * 8.0,
                ];
                labels.place(&mut sheet, at, &format!("vertex {i}"), LABEL)
            })
            .count();
        assert!((4..60).contains(&placed), "{placed}");
        let areas: Vec<Area> = sheet
            .marks
            .iter()
            .filter_map(|mark| match mark {
                Mark::Text {
                    at, text, anchor, ..
                } => Some(text_area(*at, text, LABEL, *anchor)),
                _ => None,
            })
            .collect();
        assert_eq!(areas.len(), placed);
        for (i, a) in areas.iter().enumerate() {
            assert!(areas[i + 1..].iter().all(|b| !a.overlaps(b)));
        }
    }
}
