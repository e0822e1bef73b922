//! What the thickness of the peephole's plate does to the view. The trials take the plate as thin.

use crate::figure::{Plan, Source};
use crate::geometry::Point;
use crate::vision::{Tunnel, open_share_of_hole};

/// Thicknesses of the table, mm: sheet and ply that are sold (common practice, no source).
pub const PLATES_MM: [f64; 6] = [0.5, 1.0, 2.0, 3.0, 4.0, 6.0];
/// Share of the thin plate's clear share that should be left.
const MOST: f64 = 0.9;

/// One thickness.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlateRow {
    /// Thickness, mm.
    pub thickness_mm: f64,
    /// Open share of the hole for light from the outermost rod end.
    pub open_share: f64,
    /// Share of the mean pupil, centred, that the outermost rod end lights.
    pub clear_share: f64,
}

/// What the plate's thickness does at one diameter.
#[derive(Debug, Clone, PartialEq)]
pub struct PlateAdvice {
    /// The hole, mm.
    pub diameter_mm: f64,
    /// The scenario's own thickness, mm.
    pub own_mm: f64,
    /// The outermost rod end, `2·rod + end`.
    pub outermost: usize,
    /// How far off the axis its light comes in, tangent.
    pub tangent: f64,
    /// The thin plate, the usual thicknesses and the scenario's own, rising.
    pub rows: Vec<PlateRow>,
    /// Thickest plate behind which that rod end is still shown, mm; `None` where not even a thin one shows it.
    pub shown_up_to_mm: Option<f64>,
    /// Thickest plate that leaves nine tenths of the thin plate's clear share, mm; `None` where a thin one shows nothing.
    pub nine_tenths_up_to_mm: Option<f64>,
    /// What the scenario's own thickness takes of that rod end's view, where it matters.
    pub own_takes: Option<OwnPlate>,
}

/// What a plate takes of the view of the outermost rod end: more than a tenth, or so much that the end is clipped.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OwnPlate {
    /// Share of the thin plate's clear share that is lost.
    pub lost_share: f64,
    /// Clear share that is left.
    pub clear_share: f64,
    /// Whether that is under the share below which the end is clipped, though a thin plate shows it.
    pub is_clipped: bool,
    /// Thickest plate that would neither clip the end nor take more than a tenth, mm.
    pub thin_enough_mm: f64,
}

/// Works it out for a hole of `diameter_mm`.
pub fn plate_advice(plan: &Plan, diameter_mm: f64) -> PlateAdvice {
    let peephole = &plan.design.peephole;
    let pupil_mm = super::mean_of(plan, Source::Pupil);
    // a rod joins two lines, so there are at least two ends
    let outermost = (0..plan.targets.len())
        .reduce(|a, b| {
            if plan.targets[b].norm() > plan.targets[a].norm() {
                b
            } else {
                a
            }
        })
        .unwrap_or(0);
    let tangent = plan.targets.get(outermost).map_or(0.0, |end| end.norm());
    let point = plan
        .targets
        .get(outermost)
        .map_or(Point::zeros(), |_| plan.end_mm(outermost));
    let row = |thickness_mm: f64| PlateRow {
        thickness_mm,
        open_share: open_share_of_hole(diameter_mm, thickness_mm, tangent),
        clear_share: Tunnel {
            diameter_mm,
            face_mm: peephole.eye_relief_mm,
            thickness_mm,
        }
        .clear_share(pupil_mm, &point)
        .unwrap_or(0.0),
    };
    let thin = row(0.0).clear_share;
    let room_mm = (point.z - peephole.eye_relief_mm).max(0.0);
    let thickest = |least: f64| {
        let shows = |thickness_mm: f64| {
            let share = row(thickness_mm).clear_share;
            share >= least && share > 0.0
        };
        shows(0.0).then(|| {
            let (mut low, mut high) = (0.0, room_mm);
            while high - low > 1e-4 * room_mm.max(1.0) {
                let middle = f64::midpoint(low, high);
                if shows(middle) {
                    low = middle;
                } else {
                    high = middle;
                }
            }
            low
        })
    };
    let mut thicknesses_mm: Vec<f64> = PLATES_MM
        .into_iter()
        .chain([0.0, peephole.plate_mm])
        .collect();
    thicknesses_mm.sort_by(f64::total_cmp);
    thicknesses_mm.dedup();
    let shown_up_to_mm = thickest(peephole.clip_below);
    let nine_tenths_up_to_mm = thickest(MOST * thin);
    let own = row(peephole.plate_mm).clear_share;
    let is_clipped = thin >= peephole.clip_below && own < peephole.clip_below;
    let own_takes = (thin > 0.0 && (is_clipped || own < MOST * thin)).then(|| {
        let limits_mm = [nine_tenths_up_to_mm, shown_up_to_mm];
        let thin_enough_mm = limits_mm.into_iter().flatten().reduce(f64::min);
        OwnPlate {
            lost_share: 1.0 - own / thin,
            clear_share: own,
            is_clipped,
            thin_enough_mm: thin_enough_mm.unwrap_or(0.0),
        }
    });
    PlateAdvice {
        diameter_mm,
        own_mm: peephole.plate_mm,
        outermost,
        tangent,
        rows: thicknesses_mm.into_iter().map(row).collect(),
        shown_up_to_mm,
        nine_tenths_up_to_mm,
        own_takes,
    }
}
