//! A look at every build of a block at once: the same as [`super::Glance`], [`super::Viewed`] and [`super::judge`] of
//! each, row by row in the machine's widest lanes.

use super::build::NotComputable;
use super::build_rows::{BuildRows, Faults, PointRows, bit};
use crate::elementary::{Kernel, disc_segment, widest};
use crate::figure::{Frame, Item, Limit, Plan, Source};
use crate::geometry::{Edge, FitSums, FitTargets, Pair, Point, Similarity};
use crate::sampling::{BLOCK_BUILDS, Row};
use crate::units::rad_from_arcmin;
use crate::vision::{Lit, Pupil, finest_detail_arcmin};

/// The eye that looks at every build.
#[derive(Debug, Clone)]
#[repr(C, align(64))]
struct EyeRows {
    place: [[f64; BLOCK_BUILDS]; 3],
    radius: [f64; BLOCK_BUILDS],
    per_radius: [f64; BLOCK_BUILDS],
    per_detail: [f64; BLOCK_BUILDS],
}

impl EyeRows {
    #[inline(always)]
    fn pupil(&self, build: usize) -> Pupil {
        let [x, y, z] = &self.place;
        Pupil::with_quotient(
            Point::new(x[build], y[build], z[build]),
            self.radius[build],
            self.per_radius[build],
        )
    }
}

/// Where one point is seen at every build.
#[derive(Debug, Clone)]
#[repr(C, align(64))]
struct SeenRows {
    u: [f64; BLOCK_BUILDS],
    v: [f64; BLOCK_BUILDS],
    clear: [f64; BLOCK_BUILDS],
}

impl SeenRows {
    const NOTHING: Self = Self {
        u: [0.0; BLOCK_BUILDS],
        v: [0.0; BLOCK_BUILDS],
        clear: [0.0; BLOCK_BUILDS],
    };

    #[inline(always)]
    fn direction(&self, build: usize) -> Pair {
        Pair::new(self.u[build], self.v[build])
    }
}

/// The common shift, rotation and scale at every build.
#[derive(Debug, Clone)]
#[repr(C, align(64))]
struct FitRows([[f64; BLOCK_BUILDS]; 5]);

impl FitRows {
    #[inline(always)]
    fn of(&self, build: usize) -> Similarity {
        let [a, b, c, d, e] = &self.0;
        Similarity::from_parts([a[build], b[build], c[build], d[build], e[build]])
    }

    #[inline(always)]
    fn put(&mut self, build: usize, fit: &Similarity) {
        let parts = fit.parts();
        for part in 0..5 {
            self.0[part][build] = parts[part];
        }
    }
}

/// What of a look is to be counted at every build: 1, or 0 where the look is clipped or cannot be computed.
pub type Marks = [u64; BLOCK_BUILDS];

/// One rod in one look at every build; what is not counted means nothing.
#[derive(Debug, Clone)]
#[repr(C, align(64))]
pub struct RodRows {
    off_fixed_rad: [[f64; BLOCK_BUILDS]; 2],
    off_fitted_rad: [[f64; BLOCK_BUILDS]; 2],
    frame: Frame,
    /// Edge drift in the fixed frame, rad.
    pub across_fixed_rad: [f64; BLOCK_BUILDS],
    /// Edge drift in the fitted frame, rad.
    pub across_fitted_rad: [f64; BLOCK_BUILDS],
    /// Drift in the judged frame over its limit.
    pub share: [f64; BLOCK_BUILDS],
}

impl RodRows {
    fn of(frame: Frame) -> Self {
        Self {
            off_fixed_rad: [[0.0; BLOCK_BUILDS]; 2],
            off_fitted_rad: [[0.0; BLOCK_BUILDS]; 2],
            frame,
            across_fixed_rad: [0.0; BLOCK_BUILDS],
            across_fitted_rad: [0.0; BLOCK_BUILDS],
            share: [0.0; BLOCK_BUILDS],
        }
    }

    /// Signed distance of its two ends from the edge in the judged frame, rad.
    #[inline(always)]
    pub fn off_rad(&self) -> &[[f64; BLOCK_BUILDS]; 2] {
        match self.frame {
            Frame::Fixed => &self.off_fixed_rad,
            Frame::Fitted => &self.off_fitted_rad,
        }
    }

