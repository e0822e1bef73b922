//! What a run has come to so far: kept when it is interrupted, gone on with later, put together from parts.

use super::block::Workbench;
use super::run_plan::RunPlan;
use super::tasks::{Part, builds_of_task, checkpoints, is_border, next_checkpoint, tasks_of};
use crate::figure::Plan;
use crate::statistics::{NotCounts, Tally, TallyCounts};
use crate::trial::{REPLICATES, RunHooks, Sampler, fold_tasks, replicate_builds};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Mutex;

/// One point of the running estimate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PassedSoFar {
    /// Builds of the whole run up to here, counted from build 0.
    pub builds: u64,
    /// How many of those that this count took up passed, in each of the run's repetitions.
    pub passed: [u64; REPLICATES],
}

/// All counts over the builds from one end of a task to another.
#[derive(Debug, Clone, PartialEq)]
pub struct Counted {
    /// Number of the first build.
    pub first_build: u64,
    /// Number of the build after the last.
    pub next_build: u64,
    /// The running estimate at its points after `first_build` and up to `next_build`.
    pub points: Vec<PassedSoFar>,
    /// All counts.
    pub tally: Tally,
}

impl Counted {
    /// Nothing yet, to begin with build `first_build`.
    pub fn new(plan: &Plan, first_build: u64) -> Self {
        Self {
            first_build,
            next_build: first_build,
            points: Vec::new(),
            tally: Tally::new(plan),
        }
    }

    /// Points of the running estimate that a count over `builds` of a run of `cap` builds has.
    pub fn points_within(builds: Range<u64>, cap: u64) -> impl Iterator<Item = u64> {
        checkpoints(cap)
            .skip_while(move |point| *point <= builds.start)
            .take_while(move |point| *point <= builds.end)
    }

    /// Goes on task by task until `end`; tells `kept` after each. `false` when interrupted: what was folded by then stays.
    pub fn go_on(
        &mut self,
        plan: &Plan,
        run_plan: &RunPlan,
        sampler: &Sampler,
        end: u64,
        hooks: &RunHooks<'_>,
        kept: &mut dyn FnMut(&Self),
    ) -> bool {
        let cap = run_plan.builds;
        let mut next_point = next_checkpoint(self.next_build, cap);
        let mut whole = true;
        // a task leaves its bench to the next: no memory is asked for once all are there
        let benches: Mutex<Vec<Box<Workbench>>> = Mutex::default();
        let heard = fold_tasks(
            tasks_of(self.next_build..end),
            hooks,
            |task| {
                let builds = builds_of_task(task, cap);
                let spare = benches.lock().map_or(None, |mut benches| benches.pop());
                let mut bench = spare.unwrap_or_else(|| Box::new(Workbench::new(plan)));
                let done = bench.run_task(plan, run_plan, sampler, builds.clone(), hooks);
                done.then_some((builds.end, bench))
            },
            |task| {
                // after a task that was given up nothing may follow: what is kept has no holes
                let (true, Some((end, bench))) = (whole, task) else {
                    whole = false;
                    return;
                };
                self.next_build = end;
                self.tally.fold(&bench.tally);
                if let Ok(mut benches) = benches.lock() {
                    benches.push(bench);
                }
                if end == next_point {
                    self.points.push(PassedSoFar {
                        builds: end,
                        passed: self.tally.passed_in,
                    });
                    next_point = next_checkpoint(end, cap);
                }
                kept(self);
            },
        );
        heard && whole
    }
}

/// What was counted, for a file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CountedCounts {
    first_build: u64,
    next_build: u64,
    /// Builds and how many of this count's passed in each repetition, at the points of the running estimate.
    points: Vec<(u64, [u64; REPLICATES])>,
    tally: TallyCounts,
}

impl From<&Counted> for CountedCounts {
    fn from(counted: &Counted) -> Self {
        Self {
            first_build: counted.first_build,
            next_build: counted.next_build,
            points: counted
                .points
                .iter()
                .map(|point| (point.builds, point.passed))
                .collect(),
            tally: TallyCounts::from(&counted.tally),
        }
    }
}

