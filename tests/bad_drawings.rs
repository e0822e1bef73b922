//! Bad drawings: every mistake is told with its place, hostile files are refused in time, and nothing panics.

use sightdrift::sampling::{Stream, StreamKey};
use sightdrift::scenario::{
    DrawingError, DrawingFormat, DrawingSettings, Drawn, FigureSize, SolidView, read_drawing,
};
use std::fmt::Write as _;
use std::path::Path;

fn settings() -> DrawingSettings {
    DrawingSettings {
        size: FigureSize::AsDrawn,
        flatten_mm: DrawingSettings::FLATTEN_MM,
        merge_mm: DrawingSettings::MERGE_MM,
        view: Some(SolidView {
            eye: [1.0, 1.0, 5.0],
            towards: [1.0, 1.0, 0.0],
            up: [0.0, 1.0, 0.0],
        }),
    }
}

fn read(name: &str, text: &str) -> Result<Drawn, DrawingError> {
    let format = DrawingFormat::of(Path::new(name)).expect("a known ending");
    read_drawing(format, name, text, &settings())
}

/// An SVG drawing with one line and `inside`.
fn svg(inside: &str) -> String {
    format!(
        "<svg xmlns='http://www.w3.org/2000/svg' width='100' height='100' stroke='black'>\n<line x2='50' y2='50'/>\n{inside}\n</svg>"
    )
}

fn refusal(name: &str, text: &str) -> String {
    match read(name, text) {
        Ok(drawn) => panic!("accepted, with {} rods", drawn.rods.len()),
        Err(error) => error.to_string(),
    }
}

/// Each text is refused with these words.
fn assert_refused(name: &str, cases: &[(&str, &str)]) {
    for (text, words) in cases {
        let told = refusal(name, text);
        assert!(told.contains(words), "`{words}` is not in: {told}");
        assert!(told.starts_with(name), "{told}");
    }
}

#[test]
fn what_is_wrong_in_an_svg_is_told_with_its_place() {
    assert_refused(
        "d.svg",
        &[
            ("", "the drawing cannot be read as XML"),
            (
                "not a drawing",
                "d.svg:1:1: the drawing cannot be read as XML",
            ),
            ("<svg", "d.svg:1:"),
            (&svg("<g>"), "d.svg:4:"),
            ("<html/>", "d.svg:1:1: the outermost element is `html`"),
            ("<svg width='10' height='10'/>", "write <svg xmlns="),
            (
                &svg("<path d='M0,0 L1e999,5'/>"),
                "d.svg:3:16: d of `path` has `1e999`, must be within",
            ),
            (
                &svg("<path d='M0,0 LNaN,5'/>"),
                "d.svg:3:16: d of `path` has `NaN,5` where a number is needed",
            ),
            (
                &svg("<polyline points='0,0 5,inf'/>"),
                "d.svg:3:25: points of `polyline` has `inf`",
            ),
            (
                &svg("<line x1='3furlong'/>"),
                "d.svg:3:11: x1 of `line` is `3furlong`: unknown unit `furlong`",
            ),
            (
                &svg("<circle r='wide'/>"),
                "d.svg:3:12: r of `circle` is `wide`, a length is needed",
            ),
            (
                &svg("<g transform='turn(90)'/>"),
                "d.svg:3:15: transform of `g` is `turn(90)`, allowed here: matrix",
            ),
            (&svg("<g transform='rotate(90'/>"), "the ( is never closed"),
            (
                &svg("<g transform='rotate(9O)'/>"),
                "d.svg:3:23: transform of `g` has `O`",
            ),
            (
                &svg("<path d='M0,0 L10,10 X 5,5'/>"),
                "d.svg:3:22: d of `path` has `X 5,5` where",
            ),
            (
                "<svg xmlns='http://www.w3.org/2000/svg' width='0' height='0'/>",
                "width, height and the view box must be above 0",
            ),
            (
                "<svg xmlns='http://www.w3.org/2000/svg' width='9' height='9'><rect id='pane' width='5' height='5'/><text>A</text></svg>",
                "nothing that has an outline; left out: 1 `text`",
            ),
            (&svg("<line x2='9000' y2='9'/>"), "reaches"),
            (
                &svg("<g transform='scale(1e9)'><line x2='1e9'/></g>"),
                "reaches farther than 1000000 mm",
            ),
        ],
    );
    // all at once
    let told = refusal("d.svg", &svg("<line x1='1q'/>\n<line y1='2q'/>"));
    assert!(
        told.contains("d.svg:3:11") && told.contains("d.svg:4:11"),
        "{told}"
    );
}

