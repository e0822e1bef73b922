//! Names, titles and notes that try to be markup, formulas, commands or control codes: through every way out of the program.

mod binary;
#[allow(dead_code)] // one part of it is used here
#[path = "support/dxf_pairs.rs"]
mod dxf_pairs;

use binary::{Folder, plain_scenario, stderr, stdout};
use dxf_pairs::DxfFile;
use sightdrift::scenario::{is_unseen, read_bench, read_scenario};

/// Names of the six lines, in the place of a to f.
const VERTICES: [&str; 6] = [
    "<script>alert(1)</script>",
    "=HYPERLINK(\"http://x.invalid\",\"see\")",
    "-2",
    "@SUM(1+1)*cmd|' /C calc'!A0",
    "</style></svg><svg onload=a()>&amp;&\"'",
    "\u{1F469}\u{200D}\u{1F680} 50%%d \\U+0041 ^J {{x}} %s #",
];

/// Names of the first rods.
const RODS: [&str; 4] = [
    "+1",
    "-->]]><!--<b>bold</b>",
    "sixty letters long, the longest that a name of a rod may be;",
    "=1+1\",\"second cell",
];

const TITLE: &str = "</title><img src=x onerror=alert(1)> =cmd & \"two\" 'one' \u{1F6A2}";
const NOTE: &str = "first line\n=HYPERLINK(\"http://x.invalid\")\n</style><script>alert(2)</script> --> ]]> ${HOME} $(id) `id`";

/// A text as TOML writes it; JSON's escapes are TOML's too.
fn quoted(text: &str) -> String {
    serde_json::to_string(text).expect("a text")
}

/// The plain exhibit under these names.
fn hostile() -> String {
    let mut text = plain_scenario(
        "fitted",
        "\"0 mm\"",
        "{ form = \"normal\", sd = \"0.05 mm\" }",
    )
    .replace(
        "title = \"plain\"",
        &format!("title = {}\nnote = {}", quoted(TITLE), quoted(NOTE)),
    )
    .replace("builds = 20000", "builds = 64");
    for (short, long) in ["a", "b", "c", "d", "e", "f"].iter().zip(VERTICES) {
        text = text.replace(
            &format!("name = \"{short}\""),
            &format!("name = {}", quoted(long)),
        );
        text = text.replace(&format!("[\"{short}\","), &format!("[{},", quoted(long)));
        text = text.replace(&format!(", \"{short}\"]"), &format!(", {}]", quoted(long)));
    }
    for name in RODS {
        // the next rod that has no name yet
        text = text.replacen(
            "mm\"] },",
            &format!("mm\"], name = {} }} ,", quoted(name)),
            1,
        );
    }
    text
}

fn folder(test: &str) -> Folder {
    let folder = Folder::new(test);
    folder.write("s.toml", &hostile());
    folder
}

fn run(folder: &Folder, arguments: &[&str]) -> String {
    let output = folder.run(arguments);
    assert!(
        output.status.success(),
        "{arguments:?}: {}",
        stderr(&output)
    );
    for text in [stdout(&output), stderr(&output)] {
        let unseen = text.chars().find(|c| is_unseen(*c) && *c != '\n');
        assert_eq!(unseen, None, "{arguments:?} prints it:\n{text:?}");
    }
    stdout(&output)
}

/// What stands outside a page's scripts, as a browser parts them. The scripts are the page's own: no name is in a program, and
/// numbers with names hold nothing that could end their element.
fn outside_scripts(name: &str, page: &str) -> String {
    let mut outside = String::new();
    let mut rest = page;
    while let Some((before, from)) = rest.split_once("<script") {
        outside.push_str(before);
        let (attributes, from) = from.split_once('>').expect("a tag ends");
        let (inside, after) = from.split_once("</script>").expect("a script ends");
        match attributes {
            "" => assert!(!inside.contains("alert(1)"), "{name}: a name in a program"),
            " type=\"application/json\" id=\"eye-data\"" => {
                assert!(!inside.contains('<'), "{name}: a tag among the numbers");
            }
            other => panic!("{name} has <script{other}>"),
        }
        rest = after;
    }
    outside + rest
}

