//! Whether a closed run of points is a simple polygon.

use super::{Bounds, Point, RingFault, Side, side};

/// Refuses anything that is not a simple polygon; every comparison is exact.
///
/// Sweeps the sides by where they begin along one axis, and compares only those whose ranges
/// overlap along both. The axis is the one along which the sides are shorter, so that a comb
/// of long teeth is swept across its teeth. The pairs whose ranges overlap along the axis are counted.
pub(super) fn check(points: &[Point], pairs_left: &mut usize) -> Result<(), RingFault> {
    let distinct: Vec<usize> =
        (0..points.len()).filter(|&i| points[i] != points[(i + points.len() - 1) % points.len()]).collect();
    let n = distinct.len();
    if n < 3 {
        return Err(RingFault::TooFewPoints);
    }
    let sides = Sides { points, distinct };
    let [a, b] = sides.ends(0);
    if (2..n).all(|i| side(a, b, sides.ends(i)[0]) == Side::On) {
        return Err(RingFault::NoArea);
    }
    sides.sweep(pairs_left)
}

/// The sides between different neighbouring points.
struct Sides<'a> {
    points: &'a [Point],
    /// The points that differ from the one before.
    distinct: Vec<usize>,
}

/// The box of a side: where it begins and ends along the sweep, and its range across it.
struct Span {
    begin: f64,
    end: f64,
    low: f64,
    high: f64,
    side: usize,
}

impl Sides<'_> {
    fn ends(&self, i: usize) -> [Point; 2] {
        let n = self.distinct.len();
        [self.points[self.distinct[i % n]], self.points[self.distinct[(i + 1) % n]]]
    }

    fn sweep(&self, pairs_left: &mut usize) -> Result<(), RingFault> {
        let mut active: Vec<Span> = Vec::new();
        for span in self.spans() {
            *pairs_left = pairs_left.checked_sub(active.len()).ok_or(RingFault::Crowded)?;
            active.retain(|other| other.end >= span.begin);
            let near = active.iter().filter(|other| other.low <= span.high && span.low <= other.high);
            for other in near {
                self.compare(span.side, other.side)?;
            }
            active.push(span);
        }
        Ok(())
    }

    /// The boxes of all sides, in the order of the sweep.
    fn spans(&self) -> Vec<Span> {
        let along_x = self.crowding(|p| p.x) <= self.crowding(|p| p.y);
        let span = |side: usize| {
            let [a, b] = self.ends(side);
            let ((begin, end), (low, high)) =
                if along_x { (range(a.x, b.x), range(a.y, b.y)) } else { (range(a.y, b.y), range(a.x, b.x)) };
            Span { begin, end, low, high, side }
        };
        let mut spans: Vec<Span> = (0..self.distinct.len()).map(span).collect();
        spans.sort_by(|a, b| a.begin.total_cmp(&b.begin).then(a.side.cmp(&b.side)));
        spans
    }

    /// How many sides lie over each other along an axis, on average.
    fn crowding(&self, along: fn(&Point) -> f64) -> f64 {
        let of = |i| self.ends(i).map(|p| along(&p));
        let all = Bounds::of(self.points).map_or(0.0, |b| along(&b.max) - along(&b.min));
        let sides: f64 = (0..self.distinct.len()).map(|i| (of(i)[1] - of(i)[0]).abs()).sum();
        if all > 0.0 { sides / all } else { f64::INFINITY }
    }

    /// Refuses two sides that meet where they should not.
    fn compare(&self, i: usize, j: usize) -> Result<(), RingFault> {
        let n = self.distinct.len();
        let ([a, b], [c, d]) = (self.ends(i), self.ends(j));
        let meets = if (i + 1) % n == j {
            folds_back(a, b, d)
        } else if (j + 1) % n == i {
            folds_back(c, d, b)
        } else {
            segments_meet(a, b, c, d)
        };
        if !meets {
            return Ok(());
        }
        let (first, second) = (self.distinct[i.min(j)], self.distinct[i.max(j)]);
        Err(RingFault::Crossing { first, second, near: meeting([a, b], [c, d]) })
    }
}

