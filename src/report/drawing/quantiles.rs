//! Drift of every rod and gap of every junction: quantiles of all judged looks against the limit.

use super::axis::{Axis, Spacing, bottom_axis, brief, count, many, number, percent};
use super::sheet::{
    Anchor, Area, BLACK, BLUE, FAINT, GREY, LABEL, NOTE, Pattern, SKY, STRONG, Sheet, VERMILLION,
};
use super::stretch::Part;
use super::text::text_width;
use super::{Draft, MARGIN, WIDTH, frame_words, titled};
use crate::decision::Assessment;
use crate::figure::{Frame, Item};
use crate::statistics::QuantileSketch;
use crate::units::arcmin;

/// Most rows; the rest are counted in words.
const MOST_ROWS: usize = 30;
const ROW: f64 = 25.0;
const TOP: f64 = 112.0;
/// The panel's left and right edge, px.
const PANEL: [f64; 2] = [205.0, 770.0];
/// Right edges of the two columns of numbers, px.
const COLUMNS: [f64; 2] = [905.0, WIDTH - MARGIN];
/// Shares of looks that a bar shows.
const SHARES: [f64; 5] = [0.05, 0.25, 0.5, 0.75, 0.95];
/// An axis turns logarithmic when its largest value is more than this many times the middle one.
const TOO_SPREAD: f64 = 12.0;
/// Shortest part of the largest value that a logarithmic axis still shows.
const LEAST_PART: f64 = 1.0 / 2000.0;

/// One rod or junction.
struct Row {
    item: Item,
    name: String,
    values: [f64; 5],
    limit: f64,
    /// Median in the frame that is not judged.
    other_median: Option<f64>,
    over_limit: u64,
}

impl Row {
    /// 95 % of looks against the limit.
    fn share_of_limit(&self) -> f64 {
        self.values[4] / self.limit
    }
}

fn quantiles(sketch: &QuantileSketch) -> Option<[f64; 5]> {
    let mut values = [0.0; 5];
    for (value, share) in values.iter_mut().zip(SHARES) {
        *value = sketch.quantile(share)?;
    }
    Some(values)
}

/// Edge drift.
pub(super) fn drift(assessment: &Assessment) -> Draft {
    let plan = &assessment.plan;
    let detail = assessment.plan.typical_detail_rad();
    let frame = plan.design.judging.frame;
    let title = format!("Edge drift of each rod, {}", frame_words(frame));
    let rows = assessment
        .result
        .tally
        .rods
        .iter()
        .enumerate()
        .filter_map(|(i, rod)| {
            let (judged, other) = match frame {
                Frame::Fitted => (&rod.drift_fitted_arcmin, &rod.drift_fixed_arcmin),
                Frame::Fixed => (&rod.drift_fixed_arcmin, &rod.drift_fitted_arcmin),
            };
            Some(Row {
                item: Item::Rod(i),
                name: plan.design.rods[i].name.clone(),
                values: quantiles(judged)?,
                limit: arcmin(plan.drift_limit_rad(i, detail)),
                other_median: other.quantile(0.5),
                over_limit: rod.over_limit,
            })
        })
        .collect();
    let other = match frame {
        Frame::Fitted => Frame::Fixed,
        Frame::Fixed => Frame::Fitted,
    };
    chart(
        assessment,
        rows,
        &Words {
            name: "drift",
            title,
            what: "edge drift",
            items: ["rod", "rods"],
            other: Some(frame_words(other)),
            nothing: "No look showed the whole figure, so no drift was measured.",
        },
    )
}

