//! One whole trial, every source at a definite value, against the second implementation in `model_check.py`.

use super::{Answer, Inputs};
use crate::support::{Values, normal, plain_design, set_law};
use sightdrift::figure::{Design, Frame, Plate, PlateSpec, Rod, RodEnd, Source, Threading, Vertex};
use sightdrift::geometry::Pair;
use sightdrift::mechanics::{PulledAt, Tightening};
use sightdrift::trial::{
    Built, Glance, InFrames, Measured, NotComputable, Sight, SightPoint, SightRod, Viewed,
};
use sightdrift::units::arcmin;

pub fn whole_trial(i: Inputs<'_>) -> Answer<Vec<(&'static str, Vec<f64>)>> {
    let mut values = Values::none(design(i)?);
    set_build(i, &mut values)?;
    values
        .set(Source::EyeOffset, 0, &i.list("eye_offset")?)
        .set(Source::EyeRelief, 0, &i.list("eye_relief")?)
        .set(Source::Pupil, 0, &i.list("pupil")?);
    let plan = &values.plan;
    let failed = |reason| format!("not computable: {reason}");
    let sight = Sight::of(plan, &values.build, &values.look).map_err(failed)?;
    engine_agrees(&values, &sight).map_err(failed)?;
    let fit = sight.fit.ok_or("no fit")?;
    let ends: Vec<_> = sight.rods.iter().flat_map(|rod| &rod.ends).collect();
    let middles: Vec<_> = sight
        .rods
        .iter()
        .filter_map(|rod| rod.middle.as_ref())
        .collect();
    let directions = |points: &[&SightPoint]| -> Vec<f64> {
        let seen = points.iter().filter_map(|point| point.seen);
        seen.flat_map(|seen| [seen.x, seen.y]).collect()
    };
    let clear = |points: &[&SightPoint]| points.iter().map(|point| point.clear_share).collect();
    let off = |of: &dyn Fn(InFrames<Pair>) -> Option<Pair>| -> Vec<f64> {
        ends.iter()
            .filter_map(|end| end.deviation_rad.and_then(of))
            .flat_map(|off| [arcmin(off.x), arcmin(off.y)])
            .collect()
    };
    let reach = |of: &dyn Fn(InFrames<f64>) -> Option<f64>| -> Vec<f64> {
        let all = ends.iter().filter_map(|end| end.reach_rad.and_then(of));
        all.map(arcmin).collect()
    };
    let rods = |of: &dyn Fn(&SightRod) -> Option<f64>| -> Vec<f64> {
        sight.rods.iter().filter_map(of).map(arcmin).collect()
    };
    Ok(vec![
        ("direction", directions(&ends)),
        ("clear_share", clear(&ends)),
        ("middle_direction", directions(&middles)),
        ("middle_clear_share", clear(&middles)),
        ("fixed_arcmin", off(&|off| Some(off.fixed))),
        ("fitted_arcmin", off(&|off| off.fitted)),
        ("fit_scale", vec![fit.scale()]),
        ("fit_rotation_rad", vec![fit.rotation_rad()]),
        ("fit_shift", vec![fit.shift().x, fit.shift().y]),
        (
            "across_fixed_arcmin",
            rods(&|rod| Some(rod.across_rad?.fixed)),
        ),
        ("across_fitted_arcmin", rods(&|rod| rod.across_rad?.fitted)),
        ("turn_fixed_arcmin", rods(&|rod| Some(rod.turn_rad?.fixed))),
        ("turn_fitted_arcmin", rods(&|rod| rod.turn_rad?.fitted)),
        ("reach_fixed_arcmin", reach(&|reach| Some(reach.fixed))),
        ("reach_fitted_arcmin", reach(&|reach| reach.fitted)),
        (
            "gap_arcmin",
            sight
                .junctions
                .iter()
                .filter_map(|junction| junction.gap_rad)
                .map(arcmin)
                .collect(),
        ),
    ])
}

/// What a person is shown of one look must be what the run counts: the same drifts and gaps, to rounding.
fn engine_agrees(values: &Values, sight: &Sight) -> Result<(), NotComputable> {
    let plan = &values.plan;
    let mut built = Built::new(plan);
    built.set(plan, &values.build)?;
    let glance = Glance::new(plan, &values.look, built.peephole_mm)?;
    let mut viewed = Viewed::new(plan);
    let mut measured = Measured::new(plan);
    // looked at and measured without judging: a clipped look has numbers too
    viewed.set(&built, &glance.apertures);
    measured.set(plan, &viewed)?;
    let alike = |a: Option<f64>, b: f64| {
        assert!(a.is_some_and(|a| (a - b).abs() < 1e-15), "{a:?} {b}");
    };
    for (rod, shown) in sight.rods.iter().enumerate() {
        let across = shown.across_rad;
        alike(
            across.map(|both| both.fixed),
            measured.across_fixed_rad(rod),
        );
        alike(
            across.and_then(|both| both.fitted),
            measured.across_fitted_rad(rod),
        );
    }
    for (shown, gap) in sight.junctions.iter().zip(&measured.gaps_rad) {
        alike(shown.gap_rad, *gap);
    }
    Ok(())
}

