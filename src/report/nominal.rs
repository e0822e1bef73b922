//! What a scenario is before anything is run: angles, sag, depth spreads, first-order drift.

use super::words::figures;
use crate::decision::first_order;
use crate::figure::{Plan, Source};
use crate::geometry::{Pair, junction_gap_rad};
use crate::trial::least_clear_at_the_eye;
use crate::units::arcmin;
use serde::Serialize;
use std::fmt::Write;

/// A line's nominal figures.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LineFigures {
    /// Name.
    pub name: String,
    /// Angle off the axis, degrees.
    pub off_axis_deg: f64,
    /// Tension after the loss along the threading and mean slackening, N.
    pub tension_n: f64,
    /// Largest sag, mm.
    pub largest_sag_mm: f64,
    /// Plucked frequency √(T/μ)/2L, Hz, of the bare line; `None` for a massless line.
    pub tone_hz: Option<f64>,
}

/// A rod's nominal figures.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RodFigures {
    /// Name.
    pub name: String,
    /// Length, mm.
    pub length_mm: f64,
    /// Mass, g.
    pub mass_g: f64,
    /// Apparent thickness at the farther end, arcmin.
    pub thickness_arcmin: f64,
    /// Drift limit of the mean visitor, arcmin.
    pub limit_arcmin: f64,
    /// First-order drift: mean and standard deviation of the worse end's distance from the edge, arcmin; `None` when
    /// the estimate cannot be made.
    pub drift_arcmin: Option<[f64; 2]>,
}

/// A junction's nominal figures.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct JunctionFigures {
    /// Name of its vertex.
    pub name: String,
    /// Nearest and farthest depth, mm.
    pub depths_mm: [f64; 2],
    /// Gap for each millimetre that the eye is off, arcmin/mm: |1/z1 − 1/z2|.
    pub gap_arcmin_per_mm: f64,
    /// Gap limit of the mean visitor, arcmin.
    pub limit_arcmin: f64,
    /// Eye offset at which the gap alone reaches the limit behind a wide peephole, mm; `None` at one depth.
    pub free_movement_mm: Option<f64>,
    /// First-order root mean square gap, arcmin.
    pub rms_gap_arcmin: Option<f64>,
}

/// All nominal figures.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Nominal {
    /// Width and height of the figure, arcmin.
    pub stretch_arcmin: [f64; 2],
    /// Smallest clear share of a rod end at the station point.
    pub least_clear: Option<f64>,
    /// Lines.
    pub lines: Vec<LineFigures>,
    /// Rods.
    pub rods: Vec<RodFigures>,
    /// Junctions.
    pub junctions: Vec<JunctionFigures>,
}

impl Nominal {
    /// Works them out.
    pub fn of(plan: &Plan) -> Self {
        let estimate = first_order(plan, &|| false).ok();
        let detail_rad = plan.typical_detail_rad();
        let rods = (0..plan.edges.len())
            .map(|rod| RodFigures {
                name: plan.design.rods[rod].name.clone(),
                length_mm: plan.rod_length_mm(rod),
                mass_g: plan.design.rods[rod].mass_kg_per_m * plan.rod_length_mm(rod),
                thickness_arcmin: arcmin(plan.thickness_rad[rod]),
                limit_arcmin: arcmin(plan.drift_limit_rad(rod, detail_rad)),
                drift_arcmin: estimate.as_ref().and_then(|estimate| {
                    let ends = &estimate.ends[2 * rod..2 * rod + 2];
                    let rms =
                        |end: &crate::decision::EndEstimate| libm::hypot(end.mean_rad, end.sd_rad);
                    ends.iter()
                        .max_by(|a, b| rms(a).total_cmp(&rms(b)))
                        .map(|end| [arcmin(end.mean_rad), arcmin(end.sd_rad)])
                }),
            })
            .collect();
        let junctions = plan
            .junctions
            .iter()
            .enumerate()
            .map(|(index, junction)| {
                let depths_mm = plan.widest_depths_mm(junction);
                let per_mm = junction_gap_rad(1.0, depths_mm[0], depths_mm[1]);
                let limit_rad = plan.gap_limit_rad(index, detail_rad);
                JunctionFigures {
                    name: plan.junction_name(index).to_owned(),
                    depths_mm,
                    gap_arcmin_per_mm: arcmin(per_mm),
                    limit_arcmin: arcmin(limit_rad),
                    free_movement_mm: (per_mm > 0.0).then(|| limit_rad / per_mm),
                    rms_gap_arcmin: estimate
                        .as_ref()
                        .map(|estimate| arcmin(estimate.gaps[index].rms_rad)),
                }
            })
            .collect();
        Self {
            stretch_arcmin: stretch_arcmin(&plan.targets),
            least_clear: least_clear_at_the_eye(plan).map(|(_, share)| share),
            lines: lines(plan),
            rods,
            junctions,
        }
    }

