//! The sheet for the bench: everything that can be measured of a design, to be filled in by hand or filled in already.
//!
//! Its format is what `scenario::read_bench` reads. Lines that begin with `#` are for people; they hold no comma and no semicolon,
//! so that a spreadsheet leaves each in one cell.

use super::tables::safe;
use crate::figure::{
    Bench, COVERED_SD, Family, Measurand, MeasurandKey, Plan, Plate, Quantity, Reading, TakenOn,
    UsualSd, all_measurands,
};
use crate::trial::{Frames, shown};
use std::collections::BTreeMap;

/// The columns, in their order.
const COLUMNS: [&str; 11] = [
    "quantity",
    "line",
    "rod",
    "at",
    "value",
    "x",
    "y",
    "unit",
    "plus_minus",
    "planned",
    "remark",
];

/// A sheet that is filled in already.
#[derive(Debug, Clone, Copy)]
pub struct FilledSheet<'f> {
    /// What fills it.
    pub bench: &'f Bench,
    /// What should be known of it, one line each.
    pub about: &'f [String],
}

/// The quantities in the order in which a person works, under a heading each.
const SECTIONS: [(&str, &[Quantity]); 6] = {
    use crate::figure::Stretch::{FrontToRear, PeepholeToFront, PeepholeToRear};
    use Plate::{Front, Rear};
    [
        (
            "1. Distances along the axis at the plates' centres and near their corners (x and y say where) - then the peephole's middle and the eye",
            &[
                Quantity::Distance(PeepholeToFront),
                Quantity::Distance(FrontToRear),
                Quantity::Distance(PeepholeToRear),
                Quantity::Peephole,
                Quantity::EyeRelief,
            ],
        ),
        (
            "2. Holes: from the centre mark to the middle of the hole in the plate's own plane",
            &[Quantity::Hole(Front), Quantity::Hole(Rear)],
        ),
        (
            "3. Lines: any one of the three will do. Tone: plucked without rods. Drop: below the straight between the holes at the distance `at` from the front plate with the rods hung",
            &[Quantity::Tension, Quantity::Tone, Quantity::Drop],
        ),
        (
            "4. Rod ends: along the line from the hole in the front plate",
            &[Quantity::EndFrom(Front)],
        ),
        (
            "5. One picture through the peephole: where each rod end is seen",
            &[Quantity::SeenEnd],
        ),
        (
            "6. Only where asked for: other ways to the same and what is seldom at fault. Of each plate either a scan or a picture",
            &[
                Quantity::ScannedHole(Front),
                Quantity::ScannedHole(Rear),
                Quantity::PicturedHole(Front),
                Quantity::PicturedHole(Rear),
                Quantity::LineInHole(Front),
                Quantity::LineInHole(Rear),
                Quantity::Tie,
                Quantity::EndFrom(Rear),
                Quantity::SeenMiddle,
            ],
        ),
    ]
};

/// Whether a quantity stands under "only where asked for": another way to what the rest of the sheet tells.
pub fn only_where_asked_for(quantity: Quantity) -> bool {
    SECTIONS[SECTIONS.len() - 1].1.contains(&quantity)
}

/// What stands at the top, in plain words.
const GUIDE: [&str; 12] = [
    "How to fill it in: write what you measure and leave the rest blank. A row without a number is not measured. No row must be filled in. The more there is the surer the answer.",
    "A single number goes into value. A place goes into x and y.",
    "x is to the right and y is up as seen from the peephole. Look at both plates from the peephole's side. The zero is the centre mark where the axis passes.",
    "A picture is the exception: its points are in px with x to the right and y down from its upper left corner as picture programs count. A picture may lie anyhow and be of any size but must not be mirrored.",
    "unit is that of the whole row: mm or cm or in for lengths - N or lbf for tension - Hz for tone - px for pictures. Blank means mm or N or Hz or px.",
    "plus_minus says how sure the reading is: 19 of 20 such readings lie within plus or minus so much. It stands in the row's unit or as a per cent of the value. What stands there is what careful reading with the usual tool gives (common practice) in mm or N or Hz or px and is taken so as long as it is left. Change it where your tool is better or worse.",
    "planned is what a build without any error would show - lines slackened as usual. It is for the eye only and is not read. Do not copy it: a number that was not measured hides what is wrong.",
    "The rows of words (exhibit to note): write into the column value. They go into the record as they stand - as far as one page has room for them. Leave blank what is nobody's business.",
    "You may sort rows - leave rows out - add columns - or split the sheet into several files. The header must stay. A semicolon as separator with decimal commas is read too.",
    "SAFETY: taut lines whip when they break or slip. Wear eye protection near them and near needles and wire ends. Keep faces out of the plane of the lines.",
    "SAFETY: pluck lines gently with a soft tip. Do not tighten a line to measure it. Count needles and pins out and in.",
    "SAFETY: no sun and no laser and no bare lamp may stand in the line of sight when you look or take the picture. The local rules of the house and the workshop go first.",
];

