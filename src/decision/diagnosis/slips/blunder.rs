//! Mistakes in a sheet as a whole: what they are, what they are called, how they are put right.
//!
//! Columns swapped, a plate read from the other side, inches for millimetres, names exchanged, a row left out: mistakes of the
//! pen, that the data themselves show. [`super::blunders`] finds them.

use crate::figure::{Bench, Measurand, Plan, Quantity, UsualSd};

/// N in a pound-force (4.4482216152605 by the definitions of the pound and of standard gravity).
pub const POUND_FORCE_N: f64 = 4.448_221_615_260_5;

/// N in a kilogram-force (standard gravity).
pub const KILOGRAM_FORCE_N: f64 = 9.806_65;

/// A row of the bench, found again after other rows were taken out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// Its number in the bench that was looked at.
    pub nth: usize,
    /// Where it stands in the sheet.
    pub place: String,
}

impl Row {
    /// Where it stands in `bench` now.
    fn find(&self, bench: &Bench) -> Option<usize> {
        let is_here = |nth: &usize| {
            let reading = bench.readings.get(*nth);
            reading.is_some_and(|reading| reading.place == self.place)
        };
        Some(self.nth).filter(is_here).or_else(|| {
            let mut all = bench.readings.iter();
            all.position(|reading| reading.place == self.place)
        })
    }
}

/// How x and y as written become x and y as meant, on the sheet's axes: x to the right as seen from the peephole and y up; in
/// pictures x to the right and y down.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Axes {
    /// The columns are exchanged, first of all.
    pub swapped: bool,
    /// Then x changes its sign.
    pub minus_x: bool,
    /// And y.
    pub minus_y: bool,
}

impl Axes {
    /// As meant.
    pub const AS_WRITTEN: Self = Self {
        swapped: false,
        minus_x: false,
        minus_y: false,
    };

    /// All others.
    pub fn others() -> impl Iterator<Item = Self> {
        (1..8).map(|bits| Self {
            swapped: bits & 4 != 0,
            minus_x: bits & 1 != 0,
            minus_y: bits & 2 != 0,
        })
    }

    /// Whether it is a reflection, and no turn.
    pub fn mirrors(self) -> bool {
        self.swapped ^ self.minus_x ^ self.minus_y
    }

    /// What is meant by `value`, kept as a bench keeps it: x to the viewer's left, but for pictures.
    pub fn of(self, quantity: Quantity, [x, y]: [f64; 2]) -> [f64; 2] {
        let keep = if is_pictured(quantity) { 1.0 } else { -1.0 };
        let (mut x, mut y) = (keep * x, y);
        if self.swapped {
            (x, y) = (y, x);
        }
        if self.minus_x {
            x = -x;
        }
        if self.minus_y {
            y = -y;
        }
        [keep * x, y]
    }

    fn words(self, quantity: Quantity) -> &'static str {
        let pictured = is_pictured(quantity);
        match (self.swapped, self.minus_x, self.minus_y) {
            (false, false, false) => "as written",
            (true, false, false) => "the columns x and y are swapped",
            (false, true, false) => {
                "x has the wrong sign: read from the other side, or counted to the left"
            }
            (false, false, true) if pictured => "y has the wrong sign: counted upwards",
            (false, false, true) => "y has the wrong sign: counted downwards",
            (false, true, true) => "both signs are wrong: turned by half",
            (true, true, true) => "the columns x and y are swapped, with both signs wrong",
            (true, _, _) => {
                "turned by a quarter: the columns x and y are swapped, and one sign is wrong"
            }
        }
    }
}

/// Whether a quantity's coordinates are a picture's, x to the right and y down.
pub fn is_pictured(quantity: Quantity) -> bool {
    matches!(
        quantity,
        Quantity::PicturedHole(_) | Quantity::SeenEnd | Quantity::SeenMiddle
    )
}

/// How well the rows concerned fit the plan: the middle one of their distances, in the quantity's unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Evidence {
    /// As they stand.
    pub stands: f64,
    /// When put right; `None` where that leaves nothing to compare.
    pub put_right: Option<f64>,
    /// What a sound build, one piece of work six times its tolerance off, and a sound reading may be off.
    pub allowed: f64,
}

