//! What a layout must keep, and what breaks it.

use super::super::scatter::Scatter;
use super::laid::Choice;
use crate::figure::{Allowed, Design, Plan, Plate, Source};
use crate::geometry::{Point, segment_distance};
use crate::mechanics::{LARGEST_SAG_SHARE, STEEPEST_LINE_DEG};
use crate::trial::least_clear_at_the_eye;

/// A wall of the cabinet, as the visitor sees it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wall {
    /// At the visitor's left.
    Left,
    /// At the visitor's right.
    Right,
    /// The floor.
    Floor,
    /// The ceiling.
    Ceiling,
}

/// What is to be kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rule {
    /// The front plate stands clear of the peephole's plate.
    FrontRoom,
    /// The rear plate stands clear of the rear wall.
    RearRoom,
    /// Between the plates there is room for rods.
    Room,
    /// A line's hole in the rear plate stays clear of a wall.
    AtWall(usize, Wall),
    /// A line runs no steeper than the model's formulas hold.
    Steep(usize),
    /// Two holes of a plate are as far apart as its material bears.
    Holes(Plate, usize, usize),
    /// The figure is no smaller than allowed.
    Small,
    /// The figure is no larger than allowed.
    Large,
    /// The mean eye at the station point sees the line's rods through the peephole.
    Seen(usize),
    /// A line sags within the range of its formula.
    Sag(usize),
    /// A rod is no shorter than the stock.
    Short(usize),
    /// A rod is no longer than the stock.
    Long(usize),
    /// A rod's end hangs clear of the front plate.
    Window(usize),
    /// A rod's end hangs clear of the rear plate.
    Rear(usize),
    /// Two rods do not touch.
    Rods(usize, usize),
    /// A line does not touch a rod that hangs on others.
    LineAtRod(usize, usize),
    /// The depths are spread.
    Spread,
    /// The figure falls apart for whoever looks from elsewhere.
    FallsApart,
    /// Enough looks show the whole figure.
    Clear,
    /// Enough builds pass.
    Yield,
}

/// A rule that is broken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Breach {
    /// Which.
    pub rule: Rule,
    /// What there is, in the rule's own unit (mm, rad, or a share).
    pub has: f64,
    /// What it should be at least, or at most.
    pub needs: f64,
    /// By how much it is broken, as a share of what is needed; at most [`Breach::MOST`] (twice that without room for rods).
    pub by: f64,
}

impl Breach {
    /// Most that one rule can weigh.
    pub const MOST: f64 = 10.0;

    fn new(rule: Rule, has: f64, needs: f64, scale: f64) -> Self {
        let by = ((has - needs).abs() / scale.abs().max(1e-9)).min(Self::MOST);
        Self {
            rule,
            has,
            needs,
            // what cannot be computed is as bad as can be
            by: if by.is_nan() { Self::MOST } else { by },
        }
    }

    /// `Some` where `has` is under `least`.
    pub(super) fn under(rule: Rule, has: f64, least: f64) -> Option<Self> {
        (!(has >= least)).then(|| Self::new(rule, has, least, least))
    }

    /// `Some` where `has` is over `most`.
    pub(super) fn over(rule: Rule, has: f64, most: f64) -> Option<Self> {
        (!(has <= most)).then(|| Self::new(rule, has, most, most))
    }
}

impl Rule {
    /// Whether only trials show that it is broken.
    pub(super) fn needs_trials(self) -> bool {
        matches!(self, Self::Clear | Self::Yield)
    }

    /// The choices that can mend it; none where all rods have a part in it.
    pub(super) fn choices(self, design: &Design) -> Vec<Choice> {
        use Choice::{End, Front, PicturePlane, Rear};
        let ends = |rod: usize| [End(2 * rod), End(2 * rod + 1)];
        match self {
            Self::FrontRoom => vec![Front],
            Self::RearRoom => vec![Rear],
            Self::Room => vec![Front, Rear],
            Self::AtWall(..) => vec![Rear, PicturePlane],
            Self::Steep(_) | Self::Small | Self::Large | Self::Seen(_) | Self::Clear => {
                vec![PicturePlane]
            }
            Self::Holes(..) => vec![Front, PicturePlane],
            Self::Sag(line) => {
                let hung = design.rods.iter().enumerate().flat_map(|(rod, one)| {
                    (0..2).filter_map(move |end| {
                        (one.ends[end].line == line).then_some(End(2 * rod + end))
                    })
                });
                [Front, Rear, PicturePlane]
                    .into_iter()
                    .chain(hung)
                    .collect()
            }
            Self::Short(rod) | Self::Long(rod) => {
                ends(rod).into_iter().chain([PicturePlane]).collect()
            }
            Self::Window(end) | Self::Rear(end) => vec![End(end)],
            Self::Rods(a, b) => ends(a)
                .into_iter()
                .chain(ends(b))
                .chain([PicturePlane])
                .collect(),
            Self::LineAtRod(_, rod) => ends(rod).into_iter().chain([PicturePlane]).collect(),
            Self::Spread | Self::FallsApart | Self::Yield => Vec::new(),
        }
    }
}

