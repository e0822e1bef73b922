//! Mistakes of the pen in a sheet: told where there is one, never where there is none.

mod binary;
mod sheets;

use rayon::prelude::*;
use sheets::{Chance, PLACES, SHIPPED, only, plan_of, sheet};
use sightdrift::decision::diagnosis::{Blunder, blunders};
use sightdrift::figure::{Bench, Plan, Plate, Quantity, Stretch};

/// Builds with one fault each, per scenario.
const SOUND: u64 = 400;

/// Builds with a mistake in their sheet, per scenario and mistake.
const MISTAKEN: u64 = 50;

#[test]
fn a_sound_sheet_of_a_build_with_one_fault_has_no_blunder() {
    for name in SHIPPED {
        let plan = plan_of(name);
        let told: Vec<String> = (0..SOUND)
            .into_par_iter()
            .flat_map_iter(|seed| {
                let bench = sheet(&plan, seed, true, seed % 2 == 1);
                let found = blunders(&plan, &bench);
                let words: Vec<String> = found
                    .iter()
                    .map(|one| format!("{seed}: {}", one.words(&plan, &bench)))
                    .collect();
                words
            })
            .collect();
        println!("{name}: {} told of {SOUND} sheets", told.len());
        // none of 400: fewer than one in a hundred (95 % Clopper–Pearson bound 0.92 %)
        assert!(
            told.is_empty(),
            "{name}: {}",
            told[..told.len().min(3)].join("\n")
        );
    }
}

/// A mistake of the pen.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Mistake {
    Swapped,
    MirroredX,
    MirroredY,
    Factor(f64),
    OneFactor(f64),
    Exchanged,
    SignSlip,
    Copied,
    LeftOut,
    Doubled,
}

impl Mistake {
    /// Makes it in all rows of `bench`, which are of one quantity; `None` where the sheet does not allow it.
    fn make(self, bench: &Bench, chance: &mut Chance) -> Option<Bench> {
        let mut wrong = bench.clone();
        let rows = wrong.readings.len();
        let quantity = wrong.readings.first()?.of.quantity;
        let pictured = matches!(
            quantity,
            Quantity::PicturedHole(_) | Quantity::SeenEnd | Quantity::SeenMiddle
        );
        let (one, two) = (chance.below(rows), chance.below(rows));
        match self {
            Self::Swapped => {
                for reading in &mut wrong.readings {
                    let [x, y] = reading.value;
                    reading.value = if pictured { [y, x] } else { [-y, -x] };
                }
            }
            Self::MirroredX => {
                for reading in &mut wrong.readings {
                    reading.value[0] *= -1.0;
                }
            }
            Self::MirroredY => {
                for reading in &mut wrong.readings {
                    reading.value[1] *= -1.0;
                }
            }
            Self::Factor(factor) => {
                for reading in &mut wrong.readings {
                    reading.value = reading.value.map(|value| value / factor);
                }
            }
            Self::OneFactor(factor) => {
                let reading = &mut wrong.readings[one];
                reading.value = reading.value.map(|value| value / factor);
            }
            Self::SignSlip => wrong.readings[one].value[chance.below(2)] *= -1.0,
            Self::Exchanged | Self::Copied => {
                let of = |row: usize| wrong.readings[row].of;
                if one == two || of(one).line.is_some() && of(one).line == of(two).line {
                    return None;
                }
                let kept = wrong.readings[one].value;
                wrong.readings[one].value = wrong.readings[two].value;
                if self == Self::Exchanged {
                    wrong.readings[two].value = kept;
                }
            }
            Self::LeftOut | Self::Doubled => {
                let first = one.min(rows.checked_sub(4)?);
                for row in first..rows - 1 {
                    let (from, to) = match self {
                        Self::LeftOut => (row + 1, row),
                        // from the end, so that nothing is lost before it is moved
                        _ => (rows - 2 - (row - first), rows - 1 - (row - first)),
                    };
                    wrong.readings[to].value = wrong.readings[from].value;
                }
                // otherwise the first stands there twice
                if self == Self::LeftOut {
                    wrong.readings.pop();
                }
            }
        }
        Some(wrong)
    }

    /// Fewest of [`MISTAKEN`] that must be told rightly: three binomial standard deviations below the lowest count of any scenario
    /// and quantity when this was written (48, 41, 49, 31, 31, 45, 45). What is not told moves a place by no more than a sound
    /// build may be off: small coordinates in a small plate, neighbours exchanged.
    fn fewest_right(self, quantity: Quantity, plan: &Plan) -> u64 {
        let is_of_tension = matches!(quantity, Quantity::Tension | Quantity::Tone);
        match self {
            // one pull for all lines: all may be as slack as a wrong unit makes them look
            Self::Factor(_) if is_of_tension && plan.design.tension_is_shared() => 0,
            Self::Swapped | Self::MirroredX | Self::MirroredY => 43,
            Self::Factor(_) if is_of_tension => 32,
            Self::Factor(_) | Self::OneFactor(_) => 46,
            Self::Exchanged => 20,
            Self::SignSlip => 20,
            Self::Copied => 38,
            Self::LeftOut | Self::Doubled => 38,
        }
    }

