//! The answer on the terminal.

use super::super::about::About;
use super::super::nominal::columns;
use super::super::words::{count_words, proportion_words};
use super::words::{
    answer_sentences, assumed_sentence, blur_sentence, bound_name, bound_words, by_hand_sentence,
    cautious_sentence, change_words, choice_sentence, counted_rows, diffraction_sentence,
    guide_sentence, light_sentence, looks_words, mm, plate_sentence, recommended_sentence,
};
use crate::decision::PeepholeAnswer;
use crate::decision::peephole::{Change, ChangeKind};
use crate::figure::Plan;
use std::fmt::Write;

/// The answer, in plain text.
pub fn peephole_text(answer: &PeepholeAnswer, plan: &Plan, about: &About) -> String {
    let mut text = format!("{}\n\n", about.title);
    // the answer and what to take come first, then why
    let sentences = answer_sentences(answer);
    let (first, rest) = sentences.split_at(if answer.range.is_ok() {
        1
    } else {
        sentences.len()
    });
    let beside = [
        Some(recommended_sentence(answer)),
        guide_sentence(answer),
        cautious_sentence(answer),
        plate_sentence(answer),
    ];
    for sentence in first.iter().chain(beside.iter().flatten()).chain(rest) {
        let _ = writeln!(text, "{sentence}");
    }
    if let Some(found) = &answer.recommended {
        let rows = |counted| counted_rows(counted, answer.run.level);
        let _ = writeln!(text, "what the {} gives", found.chosen.tool.words());
        for (name, value) in rows(&found.chosen.counted) {
            let _ = writeln!(text, "  {name}: {value}");
        }
        let anywhere = proportion_words(&found.anywhere.build_yield, "builds");
        let _ = writeln!(
            text,
            "  builds that pass if eyes came to stand anywhere in the hole: {anywhere}"
        );
        let _ = writeln!(text, "proof, with other numbers");
        for (name, value) in rows(&found.proof) {
            let _ = writeln!(text, "  {name}: {value}");
        }
        let _ = writeln!(text, "{}", choice_sentence(found, answer));
    }
    if !answer.changes.is_empty() {
        text.push_str(&changes_text(answer));
    }
    let _ = writeln!(
        text,
        "\nwhat bounds it ({} builds × {} looks at each diameter)",
        count_words(answer.run.builds),
        answer.run.looks
    );
    let rows = answer.bounds.iter().map(|bound| {
        let side = if bound.reason.is_lower() {
            "below"
        } else {
            "above"
        };
        vec![
            bound_name(bound.reason).to_owned(),
            side.to_owned(),
            bound_words(bound, answer),
        ]
    });
    text.push_str(&columns(&["bound", "from", "hole"], rows));
    let plate = &answer.plate;
    let up_to = |value: Option<f64>| {
        value.map_or_else(
            || "not even thin".to_owned(),
            |value| format!("{} mm", mm(value)),
        )
    };
    let _ = writeln!(
        text,
        "\n{}\n{}\n{}\n{}\nPlate, for a hole of {} mm: the outermost rod end is shown behind a plate of up to {}; nine tenths of its view are left up to {}. A model's limits; countersink the far side of a thicker one.\n{}",
        diffraction_sentence(answer),
        light_sentence(answer),
        blur_sentence(answer),
        by_hand_sentence(answer, plan),
        mm(plate.diameter_mm),
        up_to(plate.shown_up_to_mm),
        up_to(plate.nine_tenths_up_to_mm),
        assumed_sentence(answer)
    );
    text
}

fn changes_text(answer: &PeepholeAnswer) -> String {
    let (opens, not): (Vec<&Change>, Vec<&Change>) = answer
        .changes
        .iter()
        .partition(|change| change.proof.is_some());
    let mut text = "\nwhat would open a range, each alone\n".to_owned();
    if opens.is_empty() {
        text.push_str("  none of the changes that were tried\n");
    }
    for change in opens {
        if let Some(proof) = &change.proof {
            let _ = writeln!(
                text,
                "  {} ({} with a hole of {} mm: builds that pass {}; clear looks {})",
                change_words(change),
                if proof.is_sure {
                    "proved"
                } else {
                    "by its estimate only, more builds would tell:"
                },
                mm(proof.diameter_mm),
                proportion_words(&proof.counted.build_yield, "builds"),
                looks_words(&proof.counted.clear, answer.run.level)
            );
        }
    }
    text.push_str("tried, and not enough alone\n");
    let (causes, designs): (Vec<&Change>, Vec<&Change>) = not
        .into_iter()
        .partition(|change| matches!(change.kind, ChangeKind::Without(_)));
    for change in designs {
        if let Some(nearest) = &change.nearest {
            let _ = writeln!(
                text,
                "  {} (nearest with a hole of {} mm: builds that pass {}; clear looks {})",
                change_words(change),
                mm(nearest.diameter_mm),
                proportion_words(&nearest.counted.build_yield, "builds"),
                looks_words(&nearest.counted.clear, answer.run.level)
            );
        }
    }
    // cause by cause it would be the same line again and again: they stand on the page
    let best = causes
        .iter()
        .filter_map(|change| change.nearest.as_ref())
        .max_by_key(|nearest| nearest.counted.build_yield.count);
    if let Some(best) = best {
        let words: Vec<String> = causes.iter().map(|change| change_words(change)).collect();
        let _ = writeln!(
            text,
            "  {} (at best builds that pass {})",
            words.join("; "),
            proportion_words(&best.counted.build_yield, "builds")
        );
    }
    text
}
