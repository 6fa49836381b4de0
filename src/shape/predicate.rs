//! Exact predicates: which side of a line, and whether two segments cross.

use super::Point;
use geo::algorithm::kernels::{Kernel, Orientation, RobustKernel};

/// On which side of a directed line a point lies. Exact for any finite input
/// (Shewchuk's adaptive predicate, by way of `geo`).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// To the left: counter-clockwise.
    Left,
    /// On the line.
    On,
    /// To the right: clockwise.
    Right,
}

/// The side of the line from `a` to `b` on which `p` lies.
pub fn side(a: Point, b: Point, p: Point) -> Side {
    match RobustKernel::orient2d(a, b, p) {
        Orientation::CounterClockwise => Side::Left,
        Orientation::Clockwise => Side::Right,
        Orientation::Collinear => Side::On,
    }
}

/// Whether the segments `a`..`b` and `c`..`d` cross at a point inside both: each one's ends
/// lie strictly on different sides of the other. Touching and lying along each other is not crossing.
pub fn segments_cross(a: Point, b: Point, c: Point, d: Point) -> bool {
    if apart(a.x, b.x, c.x, d.x) || apart(a.y, b.y, c.y, d.y) {
        return false;
    }
    let (s1, s2) = (side(a, b, c), side(a, b, d));
    if s1 == Side::On || s2 == Side::On || s1 == s2 {
        return false;
    }
    let (s3, s4) = (side(c, d, a), side(c, d, b));
    s3 != Side::On && s4 != Side::On && s3 != s4
}

/// Whether `p` lies on the segment `a`..`b`, its ends counted.
pub fn on_segment((a, b): (Point, Point), p: Point) -> bool {
    let within = |a: f64, b: f64, v: f64| v >= a.min(b) && v <= a.max(b);
    side(a, b, p) == Side::On && within(a.x, b.x, p.x) && within(a.y, b.y, p.y)
}

/// Whether two intervals, each given by its ends in either order, have no value in common: the
/// cheap way to see that most pairs of segments cannot cross.
fn apart(a: f64, b: f64, c: f64, d: f64) -> bool {
    a.max(b) < c.min(d) || c.max(d) < a.min(b)
}
