//! A run's trials look by look: the same builds and looks that the run counts, with every drift and gap in them.
//!
//! The run itself keeps counts only. These rows work the asked builds out once more from the same addresses of the same
//! numbers, so whatever is counted in them is what the run counted.

use super::run_plan::{Interrupted, RunPlan};
use crate::figure::{Frame, Item, Plan, Source};
use crate::geometry::Point;
use crate::sampling::{BLOCK_BUILDS, Row};
use crate::statistics::build_passes;
use crate::trial::{
    BuildRows, Draws, JunctionRows, LookRows, Marks, RodRows, RunHooks, VerdictRows, Witness,
    fold_tasks,
};
use std::ops::Range;

/// What a look came to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum TrialEnd {
    /// The whole figure is seen and was judged: the item with the largest share of its limit, and that share.
    Judged(Item, f64),
    /// Part of the figure is not seen clearly enough.
    Clipped,
    /// The build, or the look at it, cannot be computed.
    NotComputable,
}

impl TrialEnd {
    /// "holds", "breaks", "clipped" or "not computable".
    pub fn word(self) -> &'static str {
        match self {
            Self::Judged(_, share) if share <= 1.0 => "holds",
            Self::Judged(..) => "breaks",
            Self::Clipped => "clipped",
            Self::NotComputable => "not computable",
        }
    }
}

/// One look at one build of a run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrialRow<'b> {
    /// Number of the build in the run.
    pub build: u64,
    /// Number of the look at it.
    pub look: u64,
    /// Whether the build passes.
    pub passes: bool,
    /// What the look came to.
    pub end: TrialEnd,
    /// Pupil centre as drawn, mm.
    pub eye_mm: Point,
    /// Pupil diameter as drawn, mm.
    pub pupil_mm: f64,
    /// Edge drift of every rod in the judged frame, rad; empty unless the look was judged.
    pub drifts_rad: &'b [f64],
    /// Largest gap of every junction, rad; empty unless the look was judged.
    pub gaps_rad: &'b [f64],
}

/// Looks at some builds that follow each other.
#[derive(Debug)]
pub struct TrialBlock {
    first: u64,
    looks: usize,
    rods: usize,
    width: usize,
    passes: Vec<bool>,
    taken: Vec<Taken>,
    /// Drifts and gaps, `width` a look.
    values_rad: Vec<f64>,
}

#[derive(Debug, Clone, Copy)]
struct Taken {
    end: TrialEnd,
    eye_mm: Point,
    pupil_mm: f64,
}

impl TrialBlock {
    /// All looks, build by build.
    pub fn rows(&self) -> impl Iterator<Item = TrialRow<'_>> {
        self.taken.iter().enumerate().map(|(at, taken)| {
            let build = at / self.looks;
            let values = match taken.end {
                TrialEnd::Judged(..) => &self.values_rad[at * self.width..(at + 1) * self.width],
                TrialEnd::Clipped | TrialEnd::NotComputable => &[],
            };
            let (drifts_rad, gaps_rad) = values.split_at(self.rods.min(values.len()));
            TrialRow {
                build: self.first + build as u64,
                look: (at % self.looks) as u64,
                passes: self.passes[build],
                end: taken.end,
                eye_mm: taken.eye_mm,
                pupil_mm: taken.pupil_mm,
                drifts_rad,
                gaps_rad,
            }
        })
    }
}

/// Most numbers that one task keeps (chosen: 16 MB).
const MOST_KEPT: usize = 2 << 20;

/// Works out the builds `builds` of the run, which begin with a whole block of [`BLOCK_BUILDS`], in the current pool; `put` makes
/// something of every stretch of them, and `take` gets that in the order of the builds, whatever the number of threads.
///
/// # Errors
/// [`Interrupted`] when the hooks say so.
pub fn trial_rows<T: Send>(
    plan: &Plan,
    run_plan: &RunPlan,
    builds: Range<u64>,
    hooks: &RunHooks<'_>,
    put: impl Fn(&TrialBlock) -> T + Sync,
    take: impl FnMut(T),
) -> Result<(), Interrupted> {
    let sampler = run_plan.sampler(plan);
    let at_once = builds_at_once(plan, run_plan) as u64;
    let tasks = builds.start / at_once..builds.end.div_ceil(at_once);
    let whole = fold_tasks(
        tasks,
        hooks,
        |task| {
            let first = task * at_once;
            let count = at_once.min(builds.end - first) as usize;
            let begin = (first % BLOCK_BUILDS as u64) as usize;
            let mut build_draws = Draws::of_builds(plan);
            let block = first / BLOCK_BUILDS as u64;
            build_draws.draw(plan, &sampler, 0, block);
            let mut look_draws = Draws::of_looks(plan);
            let mut desk = Desk::new(plan, run_plan, begin..begin + count, first);
            desk.set(plan, &build_draws.rows);
            for look in 0..run_plan.looks {
                look_draws.draw(plan, &sampler, look, block);
                desk.look(plan, look as usize, &look_draws.rows);
            }
            put(&desk.end(plan.design.judging.hold_share))
        },
        take,
    );
    if whole { Ok(()) } else { Err(Interrupted) }
}

