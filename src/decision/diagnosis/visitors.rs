//! What builds with given values look like: to the eye at its mean place, and to visitors' eyes as the scenario has them.
//!
//! Visitors' eyes are drawn by plain random numbers of the run's seed, build by build and look by look, so all that is asked of
//! the same builds is asked with the same eyes (common random numbers).

use super::cause::Why;
use crate::decision::brief::{Brief, BriefBench};
use crate::decision::run_plan::RunPlan;
use crate::figure::{Family, Frame, Item, Plan, Source};
use crate::sampling::{BLOCK_BUILDS, Row};
use crate::trial::{Built, Glance, Measured, NotComputable, RunHooks, Sampler, Viewed};

/// Mean of the eye's relief less the scenario's, mm: 0 where it was not read.
pub fn relief_shift_mm(plan: &Plan, why: &Why) -> f64 {
    let at = plan.layout.start(Source::EyeRelief);
    match why.look.get(at) {
        Some(read_mm) if why.relief_was_read => {
            read_mm - plan.design.law(Source::EyeRelief).spread(0).mean[0]
        }
        _ => 0.0,
    }
}

/// The eye at its mean place, its relief shifted by `relief_shift_mm`.
pub(super) fn mean_look(plan: &Plan, relief_shift_mm: f64) -> Vec<f64> {
    let mut look = plan.mean_values(Family::Look);
    look[plan.layout.start(Source::EyeRelief)] += relief_shift_mm;
    look
}

/// All items in the order of a finding: rods first, then junctions.
pub(super) fn items(plan: &Plan) -> impl Iterator<Item = Item> + '_ {
    let rods = (0..plan.edges.len()).map(Item::Rod);
    rods.chain((0..plan.junctions.len()).map(Item::Junction))
}

/// Where the eye at its mean place sees every rod and junction of one build after the other.
pub(in crate::decision) struct MeanEye<'p> {
    plan: &'p Plan,
    look: Vec<f64>,
    per_limit: Vec<f64>,
    built: Built,
    viewed: Viewed,
    measured: Measured,
}

impl<'p> MeanEye<'p> {
    pub fn new(plan: &'p Plan, relief_shift_mm: f64) -> Self {
        let per_detail_rad = 1.0 / plan.typical_detail_rad();
        let limits = plan.drift_limits.iter().chain(&plan.gap_limits);
        Self {
            look: mean_look(plan, relief_shift_mm),
            per_limit: limits.map(|limit| limit.per_rad(per_detail_rad)).collect(),
            built: Built::new(plan),
            viewed: Viewed::new(plan),
            measured: Measured::new(plan),
            plan,
        }
    }

    /// Drift (judged frame) or gap of every item, rad; `None` for one that is not seen whole, or that cannot be fitted.
    ///
    /// # Errors
    /// [`NotComputable`] when the build or the eye is impossible.
    pub fn faults_rad(&mut self, build_values: &[f64]) -> Result<Vec<Option<f64>>, NotComputable> {
        self.built.set(self.plan, build_values)?;
        let glance = Glance::new(self.plan, &self.look, self.built.peephole_mm)?;
        let least_clear = self.viewed.set(&self.built, &glance.apertures);
        let is_fitted = least_clear > 0.0 && self.measured.set(self.plan, &self.viewed).is_ok();
        Ok(items(self.plan)
            .map(|item| match item {
                Item::Rod(rod) if is_fitted => Some(match self.plan.design.judging.frame {
                    Frame::Fixed => self.measured.across_fixed_rad(rod),
                    Frame::Fitted => self.measured.across_fitted_rad(rod),
                }),
                Item::Junction(junction) if is_fitted => Some(self.measured.gaps_rad[junction]),
                Item::Rod(rod) => self.fixed_drift_rad(rod),
                Item::Junction(junction) => self.gap_rad(junction),
            })
            .collect())
    }

