//! What may have spoiled a build: how far each cause lies off the plan, in units of its tolerance, with its interval.

use super::axis::{Axis, bottom_axis, number};
use super::sheet::{
    Anchor, Area, BLACK, BLUE, FAINT, GREY, Ink, LABEL, NOTE, Pattern, STRONG, Sheet, VERMILLION,
    WHITE,
};
use super::{Draft, MARGIN, WIDTH, titled};
use crate::decision::diagnosis::{Cause, Diagnosis};
use crate::figure::Source;
use crate::report::bench_words::{chance_words, is_of_the_build};

pub(super) const NAME: &str = "causes";
const TITLE: &str = "How far each cause lies off the plan, in standard deviations of its tolerance";
const TOP: f64 = 96.0;
const ROW: f64 = 26.0;
const BAR: f64 = 13.0;
/// The panel's left and right edge, px.
const PANEL: [f64; 2] = [440.0, 880.0];
/// Most rows.
const MOST: usize = 16;
/// The axis ends here at the latest; what lies beyond is drawn as an arrow.
const WIDEST: f64 = 40.0;
/// Band in which 19 of 20 builds lie by tolerance alone.
const BAND: f64 = 2.0;
/// A cause that is likelier than not to have gone wrong.
const LIKELY: f64 = 0.5;

/// One component of a cause.
struct Row {
    words: String,
    /// Estimate and interval, less the plan, in standard deviations of the tolerance.
    off: f64,
    interval: [f64; 2],
    fault_probability: f64,
}

/// Of a cause with two components the one that lies farther off; `None` where the tolerance allows no error.
fn row(cause: &Cause) -> Option<Row> {
    let all = 0..cause.components.min(2);
    let is_tension = matches!(
        cause.suspect.source(),
        Some(Source::HandTension | Source::Slackening)
    );
    // a tension is a factor, whose logarithm is normal
    let in_sds = |value: f64, c: usize| match is_tension {
        true => libm::log(value / cause.planned[c]) * cause.planned[c] / cause.tolerance_sd[c],
        false => (value - cause.planned[c]) / cause.tolerance_sd[c],
    };
    let off = |c: usize| in_sds(cause.estimate[c], c);
    let measured = all.filter(|c| cause.tolerance_sd[*c] > 0.0 && off(*c).is_finite());
    let c = measured.max_by(|a, b| off(*a).abs().total_cmp(&off(*b).abs()))?;
    let interval = cause.interval[c].map(|end| in_sds(end, c));
    let which = match (cause.components, c) {
        (2, _) if is_bow(cause) => [" (to its side)", " (in depth)"][c],
        (2, _) => [" (sideways)", " (in height)"][c],
        _ => "",
    };
    Some(Row {
        words: format!("{}{which}", cause.words),
        off: off(c),
        interval,
        fault_probability: cause.fault_probability,
    })
}

fn is_bow(cause: &Cause) -> bool {
    cause.suspect.source() == Some(Source::RodBow)
}

/// Draws the likeliest causes.
pub(super) fn causes(diagnosis: &Diagnosis) -> Draft {
    let in_the_build = diagnosis
        .why
        .causes
        .iter()
        .filter(|cause| is_of_the_build(cause));
    let all: Vec<&Cause> = in_the_build.collect();
    let rows: Vec<Row> = all
        .iter()
        .filter_map(|cause| row(cause))
        .take(MOST)
        .collect();
    if rows.is_empty() {
        return Draft::without(
            NAME,
            TITLE,
            "No cause has a tolerance that something could be out of.",
        );
    }
    let reach = rows
        .iter()
        .flat_map(|row| row.interval)
        .fold(3.0_f64, |most, end| most.max(1.05 * end.abs()))
        .min(WIDEST);
    let axis = Axis::even([-reach, reach], PANEL);
    let sheet = chart(&rows, &axis);
    let first = &rows[0];
    let caption = format!(
        "The {} likeliest of {} causes, the likeliest to have gone wrong first: bar from the plan (0) to the estimate, whisker: 95\u{A0}% interval, shaded: where 19 of 20 builds lie by tolerance alone. Of a cause with two components the one that lies farther off is drawn. First: {}, {} standard deviations ({} to {}), went wrong with probability {}.",
        rows.len(),
        all.len(),
        first.words,
        number(first.off, 0.1),
        number(first.interval[0].min(first.interval[1]), 0.1),
        number(first.interval[0].max(first.interval[1]), 0.1),
        chance_words(first.fault_probability)
    );
    Draft {
        name: NAME,
        title: TITLE.to_owned(),
        caption,
        sheet,
    }
}

