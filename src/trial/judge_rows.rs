//! What a look at every build of a block comes to: rods, junctions and the verdict, row by row in the machine's widest
//! lanes. The same as [`super::Measured`] and [`super::judge`] of each.

use super::rows::{FitRows, Marks, SeenRows, Shown};
use crate::elementary::Kernel;
use crate::figure::{Frame, Item, Limit, Plan};
use crate::geometry::Edge;
use crate::sampling::BLOCK_BUILDS;

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
    #[inline(always)]
    fn rod(&mut self, _rod: usize, _rows: &RodRows, _counted: &Marks) {}
    /// One junction.
    #[inline(always)]
    fn junction(&mut self, _junction: usize, _rows: &JunctionRows, _counted: &Marks) {}
    /// The look as a whole.
    fn look(&mut self, rows: &VerdictRows, counted: &Marks);
}

/// Room for what is judged.
#[derive(Debug, Clone)]
pub(super) struct JudgeRoom {
    rod: RodRows,
    junction: JunctionRows,
    verdict: VerdictRows,
}

impl JudgeRoom {
    pub fn new(plan: &Plan) -> Box<Self> {
        Box::new(Self {
            rod: RodRows::of(plan.design.judging.frame),
            junction: JunctionRows::NOTHING,
            verdict: VerdictRows::of(plan.edges.len()),
        })
    }
}

pub(super) struct Judge<'a, W> {
    pub plan: &'a Plan,
    pub shown: &'a Shown,
    pub room: &'a mut JudgeRoom,
    pub witness: &'a mut W,
}

impl<W: Witness> Kernel for Judge<'_, W> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        let Self {
            plan,
            shown,
            room,
            witness,
        } = self;
        let verdict = &mut room.verdict;
        *verdict = VerdictRows::of(plan.edges.len());
        verdict.clipped = shown.clipped;
        let per_detail = &shown.eye.per_detail;
        for rod in 0..plan.edges.len() {
            let measured = &mut room.rod;
            let ends = [&shown.ends[2 * rod], &shown.ends[2 * rod + 1]];
            measure_rod(
                &plan.edges[rod],
                ends,
                shown.middles.get(rod),
                &shown.fit,
                measured,
            );
            let across = match measured.frame {
                Frame::Fixed => &measured.across_fixed_rad,
                Frame::Fitted => &measured.across_fitted_rad,
            };
            let limits = [&plan.drift_limits[rod], &plan.drift_thresholds[rod]];
            weigh::<true>(
                across,
                limits,
                per_detail,
                rod,
                &mut measured.share,
                verdict,
            );
            witness.rod(rod, measured, &shown.counted);
        }
        for (index, junction) in plan.junctions.iter().enumerate() {
            let measured = &mut room.junction;
            measure_gap(&junction.ends, junction.widest, &shown.ends, measured);
            let limits = [&plan.gap_limits[index], &plan.gap_thresholds[index]];
            weigh::<false>(
                &measured.gap_rad,
                limits,
                per_detail,
                plan.edges.len() + index,
                &mut measured.share,
                verdict,
            );
            witness.junction(index, measured, &shown.counted);
        }
        witness.look(verdict, &shown.counted);
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

/// Weighs one item, a rod or a junction, against its limit and against the threshold at which it is noticed.
#[inline(always)]
fn weigh<const IS_ROD: bool>(
    values: &[f64; BLOCK_BUILDS],
    [limit, threshold]: [&Limit; 2],
    per_detail: &[f64; BLOCK_BUILDS],
    number: usize,
    shares: &mut [f64; BLOCK_BUILDS],
    verdict: &mut VerdictRows,
) {
    let number = number as f64;
    for build in 0..BLOCK_BUILDS {
        let share = values[build] * limit.per_rad(per_detail[build]);
        let over = values[build] * threshold.per_rad(per_detail[build]);
        shares[build] = share;
        verdict.over_threshold[build] = larger(over, verdict.over_threshold[build]);
        if IS_ROD {
            verdict.drift[build] = larger(share, verdict.drift[build]);
        } else {
            verdict.gap[build] = larger(share, verdict.gap[build]);
        }
        let is_worse = share > verdict.worst[build];
        let worst_item = verdict.worst_item[build];
        verdict.worst_item[build] = if is_worse { number } else { worst_item };
        verdict.worst[build] = larger(share, verdict.worst[build]);
    }
}
