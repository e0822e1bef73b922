//! Readings as a bench would take them of one build: what it would show, with an error of reading where that is asked for.

use super::bench_view::{Frames, PictureFrame, shown};
use super::build::NotComputable;
use crate::figure::{Bench, Measurand, Plan, Plate, Quantity, Reading};
use crate::geometry::Pair;
use crate::sampling::{Stream, StreamKey, normal_quantile_wichura_1988};
use std::f64::consts::PI;

/// Number of the stream of errors of reading; no source of error has it.
const READING_SOURCE: u64 = 1005;

/// Width and height of a picture, px.
pub const PICTURE_PX: [f64; 2] = [2400.0, 1800.0];

/// How much of a picture what it shows fills, along the narrower side.
pub const PICTURE_FILLED: f64 = 2.0 / 3.0;

impl PictureFrame {
    /// A picture of [`PICTURE_PX`], x to the right and y down, that `points` (of the cabinet's frame, x to the left and y up) fill
    /// to [`PICTURE_FILLED`], in its middle.
    pub fn filled_by(points: &[Pair]) -> Self {
        let (mut low, mut high) = (Pair::repeat(f64::INFINITY), Pair::repeat(f64::NEG_INFINITY));
        for point in points {
            low = low.inf(point);
            high = high.sup(point);
        }
        let size = high - low;
        let scale = [0, 1]
            .map(|i| PICTURE_FILLED * PICTURE_PX[i] / size[i])
            .into_iter()
            .filter(|scale| scale.is_finite())
            .fold(f64::INFINITY, f64::min);
        let scale = if scale.is_finite() { scale } else { 1.0 };
        // half a turn leads from left and up to right and down
        Self {
            shift: Pair::new(PICTURE_PX[0], PICTURE_PX[1]) / 2.0 + (low + high) / 2.0 * scale,
            turn_rad: PI,
            log_scale: libm::log(scale),
            perspective: Pair::zeros(),
        }
    }
}

impl Frames {
    /// Plain pictures of a design: see [`PictureFrame::filled_by`]; that of the front plate is a picture, that of the rear plate a
    /// scan that lies true.
    pub fn plain(plan: &Plan) -> Self {
        Self {
            plates: [
                PictureFrame::filled_by(&plan.holes_mm[Plate::Front.index()]),
                PictureFrame::IDENTITY,
            ],
            view: PictureFrame::filled_by(&plan.targets),
        }
    }
}

/// Readings of `measurands` at one build, each with the usual uncertainty; with a `seed` each number has a normal error of it, whose
/// address is the measurand's place in the list. What the camera does not see, and what cannot be of a sheet (a number that is not
/// finite, a length or tension that came out below 0), is left out.
///
/// # Errors
/// [`NotComputable`] when the build or the eye is impossible.
pub fn taken(
    plan: &Plan,
    measurands: &[Measurand],
    bench: &Bench,
    [build_values, look_values]: [&[f64]; 2],
    frames: &Frames,
    seed: Option<u64>,
) -> Result<Vec<Reading>, NotComputable> {
    let shown = shown(plan, measurands, bench, build_values, look_values, frames)?;
    let mut components = shown.into_iter();
    let mut readings = Vec::with_capacity(measurands.len());
    for (nth, of) in measurands.iter().enumerate() {
        let mut value = [0.0; 2];
        let mut is_there = true;
        for component in 0..of.quantity.components() {
            let exact = components
                .next()
                .flatten()
                .filter(|value| value.is_finite());
            let Some(exact) = exact else {
                is_there = false;
                continue;
            };
            value[component] =
                exact + seed.map_or(0.0, |seed| error_of(of, exact, seed, [nth, component]));
        }
        let sd = of.quantity.usual_sd().of(value[0]);
        if is_there && can_be_read(of.quantity, value[0]) {
            readings.push(Reading {
                of: *of,
                value,
                sd,
                place: String::new(),
                remark: None,
            });
        }
    }
    Ok(readings)
}

fn error_of(of: &Measurand, exact: f64, seed: u64, [item, component]: [usize; 2]) -> f64 {
    let key = StreamKey {
        seed,
        source: READING_SOURCE,
        item: item as u64,
        component: component as u64,
        look: 0,
    };
    let sd = of.quantity.usual_sd().of(exact);
    sd * normal_quantile_wichura_1988(Stream::new(key, 0).next_uniform())
}

fn can_be_read(quantity: Quantity, value: f64) -> bool {
    match quantity {
        Quantity::Distance(_)
        | Quantity::EyeRelief
        | Quantity::EndFrom(_)
        | Quantity::Tone
        | Quantity::Tension => value > 0.0,
        _ => true,
    }
}
