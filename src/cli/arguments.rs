//! The command line.

use super::begin_arguments::BeginOptions;
use crate::decision::Part;
use crate::decision::laying::Aim;
use crate::decision::workshop::Paper;
use crate::sampling::Sampling;
use crate::scenario::{MOST_BUILDS, MOST_LOOKS};
use crate::units::{Kind, read_quantity};
use clap::builder::TypedValueParser;
use clap::{Args, Parser, Subcommand};
use std::path::PathBuf;

/// Will a one-eye viewpoint exhibit hold when it is made by hand?
///
/// sightdrift reads a scenario (figure, cabinet, lines, rods, peephole, and how well each step of the work can be done),
/// disturbs eye, holes, lines and rods many thousand times, and measures in arcminutes how far each rod is seen off its
/// place. It answers which share of builds holds, what breaks them, and what mends them.
#[derive(Debug, Parser)]
#[command(
    version,
    about,
    long_about,
    after_help = "A first run:\n  sightdrift begin my-figure.toml          write a starter scenario\n  sightdrift check my-figure.toml          what was understood, with nominal figures\n  sightdrift assess my-figure.toml         builds and looks, and the report in reports/my-figure/\n\nExit codes: 0 done; 1 done, but what --gate asks is not met (only with --gate, whose help says what it asks); 2 input refused, nothing written;\n130 interrupted, no report written; what assess had done is kept for --resume. Results go to standard output, everything else to standard error.\nNO_COLOR switches colour off."
)]
pub struct Arguments {
    #[command(subcommand)]
    pub(super) command: Command,
}

#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// Run builds × looks of a scenario and write its report
    Assess(AssessOptions),
    /// Put all parts of a run together and write the report of the whole
    Merge(MergeOptions),
    /// Read and check a scenario, run nothing, print what was understood
    Check(CheckOptions),
    /// One build and one look in full digits: from an explicit file, from a seed and a trial number, or without any error
    See(SeeOptions),
    /// Print the sheet to fill in at the bench: all that can be measured of a build, and a picture of what to measure
    Measure(MeasureOptions),
    /// Print what the workshop needs: hole patterns at true size, files for a laser cutter, cut list, places of the rods, steps
    Sheets(SheetsOptions),
    /// In which order one line is led through all holes: fewest crossings, least line, where to pull, step by step
    Thread(ThreadOptions),
    /// What spoiled a build that was measured, what is the least that mends it, and a one-page failure record
    Diagnose(DiagnoseOptions),
    /// How likely a build is to fail where that is too rare for `assess` to meet it (yields beyond 99.9 %)
    Rare(RareOptions),
    /// How big the peephole may be, how small it must not be, and why
    Peephole(PeepholeOptions),
    /// How careful the work must be: which step deserves the care, how far each tolerance may grow, the cheapest ways to the target
    Tolerances(TolerancesOptions),
    /// Where plates and rods go and how large the figure is, within a cabinet and a stock of rods, and what bound each choice
    LayOut(LayOutOptions),
    /// Two scenarios, or one build before and after a repair, side by side, and whether the difference is more than chance
    Compare(CompareOptions),
    /// Write a commented starter scenario
    Begin(BeginOptions),
    /// Print the JSON Schema of scenarios, or of explicit files, by which an editor knows every key
    Schema(SchemaOptions),
    /// Write a manual page of every command into a folder
    Man(ManOptions),
    /// Print a completion script for a shell
    Completions {
        /// The shell
        shell: clap_complete::Shell,
    },
}

/// Options that change what is run.
#[derive(Debug, Args)]
pub(super) struct RunOptions {
    /// Seed of all random numbers, instead of the scenario's
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u64).range(..=i64::MAX as u64))]
    pub seed: Option<u64>,
    /// Most builds, instead of the scenario's
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u64).range(1..=MOST_BUILDS))]
    pub builds: Option<u64>,
    /// Looks at each build, instead of the scenario's
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u64).range(1..=MOST_LOOKS))]
    pub looks: Option<u64>,
    /// How the random numbers are laid out over the builds, instead of the scenario's
    #[arg(long, value_name = "NAME", value_parser = sampling_named())]
    pub sampling: Option<Sampling>,
}

