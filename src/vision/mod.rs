//! What reaches the retina: pupil and peephole as two apertures, blur, light, acuity, being noticed.

mod acuity;
mod apertures;
mod blur;
mod light;
mod noticing;
mod pupil;
mod tunnel;

pub use acuity::{finest_detail_arcmin, landolt_gap_mm};
pub use apertures::{Apertures, Cut, Framed, Lit, Overlap, Peephole, Pupil, Seen, disc_overlap};
pub use blur::{
    DEFAULT_WAVELENGTH_MM, blur_rad, defocus_blur_rad, diffraction_rad, equal_area_diameter_mm,
    retinal_illuminance_td,
};
pub use light::{
    CHART_LUMINANCE_CD_PER_M2, NormalAcuity, ONE_LINE_LOG_MAR, acuity_ikeda_noda_yamaguchi,
};
pub use noticing::{Psychometric, probability_noticed};
pub use pupil::{
    AGE_RANGE_YEARS, AdaptedPupil, FieldOfLight, pupil_diameter_mm_watson_yellott_2012,
};
pub use tunnel::{FlatDisc, Tunnel, common_area_mm2, open_share_of_hole};
