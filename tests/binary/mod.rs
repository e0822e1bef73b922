//! Runs the program as a person would, in a folder of its own.
#![allow(dead_code)] // each test file uses its own part

use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// An empty folder for one test, removed at its end.
pub struct Folder(PathBuf);

impl Folder {
    /// A new folder whose name holds `test`.
    pub fn new(test: &str) -> Self {
        let path = std::env::temp_dir().join(format!("sightdrift-{test}-{}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).expect("a temporary folder can be made");
        Self(path)
    }

    /// Where it is.
    pub fn path(&self) -> &Path {
        &self.0
    }

    /// Writes a file into it.
    pub fn write(&self, name: &str, text: &str) -> PathBuf {
        let path = self.0.join(name);
        fs::write(&path, text).expect("a file can be written");
        path
    }

    /// Reads a file in it.
    pub fn read(&self, name: &str) -> Vec<u8> {
        fs::read(self.0.join(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
    }

    /// Runs the program in it.
    pub fn run(&self, arguments: &[&str]) -> Output {
        Command::new(env!("CARGO_BIN_EXE_sightdrift"))
            .args(arguments)
            .current_dir(&self.0)
            .env("NO_COLOR", "1")
            .output()
            .expect("the program can be started")
    }

    /// Runs the program, which must succeed.
    pub fn done(&self, arguments: &[&str]) -> Output {
        let output = self.run(arguments);
        assert_eq!(
            output.status.code(),
            Some(0),
            "{arguments:?}: {}",
            stderr(&output)
        );
        output
    }

    /// Runs the program, which must succeed, and reads its standard output as JSON.
    pub fn json(&self, arguments: &[&str]) -> Value {
        serde_json::from_slice(&self.done(arguments).stdout)
            .expect("JSON and nothing else on standard output")
    }

    /// Names of what is in it, sorted.
    pub fn names(&self) -> Vec<String> {
        self.names_in("")
    }

    /// Names of what is in one of its folders, sorted.
    pub fn names_in(&self, folder: &str) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(self.0.join(folder))
            .expect("readable")
            .map(|entry| {
                let name = entry.expect("readable").file_name();
                name.to_string_lossy().into_owned()
            })
            .collect();
        names.sort();
        names
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// Standard error as text.
pub fn stderr(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// Standard output as text.
pub fn stdout(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned()
}

/// A shipped scenario's text.
pub fn shipped(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("scenarios")
        .join(format!("{name}.toml"));
    fs::read_to_string(path).expect("a shipped scenario")
}

/// Every source of error switched off; to be followed by what a test switches on.
pub const ALL_OFF: &str = r#"
[errors.plates]
pattern_shift = "off"
pattern_turn = "off"
print_scale = "off"
seat_depth = "off"
tilt_x = "off"
tilt_y = "off"
hole_slack = "off"
HOLE_SCATTER
[errors.line]
hand_tension = "off"
slackening = "off"
[errors.rod]
tie = "off"
slip = "off"
bow = "off"
[errors.peephole]
shift = "off"
depth = "off"
"#;

/// A weightless exhibit of six lines and seven rods behind a wide peephole, without any error but the eye's and the
/// holes' as given, judged in `frame`.
pub fn plain_scenario(frame: &str, eye_offset: &str, hole_scatter: &str) -> String {
    let errors = ALL_OFF.replace("HOLE_SCATTER", &format!("hole_scatter = {hole_scatter}"));
    format!(
        r#"title = "plain"
work = "machine-cut"
[figure]
picture_plane = "300 mm"
vertices = [
  {{ name = "a", x = "-30 mm", y = "-20 mm" }},
  {{ name = "b", x = "28 mm", y = "-24 mm" }},
  {{ name = "c", x = "34 mm", y = "18 mm" }},
  {{ name = "d", x = "2 mm", y = "41 mm" }},
  {{ name = "e", x = "-33 mm", y = "16 mm" }},
  {{ name = "f", x = "5 mm", y = "3 mm" }},
]
[cabinet]
front_plate = "150 mm"
rear_plate = "350 mm"
front_hole = "0.6 mm"
rear_hole = "0.6 mm"
gravity = 0
[peephole]
diameter = "40 mm"
eye_relief = "10 mm"
[line]
material = "nylon"
diameter = "0.2 mm"
tension = "5 N"
[rods]
diameter = "3 mm"
material = "birch"
list = [
  {{ lines = ["a", "b"], depths = ["200 mm", "320 mm"] }},
  {{ lines = ["b", "c"], depths = ["180 mm", "260 mm"] }},
  {{ lines = ["c", "d"], depths = ["330 mm", "210 mm"] }},
  {{ lines = ["d", "e"], depths = ["240 mm", "300 mm"] }},
  {{ lines = ["e", "a"], depths = ["190 mm", "290 mm"] }},
  {{ lines = ["a", "f"], depths = ["250 mm", "310 mm"] }},
  {{ lines = ["f", "c"], depths = ["220 mm", "280 mm"] }},
]
{errors}
[eye]
offset = {eye_offset}
relief = "off"
pupil = "3 mm"
acuity = 0
[judging]
frame = "{frame}"
[run]
seed = 5
builds = 20000
looks = 1
"#
    )
}

/// Runs `arguments` (which write the folder `answer` with `file` in it) twice: the second time is refused unless it says
/// `--overwrite`, and a file that is none of the answer's own is never touched.
pub fn is_not_overwritten_unasked(folder: &Folder, arguments: &[&str], file: &str) {
    let file = format!("answer/{file}");
    assert!(folder.run(arguments).status.success());
    let before = folder.read(&file);
    let again = folder.run(arguments);
    assert_eq!(again.status.code(), Some(2));
    assert!(stderr(&again).contains("--overwrite"), "{}", stderr(&again));
    assert_eq!(folder.read(&file), before);
    let mut replacing = arguments.to_vec();
    replacing.extend(["--overwrite", "--seed", "12"]);
    assert!(folder.run(&replacing).status.success());
    assert_ne!(folder.read(&file), before);
    folder.write("answer/notes.txt", "mine");
    let refused = folder.run(&replacing);
    assert_eq!(refused.status.code(), Some(2));
    assert!(stderr(&refused).contains("notes.txt"));
}
