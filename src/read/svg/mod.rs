//! The SVG reader: an own walk over the elements, in double precision.
//!
//! ```text
//! bytes -> text -> elements -> properties -> pen (transforms, flattening) -> fill rule -> strokes
//! ```
//!
//! # Units and frame
//!
//! Coordinates are in the user unit of the outermost `svg` element (that of its `viewBox` where
//! it has one), with y negated, so that the drawing reads as drawn. `width`, `height` and
//! `viewBox` decide how many millimetres one such unit is; without a unit of measurement one CSS
//! pixel is 25.4/96 mm, and a warning says so.
//!
//! # What counts as a line
//!
//! A painted path or shape gives the contours that bound its inside under its fill rule; one
//! with `fill: none` gives every subpath as it is. Open subpaths are never closed by their fill:
//! they are open strokes, joined with others where ends meet. Strokes have no width here.
//! Neither colour nor opacity decides whether a line is taken; `display` and `visibility` do.
//!
//! Nothing is ever loaded from outside the file. Text, pictures and what else has no outline is
//! left out with a warning.

mod arc;
mod css;
mod draw;
mod fill;
mod frame;
mod instance;
mod length;
mod markup;
mod notes;
mod path;
mod pen;
mod property;
mod role;
mod root;
mod shapes;
mod style;
mod tangle;
mod text;
mod transform;
mod viewport;
mod walk;

use super::{ReadOptions, Sketch};
use crate::Error;
use notes::Source;
use roxmltree::{Document, ParsingOptions};

/// Most nodes of a file, elements, texts and comments together; they take about 100 bytes each.
const MAX_NODES: u32 = 2_000_000;

/// Reads an SVG file into strokes.
pub(super) fn read(bytes: &[u8], name: &str, options: &ReadOptions) -> Result<Sketch, Error> {
    let text = text::decode(bytes, name)?;
    text::check_entities(&text, name)?;
    markup::check(&text, name)?;
    let source = Source::new(name, &text);
    let document = parse(&source)?;
    let sheet_text = style_text(&document);
    let sheet = css::Sheet::parse(&sheet_text).ok_or_else(|| {
        let what = format!("the style sheets have more than {} selectors", css::MAX_SELECTORS);
        Error::input(name, what, "save the drawing as plain SVG")
    })?;
    root::read(&document, &source, &sheet, options)
}

fn parse<'a>(source: &Source<'a>) -> Result<Document<'a>, Error> {
    let options = ParsingOptions { allow_dtd: true, nodes_limit: MAX_NODES, ..ParsingOptions::default() };
    Document::parse_with_options(source.text(), options).map_err(|error| {
        let at = error.pos();
        let place = format!("{}: line {}, column {}", source.name(), at.row, at.col);
        Error::input(place, format!("not well-formed: {error}"), "save the drawing again")
    })
}

/// All style sheets of the document, one after the other.
fn style_text(document: &Document<'_>) -> String {
    let sheets = document.descendants().filter(|n| n.is_element() && n.tag_name().name() == "style");
    let texts = sheets.flat_map(|n| n.children()).filter(|n| n.is_text()).filter_map(|n| n.text());
    css::without_comments(&texts.collect::<Vec<_>>().join("\n"))
}

#[cfg(test)]
mod tests;
