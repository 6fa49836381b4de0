//! Small layouts for the tests of this room.

use super::{MadeBy, Placement};
use crate::shape::Point;

pub fn place(panel: usize, copy: u32, x: f64, y: f64, rotation: f64) -> Placement {
    Placement { panel, copy, at: Point { x, y }, rotation, mirrored: false }
}

pub fn made_by() -> MadeBy {
    MadeBy { version: "test".into(), seed: 0, walks: 0, rounds: 0, stopped: "by hand".into() }
}
