//! How a pattern that is larger than a sheet is spread over several, with overlap and register marks.
//!
//! All tiles have the size of the sheet's window; neighbours overlap by the same width everywhere, and together they lie evenly about
//! the pattern. A register mark stands in the middle of an overlap, so that it is on both sheets.

use super::pattern::Rectangle;
use crate::geometry::Pair;

/// Least overlap of neighbouring tiles, mm: room for a register mark and for glue (chosen; common practice, no source).
const LEAST_OVERLAP_MM: f64 = 15.0;
/// A register mark so far from all other marks is clear of them, mm.
const CLEAR_MM: f64 = 12.0;
/// Most tiles of one pattern: beyond it joining paper is no way to make a plate (chosen).
const MOST_TILES: usize = 60;

/// One sheet's part of a pattern.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tile {
    /// Column, from the left, from 0.
    pub column: usize,
    /// Row, from the top, from 0.
    pub row: usize,
    /// The part of the pattern's plane that it shows, mm.
    pub window_mm: Rectangle,
}

/// A mark that stands on two or more neighbouring tiles, at the same place of the pattern.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RegisterMark {
    /// Its number, from 1.
    pub number: usize,
    /// Where it stands in the pattern, mm.
    pub at_mm: Pair,
}

/// The sheets of one pattern.
#[derive(Debug, Clone, PartialEq)]
pub struct Tiling {
    /// Number of columns.
    pub columns: usize,
    /// Number of rows.
    pub rows: usize,
    /// By how much neighbours overlap, mm.
    pub overlap_mm: f64,
    /// The tiles, row by row from the top, each from the left.
    pub tiles: Vec<Tile>,
    /// The register marks.
    pub marks: Vec<RegisterMark>,
}

/// A pattern cannot be put on sheets of paper.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum NoTiling {
    /// A hole is so wide that overlaps would leave nothing of a sheet.
    HoleTooWide {
        /// Diameter, mm.
        hole_mm: f64,
    },
    /// It would take too many sheets.
    TooManySheets {
        /// Number of sheets, as far as it can be counted.
        sheets: f64,
        /// Most sheets.
        most: usize,
    },
}

impl std::fmt::Display for NoTiling {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::HoleTooWide { hole_mm } => {
                write!(
                    f,
                    "holes of {hole_mm} mm leave no room for overlaps on a sheet"
                )
            }
            Self::TooManySheets { sheets, most } => {
                write!(f, "it would take {sheets} sheets, more than {most}")
            }
        }
    }
}

impl std::error::Error for NoTiling {}

/// Spreads `whole_mm` over sheets that each show `window_mm` (width, height) of it. `hole_mm` is the diameter of its holes: an
/// overlap is at least as wide, so that every hole is whole on some sheet. Register marks keep off the other marks at
/// `marked_mm` where they can.
///
/// # Errors
/// [`NoTiling`] when a hole is too wide, or too many sheets would be needed.
pub fn tiling(
    whole_mm: &Rectangle,
    window_mm: [f64; 2],
    hole_mm: f64,
    marked_mm: &[Pair],
) -> Result<Tiling, NoTiling> {
    let overlap_mm = LEAST_OVERLAP_MM.max((1.5 * hole_mm).ceil());
    if !(2.0 * overlap_mm < window_mm[0].min(window_mm[1])) {
        return Err(NoTiling::HoleTooWide { hole_mm });
    }
    let size_mm = whole_mm.size_mm();
    let needed = [0, 1].map(|i| pieces(size_mm[i], window_mm[i], overlap_mm));
    let sheets = needed[0] * needed[1];
    if !(sheets <= MOST_TILES as f64) {
        return Err(NoTiling::TooManySheets {
            sheets,
            most: MOST_TILES,
        });
    }
    let [columns, rows] = needed.map(|count| count as usize);
    let step_mm = window_mm.map(|window| window - overlap_mm);
    let span_mm = [0, 1].map(|i| needed[i] * step_mm[i] + overlap_mm);
    let middle = (whole_mm.low + whole_mm.high) / 2.0;
    let left_mm = middle.x - span_mm[0] / 2.0;
    let top_mm = middle.y + span_mm[1] / 2.0;
    let mut tiles = Vec::with_capacity(columns * rows);
    for row in 0..rows {
        for column in 0..columns {
            let low_x = left_mm + column as f64 * step_mm[0];
            let high_y = top_mm - row as f64 * step_mm[1];
            tiles.push(Tile {
                column,
                row,
                window_mm: Rectangle::new(
                    [low_x, high_y - window_mm[1]],
                    [low_x + window_mm[0], high_y],
                ),
            });
        }
    }
    let marks = register_marks(&tiles, columns, rows, overlap_mm, marked_mm);
    Ok(Tiling {
        columns,
        rows,
        overlap_mm,
        tiles,
        marks,
    })
}