#[test]
fn a_path_that_breaks_off_is_taken_up_to_there_and_told() {
    let drawn = read("d.svg", &svg("<path d='M60,0 L90,0 L95'/>")).expect("a drawing");
    assert_eq!(drawn.rods.len(), 2);
    assert!(
        drawn.told.iter().any(|words| words
            .contains("the rest of 1 path whose data break off or go wrong (the first in line 3)")),
        "{:?}",
        drawn.told
    );
    // arcs with their flags run together are as they should be: SVG 2, section 9.3.9 (the grammar)
    let drawn = read("d.svg", &svg("<path d='M60,0a30 30 0 0130 30'/>")).expect("a drawing");
    assert!(!drawn.told.iter().any(|words| words.contains("break off")));
}

#[test]
fn a_hostile_svg_is_refused_before_it_grows() {
    let entities = (1..12).fold("<!ENTITY e0 'ha'>".to_owned(), |mut text, nth| {
        let before = format!("&e{};", nth - 1).repeat(10);
        let _ = write!(text, "<!ENTITY e{nth} '{before}'>");
        text
    });
    let bomb = format!("<!DOCTYPE svg [{entities}]>{}", svg("<desc>&e11;</desc>"));
    assert!(refusal("d.svg", &bomb).contains("cannot be read as XML"));
    let nested = svg(&format!(
        "{}{}",
        "<g>".repeat(50_000),
        "</g>".repeat(50_000)
    ));
    assert!(refusal("d.svg", &nested).contains("nested more than 200 deep"));
    let open = "<g>".repeat(300_000);
    assert!(refusal("d.svg", &svg(&open)).starts_with("d.svg:"));
    let copies = (1..11).fold(
        "<g id='u0'><line x2='9'/></g>".to_owned(),
        |mut text, nth| {
            let uses = format!("<use href='#u{}'/>", nth - 1).repeat(10);
            let _ = write!(text, "<g id='u{nth}'>{uses}</g>");
            text
        },
    );
    assert!(refusal("d.svg", &svg(&copies)).contains("more than 20000 elements come of this one"));
    let circle = svg("<g id='a'><use href='#b'/></g><g id='b'><use href='#a'/></g>");
    assert!(refusal("d.svg", &circle).contains("drawn again within itself"));
    let rules = format!("<style>{}</style>", "a{b:c}".repeat(5000));
    assert!(refusal("d.svg", &svg(&rules)).contains("more than 1000 rules"));
    let long = format!("<path d='M0,0{}'/>", " 1,1 2,2".repeat(150_000));
    assert!(refusal("d.svg", &svg(&long)).contains("far more than 1000 vertices"));
    let many = (0..1500).fold(String::new(), |mut text, nth| {
        let _ = write!(
            text,
            "<line x1='{0}' y1='0' x2='{0}' y2='40'/>",
            f64::from(nth) / 2.0
        );
        text
    });
    let fine = DrawingSettings {
        merge_mm: 0.01,
        ..settings()
    };
    let told =
        read_drawing(DrawingFormat::Svg, "d.svg", &svg(&many), &fine).map_err(|e| e.to_string());
    assert!(told.is_err_and(|words| words.contains("3001 vertices and 1501 rods come of it")));
    let large = svg(&" ".repeat(5 << 20));
    assert!(refusal("d.svg", &large).contains("the most is 4194304"));
}

