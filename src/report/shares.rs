//! How much each step of the work causes: as a section of a page, as JSON, as words for a terminal.

use super::drawing::Drawing;
use super::nominal::columns;
use super::page::figure;
use super::words::{count_words, decimals_for, figures, level_words, proportion_words};
use crate::decision::{FEWEST_OF_EACH, MOST_MARGIN, NoShares, OutputShares, ShareOutput, Shares};
use crate::figure::Step;
use crate::statistics::{
    GroupShare, Index, IntervalMethod, LEAST_TOTAL, Proportion, Told, VarianceShares,
    student_bound_1908,
};
use maud::{Markup, html};
use serde_json::{Value, json};
use std::fmt::Write;

/// Share of rows left out from which the reader is warned (chosen).
const MANY_LEFT_OUT: f64 = 0.01;

/// What is shared out, in words.
fn output_words(output: ShareOutput) -> &'static str {
    match output {
        ShareOutput::Drift => "largest drift in the first look",
        ShareOutput::Gap => "largest gap in the first look",
        ShareOutput::Margin => "fault that decides whether a build passes",
        ShareOutput::Failure => "failures",
    }
}

/// What it stands for when a sentence goes on: "the scatter of the drift".
fn scatter_words(output: ShareOutput) -> &'static str {
    match output {
        ShareOutput::Drift => "the scatter of the drift",
        ShareOutput::Gap => "the scatter of the gap",
        ShareOutput::Margin => "the scatter of the fault that decides whether a build passes",
        ShareOutput::Failure => "which builds fail",
    }
}

fn no_shares_words(why: NoShares) -> String {
    let few = |n: u64, what: &str| {
        format!(
            "only {} of the builds {what}; under {FEWEST_OF_EACH} chance would speak, so nothing is shared out. Go by the deciding fault, or work out more builds",
            count_words(n)
        )
    };
    match why {
        NoShares::NothingVaries => {
            "the same in all builds that could be looked at, so there is nothing to share out"
                .to_owned()
        }
        NoShares::TooFewFail(0) => "no build fails, so there is nothing to share out".to_owned(),
        NoShares::TooFewFail(n) => few(n, "fail"),
        NoShares::TooFewPass(0) => {
            "all builds fail, so there is nothing to share out; go by the deciding fault".to_owned()
        }
        NoShares::TooFewPass(n) => few(n, "pass"),
        NoShares::TooFewRows => "too few builds were worked out for an interval".to_owned(),
    }
}

/// An index in percent with its interval; it may lie below 0.
fn index_words(index: &Index) -> String {
    let [low, high] = index.interval;
    let decimals = decimals_for((high - low) / 2.0);
    let percent = |share: f64| {
        let text = format!("{:.decimals$}", 100.0 * share.abs());
        let is_zero = text.chars().all(|c| matches!(c, '0' | '.'));
        let sign = if share < 0.0 && !is_zero {
            "\u{2212}"
        } else {
            ""
        };
        format!("{sign}{text}")
    };
    format!(
        "{} % ({} to {} %)",
        percent(index.estimate),
        percent(low),
        percent(high)
    )
}

/// An index with what can be told of it.
fn told_words(index: &Index, told: Told) -> String {
    match told {
        Told::Nothing => "nothing: no build changed".to_owned(),
        Told::FromZero => index_words(index),
        Told::NotFromZero => format!("{}: cannot be told from zero", index_words(index)),
        Told::NextToNothing => format!("{}: next to nothing", index_words(index)),
    }
}

fn intervals_overlap(one: &Index, other: &Index) -> bool {
    one.interval[0] <= other.interval[1] && other.interval[0] <= one.interval[1]
}

/// Which care pays, in plain sentences: what leads in the workshop, what the visitor brings, what the failures hang on.
pub fn shares_sentences(shares: &Shares) -> Vec<String> {
    let Some(output) = shares.ranked_by() else {
        let why = shares.of(ShareOutput::Margin).found.as_ref().err();
        let why = why.map_or_else(String::new, |why| no_shares_words(*why));
        return vec![format!("Which care pays cannot be told: {why}.")];
    };
    let mut sentences = vec![care_sentence(shares, output)];
    sentences.extend(visitor_sentence(shares, output));
    if output != ShareOutput::Failure {
        sentences.push(failure_sentence(shares));
    }
    sentences
}

