//! What the bench would show of one build: what every reading would be, without any error of reading.
//!
//! Holes are read in their plate's own plane, so its seat plays no part in them. A scan or a picture of a plate lies anyhow,
//! and a picture through the peephole has a shift, turn and size of its own, and, where the camera looked askew, a perspective:
//! [`Frames`] holds them. Distances along a line are taken along the straight between its holes; a tone is that of the line
//! without rods.

use super::build::{Built, NotComputable};
use super::look::Glance;
use crate::figure::{Bench, Measurand, Plan, Plate, Quantity, Source, Stretch};
use crate::geometry::{Pair, PlatePose, Point};
use crate::mechanics::tone_hz;

/// Shift, turn, size and perspective of a picture: p = s·R·(I + k·kᵀ/(1 + √(1 + |k|²)))·w/(1 + k·w) + B, with R a turn, s a
/// scale, w the direction (tangents) or the place (mm), k the perspective.
///
/// This is what a pinhole camera with square pixels sees of the plane w = (x/z, y/z), whatever its focal length f, its principal
/// point and the three angles of its attitude: it looks towards w = k, is turned by R about that, s = f·√(1 + |k|²), and B is
/// where it sees the axis. Its picture is drawn out by √(1 + |k|²) in the direction of k, beside what 1 + k·w does: a similarity
/// over 1 + k·w would be wrong in the second order of k. Checked against camera matrices in `tests/reference/bench.toml`.
/// Of a scan or a picture of a plate, k is (0, 0): it is taken square on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PictureFrame {
    /// B, in the picture's unit.
    pub shift: Pair,
    /// Turn R, rad, from x towards y of the picture as w's axes are laid on it.
    pub turn_rad: f64,
    /// Logarithm of the scale s (picture's unit per unit of w, at w = 0, square to k).
    pub log_scale: f64,
    /// k, the direction (tangents) in which the camera looks; (0, 0) where no perspective is fitted.
    pub perspective: Pair,
}

impl PictureFrame {
    /// A true copy.
    pub const IDENTITY: Self = Self {
        shift: Pair::new(0.0, 0.0),
        turn_rad: 0.0,
        log_scale: 0.0,
        perspective: Pair::new(0.0, 0.0),
    };

    /// Numbers that say it all: shift, turn, logarithm of the scale, perspective.
    pub const NUMBERS: usize = 6;

    /// Its numbers.
    pub fn numbers(&self) -> [f64; Self::NUMBERS] {
        [
            self.shift.x,
            self.shift.y,
            self.turn_rad,
            self.log_scale,
            self.perspective.x,
            self.perspective.y,
        ]
    }

    /// The frame of these [`PictureFrame::numbers`].
    pub fn of_numbers([x, y, turn_rad, log_scale, along, up]: [f64; Self::NUMBERS]) -> Self {
        Self {
            shift: Pair::new(x, y),
            turn_rad,
            log_scale,
            perspective: Pair::new(along, up),
        }
    }

    /// Where `w` lies in the picture; `None` where the perspective puts it behind the camera.
    pub fn picture(&self, w: Pair) -> Option<Pair> {
        let depth = 1.0 + self.perspective.dot(&w);
        if !(depth > 0.0) {
            return None;
        }
        let drawn_out = self.perspective * (self.perspective.dot(&w) / (1.0 + self.secant()));
        let flat = (w + drawn_out) / depth;
        let (sine, cosine) = (libm::sin(self.turn_rad), libm::cos(self.turn_rad));
        let turned = Pair::new(
            cosine * flat.x - sine * flat.y,
            sine * flat.x + cosine * flat.y,
        );
        Some(turned * libm::exp(self.log_scale) + self.shift)
    }

    /// What is seen at `picture`: [`PictureFrame::picture`] undone. `None` where nothing is.
    pub fn undo(&self, picture: Pair) -> Option<Pair> {
        let (sine, cosine) = (libm::sin(self.turn_rad), libm::cos(self.turn_rad));
        let off = (picture - self.shift) * libm::exp(-self.log_scale);
        let flat = Pair::new(cosine * off.x + sine * off.y, cosine * off.y - sine * off.x);
        let secant = self.secant();
        let pressed = self.perspective * (self.perspective.dot(&flat) / (secant * (1.0 + secant)));
        let divided = flat - pressed;
        let depth = 1.0 - self.perspective.dot(&divided);
        (depth > 0.0).then(|| divided / depth)
    }

