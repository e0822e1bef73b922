//! How much of the drift, of the gap and of the failures each step of the work causes: Sobol' indices of builds and looks.
//!
//! Two sets of builds with their looks, A and B, are drawn independently; for each step the builds of A are worked out once
//! more with that step's values from B. Groups are [`Step`]s, the visitor's among them; both plates' sources and all items of
//! a source go together, since one hand makes them all.
//!
//! Four outputs. Drift and gap are those of the first look, over their limits; a part of the figure that is partly dark is
//! measured all the same, as long as any light comes from it, because leaving out what is clipped would make the inputs
//! depend on each other, and then a variance has no shares. The margin is the fault that decides whether the build passes
//! (as [`Brief::margins`]), and failure is 1 where it does not pass.

use super::brief::{Brief, BriefBench};
use super::run_plan::RunPlan;
use crate::figure::{Family, Plan, Step};
use crate::sampling::{BLOCK_BUILDS, Row, another_seed};
use crate::statistics::{BlockSums, FEWEST_BLOCKS, VarianceShares, variance_shares};
use crate::trial::{LookRows, Marks, RunHooks, Sampler, VerdictRows, Witness, fold_tasks};
use std::ops::Range;

/// Rows that tell what matters on the examples (chosen: a first-order index of drift is then known to some ± 0.02).
pub const SHARE_ROWS: u64 = 32_768;

/// A margin beyond this multiple of the limit counts as this, and so does a build that never shows the figure or cannot be
/// computed (chosen: far beyond all that could be mended, and no single build outweighs the rest).
pub const MOST_MARGIN: f64 = 10.0;

/// Failing builds, and passing ones, that A and B together need before the failures are shared out (chosen: with fewer the
/// bootstrap draws the same few again and again).
pub const FEWEST_OF_EACH: u64 = 50;

/// Blocks of rows in one task.
const TASK_BLOCKS: u64 = 2;

/// Makes the second set's seed.
const SECOND_SET: u64 = 0x5ec0_7d5e;

/// What is shared out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ShareOutput {
    /// Largest drift over its limit in the first look.
    Drift,
    /// Largest gap over its limit in the first look.
    Gap,
    /// The fault that decides whether the build passes, over its limit.
    Margin,
    /// Whether the build fails.
    Failure,
}

impl ShareOutput {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Drift, Self::Gap, Self::Margin, Self::Failure];

    /// Its name in files.
    pub fn name(self) -> &'static str {
        match self {
            Self::Drift => "drift",
            Self::Gap => "gap",
            Self::Margin => "margin",
            Self::Failure => "failure",
        }
    }
}

/// Why an output has no shares.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoShares {
    /// It is the same in all rows that could be evaluated, or none could be.
    NothingVaries,
    /// So few builds fail that chance would speak; how many of A and B did.
    TooFewFail(u64),
    /// So few builds pass that chance would speak; how many of A and B did.
    TooFewPass(u64),
    /// Fewer than [`FEWEST_BLOCKS`] blocks of 64 rows.
    TooFewRows,
}

/// The shares of one output.
#[derive(Debug, Clone, PartialEq)]
pub struct OutputShares {
    /// Which it is.
    pub output: ShareOutput,
    /// Shares of its variance, one for each of [`Shares::steps`].
    pub found: Result<VarianceShares, NoShares>,
}

/// How much of each output every step causes.
#[derive(Debug, Clone, PartialEq)]
pub struct Shares {
    /// Steps whose laws vary in this design, in the order of [`Step::ALL`].
    pub steps: Vec<Step>,
    /// Drift, gap, margin, failure.
    pub outputs: Vec<OutputShares>,
    /// Rows: pairs of a build of A and a build of B.
    pub rows: u64,
    /// Builds worked out in all: (steps + 2) × rows.
    pub builds: u64,
    /// Looks at each.
    pub looks: u64,
    /// Builds of A and B whose margin was set to [`MOST_MARGIN`].
    pub capped: u64,
    /// Level of the intervals.
    pub level: f64,
    /// Seed of A.
    pub seed: u64,
}

impl Shares {
    /// The shares of one output.
    pub fn of(&self, output: ShareOutput) -> &OutputShares {
        &self.outputs[output as usize]
    }

    /// The output by which steps are ranked: what decides whether a build passes, or else the first that has shares.
    pub fn ranked_by(&self) -> Option<ShareOutput> {
        const WISHED: [ShareOutput; 4] = [
            ShareOutput::Margin,
            ShareOutput::Drift,
            ShareOutput::Gap,
            ShareOutput::Failure,
        ];
        WISHED
            .into_iter()
            .find(|output| self.of(*output).found.is_ok())
    }

