//! Keeps what a long run has done: every minute, and when it is interrupted.

use super::Stop;
use super::counts_file::{CountsFile, begins_as_counts, write_counts};
use super::terminal::tell;
use crate::decision::{Counted, Part};
use crate::report::count_words;
use crate::scenario::Scenario;
use std::path::PathBuf;
use std::time::{Duration, Instant};

/// Wall time between two saves (chosen: little is lost, and a save of the largest designs takes about a second).
const BETWEEN_SAVES: Duration = Duration::from_secs(60);

/// Where a run is kept, and as what.
#[derive(Debug)]
pub(super) struct Keeper<'a> {
    path: PathBuf,
    scenario: &'a Scenario,
    part: Option<Part>,
    /// The command that goes on with the run.
    go_on: String,
    saved: Instant,
    between: Duration,
    warned: bool,
}

impl<'a> Keeper<'a> {
    pub fn new(path: PathBuf, scenario: &'a Scenario, part: Option<Part>, go_on: String) -> Self {
        Self {
            path,
            scenario,
            part,
            go_on,
            saved: Instant::now(),
            between: BETWEEN_SAVES,
            warned: false,
        }
    }

    /// What to begin with: with `resume` what was kept, else nothing; what is there is not lost unless `overwrite` says so.
    pub fn begin(&self, resume: bool, overwrite: bool) -> Result<Counted, Stop> {
        let first = self
            .part
            .map_or(0, |part| part.builds(self.scenario.run.builds).start);
        let fresh = Counted::new(&self.scenario.plan, first);
        let is_there = self.path.symlink_metadata().is_ok();
        if is_there && resume {
            return CountsFile::read(&self.path)?.counted(
                &self.path,
                &self.scenario.sha256,
                &self.scenario.plan,
                &self.scenario.run,
                self.part,
            );
        }
        if is_there && !overwrite {
            return Err(Stop::Refused(format!(
                "{}: holds what such a run has already done, and is left as it is\n  hint: say --resume to go on with it, or --overwrite to start anew",
                self.path.display()
            )));
        }
        if is_there && !begins_as_counts(&self.path) {
            return Err(Stop::Refused(format!(
                "{}: is there and is no counts file; it is left as it is\n  hint: choose another place with --out",
                self.path.display()
            )));
        }
        if resume {
            tell(&format!(
                "{}: is not there, so there is nothing to go on with; the run starts with its first build",
                self.path.display()
            ));
        }
        Ok(fresh)
    }

    /// Told after each task. A save that fails is told once and tried again: the run itself goes on.
    pub fn kept(&mut self, counted: &Counted) {
        if self.saved.elapsed() < self.between {
            return;
        }
        if let Err(stop) = self.save(counted)
            && !std::mem::replace(&mut self.warned, true)
        {
            tell(&format!("warning: what was done cannot be kept: {stop}"));
        }
        self.saved = Instant::now();
    }

    /// Writes what was counted.
    pub fn save(&self, counted: &Counted) -> Result<(), Stop> {
        write_counts(&self.path, self.scenario, self.part, counted, true)
    }

    /// The run was interrupted: keeps what was done, if anything was.
    pub fn interrupted(&self, counted: &Counted) -> Stop {
        let done = counted.next_build - counted.first_build;
        if done == 0 {
            if self.part.is_some() {
                // only a trial of the place was there
                self.done();
            }
            return Stop::Interrupted("nothing was written".to_owned());
        }
        let total = self.part.map_or(0..self.scenario.run.builds, |part| {
            part.builds(self.scenario.run.builds)
        });
        Stop::Interrupted(match self.save(counted) {
            Ok(()) => format!(
                "{} of {} builds are kept in {}\n  hint: to go on, say {}",
                count_words(done),
                count_words(total.end - total.start),
                self.path.display(),
                self.go_on
            ),
            Err(stop) => format!("what was done cannot be kept: {stop}"),
        })
    }

    /// Takes away what was kept: the report is written, or nothing was done.
    pub fn done(&self) {
        let _ = std::fs::remove_file(&self.path);
    }

    /// Where it keeps.
    pub fn path(&self) -> &std::path::Path {
        &self.path
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::decision::run_on;
    use crate::scenario::{EXAMPLES, read_scenario};
    use crate::trial::RunHooks;
    use std::sync::atomic::AtomicBool;

    #[test]
    fn a_run_is_saved_while_it_runs_once_the_time_has_passed() {
        let no_files = |_: &str| Err("no file is named".to_owned());
        let mut scenario = read_scenario("example", EXAMPLES[0].text, &no_files).expect("sound");
        scenario.run.builds = 600;
        scenario.run.looks = 1;
        let path = std::env::temp_dir().join(format!("sightdrift-keeper-{}", std::process::id()));
        let mut keeper = Keeper::new(path.clone(), &scenario, None, String::new());
        let never = AtomicBool::new(false);
        let hooks = RunHooks {
            interrupted: &never,
            progress: &|_, _| {},
        };
        let mut saved = Vec::new();
        for between in [Duration::from_secs(3600), Duration::ZERO] {
            keeper.between = between;
            let mut counted = Counted::new(&scenario.plan, 0);
            run_on(
                &scenario.plan,
                &scenario.run,
                &mut counted,
                &hooks,
                &mut |counted| {
                    keeper.kept(counted);
                    if path.exists() {
                        let read = keeper.begin(true, false).expect("what was just saved");
                        assert!(&read == counted, "a save keeps every bit");
                        saved.push(read.next_build);
                    }
                },
            );
        }
        keeper.done();
        assert!(!path.exists());
        // nothing in the first run, and in the second after each task
        assert_eq!(saved, [256, 512, 600]);
    }
}
