//! The roomiest spot for a label on the face of a panel.

use crate::shape::{Bounds, Point, cross, dot};

/// Places tried along each axis of the panel's box.
const GRID: u32 = 11;
/// Times the search is repeated around the best place, each time half as wide.
const REFINEMENTS: u32 = 4;

/// A box on the face of a panel, in the panel's own frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Spot {
    /// Its middle.
    pub centre: Point,
    /// The direction of its width, of length one.
    pub along: Point,
    /// Its height.
    pub height: f64,
}

/// The largest box of the given width to height, along one of these directions, that is found
/// inside the rings (outlines and holes alike) and clear of them; of those as high as `most`
/// or equally high the one nearest to the middle. A search on a grid: it may miss the best
/// place, never names a bad one.
pub(super) fn roomiest(rings: &[Vec<Point>], aspect: f64, most: f64, ways: &[Point]) -> Option<Spot> {
    let mut best: Option<Spot> = None;
    for &along in ways {
        let least = best.map_or(0.0, |b| 0.5 * b.height);
        if let Some((at, half)) = Frame::new(rings, aspect, along).search(least, 0.5 * most) {
            best = Some(Spot { centre: turn_back(at, aspect, along), along, height: 2.0 * half });
        }
    }
    best
}

/// The rings turned and squeezed until the box sought is a square, upright.
struct Frame {
    rings: Vec<Vec<Point>>,
    bounds: Option<Bounds>,
}

fn turn_back(p: Point, aspect: f64, along: Point) -> Point {
    let (x, y) = (p.x * aspect, p.y);
    Point { x: along.x * x - along.y * y, y: along.y * x + along.x * y }
}

impl Frame {
    fn new(rings: &[Vec<Point>], aspect: f64, along: Point) -> Self {
        let origin = Point { x: 0.0, y: 0.0 };
        let turn = |p: &Point| Point { x: dot(*p, along) / aspect, y: cross(origin, along, *p) };
        let rings: Vec<Vec<Point>> = rings.iter().map(|r| r.iter().map(turn).collect()).collect();
        let bounds = Bounds::of(rings.iter().flatten());
        Self { rings, bounds }
    }

    /// The place with the most room, and half the side of the square that fits there; only
    /// when it beats `least`. Room beyond `most` does not count.
    fn search(&self, least: f64, most: f64) -> Option<(Point, f64)> {
        let bounds = self.bounds?;
        let mut step = Point { x: bounds.width(), y: bounds.height() } / f64::from(GRID);
        if 0.5 * bounds.width().min(bounds.height()) <= least {
            return None;
        }
        let mut best = (None, least, most);
        self.scan(bounds.centre(), step, GRID / 2, &mut best);
        for _ in 0..REFINEMENTS {
            step = step / 2.0;
            let Some(at) = best.0 else { break };
            self.scan(at, step, 1, &mut best);
        }
        best.0.map(|at| (at, best.1))
    }

    fn scan(&self, middle: Point, step: Point, reach: u32, best: &mut (Option<Point>, f64, f64)) {
        // From the middle outwards: the first of equal places is kept.
        let steps = || (0..=2 * reach).map(|i| f64::from(i.div_ceil(2)) * [1.0, -1.0][i as usize % 2]);
        for (i, j) in steps().flat_map(|i| steps().map(move |j| (i, j))) {
            let at = middle + Point { x: i * step.x, y: j * step.y };
            // Enough is enough.
            if best.1 >= best.2 {
                return;
            }
            if let Some(room) = self.room(at, best.1) {
                (best.0, best.1) = (Some(at), room.min(best.2));
            }
        }
    }

    /// Half the side of the largest square about `at` inside the rings, if it beats `least`.
    fn room(&self, at: Point, least: f64) -> Option<f64> {
        let (mut room, mut inside) = (f64::INFINITY, false);
        for ring in &self.rings {
            let Some(mut a) = ring.last().map(|p| *p - at) else { continue };
            for p in ring {
                let b = *p - at;
                room = room.min(square_distance(a, b));
                if room <= least {
                    return None;
                }
                inside ^= (a.y > 0.0) != (b.y > 0.0) && a.x - a.y / (b.y - a.y) * (b.x - a.x) > 0.0;
                a = b;
            }
        }
        inside.then_some(room)
    }
}

