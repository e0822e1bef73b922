//! What bounds a peephole: acuity against light, thick plates, the pinhole's best width, tools.

use super::{Answer, Inputs};
use sightdrift::mechanics::{HoleTool, R20, hole_tools};
use sightdrift::vision::{
    NormalAcuity, Tunnel, acuity_ikeda_noda_yamaguchi, defocus_blur_rad, diffraction_rad,
    open_share_of_hole,
};

pub fn run(check: &str, i: Inputs<'_>) -> Option<Answer<Vec<f64>>> {
    Some(match check {
        "acuity_luminance" => acuity(i),
        "normal_acuity" => normal(i),
        "open_share" => open(i),
        "tunnel_clear_share" => tunnel(i),
        "pinhole_airy" => pinhole(i),
        "blur_ratio" => blur_ratio(i),
        "tool_diameter" => tool(i).map(|tool| vec![tool.diameter_mm]),
        "tool_holes" => tool(i).map(|tool| tool.holes_mm().to_vec()),
        "preferred_number" => i.count("place").and_then(|place| {
            let number = R20.get(place as usize).ok_or("R20 has 20 places")?;
            Ok(vec![*number])
        }),
        _ => return None,
    })
}

fn acuity(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let acuity = acuity_ikeda_noda_yamaguchi(i.number("luminance")?, i.number("contrast")?);
    Ok(vec![acuity.ok_or("outside of the formula's range")?])
}

fn normal(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let normal = NormalAcuity::of(i.number("area")?, i.number("age")?, true).ok_or("no light")?;
    Ok(vec![
        normal.luminance_cd_per_m2,
        normal.pupil_mm,
        normal.illuminance_td,
    ])
}

fn open(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let (diameter, thickness) = (i.number("diameter")?, i.number("thickness")?);
    Ok(vec![open_share_of_hole(
        diameter,
        thickness,
        i.number("tangent")?,
    )])
}

fn tunnel(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let tunnel = Tunnel {
        diameter_mm: i.number("diameter")?,
        face_mm: i.number("face")?,
        thickness_mm: i.number("thickness")?,
    };
    let share = tunnel.clear_share(i.number("pupil")?, &i.point("point")?);
    Ok(vec![share.ok_or("the point is not beyond the plate")?])
}

/// Where the hole's shadow of a far point, on a screen at `focal`, is as wide as the Airy disc, twice Rayleigh's angle.
fn pinhole(i: Inputs<'_>) -> Answer<Vec<f64>> {
    const FAR_MM: f64 = 1e15;
    let (focal, wavelength) = (i.number("focal")?, i.number("wavelength")?);
    let (mut low, mut high) = (1e-3, 10.0);
    for _ in 0..200 {
        let middle = f64::midpoint(low, high);
        let shadow = defocus_blur_rad(middle, FAR_MM, 1.0 / focal);
        if shadow < 2.0 * diffraction_rad(middle, wavelength) {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(vec![low])
}

fn blur_ratio(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let aperture = i.number("aperture")?;
    let one_dioptre = defocus_blur_rad(aperture, 1000.0, 0.0);
    Ok(vec![
        diffraction_rad(aperture, i.number("wavelength")?) / one_dioptre,
    ])
}

fn tool(i: Inputs<'_>) -> Answer<HoleTool> {
    let (size, kind) = (i.text("size")?, i.text("kind")?);
    hole_tools()
        .into_iter()
        .find(|tool| tool.size == size && tool.kind.name() == kind)
        .ok_or(format!("no {kind} of {size}"))
}
