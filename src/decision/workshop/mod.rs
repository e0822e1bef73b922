//! From a design to the bench: hole patterns on sheets of paper, the lengths that are cut, the places where rods are tied, and
//! what must be bought.
//!
//! Everything here is nominal: what the drawing asks for, not what a hand makes of it.

mod paper;
mod pattern;
mod rods;
mod supplies;
mod tiling;

pub use paper::Paper;
pub use pattern::{HolePattern, OUTLINE_MARGIN_MM, Outline, Rectangle};
pub use rods::{CutRod, END_ALLOWANCE_MM, TiedEnd, cut_rods, tied_ends};
pub use supplies::{
    ANCHOR_MM, LineNeed, RESERVE, Run, RunOver, line_need, nearest_tool, runs, threaded_runs,
};
pub use tiling::{NoTiling, RegisterMark, Tile, Tiling, tiling};
