//! A good order of many lines: from many starts bettered move by move, kicked, and bettered again. Nothing is proved by it.
//!
//! Source: iterated local search (H. Lourenço, O. Martin and T. Stützle, 2003, from memory); the kick lets two stretches
//! change places (O. Martin, S. Otto and E. Felten, Complex Systems 5 (1991) 299, from memory).

use super::local::uncrossed;
use super::plates::{Led, Plates, plate_after};
use super::trouble::Trouble;
use crate::sampling::{Stream, StreamKey};
use rayon::prelude::*;

/// A source number that no source of error has.
const THREADING: u64 = 1008;
/// Starts, each with numbers of its own: fewer where there are many lines, since each then takes seconds.
fn starts(lines: usize) -> u64 {
    match lines {
        0..=100 => 16,
        101..=300 => 4,
        _ => 2,
    }
}

/// Longest stretch that a kick moves.
const KICKED: usize = 30;

/// How often each start is kicked: less where there are more lines, since each kick then takes longer.
fn kicks(lines: usize) -> u64 {
    (200_000 / (lines * lines).max(1) as u64).min(500)
}

/// The best of all starts, the same at any number of threads.
pub fn search(plates: &Plates, seed: u64) -> (Trouble, Led) {
    let found: Vec<(Trouble, Led)> = (0..starts(plates.lines()))
        .into_par_iter()
        .map(|start| from_start(plates, seed, start))
        .collect();
    found
        .into_iter()
        .min_by_key(|(trouble, _)| *trouble)
        .unwrap_or_else(|| uncrossed(plates, greedy(plates, 0, true)))
}

fn from_start(plates: &Plates, seed: u64, start: u64) -> (Trouble, Led) {
    let lines = plates.lines();
    let key = StreamKey {
        seed,
        source: THREADING,
        item: start,
        component: 0,
        look: 0,
    };
    let mut chance = Stream::new(key, 0);
    let first = below(&mut chance, lines);
    let (mut trouble, mut led) = uncrossed(plates, greedy(plates, first, start.is_multiple_of(2)));
    if lines < 4 {
        return (trouble, led);
    }
    for _ in 0..kicks(lines) {
        let (less, other) = uncrossed(plates, kicked(&led, &mut chance));
        if less < trouble {
            (trouble, led) = (less, other);
        }
    }
    (trouble, led)
}

/// A whole number below `most`.
fn below(chance: &mut Stream, most: usize) -> usize {
    (chance.next_uniform() * most as f64) as usize
}

/// From one line always on to the one with the least trouble.
fn greedy(plates: &Plates, first: usize, first_enters_front: bool) -> Led {
    let mut left: Vec<usize> = (0..plates.lines()).filter(|line| *line != first).collect();
    let mut order = vec![first];
    let mut last = first;
    while let Some((nth, next)) = left.iter().copied().enumerate().min_by_key(|(_, next)| {
        let plate = plate_after(first_enters_front, order.len() - 1);
        (plates.way(plate, last, *next), *next)
    }) {
        left.swap_remove(nth);
        order.push(next);
        last = next;
    }
    Led {
        order,
        first_enters_front,
    }
}

/// Two neighbouring stretches, each of chance's length, change places.
fn kicked(led: &Led, chance: &mut Stream) -> Led {
    let lines = led.order.len();
    let longest = KICKED.min(lines / 2);
    let [first, second] = [0; 2].map(|_| 1 + below(chance, longest));
    let start = below(chance, lines - first - second + 1);
    let mut kicked = led.clone();
    kicked.order[start..start + first + second].rotate_left(first);
    kicked
}
