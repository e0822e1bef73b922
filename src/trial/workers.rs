//! Fixed tasks, worked on in parallel and folded in order: the same bytes at any number of threads.

use rayon::prelude::*;
use std::ops::Range;
use std::sync::atomic::{AtomicBool, Ordering};

/// What a long run tells and asks.
pub struct RunHooks<'a> {
    /// Set when the run should end as soon as it can.
    pub interrupted: &'a AtomicBool,
    /// Told the builds done so far and the most that may be done.
    pub progress: &'a (dyn Fn(u64, u64) + Sync),
}

impl RunHooks<'_> {
    /// Whether the run should end.
    pub fn is_interrupted(&self) -> bool {
        self.interrupted.load(Ordering::Relaxed)
    }
}

/// A pool of `threads` workers (0: one per core).
///
/// # Errors
/// The system's refusal to start threads, in words.
pub fn thread_pool(threads: usize) -> Result<rayon::ThreadPool, String> {
    rayon::ThreadPoolBuilder::new()
        .num_threads(threads)
        .build()
        .map_err(|error| error.to_string())
}

/// Runs `work` on every task of `tasks` in the current pool and hands the results to `fold` in the order of the
/// tasks. Stops early, with `false`, when interrupted.
pub fn fold_tasks<T: Send>(
    tasks: Range<u64>,
    hooks: &RunHooks<'_>,
    work: impl Fn(u64) -> T + Sync,
    mut fold: impl FnMut(T),
) -> bool {
    // results wait for their turn, so no more are in flight than the workers can keep busy; the order of folding, and
    // with it every byte, does not depend on how many
    let at_once = 2 * rayon::current_num_threads() as u64;
    let mut next = tasks.start;
    while next < tasks.end {
        if hooks.is_interrupted() {
            return false;
        }
        let end = tasks.end.min(next + at_once);
        let done: Vec<T> = (next..end).into_par_iter().map(&work).collect();
        done.into_iter().for_each(&mut fold);
        next = end;
    }
    !hooks.is_interrupted()
}
