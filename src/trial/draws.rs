//! The random values of one block of builds, source by source.
//!
//! A block's values stand as `[value][build]`, so that each stream is read once from end to end.

use crate::figure::{Family, Plan, Source};
use crate::sampling::{BLOCK_BUILDS, Stream, StreamKey};

/// All build values of one block.
#[derive(Debug, Clone)]
pub struct BuildDraws(Drawn);

/// All look values of one look at each build of a block.
#[derive(Debug, Clone)]
pub struct LookDraws(Drawn);

#[derive(Debug, Clone)]
struct Drawn {
    values: Vec<f64>,
}

impl Drawn {
    fn new(len: usize) -> Self {
        Self {
            values: vec![0.0; len * BLOCK_BUILDS],
        }
    }

    /// Values of one build into `into`.
    fn pick(&self, build: usize, into: &mut [f64]) {
        for (value, row) in into.iter_mut().zip(self.values.chunks_exact(BLOCK_BUILDS)) {
            *value = row[build];
        }
    }

    fn draw(&mut self, plan: &Plan, family: Family, seed: u64, look: u64, block: u64) {
        for source in Source::ALL
            .into_iter()
            .filter(|source| source.family() == family)
        {
            let start = plan.layout.start(source);
            let components = source.components();
            let law = plan.design.law(source);
            for item in 0..source.items(&plan.design) {
                let key = |component| StreamKey {
                    seed,
                    source: source.number(),
                    item: item as u64,
                    component,
                    look,
                };
                let first_row = (start + item * components) * BLOCK_BUILDS;
                let rows = &mut self.values[first_row..first_row + components * BLOCK_BUILDS];
                let mut set = |build: usize, values: [f64; 2]| {
                    for (component, value) in values.into_iter().enumerate().take(components) {
                        rows[component * BLOCK_BUILDS + build] = value;
                    }
                };
                match law.uniforms() {
                    0 => {
                        let values = law.values(item, [0.5; 2]);
                        (0..BLOCK_BUILDS).for_each(|build| set(build, values));
                    }
                    1 => {
                        let mut one = Stream::new(key(0), block);
                        (0..BLOCK_BUILDS).for_each(|build| {
                            set(build, law.values(item, [one.next_uniform(), 0.5]))
                        });
                    }
                    _ => {
                        let mut one = Stream::new(key(0), block);
                        let mut two = Stream::new(key(1), block);
                        (0..BLOCK_BUILDS).for_each(|build| {
                            set(
                                build,
                                law.values(item, [one.next_uniform(), two.next_uniform()]),
                            );
                        });
                    }
                }
            }
        }
    }
}

impl BuildDraws {
    /// Room for one block of builds.
    pub fn new(plan: &Plan) -> Self {
        Self(Drawn::new(plan.layout.build_len))
    }

    /// Draws block `block` of the run `seed`.
    pub fn draw(&mut self, plan: &Plan, seed: u64, block: u64) {
        self.0.draw(plan, Family::Build, seed, 0, block);
    }

    /// The values of build `build` of the block.
    pub fn pick(&self, build: usize, into: &mut [f64]) {
        self.0.pick(build, into);
    }
}

impl LookDraws {
    /// Room for one look at each build of a block.
    pub fn new(plan: &Plan) -> Self {
        Self(Drawn::new(plan.layout.look_len))
    }

    /// Draws look `look` (from 0) of block `block` of the run `seed`.
    pub fn draw(&mut self, plan: &Plan, seed: u64, look: u64, block: u64) {
        self.0.draw(plan, Family::Look, seed, look + 1, block);
    }

    /// The values of this look at build `build` of the block.
    pub fn pick(&self, build: usize, into: &mut [f64]) {
        self.0.pick(build, into);
    }
}

/// The values of build number `build` of the run, drawn by themselves.
pub fn fill_build(plan: &Plan, seed: u64, build: u64) -> Vec<f64> {
    let mut draws = BuildDraws::new(plan);
    draws.draw(plan, seed, build / BLOCK_BUILDS as u64);
    let mut values = vec![0.0; plan.layout.build_len];
    draws.pick((build % BLOCK_BUILDS as u64) as usize, &mut values);
    values
}

/// The values of look number `look` at build number `build` of the run, drawn by themselves.
pub fn fill_look(plan: &Plan, seed: u64, build: u64, look: u64) -> Vec<f64> {
    let mut draws = LookDraws::new(plan);
    draws.draw(plan, seed, look, build / BLOCK_BUILDS as u64);
    let mut values = vec![0.0; plan.layout.look_len];
    draws.pick((build % BLOCK_BUILDS as u64) as usize, &mut values);
    values
}
