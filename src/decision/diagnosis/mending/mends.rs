//! What mends the build: each single correction and the best pairs of them.
//!
//! Every possible build is corrected and seen by the same eyes as it is seen without (common random numbers); what work done
//! again gives is drawn once for each build and used by every correction that does it.

use super::super::cause::{NoDiagnosis, Why};
use super::super::finding::{Finding, Span};
use super::attempts::{Trial, Tried};
use super::correction::Correction;
use super::mend_words::Teller;
use crate::decision::RunPlan;
use crate::figure::Plan;
use crate::statistics::{
    ClusteredShare, PairedDifference, Proportion, interval_of_clustered_share,
};
use crate::trial::RunHooks;

/// One way to mend the build, and what comes of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Mend {
    /// One correction, or two.
    pub corrections: Vec<Correction>,
    /// What to do, in a workshop's words.
    pub words: String,
    /// Minutes of one person's work (chosen, no source).
    pub minutes: f64,
    /// Whether a hole or a plate has to be pierced anew.
    pub pierces: bool,
    /// Whether it puts right what most probably went wrong, or the like; another one makes up for it.
    pub puts_cause_right: bool,
    /// Worst drift over its limit afterwards, for the eye at its mean place; +∞ for possible builds of which it does not see all, or
    /// that cannot be computed.
    pub drift: Span,
    /// Worst gap over its limit afterwards, likewise; `None` without junctions.
    pub gap: Option<Span>,
    /// Share of the possible builds that pass afterwards.
    pub passes: Proportion,
    /// Whether that share meets the scenario's target, and enough looks show the whole figure.
    pub meets: bool,
    /// Whether its whole interval does.
    pub meets_surely: bool,
    /// How the share differs from the build as it is, at the same builds and looks.
    pub gain: Option<PairedDifference>,
    /// Share of looks that hold afterwards, of those that show the whole figure.
    pub held: ClusteredShare,
    /// Share of looks that show the whole figure afterwards.
    pub clear: ClusteredShare,
}

impl Mend {
    /// The worse of its worst drift and worst gap, in the median.
    pub fn worst(&self) -> f64 {
        let gap = self.gap.map_or(0.0, |gap| gap.median);
        self.drift.median.max(gap)
    }
}

/// A cause that is likelier than this is taken for what spoiled the build (chosen: more likely than not).
const LIKELY: f64 = 0.5;

/// All mends that were tried.
#[derive(Debug, Clone, PartialEq)]
pub struct Mends {
    /// Single corrections, and pairs that do better than both of their corrections alone; the best first: those that meet the
    /// target, the ones first that pierce nothing, by effort; then the others by result. Of a build that needs nothing, single corrections that make it surer still.
    pub ranked: Vec<Mend>,
    /// The least that mends it: the first of the ranked ones that surely meets the scenario's target, else the first that may; `None` of a build that
    /// needs nothing.
    pub least: Option<usize>,
    /// Whether something meets it, but nothing that leaves all holes as they are pierced (nor the build as it is).
    pub needs_piercing: bool,
    /// Whether the build meets the target as it is: the whole interval of the share of possible builds that pass is at or over it,
    /// and enough looks show the whole figure.
    pub needs_nothing: bool,
    /// Share of looks that should show the whole figure: the scenario's, but no more than a build made anew would show.
    pub wanted_clear: f64,
    /// Share of builds that pass where everything is done again as well as its tolerance says: where that falls short too, it is
    /// the plan that does not hold, and mending this build is in vain.
    pub built_anew: Proportion,
    /// Single corrections and pairs that were tried.
    pub tried: usize,
}