/// The layouts of random numbers by name.
fn sampling_named() -> impl TypedValueParser<Value = Sampling> {
    clap::builder::PossibleValuesParser::new(Sampling::ALL.map(Sampling::name))
        .map(|name| Sampling::named(&name).unwrap_or_default())
}

/// Options of a table of the run's trials.
#[derive(Debug, Args)]
pub(super) struct TrialsOptions {
    /// Write the trials themselves to this file too: one row a look, with its verdict, worst drift and gap, the eye, and every
    /// rod's drift and junction's gap; at most 10 million rows and 4 GB
    #[arg(long, value_name = "FILE.csv")]
    pub trials: Option<PathBuf>,
    /// How many of the run's builds are in that table, from its first on [default: 10000, or all where they are fewer]
    #[arg(long, value_name = "COUNT", requires = "trials", value_parser = clap::value_parser!(u64).range(1..=MOST_BUILDS))]
    pub trials_builds: Option<u64>,
}

#[derive(Debug, Args)]
pub(super) struct AssessOptions {
    /// The scenario, a TOML file
    pub scenario: PathBuf,
    /// Folder for the report [default: reports/NAME, after the scenario's file]; with --part the counts file [default:
    /// reports/NAME.part-K-of-N.json]
    #[arg(long, value_name = "PLACE")]
    pub out: Option<PathBuf>,
    /// Replace a report and a table of trials that are already there, and, without --resume, what an interrupted run kept
    #[arg(long)]
    pub overwrite: bool,
    /// Go on where an interrupted run of the same command was left; the report is the same bytes as that of one run
    #[arg(long)]
    pub resume: bool,
    /// Run all builds, even where the scenario's half_width would stop earlier
    #[arg(long)]
    pub to_the_cap: bool,
    /// Run one of N equal parts of all builds, and write only its counts, for `merge`; without the stop rule
    #[arg(long, value_name = "K/N", value_parser = part, conflicts_with_all = ["json", "gate", "advise", "trials"])]
    pub part: Option<Part>,
    /// Work out peephole and tolerances too, and put both into the report (some seconds more)
    #[arg(long)]
    pub advise: bool,
    /// Print the results as JSON on standard output, and nothing else there
    #[arg(long)]
    pub json: bool,
    /// End with exit code 1 unless the whole interval of the yield is at or above the target
    #[arg(long)]
    pub gate: bool,
    #[command(flatten)]
    pub trials: TrialsOptions,
    #[command(flatten)]
    pub run: RunOptions,
    /// Threads [default: one per core]; the results are the same bytes for any number
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub threads: Option<u16>,
}

#[derive(Debug, Args)]
pub(super) struct MergeOptions {
    /// The scenario, a TOML file
    pub scenario: PathBuf,
    /// The counts files of all parts, in any order
    #[arg(required = true, value_name = "FILES")]
    pub files: Vec<PathBuf>,
    /// Folder for the report [default: reports/NAME, after the scenario's file]
    #[arg(long, value_name = "FOLDER")]
    pub out: Option<PathBuf>,
    /// Replace a report that is already there
    #[arg(long)]
    pub overwrite: bool,
    /// Work out peephole and tolerances too, and put both into the report (some seconds more)
    #[arg(long)]
    pub advise: bool,
    /// Print the results as JSON on standard output, and nothing else there
    #[arg(long)]
    pub json: bool,
    /// End with exit code 1 unless the whole interval of the yield is at or above the target
    #[arg(long)]
    pub gate: bool,
    #[command(flatten)]
    pub trials: TrialsOptions,
    /// Threads [default: one per core]; the results are the same bytes for any number
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub threads: Option<u16>,
}

