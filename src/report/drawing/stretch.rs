//! Which marks of a drawing stand for which rod or junction, so that a page can mark them.

use crate::figure::Item;

/// What marks are to the rod or junction that they stand for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Part {
    /// It as it is drawn.
    Body,
    /// One of the looks at it.
    Look,
    /// Its name.
    Name,
    /// Its row in a chart.
    Row,
    /// Where it is; nothing is drawn.
    Place,
    /// What makes it stand out from the start.
    Halo,
}

impl Part {
    /// Its word in an SVG; the body needs none.
    pub(super) fn word(self) -> Option<&'static str> {
        match self {
            Self::Body | Self::Halo => None,
            Self::Look => Some("look"),
            Self::Name => Some("name"),
            Self::Row => Some("row"),
            Self::Place => Some("place"),
        }
    }
}

/// The marks from one to before another, which stand for one rod or junction.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Stretch {
    pub from: usize,
    pub to: usize,
    pub item: Item,
    pub part: Part,
    /// Where it is, px, of [`Part::Place`].
    pub at: Vec<[f64; 2]>,
}

/// What a rod or junction is called in drawings and pages: by its number, never by its name.
pub(in crate::report) fn mark_of(item: Item) -> String {
    match item {
        Item::Rod(rod) => format!("rod-{rod}"),
        Item::Junction(junction) => format!("junction-{junction}"),
    }
}