    /// As a table for people.
    pub fn text(&self, plan: &Plan) -> String {
        let design = &plan.design;
        let mut text = String::new();
        let [width, height] = self.stretch_arcmin;
        let _ = writeln!(
            text,
            "figure     {} vertices, {} rods, {} junctions; {} × {} arcmin ({} × {} deg)",
            design.vertices.len(),
            design.rods.len(),
            plan.junctions.len(),
            figures(width),
            figures(height),
            figures(width / 60.0),
            figures(height / 60.0)
        );
        let _ = writeln!(
            text,
            "cabinet    plates at {} and {} mm, peephole {} mm at {} mm from the pupil",
            figures(design.plates[0].z_mm),
            figures(design.plates[1].z_mm),
            figures(design.peephole.diameter_mm),
            figures(design.peephole.eye_relief_mm)
        );
        let pupil = design.law(Source::Pupil).spread(0);
        let _ = writeln!(
            text,
            "eye        pupil {} mm (sd {} mm), focused at {} mm, finest detail {} arcmin; smallest clear share seen by the mean eye {}",
            figures(pupil.mean[0]),
            figures(pupil.sd[0]),
            figures(design.viewer.focus_mm),
            figures(arcmin(plan.typical_detail_rad())),
            self.least_clear
                .map_or_else(|| "not known".to_owned(), figures)
        );
        text.push_str("\nlines (tension after threading and mean slackening; tone of the bare line when plucked)\n");
        text.push_str(&columns(
            &[
                "line",
                "off axis deg",
                "tension N",
                "largest sag mm",
                "tone Hz",
            ],
            self.lines.iter().map(|line| {
                vec![
                    line.name.clone(),
                    figures(line.off_axis_deg),
                    figures(line.tension_n),
                    figures(line.largest_sag_mm),
                    line.tone_hz.map_or_else(|| "none".to_owned(), figures),
                ]
            }),
        ));
        text.push_str("\nrods (drift: first order, mean ± 1 sd of the worse end; limit of the mean visitor)\n");
        text.push_str(&columns(
            &[
                "rod",
                "length mm",
                "mass g",
                "thickness arcmin",
                "drift arcmin",
                "limit arcmin",
            ],
            self.rods.iter().map(|rod| {
                vec![
                    rod.name.clone(),
                    figures(rod.length_mm),
                    figures(rod.mass_g),
                    figures(rod.thickness_arcmin),
                    rod.drift_arcmin.map_or_else(
                        || "not known".to_owned(),
                        |[mean, sd]| format!("{} ± {}", figures(mean), figures(sd)),
                    ),
                    figures(rod.limit_arcmin),
                ]
            }),
        ));
        text.push_str("\njunctions (gap for each mm that the eye is off; eye offset at which it reaches the limit)\n");
        text.push_str(&columns(
            &[
                "junction",
                "depths mm",
                "gap arcmin/mm",
                "rms gap arcmin",
                "limit arcmin",
                "free eye offset mm",
            ],
            self.junctions.iter().map(|junction| {
                vec![
                    junction.name.clone(),
                    format!(
                        "{} to {}",
                        figures(junction.depths_mm[0]),
                        figures(junction.depths_mm[1])
                    ),
                    figures(junction.gap_arcmin_per_mm),
                    junction
                        .rms_gap_arcmin
                        .map_or_else(|| "not known".to_owned(), figures),
                    figures(junction.limit_arcmin),
                    junction
                        .free_movement_mm
                        .map_or_else(|| "any".to_owned(), figures),
                ]
            }),
        ));
        text
    }
}

/// Nominal figures of every line, in their order.
pub(super) fn lines(plan: &Plan) -> Vec<LineFigures> {
    (0..plan.design.vertices.len())
        .map(|line| line_figures(plan, line))
        .collect()
}

fn line_figures(plan: &Plan, line: usize) -> LineFigures {
    let design = &plan.design;
    let mean = |source: Source, item: usize| design.law(source).spread(item).mean[0];
    let tension_n = plan.tensions_n[line] * mean(Source::Slackening, line);
    let span_m = plan.span_mm() * 1e-3;
    let mass = design.line.mass_kg_per_m;
    LineFigures {
        name: design.vertices[line].name.clone(),
        off_axis_deg: libm::atan(design.vertices[line].direction.norm()).to_degrees(),
        tension_n,
        largest_sag_mm: plan.largest_moments_n_mm[line] / tension_n,
        tone_hz: (mass > 0.0).then(|| (tension_n / mass).sqrt() / (2.0 * span_m)),
    }
}

fn stretch_arcmin(targets: &[Pair]) -> [f64; 2] {
    let range = |pick: fn(&Pair) -> f64| {
        let high = targets.iter().map(pick).fold(f64::NEG_INFINITY, f64::max);
        let low = targets.iter().map(pick).fold(f64::INFINITY, f64::min);
        arcmin(high - low)
    };
    [range(|p| p.x), range(|p| p.y)]
}

/// Columns under their heads, the first to the left, the others to the right.
pub(super) fn columns(heads: &[&str], rows: impl Iterator<Item = Vec<String>>) -> String {
    let rows: Vec<Vec<String>> = rows.collect();
    let width = |column: usize| {
        rows.iter()
            .map(|row| row[column].chars().count())
            .chain([heads[column].chars().count()])
            .max()
            .unwrap_or(0)
    };
    let widths: Vec<usize> = (0..heads.len()).map(width).collect();
    let mut text = String::new();
    let mut line = |cells: &mut dyn Iterator<Item = &str>| {
        let mut row = String::from(" ");
        for (column, cell) in cells.enumerate() {
            let pad = " ".repeat(widths[column] - cell.chars().count());
            if column == 0 {
                let _ = write!(row, " {cell}{pad}");
            } else {
                let _ = write!(row, "  {pad}{cell}");
            }
        }
        text.push_str(row.trim_end());
        text.push('\n');
    };
    line(&mut heads.iter().copied());
    for row in &rows {
        line(&mut row.iter().map(String::as_str));
    }
    text
}
