//! A scenario that is written into another folder still leads to the files that its first one names.

use super::terminal::tell;
use crate::scenario::put_files;
use std::cell::RefCell;
use std::fs;
use std::path::{Component, Path, PathBuf};

/// `text`, made from the scenario in `file` and about to stand in `folder`, with the files that it names named from there; tells
/// where that cannot be done.
pub(super) fn led_back(text: &str, file: &Path, folder: &Path) -> String {
    let from = folder_of(file);
    let lost = RefCell::new(Vec::new());
    let named = |name: &str| {
        if Path::new(name).is_absolute() {
            return None;
        }
        let way = way(&from, folder, name);
        if way.is_none() {
            lost.borrow_mut().push(name.to_owned());
        }
        way.filter(|way| way != name)
    };
    let put = put_files(text, &named).unwrap_or_else(|_| text.to_owned());
    for name in lost.into_inner() {
        tell(&format!(
            "warning: the scenario written to {} names {name}, to which no way leads from there: put that file beside it",
            folder.display()
        ));
    }
    put
}

/// The folder that a file stands in.
fn folder_of(file: &Path) -> PathBuf {
    match file.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder.to_owned(),
        _ => PathBuf::from("."),
    }
}

/// The folder of a scenario that is written to `out`, and the scenario for it.
pub(super) fn led_back_to(text: &str, file: &Path, out: &Path) -> String {
    led_back(text, file, &folder_of(out))
}

/// The way from `folder`, which may not be there yet, to what `from` knows as `name`.
fn way(from: &Path, folder: &Path, name: &str) -> Option<String> {
    let folder = whole(folder)?;
    if fs::canonicalize(from).ok()? == folder {
        return Some(name.to_owned());
    }
    let there = fs::canonicalize(from.join(name)).ok()?;
    let (mut up, mut down) = (
        folder.components().peekable(),
        there.components().peekable(),
    );
    while up.peek().is_some() && up.peek() == down.peek() {
        up.next();
        down.next();
    }
    // of another drive there is only the whole path
    if up
        .clone()
        .any(|part| matches!(part, Component::Prefix(_) | Component::RootDir))
    {
        return there.to_str().map(str::to_owned);
    }
    let back = up.map(|_| Some(".."));
    let parts: Option<Vec<&str>> = back
        .chain(down.map(|part| part.as_os_str().to_str()))
        .collect();
    parts.map(|parts| parts.join("/"))
}

/// A folder's whole path without links; of one that is not there yet, that of the nearest which is, and the rest.
fn whole(folder: &Path) -> Option<PathBuf> {
    let absolute = std::path::absolute(folder).ok()?;
    let there = absolute.ancestors().find(|path| path.exists())?;
    let rest = absolute.strip_prefix(there).ok()?;
    let is_plain = rest
        .components()
        .all(|part| matches!(part, Component::Normal(_)));
    let there = fs::canonicalize(there).ok()?;
    is_plain.then(|| {
        if rest.as_os_str().is_empty() {
            there.clone()
        } else {
            there.join(rest)
        }
    })
}
