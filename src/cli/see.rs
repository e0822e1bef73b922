//! `see`: one build and one look in full digits.

use super::arguments::SeeOptions;
use super::files::{
    open_scenario, picture_bytes, read_text, refuse_what_is_there, shown, write_file,
};
use super::see_sheet::filled_sheet;
use super::terminal::tell;
use super::{Exit, Stop, print, print_json};
use crate::decision::seen_rods;
use crate::figure::Plan;
use crate::report::{drawing, sight_json, sight_text};
use crate::scenario::{ExplicitTrial, read_explicit};
use crate::trial::{Built, NotComputable, Sampler, Sight, fill_build, fill_look};
use std::path::Path;

pub(super) fn see(options: &SeeOptions) -> Result<Exit, Stop> {
    let scenario = open_scenario(&options.scenario)?;
    let plan = &scenario.plan;
    let trial = match (&options.with, options.trial) {
        (Some(file), _) => read_explicit(&file.display().to_string(), &read_text(file)?, plan)?,
        (None, Some(build)) => {
            let seed = options.seed.unwrap_or(scenario.run.seed);
            let sampling = options.sampling.unwrap_or(scenario.run.sampling);
            let sampler = Sampler::new(plan, sampling, seed, options.look + 1);
            ExplicitTrial {
                build: fill_build(plan, &sampler, build),
                look: fill_look(plan, &sampler, build, options.look),
                sag: plan.design.gravity.strength_m_per_s2 > 0.0,
                sag_is_said: true,
                set_items: None,
                plan: plan.clone(),
            }
        }
        (None, None) => ExplicitTrial::without_errors(plan),
    };
    let trial = match &options.sheet {
        Some(_) => hung(trial, plan),
        None => trial,
    };
    for path in options.sheet.iter().chain(&options.picture) {
        refuse_what_is_there(path, options.overwrite)?;
    }
    let sight = Sight::of(&trial.plan, &trial.build, &trial.look)
        .map_err(|reason| Stop::Refused(not_computable(&trial, reason)))?;
    if options.json {
        print_json(&sight_json(&trial.plan, &sight, trial.sag))?;
    } else {
        print(sight_text(&trial.plan, &sight, trial.sag).as_bytes())?;
    }
    if let Some(sheet) = &options.sheet {
        let text = filled_sheet(&scenario, &trial, options, &what_is_seen(options))?;
        write_file(sheet, text.as_bytes(), options.overwrite)?;
        tell(&format!("sheet: {}", sheet.display()));
    }
    if let Some(picture) = &options.picture {
        let title = title_of(&scenario.title, options, &sight);
        draw(picture, options.overwrite, &trial, &sight, &title)?;
    }
    Ok(Exit::Done)
}

/// What is measured hangs: a sheet of lines without their load would be told as lines too tight.
fn hung(trial: ExplicitTrial, plan: &Plan) -> ExplicitTrial {
    let is_said = trial.sag_is_said;
    let hung = trial.hung_as(plan);
    if hung.sag && !is_said {
        tell(
            "for the sheet the weights hang and the rods are tied as the scenario says\n  hint: say `sag = false` in the explicit file to leave them off",
        );
    } else if !hung.sag && plan.design.gravity.strength_m_per_s2 > 0.0 {
        tell(
            "no weights hang, as the explicit file says; held against the scenario the sheet shows lines that do not sag",
        );
    }
    hung
}

/// Why a trial cannot be computed, with the line that sags too far where that is it.
fn not_computable(trial: &ExplicitTrial, reason: NotComputable) -> String {
    let mut built = Built::new(&trial.plan);
    let which = match built.set(&trial.plan, &trial.build) {
        Err(NotComputable::SagOutOfRange) => {
            built.largest_sag_share(&trial.plan).map(|(line, share)| {
                format!(
                    ": worst is line {}, by 1/{:.1} under {} N",
                    trial.plan.design.vertices[line].name,
                    1.0 / share,
                    built.tensions_n[line]
                )
            })
        }
        _ => None,
    };
    format!(
        "this trial cannot be computed: {reason}{}",
        which.unwrap_or_default()
    )
}

/// What the trial is.
fn what_is_seen(options: &SeeOptions) -> String {
    match (&options.with, options.trial) {
        (Some(file), _) => format!("with {}", shown(file)),
        (None, Some(build)) => format!("build {build}, look {}", options.look),
        (None, None) => "without any error".to_owned(),
    }
}

/// What the trial is and what comes of it, for the picture's title.
fn title_of(title: &str, options: &SeeOptions, sight: &Sight) -> String {
    let what = what_is_seen(options);
    format!("{title}, {what}: {}", sight.outcome.word())
}

fn draw(
    picture: &Path,
    overwrite: bool,
    trial: &ExplicitTrial,
    sight: &Sight,
    title: &str,
) -> Result<(), Stop> {
    let seen = seen_rods(&trial.plan, sight).ok_or_else(|| {
        Stop::Refused("there is no picture: a rod end is not seen at all".to_owned())
    })?;
    let drawing = drawing::sight_drawing(&trial.plan, &seen, title)?;
    let bytes = picture_bytes(picture, drawing)?;
    write_file(picture, &bytes, overwrite)?;
    tell(&format!("picture: {}", picture.display()));
    Ok(())
}
