//! How two contours lie to each other, decided exactly.
//!
//! Two simple contours whose sides do not cross can still touch, lie along each other, or meet
//! at corners in such a way that one passes into the other. Each side is therefore cut at
//! the corners of the other contour that lie on it; the pieces lie wholly inside, outside
//! or along the other contour, and their ends or middles tell which.

use super::{Bounds, Contours, Point, Region, Ring, dot, on_segment, segments_cross};
use std::ops::ControlFlow;

/// A contour with a tree of its sides, to be compared with others.
#[derive(Debug, Clone)]
pub(crate) struct Contour {
    sides: Contours,
    bounds: Bounds,
}

impl Contour {
    /// The contour `ring`.
    pub fn of(ring: &Ring) -> Self {
        Self { sides: Contours::of_rings(vec![ring.points().to_vec()]), bounds: ring.bounds() }
    }

    /// Whether this lies in the area of `outer`; they may touch, but are not the same.
    pub fn lies_inside(&self, outer: &Self) -> bool {
        !self.crosses(outer) && self.lies_inside_uncrossed(outer)
    }

    /// The same, given that their sides do not cross.
    pub fn lies_inside_uncrossed(&self, outer: &Self) -> bool {
        !self.strays(outer, false) && self.strays(outer, true)
    }

    /// Whether the areas of two contours have nothing in common; the contours may touch.
    pub fn lies_apart(&self, other: &Self) -> bool {
        !self.bounds.near(&other.bounds, 0.0)
            || (!self.crosses(other)
                && !self.strays(other, true)
                && !other.strays(self, true)
                && self.strays(other, false))
    }

    /// Whether two contours have sides that cross.
    pub fn crosses(&self, other: &Self) -> bool {
        let mut left = usize::MAX;
        self.crosses_within(other, &mut left).unwrap_or(true)
    }

    /// The same; `None` when more pairs of sides would have to be looked at than `left`, which is made less by those
    /// that are. Contours that lie along each other are looked at side by side.
    pub fn crosses_within(&self, other: &Self, left: &mut usize) -> Option<bool> {
        let mut crossing = Some(false);
        let _ = self.sides.visit_pairs(&other.sides, 0.0, &mut |i, j| {
            let ((p, q), (r, s)) = (self.sides.edge(i), other.sides.edge(j));
            match left.checked_sub(1) {
                Some(fewer) => *left = fewer,
                None => crossing = None,
            }
            if crossing.is_some() && segments_cross(p, q, r, s) {
                crossing = Some(true);
            }
            found(crossing != Some(false))
        });
        crossing
    }

    /// Whether this has a point strictly inside `other` (or strictly outside, for `inside`
    /// false), given that their sides do not cross.
    fn strays(&self, other: &Self, inside: bool) -> bool {
        (0..self.sides.len()).map(|i| self.sides.edge(i)).any(|(p, q)| match other.sides.locate(p) {
            Some(found) => found == inside,
            None => other.is_left_by((p, q), inside),
        })
    }

    /// Whether the segment `p`..`q`, which starts on this contour and crosses no side, has a
    /// point strictly inside it (or strictly outside, for `inside` false).
    fn is_left_by(&self, (p, q): (Point, Point), inside: bool) -> bool {
        let mut stops = vec![p, q];
        let _ = self.sides.visit_near(&box_of(p, q), 0.0, &mut |i| {
            let v = self.sides.edge(i).0;
            if on_segment((p, q), v) {
                stops.push(v);
            }
            ControlFlow::Continue(())
        });
        stops.sort_by(|a, b| dot(*a - p, q - p).total_cmp(&dot(*b - p, q - p)));
        stops.dedup();
        stops.windows(2).any(|w| {
            let middle = box_of(w[0], w[1]).centre();
            // The middle of a piece along the contour is rounded and may fall beside it.
            !self.has_along((w[0], w[1])) && self.sides.locate(middle) == Some(inside)
        })
    }

    /// Whether the segment `u`..`v` lies on a side of this contour.
    fn has_along(&self, (u, v): (Point, Point)) -> bool {
        let along = self.sides.visit_near(&box_of(u, v), 0.0, &mut |i| {
            let side = self.sides.edge(i);
            found(on_segment(side, u) && on_segment(side, v))
        });
        along.is_break()
    }
}

