//! What counts as holding and how much to run, in a scenario file.

use super::table::Table;
use crate::decision::RunPlan;
use crate::figure::{CLEAR_SHARE, Finish, Frame, Judging, LimitRule};
use crate::sampling::Sampling;
use crate::statistics::IntervalMethod;
use crate::units::Kind;

/// Most builds of one run.
pub const MOST_BUILDS: u64 = 1_000_000_000;
/// Most looks at one build.
pub const MOST_LOOKS: u64 = 1000;

pub(super) fn read_judging(top: &Table<'_>) -> Option<Judging> {
    let table = top.table("judging");
    let finishes: Vec<(&str, Finish)> = Finish::ALL
        .into_iter()
        .map(|finish| (finish.name(), finish))
        .collect();
    let finish = table.choice("finish", &finishes);
    let finish_is_wrong = finish.is_none() && table.get_named("finish").is_some();
    let base = finish.as_ref().map_or(Finish::Clean, |finish| finish.value);
    let frame = table
        .choice(
            "frame",
            &[("fitted", Frame::Fitted), ("fixed", Frame::Fixed)],
        )
        .map_or(Frame::Fitted, |frame| frame.value);
    let mut rule = base.rule();
    let mut by_hand = false;
    let mut set = |found: Option<f64>, place: &mut f64| {
        if let Some(found) = found {
            *place = found;
            by_hand = true;
        }
    };
    let not_negative = |key: &'static str| {
        let found = table.quantity(key, Kind::Number)?;
        table
            .must(key, found, |number| number >= 0.0, "must be 0 or more")
            .map(|found| found.value)
    };
    set(not_negative("acuity_factor"), &mut rule.acuity_factor);
    set(not_negative("cover"), &mut rule.cover);
    set(not_negative("share_of_figure"), &mut rule.share_of_figure);
    let limit = |key: &'static str| {
        let found = table.quantity(key, Kind::Angle)?;
        let sensible = |rad: f64| (0.001..=10_000.0).contains(&Kind::Angle.shown(rad));
        table
            .must(key, found, sensible, "must be from 0.001 to 10000 arcmin")
            .map(|limit| limit.value)
    };
    rule.drift_rad = limit("drift_limit");
    rule.gap_rad = limit("gap_limit");
    by_hand |= rule.drift_rad.is_some() || rule.gap_rad.is_some();
    tell_no_limit(&table, &rule);
    let hold_share = share(&table, "hold_share", 0.9);
    let clear_share = share(&table, "clear_share", CLEAR_SHARE);
    let target_yield = share(&table, "target_yield", 0.9).filter(|target| {
        // an interval never reaches 100 %: no run could meet it
        let reachable = *target < 1.0;
        if !reachable && let Some(value) = table.get_named("target_yield") {
            table.problems.tell(
                &value.span(),
                format!(
                    "target_yield is {}, must be below 1: no number of builds could show it met",
                    table.problems.quote(&value.span())
                ),
                Some("write for example 0.999".to_owned()),
            );
        }
        reachable
    });
    table.finish();
    if finish_is_wrong {
        return None;
    }
    Some(Judging {
        finish: (!by_hand).then_some(base),
        rule,
        frame,
        hold_share: hold_share?,
        clear_share: clear_share?,
        target_yield: target_yield?,
    })
}

/// A limit of 0 is met by nothing but a perfect build.
fn tell_no_limit(table: &Table<'_>, rule: &LimitRule) {
    let no_rule = rule.acuity_factor == 0.0 && rule.cover == 0.0 && rule.share_of_figure == 0.0;
    if no_rule && (rule.drift_rad.is_none() || rule.gap_rad.is_none()) {
        table.problems.tell(
            &table.span,
            "[judging] sets acuity_factor, cover and share_of_figure all to 0: the limit would be 0".to_owned(),
            Some("leave one of them above 0, or set both drift_limit and gap_limit".to_owned()),
        );
    }
}

/// A share above 0, or `default` when it is not given; `None` when it is wrong.
fn share(table: &Table<'_>, key: &'static str, default: f64) -> Option<f64> {
    let found = table.share(key).map(|share| share.value);
    table.or_default(key, found, default)
}

pub(super) fn read_run(top: &Table<'_>) -> Option<RunPlan> {
    let table = top.table("run");
    let number = |key: &'static str, low, high, default| {
        let found = table.whole_number(key, low, high).map(|found| found.value);
        table.or_default(key, found, default)
    };
    let seed = number("seed", 0, i64::MAX as u64, 1);
    let builds = number("builds", 1, MOST_BUILDS, 20_000);
    let looks = number("looks", 1, MOST_LOOKS, 16);
    let within = |key, allowed: fn(f64) -> bool, words| {
        let found = table.quantity(key, Kind::Number)?;
        table
            .must(key, found, allowed, words)
            .map(|found| found.value)
    };
    let half_width = within(
        "half_width",
        |width| width > 0.0 && width < 0.5,
        "must be above 0 and below 0.5",
    );
    let half_width = table.or_default("half_width", half_width.map(Some), None);
    let level = within(
        "level",
        |level| (0.5..=0.999_999).contains(&level),
        "must be from 0.5 to 0.999999",
    );
    let level = table.or_default("level", level, 0.95);
    let method = table
        .choice(
            "interval",
            &[
                (IntervalMethod::Wilson.name(), IntervalMethod::Wilson),
                (
                    IntervalMethod::ClopperPearson.name(),
                    IntervalMethod::ClopperPearson,
                ),
            ],
        )
        .map_or(IntervalMethod::Wilson, |method| method.value);
    let sampling = table
        .choice("sampling", &Sampling::ALL.map(|one| (one.name(), one)))
        .map_or(Sampling::Plain, |sampling| sampling.value);
    table.finish();
    Some(RunPlan {
        seed: seed?,
        builds: builds?,
        looks: looks?,
        half_width: half_width?,
        level: level?,
        method,
        sampling,
    })
}
