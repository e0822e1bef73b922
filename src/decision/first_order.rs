//! First-order law of propagation beside the Monte Carlo run: how a small error of each source moves each rod end.
//!
//! Source: JCGM 100:2008, 5.1.2: u² = Σ(∂f/∂x·u(x))². The derivatives are central differences of the full model about
//! the sources' means, with steps of 1/1000 of each source's standard deviation. A random direction is taken as its two
//! components (uncorrelated, each with the ring's radius/√2). It assumes small errors and a pupil that is either wholly
//! clear or smoothly cut; where that fails it disagrees with the Monte Carlo run, and [`FirstOrder::disagreements`]
//! says so.

use crate::figure::{Family, Frame, Plan, Reach, Source};
use crate::statistics::Tally;
use crate::trial::{Built, Glance, Measured, NotComputable, Viewed};
use crate::units::arcmin;
use std::fmt;

/// Step of a central difference, in standard deviations (or reaches) of the source.
const STEP: f64 = 1e-3;

/// A difference of standard deviations or means smaller than this share is no disagreement worth telling (chosen).
const MATTERS: f64 = 0.05;

/// Angles below this are rounding: 1e-6 arcmin.
const NOISE_RAD: f64 = 1e-6 * crate::units::ARCMIN_RAD;

/// One number of a trial that may vary, with what the estimate needs of it.
#[derive(Debug, Clone)]
pub(super) struct Varying {
    pub source: Source,
    /// Position in its family's vector.
    pub at: usize,
    /// Number of components that vary together (1, or 2 starting at `at`).
    pub components: usize,
    pub sd: [f64; 2],
    pub covariance: f64,
    pub reach: Option<Reach>,
    /// Derivatives of every output by each component.
    pub slopes: [Vec<f64>; 2],
}

/// First-order estimate of one rod end.
#[derive(Debug, Clone, PartialEq)]
pub struct EndEstimate {
    /// Distance from the edge with every source at its mean, rad.
    pub mean_rad: f64,
    /// Standard deviation of the distance, rad.
    pub sd_rad: f64,
    /// Variance by source, rad², in the order of [`Source::ALL`].
    pub variance_by_source: Vec<f64>,
}

/// First-order estimate of the gap between the two ends of a junction that are farthest apart in depth.
#[derive(Debug, Clone, PartialEq)]
pub struct GapEstimate {
    /// Length of the gap with every source at its mean, rad.
    pub mean_rad: f64,
    /// Root mean square length of the gap, rad.
    pub rms_rad: f64,
    /// Variance (both components) by source, rad².
    pub variance_by_source: Vec<f64>,
}

/// Where the first-order estimate and the Monte Carlo run differ by more than chance and by more than 5 %.
#[derive(Debug, Clone, PartialEq)]
pub struct Disagreement {
    /// What: a rod's end or a junction.
    pub what: String,
    /// Which number of it: mean, standard deviation or root mean square.
    pub statistic: &'static str,
    /// First order, arcmin.
    pub first_order_arcmin: f64,
    /// Monte Carlo, arcmin.
    pub monte_carlo_arcmin: f64,
}

/// The first-order estimate of a design.
#[derive(Debug, Clone)]
pub struct FirstOrder {
    /// Rod ends at `2·rod + end`, judged frame.
    pub ends: Vec<EndEstimate>,
    /// Junctions, fixed frame.
    pub gaps: Vec<GapEstimate>,
    pub(super) base: Vec<f64>,
    pub(super) varying: Vec<Varying>,
}

/// Signed outputs of one trial: the distance of every rod end from its edge in the judged frame (at `2·rod + end`), then
/// of every middle, then for every junction and every pair of its ends the gap's two components.
///
/// # Errors
/// [`NotComputable`] when the trial cannot be computed; a point that is not seen at all counts as such.
pub fn signed_outputs(
    plan: &Plan,
    build_values: &[f64],
    look_values: &[f64],
) -> Result<Vec<f64>, NotComputable> {
    let mut built = Built::new(plan);
    built.set(plan, build_values)?;
    let glance = Glance::new(plan, look_values, built.peephole_mm)?;
    let mut viewed = Viewed::new(plan);
    if !(viewed.set(&built, &glance.apertures) > 0.0) {
        return Err(NotComputable::NotSeen);
    }
    let mut measured = Measured::new(plan);
    measured.set(plan, &viewed)?;
    let (ends, middles) = match plan.design.judging.frame {
        Frame::Fixed => (&measured.off_fixed_rad, &measured.middle_off_fixed_rad),
        Frame::Fitted => (&measured.off_fitted_rad, &measured.middle_off_fitted_rad),
    };
    let mut outputs = ends.clone();
    outputs.extend(middles);
    for junction in &plan.junctions {
        for [first, second] in pairs(&junction.ends) {
            let gap = viewed.ends[first] - viewed.ends[second];
            outputs.extend([gap.x, gap.y]);
        }
    }
    Ok(outputs)
}