#[derive(Debug, Args)]
pub(super) struct CheckOptions {
    /// The scenario, a TOML file
    pub scenario: PathBuf,
    /// Print as JSON on standard output, and nothing else there
    #[arg(long)]
    pub json: bool,
    /// End with exit code 1 where the layout breaks a rule of its cabinet (table [allowed], without which --gate is refused)
    #[arg(long)]
    pub gate: bool,
}

#[derive(Debug, Args)]
#[command(group = clap::ArgGroup::new("written").args(["picture", "sheet"]).multiple(true))]
pub(super) struct SeeOptions {
    /// The scenario, a TOML file
    pub scenario: PathBuf,
    /// An explicit file: any source of error set to a value, the rest at no error
    #[arg(long, value_name = "FILE", conflicts_with = "trial")]
    pub with: Option<PathBuf>,
    /// Number of a random build, counted from 0 as in the report
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u64).range(..1_000_000_000))]
    pub trial: Option<u64>,
    /// Number of the look at that build, counted from 0
    #[arg(long, value_name = "NUMBER", requires = "trial", default_value_t = 0, value_parser = clap::value_parser!(u64).range(..1000))]
    pub look: u64,
    /// Seed, instead of the scenario's
    #[arg(long, value_name = "NUMBER", requires = "trial", value_parser = clap::value_parser!(u64).range(..=i64::MAX as u64))]
    pub seed: Option<u64>,
    /// How the random numbers are laid out over the builds, instead of the scenario's
    #[arg(long, value_name = "NAME", requires = "trial", value_parser = sampling_named())]
    pub sampling: Option<Sampling>,
    /// Print as JSON on standard output, and nothing else there
    #[arg(long)]
    pub json: bool,
    /// Draw what the eye sees beside the target, to this file (.svg or .png)
    #[arg(long, value_name = "FILE")]
    pub picture: Option<PathBuf>,
    /// Write what would be read at the bench of this trial, as a filled sheet (.csv); weights hang as the scenario says
    #[arg(long, value_name = "FILE")]
    pub sheet: Option<PathBuf>,
    /// Give every reading of the sheet a normal error of its uncertainty, drawn from this seed [default: exact]
    #[arg(long, value_name = "NUMBER", requires = "sheet", value_parser = clap::value_parser!(u64).range(..=i64::MAX as u64))]
    pub reading_seed: Option<u64>,
    /// Fill in the rows too that are another way to the rest: scan and picture of a plate, lines in their holes, ties …
    #[arg(long, requires = "sheet")]
    pub all_readings: bool,
    /// Replace a picture or a sheet that is already there
    #[arg(long, requires = "written")]
    pub overwrite: bool,
}

#[derive(Debug, Args)]
pub(super) struct MeasureOptions {
    /// The scenario, a TOML file
    pub scenario: PathBuf,
    /// Write the sheet to this file (.csv), and the picture of what to measure beside it (.svg) [default: standard output]
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Draw the picture of what to measure to this file (.svg or .png)
    #[arg(long, value_name = "FILE")]
    pub picture: Option<PathBuf>,
    /// Replace files that are already there
    #[arg(long)]
    pub overwrite: bool,
}

#[derive(Debug, Args)]
pub(super) struct SheetsOptions {
    /// The scenario, a TOML file
    pub scenario: PathBuf,
    /// Folder for the sheets [default: reports/NAME-sheets, after the scenario's file]
    #[arg(long, value_name = "FOLDER")]
    pub out: Option<PathBuf>,
    /// The printer's paper: A4 (ISO 216) or US Letter
    #[arg(long, value_name = "NAME", default_value = "a4", value_parser = paper_named())]
    pub paper: Paper,
    /// Replace sheets that are already there
    #[arg(long)]
    pub overwrite: bool,
}

/// The sizes of paper by name.
fn paper_named() -> impl TypedValueParser<Value = Paper> {
    clap::builder::PossibleValuesParser::new(Paper::ALL.map(Paper::name))
        .map(|name| Paper::named(&name).unwrap_or_default())
}

