//! Shares of looks and builds over the peephole's diameter, and what else binds over the same axis.

use super::axis::{Axis, Spacing, bottom_axis, brief, left_axis, many, number, percent};
use super::sheet::{
    Anchor, Area, BLACK, BLUE, FAINT, GREEN, GREY, Ink, LABEL, NOTE, ORANGE, PALE, PURPLE, Pattern,
    STRONG, Sheet, Spot, Type, VERMILLION,
};
use super::text::text_width;
use super::{Draft, MARGIN, WIDTH, titled};
use crate::decision::PeepholeAnswer;
use crate::decision::peephole::{DepthHidden, PeepholePoint};
use crate::statistics::{ClusteredShare, interval_of_clustered_share};
use crate::units::arcmin;

/// Left and right edge of every panel, px.
const ACROSS: [f64; 2] = [80.0, 800.0];
/// Least room between two labels at the right, px.
const APART: f64 = 18.0;
/// Height of a row of the marks above a panel, px.
const ROW: f64 = 18.0;

/// One curve over diameter.
struct Curve {
    name: String,
    ink: Ink,
    dash: Pattern,
    /// Diameter, value, and the value's interval where it has one.
    points: Vec<(f64, f64, Option<[f64; 2]>)>,
}

/// A diameter worth a mark.
struct Marked {
    words: String,
    diameter_mm: f64,
    ink: Ink,
    dash: Pattern,
}

/// Draws the shares.
pub(super) fn shares(answer: &PeepholeAnswer) -> Draft {
    const TITLE: &str =
        "Peephole: what each diameter gives, the same builds and looks at every one";
    let level = answer.run.level;
    let marks = marked(answer);
    let top = 92.0 + ROW * marks.len() as f64;
    let panel = Area::new(ACROSS[0], top, ACROSS[1], top + 330.0);
    let mut sheet = titled(TITLE, panel.bottom + 54.0);
    let across = diameters(answer);
    let up = Axis::even([0.0, 1.0], [panel.bottom, panel.top]);
    let note = format!(
        "{} × {} looks at each diameter; band: {}\u{A0}% interval; hatched: outside of the range that meets all targets",
        many(answer.run.builds, "build"),
        answer.run.looks,
        number(100.0 * level, 1.0)
    );
    sheet.text_in(
        [MARGIN, 52.0],
        &note,
        NOTE,
        Anchor::Start,
        WIDTH - 2.0 * MARGIN,
    );
    shade(&mut sheet, answer, &across, &panel);
    diameter_axis(&mut sheet, &across, &panel);
    left_axis(&mut sheet, &up, ACROSS, 5, "share, %", |tick, _| {
        number(100.0 * tick, 1.0)
    });
    let curves = share_curves(answer);
    for curve in &curves {
        draw_curve(&mut sheet, curve, &across, &up, &panel);
    }
    write_names(&mut sheet, &curves, &up, &panel);
    for (target, words) in targets(answer) {
        let y = up.at(target);
        sheet.stroke(
            &[[panel.left, y], [panel.right, y]],
            GREY,
            1.0,
            Pattern::Dotted,
        );
        let at = [panel.left + 6.0, y + 9.0];
        sheet.text(at, &words, NOTE, Anchor::Start);
    }
    draw_marks(&mut sheet, &marks, &across, &[panel], true);
    Draft {
        name: "peephole",
        title: TITLE.to_owned(),
        caption: shares_caption(answer, &marks),
        sheet,
    }
}

fn targets(answer: &PeepholeAnswer) -> Vec<(f64, String)> {
    let [builds, clear] = [answer.targets.build_yield, answer.targets.clear];
    if builds == clear {
        return vec![(
            builds,
            format!(
                "targets: builds that pass and clear looks {}",
                percent(builds)
            ),
        )];
    }
    vec![
        (
            builds,
            format!("target: builds that pass {}", percent(builds)),
        ),
        (clear, format!("target: clear looks {}", percent(clear))),
    ]
}

fn share_curves(answer: &PeepholeAnswer) -> Vec<Curve> {
    let level = answer.run.level;
    let looks = |name: &str, ink, dash, share: fn(&PeepholePoint) -> &ClusteredShare| Curve {
        name: name.to_owned(),
        ink,
        dash,
        points: answer
            .points
            .iter()
            .filter_map(|point| {
                let one = share(point);
                Some((
                    point.diameter_mm,
                    one.share()?,
                    interval_of_clustered_share(one, level),
                ))
            })
            .collect(),
    };
    vec![
        looks(
            "looks that show the figure",
            BLUE,
            Pattern::Dashed,
            |point| &point.counted.clear,
        ),
        looks(
            "of those, looks that hold",
            GREEN,
            Pattern::DashDot,
            |point| &point.counted.held,
        ),
        looks("looks that do both", BLACK, Pattern::Solid, |point| {
            &point.counted.both
        }),
        Curve {
            name: "builds that pass".to_owned(),
            ink: VERMILLION,
            dash: Pattern::Dotted,
            points: answer
                .points
                .iter()
                .filter_map(|point| {
                    let one = &point.counted.build_yield;
                    Some((point.diameter_mm, one.share()?, one.interval()))
                })
                .collect(),
        },
    ]
}

