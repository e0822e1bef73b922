//! Where an eye behind a peephole sees a point: two apertures, exact overlap and its centroid.
//!
//! The peephole (a disc in a thin plate square to the axis) is projected from the point on to the pupil's plane. The
//! light that gets in fills the overlap of that disc and the pupil; its area over the pupil's is the clear share, its
//! centroid moves the viewpoint. Small angles (tangents) throughout; the plate's thickness is not modelled here.
//! Source: textbook lens of two circles; the first moment about one centre is S·d, S being the other disc's segment.

use crate::elementary::disc_segment;
use crate::geometry::{Pair, Point};
use std::f64::consts::PI;

/// The overlap of two discs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Overlap {
    /// Area of the overlap (unit of the radii, squared).
    pub area: f64,
    /// Distance of its centroid from the first disc's centre, towards the second's.
    pub centroid: f64,
}

/// Exact overlap of a disc of radius `first` and one of radius `second` whose centres are `distance` apart; `None`
/// where they share no area.
pub fn disc_overlap(first: f64, second: f64, distance: f64) -> Option<Overlap> {
    if !(first > 0.0 && second > 0.0 && distance < first + second) {
        return None;
    }
    let [one, two] = chords(
        Disc::of_radius(first),
        Disc::of_radius(second),
        distance * distance,
    );
    let segments = [disc_segment(one), disc_segment(two)];
    let (area, pull) = lens([first * first, second * second], segments);
    (area > 0.0).then(|| Overlap {
        area,
        centroid: (pull * distance).clamp(0.0, first),
    })
}

/// A disc's radius and what is divided by it.
#[derive(Debug, Clone, Copy)]
struct Disc {
    radius: f64,
    per_radius: f64,
}

impl Disc {
    #[inline(always)]
    fn of_radius(radius: f64) -> Self {
        Self {
            radius,
            per_radius: 1.0 / radius,
        }
    }
}

/// Where the chord through the rims of both discs lies: its distance from each disc's centre, in that disc's radii. Without
/// a branch: where one disc holds the other, or they are apart, the chord falls outside its disc, and the segment's
/// function is held at its end.
#[inline(always)]
fn chords(first: Disc, second: Disc, distance_squared: f64) -> [f64; 2] {
    // no two centres that differ at all are nearer than this, mm
    const NO_DISTANCE: f64 = 1e-150;
    let distance = distance_squared.sqrt();
    let apart = if distance > NO_DISTANCE {
        distance
    } else {
        NO_DISTANCE
    };
    let squares = first.radius * first.radius - second.radius * second.radius;
    let from_first = (distance_squared + squares) * (0.5 / apart);
    [
        from_first * first.per_radius,
        (distance - from_first) * second.per_radius,
    ]
}

/// Area of the overlap, and its centroid's share of the way from the first centre to the second; from the squared radii and
/// the segments that the common chord cuts off the two discs, for radii of 1.
#[inline(always)]
fn lens([first_squared, second_squared]: [f64; 2], [first, second]: [f64; 2]) -> (f64, f64) {
    let second_segment = second_squared * second;
    let area = first_squared * first + second_segment;
    // discs a thousand times as large as each other lose their digits here: never more than either disc
    let smaller = if first_squared < second_squared {
        PI * first_squared
    } else {
        PI * second_squared
    };
    let pull = if area > 0.0 {
        second_segment / area
    } else {
        0.0
    };
    (if area < smaller { area } else { smaller }, pull)
}

/// The pupil of one eye at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pupil {
    /// Its centre E, mm.
    pub centre_mm: Point,
    radius_mm: f64,
}

impl Pupil {
    /// The pupil of this radius at this place.
    #[inline(always)]
    pub fn new(centre_mm: Point, radius_mm: f64) -> Self {
        Self {
            centre_mm,
            radius_mm,
        }
    }
}

/// The peephole of one build.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Peephole {
    /// Its centre P, mm.
    pub centre_mm: Point,
    radius_mm: f64,
}

impl Peephole {
    /// The peephole of this radius at this place.
    #[inline(always)]
    pub fn new(centre_mm: Point, radius_mm: f64) -> Self {
        Self {
            centre_mm,
            radius_mm,
        }
    }

    /// The same peephole at another place.
    #[inline(always)]
    pub fn at(&self, centre_mm: Point) -> Self {
        Self { centre_mm, ..*self }
    }
}

/// A point of a build as its peephole stands before it: what every look at it shares.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Framed {
    /// Where it is, mm.
    pub place_mm: Point,
    /// 1 over its distance from the peephole's plate along the axis, 1/mm; not positive for a point that is not beyond
    /// the plate.
    pub per_from_plate_mm: f64,
}

