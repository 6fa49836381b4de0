//! The DXF reader.

use super::{ReadOptions, Sketch};
use crate::Error;

/// Reads a DXF file into strokes.
pub(super) fn read(bytes: &[u8], name: &str, options: &ReadOptions) -> Result<Sketch, Error> {
    let _ = (bytes, options.chord_tolerance(options.mm_per_unit));
    Err(Error::input(name, "DXF cannot be read yet", "export the drawing as SVG"))
}
