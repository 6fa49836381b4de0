//! Profiles of bodies of revolution: nose shapes, measured profiles, tips.
//!
//! Everything ends as a [`Meridian`]: the generating curve from the fore end to the aft end,
//! with radius, axial station and slope at any arc length. Arc length and surface of
//! revolution are integrated in a parameter in which the curve is smooth, also at a blunt tip; a
//! line and a circular arc have constant speed and need no integration for their length.

mod curve;
mod measured;
mod meridian;
mod shape;
mod tip;

pub use measured::{StationsAlong, measured};
pub use meridian::{Edge, Meridian, Station};
pub use shape::{LEAST_POWER, NoseShape};
pub use tip::{Tip, cut, nose, section};

use super::Fault;
use super::limits::dimension;

#[cfg(test)]
mod tests;
