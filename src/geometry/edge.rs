//! The target edge of one rod on the picture plane, and what a seen rod misses of it.

use super::Pair;

/// The straight segment that a rod should cover, between the directions of its two lines.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Edge {
    /// Directions of the two ends, tangents.
    pub ends: [Pair; 2],
    along: Pair,
    square: Pair,
}

impl Edge {
    /// The edge between two directions; `None` when they are one and the same (or not finite).
    pub fn between(first: Pair, second: Pair) -> Option<Self> {
        let span = second - first;
        let length = span.norm();
        if !(length > 0.0 && length.is_finite()) {
            return None;
        }
        let along = span / length;
        Some(Self {
            ends: [first, second],
            along,
            square: Pair::new(-along.y, along.x),
        })
    }

    /// Length of the edge, rad (tangent measure).
    pub fn length_rad(&self) -> f64 {
        (self.ends[1] - self.ends[0]).norm()
    }

    /// Unit vector square to the edge, a quarter turn from x towards y off the edge's direction.
    pub fn square(&self) -> Pair {
        self.square
    }

    /// Signed distance of `seen` from the edge's straight line, rad; positive on the side of [`Edge::square`].
    #[inline(always)]
    pub fn off_rad(&self, seen: Pair) -> f64 {
        (seen - self.ends[0]).dot(&self.square)
    }

    /// How far the end `which` (0 or 1), seen at `seen`, runs past its vertex along the edge, rad; negative where it
    /// stops short.
    pub fn reach_rad(&self, which: usize, seen: Pair) -> f64 {
        let along = (seen - self.ends[which]).dot(&self.along);
        if which == 0 { -along } else { along }
    }

    /// Change of direction of the rod seen between `first` and `second` against the edge, rad, positive from x
    /// towards y; 0 when the two are seen at one place, where a direction has no meaning.
    pub fn turn_rad(&self, first: Pair, second: Pair) -> f64 {
        let seen = second - first;
        libm::atan2(self.along.perp(&seen), self.along.dot(&seen))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rod_on_its_edge_misses_nothing() {
        let edge =
            Edge::between(Pair::new(0.1, 0.2), Pair::new(-0.3, 0.25)).expect("two directions");
        assert_eq!(edge.off_rad(edge.ends[0]), 0.0);
        assert!(edge.off_rad(edge.ends[1]).abs() < 1e-16);
        assert_eq!(edge.reach_rad(1, edge.ends[1]), 0.0);
        assert!(edge.turn_rad(edge.ends[0], edge.ends[1]).abs() < 1e-15);
    }

    #[test]
    fn reach_is_positive_past_the_vertex_at_both_ends() {
        let edge = Edge::between(Pair::new(0.0, 0.0), Pair::new(0.2, 0.0)).expect("two directions");
        assert!((edge.reach_rad(0, Pair::new(-0.01, 0.0)) - 0.01).abs() < 1e-15);
        assert!((edge.reach_rad(1, Pair::new(0.21, 0.0)) - 0.01).abs() < 1e-15);
        assert!((edge.reach_rad(1, Pair::new(0.19, 0.0)) + 0.01).abs() < 1e-15);
    }

    #[test]
    fn an_edge_needs_two_directions() {
        assert!(Edge::between(Pair::new(0.1, 0.1), Pair::new(0.1, 0.1)).is_none());
        assert!(Edge::between(Pair::new(f64::NAN, 0.1), Pair::new(0.1, 0.1)).is_none());
    }
}