/// The rules that a design breaks, all but those that need trials; the figure must have fallen apart at a head movement of
/// `apart_within_mm`.
pub fn breaches(plan: &Plan, allowed: &Allowed, apart_within_mm: f64) -> Vec<Breach> {
    let design = &plan.design;
    let [front_mm, rear_mm] = design.plates.map(|plate| plate.z_mm);
    let inner_face_mm = design.peephole.eye_relief_mm + design.peephole.plate_mm;
    let [nearest_mm, farthest_mm] = allowed.plates_within_mm(inner_face_mm);
    let [near_mm, far_mm] = allowed.hang_mm([front_mm, rear_mm]);
    let mut found = Vec::new();
    found.extend(Breach::under(Rule::FrontRoom, front_mm, nearest_mm));
    found.extend(Breach::over(Rule::RearRoom, rear_mm, farthest_mm));
    if !(far_mm - near_mm >= 1.0) || !(rear_mm - front_mm >= 1.0) {
        let scale_mm = allowed.inside_mm[2];
        let room = Breach::new(Rule::Room, far_mm - near_mm, 1.0, scale_mm);
        // nothing else can be told of it
        found.push(Breach {
            by: room.by + Breach::MOST,
            ..room
        });
        return found;
    }
    at_walls(plan, allowed, &mut found);
    holes(plan, allowed, &mut found);
    found.extend(Breach::under(
        Rule::Small,
        plan.figure_rad,
        allowed.figure_rad[0] * (1.0 - ROUNDING),
    ));
    found.extend(Breach::over(
        Rule::Large,
        plan.figure_rad,
        allowed.figure_rad[1] * (1.0 + ROUNDING),
    ));
    if let Some((end, share)) = least_clear_at_the_eye(plan) {
        let line = design.rods[end / 2].ends[end % 2].line;
        found.extend(Breach::under(
            Rule::Seen(line),
            share,
            design.peephole.clip_below,
        ));
    }
    for (line, (span, moment)) in plan
        .spans
        .iter()
        .zip(&plan.largest_moments_n_mm)
        .enumerate()
    {
        let share = moment / (plan.tensions_n[line] * span.length_mm);
        found.extend(Breach::over(Rule::Sag(line), share, LARGEST_SAG_SHARE));
    }
    for rod in 0..design.rods.len() {
        let length_mm = plan.rod_length_mm(rod);
        found.extend(Breach::under(
            Rule::Short(rod),
            length_mm,
            allowed.length_mm[0],
        ));
        found.extend(Breach::over(
            Rule::Long(rod),
            length_mm,
            allowed.length_mm[1],
        ));
    }
    for (end, depth_mm) in design.depths_mm().into_iter().enumerate() {
        let room_mm = far_mm - near_mm;
        if depth_mm < near_mm {
            found.push(Breach::new(Rule::Window(end), depth_mm, near_mm, room_mm));
        }
        if depth_mm > far_mm {
            found.push(Breach::new(Rule::Rear(end), depth_mm, far_mm, room_mm));
        }
    }
    touching(plan, allowed, &mut found);
    let scatter = Scatter::of(plan);
    let spread = scatter.depth_spread_mm / allowed.inside_mm[2];
    found.extend(Breach::under(Rule::Spread, spread, allowed.least_spread));
    if !plan.junctions.is_empty() {
        found.extend(Breach::over(
            Rule::FallsApart,
            scatter.movement_mm(),
            apart_within_mm * (1.0 + ROUNDING),
        ));
    }
    found
}

/// The figure as it is drawn must be within bounds that are multiples of it.
const ROUNDING: f64 = 1e-9;

