//! What spoils the build: the yield without each cause, beside the yield as it is.

use super::axis::{Axis, bottom_axis, brief, many, number, percent, percent_range};
use super::sheet::{
    Anchor, BLACK, BLUE, FAINT, GREY, LABEL, NOTE, Pattern, STRONG, Sheet, VERMILLION,
};
use super::{Draft, MARGIN, WIDTH, titled};
use crate::decision::{Assessment, Outcome, Removals};
use crate::statistics::Proportion;

const NAME: &str = "causes";
const ROW: f64 = 27.0;
const TOP: f64 = 82.0;
/// The panel's left and right edge, px.
const PANEL: [f64; 2] = [405.0, 810.0];
/// Yields that differ by less than this in all are shown by the worst fault instead.
const TOO_ALIKE: f64 = 0.02;

/// One row: a value and its interval.
struct Row {
    words: String,
    value: f64,
    interval: Option<[f64; 2]>,
    told: String,
}

/// Draws the rows.
pub(super) fn causes(assessment: &Assessment) -> Draft {
    let removals = &assessment.removals;
    if removals.culprits.is_empty() {
        return Draft::without(
            NAME,
            "What spoils the build",
            "No source of error varies or weighs in this design, so there is no cause to take away.",
        );
    }
    let yields: Vec<f64> = removals
        .culprits
        .iter()
        .map(|culprit| culprit.without.build_yield)
        .chain([removals.as_is.build_yield])
        .filter_map(|one| one.share())
        .collect();
    let (low, high) = yields.iter().fold((1.0_f64, 0.0_f64), |(low, high), y| {
        (low.min(*y), high.max(*y))
    });
    let none_judged = removals.as_is.median_worst.is_none()
        && removals
            .culprits
            .iter()
            .all(|culprit| culprit.without.median_worst.is_none());
    if none_judged {
        return Draft::without(
            NAME,
            "What spoils the build",
            "No look shows the whole figure, whichever one cause is taken away, so there is nothing to compare.",
        );
    }
    match median_rows(removals) {
        Some(rows) if high - low < TOO_ALIKE => by_worst_fault(assessment, &rows, [low, high]),
        _ => by_yield(assessment),
    }
}

fn yield_row(words: String, one: Proportion) -> Option<Row> {
    Some(Row {
        words,
        value: one.share()?,
        interval: one.interval(),
        told: format!(
            "{} ({})",
            percent(one.share()?),
            percent_range(one.interval()?)
        ),
    })
}

fn by_yield(assessment: &Assessment) -> Draft {
    let removals = &assessment.removals;
    let title = "What spoils the build: yield without each cause";
    let rows: Vec<Row> = yield_row("as it is".to_owned(), removals.as_is.build_yield)
        .into_iter()
        .chain(removals.culprits.iter().filter_map(|culprit| {
            yield_row(
                without(culprit.removal.words()),
                culprit.without.build_yield,
            )
        }))
        .collect();
    let Some(as_is) = rows.first().map(|row| row.value) else {
        return Draft::without(
            NAME,
            title,
            "No build was tried, so there is no yield to compare.",
        );
    };
    let [low, high] = rows.iter().fold([as_is; 2], |[low, high], row| {
        let [a, b] = row.interval.unwrap_or([row.value; 2]);
        [low.min(a), high.max(b)]
    });
    let room = (0.06 * (high - low)).max(0.01);
    let axis = Axis::even([(low - room).max(0.0), (high + room).min(1.0)], PANEL);
    let level = number(100.0 * assessment.run_plan.level, 1.0);
    let note = format!(
        "point: share of {} that pass; line: {level}\u{A0}% interval; the dashed line is the yield as it is",
        many(removals.as_is.build_yield.of, "build")
    );
    let start = if axis.values[0] > 0.0 {
        "; the axis does not start at 0"
    } else {
        ""
    };
    let sheet = chart(
        title,
        &rows,
        &axis,
        &note,
        &format!("yield, %{start}"),
        |tick, step| number(100.0 * tick, 100.0 * step),
        None,
    );
    let best = &removals.culprits[0];
    let caption = format!(
        "The same {} run again with one cause taken away at a time: as it is {} pass; {}, {}. Causes that only hurt \
         together each show little.",
        many(removals.as_is.build_yield.of, "build"),
        rows[0].told,
        without(best.removal.words()),
        rows.get(1).map_or("no yield", |row| row.told.as_str()),
    );
    Draft {
        name: NAME,
        title: title.to_owned(),
        caption,
        sheet,
    }
}

fn without(words: &str) -> String {
    format!("without {words}")
}