    /// 1 over the cosine of the angle between the axis and where the camera looks.
    fn secant(&self) -> f64 {
        (1.0 + self.perspective.norm_squared()).sqrt()
    }
}

/// How the pictures of a bench lie.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frames {
    /// Scans and pictures of both plates; a scan at true size has a logarithm of scale of 0.
    pub plates: [PictureFrame; 2],
    /// The picture through the peephole.
    pub view: PictureFrame,
}

impl Frames {
    /// True copies all.
    pub const IDENTITY: Self = Self {
        plates: [PictureFrame::IDENTITY; 2],
        view: PictureFrame::IDENTITY,
    };
}

/// What every reading of `measurands` would be at the build of `build_values`, for a camera in the place of the eye of
/// `look_values`: component after component, in their order. `None` for a rod that the camera does not see at all.
///
/// # Errors
/// [`NotComputable`] when the build or the eye is impossible.
pub fn shown(
    plan: &Plan,
    measurands: &[Measurand],
    bench: &Bench,
    build_values: &[f64],
    look_values: &[f64],
    frames: &Frames,
) -> Result<Vec<Option<f64>>, NotComputable> {
    let mut built = Built::new(plan);
    built.set(plan, build_values)?;
    let mut glance = Glance::new(plan, look_values, built.peephole_mm)?;
    if let Some(pupil_mm) = bench.camera_pupil_mm {
        glance.apertures.pupil_radius_mm = pupil_mm / 2.0;
    }
    let view = BenchView {
        plan,
        values: build_values,
        built: &built,
        glance: &glance,
        frames,
    };
    let mut all = Vec::with_capacity(2 * measurands.len());
    for measurand in measurands {
        let found = view.shown(measurand);
        let components = measurand.quantity.components();
        all.extend((0..components).map(|component| found.map(|found| found[component])));
    }
    Ok(all)
}

struct BenchView<'v> {
    plan: &'v Plan,
    values: &'v [f64],
    built: &'v Built,
    glance: &'v Glance,
    frames: &'v Frames,
}

