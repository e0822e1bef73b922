//! How large the values of a law are: the one number that a workshop knows it by, how far its values go, and how far they
//! could go before they are no error of making any more.

use super::design::{Design, Plate};
use super::law::Law;
use super::source::Source;
use crate::sampling::Distribution;

/// Standard deviations that an unbounded law is taken to reach: all but 3 values of 1000.
pub const REACH_SD: f64 = 3.0;

/// The number that a law is known by, in the source's kept unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Size {
    /// Standard deviation of each component.
    Sd(f64),
    /// Half-width of each component, a bound.
    HalfWidth(f64),
    /// Standard deviation of the natural logarithm.
    SdOfLogarithm(f64),
    /// Radius of the disc, a bound.
    Radius(f64),
    /// Largest distance, in a random direction.
    Distance(f64),
    /// Standard deviation of the length, in a random direction.
    SdOfLength(f64),
    /// Lowest and highest value of a law that is not about "no error".
    Between([f64; 2]),
    /// Farthest of the measured values.
    Farthest(f64),
}

fn size_of(one: &Distribution, neutral: f64) -> Option<Size> {
    let centred = |mean: f64, size: Size| {
        if mean == neutral {
            Some(size)
        } else {
            one.bounds().map(Size::Between)
        }
    };
    match *one {
        Distribution::Fixed(_) => None,
        Distribution::Normal { mean, sd } => centred(mean, Size::Sd(sd)),
        Distribution::TruncatedNormal { mean, sd, .. } => centred(mean, Size::Sd(sd)),
        Distribution::Uniform { mean, half_width }
        | Distribution::Triangular { mean, half_width }
        | Distribution::Arcsine { mean, half_width } => centred(mean, Size::HalfWidth(half_width)),
        Distribution::Lognormal { median, sd_log } => {
            (median == neutral).then_some(Size::SdOfLogarithm(sd_log))
        }
        Distribution::Measured(_) => Some(Size::Farthest(reach_of(one, neutral))),
    }
}

/// Farthest value from `neutral` that is reckoned with; in the logarithm for a lognormal one.
fn reach_of(one: &Distribution, neutral: f64) -> f64 {
    if let Distribution::Lognormal { median, sd_log } = *one
        && neutral > 0.0
    {
        return libm::log(median / neutral).abs() + REACH_SD * sd_log;
    }
    match one.bounds() {
        Some([low, high]) => (low - neutral).abs().max((high - neutral).abs()),
        None => (one.mean() - neutral).abs() + REACH_SD * one.sd(),
    }
}

impl Law {
    /// The number that the law is known by; `None` for one that has no such number (fixed, or unlike in its components).
    pub fn size(&self, neutral: f64) -> Option<Size> {
        match self {
            Self::Each(each) => match &each[..] {
                [first, others @ ..] if others.iter().all(|other| other == first) => {
                    size_of(first, neutral)
                }
                _ => None,
            },
            Self::Disc { centre, radius } => {
                (centre.norm() == 0.0).then_some(Size::Radius(*radius))
            }
            Self::Ring(_) => Some(Size::Distance(self.reach(neutral))),
            Self::Spun(length) => match size_of(length, 0.0) {
                Some(Size::Sd(sd)) => Some(Size::SdOfLength(sd)),
                _ => Some(Size::Distance(self.reach(neutral))),
            },
            Self::Rows(_) => Some(Size::Farthest(self.reach(neutral))),
            Self::Aimed(_) | Self::Light { .. } => None,
        }
    }

    /// How far from "no error" its values go in each component (all directions of a disc alike): to their bound, or to
    /// [`REACH_SD`] standard deviations. In the natural logarithm for a lognormal factor.
    pub fn reach(&self, neutral: f64) -> f64 {
        let farthest = |values: &mut dyn Iterator<Item = f64>| values.fold(0.0, f64::max);
        match self {
            Self::Each(each) => farthest(&mut each.iter().map(|one| reach_of(one, neutral))),
            Self::Disc { centre, radius } => centre.norm() + radius,
            Self::Ring(radii) => farthest(&mut radii.iter().copied()),
            Self::Aimed(aims) => farthest(&mut aims.iter().map(|aim| aim.norm())),
            Self::Spun(length) => reach_of(length, 0.0),
            Self::Rows(rows) => {
                farthest(&mut rows.iter().flatten().map(|value| (value - neutral).abs()))
            }
            Self::Light { .. } => 0.0,
        }
    }

