//! The table of a run's trials as CSV: one row a look, angles in arcmin, lengths in mm, every number in full digits.

use super::tables::safe;
use crate::decision::{TrialBlock, TrialEnd, TrialRow};
use crate::figure::Plan;
use crate::units::arcmin;

/// Columns before those of the rods and junctions.
const FIRST_COLUMNS: [&str; 14] = [
    "build",
    "look",
    "build_passes",
    "outcome",
    "worst_rod",
    "worst_drift_arcmin",
    "worst_junction",
    "worst_gap_arcmin",
    "worst_item",
    "worst_over_limit",
    "eye_x_mm",
    "eye_y_mm",
    "eye_z_mm",
    "pupil_mm",
];

/// The row of the columns' names: after the first ones `drift_arcmin.ROD` of every rod and `gap_arcmin.JUNCTION` of every
/// junction.
///
/// # Errors
/// Never, as far as is known: it is written to memory.
pub fn trials_head(plan: &Plan) -> Result<Vec<u8>, csv::Error> {
    let rods = plan.design.rods.iter();
    let junctions = 0..plan.junctions.len();
    let heads = FIRST_COLUMNS
        .map(str::to_owned)
        .into_iter()
        .chain(rods.map(|rod| format!("drift_arcmin.{}", rod.name)))
        .chain(junctions.map(|index| format!("gap_arcmin.{}", plan.junction_name(index))));
    written(|writer| writer.write_record(heads))
}

/// The rows of some builds. Drifts (in the judged frame) and gaps of a look that was not judged are empty cells.
///
/// # Errors
/// Never, as far as is known: it is written to memory.
pub fn trials_rows(plan: &Plan, block: &TrialBlock) -> Result<Vec<u8>, csv::Error> {
    written(|writer| {
        for row in block.rows() {
            first_cells(plan, &row)
                .iter()
                .try_for_each(|cell| writer.write_field(cell))?;
            let is_judged = matches!(row.end, TrialEnd::Judged(..));
            let values = row.drifts_rad.iter().chain(row.gaps_rad);
            if is_judged {
                values
                    .map(|rad| number(arcmin(*rad)))
                    .try_for_each(|cell| writer.write_field(cell))?;
            } else {
                let all = plan.edges.len() + plan.junctions.len();
                (0..all).try_for_each(|_| writer.write_field(""))?;
            }
            writer.write_record(None::<&[u8]>)?;
        }
        Ok(())
    })
}

/// About how many bytes a table of so many rows has: an upper bound in practice.
pub fn trials_bytes(plan: &Plan, rows: u64) -> u64 {
    /// Digits of a number with its comma, and of the names and words of a row.
    const NUMBER_BYTES: u64 = 20;
    const WORDS_BYTES: u64 = 60;
    let numbers = FIRST_COLUMNS.len() + plan.edges.len() + plan.junctions.len();
    rows.saturating_mul(WORDS_BYTES + NUMBER_BYTES * numbers as u64)
}

fn first_cells<'p>(plan: &'p Plan, row: &TrialRow<'_>) -> [String; 14] {
    let worst = |values_rad: &[f64], name: &dyn Fn(usize) -> &'p str| {
        let largest = values_rad
            .iter()
            .enumerate()
            .reduce(|a, b| if b.1 > a.1 { b } else { a });
        match largest {
            Some((index, rad)) => [safe(name(index)), number(arcmin(*rad))],
            None => [String::new(), String::new()],
        }
    };
    let [rod, drift] = worst(row.drifts_rad, &|rod| &plan.design.rods[rod].name);
    let [junction, gap] = worst(row.gaps_rad, &|junction| plan.junction_name(junction));
    let [item, share] = match row.end {
        TrialEnd::Judged(item, share) => [safe(&plan.item_name(item)), number(share)],
        TrialEnd::Clipped | TrialEnd::NotComputable => [String::new(), String::new()],
    };
    [
        row.build.to_string(),
        row.look.to_string(),
        row.passes.to_string(),
        row.end.word().to_owned(),
        rod,
        drift,
        junction,
        gap,
        item,
        share,
        number(row.eye_mm.x),
        number(row.eye_mm.y),
        number(row.eye_mm.z),
        number(row.pupil_mm),
    ]
}

/// A number in the fewest digits that read back as the same bits, always with a point or an exponent: a column is of numbers with
/// a point for every reader.
fn number(value: f64) -> String {
    format!("{value:?}")
}

fn written(
    put: impl FnOnce(&mut csv::Writer<Vec<u8>>) -> Result<(), csv::Error>,
) -> Result<Vec<u8>, csv::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    put(&mut writer)?;
    writer
        .into_inner()
        .map_err(|error| csv::Error::from(error.into_error()))
}
