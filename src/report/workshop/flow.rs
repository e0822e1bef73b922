//! Headings, paragraphs, numbered steps and tables set on pages, as many as they take.

use super::canvas::{
    Anchor, BODY_MM, Canvas, HAIR_MM, HEADING_MM, LINE_MM, PAGE_MARGIN_MM, SMALL_MM, fitted,
    wrapped,
};
use crate::decision::workshop::Paper;

/// From baseline to baseline of plain text and of a table's rows, mm.
const PITCH_MM: f64 = 4.3;
const ROW_MM: f64 = 4.7;
/// Baseline of a page's first line and the lowest one, from the sheet's top and bottom, mm.
const TOP_MM: f64 = 16.0;
const BOTTOM_MM: f64 = 19.0;
/// A table begins on a new page rather than with fewer rows than this at a page's end.
const FEWEST_ROWS: usize = 3;
/// Space between a table's columns, mm.
const GAP_MM: f64 = 2.0;

/// A table's column.
#[derive(Debug, Clone)]
pub(super) struct Column {
    /// Its heading, in at most two lines parted by `\n`.
    pub title: &'static str,
    /// Its part of the width.
    pub share: f64,
    /// Whether its entries are numbers, set to the right.
    pub is_number: bool,
}

impl Column {
    pub(super) fn words(title: &'static str, share: f64) -> Self {
        Self {
            title,
            share,
            is_number: false,
        }
    }

    pub(super) fn number(title: &'static str, share: f64) -> Self {
        Self {
            title,
            share,
            is_number: true,
        }
    }
}

/// What stands on the pages, in turn.
#[derive(Debug, Clone)]
pub(super) enum Block {
    Heading(String),
    Paragraph(String),
    /// A step with its number or sign, hanging.
    Step(String, String),
    Table {
        columns: Vec<Column>,
        rows: Vec<Vec<String>>,
    },
}

/// The pages that the blocks take.
pub(super) fn laid_out(blocks: &[Block], paper: Paper) -> Vec<Canvas> {
    let mut flow = Flow::new(paper);
    for block in blocks {
        match block {
            Block::Heading(text) => flow.heading(text),
            Block::Paragraph(text) => flow.lines(text, 0.0, None),
            Block::Step(sign, text) => flow.lines(text, 7.0, Some(sign)),
            Block::Table { columns, rows } => flow.table(columns, rows),
        }
    }
    flow.pages.push(flow.page);
    flow.pages
}

struct Flow {
    pages: Vec<Canvas>,
    page: Canvas,
    size_mm: [f64; 2],
    /// Baseline of the next line.
    y: f64,
}

impl Flow {
    fn new(paper: Paper) -> Self {
        let size_mm = paper.size_mm();
        Self {
            pages: Vec::new(),
            page: Canvas::new(size_mm),
            size_mm,
            y: TOP_MM,
        }
    }

    fn room_mm(&self) -> f64 {
        self.size_mm[0] - 2.0 * PAGE_MARGIN_MM
    }

    fn lowest_mm(&self) -> f64 {
        self.size_mm[1] - BOTTOM_MM
    }

    fn turn(&mut self) {
        let full = std::mem::replace(&mut self.page, Canvas::new(self.size_mm));
        self.pages.push(full);
        self.y = TOP_MM;
    }

    /// A new page unless so much room is left.
    fn need(&mut self, height_mm: f64) {
        if self.y + height_mm > self.lowest_mm() && self.y > TOP_MM {
            self.turn();
        }
    }

    fn heading(&mut self, text: &str) {
        // no heading without something under it
        self.need(5.0 + HEADING_MM + 8.0 * ROW_MM);
        if self.y > TOP_MM {
            self.y += 5.0;
        }
        let at = [PAGE_MARGIN_MM, self.y];
        let room = self.room_mm();
        self.page.text_in(at, text, HEADING_MM, Anchor::Start, room);
        self.y += HEADING_MM + 2.0;
    }

