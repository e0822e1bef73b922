//! What some builds come to, and how such tallies add up.

use super::histogram::QuantileSketch;
use super::moments::{ClusteredShare, Moments};
use crate::figure::Plan;
use crate::trial::{NotComputable, REPLICATES};

/// One rod over all judged looks.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct RodTally {
    /// Edge drift in the fixed frame, arcmin.
    pub drift_fixed_arcmin: QuantileSketch,
    /// Edge drift in the fitted frame, arcmin.
    pub drift_fitted_arcmin: QuantileSketch,
    /// Looks in which its drift was over its limit.
    pub over_limit: u64,
    /// Broken looks in which it was the worst.
    pub broke_first: u64,
    /// Signed distance of each end from the edge in the judged frame, rad.
    pub off_rad: [Moments; 2],
}

/// One junction over all judged looks.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct JunctionTally {
    /// Gap, arcmin.
    pub gap_arcmin: QuantileSketch,
    /// Looks in which its gap was over its limit.
    pub over_limit: u64,
    /// Broken looks in which it was the worst.
    pub broke_first: u64,
    /// Gap vector between its two ends farthest apart in depth, rad.
    pub widest_rad: [Moments; 2],
}

impl RodTally {
    fn clear(&mut self) {
        self.drift_fixed_arcmin.clear();
        self.drift_fitted_arcmin.clear();
        (self.over_limit, self.broke_first) = (0, 0);
        self.off_rad = Default::default();
    }
}

impl JunctionTally {
    fn clear(&mut self) {
        self.gap_arcmin.clear();
        (self.over_limit, self.broke_first) = (0, 0);
        self.widest_rad = Default::default();
    }
}

/// A trial that could not be computed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Failure {
    /// Build number.
    pub build: u64,
    /// Look number, or `None` when the build itself failed.
    pub look: Option<u64>,
    /// Why.
    pub reason: NotComputable,
}

impl Failure {
    /// Build and look; a build that failed comes before its looks.
    pub fn number(&self) -> (u64, Option<u64>) {
        (self.build, self.look)
    }
}

/// Trials that could not be computed: how many for each reason, and the first few by number.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct FailureLog {
    /// In the order of [`NotComputable::ALL`].
    pub(super) counts: [u64; NotComputable::ALL.len()],
    /// In the order of builds, and looks in them.
    pub(super) first: Vec<Failure>,
}

impl FailureLog {
    /// How many failures are kept with their numbers.
    pub(super) const KEPT: usize = 20;

    pub(super) fn add(&mut self, failure: Failure) {
        let index = NotComputable::ALL
            .iter()
            .position(|reason| *reason == failure.reason)
            .expect("ALL holds every reason");
        self.counts[index] += 1;
        self.keep(failure);
    }

    /// Keeps the first by number, in whatever order they come.
    fn keep(&mut self, failure: Failure) {
        let at = self
            .first
            .partition_point(|kept| kept.number() <= failure.number());
        if at < Self::KEPT {
            self.first.insert(at, failure);
            self.first.truncate(Self::KEPT);
        }
    }

    fn fold(&mut self, other: &Self) {
        for (mine, theirs) in self.counts.iter_mut().zip(other.counts) {
            *mine += theirs;
        }
        other.first.iter().for_each(|failure| self.keep(*failure));
    }

    /// How many in all.
    pub fn total(&self) -> u64 {
        self.counts.iter().sum()
    }

    /// Reasons that occurred, with their counts.
    pub fn by_reason(&self) -> impl Iterator<Item = (NotComputable, u64)> + '_ {
        NotComputable::ALL
            .into_iter()
            .zip(self.counts)
            .filter(|(_, count)| *count > 0)
    }

    /// The first of them, with their numbers.
    pub fn first(&self) -> &[Failure] {
        &self.first
    }
}

/// Everything that is counted over a run.
#[derive(Debug, Clone, PartialEq)]
pub struct Tally {
    /// Builds tried.
    pub builds: u64,
    /// Builds that passed.
    pub passed: u64,
    /// The same for each of the run's independent repetitions.
    pub passed_in: [u64; REPLICATES],
    /// Builds no look at which showed the whole figure; they do not pass.
    pub never_shown: u64,
    /// Builds or looks that could not be computed; such a build does not pass, such a look is left out.
    pub failures: FailureLog,
    /// Builds that could not be computed.
    pub builds_not_computable: u64,
    /// Looks taken (at computable builds).
    pub looks: u64,
    /// Looks that were clipped.
    pub clipped: u64,
    /// Looks that held.
    pub held: u64,
    /// Looks that broke.
    pub broken: u64,
    /// Looks that could not be computed; they count as not holding.
    pub looks_not_computable: u64,
    /// Clipped among all computable looks.
    pub clipped_share: ClusteredShare,
    /// Held among judged looks.
    pub held_share: ClusteredShare,
    /// Sum of the probabilities that the worst fault of a judged look is noticed, among judged looks.
    pub noticed: ClusteredShare,
    /// Largest drift of each judged look over its limit.
    pub drift_over_limit: QuantileSketch,
    /// Largest gap of each judged look over its limit.
    pub gap_over_limit: QuantileSketch,
    /// The larger of the two: at most 1 where the look holds.
    pub worst_over_limit: QuantileSketch,
    /// Every rod.
    pub rods: Vec<RodTally>,
    /// Every junction.
    pub junctions: Vec<JunctionTally>,
}

/// A share times a count may come out a rounding above the whole number that it stands for.
pub const ROUNDING: f64 = 1e-9;

