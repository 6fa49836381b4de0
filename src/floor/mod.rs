//! From a layout to the shop floor: in which order and where the knife goes.
//!
//! ```text
//! Layout -> contours (lines on the film, named) -> sections -> windows, precedence -> tour -> Plan
//! ```
//!
//! Everything here is in millimetres in the roll frame, whatever the layout's unit. This room
//! decides; it writes no files.

pub mod plan;
pub mod tour;
