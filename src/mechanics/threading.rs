//! One line led through all holes in turn: which way it bends, and what tension each run keeps.
//!
//! The runs go to and fro: the first run enters at one plate and leaves at the other, the line crosses over that
//! plate's outside to the next hole, and comes back. Every bend over a hole's wall costs tension by the capstan
//! relation T₂ = T₁·exp(−μf·φ) (Euler; Eytelwein 1808), φ being the angle of the bend.
//! Assumes nominal geometry, and that the line is held fast at one end and pulled straight along its run at the
//! other, so the run next to the pull keeps the whole tension.

use crate::geometry::{Pair, Point};

/// How the line is tightened.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tightening {
    /// Each run is pulled tight by hand in turn, which resets it: no run inherits a loss.
    EachRun,
    /// Only the line's end is pulled: every bend on the way costs tension.
    EndsOnly,
}

/// Which end of the threading is pulled when only the ends are tightened.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PulledAt {
    /// The end before the first run.
    First,
    /// The end after the last run.
    Last,
}

/// One crossing over a plate's outside from the hole of one line to that of the next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossing {
    /// Lines (by index) that the crossing joins, in threading order.
    pub lines: [usize; 2],
    /// Whether it runs over the front plate's outside (else over the rear plate's).
    pub over_front: bool,
}

/// The crossings of a threading: after run k the line crosses to run k + 1 over the plate where run k left.
pub fn crossings(order: &[usize], first_enters_front: bool) -> Vec<Crossing> {
    order
        .windows(2)
        .enumerate()
        .map(|(k, pair)| Crossing {
            lines: [pair[0], pair[1]],
            // a first run that enters at the front leaves at the rear, so even crossings are over the rear
            over_front: first_enters_front == (k % 2 == 1),
        })
        .collect()
}

/// Angle, rad, by which a line bends at a hole when it arrives along `arriving` and leaves along `leaving`
/// (directions of travel, any length).
pub fn bend_rad(arriving: &Point, leaving: &Point) -> f64 {
    libm::atan2(arriving.cross(leaving).norm(), arriving.dot(leaving))
}

/// Tension left after a bend of `bend_rad` with the friction coefficient `friction`, pulling against the friction.
pub fn tension_after_bend_n(tension_n: f64, friction: f64, bend_rad: f64) -> f64 {
    tension_n * libm::exp(-friction * bend_rad)
}

/// For every line (indexed as the holes are) the share of the pulled tension that its run keeps.
/// `front` and `rear` are the nominal holes, mm; `order` names each line once.
pub fn tension_shares(
    order: &[usize],
    first_enters_front: bool,
    front: &[Point],
    rear: &[Point],
    friction: f64,
    pulled_at: PulledAt,
) -> Vec<f64> {
    let mut shares = vec![1.0; front.len()];
    let mut steps: Vec<(usize, usize, f64)> = crossings(order, first_enters_front)
        .into_iter()
        .map(|crossing| {
            let [from, to] = crossing.lines;
            let (here, there) = if crossing.over_front {
                (front, rear)
            } else {
                (rear, front)
            };
            let over = here[to] - here[from];
            let out = here[from] - there[from];
            let back = there[to] - here[to];
            (from, to, bend_rad(&out, &over) + bend_rad(&over, &back))
        })
        .collect();
    if pulled_at == PulledAt::Last {
        steps = steps
            .into_iter()
            .rev()
            .map(|(from, to, bend)| (to, from, bend))
            .collect();
    }
    for (nearer, farther, bend) in steps {
        shares[farther] = tension_after_bend_n(shares[nearer], friction, bend);
    }
    shares
}

/// Unit vector from the hole of a line towards the next hole that it is led to on the same plate, for every line and
/// plate; `None` where the line ends at an anchor. Index: `[line][0 front, 1 rear]`.
pub fn pull_directions(
    crossings: &[Crossing],
    front: &[Point],
    rear: &[Point],
) -> Vec<[Option<Pair>; 2]> {
    let mut pulls = vec![[None; 2]; front.len()];
    for crossing in crossings {
        let [from, to] = crossing.lines;
        let (holes, plate) = if crossing.over_front {
            (front, 0)
        } else {
            (rear, 1)
        };
        let over = (holes[to] - holes[from]).xy();
        let length = over.norm();
        if length > 0.0 {
            pulls[from][plate] = Some(over / length);
            pulls[to][plate] = Some(-over / length);
        }
    }
    pulls
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    fn square_holes() -> (Vec<Point>, Vec<Point>) {
        let at = |z: f64| {
            vec![
                Point::new(0.0, 0.0, z),
                Point::new(10.0, 0.0, z),
                Point::new(10.0, 10.0, z),
            ]
        };
        (at(100.0), at(300.0))
    }

    #[test]
    fn parallel_runs_turn_by_half_a_turn_between_them() {
        let (front, rear) = square_holes();
        let shares = tension_shares(&[0, 1, 2], true, &front, &rear, 0.2, PulledAt::First);
        assert!((shares[0] - 1.0).abs() < 1e-15);
        assert!((shares[1] - (-0.2 * PI).exp()).abs() < 1e-15);
        assert!((shares[2] - (-0.4 * PI).exp()).abs() < 1e-15);
    }

    #[test]
    fn pulling_the_last_end_reverses_the_loss() {
        let (front, rear) = square_holes();
        let shares = tension_shares(&[0, 1, 2], true, &front, &rear, 0.2, PulledAt::Last);
        assert!((shares[2] - 1.0).abs() < 1e-15);
        assert!((shares[0] - (-0.4 * PI).exp()).abs() < 1e-15);
    }

    #[test]
    fn the_first_crossing_is_over_the_plate_where_the_first_run_leaves() {
        let found = crossings(&[2, 0, 1], true);
        assert_eq!(
            found[0],
            Crossing {
                lines: [2, 0],
                over_front: false
            }
        );
        assert_eq!(
            found[1],
            Crossing {
                lines: [0, 1],
                over_front: true
            }
        );
        assert!(crossings(&[2, 0, 1], false)[0].over_front);
    }

    #[test]
    fn a_line_is_pulled_towards_the_hole_it_is_led_to() {
        let (front, rear) = square_holes();
        let pulls = pull_directions(&crossings(&[0, 1, 2], true), &front, &rear);
        assert_eq!(pulls[0][1], Some(Pair::new(1.0, 0.0)));
        assert_eq!(pulls[1][1], Some(Pair::new(-1.0, 0.0)));
        assert_eq!(pulls[1][0], Some(Pair::new(0.0, 1.0)));
        assert_eq!(pulls[0][0], None);
    }
}
