//! What goes to standard error: progress, on a terminal only, and notes.

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::io::{IsTerminal, Write};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// A note on standard error. One that cannot be written (a full disk, a reader that has gone) is no reason to stop.
pub(super) fn tell(words: &str) {
    let _ = writeln!(std::io::stderr(), "{words}");
}

/// A progress bar over builds; silent unless standard error is a terminal.
pub(super) fn progress_bar(builds: u64) -> ProgressBar {
    if !std::io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let template = if std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty()) {
        "{bar:40} {pos} of {len} builds, {eta} left"
    } else {
        "{bar:40.cyan} {pos} of {len} builds, {eta} left"
    };
    let style =
        ProgressStyle::with_template(template).unwrap_or_else(|_| ProgressStyle::default_bar());
    ProgressBar::with_draw_target(Some(builds), ProgressDrawTarget::stderr()).with_style(style)
}

/// A flag that Ctrl-C (or a polite request to end) sets.
pub(super) fn interrupt_flag() -> Arc<AtomicBool> {
    let flag = Arc::new(AtomicBool::new(false));
    let set = Arc::clone(&flag);
    // without a handler the signal ends the process at once: worse manners, but no harm
    let _ = ctrlc::set_handler(move || set.store(true, Ordering::Relaxed));
    flag
}
