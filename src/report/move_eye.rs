//! The page's section in which the eye moves: its controls, and the numbers that its script needs.
//!
//! The numbers are the plan's and a few builds' in full digits; the script (`page_model.js`) works out looks from them as the
//! engine does. Without a script the section is not shown.

use super::sight::frame_name;
use super::subjects::subject;
use super::words::figures;
use crate::decision::{Assessment, ExampleBuild, Fault, Rank};
use crate::figure::{Family, Finish, Item, LimitRule, Plan, Source};
use crate::geometry::{Pair, Point};
use crate::trial::Built;
use maud::{Markup, PreEscaped, html};
use serde_json::{Value, json};

/// The id of the element that holds the numbers.
const DATA_ID: &str = "eye-data";

/// The section; `None` where not even the plan can be computed.
pub(super) fn move_eye_section(assessment: &Assessment) -> Option<Markup> {
    let planned = assessment.examples.planned.as_ref()?;
    let data = embedded_json(&data(assessment, planned));
    let plan = &assessment.plan;
    Some(html! {
        noscript { p { "A section in which the eye can be moved needs JavaScript; everything else on this page does without." } }
        section id="move-eye" hidden {
            h2 { "Move the eye" }
            p class="on-screen" {
                "Drag in either of the first two pictures, or use the arrow keys there (with Shift ten times as far). What is drawn is what one eye sees through the peephole, "
                "as the visitor sees it: +x is to the left. Every number is worked out on this page by the engine's own model."
            }
            (choices(assessment))
            div class="eye-stage" {
                figure class="eye-view" {
                    div id="eye-view" class="eye-drawing" role="application" tabindex="0" aria-label="The figure through the peephole. Arrow keys move the eye." aria-describedby="eye-outcome" {}
                    figcaption id="eye-view-words" { "" }
                }
                div class="eye-side" {
                    figure class="eye-pad" {
                        div id="eye-pad" class="eye-drawing" role="application" tabindex="0" aria-label="Pupil and peephole. Arrow keys move the eye." aria-describedby="eye-outcome" {}
                        figcaption id="eye-pad-words" { "" }
                    }
                    div id="eye-outcome" class="eye-outcome" { "" }
                    p id="eye-said" class="unseen" role="status" aria-live="polite" {}
                    (numbers())
                    (sliders(plan))
                }
                figure class="eye-above" {
                    div id="eye-above" class="eye-drawing" role="img" aria-label="The cabinet from above with the eye" {}
                    figcaption { "The cabinet from above, to scale: the eye's dot, the plates, the rods. Thin lines lead from the eye to the worst rod or junction." }
                }
            }
            details {
                summary { "This look, number by number" }
                div class="wide" { (look_table(plan)) }
            }
        }
        script type="application/json" id=(DATA_ID) { (PreEscaped(data)) }
    })
}

/// JSON that can stand within a `script` element whatever names are in it: nothing in it can end the element, begin a
/// comment, or be read as a line's end by a script.
pub(super) fn embedded_json(value: &Value) -> String {
    // every one of these stands within a string there, where an escape means the same
    value
        .to_string()
        .replace('<', "\\u003c")
        .replace('>', "\\u003e")
        .replace('&', "\\u0026")
        .replace('\u{2028}', "\\u2028")
        .replace('\u{2029}', "\\u2029")
}

fn choices(assessment: &Assessment) -> Markup {
    let builds = build_names(assessment);
    let finishes = finish_names(&assessment.plan);
    let radios = |name: &str, words: &[(String, String)]| {
        html! {
            @for (nth, (word, more)) in words.iter().enumerate() {
                label class="choice" {
                    input type="radio" name=(name) value=(nth) checked[nth == 0];
                    span { (word) @if !more.is_empty() { small { (more) } } }
                }
            }
        }
    };
    html! {
        div class="eye-choices" {
            fieldset { legend { "Build" } (radios("eye-build", &builds)) }
            fieldset { legend { "Finish" } (radios("eye-finish", &finishes)) }
        }
    }
}

/// Names of the builds that can be looked at, and what stands below each.
fn build_names(assessment: &Assessment) -> Vec<(String, String)> {
    let examples = &assessment.examples;
    let mut names = vec![("as planned".to_owned(), "no error, no weight".to_owned())];
    names.extend(examples.builds.iter().map(|example| {
        let rank = match example.rank {
            Rank::Best => "best",
            Rank::Middle => "middle",
            Rank::Worst => "worst",
        };
        (
            format!("{rank} of the first {}", examples.of),
            format!("build {}: {}", example.build, margin_words(example)),
        )
    }));
    names
}

