//! A closed contour that is known to be a simple polygon.

use super::{Bounds, Point, Side, side, simple};

/// What keeps a list of points from being a simple polygon.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RingFault {
    /// A coordinate is not finite.
    NotFinite {
        /// Index of the point.
        point: usize,
    },
    /// Fewer than three different points.
    TooFewPoints,
    /// Too many sides lie beside each other to look at all of their pairs.
    Crowded,
    /// All points on one line, or the sides cancel: no area.
    NoArea,
    /// Two sides that are not neighbours meet, or two neighbours lie on each other.
    Crossing {
        /// Index of the point where the first side starts.
        first: usize,
        /// Index of the point where the second side starts.
        second: usize,
        /// A place near the meeting.
        near: Point,
    },
}

/// A closed contour: at least three points, finite, no side meets another except at the
/// common end of neighbours, area above zero. Runs in either direction, as it was written;
/// the first point is not repeated at the end. Repeated neighbouring points are allowed.
#[derive(Debug, Clone, PartialEq)]
pub struct Ring(Vec<Point>);

impl Ring {
    /// Checks the points and keeps them as they are; a first point that is repeated at the end, once or more often, is dropped.
    pub fn new(points: Vec<Point>) -> Result<Self, RingFault> {
        Self::within(points, &mut { usize::MAX })
    }

    /// As [`Ring::new`], but looks at so many pairs of sides at most, and takes those that it looked at off. What would take
    /// more is [`RingFault::Crowded`].
    pub fn within(mut points: Vec<Point>, pairs_left: &mut usize) -> Result<Self, RingFault> {
        if let Some(point) = points.iter().position(|p| !(p.x.is_finite() && p.y.is_finite())) {
            return Err(RingFault::NotFinite { point });
        }
        while points.len() > 1 && points.first() == points.last() {
            points.pop();
        }
        simple::check(&points, pairs_left)?;
        Ok(Self(points))
    }

    /// The points, in the order in which they were written.
    pub fn points(&self) -> &[Point] {
        &self.0
    }

    /// The sides as pairs of points, the closing one last. Repeated points give sides of length 0.
    pub fn sides(&self) -> impl Iterator<Item = (Point, Point)> + '_ {
        let n = self.0.len();
        (0..n).map(move |i| (self.0[i], self.0[(i + 1) % n]))
    }

    /// Area, positive when the contour runs counter-clockwise.
    pub fn signed_area(&self) -> f64 {
        signed_area(&self.0)
    }

    /// Area, always positive.
    pub fn area(&self) -> f64 {
        self.signed_area().abs()
    }

    /// Length of the contour.
    pub fn perimeter(&self) -> f64 {
        self.sides().map(|(a, b)| super::length(b - a)).sum()
    }

    /// The box round it.
    pub fn bounds(&self) -> Bounds {
        let mut b = Bounds { min: self.0[0], max: self.0[0] };
        for p in &self.0 {
            b.add(*p);
        }
        b
    }

    /// Where `p` lies, decided exactly: `Some(true)` inside, `Some(false)` outside, `None` on the contour.
    pub fn locate(&self, p: Point) -> Option<bool> {
        let mut inside = false;
        for (a, b) in self.sides() {
            if a.y.min(b.y) > p.y || a.y.max(b.y) < p.y {
                continue;
            }
            let s = side(a, b, p);
            if s == Side::On && p.x >= a.x.min(b.x) && p.x <= a.x.max(b.x) {
                return None;
            }
            if (a.y > p.y) != (b.y > p.y) && (s == Side::Left) == (b.y > a.y) {
                inside = !inside;
            }
        }
        Some(inside)
    }

    /// The points in counter-clockwise order, neighbouring repeats dropped.
    pub fn counter_clockwise(&self) -> Vec<Point> {
        let mut pts = self.0.clone();
        pts.dedup();
        if signed_area(&pts) < 0.0 {
            pts.reverse();
        }
        pts
    }
}

/// Shoelace formula, taken about the first point to keep digits far from the origin.
fn signed_area(points: &[Point]) -> f64 {
    let Some(o) = points.first() else { return 0.0 };
    0.5 * points.windows(2).map(|w| super::cross(*o, w[0], w[1])).sum::<f64>()
}

/// Area of a closed contour that may be no [`Ring`], always positive.
pub(crate) fn area(points: &[Point]) -> f64 {
    signed_area(points).abs()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pts(list: &[(f64, f64)]) -> Vec<Point> {
        list.iter().map(|&(x, y)| Point { x, y }).collect()
    }

    #[test]
    fn a_square_is_simple_and_measured() {
        let r = Ring::new(pts(&[(0., 0.), (2., 0.), (2., 2.), (0., 2.), (0., 0.)])).unwrap();
        assert_eq!(r.points().len(), 4);
        assert_eq!(r.signed_area(), 4.0);
        assert_eq!(r.perimeter(), 8.0);
        assert_eq!(r.locate(Point { x: 1., y: 1. }), Some(true));
        assert_eq!(r.locate(Point { x: 2., y: 1. }), None);
        assert_eq!(r.locate(Point { x: 3., y: 2. }), Some(false));
    }

    /// What was read is the same when it was written: else a layout would differ from its job, and from its own digest.
    #[test]
    fn a_first_point_that_is_repeated_more_than_once_is_dropped_at_once() {
        let r =
            Ring::new(pts(&[(0., 0.), (2., 0.), (2., 2.), (0., 2.), (0., 0.), (0., 0.), (0., 0.)])).unwrap();
        assert_eq!(r.points().len(), 4);
        assert!(Ring::new(pts(&[(1., 1.), (1., 1.), (1., 1.)])).is_err());
    }

    #[test]
    fn the_place_of_a_crossing_is_told() {
        let near = |points| match Ring::new(pts(points)) {
            Err(RingFault::Crossing { first, second, near }) => (first, second, near.x, near.y),
            other => panic!("{other:?}"),
        };
        assert_eq!(near(&[(0., 0.), (4., 2.), (4., 0.), (0., 2.)]), (0, 2, 2., 1.));
        assert_eq!(near(&[(0., 0.), (4., 0.), (4., 4.), (2., 0.), (0., 4.)]), (0, 3, 2., 0.));
    }

    #[test]
    fn bow_tie_spike_touch_and_flat_are_refused() {
        assert!(matches!(
            Ring::new(pts(&[(0., 0.), (2., 2.), (2., 0.), (0., 2.)])),
            Err(RingFault::Crossing { .. })
        ));
        assert!(matches!(
            Ring::new(pts(&[(0., 0.), (2., 0.), (1., 1.), (1., 3.), (1., 1.), (0., 2.)])),
            Err(RingFault::Crossing { .. })
        ));
        assert!(matches!(
            Ring::new(pts(&[(0., 0.), (4., 0.), (4., 4.), (2., 0.), (0., 4.)])),
            Err(RingFault::Crossing { .. })
        ));
        assert_eq!(Ring::new(pts(&[(0., 0.), (1., 1.), (2., 2.)])), Err(RingFault::NoArea));
        assert_eq!(Ring::new(pts(&[(0., 0.), (1., 1.), (0., 0.)])), Err(RingFault::TooFewPoints));
        assert!(matches!(
            Ring::new(pts(&[(0., 0.), (f64::NAN, 1.), (1., 0.)])),
            Err(RingFault::NotFinite { point: 1 })
        ));
    }
}
