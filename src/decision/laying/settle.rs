//! From a start to a layout that breaks no rule: one broken rule after the other is picked at random, and a choice that can mend it
//! is moved; what breaks more than before is taken back.

use super::laid::{Choice, Laid, Site};
use super::rules::Breach;
use crate::sampling::{Stream, normal_quantile_wichura_1988};
use crate::trial::RunHooks;

/// Most moves that are tried from one start.
const MOST_MOVES: usize = 4000;

/// A layout and the rules that it breaks.
#[derive(Debug, Clone)]
pub(super) struct Settled {
    pub laid: Laid,
    pub broken: Vec<Breach>,
}

impl Settled {
    pub fn of(laid: Laid, site: &Site<'_>) -> Self {
        Self {
            broken: site.breaches(&site.plan(&laid)),
            laid,
        }
    }

    /// How much it breaks.
    pub fn weight(&self) -> f64 {
        self.broken.iter().map(|breach| breach.by).sum()
    }
}

/// One of `count`.
pub(super) fn pick(stream: &mut Stream, count: usize) -> usize {
    ((stream.next_uniform() * count as f64) as usize).min(count.saturating_sub(1))
}

/// A standard normal number.
pub(super) fn normal(stream: &mut Stream) -> f64 {
    normal_quantile_wichura_1988(stream.next_uniform())
}

/// A layout anywhere within the ranges.
pub(super) fn anywhere(site: &Site<'_>, stream: &mut Stream) -> Laid {
    let within = |[low, high]: [f64; 2], share: f64| low + (high - low) * share;
    let mut laid = Laid::of(site.base, site.allowed);
    let plates_mm = site.range_mm(Choice::Front, &laid);
    let shares = [
        0.6 * stream.next_uniform(),
        1.0 - 0.3 * stream.next_uniform(),
    ];
    laid = laid
        .with(Choice::Front, within(plates_mm, shares[0]))
        .with(Choice::Rear, within(plates_mm, shares[1]));
    let [low, high] = site.range_mm(Choice::PicturePlane, &laid);
    let plane_mm = low * libm::pow(high / low, stream.next_uniform());
    laid = laid.with(Choice::PicturePlane, plane_mm);
    let hang_mm = site.allowed.hang_mm(laid.plates_mm);
    for end in 0..laid.depths_mm.len() {
        laid = laid.with(Choice::End(end), within(hang_mm, stream.next_uniform()));
    }
    laid
}

/// Mends a start as far as it can be.
pub(super) fn settle(
    start: Laid,
    site: &Site<'_>,
    hooks: &RunHooks<'_>,
    stream: &mut Stream,
) -> Settled {
    let mut now = Settled::of(start, site);
    for _ in 0..MOST_MOVES {
        if hooks.is_interrupted() {
            break;
        }
        let Some(breach) = now.broken.get(pick(stream, now.broken.len())) else {
            break;
        };
        let mut choices = breach.rule.choices(site.base);
        if choices.is_empty() {
            choices = (0..now.laid.depths_mm.len()).map(Choice::End).collect();
        }
        let choice = choices[pick(stream, choices.len())];
        let [low, high] = site.range_mm(choice, &now.laid);
        let value_mm = if stream.next_uniform() < 0.5 {
            low + (high - low) * stream.next_uniform()
        } else {
            now.laid.value_mm(choice) + 0.05 * (high - low) * normal(stream)
        };
        let tried = Settled::of(site.moved(&now.laid, choice, value_mm), site);
        if tried.weight() <= now.weight() {
            now = tried;
        }
    }
    now
}