/// Fewest windows that cover a length, neighbours overlapping.
fn pieces(length_mm: f64, window_mm: f64, overlap_mm: f64) -> f64 {
    if length_mm <= window_mm {
        1.0
    } else {
        ((length_mm - overlap_mm) / (window_mm - overlap_mm)).ceil()
    }
}

/// Two marks in every overlap of two neighbours, about a quarter and three quarters along it.
fn register_marks(
    tiles: &[Tile],
    columns: usize,
    rows: usize,
    overlap_mm: f64,
    marked_mm: &[Pair],
) -> Vec<RegisterMark> {
    let mut places = Vec::new();
    for tile in tiles {
        let window = tile.window_mm;
        let size = window.size_mm();
        for part in [0.25, 0.75] {
            if tile.column + 1 < columns {
                let x = window.high.x - overlap_mm / 2.0;
                let at = |part: f64| Pair::new(x, window.high.y - part * size.y);
                places.push(clear_place(at, part, marked_mm));
            }
            if tile.row + 1 < rows {
                let y = window.low.y + overlap_mm / 2.0;
                let at = |part: f64| Pair::new(window.low.x + part * size.x, y);
                places.push(clear_place(at, part, marked_mm));
            }
        }
    }
    let numbered = places.into_iter().enumerate();
    numbered
        .map(|(nth, at_mm)| RegisterMark {
            number: nth + 1,
            at_mm,
        })
        .collect()
}

/// The place about `part` along an overlap that keeps clear of the other marks, or of those tried the one farthest from any.
fn clear_place(at: impl Fn(f64) -> Pair, part: f64, marked_mm: &[Pair]) -> Pair {
    let clearance_mm = |place: &Pair| {
        let nearest = marked_mm.iter().map(|mark| (mark - place).norm());
        nearest.fold(CLEAR_MM, f64::min)
    };
    let mut best = at(part);
    for shift in [0.06, -0.06, 0.12, -0.12] {
        let other = at(part + shift);
        if clearance_mm(&other) > clearance_mm(&best) {
            best = other;
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pattern_as_large_as_the_window_takes_one_sheet() {
        let whole = Rectangle::new([-90.0, -100.0], [90.0, 100.0]);
        let found = tiling(&whole, [180.0, 200.0], 0.5, &[]).expect("fits");
        assert_eq!([found.columns, found.rows], [1, 1]);
        assert_eq!(found.tiles[0].window_mm, whole);
        assert!(found.marks.is_empty());
    }

    #[test]
    fn a_millimetre_more_takes_two_sheets_that_overlap_as_stated() {
        let whole = Rectangle::new([0.0, 0.0], [181.0, 100.0]);
        let found = tiling(&whole, [180.0, 200.0], 0.5, &[]).expect("fits");
        assert_eq!([found.columns, found.rows], [2, 1]);
        let [left, right] = [found.tiles[0].window_mm, found.tiles[1].window_mm];
        assert!((left.high.x - right.low.x - found.overlap_mm).abs() < 1e-12);
        assert_eq!(found.marks.len(), 2);
    }

    #[test]
    fn wide_holes_and_endless_plates_are_refused() {
        let whole = Rectangle::new([0.0, 0.0], [1e5, 1e5]);
        assert!(matches!(
            tiling(&whole, [180.0, 200.0], 0.5, &[]),
            Err(NoTiling::TooManySheets { .. })
        ));
        assert!(matches!(
            tiling(&whole, [180.0, 200.0], 300.0, &[]),
            Err(NoTiling::HoleTooWide { .. })
        ));
    }
}