/// Gap.
pub(super) fn gap(assessment: &Assessment) -> Draft {
    let plan = &assessment.plan;
    let detail = assessment.plan.typical_detail_rad();
    let rows = assessment
        .result
        .tally
        .junctions
        .iter()
        .enumerate()
        .filter_map(|(i, junction)| {
            Some(Row {
                item: Item::Junction(i),
                name: plan.junction_name(i).to_owned(),
                values: quantiles(&junction.gap_arcmin)?,
                limit: arcmin(plan.gap_limit_rad(i, detail)),
                other_median: None,
                over_limit: junction.over_limit,
            })
        })
        .collect();
    let nothing = if plan.junctions.is_empty() {
        "No line carries more than one rod end, so there is no junction and no gap."
    } else {
        "No look showed the whole figure, so no gap was measured."
    };
    chart(
        assessment,
        rows,
        &Words {
            name: "gap",
            title: "Gap at each junction".to_owned(),
            what: "gap",
            items: ["junction", "junctions"],
            other: None,
            nothing,
        },
    )
}

/// What differs between the two charts.
struct Words {
    name: &'static str,
    title: String,
    what: &'static str,
    items: [&'static str; 2],
    other: Option<&'static str>,
    nothing: &'static str,
}

fn chart(assessment: &Assessment, mut rows: Vec<Row>, words: &Words) -> Draft {
    if rows.is_empty() {
        return Draft::without(words.name, &words.title, words.nothing);
    }
    rows.sort_by(|a, b| b.share_of_limit().total_cmp(&a.share_of_limit()));
    let hidden = rows.split_off(rows.len().min(MOST_ROWS));
    let tally = &assessment.result.tally;
    let judged = tally.held + tally.broken;
    let bottom = TOP + ROW * rows.len() as f64 + 4.0;
    let more = if hidden.is_empty() { 0.0 } else { 24.0 };
    let mut sheet = titled(&words.title, bottom + 52.0 + more);
    let axis = value_axis(&rows);
    let scale = match axis.spacing {
        Spacing::Even => "",
        Spacing::Logarithmic => ", logarithmic scale",
    };
    bottom_axis(
        &mut sheet,
        &axis,
        [TOP - 6.0, bottom],
        7,
        &format!("{}, arcmin{scale}", words.what),
        number,
    );
    write_key(&mut sheet, words.other);
    let heads = [
        ["95\u{A0}% of looks", "up to, arcmin"],
        ["looks over", "their limit"],
    ];
    for (lines, x) in heads.iter().zip(COLUMNS) {
        for (line, y) in lines.iter().zip([TOP - 30.0, TOP - 15.0]) {
            sheet.text([x, y], line, NOTE, Anchor::End);
        }
    }
    for (nth, row) in rows.iter().enumerate() {
        let y = TOP + ROW * (nth as f64 + 0.5);
        sheet.part_of(row.item, Part::Row, |sheet| {
            draw_row(sheet, &axis, row, y, judged);
        });
    }
    if let Some(next) = hidden.first() {
        let text = format!(
            "{} more {} not shown; 95\u{A0}% of looks stay within {} of the limit there.",
            count(hidden.len() as u64),
            words.items[usize::from(hidden.len() > 1)],
            brief(next.share_of_limit()),
        );
        sheet.text([MARGIN, bottom + 58.0], &text, LABEL, Anchor::Start);
    }
    let worst = &rows[0];
    let caption = format!(
        "Quantiles over {} at {}, most critical {} on top: {} stays within {}\u{A0}arcmin in 95\u{A0}% of looks, {} \
         times its limit of {}\u{A0}arcmin. Limits are for the visitor of mean acuity; \u{201C}over their limit\u{201D} counts each look with \
         its own visitor's.",
        many(judged, "judged look"),
        many(tally.builds, "build"),
        words.items[0],
        worst.name,
        brief(worst.values[4]),
        brief(worst.share_of_limit()),
        brief(worst.limit),
    );
    Draft {
        name: words.name,
        title: words.title.clone(),
        caption,
        sheet,
    }
}

/// From 0, or logarithmic where the largest would squeeze all others together.
fn value_axis(rows: &[Row]) -> Axis {
    let finite = |values: &mut dyn Iterator<Item = f64>, pick: fn(f64, f64) -> f64, start: f64| {
        values.filter(|v| v.is_finite()).fold(start, pick)
    };
    let highest = finite(
        &mut rows
            .iter()
            .flat_map(|row| [row.values[4], row.limit, row.other_median.unwrap_or(0.0)]),
        f64::max,
        0.0,
    );
    let highest = if highest > 0.0 { highest } else { 1.0 };
    let mut tops: Vec<f64> = rows
        .iter()
        .map(|row| row.values[4].max(row.limit))
        .collect();
    tops.sort_by(f64::total_cmp);
    if highest <= TOO_SPREAD * tops[tops.len() / 2] {
        return Axis::even([0.0, 1.04 * highest], PANEL);
    }
    let mut shown = rows
        .iter()
        .flat_map(|row| [row.values[0], row.limit])
        .filter(|value| *value > 0.0);
    let lowest = finite(&mut shown, f64::min, highest / 2.0).max(highest * LEAST_PART);
    Axis {
        values: [0.9 * lowest, 1.1 * highest],
        places: PANEL,
        spacing: Spacing::Logarithmic,
    }
}

fn write_key(sheet: &mut Sheet, other: Option<&str>) {
    let y = 54.0;
    let mut x = MARGIN;
    let sample = Axis::even([0.0, 1.0], [x, x + 90.0]);
    draw_bar(sheet, &sample, [0.0, 0.28, 0.48, 0.68, 1.0], y);
    x += 98.0;
    let write = |sheet: &mut Sheet, x: &mut f64, words: &str| {
        sheet.text([*x, y], words, LABEL, Anchor::Start);
        *x += text_width(words, LABEL) + 20.0;
    };
    write(sheet, &mut x, "5, 25, 50, 75, 95\u{A0}% of looks");
    draw_limit(sheet, x + 6.0, y);
    x += 18.0;
    write(sheet, &mut x, "limit, visitor of mean acuity");
    if let Some(other) = other {
        sheet.ring([x + 5.0, y], 4.2, GREY);
        x += 16.0;
        write(sheet, &mut x, &format!("median, {other}"));
    }
}

fn draw_row(sheet: &mut Sheet, axis: &Axis, row: &Row, y: f64, judged: u64) {
    sheet.text_in(
        [PANEL[0] - 12.0, y],
        &row.name,
        LABEL,
        Anchor::End,
        PANEL[0] - 12.0 - MARGIN,
    );
    sheet.stroke(
        &[[PANEL[0], y + ROW / 2.0], [COLUMNS[1], y + ROW / 2.0]],
        FAINT,
        0.8,
        Pattern::Solid,
    );
    draw_limit(sheet, axis.at_most(row.limit), y);
    draw_bar(sheet, axis, row.values, y);
    if let Some(median) = row.other_median {
        sheet.ring([axis.at_most(median), y], 4.2, GREY);
    }
    let style = if row.share_of_limit() > 1.0 {
        STRONG
    } else {
        LABEL
    };
    sheet.text([COLUMNS[0], y], &brief(row.values[4]), style, Anchor::End);
    let share = row.over_limit as f64 / judged.max(1) as f64;
    sheet.text([COLUMNS[1], y], &percent(share), style, Anchor::End);
}

fn draw_bar(sheet: &mut Sheet, axis: &Axis, values: [f64; 5], y: f64) {
    let [a, b, median, c, d] = values.map(|value| axis.at_most(value));
    sheet.line([a, y], [d, y], BLACK, 1.4);
    for x in [a, d] {
        sheet.line([x, y - 4.0], [x, y + 4.0], BLACK, 1.4);
    }
    let middle = Area::new(b, y - 5.0, c.max(b + 1.0), y + 5.0);
    sheet.rect(&middle, SKY);
    sheet.outline(&middle, BLUE, 1.0);
    sheet.line([median, y - 6.5], [median, y + 6.5], BLACK, 2.6);
}

/// A tall mark with a point on top.
fn draw_limit(sheet: &mut Sheet, x: f64, y: f64) {
    sheet.line([x, y - 10.5], [x, y + 10.5], VERMILLION, 2.2);
    sheet.fill(
        &[[x - 4.5, y - 11.0], [x + 4.5, y - 11.0], [x, y - 4.5]],
        VERMILLION,
    );
}