impl BenchView<'_> {
    fn shown(&self, measurand: &Measurand) -> Option<[f64; 2]> {
        let line = measurand.line.unwrap_or(0);
        let end = measurand.end.unwrap_or(0);
        Some(match measurand.quantity {
            Quantity::Hole(plate) => self.pierced_mm(plate, line).into(),
            Quantity::ScannedHole(plate) | Quantity::PicturedHole(plate) => {
                let hole = self.pierced_mm(plate, line);
                self.frames.plates[plate.index()].picture(hole)?.into()
            }
            Quantity::LineInHole(plate) => self.pair(Source::HoleSlack(plate), line).into(),
            Quantity::Distance(stretch) => [self.distance_mm(stretch, measurand.place_mm), 0.0],
            Quantity::Peephole => self.built.peephole_mm.xy().into(),
            Quantity::EyeRelief => [
                self.built.peephole_mm.z - self.glance.apertures.pupil_mm.z,
                0.0,
            ],
            Quantity::Drop => {
                let at_mm = measurand.at_mm.unwrap_or(self.plan.span_mm() / 2.0);
                let per_tension_n = 1.0 / self.built.tensions_n[line];
                [self.plan.spans[line].sag_mm(at_mm, per_tension_n), 0.0]
            }
            Quantity::Tone => {
                let length_mm = measurand
                    .at_mm
                    .unwrap_or_else(|| self.along_line_mm(line).norm());
                let mass_kg_per_m = self.plan.design.line.mass_kg_per_m;
                let tension_n = self.built.tensions_n[line];
                [tone_hz(tension_n, mass_kg_per_m, length_mm), 0.0]
            }
            Quantity::Tension => [self.built.tensions_n[line], 0.0],
            Quantity::EndFrom(plate) => {
                let along = self.along_line_mm(line);
                let depth_mm = self.built.ends_mm[end].z - self.hole_mm(plate, line).z;
                [depth_mm.abs() * along.norm() / along.z, 0.0]
            }
            Quantity::Tie => self.pair(Source::RodTie, end).into(),
            Quantity::SeenEnd => self.seen(&self.built.ends_mm[end])?,
            Quantity::SeenMiddle => {
                let straight = || (self.built.ends_mm[end] + self.built.ends_mm[end + 1]) * 0.5;
                let bowed = self.built.middles_mm.get(end / 2).copied();
                self.seen(&bowed.unwrap_or_else(straight))?
            }
        })
    }

    fn seen(&self, place: &Point) -> Option<[f64; 2]> {
        let seen = self.glance.apertures.see(place)?;
        Some(self.frames.view.picture(seen.direction)?.into())
    }

    fn hole_mm(&self, plate: Plate, line: usize) -> Point {
        self.built.holes_mm[plate.index()][line]
    }

    fn along_line_mm(&self, line: usize) -> Point {
        self.hole_mm(Plate::Rear, line) - self.hole_mm(Plate::Front, line)
    }

    fn pair(&self, source: Source, item: usize) -> Pair {
        let at = self.plan.layout.start(source) + 2 * item;
        Pair::new(self.values[at], self.values[at + 1])
    }

    fn one(&self, source: Source) -> f64 {
        self.values[self.plan.layout.start(source)]
    }

    /// A hole in its plate's own plane, from the axis.
    fn pierced_mm(&self, plate: Plate, line: usize) -> Pair {
        let spec = self.plan.design.plates[plate.index()];
        let pose = PlatePose {
            shift_mm: self.pair(Source::PatternShift(plate), 0),
            turn_rad: self.one(Source::PatternTurn(plate)),
            scale: self.one(Source::PrintScale(plate)),
            ..PlatePose::NOMINAL
        };
        let nominal = self.plan.holes_mm[plate.index()][line];
        pose.place(spec.centre_mm, spec.z_mm)
            .hole_mm(nominal, self.pair(Source::HoleScatter(plate), line))
            .xy()
    }

    /// Depth of a plate's plane at this place of the plate, mm.
    fn plate_depth_mm(&self, plate: Plate, place_mm: Pair) -> f64 {
        let spec = self.plan.design.plates[plate.index()];
        PlatePose {
            seat_depth_mm: self.one(Source::SeatDepth(plate)),
            tilt_x_rad: self.one(Source::TiltX(plate)),
            tilt_y_rad: self.one(Source::TiltY(plate)),
            ..PlatePose::NOMINAL
        }
        .place(spec.centre_mm, spec.z_mm)
        .hole_mm(place_mm, Pair::zeros())
        .z
    }

    fn distance_mm(&self, stretch: Stretch, place_mm: Option<Pair>) -> f64 {
        let depth_mm = |plate: Plate| {
            let centre_mm = self.plan.design.plates[plate.index()].centre_mm;
            self.plate_depth_mm(plate, place_mm.unwrap_or(centre_mm))
        };
        let peephole_mm = self.built.peephole_mm.z;
        match stretch {
            Stretch::PeepholeToFront => depth_mm(Plate::Front) - peephole_mm,
            Stretch::FrontToRear => depth_mm(Plate::Rear) - depth_mm(Plate::Front),
            Stretch::PeepholeToRear => depth_mm(Plate::Rear) - peephole_mm,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_picture_is_undone() {
        let frame = PictureFrame {
            shift: Pair::new(800.0, 600.0),
            turn_rad: 3.0,
            log_scale: 8.0,
            perspective: Pair::new(0.3, -0.2),
        };
        let w = Pair::new(0.12, -0.2);
        let back = frame.undo(frame.picture(w).expect("before the camera"));
        assert!((back.expect("before the camera") - w).norm() < 1e-14);
        assert_eq!(PictureFrame::of_numbers(frame.numbers()), frame);
    }
}