/// Where the gaps begin among the outputs of [`signed_outputs`].
pub(super) fn first_gap_output(plan: &Plan) -> usize {
    plan.targets.len() + plan.middle_count()
}

/// Every pair of a junction's ends, in the order of [`signed_outputs`].
pub(super) fn pairs(ends: &[usize]) -> impl Iterator<Item = [usize; 2]> + '_ {
    ends.iter()
        .enumerate()
        .flat_map(|(nth, first)| ends[nth + 1..].iter().map(|second| [*first, *second]))
}

/// Why there is no first-order estimate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoEstimate {
    /// The design cannot be computed with all sources at (or near) their means.
    NotComputable(NotComputable),
    /// The table of slopes would have this many numbers, more than are kept (20 million).
    TooLarge(usize),
    /// The user asked to end.
    Interrupted,
}

impl From<NotComputable> for NoEstimate {
    fn from(reason: NotComputable) -> Self {
        Self::NotComputable(reason)
    }
}

impl fmt::Display for NoEstimate {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotComputable(reason) => reason.fmt(f),
            Self::TooLarge(slopes) => write!(
                f,
                "it would take {slopes} slopes for so large a design, more than {MOST_SLOPES}"
            ),
            Self::Interrupted => f.write_str("interrupted"),
        }
    }
}

/// Most slopes that are kept: 160 MB.
const MOST_SLOPES: usize = 20_000_000;

/// Estimates every rod end and junction; `interrupted` is asked between sources.
///
/// # Errors
/// [`NoEstimate`] with the reason.
pub fn first_order(plan: &Plan, interrupted: &dyn Fn() -> bool) -> Result<FirstOrder, NoEstimate> {
    let build = plan.mean_values(Family::Build);
    let look = plan.mean_values(Family::Look);
    let base = signed_outputs(plan, &build, &look)?;
    let slopes = base.len() * (plan.layout.build_len + plan.layout.look_len);
    if slopes > MOST_SLOPES {
        return Err(NoEstimate::TooLarge(slopes));
    }
    let mut varying = Vec::new();
    for source in Source::ALL {
        let law = plan.design.law(source);
        let components = source.components();
        for item in 0..source.items(&plan.design) {
            let spread = law.spread(item);
            let scale = spread.sd[..components].iter().copied().fold(0.0, f64::max);
            if !(scale > 0.0) {
                continue;
            }
            if interrupted() {
                return Err(NoEstimate::Interrupted);
            }
            let at = plan.layout.start(source) + item * components;
            let mut slopes = [Vec::new(), Vec::new()];
            for (component, slope) in slopes.iter_mut().enumerate().take(components) {
                *slope = derivative(
                    plan,
                    &build,
                    &look,
                    source.family(),
                    at + component,
                    STEP * scale,
                )?;
            }
            varying.push(Varying {
                source,
                at,
                components,
                sd: spread.sd,
                covariance: spread.covariance,
                reach: spread.reach,
                slopes,
            });
        }
    }
    let variance_by_source = |output: usize| {
        let mut by_source = vec![0.0; Source::ALL.len()];
        for one in &varying {
            for component in 0..one.components {
                let u = one.slopes[component][output] * one.sd[component];
                by_source[one.source.index()] += u * u;
            }
            if one.components == 2 {
                by_source[one.source.index()] +=
                    2.0 * one.slopes[0][output] * one.slopes[1][output] * one.covariance;
            }
        }
        by_source
    };
    let ends = (0..plan.targets.len())
        .map(|end| {
            let by_source = variance_by_source(end);
            EndEstimate {
                mean_rad: base[end],
                sd_rad: by_source.iter().sum::<f64>().sqrt(),
                variance_by_source: by_source,
            }
        })
        .collect();
    let gaps = junction_outputs(plan)
        .into_iter()
        .map(|output| {
            let mut by_source = variance_by_source(output);
            for (sum, y) in by_source.iter_mut().zip(variance_by_source(output + 1)) {
                *sum += y;
            }
            let mean_rad = libm::hypot(base[output], base[output + 1]);
            GapEstimate {
                mean_rad,
                rms_rad: (mean_rad * mean_rad + by_source.iter().sum::<f64>()).sqrt(),
                variance_by_source: by_source,
            }
        })
        .collect();
    Ok(FirstOrder {
        ends,
        gaps,
        base,
        varying,
    })
}

