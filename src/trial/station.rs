//! The view of the mean eye at a build without any error: what the design itself shows.

use super::build::Built;
use super::look::Glance;
use crate::figure::{Family, Plan};

/// The rod end (`2·rod + end`) with the least clear share and that share, seen by the eye whose place and pupil are the
/// means of their laws, with the lines sagging under their loads; `None` when that cannot be computed.
pub fn least_clear_at_the_eye(plan: &Plan) -> Option<(usize, f64)> {
    let mut built = Built::new(plan);
    built.set(plan, &plan.neutral_values(Family::Build)).ok()?;
    let look = plan.mean_values(Family::Look);
    let apertures = Glance::new(plan, &look, built.peephole_mm).ok()?.apertures;
    built
        .ends_mm
        .iter()
        .map(|end| apertures.see(end).map_or(0.0, |seen| seen.clear_share))
        .enumerate()
        .min_by(|a, b| a.1.total_cmp(&b.1))
}
