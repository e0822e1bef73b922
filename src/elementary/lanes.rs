//! One source, compiled for every instruction set, the widest one chosen when the program runs.
//!
//! A kernel is a plain loop over arrays whose whole body is `#[inline(always)]`; compiled for a set with wider
//! registers, the same loop takes more lanes at a time. No set changes a result: each lane does the same IEEE 754
//! operations in the same order, and none is fused.

use pulp::{Arch, Simd, WithSimd};

/// Work to be compiled for every instruction set.
///
/// Implementers write `#[inline(always)] fn run`, and everything called inside must be `#[inline(always)]` too: what is
/// not inlined stays compiled for the narrowest set (slower, not wrong).
pub trait Kernel {
    /// What the work gives.
    type Output;
    /// Does the work.
    fn run(self) -> Self::Output;
}

struct AnySet<K>(K);

impl<K: Kernel> WithSimd for AnySet<K> {
    type Output = K::Output;

    #[inline(always)]
    fn with_simd<S: Simd>(self, _: S) -> K::Output {
        self.0.run()
    }
}

/// Runs the kernel as compiled for the widest instruction set of this machine.
#[inline]
pub fn widest<K: Kernel>(kernel: K) -> K::Output {
    set_in_use().dispatch(AnySet(kernel))
}

#[cfg(not(test))]
#[inline]
fn set_in_use() -> Arch {
    Arch::new()
}

/// Number of the set that a test asked for among those of this machine, from 1; 0 for the widest.
#[cfg(test)]
static ASKED_FOR: std::sync::atomic::AtomicUsize = std::sync::atomic::AtomicUsize::new(0);

#[cfg(test)]
fn set_in_use() -> Arch {
    match ASKED_FOR.load(std::sync::atomic::Ordering::Relaxed) {
        0 => Arch::new(),
        number => every_set()[number - 1],
    }
}

/// Runs `work`, on however many threads, once for every instruction set that this machine has. Tests that run beside it may
/// be put on another set for a while, which must not change them.
#[cfg(test)]
pub(crate) fn with_every_instruction_set<T>(mut work: impl FnMut() -> T) -> Vec<(&'static str, T)> {
    use std::sync::atomic::Ordering;
    let sets = every_set();
    let results = (1..=sets.len())
        .map(|number| {
            ASKED_FOR.store(number, Ordering::Relaxed);
            (name(sets[number - 1]), work())
        })
        .collect();
    ASKED_FOR.store(0, Ordering::Relaxed);
    results
}

/// Name of the instruction set that [`widest`] uses on this machine.
pub fn instruction_set() -> &'static str {
    name(Arch::new())
}

/// Runs the kernel once for every instruction set that this machine has, the plain one first; for tests of equality.
pub fn on_every_instruction_set<K: Kernel + Clone>(kernel: K) -> Vec<(&'static str, K::Output)> {
    every_set()
        .into_iter()
        .map(|set| (name(set), set.dispatch(AnySet(kernel.clone()))))
        .collect()
}

#[cfg(any(target_arch = "x86", target_arch = "x86_64"))]
fn name(set: Arch) -> &'static str {
    match set {
        Arch::V4(_) => "AVX-512",
        Arch::V3(_) => "AVX2",
        _ => "plain",
    }
}

#[cfg(any(target_arch = "x86", target_arch = "x86_64"))]
fn every_set() -> Vec<Arch> {
    use pulp::x86::{V3, V4};
    let mut sets = vec![Arch::Scalar];
    sets.extend(V3::try_new().map(Arch::V3));
    sets.extend(V4::try_new().map(Arch::V4));
    sets
}

#[cfg(target_arch = "aarch64")]
fn name(set: Arch) -> &'static str {
    match set {
        Arch::Neon(_) => "NEON",
        _ => "plain",
    }
}

#[cfg(target_arch = "aarch64")]
fn every_set() -> Vec<Arch> {
    let mut sets = vec![Arch::Scalar];
    sets.extend(pulp::aarch64::Neon::try_new().map(Arch::Neon));
    sets
}

#[cfg(not(any(target_arch = "x86", target_arch = "x86_64", target_arch = "aarch64")))]
fn name(_: Arch) -> &'static str {
    "plain"
}

#[cfg(not(any(target_arch = "x86", target_arch = "x86_64", target_arch = "aarch64")))]
fn every_set() -> Vec<Arch> {
    vec![Arch::new()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(Clone)]
    struct Sum<'a>(&'a [f64]);

    impl Kernel for Sum<'_> {
        type Output = f64;

        #[inline(always)]
        fn run(self) -> f64 {
            self.0.iter().map(|x| x * x).sum()
        }
    }

    #[test]
    fn every_set_gives_the_same_and_the_widest_is_one_of_them() {
        let numbers: Vec<f64> = (0..1000).map(|i| 1.0 / f64::from(i + 3)).collect();
        let all = on_every_instruction_set(Sum(&numbers));
        assert_eq!(all[0].0, "plain");
        assert_eq!(all.last().map(|(name, _)| *name), Some(instruction_set()));
        let widest = widest(Sum(&numbers));
        for (name, sum) in all {
            assert_eq!(sum.to_bits(), widest.to_bits(), "{name}");
        }
    }
}
