//! Times of this process's own work.

use rayon::ThreadPool;
use std::time::{Duration, Instant};

/// How long workers that have nothing to do take to fall asleep, generously.
const SETTLING: Duration = Duration::from_millis(20);

/// Seconds on the clock that `work` takes.
pub fn seconds(work: impl FnOnce()) -> f64 {
    let begun = Instant::now();
    work();
    begun.elapsed().as_secs_f64()
}

/// Seconds on the processor, summed over threads, that `work` takes in `pool`, so that what else the machine does counts
/// little; seconds on the clock where the system does not tell.
///
/// Workers sleep when they are done, which is when the kernel settles their accounts.
pub fn processor_seconds(pool: &ThreadPool, work: impl FnOnce() + Send) -> f64 {
    let before = on_processor_s();
    let clock_s = seconds(|| pool.install(work));
    std::thread::sleep(SETTLING);
    match (before, on_processor_s()) {
        (Some(before), Some(after)) if after > before => after - before,
        _ => clock_s,
    }
}

/// Whether [`processor_seconds`] tells time on the processor.
pub fn tells_processor_time() -> bool {
    on_processor_s().is_some()
}

/// Time that all threads of this process were on a processor, s (Linux: the first number of each thread's `schedstat`).
fn on_processor_s() -> Option<f64> {
    let mut sum_ns = 0;
    for thread in std::fs::read_dir("/proc/self/task").ok()? {
        let text = std::fs::read_to_string(thread.ok()?.path().join("schedstat")).ok()?;
        sum_ns += text.split_whitespace().next()?.parse::<u64>().ok()?;
    }
    Some(sum_ns as f64 * 1e-9)
}

/// The middle value of a list that is not empty.
pub fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    let half = values.len() / 2;
    if values.len() % 2 == 1 {
        values[half]
    } else {
        f64::midpoint(values[half - 1], values[half])
    }
}

/// How often a work must be done to last `at_least_s`; `taken_s` tells how long it takes when done so many times. It is
/// tried at growing counts, which also warms it up.
pub fn times_to_last(at_least_s: f64, first: u64, taken_s: impl Fn(u64) -> f64) -> u64 {
    let mut times = first;
    loop {
        let taken_s = taken_s(times);
        if taken_s >= at_least_s {
            return times;
        }
        // aim a little above, and never jump on a time too short to be trusted
        let growth = (1.2 * at_least_s / taken_s.max(1e-9)).clamp(1.3, 8.0);
        times = (times as f64 * growth).ceil() as u64;
    }
}
