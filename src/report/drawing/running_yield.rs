//! The yield as the run went on, with its interval, and why the run stopped.

use super::axis::{
    Axis, Spacing, bottom_axis, count, left_axis, many, number, percent, percent_range,
};
use super::sheet::{
    Anchor, BLACK, BLUE, Ink, LABEL, Pattern, STRONG, Sheet, Spot, Type, VERMILLION,
};
use super::text::wrapped;
use super::{Draft, MARGIN, WIDTH, titled};
use crate::decision::{Assessment, Stopped};

const NAME: &str = "yield";
const TITLE: &str = "Yield as the run went on";
/// Left, top, right and bottom of the panel, px.
const PANEL: [f64; 4] = [80.0, 108.0, 790.0, 440.0];
const BAND: Ink = Ink(0xCF, 0xE4, 0xF3);
/// Least room between the labels at the right, px.
const APART: f64 = 30.0;

/// The running estimate at one checkpoint.
struct Stage {
    builds: f64,
    share: f64,
    interval: [f64; 2],
}

/// Draws the run.
pub(super) fn running_yield(assessment: &Assessment) -> Draft {
    let stages: Vec<Stage> = assessment
        .result
        .checkpoints
        .iter()
        .filter_map(|checkpoint| {
            let so_far = checkpoint.yield_so_far;
            Some(Stage {
                builds: so_far.of as f64,
                share: so_far.share()?,
                interval: so_far.interval()?,
            })
        })
        .collect();
    let Some((first, last)) = stages.first().zip(stages.last()) else {
        return Draft::without(NAME, TITLE, "No build was tried, so there is no yield.");
    };
    let target = assessment.plan.design.judging.target_yield;
    let mut sheet = titled(TITLE, PANEL[3] + 52.0);
    let builds = if stages.len() > 1 {
        [first.builds / 1.15, last.builds * 1.15]
    } else {
        [last.builds / 2.0, last.builds * 2.0]
    };
    let across = Axis {
        values: builds,
        places: [PANEL[0], PANEL[2]],
        spacing: Spacing::Logarithmic,
    };
    let shares = shown_shares(&stages, target);
    let up = Axis::even(shares, [PANEL[3], PANEL[1]]);
    bottom_axis(
        &mut sheet,
        &across,
        [PANEL[1], PANEL[3]],
        6,
        "builds so far, logarithmic scale",
        |tick, _| {
            // there are no parts of builds
            if tick.fract() == 0.0 {
                number(tick, 1.0)
            } else {
                String::new()
            }
        },
    );
    let title = if shares[0] > 0.0 {
        "yield (share of builds that pass), %; the axis does not start at 0"
    } else {
        "yield (share of builds that pass), %"
    };
    left_axis(
        &mut sheet,
        &up,
        [PANEL[0], PANEL[2]],
        6,
        title,
        |tick, step| number(100.0 * tick, 100.0 * step),
    );
    draw_band(&mut sheet, &stages, &across, &up);
    let y = up.at(target);
    sheet.stroke(
        &[[PANEL[0], y], [PANEL[2], y]],
        VERMILLION,
        1.8,
        Pattern::Dashed,
    );
    draw_line(&mut sheet, &stages, &across, &up);
    let estimate = format!("{} ({})", percent(last.share), percent_range(last.interval));
    write_ends(&mut sheet, assessment, [up.at(last.share), y], &estimate);
    let why = why_stopped(assessment);
    sheet.text_in(
        [MARGIN, 54.0],
        &why,
        LABEL,
        Anchor::Start,
        WIDTH - 2.0 * MARGIN,
    );
    let level = number(100.0 * assessment.run_plan.level, 1.0);
    let caption = format!(
        "Share of builds that pass so far (points) with its {level}\u{A0}% interval (band; {}). Final estimate {estimate}: {} of {}; \
         target {}. {why} The interval covers the chance of sampling only, not a wrong model.",
        method_words(assessment),
        count(assessment.build_yield.count),
        many(assessment.build_yield.of, "build"),
        percent(target),
    );
    Draft {
        name: NAME,
        title: TITLE.to_owned(),
        caption,
        sheet,
    }
}

fn method_words(assessment: &Assessment) -> &'static str {
    if assessment.build_yield.scatter.is_some() {
        return "Student's (sixteen independent repetitions)";
    }
    match assessment.run_plan.method {
        crate::statistics::IntervalMethod::Wilson => "Wilson",
        crate::statistics::IntervalMethod::ClopperPearson => "Clopper\u{2013}Pearson",
    }
}

