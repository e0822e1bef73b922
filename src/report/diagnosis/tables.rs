//! Rows that page and record share: what was measured of each kind, and what was not.

use super::super::bench_words::decimals_of;
use super::Diagnosed;
use crate::figure::{COVERED_SD, Quantity, all_measurands};

/// All readings of one quantity.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct KindRow {
    /// Which.
    pub quantity: Quantity,
    /// Readings taken.
    pub read: usize,
    /// Different readings that this design has of it, at the places of a blank sheet.
    pub of: usize,
    /// Smallest and largest uncertainty of them (19 of 20), in the quantity's unit; `None` without a reading.
    pub plus_minus: Option<[f64; 2]>,
}

impl KindRow {
    /// "± 0.20 mm", "± 0.10 to 0.39 mm".
    pub(super) fn plus_minus_words(&self) -> String {
        let Some([low, high]) = self.plus_minus else {
            return String::new();
        };
        let unit = self.quantity.unit();
        let decimals = decimals_of(low);
        let [low, high] = [low, high].map(|one| format!("{one:.decimals$}"));
        if low == high {
            format!("± {low} {unit}")
        } else {
            format!("± {low} to {high} {unit}")
        }
    }
}

/// Every quantity in the order of a sheet.
pub(super) fn kind_rows(told: &Diagnosed<'_>) -> Vec<KindRow> {
    let all = all_measurands(told.plan);
    Quantity::ALL
        .into_iter()
        .map(|quantity| {
            let readings = told.bench.readings.iter();
            let sds = readings
                .filter(|reading| reading.of.quantity == quantity)
                .map(|reading| COVERED_SD * reading.sd);
            let (read, low, high) = sds.fold((0, f64::INFINITY, 0.0_f64), |(n, low, high), one| {
                (n + 1, low.min(one), high.max(one))
            });
            KindRow {
                quantity,
                read,
                of: all.iter().filter(|of| of.quantity == quantity).count(),
                plus_minus: (read > 0).then_some([low, high]),
            }
        })
        .collect()
}

/// Names of the quantities of which nothing was read.
pub(super) fn not_measured(rows: &[KindRow]) -> Vec<&'static str> {
    rows.iter()
        .filter(|row| row.read == 0 && row.of > 0)
        .map(|row| row.quantity.name())
        .collect()
}

/// "12 of 20", or "23" where some places were read more than once or elsewhere.
pub(super) fn read_of_words(row: &KindRow) -> String {
    if row.read <= row.of {
        format!("{} of {}", row.read, row.of)
    } else {
        format!("{} at {} places or more", row.read, row.of)
    }
}
