//! How two contours lie to each other, decided exactly.
//!
//! Two simple contours whose sides do not cross can still touch, lie along each other, or meet
//! at corners in such a way that one passes into the other. Each side is therefore cut at
//! the corners of the other contour that lie on it; the pieces lie wholly inside, outside
//! or along the other contour, and their ends or middles tell which.

use super::{Bounds, Point, Region, Ring, Side, dot, segments_cross, side};

/// Whether `inner` lies in the area of `outer`; they may touch, but are not the same.
pub(crate) fn lies_inside(inner: &Ring, outer: &Ring) -> bool {
    !rings_cross(inner, outer) && !strays(inner, outer, false) && strays(inner, outer, true)
}

/// Whether the areas of two contours have nothing in common; the contours may touch.
pub(super) fn lie_apart(a: &Ring, b: &Ring) -> bool {
    !a.bounds().near(&b.bounds(), 0.0)
        || (!rings_cross(a, b) && !strays(a, b, true) && !strays(b, a, true) && strays(a, b, false))
}

/// The first two regions that overlap, as indices. Regions may touch, and one may lie in a
/// hole of another.
pub fn first_overlap(regions: &[Region]) -> Option<(usize, usize)> {
    let boxes: Vec<Bounds> = regions.iter().map(Region::bounds).collect();
    let pairs = (0..regions.len()).flat_map(|j| (0..j).map(move |i| (i, j)));
    pairs.filter(|&(i, j)| boxes[i].near(&boxes[j], 0.0)).find(|&(i, j)| overlap(&regions[i], &regions[j]))
}

/// Whether two regions have area in common.
fn overlap(a: &Region, b: &Region) -> bool {
    let in_hole = |inner: &Region, outer: &Region| {
        outer.holes().iter().any(|hole| {
            hole.bounds().near(&inner.bounds(), 0.0)
                && !rings_cross(inner.outline(), hole)
                && !strays(inner.outline(), hole, false)
        })
    };
    !lie_apart(a.outline(), b.outline()) && !in_hole(a, b) && !in_hole(b, a)
}

/// Whether two rings have sides that cross.
pub(crate) fn rings_cross(a: &Ring, b: &Ring) -> bool {
    let box_b = b.bounds();
    if !a.bounds().near(&box_b, 0.0) {
        return false;
    }
    a.sides().any(|(p, q)| {
        let side_box = Bounds { min: p, max: p }.with(Bounds { min: q, max: q });
        side_box.near(&box_b, 0.0) && b.sides().any(|(r, s)| segments_cross(p, q, r, s))
    })
}

/// Whether `ring` has a point strictly inside `other` (or strictly outside, for `inside` false),
/// given that their sides do not cross.
fn strays(ring: &Ring, other: &Ring, inside: bool) -> bool {
    let box_other = other.bounds();
    ring.sides().any(|(p, q)| {
        let beyond =
            p.x < box_other.min.x || p.x > box_other.max.x || p.y < box_other.min.y || p.y > box_other.max.y;
        if beyond {
            return !inside;
        }
        match other.locate(p) {
            Some(found) => found == inside,
            None => piece_strays(p, q, other, inside),
        }
    })
}

/// The same for one side, of which the start lies on `other`.
fn piece_strays(p: Point, q: Point, other: &Ring, inside: bool) -> bool {
    let mut stops: Vec<Point> =
        other.points().iter().copied().filter(|v| side(p, q, *v) == Side::On && between(p, q, *v)).collect();
    stops.push(p);
    stops.push(q);
    stops.sort_by(|a, b| dot(*a - p, q - p).total_cmp(&dot(*b - p, q - p)));
    stops.dedup();
    stops.windows(2).any(|w| {
        let middle = Point { x: 0.5 * (w[0].x + w[1].x), y: 0.5 * (w[0].y + w[1].y) };
        // The middle of a piece along `other` is rounded and may fall beside it.
        !runs_along(w[0], w[1], other) && other.locate(middle) == Some(inside)
    })
}

/// Whether the piece `u`..`v` lies on a side of `other`.
fn runs_along(u: Point, v: Point, other: &Ring) -> bool {
    let on = |c: Point, d: Point, p: Point| side(c, d, p) == Side::On && between(c, d, p);
    other.sides().any(|(c, d)| c != d && on(c, d, u) && on(c, d, v))
}

/// Whether `p` lies in the box round the segment `a`..`b`.
fn between(a: Point, b: Point, p: Point) -> bool {
    p.x >= a.x.min(b.x) && p.x <= a.x.max(b.x) && p.y >= a.y.min(b.y) && p.y <= a.y.max(b.y)
}

#[cfg(test)]
mod tests {
    use super::*;

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
