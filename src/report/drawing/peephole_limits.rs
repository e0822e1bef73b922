//! What else binds the peephole, over the same axis as the shares: blur, light, head movement.

use super::axis::{Axis, Spacing, brief, left_axis, many, number};
use super::peephole::{
    ACROSS, Curve, ROW, diameter_axis, diameters, draw_bands, draw_curve, draw_marks, marked,
    shade, write_names,
};
use super::sheet::{
    Anchor, Area, BLACK, BLUE, FAINT, GREEN, GREY, LABEL, NOTE, ORANGE, PALE, PURPLE, Pattern,
    Sheet, VERMILLION, WHITE,
};
use super::text::text_width;
use super::{Draft, MARGIN, WIDTH, titled};
use crate::decision::PeepholeAnswer;
use crate::decision::peephole::{DepthHidden, PeepholePoint};
use crate::units::arcmin;

/// Draws what else binds.
pub(super) fn limits(answer: &PeepholeAnswer) -> Draft {
    const TITLE: &str = "Peephole: what else binds, over the same diameters";
    let marks = marked(answer);
    let heights = [150.0, 130.0, 150.0];
    let mut top = 108.0 + ROW * marks.len() as f64;
    let panels = heights.map(|height| {
        let panel = Area::new(ACROSS[0], top, ACROSS[1], top + height);
        top = panel.bottom + 46.0;
        panel
    });
    let mut sheet = titled(TITLE, panels[2].bottom + 54.0);
    let note = "for an eye of mean pupil at the station point: limits of a model, but for the builds that hold";
    sheet.text_in(
        [MARGIN, 52.0],
        note,
        NOTE,
        Anchor::Start,
        WIDTH - 2.0 * MARGIN,
    );
    let across = diameters(answer);
    for panel in &panels {
        shade(&mut sheet, answer, &across, panel);
    }
    diameter_axis(&mut sheet, &across, &panels[2]);
    blur_panel(&mut sheet, answer, &across, &panels[0]);
    light_panel(&mut sheet, answer, &across, &panels[1]);
    movement_panel(&mut sheet, answer, &across, &panels[2]);
    draw_marks(&mut sheet, &marks, &across, &panels, false);
    if answer.light.is_none() {
        let words = "light on the retina: the scenario gives no luminance (eye.luminance)";
        let at = panels[1].centre();
        let half = text_width(words, LABEL) / 2.0 + 6.0;
        sheet.rect(
            &Area::new(at[0] - half, at[1] - 12.0, at[0] + half, at[1] + 12.0),
            WHITE,
        );
        sheet.text(at, words, LABEL, Anchor::Middle);
    }
    Draft {
        name: "peephole-limits",
        title: TITLE.to_owned(),
        caption: limits_caption(answer),
        sheet,
    }
}

fn blur_panel(sheet: &mut Sheet, answer: &PeepholeAnswer, across: &Axis, panel: &Area) {
    let curve = |name: &str, ink, dash, blur: fn(&PeepholePoint) -> f64| Curve {
        name: name.to_owned(),
        ink,
        dash,
        points: answer
            .points
            .iter()
            .map(|point| (point.diameter_mm, arcmin(blur(point)), None))
            .collect(),
    };
    let curves = [
        curve("blur, nearest rod end", VERMILLION, Pattern::Dashed, |p| {
            p.blurs.nearest_rad
        }),
        curve("blur, farthest", BLUE, Pattern::DashDot, |p| {
            p.blurs.farthest_rad
        }),
        curve("blur, best in focus", GREEN, Pattern::Solid, |p| {
            p.blurs.best_rad
        }),
        curve("diffraction alone", GREY, Pattern::Dotted, |p| {
            p.blurs.diffraction_rad
        }),
    ];
    let allowed = arcmin(answer.diffraction.allowed_rad);
    let limit = (format!("diffraction: most {}", brief(allowed)), allowed);
    let up = logarithmic(&curves, &[limit.1], panel);
    small_axis(sheet, across, &up, panel, "blur, arcmin, logarithmic scale");
    draw_all(sheet, &curves, Some(limit), across, &up, panel);
}

fn light_panel(sheet: &mut Sheet, answer: &PeepholeAnswer, across: &Axis, panel: &Area) {
    let Some(light) = &answer.light else {
        sheet.outline(panel, PALE, 1.0);
        return;
    };
    let points = answer.points.iter();
    let curves = [Curve {
        name: "light on the retina".to_owned(),
        ink: PURPLE,
        dash: Pattern::Solid,
        points: points
            .filter_map(|point| Some((point.diameter_mm, point.trolands?, None)))
            .collect(),
    }];
    let least = light.normal.illuminance_td;
    let limit = (format!("normal acuity: least {}", brief(least)), least);
    let up = logarithmic(&curves, &[limit.1], panel);
    small_axis(
        sheet,
        across,
        &up,
        panel,
        "light, trolands, logarithmic scale",
    );
    draw_all(sheet, &curves, Some(limit), across, &up, panel);
}

