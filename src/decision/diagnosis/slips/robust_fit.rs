//! How a set of places lies on another of which some are wrong: the shift, turn, size and, where asked for, the perspective on
//! which most agree.
//!
//! Consensus over pairs: the frame through every pair of places that lie well apart (at most [`MOST_PAIRS`], the same at each
//! run) is weighed by a truncated square of what each place is off over its limit, and the best is fitted again by least squares
//! to the places within their limits.
//! Source of the method: M. A. Fischler, R. C. Bolles, Communications of the ACM 24 (1981) 381 (consensus), with the truncated
//! cost of P. H. S. Torr, A. Zisserman, Computer Vision and Image Understanding 78 (2000) 138 (both from memory).

use crate::geometry::{Pair, Similarity};
use crate::trial::PictureFrame;
use nalgebra::{SMatrix, SVector};

/// Pairs that are tried at the most.
const MOST_PAIRS: usize = 300;

/// Pairs must lie apart by this share of the largest distance: a frame through two close places points anywhere.
const APART: f64 = 0.25;

/// A frame may be larger than the spreads say by this factor: beyond it, limits that grow with the size would forgive anything.
const LARGEST_SIZE: f64 = 1.5;

/// A pattern that is measured from the axis is turned by no more (chosen: far beyond any work, far below a quarter).
const NEAR_TURN_RAD: f64 = 0.2;

/// Printed no larger or smaller than by a fifth or so (a natural logarithm; chosen: far below 2.54).
const NEAR_LOG_SIZE: f64 = 0.2;

/// Shifted by no more than this share of its largest distance (chosen).
const NEAR_SHIFT: f64 = 0.15;

/// Standard deviation of a perspective before anything is seen (tangents; chosen): a camera is held within some 15°.
const PERSPECTIVE_SD: f64 = 0.3;

/// What a set of places may do as a whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Freedom {
    /// Nothing: it is measured from the axis.
    Fixed,
    /// It is measured from the axis, and the pattern may lie off as a whole by a gross fault of the work, within [`NEAR_TURN_RAD`],
    /// [`NEAR_LOG_SIZE`] and [`NEAR_SHIFT`]: more than a mistake of the pen would leave.
    Near,
    /// A scan at true size, laid anyhow.
    Rigid,
    /// A picture of unknown size.
    Similar,
    /// A picture of unknown size by a camera that may look aside.
    Askew,
}

impl Freedom {
    /// Fewest places of which anything can be said.
    pub fn fewest(self) -> usize {
        match self {
            Self::Fixed | Self::Near => 1,
            Self::Rigid => 3,
            Self::Similar => 4,
            Self::Askew => 5,
        }
    }
}

/// One place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Where it should be (mm or tangents).
    pub expected: Pair,
    /// Where it was read, in the frame's unit.
    pub read: Pair,
    /// How far a sound build may be off, in the unit of `expected`.
    pub reach: f64,
    /// How far a sound reading may be off, in the frame's unit.
    pub noise: f64,
}

/// How the places lie.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// From expected to read.
    pub frame: PictureFrame,
    /// How far each place is off, in the frame's unit; infinite where the frame does not show it.
    pub off: Vec<f64>,
    /// How far each place may be off, in the frame's unit.
    pub limit: Vec<f64>,
}

impl Fit {
    /// Of this frame; `spread_ratio` bounds the size at which limits are taken.
    fn of(frame: PictureFrame, places: &[Place], spread_ratio: f64) -> Self {
        let scale = libm::exp(frame.log_scale);
        let size = scale.min(LARGEST_SIZE * spread_ratio);
        // most frames that are tried are flat: their sine and cosine are taken once
        let along = scale * libm::cos(frame.turn_rad);
        let across = scale * libm::sin(frame.turn_rad);
        let is_flat = frame.perspective == Pair::zeros();
        let shown = |w: Pair| match is_flat {
            true => Some(
                frame.shift + Pair::new(along * w.x - across * w.y, across * w.x + along * w.y),
            ),
            false => frame.picture(w),
        };
        Self {
            off: places
                .iter()
                .map(|place| {
                    shown(place.expected).map_or(f64::INFINITY, |shown| (place.read - shown).norm())
                })
                .collect(),
            limit: places
                .iter()
                .map(|place| place.reach * size + place.noise)
                .collect(),
            frame,
        }
    }

