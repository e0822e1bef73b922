//! Does the build fail, where, and by how much: every rod and junction as seen, against its limit.

use super::cause::{NoDiagnosis, Why};
use super::pictured::pictured_rad;
use super::visitors::{MeanEye, Visitors, items, relief_shift_mm};
use crate::decision::RunPlan;
use crate::decision::brief::Brief;
use crate::figure::{Bench, Item, Plan};
use crate::sampling::BLOCK_BUILDS;
use crate::statistics::{ClusteredShare, Proportion};
use crate::trial::{RunHooks, fold_tasks};

/// A number of which the readings leave a range possible.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// Its median among the builds that the readings leave possible.
    pub median: f64,
    /// Its 95 % interval, low and high.
    pub interval: [f64; 2],
}

impl Span {
    /// Of these values, by the type 7 quantile (linear between the ordered values; Hyndman & Fan 1996); `None` of none. An
    /// infinite value stays one.
    pub fn of(mut values: Vec<f64>) -> Option<Self> {
        values.sort_by(f64::total_cmp);
        let last = values.len().checked_sub(1)?;
        let quantile = |share: f64| {
            let place = share * last as f64;
            let below = (place.floor() as usize).min(last);
            let (low, high) = (values[below], values[(below + 1).min(last)]);
            let part = place - below as f64;
            // no part of infinity, which less infinity is no number
            if part > 0.0 && high > low {
                low + part * (high - low)
            } else {
                low
            }
        };
        Some(Self {
            median: quantile(0.5),
            interval: [quantile(0.025), quantile(0.975)],
        })
    }

    /// Of worst faults, of which there is always one: +∞ of none.
    pub(super) fn of_worst(values: Vec<f64>) -> Self {
        Self::of(values).unwrap_or(Self {
            median: f64::INFINITY,
            interval: [f64::INFINITY; 2],
        })
    }
}

/// One rod or junction.
#[derive(Debug, Clone, PartialEq)]
pub struct ItemFinding {
    /// Which.
    pub item: Item,
    /// Its limit for the visitor of mean acuity, rad.
    pub limit_rad: f64,
    /// Its drift (judged frame) or gap as the eye at its mean place sees it, rad, in those possible builds in which it is seen
    /// whole; `None` where it is in none.
    pub seen_rad: Option<Span>,
    /// Share of those builds in which it is over its limit, for the eye at its mean place.
    pub over: Proportion,
    /// Its drift or gap straight from the picture, rad, with its standard uncertainty, where a picture shows all of it: of
    /// what the camera saw from where it stood.
    pub pictured_rad: Option<[f64; 2]>,
}

/// What is found.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// Rods first, then junctions.
    pub items: Vec<ItemFinding>,
    /// Share of the possible builds that pass with visitors' eyes as the scenario has them.
    pub passes: Proportion,
    /// Possible builds that cannot be computed (a line so slack that the formula of its sag ends, say): they count as builds
    /// that do not pass.
    pub not_computable: u64,
    /// Possible builds no visitor's look at which shows the whole figure: they do not pass either.
    pub never_shown: u64,
    /// Share of looks that hold, of those that show the whole figure.
    pub held: ClusteredShare,
    /// Share of looks that show the whole figure.
    pub clear: ClusteredShare,
    /// The worst fault over its limit for the eye at its mean place; +∞ for builds that it does not see whole or that cannot be
    /// computed.
    pub worst: Span,
    /// Which rod or junction is the worst in most possible builds, and in what share of those that are seen whole.
    pub worst_item: Option<(Item, Proportion)>,
}

