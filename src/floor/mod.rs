//! From a layout to the shop floor: in which order and where the knife goes.
//!
//! ```text
//! Layout -> contours (lines on the film, named) -> sections -> windows, precedence -> tour -> Plan
//!   Plan -> strokes (overcut, dashes) -> blade (the way of the knife's pivot, where asked for)
//! ```
//!
//! Everything here is in millimetres in the roll frame, whatever the layout's unit. This room
//! decides; it writes no files.

pub mod blade;
pub mod device;
mod film;
mod marks;
pub mod plan;
mod stroke;
mod test_cut;
pub mod tour;
mod waste;

pub use film::{Film, Whole};
pub use marks::{Mark, MarkOptions};
pub use stroke::{Cutting, Dashes};
pub use waste::Weeding;
