//! `report.html`: one file that opens offline, in the order in which an exhibit engineer decides: verdict, figure, what
//! breaks it, how sure this is, assumptions, cautions, how to make it again.

use super::about::About;
use super::cautions::cautions;
use super::document::{PAGE_STYLE, document};
use super::drawing::Drawing;
use super::move_eye::move_eye_section;
use super::nominal::lines;
use super::sight::frame_name;
use super::subjects::{subject, with_subject};
use super::summary::{by_severity, disagreement_sentence, stopped_words};
use super::tables::{gap_rms_arcmin, worse_end, worst_case_arcmin};
use super::verdict::{
    clipped_sentence, eye_sentence, many_are_clipped, reason_sentence, verdict_mark,
    verdict_sentence,
};
use super::words::{
    count_words, figures, level_words, proportion_words, sampling_option, share_words,
};
use crate::decision::{Assessment, Met, Outcome, RunPlan};
use crate::figure::{Finish, Frame, Item, Plan, Source};
use crate::mechanics::{PulledAt, Tightening};
use crate::sampling::SAMPLING_VERSION;
use crate::statistics::{ClusteredShare, QUANTILE_RELATIVE_ERROR, interval_of_clustered_share};
use crate::units::arcmin;
use maud::{Markup, PreEscaped, html};

/// What the page of an assessment holds besides: the style and the scripts of the section in which the eye moves.
const EYE_STYLE: &str = include_str!("move_eye.css");
const EYE_SCRIPTS: [&str; 2] = [include_str!("page_model.js"), include_str!("move_eye.js")];

/// The page; sections of other answers stand after what breaks the figure.
pub fn page_html<'m>(
    assessment: &Assessment,
    about: &About,
    drawings: &[Drawing],
    advice: impl Iterator<Item = (&'m [String], &'m Markup)>,
) -> String {
    let (headlines, sections): (Vec<&[String]>, Vec<&Markup>) = advice.unzip();
    let draw = |name: &str| drawn(drawings, name).map(figure);
    let one_trial = html! {
        tr { th { "One trial again" } td { code { "sightdrift see " (about.shell_file) " --trial N --look K --seed " (assessment.run_plan.seed) (sampling_option(&assessment.run_plan)) } } }
    };
    let title = format!("{}: will it hold?", about.title);
    let move_eye = move_eye_section(assessment);
    let eye_scripts = if move_eye.is_some() {
        &EYE_SCRIPTS[..]
    } else {
        &[]
    };
    document(
        &title,
        &[PAGE_STYLE, EYE_STYLE],
        eye_scripts,
        html! {
            (verdict(assessment, about, &headlines.concat()))
            section {
                h2 { "The figure" }
                (figure_words(assessment))
                (draw("eye-view").unwrap_or_default())
                (draw("cabinet").unwrap_or_default())
                (lines_table(assessment))
            }
            (move_eye.unwrap_or_default())
            section {
                h2 { "What breaks it" }
                p { "Each row below is the same builds run again with one cause taken away: the row farthest from the dashed line is the step that deserves the care. That second run is over the first "
                    (count_words(assessment.removals.as_is.build_yield.of)) " builds only, so its interval is wider than the verdict's." }
                (draw("causes").unwrap_or_default())
                (causes_table(assessment))
                (broke_first(assessment, drawings))
                (draw("drift").unwrap_or_default())
                (draw("gap").unwrap_or_default())
                (items_table(assessment))
                h3 { "Where the eye may be" }
                p { (eye_sentence(assessment)) }
                (draw("holding-zone").unwrap_or_default())
            }
            @for section in sections { (section) }
            (how_sure(assessment, draw("yield")))
            (assumptions(&assessment.plan, about))
            (cautions_section(&assessment.plan))
            (again(&assessment.run_plan, about, one_trial))
        },
    )
}

/// The drawing of this name.
pub(super) fn drawn<'d>(drawings: &'d [Drawing], name: &str) -> Option<&'d Drawing> {
    drawings.iter().find(|drawing| drawing.name == name)
}

/// A drawing with its caption.
pub(super) fn figure(drawing: &Drawing) -> Markup {
    figure_with(drawing, &html! { (drawing.caption) })
}

/// A drawing with this caption.
fn figure_with(drawing: &Drawing, caption: &Markup) -> Markup {
    // the drawing's own text is part of the picture: a reader that does not see it gets the caption
    html! {
        figure {
            div role="img" aria-label=(drawing.title) { (PreEscaped(&drawing.svg)) }
            figcaption { (caption) }
        }
    }
}