/// Tries what may mend the build.
///
/// # Errors
/// [`NoDiagnosis`].
pub fn mends(
    plan: &Plan,
    why: &Why,
    finding: &Finding,
    run: &RunPlan,
    hooks: &RunHooks<'_>,
) -> Result<Mends, NoDiagnosis> {
    let now = most_probable(why).ok_or(NoDiagnosis::NoReadings)?;
    let trial = Trial::new(plan, why, run, &now, hooks);
    let as_is = trial.evaluate(Vec::new());
    let target = plan.design.judging.target_yield;
    let anew = trial.built_anew();
    let wanted_clear = wanted_clear(plan, &anew.clear, run.level);
    let is_clear = |clear: &ClusteredShare| clear.share().is_some_and(|one| one >= wanted_clear);
    let needs_nothing = is_at_least(&finding.passes, target) && is_clear(&finding.clear);
    let singles = trial.singles(why);
    let mut all = trial.try_all(singles.iter().map(|part| vec![*part]).collect())?;
    let mut tried = all.len();
    if needs_nothing {
        all.retain(|one| one.brief.passed > as_is.brief.passed && is_clear(&one.brief.clear));
    } else {
        let pairs = trial.pairs(&all, &as_is);
        let pairs: Vec<Tried> = trial.try_all(pairs)?;
        tried += pairs.len();
        let is_better = |pair: &&Tried| pair.does_better_than_its_parts(&all);
        let kept: Vec<Tried> = pairs.iter().filter(is_better).cloned().collect();
        all.extend(kept);
    }
    let built_anew = anew.build_yield(run);
    if hooks.is_interrupted() {
        return Err(NoDiagnosis::Interrupted);
    }
    let mut ranked: Vec<Mend> = all
        .iter()
        .map(|one| {
            let mut mend = told(&trial, one, &as_is);
            mend.puts_cause_right = why.causes.first().is_some_and(|cause| {
                cause.fault_probability >= LIKELY
                    && one
                        .corrections
                        .iter()
                        .any(|part| part.puts_right(plan, cause.suspect))
            });
            let is_clear = is_clear(&mend.clear);
            mend.meets &= is_clear;
            mend.meets_surely &= is_clear;
            mend
        })
        .collect();
    ranked.sort_by(order);
    let leaves_holes = |mend: &Mend| mend.meets && !mend.pierces;
    Ok(Mends {
        least: if needs_nothing {
            None
        } else {
            let first = |meets: fn(&Mend) -> bool| ranked.iter().position(meets);
            first(|mend| mend.meets_surely).or_else(|| first(|mend| mend.meets))
        },
        needs_piercing: !needs_nothing
            && ranked.iter().any(|mend| mend.meets)
            && !ranked.iter().any(leaves_holes),
        needs_nothing,
        wanted_clear,
        built_anew,
        tried,
        ranked,
    })
}

/// See [`Mends::wanted_clear`].
fn wanted_clear(plan: &Plan, anew: &ClusteredShare, level: f64) -> f64 {
    let of_the_plan = interval_of_clustered_share(anew, level).map_or(0.0, |[low, _]| low);
    plan.design.judging.clear_share.min(of_the_plan)
}

/// Whether the whole interval of a share is at or over `target`.
fn is_at_least(share: &Proportion, target: f64) -> bool {
    share.interval().is_some_and(|[low, _]| low >= target)
}

/// How much shorter a correction must be that makes up for a cause instead of putting it right (chosen).
const MAKES_UP_TIMES: f64 = 1.5;

/// Those that surely meet the target, then those that only may, of either the ones that leave all holes as they are pierced first
/// (what is pierced cannot be taken back), by effort; then the others by result.
fn order(a: &Mend, b: &Mend) -> std::cmp::Ordering {
    // who knows the cause rather puts that right, unless something else is much shorter
    let effort = |mend: &Mend| {
        let times = if mend.puts_cause_right {
            1.0
        } else {
            MAKES_UP_TIMES
        };
        times * mend.minutes
    };
    let by_effort = || effort(a).total_cmp(&effort(b));
    let by_share = || b.passes.count.cmp(&a.passes.count);
    let by_worst = || a.worst().total_cmp(&b.worst());
    let how_sure = |mend: &Mend| (mend.meets_surely, mend.meets);
    let by_result = || by_share().then_with(by_worst).then_with(by_effort);
    how_sure(b).cmp(&how_sure(a)).then_with(|| {
        if a.meets {
            let by_piercing = a.pierces.cmp(&b.pierces);
            by_piercing.then_with(by_effort).then_with(by_result)
        } else {
            by_result()
        }
    })
}

/// The most probable build: of the likeliest explanation, or the middle of the possible ones.
fn most_probable(why: &Why) -> Option<Vec<f64>> {
    if let Some(explanation) = why.explanations.first() {
        return (!why.possible.is_empty()).then(|| explanation.build.clone());
    }
    let values = why.possible.first()?.len();
    let middle = |at: usize| {
        let all = why.possible.iter().map(|build| build[at]).collect();
        Span::of(all).map_or(0.0, |span| span.median)
    };
    Some((0..values).map(middle).collect())
}

/// What comes of it, told.
fn told(trial: &Trial<'_>, tried: &Tried, as_is: &Tried) -> Mend {
    let teller = Teller {
        plan: trial.plan,
        now: trial.now,
        mean: &trial.mean,
        relief_shift_mm: trial.relief_shift_mm,
    };
    let target = trial.plan.design.judging.target_yield;
    let passes = tried.brief.build_yield(trial.run);
    let has_gaps = !trial.plan.junctions.is_empty();
    Mend {
        words: teller.words(&tried.corrections),
        minutes: tried.minutes,
        pierces: tried.corrections.iter().any(Correction::pierces),
        puts_cause_right: false,
        drift: Span::of_worst(tried.drift.clone()),
        gap: has_gaps.then(|| Span::of_worst(tried.gap.clone())),
        meets: passes.share().is_some_and(|share| share >= target),
        meets_surely: is_at_least(&passes, target),
        passes,
        gain: tried.brief.gain_over(&as_is.brief, trial.run.level),
        held: tried.brief.held,
        clear: tried.brief.clear,
        corrections: tried.corrections.clone(),
    }
}