/// Steps that pass `wanted` and whose total index can be told from zero, by falling total index.
fn told(
    shares: &Shares,
    output: ShareOutput,
    wanted: impl Fn(Step) -> bool,
) -> Vec<(Step, &GroupShare)> {
    let Ok(found) = &shares.of(output).found else {
        return Vec::new();
    };
    let order = shares.ranked_for(output).into_iter();
    order
        .map(|nth| (shares.steps[nth], &found.groups[nth]))
        .filter(|(step, group)| wanted(*step) && group.total_told() == Told::FromZero)
        .collect()
}

fn care_sentence(shares: &Shares, output: ShareOutput) -> String {
    let work = told(shares, output, Step::is_work);
    let of = scatter_words(output);
    // where all builds fail alike, what makes them differ is not what mends them
    let head = if all_fail(shares) {
        "What makes builds differ most"
    } else {
        "Which care pays"
    };
    let Some((step, most)) = work.first() else {
        return format!(
            "{head}: nothing that can be told. No step of the work has a share of {of} that can be told from zero."
        );
    };
    let next = match work.get(1) {
        Some((next, group)) if intervals_overlap(&most.total, &group.total) => format!(
            "As much, as far as can be told: {} ({}), {}.",
            next.name(),
            next.words(),
            index_words(&group.total)
        ),
        Some((next, group)) => format!(
            "Next: {} ({}), {}.",
            next.name(),
            next.words(),
            index_words(&group.total)
        ),
        None => "No other step of the work can be told from zero.".to_owned(),
    };
    let alone = match most.first_told() {
        Told::FromZero => index_words(&most.first),
        _ => "nothing that can be told from zero".to_owned(),
    };
    format!(
        "{head}: {} ({}). Among the steps of the work it has the largest share of {of}: {} together with others, {alone} by itself. {next}",
        step.name(),
        step.words(),
        index_words(&most.total),
    )
}

fn all_fail(shares: &Shares) -> bool {
    matches!(
        shares.of(ShareOutput::Failure).found,
        Err(NoShares::TooFewPass(_))
    )
}

fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

fn visitor_sentence(shares: &Shares, output: ShareOutput) -> Option<String> {
    let parts: Vec<String> = told(shares, output, |step| !step.is_work())
        .iter()
        .map(|(step, group)| format!("{}, {}", step.words(), index_words(&group.total)))
        .collect();
    (!parts.is_empty()).then(|| {
        format!(
            "With the visitor comes: {}. No care in the workshop mends that; a smaller peephole, a rest for the brow, or other depths may.",
            parts.join("; ")
        )
    })
}

fn failure_sentence(shares: &Shares) -> String {
    let found = match &shares.of(ShareOutput::Failure).found {
        Ok(found) => found,
        Err(NoShares::TooFewPass(_)) => {
            return "All or nearly all builds fail, and what makes them differ need not be what makes them fail: for that see what each cause taken away gains.".to_owned();
        }
        Err(why) => return format!("Failures: {}.", no_shares_words(*why)),
    };
    let work = told(shares, ShareOutput::Failure, Step::is_work);
    let Some((step, most)) = work.first() else {
        return "Failures: no step of the work can be told from zero.".to_owned();
    };
    format!(
        "Failing: {}. Of what makes them fail {} are left to interactions: that share comes from errors of several steps \
         that meet in one build. The step of the work most involved is {}: {}.",
        proportion_words(&failing(found, shares.level), "builds"),
        index_words(&found.interactions),
        step.name(),
        index_words(&most.total),
    )
}

/// What the shares assume and do not say.
fn assumptions(shares: &Shares) -> Vec<String> {
    let mut all = vec![
        format!(
            "A share of the variance tells what makes builds and looks differ. It says nothing of a fault that every build has alike, such as sag by weight or friction along one line: for those see what each cause taken away gains. And it is a share: a step may cause most of a scatter that is small.",
        ),
        "By itself: the first-order index, what would go from the variance if this step alone were known. Together with others: the total index, what would stay if all but this step were known. Total indices may sum to more than 100 %, because what several steps cause together is in each of them.".to_owned(),
        format!(
            "Cannot be told from zero: the interval of a first-order index reaches down to 0. A total index is a mean of squares and never falls to 0 by chance, so it has to stand above {} % (chosen), or its first-order index above 0. Intervals are {} % each by itself: of twenty that are truly zero one may stand out.",
            100.0 * LEAST_TOTAL,
            level_words(shares.level),
        ),
        "Assumed: the errors of different steps are independent and follow the laws of the scenario. The visitor's eye and acuity are among the steps, with new values in every look.".to_owned(),
        "Drift and gap are those of one look at a build, and what is clipped is measured too, as long as some light comes from it: leaving it out would tie the sources together. What decides whether a build passes, and failures, follow the clip rule.".to_owned(),
    ];
    let left = shares
        .outputs
        .iter()
        .filter_map(left_out)
        .fold(0.0, f64::max);
    if left > MANY_LEFT_OUT {
        all.push(format!(
            "{} % of the rows are not in the shares of drift and gap, because in one of their builds a rod end is quite dark or the build cannot be computed: those shares hold for the others.",
            figures(100.0 * left)
        ));
    }
    if shares.capped > 0 {
        all.push(format!(
            "{} of {} builds have a deciding fault beyond {} × limit, never show the figure or cannot be computed; they count as {} × limit (chosen).",
            count_words(shares.capped),
            count_words(2 * shares.rows),
            MOST_MARGIN,
            MOST_MARGIN
        ));
    }
    all
}