/// Whether a build passes at which `held` of `unclipped` looks hold: at least `hold_share` of them, and one look shows it.
pub fn build_passes(held: u64, unclipped: u64, hold_share: f64) -> bool {
    unclipped > 0 && held as f64 >= hold_share * unclipped as f64 - ROUNDING
}

/// Looks at one build.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct BuildCount {
    pub clipped: u64,
    pub held: u64,
    pub broken: u64,
    pub not_computable: u64,
    /// Sum of the probabilities that the worst fault of a judged look is noticed.
    pub noticed: f64,
}

impl Tally {
    /// Nothing counted yet.
    pub fn new(plan: &Plan) -> Self {
        Self {
            builds: 0,
            passed: 0,
            passed_in: [0; REPLICATES],
            never_shown: 0,
            failures: FailureLog::default(),
            builds_not_computable: 0,
            looks: 0,
            clipped: 0,
            held: 0,
            broken: 0,
            looks_not_computable: 0,
            clipped_share: ClusteredShare::default(),
            held_share: ClusteredShare::default(),
            noticed: ClusteredShare::default(),
            drift_over_limit: QuantileSketch::default(),
            gap_over_limit: QuantileSketch::default(),
            worst_over_limit: QuantileSketch::default(),
            rods: vec![RodTally::default(); plan.edges.len()],
            junctions: vec![JunctionTally::default(); plan.junctions.len()],
        }
    }

    /// Forgets everything, and keeps its memory.
    pub fn clear(&mut self) {
        // every field by name, so that a new one is not forgotten
        let Self {
            builds,
            passed,
            passed_in,
            never_shown,
            failures,
            builds_not_computable,
            looks,
            clipped,
            held,
            broken,
            looks_not_computable,
            clipped_share,
            held_share,
            noticed,
            drift_over_limit,
            gap_over_limit,
            worst_over_limit,
            rods,
            junctions,
        } = self;
        for count in [
            builds,
            passed,
            never_shown,
            builds_not_computable,
            looks,
            clipped,
            held,
            broken,
            looks_not_computable,
        ] {
            *count = 0;
        }
        *passed_in = [0; REPLICATES];
        *failures = FailureLog::default();
        for share in [clipped_share, held_share, noticed] {
            *share = ClusteredShare::default();
        }
        for sketch in [drift_over_limit, gap_over_limit, worst_over_limit] {
            sketch.clear();
        }
        rods.iter_mut().for_each(RodTally::clear);
        junctions.iter_mut().for_each(JunctionTally::clear);
    }

    /// Counts a build that could not be computed.
    pub fn add_failed_build(&mut self, build: u64, reason: NotComputable) {
        self.builds += 1;
        self.builds_not_computable += 1;
        self.failures.add(Failure {
            build,
            look: None,
            reason,
        });
    }

    /// Counts a build by its looks: it passes when at least `hold_share` of its unclipped looks hold; a look that could not
    /// be computed is one that does not.
    pub(super) fn end_build(&mut self, build: BuildCount, hold_share: f64) {
        let BuildCount {
            clipped,
            held,
            broken,
            not_computable,
            noticed,
        } = build;
        let looks = clipped + held + broken;
        self.builds += 1;
        self.looks += looks;
        self.clipped += clipped;
        self.held += held;
        self.broken += broken;
        self.looks_not_computable += not_computable;
        self.clipped_share.add(clipped as f64, looks);
        let judged = held + broken;
        self.held_share.add(held as f64, judged);
        self.noticed.add(noticed, judged);
        let unclipped = judged + not_computable;
        if unclipped == 0 {
            self.never_shown += 1;
        } else if build_passes(held, unclipped, hold_share) {
            self.passed += 1;
        }
    }

    /// Adds the counts of other builds: of a task, or of tasks that were folded before. Order and grouping change nothing.
    pub fn fold(&mut self, next: &Self) {
        self.builds += next.builds;
        self.passed += next.passed;
        for (mine, theirs) in self.passed_in.iter_mut().zip(next.passed_in) {
            *mine += theirs;
        }
        self.never_shown += next.never_shown;
        self.failures.fold(&next.failures);
        self.builds_not_computable += next.builds_not_computable;
        self.looks += next.looks;
        self.clipped += next.clipped;
        self.held += next.held;
        self.looks_not_computable += next.looks_not_computable;
        self.broken += next.broken;
        self.clipped_share.fold(&next.clipped_share);
        self.held_share.fold(&next.held_share);
        self.noticed.fold(&next.noticed);
        self.drift_over_limit.merge(&next.drift_over_limit);
        self.gap_over_limit.merge(&next.gap_over_limit);
        self.worst_over_limit.merge(&next.worst_over_limit);
        for (mine, theirs) in self.rods.iter_mut().zip(&next.rods) {
            mine.drift_fixed_arcmin.merge(&theirs.drift_fixed_arcmin);
            mine.drift_fitted_arcmin.merge(&theirs.drift_fitted_arcmin);
            mine.over_limit += theirs.over_limit;
            mine.broke_first += theirs.broke_first;
            for (mine, theirs) in mine.off_rad.iter_mut().zip(&theirs.off_rad) {
                mine.fold(theirs);
            }
        }
        for (mine, theirs) in self.junctions.iter_mut().zip(&next.junctions) {
            mine.gap_arcmin.merge(&theirs.gap_arcmin);
            mine.over_limit += theirs.over_limit;
            mine.broke_first += theirs.broke_first;
            for (mine, theirs) in mine.widest_rad.iter_mut().zip(&theirs.widest_rad) {
                mine.fold(theirs);
            }
        }
    }
}
