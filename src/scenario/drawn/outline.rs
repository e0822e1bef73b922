//! Outlines of a drawing as points and edges: curves become chords that stay within a stated distance of them.

use super::net::{Loose, LoosePoint, Role};
use kurbo::{BezPath, PathEl, Point, Shape};

/// The outline of one shape, on the picture plane, to the viewer's right and up, mm.
#[derive(Debug, Clone)]
pub(super) struct Outline {
    /// What its vertices are called after.
    pub name: Option<String>,
    pub path: BezPath,
}

/// Lowest and highest place of all outlines, mm; `None` without any.
pub(super) fn bounds_mm(outlines: &[Outline]) -> Option<[[f64; 2]; 2]> {
    let boxes = outlines
        .iter()
        .map(|outline| outline.path.bounding_box())
        .reduce(|one, other| one.union(other))?;
    Some([[boxes.x0, boxes.y0], [boxes.x1, boxes.y1]])
}

/// Points and edges of outlines, and how far a chord may be from its curve after all.
#[derive(Debug, Clone, Default)]
pub(super) struct Flattened {
    pub loose: Loose,
    /// Curves that became chords.
    pub curves_n: usize,
    /// Bound on the distance of a chord from its curve, mm.
    pub off_mm: f64,
    /// Whether there were more points than are looked at.
    pub too_many: bool,
}

/// Most points before joining: far beyond what a figure may have.
const MOST_POINTS: usize = 200_000;

/// How far the four cubics that the drawing's circles and arcs were turned into are off them, as a share of the radius: 2.73e-4 for
/// a quarter of a circle (the usual approximation that touches at ends and middle).
const ARC_OFF_SHARE: f64 = 2.8e-4;
/// The share of the stated distance that is spent on leaving out points on nearly straight stretches.
const STRAIGHT_SHARE: f64 = 0.1;
/// The least share that is left for the chords themselves.
const LEAST_CHORD_SHARE: f64 = 0.2;

/// Turns outlines into points and edges; a chord is at most `flatten_mm` off its curve, unless a circle is so large that its
/// cubics alone are farther off, and then `off_mm` says how much.
pub(super) fn flattened(outlines: &[Outline], flatten_mm: f64) -> Flattened {
    let mut flattened = Flattened::default();
    for outline in outlines {
        let bounds = outline.path.bounding_box();
        let arc_off_mm = ARC_OFF_SHARE * 0.5 * bounds.width().max(bounds.height());
        let straight_mm = STRAIGHT_SHARE * flatten_mm;
        let chord_mm = (flatten_mm - straight_mm - arc_off_mm).max(LEAST_CHORD_SHARE * flatten_mm);
        let mut pen = Pen {
            into: &mut flattened,
            name: outline.name.as_deref(),
            chord_mm,
            straight_mm,
            start: Point::ZERO,
            run: Vec::new(),
        };
        pen.draw(&outline.path);
        let curved = outline
            .path
            .elements()
            .iter()
            .any(|one| matches!(one, PathEl::QuadTo(..) | PathEl::CurveTo(..)));
        if curved {
            let off_mm = straight_mm + chord_mm + arc_off_mm;
            flattened.off_mm = flattened.off_mm.max(off_mm);
        }
        if flattened.loose.points.len() > MOST_POINTS {
            flattened.too_many = true;
            break;
        }
    }
    flattened
}

/// A point of a run, and whether only curves meet there.
type RunPoint = (Point, bool);

/// Follows one outline and puts down its points.
struct Pen<'f> {
    into: &'f mut Flattened,
    name: Option<&'f str>,
    chord_mm: f64,
    straight_mm: f64,
    start: Point,
    run: Vec<RunPoint>,
}

