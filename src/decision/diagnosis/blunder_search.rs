//! Finds mistakes in a sheet as a whole: which rows fit the plan as they stand, and which fit it far better when put right.
//!
//! A row is beyond its limit when it is farther off the plan than one piece of work at six times its tolerance, all others
//! within theirs, and a careless reading can take it: a sound build has none. A mistake is told only where it explains rows
//! beyond their limits: put right they are within, and at least [`BETTER`] times closer. Of several that do, the one that leaves
//! fewest rows beyond their limits is told; where a mirror and an exchange of two names explain the same, neither is.

use super::blunder::{Axes, Blunder, Evidence, KILOGRAM_FORCE_N, POUND_FORCE_N, Row, is_pictured};
use super::robust_fit::{Fit, Freedom, Place, lay, median};
use super::sound::{freedom_of, sound};
use crate::figure::{Bench, Measurand, Plan, Quantity, TakenOn, all_measurands};
use crate::geometry::Pair;

/// How many times closer rows must come when put right: chance brings one row in twenty-five so much closer to a place in the
/// plane, and a mistake of the pen some hundred times (chosen).
pub const BETTER: f64 = 5.0;

/// Standard uncertainties by which a careless reading may be off.
const CARELESS: f64 = 5.0;

/// One thing that a sheet asks for, and what was read of it.
#[derive(Debug, Clone, PartialEq)]
struct Slot {
    of: Measurand,
    expected: Pair,
    reach: f64,
    held: Option<Held>,
}

/// A reading.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Held {
    nth: usize,
    value: [f64; 2],
    sd: f64,
}

/// Slots that lie on the plan as a whole.
#[derive(Debug, Clone, PartialEq)]
struct Group {
    freedom: Freedom,
    slots: Vec<Slot>,
}

/// A group, how it lies, and which of its slots are beyond their limits.
#[derive(Debug, Clone)]
struct Laid {
    group: Group,
    off: Vec<Option<f64>>,
    limit: Vec<f64>,
    beyond: Vec<usize>,
    turn_rad: f64,
}

/// A mistake that may explain a group.
struct Candidate {
    blunder: Blunder,
    after: Laid,
    /// Whether it is about the axes or the unit of the whole group.
    whole: bool,
}

/// All mistakes that the readings show, in the order in which they are put right.
pub fn blunders(plan: &Plan, bench: &Bench) -> Vec<Blunder> {
    let mut found = Vec::new();
    for group in groups(plan, bench).unwrap_or_default() {
        of_group(group, bench, &mut found);
    }
    found
}

