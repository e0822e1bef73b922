//! A scenario file as a whole.

use super::allowed::{Around, read_allowed};
use super::cabinet::{plates, read_cabinet, read_line, read_peephole};
use super::check::{Warning, figure_is_shown, sag_in_range, warnings};
use super::figure::{read_figure, read_rods};
use super::judging::{read_judging, read_run};
use super::laws::{LawReader, Origin};
use super::problem::{Collector, Problem, Problems, is_unseen};
use super::spread::ReadFile;
use super::table::Table;
use super::ways::read_ways;
use crate::decision::RunPlan;
use crate::figure::{
    Allowed, Design, Grade, Gravity, Judging, Line, Peephole, Plan, PlateSpec, Rod, RodEnd, Stock,
    Threading, Vertex, Viewer, Ways, focus_between_mm,
};
use crate::geometry::Pair;
use crate::mechanics::{PulledAt, Tightening};
use crate::units::Kind;
use crate::vision::DEFAULT_WAVELENGTH_MM;
use sha2::{Digest, Sha256};
use std::cell::RefCell;
use toml::de::DeTable;

/// A scenario that was read and checked.
#[derive(Debug, Clone)]
pub struct Scenario {
    /// Its title.
    pub title: String,
    /// What its author says of it.
    pub note: Option<String>,
    /// The grade of work from which defaults come.
    pub grade: Grade,
    /// The design, worked out.
    pub plan: Plan,
    /// How much to run.
    pub run: RunPlan,
    /// Where each source's law comes from, in the order of `Source::ALL`.
    pub origins: Vec<Origin>,
    /// Ways of working: the scenario's own, and the shipped ones at steps where it has none.
    pub ways: Ways,
    /// Within what a layout may be chosen, where the scenario says it.
    pub allowed: Option<Allowed>,
    /// What should be known about it.
    pub warnings: Vec<Warning>,
    /// SHA-256 over the file and every file that it names, in hexadecimal.
    pub sha256: String,
}

/// Reads and checks the scenario `text`; `file` names it in messages, `read_file` reads the CSV files that it names.
///
/// # Errors
/// [`Problems`]: everything that is wrong with it.
pub fn read_scenario(
    file: &str,
    text: &str,
    read_file: &dyn Fn(&str) -> Result<String, String>,
) -> Result<Scenario, Problems> {
    let hash = RefCell::new(Sha256::new_with_prefix(text.as_bytes()));
    let hashing = |name: &str| {
        let found = read_file(name)?;
        hash.borrow_mut().update(found.as_bytes());
        Ok(found)
    };
    with_document(file, text, |top| read_top(top, &hashing)).map(|mut scenario| {
        scenario.sha256 = hash
            .into_inner()
            .finalize()
            .iter()
            .map(|byte| format!("{byte:02x}"))
            .collect();
        scenario
    })
}