#[test]
fn nothing_that_a_drawing_refers_to_is_fetched_or_multiplied() {
    // markers within markers and patterns within patterns, ten of each kind on every level
    let mut inside = String::new();
    for nth in 0..9 {
        let shapes = format!(
            "<path d='M0,0 1,1 2,2 3,3 4,4 5,5' style='marker-mid:url(#m{0})' fill='url(#p{0})' stroke='url(#p{0})'/>",
            nth + 1
        )
        .repeat(10);
        let _ = write!(
            inside,
            "<marker id='m{nth}'>{shapes}</marker><pattern id='p{nth}' width='1' height='1'>{shapes}</pattern>"
        );
    }
    inside.push_str("<path d='M60,0 70,0 80,0' marker-mid='url(#m0)' fill='url(#p0)'/>");
    let drawn = read("d.svg", &svg(&inside)).expect("a drawing");
    assert_eq!(drawn.rods.len(), 3);
    let outside = "<!DOCTYPE svg [<!ENTITY x SYSTEM 'file:///etc/hostname'>]>";
    let told = refusal("d.svg", &format!("{outside}{}", svg("<desc>&x;</desc>")));
    assert!(told.contains("cannot be read as XML"), "{told}");
    let elsewhere = svg(
        "<image href='file:///etc/hostname' width='9' height='9'/><use href='other.svg#a'/><style>@import url(http://127.0.0.1:9/x.css); line { stroke: red }</style>",
    );
    assert_eq!(read("d.svg", &elsewhere).expect("a drawing").rods.len(), 1);
}

#[test]
fn what_is_wrong_in_a_table_is_told_all_at_once_with_its_places() {
    let text = "vertex,a,0,0\nvertex,b,5O,1\nvertex,a,1,1\nvertex,,1,1\nvertex,c,1\nvertex,d,1,1,furlong\nvertex,e,nan,1\nvertex,f,1e9,1\nvertx,g,1,1\nedge,a,bb\nedge,a\nedge,b,b\nedge,a,b,c\n,x\n";
    let told = refusal("t.csv", text);
    for words in [
        "t.csv:2:10: x is `5O`, a number is needed",
        "t.csv:3:8: two vertices have the name `a`",
        "t.csv:4:8: a vertex has no name",
        "t.csv:5:1: a vertex has no y",
        "t.csv:6:14: unknown unit `furlong`, allowed here: mm, cm",
        "t.csv:7:10: x is `nan`, must be a finite number",
        "t.csv:8:10: x is `1e9`, must be within",
        "t.csv:9:1: a row begins with `vertx`, must begin with `vertex` or `edge`\n  hint: did you mean `vertex`?",
        "t.csv:10:8: an edge names the vertex `bb`, which no row has\n  hint: did you mean `b`?",
        "t.csv:11:1: an edge's second end has no name",
        "t.csv:12:8: an edge joins the vertex `b` to itself",
        "t.csv:13:10: `c` stands beyond the last cell",
        "t.csv:14:1: the first cell is empty",
    ] {
        assert!(told.contains(words), "`{words}` is not in:\n{told}");
    }
    assert_eq!(told.matches("t.csv:").count(), 13, "{told}");
    assert_refused(
        "t.csv",
        &[
            ("", "has no `edge` row"),
            ("vertex,a,0,0\nvertex,b,1,1\n", "has no `edge` row"),
            (
                "vertex,\"a,0,0\n",
                "t.csv:1:8: a quotation mark is opened here and never closed",
            ),
            (
                "vertex,a,0,0\nvertex,b,0.4,0\nedge,a,b\n",
                "no edge is longer than the 1 mm",
            ),
            (
                "vertex,a,0,0\nvertex,b,900,0\nedge,a,b\n",
                "lines must run under 45°",
            ),
        ],
    );
}

#[test]
fn what_is_wrong_in_a_solid_is_told_all_at_once_with_its_places() {
    let text = "v 0 0 0\nv 1 0 x\nv 1 1\nv 1 1 1e99\nl 1 9\nl 1\nf 1 2\nl 1 0\nl 1/2 two\n";
    let told = refusal("s.obj", text);
    for words in [
        "s.obj:2:7: a coordinate is `x`, a number is needed",
        "s.obj:3:1: a vertex has 2 coordinates, 3 are needed",
        "s.obj:4:7: a coordinate is `1e99`, must be within",
        "s.obj:5:5: `9` names no vertex, 4 have been given up to here",
        "s.obj:6:1: a line has 1 vertices, at least 2 are needed",
        "s.obj:7:1: a face has 2 vertices, at least 3 are needed",
        "s.obj:8:5: `0` names no vertex",
        "s.obj:9:7: `two` names no vertex",
    ] {
        assert!(told.contains(words), "`{words}` is not in:\n{told}");
    }
    assert_eq!(told.matches("s.obj:").count(), 8, "{told}");
    assert_refused(
        "s.obj",
        &[
            ("", "has no `l` and no `f`"),
            ("v 0 0 0\nv 1 1 1\n", "has no `l` and no `f`"),
            (
                "v 0 0 0\nv 1 1 6\nl 1 2\n",
                "s.obj:2:1: this vertex lies at the eye or behind it",
            ),
        ],
    );
    let cube = "v 0 0 0\nv 1 1 1\nl 1 2\n";
    let with = |eye, towards, up| {
        let view = Some(SolidView { eye, towards, up });
        let settings = DrawingSettings { view, ..settings() };
        let read = read_drawing(DrawingFormat::Solid, "s.obj", cube, &settings);
        read.map_err(|error| error.to_string())
    };
    let (far, up) = ([0.0, 0.0, 9.0], [0.0, 1.0, 0.0]);
    assert!(with(far, far, up).is_err_and(|words| words.contains("at one place")));
    assert!(with(far, [0.0; 3], [0.0; 3]).is_err_and(|words| words.contains("--up has no length")));
    assert!(with(far, [0.0; 3], far).is_err_and(|words| words.contains("along the line of sight")));
    assert!(with(far, [0.0; 3], up).is_ok());
}

