//! How fast the error of an estimate falls with the number of builds, for each layout of a run's numbers.
//!
//!     cargo bench --bench sampling_error                 the table, a minute or two
//!     cargo bench --bench sampling_error -- FOLDER       the chart as well: FOLDER/sampling-error.svg and .png
//!
//! Two integrals with known values, worked out from the numbers that the engine draws for the desk boat's holes, stand
//! beside two results of whole runs of that boat, whose values are taken from a much longer run. All estimates are those of
//! runs: sixteen repetitions, block by block in turn. A run's estimates at all numbers of builds are its own beginnings; what
//! is shown is the root mean square over many seeds, with standard errors by leaving out one seed at a time.

use sightdrift::decision::{Counted, RunPlan, run_on};
use sightdrift::figure::{Plan, Plate, Source};
use sightdrift::report::drawing::{ErrorLine, ErrorPanel, ErrorPoint, error_against_builds};
use sightdrift::sampling::{BLOCK_BUILDS, Row, Sampling, SourceRows, normal_quantile_wichura_1988};
use sightdrift::scenario::read_scenario;
use sightdrift::statistics::{RepeatedMean, jackknife_tukey_1958};
use sightdrift::trial::RunHooks;
use std::path::PathBuf;
use std::process::ExitCode;
use std::sync::atomic::AtomicBool;

/// Independent runs behind each error.
const SEEDS: u64 = 64;
/// Builds are 2^this, from 2⁶ in each repetition on.
const SIZES: [u32; 7] = [10, 11, 12, 13, 14, 15, 16];
/// Runs of 2^this builds with Sobol' points give the value of what has no closed form.
const REFERENCE_RUNS: u64 = 8;
const REFERENCE_SIZE: u32 = 18;
/// The rod whose drift is estimated.
const ROD: &str = "mast";

fn main() -> ExitCode {
    match measure() {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) => {
            eprintln!("{why}");
            ExitCode::FAILURE
        }
    }
}

fn measure() -> Result<(), String> {
    let folder: Option<PathBuf> = std::env::args()
        .skip(1)
        // what `cargo bench` itself hands on
        .find(|argument| argument != "--bench")
        .map(PathBuf::from);
    let text = include_str!("../scenarios/desk-boat.toml");
    let no_files = |_: &str| Err("no file is named".to_owned());
    let scenario = read_scenario("desk-boat.toml", text, &no_files)
        .map_err(|problems| format!("{problems:?}"))?;
    let boat = Boat::new(scenario.plan, scenario.run)?;
    let mut results = known_integrals(&boat);
    results.extend(boat.results()?);
    println!("| estimate | layout | {} | slope |", sizes_in_words());
    println!("| --- | --- |{} --- |", " --- |".repeat(SIZES.len()));
    let panels: Vec<ErrorPanel> = results.iter().map(Estimate::panel).collect();
    for panel in &panels {
        for line in &panel.lines {
            let errors: Vec<String> = line
                .points
                .iter()
                .map(|point| format!("{:.2e} ± {:.0e}", point.error, point.standard_error))
                .collect();
            let [slope, error] = line.slope;
            println!(
                "| {} | {} | {} | {slope:.2} ± {error:.2} |",
                panel.title,
                line.name,
                errors.join(" | ")
            );
        }
    }
    for result in &results {
        println!("\n{}: {}", result.title, result.value_words);
    }
    let Some(folder) = folder else {
        return Ok(());
    };
    let caption = format!(
        "Root mean square over {SEEDS} seeds, bars: one standard error. At the lines\u{2019} ends: the layout and its fitted slope with \
         its standard error."
    );
    let title = "Error against the number of builds, for three layouts of the random numbers";
    let drawing = error_against_builds(title, &caption, &panels).map_err(|why| why.to_string())?;
    std::fs::create_dir_all(&folder).map_err(|error| error.to_string())?;
    for (ending, bytes) in [("svg", drawing.svg.as_bytes()), ("png", &drawing.png[..])] {
        let path = folder.join(format!("{}.{ending}", drawing.name));
        std::fs::write(&path, bytes).map_err(|error| format!("{}: {error}", path.display()))?;
    }
    Ok(())
}

fn sizes_in_words() -> String {
    SIZES
        .map(|bits| format!("{} builds", 1 << bits))
        .join(" | ")
}