#[derive(Debug, Args)]
pub(super) struct SchemaOptions {
    /// Of what files
    #[arg(long, value_name = "KIND", value_enum, default_value = "scenario")]
    pub of: SchemaOf,
}

/// Kinds of files that have a schema.
#[derive(Debug, Clone, Copy, clap::ValueEnum)]
pub(super) enum SchemaOf {
    /// Scenarios
    Scenario,
    /// Files of `see --with`: sources of error set to values
    Explicit,
}

#[derive(Debug, Args)]
pub(super) struct ManOptions {
    /// Folder for the pages
    pub folder: PathBuf,
    /// Replace pages that are already there
    #[arg(long)]
    pub overwrite: bool,
}

#[derive(Debug, Args)]
pub(super) struct ThreadOptions {
    /// The scenario, a TOML file
    pub scenario: PathBuf,
    /// Write the scenario with the order put in to this file (.toml)
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Draw the ways over both plates' outsides to this file (.svg or .png)
    #[arg(long, value_name = "FILE")]
    pub picture: Option<PathBuf>,
    /// Replace files that are already there
    #[arg(long)]
    pub overwrite: bool,
    /// Print as JSON on standard output, and nothing else there
    #[arg(long)]
    pub json: bool,
    /// Line for the knot and the anchor at each end; a bare number is in mm (common practice, no source: 4 to 6 in)
    #[arg(long, value_name = "LENGTH", default_value = "5 in", value_parser = anchor_mm)]
    pub anchor: f64,
    /// Friction coefficient over the holes' walls [default: the scenario's, else 0.2]
    #[arg(long, value_name = "NUMBER", value_parser = friction)]
    pub friction: Option<f64>,
    /// Least share of the pull that every run is to keep: where it would fall under, the line is pulled again
    #[arg(long, value_name = "SHARE", default_value = "50 %", value_parser = least_share)]
    pub keep: f64,
    /// Seed of the search among many lines, instead of the scenario's
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u64).range(..=i64::MAX as u64))]
    pub seed: Option<u64>,
    /// Threads [default: one per core]; the answer is the same bytes for any number
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub threads: Option<u16>,
}

#[derive(Debug, Args)]
pub(super) struct RareOptions {
    /// The scenario, a TOML file
    pub scenario: PathBuf,
    /// End with exit code 1 unless the whole interval of the yield (1 less the probability of failing) is at or above the target
    #[arg(long)]
    pub gate: bool,
    /// Seed of all random numbers, instead of the scenario's
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u64).range(..=i64::MAX as u64))]
    pub seed: Option<u64>,
    /// Looks at each build, instead of the scenario's
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u64).range(1..=MOST_LOOKS))]
    pub looks: Option<u64>,
    /// Builds at each threshold
    #[arg(long, value_name = "COUNT", default_value_t = 1000, value_parser = clap::value_parser!(u32).range(100..=100_000))]
    pub samples: u32,
    /// Independent repetitions, whose scatter gives the interval
    #[arg(long, value_name = "COUNT", default_value_t = 16, value_parser = clap::value_parser!(u32).range(4..=1000))]
    pub repetitions: u32,
    /// Threads [default: one per core]; the results are the same bytes for any number
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub threads: Option<u16>,
    /// Print as JSON on standard output, and nothing else there
    #[arg(long)]
    pub json: bool,
}

/// Builds of each design that is tried, unless told otherwise.
pub(super) const USUAL_BUILDS: u64 = 10_000;

