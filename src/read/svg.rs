//! The SVG reader.

use super::{ReadOptions, Sketch};
use crate::Error;

/// Reads an SVG file into strokes.
pub(super) fn read(bytes: &[u8], name: &str, options: &ReadOptions) -> Result<Sketch, Error> {
    let _ = (bytes, options);
    Err(Error::input(name, "SVG cannot be read yet", "export the drawing as DXF"))
}
