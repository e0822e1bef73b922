//! The report's drawings: coordinates, scales, units, and the odd cases; never text metrics.

mod support;

use roxmltree::{Document, Node};
use sightdrift::decision::{Assessment, RunPlan, assess, each_alone, headroom};
use sightdrift::figure::{Design, Finish, Frame, Law, Plan, Rod, RodEnd, Source, Vertex};
use sightdrift::geometry::Pair;
use sightdrift::report::drawing::{
    Drawing, ErrorLine, ErrorPanel, ErrorPoint, drawings, error_against_builds, sight_drawing,
    tolerances_drawing,
};
use sightdrift::sampling::Sampling;
use sightdrift::scenario::read_scenario;
use sightdrift::statistics::IntervalMethod;
use sightdrift::units::ARCMIN_RAD;
use support::{lively_design, plain_design, with_hooks};

/// Pixels of an SVG's inside for one pixel of the drawing.
const FINE: f64 = 10.0;

const RUN: RunPlan = RunPlan {
    seed: 11,
    builds: 40,
    looks: 4,
    half_width: None,
    level: 0.95,
    method: IntervalMethod::Wilson,
    sampling: Sampling::Plain,
};

fn assessment(design: Design, run: RunPlan) -> Assessment {
    with_hooks(|hooks| assess(Plan::new(design), run, hooks)).expect("not interrupted")
}

fn boat() -> Assessment {
    let text = include_str!("../scenarios/desk-boat.toml");
    let no_file = |_: &str| Err("no other file".to_owned());
    let mut scenario = read_scenario("desk-boat.toml", text, &no_file).expect("a good scenario");
    scenario.run.builds = 64;
    with_hooks(|hooks| assess(scenario.plan, scenario.run, hooks)).expect("not interrupted")
}

/// The exhibit with its first `lines` lines and the rods that hang on them.
fn cut_to(mut design: Design, lines: usize) -> Design {
    design.vertices.truncate(lines);
    design.line.tension_n.truncate(lines);
    design
        .rods
        .retain(|rod| rod.ends.iter().all(|end| end.line < lines));
    fit_rings(&mut design);
    design
}

/// One radius for each item of every source that has one.
fn fit_rings(design: &mut Design) {
    for source in Source::ALL {
        let items = source.items(design);
        if let Law::Ring(radii) = &mut design.laws[source.index()] {
            let radius = radii[0];
            *radii = vec![radius; items];
        }
    }
}

/// Many lines about a direction, and rods between them.
fn crowd(lines: usize, rods: usize, axis: Pair) -> Design {
    let mut design = lively_design(Frame::Fitted);
    design.vertices = (0..lines)
        .map(|i| {
            let (angle, radius) = (0.61 * i as f64, 0.03 + 0.12 * i as f64 / lines as f64);
            Vertex {
                name: format!("vertex number {i} of a list with rather long names"),
                direction: axis + radius * Pair::new(angle.cos(), angle.sin()),
            }
        })
        .collect();
    design.line.tension_n = vec![4.0; lines];
    let end = |line: usize, depth: usize| RodEnd {
        line: line % lines,
        depth_mm: 180.0 + (depth % 180) as f64,
    };
    design.rods = (0..rods)
        .map(|i| Rod {
            name: format!("rod {i}"),
            ends: [end(i, 37 * i), end(7 * i + 11, 53 * i)],
            diameter_mm: 2.0,
            mass_kg_per_m: 0.004,
        })
        .filter(|rod| rod.ends[0].line != rod.ends[1].line)
        .collect();
    design.judging.finish = Some(Finish::Legible);
    design.judging.rule = Finish::Legible.rule();
    fit_rings(&mut design);
    design
}

fn named<'a>(all: &'a [Drawing], name: &str) -> &'a Drawing {
    all.iter()
        .find(|drawing| drawing.name == name)
        .unwrap_or_else(|| panic!("no drawing {name}"))
}

fn points(node: Node) -> Vec<[f64; 2]> {
    node.attribute("points")
        .unwrap_or_default()
        .split_whitespace()
        .map(|pair| {
            let (x, y) = pair.split_once(',').expect("a pair");
            [x, y].map(|c| c.parse::<f64>().expect("a number") / FINE)
        })
        .collect()
}

/// Polylines of one colour and width, in the order in which they are drawn.
fn strokes(document: &Document, ink: &str, width: f64) -> Vec<Vec<[f64; 2]>> {
    let width = format!("{}", (width * FINE).round());
    document
        .descendants()
        .filter(|node| {
            node.has_tag_name((SVG, "polyline"))
                && node.attribute("stroke") == Some(ink)
                && node.attribute("stroke-width") == Some(width.as_str())
        })
        .map(points)
        .collect()
}

