//! Tools that make a round hole in a workshop: their sizes, what a hole comes out at, and preferred numbers.
//!
//! Sources stand at each kind of tool. Preferred numbers: ISO 3:1973, series R10 and R20; their more rounded values after
//! ISO 497 (R″10, R″20), from memory.

/// A kind of tool.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ToolKind {
    /// The office punch of ISO 838: one size.
    OfficePunch,
    /// Metric twist drill.
    MetricDrill,
    /// Hollow punch (wad punch) for card, leather and sheet.
    HollowPunch,
    /// Twist drill of a fractional inch size.
    InchDrill,
    /// Metric bit for wood: brad-point, Forstner, flat.
    WoodBit,
    /// Flat wood bit of a fractional inch size.
    InchWoodBit,
}

impl ToolKind {
    /// All kinds.
    pub const ALL: [Self; 6] = [
        Self::OfficePunch,
        Self::MetricDrill,
        Self::HollowPunch,
        Self::InchDrill,
        Self::WoodBit,
        Self::InchWoodBit,
    ];

    /// Its name in files.
    pub fn name(self) -> &'static str {
        match self {
            Self::OfficePunch => "office-punch",
            Self::MetricDrill => "metric-drill",
            Self::HollowPunch => "hollow-punch",
            Self::InchDrill => "inch-drill",
            Self::WoodBit => "wood-bit",
            Self::InchWoodBit => "inch-wood-bit",
        }
    }

    /// What it is, in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::OfficePunch => "office punch (paper and thin card)",
            Self::MetricDrill => "twist drill",
            Self::HollowPunch => "hollow punch (card, leather, soft sheet)",
            Self::InchDrill => "inch twist drill",
            Self::WoodBit => "wood bit",
            Self::InchWoodBit => "inch wood bit",
        }
    }

    /// Where its sizes and deviations come from.
    pub fn source(self) -> &'static str {
        match self {
            Self::OfficePunch => "ISO 838: holes 6 mm ± 0.5 mm",
            Self::MetricDrill => {
                "sizes: ISO 235, steps of 0.1 mm, from memory; how large a hole comes out: AND10387 (drilling machine)"
            }
            Self::HollowPunch => {
                "whole millimetres, ± 0.2 mm as card and leather give: common practice, no source"
            }
            Self::InchDrill => {
                "sizes: ISO 235 and ASME B94.11M, 1/16 to 1/2 in by 64ths, from memory; how large a hole comes out: AND10387 (drilling machine)"
            }
            Self::WoodBit | Self::InchWoodBit => {
                "sizes that are sold, ± 0.5 mm in wood: common practice, no source"
            }
        }
    }
}

/// One tool.
#[derive(Debug, Clone, PartialEq)]
pub struct HoleTool {
    /// What it is.
    pub kind: ToolKind,
    /// Its size as it is marked: "6 mm", "15/64 in".
    pub size: String,
    /// Its diameter, mm.
    pub diameter_mm: f64,
    /// How much narrower and wider than that a hole comes out, mm: bounds, the first not positive.
    pub deviation_mm: [f64; 2],
}

impl HoleTool {
    /// Narrowest and widest hole that it makes, mm.
    pub fn holes_mm(&self) -> [f64; 2] {
        self.deviation_mm
            .map(|deviation| self.diameter_mm + deviation)
    }

    /// How plain it is, the plainest first: 0, what lies in a drawer (the office punch, drills and bits of whole millimetres);
    /// 1, drills of half millimetres and hollow punches; 2, inch sizes by 16ths; 3, all others (chosen, no source).
    pub fn plainness(&self) -> u32 {
        let is_multiple_of = |step_mm: f64| {
            let steps = self.diameter_mm / step_mm;
            (steps - steps.round()).abs() < 1e-9
        };
        match self.kind {
            ToolKind::OfficePunch => 0,
            ToolKind::MetricDrill | ToolKind::WoodBit if is_multiple_of(1.0) => 0,
            ToolKind::HollowPunch => 1,
            ToolKind::MetricDrill if is_multiple_of(0.5) => 1,
            ToolKind::InchDrill | ToolKind::InchWoodBit if is_multiple_of(INCH_MM / 16.0) => 2,
            _ => 3,
        }
    }

