//! Files out: pure functions of a layout.
//!
//! ```text
//! Layout -> sheet (lines on the film, in the file's unit) -> dxf
//! Plan   -> section by section                            -> dxf, hpgl
//!                                                         -> svg -> png
//! bytes  -> folder, file: whole or not at all
//! ```
//!
//! A new format is a new file here that takes a [`Layout`](crate::layout::Layout) and gives
//! bytes and warnings; nothing in this room decides anything about the layout.

mod caution;
mod coincident;
mod comparison;
mod dxf;
mod fit_sheet;
mod grid;
mod hpgl;
mod kits_csv;
mod labels;
mod layer;
mod number;
mod page;
mod pattern_svg;
mod png;
mod report;
mod section;
mod sheet;
mod svg;

use crate::shape::lettering as strokes;

pub use comparison::{comparison_csv, comparison_html};
pub use dxf::{Count, Counts, Cut, DxfOptions, Version, dxf, dxf_sections};
pub use fit_sheet::fit_sheet;
pub use hpgl::hpgl;
pub use kits_csv::kits_csv;
pub use layer::Layer;
pub use number::{duration, percent};
pub use pattern_svg::pattern_svg;
pub use png::{MOST_PIXELS, png};
pub use report::report_html;
pub use svg::{SvgOptions, svg};
