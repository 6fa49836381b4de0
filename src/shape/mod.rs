//! The geometry that all rooms share: points, rings, regions, poses and exact predicates.
//!
//! There is one notion of tolerance (a length, handed in by whoever decides) and one of
//! angle: degrees at the border, a [`Turn`] with exact sine and cosine for quarter turns
//! inside. Topological questions are decided by exact predicates, never by an epsilon.

mod contours;
mod distance;
mod erosion;
pub mod flatten;
mod hull;
pub(crate) mod lettering;
mod line;
mod meet;
mod pose;
mod predicate;
mod reach;
mod region;
mod ring;
#[cfg(test)]
mod second_opinion;
mod simple;

pub use contours::Contours;
pub use distance::segment_distance;
pub use erosion::{Eroded, common_point, cores, deepest_corner, is_thicker_than};
pub use hull::convex_hull;
pub(crate) use line::plain_line;
pub(crate) use meet::Contour as Tree;
pub use meet::first_overlap;
pub use pose::{Pose, Turn, angle_between, wrap_degrees};
pub use predicate::{Side, on_segment, segments_cross, side};
pub(crate) use reach::clear_stretches;
pub use region::{Region, RegionFault};
pub(crate) use ring::area;
pub use ring::{Ring, RingFault};

/// A point, or a vector between two points.
pub type Point = geo_types::Coord<f64>;

/// An axis-parallel box.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// Least x and y.
    pub min: Point,
    /// Greatest x and y.
    pub max: Point,
}

impl Bounds {
    /// The box round some points; `None` when there are none.
    pub fn of<'a>(points: impl IntoIterator<Item = &'a Point>) -> Option<Self> {
        let mut points = points.into_iter();
        let first = *points.next()?;
        let mut b = Self { min: first, max: first };
        for p in points {
            b.add(*p);
        }
        Some(b)
    }

    /// Whether another box lies in this one; it may touch the rim.
    pub fn encloses(&self, inner: &Self) -> bool {
        self.min.x <= inner.min.x
            && self.min.y <= inner.min.y
            && self.max.x >= inner.max.x
            && self.max.y >= inner.max.y
    }

    /// Grows the box to hold `p`.
    pub fn add(&mut self, p: Point) {
        self.min.x = self.min.x.min(p.x);
        self.min.y = self.min.y.min(p.y);
        self.max.x = self.max.x.max(p.x);
        self.max.y = self.max.y.max(p.y);
    }

    /// The box round both.
    pub fn with(mut self, other: Self) -> Self {
        self.min = Point { x: self.min.x.min(other.min.x), y: self.min.y.min(other.min.y) };
        self.max = Point { x: self.max.x.max(other.max.x), y: self.max.y.max(other.max.y) };
        self
    }

    /// Extent along x.
    pub fn width(&self) -> f64 {
        self.max.x - self.min.x
    }

    /// Extent along y.
    pub fn height(&self) -> f64 {
        self.max.y - self.min.y
    }

    /// The middle of the box.
    pub fn centre(&self) -> Point {
        Point { x: 0.5 * (self.min.x + self.max.x), y: 0.5 * (self.min.y + self.max.y) }
    }

    /// Whether the two boxes come within `reach` of each other along both axes.
    pub fn near(&self, other: &Self, reach: f64) -> bool {
        self.min.x <= other.max.x + reach
            && other.min.x <= self.max.x + reach
            && self.min.y <= other.max.y + reach
            && other.min.y <= self.max.y + reach
    }
}

/// Twice the signed area of the triangle `o`, `a`, `b`, in plain floating point.
pub fn cross(o: Point, a: Point, b: Point) -> f64 {
    (a.x - o.x) * (b.y - o.y) - (a.y - o.y) * (b.x - o.x)
}

/// The scalar product of two vectors.
pub fn dot(a: Point, b: Point) -> f64 {
    a.x * b.x + a.y * b.y
}

/// The length of a vector. Uses only exactly rounded operations, so it is the same everywhere.
pub fn length(v: Point) -> f64 {
    dot(v, v).sqrt()
}

/// The distance between a point and a segment.
pub fn point_segment_distance(p: Point, a: Point, b: Point) -> f64 {
    length(p - nearest_on_segment(p, a, b))
}

/// The point of the segment `a`..`b` nearest to `p`.
pub fn nearest_on_segment(p: Point, a: Point, b: Point) -> Point {
    let d = b - a;
    let dd = dot(d, d);
    let t = if dd > 0.0 { (dot(p - a, d) / dd).clamp(0.0, 1.0) } else { 0.0 };
    a + d * t
}
