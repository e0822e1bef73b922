//! Sizes of the sheets of paper that an office printer takes.
//!
//! Sources: ISO 216 (A4, 210 mm × 297 mm); ANSI/ASME Y14.1 size A, sold as US Letter (8.5 in × 11 in).

/// One inch, mm (exact since 1959).
const INCH_MM: f64 = 25.4;

/// A size of paper, upright.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Paper {
    /// ISO 216.
    #[default]
    A4,
    /// US Letter, ANSI/ASME Y14.1 size A.
    Letter,
}

impl Paper {
    /// All sizes.
    pub const ALL: [Self; 2] = [Self::A4, Self::Letter];

    /// Its name on a command line and in files.
    pub fn name(self) -> &'static str {
        match self {
            Self::A4 => "a4",
            Self::Letter => "letter",
        }
    }

    /// The paper of that name.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|paper| paper.name() == name)
    }

    /// Its name as it is said.
    pub fn words(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "US Letter",
        }
    }

    /// Width and height, mm.
    pub fn size_mm(self) -> [f64; 2] {
        match self {
            Self::A4 => [210.0, 297.0],
            Self::Letter => [8.5 * INCH_MM, 11.0 * INCH_MM],
        }
    }
}