    /// Edge drift in the judged frame, rad.
    #[inline(always)]
    fn across_rad(&self) -> &[f64; BLOCK_BUILDS] {
        match self.frame {
            Frame::Fixed => &self.across_fixed_rad,
            Frame::Fitted => &self.across_fitted_rad,
        }
    }
}

/// One junction in one look at every build; what is not counted means nothing.
#[derive(Debug, Clone)]
#[repr(C, align(64))]
pub struct JunctionRows {
    /// Largest gap, rad.
    pub gap_rad: [f64; BLOCK_BUILDS],
    /// Gap vector between its two ends farthest apart in depth, rad.
    pub widest_rad: [[f64; BLOCK_BUILDS]; 2],
    /// Gap over its limit.
    pub share: [f64; BLOCK_BUILDS],
}

impl JunctionRows {
    const NOTHING: Self = Self {
        gap_rad: [0.0; BLOCK_BUILDS],
        widest_rad: [[0.0; BLOCK_BUILDS]; 2],
        share: [0.0; BLOCK_BUILDS],
    };
}

/// One look at every build; what is not counted means nothing.
#[derive(Debug, Clone)]
#[repr(C, align(64))]
pub struct VerdictRows {
    /// Largest drift over its limit.
    pub drift: [f64; BLOCK_BUILDS],
    /// Largest gap over its limit.
    pub gap: [f64; BLOCK_BUILDS],
    /// The larger of the two: the look holds when it is at most 1.
    pub worst: [f64; BLOCK_BUILDS],
    /// What it belongs to: a rod by its number, or a junction by its number after all rods.
    worst_item: [f64; BLOCK_BUILDS],
    /// Largest fault over what an eye can tell and the rod does not hide.
    pub over_threshold: [f64; BLOCK_BUILDS],
    /// 1 where part of the figure is not seen clearly enough.
    pub clipped: Marks,
    rods: usize,
}

impl VerdictRows {
    fn of(rods: usize) -> Self {
        Self {
            drift: [0.0; BLOCK_BUILDS],
            gap: [0.0; BLOCK_BUILDS],
            worst: [-1.0; BLOCK_BUILDS],
            worst_item: [0.0; BLOCK_BUILDS],
            over_threshold: [0.0; BLOCK_BUILDS],
            clipped: [0; BLOCK_BUILDS],
            rods,
        }
    }

    /// The rod or junction with the largest share of its limit.
    pub fn worst_item(&self, build: usize) -> Item {
        let number = self.worst_item[build] as usize;
        if number < self.rods {
            Item::Rod(number)
        } else {
            Item::Junction(number - self.rods)
        }
    }
}

/// Who takes down what a look at a block of builds shows. Told every rod, then every junction, then the whole.
pub trait Witness {
    /// One rod.
    fn rod(&mut self, rod: usize, rows: &RodRows, counted: &Marks);
    /// One junction.
    fn junction(&mut self, junction: usize, rows: &JunctionRows, counted: &Marks);
    /// The look as a whole.
    fn look(&mut self, rows: &VerdictRows, counted: &Marks);
}

/// One look at each build of a block.
#[derive(Debug, Clone)]
pub struct LookRows {
    eye: Box<EyeRows>,
    ends: Vec<SeenRows>,
    middles: Vec<SeenRows>,
    lit: Box<LitRows>,
    fit: Box<FitRows>,
    faults: Faults,
    clipped: Marks,
    counted: Marks,
    rod: Box<RodRows>,
    junction: Box<JunctionRows>,
    verdict: Box<VerdictRows>,
}

