//! Groups of readings laid on the plan: what was read of each thing that a sheet asks for, how far it is off, and how far it may be.

use super::blunder::{Axes, Blunder, Evidence, Row, of_the_other_plate};
use super::robust_fit::{Fit, Freedom, Place, lay, median};
use super::sound::{Together, freedom_of, sound};
use crate::figure::{Bench, Measurand, Plan, Quantity, TakenOn, all_measurands};
use crate::geometry::Pair;

/// How many times closer rows must come when put right: chance brings one row in twenty-five so much closer to a place in the
/// plane, and a mistake of the pen some hundred times (chosen).
pub const BETTER: f64 = 5.0;

/// Standard uncertainties by which a careless reading may be off.
const CARELESS: f64 = 5.0;

/// One thing that a sheet asks for, and what was read of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Slot {
    /// What it asks for.
    pub of: Measurand,
    /// What the plan has there (mm, Hz, N, or tangents in a picture through the peephole); y is 0 for one component.
    pub expected: Pair,
    /// How far off it a sound build may be, in the same unit.
    pub reach: f64,
    /// What was read, if anything.
    pub held: Option<Held>,
}

/// A reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Held {
    /// Its number in the bench.
    pub nth: usize,
    /// Its value, as far as it is put right.
    pub value: [f64; 2],
    /// Standard uncertainty of each component.
    pub sd: f64,
}

/// Slots that lie on the plan as a whole.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    /// How it may lie.
    pub freedom: Freedom,
    /// What it is made of, in the order of a sheet.
    pub slots: Vec<Slot>,
    /// How far the mean of its logarithms may be off.
    pub together: f64,
    /// The same readings taken for those of the other plate; `None` where there is no such thing.
    pub twin: Option<Box<Group>>,
}

/// A group, how it lies, and which of its slots are beyond their limits.
#[derive(Debug, Clone)]
pub struct Laid {
    /// The group.
    pub group: Group,
    /// How far each slot's reading is off, in the reading's unit; `None` for a blank one.
    pub off: Vec<Option<f64>>,
    /// How far each may be off, in the same unit; 0 for a blank one.
    pub limit: Vec<f64>,
    /// Slots whose readings are beyond their limits.
    pub beyond: Vec<usize>,
    /// How it is turned.
    pub turn_rad: f64,
}

/// The slots of every quantity that was read at all, what is seen through the peephole as one.
pub fn groups(plan: &Plan, bench: &Bench) -> Option<Vec<Group>> {
    let blank = all_measurands(plan);
    let mut slots: Vec<(Measurand, Option<Held>)> = Vec::new();
    let mut bounds = Vec::new();
    let families = [
        (Quantity::SeenEnd, Some(Quantity::SeenMiddle)),
        (Quantity::SeenMiddle, None),
    ];
    for quantity in Quantity::ALL {
        let with = match families.iter().find(|(first, _)| *first == quantity) {
            Some((_, Some(with))) => Some(*with),
            Some((_, None)) => continue,
            None => None,
        };
        let first = slots.len();
        for quantity in [Some(quantity), with].into_iter().flatten() {
            slots.extend(slots_of(quantity, &blank, bench));
        }
        if slots.len() > first {
            bounds.push((first..slots.len(), freedom_of(quantity, bench.perspective)));
        }
    }
    // behind them all, the same readings as those of the other plate
    let own = bounds.len();
    let mut twins = vec![None; own];
    for (nth, twin) in twins.iter_mut().enumerate() {
        let (members, freedom) = bounds[nth].clone();
        let Some(quantity) = of_the_other_plate(slots[members.start].0.quantity) else {
            continue;
        };
        *twin = Some(bounds.len());
        let first = slots.len();
        slots.extend_from_within(members);
        for (of, _) in &mut slots[first..] {
            of.quantity = quantity;
        }
        bounds.push((first..slots.len(), freedom));
    }
    let measurands: Vec<Measurand> = slots.iter().map(|(of, _)| *of).collect();
    let members: Vec<(Vec<usize>, Freedom)> = bounds
        .iter()
        .map(|(members, freedom)| (members.clone().collect(), *freedom))
        .collect();
    let (sound, together) = sound(plan, bench, &measurands, &members)?;
    let group = |((members, freedom), together): ((Vec<usize>, Freedom), Together)| Group {
        freedom,
        together: together.allowed(),
        twin: None,
        slots: members
            .into_iter()
            .filter_map(|member| {
                let (of, held) = slots[member];
                let sound = sound[member]?;
                Some(Slot {
                    of,
                    expected: sound.expected,
                    reach: sound.allowed(),
                    held,
                })
            })
            .collect(),
    };
    let mut all: Vec<Group> = members.into_iter().zip(together).map(group).collect();
    let others = all.split_off(own);
    for (one, twin) in all.iter_mut().zip(twins) {
        let twin = twin.map(|nth| others[nth - own].clone());
        one.twin = twin
            .filter(|twin| twin.slots.len() == one.slots.len())
            .map(Box::new);
    }
    Some(all)
}

