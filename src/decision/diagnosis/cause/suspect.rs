//! What may have gone wrong in a build, or in reading it.

use crate::figure::{Measurand, Plan, Plate, Source};

/// Probability, before anything is read, that any one suspect went wrong: one in a hundred (chosen; a build has some hundred of
/// them, so about one fault a build).
pub const FAULT_PRIOR: f64 = 0.01;

/// The same for any one reading to be misread or miswritten: one in five hundred (chosen).
pub const MISREAD_PRIOR: f64 = 0.002;

/// Something that may have gone wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Suspect {
    /// One item of a source of error. The tension that a line has now is the hand's and the slackening's together, which no
    /// reading of it tells apart: it stands under [`Source::HandTension`] where each line has a pull of its own.
    Item {
        /// The source, by its place in [`Source::ALL`].
        source: usize,
        /// The item.
        item: usize,
    },
    /// All items of a source of error alike: every line slackened by the same factor, every rod end tied too deep.
    Alike {
        /// The source, by its place in [`Source::ALL`].
        source: usize,
    },
    /// One reading, by its number in the bench: misread, or miswritten.
    Reading(usize),
}

impl Suspect {
    /// An item of a source.
    pub fn item(source: Source, item: usize) -> Self {
        Self::Item {
            source: source.index(),
            item,
        }
    }

    /// All items of a source alike.
    pub fn alike(source: Source) -> Self {
        Self::Alike {
            source: source.index(),
        }
    }

    /// The source of error; `None` for a reading.
    pub fn source(self) -> Option<Source> {
        match self {
            Self::Item { source, .. } | Self::Alike { source } => Some(Source::ALL[source]),
            Self::Reading(_) => None,
        }
    }

    /// What it is, with names: "print scale, rear plate", "hole mast-top beside its mark, front plate".
    pub fn words(self, plan: &Plan, measurands: &[Measurand]) -> String {
        let design = &plan.design;
        let line = |item: usize| design.vertices[item].name.as_str();
        let end = |item: usize| {
            let rod = &design.rods[item / 2];
            format!("rod {} at {}", rod.name, line(rod.ends[item % 2].line))
        };
        let on = |plate: Plate| plate.word();
        match self {
            Self::Reading(nth) => measurands
                .get(nth)
                .map_or_else(String::new, |of| format!("reading of {}", of.words(design))),
            Self::Alike { source } => match Source::ALL[source] {
                Source::RodSlip => "all rod ends slipped or tied too deep alike".into(),
                _ => "all lines too slack or too tight alike".into(),
            },
            Self::Item { source, item } => match Source::ALL[source] {
                Source::HoleScatter(p) => {
                    format!("hole {} beside its mark, {} plate", line(item), on(p))
                }
                Source::HoleSlack(p) => {
                    format!("line {} aside in its hole, {} plate", line(item), on(p))
                }
                Source::HandTension if design.tension_is_shared() => {
                    "the pull that tightens all lines".into()
                }
                Source::HandTension => format!("tension of line {}", line(item)),
                Source::Slackening => format!("slackening of line {}", line(item)),
                Source::RodTie => format!("{} tied beside its line", end(item)),
                Source::RodSlip => format!("{} slipped along its line", end(item)),
                Source::RodBow => format!("rod {} bowed", design.rods[item].name),
                other => other.words(),
            },
        }
    }
}

/// Every suspect of a design and of so many readings, in a fixed order. Pupil and acuity have no "no error" and are none.
pub fn suspects(plan: &Plan, readings: usize) -> Vec<Suspect> {
    let design = &plan.design;
    let shared = design.tension_is_shared();
    let mut all = Vec::new();
    for source in Source::ALL {
        let is_suspect = match source {
            Source::Pupil | Source::Acuity => false,
            Source::Slackening => shared,
            _ => true,
        };
        if is_suspect {
            all.extend((0..source.items(design)).map(|item| Suspect::item(source, item)));
        }
    }
    if design.vertices.len() > 1 {
        all.push(Suspect::alike(Source::Slackening));
    }
    all.push(Suspect::alike(Source::RodSlip));
    all.extend((0..readings).map(Suspect::Reading));
    all
}
