//! What a block of builds shows, taken down row by row into a tally.

use super::tally::{BuildCount, Failure, Tally};
use crate::figure::Item;
use crate::sampling::BLOCK_BUILDS;
use crate::trial::{JunctionRows, Marks, NotComputable, RodRows, VerdictRows, Witness};
use crate::units::ARCMIN_RAD;
use crate::vision::probability_noticed;

/// The looks at one block of builds on their way into a tally.
#[derive(Debug)]
pub struct Gather<'t> {
    tally: &'t mut Tally,
    held: Marks,
    broken: Marks,
    clipped: Marks,
    not_computable: Marks,
    noticed: [f64; BLOCK_BUILDS],
}

impl<'t> Gather<'t> {
    /// Begins a block.
    pub fn new(tally: &'t mut Tally) -> Self {
        Self {
            tally,
            held: [0; BLOCK_BUILDS],
            broken: [0; BLOCK_BUILDS],
            clipped: [0; BLOCK_BUILDS],
            not_computable: [0; BLOCK_BUILDS],
            noticed: [0.0; BLOCK_BUILDS],
        }
    }

    /// Counts the looks number `look` that could not be computed at builds that could; the block's first build is number
    /// `first`.
    pub fn note_faults(
        &mut self,
        first: u64,
        look: u64,
        alive: &Marks,
        fault: impl Fn(usize) -> Option<NotComputable>,
    ) {
        for build in (0..BLOCK_BUILDS).filter(|build| alive[*build] != 0) {
            if let Some(reason) = fault(build) {
                self.not_computable[build] += 1;
                self.tally.failures.add(Failure {
                    build: first + build as u64,
                    look: Some(look),
                    reason,
                });
            }
        }
    }

    /// Closes the block, which belongs to the repetition `replicate`: a build passes when at least `hold_share` of its
    /// unclipped looks hold.
    pub fn end_block(self, alive: &Marks, hold_share: f64, replicate: usize) {
        let passed_before = self.tally.passed;
        for build in (0..BLOCK_BUILDS).filter(|build| alive[*build] != 0) {
            self.tally.end_build(
                BuildCount {
                    clipped: self.clipped[build],
                    held: self.held[build],
                    broken: self.broken[build],
                    not_computable: self.not_computable[build],
                    noticed: self.noticed[build],
                },
                hold_share,
            );
        }
        self.tally.passed_in[replicate] += self.tally.passed - passed_before;
    }
}

/// How many of the counted are over their limit.
#[inline(always)]
fn over_limit(shares: &[f64; BLOCK_BUILDS], counted: &Marks) -> u64 {
    let mut over = 0;
    for build in 0..BLOCK_BUILDS {
        over += if shares[build] > 1.0 {
            counted[build]
        } else {
            0
        };
    }
    over
}

/// Arcminutes in a radian.
const ARCMIN: f64 = 1.0 / ARCMIN_RAD;

impl Witness for Gather<'_> {
    #[inline(always)]
    fn rod(&mut self, rod: usize, rows: &RodRows, counted: &Marks) {
        let tally = &mut self.tally.rods[rod];
        tally.over_limit += over_limit(&rows.share, counted);
        tally
            .drift_fixed_arcmin
            .add_row(&rows.across_fixed_rad, ARCMIN, counted);
        tally
            .drift_fitted_arcmin
            .add_row(&rows.across_fitted_rad, ARCMIN, counted);
        for (moments, off) in tally.off_rad.iter_mut().zip(rows.off_rad()) {
            moments.add_row(off, counted);
        }
    }

    #[inline(always)]
    fn junction(&mut self, junction: usize, rows: &JunctionRows, counted: &Marks) {
        let tally = &mut self.tally.junctions[junction];
        tally.over_limit += over_limit(&rows.share, counted);
        tally.gap_arcmin.add_row(&rows.gap_rad, ARCMIN, counted);
        for (moments, gap) in tally.widest_rad.iter_mut().zip(&rows.widest_rad) {
            moments.add_row(gap, counted);
        }
    }

    #[inline(always)]
    fn look(&mut self, rows: &VerdictRows, counted: &Marks) {
        for build in 0..BLOCK_BUILDS {
            let holds = u64::from(rows.worst[build] <= 1.0);
            self.held[build] += counted[build] & holds;
            self.broken[build] += counted[build] & (1 - holds);
            self.clipped[build] += rows.clipped[build];
            let noticed = probability_noticed(rows.over_threshold[build]);
            self.noticed[build] += if counted[build] != 0 { noticed } else { 0.0 };
        }
        for build in 0..BLOCK_BUILDS {
            if counted[build] != 0 && rows.worst[build] > 1.0 {
                match rows.worst_item(build) {
                    Item::Rod(rod) => self.tally.rods[rod].broke_first += 1,
                    Item::Junction(junction) => self.tally.junctions[junction].broke_first += 1,
                }
            }
        }
        self.tally
            .drift_over_limit
            .add_row(&rows.drift, 1.0, counted);
        self.tally.gap_over_limit.add_row(&rows.gap, 1.0, counted);
        self.tally
            .worst_over_limit
            .add_row(&rows.worst, 1.0, counted);
    }
}
