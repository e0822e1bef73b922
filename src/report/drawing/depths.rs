//! What the rods' depths trade: yield and margin over the two measures of scatter.

use super::axis::{Axis, Spacing, bottom_axis, left_axis, number};
use super::labels::Labels;
use super::sheet::{
    Anchor, Area, BLACK, BLUE, GREEN, GREY, LABEL, NOTE, Pattern, SKY, STRONG, Sheet, Spot, Type,
    VERMILLION, WHITE,
};
use super::text::wrapped;
use super::{Draft, Drawing, DrawingError, MARGIN, WIDTH, text, titled};
use crate::decision::{DepthLayout, Depths};

const NAME: &str = "depths";
const TITLE: &str = "Where the rods hang: robust against surprising";
/// Left edges of the two columns, their width; tops of the two rows, their height, px.
const LEFTS: [f64; 2] = [80.0, 600.0];
const PANEL_WIDTH: f64 = 400.0;
const PANEL_HEIGHT: f64 = 210.0;
const FIRST_TOP: f64 = 128.0;
const ROW: f64 = 310.0;
/// Yields this many points below all that is compared are drawn at the edge.
const FAR_BELOW: f64 = 12.0;
/// Margins above this many limits say nothing more and are drawn at the edge.
const MOST_MARGIN: f64 = 2.0;

/// One measure along the bottom.
struct Measure {
    title: &'static str,
    spacing: Spacing,
    value: fn(&DepthLayout) -> Option<f64>,
}

const MEASURES: [Measure; 2] = [
    Measure {
        title: "head movement at which it falls apart, mm, logarithmic (less is more surprising)",
        spacing: Spacing::Logarithmic,
        value: |layout| layout.scatter.falls_apart_mm,
    },
    Measure {
        title: "spread of the rod ends' depths, mm (more is more surprising)",
        spacing: Spacing::Even,
        value: |layout| Some(layout.scatter.depth_spread_mm),
    },
];

/// Draws the trade-off.
///
/// # Errors
/// [`DrawingError`] when the drawing library or the encoder refuses.
pub fn depths_drawing(depths: &Depths, target: f64) -> Result<Drawing, DrawingError> {
    text::check_font()?;
    draft(depths, target).render()
}

fn draft(depths: &Depths, target: f64) -> Draft {
    let mut sheet = titled(TITLE, FIRST_TOP + ROW + PANEL_HEIGHT + 60.0);
    let key = [
        match depths.offers.len() {
            0 => "Black square: as it is. None is offered.".to_owned(),
            _ => "Black square: as it is. Green triangles with letters: offered, more robust and no less scattered.".to_owned(),
        },
        format!(
            "Small blue rings: the best of {} layouts that can be built. Grey dotted: today's depths drawn together (under x1) or apart on each line, with rods of any length.",
            number(depths.tried as f64, 1.0)
        ),
    ];
    let lines = key
        .iter()
        .flat_map(|words| wrapped(words, NOTE, WIDTH - 2.0 * MARGIN))
        .collect::<Vec<_>>();
    for (nth, line) in lines.iter().enumerate() {
        let y = 50.0 + 16.0 * nth as f64;
        sheet.text([MARGIN, y], line, NOTE, Anchor::Start);
    }
    for (left, measure) in LEFTS.into_iter().zip(&MEASURES) {
        for row in 0..2 {
            let top = FIRST_TOP + ROW * f64::from(row);
            let area = Area::new(left, top, left + PANEL_WIDTH, top + PANEL_HEIGHT);
            draw_panel(&mut sheet, &area, depths, measure, row == 0, target);
        }
    }
    let caption = format!(
        "Each mark is one layout of the rods' depths. Above: share of builds that pass ({} builds each, the same for all; target {}\u{A0}%). Below: the fault that this share of builds stays within, over its limit (1 is the limit, less is better). It falls apart where half of its junctions are visibly open to a bare eye; offered layouts keep rod lengths of {} to {} mm and depths of {} to {} mm.",
        number(depths.run.builds as f64, 1.0),
        number(100.0 * target, 0.1),
        number(depths.length_mm[0], 1.0),
        number(depths.length_mm[1], 1.0),
        number(depths.depth_mm[0], 1.0),
        number(depths.depth_mm[1], 1.0),
    );
    Draft {
        name: NAME,
        title: TITLE.to_owned(),
        caption,
        sheet,
    }
}

/// Where a layout stands in a panel; `None` where it has no such measure.
struct Places<'a> {
    across: Axis,
    up: Axis,
    measure: &'a Measure,
    yields: bool,
}

impl Places<'_> {
    fn of(&self, layout: &DepthLayout) -> Option<Spot> {
        let value = (self.measure.value)(layout)?;
        let [low, high] = self.across.values;
        (value >= low && value <= high).then(|| {
            [
                self.across.at(value),
                self.up.at_most(height(layout, self.yields)),
            ]
        })
    }
}

fn height(layout: &DepthLayout, yields: bool) -> f64 {
    if yields {
        100.0 * layout.build_yield.share().unwrap_or(0.0)
    } else {
        layout.margin.min(MOST_MARGIN)
    }
}

/// Smallest and largest of some values.
fn range(values: impl Iterator<Item = f64>) -> [f64; 2] {
    values.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], value| {
        [f64::min(low, value), f64::max(high, value)]
    })
}

