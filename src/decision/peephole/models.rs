//! What binds a peephole besides the trials, from closed forms: diffraction, light, blur, and the largest hole by hand.
//!
//! All for an eye of mean pupil at the station point. Sources: `vision::blur`, `vision::light`; the parallax of a junction
//! (`geometry::junction_gap_rad`).

use super::mean_of;
use crate::figure::{Law, Plan, Source};
use crate::geometry::junction_gap_rad;
use crate::vision::{
    NormalAcuity, ONE_LINE_LOG_MAR, blur_rad, diffraction_rad, retinal_illuminance_td,
};
use std::f64::consts::PI;

/// Share of all looks that [`PeepholeAnswer::wandering_mm`](super::PeepholeAnswer::wandering_mm) holds.
const MOST_LOOKS: f64 = 0.95;
/// Uniform numbers along each of two sides at which the eye's law is looked at.
const LATTICE: usize = 64;

/// The mean eye, and how far eyes wander.
#[derive(Debug, Clone, Copy)]
pub(super) struct EyeFigures {
    pub pupil_mm: f64,
    pub detail_rad: f64,
    pub wandering_mm: f64,
    pub guides_until_mm: f64,
    /// From here on the widest pupil sees the whole figure from wherever practically all looks are taken, mm.
    pub open_from_mm: f64,
    /// 1/z of the nearest and the farthest rod end, and of the one best in focus, 1/mm.
    ends_per_mm: [f64; 3],
}

impl EyeFigures {
    pub fn of(plan: &Plan) -> Self {
        let pupil_mm = mean_of(plan, Source::Pupil);
        let [wandering_mm, farthest_mm] = wandering_mm(plan.design.law(Source::EyeOffset));
        let pupil = plan.design.law(Source::Pupil).spread(0);
        let widest_pupil_mm = pupil.mean[0] + 3.0 * pupil.sd[0];
        let shift = plan.design.law(Source::PeepholeShift).spread(0);
        let off_mm = libm::hypot(shift.mean[0], shift.mean[1]) + 3.0 * shift.sd[0].max(shift.sd[1]);
        // how far off the axis the light of the outermost rod end crosses the peephole's plate
        let outermost = plan.targets.iter().map(|end| end.norm());
        let slant_mm = outermost.fold(0.0, f64::max) * plan.design.peephole.eye_relief_mm;
        let depths_per_mm: Vec<f64> = plan
            .design
            .rods
            .iter()
            .flat_map(|rod| rod.ends)
            .map(|end| 1.0 / end.depth_mm)
            .collect();
        let focus_per_mm = 1.0 / plan.design.viewer.focus_mm;
        let nearest = depths_per_mm.iter().copied().fold(0.0, f64::max);
        let farthest = depths_per_mm.iter().copied().fold(nearest, f64::min);
        let off = |per_mm: f64| (per_mm - focus_per_mm).abs();
        let best = depths_per_mm
            .iter()
            .copied()
            .fold(nearest, |a, b| if off(b) < off(a) { b } else { a });
        Self {
            pupil_mm,
            detail_rad: plan.typical_detail_rad(),
            wandering_mm,
            open_from_mm: widest_pupil_mm + 2.0 * (farthest_mm + off_mm + slant_mm),
            guides_until_mm: pupil_mm + 2.0 * (wandering_mm + slant_mm),
            ends_per_mm: [nearest, farthest, best],
        }
    }

    /// How much wider than the hole its image on the pupil's plane is, at least: as thrown by the farthest rod end.
    fn stretch(&self, plan: &Plan) -> f64 {
        let far_mm = 1.0 / self.ends_per_mm[1];
        stretch(far_mm, plan.design.peephole.eye_relief_mm)
    }
}

/// How much wider than the hole the image is that a point at `z_mm` throws on the pupil's plane.
fn stretch(z_mm: f64, eye_relief_mm: f64) -> f64 {
    z_mm / (z_mm - eye_relief_mm)
}

/// Radii about the station point within which [`MOST_LOOKS`] and practically all looks are taken, mm.
fn wandering_mm(law: &Law) -> [f64; 2] {
    let at = |nth: usize| (nth as f64 + 0.5) / LATTICE as f64;
    let mut radii: Vec<f64> = (0..LATTICE * LATTICE)
        .map(|cell| {
            let [x, y] = law.values(0, [at(cell % LATTICE), at(cell / LATTICE)]);
            libm::hypot(x, y)
        })
        .collect();
    radii.sort_by(f64::total_cmp);
    let most = (MOST_LOOKS * radii.len() as f64) as usize;
    [radii[most.min(radii.len() - 1)], radii[radii.len() - 1]]
}

/// What is left of a pupil behind a hole whose image is `image_mm` wide, both centred: diameter, mm.
fn lit_mm(pupil_mm: f64, image_mm: f64) -> f64 {
    pupil_mm.min(image_mm)
}

