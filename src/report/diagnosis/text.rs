//! The answer on the terminal: verdict, first causes, look-alikes, mends.

use super::super::bench_words::{brief_value_words, chance_words};
use super::super::drawing::clean;
use super::super::words::{count_words, figures, proportion_words};
use super::Diagnosed;
use super::not_read::unread_sentence;
use super::sentences::{
    arcmin_words, assumed_sentences, because_sentences, drift_share_words, eyes_sentence,
    look_alike_sentence, mend_sentence, piercing_sentence, plan_sentence, read_again_sentences,
    verdict_sentence, visitors_sentence, worst_sentence,
};
use crate::units::arcmin;
use std::fmt::Write;

/// Rows of each list.
const ITEMS: usize = 4;
const CAUSES: usize = 5;
const MENDS: usize = 4;

/// The answer, in plain text.
pub fn diagnosis_text(told: &Diagnosed<'_>) -> String {
    let mut text = format!("{}\n\n", clean(&told.about.title));
    let first = [
        verdict_sentence(told),
        worst_sentence(told),
        visitors_sentence(told),
    ];
    let alike = told.diagnosis.why.look_alikes.iter();
    let sentences = first
        .into_iter()
        .chain(eyes_sentence(told).map(str::to_owned))
        .chain(plan_sentence(told))
        .chain(read_again_sentences(told))
        .chain(because_sentences(told, 2))
        .chain(alike.map(|alike| look_alike_sentence(alike, told)))
        .chain([mend_sentence(told), piercing_sentence(told).to_owned()])
        .chain(unread_sentence(told));
    for sentence in sentences {
        let _ = writeln!(text, "{sentence}");
    }
    write_items(&mut text, told);
    write_causes(&mut text, told);
    write_mends(&mut text, told);
    let _ = writeln!(text, "{}", assumed_sentences(told).join(" "));
    text
}

fn write_items(text: &mut String, told: &Diagnosed<'_>) {
    let items = told.worst_first();
    let _ = writeln!(text, "worst places, seen by the eye at its mean place");
    for item in items.iter().take(ITEMS) {
        let seen = item.seen_rad.map_or_else(
            || "not all of it is seen".to_owned(),
            |seen| arcmin_words(&seen),
        );
        let _ = writeln!(
            text,
            "  {}: {seen}, limit {} arcmin; over it in {}",
            told.plan.item_name(item.item),
            figures(arcmin(item.limit_rad)),
            proportion_words(&item.over, "possible builds")
        );
    }
    if items.len() > ITEMS {
        let _ = writeln!(text, "  and {} more in report.html", items.len() - ITEMS);
    }
}

fn write_causes(text: &mut String, told: &Diagnosed<'_>) {
    let causes = told.causes();
    let _ = writeln!(text, "causes, the likeliest to have gone wrong first");
    for cause in causes.iter().take(CAUSES) {
        let _ = writeln!(
            text,
            "  {}: {}; went wrong {}; {} of what is seen off",
            cause.words,
            brief_value_words(cause, told.plan),
            chance_words(cause.fault_probability),
            drift_share_words(cause.share)
        );
    }
    if causes.len() > CAUSES {
        let _ = writeln!(text, "  and {} more in report.html", causes.len() - CAUSES);
    }
}

fn write_mends(text: &mut String, told: &Diagnosed<'_>) {
    let mends = &told.diagnosis.mends;
    if mends.ranked.is_empty() {
        return;
    }
    let _ = writeln!(text, "corrections, the best first");
    for (nth, mend) in mends.ranked.iter().take(MENDS).enumerate() {
        let _ = writeln!(
            text,
            "  {}: {} minutes{}; {} pass{}",
            mend.words,
            count_words(mend.minutes.max(0.0).round() as u64),
            if mend.pierces { ", pierces anew" } else { "" },
            proportion_words(&mend.passes, "possible builds"),
            if mends.least == Some(nth) {
                "; the least that mends it"
            } else {
                ""
            }
        );
    }
    if mends.ranked.len() > MENDS {
        let _ = writeln!(
            text,
            "  and {} more in report.html",
            mends.ranked.len() - MENDS
        );
    }
}
