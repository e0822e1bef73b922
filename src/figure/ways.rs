//! Ways of working: what a workshop can do at each step of the work, how closely it then works, and what it costs.
//!
//! A set takes one way at every step. Some ways go together (a machine cuts the pattern and the holes in one setting), so
//! a way may need another way at another step.

use super::design::Design;
use super::law::Law;
use super::plan::Plan;
use super::source::Source;
use super::step::Step;
use super::written::written_quantity;
use crate::mechanics::Tightening;
use crate::units::Kind;
use std::collections::BTreeMap;

/// Most sets of ways that are tried (chosen: some seconds of work).
pub const MOST_SETS: u64 = 20_000;

/// The law of one source under a way of working.
#[derive(Debug, Clone, PartialEq)]
pub struct WayLaw {
    /// The source.
    pub source: Source,
    /// Its law.
    pub law: Law,
    /// The same as a scenario writes it under the source's key.
    pub written: String,
}

/// Where a way comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WayOrigin {
    /// Shipped with the program.
    Shipped,
    /// A `[[ways]]` table of the scenario.
    Scenario,
    /// What the scenario has at that step, where that is none of the ways.
    AsItIs,
}

/// One way of doing one step of the work.
#[derive(Debug, Clone, PartialEq)]
pub struct Way {
    /// The step.
    pub step: Step,
    /// Its name.
    pub name: String,
    /// What it costs once.
    pub cost: f64,
    /// What it costs for each item of the step (see [`StepWays::items`]).
    pub cost_per_item: f64,
    /// The laws that it brings; sources of the step that are not named stay as in the scenario.
    pub laws: Vec<WayLaw>,
    /// Diameter of the holes, front and rear, mm, where it changes that.
    pub hole_mm: Option<[f64; 2]>,
    /// How the one line is tightened, where it changes that.
    pub tightening: Option<Tightening>,
    /// Ways that it needs at other steps, by name.
    pub needs: Vec<(Step, String)>,
    /// Why it is as close as it is, and where the numbers come from.
    pub reason: String,
    /// Where it comes from.
    pub origin: WayOrigin,
    /// Whether sets are made with it; what the scenario has now is shown even where another way is as close for the same
    /// price.
    pub is_offered: bool,
}

impl Way {
    /// Puts the way into a design.
    pub fn apply(&self, design: &mut Design) {
        if let Some(hole_mm) = self.hole_mm {
            for (plate, hole_mm) in design.plates.iter_mut().zip(hole_mm) {
                plate.hole_mm = hole_mm;
            }
        }
        if let (Some(tightening), Some(threading)) = (self.tightening, &mut design.line.threading) {
            threading.tightening = tightening;
        }
        for one in &self.laws {
            design.laws[one.source.index()] = one.law.clone();
        }
    }

    /// What it costs for this many items.
    pub fn price(&self, items: u64) -> f64 {
        self.cost + self.cost_per_item * items as f64
    }
}

/// The ways of one step.
#[derive(Debug, Clone, PartialEq)]
pub struct StepWays {
    /// The step.
    pub step: Step,
    /// Its ways.
    pub ways: Vec<Way>,
    /// Which of them the scenario has now.
    pub now: usize,
    /// How many items the step has, to which [`Way::cost_per_item`] applies.
    pub items: u64,
}

impl StepWays {
    /// Price of one of its ways.
    pub fn price(&self, way: usize) -> f64 {
        self.ways[way].price(self.items)
    }
}

/// What costs are counted in.
#[derive(Debug, Clone, PartialEq)]
pub struct CostUnit {
    /// Its name: "min", "EUR".
    pub name: String,
    /// What a minute of work costs, where the unit is the scenario's own and shipped ways are among the ways.
    pub per_minute: Option<f64>,
}

impl CostUnit {
    /// Minutes of one person's work.
    pub fn minutes() -> Self {
        Self {
            name: "min".to_owned(),
            per_minute: None,
        }
    }
}

/// One way at every step: at each place the way's number among [`StepWays::ways`].
pub type SetOfWays = Vec<usize>;

