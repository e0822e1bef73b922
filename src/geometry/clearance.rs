//! Shortest distance between two straight segments: whether two rods touch.
//!
//! Source: closed form by clamping to both segments in turn (C. Ericson, Real-Time Collision Detection, 2005, 5.1.9, from
//! memory); a test holds it to a search over both segments.

use super::Point;

/// Shortest distance between two segments given by their ends, in the unit of the points.
pub fn segment_distance(first: [Point; 2], second: [Point; 2]) -> f64 {
    let (run, other) = (first[1] - first[0], second[1] - second[0]);
    let between = first[0] - second[0];
    let (a, e) = (run.norm_squared(), other.norm_squared());
    let (b, c, f) = (run.dot(&other), run.dot(&between), other.dot(&between));
    let share = |top: f64, below: f64| {
        if below > 0.0 {
            (top / below).clamp(0.0, 1.0)
        } else {
            0.0
        }
    };
    // where the endless lines are nearest, held within the first segment; parallel ones may start anywhere
    let mut s = share(b * f - c * e, a * e - b * b);
    let t = share(b * s + f, e);
    s = share(b * t - c, a);
    (between + run * s - other * t).norm()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_pair_of_points_is_nearer_and_some_pair_is_as_near() {
        // a linear congruential generator is chance enough for corners (Numerical Recipes' constants, from memory)
        let mut state = 4_u32;
        let mut next = || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            f64::from(state >> 8) / f64::from(1 << 24)
        };
        for _ in 0..200 {
            let mut point = || Point::new(next(), next(), next());
            let (first, second) = ([point(), point()], [point(), point()]);
            let found = segment_distance(first, second);
            let along =
                |ends: [Point; 2], k: i32| ends[0] + (ends[1] - ends[0]) * (f64::from(k) / 200.0);
            let nearest = (0..=200)
                .flat_map(|i| (0..=200).map(move |j| (i, j)))
                .map(|(i, j)| (along(first, i) - along(second, j)).norm())
                .fold(f64::INFINITY, f64::min);
            assert!(found <= nearest + 1e-12, "{found} {nearest}");
            assert!(nearest - found < 0.01, "{found} {nearest}");
        }
    }

    #[test]
    fn touching_crossing_and_parallel_segments_have_their_plain_distances() {
        let p = Point::new;
        let cross = segment_distance(
            [p(-1.0, 0.0, 0.0), p(1.0, 0.0, 0.0)],
            [p(0.0, -1.0, 2.0), p(0.0, 1.0, 2.0)],
        );
        assert!((cross - 2.0).abs() < 1e-15);
        let parallel = segment_distance(
            [p(0.0, 0.0, 0.0), p(1.0, 0.0, 0.0)],
            [p(2.0, 1.0, 0.0), p(5.0, 1.0, 0.0)],
        );
        assert!((parallel - 2.0_f64.sqrt()).abs() < 1e-15);
        let shared = segment_distance(
            [p(0.0, 0.0, 0.0), p(1.0, 0.0, 0.0)],
            [p(1.0, 0.0, 0.0), p(1.0, 4.0, 0.0)],
        );
        assert!(shared.abs() < 1e-15);
    }
}
