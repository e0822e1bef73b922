//! The readings of a bench as one vector, what a build would show of them, and how that changes with all that is not known.

use super::unknowns::{Picture, State, Unknowns};
use crate::figure::{Bench, Measurand, Plan, Quantity, Reading};
use crate::geometry::{Pair, Similarity};
use crate::trial::{Frames, NotComputable, PictureFrame, shown};
use nalgebra::{DMatrix, DVector};

/// Step of a central difference, in standard units.
const STEP: f64 = 1e-3;

/// The readings, each component over its standard uncertainty.
#[derive(Debug, Clone)]
pub(super) struct Readings<'b> {
    plan: &'b Plan,
    bench: &'b Bench,
    /// Of each component that can be seen: reading, component.
    pub rows: Vec<(usize, usize)>,
    /// Read values over their standard uncertainty.
    pub read: DVector<f64>,
    /// What else a bench could show, after the readings, with its standard uncertainty.
    others: Vec<(Measurand, f64)>,
}

impl<'b> Readings<'b> {
    /// The readings of `bench` that the build `state` shows at all.
    ///
    /// # Errors
    /// [`NotComputable`] when that build cannot be computed.
    pub fn new(plan: &'b Plan, bench: &'b Bench, state: &State) -> Result<Self, NotComputable> {
        let mut readings = Self {
            plan,
            bench,
            rows: Vec::new(),
            read: DVector::zeros(0),
            others: Vec::new(),
        };
        let seen = readings.shown_of(state, |reading| reading.of, &bench.readings)?;
        let mut read = Vec::new();
        let mut next = 0;
        for (nth, reading) in bench.readings.iter().enumerate() {
            for component in 0..reading.of.quantity.components() {
                if seen[next].is_some() {
                    readings.rows.push((nth, component));
                    read.push(reading.value[component] / reading.sd);
                }
                next += 1;
            }
        }
        readings.read = DVector::from_vec(read);
        Ok(readings)
    }

    fn shown_of<T>(
        &self,
        state: &State,
        of: impl Fn(&T) -> Measurand,
        all: &[T],
    ) -> Result<Vec<Option<f64>>, NotComputable> {
        let measurands: Vec<Measurand> = all.iter().map(of).collect();
        shown(
            self.plan,
            &measurands,
            self.bench,
            &state.build,
            &state.look,
            &state.frames,
        )
    }

    /// The same with further measurands that were not read.
    pub fn with_others(&self, others: Vec<(Measurand, f64)>) -> Self {
        Self {
            others,
            ..self.clone()
        }
    }

    /// What `state` shows of every row, over the readings' uncertainties. `None` where it cannot be computed or something
    /// that was read is not seen.
    pub fn shown(&self, state: &State) -> Option<DVector<f64>> {
        let seen = self
            .shown_of(state, |reading| reading.of, &self.bench.readings)
            .ok()?;
        let mut by_reading = seen.into_iter();
        let mut values = Vec::with_capacity(self.rows.len());
        let mut rows = self.rows.iter().peekable();
        for (nth, reading) in self.bench.readings.iter().enumerate() {
            for component in 0..reading.of.quantity.components() {
                let value = by_reading.next()?;
                if rows.next_if_eq(&&(nth, component)).is_some() {
                    values.push(value? / reading.sd);
                }
            }
        }
        Some(DVector::from_vec(values))
    }

    /// What `state` shows of the other measurands, each component over its usual uncertainty; `None` where it is not seen.
    pub fn shown_of_others(&self, state: &State) -> Option<Vec<Option<f64>>> {
        let seen = self
            .shown_of(state, |(measurand, _)| *measurand, &self.others)
            .ok()?;
        let sds = self
            .others
            .iter()
            .flat_map(|(measurand, sd)| std::iter::repeat_n(*sd, measurand.quantity.components()));
        Some(
            seen.iter()
                .zip(sds)
                .map(|(seen, sd)| seen.map(|seen| seen / sd))
                .collect(),
        )
    }

    /// Slopes of every row by every standard coordinate about `at`: central differences, one-sided at the edge of what can be
    /// computed, 0 where neither side can. `None` where `at` itself cannot be computed.
    pub fn slopes(&self, unknowns: &Unknowns, at: &[f64]) -> Option<DMatrix<f64>> {
        let here = self.shown(&unknowns.state(at))?;
        let mut slopes = DMatrix::zeros(self.rows.len(), unknowns.len);
        let mut moved = at.to_vec();
        for coordinate in 0..unknowns.len {
            let mut shown_at = |by: f64| {
                moved[coordinate] = at[coordinate] + by;
                let shown = self.shown(&unknowns.state(&moved));
                moved[coordinate] = at[coordinate];
                shown
            };
            let slope = match (shown_at(STEP), shown_at(-STEP)) {
                (Some(up), Some(down)) => (up - down) / (2.0 * STEP),
                (Some(up), None) => (up - &here) / STEP,
                (None, Some(down)) => (&here - down) / STEP,
                (None, None) => continue,
            };
            slopes.set_column(coordinate, &slope);
        }
        Some(slopes)
    }

