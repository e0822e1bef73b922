//! Pages of SVG joined to one PDF at true size, with text that can be selected.
//!
//! No clock, no random number and no font of the machine goes in: the same pages give the same bytes. One font only is used, since the
//! library writes several in no fixed order.

use super::SheetsError;
use super::canvas::{Canvas, FONT_FAMILY};
use pdf_writer::{Content, Finish, Name, Pdf, Rect, Ref, TextStr};
use std::collections::BTreeMap;
use std::sync::Arc;
use svg2pdf::ConversionOptions;
use svg2pdf::usvg::{Options, Tree, fontdb};

/// Points in a millimetre: 72 to the inch (ISO 32000-1, 8.3.2.3).
const POINTS_PER_MM: f64 = 72.0 / 25.4;
/// Pixels to the inch of a unit without a name (CSS Values and Units, 5.2).
const PIXELS_PER_INCH: f32 = 96.0;

/// The pages as a PDF of this title.
///
/// # Errors
/// [`SheetsError::Page`] when a page cannot be read or put in.
pub(super) fn pdf(pages: &[Canvas], title: &str) -> Result<Vec<u8>, SheetsError> {
    let mut fonts = fontdb::Database::new();
    fonts.load_font_data(notosans::REGULAR_TTF.to_vec());
    let options = Options {
        dpi: PIXELS_PER_INCH,
        font_family: FONT_FAMILY.to_owned(),
        fontdb: Arc::new(fonts),
        ..Options::default()
    };
    let mut next = Ref::new(1);
    let catalog = next.bump();
    let tree = next.bump();
    let information = next.bump();
    let mut file = Pdf::new();
    file.catalog(catalog).pages(tree);
    let title_text = crate::report::drawing::clean(title);
    file.document_info(information)
        .title(TextStr(&title_text))
        .producer(TextStr("sightdrift"));
    let mut kids = Vec::with_capacity(pages.len());
    for page in pages {
        kids.push(put_page(&mut file, page, &options, tree, &mut next)?);
    }
    let count = i32::try_from(kids.len())
        .map_err(|_| SheetsError::Page(format!("{} pages are too many", kids.len())))?;
    file.pages(tree).count(count).kids(kids);
    Ok(file.finish())
}

/// Puts one page in and returns its reference.
fn put_page(
    file: &mut Pdf,
    page: &Canvas,
    options: &Options<'_>,
    tree: Ref,
    next: &mut Ref,
) -> Result<Ref, SheetsError> {
    let svg = Tree::from_str(&page.svg(), options)
        .map_err(|error| SheetsError::Page(error.to_string()))?;
    let (chunk, drawn) = svg2pdf::to_chunk(&svg, ConversionOptions::default())
        .map_err(|error| SheetsError::Page(error.to_string()))?;
    let mut known = BTreeMap::new();
    let chunk = chunk.renumber(|old| *known.entry(old).or_insert_with(|| next.bump()));
    let drawn = known
        .get(&drawn)
        .copied()
        .ok_or_else(|| SheetsError::Page("the drawing is not in its own file".to_owned()))?;
    file.extend(&chunk);
    let [page_ref, content_ref] = [next.bump(), next.bump()];
    let [width, height] = page.size_mm().map(|side| (side * POINTS_PER_MM) as f32);
    let name = Name(b"Sheet");
    let mut content = Content::new();
    // the drawing is a unit square of its own
    content
        .save_state()
        .transform([width, 0.0, 0.0, height, 0.0, 0.0])
        .x_object(name)
        .restore_state();
    file.stream(content_ref, &content.finish());
    let mut written = file.page(page_ref);
    written
        .media_box(Rect::new(0.0, 0.0, width, height))
        .parent(tree)
        .contents(content_ref);
    written.resources().x_objects().pair(name, drawn);
    written.finish();
    Ok(page_ref)
}