/// No tag comes of a name: the only elements and handlers are the page's own.
fn page_is_sound(name: &str, page: &str) {
    let lower = outside_scripts(name, page).to_lowercase();
    for bad in [
        "<script",
        "<img",
        "<b>",
        " onerror=\"",
        " onload=\"",
        "onload=a()>",
        "<iframe",
        "javascript:",
    ] {
        assert!(!lower.contains(bad), "{name} has {bad}");
    }
    for (open, close) in [
        ("<style", "</style>"),
        ("<svg", "</svg>"),
        ("<title", "</title>"),
    ] {
        assert_eq!(
            lower.matches(open).count(),
            lower.matches(close).count(),
            "{name}: {open}"
        );
    }
    assert!(
        page.contains("&lt;script&gt;alert(1)"),
        "{name} does not show the name"
    );
    assert!(!page.chars().any(|c| is_unseen(c) && c != '\n'), "{name}");
}

/// A document that parses as XML, with no element that a drawing of ours does not have.
fn svg_is_sound(name: &str, text: &str) {
    let document =
        roxmltree::Document::parse(text).unwrap_or_else(|error| panic!("{name}: {error}"));
    let known = [
        "svg", "g", "path", "rect", "circle", "ellipse", "line", "polyline", "polygon", "text",
        "tspan", "title", "desc", "defs", "clipPath", "pattern", "style",
    ];
    for node in document.descendants().filter(roxmltree::Node::is_element) {
        let element = node.tag_name().name();
        assert!(known.contains(&element), "{name} has <{element}>");
        for attribute in node.attributes() {
            assert!(
                !attribute.name().starts_with("on"),
                "{name}: {}",
                attribute.name()
            );
            assert!(
                !attribute.name().contains("href"),
                "{name}: {}",
                attribute.name()
            );
        }
    }
}

/// No cell is a formula: what begins like one is a number. Returns how many negative numbers there are.
fn csv_is_sound(name: &str, text: &[u8]) -> usize {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .comment(Some(b'#'))
        .from_reader(text);
    let mut negative_n = 0;
    for record in reader.records() {
        for cell in &record.expect("a row") {
            let begins = cell.starts_with(['=', '+', '-', '@', '\t', '\r', '\n'])
                || cell.trim_start().starts_with(['=', '+', '-', '@']);
            if begins {
                let number: Result<f64, _> = cell.parse();
                assert!(number.is_ok(), "{name} has the cell {cell:?}");
                negative_n += 1;
            }
        }
    }
    negative_n
}

#[test]
fn a_report_holds_hostile_names_as_text() {
    let folder = folder("hostile-report");
    run(&folder, &["assess", "s.toml", "--out", "r"]);
    let mut kinds = std::collections::BTreeSet::new();
    for name in folder.names_in("r") {
        let bytes = folder.read(&format!("r/{name}"));
        let kind = name.rsplit('.').next().expect("an ending").to_owned();
        let text = String::from_utf8_lossy(&bytes).into_owned();
        match kind.as_str() {
            "html" => {
                page_is_sound(&name, &text);
                assert!(
                    text.contains("=HYPERLINK(") && text.contains("$(id)"),
                    "the note is shown"
                );
            }
            "svg" => svg_is_sound(&name, &text),
            "csv" => {
                csv_is_sound(&name, &bytes);
                assert!(
                    text.contains("'=HYPERLINK") || text.contains("'=1+1"),
                    "{name}"
                );
            }
            "json" => {
                let value: serde_json::Value = serde_json::from_slice(&bytes).expect("JSON");
                let whole = value.to_string();
                assert!(
                    whole.contains(&quoted(VERTICES[1])) || whole.contains(&quoted(RODS[0])),
                    "{name}"
                );
            }
            _ => {}
        }
        kinds.insert(kind);
    }
    assert!(
        ["csv", "html", "json", "png", "svg"]
            .iter()
            .all(|kind| kinds.contains(*kind)),
        "{kinds:?}"
    );
}