    /// Slopes of the other measurands' components about `at`; those that are not seen have slope 0.
    pub fn slopes_of_others(&self, unknowns: &Unknowns, at: &[f64]) -> Option<DMatrix<f64>> {
        let rows = self.shown_of_others(&unknowns.state(at))?.len();
        let mut slopes = DMatrix::zeros(rows, unknowns.len);
        let mut moved = at.to_vec();
        for coordinate in 0..unknowns.len {
            let mut shown_at = |by: f64| {
                moved[coordinate] = at[coordinate] + by;
                let shown = self.shown_of_others(&unknowns.state(&moved));
                moved[coordinate] = at[coordinate];
                shown
            };
            let (up, down) = (shown_at(STEP)?, shown_at(-STEP)?);
            for (row, (up, down)) in up.iter().zip(&down).enumerate() {
                if let (Some(up), Some(down)) = (up, down) {
                    slopes[(row, coordinate)] = (up - down) / (2.0 * STEP);
                }
            }
        }
        Some(slopes)
    }
}

/// How the pictures of a bench lie to begin with: the similarity that the largest part of their points agrees on, so that a
/// misread point does not pull it. `Err` with the place of a picture's first reading where it has fewer than two places.
pub(super) fn pictures(
    plan: &Plan,
    bench: &Bench,
    planned: &State,
) -> Result<[Option<Picture>; 3], String> {
    let mut all = [None, None, None];
    for (picture, found) in all.iter_mut().enumerate() {
        let readings: Vec<&Reading> = bench
            .readings
            .iter()
            .filter(|reading| picture_of(reading.of.quantity) == Some(picture))
            .collect();
        let Some(place) = readings.first().map(|reading| reading.place.clone()) else {
            continue;
        };
        let measurands: Vec<Measurand> = readings.iter().map(|reading| reading.of).collect();
        let seen = shown(
            plan,
            &measurands,
            bench,
            &planned.build,
            &planned.look,
            &Frames::IDENTITY,
        )
        .map_err(|_| place.clone())?;
        let mut points = Vec::new();
        for (reading, seen) in readings.iter().zip(seen.chunks_exact(2)) {
            if let [Some(x), Some(y)] = seen {
                points.push((Pair::new(*x, *y), Pair::from(reading.value)));
            }
        }
        let at_true_size = readings
            .iter()
            .all(|reading| matches!(reading.of.quantity, Quantity::ScannedHole(_)));
        *found = Some(Picture {
            frame: agreed_frame(&points).ok_or_else(|| place.clone())?,
            reach: reach_of(&points),
            at_true_size,
            perspective_sd: if picture == 2 {
                bench.perspective.sd()
            } else {
                0.0
            },
        });
    }
    Ok(all)
}

/// Which picture a reading is taken in: the front plate's, the rear plate's, or the view's.
fn picture_of(quantity: Quantity) -> Option<usize> {
    match quantity {
        Quantity::ScannedHole(plate) | Quantity::PicturedHole(plate) => Some(plate.index()),
        Quantity::SeenEnd | Quantity::SeenMiddle => Some(2),
        _ => None,
    }
}

fn reach_of(points: &[(Pair, Pair)]) -> f64 {
    points
        .iter()
        .flat_map(|(_, picture)| picture.iter())
        .fold(1.0_f64, |reach, value| reach.max(value.abs()))
}

/// Most pairs of points that are tried.
const MOST_PAIRS: usize = 400;

/// The similarity through two of the points whose median residual over all points is least (least median of squares,
/// Rousseeuw 1984), refined over the half that fits best. `None` where no two points differ.
fn agreed_frame(points: &[(Pair, Pair)]) -> Option<PictureFrame> {
    let pairs = (0..points.len()).flat_map(|a| (a + 1..points.len()).map(move |b| (a, b)));
    let all = points.len() * points.len().saturating_sub(1) / 2;
    let every = all.div_ceil(MOST_PAIRS).max(1);
    let mut best: Option<(f64, Similarity)> = None;
    for (a, b) in pairs.step_by(every) {
        let Ok(fit) = fit_of(&[points[a], points[b]]) else {
            continue;
        };
        let mut squares = residuals(points, &fit);
        squares.sort_by(f64::total_cmp);
        let median = squares[squares.len() / 2];
        if best.as_ref().is_none_or(|(least, _)| median < *least) {
            best = Some((median, fit));
        }
    }
    let (_, fit) = best?;
    let mut by_residual: Vec<(f64, usize)> = residuals(points, &fit)
        .into_iter()
        .enumerate()
        .map(|(nth, square)| (square, nth))
        .collect();
    by_residual.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let kept = (points.len() / 2 + 1).max(2).min(points.len());
    let inner: Vec<(Pair, Pair)> = by_residual[..kept]
        .iter()
        .map(|(_, nth)| points[*nth])
        .collect();
    let fit = fit_of(&inner).unwrap_or(fit);
    let [_, _, x, y, _] = fit.parts();
    Some(PictureFrame {
        shift: Pair::new(x, y),
        turn_rad: fit.rotation_rad(),
        log_scale: libm::log(fit.scale()),
        ..PictureFrame::IDENTITY
    })
}

fn fit_of(points: &[(Pair, Pair)]) -> Result<Similarity, crate::geometry::SimilarityError> {
    let (from, to): (Vec<Pair>, Vec<Pair>) = points.iter().copied().unzip();
    Similarity::fit(&from, &to)
}

fn residuals(points: &[(Pair, Pair)], fit: &Similarity) -> Vec<f64> {
    points
        .iter()
        .map(|(from, to)| (fit.undo(*to) - from).norm_squared())
        .collect()
}
