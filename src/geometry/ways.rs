//! Straight ways over a plate: whether two cross, and how near one passes to a hole.
//!
//! Source: signs of the areas of triangles (J. O'Rourke, Computational Geometry in C, 1998, 1.5, from memory); a test holds
//! it to the crossing point worked out by Cramer's rule.

use super::Pair;

/// A point within this distance of a straight way lies on it, mm: a nanometre, far below any hole and far above rounding.
const ON_IT_MM: f64 = 1e-6;

/// Whether two ways, given by their ends in mm, cross properly: each has its ends on the two sides of the other. Ways that
/// only touch, or lie along each other, do not.
pub fn ways_cross(first: [Pair; 2], second: [Pair; 2]) -> bool {
    are_beside(first, second) && are_beside(second, first)
}

/// Whether the two points lie strictly on the two sides of the endless line along `way`.
fn are_beside(way: [Pair; 2], points: [Pair; 2]) -> bool {
    let run = way[1] - way[0];
    let length = run.norm();
    let [a, b] = points.map(|point| run.perp(&(point - way[0])));
    let least = ON_IT_MM * length;
    (a > least && b < -least) || (a < -least && b > least)
}

/// Distance of a place from a straight way, mm.
pub fn distance_from_way_mm(way: [Pair; 2], place: Pair) -> f64 {
    let run = way[1] - way[0];
    let off = place - way[0];
    let squared = run.norm_squared();
    let share = if squared > 0.0 {
        (off.dot(&run) / squared).clamp(0.0, 1.0)
    } else {
        0.0
    };
    (off - run * share).norm()
}

/// Where two ways that cross do so, mm; `None` for ways along each other.
pub fn crossing_place_mm(first: [Pair; 2], second: [Pair; 2]) -> Option<Pair> {
    let (run, other) = (first[1] - first[0], second[1] - second[0]);
    let turn = run.perp(&other);
    (turn != 0.0).then(|| first[0] + run * ((second[0] - first[0]).perp(&other) / turn))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chance() -> impl FnMut() -> f64 {
        // a linear congruential generator is chance enough for corners (Numerical Recipes' constants, from memory)
        let mut state = 7_u32;
        move || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            100.0 * f64::from(state >> 8) / f64::from(1 << 24)
        }
    }

    #[test]
    fn ways_cross_where_cramers_rule_finds_a_point_inside_both() {
        let mut next = chance();
        let mut crossed = 0;
        for _ in 0..2000 {
            let mut point = || Pair::new(next(), next());
            let (first, second) = ([point(), point()], [point(), point()]);
            let inside = |way: [Pair; 2], at: Pair| {
                let run = way[1] - way[0];
                let share = (at - way[0]).dot(&run) / run.norm_squared();
                (0.0..=1.0).contains(&share)
            };
            let at = crossing_place_mm(first, second).expect("chance draws no parallels");
            let expected = inside(first, at) && inside(second, at);
            assert_eq!(ways_cross(first, second), expected);
            assert_eq!(ways_cross(second, [first[1], first[0]]), expected);
            crossed += usize::from(expected);
        }
        // of four random points in a square 25/108 of the two pairings cross: Sylvester's problem, from memory (11/36
        // of quadruples are not convex; each convex one crosses in one of three pairings)
        let share = f64::from(crossed as u32) / 2000.0;
        assert!((share - 25.0 / 108.0).abs() < 0.05, "{share}");
    }

    #[test]
    fn ways_that_touch_or_lie_along_each_other_do_not_cross() {
        let p = Pair::new;
        let way = [p(0.0, 0.0), p(10.0, 0.0)];
        assert!(ways_cross(way, [p(5.0, -1.0), p(5.0, 1.0)]));
        assert!(!ways_cross(way, [p(5.0, 0.0), p(5.0, 1.0)]));
        assert!(!ways_cross(way, [p(4.0, 0.0), p(20.0, 0.0)]));
        assert!(!ways_cross(way, [p(4.0, 1e-17), p(20.0, -1e-17)]));
        assert!(!ways_cross(way, [p(10.0, 0.0), p(10.0, 5.0)]));
        assert!(!ways_cross(way, [p(11.0, -1.0), p(11.0, 1.0)]));
        assert!(!ways_cross(way, [p(3.0, 0.0), p(3.0, 0.0)]));
    }

    #[test]
    fn the_distance_from_a_way_is_that_of_its_nearest_point() {
        let mut next = chance();
        for _ in 0..200 {
            let way = [Pair::new(next(), next()), Pair::new(next(), next())];
            let place = Pair::new(next(), next());
            let nearest = (0..=1000)
                .map(|k| way[0] + (way[1] - way[0]) * (f64::from(k) / 1000.0))
                .map(|point| (point - place).norm())
                .fold(f64::INFINITY, f64::min);
            let found = distance_from_way_mm(way, place);
            assert!(found <= nearest + 1e-12 && nearest - found < 0.2, "{found}");
        }
        let point = Pair::new(3.0, 4.0);
        assert_eq!(distance_from_way_mm([Pair::zeros(); 2], point), 5.0);
    }
}
