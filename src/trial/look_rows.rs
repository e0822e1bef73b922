//! A look at every build of a block at once: the same as [`super::Glance`] and [`super::Viewed`] of
//! each, row by row in the machine's widest lanes.

use super::build::NotComputable;
use super::build_rows::{BuildRows, Faults, bit, is_finite, unless};
use super::judge_rows::{Judge, JudgeRoom, Witness};
use super::rows::{EyeRows, FitRows, Marks, SeenRows, Shown};
use super::sight_rows::{Look, SightRoom};
use crate::elementary::{Kernel, widest};
use crate::figure::{Plan, Source};
use crate::geometry::{FitSums, FitTargets, Pair, Point};
use crate::sampling::{BLOCK_BUILDS, Row};
use crate::units::rad_from_arcmin;
use crate::vision::finest_detail_arcmin;

/// One look at each build of a block.
#[derive(Debug, Clone)]
pub struct LookRows {
    shown: Shown,
    faults: Faults,
    sight_room: Box<SightRoom>,
    judge_room: Box<JudgeRoom>,
}

impl LookRows {
    /// Room for looks at a block of builds of `plan`.
    pub fn new(plan: &Plan) -> Self {
        Self {
            shown: Shown {
                eye: Box::new(EyeRows {
                    place: [[0.0; BLOCK_BUILDS]; 3],
                    radius: [0.0; BLOCK_BUILDS],
                    per_detail: [0.0; BLOCK_BUILDS],
                }),
                ends: vec![SeenRows::NOTHING; plan.targets.len()],
                middles: vec![SeenRows::NOTHING; plan.middle_count()],
                fit: Box::new(FitRows([[0.0; BLOCK_BUILDS]; 5])),
                clipped: [0; BLOCK_BUILDS],
                counted: [0; BLOCK_BUILDS],
            },
            faults: [0; BLOCK_BUILDS],
            sight_room: SightRoom::new(),
            judge_room: JudgeRoom::new(plan),
        }
    }

    /// Looks once at each of `builds` with the eyes of `values` (one row a value, laid out by `plan.layout`), judges, and
    /// tells `witness`. Builds whose `alive` is 0 are not counted.
    pub fn take(
        &mut self,
        plan: &Plan,
        builds: &BuildRows,
        values: &[Row],
        alive: &Marks,
        witness: &mut impl Witness,
    ) {
        widest(OpenEyes {
            plan,
            values,
            builds,
            rows: self,
        });
        widest(Look {
            focus_per_mm: 1.0 / plan.design.viewer.focus_mm,
            builds,
            eye: &self.shown.eye,
            room: &mut self.sight_room,
            ends: &mut self.shown.ends,
            middles: &mut self.shown.middles,
        });
        widest(Fit {
            plan,
            alive,
            rows: self,
        });
        widest(Judge {
            plan,
            shown: &self.shown,
            room: &mut self.judge_room,
            witness,
        });
    }

    /// Why the look at build `build` of the block cannot be computed, if so.
    pub fn fault(&self, build: usize) -> Option<NotComputable> {
        /// What a look alone would have met first.
        const FIRST_MET: [NotComputable; 4] = [
            NotComputable::NoPupil,
            NotComputable::NotFinite,
            NotComputable::EyeBeyondPeephole,
            NotComputable::NoFit,
        ];
        FIRST_MET
            .into_iter()
            .find(|reason| self.faults[build] & bit(*reason) != 0)
    }
}

struct OpenEyes<'a> {
    plan: &'a Plan,
    values: &'a [Row],
    builds: &'a BuildRows,
    rows: &'a mut LookRows,
}

impl Kernel for OpenEyes<'_> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        let layout = &self.plan.layout;
        let offset = layout.start(Source::EyeOffset);
        let row = |at: usize| &self.values[at].0;
        let (x, y) = (row(offset), row(offset + 1));
        let z = row(layout.start(Source::EyeRelief));
        let diameter = row(layout.start(Source::Pupil));
        let log_mar = row(layout.start(Source::Acuity));
        let mut radius = [0.0; BLOCK_BUILDS];
        let mut per_detail = [0.0; BLOCK_BUILDS];
        let mut faults = [0; BLOCK_BUILDS];
        for build in 0..BLOCK_BUILDS {
            radius[build] = diameter[build] * 0.5;
            per_detail[build] = 1.0 / rad_from_arcmin(finest_detail_arcmin(log_mar[build]));
            let no_pupil = unless(
                radius[build] > 0.0 && radius[build] < f64::INFINITY,
                NotComputable::NoPupil,
            );
            let not_finite = unless(
                is_finite(Point::new(x[build], y[build], z[build])),
                NotComputable::NotFinite,
            );
            let beyond = unless(
                z[build] < self.builds.peephole.of(build).centre_mm.z,
                NotComputable::EyeBeyondPeephole,
            );
            faults[build] = no_pupil | not_finite | beyond;
        }
        self.rows.shown.eye.place = [*x, *y, *z];
        self.rows.shown.eye.radius = radius;
        self.rows.shown.eye.per_detail = per_detail;
        self.rows.faults = faults;
    }
}

struct Fit<'a> {
    plan: &'a Plan,
    alive: &'a Marks,
    rows: &'a mut LookRows,
}

impl Kernel for Fit<'_> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        let rows = self.rows;
        let mut least = [f64::INFINITY; BLOCK_BUILDS];
        for seen in rows.shown.ends.iter().chain(&rows.shown.middles) {
            for build in 0..BLOCK_BUILDS {
                let clear = seen.clear[build];
                least[build] = if clear < least[build] {
                    clear
                } else {
                    least[build]
                };
            }
        }
        let fit = match &self.plan.fit_targets {
            Some(targets) => fit_rows(targets, &rows.shown.ends),
            None => FitRows([[f64::NAN; BLOCK_BUILDS]; 5]),
        };
        let clip_below = self.plan.design.peephole.clip_below;
        for build in 0..BLOCK_BUILDS {
            let computable = self.alive[build] != 0 && rows.faults[build] == 0;
            let shown = least[build] >= clip_below && least[build] > 0.0;
            let fitted = fit.of(build).can_be_undone();
            rows.shown.clipped[build] = u64::from(computable && !shown);
            rows.shown.counted[build] = u64::from(computable && shown && fitted);
            rows.faults[build] |= unless(!(computable && shown) || fitted, NotComputable::NoFit);
        }
        *rows.shown.fit = fit;
    }
}

#[inline(always)]
fn fit_rows(targets: &FitTargets, seen: &[SeenRows]) -> FitRows {
    let mut sums = [[0.0; BLOCK_BUILDS]; 4];
    for (centred, seen) in targets.centred.iter().zip(seen) {
        for build in 0..BLOCK_BUILDS {
            let mut one = sums_of(&sums, build);
            one.add(*centred, seen.direction(build));
            sums[0][build] = one.seen.x;
            sums[1][build] = one.seen.y;
            sums[2][build] = one.dot;
            sums[3][build] = one.cross;
        }
    }
    let mut fit = FitRows([[0.0; BLOCK_BUILDS]; 5]);
    for build in 0..BLOCK_BUILDS {
        fit.put(build, &targets.solve(&sums_of(&sums, build)));
    }
    fit
}

#[inline(always)]
fn sums_of(sums: &[[f64; BLOCK_BUILDS]; 4], build: usize) -> FitSums {
    FitSums {
        seen: Pair::new(sums[0][build], sums[1][build]),
        dot: sums[2][build],
        cross: sums[3][build],
    }
}
