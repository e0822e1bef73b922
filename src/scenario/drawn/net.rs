//! From loose points and edges to the vertices and rods of a figure: points that nearly coincide are one, an edge is there once.

use std::collections::{BTreeMap, BTreeSet};

/// What a point is in the drawing, which says who gives way where two of them fall together, and what a vertex is called.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Role {
    /// A point with a name of its own.
    Named(String),
    /// A corner or an end, of the shape with this name if it has one.
    Drawn(Option<String>),
    /// A point that only stands for a stretch of curve.
    OnCurve(Option<String>),
}

/// A point on the picture plane, to the viewer's right and up, mm.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct LoosePoint {
    pub place_mm: [f64; 2],
    pub role: Role,
}

/// Points and edges as they stand in a drawing.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Loose {
    pub points: Vec<LoosePoint>,
    /// Each the places of its two ends in `points`.
    pub edges: Vec<[usize; 2]>,
}

/// What joining the points came to.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Joined {
    /// Name and place to the viewer's right and up, mm.
    pub vertices: Vec<(String, [f64; 2])>,
    /// Each the places of its two ends in `vertices`.
    pub edges: Vec<[usize; 2]>,
    /// Points that were moved onto another one, and how far the farthest of them was moved, mm.
    pub moved_n: usize,
    pub farthest_moved_mm: f64,
    /// Edges without any length, from the drawing itself.
    pub without_length_n: usize,
    /// Edges that were shorter than the distance of joining.
    pub fell_together_n: usize,
    /// Edges that are there already.
    pub twice_n: usize,
    /// Edges that were cut where other vertices lie on them.
    pub cut_n: usize,
    /// Points on which no edge is left.
    pub alone_n: usize,
}

/// Below this distance two points are at one place in the drawing: its numbers are no finer, mm.
const SAME_PLACE_MM: f64 = 1e-3;

impl Loose {
    /// Joins what is nearer than `merge_mm`. Named points and corners stay where they are and points of curves give way; among
    /// equals the later one is moved onto the earlier one. No point is moved farther than `merge_mm`, so that a row of near points
    /// does not become one. Places are finite and within 10⁷ mm, edges name points that are there.
    pub fn joined(&self, merge_mm: f64) -> Joined {
        let mut joined = Joined::default();
        let stands_for = self.stands_for(merge_mm, &mut joined);
        let mut found: BTreeSet<[usize; 2]> = BTreeSet::new();
        let mut edges: Vec<[usize; 2]> = Vec::new();
        for ends in &self.edges {
            let [first, second] = ends.map(|end| stands_for[end]);
            if first == second {
                if self.distance_mm(ends[0], ends[1]) <= SAME_PLACE_MM {
                    joined.without_length_n += 1;
                } else {
                    joined.fell_together_n += 1;
                }
            } else if found.insert([first.min(second), first.max(second)]) {
                edges.push([first, second]);
            } else {
                joined.twice_n += 1;
            }
        }
        self.name(&stands_for, &edges, &mut joined);
        joined
    }

