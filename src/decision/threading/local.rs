//! Moves that better an order of threading until none does: stretches led in reverse, and stretches that change places.
//!
//! Source: 2-opt (G. A. Croes, Operations Research 6 (1958) 791) and Or-opt (I. Or, thesis, 1976, from memory), for ways over
//! two plates in turn. Reversing or moving a stretch by an odd number of places puts its inner ways onto the other plates;
//! sums of both choices along the order give the gain of every move in a few operations all the same.

use super::plates::{Led, Plates};
use super::trouble::Trouble;
use std::ops::Range;

/// Longest stretch that changes places with any other.
const SHORT: usize = 3;

/// An order with sums along it, `[n]`: the trouble of the ways up to place n.
struct Sums<'a> {
    plates: &'a Plates,
    led: Led,
    own: Vec<Trouble>,
    /// The same with every way over the other plate.
    other: Vec<Trouble>,
}

/// A stretch of an order as it is to be led.
#[derive(Debug, Clone)]
struct Stretch {
    runs: Range<usize>,
    reversed: bool,
}

impl Stretch {
    fn first(&self) -> usize {
        if self.reversed {
            self.runs.end - 1
        } else {
            self.runs.start
        }
    }

    fn last(&self) -> usize {
        if self.reversed {
            self.runs.start
        } else {
            self.runs.end - 1
        }
    }
}

impl<'a> Sums<'a> {
    fn new(plates: &'a Plates, led: Led) -> Self {
        let mut sums = Self {
            plates,
            own: vec![Trouble::NONE; led.order.len()],
            other: vec![Trouble::NONE; led.order.len()],
            led,
        };
        sums.sum();
        sums
    }

    fn sum(&mut self) {
        for (run, pair) in self.led.order.windows(2).enumerate() {
            let plate = self.led.plate_after(run);
            self.own[run + 1] = self.own[run] + self.plates.way(plate, pair[0], pair[1]);
            self.other[run + 1] = self.other[run] + self.plates.way(1 - plate, pair[0], pair[1]);
        }
    }

    /// The trouble of the stretches, led one after the other from place `start` on between their neighbours, less what is
    /// there now.
    fn change(&self, start: usize, stretches: &[Stretch]) -> Trouble {
        let order = &self.led.order;
        let mut place = start;
        let mut before = start.checked_sub(1).map(|run| order[run]);
        let mut with = Trouble::NONE;
        for stretch in stretches {
            if let Some(from) = before {
                let plate = self.led.plate_after(place - 1);
                with += self.plates.way(plate, from, order[stretch.first()]);
            }
            let Range { start: low, end } = stretch.runs;
            // the way after place k comes to stand after place + k − low, in reverse after place + end − 2 − k
            let moved = if stretch.reversed {
                place + end
            } else {
                place + low
            };
            let sums = if moved.is_multiple_of(2) {
                &self.own
            } else {
                &self.other
            };
            with += sums[end - 1] - sums[low];
            before = Some(order[stretch.last()]);
            place += stretch.runs.len();
        }
        if let (Some(from), Some(to)) = (before, order.get(place)) {
            with += self.plates.way(self.led.plate_after(place - 1), from, *to);
        }
        let last = place.min(order.len() - 1);
        with - (self.own[last] - self.own[start.saturating_sub(1)])
    }

    fn lead(&mut self, start: usize, stretches: &[Stretch]) {
        let mut runs = Vec::new();
        for stretch in stretches {
            let part = &self.led.order[stretch.runs.clone()];
            if stretch.reversed {
                runs.extend(part.iter().rev());
            } else {
                runs.extend(part);
            }
        }
        self.led.order[start..start + runs.len()].copy_from_slice(&runs);
        self.sum();
    }

    /// Makes the change if it gains; whether it did.
    fn try_change(&mut self, start: usize, stretches: &[Stretch]) -> bool {
        let gains = self.change(start, stretches) < Trouble::NONE;
        if gains {
            self.lead(start, stretches);
        }
        gains
    }

    fn reverse_one(&mut self, start: usize) -> bool {
        let lines = self.led.order.len();
        (start + 2..=lines).fold(false, |gained, end| {
            let runs = start..end;
            let reversed = Stretch {
                runs,
                reversed: true,
            };
            self.try_change(start, &[reversed]) | gained
        })
    }

