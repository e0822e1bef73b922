//! A block of builds at once: the same as [`super::Built`] of each, row by row in the machine's widest lanes.
//!
//! Every formula is the one that a single build uses (`geometry`, `mechanics`, `vision`); here stand only the loops over
//! the builds of a block, and what a build's looks share is worked out once.

use super::build::{NotComputable, bowed_middle_mm};
use super::rows::Marks;
use crate::elementary::{Kernel, widest};
use crate::figure::{Plan, Plate, Source};
use crate::geometry::{Pair, PlacedPlate, PlatePose, Point, Straight};
use crate::mechanics::{LARGEST_SAG_SHARE, LoadedSpan};
use crate::sampling::{BLOCK_BUILDS, Row};
use crate::vision::{Framed, Peephole};

/// Reasons why a trial cannot be computed, one bit for each of [`NotComputable::ALL`].
pub(super) type Faults = [u64; BLOCK_BUILDS];

/// The bit of a reason.
pub(super) const fn bit(reason: NotComputable) -> u64 {
    1 << reason as u64
}

/// Nothing where all is well, else the bit of the reason.
#[inline(always)]
pub(super) fn unless(is_well: bool, reason: NotComputable) -> u64 {
    if is_well { 0 } else { bit(reason) }
}

/// A point of a rod in every build, as the build's peephole frames it.
#[derive(Debug, Clone)]
#[repr(C, align(64))]
pub(super) struct PointRows {
    x: [f64; BLOCK_BUILDS],
    y: [f64; BLOCK_BUILDS],
    z: [f64; BLOCK_BUILDS],
    per_from_plate: [f64; BLOCK_BUILDS],
}

impl PointRows {
    const NOWHERE: Self = Self {
        x: [0.0; BLOCK_BUILDS],
        y: [0.0; BLOCK_BUILDS],
        z: [0.0; BLOCK_BUILDS],
        per_from_plate: [0.0; BLOCK_BUILDS],
    };

    #[inline(always)]
    pub(super) fn framed(&self, build: usize) -> Framed {
        Framed {
            place_mm: self.place_mm(build),
            per_from_plate_mm: self.per_from_plate[build],
        }
    }

    #[inline(always)]
    fn place_mm(&self, build: usize) -> Point {
        Point::new(self.x[build], self.y[build], self.z[build])
    }

    /// Puts the point of one build in its place and returns whether that is a place at all.
    #[inline(always)]
    fn put(&mut self, build: usize, place_mm: Point, peephole_mm: Point) -> bool {
        let framed = Framed::new(place_mm, peephole_mm);
        self.x[build] = place_mm.x;
        self.y[build] = place_mm.y;
        self.z[build] = place_mm.z;
        self.per_from_plate[build] = framed.per_from_plate_mm;
        is_finite(place_mm)
    }
}

/// Whether all of a place are numbers; without a branch.
#[inline(always)]
pub(super) fn is_finite(p: Point) -> bool {
    // 0·∞ and 0·NaN are no number
    p.x * 0.0 + p.y * 0.0 + p.z * 0.0 == 0.0
}

/// The peephole of every build.
#[derive(Debug, Clone)]
#[repr(C, align(64))]
pub(super) struct PeepholeRows {
    x: [f64; BLOCK_BUILDS],
    y: [f64; BLOCK_BUILDS],
    z: [f64; BLOCK_BUILDS],
    /// At no place: what all builds share.
    nominal: Peephole,
}

impl PeepholeRows {
    #[inline(always)]
    pub(super) fn of(&self, build: usize) -> Peephole {
        self.nominal
            .at(Point::new(self.x[build], self.y[build], self.z[build]))
    }
}

fn nominal_peephole(plan: &Plan) -> Peephole {
    Peephole::new(Point::zeros(), plan.design.peephole.diameter_mm / 2.0)
}

/// A plate of every build.
#[derive(Debug, Clone)]
#[repr(C, align(64))]
struct PlateRows([[f64; BLOCK_BUILDS]; 9]);

impl PlateRows {
    #[inline(always)]
    fn of(&self, build: usize, centre_mm: Pair) -> PlacedPlate {
        let [a, b, c, d, e, f, g, h, i] = &self.0;
        PlacedPlate::from_parts(
            centre_mm,
            [
                a[build], b[build], c[build], d[build], e[build], f[build], g[build], h[build],
                i[build],
            ],
        )
    }
}

