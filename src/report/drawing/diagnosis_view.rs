//! A build as its readings show it, over what should be seen, with what a picture shows of it: large, and small for the record.

use super::labels::Labels;
use super::sheet::{
    Anchor, Area, BLACK, BLUE, Ink, LABEL, ORANGE, PURPLE, Pattern, STRONG, Sheet, Spot, YELLOW,
    text_area,
};
use super::stretch::Part;
use super::text::{fitted, text_width};
use super::view::{
    Key, Look, Mapping, Over, bounds, cross, draw_view, inside, name_vertices, picture,
};
use super::{Draft, frame_words};
use crate::decision::diagnosis::{Diagnosis, Explanation};
use crate::decision::seen_rods;
use crate::figure::{Bench, Family, Frame, Item, Plan, Quantity, Source};
use crate::geometry::{Pair, Similarity};
use crate::trial::Sight;

/// Names of the drawing and of its small form.
pub(super) const NAME: &str = "as-seen";
const SMALL_NAME: &str = "as-seen-small";
const TITLE: &str = "What the eye sees of the build as it is";
/// Size of the small form, px.
const SMALL: [f64; 2] = [420.0, 232.0];
/// Half length of a cross's arms, px.
const ARM: f64 = 5.0;
/// How far the worst place's outline stands off it, px.
const OFF: f64 = 10.0;
const CROSS: Ink = PURPLE;
const WORST: Ink = ORANGE;

/// What is seen.
struct AsSeen {
    /// Rods as [`seen_rods`] gives them.
    rods: Vec<Vec<Pair>>,
    marks: Marks,
}

/// What is drawn over the rods.
struct Marks {
    /// The rods once more, for they lie close to their target edges, which would cover them.
    rods: Vec<Vec<Pair>>,
    /// Points of the picture, in the judged frame.
    crosses: Vec<Pair>,
    /// Outline of what is worst.
    worst: Option<Outline>,
}

enum Outline {
    Along(Vec<Pair>),
    About(Pair),
}

impl Over for Marks {
    fn draw(&self, sheet: &mut Sheet, mapping: &Mapping, weight: f64) {
        for (rod, seen) in self.rods.iter().enumerate() {
            let points: Vec<Spot> = seen.iter().map(|point| mapping.at(point)).collect();
            let heavy = if sheet.lit.contains(&rod) { 2.4 } else { 1.2 };
            sheet.part_of(Item::Rod(rod), Part::Look, |sheet| {
                sheet.stroke_within(&mapping.area, &points, BLUE, heavy * weight, Pattern::Solid);
            });
        }
        // magnified, the worst place is all that is shown
        let worst = self.worst.as_ref().filter(|_| weight <= 1.0);
        match worst {
            Some(Outline::Along(rod)) => {
                let points: Vec<Spot> =
                    capsule(mapping.at(&rod[0]), mapping.at(&rod[rod.len() - 1]));
                sheet.stroke_within(&mapping.area, &points, WORST, 2.0, Pattern::Dashed);
            }
            Some(Outline::About(place)) => {
                let at = mapping.at(place);
                sheet.stroke_within(&mapping.area, &capsule(at, at), WORST, 2.0, Pattern::Dashed);
            }
            None => {}
        }
        for direction in self.crosses.iter().filter(|one| inside(mapping, one)) {
            cross(sheet, mapping.at(direction), ARM * weight, CROSS);
        }
    }

    fn taken(&self, mapping: &Mapping) -> Vec<Area> {
        let around = |direction: &Pair| {
            let [x, y] = mapping.at(direction);
            Area::new(x, y, x, y).grown(ARM)
        };
        self.crosses.iter().map(around).collect()
    }
}

/// A line around the stretch from `a` to `b`, [`OFF`] px off it.
fn capsule(a: Spot, b: Spot) -> Vec<Spot> {
    const STEPS: u32 = 24;
    let heading = libm::atan2(b[1] - a[1], b[0] - a[0]);
    let half_turn = |centre: Spot, from: f64| {
        (0..=STEPS).map(move |step| {
            let angle = from + std::f64::consts::PI * f64::from(step) / f64::from(STEPS);
            [
                centre[0] + OFF * libm::cos(angle),
                centre[1] + OFF * libm::sin(angle),
            ]
        })
    };
    let quarter = std::f64::consts::FRAC_PI_2;
    let mut points: Vec<Spot> = half_turn(b, heading - quarter)
        .chain(half_turn(a, heading + quarter))
        .collect();
    points.push(points[0]);
    points
}

