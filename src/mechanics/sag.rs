//! Sag of a taut line under its own weight and the rods hung on it: y(s) = M(s)/T.
//!
//! M is the bending moment that the same load gives a simply supported beam of the same span (the general cable
//! theorem). Assumes a taut, flexible line of small slope whose tension is the same along the span; the span is
//! taken along z. Range: sag under 1/20 of the span, where the parabola's error against the exact catenary stays
//! under about 1 %; the callers refuse larger sags ([`LARGEST_SAG_SHARE`]).
//! Sources: civil-engineering handbooks' parabola y = w·L²/(8H), valid for sag/span ≤ 1/20; the catenary
//! y = (H/w)(cosh(wL/2H) − 1).

/// Largest sag over span for which the taut-line formula is used: 1/20, the handbook's bound for the parabola.
pub const LARGEST_SAG_SHARE: f64 = 1.0 / 20.0;
/// Steepest line, degrees off the axis, for which spans may be taken along the axis: lines are within some 15° of it.
pub const STEEPEST_LINE_DEG: f64 = 15.0;

/// A weight hung on a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PointLoad {
    /// Distance from the front hole along the span, mm.
    pub at_mm: f64,
    /// Weight, N.
    pub weight_n: f64,
}

/// One line's span between its holes, with all that hangs on it.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadedSpan {
    /// Span L between the holes, mm.
    pub length_mm: f64,
    /// The line's own weight per length, N/mm.
    pub weight_n_per_mm: f64,
    /// Rods' half weights where they hang.
    pub loads: Vec<PointLoad>,
}

impl LoadedSpan {
    /// Bending moment M(s), N·mm, of the simply supported beam at the distance `s_mm` from the front hole;
    /// 0 at the holes and beyond them.
    pub fn moment_n_mm(&self, s_mm: f64) -> f64 {
        let moment = self
            .loads
            .iter()
            .fold(self.own_moment_n_mm(s_mm), |moment, load| {
                moment + self.moment_of_n_mm(load, s_mm)
            });
        if self.is_inside(s_mm) { moment } else { 0.0 }
    }

    /// Moment of the line's own weight alone, N·mm, between the holes.
    #[inline(always)]
    pub fn own_moment_n_mm(&self, s_mm: f64) -> f64 {
        self.weight_n_per_mm * 0.5 * s_mm * (self.length_mm - s_mm)
    }

    /// Moment of one load alone, N·mm, between the holes.
    #[inline(always)]
    pub fn moment_of_n_mm(&self, load: &PointLoad, s_mm: f64) -> f64 {
        let share = load.at_mm / self.length_mm;
        let before = s_mm * (1.0 - share);
        let behind = (self.length_mm - s_mm) * share;
        load.weight_n * if s_mm < load.at_mm { before } else { behind }
    }

    /// Whether `s_mm` lies between the holes.
    #[inline(always)]
    pub fn is_inside(&self, s_mm: f64) -> bool {
        s_mm > 0.0 && s_mm < self.length_mm
    }

    /// Drop below the straight between the holes, mm, at `s_mm` under the tension 1/`per_tension_n`.
    pub fn sag_mm(&self, s_mm: f64, per_tension_n: f64) -> f64 {
        self.moment_n_mm(s_mm) * per_tension_n
    }

    /// The largest moment anywhere on the span, N·mm. M is concave, so it peaks at a load or where the shear between
    /// two loads passes zero.
    pub fn largest_moment_n_mm(&self) -> f64 {
        let span = self.length_mm;
        let mut largest = 0.0_f64;
        for load in &self.loads {
            largest = largest.max(self.moment_n_mm(load.at_mm));
        }
        if self.weight_n_per_mm > 0.0 {
            let front_reaction = self.weight_n_per_mm * span / 2.0
                + self
                    .loads
                    .iter()
                    .map(|load| load.weight_n * (span - load.at_mm) / span)
                    .sum::<f64>();
            let mut carried = 0.0;
            let mut sorted: Vec<&PointLoad> = self.loads.iter().collect();
            sorted.sort_by(|a, b| a.at_mm.total_cmp(&b.at_mm));
            for next in 0..=sorted.len() {
                let peak = (front_reaction - carried) / self.weight_n_per_mm;
                largest = largest.max(self.moment_n_mm(peak));
                if let Some(load) = sorted.get(next) {
                    carried += load.weight_n;
                }
            }
        }
        largest
    }
}

/// Mid-span sag of the handbook parabola, mm: w·L²/(8H), for the weight `weight_n_per_mm` and the horizontal
/// tension `tension_n`.
pub fn sag_of_parabola_mm(weight_n_per_mm: f64, span_mm: f64, tension_n: f64) -> f64 {
    weight_n_per_mm * span_mm * span_mm / (8.0 * tension_n)
}

/// Mid-span sag of the exact catenary, mm: (H/w)(cosh(wL/2H) − 1), written 2(H/w)·sinh²(wL/4H) so that a taut line
/// loses no digits.
pub fn sag_of_catenary_mm(weight_n_per_mm: f64, span_mm: f64, tension_n: f64) -> f64 {
    let half = libm::sinh(weight_n_per_mm * span_mm / (4.0 * tension_n));
    2.0 * tension_n / weight_n_per_mm * half * half
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn own_weight_alone_gives_the_handbook_parabola() {
        let span = LoadedSpan {
            length_mm: 400.0,
            weight_n_per_mm: 3.5e-7,
            loads: vec![],
        };
        let expected = sag_of_parabola_mm(3.5e-7, 400.0, 2.0);
        assert!((span.sag_mm(200.0, 1.0 / 2.0) - expected).abs() < 1e-15);
    }

    #[test]
    fn sag_doubles_when_load_doubles_and_halves_when_tension_doubles() {
        let mut span = LoadedSpan {
            length_mm: 400.0,
            weight_n_per_mm: 0.0,
            loads: vec![PointLoad {
                at_mm: 100.0,
                weight_n: 0.02,
            }],
        };
        let once = span.sag_mm(250.0, 1.0 / 5.0);
        assert!((span.sag_mm(250.0, 1.0 / 10.0) * 2.0 - once).abs() < 1e-15);
        span.loads[0].weight_n *= 2.0;
        assert!((span.sag_mm(250.0, 1.0 / 5.0) - 2.0 * once).abs() < 1e-15);
    }

    #[test]
    fn largest_moment_is_not_less_than_any_moment_and_is_reached() {
        let span = LoadedSpan {
            length_mm: 300.0,
            weight_n_per_mm: 1e-4,
            loads: vec![
                PointLoad {
                    at_mm: 220.0,
                    weight_n: 0.01,
                },
                PointLoad {
                    at_mm: 40.0,
                    weight_n: 0.02,
                },
            ],
        };
        let largest = span.largest_moment_n_mm();
        let scanned = (0..=300_000)
            .map(|i| span.moment_n_mm(f64::from(i) * 1e-3))
            .fold(0.0, f64::max);
        // at a load's own place either straight of the lever may be taken: alike to rounding
        assert!(
            largest >= scanned - 1e-15 && largest - scanned < 1e-8,
            "{largest} {scanned}"
        );
    }

    #[test]
    fn nothing_hangs_at_or_beyond_the_holes() {
        let span = LoadedSpan {
            length_mm: 300.0,
            weight_n_per_mm: 1e-4,
            loads: vec![],
        };
        for s_mm in [-1.0, 0.0, 300.0, 301.0, f64::NAN] {
            assert_eq!(span.moment_n_mm(s_mm), 0.0);
        }
    }
}