/// A line of every build: where it runs, what its tension lets it sag, and where it ends.
#[derive(Debug, Clone)]
#[repr(C, align(64))]
struct LineRows {
    from: [[f64; BLOCK_BUILDS]; 3],
    slope: [[f64; BLOCK_BUILDS]; 2],
    rear_z: [f64; BLOCK_BUILDS],
    per_tension: [f64; BLOCK_BUILDS],
}

impl LineRows {
    const NOWHERE: Self = Self {
        from: [[0.0; BLOCK_BUILDS]; 3],
        slope: [[0.0; BLOCK_BUILDS]; 2],
        rear_z: [0.0; BLOCK_BUILDS],
        per_tension: [0.0; BLOCK_BUILDS],
    };

    #[inline(always)]
    fn straight(&self, build: usize) -> Straight {
        let [x, y, z] = &self.from;
        Straight {
            from_mm: Point::new(x[build], y[build], z[build]),
            slope: Pair::new(self.slope[0][build], self.slope[1][build]),
        }
    }
}

/// All builds of a block.
#[derive(Debug, Clone)]
pub struct BuildRows {
    pub(super) ends: Vec<PointRows>,
    pub(super) middles: Vec<PointRows>,
    pub(super) peephole: PeepholeRows,
    lines: Vec<LineRows>,
    plates: Box<[PlateRows; 2]>,
    faults: Faults,
}

impl BuildRows {
    /// Room for a block of builds of `plan`.
    pub fn new(plan: &Plan) -> Self {
        Self {
            ends: vec![PointRows::NOWHERE; plan.targets.len()],
            middles: vec![PointRows::NOWHERE; plan.middle_count()],
            peephole: PeepholeRows {
                x: [0.0; BLOCK_BUILDS],
                y: [0.0; BLOCK_BUILDS],
                z: [0.0; BLOCK_BUILDS],
                nominal: nominal_peephole(plan),
            },
            lines: vec![LineRows::NOWHERE; plan.design.vertices.len()],
            plates: Box::new([const { PlateRows([[0.0; BLOCK_BUILDS]; 9]) }; 2]),
            faults: [0; BLOCK_BUILDS],
        }
    }

    /// Works out the builds whose values are `values` (one row a value, laid out by `plan.layout`).
    pub fn set(&mut self, plan: &Plan, values: &[Row]) {
        self.faults = [0; BLOCK_BUILDS];
        self.peephole.nominal = nominal_peephole(plan);
        widest(PlacePeephole {
            plan,
            values,
            rows: self,
        });
        widest(PlacePlates {
            plan,
            values,
            plates: &mut self.plates,
        });
        widest(StringLines {
            plan,
            values,
            rows: self,
        });
        widest(HangRods {
            plan,
            values,
            rows: self,
        });
        if plan.with_middles {
            widest(BowRods {
                plan,
                values,
                rows: self,
            });
        }
    }

    /// Which of the block's first `count` builds can be computed.
    pub fn computable(&self, count: usize) -> Marks {
        let mut computable = [0; BLOCK_BUILDS];
        for (build, mark) in computable.iter_mut().enumerate().take(count) {
            *mark = u64::from(self.fault(build).is_none());
        }
        computable
    }

    /// Why build `build` of the block cannot be computed, if so.
    pub fn fault(&self, build: usize) -> Option<NotComputable> {
        /// What a build alone would have met first.
        const FIRST_MET: [NotComputable; 5] = [
            NotComputable::PlatesCross,
            NotComputable::NoTension,
            NotComputable::SagOutOfRange,
            NotComputable::RodOutsidePlates,
            NotComputable::NotFinite,
        ];
        FIRST_MET
            .into_iter()
            .find(|reason| self.faults[build] & bit(*reason) != 0)
    }
}

/// Rows of a source's pair of values.
#[inline(always)]
fn pair_rows(values: &[Row], start: usize, item: usize) -> [&[f64; BLOCK_BUILDS]; 2] {
    let first = start + 2 * item;
    [&values[first].0, &values[first + 1].0]
}

#[inline(always)]
fn pair_of(rows: [&[f64; BLOCK_BUILDS]; 2], build: usize) -> Pair {
    Pair::new(rows[0][build], rows[1][build])
}