/// One line of a scenario file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ScenarioLine {
    /// The table that it belongs into: "errors.front".
    pub table: &'static str,
    /// Its key.
    pub key: &'static str,
    /// Its value, as it is written there.
    pub value: String,
}

/// All ways of working for a design.
#[derive(Debug, Clone, PartialEq)]
pub struct Ways {
    /// Step by step, in the order of the work.
    pub steps: Vec<StepWays>,
    /// What costs are counted in.
    pub unit: CostUnit,
}

impl Ways {
    /// The set that the scenario has now.
    pub fn now(&self) -> SetOfWays {
        self.steps.iter().map(|step| step.now).collect()
    }

    /// What a set costs.
    pub fn cost(&self, set: &[usize]) -> f64 {
        let prices = self.steps.iter().zip(set);
        prices.map(|(step, way)| step.price(*way)).sum()
    }

    /// The ways of a set.
    pub fn of_set<'w>(&'w self, set: &'w [usize]) -> impl Iterator<Item = (&'w StepWays, &'w Way)> {
        let steps = self.steps.iter().zip(set);
        steps.map(|(step, way)| (step, &step.ways[*way]))
    }

    /// `plan` worked by a set.
    pub fn plan(&self, plan: &Plan, set: &[usize]) -> Plan {
        let mut design = plan.design.clone();
        for (_, way) in self.of_set(set) {
            way.apply(&mut design);
        }
        Plan::new(design)
    }

    /// Of each of `sets` the first of them that is worked alike on `design`: with the same laws, holes and tightening, whatever
    /// its ways are called and cost.
    pub fn alike(&self, design: &Design, sets: &[SetOfWays]) -> Vec<usize> {
        // no two steps have a law, a hole or the tightening in common, so sets are alike where they are at every step
        let first_alike: Vec<Vec<usize>> = self
            .steps
            .iter()
            .map(|step| {
                let worked: Vec<Design> = step
                    .ways
                    .iter()
                    .map(|way| {
                        let mut worked = design.clone();
                        way.apply(&mut worked);
                        worked
                    })
                    .collect();
                let first = |one: &Design| worked.iter().position(|other| other == one);
                let ways = worked.iter().enumerate();
                ways.map(|(own, one)| first(one).unwrap_or(own)).collect()
            })
            .collect();
        let mut firsts: BTreeMap<Vec<usize>, usize> = BTreeMap::new();
        let numbered = sets.iter().enumerate();
        numbered
            .map(|(own, set)| {
                let ways = first_alike.iter().zip(set).map(|(first, way)| first[*way]);
                *firsts.entry(ways.collect()).or_insert(own)
            })
            .collect()
    }

    /// Where two sets differ: step, way of the first, way of the second.
    pub fn changes<'w>(
        &'w self,
        from: &[usize],
        to: &[usize],
    ) -> Vec<(&'w StepWays, &'w Way, &'w Way)> {
        let steps = self.steps.iter().zip(from.iter().zip(to));
        steps
            .filter(|(_, (from, to))| from != to)
            .map(|(step, (from, to))| (step, &step.ways[*from], &step.ways[*to]))
            .collect()
    }

    /// Whether `set` is `other` with something dearer at some steps and nothing cheaper at any.
    pub fn only_adds_to(&self, set: &[usize], other: &[usize]) -> bool {
        let mut steps = self.steps.iter().zip(set.iter().zip(other));
        steps.all(|(step, (way, other))| way == other || step.price(*way) >= step.price(*other))
    }

    /// All sets of offered ways that go together, the last step changing fastest; `Err` with an upper bound of their number
    /// where there are more than [`MOST_SETS`] (or too many to go through).
    ///
    /// # Errors
    /// The number of sets, when there are too many.
    pub fn sets(&self) -> Result<Vec<SetOfWays>, u128> {
        /// Sets that do not go together are passed over; this many are not looked through (chosen).
        const MOST_LOOKED_THROUGH: u128 = 5_000_000;
        let offered: Vec<Vec<usize>> = self
            .steps
            .iter()
            .map(|step| {
                let ways = step.ways.iter().enumerate();
                ways.filter(|(_, way)| way.is_offered)
                    .map(|(index, _)| index)
                    .collect()
            })
            .collect();
        let all = offered
            .iter()
            .fold(1_u128, |all, ways| all.saturating_mul(ways.len() as u128));
        if all > MOST_LOOKED_THROUGH {
            return Err(all);
        }
        let needs = self.needs();
        let mut sets = Vec::new();
        let mut count = 0_u128;
        let mut places = vec![0; offered.len()];
        for _ in 0..all {
            let goes_together = needs.iter().all(|((step, way), needed)| {
                offered[*step][places[*step]] != *way
                    || needed
                        .iter()
                        .all(|(other, way)| offered[*other][places[*other]] == *way)
            });
            if goes_together {
                count += 1;
                if count <= u128::from(MOST_SETS) {
                    let ways = offered.iter().zip(&places);
                    sets.push(ways.map(|(ways, place)| ways[*place]).collect());
                }
            }
            for step in (0..places.len()).rev() {
                places[step] += 1;
                if places[step] < offered[step].len() {
                    break;
                }
                places[step] = 0;
            }
        }
        if count > u128::from(MOST_SETS) {
            return Err(count);
        }
        Ok(sets)
    }

    /// The needs of all ways, by numbers of steps and ways; a need that nothing answers is answered by no way.
    fn needs(&self) -> BTreeMap<(usize, usize), Vec<(usize, usize)>> {
        let mut needs = BTreeMap::new();
        for (at, step) in self.steps.iter().enumerate() {
            for (nth, way) in step.ways.iter().enumerate() {
                let answered = way.needs.iter().filter_map(|(other, name)| {
                    let at = self.steps.iter().position(|step| step.step == *other)?;
                    let ways = &self.steps[at].ways;
                    let way = ways.iter().position(|way| way.name == *name);
                    Some((at, way.unwrap_or(usize::MAX)))
                });
                let answered: Vec<(usize, usize)> = answered.collect();
                if !answered.is_empty() {
                    needs.insert((at, nth), answered);
                }
            }
        }
        needs
    }

    /// The lines that put a set into the scenario; what is there already as it should be needs none.
    pub fn lines(&self, set: &[usize]) -> Vec<ScenarioLine> {
        let mut lines = Vec::new();
        for (step, (way, now)) in self.steps.iter().zip(set.iter().zip(self.now())) {
            if *way == now {
                continue;
            }
            let way = &step.ways[*way];
            if let Some(tightening) = way.tightening {
                let value = match tightening {
                    Tightening::EachRun => "\"each run\"",
                    Tightening::EndsOnly => "\"ends only\"",
                };
                lines.push(ScenarioLine {
                    table: "line.threading",
                    key: "tightened",
                    value: value.to_owned(),
                });
            }
            if let Some(hole_mm) = way.hole_mm {
                for (key, hole_mm) in ["front_hole", "rear_hole"].into_iter().zip(hole_mm) {
                    lines.push(ScenarioLine {
                        table: "cabinet",
                        key,
                        value: written_quantity(hole_mm, Kind::Length),
                    });
                }
            }
            lines.extend(way.laws.iter().map(|one| {
                let (_, key) = one.source.key();
                ScenarioLine {
                    table: errors_table(one.source),
                    key,
                    value: one.written.clone(),
                }
            }));
        }
        lines
    }
}

/// The table of a scenario in which a source of the work has its key.
fn errors_table(source: Source) -> &'static str {
    match source.key().0 {
        "front" => "errors.front",
        "rear" => "errors.rear",
        "line" => "errors.line",
        "rod" => "errors.rod",
        "peephole" => "errors.peephole",
        _ => "eye",
    }
}

/// Lines of a scenario put together by their tables, as they stand in a file.
pub fn lines_text(lines: &[ScenarioLine]) -> String {
    let mut tables: Vec<&str> = Vec::new();
    for line in lines {
        if !tables.contains(&line.table) {
            tables.push(line.table);
        }
    }
    let mut text = String::new();
    for table in tables {
        if !text.is_empty() {
            text.push('\n');
        }
        text.push_str(&format!("[{table}]\n"));
        for line in lines.iter().filter(|line| line.table == table) {
            text.push_str(&format!("{} = {}\n", line.key, line.value));
        }
    }
    text
}
