//! All ways of working for a design: a scenario's own, the shipped ones, and what the scenario has now.

use super::default_ways::{default_ways, items, moments};
use super::design::Design;
use super::step::Step;
use super::ways::{CostUnit, StepWays, Way, WayOrigin, Ways};
use crate::mechanics::Tightening;

/// Why the ways of a scenario make no sets.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NoSets {
    /// More sets than are tried; how many there are.
    TooMany(u128),
    /// No set of ways goes together.
    NoneGoesTogether,
    /// A way needs one that is not there: the way, the step, and the ways that this step has.
    UnknownNeed {
        /// The way.
        way: String,
        /// The step at which it needs another.
        step: Step,
        /// The way that it needs.
        needs: String,
        /// The ways that there are.
        known: Vec<String>,
    },
}

impl Ways {
    /// The ways for `design`: at each step the scenario's own, or the shipped ones where it has none of its own. What the
    /// scenario has now is one of them, or is added as a way of its own. It costs what the cheapest way costs that works at
    /// least as closely (second moment about no error of every source, and the line tightened alike) and then is not offered,
    /// for that way does better for the same price; where none is as close, it costs what the dearest does, and ways that are
    /// no closer for that price are not offered.
    ///
    /// # Errors
    /// [`NoSets`] when the scenario's own ways make no sets, or too many.
    pub fn new(design: &Design, own: Vec<Way>, unit: CostUnit) -> Result<Self, NoSets> {
        let per_minute = unit.per_minute.unwrap_or(1.0);
        let has_own = |step: Step| own.iter().any(|way| way.step == step);
        let shipped: Vec<Way> = default_ways(design)
            .into_iter()
            .filter(|way| !has_own(way.step))
            .map(|way| Way {
                cost: per_minute * way.cost,
                cost_per_item: per_minute * way.cost_per_item,
                ..way
            })
            .collect();
        let all: Vec<Way> = own.into_iter().chain(shipped).collect();
        let all = with_needs(all)?;
        let steps = Step::ALL.into_iter().filter(|step| step.is_work());
        let steps: Vec<StepWays> = steps
            .map(|step| {
                let ways = all.iter().filter(|way| way.step == step).cloned().collect();
                with_now(design, step, ways)
            })
            .collect();
        limited(Self { steps, unit })
    }
}

/// The ways whose needs can be met. Of the shipped ones, what needs a way that a scenario's own ways replace is left out;
/// only the machine itself, which needs no more than that nothing else be done, stays.
fn with_needs(all: Vec<Way>) -> Result<Vec<Way>, NoSets> {
    let names: Vec<(Step, String)> = all.iter().map(|way| (way.step, way.name.clone())).collect();
    let is_there = |need: &(Step, String)| names.contains(need);
    let mut kept = Vec::new();
    for mut way in all {
        let missing = way.needs.iter().find(|need| !is_there(need)).cloned();
        match (missing, way.origin) {
            (None, _) => kept.push(way),
            (Some((step, needs)), WayOrigin::Scenario) => {
                let known = names.iter().filter(|(one, _)| *one == step);
                return Err(NoSets::UnknownNeed {
                    way: way.name,
                    step,
                    needs,
                    known: known.map(|(_, name)| name.clone()).collect(),
                });
            }
            (Some(_), _) if way.step == Step::HoleScatter => {
                way.needs.retain(is_there);
                kept.push(way);
            }
            (Some(_), _) => {}
        }
    }
    Ok(kept)
}

