//! A hole in a plate that has a thickness: the rims of both faces cut the view of what lies off the axis.
//!
//! Light that comes in with the tangent t through a hole of the diameter D in a plate of the thickness h crosses its two rims
//! h·t apart, so it fills the lens of two equal discs (textbook lens of two circles; the vignetting of a tube). With the
//! pupil as a third disc the common area is added up chord by chord. The walls are taken as black and cylindrical.

use super::apertures::disc_overlap;
use crate::geometry::Point;
use std::f64::consts::PI;

/// Chords over which a common area is added up; its error is some 1e-6 of the smallest disc.
const CHORDS: usize = 2000;

/// A disc: centre (x, y) and radius, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlatDisc {
    /// Centre, mm.
    pub centre_mm: [f64; 2],
    /// Radius, mm.
    pub radius_mm: f64,
}

/// Open share of a hole's area for light that comes in with the tangent `tangent` off the axis; 0 where nothing passes.
pub fn open_share_of_hole(diameter_mm: f64, thickness_mm: f64, tangent: f64) -> f64 {
    let radius_mm = diameter_mm / 2.0;
    disc_overlap(radius_mm, radius_mm, thickness_mm * tangent.abs())
        .map_or(0.0, |overlap| overlap.area / (PI * radius_mm * radius_mm))
}

/// Area that all of `discs` have in common, mm²; 0 for none.
pub fn common_area_mm2(discs: &[FlatDisc]) -> f64 {
    let end = |disc: &FlatDisc, side: f64| disc.centre_mm[0] + side * disc.radius_mm;
    let low = discs
        .iter()
        .map(|disc| end(disc, -1.0))
        .fold(f64::NEG_INFINITY, f64::max);
    let high = discs
        .iter()
        .map(|disc| end(disc, 1.0))
        .fold(f64::INFINITY, f64::min);
    if !(high > low && high.is_finite() && low.is_finite()) {
        return 0.0;
    }
    let half_width_mm = (high - low) / 2.0;
    let middle_mm = (high + low) / 2.0;
    // evenly in an angle, not in x: chords end like square roots
    let step = PI / CHORDS as f64;
    let chords = (0..CHORDS).map(|nth| {
        let (sine, cosine) = libm::sincos((nth as f64 + 0.5) * step);
        let x = middle_mm - half_width_mm * cosine;
        let [from, to] = discs.iter().fold(
            [f64::NEG_INFINITY, f64::INFINITY],
            |[from, to], disc: &FlatDisc| {
                let off = x - disc.centre_mm[0];
                let half_chord = (disc.radius_mm * disc.radius_mm - off * off)
                    .max(0.0)
                    .sqrt();
                [
                    from.max(disc.centre_mm[1] - half_chord),
                    to.min(disc.centre_mm[1] + half_chord),
                ]
            },
        );
        (to - from).max(0.0) * sine
    });
    chords.sum::<f64>() * step * half_width_mm
}

/// A hole through a plate, before an eye at the origin that looks along z.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tunnel {
    /// Diameter, mm.
    pub diameter_mm: f64,
    /// Distance of the face towards the eye from the pupil, mm.
    pub face_mm: f64,
    /// Thickness of the plate, mm.
    pub thickness_mm: f64,
}

