//! Elementary functions of one number, written so that a plain loop over arrays runs in the widest lanes of the machine.
//!
//! Each is free of branches, tables and calls: additions, products, quotients, roots, selects and bits of the number
//! itself. IEEE 754 fixes every one of these operations, none is fused, so results are bit-equal on every instruction
//! set and system. Ranges and errors stand at each function; the coefficients are minimax fits of this project's own
//! (`tests/reference/make_elementary.py` prints them and their errors).
//!
//! Everything is inlined into its caller, which takes care of the instruction set: see [`Kernel`] and [`widest`].
//!
//! Sources: W. J. Cody, W. Waite, Software Manual for the Elementary Functions, Prentice-Hall 1980 (reduction by a
//! constant in two parts; logarithm through (m − 1)/(m + 1)); E. Remez 1934 (minimax fit by exchange).

mod disc;
mod exponential;
mod lanes;
mod trigonometric;

pub use disc::disc_segment;
pub use exponential::{exp, ln};
#[cfg(test)]
pub(crate) use lanes::with_every_instruction_set;
pub use lanes::{Kernel, instruction_set, on_every_instruction_set, widest};
pub use trigonometric::sin_cos_turns;

/// 1.5 · 2⁵²: added to a number below 2⁵¹ in size, it leaves the nearest whole number in the lowest bits.
const ROUND_TO_WHOLE: f64 = 6_755_399_441_055_744.0;

#[cfg(test)]
mod tests;