/// All intervals and the target with some room, within 0 and 1.
fn shown_shares(stages: &[Stage], target: f64) -> [f64; 2] {
    let [low, high] = stages.iter().fold([target, target], |[low, high], stage| {
        [low.min(stage.interval[0]), high.max(stage.interval[1])]
    });
    let room = (0.12 * (high - low)).max(0.005);
    [(low - room).max(0.0), (high + room).min(1.0)]
}

fn draw_band(sheet: &mut Sheet, stages: &[Stage], across: &Axis, up: &Axis) {
    let end = |stage: &Stage, which: usize| -> Spot {
        [across.at(stage.builds), up.at(stage.interval[which])]
    };
    for pair in stages.windows(2) {
        let [a, b] = [&pair[0], &pair[1]];
        sheet.fill(&[end(a, 0), end(a, 1), end(b, 1), end(b, 0)], BAND);
    }
    for which in [0, 1] {
        let border: Vec<Spot> = stages.iter().map(|stage| end(stage, which)).collect();
        sheet.stroke(&border, BLUE, 1.0, Pattern::Dotted);
    }
    if let [only] = stages {
        sheet.line(end(only, 0), end(only, 1), BLUE, 2.0);
        for which in [0, 1] {
            let [x, y] = end(only, which);
            sheet.line([x - 6.0, y], [x + 6.0, y], BLUE, 2.0);
        }
    }
}

fn draw_line(sheet: &mut Sheet, stages: &[Stage], across: &Axis, up: &Axis) {
    let points: Vec<Spot> = stages
        .iter()
        .map(|stage| [across.at(stage.builds), up.at(stage.share)])
        .collect();
    sheet.stroke(&points, BLUE, 2.0, Pattern::Solid);
    // markers that would run together are left out, the last always stands
    let mut free_from = f64::NEG_INFINITY;
    for (nth, point) in points.iter().enumerate() {
        if point[0] > free_from || nth + 1 == points.len() {
            sheet.disc(*point, 3.6, BLUE);
            free_from = point[0] + 12.0;
        }
    }
}

/// Labels of the estimate and the target, right of their lines and clear of each other.
fn write_ends(
    sheet: &mut Sheet,
    assessment: &Assessment,
    [estimate_y, target_y]: [f64; 2],
    estimate: &str,
) {
    let x = PANEL[2] + 14.0;
    let room = WIDTH - MARGIN - x;
    let target = assessment.plan.design.judging.target_yield;
    let counts = format!(
        "{} of {}",
        count(assessment.build_yield.count),
        many(assessment.build_yield.of, "build")
    );
    let mut lines = wrapped(estimate, STRONG, room);
    lines.extend(wrapped(&counts, STRONG, room));
    let tall = 17.0 * (lines.len() as f64 - 1.0);
    let middle = estimate_y.clamp(PANEL[1] + tall / 2.0, PANEL[3] - tall / 2.0);
    let ink = |ink| Type { ink, ..STRONG };
    for (nth, line) in lines.iter().enumerate() {
        let y = middle - tall / 2.0 + 17.0 * nth as f64;
        sheet.text([x, y], line, ink(BLUE), Anchor::Start);
    }
    let least = tall / 2.0 + APART;
    let target_label = if (target_y - middle).abs() >= least {
        target_y
    } else if target_y >= middle {
        middle + least
    } else {
        middle - least
    };
    sheet.stroke(
        &[[PANEL[2], target_y], [x - 3.0, target_label]],
        VERMILLION,
        1.0,
        Pattern::Solid,
    );
    sheet.stroke(
        &[[PANEL[2], estimate_y], [x - 3.0, middle]],
        BLUE,
        1.0,
        Pattern::Solid,
    );
    let text = format!("target {}", percent(target));
    sheet.text([x, target_label], &text, ink(BLACK), Anchor::Start);
}

fn why_stopped(assessment: &Assessment) -> String {
    let half = assessment.build_yield.half_width().map_or_else(
        || "no interval".to_owned(),
        |half| format!("\u{B1}\u{A0}{}\u{A0}%", number(100.0 * half, 0.01)),
    );
    match (assessment.result.stopped, assessment.run_plan.half_width) {
        (Stopped::NarrowEnough, Some(wanted)) => format!(
            "The run stopped because the interval is narrow enough: {half}, asked for \u{B1}\u{A0}{}\u{A0}%.",
            number(100.0 * wanted, 0.01)
        ),
        (Stopped::AtCap, Some(wanted)) => format!(
            "The run stopped at its cap of {} with an interval of {half}; asked for \u{B1}\u{A0}{}\u{A0}%.",
            many(assessment.run_plan.builds, "build"),
            number(100.0 * wanted, 0.01)
        ),
        _ => format!(
            "The run stopped after its {}, with an interval of {half}.",
            many(assessment.result.tally.builds, "build")
        ),
    }
}