impl Pen<'_> {
    fn draw(&mut self, path: &BezPath) {
        // whether the element before was a curve: where two curves meet, a point may turn out needless
        let mut after_curve = false;
        for element in path.elements() {
            match *element {
                PathEl::MoveTo(to) => {
                    self.put_down();
                    self.start = to;
                    self.run.push((to, false));
                    after_curve = false;
                }
                PathEl::LineTo(to) => {
                    self.line_to(to);
                    after_curve = false;
                }
                PathEl::ClosePath => {
                    let start = self.start;
                    if self.run.last().is_some_and(|(last, _)| *last != start) {
                        self.line_to(start);
                    }
                    self.put_down();
                    // what goes on after a closing starts where the closed piece did
                    self.run.push((start, false));
                    after_curve = false;
                }
                PathEl::QuadTo(..) | PathEl::CurveTo(..) => {
                    self.curve(*element, after_curve);
                    after_curve = true;
                }
            }
            if self.into.loose.points.len() + self.run.len() > MOST_POINTS {
                break;
            }
        }
        self.put_down();
    }

    fn line_to(&mut self, to: Point) {
        self.run.push((to, false));
    }

    fn curve(&mut self, element: PathEl, after_curve: bool) {
        let Some(last) = self.run.last_mut() else {
            return;
        };
        last.1 = after_curve;
        let from = last.0;
        self.into.curves_n += 1;
        let chords = chords(from, element, self.chord_mm);
        self.run
            .extend(chords.into_iter().skip(1).map(|to| (to, true)));
        // its end belongs to the drawing, unless another curve follows
        if let Some(end) = self.run.last_mut() {
            end.1 = false;
        }
    }

    /// Puts the run down without the points that a straight stretch of curve does not need.
    fn put_down(&mut self) {
        let run = std::mem::take(&mut self.run);
        if run.len() < 2 {
            return;
        }
        let name = || self.name.map(str::to_owned);
        let mut before: Option<usize> = None;
        for nth in needed(&run, self.straight_mm) {
            let (place, on_curve) = run[nth];
            let role = if on_curve {
                Role::OnCurve(name())
            } else {
                Role::Drawn(name())
            };
            let here = self.into.loose.points.len();
            self.into.loose.points.push(LoosePoint {
                place_mm: [place.x, place.y],
                role,
            });
            if let Some(before) = before {
                self.into.loose.edges.push([before, here]);
            }
            before = Some(here);
        }
    }
}

/// The ends of chords along a curve, none farther off it than `off_mm`. The library's own steps are closer than they need be, so
/// wider ones are tried, with their ends put onto a fine line along the curve, and held against that line: every chord is a rod to
/// cut and to hang.
fn chords(from: Point, element: PathEl, off_mm: f64) -> Vec<Point> {
    const FINE_SHARE: f64 = 0.02;
    const TRIED: [f64; 9] = [6.0, 4.5, 3.4, 2.6, 2.0, 1.5, 1.2, 1.0, 0.7];
    // beyond it no figure has so many rods anyway
    const MOST_FINE: usize = 2000;
    let fine = steps(from, element, FINE_SHARE * off_mm);
    if fine.len() > MOST_FINE {
        return fine;
    }
    let is_near = |ends: &[usize]| {
        ends.windows(2).all(|chord| {
            let (first, last) = (fine[chord[0]], fine[chord[1]]);
            fine[chord[0]..=chord[1]]
                .iter()
                .all(|point| distance_mm(*point, first, last) <= (1.0 - FINE_SHARE) * off_mm)
        })
    };
    let found = TRIED
        .into_iter()
        .map(|share| on_line(&steps(from, element, share * off_mm), &fine))
        .find(|ends| is_near(ends));
    // where a curve crosses itself, ends may be put onto the wrong pass: then the fine line itself is thinned out
    let run: Vec<RunPoint> = fine.iter().map(|point| (*point, true)).collect();
    found
        .unwrap_or_else(|| needed(&run, (1.0 - FINE_SHARE) * off_mm))
        .into_iter()
        .map(|end| fine[end])
        .collect()
}

/// The library's steps along a curve, from its beginning to its end.
fn steps(from: Point, element: PathEl, off_mm: f64) -> Vec<Point> {
    let mut ends = vec![from];
    kurbo::flatten([PathEl::MoveTo(from), element], off_mm, |step| {
        if let PathEl::LineTo(to) = step {
            ends.push(to);
        }
    });
    ends
}