fn chart(rows: &[Row], axis: &Axis) -> Sheet {
    let bottom = TOP + ROW * rows.len() as f64 + 4.0;
    let mut sheet = titled(TITLE, bottom + 54.0);
    let room = WIDTH - 2.0 * MARGIN;
    sheet.text_in(
        [MARGIN, 52.0],
        "bar: from the plan to the estimate; whisker: 95\u{A0}% interval; shaded: 19 of 20 builds by tolerance alone; arrow: farther than is shown",
        NOTE,
        Anchor::Start,
        room,
    );
    let band = Area::new(axis.at_most(-BAND), TOP, axis.at_most(BAND), bottom);
    sheet.rect(&band, FAINT);
    sheet.text(
        [PANEL[1] + 14.0, TOP - 12.0],
        "went wrong",
        NOTE,
        Anchor::Start,
    );
    bottom_axis(
        &mut sheet,
        axis,
        [TOP, bottom],
        8,
        "off the plan, in standard deviations of its tolerance",
        number,
    );
    for (nth, row) in rows.iter().enumerate() {
        draw(&mut sheet, axis, row, TOP + ROW * (nth as f64 + 0.5) + 2.0);
    }
    let plan = axis.at(0.0);
    sheet.stroke(&[[plan, TOP], [plan, bottom]], BLACK, 1.6, Pattern::Dashed);
    sheet.text([plan, TOP - 12.0], "plan", NOTE, Anchor::Middle);
    sheet
}

fn draw(sheet: &mut Sheet, axis: &Axis, row: &Row, y: f64) {
    let is_likely = row.fault_probability >= LIKELY;
    let (ink, style): (Ink, _) = if is_likely {
        (VERMILLION, STRONG)
    } else {
        (BLUE, LABEL)
    };
    let room = PANEL[0] - 14.0 - MARGIN;
    sheet.text_in([PANEL[0] - 12.0, y], &row.words, style, Anchor::End, room);
    let (from, to) = (axis.at(0.0), axis.at_most(row.off));
    let bar = Area::new(from.min(to), y - BAR / 2.0, from.max(to), y + BAR / 2.0);
    if is_likely {
        sheet.rect(&bar, ink);
    } else {
        sheet.rect(&bar, WHITE);
        sheet.hatch(&bar, 5.0, ink, true);
    }
    sheet.outline(&bar, ink, 1.2);
    let [low, high] = row.interval.map(|end| axis.at_most(end));
    for (ink, width, tick) in [(WHITE, 5.0, 6.5), (BLACK, 1.8, 5.0)] {
        sheet.line([low, y], [high, y], ink, width);
        for x in [low, high] {
            sheet.line([x, y - tick], [x, y + tick], ink, width);
        }
    }
    if row.off.abs() > axis.values[1] {
        let out = if row.off > 0.0 { 1.0 } else { -1.0 };
        let head = [[to, y - 8.0], [to + 11.0 * out, y], [to, y + 8.0]];
        sheet.fill(&head, GREY);
    }
    let told = chance_words(row.fault_probability).replace(' ', "\u{A0}");
    sheet.text([PANEL[1] + 14.0, y], &told, style, Anchor::Start);
}
