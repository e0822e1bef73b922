//! What goes to standard error: progress, on a terminal only, and notes.

use super::Stop;
use crate::scenario::plain;
use crate::trial::{RunHooks, thread_pool};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::io::{IsTerminal, Write};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// A note on standard error, without what could steer the terminal (a file's name may hold it). One that cannot be written
/// (a full disk, a reader that has gone) is no reason to stop.
pub(super) fn tell(words: &str) {
    let seen: String = words
        .chars()
        .map(|c| if c == '\n' { c } else { plain(c) })
        .collect();
    let _ = writeln!(std::io::stderr(), "{seen}");
}

/// Does `work` in a pool of so many threads (one per core unless told), under a bar over what it counts, whose length it tells
/// itself; the second is whether it was interrupted.
pub(super) fn work_in_pool<T: Send>(
    threads: Option<u16>,
    counts: &str,
    work: impl FnOnce(&RunHooks<'_>) -> T + Send,
) -> Result<(T, bool), Stop> {
    let interrupted = interrupt_flag();
    let bar = progress_bar(0, counts);
    let hooks = RunHooks {
        interrupted: &interrupted,
        progress: &|done, most| {
            bar.set_length(most.max(done));
            bar.set_position(done);
        },
    };
    let pool = thread_pool(threads.map_or(0, usize::from)).map_err(Stop::Refused)?;
    let done = pool.install(|| work(&hooks));
    bar.finish_and_clear();
    Ok((done, hooks.is_interrupted()))
}

/// A progress bar over `counts` ("builds"); silent unless standard error is a terminal.
pub(super) fn progress_bar(length: u64, counts: &str) -> ProgressBar {
    if !std::io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let plain = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    let bar = if plain { "{bar:40}" } else { "{bar:40.cyan}" };
    let template = format!("{bar} {{pos}} of {{len}} {counts}, {{eta}} left");
    let style =
        ProgressStyle::with_template(&template).unwrap_or_else(|_| ProgressStyle::default_bar());
    ProgressBar::with_draw_target(Some(length), ProgressDrawTarget::stderr()).with_style(style)
}

/// A flag that Ctrl-C (or a polite request to end) sets.
pub(super) fn interrupt_flag() -> Arc<AtomicBool> {
    let flag = Arc::new(AtomicBool::new(false));
    let set = Arc::clone(&flag);
    // without a handler the signal ends the process at once: worse manners, but no harm
    let _ = ctrlc::set_handler(move || set.store(true, Ordering::Relaxed));
    flag
}
