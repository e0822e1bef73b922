//! What tension each run keeps when one end is pulled, and where to pull again so that none falls under a share of it.

use super::plates::Led;
use crate::geometry::Point;
use crate::mechanics::{PulledAt, tension_shares};

/// What one run keeps.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RunTension {
    /// The line, by index.
    pub line: usize,
    /// Share of the pull that it keeps when only the end is pulled.
    pub ends_only: f64,
    /// Share that it keeps when the line is pulled again wherever `is_pulled` says.
    pub share: f64,
    /// Whether the line is pulled at this run: at the hole where it leaves towards the pulled end.
    pub is_pulled: bool,
}

/// What is known of the pull.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pull {
    /// Friction coefficient over the holes' walls.
    pub friction: f64,
    /// Which end is pulled.
    pub pulled_at: PulledAt,
    /// Least share of the pull that every run is to keep; above 0 and at most 1.
    pub least_share: f64,
}

/// Every run's tension, in the order of threading; `front` and `rear` are the nominal holes, mm.
///
/// A run is pulled when the loss since the last pull would leave it less than the least share: as late as can be, so no
/// fewer pulls do.
pub fn run_tensions(led: &Led, holes: [&[Point]; 2], pull: &Pull) -> Vec<RunTension> {
    let [front, rear] = holes;
    let shares_of = |order: &[usize], enters_front| {
        tension_shares(
            order,
            enters_front,
            front,
            rear,
            pull.friction,
            pull.pulled_at,
        )
    };
    let ends_only = shares_of(&led.order, led.first_enters_front);
    let from_pull: Vec<usize> = match pull.pulled_at {
        PulledAt::First => (0..led.order.len()).collect(),
        PulledAt::Last => (0..led.order.len()).rev().collect(),
    };
    let mut runs: Vec<Option<RunTension>> = vec![None; led.order.len()];
    let mut share = 1.0;
    for (nth, run) in from_pull.iter().copied().enumerate() {
        let line = led.order[run];
        // the loss of one way by itself: the product of many could be 0
        if let Some(before) = nth.checked_sub(1).map(|nth| from_pull[nth]) {
            let first = run.min(before);
            let pair = &led.order[first..=first + 1];
            share *= shares_of(pair, led.first_enters_front == first.is_multiple_of(2))[line];
        }
        let is_pulled = nth == 0 || share < pull.least_share;
        if is_pulled {
            share = 1.0;
        }
        runs[run] = Some(RunTension {
            line,
            ends_only: ends_only[line],
            share,
            is_pulled,
        });
    }
    runs.into_iter().flatten().collect()
}