    /// Sum of squares of what is off over its limit, each at most 1.
    pub fn cost(&self) -> f64 {
        self.off
            .iter()
            .zip(&self.limit)
            .map(|(off, limit)| (off / limit).powi(2).min(1.0))
            .sum()
    }

    /// Whether a place is beyond its limit.
    pub fn is_beyond(&self, place: usize) -> bool {
        !(self.off[place] <= self.limit[place])
    }
}

/// Lays `places` as `freedom` lets them; `None` where too few lie apart.
pub fn lay(places: &[Place], freedom: Freedom) -> Option<Fit> {
    let as_measured = Fit::of(PictureFrame::IDENTITY, places, 1.0);
    match freedom {
        Freedom::Fixed => return Some(as_measured),
        Freedom::Near => return Some(near(as_measured, places)),
        _ => {}
    }
    let spread_ratio = match freedom {
        Freedom::Rigid => 1.0,
        _ => spread_ratio(places)?,
    };
    // perspective bends a figure by some parts in a hundred before it is fitted
    let lenient: Vec<Place> = match freedom {
        Freedom::Askew => {
            let figure = largest_distance(places);
            let give = |place: &Place| Place {
                reach: place.reach + 0.03 * figure,
                ..*place
            };
            places.iter().map(give).collect()
        }
        _ => places.to_vec(),
    };
    let fit = consensus(places, &lenient, freedom, spread_ratio, |_| true)?;
    if freedom != Freedom::Askew {
        return Some(fit);
    }
    Some(askew(&fit, places, spread_ratio))
}

/// The frame on which most places agree, of those that `is_allowed` lets be; `None` where there is none.
fn consensus(
    places: &[Place],
    lenient: &[Place],
    freedom: Freedom,
    spread_ratio: f64,
    is_allowed: impl Fn(&PictureFrame) -> bool,
) -> Option<Fit> {
    let mut fit = pairs(places)
        .into_iter()
        .filter_map(|[i, j]| through(&places[i], &places[j], freedom))
        .filter(&is_allowed)
        .map(|frame| Fit::of(frame, lenient, spread_ratio))
        .min_by(|a, b| a.cost().total_cmp(&b.cost()))?;
    for _ in 0..2 {
        let within: Vec<Place> = (0..places.len())
            .filter(|place| !fit.is_beyond(*place))
            .map(|place| places[place])
            .collect();
        let Some(frame) = least_squares(&within, freedom).filter(&is_allowed) else {
            break;
        };
        let again = Fit::of(frame, lenient, spread_ratio);
        if again.cost() > fit.cost() {
            break;
        }
        fit = again;
    }
    Some(fit)
}

/// Off as a whole where that explains most places, and two more at least than lie where they should as measured.
fn near(as_measured: Fit, places: &[Place]) -> Fit {
    let beyond = |fit: &Fit| {
        (0..places.len())
            .filter(|place| fit.is_beyond(*place))
            .count()
    };
    if places.len() < Freedom::Similar.fewest() || beyond(&as_measured) < 2 {
        return as_measured;
    }
    let most_shift = NEAR_SHIFT * largest_distance(places);
    let is_near = |frame: &PictureFrame| {
        frame.turn_rad.abs() <= NEAR_TURN_RAD
            && frame.log_scale.abs() <= NEAR_LOG_SIZE
            && frame.shift.norm() <= most_shift
    };
    match consensus(places, places, Freedom::Similar, 1.0, is_near) {
        Some(fit)
            if 2 * beyond(&fit) < places.len() && beyond(&fit) + 2 <= beyond(&as_measured) =>
        {
            fit
        }
        _ => as_measured,
    }
}

