//! Where the uniform numbers of a run come from: plain, Latin hypercube, or scrambled Sobol' points.
//!
//! With the two even layouts the builds fall into [`REPLICATES`] independent repetitions, block by block in turn, so that
//! their scatter tells the error. Every number depends on nothing but its address, as with plain numbers: not on the cap on
//! builds, the number of looks, parts or threads. So the Latin hypercubes of a repetition double: its builds 0 to 63 are one
//! cube, and from then on each cube is as large as all before it.

use crate::elementary::{Kernel, widest};
use crate::figure::{Family, Plan, Source};
use crate::sampling::{
    BLOCK_BUILDS, RowKey, Sampling, SobolPoints, SourceRows, fill_latin_hypercube,
};
use std::sync::Arc;

/// Independent repetitions among the builds of a run.
pub const REPLICATES: usize = 16;

/// The repetition to which the builds of a block belong.
pub fn replicate_of(block: u64) -> usize {
    (block % REPLICATES as u64) as usize
}

/// How many of the first `builds` builds belong to each repetition.
pub fn replicate_builds(builds: u64) -> [u64; REPLICATES] {
    let block = BLOCK_BUILDS as u64;
    let round = block * REPLICATES as u64;
    let mut counts = [builds / round * block; REPLICATES];
    let rest = builds % round;
    for (replicate, count) in counts.iter_mut().enumerate() {
        let before = replicate as u64 * block;
        *count += rest.saturating_sub(before).min(block);
    }
    counts
}

/// The source of a run's uniform numbers.
#[derive(Debug, Clone)]
pub struct Sampler {
    seed: u64,
    layout: Layout,
}

#[derive(Debug, Clone)]
enum Layout {
    Plain,
    LatinHypercube,
    Sobol {
        points: Arc<SobolPoints>,
        dimensions: Box<Dimensions>,
    },
}

/// Which dimension each number of a trial is: first what all of a build shares, then the pulls of its lines (one pull where
/// the threading shares it), then the rest of the build, then look by look.
///
/// Every value has its dimension whether its law draws a number or not: so a source that is added, taken away or given
/// another law leaves the dimensions, and with them the numbers, of all others alone.
#[derive(Debug, Clone)]
struct Dimensions {
    /// First dimension of each source; of a look's source, in the first look.
    starts: [usize; Source::ALL.len()],
    /// Dimensions of the build.
    build: usize,
    /// Dimensions of each look.
    look: usize,
}

impl Dimensions {
    fn of(plan: &Plan) -> Self {
        let mut starts = [0; Source::ALL.len()];
        let mut next = 0;
        let most_items = |source: Source| match source {
            // one where the threading shares it, or else one a line
            Source::HandTension => plan.design.vertices.len(),
            _ => source.items(&plan.design),
        };
        let mut count = |wanted: &dyn Fn(Source) -> bool| {
            let first = next;
            for source in Source::ALL.into_iter().filter(|source| wanted(*source)) {
                starts[source.index()] = next;
                next += most_items(source) * source.components();
            }
            next - first
        };
        let group = |source: Source| match source {
            _ if source.family() == Family::Look => 3,
            Source::HandTension => 1,
            Source::HoleScatter(_)
            | Source::HoleSlack(_)
            | Source::Slackening
            | Source::RodTie
            | Source::RodSlip
            | Source::RodBow => 2,
            _ => 0,
        };
        let build = (0..3)
            .map(|nth| count(&|source| group(source) == nth))
            .sum();
        let look = count(&|source| group(source) == 3);
        Self {
            starts,
            build,
            look,
        }
    }
}

/// A domain of its own for the keys of the even layouts, so that no number is drawn twice.
const EVEN: u64 = 1 << 32;

impl Sampler {
    /// Plain random numbers of the run `seed`.
    pub fn plain(seed: u64) -> Self {
        Self {
            seed,
            layout: Layout::Plain,
        }
    }

    /// The numbers of the run `seed` of `plan`, as far as its first `looks` looks.
    pub fn new(plan: &Plan, sampling: Sampling, seed: u64, looks: u64) -> Self {
        let layout = match sampling {
            Sampling::Plain => Layout::Plain,
            Sampling::LatinHypercube => Layout::LatinHypercube,
            Sampling::Sobol => {
                let dimensions = Dimensions::of(plan);
                let all = dimensions_of_run(&dimensions, looks);
                Layout::Sobol {
                    points: Arc::new(SobolPoints::new(all.min(SobolPoints::MOST_DIMENSIONS))),
                    dimensions: Box::new(dimensions),
                }
            }
        };
        Self { seed, layout }
    }