impl CountedCounts {
    /// What was counted of the run `run_plan` of `plan`.
    ///
    /// # Errors
    /// [`NotCounts`] unless the builds are whole tasks of that run and everything adds up.
    pub fn counted(&self, plan: &Plan, run_plan: &RunPlan) -> Result<Counted, NotCounts> {
        let cap = run_plan.builds;
        let builds = self.first_build..self.next_build;
        if builds.start > builds.end || !is_border(builds.start, cap) || !is_border(builds.end, cap)
        {
            return Err(NotCounts(format!(
                "builds {} to {} are no whole tasks of {cap} builds",
                builds.start, builds.end
            )));
        }
        let tally = self.tally.tally(plan, builds.clone(), run_plan.looks)?;
        let mut points = Vec::new();
        let mut before = PassedSoFar {
            builds: builds.start,
            passed: [0; REPLICATES],
        };
        for (at, passed) in &self.points {
            let point = PassedSoFar {
                builds: *at,
                passed: *passed,
            };
            if !follows(&before, &point) {
                return Err(NotCounts(format!(
                    "points: {passed:?} passed after build {at} does not follow {:?} after build {}",
                    before.passed, before.builds
                )));
            }
            points.push(point);
            before = point;
        }
        if !Counted::points_within(builds.clone(), cap).eq(points.iter().map(|point| point.builds))
        {
            return Err(NotCounts(
                "points: these are not where this run takes its running estimate".to_owned(),
            ));
        }
        let end = PassedSoFar {
            builds: builds.end,
            passed: tally.passed_in,
        };
        if end != before && !follows(&before, &end) {
            return Err(NotCounts(format!(
                "points: {:?} passed after build {} does not lead to {:?} in all",
                before.passed, before.builds, tally.passed_in
            )));
        }
        Ok(Counted {
            first_build: builds.start,
            next_build: builds.end,
            points,
            tally,
        })
    }
}

/// Whether a run can come from one point to another, farther on: no repetition has fewer builds that passed, nor more than
/// it has builds.
fn follows(before: &PassedSoFar, after: &PassedSoFar) -> bool {
    let (earlier, later) = (
        replicate_builds(before.builds),
        replicate_builds(after.builds),
    );
    before.builds < after.builds
        && (0..REPLICATES).all(|replicate| {
            let more = after.passed[replicate].checked_sub(before.passed[replicate]);
            more.is_some_and(|more| more <= later[replicate] - earlier[replicate])
        })
}

/// Why a part cannot be put to those that came before.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NotMerged {
    /// It is one of another number of parts.
    OtherNumberOfParts,
    /// It is there already.
    Twice,
    /// It is not counted to its end.
    Unfinished,
}

/// Parts of one run as they are put together, in any order; holds one tally however many parts there are.
#[derive(Debug, Clone)]
pub struct Merger {
    of: u64,
    cap: u64,
    tally: Tally,
    /// What each part adds to the running estimate, by its number.
    parts: BTreeMap<u64, ([u64; REPLICATES], Vec<PassedSoFar>)>,
}

impl Merger {
    /// To put together `of` parts of a run of `cap` builds.
    pub fn new(plan: &Plan, of: u64, cap: u64) -> Self {
        Self {
            of,
            cap,
            tally: Tally::new(plan),
            parts: BTreeMap::new(),
        }
    }

    /// Takes one part.
    ///
    /// # Errors
    /// [`NotMerged`]; then nothing changes.
    pub fn add(&mut self, part: Part, counted: &Counted) -> Result<(), NotMerged> {
        if part.of() != self.of {
            return Err(NotMerged::OtherNumberOfParts);
        }
        if self.parts.contains_key(&part.number()) {
            return Err(NotMerged::Twice);
        }
        if part.builds(self.cap) != (counted.first_build..counted.next_build) {
            return Err(NotMerged::Unfinished);
        }
        self.tally.fold(&counted.tally);
        self.parts.insert(
            part.number(),
            (counted.tally.passed_in, counted.points.clone()),
        );
        Ok(())
    }

    /// The whole run's counts.
    ///
    /// # Errors
    /// The numbers of the parts that are missing.
    pub fn finish(self) -> Result<Counted, Vec<u64>> {
        let missing: Vec<u64> = (1..=self.of)
            .filter(|number| !self.parts.contains_key(number))
            .collect();
        if !missing.is_empty() {
            return Err(missing);
        }
        let mut points = Vec::new();
        let mut before = [0; REPLICATES];
        for (passed, its_points) in self.parts.values() {
            points.extend(its_points.iter().map(|point| PassedSoFar {
                passed: added(before, point.passed),
                ..*point
            }));
            before = added(before, *passed);
        }
        Ok(Counted {
            first_build: 0,
            next_build: self.cap,
            points,
            tally: self.tally,
        })
    }
}

fn added(mut counts: [u64; REPLICATES], more: [u64; REPLICATES]) -> [u64; REPLICATES] {
    for (count, more) in counts.iter_mut().zip(more) {
        *count += more;
    }
    counts
}
