//! Files out: drawings, page, JSON, CSV, and the words on the terminal.

mod about;
mod advice_page;
mod bench_sheet;
mod bench_words;
mod cautions;
mod compared;
mod comparison;
mod depths;
mod diagnosis;
mod document;
pub mod drawing;
mod eye_heights;
mod headroom;
mod json;
mod laying;
mod move_eye;
mod nominal;
mod page;
mod peephole;
mod rare;
mod shares;

mod sight;
mod subjects;
mod summary;
mod tables;
mod threading;
mod tolerance_words;
mod tolerances;
mod trials_csv;
mod verdict;
mod way_sets;
mod way_words;
mod words;
mod workshop;

pub use about::{About, SourceRow};
pub use advice_page::advice_page_html;
pub use bench_sheet::{FilledSheet, bench_sheet_csv, only_where_asked_for};
pub use bench_words::{surprise_words, value_words};
pub use cautions::{Caution, cautions};
pub use compared::{Changed, Compared, differences, side_names};
pub use comparison::{
    COMPARISON_SCHEMA, comparison_json, comparison_section, comparison_sentences, comparison_text,
};
pub use diagnosis::{
    BuildVerdict, DIAGNOSIS_SCHEMA, Diagnosed, diagnosis_json, diagnosis_section,
    diagnosis_sentences, diagnosis_text, record_html, rods_of_the_leading_cause,
};
pub use eye_heights::shares_with_lower_eyes;
pub use headroom::{headroom_json, headroom_section, headroom_text};
pub use json::{RESULTS_SCHEMA, results_json};
pub use laying::{
    LAYING_SCHEMA, breach_words, laying_json, laying_section, laying_sentences, laying_text,
    none_keeps_words, own_layout_words,
};
pub use nominal::{JunctionFigures, LineFigures, Nominal, RodFigures};

pub use page::page_html;
pub use peephole::{
    PEEPHOLE_SCHEMA, peephole_json, peephole_section, peephole_sentences, peephole_text,
};
pub use rare::{fault_words, rare_cautions, rare_json, rare_sentence, rare_text};
pub use shares::{shares_json, shares_section, shares_sentences, shares_text};
pub use sight::{sight_json, sight_text};
pub use summary::{disagreement_sentence, summary_text};
pub use tables::{junctions_csv, rods_csv};
pub use threading::{
    THREAD_SCHEMA, ThreadLines, thread_json, thread_sentences, thread_steps, thread_text,
    tighten_steps,
};
pub use tolerance_words::{
    allocation_sentence, headroom_sentence, no_allocation_sentence, tolerance_assumptions,
};
pub use tolerances::{
    TOLERANCES_SCHEMA, WITH_THE_CHOSEN_SET, tolerances_json, tolerances_sections,
    tolerances_sentences, tolerances_text,
};
pub use trials_csv::{trials_bytes, trials_head, trials_rows};
pub use verdict::{
    Reason, clipped_sentence, eye_sentence, many_are_clipped, reason, reason_sentence,
    verdict_mark, verdict_sentence,
};
pub use way_sets::{way_sets_json, way_sets_section, way_sets_text};
pub use way_words::{way_sets_cautions, way_sets_sentence};
pub use words::{count_words, law_words, proportion_words, sampling_option, share_words};
pub use workshop::{SHEETS_SCHEMA, SheetsError, SheetsFiles, is_sheets_file, sheets_files};
