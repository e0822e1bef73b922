//! The report's drawings, each as SVG text and as PNG bytes. Nothing here touches a file.
//!
//! Map: `sheet` holds marks in logical pixels, `text` the font and widths, `labels` finds room for names, `axis` ticks and
//! scale bars, `stretch` which marks stand for which rod, `render` turns a sheet into SVG and PNG through plotters. One module for each drawing: `view` (what the eye
//! sees: the cloud, and one look) with `spot` (its magnified corner), `cabinet`, `quantiles` (drift and gap),
//! `broke_first`, `running_yield`, `holding_zone`, `causes`. Of other answers: `shares` (what causes how much), `alone` (room
//! of each tolerance), `depths` (where the rods hang), `way_front` (cost against yield), `peephole`, `peephole_limits` (over its
//! diameter), `bench` with `bench_side` and `bench_parts` (what to measure), `comparison` and `comparison_items` (two sides
//! beside each other), `diagnosis_view` (a build as its readings show it), `diagnosis_causes`, `mends`, `threading` (ways over the plates' outsides); `convergence` (error
//! against builds) serves the benchmark.
//!
//! Colours are those of Okabe & Ito, and whatever a colour says a dash, marker or hatch says too.

mod alone;
mod axis;
mod bench;
mod bench_marks;
mod bench_parts;
mod bench_side;
mod broke_first;
mod cabinet;
mod causes;
mod comparison;
mod comparison_items;
mod convergence;
mod depths;
mod diagnosis_causes;
mod diagnosis_view;
mod holding_zone;
mod labels;
mod mends;
mod peephole;
mod peephole_limits;
mod quantiles;
mod render;
mod running_yield;
mod shares;
mod sheet;
mod spot;
mod stretch;
mod text;
mod threading;
mod view;
mod way_front;

pub use convergence::{ErrorLine, ErrorPanel, ErrorPoint, error_against_builds};

pub use depths::depths_drawing;
pub(super) use depths::offer_letter;
pub(super) use stretch::mark_of;
pub(super) use text::{clean, fitted_to, own_width};

use crate::decision::diagnosis::Diagnosis;
use crate::decision::laying::LaidOut;
use crate::decision::threading::ThreadAnswer;
use crate::decision::{Alone, Assessment, Headroom, PeepholeAnswer, Shares, Tolerances, WaySets};
use crate::figure::{Bench, Frame, Plan};
use crate::geometry::Pair;
use crate::report::compared::Compared;
use sheet::{Anchor, LABEL, Sheet, TITLE};
use std::fmt;

/// One finished drawing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Drawing {
    /// Stem of its file's name, such as `eye-view`.
    pub name: &'static str,
    /// What it shows; it stands in the drawing too.
    pub title: String,
    /// How to read it, with its numbers.
    pub caption: String,
    /// An SVG document without external references.
    pub svg: String,
    /// The bytes of a PNG file.
    pub png: Vec<u8>,
    /// Width at 1:1, px.
    pub width: u32,
    /// Height at 1:1, px.
    pub height: u32,
}

/// Why a drawing could not be made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum DrawingError {
    /// The font carried in the program cannot be read.
    Font,
    /// The drawing library refused, with its words.
    Paint(String),
    /// The PNG encoder refused, with its words.
    Encode(String),
}

impl fmt::Display for DrawingError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Font => write!(f, "the font carried in the program cannot be read"),
            Self::Paint(words) => write!(f, "a drawing could not be drawn: {words}"),
            Self::Encode(words) => write!(f, "a drawing could not be written as PNG: {words}"),
        }
    }
}

impl std::error::Error for DrawingError {}

/// A drawing before it is rendered.
#[derive(Debug, Clone, PartialEq)]
struct Draft {
    name: &'static str,
    title: String,
    caption: String,
    sheet: Sheet,
}

impl Draft {
    fn render(self) -> Result<Drawing, DrawingError> {
        Ok(Drawing {
            svg: render::svg(&self.sheet, &self.title)?,
            png: render::png(&self.sheet)?,
            width: self.sheet.width.round() as u32,
            height: self.sheet.height.round() as u32,
            name: self.name,
            title: self.title,
            caption: self.caption,
        })
    }