struct PlacePeephole<'a> {
    plan: &'a Plan,
    values: &'a [Row],
    rows: &'a mut BuildRows,
}

impl Kernel for PlacePeephole<'_> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        let layout = &self.plan.layout;
        let shift = pair_rows(self.values, layout.start(Source::PeepholeShift), 0);
        let depth = &self.values[layout.start(Source::PeepholeDepth)].0;
        let relief_mm = self.plan.design.peephole.eye_relief_mm;
        let mut faults = [0; BLOCK_BUILDS];
        let peephole = &mut self.rows.peephole;
        for build in 0..BLOCK_BUILDS {
            let centre = Point::new(shift[0][build], shift[1][build], relief_mm + depth[build]);
            peephole.x[build] = centre.x;
            peephole.y[build] = centre.y;
            peephole.z[build] = centre.z;
            faults[build] = unless(is_finite(centre), NotComputable::NotFinite);
        }
        self.rows.faults = faults;
    }
}

struct PlacePlates<'a> {
    plan: &'a Plan,
    values: &'a [Row],
    plates: &'a mut [PlateRows; 2],
}

impl Kernel for PlacePlates<'_> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        for (side, plate) in Plate::BOTH.into_iter().enumerate() {
            let spec = self.plan.design.plates[side];
            let start = |source: Source| self.plan.layout.start(source);
            let one = |source: Source| &self.values[start(source)].0;
            let shift = pair_rows(self.values, start(Source::PatternShift(plate)), 0);
            let turn = one(Source::PatternTurn(plate));
            let scale = one(Source::PrintScale(plate));
            let depth = one(Source::SeatDepth(plate));
            let tilt_x = one(Source::TiltX(plate));
            let tilt_y = one(Source::TiltY(plate));
            let mut placed = [[0.0; BLOCK_BUILDS]; 9];
            for build in 0..BLOCK_BUILDS {
                let parts = PlatePose {
                    shift_mm: pair_of(shift, build),
                    turn_rad: turn[build],
                    scale: scale[build],
                    seat_depth_mm: depth[build],
                    tilt_x_rad: tilt_x[build],
                    tilt_y_rad: tilt_y[build],
                }
                .place(spec.centre_mm, spec.z_mm)
                .parts();
                for part in 0..parts.len() {
                    placed[part][build] = parts[part];
                }
            }
            self.plates[side].0 = placed;
        }
    }
}

struct StringLines<'a> {
    plan: &'a Plan,
    values: &'a [Row],
    rows: &'a mut BuildRows,
}

impl Kernel for StringLines<'_> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        let Self { plan, values, rows } = self;
        let start = |source: Source| plan.layout.start(source);
        let scatter = Plate::BOTH.map(|plate| start(Source::HoleScatter(plate)));
        let slack = Plate::BOTH.map(|plate| start(Source::HoleSlack(plate)));
        let (hand, slackening) = (start(Source::HandTension), start(Source::Slackening));
        let shared = plan.design.tension_is_shared();
        let centres = plan.design.plates.map(|plate| plate.centre_mm);
        let mut faults = rows.faults;
        for (line, out) in rows.lines.iter_mut().enumerate() {
            let nominal = [plan.holes_mm[0][line], plan.holes_mm[1][line]];
            let scattered = scatter.map(|start| pair_rows(values, start, line));
            let slacked = slack.map(|start| pair_rows(values, start, line));
            let pull = &values[hand + if shared { 0 } else { line }].0;
            let kept = &values[slackening + line].0;
            let tension = plan.tensions_n[line];
            // M ≤ share·L·T, told through 1/T so that there is one quotient only
            let most_per_tension =
                LARGEST_SAG_SHARE * plan.spans[line].length_mm / plan.largest_moments_n_mm[line];
            let mut local = LineRows::NOWHERE;
            for build in 0..BLOCK_BUILDS {
                let front = rows.plates[0].of(build, centres[0]).hole_mm(
                    nominal[0],
                    pair_of(scattered[0], build) + pair_of(slacked[0], build),
                );
                let rear = rows.plates[1].of(build, centres[1]).hole_mm(
                    nominal[1],
                    pair_of(scattered[1], build) + pair_of(slacked[1], build),
                );
                let straight = Straight::through(front, rear);
                local.from[0][build] = front.x;
                local.from[1][build] = front.y;
                local.from[2][build] = front.z;
                local.slope[0][build] = straight.slope.x;
                local.slope[1][build] = straight.slope.y;
                local.rear_z[build] = rear.z;
                let tension_n = tension * pull[build] * kept[build];
                let per_tension = 1.0 / tension_n;
                local.per_tension[build] = per_tension;
                let crossed = unless(rear.z > front.z, NotComputable::PlatesCross);
                let loose = unless(tension_n > 0.0, NotComputable::NoTension);
                let sags = unless(
                    per_tension <= most_per_tension,
                    NotComputable::SagOutOfRange,
                );
                faults[build] |= crossed | loose | sags;
            }
            *out = local;
        }
        rows.faults = faults;
    }
}

