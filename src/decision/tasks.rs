//! Into which tasks a run of builds falls, where its running estimate is taken, and which tasks make a part.
//!
//! All borders are numbers of builds and follow from the cap on builds alone: not from threads, parts or interrupts.

use crate::sampling::BLOCK_BUILDS;
use std::ops::Range;

/// Builds of a task once a run is under way: what one worker does in one go.
pub const TASK_BUILDS: u64 = 1024;
/// Builds of each of the first tasks, so that all workers have some between two points of the running estimate.
const FIRST_TASK_BUILDS: u64 = 256;
/// Builds that fall into such short tasks: from here on a step of the running estimate is some 30 long ones.
const FIRST_BUILDS: u64 = 1 << 20;
/// Builds up to which the points of the running estimate double.
const DOUBLING_BUILDS: u64 = 4096;
/// Builds between two points of the running estimate once a run is under way, until they grow.
const BUILDS_BETWEEN_CHECKPOINTS: u64 = 4096;
/// Growth from one point of the running estimate to the next, in per cent: some 340 points in 10⁹ builds.
const CHECKPOINT_GROWTH_PERCENT: u64 = 3;

const _: () = assert!(
    FIRST_TASK_BUILDS.is_multiple_of(BLOCK_BUILDS as u64)
        && TASK_BUILDS.is_multiple_of(FIRST_TASK_BUILDS)
        && FIRST_BUILDS.is_multiple_of(TASK_BUILDS)
        && DOUBLING_BUILDS.is_multiple_of(TASK_BUILDS)
        && BUILDS_BETWEEN_CHECKPOINTS.is_multiple_of(TASK_BUILDS)
);

/// The last border of tasks at or before `builds`.
fn border_at_or_before(builds: u64) -> u64 {
    let task = if builds < FIRST_BUILDS {
        FIRST_TASK_BUILDS
    } else {
        TASK_BUILDS
    };
    builds - builds % task
}

/// End of the task that begins at `start`, in a run of `cap` builds.
fn task_end(start: u64, cap: u64) -> u64 {
    let task = if start < FIRST_BUILDS {
        FIRST_TASK_BUILDS
    } else {
        TASK_BUILDS
    };
    (start + task).min(cap)
}

/// How many tasks begin before `builds`.
fn tasks_before(builds: u64) -> u64 {
    builds.min(FIRST_BUILDS).div_ceil(FIRST_TASK_BUILDS)
        + builds.saturating_sub(FIRST_BUILDS).div_ceil(TASK_BUILDS)
}

/// Builds of task number `task` (from 0) of a run of `cap` builds.
pub fn builds_of_task(task: u64, cap: u64) -> Range<u64> {
    const FIRST_TASKS: u64 = FIRST_BUILDS / FIRST_TASK_BUILDS;
    let start = if task < FIRST_TASKS {
        task * FIRST_TASK_BUILDS
    } else {
        FIRST_BUILDS + (task - FIRST_TASKS) * TASK_BUILDS
    };
    start..task_end(start, cap)
}

/// Numbers of the tasks that make up `builds`, whose ends are borders of tasks.
pub fn tasks_of(builds: Range<u64>) -> Range<u64> {
    tasks_before(builds.start)..tasks_before(builds.end)
}

/// Whether a task of a run of `cap` builds may begin or end at `builds`.
pub fn is_border(builds: u64, cap: u64) -> bool {
    builds == cap || (builds < cap && border_at_or_before(builds) == builds)
}

/// The point of the running estimate after `done` builds in a run of `cap` builds: 256, 512, 1024, 2048, 4096, 8192 …, then
/// always 3 % more; `done` need not be a point itself.
pub fn next_checkpoint(done: u64, cap: u64) -> u64 {
    checkpoints(cap).find(|point| *point > done).unwrap_or(cap)
}

/// All points of the running estimate in a run of `cap` builds.
pub fn checkpoints(cap: u64) -> impl Iterator<Item = u64> {
    std::iter::successors(Some(FIRST_TASK_BUILDS.min(cap)), move |done| {
        (*done < cap).then(|| after(*done).min(cap))
    })
}

fn after(point: u64) -> u64 {
    if point < DOUBLING_BUILDS {
        return 2 * point;
    }
    let grown = (point * (100 + CHECKPOINT_GROWTH_PERCENT)).div_ceil(100);
    (point + BUILDS_BETWEEN_CHECKPOINTS).max(grown.next_multiple_of(TASK_BUILDS))
}