fn left_out(one: &OutputShares) -> Option<f64> {
    let found = one.found.as_ref().ok()?;
    Some(found.left_out as f64 / (found.left_out + found.rows) as f64)
}

/// How much was worked out.
fn effort(shares: &Shares) -> String {
    format!(
        "{} rows: {} builds × {} looks were worked out; seed {}. Estimators: Saltelli et al. 2010 (first-order), Jansen 1999 (total); intervals: {} %, bootstrap over blocks of 64 rows.",
        count_words(shares.rows),
        count_words(shares.builds),
        shares.looks,
        shares.seed,
        level_words(shares.level)
    )
}

/// The builds that fail among all of A and B.
fn failing(found: &VarianceShares, level: f64) -> Proportion {
    let of = 2 * found.rows;
    Proportion {
        count: (found.mean * of as f64).round() as u64,
        of,
        level,
        method: IntervalMethod::Wilson,
        scatter: None,
    }
}

/// Mean and scatter of an output.
fn spread_words(output: ShareOutput, found: &VarianceShares, level: f64) -> String {
    if output == ShareOutput::Failure {
        return proportion_words(&failing(found, level), "builds");
    }
    let builds = 2 * found.rows;
    let sd = found.variance.sqrt();
    let bound = student_bound_1908(builds.saturating_sub(1), level).unwrap_or(f64::NAN);
    format!(
        "mean {} ± {} × limit ({} % interval), standard deviation {} × limit; {} builds",
        figures(found.mean),
        figures(bound * sd / (builds as f64).sqrt()),
        level_words(level),
        figures(sd),
        count_words(builds)
    )
}

/// The section of a page; `drawing` is that of the same shares.
pub fn shares_section(shares: &Shares, drawing: &Drawing) -> Markup {
    html! {
        section {
            h2 { "What causes how much" }
            @for sentence in shares_sentences(shares) { p { (sentence) } }
            (figure(drawing))
            @for one in &shares.outputs {
                h3 { (capital(output_words(one.output))) }
                @match &one.found {
                    Err(why) => { p { (capital(&no_shares_words(*why))) "." } }
                    Ok(found) => {
                        p { (capital(&spread_words(one.output, found, shares.level))) "." }
                        (table(shares, one.output, found))
                    }
                }
            }
            p { (effort(shares)) }
            ul { @for words in assumptions(shares) { li { (words) } } }
        }
    }
}

fn table(shares: &Shares, output: ShareOutput, found: &VarianceShares) -> Markup {
    html! {
        table {
            thead { tr { th { "step" } th { "by itself (first-order index)" } th { "together with others (total index)" } } }
            tbody {
                @for nth in shares.ranked_for(output) {
                    @let group = &found.groups[nth];
                    tr {
                        td { (shares.steps[nth].words()) @if !shares.steps[nth].is_work() { " (the visitor's)" } }
                        td { (told_words(&group.first, group.first_told())) }
                        td { (told_words(&group.total, group.total_told())) }
                    }
                }
                tr { td { b { "all of them by themselves" } } td { (index_words(&found.sum_of_first)) } td {} }
                tr { td { b { "left to interactions" } } td { (index_words(&found.interactions)) } td {} }
            }
        }
    }
}