/// Options of a command that answers a question about a scenario by brief runs.
#[derive(Debug, Args)]
pub(super) struct AdviceOptions {
    /// The scenario, a TOML file
    pub scenario: PathBuf,
    /// Folder for the answer [default: reports/NAME-COMMAND, after the scenario's file and the command]
    #[arg(long, value_name = "FOLDER")]
    pub out: Option<PathBuf>,
    /// Replace an answer that is already there
    #[arg(long)]
    pub overwrite: bool,
    /// Print the answer as JSON on standard output, and nothing else there
    #[arg(long)]
    pub json: bool,
    /// Seed of all random numbers, instead of the scenario's
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u64).range(..=i64::MAX as u64))]
    pub seed: Option<u64>,
    /// Builds of each design that is run in full (searches begin with fewer; shares have rows of their own)
    #[arg(long, value_name = "COUNT", default_value_t = USUAL_BUILDS, value_parser = clap::value_parser!(u64).range(1..=1_000_000))]
    pub builds: u64,
    /// Looks at each build, instead of the scenario's
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u64).range(1..=MOST_LOOKS))]
    pub looks: Option<u64>,
    /// Threads [default: one per core]; the results are the same bytes for any number
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub threads: Option<u16>,
}

#[derive(Debug, Args)]
pub(super) struct PeepholeOptions {
    #[command(flatten)]
    pub advice: AdviceOptions,
    /// End with exit code 1 unless the scenario's own peephole meets both targets with the whole intervals: of the builds that
    /// pass (target_yield) and of the looks that show the whole figure (clear_share)
    #[arg(long)]
    pub gate: bool,
}

#[derive(Debug, Args)]
pub(super) struct TolerancesOptions {
    #[command(flatten)]
    pub advice: AdviceOptions,
    /// End with exit code 1 unless there is a set of ways of working that meets the target with room, in the search and in the
    /// fresh run
    #[arg(long)]
    pub gate: bool,
}

#[derive(Debug, Args)]
pub(super) struct LayOutOptions {
    #[command(flatten)]
    pub advice: AdviceOptions,
    /// End with exit code 1 unless the whole interval of the chosen layout's yield, at fresh builds, is at or above the target
    #[arg(long)]
    pub gate: bool,
    /// What the layout is to be best in: few failing builds, or the most scatter at the target yield
    #[arg(long = "for", value_name = "AIM", default_value = "robustness", value_parser = aim_named())]
    pub aim: Aim,
}

/// The aims by name.
fn aim_named() -> impl TypedValueParser<Value = Aim> {
    clap::builder::PossibleValuesParser::new(Aim::ALL.map(Aim::name))
        .map(|name| Aim::named(&name).unwrap_or(Aim::Robustness))
}

#[derive(Debug, Args)]
#[command(
    override_usage = "sightdrift compare [OPTIONS] <FIRST> <SECOND>\n       sightdrift compare [OPTIONS] <SCENARIO> --before <SHEETS>... --after <SHEETS>..."
)]
pub(super) struct CompareOptions {
    /// The first scenario, a TOML file; of one build before and after a repair its only one. Seed, looks and intervals are its
    #[arg(value_name = "FIRST")]
    pub scenario: PathBuf,
    /// The second scenario
    #[arg(value_name = "SECOND", required_unless_present = "before", conflicts_with_all = ["before", "after"])]
    pub second: Option<PathBuf>,
    /// Sheets from the bench of the build before its repair
    #[arg(long, value_name = "SHEETS", num_args = 1.., requires = "after")]
    pub before: Vec<PathBuf>,
    /// Sheets from the bench of the same build after its repair
    #[arg(long, value_name = "SHEETS", num_args = 1.., requires = "before")]
    pub after: Vec<PathBuf>,
    /// Folder for the answer [default: reports/FIRST-SECOND-compare, after the scenarios' files, or
    /// reports/SCENARIO-before-after-compare]
    #[arg(long, value_name = "FOLDER")]
    pub out: Option<PathBuf>,
    /// Replace an answer that is already there
    #[arg(long)]
    pub overwrite: bool,
    /// Print the answer as JSON on standard output, and nothing else there
    #[arg(long)]
    pub json: bool,
    /// End with exit code 1 unless the second side, or the build after its repair, is better by more than chance: the whole interval
    /// of the difference of the yields above 0
    #[arg(long)]
    pub gate: bool,
    /// Seed of all random numbers, instead of the first scenario's
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u64).range(..=i64::MAX as u64))]
    pub seed: Option<u64>,
    /// Builds of either side [default: 10000; of what sheets leave possible: 500]
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u64).range(1..=1_000_000))]
    pub builds: Option<u64>,
    /// Looks at each build, instead of the first scenario's
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u64).range(1..=MOST_LOOKS))]
    pub looks: Option<u64>,
    /// Threads [default: one per core]; the results are the same bytes for any number
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub threads: Option<u16>,
}