    /// Lets short stretches that begin, or end, at a place change places with whatever follows, or goes before.
    fn move_one(&mut self, start: usize) -> bool {
        let lines = self.led.order.len();
        let mut gained = false;
        for length in 1..=SHORT {
            for end in start + length + 1..=lines {
                for (middle, reversed) in [
                    (start + length, [true, false]),
                    (start + length, [false, false]),
                    (end - length, [false, true]),
                ] {
                    let stretch = |runs: Range<usize>, reversed| Stretch { runs, reversed };
                    let [first, second] = [
                        stretch(start..middle, reversed[0]),
                        stretch(middle..end, reversed[1]),
                    ];
                    gained |= self.try_change(start, &[second, first]);
                }
                let runs = end - length..end;
                if end - length > start + length {
                    let [first, second] = [start..end - length, runs].map(|runs| Stretch {
                        runs,
                        reversed: false,
                    });
                    gained |= self.try_change(start, &[second, first]);
                }
            }
        }
        gained
    }
}

/// An order that none of the moves betters, ways that cross left out: they go by themselves wherever uncrossing them leads
/// over no hole.
pub(super) fn bettered(plates: &Plates, led: Led) -> Led {
    let mut sums = Sums::new(plates, led);
    let lines = sums.led.order.len();
    loop {
        let gained = (0..lines).fold(false, |gained, start| {
            sums.reverse_one(start) | sums.move_one(start) | gained
        });
        if !gained {
            return sums.led;
        }
    }
}

/// The same, with every crossing of two ways taken out that reversing a stretch can take out at a gain.
pub(super) fn uncrossed(plates: &Plates, led: Led) -> (Trouble, Led) {
    let mut led = bettered(plates, led);
    let mut trouble = plates.trouble(&led);
    loop {
        let crossing = plates.crossing_ways(&led);
        let better = crossing
            .iter()
            .flatten()
            .flat_map(|way| reversals(*way, led.order.len()))
            .map(|runs| {
                let mut other = led.clone();
                other.order[runs].reverse();
                (plates.trouble(&other), other)
            })
            .min_by_key(|(trouble, _)| *trouble);
        match better {
            Some((less, other)) if less < trouble => (trouble, led) = (less, other),
            _ => return (trouble, led),
        }
    }
}

/// Stretches whose reversal takes the way after run `way` away.
fn reversals(way: usize, lines: usize) -> impl Iterator<Item = Range<usize>> {
    let up_to = (0..=way).map(move |start| start..way + 1);
    let from = (way + 2..=lines).map(move |end| way + 1..end);
    up_to.chain(from).filter(|runs| runs.len() > 1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Pair;
    use crate::sampling::{Stream, StreamKey};

    #[test]
    fn the_gain_of_every_move_is_that_of_the_order_led_anew() {
        let key = StreamKey {
            seed: 3,
            source: 9002,
            item: 0,
            component: 0,
            look: 0,
        };
        let mut chance = Stream::new(key, 0);
        let front: Vec<Pair> = (0..9)
            .map(|_| Pair::new(chance.next_uniform(), chance.next_uniform()) * 50.0)
            .collect();
        let rear = front.iter().map(|place| place * 3.0).collect();
        let plates = Plates::new([front, rear], [2.0, 2.0]);
        for first_enters_front in [true, false] {
            let led = Led {
                order: vec![4, 0, 8, 2, 6, 1, 7, 3, 5],
                first_enters_front,
            };
            let sums = Sums::new(&plates, led.clone());
            let before = plates.own_trouble(&led);
            for start in 0..9 {
                for middle in start + 1..9 {
                    for end in middle + 1..=9 {
                        for kind in 0..4 {
                            let stretches = [(middle..end, kind & 1), (start..middle, kind & 2)]
                                .map(|(runs, reversed)| Stretch {
                                    runs,
                                    reversed: reversed > 0,
                                });
                            let mut anew = Sums::new(&plates, led.clone());
                            anew.lead(start, &stretches);
                            assert_eq!(
                                sums.change(start, &stretches),
                                plates.own_trouble(&anew.led) - before,
                                "{start} {middle} {end} {kind} {first_enters_front}"
                            );
                        }
                    }
                }
            }
        }
    }
}
