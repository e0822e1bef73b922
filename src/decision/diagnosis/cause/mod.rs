//! Why a build is as it is: suspects, how well the readings bear out that they went wrong, and what is told of them.

mod causes;
mod evidence;
mod explain;
mod look_alikes;
mod mixture;
mod readings;
mod suspect;
mod told;
mod unknowns;
mod why;

pub use suspect::{FAULT_PRIOR, MISREAD_PRIOR, Suspect, suspects};
pub use told::{Cause, Estimate, Explanation, LookAlike, ReadingTold, Settles, Why};
pub use why::{NoDiagnosis, why};