/// The least max(|x|, |y|) on the segment. It is convex and made of straight pieces along the
/// segment, so its least value lies at an end or where two of the four bounds are equal.
fn square_distance(a: Point, b: Point) -> f64 {
    let d = b - a;
    let at = |t: f64| {
        let t = t.clamp(0.0, 1.0);
        (a.x + t * d.x).abs().max((a.y + t * d.y).abs())
    };
    let (ends, near) = (at(0.0).min(at(1.0)), 0.5 * (d.x.abs() + d.y.abs()));
    // Too short to come nearer than its ends by much: spares most of the work.
    if near <= 0.0 {
        return ends;
    }
    let mut least = ends;
    for (n, q) in [(-a.x, d.x), (-a.y, d.y), (a.y - a.x, d.x - d.y), (-a.x - a.y, d.x + d.y)] {
        if q != 0.0 {
            least = least.min(at(n / q));
        }
    }
    least
}

#[cfg(test)]
mod tests {
    use super::*;

    const X: Point = Point { x: 1.0, y: 0.0 };
    const Y: Point = Point { x: 0.0, y: 1.0 };

    fn points(p: &[(f64, f64)]) -> Vec<Point> {
        p.iter().map(|&(x, y)| Point { x, y }).collect()
    }

    #[test]
    fn a_rectangle_is_filled_the_long_way() {
        let r = vec![points(&[(10.0, 10.0), (50.0, 10.0), (50.0, 20.0), (10.0, 20.0)])];
        let spot = roomiest(&r, 4.0, 99.0, &[Y, X]).unwrap();
        assert_eq!((spot.along, spot.height), (X, 10.0));
        assert_eq!(spot.centre, Point { x: 30.0, y: 15.0 });
        assert_eq!(roomiest(&r, 4.0, 99.0, &[Y]).unwrap().height, 2.5);
    }

    #[test]
    fn a_small_label_stands_in_the_middle() {
        let r = vec![points(&[(0.0, 0.0), (90.0, 0.0), (90.0, 60.0), (0.0, 60.0)])];
        let spot = roomiest(&r, 4.0, 2.0, &[X]).unwrap();
        assert_eq!((spot.centre, spot.height), (Point { x: 45.0, y: 30.0 }, 2.0));
    }

    #[test]
    fn holes_are_kept_clear() {
        let square =
            |c: f64, h: f64| points(&[(c - h, c - h), (c + h, c - h), (c + h, c + h), (c - h, c + h)]);
        let spot = roomiest(&[square(0.0, 10.0), square(0.0, 4.0)], 1.0, 99.0, &[X]).unwrap();
        // Six is left on every side.
        assert!(spot.height > 5.0 && spot.height <= 6.0 + 1e-12, "{spot:?}");
        assert!(spot.centre.x.abs().max(spot.centre.y.abs()) - 0.5 * spot.height >= 4.0 - 1e-12);
    }

    #[test]
    fn distances_of_squares_are_those_of_many_points() {
        let ends = points(&[(3.0, 1.0), (-2.0, 5.0), (0.5, -0.25), (-7.0, -7.5), (4.0, 0.0), (0.0, 9.0)]);
        for (a, b) in ends.iter().flat_map(|a| ends.iter().map(move |b| (*a, *b))) {
            let samples = (0..=100_000).map(|i| a + (b - a) * (f64::from(i) / 1e5));
            let least = samples.map(|p| p.x.abs().max(p.y.abs())).fold(f64::INFINITY, f64::min);
            let d = square_distance(a, b);
            assert!(d <= least && d > least - 2e-4, "{a:?} {b:?} {d} {least}");
        }
    }
}