/// The build of the likeliest explanation for the eye at its mean place; `None` where not all of it is seen.
fn seen(plan: &Plan, bench: &Bench, diagnosis: &Diagnosis) -> Option<AsSeen> {
    let first = diagnosis.why.explanations.first()?;
    if first.build.len() != plan.layout.build_len || first.look.len() != plan.layout.look_len {
        return None;
    }
    let mut look = plan.mean_values(Family::Look);
    if diagnosis.why.relief_was_read {
        let relief = plan.layout.start(Source::EyeRelief);
        look[relief] = *diagnosis.why.look.get(relief)?;
    }
    let sight = Sight::of(plan, &first.build, &look).ok()?;
    let rods = seen_rods(plan, &sight)?;
    let worst = worst_item(diagnosis).map(|item| match item {
        Item::Rod(rod) => Outline::Along(rods[rod].clone()),
        Item::Junction(junction) => {
            let ends = &plan.junctions[junction].ends;
            let sum: Pair = ends
                .iter()
                .map(|end| {
                    let rod = &rods[end / 2];
                    if end % 2 == 0 {
                        rod[0]
                    } else {
                        rod[rod.len() - 1]
                    }
                })
                .sum();
            Outline::About(sum / ends.len() as f64)
        }
    });
    Some(AsSeen {
        marks: Marks {
            rods: rods.clone(),
            crosses: pictured(plan, bench, first).unwrap_or_default(),
            worst,
        },
        rods,
    })
}

fn worst_item(diagnosis: &Diagnosis) -> Option<Item> {
    diagnosis.finding.worst_item.as_ref().map(|(item, _)| *item)
}

/// Points of the picture through the peephole, put back through its frame, and through the similarity of what the camera saw
/// where that is taken away from what is judged.
fn pictured(plan: &Plan, bench: &Bench, first: &Explanation) -> Option<Vec<Pair>> {
    let fit: Option<Similarity> = match plan.design.judging.frame {
        Frame::Fixed => None,
        Frame::Fitted => {
            let mut camera = first.look.clone();
            if let Some(pupil_mm) = bench.camera_pupil_mm {
                camera[plan.layout.start(Source::Pupil)] = pupil_mm;
            }
            Some(Sight::of(plan, &first.build, &camera).ok()?.fit?)
        }
    };
    let is_pictured = |quantity| matches!(quantity, Quantity::SeenEnd | Quantity::SeenMiddle);
    let readings = bench.readings.iter();
    Some(
        readings
            .filter(|reading| is_pictured(reading.of.quantity))
            .filter_map(|reading| {
                let seen = first.frames.view.undo(Pair::from(reading.value))?;
                Some(fit.map_or(seen, |fit| fit.undo(seen)))
            })
            .filter(|seen| seen.iter().all(|c| c.is_finite()))
            .collect(),
    )
}

const NOT_SEEN: &str = "The most probable build does not show the whole figure to the eye at its mean place, so there is nothing to draw beside the target.";

/// The large form.
pub(super) fn as_seen(plan: &Plan, bench: &Bench, diagnosis: &Diagnosis) -> Draft {
    let Some(found) = seen(plan, bench, diagnosis) else {
        return Draft::without(NAME, TITLE, NOT_SEEN);
    };
    let looks = [Look {
        rods: &found.rods,
        ink: BLUE,
        dash: Pattern::Solid,
    }];
    let mut keys = vec![Key::Line(BLUE, Pattern::Solid, "rods as seen".to_owned())];
    if !found.marks.crosses.is_empty() {
        keys.push(Key::Cross(CROSS, "in the picture taken".to_owned()));
    }
    let worst = worst_item(diagnosis).map(|item| plan.item_name(item));
    if let Some(worst) = &worst {
        keys.push(Key::Line(WORST, Pattern::Dashed, format!("worst: {worst}")));
    }
    let (sheet, told) = picture(plan, &looks, TITLE, &keys, &found.marks);
    let crosses = match found.marks.crosses.len() {
        0 => String::new(),
        count => format!(
            " Crosses: {count} points of the picture taken, put back through its shift, turn and size; the camera stood where the readings put it, not at the eye's mean place."
        ),
    };
    let caption = format!(
        "The target edges (black, over a band as wide as the rods appear) and the rods of the most probable build as the eye at its mean place sees them (blue), in the {}.{crosses} {told}",
        frame_words(plan.design.judging.frame)
    );
    Draft {
        name: NAME,
        title: TITLE.to_owned(),
        caption,
        sheet,
    }
}

