//! Files in and out: nothing overwritten unasked, nothing half-written.

use super::Stop;
use crate::report::drawing::Drawing;
use crate::scenario::{Scenario, is_unseen, plain, read_scenario};
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Largest file that is read: a scenario of the most vertices and rods is far below it.
const LARGEST_FILE_BYTES: u64 = 64 << 20;

/// Reads a text file.
pub(super) fn read_text(path: &Path) -> Result<String, Stop> {
    read_text_up_to(path, LARGEST_FILE_BYTES)
}

/// Reads a text file of at most `largest` bytes.
pub(super) fn read_text_up_to(path: &Path, largest: u64) -> Result<String, Stop> {
    let refuse = |why: String| Stop::Refused(format!("{}: {why}", path.display()));
    let about = fs::metadata(path).map_err(|error| refuse(format!("cannot be read: {error}")))?;
    if about.is_dir() {
        return Err(refuse("is a folder; a file is needed".to_owned()));
    }
    if !about.is_file() {
        // a device or a pipe may never end
        return Err(refuse("is no ordinary file".to_owned()));
    }
    if about.len() > largest {
        return Err(refuse(format!(
            "has {} bytes, the most is {largest}",
            about.len()
        )));
    }
    let bytes = fs::read(path).map_err(|error| refuse(format!("cannot be read: {error}")))?;
    String::from_utf8(bytes).map_err(|error| {
        refuse(format!(
            "is not UTF-8 text (byte {} on); save it as UTF-8",
            error.utf8_error().valid_up_to()
        ))
    })
}

/// Reads and checks a scenario; CSV files that it names are found beside it.
pub(super) fn open_scenario(path: &Path) -> Result<Scenario, Stop> {
    let text = read_text(path)?;
    let folder = path.parent().unwrap_or(Path::new("")).to_owned();
    let read_file =
        move |name: &str| read_text(&folder.join(name)).map_err(|stop| stop.to_string());
    Ok(read_scenario(
        &path.display().to_string(),
        &text,
        &read_file,
    )?)
}

/// A path for a page or a message, what is not seen as a mark.
pub(super) fn shown(path: &Path) -> String {
    path.display().to_string().chars().map(plain).collect()
}

/// The scenario's short name: its file's stem, without what a path or a page could stumble over.
pub(super) fn short_name(path: &Path) -> String {
    let stem = path
        .file_stem()
        .map(|stem| stem.to_string_lossy().into_owned())
        .unwrap_or_default();
    let name: String = stem
        .chars()
        .map(|c| {
            if is_unseen(c) || c == '/' || c == '\\' {
                '-'
            } else {
                c
            }
        })
        .collect();
    if name.is_empty() || name == "." || name == ".." {
        "scenario".to_owned()
    } else {
        name
    }
}

/// Where a report of the scenario of this short name goes unless told otherwise.
pub(super) fn usual_place(name: &str) -> PathBuf {
    PathBuf::from("reports").join(name)
}

/// Writes one file whole, or not at all. An existing file is replaced only when asked.
pub(super) fn write_file(path: &Path, bytes: &[u8], overwrite: bool) -> Result<(), Stop> {
    let mut file = FileOut::begin(path, overwrite)?;
    file.write(bytes)?;
    file.place()
}

/// One file in the making, under a hidden name beside its place; what is not placed goes when this is dropped.
#[derive(Debug)]
pub(super) struct FileOut {
    path: PathBuf,
    /// The unfinished file, while there is one.
    part: Option<PathBuf>,
    file: fs::File,
    overwrite: bool,
}

impl FileOut {
    /// Checks that the file can be written, and that what is there may be replaced, and begins it.
    pub fn begin(path: &Path, overwrite: bool) -> Result<Self, Stop> {
        if path.is_dir() {
            return Err(Stop::Refused(format!(
                "{}: is a folder; a file's name is needed",
                path.display()
            )));
        }
        refuse_what_is_there(path, overwrite)?;
        if path.exists() && !path.is_file() {
            // a rename would put a file in the place of a device or a pipe
            return Err(Stop::Refused(format!(
                "{}: is no ordinary file; a file's name is needed",
                path.display()
            )));
        }
        let (part, file) = new_beside(path, |part| fs::File::create_new(part))
            .map_err(|error| not_written(path, &error))?;
        Ok(Self {
            path: path.to_owned(),
            part: Some(part),
            file,
            overwrite,
        })
    }

    /// Adds to it.
    pub fn write(&mut self, bytes: &[u8]) -> Result<(), Stop> {
        self.file
            .write_all(bytes)
            .map_err(|error| not_written(&self.path, &error))
    }