fn verdict(assessment: &Assessment, about: &About, advice: &[String]) -> Markup {
    let class = match assessment.met {
        Met::Yes if !many_are_clipped(assessment) => "verdict yes",
        Met::No => "verdict no",
        Met::Yes | Met::Undecided => "verdict undecided",
    };
    html! {
        header {
            p class="kind" { "Viewpoint exhibit: will it hold when made by hand?" }
            h1 { (about.title) }
            @if let Some(note) = &about.note { p class="note" { (note) } }
            div class=(class) {
                p class="mark" { (verdict_mark(assessment)) }
                p { (verdict_sentence(assessment)) }
                @if let Some(clipped) = clipped_sentence(assessment) { p { (clipped) } }
                p { (reason_sentence(assessment)) }
                @for sentence in advice { p { (sentence) } }
            }
        }
    }
}

fn figure_words(assessment: &Assessment) -> Markup {
    let design = &assessment.plan.design;
    let judging = &design.judging;
    html! {
        p {
            (design.rods.len()) " rods on " (design.vertices.len()) " lines between plates at "
            (figures(design.plates[0].z_mm)) " and " (figures(design.plates[1].z_mm))
            " mm from the station point; peephole " (figures(design.peephole.diameter_mm)) " mm, "
            (figures(design.peephole.eye_relief_mm)) " mm before the pupil. The figure is "
            (figures(arcmin(assessment.plan.figure_rad) / 60.0)) " degrees across at its largest extent."
        }
        p {
            "A look holds when every rod's edge drift and every junction's gap is inside its limit"
            @match judging.finish {
                Some(finish) => { ", here at the finish " strong { (finish.name()) } ": " (finish.reason()) }
                None => { ", here set in the scenario." }
            }
            " Drifts are judged in the " strong { (frame_name(judging.frame)) } " frame"
            @match judging.frame {
                Frame::Fitted => { ": a shift, turn or size common to the whole figure is taken away, since an eye has no ruler." }
                Frame::Fixed => { ": against the cabinet's own axes, as a camera on a tripod would measure." }
            }
            " A build passes when at least " (figures(100.0 * judging.hold_share)) " % of its unclipped looks hold."
        }
    }
}

fn lines_table(assessment: &Assessment) -> Markup {
    let pulled = &assessment.plan.design.line.tension_n;
    html! {
        details open {
            summary { "The lines" }
            p { "Tension kept after the threading and mean slackening; the largest sag under it; and the tone of the bare line when it is plucked at that tension, f = √(T/μ)/2L, to tune by." }
            table {
                thead { tr { th { "Line" } th { "pulled, N" } th { "keeps, N" } th { "largest sag, mm" } th { "tone, Hz" } } }
                tbody {
                    @for (line, pulled) in lines(&assessment.plan).iter().zip(pulled) {
                        tr { td { (line.name) } td { (figures(*pulled)) } td { (figures(line.tension_n)) } td { (figures(line.largest_sag_mm)) } td { (line.tone_hz.map_or_else(|| "none".to_owned(), figures)) } }
                    }
                }
            }
        }
    }
}

/// What breaks first as a drawing; the first of all is named in its caption.
fn broke_first(assessment: &Assessment, drawings: &[Drawing]) -> Markup {
    let Some(drawing) = drawn(drawings, "broke-first") else {
        return html! {};
    };
    match assessment.broke_first().first() {
        Some((item, _)) => {
            let caption = with_subject(&drawing.caption, &assessment.plan, *item);
            figure_with(drawing, &caption)
        }
        None => figure(drawing),
    }
}

fn causes_table(assessment: &Assessment) -> Markup {
    let removals = &assessment.removals;
    let median = |outcome: &Outcome| match (outcome.median_worst, outcome.median_worst_interval) {
        (Some(median), Some([low, high])) => {
            format!(
                "{} ({} to {})",
                figures(median),
                figures(low),
                figures(high)
            )
        }
        _ => "none".to_owned(),
    };
    html! {
        details open {
            summary { "Each cause taken away, in numbers" }
            table {
                thead { tr { th { "Without" } th { "builds that pass" } th { "worst fault of the middle look, as a multiple of its limit (interval)" } th { "what would do it" } } }
                tbody {
                    tr { td { em { "as it is" } } td { (proportion_words(&removals.as_is.build_yield, "builds")) } td { (median(&removals.as_is)) } td {} }
                    @for culprit in &removals.culprits {
                        tr {
                            td { (culprit.removal.words()) }
                            td { (proportion_words(&culprit.without.build_yield, "builds")) }
                            td { (median(&culprit.without)) }
                            td { (culprit.removal.remedy()) }
                        }
                    }
                }
            }
        }
    }
}