/// The shares as plain text: the sentences, the table of the output by which the steps are ranked, what was assumed; the other
/// tables stand on the page.
pub fn shares_text(shares: &Shares) -> String {
    let mut text = String::from("What causes how much\n\n");
    for sentence in shares_sentences(shares) {
        let _ = writeln!(text, "{sentence}");
    }
    for one in &shares.outputs {
        let title = capital(output_words(one.output));
        match &one.found {
            Err(why) => {
                let _ = writeln!(text, "\n{title}: {}.", no_shares_words(*why));
            }
            Ok(found) => {
                let _ = writeln!(
                    text,
                    "\n{title}: {}",
                    spread_words(one.output, found, shares.level)
                );
                if shares.ranked_by() == Some(one.output) {
                    output_text(&mut text, shares, one.output, found);
                }
            }
        }
    }
    let _ = writeln!(text, "\n{}", effort(shares));
    for words in assumptions(shares) {
        let _ = writeln!(text, "{words}");
    }
    text
}

fn output_text(text: &mut String, shares: &Shares, output: ShareOutput, found: &VarianceShares) {
    let order = shares.ranked_for(output);
    let (told, untold): (Vec<usize>, Vec<usize>) = order
        .into_iter()
        .partition(|nth| found.groups[*nth].is_told_from_zero());
    let rows = told.iter().map(|nth| {
        let group = &found.groups[*nth];
        let first = match group.first_told() {
            Told::FromZero => index_words(&group.first),
            _ => "cannot be told from zero".to_owned(),
        };
        let total = told_words(&group.total, group.total_told());
        vec![shares.steps[*nth].words().to_owned(), first, total]
    });
    let rest = [
        ("all of them by themselves", &found.sum_of_first),
        ("left to interactions", &found.interactions),
    ]
    .map(|(words, index)| vec![words.to_owned(), index_words(index), String::new()]);
    text.push_str(&columns(
        &["step", "by itself", "together with others"],
        rows.chain(rest),
    ));
    for (told, words) in [
        (Told::NotFromZero, "cannot be told from zero"),
        (Told::NextToNothing, "next to nothing (under 1 % in all)"),
        (Told::Nothing, "nothing at all"),
    ] {
        let steps: Vec<&str> = untold
            .iter()
            .filter(|nth| found.groups[**nth].total_told() == told)
            .map(|nth| shares.steps[*nth].words())
            .collect();
        if !steps.is_empty() {
            let _ = writeln!(text, "  {words}: {}", steps.join("; "));
        }
    }
}

/// The shares as JSON; shares are of the variance, outputs multiples of their limits.
pub fn shares_json(shares: &Shares) -> Value {
    json!({
        "rows": shares.rows,
        "builds": shares.builds,
        "looks_at_each_build": shares.looks,
        "seed": shares.seed,
        "level": shares.level,
        "first_order_estimator": "Saltelli et al. 2010",
        "total_estimator": "Jansen 1999",
        "interval": "bootstrap over blocks of 64 rows, percentile",
        "least_total_told_from_zero": LEAST_TOTAL,
        "most_margin": MOST_MARGIN,
        "builds_at_most_margin": shares.capped,
        "which_care_pays": shares_sentences(shares),
        "ranked_by": shares.ranked_by().map(ShareOutput::name),
        "ranked": shares.ranked().into_iter().map(|nth| shares.steps[nth].name()).collect::<Vec<_>>(),
        "outputs": shares.outputs.iter().map(|one| output_json(shares, one)).collect::<Vec<_>>(),
        "assumed": assumptions(shares),
    })
}

fn output_json(shares: &Shares, one: &OutputShares) -> Value {
    let found = match &one.found {
        Ok(found) => found,
        Err(why) => {
            return json!({ "output": one.output.name(), "no_shares_because": no_shares_words(*why) });
        }
    };
    let steps = shares.steps.iter().zip(&found.groups).map(|(step, group)| {
        json!({
            "step": step.name(),
            "words": step.words(),
            "is_work": step.is_work(),
            "first_order": index_json(&group.first, Some(group.first_told())),
            "total": index_json(&group.total, Some(group.total_told())),
        })
    });
    json!({
        "output": one.output.name(),
        "rows": found.rows,
        "rows_left_out": found.left_out,
        "mean": found.mean,
        "standard_deviation": found.variance.sqrt(),
        "steps": steps.collect::<Vec<_>>(),
        "sum_of_first_order": index_json(&found.sum_of_first, None),
        "interactions": index_json(&found.interactions, None),
    })
}

fn index_json(index: &Index, told: Option<Told>) -> Value {
    let mut value = json!({
        "estimate": index.estimate,
        "standard_error": index.standard_error,
        "interval": index.interval,
    });
    if let Some(told) = told {
        value["told"] = json!(match told {
            Told::Nothing => "nothing",
            Told::NotFromZero => "cannot be told from zero",
            Told::NextToNothing => "next to nothing",
            Told::FromZero => "told from zero",
        });
    }
    value
}