    /// A drawing of which there is nothing to draw, with the reason.
    fn without(name: &'static str, title: &str, reason: &str) -> Self {
        const ROOM: f64 = WIDTH - 2.0 * MARGIN;
        let lines = text::wrapped(reason, LABEL, ROOM);
        let mut sheet = titled(title, 84.0 + 20.0 * lines.len() as f64);
        for (nth, line) in lines.iter().enumerate() {
            let y = 66.0 + 20.0 * nth as f64;
            sheet.text([MARGIN, y], line, LABEL, Anchor::Start);
        }
        Self {
            name,
            title: title.to_owned(),
            caption: reason.to_owned(),
            sheet,
        }
    }
}

/// Width of every drawing, px.
const WIDTH: f64 = 1040.0;
/// Space at the border, px.
const MARGIN: f64 = 20.0;

/// A sheet with its title.
fn titled(title: &str, height: f64) -> Sheet {
    let mut sheet = Sheet::new(WIDTH, height);
    sheet.text_in(
        [MARGIN, 25.0],
        title,
        TITLE,
        Anchor::Start,
        WIDTH - 2.0 * MARGIN,
    );
    sheet
}

/// The frame in words.
fn frame_words(frame: Frame) -> &'static str {
    match frame {
        Frame::Fitted => "fitted frame",
        Frame::Fixed => "fixed frame",
    }
}

/// What to measure at the bench, for a scenario of this title.
///
/// # Errors
/// [`DrawingError`] when the drawing library or the encoder refuses.
pub fn bench_drawing(plan: &Plan, title: &str) -> Result<Drawing, DrawingError> {
    text::check_font()?;
    bench::bench(plan, title).render()
}

/// How one line is led over the outsides of both plates, for a scenario of this title.
///
/// # Errors
/// [`DrawingError`] when the drawing library or the encoder refuses.
pub fn thread_drawing(
    plan: &Plan,
    answer: &ThreadAnswer,
    title: &str,
) -> Result<Drawing, DrawingError> {
    text::check_font()?;
    threading::threading(plan, answer, title).render()
}

/// File stems of a report's drawings, in its order.
pub const NAMES: [&str; 8] = [
    "eye-view",
    "cabinet",
    "drift",
    "gap",
    "broke-first",
    "yield",
    "holding-zone",
    "causes",
];

/// All drawings of an assessment, in the order of [`NAMES`].
///
/// # Errors
/// [`DrawingError`] when the drawing library or the encoder refuses.
pub fn drawings(assessment: &Assessment) -> Result<Vec<Drawing>, DrawingError> {
    text::check_font()?;
    [
        view::eye_view(assessment),
        cabinet::cabinet(&assessment.plan),
        quantiles::drift(assessment),
        quantiles::gap(assessment),
        broke_first::broke_first(assessment),
        running_yield::running_yield(assessment),
        holding_zone::holding_zone(assessment),
        causes::causes(assessment),
    ]
    .into_iter()
    .map(Draft::render)
    .collect()
}

/// How much each step of the work causes of drift, gap, the fault that decides, and failures, ranked.
///
/// # Errors
/// [`DrawingError`] when the drawing library or the encoder refuses.
pub fn shares_drawing(shares: &Shares) -> Result<Drawing, DrawingError> {
    text::check_font()?;
    shares::shares(shares).render()
}

/// How far each tolerance may grow, and all of them together: `tolerances`.
///
/// # Errors
/// [`DrawingError`] when the drawing library or the encoder refuses.
pub fn tolerances_drawing(
    plan: &Plan,
    headroom: &Headroom,
    rows: &[Alone],
) -> Result<Drawing, DrawingError> {
    text::check_font()?;
    alone::alone(plan, headroom, rows).render()
}

/// What the eye sees in one look beside the target. `seen_rods` are directions (tangents) of each rod's end, middle if it
/// can bow, and end, in the judged frame, as [`crate::decision::seen_rods`] gives them.
///
/// # Errors
/// [`DrawingError`] when the drawing library or the encoder refuses.
pub fn sight_drawing(
    plan: &Plan,
    seen_rods: &[Vec<Pair>],
    title: &str,
) -> Result<Drawing, DrawingError> {
    text::check_font()?;
    view::sight(plan, seen_rods, title).render()
}