#[test]
fn other_pages_hold_hostile_names_as_text() {
    let folder = folder("hostile-pages");
    run(
        &folder,
        &[
            "compare", "s.toml", "s.toml", "--builds", "64", "--looks", "1", "--out", "c",
        ],
    );
    run(
        &folder,
        &[
            "peephole", "s.toml", "--builds", "64", "--looks", "1", "--out", "p",
        ],
    );
    for place in ["c", "p"] {
        let pages: Vec<String> = folder
            .names_in(place)
            .into_iter()
            .filter(|name| name.ends_with(".html"))
            .collect();
        assert!(!pages.is_empty());
        for name in folder.names_in(place) {
            let text =
                String::from_utf8_lossy(&folder.read(&format!("{place}/{name}"))).into_owned();
            if name.ends_with(".svg") {
                svg_is_sound(&name, &text);
            } else if name.ends_with(".html") {
                let lower = outside_scripts(&name, &text).to_lowercase();
                assert!(
                    !lower.contains("<script") && !lower.contains("<img"),
                    "{name}"
                );
                assert!(
                    !lower.contains("<b>") && !lower.contains("onload=a()>"),
                    "{name}"
                );
                let names = [
                    "&lt;script&gt;alert(1)",
                    "&lt;/title&gt;&lt;img",
                    "&lt;b&gt;bold",
                ];
                assert!(names.iter().any(|shown| text.contains(shown)), "{name}");
            }
        }
    }
}

#[test]
fn what_is_printed_on_a_terminal_has_no_control_characters() {
    let folder = folder("hostile-terminal");
    for arguments in [
        &["check", "s.toml"][..],
        &["check", "s.toml", "--json"],
        &["see", "s.toml", "--trial", "1"],
        &["thread", "s.toml"],
        &["thread", "s.toml", "--json"],
        &[
            "rare",
            "s.toml",
            "--samples",
            "100",
            "--repetitions",
            "4",
            "--looks",
            "1",
        ],
    ] {
        let text = run(&folder, arguments);
        assert!(!text.is_empty(), "{arguments:?}");
        if arguments.contains(&"--json") {
            let value: serde_json::Value = serde_json::from_str(&text).expect("JSON");
            assert!(value.to_string().contains("alert(1)"), "{arguments:?}");
        }
    }
    run(
        &folder,
        &["see", "s.toml", "--trial", "1", "--picture", "eye.svg"],
    );
    svg_is_sound("eye.svg", &String::from_utf8_lossy(&folder.read("eye.svg")));
    run(
        &folder,
        &[
            "thread",
            "s.toml",
            "--picture",
            "ways.svg",
            "--out",
            "threaded.toml",
        ],
    );
    svg_is_sound(
        "ways.svg",
        &String::from_utf8_lossy(&folder.read("ways.svg")),
    );
    // the scenario with an order put in names the same lines
    run(&folder, &["check", "threaded.toml"]);
}

/// A file's name is the only text that reaches the terminal without having been read from a file.
#[cfg(unix)]
#[test]
fn a_hostile_file_name_steers_no_terminal_and_no_page() {
    let folder = Folder::new("hostile-file-name");
    for name in [
        "\u{1b}[31mred\u{7}.toml",
        "\u{1b}]8;;http:x\u{1b}\\link.toml",
        "two\nlines.toml",
        "\u{202e}lmot.nekot",
        "<script>alert(1)<b>.toml",
        "--overwrite.toml",
        "$(id) `id` 'q' \"q\".toml",
    ] {
        let place = format!("./{name}");
        let gone = folder.run(&["check", &place]);
        assert_eq!(gone.status.code(), Some(2));
        let words = stderr(&gone);
        assert!(
            !words.chars().any(|c| is_unseen(c) && c != '\n'),
            "{words:?}"
        );
        folder.write(name, &hostile());
        run(&folder, &["check", &place]);
        if name.contains(['\u{7}', '<', '\u{202e}']) {
            let report = [
                "assess",
                &place,
                "--builds",
                "8",
                "--looks",
                "1",
                "--out",
                "r",
                "--overwrite",
            ];
            run(&folder, &report);
            let page = String::from_utf8(folder.read("r/report.html")).expect("UTF-8");
            page_is_sound(name, &page);
        }
        // a mistake in it is told under its name
        folder.write(name, "work = 3");
        let told = stderr(&folder.run(&["check", &place]));
        assert!(!told.chars().any(|c| is_unseen(c) && c != '\n'), "{told:?}");
    }
}

