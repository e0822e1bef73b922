//! A whole page of any kind: one file that opens offline, with the head, the style and the scripts that all pages share.

use maud::{DOCTYPE, Markup, PreEscaped, html};

/// Colours, dark and light, and what can be worked: buttons, heads that sort, names that mark.
const CONTROLS: &str = include_str!("controls.css");
/// How a report's page is set.
pub(super) const PAGE_STYLE: &str = include_str!("page.css");
/// What makes names mark their rods, tables sort, and the page dark or light.
const SCRIPTS: [&str; 2] = [include_str!("marks.js"), include_str!("page.js")];

/// Nothing may be fetched, whatever a browser finds in the page.
const NOTHING_FETCHED: &str =
    "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'";

/// A whole document of this title, with these styles and scripts besides those of all pages.
pub(super) fn document(title: &str, styles: &[&str], scripts: &[&str], main: Markup) -> String {
    // a number and its per cent sign stay on one line; a table that is too wide scrolls in a box of its own. Text is
    // escaped by now: a "<table" is one of ours.
    let main = main
        .into_string()
        .replace(" %", "\u{a0}%")
        .replace("<table", "<div class=\"scrolls\"><table")
        .replace("</table>", "</table></div>");
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(NOTHING_FETCHED);
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title.replace(" %", "\u{a0}%")) }
                @for style in [CONTROLS].iter().chain(styles) { style { (PreEscaped(style)) } }
            }
            body {
                main { (PreEscaped(main)) }
                @for script in scripts.iter().chain(&SCRIPTS) { script { (PreEscaped(script)) } }
            }
        }
    }
    .into_string()
}
