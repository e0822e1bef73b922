//! Room for names beside the points they name.

use super::sheet::{Anchor, Area, Sheet, Spot, Type, text_area};
use super::text::fitted;

/// Longest name beside a point, px.
const LONGEST: f64 = 150.0;

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

    /// Whether a name could stand in `area`.
    fn is_free(&self, area: &Area) -> bool {
        self.within.contains(area)
            && !self.taken.iter().any(|other| other.overlaps(area))
            && !self.lines.iter().any(|[a, b]| area.clip(*a, *b).is_some())
    }

    /// Writes `name` near `at`, clear of everything so far; `false` where it fits nowhere.
    pub(super) fn place(&mut self, sheet: &mut Sheet, at: Spot, name: &str, style: Type) -> bool {
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
        let tries = [true, false]
            .into_iter()
            .flat_map(|keep_off_faint| [9.0, 15.0, 22.0, 32.0].map(|away| (keep_off_faint, away)));
        for (keep_off_faint, away) in tries {
            for (direction, anchor) in around {
                let lift = if anchor == Anchor::Middle { 5.0 } else { 0.0 };
                let place = [
                    at[0] + away * direction[0],
                    at[1] + (away + lift) * direction[1],
                ];
                let area = text_area(place, &name, style, anchor);
                let crosses = |[a, b]: &[Spot; 2]| area.clip(*a, *b).is_some();
                if self.is_free(&area) && !(keep_off_faint && self.faint_lines.iter().any(crosses))
                {
                    sheet.text(place, &name, style, anchor);
                    self.taken.push(area);
                    return true;
                }
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