/// The slots of every quantity that was read at all, what is seen through the peephole as one.
fn groups(plan: &Plan, bench: &Bench) -> Option<Vec<Group>> {
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
            bounds.push((
                first..slots.len(),
                freedom_of(quantity, bench.with_perspective),
            ));
        }
    }
    let measurands: Vec<Measurand> = slots.iter().map(|(of, _)| *of).collect();
    let members: Vec<(Vec<usize>, Freedom)> = bounds
        .iter()
        .map(|(members, freedom)| (members.clone().collect(), *freedom))
        .collect();
    let sound = sound(plan, bench, &measurands, &members)?;
    let group = |(members, freedom): (Vec<usize>, Freedom)| Group {
        freedom,
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
    Some(members.into_iter().map(group).collect())
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

/// Mistakes of one group, one after the other, each on what is put right before.
fn of_group(group: Group, bench: &Bench, found: &mut Vec<Blunder>) {
    let Some(mut laid) = Laid::of(group) else {
        return;
    };
    if laid.beyond.is_empty() {
        return;
    }
    match whole_or_exchanged(&laid, bench) {
        Told::One(candidate) => {
            found.push(candidate.blunder);
            laid = candidate.after;
        }
        Told::Nothing => {}
        Told::CannotTell => return,
    }
    // each step leaves fewer rows beyond their limits, so this ends
    while let Some(candidate) = exchanges(&laid, bench)
        .into_iter()
        .chain(copies(&laid, bench))
        .chain(single_rows(&laid, bench))
        .next()
    {
        found.push(candidate.blunder);
        laid = candidate.after;
    }
    let readings = laid.readings();
    // what is off as a whole is no outlier
    if 4 * laid.beyond.len() <= readings || laid.beyond.len() == 1 && readings <= 3 {
        found.extend(laid.beyond.iter().map(|slot| laid.outlier(*slot, bench)));
    }
}

enum Told {
    One(Box<Candidate>),
    Nothing,
    CannotTell,
}

/// The mistake in axes, unit or order of the whole group that leaves fewest rows beyond their limits.
fn whole_or_exchanged(laid: &Laid, bench: &Bench) -> Told {
    let readings = laid.readings();
    let mut candidates = whole_groups(laid, bench);
    candidates.extend(shifts(laid, bench));
    let few = if readings >= 5 {
        readings.div_ceil(6)
    } else {
        0
    };
    candidates.retain(|candidate| {
        candidate.after.beyond.len() <= few && laid.is_better(&candidate.after, &laid.beyond)
    });
    candidates.extend(exchanges(laid, bench));
    let rank = |candidate: &Candidate| {
        let left = candidate.after.beyond.len();
        (left, candidate.after.cost())
    };
    candidates.sort_by(|a, b| {
        let (a, b) = (rank(a), rank(b));
        a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
    });
    let mut candidates = candidates.into_iter();
    let Some(best) = candidates.next() else {
        return Told::Nothing;
    };
    if !best.whole && matches!(best.blunder, Blunder::Exchanged { .. }) {
        let rival = candidates.find(|other| other.whole);
        let is_as_good = |rival: &Candidate| {
            rival.after.beyond.len() == best.after.beyond.len()
                && rival.after.cost() <= 2.0 * best.after.cost() + 0.01
        };
        return match rival {
            Some(rival) if is_as_good(&rival) => Told::CannotTell,
            _ => Told::One(Box::new(best)),
        };
    }
    let rival = candidates
        .find(|other| other.whole != best.whole || !matches!(other.blunder, Blunder::Group { .. }));
    let is_as_good = |rival: &Candidate| {
        rival.after.beyond.len() == best.after.beyond.len()
            && best.after.cost() >= 0.5 * rival.after.cost() - 0.01
    };
    match rival {
        Some(rival) if best.whole && is_as_good(&rival) => Told::CannotTell,
        _ => Told::One(Box::new(best)),
    }
}

/// Factors that put a value right which is in another unit, or an octave off.
fn factors(quantity: Quantity) -> &'static [f64] {
    const LENGTHS: [f64; 4] = [25.4, 10.0, 1.0 / 25.4, 0.1];
    const FORCES: [f64; 3] = [POUND_FORCE_N, KILOGRAM_FORCE_N, KILOGRAM_FORCE_N / 1000.0];
    const OCTAVES: [f64; 2] = [2.0, 0.5];
    match quantity {
        Quantity::Tension => &FORCES,
        Quantity::Tone => &OCTAVES,
        _ if is_pictured(quantity) => &[],
        _ => &LENGTHS,
    }
}