fn items_table(assessment: &Assessment) -> Markup {
    let judged = assessment.result.tally.held + assessment.result.tally.broken;
    let quantile = |sketch: &crate::statistics::QuantileSketch, u| {
        sketch
            .quantile(u)
            .map_or_else(|| "none".to_owned(), figures)
    };
    let interval = |sketch: &crate::statistics::QuantileSketch| {
        let builds = assessment.result.tally.held_share.builds;
        sketch
            .quantile_interval(0.95, builds, assessment.run_plan.level)
            .map_or_else(String::new, |[low, high]| {
                format!(" ({} to {})", figures(low), figures(high))
            })
    };
    html! {
        details open {
            summary { "Every rod and junction, in numbers" }
            p { "Drift or gap in arcmin over " (count_words(judged)) " judged looks; limit of the visitor of mean acuity; quantiles to "
                (figures(100.0 * QUANTILE_RELATIVE_ERROR)) " %. \"Bounded sources at their ends\" sets every bounded source where it hurts most: a bound for those sources and not a probability; normal and lognormal sources stand at their means in it, so the run can go beyond. \"Mostly from\": the first shares of the first-order variance." }
            table class="items" {
                thead { tr { th { "Rod or junction" } th { "median" } th { "95 % (interval)" } th { "largest" } th { "limit" } th { "looks over it" } th { "bounded sources at their ends" } th { "mostly from" } } }
                tbody {
                    @for (item, sketch, limit, over) in by_severity(assessment) {
                        tr {
                            td { (subject(&assessment.plan, item)) }
                            td { (quantile(sketch, 0.5)) }
                            td { (quantile(sketch, 0.95)) (interval(sketch)) }
                            td { (sketch.highest().map_or_else(|| "none".to_owned(), figures)) }
                            td { (figures(limit)) }
                            td { (count_words(over)) }
                            td { (worst_case_arcmin(assessment, item).map_or_else(|| "none".to_owned(), figures)) }
                            td { (mostly_from(assessment, item)) }
                        }
                    }
                }
            }
        }
    }
}

/// The three sources with the largest shares of an item's first-order variance, and what the weights do to it.
fn mostly_from(assessment: &Assessment, item: Item) -> String {
    let Ok(estimate) = &assessment.first_order else {
        return String::new();
    };
    let (variances, mean_rad) = match item {
        Item::Rod(rod) => {
            let end = &estimate.ends[2 * rod + worse_end(assessment, rod)];
            (&end.variance_by_source, end.mean_rad)
        }
        Item::Junction(junction) => {
            let gap = &estimate.gaps[junction];
            (&gap.variance_by_source, gap.mean_rad)
        }
    };
    let sum: f64 = variances.iter().sum();
    let mut shares: Vec<(f64, Source)> = variances
        .iter()
        .zip(Source::ALL)
        .map(|(variance, source)| (variance / sum, source))
        .filter(|(share, _)| *share > 0.05)
        .collect();
    shares.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut words: Vec<String> = shares
        .iter()
        .take(3)
        .map(|(share, source)| format!("{:.0} % {}", 100.0 * share, source.words()))
        .collect();
    if mean_rad * mean_rad > sum {
        words.insert(
            0,
            format!(
                "a fixed {} arcmin (weight, ties, means)",
                figures(arcmin(mean_rad.abs()))
            ),
        );
    }
    words.join("; ")
}