/// Estimates of one quantity.
struct Estimate {
    title: String,
    value: f64,
    /// Where the value comes from.
    value_words: String,
    /// By layout, seed and size.
    estimates: [Vec<[f64; SIZES.len()]>; 3],
}

impl Estimate {
    fn panel(&self) -> ErrorPanel {
        ErrorPanel {
            title: self.title.clone(),
            lines: [0, 1, 2].map(|layout| self.line(layout)).to_vec(),
        }
    }

    fn line(&self, layout: usize) -> ErrorLine {
        let errors: Vec<[f64; SIZES.len()]> = self.estimates[layout]
            .iter()
            .map(|run| run.map(|estimate| estimate / self.value - 1.0))
            .collect();
        let root_mean_square = |size: usize, left_out: Option<usize>| {
            let kept = errors
                .iter()
                .enumerate()
                .filter(|(seed, _)| Some(*seed) != left_out);
            let (count, sum) = kept.fold((0.0, 0.0), |(count, sum), (_, run)| {
                (count + 1.0, sum + run[size] * run[size])
            });
            (sum / count).sqrt()
        };
        let points = (0..SIZES.len())
            .filter_map(|size| {
                let (error, standard_error) =
                    jackknife_tukey_1958(errors.len(), |out| Some(root_mean_square(size, out)))?;
                Some(ErrorPoint {
                    builds: f64::from(1 << SIZES[size]),
                    error,
                    standard_error,
                })
            })
            .collect();
        let slope = jackknife_tukey_1958(errors.len(), |out| {
            Some(slope_of(|size| root_mean_square(size, out)))
        });
        ErrorLine {
            name: ["plain", "Latin hypercube", "Sobol\u{2019}"][layout].to_owned(),
            points,
            slope: slope.map_or([f64::NAN; 2], |(slope, error)| [slope, error]),
        }
    }
}

/// Slope of log error over log builds, least squares.
fn slope_of(error: impl Fn(usize) -> f64) -> f64 {
    let middle = SIZES.iter().sum::<u32>() as f64 / SIZES.len() as f64;
    let (mut products, mut squares) = (0.0, 0.0);
    for (size, bits) in SIZES.iter().enumerate() {
        let off = f64::from(*bits) - middle;
        products += off * error(size).log2();
        squares += off * off;
    }
    products / squares
}

/// The integrals of `tests/sampling_error.rs` that are most unlike each other.
fn known_integrals(boat: &Boat) -> Vec<Estimate> {
    let estimates = Sampling::ALL.map(|sampling| {
        (1..=SEEDS)
            .map(|seed| integrals_of_run(boat, sampling, seed))
            .collect::<Vec<_>>()
    });
    let of = |which: usize| {
        [0, 1, 2].map(|layout: usize| {
            estimates[layout]
                .iter()
                .map(|run| run.map(|both: [f64; 2]| both[which]))
                .collect()
        })
    };
    vec![
        Estimate {
            title: "Known: smooth product of 20 numbers".to_owned(),
            value: 1.0,
            value_words: "1, in closed form (I. M. Sobol' & D. I. Asotsky, Math. Comput. Simul. 62 (2003) 255, with weights \
                          1/i²)"
                .to_owned(),
            estimates: of(0),
        },
        Estimate {
            title: "Known: yes or no, half-space of 20 normal numbers".to_owned(),
            // Φ(1), Abramowitz & Stegun table 26.1
            value: 0.841_344_746_068_542_9,
            value_words: "Φ(1) = 0.841 344 746, Abramowitz & Stegun table 26.1".to_owned(),
            estimates: of(1),
        },
    ]
}

/// Estimates of both integrals at all numbers of builds.
fn integrals_of_run(boat: &Boat, sampling: Sampling, seed: u64) -> [[f64; 2]; SIZES.len()] {
    const NUMBERS: usize = 20;
    let sampler = sightdrift::trial::Sampler::new(&boat.plan, sampling, seed, 1);
    let mut rows = vec![Row::of(0.5); NUMBERS];
    let mut sums = [0.0; 2];
    let mut builds = 0_u64;
    SIZES.map(|bits| {
        while builds < 1 << bits {
            let block = builds / BLOCK_BUILDS as u64;
            let source = Source::HoleScatter(Plate::Front);
            let drawn = SourceRows {
                rows: &mut rows,
                components: 2,
                uniforms: 2,
            };
            sampler.fill(source, 0, block, drawn);
            for build in 0..BLOCK_BUILDS {
                let (mut product, mut sum) = (1.0, 0.0);
                for (i, row) in (1..).zip(&rows) {
                    let u = row.0[build];
                    product *= 1.0 + (u - 0.5) / f64::from(i * i);
                    sum += normal_quantile_wichura_1988(u);
                }
                sums[0] += product;
                sums[1] += f64::from(sum <= (NUMBERS as f64).sqrt());
            }
            builds += BLOCK_BUILDS as u64;
        }
        sums.map(|sum| sum / builds as f64)
    })
}

