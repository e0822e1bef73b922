//! A design's constants and laws, and the very values and results of some trials, as JSON for the numpy model.

use super::scenarios::Case;
use serde_json::{Map, Value, json};
use sightdrift::figure::{Family, Frame, Item, Law, Plan, Source};
use sightdrift::geometry::Pair;
use sightdrift::sampling::Distribution;
use sightdrift::trial::{LookOutcome, Sampler, Sight, SightPoint, fill_build, fill_look};

/// How many builds, and looks at each, go into the file.
const BUILDS: u64 = 24;
const LOOKS: u64 = 4;

/// Everything of `case`.
///
/// # Errors
/// A design whose rods cannot bow: the numpy model looks at every rod's middle.
pub fn json_of(case: &Case) -> Result<Value, String> {
    let plan = &case.scenario.plan;
    if !plan.with_middles {
        return Err(format!("{}: its rods cannot bow", case.name));
    }
    let mut all = constants(case);
    let sources = Source::ALL.map(|source| source_json(plan, source));
    all.insert("sources".to_owned(), json!(sources));
    let seed = case.scenario.run.seed;
    let builds: Vec<Vec<f64>> = (0..BUILDS)
        .map(|build| fill_build(plan, &Sampler::plain(seed), build))
        .collect();
    all.insert(
        "builds".to_owned(),
        values_json(plan, Family::Build, &builds),
    );
    let looks: Vec<Value> = (0..LOOKS)
        .map(|look| {
            let values: Vec<Vec<f64>> = (0..BUILDS)
                .map(|build| fill_look(plan, &Sampler::plain(seed), build, look))
                .collect();
            look_json(plan, &builds, &values)
        })
        .collect();
    all.insert("looks".to_owned(), json!(looks));
    Ok(Value::Object(all))
}

fn constants(case: &Case) -> Map<String, Value> {
    let plan = &case.scenario.plan;
    let design = &plan.design;
    let directions: Vec<Value> = design
        .vertices
        .iter()
        .map(|vertex| pair(vertex.direction))
        .collect();
    let plates = design
        .plates
        .map(|plate| json!({ "z_mm": plate.z_mm, "centre_mm": pair(plate.centre_mm) }));
    let rods: Vec<Value> = design
        .rods
        .iter()
        .map(|rod| {
            json!({
                "lines": rod.ends.map(|end| end.line),
                "depths_mm": rod.ends.map(|end| end.depth_mm),
                "diameter_mm": rod.diameter_mm,
                "mass_kg_per_m": rod.mass_kg_per_m,
            })
        })
        .collect();
    let judging = &design.judging;
    let all = json!({
        "name": case.name,
        "directions": directions,
        "plates": plates,
        "rods": rods,
        "peephole_mm": design.peephole.diameter_mm,
        "eye_relief_mm": design.peephole.eye_relief_mm,
        "clip_below": design.peephole.clip_below,
        "focus_mm": design.viewer.focus_mm,
        "gravity_m_per_s2": design.gravity.strength_m_per_s2,
        "down": pair(design.gravity.down),
        "line_kg_per_m": design.line.mass_kg_per_m,
        "tension_n": plan.tensions_n,
        "judging": {
            "fitted": judging.frame == Frame::Fitted,
            "acuity_factor": judging.rule.acuity_factor,
            "cover": judging.rule.cover,
            "share_of_figure": judging.rule.share_of_figure,
            "drift_rad": judging.rule.drift_rad,
            "gap_rad": judging.rule.gap_rad,
            "hold_share": judging.hold_share,
        },
    });
    match all {
        Value::Object(all) => all,
        _ => Map::new(),
    }
}

fn pair(pair: Pair) -> Value {
    json!([pair.x, pair.y])
}

fn key(source: Source) -> String {
    let (table, name) = source.key();
    format!("{table}.{name}")
}

fn source_json(plan: &Plan, source: Source) -> Value {
    let family = match source.family() {
        Family::Build => "build",
        Family::Look => "look",
    };
    json!({
        "key": key(source),
        "family": family,
        "items": source.items(&plan.design),
        "components": source.components(),
        "law": law_json(plan.design.law(source)),
    })
}

fn law_json(law: &Law) -> Value {
    match law {
        Law::Each(each) => {
            let each: Vec<Value> = each.iter().map(distribution_json).collect();
            json!({ "kind": "each", "each": each })
        }
        Law::Disc { centre, radius } => {
            json!({ "kind": "disc", "centre": pair(*centre), "radius": radius })
        }
        Law::Ring(radii) => json!({ "kind": "ring", "radii": radii }),
        Law::Aimed(aims) => {
            let aims: Vec<Value> = aims.iter().map(|aim| pair(*aim)).collect();
            json!({ "kind": "aimed", "aims": aims })
        }
        Law::Spun(length) => json!({ "kind": "spun", "length": distribution_json(length) }),
        Law::Rows(rows) => json!({ "kind": "rows", "rows": rows.to_vec() }),
        Law::Light { light, age } => json!({
            "kind": "light",
            "luminance_cd_per_m2": light.luminance_cd_per_m2,
            "area_deg2": light.area_deg2,
            "both_eyes": light.both_eyes,
            "age": distribution_json(age),
        }),
    }
}

