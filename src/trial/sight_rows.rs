//! Where the points of a block of builds are seen, row by row: the same as
//! [`Framed::seen`](crate::vision::Framed::seen) of each.
//!
//! Most points light the whole pupil; what the peephole's rim leaves of it costs most of a look. So the points that are cut are
//! picked out of a few rows, worked out side by side, and put back; where most are cut, whole rows are worked out. Either
//! way every number comes from the same operations.

use super::build_rows::{BuildRows, PointRows};
use super::rows::{EyeRows, SeenRows};
use crate::elementary::{Kernel, disc_segment};
use crate::sampling::BLOCK_BUILDS;
use crate::vision::Cut;

/// Points that are looked at together.
const TOGETHER: usize = 4;
/// Numbers of them in a block.
const MOST: usize = TOGETHER * BLOCK_BUILDS;
/// One word marks the builds of a row.
const _: () = assert!(BLOCK_BUILDS == u64::BITS as usize);

/// Room for some points on their way to where they are seen.
#[derive(Debug, Clone)]
#[repr(C, align(64))]
pub(super) struct SightRoom {
    lit: [LitRows; TOGETHER],
    cuts: CutRows,
}

impl SightRoom {
    pub(super) fn new() -> Box<Self> {
        Box::new(Self {
            lit: [const { LitRows([[0.0; BLOCK_BUILDS]; 6]) }; TOGETHER],
            cuts: CutRows {
                place: [0; MOST],
                own: [1.0; MOST],
                image: [1.0; MOST],
                distance_squared: [1.0; MOST],
                first: [0.0; MOST],
                second: [0.0; MOST],
            },
        })
    }
}

/// How one point lights the pupil at every build, but for its direction and clear share.
#[derive(Debug, Clone, Copy)]
#[repr(C, align(64))]
struct LitRows([[f64; BLOCK_BUILDS]; 6]);

const IMAGE_X: usize = 0;
const IMAGE_Y: usize = 1;
const IMAGE_RADIUS: usize = 2;
const DISTANCE_SQUARED: usize = 3;
const PER_FROM_EYE: usize = 4;
const WHOLE: usize = 5;

/// Pupils that the peephole's rim cuts, side by side.
#[derive(Debug, Clone)]
#[repr(C, align(64))]
struct CutRows {
    place: [u8; MOST],
    own: [f64; MOST],
    image: [f64; MOST],
    distance_squared: [f64; MOST],
    /// The pupil's chord, then its segment, then the clear share.
    first: [f64; MOST],
    /// The image's chord, then its segment, then the pull.
    second: [f64; MOST],
}

const _: () = assert!(MOST <= 1 << u8::BITS);

pub(super) struct Look<'a> {
    pub focus_per_mm: f64,
    pub builds: &'a BuildRows,
    pub eye: &'a EyeRows,
    pub room: &'a mut SightRoom,
    pub ends: &'a mut [SeenRows],
    pub middles: &'a mut [SeenRows],
}

impl Kernel for Look<'_> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        let groups = [
            (&self.builds.ends[..], self.ends),
            (&self.builds.middles[..], self.middles),
        ];
        for (points, seen) in groups {
            let points = points.chunks(TOGETHER);
            for (points, seen) in points.zip(seen.chunks_mut(TOGETHER)) {
                see_together(
                    points,
                    self.builds,
                    self.eye,
                    self.focus_per_mm,
                    self.room,
                    seen,
                );
            }
        }
    }
}

#[inline(always)]
fn see_together(
    points: &[PointRows],
    builds: &BuildRows,
    eye: &EyeRows,
    focus_per_mm: f64,
    room: &mut SightRoom,
    seen: &mut [SeenRows],
) {
    let mut cut = [0_u64; TOGETHER];
    let mut count = 0;
    for (nth, (point, seen)) in points.iter().zip(seen.iter_mut()).enumerate() {
        cut[nth] = light(point, builds, eye, &mut room.lit[nth], seen);
        count += cut[nth].count_ones() as usize;
    }
    if count == 0 {
        return;
    }
    if 2 * count > points.len() * BLOCK_BUILDS {
        for (lit, seen) in room.lit.iter().zip(seen) {
            cut_all(lit, eye, focus_per_mm, &mut room.cuts, seen);
        }
    } else {
        pick(&cut, &room.lit, eye, &mut room.cuts);
        work_out(&mut room.cuts, count);
        put_back(&room.cuts, count, &room.lit, focus_per_mm, seen);
    }
}