    /// Numbers of the steps by falling total index of [`Shares::ranked_by`].
    pub fn ranked(&self) -> Vec<usize> {
        self.ranked_for(self.ranked_by().unwrap_or(ShareOutput::Margin))
    }

    /// Numbers of the steps by falling total index of one output; as they are where it has no shares.
    pub fn ranked_for(&self, output: ShareOutput) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.steps.len()).collect();
        if let Ok(found) = &self.of(output).found {
            let total = |step: &usize| found.groups[*step].total.estimate;
            order.sort_by(|a, b| total(b).total_cmp(&total(a)));
        }
        order
    }
}

/// Steps of which at least one source varies in this design.
pub fn varying_steps(plan: &Plan) -> Vec<Step> {
    let varies = |step: &Step| {
        let mut sources = step.sources().into_iter();
        sources.any(|source| plan.design.law(source).uniforms() > 0)
    };
    Step::ALL.into_iter().filter(varies).collect()
}

/// How much of each output every step causes, from `rows` rows (rounded up to whole blocks of 64) in the current pool, with
/// the seed, looks and level of `run`. `None` when interrupted.
pub fn shares(plan: &Plan, run: &RunPlan, rows: u64, hooks: &RunHooks<'_>) -> Option<Shares> {
    let steps = varying_steps(plan);
    let blocks = rows.div_ceil(BLOCK_BUILDS as u64);
    let mut found = Found::default();
    let whole = fold_tasks(
        0..blocks.div_ceil(TASK_BLOCKS),
        hooks,
        |task| {
            let mut bench = SharesBench::new(plan, &steps, run);
            let mut found = Found::default();
            for block in task * TASK_BLOCKS..blocks.min((task + 1) * TASK_BLOCKS) {
                if hooks.is_interrupted() {
                    break;
                }
                bench.work_out(plan, block, &mut found);
            }
            found
        },
        |more| found.fold(more),
    );
    whole.then(|| {
        let rows = blocks * BLOCK_BUILDS as u64;
        Shares {
            outputs: ShareOutput::ALL
                .into_iter()
                .map(|output| OutputShares {
                    output,
                    found: found.shares(output, run),
                })
                .collect(),
            rows,
            builds: rows * (steps.len() as u64 + 2),
            looks: run.looks,
            capped: found.capped,
            level: run.level,
            seed: run.seed,
            steps,
        }
    })
}

/// A number near each output.
const ABOUT: f64 = 0.5;

/// What the blocks come to.
#[derive(Default)]
struct Found {
    /// For each of [`ShareOutput::ALL`].
    sums: [Vec<BlockSums>; ShareOutput::ALL.len()],
    capped: u64,
    /// Builds of A and B, and how many of them fail.
    builds: u64,
    failed: u64,
}

impl Found {
    fn fold(&mut self, more: Self) {
        for (all, more) in self.sums.iter_mut().zip(more.sums) {
            all.extend(more);
        }
        self.capped += more.capped;
        self.builds += more.builds;
        self.failed += more.failed;
    }

    fn shares(&self, output: ShareOutput, run: &RunPlan) -> Result<VarianceShares, NoShares> {
        let sums = &self.sums[output as usize];
        let passed = self.builds - self.failed;
        match output {
            _ if sums.len() < FEWEST_BLOCKS => return Err(NoShares::TooFewRows),
            ShareOutput::Failure if self.failed < FEWEST_OF_EACH => {
                return Err(NoShares::TooFewFail(self.failed));
            }
            ShareOutput::Failure if passed < FEWEST_OF_EACH => {
                return Err(NoShares::TooFewPass(passed));
            }
            _ => {}
        }
        variance_shares(sums, ABOUT, run.level, run.seed).ok_or(NoShares::NothingVaries)
    }
}

/// The outputs of one block of builds, in the order of [`ShareOutput::ALL`].
type Outputs = [[f64; BLOCK_BUILDS]; ShareOutput::ALL.len()];

/// Where a step's values stand among those of a build and of a look.
struct Places {
    build: Vec<Range<usize>>,
    look: Vec<Range<usize>>,
}

impl Places {
    fn of(plan: &Plan, step: Step) -> Self {
        let of = |family: Family| {
            let mine = |source: &crate::figure::Source| source.family() == family;
            let place = |source: crate::figure::Source| {
                let start = plan.layout.start(source);
                start..start + source.items(&plan.design) * source.components()
            };
            step.sources().into_iter().filter(mine).map(place).collect()
        };
        Self {
            build: of(Family::Build),
            look: of(Family::Look),
        }
    }
}

