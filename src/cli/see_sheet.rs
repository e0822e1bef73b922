//! `see --sheet`: what would be read at the bench of the trial that `see` looks at.

use super::Stop;
use super::arguments::SeeOptions;
use super::files::shown;
use crate::figure::{Bench, Quantity, Source, all_measurands};
use crate::report::{FilledSheet, bench_sheet_csv, only_where_asked_for};
use crate::scenario::{ExplicitTrial, Scenario};
use crate::trial::{Frames, PICTURE_FILLED, PICTURE_PX, taken};

/// The filled sheet of `trial`; `what` says which trial it is.
pub(super) fn filled_sheet(
    scenario: &Scenario,
    trial: &ExplicitTrial,
    options: &SeeOptions,
    what: &str,
) -> Result<String, Stop> {
    let plan = &trial.plan;
    // the camera stands in the place of the trial's eye and is as wide as its pupil
    let pupil_mm = trial.look[plan.layout.start(Source::Pupil)];
    let mut bench = Bench {
        camera_pupil_mm: Some(pupil_mm),
        ..Bench::default()
    };
    bench.words.note = Some(format!("not measured: worked out by sightdrift see {what}"));
    let values = [&trial.build[..], &trial.look[..]];
    let frames = Frames::plain(plan);
    let all = all_measurands(plan);
    // all are drawn, then some left out: a reading's error is the same on a long and on a short sheet
    let readings = taken(plan, &all, &bench, values, &frames, options.reading_seed);
    bench.readings = readings
        .map_err(|reason| Stop::Refused(format!("there is no sheet of this trial: {reason}")))?;
    bench.readings.retain(|reading| {
        let quantity = reading.of.quantity;
        let is_asked_for = options.all_readings && fits_the_frames(quantity);
        is_asked_for || !only_where_asked_for(quantity)
    });
    let about = about(what, trial, options);
    let filled = FilledSheet {
        bench: &bench,
        about: &about,
    };
    let file = shown(&options.scenario);
    Ok(bench_sheet_csv(plan, &scenario.title, &file, Some(&filled)))
}

/// Of each plate either a scan or a picture: here a picture of the front plate and a scan of the rear one.
fn fits_the_frames(quantity: Quantity) -> bool {
    use crate::figure::Plate::{Front, Rear};
    !matches!(
        quantity,
        Quantity::ScannedHole(Front) | Quantity::PicturedHole(Rear)
    )
}

fn about(what: &str, trial: &ExplicitTrial, options: &SeeOptions) -> Vec<String> {
    let errors = options.reading_seed.map_or_else(
        || "Every reading is exact.".to_owned(),
        |seed| {
            format!(
                "Every reading has a normal error of its plus_minus over 1.96 (reading seed {seed})."
            )
        },
    );
    let weights = if trial.sag {
        "Weights hang and the lines sag."
    } else {
        "No weights hang: drops are 0."
    };
    let [width, height] = PICTURE_PX;
    vec![
        format!(
            "Not measured: what would be read at the bench of the trial {what}. {errors} {weights}"
        ),
        format!(
            "The picture through the peephole is {width} by {height} px with x to the right and y down and upright. The planned figure fills {:.0} % of it around the middle. The camera stands where the trial's eye does.",
            100.0 * PICTURE_FILLED
        ),
    ]
}