/// Lights one point at every build; seen as if the whole pupil were lit. Marks the builds at which it is not.
#[inline(always)]
fn light(
    point: &PointRows,
    builds: &BuildRows,
    eye: &EyeRows,
    lit: &mut LitRows,
    seen: &mut SeenRows,
) -> u64 {
    for build in 0..BLOCK_BUILDS {
        let one = point
            .framed(build)
            .lit(&eye.pupil(build), &builds.peephole.of(build));
        seen.u[build] = one.straight.x;
        seen.v[build] = one.straight.y;
        seen.clear[build] = one.beyond;
        lit.0[IMAGE_X][build] = one.image_mm.x;
        lit.0[IMAGE_Y][build] = one.image_mm.y;
        lit.0[IMAGE_RADIUS][build] = one.image_radius_mm;
        lit.0[DISTANCE_SQUARED][build] = one.distance_squared_mm2;
        lit.0[PER_FROM_EYE][build] = one.per_from_eye_mm;
        lit.0[WHOLE][build] = if one.is_whole { 1.0 } else { 0.0 };
    }
    let mut cut = 0;
    for (build, whole) in lit.0[WHOLE].iter().enumerate() {
        cut |= u64::from(*whole == 0.0) << build;
    }
    cut
}

/// Picks the marked pupils out of the rows.
#[inline(always)]
fn pick(cut: &[u64; TOGETHER], lit: &[LitRows; TOGETHER], eye: &EyeRows, cuts: &mut CutRows) {
    let mut found = 0;
    for (nth, marked) in cut.iter().enumerate() {
        let mut marked = *marked;
        let rows = &lit[nth].0;
        while marked != 0 {
            let build = marked.trailing_zeros() as usize % BLOCK_BUILDS;
            // never out of range; the remainders only spare the check
            let at = found % MOST;
            cuts.place[at] = (nth * BLOCK_BUILDS + build) as u8;
            cuts.own[at] = eye.radius[build];
            cuts.image[at] = rows[IMAGE_RADIUS][build];
            cuts.distance_squared[at] = rows[DISTANCE_SQUARED][build];
            found += 1;
            marked &= marked - 1;
        }
    }
}

/// Builds of the widest register.
const LANES: usize = 8;

/// What is left of the first `count` pupils; some more are worked out for nothing.
#[inline(always)]
fn work_out(cuts: &mut CutRows, count: usize) {
    let end = count.next_multiple_of(LANES).min(MOST);
    for at in 0..end {
        let radii = [cuts.own[at], cuts.image[at]];
        let [first, second] = Cut::chords(radii, cuts.distance_squared[at]);
        cuts.first[at] = first;
        cuts.second[at] = second;
    }
    for at in 0..end {
        cuts.first[at] = disc_segment(cuts.first[at]);
    }
    for at in 0..end {
        cuts.second[at] = disc_segment(cuts.second[at]);
    }
    for at in 0..end {
        let segments = [cuts.first[at], cuts.second[at]];
        let one = Cut::new([cuts.own[at], cuts.image[at]], segments);
        cuts.first[at] = one.clear;
        cuts.second[at] = one.pull;
    }
}

/// Puts what was worked out back into its rows.
#[inline(always)]
fn put_back(
    cuts: &CutRows,
    count: usize,
    lit: &[LitRows; TOGETHER],
    focus_per_mm: f64,
    seen: &mut [SeenRows],
) {
    for at in 0..count.min(MOST) {
        let place = usize::from(cuts.place[at]);
        let (nth, build) = (place / BLOCK_BUILDS, place % BLOCK_BUILDS);
        let Some(seen) = seen.get_mut(nth) else {
            continue;
        };
        let moved = moved(&lit[nth], build, cuts.second[at], focus_per_mm);
        seen.u[build] += moved[0];
        seen.v[build] += moved[1];
        seen.clear[build] *= cuts.first[at];
    }
}

/// [`Lit::moved`](crate::vision::Lit::moved) from rows.
#[inline(always)]
fn moved(lit: &LitRows, build: usize, pull: f64, focus_per_mm: f64) -> [f64; 2] {
    let by = pull * (focus_per_mm - lit.0[PER_FROM_EYE][build]);
    [lit.0[IMAGE_X][build] * by, lit.0[IMAGE_Y][build] * by]
}

/// Works out a whole row, and keeps it where the pupil is cut.
#[inline(always)]
fn cut_all(
    lit: &LitRows,
    eye: &EyeRows,
    focus_per_mm: f64,
    cuts: &mut CutRows,
    seen: &mut SeenRows,
) {
    cuts.own[..BLOCK_BUILDS].copy_from_slice(&eye.radius);
    cuts.image[..BLOCK_BUILDS].copy_from_slice(&lit.0[IMAGE_RADIUS]);
    cuts.distance_squared[..BLOCK_BUILDS].copy_from_slice(&lit.0[DISTANCE_SQUARED]);
    work_out(cuts, BLOCK_BUILDS);
    for build in 0..BLOCK_BUILDS {
        let is_cut = lit.0[WHOLE][build] == 0.0;
        let [x, y] = moved(lit, build, cuts.second[build], focus_per_mm);
        seen.u[build] += if is_cut { x } else { 0.0 };
        seen.v[build] += if is_cut { y } else { 0.0 };
        seen.clear[build] *= if is_cut { cuts.first[build] } else { 1.0 };
    }
}
