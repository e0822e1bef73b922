//! The floor: only drawing the random numbers that a trial uses, with the fastest generators at hand.
//!
//! Xoshiro256++ for uniform numbers, the ziggurat method of `rand_distr` on it for normal ones. As many of each kind as
//! the laws need; none of the arithmetic that makes a pupil, a tie or a tension of them.

use rand::SeedableRng;
use rand::rand_core::Rng;
use rand::rngs::Xoshiro256PlusPlus;
use rand_distr::{Distribution as _, StandardNormal};
use sightdrift::figure::{Family, Law, Plan, Source};
use sightdrift::sampling::Distribution;
use std::hint::black_box;

/// How many random numbers of each kind.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Numbers {
    /// From a normal law, cut or logarithmic ones among them.
    pub normal: usize,
    /// From any other law.
    pub uniform: usize,
}

impl Numbers {
    /// What one build, or one look, of `plan` uses.
    pub fn of(plan: &Plan, family: Family) -> Self {
        let mut numbers = Self::default();
        for source in Source::ALL {
            if source.family() == family {
                let items = source.items(&plan.design);
                let one = Self::of_item(plan.design.law(source));
                numbers.normal += items * one.normal;
                numbers.uniform += items * one.uniform;
            }
        }
        numbers
    }

    fn of_item(law: &Law) -> Self {
        let mut numbers = Self::default();
        if law.uniforms() == 0 {
            return numbers;
        }
        match law {
            Law::Each(each) => each.iter().for_each(|one| numbers.add(one)),
            Law::Spun(length) => {
                numbers.add(length);
                numbers.uniform += 1;
            }
            Law::Light { age, .. } => numbers.add(age),
            _ => numbers.uniform = law.uniforms(),
        }
        numbers
    }

    fn add(&mut self, one: &Distribution) {
        match one {
            Distribution::Fixed(_) => {}
            Distribution::Normal { .. }
            | Distribution::Lognormal { .. }
            | Distribution::TruncatedNormal { .. } => self.normal += 1,
            _ => self.uniform += 1,
        }
    }

    /// Both kinds.
    pub fn total(self) -> usize {
        self.normal + self.uniform
    }

    /// The same count with every number uniform: the stricter floor.
    pub fn all_uniform(self) -> Self {
        Self {
            normal: 0,
            uniform: self.total(),
        }
    }
}

/// Draws `numbers` anew `times` times.
pub fn draw(numbers: Numbers, times: u64) {
    let mut generator = Xoshiro256PlusPlus::seed_from_u64(7);
    let mut normal = vec![0.0_f64; numbers.normal];
    let mut uniform = vec![0.0_f64; numbers.uniform];
    for _ in 0..times {
        for number in &mut normal {
            *number = StandardNormal.sample(&mut generator);
        }
        for number in &mut uniform {
            *number = (generator.next_u64() >> 11) as f64 * UNIFORM_STEP;
        }
        black_box((normal.as_slice(), uniform.as_slice()));
    }
}

/// 2⁻⁵³: 53 random bits make a number from 0 up to 1.
const UNIFORM_STEP: f64 = 1.0 / 9_007_199_254_740_992.0;
