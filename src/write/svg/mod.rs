//! The preview: the roll to look at, at true size in millimetres.
//!
//! ```text
//! sheet -> page (rows)  -> film, margins, flaws -> panels (one symbol each, used by every copy)
//!                       -> captions on the faces -> ruler, title, legend
//! ```
//!
//! All text is drawn as strokes, so that every renderer shows the same picture.

mod caption;
mod face;
mod furniture;
mod ink;
mod page;
mod palette;
mod picture;
mod role;
mod roll;
mod spot;

use super::sheet::Sheet;
use crate::error::Error;
use crate::job::Unit;
use crate::layout::Layout;
use crate::shape::Point;
use caption::Letters;
use face::{Face, Look};
use ink::Ink;
use page::Page;
use palette::Palette;
use roll::Drawing;

pub(crate) use picture::{Picture, Thumbnail, picture};
pub(crate) use roll::Mark;

/// Film between the margins.
const FILM: &str = "#f6f4ee";
/// Film that cannot be used.
const MARGIN: &str = "#d5d1c6";
/// Flaws in the film.
const FLAW: &str = "#8d8d8d";
/// Letters and outlines.
const DARK: &str = "#1d1f21";

/// How a preview is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SvgOptions {
    /// Whether panels carry their names.
    pub labels: bool,
    /// Whether a long roll is folded into rows.
    pub fold: bool,
}

impl Default for SvgOptions {
    /// With labels, folded.
    fn default() -> Self {
        Self { labels: true, fold: true }
    }
}

/// The preview of a layout as an SVG document: true size in millimetres, the roll's y up.
///
/// # Errors
///
/// [`Error::Input`] for a layout whose numbers are no usable lengths, [`Error::Internal`] for
/// one whose placements name panels that it lacks; neither passes the check of a layout.
pub fn svg(layout: &Layout, options: &SvgOptions) -> Result<String, Error> {
    let sheet = Sheet::new(layout, Unit::Millimetre)?;
    let page = Page::of(&sheet, options.fold);
    let palette = Palette::of(layout);
    let letters =
        options.labels.then(|| Letters { least: page.least_letter(), most: page.letter, digits: 0 });
    let look = Look { mm: layout.unit.in_mm(), hairline: page.hairline(), letters };
    let faces = Face::all(layout, &look);
    let mut body = Ink::new(page.width());
    face::symbols(&mut body, layout, &faces, &look);
    let folded = page.rows.len() > 1;
    let drawing =
        Drawing { layout, sheet: &sheet, palette: &palette, faces: &faces, look, folded, marks: None };
    drawing.rows(&mut body, &page)?;
    body.raw("<g fill=\"none\" stroke=\"").raw(DARK).raw("\" stroke-linecap=\"round\">\n");
    furniture::title(&mut body, layout, &page);
    for row in &page.rows {
        roll::border(&mut body, row, &sheet, &page);
        furniture::ruler(&mut body, row, &page, layout.unit);
    }
    let height = furniture::legend(&mut body, layout, &page, &palette, &role::roles(layout));
    body.raw("</g>\n");
    Ok(document(layout, &page, height, &body.finish()))
}

/// Puts the drawing into a document of its size.
fn document(layout: &Layout, page: &Page, height: f64, body: &str) -> String {
    let mut svg = Ink::new(page.width());
    svg.raw(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\" width=\"",
    );
    svg.number(page.width()).raw("mm\" height=\"").number(height).raw("mm\" viewBox=\"0 0 ");
    svg.number(page.width()).raw(" ").number(height).raw("\">\n<title>").escaped(&layout.name);
    svg.raw("</title>\n<desc>").escaped(&furniture::facts(layout)).raw("</desc>\n");
    svg.rectangle(Point { x: 0.0, y: 0.0 }, Point { x: page.width(), y: height }, "#ffffff");
    svg.raw(body).raw("</svg>\n");
    svg.finish()
}
