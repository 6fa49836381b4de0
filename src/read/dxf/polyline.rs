//! LWPOLYLINE and POLYLINE.

use super::document::Record;
use super::entity::{Reason, Shape};
use super::pair::Fault;
use super::path::{Path, Vertex};
use crate::shape::Point;

/// Flags of a POLYLINE, group 70 (DXF Reference, POLYLINE).
const CLOSED: i64 = 1;
const SPATIAL: i64 = 8;
const MESH: i64 = 16;
const FACES: i64 = 64;

/// Flag of a VERTEX that only steers a spline and does not lie on it (DXF Reference, VERTEX).
const CONTROL: i64 = 16;

/// Whether a POLYLINE is in world coordinates.
pub(super) fn is_spatial(record: &Record) -> bool {
    flags(record).is_ok_and(|f| f & SPATIAL != 0)
}

fn flags(record: &Record) -> Result<i64, Fault> {
    record.whole(70, 0)
}

/// An LWPOLYLINE: all vertices in one record, each begun by its x. The bulge of a vertex is
/// that of the side which begins there, the last one's that of the closing side.
pub(super) fn light(record: &Record) -> Result<Shape, Fault> {
    let mut vertices: Vec<(Vertex, bool)> = Vec::new();
    for pair in &record.pairs {
        let early = || Fault::new(pair.at, format!("group code {} before the first vertex", pair.code));
        match pair.code {
            10 => vertices.push((Vertex { at: Point { x: pair.real()?, y: 0.0 }, bulge: 0.0 }, false)),
            20 => {
                let (vertex, has_y) = vertices.last_mut().ok_or_else(early)?;
                (vertex.at.y, *has_y) = (pair.real()?, true);
            }
            42 => vertices.last_mut().ok_or_else(early)?.0.bulge = pair.real()?,
            _ => {}
        }
    }
    if let Some(i) = vertices.iter().position(|(_, has_y)| !has_y) {
        return Err(Fault::new(record.at, format!("vertex {} has no y", i + 1)));
    }
    let promised = record.whole(90, vertices.len() as i64)?;
    if promised != vertices.len() as i64 {
        let what = format!("{promised} vertices are promised and {} are there", vertices.len());
        return Err(Fault::new(record.at, what));
    }
    Ok(drawn("LWPOLYLINE", vertices.into_iter().map(|(vertex, _)| vertex).collect(), flags(record)?))
}

/// A POLYLINE: its vertices are records of their own. Of a curve that was fitted through or
/// along them, the fitted vertices count and the control points do not.
pub(super) fn heavy(record: &Record, vertices: &[Record]) -> Result<Shape, Fault> {
    let flags = flags(record)?;
    if flags & (MESH | FACES) != 0 {
        let kind = if flags & MESH != 0 { "POLYLINE mesh" } else { "POLYLINE of faces" };
        return Ok(Shape::LeftOut(Reason::Kind(kind.into())));
    }
    let mut kept = Vec::with_capacity(vertices.len());
    for vertex in vertices {
        if vertex.whole(70, 0)? & CONTROL == 0 {
            kept.push(Vertex { at: vertex.point(10)?, bulge: vertex.real(42, 0.0)? });
        }
    }
    if flags & SPATIAL != 0 {
        kept.iter_mut().for_each(|v| v.bulge = 0.0);
    }
    Ok(drawn("POLYLINE", kept, flags))
}

fn drawn(kind: &str, vertices: Vec<Vertex>, flags: i64) -> Shape {
    if vertices.is_empty() {
        return Shape::LeftOut(Reason::Degenerate(kind.into()));
    }
    Shape::Drawn(Path::Polyline { vertices, closed: flags & CLOSED != 0 })
}
