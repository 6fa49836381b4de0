//! What is asked: a roll, the panels to place on it, their grain rules and the gap.
//!
//! The types here are parsed: a [`Job`] in hand has finite numbers, simple outlines, unique
//! ids and copies above zero. All lengths are in the job's own [`Unit`].

mod grain;
mod model;
mod unit;

pub use grain::{ANGLE_TOLERANCE, Grain, GrainRule};
pub use model::{Job, KeepClear, Line, LineRole, Notes, Panel, Roll};
pub use unit::Unit;
