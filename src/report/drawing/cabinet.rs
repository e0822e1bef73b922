//! The cabinet from above and from the side, to scale: plates, lines, rods, eye and peephole.

use super::axis::{brief, many, scale_bar};
use super::labels::Labels;
use super::sheet::{
    Anchor, Area, BLACK, BLUE, GREEN, GREY, Ink, LABEL, NOTE, ORANGE, PALE, PURPLE, Pattern, SKY,
    STRONG, Sheet, Spot, Type, VERMILLION, WHITE, text_area,
};
use super::stretch::Part;
use super::text::text_width;
use super::view::junctions_by_line;
use super::{Draft, MARGIN, WIDTH, titled};
use crate::figure::{Allowed, Item, Plan};
use crate::geometry::Point;

const NAME: &str = "cabinet";
const TITLE: &str = "The cabinet from above and from the side";
/// Rods take these in turn; two rods that share one differ in their dash.
const INKS: [Ink; 6] = [BLUE, VERMILLION, GREEN, PURPLE, ORANGE, SKY];
const DASHES: [Pattern; 3] = [Pattern::Solid, Pattern::Dashed, Pattern::DashDot];
/// Most height of both panels together, px.
const MOST_HEIGHT: f64 = 760.0;
/// Least height of one panel, px.
const LEAST_HEIGHT: f64 = 110.0;
/// Space in a panel around what it shows, px.
const AROUND: f64 = 34.0;

/// One of the two panels: which coordinate runs up, and on which one the viewer looks down.
struct Panel {
    up: usize,
    towards_viewer: f64,
    depth: usize,
    heading: &'static str,
    /// What lies at the top and at the bottom.
    ends: &'static str,
}

/// Seen from above +x (the viewer's left) is up, since x = y × z; seen from the viewer's right +y is.
const PANELS: [Panel; 2] = [
    Panel {
        up: 0,
        towards_viewer: 1.0,
        depth: 1,
        heading: "from above",
        ends: "top: viewer's left (+x); bottom: viewer's right",
    },
    Panel {
        up: 1,
        towards_viewer: -1.0,
        depth: 0,
        heading: "from the viewer's right",
        ends: "top: up (+y)",
    },
];

/// z to the right, one coordinate up, equal scales.
struct Mapping {
    area: Area,
    low_z_mm: f64,
    middle_up_mm: f64,
    px_per_mm: f64,
    up: usize,
}

impl Mapping {
    fn at(&self, point: &Point) -> Spot {
        self.place(point.z, point[self.up])
    }

    fn place(&self, z_mm: f64, up_mm: f64) -> Spot {
        [
            self.area.left + AROUND + (z_mm - self.low_z_mm) * self.px_per_mm,
            self.area.centre()[1] - (up_mm - self.middle_up_mm) * self.px_per_mm,
        ]
    }
}

/// The cabinet's inside: walls, and between which depths rods may hang, mm.
struct Inside {
    /// Nearest and farthest z.
    z_mm: [f64; 2],
    /// Least and largest coordinate across and up.
    across_mm: [[f64; 2]; 2],
    hang_mm: [f64; 2],
}

impl Inside {
    fn of(plan: &Plan, allowed: &Allowed) -> Self {
        let peephole = &plan.design.peephole;
        let face_mm = peephole.eye_relief_mm + peephole.plate_mm;
        let [width_mm, height_mm, depth_mm] = allowed.inside_mm;
        // +x is the viewer's left
        let [left_mm, floor_mm] = allowed.axis_mm;
        Self {
            z_mm: [face_mm, face_mm + depth_mm],
            across_mm: [
                [left_mm - width_mm, left_mm],
                [-floor_mm, height_mm - floor_mm],
            ],
            hang_mm: allowed.hang_mm(plan.design.plates.map(|plate| plate.z_mm)),
        }
    }
}

/// Draws both panels.
pub(super) fn cabinet(plan: &Plan) -> Draft {
    draw(plan, None)
}

/// Draws both panels within the cabinet's walls.
pub(super) fn cabinet_within(plan: &Plan, allowed: &Allowed) -> Draft {
    draw(plan, Some(&Inside::of(plan, allowed)))
}

