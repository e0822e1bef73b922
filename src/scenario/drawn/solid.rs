//! A solid's edges as an eye sees them: an OBJ file's vertices, lines and faces, projected onto the picture plane.
//!
//! Statements as in Wavefront's "Object Files (.obj)", appendix B1 of the Advanced Visualizer's manual (from memory): `v` x y z,
//! `l` and `f` with numbers of vertices from 1 on, or from −1 for the last one; a `\` at the end of a line goes on in the next.

use super::super::bench_table::Told;
use super::super::problem::{Problems, quoted};
use super::net::{Loose, LoosePoint, Role};
use crate::geometry::Point;
use std::collections::{BTreeMap, BTreeSet};

/// From where a solid is seen, in the solid's own coordinates.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SolidView {
    /// Where the eye is.
    pub eye: [f64; 3],
    /// A point on the axis.
    pub towards: [f64; 3],
    /// The direction that is seen upright.
    pub up: [f64; 3],
}

/// The eye's frame.
#[derive(Debug, Clone, Copy)]
pub(super) struct Frame {
    eye: Point,
    right: Point,
    up: Point,
    forward: Point,
}

impl SolidView {
    /// # Errors
    /// In words, when the three say no direction.
    pub(super) fn frame(&self) -> Result<Frame, String> {
        // below this the three are one point or one line, for all that double precision can tell
        const LEAST: f64 = 1e-9;
        let [eye, towards, up] = [self.eye, self.towards, self.up].map(Point::from);
        let forward = (towards - eye)
            .try_normalize(LEAST)
            .ok_or("--eye and --towards are at one place: no direction follows from them")?;
        let up = up
            .try_normalize(LEAST)
            .ok_or("--up has no length: no direction follows from it")?;
        let right = forward.cross(&up).try_normalize(LEAST).ok_or(
            "--up points along the line of sight: say another direction that is seen upright",
        )?;
        Ok(Frame {
            eye,
            right,
            up: right.cross(&forward),
            forward,
        })
    }
}

impl Frame {
    /// Where a point is seen on a plane at `distance` from the eye, to the right and up, in the unit of `distance`; `None` for what
    /// lies at the eye or behind it.
    pub fn seen(&self, point: Point, distance: f64) -> Option<[f64; 2]> {
        let from_eye = point - self.eye;
        let deep = from_eye.dot(&self.forward);
        let [right, up] = [self.right, self.up].map(|axis| distance * from_eye.dot(&axis) / deep);
        (deep > 0.0 && right.is_finite() && up.is_finite()).then_some([right, up])
    }
}

/// What was read of a solid.
#[derive(Debug, Default)]
pub(super) struct Solid {
    pub loose: Loose,
    pub faces_n: usize,
    pub lines_n: usize,
    /// In words.
    pub left_out: Vec<String>,
}

/// Most vertices, and most edges, that are read.
const MOST_READ: usize = 200_000;
/// Largest coordinate.
const LARGEST: f64 = 1e9;

/// Reads a solid and projects it onto a plane at `distance_mm`.
///
/// # Errors
/// [`Problems`], all of them at once, with their places.
pub(super) fn read_solid(
    file: &str,
    text: &str,
    frame: &Frame,
    distance_mm: f64,
) -> Result<Solid, Problems> {
    let mut reading = Reading {
        text,
        told: Told::new(file, text),
        vertices: Vec::new(),
        edges: Vec::new(),
        known: BTreeSet::new(),
        solid: Solid::default(),
        others: BTreeMap::new(),
    };
    for statement in statements(text) {
        reading.statement(&statement);
        if reading.told.is_full() || reading.is_too_large(&statement) {
            break;
        }
    }
    reading.project(frame, distance_mm);
    if !reading.told.is_empty() {
        return Err(reading.told.into_problems());
    }
    let mut solid = reading.solid;
    solid.left_out = reading
        .others
        .iter()
        .map(|(word, count)| format!("{count} × {}", quoted(word)))
        .collect();
    Ok(solid)
}

/// A word and the offset of its first byte.
type Word<'t> = (&'t str, usize);

/// The words of each statement: those of a line and of the lines that it goes on in, without comments.
fn statements(text: &str) -> impl Iterator<Item = Vec<Word<'_>>> {
    let mut at = 0;
    let mut lines = text.split_inclusive('\n');
    std::iter::from_fn(move || {
        let mut words = Vec::new();
        loop {
            let line = lines.next()?;
            let start = at;
            at += line.len();
            let bare = line.split('#').next().unwrap_or("").trim_end();
            let (bare, goes_on) = match bare.strip_suffix('\\') {
                Some(bare) => (bare, true),
                None => (bare, false),
            };
            words.extend(bare.split_whitespace().map(|word| {
                (
                    word,
                    start + (word.as_ptr() as usize - line.as_ptr() as usize),
                )
            }));
            // a file that ends in a line that goes on ends there
            if !goes_on || at == text.len() {
                return Some(words);
            }
        }
    })
}

struct Reading<'t> {
    text: &'t str,
    told: Told,
    /// Each with the place of its statement.
    vertices: Vec<(Point, usize)>,
    edges: Vec<[usize; 2]>,
    known: BTreeSet<[usize; 2]>,
    solid: Solid,
    /// Statements that are none of ours.
    others: BTreeMap<String, usize>,
}

