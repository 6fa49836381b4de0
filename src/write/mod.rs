//! Files out: pure functions of a layout.
//!
//! ```text
//! Layout -> sheet (lines on the film, in the file's unit) -> dxf
//!                                                         -> svg -> png
//! bytes  -> folder, file: whole or not at all
//! ```
//!
//! A new format is a new file here that takes a [`Layout`](crate::layout::Layout) and gives
//! bytes and warnings; nothing in this room decides anything about the layout.

mod coincident;
mod dxf;
mod fit_sheet;
mod grid;
mod labels;
mod layer;
mod number;
mod pattern_svg;
mod png;
mod sheet;
mod svg;

use crate::shape::lettering as strokes;

pub use dxf::{Count, Counts, Cut, DxfOptions, Version, dxf};
pub use fit_sheet::fit_sheet;
pub use layer::Layer;
pub use pattern_svg::pattern_svg;
pub use png::{MOST_PIXELS, png};
pub use svg::{SvgOptions, svg};
