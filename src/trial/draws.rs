//! The random values of one block of builds, source by source: one row a value, one number a build in it.

use super::sampler::Sampler;
use crate::figure::{Family, Plan, Source};
use crate::sampling::{BLOCK_BUILDS, Row, SourceRows};

/// The values of one block: of its builds, or of one look at each.
#[derive(Debug, Clone)]
pub struct Draws {
    family: Family,
    /// One row a value, laid out by the plan.
    pub rows: Vec<Row>,
    /// Whether what never varies stands in its rows already.
    settled: bool,
}

impl Draws {
    /// Room for the values of one block's builds.
    pub fn of_builds(plan: &Plan) -> Self {
        Self::new(Family::Build, plan.layout.build_len)
    }

    /// Room for the values of one look at each build of a block.
    pub fn of_looks(plan: &Plan) -> Self {
        Self::new(Family::Look, plan.layout.look_len)
    }

    fn new(family: Family, len: usize) -> Self {
        Self {
            family,
            rows: vec![Row::of(0.5); len],
            settled: false,
        }
    }

    /// Draws block `block` of a run; of looks, look `look` (from 0). One `Draws` serves one plan.
    pub fn draw(&mut self, plan: &Plan, sampler: &Sampler, look: u64, block: u64) {
        let look = match self.family {
            Family::Build => 0,
            Family::Look => look + 1,
        };
        for source in Source::ALL
            .into_iter()
            .filter(|source| source.family() == self.family)
        {
            let law = plan.design.law(source);
            let uniforms = law.uniforms();
            if uniforms == 0 && self.settled {
                continue;
            }
            let components = source.components();
            let start = plan.layout.start(source);
            let end = start + source.items(&plan.design) * components;
            let rows = &mut self.rows[start..end];
            let drawn = SourceRows {
                rows: &mut *rows,
                components,
                uniforms,
            };
            sampler.fill(source, look, block, drawn);
            law.shape(rows, components);
        }
        self.settled = true;
    }

    /// The values of build `build` of the block.
    pub fn of_build(&self, build: usize) -> Vec<f64> {
        self.rows.iter().map(|row| row.0[build]).collect()
    }
}

/// The values of build number `build` of the run, drawn by themselves.
pub fn fill_build(plan: &Plan, sampler: &Sampler, build: u64) -> Vec<f64> {
    let mut draws = Draws::of_builds(plan);
    draws.draw(plan, sampler, 0, build / BLOCK_BUILDS as u64);
    draws.of_build((build % BLOCK_BUILDS as u64) as usize)
}

/// The values of look number `look` at build number `build` of the run, drawn by themselves.
pub fn fill_look(plan: &Plan, sampler: &Sampler, build: u64, look: u64) -> Vec<f64> {
    let mut draws = Draws::of_looks(plan);
    draws.draw(plan, sampler, look, build / BLOCK_BUILDS as u64);
    draws.of_build((build % BLOCK_BUILDS as u64) as usize)
}