/// For each junction the first output of the pair that is farthest apart in depth.
fn junction_outputs(plan: &Plan) -> Vec<usize> {
    let mut next = first_gap_output(plan);
    plan.junctions
        .iter()
        .map(|junction| {
            let mut found = next;
            for pair in pairs(&junction.ends) {
                let [near, far] = junction.widest;
                if pair == [near, far] || pair == [far, near] {
                    found = next;
                }
                next += 2;
            }
            found
        })
        .collect()
}

fn derivative(
    plan: &Plan,
    build: &[f64],
    look: &[f64],
    family: Family,
    at: usize,
    step: f64,
) -> Result<Vec<f64>, NotComputable> {
    let moved = |by: f64| {
        let (mut build, mut look) = (build.to_vec(), look.to_vec());
        match family {
            Family::Build => build[at] += by,
            Family::Look => look[at] += by,
        }
        signed_outputs(plan, &build, &look)
    };
    let (up, down) = (moved(step)?, moved(-step)?);
    Ok(up
        .iter()
        .zip(&down)
        .map(|(up, down)| (up - down) / (2.0 * step))
        .collect())
}

impl FirstOrder {
    /// Where this estimate and the run differ by more than 5 standard errors of the run and 5 % together. The
    /// standard error counts builds, not looks: looks at one build are not independent.
    pub fn disagreements(&self, plan: &Plan, tally: &Tally) -> Vec<Disagreement> {
        let builds = tally.held_share.builds as f64;
        let mut found = Vec::new();
        if builds < 100.0 {
            return found;
        }
        let mut compare = |what: String,
                           statistic: &'static str,
                           first: f64,
                           run: f64,
                           scatter: f64,
                           scale: f64| {
            // 5 standard errors of a mean; of a standard deviation or root mean square for tails up to a kurtosis of 5
            let allowed = 5.0 * scatter / builds.sqrt() + MATTERS * scale + NOISE_RAD;
            if (run - first).abs() > allowed {
                found.push(Disagreement {
                    what,
                    statistic,
                    first_order_arcmin: arcmin(first),
                    monte_carlo_arcmin: arcmin(run),
                });
            }
        };
        for (end, estimate) in self.ends.iter().enumerate() {
            let rod = &plan.design.rods[end / 2];
            let vertex = &plan.design.vertices[rod.ends[end % 2].line].name;
            let off = &tally.rods[end / 2].off_rad[end % 2];
            let what = format!("rod {} at {vertex}", rod.name);
            if let (Some(mean), Some(sd)) = (off.mean(), off.sd()) {
                let rms = libm::hypot(estimate.mean_rad, estimate.sd_rad);
                compare(what.clone(), "mean", estimate.mean_rad, mean, sd, rms);
                compare(
                    what,
                    "standard deviation",
                    estimate.sd_rad,
                    sd,
                    sd,
                    estimate.sd_rad,
                );
            }
        }
        for (junction, estimate) in self.gaps.iter().enumerate() {
            let [x, y] = &tally.junctions[junction].widest_rad;
            if let (Some(x), Some(y)) = (x.mean_square(), y.mean_square()) {
                let rms = (x + y).sqrt();
                compare(
                    format!("junction {}", plan.junction_name(junction)),
                    "root mean square",
                    estimate.rms_rad,
                    rms,
                    rms,
                    estimate.rms_rad,
                );
            }
        }
        found
    }
}