    /// Puts it in its place, in one step.
    pub fn place(mut self) -> Result<(), Stop> {
        let Some(part) = &self.part else {
            return Ok(());
        };
        let placed = self.file.sync_all().and_then(|()| {
            if self.overwrite {
                fs::rename(part, &self.path)
            } else {
                fs::hard_link(part, &self.path)
            }
        });
        if placed.is_ok() && self.overwrite {
            // nothing has the hidden name any more
            self.part = None;
        }
        placed.map_err(|error| not_written(&self.path, &error))
    }
}

impl Drop for FileOut {
    fn drop(&mut self) {
        // after a hard link the first name goes; after a failure nothing half-written stays
        if let Some(part) = &self.part {
            let _ = fs::remove_file(part);
        }
    }
}

fn not_written(path: &Path, error: &std::io::Error) -> Stop {
    Stop::Refused(format!("{}: cannot be written: {error}", path.display()))
}

/// A drawing as the file's name wants it.
pub(super) fn picture_bytes(path: &Path, drawing: Drawing) -> Result<Vec<u8>, Stop> {
    match path.extension().and_then(|kind| kind.to_str()) {
        Some("svg") => Ok(drawing.svg.into_bytes()),
        Some("png") => Ok(drawing.png),
        _ => Err(Stop::Refused(format!(
            "{}: a picture's name must end in .svg or .png",
            path.display()
        ))),
    }
}

/// Refuses a file that is there, before anything is written: of two files neither is to be there without the other.
pub(super) fn refuse_what_is_there(path: &Path, overwrite: bool) -> Result<(), Stop> {
    if !overwrite && path.symlink_metadata().is_ok() {
        return Err(Stop::Refused(format!(
            "{}: is already there and is left as it is\n  hint: choose another name, or say --overwrite",
            path.display()
        )));
    }
    Ok(())
}

/// Makes the folder that `path` is to stand in.
pub(super) fn make_parent(path: &Path) -> Result<(), Stop> {
    match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => {
            fs::create_dir_all(parent).map_err(|error| {
                Stop::Refused(format!(
                    "{}: its folder cannot be made: {error}",
                    path.display()
                ))
            })
        }
        _ => Ok(()),
    }
}

/// Something unfinished, made by `make` beside `path` under a name that nothing has. A run that was killed may have left one
/// behind, and in a container the next run may have the same number.
fn new_beside<T>(
    path: &Path,
    make: impl Fn(&Path) -> std::io::Result<T>,
) -> std::io::Result<(PathBuf, T)> {
    const MOST_LEFT: u32 = 1000;
    let mut nth = 0;
    loop {
        let part = beside(path, &format!("{nth}.part"));
        match make(&part) {
            Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists && nth < MOST_LEFT => {
                nth += 1;
            }
            made => return made.map(|made| (part, made)),
        }
    }
}

/// A hidden name beside `path`.
fn beside(path: &Path, what: &str) -> PathBuf {
    let name = path
        .file_name()
        .map(|name| name.to_string_lossy().into_owned())
        .unwrap_or_default();
    path.with_file_name(format!(".{name}.{}.{what}", std::process::id()))
}

/// A folder for a report that was checked before anything was run.
#[derive(Debug)]
pub(super) struct ReportFolder {
    path: PathBuf,
    /// The unfinished folder beside it, while there is one.
    part: Option<PathBuf>,
    overwrite: bool,
    /// Folders made on the way, outermost first.
    made: Vec<PathBuf>,
    is_own_file: fn(&str) -> bool,
}

impl ReportFolder {
    /// Checks that the report can be written: the parent can be, and what is already there is a report of ours and may be
    /// replaced. Makes the unfinished folder beside it.
    pub fn prepare(
        path: &Path,
        overwrite: bool,
        is_own_file: fn(&str) -> bool,
    ) -> Result<Self, Stop> {
        let refuse = |why: String| Stop::Refused(format!("{}: {why}", path.display()));
        if !matches!(
            path.components().next_back(),
            Some(std::path::Component::Normal(_))
        ) {
            return Err(refuse(
                "is no name for a report's folder\n  hint: say --out FOLDER/NAME".to_owned(),
            ));
        }
        put_back_what_was_moved(path);
        // of a link the folder that it names is meant, and the link stays
        let path = &match path.is_symlink() && path.is_dir() {
            true => fs::canonicalize(path)
                .map_err(|error| refuse(format!("cannot be read: {error}")))?,
            false => path.to_owned(),
        };
        if path.symlink_metadata().is_ok() {
            if !path.is_dir() {
                return Err(refuse("is there and is no folder".to_owned()));
            }
            let holds_report = check_contents(path, is_own_file)?;
            if holds_report && !overwrite {
                return Err(refuse(HOLDS_A_REPORT.to_owned()));
            }
        }
        let parent = match path.parent() {
            Some(parent) if !parent.as_os_str().is_empty() => parent,
            _ => Path::new("."),
        };
        let mut made: Vec<PathBuf> = parent
            .ancestors()
            .take_while(|folder| !folder.as_os_str().is_empty() && !folder.exists())
            .map(Path::to_owned)
            .collect();
        made.reverse();
        let mut folder = Self {
            path: path.to_owned(),
            part: None,
            overwrite,
            made: Vec::new(),
            is_own_file,
        };
        fs::create_dir_all(parent)
            .map_err(|error| refuse(format!("its folder cannot be made: {error}")))?;
        folder.made = made;
        let (part, ()) = new_beside(path, |part| fs::create_dir(part))
            .map_err(|error| refuse(format!("cannot be written: {error}")))?;
        folder.part = Some(part);
        Ok(folder)
    }

