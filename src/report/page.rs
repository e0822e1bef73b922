//! `report.html`: one file that opens offline, in the order in which an exhibit engineer decides.

use super::about::About;
use super::drawing::Drawing;
use crate::decision::Assessment;

/// TEMPORARY
pub fn page_html(_: &Assessment, _: &About, _: &[Drawing]) -> String {
    String::new()
}
