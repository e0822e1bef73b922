//! What comes first: the worst rods and junctions, the likeliest causes, the readings that are in doubt.

use super::super::bench_words::is_of_the_build;
use super::Diagnosed;
use super::verdict::BuildVerdict;
use crate::decision::diagnosis::{Cause, ItemFinding, Mend, ReadingTold};

/// A cause or a misreading that is likelier than this is told as such (chosen: more likely than not).
pub(super) const LIKELY: f64 = 0.5;
/// A reading this many standard uncertainties from what the most probable build shows is marked.
pub(super) const FAR_OFF_SD: f64 = 3.0;
/// Under so many standard uncertainties apart a reading settles nothing (chosen: one in forty would fall on the wrong side).
pub(super) const SETTLED_SD: f64 = 2.0;

impl Diagnosed<'_> {
    /// All rods and junctions, the farthest over its limit first; those that are not seen before all others.
    pub(super) fn worst_first(&self) -> Vec<&ItemFinding> {
        let over = |item: &ItemFinding| {
            item.seen_rad
                .map_or(f64::INFINITY, |seen| seen.median / item.limit_rad)
        };
        let mut items: Vec<&ItemFinding> = self.diagnosis.finding.items.iter().collect();
        items.sort_by(|a, b| over(b).total_cmp(&over(a)));
        items
    }

    /// Causes in the build that are more likely than not.
    pub(super) fn likely_causes(&self) -> Vec<&Cause> {
        let causes = self.causes().into_iter();
        causes
            .filter(|cause| cause.fault_probability >= LIKELY)
            .collect()
    }

    /// All causes in the build, the likeliest fault first; readings are none, nor is an error that all items of a source may share
    /// and of which nothing speaks.
    pub(super) fn causes(&self) -> Vec<&Cause> {
        let causes = self.diagnosis.why.causes.iter();
        causes.filter(|cause| is_of_the_build(cause)).collect()
    }

    /// Readings that are more likely misread than not, by number.
    pub(super) fn misread(&self) -> Vec<usize> {
        self.readings_where(|told| told.fault_probability > LIKELY)
    }

    /// Readings that are misread or far off what the most probable build shows, by number.
    pub(super) fn doubtful(&self) -> Vec<usize> {
        self.readings_where(is_doubtful)
    }

    fn readings_where(&self, is_one: impl Fn(&ReadingTold) -> bool) -> Vec<usize> {
        let told = self.diagnosis.why.readings.iter().enumerate();
        told.filter(|(nth, told)| is_one(told) && *nth < self.bench.readings.len())
            .map(|(nth, _)| nth)
            .collect()
    }

    /// The least that mends the build, where anything does.
    pub(super) fn least(&self) -> Option<&Mend> {
        let mends = &self.diagnosis.mends;
        mends.ranked.get(mends.least?)
    }

    /// What to do with what is said before it: the least that mends the build, or the best that was tried; `None` of a build that
    /// needs nothing, or where nothing was found.
    pub(super) fn best_mend(&self) -> Option<(&'static str, &Mend)> {
        if self.diagnosis.mends.needs_nothing {
            return None;
        }
        let is_open = matches!(
            self.verdict(),
            BuildVerdict::ProbablyHolds | BuildVerdict::Undecided
        );
        let lead = if is_open {
            "Read more before anything is mended. If that does not clear it up, the least that mends it:"
        } else {
            "The least that mends it:"
        };
        let least = self.least().map(|least| (lead, least));
        least.or_else(|| {
            let best = self.diagnosis.mends.ranked.first()?;
            Some(("Nothing tried meets the target; the best:", best))
        })
    }
}

/// Whether a reading is misread or far off.
pub(super) fn is_doubtful(told: &ReadingTold) -> bool {
    told.fault_probability > LIKELY || told.off.iter().any(|off| off.abs() > FAR_OFF_SD)
}
