//! Mistakes of the pen in a sheet as a whole: columns swapped, names exchanged, another unit, a row left out.

mod blunder;
mod blunder_search;
mod laid;
mod robust_fit;
mod sound;

pub use blunder::{Axes, Blunder, Evidence, Row};
pub use blunder_search::blunders;
pub use laid::BETTER;