/// A shipped scenario.
struct Boat {
    plan: Plan,
    run: RunPlan,
    rod: usize,
}

impl Boat {
    fn new(plan: Plan, run: RunPlan) -> Result<Self, String> {
        if plan.design.vertices.len() != 10 {
            return Err("the desk boat no longer has ten lines".to_owned());
        }
        let mut rods = plan.design.rods.iter();
        let rod = rods
            .position(|rod| rod.name == ROD)
            .ok_or_else(|| format!("the desk boat has no rod {ROD}"))?;
        Ok(Self { plan, run, rod })
    }

    /// Mean square drift of an end of the rod, rad², and the yield, after each number of builds in `sizes`.
    fn estimates(
        &self,
        sampling: Sampling,
        seed: u64,
        sizes: &[u32],
    ) -> Result<Vec<[f64; 2]>, String> {
        let most = sizes.iter().max().map_or(0, |bits| 1 << bits);
        let run = RunPlan {
            seed,
            builds: most,
            half_width: None,
            sampling,
            ..self.run
        };
        let never = AtomicBool::new(false);
        let hooks = RunHooks {
            interrupted: &never,
            progress: &|_, _| {},
        };
        let mut found = Vec::new();
        let mut counted = Counted::new(&self.plan, 0);
        run_on(&self.plan, &run, &mut counted, &hooks, &mut |counted| {
            if sizes.iter().any(|bits| counted.next_build == 1 << bits) {
                let tally = &counted.tally;
                let squares = tally.rods[self.rod].off_rad[1].mean_square();
                let share = tally.passed as f64 / tally.builds as f64;
                found.push(squares.map(|squares| [squares, share]));
            }
        });
        let found: Option<Vec<[f64; 2]>> = found.into_iter().collect();
        found
            .filter(|found| found.len() == sizes.len())
            .ok_or_else(|| "a run ended without an estimate".to_owned())
    }

    fn results(&self) -> Result<[Estimate; 2], String> {
        // seeds that no measured run has
        let long = (0..REFERENCE_RUNS)
            .map(|nth| self.estimates(Sampling::Sobol, 1_000_000 + nth, &[REFERENCE_SIZE]))
            .collect::<Result<Vec<_>, String>>()?;
        let reference = [0, 1].map(|which| {
            let values: Vec<f64> = long.iter().map(|run| run[0][which]).collect();
            RepeatedMean::of(&values)
        });
        let [Some(squares), Some(share)] = reference else {
            return Err("no reference".to_owned());
        };
        let mut estimates: [[Vec<[f64; SIZES.len()]>; 3]; 2] = Default::default();
        for (layout, sampling) in Sampling::ALL.into_iter().enumerate() {
            for seed in 1..=SEEDS {
                let run = self.estimates(sampling, seed, &SIZES)?;
                for (which, estimates) in estimates.iter_mut().enumerate() {
                    estimates[layout].push(std::array::from_fn(|size| run[size][which]));
                }
            }
        }
        let [of_squares, of_share] = estimates;
        let longer =
            format!("{REFERENCE_RUNS} runs of 2^{REFERENCE_SIZE} builds with Sobol' points");
        Ok([
            Estimate {
                title: format!("Desk boat: mean square drift of the {ROD}\u{2019}s end"),
                value: squares.mean,
                value_words: format!(
                    "{:.6e} rad², relative standard error {:.1e}, from {longer}",
                    squares.mean,
                    squares.standard_error / squares.mean
                ),
                estimates: of_squares,
            },
            Estimate {
                title: "Desk boat: yield, a yes or no for each build".to_owned(),
                value: share.mean,
                value_words: format!(
                    "{:.6}, standard error {:.1e}, from {longer}",
                    share.mean, share.standard_error
                ),
                estimates: of_share,
            },
        ])
    }
}