const SVG: &str = "http://www.w3.org/2000/svg";

fn texts<'a>(document: &'a Document) -> Vec<Node<'a, 'a>> {
    document
        .descendants()
        .filter(|node| node.has_tag_name((SVG, "text")))
        .collect()
}

fn words(node: Node) -> String {
    node.text()
        .unwrap_or_default()
        .trim()
        .replace('\u{A0}', " ")
}

/// Lengths that scale bars show (in `unit`) and their lengths on the sheet, px.
fn scale_bars(document: &Document, unit: &str) -> Vec<[f64; 2]> {
    let nodes: Vec<Node> = document
        .root_element()
        .children()
        .filter(Node::is_element)
        .collect();
    nodes
        .iter()
        .enumerate()
        .filter_map(|(i, node)| {
            let text = words(*node);
            let shown: f64 = text
                .strip_suffix(unit)?
                .trim()
                .replace(' ', "")
                .parse()
                .ok()?;
            // the bar and its two end marks stand before their label
            let bar = points(nodes[i.checked_sub(3)?]);
            (bar.len() == 2 && bar[0][1] == bar[1][1]).then(|| [shown, bar[1][0] - bar[0][0]])
        })
        .collect()
}

#[test]
fn the_eye_view_has_equal_scales_and_runs_x_to_the_left() {
    let assessment = boat();
    let all = drawings(&assessment).expect("drawn");
    let document = Document::parse(&named(&all, "eye-view").svg).expect("well-formed");
    let plan = &assessment.plan;
    let drawn = strokes(&document, "#000000", 2.0);
    let length = |edge: &Vec<[f64; 2]>| length_px(edge[1][0] - edge[0][0], edge[1][1] - edge[0][1]);
    let scale = length(&drawn[0]) / plan.edges[0].length_rad();
    for (edge, drawn) in plan.edges.iter().zip(&drawn) {
        let span = edge.ends[1] - edge.ends[0];
        let found = [drawn[1][0] - drawn[0][0], drawn[1][1] - drawn[0][1]];
        let wanted = [-scale * span.x, -scale * span.y];
        for c in 0..2 {
            assert!(
                (found[c] - wanted[c]).abs() < 0.5,
                "found {found:?} px, wanted {wanted:?} px (rounding to 0.1 px at both ends and in the scale)"
            );
        }
    }
    let bars = scale_bars(&document, "arcmin");
    assert!(!bars.is_empty());
    let [shown, px] = bars[0];
    assert!(
        (px - shown * ARCMIN_RAD * scale).abs() < 0.5,
        "{shown} arcmin are {px} px at {scale} px/rad"
    );
}

fn length_px(x: f64, y: f64) -> f64 {
    x.hypot(y)
}

#[test]
fn the_cabinet_has_equal_scales_and_its_scale_bar_fits_them() {
    let assessment = boat();
    let plan = &assessment.plan;
    let all = drawings(&assessment).expect("drawn");
    let document = Document::parse(&named(&all, "cabinet").svg).expect("well-formed");
    let lines = strokes(&document, "#5A5A5A", 0.7);
    let count = plan.design.vertices.len();
    assert_eq!(lines.len(), 2 * count, "every line in both panels");
    let scale = (lines[0][1][0] - lines[0][0][0]) / plan.span_mm();
    for (nth, drawn) in lines.iter().enumerate() {
        let [front, rear] = [0, 1].map(|plate| plan.holes_mm[plate][nth % count]);
        // from above +x (the viewer's left) is up, from the side +y is
        let up_mm = if nth < count {
            rear.x - front.x
        } else {
            rear.y - front.y
        };
        assert!((drawn[1][0] - drawn[0][0] - scale * plan.span_mm()).abs() < 0.3);
        assert!(
            (drawn[0][1] - drawn[1][1] - scale * up_mm).abs() < 0.3,
            "{nth}"
        );
    }
    let bars = scale_bars(&document, "mm");
    let [shown, px] = bars[0];
    assert!((px - shown * scale).abs() < 0.3, "{shown} mm are {px} px");
}