/// File stems of the drawings of an answer on tolerances, in their order.
pub const TOLERANCES_NAMES: [&str; 4] = ["shares", "tolerances", "cost-front", "depths"];

/// The drawings of an answer on tolerances, in the order of [`TOLERANCES_NAMES`].
///
/// # Errors
/// [`DrawingError`] when the drawing library or the encoder refuses.
pub fn tolerances_drawings(plan: &Plan, found: &Tolerances) -> Result<Vec<Drawing>, DrawingError> {
    Ok(vec![
        shares_drawing(&found.shares)?,
        tolerances_drawing(plan, &found.headroom, &found.alone)?,
        way_front_drawing(&found.way_sets)?,
        depths_drawing(&found.depths, plan.design.judging.target_yield)?,
    ])
}

/// File stems of the drawings of a peephole's answer, in their order.
pub const PEEPHOLE_NAMES: [&str; 2] = ["peephole", "peephole-limits"];

/// The drawings of a peephole's answer, in the order of [`PEEPHOLE_NAMES`].
///
/// # Errors
/// [`DrawingError`] when the drawing library or the encoder refuses.
pub fn peephole_drawings(answer: &PeepholeAnswer) -> Result<Vec<Drawing>, DrawingError> {
    text::check_font()?;
    [peephole::shares(answer), peephole_limits::limits(answer)]
        .into_iter()
        .map(Draft::render)
        .collect()
}

/// File stems of the drawings of a layout, in their order.
pub const LAYING_NAMES: [&str; 1] = ["cabinet"];

/// The drawings of a layout, in the order of [`LAYING_NAMES`].
///
/// # Errors
/// [`DrawingError`] when the drawing library or the encoder refuses.
pub fn laying_drawings(found: &LaidOut) -> Result<Vec<Drawing>, DrawingError> {
    text::check_font()?;
    let laid = cabinet::cabinet_within(&found.chosen.plan, &found.allowed);
    Ok(vec![laid.render()?])
}

/// File stems of the drawings of a comparison, in their order.
pub const COMPARISON_NAMES: [&str; 2] = ["comparison", "comparison-items"];

/// The drawings of a comparison, in the order of [`COMPARISON_NAMES`].
///
/// # Errors
/// [`DrawingError`] when the drawing library or the encoder refuses.
pub fn comparison_drawings(compared: &Compared<'_>) -> Result<Vec<Drawing>, DrawingError> {
    text::check_font()?;
    [
        comparison::comparison(compared),
        comparison_items::items(compared),
    ]
    .into_iter()
    .map(Draft::render)
    .collect()
}

/// Cost against yield of the sets of ways of working, under the file stem `cost-front`.
///
/// # Errors
/// [`DrawingError`] when the drawing library or the encoder refuses.
pub fn way_front_drawing(sets: &WaySets) -> Result<Drawing, DrawingError> {
    text::check_font()?;
    way_front::way_front(sets).render()
}

/// File stems of the drawings of a diagnosis, in their order.
pub const DIAGNOSIS_NAMES: [&str; 3] = [diagnosis_view::NAME, diagnosis_causes::NAME, mends::NAME];

/// The drawings of a diagnosis, in the order of [`DIAGNOSIS_NAMES`].
///
/// # Errors
/// [`DrawingError`] when the drawing library or the encoder refuses.
pub fn diagnosis_drawings(
    plan: &Plan,
    bench: &Bench,
    diagnosis: &Diagnosis,
) -> Result<Vec<Drawing>, DrawingError> {
    text::check_font()?;
    [
        diagnosis_view::as_seen(plan, bench, diagnosis),
        diagnosis_causes::causes(diagnosis),
        mends::mends(diagnosis),
    ]
    .into_iter()
    .map(Draft::render)
    .collect()
}

/// The build as seen, small, for the record, with the rods `lit` marked; `None` where not all of it is seen.
///
/// # Errors
/// [`DrawingError`] when the drawing library or the encoder refuses.
pub fn record_drawing(
    plan: &Plan,
    bench: &Bench,
    diagnosis: &Diagnosis,
    lit: &[usize],
) -> Result<Option<Drawing>, DrawingError> {
    text::check_font()?;
    diagnosis_view::as_seen_small(plan, bench, diagnosis, lit)
        .map(Draft::render)
        .transpose()
}