    fn is_lognormal(&self) -> bool {
        matches!(self, Self::Each(each) if matches!(each[..], [Distribution::Lognormal { .. }, ..]))
    }
}

/// How far the values of a source may go before they are no error of making any more.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sensible {
    /// Farthest value from "no error", as [`Law::reach`] measures it.
    pub reach: f64,
    /// What it is, in words.
    pub words: &'static str,
}

/// A tilt, a turn, or a length that is seen without measuring: 10 deg (chosen).
const SEEN_AT_ONCE_RAD: f64 = 10.0 * std::f64::consts::PI / 180.0;
/// A tenth: of a length or a scale that is seen without measuring, or of the tension that is left (chosen).
const TENTH: f64 = 0.1;
/// Widest human pupil, mm (Watson & Yellott 2012 give 2 to 8 mm).
const WIDEST_PUPIL_MM: f64 = 8.0;

impl Design {
    /// How far the values of `source` may go in this design before they are no error of making (or of looking) any more.
    /// Chosen, no source: each is a mistake that nobody would miss, or the end of what the design leaves room for. `None`
    /// for what is no error.
    pub fn sensible(&self, source: Source) -> Option<Sensible> {
        let relief_mm = self.peephole.eye_relief_mm;
        let gap_mm = self.plates[1].z_mm - self.plates[0].z_mm;
        let (reach, words) = match source {
            Source::PatternShift(plate) | Source::HoleScatter(plate) | Source::HoleSlack(plate) => {
                (
                    (self.closest_holes_mm(plate) / 2.0).min(gap_mm / 2.0),
                    "half the distance between the two closest holes",
                )
            }
            Source::PatternTurn(_) | Source::TiltX(_) | Source::TiltY(_) => {
                (SEEN_AT_ONCE_RAD, "10 deg, which a set square shows")
            }
            Source::PrintScale(_) => (TENTH, "a tenth, which a ruler shows"),
            Source::SeatDepth(plate) => (
                self.clearance_mm(plate),
                "the distance from the plate to the nearest rod end",
            ),
            Source::HandTension if self.is_held_by_strength(source) => (
                self.strong_hand_log(),
                "a hand two standard deviations strong, which brings the line to half of its breaking load",
            ),
            Source::HandTension | Source::Slackening if self.law(source).is_lognormal() => {
                (-libm::log(TENTH), "a tenth, or ten times, of the tension")
            }
            Source::HandTension | Source::Slackening => {
                (1.0 - TENTH, "nine tenths of the tension lost")
            }
            Source::RodTie => (
                self.shortest_rod_mm() / 4.0,
                "a quarter of the shortest rod",
            ),
            Source::RodSlip => (
                Plate::BOTH
                    .map(|plate| self.clearance_mm(plate))
                    .into_iter()
                    .fold(f64::INFINITY, f64::min),
                "the distance from the outermost rod end to its plate",
            ),
            Source::RodBow => (TENTH, "a tenth of the rod's length"),
            Source::PeepholeShift => (relief_mm, "the eye relief: the view would slant by 45 deg"),
            Source::PeepholeDepth | Source::EyeRelief => {
                (relief_mm, "the eye relief: eye and plate would touch")
            }
            Source::EyeOffset => (
                (self.peephole.diameter_mm + WIDEST_PUPIL_MM) / 2.0,
                "half of peephole and widest pupil: farther off nothing is seen",
            ),
            Source::Pupil | Source::Acuity => return None,
        };
        Some(Sensible { reach, words })
    }

    /// Largest factor on the law of `source` that leaves it sensible; at least 1, since the scenario has it as it is.
    /// `None` where nothing varies or nothing is an error.
    pub fn largest_sensible_factor(&self, source: Source) -> Option<f64> {
        let law = self.law(source);
        if law.uniforms() == 0 {
            return None;
        }
        let now = law.reach(source.neutral());
        let most = self.sensible(source)?.reach;
        (now > 0.0).then(|| (most / now).max(1.0))
    }

