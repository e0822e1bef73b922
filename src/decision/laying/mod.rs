//! Where plates and rods go, and how large the figure is: a layout within the cabinet, the stock and the material, found by a seeded
//! search, with what holds each choice back.
//!
//! Everything is chosen in steps that a workshop can measure (whole millimetres for plates and depths), so nothing is rounded
//! afterwards. First starts are mended until they break no rule; then those that break none are changed at random and the better ones
//! kept, at the same builds and looks for each; then the best is moved step by step until no move helps. The answer is run
//! again with fresh numbers. The search finds good layouts and proves none to be the best.

mod answer;
mod improve;
mod laid;
mod rules;
mod settle;
mod sides;

pub use answer::{Judged, LaidOut, LayFailure, lay_out, own_breaches};
pub use improve::{Aim, SIZE_WORTH};
pub use laid::{Choice, Laid, PLATE_STEP_MM};
pub use rules::{Breach, Rule, Wall, breaches};
pub use sides::Side;

/// A source number that no source of error has.
const SEARCH: u64 = 1009;