/// Finds whether the build fails.
///
/// # Errors
/// [`NoDiagnosis`].
pub fn finding(
    plan: &Plan,
    bench: &Bench,
    why: &Why,
    run: &RunPlan,
    hooks: &RunHooks<'_>,
) -> Result<Finding, NoDiagnosis> {
    if why.possible.is_empty() {
        return Err(NoDiagnosis::NoReadings);
    }
    let relief_shift_mm = relief_shift_mm(plan, why);
    let mut seen = Seen::new(plan);
    let mut visitors = Brief::default();
    let blocks = why.possible.chunks(BLOCK_BUILDS).collect::<Vec<_>>();
    let whole = fold_tasks(
        0..blocks.len() as u64,
        hooks,
        |block| {
            let mut eye = MeanEye::new(plan, relief_shift_mm);
            let builds = blocks[block as usize].iter();
            let faults: Vec<Option<Vec<Option<f64>>>> =
                builds.map(|build| eye.faults_rad(build).ok()).collect();
            let visitors = Visitors {
                plan,
                run,
                relief_shift_mm,
            };
            (
                faults,
                visitors.look_at_block(block, blocks[block as usize]),
            )
        },
        |(faults, found)| {
            faults.iter().for_each(|faults| seen.add(faults.as_deref()));
            visitors.fold(&found);
        },
    );
    if !whole {
        return Err(NoDiagnosis::Interrupted);
    }
    Ok(Finding {
        passes: run.proportion(visitors.passed, visitors.builds()),
        not_computable: visitors.not_computable,
        never_shown: visitors.never_shown,
        held: visitors.held,
        clear: visitors.clear,
        worst_item: seen.worst_item(run),
        items: seen.items(run, pictured_rad(plan, bench, why)),
        worst: Span::of_worst(seen.worst),
    })
}

/// What the eye at its mean place sees of all possible builds.
struct Seen {
    items: Vec<Item>,
    limits_rad: Vec<f64>,
    faults_rad: Vec<Vec<f64>>,
    worst: Vec<f64>,
    /// In how many builds each item is the worst.
    is_worst: Vec<u64>,
}

impl Seen {
    fn new(plan: &Plan) -> Self {
        let items: Vec<Item> = items(plan).collect();
        let detail_rad = plan.typical_detail_rad();
        let limit_rad = |item: &Item| match *item {
            Item::Rod(rod) => plan.drift_limit_rad(rod, detail_rad),
            Item::Junction(junction) => plan.gap_limit_rad(junction, detail_rad),
        };
        Self {
            limits_rad: items.iter().map(limit_rad).collect(),
            faults_rad: vec![Vec::new(); items.len()],
            worst: Vec::new(),
            is_worst: vec![0; items.len()],
            items,
        }
    }

    fn add(&mut self, faults_rad: Option<&[Option<f64>]>) {
        let Some(faults_rad) = faults_rad else {
            return self.worst.push(f64::INFINITY);
        };
        let mut worst = (0.0, 0);
        let mut is_whole = true;
        for (nth, fault_rad) in faults_rad.iter().enumerate() {
            let Some(fault_rad) = *fault_rad else {
                is_whole = false;
                continue;
            };
            self.faults_rad[nth].push(fault_rad);
            let share = fault_rad / self.limits_rad[nth];
            if share > worst.0 {
                worst = (share, nth);
            }
        }
        if is_whole {
            self.worst.push(worst.0);
            self.is_worst[worst.1] += 1;
        } else {
            self.worst.push(f64::INFINITY);
        }
    }

    fn worst_item(&self, run: &RunPlan) -> Option<(Item, Proportion)> {
        let seen: u64 = self.is_worst.iter().sum();
        let most = *self.is_worst.iter().max()?;
        let nth = self.is_worst.iter().position(|count| *count == most)?;
        (seen > 0).then(|| (self.items[nth], run.proportion(most, seen)))
    }

    fn items(&self, run: &RunPlan, pictured_rad: Vec<Option<[f64; 2]>>) -> Vec<ItemFinding> {
        let each = self.items.iter().zip(pictured_rad).enumerate();
        each.map(|(nth, (item, pictured_rad))| {
            let (faults_rad, limit_rad) = (&self.faults_rad[nth], self.limits_rad[nth]);
            let over = faults_rad.iter().filter(|rad| **rad > limit_rad).count() as u64;
            ItemFinding {
                item: *item,
                limit_rad,
                seen_rad: Span::of(faults_rad.clone()),
                over: run.proportion(over, faults_rad.len() as u64),
                pictured_rad,
            }
        })
        .collect()
    }
}