    /// Whether a source varies and may grow with all others: not where lines would come near their breaking load first.
    pub fn may_grow_with_others(&self, source: Source) -> bool {
        self.law(source).uniforms() > 0 && !self.is_held_by_strength(source)
    }

    /// Whether what holds a source is the strength of the line.
    pub fn is_held_by_strength(&self, source: Source) -> bool {
        source == Source::HandTension
            && self.law(source).is_lognormal()
            && self.strong_hand_log() < -libm::log(TENTH)
    }

    /// Three standard deviations (in the logarithm) of the hand whose second brings the most pulled line to half of the load at
    /// which it breaks, where that is known: beyond it lines break and whip. 0 where the line is pulled to that anyway.
    fn strong_hand_log(&self) -> f64 {
        const HALF: f64 = 2.0;
        let Some(breaking_n) = self.line.breaking_load_n else {
            return f64::INFINITY;
        };
        let pulled_n = self.line.tension_n.iter().copied().fold(0.0, f64::max);
        1.5 * libm::log(breaking_n / (HALF * pulled_n)).max(0.0)
    }

    fn closest_holes_mm(&self, plate: Plate) -> f64 {
        let z_mm = self.plates[plate.index()].z_mm;
        let mut closest = f64::INFINITY;
        for (nth, one) in self.vertices.iter().enumerate() {
            for other in &self.vertices[..nth] {
                closest = closest.min((one.direction - other.direction).norm() * z_mm);
            }
        }
        closest
    }

    /// From a plate to the nearest rod end, mm.
    fn clearance_mm(&self, plate: Plate) -> f64 {
        let z_mm = self.plates[plate.index()].z_mm;
        self.rods
            .iter()
            .flat_map(|rod| rod.ends)
            .map(|end| (end.depth_mm - z_mm).abs())
            .fold(f64::INFINITY, f64::min)
    }

    fn shortest_rod_mm(&self) -> f64 {
        self.rods
            .iter()
            .map(|rod| rod.length_mm(&self.vertices))
            .fold(f64::INFINITY, f64::min)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Pair;

    #[test]
    fn a_scaled_law_reaches_as_many_times_as_far() {
        let one = |distribution: Distribution| Law::Each(vec![distribution]);
        for (law, neutral) in [
            (one(Distribution::Normal { mean: 0.2, sd: 0.5 }), 0.0),
            (
                one(Distribution::Uniform {
                    mean: 0.9,
                    half_width: 0.1,
                }),
                1.0,
            ),
            (
                one(Distribution::Lognormal {
                    median: 0.9,
                    sd_log: 0.2,
                }),
                1.0,
            ),
            (Law::Ring(vec![0.1, 0.4]), 0.0),
            (
                Law::Disc {
                    centre: Pair::new(0.3, 0.4),
                    radius: 1.0,
                },
                0.0,
            ),
            (Law::Rows(vec![[0.1, -0.7], [0.2, 0.3]].into()), 0.0),
            (Law::Spun(Distribution::Normal { mean: 0.0, sd: 2.0 }), 0.0),
        ] {
            let ratio = law.scaled(3.0, neutral).reach(neutral) / law.reach(neutral);
            assert!((ratio - 3.0).abs() < 1e-12, "{law:?}: {ratio}");
        }
    }

    #[test]
    fn a_law_is_known_by_the_number_that_its_form_is_given_with() {
        let uniform = |mean| Distribution::Uniform {
            mean,
            half_width: 0.1,
        };
        let normal = Distribution::Normal { mean: 0.0, sd: 0.5 };
        assert_eq!(
            Law::Each(vec![normal.clone(); 2]).size(0.0),
            Some(Size::Sd(0.5))
        );
        assert_eq!(
            Law::Spun(normal.clone()).size(0.0),
            Some(Size::SdOfLength(0.5))
        );
        assert_eq!(
            Law::Each(vec![uniform(0.0)]).size(0.0),
            Some(Size::HalfWidth(0.1))
        );
        let off = Law::Each(vec![uniform(0.5)]).size(1.0);
        assert_eq!(off, Some(Size::Between([0.4, 0.6])));
        assert_eq!(
            Law::Ring(vec![0.2, 0.3]).size(0.0),
            Some(Size::Distance(0.3))
        );
        assert_eq!(Law::Each(vec![normal, uniform(0.0)]).size(0.0), None);
    }
}