#[test]
fn every_drawing_names_its_units() {
    let all = drawings(&assessment(lively_design(Frame::Fixed), RUN)).expect("drawn");
    let units = [
        ("eye-view", "arcmin"),
        ("cabinet", "mm"),
        ("drift", "arcmin"),
        ("gap", "arcmin"),
        ("broke-first", "count"),
        ("yield", "%"),
        ("holding-zone", "mm"),
        ("causes", "%"),
    ];
    assert_eq!(all.len(), units.len());
    for (drawing, (name, unit)) in all.iter().zip(units) {
        assert_eq!(drawing.name, name);
        let document = Document::parse(&drawing.svg).expect("well-formed");
        assert!(
            texts(&document)
                .into_iter()
                .any(|node| words(node).contains(unit)),
            "{name}"
        );
        assert!(
            drawing.caption.chars().any(|c| c.is_ascii_digit()),
            "{}",
            drawing.caption
        );
    }
}

/// What must be true of any drawing.
fn check(drawing: &Drawing) {
    let name = drawing.name;
    let document = Document::parse(&drawing.svg).unwrap_or_else(|error| panic!("{name}: {error}"));
    let root = document.root_element();
    assert_eq!(
        root.attribute("width"),
        Some(drawing.width.to_string().as_str())
    );
    for outside in ["href", "url(", "<image", "<script", "<style"] {
        assert!(!drawing.svg.contains(outside), "{name}: {outside}");
    }
    assert_eq!(
        drawing.svg.matches("http").count(),
        1,
        "{name}: only the name space"
    );
    let (width, height) = (f64::from(drawing.width), f64::from(drawing.height));
    let mut boxes: Vec<([f64; 4], String)> = Vec::new();
    for node in texts(&document) {
        assert_eq!(node.attribute("font-family"), Some("sans-serif"));
        let number = |key| -> f64 { node.attribute(key).expect("set").parse().expect("number") };
        let (x, y) = (number("x") / FINE, number("y") / FINE);
        let em = number("font-size") / FINE;
        assert!(em > 11.99, "{name}: {em} px is too small");
        let text = words(node);
        // narrow letters: what overlaps by this measure overlaps in any font
        let long = 0.42 * em * text.chars().count() as f64;
        let left = match node.attribute("text-anchor") {
            Some("start") => x,
            Some("end") => x - long,
            _ => x - long / 2.0,
        };
        let area = [left, y - 0.4 * em, left + long, y + 0.4 * em];
        assert!(
            area[0] > -1.0 && area[1] > 0.0 && area[2] < width + 1.0 && area[3] < height,
            "{name}: {text} at {area:?} leaves the sheet"
        );
        for (other, words) in &boxes {
            let apart = area[0] >= other[2]
                || other[0] >= area[2]
                || area[1] >= other[3]
                || other[1] >= area[3];
            assert!(apart, "{name}: {text} covers {words}");
        }
        boxes.push((area, text));
    }
    assert!(boxes.len() > 1, "{name}: a title and something to say");
    let decoder = png::Decoder::new(drawing.png.as_slice());
    let mut reader = decoder.read_info().expect("a PNG");
    let mut pixels = vec![0; reader.output_buffer_size()];
    let frame = reader.next_frame(&mut pixels).expect("a frame");
    assert_eq!((frame.width, frame.height), (drawing.width, drawing.height));
    assert_eq!(&pixels[..3], [255; 3], "white ground");
    assert!(
        pixels.iter().any(|byte| *byte < 60),
        "{name}: something dark"
    );
}

fn check_all(design: Design, run: RunPlan) -> Vec<Drawing> {
    let assessment = assessment(design, run);
    let mut all = drawings(&assessment).expect("drawn");
    if let Some(look) = assessment.cloud.first() {
        all.push(sight_drawing(&assessment.plan, &look.rods, "One look").expect("drawn"));
    }
    all.iter().for_each(check);
    all
}

#[test]
fn one_rod_and_one_build_can_be_drawn() {
    let mut design = cut_to(lively_design(Frame::Fixed), 2);
    assert_eq!(design.rods.len(), 1);
    design.vertices[0].name = "<a & \"b\"> \u{1F600} \u{0}\u{202E}вершина".to_owned();
    design.rods[0].name = "'rod' & <rod>".to_owned();
    let all = check_all(
        design,
        RunPlan {
            builds: 1,
            looks: 1,
            ..RUN
        },
    );
    let gap = named(&all, "gap");
    assert!(gap.caption.contains("no junction"), "{}", gap.caption);
    let document = Document::parse(&named(&all, "drift").svg).expect("well-formed");
    assert!(
        texts(&document)
            .into_iter()
            .any(|node| words(node) == "'rod' & <rod>")
    );
}