impl Framed {
    /// Frames a point by the peephole at `peephole_mm`.
    #[inline(always)]
    pub fn new(place_mm: Point, peephole_mm: Point) -> Self {
        Self {
            place_mm,
            per_from_plate_mm: 1.0 / (place_mm.z - peephole_mm.z),
        }
    }

    /// How the point lights `pupil` through `peephole`.
    #[inline(always)]
    pub fn lit(&self, pupil: &Pupil, peephole: &Peephole) -> Lit {
        let x = self.place_mm.x - pupil.centre_mm.x;
        let y = self.place_mm.y - pupil.centre_mm.y;
        let from_eye = self.place_mm.z - pupil.centre_mm.z;
        let per_from_eye_mm = 1.0 / from_eye;
        // the peephole's image on the pupil's plane, relative to the pupil's centre
        let stretch = from_eye * self.per_from_plate_mm;
        let image_mm = Pair::new(
            x + (peephole.centre_mm.x - self.place_mm.x) * stretch,
            y + (peephole.centre_mm.y - self.place_mm.y) * stretch,
        );
        let image_radius_mm = peephole.radius_mm * stretch;
        let distance_squared_mm2 = image_mm.x * image_mm.x + image_mm.y * image_mm.y;
        let margin = image_radius_mm - pupil.radius_mm;
        let beyond = self.per_from_plate_mm > 0.0 && stretch > 1.0;
        Lit {
            straight: Pair::new(x * per_from_eye_mm, y * per_from_eye_mm),
            image_mm,
            image_radius_mm,
            distance_squared_mm2,
            per_from_eye_mm,
            beyond: if beyond { 1.0 } else { 0.0 },
            is_whole: margin >= 0.0 && distance_squared_mm2 <= margin * margin,
        }
    }

    /// How the point is seen by `pupil` through `peephole`, the eye being focused at 1/`focus_per_mm`. A clear share of
    /// 0 where none of its light reaches the pupil, or it is not beyond the peephole's plate: its direction then means
    /// nothing.
    pub fn seen(&self, pupil: &Pupil, peephole: &Peephole, focus_per_mm: f64) -> Seen {
        let lit = self.lit(pupil, peephole);
        if lit.is_whole {
            return Seen {
                direction: lit.straight,
                clear_share: lit.beyond,
            };
        }
        let radii_mm = [pupil.radius_mm, lit.image_radius_mm];
        let [first, second] = Cut::chords(radii_mm, lit.distance_squared_mm2);
        let cut = Cut::new(radii_mm, [disc_segment(first), disc_segment(second)]);
        let moved = lit.moved(cut.pull, focus_per_mm);
        Seen {
            direction: lit.straight + moved,
            clear_share: lit.beyond * cut.clear,
        }
    }
}

/// How a point lights the pupil, but for what the peephole's rim cuts off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lit {
    /// Direction from the pupil's centre, tangents: where the point is seen if the whole pupil is lit.
    pub straight: Pair,
    /// Centre of the peephole's image on the pupil's plane, relative to the pupil's, mm.
    pub image_mm: Pair,
    /// Radius of that image, mm.
    pub image_radius_mm: f64,
    /// Squared distance of its centre from the pupil's, mm².
    pub distance_squared_mm2: f64,
    /// 1 over the distance from the pupil, 1/mm.
    pub per_from_eye_mm: f64,
    /// 1 for a point beyond the peephole's plate, else 0.
    pub beyond: f64,
    /// Whether the whole pupil is lit.
    pub is_whole: bool,
}

impl Lit {
    /// How far the centroid of the light moves the direction, less what the eye's focus brings back, for a pull as in
    /// [`Cut`].
    #[inline(always)]
    pub fn moved(&self, pull: f64, focus_per_mm: f64) -> Pair {
        let by = pull * (focus_per_mm - self.per_from_eye_mm);
        Pair::new(self.image_mm.x * by, self.image_mm.y * by)
    }
}

/// What the peephole's rim leaves of the pupil.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cut {
    /// Lit area over the pupil's.
    pub clear: f64,
    /// The light's centroid, as a share of the way from the pupil's centre to that of the peephole's image.
    pub pull: f64,
}

impl Cut {
    /// Where the common chord lies, from the centres of a pupil and of a peephole's image of these radii, mm, in their radii;
    /// rows take the segments of many chords together.
    #[inline(always)]
    pub fn chords([own_mm, image_mm]: [f64; 2], distance_squared_mm2: f64) -> [f64; 2] {
        chords(
            Disc::of_radius(own_mm),
            Disc::of_radius(image_mm),
            distance_squared_mm2,
        )
    }

