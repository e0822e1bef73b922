//! What an SVG drawing holds before it is worked out: what cannot be read, what is left out, and whether it grows beyond bounds.

use super::super::bench_table::Told;
use super::super::problem::quoted;
use std::collections::{BTreeMap, BTreeSet};
use usvg::roxmltree::{Attribute, Document, Node};

const SVG: &str = "http://www.w3.org/2000/svg";

/// Most elements, with all that is drawn again by `use`.
const MOST_ELEMENTS: u64 = 20_000;
/// Deepest nesting of elements, with what `use` refers to.
const DEEPEST: usize = 200;
/// Most comparisons of an element with a rule of a style sheet.
const MOST_COMPARISONS: usize = 20_000_000;
/// Largest number in a drawing: beyond it the numbers of a drawing are no places any more.
const LARGEST: f64 = 1e9;

/// Looks through a drawing; tells what is wrong in it and returns what is left out, in words.
pub(super) fn survey(document: &Document<'_>, text: &str, told: &mut Told) -> Vec<String> {
    let root = document.root_element();
    if !root.has_tag_name((SVG, "svg")) {
        told.tell(
            text,
            root.range().start,
            format!(
                "the outermost element is {}, an SVG drawing begins with `svg`",
                quoted(root.tag_name().name())
            ),
            Some(format!("write <svg xmlns=\"{SVG}\" …>")),
        );
        return Vec::new();
    }
    let mut size = Growth::new(document);
    if let Err(stop) = size.of(root, 0) {
        let (node, why) = stop;
        told.tell(text, node.range().start, why, None);
        return Vec::new();
    }
    tell_styles(document, text, told);
    for node in document.descendants().filter(Node::is_element) {
        for attribute in node.attributes() {
            if attribute.namespace().is_none() {
                check_attribute(node.tag_name().name(), &attribute, text, told);
            }
        }
    }
    left_out(document)
}

/// An element, and what is wrong with it.
type Stop<'d> = (Node<'d, 'd>, String);

/// How many elements come of each one when all `use` is followed.
struct Growth<'d> {
    by_id: BTreeMap<&'d str, Node<'d, 'd>>,
    known: BTreeMap<u32, u64>,
    open: BTreeSet<u32>,
}

impl<'d> Growth<'d> {
    fn new(document: &'d Document<'d>) -> Self {
        let elements = document.descendants().filter(Node::is_element);
        Self {
            by_id: elements
                .filter_map(|node| Some((node.attribute("id")?, node)))
                .collect(),
            known: BTreeMap::new(),
            open: BTreeSet::new(),
        }
    }

    fn of(&mut self, node: Node<'d, 'd>, depth: usize) -> Result<u64, Stop<'d>> {
        if let Some(known) = self.known.get(&node.id().get()) {
            return Ok(*known);
        }
        if depth > DEEPEST {
            return Err((
                node,
                format!(
                    "elements are nested more than {DEEPEST} deep, with those that `use` refers to"
                ),
            ));
        }
        if !self.open.insert(node.id().get()) {
            return Err((
                node,
                "this element is drawn again within itself by `use`".to_owned(),
            ));
        }
        let mut count = 1;
        for child in node.children().filter(Node::is_element) {
            count += self.of(child, depth + 1)?;
        }
        if node.tag_name().name() == "use"
            && let Some(target) = self.target(node)
        {
            count += self.of(target, depth + 1)?;
        }
        if count > MOST_ELEMENTS {
            return Err((
                node,
                format!(
                    "more than {MOST_ELEMENTS} elements come of this one, with those that `use` draws again"
                ),
            ));
        }
        self.open.remove(&node.id().get());
        self.known.insert(node.id().get(), count);
        Ok(count)
    }

    fn target(&self, node: Node<'d, 'd>) -> Option<Node<'d, 'd>> {
        let href = node
            .attribute("href")
            .or_else(|| node.attribute(("http://www.w3.org/1999/xlink", "href")))?;
        self.by_id.get(href.trim().strip_prefix('#')?).copied()
    }
}

/// Refuses style sheets whose rules are too many for the elements.
fn tell_styles(document: &Document<'_>, text: &str, told: &mut Told) {
    let styles = document
        .descendants()
        .filter(|node| node.tag_name().name() == "style");
    let mut rules_n = 0;
    let elements_n = MOST_ELEMENTS as usize;
    for style in styles {
        rules_n += style
            .text()
            .map_or(0, |rules| rules.matches(['{', ',']).count());
        if rules_n * elements_n > MOST_COMPARISONS {
            let most = MOST_COMPARISONS / elements_n;
            told.tell(
                text,
                style.range().start,
                format!("the style sheets have more than {most} rules"),
                None,
            );
            return;
        }
    }
}