struct HangRods<'a> {
    plan: &'a Plan,
    values: &'a [Row],
    rows: &'a mut BuildRows,
}

impl Kernel for HangRods<'_> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        let Self { plan, values, rows } = self;
        let tie_start = plan.layout.start(Source::RodTie);
        let slip_start = plan.layout.start(Source::RodSlip);
        let front_z_mm = plan.design.plates[0].z_mm;
        let down = plan.design.gravity.down;
        let mut faults = rows.faults;
        let ends = plan.design.rods.iter().flat_map(|rod| rod.ends);
        for ((end, rod_end), out) in ends.enumerate().zip(&mut rows.ends) {
            let line = &rows.lines[rod_end.line];
            let tie = pair_rows(values, tie_start, end);
            let slip = &values[slip_start + end].0;
            let mut depths = [0.0; BLOCK_BUILDS];
            for build in 0..BLOCK_BUILDS {
                depths[build] = rod_end.depth_mm + slip[build];
            }
            let moments = moment_rows(&plan.spans[rod_end.line], &depths, front_z_mm);
            for build in 0..BLOCK_BUILDS {
                let z_mm = depths[build];
                let straight = line.straight(build);
                let sag_mm = moments[build] * line.per_tension[build];
                let place = straight.at_mm(z_mm) + down * sag_mm + pair_of(tie, build);
                let finite = out.put(
                    build,
                    Point::new(place.x, place.y, z_mm),
                    rows.peephole.of(build).centre_mm,
                );
                let inside = z_mm > straight.from_mm.z && z_mm < line.rear_z[build];
                faults[build] |= unless(inside, NotComputable::RodOutsidePlates)
                    | unless(finite, NotComputable::NotFinite);
            }
        }
        rows.faults = faults;
    }
}

/// [`LoadedSpan::moment_n_mm`] at every build's depth.
#[inline(always)]
fn moment_rows(
    span: &LoadedSpan,
    depths_mm: &[f64; BLOCK_BUILDS],
    front_z_mm: f64,
) -> [f64; BLOCK_BUILDS] {
    let mut moments = [0.0; BLOCK_BUILDS];
    for build in 0..BLOCK_BUILDS {
        moments[build] = span.own_moment_n_mm(depths_mm[build] - front_z_mm);
    }
    for load in &span.loads {
        for build in 0..BLOCK_BUILDS {
            moments[build] += span.moment_of_n_mm(load, depths_mm[build] - front_z_mm);
        }
    }
    for build in 0..BLOCK_BUILDS {
        let inside = span.is_inside(depths_mm[build] - front_z_mm);
        moments[build] = if inside { moments[build] } else { 0.0 };
    }
    moments
}

struct BowRods<'a> {
    plan: &'a Plan,
    values: &'a [Row],
    rows: &'a mut BuildRows,
}

impl Kernel for BowRods<'_> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        let Self { plan, values, rows } = self;
        let bow_start = plan.layout.start(Source::RodBow);
        let mut faults = rows.faults;
        for ((rod, ends), out) in rows.ends.chunks_exact(2).enumerate().zip(&mut rows.middles) {
            let bow = pair_rows(values, bow_start, rod);
            for build in 0..BLOCK_BUILDS {
                let middle = bowed_middle_mm(
                    ends[0].place_mm(build),
                    ends[1].place_mm(build),
                    pair_of(bow, build),
                );
                let finite = out.put(build, middle, rows.peephole.of(build).centre_mm);
                faults[build] |= unless(finite, NotComputable::NotFinite);
            }
        }
        rows.faults = faults;
    }
}