#[test]
fn the_bench_sheet_is_no_program_and_is_read_back_under_the_same_names() {
    let folder = folder("hostile-sheet");
    run(&folder, &["measure", "s.toml", "--out", "blank.csv"]);
    run(
        &folder,
        &["see", "s.toml", "--trial", "3", "--sheet", "filled.csv"],
    );
    svg_is_sound(
        "blank.svg",
        &String::from_utf8_lossy(&folder.read("blank.svg")),
    );
    csv_is_sound("blank.csv", &folder.read("blank.csv"));
    let filled = folder.read("filled.csv");
    // numbers below 0 stay numbers
    assert!(csv_is_sound("filled.csv", &filled) > 10);
    let scenario = read_scenario("s.toml", &hostile(), &|_| Err("no file".to_owned()))
        .expect("a good scenario");
    let text = String::from_utf8(filled).expect("UTF-8");
    let read = read_bench(&[("filled.csv".to_owned(), text)], &scenario.plan)
        .unwrap_or_else(|told| panic!("{told}"));
    assert!(
        read.bench.readings.len() > 20,
        "{}",
        read.bench.readings.len()
    );
}

#[test]
fn the_workshops_sheets_hold_hostile_names_as_text() {
    let folder = folder("hostile-workshop");
    run(&folder, &["sheets", "s.toml", "--out", "w"]);
    let mut seen = [0; 4];
    for name in folder.names_in("w") {
        let bytes = folder.read(&format!("w/{name}"));
        if name.ends_with(".svg") {
            svg_is_sound(&name, &String::from_utf8_lossy(&bytes));
            seen[0] += 1;
        } else if name.ends_with(".dxf") {
            dxf_is_sound(&name, &bytes);
            seen[1] += 1;
        } else if name.ends_with(".pdf") {
            pdf_is_sound(&name, &bytes);
            seen[2] += 1;
        } else if name.ends_with(".csv") {
            csv_is_sound(&name, &bytes);
        } else if name.ends_with(".json") {
            let value: serde_json::Value = serde_json::from_slice(&bytes).expect("JSON");
            assert!(
                VERTICES
                    .iter()
                    .all(|vertex| value.to_string().contains(&quoted(vertex)))
            );
            seen[3] += 1;
        }
    }
    assert!(
        seen.iter().all(|n| *n > 0),
        "{seen:?}: {:?}",
        folder.names_in("w")
    );
}

/// The texts of a DXF, undone as AutoCAD's release 2000 writes them: ^ and a space for ^, \U+ and four digits (a pair of them beyond the
/// basic plane), %%% for a per cent sign (from memory).
fn dxf_is_sound(name: &str, bytes: &[u8]) {
    assert!(bytes.is_ascii(), "{name} is not ASCII");
    assert!(
        !bytes
            .iter()
            .any(|byte| byte.is_ascii_control() && !matches!(byte, b'\r' | b'\n')),
        "{name}"
    );
    let text = String::from_utf8_lossy(bytes);
    let texts: Vec<String> = DxfFile::read(&text)
        .entities
        .iter()
        .filter(|entity| entity.kind == "TEXT")
        .map(|entity| undone(entity.text(1)))
        .collect();
    assert_eq!(texts, VERTICES, "{name}");
}

