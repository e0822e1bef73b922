//! Cabinet, peephole and line in a scenario file.

use super::figure::FigureRead;
use super::problem::{listed, nearest, quoted};
use super::table::{At, Table};
use crate::figure::{Grade, Gravity, Line, Peephole, PlateSpec, Threading};
use crate::geometry::Pair;
use crate::mechanics::{LineMaterial, PulledAt, STANDARD_GRAVITY_M_PER_S2, Tightening};
use crate::units::Kind;
use std::ops::Range;

/// Plates as read; hole diameters may wait for the line's.
pub(super) struct CabinetRead {
    pub z_mm: [At<f64>; 2],
    pub centre_mm: [Pair; 2],
    pub hole_mm: [Option<At<f64>>; 2],
    pub gravity: Gravity,
}

pub(super) fn read_cabinet(top: &Table<'_>) -> Option<CabinetRead> {
    let table = top.table("cabinet");
    if !table.is_there() {
        top.missing(
            "cabinet",
            "a table [cabinet] with `front_plate` and `rear_plate`",
        );
        return None;
    }
    let front = table.needed_positive("front_plate", Kind::Length);
    let rear = table.needed_positive("rear_plate", Kind::Length);
    let centre = |key| {
        table
            .pair(key, Kind::Length)
            .map_or(Pair::zeros(), |pair| pair.value)
    };
    let centre_mm = [centre("front_centre"), centre("rear_centre")];
    let hole_mm = [
        table.positive("front_hole", Kind::Length),
        table.positive("rear_hole", Kind::Length),
    ];
    let strength = table
        .quantity("gravity", Kind::Acceleration)
        .and_then(|found| {
            table.must(
                "gravity",
                found,
                |g| (0.0..=100.0).contains(&g),
                "must be from 0 to 100 m/s2",
            )
        });
    let direction = table.pair("gravity_direction", Kind::Number);
    let down = match &direction {
        None => Some(Pair::new(0.0, -1.0)),
        Some(found) => {
            let length = found.value.norm();
            if !(length > 0.0) {
                table.problems.tell(
                    &found.span,
                    "gravity_direction is [0, 0], must point somewhere across the axis".to_owned(),
                    Some("for a figure without gravity write gravity = 0".to_owned()),
                );
            }
            (length > 0.0).then(|| found.value / length)
        }
    };
    table.finish();
    let (front, rear) = (front?, rear?);
    if front.value >= rear.value {
        top.problems.tell(
            &rear.span,
            format!(
                "rear_plate is {}, must be farther from the station point than front_plate ({} mm)",
                top.problems.quote(&rear.span),
                front.value
            ),
            None,
        );
        return None;
    }
    Some(CabinetRead {
        z_mm: [front, rear],
        centre_mm,
        hole_mm,
        gravity: Gravity {
            strength_m_per_s2: strength.map_or(STANDARD_GRAVITY_M_PER_S2, |found| found.value),
            down: down?,
        },
    })
}

pub(super) fn read_peephole(
    top: &Table<'_>,
    cabinet: Option<&CabinetRead>,
) -> Option<(Peephole, Range<usize>)> {
    let table = top.table("peephole");
    if !table.is_there() {
        top.missing(
            "peephole",
            "a table [peephole] with `diameter` and `eye_relief`",
        );
        return None;
    }
    let diameter = table.needed_positive("diameter", Kind::Length);
    let relief = table.needed_positive("eye_relief", Kind::Length);
    let plate = table.quantity("plate_thickness", Kind::Length);
    let plate = plate.and_then(|plate| {
        table.must(
            "plate_thickness",
            plate,
            |plate| plate >= 0.0,
            "must be 0 or more",
        )
    });
    let plate_span = plate.as_ref().map(|plate| plate.span.clone());
    let plate_mm = table.or_default("plate_thickness", plate.map(|plate| plate.value), 0.0);
    let clip = table.share("clip_below");
    let clip_below = table.or_default("clip_below", clip.map(|clip| clip.value), 0.25);
    table.finish();
    let (diameter, relief) = (diameter?, relief?);
    if let Some(cabinet) = cabinet
        && relief.value >= cabinet.z_mm[0].value
    {
        top.problems.tell(
            &relief.span,
            format!(
                "eye_relief is {}: the peephole's plate would stand at or behind the front plate ({} mm)",
                top.problems.quote(&relief.span),
                cabinet.z_mm[0].value
            ),
            Some("eye relief and plate distances are all measured from the station point, which is the pupil".to_owned()),
        );
        return None;
    }
    if let (Some(cabinet), Some(span), Some(plate_mm)) = (cabinet, plate_span, plate_mm) {
        let room_mm = cabinet.z_mm[0].value - relief.value;
        if plate_mm >= room_mm {
            top.problems.tell(
                &span,
                format!(
                    "plate_thickness is {}: the peephole's plate would reach the front plate, must be under {room_mm} mm (front_plate less eye_relief)",
                    top.problems.quote(&span)
                ),
                Some("the plate begins at eye_relief from the station point and is as thick as this towards the cabinet".to_owned()),
            );
            return None;
        }
    }
    Some((
        Peephole {
            diameter_mm: diameter.value,
            eye_relief_mm: relief.value,
            clip_below: clip_below?,
            plate_mm: plate_mm?,
        },
        diameter.span,
    ))
}

