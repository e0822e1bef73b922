//! What each correction makes of the worst fault, with the share of possible builds that pass and the effort.

use super::axis::{Axis, Spacing, bottom_axis, brief, percent, percent_range};
use super::sheet::{
    Anchor, BLACK, BLUE, FAINT, GREY, LABEL, NOTE, Pattern, STRONG, Sheet, Type, VERMILLION,
};
use super::text::wrapped;
use super::{Draft, MARGIN, WIDTH, titled};
use crate::decision::diagnosis::{Diagnosis, Mend, Span};
use crate::statistics::Proportion;

pub(super) const NAME: &str = "mends";
const TITLE: &str = "What each correction makes of the worst drift and gap";
const TOP: f64 = 100.0;
const ROW: f64 = 60.0;
/// The panel's left and right edge, px.
const PANEL: [f64; 2] = [350.0, 720.0];
/// Most corrections drawn.
const MOST: usize = 10;
/// Most lines of a correction's words.
const MOST_LINES: usize = 6;
/// Height of one of them, px.
const LINE: f64 = 17.0;
/// Left edges of what is told beside the panel, px.
const PASSES: f64 = 738.0;
const EFFORT: f64 = 908.0;

/// Draws the build as it is and the best corrections.
pub(super) fn mends(diagnosis: &Diagnosis) -> Draft {
    let mends = &diagnosis.mends.ranked;
    if mends.is_empty() {
        return Draft::without(
            NAME,
            TITLE,
            "There is no correction to draw: the build needs none, or none was found to try.",
        );
    }
    let shown = &mends[..mends.len().min(MOST)];
    let axis = axis(&diagnosis.finding.worst, shown);
    let sheet = chart(diagnosis, shown, &axis);
    let least = diagnosis
        .mends
        .least
        .and_then(|least| mends.get(least))
        .map_or_else(
            || {
                let none = " None of those tried meets the target.";
                let nothing = " The build meets the target as it is.";
                let words = if diagnosis.mends.needs_nothing {
                    nothing
                } else {
                    none
                };
                words.to_owned()
            },
            |least| {
                format!(
                    " The least that mends it: {}.",
                    least.words.trim_end_matches('.')
                )
            },
        );
    let caption = format!(
        "Worst fault over its limit for the eye at its mean place, as it is and after each of the first {} of {} corrections: median and 95\u{A0}% interval over the possible builds; left of the dashed line it is inside its limit. Beside it the share of possible builds that pass with visitors' eyes, and the minutes of one person's work (chosen, no source).{least}",
        shown.len(),
        mends.len()
    );
    Draft {
        name: NAME,
        title: TITLE.to_owned(),
        caption,
        sheet,
    }
}

fn axis(worst: &Span, mends: &[Mend]) -> Axis {
    let spans = mends
        .iter()
        .flat_map(|mend| [Some(mend.drift), mend.gap])
        .flatten()
        .chain([*worst]);
    let (mut low, mut high) = (0.5_f64, 2.0_f64);
    for span in spans {
        for end in span.interval {
            if end.is_finite() && end > 0.0 {
                low = low.min(0.9 * end);
                high = high.max(1.1 * end);
            }
        }
    }
    Axis {
        values: [low.max(0.01), high.min(1000.0)],
        places: PANEL,
        spacing: Spacing::Logarithmic,
    }
}

fn chart(diagnosis: &Diagnosis, mends: &[Mend], axis: &Axis) -> Sheet {
    let mut tops = vec![TOP, TOP + ROW];
    for (nth, mend) in mends.iter().enumerate() {
        let lines = words_of(mend, style_of(diagnosis, nth)).len() as f64;
        let height = ROW.max(LINE * lines + 12.0);
        tops.push(tops[nth + 1] + height);
    }
    let bottom = tops[mends.len() + 1];
    let mut sheet = titled(TITLE, bottom + 54.0);
    let room = WIDTH - 2.0 * MARGIN;
    sheet.text_in(
        [MARGIN, 52.0],
        "disc: worst drift; ring: worst gap; square: worst of all, as it is; whisker: 95\u{A0}% interval, arrow: beyond; bold: the least that mends it",
        NOTE,
        Anchor::Start,
        room,
    );
    sheet.text(
        [PASSES, TOP - 12.0],
        "builds that pass",
        NOTE,
        Anchor::Start,
    );
    sheet.text([EFFORT, TOP - 12.0], "effort", NOTE, Anchor::Start);
    let write = |value: f64, _: f64| brief_number(value);
    bottom_axis(
        &mut sheet,
        axis,
        [TOP, bottom],
        6,
        "worst fault over its limit, logarithmic scale",
        write,
    );
    let limit = axis.at(1.0);
    sheet.stroke(
        &[[limit, TOP], [limit, bottom]],
        BLACK,
        1.6,
        Pattern::Dashed,
    );
    sheet.text([limit, TOP - 12.0], "limit", NOTE, Anchor::Middle);
    let finding = &diagnosis.finding;
    let y = TOP + ROW / 2.0;
    sheet.text(
        [PANEL[0] - 12.0, y],
        "the build as it is",
        STRONG,
        Anchor::End,
    );
    mark(&mut sheet, axis, &finding.worst, y, Shape::Square);
    passes(&mut sheet, &finding.passes, y, STRONG);
    for (nth, mend) in mends.iter().enumerate() {
        let bounds = [tops[nth + 1], tops[nth + 2]];
        draw(&mut sheet, axis, mend, bounds, style_of(diagnosis, nth));
    }
    sheet
}