/// For each of `ends` the nearest of `line`'s points that is not before that of the end before; first and last stay so.
fn on_line(ends: &[Point], line: &[Point]) -> Vec<usize> {
    let mut found = vec![0];
    for end in &ends[1..ends.len().max(2) - 1] {
        let least = found[found.len() - 1];
        let distance = |nth: &usize| (line[*nth] - *end).hypot2();
        let nearest = (least..line.len()).min_by(|a, b| distance(a).total_cmp(&distance(b)));
        found.extend(nearest.filter(|nth| *nth > least && nth + 1 < line.len()));
    }
    found.push(line.len() - 1);
    found
}

/// Which points of a run are needed: all but those on curves that lie, with all that were left out since the last needed one,
/// within `straight_mm` of the chord past them.
fn needed(run: &[RunPoint], straight_mm: f64) -> Vec<usize> {
    // a stretch is looked through again for each of its points: no longer ones than this
    const LONGEST: usize = 1000;
    let mut kept = vec![0];
    let mut last = 0;
    for nth in 1..run.len() {
        let is_end = nth + 1 == run.len();
        let may_go = !is_end && run[nth].1 && nth - last < LONGEST && {
            let (from, to) = (run[last].0, run[nth + 1].0);
            run[last + 1..=nth]
                .iter()
                .all(|(between, _)| distance_mm(*between, from, to) <= straight_mm)
        };
        if !may_go {
            kept.push(nth);
            last = nth;
        }
    }
    kept
}

/// Distance of a point from a segment, mm.
fn distance_mm(point: Point, from: Point, to: Point) -> f64 {
    let along = to - from;
    let length2 = along.hypot2();
    let share = if length2 > 0.0 {
        ((point - from).dot(along) / length2).clamp(0.0, 1.0)
    } else {
        0.0
    };
    let off = point - (from + along * share);
    libm::hypot(off.x, off.y)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sampling::{Stream, StreamKey};
    use kurbo::{CubicBez, ParamCurve};

    fn outline(path: BezPath) -> Outline {
        Outline { name: None, path }
    }

    #[test]
    fn a_straight_curve_is_one_edge() {
        let mut path = BezPath::new();
        path.move_to((0.0, 0.0));
        path.curve_to((10.0, 5.0), (20.0, 10.0), (30.0, 15.0));
        path.curve_to((40.0, 20.0), (50.0, 25.0), (60.0, 30.0));
        let flat = flattened(&[outline(path)], 0.2);
        assert_eq!(flat.loose.edges.len(), 1);
        assert_eq!(flat.curves_n, 2);
    }

    #[test]
    fn corners_on_a_straight_line_stay() {
        let mut path = BezPath::new();
        path.move_to((0.0, 0.0));
        path.line_to((10.0, 0.0));
        path.line_to((20.0, 0.0));
        assert_eq!(flattened(&[outline(path)], 0.2).loose.edges.len(), 2);
    }

    #[test]
    fn chords_stay_within_the_stated_distance_of_any_curve() {
        let key = StreamKey {
            seed: 7,
            source: 9001,
            item: 0,
            component: 0,
            look: 0,
        };
        let mut numbers = Stream::new(key, 0);
        let mut number = || 200.0 * numbers.next_uniform() - 100.0;
        let mut point = || Point::new(number(), number());
        let mut largest: f64 = 0.0;
        for _ in 0..400 {
            let curve = CubicBez::new(point(), point(), point(), point());
            let mut path = BezPath::new();
            path.move_to(curve.p0);
            path.curve_to(curve.p1, curve.p2, curve.p3);
            let flat = flattened(&[outline(path)], 0.2);
            let place = |nth: usize| {
                let [x, y] = flat.loose.points[nth].place_mm;
                Point::new(x, y)
            };
            for step in 0..=500 {
                let on_curve = curve.eval(f64::from(step) / 500.0);
                let off_mm = flat
                    .loose
                    .edges
                    .iter()
                    .map(|[a, b]| distance_mm(on_curve, place(*a), place(*b)))
                    .fold(f64::INFINITY, f64::min);
                largest = largest.max(off_mm);
            }
        }
        assert!(largest <= 0.2, "{largest}");
        assert!(largest > 0.05, "{largest}: far more chords than needed");
    }
}
