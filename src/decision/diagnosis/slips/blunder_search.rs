//! Finds mistakes in a sheet as a whole: which rows fit the plan as they stand, and which fit it far better when put right.
//!
//! A row is beyond its limit when it is farther off the plan than one piece of work at six times its tolerance, all others
//! within theirs, and a careless reading can take it: a sound build has none. A mistake is told only where it explains rows
//! beyond their limits: put right they are within, and at least [`BETTER`] times closer. Of several that do, the one that leaves
//! fewest rows beyond their limits is told; where a mirror and an exchange of two names explain the same, neither is.

use super::blunder::{Axes, Blunder, Evidence, KILOGRAM_FORCE_N, POUND_FORCE_N, Row, is_pictured};
use super::laid::{BETTER, Group, Held, Laid, groups, row};
use super::robust_fit::median;
use crate::figure::{Bench, Measurand, Plan, Quantity};

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
    let all = groups(plan, bench).unwrap_or_default();
    let slackness = Slackness::of(&all);
    for group in all {
        of_group(group, bench, &slackness, &mut found);
    }
    found
}

/// How much tighter than planned the lines are by each kind of reading that says so: (line, logarithm of the tension's factor).
struct Slackness {
    said: Vec<(Quantity, Vec<(usize, f64)>)>,
}

impl Slackness {
    fn of(groups: &[Group]) -> Self {
        let said = groups.iter().filter_map(|group| {
            let quantity = group.slots.first()?.of.quantity;
            let power = power_of_tension(quantity)?;
            let lines = group.slots.iter().filter_map(|slot| {
                let ratio = slot.held?.value[0] / slot.expected.x;
                Some((slot.of.line?, libm::log(ratio) / power)).filter(|(_, log)| log.is_finite())
            });
            Some((quantity, lines.collect()))
        });
        Self {
            said: said.collect(),
        }
    }

    /// What the other kinds say of a factor on all readings of `quantity`: `Some(true)` that they fit far better with it,
    /// `Some(false)` that they fit as it stands, `None` that they say nothing.
    fn asks_for(&self, quantity: Quantity, factor: f64) -> Option<bool> {
        let power = power_of_tension(quantity)?;
        let own = &self.said.iter().find(|(of, _)| *of == quantity)?.1;
        let others = self.said.iter().filter(|(of, _)| *of != quantity);
        let apart: Vec<f64> = others
            .flat_map(|(_, lines)| lines)
            .filter_map(|(line, log)| {
                let (_, here) = own.iter().find(|(of, _)| of == line)?;
                Some(here - log)
            })
            .collect();
        if apart.len() < 2 {
            return None;
        }
        let stands = median(apart);
        let put_right = stands + libm::log(factor) / power;
        Some(put_right.abs() < stands.abs())
    }
}

/// With which power of the tension a reading goes; `None` for what has nothing to do with it.
fn power_of_tension(quantity: Quantity) -> Option<f64> {
    match quantity {
        Quantity::Tension => Some(1.0),
        Quantity::Tone => Some(0.5),
        Quantity::Drop => Some(-1.0),
        _ => None,
    }
}

