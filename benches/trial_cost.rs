//! What a trial costs, beside its floor and beside vectorised numpy, and what the whole program needs.
//!
//!     cargo bench --bench trial_cost                        everything, a few minutes
//!     cargo bench --bench trial_cost -- --out FILE          the same table into a file as well
//!     cargo bench --bench trial_cost -- --long              memory of 10^9 trials too (hours)
//!     cargo bench --bench trial_cost -- --agreement         only whether numpy and the engine agree
//!     cargo bench --bench trial_cost -- --designs FOLDER    only writes the boat there as JSON, for the numpy model
//!
//! All ratios are taken within one run. A missed target is told in the table and is no failure; numbers of numpy that
//! differ from the engine's are one.

mod measure;

use measure::cost::{Cost, SecondThread};
use measure::export::json_of;
use measure::numpy::{NumpyCost, NumpyModel};
use measure::process::{MEMORY_CHILD, assess_s, check_s, memory_child, peak_memory_mb};
use measure::scenarios::Case;
use measure::table::{Table, cores};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Sizes with the boat's share of rods, 1.1 a line: (lines, rods).
const SIZES: [(usize, usize); 3] = [(10, 11), (40, 44), (160, 176)];
/// More rods on the middle size's lines: as many again, twice.
const MORE_RODS: [usize; 2] = [88, 132];

struct Options {
    out: Option<PathBuf>,
    long: bool,
    only_agreement: bool,
    designs: Option<PathBuf>,
    memory_child: Option<u64>,
}

fn main() -> ExitCode {
    match options().and_then(|options| measure_all(&options)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) => {
            eprintln!("{why}");
            ExitCode::FAILURE
        }
    }
}

fn options() -> Result<Options, String> {
    let mut options = Options {
        out: None,
        long: false,
        only_agreement: false,
        designs: None,
        memory_child: None,
    };
    let mut arguments = std::env::args().skip(1);
    while let Some(argument) = arguments.next() {
        let mut value = || {
            arguments
                .next()
                .ok_or_else(|| format!("{argument} needs a value"))
        };
        match argument.as_str() {
            // what `cargo bench` itself hands on
            "--bench" => {}
            "--out" => options.out = Some(value()?.into()),
            "--long" => options.long = true,
            "--agreement" => options.only_agreement = true,
            "--designs" => options.designs = Some(value()?.into()),
            MEMORY_CHILD => {
                let trials = value()?;
                options.memory_child = Some(
                    trials
                        .parse()
                        .map_err(|_| format!("{trials} is no count"))?,
                );
            }
            unknown => {
                return Err(format!(
                    "unknown option {unknown}, known here: --out FILE, --long, --agreement, --designs FOLDER"
                ));
            }
        }
    }
    Ok(options)
}

fn measure_all(options: &Options) -> Result<(), String> {
    if let Some(trials) = options.memory_child {
        return memory_child(trials);
    }
    if let Some(folder) = &options.designs {
        return write_design(&Case::desk_boat()?, folder);
    }
    let folder = std::env::temp_dir().join(format!("sightdrift-trial-cost-{}", std::process::id()));
    std::fs::create_dir_all(&folder).map_err(|error| error.to_string())?;
    let result = tables(options, &folder);
    // what is left behind in the system's folder for such things harms nobody
    let _ = std::fs::remove_dir_all(&folder);
    let table = result?.markdown();
    println!("{table}");
    match &options.out {
        Some(path) => std::fs::write(path, table).map_err(|error| error.to_string()),
        None => Ok(()),
    }
}

fn write_design(case: &Case, folder: &Path) -> Result<(), String> {
    std::fs::create_dir_all(folder).map_err(|error| error.to_string())?;
    let text = json_of(case)?.to_string();
    let path = folder.join(format!("{}.json", case.name));
    std::fs::write(path, text).map_err(|error| error.to_string())
}

fn tables(options: &Options, folder: &Path) -> Result<Table, String> {
    let mut table = Table::default();
    let mut cases = vec![Case::desk_boat()?];
    for (lines, rods) in SIZES {
        cases.push(Case::polygons(lines, rods)?);
    }
    let numpy = match NumpyModel::new(&cases, folder) {
        Ok(numpy) => Some(numpy),
        Err(Ok(missing)) if options.only_agreement => return Err(missing),
        Err(Ok(missing)) => {
            table.tell("comparison with numpy", missing);
            None
        }
        Err(Err(why)) => return Err(why),
    };
    if let Some(numpy) = &numpy {
        for words in numpy.agreement()? {
            table.judge("numpy and engine, same trials", words, "≤ 1e-9", true);
        }
    }
    if options.only_agreement {
        return Ok(table);
    }
    let costs = cases.iter().map(Cost::of).collect::<Result<Vec<_>, _>>()?;
    for (case, cost) in cases.iter().zip(&costs) {
        tell_cost(&mut table, case, cost);
    }
    if let Some(numpy) = &numpy {
        for ((case, cost), numpy) in cases.iter().zip(&costs).zip(numpy.costs()?) {
            tell_numpy(&mut table, case, cost, &numpy);
        }
    }
    tell_growth(&mut table, &cases[1..], &costs[1..])?;
    tell_threads(&mut table, &cases[0])?;
    tell_memory(&mut table, options.long)?;
    tell_program(&mut table, folder)?;
    Ok(table)
}

