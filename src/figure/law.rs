//! How one source's values are made from uniform numbers, and what the law of propagation needs of them.

use crate::elementary::{Kernel, sin_cos_turns, widest};
use crate::geometry::Pair;
use crate::sampling::{BLOCK_BUILDS, Distribution, Row};
use crate::vision::{AdaptedPupil, FieldOfLight, pupil_diameter_mm_watson_yellott_2012};
use std::sync::Arc;

/// The joint law of one item's values.
#[derive(Debug, Clone, PartialEq)]
pub enum Law {
    /// Each component by itself; one distribution per component.
    Each(Vec<Distribution>),
    /// Two components, uniform over a disc.
    Disc {
        /// Centre of the disc.
        centre: Pair,
        /// Radius of the disc.
        radius: f64,
    },
    /// Two components, at a fixed distance (one per item) in a random direction.
    Ring(Vec<f64>),
    /// Two components, given for each item.
    Aimed(Vec<Pair>),
    /// Two components: a random length in a random direction.
    Spun(Distribution),
    /// Two components: measured pairs, each as likely, drawn as pairs.
    Rows(Arc<[[f64; 2]]>),
    /// A pupil's diameter from the light and the visitor's age.
    Light {
        /// The light.
        light: FieldOfLight,
        /// The visitor's age, years.
        age: Distribution,
    },
}

/// First two moments and bound of one item's values, for the first-order estimate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// Mean of each component (the second is unused for one component).
    pub mean: [f64; 2],
    /// Standard deviation of each component.
    pub sd: [f64; 2],
    /// Covariance of the two components.
    pub covariance: f64,
    /// How far the values can go from the mean, where they have bounds.
    pub reach: Option<Reach>,
}

/// Bounds of an item's values about their mean.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reach {
    /// Each component by itself within these, below and above the mean.
    Box([[f64; 2]; 2]),
    /// Both within a disc of this radius.
    Disc(f64),
}

impl Law {
    /// A law under which nothing varies: all components fixed at `value`.
    pub fn fixed(value: f64, components: usize) -> Self {
        Self::Each(vec![Distribution::Fixed(value); components])
    }

    /// The values of item `item` from two uniform numbers strictly between 0 and 1.
    pub fn values(&self, item: usize, u: [f64; 2]) -> [f64; 2] {
        match self {
            Self::Each(each) => {
                let first = each.first().map_or(0.0, |one| one.quantile(u[0]));
                [first, each.get(1).map_or(0.0, |two| two.quantile(u[1]))]
            }
            Self::Disc { centre, radius } => {
                let [x, y] = polar(radius * u[0].sqrt(), u[1]);
                [centre.x + x, centre.y + y]
            }
            Self::Ring(radii) => polar(radii[item], u[0]),
            Self::Aimed(aims) => [aims[item].x, aims[item].y],
            Self::Spun(length) => polar(length.quantile(u[0]), u[1]),
            Self::Rows(rows) => rows[((u[0] * rows.len() as f64) as usize).min(rows.len() - 1)],
            Self::Light { light, age } => [
                pupil_diameter_mm_watson_yellott_2012(*light, age.quantile(u[0])),
                0.0,
            ],
        }
    }