impl Reading<'_> {
    fn tell(&mut self, at: usize, fact: String, hint: Option<&str>) {
        self.told.tell(self.text, at, fact, hint.map(str::to_owned));
    }

    fn is_too_large(&mut self, statement: &[Word<'_>]) -> bool {
        let too_large = self.vertices.len().max(self.edges.len()) > MOST_READ;
        if let (true, Some((_, at))) = (too_large, statement.first()) {
            let fact = format!("the solid has more than {MOST_READ} vertices or edges");
            self.tell(*at, fact, None);
        }
        too_large
    }

    fn statement(&mut self, words: &[Word<'_>]) {
        /// What says nothing of edges: corners' normals and textures, names, materials, smoothing.
        const SILENT: [&str; 8] = ["vn", "vt", "g", "o", "s", "usemtl", "mtllib", "mg"];
        let Some(((keyword, at), rest)) = words.split_first() else {
            return;
        };
        match *keyword {
            "v" => self.vertex(*at, rest),
            "l" => {
                self.solid.lines_n += 1;
                self.edges_of(*at, rest, false);
            }
            "f" => {
                self.solid.faces_n += 1;
                self.edges_of(*at, rest, true);
            }
            word if SILENT.contains(&word) => {}
            word => {
                /// Words that are told: nobody reads more.
                const MOST_WORDS: usize = 20;
                let word: String = word.chars().take(20).collect();
                if self.others.len() < MOST_WORDS || self.others.contains_key(&word) {
                    *self.others.entry(word).or_default() += 1;
                }
            }
        }
    }

    fn vertex(&mut self, at: usize, words: &[Word<'_>]) {
        // a weight or a colour may follow
        let mut place = [0.0; 3];
        for (nth, number) in place.iter_mut().enumerate() {
            match words
                .get(nth)
                .map(|(word, at)| (word.parse::<f64>(), *word, *at))
            {
                Some((Ok(found), _, _)) if found.abs() <= LARGEST => *number = found,
                Some((Ok(_), word, at)) => {
                    let fact = format!(
                        "a coordinate is {}, must be within ± {LARGEST:e}",
                        quoted(word)
                    );
                    self.tell(at, fact, None);
                }
                Some((Err(_), word, at)) => {
                    let fact = format!("a coordinate is {}, a number is needed", quoted(word));
                    self.tell(at, fact, None);
                }
                None => {
                    let fact = format!("a vertex has {nth} coordinates, 3 are needed");
                    self.tell(at, fact, Some("write v x y z"));
                    break;
                }
            }
        }
        self.vertices.push((Point::from(place), at));
    }

    fn edges_of(&mut self, at: usize, words: &[Word<'_>], closed: bool) {
        let least = if closed { 3 } else { 2 };
        if words.len() < least {
            let what = if closed { "a face" } else { "a line" };
            let fact = format!(
                "{what} has {} vertices, at least {least} are needed",
                words.len()
            );
            self.tell(at, fact, None);
            return;
        }
        let ends: Vec<Option<usize>> = words.iter().map(|word| self.number(*word)).collect();
        let closing = closed.then(|| [ends[ends.len() - 1], ends[0]]);
        for pair in ends
            .windows(2)
            .map(|pair| [pair[0], pair[1]])
            .chain(closing)
        {
            if let [Some(first), Some(second)] = pair
                && self.known.insert([first.min(second), first.max(second)])
            {
                self.edges.push([first, second]);
            }
        }
    }

    /// The vertex that `7`, `7/2`, `7//3` or `-1` names.
    fn number(&mut self, (word, at): Word<'_>) -> Option<usize> {
        let count = self.vertices.len() as i64;
        let number = word.split('/').next().unwrap_or("").parse::<i64>().ok();
        let found = match number {
            Some(number) if number >= 1 && number <= count => Some(number - 1),
            Some(number) if number <= -1 && number >= -count => Some(count + number),
            _ => None,
        };
        if found.is_none() {
            let fact = format!(
                "{} names no vertex, {count} have been given up to here: 1 to {count}, or -1 for the last one",
                quoted(word)
            );
            self.tell(at, fact, None);
        }
        found.and_then(|found| usize::try_from(found).ok())
    }

    fn project(&mut self, frame: &Frame, distance_mm: f64) {
        let used: BTreeSet<usize> = self.edges.iter().flatten().copied().collect();
        let mut number_of = BTreeMap::new();
        for vertex in used {
            let (point, at) = self.vertices[vertex];
            let Some(place_mm) = frame.seen(point, distance_mm) else {
                self.tell(
                    at,
                    "this vertex lies at the eye or behind it".to_owned(),
                    Some("put the eye farther away, so that the whole solid is in front of it"),
                );
                continue;
            };
            number_of.insert(vertex, self.solid.loose.points.len());
            self.solid.loose.points.push(LoosePoint {
                place_mm,
                role: Role::Drawn(None),
            });
        }
        let ends_of =
            |ends: &[usize; 2]| Some([*number_of.get(&ends[0])?, *number_of.get(&ends[1])?]);
        self.solid.loose.edges = self.edges.iter().filter_map(ends_of).collect();
    }
}
