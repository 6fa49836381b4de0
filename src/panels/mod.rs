//! Panels from dimensions: noses, tubes, transitions and fins become flat panels.
//!
//! ```text
//! NoseShape, measured stations -> Meridian -> Shell --+
//!                                             Tube ---+-> FlatPanel: outline, seams, marks
//!                                             Fin  ---+
//! ```
//!
//! Bodies that can be developed (cylinders, cones, frustums) are developed exactly. Doubly
//! curved ones become gores along the true meridian, and [`Strain`] says what the film must do.
//! The page [`flattening`] tells how, with formulas, sources and a picture.
//!
//! All lengths in this room are millimetres. The frame of a panel has the axis of the body along
//! +x, its aft end (base) at x = 0, so that print runs along the body at angle 0; the panel is
//! seen from outside.

mod chart;
mod fault;
mod film;
mod fin;
pub mod flattening;
mod limits;
mod marks;
mod numeric;
pub mod profile;
#[cfg(test)]
mod properties;
mod round;
mod seam;
mod split;
mod strain;
mod strip;

pub use chart::{EndName, Slant};
pub use fault::Fault;
pub use film::{Demand, Film, Limit, Verdict};
pub use fin::{EdgeFinish, Fin, Planform, fin};
pub use limits::{LONGEST, SHORTEST};
pub use marks::Mark;
pub use round::{MOST_PIECES, Pieces, Shell, Tube, shell, tube};
pub use seam::{End, Hand, Lap, Seam};
pub use split::split;
pub use strain::{Order, Strain, StrainAt};

use crate::shape::{Point, Region};

/// Greatest distance between a curve and the straight lines that stand for it, in mm, unless
/// told otherwise.
pub const CHORD_TOLERANCE: f64 = 0.02;

/// What panels are made for.
#[derive(Debug, Clone, Copy)]
pub struct Terms<'a> {
    /// The film.
    pub film: &'a Film,
    /// Usable width of the roll in mm, where it is known.
    pub width: Option<f64>,
    /// Chord tolerance in mm.
    pub tolerance: f64,
}

/// What is done with a mark.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MarkKind {
    /// Cut through the film.
    Cut,
    /// Drawn.
    Draw,
}

/// One flat panel, in mm.
#[derive(Debug, Clone, PartialEq)]
pub struct FlatPanel {
    /// What it is called within its part, such as `gore`.
    pub name: String,
    /// How many equal ones.
    pub copies: u32,
    /// Outline and holes.
    pub region: Region,
    /// Lines that travel with it.
    pub marks: Vec<Mark>,
    /// Seam lines, left and right, from the aft end to the fore end; empty where there are none.
    pub seams: [Vec<Point>; 2],
    /// Number of the piece that is copy 1.
    pub first_piece: u32,
    /// Whether a seam's number finds no hidden place at one of its sides.
    pub unmarked_edge: bool,
}

/// The panels of one part, and what they ask of the film.
#[derive(Debug, Clone, PartialEq)]
pub struct Made {
    /// The panels.
    pub panels: Vec<FlatPanel>,
    /// How many pieces close round the body; for fins how many fins.
    pub pieces: u32,
    /// What the film must do, place by place.
    pub strain: Strain,
    /// The order of laying that asks least.
    pub order: Order,
    /// What that asks of the film.
    pub demand: Demand,
    /// Whether the film lies down then.
    pub verdict: Verdict,
}

impl Made {
    /// Width across the roll that its widest panel takes, in mm.
    pub fn width(&self) -> f64 {
        self.panels.iter().map(|p| p.region.bounds().height()).fold(0.0, f64::max)
    }
}