    fn is_told(self, blunder: &Blunder) -> bool {
        match self {
            Self::Swapped | Self::MirroredX | Self::MirroredY | Self::Factor(_) => {
                matches!(blunder, Blunder::Group { .. })
            }
            Self::OneFactor(_) | Self::SignSlip => matches!(blunder, Blunder::One { .. }),
            Self::Exchanged => matches!(blunder, Blunder::Exchanged { .. }),
            Self::Copied => matches!(blunder, Blunder::Copied { .. }),
            Self::LeftOut => matches!(blunder, Blunder::Shifted { left_out: true, .. }),
            Self::Doubled => matches!(
                blunder,
                Blunder::Shifted {
                    left_out: false,
                    ..
                }
            ),
        }
    }
}

/// What came of some sheets with one mistake.
#[derive(Debug, Default, Clone, Copy, PartialEq)]
struct Counts {
    /// Sheets in which the mistake could be made.
    sheets: u64,
    /// Told by its name, and every reading that is left restored.
    right: u64,
    /// Something was told that is no outlier, and it was something else, or it restored other numbers.
    wrong: u64,
}

/// Every reading is what it was, or that of another rod's end on the same line, which is seen at the same place: where such a
/// one was left out, or stands there twice, the numbers do not say which of them it was.
fn is_restored(bench: &Bench, sound: &Bench) -> bool {
    bench.readings.iter().all(|reading| {
        sound.readings.iter().any(|was| {
            let close = |(a, b): (&f64, &f64)| (a - b).abs() <= 1e-9 * b.abs().max(1.0);
            was.of.line == reading.of.line
                && (was.of == reading.of || was.of.quantity == Quantity::SeenEnd)
                && reading.value.iter().zip(&was.value).all(close)
        })
    })
}

/// What is tried on a quantity.
fn mistakes_of(quantity: Quantity) -> Vec<Mistake> {
    const PLACES: [Mistake; 8] = [
        Mistake::Swapped,
        Mistake::MirroredX,
        Mistake::MirroredY,
        Mistake::Exchanged,
        Mistake::SignSlip,
        Mistake::Copied,
        Mistake::LeftOut,
        Mistake::Doubled,
    ];
    match quantity {
        Quantity::Hole(_) | Quantity::ScannedHole(_) => [
            &PLACES[..],
            &[25.4, 10.0].map(Mistake::Factor),
            &[25.4, 10.0].map(Mistake::OneFactor),
        ]
        .concat(),
        Quantity::PicturedHole(_) | Quantity::SeenEnd => PLACES.to_vec(),
        Quantity::EndFrom(_) => vec![
            Mistake::Factor(25.4),
            Mistake::OneFactor(10.0),
            Mistake::Exchanged,
            Mistake::LeftOut,
            Mistake::Doubled,
        ],
        Quantity::Distance(_) => vec![Mistake::Factor(25.4), Mistake::OneFactor(10.0)],
        Quantity::Tension => [4.448_221_615_260_5, 9.806_65, 9.806_65e-3]
            .map(Mistake::Factor)
            .to_vec(),
        _ => [2.0, 0.5].map(Mistake::Factor).to_vec(),
    }
}

/// Quantities whose rows are made wrong, each by itself, in one sheet: groups are judged each by itself.
fn quantities() -> Vec<Quantity> {
    let mut all = PLACES.to_vec();
    all.extend(Plate::BOTH.map(Quantity::EndFrom));
    all.extend([
        Quantity::Distance(Stretch::PeepholeToFront),
        Quantity::Distance(Stretch::FrontToRear),
        Quantity::Tension,
        Quantity::Tone,
    ]);
    all
}

