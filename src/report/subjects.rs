//! Names of rods and junctions in a page: its script marks the same ones in every drawing. Without a script they are plain text.

use super::drawing::mark_of;
use crate::figure::{Item, Plan};
use maud::{Markup, html};

/// The name of what can break, as a subject.
pub(super) fn subject(plan: &Plan, item: Item) -> Markup {
    subject_as(plan, &[item], &plan.item_name(item))
}

/// A text about these rods and junctions, as a subject; plain text where there are none.
pub(super) fn subject_as(plan: &Plan, items: &[Item], text: &str) -> Markup {
    if items.is_empty() {
        return html! { (text) };
    }
    let joined = |items: &[Item]| {
        let marks: Vec<String> = items.iter().map(|item| mark_of(*item)).collect();
        marks.join(" ")
    };
    let names: Vec<String> = items.iter().map(|item| plan.item_name(*item)).collect();
    let names = serde_json::Value::from(names).to_string();
    let beside = beside(plan, items);
    let beside = (!beside.is_empty()).then(|| joined(&beside));
    html! { span class="subject" data-marks=(joined(items)) data-beside=[beside] data-names=(names) { (text) } }
}

/// The sentence, with the first mention of the rod or junction as a subject.
pub(super) fn with_subject(sentence: &str, plan: &Plan, item: Item) -> Markup {
    with_subject_as(sentence, plan, &[item], &plan.item_name(item))
}

/// The sentence, with the first mention of `words` as a subject that stands for these.
pub(super) fn with_subject_as(sentence: &str, plan: &Plan, items: &[Item], words: &str) -> Markup {
    match sentence.split_once(words) {
        Some((before, after)) if !words.is_empty() => {
            html! { (before) (subject_as(plan, items, words)) (after) }
        }
        _ => html! { (sentence) },
    }
}

/// What stays as it is beside what is marked: the rods that meet at a junction.
fn beside(plan: &Plan, items: &[Item]) -> Vec<Item> {
    let mut all = Vec::new();
    for item in items {
        if let Item::Junction(junction) = item {
            let rods = plan.junctions[*junction].ends.iter().map(|end| end / 2);
            all.extend(rods.map(Item::Rod));
        }
    }
    all.dedup();
    all
}