    /// Turns uniform numbers, in place, into the values of all items of a source in every build of a block: one row a value,
    /// `components` rows an item, the first [`Law::uniforms`] of which hold the item's uniform numbers. What
    /// [`Law::values`] gives, to rounding.
    pub fn shape(&self, rows: &mut [Row], components: usize) {
        match self {
            Self::Each(each) => match &each[..] {
                [first, others @ ..] if others.iter().all(|other| other == first) => {
                    first.shape(rows);
                }
                _ => {
                    for item in rows.chunks_exact_mut(components) {
                        for (one, row) in each.iter().zip(item) {
                            one.shape(std::slice::from_mut(row));
                        }
                    }
                }
            },
            Self::Spun(length) => {
                for item in rows.chunks_exact_mut(2) {
                    length.shape(&mut item[..1]);
                }
                widest(Spin { law: self, rows });
            }
            Self::Disc { .. } | Self::Ring(_) => widest(Spin { law: self, rows }),
            Self::Light { light, age } => {
                age.shape(rows);
                let pupil = AdaptedPupil::to(*light);
                for diameter in rows.iter_mut().flat_map(|row| &mut row.0) {
                    *diameter = pupil.diameter_mm(*diameter);
                }
            }
            Self::Rows(_) | Self::Aimed(_) => {
                for (item, rows) in rows.chunks_exact_mut(2).enumerate() {
                    for build in 0..BLOCK_BUILDS {
                        let [x, y] = self.values(item, [rows[0].0[build], 0.5]);
                        rows[0].0[build] = x;
                        rows[1].0[build] = y;
                    }
                }
            }
        }
    }

    /// The same law with every value `factor` times as far from `neutral`: what is uneven, and what is off in the mean. A
    /// factor on something (a `neutral` of 1) is scaled in its logarithm where it is lognormal. The pupil, which has no
    /// "no error", stays.
    #[must_use]
    pub fn scaled(&self, factor: f64, neutral: f64) -> Self {
        match self {
            Self::Each(each) => {
                Self::Each(each.iter().map(|one| one.scaled(factor, neutral)).collect())
            }
            Self::Disc { centre, radius } => Self::Disc {
                centre: centre * factor,
                radius: radius * factor,
            },
            Self::Ring(radii) => Self::Ring(radii.iter().map(|radius| radius * factor).collect()),
            Self::Aimed(aims) => Self::Aimed(aims.iter().map(|aim| aim * factor).collect()),
            Self::Spun(length) => Self::Spun(length.scaled(factor, neutral)),
            Self::Rows(rows) => {
                let scaled = |value: f64| neutral + factor * (value - neutral);
                Self::Rows(rows.iter().map(|row| row.map(scaled)).collect())
            }
            Self::Light { .. } => self.clone(),
        }
    }

    /// How many uniform numbers one item takes: 0 when nothing varies.
    pub fn uniforms(&self) -> usize {
        match self {
            Self::Each(each) if each.iter().all(Distribution::is_fixed) => 0,
            Self::Each(each) => each.len(),
            Self::Disc { radius, .. } if *radius == 0.0 => 0,
            Self::Disc { .. } => 2,
            Self::Ring(radii) if radii.iter().all(|radius| *radius == 0.0) => 0,
            Self::Ring(_) => 1,
            Self::Aimed(_) => 0,
            Self::Rows(rows) => usize::from(rows.iter().any(|row| *row != rows[0])),
            Self::Spun(length) if length.bounds() == Some([0.0, 0.0]) => 0,
            Self::Spun(_) => 2,
            Self::Light { age, .. } if age.is_fixed() => 0,
            Self::Light { .. } => 1,
        }
    }

    /// Whether the law never gives anything but `neutral`.
    pub fn is_silent(&self, neutral: f64) -> bool {
        let zero = |value: f64| value == neutral;
        match self {
            Self::Each(each) => each
                .iter()
                .all(|one| one.bounds() == Some([neutral, neutral])),
            Self::Disc { centre, radius } => *radius == 0.0 && centre.iter().all(|c| zero(*c)),
            Self::Ring(radii) => radii.iter().all(|radius| zero(*radius)),
            Self::Aimed(aims) => aims.iter().all(|aim| aim.iter().all(|c| zero(*c))),
            Self::Spun(length) => length.bounds() == Some([0.0, 0.0]),
            Self::Rows(rows) => rows.iter().flatten().all(|value| zero(*value)),
            Self::Light { .. } => false,
        }
    }