/// A mistake in a sheet.
#[derive(Debug, Clone, PartialEq)]
pub enum Blunder {
    /// A whole group of readings on other axes, in another unit, or both.
    Group {
        /// The quantity; of a picture through the peephole its ends, and its middles with them.
        quantity: Quantity,
        /// Its rows.
        rows: Vec<Row>,
        /// How x and y are put right.
        axes: Axes,
        /// By what the values are multiplied.
        factor: f64,
        /// Whether the thing itself cannot be so: tensions, tones and drops in another unit look like lines that are all slack,
        /// unless others of these three say that they are not.
        is_sure: bool,
        /// What shows it.
        evidence: Evidence,
    },
    /// A whole group that is of the other plate.
    OtherPlate {
        /// What the sheet says.
        quantity: Quantity,
        /// Its rows.
        rows: Vec<Row>,
        /// What shows it.
        evidence: Evidence,
    },
    /// One row on other axes (a sign slipped, columns swapped) or in another unit.
    One {
        /// The row.
        row: Row,
        /// What it is a reading of.
        quantity: Quantity,
        /// How x and y are put right.
        axes: Axes,
        /// By what the value is multiplied.
        factor: f64,
        /// What shows it.
        evidence: Evidence,
    },
    /// Two rows each of which holds the other's reading.
    Exchanged {
        /// They.
        rows: [Row; 2],
        /// What shows it.
        evidence: Evidence,
    },
    /// One place's coordinates written down for another place too.
    Copied {
        /// The row that they belong to.
        of: Row,
        /// The row whose own reading is missing.
        wrong: Row,
        /// What shows it; put right, that row has no reading.
        evidence: Evidence,
    },
    /// From some row on each name has the reading of the next one, or of the one before.
    Shifted {
        /// The rows concerned, in the sheet's order, each with what it is a reading of; `None`: of nothing.
        rows: Vec<(Row, Option<Measurand>)>,
        /// Whether a reading was left out; otherwise one too many stands there.
        left_out: bool,
        /// What shows it.
        evidence: Evidence,
    },
    /// One row far off that no mistake of the pen explains: misread, or really off.
    Outlier {
        /// The row.
        row: Row,
        /// What shows it; there is nothing to put right.
        evidence: Evidence,
    },
}

impl Blunder {
    /// Whether a diagnosis must not go on with the sheet as it stands. An outlier may be what spoils the build, and so may one
    /// line whose tension or tone is off by a factor of a unit or an octave.
    pub fn is_gross(&self) -> bool {
        match self {
            Self::Outlier { .. } => false,
            Self::Group { is_sure, .. } => *is_sure,
            Self::One { quantity, .. } => !matches!(
                quantity,
                Quantity::Tension | Quantity::Tone | Quantity::Drop
            ),
            _ => true,
        }
    }

    /// What shows it.
    pub fn evidence(&self) -> &Evidence {
        match self {
            Self::Group { evidence, .. }
            | Self::OtherPlate { evidence, .. }
            | Self::One { evidence, .. }
            | Self::Exchanged { evidence, .. }
            | Self::Copied { evidence, .. }
            | Self::Shifted { evidence, .. }
            | Self::Outlier { evidence, .. } => evidence,
        }
    }

    /// The rows concerned.
    pub fn rows(&self) -> Vec<&Row> {
        match self {
            Self::Group { rows, .. } | Self::OtherPlate { rows, .. } => rows.iter().collect(),
            Self::One { row, .. } | Self::Outlier { row, .. } => vec![row],
            Self::Exchanged { rows, .. } => rows.iter().collect(),
            Self::Copied { of, wrong, .. } => vec![of, wrong],
            Self::Shifted { rows, .. } => rows.iter().map(|(row, _)| row).collect(),
        }
    }