    /// For each point the one that stands for it.
    fn stands_for(&self, merge_mm: f64, joined: &mut Joined) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.points.len()).collect();
        order.sort_by_key(|point| matches!(self.points[*point].role, Role::OnCurve(_)));
        let cell_of = |point: usize| {
            self.points[point]
                .place_mm
                .map(|mm| (mm / merge_mm).floor() as i64)
        };
        let mut stands_for: Vec<usize> = (0..self.points.len()).collect();
        let mut kept: BTreeMap<[i64; 2], Vec<usize>> = BTreeMap::new();
        for point in order {
            let [column, row] = cell_of(point);
            let nearest = (-1..=1)
                .flat_map(|right| (-1..=1).map(move |up| [column + right, row + up]))
                .filter_map(|cell| kept.get(&cell))
                .flatten()
                .map(|other| (self.distance_mm(point, *other), *other))
                .filter(|(distance_mm, _)| *distance_mm <= merge_mm)
                .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            let Some((distance_mm, other)) = nearest else {
                kept.entry([column, row]).or_default().push(point);
                continue;
            };
            stands_for[point] = other;
            if distance_mm > SAME_PLACE_MM {
                joined.moved_n += 1;
                joined.farthest_moved_mm = joined.farthest_moved_mm.max(distance_mm);
            }
        }
        stands_for
    }

    fn distance_mm(&self, one: usize, other: usize) -> f64 {
        let ([x, y], [u, v]) = (self.points[one].place_mm, self.points[other].place_mm);
        libm::hypot(x - u, y - v)
    }

    /// Names the points that edges are left on, in the order of the drawing.
    fn name(&self, stands_for: &[usize], edges: &[[usize; 2]], joined: &mut Joined) {
        let used: BTreeSet<usize> = edges.iter().flatten().copied().collect();
        let mut number_of: BTreeMap<usize, usize> = BTreeMap::new();
        let mut count_of: BTreeMap<&str, usize> = BTreeMap::new();
        for (point, LoosePoint { place_mm, role }) in self.points.iter().enumerate() {
            if stands_for[point] != point {
                continue;
            }
            if !used.contains(&point) {
                joined.alone_n += 1;
                continue;
            }
            let shape = match role {
                Role::Named(name) => {
                    number_of.insert(point, joined.vertices.len());
                    joined.vertices.push((name.clone(), *place_mm));
                    continue;
                }
                Role::Drawn(shape) | Role::OnCurve(shape) => shape.as_deref().unwrap_or(""),
            };
            let count = count_of.entry(shape).or_default();
            *count += 1;
            let name = if shape.is_empty() {
                format!("v{count}")
            } else {
                format!("{shape}_{count}")
            };
            number_of.insert(point, joined.vertices.len());
            joined.vertices.push((name, *place_mm));
        }
        joined.edges = edges
            .iter()
            .map(|ends| ends.map(|end| number_of[&end]))
            .collect();
    }

    /// Lowest and highest place of the points that edges end on, mm; `None` without edges.
    pub fn bounds_mm(&self) -> Option<[[f64; 2]; 2]> {
        let places = self
            .edges
            .iter()
            .flatten()
            .map(|end| self.points[*end].place_mm);
        places.fold(None, |bounds, [x, y]| {
            let [low, high] = bounds.unwrap_or([[x, y]; 2]);
            Some([
                [low[0].min(x), low[1].min(y)],
                [high[0].max(x), high[1].max(y)],
            ])
        })
    }

    /// Moves and enlarges all points: a place becomes (place − `centre_mm`) × `factor`.
    pub fn place(&mut self, centre_mm: [f64; 2], factor: f64) {
        for point in &mut self.points {
            let [x, y] = point.place_mm;
            point.place_mm = [(x - centre_mm[0]) * factor, (y - centre_mm[1]) * factor];
        }
    }
}

impl Joined {
    /// Cuts each edge where other vertices lie on it, no farther than `near_mm` off: the line of such a vertex would run through the
    /// rod at any depth. A part that is there already is not there again.
    pub fn cut_at_vertices(&mut self, near_mm: f64) {
        // a part bends a little towards the vertex that it was cut at, and may come to lie on another one
        const MOST_TURNS: usize = 10;
        for _ in 0..MOST_TURNS {
            let before = self.cut_n;
            self.cut_once(near_mm);
            if self.cut_n == before {
                break;
            }
        }
    }

    fn cut_once(&mut self, near_mm: f64) {
        let whole = std::mem::take(&mut self.edges);
        let mut there: BTreeSet<[usize; 2]> = BTreeSet::new();
        for ends in whole {
            let mut on: Vec<(f64, usize)> = (0..self.vertices.len())
                .filter(|vertex| !ends.contains(vertex))
                .filter_map(|vertex| Some((self.rests_at(vertex, ends, near_mm)?, vertex)))
                .collect();
            on.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            self.cut_n += usize::from(!on.is_empty());
            let stops: Vec<usize> = [ends[0]]
                .into_iter()
                .chain(on.into_iter().map(|(_, vertex)| vertex))
                .chain([ends[1]])
                .collect();
            for part in stops.windows(2) {
                let (first, second) = (part[0], part[1]);
                if there.insert([first.min(second), first.max(second)]) {
                    self.edges.push([first, second]);
                } else {
                    self.twice_n += 1;
                }
            }
        }
    }

