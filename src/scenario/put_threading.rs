//! Puts an order of threading into a scenario's text and reads it back.

use super::problem::Problems;
use super::put::{NotPut, put_lines};
use super::read::{Scenario, read_scenario};
use crate::figure::{ScenarioLine, Threading, Vertex};
use crate::mechanics::{PulledAt, Tightening};
use std::fmt;

/// A threading as lines, and the scenario with them.
#[derive(Debug)]
pub struct ThreadingPut {
    /// The lines, for whoever puts them in by hand.
    pub lines: Vec<ScenarioLine>,
    /// The scenario's text with the lines in it, as its reader takes it; or why there is none.
    pub text: Result<String, NotThreaded>,
}

/// Why a scenario with a threading put in is not to be had.
#[derive(Debug)]
pub enum NotThreaded {
    /// The lines could not be put in.
    NotPut(NotPut),
    /// With the lines in it the scenario is refused.
    Refused(Problems),
    /// With the lines in it the scenario reads as another threading.
    ReadsOtherwise,
}

impl fmt::Display for NotThreaded {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotPut(why) => why.fmt(f),
            Self::Refused(problems) => {
                write!(f, "with these lines the scenario is refused:\n{problems}")
            }
            Self::ReadsOtherwise => write!(
                f,
                "with these lines the scenario reads as another threading: put them in by hand"
            ),
        }
    }
}

/// Puts `threading` into the scenario's `text`: in one line, or key by key where it stands as a table of its own. `file` is the
/// name for messages and `read_file` reads what the scenario names, as for [`read_scenario`].
pub fn put_threading(
    file: &str,
    text: &str,
    vertices: &[Vertex],
    threading: &Threading,
    read_file: &dyn Fn(&str) -> Result<String, String>,
) -> ThreadingPut {
    let keys = keys(vertices, threading);
    let fields: Vec<String> = keys
        .iter()
        .map(|(key, value)| format!("{key} = {value}"))
        .collect();
    let in_one = vec![ScenarioLine {
        table: "line",
        key: "threading",
        value: format!("{{ {} }}", fields.join(", ")),
    }];
    let (lines, put) = match put_lines(text, &in_one) {
        Err(NotPut::HasTable { .. }) => {
            let by_key: Vec<ScenarioLine> = keys
                .into_iter()
                .map(|(key, value)| ScenarioLine {
                    table: "line.threading",
                    key,
                    value,
                })
                .collect();
            let put = put_lines(text, &by_key);
            (by_key, put)
        }
        put => (in_one, put),
    };
    let text = put.map_err(NotThreaded::NotPut).and_then(|text| {
        match read_scenario(file, &text, read_file) {
            Err(problems) => Err(NotThreaded::Refused(problems)),
            Ok(read) if !is_threaded(&read, vertices, threading) => {
                Err(NotThreaded::ReadsOtherwise)
            }
            Ok(_) => Ok(text),
        }
    });
    ThreadingPut { lines, text }
}

fn is_threaded(read: &Scenario, vertices: &[Vertex], threading: &Threading) -> bool {
    let design = &read.plan.design;
    design.line.threading.as_ref() == Some(threading) && design.vertices == vertices
}

/// Keys and values of a threading, as a scenario writes them.
fn keys(vertices: &[Vertex], threading: &Threading) -> Vec<(&'static str, String)> {
    let names: Vec<String> = threading
        .order
        .iter()
        .map(|line| toml::Value::String(vertices[*line].name.clone()).to_string())
        .collect();
    let side = |is_first: bool, words: [&str; 2]| format!("\"{}\"", words[usize::from(!is_first)]);
    vec![
        ("order", format!("[{}]", names.join(", "))),
        (
            "enters",
            side(threading.first_enters_front, ["front", "rear"]),
        ),
        ("friction", format!("{:?}", threading.friction)),
        (
            "tightened",
            side(
                threading.tightening == Tightening::EachRun,
                ["each run", "ends only"],
            ),
        ),
        (
            "pulled_at",
            side(threading.pulled_at == PulledAt::First, ["first", "last"]),
        ),
    ]
}
