//! What a sheet of a sound build may read: the expected value of every reading, and how far one piece of work that is six times
//! its tolerance off moves it.
//!
//! Each value of every source of error is put off its mean by itself, and the bench is shown again. What a scan or a picture
//! takes up (shift, turn, size) is fitted away before a move is measured.

use super::robust_fit::{Freedom, Place, least_squares};
use crate::figure::{Bench, Family, Measurand, Perspective, Plan, Quantity, Source, Spread};
use crate::geometry::Pair;
use crate::trial::{Frames, shown};

/// Times its tolerance that a piece of work may be off in a sound build.
const TIMES: f64 = 6.0;

/// What one reading would be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sound {
    /// The plan's (mm, Hz, N, or tangents in a picture through the peephole); the second is 0 for one component.
    pub expected: Pair,
    /// How far the worst single piece of work, six times its tolerance off, moves it.
    pub reach: f64,
    /// Root of the summed squares of what each piece of work moves it by its tolerance's standard deviation.
    pub sd: f64,
}

impl Sound {
    /// How far it may be off in a sound build: one piece of work at six times its tolerance, all others within theirs.
    pub fn allowed(&self) -> f64 {
        1.2 * self.reach + 4.0 * self.sd
    }
}

/// How far the mean of the logarithms of a group's readings may be off, as [`Sound`] says it of one; of tones and tensions, which
/// an octave or a unit changes by a factor.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Together {
    reach: f64,
    sd: f64,
}

impl Together {
    /// How far it may be off in a sound build whose lines' mass per length is known to some parts in a hundred.
    pub fn allowed(&self) -> f64 {
        1.2 * self.reach + 4.0 * self.sd + 0.1
    }

    fn widen(&mut self, moved: f64, times: f64) {
        self.reach = self.reach.max(moved);
        let one_sd = moved / times;
        self.sd = (self.sd * self.sd + 0.5 * one_sd * one_sd).sqrt();
    }
}

/// Of every one of `measurands`, and of each group of them; `None` for what is not seen. Nothing, where the plan itself cannot be
/// computed.
pub fn sound(
    plan: &Plan,
    bench: &Bench,
    measurands: &[Measurand],
    groups: &[(Vec<usize>, Freedom)],
) -> Option<(Vec<Option<Sound>>, Vec<Together>)> {
    let build = plan.mean_values(Family::Build);
    let look = plan.mean_values(Family::Look);
    let nominal = all_shown(plan, bench, measurands, &build, &look)?;
    let mut all: Vec<Option<Sound>> = nominal
        .iter()
        .map(|expected| {
            expected.map(|expected| Sound {
                expected,
                reach: 0.0,
                sd: 0.0,
            })
        })
        .collect();
    let mut together = vec![Together::default(); groups.len()];
    for source in Source::ALL {
        if matches!(source, Source::Pupil | Source::Acuity) {
            continue;
        }
        for item in 0..source.items(&plan.design) {
            let spread = plan.design.law(source).spread(item);
            for component in 0..source.components() {
                for sign in [-1.0, 1.0] {
                    // where six times is out of the model's range (a line that hangs loose), half of it
                    let there = [TIMES, TIMES / 2.0].into_iter().find_map(|times| {
                        let step = (component, sign * times);
                        let (build, look) =
                            moved(plan, (&build, &look), source, item, step, &spread)?;
                        let there = all_shown(plan, bench, measurands, &build, &look)?;
                        Some((times, there))
                    });
                    if let Some((times, there)) = there {
                        widen(&mut all, &nominal, &there, groups, times);
                        for (together, (members, _)) in together.iter_mut().zip(groups) {
                            together.widen(mean_log_move(members, &nominal, &there), times);
                        }
                    }
                }
            }
        }
    }
    Some((all, together))
}

/// How far the mean of the logarithms of some readings moved; 0 of what has none.
fn mean_log_move(members: &[usize], nominal: &[Option<Pair>], there: &[Option<Pair>]) -> f64 {
    let moves: Vec<f64> = members
        .iter()
        .filter_map(|member| Some(libm::log(there[*member]?.x / nominal[*member]?.x)))
        .filter(|moved| moved.is_finite())
        .collect();
    if moves.is_empty() {
        return 0.0;
    }
    (moves.iter().sum::<f64>() / moves.len() as f64).abs()
}