/// The perspective fitted too, on the places that are within what it may bend, and again on those within their own limits.
fn askew(flat: &Fit, places: &[Place], spread_ratio: f64) -> Fit {
    let mut frame = flat.frame;
    let mut fit = flat.clone();
    for _ in 0..3 {
        let within: Vec<Place> = (0..places.len())
            .filter(|place| !fit.is_beyond(*place))
            .map(|place| places[place])
            .collect();
        if within.len() < 4 {
            break;
        }
        frame = with_perspective(frame, &within);
        fit = Fit::of(frame, places, spread_ratio);
    }
    let unbent = Fit::of(flat.frame, places, spread_ratio);
    if fit.cost() <= unbent.cost() {
        fit
    } else {
        unbent
    }
}

/// Gauss–Newton on a frame's six numbers, all places alike, the perspective held by its prior.
fn with_perspective(start: PictureFrame, places: &[Place]) -> PictureFrame {
    const N: usize = PictureFrame::NUMBERS;
    let mut numbers = start.numbers();
    for _ in 0..8 {
        let frame = PictureFrame::of_numbers(numbers);
        let size = libm::exp(frame.log_scale);
        let steps = [1e-4 * size, 1e-4 * size, 1e-5, 1e-5, 1e-5, 1e-5];
        let mut normal = SMatrix::<f64, N, N>::zeros();
        let mut right = SVector::<f64, N>::zeros();
        for place in places {
            let Some(shown) = frame.picture(place.expected) else {
                continue;
            };
            let mut slopes = SMatrix::<f64, 2, N>::zeros();
            for (number, step) in steps.iter().enumerate() {
                let mut moved = numbers;
                moved[number] += step;
                if let Some(there) = PictureFrame::of_numbers(moved).picture(place.expected) {
                    slopes.set_column(number, &((there - shown) / *step));
                }
            }
            let weight = 1.0 / (place.reach * size + place.noise).powi(2);
            normal += slopes.transpose() * slopes * weight;
            right += slopes.transpose() * (place.read - shown) * weight;
        }
        for number in 4..6 {
            // a limit is some ten standard deviations
            let weight = 0.01 / (PERSPECTIVE_SD * PERSPECTIVE_SD);
            normal[(number, number)] += weight;
            right[number] -= weight * numbers[number];
        }
        let Some(step) = normal.cholesky().map(|normal| normal.solve(&right)) else {
            break;
        };
        for (number, step) in numbers.iter_mut().zip(step.iter()) {
            *number += step;
        }
    }
    if numbers.iter().all(|number| number.is_finite()) {
        PictureFrame::of_numbers(numbers)
    } else {
        start
    }
}

/// Least squares over all places; the turn of a rigid fit is that of the similar one.
pub fn least_squares(places: &[Place], freedom: Freedom) -> Option<PictureFrame> {
    let expected: Vec<Pair> = places.iter().map(|place| place.expected).collect();
    let read: Vec<Pair> = places.iter().map(|place| place.read).collect();
    if matches!(freedom, Freedom::Fixed | Freedom::Near) {
        return Some(PictureFrame::IDENTITY);
    }
    if places.len() < 2 {
        return None;
    }
    let fit = Similarity::fit(&expected, &read).ok()?;
    let similar = PictureFrame {
        shift: fit.shift(),
        turn_rad: fit.rotation_rad(),
        log_scale: libm::log(fit.scale()),
        perspective: Pair::zeros(),
    };
    if freedom != Freedom::Rigid {
        return Some(similar);
    }
    let turned = PictureFrame {
        shift: Pair::zeros(),
        log_scale: 0.0,
        ..similar
    };
    let off: Pair = places
        .iter()
        .filter_map(|place| Some(place.read - turned.picture(place.expected)?))
        .sum();
    Some(PictureFrame {
        shift: off / places.len() as f64,
        ..turned
    })
}

