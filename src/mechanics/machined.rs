//! What a machined length may miss when a drawing gives no tolerance for it.
//!
//! Source: ISO 2768-1:1989, General tolerances, table 1 (permissible deviations for linear dimensions except for broken
//! edges), in mm.

/// A tolerance class of ISO 2768-1:1989.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ToleranceClass {
    /// f.
    Fine,
    /// m.
    Medium,
    /// c.
    Coarse,
    /// v.
    VeryCoarse,
}

/// Lengths up to this (beyond the last row's), mm, and what classes f, m, c and v may miss, mm.
const TABLE_1: [(f64, [Option<f64>; 4]); 8] = [
    (3.0, [Some(0.05), Some(0.1), Some(0.2), None]),
    (6.0, [Some(0.05), Some(0.1), Some(0.3), Some(0.5)]),
    (30.0, [Some(0.1), Some(0.2), Some(0.5), Some(1.0)]),
    (120.0, [Some(0.15), Some(0.3), Some(0.8), Some(1.5)]),
    (400.0, [Some(0.2), Some(0.5), Some(1.2), Some(2.5)]),
    (1000.0, [Some(0.3), Some(0.8), Some(2.0), Some(4.0)]),
    (2000.0, [Some(0.5), Some(1.2), Some(3.0), Some(6.0)]),
    (4000.0, [None, Some(2.0), Some(4.0), Some(8.0)]),
];

/// Shortest length that the table covers, mm.
const SHORTEST_MM: f64 = 0.5;

impl ToleranceClass {
    /// All classes, finest first.
    pub const ALL: [Self; 4] = [Self::Fine, Self::Medium, Self::Coarse, Self::VeryCoarse];

    /// Its letter in the standard.
    pub fn letter(self) -> char {
        match self {
            Self::Fine => 'f',
            Self::Medium => 'm',
            Self::Coarse => 'c',
            Self::VeryCoarse => 'v',
        }
    }

    /// Its name in the standard.
    pub fn name(self) -> &'static str {
        match self {
            Self::Fine => "fine",
            Self::Medium => "medium",
            Self::Coarse => "coarse",
            Self::VeryCoarse => "very coarse",
        }
    }

    /// How much a length of `length_mm` may miss in this class, either way, mm; `None` where the table has no value.
    pub fn permissible_deviation_mm(self, length_mm: f64) -> Option<f64> {
        if !(length_mm >= SHORTEST_MM) {
            return None;
        }
        let (_, row) = TABLE_1.iter().find(|(upto, _)| length_mm <= *upto)?;
        row[self as usize]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_outside_the_table_have_no_value() {
        for length_mm in [0.0, 0.49, 4000.1, f64::NAN, f64::INFINITY, -5.0] {
            for class in ToleranceClass::ALL {
                assert_eq!(class.permissible_deviation_mm(length_mm), None);
            }
        }
    }

    #[test]
    fn a_length_on_a_border_belongs_to_the_shorter_ones() {
        let medium = |mm| ToleranceClass::Medium.permissible_deviation_mm(mm);
        assert_eq!(medium(400.0), Some(0.5));
        assert_eq!(medium(400.01), Some(0.8));
    }

    #[test]
    fn a_coarser_class_or_a_longer_length_may_miss_no_less() {
        let mut before = [0.0; 4];
        for length_mm in [1.0, 5.0, 20.0, 100.0, 300.0, 700.0, 1500.0, 3000.0] {
            let here = ToleranceClass::ALL.map(|class| class.permissible_deviation_mm(length_mm));
            let known: Vec<f64> = here.iter().copied().flatten().collect();
            assert!(known.windows(2).all(|pair| pair[0] <= pair[1]));
            for (before, here) in before.iter_mut().zip(here) {
                if let Some(here) = here {
                    assert!(here >= *before);
                    *before = here;
                }
            }
        }
    }
}
