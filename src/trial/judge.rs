//! One look's verdict: it holds, it breaks and at what, or it is clipped.

use super::build::{Built, NotComputable};
use super::look::{Glance, Viewed};
use super::measure::Measured;
use crate::figure::{Frame, Item, Limit, Plan};

/// What one look came to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LookOutcome {
    /// Part of the figure is not seen clearly enough: neither held nor broken.
    Clipped,
    /// The whole figure is seen and was judged.
    Judged(Verdict),
}

impl LookOutcome {
    /// "clipped", "holds" or "breaks".
    pub fn word(&self) -> &'static str {
        match self {
            Self::Clipped => "clipped",
            Self::Judged(verdict) if verdict.holds() => "holds",
            Self::Judged(_) => "breaks",
        }
    }
}

/// The verdict on a look that shows the whole figure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Verdict {
    /// The rod or junction with the largest share of its limit.
    pub worst: Item,
    /// Its drift or gap over its limit; the look holds when it is at most 1.
    pub worst_share: f64,
}

impl Verdict {
    /// Whether every drift and gap is inside its limit.
    pub fn holds(&self) -> bool {
        self.worst_share <= 1.0
    }
}

/// Looks at `built` through `glance` and judges what is seen; `viewed` and `measured` hold the details afterwards.
///
/// # Errors
/// [`NotComputable`] when no similarity fits what is seen.
pub fn judge(
    plan: &Plan,
    built: &Built,
    glance: &Glance,
    viewed: &mut Viewed,
    measured: &mut Measured,
) -> Result<LookOutcome, NotComputable> {
    let least_clear = viewed.set(built, &glance.apertures);
    if !(least_clear >= plan.design.peephole.clip_below && least_clear > 0.0) {
        return Ok(LookOutcome::Clipped);
    }
    measured.set(plan, viewed)?;
    let mut verdict = Verdict {
        worst: Item::Rod(0),
        worst_share: -1.0,
    };
    let per_detail_rad = 1.0 / glance.detail_rad;
    let mut weigh = |item: Item, value_rad: f64, limit: &Limit| {
        let share = value_rad * limit.per_rad(per_detail_rad);
        if share > verdict.worst_share || share.is_nan() {
            verdict = Verdict {
                worst: item,
                worst_share: share,
            };
        }
    };
    for rod in 0..plan.edges.len() {
        let across = match plan.design.judging.frame {
            Frame::Fixed => measured.across_fixed_rad(rod),
            Frame::Fitted => measured.across_fitted_rad(rod),
        };
        weigh(Item::Rod(rod), across, &plan.drift_limits[rod]);
    }
    for (junction, gap) in measured.gaps_rad.iter().enumerate() {
        weigh(Item::Junction(junction), *gap, &plan.gap_limits[junction]);
    }
    if verdict.worst_share.is_nan() {
        return Err(NotComputable::NotFinite);
    }
    Ok(LookOutcome::Judged(verdict))
}
