//! Patterns as an SVG drawing at true size: one user unit is a millimetre.

use super::page::plain;
use super::sheet::Sheet;
use super::{Layer, sheet::Contour};
use crate::Error;
use crate::job::Unit;
use crate::layout::Layout;
use maud::html;
use std::fmt::Write;

/// Draws the panels of a layout, each with its id, cuts and marks told apart by class and colour.
///
/// # Errors
///
/// [`Error::Input`] when a coordinate is not finite or absurdly far away.
pub fn pattern_svg(layout: &Layout) -> Result<String, Error> {
    let sheet = Sheet::new(layout, Unit::Millimetre)?;
    let (w, h) = (sheet.length, sheet.width);
    let path = |points: &[crate::shape::Point], closed: bool| {
        let mut data = String::new();
        for (i, p) in points.iter().enumerate() {
            // SVG's y runs down. Writing to a string cannot fail.
            let _ = write!(data, "{}{:.4} {:.4}", if i == 0 { 'M' } else { 'L' }, p.x, h - p.y);
        }
        if closed {
            data.push('Z');
        }
        data
    };
    let colour = |line: &Contour| if line.layer == Layer::KissCut { "#d00000" } else { "#0b57a4" };
    let drawing = html! {
        svg xmlns="http://www.w3.org/2000/svg" width=(format!("{w:.4}mm")) height=(format!("{h:.4}mm")) viewBox=(format!("0 0 {w:.4} {h:.4}")) {
            title { (plain(&layout.name)) }
            @for piece in &sheet.pieces {
                @let place = &layout.placements[piece.placement];
                g data-panel=(layout.panels[place.panel].id) data-copy=(place.copy) {
                    @for part in &piece.parts {
                        path d=(part.iter().map(|r| path(r, true)).collect::<String>()) fill="none" fill-rule="evenodd" stroke="#d00000" stroke-width="0.1" {}
                    }
                    @for line in &piece.lines {
                        path d=(path(&line.points, line.closed)) fill="none" stroke=(colour(line)) stroke-width="0.1" {}
                    }
                    text x=(format!("{:.2}", piece.bounds.min.x)) y=(format!("{:.2}", h - piece.bounds.max.y - 2.0)) font-family="sans-serif" font-size="5" fill="#444" {
                        (layout.panels[place.panel].id) @if layout.panels[place.panel].copies > 1 { " " (place.copy) }
                    }
                }
            }
        }
    };
    Ok(format!("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{}\n", drawing.into_string()))
}