/// The line as read.
pub(super) struct LineRead {
    pub line: Line,
    pub slackening: Option<[f64; 2]>,
    /// Place of each line's tension.
    pub tension_spans: Vec<Range<usize>>,
}

pub(super) fn read_line(top: &Table<'_>, figure: Option<&FigureRead>) -> Option<LineRead> {
    let table = top.table("line");
    if !table.is_there() {
        top.missing(
            "line",
            "a table [line] with `material`, `diameter` and `tension`",
        );
        return None;
    }
    let diameter = table.needed_positive("diameter", Kind::Length);
    let materials: Vec<(&str, &'static LineMaterial)> = LineMaterial::ALL
        .iter()
        .map(|material| (material.name, material))
        .collect();
    let material = table.choice("material", &materials);
    let mass = table
        .quantity("mass_per_length", Kind::MassPerLength)
        .and_then(|mass| {
            table.must(
                "mass_per_length",
                mass,
                |mass| mass >= 0.0,
                "must be 0 or more",
            )
        });
    if material.is_none()
        && table.get_named("material").is_none()
        && table.get_named("mass_per_length").is_none()
    {
        table.missing(
            "material",
            &format!(
                "a material ({}) or `mass_per_length`",
                listed(materials.iter().map(|(name, _)| *name))
            ),
        );
    }
    let common = table.positive("tension", Kind::Force);
    let tensions = read_tensions(&table, figure, common.as_ref());
    let threading = read_threading(&table, figure);
    if let (Some(Some(threading)), Some(own)) = (&threading, table.get_named("tensions"))
        && threading.tightening == Tightening::EndsOnly
    {
        table.problems.tell(
            &own.span(),
            "[line] has `tensions` of single lines, but is one line tightened at its ends only"
                .to_owned(),
            Some("write the pull at the end as `tension`, or tightened = \"each run\"".to_owned()),
        );
    }
    table.finish();
    let diameter_mm = diameter?.value;
    let mass_kg_per_m = mass.map(|mass| mass.value).or_else(|| {
        material
            .as_ref()
            .map(|material| material.value.mass_kg_per_m(diameter_mm))
    })?;
    let (tension_n, tension_spans) = tensions?;
    Some(LineRead {
        line: Line {
            material: material.as_ref().map(|material| material.value.name),
            diameter_mm,
            mass_kg_per_m,
            tension_n,
            threading: threading?,
            breaking_load_n: material
                .as_ref()
                .map(|material| material.value.breaking_load_n(diameter_mm)),
        },
        slackening: material.map(|material| material.value.slackening),
        tension_spans,
    })
}

/// Tension of every line: the common one, or each line's own from `tensions = { tip = "4 N" }`.
fn read_tensions(
    table: &Table<'_>,
    figure: Option<&FigureRead>,
    common: Option<&At<f64>>,
) -> Option<(Vec<f64>, Vec<Range<usize>>)> {
    let own = table.table("tensions");
    let figure = figure?;
    let known = || figure.vertices.iter().map(|vertex| vertex.name.as_str());
    for key in own.keys() {
        if !known().any(|name| name == key.value) {
            table.problems.tell(
                &key.span,
                format!(
                    "no line has the name {}, there are: {}",
                    quoted(key.value),
                    listed(known())
                ),
                nearest(key.value, known()).map(|near| format!("did you mean `{near}`?")),
            );
        }
    }
    let mut tension_n = Vec::new();
    let mut spans = Vec::new();
    let mut whole = true;
    let mut without = Vec::new();
    for vertex in &figure.vertices {
        let found = match own.get_named(&vertex.name) {
            Some(value) => own
                .quantity_of(&vertex.name, value, Kind::Force)
                .and_then(|found| {
                    own.must(
                        &vertex.name,
                        found,
                        |tension| tension > 0.0,
                        "must be above 0",
                    )
                }),
            None => {
                if common.is_none() {
                    without.push(vertex.name.as_str());
                }
                common.cloned()
            }
        };
        match found {
            Some(found) => {
                tension_n.push(found.value);
                spans.push(found.span);
            }
            None => whole = false,
        }
    }
    if !without.is_empty() && table.get_named("tension").is_none() {
        table.missing(
            "tension",
            &format!(
                "the tension of all lines, or one in `tensions` for each of {},",
                listed(without)
            ),
        );
    }
    whole.then_some((tension_n, spans))
}

/// `threading = { order = [...], friction = 0.2, tightened = "ends only" }`; `Some(None)` where there is none.
fn read_threading(table: &Table<'_>, figure: Option<&FigureRead>) -> Option<Option<Threading>> {
    let threading = table.table("threading");
    if !threading.is_there() {
        return if table.get_named("threading").is_none() {
            Some(None)
        } else {
            None
        };
    }
    let order = read_order(&threading, figure);
    let friction = threading
        .quantity("friction", Kind::Number)
        .and_then(|found| {
            threading.must(
                "friction",
                found,
                |friction| (0.0..=2.0).contains(&friction),
                "must be from 0 to 2",
            )
        });
    if friction.is_none() && threading.get_named("friction").is_none() {
        threading.missing("friction", "the friction coefficient over the holes' walls (0.15 to 0.3 for nylon on wood or metal, from memory)");
    }
    let tightening = threading.choice(
        "tightened",
        &[
            ("each run", Tightening::EachRun),
            ("ends only", Tightening::EndsOnly),
        ],
    );
    if tightening.is_none() && threading.get_named("tightened").is_none() {
        threading.missing("tightened", "\"each run\" or \"ends only\"");
    }
    let first_enters_front = threading
        .choice("enters", &[("front", true), ("rear", false)])
        .is_none_or(|found| found.value);
    let pulled_at = threading
        .choice(
            "pulled_at",
            &[("first", PulledAt::First), ("last", PulledAt::Last)],
        )
        .map_or(PulledAt::Last, |found| found.value);
    threading.finish();
    Some(Some(Threading {
        order: order?,
        first_enters_front,
        friction: friction?.value,
        tightening: tightening?.value,
        pulled_at,
    }))
}

fn read_order(threading: &Table<'_>, figure: Option<&FigureRead>) -> Option<Vec<usize>> {
    let Some(list) = threading.array("order") else {
        if threading.get_named("order").is_none() {
            threading.missing("order", "the names of all lines in the order of threading");
        }
        return None;
    };
    let figure = figure?;
    let known = || figure.vertices.iter().map(|vertex| vertex.name.as_str());
    let mut order = Vec::new();
    let mut whole = true;
    for element in list.value {
        let Some(name) = element.get_ref().as_str() else {
            threading.wrong_type("order", element, "a line's name in quotes");
            whole = false;
            continue;
        };
        match known().position(|one| one == name) {
            Some(index) if order.contains(&index) => {
                threading.problems.tell(
                    &element.span(),
                    format!("order names the line {} twice", quoted(name)),
                    None,
                );
                whole = false;
            }
            Some(index) => order.push(index),
            None => {
                threading.problems.tell(
                    &element.span(),
                    format!(
                        "no line has the name {}, there are: {}",
                        quoted(name),
                        listed(known())
                    ),
                    nearest(name, known()).map(|near| format!("did you mean `{near}`?")),
                );
                whole = false;
            }
        }
    }
    let missing: Vec<&str> = known()
        .enumerate()
        .filter(|(index, _)| !order.contains(index))
        .map(|(_, name)| name)
        .collect();
    if whole && !missing.is_empty() {
        threading.problems.tell(
            &list.span,
            format!(
                "order leaves out {} line(s): {}",
                missing.len(),
                listed(missing)
            ),
            Some("one line is led through all holes: name every line once".to_owned()),
        );
        whole = false;
    }
    whole.then_some(order)
}

/// Plates with their holes; a hole that is not given is wider than the line by the grade's clearance.
pub(super) fn plates(
    cabinet: &CabinetRead,
    line_mm: f64,
    grade: Grade,
    top: &Table<'_>,
) -> Option<[PlateSpec; 2]> {
    let mut whole = true;
    let plate = [0, 1].map(|side| {
        let hole_mm = match &cabinet.hole_mm[side] {
            None => line_mm + grade.hole_clearance_mm(),
            Some(hole) => {
                if hole.value < line_mm {
                    top.problems.tell(
                        &hole.span,
                        format!(
                            "{} is {}, narrower than the line ({line_mm} mm)",
                            ["front_hole", "rear_hole"][side],
                            top.problems.quote(&hole.span)
                        ),
                        None,
                    );
                    whole = false;
                }
                hole.value
            }
        };
        PlateSpec {
            z_mm: cabinet.z_mm[side].value,
            centre_mm: cabinet.centre_mm[side],
            hole_mm,
        }
    });
    whole.then_some(plate)
}