fn draw(plan: &Plan, inside: Option<&Inside>) -> Draft {
    let rear_mm = plan.design.plates[1].z_mm;
    let far_mm = inside.map_or(rear_mm, |inside| inside.z_mm[1].max(rear_mm));
    let low_z_mm = -0.02 * far_mm;
    let spans: Vec<[f64; 2]> = PANELS
        .iter()
        .map(|panel| {
            let [low, high] = span_mm(plan, panel.up);
            inside.map_or([low, high], |inside| {
                let walls_mm = inside.across_mm[panel.up];
                [low.min(walls_mm[0]), high.max(walls_mm[1])]
            })
        })
        .collect();
    let widths: f64 = spans.iter().map(|[low, high]| high - low).sum();
    let room = WIDTH - 2.0 * MARGIN - 2.0 * AROUND - 40.0;
    let px_per_mm =
        (room / (1.02 * far_mm - low_z_mm)).min((MOST_HEIGHT - 4.0 * AROUND) / widths.max(1e-9));
    let heights: Vec<f64> = spans
        .iter()
        .map(|[low, high]| ((high - low) * px_per_mm + 2.0 * AROUND).max(LEAST_HEIGHT))
        .collect();
    let mut sheet = titled(TITLE, 150.0 + heights.iter().sum::<f64>() + 40.0);
    let mut top = 68.0;
    let mut named = 0;
    for (panel, (span, height)) in PANELS.iter().zip(spans.iter().zip(&heights)) {
        sheet.text([MARGIN, top - 13.0], panel.heading, STRONG, Anchor::Start);
        let x = MARGIN + text_width(panel.heading, STRONG) + 14.0;
        sheet.text([x, top - 13.0], panel.ends, NOTE, Anchor::Start);
        let mapping = Mapping {
            area: Area::new(MARGIN, top, WIDTH - MARGIN, top + height),
            low_z_mm,
            middle_up_mm: (span[0] + span[1]) / 2.0,
            px_per_mm,
            up: panel.up,
        };
        named += draw_panel(&mut sheet, plan, panel, &mapping, inside);
        top += height + 40.0;
    }
    scale_bar(
        &mut sheet,
        [MARGIN + AROUND, top + 6.0],
        220.0,
        px_per_mm,
        "mm",
    );
    sheet.text(
        [WIDTH - MARGIN, top],
        "z, into the cabinet \u{2192}; same scale across and along, mm",
        NOTE,
        Anchor::End,
    );
    let rods = plan.design.rods.len();
    let left_out = if named < 2 * rods {
        " Names that found no room are left out."
    } else {
        ""
    };
    let walls = inside.map_or_else(String::new, |inside| {
        format!(
            " The thick frame is the inside of the cabinet; between the dashed lines, {} to {}\u{A0}mm, rods may hang.",
            brief(inside.hang_mm[0]),
            brief(inside.hang_mm[1])
        )
    });
    let caption = format!(
        "Nominal places to scale: {} (thick) on {} (thin) between plates {} and {}\u{A0}mm from the eye; the \
         peephole is {}\u{A0}mm wide. From here they should look like a scatter: judge for yourself. In the view from above \
         the viewer's right hand is at the bottom.{walls}{left_out}",
        many(rods as u64, "rod"),
        many(plan.design.vertices.len() as u64, "taut line"),
        brief(plan.design.plates[0].z_mm),
        brief(rear_mm),
        brief(plan.design.peephole.diameter_mm),
    );
    Draft {
        name: NAME,
        title: TITLE.to_owned(),
        caption,
        sheet,
    }
}

/// Smallest and largest coordinate of what a panel shows, mm; the axis is among it.
fn span_mm(plan: &Plan, up: usize) -> [f64; 2] {
    let peephole_mm = 0.6 * plan.design.peephole.diameter_mm;
    let holes = plan.holes_mm.iter().flatten().map(|hole| hole[up]);
    let ends = (0..plan.targets.len()).map(|end| plan.end_mm(end)[up]);
    holes
        .chain(ends)
        .fold([-peephole_mm, peephole_mm], |span, value| {
            [span[0].min(value), span[1].max(value)]
        })
}