/// One of several parts into which the builds of a run fall.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Part {
    number: u64,
    of: u64,
}

impl Part {
    /// Most parts of a run.
    pub const MOST: u64 = 100_000;

    /// Part `number`, counted from 1, of `of`; `None` where there is no such part.
    pub fn new(number: u64, of: u64) -> Option<Self> {
        (1 <= number && number <= of && of <= Self::MOST).then_some(Self { number, of })
    }

    /// Its number, from 1.
    pub fn number(self) -> u64 {
        self.number
    }

    /// How many parts there are.
    pub fn of(self) -> u64 {
        self.of
    }

    /// Its builds in a run of `cap` builds: whole tasks, as alike in number of builds as tasks allow; none where there are
    /// more parts than tasks.
    pub fn builds(self, cap: u64) -> Range<u64> {
        let border = |part: u64| match part {
            _ if part == self.of => cap,
            _ => {
                let share = u128::from(cap) * u128::from(part) / u128::from(self.of);
                // a share of a number of builds is at most that number
                border_at_or_before(u64::try_from(share).unwrap_or(cap))
            }
        };
        border(self.number - 1)..border(self.number)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const CAPS: [u64; 13] = [
        1,
        255,
        256,
        257,
        1000,
        4096,
        4097,
        5120,
        20_000,
        99_999,
        1_048_577,
        3_000_000,
        1_000_000_000,
    ];

    #[test]
    fn tasks_follow_one_another_and_cover_every_build_once() {
        for cap in CAPS.into_iter().filter(|cap| *cap <= 10_000_000) {
            let mut next = 0;
            for task in tasks_of(0..cap) {
                let builds = builds_of_task(task, cap);
                assert_eq!(builds.start, next);
                assert!(!builds.is_empty() && is_border(builds.end, cap));
                assert_eq!(tasks_of(builds.clone()), task..task + 1);
                next = builds.end;
            }
            assert_eq!(next, cap);
        }
    }

    #[test]
    fn the_running_estimate_is_taken_at_ends_of_tasks_and_some_hundred_times() {
        for cap in CAPS {
            let points: Vec<u64> = checkpoints(cap).collect();
            assert!(points.iter().all(|point| is_border(*point, cap)), "{cap}");
            assert!(points.is_sorted_by(|a, b| a < b), "{cap}");
            assert_eq!(points.last(), Some(&cap));
            assert!(points.len() < 400, "{cap}: {}", points.len());
        }
        let first: Vec<u64> = checkpoints(1_000_000).take(7).collect();
        assert_eq!(first, [256, 512, 1024, 2048, 4096, 8192, 12_288]);
        assert_eq!(next_checkpoint(0, 1000), 256);
        assert_eq!(next_checkpoint(768, 1000), 1000);
        assert_eq!(next_checkpoint(5120, 1_000_000), 8192);
        let late: Vec<u64> = checkpoints(1_000_000_000)
            .skip_while(|point| *point < 500_000_000)
            .take(2)
            .collect();
        let growth = late[1] as f64 / late[0] as f64;
        assert!((growth - 1.03).abs() < 1e-5, "{growth}");
    }

    #[test]
    fn parts_follow_one_another_and_cover_every_build_once() {
        for cap in CAPS {
            for of in [1, 2, 3, 7, 64, 1001] {
                let mut next = 0;
                for number in 1..=of {
                    let builds = Part::new(number, of).expect("a part").builds(cap);
                    assert_eq!(builds.start, next, "{number}/{of} of {cap}");
                    assert!(is_border(builds.end, cap));
                    next = builds.end;
                }
                assert_eq!(next, cap);
            }
        }
        for (number, of) in [(0, 3), (4, 3), (0, 0), (1, Part::MOST + 1)] {
            assert_eq!(Part::new(number, of), None);
        }
    }

    #[test]
    fn parts_of_a_long_run_are_alike() {
        let lengths: Vec<u64> = (1..=7)
            .map(|number| {
                let builds = Part::new(number, 7).expect("a part").builds(1_000_000);
                builds.end - builds.start
            })
            .collect();
        let longest = lengths.iter().max().expect("parts");
        let shortest = lengths.iter().min().expect("parts");
        assert!(longest - shortest <= 2 * TASK_BUILDS, "{lengths:?}");
    }
}