fn whole_groups(laid: &Laid, bench: &Bench) -> Vec<Candidate> {
    let readings = laid.readings();
    let quantity = laid.quantity();
    if laid.beyond.len() < 2.max(readings.div_ceil(3)) || readings < 2 {
        return Vec::new();
    }
    let mut ways: Vec<(Axes, f64)> = Vec::new();
    let axes = whole_axes(laid);
    for factor in [1.0].iter().chain(factors(quantity)) {
        if *factor != 1.0 {
            ways.push((Axes::AS_WRITTEN, *factor));
        }
        ways.extend(axes.iter().map(|axes| (*axes, *factor)));
    }
    ways.into_iter()
        .filter_map(|(axes, factor)| {
            let mut group = laid.group.clone();
            for slot in &mut group.slots {
                let quantity = slot.of.quantity;
                if let Some(held) = &mut slot.held {
                    *held = held.rewritten(quantity, axes, factor);
                }
            }
            let after = Laid::of(group)?;
            let rows = laid.held().map(|held| row(bench, held.nth)).collect();
            let blunder = Blunder::Group {
                quantity,
                rows,
                axes,
                factor,
                evidence: laid.evidence(&after, &laid.beyond),
            };
            Some(Candidate {
                blunder,
                after,
                whole: true,
            })
        })
        .collect()
}

/// Ways in which the axes of a whole group may be wrong. What is laid anyhow is turned by no mistake, and of its mirrors the one
/// is taken that leaves it most upright.
fn whole_axes(laid: &Laid) -> Vec<Axes> {
    if laid.quantity().components() == 1 {
        return Vec::new();
    }
    if laid.group.freedom == Freedom::Fixed {
        return Axes::others().collect();
    }
    // a picture's axes point the other way than the cabinet's
    let upright_rad = if is_pictured(laid.quantity()) {
        std::f64::consts::PI
    } else {
        0.0
    };
    let tilt = |axes: &Axes| -> Option<f64> {
        let mut group = laid.group.clone();
        for slot in &mut group.slots {
            let quantity = slot.of.quantity;
            if let Some(held) = &mut slot.held {
                *held = held.rewritten(quantity, *axes, 1.0);
            }
        }
        let turn_rad = Laid::of(group)?.turn_rad - upright_rad;
        Some(libm::cos(turn_rad))
    };
    let mirrors = Axes::others().filter(|axes| axes.mirrors());
    let upright = mirrors.filter_map(|axes| Some((tilt(&axes)?, axes)));
    upright
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, axes)| axes)
        .into_iter()
        .collect()
}

/// From each row on, the readings moved by one row, down and up.
fn shifts(laid: &Laid, bench: &Bench) -> Vec<Candidate> {
    let mut candidates = Vec::new();
    let quantities = [laid.quantity(), Quantity::SeenMiddle];
    let several = laid.quantity() == Quantity::SeenEnd;
    for quantity in quantities.iter().take(if several { 2 } else { 1 }) {
        if matches!(
            quantity,
            Quantity::Distance(_) | Quantity::Peephole | Quantity::EyeRelief
        ) {
            continue;
        }
        let mut rows: Vec<usize> = (0..laid.group.slots.len())
            .filter(|slot| laid.group.slots[*slot].of.quantity == *quantity)
            .collect();
        let is_held = |slot: &usize| laid.group.slots[*slot].held.is_some();
        // up to the first blank row after the last reading
        let last = rows.iter().rposition(is_held).unwrap_or(0);
        let end = rows.get(last + 1).copied();
        rows.retain(|slot| is_held(slot) || Some(*slot) == end);
        for left_out in [true, false] {
            for first in 0..rows.len().saturating_sub(2) {
                candidates.extend(shifted(laid, &rows[first..], left_out, bench));
            }
        }
    }
    candidates
}