/// Draws one panel; how many rods it could name.
fn draw_panel(
    sheet: &mut Sheet,
    plan: &Plan,
    panel: &Panel,
    mapping: &Mapping,
    inside: Option<&Inside>,
) -> usize {
    let area = &mapping.area;
    sheet.outline(area, PALE, 1.0);
    let mut labels = Labels::new(*area);
    if let Some(inside) = inside {
        draw_walls(sheet, inside, mapping, &mut labels);
    }
    draw_plates(sheet, plan, mapping, inside, &mut labels);
    for (line, junction) in junctions_by_line(plan).into_iter().enumerate() {
        let holes = [0, 1].map(|plate| {
            let hole = plan.holes_mm[plate][line];
            mapping.at(&Point::new(hole.x, hole.y, plan.design.plates[plate].z_mm))
        });
        labels.rather_keep_off(holes[0], holes[1]);
        let draw = |sheet: &mut Sheet| {
            sheet.stroke(&holes, GREY, 0.7, Pattern::Solid);
            for hole in holes {
                sheet.disc(hole, 1.6, BLACK);
            }
        };
        match junction {
            Some(junction) => {
                let ends = &plan.junctions[junction].ends;
                let at: Vec<Spot> = ends
                    .iter()
                    .map(|end| mapping.at(&plan.end_mm(*end)))
                    .collect();
                let item = Item::Junction(junction);
                sheet.place_of(item, &at);
                sheet.part_of(item, Part::Body, draw);
            }
            None => draw(sheet),
        }
    }
    draw_eye(sheet, plan, mapping, inside.is_some(), &mut labels);
    // far rods first, so that near ones lie over them as they do for whoever looks
    let mut order: Vec<usize> = (0..plan.design.rods.len()).collect();
    let near = |rod: &usize| {
        let sum = plan.end_mm(2 * rod)[panel.depth] + plan.end_mm(2 * rod + 1)[panel.depth];
        panel.towards_viewer * sum
    };
    order.sort_by(|a, b| near(a).total_cmp(&near(b)));
    for rod in &order {
        let ends = [0, 1].map(|end| mapping.at(&plan.end_mm(2 * rod + end)));
        let width = (plan.design.rods[*rod].diameter_mm * mapping.px_per_mm).clamp(3.0, 9.0);
        let dash = DASHES[(rod / INKS.len()) % DASHES.len()];
        sheet.part_of(Item::Rod(*rod), Part::Body, |sheet| {
            sheet.stroke(&ends, WHITE, width + 2.4, Pattern::Solid);
            sheet.stroke(&ends, INKS[rod % INKS.len()], width, dash);
        });
        labels.keep_off(ends[0], ends[1]);
    }
    let style = Type { em: 12.0, ..LABEL };
    (0..plan.design.rods.len())
        .filter(|rod| {
            let ends = [0, 1].map(|end| mapping.at(&plan.end_mm(2 * rod + end)));
            let name = &plan.design.rods[*rod].name;
            let spots = [0.5, 0.75, 0.25, 1.0, 0.0]
                .map(|t| [0, 1].map(|c| ends[0][c] + t * (ends[1][c] - ends[0][c])));
            sheet.part_of(Item::Rod(*rod), Part::Name, |sheet| {
                labels.place_by(sheet, &spots, Some(ends), name, style)
            })
        })
        .count()
}

fn draw_walls(sheet: &mut Sheet, inside: &Inside, mapping: &Mapping, labels: &mut Labels) {
    let [low, high] = inside.across_mm[mapping.up];
    let [near, far] = inside.z_mm;
    let corners = [
        [near, low],
        [near, high],
        [far, high],
        [far, low],
        [near, low],
    ]
    .map(|[z_mm, up_mm]| mapping.place(z_mm, up_mm));
    sheet.stroke(&corners, GREY, 3.0, Pattern::Solid);
    for sides in corners.windows(2) {
        labels.keep_off(sides[0], sides[1]);
    }
    for z_mm in inside.hang_mm {
        let ends = [low, high].map(|up_mm| mapping.place(z_mm, up_mm));
        sheet.stroke(&ends, GREY, 1.0, Pattern::Dashed);
        labels.rather_keep_off(ends[0], ends[1]);
    }
}