/// Attributes of shapes that are one length each.
const LENGTHS: [&str; 13] = [
    "x", "y", "x1", "y1", "x2", "y2", "cx", "cy", "r", "rx", "ry", "width", "height",
];
/// Units of lengths in SVG (CSS Values and Units, sections 5 and 6).
const UNITS: [&str; 10] = ["", "px", "mm", "cm", "in", "pt", "pc", "em", "ex", "%"];
const SHAPES: [&str; 9] = [
    "rect", "circle", "ellipse", "line", "polyline", "polygon", "path", "svg", "use",
];
const TRANSFORMS: [&str; 6] = ["matrix", "translate", "scale", "rotate", "skewX", "skewY"];

/// Tells an attribute of a shape that would be passed over in silence because it cannot be read.
fn check_attribute(element: &str, attribute: &Attribute<'_, '_>, text: &str, told: &mut Told) {
    let (name, value) = (attribute.name(), attribute.value());
    let is_shape = SHAPES.contains(&element);
    let fault = match name {
        "d" if element == "path" => number_fault(value, "MmZzLlHhVvCcSsQqTtAa"),
        "points" if is_shape => number_fault(value, ""),
        "viewBox" => number_fault(value, ""),
        "transform" => transform_fault(value),
        _ if is_shape && LENGTHS.contains(&name) => length_fault(value),
        _ => None,
    };
    let Some((at, what)) = fault else {
        return;
    };
    let range = attribute.range_value();
    // where entities or line ends were replaced, only the beginning is sure
    let at = if text.get(range.clone()) == Some(value) {
        range.start + at
    } else {
        range.start
    };
    told.tell(
        text,
        at,
        format!("{name} of {} {what}", quoted(element)),
        None,
    );
}

/// Where a list of numbers and letters has something else in it, and what.
fn number_fault(value: &str, letters: &str) -> Option<(usize, String)> {
    let mut at = 0;
    while let Some(c) = value[at..].chars().next() {
        if c.is_ascii_whitespace() || c == ',' || letters.contains(c) {
            at += c.len_utf8();
            continue;
        }
        let length = number_length(&value.as_bytes()[at..]);
        let number = &value[at..at + length];
        match number.parse::<f64>() {
            Ok(number) if number.abs() <= LARGEST => at += length,
            Ok(_) => return Some((at, too_large(number))),
            Err(_) => {
                let wrong: String = value[at..].chars().take(12).collect();
                let wrong = quoted(&wrong);
                return Some((at, format!("has {wrong} where a number is needed")));
            }
        }
    }
    None
}

/// How many numbers stand in a text that holds nothing else.
fn numbers_n(value: &str) -> usize {
    let (mut at, mut count) = (0, 0);
    while let Some(byte) = value.as_bytes().get(at) {
        let is_between = byte.is_ascii_whitespace() || *byte == b',';
        let length = if is_between {
            1
        } else {
            count += 1;
            number_length(&value.as_bytes()[at..])
        };
        at += length.max(1);
    }
    count
}

/// What is wrong with so many numbers of a transform (CSS Transforms Module Level 1, section 8): one that has another count is passed
/// over by the reader in silence.
fn count_fault(transform: &str, count: usize) -> Option<String> {
    let allowed: &[usize] = match transform {
        "matrix" => &[6],
        "rotate" => &[1, 3],
        "skewX" | "skewY" => &[1],
        _ => &[1, 2],
    };
    let words = || {
        let counts: Vec<String> = allowed.iter().map(usize::to_string).collect();
        format!(
            "has {count} numbers in {transform}( ), must have {}",
            counts.join(" or ")
        )
    };
    (!allowed.contains(&count)).then(words)
}

fn too_large(number: &str) -> String {
    format!("has {}, must be within ± {LARGEST:e}", quoted(number))
}

/// Length in bytes of the number at the start of `bytes` (SVG 2, section 9.3.9, the grammar's `number`).
fn number_length(bytes: &[u8]) -> usize {
    let digits = |from: usize| {
        bytes[from.min(bytes.len())..]
            .iter()
            .take_while(|byte| byte.is_ascii_digit())
            .count()
    };
    let mut end = usize::from(matches!(bytes.first(), Some(b'+' | b'-')));
    end += digits(end);
    if bytes.get(end) == Some(&b'.') {
        end += 1 + digits(end + 1);
    }
    if matches!(bytes.get(end), Some(b'e' | b'E')) {
        let sign = usize::from(matches!(bytes.get(end + 1), Some(b'+' | b'-')));
        let exponent = digits(end + 1 + sign);
        if exponent > 0 {
            end += 1 + sign + exponent;
        }
    }
    end
}