    /// Writes all files and puts the folder in its place. What has come to stand there meanwhile is looked at again.
    pub fn finish(mut self, files: &[(String, Vec<u8>)]) -> Result<(), Stop> {
        let refuse = |error: std::io::Error| {
            Stop::Refused(format!(
                "{}: cannot be written: {error}",
                self.path.display()
            ))
        };
        let part = self.part.clone().unwrap_or_default();
        for (name, bytes) in files {
            fs::write(part.join(name), bytes).map_err(refuse)?;
        }
        // onto nothing, or onto an empty folder, a rename is one step; onto anything else the system refuses it
        let placed = fs::rename(&part, &self.path);
        if placed.is_err() {
            if !self.overwrite {
                return Err(Stop::Refused(format!(
                    "{}: {HOLDS_A_REPORT}",
                    self.path.display()
                )));
            }
            check_contents(&self.path, self.is_own_file)?;
            let old = beside(&self.path, "old");
            fs::rename(&self.path, &old).map_err(refuse)?;
            if let Err(error) = fs::rename(&part, &self.path) {
                // where another run was faster, its report stands there and the old one is no longer wanted
                if fs::rename(&old, &self.path).is_err() && self.path.is_dir() {
                    remove_report(&old, self.is_own_file);
                }
                return Err(refuse(error));
            }
            remove_report(&old, self.is_own_file);
        }
        self.part = None;
        self.made.clear();
        Ok(())
    }

    /// Where the report goes.
    pub fn path(&self) -> &Path {
        &self.path
    }
}

const HOLDS_A_REPORT: &str = "holds a report already, which is left as it is\n  hint: say --overwrite to replace it, or --out FOLDER for another place";

/// A run that was killed between the two renames of [`ReportFolder::finish`] left its old report under a hidden name: it is put
/// back where nothing has come to stand in its place.
fn put_back_what_was_moved(path: &Path) {
    let Some(name) = path.file_name().and_then(|name| name.to_str()) else {
        return;
    };
    let is_moved = |found: &str| {
        found
            .strip_prefix(&format!(".{name}."))
            .and_then(|rest| rest.strip_suffix(".old"))
            .is_some_and(|number| !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit()))
    };
    if path.symlink_metadata().is_ok() {
        return;
    }
    let parent = match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    let moved = fs::read_dir(parent).into_iter().flatten().flatten();
    let mut moved: Vec<PathBuf> = moved
        .filter(|entry| entry.file_name().to_str().is_some_and(is_moved))
        .map(|entry| entry.path())
        .collect();
    moved.sort();
    if let Some(moved) = moved.first() {
        let _ = fs::rename(moved, path);
    }
}

/// Whether a folder holds anything; refuses one that holds anything but a report's own files.
fn check_contents(path: &Path, is_own_file: fn(&str) -> bool) -> Result<bool, Stop> {
    let refuse = |why: String| Stop::Refused(format!("{}: {why}", path.display()));
    let entries = fs::read_dir(path).map_err(|error| refuse(format!("cannot be read: {error}")))?;
    let mut others = Vec::new();
    let mut any = false;
    for entry in entries {
        let entry = entry.map_err(|error| refuse(format!("cannot be read: {error}")))?;
        let name = entry.file_name().to_string_lossy().into_owned();
        any = true;
        if !is_own_file(&name) || !entry.file_type().is_ok_and(|kind| kind.is_file()) {
            others.push(name);
        }
    }
    others.sort();
    match others.first() {
        Some(other) => Err(refuse(format!(
            "holds `{other}`, which is not part of a report; nothing there is touched\n  hint: choose another folder with --out"
        ))),
        None => Ok(any),
    }
}

/// Removes a report's own files and then the folder, which stays if anything else came into it.
fn remove_report(path: &Path, is_own_file: fn(&str) -> bool) {
    for entry in fs::read_dir(path).into_iter().flatten().flatten() {
        if is_own_file(&entry.file_name().to_string_lossy()) {
            let _ = fs::remove_file(entry.path());
        }
    }
    let _ = fs::remove_dir(path);
}

impl Drop for ReportFolder {
    fn drop(&mut self) {
        if let Some(part) = &self.part {
            let _ = fs::remove_dir_all(part);
        }
        for folder in self.made.iter().rev() {
            let _ = fs::remove_dir(folder);
        }
    }
}
