//! Times of this process's own work.

use std::time::Instant;

/// Seconds that `work` takes.
pub fn seconds(work: impl FnOnce()) -> f64 {
    let begun = Instant::now();
    work();
    begun.elapsed().as_secs_f64()
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

/// How often `work` must be done to last `at_least_s`: it is tried at growing counts, which also warms it up.
pub fn times_to_last(at_least_s: f64, first: u64, work: impl Fn(u64)) -> u64 {
    let mut times = first;
    loop {
        let taken_s = seconds(|| work(times));
        if taken_s >= at_least_s {
            return times;
        }
        // aim a little above, and never jump on a time too short to be trusted
        let growth = (1.2 * at_least_s / taken_s.max(1e-9)).clamp(1.3, 8.0);
        times = (times as f64 * growth).ceil() as u64;
    }
}
