//! The best order of few lines, proved: dynamic programming over sets of lines, then branch and bound for crossings.
//!
//! Source: M. Held and R. M. Karp, J. SIAM 10 (1962) 196, for shortest ways through all points; here ways over the two plates
//! alternate. Trouble that ways have by themselves (length, holes passed over) adds up, and the programme finds its least.
//! Two ways over one plate that cross can be led anew, a–c and b–d in place of a–b and c–d with the runs between in reverse,
//! which leaves all other ways on their plates and is shorter; so a shortest order has no ways that cross unless
//! uncrossing leads over a hole. Only then is there anything for branch and bound, whose bound the programme gives.

use super::plates::{Led, Plates, plate_after};
use super::trouble::Trouble;

/// Most lines for which the programme is run: its table has 2ⁿ·n entries of 16 bytes.
pub const MOST_PROVED_LINES: usize = 16;

/// Most steps of the branch and bound, for each plate that the first run may enter.
pub const MOST_STEPS: u64 = 3_000_000;

/// What was found, and whether nothing can be better.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Exact {
    /// The order.
    pub led: Led,
    /// Its trouble.
    pub trouble: Trouble,
    /// Least trouble that any order could have; the trouble itself where it is proved.
    pub bound: Trouble,
}

/// Least trouble of completing an order, ways that cross left out.
struct Programme<'a> {
    plates: &'a Plates,
    first_enters_front: bool,
    /// `[set of lines led · lines + last line]`
    left: Vec<Trouble>,
}

impl<'a> Programme<'a> {
    fn new(plates: &'a Plates, first_enters_front: bool) -> Self {
        let lines = plates.lines();
        let all = (1_usize << lines) - 1;
        let mut left = vec![Trouble::NONE; (all + 1) * lines];
        for led in (1..all).rev() {
            let plate = plate_after(first_enters_front, led.count_ones() as usize - 1);
            for last in members(led) {
                let best = members(all & !led)
                    .map(|next| {
                        plates.way(plate, last, next) + left[(led | 1 << next) * lines + next]
                    })
                    .min();
                left[led * lines + last] = best.unwrap_or_default();
            }
        }
        Self {
            plates,
            first_enters_front,
            left,
        }
    }

    fn left(&self, led: usize, last: usize) -> Trouble {
        self.left[led * self.plates.lines() + last]
    }

    /// Least trouble of all orders, and the first order, by index of its lines, that has it.
    fn best(&self) -> (Trouble, Led) {
        let lines = self.plates.lines();
        let all = (1_usize << lines) - 1;
        let mut order: Vec<usize> = (0..lines)
            .min_by_key(|first| self.left(1 << first, *first))
            .into_iter()
            .collect();
        let least = order
            .first()
            .map_or(Trouble::NONE, |first| self.left(1 << first, *first));
        let mut led = order.first().map_or(all, |first| 1 << first);
        while let (Some(last), true) = (order.last().copied(), led != all) {
            let plate = plate_after(self.first_enters_front, order.len() - 1);
            let next = members(all & !led)
                .min_by_key(|next| {
                    self.plates.way(plate, last, *next) + self.left(led | 1 << next, *next)
                })
                .unwrap_or(last);
            order.push(next);
            led |= 1 << next;
        }
        let led = Led {
            order,
            first_enters_front: self.first_enters_front,
        };
        (least, led)
    }
}

/// The lines of a set, rising.
fn members(set: usize) -> impl Iterator<Item = usize> {
    (0..usize::BITS as usize).filter(move |line| set >> line & 1 == 1)
}