#[derive(Debug, Args)]
pub(super) struct DiagnoseOptions {
    /// The scenario, a TOML file
    pub scenario: PathBuf,
    /// The filled-in sheets of one build, CSV files as `measure` prints them
    #[arg(required = true, value_name = "SHEET.csv")]
    pub sheets: Vec<PathBuf>,
    /// Folder for the answer [default: reports/NAME-diagnose, after the scenario's file]
    #[arg(long, value_name = "FOLDER")]
    pub out: Option<PathBuf>,
    /// Replace an answer that is already there
    #[arg(long)]
    pub overwrite: bool,
    /// Print the answer as JSON on standard output, and nothing else there
    #[arg(long)]
    pub json: bool,
    /// Go on where the sheet has plain blunders (swapped columns, inches, exchanged names), as if they were put right
    #[arg(long)]
    pub put_right: bool,
    /// Take the sheet as it stands, whatever looks like a plain blunder in it
    #[arg(long, conflicts_with = "put_right")]
    pub as_read: bool,
    /// End with exit code 1 unless the build holds: the whole interval of the possible builds that pass at or above the target, and
    /// the whole figure seen often enough
    #[arg(long)]
    pub gate: bool,
    /// Seed of all random numbers, instead of the scenario's
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u64).range(..=i64::MAX as u64))]
    pub seed: Option<u64>,
    /// Builds that the readings leave possible, on which everything else is worked out
    #[arg(long, value_name = "COUNT", default_value_t = 256, value_parser = clap::value_parser!(u64).range(64..=10_000))]
    pub builds: u64,
    /// Looks at each of them
    #[arg(long, value_name = "COUNT", default_value_t = 16, value_parser = clap::value_parser!(u64).range(1..=MOST_LOOKS))]
    pub looks: u64,
    /// Threads [default: one per core]; the results are the same bytes for any number
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub threads: Option<u16>,
}

/// A length of at most 10 m, mm.
fn anchor_mm(text: &str) -> Result<f64, String> {
    let units = Kind::Length.units();
    let length = text
        .parse()
        .or_else(|_| read_quantity(text, Kind::Length))
        .ok()
        .filter(|mm| (0.0..=10_000.0).contains(mm));
    length.ok_or_else(|| {
        let names: Vec<&str> = units.iter().map(|(name, _)| *name).collect();
        format!(
            "`{text}` is no length from 0 to 10 m, in {}; for example \"5 in\"",
            names.join(", ")
        )
    })
}

/// As `friction` of a scenario.
fn friction(text: &str) -> Result<f64, String> {
    let number = text.parse().ok().filter(|one| (0.0..=2.0).contains(one));
    number.ok_or_else(|| format!("`{text}` is no number from 0 to 2, for example 0.2"))
}

/// A share above 0 and at most 1.
fn least_share(text: &str) -> Result<f64, String> {
    read_quantity(text, Kind::Number)
        .ok()
        .filter(|share| *share > 0.0 && *share <= 1.0)
        .ok_or_else(|| {
            format!("`{text}` is no share above 0 and at most 1, for example 0.5 or \"50 %\"")
        })
}

/// `K/N`.
fn part(text: &str) -> Result<Part, String> {
    text.split_once('/')
        .and_then(|(number, of)| Part::new(number.parse().ok()?, of.parse().ok()?))
        .ok_or_else(|| {
            format!(
                "`{text}` is not K/N with K from 1 to N and N at most {}, for example 2/8",
                Part::MOST
            )
        })
}