#[test]
fn where_no_look_shows_the_figure_a_sentence_says_so() {
    let mut design = lively_design(Frame::Fitted);
    design.peephole.diameter_mm = 0.5;
    let all = check_all(design, RUN);
    for name in [
        "eye-view",
        "drift",
        "gap",
        "broke-first",
        "holding-zone",
        "causes",
    ] {
        let drawing = named(&all, name);
        let document = Document::parse(&drawing.svg).expect("well-formed");
        let said: Vec<String> = texts(&document).into_iter().map(words).collect();
        assert!(
            drawing.caption.contains("how"),
            "{name}: {}",
            drawing.caption
        );
        assert_eq!(said[1..].join(" "), drawing.caption.replace('\u{A0}', " "));
    }
}

#[test]
fn a_perfect_build_can_be_drawn() {
    let all = check_all(plain_design(Frame::Fixed), RUN);
    assert!(named(&all, "yield").caption.contains("100\u{A0}%"));
    assert!(
        named(&all, "broke-first")
            .caption
            .starts_with("No look broke")
    );
    assert!(named(&all, "causes").caption.contains("no cause"));
}

#[test]
fn tolerances_can_be_drawn_whatever_room_they_have() {
    let rooms = |target: f64, silent: bool| {
        let mut design = lively_design(Frame::Fixed);
        design.judging.target_yield = target;
        if silent {
            design.laws = support::silent_laws(4.0);
        }
        let plan = Plan::new(design);
        let run = RunPlan { builds: 500, ..RUN };
        let (together, rows) = with_hooks(|hooks| {
            let rows = each_alone(&plan, &run, hooks)?;
            Some((headroom(&plan, &run, hooks)?, rows))
        })
        .expect("whole");
        let drawing = tolerances_drawing(&plan, &together, &rows).expect("drawn");
        check(&drawing);
        let document = Document::parse(&drawing.svg).expect("XML");
        let told: Vec<String> = texts(&document).into_iter().map(words).collect();
        (rows, told)
    };
    for target in [0.05, 0.5, 0.95] {
        let (rows, told) = rooms(target, false);
        assert!(rows.len() > 10);
        let named = |words: &str| told.iter().any(|told| told == words);
        for row in &rows {
            let words = row.source().words();
            let both = words.replace("front plate", "both plates");
            assert!(named(&words) || named(&both), "{words}: {told:?}");
        }
        assert!(
            told.iter()
                .any(|told| told.contains("times what it is now"))
        );
    }
    let (rows, told) = rooms(0.9, true);
    assert!(rows.is_empty() && told.iter().any(|told| told.contains("No error varies")));
}

#[test]
fn sixty_rods_two_hundred_lines_and_a_figure_far_off_the_axis_can_be_drawn() {
    let all = check_all(crowd(40, 60, Pair::new(0.1, 0.0)), RUN);
    let document = Document::parse(&named(&all, "drift").svg).expect("well-formed");
    assert!(
        texts(&document)
            .into_iter()
            .any(|node| words(node).contains("more rods not shown"))
    );
    check_all(
        crowd(200, 30, Pair::new(0.0, 0.1)),
        RunPlan { builds: 8, ..RUN },
    );
    check_all(
        crowd(12, 10, Pair::new(-0.9, 0.6)),
        RunPlan { builds: 8, ..RUN },
    );
}

#[test]
fn a_look_that_shows_nothing_is_told_in_words() {
    let plan = Plan::new(plain_design(Frame::Fitted));
    let wild = vec![vec![Pair::new(f64::NAN, 0.0); 2]; plan.edges.len()];
    for seen in [Vec::new(), wild] {
        let drawing = sight_drawing(&plan, &seen, "A look").expect("drawn");
        check(&drawing);
        assert!(
            drawing.caption.contains("does not show"),
            "{}",
            drawing.caption
        );
    }
    let far = vec![vec![Pair::new(900.0, -900.0), Pair::new(-900.0, 1e9)]; plan.edges.len()];
    check(&sight_drawing(&plan, &far, "A look far out").expect("drawn"));
}

#[test]
fn rods_stand_by_how_near_they_come_to_their_limit() {
    let assessment = assessment(lively_design(Frame::Fixed), RUN);
    let plan = &assessment.plan;
    let detail = assessment.plan.typical_detail_rad();
    let mut order: Vec<(f64, &str)> = assessment
        .result
        .tally
        .rods
        .iter()
        .enumerate()
        .map(|(i, rod)| {
            let drift = rod.drift_fixed_arcmin.quantile(0.95).expect("judged looks");
            let limit = plan.drift_limit_rad(i, detail);
            (drift / limit, plan.design.rods[i].name.as_str())
        })
        .collect();
    order.sort_by(|a, b| b.0.total_cmp(&a.0));
    let all = drawings(&assessment).expect("drawn");
    let document = Document::parse(&named(&all, "drift").svg).expect("well-formed");
    let names: Vec<String> = texts(&document)
        .into_iter()
        .map(words)
        .filter(|text| plan.design.rods.iter().any(|rod| rod.name == *text))
        .collect();
    let wanted: Vec<&str> = order.iter().map(|(_, name)| *name).collect();
    assert_eq!(names, wanted);
}