/// The readings of these slots moved by one, towards the end where one was left out.
fn shifted(laid: &Laid, rows: &[usize], left_out: bool, bench: &Bench) -> Option<Candidate> {
    let before: Vec<Option<Held>> = rows
        .iter()
        .map(|slot| laid.group.slots[*slot].held)
        .collect();
    let mut after = before.clone();
    if left_out {
        after.rotate_right(1);
        after[0] = None;
    } else {
        after.rotate_left(1);
        *after.last_mut()? = None;
    }
    let mut group = laid.group.clone();
    for (slot, held) in rows.iter().zip(&after) {
        group.slots[*slot].held = *held;
    }
    let of = |held: &Held| {
        let at = after.iter().position(|there| *there == Some(*held));
        at.map(|at| laid.group.slots[rows[at]].of)
    };
    let moved: Vec<(Row, Option<Measurand>)> = before
        .iter()
        .flatten()
        .map(|held| (row(bench, held.nth), of(held)))
        .collect();
    let is_beyond = |slot: &&usize| laid.beyond.contains(slot);
    let beyond = rows.iter().filter(is_beyond).count();
    // nearly all of what is moved must have been beyond its limit
    if moved.len() < 3 || 3 * beyond < 2 * moved.len() {
        return None;
    }
    let after = Laid::of(group)?;
    Some(Candidate {
        blunder: Blunder::Shifted {
            rows: moved,
            left_out,
            evidence: laid.evidence(&after, &laid.beyond),
        },
        after,
        whole: false,
    })
}

/// Pairs of rows that fit when exchanged, the best first.
fn exchanges(laid: &Laid, bench: &Bench) -> Vec<Candidate> {
    let mut candidates = Vec::new();
    for (nth, &one) in laid.beyond.iter().enumerate() {
        for &other in &laid.beyond[nth + 1..] {
            let mut group = laid.group.clone();
            let (held, kept) = (group.slots[other].held, group.slots[one].held);
            let (Some(first), Some(second)) = (kept, held) else {
                continue;
            };
            if group.slots[one].of.quantity != group.slots[other].of.quantity {
                continue;
            }
            group.slots[one].held = held;
            group.slots[other].held = kept;
            let Some(after) = Laid::of(group) else {
                continue;
            };
            let both = [one, other];
            if both.iter().all(|slot| laid.is_put_right(&after, *slot)) {
                candidates.push(Candidate {
                    blunder: Blunder::Exchanged {
                        rows: [row(bench, first.nth), row(bench, second.nth)],
                        evidence: laid.evidence(&after, &both),
                    },
                    after,
                    whole: false,
                });
            }
        }
    }
    candidates.sort_by(|a, b| a.after.cost().total_cmp(&b.after.cost()));
    candidates
}

/// Rows that hold the same numbers as another place's row, which fits.
fn copies(laid: &Laid, bench: &Bench) -> Vec<Candidate> {
    let is_place = matches!(
        laid.quantity(),
        Quantity::Hole(_)
            | Quantity::ScannedHole(_)
            | Quantity::PicturedHole(_)
            | Quantity::SeenEnd
            | Quantity::SeenMiddle
    );
    if !is_place {
        return Vec::new();
    }
    let slots = &laid.group.slots;
    let copy = |wrong: &usize| -> Option<Candidate> {
        let held = slots[*wrong].held?;
        let of = (0..slots.len()).find(|other| {
            let same = slots[*other]
                .held
                .is_some_and(|other| other.value == held.value);
            let elsewhere = slots[*other].of.line != slots[*wrong].of.line
                || slots[*other].of.line.is_none() && slots[*other].of.end != slots[*wrong].of.end;
            same && elsewhere && !laid.beyond.contains(other)
        })?;
        let mut group = laid.group.clone();
        group.slots[*wrong].held = None;
        let mut evidence = laid.evidence_of(*wrong);
        evidence.put_right = 0.0;
        Some(Candidate {
            blunder: Blunder::Copied {
                of: row(bench, slots[of].held?.nth),
                wrong: row(bench, held.nth),
                evidence,
            },
            after: Laid::of(group)?,
            whole: false,
        })
    };
    laid.beyond.iter().filter_map(copy).collect()
}