    fn lines(&mut self, text: &str, indent: f64, sign: Option<&str>) {
        let lines = wrapped(text, BODY_MM, self.room_mm() - indent);
        self.need(PITCH_MM * lines.len().min(6) as f64 - PITCH_MM);
        for (nth, line) in lines.iter().enumerate() {
            if self.y > self.lowest_mm() {
                self.turn();
            }
            if let (0, Some(sign)) = (nth, sign) {
                let at = [PAGE_MARGIN_MM, self.y];
                self.page.text(at, sign, BODY_MM, Anchor::Start);
            }
            let at = [PAGE_MARGIN_MM + indent, self.y];
            self.page.text(at, line, BODY_MM, Anchor::Start);
            self.y += PITCH_MM;
        }
        self.y += 1.6;
    }

    fn table(&mut self, columns: &[Column], rows: &[Vec<String>]) {
        self.need(ROW_MM * (FEWEST_ROWS.min(rows.len()) + 2) as f64);
        self.table_head(columns);
        for row in rows {
            let cells: Vec<(f64, Anchor, Vec<String>)> = self
                .placed(columns, row)
                .into_iter()
                .map(|(column, (left, width), entry)| {
                    if column.is_number {
                        let text = fitted(entry, BODY_MM, width);
                        (left + width, Anchor::End, vec![text])
                    } else {
                        (left, Anchor::Start, wrapped(entry, BODY_MM, width))
                    }
                })
                .collect();
            let deepest = cells.iter().map(|(_, _, lines)| lines.len()).max();
            let more_mm = PITCH_MM * deepest.unwrap_or(1).saturating_sub(1) as f64;
            if self.y + more_mm > self.lowest_mm() {
                self.turn();
                self.table_head(columns);
            }
            for (x, anchor, lines) in cells {
                for (nth, line) in lines.iter().enumerate() {
                    let y = self.y + PITCH_MM * nth as f64;
                    self.page.text([x, y], line, BODY_MM, anchor);
                }
            }
            self.y += more_mm;
            let y = self.y;
            let right = self.size_mm[0] - PAGE_MARGIN_MM;
            self.page
                .grey_line([PAGE_MARGIN_MM, y + 1.3], [right, y + 1.3], HAIR_MM);
            self.y += ROW_MM;
        }
        self.y += 2.0;
    }

    fn table_head(&mut self, columns: &[Column]) {
        let deepest = columns
            .iter()
            .map(|column| column.title.lines().count())
            .max()
            .unwrap_or(1);
        let titles: Vec<String> = columns
            .iter()
            .map(|column| column.title.to_owned())
            .collect();
        let y = self.y;
        for (column, (left, width), title) in self.placed(columns, &titles) {
            let lines: Vec<&str> = title.lines().collect();
            for (nth, line) in lines.iter().enumerate() {
                let (x, anchor) = if column.is_number {
                    (left + width, Anchor::End)
                } else {
                    (left, Anchor::Start)
                };
                let down = (deepest - lines.len() + nth) as f64 * 3.3;
                self.page.text([x, y + down], line, SMALL_MM, anchor);
            }
        }
        self.y += 3.3 * (deepest - 1) as f64;
        let right = self.size_mm[0] - PAGE_MARGIN_MM;
        self.page.line(
            [PAGE_MARGIN_MM, self.y + 1.3],
            [right, self.y + 1.3],
            LINE_MM,
        );
        self.y += ROW_MM;
    }

    /// Columns with their left end and width, mm, and what stands in them.
    fn placed<'a>(
        &self,
        columns: &'a [Column],
        entries: &'a [String],
    ) -> Vec<(&'a Column, (f64, f64), &'a str)> {
        let all: f64 = columns.iter().map(|column| column.share).sum();
        let unit = self.room_mm() / all;
        let mut left = PAGE_MARGIN_MM;
        let mut placed = Vec::with_capacity(columns.len());
        for (column, entry) in columns.iter().zip(entries) {
            let width = unit * column.share;
            placed.push((column, (left, width - GAP_MM), entry.as_str()));
            left += width;
        }
        placed
    }
}
