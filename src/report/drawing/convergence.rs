//! How fast the error of an estimate falls with the number of builds, panel by panel, beside lines of known slope.

use super::axis::{Axis, Spacing, bottom_axis, left_axis, number};
use super::sheet::{
    Anchor, Area, BLACK, BLUE, GREY, Ink, LABEL, Pattern, STRONG, Sheet, Spot, Type, VERMILLION,
};
use super::text::text_width;
use super::{Draft, Drawing, DrawingError, MARGIN, WIDTH, text, titled};

const NAME: &str = "sampling-error";
/// Panels side by side.
const COLUMNS: usize = 2;
/// Left of a panel in its column, its width and height, px.
const LEFT: f64 = 56.0;
const SIDES: [f64; 2] = [216.0, 226.0];
/// From the top of a row to its panels' top, and from their bottom to the next row, px.
const ABOVE: f64 = 62.0;
const BELOW: f64 = 58.0;
/// Height of the first line of the caption, and from line to line, px.
const CAPTION: [f64; 2] = [52.0, 18.0];
/// Least room between labels at the right, px.
const APART: f64 = 17.0;
/// How far above the first line the guides begin, as a factor.
const ABOVE_LINE: f64 = 1.7;
/// Slopes of the guides, with their words.
const GUIDES: [(f64, &str); 2] = [
    (-0.5, "slope \u{2212}1/2, for comparison"),
    (-1.0, "slope \u{2212}1, for comparison"),
];

/// The error at one number of builds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ErrorPoint {
    /// Builds behind one estimate.
    pub builds: f64,
    /// Root mean square error, as a share of the value that is estimated.
    pub error: f64,
    /// Standard error of that.
    pub standard_error: f64,
}

/// The errors of one way to sample.
#[derive(Debug, Clone, PartialEq)]
pub struct ErrorLine {
    /// Its short name, which stands at its end.
    pub name: String,
    /// Errors, builds rising.
    pub points: Vec<ErrorPoint>,
    /// Slope of log error over log builds and its standard error.
    pub slope: [f64; 2],
}

/// The errors of one estimate, each way to sample a line; the guides start above the first of them.
#[derive(Debug, Clone, PartialEq)]
pub struct ErrorPanel {
    /// What is estimated.
    pub title: String,
    /// At most three are told apart by their dash and marker.
    pub lines: Vec<ErrorLine>,
}

/// Draws the root mean square error of estimates against the number of builds, both on logarithmic scales, with the lines'
/// slopes at their ends; the caption stands below the title. Points that are not positive and finite are left out.
///
/// # Errors
/// [`DrawingError`] when the drawing library or the encoder refuses.
pub fn error_against_builds(
    title: &str,
    caption: &str,
    panels: &[ErrorPanel],
) -> Result<Drawing, DrawingError> {
    text::check_font()?;
    let panels: Vec<(&ErrorPanel, Ranges)> = panels
        .iter()
        .filter_map(|panel| Some((panel, Ranges::of(panel)?)))
        .collect();
    if panels.is_empty() {
        return Draft::without(NAME, title, "There is no error to draw.").render();
    }
    let row = ABOVE + SIDES[1] + BELOW;
    let rows = panels.len().div_ceil(COLUMNS);
    let words = text::wrapped(caption, LABEL, WIDTH - 2.0 * MARGIN);
    let first_row = CAPTION[0] + CAPTION[1] * words.len() as f64;
    let mut sheet = titled(title, first_row + row * rows as f64);
    for (nth, line) in words.iter().enumerate() {
        let y = CAPTION[0] + CAPTION[1] * nth as f64;
        sheet.text([MARGIN, y], line, LABEL, Anchor::Start);
    }
    let column = (WIDTH - 2.0 * MARGIN) / COLUMNS as f64;
    for (nth, (panel, ranges)) in panels.iter().enumerate() {
        let left = MARGIN + column * (nth % COLUMNS) as f64;
        let top = first_row + row * (nth / COLUMNS) as f64 + ABOVE;
        let area = Area::new(left + LEFT, top, left + LEFT + SIDES[0], top + SIDES[1]);
        draw_panel(&mut sheet, panel, ranges, &area, left + column);
    }
    Draft {
        name: NAME,
        title: title.to_owned(),
        caption: caption.to_owned(),
        sheet,
    }
    .render()
}

