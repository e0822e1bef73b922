//! Will a one-eye viewpoint exhibit hold when it is made by hand?
//!
//! A viewpoint figure is a set of loose rods hung on taut lines in a cabinet; through a peephole at the station point the
//! rods fuse into a familiar figure. This crate disturbs eye, holes, lines and rods in a Monte Carlo run, measures in
//! arcminutes how far each rod's projected edge drifts from its target, and writes plots and a report.
//!
//! Floors, lowest first; dependencies point down only (a test reads the sources and says so):
//!
//! 0. [`units`]: quantities with units in and out, the only place with conversion factors; [`elementary`]: functions of
//!    one number in wide lanes, bit-equal everywhere.
//! 1. [`geometry`]: directions, plates, similarity fit; [`mechanics`]: taut lines; [`vision`]: pupil and peephole, acuity.
//! 2. [`sampling`]: (seed, source, item, build, look) to numbers; distributions by quantile.
//! 3. [`figure`]: figure, cabinet and sources of error, as the engine sees them.
//! 4. [`trial`]: one build, one look, its outcome, row by row; tasks run in parallel and folded in order.
//! 5. [`statistics`]: intervals, quantiles, what trials add up to.
//! 6. [`decision`]: the run and its stop rule, first-order estimate, worst case, causes, verdict.
//! 7. [`scenario`]: files in; [`report`]: files out.
//! 8. [`cli`]: arguments and commands.
//!
//! ```
//! use sightdrift::scenario::{EXAMPLES, read_scenario};
//! use sightdrift::trial::{Sampler, Sight, fill_build, fill_look};
//!
//! let no_files = |_: &str| Err("no file is named".to_owned());
//! let scenario = read_scenario("example", EXAMPLES[1].text, &no_files)?;
//! // build 17 of the scenario's own seed, looked at once
//! let sampler = Sampler::plain(scenario.run.seed);
//! let build = fill_build(&scenario.plan, &sampler, 17);
//! let look = fill_look(&scenario.plan, &sampler, 17, 0);
//! let sight = Sight::of(&scenario.plan, &build, &look).expect("computable");
//! assert_eq!(sight.rods.len(), 11);
//! # Ok::<(), sightdrift::scenario::Problems>(())
//! ```

pub mod cli;
pub mod decision;
pub mod elementary;
pub mod figure;
pub mod geometry;
pub mod mechanics;
pub mod report;
pub mod sampling;
pub mod scenario;
pub mod statistics;
pub mod trial;
pub mod units;
pub mod vision;
