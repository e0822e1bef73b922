//! What a comparison of two sides finds, and its verdict.

use super::super::brief::Brief;
use super::super::diagnosis::Span;
use super::super::run_plan::RunPlan;
use crate::figure::Item;
use crate::statistics::{Difference, PairedDifference, PairedRatios, Proportion};

/// Two sides beside each other.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// What was run on either side: builds (of each side where they were drawn), looks, level, seed.
    pub run: RunPlan,
    /// The counts of either side.
    pub sides: [Brief; 2],
    /// How the yield differs, second less first: what the verdict is on. `None` without builds on a side.
    pub build_yield: Option<Difference>,
    /// How the builds of both sides belong together.
    pub belong: Belong,
    /// Shares of looks: that show the whole figure; of those, that hold; that do both.
    pub looks: LookShares,
    /// How the margin of the middle build differs, with its bootstrap interval; `None` where one is not finite.
    pub median_margin: Option<MedianDifference>,
    /// Every rod, then every junction; those of the same name stand together.
    pub items: Vec<ItemPair>,
}

/// How the builds of the two sides belong together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Belong {
    /// The n-th build of one side has the same random numbers as the n-th of the other.
    Paired(Pairing),
    /// The builds of one side have nothing to do with those of the other.
    Independent,
}

/// What the same random numbers on both sides are worth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pairing {
    /// Builds gained and lost; `None` without builds.
    pub builds: Option<PairedDifference>,
    /// Spearman's correlation of the builds' margins; `None` where a side has all alike.
    pub rank_correlation: Option<f64>,
    /// Share of the variance of the yields' difference that independent builds would have and these have not; below 0 where the
    /// sides go against each other. `None` where neither side varies.
    pub saved: Option<f64>,
}

/// Shares of looks on both sides.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LookShares {
    /// Of all looks, those that show the whole figure.
    pub clear: PairedRatios,
    /// Of those, the ones that hold.
    pub held: PairedRatios,
    /// Of all looks, those that do both.
    pub both: PairedRatios,
}

/// Medians of the builds' margins.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MedianDifference {
    /// Of either side.
    pub medians: [f64; 2],
    /// Second less first; `None` where the middle build of some redraw has no finite margin on either side.
    pub difference: Option<Difference>,
}

/// A rod or junction on both sides, or on one.
#[derive(Debug, Clone, PartialEq)]
pub struct ItemPair {
    /// Which one of each side it is; `None` on a side that has none of its name.
    pub items: [Option<Item>; 2],
    /// Its name: "rod keel".
    pub name: String,
    /// Share of judged looks in which it is over its limit.
    pub over: PairedRatios,
    /// Mean square over judged looks of its drift or gap over its limit; shown as its root.
    pub squares: PairedRatios,
    /// Its drift or gap over its limit as the mean eye sees it, among the builds of either side; of given builds only.
    pub mean_eye: [Option<Span>; 2],
}

/// The worst fault over its limit as the eye at its mean place sees it, among given builds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FromMeanPlace {
    /// The worst of all rods and junctions; `None` where no build shows the whole figure from there.
    pub worst: Option<Span>,
    /// Builds in which all is within its limit from there.
    pub within: Proportion,
    /// Builds that do not show the whole figure from there, or cannot be computed.
    pub not_seen: u64,
}

/// Builds that are given, not drawn: what the readings of one build leave possible.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GivenBuilds<'b> {
    /// Values of each, laid out by `plan.layout`.
    pub builds: &'b [Vec<f64>],
    /// By how much visitors' eyes stand farther from the station point along the axis than the scenario has them, mm; 0 where that
    /// was not read.
    pub relief_shift_mm: f64,
}

/// One build before and after a repair, each as the builds that its readings leave possible.
#[derive(Debug, Clone, PartialEq)]
pub struct BuildComparison {
    /// All that scenarios are compared by, too.
    pub comparison: Comparison,
    /// What the eye at its mean place sees, before and after.
    pub mean_eye: [FromMeanPlace; 2],
}

/// Whether the second side is better.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ComparisonVerdict {
    /// The whole interval of the yield's difference lies above 0.
    Better,
    /// The whole interval lies below 0.
    Worse,
    /// It holds 0.
    NoDifferenceShown,
}

impl ComparisonVerdict {
    /// In words, of the second side.
    pub fn words(self) -> &'static str {
        match self {
            Self::Better => "better",
            Self::Worse => "worse",
            Self::NoDifferenceShown => "no difference that these builds can show",
        }
    }
}

/// A difference that is worth telling apart (chosen): one point.
pub const ONE_POINT: f64 = 0.01;

impl Comparison {
    /// Whether the second side is better, by its yield alone.
    pub fn verdict(&self) -> ComparisonVerdict {
        match self.build_yield {
            Some(found) if found.interval[0] > 0.0 => ComparisonVerdict::Better,
            Some(found) if found.interval[1] < 0.0 => ComparisonVerdict::Worse,
            _ => ComparisonVerdict::NoDifferenceShown,
        }
    }

    /// The yield of a side.
    pub fn yield_of(&self, side: usize) -> Proportion {
        self.sides[side].build_yield(&self.run)
    }

    /// Whether both sides have the same random numbers.
    pub fn is_paired(&self) -> bool {
        matches!(self.belong, Belong::Paired(_))
    }

    /// About how many builds on either side bring the interval of the yields' difference to ± `half_width`: it narrows with the
    /// root of their number. `None` without builds.
    pub fn builds_for(&self, half_width: f64) -> Option<u64> {
        let times = self.build_yield?.half_width() / half_width;
        let most = self.sides.iter().map(Brief::builds).max()?;
        Some((most as f64 * times * times).ceil().max(1.0) as u64)
    }
}
