//! Reads what stands on the pages of a PDF: boxes, paths in points from the lower left corner, and text.

use lopdf::content::Content;
use lopdf::{Dictionary, Document, Object, ObjectId, Stream};
use std::collections::BTreeMap;

/// a b c d e f of x' = a·x + c·y + e, y' = b·x + d·y + f.
type Matrix = [f64; 6];

const UNIT: Matrix = [1.0, 0.0, 0.0, 1.0, 0.0, 0.0];

/// Points in a millimetre.
pub const POINTS_PER_MM: f64 = 72.0 / 25.4;

/// A painted path's piece without a break: its points (of curves the ends only), mm from the page's lower left corner.
#[derive(Debug, Clone)]
pub struct Path {
    /// Its points.
    pub points_mm: Vec<[f64; 2]>,
    /// Number of curves in it.
    pub curves: usize,
}

impl Path {
    /// Whether it is one straight stroke of that length.
    pub fn is_stroke_of(&self, length_mm: f64) -> bool {
        self.curves == 0 && self.points_mm.len() == 2 && {
            let [a, b] = [self.points_mm[0], self.points_mm[1]];
            ((a[0] - b[0]).hypot(a[1] - b[1]) - length_mm).abs() < 1e-3
        }
    }

    /// Middle and diameter of a circle made of four or eight curves; `None` for anything else.
    pub fn circle(&self) -> Option<([f64; 2], f64)> {
        // small ones are written in eighths
        if ![4, 8].contains(&self.curves) {
            return None;
        }
        let [low, high] = [f64::min, f64::max].map(|pick| {
            [0, 1].map(|i| {
                self.points_mm
                    .iter()
                    .map(|at| at[i])
                    .reduce(pick)
                    .expect("points")
            })
        });
        Some((
            [(low[0] + high[0]) / 2.0, (low[1] + high[1]) / 2.0],
            high[0] - low[0],
        ))
    }
}

/// A page.
#[derive(Debug)]
pub struct Page {
    /// Width and height, mm.
    pub size_mm: [f64; 2],
    /// All painted paths.
    pub paths: Vec<Path>,
    /// All glyphs in the order in which they are shown, by what their font says they stand for.
    pub text: String,
}

impl Page {
    /// Circles of a diameter.
    pub fn circles_mm(&self, diameter_mm: f64) -> Vec<[f64; 2]> {
        let circles = self.paths.iter().filter_map(Path::circle);
        circles
            .filter(|(_, found)| (found - diameter_mm).abs() < 1e-3)
            .map(|(at, _)| at)
            .collect()
    }
}

/// Reads all pages of a file.
pub fn pages(bytes: &[u8]) -> Vec<Page> {
    let document = Document::load_mem(bytes).expect("a PDF");
    let numbered = document.get_pages();
    numbered
        .values()
        .map(|id| read_page(&document, *id))
        .collect()
}

fn read_page(document: &Document, id: ObjectId) -> Page {
    let page = document.get_dictionary(id).expect("a page");
    let area: Vec<f64> = page
        .get(b"MediaBox")
        .and_then(Object::as_array)
        .expect("a page has a box")
        .iter()
        .map(number)
        .collect();
    let resources = dictionary(document, page.get(b"Resources").expect("resources"));
    let mut reader = Reader {
        document,
        page: Page {
            size_mm: [area[2] - area[0], area[3] - area[1]].map(|points| points / POINTS_PER_MM),
            paths: Vec::new(),
            text: String::new(),
        },
    };
    let content = document.get_page_content(id).expect("content");
    reader.run(&content, resources, UNIT);
    reader.page
}

fn number(object: &Object) -> f64 {
    f64::from(object.as_float().expect("a number"))
}

fn dictionary<'a>(document: &'a Document, object: &'a Object) -> &'a Dictionary {
    match object {
        Object::Reference(id) => document.get_dictionary(*id).expect("a dictionary"),
        other => other.as_dict().expect("a dictionary"),
    }
}

fn then(first: Matrix, second: Matrix) -> Matrix {
    let [a, b, c, d, e, f] = first;
    let [p, q, r, s, t, u] = second;
    [
        a * p + b * r,
        a * q + b * s,
        c * p + d * r,
        c * q + d * s,
        e * p + f * r + t,
        e * q + f * s + u,
    ]
}

struct Reader<'a> {
    document: &'a Document,
    page: Page,
}

