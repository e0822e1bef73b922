//! The outlines of an SVG drawing, upright, in mm: transforms, units, styles and the view box are resolved by `usvg`.

use super::super::bench_table::Told;
use super::super::problem::{Place, Problem, Problems};
use super::outline::Outline;
use super::svg_survey::survey;
use kurbo::{Affine, BezPath, Point};
use usvg::roxmltree::{Document, Error, ParsingOptions};
use usvg::tiny_skia_path::PathSegment;
use usvg::{Group, ImageHrefResolver, Node, Options, Tree};

/// A drawing's outlines, and what of it was left out, in words.
#[derive(Debug, Default)]
pub(super) struct Traced {
    pub outlines: Vec<Outline>,
    pub left_out: Vec<String>,
}

/// A user unit of an SVG drawing, mm: 96 of them are an inch (CSS Values and Units, section 6.2, absolute lengths).
const USER_UNIT_MM: f64 = 25.4 / 96.0;

/// Most XML nodes of a drawing.
const MOST_NODES: u32 = 100_000;

/// What is drawn on outlines, cut out of them or repeated along them is none of the figure, and is not worked out. All is filled, so
/// that no shape without an outline vanishes unseen.
const PLAIN_OUTLINES: &str = "* { marker: none !important; clip-path: none !important; mask: none !important; \
    filter: none !important; fill: black !important } pattern * { stroke: none !important }";

/// Stack for a drawing's nested elements. The XML reader goes down into each by calling itself, before their depth can be counted:
/// there is room for as many as there may be nodes, 2.6 KiB for each.
const STACK_BYTES: usize = 256 << 20;

/// Reads an SVG drawing. Nothing that it refers to outside itself is looked for.
///
/// # Errors
/// [`Problems`] with the places of what cannot be read.
pub(super) fn read_svg(file: &str, text: &str) -> Result<Traced, Problems> {
    let failed = |why: &str| {
        one_problem(
            file,
            Place { line: 1, column: 1 },
            format!("the drawing cannot be read: {why}"),
            None,
        )
    };
    std::thread::scope(|scope| {
        std::thread::Builder::new()
            .stack_size(STACK_BYTES)
            .spawn_scoped(scope, || read(file, text))
            .map_err(|error| failed(&error.to_string()))?
            .join()
            .unwrap_or_else(|_| Err(failed("the SVG reader failed on it")))
    })
}

fn one_problem(file: &str, place: Place, fact: String, hint: Option<&str>) -> Problems {
    Problems {
        file: file.to_owned(),
        list: vec![Problem {
            place,
            fact,
            hint: hint.map(str::to_owned),
            is_missing: false,
        }],
    }
}

fn read(file: &str, text: &str) -> Result<Traced, Problems> {
    let options = ParsingOptions {
        allow_dtd: true,
        nodes_limit: MOST_NODES,
    };
    let document =
        Document::parse_with_options(text, options).map_err(|error| unreadable(file, &error))?;
    let mut told = Told::new(file, text);
    let left_out = survey(&document, text, &mut told);
    if !told.is_empty() {
        return Err(told.into_problems());
    }
    let options = Options {
        image_href_resolver: ImageHrefResolver {
            resolve_data: Box::new(|_, _, _| None),
            resolve_string: Box::new(|_, _| None),
        },
        style_sheet: Some(PLAIN_OUTLINES.to_owned()),
        ..Options::default()
    };
    let tree = Tree::from_xmltree(&document, &options).map_err(|error| {
        let at = document.root_element().range().start;
        let place = document.text_pos_at(at);
        one_problem(
            file,
            Place {
                line: place.row as usize,
                column: place.col as usize,
            },
            format!("the drawing cannot be read: {error}"),
            Some("width, height and the view box must be above 0"),
        )
    })?;
    Ok(traced(tree.root(), left_out))
}

fn unreadable(file: &str, error: &Error) -> Problems {
    let place = error.pos();
    let words = error.to_string();
    // the place is told in front
    let words = words
        .split_once(" at ")
        .filter(|(_, place)| place.contains(':'))
        .map_or(words.as_str(), |(fact, _)| fact);
    let kept: String = words
        .chars()
        .filter(|c| !c.is_control())
        .take(200)
        .collect();
    one_problem(
        file,
        Place {
            line: place.row as usize,
            column: place.col as usize,
        },
        format!("the drawing cannot be read as XML: {kept}"),
        None,
    )
}

/// Shapes that are named where something was left out.
const MOST_NAMED: usize = 5;

fn traced(root: &Group, left_out: Vec<String>) -> Traced {
    let mut traced = Traced {
        outlines: Vec::new(),
        left_out,
    };
    let (mut areas_n, mut hidden_n) = (0, 0);
    let mut areas: Vec<String> = Vec::new();
    let mut open: Vec<&Node> = root.children().iter().rev().collect();
    while let Some(node) = open.pop() {
        match node {
            Node::Group(group) => open.extend(group.children().iter().rev()),
            Node::Path(path) if !path.is_visible() => hidden_n += 1,
            Node::Path(path) if path.stroke().is_none() => {
                areas_n += 1;
                if let Some(name) = name_of(path.id())
                    && areas.len() < MOST_NAMED
                {
                    areas.push(format!("`{name}`"));
                }
            }
            Node::Path(path) => traced.outlines.push(outline(path)),
            Node::Image(_) | Node::Text(_) => {}
        }
    }
    if areas_n > 0 {
        let named = if areas.is_empty() {
            String::new()
        } else {
            format!(" ({})", areas.join(", "))
        };
        traced.left_out.push(format!(
            "{areas_n} without an outline{named}: give them a stroke if their edges are to be rods"
        ));
    }
    if hidden_n > 0 {
        traced.left_out.push(format!("{hidden_n} hidden"));
    }
    traced
}

/// An element's id as the stem of vertices' names: nothing but letters, digits and `_`, for a rod's name joins two of them by `-`.
fn name_of(id: &str) -> Option<String> {
    const LONGEST: usize = 40;
    let name: String = id
        .chars()
        .take(LONGEST)
        .map(|c| if c.is_alphanumeric() { c } else { '_' })
        .collect();
    let name = name.trim_matches('_');
    (!name.is_empty()).then(|| name.to_owned())
}

fn outline(path: &usvg::Path) -> Outline {
    let point = |p: usvg::tiny_skia_path::Point| Point::new(f64::from(p.x), f64::from(p.y));
    let mut drawn = BezPath::new();
    for segment in path.data().segments() {
        match segment {
            PathSegment::MoveTo(to) => drawn.move_to(point(to)),
            PathSegment::LineTo(to) => drawn.line_to(point(to)),
            PathSegment::QuadTo(by, to) => drawn.quad_to(point(by), point(to)),
            PathSegment::CubicTo(by, then, to) => {
                drawn.curve_to(point(by), point(then), point(to));
            }
            PathSegment::Close => drawn.close_path(),
        }
    }
    let to_page = path.abs_transform();
    let to_page = Affine::new(
        [
            to_page.sx, to_page.ky, to_page.kx, to_page.sy, to_page.tx, to_page.ty,
        ]
        .map(f64::from),
    );
    // down becomes up, as one sees it
    let upright = Affine::new([USER_UNIT_MM, 0.0, 0.0, -USER_UNIT_MM, 0.0, 0.0]);
    Outline {
        name: name_of(path.id()),
        path: upright * to_page * drawn,
    }
}
