//! The table of a run's trials on its way into a file, row by row as it is worked out.

use super::Stop;
use super::arguments::TrialsOptions;
use super::files::{FileOut, make_parent};
use super::terminal::tell;
use crate::decision::{Interrupted, RunPlan, trial_rows};
use crate::figure::Plan;
use crate::report::{count_words, trials_bytes, trials_head, trials_rows};
use crate::trial::RunHooks;
use std::path::{Path, PathBuf};

/// Builds in the table unless told otherwise.
pub(super) const USUAL_TRIALS_BUILDS: u64 = 10_000;
/// Most rows, and most bytes by estimate, of a table (chosen: what a table program on a common machine still loads).
const MOST_ROWS: u64 = 10_000_000;
const MOST_BYTES: u64 = 4_000_000_000;
/// Builds between two looks at whether the file takes what is written to it; whole blocks.
const AT_ONCE_BUILDS: u64 = 4096;

/// A table in the making: its place and its size were looked at before anything is run.
#[derive(Debug)]
pub(super) struct TrialsOut {
    path: PathBuf,
    file: FileOut,
    /// Most builds in it.
    builds: u64,
    looks: u64,
    /// Builds of the run, once they are counted.
    counted: u64,
}

impl TrialsOut {
    /// Checks place and size of the table that is asked for, if one is; the report goes into the folder `report`.
    pub fn prepare(
        options: &TrialsOptions,
        overwrite: bool,
        report: &Path,
        plan: &Plan,
        run: &RunPlan,
    ) -> Result<Option<Self>, Stop> {
        let Some(path) = &options.trials else {
            return Ok(None);
        };
        if path.extension().is_none_or(|kind| kind != "csv") {
            return Err(Stop::Refused(format!(
                "{}: the name of a table of trials must end in .csv",
                path.display()
            )));
        }
        let builds = options
            .trials_builds
            .unwrap_or(USUAL_TRIALS_BUILDS)
            .min(run.builds);
        refuse_size(path, plan, run, builds)?;
        if is_inside(path, report) {
            return Err(Stop::Refused(format!(
                "{}: lies in the report's folder, which holds the report's own files only\n  hint: choose a place beside it, such as {}",
                path.display(),
                report.with_extension("trials.csv").display()
            )));
        }
        make_parent(path)?;
        Ok(Some(Self {
            path: path.clone(),
            file: FileOut::begin(path, overwrite)?,
            builds,
            looks: run.looks,
            counted: 0,
        }))
    }

    /// Works out the table of a run that counted `counted` builds, in the current thread pool, and writes it under its hidden name.
    pub fn write(
        &mut self,
        plan: &Plan,
        run: &RunPlan,
        counted: u64,
        hooks: &RunHooks<'_>,
    ) -> Result<(), Stop> {
        self.counted = counted;
        self.builds = self.builds.min(counted);
        self.file.write(&trials_head(plan)?)?;
        for first in (0..self.builds).step_by(AT_ONCE_BUILDS as usize) {
            let builds = first..self.builds.min(first + AT_ONCE_BUILDS);
            let mut written = Ok(());
            trial_rows(
                plan,
                run,
                builds,
                hooks,
                |block| trials_rows(plan, block),
                |rows| {
                    if written.is_ok() {
                        written = rows
                            .map_err(Stop::from)
                            .and_then(|rows| self.file.write(&rows));
                    }
                },
            )
            .map_err(|Interrupted| Stop::Interrupted("nothing was written".to_owned()))?;
            written?;
        }
        Ok(())
    }

    /// Puts the table in its place and tells what is in it.
    pub fn place(self) -> Result<(), Stop> {
        self.file.place()?;
        let builds = match self.builds == self.counted {
            true => format!("all {} builds", count_words(self.counted)),
            false => format!(
                "the first {} of {} builds (--trials-builds COUNT for others)",
                count_words(self.builds),
                count_words(self.counted)
            ),
        };
        tell(&format!(
            "trials: {}, {} rows: {} looks at each of {builds}",
            self.path.display(),
            count_words(self.builds * self.looks),
            count_words(self.looks)
        ));
        Ok(())
    }
}

/// Refuses a table that no table program would load.
fn refuse_size(path: &Path, plan: &Plan, run: &RunPlan, builds: u64) -> Result<(), Stop> {
    let rows = builds * run.looks;
    let bytes = trials_bytes(plan, rows);
    if rows <= MOST_ROWS && bytes <= MOST_BYTES {
        return Ok(());
    }
    let most_builds = MOST_ROWS.min(MOST_BYTES / trials_bytes(plan, 1).max(1)) / run.looks;
    Err(Stop::Refused(format!(
        "{}: {} looks at each of {} builds are {} rows, about {} MB; the most is {} rows and {} MB\n  hint: {}",
        path.display(),
        count_words(run.looks),
        count_words(builds),
        count_words(rows),
        count_words(bytes.div_ceil(1_000_000)),
        count_words(MOST_ROWS),
        count_words(MOST_BYTES / 1_000_000),
        match most_builds {
            0 => "say fewer --looks".to_owned(),
            most => format!(
                "say --trials-builds {most} or fewer: the table is then of the run's first builds, the report still of all"
            ),
        }
    )))
}

/// Whether a file lies in a folder, as far as their names tell.
fn is_inside(file: &Path, folder: &Path) -> bool {
    let whole = |path: &Path| std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
    whole(file).starts_with(whole(folder))
}
