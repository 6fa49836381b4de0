//! Panels from dimensions: noses, tubes, transitions and fins become flat panels.
//!
//! All lengths in this room are millimetres. The frame of a panel has the axis of the body along
//! +x, its aft end (base) at x = 0, so that print runs along the body at angle 0.

mod fault;
mod numeric;
pub mod profile;

pub use fault::Fault;