/// Readings of a quantity, in the sheet's order, with the blank rows of it between them; nothing, where none was read.
fn slots_of(
    quantity: Quantity,
    blank: &[Measurand],
    bench: &Bench,
) -> Vec<(Measurand, Option<Held>)> {
    let mut slots: Vec<(Measurand, Option<Held>)> = bench
        .readings
        .iter()
        .enumerate()
        .filter(|(_, reading)| reading.of.quantity == quantity)
        .map(|(nth, reading)| {
            let mut value = reading.value;
            if quantity.components() == 1 {
                value[1] = 0.0;
            }
            let held = Held {
                nth,
                value,
                sd: reading.sd,
            };
            (reading.of, Some(held))
        })
        .collect();
    // a line's drop is read where the sheet says, so that a blank row of it has no place
    let has_rows = quantity.taken_on() != TakenOn::Cabinet && quantity != Quantity::Drop;
    if slots.is_empty() || !has_rows {
        return slots;
    }
    for of in blank.iter().filter(|of| of.quantity == quantity) {
        let is_it = |(one, _): &(Measurand, Option<Held>)| one.line == of.line && one.end == of.end;
        if !slots.iter().any(is_it) {
            slots.push((*of, None));
        }
    }
    let nth = |of: &Measurand| of.end.or(of.line);
    slots.sort_by_key(|(of, _)| nth(of));
    slots
}

pub fn row(bench: &Bench, nth: usize) -> Row {
    Row {
        nth,
        place: bench.readings[nth].place.clone(),
    }
}

impl Held {
    pub fn rewritten(self, quantity: Quantity, axes: Axes, factor: f64) -> Self {
        Self {
            value: axes.of(quantity, self.value).map(|value| value * factor),
            ..self
        }
    }
}

impl Laid {
    /// Lays a group over the plan; `None` where too little was read.
    pub fn of(group: Group) -> Option<Self> {
        let held: Vec<usize> = (0..group.slots.len())
            .filter(|slot| group.slots[*slot].held.is_some())
            .collect();
        if held.len() < group.freedom.fewest() {
            return None;
        }
        let places: Vec<Place> = held
            .iter()
            .filter_map(|slot| {
                let slot = &group.slots[*slot];
                let held = slot.held?;
                Some(Place {
                    expected: slot.expected,
                    read: Pair::from(held.value),
                    reach: slot.reach,
                    noise: CARELESS * held.sd,
                })
            })
            .collect();
        let fit: Fit = lay(&places, group.freedom)?;
        let mut off = vec![None; group.slots.len()];
        let mut limit = vec![0.0; group.slots.len()];
        let mut beyond = Vec::new();
        for (place, slot) in held.iter().enumerate() {
            off[*slot] = Some(fit.off[place]);
            limit[*slot] = fit.limit[place];
            if fit.is_beyond(place) {
                beyond.push(*slot);
            }
        }
        Some(Self {
            group,
            off,
            limit,
            beyond,
            turn_rad: fit.frame.turn_rad,
        })
    }

    /// The group with every reading on other axes and in another unit.
    pub fn rewritten(&self, axes: Axes, factor: f64) -> Group {
        let mut group = self.group.clone();
        for slot in &mut group.slots {
            let quantity = slot.of.quantity;
            if let Some(held) = &mut slot.held {
                *held = held.rewritten(quantity, axes, factor);
            }
        }
        group
    }

    /// Whether its coordinates are measured from the axis, so that a turn or a mirror is a mistake.
    pub fn is_from_the_axis(&self) -> bool {
        matches!(self.group.freedom, Freedom::Fixed | Freedom::Near)
    }

    pub fn quantity(&self) -> Quantity {
        self.group.slots[0].of.quantity
    }

    pub fn held(&self) -> impl Iterator<Item = Held> + '_ {
        self.group.slots.iter().filter_map(|slot| slot.held)
    }

    pub fn readings(&self) -> usize {
        self.held().count()
    }

    /// Truncated squares of what is off over its limit.
    pub fn cost(&self) -> f64 {
        let each = self.off.iter().zip(&self.limit);
        each.filter_map(|(off, limit)| off.map(|off| (off / limit).powi(2).min(1.0)))
            .sum()
    }

    /// Whether the slot was beyond its limit, is within it afterwards, and far closer.
    pub fn is_put_right(&self, after: &Self, slot: usize) -> bool {
        let (Some(off), Some(put_right)) = (self.off[slot], after.off[slot]) else {
            return false;
        };
        let is_better = BETTER * put_right <= off;
        // nothing else may be spoiled by it
        let spoils = after.beyond.iter().any(|slot| !self.beyond.contains(slot));
        is_better && put_right <= after.limit[slot] && !spoils
    }

    /// Whether the middle one of the slots that were beyond their limits is far closer afterwards.
    pub fn is_better(&self, after: &Self, slots: &[usize]) -> bool {
        let evidence = self.evidence(after, slots);
        let put_right = evidence.put_right;
        put_right.is_some_and(|put_right| BETTER * put_right <= evidence.stands)
    }

    /// The middle one of these slots' distances, before and after. What a shift leaves blank is left out.
    pub fn evidence(&self, after: &Self, slots: &[usize]) -> Evidence {
        let middle = |of: &Self| median(slots.iter().filter_map(|slot| of.off[*slot]).collect());
        Evidence {
            stands: middle(self),
            put_right: Some(middle(after)),
            allowed: median(slots.iter().map(|slot| self.limit[*slot]).collect()),
        }
    }

    pub fn evidence_of(&self, slot: usize) -> Evidence {
        let off = self.off[slot].unwrap_or(f64::INFINITY);
        Evidence {
            stands: off,
            put_right: None,
            allowed: self.limit[slot],
        }
    }

    pub fn outlier(&self, slot: usize, bench: &Bench) -> Blunder {
        let nth = self.group.slots[slot].held.map_or(0, |held| held.nth);
        Blunder::Outlier {
            row: row(bench, nth),
            evidence: self.evidence_of(slot),
        }
    }
}