#[test]
fn the_same_assessment_gives_the_same_bytes() {
    let first = drawings(&boat()).expect("drawn");
    let second = drawings(&boat()).expect("drawn");
    assert!(first == second, "SVG text and PNG bytes must not change");
    first.iter().for_each(check);
}

/// A panel whose lines fall from 0.1 with these slopes.
fn panel(title: &str, slopes: &[f64]) -> ErrorPanel {
    let line = |slope: &f64| ErrorLine {
        name: "Latin hypercube".to_owned(),
        points: (6..13)
            .map(|bits| {
                let builds = f64::from(1 << bits);
                let error = 0.1 * (builds / 64.0).powf(*slope);
                ErrorPoint {
                    builds,
                    error,
                    standard_error: error / 8.0,
                }
            })
            .collect(),
        slope: [*slope, 0.05],
    };
    ErrorPanel {
        title: title.to_owned(),
        lines: slopes.iter().map(line).collect(),
    }
}

#[test]
fn errors_against_builds_have_the_slopes_that_they_name() {
    let slopes = [-0.5, -1.0, -1.5];
    let drawing =
        error_against_builds("Errors", "As made up.", &[panel("one", &slopes)]).expect("drawn");
    check(&drawing);
    let document = Document::parse(&drawing.svg).expect("well-formed");
    // values along both axes tell the scales: px a decade
    let decade = |axis: usize, value: fn(&str) -> Option<f64>| {
        let ticks: Vec<[f64; 2]> = texts(&document)
            .into_iter()
            .filter_map(|node| {
                let place: f64 = node.attribute(["x", "y"][axis])?.parse().ok()?;
                Some([value(&words(node))?.log10(), place / FINE])
            })
            .collect();
        let (first, last) = (ticks[0], ticks[ticks.len() - 1]);
        (last[1] - first[1]) / (last[0] - first[0])
    };
    let across = decade(0, |text| text.parse().ok());
    let up = decade(1, |text| text.strip_suffix(" %")?.parse().ok());
    for (ink, slope) in ["#000000", "#0072B2", "#D55E00"].into_iter().zip(slopes) {
        let lines = strokes(&document, ink, 1.8);
        let [line] = &lines[..] else {
            panic!("one line of {ink}");
        };
        assert_eq!(line.len(), 7);
        for pair in line.windows(2) {
            let found = (pair[1][1] - pair[0][1]) / up / ((pair[1][0] - pair[0][0]) / across);
            // places are rounded to a tenth of a pixel
            assert!((found - slope).abs() < 0.03, "{ink}: {found}, {slope}");
        }
    }
    let guides = strokes(&document, "#5A5A5A", 1.2);
    assert_eq!(guides.len(), 2);
    let written: Vec<String> = texts(&document).into_iter().map(words).collect();
    for slope in ["\u{2212}0.50", "\u{2212}1.00", "\u{2212}1.50"] {
        let label = format!("Latin hypercube {slope} \u{B1} 0.05");
        assert!(written.contains(&label), "{label} in {written:?}");
    }
}

#[test]
fn errors_that_run_together_fall_apart_or_are_missing_can_be_drawn() {
    let draw = |panels: &[ErrorPanel]| {
        let drawing = error_against_builds("Errors", &"Many words. ".repeat(30), panels);
        check(&drawing.expect("drawn"));
    };
    let mut broken = panel("broken", &[-0.5, -0.6]);
    broken.lines[0].points[2].error = f64::NAN;
    broken.lines[1].points.truncate(1);
    broken.lines[1].points[0].standard_error = 2.0;
    broken.lines[1].slope = [f64::NAN; 2];
    draw(&[
        panel("three alike", &[-0.5, -0.501, -0.502]),
        panel("far apart", &[0.0, -6.0]),
        panel(&"a long title ".repeat(20), &[-0.5]),
        broken,
        panel("no line", &[]),
        panel("a fifth", &[-0.5, -1.0]),
    ]);
    draw(&[]);
}