    /// Puts the sheet right: values, or what they are readings of; a reading of nothing is taken out. Several blunders are put
    /// right in the order in which they were found. An outlier stays.
    pub fn put_right(&self, _plan: &Plan, bench: &mut Bench) {
        match self {
            Self::Group {
                rows, axes, factor, ..
            } => {
                for row in rows {
                    rewrite(row, *axes, *factor, bench);
                }
            }
            Self::OtherPlate { rows, .. } => {
                let found: Vec<usize> = rows.iter().filter_map(|row| row.find(bench)).collect();
                for nth in found {
                    let of = &mut bench.readings[nth].of;
                    of.quantity = of_the_other_plate(of.quantity).unwrap_or(of.quantity);
                }
            }
            Self::One {
                row, axes, factor, ..
            } => rewrite(row, *axes, *factor, bench),
            Self::Exchanged { rows, .. } => {
                if let [Some(one), Some(other)] = [rows[0].find(bench), rows[1].find(bench)] {
                    let kept = (bench.readings[one].value, bench.readings[one].sd);
                    bench.readings[one].value = bench.readings[other].value;
                    bench.readings[one].sd = bench.readings[other].sd;
                    (bench.readings[other].value, bench.readings[other].sd) = kept;
                }
            }
            Self::Copied { wrong, .. } => take_out(wrong, bench),
            Self::Shifted { rows, .. } => {
                for (row, of) in rows {
                    match (row.find(bench), of) {
                        (Some(nth), Some(of)) => bench.readings[nth].of = *of,
                        _ => take_out(row, bench),
                    }
                }
            }
            Self::Outlier { .. } => {}
        }
    }

    /// What is wrong, what shows it, and what to do, with the places of the rows.
    pub fn words(&self, plan: &Plan, bench: &Bench) -> String {
        let name = |row: &Row| match row.find(bench) {
            Some(nth) => bench.readings[nth].of.words(&plan.design),
            None => row.place.clone(),
        };
        let first = self.rows().first().and_then(|row| row.find(bench));
        let unit = first.map_or("", |nth| unit_of(bench.readings[nth].of.quantity));
        let told = self.evidence().words(unit);
        match self {
            Self::Group {
                quantity,
                rows,
                axes,
                factor,
                is_sure,
                ..
            } => format!(
                "{}: {}: all {} readings{}: {} (the middle one of them {told}); write them again {}{}",
                span_of(rows),
                quantity.name(),
                rows.len(),
                if *is_sure { "" } else { " may be" },
                wrong_words(*quantity, *axes, *factor, true),
                again_words(*quantity, *factor),
                match is_sure {
                    true => unless_words(*quantity, *axes),
                    false => ", or the lines are really so slack or so tight: taken as read",
                },
            ),
            Self::OtherPlate { quantity, rows, .. } => format!(
                "{}: {}: all {} readings are those of the other plate (the middle one of them {told}); write them under {}",
                span_of(rows),
                quantity.name(),
                rows.len(),
                of_the_other_plate(*quantity).map_or("", Quantity::name),
            ),
            Self::One {
                row,
                quantity,
                axes,
                factor,
                ..
            } => format!(
                "{}: {}: {} ({told}){}; write it again {}",
                row.place,
                name(row),
                wrong_words(*quantity, *axes, *factor, false),
                if self.is_gross() {
                    ""
                } else {
                    ", or the line is really so far off: read it again"
                },
                again_words(*quantity, *factor),
            ),
            Self::Exchanged {
                rows: [one, other], ..
            } => format!(
                "{} and {}: the readings of {} and {} are exchanged ({told}); exchange them",
                one.place,
                other.place,
                name(one),
                name(other),
            ),
            Self::Copied { of, wrong, .. } => format!(
                "{} and {}: {} has the same numbers as {}, which are {told} for it; read it again, or leave the row blank",
                of.place,
                wrong.place,
                name(wrong),
                name(of),
            ),
            Self::Shifted { rows, left_out, .. } => format!(
                "{}: from {} on each name {} (the middle one of {} {told}); move the readings by one row from there on",
                rows[0].0.place,
                name(&rows[0].0),
                if *left_out {
                    "has the reading of the next one: one was left out"
                } else {
                    "has the reading of the one before: one stands there twice, or does not belong there"
                },
                rows.len(),
            ),
            Self::Outlier { row, .. } => format!(
                "{}: {} is {told}: misread, or really off; read it again",
                row.place,
                name(row),
            ),
        }
    }
}

impl Evidence {
    /// In numbers.
    fn words(&self, unit: &str) -> String {
        let allowed = format!("a sound build may be {} {unit} off", number(self.allowed));
        match self.put_right {
            Some(put_right) => format!(
                "{} {unit} off as it stands, {} {unit} when put right; {allowed}",
                number(self.stands),
                number(put_right),
            ),
            None => format!("{} {unit} off, and {allowed}", number(self.stands)),
        }
    }
}