impl LookRows {
    /// Room for looks at a block of builds of `plan`.
    pub fn new(plan: &Plan) -> Self {
        Self {
            eye: Box::new(EyeRows {
                place: [[0.0; BLOCK_BUILDS]; 3],
                radius: [0.0; BLOCK_BUILDS],
                per_radius: [0.0; BLOCK_BUILDS],
                per_detail: [0.0; BLOCK_BUILDS],
            }),
            ends: vec![SeenRows::NOTHING; plan.targets.len()],
            middles: vec![SeenRows::NOTHING; plan.middle_count()],
            lit: Box::new(LitRows([[0.0; BLOCK_BUILDS]; 10])),
            fit: Box::new(FitRows([[0.0; BLOCK_BUILDS]; 5])),
            faults: [0; BLOCK_BUILDS],
            clipped: [0; BLOCK_BUILDS],
            counted: [0; BLOCK_BUILDS],
            rod: Box::new(RodRows::of(plan.design.judging.frame)),
            junction: Box::new(JunctionRows::NOTHING),
            verdict: Box::new(VerdictRows::of(plan.edges.len())),
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
            plan,
            builds,
            rows: self,
        });
        widest(Fit {
            plan,
            alive,
            rows: self,
        });
        widest(Judge {
            plan,
            rows: self,
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
        let mut per_radius = [0.0; BLOCK_BUILDS];
        let mut per_detail = [0.0; BLOCK_BUILDS];
        let mut faults = [0; BLOCK_BUILDS];
        for build in 0..BLOCK_BUILDS {
            radius[build] = diameter[build] * 0.5;
            per_radius[build] = 1.0 / radius[build];
            per_detail[build] = 1.0 / rad_from_arcmin(finest_detail_arcmin(log_mar[build]));
            let no_pupil = if radius[build] > 0.0 && radius[build] < f64::INFINITY {
                0
            } else {
                bit(NotComputable::NoPupil)
            };
            let not_finite = if x[build] * 0.0 + y[build] * 0.0 + z[build] * 0.0 == 0.0 {
                0
            } else {
                bit(NotComputable::NotFinite)
            };
            let beyond = if z[build] < self.builds.peephole.of(build).centre_mm.z {
                0
            } else {
                bit(NotComputable::EyeBeyondPeephole)
            };
            faults[build] = no_pupil | not_finite | beyond;
        }
        self.rows.eye.place = [*x, *y, *z];
        self.rows.eye.radius = radius;
        self.rows.eye.per_radius = per_radius;
        self.rows.eye.per_detail = per_detail;
        self.rows.faults = faults;
    }
}

struct Look<'a> {
    plan: &'a Plan,
    builds: &'a BuildRows,
    rows: &'a mut LookRows,
}

impl Kernel for Look<'_> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        let focus_per_mm = 1.0 / self.plan.design.viewer.focus_mm;
        let points = self.builds.ends.iter().chain(&self.builds.middles);
        let seens = self.rows.ends.iter_mut().chain(&mut self.rows.middles);
        for (point, seen) in points.zip(seens) {
            see(
                point,
                self.builds,
                &self.rows.eye,
                focus_per_mm,
                &mut self.rows.lit,
                seen,
            );
        }
    }
}

/// [`Framed::seen`](crate::vision::Framed::seen) of one point at every build, step by step.
#[inline(always)]
fn see(
    point: &PointRows,
    builds: &BuildRows,
    eye: &EyeRows,
    focus_per_mm: f64,
    lit: &mut LitRows,
    seen: &mut SeenRows,
) {
    for build in 0..BLOCK_BUILDS {
        let one = point
            .framed(build)
            .lit(&eye.pupil(build), &builds.peephole.of(build));
        lit.put(build, &one);
    }
    let [first, second, ..] = &mut lit.0;
    for chord in first.iter_mut() {
        *chord = disc_segment(*chord);
    }
    for chord in second.iter_mut() {
        *chord = disc_segment(*chord);
    }
    for build in 0..BLOCK_BUILDS {
        let one = lit.of(build);
        let one = one.seen(&eye.pupil(build), one.chords, focus_per_mm);
        seen.u[build] = one.direction.x;
        seen.v[build] = one.direction.y;
        seen.clear[build] = one.clear_share;
    }
}

/// How one point lights the pupil at every build; the two chords first.
#[derive(Debug, Clone)]
#[repr(C, align(64))]
struct LitRows([[f64; BLOCK_BUILDS]; 10]);

impl LitRows {
    #[inline(always)]
    fn put(&mut self, build: usize, lit: &Lit) {
        self.0[0][build] = lit.chords[0];
        self.0[1][build] = lit.chords[1];
        self.0[2][build] = lit.straight.x;
        self.0[3][build] = lit.straight.y;
        self.0[4][build] = lit.image_mm.x;
        self.0[5][build] = lit.image_mm.y;
        self.0[6][build] = lit.image_squared_mm2;
        self.0[7][build] = lit.per_from_eye_mm;
        self.0[8][build] = lit.whole;
        self.0[9][build] = lit.beyond;
    }

