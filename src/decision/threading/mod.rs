//! One line led through all holes: in which order it crosses itself least and needs least line, what tension each run keeps,
//! and where to pull again.

mod answer;
mod bound;
mod exact;
mod local;
mod plates;
mod search;
mod tension;
mod trouble;

pub use answer::{
    OrderFound, OutsideWay, Proof, ThreadAnswer, ThreadSettings, USUAL_FRICTION, WayCrossing,
    thread,
};
pub use bound::least_ways_mm;
pub use exact::{Exact, MOST_PROVED_LINES, MOST_STEPS, exact};
pub use plates::{Led, Plates};
pub use search::search;
pub use tension::{Pull, RunTension, run_tensions};
pub use trouble::Trouble;
