//! What is measured of one look: drift of every rod in both frames, gap of every junction.

use super::build::NotComputable;
use super::look::Viewed;
use crate::figure::Plan;
use crate::geometry::{FitSums, Pair, Similarity};

/// Drifts and gaps of one look, rad.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// The common shift, rotation and scale.
    pub fit: Option<Similarity>,
    /// Signed distance of each rod end from its target edge, fixed frame, at `2·rod + end`.
    pub off_fixed_rad: Vec<f64>,
    /// The same in the fitted frame.
    pub off_fitted_rad: Vec<f64>,
    /// Signed distance of each middle from its target edge, fixed frame; empty when rods cannot bow.
    pub middle_off_fixed_rad: Vec<f64>,
    /// The same in the fitted frame.
    pub middle_off_fitted_rad: Vec<f64>,
    /// Largest gap of each junction, fixed frame.
    pub gaps_rad: Vec<f64>,
}

impl Measured {
    /// Room for a look at a build of `plan`.
    pub fn new(plan: &Plan) -> Self {
        let rods = plan.design.rods.len();
        let middles = plan.middle_count();
        Self {
            fit: None,
            off_fixed_rad: vec![0.0; 2 * rods],
            off_fitted_rad: vec![0.0; 2 * rods],
            middle_off_fixed_rad: vec![0.0; middles],
            middle_off_fitted_rad: vec![0.0; middles],
            gaps_rad: vec![0.0; plan.junctions.len()],
        }
    }

    /// Measures a look in which every point is seen.
    ///
    /// # Errors
    /// [`NotComputable::NoFit`] when no similarity fits.
    pub fn set(&mut self, plan: &Plan, viewed: &Viewed) -> Result<(), NotComputable> {
        let targets = plan.fit_targets.as_ref().ok_or(NotComputable::NoFit)?;
        let mut sums = FitSums::NONE;
        for (centred, seen) in targets.centred.iter().zip(&viewed.ends) {
            sums.add(*centred, *seen);
        }
        let fit = targets.solve(&sums);
        if !fit.can_be_undone() {
            return Err(NotComputable::NoFit);
        }
        self.fit = Some(fit);
        for (end, seen) in viewed.ends.iter().enumerate() {
            let edge = &plan.edges[end / 2];
            self.off_fixed_rad[end] = edge.off_rad(*seen);
            self.off_fitted_rad[end] = edge.off_rad(fit.undo(*seen));
        }
        for (rod, seen) in viewed.middles.iter().enumerate() {
            let edge = &plan.edges[rod];
            self.middle_off_fixed_rad[rod] = edge.off_rad(*seen);
            self.middle_off_fitted_rad[rod] = edge.off_rad(fit.undo(*seen));
        }
        for (junction, gap) in plan.junctions.iter().zip(&mut self.gaps_rad) {
            *gap = largest_gap_rad(&junction.ends, &viewed.ends);
        }
        Ok(())
    }

    /// Edge drift of a rod in the fixed frame, rad: the largest distance of its ends (and middle) from the edge.
    pub fn across_fixed_rad(&self, rod: usize) -> f64 {
        across(rod, &self.off_fixed_rad, &self.middle_off_fixed_rad)
    }

    /// Edge drift of a rod in the fitted frame, rad.
    pub fn across_fitted_rad(&self, rod: usize) -> f64 {
        across(rod, &self.off_fitted_rad, &self.middle_off_fitted_rad)
    }
}

fn across(rod: usize, ends: &[f64], middles: &[f64]) -> f64 {
    let largest = ends[2 * rod].abs().max(ends[2 * rod + 1].abs());
    middles
        .get(rod)
        .map_or(largest, |middle| largest.max(middle.abs()))
}

pub(super) fn largest_gap_rad(ends: &[usize], seen: &[Pair]) -> f64 {
    let mut largest_squared = 0.0_f64;
    for (nth, first) in ends.iter().enumerate() {
        for second in &ends[nth + 1..] {
            largest_squared = largest_squared.max((seen[*first] - seen[*second]).norm_squared());
        }
    }
    largest_squared.sqrt()
}