    /// From the same radii and the segments that the common chord cuts off two unit discs.
    #[inline(always)]
    pub fn new([own_mm, image_mm]: [f64; 2], segments: [f64; 2]) -> Self {
        let (area_mm2, pull) = lens([own_mm * own_mm, image_mm * image_mm], segments);
        let per_own_mm = 1.0 / own_mm;
        Self {
            clear: area_mm2 * (per_own_mm * per_own_mm * (1.0 / PI)),
            pull,
        }
    }
}

/// One eye behind one peephole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Apertures {
    /// Centre of the pupil E, mm.
    pub pupil_mm: Point,
    /// Radius of the pupil, mm.
    pub pupil_radius_mm: f64,
    /// Centre of the peephole P, mm.
    pub peephole_mm: Point,
    /// Radius of the peephole, mm.
    pub peephole_radius_mm: f64,
    /// 1 over the distance at which the eye is focused, 1/mm.
    pub focus_per_mm: f64,
}

/// How one point is seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen {
    /// Direction of the image's centre, tangents.
    pub direction: Pair,
    /// Overlap's area over the pupil's area.
    pub clear_share: f64,
}

impl Apertures {
    /// Whether the eye stands in front of the peephole's plate, as the model needs.
    pub fn eye_is_before_the_plate(&self) -> bool {
        self.pupil_mm.z < self.peephole_mm.z
    }

    /// How the point `x_mm` is seen; `None` when none of its light reaches the pupil, or when it is not beyond the
    /// peephole's plate.
    pub fn see(&self, x_mm: &Point) -> Option<Seen> {
        let pupil = Pupil::new(self.pupil_mm, self.pupil_radius_mm);
        let peephole = Peephole::new(self.peephole_mm, self.peephole_radius_mm);
        let seen = Framed::new(*x_mm, self.peephole_mm).seen(&pupil, &peephole, self.focus_per_mm);
        (seen.clear_share > 0.0).then_some(seen)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn eye(peephole_radius_mm: f64, offset: Pair) -> Apertures {
        Apertures {
            pupil_mm: Point::new(offset.x, offset.y, 0.0),
            pupil_radius_mm: 2.0,
            peephole_mm: Point::new(0.0, 0.0, 15.0),
            peephole_radius_mm,
            focus_per_mm: 1.0 / 300.0,
        }
    }

    #[test]
    fn overlap_is_symmetric_and_its_moment_about_the_other_centre_agrees() {
        let a = disc_overlap(2.0, 1.5, 1.8).expect("they overlap");
        let b = disc_overlap(1.5, 2.0, 1.8).expect("they overlap");
        assert!((a.area - b.area).abs() < 1e-14);
        assert!((a.centroid + b.centroid - 1.8).abs() < 1e-14);
    }

    #[test]
    fn discs_apart_or_degenerate_share_nothing() {
        assert!(disc_overlap(1.0, 1.0, 2.0).is_none());
        assert!(disc_overlap(0.0, 1.0, 0.5).is_none());
        assert!(disc_overlap(1.0, f64::NAN, 0.5).is_none());
        assert!(disc_overlap(1.0, 1.0, f64::NAN).is_none());
    }

    #[test]
    fn wide_peephole_leaves_the_pupils_centre_as_the_viewpoint() {
        let offset = Pair::new(0.8, -0.3);
        let seen = eye(50.0, offset)
            .see(&Point::new(20.0, 10.0, 250.0))
            .expect("wide open");
        assert_eq!(seen.direction, (Pair::new(20.0, 10.0) - offset) / 250.0);
        assert_eq!(seen.clear_share, 1.0);
    }

    #[test]
    fn behind_a_pinhole_moving_the_eye_shifts_all_depths_alike() {
        // D -> 0: the peephole is the viewpoint. The eye's own move e is seen as the one shift -e/z_focus of all
        // points, whatever their depth: nothing parts, and only what is visible changes.
        let offset = Pair::new(0.7, 0.4);
        for point in [Point::new(6.0, 3.0, 300.0), Point::new(-4.0, 5.0, 180.0)] {
            let still = eye(1e-6, Pair::zeros()).see(&point).expect("visible");
            let moved = eye(1e-6, offset).see(&point).expect("visible");
            let shift = moved.direction - still.direction;
            assert!((shift + offset / 300.0).norm() < 1e-8, "{shift}");
        }
    }

    #[test]
    fn behind_a_pinhole_a_point_in_focus_is_seen_where_the_ray_through_the_hole_says() {
        // the ray from X through the hole's centre meets the pupil's plane at C; at the focus distance it is at X
        let point = Point::new(6.0, 3.0, 300.0);
        let seen = eye(1e-6, Pair::zeros()).see(&point).expect("visible");
        assert!((seen.direction - point.xy() / 300.0).norm() < 1e-8);
    }
}