/// A row's value on other axes and in another unit. Its uncertainty goes with a value that says its unit; the usual one of its
/// quantity is the same in any unit.
fn rewrite(row: &Row, axes: Axes, factor: f64, bench: &mut Bench) {
    let Some(nth) = row.find(bench) else {
        return;
    };
    let reading = &mut bench.readings[nth];
    let usual = reading.of.quantity.usual_sd();
    let is_usual_length =
        matches!(usual, UsualSd::Fixed(sd) if (reading.sd - sd).abs() <= 0.05 * sd);
    if !is_usual_length {
        reading.sd *= factor;
    }
    reading.value = axes
        .of(reading.of.quantity, reading.value)
        .map(|value| value * factor);
    if reading.of.quantity.components() == 1 {
        reading.value[1] = 0.0;
    }
}

fn take_out(row: &Row, bench: &mut Bench) {
    if let Some(nth) = row.find(bench) {
        bench.readings.remove(nth);
    }
}

/// The same thing of the other plate, where readings may be written down for the wrong one.
pub fn of_the_other_plate(quantity: Quantity) -> Option<Quantity> {
    match quantity {
        Quantity::Hole(plate) => Some(Quantity::Hole(plate.other())),
        Quantity::ScannedHole(plate) => Some(Quantity::ScannedHole(plate.other())),
        Quantity::EndFrom(plate) => Some(Quantity::EndFrom(plate.other())),
        _ => None,
    }
}

/// Unit of a quantity on a sheet.
pub fn unit_of(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::Tone => "Hz",
        Quantity::Tension => "N",
        _ if is_pictured(quantity) => "px",
        _ => "mm",
    }
}

/// Three figures, or the whole number.
fn number(value: f64) -> String {
    let decimals = match value.abs() {
        size if size >= 100.0 => 0,
        size if size >= 10.0 => 1,
        size if size >= 0.1 => 2,
        _ => 3,
    };
    format!("{value:.decimals$}")
}

fn span_of(rows: &[Row]) -> String {
    match rows {
        [] => String::new(),
        [one] => one.place.clone(),
        [first, .., last] => format!("{} to {}", first.place, last.place),
    }
}

/// What is wrong with axes and unit.
fn wrong_words(quantity: Quantity, axes: Axes, factor: f64, group: bool) -> String {
    let mut wrong = Vec::new();
    let laid_anyhow = is_pictured(quantity) || matches!(quantity, Quantity::ScannedHole(_));
    if group && laid_anyhow && axes.mirrors() {
        wrong.push("mirrored, or the columns x and y swapped".to_owned());
    } else if axes != Axes::AS_WRITTEN {
        wrong.push(axes.words(quantity).to_owned());
    }
    if factor != 1.0 {
        wrong.push(factor_words(quantity, factor).to_owned());
    }
    wrong.join("; ")
}

/// What else it may be: the plate itself.
fn unless_words(quantity: Quantity, axes: Axes) -> &'static str {
    let is_of_a_plate = matches!(
        quantity,
        Quantity::Hole(_) | Quantity::ScannedHole(_) | Quantity::PicturedHole(_)
    );
    if is_of_a_plate && axes != Axes::AS_WRITTEN {
        ", unless the plate itself is pierced or mounted so: then that is the fault"
    } else {
        ""
    }
}

fn factor_words(quantity: Quantity, factor: f64) -> &'static str {
    let near = |value: f64| (factor / value - 1.0).abs() < 1e-6;
    match quantity {
        Quantity::Tone if factor > 1.0 => "an octave too low, the usual slip of a tuner",
        Quantity::Tone => "an octave too high, the usual slip of a tuner",
        Quantity::Tension if near(POUND_FORCE_N) => "in pounds-force, not N",
        Quantity::Tension if near(KILOGRAM_FORCE_N) => "in kilograms-force, not N",
        Quantity::Tension => "in grams-force, not N",
        _ if near(25.4) => "in inches, not mm",
        _ if near(10.0) => "in cm, not mm",
        _ if near(0.1) => "ten times too large, as mm are where cm are meant",
        _ => "25.4 times too large, as mm are where inches are meant",
    }
}

fn again_words(quantity: Quantity, factor: f64) -> String {
    match unit_of(quantity) {
        "px" => "with x to the right and y down, as picture programs count".into(),
        "mm" if factor == 1.0 => "with x to the right and y up as seen from the peephole".into(),
        unit if factor == 1.0 => format!("in {unit}"),
        unit => format!("in {unit}, or say its unit"),
    }
}
