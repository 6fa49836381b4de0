//! `report.html`: one page about one layout, for the screen, the phone and the paper.
//!
//! ```text
//! Report -> facts.rs  what it comes to, warnings, what repeats it
//!        -> map.rs    the roll to look at
//!        -> kits.rs   the orders
//!        -> cutting.rs what cutting takes
//!        -> pick.rs   the pieces, by order and as they come off the roll
//! ```
//!
//! The page needs nothing but itself. Its script (`page.js`) only shows what is there; without it
//! the page can be read and printed.

mod cutting;
mod facts;
mod kits;
mod map;
mod pick;
mod say;
#[cfg(test)]
mod tests;

use super::page::{page, plain};
use super::svg::{Mark, picture};
use crate::error::Error;
use crate::layout::Layout;
use crate::report::Report;
use maud::html;

/// Colours, print and small screens.
const STYLE: &str = include_str!("page.css");
/// Zoom, names, lit orders.
const SCRIPT: &str = include_str!("page.js");

/// The page about a layout; `report` is what was found out about it.
///
/// # Errors
///
/// As [`svg`](super::svg()).
pub fn report_html(report: &Report, layout: &Layout) -> Result<String, Error> {
    let picture = picture(layout, &marks(report, layout))?;
    let body = html! {
        (map::faces(&picture))
        header {
            h1 { (plain(&report.name)) }
            p { "Cutting report" }
        }
        main {
            (facts::facts(report))
            (facts::warnings(report))
            (map::map(report, &picture))
            (kits::kits(report))
            (cutting::cutting(report))
            (kits::offcuts(report))
            (pick::by_kit(report, &picture))
            (pick::by_place(report))
            (facts::care())
            (facts::repeat(report))
        }
    };
    Ok(page(&format!("{}, cutting report", report.name), STYLE, SCRIPT, &body))
}

/// What the map says of every placement.
fn marks(report: &Report, layout: &Layout) -> Vec<Mark> {
    let mut marks = vec![Mark { number: 0, name: String::new() }; layout.placements.len()];
    for piece in &report.pieces {
        if let Some(mark) = marks.get_mut(piece.placement) {
            *mark = Mark { number: piece.number, name: plain(&say::piece(piece)).into_owned() };
        }
    }
    marks
}