/// Medians of the worst fault over its limit; `None` where one is missing or not finite.
fn median_rows(removals: &Removals) -> Option<Vec<Row>> {
    let row = |words: String, outcome: &Outcome| {
        let value = outcome.median_worst.filter(|value| value.is_finite())?;
        Some(Row {
            words,
            value,
            interval: outcome.median_worst_interval,
            told: format!("{} × limit", brief(value)),
        })
    };
    let mut rows = vec![row("as it is".to_owned(), &removals.as_is)?];
    for culprit in &removals.culprits {
        rows.push(row(without(culprit.removal.words()), &culprit.without)?);
    }
    // the smallest fault first: the order that is drawn
    rows[1..].sort_by(|a, b| a.value.total_cmp(&b.value));
    Some(rows)
}

fn by_worst_fault(assessment: &Assessment, rows: &[Row], [low, high]: [f64; 2]) -> Draft {
    let removals = &assessment.removals;
    let title = "What spoils the build: worst fault without each cause";
    let highest = rows.iter().map(|row| row.value).fold(1.0, f64::max);
    let axis = Axis::even([0.0, 1.08 * highest], PANEL);
    let alike = if high - low > 0.0 {
        format!("between {} and {}", percent(low), percent(high))
    } else {
        format!("all {}", percent(low))
    };
    let note = format!(
        "Yields are too alike to compare ({alike}); shown instead: the middle look's worst fault. Dashed: as it is."
    );
    let sheet = chart(
        title,
        rows,
        &axis,
        &note,
        "\u{2190} better: worst drift or gap of the middle judged look, as a multiple of its limit",
        number,
        Some(1.0),
    );
    let best = rows[1..].iter().min_by(|a, b| a.value.total_cmp(&b.value));
    let caption = format!(
        "The same {} run again with one cause taken away at a time. The yields are too alike to compare ({alike}), so this \
         shows the worst drift or gap of the middle judged look against its limit: {} as it is, {} at best ({}). A look holds \
         at 1 or less. Medians over looks, with their intervals as lines.",
        many(removals.as_is.build_yield.of, "build"),
        rows[0].told,
        best.map_or("nothing", |row| row.told.as_str()),
        best.map_or("nothing", |row| row.words.as_str()),
    );
    Draft {
        name: NAME,
        title: title.to_owned(),
        caption,
        sheet,
    }
}

fn chart(
    title: &str,
    rows: &[Row],
    axis: &Axis,
    note: &str,
    axis_title: &str,
    write: impl Fn(f64, f64) -> String,
    limit: Option<f64>,
) -> Sheet {
    let bottom = TOP + ROW * rows.len() as f64 + 2.0;
    let mut sheet = titled(title, bottom + 54.0);
    let room = WIDTH - 2.0 * MARGIN;
    sheet.text_in([MARGIN, 52.0], note, NOTE, Anchor::Start, room);
    bottom_axis(&mut sheet, axis, [TOP, bottom], 6, axis_title, write);
    if let Some(limit) = limit {
        let x = axis.at(limit);
        sheet.stroke(&[[x, TOP], [x, bottom]], VERMILLION, 2.0, Pattern::DashDot);
        sheet.text([x, TOP - 9.0], "limit", NOTE, Anchor::Middle);
    }
    let x = axis.at(rows[0].value);
    sheet.stroke(&[[x, TOP], [x, bottom]], GREY, 1.6, Pattern::Dashed);
    for (nth, row) in rows.iter().enumerate() {
        let y = TOP + ROW * (nth as f64 + 0.5);
        let style = if nth == 0 { STRONG } else { LABEL };
        let name_room = PANEL[0] - 12.0 - MARGIN;
        sheet.text_in(
            [PANEL[0] - 12.0, y],
            &row.words,
            style,
            Anchor::End,
            name_room,
        );
        sheet.line([PANEL[0], y], [PANEL[1], y], FAINT, 0.8);
        if let Some(interval) = row.interval {
            let [a, b] = interval.map(|end| axis.at_most(end));
            sheet.line([a, y], [b, y], BLUE, 2.4);
            for x in [a, b] {
                sheet.line([x, y - 5.0], [x, y + 5.0], BLUE, 2.0);
            }
        }
        let at = [axis.at_most(row.value), y];
        if nth == 0 {
            sheet.disc(at, 5.0, BLACK);
        } else {
            sheet.disc(at, 4.6, BLUE);
        }
        sheet.text_in(
            [PANEL[1] + 14.0, y],
            &row.told,
            style,
            Anchor::Start,
            WIDTH - MARGIN - PANEL[1] - 14.0,
        );
    }
    sheet
}