/// Diffraction's limit on the hole.
///
/// The rule: by Rayleigh's criterion the hole may cost one line of a test chart (0.1 logMAR) at most, against what the visitor
/// of mean acuity tells without it: the finest detail, or the pupil's own diffraction where that is coarser.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DiffractionLimit {
    /// The coarsest that is allowed, rad.
    pub allowed_rad: f64,
    /// Diffraction of the whole mean pupil, rad.
    pub pupil_rad: f64,
    /// The smallest gap limit of the visitor of mean acuity, rad; `None` without a junction.
    pub smallest_gap_limit_rad: Option<f64>,
    /// Narrowest hole, mm.
    pub smallest_mm: f64,
}

impl DiffractionLimit {
    pub(super) fn of(plan: &Plan, eye: &EyeFigures) -> Self {
        let wavelength_mm = plan.design.viewer.wavelength_mm;
        let pupil_rad = diffraction_rad(eye.pupil_mm, wavelength_mm);
        let allowed_rad = libm::pow(10.0, ONE_LINE_LOG_MAR) * eye.detail_rad.max(pupil_rad);
        let gap_limits = (0..plan.junctions.len())
            .map(|junction| plan.gap_limit_rad(junction, eye.detail_rad))
            .reduce(f64::min);
        Self {
            allowed_rad,
            pupil_rad,
            smallest_gap_limit_rad: gap_limits,
            // diffraction is inverse to the aperture
            smallest_mm: diffraction_rad(1.0, wavelength_mm) / allowed_rad / eye.stretch(plan),
        }
    }
}

/// Field of light that sets the pupil where the scenario does not say: 30° across, deg².
const USUAL_FIELD_DEG2: f64 = 706.858;
/// Age where the scenario does not say, years.
const USUAL_AGE_YEARS: f64 = 30.0;

/// Light's limit on the hole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LightLimit {
    /// Luminance of the rods' surroundings, cd/m².
    pub luminance_cd_per_m2: f64,
    /// The light down to which acuity is still normal.
    pub normal: NormalAcuity,
    /// Field and age for which that is, deg² and years.
    pub field_deg2: f64,
    /// Age, years.
    pub age_years: f64,
    /// Light on the retina through the whole mean pupil, trolands.
    pub whole_pupil_td: f64,
    /// Narrowest hole that lets enough in, mm; `None` where not even the whole pupil does.
    pub smallest_mm: Option<f64>,
    /// How many times as much light would be enough with the whole pupil, which narrows as the light grows where the scenario's
    /// law says so; `None` where it is enough.
    pub times_more_light: Option<f64>,
}

impl LightLimit {
    pub(super) fn of(plan: &Plan, eye: &EyeFigures) -> Option<Self> {
        let luminance_cd_per_m2 = plan.design.viewer.luminance_cd_per_m2?;
        let (field_deg2, age_years) = match plan.design.law(Source::Pupil) {
            Law::Light { light, age } => (light.area_deg2, age.mean()),
            _ => (USUAL_FIELD_DEG2, USUAL_AGE_YEARS),
        };
        let normal = NormalAcuity::of(field_deg2, age_years, true)?;
        let whole_pupil_td = trolands(luminance_cd_per_m2, eye.pupil_mm);
        let lit_mm = (4.0 * normal.illuminance_td / (PI * luminance_cd_per_m2)).sqrt();
        let is_enough = whole_pupil_td >= normal.illuminance_td;
        let times = || times_more_light(plan, luminance_cd_per_m2, normal.illuminance_td);
        Some(Self {
            luminance_cd_per_m2,
            normal,
            field_deg2,
            age_years,
            whole_pupil_td,
            smallest_mm: is_enough.then(|| lit_mm / eye.stretch(plan)),
            times_more_light: if is_enough { None } else { times() },
        })
    }
}

/// Doublings of the light that are tried.
const DOUBLINGS: usize = 40;

/// How many times the light must be for the whole mean pupil to get `least_td` trolands; `None` where no light that is tried
/// does. A pupil that follows the light (see `vision::pupil`) narrows as that grows, so it is taken anew at each light.
fn times_more_light(plan: &Plan, luminance_cd_per_m2: f64, least_td: f64) -> Option<f64> {
    let law = plan.design.law(Source::Pupil);
    let is_enough = |times: f64| {
        let mut brighter = law.clone();
        if let Law::Light { light, .. } = &mut brighter {
            light.luminance_cd_per_m2 *= times;
        }
        let pupil_mm = brighter.spread(0).mean[0];
        trolands(times * luminance_cd_per_m2, pupil_mm) >= least_td
    };
    let mut high = (0..DOUBLINGS)
        .map(|nth| libm::pow(2.0, nth as f64))
        .find(|times| is_enough(*times))?;
    let mut low = high / 2.0;
    for _ in 0..DOUBLINGS {
        let middle = f64::midpoint(low, high);
        if is_enough(middle) {
            high = middle;
        } else {
            low = middle;
        }
    }
    Some(high)
}

fn trolands(luminance_cd_per_m2: f64, lit_mm: f64) -> f64 {
    retinal_illuminance_td(luminance_cd_per_m2, PI * lit_mm * lit_mm / 4.0)
}

