//! A tally as it stands in files, and back, when its counts add up.

use super::exact_sum::ExactSum;
use super::histogram::{QuantileSketch, SketchCounts};
use super::moments::{ClusteredShare, Moments};
use super::tally::{Failure, FailureLog, JunctionTally, RodTally, Tally};
use crate::figure::Plan;
use crate::trial::NotComputable;
use crate::trial::REPLICATES;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::ops::Range;

/// A tally's counts, for a file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TallyCounts {
    builds_passed: u64,
    /// The same for each of the run's repetitions.
    builds_passed_in: [u64; REPLICATES],
    builds_never_shown: u64,
    builds_not_computable: u64,
    looks: u64,
    looks_clipped: u64,
    looks_held: u64,
    looks_broken: u64,
    looks_not_computable: u64,
    not_computable: Vec<ReasonCount>,
    first_not_computable: Vec<FailureRow>,
    clipped_share: ShareCounts,
    held_share: ShareCounts,
    noticed: ShareCounts,
    drift_over_limit: SketchCounts,
    gap_over_limit: SketchCounts,
    worst_over_limit: SketchCounts,
    rods: Vec<RodCounts>,
    junctions: Vec<JunctionCounts>,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct ReasonCount {
    reason: String,
    count: u64,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct FailureRow {
    build: u64,
    look: Option<u64>,
    reason: String,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct ShareCounts {
    builds: u64,
    /// Σh, Σj, Σh², Σj², Σhj.
    sums: [ExactSum; 5],
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct RodCounts {
    over_limit: u64,
    broke_first: u64,
    drift_fixed_arcmin: SketchCounts,
    drift_fitted_arcmin: SketchCounts,
    /// Sum and sum of squares of each end's distance from the edge, rad.
    off_rad: [[ExactSum; 2]; 2],
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct JunctionCounts {
    over_limit: u64,
    broke_first: u64,
    gap_arcmin: SketchCounts,
    /// Sum and sum of squares of both components of the gap, rad.
    widest_rad: [[ExactSum; 2]; 2],
}

/// Counts that do not add up, or belong to another design, in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotCounts(pub String);

impl fmt::Display for NotCounts {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for NotCounts {}

fn name_of(reason: NotComputable) -> String {
    format!("{reason:?}")
}

impl From<&Tally> for TallyCounts {
    fn from(tally: &Tally) -> Self {
        let share = |share: &ClusteredShare| ShareCounts {
            builds: share.builds,
            sums: share.exact(),
        };
        let pair = |moments: &[Moments; 2]| [moments[0].exact(), moments[1].exact()];
        let failures = &tally.failures;
        Self {
            builds_passed: tally.passed,
            builds_passed_in: tally.passed_in,
            builds_never_shown: tally.never_shown,
            builds_not_computable: tally.builds_not_computable,
            looks: tally.looks,
            looks_clipped: tally.clipped,
            looks_held: tally.held,
            looks_broken: tally.broken,
            looks_not_computable: tally.looks_not_computable,
            not_computable: failures
                .by_reason()
                .map(|(reason, count)| ReasonCount {
                    reason: name_of(reason),
                    count,
                })
                .collect(),
            first_not_computable: failures
                .first()
                .iter()
                .map(|failure| FailureRow {
                    build: failure.build,
                    look: failure.look,
                    reason: name_of(failure.reason),
                })
                .collect(),
            clipped_share: share(&tally.clipped_share),
            held_share: share(&tally.held_share),
            noticed: share(&tally.noticed),
            drift_over_limit: tally.drift_over_limit.counts(),
            gap_over_limit: tally.gap_over_limit.counts(),
            worst_over_limit: tally.worst_over_limit.counts(),
            rods: tally
                .rods
                .iter()
                .map(|rod| RodCounts {
                    over_limit: rod.over_limit,
                    broke_first: rod.broke_first,
                    drift_fixed_arcmin: rod.drift_fixed_arcmin.counts(),
                    drift_fitted_arcmin: rod.drift_fitted_arcmin.counts(),
                    off_rad: pair(&rod.off_rad),
                })
                .collect(),
            junctions: tally
                .junctions
                .iter()
                .map(|junction| JunctionCounts {
                    over_limit: junction.over_limit,
                    broke_first: junction.broke_first,
                    gap_arcmin: junction.gap_arcmin.counts(),
                    widest_rad: pair(&junction.widest_rad),
                })
                .collect(),
        }
    }
}

impl TallyCounts {
    /// The tally of `builds`, each with `looks` looks, of `plan`.
    ///
    /// # Errors
    /// [`NotCounts`] unless all counts add up to those builds and looks and to each other.
    pub fn tally(&self, plan: &Plan, builds: Range<u64>, looks: u64) -> Result<Tally, NotCounts> {
        let judged = self.judged(&builds, looks)?;
        let sketch = |what: &str, counts: &SketchCounts| {
            QuantileSketch::from_counts(counts, judged)
                .map_err(|why| NotCounts(format!("{what}: {why}")))
        };
        let mut tally = Tally::new(plan);
        tally.builds = builds.end - builds.start;
        tally.passed = self.builds_passed;
        tally.passed_in = self.builds_passed_in;
        tally.never_shown = self.builds_never_shown;
        tally.failures = self.failures(&builds, looks)?;
        tally.builds_not_computable = self.builds_not_computable;
        tally.looks = self.looks;
        tally.clipped = self.looks_clipped;
        tally.held = self.looks_held;
        tally.broken = self.looks_broken;
        tally.looks_not_computable = self.looks_not_computable;
        tally.drift_over_limit = sketch("drift_over_limit", &self.drift_over_limit)?;
        tally.gap_over_limit = sketch("gap_over_limit", &self.gap_over_limit)?;
        tally.worst_over_limit = sketch("worst_over_limit", &self.worst_over_limit)?;
        self.put_shares(&mut tally, looks)?;
        self.put_items(&mut tally, judged)?;
        Ok(tally)
    }

    /// Judged looks, when builds and looks add up.
    fn judged(&self, builds: &Range<u64>, looks: u64) -> Result<u64, NotCounts> {
        let tried = builds.end.saturating_sub(builds.start);
        let sum = |parts: &[u64]| {
            parts
                .iter()
                .try_fold(0_u64, |sum, part| sum.checked_add(*part))
        };
        let kinds = [
            self.builds_passed,
            self.builds_never_shown,
            self.builds_not_computable,
        ];
        if sum(&kinds).is_none_or(|sum| sum > tried) {
            return Err(NotCounts(format!(
                "builds that passed, never showed the figure or could not be computed are {} + {} + {}, of {tried} builds",
                kinds[0], kinds[1], kinds[2]
            )));
        }
        if sum(&self.builds_passed_in) != Some(self.builds_passed) {
            return Err(NotCounts(format!(
                "builds that passed in each repetition are {:?}, which is not {} in all",
                self.builds_passed_in, self.builds_passed
            )));
        }
        let taken = (tried - self.builds_not_computable).checked_mul(looks);
        if taken.is_none() || sum(&[self.looks, self.looks_not_computable]) != taken {
            return Err(NotCounts(format!(
                "looks taken and looks that could not be computed are {} + {}, not {looks} at each of the {} builds that could be computed",
                self.looks,
                self.looks_not_computable,
                tried - self.builds_not_computable
            )));
        }
        if sum(&[self.looks_clipped, self.looks_held, self.looks_broken]) != Some(self.looks) {
            return Err(NotCounts(format!(
                "looks that are clipped, held or broken are {} + {} + {}, not {}",
                self.looks_clipped, self.looks_held, self.looks_broken, self.looks
            )));
        }
        Ok(self.looks_held + self.looks_broken)
    }

    fn failures(&self, builds: &Range<u64>, looks: u64) -> Result<FailureLog, NotCounts> {
        let mut log = FailureLog::default();
        let mut total = Some(0_u64);
        for row in &self.not_computable {
            let index = index_of(&row.reason)?;
            if log.counts[index] != 0 || row.count == 0 {
                return Err(NotCounts(format!(
                    "not_computable: `{}` stands twice or with nothing counted",
                    row.reason
                )));
            }
            log.counts[index] = row.count;
            total = total.and_then(|sum| sum.checked_add(row.count));
        }
        // no overflow: both were held against the builds and looks
        let expected = self.builds_not_computable + self.looks_not_computable;
        if total != Some(expected) {
            return Err(NotCounts(format!(
                "not_computable: its reasons do not add up to the {expected} builds and looks that could not be computed"
            )));
        }
        let mut seen = [0_u64; NotComputable::ALL.len()];
        for row in &self.first_not_computable {
            let index = index_of(&row.reason)?;
            let failure = Failure {
                build: row.build,
                look: row.look,
                reason: NotComputable::ALL[index],
            };
            seen[index] += 1;
            let sound = builds.contains(&row.build)
                && row.look.is_none_or(|look| look < looks)
                && log
                    .first
                    .last()
                    .is_none_or(|last| last.number() < failure.number())
                && seen[index] <= log.counts[index]
                && log.first.len() < FailureLog::KEPT;
            if !sound {
                return Err(NotCounts(format!(
                    "first_not_computable: build {} is out of order, not among these builds and looks, or not counted",
                    row.build
                )));
            }
            log.first.push(failure);
        }
        if log.first.len() as u64 != expected.min(FailureLog::KEPT as u64) {
            return Err(NotCounts(format!(
                "first_not_computable: holds {} of {expected}, the first {} are kept",
                log.first.len(),
                FailureLog::KEPT
            )));
        }
        Ok(log)
    }

    fn put_shares(&self, tally: &mut Tally, looks: u64) -> Result<(), NotCounts> {
        let judged = tally.held + tally.broken;
        let most_builds = tally.builds - tally.builds_not_computable;
        let shares = [
            (
                "clipped_share",
                &self.clipped_share,
                Some(tally.clipped),
                tally.looks,
                &mut tally.clipped_share,
            ),
            (
                "held_share",
                &self.held_share,
                Some(tally.held),
                judged,
                &mut tally.held_share,
            ),
            ("noticed", &self.noticed, None, judged, &mut tally.noticed),
        ];
        for (what, counts, counted, of, share) in shares {
            *share = counts
                .share(counted, of, most_builds, looks)
                .ok_or_else(|| {
                    NotCounts(format!(
                        "{what}: its sums do not belong to these builds and looks"
                    ))
                })?;
        }
        if self.held_share.builds != self.noticed.builds {
            return Err(NotCounts(
                "noticed: counts other builds than held_share".to_owned(),
            ));
        }
        Ok(())
    }

    fn put_items(&self, tally: &mut Tally, judged: u64) -> Result<(), NotCounts> {
        let [rods, junctions] = [tally.rods.len(), tally.junctions.len()];
        if [rods, junctions] != [self.rods.len(), self.junctions.len()] {
            return Err(NotCounts(format!(
                "{} rods and {} junctions are counted, the scenario has {rods} and {junctions}",
                self.rods.len(),
                self.junctions.len()
            )));
        }
        let mut broke_first = Some(0_u64);
        for (number, (counts, rod)) in self.rods.iter().zip(&mut tally.rods).enumerate() {
            *rod = counts
                .rod(judged)
                .map_err(|why| NotCounts(format!("rods[{number}]: {why}")))?;
            broke_first = broke_first.and_then(|sum| sum.checked_add(rod.broke_first));
        }
        for (number, (counts, junction)) in
            self.junctions.iter().zip(&mut tally.junctions).enumerate()
        {
            *junction = counts
                .junction(judged)
                .map_err(|why| NotCounts(format!("junctions[{number}]: {why}")))?;
            broke_first = broke_first.and_then(|sum| sum.checked_add(junction.broke_first));
        }
        if broke_first != Some(tally.broken) {
            return Err(NotCounts(format!(
                "rods and junctions that broke first do not add up to the {} broken looks",
                tally.broken
            )));
        }
        Ok(())
    }
}

/// Characters of an unknown reason that are told; the names of all known ones are shorter.
const LONGEST_REASON: usize = 60;

fn index_of(reason: &str) -> Result<usize, NotCounts> {
    NotComputable::ALL
        .into_iter()
        .position(|known| name_of(known) == reason)
        .ok_or_else(|| {
            let told = reason.chars().take(LONGEST_REASON);
            let told: String = told.flat_map(char::escape_debug).collect();
            NotCounts(format!("there is no reason `{told}` not to be computable"))
        })
}

impl ShareCounts {
    /// The share, when its sums are those of `counted` (where that is known) of `of` looks at no more than `most_builds`
    /// builds with up to `looks` looks each.
    fn share(
        &self,
        counted: Option<u64>,
        of: u64,
        most_builds: u64,
        looks: u64,
    ) -> Option<ClusteredShare> {
        let [sum, sum_of, squares, squares_of, products] = self.sums;
        let at_most = |sum: ExactSum, limit: ExactSum| {
            (!sum.is_negative() && !sum.exceeds(limit)?).then_some(())
        };
        let of_exact = ExactSum::of_whole(of);
        // a sum of h or j times at most `looks`; far below 2⁶⁴: at most 10⁹ builds and 1000 looks
        let most_squares = ExactSum::of_whole(of.checked_mul(looks)?);
        let sound = sum_of == of_exact
            && counted.is_none_or(|counted| sum == ExactSum::of_whole(counted))
            && self.builds <= most_builds
            && self.builds <= of
            && (self.builds > 0) == (of > 0)
            && self.builds.checked_mul(looks)? >= of;
        at_most(sum, of_exact)?;
        for sum in [squares, squares_of, products] {
            at_most(sum, most_squares)?;
        }
        sound.then(|| ClusteredShare::of_sums(self.builds, self.sums))
    }
}

/// Moments of `count` values from their sums.
fn moments(sums: &[[ExactSum; 2]; 2], count: u64) -> Result<[Moments; 2], String> {
    let sound = sums.iter().all(|[sum, squares]| {
        !squares.is_negative() && (count > 0 || (sum.is_zero() && squares.is_zero()))
    });
    if !sound {
        return Err("its sums are not those of the judged looks".to_owned());
    }
    Ok(sums.map(|sums| Moments::of_sums(count, sums)))
}

/// Refuses more looks over a limit, or broken first, than there were.
fn check_over(over_limit: u64, broke_first: u64, judged: u64) -> Result<(), String> {
    if over_limit > judged || broke_first > judged {
        return Err(format!(
            "{over_limit} looks over the limit and {broke_first} broken first, of {judged} judged"
        ));
    }
    Ok(())
}

impl RodCounts {
    fn rod(&self, judged: u64) -> Result<RodTally, String> {
        check_over(self.over_limit, self.broke_first, judged)?;
        Ok(RodTally {
            drift_fixed_arcmin: QuantileSketch::from_counts(&self.drift_fixed_arcmin, judged)?,
            drift_fitted_arcmin: QuantileSketch::from_counts(&self.drift_fitted_arcmin, judged)?,
            over_limit: self.over_limit,
            broke_first: self.broke_first,
            off_rad: moments(&self.off_rad, judged)?,
        })
    }
}

impl JunctionCounts {
    fn junction(&self, judged: u64) -> Result<JunctionTally, String> {
        check_over(self.over_limit, self.broke_first, judged)?;
        Ok(JunctionTally {
            gap_arcmin: QuantileSketch::from_counts(&self.gap_arcmin, judged)?,
            over_limit: self.over_limit,
            broke_first: self.broke_first,
            widest_rad: moments(&self.widest_rad, judged)?,
        })
    }
}
