//! Drifts and gaps straight from the picture through the peephole: of what the camera saw from where it stood.
//!
//! The picture is laid over the plan by the frame of the likeliest explanation. Where every rod end was read, the shift,
//! rotation and scale that fit them best are taken away as in any look, so the frame but for its perspective drops out; else
//! those of the most probable build as the most probable camera sees it are. Readings that were probably misread are left out.
//!
//! Uncertainty: of the readings alone, to the first order, each reading's two components independent and alike. A fit by least
//! squares leaves of reading j in the residual of end i the part δ_ij − H_ij, H_ij = 1/n + conj(c_j)·c_i/Σ|c|² in complex
//! numbers, c the targets less their mean; a complex factor turns and scales a round scatter and leaves it round.

use super::cause::Why;
use crate::figure::{Bench, Frame, Item, Plan, Quantity};
use crate::geometry::{Pair, Similarity};
use crate::trial::{Built, Glance, PictureFrame, Viewed};

/// A reading that is at least this probably misread is left out (chosen: more likely wrong than right).
const PROBABLY_MISREAD: f64 = 0.5;

/// A direction with the standard uncertainty of each of its components, rad.
type Read = Option<(Pair, f64)>;

/// Drift or gap of every item with its standard uncertainty, rad, in the order of a finding; `None` where not all of it was read. A
/// rod is read by its two ends, and by its middle where that was read too.
pub(super) fn pictured_rad(plan: &Plan, bench: &Bench, why: &Why) -> Vec<Option<[f64; 2]>> {
    let items = super::visitors::items(plan);
    let Some(explanation) = why.explanations.first() else {
        return items.map(|_| None).collect();
    };
    let frame = explanation.frames.view;
    let read = |quantity: Quantity, count: usize, per: usize| -> Vec<Read> {
        let directions = (0..count).map(|nth| direction(bench, why, quantity, nth * per, &frame));
        directions.collect()
    };
    let picture = Picture {
        plan,
        ends: read(Quantity::SeenEnd, plan.targets.len(), 1),
        middles: read(Quantity::SeenMiddle, plan.edges.len(), 2),
    };
    let fit = picture.fit(explanation.build.as_slice(), explanation.look.as_slice());
    items
        .map(|item| match item {
            Item::Rod(rod) => picture.drift_rad(rod, fit.as_ref()?),
            Item::Junction(junction) => picture.gap_rad(junction),
        })
        .collect()
}

/// The weighted mean of all good readings of one place, as a direction.
fn direction(
    bench: &Bench,
    why: &Why,
    quantity: Quantity,
    end: usize,
    frame: &PictureFrame,
) -> Read {
    let (mut sum, mut weights) = (Pair::zeros(), 0.0);
    for (nth, reading) in bench.readings.iter().enumerate() {
        let is_it = reading.of.quantity == quantity && reading.of.end == Some(end);
        let told = why.readings.get(nth);
        let is_misread = told.is_some_and(|told| told.fault_probability >= PROBABLY_MISREAD);
        if is_it && !is_misread && reading.sd > 0.0 {
            let weight = 1.0 / (reading.sd * reading.sd);
            sum += Pair::from(reading.value) * weight;
            weights += weight;
        }
    }
    if !(weights > 0.0) {
        return None;
    }
    let place = sum / weights;
    let seen = frame.undo(place)?;
    // how much a small square of the picture shrinks, for a perspective shrinks it unevenly
    let step = 1e-3;
    let along = frame.undo(place + Pair::new(step, 0.0))? - seen;
    let up = frame.undo(place + Pair::new(0.0, step))? - seen;
    let shrinks = along.perp(&up).abs().sqrt() / step;
    Some((seen, shrinks / weights.sqrt()))
}

/// How the common part of what is seen is taken away.
enum Fit {
    /// Not at all: judged in the fixed frame.
    Fixed,
    /// By what fits all the readings best.
    OfReadings(Similarity),
    /// As the most probable build shows it.
    OfBuild(Similarity),
}

struct Picture<'p> {
    plan: &'p Plan,
    ends: Vec<Read>,
    middles: Vec<Read>,
}

