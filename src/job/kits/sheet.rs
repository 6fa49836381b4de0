//! What a kit's sheet tells: the body, its panels, and how they are laid.

use crate::job::Unit;
use crate::panels::{Demand, Film, Hand, Mark, Order, Slant, StrainAt};
use crate::shape::{Point, Region};
use std::f64::consts::PI;

/// Everything a kit's sheet tells. Lengths in mm, angles in degrees.
#[derive(Debug, Clone, PartialEq)]
pub struct KitSheet {
    /// Order number, where a job gives one.
    pub order: Option<String>,
    /// Name of the kit.
    pub name: String,
    /// Unit that the customer measured in.
    pub unit: Unit,
    /// The parts from fore to aft.
    pub parts: Vec<PartSheet>,
}

/// One part.
#[derive(Debug, Clone, PartialEq)]
pub struct PartSheet {
    /// Its id.
    pub id: String,
    /// What it is, in words.
    pub what: String,
    /// The film it is made of.
    pub film: Film,
    /// (distance from its fore end along the axis, radius), fore to aft; empty for fins and plates.
    pub silhouette: Vec<Point>,
    /// Plane cuts of its aft and its fore end.
    pub slants: [Option<Slant>; 2],
    /// Whether the joint at its aft end comes apart in flight.
    pub separates: bool,
    /// Whether the wrap of the part before covers it.
    pub covered_by_previous: bool,
    /// How many pieces close round it; how many fins.
    pub pieces: u32,
    /// Where the seams are, in degrees from the front centre, positive to the right: seam 1 first.
    /// Empty where there are none.
    pub seams: Vec<f64>,
    /// Degrees round the body per mm along it, for winding seams.
    pub seam_twist: f64,
    /// Finished overlap of the seams.
    pub overlap: f64,
    /// The edge of each piece that lies under its neighbour; `None` where both are lapped, and
    /// where there are no seams.
    pub lap_under: Option<Hand>,
    /// How seams are lapped, or the faces of fins, in words.
    pub lapped: String,
    /// Its panels.
    pub panels: Vec<PanelRow>,
    /// What the film must do; `None` where it lies flat by itself.
    pub strain: Option<StrainSheet>,
    /// What else the layer should know.
    pub notes: Vec<String>,
}

impl PartSheet {
    /// What a tape tells of a body: the circumferences at its fore and its aft end, in mm. A nose
    /// has the second only; fins and plates have none.
    pub fn around(&self) -> Option<(Option<f64>, f64)> {
        let around = |end: &Point| 2.0 * PI * end.y;
        let (fore, aft) = (around(self.silhouette.first()?), around(self.silhouette.last()?));
        Some((Some(fore).filter(|_| !self.is_nose()), aft))
    }

    /// Whether it is a nose.
    pub fn is_nose(&self) -> bool {
        self.what.starts_with("nose")
    }
}

/// One panel.
#[derive(Debug, Clone, PartialEq)]
pub struct PanelRow {
    /// Its id in the job.
    pub id: String,
    /// How many.
    pub copies: u32,
    /// Its pieces.
    pub parts: Vec<Region>,
    /// Lines that travel with it.
    pub marks: Vec<Mark>,
}

/// What the film must do on a doubly curved part.
#[derive(Debug, Clone, PartialEq)]
pub struct StrainSheet {
    /// Seam over centre line, as a share.
    pub excess: f64,
    /// Along the gore, fore to aft; arc lengths from the fore end.
    pub along: Vec<StrainAt>,
    /// Arc length of the whole gore.
    pub arc_length: f64,
    /// Where most is asked: arc length from the base.
    pub worst_from_base: f64,
    /// Each order of laying that makes sense, and what it asks at the worst place.
    pub orders: Vec<(Order, Demand)>,
    /// The one that suits the film best.
    pub order: Order,
    /// What that asks.
    pub demand: Demand,
    /// Whether the film lies down.
    pub verdict: &'static str,
}
