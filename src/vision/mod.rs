//! What reaches the retina: pupil and peephole as two apertures, blur, light, acuity, being noticed.

mod acuity;
mod apertures;
mod blur;
mod noticing;
mod pupil;

pub use acuity::{finest_detail_arcmin, landolt_gap_mm};
pub use apertures::{Apertures, Cut, Framed, Lit, Overlap, Peephole, Pupil, Seen, disc_overlap};
pub use blur::{
    DEFAULT_WAVELENGTH_MM, blur_rad, defocus_blur_rad, diffraction_rad, equal_area_diameter_mm,
    retinal_illuminance_td,
};
pub use noticing::{Psychometric, probability_noticed};
pub use pupil::{
    AGE_RANGE_YEARS, AdaptedPupil, FieldOfLight, pupil_diameter_mm_watson_yellott_2012,
};
