//! Acuity against luminance, and the light on the retina down to which it is still normal.
//!
//! Source: T. Ikeda, K. Noda & S. Yamaguchi, J. Illum. Engng Inst. Japan: for a target of the contrast C (%) on the luminance L
//! (cd/m²), acuity = L/(1.6293·C^−0.3234·(0.8034·C^−0.1876 + L^¼)⁴), where L is at least 2.974·C^−1.7234. Fitted to young
//! eyes with their natural pupils; acuity is 1/(finest detail in arcmin).
//!
//! Still normal (chosen): no more than one line of a test chart, 0.1 logMAR, below the acuity at the lowest luminance that is
//! recommended for a chart, 80 cd/m² (ISO 8596, from memory).

use super::blur::retinal_illuminance_td;
use super::pupil::{FieldOfLight, pupil_diameter_mm_watson_yellott_2012};
use std::f64::consts::PI;

/// Lowest recommended luminance of a test chart, cd/m² (ISO 8596, from memory).
pub const CHART_LUMINANCE_CD_PER_M2: f64 = 80.0;

/// One line of a test chart, logMAR (ISO 8596: sizes step by a tenth of a decade).
pub const ONE_LINE_LOG_MAR: f64 = 0.1;

/// Black on white, %.
const FULL_CONTRAST_PERCENT: f64 = 100.0;

/// Acuity (1/arcmin) for a target of `contrast_percent` on `luminance_cd_per_m2`; `None` below the luminance down to which the
/// formula holds, or where a number is not positive.
pub fn acuity_ikeda_noda_yamaguchi(luminance_cd_per_m2: f64, contrast_percent: f64) -> Option<f64> {
    let [l, c] = [luminance_cd_per_m2, contrast_percent];
    if !(c > 0.0 && l.is_finite() && l >= 2.974 * libm::pow(c, -1.7234)) {
        return None;
    }
    let base = 0.8034 * libm::pow(c, -0.1876) + libm::pow(l, 0.25);
    let squared = base * base;
    Some(l / (1.6293 * libm::pow(c, -0.3234) * squared * squared))
}

/// The lowest light at which acuity is still normal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NormalAcuity {
    /// Acuity on a chart at [`CHART_LUMINANCE_CD_PER_M2`], 1/arcmin.
    pub chart_acuity: f64,
    /// Luminance at which acuity is one line below that, cd/m².
    pub luminance_cd_per_m2: f64,
    /// Natural pupil there, mm.
    pub pupil_mm: f64,
    /// Light on the retina there, trolands.
    pub illuminance_td: f64,
}

impl NormalAcuity {
    /// For an eye of the age `age_years` that looks at black on white, its pupil set by a field of `area_deg2` of the same
    /// luminance.
    pub fn of(area_deg2: f64, age_years: f64, both_eyes: bool) -> Option<Self> {
        let acuity = |luminance| acuity_ikeda_noda_yamaguchi(luminance, FULL_CONTRAST_PERCENT);
        let chart_acuity = acuity(CHART_LUMINANCE_CD_PER_M2)?;
        let least = chart_acuity * libm::pow(10.0, -ONE_LINE_LOG_MAR);
        // acuity rises with luminance: halve between the formula's end and the chart
        let (mut low, mut high) = (2e-3, CHART_LUMINANCE_CD_PER_M2);
        for _ in 0..60 {
            let middle = (low * high).sqrt();
            if acuity(middle)? >= least {
                high = middle;
            } else {
                low = middle;
            }
        }
        let light = FieldOfLight {
            luminance_cd_per_m2: high,
            area_deg2,
            both_eyes,
        };
        let pupil_mm = pupil_diameter_mm_watson_yellott_2012(light, age_years);
        Some(Self {
            chart_acuity,
            luminance_cd_per_m2: high,
            pupil_mm,
            illuminance_td: retinal_illuminance_td(high, PI * pupil_mm * pupil_mm / 4.0),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_threshold_is_one_line_below_the_chart() {
        let normal = NormalAcuity::of(900.0, 30.0, true).expect("in range");
        let there = acuity_ikeda_noda_yamaguchi(normal.luminance_cd_per_m2, 100.0).expect("light");
        let lines = libm::log10(normal.chart_acuity / there);
        assert!((lines - ONE_LINE_LOG_MAR).abs() < 1e-9, "{lines}");
        assert!(normal.luminance_cd_per_m2 < CHART_LUMINANCE_CD_PER_M2);
        let area_mm2 = normal.illuminance_td / normal.luminance_cd_per_m2;
        assert!((area_mm2 - PI * normal.pupil_mm.powi(2) / 4.0).abs() < 1e-9);
    }

    #[test]
    fn too_little_light_has_no_acuity() {
        assert!(acuity_ikeda_noda_yamaguchi(1e-4, 100.0).is_none());
        assert!(acuity_ikeda_noda_yamaguchi(f64::NAN, 100.0).is_none());
        assert!(acuity_ikeda_noda_yamaguchi(10.0, 0.0).is_none());
    }
}