/// The values with one of them so many standard deviations off; a tension by the power of its factor. `None` where it has none.
fn moved(
    plan: &Plan,
    (build, look): (&[f64], &[f64]),
    source: Source,
    item: usize,
    (component, times): (usize, f64),
    spread: &Spread,
) -> Option<(Vec<f64>, Vec<f64>)> {
    let sd = spread.sd[component];
    if !(sd > 0.0) {
        return None;
    }
    let (mut build, mut look) = (build.to_vec(), look.to_vec());
    let values = match source.family() {
        Family::Build => &mut build,
        Family::Look => &mut look,
    };
    let at = plan.layout.start(source) + item * source.components() + component;
    let mean = values[at];
    values[at] = if source.neutral() == 1.0 && mean > 0.0 {
        mean * libm::exp(times * sd / mean)
    } else {
        mean + times * sd
    };
    Some((build, look))
}

/// What is shown in true copies, one pair a measurand.
fn all_shown(
    plan: &Plan,
    bench: &Bench,
    measurands: &[Measurand],
    build: &[f64],
    look: &[f64],
) -> Option<Vec<Option<Pair>>> {
    let numbers = shown(plan, measurands, bench, build, look, &Frames::IDENTITY).ok()?;
    let mut numbers = numbers.into_iter();
    let pairs = measurands.iter().map(|measurand| {
        let first = numbers.next().flatten();
        let second = match measurand.quantity.components() {
            2 => numbers.next().flatten(),
            _ => Some(0.0),
        };
        Some(Pair::new(first?, second?))
    });
    Some(pairs.collect())
}

/// Takes down how far each reading moved from where it was.
fn widen(
    all: &mut [Option<Sound>],
    nominal: &[Option<Pair>],
    there: &[Option<Pair>],
    groups: &[(Vec<usize>, Freedom)],
    times: f64,
) {
    for (members, freedom) in groups {
        let places: Vec<(usize, Place)> = members
            .iter()
            .filter_map(|&member| {
                let place = Place {
                    expected: nominal[member]?,
                    read: there[member]?,
                    reach: 0.0,
                    noise: 0.0,
                };
                Some((member, place))
            })
            .collect();
        let bare: Vec<Place> = places.iter().map(|(_, place)| *place).collect();
        // what is laid over the plan with the fault in it takes up part of it; a fit on all the others takes up less
        let Some(frame) = least_squares(&bare, *freedom) else {
            continue;
        };
        for (member, place) in &places {
            let fitted = frame
                .picture(place.expected)
                .map(|shown| (place.read - shown).norm());
            let raw = (place.read - place.expected).norm();
            let moved = match freedom {
                Freedom::Fixed | Freedom::Near => raw,
                _ => fitted.unwrap_or(raw) * ONE_AMONG_OTHERS,
            };
            if let Some(sound) = &mut all[*member] {
                sound.reach = sound.reach.max(moved);
                // both signs of one value are half each
                let one_sd = moved / times;
                sound.sd = (sound.sd * sound.sd + 0.5 * one_sd * one_sd).sqrt();
            }
        }
    }
}

/// A fit to all places takes up part of what a single one is off; a robust fit takes up none.
const ONE_AMONG_OTHERS: f64 = 1.5;

/// Whether a reading's unit is that of its own frame (px), so that a scale stands between.
pub fn freedom_of(quantity: Quantity, perspective: Perspective) -> Freedom {
    match quantity {
        Quantity::Hole(_) => Freedom::Near,
        Quantity::ScannedHole(_) => Freedom::Rigid,
        Quantity::PicturedHole(_) => Freedom::Similar,
        Quantity::SeenEnd | Quantity::SeenMiddle => match perspective {
            Perspective::Square => Freedom::Similar,
            Perspective::Held | Perspective::Askew => Freedom::Askew,
        },
        _ => Freedom::Fixed,
    }
}