fn how_sure(assessment: &Assessment, drawing: Option<Markup>) -> Markup {
    let tally = &assessment.result.tally;
    let level = level_words(assessment.run_plan.level);
    let judged = tally.held + tally.broken;
    let shares: [(&str, &ClusteredShare, String); 3] = [
        ("Looks that are clipped", &tally.clipped_share, of(tally.clipped, tally.looks)),
        ("Judged looks that hold", &tally.held_share, of(tally.held, judged)),
        (
            "Chance that a visitor notices the worst fault of a judged look",
            &tally.noticed,
            " (Weibull psychometric function of the fault over what this eye tells or half a rod hides, whatever the finish: at exactly that size 63 of 100 notice it)".to_owned(),
        ),
    ];
    html! {
        section {
            h2 { "How sure this is" }
            p {
                (count_words(tally.builds)) " builds, " (assessment.run_plan.looks) " looks at each; " (stopped_words(assessment)) ". "
                "All intervals are " (level) " % and cover the chance of sampling only: not a wrong model, and not a workshop that differs from the assumptions below."
            }
            (drawing.unwrap_or_default())
            table {
                tbody {
                    tr { th { "Builds that pass" } td { (proportion_words(&assessment.build_yield, "builds")) } }
                    @for (what, moments, counts) in shares {
                        @if let (Some(mean), Some(interval)) = (moments.share(), interval_of_clustered_share(moments, assessment.run_plan.level)) {
                            tr { th { (what) } td { (share_words(mean, interval)) (counts) } }
                        }
                    }
                    tr { th { "Builds that never show the whole figure" } td { (count_words(tally.never_shown)) " of " (count_words(tally.builds)) " (they count as not passing)" } }
                    tr { th { "Builds that could not be computed" } td { (count_words(tally.builds_not_computable)) " of " (count_words(tally.builds)) " (they count as not passing)" } }
                    @for (reason, count) in tally.failures.by_reason() {
                        tr { th { "Not computable" } td { (count_words(count)) " times: " (reason.to_string()) } }
                    }
                }
            }
            @if !tally.failures.first().is_empty() {
                p {
                    "The first " (tally.failures.first().len()) " of " (count_words(tally.failures.total())) ": "
                    @for (nth, failure) in tally.failures.first().iter().enumerate() {
                        @if nth > 0 { ", " }
                        "build " (failure.build)
                        @if let Some(look) = failure.look { " look " (look) }
                    }
                    "."
                }
            }
            h3 { "A second estimate" }
            p { (disagreement_sentence(assessment)) }
            (second_estimate(assessment))
            @if let Some(worst) = &assessment.worst_case {
                @if !worst.left_out.is_empty() {
                    p { "Sources without bounds, which stand at their means where bounded sources are put at their ends: "
                        @for (nth, source) in worst.left_out.iter().enumerate() { @if nth > 0 { ", " } (source.words()) } "." }
                }
            }
        }
    }
}

fn of(count: u64, of: u64) -> String {
    format!("; {} of {}", count_words(count), count_words(of))
}

fn second_estimate(assessment: &Assessment) -> Markup {
    let Ok(estimate) = &assessment.first_order else {
        return html! {};
    };
    let plan = &assessment.plan;
    let value = |value: Option<f64>| value.map_or_else(|| "none".to_owned(), figures);
    html! {
        details open {
            summary { "First-order law of propagation (JCGM 100) beside the run" }
            table {
                thead { tr { th { "Worse end of the rod, or junction" } th { "first order, arcmin" } th { "run, arcmin" } } }
                tbody {
                    @for rod in 0..plan.edges.len() {
                        @let end = worse_end(assessment, rod);
                        @let first = &estimate.ends[2 * rod + end];
                        @let off = &assessment.result.tally.rods[rod].off_rad[end];
                        tr {
                            td { (subject(plan, Item::Rod(rod))) }
                            td { "mean " (figures(arcmin(first.mean_rad))) ", sd " (figures(arcmin(first.sd_rad))) }
                            td { "mean " (value(off.mean().map(arcmin))) ", sd " (value(off.sd().map(arcmin))) }
                        }
                    }
                    @for junction in 0..plan.junctions.len() {
                        tr {
                            td { (subject(plan, Item::Junction(junction))) }
                            td { "rms " (figures(arcmin(estimate.gaps[junction].rms_rad))) }
                            td { "rms " (value(gap_rms_arcmin(assessment, junction))) }
                        }
                    }
                }
            }
        }
    }
}

/// The work itself, as the scenario has it.
fn work_table(plan: &Plan) -> Markup {
    let design = &plan.design;
    let line = &design.line;
    let range = |values: &mut dyn Iterator<Item = f64>| {
        let (low, high) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
            (low.min(value), high.max(value))
        });
        if low == high {
            figures(low)
        } else {
            format!("{} to {}", figures(low), figures(high))
        }
    };
    let threading = line.threading.as_ref().map_or_else(
        || "every line tied by itself".to_owned(),
        |threading| {
            let names: Vec<&str> = threading
                .order
                .iter()
                .map(|line| design.vertices[*line].name.as_str())
                .collect();
            format!(
                "one line through all holes, {}, friction {}, entering at the {}: {}",
                match (threading.tightening, threading.pulled_at) {
                    (Tightening::EachRun, _) => "each run pulled tight",
                    (Tightening::EndsOnly, PulledAt::First) => "pulled at its first end only",
                    (Tightening::EndsOnly, PulledAt::Last) => "pulled at its last end only",
                },
                figures(threading.friction),
                if threading.first_enters_front {
                    "front"
                } else {
                    "rear"
                },
                names.join(", ")
            )
        },
    );
    let plates = design
        .plates
        .map(|plate| figures(plate.hole_mm))
        .join(" (front) and ");
    let rods = || design.rods.iter();
    html! {
        table {
            tbody {
                tr { th { "Line" } td { (line.material.unwrap_or("unnamed material")) ", " (figures(line.diameter_mm)) " mm, " (figures(1e3 * line.mass_kg_per_m)) " g/m, pulled to " (range(&mut line.tension_n.iter().copied())) " N" } }
                tr { th { "Threading" } td { (threading) } }
                tr { th { "Holes" } td { (plates) " mm (rear)" } }
                tr { th { "Rods" } td { (design.rods.len()) ", " (range(&mut rods().map(|rod| rod.diameter_mm))) " mm thick, " (range(&mut rods().map(|rod| 1e3 * rod.mass_kg_per_m))) " g/m, "
                    (range(&mut (0..design.rods.len()).map(|rod| plan.rod_length_mm(rod)))) " mm long, tied at depths of " (range(&mut rods().flat_map(|rod| rod.ends).map(|end| end.depth_mm))) " mm" } }
            }
        }
    }
}