/// What the upright axis shows: all heights and `level`, with some air.
fn shown_heights(depths: &Depths, yields: bool, level: f64) -> [f64; 2] {
    let heights = |layouts: &mut dyn Iterator<Item = &DepthLayout>| {
        range(layouts.map(|layout| height(layout, yields)).chain([level]))
    };
    let offered = || depths.offers.iter().map(|offer| &offer.layout);
    let compared = || [&depths.as_is].into_iter().chain(offered());
    let [mut least, most] = heights(&mut compared().chain(&depths.front));
    if yields {
        // what fails far below what is compared only squeezes the rest
        least = least.max(heights(&mut compared())[0] - FAR_BELOW);
    }
    let air = (0.12 * (most - least)).max(0.02);
    let top = most + air;
    [
        (least - air).max(0.0),
        if yields { top.min(101.0) } else { top },
    ]
}

fn draw_panel(
    sheet: &mut Sheet,
    area: &Area,
    depths: &Depths,
    measure: &Measure,
    yields: bool,
    target: f64,
) {
    let shown = [&depths.as_is].into_iter().chain(&depths.front);
    let [low, high] = range(shown.filter_map(measure.value));
    if !(low.is_finite() && high.is_finite()) {
        let words = "no junction opens: nothing falls apart";
        sheet.text(area.centre(), words, LABEL, Anchor::Middle);
        return;
    }
    let spacing = if low > 0.0 {
        measure.spacing
    } else {
        Spacing::Even
    };
    let values = match spacing {
        Spacing::Logarithmic => [low / 1.15, high * 1.15],
        Spacing::Even => {
            let room = (0.08 * (high - low)).max(0.02 * high.abs()).max(1e-6);
            [(low - room).max(0.0), high + room]
        }
    };
    let level = if yields { 100.0 * target } else { 1.0 };
    let places = Places {
        across: Axis {
            values,
            places: [area.left, area.right],
            spacing,
        },
        up: Axis::even(
            shown_heights(depths, yields, level),
            [area.bottom, area.top],
        ),
        measure,
        yields,
    };
    let across = [area.top, area.bottom];
    bottom_axis(sheet, &places.across, across, 6, measure.title, number);
    let title = if yields {
        "builds that pass, % (the lowest line stands for all below)"
    } else {
        "fault that the target share stays within, over its limit (2 for all beyond)"
    };
    left_axis(sheet, &places.up, [area.left, area.right], 5, title, number);
    let y = places.up.at(level);
    let line = [[area.left, y], [area.right, y]];
    sheet.stroke(&line, VERMILLION, 1.6, Pattern::Dashed);
    draw_marks(sheet, area, depths, &places, y);
}

fn draw_marks(sheet: &mut Sheet, area: &Area, depths: &Depths, places: &Places<'_>, level_y: f64) {
    let mut labels = Labels::new(*area);
    let level = if places.yields { "target" } else { "limit" };
    let mut named = vec![([area.right - 24.0, level_y], level.to_owned(), VERMILLION)];
    labels.keep_off([area.left, level_y], [area.right, level_y]);
    let mut together: Vec<(f64, Spot)> = depths
        .drawn_together
        .iter()
        .chain([&(1.0, depths.as_is.clone())])
        .filter_map(|(factor, layout)| Some((*factor, places.of(layout)?)))
        .collect();
    together.sort_by(|a, b| a.0.total_cmp(&b.0));
    let curve: Vec<Spot> = together.iter().map(|(_, at)| *at).collect();
    sheet.stroke_within(area, &curve, GREY, 1.4, Pattern::Dotted);
    for pair in curve.windows(2) {
        labels.rather_keep_off(pair[0], pair[1]);
    }
    for layout in &depths.front {
        if let Some(at) = places.of(layout) {
            sheet.disc(at, 3.2, SKY);
            sheet.ring(at, 3.2, BLUE);
            labels.keep_clear(Area::new(at[0], at[1], at[0], at[1]).grown(3.6));
        }
    }
    for (factor, at) in &together {
        if *factor != 1.0 {
            sheet.disc(*at, 2.6, GREY);
            named.push((
                *at,
                format!(
                    "x{}",
                    number(*factor, 0.01)
                        .trim_end_matches('0')
                        .trim_end_matches('.')
                ),
                GREY,
            ));
        }
    }
    let mut letters = Vec::new();
    for (nth, offer) in depths.offers.iter().enumerate() {
        if let Some([x, y]) = places.of(&offer.layout) {
            letters.push(([x, y], offer_letter(nth).to_string()));
            labels.keep_clear(Area::new(x, y, x, y).grown(10.0));
        }
    }
    if let Some([x, y]) = places.of(&depths.as_is) {
        sheet.rect(&Area::new(x, y, x, y).grown(5.0), BLACK);
        labels.keep_clear(Area::new(x, y, x, y).grown(6.0));
        named.push(([x, y], "as it is".to_owned(), BLACK));
    }
    for ([x, y], letter) in letters {
        sheet.fill(
            &[[x - 10.0, y + 8.0], [x + 10.0, y + 8.0], [x, y - 11.0]],
            GREEN,
        );
        let style = Type {
            em: 11.0,
            ink: WHITE,
            ..STRONG
        };
        sheet.text([x, y + 2.5], &letter, style, Anchor::Middle);
    }
    // the names that matter most find their room first
    for (at, name, ink) in named.into_iter().rev() {
        labels.place(sheet, at, &name, Type { ink, ..STRONG });
    }
}

/// The letter of an offer.
pub(in crate::report) fn offer_letter(nth: usize) -> char {
    char::from(b'A' + nth.min(25) as u8)
}