/// Without zeros that say nothing.
fn brief_number(value: f64) -> String {
    let text = brief(value);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

fn style_of(diagnosis: &Diagnosis, nth: usize) -> Type {
    if diagnosis.mends.least == Some(nth) {
        STRONG
    } else {
        LABEL
    }
}

/// A correction's words in lines; the last takes what is left, cut where it does not fit.
fn words_of(mend: &Mend, style: Type) -> Vec<String> {
    let room = PANEL[0] - 14.0 - MARGIN;
    let mut lines = wrapped(&mend.words, style, room);
    if lines.len() > MOST_LINES {
        let rest = lines.split_off(MOST_LINES - 1).join(" ");
        lines.push(super::text::fitted(&rest, style, room));
    }
    lines
}

fn draw(sheet: &mut Sheet, axis: &Axis, mend: &Mend, [top, bottom]: [f64; 2], style: Type) {
    sheet.line([MARGIN, top], [WIDTH - MARGIN, top], FAINT, 1.0);
    let y = (top + bottom) / 2.0;
    let lines = words_of(mend, style);
    let first = y - LINE / 2.0 * (lines.len() as f64 - 1.0);
    for (nth, line) in lines.iter().enumerate() {
        let at = [PANEL[0] - 12.0, first + LINE * nth as f64];
        sheet.text(at, line, style, Anchor::End);
    }
    let apart = if mend.gap.is_some() { 9.0 } else { 0.0 };
    mark(sheet, axis, &mend.drift, y - apart, Shape::Disc);
    if let Some(gap) = &mend.gap {
        mark(sheet, axis, gap, y + apart, Shape::Ring);
    }
    passes(sheet, &mend.passes, y, style);
    let minutes = format!("{:.0}\u{A0}min", mend.minutes.max(0.0));
    let effort = if mend.pierces {
        format!("{minutes}, pierces")
    } else {
        minutes
    };
    sheet.text_in(
        [EFFORT, y],
        &effort,
        style,
        Anchor::Start,
        WIDTH - MARGIN - EFFORT,
    );
}

fn passes(sheet: &mut Sheet, passes: &Proportion, y: f64, style: Type) {
    let (Some(share), Some(interval)) = (passes.share(), passes.interval()) else {
        return;
    };
    sheet.text([PASSES, y - 8.0], &percent(share), style, Anchor::Start);
    sheet.text(
        [PASSES, y + 9.0],
        &percent_range(interval),
        NOTE,
        Anchor::Start,
    );
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Shape {
    Square,
    Disc,
    Ring,
}

fn mark(sheet: &mut Sheet, axis: &Axis, span: &Span, y: f64, shape: Shape) {
    let [low, high] = span.interval.map(|end| axis.at_most(end));
    let ink = match shape {
        Shape::Square => GREY,
        Shape::Disc => BLUE,
        Shape::Ring => VERMILLION,
    };
    sheet.line([low, y], [high, y], ink, 1.8);
    sheet.line([low, y - 5.0], [low, y + 5.0], ink, 1.8);
    if span.interval[1] <= axis.values[1] {
        sheet.line([high, y - 5.0], [high, y + 5.0], ink, 1.8);
    } else {
        // it runs on beyond the panel, or beyond measure
        sheet.fill(
            &[[high - 7.0, y - 5.0], [high, y], [high - 7.0, y + 5.0]],
            ink,
        );
    }
    let at = [axis.at_most(span.median), y];
    match shape {
        Shape::Square => {
            let area = super::sheet::Area::new(at[0], y, at[0], y).grown(5.0);
            sheet.rect(&area, ink);
        }
        Shape::Disc => sheet.disc(at, 5.0, ink),
        Shape::Ring => sheet.ring(at, 5.0, ink),
    }
}