/// Parses `text` and reads it with `read`, which tells its problems; syntax errors are told with them.
pub(super) fn with_document<T>(
    file: &str,
    text: &str,
    read: impl FnOnce(&Table<'_>) -> Option<T>,
) -> Result<T, Problems> {
    let (document, syntax_errors) = DeTable::parse_recoverable(text);
    let problems = Collector::new(text);
    let result = {
        let top = Table::new(&problems, "", 0..0, Some(document.get_ref()));
        let result = read(&top);
        top.finish();
        result
    };
    if syntax_errors.is_empty() {
        return match result {
            Some(result) if problems.is_empty() => Ok(result),
            _ => {
                if problems.is_empty() {
                    problems.tell(&(0..0), "the file could not be understood", None);
                }
                Err(problems.into_problems(file))
            }
        };
    }
    // a file that could not be parsed as a whole was read as far as it went: what it lacks may only be hidden by the
    // syntax error, and what stands on the same line is the same mistake
    const MOST_SYNTAX_ERRORS: usize = 3;
    let syntax = Collector::new(text);
    for (nth, error) in syntax_errors.iter().take(MOST_SYNTAX_ERRORS).enumerate() {
        let span = error.span().unwrap_or(0..0);
        let message = error.message().replace('\n', " ");
        let more = syntax_errors.len().saturating_sub(MOST_SYNTAX_ERRORS);
        let follow = if more > 0 && nth + 1 == MOST_SYNTAX_ERRORS {
            format!("; {more} more syntax errors may only follow from these")
        } else {
            String::new()
        };
        let hint = if message.contains("must be quoted") {
            Some("a text or a number with a unit stands in straight quotes: \"180 mm\"; a list that is not closed by ] looks like this too".to_owned())
        } else if message.contains("duplicate key") {
            Some("a table or key may stand once: put the line into the table that is there already, in place of its key".to_owned())
        } else {
            None
        };
        let line = syntax.quote(&line_of(text, span.start));
        syntax.tell(&span, format!("{message} (near `{line}`){follow}"), hint);
    }
    let mut told = syntax.into_problems(file);
    // after many syntax errors nothing behind the first of them was read as it was meant
    let trusted_to = match syntax_errors.len() {
        0..=MOST_SYNTAX_ERRORS => usize::MAX,
        _ => told
            .list
            .first()
            .map_or(usize::MAX, |first| first.place.line),
    };
    let lines: Vec<usize> = told.list.iter().map(|problem| problem.place.line).collect();
    let others = problems.into_problems(file).list.into_iter();
    told.list.extend(others.filter(|problem: &Problem| {
        !problem.is_missing
            && problem.place.line < trusted_to
            && !lines.contains(&problem.place.line)
    }));
    told.list.sort_by_key(|problem| problem.place);
    Err(told)
}

/// The line around an offset, without its indentation.
fn line_of(text: &str, offset: usize) -> std::ops::Range<usize> {
    let offset = offset.min(text.len());
    let offset = (0..=offset)
        .rev()
        .find(|at| text.is_char_boundary(*at))
        .unwrap_or(0);
    let start = text[..offset].rfind('\n').map_or(0, |at| at + 1);
    let end = text[offset..]
        .find('\n')
        .map_or(text.len(), |at| offset + at);
    let indent = text[start..end].len() - text[start..end].trim_start().len();
    start + indent..end
}

fn read_top(top: &Table<'_>, read_file: ReadFile<'_>) -> Option<Scenario> {
    let title = words(top, "title", 120, false).unwrap_or_else(|| "untitled".to_owned());
    let note = words(top, "note", 2000, true);
    let grades: Vec<(&str, Grade)> = Grade::ALL
        .into_iter()
        .map(|grade| (grade.name(), grade))
        .collect();
    let grade = top.choice("work", &grades);
    if grade.is_none() && top.get_named("work").is_none() {
        top.missing(
            "work",
            "the grade of work from which defaults come, \"hand-pierced\", \"template-drilled\" or \"machine-cut\",",
        );
    }
    let grade_or_any = grade
        .as_ref()
        .map_or(Grade::HandPierced, |grade| grade.value);
    let figure = read_figure(top);
    let cabinet = read_cabinet(top);
    let plates_mm = cabinet
        .as_ref()
        .map(|cabinet| [0, 1].map(|side| cabinet.z_mm[side].value));
    let rods = read_rods(top, figure.as_ref(), plates_mm);
    let peephole = read_peephole(top, cabinet.as_ref());
    let line = read_line(top, figure.as_ref());
    let eye = top.table("eye");
    let viewer = read_viewer(&eye);
    let judging = read_judging(top);
    let run = read_run(top);
    let allowed = read_allowed(top);
    let plates = match (&cabinet, &line) {
        (Some(cabinet), Some(line)) => plates(cabinet, line.line.diameter_mm, grade_or_any, top),
        _ => None,
    };
    let (figure, rods, cabinet, (peephole, peephole_span), line, plates) =
        match (figure, rods, cabinet, peephole, line, plates) {
            (Some(figure), Some(rods), Some(cabinet), Some(peephole), Some(line), Some(plates))
                if figure.whole =>
            {
                (figure, rods, cabinet, peephole, line, plates)
            }
            (_, _, _, _, line, _) => {
                // nothing can be run, but the sources of error are still read, so that their mistakes are told too
                let stand_in = stand_in_design(line.map(|line| line.line));
                let reader = LawReader {
                    top,
                    design: &stand_in,
                    grade: grade_or_any,
                    slackening: None,
                    read_file,
                };
                reader.read_all(eye);
                read_ways(&reader, false);
                return None;
            }
        };
    let [length_said_mm, depth_said_mm] = rods.stock_said();
    let mut design = Design {
        vertices: figure.vertices.clone(),
        plates,
        peephole,
        gravity: cabinet.gravity,
        line: line.line,
        viewer: viewer.into_viewer(&rods.list),
        stock: rods.stock(&figure.vertices),
        rods: rods.list,
        judging: judging.unwrap_or_else(Judging::usual),
        laws: Vec::new(),
    };
    let laws = {
        let reader = LawReader {
            top,
            design: &design,
            grade: grade_or_any,
            slackening: line.slackening,
            read_file,
        };
        let laws = reader.read_all(eye);
        if laws.is_none() {
            read_ways(&reader, false);
        }
        laws
    };
    let (laws, origins) = laws?;
    design.laws = laws;
    let ways = {
        let reader = LawReader {
            top,
            design: &design,
            grade: grade_or_any,
            slackening: line.slackening,
            read_file,
        };
        read_ways(&reader, true)
    };
    let plan = Plan::new(design);
    sag_in_range(top, &plan, &line.tension_spans);
    figure_is_shown(top, &plan, &figure, &peephole_span);
    let around = Around {
        picture_plane_mm: figure.picture_plane_mm,
        figure_rad: plan.figure_rad,
        hole_mm: plan.design.plates.map(|plate| plate.hole_mm),
        line_mm: plan.design.line.diameter_mm,
        length_mm: length_said_mm,
        depth_mm: depth_said_mm,
    };
    let allowed = allowed?.map(|read| read.with(&around));
    (judging.is_some() && grade.is_some()).then_some(())?;
    Some(Scenario {
        title,
        note,
        grade: grade_or_any,
        allowed,
        warnings: warnings(&plan),
        plan,
        run: run?,
        ways: ways?,
        origins,
        sha256: String::new(),
    })
}

/// A text for people: not empty, not endless, without what is not seen; a line's end only where there may be `lines`.
fn words(top: &Table<'_>, key: &'static str, longest: usize, lines: bool) -> Option<String> {
    let text = top.text(key)?;
    let sound = !text.value.trim().is_empty()
        && text.value.chars().count() <= longest
        && !text
            .value
            .chars()
            .any(|c| is_unseen(c) && !(lines && c == '\n'));
    if !sound {
        top.problems.tell(
            &text.span,
            format!(
                "{key} is {}, must have 1 to {longest} characters, and no control characters, also none that turn the direction of text",
                super::problem::quoted(text.value)
            ),
            None,
        );
    }
    sound.then(|| text.value.to_owned())
}

/// A design for reading the sources of error when the real one could not be read.
fn stand_in_design(line: Option<Line>) -> Design {
    let vertex = |name: &str, x: f64| Vertex {
        name: name.to_owned(),
        direction: Pair::new(x, 0.0),
    };
    let plate = |z_mm| PlateSpec {
        z_mm,
        centre_mm: Pair::zeros(),
        hole_mm: 1.0,
    };
    let end = |line| RodEnd {
        line,
        depth_mm: 150.0,
    };
    let threading = Threading {
        order: vec![0, 1],
        first_enters_front: true,
        friction: 0.0,
        tightening: Tightening::EachRun,
        pulled_at: PulledAt::Last,
    };
    // whether the line is threaded is known when the line could be read; else "pulled" gets the benefit of the doubt
    let threading = line.map_or(Some(threading.clone()), |line| {
        line.threading.map(|_| threading)
    });
    Design {
        vertices: vec![vertex("a", -0.1), vertex("b", 0.1)],
        plates: [plate(100.0), plate(200.0)],
        peephole: Peephole {
            diameter_mm: 10.0,
            eye_relief_mm: 10.0,
            clip_below: 0.25,
            plate_mm: 0.0,
        },
        gravity: Gravity {
            strength_m_per_s2: 0.0,
            down: Pair::new(0.0, -1.0),
        },
        line: Line {
            material: None,
            diameter_mm: 0.5,
            mass_kg_per_m: 0.0,
            tension_n: vec![1.0; 2],
            threading,
            breaking_load_n: None,
        },
        stock: Stock {
            length_mm: [0.0, f64::INFINITY],
            depth_mm: [100.0, 200.0],
        },
        rods: vec![Rod {
            name: "a-b".to_owned(),
            ends: [end(0), end(1)],
            diameter_mm: 1.0,
            mass_kg_per_m: 0.0,
        }],
        viewer: Viewer {
            luminance_cd_per_m2: None,
            focus_mm: 150.0,
            focus_follows_rods: false,
            wavelength_mm: DEFAULT_WAVELENGTH_MM,
        },
        judging: Judging::usual(),
        laws: Vec::new(),
    }
}
#[derive(Debug, Clone, Copy, Default)]
struct ViewerRead {
    luminance_cd_per_m2: Option<f64>,
    focus_mm: Option<f64>,
    wavelength_mm: Option<f64>,
}

fn read_viewer(eye: &Table<'_>) -> ViewerRead {
    let luminance = eye.positive("luminance", Kind::Luminance);
    let focus = eye.positive("focus_distance", Kind::Length);
    let wavelength = eye.positive("wavelength", Kind::Length);
    ViewerRead {
        luminance_cd_per_m2: luminance.map(|found| found.value),
        focus_mm: focus.map(|found| found.value),
        wavelength_mm: wavelength.map(|found| found.value),
    }
}

impl ViewerRead {
    fn into_viewer(self, rods: &[Rod]) -> Viewer {
        Viewer {
            luminance_cd_per_m2: self.luminance_cd_per_m2,
            focus_mm: self.focus_mm.unwrap_or_else(|| focus_between_mm(rods)),
            focus_follows_rods: self.focus_mm.is_none(),
            wavelength_mm: self.wavelength_mm.unwrap_or(DEFAULT_WAVELENGTH_MM),
        }
    }
}