fn at_walls(plan: &Plan, allowed: &Allowed, found: &mut Vec<Breach>) {
    let [left_mm, floor_mm] = allowed.axis_mm;
    let [width_mm, height_mm, _] = allowed.inside_mm;
    let rear = plan.design.plates[1];
    let room_mm = allowed.hole_to_wall_mm + rear.hole_mm / 2.0;
    for (line, hole) in plan.holes_mm[1].iter().enumerate() {
        // +x is the viewer's left
        let from = [
            (Wall::Left, left_mm - hole.x),
            (Wall::Right, width_mm - left_mm + hole.x),
            (Wall::Floor, floor_mm + hole.y),
            (Wall::Ceiling, height_mm - floor_mm - hole.y),
        ];
        for (wall, from_mm) in from {
            if from_mm < room_mm {
                let scale_mm = hole.norm().max(room_mm);
                found.push(Breach::new(
                    Rule::AtWall(line, wall),
                    from_mm,
                    room_mm,
                    scale_mm,
                ));
            }
        }
    }
}

fn holes(plan: &Plan, allowed: &Allowed, found: &mut Vec<Breach>) {
    for (line, vertex) in plan.design.vertices.iter().enumerate() {
        let angle_rad = libm::atan(vertex.direction.norm());
        let most_rad = STEEPEST_LINE_DEG.to_radians();
        found.extend(Breach::over(Rule::Steep(line), angle_rad, most_rad));
    }
    for plate in Plate::BOTH {
        let holes = &plan.holes_mm[plate.index()];
        let least_mm = allowed.holes_apart_on_mm(plate);
        for (a, one) in holes.iter().enumerate() {
            for (b, other) in holes.iter().enumerate().skip(a + 1) {
                let apart_mm = (one - other).norm();
                found.extend(Breach::under(Rule::Holes(plate, a, b), apart_mm, least_mm));
            }
        }
    }
}

/// Whether the boxes round two segments are so far apart that the segments surely are.
fn are_clear(first: &[Point; 2], second: &[Point; 2], need_mm: f64) -> bool {
    (0..3).any(|axis| {
        let [a, b] = [first, second].map(|ends| {
            let [one, other] = ends.map(|end| end[axis]);
            [one.min(other), one.max(other)]
        });
        a[0] - b[1] >= need_mm || b[0] - a[1] >= need_mm
    })
}

fn touching(plan: &Plan, allowed: &Allowed, found: &mut Vec<Breach>) {
    let design = &plan.design;
    // a rod that is tied on a known side lies there; one that is tied on any side lies on its line on average
    let ties = design.law(Source::RodTie);
    let rods: Vec<[Point; 2]> = design
        .rods
        .iter()
        .enumerate()
        .map(|(rod, one)| {
            let ends = one.ends_mm(&design.vertices);
            [0, 1].map(|end| {
                let [x, y] = ties.spread(2 * rod + end).mean;
                ends[end] + Point::new(x, y, 0.0)
            })
        })
        .collect();
    let thick_mm: Vec<f64> = design.rods.iter().map(|rod| rod.diameter_mm).collect();
    for (a, first) in rods.iter().enumerate() {
        for (b, second) in rods.iter().enumerate().skip(a + 1) {
            let need_mm = f64::midpoint(thick_mm[a], thick_mm[b]) + allowed.rod_gap_mm;
            if are_clear(first, second, need_mm) {
                continue;
            }
            let apart_mm = segment_distance(*first, *second);
            found.extend(Breach::under(Rule::Rods(a, b), apart_mm, need_mm));
        }
    }
    let line_mm = design.line.diameter_mm;
    for line in 0..design.vertices.len() {
        // the line as if it went on beyond its plates: a rod that hangs out there must not seem clear of it
        let slope = design.vertices[line].direction;
        let run = [0.5 * design.plates[0].z_mm, 2.0 * design.plates[1].z_mm]
            .map(|z_mm| Point::new(slope.x * z_mm, slope.y * z_mm, z_mm));
        for (rod, ends) in rods.iter().enumerate() {
            if design.rods[rod].ends.iter().any(|end| end.line == line) {
                continue;
            }
            let need_mm = f64::midpoint(thick_mm[rod], line_mm) + allowed.rod_gap_mm;
            if are_clear(&run, ends, need_mm) {
                continue;
            }
            let apart_mm = segment_distance(run, *ends);
            found.extend(Breach::under(Rule::LineAtRod(line, rod), apart_mm, need_mm));
        }
    }
}
