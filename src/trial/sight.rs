//! One look at one build in full detail, for a person who checks a number by hand.

use super::build::{Built, NotComputable};
use super::judge::{LookOutcome, judge};
use super::look::{Glance, Viewed};
use super::measure::Measured;
use crate::figure::{Item, Plan};
use crate::geometry::{Edge, Pair, Point, Similarity};
use crate::vision::{Seen, blur_rad, retinal_illuminance_td};
use std::f64::consts::PI;

/// A deviation in both frames, rad.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InFrames<T> {
    /// Against the cabinet's axes.
    pub fixed: T,
    /// After the common shift, rotation and scale; `None` when a rod end is not seen at all, so that nothing can be
    /// fitted.
    pub fitted: Option<T>,
}

impl<T> InFrames<T> {
    fn new(seen: Pair, fit: Option<&Similarity>, measure: impl Fn(Pair) -> T) -> Self {
        Self {
            fixed: measure(seen),
            fitted: fit.map(|fit| measure(fit.undo(seen))),
        }
    }
}

/// How one point of a rod is seen.
#[derive(Debug, Clone, PartialEq)]
pub struct SightPoint {
    /// Where it is, mm.
    pub place_mm: Point,
    /// Where it should be seen, tangents.
    pub target: Pair,
    /// Overlap's area over the pupil's area.
    pub clear_share: f64,
    /// Direction in which it is seen, tangents; `None` when none of its light gets in.
    pub seen: Option<Pair>,
    /// Seen minus target, rad.
    pub deviation_rad: Option<InFrames<Pair>>,
    /// Distance from the target edge, signed, rad.
    pub off_rad: Option<InFrames<f64>>,
    /// How far it runs past its vertex along the edge, rad (of ends; negative: stops short).
    pub reach_rad: Option<InFrames<f64>>,
    /// Defocus and diffraction in quadrature, rad.
    pub blur_rad: Option<f64>,
    /// Light on the retina, trolands, where the luminance is known.
    pub retinal_td: Option<f64>,
}

/// How one rod is seen.
#[derive(Debug, Clone, PartialEq)]
pub struct SightRod {
    /// Its two ends.
    pub ends: [SightPoint; 2],
    /// Its middle, when rods can bow.
    pub middle: Option<SightPoint>,
    /// Largest distance from the target edge, rad; `None` when part of it is not seen.
    pub across_rad: Option<InFrames<f64>>,
    /// Change of its direction, rad.
    pub turn_rad: Option<InFrames<f64>>,
    /// Drift limit for this visitor, rad.
    pub limit_rad: f64,
}

/// How one junction is seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SightJunction {
    /// Largest gap between two of its ends, rad; `None` when one of them is not seen.
    pub gap_rad: Option<f64>,
    /// Gap limit for this visitor, rad.
    pub limit_rad: f64,
}

/// One look at one build.
#[derive(Debug, Clone, PartialEq)]
pub struct Sight {
    /// Pupil centre, mm.
    pub pupil_mm: Point,
    /// Pupil diameter, mm.
    pub pupil_diameter_mm: f64,
    /// Peephole centre, mm.
    pub peephole_mm: Point,
    /// Finest detail of the visitor's eye, rad.
    pub detail_rad: f64,
    /// Tension of every line, N.
    pub tensions_n: Vec<f64>,
    /// The common shift, rotation and scale that were taken away.
    pub fit: Option<Similarity>,
    /// Every rod.
    pub rods: Vec<SightRod>,
    /// Every junction.
    pub junctions: Vec<SightJunction>,
    /// The verdict.
    pub outcome: LookOutcome,
}

impl Sight {
    /// Looks once, at the build of `build_values`, with the eye of `look_values`.
    ///
    /// # Errors
    /// [`NotComputable`] with the reason.
    pub fn of(
        plan: &Plan,
        build_values: &[f64],
        look_values: &[f64],
    ) -> Result<Self, NotComputable> {
        let mut built = Built::new(plan);
        built.set(plan, build_values)?;
        let glance = Glance::new(plan, look_values, built.peephole_mm)?;
        let mut viewed = Viewed::new(plan);
        let mut measured = Measured::new(plan);
        let outcome = judge(plan, &built, &glance, &mut viewed, &mut measured)?;
        let all_seen = viewed.end_clear.iter().all(|clear| *clear > 0.0);
        let fit = if all_seen {
            Similarity::fit(&plan.targets, &viewed.ends).ok()
        } else {
            None
        };
        let view = View {
            plan,
            glance: &glance,
            fit: fit.as_ref(),
        };
        let rods = (0..plan.edges.len())
            .map(|rod| view.rod(rod, &built))
            .collect();
        let junctions = plan
            .junctions
            .iter()
            .enumerate()
            .map(|(index, junction)| {
                let seen = junction.ends.iter().all(|end| viewed.end_clear[*end] > 0.0);
                SightJunction {
                    gap_rad: seen
                        .then(|| super::measure::largest_gap_rad(&junction.ends, &viewed.ends)),
                    limit_rad: plan.gap_limit_rad(index, glance.detail_rad),
                }
            })
            .collect();
        Ok(Self {
            pupil_mm: glance.apertures.pupil_mm,
            pupil_diameter_mm: 2.0 * glance.apertures.pupil_radius_mm,
            peephole_mm: built.peephole_mm,
            detail_rad: glance.detail_rad,
            tensions_n: built.tensions_n,
            fit,
            rods,
            junctions,
            outcome,
        })
    }

