//! What was not read: sources of error of which no reading speaks, and what to read before anything is mended.

use super::Diagnosed;
use super::ranked::SETTLED_SD;
use super::tables::kind_rows;
use crate::figure::{Quantity, Source};

/// Under this share of what a tolerance leaves open nothing read speaks of it (chosen).
const SPOKEN_OF: f64 = 0.05;

/// Whether a quantity was read in which the source shows by itself.
fn is_read_directly(source: Source, told: &Diagnosed<'_>) -> bool {
    let shows = |quantity: Quantity| match source {
        Source::PatternShift(plate)
        | Source::PatternTurn(plate)
        | Source::PrintScale(plate)
        | Source::HoleScatter(plate) => {
            quantity == Quantity::Hole(plate)
                || quantity == Quantity::ScannedHole(plate)
                || quantity == Quantity::PicturedHole(plate)
        }
        Source::SeatDepth(_) | Source::TiltX(_) | Source::TiltY(_) => {
            matches!(quantity, Quantity::Distance(_))
        }
        Source::HoleSlack(plate) => quantity == Quantity::LineInHole(plate),
        Source::HandTension | Source::Slackening => matches!(
            quantity,
            Quantity::Tension | Quantity::Tone | Quantity::Drop
        ),
        Source::RodTie => quantity == Quantity::Tie,
        Source::RodSlip => matches!(quantity, Quantity::EndFrom(_)),
        Source::RodBow => quantity == Quantity::SeenMiddle,
        Source::PeepholeShift | Source::PeepholeDepth => quantity == Quantity::Peephole,
        Source::EyeRelief => quantity == Quantity::EyeRelief,
        Source::EyeOffset => quantity == Quantity::SeenEnd,
        Source::Pupil | Source::Acuity => true,
    };
    let mut readings = told.bench.readings.iter();
    readings.any(|reading| shows(reading.of.quantity))
}

/// What to read before anything is mended: the row that settles most, or what was not read at all, or the likeliest causes again.
pub(super) fn read_more_sentence(told: &Diagnosed<'_>) -> String {
    let settles = told.diagnosis.why.look_alikes.first();
    if let Some(settles) = settles.and_then(|alike| alike.settles.as_ref())
        && settles.apart >= SETTLED_SD
    {
        return format!(
            "Before anything is mended, read {}.",
            settles.of.words(&told.plan.design)
        );
    }
    let rows = kind_rows(told);
    let is_read = |quantity: Quantity| {
        rows.iter()
            .any(|row| row.quantity == quantity && row.read > 0)
    };
    let is_worth = |quantity: Quantity| match quantity {
        Quantity::Hole(plate) => {
            !is_read(Quantity::ScannedHole(plate)) && !is_read(Quantity::PicturedHole(plate))
        }
        Quantity::ScannedHole(_) | Quantity::PicturedHole(_) | Quantity::Drop => false,
        Quantity::Tone => !is_read(Quantity::Tension),
        Quantity::Tension => !is_read(Quantity::Tone),
        Quantity::EndFrom(plate) => !is_read(Quantity::EndFrom(plate.other())),
        _ => true,
    };
    let not: Vec<&str> = rows
        .iter()
        .filter(|row| row.read == 0 && row.of > 0 && is_worth(row.quantity))
        .map(|row| row.quantity.name())
        .collect();
    if not.is_empty() {
        let likeliest: Vec<&str> = told
            .causes()
            .iter()
            .take(3)
            .map(|cause| cause.words.as_str())
            .collect();
        return format!(
            "Before anything is mended, read again, and more finely, what shows the likeliest causes: {}.",
            likeliest.join("; ")
        );
    }
    format!(
        "Before anything is mended, read what was not read yet: {}.",
        not.join(", ")
    )
}

/// Sources of error of which nothing that was read speaks; `None` where there is none.
pub(super) fn unread_sentence(told: &Diagnosed<'_>) -> Option<String> {
    let mut said: Vec<(Source, bool)> = Vec::new();
    for cause in told.causes() {
        let Some(source) = cause.suspect.source() else {
            continue;
        };
        let is_open = cause.tolerance_sd.iter().any(|sd| *sd > 0.0);
        let is_spoken_of = cause.known >= SPOKEN_OF || !is_open || is_read_directly(source, told);
        match said.iter_mut().find(|(one, _)| *one == source) {
            Some((_, spoken)) => *spoken |= is_spoken_of,
            None => said.push((source, is_spoken_of)),
        }
    }
    const LISTED: usize = 5;
    let mut words: Vec<String> = said
        .iter()
        .filter(|(_, is_spoken_of)| !is_spoken_of)
        .map(|(source, _)| source.words())
        .collect();
    words.sort();
    if words.is_empty() {
        return None;
    }
    let what = if words.len() > LISTED {
        format!(
            "{} of {} sources of error, among them {}",
            words.len(),
            said.len(),
            words[..LISTED].join("; ")
        )
    } else {
        words.join("; ")
    };
    Some(format!(
        "Nothing that was read speaks of {what}. There the tolerances stand in: what is worse than they say is not seen here."
    ))
}
