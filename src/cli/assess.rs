//! `assess`: builds × looks, and the report.

use super::about::{about, shell_word};
use super::arguments::AssessOptions;
use super::files::{ReportFolder, open_scenario};
use super::terminal::{interrupt_flag, progress_bar, tell};
use super::{Exit, Stop, print, print_json};
use crate::decision::{Assessment, Met, assess as run_assessment};
use crate::report::{
    About, drawing, junctions_csv, page_html, results_json, rods_csv, summary_text,
};
use crate::trial::{RunHooks, thread_pool};
use std::path::PathBuf;

pub(super) fn assess(options: &AssessOptions) -> Result<Exit, Stop> {
    let mut scenario = open_scenario(&options.scenario)?;
    let run = &mut scenario.run;
    run.seed = options.run.seed.unwrap_or(run.seed);
    run.looks = options.run.looks.unwrap_or(run.looks);
    run.builds = options.run.builds.unwrap_or(run.builds);
    let again = command(options, &scenario.run);
    let about = about(&options.scenario, again, &scenario);
    let out = options
        .out
        .clone()
        .unwrap_or_else(|| PathBuf::from("reports").join(&about.name));
    let folder = ReportFolder::prepare(&out, options.overwrite, is_report_file)?;
    for warning in &about.warnings {
        tell(&format!("warning: {warning}"));
    }
    let interrupted = interrupt_flag();
    let bar = progress_bar(scenario.run.builds);
    let hooks = RunHooks {
        interrupted: &interrupted,
        progress: &|done, _| bar.set_position(done),
    };
    let pool = thread_pool(options.threads.map_or(0, usize::from)).map_err(Stop::Refused)?;
    let done = pool.install(|| {
        let assessment =
            run_assessment(scenario.plan, scenario.run, &hooks).map_err(|_| Stop::Interrupted)?;
        let files = report_files(&assessment, &about)?;
        Ok::<_, Stop>((assessment, files))
    });
    bar.finish_and_clear();
    let (assessment, files) = done?;
    if hooks.is_interrupted() {
        return Err(Stop::Interrupted);
    }
    let place = folder.path().to_owned();
    folder.finish(&files)?;
    if options.json {
        print_json(&results_json(&assessment, &about))?;
    } else {
        print(summary_text(&assessment, &about).as_bytes())?;
    }
    tell(&format!("report: {}", place.join("report.html").display()));
    Ok(if options.gate && assessment.met != Met::Yes {
        Exit::TargetNotMet
    } else {
        Exit::Done
    })
}

/// The command that makes the same report again: what does not change it (threads, places, formats) is left out.
fn command(options: &AssessOptions, run: &crate::decision::RunPlan) -> String {
    format!(
        "sightdrift assess {} --seed {} --builds {} --looks {}",
        shell_word(&options.scenario),
        run.seed,
        run.builds,
        run.looks
    )
}

/// Whether a name is one of a report's files.
fn is_report_file(name: &str) -> bool {
    let drawing = name.rsplit_once('.').is_some_and(|(stem, kind)| {
        matches!(kind, "svg" | "png") && drawing::NAMES.contains(&stem)
    });
    drawing
        || matches!(
            name,
            "report.html" | "results.json" | "rods.csv" | "junctions.csv"
        )
}

fn report_files(assessment: &Assessment, about: &About) -> Result<Vec<(String, Vec<u8>)>, Stop> {
    let drawings = drawing::drawings(assessment)?;
    let mut json = serde_json::to_vec_pretty(&results_json(assessment, about))?;
    json.push(b'\n');
    let mut files = vec![
        (
            "report.html".to_owned(),
            page_html(assessment, about, &drawings).into_bytes(),
        ),
        ("results.json".to_owned(), json),
        ("rods.csv".to_owned(), rods_csv(assessment)?),
        ("junctions.csv".to_owned(), junctions_csv(assessment)?),
    ];
    for drawing in drawings {
        files.push((format!("{}.svg", drawing.name), drawing.svg.into_bytes()));
        files.push((format!("{}.png", drawing.name), drawing.png));
    }
    Ok(files)
}