/// The assumptions behind any answer about `plan`.
pub(super) fn assumptions(plan: &Plan, about: &About) -> Markup {
    html! {
        section {
            h2 { "Assumptions" }
            p { "What is left out of the scenario follows from the grade of work, " strong { (about.grade) } ": starting points, not measurements of your workshop." }
            @for warning in &about.warnings { p class="warning" { "Warning: " (warning) } }
            (work_table(plan))
            table class="sources" {
                thead { tr { th { "Source of error" } th { "acts on" } th { "law" } th { "from" } } }
                tbody {
                    @for source in &about.sources {
                        tr { td { (source.name) br; code { (breakable(&source.key)) } } td { (source.items) " " (source.acts_on) } td { (source.law) } td { (source.origin) } }
                    }
                }
            }
            details open {
                summary { "The three finishes" }
                dl { @for finish in Finish::ALL { dt { (finish.name()) } dd { (finish.reason()) } } }
            }
            details open {
                summary { "What the model leaves out" }
                ul {
                    li { "Lines are taut and flexible; sag is M(s)/T with the nominal span and the rods' nominal lengths and depths; a sag over 1/20 of the span is not computed." }
                    li { "Lines are taken as within some 15° of the axis; rods are straight but for their bow; plates are flat; the peephole's plate is thin." }
                    li { "One eye, small angles, a sharp-edged round pupil. Limits come from acuity and cover, not from tests with visitors." }
                    li { "Looks at one build are drawn independently: a visitor's habit that repeats is not in it." }
                }
            }
            p { "Focus at " (figures(plan.design.viewer.focus_mm)) " mm; clipped below a clear share of " (figures(plan.design.peephole.clip_below)) " of the pupil; gravity " (figures(plan.design.gravity.strength_m_per_s2)) " m/s²." }
        }
    }
}

/// A dotted key that may break after its dots and nowhere else.
fn breakable(key: &str) -> Markup {
    html! {
        @for (nth, part) in key.split('.').enumerate() {
            @if nth > 0 { "." wbr; }
            (part)
        }
    }
}

/// The cautions for `plan`.
pub(super) fn cautions_section(plan: &Plan) -> Markup {
    html! {
        section {
            h2 { "Cautions" }
            p { "These are the usual ones and no substitute for the local code, a risk assessment or licensed practice, which decide." }
            dl {
                @for caution in cautions(plan) {
                    dt { (caution.about) }
                    dd { (caution.text) " " small { "[" (caution.source) "]" } }
                }
            }
        }
    }
}

/// How to make the report again; `more` are rows of its table.
pub(super) fn again(run: &RunPlan, about: &About, more: Markup) -> Markup {
    html! {
        section {
            h2 { "How to make this report again" }
            table {
                tbody {
                    tr { th { "Program" } td { (env!("CARGO_PKG_NAME")) " " (env!("CARGO_PKG_VERSION")) ", sampling version " (SAMPLING_VERSION) } }
                    tr { th { "Command" } td { code { (about.command) } " (with --overwrite, or --out FOLDER, where a report already is)" } }
                    tr { th { "Seed" } td { (run.seed) } }
                    tr { th { "Scenario" } td { (about.file) } }
                    tr { th { "SHA-256 of the scenario" } td { code class="hash" { (about.sha256) } } }
                    (more)
                    tr { th { "Random numbers" } td { (run.sampling.words()) } }
                }
            }
            p { "The same scenario, seed and version give the same bytes at any number of threads." }
        }
    }
}