/// Rows that fit on other axes or in another unit by themselves.
fn single_rows(laid: &Laid, bench: &Bench) -> Vec<Candidate> {
    let one_row = |slot: &usize| -> Option<Candidate> {
        let of = laid.group.slots[*slot].of;
        let held = laid.group.slots[*slot].held?;
        let mut ways: Vec<(Axes, f64)> = Vec::new();
        if of.quantity.components() == 2 {
            ways.extend(Axes::others().map(|axes| (axes, 1.0)));
        }
        ways.extend(
            factors(of.quantity)
                .iter()
                .map(|factor| (Axes::AS_WRITTEN, *factor)),
        );
        let tried = ways.into_iter().filter_map(|(axes, factor)| {
            let mut group = laid.group.clone();
            group.slots[*slot].held = Some(held.rewritten(of.quantity, axes, factor));
            let after = Laid::of(group)?;
            laid.is_put_right(&after, *slot).then(|| {
                let evidence = laid.evidence(&after, &[*slot]);
                let blunder = Blunder::One {
                    row: row(bench, held.nth),
                    quantity: of.quantity,
                    axes,
                    factor,
                    evidence,
                };
                let candidate = Candidate {
                    blunder,
                    after,
                    whole: false,
                };
                (evidence.put_right, candidate)
            })
        });
        tried
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(_, candidate)| candidate)
    };
    laid.beyond.iter().filter_map(one_row).collect()
}

fn row(bench: &Bench, nth: usize) -> Row {
    Row {
        nth,
        place: bench.readings[nth].place.clone(),
    }
}

impl Held {
    fn rewritten(self, quantity: Quantity, axes: Axes, factor: f64) -> Self {
        Self {
            value: axes.of(quantity, self.value).map(|value| value * factor),
            ..self
        }
    }
}

impl Laid {
    /// Lays a group over the plan; `None` where too little was read.
    fn of(group: Group) -> Option<Self> {
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

    fn quantity(&self) -> Quantity {
        self.group.slots[0].of.quantity
    }

    fn held(&self) -> impl Iterator<Item = Held> + '_ {
        self.group.slots.iter().filter_map(|slot| slot.held)
    }

    fn readings(&self) -> usize {
        self.held().count()
    }

    /// Truncated squares of what is off over its limit.
    fn cost(&self) -> f64 {
        let each = self.off.iter().zip(&self.limit);
        each.filter_map(|(off, limit)| off.map(|off| (off / limit).powi(2).min(1.0)))
            .sum()
    }

    /// Whether the slot was beyond its limit, is within it afterwards, and far closer.
    fn is_put_right(&self, after: &Self, slot: usize) -> bool {
        let (Some(off), Some(put_right)) = (self.off[slot], after.off[slot]) else {
            return false;
        };
        let is_better = BETTER * put_right <= off;
        // nothing else may be spoiled by it
        let spoils = after.beyond.iter().any(|slot| !self.beyond.contains(slot));
        is_better && put_right <= after.limit[slot] && !spoils
    }

    /// Whether the middle one of the slots that were beyond their limits is far closer afterwards.
    fn is_better(&self, after: &Self, slots: &[usize]) -> bool {
        let evidence = self.evidence(after, slots);
        BETTER * evidence.put_right <= evidence.stands
    }

    /// The middle one of these slots' distances, before and after. What a shift leaves blank is left out.
    fn evidence(&self, after: &Self, slots: &[usize]) -> Evidence {
        let middle = |of: &Self| median(slots.iter().filter_map(|slot| of.off[*slot]).collect());
        Evidence {
            stands: middle(self),
            put_right: middle(after),
            allowed: median(slots.iter().map(|slot| self.limit[*slot]).collect()),
        }
    }

    fn evidence_of(&self, slot: usize) -> Evidence {
        let off = self.off[slot].unwrap_or(f64::INFINITY);
        Evidence {
            stands: off,
            put_right: off,
            allowed: self.limit[slot],
        }
    }

    fn outlier(&self, slot: usize, bench: &Bench) -> Blunder {
        let nth = self.group.slots[slot].held.map_or(0, |held| held.nth);
        Blunder::Outlier {
            row: row(bench, nth),
            evidence: self.evidence_of(slot),
        }
    }
}
