//! Pupil diameter from light level, field and age.
//!
//! Source: A. B. Watson & J. I. Yellott, "A unified formula for light-adapted pupil size", Journal of Vision 12(10):12
//! (2012), eq. 21, after Stanley & Davies (1995). Range: ages 20 to 83; younger visitors are computed with 20 and
//! a warning by the caller.

/// Ages for which the formula was made, years.
pub const AGE_RANGE_YEARS: [f64; 2] = [20.0, 83.0];

/// Reference age of the formula, years.
const REFERENCE_AGE_YEARS: f64 = 28.58;
/// Effective-flux attenuation when one eye sees the light.
const ONE_EYE: f64 = 0.1;

/// The light that sets a pupil.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FieldOfLight {
    /// Luminance, cd/m².
    pub luminance_cd_per_m2: f64,
    /// Area of the lit field, deg² (an area: a field of 30° across is some 707 deg²).
    pub area_deg2: f64,
    /// Whether both eyes see it (false behind a peephole).
    pub both_eyes: bool,
}

/// The part of the formula that the light alone decides.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AdaptedPupil {
    stanley_davies_mm: f64,
}

impl AdaptedPupil {
    /// Adapts to a light.
    pub fn to(light: FieldOfLight) -> Self {
        let eyes = if light.both_eyes { 1.0 } else { ONE_EYE };
        let flux = light.luminance_cd_per_m2 * light.area_deg2 * eyes / 846.0;
        let adapted = libm::pow(flux, 0.41);
        Self {
            stanley_davies_mm: 7.75 - 5.75 * adapted / (adapted + 2.0),
        }
    }

    /// Diameter, mm, at the age `age_years` (held within the formula's range).
    #[inline(always)]
    pub fn diameter_mm(&self, age_years: f64) -> f64 {
        let age = age_years.clamp(AGE_RANGE_YEARS[0], AGE_RANGE_YEARS[1]);
        self.stanley_davies_mm
            + (age - REFERENCE_AGE_YEARS) * (0.02132 - 0.009562 * self.stanley_davies_mm)
    }
}

/// Pupil diameter, mm, at the age `age_years` (held within the formula's range).
pub fn pupil_diameter_mm_watson_yellott_2012(light: FieldOfLight, age_years: f64) -> f64 {
    AdaptedPupil::to(light).diameter_mm(age_years)
}