fn undone(written: &str) -> String {
    let mut units: Vec<u16> = Vec::new();
    let mut rest = written;
    while let Some(first) = rest.chars().next() {
        if let Some(after) = rest.strip_prefix("\\U+") {
            units.push(u16::from_str_radix(&after[..4], 16).expect("four digits"));
            rest = &after[4..];
        } else if let Some(after) = rest.strip_prefix("^ ") {
            units.push(u16::from(b'^'));
            rest = after;
        } else if let Some(after) = rest.strip_prefix("%%%") {
            units.push(u16::from(b'%'));
            rest = after;
        } else {
            assert!(
                !rest.starts_with("%%") && first != '^',
                "{written} holds a command"
            );
            units.extend(first.encode_utf16(&mut [0; 2]).iter());
            rest = &rest[first.len_utf8()..];
        }
    }
    String::from_utf16(&units).expect("whole characters")
}

fn pdf_is_sound(name: &str, bytes: &[u8]) {
    let document =
        lopdf::Document::load_mem(bytes).unwrap_or_else(|error| panic!("{name}: {error}"));
    assert!(!document.get_pages().is_empty());
    for object in document.objects.values() {
        let Ok(dictionary) = object.as_dict() else {
            continue;
        };
        for action in ["JS", "JavaScript", "AA", "OpenAction", "Launch", "URI"] {
            assert!(!dictionary.has(action.as_bytes()), "{name} has /{action}");
        }
    }
    let information = document
        .trailer
        .get(b"Info")
        .and_then(lopdf::Object::as_reference)
        .expect("information");
    let title = document
        .get_dictionary(information)
        .and_then(|found| found.get(b"Title"))
        .expect("a title");
    let title = title.as_str().expect("a text");
    let units: Vec<u16> = title[2..]
        .chunks(2)
        .map(|pair| u16::from_be_bytes([pair[0], pair[1]]))
        .collect();
    let shown = if title.starts_with(&[0xFE, 0xFF]) {
        String::from_utf16_lossy(&units)
    } else {
        String::from_utf8_lossy(title).into_owned()
    };
    assert!(shown.contains("<img src=x"), "{name}: {shown}");
}

#[test]
fn a_starter_scenario_is_under_the_title_and_the_names_it_was_given() {
    let folder = Folder::new("hostile-begin");
    let mut arguments = vec![
        "begin".to_owned(),
        "new.toml".to_owned(),
        "--title".to_owned(),
        TITLE.to_owned(),
    ];
    let names = [
        "\"]\ntitle = \"mine",
        "-2",
        "'''",
        "\\u0041",
        "# no comment",
    ];
    for (nth, name) in names.iter().filter(|name| !name.contains('\n')).enumerate() {
        arguments.push("--vertex".to_owned());
        arguments.push(format!("{name}={},{}", 40 * nth, 30 * (nth % 2)));
    }
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    run(&folder, &arguments);
    let text = String::from_utf8(folder.read("new.toml")).expect("UTF-8");
    let scenario = read_scenario("new.toml", &text, &|_| Err("no file".to_owned()))
        .unwrap_or_else(|told| panic!("{told}"));
    assert_eq!(scenario.title, TITLE);
    let read: Vec<&str> = scenario
        .plan
        .design
        .vertices
        .iter()
        .map(|vertex| vertex.name.as_str())
        .collect();
    assert_eq!(read, names[1..]);
    // what is not seen, or would begin another line, is refused before anything is written
    for bad in ["\u{1b}[31mred", "two\nlines", "exe.\u{202e}gnp"] {
        let titled = folder.run(&[
            "begin", "bad.toml", "--title", bad, "--vertex", "a=0,0", "--vertex", "b=50,0",
        ]);
        assert_eq!(titled.status.code(), Some(2), "{bad:?}");
        let named = folder.run(&[
            "begin",
            "bad.toml",
            "--vertex",
            &format!("{bad}=0,0"),
            "--vertex",
            "b=50,0",
        ]);
        assert_eq!(named.status.code(), Some(2), "{bad:?}");
        assert_eq!(folder.names(), ["new.toml"]);
    }
}