    /// Moments and bounds of item `item`.
    pub fn spread(&self, item: usize) -> Spread {
        const NONE: [f64; 2] = [0.0, 0.0];
        match self {
            Self::Each(each) => {
                let mut spread = Spread {
                    mean: NONE,
                    sd: NONE,
                    covariance: 0.0,
                    reach: None,
                };
                let mut box_reach = [NONE; 2];
                let mut bounded = true;
                for (c, one) in each.iter().enumerate().take(2) {
                    spread.mean[c] = one.mean();
                    spread.sd[c] = one.sd();
                    match one.bounds() {
                        Some([low, high]) => {
                            box_reach[c] = [spread.mean[c] - low, high - spread.mean[c]];
                        }
                        None => bounded = false,
                    }
                }
                spread.reach = bounded.then_some(Reach::Box(box_reach));
                spread
            }
            Self::Disc { centre, radius } => Spread {
                mean: [centre.x, centre.y],
                sd: [radius / 2.0; 2],
                covariance: 0.0,
                reach: Some(Reach::Disc(*radius)),
            },
            Self::Ring(radii) => Spread {
                mean: NONE,
                sd: [radii[item] / 2.0_f64.sqrt(); 2],
                covariance: 0.0,
                reach: Some(Reach::Disc(radii[item])),
            },
            Self::Aimed(aims) => Spread {
                mean: [aims[item].x, aims[item].y],
                sd: NONE,
                covariance: 0.0,
                reach: Some(Reach::Disc(0.0)),
            },
            Self::Spun(length) => {
                let square = length.mean() * length.mean() + length.sd() * length.sd();
                Spread {
                    mean: NONE,
                    sd: [(square / 2.0).sqrt(); 2],
                    covariance: 0.0,
                    reach: length
                        .bounds()
                        .map(|[low, high]| Reach::Disc(low.abs().max(high.abs()))),
                }
            }
            Self::Rows(rows) => {
                let n = rows.len() as f64;
                let mean = [0, 1].map(|c| rows.iter().map(|row| row[c]).sum::<f64>() / n);
                let product = |a: usize, b: usize| {
                    rows.iter()
                        .map(|row| (row[a] - mean[a]) * (row[b] - mean[b]))
                        .sum::<f64>()
                        / n
                };
                let far = |c: usize| {
                    let low = rows.iter().map(|row| row[c]).fold(f64::INFINITY, f64::min);
                    let high = rows
                        .iter()
                        .map(|row| row[c])
                        .fold(f64::NEG_INFINITY, f64::max);
                    [mean[c] - low, high - mean[c]]
                };
                Spread {
                    mean,
                    sd: [product(0, 0).sqrt(), product(1, 1).sqrt()],
                    covariance: product(0, 1),
                    reach: Some(Reach::Box([far(0), far(1)])),
                }
            }
            Self::Light { .. } => {
                const POINTS: u32 = 1000;
                let diameters: Vec<f64> = (0..POINTS)
                    .map(|i| self.values(item, [(f64::from(i) + 0.5) / f64::from(POINTS), 0.5])[0])
                    .collect();
                let spread =
                    Distribution::measured(diameters).expect("a thousand finite diameters");
                let mean = spread.mean();
                let [low, high] = spread.bounds().expect("measured values have bounds");
                Spread {
                    mean: [mean, 0.0],
                    sd: [spread.sd(), 0.0],
                    covariance: 0.0,
                    reach: Some(Reach::Box([[mean - low, high - mean], NONE])),
                }
            }
        }
    }
}

#[inline(always)]
fn polar(length: f64, turns: f64) -> [f64; 2] {
    let (sine, cosine) = sin_cos_turns(turns);
    [length * cosine, length * sine]
}

/// The last step of [`Law::shape`] for values with a random direction.
struct Spin<'a> {
    law: &'a Law,
    rows: &'a mut [Row],
}