/// The small form: the same without a title, the rods `lit` marked.
pub(super) fn as_seen_small(
    plan: &Plan,
    bench: &Bench,
    diagnosis: &Diagnosis,
    lit: &[usize],
) -> Option<Draft> {
    let found = seen(plan, bench, diagnosis)?;
    let looks = [Look {
        rods: &found.rods,
        ink: BLUE,
        dash: Pattern::Solid,
    }];
    let (low, high) = bounds(plan, &looks);
    let extent = high - low;
    let area = Area::new(1.0, 1.0, SMALL[0] - 1.0, SMALL[1] - 24.0);
    // room for names about the figure
    let room = [area.width() - 100.0, area.height() - 44.0];
    let mapping = Mapping {
        area,
        centre: (low + high) / 2.0,
        px_per_rad: (room[0] / extent.x.max(1e-12)).min(room[1] / extent.y.max(1e-12)),
    };
    let mut sheet = Sheet::new(SMALL[0], SMALL[1]);
    sheet.lit = lit.to_vec();
    halos(&mut sheet, plan, &mapping);
    draw_view(&mut sheet, plan, &looks, &mapping, 1.0);
    found.marks.draw(&mut sheet, &mapping, 0.8);
    small_key(
        &mut sheet,
        !found.marks.crosses.is_empty(),
        found.marks.worst.is_some(),
    );
    let mut labels = Labels::new(area);
    for taken in found.marks.taken(&mapping) {
        labels.keep_clear(taken);
    }
    name_lit(&mut sheet, plan, &mapping, &mut labels);
    name_vertices(&mut sheet, plan, &looks, &mapping, None, labels);
    Some(Draft {
        name: SMALL_NAME,
        title: TITLE.to_owned(),
        caption: String::new(),
        sheet,
    })
}

/// Two strokes below what is marked: a rim and a bright core.
fn halo(sheet: &mut Sheet, area: &Area, ends: [Spot; 2], around_px: f64) {
    for (ink, more) in [(BLACK, 3.2), (YELLOW, 0.0)] {
        sheet.stroke_within(area, &ends, ink, around_px + more, Pattern::Solid);
    }
}

fn halos(sheet: &mut Sheet, plan: &Plan, mapping: &Mapping) {
    for rod in sheet.lit.clone() {
        let ends = plan.edges[rod].ends.map(|end| mapping.at(&end));
        let around_px = (plan.thickness_rad[rod] * mapping.px_per_rad).max(3.0) + 7.0;
        sheet.part_of(Item::Rod(rod), Part::Halo, |sheet| {
            halo(sheet, &mapping.area, ends, around_px);
        });
    }
}

/// The names of the rods that are marked, boxed, each beside its rod where there is room.
fn name_lit(sheet: &mut Sheet, plan: &Plan, mapping: &Mapping, labels: &mut Labels) {
    const LONGEST_PX: f64 = 110.0;
    // a name on another rod would be taken for that one's
    for edge in &plan.edges {
        let [a, b] = edge.ends.map(|end| mapping.at(&end));
        labels.keep_off(a, b);
    }
    for rod in sheet.lit.clone() {
        let [a, b] = plan.edges[rod].ends.map(|end| mapping.at(&end));
        let name = fitted(&plan.design.rods[rod].name, STRONG, LONGEST_PX);
        let half = text_width(&name, STRONG) / 2.0;
        let length = libm::hypot(b[0] - a[0], b[1] - a[1]).max(1e-9);
        let square = [(a[1] - b[1]) / length, (b[0] - a[0]) / length];
        // square to the rod and clear of its halo
        let off = 15.0 + square[0].abs() * half + square[1].abs() * 8.0;
        let places = [0.5, 0.3, 0.7].into_iter().flat_map(|t| {
            [1.0, -1.0]
                .map(|side| [0, 1].map(|c| a[c] + t * (b[c] - a[c]) + side * off * square[c]))
        });
        for at in places {
            let area = text_area(at, &name, STRONG, Anchor::Middle).grown(1.0);
            if labels.take(area.grown(4.0)) {
                sheet.part_of(Item::Rod(rod), Part::Halo, |sheet| {
                    sheet.rect(&area, YELLOW);
                    sheet.outline(&area, BLACK, 1.2);
                    sheet.text(at, &name, STRONG, Anchor::Middle);
                });
                break;
            }
        }
    }
}

fn small_key(sheet: &mut Sheet, with_crosses: bool, with_worst: bool) {
    let y = SMALL[1] - 11.0;
    let mut x = 4.0;
    let mut next = |sheet: &mut Sheet, words: &str| {
        let at = x;
        sheet.text([at + 28.0, y], words, LABEL, Anchor::Start);
        x += 28.0 + text_width(words, LABEL) + 12.0;
        [[at, y], [at + 23.0, y]]
    };
    let ends = next(sheet, "target");
    sheet.stroke(&ends, BLACK, 2.6, Pattern::Solid);
    let ends = next(sheet, "as seen");
    sheet.stroke(&ends, BLUE, 1.6, Pattern::Solid);
    if with_crosses {
        let ends = next(sheet, "picture");
        cross(sheet, [ends[0][0] + 13.0, y], ARM, CROSS);
    }
    if with_worst {
        let ends = next(sheet, "worst");
        sheet.stroke(&ends, WORST, 2.0, Pattern::Dashed);
    }
    if !sheet.lit.is_empty() {
        let ends = next(sheet, "cause");
        let whole = sheet.area();
        halo(sheet, &whole, ends, 8.0);
        sheet.stroke(&ends, BLUE, 2.4, Pattern::Solid);
    }
}