impl Reader<'_> {
    fn run(&mut self, content: &[u8], resources: &Dictionary, start: Matrix) {
        let operations = Content::decode(content).expect("content").operations;
        let mut matrix = start;
        let mut kept = Vec::new();
        let mut pieces: Vec<Path> = Vec::new();
        let mut letters = BTreeMap::new();
        for operation in operations {
            let operands = &operation.operands;
            let numbers = || -> Vec<f64> { operands.iter().map(number).collect() };
            match operation.operator.as_str() {
                "q" => kept.push(matrix),
                "Q" => matrix = kept.pop().expect("as many Q as q"),
                "cm" => matrix = then(numbers().try_into().expect("six numbers"), matrix),
                "m" => pieces.push(Path {
                    points_mm: vec![placed(matrix, &numbers())],
                    curves: 0,
                }),
                "l" | "c" => {
                    let all = numbers();
                    let piece = pieces.last_mut().expect("a path has begun");
                    piece.points_mm.push(placed(matrix, &all[all.len() - 2..]));
                    piece.curves += usize::from(all.len() == 6);
                }
                "S" | "s" | "f" | "f*" | "B" | "b" => self.page.paths.append(&mut pieces),
                "n" => pieces.clear(),
                "Tf" => {
                    let font = operands[0].as_name().expect("a font's name");
                    letters = self.letters(resources, font);
                }
                "Tj" => {
                    let shown = operands[0].as_str().expect("a string");
                    for code in shown.chunks(2) {
                        let code = u16::from_be_bytes(code.try_into().expect("two bytes"));
                        self.page
                            .text
                            .push_str(letters.get(&code).map_or("?", String::as_str));
                    }
                }
                "Do" => self.form(resources, operands[0].as_name().expect("a name"), matrix),
                _ => {}
            }
        }
    }

    fn form(&mut self, resources: &Dictionary, name: &[u8], matrix: Matrix) {
        let forms = dictionary(self.document, resources.get(b"XObject").expect("forms"));
        let form = stream(self.document, forms.get(name).expect("the form"));
        let own = form.dict.get(b"Matrix").map_or(UNIT, |own| {
            let numbers: Vec<f64> = own
                .as_array()
                .expect("a matrix")
                .iter()
                .map(number)
                .collect();
            numbers.try_into().expect("six numbers")
        });
        let inner = dictionary(
            self.document,
            form.dict.get(b"Resources").expect("resources"),
        );
        let content = plain(form);
        self.run(&content, inner, then(own, matrix));
    }

    /// What a font's codes stand for, by its own table.
    fn letters(&self, resources: &Dictionary, name: &[u8]) -> BTreeMap<u16, String> {
        let fonts = dictionary(self.document, resources.get(b"Font").expect("fonts"));
        let font = dictionary(self.document, fonts.get(name).expect("the font"));
        let table = stream(
            self.document,
            font.get(b"ToUnicode").expect("text can be selected"),
        );
        let text = String::from_utf8(plain(table)).expect("a table of ASCII");
        let mut letters = BTreeMap::new();
        let mut inside = false;
        for line in text.lines() {
            inside = (inside || line.ends_with("beginbfchar")) && line != "endbfchar";
            let words: Vec<&str> = line.split(['<', '>']).collect();
            if let (true, [_, code, _, meant, _]) = (inside, &words[..]) {
                let units: Vec<u16> = (0..meant.len() / 4)
                    .map(|i| {
                        u16::from_str_radix(&meant[4 * i..4 * i + 4], 16).expect("hexadecimal")
                    })
                    .collect();
                let code = u16::from_str_radix(code, 16).expect("hexadecimal");
                letters.insert(code, String::from_utf16_lossy(&units));
            }
        }
        letters
    }
}

fn placed(matrix: Matrix, at: &[f64]) -> [f64; 2] {
    let [a, b, c, d, e, f] = matrix;
    [a * at[0] + c * at[1] + e, b * at[0] + d * at[1] + f].map(|points| points / POINTS_PER_MM)
}

fn stream<'a>(document: &'a Document, object: &'a Object) -> &'a Stream {
    let id = object.as_reference().expect("a stream is referred to");
    document
        .get_object(id)
        .and_then(Object::as_stream)
        .expect("a stream")
}

fn plain(stream: &Stream) -> Vec<u8> {
    stream
        .decompressed_content()
        .unwrap_or_else(|_| stream.content.clone())
}
