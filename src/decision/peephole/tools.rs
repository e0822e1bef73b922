//! From the range to a tool that a workshop has.

use super::super::brief::{brief_run, fresh_run};
use super::super::run_plan::Interrupted;
use super::ends::Range;
use super::sweep::{Bench, Counted};
use crate::mechanics::{HoleTool, hole_tools};

/// How many times more builds the proof takes than the sweep.
const PROOF_TIMES: u64 = 2;
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

/// The tool to take.
#[derive(Debug, Clone, PartialEq)]
pub struct Recommended {
    /// It and what it gives at the sweep's builds and looks.
    pub chosen: ToolRun,
    /// The same at builds and looks that had no part in the choice.
    pub proof: Counted,
    /// Whether it lies where the whole interval of every share meets its target.
    pub is_safe: bool,
    /// The tool whose hole is best of all candidates in the trials (it may be the chosen one), mm.
    pub best_mm: f64,
    /// How many candidates are within chance of the best: their share of looks that show the figure and hold is not below
    /// its interval.
    pub within_chance: usize,
    /// How many tools lie in the range.
    pub candidates: usize,
    /// The next narrower and wider tools of the candidates, the narrowest first.
    pub alternatives: Vec<ToolRun>,
}

/// Chooses: of the tools in the safe part of the range (or, failing that, in the range) those whose share of looks that show
/// the figure and hold is within chance of the best; of those the ones whose own tolerance stays inside, then the plainest,
/// then the narrowest, which guides the eye most.
pub(super) fn recommended(
    bench: &Bench<'_>,
    range: &Range,
) -> Result<Option<Recommended>, Interrupted> {
    let inside = |[low, high]: [f64; 2]| -> Vec<HoleTool> {
        let holds = |tool: &HoleTool| low <= tool.diameter_mm && tool.diameter_mm <= high;
        hole_tools().into_iter().filter(holds).collect()
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
    let both = |nth: usize| counted[nth].both.share().unwrap_or(0.0);
    let Some(best) = (0..counted.len()).reduce(|a, b| if both(b) > both(a) { b } else { a }) else {
        return Ok(None);
    };
    let (_, [least, _]) = counted[best].both_with_interval(bench.run.level);
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
    let is_near = |run: &&ToolRun| run.counted.both.share().unwrap_or(0.0) >= least;
    let order = |run: &ToolRun| (!run.stays_inside, run.tool.plainness());
    let chosen = runs.iter().filter(is_near).min_by(|a, b| {
        let width = a.tool.diameter_mm.total_cmp(&b.tool.diameter_mm);
        order(a).cmp(&order(b)).then(width)
    });
    let Some(chosen) = chosen.cloned() else {
        return Ok(None);
    };
    let builds = bench.run.builds.saturating_mul(PROOF_TIMES);
    let proof_run = brief_run(&fresh_run(bench.run), builds);
    let proof = bench.with_hole(bench.plan, chosen.tool.diameter_mm, &proof_run)?;
    Ok(Some(Recommended {
        proof,
        is_safe,
        best_mm: diameters_mm[best],
        within_chance: runs.iter().filter(is_near).count(),
        candidates: runs.len(),
        alternatives: alternatives(&runs, &chosen),
        chosen,
    }))
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
