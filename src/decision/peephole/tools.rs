//! From the range to a tool that a workshop has.

use super::super::brief::{brief_run, fresh_run};
use super::super::run_plan::Interrupted;
use super::ends::{Bound, Range};
use super::sweep::{Bench, Counted};
use crate::mechanics::{HoleTool, hole_tools};

/// How many times more builds the proof takes than the sweep.
const PROOF_TIMES: u64 = 2;
/// Tools up to this plainness are candidates, and others only where there are none.
const PLAIN: u32 = 2;
/// Alternatives told on either side.
const ALTERNATIVES: usize = 2;

/// A tool and what its hole gives.
#[derive(Debug, Clone, PartialEq)]
pub struct ToolRun {
    /// The tool.
    pub tool: HoleTool,
    /// What the trials of the sweep say of its nominal hole.
    pub counted: Counted,
    /// Whether the narrowest and the widest hole that it makes lie in the range too.
    pub stays_inside: bool,
}

/// A tool that serves even if eyes come to stand anywhere in its hole.
#[derive(Debug, Clone, PartialEq)]
pub struct Cautious {
    /// It and what it gives.
    pub chosen: ToolRun,
    /// The sweep's builds again, if eyes came to stand anywhere in its hole, evenly up to the rim.
    pub anywhere: Counted,
}

/// The tool to take.
#[derive(Debug, Clone, PartialEq)]
pub struct Recommended {
    /// It and what it gives at the sweep's builds and looks.
    pub chosen: ToolRun,
    /// The same at builds and looks that had no part in the choice.
    pub proof: Counted,
    /// The sweep's builds again, if eyes came to stand anywhere in its hole, evenly up to the rim.
    pub anywhere: Counted,
    /// Whether it lies where the whole interval of every share meets its target.
    pub is_safe: bool,
    /// The tool whose hole is best of all candidates in the trials (it may be the chosen one), mm.
    pub best_mm: f64,
    /// How many candidates are within chance of the best: their share of looks that show the figure and hold is not below
    /// its interval.
    pub within_chance: usize,
    /// How many tools lie in the range.
    pub candidates: usize,
    /// The cautious choice, where it is another one: chosen in the same way from what also passes, with its whole interval, if
    /// eyes come to stand anywhere in the hole.
    pub cautious: Option<Cautious>,
    /// The next narrower and wider tools of the candidates, the narrowest first.
    pub alternatives: Vec<ToolRun>,
}

/// Chooses: of the plain tools in the safe part of the range (or, failing that, in the range) those whose share of looks that show
/// the figure and hold is within chance of the best; of those the ones whose own tolerance stays inside, then the plainest,
/// then the narrowest, which guides the eye most.
pub(super) fn recommended(
    bench: &Bench<'_>,
    range: &Range,
    if_anywhere: &Bound,
) -> Result<Option<Recommended>, Interrupted> {
    let inside = |[low, high]: [f64; 2]| -> Vec<HoleTool> {
        let holds = |tool: &HoleTool| low <= tool.diameter_mm && tool.diameter_mm <= high;
        let all: Vec<HoleTool> = hole_tools().into_iter().filter(holds).collect();
        let is_plain = |tool: &HoleTool| tool.plainness() <= PLAIN;
        let plain: Vec<HoleTool> = all.iter().filter(|tool| is_plain(tool)).cloned().collect();
        if plain.is_empty() { all } else { plain }
    };
    let safe = range.safe_mm.map(inside).unwrap_or_default();
    let is_safe = !safe.is_empty();
    let tools = if is_safe {
        safe
    } else {
        inside([range.smallest.at_mm, range.upper_mm()])
    };
    let mut diameters_mm: Vec<f64> = tools.iter().map(|tool| tool.diameter_mm).collect();
    diameters_mm.dedup();
    let counted = bench.with_holes(bench.plan, &diameters_mm, bench.run)?;
    let runs: Vec<ToolRun> = tools
        .into_iter()
        .filter_map(|tool| {
            let nth = diameters_mm.iter().position(|mm| *mm == tool.diameter_mm)?;
            let stays_inside = tool.holes_mm().iter().all(|mm| range.holds(*mm));
            Some(ToolRun {
                tool,
                counted: counted[nth].clone(),
                stays_inside,
            })
        })
        .collect();
    let level = bench.run.level;
    let Some((chosen, best_mm, within_chance)) = choose(&runs, level) else {
        return Ok(None);
    };
    let widest_mm = if if_anywhere.surely_everywhere {
        f64::INFINITY
    } else {
        if_anywhere.surely_mm.unwrap_or(0.0)
    };
    let guarded: Vec<ToolRun> = runs
        .iter()
        .filter(|run| run.tool.diameter_mm <= widest_mm)
        .cloned()
        .collect();
    let cautious = match choose(&guarded, level) {
        Some((one, ..)) if one.tool != chosen.tool => Some(Cautious {
            anywhere: bench.with_eyes_in_the_hole(one.tool.diameter_mm)?,
            chosen: one,
        }),
        _ => None,
    };
    let builds = bench.run.builds.saturating_mul(PROOF_TIMES);
    let proof_run = brief_run(&fresh_run(bench.run), builds);
    let proof = bench.with_hole(bench.plan, chosen.tool.diameter_mm, &proof_run)?;
    Ok(Some(Recommended {
        proof,
        anywhere: bench.with_eyes_in_the_hole(chosen.tool.diameter_mm)?,
        is_safe,
        best_mm,
        within_chance,
        cautious,
        candidates: runs.len(),
        alternatives: alternatives(&runs, &chosen),
        chosen,
    }))
}

/// The one to take, the width of the best, and how many are within chance of the best.
fn choose(runs: &[ToolRun], level: f64) -> Option<(ToolRun, f64, usize)> {
    let both = |run: &ToolRun| run.counted.both.share().unwrap_or(0.0);
    let best = runs
        .iter()
        .reduce(|a, b| if both(b) > both(a) { b } else { a })?;
    let (_, [least, _]) = best.counted.both_with_interval(level);
    let near: Vec<&ToolRun> = runs.iter().filter(|run| both(run) >= least).collect();
    let order = |run: &ToolRun| (!run.stays_inside, run.tool.plainness());
    let chosen = near.iter().min_by(|a, b| {
        let width = a.tool.diameter_mm.total_cmp(&b.tool.diameter_mm);
        order(a).cmp(&order(b)).then(width)
    })?;
    Some(((*chosen).clone(), best.tool.diameter_mm, near.len()))
}

/// The nearest plain tools on either side of the chosen one, one for each width.
fn alternatives(runs: &[ToolRun], chosen: &ToolRun) -> Vec<ToolRun> {
    let is_plain = |run: &&ToolRun| run.tool.plainness() <= 1;
    let mut widths: Vec<&ToolRun> = runs.iter().filter(is_plain).collect();
    widths.dedup_by(|b, a| a.tool.diameter_mm == b.tool.diameter_mm);
    let mm = chosen.tool.diameter_mm;
    let narrower = widths.iter().filter(|run| run.tool.diameter_mm < mm);
    let wider = widths.iter().filter(|run| run.tool.diameter_mm > mm);
    let mut all: Vec<ToolRun> = narrower
        .rev()
        .take(ALTERNATIVES)
        .map(|run| (*run).clone())
        .collect();
    all.reverse();
    all.extend(wider.take(ALTERNATIVES).map(|run| (*run).clone()));
    all
}