/// The sheet of a design: `title` and `file` are those of its scenario; what `filled` has is filled in. `planned` is what would
/// show without any error.
pub fn bench_sheet_csv(
    plan: &Plan,
    title: &str,
    file: &str,
    filled: Option<&FilledSheet<'_>>,
) -> String {
    let mut sheet = SheetText::new(plan, filled);
    sheet.comment(&format!("Sheet for the bench: {title} (scenario {file})"));
    for line in filled.into_iter().flat_map(|filled| filled.about) {
        sheet.comment(line);
    }
    for line in GUIDE {
        sheet.comment(line);
    }
    sheet.row(&COLUMNS.map(str::to_owned));
    sheet.words();
    for (heading, quantities) in SECTIONS {
        sheet.comment(heading);
        for quantity in quantities {
            sheet.readings(*quantity);
        }
    }
    sheet.text
}

struct SheetText<'s> {
    plan: &'s Plan,
    filled: Option<&'s FilledSheet<'s>>,
    all: Vec<Measurand>,
    /// What would show without any error, two numbers for each of `all`.
    planned: Vec<Option<[f64; 2]>>,
    readings: BTreeMap<MeasurandKey, &'s Reading>,
    text: String,
}

impl<'s> SheetText<'s> {
    fn new(plan: &'s Plan, filled: Option<&'s FilledSheet<'s>>) -> Self {
        let all = all_measurands(plan);
        let readings = filled.into_iter().flat_map(|filled| &filled.bench.readings);
        Self {
            planned: planned(plan, &all),
            readings: readings
                .map(|reading| (reading.of.key(), reading))
                .collect(),
            plan,
            filled,
            all,
            text: String::new(),
        }
    }

    fn comment(&mut self, words: &str) {
        let one_line = words.chars().map(|c| match c {
            ',' | ';' => ' ',
            c if c.is_control() => ' ',
            c => c,
        });
        self.text.push_str("# ");
        self.text.extend(one_line);
        self.text.push('\n');
    }

    fn row(&mut self, cells: &[String]) {
        for (nth, cell) in cells.iter().enumerate() {
            if nth > 0 {
                self.text.push(',');
            }
            if cell.contains([',', ';', '\t', '"', '\n', '\r', '#']) {
                self.text
                    .push_str(&format!("\"{}\"", cell.replace('"', "\"\"")));
            } else {
                self.text.push_str(cell);
            }
        }
        self.text.push('\n');
    }

    fn words(&mut self) {
        let empty = Bench::default();
        let bench = self.filled.map_or(&empty, |filled| filled.bench);
        let words = &bench.words;
        let said = |text: &Option<String>| text.as_deref().map_or(String::new(), safe);
        let pupil = bench
            .camera_pupil_mm
            .map_or(String::new(), |mm| rounded(mm, 4));
        let perspective = bench.perspective.name();
        for (name, value, unit, remark) in [
            ("exhibit", said(&words.exhibit), "", "its name or number"),
            ("measured by", said(&words.measured_by), "", ""),
            ("measured on", said(&words.measured_on), "", ""),
            (
                "instruments",
                said(&words.instruments),
                "",
                "rule and calliper and gauge and camera",
            ),
            ("signed by", said(&words.signed_by), "", ""),
            ("note", said(&words.note), "", "what else was noticed"),
            (
                "camera pupil",
                pupil,
                "mm",
                "focal length over f-number of the camera at the peephole; blank: the mean visitor's pupil",
            ),
            (
                "picture perspective",
                perspective.to_owned(),
                "",
                "yes: the camera looked clearly askew; no: it stood square to the plates; blank: held by hand within some degrees",
            ),
        ] {
            let mut cells = blank_cells();
            cells[0] = name.to_owned();
            cells[4] = value;
            cells[7] = unit.to_owned();
            cells[10] = remark.to_owned();
            self.row(&cells);
        }
    }

    fn readings(&mut self, quantity: Quantity) {
        for nth in 0..self.all.len() {
            let of = self.all[nth];
            if of.quantity == quantity {
                let cells = self.cells(&of, self.planned[nth]);
                self.row(&cells);
            }
        }
    }

