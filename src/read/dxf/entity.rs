//! An entity that was read, in the coordinates in which it is written.

use super::pair::Fault;
use super::path::Path;
use crate::shape::Point;

/// One entity, read.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Entity {
    /// The name of its layer as written.
    pub layer: String,
    /// Where it begins in the file.
    pub at: usize,
    /// Whether its coordinates run from right to left: its normal points away from the viewer
    /// (extrusion 0, 0, -1).
    pub flipped: bool,
    pub shape: Shape,
}

impl Entity {
    /// How much work it is to put it in place: one, and one for each vertex. Names are looked up each time,
    /// so one that is as long as a book counts for more.
    pub fn weight(&self) -> usize {
        /// Longer than names are.
        const LONG: usize = 256;
        let (vertices, name) = match &self.shape {
            Shape::Drawn(path) => (path.vertices(), 0),
            Shape::Insert(insert) => (0, insert.block.len()),
            Shape::LeftOut(Reason::Kind(name) | Reason::Tilted(name) | Reason::Degenerate(name)) => {
                (0, name.len())
            }
            Shape::LeftOut(_) | Shape::Faulty(_) => (0, 0),
        };
        1 + vertices + (self.layer.len() + name) / LONG
    }
}

/// What an entity is.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Shape {
    /// A line.
    Drawn(Path),
    /// A block put somewhere, perhaps many times.
    Insert(Box<Insert>),
    /// Something that is not read.
    LeftOut(Reason),
    /// Something that cannot be read because it is damaged.
    Faulty(Fault),
}

/// Why something is left out or doubtful.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Reason {
    /// Its kind has no contour, or none that is read.
    Kind(String),
    /// It lies on a sheet, not in the model.
    PaperSpace,
    /// It is marked invisible.
    Invisible,
    /// Its plane is not the drawing's.
    Tilted(String),
    /// It has no size.
    Degenerate(String),
    /// Its layer is off or frozen.
    HiddenLayer,
    /// A block that is not there.
    NoBlock(String),
    /// A block that lies in another drawing.
    External(String),
    /// A block that contains itself.
    Recursive(String),
    /// Not left out, but doubtful: a curve that is given by nothing but points on it.
    FitPoints,
}

/// How a block is put into the drawing.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Insert {
    /// Name of the block.
    pub block: String,
    pub at: Point,
    pub scale: Point,
    /// Degrees.
    pub rotation: f64,
    pub columns: i64,
    pub rows: i64,
    /// From column to column and row to row, in the turned frame, not scaled.
    pub spacing: Point,
}
