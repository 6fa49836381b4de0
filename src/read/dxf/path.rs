//! What an entity draws, in its own coordinates, and how that becomes points.

use super::bspline::BSpline;
use crate::shape::Point;
use crate::shape::flatten::{self, EllipseArc, FlattenFault};

/// A line that an entity draws.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Path {
    /// Straight lines and circular arcs, one after the other.
    Polyline {
        /// Where they meet.
        vertices: Vec<Vertex>,
        /// Whether the last vertex leads back to the first.
        closed: bool,
    },
    /// A part of a circle or an ellipse, or all of it.
    Arc(EllipseArc),
    /// A B-spline curve.
    Spline(BSpline),
    /// Cubic Bézier curves that run on from each other.
    Cubics(Vec<[Point; 4]>),
}

/// A vertex of a polyline and the bulge of the side that begins there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Vertex {
    pub at: Point,
    /// Tangent of a quarter of the arc's angle, positive counter-clockwise; 0 is straight.
    pub bulge: f64,
}

impl Path {
    /// How many points it is given by.
    pub fn vertices(&self) -> usize {
        match self {
            Self::Polyline { vertices, .. } => vertices.len(),
            Self::Arc(_) => 1,
            Self::Spline(spline) => spline.vertices(),
            Self::Cubics(cubics) => cubics.len(),
        }
    }

    /// The points along it, never farther from it than `tolerance`, and whether it is closed.
    /// A closed run may repeat its first point at the end.
    pub fn flatten(&self, tolerance: f64) -> Result<(Vec<Point>, bool), FlattenFault> {
        match self {
            Self::Polyline { vertices, closed } => Ok((polyline(vertices, *closed, tolerance)?, *closed)),
            Self::Arc(arc) => {
                let mut points = vec![arc.start_point()];
                flatten::ellipse_arc(arc, tolerance, &mut points)?;
                let closed = points.first() == points.last();
                Ok((points, closed))
            }
            Self::Spline(spline) => Ok((spline.flatten(tolerance)?, false)),
            Self::Cubics(cubics) => {
                let mut points: Vec<Point> = cubics.first().map(|c| c[0]).into_iter().collect();
                cubics.iter().try_for_each(|cubic| flatten::cubic(*cubic, tolerance, &mut points))?;
                Ok((points, false))
            }
        }
    }
}

fn polyline(vertices: &[Vertex], closed: bool, tolerance: f64) -> Result<Vec<Point>, FlattenFault> {
    let mut points: Vec<Point> = vertices.first().map(|v| v.at).into_iter().collect();
    let closing = if closed { vertices.first() } else { None };
    for (from, to) in vertices.iter().zip(vertices.iter().skip(1).chain(closing)) {
        flatten::bulge(from.at, to.at, from.bulge, tolerance, &mut points)?;
    }
    Ok(points)
}