/// Mistakes of one group, one after the other, each on what is put right before.
fn of_group(group: Group, bench: &Bench, slackness: &Slackness, found: &mut Vec<Blunder>) {
    let Some(mut laid) = Laid::of(group) else {
        return;
    };
    if let Some(candidate) = factor_on_all(&laid, bench, slackness) {
        let is_sure = candidate.blunder.is_gross();
        found.push(candidate.blunder);
        // what may be as it stands is left so
        if !is_sure {
            return;
        }
        laid = candidate.after;
    }
    if laid.beyond.is_empty() {
        return;
    }
    match whole_or_exchanged(&laid, bench, slackness) {
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
    /// A mistake of the whole group and one of some rows explain as much.
    CannotTell,
}

/// The mistake in axes, unit or order of the whole group that leaves fewest rows beyond their limits.
fn whole_or_exchanged(laid: &Laid, bench: &Bench, slackness: &Slackness) -> Told {
    let readings = laid.readings();
    let mut candidates = whole_groups(laid, bench, slackness);
    candidates.extend(other_plate(laid, bench));
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
    // a figure that is its own image after a quarter turn is laid upright rather than with other names
    let rank = |candidate: &Candidate| {
        let after = &candidate.after;
        (after.beyond.len(), !is_upright(after))
    };
    candidates.sort_by(|a, b| {
        let costs = (a.after.cost(), b.after.cost());
        rank(a).cmp(&rank(b)).then(costs.0.total_cmp(&costs.1))
    });
    let mut candidates = candidates.into_iter();
    let Some(best) = candidates.next() else {
        return Told::Nothing;
    };
    let is_as_good = |rival: Candidate| {
        rival.whole != best.whole
            && rival.after.beyond.len() == best.after.beyond.len()
            && rival.after.cost() <= 2.0 * best.after.cost() + 0.01
    };
    if candidates.any(is_as_good) {
        Told::CannotTell
    } else {
        Told::One(Box::new(best))
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

/// Tones all an octave off, or tensions all in another unit: one line may be slack by as much, but not all alike.
fn factor_on_all(laid: &Laid, bench: &Bench, slackness: &Slackness) -> Option<Candidate> {
    let quantity = laid.quantity();
    if !matches!(quantity, Quantity::Tension | Quantity::Tone) || laid.readings() < 3 {
        return None;
    }
    let middle_log = |laid: &Laid| {
        let slots = laid.group.slots.iter();
        let logs = slots.filter_map(|slot| Some(libm::log(slot.held?.value[0] / slot.expected.x)));
        median(logs.collect())
    };
    let stands = middle_log(laid).abs();
    if !(stands > laid.group.together) {
        return None;
    }
    let tried = factors(quantity).iter().filter_map(|factor| {
        if slackness.asks_for(quantity, *factor) == Some(false) {
            return None;
        }
        let group = laid.rewritten(Axes::AS_WRITTEN, *factor);
        let after = Laid::of(group)?;
        let put_right = middle_log(&after).abs();
        let is_told = put_right <= laid.group.together && BETTER * put_right <= stands;
        is_told.then_some((put_right, *factor, after))
    });
    let (_, factor, after) = tried.min_by(|a, b| a.0.total_cmp(&b.0))?;
    let all: Vec<usize> = (0..laid.group.slots.len()).collect();
    let blunder = Blunder::Group {
        quantity,
        rows: laid.held().map(|held| row(bench, held.nth)).collect(),
        axes: Axes::AS_WRITTEN,
        factor,
        is_sure: slackness.asks_for(quantity, factor) == Some(true),
        evidence: Evidence {
            allowed: median(
                laid.group
                    .slots
                    .iter()
                    .map(|slot| slot.expected.x)
                    .collect(),
            ) * (1.0 - libm::exp(-laid.group.together)),
            ..laid.evidence(&after, &all)
        },
    };
    Some(Candidate {
        blunder,
        after,
        whole: true,
    })
}

fn whole_groups(laid: &Laid, bench: &Bench, slackness: &Slackness) -> Vec<Candidate> {
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
    let is_of_tension = power_of_tension(quantity).is_some();
    ways.into_iter()
        .filter_map(|(axes, factor)| {
            let asked_for = slackness.asks_for(quantity, factor);
            if is_of_tension && asked_for == Some(false) {
                return None;
            }
            let after = Laid::of(laid.rewritten(axes, factor))?;
            let rows = laid.held().map(|held| row(bench, held.nth)).collect();
            let blunder = Blunder::Group {
                quantity,
                rows,
                axes,
                factor,
                is_sure: !is_of_tension || asked_for == Some(true),
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

/// All readings taken for those of the other plate.
fn other_plate(laid: &Laid, bench: &Bench) -> Option<Candidate> {
    if laid.beyond.len() < 2.max(laid.readings().div_ceil(3)) {
        return None;
    }
    let after = Laid::of(laid.group.twin.as_deref()?.clone())?;
    Some(Candidate {
        blunder: Blunder::OtherPlate {
            quantity: laid.quantity(),
            rows: laid.held().map(|held| row(bench, held.nth)).collect(),
            evidence: laid.evidence(&after, &laid.beyond),
        },
        after,
        whole: true,
    })
}

/// Ways in which the axes of a whole group may be wrong. What is laid anyhow is turned by no mistake, and of its mirrors the one
/// is taken that leaves it most upright.
fn whole_axes(laid: &Laid) -> Vec<Axes> {
    if laid.quantity().components() == 1 {
        return Vec::new();
    }
    if laid.is_from_the_axis() {
        return Axes::others().collect();
    }
    let tilt =
        |axes: &Axes| -> Option<f64> { Some(uprightness(&Laid::of(laid.rewritten(*axes, 1.0))?)) };
    let mirrors = Axes::others().filter(|axes| axes.mirrors());
    let upright = mirrors.filter_map(|axes| Some((tilt(&axes)?, axes)));
    upright
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, axes)| axes)
        .into_iter()
        .collect()
}

/// Cosine of the angle by which a scan or a picture is turned from upright; a picture's axes point the other way than the
/// cabinet's.
fn uprightness(laid: &Laid) -> f64 {
    let sign = if is_pictured(laid.quantity()) {
        -1.0
    } else {
        1.0
    };
    sign * libm::cos(laid.turn_rad)
}

/// Whether it is turned by less than an eighth of a turn; what is measured from the axis is.
fn is_upright(laid: &Laid) -> bool {
    laid.is_from_the_axis() || uprightness(laid) > std::f64::consts::FRAC_1_SQRT_2
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
    // most of what is moved must have been beyond its limit, but where it came to lie on the wrong names by a turn
    if moved.len() < 3 || is_upright(laid) && 3 * beyond < 2 * moved.len() {
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

/// Most rows beyond their limits among which single rows and pairs are looked at: where more are, something is wrong with all.
fn most_single(laid: &Laid) -> usize {
    (laid.readings() / 2).clamp(4, 12)
}

/// Pairs of rows that fit when exchanged, the best first.
fn exchanges(laid: &Laid, bench: &Bench) -> Vec<Candidate> {
    let mut candidates = Vec::new();
    if laid.beyond.len() > most_single(laid) {
        return candidates;
    }
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
        let evidence = laid.evidence_of(*wrong);
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
    if laid.beyond.len() > most_single(laid) {
        return Vec::new();
    }
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
            let after_off = after.off[*slot]?;
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
                (after_off, candidate)
            })
        });
        tried
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(_, candidate)| candidate)
    };
    laid.beyond.iter().filter_map(one_row).collect()
}