    /// Fills the rows of one source with numbers strictly between 0 and 1. `look` is the look's number plus one, or 0 for the
    /// build.
    pub fn fill(&self, source: Source, look: u64, block: u64, mut rows: SourceRows<'_>) {
        let plain = RowKey::new(self.seed, source.number(), look, block);
        let replicate = replicate_of(block) as u64;
        let even = RowKey::new(self.seed, source.number() + EVEN, look, replicate);
        let first = block / REPLICATES as u64 * BLOCK_BUILDS as u64;
        match &self.layout {
            Layout::Plain => plain.fill(rows),
            Layout::LatinHypercube => {
                plain.fill(rows.again());
                let (start, cube_builds) = cube_of(first);
                widest(Cubes {
                    key: even.within(start),
                    cube_builds,
                    first: first - start,
                    rows,
                });
            }
            Layout::Sobol { points, dimensions } => {
                let start = dimensions.starts[source.index()]
                    + look.saturating_sub(1) as usize * dimensions.look;
                if start + rows.rows.len() > points.dimensions() {
                    plain.fill(rows.again());
                }
                widest(Points {
                    key: even,
                    points,
                    start,
                    first,
                    rows,
                });
            }
        }
    }
}

/// Dimensions of a run's Sobol' points, one for each value of a build and of its `looks` looks: how many there are, and how
/// many of them get plain random numbers because there are no more direction numbers.
pub fn sobol_dimensions(plan: &Plan, looks: u64) -> [usize; 2] {
    let all = dimensions_of_run(&Dimensions::of(plan), looks);
    [all, all.saturating_sub(SobolPoints::MOST_DIMENSIONS)]
}

fn dimensions_of_run(dimensions: &Dimensions, looks: u64) -> usize {
    dimensions.build + looks as usize * dimensions.look
}

/// First build and number of builds of the Latin hypercube in which the build number `build` of a repetition lies.
fn cube_of(build: u64) -> (u64, u64) {
    let first = BLOCK_BUILDS as u64;
    if build < first {
        (0, first)
    } else {
        let builds = 1 << build.ilog2();
        (builds, builds)
    }
}

struct Cubes<'a> {
    key: RowKey,
    cube_builds: u64,
    first: u64,
    rows: SourceRows<'a>,
}

impl Kernel for Cubes<'_> {
    type Output = ();

    #[inline(always)]
    fn run(mut self) {
        for (item, component, row) in self.rows.drawn() {
            let jitter = row.0;
            let word = self.key.word(item, component);
            fill_latin_hypercube(word, self.cube_builds, self.first, &jitter, &mut row.0);
        }
    }
}

struct Points<'a> {
    key: RowKey,
    points: &'a SobolPoints,
    start: usize,
    first: u64,
    rows: SourceRows<'a>,
}

impl Kernel for Points<'_> {
    type Output = ();

    #[inline(always)]
    fn run(mut self) {
        let components = self.rows.components;
        for (item, component, row) in self.rows.drawn() {
            let dimension = self.start + item as usize * components + component as usize;
            // beyond the last direction numbers the plain numbers stay
            if dimension < self.points.dimensions() {
                let word = self.key.word(item, component);
                self.points.fill(dimension, word, self.first, &mut row.0);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cubes_double_and_leave_no_build_out() {
        let mut next = 0;
        while next < 1 << 20 {
            let (start, builds) = cube_of(next);
            assert_eq!(start, next);
            assert!(builds.is_power_of_two() && builds >= BLOCK_BUILDS as u64);
            assert_eq!(cube_of(start + builds - 1), (start, builds));
            next = start + builds;
        }
    }

    #[test]
    fn every_build_belongs_to_one_repetition() {
        for builds in [0, 1, 63, 64, 65, 1000, 1024, 1025, 100_000] {
            let mut counted = [0; REPLICATES];
            for build in 0..builds {
                counted[replicate_of(build / BLOCK_BUILDS as u64)] += 1;
            }
            assert_eq!(counted, replicate_builds(builds), "{builds}");
        }
    }
}