/// Light on the retina of an eye at the station point with a pupil of `pupil_mm` behind a hole of `diameter_mm`, trolands;
/// `None` without a luminance.
pub fn trolands_at(plan: &Plan, pupil_mm: f64, diameter_mm: f64) -> Option<f64> {
    let luminance_cd_per_m2 = plan.design.viewer.luminance_cd_per_m2?;
    let depths = plan.design.rods.iter().flat_map(|rod| rod.ends);
    let far_mm = depths.map(|end| end.depth_mm).fold(0.0, f64::max);
    let image_mm = diameter_mm * stretch(far_mm, plan.design.peephole.eye_relief_mm);
    Some(trolands(luminance_cd_per_m2, lit_mm(pupil_mm, image_mm)))
}

/// Blur of rods, rad: defocus and diffraction in quadrature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Blurs {
    /// Of the nearest rod end.
    pub nearest_rad: f64,
    /// Of the farthest.
    pub farthest_rad: f64,
    /// Of the one that is best in focus.
    pub best_rad: f64,
    /// Diffraction alone, through what the hole leaves of the pupil.
    pub diffraction_rad: f64,
}

impl Blurs {
    pub(super) fn at(plan: &Plan, eye: &EyeFigures, diameter_mm: f64) -> Self {
        let viewer = &plan.design.viewer;
        let lit_mm = |z_mm: f64| {
            let image_mm = diameter_mm * stretch(z_mm, plan.design.peephole.eye_relief_mm);
            lit_mm(eye.pupil_mm, image_mm)
        };
        let [nearest_rad, farthest_rad, best_rad] = eye.ends_per_mm.map(|per_mm| {
            let z_mm = 1.0 / per_mm;
            let lit_mm = lit_mm(z_mm);
            let area_mm2 = PI * lit_mm * lit_mm / 4.0;
            blur_rad(area_mm2, z_mm, 1.0 / viewer.focus_mm, viewer.wavelength_mm)
        });
        let far_lit_mm = lit_mm(1.0 / eye.ends_per_mm[1]);
        Self {
            nearest_rad,
            farthest_rad,
            best_rad,
            diffraction_rad: diffraction_rad(far_lit_mm, viewer.wavelength_mm),
        }
    }

    /// How much more the most blurred of the three is blurred than the least, rad.
    pub fn difference_rad(&self) -> f64 {
        let all = [self.nearest_rad, self.farthest_rad, self.best_rad];
        let most = all.into_iter().fold(0.0, f64::max);
        most - all.into_iter().fold(most, f64::min)
    }
}

/// Up to which hole the blur of the rods does not give their depths away: their blurs differ by no more than the finest detail
/// of the visitor of mean acuity. Advice and no bound, since an eye refocuses.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum DepthHidden {
    /// At every diameter.
    AtEvery,
    /// Up to this one, mm.
    UpTo(f64),
    /// At none of the sweep.
    AtNone,
}

impl DepthHidden {
    pub(super) fn of(plan: &Plan, eye: &EyeFigures, narrowest_mm: f64) -> Self {
        let is_hidden =
            |diameter_mm: f64| Blurs::at(plan, eye, diameter_mm).difference_rad() <= eye.detail_rad;
        // beyond the pupil's own width nothing changes
        let (mut low, mut high) = (narrowest_mm, eye.pupil_mm.max(1.01 * narrowest_mm));
        if is_hidden(high) {
            return Self::AtEvery;
        }
        if !is_hidden(low) {
            return Self::AtNone;
        }
        while high > low * 1.0001 {
            let middle = (low * high).sqrt();
            if is_hidden(middle) {
                low = middle;
            } else {
                high = middle;
            }
        }
        Self::UpTo(low)
    }
}

/// What a junction allows by hand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HandHole {
    /// The junction, by index.
    pub junction: usize,
    /// Depths of its two rod ends that are farthest apart in 1/z, mm.
    pub depths_mm: [f64; 2],
    /// Its gap limit for the visitor of mean acuity, rad.
    pub gap_limit_rad: f64,
    /// Diameter D at which D/2·|1/z1 − 1/z2| is that limit, mm; `None` where the ends lie at one depth.
    pub diameter_mm: Option<f64>,
}

/// The largest hole of each junction by hand: the eye may stand at the hole's rim and no farther, and nothing else is wrong.
pub fn hand_holes(plan: &Plan) -> Vec<HandHole> {
    let detail_rad = plan.typical_detail_rad();
    plan.junctions
        .iter()
        .enumerate()
        .map(|(index, junction)| {
            let depths_mm = plan.widest_depths_mm(junction);
            let per_mm = junction_gap_rad(1.0, depths_mm[0], depths_mm[1]);
            let gap_limit_rad = plan.gap_limit_rad(index, detail_rad);
            HandHole {
                junction: index,
                depths_mm,
                gap_limit_rad,
                diameter_mm: (per_mm > 0.0).then(|| 2.0 * gap_limit_rad / per_mm),
            }
        })
        .collect()
}
