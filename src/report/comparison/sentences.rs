//! What a comparison comes to, in sentences.

use super::super::compared::{Compared, MUCH_CLEARER};
use super::super::words::{count_words, decimals_for, level_words, proportion_words, share_words};
use crate::decision::{Belong, ComparisonVerdict, ONE_POINT, Pairing};
use crate::statistics::Difference;

/// The answer in a sentence or two, then what it rests on.
pub fn comparison_sentences(compared: &Compared<'_>) -> Vec<String> {
    let mut all = vec![verdict_sentence(compared)];
    all.extend(judging_sentence(compared));
    all.push(yields_sentence(compared));
    all.extend(clear_sentence(compared));
    all.extend(not_computable_sentence(compared));
    all.extend(unlike_sheets_sentence(compared));
    all.extend(strength_sentence(compared));
    all
}

/// A difference in percentage points: "+8.1 points (95 % interval +6.0 to +10.2)".
pub(super) fn points_words(found: &Difference, level: f64) -> String {
    let [low, high] = found.interval;
    let decimals = decimals_for(found.half_width());
    format!(
        "{} points ({} % interval {} to {})",
        signed(100.0 * found.difference, decimals),
        level_words(level),
        signed(100.0 * low, decimals),
        signed(100.0 * high, decimals)
    )
}

/// A number with its sign; nothing that is rounded to nothing has one.
pub(super) fn signed(value: f64, decimals: usize) -> String {
    let text = format!("{value:+.decimals$}");
    if text.chars().any(|c| ('1'..='9').contains(&c)) {
        text
    } else {
        text.trim_start_matches(['+', '-']).to_owned()
    }
}

/// How many builds were gained and lost, where the sides share their numbers.
fn gained_words(compared: &Compared<'_>) -> String {
    match compared.found.belong {
        Belong::Paired(Pairing {
            builds: Some(builds),
            ..
        }) => format!(
            "; {} builds gained, {} lost of {}",
            count_words(builds.gained),
            count_words(builds.lost),
            count_words(builds.of)
        ),
        _ => String::new(),
    }
}

pub(super) fn verdict_sentence(compared: &Compared<'_>) -> String {
    let [first, second] = &compared.names;
    let Some(found) = compared.found.build_yield else {
        return "There are no builds to compare on one side.".to_owned();
    };
    let points = points_words(&found, compared.found.run.level);
    let gained = gained_words(compared);
    let but = if compared.is_clearer_the_worse() {
        " That is the yield alone, of the looks that show the whole figure: the other one shows it to clearly more looks."
    } else {
        ""
    };
    match compared.found.verdict() {
        ComparisonVerdict::NoDifferenceShown => format!(
            "Between {first} and {second} there is no difference that these builds can show: builds that pass differ by {points}{gained}.{}",
            clearer_words(compared)
        ),
        verdict if !compared.found.is_paired() => format!(
            "After the repair the build is {} than before: builds that pass differ by {points}, of those that the readings leave possible.{but}",
            verdict.words()
        ),
        verdict => format!(
            "{second} is {} than {first}: builds that pass differ by {points}{gained}.{but}",
            verdict.words()
        ),
    }
}

/// That one side shows the whole figure to clearly more looks, where the yield shows no difference.
fn clearer_words(compared: &Compared<'_>) -> String {
    let [first, second] = &compared.names;
    let clear = &compared.found.looks.clear;
    let found = clear.share_difference(compared.found.run.level);
    match found.filter(Difference::is_more_than_chance) {
        Some(found) if found.difference.abs() >= MUCH_CLEARER => format!(
            " But {} shows the whole figure to clearly more looks.",
            if found.difference > 0.0 {
                second
            } else {
                first
            }
        ),
        _ => String::new(),
    }
}

fn yields_sentence(compared: &Compared<'_>) -> String {
    let of = |side: usize| proportion_words(&compared.found.yield_of(side), "builds");
    let [first, second] = &compared.names;
    format!("Builds that pass: {first} {}; {second} {}.", of(0), of(1))
}

/// Where one side shows the whole figure to many more looks than the other, the yield alone would mislead.
fn clear_sentence(compared: &Compared<'_>) -> Option<String> {
    let level = compared.found.run.level;
    let clear = &compared.found.looks.clear;
    let found = clear.share_difference(level)?;
    if !found.is_more_than_chance() || found.difference.abs() < MUCH_CLEARER {
        return None;
    }
    let of = |side: usize| {
        let (share, interval) = clear.share(side, level)?;
        Some(share_words(share, interval))
    };
    let never = compared
        .found
        .sides
        .each_ref()
        .map(|side| count_words(side.never_shown));
    let [first, second] = &compared.names;
    Some(format!(
        "Looks that show the whole figure: {first} {}; {second} {}. Builds that no look shows whole, which fail for that: {} and {}.",
        of(0)?,
        of(1)?,
        never[0],
        never[1]
    ))
}