fn tell_cost(table: &mut Table, case: &Case, cost: &Cost) {
    let name = &case.name;
    let Cost {
        full_ns,
        extra_ns,
        full_floor_ns,
        extra_floor_ns,
        full_uniform_ns,
        build_numbers: build,
        look_numbers: look,
    } = *cost;
    table.tell(
        format!(
            "{name} ({}): full trial (a new build, one look)",
            case.size()
        ),
        format!("{full_ns:.0} ns"),
    );
    let total = (build.total() + look.total()) as f64;
    table.judge(
        format!("{name}: full trial over its floor"),
        format!(
            "{:.2} × (floor {full_floor_ns:.0} ns: {} normal, {} uniform numbers at {:.2} ns each)",
            full_ns / full_floor_ns,
            build.normal + look.normal,
            build.uniform + look.uniform,
            full_floor_ns / total,
        ),
        "≤ 2 ×",
        full_ns <= 2.0 * full_floor_ns,
    );
    table.tell(
        format!("{name}: full trial over the stricter floor, all numbers uniform"),
        format!(
            "{:.2} × ({full_uniform_ns:.0} ns, {:.2} ns each)",
            full_ns / full_uniform_ns,
            full_uniform_ns / total
        ),
    );
    table.judge(
        format!("{name}: one more look at the same build"),
        format!(
            "{extra_ns:.0} ns, {:.2} of a full trial ({:.1} × its floor of {extra_floor_ns:.0} ns: {} normal, {} uniform numbers)",
            extra_ns / full_ns,
            extra_ns / extra_floor_ns,
            look.normal,
            look.uniform,
        ),
        "≤ 1/3 of a full trial",
        3.0 * extra_ns <= full_ns,
    );
}

fn tell_numpy(table: &mut Table, case: &Case, cost: &Cost, numpy: &NumpyCost) {
    let full = numpy.full_ns / cost.full_ns;
    table.judge(
        format!("{}: numpy over model, full trial, one core each", case.name),
        format!("{full:.1} × ({:.0} ns; {})", numpy.full_ns, numpy.made_with),
        "≥ 30 ×",
        full >= 30.0,
    );
    if let Some((ns, builds)) = numpy.at_once {
        table.tell(
            format!(
                "{}: numpy over model, all {builds} builds in one array",
                case.name
            ),
            format!("{:.1} × ({ns:.0} ns)", ns / cost.full_ns),
        );
    }
    let extra = numpy.extra_ns / cost.extra_ns;
    table.judge(
        format!("{}: numpy over model, one more look", case.name),
        format!("{extra:.1} × ({:.0} ns)", numpy.extra_ns),
        "≥ 30 ×",
        extra >= 30.0,
    );
}

/// How much a cost may grow per line or per rod and still be called linear.
const LINEAR_WITHIN: f64 = 1.15;

/// Cost per line over sizes of one shape, and per added rod on as many lines.
fn tell_growth(table: &mut Table, cases: &[Case], costs: &[Cost]) -> Result<(), String> {
    let per_line: Vec<f64> = cases
        .iter()
        .zip(costs)
        .map(|(case, cost)| cost.full_ns / case.lines() as f64)
        .collect();
    let smallest = per_line.iter().copied().fold(f64::INFINITY, f64::min);
    let last = per_line.last().copied().unwrap_or(smallest);
    let listed = |values: &[f64]| {
        let shown: Vec<String> = values.iter().map(|value| format!("{value:.0}")).collect();
        shown.join(", ")
    };
    table.judge(
        "full trial per line at 10, 40, 160 lines",
        format!(
            "{} ns; the largest design's over the smallest figure {:.2}",
            listed(&per_line),
            last / smallest
        ),
        "linear: ≤ 1.15",
        last <= LINEAR_WITHIN * smallest,
    );
    let (lines, rods) = SIZES[1];
    let mut by_rods = vec![costs[1].full_ns];
    for more in MORE_RODS {
        by_rods.push(Cost::of(&Case::polygons(lines, more)?)?.full_ns);
    }
    let straight_ns = 2.0 * by_rods[1] - by_rods[0];
    table.judge(
        format!("full trial on {lines} lines with {rods}, 88 and 132 rods"),
        format!(
            "{} ns; the last over a straight line through the others {:.2} (all ends that meet are compared by pairs)",
            listed(&by_rods),
            by_rods[2] / straight_ns
        ),
        "linear: ≤ 1.15",
        by_rods[2] <= LINEAR_WITHIN * straight_ns,
    );
    Ok(())
}

fn tell_threads(table: &mut Table, case: &Case) -> Result<(), String> {
    let SecondThread { speed, work } = SecondThread::of(case)?;
    table.judge(
        format!("{}: two threads over one, 16 looks a build", case.name),
        format!("{speed:.2} × on {} cores (needs an idle machine); {work:.2} × the time on the processor", cores()),
        "≥ 1.9 ×",
        speed >= 1.9,
    );
    Ok(())
}

fn tell_memory(table: &mut Table, long: bool) -> Result<(), String> {
    let mut counts = vec![10_000_u64, 1_000_000, 10_000_000];
    if long {
        counts.push(1_000_000_000);
    }
    for trials in counts {
        let what = format!("desk-boat: peak memory of a run of {trials:e} full trials");
        match peak_memory_mb(trials)? {
            Some(mb) => table.judge(what, format!("{mb:.1} MB"), "< 200 MB", mb < 200.0),
            None => table.tell(what, "not told by this system"),
        }
    }
    Ok(())
}

fn tell_program(table: &mut Table, folder: &Path) -> Result<(), String> {
    let check_ms = check_s(folder)? * 1e3;
    table.judge(
        "desk-boat: `check` from start to end, median of 20",
        format!("{check_ms:.1} ms"),
        "< 50 ms",
        check_ms < 50.0,
    );
    let assess_s = assess_s(folder)?;
    table.judge(
        "desk-boat: whole `assess`, 100 000 builds × 16 looks with all plots and the page, median of 3",
        format!("{assess_s:.2} s on {} cores", cores()),
        "< 2 s on 2 cores",
        assess_s < 2.0,
    );
    Ok(())
}