impl Tunnel {
    /// Share of a centred pupil of the diameter `pupil_mm` that the point `x_mm` lights through the hole; `None` when the
    /// point is not beyond the plate, or the plate not before the eye.
    pub fn clear_share(&self, pupil_mm: f64, x_mm: &Point) -> Option<f64> {
        let far_face_mm = self.face_mm + self.thickness_mm;
        if !(self.face_mm > 0.0 && self.thickness_mm >= 0.0 && x_mm.z > far_face_mm) {
            return None;
        }
        let pupil = FlatDisc {
            centre_mm: [0.0, 0.0],
            radius_mm: pupil_mm / 2.0,
        };
        // a rim's image on the pupil's plane, as the point throws it
        let image = |face_mm: f64| {
            let stretch = x_mm.z / (x_mm.z - face_mm);
            FlatDisc {
                centre_mm: [x_mm.x * (1.0 - stretch), x_mm.y * (1.0 - stretch)],
                radius_mm: stretch * self.diameter_mm / 2.0,
            }
        };
        let area_mm2 = if self.thickness_mm == 0.0 {
            let rim = image(self.face_mm);
            let distance_mm = libm::hypot(rim.centre_mm[0], rim.centre_mm[1]);
            disc_overlap(pupil.radius_mm, rim.radius_mm, distance_mm)
                .map_or(0.0, |overlap| overlap.area)
        } else {
            common_area_mm2(&[pupil, image(self.face_mm), image(far_face_mm)])
        };
        Some(area_mm2 / (PI * pupil.radius_mm * pupil.radius_mm))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn disc(x: f64, y: f64, radius_mm: f64) -> FlatDisc {
        FlatDisc {
            centre_mm: [x, y],
            radius_mm,
        }
    }

    #[test]
    fn the_common_area_of_two_discs_is_the_lens() {
        for (distance, direction) in [(1.8_f64, 0.3_f64), (0.6, 2.0), (3.4, -1.0)] {
            let (sine, cosine) = direction.sin_cos();
            let area = common_area_mm2(&[
                disc(0.0, 0.0, 2.0),
                disc(distance * cosine, distance * sine, 1.5),
            ]);
            let lens = disc_overlap(2.0, 1.5, distance).expect("they overlap").area;
            assert!((area - lens).abs() < 2e-5, "{distance}: {area} {lens}");
        }
        assert_eq!(
            common_area_mm2(&[disc(0.0, 0.0, 1.0), disc(3.0, 0.0, 1.0)]),
            0.0
        );
        assert_eq!(common_area_mm2(&[]), 0.0);
    }

    #[test]
    fn the_common_area_of_three_discs_agrees_with_counting_squares() {
        let discs = [
            disc(0.0, 0.0, 1.7),
            disc(0.9, 0.4, 1.5),
            disc(0.2, 1.1, 1.4),
        ];
        let inside = |x: f64, y: f64| {
            discs.iter().all(|disc| {
                (x - disc.centre_mm[0]).powi(2) + (y - disc.centre_mm[1]).powi(2)
                    <= disc.radius_mm * disc.radius_mm
            })
        };
        let side = 2000;
        let step = 4.0 / f64::from(side);
        let mut count = 0_u64;
        for row in 0..side {
            for column in 0..side {
                let at = |index: i32| -1.5 + (f64::from(index) + 0.5) * step;
                count += u64::from(inside(at(column), at(row)));
            }
        }
        let squares = count as f64 * step * step;
        let area = common_area_mm2(&discs);
        // some 5 mm of border, each square on it wrong by half at most and either way
        assert!((area - squares).abs() < 2e-4, "{area} {squares}");
    }

    #[test]
    fn a_thin_plate_is_the_limit_of_a_thick_one_and_a_thicker_one_lets_less_in() {
        let point = Point::new(60.0, -25.0, 400.0);
        let share = |thickness_mm: f64| {
            Tunnel {
                diameter_mm: 4.0,
                face_mm: 12.0,
                thickness_mm,
            }
            .clear_share(3.6, &point)
            .expect("beyond the plate")
        };
        assert!((share(0.0) - share(1e-6)).abs() < 1e-5);
        let shares = [0.0, 1.0, 2.0, 4.0, 8.0].map(share);
        assert!(shares.is_sorted_by(|a, b| a > b), "{shares:?}");
        // so thick that the rims share nothing: thickness × tangent beyond the diameter
        assert!(share(60.0) < 1e-3);
    }

    #[test]
    fn half_a_diameter_of_shift_leaves_the_textbook_share_open() {
        // two unit discs a radius apart: 2/3 − √3/(2π) of a disc
        let open = open_share_of_hole(2.0, 5.0, 0.2);
        let exact = 2.0 / 3.0 - 3.0_f64.sqrt() / (2.0 * PI);
        assert!((open - exact).abs() < 1e-12, "{open}");
        assert_eq!(open_share_of_hole(2.0, 10.0, 0.3), 0.0);
    }
}