/// One of `count` things.
fn one_of(numbers: &mut Stream, count: usize) -> usize {
    ((numbers.next_uniform() * count as f64) as usize).min(count.saturating_sub(1))
}

/// `text` with some bytes changed, taken out, put twice or put in.
fn garbled(text: &str, numbers: &mut Stream) -> String {
    const PUT_IN: [&str; 18] = [
        "<",
        ">",
        "\"",
        "&",
        "1e999",
        "-",
        "NaN",
        "\0",
        ",,",
        "\n",
        "url(#board)",
        "<use href='#leg'/>",
        "é",
        "edge,",
        "\\",
        "#",
        "9999999999999999999999",
        "f -1 -2 -3\n",
    ];
    let mut bytes = text.as_bytes().to_vec();
    for _ in 0..=one_of(numbers, 2) {
        if bytes.is_empty() {
            break;
        }
        let from = one_of(numbers, bytes.len());
        let to = (from + 1 + one_of(numbers, 30)).min(bytes.len());
        match one_of(numbers, 5) {
            0 => bytes[from] = one_of(numbers, 256) as u8,
            1 => drop(bytes.drain(from..to)),
            2 => {
                let again = bytes[from..to].to_vec();
                bytes.splice(from..from, again);
            }
            3 => {
                let word = PUT_IN[one_of(numbers, PUT_IN.len())];
                bytes.splice(from..from, word.bytes());
            }
            _ if one_of(numbers, 5) == 0 => bytes.truncate(from),
            _ => bytes[from] ^= 1 << one_of(numbers, 8),
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

#[test]
fn garbled_drawings_never_panic() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/drawings_in");
    let mut counts = [0, 0];
    let files = [
        "stool.svg",
        "bracket.svg",
        "mast.svg",
        "hoop.svg",
        "sign.svg",
        "loose-ends.svg",
        "tripod.csv",
        "stair.obj",
    ];
    for (item, name) in files.into_iter().enumerate() {
        let text = std::fs::read_to_string(folder.join(name)).expect("a drawing");
        let key = StreamKey {
            seed: 3,
            source: 9002,
            item: item as u64,
            component: 0,
            look: 0,
        };
        for nth in 0..1000 {
            let text = garbled(&text, &mut Stream::new(key, nth));
            match read(name, &text) {
                Ok(drawn) => {
                    counts[0] += 1;
                    let places = drawn.vertices.iter().flat_map(|vertex| vertex.place_mm);
                    assert!(
                        places.into_iter().all(|mm| mm.abs() < 400.0),
                        "{name} {nth}"
                    );
                    assert!(drawn.vertices.len() <= 1000 && drawn.rods.len() <= 2000);
                }
                Err(error) => {
                    counts[1] += 1;
                    let words = error.to_string();
                    // what panics in the reader's thread is told so
                    assert!(
                        !words.contains("the SVG reader failed"),
                        "{name} {nth}: {words}"
                    );
                    assert!(words.starts_with(name), "{name} {nth}: {words}");
                }
            }
        }
    }
    // both outcomes are met often, or the test says nothing
    assert!(counts.iter().all(|count| *count > 800), "{counts:?}");
}