/// One sheet with the `turn`-th mistake of each quantity, and what came of it.
fn try_sheet(plan: &Plan, seed: u64, turn: usize) -> Vec<(Quantity, Mistake, Counts)> {
    let all = sheet(plan, 10_000 + seed, seed.is_multiple_of(2), seed % 4 == 1);
    let mut chance = Chance::of(20_000 + 1000 * seed + turn as u64);
    let mut made = Vec::new();
    let mut wrong = Bench {
        readings: Vec::new(),
        ..all.clone()
    };
    for quantity in quantities() {
        let sound = only(&all, &[quantity]);
        let mistakes = mistakes_of(quantity);
        // a wrong unit of all tensions and tones an octave off would agree that the lines are slack: never in one sheet
        let first = match quantity {
            Quantity::Tone => mistakes_of(Quantity::Tension).len(),
            _ => 0,
        };
        let mistake = turn.checked_sub(first).and_then(|nth| mistakes.get(nth));
        let Some(mistake) = mistake.copied() else {
            // what is not made wrong stands beside it as it was read
            wrong.readings.extend(sound.readings);
            continue;
        };
        if let Some(one) = (0..20).find_map(|_| mistake.make(&sound, &mut chance)) {
            wrong.readings.extend(one.readings);
            made.push((quantity, mistake, sound));
        }
    }
    let found = blunders(plan, &wrong);
    let mut put_right = wrong.clone();
    for blunder in &found {
        let words = blunder.words(plan, &wrong);
        assert!(words.contains("sheet.csv:"), "{words}");
        blunder.put_right(plan, &mut put_right);
    }
    let quantity_of = |blunder: &Blunder| {
        let place = &blunder.rows()[0].place;
        let reading = wrong.readings.iter().find(|one| one.place == *place);
        reading.map(|reading| reading.of.quantity)
    };
    made.into_iter()
        .map(|(quantity, mistake, sound)| {
            let named: Vec<&Blunder> = found
                .iter()
                .filter(|one| !matches!(one, Blunder::Outlier { .. }))
                .filter(|one| quantity_of(one) == Some(quantity))
                .collect();
            let restored = is_restored(&only(&put_right, &[quantity]), &sound);
            let right = matches!(named[..], [one] if mistake.is_told(one)) && restored;
            if std::env::var("SHOW").is_ok() && !right {
                for one in &named {
                    println!("   {seed} {mistake:?} {}", one.words(plan, &wrong));
                }
            }
            let counts = Counts {
                sheets: 1,
                right: u64::from(right),
                wrong: u64::from(!right && !named.is_empty()),
            };
            (quantity, mistake, counts)
        })
        .collect()
}

fn each_mistake_is_told_by_its_name(name: &str) {
    let plan = plan_of(name);
    let mut total = Counts::default();
    for turn in 0..12 {
        let all: Vec<(Quantity, Mistake, Counts)> = (0..MISTAKEN)
            .into_par_iter()
            .flat_map_iter(|seed| try_sheet(&plan, seed, turn))
            .collect();
        for quantity in quantities() {
            let mut counts = Counts::default();
            let mut which = None;
            for (_, mistake, one) in all.iter().filter(|(of, _, _)| *of == quantity) {
                which = Some(*mistake);
                counts.sheets += one.sheets;
                counts.right += one.right;
                counts.wrong += one.wrong;
            }
            if let Some(mistake) = which {
                println!(
                    "{name}: {}: {mistake:?}: {} right, {} wrong of {}",
                    quantity.name(),
                    counts.right,
                    counts.wrong,
                    counts.sheets
                );
                assert!(
                    counts.right >= mistake.fewest_right(quantity, &plan),
                    "{name}: {}: {mistake:?}: {counts:?}",
                    quantity.name()
                );
                total.sheets += counts.sheets;
                total.wrong += counts.wrong;
            }
        }
    }
    // told by a wrong name, or restored wrongly: 10 of 18 200 in all when this was written
    assert!(200 * total.wrong <= total.sheets, "{name}: {total:?}");
}

#[test]
fn mistakes_in_a_sheet_of_the_kite_are_told() {
    each_mistake_is_told_by_its_name("carton-kite");
}

#[test]
fn mistakes_in_a_sheet_of_the_boat_are_told() {
    each_mistake_is_told_by_its_name("desk-boat");
}

#[test]
fn mistakes_in_a_sheet_of_the_bridge_are_told() {
    each_mistake_is_told_by_its_name("gallery-bridge");
}

#[test]
fn mistakes_in_a_sheet_of_the_windmill_are_told() {
    each_mistake_is_told_by_its_name("slack-windmill");
}

#[test]
fn readings_written_down_for_the_other_plate_are_told() {
    for name in SHIPPED {
        let plan = plan_of(name);
        let pairs = [Quantity::Hole, Quantity::EndFrom];
        let right = (0..MISTAKEN)
            .into_par_iter()
            .map(|seed| {
                let sound = sheet(&plan, 30_000 + seed, seed % 2 == 0, false);
                let mut wrong = sound.clone();
                for reading in &mut wrong.readings {
                    for quantity in pairs {
                        for plate in Plate::BOTH {
                            if reading.of.quantity == quantity(plate) {
                                reading.of.quantity = quantity(plate.other());
                                break;
                            }
                        }
                    }
                }
                // the sheet's order is that of its rows
                let found = blunders(&plan, &wrong);
                let of_the_other = found
                    .iter()
                    .filter(|one| matches!(one, Blunder::OtherPlate { .. }))
                    .count();
                let mut put_right = wrong.clone();
                for blunder in &found {
                    blunder.put_right(&plan, &mut put_right);
                }
                let restored = put_right.readings == sound.readings;
                u64::from(of_the_other == 4 && found.len() == 4 && restored)
            })
            .sum::<u64>();
        println!("{name}: {right} of {MISTAKEN}");
        // 50 of 50 in each scenario when this was written; one or two more may fall through with other errors of reading
        assert!(right >= MISTAKEN - 2, "{name}: {right}");
    }
}