/// The ways of a step with what the scenario has now among them.
fn with_now(design: &Design, step: Step, mut ways: Vec<Way>) -> StepWays {
    let items = items(step, design);
    let applied: Vec<Design> = ways
        .iter()
        .map(|way| {
            let mut applied = design.clone();
            way.apply(&mut applied);
            applied
        })
        .collect();
    let now = applied.iter().position(|applied| applied == design);
    let now = now.unwrap_or_else(|| {
        let close: Vec<Closeness> = applied
            .iter()
            .map(|applied| Closeness::of(applied, step))
            .collect();
        let priced = priced_like(design, step, &ways, &close, items);
        let own = Closeness::of(design, step);
        for (way, close) in ways.iter_mut().zip(&close) {
            let is_beaten = way.price(items) >= priced.price(items) && own.is_as_close_as(close);
            way.is_offered &= !(priced.is_offered && is_beaten);
        }
        ways.push(priced);
        ways.len() - 1
    });
    StepWays {
        step,
        ways,
        now,
        items,
    }
}

/// How closely a design is worked at one step.
struct Closeness {
    tightening: Option<Tightening>,
    /// Second moment and variance of each source.
    moments: Vec<[f64; 2]>,
}

impl Closeness {
    fn of(design: &Design, step: Step) -> Self {
        let moments = |source| moments(design.law(source), source, design);
        Self {
            tightening: design.line.threading.as_ref().map(|line| line.tightening),
            moments: step.sources().into_iter().map(moments).collect(),
        }
    }

    fn is_as_close_as(&self, other: &Self) -> bool {
        const ROUNDING: f64 = 1e-12;
        let mut pairs = self
            .moments
            .as_flattened()
            .iter()
            .zip(other.moments.as_flattened());
        self.tightening == other.tightening
            && pairs.all(|(own, other)| *own <= other * (1.0 + ROUNDING))
    }
}

/// What the scenario has now at a step, as a way with a price.
fn priced_like(design: &Design, step: Step, ways: &[Way], close: &[Closeness], items: u64) -> Way {
    let now = Closeness::of(design, step);
    let by_price = |a: &&usize, b: &&usize| {
        let price = |index: &usize| ways[*index].price(items);
        price(a).total_cmp(&price(b))
    };
    let all: Vec<usize> = (0..ways.len()).collect();
    let alike: Vec<usize> = all
        .iter()
        .copied()
        .filter(|index| close[*index].tightening == now.tightening)
        .collect();
    let as_close: Vec<usize> = alike
        .iter()
        .copied()
        .filter(|index| close[*index].is_as_close_as(&now))
        .collect();
    let like = as_close
        .iter()
        .min_by(by_price)
        .or_else(|| alike.iter().max_by(by_price))
        .or_else(|| all.iter().max_by(by_price));
    let (cost, cost_per_item, needs, reason) = match like {
        Some(index) => {
            let like = &ways[*index];
            let why = if as_close.is_empty() {
                "the dearest way, for none is as close"
            } else {
                "the cheapest way that is at least as close"
            };
            let reason = format!(
                "as the scenario has it; its cost is not known and taken as that of \"{}\", {why}",
                like.name
            );
            (like.cost, like.cost_per_item, like.needs.clone(), reason)
        }
        None => (0.0, 0.0, Vec::new(), "as the scenario has it".to_owned()),
    };
    Way {
        step,
        name: "as in the scenario".to_owned(),
        cost,
        cost_per_item,
        laws: Vec::new(),
        hole_mm: None,
        tightening: None,
        needs,
        reason,
        origin: WayOrigin::AsItIs,
        is_offered: as_close.is_empty(),
    }
}

/// Leaves what the scenario has now out of the sets, step by step from the last, until they are few enough.
fn limited(mut ways: Ways) -> Result<Ways, NoSets> {
    loop {
        match ways.sets() {
            Ok(sets) if sets.is_empty() => return Err(NoSets::NoneGoesTogether),
            Ok(_) => return Ok(ways),
            Err(count) => {
                let offered = ways.steps.iter_mut().rev().flat_map(|step| &mut step.ways);
                let mut as_it_is =
                    offered.filter(|way| way.is_offered && way.origin == WayOrigin::AsItIs);
                match as_it_is.next() {
                    Some(way) => way.is_offered = false,
                    None => return Err(NoSets::TooMany(count)),
                }
            }
        }
    }
}