    /// The faults of a build over their limits for the visitor of mean acuity.
    pub fn over_limits(&mut self, build_values: &[f64]) -> Result<Vec<Option<f64>>, NotComputable> {
        let faults_rad = self.faults_rad(build_values)?;
        let over = faults_rad.iter().zip(&self.per_limit);
        Ok(over
            .map(|(fault_rad, per_limit)| fault_rad.map(|fault_rad| fault_rad * per_limit))
            .collect())
    }

    /// Drift of a rod where part of the figure is not seen, so that nothing can be fitted.
    fn fixed_drift_rad(&self, rod: usize) -> Option<f64> {
        if self.plan.design.judging.frame == Frame::Fitted {
            return None;
        }
        let edge = &self.plan.edges[rod];
        let mut largest = 0.0_f64;
        for end in [2 * rod, 2 * rod + 1] {
            if !(self.viewed.end_clear[end] > 0.0) {
                return None;
            }
            largest = largest.max(edge.off_rad(self.viewed.ends[end]).abs());
        }
        if let Some(middle) = self.viewed.middles.get(rod) {
            if !(self.viewed.middle_clear[rod] > 0.0) {
                return None;
            }
            largest = largest.max(edge.off_rad(*middle).abs());
        }
        Some(largest)
    }

    fn gap_rad(&self, junction: usize) -> Option<f64> {
        let ends = &self.plan.junctions[junction].ends;
        let is_seen = ends.iter().all(|end| self.viewed.end_clear[*end] > 0.0);
        is_seen.then(|| {
            let gaps = crate::decision::first_order::pairs(ends)
                .map(|[a, b]| (self.viewed.ends[a] - self.viewed.ends[b]).norm());
            gaps.fold(0.0, f64::max)
        })
    }
}

/// Visitors' eyes: `run.looks` looks at each build.
pub(super) struct Visitors<'a> {
    pub plan: &'a Plan,
    pub run: &'a RunPlan,
    /// By how much their mean relief differs from the scenario's, mm.
    pub relief_shift_mm: f64,
}

impl Visitors<'_> {
    /// Looks at all of `builds`. What is found means nothing after an interrupt.
    pub fn look_at(&self, builds: &[Vec<f64>], hooks: &RunHooks<'_>) -> Brief {
        let mut found = Brief::default();
        let mut bench = BriefBench::new(self.plan, self.run.looks);
        for (block, builds) in (0..).zip(builds.chunks(BLOCK_BUILDS)) {
            if hooks.is_interrupted() {
                break;
            }
            self.add_block(block, builds, &mut bench, &mut found);
        }
        found
    }

    /// Looks at block `block` of the builds.
    pub fn look_at_block(&self, block: u64, builds: &[Vec<f64>]) -> Brief {
        let mut found = Brief::default();
        let mut bench = BriefBench::new(self.plan, self.run.looks);
        self.add_block(block, builds, &mut bench, &mut found);
        found
    }

    fn add_block(
        &self,
        block: u64,
        builds: &[Vec<f64>],
        bench: &mut BriefBench,
        found: &mut Brief,
    ) {
        let mut values = vec![Row::of(0.0); self.plan.layout.build_len];
        put_in_rows(builds, &mut values);
        bench.draw_looks(self.plan, &Sampler::plain(self.run.seed), block);
        shift_relief(self.plan, bench, self.relief_shift_mm);
        bench.look_at_given(self.plan, &values, builds.len(), found);
    }
}

/// Moves all eyes that were drawn along the axis.
pub(in crate::decision) fn shift_relief(plan: &Plan, bench: &mut BriefBench, relief_shift_mm: f64) {
    if relief_shift_mm == 0.0 {
        return;
    }
    let at = plan.layout.start(Source::EyeRelief);
    for look in &mut bench.look_values {
        for relief_mm in &mut look[at].0 {
            *relief_mm += relief_shift_mm;
        }
    }
}

/// One row a value, one number a build; the places of builds that are not there repeat the last one.
pub(in crate::decision) fn put_in_rows(builds: &[Vec<f64>], rows: &mut [Row]) {
    for (at, row) in rows.iter_mut().enumerate() {
        for (nth, value) in row.0.iter_mut().enumerate() {
            *value = builds[nth.min(builds.len() - 1)][at];
        }
    }
}