    fn cells(&self, of: &Measurand, planned: Option<[f64; 2]>) -> [String; 11] {
        let design = &self.plan.design;
        let quantity = of.quantity;
        let mut cells = blank_cells();
        cells[0] = quantity.name().to_owned();
        let on = quantity.taken_on();
        if matches!(on, TakenOn::Line | TakenOn::RodEnd) {
            cells[1] = of
                .line
                .map_or(String::new(), |line| safe(&design.vertices[line].name));
        }
        if matches!(on, TakenOn::Rod | TakenOn::RodEnd) {
            cells[2] = of
                .end
                .map_or(String::new(), |end| safe(&design.rods[end / 2].name));
        }
        cells[3] = of.at_mm.map_or(String::new(), |at_mm| rounded(at_mm, 4));
        if let Some(place_mm) = of.place_mm {
            cells[5] = rounded(0.0 - place_mm.x, 4);
            cells[6] = rounded(place_mm.y, 4);
        }
        let reading = self.readings.get(&of.key());
        if let Some(reading) = reading {
            let places = decimals(quantity) + 2;
            let [x, y] = quantity.turned(reading.value);
            if quantity.components() == 2 {
                cells[5] = rounded(x, places);
                cells[6] = rounded(y, places);
            } else {
                cells[4] = rounded(x, places);
            }
            cells[10] = reading.remark.as_deref().map_or(String::new(), safe);
        }
        cells[7] = quantity.unit().to_owned();
        cells[8] = plus_minus(quantity.usual_sd(), reading.copied());
        cells[9] = planned.map_or(String::new(), |planned| planned_words(quantity, planned));
        cells
    }
}

fn blank_cells() -> [String; 11] {
    std::array::from_fn(|_| String::new())
}

/// What every reading would be without any error; nothing of pictures, which lie anyhow, nor of what cannot be computed.
fn planned(plan: &Plan, all: &[Measurand]) -> Vec<Option<[f64; 2]>> {
    let meant = [Family::Build, Family::Look].map(|family| plan.meant_values(family));
    let [build, look] = &meant;
    let shown = shown(plan, all, &Bench::default(), build, look, &Frames::IDENTITY);
    let mut numbers = shown.unwrap_or_default().into_iter();
    all.iter()
        .map(|of| {
            let mut value = [Some(0.0); 2];
            for component in &mut value[..of.quantity.components()] {
                *component = numbers.next().flatten().filter(|number| number.is_finite());
            }
            let is_of_picture = of.quantity.unit() == "px";
            Some([value[0]?, value[1]?]).filter(|_| !is_of_picture)
        })
        .collect()
}

fn planned_words(quantity: Quantity, planned: [f64; 2]) -> String {
    let places = decimals(quantity);
    let [x, y] = quantity.turned(planned);
    if quantity.components() == 2 {
        // a cell that begins with a letter is no formula
        format!("x {} y {}", fixed(x, places), fixed(y, places))
    } else {
        fixed(x, places)
    }
}

/// Decimals to which a reading can be taken at best.
fn decimals(quantity: Quantity) -> usize {
    match quantity.unit() {
        "px" | "Hz" => 1,
        _ => 2,
    }
}

/// Half-width that covers 19 of 20 readings, in the quantity's unit or as a per cent of the reading.
fn plus_minus(usual: UsualSd, reading: Option<&Reading>) -> String {
    match (usual, reading) {
        (UsualSd::Share(share), Some(reading)) if reading.sd != usual.of(reading.value[0]) => {
            let share = if reading.value[0] == 0.0 {
                share
            } else {
                reading.sd / reading.value[0].abs()
            };
            format!("{} %", rounded(100.0 * COVERED_SD * share, 4))
        }
        (UsualSd::Share(share), _) => format!("{} %", rounded(100.0 * COVERED_SD * share, 4)),
        (UsualSd::Fixed(sd), reading) => {
            rounded(COVERED_SD * reading.map_or(sd, |reading| reading.sd), 4)
        }
    }
}

fn fixed(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    // no negative nought
    if text.bytes().all(|byte| matches!(byte, b'-' | b'0' | b'.')) {
        text.trim_start_matches('-').to_owned()
    } else {
        text
    }
}

/// A number without noughts at its end.
fn rounded(value: f64, places: usize) -> String {
    let text = fixed(value, places);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_quantity_stands_on_the_sheet_once() {
        let on_sheet: Vec<Quantity> = SECTIONS
            .iter()
            .flat_map(|(_, some)| *some)
            .copied()
            .collect();
        assert_eq!(on_sheet.len(), Quantity::ALL.len());
        for quantity in Quantity::ALL {
            assert!(on_sheet.contains(&quantity), "{}", quantity.name());
        }
    }

    #[test]
    fn what_people_read_has_no_separator_in_it() {
        let headings = SECTIONS.iter().map(|(heading, _)| *heading);
        for line in GUIDE.into_iter().chain(headings) {
            assert!(!line.contains([',', ';', '"', '\t']), "{line}");
        }
    }

    #[test]
    fn numbers_have_no_noughts_at_their_end() {
        assert_eq!(rounded(0.196, 4), "0.196");
        assert_eq!(rounded(-0.00001, 4), "0");
        assert_eq!(rounded(380.0, 4), "380");
        assert_eq!(fixed(-0.001, 2), "0.00");
    }
}
