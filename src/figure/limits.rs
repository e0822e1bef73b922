//! What counts as seen apart: limits from acuity and cover, and three finishes with their reasons.

/// The frame in which drifts are judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Frame {
    /// Against the cabinet's axes.
    Fixed,
    /// After the common shift, rotation and scale are taken away.
    Fitted,
}

/// How good the fused figure must look.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Finish {
    /// Nothing that an eye could tell.
    Seamless,
    /// Nothing that the rods' own thickness does not hide.
    Clean,
    /// The figure still reads.
    Legible,
}

impl Finish {
    /// All finishes, strictest first.
    pub const ALL: [Self; 3] = [Self::Seamless, Self::Clean, Self::Legible];

    /// Its name in a scenario file.
    pub fn name(self) -> &'static str {
        match self {
            Self::Seamless => "seamless",
            Self::Clean => "clean",
            Self::Legible => "legible",
        }
    }

    /// The finish of that name.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|finish| finish.name() == name)
    }

    /// Its rule.
    pub fn rule(self) -> LimitRule {
        let base = LimitRule {
            acuity_factor: 1.0,
            cover: 0.0,
            share_of_figure: 0.0,
            drift_rad: None,
            gap_rad: None,
        };
        match self {
            Self::Seamless => base,
            Self::Clean => LimitRule { cover: 0.5, ..base },
            Self::Legible => LimitRule {
                cover: 0.5,
                share_of_figure: 0.04,
                ..base
            },
        }
    }

    /// Why the rule is what it is, with its source.
    pub fn reason(self) -> &'static str {
        match self {
            Self::Seamless => {
                "at the visitor's acuity: the finest detail told apart, 10^logMAR arcmin (ISO 8596). Aligned edges can betray less (vernier acuity, some 0.1 arcmin), so this is not a promise that nothing can be found."
            }
            Self::Clean => {
                "hidden by half the thinner rod's thickness, and never finer than acuity: two rods that overlap by half still look joined (chosen; common practice, no source)."
            }
            Self::Legible => {
                "the figure still reads: 4 % of its own largest width, and never finer than half a rod's thickness or acuity (chosen: a corner that is open by a twenty-fifth of the figure is seen and forgiven; no source)."
            }
        }
    }
}

/// How a limit follows from acuity, thickness and size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LimitRule {
    /// Limit in finest details of the visitor's eye.
    pub acuity_factor: f64,
    /// Share of the thinner rod's apparent thickness that hides a fault.
    pub cover: f64,
    /// Share of the figure's largest width.
    pub share_of_figure: f64,
    /// A drift limit set outright, rad.
    pub drift_rad: Option<f64>,
    /// A gap limit set outright, rad.
    pub gap_rad: Option<f64>,
}

impl LimitRule {
    /// The part of a limit that does not depend on the visitor, rad, for a rod of the apparent thickness
    /// `thickness_rad` in a figure of the width `figure_rad`.
    pub fn floor_rad(&self, thickness_rad: f64, figure_rad: f64) -> f64 {
        (self.cover * thickness_rad).max(self.share_of_figure * figure_rad)
    }

    /// The limit that is set outright as `set_rad`, or else follows from thickness and size.
    pub fn limit(&self, set_rad: Option<f64>, thickness_rad: f64, figure_rad: f64) -> Limit {
        match set_rad {
            Some(set_rad) => Limit::new(0.0, set_rad),
            None => Limit::new(
                self.acuity_factor,
                self.floor_rad(thickness_rad, figure_rad),
            ),
        }
    }
}

/// A limit, or a threshold, for a visitor of any acuity: the larger of some finest details of the visitor's eye and of what
/// it never falls below.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limit {
    acuity_factor: f64,
    floor_rad: f64,
    // quotients are taken once, here: 1/0 is no bound
    per_acuity_factor: f64,
    per_floor_rad: f64,
}

impl Limit {
    /// The limit of `acuity_factor` finest details, and never below `floor_rad`.
    pub fn new(acuity_factor: f64, floor_rad: f64) -> Self {
        Self {
            acuity_factor,
            floor_rad,
            per_acuity_factor: 1.0 / acuity_factor,
            per_floor_rad: 1.0 / floor_rad,
        }
    }

    /// The limit for a visitor whose finest detail is `detail_rad`, rad.
    pub fn at_rad(&self, detail_rad: f64) -> f64 {
        (self.acuity_factor * detail_rad).max(self.floor_rad)
    }

    /// What a fault is divided by, as a factor: 1 over the limit for a visitor whose finest detail is
    /// 1/`per_detail_rad`, 1/rad.
    #[inline(always)]
    pub fn per_rad(&self, per_detail_rad: f64) -> f64 {
        let per_told_apart = self.per_acuity_factor * per_detail_rad;
        if per_told_apart < self.per_floor_rad {
            per_told_apart
        } else {
            self.per_floor_rad
        }
    }
}

/// Share of looks that should show the whole figure unless a scenario says otherwise: four visitors of five see it at once,
/// the fifth moves the head a little (chosen, no source).
pub const CLEAR_SHARE: f64 = 0.8;

/// What counts as holding, passing, and meeting the target.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Judging {
    /// The finish that was named, if limits were not set by hand.
    pub finish: Option<Finish>,
    /// The rule.
    pub rule: LimitRule,
    /// The frame of drifts.
    pub frame: Frame,
    /// A build passes when at least this share of its unclipped looks hold.
    pub hold_share: f64,
    /// Share of all looks that should show the whole figure.
    pub clear_share: f64,
    /// Share of builds that should pass.
    pub target_yield: f64,
}

impl Judging {
    /// What is judged when a scenario says nothing: a clean finish in the fitted frame, nine looks of ten, nine builds of
    /// ten.
    pub fn usual() -> Self {
        Self {
            finish: Some(Finish::Clean),
            rule: Finish::Clean.rule(),
            frame: Frame::Fitted,
            hold_share: 0.9,
            clear_share: CLEAR_SHARE,
            target_yield: 0.9,
        }
    }
}
