//! One layout: distances of the plates, scale of the figure, depths of the rods.

use super::super::scatter::Scatter;
use super::rules::{Breach, breaches};
use crate::figure::{Allowed, Design, Plan};

/// Steps in which plates and depths are chosen, mm.
pub const PLATE_STEP_MM: f64 = 1.0;

/// What a layout chooses.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Choice {
    /// Distance of the front plate.
    Front,
    /// Distance of the rear plate.
    Rear,
    /// Distance of the picture plane: the farther, the smaller the figure.
    PicturePlane,
    /// Depth of a rod's end, at `2·rod + end`.
    End(usize),
}

/// What is laid out: the scenario's design and the bounds.
#[derive(Debug, Clone, Copy)]
pub(super) struct Site<'a> {
    pub base: &'a Design,
    pub allowed: &'a Allowed,
    /// The figure's extent as it is drawn, rad.
    pub drawn_rad: f64,
    /// Most head movement at which the figure has fallen apart, mm.
    pub apart_within_mm: f64,
}

impl<'a> Site<'a> {
    pub fn new(plan: &'a Plan, allowed: &'a Allowed) -> Self {
        Self {
            base: &plan.design,
            allowed,
            drawn_rad: plan.figure_rad,
            apart_within_mm: allowed.apart_within_mm.unwrap_or_else(|| {
                let own_mm = Scatter::of(plan).falls_apart_mm.unwrap_or(0.0);
                own_mm.max(Allowed::APART_WITHIN * plan.design.peephole.diameter_mm)
            }),
        }
    }

    /// The rules that a design breaks, all but those that need trials.
    pub fn breaches(&self, plan: &Plan) -> Vec<Breach> {
        breaches(plan, self.allowed, self.apart_within_mm)
    }

    /// The design with a layout.
    pub fn plan(&self, laid: &Laid) -> Plan {
        Plan::new(laid.design(self.base, self.allowed))
    }

    /// Where a choice may lie at all, mm.
    pub fn range_mm(&self, choice: Choice, laid: &Laid) -> [f64; 2] {
        let peephole = &self.base.peephole;
        match choice {
            Choice::Front | Choice::Rear => self
                .allowed
                .plates_within_mm(peephole.eye_relief_mm + peephole.plate_mm),
            Choice::PicturePlane => {
                let as_drawn_mm = self.allowed.picture_plane_mm * self.drawn_rad;
                let [smallest, largest] = self.allowed.figure_rad;
                [as_drawn_mm / largest, as_drawn_mm / smallest]
            }
            Choice::End(_) => self.allowed.hang_mm(laid.plates_mm),
        }
    }

    /// The layout with one choice changed, where a plate takes the rods along.
    pub fn moved(&self, laid: &Laid, choice: Choice, value_mm: f64) -> Laid {
        let moved = laid.with(choice, value_mm);
        match choice {
            Choice::Front | Choice::Rear => {
                let hang_mm = [laid, &moved].map(|laid| self.allowed.hang_mm(laid.plates_mm));
                moved.moved_along(hang_mm[0], hang_mm[1])
            }
            Choice::PicturePlane | Choice::End(_) => moved,
        }
    }
}

/// A layout.
#[derive(Debug, Clone, PartialEq)]
pub struct Laid {
    /// Distances of front and rear plate from the station point, mm.
    pub plates_mm: [f64; 2],
    /// Distance of the picture plane, mm.
    pub picture_plane_mm: f64,
    /// Depths of all rod ends, mm: at `2·rod + end`.
    pub depths_mm: Vec<f64>,
}

impl Laid {
    /// That of a design.
    pub fn of(design: &Design, allowed: &Allowed) -> Self {
        Self {
            plates_mm: design.plates.map(|plate| plate.z_mm),
            picture_plane_mm: allowed.picture_plane_mm,
            depths_mm: design.depths_mm(),
        }
    }

    /// The design with this layout; `base` is as the scenario has it.
    pub fn design(&self, base: &Design, allowed: &Allowed) -> Design {
        base.with_plates_mm(self.plates_mm)
            .with_figure_times(allowed.picture_plane_mm / self.picture_plane_mm)
            .with_depths_mm(&self.depths_mm)
    }

    /// All its choices.
    pub fn choices(&self) -> impl Iterator<Item = Choice> {
        [Choice::Front, Choice::Rear, Choice::PicturePlane]
            .into_iter()
            .chain((0..self.depths_mm.len()).map(Choice::End))
    }

    /// A choice's value, mm.
    pub fn value_mm(&self, choice: Choice) -> f64 {
        match choice {
            Choice::Front => self.plates_mm[0],
            Choice::Rear => self.plates_mm[1],
            Choice::PicturePlane => self.picture_plane_mm,
            Choice::End(end) => self.depths_mm[end],
        }
    }

    /// The same with one choice at the step nearest to `value_mm`, and nothing else changed.
    pub fn with(&self, choice: Choice, value_mm: f64) -> Self {
        let step_mm = self.step_mm(choice);
        let steps = (value_mm / step_mm).round().max(1.0);
        // decimal steps are divided by, so that what is written has few digits
        let value_mm = if step_mm < 1.0 {
            steps / (1.0 / step_mm).round()
        } else {
            steps * step_mm
        };
        let mut laid = self.clone();
        match choice {
            Choice::Front => laid.plates_mm[0] = value_mm,
            Choice::Rear => laid.plates_mm[1] = value_mm,
            Choice::PicturePlane => laid.picture_plane_mm = value_mm,
            Choice::End(end) => laid.depths_mm[end] = value_mm,
        }
        laid
    }

    /// Steps in which a choice is made, mm.
    pub fn step_mm(&self, choice: Choice) -> f64 {
        match choice {
            // a hundredth of its first digit: at most a percent of scale
            Choice::PicturePlane => {
                libm::pow(10.0, libm::log10(self.picture_plane_mm).floor() - 2.0)
            }
            _ => PLATE_STEP_MM,
        }
    }

    /// The same with other plates, and the rods moved along: where they hung in what there is between `from_mm` they hang in
    /// `to_mm`.
    fn moved_along(&self, from_mm: [f64; 2], to_mm: [f64; 2]) -> Self {
        let stretch = (to_mm[1] - to_mm[0]) / (from_mm[1] - from_mm[0]).max(PLATE_STEP_MM);
        let mut laid = self.clone();
        for depth_mm in &mut laid.depths_mm {
            *depth_mm = (to_mm[0] + (*depth_mm - from_mm[0]) * stretch).round();
        }
        laid
    }
}