fn distribution_json(distribution: &Distribution) -> Value {
    match distribution {
        Distribution::Fixed(value) => json!({ "form": "fixed", "value": value }),
        Distribution::Normal { mean, sd } => json!({ "form": "normal", "mean": mean, "sd": sd }),
        Distribution::Uniform { mean, half_width } => {
            json!({ "form": "uniform", "mean": mean, "half_width": half_width })
        }
        Distribution::Triangular { mean, half_width } => {
            json!({ "form": "triangular", "mean": mean, "half_width": half_width })
        }
        Distribution::Arcsine { mean, half_width } => {
            json!({ "form": "arcsine", "mean": mean, "half_width": half_width })
        }
        Distribution::Lognormal { median, sd_log } => {
            json!({ "form": "lognormal", "median": median, "sd_log": sd_log })
        }
        Distribution::TruncatedNormal {
            mean,
            sd,
            half_width,
        } => json!({
            "form": "truncated normal", "mean": mean, "sd": sd, "half_width": half_width
        }),
        Distribution::Measured(values) => json!({ "form": "measured", "values": values.to_vec() }),
    }
}

/// Values of one family: for each source `[trial][item][component]`.
fn values_json(plan: &Plan, family: Family, trials: &[Vec<f64>]) -> Value {
    let mut all = Map::new();
    for source in Source::ALL {
        if source.family() != family {
            continue;
        }
        let start = plan.layout.start(source);
        let components = source.components();
        let len = source.items(&plan.design) * components;
        let blocks: Vec<Value> = trials
            .iter()
            .map(|values| {
                let items: Vec<&[f64]> = values[start..start + len]
                    .chunks_exact(components)
                    .collect();
                json!(items)
            })
            .collect();
        all.insert(key(source), Value::Array(blocks));
    }
    Value::Object(all)
}

/// What this engine makes of one look at each build: rod ends at `2·rod + end`, then the rods' middles.
fn look_json(plan: &Plan, builds: &[Vec<f64>], looks: &[Vec<f64>]) -> Value {
    let sights: Vec<Option<Sight>> = builds
        .iter()
        .zip(looks)
        .map(|(build, look)| Sight::of(plan, build, look).ok())
        .collect();
    let points = |pick: &dyn Fn(&SightPoint) -> Option<f64>| {
        let of_all = |sight: &Option<Sight>| {
            let none = vec![None; 3 * plan.edges.len()];
            sight.as_ref().map_or(none, |sight| {
                let ends = sight.rods.iter().flat_map(|rod| &rod.ends);
                let middles = sight.rods.iter().filter_map(|rod| rod.middle.as_ref());
                ends.chain(middles).map(pick).collect()
            })
        };
        json!(sights.iter().map(of_all).collect::<Vec<_>>())
    };
    let gaps: Vec<Vec<Option<f64>>> = sights
        .iter()
        .map(|sight| match sight {
            Some(sight) => sight.junctions.iter().map(|one| one.gap_rad).collect(),
            None => vec![None; plan.junctions.len()],
        })
        .collect();
    let verdicts = sights.iter().map(|sight| match sight {
        None => ("not computable", None, None),
        Some(sight) => match sight.outcome {
            LookOutcome::Clipped => (sight.outcome.word(), None, None),
            LookOutcome::Judged(verdict) => {
                let item = match verdict.worst {
                    Item::Rod(rod) => rod,
                    Item::Junction(junction) => plan.edges.len() + junction,
                };
                (sight.outcome.word(), Some(verdict.worst_share), Some(item))
            }
        },
    });
    let (words, judged): (Vec<_>, Vec<_>) = verdicts
        .map(|(word, share, item)| (word, (share, item)))
        .unzip();
    let (shares, items): (Vec<_>, Vec<_>) = judged.into_iter().unzip();
    json!({
        "values": values_json(plan, Family::Look, looks),
        "clear_share": points(&|point| Some(point.clear_share)),
        "fixed_x_rad": points(&|point| Some(point.deviation_rad?.fixed.x)),
        "fixed_y_rad": points(&|point| Some(point.deviation_rad?.fixed.y)),
        "fitted_x_rad": points(&|point| Some(point.deviation_rad?.fitted?.x)),
        "fitted_y_rad": points(&|point| Some(point.deviation_rad?.fitted?.y)),
        "gap_rad": gaps,
        "verdict": words,
        "worst_share": shares,
        "worst_item": items,
    })
}