fn margin_words(example: &ExampleBuild) -> String {
    match example.performance.fault {
        Fault::NeverShown => "never shows the whole figure".to_owned(),
        Fault::NotComputable(_) => "the look that decides cannot be computed".to_owned(),
        Fault::Item(_) => format!(
            "{}, the look that decides is at {} of its limit",
            if example.performance.passes() {
                "passes"
            } else {
                "fails"
            },
            figures(example.performance.worst)
        ),
    }
}

/// Finishes by name: the scenario's own first.
fn finishes(plan: &Plan) -> Vec<(&'static str, LimitRule, bool)> {
    let judging = &plan.design.judging;
    // limits that a scenario sets by itself have no finish's name
    let own = judging.finish.map_or("the scenario's own", Finish::name);
    let mut all = vec![(own, judging.rule, true)];
    all.extend(
        Finish::ALL
            .into_iter()
            .filter(|finish| judging.finish != Some(*finish))
            .map(|finish| (finish.name(), finish.rule(), false)),
    );
    all
}

fn finish_names(plan: &Plan) -> Vec<(String, String)> {
    finishes(plan)
        .into_iter()
        .map(|(name, _, own)| {
            let more = if own { "as the scenario says" } else { "" };
            (name.to_owned(), more.to_owned())
        })
        .collect()
}

/// The look's numbers; the script fills them in.
fn numbers() -> Markup {
    html! {
        table class="eye-numbers" {
            thead { tr { th { "Worst" } th { "seen, arcmin" } th { "limit" } th { "over limit" } } }
            tbody {
                @for (id, word) in [("drift", "drift"), ("gap", "gap")] {
                    tr {
                        th scope="row" { (word) " " small id={ "eye-" (id) "-where" } {} }
                        td { data id={ "eye-" (id) } {} }
                        td { data id={ "eye-" (id) "-limit" } {} }
                        td { data id={ "eye-" (id) "-over" } {} }
                    }
                }
            }
        }
        p class="eye-clear" { "Least clear share of the pupil: " data id="eye-clear" {} " " small id="eye-clear-where" {} }
    }
}

/// One quantity that can be set: a slider and a field.
struct Setting {
    key: &'static str,
    words: &'static str,
    unit: &'static str,
    least: f64,
    most: f64,
    step: f64,
    /// Larger values lie to the left, as they do for who looks.
    to_the_left: bool,
}

/// How far the eye can be moved by slider or hand, mm: until the overlap is gone, and not much farther.
fn reach_mm(plan: &Plan, pupil_mm: f64) -> f64 {
    (0.65 * (plan.design.peephole.diameter_mm + pupil_mm)).ceil()
}

fn settings(plan: &Plan) -> [Setting; 6] {
    let eye = MeanEye::of(plan);
    let reach = reach_mm(plan, eye.pupil_mm);
    let peephole = &plan.design.peephole;
    let setting = |key, words, unit, least: f64, most: f64, step| Setting {
        key,
        words,
        unit,
        least,
        most,
        step,
        to_the_left: false,
    };
    [
        Setting {
            to_the_left: true,
            ..setting("x_mm", "Eye left x", "mm", -reach, reach, 0.1)
        },
        setting("y_mm", "Eye up y", "mm", -reach, reach, 0.1),
        setting(
            "peephole_mm",
            "Peephole",
            "mm",
            0.5,
            (2.5 * peephole.diameter_mm).ceil(),
            0.1,
        ),
        setting("pupil_mm", "Pupil", "mm", 1.0, 9.0, 0.1),
        setting(
            "z_mm",
            "Eye nearer z",
            "mm",
            -(2.0 * peephole.eye_relief_mm).ceil(),
            (0.9 * peephole.eye_relief_mm).floor(),
            0.5,
        ),
        setting("log_mar", "Acuity", "logMAR", -0.3, 1.0, 0.02),
    ]
}

fn sliders(plan: &Plan) -> Markup {
    html! {
        div class="eye-sliders" {
            @for setting in settings(plan) {
                div class="eye-slider" {
                    span { (setting.words) ", " (setting.unit) }
                    input type="range" data-eye=(setting.key) aria-label={ (setting.words) ", " (setting.unit) ", slider" }
                        dir=[setting.to_the_left.then_some("rtl")] min=(setting.least) max=(setting.most) step=(setting.step);
                    input type="number" data-eye=(setting.key) aria-label={ (setting.words) ", " (setting.unit) } step=(setting.step);
                }
            }
            div class="eye-buttons" {
                label { "Faults drawn " select id="eye-times" {
                    option value="1" { "as they are" }
                    option value="3" { "3 times as large" }
                    option value="10" { "10 times as large" }
                } }
                button type="button" id="eye-back" { "Eye back to the middle" }
            }
        }
    }
}

