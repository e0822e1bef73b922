//! What the workshop needs: hole patterns at true size on paper and for a cutter, and pages with lengths, places and steps.
//!
//! Map: `canvas` holds marks in millimetres and writes them as SVG; `scales` are the check scales of a page, `names` finds room for
//! the holes' names, `pattern_page` is one tile of a pattern; `flow` sets headings, paragraphs and tables on pages, `tables` and
//! `steps` are what they say; `pdf` joins the pages; `cutter_svg` and `cutter_dxf` are for machines, `json` for programs.

mod canvas;
mod cutter_dxf;
mod cutter_svg;
mod flow;
mod json;
mod names;
mod pattern_page;
mod pdf;
mod picture_page;
mod scales;
mod steps;
mod tables;

pub use json::SHEETS_SCHEMA;

use super::about::About;
use crate::decision::workshop::{HolePattern, NoTiling, Outline, Paper, Tiling, tiling};
use crate::figure::{Allowed, Plan, Plate};
use crate::geometry::Pair;
use canvas::Canvas;
use std::fmt;

/// Why sheets could not be made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SheetsError {
    /// A page is no SVG that can be put into a PDF, with the library's words.
    Page(String),
    /// A file for a cutter could not be written, with the library's words.
    Cutter(String),
    /// The numbers could not be written as JSON, with the library's words.
    Json(String),
}

impl fmt::Display for SheetsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Page(words) => write!(f, "a page could not be made: {words}"),
            Self::Cutter(words) => write!(f, "a cutter's file could not be written: {words}"),
            Self::Json(words) => write!(f, "the numbers could not be written: {words}"),
        }
    }
}

impl std::error::Error for SheetsError {}

/// One plate's pattern, and how it lies on sheets.
struct Spread {
    pattern: HolePattern,
    tiling: Result<Tiling, NoTiling>,
}

impl Spread {
    fn of(plan: &Plan, plate: Plate, paper: Paper, allowed: Option<&Allowed>) -> Self {
        let pattern = HolePattern::of(plan, plate, allowed);
        let window_mm = pattern_page::window_mm(paper);
        // register marks keep off the axis' mark too
        let mut marked_mm = pattern.places_mm.clone();
        marked_mm.push(Pair::zeros());
        let tiling = tiling(&pattern.printed_mm, window_mm, pattern.hole_mm, &marked_mm);
        Self { pattern, tiling }
    }
}

/// The workshop's files.
#[derive(Debug, Clone)]
pub struct SheetsFiles {
    /// Names and bytes.
    pub files: Vec<(String, Vec<u8>)>,
    /// Number of pages of `patterns.pdf`.
    pub pages: usize,
    /// Sheets of the front and the rear pattern; `None` where it is too large for paper.
    pub pattern_sheets: [Option<usize>; 2],
    /// What should be known about them.
    pub notes: Vec<String>,
}

/// Whether a file of this name is one of the workshop's.
pub fn is_sheets_file(file: &str) -> bool {
    matches!(
        file,
        "patterns.pdf"
            | "front-pattern.svg"
            | "front-pattern.dxf"
            | "rear-pattern.svg"
            | "rear-pattern.dxf"
            | "sheets.json"
    )
}

/// All files of a design for the workshop, with the cabinet's inside if that is known. The same design gives the same bytes.
///
/// # Errors
/// [`SheetsError`] when a library refuses what it is given.
pub fn sheets_files(
    plan: &Plan,
    allowed: Option<&Allowed>,
    about: &About,
    paper: Paper,
) -> Result<SheetsFiles, SheetsError> {
    let spreads = Plate::BOTH.map(|plate| Spread::of(plan, plate, paper, allowed));
    let mut notes: Vec<String> = about.warnings.clone();
    let beyond = spreads
        .iter()
        .filter(|spread| spread.pattern.outline == Outline::BeyondCabinet)
        .map(|spread| {
            format!(
                "holes of the {} plate reach beyond the inside of the cabinet that [allowed] gives: its outline is drawn round them instead",
                spread.pattern.plate.word()
            )
        });
    notes.extend(beyond);
    let mut pages = vec![picture_page::picture_page(plan, allowed, about, paper)];
    for spread in &spreads {
        let plate = spread.pattern.plate.word();
        match &spread.tiling {
            Ok(tiling) => {
                let drawn = pattern_page::pattern_pages(plan, about, paper, spread, tiling);
                if drawn.unnamed > 0 {
                    notes.push(format!(
                        "{} names of holes of the {plate} plate find no room on paper; the table of holes has them all",
                        drawn.unnamed
                    ));
                }
                pages.extend(drawn.pages);
            }
            Err(why) => notes.push(format!(
                "the {plate} plate's pattern is not printed on {}: {why}; {plate}-pattern.svg and {plate}-pattern.dxf hold it at true size",
                paper.words()
            )),
        }
    }
    let mut blocks = tables::blocks(plan, allowed, paper, &spreads, &notes);
    blocks.extend(steps::blocks(plan, allowed));
    pages.extend(flow::laid_out(&blocks, paper));
    number_pages(&mut pages, about, paper);
    let mut files = vec![(
        "patterns.pdf".to_owned(),
        pdf::pdf(&pages, &format!("{}: sheets for the workshop", about.title))?,
    )];
    for spread in &spreads {
        let stem = format!("{}-pattern", spread.pattern.plate.word());
        let svg = cutter_svg::svg(plan, &spread.pattern, &about.title);
        files.push((format!("{stem}.svg"), svg.into_bytes()));
        files.push((
            format!("{stem}.dxf"),
            cutter_dxf::dxf(plan, &spread.pattern)?,
        ));
    }
    files.push((
        "sheets.json".to_owned(),
        json::json_bytes(plan, allowed, about, paper, &spreads)?,
    ));
    Ok(SheetsFiles {
        files,
        pages: pages.len(),
        pattern_sheets: [0, 1].map(|i| {
            let tiling = spreads[i].tiling.as_ref().ok();
            tiling.map(|tiling| tiling.tiles.len())
        }),
        notes,
    })
}

/// Writes the foot of every page: what it belongs to and which page of how many.
fn number_pages(pages: &mut [Canvas], about: &About, paper: Paper) {
    let count = pages.len();
    let [width, height] = paper.size_mm();
    let made = format!(
        "{} · sightdrift {} · {} · scenario {}",
        about.title,
        env!("CARGO_PKG_VERSION"),
        about.file,
        &about.sha256.get(..12).unwrap_or(&about.sha256)
    );
    for (nth, page) in pages.iter_mut().enumerate() {
        let y = height - canvas::PAGE_MARGIN_MM - 0.5;
        let number = format!("page {} of {count}", nth + 1);
        let right = width - canvas::PAGE_MARGIN_MM;
        page.text([right, y], &number, canvas::BODY_MM, canvas::Anchor::End);
        let room = right - canvas::PAGE_MARGIN_MM - 30.0;
        page.text_in(
            [canvas::PAGE_MARGIN_MM, y],
            &made,
            canvas::SMALL_MM,
            canvas::Anchor::Start,
            room,
        );
    }
}