fn through(one: &Place, other: &Place, freedom: Freedom) -> Option<PictureFrame> {
    least_squares(&[*one, *other], freedom)
}

/// Pairs of places that lie well apart, in a fixed order.
fn pairs(places: &[Place]) -> Vec<[usize; 2]> {
    let apart = APART * largest_distance(places);
    let all: Vec<[usize; 2]> = (0..places.len())
        .flat_map(|j| (0..j).map(move |i| [i, j]))
        .filter(|[i, j]| {
            let distance = (places[*i].expected - places[*j].expected).norm();
            distance > 0.0 && distance >= apart
        })
        .collect();
    let stride = all.len().div_ceil(MOST_PAIRS).max(1);
    all.into_iter().step_by(stride).collect()
}

fn largest_distance(places: &[Place]) -> f64 {
    let apart = |a: &Place| {
        places
            .iter()
            .map(|b| (a.expected - b.expected).norm())
            .fold(0.0, f64::max)
    };
    places.iter().map(apart).fold(0.0, f64::max)
}

/// Median distance from the middle as read over that as expected: the size, roughly, whatever single places do.
fn spread_ratio(places: &[Place]) -> Option<f64> {
    let spread = |of: &dyn Fn(&Place) -> Pair| {
        let middle = Pair::new(
            median(places.iter().map(|place| of(place).x).collect()),
            median(places.iter().map(|place| of(place).y).collect()),
        );
        median(
            places
                .iter()
                .map(|place| (of(place) - middle).norm())
                .collect(),
        )
    };
    let (expected, read) = (spread(&|place| place.expected), spread(&|place| place.read));
    (expected > 0.0 && read > 0.0).then(|| read / expected)
}

/// The middle number, the higher of two; 0 of none.
pub fn median(mut numbers: Vec<f64>) -> f64 {
    numbers.sort_by(f64::total_cmp);
    numbers.get(numbers.len() / 2).copied().unwrap_or(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn places(frame: PictureFrame, wrong: &[usize]) -> Vec<Place> {
        (0..12)
            .map(|nth| {
                let angle = f64::from(nth) * 2.4;
                let expected = Pair::new(angle.cos(), angle.sin()) * (0.02 * f64::from(nth + 2));
                let mut read = frame.picture(expected).expect("before the camera");
                if wrong.contains(&(nth as usize)) {
                    read += Pair::new(150.0, -400.0);
                }
                Place {
                    expected,
                    read,
                    reach: 0.001,
                    noise: 2.0,
                }
            })
            .collect()
    }

    #[test]
    fn wrong_places_do_not_move_a_frame() {
        let frame = PictureFrame {
            shift: Pair::new(800.0, 500.0),
            turn_rad: 2.8,
            log_scale: 8.0,
            perspective: Pair::zeros(),
        };
        let wrong = [1, 5, 8, 11];
        let fit = lay(&places(frame, &wrong), Freedom::Similar).expect("places apart");
        assert!((fit.frame.shift - frame.shift).norm() < 1e-6);
        assert!((fit.frame.log_scale - frame.log_scale).abs() < 1e-9);
        for place in 0..12 {
            assert_eq!(fit.is_beyond(place), wrong.contains(&place), "{place}");
        }
    }

    #[test]
    fn a_camera_that_looks_aside_is_found_beside_wrong_places() {
        let frame = PictureFrame {
            shift: Pair::new(800.0, 500.0),
            turn_rad: 3.1,
            log_scale: 8.0,
            perspective: Pair::new(0.1, -0.06),
        };
        let fit = lay(&places(frame, &[4, 9]), Freedom::Askew).expect("places apart");
        let (found, made) = (fit.frame.perspective, frame.perspective);
        assert!((found - made).norm() < 0.01, "{found}, {made}");
        for place in 0..12 {
            assert_eq!(fit.is_beyond(place), [4, 9].contains(&place), "{place}");
        }
    }
}
