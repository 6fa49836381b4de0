//! Pieces of SVG and of text that several parts of the sheet use.

use crate::job::Unit;
use crate::shape::{Point, Region};
use std::fmt::Write;

/// A length in the unit the customer measured in.
pub(super) fn length(mm: f64, unit: Unit) -> String {
    match unit {
        Unit::Millimetre => format!("{mm:.1} mm"),
        Unit::Inch => format!("{:.3} in", mm / unit.in_mm()),
    }
}

/// Path data of a line through points, y turned down.
pub(super) fn line(points: impl IntoIterator<Item = Point>, closed: bool) -> String {
    let mut data = String::new();
    for (i, p) in points.into_iter().enumerate() {
        let command = if i == 0 { 'M' } else { 'L' };
        // Writing to a string cannot fail.
        let _ = write!(data, "{command}{:.2} {:.2}", p.x, 0.0 - p.y);
    }
    if closed && !data.is_empty() {
        data.push('Z');
    }
    data
}

/// Path data of outline and holes.
pub(super) fn region(region: &Region) -> String {
    region.rings().map(|r| line(r.points().iter().copied(), true)).collect()
}
