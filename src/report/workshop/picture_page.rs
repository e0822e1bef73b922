//! What is to be built, on one page: the figure as the eye sees it, and the cabinet from the side and from above.

use super::canvas::{
    Anchor, BODY_MM, Canvas, HAIR_MM, HEADING_MM, LINE_MM, PAGE_MARGIN_MM, SMALL_MM, wrapped,
};
use super::names::Names;
use super::tables::{ruler_in, ruler_mm};
use crate::decision::workshop::{Paper, Rectangle};
use crate::figure::{Allowed, Plan};
use crate::report::about::About;

/// Thickness of a rod on the page, mm.
const ROD_MM: f64 = 0.9;
/// Height of the figure and of each view of the cabinet, mm.
const FIGURE_MM: f64 = 92.0;
const VIEW_MM: f64 = 62.0;
/// More rods than this are too close together to be named here.
const MOST_NAMED: usize = 14;
/// Space between a picture's border and what it shows, mm.
const AROUND_MM: f64 = 7.0;

/// The page.
pub(super) fn picture_page(
    plan: &Plan,
    allowed: Option<&Allowed>,
    about: &About,
    paper: Paper,
) -> Canvas {
    let size_mm = paper.size_mm();
    let mut page = Canvas::new(size_mm);
    let room = size_mm[0] - 2.0 * PAGE_MARGIN_MM;
    let left = PAGE_MARGIN_MM;
    let title = format!("What is built: {}", about.title);
    page.text_in([left, 15.5], &title, HEADING_MM, Anchor::Start, room);
    let mut top = 22.0;
    let words = "The figure as the eye sees it through the peephole, with the names of its vertices: each is one line and one hole in either plate.";
    page.text_in([left, top], words, BODY_MM, Anchor::Start, room);
    figure(&mut page, plan, box_at(left, top + 2.0, room, FIGURE_MM));
    top += FIGURE_MM + 9.0;
    let [front, rear] = plan.design.plates.map(|plate| plate.z_mm);
    let words = format!(
        "The cabinet from the visitor’s right and from above, to one scale: lines thin, rods thick; plates {} and {} mm ({} and {} in) from the pupil.",
        ruler_mm(front),
        ruler_mm(rear),
        ruler_in(front),
        ruler_in(rear)
    );
    let lines = wrapped(&words, BODY_MM, room);
    for (nth, line) in lines.iter().enumerate() {
        let y = top + 4.2 * nth as f64;
        page.text([left, y], line, BODY_MM, Anchor::Start);
    }
    top += 4.2 * lines.len().saturating_sub(1) as f64;
    let boxes = [0.0, 1.0].map(|nth| {
        let y = top + 2.0 + nth * (VIEW_MM + 3.0);
        box_at(left, y, room, VIEW_MM)
    });
    let scale = boxes
        .iter()
        .zip(UPWARDS)
        .map(|(area, up)| View::of(plan, allowed, area, up).scale)
        .fold(f64::INFINITY, f64::min);
    for (area, up) in boxes.iter().zip(UPWARDS) {
        let mut view = View::of(plan, allowed, area, up);
        view.scale = scale;
        view.draw(&mut page, plan, allowed, area);
    }
    page
}

fn box_at(left: f64, top: f64, wide: f64, high: f64) -> Rectangle {
    Rectangle::new([left, top], [left + wide, top + high])
}

/// The coordinate that points up on the page: y from the side; x, the visitor's left, from above.
const UPWARDS: [usize; 2] = [1, 0];

fn figure(page: &mut Canvas, plan: &Plan, area: Rectangle) {
    // +x is the visitor's left
    let places: Vec<[f64; 2]> = plan
        .design
        .vertices
        .iter()
        .map(|vertex| [-vertex.direction.x, vertex.direction.y])
        .collect();
    let bounds = |axis: usize| {
        places
            .iter()
            .map(|place| place[axis])
            .fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], value| {
                [low.min(value), high.max(value)]
            })
    };
    let (across, up) = (bounds(0), bounds(1));
    let size = area.size_mm();
    let scale = ((size.x - 4.0 * AROUND_MM) / (across[1] - across[0]).max(1e-9))
        .min((size.y - 2.0 * AROUND_MM) / (up[1] - up[0]).max(1e-9));
    let middle = (area.low + area.high) / 2.0;
    let at = |line: usize| {
        let [x, y] = places[line];
        [
            middle.x + (x - f64::midpoint(across[0], across[1])) * scale,
            middle.y - (y - f64::midpoint(up[0], up[1])) * scale,
        ]
    };
    let mut names = Names::new(area);
    for rod in &plan.design.rods {
        let [a, b] = rod.ends.map(|end| at(end.line));
        page.line(a, b, ROD_MM);
        keep_off(&mut names, a, b);
    }
    for (line, vertex) in plan.design.vertices.iter().enumerate() {
        page.circle(at(line), 0.8, LINE_MM);
        names.place(page, at(line), [0.8, 1.4], &vertex.name);
    }
}

/// Keeps names off a stroke, by small squares along it.
fn keep_off(names: &mut Names, a: [f64; 2], b: [f64; 2]) {
    let steps = (libm::hypot(b[0] - a[0], b[1] - a[1]) / 2.0)
        .ceil()
        .max(1.0) as usize;
    for nth in 0..=steps {
        let share = nth as f64 / steps as f64;
        let [x, y] = [0, 1].map(|axis| a[axis] + share * (b[axis] - a[axis]));
        names.keep_clear(Rectangle::new([x - 0.6, y - 0.6], [x + 0.6, y + 0.6]));
    }
}