/// The best order of at most [`MOST_PROVED_LINES`] lines. `start` finds a good order where the programme's own has ways that
/// cross; at most `most_steps` are taken to prove the best then. `None` with more lines, or none.
pub fn exact(plates: &Plates, most_steps: u64, start: impl FnOnce() -> Led) -> Option<Exact> {
    let lines = plates.lines();
    if !(1..=MOST_PROVED_LINES).contains(&lines) {
        return None;
    }
    // of an odd number of runs the same ways begin at either plate, read from either end
    let sides: &[bool] = if lines.is_multiple_of(2) {
        &[true, false]
    } else {
        &[true]
    };
    let programmes: Vec<(Programme<'_>, Trouble)> = sides
        .iter()
        .map(|side| Programme::new(plates, *side))
        .map(|programme| {
            let (least, _) = programme.best();
            (programme, least)
        })
        .collect();
    let with_trouble = |led: Led| (plates.trouble(&led), led);
    let (mut trouble, mut led) = programmes
        .iter()
        .map(|(programme, _)| with_trouble(programme.best().1))
        .min_by_key(|(trouble, _)| *trouble)?;
    let mut bound = programmes.iter().map(|(_, least)| *least).min()?;
    if bound < trouble {
        let (other, started) = with_trouble(start());
        if other < trouble {
            (trouble, led) = (other, started);
        }
        let mut is_proved = true;
        for (programme, least) in &programmes {
            if *least < trouble {
                let mut search = Search::new(programme, trouble, most_steps);
                search.run();
                is_proved &= search.steps_left > 0;
                if let Some(order) = search.found.take() {
                    trouble = search.best;
                    led = Led {
                        order,
                        first_enters_front: programme.first_enters_front,
                    };
                }
            }
        }
        if is_proved {
            bound = trouble;
        }
    }
    Some(Exact {
        led,
        trouble,
        bound,
    })
}

/// Branch and bound, depth first, nearest to the bound first.
struct Search<'a> {
    programme: &'a Programme<'a>,
    order: Vec<usize>,
    best: Trouble,
    found: Option<Vec<usize>>,
    steps_left: u64,
}

impl<'a> Search<'a> {
    fn new(programme: &'a Programme<'a>, best: Trouble, most_steps: u64) -> Self {
        Self {
            programme,
            order: Vec::new(),
            best,
            found: None,
            steps_left: most_steps,
        }
    }

    fn run(&mut self) {
        let lines = self.programme.plates.lines();
        let mut firsts: Vec<(Trouble, usize)> = (0..lines)
            .map(|first| (self.programme.left(1 << first, first), first))
            .collect();
        firsts.sort_unstable();
        for (_, first) in firsts {
            self.order.push(first);
            self.go_on(1 << first, Trouble::NONE);
            self.order.pop();
        }
    }

    /// Leads on from the lines in `led`, whose ways have the trouble `so_far`.
    fn go_on(&mut self, led: usize, so_far: Trouble) {
        let plates = self.programme.plates;
        let all = (1_usize << plates.lines()) - 1;
        let Some(last) = self.order.last().copied() else {
            return;
        };
        if led == all {
            if so_far < self.best {
                self.best = so_far;
                self.found = Some(self.order.clone());
            }
            return;
        }
        let plate = plate_after(self.programme.first_enters_front, self.order.len() - 1);
        let mut nexts: Vec<(Trouble, usize, Trouble)> = members(all & !led)
            .map(|next| {
                let with = so_far
                    + plates.way(plate, last, next)
                    + Trouble::of_crossings(self.crossed(plate, [last, next]));
                let least = with + self.programme.left(led | 1 << next, next);
                (least, next, with)
            })
            .collect();
        nexts.sort_unstable();
        for (least, next, with) in nexts {
            if least >= self.best || self.steps_left == 0 {
                return;
            }
            self.steps_left -= 1;
            self.order.push(next);
            self.go_on(led | 1 << next, with);
            self.order.pop();
        }
    }

    /// How many ways over the same plate so far a new way crosses.
    fn crossed(&self, plate: usize, way: [usize; 2]) -> usize {
        let runs = self.order.len();
        let same = (runs - 1) % 2;
        self.order
            .windows(2)
            .skip(same)
            .step_by(2)
            .filter(|other| {
                self.programme
                    .plates
                    .cross(plate, way, [other[0], other[1]])
            })
            .count()
    }
}