    /// The worst item by name, with its share of the limit, when the look was judged.
    pub fn worst(&self, plan: &Plan) -> Option<(String, f64)> {
        match self.outcome {
            LookOutcome::Clipped => None,
            LookOutcome::Judged(verdict) => {
                Some((plan.item_name(verdict.worst), verdict.worst_share))
            }
        }
    }

    /// Value and limit of an item as it is judged, rad.
    pub fn item_rad(&self, plan: &Plan, item: Item) -> Option<[f64; 2]> {
        match item {
            Item::Rod(rod) => {
                let rod = &self.rods[rod];
                let across = rod.across_rad?;
                let value = match plan.design.judging.frame {
                    crate::figure::Frame::Fixed => across.fixed,
                    crate::figure::Frame::Fitted => across.fitted?,
                };
                Some([value, rod.limit_rad])
            }
            Item::Junction(junction) => {
                let junction = &self.junctions[junction];
                Some([junction.gap_rad?, junction.limit_rad])
            }
        }
    }
}

struct View<'v> {
    plan: &'v Plan,
    glance: &'v Glance,
    fit: Option<&'v Similarity>,
}

impl View<'_> {
    fn rod(&self, rod: usize, built: &Built) -> SightRod {
        let edge = &self.plan.edges[rod];
        let ends = [0, 1].map(|which| {
            let end = 2 * rod + which;
            self.point(
                built.ends_mm[end],
                self.plan.targets[end],
                edge,
                Some(which),
            )
        });
        let middle = built
            .middles_mm
            .get(rod)
            .map(|place| self.point(*place, self.plan.middle_targets[rod], edge, None));
        let points: Vec<&SightPoint> = ends.iter().chain(&middle).collect();
        let across = |pick: &dyn Fn(&InFrames<f64>) -> Option<f64>| {
            points
                .iter()
                .map(|point| point.off_rad.as_ref().and_then(pick).map(f64::abs))
                .reduce(|a, b| Some(a?.max(b?)))
                .flatten()
        };
        let across_rad = across(&|off| Some(off.fixed)).map(|fixed| InFrames {
            fixed,
            fitted: across(&|off| off.fitted),
        });
        let turn_rad = ends[0]
            .seen
            .zip(ends[1].seen)
            .map(|(first, second)| InFrames {
                fixed: edge.turn_rad(first, second),
                fitted: self
                    .fit
                    .map(|fit| edge.turn_rad(fit.undo(first), fit.undo(second))),
            });
        SightRod {
            across_rad,
            turn_rad,
            limit_rad: self.plan.drift_limit_rad(rod, self.glance.detail_rad),
            ends,
            middle,
        }
    }

    fn point(&self, place_mm: Point, target: Pair, edge: &Edge, end: Option<usize>) -> SightPoint {
        let apertures = &self.glance.apertures;
        let seen: Option<Seen> = apertures.see(&place_mm);
        let pupil_mm2 = PI * apertures.pupil_radius_mm * apertures.pupil_radius_mm;
        let direction = seen.map(|seen| seen.direction);
        let overlap_mm2 = seen.map(|seen| seen.clear_share * pupil_mm2);
        SightPoint {
            place_mm,
            target,
            clear_share: seen.map_or(0.0, |seen| seen.clear_share),
            seen: direction,
            deviation_rad: direction
                .map(|seen| InFrames::new(seen, self.fit, |seen| seen - target)),
            off_rad: direction.map(|seen| InFrames::new(seen, self.fit, |seen| edge.off_rad(seen))),
            reach_rad: direction
                .zip(end)
                .map(|(seen, end)| InFrames::new(seen, self.fit, |seen| edge.reach_rad(end, seen))),
            blur_rad: overlap_mm2.map(|overlap_mm2| {
                blur_rad(
                    overlap_mm2,
                    place_mm.z - apertures.pupil_mm.z,
                    apertures.focus_per_mm,
                    self.plan.design.viewer.wavelength_mm,
                )
            }),
            retinal_td: overlap_mm2
                .zip(self.plan.design.viewer.luminance_cd_per_m2)
                .map(|(overlap_mm2, luminance)| retinal_illuminance_td(luminance, overlap_mm2)),
        }
    }
}