/// Builds that could not be computed, where there are any.
fn not_computable_sentence(compared: &Compared<'_>) -> Option<String> {
    let [first, second] = &compared.names;
    let counts = compared
        .found
        .sides
        .each_ref()
        .map(|side| side.not_computable);
    (counts != [0, 0]).then(|| {
        format!(
            "Builds that could not be computed (a line too slack, say), which count as not passing: {first} {}; {second} {}.",
            count_words(counts[0]),
            count_words(counts[1])
        )
    })
}

/// A warning where the sheets of the two sides do not read the same things.
fn unlike_sheets_sentence(compared: &Compared<'_>) -> Option<String> {
    let [first, second] = &compared.names;
    (compared.only_read != [0, 0]).then(|| {
        format!(
            "Warning: the sheets do not read the same: {} readings {first} the repair have no like after it, {} {second} it none before. What is not read is taken from the tolerances, so part of the difference may be what was read and not what was mended: fill in the same rows on both.",
            compared.only_read[0], compared.only_read[1]
        )
    })
}

/// How large a difference could have been shown.
fn strength_sentence(compared: &Compared<'_>) -> Option<String> {
    let half = compared.found.build_yield?.half_width();
    let decimals = decimals_for(half);
    let one_point = match compared.found.builds_for(ONE_POINT) {
        Some(builds) if half > ONE_POINT => format!(
            "for one of 1 point it would take some {} builds{}",
            count_words(rounded_up(builds)),
            if compared.found.is_paired() {
                ""
            } else {
                " of each side"
            }
        ),
        _ => "one of 1 point would stand out".to_owned(),
    };
    Some(format!(
        "A difference of {:.decimals$} points or more stands out from chance with these builds; {one_point}.",
        100.0 * half
    ))
}

/// A count to two figures, not less.
fn rounded_up(count: u64) -> u64 {
    let mut unit = 1;
    while count / unit >= 100 {
        unit *= 10;
    }
    count.div_ceil(unit) * unit
}

/// A warning where the two are held against different limits.
pub(super) fn judging_sentence(compared: &Compared<'_>) -> Option<String> {
    let what: Vec<&str> = compared
        .changed
        .iter()
        .filter(|one| one.is_judging)
        .map(|one| one.what.as_str())
        .collect();
    (!what.is_empty()).then(|| {
        format!(
            "Warning: the two are held against different limits ({} differ): a difference between them may be that of the limits and not of the exhibits. Give both the same judging to compare the exhibits.",
            what.join(", ")
        )
    })
}

/// What the builds of the two sides have to do with each other.
pub(super) fn belong_sentence(compared: &Compared<'_>) -> String {
    let Belong::Paired(pairing) = compared.found.belong else {
        return "The builds of either side are those that its readings leave possible; the two sets have nothing to do with each other, so the interval of the yields' difference is that of two independent shares (Newcombe 1998). It tells how well so many possible builds settle the shares; what the readings leave open is in the shares themselves.".to_owned();
    };
    let alike = pairing.rank_correlation.map_or_else(
        || "one side's builds are all alike".to_owned(),
        |found| {
            format!("the ranks of the builds' margins go together with a correlation of {found:.2}")
        },
    );
    let saved = match pairing.saved {
        Some(saved) if saved >= 0.005 => format!(
            "the difference of the yields has {:.0} % less variance than it would have between independent builds",
            100.0 * saved
        ),
        Some(_) => {
            "the difference of the yields is no surer for it than between independent builds"
                .to_owned()
        }
        None => "neither yield varies, so there is nothing to save".to_owned(),
    };
    format!(
        "Both sides have the same random numbers wherever they have the same address (the n-th line, rod end, look and build of each): {alike}; {saved}."
    )
}

/// What the verdict is on.
pub(super) fn verdict_is_on_sentence(compared: &Compared<'_>) -> String {
    format!(
        "The verdict is on the yield alone. All other differences have intervals of {} % each and no correction for their number: where nothing differs, about {} of such intervals still leave out 0.",
        level_words(compared.found.run.level),
        one_in_words(1.0 - compared.found.run.level)
    )
}

fn one_in_words(share: f64) -> String {
    format!("one in {:.0}", 1.0 / share.max(1e-9))
}

/// Where seed, looks and intervals come from.
pub(super) fn run_sentence(compared: &Compared<'_>) -> String {
    let run = &compared.found.run;
    let builds = [0, 1].map(|side| count_words(compared.found.sides[side].builds()));
    let builds = if builds[0] == builds[1] {
        format!("{} builds on either side", builds[0])
    } else {
        format!("{} and {} builds", builds[0], builds[1])
    };
    let from = if compared.found.is_paired() {
        format!(
            " Seed, looks, level and kind of interval are those of {}; what the other scenario says of them plays no part.",
            compared.names[0]
        )
    } else {
        String::new()
    };
    format!(
        "{builds}, {} looks at each, seed {}, plain random numbers.{from}",
        count_words(run.looks),
        run.seed
    )
}
