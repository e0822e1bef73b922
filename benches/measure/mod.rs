//! What the benchmark needs besides the crate: scenarios of its own, the floor, the export for numpy, child processes,
//! the table.

pub mod clock;
pub mod cost;
pub mod export;
pub mod floor;
pub mod numpy;
pub mod process;
pub mod scenarios;
pub mod table;