fn length_fault(value: &str) -> Option<(usize, String)> {
    let trimmed = value.trim();
    if trimmed == "auto" || trimmed.is_empty() {
        return None;
    }
    let at = value.len() - value.trim_start().len();
    let (number, unit) = trimmed.split_at(number_length(trimmed.as_bytes()));
    match number.parse::<f64>() {
        Ok(found) if found.abs() <= LARGEST => {}
        Ok(_) => return Some((at, too_large(number))),
        Err(_) => {
            return Some((at, format!("is {}, a length is needed", quoted(trimmed))));
        }
    }
    (!UNITS.contains(&unit)).then(|| {
        (
            at,
            format!(
                "is {}: unknown unit {}, allowed here: px, mm, cm, in, pt, pc, em, ex, %",
                quoted(trimmed),
                quoted(unit)
            ),
        )
    })
}

fn transform_fault(value: &str) -> Option<(usize, String)> {
    let mut at = 0;
    loop {
        let rest = &value[at..];
        let begin = at + rest.len()
            - rest
                .trim_start_matches(|c: char| c.is_ascii_whitespace() || c == ',')
                .len();
        let rest = &value[begin..];
        if rest.is_empty() || rest == "none" {
            return None;
        }
        let wrong = |what: &str| Some((begin, format!("is {}, {what}", quoted(rest))));
        let Some((name, inside)) = rest.split_once('(') else {
            return wrong("a function with its numbers in ( ) is needed");
        };
        if !TRANSFORMS.contains(&name.trim()) {
            return wrong("allowed here: matrix, translate, scale, rotate, skewX, skewY");
        }
        let Some((numbers, _)) = inside.split_once(')') else {
            return wrong("the ( is never closed");
        };
        let inside_at = begin + name.len() + 1;
        if let Some((fault_at, what)) = number_fault(numbers, "") {
            return Some((inside_at + fault_at, what));
        }
        if let Some(what) = count_fault(name.trim(), numbers_n(numbers)) {
            return Some((begin, what));
        }
        at = inside_at + numbers.len() + 1;
    }
}

/// What of a drawing is no outline, in words.
fn left_out(document: &Document<'_>) -> Vec<String> {
    const KINDS: [(&str, &str); 3] = [
        (
            "text",
            "of text (turn letters into paths to have their outlines)",
        ),
        ("image", "an image; nothing is fetched"),
        ("foreignObject", "of another language than SVG"),
    ];
    let mut words = Vec::new();
    for (element, what) in KINDS {
        let found: Vec<u32> = document
            .descendants()
            .filter(|node| node.has_tag_name((SVG, element)) && is_drawn(*node))
            .map(|node| document.text_pos_at(node.range().start).row)
            .collect();
        if let Some(first) = found.first() {
            words.push(format!(
                "{} `{element}`, {what} (the first in line {first})",
                found.len()
            ));
        }
    }
    for (names, what) in [
        (
            &["marker", "marker-start", "marker-mid", "marker-end"][..],
            "markers along outlines (arrowheads and the like)",
        ),
        (
            &["clip-path", "mask"][..],
            "clipping and masks: whole outlines were taken",
        ),
    ] {
        if document.descendants().any(|node| has_property(node, names)) {
            words.push(what.to_owned());
        }
    }
    let broken: Vec<u32> = document
        .descendants()
        .filter(|node| node.has_tag_name((SVG, "path")))
        .filter(|node| {
            let data = node.attribute("d").unwrap_or("").trim();
            !matches!(data, "" | "none") && kurbo::BezPath::from_svg(data).is_err()
        })
        .map(|node| document.text_pos_at(node.range().start).row)
        .collect();
    if let Some(first) = broken.first() {
        words.push(format!(
            "the rest of {} whose data break off or go wrong (the first in line {first}): taken up to there",
            paths(broken.len())
        ));
    }
    words
}

fn paths(count: usize) -> String {
    match count {
        1 => "1 path".to_owned(),
        _ => format!("{count} paths"),
    }
}

/// Whether an element is drawn where it stands, and not only where it is referred to.
fn is_drawn(node: Node<'_, '_>) -> bool {
    const KEPT: [&str; 6] = ["defs", "symbol", "marker", "pattern", "mask", "clipPath"];
    !node
        .ancestors()
        .any(|one| KEPT.contains(&one.tag_name().name()))
}

/// Whether an element has one of these properties, other than `none`, as an attribute or in its `style`.
fn has_property(node: Node<'_, '_>, names: &[&str]) -> bool {
    node.is_element()
        && names.iter().any(|name| {
            node.attribute(*name)
                .is_some_and(|value| value.trim() != "none")
                || node.attribute("style").is_some_and(|style| {
                    style.split(';').any(|one| {
                        one.split_once(':').is_some_and(|(property, value)| {
                            property.trim() == *name && value.trim() != "none"
                        })
                    })
                })
        })
}
