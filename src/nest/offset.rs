//! Sides of a contour moved outwards: for the gap that is kept, and for holes that are taken to be wider. Elementary.

use super::minkowski::Contour;
use crate::shape::{Point, dot, length};

/// A counter-clockwise contour with every side moved outwards.
pub fn widened(c: &Contour, by: f64) -> Contour {
    let n = c.len();
    (0..n).map(|i| c[i] + outwards(c[(i + n - 1) % n], c[i], c[(i + 1) % n]) * by).collect()
}

/// The vector that leads away from a corner of a counter-clockwise contour, long enough to
/// clear both of its sides by 1.
pub fn outwards(a: Point, p: Point, b: Point) -> Point {
    let normal = |u: Point, v: Point| {
        let d = v - u;
        Point { x: d.y, y: -d.x } * (1.0 / length(d).max(f64::MIN_POSITIVE))
    };
    let (m, n) = (normal(a, p), normal(p, b));
    let sum = m + n;
    let k = dot(sum, m);
    if k > 0.1 { sum * (1.0 / k) } else { m }
}