/// Room for a block of A and the same of B.
struct SharesBench {
    places: Vec<Places>,
    samplers: [Sampler; 2],
    benches: [BriefBench; 2],
    /// The design with the clip rule at its least.
    all_shown: Plan,
    looks: LookRows,
}

impl SharesBench {
    fn new(plan: &Plan, steps: &[Step], run: &RunPlan) -> Self {
        let mut design = plan.design.clone();
        design.peephole.clip_below = f64::MIN_POSITIVE;
        Self {
            places: steps.iter().map(|step| Places::of(plan, *step)).collect(),
            samplers: [run.seed, another_seed(run.seed ^ SECOND_SET)].map(Sampler::plain),
            benches: [0, 1].map(|_| BriefBench::new(plan, run.looks)),
            all_shown: Plan::new(design),
            looks: LookRows::new(plan),
        }
    }

    fn work_out(&mut self, plan: &Plan, block: u64, found: &mut Found) {
        for (bench, sampler) in self.benches.iter_mut().zip(&self.samplers) {
            bench.draw(plan, sampler, block);
        }
        let first = self.outputs(plan, 0);
        let second = self.outputs(plan, 1);
        let mixed: Vec<Outputs> = (0..self.places.len())
            .map(|step| {
                self.swap(step);
                let outputs = self.outputs(plan, 0);
                self.swap(step);
                outputs
            })
            .collect();
        for margins in [&first, &second].map(|outputs| &outputs[ShareOutput::Margin as usize]) {
            let count =
                |is: &dyn Fn(f64) -> bool| margins.iter().filter(|m| is(**m)).count() as u64;
            found.builds += margins.len() as u64;
            found.capped += count(&|margin| margin >= MOST_MARGIN);
            found.failed += count(&|margin| margin > 1.0);
        }
        for (output, sums) in found.sums.iter_mut().enumerate() {
            let mixed: Vec<Vec<f64>> = mixed.iter().map(|all| all[output].to_vec()).collect();
            sums.push(BlockSums::of(
                &first[output],
                &second[output],
                &mixed,
                ABOUT,
            ));
        }
    }

    /// Exchanges a step's values between A and B.
    fn swap(&mut self, step: usize) {
        let [first, second] = &mut self.benches;
        let exchange = |places: &[Range<usize>], a: &mut [Row], b: &mut [Row]| {
            for place in places {
                a[place.clone()].swap_with_slice(&mut b[place.clone()]);
            }
        };
        let places = &self.places[step];
        exchange(
            &places.build,
            &mut first.build_draws.rows,
            &mut second.build_draws.rows,
        );
        for (a, b) in first.look_values.iter_mut().zip(&mut second.look_values) {
            exchange(&places.look, a, b);
        }
    }

    /// All outputs of the builds that stand in one of the two benches; not a number where there is none.
    fn outputs(&mut self, plan: &Plan, which: usize) -> Outputs {
        let bench = &mut self.benches[which];
        let mut brief = Brief::default();
        bench.look_at(plan, BLOCK_BUILDS, &mut brief);
        let mut seen = FirstLook {
            drift: [f64::NAN; BLOCK_BUILDS],
            gap: [f64::NAN; BLOCK_BUILDS],
        };
        if let Some(values) = bench.look_values.first() {
            let alive = bench.builds.computable(BLOCK_BUILDS);
            self.looks
                .take(&self.all_shown, &bench.builds, values, &alive, &mut seen);
        }
        let mut margin = [0.0; BLOCK_BUILDS];
        for (margin, found) in margin.iter_mut().zip(&brief.margins) {
            *margin = found.min(MOST_MARGIN);
        }
        let failure = margin.map(|margin| f64::from(u8::from(margin > 1.0)));
        [seen.drift, seen.gap, margin, failure]
    }
}

/// Drift and gap of one look.
struct FirstLook {
    drift: [f64; BLOCK_BUILDS],
    gap: [f64; BLOCK_BUILDS],
}

impl Witness for FirstLook {
    #[inline(always)]
    fn look(&mut self, rows: &VerdictRows, counted: &Marks) {
        for build in 0..BLOCK_BUILDS {
            if counted[build] != 0 {
                self.drift[build] = rows.drift[build];
                self.gap[build] = rows.gap[build];
            }
        }
    }
}