fn draw_plates(
    sheet: &mut Sheet,
    plan: &Plan,
    mapping: &Mapping,
    inside: Option<&Inside>,
    labels: &mut Labels,
) {
    // names keep off the walls
    let [least, most] = inside.map_or([mapping.area.left, mapping.area.right], |inside| {
        inside.z_mm.map(|z_mm| mapping.place(z_mm, 0.0)[0])
    });
    let [floor, ceiling] = inside.map_or([mapping.area.bottom, mapping.area.top], |inside| {
        inside.across_mm[mapping.up].map(|up_mm| mapping.place(0.0, up_mm)[1])
    });
    let names = ["front plate", "rear plate"];
    let mut front: Option<Area> = None;
    for ((plate, holes), name) in plan.design.plates.iter().zip(&plan.holes_mm).zip(names) {
        let (low, high) = holes
            .iter()
            .fold((f64::MAX, f64::MIN), |(low, high), hole| {
                (low.min(hole[mapping.up]), high.max(hole[mapping.up]))
            });
        let [x, top] = mapping.place(plate.z_mm, high);
        let [_, bottom] = mapping.place(plate.z_mm, low);
        let (top, bottom) = (top - 9.0, bottom + 9.0);
        sheet.stroke(&[[x, top], [x, bottom]], PALE, 7.0, Pattern::Solid);
        for side in [-3.5, 3.5] {
            sheet.line([x + side, top], [x + side, bottom], GREY, 0.8);
        }
        let words = format!("{name}, z\u{A0}=\u{A0}{}\u{A0}mm", brief(plate.z_mm));
        let half = text_width(&words, NOTE) / 2.0;
        let low = (least + half + 6.0).max(mapping.area.left + half + 6.0);
        let middle = x.clamp(low, (most - half - 6.0).max(low));
        let above = [middle, (top - 12.0).max(ceiling + 11.0)];
        let below = [middle, (bottom + 12.0).min(floor - 11.0)];
        let room = |at: Spot| text_area(at, &words, NOTE, Anchor::Middle);
        // plates close to each other: one name above, one below
        let at = match front {
            Some(front) if room(above).overlaps(&front) => below,
            _ => above,
        };
        sheet.text(at, &words, NOTE, Anchor::Middle);
        labels.keep_clear(room(at));
        front = Some(room(at));
        labels.keep_clear(Area::new(x - 5.0, top, x + 5.0, bottom));
    }
}

fn draw_eye(
    sheet: &mut Sheet,
    plan: &Plan,
    mapping: &Mapping,
    has_walls: bool,
    labels: &mut Labels,
) {
    let peephole = &plan.design.peephole;
    let eye = mapping.place(0.0, 0.0);
    let radius_px = peephole.diameter_mm / 2.0 * mapping.px_per_mm;
    let [x, y] = mapping.place(peephole.eye_relief_mm, 0.0);
    // the opening is to scale; how far its plate reaches beyond it is not part of the design
    for side in [-1.0, 1.0] {
        let from = y + side * radius_px;
        sheet.line([x, from], [x, from + side * 20.0], BLACK, 2.4);
    }
    sheet.disc(eye, 3.2, BLACK);
    let words = [
        "dot: eye (pupil), z\u{A0}=\u{A0}0".to_owned(),
        format!(
            "bars: peephole, z\u{A0}=\u{A0}{}\u{A0}mm",
            brief(peephole.eye_relief_mm)
        ),
    ];
    let below = y + radius_px + 34.0;
    // within walls the words stand behind the one that the peephole is in
    let at = [if has_walls { x + 8.0 } else { eye[0] - 4.0 }, below];
    let inside = mapping.area.bottom - 9.0;
    if below + 16.0 < inside {
        for (nth, word) in words.iter().enumerate() {
            let place = [at[0], at[1] + 16.0 * nth as f64];
            sheet.text(place, word, NOTE, Anchor::Start);
            labels.keep_clear(text_area(place, word, NOTE, Anchor::Start));
        }
    } else {
        let place = [x + 10.0, y];
        let word = "dot: eye; bars: peephole";
        sheet.text(place, word, NOTE, Anchor::Start);
        labels.keep_clear(text_area(place, word, NOTE, Anchor::Start));
    }
}
