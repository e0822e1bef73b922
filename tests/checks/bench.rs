//! What is measured at the bench: strings, pictures, and every reading of a build against a second implementation.

use super::{Answer, Inputs, whole_trial};
use crate::support::Values;
use sightdrift::figure::{Bench, Measurand, Quantity, Source, Stretch, TakenOn};
use sightdrift::geometry::Similarity;
use sightdrift::mechanics::{tension_of_tone_n, tone_hz};
use sightdrift::trial::{Frames, PictureFrame, shown};

pub fn run(check: &str, i: Inputs<'_>) -> Option<Answer<Vec<f64>>> {
    Some(match check {
        "tension_of_tone" => tension_of_tone(i),
        "tone_of_tension" => tone_of_tension(i),
        "picture" => picture(i),
        "picture_fit" => picture_fit(i),
        _ => return None,
    })
}

fn tension_of_tone(i: Inputs<'_>) -> Answer<Vec<f64>> {
    Ok(vec![tension_of_tone_n(
        i.number("tone_hz")?,
        i.number("kg_per_m")?,
        i.number("length_mm")?,
    )])
}

fn tone_of_tension(i: Inputs<'_>) -> Answer<Vec<f64>> {
    Ok(vec![tone_hz(
        i.number("tension_n")?,
        i.number("kg_per_m")?,
        i.number("length_mm")?,
    )])
}

fn frame(i: Inputs<'_>) -> Answer<PictureFrame> {
    Ok(PictureFrame {
        shift: i.pair("shift")?,
        turn_rad: i.number("turn")?,
        log_scale: i.number("log_scale")?,
        perspective: i.pair("perspective")?,
    })
}

/// Where the frame shows each place; undone, each must lie where it was.
fn picture(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let frame = frame(i)?;
    let mut all = Vec::new();
    for w in i.pairs("w")? {
        let shown = frame.picture(w).ok_or("behind the camera")?;
        let back = frame.undo(shown).ok_or("not undone")?;
        if (back - w).norm() > 1e-12 {
            return Err(format!("undone by {}", (back - w).norm()));
        }
        all.extend([shown.x, shown.y]);
    }
    Ok(all)
}

fn picture_fit(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let (targets, seen) = (i.pairs("targets")?, i.pairs("seen")?);
    let fit = Similarity::fit(&targets, &seen).map_err(|why| format!("{why:?}"))?;
    let frame = PictureFrame {
        shift: fit.shift(),
        turn_rad: fit.rotation_rad(),
        log_scale: libm::log(fit.scale()),
        perspective: sightdrift::geometry::Pair::zeros(),
    };
    let left: f64 = targets
        .iter()
        .zip(&seen)
        .filter_map(|(target, seen)| Some((frame.picture(*target)? - seen).norm_squared()))
        .sum();
    Ok(vec![
        fit.scale(),
        fit.rotation_rad(),
        fit.shift().x,
        fit.shift().y,
        (left / targets.len() as f64).sqrt(),
    ])
}

/// Every reading of one build, by the name of its quantity.
pub fn bench_view(i: Inputs<'_>) -> Answer<Vec<(&'static str, Vec<f64>)>> {
    let mut values = Values::none(whole_trial::design(i)?);
    whole_trial::set_build(i, &mut values)?;
    values
        .set(Source::EyeOffset, 0, &i.list("eye_offset")?)
        .set(Source::EyeRelief, 0, &i.list("eye_relief")?)
        .set(Source::Pupil, 0, &i.list("pupil")?);
    let plates = i.tables("plate_frames")?;
    let frames = Frames {
        plates: [frame(plates[0])?, frame(plates[1])?],
        view: frame(i.table("view_frame")?)?,
    };
    let bench = Bench {
        camera_pupil_mm: Some(i.number("camera_pupil")?),
        ..Bench::default()
    };
    let mut all = Vec::new();
    for quantity in Quantity::ALL {
        let measurands = measurands(i, quantity, &values)?;
        let plan = &values.plan;
        let numbers = shown(
            plan,
            &measurands,
            &bench,
            &values.build,
            &values.look,
            &frames,
        )
        .map_err(|reason| format!("not computable: {reason}"))?;
        let numbers: Option<Vec<f64>> = numbers.into_iter().collect();
        let name: &'static str = quantity.name().replace(' ', "_").leak();
        all.push((name, numbers.ok_or(format!("{name}: not seen"))?));
    }
    Ok(all)
}

fn measurands(i: Inputs<'_>, quantity: Quantity, values: &Values) -> Answer<Vec<Measurand>> {
    let design = &values.plan.design;
    let is_of_plates = matches!(
        quantity,
        Quantity::Distance(
            Stretch::PeepholeToFront | Stretch::FrontToRear | Stretch::PeepholeToRear
        )
    );
    Ok(match quantity.taken_on() {
        TakenOn::Cabinet if is_of_plates => {
            let places = i.pairs("places")?.into_iter().map(Some);
            std::iter::once(None)
                .chain(places)
                .map(|place_mm| Measurand {
                    place_mm,
                    ..Measurand::of(quantity)
                })
                .collect()
        }
        TakenOn::Cabinet => vec![Measurand::of(quantity)],
        TakenOn::Line => {
            let at_mm = match quantity {
                Quantity::Drop => Some(i.number("drop_at")?),
                _ => None,
            };
            (0..design.vertices.len())
                .map(|line| Measurand {
                    at_mm,
                    ..Measurand::of_line(quantity, line)
                })
                .collect()
        }
        TakenOn::RodEnd => (0..2 * design.rods.len())
            .map(|end| Measurand::of_end(quantity, design, end))
            .collect(),
        TakenOn::Rod => (0..design.rods.len()).map(Measurand::of_middle).collect(),
    })
}
