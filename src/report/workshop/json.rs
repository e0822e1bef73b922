//! The workshop's numbers for programs, in full digits.

use super::tables::{rod_kinds, tool_words};
use super::{SheetsError, Spread, steps};
use crate::decision::workshop::{
    END_ALLOWANCE_MM, Outline, Paper, cut_rods, line_need, runs, threaded_runs, tied_ends,
};
use crate::figure::{Allowed, Plan};
use crate::report::about::About;
use crate::report::cautions::cautions;
use serde_json::{Value, json};

/// Version of `sheets.json`.
pub const SHEETS_SCHEMA: u32 = 1;

pub(super) fn json_bytes(
    plan: &Plan,
    allowed: Option<&Allowed>,
    about: &About,
    paper: Paper,
    spreads: &[Spread; 2],
) -> Result<Vec<u8>, SheetsError> {
    let value = json!({
        "schema": SHEETS_SCHEMA,
        "program": concat!("sightdrift ", env!("CARGO_PKG_VERSION")),
        "command": about.command,
        "title": about.title,
        "scenario_sha256": about.sha256,
        "frame": "as seen from the peephole: right and up from the axis; right is minus the cabinet's x",
        "paper": { "name": paper.name(), "size_mm": paper.size_mm() },
        "patterns": spreads.iter().map(|spread| pattern(plan, spread)).collect::<Vec<_>>(),
        "rods": rods(plan),
        "rod_ends": rod_ends(plan),
        "lines": lines(plan),
        "threading": threading(plan),
        "material": material(plan),
        "steps": steps::steps(plan, allowed),
        "cautions": cautions(plan).iter().map(|caution| json!({
            "about": caution.about, "text": caution.text, "source": caution.source,
        })).collect::<Vec<_>>(),
    });
    let mut bytes =
        serde_json::to_vec_pretty(&value).map_err(|error| SheetsError::Json(error.to_string()))?;
    bytes.push(b'\n');
    Ok(bytes)
}

fn pattern(plan: &Plan, spread: &Spread) -> Value {
    let pattern = &spread.pattern;
    let outline = &pattern.outline_mm;
    let vertices = plan.design.vertices.iter();
    let holes: Vec<Value> = vertices
        .zip(&pattern.places_mm)
        .map(
            |(vertex, place)| json!({ "line": vertex.name, "right_mm": place.x, "up_mm": place.y }),
        )
        .collect();
    json!({
        "plate": pattern.plate.word(),
        "hole_mm": pattern.hole_mm,
        "made_with": tool_words(pattern.hole_mm),
        "holes": holes,
        "outline_mm": {
            "left": outline.low.x, "right": outline.high.x,
            "bottom": outline.low.y, "top": outline.high.y,
            "is": match pattern.outline {
                Outline::Cabinet => "the cabinet's inside",
                Outline::Suggested | Outline::BeyondCabinet => "a suggestion round holes and axis",
            },
        },
        "sheets": spread.tiling.as_ref().ok().map(|tiling| json!({
            "columns": tiling.columns, "rows": tiling.rows, "overlap_mm": tiling.overlap_mm,
        })),
        "why_no_sheets": spread.tiling.as_ref().err().map(ToString::to_string),
    })
}

fn rods(plan: &Plan) -> Vec<Value> {
    let design = &plan.design;
    let cut = cut_rods(plan).into_iter();
    cut.map(|cut| {
        let rod = &design.rods[cut.rod];
        json!({
            "rod": rod.name,
            "lines": rod.ends.map(|end| &design.vertices[end.line].name),
            "diameter_mm": rod.diameter_mm,
            "line_to_line_mm": cut.between_lines_mm,
            "allowance_at_each_end_mm": END_ALLOWANCE_MM,
            "cut_to_mm": cut.cut_mm,
        })
    })
    .collect()
}

fn rod_ends(plan: &Plan) -> Vec<Value> {
    let design = &plan.design;
    let ends = tied_ends(plan).into_iter();
    ends.map(|tied| {
        json!({
            "line": design.vertices[tied.line].name,
            "rod": design.rods[tied.rod].name,
            "end": tied.end + 1,
            "from_rear_along_line_mm": tied.from_rear_along_line_mm,
            "from_rear_along_axis_mm": tied.from_rear_along_axis_mm,
            "from_front_along_line_mm": tied.from_front_along_line_mm,
            "from_front_along_axis_mm": tied.from_front_along_axis_mm,
        })
    })
    .collect()
}

fn lines(plan: &Plan) -> Vec<Value> {
    let runs = runs(plan).into_iter();
    runs.map(|run| {
        json!({
            "line": plan.design.vertices[run.line].name,
            "hole_to_hole_mm": run.length_mm,
            "tension_n": run.tension_n,
        })
    })
    .collect()
}

fn threading(plan: &Plan) -> Option<Vec<Value>> {
    let runs = threaded_runs(plan);
    (!runs.is_empty()).then(|| {
        runs.iter()
            .map(|run| {
                json!({
                    "line": plan.design.vertices[run.line].name,
                    "enters_at": run.enters.word(),
                    "leaves_at": run.enters.other().word(),
                    "crossing_to_next_mm": run.crossing_mm,
                })
            })
            .collect()
    })
}

fn material(plan: &Plan) -> Value {
    let need = line_need(plan);
    let kinds = rod_kinds(plan).into_iter();
    let rods: Vec<Value> = kinds
        .map(|(diameter_mm, g_per_m, count, total_mm)| {
            json!({
                "diameter_mm": diameter_mm, "g_per_m": g_per_m, "count": count,
                "total_cut_mm": total_mm,
            })
        })
        .collect();
    json!({
        "line": {
            "material": plan.design.line.material,
            "diameter_mm": plan.design.line.diameter_mm,
            "runs_mm": need.runs_mm,
            "crossings_mm": need.crossings_mm,
            "anchors": need.anchors,
            "anchors_mm": need.anchors_mm,
            "reserve_mm": need.reserve_mm,
            "total_mm": need.total_mm,
        },
        "rods": rods,
        "peephole": {
            "diameter_mm": plan.design.peephole.diameter_mm,
            "made_with": tool_words(plan.design.peephole.diameter_mm),
        },
    })
}