/// What a panel's axes hold.
struct Ranges {
    builds: [f64; 2],
    /// Lowest and highest shown.
    errors: [f64; 2],
    /// Where the guides begin.
    start: f64,
}

fn drawn(line: &ErrorLine) -> impl Iterator<Item = &ErrorPoint> {
    let usable = |value: f64| value > 0.0 && value.is_finite();
    line.points
        .iter()
        .filter(move |point| usable(point.builds) && usable(point.error))
}

impl Ranges {
    /// `None` without a point.
    fn of(panel: &ErrorPanel) -> Option<Self> {
        let all = || panel.lines.iter().flat_map(drawn);
        let range = |value: fn(&ErrorPoint) -> f64| {
            all()
                .map(value)
                .fold([f64::INFINITY, 0.0], |[low, high], value| {
                    [f64::min(low, value), f64::max(high, value)]
                })
        };
        let builds = range(|point| point.builds);
        let [low, high] = range(|point| point.error);
        let start = ABOVE_LINE
            * panel
                .lines
                .iter()
                .find_map(|line| drawn(line).next())?
                .error;
        let steepest = start * builds[0] / builds[1];
        Some(Self {
            builds,
            errors: [low.min(steepest) / 1.5, high.max(start) * 1.3],
            start,
        })
    }
}

/// One label right of a panel: the height of what it names, text and style.
struct EndLabel {
    y: f64,
    text: String,
    style: Type,
}

fn draw_panel(sheet: &mut Sheet, panel: &ErrorPanel, ranges: &Ranges, area: &Area, right: f64) {
    let across = Axis {
        values: [ranges.builds[0] / 1.2, ranges.builds[1] * 1.2],
        places: [area.left, area.right],
        spacing: Spacing::Logarithmic,
    };
    let up = Axis {
        values: ranges.errors,
        places: [area.bottom, area.top],
        spacing: Spacing::Logarithmic,
    };
    let heading = [area.left - 50.0, area.top - 40.0];
    let room = right - heading[0];
    sheet.text_in(heading, &panel.title, STRONG, Anchor::Start, room);
    bottom_axis(
        sheet,
        &across,
        [area.top, area.bottom],
        6,
        "builds, logarithmic scale",
        |tick, _| number(tick, 1.0),
    );
    left_axis(
        sheet,
        &up,
        [area.left, area.right],
        6,
        "root mean square error, % of the value",
        |tick, _| percent_at_powers(tick),
    );
    let mut labels = Vec::new();
    for (slope, words) in GUIDES {
        let end = ranges.start * libm::pow(ranges.builds[1] / ranges.builds[0], slope);
        let place = |builds: f64, error: f64| [across.at(builds), up.at(error)];
        let ends = [
            place(ranges.builds[0], ranges.start),
            place(ranges.builds[1], end),
        ];
        sheet.stroke_within(area, &ends, GREY, 1.2, Pattern::Dotted);
        labels.push(EndLabel {
            y: ends[1][1],
            text: words.to_owned(),
            style: Type { ink: GREY, ..LABEL },
        });
    }
    for (nth, line) in panel.lines.iter().enumerate() {
        labels.extend(draw_line(
            sheet,
            line,
            STYLES[nth % STYLES.len()],
            &across,
            &up,
        ));
    }
    let from = across.at(ranges.builds[1]);
    write_labels(sheet, labels, area, from, right);
}

/// Colour, dash and marker of a line.
type Style = (Ink, Pattern, Marker);

#[derive(Debug, Clone, Copy)]
enum Marker {
    Disc,
    Square,
    Triangle,
}

