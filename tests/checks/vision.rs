//! Acuity, pupil, apertures, blur, light, being noticed; limits and units.

use super::{Answer, Inputs};
use sightdrift::figure::{Finish, Grade, Plate, Source};
use sightdrift::geometry::Point;
use sightdrift::sampling::Distribution;
use sightdrift::units::{Kind, arcmin, read_quantity};
use sightdrift::vision::{
    Apertures, DEFAULT_WAVELENGTH_MM, FieldOfLight, Psychometric, blur_rad, defocus_blur_rad,
    diffraction_rad, disc_overlap, finest_detail_arcmin, landolt_gap_mm, probability_noticed,
    pupil_diameter_mm_watson_yellott_2012, retinal_illuminance_td,
};
use std::f64::consts::PI;

pub fn run(check: &str, i: Inputs<'_>) -> Option<Answer<Vec<f64>>> {
    Some(match check {
        "landolt_gap" => landolt(i),
        "finest_detail" => i
            .number("log_mar")
            .map(|log_mar| vec![finest_detail_arcmin(log_mar)]),
        "pupil" => pupil(i),
        "diffraction_arcmin" => diffraction(i),
        "default_wavelength" => Ok(vec![DEFAULT_WAVELENGTH_MM * 1e6]),
        "defocus_arcmin" => defocus(i),
        "blur_arcmin" => blur(i),
        "trolands" => trolands(i),
        "psychometric" => psychometric(i),
        "noticed" => i
            .number("ratio")
            .map(|ratio| vec![probability_noticed(ratio)]),
        "disc_overlap" => overlap(i),
        "see" => see(i),
        "see_wide_open" => see_wide_open(i),
        "finish_cover" => finish(i).map(|finish| vec![finish.rule().cover]),
        "finish_share_of_figure" => finish(i).map(|finish| vec![finish.rule().share_of_figure]),
        "finish_acuity_factor" => finish(i).map(|finish| vec![finish.rule().acuity_factor]),
        "seat_half_width" => seat(i),
        "read_quantity" => quantity(i),
        "arcmin_of_rad" => i.number("rad").map(|rad| vec![arcmin(rad)]),
        _ => return None,
    })
}

fn landolt(i: Inputs<'_>) -> Answer<Vec<f64>> {
    Ok(vec![landolt_gap_mm(
        i.number("log_mar")?,
        i.number("distance")?,
    )])
}

fn pupil(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let light = FieldOfLight {
        luminance_cd_per_m2: i.number("luminance")?,
        area_deg2: i.number("area")?,
        both_eyes: i.flag("both")?,
    };
    Ok(vec![pupil_diameter_mm_watson_yellott_2012(
        light,
        i.number("age")?,
    )])
}

fn diffraction(i: Inputs<'_>) -> Answer<Vec<f64>> {
    Ok(vec![arcmin(diffraction_rad(
        i.number("aperture")?,
        i.number("wavelength")?,
    ))])
}

fn defocus(i: Inputs<'_>) -> Answer<Vec<f64>> {
    Ok(vec![arcmin(defocus_blur_rad(
        i.number("aperture")?,
        i.number("distance")?,
        1.0 / i.number("focus")?,
    ))])
}

fn blur(i: Inputs<'_>) -> Answer<Vec<f64>> {
    Ok(vec![arcmin(blur_rad(
        i.number("area")?,
        i.number("distance")?,
        1.0 / i.number("focus")?,
        i.number("wavelength")?,
    ))])
}

fn trolands(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let diameter = i.number("diameter")?;
    Ok(vec![retinal_illuminance_td(
        i.number("luminance")?,
        PI * diameter * diameter / 4.0,
    )])
}

fn psychometric(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let function = Psychometric {
        slope: i.number("slope")?,
        guess: i.number("guess")?,
        lapse: i.number("lapse")?,
    };
    Ok(vec![function.probability(10.0_f64.powf(i.number("x")?))])
}

fn overlap(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let found = disc_overlap(
        i.number("first")?,
        i.number("second")?,
        i.number("distance")?,
    )
    .ok_or("the discs share no area")?;
    Ok(vec![found.area, found.centroid])
}

fn see(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let seen = Apertures {
        pupil_mm: i.point("eye")?,
        pupil_radius_mm: i.number("pupil")? / 2.0,
        peephole_mm: i.point("hole")?,
        peephole_radius_mm: i.number("peephole")? / 2.0,
        focus_per_mm: 1.0 / i.number("focus")?,
    }
    .see(&i.point("point")?)
    .ok_or("the point is not seen")?;
    Ok(vec![seen.direction.x, seen.direction.y, seen.clear_share])
}

fn see_wide_open(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let z = i.number("z")?;
    let place =
        sightdrift::geometry::Straight::through(i.point("front")?, i.point("rear")?).at_mm(z);
    let seen = Apertures {
        pupil_mm: i.point("eye")?,
        pupil_radius_mm: 2.0,
        peephole_mm: Point::new(0.0, 0.0, 15.0),
        peephole_radius_mm: 100.0,
        focus_per_mm: 1.0 / 250.0,
    }
    .see(&Point::new(place.x, place.y, z))
    .ok_or("the point is not seen")?;
    Ok(vec![seen.direction.x, seen.direction.y])
}

fn finish(i: Inputs<'_>) -> Answer<Finish> {
    Ok(Finish::named(i.text("finish")?).ok_or("no such finish")?)
}

fn seat(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let grade = Grade::named(i.text("grade")?).ok_or("no such grade")?;
    let half_width = |plate| match grade.default_spread(Source::SeatDepth(plate)) {
        Some((Distribution::Uniform { mean, half_width }, _)) => Ok((mean, half_width)),
        other => Err(format!("{other:?} has no bound")),
    };
    let (front, rear) = (half_width(Plate::Front)?, half_width(Plate::Rear)?);
    if front != rear || front.0 != 0.0 {
        return Err(format!(
            "{front:?} and {rear:?} should be one bound about 0"
        ));
    }
    Ok(vec![front.1])
}

fn quantity(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let kind = match i.text("kind")? {
        "length" => Kind::Length,
        "angle" => Kind::Angle,
        "force" => Kind::Force,
        "mass per length" => Kind::MassPerLength,
        "luminance" => Kind::Luminance,
        "number" => Kind::Number,
        other => return Err(format!("no kind \"{other}\"")),
    };
    read_quantity(i.text("text")?, kind)
        .map(|value| vec![value])
        .map_err(|error| format!("{error:?}"))
}