    /// How far along an edge a vertex lies on it, mm, if it is no farther than `near_mm` off.
    fn rests_at(&self, vertex: usize, ends: [usize; 2], near_mm: f64) -> Option<f64> {
        let [x, y] = self.vertices[vertex].1;
        let [[from_x, from_y], [to_x, to_y]] = ends.map(|end| self.vertices[end].1);
        let along = [to_x - from_x, to_y - from_y];
        let length_mm = libm::hypot(along[0], along[1]);
        let on_mm = ((x - from_x) * along[0] + (y - from_y) * along[1]) / length_mm;
        let off_mm = ((x - from_x) * along[1] - (y - from_y) * along[0]) / length_mm;
        (on_mm > 0.0 && on_mm < length_mm && off_mm.abs() <= near_mm).then_some(on_mm)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn corner(x: f64, y: f64) -> LoosePoint {
        LoosePoint {
            place_mm: [x, y],
            role: Role::Drawn(None),
        }
    }

    #[test]
    fn a_row_of_near_points_does_not_become_one_point() {
        // 0.8 mm apart: each is within 1 mm of the next, but the ends are 8 mm apart
        let loose = Loose {
            points: (0..11).map(|n| corner(0.8 * f64::from(n), 0.0)).collect(),
            edges: (0..10).map(|n| [n, n + 1]).collect(),
        };
        let joined = loose.joined(1.0);
        assert_eq!(joined.vertices.len(), 6);
        assert_eq!(joined.edges.len(), 5);
        assert_eq!(joined.moved_n, 5);
        assert_eq!(joined.fell_together_n, 5);
        assert!((joined.farthest_moved_mm - 0.8).abs() < 1e-12);
    }

    #[test]
    fn what_has_no_length_and_what_is_there_twice_is_dropped_and_counted() {
        let loose = Loose {
            points: vec![
                corner(0.0, 0.0),
                corner(10.0, 0.0),
                corner(10.0, 0.4),
                corner(0.0, 0.0),
                corner(50.0, 50.0),
            ],
            edges: vec![[0, 1], [1, 2], [2, 3], [0, 3]],
        };
        let joined = loose.joined(1.0);
        assert_eq!(joined.vertices.len(), 2);
        assert_eq!(joined.edges, [[0, 1]]);
        assert_eq!((joined.moved_n, joined.fell_together_n), (1, 1));
        assert_eq!((joined.twice_n, joined.without_length_n), (1, 1));
        assert_eq!(joined.alone_n, 1);
    }

    #[test]
    fn an_edge_is_cut_where_vertices_lie_on_it() {
        let loose = Loose {
            points: [
                [0.0, 0.0],
                [40.0, 0.0],
                [30.0, 0.8],
                [20.0, 30.0],
                [60.0, 0.0],
                [10.0, -0.4],
                [10.0, -9.0],
            ]
            .map(|[x, y]| corner(x, y))
            .to_vec(),
            // the last one is a part of the first
            edges: vec![[1, 0], [2, 3], [4, 1], [5, 6], [0, 5]],
        };
        let mut joined = loose.joined(1.0);
        joined.cut_at_vertices(1.0);
        assert_eq!((joined.cut_n, joined.twice_n), (1, 1));
        assert_eq!(
            joined.edges,
            [[1, 2], [2, 5], [5, 0], [2, 3], [4, 1], [5, 6]]
        );
        let mut finer = loose.joined(1.0);
        finer.cut_at_vertices(0.5);
        assert_eq!(finer.edges[..2], [[1, 5], [5, 0]]);
    }

    #[test]
    fn a_point_of_a_curve_gives_way_to_a_corner_that_comes_later() {
        let loose = Loose {
            points: vec![
                corner(0.0, 0.0),
                LoosePoint {
                    place_mm: [5.0, 0.0],
                    role: Role::OnCurve(Some("arc".to_owned())),
                },
                corner(5.5, 0.0),
            ],
            edges: vec![[0, 1], [2, 0]],
        };
        let joined = loose.joined(1.0);
        assert_eq!(
            joined.vertices,
            [("v1".to_owned(), [0.0, 0.0]), ("v2".to_owned(), [5.5, 0.0])]
        );
        assert_eq!(joined.twice_n, 1);
    }
}
