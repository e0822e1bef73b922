//! Plates, sightlines, the similarity fit, parallax.

use super::{Answer, Inputs};
use sightdrift::geometry::{Pair, PlatePose, Point, Similarity, Straight, junction_gap_rad};
use sightdrift::units::arcmin;

pub fn run(check: &str, i: Inputs<'_>) -> Option<Answer<Vec<f64>>> {
    Some(match check {
        "hole" => hole(i).map(|p| vec![p.x, p.y, p.z]),
        "hole_direction" => hole(i).map(|p| vec![p.x / p.z, p.y / p.z]),
        "point_on_line" => point_on_line(i),
        "junction_gap_arcmin" => junction_gap(i),
        "similarity_fit" => similarity(i),
        "similarity_fit_parts" => similarity(i).map(|all| all[..5].to_vec()),
        _ => return None,
    })
}

fn hole(i: Inputs<'_>) -> Answer<Point> {
    let pose = PlatePose {
        shift_mm: i.pair("shift")?,
        turn_rad: i.number("turn")?,
        scale: i.number("scale")?,
        seat_depth_mm: i.number("seat")?,
        tilt_x_rad: i.number("tilt_x")?,
        tilt_y_rad: i.number("tilt_y")?,
    };
    Ok(pose
        .place(i.pair("centre")?, i.number("z")?)
        .hole_mm(i.pair("nominal")?, i.pair("offset")?))
}

fn point_on_line(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let place = Straight::through(i.point("front")?, i.point("rear")?).at_mm(i.number("z")?);
    Ok(vec![place.x, place.y])
}

fn junction_gap(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let gap = junction_gap_rad(i.number("eye")?, i.number("z1")?, i.number("z2")?);
    Ok(vec![arcmin(gap)])
}

fn similarity(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let (targets, seen) = (i.pairs("targets")?, i.pairs("seen")?);
    let fit = Similarity::fit(&targets, &seen).map_err(|error| format!("{error:?}"))?;
    let undone: Vec<Pair> = seen.iter().map(|p| fit.undo(*p)).collect();
    // |S(target) − seen| = scale · |target − S⁻¹(seen)|
    let left: f64 = targets
        .iter()
        .zip(&undone)
        .map(|(w, back)| (fit.scale() * (w - back)).norm_squared())
        .sum();
    let mut found = vec![
        fit.scale(),
        fit.rotation_rad(),
        fit.shift().x,
        fit.shift().y,
        (left / targets.len() as f64).sqrt(),
    ];
    found.extend(undone.iter().flat_map(|p| [p.x, p.y]));
    Ok(found)
}