/// A view of the cabinet: z to the right, one coordinate up.
struct View {
    up: usize,
    scale: f64,
    /// What lies in the middle of the picture: z and the coordinate that points up, mm.
    middle: [f64; 2],
}

impl View {
    fn of(plan: &Plan, allowed: Option<&Allowed>, area: &Rectangle, up: usize) -> Self {
        let mut low = -plan.design.peephole.diameter_mm;
        let mut high = plan.design.peephole.diameter_mm;
        for hole in &plan.holes_mm[1] {
            low = low.min(hole[up]);
            high = high.max(hole[up]);
        }
        let mut far = plan.design.plates[1].z_mm;
        if let Some(allowed) = allowed {
            let [z, walls] = inside(plan, allowed, up);
            low = low.min(walls[0]);
            high = high.max(walls[1]);
            far = far.max(z[1]);
        }
        let size = area.size_mm();
        let scale =
            ((size.x - 2.0 * AROUND_MM) / far).min((size.y - 2.0 * AROUND_MM) / (high - low));
        Self {
            up,
            scale,
            middle: [far / 2.0, f64::midpoint(low, high)],
        }
    }

    fn draw(&self, page: &mut Canvas, plan: &Plan, allowed: Option<&Allowed>, area: &Rectangle) {
        let centre = (area.low + area.high) / 2.0;
        let at = |z_mm: f64, up_mm: f64| {
            [
                centre.x + (z_mm - self.middle[0]) * self.scale,
                centre.y - (up_mm - self.middle[1]) * self.scale,
            ]
        };
        let size = area.size_mm();
        page.frame([area.low.x, area.low.y], [size.x, size.y], HAIR_MM);
        let mut names = Names::new(*area);
        if let Some(allowed) = allowed {
            let [z, walls] = inside(plan, allowed, self.up);
            let corners = [
                [z[0], walls[0]],
                [z[1], walls[0]],
                [z[1], walls[1]],
                [z[0], walls[1]],
            ]
            .map(|[z_mm, up_mm]| at(z_mm, up_mm));
            for nth in 0..4 {
                page.grey_line(corners[nth], corners[(nth + 1) % 4], 0.5);
                keep_off(&mut names, corners[nth], corners[(nth + 1) % 4]);
            }
        }
        let design = &plan.design;
        for (plate, holes) in design.plates.iter().zip(&plan.holes_mm) {
            let reach = holes.iter().map(|hole| hole[self.up]);
            let [low, high] = reach.fold([0.0, 0.0], |[low, high]: [f64; 2], value| {
                [low.min(value), high.max(value)]
            });
            let [from, to] = [low, high].map(|up_mm| at(plate.z_mm, up_mm));
            page.line([from[0], from[1] + 3.0], [to[0], to[1] - 3.0], 0.4);
        }
        for line in 0..design.vertices.len() {
            let [a, b] = [0, 1].map(|plate| {
                at(
                    design.plates[plate].z_mm,
                    plan.holes_mm[plate][line][self.up],
                )
            });
            page.grey_line(a, b, HAIR_MM);
        }
        let ends: Vec<[[f64; 2]; 2]> = (0..design.rods.len())
            .map(|rod| {
                [0, 1].map(|end| {
                    let place = plan.end_mm(2 * rod + end);
                    at(place.z, place[self.up])
                })
            })
            .collect();
        for [a, b] in &ends {
            page.line(*a, *b, ROD_MM);
            keep_off(&mut names, *a, *b);
        }
        self.eye(page, plan, at);
        let named = if design.rods.len() <= MOST_NAMED {
            &design.rods[..]
        } else {
            &[]
        };
        for ([a, b], rod) in ends.iter().zip(named) {
            let middle = [0, 1].map(|axis| f64::midpoint(a[axis], b[axis]));
            names.place(page, middle, [0.8, 1.2], &rod.name);
        }
    }

    /// The pupil and the two sides of the peephole.
    fn eye(&self, page: &mut Canvas, plan: &Plan, at: impl Fn(f64, f64) -> [f64; 2]) {
        let peephole = &plan.design.peephole;
        page.circle(at(0.0, 0.0), 0.9, LINE_MM);
        for side in [-1.0, 1.0] {
            let from = at(peephole.eye_relief_mm, side * peephole.diameter_mm / 2.0);
            page.line(from, [from[0], from[1] - side * 6.0], 0.5);
        }
        let [x, y] = at(0.0, 0.0);
        page.text([x + 1.0, y + 4.5], "eye", SMALL_MM, Anchor::End);
    }
}

/// Nearest and farthest z of the cabinet's inside, and its walls across the axis, mm.
fn inside(plan: &Plan, allowed: &Allowed, up: usize) -> [[f64; 2]; 2] {
    let peephole = &plan.design.peephole;
    let face_mm = peephole.eye_relief_mm + peephole.plate_mm;
    let [width_mm, height_mm, depth_mm] = allowed.inside_mm;
    let [left_mm, floor_mm] = allowed.axis_mm;
    let walls_mm = match up {
        0 => [left_mm - width_mm, left_mm],
        _ => [-floor_mm, height_mm - floor_mm],
    };
    [[face_mm, face_mm + depth_mm], walls_mm]
}