impl Picture<'_> {
    fn fit(&self, build: &[f64], look: &[f64]) -> Option<Fit> {
        if self.plan.design.judging.frame == Frame::Fixed {
            return Some(Fit::Fixed);
        }
        let all: Option<Vec<Pair>> = self.ends.iter().map(|read| Some((*read)?.0)).collect();
        if let Some(all) = all {
            return Similarity::fit(&self.plan.targets, &all)
                .ok()
                .map(Fit::OfReadings);
        }
        let mut built = Built::new(self.plan);
        built.set(self.plan, build).ok()?;
        let glance = Glance::new(self.plan, look, built.peephole_mm).ok()?;
        let mut viewed = Viewed::new(self.plan);
        viewed.set(&built, &glance.apertures);
        if !viewed.end_clear.iter().all(|clear| *clear > 0.0) {
            return None;
        }
        Similarity::fit(&self.plan.targets, &viewed.ends)
            .ok()
            .map(Fit::OfBuild)
    }

    fn drift_rad(&self, rod: usize, fit: &Fit) -> Option<[f64; 2]> {
        let edge = &self.plan.edges[rod];
        let off = |(seen, sd): (Pair, f64), end: Option<usize>| match fit {
            Fit::Fixed => [edge.off_rad(seen).abs(), sd],
            Fit::OfBuild(fit) => [edge.off_rad(fit.undo(seen)).abs(), sd / fit.scale()],
            Fit::OfReadings(fit) => {
                let sd =
                    end.map_or_else(|| self.sd_beside_rad(rod, sd), |end| self.sd_left_rad(end));
                [edge.off_rad(fit.undo(seen)).abs(), sd / fit.scale()]
            }
        };
        let mut worst = off(self.ends[2 * rod]?, Some(2 * rod));
        let second = off(self.ends[2 * rod + 1]?, Some(2 * rod + 1));
        let middle = self.middles[rod].map(|middle| off(middle, None));
        for one in [Some(second), middle].into_iter().flatten() {
            if one[0] > worst[0] {
                worst = one;
            }
        }
        Some(worst)
    }

    /// Standard uncertainty of what a fit to all ends leaves of end `end`, rad.
    fn sd_left_rad(&self, end: usize) -> f64 {
        let Some(targets) = &self.plan.fit_targets else {
            return 0.0;
        };
        self.sd_rad(targets.centred[end], Some(end))
    }

    /// The same of a rod's middle, which takes no part in the fit.
    fn sd_beside_rad(&self, rod: usize, sd: f64) -> f64 {
        let Some(targets) = &self.plan.fit_targets else {
            return sd;
        };
        let middle = (targets.centred[2 * rod] + targets.centred[2 * rod + 1]) / 2.0;
        libm::hypot(sd, self.sd_rad(middle, None))
    }

    fn sd_rad(&self, at: Pair, own: Option<usize>) -> f64 {
        let Some(targets) = &self.plan.fit_targets else {
            return 0.0;
        };
        let centred = &targets.centred;
        let per_count = 1.0 / centred.len() as f64;
        let per_spread = 1.0 / centred.iter().map(Pair::norm_squared).sum::<f64>();
        let mut variance = 0.0;
        for (nth, (one, read)) in centred.iter().zip(&self.ends).enumerate() {
            let is_own = f64::from(u8::from(own == Some(nth)));
            let real = is_own - per_count - one.dot(&at) * per_spread;
            let imaginary = one.perp(&at) * per_spread;
            let sd = read.map_or(0.0, |(_, sd)| sd);
            variance += (real * real + imaginary * imaginary) * sd * sd;
        }
        variance.sqrt()
    }

    fn gap_rad(&self, junction: usize) -> Option<[f64; 2]> {
        let ends = &self.plan.junctions[junction].ends;
        let read: Option<Vec<(Pair, f64)>> = ends.iter().map(|end| self.ends[*end]).collect();
        let read = read?;
        let mut widest = [0.0_f64; 2];
        for (nth, (first, first_sd)) in read.iter().enumerate() {
            for (second, second_sd) in &read[nth + 1..] {
                let gap_rad = (first - second).norm();
                if gap_rad >= widest[0] {
                    widest = [gap_rad, libm::hypot(*first_sd, *second_sd)];
                }
            }
        }
        Some(widest)
    }
}
