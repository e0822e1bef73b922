//! Files out: drawings, page, JSON, CSV, and the words on the terminal.

mod about;
mod cautions;
pub mod drawing;
mod json;
mod nominal;
mod page;
mod rare;

mod sight;
mod summary;
mod tables;
mod verdict;
mod way_sets;
mod way_words;
mod words;

pub use about::{About, SourceRow};
pub use cautions::{Caution, cautions};
pub use json::{RESULTS_SCHEMA, results_json};
pub use nominal::{JunctionFigures, LineFigures, Nominal, RodFigures};

pub use page::page_html;
pub use rare::{fault_words, rare_cautions, rare_json, rare_sentence, rare_text};
pub use sight::{sight_json, sight_text};
pub use summary::{disagreement_sentence, summary_text};
pub use tables::{junctions_csv, rods_csv};
pub use verdict::{
    Reason, clipped_sentence, eye_sentence, many_are_clipped, reason, reason_sentence,
    verdict_mark, verdict_sentence,
};
pub use way_sets::{way_sets_json, way_sets_section, way_sets_text};
pub use way_words::{way_sets_cautions, way_sets_sentence};
pub use words::{count_words, law_words, proportion_words, sampling_option, share_words};
