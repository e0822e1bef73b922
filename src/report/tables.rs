//! `rods.csv` and `junctions.csv`.

use crate::decision::Assessment;
use crate::figure::Item;
use crate::statistics::QuantileSketch;
use crate::units::arcmin;

const QUANTILES: [f64; 5] = [0.05, 0.25, 0.5, 0.75, 0.95];

/// One row a rod: drifts in both frames, limit, how often over it and first to break, first-order and worst case.
pub fn rods_csv(assessment: &Assessment) -> Result<Vec<u8>, csv::Error> {
    let plan = &assessment.plan;
    let mut heads: Vec<String> = [
        "rod",
        "from",
        "to",
        "drift_limit_arcmin",
        "judged_looks",
        "looks_over_limit",
        "looks_broken_first",
    ]
    .map(str::to_owned)
    .to_vec();
    for frame in ["fitted", "fixed"] {
        heads.extend(QUANTILES.map(|u| format!("drift_{frame}_p{:02.0}_arcmin", 100.0 * u)));
        heads.push(format!("drift_{frame}_highest_arcmin"));
    }
    heads.extend(
        [
            "first_order_mean_arcmin",
            "first_order_sd_arcmin",
            "monte_carlo_mean_arcmin",
            "monte_carlo_sd_arcmin",
            "worst_case_arcmin",
        ]
        .map(str::to_owned),
    );
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(&heads)?;
    for (index, tally) in assessment.result.tally.rods.iter().enumerate() {
        let rod = &plan.design.rods[index];
        let end = worse_end(assessment, index);
        let mut row = vec![safe(&rod.name)];
        row.extend(
            rod.ends
                .map(|end| safe(&plan.design.vertices[end.line].name)),
        );
        row.push(arcmin(plan.drift_limit_rad(index, plan.typical_detail_rad())).to_string());
        row.push(tally.drift_fitted_arcmin.count().to_string());
        row.push(tally.over_limit.to_string());
        row.push(tally.broke_first.to_string());
        row.extend(quantile_cells(&tally.drift_fitted_arcmin));
        row.extend(quantile_cells(&tally.drift_fixed_arcmin));
        let estimate = assessment
            .first_order
            .as_ref()
            .ok()
            .map(|estimate| &estimate.ends[2 * index + end]);
        row.push(cell(estimate.map(|estimate| arcmin(estimate.mean_rad))));
        row.push(cell(estimate.map(|estimate| arcmin(estimate.sd_rad))));
        row.push(cell(tally.off_rad[end].mean().map(arcmin)));
        row.push(cell(tally.off_rad[end].sd().map(arcmin)));
        row.push(cell(worst_case_arcmin(assessment, Item::Rod(index))));
        writer.write_record(&row)?;
    }
    finish(writer)
}

/// One row a junction: gaps, limit, how often over it and first to break, first-order and worst case.
pub fn junctions_csv(assessment: &Assessment) -> Result<Vec<u8>, csv::Error> {
    let plan = &assessment.plan;
    let mut heads: Vec<String> = [
        "junction",
        "rods",
        "nearest_mm",
        "farthest_mm",
        "gap_limit_arcmin",
        "judged_looks",
        "looks_over_limit",
        "looks_broken_first",
    ]
    .map(str::to_owned)
    .to_vec();
    heads.extend(QUANTILES.map(|u| format!("gap_p{:02.0}_arcmin", 100.0 * u)));
    heads.extend(
        [
            "gap_highest_arcmin",
            "first_order_rms_arcmin",
            "monte_carlo_rms_arcmin",
            "worst_case_arcmin",
        ]
        .map(str::to_owned),
    );
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(&heads)?;
    for (index, tally) in assessment.result.tally.junctions.iter().enumerate() {
        let junction = &plan.junctions[index];
        let depths = junction
            .widest
            .map(|end| plan.design.rods[end / 2].ends[end % 2].depth_mm);
        let mut row = vec![
            safe(plan.junction_name(index)),
            junction.ends.len().to_string(),
            depths[0].to_string(),
            depths[1].to_string(),
            arcmin(plan.gap_limit_rad(index, plan.typical_detail_rad())).to_string(),
            tally.gap_arcmin.count().to_string(),
            tally.over_limit.to_string(),
            tally.broke_first.to_string(),
        ];
        row.extend(quantile_cells(&tally.gap_arcmin));
        let estimate = assessment
            .first_order
            .as_ref()
            .ok()
            .map(|estimate| arcmin(estimate.gaps[index].rms_rad));
        row.push(cell(estimate));
        row.push(cell(gap_rms_arcmin(assessment, index)));
        row.push(cell(worst_case_arcmin(assessment, Item::Junction(index))));
        writer.write_record(&row)?;
    }
    finish(writer)
}

/// The end of a rod that lies farther off its edge, by first order where there is one.
pub(super) fn worse_end(assessment: &Assessment, rod: usize) -> usize {
    let rms = |which: usize| match &assessment.first_order {
        Ok(estimate) => {
            let end = &estimate.ends[2 * rod + which];
            libm::hypot(end.mean_rad, end.sd_rad)
        }
        Err(_) => assessment.result.tally.rods[rod].off_rad[which]
            .mean_square()
            .unwrap_or(0.0),
    };
    usize::from(rms(1) > rms(0))
}

/// Root mean square gap of the run between the two ends of a junction that are farthest apart in depth, arcmin.
pub(super) fn gap_rms_arcmin(assessment: &Assessment, junction: usize) -> Option<f64> {
    let [x, y] = &assessment.result.tally.junctions[junction].widest_rad;
    Some(arcmin((x.mean_square()? + y.mean_square()?).sqrt()))
}

/// Worst case of an item, arcmin: the larger of the first-order sum and the model at its corner.
pub(super) fn worst_case_arcmin(assessment: &Assessment, item: Item) -> Option<f64> {
    let worst = assessment.worst_case.as_ref()?;
    let found = worst.items.iter().find(|one| one.item == item)?;
    Some(arcmin(
        found.model_rad.unwrap_or(0.0).max(found.first_order_rad),
    ))
}

fn quantile_cells(sketch: &QuantileSketch) -> Vec<String> {
    let quantiles = QUANTILES.iter().map(|u| sketch.quantile(*u));
    quantiles.chain([sketch.highest()]).map(cell).collect()
}

fn cell(value: Option<f64>) -> String {
    value.map_or_else(String::new, |value| value.to_string())
}

/// A spreadsheet takes a cell that starts with one of these for a formula: a name that does gets a quote before it.
pub(super) fn safe(name: &str) -> String {
    if name
        .trim_start()
        .starts_with(['=', '+', '-', '@', '\t', '\r'])
    {
        format!("'{name}")
    } else {
        name.to_owned()
    }
}

fn finish(writer: csv::Writer<Vec<u8>>) -> Result<Vec<u8>, csv::Error> {
    writer
        .into_inner()
        .map_err(|error| csv::Error::from(error.into_error()))
}
