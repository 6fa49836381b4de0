//! Where a straight line comes near to contours.

use super::{Bounds, Contours, Point, dot, length};
use std::ops::ControlFlow;

/// The stretches of the segment from `a` to `b` that no side of the contours comes nearer to than `reach`, as
/// parts of it from 0 to 1, in rising order. Each lies wholly inside or outside any of the contours.
pub(crate) fn clear_stretches<'c>(
    [a, b]: [Point; 2],
    contours: impl IntoIterator<Item = &'c Contours>,
    reach: f64,
) -> Vec<(f64, f64)> {
    let Some(place) = Bounds::of([&a, &b]).filter(|_| a != b) else { return Vec::new() };
    let line = Line { a, b, reach };
    let mut taken: Vec<(f64, f64)> = Vec::new();
    for some in contours {
        let _ = some.visit_near(&place, reach, &mut |side| {
            taken.extend(line.near(some.edge(side)));
            ControlFlow::Continue(())
        });
    }
    taken.sort_by(|p, q| p.0.total_cmp(&q.0));
    let mut clear = Vec::new();
    let mut from = 0.0;
    for (begin, end) in taken.into_iter().chain([(1.0, 1.0)]) {
        if begin > from {
            clear.push((from, begin));
        }
        from = from.max(end);
    }
    clear
}

/// A segment, and how near is too near.
struct Line {
    a: Point,
    b: Point,
    reach: f64,
}

impl Line {
    /// The part of the line, from 0 to 1, that is nearer than the reach to another segment. What is within reach of a
    /// segment is convex, so it is one part: that of both discs about the ends and of the rectangle between.
    fn near(&self, (p, q): (Point, Point)) -> Option<(f64, f64)> {
        let found = [self.in_disc(p), self.in_disc(q), self.in_rectangle(p, q)];
        found.into_iter().flatten().reduce(|m, i| (m.0.min(i.0), m.1.max(i.1)))
    }

    fn in_disc(&self, centre: Point) -> Option<(f64, f64)> {
        let (d, f) = (self.b - self.a, self.a - centre);
        let (aa, bb, cc) = (dot(d, d), dot(f, d), dot(f, f) - self.reach * self.reach);
        let disc = bb * bb - aa * cc;
        (disc >= 0.0).then(|| ((-bb - disc.sqrt()) / aa, (-bb + disc.sqrt()) / aa)).and_then(within)
    }

    fn in_rectangle(&self, p: Point, q: Point) -> Option<(f64, f64)> {
        let way = length(q - p);
        if way <= 0.0 {
            return None;
        }
        let u = (q - p) * (1.0 / way);
        let v = Point { x: -u.y, y: u.x };
        let clip = |axis: Point, low: f64, high: f64| {
            let (s, e) = (dot(self.a - p, axis), dot(self.b - p, axis));
            if (e - s).abs() < 1e-12 {
                return (s >= low && s <= high).then_some((0.0, 1.0));
            }
            let (t0, t1) = ((low - s) / (e - s), (high - s) / (e - s));
            Some((t0.min(t1), t0.max(t1)))
        };
        let along = clip(u, 0.0, way)?;
        let beside = clip(v, -self.reach, self.reach)?;
        within((along.0.max(beside.0), along.1.min(beside.1)))
    }
}

/// The part between 0 and 1.
fn within((from, to): (f64, f64)) -> Option<(f64, f64)> {
    let (from, to) = (from.max(0.0), to.min(1.0));
    (from <= to).then_some((from, to))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square() -> Contours {
        let corners = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)];
        Contours::of_rings(vec![corners.map(|(x, y)| Point { x, y }).to_vec()])
    }

    /// Reckoned by hand: a line through the middle of a square of 10, beside it, and past its corner at the reach.
    #[test]
    fn a_line_is_clear_where_every_side_is_farther_than_the_reach() {
        let along = |y: f64, from: f64, to: f64| {
            let ends = [Point { x: from, y }, Point { x: to, y }];
            clear_stretches(ends, [&square()], 2.0)
                .iter()
                .map(|(s, e)| (from + s * (to - from), from + e * (to - from)))
                .collect::<Vec<_>>()
        };
        assert_eq!(along(5.0, -10.0, 20.0), [(-10.0, -2.0), (2.0, 8.0), (12.0, 20.0)]);
        assert_eq!(along(11.0, 0.0, 10.0), []);
        assert_eq!(along(12.5, 0.0, 10.0), [(0.0, 10.0)]);
        assert_eq!(along(5.0, 3.0, 3.0), [], "a single point is no line");
    }
}
