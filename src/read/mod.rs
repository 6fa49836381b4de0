//! Drawings in: DXF and SVG files become outlines with holes.
//!
//! Each format has a reader that yields strokes (open or closed runs of points, curves
//! already flattened); joining, closing and nesting them into outlines with holes is common.

use crate::{Error, Warning};
use crate::shape::Region;

/// A drawing as read: what was found in it and in which unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// How many millimetres one unit of the drawing is; `None` when the file does not say.
    pub mm_per_unit: Option<f64>,
    /// Outlines with their holes, in a stable order; coordinates in the drawing's own unit,
    /// y upwards.
    pub found: Vec<Found>,
    /// What was left out, mended or doubtful.
    pub warnings: Vec<Warning>,
}

/// One closed outline of a drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// Its number, from 1, as `tuckroll outlines` prints it and `pick` takes it.
    pub number: usize,
    /// The layer it is on; empty where the format has none.
    pub layer: String,
    /// Outline and holes.
    pub region: Region,
}

/// How to read a drawing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReadOptions {
    /// Greatest distance between a curve and the line that stands for it, in mm.
    pub chord_tolerance_mm: f64,
    /// Ends closer than this are joined, in mm.
    pub join_tolerance_mm: f64,
    /// Overrides the file's own unit: millimetres per drawing unit.
    pub mm_per_unit: Option<f64>,
}

impl Default for ReadOptions {
    fn default() -> Self {
        Self { chord_tolerance_mm: 0.02, join_tolerance_mm: 0.05, mm_per_unit: None }
    }
}

/// Reads a drawing; the ending of `name` says in which format.
///
/// # Errors
///
/// [`Error::Input`] for a format that is not known and for a drawing that cannot be read,
/// with the line where that is known.
pub fn read(bytes: &[u8], name: &str, options: &ReadOptions) -> Result<Drawing, Error> {
    let _ = (bytes, options);
    Err(Error::input(name, "no reader for this kind of file", "drawings are read from .dxf and .svg files"))
}