/// The first two regions that overlap, as indices. Regions may touch, and one may lie in a
/// hole of another.
pub fn first_overlap(regions: &[Region]) -> Option<(usize, usize)> {
    let outlines: Vec<Contour> = regions.iter().map(|r| Contour::of(r.outline())).collect();
    let in_hole = |inner: usize, outer: usize| {
        let inner = &outlines[inner];
        regions[outer].holes().iter().filter(|hole| hole.bounds().near(&inner.bounds, 0.0)).any(|hole| {
            let hole = Contour::of(hole);
            !inner.crosses(&hole) && !inner.strays(&hole, false)
        })
    };
    let overlap =
        |i: usize, j: usize| !outlines[i].lies_apart(&outlines[j]) && !in_hole(i, j) && !in_hole(j, i);
    (0..regions.len()).flat_map(|j| (0..j).map(move |i| (i, j))).find(|&(i, j)| overlap(i, j))
}

fn found(it: bool) -> ControlFlow<()> {
    if it { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
}

fn box_of(a: Point, b: Point) -> Bounds {
    Bounds { min: a, max: a }.with(Bounds { min: b, max: b })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lies_inside(inner: &Ring, outer: &Ring) -> bool {
        Contour::of(inner).lies_inside(&Contour::of(outer))
    }

    fn lie_apart(a: &Ring, b: &Ring) -> bool {
        Contour::of(a).lies_apart(&Contour::of(b))
    }

    fn ring(points: &[(f64, f64)]) -> Ring {
        Ring::new(points.iter().map(|&(x, y)| Point { x, y }).collect()).unwrap()
    }

    fn square(x: f64, y: f64, size: f64) -> Ring {
        ring(&[(x, y), (x + size, y), (x + size, y + size), (x, y + size)])
    }

    /// Every start and direction of the same contour.
    fn spellings(r: &Ring) -> Vec<Ring> {
        let mut all = Vec::new();
        for shift in 0..r.points().len() {
            let mut points = r.points().to_vec();
            points.rotate_left(shift);
            all.push(Ring::new(points.clone()).unwrap());
            points.reverse();
            all.push(Ring::new(points).unwrap());
        }
        all
    }

    #[test]
    fn contours_that_meet_at_corners_only_are_told_apart_however_they_are_written() {
        let a = square(0., 0., 2.);
        let through_corners = ring(&[(1., 0.), (1., 1.), (2., 1.), (3., 1.), (3., -1.), (1., -1.)]);
        let outside_touching = ring(&[(2., 0.), (3., 0.), (3., 2.), (2., 2.), (2., 1.)]);
        let diamond = ring(&[(1., 0.), (2., 1.), (1., 2.), (0., 1.)]);
        for a in spellings(&a) {
            for b in spellings(&through_corners) {
                assert!(!lie_apart(&a, &b) && !lie_apart(&b, &a) && !lies_inside(&b, &a));
            }
            for b in spellings(&outside_touching) {
                assert!(lie_apart(&a, &b) && lie_apart(&b, &a));
            }
            for b in spellings(&diamond) {
                assert!(lies_inside(&b, &a) && !lies_inside(&a, &b) && !lie_apart(&a, &b));
            }
            assert!(!lies_inside(&a, &square(0., 0., 2.)) && !lie_apart(&a, &square(0., 0., 2.)));
        }
    }

    #[test]
    fn a_chord_across_a_bay_is_outside() {
        let bay = ring(&[(0., 0.), (4., 0.), (4., 4.), (3., 4.), (3., 1.), (1., 1.), (1., 4.), (0., 4.)]);
        let bridge = ring(&[(0.5, 0.5), (3., 0.5), (3., 4.), (1., 4.)]);
        assert!(!lies_inside(&bridge, &bay));
        let plug = square(1., 1., 2.);
        assert!(lie_apart(&plug, &bay) && !lies_inside(&plug, &bay));
    }

    #[test]
    fn slanted_common_sides_are_no_overlap() {
        let below = ring(&[(0., 0.), (0.3, 0.1), (0.9, 0.3), (0.9, -1.)]);
        let above = ring(&[(0., 0.), (0.3, 0.1), (0.3, 1.)]);
        assert!(lie_apart(&below, &above));
    }

    #[test]
    fn a_part_may_lie_in_a_hole_of_another() {
        let frame = Region::new(square(0., 0., 10.), vec![square(2., 2., 6.)]).unwrap();
        let plug = Region::solid(square(2., 2., 6.));
        let dot = Region::solid(square(4., 4., 1.));
        let big = Region::solid(square(1., 3., 3.));
        assert_eq!(first_overlap(&[frame.clone(), dot.clone()]), None);
        assert_eq!(first_overlap(&[plug.clone(), frame.clone()]), None);
        assert_eq!(first_overlap(&[frame.clone(), big]), Some((0, 1)));
        assert_eq!(first_overlap(&[frame, plug, dot]), Some((1, 2)));
    }
}