fn range(a: f64, b: f64) -> (f64, f64) {
    (a.min(b), a.max(b))
}

/// A place near which two segments that meet do so: where they cross, or an end that lies on the other.
fn meeting([a, b]: [Point; 2], [c, d]: [Point; 2]) -> Point {
    let (ab, cd) = (b - a, d - c);
    let t = super::cross(c, d, a) / (ab.x * cd.y - ab.y * cd.x);
    let crossing = a + ab * t;
    if super::segments_cross(a, b, c, d) && crossing.x.is_finite() && crossing.y.is_finite() {
        return crossing;
    }
    let off = |p: Point, q: [Point; 2]| super::point_segment_distance(p, q[0], q[1]);
    let ends = [(off(a, [c, d]), a), (off(b, [c, d]), b), (off(c, [a, b]), c), (off(d, [a, b]), d)];
    ends.into_iter().min_by(|p, q| p.0.total_cmp(&q.0)).map_or(a, |(_, p)| p)
}

/// Whether the sides `a`..`b` and `b`..`c` lie on each other.
fn folds_back(a: Point, b: Point, c: Point) -> bool {
    side(a, b, c) == Side::On && super::dot(a - b, c - b) > 0.0
}

/// Whether two segments have a point in common.
fn segments_meet(a: Point, b: Point, c: Point, d: Point) -> bool {
    let (s1, s2) = (side(a, b, c), side(a, b, d));
    if s1 == s2 && s1 != Side::On {
        return false;
    }
    let (s3, s4) = (side(c, d, a), side(c, d, b));
    if s1 != s2 && s3 != s4 && s1 != Side::On && s2 != Side::On && s3 != Side::On && s4 != Side::On {
        return true;
    }
    let on = |p: Point, q: Point, r: Point| {
        r.x >= p.x.min(q.x) && r.x <= p.x.max(q.x) && r.y >= p.y.min(q.y) && r.y <= p.y.max(q.y)
    };
    (s1 == Side::On && on(a, b, c))
        || (s2 == Side::On && on(a, b, d))
        || (s3 == Side::On && on(c, d, a))
        || (s4 == Side::On && on(c, d, b))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::{Duration, Instant};

    /// A comb of `teeth` long thin teeth, standing or lying.
    fn comb(teeth: u32, lying: bool) -> Vec<Point> {
        let mut points: Vec<Point> = (0..2 * teeth)
            .map(|i| Point { x: f64::from(i), y: if i % 2 == 0 { 0.0 } else { 1e6 } })
            .collect();
        points.push(Point { x: f64::from(2 * teeth), y: -1.0 });
        points.push(Point { x: 0.0, y: -1.0 });
        if lying {
            points.iter_mut().for_each(|p| *p = Point { x: p.y, y: p.x });
        }
        points
    }

    #[test]
    fn combs_are_swept_across_their_teeth() {
        let start = Instant::now();
        for lying in [false, true] {
            assert_eq!(check(&comb(100_000, lying), &mut 10_000_000), Ok(()));
            let mut bent = comb(1000, lying);
            bent.swap(10, 600);
            assert!(matches!(check(&bent, &mut 10_000_000), Err(RingFault::Crossing { .. })));
        }
        assert!(start.elapsed() < Duration::from_secs(5), "{:?}", start.elapsed());
    }

    /// Across both axes the teeth of a slanted comb lie beside each other: all pairs would have to be looked at.
    #[test]
    fn a_slanted_comb_is_counted() {
        let slanted: Vec<Point> =
            comb(1000, false).into_iter().map(|p| Point { x: p.x * 1e3 + p.y, y: p.y - p.x * 1e3 }).collect();
        assert_eq!(check(&slanted, &mut 100_000), Err(RingFault::Crowded));
        assert_eq!(check(&slanted, &mut 10_000_000), Ok(()));
    }
}