    #[inline(always)]
    fn of(&self, build: usize) -> Lit {
        let rows = &self.0;
        Lit {
            chords: [rows[0][build], rows[1][build]],
            straight: Pair::new(rows[2][build], rows[3][build]),
            image_mm: Pair::new(rows[4][build], rows[5][build]),
            image_squared_mm2: rows[6][build],
            per_from_eye_mm: rows[7][build],
            whole: rows[8][build],
            beyond: rows[9][build],
        }
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
        for seen in rows.ends.iter().chain(&rows.middles) {
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
            Some(targets) => fit_rows(targets, &rows.ends),
            None => FitRows([[f64::NAN; BLOCK_BUILDS]; 5]),
        };
        let clip_below = self.plan.design.peephole.clip_below;
        for build in 0..BLOCK_BUILDS {
            let computable = self.alive[build] != 0 && rows.faults[build] == 0;
            let shown = least[build] >= clip_below && least[build] > 0.0;
            let fitted = fit.of(build).can_be_undone();
            rows.clipped[build] = u64::from(computable && !shown);
            rows.counted[build] = u64::from(computable && shown && fitted);
            rows.faults[build] |= if computable && shown && !fitted {
                bit(NotComputable::NoFit)
            } else {
                0
            };
        }
        *rows.fit = fit;
    }
}

#[inline(always)]
fn fit_rows(targets: &FitTargets, seen: &[SeenRows]) -> FitRows {
    let mut sums = [[0.0; BLOCK_BUILDS]; 4];
    for (centred, seen) in targets.centred.iter().zip(seen) {
        for build in 0..BLOCK_BUILDS {
            let mut one = FitSums {
                seen: Pair::new(sums[0][build], sums[1][build]),
                dot: sums[2][build],
                cross: sums[3][build],
            };
            one.add(*centred, seen.direction(build));
            sums[0][build] = one.seen.x;
            sums[1][build] = one.seen.y;
            sums[2][build] = one.dot;
            sums[3][build] = one.cross;
        }
    }
    let mut fit = FitRows([[0.0; BLOCK_BUILDS]; 5]);
    for build in 0..BLOCK_BUILDS {
        let one = FitSums {
            seen: Pair::new(sums[0][build], sums[1][build]),
            dot: sums[2][build],
            cross: sums[3][build],
        };
        fit.put(build, &targets.solve(&one));
    }
    fit
}

struct Judge<'a, W> {
    plan: &'a Plan,
    rows: &'a mut LookRows,
    witness: &'a mut W,
}

impl<W: Witness> Kernel for Judge<'_, W> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        let Self {
            plan,
            rows,
            witness,
        } = self;
        let verdict = &mut *rows.verdict;
        *verdict = VerdictRows::of(plan.edges.len());
        verdict.clipped = rows.clipped;
        let per_detail = &rows.eye.per_detail;
        for rod in 0..plan.edges.len() {
            let measured = &mut *rows.rod;
            let ends = [&rows.ends[2 * rod], &rows.ends[2 * rod + 1]];
            measure_rod(
                &plan.edges[rod],
                ends,
                rows.middles.get(rod),
                &rows.fit,
                measured,
            );
            let limit = &plan.drift_limits[rod];
            share_of(limit, per_detail, measured);
            let threshold = &plan.drift_thresholds[rod];
            let across = measured.across_rad();
            weigh(&mut verdict.over_threshold, across, threshold, per_detail);
            largest(&mut verdict.drift, &measured.share);
            worst(verdict, rod, &measured.share);
            witness.rod(rod, measured, &rows.counted);
        }
        for (index, junction) in plan.junctions.iter().enumerate() {
            let measured = &mut *rows.junction;
            measure_gap(&junction.ends, junction.widest, &rows.ends, measured);
            let limit = &plan.gap_limits[index];
            for build in 0..BLOCK_BUILDS {
                measured.share[build] = measured.gap_rad[build] * limit.per_rad(per_detail[build]);
            }
            let threshold = &plan.gap_thresholds[index];
            let gap = &measured.gap_rad;
            weigh(&mut verdict.over_threshold, gap, threshold, per_detail);
            largest(&mut verdict.gap, &measured.share);
            worst(verdict, plan.edges.len() + index, &measured.share);
            witness.junction(index, measured, &rows.counted);
        }
        witness.look(verdict, &rows.counted);
    }
}