    /// Whether its size is a preferred number.
    pub fn preferred(&self) -> Preferred {
        preferred(self.diameter_mm)
    }

    /// Size and kind in words.
    pub fn words(&self) -> String {
        format!("{} {}", self.size, self.kind.words())
    }
}

/// Order of plainness, in words.
pub const PLAINNESS_WORDS: &str = "first the office punch and drills of whole millimetres, then drills of half millimetres and hollow punches, then inch sizes by 16ths, then all others";

/// How a number stands among the preferred ones.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Preferred {
    /// In the series R10, or as its most rounded values have it.
    R10,
    /// In the series R20 only.
    R20,
    /// In neither.
    No,
}

impl Preferred {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::R10 => "a preferred number (ISO 3, R10 or rounded R10)",
            Self::R20 => "a preferred number (ISO 3, R20 or rounded R20)",
            Self::No => "not a preferred number",
        }
    }
}

/// ISO 3, R20 from 1 to 10; every other one is R10.
pub const R20: [f64; 20] = [
    1.0, 1.12, 1.25, 1.4, 1.6, 1.8, 2.0, 2.24, 2.5, 2.8, 3.15, 3.55, 4.0, 4.5, 5.0, 5.6, 6.3, 7.1,
    8.0, 9.0,
];
/// The same more rounded: R″20 and R″10 (ISO 497, from memory).
const R20_ROUNDED: [f64; 20] = [
    1.0, 1.1, 1.2, 1.4, 1.5, 1.8, 2.0, 2.2, 2.5, 2.8, 3.0, 3.5, 4.0, 4.5, 5.0, 5.5, 6.0, 7.0, 8.0,
    9.0,
];

/// How a number stands among the preferred ones.
pub fn preferred(number: f64) -> Preferred {
    if !(number > 0.0 && number.is_finite()) {
        return Preferred::No;
    }
    let mut within_decade = number;
    while within_decade >= 10.0 - 1e-9 {
        within_decade /= 10.0;
    }
    while within_decade < 1.0 - 1e-9 {
        within_decade *= 10.0;
    }
    let same = |other: &f64| (within_decade - other).abs() < 1e-6;
    let places = [R20, R20_ROUNDED].map(|series| series.iter().position(same));
    let found: Vec<usize> = places.into_iter().flatten().collect();
    if found.iter().any(|place| place.is_multiple_of(2)) {
        Preferred::R10
    } else if found.is_empty() {
        Preferred::No
    } else {
        Preferred::R20
    }
}

/// One inch, mm (exact since 1959).
const INCH_MM: f64 = 25.4;

/// How much narrower and wider than its drill a drilled hole comes out, mm (AND10387; the last step from memory).
fn drilled_mm(diameter_mm: f64) -> [f64; 2] {
    let wider_mm = if diameter_mm <= 3.18 {
        0.10
    } else if diameter_mm <= 6.35 {
        0.13
    } else if diameter_mm <= 12.7 {
        0.15
    } else {
        0.20
    };
    [-0.03, wider_mm]
}

/// Wood bits that are sold, mm, and inch ones in 8ths (common practice, no source).
const WOOD_BITS_MM: [f64; 15] = [
    14.0, 15.0, 16.0, 18.0, 20.0, 22.0, 24.0, 25.0, 26.0, 28.0, 30.0, 32.0, 35.0, 38.0, 40.0,
];
const WOOD_BITS_EIGHTHS: [u32; 8] = [5, 6, 7, 8, 9, 10, 11, 12];