impl Kernel for Spin<'_> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        let (items, _) = self.rows.as_chunks_mut::<2>();
        for (item, [x, y]) in items.iter_mut().enumerate() {
            match self.law {
                Law::Disc { centre, radius } => {
                    for (x, y) in x.0.iter_mut().zip(&mut y.0) {
                        let [off_x, off_y] = polar(radius * x.sqrt(), *y);
                        (*x, *y) = (centre.x + off_x, centre.y + off_y);
                    }
                }
                Law::Ring(radii) => {
                    let radius = radii[item];
                    for (x, y) in x.0.iter_mut().zip(&mut y.0) {
                        [*x, *y] = polar(radius, *x);
                    }
                }
                _ => {
                    for (x, y) in x.0.iter_mut().zip(&mut y.0) {
                        [*x, *y] = polar(*x, *y);
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn moments(law: &Law) -> ([f64; 2], [f64; 2]) {
        let n = 400;
        let (mut sum, mut squares) = ([0.0; 2], [0.0; 2]);
        for i in 0..n {
            for j in 0..n {
                let u = [i, j].map(|k| (f64::from(k) + 0.5) / f64::from(n));
                for (c, value) in law.values(0, u).into_iter().enumerate() {
                    sum[c] += value;
                    squares[c] += value * value;
                }
            }
        }
        let count = f64::from(n * n);
        let mean = sum.map(|s| s / count);
        (
            mean,
            [0, 1].map(|c| (squares[c] / count - mean[c] * mean[c]).sqrt()),
        )
    }

    fn every_form() -> Vec<Law> {
        vec![
            Law::Each(vec![
                Distribution::Uniform {
                    mean: 0.5,
                    half_width: 1.0,
                },
                Distribution::Triangular {
                    mean: 0.0,
                    half_width: 2.0,
                },
            ]),
            Law::Disc {
                centre: Pair::new(0.2, -0.1),
                radius: 3.0,
            },
            Law::Ring(vec![1.5]),
            Law::Rows(vec![[0.0, 1.0], [2.0, 3.0], [-1.0, 0.5], [0.0, 0.0]].into()),
            Law::Spun(Distribution::Uniform {
                mean: 0.0,
                half_width: 1.0,
            }),
        ]
    }

    #[test]
    fn a_row_of_values_is_what_each_build_gives_by_itself() {
        let light = Law::Light {
            light: FieldOfLight {
                luminance_cd_per_m2: 80.0,
                area_deg2: 900.0,
                both_eyes: false,
            },
            age: Distribution::Uniform {
                mean: 40.0,
                half_width: 30.0,
            },
        };
        for law in every_form().into_iter().chain([light]) {
            let components = if matches!(law, Law::Light { .. }) {
                1
            } else {
                2
            };
            let mut rows = vec![Row::of(0.5); components];
            crate::sampling::RowKey::new(9, 0, 0, 0).fill(crate::sampling::SourceRows {
                rows: &mut rows,
                components,
                uniforms: law.uniforms(),
            });
            let uniforms = rows.clone();
            law.shape(&mut rows, components);
            for build in 0..BLOCK_BUILDS {
                let alone = law.values(0, [0, components - 1].map(|row| uniforms[row].0[build]));
                for (row, alone) in rows.iter().zip(alone) {
                    let found = row.0[build];
                    let allowed = 1e-14 * (1.0 + alone.abs());
                    assert!((found - alone).abs() < allowed, "{law:?} {found} {alone}");
                }
            }
        }
    }

    #[test]
    fn spread_is_that_of_the_values() {
        for law in every_form() {
            let (mean, sd) = moments(&law);
            let spread = law.spread(0);
            for c in 0..2 {
                assert!((mean[c] - spread.mean[c]).abs() < 1e-3, "{law:?} {mean:?}");
                assert!(
                    (sd[c] - spread.sd[c]).abs() < 2e-3,
                    "{law:?} {sd:?} {spread:?}"
                );
            }
        }
    }
}
