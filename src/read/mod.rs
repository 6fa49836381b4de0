//! Drawings in: DXF and SVG files become outlines with holes.
//!
//! Each format has a reader that yields a `Sketch` of strokes (open or closed runs of points,
//! curves already flattened); joining, closing and nesting them into outlines with holes is
//! common to all formats (`contours`).
//!
//! # Units
//!
//! Coordinates stay in the drawing's own unit. Tolerances are given in millimetres and
//! converted with that unit; where a drawing does not say its unit, one of its units is taken
//! as one millimetre *for the tolerances only*, and [`Drawing::mm_per_unit`] stays `None`.

//!
//! The unit of a DXF file is the first of: what the caller says; `$INSUNITS`; a comment
//! `tuckroll: unit mm` (or `in`), which this program writes into R12 files; millimetres where
//! `$MEASUREMENT` says metric, with a warning; unknown. Contradictions are warned of.
//!
//! # Limits
//!
//! A drawing beyond them is refused with an error that says what to do. DXF: files of 64 MB,
//! 1 000 000 entities with 8 000 000 group codes, 200 000 inserted blocks, 32 deep, 8 000 000 entities and
//! vertices with instances. SVG: files of 64 MiB, 500 000 elements with instances, 200 deep, 512 MiB of their
//! attributes and style rules with instances, 256 attributes of one element and 4 000 000 of a file, 2 000 000
//! tags and comments, 4096 selectors, 64 prefixes and 250 000 declarations of name spaces, 1 000 000 places where
//! the subpaths of filled paths cross or touch, 2 000 000 000 pairs of their sides that lie close. All formats:
//! 4 000 000 points, 65 536 points in one curve or contour, 50 000 contours and 64 MiB of the names of their layers,
//! 50 000 000 pairs of contours whose boxes lie over each other and 500 000 that cross, 100 000 000 pairs of their
//! sides that lie close, 1 000 000 places where lines lie on each other in part, 4 000 000 pairs of ends within the join
//! tolerance, 500 000 000 pairs of sides of one contour beside each other, coordinates up to 1e9 units.

mod contours;
mod dxf;
mod grid;
mod kind;
mod svg;

use crate::shape::{Bounds, Point, Region};
use crate::{Error, Problem, Warning};
use std::sync::Arc;

/// A drawing as read: what was found in it and in which unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// How many millimetres one unit of the drawing is; `None` when the file does not say.
    pub mm_per_unit: Option<f64>,
    /// Outlines with their holes, in the order in which they begin in the file; coordinates in
    /// the drawing's own unit, y upwards.
    pub found: Vec<Found>,
    /// Closed contours that cannot be cut as they are drawn (they cross themselves). They are
    /// not in `found`; whoever takes outlines from the same layer should refuse them, or a
    /// panel would be lost in silence.
    pub broken: Vec<Broken>,
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

/// A closed contour that is no simple polygon.
#[derive(Debug, Clone, PartialEq)]
pub struct Broken {
    /// The layer it is on.
    pub layer: String,
    /// What it reaches over; `None` where it has no points.
    pub bounds: Option<Bounds>,
    /// Where it is, what is wrong with it and what to do.
    pub problem: Problem,
}

/// The lines of a drawing as they are drawn, for what is shown and not cut.
#[derive(Debug, Clone, PartialEq)]
pub struct Lines {
    /// How many millimetres one unit of the drawing is; `None` when the file does not say.
    pub mm_per_unit: Option<f64>,
    /// Points in the drawing's own unit, y upwards, and whether the last joins the first; in the order of the file.
    pub drawn: Vec<(Vec<Point>, bool)>,
    /// What was left out or doubtful.
    pub warnings: Vec<Warning>,
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

impl ReadOptions {
    /// Refuses tolerances and units that are not finite and above zero.
    fn check(&self) -> Result<(), Error> {
        let mut problems = crate::Problems::default();
        for (value, what) in [
            (Some(self.chord_tolerance_mm), "chord tolerance"),
            (Some(self.join_tolerance_mm), "join tolerance"),
            (self.mm_per_unit, "millimetres per unit"),
        ] {
            if value.is_some_and(|v| !(v.is_finite() && v > 0.0)) {
                problems.push("", format!("the {what} is not above zero"), "give a positive number");
            }
        }
        problems.or_ok(())
    }

    /// The chord tolerance in the drawing's unit.
    fn chord_tolerance(&self, mm_per_unit: Option<f64>) -> f64 {
        self.chord_tolerance_mm / mm_per_unit.unwrap_or(1.0)
    }

    /// The join tolerance in the drawing's unit.
    fn join_tolerance(&self, mm_per_unit: Option<f64>) -> f64 {
        self.join_tolerance_mm / mm_per_unit.unwrap_or(1.0)
    }
}

/// Most points of one drawing: a day's film has some ten thousand, and four million take a
/// gigabyte on the way.
const MOST_POINTS: usize = 4_000_000;

/// Most contours of one drawing: more is a picture made of dots, not panels.
const MOST_CONTOURS: usize = 50_000;

/// What the reader of one format yields: everything that may be part of a contour.
#[derive(Debug, Clone, Default, PartialEq)]
struct Sketch {
    /// How many millimetres one unit is, the override of [`ReadOptions`] included.
    mm_per_unit: Option<f64>,
    /// In the order of the file.
    strokes: Vec<Stroke>,
    /// What was left out or doubtful.
    warnings: Vec<Warning>,
}

/// A run of points that belongs to one entity of a drawing, y upwards.
#[derive(Debug, Clone, PartialEq)]
struct Stroke {
    /// The layer it is on; empty where the format has none.
    layer: Arc<str>,
    /// Where it stands in the file, such as `line 88`.
    place: Arc<str>,
    /// Curves already flattened. Where the stroke is closed, the first point is not repeated.
    points: Vec<Point>,
    /// Whether the last point joins the first.
    closed: bool,
}

/// Reads a drawing. The content decides which format it is, the extension of `name` only
/// where the content does not tell; `name` also stands in every message.
///
/// # Errors
///
/// [`Error::Input`] when the file is no drawing, is damaged, exceeds a stated limit, or the
/// options make no sense. A readable drawing without a single closed contour is not an error:
/// [`Drawing::found`] is empty then, and the warnings say what is open.
pub fn read(bytes: &[u8], name: &str, options: &ReadOptions) -> Result<Drawing, Error> {
    contours::assemble(sketch(bytes, name, options)?, name, options)
}

/// Reads the lines of a drawing, open and closed, without joining or nesting them.
///
/// # Errors
///
/// [`Error::Input`] as for [`read`]. A drawing in which nothing is drawn is not an error.
pub fn lines(bytes: &[u8], name: &str, options: &ReadOptions) -> Result<Lines, Error> {
    contours::as_drawn(sketch(bytes, name, options)?, name)
}

fn sketch(bytes: &[u8], name: &str, options: &ReadOptions) -> Result<Sketch, Error> {
    options.check()?;
    let (kind, doubt) = kind::Kind::of(bytes, name)?;
    let mut sketch = match kind {
        kind::Kind::Dxf => dxf::read(bytes, name, options)?,
        kind::Kind::Svg => svg::read(bytes, name, options)?,
    };
    sketch.warnings.splice(0..0, doubt);
    Ok(sketch)
}