pub(super) fn design(i: Inputs<'_>) -> Answer<Design> {
    let mut design = plain_design(Frame::Fitted);
    design.vertices = i
        .tables("vertices")?
        .into_iter()
        .map(|vertex| {
            Ok(Vertex {
                name: vertex.text("name")?.to_owned(),
                direction: vertex.pair("direction")?,
            })
        })
        .collect::<Answer<_>>()?;
    let line_of = |name: &str| {
        design
            .vertices
            .iter()
            .position(|vertex| vertex.name == name)
            .ok_or(format!("no vertex \"{name}\""))
    };
    design.rods = i
        .tables("rods")?
        .into_iter()
        .map(|rod| {
            let names = rod.value("lines")?.as_array().ok_or("lines")?;
            let depths = rod.list("depths")?;
            let end = |k: usize| {
                let name = names[k].as_str().unwrap_or_default();
                Ok::<_, String>(RodEnd {
                    line: line_of(name)?,
                    depth_mm: depths[k],
                })
            };
            Ok(Rod {
                name: rod.text("name")?.to_owned(),
                ends: [end(0)?, end(1)?],
                diameter_mm: rod.number("diameter")?,
                mass_kg_per_m: rod.number("kg_per_m")?,
            })
        })
        .collect::<Answer<_>>()?;
    let plates = i
        .tables("plates")?
        .into_iter()
        .map(|plate| {
            Ok(PlateSpec {
                z_mm: plate.number("z")?,
                centre_mm: plate.pair("centre")?,
                hole_mm: plate.number("hole")?,
            })
        })
        .collect::<Answer<Vec<_>>>()?;
    design.plates = plates.try_into().map_err(|_| "two plates are needed")?;
    design.peephole.diameter_mm = i.number("peephole_diameter")?;
    design.peephole.eye_relief_mm = i.number("eye_relief_nominal")?;
    design.peephole.clip_below = i.number("clip_below")?;
    design.viewer.focus_mm = i.number("focus")?;
    design.gravity.strength_m_per_s2 = i.number("gravity_m_per_s2")?;
    design.gravity.down = i.pair("down")?;
    design.line.diameter_mm = i.number("line_diameter")?;
    design.line.mass_kg_per_m = i.number("line_kg_per_m")?;
    design.line.tension_n = i.list("tension_n")?;
    design.line.threading = Some(threading(i.table("threading")?)?);
    // a law that can bow makes the engine look at the middles; the values are set outright
    set_law(&mut design, Source::RodBow, normal(Source::RodBow, 1.0));
    Ok(design)
}

fn threading(i: Inputs<'_>) -> Answer<Threading> {
    Ok(Threading {
        order: i.indices("order")?,
        first_enters_front: i.flag("first_enters_front")?,
        friction: i.number("friction")?,
        tightening: match i.text("tightened")? {
            "each run" => Tightening::EachRun,
            "ends only" => Tightening::EndsOnly,
            other => return Err(format!("no way to tighten \"{other}\"")),
        },
        pulled_at: if i.flag("pulled_last")? {
            PulledAt::Last
        } else {
            PulledAt::First
        },
    })
}

pub(super) fn set_build(i: Inputs<'_>, values: &mut Values) -> Answer<()> {
    for (plate, given) in Plate::BOTH.into_iter().zip(i.tables("plate_values")?) {
        values
            .set(Source::PatternShift(plate), 0, &given.list("shift")?)
            .set(Source::PatternTurn(plate), 0, &given.list("turn")?)
            .set(Source::PrintScale(plate), 0, &given.list("scale")?)
            .set(Source::SeatDepth(plate), 0, &given.list("seat")?)
            .set(Source::TiltX(plate), 0, &given.list("tilt_x")?)
            .set(Source::TiltY(plate), 0, &given.list("tilt_y")?);
        each(values, Source::HoleScatter(plate), &given.list("scatter")?);
        each(values, Source::HoleSlack(plate), &given.list("slack")?);
    }
    for (source, key) in [
        (Source::HandTension, "hand_tension"),
        (Source::Slackening, "slackening"),
        (Source::RodTie, "tie"),
        (Source::RodSlip, "slip"),
        (Source::RodBow, "bow"),
        (Source::PeepholeShift, "peephole_shift"),
        (Source::PeepholeDepth, "peephole_depth"),
    ] {
        each(values, source, &i.list(key)?);
    }
    Ok(())
}

fn each(values: &mut Values, source: Source, all: &[f64]) {
    let items = source.items(&values.plan.design);
    assert_eq!(all.len(), items * source.components(), "{source:?}");
    for (item, components) in all.chunks_exact(source.components()).enumerate() {
        values.set(source, item, components);
    }
}
