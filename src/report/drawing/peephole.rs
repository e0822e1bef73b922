//! Shares of looks and builds over the peephole's diameter.

use super::axis::{Axis, Spacing, bottom_axis, brief, left_axis, many, number, percent};
use super::sheet::{
    Anchor, Area, BLACK, BLUE, GREEN, GREY, Ink, NOTE, PALE, PURPLE, Pattern, STRONG, Sheet, Spot,
    Type, VERMILLION,
};
use super::text::text_width;
use super::{Draft, MARGIN, WIDTH, titled};
use crate::decision::PeepholeAnswer;
use crate::decision::peephole::{NoWindow, PeepholePoint};
use crate::statistics::{ClusteredShare, interval_of_clustered_share};

/// Left and right edge of every panel, px.
pub(super) const ACROSS: [f64; 2] = [80.0, 775.0];
/// Least room between two labels at the right, px.
const APART: f64 = 18.0;
/// Height of a row of the marks above a panel, px.
pub(super) const ROW: f64 = 18.0;

/// Shares whose interval is wider than this are not drawn.
const WIDEST_TOLD: f64 = 0.4;

/// One curve over diameter.
pub(super) struct Curve {
    pub name: String,
    pub ink: Ink,
    pub dash: Pattern,
    /// Diameter, value, and the value's interval where it has one.
    pub points: Vec<(f64, f64, Option<[f64; 2]>)>,
}

/// A diameter worth a mark.
pub(super) struct Marked {
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
    let top = 108.0 + ROW * marks.len() as f64;
    let panel = Area::new(ACROSS[0], top, ACROSS[1], top + 330.0);
    let mut sheet = titled(TITLE, panel.bottom + 54.0);
    let across = diameters(answer);
    let up = Axis::even([0.0, 1.0], [panel.bottom, panel.top]);
    let note = format!(
        "{} × {} looks at each diameter; band: {}\u{A0}% interval; hatched: a target is missed, or wider is of no use",
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
    draw_bands(&mut sheet, &curves, &across, &up);
    for curve in &curves {
        draw_curve(&mut sheet, curve, &across, &up, &panel);
    }
    write_names(&mut sheet, &curves.iter().collect::<Vec<_>>(), &up, &panel);
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
                let interval = interval_of_clustered_share(one, level)?;
                // a share of next to no looks says nothing
                let is_told = interval[1] - interval[0] < WIDEST_TOLD;
                is_told.then_some((point.diameter_mm, one.share()?, Some(interval)))
            })
            .collect(),
    };
    vec![
        looks("clear looks", BLUE, Pattern::Dashed, |point| {
            &point.counted.clear
        }),
        looks("of those, held", GREEN, Pattern::DashDot, |point| {
            &point.counted.held
        }),
        looks("clear and held", BLACK, Pattern::Solid, |point| {
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
        Curve {
            name: "pass, eyes anywhere".to_owned(),
            ink: PURPLE,
            dash: Pattern::DashDot,
            points: answer
                .points
                .iter()
                .filter_map(|point| {
                    let one = &point.anywhere.build_yield;
                    Some((point.diameter_mm, one.share()?, one.interval()))
                })
                .collect(),
        },
    ]
}

pub(super) fn diameters(answer: &PeepholeAnswer) -> Axis {
    let first = answer.points.first().map_or(1.0, |point| point.diameter_mm);
    let last = answer.points.last().map_or(2.0, |point| point.diameter_mm);
    Axis {
        values: [first, last],
        places: ACROSS,
        spacing: Spacing::Logarithmic,
    }
}

pub(super) fn diameter_axis(sheet: &mut Sheet, across: &Axis, panel: &Area) {
    bottom_axis(
        sheet,
        across,
        [panel.top, panel.bottom],
        6,
        "diameter of the peephole, mm, logarithmic scale",
        number,
    );
}

/// Hatches what lies outside of the range.
pub(super) fn shade(sheet: &mut Sheet, answer: &PeepholeAnswer, across: &Axis, panel: &Area) {
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

/// The intervals of some curves; they lie beneath all of the curves.
pub(super) fn draw_bands(sheet: &mut Sheet, curves: &[Curve], across: &Axis, up: &Axis) {
    for curve in curves {
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
    }
}

pub(super) fn draw_curve(sheet: &mut Sheet, curve: &Curve, across: &Axis, up: &Axis, panel: &Area) {
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
pub(super) fn write_names(sheet: &mut Sheet, curves: &[&Curve], up: &Axis, panel: &Area) {
    let mut ends: Vec<(f64, &Curve)> = curves
        .iter()
        .copied()
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
pub(super) fn marked(answer: &PeepholeAnswer) -> Vec<Marked> {
    let mut marks = vec![Marked {
        words: format!("as it is: {} mm", brief(answer.own_mm)),
        diameter_mm: answer.own_mm,
        ink: GREY,
        dash: Pattern::Dashed,
    }];
    let ends = match &answer.range {
        Ok(range) => [
            ("smallest", Some(&range.smallest)),
            ("largest", range.largest.as_ref()),
        ],
        Err(NoWindow::EndsCross { smallest, largest }) => [
            ("should be at least", Some(smallest)),
            ("should be at most", Some(largest)),
        ],
        Err(_) => [("", None); 2],
    };
    for (name, end) in ends {
        let Some(end) = end else { continue };
        let at_mm = end.at_mm;
        let words = match end.interval_mm {
            [Some(low), Some(high)] => format!("{name}: {at_mm:.2} mm ({low:.2} to {high:.2})"),
            _ if end.reason.is_model() => format!("{name}: {at_mm:.2} mm (a model's limit)"),
            _ => format!("{name}: {at_mm:.2} mm"),
        };
        marks.push(Marked {
            words,
            diameter_mm: at_mm,
            ink: BLACK,
            dash: Pattern::Solid,
        });
    }
    if let Some(found) = &answer.recommended {
        if let Some(cautious) = &found.cautious {
            marks.push(Marked {
                words: format!("cautious: {}", cautious.chosen.tool.words()),
                diameter_mm: cautious.chosen.tool.diameter_mm,
                ink: GREEN,
                dash: Pattern::Dotted,
            });
        }
        marks.push(Marked {
            words: format!("take: {}", found.chosen.tool.words()),
            diameter_mm: found.chosen.tool.diameter_mm,
            ink: BLUE,
            dash: Pattern::DashDot,
        });
    }
    marks.sort_by(|a, b| a.diameter_mm.total_cmp(&b.diameter_mm));
    marks
}

/// Each mark on a row of its own above the first panel, and a line down through all of them.
pub(super) fn draw_marks(
    sheet: &mut Sheet,
    marks: &[Marked],
    across: &Axis,
    panels: &[Area],
    with_tip: bool,
) {
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
         builds that pass, with the eye's wandering of the scenario and if eyes came to stand anywhere in the hole; {} × {} looks at each of {} diameters, the same at every one. Dotted: the targets. Marked: {}. \
         Hatched: diameters that miss a target or a model's limit, or that are wider than is of use (a model's limit too).",
        many(answer.run.builds, "build"),
        answer.run.looks,
        answer.points.len(),
        marks.join("; ")
    )
}
