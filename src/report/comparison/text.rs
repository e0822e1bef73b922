//! The comparison on the terminal.

use super::super::compared::Compared;
use super::super::nominal::columns;
use super::rows::{items, whole};
use super::sentences::{
    belong_sentence, comparison_sentences, run_sentence, verdict_is_on_sentence,
};
use std::fmt::Write;

/// Most rods and junctions, and most changed things, that a terminal is told; the rest stand on the page.
const MOST_ROWS: usize = 8;
const MOST_CHANGED: usize = 14;
/// Longest name at the head of a column.
const LONGEST_HEAD: usize = 26;

/// The comparison, in plain text.
pub fn comparison_text(compared: &Compared<'_>) -> String {
    let [first, second] = &compared.names;
    let mut text = format!("{first} (first) and {second} (second)\n\n");
    for sentence in comparison_sentences(compared) {
        let _ = writeln!(text, "{sentence}");
    }
    let heads = compared.names.each_ref().map(|name| head(name));
    let _ = writeln!(
        text,
        "\nside by side (* the difference's interval leaves out 0)"
    );
    let rows = whole(compared).into_iter().map(|row| {
        let [one, other] = row.sides;
        vec![
            row.what,
            one,
            other,
            starred(row.difference, row.is_more_than_chance),
        ]
    });
    text.push_str(&columns(&["", &heads[0], &heads[1], "difference"], rows));
    let rows = items(compared);
    let shown = rows.len().min(MOST_ROWS);
    let _ = writeln!(
        text,
        "\nroot mean square over the limit, what changed most first{}",
        more(rows.len(), shown)
    );
    let rows = rows.into_iter().take(shown).map(|row| {
        let [one, other] = row.root.sides;
        vec![
            row.name,
            one,
            other,
            starred(row.root.difference, row.root.is_more_than_chance),
        ]
    });
    text.push_str(&columns(&["", &heads[0], &heads[1], "difference"], rows));
    if compared.found.is_paired() {
        text.push_str(&changed(compared));
    }
    let _ = writeln!(
        text,
        "\n{}\n{}\n{}",
        verdict_is_on_sentence(compared),
        belong_sentence(compared),
        run_sentence(compared)
    );
    text
}

fn head(name: &str) -> String {
    if name.chars().count() <= LONGEST_HEAD {
        return name.to_owned();
    }
    let cut: String = name.chars().take(LONGEST_HEAD - 1).collect();
    format!("{}…", cut.trim_end())
}

fn starred(difference: String, is_more_than_chance: bool) -> String {
    format!(
        "{difference}{}",
        if is_more_than_chance { " *" } else { "  " }
    )
}

fn more(of: usize, shown: usize) -> String {
    if shown < of {
        format!(" ({shown} of {of}; all are in the report)")
    } else {
        String::new()
    }
}

fn changed(compared: &Compared<'_>) -> String {
    let all = &compared.changed;
    if all.is_empty() {
        return "\nnothing differs between the two scenarios\n".to_owned();
    }
    let shown = all.len().min(MOST_CHANGED);
    let mut text = format!("\nwhat differs, first → second{}\n", more(all.len(), shown));
    for one in &all[..shown] {
        let judging = if one.is_judging { " (judging)" } else { "" };
        let [first, second] = &one.sides;
        let _ = writeln!(text, "  {}{judging}: {first} → {second}", one.what);
    }
    text
}
