//! `begin --drawing` as a person runs it: from a drawing to a scenario that `check` accepts, with nothing half-written.

mod binary;

use binary::{Folder, stderr, stdout};
use std::path::Path;

/// A folder with copies of the drawings.
fn with_drawings(test: &str) -> Folder {
    let folder = Folder::new(test);
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    for from in ["tests/drawings_in", "scenarios/drawings"] {
        for entry in std::fs::read_dir(root.join(from)).expect("drawings") {
            let path = entry.expect("readable").path();
            let name = path.file_name().expect("a file").to_string_lossy();
            let text = std::fs::read_to_string(&path).expect("text");
            folder.write(&name, &text);
        }
    }
    folder
}

#[test]
fn every_drawing_becomes_a_scenario_that_check_accepts() {
    let folder = with_drawings("begin-drawing");
    for (drawing, more) in [
        ("desk-lamp.svg", &["--flatten", "1 mm"][..]),
        ("stool.svg", &["--width", "200 mm"]),
        ("bracket.svg", &["--height", "0.5 in", "--merge", "0.1"]),
        ("mast.svg", &[]),
        ("hoop.svg", &["--flatten", "0.5 mm"]),
        ("sign.svg", &[]),
        ("loose-ends.svg", &[]),
        ("tripod.csv", &["--width", "12 cm"]),
        ("stair.obj", &["--eye", "-4,3,6", "--towards", "1,1,0"]),
    ] {
        let mut arguments = vec!["begin", "my.toml", "--overwrite", "--drawing", drawing];
        arguments.extend(more);
        let begun = folder.run(&arguments);
        assert_eq!(
            begun.status.code(),
            Some(0),
            "{drawing}: {}",
            stderr(&begun)
        );
        let told = stderr(&begun);
        assert!(
            told.contains(&format!("the figure comes from {drawing}")),
            "{told}"
        );
        assert!(told.ends_with("next: sightdrift check my.toml\n"), "{told}");
        let checked = folder.run(&["check", "my.toml", "--json"]);
        assert_eq!(
            checked.status.code(),
            Some(0),
            "{drawing}: {}",
            stderr(&checked)
        );
        let understood: serde_json::Value = serde_json::from_slice(&checked.stdout).expect("JSON");
        assert!(understood.is_object(), "{}", stdout(&checked));
        let text = String::from_utf8(folder.read("my.toml")).expect("UTF-8");
        let rods = text.matches("lines = [").count();
        // what was told stands above the figure too
        for sentence in told.lines().filter(|line| line.contains(" rods and is ")) {
            assert!(sentence.contains(&format!(" {rods} rods and is ")) || rods == 1);
            assert!(text.contains(&format!("# {sentence}\n")), "{sentence}");
        }
    }
}

#[test]
fn a_drawing_looks_as_it_does_on_paper() {
    let folder = with_drawings("begin-upright");
    folder.run(&["begin", "my.toml", "--drawing", "desk-lamp.svg"]);
    let text = String::from_utf8(folder.read("my.toml")).expect("UTF-8");
    let place = |name: &str| -> [f64; 2] {
        let line = text
            .lines()
            .find(|line| line.contains(&format!("\"{name}\", x")));
        let line = line.expect("the vertex is there");
        let number = |key: &str| {
            let rest = line.split(&format!("{key} = \"")).nth(1).expect("the key");
            rest.split(' ')
                .next()
                .expect("a number")
                .parse()
                .expect("a number")
        };
        [number("x"), number("y")]
    };
    assert!(text.contains("x_points = \"right\""));
    // the lamp stands on its base and its shade hangs to the right
    let (foot, elbow, shade) = (place("post_1"), place("arms_1"), place("shade_3"));
    assert!(foot[1] < elbow[1] && elbow[1] < shade[1]);
    assert!(elbow[0] < foot[0] && foot[0] < shade[0]);
}

#[test]
fn what_cannot_be_done_is_refused_and_writes_nothing() {
    let folder = with_drawings("begin-refused");
    folder.write("flat.svg", "<svg xmlns='http://www.w3.org/2000/svg' width='9' height='9'><rect width='9' height='9'/></svg>");
    folder.write("drawing.pdf", "%PDF");
    folder.write("bad.csv", "vertex,a,0,0\nedge,a,b\n");
    let before = folder.names();
    for (arguments, words) in [
        (&["--drawing", "none.svg"][..], "none.svg: cannot be read"),
        (
            &["--drawing", "drawing.pdf"],
            "must end in .svg, .csv or .obj",
        ),
        (&["--drawing", "flat.svg"], "1 without an outline"),
        (
            &["--drawing", "bad.csv"],
            "bad.csv:2:8: an edge names the vertex `b`",
        ),
        (
            &["--drawing", "stair.obj"],
            "hint: --eye X,Y,Z --towards X,Y,Z",
        ),
        (
            &[
                "--drawing",
                "stool.svg",
                "--eye",
                "0,0,1",
                "--towards",
                "0,0,0",
            ],
            "is flat",
        ),
        (
            &["--drawing", "tripod.csv", "--flatten", "1 mm"],
            "has no curves",
        ),
        (
            &["--drawing", "stool.svg", "--width", "3 N"],
            "is not a length from 1 mm to 10000 mm",
        ),
        (
            &["--drawing", "stool.svg", "--width", "nan"],
            "is not a length",
        ),
        (
            &["--drawing", "stool.svg", "--width", "2 m"],
            "lines must run under 45°",
        ),
        (
            &["--drawing", "stool.svg", "--width", "9", "--height", "9"],
            "cannot be used with",
        ),
        (
            &["--drawing", "stool.svg", "--vertex", "a=1,1"],
            "cannot be used with",
        ),
        (&["--width", "9"], "required"),
        (
            &[
                "--drawing",
                "stair.obj",
                "--eye",
                "1,2",
                "--towards",
                "0,0,0",
            ],
            "is not X,Y,Z",
        ),
    ] {
        let mut all = vec!["begin", "my.toml"];
        all.extend(arguments);
        let output = folder.run(&all);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        let told = stderr(&output);
        assert!(told.contains(words), "`{words}` is not in: {told}");
        assert!(!told.contains("panicked"), "{told}");
        assert_eq!(folder.names(), before, "{arguments:?}");
    }
    folder.write("my.toml", "mine");
    let output = folder.run(&["begin", "my.toml", "--drawing", "stool.svg"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(stderr(&output).contains("is already there"));
    assert_eq!(folder.read("my.toml"), b"mine");
}
