//! SPLINE: B-splines, and curves that are given by points to pass through.

use super::bspline::BSpline;
use super::document::Record;
use super::entity::{Reason, Shape};
use super::fit;
use super::pair::Fault;
use super::path::Path;
use crate::shape::Point;

/// Highest degree read. Drawing programs write 3 or 5 and stop at 11; the work grows with
/// the cube of the degree.
const HIGHEST_DEGREE: usize = 25;

/// Reads a SPLINE: its knots and control points, or where it has none its fit points.
pub(super) fn read(record: &Record) -> Result<Shape, Fault> {
    let control = points(record, 10)?;
    if control.is_empty() {
        return fitted(record);
    }
    let degree = record.whole(71, 3)?;
    let fault = |what: String| Fault::new(record.at, what);
    let most = HIGHEST_DEGREE.min(control.len() - 1);
    let degree = usize::try_from(degree).ok().filter(|d| (1..=most).contains(d)).ok_or_else(|| {
        fault(format!("a spline of degree {degree} with {} control points cannot be read", control.len()))
    })?;
    let knots = reals(record, 40)?;
    let weights = reals(record, 41)?;
    if knots.len() != control.len() + degree + 1 {
        let (k, n) = (knots.len(), control.len());
        return Err(fault(format!("{k} knots do not go with {n} control points and degree {degree}")));
    }
    if knots.windows(2).any(|w| w[0] > w[1]) {
        return Err(fault("the knots fall".into()));
    }
    let inner = &knots[1..knots.len() - 1];
    if inner
        .windows(degree + 1)
        .any(|w| w[0] >= w[degree] && knots[0] < w[0] && w[0] < knots[knots.len() - 1])
    {
        return Err(fault("the spline has a gap: a knot stands there more often than its degree".into()));
    }
    if !(weights.is_empty() || weights.len() == control.len()) || weights.iter().any(|w| *w <= 0.0) {
        return Err(fault("a spline needs one weight above zero for each control point, or none".into()));
    }
    let homogeneous = |(i, p): (usize, &Point)| {
        let w = weights.get(i).copied().unwrap_or(1.0);
        [p.x * w, p.y * w, w]
    };
    let control = control.iter().enumerate().map(homogeneous).collect();
    Ok(Shape::Drawn(Path::Spline(BSpline { degree, knots, control })))
}

/// A curve through points. Which one is not laid down; see [`fit`].
fn fitted(record: &Record) -> Result<Shape, Fault> {
    let through = points(record, 11)?;
    let tangent = |code| record.find(code).map(|_| record.point(code)).transpose();
    let closed = record.whole(70, 0)? & 1 != 0;
    let cubics = fit::through(&through, closed, tangent(12)?, tangent(13)?);
    if cubics.is_empty() {
        return Ok(Shape::LeftOut(Reason::Degenerate("SPLINE".into())));
    }
    Ok(Shape::Drawn(Path::Cubics(cubics)))
}

/// All points whose x has this group code.
fn points(record: &Record, code: i32) -> Result<Vec<Point>, Fault> {
    let (x, y) = (reals(record, code)?, reals(record, code + 10)?);
    if x.len() != y.len() {
        return Err(Fault::new(record.at, format!("{} x and {} y do not make points", x.len(), y.len())));
    }
    Ok(x.into_iter().zip(y).map(|(x, y)| Point { x, y }).collect())
}

fn reals(record: &Record, code: i32) -> Result<Vec<f64>, Fault> {
    record.pairs.iter().filter(|p| p.code == code).map(|p| p.real()).collect()
}