/// Every tool that the program knows, the narrowest first and of one width the plainest first.
pub fn hole_tools() -> Vec<HoleTool> {
    let mut tools = vec![HoleTool {
        kind: ToolKind::OfficePunch,
        size: "6 mm".to_owned(),
        diameter_mm: 6.0,
        deviation_mm: [-0.5, 0.5],
    }];
    let millimetres = |tenths: u32| f64::from(tenths) / 10.0;
    tools.extend((10..=130).map(|tenths| HoleTool {
        kind: ToolKind::MetricDrill,
        size: format!("{} mm", millimetres(tenths)),
        diameter_mm: millimetres(tenths),
        deviation_mm: drilled_mm(millimetres(tenths)),
    }));
    tools.extend((2..=30).map(|mm| HoleTool {
        kind: ToolKind::HollowPunch,
        size: format!("{mm} mm"),
        diameter_mm: f64::from(mm),
        deviation_mm: [-0.2, 0.2],
    }));
    tools.extend((4..=32).map(|sixty_fourths| {
        let diameter_mm = INCH_MM * f64::from(sixty_fourths) / 64.0;
        HoleTool {
            kind: ToolKind::InchDrill,
            size: fraction_words(sixty_fourths, 64),
            diameter_mm,
            deviation_mm: drilled_mm(diameter_mm),
        }
    }));
    tools.extend(WOOD_BITS_MM.map(|diameter_mm| HoleTool {
        kind: ToolKind::WoodBit,
        size: format!("{diameter_mm} mm"),
        diameter_mm,
        deviation_mm: [-0.5, 0.5],
    }));
    tools.extend(WOOD_BITS_EIGHTHS.map(|eighths| HoleTool {
        kind: ToolKind::InchWoodBit,
        size: fraction_words(eighths, 8),
        diameter_mm: INCH_MM * f64::from(eighths) / 8.0,
        deviation_mm: [-0.5, 0.5],
    }));
    tools.sort_by(|a, b| {
        a.diameter_mm
            .total_cmp(&b.diameter_mm)
            .then(a.plainness().cmp(&b.plainness()))
            .then(a.kind.cmp(&b.kind))
    });
    tools
}

/// A fraction of an inch in lowest terms: "15/64 in", "1 1/8 in".
fn fraction_words(mut over: u32, mut under: u32) -> String {
    while over.is_multiple_of(2) && under > 1 {
        over /= 2;
        under /= 2;
    }
    let (whole, rest) = (over / under, over % under);
    match (whole, rest) {
        (_, 0) => format!("{whole} in"),
        (0, _) => format!("{rest}/{under} in"),
        _ => format!("{whole} {rest}/{under} in"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_are_written_as_they_are_marked() {
        let tools = hole_tools();
        let inch = |size: &str| {
            tools
                .iter()
                .find(|tool| tool.size == size)
                .unwrap_or_else(|| panic!("no {size}"))
                .diameter_mm
        };
        assert_eq!(inch("1/16 in"), 1.5875);
        assert_eq!(inch("15/64 in"), 5.953125);
        assert_eq!(inch("1/2 in"), 12.7);
        assert!((inch("1 1/8 in") - 28.575).abs() < 1e-12);
        assert_eq!(inch("6.5 mm"), 6.5);
    }

    #[test]
    fn of_one_width_the_plainest_tool_comes_first() {
        let tools = hole_tools();
        let six: Vec<ToolKind> = tools
            .iter()
            .filter(|tool| tool.diameter_mm == 6.0)
            .map(|tool| tool.kind)
            .collect();
        assert_eq!(
            six,
            [
                ToolKind::OfficePunch,
                ToolKind::MetricDrill,
                ToolKind::HollowPunch
            ]
        );
        assert!(tools.is_sorted_by(|a, b| a.diameter_mm <= b.diameter_mm));
    }

    #[test]
    fn a_hole_may_come_out_as_wide_as_its_tool() {
        for tool in hole_tools() {
            let [narrowest, widest] = tool.holes_mm();
            assert!(
                0.0 < narrowest && narrowest <= tool.diameter_mm && tool.diameter_mm <= widest,
                "{}",
                tool.words()
            );
        }
    }

    #[test]
    fn preferred_numbers_are_known_in_every_decade() {
        for (number, expected) in [
            (6.3, Preferred::R10),
            (6.0, Preferred::R10),
            (63.0, Preferred::R10),
            (0.63, Preferred::R10),
            (9.0, Preferred::R20),
            (22.4, Preferred::R20),
            (6.1, Preferred::No),
            (f64::NAN, Preferred::No),
        ] {
            assert_eq!(preferred(number), expected, "{number}");
        }
    }
}