#[inline(always)]
fn share_of(limit: &Limit, per_detail: &[f64; BLOCK_BUILDS], measured: &mut RodRows) {
    let across = match measured.frame {
        Frame::Fixed => &measured.across_fixed_rad,
        Frame::Fitted => &measured.across_fitted_rad,
    };
    for build in 0..BLOCK_BUILDS {
        measured.share[build] = across[build] * limit.per_rad(per_detail[build]);
    }
}

#[inline(always)]
fn measure_rod(
    edge: &Edge,
    ends: [&SeenRows; 2],
    middle: Option<&SeenRows>,
    fit: &FitRows,
    measured: &mut RodRows,
) {
    for build in 0..BLOCK_BUILDS {
        let undoing = fit.of(build);
        let (first, second) = (ends[0].direction(build), ends[1].direction(build));
        let fixed = (edge.off_rad(first), edge.off_rad(second));
        let fitted = (
            edge.off_rad(undoing.undo(first)),
            edge.off_rad(undoing.undo(second)),
        );
        measured.off_fixed_rad[0][build] = fixed.0;
        measured.off_fixed_rad[1][build] = fixed.1;
        measured.off_fitted_rad[0][build] = fitted.0;
        measured.off_fitted_rad[1][build] = fitted.1;
        measured.across_fixed_rad[build] = larger(fixed.0.abs(), fixed.1.abs());
        measured.across_fitted_rad[build] = larger(fitted.0.abs(), fitted.1.abs());
    }
    let Some(middle) = middle else { return };
    for build in 0..BLOCK_BUILDS {
        let direction = middle.direction(build);
        let fixed = edge.off_rad(direction).abs();
        let fitted = edge.off_rad(fit.of(build).undo(direction)).abs();
        measured.across_fixed_rad[build] = larger(fixed, measured.across_fixed_rad[build]);
        measured.across_fitted_rad[build] = larger(fitted, measured.across_fitted_rad[build]);
    }
}

#[inline(always)]
fn larger(a: f64, b: f64) -> f64 {
    if a > b { a } else { b }
}

#[inline(always)]
fn measure_gap(
    ends: &[usize],
    [near, far]: [usize; 2],
    seen: &[SeenRows],
    measured: &mut JunctionRows,
) {
    measured.gap_rad = [0.0; BLOCK_BUILDS];
    for (nth, first) in ends.iter().enumerate() {
        for second in &ends[nth + 1..] {
            let (first, second) = (&seen[*first], &seen[*second]);
            for build in 0..BLOCK_BUILDS {
                let gap = first.direction(build) - second.direction(build);
                let squared = gap.x * gap.x + gap.y * gap.y;
                measured.gap_rad[build] = larger(squared, measured.gap_rad[build]);
            }
        }
    }
    let (near, far) = (&seen[near], &seen[far]);
    for build in 0..BLOCK_BUILDS {
        let gap = near.direction(build) - far.direction(build);
        measured.widest_rad[0][build] = gap.x;
        measured.widest_rad[1][build] = gap.y;
        measured.gap_rad[build] = measured.gap_rad[build].sqrt();
    }
}

#[inline(always)]
fn weigh(
    most: &mut [f64; BLOCK_BUILDS],
    values: &[f64; BLOCK_BUILDS],
    threshold: &Limit,
    per_detail: &[f64; BLOCK_BUILDS],
) {
    for build in 0..BLOCK_BUILDS {
        let over = values[build] * threshold.per_rad(per_detail[build]);
        most[build] = larger(over, most[build]);
    }
}

#[inline(always)]
fn largest(most: &mut [f64; BLOCK_BUILDS], shares: &[f64; BLOCK_BUILDS]) {
    for build in 0..BLOCK_BUILDS {
        most[build] = larger(shares[build], most[build]);
    }
}

#[inline(always)]
fn worst(verdict: &mut VerdictRows, number: usize, shares: &[f64; BLOCK_BUILDS]) {
    let number = number as f64;
    for build in 0..BLOCK_BUILDS {
        let is_worse = shares[build] > verdict.worst[build];
        verdict.worst[build] = if is_worse {
            shares[build]
        } else {
            verdict.worst[build]
        };
        verdict.worst_item[build] = if is_worse {
            number
        } else {
            verdict.worst_item[build]
        };
    }
}