/// How many builds one task works on: a whole block, or a part of it where all looks at one would be too many numbers.
fn builds_at_once(plan: &Plan, run_plan: &RunPlan) -> usize {
    let of_a_build = run_plan.looks as usize * (plan.edges.len() + plan.junctions.len()).max(1);
    let mut builds = BLOCK_BUILDS;
    while builds > 1 && builds * of_a_build > MOST_KEPT {
        builds /= 2;
    }
    builds
}

/// Where the looks at some builds of one block are taken down.
struct Desk {
    builds: BuildRows,
    looks: LookRows,
    alive: Marks,
    /// Which builds of the block.
    lanes: Range<usize>,
    block: TrialBlock,
}

impl Desk {
    fn new(plan: &Plan, run_plan: &RunPlan, lanes: Range<usize>, first: u64) -> Self {
        let looks = run_plan.looks as usize;
        let width = plan.edges.len() + plan.junctions.len();
        let nothing = Taken {
            end: TrialEnd::NotComputable,
            eye_mm: Point::zeros(),
            pupil_mm: 0.0,
        };
        Self {
            builds: BuildRows::new(plan),
            looks: LookRows::new(plan),
            alive: [0; BLOCK_BUILDS],
            block: TrialBlock {
                first,
                looks,
                rods: plan.edges.len(),
                width,
                passes: vec![false; lanes.len()],
                taken: vec![nothing; lanes.len() * looks],
                values_rad: vec![0.0; lanes.len() * looks * width],
            },
            lanes,
        }
    }

    fn set(&mut self, plan: &Plan, values: &[Row]) {
        self.builds.set(plan, values);
        self.alive = self.builds.computable(self.lanes.end);
    }

    fn look(&mut self, plan: &Plan, look: usize, values: &[Row]) {
        let mut scribe = Scribe {
            block: &mut self.block,
            lanes: self.lanes.clone(),
            look,
            frame: plan.design.judging.frame,
        };
        scribe.open(plan, values);
        self.looks
            .take(plan, &self.builds, values, &self.alive, &mut scribe);
    }

    fn end(mut self, hold_share: f64) -> TrialBlock {
        for (build, looks) in self.block.taken.chunks(self.block.looks).enumerate() {
            let count = |wanted: &dyn Fn(&TrialEnd) -> bool| {
                looks.iter().filter(|look| wanted(&look.end)).count() as u64
            };
            let held = count(&|end| matches!(end, TrialEnd::Judged(_, share) if *share <= 1.0));
            let unclipped = count(&|end| *end != TrialEnd::Clipped);
            let is_computable = self.alive[self.lanes.start + build] != 0;
            self.block.passes[build] = is_computable && build_passes(held, unclipped, hold_share);
        }
        self.block
    }
}

/// Takes one look down.
struct Scribe<'d> {
    block: &'d mut TrialBlock,
    lanes: Range<usize>,
    look: usize,
    frame: Frame,
}

impl Scribe<'_> {
    /// The eyes that look, whatever they see.
    fn open(&mut self, plan: &Plan, values: &[Row]) {
        let layout = &plan.layout;
        let at = layout.start(Source::EyeOffset);
        let (relief, pupil) = (layout.start(Source::EyeRelief), layout.start(Source::Pupil));
        for build in self.lanes.clone() {
            let place = self.place(build);
            self.block.taken[place] = Taken {
                end: TrialEnd::NotComputable,
                eye_mm: Point::new(
                    values[at].0[build],
                    values[at + 1].0[build],
                    values[relief].0[build],
                ),
                pupil_mm: values[pupil].0[build],
            };
        }
    }

    fn place(&self, build: usize) -> usize {
        (build - self.lanes.start) * self.block.looks + self.look
    }

    fn put(&mut self, item: usize, row: &[f64; BLOCK_BUILDS], counted: &Marks) {
        for build in self.lanes.clone().filter(|build| counted[*build] != 0) {
            let at = self.place(build) * self.block.width + item;
            self.block.values_rad[at] = row[build];
        }
    }
}

impl Witness for Scribe<'_> {
    fn rod(&mut self, rod: usize, rows: &RodRows, counted: &Marks) {
        let across_rad = match self.frame {
            Frame::Fixed => &rows.across_fixed_rad,
            Frame::Fitted => &rows.across_fitted_rad,
        };
        self.put(rod, across_rad, counted);
    }

    fn junction(&mut self, junction: usize, rows: &JunctionRows, counted: &Marks) {
        self.put(self.block.rods + junction, &rows.gap_rad, counted);
    }

    fn look(&mut self, rows: &VerdictRows, counted: &Marks) {
        for build in self.lanes.clone() {
            let place = self.place(build);
            let taken = &mut self.block.taken[place];
            if counted[build] != 0 {
                taken.end = TrialEnd::Judged(rows.worst_item(build), rows.worst[build]);
            } else if rows.clipped[build] != 0 {
                taken.end = TrialEnd::Clipped;
            }
        }
    }
}