const STYLES: [Style; 3] = [
    (BLACK, Pattern::Solid, Marker::Disc),
    (BLUE, Pattern::Dashed, Marker::Square),
    (VERMILLION, Pattern::DashDot, Marker::Triangle),
];

/// Draws a line with its markers and bars of one standard error; gives the label of its end.
fn draw_line(
    sheet: &mut Sheet,
    line: &ErrorLine,
    (ink, dash, marker): Style,
    across: &Axis,
    up: &Axis,
) -> Option<EndLabel> {
    let points: Vec<Spot> = drawn(line)
        .map(|point| [across.at(point.builds), up.at_most(point.error)])
        .collect();
    sheet.stroke(&points, ink, 1.8, dash);
    for (point, at) in drawn(line).zip(&points) {
        let bar = [-1.0, 1.0].map(|sign| {
            let end = point.error + sign * point.standard_error;
            [at[0], up.at_most(end.max(f64::MIN_POSITIVE))]
        });
        if point.standard_error.is_finite() {
            sheet.line(bar[0], bar[1], ink, 1.0);
        }
        draw_marker(sheet, *at, marker, ink);
    }
    let [slope, error] = line.slope;
    Some(EndLabel {
        y: points.last()?[1],
        text: format!(
            "{} {}\u{A0}\u{B1}\u{A0}{}",
            line.name,
            number(slope, 0.01),
            number(error, 0.01)
        ),
        style: Type { ink, ..STRONG },
    })
}

fn draw_marker(sheet: &mut Sheet, [x, y]: Spot, marker: Marker, ink: Ink) {
    match marker {
        Marker::Disc => sheet.disc([x, y], 3.6, ink),
        Marker::Square => sheet.rect(&Area::new(x, y, x, y).grown(3.4), ink),
        Marker::Triangle => {
            sheet.fill(&[[x - 4.4, y + 3.6], [x + 4.4, y + 3.6], [x, y - 4.6]], ink)
        }
    }
}

/// Writes the labels one below the other in the order of what they name, each with a line to it.
fn write_labels(sheet: &mut Sheet, mut labels: Vec<EndLabel>, area: &Area, from: f64, right: f64) {
    labels.sort_by(|a, b| a.y.total_cmp(&b.y));
    let mut places: Vec<f64> = Vec::new();
    for label in &labels {
        let least = places.last().map_or(area.top, |above| above + APART);
        places.push(label.y.clamp(area.top, area.bottom).max(least));
    }
    let mut most = area.bottom;
    for place in places.iter_mut().rev() {
        *place = place.min(most);
        most = *place - APART;
    }
    let x = area.right + 14.0;
    for (label, place) in labels.iter().zip(places) {
        let end = label.y.clamp(area.top, area.bottom);
        sheet.line([from + 6.0, end], [x - 3.0, place], label.style.ink, 0.8);
        let style = narrowed(&label.text, label.style, right - x);
        sheet.text_in([x, place], &label.text, style, Anchor::Start, right - x);
    }
}

/// The style with letters as small as 11 px where the text would not fit otherwise.
fn narrowed(text: &str, style: Type, room: f64) -> Type {
    let em = style.em * (room / text_width(text, style)).min(1.0);
    Type {
        em: em.max(11.0),
        ..style
    }
}

/// A power of ten in per cent; nothing for any other number.
fn percent_at_powers(share: f64) -> String {
    let power = libm::round(libm::log10(share));
    if (share / libm::pow(10.0, power) - 1.0).abs() > 1e-6 {
        return String::new();
    }
    format!("{}\u{A0}%", number(100.0 * share, 100.0 * share))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn powers_of_ten_are_written_in_per_cent_and_others_are_not() {
        assert_eq!(percent_at_powers(0.001), "0.1\u{A0}%");
        assert_eq!(percent_at_powers(1e-5), "0.001\u{A0}%");
        assert_eq!(percent_at_powers(1.0), "100\u{A0}%");
        assert_eq!(percent_at_powers(0.002), "");
    }
}
