//! Blur of a point off the focus, diffraction at the aperture, light on the retina.
//!
//! Sources: defocus blur disc = aperture × vergence error (G. Smith 1982; geometric optics); Rayleigh's criterion
//! 1.22·λ/d (first dark ring of the Airy pattern, 1.219 67 rounded as in the handbooks); troland = luminance in cd/m²
//! times pupil area in mm² (CIE ILV 17-22-038).

/// Wavelength used for diffraction unless said otherwise: 555 nm, the peak of photopic luminous efficiency.
pub const DEFAULT_WAVELENGTH_MM: f64 = 555e-6;

/// Rayleigh's number, 1.22.
const RAYLEIGH: f64 = 1.22;

/// Diameter of the disc of the same area, mm.
pub fn equal_area_diameter_mm(area_mm2: f64) -> f64 {
    2.0 * (area_mm2 / std::f64::consts::PI).sqrt()
}

/// Defocus blur, rad: aperture diameter × |1/z − 1/z_focus|.
pub fn defocus_blur_rad(aperture_mm: f64, distance_mm: f64, focus_per_mm: f64) -> f64 {
    aperture_mm * (1.0 / distance_mm - focus_per_mm).abs()
}

/// Diffraction limit by Rayleigh's criterion, rad.
pub fn diffraction_rad(aperture_mm: f64, wavelength_mm: f64) -> f64 {
    RAYLEIGH * wavelength_mm / aperture_mm
}

/// Defocus and diffraction in quadrature, rad, for an overlap of the area `overlap_mm2` seen at `distance_mm`.
pub fn blur_rad(overlap_mm2: f64, distance_mm: f64, focus_per_mm: f64, wavelength_mm: f64) -> f64 {
    let aperture_mm = equal_area_diameter_mm(overlap_mm2);
    libm::hypot(
        defocus_blur_rad(aperture_mm, distance_mm, focus_per_mm),
        diffraction_rad(aperture_mm, wavelength_mm),
    )
}

/// Retinal illuminance, trolands, of a surface of `luminance_cd_per_m2` seen through `overlap_mm2`.
pub fn retinal_illuminance_td(luminance_cd_per_m2: f64, overlap_mm2: f64) -> f64 {
    luminance_cd_per_m2 * overlap_mm2
}