/// A row for each rod and junction; the script fills in the numbers.
fn look_table(plan: &Plan) -> Markup {
    let items = (0..plan.edges.len())
        .map(Item::Rod)
        .chain((0..plan.junctions.len()).map(Item::Junction));
    html! {
        table class="eye-look" {
            thead { tr { th { "Rod or junction" } th { "fixed, arcmin" } th { "fitted, arcmin" } th { "limit" } th { "over limit" } } }
            tbody {
                @for item in items {
                    tr { th scope="row" { (subject(plan, item)) } @for _ in 0..4 { td { data {} } } }
                }
            }
        }
    }
}

/// The eye whose place, pupil and acuity are the means of their laws.
struct MeanEye {
    place_mm: Point,
    pupil_mm: f64,
    log_mar: f64,
}

impl MeanEye {
    fn of(plan: &Plan) -> Self {
        let values = plan.mean_values(Family::Look);
        let one = |source: Source, component: usize| values[plan.layout.start(source) + component];
        Self {
            place_mm: Point::new(
                one(Source::EyeOffset, 0),
                one(Source::EyeOffset, 1),
                one(Source::EyeRelief, 0),
            ),
            pupil_mm: one(Source::Pupil, 0),
            log_mar: one(Source::Acuity, 0),
        }
    }
}

fn data(assessment: &Assessment, planned: &Built) -> Value {
    let plan = &assessment.plan;
    let design = &plan.design;
    let eye = MeanEye::of(plan);
    let rods: Vec<Value> = design
        .rods
        .iter()
        .enumerate()
        .map(|(rod, of)| {
            json!({
                "name": of.name,
                "ends": of.ends.map(|end| &design.vertices[end.line].name),
                "targets": plan.edges[rod].ends.map(pair),
                "thickness_rad": plan.thickness_rad[rod],
                "diameter_mm": of.diameter_mm,
            })
        })
        .collect();
    let junctions: Vec<Value> = plan
        .junctions
        .iter()
        .enumerate()
        .map(|(index, junction)| {
            json!({
                "name": plan.junction_name(index),
                "ends": junction.ends,
                "thickness_rad": plan.junction_thickness_rad[index],
            })
        })
        .collect();
    let finishes: Vec<Value> = finishes(plan)
        .iter()
        .map(|(name, rule, _)| {
            json!({
                "name": name,
                "acuity_factor": rule.acuity_factor,
                "cover": rule.cover,
                "share_of_figure": rule.share_of_figure,
                "drift_rad": rule.drift_rad,
                "gap_rad": rule.gap_rad,
            })
        })
        .collect();
    let builds: Vec<Value> = std::iter::once((Value::Null, planned))
        .chain(
            assessment
                .examples
                .builds
                .iter()
                .map(|example| (json!(example.build), &example.built)),
        )
        .zip(build_names(assessment))
        .map(|((build, built), (name, _))| {
            json!({
                "name": name,
                "build": build,
                "ends_mm": points(&built.ends_mm),
                "middles_mm": points(&built.middles_mm),
                "peephole_mm": point(&built.peephole_mm),
            })
        })
        .collect();
    json!({
        "frame": frame_name(design.judging.frame),
        "clip_below": design.peephole.clip_below,
        "focus_mm": design.viewer.focus_mm,
        "figure_rad": plan.figure_rad,
        "plates_mm": design.plates.map(|plate| plate.z_mm),
        "directions": design.vertices.iter().map(|vertex| pair(vertex.direction)).collect::<Vec<_>>(),
        "reach_mm": reach_mm(plan, eye.pupil_mm),
        "eye": {
            "x_mm": eye.place_mm.x,
            "y_mm": eye.place_mm.y,
            "z_mm": eye.place_mm.z,
            "pupil_mm": eye.pupil_mm,
            "log_mar": eye.log_mar,
            "peephole_mm": design.peephole.diameter_mm,
        },
        "rods": rods,
        "junctions": junctions,
        "finishes": finishes,
        "builds": builds,
    })
}

fn pair(pair: Pair) -> [f64; 2] {
    [pair.x, pair.y]
}

fn point(point: &Point) -> [f64; 3] {
    [point.x, point.y, point.z]
}

fn points(all: &[Point]) -> Vec<[f64; 3]> {
    all.iter().map(point).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_name_ends_the_element_that_holds_the_numbers() {
        let hostile = "</script><!-- <script>alert(1)</script> ]]> & \u{2028}\u{2029}\" \\ \u{0}";
        let value = json!({ "name": hostile, hostile: [1.5, null] });
        let text = embedded_json(&value);
        for wrong in ['<', '>', '&', '\u{2028}', '\u{2029}', '\u{0}'] {
            assert!(!text.contains(wrong), "{wrong:?} stands in {text}");
        }
        let back: Value = serde_json::from_str(&text).expect("still JSON");
        assert_eq!(back, value);
    }
}