fn movement_panel(sheet: &mut Sheet, answer: &PeepholeAnswer, across: &Axis, panel: &Area) {
    let shown = answer.points.iter().map(|point| {
        (
            point.diameter_mm,
            point.movement.shown_mm.unwrap_or(0.0),
            None,
        )
    });
    let holds = answer.points.iter().map(|point| {
        let radius = &point.movement.holds;
        (
            point.diameter_mm,
            radius.at_mm.unwrap_or(0.0),
            Some(radius.interval_mm.map(|end| end.unwrap_or(0.0))),
        )
    });
    let curves = [
        Curve {
            name: "shown, no error".to_owned(),
            ink: BLUE,
            dash: Pattern::Dashed,
            points: shown.collect(),
        },
        Curve {
            name: "shown and held".to_owned(),
            ink: BLACK,
            dash: Pattern::Solid,
            points: holds.collect(),
        },
    ];
    let highest = values(&curves).fold(0.1, f64::max);
    let up = Axis::even([0.0, 1.08 * highest], [panel.bottom, panel.top]);
    small_axis(
        sheet,
        across,
        &up,
        panel,
        "free head movement, mm to every side",
    );
    let wandering_mm = answer.wandering_mm;
    let wandering = (wandering_mm <= up.values[1]).then(|| {
        (
            format!("95 of 100 looks: {}", brief(wandering_mm)),
            wandering_mm,
        )
    });
    draw_all(sheet, &curves, wandering, across, &up, panel);
}

/// Every value of some curves, ends of intervals among them.
fn values(curves: &[Curve]) -> impl Iterator<Item = f64> + '_ {
    curves
        .iter()
        .flat_map(|curve| &curve.points)
        .flat_map(|(_, value, interval)| {
            let [low, high] = interval.unwrap_or([*value; 2]);
            [*value, low, high]
        })
        .filter(|value| value.is_finite())
}

/// An upright logarithmic axis over all values and `more`.
fn logarithmic(curves: &[Curve], more: &[f64], panel: &Area) -> Axis {
    let all = || values(curves).chain(more.iter().copied());
    let low = all()
        .filter(|value| *value > 0.0)
        .fold(f64::INFINITY, f64::min);
    let high = all().fold(0.0, f64::max);
    let values = if low < high {
        [low / 1.3, high * 1.3]
    } else {
        [0.5, 2.0]
    };
    Axis {
        values,
        places: [panel.bottom, panel.top],
        spacing: Spacing::Logarithmic,
    }
}

fn small_axis(sheet: &mut Sheet, across: &Axis, up: &Axis, panel: &Area, title: &str) {
    for tick in across.ticks(6) {
        let x = across.at(tick);
        sheet.line([x, panel.top], [x, panel.bottom], FAINT, 1.0);
    }
    sheet.line(
        [panel.left, panel.bottom],
        [panel.right, panel.bottom],
        BLACK,
        1.0,
    );
    left_axis(sheet, up, ACROSS, 4, title, |tick, step| match up.spacing {
        Spacing::Even => number(tick, step),
        Spacing::Logarithmic => number(tick, tick),
    });
}

fn draw_all(
    sheet: &mut Sheet,
    curves: &[Curve],
    limit: Option<(String, f64)>,
    across: &Axis,
    up: &Axis,
    panel: &Area,
) {
    draw_bands(sheet, curves, across, up);
    for curve in curves {
        draw_curve(sheet, curve, across, up, panel);
    }
    let limit = limit.map(|(name, value)| Curve {
        name,
        ink: ORANGE,
        dash: Pattern::Solid,
        points: across
            .values
            .map(|diameter_mm| (diameter_mm, value, None))
            .to_vec(),
    });
    if let Some(limit) = &limit {
        let y = up.at(limit.points[0].1);
        sheet.stroke(
            &[[panel.left, y], [panel.right, y]],
            ORANGE,
            1.8,
            Pattern::Solid,
        );
    }
    let named: Vec<&Curve> = curves.iter().chain(&limit).collect();
    write_names(sheet, &named, up, panel);
}

fn limits_caption(answer: &PeepholeAnswer) -> String {
    let hidden = match answer.depth_hidden {
        DepthHidden::AtEvery => "at no diameter does blur give a rod's depth away".to_owned(),
        DepthHidden::UpTo(mm) => format!(
            "up to {} mm blur gives no rod's depth away (blurs differ by less than the finest detail, {} arcmin)",
            brief(mm),
            brief(arcmin(answer.detail_rad))
        ),
        DepthHidden::AtNone => "at every diameter blur gives depths away".to_owned(),
    };
    let builds = answer
        .points
        .first()
        .map_or(0, |point| point.movement.builds);
    format!(
        "Top: blur of three rod ends by defocus and diffraction, and diffraction alone; {hidden}. Middle: light on the retina \
         against the least for normal acuity. Bottom: how far the eye may stand beside the station point, to every side, while \
         the figure is shown without any error (dashed), and while enough of {} show it and hold (solid, with its {}\u{A0}% interval).",
        many(builds, "build"),
        number(100.0 * answer.run.level, 1.0)
    )
}