/// Draws what else binds.
pub(super) fn limits(answer: &PeepholeAnswer) -> Draft {
    const TITLE: &str = "Peephole: what else binds, over the same diameters";
    let marks = marked(answer);
    let heights = [150.0, 130.0, 150.0];
    let mut top = 100.0 + ROW * marks.len() as f64;
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
    let limit = (
        "coarsest diffraction allowed",
        arcmin(answer.diffraction.allowed_rad),
    );
    let up = logarithmic(&curves, &[limit.1], panel);
    small_axis(sheet, across, &up, panel, "blur, arcmin, logarithmic scale");
    draw_all(sheet, &curves, Some(limit), across, &up, panel);
}

fn light_panel(sheet: &mut Sheet, answer: &PeepholeAnswer, across: &Axis, panel: &Area) {
    let Some(light) = &answer.light else {
        sheet.outline(panel, PALE, 1.0);
        sheet.text(
            panel.centre(),
            "light on the retina: the scenario gives no luminance (eye.luminance)",
            LABEL,
            Anchor::Middle,
        );
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
    let limit = ("least for normal acuity", light.normal.illuminance_td);
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
            name: "figure shown (no error)".to_owned(),
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
    let wandering = ("95 of 100 looks are nearer", answer.wandering_mm);
    let wandering = (answer.wandering_mm <= up.values[1]).then_some(wandering);
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
    limit: Option<(&str, f64)>,
    across: &Axis,
    up: &Axis,
    panel: &Area,
) {
    for curve in curves {
        draw_curve(sheet, curve, across, up, panel);
    }
    if let Some((words, value)) = limit {
        let y = up.at(value);
        sheet.stroke(
            &[[panel.left, y], [panel.right, y]],
            ORANGE,
            1.8,
            Pattern::Solid,
        );
        let text = format!("{words}: {}", brief(value));
        let style = Type { ink: BLACK, ..NOTE };
        let wide = text_width(&text, style);
        // above the line, or below where it runs along the top
        let above = if y - panel.top > 20.0 { -9.0 } else { 10.0 };
        let back = Area::new(
            panel.right - wide - 6.0,
            y + above - 8.0,
            panel.right - 2.0,
            y + above + 8.0,
        );
        sheet.rect(&back, super::sheet::WHITE);
        sheet.text([panel.right - 6.0, y + above], &text, style, Anchor::End);
    }
    write_names(sheet, curves, up, panel);
}

fn diameters(answer: &PeepholeAnswer) -> Axis {
    let first = answer.points.first().map_or(1.0, |point| point.diameter_mm);
    let last = answer.points.last().map_or(2.0, |point| point.diameter_mm);
    Axis {
        values: [first, last],
        places: ACROSS,
        spacing: Spacing::Logarithmic,
    }
}

fn diameter_axis(sheet: &mut Sheet, across: &Axis, panel: &Area) {
    bottom_axis(
        sheet,
        across,
        [panel.top, panel.bottom],
        6,
        "diameter of the peephole, mm, logarithmic scale",
        |tick, step| number(tick, step),
    );
}

/// Hatches what lies outside of the range.
fn shade(sheet: &mut Sheet, answer: &PeepholeAnswer, across: &Axis, panel: &Area) {
    let outside = match &answer.range {
        Ok(range) => {
            let [low, high] = [range.smallest.at_mm, range.upper_mm()].map(|mm| across.at_most(mm));
            vec![
                Area::new(panel.left, panel.top, low, panel.bottom),
                Area::new(high, panel.top, panel.right, panel.bottom),
            ]
        }
        Err(_) => vec![*panel],
    };
    for area in outside.iter().filter(|area| area.width() > 1.0) {
        sheet.rect(area, Ink(0xF7, 0xF7, 0xF7));
        sheet.hatch(area, 14.0, PALE, true);
    }
}

fn draw_curve(sheet: &mut Sheet, curve: &Curve, across: &Axis, up: &Axis, panel: &Area) {
    let band: Vec<(Spot, Spot)> = curve
        .points
        .iter()
        .filter_map(|(mm, _, interval)| {
            let [low, high] = (*interval)?;
            let x = across.at(*mm);
            Some(([x, up.at_most(low)], [x, up.at_most(high)]))
        })
        .collect();
    for pair in band.windows(2) {
        let [(a, b), (c, d)] = [pair[0], pair[1]];
        if (a[1] - b[1]).abs().max((c[1] - d[1]).abs()) > 1.0 {
            sheet.fill(&[a, b, d, c], PALE);
        }
    }
    let spots: Vec<Spot> = curve
        .points
        .iter()
        .map(|(mm, value, _)| [across.at(*mm), up.at(*value)])
        .collect();
    sheet.stroke_within(panel, &spots, curve.ink, 2.2, curve.dash);
    for spot in spots.iter().filter(|spot| spot[1] >= panel.top - 1.0) {
        sheet.disc(*spot, 2.4, curve.ink);
    }
}

/// Names at the right of the curves, clear of each other.
fn write_names(sheet: &mut Sheet, curves: &[Curve], up: &Axis, panel: &Area) {
    let mut ends: Vec<(f64, &Curve)> = curves
        .iter()
        .filter_map(|curve| Some((up.at_most(curve.points.last()?.1), curve)))
        .collect();
    ends.sort_by(|a, b| a.0.total_cmp(&b.0));
    // pushed down from the top, then up from the bottom
    let mut places: Vec<f64> = Vec::new();
    for (y, _) in &ends {
        let least = places.last().map_or(panel.top - 6.0, |last| last + APART);
        places.push(y.max(least));
    }
    let mut most = panel.bottom + 6.0;
    for place in places.iter_mut().rev() {
        *place = place.min(most);
        most = *place - APART;
    }
    let x = panel.right + 16.0;
    for ((y, curve), place) in ends.iter().zip(places) {
        let line = [[panel.right + 1.0, *y], [x - 3.0, place]];
        sheet.stroke(&line, curve.ink, 1.0, Pattern::Solid);
        let style = Type {
            ink: curve.ink,
            ..STRONG
        };
        let key = [[x, place], [x + 30.0, place]];
        sheet.stroke(&key, curve.ink, 2.2, curve.dash);
        let room = WIDTH - MARGIN - x - 36.0;
        let style = Type {
            ink: BLACK,
            ..style
        };
        sheet.text_in([x + 36.0, place], &curve.name, style, Anchor::Start, room);
    }
}

/// The ends, the scenario's own diameter and the recommended one, the narrowest first.
fn marked(answer: &PeepholeAnswer) -> Vec<Marked> {
    let mut marks = vec![Marked {
        words: format!("as it is: {} mm", brief(answer.own_mm)),
        diameter_mm: answer.own_mm,
        ink: GREY,
        dash: Pattern::Dashed,
    }];
    if let Ok(range) = &answer.range {
        let mut end = |name: &str, at_mm: f64, interval: [Option<f64>; 2]| {
            let words = match interval {
                [Some(low), Some(high)] => {
                    format!(
                        "{name}: {} mm ({} to {})",
                        brief(at_mm),
                        brief(low),
                        brief(high)
                    )
                }
                _ => format!("{name}: {} mm", brief(at_mm)),
            };
            marks.push(Marked {
                words,
                diameter_mm: at_mm,
                ink: BLACK,
                dash: Pattern::Solid,
            });
        };
        end("smallest", range.smallest.at_mm, range.smallest.interval_mm);
        if let Some(largest) = &range.largest {
            end("largest", largest.at_mm, largest.interval_mm);
        }
    }
    if let Some(found) = &answer.recommended {
        marks.push(Marked {
            words: format!("take: {}", found.chosen.tool.words()),
            diameter_mm: found.chosen.tool.diameter_mm,
            ink: PURPLE,
            dash: Pattern::DashDot,
        });
    }
    marks.sort_by(|a, b| a.diameter_mm.total_cmp(&b.diameter_mm));
    marks
}

/// Each mark on a row of its own above the first panel, and a line down through all of them.
fn draw_marks(sheet: &mut Sheet, marks: &[Marked], across: &Axis, panels: &[Area], with_tip: bool) {
    let Some((first, last)) = panels.first().zip(panels.last()) else {
        return;
    };
    let title_room = 36.0;
    let begin = first.top - title_room - ROW * marks.len() as f64 + ROW / 2.0;
    for (nth, mark) in marks.iter().enumerate() {
        let x = across.at_most(mark.diameter_mm);
        let y = begin + ROW * nth as f64;
        sheet.stroke(&[[x, y], [x, last.bottom]], mark.ink, 1.6, mark.dash);
        if with_tip {
            sheet.disc([x, first.bottom], 3.4, mark.ink);
        }
        let wide = text_width(&mark.words, STRONG);
        let to_left = x + 8.0 + wide > WIDTH - MARGIN;
        let (at, anchor) = if to_left {
            ([x - 7.0, y], Anchor::End)
        } else {
            ([x + 7.0, y], Anchor::Start)
        };
        sheet.text(at, &mark.words, STRONG, anchor);
    }
}

fn shares_caption(answer: &PeepholeAnswer, marks: &[Marked]) -> String {
    let marks: Vec<&str> = marks.iter().map(|mark| mark.words.as_str()).collect();
    format!(
        "Over the diameter of the peephole: looks that show the whole figure, looks of those that hold, looks that do both, and \
         builds that pass; {} × {} looks at each of {} diameters, the same at every one. Dotted: the targets. Marked: {}. \
         Hatched: diameters that miss a target or a model's limit.",
        many(answer.run.builds, "build"),
        answer.run.looks,
        answer.points.len(),
        marks.join("; ")
    )
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
