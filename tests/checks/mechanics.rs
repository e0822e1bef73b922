//! Taut lines, loads, threading, materials.

use super::{Answer, Inputs};
use sightdrift::mechanics::{
    LARGEST_SAG_SHARE, LineMaterial, LoadedSpan, PointLoad, PulledAt, RodMaterial,
    STANDARD_GRAVITY_M_PER_S2, bend_rad, sag_of_catenary_mm, sag_of_parabola_mm,
    tension_after_bend_n, tension_shares,
};

pub fn run(check: &str, i: Inputs<'_>) -> Option<Answer<Vec<f64>>> {
    Some(match check {
        "sag_of_catenary" => hung(i, sag_of_catenary_mm),
        "sag_of_parabola" => hung(i, sag_of_parabola_mm),
        "parabola_error" => i.number("sag_share").map(|share| vec![error(share)]),
        "largest_sag_share" => Ok(vec![LARGEST_SAG_SHARE]),
        "loaded_span" => loaded_span(i),
        "capstan_ratio" => capstan_ratio(i),
        "bend" => bend(i),
        "tension_shares" => shares(i),
        "standard_gravity" => Ok(vec![STANDARD_GRAVITY_M_PER_S2]),
        "line_mass_g_per_m" => line(i, |line, mm| line.mass_kg_per_m(mm) * 1e3),
        "line_density" => line(i, |line, _| line.density_kg_per_m3 * 1e-3),
        "rod_density" => rod(i, |rod, _| {
            rod.density_kg_per_m3 * STANDARD_GRAVITY_M_PER_S2 * 1e-3
        }),
        "rod_density_kg_per_m3" => rod(i, |rod, _| rod.density_kg_per_m3),
        "rod_mass_g_per_m" => rod(i, |rod, mm| rod.mass_kg_per_m(mm) * 1e3),
        _ => return None,
    })
}

fn hung(i: Inputs<'_>, sag: fn(f64, f64, f64) -> f64) -> Answer<Vec<f64>> {
    Ok(vec![sag(
        i.number("weight")?,
        i.number("span")?,
        i.number("tension")?,
    )])
}

/// Error of the parabola whose sag is `share` of the span.
fn error(share: f64) -> f64 {
    let tension = 1.0 / (8.0 * share);
    1.0 - sag_of_parabola_mm(1.0, 1.0, tension) / sag_of_catenary_mm(1.0, 1.0, tension)
}

fn loaded_span(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let span = LoadedSpan {
        length_mm: i.number("length")?,
        weight_n_per_mm: i.number("weight")?,
        loads: i
            .pairs("loads")?
            .into_iter()
            .map(|load| PointLoad {
                at_mm: load.x,
                weight_n: load.y,
            })
            .collect(),
    };
    let tension = i.number("tension")?;
    Ok(i.list("at")?
        .into_iter()
        .map(|s| span.sag_mm(s, 1.0 / tension))
        .collect())
}

fn capstan_ratio(i: Inputs<'_>) -> Answer<Vec<f64>> {
    // the library goes from the tight to the slack side; the tables give tight over slack
    Ok(vec![
        1.0 / tension_after_bend_n(1.0, i.number("friction")?, i.number("bend")?),
    ])
}

fn bend(i: Inputs<'_>) -> Answer<Vec<f64>> {
    Ok(vec![bend_rad(&i.point("arriving")?, &i.point("leaving")?)])
}

fn shares(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let pulled_at = if i.flag("pulled_last")? {
        PulledAt::Last
    } else {
        PulledAt::First
    };
    Ok(tension_shares(
        &i.indices("order")?,
        i.flag("enters_front")?,
        &i.points("front")?,
        &i.points("rear")?,
        i.number("friction")?,
        pulled_at,
    ))
}

fn diameter(i: Inputs<'_>) -> f64 {
    i.number("diameter").unwrap_or(1.0)
}

fn line(i: Inputs<'_>, of: fn(&LineMaterial, f64) -> f64) -> Answer<Vec<f64>> {
    let material = LineMaterial::named(i.text("material")?).ok_or("no such line")?;
    Ok(vec![of(material, diameter(i))])
}

fn rod(i: Inputs<'_>, of: fn(&RodMaterial, f64) -> f64) -> Answer<Vec<f64>> {
    let material = RodMaterial::named(i.text("material")?).ok_or("no such rod")?;
    Ok(vec![of(material, diameter(i))])
}
